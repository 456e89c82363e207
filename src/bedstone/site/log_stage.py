"""A log on its way in: read once into a table, its lines and cells checked.

All work on a file goes through `Stage`, which carries the connection and says where a fault is.
Its table ``log_staged`` (code of the seat, ts, naive, m, t, bad) has the rows of the file in their
order; a wide file has as many rows in it for each of its own as it has movements.
"""

from __future__ import annotations

import csv
import gzip
import io
import re
import zlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import duckdb

from bedstone.errors import Fault, InputError
from bedstone.site.log_forms import LogForm, Told, What
from bedstone.site.log_heads import Column, Head, Track
from bedstone.site.tolerances import usual

#: Rows of one kind of fault that are listed.
LISTED = 5
#: Longest line of a CSV, and largest file (unpacked), bytes; most rows of a Parquet file.
_LONGEST = 4096
_LARGEST = 8_000_000_000
_MOST_ROWS = 200_000_000
#: Lines of a CSV that are kept of those which do not fall into cells.
_BROKEN = 100
#: No zone on earth is farther from UTC, s.
_FARTHEST = 14 * 3600
#: A folder named ``seat=A2-1`` is a folder, not a column.
_PLAIN = "hive_partitioning = false"
_ISO = "a stamp such as 2026-05-31T14:30:00Z"
_NUMBER = re.compile(
    r"U?(TINY|SMALL|BIG|HUGE)INT|INTEGER|UINTEGER|FLOAT|DOUBLE|DECIMAL\(\d+, ?\d+\)"
)
_TEXT = re.compile(r"VARCHAR|ENUM\([^\[]*\)")
_STAMPS = frozenset({"TIMESTAMP", "TIMESTAMP_S", "TIMESTAMP_MS", "TIMESTAMP_NS"})
_ZONED = "TIMESTAMP WITH TIME ZONE"


# ------------------------------------------------------------------ words of SQL
def quoted(name: str) -> str:
    """A name as SQL takes it."""
    return '"' + name.replace('"', '""') + '"'


def literal(text: str) -> str:
    """A text as SQL takes it."""
    return "'" + text.replace("'", "''") + "'"


def time_literal(at: datetime) -> str:
    """A time as SQL takes it, as the clock shows it: its zone is left out."""
    return f"TIMESTAMP '{shown(at.replace(tzinfo=None))}'"


def _path_literal(path: Path) -> str:
    """A path as DuckDB takes it: what it would read as a pattern stands in brackets."""
    return literal("".join(f"[{sign}]" if sign in "*?[" else sign for sign in str(path)))


def shown(at: datetime) -> str:
    """A time as messages have it."""
    return at.isoformat(" ", "seconds")


