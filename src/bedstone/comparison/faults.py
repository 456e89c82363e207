"""What every single fault of the bearings and supports does, ranked by harm.

Harm is a number: how far anything (force of a support along, across or down; N, H or movement of a
seat) goes beyond its envelope on the intact bridge, in either sense, as a part of the largest of
its kind on the intact bridge; the largest of these. 0: nothing leaves its envelope. 1: some place
takes as much more as the most loaded place takes today. A small force that triples beside a large
one counts little, and an abutment that took nothing and now takes all counts fully. A weight that
becomes less is no harm; where a bearing that only pushes would pull, that is told beside the harm.
It is a measure to rank by, not a check.

A seized bearing and a closed stop are held completely: that is the bound, and `friction_needed`
says how rough the bearing would have to be to hold so much.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from scipy.optimize import linprog
from threadpoolctl import threadpool_limits

from bedstone.actions.effects import Layout
from bedstone.actions.kept import Kept
from bedstone.bridge.schema import FamilyName
from bedstone.comparison.faults_list import Fault, left_out
from bedstone.comparison.limits import Limit
from bedstone.comparison.screen import Look, Screen
from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.contact import SMALL, open_gaps
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.schedule.analysis import Progress
from bedstone.schedule.make import schedule_of
from bedstone.schedule.result import Schedule, Uplift
from bedstone.schedule.uplift import ROUNDING

#: What counts as harm: name, effects of seats or supports that are compared with each other.
KINDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("force along a support", ("Fx",)),
    ("force across a support", ("Fy",)),
    ("weight on a support", ("V",)),
    ("load of a bearing", ("N",)),
    ("horizontal force of a bearing", ("Hx", "Hy")),
    ("movement of a bearing", ("vx", "vy")),
)
#: Horizontal forces are measured against this part of the largest vertical one at least, and
#: movements against `LEAST_MOVEMENT` (m), so that a bridge without such forces has a measure too.
LEAST_SHARE = 0.01
LEAST_MOVEMENT = 0.001
#: Stiffness against raising one bearing, as a part of that of the superstructure, below which
#: statics alone decides what it carries.
DETERMINATE = 1e-6
#: Part by which the variable share of a bearing's least load may be larger than the screen finds
#: where a bearing is gone; up to 0.28 on the examples (a corner of the curved bridge).
DOUBT = 0.3
#: Movement in plan (m) beyond which a bearing is left, if it is also `FAR` times the largest of the
#: intact bridge. A judgement of our own: no bearing in common use is made for as much.
OFF_BEARING = 1.0
FAR = 10.0
#: Limit states that ask about uplift alone: their horizontal forces are no design forces.
_UPLIFT_ALONE = "ULS equilibrium"
#: Effects in whose worst cases it is looked whether the bridge overturns: what presses on bearings
#: and supports, and what turns it over.
ONE_SIDED = ("N", "V", "Mx", "My")
#: Faults worked out in full beyond those asked for, while the order at the top still changes.
_MORE = 3


@dataclass(frozen=True, eq=False)
class Extremes:
    """Largest (`top`) and smallest (`low`) value of every effect over the limit states; (size,).

    ULS equilibrium counts for the smallest N and V alone.
    """

    layout: Layout
    top: Floats
    low: Floats

    @property
    def size(self) -> Floats:
        """(size,) largest absolute value."""
        return np.asarray(np.maximum(np.abs(self.top), np.abs(self.low)))

    def largest(self, place: str, effect: str) -> float:
        """The value of largest size of one effect, with its sign."""
        index = self.layout.index(place, effect)
        top, low = float(self.top[index]), float(self.low[index])
        return top if abs(top) >= abs(low) else low


@dataclass(frozen=True)
class Change:
    """One extreme (`sense` max or min) before and after; SI, with sign.

    `limit_state`, `combination`: those of the value after.
    """

    place: str
    effect: str
    sense: str
    before: float
    after: float
    limit_state: str = ""
    combination: str = ""


@dataclass(frozen=True, eq=False)
class Result:
    """What one fault does.

    - `harm`, and `worst`: the change it comes from; `kind`: which of `KINDS`
    - `extremes` of all effects; seats put in turned are told in the directions of the intact ones
    - `lifts`: seats that cannot hold down and would pull
    - `friction_needed`: of a seized bearing, H over N under permanent load; None: not asked
    - `bites`: part of the movement that is left when a stop or worn guide bites; 1: at once
    - `in_full`: worked out by the schedule itself, traffic placed anew and bearings open;
      `opened`: the uplifts then found
    - `broken`: limits that are kept by the intact bridge and not by this one
    - `doubtful`: opening the bearings that lift may overturn the bridge
    """

    fault: Fault
    harm: float
    kind: str
    worst: Change
    extremes: Extremes
    lifts: tuple[str, ...]
    friction_needed: float | None
    bites: float
    residual: float
    in_full: bool = False
    opened: tuple[Uplift, ...] = ()
    broken: tuple[str, ...] = ()
    doubtful: bool = False


@dataclass(frozen=True, eq=False)
class WhatIf:
    """All single faults of a bridge, ranked by harm.

    `unstable`: faults under which the bridge moves freely, or so far that it leaves its bearings,
    with the motion in words; they stand above all others. `refused`: faults whose solution failed
    its own check. `untried`: those left when the work was interrupted; `left_out`: those that the
    file does not ask for. `intact_lifts`: seats that would pull without any fault.
    """

    bridge: str
    reference: str
    name: FamilyName
    standard_title: str
    arrangement: str
    look: Look
    intact: Extremes
    references: Floats
    results: tuple[Result, ...]
    unstable: tuple[tuple[Fault, str], ...]
    refused: tuple[tuple[Fault, str], ...]
    untried: tuple[Fault, ...]
    left_out: tuple[str, ...]
    intact_lifts: tuple[str, ...]
    intact_broken: tuple[str, ...]
    ends: tuple[str, ...]
    seat_supports: dict[str, str] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """Faults that were tried."""
        return len(self.results) + len(self.unstable) + len(self.refused)


def what_if(
    screen: Screen,
    faults: Sequence[Fault],
    progress: Progress | None = None,
    *,
    full: int = 3,
    limits: Sequence[Limit] = (),
    states: str = "",
    schedule: Schedule | None = None,
    kept: Kept | None = None,
) -> WhatIf:
    """Look at every fault and rank them by harm; one BLAS thread, as the matrices are small.

    `full`: so many of the worst are worked out again by the schedule; `states`: only limit states
    whose names hold this; `schedule`: that of the intact bridge, and `kept`: its loads and traffic,
    if they are there already. An interruption (`KeyboardInterrupt`) keeps what was found; the rest
    is in `untried`. Raises what `Screen.look` raises for the intact bridge.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        known = _Known(schedule, kept or Kept())
        return _what_if(screen, faults, progress, full, limits, states, known)


