"""Every arrangement of a bridge measured, filtered and ranked, and the best told against today's.

All arrangements go through the quick envelopes (`survey`); the few that are shown are looked at
again one by one, and the best of them worked out in full, with traffic placed for themselves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.actions.effects import SUPPORT_EFFECTS, Layout
from bedstone.articulation.arrangement import arrange, layout
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge, FamilyName, Seat
from bedstone.comparison.fixed_point import StillPoints, still_points
from bedstone.comparison.generate import Arrangements, generate
from bedstone.comparison.limits import Limit
from bedstone.comparison.pinned import fixed_points, pinned_arrangements
from bedstone.comparison.screen import Look, Screen
from bedstone.comparison.store import Store
from bedstone.comparison.survey import SEAT, Rows, Survey
from bedstone.errors import Fault, InputError, UnstableError
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.schedule.analysis import Progress
from bedstone.schedule.make import schedule_of
from bedstone.schedule.result import Schedule
from bedstone.schedule.uplift import ROUNDING

#: Arrangements worked on at a time.
CHUNK = 256
#: Parts by which one arrangement must be better to be better at all.
ALIKE = 0.005
#: Seconds that one arrangement takes, for the refusal of too many; measured on two slow cores.
SECONDS = 0.0015

#: What can be asked to be small: unit and meaning.
OBJECTIVES: Mapping[str, tuple[str, str]] = {
    "abutment force": ("N", "largest force along the bridge on an abutment"),
    "pier force": ("N", "largest force along the bridge on a pier"),
    "support force": ("N", "largest force along the bridge on any support"),
    "force across": ("N", "largest force across the bridge on any support"),
    "overturning": ("N m", "largest overturning moment along the bridge about a base"),
    "bearing force": ("N", "largest horizontal force of a single bearing along x' or y'"),
    "movement": ("m", "largest movement along the bridge at a joint"),
    "uplift": ("N", "least compression of a bearing, as a pull"),
    "locked": ("N", "largest horizontal force that temperature locks in at one bearing"),
}
#: What the Pareto set is judged by; without inner supports the pier force is the bearing force.
PARETO = ("abutment force", "pier force", "movement")
#: What decides besides these between arrangements whose objective is alike.
TIES = ("bearing force", "force across", "overturning")


@dataclass(frozen=True)
class Shown:
    """One arrangement in full view; SI.

    - `name`, `functions` by seat, `count` how many arrangements it stands for (twins)
    - `measures`: by name of `OBJECTIVES`
    - `supports`: by mark, governing size of V, Fx, Fy, Mx, My, Mz, with the least V as ``V min``
    - `governing`: by support, what governs Fx: limit state, combination, stiffness below
    - `by_action`: by support, size of Fx and Fy by each variable action, characteristic
    - `joints`: by support, largest movement along the bridge of its bearings
    - `least`: compression of the bearing nearest to lifting, and its mark; `largest`: horizontal
      force of the bearing with the largest, its direction and mark
    - `kinds`: number of bearings by function
    - `rank`: place by the objective among all that keep the limits (from 1), 0: not among them
    - `broken`: limits it does not keep
    """

    name: str
    functions: Mapping[str, Seat]
    point: str | None
    count: int
    measures: Mapping[str, float]
    supports: Mapping[str, Mapping[str, float]]
    governing: Mapping[str, tuple[str, str, str]]
    by_action: Mapping[str, Mapping[str, tuple[float, float]]]
    joints: Mapping[str, float]
    least: tuple[float, str]
    largest: tuple[float, str, str]
    kinds: Mapping[str, int]
    rank: int
    broken: tuple[str, ...]


@dataclass(frozen=True)
class Whole:
    """An arrangement worked out in full: its schedule and how far the quick envelopes were below.

    `change`: largest difference of a governing force or moment of a support (V, Fx, Fy, Mx, My) or
    of the largest horizontal force of a bearing to the quick one, part of the largest of its name.
    """

    schedule: Schedule
    change: float


@dataclass(frozen=True)
class Comparison:
    """All arrangements of a bridge under one family.

    - `arrangements`: what was tried; `stands` (n,): those of which numbers exist
    - `measures` (n,) by name of `OBJECTIVES`; `keeps` (n,): keeps all limits
    - `left`: after each limit in turn, how many arrangements keep it and those before
    - `order`: those that keep all limits, best first, after them those where a bearing lifts
      (`lifts` (n,)); `pareto`: places of the Pareto set, of those that stay down
    - `today`, `pinned`, `best`, `front` (the Pareto set, thinned): in full view
    - `whole`: by name, those worked out in full; `still`: by name, the points that temperature
      does not move, of today's, the pinned and the best; `reasons`: why the best, in words
    - `complete`: False after an interruption, then only the first `done` are ranked
    """

    standard: FamilyName
    objective: str
    arrangements: Arrangements
    tops: Floats
    lows: Floats
    columns: tuple[tuple[str, str], ...]
    stands: Bools
    measures: Mapping[str, Floats]
    keeps: Bools
    limits: tuple[Limit, ...]
    left: tuple[int, ...]
    order: Ints
    pareto: Ints
    criteria: tuple[str, ...]
    today: Shown
    pinned: tuple[Shown, ...]
    best: tuple[Shown, ...]
    front: tuple[Shown, ...]
    positions: int
    done: int
    held_twice: int = 0
    lifts: Bools = field(default_factory=lambda: np.zeros(0, dtype=bool))
    whole: Mapping[str, Whole] = field(default_factory=dict)
    still: Mapping[str, StillPoints] = field(default_factory=dict)
    reasons: tuple[tuple[str, ...], ...] = ()

    @property
    def complete(self) -> bool:
        """False when the work was stopped before the last arrangement."""
        return self.done == len(self.arrangements)


def _objective_of(bridge: Bridge, asked: str | None, order: Layout) -> str:
    """The objective asked for, else the file's; raises `InputError` naming what can be asked."""
    text = asked if asked is not None else bridge.compare.objective or PARETO[0]
    if text in OBJECTIVES or _place(text, order) is not None:
        return text
    allowed = ", ".join(OBJECTIVES) + "; or a place and an effect such as A1.Hx"
    place = (
        ("command line", "--objective")
        if asked is not None
        else ("bridge file", "compare.objective")
    )
    raise InputError([Fault(*place, repr(text[:60]), allowed)])