def parquet_columns(
    connection: duckdb.DuckDBPyConnection, path: Path
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names and types of the columns of a Parquet file.

    Raises `InputError` where it has more rows than are read.
    """
    place = _path_literal(path)
    count = connection.execute(f"SELECT num_rows FROM parquet_file_metadata({place})").fetchone()
    if count is not None and count[0] > _MOST_ROWS:
        found, allowed = f"{count[0]:,} rows", f"at most {_MOST_ROWS:,}; a file in parts"
        raise InputError([Fault(path.name, "file", found, allowed)])
    columns = (
        connection.execute(f"SELECT * FROM read_parquet({place}, {_PLAIN}) LIMIT 0").description
        or []
    )
    return tuple(str(item[0]) for item in columns), tuple(str(item[1]) for item in columns)


# ------------------------------------------------------------------ the stage
@dataclass(frozen=True)
class Stage:
    """One file and the connection it comes in by. `types`: of the columns of a Parquet file."""

    connection: duckdb.DuckDBPyConnection
    path: Path
    head: Head
    types: tuple[str, ...]
    wanted: LogForm

    def all(self, query: str) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        return self.connection.execute(query).fetchall()

    def one(self, query: str) -> tuple[Any, ...]:
        """The only row of a query."""
        found = self.connection.execute(query).fetchone()
        assert found is not None
        return found

    def clean(self) -> None:
        """Drop all that was made on the way."""
        for view in ("log_walk", "log_read"):
            self.connection.execute(f"DROP VIEW IF EXISTS temp.{view}")
        for table in ("log_staged", "log_again", "log_sorted", "log_broken", "log_scans"):
            self.connection.execute(f"DROP TABLE IF EXISTS temp.{table}")

    def number(self, name: str) -> float:
        """A number of the checks, SI."""
        return (self.wanted.tolerances or usual("logs")).number(name)

    def mark(self, code: int) -> str:
        """The seat of a code."""
        return self.wanted.seats[code - 1]

    @property
    def row(self) -> str:
        """The row of the file, as SQL over ``log_staged``; empty lines are not counted."""
        return f"(rowid // {len(self.head.tracks)} + {self.head.skip + 1})"

    # -------------------------------------------------------------- where a fault is
    def fault(self, line: int, column: str, found: str, allowed: str) -> Fault:
        """A fault of a cell."""
        where = f"{self.head.row_word} {line}, column {column}"
        return Fault(self.path.name, where, found, allowed)

    def file_fault(self, where: str, found: str, allowed: str) -> Fault:
        """A fault of a column or of the whole file."""
        return Fault(self.path.name, where, found, allowed)

    def told(
        self,
        what: What,
        text: str,
        code: int,
        count: int,
        row: int,
        first: datetime | None = None,
        last: datetime | None = None,
    ) -> Told:
        """Something to tell of a seat; times as DuckDB gives them."""
        aware = [None if at is None else at.replace(tzinfo=UTC) for at in (first, last)]
        return Told(what, text, self.mark(code), count, row, *aware)

    def rows(self, where: str, value: str, column: str, allowed: str) -> list[Fault]:
        """Faults of the rows of ``log_read`` of which something holds."""
        (count,) = self.one(f"SELECT count(*) FROM temp.log_read WHERE {where}")
        if not count:
            return []
        found = self.all(
            f"SELECT row, {value} FROM temp.log_read WHERE {where} ORDER BY row LIMIT {LISTED}"
        )
        lines = self.lines(row for row, _ in found)
        faults = [
            self.fault(lines[row], column, _value(value, cell), allowed) for row, cell in found
        ]
        if count > len(found):
            more = f"{count - len(found):,} more such rows"
            faults.append(self.file_fault(f"column {column}", more, allowed))
        return faults

    def lines(self, rows: Iterable[int]) -> Mapping[int, int]:
        """Lines of a CSV by the rows counted so far, which leave out empty lines."""
        wanted = set(rows)
        if self.head.form != "csv" or not wanted:
            return {row: row for row in wanted}
        found, count, last = {}, self.head.skip, max(wanted)
        with gzip.open(self.path) if self.head.packed else self.path.open("rb") as stream:
            text = io.TextIOWrapper(stream, encoding="utf-8", errors="replace", newline="")
            for _ in range(self.head.skip):
                text.readline()
            reader = csv.reader(text, delimiter=self.head.separator)
            for cells in reader:
                if not cells:
                    continue
                count += 1
                if count in wanted:
                    found[count] = self.head.skip + reader.line_num
                if count >= last:
                    break
        return {row: found.get(row, row) for row in wanted}

    # -------------------------------------------------------------- reading
    def read(self) -> None:
        """Make ``log_staged``; raises `InputError` for lines and cells that cannot be read."""
        _refuse(self._types() if self.head.form == "parquet" else self._size())
        self.clean()
        # rows are told by their number: they have to come in as the file has them
        self.connection.execute("SET preserve_insertion_order = true")
        self.connection.execute(
            "CREATE TEMP TABLE log_staged AS SELECT code::USMALLINT AS code, ts, naive, "
            "CASE WHEN no_m THEN NULL ELSE m END AS m, CASE WHEN no_t THEN NULL ELSE t END AS t, "
            f"(code IS NULL OR ts IS NULL OR {_unread('m')} OR {_unread('t')}) AS bad "
            f"FROM ({self._judged()})"
        )
        if self.head.form == "csv":
            _refuse(self._broken_lines())
        (rows,) = self.one("SELECT count(*) FROM temp.log_staged")
        if rows == 0:
            raise InputError([self.file_fault("file", "no rows", "at least one reading")])
        _refuse(self._cells())

    def _size(self) -> list[Fault]:
        """Refuse a file that is too large once unpacked: a small one may hold any number."""
        if self.head.packed:
            size = 0
            try:
                with gzip.open(self.path) as stream:
                    while size <= _LARGEST and (part := stream.read(1 << 20)):
                        size += len(part)
            except (OSError, EOFError, zlib.error) as error:
                allowed = "a packed file that is whole"
                return [self.file_fault("file", short(str(error)), allowed)]
        else:
            size = self.path.stat().st_size
        if size <= _LARGEST:
            return []
        allowed = f"at most {_LARGEST / 1e9:g} GB unpacked; a file in parts"
        return [self.file_fault("file", f"more than {_LARGEST / 1e9:g} GB", allowed)]

    def _types(self) -> list[Fault]:
        """Refuse columns of Parquet that are nested or of another kind."""
        faults = []

        def check(column: Column, fits: Callable[[str], bool], allowed: str) -> None:
            kind = self.types[column.number]
            if not fits(kind):
                found = f"type {short(kind)}"
                faults.append(self.file_fault(f"column {column.head}", found, allowed))

        def is_stamp(kind: str) -> bool:
            return kind in _STAMPS or kind in (_ZONED, "VARCHAR")

        check(self.head.time, is_stamp, "timestamps, or text in ISO 8601")
        if self.head.seat is not None:
            check(self.head.seat, lambda kind: bool(_TEXT.fullmatch(kind)), "text")
        for track in self.head.tracks:
            for column in (track.movement, track.temperature):
                check(column, lambda kind: bool(_NUMBER.fullmatch(kind)), "numbers")
        return list(dict.fromkeys(faults))

    def _raw(self, numbered: bool) -> str:
        """A query of the cells c0, c1 ... as the file has them, with the row where asked."""
        cells = [f"c{number}" for number in range(len(self.head.names))]
        place = _path_literal(self.path)
        if self.head.form == "parquet":
            names = ", ".join(
                f"{quoted(name)} AS {cell}"
                for name, cell in zip(self.head.names, cells, strict=True)
            )
            row = "file_row_number + 1 AS row, " if numbered else ""
            return (
                f"SELECT {row}{names} FROM read_parquet({place}, file_row_number = true, {_PLAIN})"
            )
        columns = ", ".join(f"'{cell}': 'VARCHAR'" for cell in cells)
        packing = "gzip" if self.head.packed else "none"
        row = f"row_number() OVER () + {self.head.skip} AS row, " if numbered else ""
        return (
            f"SELECT {row}* FROM read_csv({place}, auto_detect = false, header = false, "
            f"skip = {self.head.skip}, delim = {literal(self.head.separator)}, quote = '\"', "
            f"{_PLAIN}, escape = '\"', columns = {{{columns}}}, max_line_size = {_LONGEST}, "
            f"compression = '{packing}', store_rejects = true, rejects_table = 'log_broken', "
            f"rejects_scan = 'log_scans', rejects_limit = {_BROKEN})"
        )

    def _cells_query(self, numbered: bool) -> str:
        """A query of seat, stamp, moved and warm as the file has them, one row a movement."""
        head, row = self.head, "row, " if numbered else ""
        time = f"c{head.time.number}"

        def of(track: Track) -> str:
            return f"c{track.movement.number} AS moved, c{track.temperature.number} AS warm"

        if len(head.tracks) == 1:
            (track,) = head.tracks
            seat = literal(track.seat) if head.seat is None else f"c{head.seat.number}::VARCHAR"
            return (
                f"SELECT {row}{seat} AS seat, {time} AS stamp, {of(track)}, 0 AS n "
                f"FROM ({self._raw(numbered)})"
            )
        each = ", ".join(
            f"{{'seat': {literal(track.seat)}, 'moved': c{track.movement.number}, "
            f"'warm': c{track.temperature.number}, 'n': {number}}}"
            for number, track in enumerate(head.tracks)
        )
        return (
            f"SELECT {row}u.seat AS seat, stamp, u.moved AS moved, u.warm AS warm, u.n AS n FROM "
            f"(SELECT {row}{time} AS stamp, unnest([{each}]) AS u FROM ({self._raw(numbered)}))"
        )

    def _judged(self, *, numbered: bool = False) -> str:
        """The cells with their values in SI; no_m, no_t: there is no reading."""
        tracks, kinds = self.head.tracks, dict(enumerate(self.types))
        naive, ts = self._stamp(kinds.get(self.head.time.number, "VARCHAR"))
        marks = ", ".join(literal(mark) for mark in self.wanted.seats)
        columns = []
        for cell, name, of in (
            ("moved", "m", [track.movement for track in tracks]),
            ("warm", "t", [track.temperature for track in tracks]),
        ):
            text = kinds.get(of[0].number, "VARCHAR") == "VARCHAR"
            value = self._plain(cell) if text else f"{cell}::DOUBLE"
            factor = _by_track([column.factor for column in of])
            shift = _by_track([column.shift for column in of])
            columns.append(f"{value} * {factor} + {shift} AS {name}")
            columns.append(f"{self._empty(cell, text=text)} AS no_{name}")
        return (
            f"SELECT *, list_position([{marks}], trim(seat)) AS code, {naive} AS naive, "
            f"{ts} AS ts, {', '.join(columns)} FROM ({self._cells_query(numbered)})"
        )

    def _plain(self, cell: str) -> str:
        text = f"replace({cell}, ',', '.')" if self.wanted.decimal == "," else cell
        return f"try_cast({text} AS DOUBLE)"

    def _empty(self, cell: str, *, text: bool) -> str:
        """Whether a cell stands for no reading."""
        if not text:
            return f"({cell} IS NULL OR isnan({cell}::DOUBLE))"
        words = [literal(word.lower()) for word in self.wanted.missing] or ["''"]
        said = f"({cell} IS NULL OR lower(trim({cell})) IN ({', '.join(words)}))"
        if any(_is_number(word) for word in self.wanted.missing):
            return said
        # what is a number is none of the words: spares most cells the comparison
        return f"(CASE WHEN isfinite({self._plain(cell)}) THEN false ELSE {said} END)"

    def _stamp(self, kind: str) -> tuple[str, str]:
        """Whether a stamp is of the clock on site, and its time: as the clock shows it, or UTC."""
        if kind in _STAMPS:
            return "true", "stamp::TIMESTAMP"
        if kind == _ZONED:
            return "false", "timezone('UTC', stamp)"
        text = "trim(stamp)"
        if self.wanted.stamp:
            return "true", f"try_strptime({text}, {literal(self.wanted.stamp)})::TIMESTAMP"
        tail = f"substr({text}, 17)"
        zoned = f"(upper({text}[-1]) = 'Z' OR contains({tail}, '+') OR contains({tail}, '-'))"
        plain = f"try_cast({text} AS TIMESTAMP)"
        utc = f"timezone('UTC', try_cast({text} AS TIMESTAMPTZ))"
        # zones in letters are read by nobody the same way; a day alone is no stamp
        return f"NOT {zoned}", (
            f"CASE WHEN length({text}) < 16 THEN NULL "
            f"WHEN {zoned} AND abs(epoch({utc}) - epoch({plain})) <= {_FARTHEST} THEN {utc} "
            f"WHEN NOT {zoned} AND {text}[-1] BETWEEN '0' AND '9' THEN {plain} END"
        )

    # -------------------------------------------------------------- what cannot be read
    def _broken_lines(self) -> list[Fault]:
        """Lines that do not fall into cells, and letters that are no UTF-8."""
        cells = f"{len(self.head.names)} cells, as the head has"
        words = {
            "missing columns": cells,
            "too many columns": cells,
            "invalid encoding": "text in UTF-8",
            "line size over maximum": f"at most {_LONGEST} characters",
            "unquoted value": "quotes that close in the same line",
        }
        broken = self.all(
            "SELECT line, lower(error_type::VARCHAR), csv_line FROM temp.log_broken ORDER BY line"
        )
        faults = [
            self.file_fault(
                f"line {line}",
                f"{kind}: {short(text or '')!r}",
                words.get(kind, "cells parted as in the head"),
            )
            for line, kind, text in broken[:LISTED]
        ]
        if len(broken) > LISTED:
            more = f"{len(broken) - LISTED} more lines{' or more' * (len(broken) >= _BROKEN)}"
            faults.append(self.file_fault("file", f"{more} that do not fall into cells", "none"))
        return faults

    def _cells(self) -> list[Fault]:
        """Unknown seats, stamps that are none, text among numbers."""
        (count,) = self.one("SELECT count(*) FROM temp.log_staged WHERE bad")
        if not count:
            return []
        when = f"a stamp of the form {self.wanted.stamp}" if self.wanted.stamp else _ISO
        seat = "seat" if self.head.seat is None else self.head.seat.head
        decimal = self.wanted.decimal
        number = f"a number with {decimal!r} for its decimals; empty where there is none"
        kinds = (
            ("code IS NULL", "seat", seat, ", ".join(self.wanted.seats)),
            ("ts IS NULL", "stamp", self.head.time.head, when),
            (_unread("m"), "moved", self.head.movement, number),
            (_unread("t"), "warm", self.head.temperature, number),
        )
        # read once more, for what the cells say
        self.connection.execute("DROP TABLE IF EXISTS temp.log_broken")
        self.connection.execute("DROP TABLE IF EXISTS temp.log_scans")
        texts = ", ".join(f"{cell}::VARCHAR" for _, cell, _, _ in kinds)
        flags = ", ".join(f"coalesce({wrong}, false)" for wrong, _, _, _ in kinds)
        found = self.all(
            f"SELECT row, [{texts}], [{flags}] FROM ({self._judged(numbered=True)}) "
            f"WHERE list_bool_or([{flags}]) ORDER BY row LIMIT {20 * LISTED}"
        )
        lines = self.lines(row for row, _, _ in found)
        faults: list[Fault] = []
        for number_of, (_, _, column, allowed) in enumerate(kinds):
            here = [(row, texts[number_of]) for row, texts, flags in found if flags[number_of]]
            for row, text in here[:LISTED]:
                cell = repr(short(text)) if text is not None and text.strip() else "nothing"
                faults.append(self.fault(lines[row], column, cell, allowed))
        if count > len(faults):
            more = f"{count:,} rows with a cell that cannot be read; the first are listed"
            faults.append(self.file_fault("file", more, "none"))
        return faults


def short(text: str) -> str:
    """A text on one line, cut."""
    line = " ".join(text[:200].split())
    return line if len(line) <= 60 else line[:59] + "…"


def _refuse(faults: Sequence[Fault]) -> None:
    if faults:
        raise InputError(list(faults))


def _unread(name: str) -> str:
    """Whether a number stands in a cell that is not empty and cannot be read."""
    return f"(NOT no_{name} AND ({name} IS NULL OR NOT isfinite({name})))"


def _by_track(values: Sequence[float]) -> str:
    """A number of each movement of a row, as SQL: one, or by its number n."""
    if len(set(values)) == 1:
        return repr(values[0])
    cases = " ".join(f"WHEN {number} THEN {value!r}" for number, value in enumerate(values))
    return f"(CASE n {cases} END)"


def _is_number(word: str) -> bool:
    try:
        return abs(float(word)) < float("inf")
    except ValueError:
        return False


def _value(what: str, found: Any) -> str:
    """A cell of ``log_read`` as messages have it."""
    if isinstance(found, datetime):
        return shown(found)
    return f"{found:.6g} degC" if what == "t" else f"{found * 1e3:.6g} mm"