@dataclass
class _Known:
    """What is worked out in full once for all faults: the intact schedule, when it is asked for."""

    schedule: Schedule | None
    kept: Kept

    def intact(self, screen: Screen) -> Schedule:
        """The schedule of the intact bridge."""
        if self.schedule is None:
            self.schedule = schedule_of(screen.prepared, screen.name, kept=self.kept)
        return self.schedule


def _what_if(
    screen: Screen,
    faults: Sequence[Fault],
    progress: Progress | None,
    full: int,
    limits: Sequence[Limit],
    states: str,
    known: _Known,
) -> WhatIf:
    look = screen.look()
    intact = _of_look(look, states)
    own = _Measure(screen, look, intact, references(intact), limits, states)
    results: list[Result] = []
    unstable: list[tuple[Fault, str]] = []
    refused: list[tuple[Fault, str]] = []
    done = 0

    def tell(text: str, number: int) -> None:
        if progress is not None:
            progress(number, len(faults) + 1, text)

    try:
        for done, fault in enumerate(faults):
            tell(fault.name, done)
            try:
                results.append(own.result(fault))
            except UnstableError as error:
                unstable.append((fault, str(error)))
            except CheckError as error:
                refused.append((fault, str(error)))
        done = len(faults)
        results.sort(key=_rank)
        _in_full(own, known, results, unstable, full, lambda text: tell(text, done))
    except KeyboardInterrupt:
        results.sort(key=_rank)
    bridge = screen.prepared.bridge
    structure = screen.prepared.structure
    return WhatIf(
        bridge=bridge.bridge.name,
        reference=bridge.bridge.reference,
        name=screen.name,
        standard_title=screen.context.family.title,
        arrangement=bridge.arrangement.name,
        look=look,
        intact=intact,
        references=own.references,
        results=tuple(results),
        unstable=tuple(unstable),
        refused=tuple(refused),
        untried=tuple(faults[done:]),
        left_out=left_out(screen),
        intact_lifts=own.lifting(intact, look.arranged.bearings.held),
        intact_broken=_broken(limits, intact),
        ends=(structure.supports[0], structure.supports[-1]),
        seat_supports={seat.mark: seat.support for seat in structure.seats},
    )


