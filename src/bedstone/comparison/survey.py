"""The envelopes of `Screen` for tens of thousands of arrangements, in bulk.

Arrangements of one list differ in what their bearings hold in plan. What they share is eliminated
once (`bedstone.mechanics.variants`); traffic, wind and temperature then run through one compiled
loop, all that is linear in few loads (permanent actions, settlement, friction, earthquake) through
batched products, and the combinations through others. Periods are rounded to a thousandth before
the family is asked for its earthquake.

Followed for every arrangement are the compression, horizontal forces and movements of every bearing
and the forces on every support; moments and rotations at the bearings are not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from bedstone.actions.cases import GRAVITY
from bedstone.articulation.arrangement import HELD, Arranged, direction, fixed_point, support_sums
from bedstone.articulation.ground import axes_in_plan
from bedstone.bridge.schema import Seat, Support
from bedstone.comparison.screen import Part, Screen, combine
from bedstone.errors import BedstoneError, CheckError
from bedstone.mechanics.condense import SeatLoad, stack
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.mechanics.support import SINGULAR, TOLERANCE, Bearings
from bedstone.mechanics.variants import Candidates, Columns, EffectRows, Shared
from bedstone.model.structure import SeatPlace, StateName, Structure
from bedstone.schedule.friction import adverse_sides
from bedstone.standards.site import SeismicCase

#: A bearing with its place, the structure, its support and the fixed point, to a bearing.
Aim = Callable[[Seat, SeatPlace, Structure, Support, Floats | None], Seat]
#: Effects followed for each seat; those of the supports come after all seats.
SEAT = ("N", "Hx", "Hy", "vx", "vy")
#: Movement under one kelvin (m) below which a bearing does not rub.
STILL = 1e-9
#: Steps in the logarithm of a period between which the earthquake is the same.
PERIOD_STEP = 1e-3


@dataclass(frozen=True)
class Rows:
    """Results of some arrangements; SI, extremes over all limit states and stiffnesses below.

    - `top`, `low` (n, 5 ns + 6 k): largest and smallest governing value of each effect: N of all
      seats, then Hx, Hy, vx, vy of all seats, then V, Fx, Fy, Mx, My, Mz support by support
    - `actions` (n, variable, k, 2): largest size of Fx and Fy of each support by each variable
      action, characteristic
    - `locked` (n,): largest horizontal force at a bearing by the uniform temperature alone, N
    - `stands` (n,): False where the bridge can move, `held_twice` where rigid bearings hold one
      movement twice with nothing elastic between them: the rest of these rows is nan
    """

    top: Floats
    low: Floats
    actions: Floats
    locked: Floats
    stands: Bools
    held_twice: Bools


class Survey:
    """Works through arrangements given as codes of bearings, one code a seat."""

    def __init__(
        self,
        screen: Screen,
        bearings: Sequence[Mapping[int, Seat]],
        aim: Aim | None = None,
    ) -> None:
        """`bearings`: for each seat, in the order of the structure, the bearing of each code.

        `aim`: what a bearing becomes when the fixed point is known (`Inherited.aimed`).

        Raises `BedstoneError` when the bearings of a seat differ in more than what they hold in
        plan: such arrangements are looked at one by one (`Screen.look`).
        """
        self.screen = screen
        self.bearings = bearings
        self.aim = aim
        structure = screen.prepared.structure
        self.seats = len(structure.seats)
        self.supports = len(structure.supports)
        self.actions = screen.names[1]
        self._turning = any(
            seat.direction == "toward fixed point" for own in bearings for seat in own.values()
        )
        self._settings: dict[bytes, _Setting] = {}
        for place, own in zip(structure.seats, bearings, strict=True):
            lasting = {
                (HELD[b.function][2], b.uplift, tuple(b.hold_rotation), _upright(b))
                for b in own.values()
            }
            if len(lasting) > 1:
                raise BedstoneError(
                    f"the bearings tried at {place.mark} differ in more than what they hold in plan"
                )

    def column(self, place: str, effect: str) -> int:
        """Column of an effect in `Rows.top` and `Rows.low`; raises `KeyError` if not followed."""
        marks = [seat.mark for seat in self.screen.prepared.structure.seats]
        if place in marks:
            if effect not in SEAT:
                raise KeyError(f"{place}.{effect}")
            return SEAT.index(effect) * self.seats + marks.index(place)
        order = self.screen.layout
        start = len(SEAT) * self.seats
        return start + order.index(place, effect) - order.index(order.supports[0], "V")

    def some(self, codes: Ints, points: Sequence[str | None] | None = None) -> Rows:
        """Results of a few arrangements (n, ns), in their order.

        `points`: the seat or support that is the fixed point for directions of each; None: that of
        the file. Raises `CheckError` when a solution is off by more than 1e-9.
        """
        codes = np.asarray(codes, dtype=np.intp)
        if not self._turning:
            return self._setting(None).rows(codes)
        given = [self.screen.prepared.bridge.arrangement.fixed_point] * len(codes)
        at = [self._point(row, wanted) for row, wanted in zip(codes, points or given, strict=True)]
        keys = [b"" if point is None else np.round(point, 6).tobytes() for point in at]
        parts: list[tuple[Ints, Rows]] = []
        for key in dict.fromkeys(keys):
            same = np.array([k for k, other in enumerate(keys) if other == key])
            parts.append((same, self._setting(at[int(same[0])]).rows(codes[same])))
        order = np.argsort(np.concatenate([same for same, _ in parts]))
        found = [rows for _, rows in parts]
        return Rows(
            *(
                np.concatenate([getattr(rows, name) for rows in found])[order]
                for name in Rows.__dataclass_fields__
            )
        )

    def _point(self, row: Ints, wanted: str | None) -> Floats | None:
        structure = self.screen.prepared.structure
        seats = tuple(own[int(code)] for own, code in zip(self.bearings, row, strict=True))
        return fixed_point(structure, seats, wanted)

    def _setting(self, point: Floats | None) -> _Setting:
        key = b"" if point is None else np.round(point, 6).tobytes()
        if key not in self._settings:
            if len(self._settings) > 100:
                self._settings.clear()
            self._settings[key] = _Setting(self, point)
        return self._settings[key]


def _upright(seat: Seat) -> tuple[float | None, ...]:
    springs = seat.stiffness
    return () if springs is None else (springs.kz, springs.krx, springs.kry, springs.krz)


class _Setting:
    """Bearings with known directions: candidates to be held, and every bound of stiffness."""

    def __init__(self, survey: Survey, point: Floats | None) -> None:
        screen = survey.screen
        prepared, structure = screen.prepared, screen.prepared.structure
        supports = {support.mark: support for support in prepared.bridge.support}
        count, codes = survey.seats, 1 + max(max(own) for own in survey.bearings)
        angle = np.zeros((count, codes))
        self.held = np.zeros((count, codes, 2), dtype=bool)
        self.rubs = np.zeros((count, codes), dtype=bool)
        self.given = np.full((count, codes), np.nan)
        self.kind = np.zeros((count, codes), dtype=np.intp)
        self.kinds: list[str] = []
        chosen: dict[tuple[int, float, float], int] = {}
        self.choice = np.full((count, codes, 2), -1, dtype=np.int64)
        shown: dict[tuple[int, float], int] = {}
        self.view = np.zeros((count, codes), dtype=np.intp)
        base = np.zeros((count, 6), dtype=bool)
        soft = np.zeros((count, 6))
        turned = np.zeros(count)
        for row, (place, own) in enumerate(zip(structure.seats, survey.bearings, strict=True)):
            for code, seat in own.items():
                support = supports[place.support]
                aimed = seat
                if survey.aim is not None:
                    aimed = survey.aim(seat, place, structure, support, point)
                way = direction(aimed, place, structure, support, point)
                angle[row, code] = way
                given = _compliances(seat)
                self.held[row, code] = [value is not None for value in given[:2]]
                for axis, value in enumerate(given[:2]):
                    if value is not None:
                        key = (row, round(way + axis * np.pi / 2.0, 12), value)
                        self.choice[row, code, axis] = chosen.setdefault(key, len(chosen))
                view = (row, round(way, 12))
                self.view[row, code] = shown.setdefault(view, len(shown))
                base[row, 2:] = [value is not None for value in given[2:]]
                soft[row, 2:] = [value or 0.0 for value in given[2:]]
                turned[row] = way if base[row, 3:].any() else 0.0
                self.rubs[row, code] = seat.function not in ("none", "elastic")
                kind = seat.kind or "plane sliding"
                if kind not in self.kinds:
                    self.kinds.append(kind)
                self.kind[row, code] = self.kinds.index(kind)
                if seat.friction is not None:
                    self.given[row, code] = seat.friction
        self.survey = survey
        self.angle = angle
        self.support = np.array([structure.supports.index(s.support) for s in structure.seats])
        self.tangent = np.array([float(structure.axis.angle(s.chainage)) for s in structure.seats])
        self.cos, self.sin = np.cos(angle), np.sin(angle)
        keys = list(chosen)
        self.candidates = Candidates(
            np.array([key[0] for key in keys], dtype=np.intp),
            np.array([key[1] for key in keys]),
            np.array([key[2] for key in keys]),
        )
        # where the force of a candidate counts: Hx or Hy of its seat
        self.target = np.zeros(len(keys), dtype=np.intp)
        for row, code, axis in zip(*np.nonzero(self.choice >= 0), strict=True):
            self.target[self.choice[row, code, axis]] = axis * count + row
        self.base = Bearings(np.array([axes_in_plan(a) for a in turned]), base, soft)
        self.views = list(shown)
        self.sums = _global_sums(screen)
        order = screen.layout
        self.layout_rows = np.array(
            [order.index(seat.mark, effect) for effect in SEAT for seat in structure.seats]
            + [order.index(order.supports[0], "V") + k for k in range(len(self.sums))],
            dtype=np.intp,
        )
        self.moves = np.arange(3 * count, 5 * count)
        self.rates: dict[tuple[int, int], tuple[float, float]] = {}
        self.shaking: dict[tuple[int, int], SeismicCase | None] = {}
        self.bounds = [_Bound(self, bound) for bound in screen.context.bounds]

    def effect_rows(self) -> EffectRows:
        """N of all seats, forces on all supports, then vx, vy in each direction of view."""
        count = self.survey.seats
        force = np.zeros((count + len(self.sums) + 2 * len(self.views), 6 * count))
        movement = np.zeros_like(force)
        force[np.arange(count), 6 * np.arange(count) + 2] = -1.0
        force[count : count + len(self.sums)] = self.sums
        for number, (seat, angle) in enumerate(self.views):
            first = count + len(self.sums) + 2 * number
            movement[first : first + 2, 6 * seat : 6 * seat + 2] = axes_in_plan(angle)[:2, :2]
        return EffectRows(force, movement)

    def picks(self, codes: Ints) -> Ints:
        """(n, 3 ns + 6 k) rows of `effect_rows`: N, vx, vy of all seats, then the supports."""
        count, seats = self.survey.seats, np.arange(self.survey.seats)
        first = count + len(self.sums) + 2 * self.view[seats, codes]
        fixed = np.broadcast_to(np.arange(count), codes.shape)
        below = np.broadcast_to(count + np.arange(len(self.sums)), (len(codes), len(self.sums)))
        return np.concatenate([fixed, first, first + 1, below], axis=1)

    def arrange(self, picked: Floats, forces: Floats) -> Floats:
        """(..., 5 ns + 6 k) effects in the order of `Rows` from picked ones and (..., 2 ns) H."""
        count = self.survey.seats
        return np.concatenate([picked[..., :count], forces, picked[..., count:]], axis=-1)

    def subsets(self, codes: Ints) -> Ints:
        """(n, m) candidates held, padded with -1."""
        held = self.choice[np.arange(self.survey.seats), codes].reshape(len(codes), -1)
        order = np.argsort(held < 0, axis=1, kind="stable")
        width = int((held >= 0).sum(axis=1).max(initial=0))
        return np.asarray(np.take_along_axis(held, order, axis=1)[:, :width])

    def scatter(self, subsets: Ints, forces: Floats) -> Floats:
        """(n, q, 2 ns) Hx and Hy of all seats from forces (n, q, m) in the candidates held."""
        result = np.zeros((*forces.shape[:2], 2 * self.survey.seats + 1))
        target = np.where(subsets >= 0, self.target[subsets], result.shape[2] - 1)
        place = np.broadcast_to(target[:, None, :], forces.shape)
        np.put_along_axis(result, place, np.nan_to_num(forces), axis=2)
        return np.asarray(result[..., :-1])

    def rows(self, codes: Ints) -> Rows:
        """Results of a few arrangements."""
        subsets = self.subsets(codes)
        found = [bound.rows(codes, subsets) for bound in self.bounds]
        return Rows(
            top=np.max([rows.top for rows in found], axis=0),
            low=np.min([rows.low for rows in found], axis=0),
            actions=np.max([rows.actions for rows in found], axis=0),
            locked=np.max([rows.locked for rows in found], axis=0),
            stands=found[0].stands,
            held_twice=np.any([rows.held_twice for rows in found], axis=0),
        )

    def rate(self, kind: int, number: int) -> tuple[float, float]:
        """Adverse and relieving friction of a kind, `number` of them pushing together."""
        key = (kind, number)
        if key not in self.rates:
            context = self.survey.screen.context
            self.rates[key] = context.family.friction(context.values, self.kinds[kind], number)
        return self.rates[key]

    def seismic(self, along: float, across: float) -> SeismicCase | None:
        """The family's earthquake at two periods, rounded."""
        rounded = tuple(
            round(float(np.log(max(period, 1e-3))) / PERIOD_STEP) for period in (along, across)
        )
        key = (rounded[0], rounded[1])
        if key not in self.shaking:
            context = self.survey.screen.context
            periods = [float(np.exp(number * PERIOD_STEP)) for number in key]
            self.shaking[key] = context.family.seismic(context.values, context.facts, *periods)
        return self.shaking[key]


