"""What a log is checked for once it is read: dates, units, columns, contradictions, sensors.

Works on the view ``log_read`` (row, code, ts, m, t) and on ``log_walk``: its whole readings in the
order of seat and time, each with those before (m0) and after (m1) of the same seat.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from bedstone.errors import Fault, InputError
from bedstone.site.log_forms import Told
from bedstone.site.log_stage import LISTED, Stage, literal, shown, time_literal

#: Share of the readings that decides what a whole column is; share that single faults are.
_MOST, _FEW = 0.99, 0.01
#: Rows that are looked at for swapped columns, and how many readings tell of a whole column.
_LOOKED, _ENOUGH = 100_000, 20
#: Units that get mixed up stand to each other as these: mm and cm, mm and inches, m and mm.
_RATIOS = (10.0, 25.4, 1000.0)
#: Jumps that may be a change of unit and are looked at, and contradictions that are counted.
_JUMPS, _COUNTED = 2000, 10_000


# ------------------------------------------------------------------ in the order of the file
def dates(stage: Stage, now: datetime) -> list[Fault]:
    """Stamps ahead of now, and before the bridge."""
    head = stage.head.time.head
    latest = now.astimezone(UTC) + timedelta(hours=stage.number("clock"))
    since = (stage.wanted.since or datetime(1900, 1, 1, tzinfo=UTC)).astimezone(UTC)
    after = f"ts > {time_literal(latest)}"
    before = f"ts < {time_literal(since)}"
    return [
        *stage.rows(after, "ts", head, f"not after {now.astimezone(UTC):%Y-%m-%d %H:%M} UTC"),
        *stage.rows(before, "ts", head, f"not before {since:%Y-%m-%d}"),
    ]


def temperatures(stage: Stage) -> list[Fault]:
    """Temperatures that steel here cannot have: degF, columns swapped, or single rows."""
    accept = stage.wanted.accept
    if "temperature" in accept:
        return []
    low, high = -stage.number("coldest"), stage.number("warmest")
    if stage.wanted.steel is not None:
        more = stage.number("beyond")
        low = max(low, stage.wanted.steel[0] - more)
        high = min(high, stage.wanted.steel[1] + more)
    head = stage.head.temperature
    tracks = stage.head.tracks
    outside = f"NOT (t BETWEEN {low} AND {high})"
    count, out, as_degf, as_movement = stage.one(
        f"SELECT count(t), count(*) FILTER (WHERE {outside}), "
        f"count(*) FILTER (WHERE (t - 32) / 1.8 BETWEEN {low} AND {high}), "
        f"count(*) FILTER (WHERE m / {tracks[0].movement.factor!r} BETWEEN {low} AND {high}) "
        "FROM temp.log_read"
    )
    many = count >= _ENOUGH and out > max(_FEW * count, LISTED)  # fewer are told row by row
    span = f"{low:g} to {high:g} degC"
    degf = any(track.temperature.fahrenheit for track in tracks)
    if many and as_degf >= _MOST * count and not degf:
        found = f"{out:,} of {count:,} outside {span}, all inside if they are degF"
        allowed = f"temperature [degF] in the head where it is degF{_or_accept('temperature')}"
        return [stage.file_fault(f"column {head}", found, allowed)]
    if many and as_movement >= _MOST * count and "swapped" not in accept:
        found = f"{out:,} of {count:,} outside {span}, the movement inside"
        allowed = f"columns the right way round{_or_accept('swapped')}"
        return [stage.file_fault(f"column {head}", found, allowed)]
    return stage.rows(outside, "t", head, f"steel of {span}{_or_accept('temperature')}")


def movements(stage: Stage) -> list[Fault]:
    """Movements that no bearing makes."""
    most = stage.number("most_movement")
    allowed = f"at most {most:g} m either way"
    return stage.rows(f"abs(m) > {most}", "m", stage.head.movement, allowed)


def swapped(stage: Stage) -> list[Fault]:
    """Movement alike at all seats while their temperatures differ: the columns are swapped."""
    if "swapped" in stage.wanted.accept:
        return []
    stamps, moved, warm = stage.one(
        "SELECT count(*), count(*) FILTER (WHERE m0 = m1), count(*) FILTER (WHERE t0 = t1) "
        "FROM (SELECT min(m) AS m0, max(m) AS m1, min(t) AS t0, max(t) AS t1 FROM "
        f"(FROM temp.log_read LIMIT {_LOOKED}) GROUP BY ts "
        "HAVING count(m) > 1 AND count(t) > 1 AND count(DISTINCT code) > 1)"
    )
    if stamps < _ENOUGH or moved < _MOST * stamps or warm > stamps / 2:
        return []
    found = f"alike at all seats in {moved:,} of {stamps:,} stamps, as a temperature is"
    allowed = f"columns the right way round{_or_accept('swapped')}"
    return [stage.file_fault(f"column {stage.head.movement}", found, allowed)]


# ------------------------------------------------------------------ in the order of time
def sort(stage: Stage) -> list[Told]:
    """Make ``log_walk``; told is what has no reading. Raises `InputError` where nothing is left."""
    stage.connection.execute(
        "CREATE TEMP TABLE log_sorted AS SELECT row, code, ts, m, t FROM temp.log_read "
        "WHERE m IS NOT NULL AND t IS NOT NULL ORDER BY code, ts, row"
    )
    (count,) = stage.one("SELECT count(*) FROM temp.log_sorted")
    if not count:
        allowed = "rows with stamp, movement and temperature"
        raise InputError([stage.file_fault("file", "no whole reading", allowed)])
    told = [
        stage.told(
            "missing",
            f"{_times(count, 'row')} without movement or temperature, left out",
            code, count, row, first, last,
        )
        for code, count, row, first, last in stage.all(
            "SELECT code, count(*), min(row), min(ts), max(ts) FROM temp.log_read "
            "WHERE m IS NULL OR t IS NULL GROUP BY code ORDER BY code"
        )
    ]  # fmt: skip
    # windows over the whole table without an order of their own keep that of the table, and
    # need neither sorting nor memory; the neighbour of another seat is none
    near = ", ".join(
        f"CASE WHEN code = {way}(code) OVER () THEN {way}({name}) OVER () END AS {name}{end}"
        for way, end in (("lag", "0"), ("lead", "1"))
        for name in ("row", "ts", "m", "t")
    )
    stage.connection.execute(
        f"CREATE TEMP VIEW log_walk AS SELECT row, code, ts, m, t, {near} FROM temp.log_sorted"
    )
    return told


def contradictions(stage: Stage) -> list[Fault]:
    """Several readings of one seat at one time that differ."""
    found = stage.all(
        "SELECT row, row0, code, ts FROM temp.log_walk WHERE ts = ts0 AND (m <> m0 OR t <> t0) "
        f"ORDER BY row LIMIT {_COUNTED}"
    )
    lines = stage.lines(row for item in found[:LISTED] for row in item[:2])
    faults = [
        stage.fault(
            lines[row],
            stage.head.time.head,
            f"{stage.mark(code)} at {shown(ts)} UTC with other values",
            f"one reading (it stands in {stage.head.row_word} {lines[before]} already)",
        )
        for row, before, code, ts in found[:LISTED]
    ]
    if len(found) > LISTED:
        more = f"{len(found) - LISTED:,} more such rows{' or more' * (len(found) == _COUNTED)}"
        faults.append(stage.file_fault(f"column {stage.head.time.head}", more, "none"))
    return faults


def units(stage: Stage) -> list[Fault]:
    """Stretches of another unit: reading, level and scatter jump together by the ratio of two."""
    if "units" in stage.wanted.accept:
        return []
    near, least = stage.number("units_likeness"), stage.number("units_least")
    stretch = int(stage.number("units_stretch"))
    few = stretch // 4  # of fewer readings level and scatter are an accident
    jump = "greatest(abs(m), abs(m0)) / least(abs(m), abs(m0))"
    like = " OR ".join(
        f"{jump} BETWEEN {value * (1 - near)} AND {value * (1 + near)}" for value in _RATIOS
    )
    before, after = "FILTER (WHERE s.n < c.n)", "FILTER (WHERE s.n >= c.n)"
    found = stage.all(
        "WITH s AS (SELECT *, row_number() OVER () AS n FROM temp.log_walk), "
        "c AS (SELECT n, row, code, ts, abs(m / m0) AS jump FROM s WHERE m <> 0 AND m0 <> 0 "
        f"AND greatest(abs(m), abs(m0)) >= {least} AND ({like}) LIMIT {_JUMPS}) "
        "SELECT any_value(c.row), any_value(c.code), any_value(c.ts), any_value(jump), "
        f"median(abs(s.m)) {after} / median(abs(s.m)) {before}, "
        f"stddev_samp(s.m) {after} / stddev_samp(s.m) {before} "
        f"FROM c JOIN s ON s.code = c.code AND s.n >= c.n - {stretch} AND s.n < c.n + {stretch} "
        f"GROUP BY c.n HAVING count(*) {before} >= {few} AND count(*) {after} >= {few} "
        f"AND median(abs(s.m)) {before} > 0 AND stddev_samp(s.m) {before} > 0 ORDER BY 1"
    )
    jumps = [row for row in found if _is_unit(row[3:], near)][:LISTED]
    lines = stage.lines(row[0] for row in jumps)
    return [
        stage.fault(
            lines[row],
            stage.head.movement,
            f"{stage.mark(code)} at {shown(ts)} UTC: from here {size:.3g} times as large, "
            "scatter and all",
            f"one unit in the whole column{_or_accept('units')}",
        )
        for row, code, ts, size, _, _ in jumps
    ]


def _is_unit(found: Sequence[float], near: float) -> bool:
    """Whether a jump is the ratio of two units, level and scatter within a factor of two of it."""
    jump, level, scatter = found
    return any(
        abs(jump / value - 1) <= near and 0.5 <= level / value <= 2 and 0.5 <= scatter / value <= 2
        for ratio in _RATIOS
        for value in (ratio, 1 / ratio)
    )


def finish(stage: Stage) -> None:
    """Make ``incoming``, without repeats."""
    marks = ", ".join(literal(mark) for mark in stage.wanted.seats)
    stage.connection.execute(
        f"CREATE TEMP TABLE incoming AS SELECT row, [{marks}][code] AS seat, ts AS time, "
        "m AS movement, t AS temperature FROM temp.log_walk WHERE ts IS DISTINCT FROM ts0"
    )


# ------------------------------------------------------------------ what is only told
def notes(stage: Stage) -> list[Told]:
    """Repeats, order, gaps, sensors that stick, spikes, columns nobody asked for."""
    told = [*_repeats(stage), *_order(stage), *_gaps(stage), *_stuck(stage), *_spikes(stage)]
    if stage.head.unread:
        columns = ", ".join(name[:40] for name in stage.head.unread[:20])
        told.append(Told("columns", f"columns not read: {columns}"))
    seat = stage.wanted.seat
    if seat and all(track.seat != seat for track in stage.head.tracks):
        told.append(Told("columns", f"seat {seat} not used: the file names its own"))
    if stage.wanted.accept:
        told.append(Told("accepted", f"not checked: {', '.join(sorted(stage.wanted.accept))}"))
    return told


def _repeats(stage: Stage) -> list[Told]:
    found = stage.all(
        "SELECT code, count(*), min(row), min(ts), max(ts) FROM temp.log_walk WHERE ts = ts0 "
        "GROUP BY code ORDER BY code"
    )
    return [
        stage.told(
            "repeats",
            f"{_times(count, 'row')} with a reading that is there already, left out",
            code,
            count,
            *at,
        )
        for code, count, *at in found
    ]


def _order(stage: Stage) -> list[Told]:
    found = stage.all(
        "SELECT code, count(*), min(row), arg_min(ts, row) FROM temp.log_walk WHERE row < row0 "
        "GROUP BY code ORDER BY code"
    )
    return [
        stage.told("order", f"{_times(count, 'row')} after later ones; sorted", code, count, *at)
        for code, count, *at in found
    ]


def _gaps(stage: Stage) -> list[Told]:
    hours = stage.number("gap")
    found = stage.all(
        "SELECT code, count(*), max(ts - ts0), arg_max(row, ts - ts0), arg_max(ts0, ts - ts0), "
        f"arg_max(ts, ts - ts0) FROM temp.log_walk WHERE epoch(ts - ts0) > {3600 * hours} "
        "GROUP BY code ORDER BY code"
    )
    return [
        stage.told(
            "gaps",
            f"{_times(count, 'gap')} of more than {hours:g} h, the longest "
            f"{size / timedelta(days=1):.1f} days",
            code, count, *at,
        )
        for code, count, size, *at in found
    ]  # fmt: skip


def _stuck(stage: Stage) -> list[Told]:
    """The same movement again and again while the steel warms or cools."""
    count, warming = int(stage.number("stuck_readings")), stage.number("stuck_warming")
    found = stage.all(
        "WITH a AS (SELECT *, m IS DISTINCT FROM m0 AS new, m IS DISTINCT FROM m1 AS last "
        "FROM temp.log_walk), "
        "b AS (SELECT *, sum(new::INT) OVER (ROWS UNBOUNDED PRECEDING) AS run FROM a), "
        "c AS (SELECT any_value(code) AS code, any_value(m) AS m, min(row) AS row, "
        "min(ts) AS since, max(ts) AS until, count(*) AS n, max(t) - min(t) AS warmed FROM b "
        f"WHERE NOT new OR NOT last GROUP BY run HAVING n >= {count} AND warmed >= {warming}) "
        "SELECT code, count(*), max(n), arg_max(m, n), arg_max(warmed, n), arg_max(row, n), "
        "arg_max(since, n), arg_max(until, n) FROM c GROUP BY code ORDER BY code"
    )
    return [
        stage.told(
            "stuck",
            f"the same {m * 1e3:.2f} mm in {n:,} readings in a row while the steel changed by "
            f"{warmed:.0f} K" + (f"; {times:,} such times" if times > 1 else ""),
            code, times, *at,
        )
        for code, times, n, m, warmed, *at in found
    ]  # fmt: skip


def _spikes(stage: Stage) -> list[Told]:
    """Single readings far off both neighbours, which lie together."""
    times, least = stage.number("spike"), stage.number("spike_least")
    off = "least(abs(m - m0), abs(m - m1))"
    found = stage.all(
        "WITH u AS (SELECT code, approx_quantile(abs(m - (m0 + m1) / 2), 0.5) AS usual "
        "FROM temp.log_walk GROUP BY code) "
        f"SELECT w.code, count(*), max({off}), arg_max(row, {off}), arg_max(ts, {off}) "
        f"FROM temp.log_walk AS w JOIN u ON w.code = u.code WHERE {off} > {times} * usual "
        f"AND {off} > {least} AND abs(m0 - m1) < {off} / 2 "
        "GROUP BY w.code ORDER BY w.code"
    )
    return [
        stage.told(
            "spikes",
            f"{_times(count, 'single reading')} far off the neighbours, the worst by "
            f"{size * 1e3:.1f} mm; left in",
            code, count, row, at, at,
        )
        for code, count, size, row, at in found
    ]  # fmt: skip


def _times(count: int, thing: str) -> str:
    return f"{count:,} {thing}{'' if count == 1 else 's'}"


def _or_accept(word: str) -> str:
    return f"; looked at and right: accept {word}"