def references(intact: Extremes) -> Floats:
    """(size,) largest value of its kind on the intact bridge for each effect; nan: no harm."""
    order = intact.layout
    result = np.full(order.size, np.nan)
    for _, effects in KINDS:
        indices = _indices(order, effects)
        largest = float(intact.size[indices].max(initial=0.0))
        if effects[0] in ("vx", "vy"):
            largest = max(largest, LEAST_MOVEMENT)
        else:
            vertical = "N" if effects[0] in ("N", "Hx") else "V"
            least = float(intact.size[_indices(order, (vertical,))].max(initial=0.0))
            largest = max(largest, LEAST_SHARE * least)
        result[indices] = max(largest, 1e-300)
    return result


def harm_of(
    intact: Extremes, after: Extremes, measure: Floats, pulling: Ints
) -> tuple[float, int, int]:
    """Harm, and from where it comes: 0 largest or 1 smallest value, and position of the effect.

    `measure` from `references`; `pulling`: positions of N of the seats that are held down, where a
    pull is real. Elsewhere a bearing opens before it pulls: `Result.lifts`.
    """
    less = np.array([intact.low, after.low])
    weights = _indices(intact.layout, ("N", "V"))
    down = np.setdiff1d(weights, pulling)
    less[:, down] = 0.0
    less[:, pulling] = np.minimum(less[:, pulling], 0.0)  # down to nothing is no harm
    grown = np.stack([after.top - intact.top, less[0] - less[1]]) / measure
    grown = np.nan_to_num(grown, nan=-np.inf)
    sign, index = np.unravel_index(int(grown.argmax()), grown.shape)
    return max(float(grown[sign, index]), 0.0), int(sign), int(index)


def kind_of(effect: str) -> str:
    """The name in `KINDS` of an effect that counts as harm."""
    return next(name for name, effects in KINDS if effect in effects)


