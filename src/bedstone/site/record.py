"""The record of a bridge: all readings ever taken, in one database file beside the bridge file.

Nothing in it is changed or taken out again. A correction is a row of its own that names the row it
takes the place of, and why; the view `current` shows what stands. An import is there as a whole or
not at all, also when it is killed half-way.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import os
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import duckdb

from bedstone import __version__
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.site.log_files import Loaded, LogForm, Series, load_log, series_of
from bedstone.site.reading_files import FilledForm
from bedstone.site.readings import Reading

__all__ = [
    "LAYOUT", "Batch", "Entry", "Logged", "Record", "begin_record", "current_readings",
    "new_record", "open_record", "other_bridge", "record_file",
]  # fmt: skip

#: Layout of the tables; a file of a newer one is not touched.
LAYOUT: Final = 1

_TABLES: Final = """
CREATE TABLE layout (
    version INTEGER NOT NULL, bridge VARCHAR NOT NULL, built DATE, program VARCHAR NOT NULL
);
CREATE TABLE batch (
    number INTEGER PRIMARY KEY, imported TIMESTAMP NOT NULL, kind VARCHAR NOT NULL,
    who VARCHAR NOT NULL, file VARCHAR NOT NULL, sha256 VARCHAR, program VARCHAR NOT NULL,
    weather VARCHAR NOT NULL, taken VARCHAR NOT NULL, air DOUBLE, zone VARCHAR NOT NULL,
    remark VARCHAR NOT NULL
);
CREATE TABLE reading (
    number BIGINT PRIMARY KEY, batch INTEGER NOT NULL, seat VARCHAR NOT NULL,
    quantity VARCHAR NOT NULL, place VARCHAR NOT NULL, value DOUBLE, word VARCHAR NOT NULL,
    time TIMESTAMP NOT NULL, temperature DOUBLE, who VARCHAR NOT NULL, instrument VARCHAR NOT NULL,
    remark VARCHAR NOT NULL, looked BOOLEAN NOT NULL, file VARCHAR NOT NULL, row INTEGER NOT NULL,
    replaces BIGINT, why VARCHAR NOT NULL
);
CREATE TABLE log (
    batch INTEGER NOT NULL, row BIGINT NOT NULL, seat VARCHAR NOT NULL, time TIMESTAMP NOT NULL,
    movement DOUBLE, temperature DOUBLE
);
CREATE VIEW current AS
    SELECT * FROM reading WHERE number NOT IN (
        SELECT replaces FROM reading WHERE replaces IS NOT NULL
    ) AND (value IS NOT NULL OR word <> '');
