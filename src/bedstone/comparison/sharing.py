"""Who takes the horizontal force, three ways beside each other, for every support and bearing.

- the *rule* of the family: which line is fixed, what friction adds (`comparison.code_rule`);
- *elastic*: by the stiffness of superstructure, bearings and supports together, without friction;
- the *path*: rolling and sliding friction, play of guides and stops, followed from the setting of
  the bearings through years of temperature, traffic and braking (`comparison.history`).

Loads are characteristic, without the factors of combinations. Stiffness below (lower, given, upper)
and friction (adverse and relieving coefficient, also one on each side of the point without
movement) are bounds: what comes out of them is a range, never one value.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.actions.effects import Layout
from bedstone.articulation.arrangement import Arranged, Standing, stand, support_sum
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import FamilyName
from bedstone.comparison.acting import Acting, acting_on, permanent
from bedstone.comparison.code_rule import WAYS, Ruled, Way, by_unit, on_supports, rule_of
from bedstone.comparison.history import PHASES, Moving, Timeline, life_of, moving, sliders
from bedstone.comparison.lines import bearing_lines, coefficients
from bedstone.errors import Fault, InputError
from bedstone.mechanics.condense import SeatLoad
from bedstone.mechanics.frame import Floats
from bedstone.mechanics.sliding import Path, follow
from bedstone.schedule.context import Context, context_of
from bedstone.standards.values import Value

#: Bounds of the stiffness below; given first.
BOUNDS = ("given", "lower", "upper")
#: A force below this part of the largest of its kind is written as zero.
NOTHING = 1e-9
#: Why no rule is asked across.
ACROSS = "the rules of the families share longitudinal forces; across, stiffness decides"
#: Why a bearing of a fixed line has no number by the rule.
ASLANT = "it holds at an angle to the axis on a fixed line, of which no rule gives it a part"
NO_TRAFFIC = "the bridge file gives no traffic that brakes"


@dataclass(frozen=True)
class Range:
    """A magnitude between bounds: the smallest and the largest value found (SI, not negative)."""

    low: float
    high: float


@dataclass(frozen=True)
class Row:
    """What one support or bearing takes along or across; forces in N without sign.

    At a support along and across are of the axis there, at a bearing its own x' and y'.

    - `rule`: by the family's rule, None where none covers it; `reason` says why
    - `elastic`: the horizontal traffic force along, or wind across, alone and without friction;
      None where the bridge file gives no such load
    - `kelvin`: locked in by 1 K (N/K), `locked` by the temperature farthest from that of setting
    - `path`: the largest over the whole history, `phases` over each of its phases (`PHASES`); None
      where the path was not asked for
    """

    place: str
    kind: Literal["support", "seat"]
    way: Literal["along", "across"]
    rule: float | None
    reason: str
    elastic: Range | None
    kelvin: Range
    locked: Range
    path: Range | None
    phases: tuple[Range, ...]


@dataclass(frozen=True)
class Run:
    """One path: which friction and stiffness below, and what `follow` says of it.

    `friction` (ns,) coefficients by seat; `path.rows`: Fx and Fy of each support in turn.
    """

    name: str
    stiffness: str
    friction: Floats
    path: Path


@dataclass(frozen=True)
class Sharing:
    """Sharing of horizontal forces on one arrangement.

    - `rows`: along, then across, of every support and then of every seat
    - `ruled`: the lines of bearings with the calculation of the rule
    - `force` F_h (N) on one piece and the `clause` it comes from; `warm`, `cold`: K above and below
      the temperature of setting
    - `travel`: path of each bearing's slide in metres, x' and y' together, over the history
    - `memory`: values of the family used so far that are known only from memory
    - `residual`: of the elastic analysis, `path_residual`, `coarseness` as `Path`, the worst run
    """

    family: str
    way: Way
    rows: tuple[Row, ...]
    ruled: tuple[Ruled, ...]
    force: float
    clause: str
    warm: float
    cold: float
    timeline: Timeline | None
    steps: int
    runs: tuple[Run, ...]
    travel: dict[str, Range]
    notes: tuple[str, ...]
    memory: tuple[Value, ...]
    residual: float
    path_residual: float
    coarseness: float

    def row(self, place: str, way: str = "along") -> Row:
        """The row of a support or seat; `KeyError` for an unknown one."""
        for row in self.rows:
            if (row.place, row.way) == (place, way):
                return row
        raise KeyError((place, way))


def share(
    prepared: Prepared,
    name: FamilyName,
    arranged: Arranged,
    *,
    context: Context | None = None,
    way: Way = "fixed line",
    timeline: Timeline | None = Timeline(),  # noqa: B008 - frozen
) -> Sharing:
    """Share the horizontal forces of a bridge on one arrangement, three ways.

    `way`: of the rule, all braking on the fixed line or by stiffness; `timeline`: None leaves the
    path out. Raises `UnstableError` naming the free motion of an arrangement that does not stand,
    `InputError` for faults of the bridge file, `CheckError` for a result that fails its own check.
    """
    if way not in WAYS:
        raise InputError([Fault("sharing", "way", way, " or ".join(WAYS))])
    with threadpool_limits(limits=1, user_api="blas"):
        context = context or context_of(prepared, name)
        return _share(prepared, context, arranged, way, timeline)


def _share(
    prepared: Prepared, context: Context, arranged: Arranged, way: Way, timeline: Timeline | None
) -> Sharing:
    acting = acting_on(prepared, context, arranged)
    elastic = {bound: Elastic.of(prepared, acting, arranged, bound) for bound in BOUNDS}
    given = elastic["given"]
    order = given.layout
    seats = len(order.seats)
    friction = coefficients(
        prepared, arranged, given.heat[: 12 * seats].reshape(seats, 12)[:, 6:8], context.family,
        context.values,
    )  # fmt: skip
    lasting = permanent(prepared, acting, arranged, given.standing, "given")
    lines = bearing_lines(prepared, arranged, lasting[: 12 * seats : 12], friction, acting.live)
    farthest = max(acting.thermal.expansion, acting.thermal.contraction)
    warm = tuple(
        farthest * float(given.heat[[order.index(order.seats[i], "vx") for i in line.seats]].mean())
        if line.seats
        else 0.0
        for line in lines
    )
    straight = prepared.structure.axis.curvature == 0.0
    rule = rule_of(context.family.name)
    ruled = tuple(
        item
        for question in by_unit(lines, acting.force, warm, straight)
        for item in rule(context.values, question, way)
    )
    runs = () if timeline is None else tuple(
        _runs(prepared, acting, arranged, friction, given.heat, timeline)
    )  # fmt: skip
    notes = _notes(acting, arranged, prepared, timeline, ruled)
    rows = tuple(_rows(order, arranged, acting, ruled, elastic, runs))
    life = 0 if timeline is None else len(life_of(acting, timeline).factors)
    return Sharing(
        family=context.family.name,
        way=way,
        rows=rows,
        ruled=ruled,
        force=acting.force,
        clause=acting.clause,
        warm=acting.thermal.expansion,
        cold=acting.thermal.contraction,
        timeline=timeline,
        steps=life,
        runs=runs,
        travel=_travel(order, arranged, runs),
        notes=notes,
        memory=tuple(context.values.from_memory()),
        residual=max(item.residual for item in elastic.values()),
        path_residual=max((run.path.residual for run in runs), default=0.0),
        coarseness=max((run.path.coarseness for run in runs), default=0.0),
    )


# ------------------------------------------------------------------ elastic
@dataclass(frozen=True)
class Elastic:
    """Effects without friction for one stiffness below: `heat` (size,) of 1 K, and each column."""

    standing: Standing
    layout: Layout
    heat: Floats
    braking: Floats
    wind: Floats
    residual: float

    @classmethod
    def of(cls, prepared: Prepared, acting: Acting, arranged: Arranged, bound: str) -> Elastic:
        """Stand the bridge and solve; raises `UnstableError` and `CheckError`."""
        own = prepared.condensed[prepared.final]
        supports = list(prepared.bridge.support)
        standing = stand(prepared.structure, supports, own, arranged, bound)

        def effects(load: SeatLoad) -> Floats:
            return standing.effects.effects(load.g, load.r, load.s)

        residuals = [
            part
            for load in (acting.heat, acting.braking, acting.wind)
            if load.g.shape[1]
            for part in standing.supported.residuals(load)
        ]
        return cls(
            standing=standing,
            layout=standing.effects.layout,
            heat=effects(acting.heat)[:, 0],
            braking=effects(acting.braking),
            wind=effects(acting.wind),
            residual=max(residuals),
        )


# ------------------------------------------------------------------ path
def _runs(
    prepared: Prepared,
    acting: Acting,
    arranged: Arranged,
    friction: Floats,
    heat: Floats,
    timeline: Timeline,
) -> Iterator[Run]:
    """One path for each bound of friction and stiffness."""
    history = life_of(acting, timeline).history
    for bound in _distinct_bounds(prepared):
        parts = moving(prepared, acting, arranged, bound)
        sums = support_rows(parts)
        for name, mu in friction_bounds(friction, heat):
            path = follow(
                sliders(parts, mu), parts.loads, history, rows=sums, accuracy=timeline.accuracy
            )
            yield Run(name, bound, mu, path)


def _distinct_bounds(prepared: Prepared) -> tuple[str, ...]:
    """Lower and upper stiffness, or the given one where both are the same."""
    varied = any(
        (support.bounds.lower, support.bounds.upper) != (1.0, 1.0)
        for support in prepared.bridge.support
    )
    return ("lower", "upper") if varied else ("given",)


def friction_bounds(friction: Floats, heat: Floats) -> tuple[tuple[str, Floats], ...]:
    """Named coefficients (ns,): all low, all high, and high on one side of the fixed point only.

    `friction` (ns, 2) adverse and relieving; `heat` (size,) effects of 1 K: a bearing is ahead of
    the point without movement when warmth moves it forward.
    """
    count = len(friction)
    block = heat[: 12 * count].reshape(count, 12)
    ahead = block[:, 6] > 0.0
    high, low = friction[:, 0], friction[:, 1]
    cases = (
        ("low", low),
        ("high", high),
        ("high ahead of the fixed point", np.where(ahead, high, low)),
        ("high behind the fixed point", np.where(ahead, low, high)),
    )
    seen: dict[bytes, tuple[str, Floats]] = {}
    for name, mu in cases:
        seen.setdefault(mu.tobytes(), (name, mu))
    return tuple(seen.values())


def support_rows(parts: Moving) -> Floats:
    """(2 supports, K) sums of the sliders' forces to Fx and Fy of each support."""
    result = []
    for support in parts.prepared.bridge.support:
        whole = support_sum(parts.prepared.structure, support, parts.arranged)
        columns = [6 * row + axis for row in parts.rows for axis in (0, 1)]
        result += [whole[1, columns], whole[2, columns]]
    return np.array(result)