def _compliances(seat: Seat) -> list[float | None]:
    """1/k of the six directions of a bearing: 0 held, None free; as `arrange` has it."""
    result: list[float | None] = [0.0 if held else None for held in HELD[seat.function]]
    result += [0.0 if axis in seat.hold_rotation else None for axis in "xyz"]
    if seat.stiffness is not None:
        springs = seat.stiffness
        given = (springs.kx, springs.ky, springs.kz, springs.krx, springs.kry, springs.krz)
        for number, value in enumerate(given):
            if value is not None:
                result[number] = 1.0 / value
    return result


def _global_sums(screen: Screen) -> Floats:
    """(6 k, 6 ns) forces on the bearings in global axes to the effects of all supports."""
    count = len(screen.prepared.structure.seats)
    axes = np.tile(np.eye(3), (count, 1, 1))
    plain = Arranged((), (), Bearings(axes, np.zeros((count, 6), dtype=bool), np.zeros((count, 6))))
    supports = list(screen.prepared.bridge.support)
    return support_sums(screen.prepared.structure, supports, plain)


class _Bound:
    """One stiffness below the bearings."""

    def __init__(self, setting: _Setting, bound: str) -> None:
        self.setting = setting
        self.screen = screen = setting.survey.screen
        prepared = screen.prepared
        self.final = prepared.final
        ground = screen.ground(prepared.bridge, bound)
        rows = setting.effect_rows()
        self.shared = {
            state: Shared(condensed, ground, setting.base, setting.candidates, rows)
            for state, condensed in prepared.condensed.items()
        }
        self._split()
        condensed, count = prepared.condensed[self.final], setting.survey.seats
        # friction: unit pushes along x of every seat, then along y
        unit = np.zeros((6 * count, 2 * count))
        unit[6 * np.arange(count), np.arange(count)] = 1.0
        unit[6 * np.arange(count) + 1, count + np.arange(count)] = 1.0
        self.push = self.shared[self.final].columns(condensed.seat_forces(-unit, ground))
        self.push.effects[count : count + len(setting.sums)] += setting.sums @ unit
        self.early = self._before(bound)
        self.shake = _Shake(self, ground) if prepared.bridge.actions.seismic is not None else None

    def _split(self) -> None:
        """Load cases of which only extremes are wanted (`group`), and the others (`place`)."""
        base = self.screen.base
        parts = [part for together in base.variable.values() for each in together for part in each]
        groups = [
            (columns.start, columns.stop)
            for part in parts
            if part.rule == "one" and part.state == self.final
            for columns in (part.columns, part.moved)
            if columns is not None
        ]
        self.group = {key: number for number, key in enumerate(dict.fromkeys(groups))}
        many = [column for start, stop in self.group for column in range(start, stop)]
        sizes = [stop - start for start, stop in self.group]
        self.groups = np.concatenate([[0], np.cumsum(sizes, dtype=np.intp)])
        self.place: dict[StateName, dict[int, int]] = {}
        self.single: dict[StateName, Columns] = {}
        for state, table in base.stacked.items():
            taken = set(many) if state == self.final else set()
            own = [column for column in range(table.shape[1]) if column not in taken]
            self.place[state] = {column: number for number, column in enumerate(own)}
            self.single[state] = self.shared[state].columns(_load(table[:, own], self.seats6))
        self.many = None
        if many:
            load = _load(base.stacked[self.final][:, many], self.seats6)
            self.many = self.shared[self.final].columns(load)

    @property
    def seats6(self) -> int:
        return 6 * self.setting.survey.seats

    def _before(self, bound: str) -> dict[tuple[StateName, int], Floats]:
        """(5 ns + 6 k,) effects of permanent cases that come before the bearings are set."""
        screen = self.screen
        bridge = screen.prepared.bridge
        found = screen.early(bridge, screen.arranged(bridge), bound, screen.base)
        return {key: vector[self.setting.layout_rows] for key, vector in found.items()}

    def rows(self, codes: Ints, subsets: Ints) -> Rows:
        """Results of some arrangements with this stiffness."""
        size = len(self.setting.layout_rows)
        names, supports = self.screen.names[1], self.setting.survey.supports
        count = len(codes)
        result = Rows(
            np.full((count, size), np.nan),
            np.full((count, size), np.nan),
            np.full((count, len(names), supports, 2), np.nan),
            np.full(count, np.nan),
            self.shared[self.final].stands(subsets),
            np.zeros(count, dtype=bool),
        )
        solved: dict[StateName, _Solved] = {}
        for state, shared in self.shared.items():
            solved[state] = _Solved(shared, subsets)
            result.held_twice[:] |= solved[state].singular & result.stands
        good = np.flatnonzero(result.stands & ~result.held_twice)
        if len(good):
            some = {state: item.some(good) for state, item in solved.items()}
            self._fill(result, good, codes[good], subsets[good], some)
        return result

    def _fill(
        self,
        result: Rows,
        good: Ints,
        codes: Ints,
        subsets: Ints,
        solved: Mapping[StateName, _Solved],
    ) -> None:
        setting, base = self.setting, self.screen.base
        single = {
            state: self._effects(solved[state], self.single[state], codes, subsets)
            for state in self.single
        }
        fixed = {name: np.zeros((len(codes), 1)) for name in self.screen.names[0]}
        for name, state, column, before in base.fixed:
            own = (
                self.early[state, column][None]
                if before
                else single[state][:, self.place[state][column]]
            )
            fixed[name] = fixed[name] + own
        size = len(setting.layout_rows)
        lasting = np.stack(
            [np.broadcast_to(vector, (len(codes), size)) for vector in fixed.values()], axis=1
        )
        heat = single[self.final][:, self.place[self.final][base.heat]]
        passing = np.zeros((len(codes), len(self.screen.names[1]), 2, size))
        extremes = self._extremes(codes, subsets)
        for name, together in base.variable.items():
            number = self.screen.names[1].index(name)
            for parts in together:
                both = np.array([self._part(part, extremes, single) for part in parts])
                passing[:, number, 0] += both[:, 0].max(axis=0)
                passing[:, number, 1] += both[:, 1].min(axis=0)
        if self.screen.prepared.bridge.actions.friction:
            number = self.screen.names[1].index("friction")
            permanent = lasting.sum(axis=1)
            passing[:, number] = self._friction(codes, subsets, solved, permanent, heat)
        if self.shake is not None:
            number = self.screen.names[1].index("seismic")
            passing[:, number] = self.shake.extremes(codes, subsets, solved[self.final])
        value, _ = combine(self.screen.factors, lasting, passing, setting.moves)
        result.top[good] = value[:, :, 0].max(axis=1)
        result.low[good] = value[:, :, 1].min(axis=1)
        below = passing[..., len(SEAT) * setting.survey.seats :].reshape(
            *passing.shape[:3], setting.survey.supports, 6
        )
        result.actions[good] = np.abs(below[..., 1:3]).max(axis=2)
        count = setting.survey.seats
        result.locked[good] = np.abs(heat[:, count : 3 * count]).max(axis=1) * base.span

    def _effects(self, solved: _Solved, columns: Columns, codes: Ints, subsets: Ints) -> Floats:
        """(n, k, 5 ns + 6 k) effects of load cases, each alone."""
        effects, forces = solved.answers(columns)
        picks = self.setting.picks(codes)
        picked = np.take_along_axis(np.swapaxes(effects, 1, 2), picks[:, None, :], axis=2)
        return self.setting.arrange(
            picked, self.setting.scatter(subsets, np.swapaxes(forces, 1, 2))
        )

    def _extremes(self, codes: Ints, subsets: Ints) -> tuple[Floats, Floats] | None:
        """(n, groups, 5 ns + 6 k) largest and smallest of each group of load cases."""
        if self.many is None:
            return None
        found = self.shared[self.final].envelopes(self.many, subsets, self.groups, threads=1)
        picks = self.setting.picks(codes)[:, None, :]
        top, low = (
            self.setting.arrange(
                np.take_along_axis(table, picks, axis=2), self.setting.scatter(subsets, forces)
            )
            for table, forces in ((found.top, found.hold_top), (found.low, found.hold_low))
        )
        return top, low

    def _part(
        self,
        part: Part,
        extremes: tuple[Floats, Floats] | None,
        single: Mapping[StateName, Floats],
    ) -> Floats:
        """(2, n, size) adverse parts of the cases of one part of an action."""
        moves = self.setting.moves
        if extremes is not None and part.rule == "one" and part.state == self.final:
            both = np.stack(
                [table[:, self.group[part.columns.start, part.columns.stop]] for table in extremes]
            )
            if part.moved is not None:
                moved = self.group[part.moved.start, part.moved.stop]
                for sign, table in enumerate(extremes):
                    both[sign][:, moves] = table[:, moved][:, moves]
            both = np.stack([np.maximum(both[0], 0.0), np.minimum(both[1], 0.0)])
        else:
            place = self.place[part.state]
            rows = single[part.state][
                :, [place[c] for c in range(part.columns.start, part.columns.stop)]
            ]
            if part.moved is not None:
                other = [place[c] for c in range(part.moved.start, part.moved.stop)]
                rows = rows.copy()
                rows[..., moves] = single[part.state][:, other][..., moves]
            up, down = np.maximum(rows, 0.0), np.minimum(rows, 0.0)
            if part.rule == "any":
                both = np.stack([up.sum(axis=1), down.sum(axis=1)])
            else:
                both = np.stack([up.max(axis=1, initial=0.0), down.min(axis=1, initial=0.0)])
        if part.only is not None:
            both[..., ~np.isin(self.setting.layout_rows, part.only)] = 0.0
        return np.asarray(both * part.factor)

    def _friction(
        self,
        codes: Ints,
        subsets: Ints,
        solved: Mapping[StateName, _Solved],
        permanent: Floats,
        heat: Floats,
    ) -> Floats:
        """(n, 2, size) friction of the moving bearings, as `bedstone.schedule.friction`."""
        setting = self.setting
        count = setting.survey.seats
        seats = np.arange(count)
        free = ~setting.held[seats, codes]
        way = np.stack([heat[:, 3 * count : 4 * count], heat[:, 4 * count : 5 * count]], axis=-1)
        way = np.where(free, way, 0.0)
        length = np.linalg.norm(way, axis=-1)
        moving = (length > STILL) & setting.rubs[seats, codes]
        way = way / np.where(moving, length, 1.0)[..., None]
        turn = setting.angle[seats, codes] - setting.tangent
        along = np.cos(turn) * way[..., 0] - np.sin(turn) * way[..., 1]
        across = np.sin(turn) * way[..., 0] + np.cos(turn) * way[..., 1]
        sideways = np.abs(across) > np.abs(along) * (1.0 + 1e-9)  # as `push_of`
        positive = np.where(sideways, across, along) > 0.0
        part = self.screen.prepared.condensed[self.final].part
        key = 4 * (part * setting.survey.supports + setting.support) + 2 * sideways + positive
        alike = (key[:, :, None] == key[:, None, :]) & moving[:, None, :]
        number = alike.sum(axis=2)
        kind = setting.kind[seats, codes]
        rates = np.zeros((*codes.shape, 2))
        for pair in {(int(k), int(m)) for k, m in zip(kind[moving], number[moving], strict=True)}:
            rates[(kind == pair[0]) & (number == pair[1])] = setting.rate(*pair)
        given = setting.given[seats, codes]
        told = ~np.isnan(given)
        relieving = np.divide(
            rates[..., 1], rates[..., 0], out=np.zeros_like(given), where=rates[..., 0] > 0.0
        )
        rates[told] = np.stack([given, given * relieving], axis=-1)[told]
        normal = np.where(moving, np.maximum(permanent[:, :count], 0.0), 0.0)
        cases = []
        for growing, _, adverse_on in adverse_sides(self.screen.prepared):
            full = (positive == (growing > 0.0)) == np.where(sideways, adverse_on[1], adverse_on[0])
            rate = np.where(full, rates[..., 0], rates[..., 1])
            cases.append(growing * way * (rate * normal)[..., None])
        own = np.stack(cases, axis=1)  # (n, cases, ns, 2) in the bearings' axes
        cos, sin = setting.cos[seats, codes][:, None], setting.sin[seats, codes][:, None]
        pushes = np.concatenate(
            [own[..., 0] * cos - own[..., 1] * sin, own[..., 0] * sin + own[..., 1] * cos], axis=-1
        )
        unit = self._effects(solved[self.final], self.push, codes, subsets)
        table = pushes @ unit
        table[..., count : 2 * count] += own[..., 0]
        table[..., 2 * count : 3 * count] += own[..., 1]
        return np.stack(
            [np.maximum(table.max(axis=1), 0.0), np.minimum(table.min(axis=1), 0.0)], axis=1
        )