# ------------------------------------------------------------------ one fault
@dataclass(frozen=True)
class _Measure:
    """What every fault is held against."""

    screen: Screen
    look: Look
    intact: Extremes
    references: Floats
    limits: Sequence[Limit]
    states: str

    @property
    def pulling(self) -> Ints:
        """Positions of N of the seats that are held down."""
        seats = self.look.arranged.seats
        return np.array([12 * row for row, seat in enumerate(seats) if seat.uplift], dtype=np.intp)

    def result(self, fault: Fault) -> Result:
        """Look at a fault; raises `UnstableError`, `CheckError`."""
        if fault.kind == "guides worn":
            return self._worn(fault)
        look = self.screen.look(fault.bridge)
        _stands(self.screen, fault, look)
        after = _of_look(look, self.states)
        bites = 1.0
        if fault.gap != (0.0, 0.0):
            bites = self._bites(fault, self.intact)
            after = _between(self.intact, after, bites)
        if fault.kind == "turned by 90 deg":
            after = _turned_back(after, fault.place)
        return self._told(fault, after, look, bites)

    def _worn(self, fault: Fault) -> Result:
        """Loose up to the wear, then as intact; a bridge that is loose shifts by it."""
        try:
            look = self.screen.look(fault.bridge)
            loose = _of_look(look, self.states)
            self._stays(fault, loose, look)
        except UnstableError:
            index = [self.look.layout.index(fault.place, f"v{axis}") for axis in fault.axes]
            top, low = self.intact.top.copy(), self.intact.low.copy()
            top[index] += fault.gap[1]
            low[index] -= fault.gap[0]
            return self._told(fault, Extremes(self.look.layout, top, low), self.look, 1.0)
        bites = self._bites(fault, loose)
        return self._told(fault, _between(loose, self.intact, bites), look, bites)

    def _bites(self, fault: Fault, loose: Extremes) -> float:
        """Part of the movement that a stop still meets, the worse of both ways."""
        parts = [0.0]
        for axis in fault.axes:
            index = loose.layout.index(fault.place, f"v{axis}")
            for way, gap in ((-loose.low[index], fault.gap[0]), (loose.top[index], fault.gap[1])):
                if way > gap:
                    parts.append(1.0 - gap / float(way))
        return max(parts)

    def _told(self, fault: Fault, after: Extremes, look: Look, bites: float) -> Result:
        self._stays(fault, after, look)
        harm, sign, worst = harm_of(self.intact, after, self.references, self.pulling)
        lifts = self.lifting(after, look.arranged.bearings.held)
        place, effect = self.look.layout.name(worst)
        change = Change(
            place,
            effect,
            ("max", "min")[sign],
            float((self.intact.low if sign else self.intact.top)[worst]),
            float((after.low if sign else after.top)[worst]),
            *_governing(look, place, *_in_look(fault, place, effect, sign), self.states),
        )
        return Result(
            fault=fault,
            harm=harm,
            kind=kind_of(effect),
            worst=change,
            extremes=after,
            lifts=lifts,
            friction_needed=_friction_needed(fault, look, bites),
            bites=bites,
            residual=look.residual,
            broken=self.newly_broken(after),
            doubtful=fault.gap == (0.0, 0.0) and _doubtful(self, fault, look, after, lifts),
        )

    def _stays(self, fault: Fault, after: Extremes, look: Look) -> None:
        """Raises `UnstableError` where the bridge moves so far that it leaves its bearings.

        Small displacements no longer hold there: what is left to hold the motion (a leaning
        column, a pad in shear) is so soft that its size says nothing.
        """
        plan = _indices(after.layout, ("vx", "vy"))
        worst = int(plan[int(after.size[plan].argmax())])
        most = max(OFF_BEARING, FAR * float(self.intact.size[plan].max()))
        if after.size[worst] <= most:
            return
        place, effect = after.layout.name(worst)
        sign = int(-after.low[worst] > after.top[worst])
        state, combination = _governing(
            look, place, *_in_look(fault, place, effect, sign), self.states
        )
        way = "along" if effect == "vx" else "across"
        raise UnstableError(
            f"only soft parts resist this motion: {place} would move {after.size[worst]:.1f} m "
            f"{way} and leave its seat ({_case(state, combination)})"
        )

    def lifting(self, found: Extremes, held: Bools) -> tuple[str, ...]:
        """Seats that cannot hold down and pull in some limit state."""
        seats = self.look.arranged.seats
        return tuple(
            mark
            for row, mark in enumerate(found.layout.seats)
            if held[row, 2]
            and not seats[row].uplift
            and found.low[found.layout.index(mark, "N")] < -ROUNDING
        )

    def newly_broken(self, after: Extremes) -> tuple[str, ...]:
        """Limits that the intact bridge keeps and this one does not."""
        before = _broken(self.limits, self.intact)
        return tuple(text for text in _broken(self.limits, after) if text not in before)


def _of_look(look: Look, states: str) -> Extremes:
    rows = _wanted(look.limit_states, states)
    top, low = look.value[rows, 0].max(axis=0), look.value[rows, 1].min(axis=0)
    weights = _indices(look.layout, ("N", "V"))
    every = _wanted(look.limit_states, states, uplift=True)
    low[weights] = look.value[every, 1].min(axis=0)[weights]
    return Extremes(look.layout, top, low)


def _wanted(names: Sequence[str], states: str, *, uplift: bool = False) -> list[int]:
    """Limit states that count: those whose names hold `states`, all if none does."""
    rows = [row for row, name in enumerate(names) if states in name] or list(range(len(names)))
    return [row for row in rows if uplift or names[row] != _UPLIFT_ALONE] or rows


