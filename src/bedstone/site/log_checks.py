"""What a log is checked for on its way in, in SQL: cells, clock, units, columns, sensors."""

from __future__ import annotations

import csv
import gzip
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

import duckdb

from bedstone.errors import Fault, InputError
from bedstone.site.clocks import Stretch, stretches, zone_of
from bedstone.site.log_heads import Column, Head, Track
from bedstone.site.tolerances import Tolerances, usual

#: What looks wrong and may be right: refused until a person says that it was looked at.
SUSPICIONS = ("temperature", "swapped", "units")

#: Rows of one kind of fault that are listed.
_LISTED = 5
#: Longest line of a CSV, bytes.
_LONGEST = 4096
#: Most rows of a file.
_MOST_ROWS = 100_000_000
#: Share of the readings that decides what a whole column is.
_MOST, _FEW = 0.99, 0.01
#: Stamps with readings of two seats and more that are looked at for swapped columns.
_STAMPS = 100_000
#: Units that get mixed up stand to each other as these: mm and cm, mm and inches, m and mm.
_RATIOS = (10.0, 25.4, 1000.0)
_ISO = "a stamp such as 2026-05-31T14:30:00Z"
_FINITE = frozenset(
    {"TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT", "UTINYINT", "USMALLINT", "UINTEGER",
     "UBIGINT", "UHUGEINT", "FLOAT", "DOUBLE"}
)  # fmt: skip
_STAMPED = frozenset({"TIMESTAMP", "TIMESTAMP_S", "TIMESTAMP_MS", "TIMESTAMP_NS"})
_ZONED = "TIMESTAMP WITH TIME ZONE"


@dataclass(frozen=True)
class Source:
    """A file, its head, and for Parquet the types of its columns."""

    path: Path
    head: Head
    types: tuple[str, ...]


@dataclass(frozen=True)
class Told:
    """What the engineer should know of a log that came in.

    - `what`: missing, repeats, order, gaps, stuck, spikes, hour twice, columns, accepted
    - `seat`: "" where it is the whole file; `count` of rows or places
    - `row`: the first, 0 where it is no row; `first`, `last` (UTC): the place, the worst of several
    """

    what: str
    text: str
    seat: str = ""
    count: int = 0
    row: int = 0
    first: datetime | None = None
    last: datetime | None = None


def quoted(name: str) -> str:
    """A name as SQL takes it."""
    return '"' + name.replace('"', '""') + '"'


def literal(text: str) -> str:
    """A text as SQL takes it."""
    return "'" + text.replace("'", "''") + "'"