def _load(table: Floats, seats6: int) -> SeatLoad:
    """Stacked (g - s, r) as a load."""
    return SeatLoad(table[:seats6], table[seats6:], np.zeros((seats6, table.shape[1])))


class _Solved:
    """Small systems of some arrangements of one state, inverted together."""

    def __init__(self, shared: Shared, subsets: Ints) -> None:
        self.shared = shared
        held = np.maximum(subsets, 0)
        empty = subsets < 0
        count, width = subsets.shape
        loose = shared.loose_count
        whole = np.zeros((count, width + loose, width + loose))
        whole[:, :width, :width] = shared.matrix[held[:, :, None], held[:, None, :]]
        whole[:, :width, width:] = shared.border[held]
        whole[:, :width][empty] = 0.0
        whole[:, :width, :width].swapaxes(1, 2)[empty] = 0.0
        whole[:, width:, :width] = whole[:, :width, width:].swapaxes(1, 2)
        rows, places = np.nonzero(empty)
        whole[rows, places, places] = 1.0
        self.subsets, self.empty, self.whole = held, empty, whole
        weight = 1.0 / np.sqrt(np.maximum(np.abs(whole).max(axis=1), 1e-300))
        scaled = whole * weight[:, :, None] * weight[:, None, :]
        condition = np.linalg.cond(scaled, 1)
        self.singular: Bools = ~(condition * SINGULAR < 1.0)
        self._scaled, self._weight = scaled, weight
        self.inverse: Floats | None = None

    def some(self, rows: Ints) -> _Solved:
        """Those of some rows, none of them singular, ready to answer."""
        result = object.__new__(_Solved)
        result.shared = self.shared
        result.subsets, result.empty = self.subsets[rows], self.empty[rows]
        result.whole, result.singular = self.whole[rows], self.singular[rows]
        weight = self._weight[rows]
        result._scaled, result._weight = self._scaled[rows], weight
        result.inverse = np.linalg.inv(result._scaled) * weight[:, :, None] * weight[:, None, :]
        return result

    def answers(self, columns: Columns, influence: Floats | None = None) -> tuple[Floats, Floats]:
        """(n, e, k) effects and (n, m, k) forces in the held candidates of load cases, each alone.

        `influence` (e, K + z) of the unknowns on the effects of `columns`; None: the shared one.
        Raises `CheckError` when an answer is off by more than 1e-9.
        """
        assert self.inverse is not None
        width = self.subsets.shape[1]
        influence = self.shared.influence if influence is None else influence
        right = columns.movement[self.subsets] / self.shared.scale
        right[self.empty] = 0.0
        resultant = np.broadcast_to(
            columns.resultant, (len(self.subsets), *columns.resultant.shape)
        )
        right = np.concatenate([right, resultant], axis=1)
        answer = self.inverse @ right
        answer += self.inverse @ (right - self.whole @ answer)
        lack = np.abs(right - self.whole @ answer).max(axis=1, initial=0.0)
        size = np.abs(self.whole) @ np.abs(answer) + np.abs(right)
        top = np.maximum(size.max(axis=1, initial=0.0), 1e-300)
        if len(lack) and not float((lack / top).max()) < TOLERANCE:
            raise CheckError("an arrangement of the survey is off by more than 1e-9")
        unknown = np.concatenate(
            [
                self.subsets,
                np.broadcast_to(
                    len(self.shared.matrix) + np.arange(self.shared.loose_count),
                    (len(self.subsets), self.shared.loose_count),
                ),
            ],
            axis=1,
        )
        gain = np.swapaxes(influence.T[unknown], 1, 2)
        return columns.effects + gain @ answer, answer[:, :width]