def _governing(look: Look, place: str, effect: str, sign: int, states: str) -> tuple[str, str]:
    """Limit state and combination from which an extreme comes."""
    index = look.layout.index(place, effect)
    uplift = sign == 1 and effect in ("N", "V")
    rows = _wanted(look.limit_states, states, uplift=uplift)
    table = look.value[rows, sign, index]
    state = rows[int(table.argmin() if sign else table.argmax())]
    picked = int(look.combination[state, sign, index])
    return look.limit_states[state], look.combinations[state][picked].name


def _between(loose: Extremes, held: Extremes, part: float) -> Extremes:
    """Extremes where a stop meets the last `part` of a movement.

    In one load case a stop behind a gap g takes 1 - g/v of the force it takes without a gap, where
    v is the movement without a stop; all effects go with it. No case has a larger part than the
    largest movement, so the worse of "not reached" and this part is a bound for all of them.
    """
    return Extremes(
        loose.layout,
        np.maximum(loose.top, (1.0 - part) * loose.top + part * held.top),
        np.minimum(loose.low, (1.0 - part) * loose.low + part * held.low),
    )


def _turned_back(found: Extremes, mark: str) -> Extremes:
    """Extremes with the effects of a seat turned by +90 deg told in its intact directions.

    The turned x' lies where y' was, and the turned y' against x'.
    """
    order = found.layout
    top, low = found.top.copy(), found.low.copy()
    for pair in ("H", "M", "v", "r"):
        x, y = order.index(mark, f"{pair}x"), order.index(mark, f"{pair}y")
        top[x], low[x] = -found.low[y], -found.top[y]
        top[y], low[y] = found.top[x], found.low[x]
    return Extremes(order, top, low)


def _in_look(fault: Fault, place: str, effect: str, sign: int) -> tuple[str, int]:
    """What an effect and its sense (0 largest, 1 smallest) are called on the faulty bridge.

    A seat that was put in turned has its own directions there: see `_turned_back`.
    """
    if fault.kind != "turned by 90 deg" or place != fault.place or effect[-1] not in "xy":
        return effect, sign
    return (f"{effect[:-1]}y", 1 - sign) if effect[-1] == "x" else (f"{effect[:-1]}x", sign)


def _friction_needed(fault: Fault, look: Look, bites: float) -> float | None:
    """H in the directions newly held over N, permanent: friction that would hold as much.

    H under the characteristic combination, where there is one.
    """
    if fault.kind not in ("seized", "stop reached") or not fault.axes:
        return None
    normal = float(look.permanent[look.layout.index(fault.place, "N")])
    names = "SLS characteristic" if "SLS characteristic" in look.limit_states else ""
    sizes = [look.extreme(fault.place, f"H{axis}", "abs", names) for axis in fault.axes]
    return bites * math.hypot(*sizes) / normal if normal > 0.0 else math.inf


def _broken(limits: Sequence[Limit], found: Extremes) -> tuple[str, ...]:
    result = []
    for limit in limits:
        index = found.layout.index(limit.place, limit.effect)
        if not bool(limit.kept(found.top[index], found.low[index])):
            result.append(limit.text)
    return tuple(result)


@lru_cache(maxsize=64)
def _indices(order: Layout, effects: tuple[str, ...]) -> Ints:
    """Positions of effects by name, at all seats or at all supports; asked for at every fault."""
    found = order.positions(effects)
    found.setflags(write=False)
    return found


def _rank(result: Result) -> tuple[float, str]:
    return -result.harm, result.fault.name


# ------------------------------------------------------------------ does it stand at all
def _stands(screen: Screen, fault: Fault, look: Look) -> None:
    """Raises `UnstableError` where the permanent load alone would overturn the bridge.

    Bearings that only push open until those left carry the load; the stages before the bearings
    are set are counted with the rest.
    """
    normal = 12 * _one_sided(look)
    if not len(normal) or look.permanent[normal].min() >= -ROUNDING:
        return
    raising, stiffness = _raising(screen, fault, look)
    try:
        open_gaps(look.permanent[normal], raising, stiffness)
    except UnstableError as error:
        raise UnstableError(f"{error} (under permanent load alone)") from error