# ------------------------------------------------------------------ rows
def _rows(
    order: Layout,
    arranged: Arranged,
    acting: Acting,
    ruled: tuple[Ruled, ...],
    elastic: dict[str, Elastic],
    runs: tuple[Run, ...],
) -> Iterator[Row]:
    by_support, by_seat = on_supports(ruled), _on_seats(order, ruled)
    reasons = {item.bearings.support: item.reason for item in ruled if item.line is None}
    seat_reasons = {
        order.seats[seat]: item.reason for item in ruled if item.line is None
        for seat in item.bearings.seats
    }  # fmt: skip
    seat_reasons |= {order.seats[seat]: ASLANT for item in ruled for seat in item.bearings.aslant
                     if item.line is not None}  # fmt: skip
    rows = [i for i, seat in enumerate(arranged.seats) if seat.function != "none"]
    for kind in ("support", "seat"):
        places = order.supports if kind == "support" else order.seats
        for number, place in enumerate(places):
            for axis, way in enumerate(("along", "across")):
                effect = ("Fx", "Fy")[axis] if kind == "support" else ("Hx", "Hy")[axis]
                index = order.index(place, effect)
                rule, reason = None, ACROSS
                if way == "along" and acting.force == 0.0:
                    reason = NO_TRAFFIC
                elif way == "along" and kind == "support":
                    rule, reason = by_support.get(place), reasons.get(place, "no bearing here")
                elif way == "along":
                    rule, reason = by_seat.get(place), seat_reasons.get(place, "no bearing here")
                if kind == "support":
                    tables = [_sizes(run.path.rows.top, run.path.rows.low, 2 * number + axis)
                              for run in runs]  # fmt: skip
                elif number in rows:
                    column = 2 * rows.index(number) + axis
                    tables = [_sizes(run.path.force.top, run.path.force.low, column)
                              for run in runs]  # fmt: skip
                else:
                    tables = [np.zeros(len(PHASES)) for _ in runs]
                loads = [item.braking if way == "along" else item.wind for item in elastic.values()]
                peaks = [np.abs(load[index]).max() for load in loads if load.shape[1]]
                heats = [abs(float(item.heat[index])) for item in elastic.values()]
                far = max(acting.thermal.expansion, acting.thermal.contraction)
                yield Row(
                    place=place,
                    kind="support" if kind == "support" else "seat",
                    way="along" if way == "along" else "across",
                    rule=rule,
                    reason="" if rule is not None else reason,
                    elastic=_range(peaks) if peaks else None,
                    kelvin=_range(heats),
                    locked=_range([far * value for value in heats]),
                    path=_range([table.max() for table in tables]) if tables else None,
                    phases=tuple(_range(list(column)) for column in np.array(tables).T)
                    if tables
                    else (),
                )