class _Shake:
    """The earthquake with one stiffness below."""

    def __init__(self, bound: _Bound, ground: Floats) -> None:
        self.bound = bound
        screen = bound.screen
        masses = screen.masses
        condensed = screen.prepared.condensed[bound.final]
        shared = bound.shared[bound.final]
        self.loads = shared.columns(stack([*masses.permanent, *masses.traffic]))
        # seat forces and rigid motion under the weights that swing, for the periods
        inverse = np.linalg.pinv(condensed.rigid)
        count = len(ground)
        rows = EffectRows(
            np.concatenate([-np.eye(count), inverse @ (condensed.flexibility + ground)]),
            np.concatenate([np.zeros((count, count)), inverse]),
        )
        whole = Shared(condensed, ground, bound.setting.base, bound.setting.candidates, rows)
        self.influence = whole.influence
        load = stack([swing.load for swing in masses.swings])
        self.swings = whole.columns(load)
        self.swings.effects[count:] -= inverse @ (load.g - load.s)

    def periods(self, solved: _Solved) -> Floats:
        """(n, 2) periods along and across, s."""
        found, _ = solved.answers(self.swings, self.influence)
        result = np.zeros((len(found), 2))
        for number, swing in enumerate(self.bound.screen.masses.swings):
            y = found[:, :, number]
            below = swing.below + y @ swing.slope
            above = swing.above + 2.0 * (y @ swing.bend) + ((y @ swing.curve) * y).sum(axis=1)
            square = np.maximum(above, 0.0) / (GRAVITY * np.where(below > 0.0, below, np.inf))
            result[:, number] = 2.0 * np.pi * np.sqrt(square)
        return result

    def extremes(self, codes: Ints, subsets: Ints, solved: _Solved) -> Floats:
        """(n, 2, size) the earthquake in all its senses."""
        bound = self.bound
        effects = bound._effects(solved, self.loads, codes, subsets)
        result = np.zeros((len(codes), 2, effects.shape[2]))
        for row, (along, across) in enumerate(self.periods(solved)):
            case = bound.setting.seismic(float(along), float(across))
            if case is None:
                continue
            scale = np.array([case.coefficient_along, case.coefficient_across,
                              case.coefficient_vertical])  # fmt: skip
            part = np.array([case.mass_traffic_along, case.mass_traffic_across, 0.0])
            size = np.abs(scale[:, None] * (effects[row, :3] + part[:, None] * effects[row, 3:]))
            main, other, vertical = case.combination
            factors = np.tile([other, other, vertical], (3, 1))
            np.fill_diagonal(factors, main)
            largest = (factors[: 3 if case.coefficient_vertical else 2] @ size).max(axis=0)
            if case.forces_only:
                largest[bound.setting.moves] = 0.0
            result[row] = largest, -largest
        return result
