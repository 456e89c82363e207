"""Stamps of a log to UTC: the view ``log_read`` (row, code, ts, m, t) over ``log_staged``.

A clock on site leaps over an hour in spring and goes through one twice in autumn. A stamp of the
leapt hour is refused. An hour that comes twice is told apart where the file goes through it twice
in its own order, and refused where it does so once.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise

from bedstone.errors import Fault, InputError
from bedstone.site.clocks import Stretch, stretches, zone_of
from bedstone.site.log_forms import Told
from bedstone.site.log_stage import LISTED, Stage, shown, time_literal


def to_utc(stage: Stage) -> list[Told]:
    """Make ``log_read``; what is told. Raises `InputError`."""
    first, last, count, row = stage.one(
        f"SELECT min(ts), max(ts), count(*), min({stage.row}) FROM temp.log_staged WHERE naive"
    )
    if not count or first.year < 1800 or last.year > 2400:  # no time of any bridge: see the dates
        _view(stage, "ts")
        return []
    zone = stage.wanted.zone
    if not zone:
        found = f"{count:,} stamps without a zone, the first here"
        allowed = "stamps with Z or an offset, or the zone told (a name, +01:00, UTC)"
        line = stage.lines([row])[row]
        raise InputError([stage.fault(line, stage.head.time.head, found, allowed)])
    try:
        parts = stretches(zone_of(zone), first, last)
    except ValueError as error:
        allowed = "a zone such as Europe/Lisbon, an offset such as +01:00, or UTC"
        raise InputError([Fault("command line", "zone", repr(zone[:60]), allowed)]) from error
    _view(stage, "ts")
    gaps = [(part.missing, part.start) for part in parts if part.missing < part.start]
    if gaps:
        allowed = (
            f"an hour that exists in {zone}; for a clock that is not put forward tell its offset "
            "(+01:00) for the zone"
        )
        leapt = f"naive AND ({_within(gaps)})"
        faults = stage.rows(leapt, "ts", stage.head.time.head, allowed)
        if faults:
            raise InputError(faults)
    told = _twice(stage, parts)
    ahead = _ahead(parts)
    if told:
        ahead = (
            f"CASE WHEN rowid IN (FROM temp.log_again) THEN {ahead} ELSE {_ahead(parts, True)} END"
        )
    _view(stage, f"CASE WHEN naive THEN ts - to_microseconds({ahead}) ELSE ts END")
    return told


def _view(stage: Stage, ts: str) -> None:
    stage.connection.execute(
        f"CREATE OR REPLACE TEMP VIEW log_read AS SELECT {stage.row} AS row, code, {ts} AS ts, m, "
        "t, naive FROM temp.log_staged"
    )


def _twice(stage: Stage, parts: Sequence[Stretch]) -> list[Told]:
    """Hours that come twice: ``log_again`` has the rowid of those of the second time."""
    folds = [part for part in parts if part.start < part.twice]
    if not folds:
        return []
    which = " ".join(
        f"WHEN ts >= {time_literal(part.start)} AND ts < {time_literal(part.twice)} THEN {number}"
        for number, part in enumerate(folds)
    )
    inside = _within([(part.start, part.twice) for part in folds])
    stage.connection.execute(
        "CREATE OR REPLACE TEMP TABLE log_again AS SELECT *, coalesce(max(ts) OVER (PARTITION BY "
        "code, fold ORDER BY id ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) >= ts, false) "
        f"AS again FROM (SELECT rowid AS id, {stage.row} AS row, code, ts, CASE {which} END AS "
        f"fold FROM temp.log_staged WHERE naive AND ({inside}))"
    )
    found = stage.all(
        "SELECT code, fold, min(row), min(ts), count(*), bool_or(again) FROM temp.log_again "
        "GROUP BY code, fold ORDER BY min(row), code"
    )
    once = [item for item in found if not item[5]][:LISTED]
    lines = stage.lines(item[2] for item in once)
    faults = [
        stage.fault(
            lines[row],
            stage.head.time.head,
            f"{shown(ts)} of {stage.mark(code)}, in an hour that comes twice in "
            f"{stage.wanted.zone}",
            "the hour twice in the order of the file, or stamps with Z or an offset",
        )
        for code, _, row, ts, _, _ in once
    ]
    if faults:
        raise InputError(faults)
    stage.connection.execute(
        "CREATE OR REPLACE TEMP TABLE log_again AS SELECT id FROM temp.log_again WHERE again"
    )
    return [
        stage.told(
            "hour twice",
            f"clock put back at {shown(folds[fold].twice)}: told apart by the order of the file",
            code, count, row,
        )
        for code, fold, row, _, count, _ in found
    ]  # fmt: skip


def _within(spans: Sequence[tuple[object, object]]) -> str:
    return " OR ".join(f"(ts >= TIMESTAMP '{a}' AND ts < TIMESTAMP '{b}')" for a, b in spans)


def _ahead(parts: Sequence[Stretch], late: bool = False) -> str:
    """Microseconds of the clock ahead of UTC; `late`: as before until an hour is over twice."""
    text = "".join(
        f"WHEN ts < {time_literal(new.twice if late else new.start)} THEN {_micro(old.offset)} "
        for old, new in pairwise(parts)
    )
    return f"(CASE {text}ELSE {_micro(parts[-1].offset)} END)" if text else _micro(parts[0].offset)


def _micro(span: timedelta) -> str:
    return str(span // timedelta(microseconds=1))