def _sizes(top: Floats, low: Floats, column: int) -> Floats:
    """(phases,) largest size of one envelope in each phase; 0 in a phase without a step."""
    size = np.maximum(np.maximum(top[:, column], -low[:, column]), 0.0) + 0.0
    result = np.zeros(len(PHASES))
    result[: len(size)] = np.where(np.isfinite(size), size, 0.0)
    return result


def _range(values: list[float]) -> Range:
    return Range(float(min(values)), float(max(values)))


def _on_seats(order: Layout, ruled: tuple[Ruled, ...]) -> dict[str, float]:
    """Force (N) on each bearing by the rule: its part of what its line gets, where one is known."""
    return {
        order.seats[seat]: item.line.value * part
        for item in ruled
        if item.line is not None
        for seat, part in zip(item.bearings.seats, item.bearings.parts, strict=True)
        if seat not in item.bearings.aslant
    }


def _travel(order: Layout, arranged: Arranged, runs: tuple[Run, ...]) -> dict[str, Range]:
    rows = [i for i, seat in enumerate(arranged.seats) if seat.function != "none"]
    result = {}
    for number, row in enumerate(rows):
        paths = [float(run.path.travel[2 * number : 2 * number + 2].sum()) for run in runs]
        if paths:
            result[order.seats[row]] = _range(paths)
    return result