def _place(text: str, order: Layout) -> tuple[str, str] | None:
    """(place, effect) of "A1.Hx"; None when it names none that is followed."""
    place, _, effect = text.partition(".")
    if place in order.supports:
        effect = {"Hx": "Fx", "Hy": "Fy"}.get(effect, effect)
        return (place, effect) if effect in SUPPORT_EFFECTS else None
    return (place, effect) if place in order.seats and effect in SEAT else None


def _none_stands(found: Arrangements) -> Fault:
    motions = "; ".join(f"{item.motion} (such as {item.example})" for item in found.dropped)
    return Fault(
        "bridge file",
        "compare.rules",
        f"none of {found.total} arrangements stands: {motions}",
        "rules that hold the bridge along and across",
    )


# ------------------------------------------------------------------ the whole question
def compare(
    prepared: Prepared,
    name: FamilyName,
    limits: Sequence[Limit] = (),
    objective: str | None = None,
    *,
    best: int = 3,
    full: bool = True,
    store: Store | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """Compare all arrangements that the rules of the bridge allow.

    `best`: how many of the best to show; `full`: work today's and these out in full; `store`: keeps
    what was computed when the work is interrupted.

    Raises `InputError` for an unknown objective or limit, for too many arrangements (with the
    count, the time and how to narrow), and when no arrangement keeps the limits (naming the one
    that excludes the last).
    """
    with threadpool_limits(limits=1, user_api="blas"):
        bridge = prepared.bridge
        order = layout(prepared.structure)
        objective = _objective_of(bridge, objective, order)
        for limit in limits:
            _followed(limit)
        particular = {limit.place for limit in limits}
        named = _place(objective, order)
        if named is not None:
            particular.add(named[0])
        arrangements = generate(prepared, places=particular, seconds=SECONDS)
        if not len(arrangements):
            raise InputError([_none_stands(arrangements)])
        screen = Screen(prepared, name, references(prepared, arrangements))
        survey = _survey(screen, arrangements)
        if store is not None:
            store = store.within(arrangements.codes)
        rows, done = _work(survey, arrangements, store, progress)
        comparison = _ranked(
            screen, survey, arrangements, rows, done, tuple(limits), objective, best
        )
        whole = full and comparison.complete  # who has interrupted does not want to wait
        return _in_full(screen, comparison, progress) if whole else comparison


def references(prepared: Prepared, found: Arrangements | None = None) -> list[dict[str, Seat]]:
    """Arrangements whose worst traffic is worth having besides that of the file's own.

    Fixed at the first support and at the middle one; the bearing of every line that holds across in
    the file's arrangement is the one that holds. And the images of the file's own in the ways in
    which the bridge looks the same (of `found`).
    """
    own = pinned_arrangements(prepared.bridge, prepared.tables)[prepared.bridge.arrangement.name]
    support_of = {seat.mark: seat.support for seat in prepared.structure.seats}
    result: list[dict[str, Seat]] = []
    for way in found.ways if found is not None else ():
        if way.holds and found is not None:
            image = {
                found.marks[int(to)]: own[mark].function
                for mark, to in zip(found.marks, way.seats, strict=True)
            }
            result.append({m: found.passed_on.bearing(m, word) for m, word in image.items()})
    if not prepared.structure.continuous:
        return result
    marks = prepared.structure.supports
    for support in dict.fromkeys((marks[0], marks[len(marks) // 2])):
        changed = {}
        for mark, seat in own.items():
            word = seat.function
            if word in ("elastic", "none"):
                changed[mark] = seat
                continue
            across = word in ("fixed", "guided along")
            along = across and support_of[mark] == support
            new = "fixed" if along else "guided along" if across else "free"
            changed[mark] = seat.model_copy(update={"function": new, "direction": "axis"})
        result.append(changed)
    return result


def _followed(limit: Limit) -> None:
    if limit.effect not in (*SEAT, *SUPPORT_EFFECTS):
        allowed = ", ".join(SEAT) + " of a seat; " + ", ".join(SUPPORT_EFFECTS) + " of a support"
        raise InputError([Fault("limit", limit.text, limit.effect, allowed)])


def _survey(screen: Screen, arrangements: Arrangements) -> Survey:
    bearings = [
        {
            int(code): arrangements.passed_on.bearing(mark, arrangements.words[int(code)])
            for code in np.unique(arrangements.codes[:, column])
        }
        for column, mark in enumerate(arrangements.marks)
    ]
    return Survey(screen, bearings, arrangements.passed_on.aimed)


def _work(
    survey: Survey, arrangements: Arrangements, store: Store | None, progress: Progress | None
) -> tuple[Rows, int]:
    """Rows of all arrangements, or of the first `done` when interrupted."""
    total, codes = len(arrangements), arrangements.codes.astype(np.intp)
    starts = range(0, total, CHUNK)
    parts: list[Rows] = []

    def one(start: int) -> Rows:
        kept = store.read(start) if store is not None else None
        if kept is not None:
            return kept
        own = range(start, min(start + CHUNK, total))
        with threadpool_limits(limits=1, user_api="blas"):
            rows = survey.some(codes[own.start : own.stop], [arrangements.point(i) for i in own])
        slim = Rows(**{name: _slim(getattr(rows, name)) for name in Rows.__dataclass_fields__})
        if store is not None:
            store.write(start, slim)
        return slim

    survey.some(codes[:1], [arrangements.point(0)])  # directions, the compiled loop
    with ThreadPoolExecutor(2) as pool:
        waiting = [pool.submit(one, start) for start in starts]
        try:
            for number, future in enumerate(waiting):
                parts.append(future.result())
                if progress is not None:
                    done = min((number + 1) * CHUNK, total)
                    progress(done, total, f"{done:,} of {total:,} arrangements")
        except KeyboardInterrupt:
            for future in waiting:
                future.cancel()
            if not parts:
                raise
    rows = Rows(
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in Rows.__dataclass_fields__
        )
    )
    return rows, len(rows.stands)


def _slim(values: Any) -> Any:
    """Single precision: seven digits are more than a ranking needs, in half the room."""
    return values.astype(np.float32) if values.dtype == np.float64 else values


# ------------------------------------------------------------------ measures
def measures(screen: Screen, survey: Survey, top: Floats, low: Floats) -> dict[str, Floats]:
    """(n,) each objective but ``locked`` from governing extremes (n, columns) of `Rows`."""
    structure = screen.prepared.structure
    size = np.maximum(np.abs(top), np.abs(low))
    marks = structure.supports
    ends, inner = (marks[0], marks[-1]), marks[1:-1]

    def largest(places: Sequence[str], effects: Sequence[str]) -> Floats:
        columns = [survey.column(place, effect) for place in places for effect in effects]
        if not columns:
            return np.zeros(len(size))
        return np.asarray(size[:, columns].max(axis=1), dtype=float)

    joints = [seat.mark for seat in structure.seats if seat.support in ends]
    if not structure.continuous:
        joints = [seat.mark for seat in structure.seats]
    seats = [seat.mark for seat in structure.seats]
    normal = [survey.column(mark, "N") for mark in seats]
    return {
        "abutment force": largest(ends, ("Fx",)),
        "pier force": largest(inner, ("Fx",)),
        "support force": largest(marks, ("Fx",)),
        "force across": largest(marks, ("Fy",)),
        "overturning": largest(marks, ("My",)),
        "bearing force": largest(seats, ("Hx", "Hy")),
        "movement": largest(joints, ("vx",)),
        "uplift": np.asarray(-low[:, normal].min(axis=1), dtype=float),
    }


def _objective(
    objective: str, screen: Screen, survey: Survey, rows: Rows, known: Mapping[str, Floats]
) -> Floats:
    """(n,) what is to be small."""
    if objective in known:
        return known[objective]
    place = _place(objective, screen.layout)
    assert place is not None
    column = survey.column(*place)
    return np.asarray(
        np.maximum(np.abs(rows.top[:, column]), np.abs(rows.low[:, column])), dtype=float
    )


def _ranked(
    screen: Screen,
    survey: Survey,
    arrangements: Arrangements,
    rows: Rows,
    done: int,
    limits: tuple[Limit, ...],
    objective: str,
    best: int,
) -> Comparison:
    usable = rows.stands & ~rows.held_twice
    known = measures(screen, survey, rows.top, rows.low)
    known["locked"] = np.asarray(rows.locked, dtype=float)
    target = _objective(objective, screen, survey, rows, known)
    keeps = usable.copy()
    left = []
    for limit in limits:
        column = survey.column(limit.place, limit.effect)
        before = keeps.copy()
        with np.errstate(invalid="ignore"):
            keeps &= limit.kept(rows.top[:, column], rows.low[:, column])
        if not keeps.any() and before.any() and done == len(arrangements):
            measure = limit.measure(rows.top[before, column], rows.low[before, column])
            nearest = measure.max() if limit.sense == ">" else measure.min()
            in_file = limit.text in screen.prepared.bridge.compare.limits
            raise InputError([_excludes(limit, in_file, int(before.sum()), float(nearest))])
        left.append(int(keeps.sum()))
    places = np.flatnonzero(keeps)
    criteria: tuple[str, ...] = PARETO
    if len(screen.layout.supports) < 3:
        criteria = (PARETO[0], "bearing force", PARETO[2])
    if objective not in criteria:
        criteria = (objective, *criteria)
    table = np.stack([target if c == objective else known[c] for c in criteria], axis=1)
    others = [known[c] for c in (*criteria, *TIES) if c != objective]
    order = places[_order(target[places], np.stack(others, axis=1)[places])]
    # what lifts comes after all that stays down, whatever else it offers
    lifts = _lifting(survey, arrangements, rows.low)
    order = np.concatenate([order[~lifts[order]], order[lifts[order]]])
    down = order[~lifts[order]]
    down = down if len(down) else order
    pareto = down[_front(table[down])] if len(down) else down
    ranks = {int(place): number + 1 for number, place in enumerate(order)}

    def show(index: int) -> Shown:
        return _shown(
            screen, arrangements.name(index), arrangements.functions(index),
            arrangements.point(index), int(arrangements.weight[index]), ranks.get(index, 0), limits,
        )  # fmt: skip

    own = pinned_arrangements(screen.prepared.bridge, screen.prepared.tables)
    points = fixed_points(screen.prepared.bridge)
    picked = []
    for number, (name, functions) in enumerate(own.items()):
        found = arrangements.find(functions)
        rank = ranks.get(found, 0) if found is not None else 0
        try:
            picked.append(_shown(screen, name, functions, points[name], 1, rank, limits))
        except UnstableError as error:
            where = "arrangement" if number == 0 else f"compare.pinned: {name}"
            raise UnstableError(f"{where}: {error}") from error
    thin = pareto[np.unique(np.linspace(0, len(pareto) - 1, min(len(pareto), 12)).astype(int))]
    return Comparison(
        standard=screen.name,
        objective=objective,
        arrangements=arrangements,
        tops=rows.top,
        lows=rows.low,
        columns=_columns(screen),
        stands=usable,
        measures={**known, objective: target},
        keeps=keeps,
        limits=limits,
        left=tuple(left),
        order=order,
        pareto=pareto,
        criteria=criteria,
        today=picked[0],
        pinned=tuple(picked[1:]),
        best=tuple(show(int(index)) for index in order[:best]),
        front=tuple(show(int(index)) for index in thin),
        positions=screen.positions,
        done=done,
        held_twice=int((rows.stands & rows.held_twice).sum()),
        lifts=lifts,
    )


def _lifting(survey: Survey, arrangements: Arrangements, low: Floats) -> Bools:
    """(n,) True where a bearing that cannot hold down would pull in some limit state."""
    own = arrangements.passed_on.own
    columns = [survey.column(m, "N") for m in arrangements.marks if not own[m].uplift]
    with np.errstate(invalid="ignore"):
        return np.asarray((low[:, columns] < -ROUNDING).any(axis=1))


def _order(target: Floats, others: Floats) -> Ints:
    """Places by rising `target` (n,); those alike by the sum of the `others` (n, c), each by its
    mean.
    """
    if not len(target):
        return np.zeros(0, dtype=np.intp)
    size = np.maximum(np.abs(others).mean(axis=0), 1e-12)
    step = max(float(np.abs(target).min()) * ALIKE, 1e-12)
    return np.lexsort(((others / size).sum(axis=1), np.round(target / step)))


def _excludes(limit: Limit, in_file: bool, before: int, nearest: float) -> Fault:
    scale, unit = {"N": (1e-3, "kN"), "v": (1e3, "mm"), "M": (1e-3, "kN m")}.get(
        limit.effect[0], (1e-3, "kN")
    )
    return Fault(
        "bridge file" if in_file else "command line",
        f"{'compare.limits' if in_file else '--limit'}: {limit.text}",
        f"none of the {before} arrangements that keep the limits before it",
        f"a limit that one can keep: the nearest reaches {nearest * scale:.4g} {unit}",
    )


def _columns(screen: Screen) -> tuple[tuple[str, str], ...]:
    seats = [(seat, effect) for effect in SEAT for seat in screen.layout.seats]
    below = [(support, effect) for support in screen.layout.supports for effect in SUPPORT_EFFECTS]
    return (*seats, *below)


def _front(table: Floats) -> Ints:
    """Rows (n, criteria) that no other beats in one criterion without losing in another.

    Differences below `ALIKE` of the best value of a criterion are none; of rows alike in all the
    first is kept.
    """
    step = np.maximum(np.abs(table).min(axis=0) * ALIKE, 1e-3 * np.abs(table).max(axis=0) * ALIKE)
    grid = np.round(table / np.where(step > 0.0, step, 1.0))
    _, first = np.unique(grid, axis=0, return_index=True)
    first = np.sort(first)
    grid = grid[first]
    kept: list[int] = []
    by_sum = np.argsort(grid.sum(axis=1), kind="stable")
    for row in by_sum:  # who is beaten is beaten by one with a smaller sum
        if not kept or not (grid[kept] <= grid[row]).all(axis=1).any():
            kept.append(int(row))
    return np.asarray(first[sorted(kept)])


# ------------------------------------------------------------------ one in full view
def _shown(
    screen: Screen,
    name: str,
    functions: Mapping[str, Seat],
    point: str | None,
    count: int,
    rank: int,
    limits: Sequence[Limit],
) -> Shown:
    structure = screen.prepared.structure
    supports = list(screen.prepared.bridge.support)
    look = screen.look(arranged=arrange(structure, supports, functions, point))
    return shown(screen, look, name, functions, point, count, rank, limits)


def shown(
    screen: Screen,
    look: Look,
    name: str,
    functions: Mapping[str, Seat],
    point: str | None = None,
    count: int = 1,
    rank: int = 0,
    limits: Sequence[Limit] = (),
) -> Shown:
    """An arrangement in full view from its envelopes."""
    structure, order = screen.prepared.structure, look.layout
    seats = [seat.mark for seat in structure.seats]
    top, low = look.value[:, 0].max(axis=0), look.value[:, 1].min(axis=0)
    size = np.maximum(np.abs(top), np.abs(low))

    def at(place: str, effect: str) -> float:
        return float(size[order.index(place, effect)])

    below = {
        mark: {effect: at(mark, effect) for effect in SUPPORT_EFFECTS}
        | {"V": float(top[order.index(mark, "V")]), "V min": float(low[order.index(mark, "V")])}
        for mark in order.supports
    }
    ends = (order.supports[0], order.supports[-1])
    joint_of = {mark: [s.mark for s in structure.seats if s.support == mark] for mark in below}
    joints = {mark: max(at(seat, "vx") for seat in own) for mark, own in joint_of.items() if own}
    least = min(seats, key=lambda mark: low[order.index(mark, "N")])
    pairs = [(mark, effect) for mark in seats for effect in ("Hx", "Hy")]
    largest = max(pairs, key=lambda pair: at(*pair))
    heat = float(np.abs(look.heats[:, [order.index(*pair) for pair in pairs]]).max())
    end_joints = ends if structure.continuous else tuple(order.supports)
    found = {
        "abutment force": max(below[mark]["Fx"] for mark in ends),
        "pier force": max((below[mark]["Fx"] for mark in order.supports[1:-1]), default=0.0),
        "support force": max(below[mark]["Fx"] for mark in below),
        "force across": max(below[mark]["Fy"] for mark in below),
        "overturning": max(below[mark]["My"] for mark in below),
        "bearing force": at(*largest),
        "movement": max(joints.get(mark, 0.0) for mark in end_joints),
        "uplift": -float(low[order.index(least, "N")]),
        "locked": heat * screen.base.span,
    }
    broken = [
        limit.text
        for limit in limits
        if not limit.kept(
            top[order.index(limit.place, limit.effect)], low[order.index(limit.place, limit.effect)]
        )
    ]
    return Shown(
        name=name,
        functions=dict(functions),
        point=point,
        count=count,
        measures=found,
        supports=below,
        governing={mark: look.governing(mark, "Fx")[1:] for mark in below},
        by_action={
            mark: {
                action: (
                    float(np.abs(both[:, order.index(mark, "Fx")]).max()),
                    float(np.abs(both[:, order.index(mark, "Fy")]).max()),
                )
                for action, both in look.actions.items()
                if action in screen.names[1]
            }
            for mark in below
        },
        joints=joints,
        least=(float(low[order.index(least, "N")]), least),
        largest=(at(*largest), largest[1], largest[0]),
        kinds=dict(Counter(seat.function for seat in functions.values())),
        rank=rank,
        broken=tuple(broken),
    )


# ------------------------------------------------------------------ the best in full
def as_file(bridge: Bridge, functions: Mapping[str, Seat], point: str | None, name: str) -> Bridge:
    """The bridge file with another arrangement, every seat told by itself."""
    arrangement = bridge.arrangement.model_copy(
        update={"name": name, "supports": {}, "seats": dict(functions), "fixed_point": point}
    )
    return bridge.model_copy(update={"arrangement": arrangement})


def _in_full(screen: Screen, comparison: Comparison, progress: Progress | None) -> Comparison:
    whole: dict[str, Whole] = {}
    still: dict[str, StillPoints] = {}
    structure, supports = screen.prepared.structure, list(screen.prepared.bridge.support)
    in_full = [comparison.today, *comparison.best]
    chosen = [*in_full, *comparison.pinned]
    for number, item in enumerate(chosen):
        if item.name in still:
            continue
        if progress is not None:
            progress(number, len(chosen), f"working out in full: {item.name[:60]}")
        arranged = arrange(structure, supports, item.functions, item.point)
        still[item.name] = still_points(
            screen.prepared, screen.name, arranged, context=screen.context
        )
        if item in in_full:
            bridge = as_file(screen.prepared.bridge, item.functions, item.point, item.name)
            schedule = schedule_of(replace(screen.prepared, bridge=bridge), screen.name)
            whole[item.name] = Whole(schedule, _change(item, schedule))
    reasons = tuple(reason(comparison.today, item) for item in comparison.best)
    return replace(comparison, whole=whole, still=still, reasons=reasons)


def _change(item: Shown, schedule: Schedule) -> float:
    """Largest difference to the quick envelopes, part of the largest of its name.

    Of the forces and moments on the supports, and of the horizontal forces of the bearings.
    """
    worst = 0.0
    for effect in ("V", "Fx", "Fy", "Mx", "My"):
        full: dict[str, float] = {}
        for line in schedule.support_lines:
            if line.effect == effect:
                full[line.place] = max(full.get(line.place, 0.0), abs(line.value))
        top = max(full.values(), default=0.0)
        for mark, value in full.items():
            quick = item.supports[mark]
            size = max(quick["V"], -quick["V min"]) if effect == "V" else quick[effect]
            worst = max(worst, abs(value - size) / top if top > 0.0 else 0.0)
    largest = max(
        (abs(line.value) for line in schedule.seat_lines if line.effect in ("Hx", "Hy")),
        default=0.0,
    )
    if largest > 0.0:
        worst = max(worst, abs(largest - item.largest[0]) / largest)
    return worst


def reason(today: Shown, other: Shown) -> tuple[str, ...]:
    """Why an arrangement is better than today's, and what it costs; sentences, units kN and mm."""
    lines = []
    changed = [
        f"{mark} {other.functions[mark].function} (today {today.functions[mark].function})"
        for mark in other.functions
        if other.functions[mark].function != today.functions[mark].function
    ]
    if not changed:
        return ("the arrangement of today",)
    told = ", ".join(changed[:6]) + (f" and {len(changed) - 6} more" if len(changed) > 6 else "")
    lines.append(f"changes {told}")
    gains: list[str] = []
    costs: list[str] = []
    for mark in other.supports:
        before, after = today.supports[mark]["Fx"], other.supports[mark]["Fx"]
        if abs(after - before) > 0.05 * max(v["Fx"] for v in today.supports.values()):
            text = f"{mark} takes {after / 1e3:,.0f} kN along, not {before / 1e3:,.0f} kN"
            (gains if after < before else costs).append(text)
    for name, scale, unit, words in (
        ("movement", 1e3, "mm", "largest movement at a joint"),
        ("bearing force", 1e-3, "kN", "largest horizontal force of a bearing"),
        ("locked", 1e-3, "kN", "force that temperature locks in at a bearing"),
        ("overturning", 1e-3, "kN m", "largest overturning along the bridge"),
    ):
        before, after = today.measures[name] * scale, other.measures[name] * scale
        if abs(after - before) > max(0.05 * max(before, after), 1.0):  # 1 mm, 1 kN
            text = f"{words} {after:,.0f} {unit}, not {before:,.0f} {unit}"
            (gains if after < before else costs).append(text)
    if gains:
        lines.append("gains: " + "; ".join(gains))
    if costs:
        lines.append("costs: " + "; ".join(costs))
    if other.least[0] < 0.0 <= today.least[0]:
        lines.append(f"{other.least[1]} would lift: {-other.least[0] / 1e3:,.0f} kN of pull")
    return tuple(lines)