"""
_NAMES: Final = ("layout", "batch", "reading", "log")
_READING: Final = (
    "number, batch, seat, quantity, place, value, word, time, temperature, who, instrument, "
    "remark, looked, file, row, replaces, why"
)
_KINDS: Final = (
    "BIGINT", "INTEGER", "VARCHAR", "VARCHAR", "VARCHAR", "DOUBLE", "VARCHAR", "TIMESTAMP",
    "DOUBLE", "VARCHAR", "VARCHAR", "VARCHAR", "BOOLEAN", "VARCHAR", "INTEGER", "BIGINT", "VARCHAR",
)  # fmt: skip
_ENTRY: Final = (
    f"SELECT {_READING}, (SELECT max(number) FROM reading AS later "
    "WHERE later.replaces = reading.number) FROM reading"
)
_ORDER: Final = "ORDER BY time, number"


@dataclass(frozen=True)
class Batch:
    """What came in at once. `kind`: form, log or correction; `air`: degC; `imported`: UTC."""

    number: int
    imported: dt.datetime
    kind: str
    who: str
    file: str
    sha256: str | None
    program: str
    weather: str
    taken: str
    air: float | None
    zone: str
    remark: str


@dataclass(frozen=True)
class Logged:
    """What a log holds of a seat: number of rows, first and last time (UTC)."""

    batch: int
    seat: str
    rows: int
    first: dt.datetime
    last: dt.datetime


@dataclass(frozen=True)
class Entry:
    """A reading with its number in the record.

    `replaces`: number of the entry it corrects; `replaced`: number of the one that corrects it;
    `why`: of a correction; `looked`: taken in although it was in doubt.
    """

    number: int
    batch: int
    reading: Reading
    remark: str
    looked: bool
    replaces: int | None
    why: str
    replaced: int | None = None

    @property
    def withdrawn(self) -> bool:
        """Whether it takes a reading back and puts none in its place."""
        return self.reading.value is None and not self.reading.word

    @property
    def stands(self) -> bool:
        """Whether it counts."""
        return self.replaced is None and not self.withdrawn


def record_file(bridge_file: Path) -> Path:
    """Where the record of a bridge file lies: beside it."""
    return bridge_file.with_name(f"{bridge_file.stem}.readings.duckdb")


def other_bridge(begun: str, bridge: str) -> str:
    """What is to be told of a record that was begun for a bridge of another name; else ""."""
    if begun == bridge:
        return ""
    return f"caution: the record was begun for {begun!r}, the bridge file says {bridge!r}"


def current_readings(path: Path) -> tuple[Reading, ...]:
    """The readings that stand, in the order of time; raises `InputError` as `open_record`."""
    with open_record(path) as record:
        return record.readings()


def new_record(path: Path, bridge: str, built: dt.date | None = None) -> None:
    """Make an empty record; `built`: day before which the bridge did not stand.

    Raises `InputError` where there is a file already or the folder cannot be written. It appears
    whole or not at all.
    """
    allowed = "a name that is free, in a folder that can be written"
    try:
        with tempfile.TemporaryDirectory(prefix=".readings-", dir=path.parent) as folder:
            fresh = Path(folder) / "record.duckdb"
            with contextlib.closing(duckdb.connect(str(fresh))) as connection:
                connection.execute("BEGIN")
                connection.execute(_TABLES)
                connection.execute(
                    "INSERT INTO layout VALUES (?, ?, ?, ?)",
                    [LAYOUT, bridge, built, f"bedstone {__version__}"],
                )
                connection.execute("COMMIT")
            _take_name(fresh, path)
    except OSError as error:
        raise InputError([Fault(str(path), "record", error.strerror or "?", allowed)]) from error


@contextlib.contextmanager
def begin_record(
    path: Path, bridge: str, built: dt.date | None = None, *, logs: bool = False
) -> Iterator[Record]:
    """A new record, open for writing; it gets its name when it is left without an error.

    So a first form that is refused leaves no empty record behind, which would hold on to `built`.
    Raises `InputError` as `new_record` and `open_record`.
    """
    allowed = "a name that is free, in a folder that can be written"
    try:
        with tempfile.TemporaryDirectory(prefix=".readings-", dir=path.parent) as folder:
            fresh = Path(folder) / path.name
            new_record(fresh, bridge, built)
            with open_record(fresh, write=True, logs=logs) as record:
                yield record
            _take_name(fresh, path)
    except OSError as error:
        raise InputError([Fault(str(path), "record", error.strerror or "?", allowed)]) from error


def _take_name(fresh: Path, path: Path) -> None:
    """Give a file its name unless that is taken; raises `OSError` where it is."""
    try:
        os.link(fresh, path)  # fails where another has made one meanwhile
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if path.exists():
            raise
        fresh.rename(path)


@contextlib.contextmanager
def open_record(path: Path, *, write: bool = False, logs: bool = False) -> Iterator[Record]:
    """The record in a file, to be read, or to be written by one process alone.

    All that is added while it is open for writing comes in together when it is left without an
    error; otherwise nothing does.

    `logs`: the database is to read logs, which are files of their own.

    Raises `InputError` for a file that is not there, is no record, is of a newer layout, or is
    being written by another process.
    """
    if not path.is_file():
        allowed = "a record of readings; it begins with the first form that is added"
        raise InputError([Fault(str(path), "record", "no such file", allowed)])
    try:
        # a file from elsewhere must not make the database read other files or load code
        config: dict[str, str | bool | int | float | list[str]] = {
            "enable_external_access": "true" if logs else "false",
            "autoload_known_extensions": "false",
            "autoinstall_known_extensions": "false",
        }
        connection = duckdb.connect(str(path), read_only=not write, config=config)
    except duckdb.Error as error:
        raise InputError([_refused(path, error)]) from error
    try:
        record = Record(path, connection)
        record.checked()
        if write:
            connection.execute("BEGIN")
        yield record
        if write:
            connection.execute("COMMIT")
    except duckdb.Error as error:
        found = str(error).splitlines()[0][:100]
        raise InputError([Fault(str(path), "record", found, "a record that is whole")]) from error
    finally:
        connection.close()  # what is not committed by now is gone


def _refused(path: Path, error: duckdb.Error) -> Fault:
    text = str(error)
    if "lock" in text.lower() or "configuration" in text:
        return Fault(
            str(path), "record", "a file that another program has open", "to close it there first"
        )
    if "newer" in text and "version" in text:
        return Fault(str(path), "record", "written by a newer database", "a newer bedstone")
    return Fault(str(path), "record", "no record of readings", "a file that bedstone record made")


@dataclass(frozen=True)
class Record:
    """An open record; made by `open_record`."""

    path: Path
    connection: duckdb.DuckDBPyConnection

    # -------------------------------------------------------------- what it is
    def checked(self) -> None:
        """Raise `InputError` unless it is a record of a layout that is known."""
        tables = {
            name
            for (name,) in self._rows(
                "SELECT table_name FROM duckdb_tables() WHERE database_name = current_database() "
                "AND schema_name = 'main'"
            )
        }
        allowed = "a file that bedstone record made"
        if not set(_NAMES) <= tables:
            raise InputError([Fault(str(self.path), "record", "no record of readings", allowed)])
        versions = [row[0] for row in self._rows("SELECT version FROM layout")]
        if len(versions) != 1 or not isinstance(versions[0], int) or versions[0] < 1:
            raise InputError([Fault(str(self.path), "record", f"layout {versions}", allowed)])
        if versions[0] > LAYOUT:
            found, can = f"layout {versions[0]}", f"layout {LAYOUT}, or a newer bedstone"
            raise InputError([Fault(str(self.path), "record", found, can)])

    @property
    def bridge(self) -> str:
        """Name of the bridge it is of."""
        return str(self._rows("SELECT bridge FROM layout")[0][0])

    @property
    def built(self) -> dt.date | None:
        """Day before which the bridge did not stand, if it was told."""
        found = self._rows("SELECT built FROM layout")[0][0]
        return found if isinstance(found, dt.date) else None

    # -------------------------------------------------------------- what is in it
    def batches(self) -> tuple[Batch, ...]:
        """Everything that came in, in its order."""
        rows = self._rows(
            "SELECT number, imported, kind, who, file, sha256, program, weather, taken, air, zone, "
            "remark FROM batch ORDER BY number"
        )
        return tuple(Batch(row[0], row[1].replace(tzinfo=dt.UTC), *row[2:]) for row in rows)

    def entries(self, seat: str | None = None) -> tuple[Entry, ...]:
        """All readings, corrected ones and corrections included, by time and then number."""
        rows = self._rows(f"{_ENTRY} WHERE ? IS NULL OR seat = ? {_ORDER}", [seat, seat])
        return tuple(_entry(row) for row in rows)

    def entry(self, number: int) -> Entry:
        """One reading by its number; raises `InputError` for a number that is none."""
        rows = self._rows(f"{_ENTRY} WHERE number = ?", [number])
        if not rows:
            raise InputError([Fault(str(self.path), "number", str(number), self._numbers())])
        return _entry(rows[0])

    def readings(self, seat: str | None = None) -> tuple[Reading, ...]:
        """The readings that stand, in the order of time."""
        return tuple(item.reading for item in self.entries(seat) if item.stands)

    def logged(self) -> tuple[Logged, ...]:
        """What the logs hold, by batch and seat."""
        rows = self._rows(
            "SELECT batch, seat, count(*), min(time), max(time) FROM log GROUP BY ALL "
            "ORDER BY batch, seat"
        )
        return tuple(
            Logged(batch, seat, number, first.replace(tzinfo=dt.UTC), last.replace(tzinfo=dt.UTC))
            for batch, seat, number, first, last in rows
        )

    def series(self) -> list[Series]:
        """The logs, a series for each seat."""
        return series_of(self.connection, "log")

    # -------------------------------------------------------------- adding to it
    def add_log(
        self, file: Path, wanted: LogForm, who: str, now: dt.datetime
    ) -> tuple[Batch, Loaded]:
        """Take in a log; the record must be open for `logs`.

        Raises `InputError` for a file that was taken in before, for every fault `load_log` finds,
        and for a seat of which a log in the record holds some of the very times.
        """
        if not who.strip():
            raise InputError([Fault("command line", "--who", "nothing", "who brings the log")])
        digest = _digest(file)
        self._new_file(file.name, digest)
        with tempfile.TemporaryDirectory(prefix="bedstone-log-") as folder:
            # checked on a connection of its own: rows have their numbers only outside of ours,
            # which is in the midst of a transaction
            rows = Path(folder) / "rows.parquet"
            with self.connection.cursor() as beside:
                loaded = load_log(beside, file, wanted=wanted)
                beside.execute("COPY temp.incoming TO ? (FORMAT parquet)", [str(rows)])
            self.connection.execute(
                "CREATE TEMP TABLE incoming AS SELECT row, seat, time, movement, temperature "
                "FROM read_parquet(?)",
                [str(rows)],
            )
        twice = self._rows(
            "SELECT seat, count(*), min(time) FROM log JOIN temp.incoming USING (seat, time) "
            "GROUP BY seat ORDER BY seat"
        )
        if twice:
            allowed = "times of which it has no reading"
            faults = [
                Fault(file.name, seat, f"{number} times that the record has, from {first}", allowed)
                for seat, number, first in twice
            ]
            raise InputError(faults)
        # who reads the log in years must see that it came in against a doubt
        remark = f"looked at: {', '.join(sorted(wanted.accept))}" if wanted.accept else ""
        batch = self._batch("log", now, who, file.name, digest, "", "", None, wanted.zone, remark)
        self.connection.execute(
            "INSERT INTO log SELECT ?, row, seat, time, movement, temperature FROM temp.incoming",
            [batch.number],
        )
        self.connection.execute("DROP TABLE temp.incoming")
        return batch, loaded

    def add(self, form: FilledForm, now: dt.datetime) -> Batch:
        """Take in a form.

        Raises `InputError` for a file that was taken in before, and for each reading of a thing at
        a time of which the record has one already.
        """
        self._new_file(form.file, form.sha256)
        known = self._standing()
        faults = [
            Fault(
                form.file, f"row {item.row}",
                f"{item.seat}, {f'{item.quantity} {item.place}'.strip()} at "
                f"{item.time:%Y-%m-%d %H:%M} UTC, "
                f"which is number {number} of the record",
                "a reading of another time; to change one use --correct",
            )
            for item in form.readings
            for number in known.get((*item.key, _naive(item.time)), ())
        ]  # fmt: skip
        if faults:
            raise InputError(faults)
        visit = form.visit
        batch = self._batch(
            "form", now, visit.who, form.file, form.sha256, visit.weather, visit.taken,
            visit.air, visit.zone, visit.remark,
        )  # fmt: skip
        self._write(
            batch.number,
            [(item, form.remarks.get(item.row, ""), item.row in form.looked)
             for item in form.readings],
        )  # fmt: skip
        return batch

    def correct(
        self,
        number: int,
        *,
        value: float | None,
        word: str,
        who: str,
        why: str,
        now: dt.datetime,
        temperature: float | None = None,
    ) -> Entry:
        """Put another reading in the place of one that stands.

        `value` in SI or `word`; neither takes the reading back. `temperature`: of the steel (degC),
        None where it was right. Raises `InputError` for a number that is none or is corrected
        already, and for a correction that nobody signs or explains.
        """
        faults = [
            Fault("command line", name, "nothing", allowed)
            for name, told, allowed in (
                ("--who", who, "who corrects it"),
                ("--why", why, "why it is corrected"),
            )
            if not told.strip()
        ]
        if faults:
            raise InputError(faults)
        old = self.entry(number)
        if old.replaced is not None or old.withdrawn:
            found = (
                f"{number}, corrected by {old.replaced}"
                if old.replaced is not None
                else f"{number}, taken back"
            )
            last = old
            while last.replaced is not None:
                last = self.entry(last.replaced)
            allowed = "a reading that stands" + (f", such as {last.number}" if last.stands else "")
            raise InputError([Fault(str(self.path), "number", found, allowed)])
        told = old.reading
        batch = self._batch("correction", now, who, "", None, "", "", None, "UTC", "")
        new = Reading(
            told.seat, told.quantity, told.place, value, word, told.time,
            told.temperature if temperature is None else temperature,
            told.who, told.instrument, told.file, told.row,
        )  # fmt: skip
        made = self._write(batch.number, [(new, old.remark, old.looked)], number, why)
        return self.entry(made)

    # -------------------------------------------------------------- inside
    def _rows(self, query: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        return self.connection.execute(query, list(values)).fetchall()

    def _new_file(self, file: str, sha256: str) -> None:
        """Refuse a file whose very bytes were taken in before."""
        known = self._rows("SELECT number, imported, who FROM batch WHERE sha256 = ?", [sha256])
        if known:
            number, imported, who = known[0]
            found = f"the file that came in as batch {number} on {imported:%Y-%m-%d} by {who}"
            raise InputError([Fault(file, "file", found, "a file that is not in the record")])

    def _standing(self) -> dict[tuple[object, ...], list[int]]:
        """Numbers of the readings that stand, by what was read and when."""
        rows = self._rows(
            "SELECT seat, quantity, place, time, number FROM reading WHERE number NOT IN "
            "(SELECT replaces FROM reading WHERE replaces IS NOT NULL) "
            "AND (value IS NOT NULL OR word <> '')"
        )
        found: dict[tuple[object, ...], list[int]] = {}
        for row in rows:
            found.setdefault(row[:4], []).append(row[4])
        return found

    def _numbers(self) -> str:
        least, most = self._rows("SELECT min(number), max(number) FROM reading")[0]
        return "a number of the record; it has none" if least is None else f"{least} to {most}"

    def _batch(
        self, kind: str, now: dt.datetime, who: str, file: str, sha256: str | None, *rest: object
    ) -> Batch:
        number = self._rows("SELECT coalesce(max(number), 0) + 1 FROM batch")[0][0]
        self.connection.execute(
            "INSERT INTO batch VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [number, _naive(now), kind, who, file, sha256, f"bedstone {__version__}", *rest],
        )
        return self.batches()[-1]

    def _write(
        self,
        batch: int,
        items: Sequence[tuple[Reading, str, bool]],
        replaces: int | None = None,
        why: str = "",
    ) -> int:
        """Add readings, each with its remark and whether it was in doubt; the last number."""
        last: int = self._rows("SELECT coalesce(max(number), 0) FROM reading")[0][0]
        rows = [
            (
                number, batch, *item.key, item.value, item.word, _naive(item.time),
                item.temperature, item.who, item.instrument, remark, looked, item.file, item.row,
                replaces, why,
            )
            for number, (item, remark, looked) in enumerate(items, start=last + 1)
        ]  # fmt: skip
        # column by column: row by row takes milliseconds for each
        lists = ", ".join(f"unnest(?::{kind}[])" for kind in _KINDS)
        self.connection.execute(
            f"INSERT INTO reading ({_READING}) SELECT {lists}",
            [list(column) for column in zip(*rows, strict=True)],
        )
        return last + len(rows)


def _digest(file: Path) -> str:
    """SHA-256 of a file; raises `InputError` where it cannot be read."""
    try:
        with file.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([Fault(file.name, "file", reason, "a log that can be read")]) from error


def _entry(row: tuple[Any, ...]) -> Entry:
    (
        number, batch, seat, quantity, place, value, word, time, temperature, who, instrument,
        remark, looked, file, line, replaces, why, replaced,
    ) = row  # fmt: skip
    reading = Reading(
        seat, quantity, place, value, word, time.replace(tzinfo=dt.UTC), temperature, who,
        instrument, file, line,
    )  # fmt: skip
    return Entry(number, batch, reading, remark, looked, replaces, why, replaced)


def _naive(time: dt.datetime) -> dt.datetime:
    """A time as the database keeps it: UTC without a zone."""
    if time.tzinfo is None:
        raise BedstoneError("a time without a zone")
    return time.astimezone(dt.UTC).replace(tzinfo=None)
