"""How each bearing is set on site: offsets against the temperature of the steel, and how sure.

The rule: at the datum temperature, when all that is still to come has come, the bearing stands in
its middle. At another temperature the upper part is set off by what temperature has moved it from
there, less the movement still to come. What a row of the table then leaves of the travel is not
found from alpha L: the envelopes of the bridge are made anew for a bridge set at that temperature.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import BearingKind, FamilyName, Function, Seat
from bedstone.comparison.screen import Look, Screen
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.schedule.analysis import thermal_range
from bedstone.schedule.designs import SeatDesign
from bedstone.site import kinematics
from bedstone.site.mechanism import End, Form, Mechanism, form_of, mechanism
from bedstone.site.stages import StageEffect, stage_effects
from bedstone.site.temperatures import Temperatures, set_at, temperatures
from bedstone.site.tolerances import Tolerances, usual

Axis = Literal["x", "y"]

#: Movement per kelvin (m/K) below which nothing moves.
STILL = 1e-9
_FOLLOWED = ("vx", "vy", "rx", "ry")


@dataclass(frozen=True)
class Growth:
    """Where a seat goes as the bridge gets warmer by 1 K (m/K), in plan.

    - `own`: along x' and y' of the bearing, of the arrangement's own solution, flexible piers and
      all; `spread`: half its difference between the bounds of stiffness
    - `plain`: alpha L by the same axes, from the fixed point (`from_point` (m, m): along x' and
      y' from it to the seat); None where no bearing of the piece is fixed
    - `angle`: of `own` from x', rad, to the left
    """

    own: tuple[float, float]
    spread: tuple[float, float]
    plain: tuple[float, float] | None
    from_point: tuple[float, float] | None
    alpha: float

    @property
    def angle(self) -> float:
        """Direction of the movement from x', rad, + to the left; a line has no sense."""
        x, y = self.own
        return math.atan2(y, x) if x >= 0.0 else math.atan2(-y, -x)

    @property
    def moves(self) -> bool:
        """Whether temperature moves the bearing at all."""
        return math.hypot(*self.own) > STILL


@dataclass(frozen=True)
class Budget:
    """How far off a bearing may come to stand in one direction, m: independent errors, squared.

    `temperature`: of the thermometer; `survey`; `remaining`: of what is still to come;
    `stiffness`: half of what the bounds below the bearings differ; `air`: told, not counted: what
    it would be if air were taken in place of steel.
    """

    temperature: float
    survey: float
    remaining: float
    stiffness: float
    air: float

    @property
    def total(self) -> float:
        """Root of the sum of squares, m."""
        return math.sqrt(
            self.temperature**2 + self.survey**2 + self.remaining**2 + self.stiffness**2
        )


@dataclass(frozen=True)
class Opening:
    """The joint above a seat of an end support, square to the joint at road level, m.

    `change`: wider (+) than at the datum with everything come; `closes`, `opens`: at most after
    the day of setting, over the serviceability limit states, adding the extremes of what moves it.
    """

    change: float
    closes: float
    opens: float


@dataclass(frozen=True)
class Row:
    """One temperature (degC) of the setting table.

    - `offset` (m, m): of the upper part against the lower one, along x' (+ toward rising chainage)
      and y' (+ to the left)
    - `reach_x`, `reach_y` (m, m): least and greatest offset at the design extremes after that
    - `left`: travel left (m) at the extremes to the nearest end, None where nothing ends it
    """

    temperature: float
    offset: tuple[float, float]
    reach_x: tuple[float, float]
    reach_y: tuple[float, float]
    left: float | None
    opening: Opening | None


@dataclass(frozen=True)
class Window:
    """Temperatures of the steel (degC) between which an offset (m, m) may be left as it is.

    `first`, `last` None: at no temperature of the range is enough travel left.
    """

    offset: tuple[float, float]
    first: float | None
    last: float | None
    whole: bool = False

    @property
    def exists(self) -> bool:
        """Whether there is any such temperature."""
        return self.first is not None


@dataclass(frozen=True)
class Setting:
    """How the bearing of one seat is set. SI, degC; axes and signs as in the schedule.

    - `form`: how it moves; `held`: x' and y' held; `angle`: of x' from global x, `axis_angle`: of
      the bridge's axis there, rad
    - `stages`: what each stage does, before and after setting; `load_set`, `load_final`:
      compression when the bearing is set and under all permanent actions (N)
    - `remaining` (m, m): movement still to come along x' and y'; `turns` (rad, rad): rotation
      still to come about x' and y'
    - `datum`: temperature at which the bearing stands in its middle in the end
    - `ends`: all that ends or guides its movement; `rows`; `budget` along x' and y'
    - `upright`: where the middle position may be left; `fixed_offset`: where the offset of the
      file's temperature may be left (fixed at the works); None where nothing ends the movement
    - `level`: allowed inclination of the plates (rad)
    """

    seat: str
    support: str
    function: Function
    kind: BearingKind | None
    form: Form
    held: tuple[bool, bool]
    angle: float
    axis_angle: float
    set_at: str
    stages: tuple[StageEffect, ...]
    load_set: float
    load_final: float
    remaining: tuple[float, float]
    turns: tuple[float, float]
    growth: Growth
    temperatures: Temperatures
    datum: float
    design: Mechanism | None
    ends: tuple[End, ...]
    rows: tuple[Row, ...]
    budget: tuple[Budget, Budget]
    upright: Window | None
    fixed_offset: Window | None
    tolerances: Tolerances
    allowance: float

    @property
    def moves(self) -> bool:
        """Whether the bearing lets the superstructure move in plan."""
        return not all(self.held)

    def row(self, temperature: float) -> Row:
        """The row of a temperature (degC), between the rows of the table along straight lines.

        Raises `InputError` outside the range of the bridge.
        """
        known = [row.temperature for row in self.rows]
        if not known[0] - 1e-6 <= temperature <= known[-1] + 1e-6:
            allowed = f"{known[0]:g} to {known[-1]:g} degC, the rows of the table"
            raise InputError([Fault("setting", "temperature", f"{temperature:g} degC", allowed)])
        if len(self.rows) == 1:
            return self.rows[0]
        at = min(max(int(np.searchsorted(known, temperature)), 1), len(known) - 1)
        one, two = self.rows[at - 1], self.rows[at]
        share = (temperature - one.temperature) / (two.temperature - one.temperature)
        return _between(one, two, share, temperature)

    def roller(self, row: Row) -> float | None:
        """Offset (m) of the rollers from the middle of the lower plate: half; None without."""
        return kinematics.roller_offset(row.offset[0]) if self.form == "rolls" else None

    def turn(self, row: Row) -> float | None:
        """Turn (rad) of the rollers or segments; None where there are none or no diameter."""
        rollers = None if self.design is None else self.design.rollers
        return None if rollers is None else kinematics.roller_turn(row.offset[0], rollers.diameter)

    def lean(self, row: Row) -> float | None:
        """How far (m) a segment leans over its height; None for full rollers."""
        rollers = None if self.design is None else self.design.rollers
        turn = self.turn(row)
        if rollers is None or turn is None or not rollers.segmental:
            return None
        return kinematics.lean(turn, rollers.diameter)

    def clear(self, row: Row) -> float | None:
        """Clear distance (m) between neighbouring segments; None for full rollers or one."""
        rollers = None if self.design is None else self.design.rollers
        turn = self.turn(row)
        if rollers is None or turn is None or rollers.number < 2 or not rollers.segmental:
            return None
        return kinematics.clear_between(rollers.spacing, rollers.width, turn)

    def readings(self, row: Row, end: End) -> tuple[float, float]:
        """What a rule reads (m) at one end behind and ahead (right and left) on that day."""
        return end.readings(0.0 if end.holds else row.offset[0 if end.axis == "x" else 1])

    def slack(self, row: Row) -> float | None:
        """How far (K) the temperature taken for this row may be off, each way, beside the budget.

        None where nothing ends the movement or temperature does not move the bearing.
        """
        if row.left is None or not self.growth.moves:
            return None
        speeds = [
            abs(speed)
            for speed, held in zip(self.growth.own, self.held, strict=True)
            if not held and abs(speed) > STILL
        ]
        if not speeds:
            return None
        return (row.left - self.most) / max(speeds)

    @property
    def most(self) -> float:
        """The larger of both budgets of the free directions, m."""
        totals = [part.total for part, held in zip(self.budget, self.held, strict=True) if not held]
        return max(totals, default=0.0)


def settings(
    prepared: Prepared,
    name: FamilyName,
    screen: Screen | None = None,
    designs: Sequence[SeatDesign] = (),
    *,
    tolerances: Tolerances | None = None,
    datum: float | None = None,
) -> tuple[Setting, ...]:
    """How every bearing of a bridge is set, in the order of the seats.

    `screen`: the envelopes of this bridge and family, where they are made already; `designs`: the
    bearings, for their stops and sizes; `tolerances`: allowances in place of the usual ones;
    `datum`: temperature (degC) of the middle position, the middle of the range where None.

    Raises `InputError` for a bridge without a model or without temperatures, for a datum outside
    the range, and for designs of a seat that is not there; `UnstableError` naming a free motion.
    """
    screen = screen or Screen(prepared, name)
    allowances = tolerances or usual()
    with threadpool_limits(limits=1, user_api="blas"):
        found = temperatures(prepared, screen.context)
        middle = found.mean if datum is None else datum
        if not found.coldest <= middle <= found.warmest:
            allowed = f"{found.coldest:.1f} to {found.warmest:.1f} degC"
            raise InputError([Fault("setting", "datum", f"{middle:g} degC", allowed)])
        own = screen.look()
        marks = own.layout.seats
        wrong = [item.seat for item in designs if item.seat not in marks]
        if wrong:
            raise InputError([Fault("setting", "designs", wrong[0], ", ".join(marks))])
        table = found.rows()
        # the very ends besides, for the windows; a hair inside, so that rounding keeps them there
        hair = 1e-9 * max(1.0, abs(found.coldest), abs(found.warmest))
        ends = (found.coldest + hair, found.warmest - hair)
        looked = sorted({*table, *(end for end in ends if min(abs(end - t) for t in table) > 1e-3)})
        views = {at: screen.look(set_at(prepared.bridge, at), own.arranged) for at in looked}
        work = _Work(
            prepared, screen, own, found, middle, table, views, allowances,
            stage_effects(prepared, own.arranged, own.bounds),
            {item.seat: item for item in designs},
        )  # fmt: skip
        return tuple(
            work.setting(row)
            for row, seat in enumerate(own.arranged.seats)
            if seat.function != "none"
        )


@dataclass(frozen=True)
class _Work:
    """All that the settings of one bridge share."""

    prepared: Prepared
    screen: Screen
    own: Look
    found: Temperatures
    datum: float
    table: tuple[float, ...]
    views: Mapping[float, Look]
    tolerances: Tolerances
    stages: Mapping[str, tuple[StageEffect, ...]]
    designs: Mapping[str, SeatDesign]

    def setting(self, number: int) -> Setting:
        """The setting of one seat by its number."""
        seat = self.own.arranged.seats[number]
        place = self.prepared.structure.seats[number]
        design = self.designs.get(place.mark)
        made = None if design is None else design.choice.design
        kind = seat.kind if design is None else design.choice.kind
        held = _held(self.own, number)
        moving = None if made is None else mechanism(made, held)
        form = moving.form if moving is not None else form_of(kind, not all(held))
        stages = self.stages[place.mark]
        late = [item for item in stages if not item.before]
        remaining = (sum(item.vx for item in late), sum(item.vy for item in late))
        growth = self._growth(number)
        budget = tuple(self._budget(growth, axis, late) for axis in (0, 1))
        positions = _Positions(self, number, held, form, growth, remaining)
        ends = () if moving is None else moving.ends
        ends += _travel_ends(seat, positions.offset(self.found.setting))
        errors = tuple(part.total for part in budget)
        free = any(not end.holds for end in ends)
        return Setting(
            seat=place.mark,
            support=place.support,
            function=seat.function,
            kind=kind,
            form=form,
            held=held,
            angle=self.own.arranged.angles[number],
            axis_angle=self._axis_angle(place.support),
            set_at=self.prepared.bridge.arrangement.set_at or "",
            stages=stages,
            load_set=sum(item.N for item in stages if item.before),
            load_final=sum(item.N for item in stages),
            remaining=remaining,
            turns=(sum(item.rx for item in late), sum(item.ry for item in late)),
            growth=growth,
            temperatures=self.found,
            datum=self.datum,
            design=moving,
            ends=ends,
            rows=tuple(positions.row(at, ends) for at in self.table),
            budget=(budget[0], budget[1]),
            upright=positions.window((0.0, 0.0), ends, errors) if free else None,
            fixed_offset=positions.window(positions.offset(self.found.setting), ends, errors)
            if free
            else None,
            tolerances=self.tolerances,
            allowance=self._allowance(),
        )

    def _allowance(self) -> float:
        """What the family adds to its movements for the day of setting, K."""
        context = self.screen.context
        told = thermal_range(self.prepared, context.family, context.values, context.facts)
        return (
            told.expansion_movement
            + told.contraction_movement
            - (self.found.warmest - self.found.coldest)
        ) / 2.0

    def _axis_angle(self, support: str) -> float:
        chainage = next(s.chainage for s in self.prepared.bridge.support if s.mark == support)
        return float(self.prepared.structure.axis.angle(chainage))

    def heat(self, mark: str, effect: str) -> tuple[float, float]:
        """Mean and half the difference over the bounds of an effect of 1 K."""
        column = self.own.heats[:, self.own.layout.index(mark, effect)]
        return float(column.mean()), float(np.ptp(column)) / 2.0

    def _growth(self, number: int) -> Growth:
        structure = self.prepared.structure
        mark = structure.seats[number].mark
        (x, dx), (y, dy) = self.heat(mark, "vx"), self.heat(mark, "vy")
        context = self.screen.context
        thermal = thermal_range(self.prepared, context.family, context.values, context.facts)
        # the model gives composite girders the coefficient of concrete as a whole
        alpha = thermal.alpha_steel if structure.deck_type == "steel" else thermal.alpha_concrete
        point = self._still(number)
        plain = reach = None
        if point is not None:
            angle = self.own.arranged.angles[number]
            away = np.array(structure.seats[number].point[:2]) - point
            turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
            local = turn @ away
            reach = (float(local[0]), float(local[1]))
            held = _held(self.own, number)
            plain = (
                0.0 if held[0] else alpha * reach[0],
                0.0 if held[1] else alpha * reach[1],
            )
        return Growth((x, y), (dx, dy), plain, reach, alpha)

    def _still(self, number: int) -> Floats | None:
        """The fixed point (2,) of the piece of superstructure on which a seat stands."""
        structure = self.prepared.structure
        part = self.prepared.condensed[self.prepared.final].part
        same = [row for row, other in enumerate(part) if other == part[number]]
        places = [structure.seats[row] for row in same]
        seats = [self.own.arranged.seats[row] for row in same]
        wanted = self.prepared.bridge.arrangement.fixed_point
        if wanted is not None and not any(wanted in (p.mark, p.support) for p in places):
            wanted = None
        if wanted is not None:
            points = [p.point[:2] for p in places if wanted in (p.mark, p.support)]
        else:
            points = [
                p.point[:2] for p, s in zip(places, seats, strict=True) if s.function == "fixed"
            ]
        return np.mean(np.array(points), axis=0) if points else None

    def _budget(self, growth: Growth, axis: int, late: Sequence[StageEffect]) -> Budget:
        """The errors along x' (0) or y' (1); each stage comes out otherwise on its own."""
        speed = abs(growth.own[axis])
        allowed = self.tolerances.number
        away = max(abs(end - self.datum) for end in (self.found.coldest, self.found.warmest))
        come = [(item.vx, item.vy)[axis] for item in late]
        return Budget(
            temperature=speed * allowed("thermometer"),
            survey=allowed("survey"),
            remaining=math.hypot(*come) * allowed("remaining"),
            stiffness=growth.spread[axis] * away + sum(item.spread[axis] for item in late),
            air=speed * allowed("air"),
        )


def _held(look: Look, number: int) -> tuple[bool, bool]:
    """Whether x' and y' are held by the bearing of a seat; a spring lets it move."""
    bearings = look.arranged.bearings
    held = bearings.held[number, :2] & (bearings.compliance[number, :2] == 0.0)
    return bool(held[0]), bool(held[1])


def _travel_ends(seat: Seat, offset: tuple[float, float]) -> tuple[End, ...]:
    """Stops of the bridge file: they stand where they do seen from the place of setting."""
    travel = seat.travel
    found: list[End] = []
    if seat.play > 0.0 and seat.function in ("guided along", "guided across"):
        axis: Axis = "y" if seat.function == "guided along" else "x"
        found.append(End("guide (bridge file)", axis, -seat.play, seat.play, holds=True))
    if travel is None:
        return tuple(found)
    pairs: tuple[tuple[Axis, float | None, float | None, float], ...] = (
        ("x", travel.back, travel.ahead, offset[0]),
        ("y", travel.right, travel.left, offset[1]),
    )
    for axis, back, ahead, middle in pairs:
        if back is not None or ahead is not None:
            found.append(
                End(
                    "stop (bridge file)",
                    axis,
                    -math.inf if back is None else middle - back,
                    math.inf if ahead is None else middle + ahead,
                )
            )
    return tuple(found)


@dataclass(frozen=True)
class _Positions:
    """Where the upper part of one bearing stands, and where it comes to stand."""

    work: _Work
    number: int
    held: tuple[bool, bool]
    form: Form
    growth: Growth
    remaining: tuple[float, float]

    @property
    def mark(self) -> str:
        """Of the seat."""
        return self.work.prepared.structure.seats[self.number].mark

    def offset(self, temperature: float) -> tuple[float, float]:
        """Offset (m) to set: what temperature moved from the datum, less what is still to come.

        None for a pad that shears (it is set without shear) and where the bearing holds.
        """
        if self.form in ("shears", "holds"):
            return 0.0, 0.0
        change = temperature - self.work.datum
        x, y = (
            0.0 if held else speed * change - rest
            for speed, rest, held in zip(self.growth.own, self.remaining, self.held, strict=True)
        )
        return x, y

    def after(self, temperature: float, axis: int) -> tuple[float, float]:
        """Least and greatest movement (m) after setting at a temperature, as envelopes.

        Permanent movements are whole in the envelopes. Before they have come the bearing stands
        off by as much, so that both states count.
        """
        if self.held[axis]:
            return 0.0, 0.0
        look = self.work.views[temperature]
        effect = ("vx", "vy")[axis]
        rest = self.remaining[axis]
        least, most = look.extreme(self.mark, effect, "min"), look.extreme(self.mark, effect)
        return min(least, least - rest), max(most, most - rest)

    def row(self, temperature: float, ends: Sequence[End]) -> Row:
        """One row of the table."""
        offset = self.offset(temperature)
        reach = [
            tuple(offset[axis] + value for value in self.after(temperature, axis))
            for axis in (0, 1)
        ]
        left = _least_left(ends, reach)
        return Row(
            temperature=temperature,
            offset=offset,
            reach_x=(reach[0][0], reach[0][1]),
            reach_y=(reach[1][0], reach[1][1]),
            left=left,
            opening=self._opening(temperature),
        )

    def window(
        self, offset: tuple[float, float], ends: Sequence[End], errors: Sequence[float]
    ) -> Window:
        """Where an offset may be left: at the extremes no less travel is left than the budget."""
        known = sorted(self.work.views)
        spare = []
        for at in known:
            reach = [
                (
                    offset[axis] + self.after(at, axis)[0] - errors[axis],
                    offset[axis] + self.after(at, axis)[1] + errors[axis],
                )
                for axis in (0, 1)
            ]
            left = _least_left(ends, reach)
            spare.append(math.inf if left is None else left)
        first, last = holding(known, spare)
        whole = first == known[0] and last == known[-1]
        # what reaches the ends of the range does so without the hair taken off them
        if first == known[0]:
            first = self.work.found.coldest
        if last == known[-1]:
            last = self.work.found.warmest
        return Window(offset, first, last, whole)

    def _opening(self, temperature: float) -> Opening | None:
        """The joint above a seat of the first or the last support."""
        prepared = self.work.prepared
        structure = prepared.structure
        place = structure.seats[self.number]
        ends = (structure.supports[0], structure.supports[-1])
        if place.support not in ends:
            return None
        support = next(item for item in prepared.bridge.support if item.mark == place.support)
        square = self.work._axis_angle(place.support) + support.skew
        sense = 1.0 if place.support == ends[0] else -1.0
        turn = square - self.work.own.arranged.angles[self.number]
        height = -place.point[2]
        # a rotation about y' takes the road along x', one about x' takes it against y'
        weights = dict(
            zip(
                _FOLLOWED,
                sense
                * np.array(
                    [
                        math.cos(turn),
                        math.sin(turn),
                        -height * math.sin(turn),
                        height * math.cos(turn),
                    ]
                ),
                strict=True,
            )
        )
        stages = [item for item in self.work.stages[place.mark] if not item.before]
        rest = sum(
            weights[name] * sum(getattr(item, name) for item in stages) for name in _FOLLOWED
        )
        heat = sum(weights[name] * self.work.heat(place.mark, name)[0] for name in _FOLLOWED)
        look = self.work.views[temperature]
        low = high = 0.0
        for name, weight in weights.items():
            bounds = [
                weight * look.extreme(place.mark, name, sense, "SLS") for sense in ("min", "max")
            ]
            low, high = low + min(bounds), high + max(bounds)
        change = float(heat * (temperature - self.work.datum) - rest)
        return Opening(change, closes=max(-float(low), 0.0), opens=max(float(high), 0.0))


def _least_left(ends: Sequence[End], reach: Sequence[Sequence[float]]) -> float | None:
    """Travel left (m) to the nearest end; `reach`: least and greatest offset along x' and y'."""
    left = [
        min(reach[axis][0] - end.back, end.ahead - reach[axis][1])
        for end in ends
        if not end.holds
        for axis in (0 if end.axis == "x" else 1,)
    ]
    return min(left, default=None)


def holding(known: Sequence[float], spare: Sequence[float]) -> tuple[float | None, float | None]:
    """First and last of rising `known` between which `spare` is not negative.

    Straight between the known ones; of several such stretches the one with the largest `spare`.
    """
    best = max(range(len(known)), key=lambda i: spare[i])
    if spare[best] < 0.0:
        return None, None
    first, last = known[best], known[best]
    for i in range(best, 0, -1):
        if spare[i - 1] < 0.0:
            first = _crossing(known[i - 1], known[i], spare[i - 1], spare[i])
            break
        first = known[i - 1]
    for i in range(best, len(known) - 1):
        if spare[i + 1] < 0.0:
            last = _crossing(known[i], known[i + 1], spare[i], spare[i + 1])
            break
        last = known[i + 1]
    return first, last


def _crossing(one: float, two: float, at_one: float, at_two: float) -> float:
    return one + (two - one) * at_one / (at_one - at_two)


def _between(one: Row, two: Row, share: float, temperature: float) -> Row:
    """A row between two rows along straight lines."""

    def mixed(a: float, b: float) -> float:
        return a + (b - a) * share

    opening = None
    if one.opening is not None and two.opening is not None:
        opening = Opening(
            mixed(one.opening.change, two.opening.change),
            mixed(one.opening.closes, two.opening.closes),
            mixed(one.opening.opens, two.opening.opens),
        )
    return Row(
        temperature,
        (mixed(one.offset[0], two.offset[0]), mixed(one.offset[1], two.offset[1])),
        (mixed(one.reach_x[0], two.reach_x[0]), mixed(one.reach_x[1], two.reach_x[1])),
        (mixed(one.reach_y[0], two.reach_y[0]), mixed(one.reach_y[1], two.reach_y[1])),
        None if one.left is None or two.left is None else mixed(one.left, two.left),
        opening,
    )