def parquet_columns(
    connection: duckdb.DuckDBPyConnection, path: Path
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names and types of the columns of a Parquet file."""
    found = connection.execute(f"SELECT * FROM read_parquet({_place(path)}) LIMIT 0").description
    columns = found or []
    return tuple(str(item[0]) for item in columns), tuple(str(item[1]) for item in columns)


def _place(path: Path) -> str:
    """A path as DuckDB takes it: what it would read as a pattern stands in brackets."""
    return literal("".join(f"[{sign}]" if sign in "*?[" else sign for sign in str(path)))


@dataclass(frozen=True)
class Checks:
    """All checks of one file, and the table ``incoming`` that is left when they hold."""

    connection: duckdb.DuckDBPyConnection
    source: Source
    seats: Sequence[str]
    zone: str
    stamp: str
    decimal: str
    missing: Sequence[str]
    steel: tuple[float, float] | None
    since: datetime | None
    now: datetime
    accept: frozenset[str]
    tolerances: Tolerances | None

    # -------------------------------------------------------------- the way through
    def run(self) -> tuple[Told, ...]:
        """Read, check, and make ``incoming``; what is told. Raises `InputError`."""
        self._types()
        self._stage()
        self._broken_lines()
        self._refuse(self._cells())
        told = self._clock()
        found = [*self._dates(), *self._temperatures(), *self._movements(), *self._swapped()]
        self._refuse(found)
        self._sort()
        self._refuse([*self._contradictions(), *self._units()])
        told += self._left_out()
        self._finish()
        told += [*self._order(), *self._gaps(), *self._stuck(), *self._spikes()]
        if self.source.head.unread:
            columns = ", ".join(name[:40] for name in self.source.head.unread[:20])
            told.append(Told("columns", f"columns not read: {columns}"))
        return tuple(told)

    def extent(self) -> tuple[int, datetime, datetime]:
        """Rows of ``incoming``, its first and its last reading (UTC)."""
        rows, first, last = self._one("SELECT count(*), min(time), max(time) FROM temp.incoming")
        return rows, first.replace(tzinfo=UTC), last.replace(tzinfo=UTC)

    def present(self) -> frozenset[str]:
        """Seats of ``incoming``."""
        return frozenset(row[0] for row in self._all("SELECT DISTINCT seat FROM temp.incoming"))

    def clean(self) -> None:
        """Drop all that was made on the way."""
        for table in ("log_staged", "log_sorted", "log_broken", "log_scans"):
            self.connection.execute(f"DROP TABLE IF EXISTS temp.{table}")

    # -------------------------------------------------------------- reading
    def _types(self) -> None:
        """Refuse columns of Parquet that are nested or of another kind."""
        head, faults = self.source.head, []

        def check(column: Column, fits: Callable[[str], bool], allowed: str) -> None:
            kind = self.source.types[column.number]
            if not fits(kind):
                where = f"column {column.head}"
                faults.append(Fault(self._name, where, f"type {kind[:60]}", allowed))

        if head.form == "csv":
            return
        stamps = "a timestamp, or text in ISO 8601"
        check(head.time, lambda kind: kind in _STAMPED or kind in (_ZONED, "VARCHAR"), stamps)
        if head.seat is not None:
            check(head.seat, lambda kind: kind == "VARCHAR" or kind.startswith("ENUM"), "text")
        for track in head.tracks:
            for column in (track.movement, track.temperature):
                check(column, _is_number, "numbers")
        if faults:
            raise InputError(list(dict.fromkeys(faults)))

    def _cells_sql(self) -> str:
        """A query of row, seat, stamp, movement and temperature as the file has them."""
        head = self.source.head
        cells = [f"c{number}" for number in range(len(head.names))]
        if head.form == "csv":
            columns = ", ".join(f"'{cell}': 'VARCHAR'" for cell in cells)
            raw = (
                f"SELECT row_number() OVER () + {head.skip} AS row, * FROM read_csv("
                f"{_place(self.source.path)}, header = false, skip = {head.skip}, "
                f"auto_detect = false, delim = {literal(head.separator)}, quote = '\"', "
                f"escape = '\"', columns = {{{columns}}}, max_line_size = {_LONGEST}, "
                f"compression = '{'gzip' if head.packed else 'none'}', store_rejects = true, "
                "rejects_table = 'log_broken', rejects_scan = 'log_scans', rejects_limit = 100) "
                f"LIMIT {_MOST_ROWS + 1}"
            )
        else:
            read = f"read_parquet({_place(self.source.path)}, file_row_number = true)"
            named = ", ".join(
                f"{quoted(name)} AS {cell}" for name, cell in zip(head.names, cells, strict=True)
            )
            raw = f"SELECT file_row_number + 1 AS row, {named} FROM {read} LIMIT {_MOST_ROWS + 1}"
        time = cells[head.time.number]

        def of(track: Track) -> tuple[str, str]:
            return cells[track.movement.number], cells[track.temperature.number]

        if len(head.tracks) == 1:
            (track,) = head.tracks
            seat = literal(track.seat) if head.seat is None else cells[head.seat.number]
            moved, warm = of(track)
            return (
                f"SELECT row, {seat} AS seat, {time} AS stamp, {moved} AS moved, {warm} AS warm "
                f"FROM ({raw})"
            )
        each = ", ".join(
            f"{{'seat': {literal(track.seat)}, 'moved': {moved}, 'warm': {warm}, 'n': {n}}}"
            for n, track in enumerate(head.tracks)
            for moved, warm in (of(track),)
        )
        return (
            "SELECT row, u.seat AS seat, stamp, u.moved AS moved, u.warm AS warm, u.n AS n FROM "
            f"(SELECT row, {time} AS stamp, unnest([{each}]) AS u FROM ({raw}))"
        )

    def _judged_sql(self) -> str:
        """The cells with their values in SI and a flag for each that cannot be read."""
        head = self.source.head
        kinds = dict(enumerate(self.source.types))
        time_kind = kinds.get(head.time.number, "VARCHAR")
        local, utc = self._stamp_sql(time_kind)
        track = head.tracks[0]  # all of one unit but for wide files, see below
        moved = self._number_sql("moved", kinds.get(track.movement.number, "VARCHAR"))
        warm = self._number_sql("warm", kinds.get(track.temperature.number, "VARCHAR"))
        scale = _by_track([item.movement.factor for item in head.tracks])
        warm_scale = _by_track([item.temperature.factor for item in head.tracks])
        warm_shift = _by_track([item.temperature.shift for item in head.tracks])
        marks = ", ".join(literal(mark) for mark in self.seats)
        return (
            f"SELECT *, list_position([{marks}], trim(seat)) AS code, {local} AS naive, "
            f"{utc} AS ts, {moved} * {scale} AS m, {warm} * {warm_scale} + {warm_shift} AS t, "
            f"{self._missing_sql('moved')} AS no_moved, {self._missing_sql('warm')} AS no_warm "
            f"FROM ({self._cells_sql()})"
        )

    def _stamp_sql(self, kind: str) -> tuple[str, str]:
        """Whether a stamp is of the clock on site, and its time (as the clock shows it or UTC)."""
        if kind in _STAMPED:
            return "true", "stamp::TIMESTAMP"
        if kind == _ZONED:
            return "false", "timezone('UTC', stamp)"
        if self.stamp:
            return "true", f"try_strptime(trim(stamp), {literal(self.stamp)})"
        text = "trim(stamp)"
        tail = f"substr({text}, 17)"
        zoned = f"(upper({text}[-1]) = 'Z' OR contains({tail}, '+') OR contains({tail}, '-'))"
        plain = f"try_cast({text} AS TIMESTAMP)"
        utc = f"timezone('UTC', try_cast({text} AS TIMESTAMPTZ))"
        # a zone by name or letters is read by nobody the same way; half a date is no stamp
        whole = f"length({text}) >= 16 AND ({text}[-1] BETWEEN '0' AND '9' OR {zoned})"
        fits = f"abs(epoch({utc}) - epoch({plain})) <= 50400"  # 14 h, as far as any zone is off
        value = (
            f"CASE WHEN NOT ({whole}) THEN NULL WHEN NOT {zoned} THEN {plain} "
            f"WHEN {fits} THEN {utc} END"
        )
        return f"NOT {zoned}", value

    def _number_sql(self, cell: str, kind: str) -> str:
        if kind != "VARCHAR":
            return f"{cell}::DOUBLE"
        text = f"replace({cell}, ',', '.')" if self.decimal == "," else cell
        return f"try_cast({text} AS DOUBLE)"

    def _missing_sql(self, cell: str) -> str:
        words = ", ".join(literal(word) for word in self.missing)
        text = f"lower(trim({cell}::VARCHAR))"
        return f"({cell} IS NULL OR {text} IN ({words}))" if words else f"({cell} IS NULL)"

    def _stage(self) -> None:
        """Read the file once into ``log_staged``: bad: a cell that cannot be read."""
        self.clean()
        number = "(m IS NULL OR NOT isfinite(m)) AND NOT no_moved"
        warm = "(t IS NULL OR NOT isfinite(t)) AND NOT no_warm"
        self.connection.execute(
            "CREATE TEMP TABLE log_staged AS SELECT row, code::USMALLINT AS code, ts, naive, "
            "CASE WHEN no_moved THEN NULL ELSE m END AS m, "
            "CASE WHEN no_warm THEN NULL ELSE t END AS t, "
            f"(code IS NULL OR ts IS NULL OR ({number}) OR ({warm})) AS bad "
            f"FROM ({self._judged_sql()})"
        )

    # -------------------------------------------------------------- faults of lines and cells
    def _broken_lines(self) -> None:
        """Refuse lines that do not fall into cells, wrong letters, and files without rows."""
        if self.source.head.form == "csv":
            broken = self._all(
                "SELECT line, lower(error_type), csv_line FROM temp.log_broken ORDER BY line"
            )
            words = {
                "missing columns": f"{len(self.source.head.names)} cells, as the head has",
                "too many columns": f"{len(self.source.head.names)} cells, as the head has",
                "invalid encoding": "text in UTF-8",
                "line size over maximum": f"at most {_LONGEST} characters",
                "unquoted value": "quotes that close in the same line",
            }
            faults = [
                Fault(
                    self._name,
                    f"line {line}",
                    f"{kind}: {_short(text or '')!r}",
                    words.get(kind, "cells parted as in the head"),
                )
                for line, kind, text in broken[:_LISTED]
            ]
            if len(broken) > _LISTED:
                more = f"{len(broken) - _LISTED} more lines or more that do not fall into cells"
                faults.append(Fault(self._name, "file", more, "none"))
            self._refuse(faults)
        (rows,) = self._one("SELECT count(*) FROM temp.log_staged")
        if rows == 0:
            raise InputError([Fault(self._name, "file", "no rows", "at least one reading")])
        if rows > _MOST_ROWS * len(self.source.head.tracks):
            found = f"more than {_MOST_ROWS:,} rows"
            raise InputError([Fault(self._name, "file", found, "a file in parts")])

    def _cells(self) -> list[Fault]:
        """Cells that cannot be read: unknown seats, stamps, text in a column of numbers."""
        (count,) = self._one("SELECT count(*) FROM temp.log_staged WHERE bad")
        if not count:
            return []
        head = self.source.head
        known = ", ".join(self.seats)
        when = f"a stamp of the form {self.stamp}" if self.stamp else _ISO
        seat = head.seat.head if head.seat is not None else "seat"
        moved = _one_head([track.movement for track in head.tracks])
        warm = _one_head([track.temperature for track in head.tracks])
        other = "." if self.decimal == "," else ","
        number = f"a number with decimal {self.decimal!r}, not {other!r}; empty where none"
        kinds = (
            ("code IS NULL", "seat", seat, known),
            ("ts IS NULL", "stamp", head.time.head, when),
            ("(m IS NULL OR NOT isfinite(m)) AND NOT no_moved", "moved", moved, number),
            ("(t IS NULL OR NOT isfinite(t)) AND NOT no_warm", "warm", warm, number),
        )
        faults: list[Fault] = []
        judged = self._judged_sql()
        self.connection.execute("DROP TABLE IF EXISTS temp.log_broken")
        self.connection.execute("DROP TABLE IF EXISTS temp.log_scans")
        shown = ", ".join(f"{cell}::VARCHAR" for _, cell, _, _ in kinds)
        flags = ", ".join(f"coalesce({where}, false)" for where, _, _, _ in kinds)
        wrong = " OR ".join(f"({where})" for where, _, _, _ in kinds)
        found = self._all(
            f"SELECT row, [{shown}], [{flags}] FROM ({judged}) WHERE {wrong} "
            f"ORDER BY row LIMIT {20 * _LISTED}"
        )
        rows = self._lines([row[0] for row in found])
        for number_of, (_, cell, column, allowed) in enumerate(kinds):
            here = [row for row in found if row[2][number_of]]
            for row in here[:_LISTED]:
                text = row[1][number_of]
                shown_text = "nothing" if text is None or not text.strip() else repr(_short(text))
                faults.append(self._fault(rows[row[0]], column, shown_text, allowed))
        if count > len(faults):
            more = f"{count:,} rows with a cell that cannot be read; the first are listed"
            faults.append(Fault(self._name, "file", more, "none"))
        return faults

    # -------------------------------------------------------------- clock
    def _clock(self) -> list[Told]:
        """Stamps of a clock on site to UTC; refuses hours that are missing or not told apart."""
        first, last, count = self._one(
            "SELECT min(ts), max(ts), count(*) FROM temp.log_staged WHERE naive"
        )
        if not count:
            return []
        if not self.zone:
            (row,) = self._one("SELECT min(row) FROM temp.log_staged WHERE naive")
            allowed = "stamps with Z or an offset, or the zone told (a name, +01:00, UTC)"
            found = f"{count:,} stamps without a zone, the first here"
            line = self._lines([row])[row]
            raise InputError([self._fault(line, self.source.head.time.head, found, allowed)])
        try:
            zone = zone_of(self.zone)
        except ValueError as error:
            allowed = "a zone such as Europe/Lisbon, an offset such as +01:00, or UTC"
            raise InputError([Fault("command line", "zone", repr(self.zone[:60]), allowed)]) from (
                error
            )
        if first.year < 1800 or last.year > 2400:
            return []  # no time of any bridge: refused by the dates
        parts = stretches(zone, first, last)
        self._refuse(self._missing_hours(parts))
        told = self._hours_twice(parts)
        ahead = _piecewise("ts", parts)
        twice = self._twice_sql(parts)
        if told:
            # of an hour that comes twice the second one lies in the stretch that begins with it
            self.connection.execute(
                "CREATE TEMP TABLE log_sorted AS SELECT row, code, ts, "
                f"({self._again_sql(parts)}) AS again FROM temp.log_staged WHERE naive AND {twice}"
            )
            self.connection.execute(
                "UPDATE temp.log_staged AS s SET ts = s.ts - to_microseconds(CASE WHEN d.again "
                f"THEN {_piecewise('s.ts', parts)} ELSE {_piecewise('s.ts', parts, late=True)} END)"
                ", naive = false FROM temp.log_sorted AS d WHERE s.row = d.row AND s.code = d.code"
            )
            self.connection.execute("DROP TABLE temp.log_sorted")
        self.connection.execute(
            f"UPDATE temp.log_staged SET ts = ts - to_microseconds({ahead}), naive = false "
            "WHERE naive"
        )
        return told

    def _missing_hours(self, parts: Sequence[Stretch]) -> list[Fault]:
        """Stamps in hours that the clock leaps over."""
        gaps = [(part.missing, part.start) for part in parts if part.missing < part.start]
        if not gaps:
            return []
        where = " OR ".join(f"(ts >= {_sql(a)} AND ts < {_sql(b)})" for a, b in gaps)
        allowed = (
            f"an hour that exists in {self.zone}; for a clock that is not put forward in spring "
            "tell its offset (+01:00) for the zone"
        )
        return self._rows(f"naive AND ({where})", "ts", self.source.head.time.head, allowed)

    def _twice_sql(self, parts: Sequence[Stretch]) -> str:
        folds = [(part.start, part.twice) for part in parts if part.start < part.twice]
        inside = " OR ".join(f"(ts >= {_sql(a)} AND ts < {_sql(b)})" for a, b in folds)
        return f"({inside or 'false'})"

    def _again_sql(self, parts: Sequence[Stretch]) -> str:
        """Whether the clock has shown this time before: in the order of the file it went back."""
        folds = [part for part in parts if part.start < part.twice]
        which = " ".join(
            f"WHEN ts >= {_sql(part.start)} AND ts < {_sql(part.twice)} THEN {number}"
            for number, part in enumerate(folds)
        )
        return (
            f"coalesce(max(ts) OVER (PARTITION BY code, CASE {which} END ORDER BY row "
            "ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) >= ts, false)"
        )

    def _hours_twice(self, parts: Sequence[Stretch]) -> list[Told]:
        """Told where the file goes through such an hour twice; refused where it does so once."""
        twice = self._twice_sql(parts)
        if twice == "(false)":
            return []
        rows = self._all(
            f"WITH d AS (SELECT row, code, ts, {self._again_sql(parts)} AS again "
            f"FROM temp.log_staged WHERE naive AND {twice}) "
            "SELECT code, ts::DATE AS day, min(row), min(ts), count(*), bool_or(again) FROM d "
            "GROUP BY ALL ORDER BY 3"
        )
        once = [row for row in rows if not row[5]]
        lines = self._lines([row[2] for row in once[:_LISTED]])
        allowed = "the hour twice in the order of the file, or stamps with Z or an offset"
        self._refuse(
            [
                self._fault(
                    lines[row[2]],
                    self.source.head.time.head,
                    f"{_shown(row[3])} of {self._mark(row[0])}, an hour that comes twice in "
                    f"{self.zone}",
                    allowed,
                )
                for row in once[:_LISTED]
            ]
        )
        return [
            Told(
                "hour twice",
                f"clock put back {_shown(row[3])}: told apart by the order of the file",
                self._mark(row[0]),
                row[4],
                row[2],
            )
            for row in rows
        ]

    def _dates(self) -> list[Fault]:
        """Stamps ahead of now, and before the bridge."""
        latest = self.now.astimezone(UTC) + timedelta(hours=self._number("clock"))
        head = self.source.head.time.head
        allowed = f"not after {self.now.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
        faults = self._rows(f"ts > {_sql(latest.replace(tzinfo=None))}", "ts", head, allowed)
        since = self.since or datetime(1900, 1, 1, tzinfo=UTC)
        start = since.astimezone(UTC)
        allowed = f"not before {start:%Y-%m-%d}"
        return faults + self._rows(f"ts < {_sql(start.replace(tzinfo=None))}", "ts", head, allowed)

    # -------------------------------------------------------------- values
    @cached_property
    def _range(self) -> tuple[float, float]:
        """Between what a steel temperature can lie, degC."""
        low, high = -self._number("coldest"), self._number("warmest")
        if self.steel is None:
            return low, high
        more = self._number("beyond")
        return max(low, self.steel[0] - more), min(high, self.steel[1] + more)

    def _temperatures(self) -> list[Fault]:
        """Temperatures that steel here cannot have: degF, columns swapped, or single rows."""
        if "temperature" in self.accept:
            return []
        low, high = self._range
        steps = [(track.movement.factor, track.temperature) for track in self.source.head.tracks]
        factor = steps[0][0]
        out = f"(t < {low} OR t > {high})"
        count, outside, as_f, as_moved = self._one(
            f"SELECT count(t), count(*) FILTER (WHERE {out}), "
            f"count(*) FILTER (WHERE (t - 32) / 1.8 BETWEEN {low} AND {high}), "
            f"count(*) FILTER (WHERE m / {factor} BETWEEN {low} AND {high}) FROM temp.log_staged"
        )
        if not outside:
            return []
        heads = _one_head([column for _, column in steps])
        told_f = any(column.fahrenheit for _, column in steps)
        if outside > _FEW * count and as_f >= _MOST * count and not told_f:
            found = f"{outside:,} of {count:,} outside {low:g} to {high:g} degC, inside as degF"
            allowed = f"temperature [degF] in the head where it is degF{_or_accept('temperature')}"
            return [Fault(self._name, f"column {heads}", found, allowed)]
        if outside > _FEW * count and as_moved >= _MOST * count and "swapped" not in self.accept:
            found = (
                f"{outside:,} of {count:,} outside {low:g} to {high:g} degC, the movement inside"
            )
            allowed = f"columns the right way round{_or_accept('swapped')}"
            return [Fault(self._name, f"column {heads}", found, allowed)]
        allowed = f"steel between {low:g} and {high:g} degC{_or_accept('temperature')}"
        return self._rows(out, "t", heads, allowed)

    def _movements(self) -> list[Fault]:
        """Movements that no bearing makes."""
        most = self._number("most_movement")
        heads = _one_head([track.movement for track in self.source.head.tracks])
        return self._rows(f"abs(m) > {most}", "m", heads, f"at most {most:g} m either way")

    def _swapped(self) -> list[Fault]:
        """Movement alike at all seats while their temperatures differ: the columns are swapped."""
        if "swapped" in self.accept:
            return []
        stamps, moved, warm = self._one(
            "SELECT count(*), count(*) FILTER (WHERE m0 = m1), count(*) FILTER (WHERE t0 = t1) "
            "FROM (SELECT min(m) AS m0, max(m) AS m1, min(t) AS t0, max(t) AS t1 FROM "
            f"(SELECT * FROM temp.log_staged LIMIT {_STAMPS}) GROUP BY ts "
            "HAVING count(m) > 1 AND count(t) > 1 AND count(DISTINCT code) > 1)"
        )
        if stamps < 20 or moved < _MOST * stamps or warm > stamps / 2:
            return []
        heads = _one_head([track.movement for track in self.source.head.tracks])
        found = f"alike at all seats in {moved:,} of {stamps:,} stamps, as a temperature is"
        allowed = f"columns the right way round{_or_accept('swapped')}"
        return [Fault(self._name, f"column {heads}", found, allowed)]

    # -------------------------------------------------------------- in the order of time
    def _sort(self) -> None:
        """Readings that are whole, by seat and time: ``log_sorted`` with its neighbours."""
        self.connection.execute(
            "CREATE TEMP TABLE log_sorted AS SELECT row, code, ts, m, t FROM temp.log_staged "
            "WHERE m IS NOT NULL AND t IS NOT NULL ORDER BY code, ts, row"
        )
        (left,) = self._one("SELECT count(*) FROM temp.log_sorted")
        if not left:
            allowed = "rows with stamp, movement and temperature"
            raise InputError([Fault(self._name, "file", "no whole reading", allowed)])

    def _contradictions(self) -> list[Fault]:
        """Several readings of one seat at one time that differ."""
        rows = self._all(
            "SELECT row, r0, code, ts FROM (SELECT row, code, ts, m, t, "
            f"{_before('row')} AS r0, {_before('code')} AS k0, {_before('ts')} AS a0, "
            f"{_before('m')} AS m0, {_before('t')} AS t0 FROM temp.log_sorted) "
            "WHERE code = k0 AND ts = a0 AND (m <> m0 OR t <> t0) ORDER BY row"
            f" LIMIT {10_000}"
        )
        shown = rows[:_LISTED]
        lines = self._lines([row for item in shown for row in item[:2]])
        faults = [
            self._fault(
                lines[row],
                "seat and time",
                f"{self._mark(code)} at {_shown(at)} UTC with other values",
                f"one reading (it stands in {self._row_word} {lines[other]} already)",
            )
            for row, other, code, at in shown
        ]
        if len(rows) > _LISTED:
            more = f"{len(rows) - _LISTED:,} more such rows or more"
            faults.append(Fault(self._name, "file", more, "none"))
        return faults

    def _units(self) -> list[Fault]:
        """Stretches of another unit: reading and scatter jump together by the ratio of two."""
        if "units" in self.accept:
            return []
        near = self._number("units_likeness")
        least = self._number("units_least")
        stretch = int(self._number("units_stretch"))
        ratio = "greatest(abs(m), abs(m0)) / least(abs(m), abs(m0))"
        like = " OR ".join(
            f"{ratio} BETWEEN {value * (1 - near)} AND {value * (1 + near)}" for value in _RATIOS
        )
        found = self._all(
            "WITH s AS (SELECT *, row_number() OVER () AS n, "
            f"{_before('code')} AS k0, {_before('m')} AS m0 FROM temp.log_sorted), "
            "c AS (SELECT n, row, code, ts, m, m0 FROM s WHERE code = k0 AND m <> 0 AND m0 <> 0 "
            f"AND greatest(abs(m), abs(m0)) >= {least} AND ({like}) LIMIT 2000), "
            "b AS (SELECT c.n, any_value(c.row) AS row, any_value(c.code) AS code, "
            "any_value(c.ts) AS ts, any_value(c.m) AS m, any_value(c.m0) AS m0, "
            "count(*) FILTER (WHERE s.n < c.n) AS n0, count(*) FILTER (WHERE s.n >= c.n) AS n1, "
            "median(abs(s.m)) FILTER (WHERE s.n < c.n) AS a0, "
            "median(abs(s.m)) FILTER (WHERE s.n >= c.n) AS a1, "
            "stddev_samp(s.m) FILTER (WHERE s.n < c.n) AS s0, "
            "stddev_samp(s.m) FILTER (WHERE s.n >= c.n) AS s1 FROM c JOIN s ON s.code = c.code "
            f"AND s.n >= c.n - {stretch} AND s.n < c.n + {stretch} GROUP BY c.n) "
            "SELECT row, code, ts, abs(m / m0), abs(a1 / a0), s1 / s0 FROM b "
            "WHERE n0 >= 3 AND n1 >= 3 AND a0 > 0 AND a1 > 0 AND s0 > 0 AND s1 > 0 ORDER BY row"
        )
        jumps = [
            row
            for row in found
            if any(_all_near(row[3:], one, near) for value in _RATIOS for one in (value, 1 / value))
        ]
        lines = self._lines([row[0] for row in jumps[:_LISTED]])
        heads = _one_head([track.movement for track in self.source.head.tracks])
        return [
            self._fault(
                lines[row],
                heads,
                f"{self._mark(code)} at {_shown(at)} UTC: from here {jump:.3g} times as large, "
                "scatter and all",
                f"one unit in the whole column{_or_accept('units')}",
            )
            for row, code, at, jump, _, _ in jumps[:_LISTED]
        ]

    def _left_out(self) -> list[Told]:
        """Rows without a reading, and repeats of the same one."""
        told = []
        for code, count, row, first, last in self._all(
            "SELECT code, count(*), min(row), min(ts), max(ts) FROM temp.log_staged "
            "WHERE m IS NULL OR t IS NULL GROUP BY code ORDER BY code"
        ):
            text = f"{count:,} rows without movement or temperature, left out"
            told.append(self._told("missing", text, code, count, row, first, last))
        for code, count, row, first, last in self._all(
            "SELECT code, count(*), min(row), min(ts), max(ts) FROM (SELECT row, code, ts, "
            f"{_before('code')} AS k0, {_before('ts')} AS a0 FROM temp.log_sorted) "
            "WHERE code = k0 AND ts = a0 GROUP BY code ORDER BY code"
        ):
            text = f"{count:,} rows that repeat a reading, left out"
            told.append(self._told("repeats", text, code, count, row, first, last))
        return told

    def _finish(self) -> None:
        """``incoming`` from what has been sorted."""
        marks = ", ".join(literal(mark) for mark in self.seats)
        self.connection.execute("DROP TABLE IF EXISTS temp.log_staged")
        self.connection.execute(
            f"CREATE TEMP TABLE incoming AS SELECT row, [{marks}][code] AS seat, ts AS time, "
            "m AS movement, t AS temperature FROM (SELECT row, code, ts, m, t, "
            f"{_before('code')} AS k0, {_before('ts')} AS a0 FROM temp.log_sorted) "
            "WHERE k0 IS NULL OR code <> k0 OR ts <> a0"
        )

    def _order(self) -> list[Told]:
        """Readings that stand in the file before earlier ones."""
        return [
            self._told(
                "order", f"{count:,} rows stand before earlier ones; sorted", code, count, row, at
            )
            for code, count, row, at in self._all(
                f"SELECT code, count(*), min(row), arg_min(ts, row) FROM (SELECT row, code, ts, "
                f"{_before('row')} AS r0, {_before('code')} AS k0 FROM temp.log_sorted) "
                "WHERE code = k0 AND row < r0 GROUP BY code ORDER BY code"
            )
        ]

    def _gaps(self) -> list[Told]:
        """Long times without a reading."""
        longest = 3600 * self._number("gap")
        rows = self._all(
            "SELECT code, count(*), max(ts - a0), arg_max(a0, ts - a0), arg_max(ts, ts - a0), "
            "arg_max(row, ts - a0) FROM (SELECT row, code, ts, "
            f"{_before('code')} AS k0, {_before('ts')} AS a0 FROM temp.log_sorted) "
            f"WHERE code = k0 AND epoch(ts - a0) > {longest} GROUP BY code ORDER BY code"
        )
        return [
            self._told(
                "gaps",
                f"{count:,} gaps of more than {longest / 3600:g} h, the longest "
                f"{size.total_seconds() / 86400:.1f} days",
                code, count, row, first, last,
            )
            for code, count, size, first, last, row in rows
        ]  # fmt: skip

    def _stuck(self) -> list[Told]:
        """The same movement again and again while the steel warms or cools."""
        count, warming = int(self._number("stuck_readings")), self._number("stuck_warming")
        rows = self._all(
            f"WITH a AS (SELECT row, code, ts, t, m, (code IS DISTINCT FROM {_before('code')} OR "
            f"m IS DISTINCT FROM {_before('m')}) AS new, (code IS DISTINCT FROM {_after('code')} "
            f"OR m IS DISTINCT FROM {_after('m')}) AS last FROM temp.log_sorted), "
            "b AS (SELECT *, sum(new::INT) OVER (ROWS UNBOUNDED PRECEDING) AS run FROM a), "
            "c AS (SELECT run, any_value(code) AS code, any_value(m) AS m, min(row) AS row, "
            "min(ts) AS first, max(ts) AS last, count(*) AS n, max(t) - min(t) AS warmed FROM b "
            f"WHERE NOT new OR NOT last GROUP BY run HAVING n >= {count} AND warmed >= {warming}) "
            "SELECT code, count(*), arg_max(m, n), arg_max(row, n), arg_max(first, n), "
            "arg_max(last, n), arg_max(warmed, n), max(n) FROM c GROUP BY code ORDER BY code"
        )
        return [
            self._told(
                "stuck",
                f"the same {m * 1e3:.2f} mm in {most:,} readings in a row while the steel changed "
                f"by {warmed:.0f} K" + (f"; {times:,} such times" if times > 1 else ""),
                code, times, row, first, last,
            )
            for code, times, m, row, first, last, warmed, most in rows
        ]  # fmt: skip

    def _spikes(self) -> list[Told]:
        """Single readings far off both neighbours, which lie together."""
        times, least = self._number("spike"), self._number("spike_least")
        sides = (
            f"SELECT row, code, ts, m - {_before('m')} AS up, m - {_after('m')} AS down, "
            f"{_before('code')} AS k0, {_after('code')} AS k1 FROM temp.log_sorted"
        )
        off = "least(abs(up), abs(down))"
        rows = self._all(
            f"WITH a AS (SELECT * FROM ({sides}) WHERE code = k0 AND code = k1), "
            "u AS (SELECT code, approx_quantile(abs(up + down) / 2, 0.5) AS usual FROM a "
            "GROUP BY code) "
            "SELECT a.code, count(*), arg_max(row, abs(up)), arg_max(ts, abs(up)), max(abs(up)) "
            f"FROM a JOIN u ON a.code = u.code WHERE {off} > {times} * usual AND {off} > {least} "
            f"AND up * down > 0 AND abs(up - down) < {off} / 2 GROUP BY a.code ORDER BY a.code"
        )
        return [
            self._told(
                "spikes",
                f"{count:,} single readings far off their neighbours, the worst by "
                f"{size * 1e3:.1f} mm; left in",
                code, count, row, at, at,
            )
            for code, count, row, at, size in rows
        ]  # fmt: skip

    # -------------------------------------------------------------- small things
    @property
    def _name(self) -> str:
        return self.source.path.name

    @property
    def _row_word(self) -> str:
        return "line" if self.source.head.form == "csv" else "row"

    def _number(self, name: str) -> float:
        return (self.tolerances or usual("logs")).number(name)

    def _mark(self, code: int) -> str:
        return self.seats[code - 1]

    def _fault(self, line: int, column: str, found: str, allowed: str) -> Fault:
        return Fault(self._name, f"{self._row_word} {line}, column {column}", found, allowed)

    def _told(
        self,
        what: str,
        text: str,
        code: int,
        count: int,
        row: int,
        first: datetime | None = None,
        last: datetime | None = None,
    ) -> Told:
        first, last = (None if at is None else at.replace(tzinfo=UTC) for at in (first, last))
        return Told(what, text, self._mark(code), count, row, first, last)

    def _rows(self, where: str, value: str, column: str, allowed: str) -> list[Fault]:
        """Faults of the rows of ``log_staged`` of which something holds."""
        (count,) = self._one(f"SELECT count(*) FROM temp.log_staged WHERE {where}")
        if not count:
            return []
        rows = self._all(
            f"SELECT row, {value} FROM temp.log_staged WHERE {where} ORDER BY row LIMIT {_LISTED}"
        )
        lines = self._lines([row[0] for row in rows])
        faults = [
            self._fault(lines[row], column, self._value(value, found), allowed)
            for row, found in rows
        ]
        if count > len(rows):
            more = f"{count - len(rows):,} more such rows"
            faults.append(Fault(self._name, f"column {column}", more, allowed))
        return faults

    def _value(self, what: str, found: Any) -> str:
        if isinstance(found, datetime):
            return _shown(found)
        return f"{found:.6g} degC" if what == "t" else f"{found * 1e3:.6g} mm"

    def _lines(self, rows: Iterable[int]) -> Mapping[int, int]:
        """Numbers of lines for numbers of rows: empty lines of a CSV were not counted so far."""
        wanted = set(rows)
        if self.source.head.form != "csv" or not wanted:
            return {row: row for row in wanted}
        head = self.source.head
        found, count, last = {}, head.skip, max(wanted)
        opened = gzip.open if head.packed else open
        with opened(self.source.path, "rb") as stream:
            text = io.TextIOWrapper(stream, encoding="utf-8", errors="replace", newline="")  # type: ignore[arg-type]
            for _ in range(head.skip):
                text.readline()
            reader = csv.reader(text, delimiter=head.separator)
            for cells in reader:
                if not cells:
                    continue
                count += 1
                if count in wanted:
                    found[count] = head.skip + reader.line_num
                if count >= last:
                    break
        return {row: found.get(row, row) for row in wanted}

    def _refuse(self, faults: Sequence[Fault]) -> None:
        if faults:
            raise InputError(list(faults))

    def _all(self, query: str) -> list[tuple[Any, ...]]:
        return self.connection.execute(query).fetchall()

    def _one(self, query: str) -> tuple[Any, ...]:
        found = self.connection.execute(query).fetchone()
        assert found is not None
        return found


def _is_number(kind: str) -> bool:
    return kind in _FINITE or kind.startswith("DECIMAL")


def _by_track(values: Sequence[float]) -> str:
    """A number of each movement of a row, as SQL: one, or by its number n."""
    if len(set(values)) == 1:
        return repr(values[0])
    cases = " ".join(f"WHEN {n} THEN {value!r}" for n, value in enumerate(values))
    return f"(CASE n {cases} END)"


def _one_head(columns: Sequence[Column]) -> str:
    """The head of a column, or of the first of several."""
    heads = list(dict.fromkeys(column.head for column in columns))
    return heads[0] if len(heads) == 1 else f"{heads[0]} and others"


def _before(name: str) -> str:
    """What the row before has, in the order of the table."""
    return f"lag({name}) OVER ()"


def _after(name: str) -> str:
    return f"lead({name}) OVER ()"


def _sql(at: datetime) -> str:
    return f"TIMESTAMP '{at:%Y-%m-%d %H:%M:%S}'"


def _shown(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M:%S}"


def _piecewise(name: str, parts: Sequence[Stretch], *, late: bool = False) -> str:
    """Microseconds of the clock ahead of UTC; `late`: the old offset until an hour is over twice."""
    text = "CASE"
    for part, after in zip(parts, parts[1:], strict=False):
        until = after.twice if late else after.start
        text += f" WHEN {name} < {_sql(until)} THEN {_micro(part.offset)}"
    return (
        f"(CASE WHEN true THEN {_micro(parts[0].offset)} END)"
        if len(parts) == 1
        else (f"({text} ELSE {_micro(parts[-1].offset)} END)")
    )


def _micro(span: timedelta) -> int:
    return span // timedelta(microseconds=1)


def _all_near(found: Sequence[float], value: float, share: float) -> bool:
    """Whether a jump is that ratio, level and scatter being so within a factor of two."""
    jump, level, scatter = found
    return (
        abs(jump / value - 1) <= share and 0.5 <= level / value <= 2 and 0.5 <= scatter / value <= 2
    )


def _or_accept(word: str) -> str:
    return f"; looked at and right: accept {word}"


def _short(text: str) -> str:
    line = " ".join(text[:200].split())
    return line if len(line) <= 60 else line[:59] + "…"