def _notes(
    acting: Acting,
    arranged: Arranged,
    prepared: Prepared,
    timeline: Timeline | None,
    ruled: tuple[Ruled, ...],
) -> tuple[str, ...]:
    notes = ["characteristic loads, without the factors of combinations"]
    assumed = [
        place.mark
        for place, seat in zip(prepared.structure.seats, arranged.seats, strict=True)
        if seat.kind is None and seat.friction is None and seat.function not in ("none", "fixed")
        and seat.function != "elastic"
    ]  # fmt: skip
    if assumed:
        notes.append(
            "friction: no kind or coefficient is given for " + ", ".join(assumed)
            + "; the friction of a sliding bearing is taken"
        )  # fmt: skip
    if acting.force == 0.0:
        notes.append(NO_TRAFFIC)
    if acting.thermal.expansion == acting.thermal.contraction == 0.0:
        notes.append("the bridge file gives no temperature: the path has no cycles")
    if not acting.wind_names:
        notes.append("the bridge file gives no wind: nothing acts across but what is locked in")
    if any(support.skew for support in prepared.bridge.support):
        notes.append("skewed supports: a rule gives the total along, not what it does across")
    aslant = [
        prepared.structure.seats[seat].mark
        for item in ruled if item.line is not None and acting.force > 0.0
        for seat in item.bearings.aslant
    ]  # fmt: skip
    if aslant:
        notes.append(
            "rule: no part is given to " + ", ".join(aslant) + ", which hold at an angle to the "
            "axis on a fixed line; the bearings of the line that hold along are given all of it"
        )
    if timeline is not None:
        notes.append(
            f"path: {timeline.years} years of {timeline.days} days, {timeline.passages} passages "
            "of traffic a year, horizontal forces at the end, warm, as set and cold; bearings pull "
            "as well as push"
        )
    return tuple(notes)