def _one_sided(look: Look) -> Ints:
    """Rows of the seats that push and cannot pull."""
    held = look.arranged.bearings.held[:, 2]
    seats = look.arranged.seats
    rows = [row for row, seat in enumerate(seats) if held[row] and not seat.uplift]
    return np.array(rows, dtype=np.intp)


def _raising(screen: Screen, fault: Fault, look: Look) -> tuple[Floats, float]:
    """Change of N (k, k) at the one-sided seats when each is raised by 1 m, N/m.

    With it the order of the vertical stiffness of the superstructure between its seats.
    """
    prepared = screen.prepared
    rows = _one_sided(look)
    final = prepared.condensed[prepared.final]
    standing = screen.standing(look, fault.bridge)
    lift = np.zeros((6 * len(look.arranged.seats), len(rows)))
    lift[6 * rows + 2, np.arange(len(rows))] = 1.0
    raised = final.settlement(lift)
    changed = standing.effects.effects(raised.g, raised.r, raised.s)[12 * rows]
    softest = float(np.diag(final.flexibility)[2::6].max(initial=0.0))
    return (changed + changed.T) / 2.0, 1.0 / softest if softest > 0.0 else 0.0


def _doubtful(
    own: _Measure, fault: Fault, look: Look, after: Extremes, lifts: Sequence[str]
) -> bool:
    """Whether opening the bearings that lift may leave nothing in equilibrium.

    So where statics alone decides what a lifting bearing carries: no other can take its part. And
    so where a bearing is gone and another lifts or nearly does; unless the least that each bearing
    carries leaves nothing to turn over. Raises `UnstableError` where it does overturn beyond doubt.
    """
    order, rows = look.layout, _one_sided(look)
    lasting, least = look.permanent[12 * rows], after.low[12 * rows]
    least = least - DOUBT * np.abs(lasting - least)
    gone = fault.kind == "unseated" and bool((least < -ROUNDING).any())
    if not lifts and not gone:
        return False
    raising, stiffness = _raising(own.screen, fault, look)
    alone: dict[str, float] = {
        order.seats[row]: float(value) / max(stiffness, 1e-300)
        for row, value in zip(rows, np.diag(raising), strict=True)
    }
    for mark in lifts:
        if alone[mark] <= SMALL:
            state, combination = _governing(look, mark, "N", 1, own.states)
            raise UnstableError(_overturned(mark, state, combination))
    if not gone and min(alone[mark] for mark in lifts) > DETERMINATE:
        return False
    return not _never_turns(least, raising, stiffness)


def _never_turns(least: Floats, raising: Floats, stiffness: float) -> bool:
    """Whether the bearings stand under all forces N (k,) of which none is below `least`.

    A bridge overturns where some raising of its bearings, none downward, needs no force by the
    superstructure and is helped by the loads (Farkas on `bedstone.mechanics.contact`). With the
    least of every N the help is largest: the least of a linear program over those raisings.
    """
    stiff = max(float(np.abs(raising).max(initial=0.0)), stiffness, 1e-300)
    values, vectors = np.linalg.eigh(raising / stiff)
    free = vectors[:, values <= DETERMINATE]  # (k, f)
    if not free.shape[1]:
        return True
    found = linprog(
        least @ free / max(float(np.abs(least).max()), 1e-300),
        A_ub=-free,
        b_ub=np.zeros(len(free)),
        A_eq=free.sum(axis=0)[None],
        b_eq=[1.0],
        bounds=(None, None),
    )
    # 2: no such raising at all
    return bool(found.status == 2 or (found.status == 0 and float(found.fun or 0.0) >= 0.0))


def _overturned(mark: str, state: str, combination: str) -> str:
    case = _case(state, combination)
    return f"the superstructure overturns unless {mark} is held down ({case})"


def _case(state: str, combination: str) -> str:
    """A combination with its limit state, which some names begin with."""
    return combination if combination.startswith(state) else f"{state}, {combination}"


