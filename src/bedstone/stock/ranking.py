"""Which bridge of a stock needs a visit first, and why.

Every reason has a concern: 0 at the calm threshold of its measure, 1 where something is to be done,
more beyond. A bridge stands where its largest concern puts it; the sum of all decides between
equals, then how far beyond its cap the worst measure lies, and one that moves freely stands above
them. It is an order to look by, not a probability and not a check.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

import duckdb

from bedstone.site.tolerances import Tolerances, read_tolerances, usual

#: What can put a bridge up the ranking.
ReasonKind = Literal[
    "unstable",
    "travel",
    "uplift",
    "utilisation",
    "no bearing",
    "single fault",
    "loose",
    "log",
    "visit",
    "travel found",
]


#: Judgements of logs that count, as their thresholds are named.
JUDGEMENTS = (
    "frozen",
    "stop_reached",
    "clamp_left",
    "ratcheting",
    "substructure_moved",
    "restricted",
    "wrong_preset",
    "moves_though_held",
    "travel_short",
    "sluggish",
    "out_of_line",
    "sensor_at_fault",
)


@dataclass(frozen=True)
class Reason:
    """Why a bridge stands where it does.

    - `place`: seat or, of a single fault, the place that takes more; `what`: check, fault, motion,
      judgement of a log, finding of a visit
    - `value`: the measure (m, or a ratio), None where it has no end or is a word
    - `before`, `after`, `unit`: of a single fault, what the place takes (SI)
    """

    kind: ReasonKind
    concern: float
    place: str = ""
    what: str = ""
    value: float | None = None
    effect: str = ""
    before: float | None = None
    after: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class Ranked:
    """A bridge in the ranking, from 1; `reasons` by falling concern."""

    rank: int
    bridge: str
    name: str
    state: str
    reasons: tuple[Reason, ...]

    @property
    def concern(self) -> float:
        """The largest concern; 0 where there is none."""
        return self.reasons[0].concern if self.reasons else 0.0


@dataclass(frozen=True)
class Change:
    """How a bridge stands against the last run; ranks None where it was not, or is not, there.

    `cause`: its files, the options, the program or the thresholds changed, or others moved.
    """

    bridge: str
    rank_before: int | None
    rank: int | None
    concern_before: float | None
    concern: float | None
    state_before: str
    state: str
    cause: str


def thresholds_of(path: Path | None = None) -> Tolerances:
    """The thresholds of the program, with those of an engineer's own file in their place.

    Raises `InputError` for a file that is none, as `read_tolerances`.
    """
    return usual("stock", "stock") if path is None else read_tolerances(path, "stock", "stock")


def rank(view: duckdb.DuckDBPyConnection, thresholds: Tolerances) -> tuple[Ranked, ...]:
    """The bridges of a store's view that were worked out, first the one to be looked at first.

    Those that were not (faulty files, failed checks) have no place among them.
    """
    number = thresholds.number
    reasons: dict[str, list[Reason]] = {}
    for bridge, reason in _reasons(view, number):
        if reason.concern > 0.0:
            reasons.setdefault(bridge, []).append(reason)
    bridges = view.execute(
        "SELECT bridge, name, state FROM bridges WHERE state IN ('done', 'unstable')"
    ).fetchall()
    found = []
    for bridge, name, state in bridges:
        own = sorted(reasons.get(bridge, ()), key=lambda item: (-item.concern, item.kind))
        found.append(Ranked(0, bridge, name or "", state, tuple(own)))
    found.sort(
        key=lambda item: (
            item.state != "unstable", -item.concern, -_sum(item), -_beyond(number, item),
            item.bridge,
        )
    )  # fmt: skip
    return tuple(
        Ranked(place, item.bridge, item.name, item.state, item.reasons)
        for place, item in enumerate(found, start=1)
    )


def changes(
    ranking: Sequence[Ranked],
    before: Mapping[str, Any] | None,
    inputs: Mapping[str, tuple[str, str]],
    thresholds: Tolerances,
) -> tuple[Change, ...]:
    """What is otherwise than in the last run, in the order of the ranking; gone bridges last.

    `before`: what `recorded` gave then; `inputs`: digest of the inputs and of the program, by
    bridge. A bridge whose rank alone moved, because others did, is not told.
    """
    if before is None:
        return ()
    old = {item["bridge"]: item for item in before["bridges"]}
    moved = before["thresholds"] != _told(thresholds)
    found = []
    for item in ranking:
        own, (given, program) = old.pop(item.bridge, None), inputs[item.bridge]
        if own is None:
            found.append(_change(item, None, "new"))
            continue
        same = own["concern"] == item.concern and own["state"] == item.state
        if own["inputs"] != given:
            found.append(_change(item, own, "its files or the options changed"))
        elif not same:
            cause = "the program changed" if own["program"] != program else ""
            cause = cause or ("the thresholds changed" if moved else "unknown")
            found.append(_change(item, own, cause))
    found += [
        Change(
            bridge, gone["rank"], None, gone["concern"], None, gone["state"], "", "gone or faulty"
        )
        for bridge, gone in old.items()
    ]
    return tuple(found)


def recorded(
    ranking: Sequence[Ranked], inputs: Mapping[str, tuple[str, str]], thresholds: Tolerances
) -> dict[str, Any]:
    """A ranking as it is kept for the next run."""
    return {
        "thresholds": _told(thresholds),
        "bridges": [
            {
                "bridge": item.bridge,
                "rank": item.rank,
                "concern": item.concern,
                "state": item.state,
                "inputs": inputs[item.bridge][0],
                "program": inputs[item.bridge][1],
            }
            for item in ranking
        ],
    }


def _told(thresholds: Tolerances) -> dict[str, float]:
    return {name: thresholds.number(name) for name in sorted(thresholds.values)}


def _change(item: Ranked, old: Mapping[str, Any] | None, cause: str) -> Change:
    if old is None:
        return Change(item.bridge, None, item.rank, None, item.concern, "", item.state, cause)
    return Change(
        item.bridge, old["rank"], item.rank, old["concern"], item.concern,
        old["state"], item.state, cause,
    )  # fmt: skip


def _sum(item: Ranked) -> float:
    return math.fsum(reason.concern for reason in item.reasons)


#: The thresholds that a kind of reason is measured by.
_MEASURES: dict[str, str] = {
    "travel": "travel",
    "travel found": "travel",
    "uplift": "uplift",
    "utilisation": "utilisation",
    "single fault": "harm",
}


def _beyond(number: Any, item: Ranked) -> float:
    """The largest concern as it would be without a cap."""
    return max(
        (
            _uncapped(number, _MEASURES[reason.kind], reason.value)
            if reason.kind in _MEASURES
            else reason.concern
            for reason in item.reasons
        ),
        default=0.0,
    )


def _concern(number: Any, measure: str, value: float | None) -> float:
    """0 at calm, 1 at act, straight between and beyond, `most` at most; None is without end."""
    return float(min(max(_uncapped(number, measure, value), 0.0), number("most")))


def _uncapped(number: Any, measure: str, value: float | None) -> float:
    if value is None:
        return math.inf
    calm, act = number(f"{measure}_calm"), number(f"{measure}_act")
    if calm == act:  # an engineer's own step: everything or nothing
        return 0.0 if value == calm else math.inf
    return float((value - calm) / (act - calm))


def _reasons(view: duckdb.DuckDBPyConnection, number: Any) -> Iterator[tuple[str, Reason]]:
    """Every reason of every bridge: the worst of each kind alone; of logs and visits every seat."""
    concern = partial(_concern, number)
    for bridge, text in _rows(
        view,
        "SELECT bridge, text FROM remarks WHERE what = 'unstable' AND part = 'schedule'",
        "bridge, number",
    ):
        yield bridge, Reason("unstable", number("unstable"), what=text)
    for bridge, seat, left in _rows(
        view,
        "SELECT bridge, seat, travel_left_m FROM seats WHERE travel_left_m IS NOT NULL",
        "bridge, travel_left_m, seat",
    ):
        yield bridge, Reason("travel", concern("travel", left), seat, value=left)
    for bridge, seat, margin in _rows(
        view,
        "SELECT bridge, seat, uplift_margin FROM seats "
        "WHERE uplift_margin IS NOT NULL AND held_down IS NOT TRUE",
        "bridge, uplift_margin, seat",
    ):
        yield bridge, Reason("uplift", concern("uplift", margin), seat, value=margin)
    for bridge, seat, kind, title, clause, use in _rows(
        view,
        "SELECT bridge, seat, kind, check_title, clause, utilisation FROM bearings "
        "WHERE origin = 'given' AND (utilisation IS NOT NULL OR verdict = 'does not pass')",
        "bridge, utilisation DESC NULLS FIRST, seat",
    ):
        what = ", ".join(word for word in (kind, title, clause) if word)
        yield bridge, Reason("utilisation", concern("utilisation", use), seat, what, use)
    for bridge, seat, kind, reason in _rows(
        view,
        "SELECT bridge, seat, kind, reason FROM bearings WHERE verdict = 'none serves'",
        "bridge, seat",
    ):
        yield bridge, Reason("no bearing", number("no_bearing"), seat, f"{kind}: {reason}")
    for bridge, fault, place, effect, unit, harm, before, after in _rows(
        view,
        "SELECT bridge, fault, worst_place, effect, unit, harm, before, after FROM single_faults "
        "WHERE outcome = 'harm'",
        "bridge, rank",
    ):
        yield (
            bridge,
            Reason(
                "single fault", concern("harm", harm), place, fault, harm, effect, before, after,
                unit,
            ),
        )  # fmt: skip
    for bridge, fault, place, motion in _rows(
        view,
        "SELECT bridge, fault, place, motion FROM single_faults WHERE outcome = 'moves freely'",
        "bridge, fault",
    ):
        yield bridge, Reason("loose", number("loose"), place, f"{fault}: {motion}")
    yield from _read_on_site(view, number)


def _read_on_site(view: duckdb.DuckDBPyConnection, number: Any) -> Iterator[tuple[str, Reason]]:
    """What logs and visits say."""
    words = {name.replace("_", " "): name for name in JUDGEMENTS}
    for bridge, seat, found, mobility in view.execute(
        "SELECT bridge, seat, findings, mobility FROM monitored WHERE action ORDER BY bridge, seat"
    ).fetchall():
        known = [word for word in found.split(", ") if word in words]
        if known:
            worst = max(known, key=lambda word: number(words[word]))
            yield bridge, Reason("log", number(words[worst]), seat, worst, mobility)
    for bridge, seat, out, cause, review, state, holds in view.execute(
        "SELECT bridge, seat, out_of_tolerance, cause, review, state, capacity_holds "
        "FROM inspections ORDER BY bridge, seat"
    ).fetchall():
        why = f" (likely: {cause})" if cause else ""
        if review:
            yield bridge, Reason("visit", number("review"), seat, f"{review}{why}")
        elif holds is False:
            what = "a check does not hold with the sizes as measured"
            yield bridge, Reason("visit", number("capacity"), seat, f"{what}{why}")
        elif state in (3, 4):
            what = f"state {state} proposed"
            yield bridge, Reason("visit", number(f"state_{state}"), seat, f"{what}{why}")
        elif out:
            yield bridge, Reason("visit", number("out"), seat, f"out of tolerance: {out}{why}")
    for bridge, seat, left in _rows(
        view,
        "SELECT bridge, seat, travel_left_m FROM inspections WHERE travel_left_m IS NOT NULL",
        "bridge, travel_left_m, seat",
    ):
        yield (
            bridge,
            Reason("travel found", _concern(number, "travel", left), seat, value=left),
        )


def _rows(view: duckdb.DuckDBPyConnection, select: str, order: str) -> list[tuple[Any, ...]]:
    """The first row of every bridge in an order whose first column is the bridge."""
    rest = order.partition(", ")[2] or order
    return view.execute(
        f"{select} QUALIFY row_number() OVER (PARTITION BY bridge ORDER BY {rest}) = 1 "
        "ORDER BY bridge"
    ).fetchall()