# ------------------------------------------------------------------ the worst in full
def _in_full(
    own: _Measure,
    known: _Known,
    results: list[Result],
    unstable: list[tuple[Fault, str]],
    full: int,
    tell: Callable[[str], None],
) -> None:
    """Work out the worst by the schedule and rank again, until those at the top are all in full.

    Of the faults that may overturn the bridge it is settled first whether they do: those go to
    `unstable`.
    """
    for item in [item for item in results if item.doubtful]:
        tell(f"does it stand: {item.fault.name}")
        try:
            _overturns(_schedule_with(own, known, item.fault, ONE_SIDED))
        except UnstableError as error:
            results.remove(item)
            unstable.append((item.fault, str(error)))
    intact: Extremes | None = None
    for _ in range(full + _MORE if full else 0):
        place = next((place for place, item in enumerate(results[:full]) if not _final(item)), None)
        if place is None:
            return
        item = results[place]
        tell(f"in full: {item.fault.name}")
        if intact is None:
            intact = _of_schedule(own, known.intact(own.screen))
        try:
            results[place] = _checked(own, known, item, intact)
        except UnstableError as error:
            del results[place]
            unstable.append((item.fault, str(error)))
        results.sort(key=_rank)


def _final(item: Result) -> bool:
    """Worked out in full, or such that the schedule does not know it (a gap that closes)."""
    return item.in_full or item.fault.gap != (0.0, 0.0)


def _schedule_with(
    own: _Measure, known: _Known, fault: Fault, only: Collection[str] | None = None
) -> Schedule:
    prepared = replace(own.screen.prepared, bridge=fault.bridge)
    return schedule_of(prepared, own.screen.name, kept=known.kept, only=only)


def _overturns(schedule: Schedule) -> tuple[Uplift, ...]:
    """Bearings that open; raises `UnstableError` where no state without tension stands."""
    opened = tuple(lift for lift in schedule.uplift if not lift.held)
    for lift in opened:
        if not np.isfinite(lift.gap):
            raise UnstableError(_overturned(lift.seat, lift.limit_state, lift.combination))
    return opened


def _checked(own: _Measure, known: _Known, item: Result, intact: Extremes) -> Result:
    """A result by the schedule of its bridge file; raises `UnstableError` if it overturns."""
    fault = item.fault
    schedule = _schedule_with(own, known, fault)
    opened = _overturns(schedule)
    after = _of_schedule(own, schedule)
    turned = fault.place if fault.kind == "turned by 90 deg" else ""
    if turned:
        after = _turned_back(after, turned)
    harm, sign, worst = harm_of(intact, after, references(intact), own.pulling)
    place, effect = own.look.layout.name(worst)
    value = float((after.low if sign else after.top)[worst])
    change = Change(
        place,
        effect,
        ("max", "min")[sign],
        float((intact.low if sign else intact.top)[worst]),
        value,
        *_line(schedule, place, "" if place == turned else effect, value),
    )
    return replace(
        item,
        harm=harm,
        kind=kind_of(effect),
        worst=change,
        extremes=after,
        lifts=tuple(dict.fromkeys(lift.seat for lift in opened)),
        in_full=True,
        opened=opened,
        broken=own.newly_broken(after),
    )


def _of_schedule(own: _Measure, schedule: Schedule) -> Extremes:
    order = own.look.layout
    top, low = np.full(order.size, -np.inf), np.full(order.size, np.inf)
    names = schedule.limit_states
    wanted = {names[row] for row in _wanted(names, own.states)}
    every = {names[row] for row in _wanted(names, own.states, uplift=True)}
    for line in (*schedule.seat_lines, *schedule.support_lines):
        index = order.index(line.place, line.effect)
        if line.limit_state in wanted:
            top[index] = max(top[index], line.value)
        if line.limit_state in (every if line.effect in ("N", "V") else wanted):
            low[index] = min(low[index], line.value)
    # what is nothing has no line
    return Extremes(
        order, np.where(np.isfinite(top), top, 0.0), np.where(np.isfinite(low), low, 0.0)
    )


def _line(schedule: Schedule, place: str, effect: str, value: float) -> tuple[str, str]:
    """Limit state and combination of a value of a schedule; `effect` "": any (turned axes)."""
    for line in (*schedule.seat_lines, *schedule.support_lines):
        same = abs(abs(line.value) - abs(value)) <= 1e-9 * abs(value)
        if line.place == place and same and effect in ("", line.effect):
            return line.limit_state, line.combination
    return "", ""
