"""Traffic placed for the worst, for every effect at once.

For a lane load at an offset the effect of every train at every position is one product with the
influence base; the worst position is kept for each offset and effect. Lanes are then set side by
side by dynamic programming over the width of the carriageway, so that every order and place that
does not overlap is tried (on a grid of offsets, from both kerbs). What comes out for each effect is
a *pattern* of load, and all other effects are taken from the same pattern.

Nothing stands off the deck: where its ends are skewed, each wheel line and each lane ends where the
deck ends at its own offset.

Accuracy: trains stop at every station of the field and with each heavy axle on every kink and end,
influence is linear between stations (`bedstone.actions.traffic` refines the stations until that
error is below 0.1 % of the peak ordinate); offsets are not more than `OFFSET_STEP` apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import scipy.sparse as sp

from bedstone.actions.influence import DeckField
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.standards.traffic import Axle, LaneLoad, Placement, Train

#: Largest distance (m) between offsets at which a lane is tried.
OFFSET_STEP = 0.3
#: Strips of load are cut into pieces not longer than this (m).
STRIP = 0.5
#: Axles at least this fraction of the heaviest are set on kinks of the influence lines.
HEAVY = 0.3
#: Places are rounded to this (m); an axle so little beyond the end of the deck is still on it.
ROUNDING = 1e-6


@dataclass(frozen=True)
class Convoy:
    """A train as it stands, one sense: k points of load.

    `position` (k,) behind the first, m along the lane; `force` (k,); `half` (k,): half the length a
    point stands for, 0 for an axle; `heavy` (k,): True for points to be set on kinks.
    """

    train: Train
    position: Floats
    force: Floats
    half: Floats
    heavy: Bools
    note: str

    @property
    def length(self) -> float:
        """From the first to the last point, m."""
        return float(self.position[-1])


def convoys(train: Train, longest: float) -> Iterator[Convoy]:
    """All shapes of a train: variable gaps, one or more following, both senses.

    `longest`: loaded length, m; as many trains follow as can touch it, or fewer, since those that
    would relieve need not be there.
    """
    gaps: tuple[float | None, ...] = train.spread[1] if train.spread else (None,)
    for gap in gaps:
        axles = _spread(train, gap)
        length = axles[-1].position - axles[0].position
        most = 1
        if train.follow is not None:
            most = 1 + int((longest + length) / (length + train.follow) + 1e-9)
        for count in range(1, most + 1):
            note = "" if gap is None else f", {gap:g} m apart"
            note += f", {count} in a row" if count > 1 else ""
            convoy = _points(train, _repeat(axles, train.follow or 0.0, count), note)
            yield convoy
            back = convoy.length - convoy.position[::-1]
            if not (
                np.allclose(back, convoy.position) and np.allclose(convoy.force[::-1], convoy.force)
            ):
                yield replace(
                    convoy,
                    position=back,
                    force=convoy.force[::-1].copy(),
                    half=convoy.half[::-1].copy(),
                    heavy=convoy.heavy[::-1].copy(),
                    note=note + ", facing back",
                )


def _spread(train: Train, gap: float | None) -> tuple[Axle, ...]:
    if gap is None or train.spread is None:
        return train.axles
    index = train.spread[0]
    extra = gap - (train.axles[index + 1].position - train.axles[index].position)
    return tuple(
        replace(axle, position=axle.position + (extra if number > index else 0.0))
        for number, axle in enumerate(train.axles)
    )


def _repeat(axles: tuple[Axle, ...], gap: float, count: int) -> tuple[Axle, ...]:
    pitch = axles[-1].position - axles[0].position + gap
    return tuple(
        replace(axle, position=axle.position + number * pitch)
        for number in range(count)
        for axle in axles
    )


def _points(train: Train, axles: Sequence[Axle], note: str) -> Convoy:
    """Axles as points; strips cut into equal pieces, each at its middle."""
    rows: list[tuple[float, float, float, bool]] = []
    top = max(axle.force for axle in axles)
    for axle in axles:
        pieces = max(int(np.ceil(axle.length / STRIP)), 1)
        step = axle.length / pieces
        for piece in range(pieces):
            outer = piece in (0, pieces - 1)  # the inside of a strip has no kink to set on
            rows.append(
                (
                    axle.position - axle.length / 2.0 + (piece + 0.5) * step,
                    axle.force / pieces,
                    step / 2.0,
                    axle.force >= HEAVY * top and outer,
                )
            )
    rows.sort(key=lambda row: row[0])
    position, force, half = (np.array([row[i] for row in rows]) for i in range(3))
    heavy = np.array([row[3] for row in rows])
    return Convoy(train, position - position[0], force, half, heavy, note)


@dataclass(frozen=True)
class WheelLine:
    """Wheels at one distance from the lane's centre: `shares` (c, rows) of the axle on line loads,
    `limits` (c, 2) chainages between which the deck lies there.
    """

    shares: Floats
    limits: Floats


@dataclass
class LaneTable:
    """The worst of one lane load at each tried offset, for each sign and effect.

    `offset` (c,) centre lines; `value` (2, c, e) worst sum of train and uniform load (sign folded
    in: always the adverse magnitude); `convoy`, `place` (2, c, e) the convoy (-1: none) and its
    position. `group` (c,): offsets of a group share their positions, stretch and ends of the deck.
    """

    lane: LaneLoad
    offset: Floats
    value: Floats
    convoy: Ints
    place: Ints
    convoys: list[Convoy] = field(default_factory=list)
    positions: list[list[Floats]] = field(default_factory=list)  # [group][convoy]
    wheels: tuple[WheelLine, ...] = ()
    limits: Floats = field(default_factory=lambda: np.zeros((0, 2)))  # of the lane's centre
    group: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    spread: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    @property
    def load(self) -> float:
        """Uniform load of the lane, N/m."""
        return self.lane.uniform * self.lane.uniform_width * self.lane.uniform_factor


@dataclass(frozen=True)
class Stand:
    """The points of a convoy on one wheel line at p places: each on two stations.

    `index` (p, k) the station behind, `part` (p, k) of the way to the next, `force` (p, k) what
    stands on the deck.
    """

    index: Ints
    part: Floats
    force: Floats
    stations: int

    def stencil(self, point: int | None = None) -> sp.csr_array:
        """(p, stations) weights of all points, or of one."""
        chosen = slice(None) if point is None else slice(point, point + 1)
        index, part, force = self.index[:, chosen], self.part[:, chosen], self.force[:, chosen]
        rows = np.repeat(np.arange(len(index)), index.shape[1])
        return sp.coo_array(
            (
                np.concatenate([(force * (1.0 - part)).ravel(), (force * part).ravel()]),
                (np.concatenate([rows, rows]), np.concatenate([index.ravel(), index.ravel() + 1])),
            ),
            shape=(len(index), self.stations),
        ).tocsr()


class Placer:
    """Places load models on one deck field for a set of effects.

    - `base` (lines, 2, stations, size): `DeckField.base` of the arrangement
    - `leads` (e,): effects to make worst
    - `edges`: right and left edge of the carriageway (y), None when only tracks are loaded
    - `kinks` (k,): chainages where axles are set exactly (seats)
    - `reach`: first and last chainage that may be loaded
    """

    def __init__(
        self,
        deck: DeckField,
        base: Floats,
        leads: Ints,
        edges: tuple[float, float] | None,
        kinks: Floats,
        reach: tuple[float, float],
    ) -> None:
        self.deck = deck
        self.leads = leads
        self.edges = edges
        self.kinks = np.concatenate([kinks, deck.joints])
        self.reach = reach
        lines, kinds, stations, size = base.shape
        self.rows = lines * kinds
        self._all = base.reshape(self.rows * stations, size)
        self._lead = np.ascontiguousarray(base.reshape(self.rows, stations, size)[:, :, leads])
        # each station stands for a cell of the reference line (trapezoid rule)
        middles = (deck.stations[1:] + deck.stations[:-1]) / 2.0
        self._cells = np.concatenate([deck.stations[:1], middles, deck.stations[-1:]])
        self._tables: dict[LaneLoad, LaneTable] = {}

    def limits(self, offset: Floats) -> Floats:
        """(k, 2) chainages between which load may stand at offsets (k,)."""
        first, last = self.deck.deck.limits(offset)
        return np.stack(
            [np.maximum(first, self.reach[0]), np.minimum(last, self.reach[1])], axis=-1
        )

    def lengths(self, limits: Floats) -> Floats:
        """(..., stations) metres of reference line of each cell between limits (..., 2)."""
        low = np.maximum(self._cells[:-1], limits[..., :1])
        return np.asarray(np.maximum(np.minimum(self._cells[1:], limits[..., 1:]) - low, 0.0))

    # ------------------------------------------------------------------ one lane
    def table(self, lane: LaneLoad) -> LaneTable:
        """The lane's worst at every offset (kept for the next placement that uses it)."""
        if lane not in self._tables:
            self._tables[lane] = self._table(lane)
        return self._tables[lane]

    def _offsets(self, lane: LaneLoad) -> Floats:
        if lane.offsets is not None:
            return np.array(lane.offsets, dtype=float)
        if self.edges is None:
            return np.zeros(0)
        low = self.edges[0] + lane.edge + lane.width / 2.0
        high = self.edges[1] - lane.edge - lane.width / 2.0
        if high < low - 1e-9:
            return np.zeros(0)
        step = lane.width / np.ceil(lane.width / OFFSET_STEP)
        count = int((high - low) / step + 1e-9)
        grid = np.concatenate(
            [low + step * np.arange(count + 1), high - step * np.arange(count + 1)]
        )
        return np.unique(np.round(grid, 9))

    def _shares(self, offset: Floats, width: float) -> Floats:
        """(c, rows) weights on line loads, averaged over a width."""
        result = np.zeros((len(offset), self.rows))
        nodes, weights = np.polynomial.legendre.leggauss(3)
        for node, weight in zip(nodes, weights / 2.0, strict=True):
            shares = self.deck.shares(offset + node * width / 2.0)
            result += weight * shares.reshape(len(offset), self.rows)
        return result

    def _wheels(self, offset: Floats, track: float) -> tuple[WheelLine, ...]:
        """Wheel lines of an axle; one for all its wheels where the deck's ends are square."""
        sides = (-track / 2.0, track / 2.0) if track else (0.0,)
        lines = []
        for side in sides:
            shares = self.deck.shares(offset + side).reshape(len(offset), self.rows) / len(sides)
            lines.append(WheelLine(shares, self.limits(offset + side)))
        if len(lines) == 2 and np.allclose(lines[0].limits, lines[1].limits, rtol=0.0, atol=1e-9):
            return (WheelLine(lines[0].shares + lines[1].shares, lines[0].limits),)
        return tuple(lines)

    def _groups(self, table: LaneTable) -> Ints:
        """Groups of offsets: a few on a curve, where metres along a lane differ from metres of
        reference line; each offset by itself where the deck ends askew.
        """
        count = len(table.offset)
        if np.ptp(table.limits, axis=0).max() > 1e-9:
            return np.arange(count)
        bins = 1 if self.deck.deck.axis.curvature == 0.0 else min(5, count)
        return np.minimum((np.arange(count) * bins) // count, bins - 1).astype(np.intp)

    def _table(self, lane: LaneLoad) -> LaneTable:
        offset = self._offsets(lane)
        count, effects = len(offset), len(self.leads)
        table = LaneTable(
            lane=lane,
            offset=offset,
            value=np.zeros((2, count, effects)),
            convoy=np.full((2, count, effects), -1, dtype=np.intp),
            place=np.zeros((2, count, effects), dtype=np.intp),
        )
        if count == 0:
            return table
        track = max((train.track for train in lane.trains), default=0.0)
        table.wheels = self._wheels(offset, track)
        table.limits = self.limits(offset)
        table.spread = self._shares(offset, lane.uniform_width)
        table.group = self._groups(table)
        longest = (self.reach[1] - self.reach[0]) * float(self.deck.stretch(offset).max())
        table.convoys = [convoy for train in lane.trains for convoy in convoys(train, longest)]
        for group in range(int(table.group[-1]) + 1):
            self._fill(table, group)
        return table

    def _stretch(self, table: LaneTable, group: int) -> float:
        return float(self.deck.stretch(float(table.offset[table.group == group].mean())))

    def _fill(self, table: LaneTable, group: int) -> None:
        """Work out the worst for the offsets of one group."""
        chosen = np.flatnonzero(table.group == group)
        lane, effects = table.lane, len(self.leads)
        stretch = self._stretch(table, group)
        # adverse uniform load: per metre of reference line (2, stations, c e), and whole (2, c, e)
        adverse = np.zeros((2, len(self.deck.stations), len(chosen) * effects))
        best = np.zeros((2, len(chosen), effects))
        if table.load:
            line = np.einsum("cr,rse->sce", table.spread[chosen], self._lead, optimize=True)
            line *= table.load * self.deck.stretch(table.offset[chosen])[:, None]
            flat = line.reshape(len(line), -1)
            adverse = np.stack([np.maximum(flat, 0.0), np.maximum(-flat, 0.0)])
            whole = self.lengths(table.limits[chosen[0]]) @ adverse
            best = whole.reshape(2, len(chosen), effects)
        lines = [
            np.einsum("cr,rse->sce", wheels.shares[chosen], self._lead, optimize=True).reshape(
                len(self.deck.stations), -1
            )
            for wheels in table.wheels
        ]
        uniform = best.reshape(2, -1)
        top = uniform.copy()
        which = np.full(top.shape, -1, dtype=np.intp)
        where = np.zeros(top.shape, dtype=np.intp)
        table.positions.append([])
        for number, convoy in enumerate(table.convoys):
            places = self._places(table, group, convoy, stretch)
            table.positions[-1].append(places)
            stands = [
                self._stand(convoy, stretch, places, wheels.limits[chosen[0]])
                for wheels in table.wheels
            ]
            values = self._train_values(convoy, stands, lines)
            cleared = None
            if table.load and convoy.train.clear is not None:
                cleared = self._cleared(convoy, places, stretch, table.limits[chosen[0]])
            for sign in range(2):
                value = lane.train_factor * values[sign] + uniform[sign]
                if cleared is not None:
                    value -= cleared @ adverse[sign]
                at = value.argmax(axis=0)
                high = np.take_along_axis(value, at[None], axis=0)[0]
                better = high > top[sign]
                top[sign][better] = high[better]
                which[sign][better] = number
                where[sign][better] = at[better]
        shape = (2, len(chosen), effects)
        table.value[:, chosen] = top.reshape(shape)
        table.convoy[:, chosen] = which.reshape(shape)
        table.place[:, chosen] = where.reshape(shape)

    def _train_values(
        self, convoy: Convoy, stands: list[Stand], lines: list[Floats]
    ) -> tuple[Floats, Floats]:
        """(p, c e) effect of a convoy at p places, for both signs; points that relieve left out
        where the rule says so.
        """
        if not convoy.train.omit_relieving:
            value = sum(
                np.asarray(stand.stencil() @ line)
                for stand, line in zip(stands, lines, strict=True)
            )
            return np.asarray(value), -np.asarray(value)
        shape = (len(stands[0].index), lines[0].shape[1])
        plus, minus = np.zeros(shape), np.zeros(shape)
        for point in range(len(convoy.position)):
            value = sum(
                np.asarray(stand.stencil(point) @ line)
                for stand, line in zip(stands, lines, strict=True)
            )
            plus += np.maximum(value, 0.0)
            minus += np.maximum(-np.asarray(value), 0.0)
        return plus, minus

    def _places(self, table: LaneTable, group: int, convoy: Convoy, stretch: float) -> Floats:
        """Chainages (p,) of the first point that are tried."""
        stations, position = self.deck.stations, convoy.position / stretch
        half = convoy.half / stretch
        chosen = np.flatnonzero(table.group == group)
        ends = np.array([wheels.limits[chosen[0]] for wheels in table.wheels]).ravel()
        run = np.concatenate([stations, stations + position[-1]])
        heavy = np.flatnonzero(convoy.heavy)
        exact = (np.concatenate([self.kinks, ends])[:, None] + position[heavy]).ravel()
        # strips: their own ends at the ends of the deck
        flush = [(ends[:, None] + position[heavy] + sign * half[heavy]).ravel() for sign in (-1, 1)]
        places = np.unique(np.round(np.concatenate([run, exact, *flush]), 6))
        low, high = ends.min() - half[0], ends.max() + position[-1] + half[-1]
        return np.asarray(places[(places >= low - ROUNDING) & (places <= high + ROUNDING)])

    def _stand(self, convoy: Convoy, stretch: float, places: Floats, limits: Floats) -> Stand:
        """The points of a convoy with their first at `places` (p,), between limits (2,)."""
        stations = self.deck.stations
        at = places[:, None] - convoy.position / stretch
        half = convoy.half / stretch
        # a piece of a strip counts with the part that stands on the deck
        low, high = np.maximum(at - half, limits[0]), np.minimum(at + half, limits[1])
        part_on = (high - low) / np.where(half > 0.0, 2.0 * half, 1.0)
        on = np.where(half > 0.0, np.clip(part_on, 0.0, 1.0), high - low >= -ROUNDING)
        middle = np.clip((low + high) / 2.0, limits[0], limits[1])
        index = np.clip(np.searchsorted(stations, middle, side="right") - 1, 0, len(stations) - 2)
        part = (middle - stations[index]) / (stations[index + 1] - stations[index])
        return Stand(index.astype(np.intp), part, convoy.force * on, len(stations))

    def _cleared(self, convoy: Convoy, places: Floats, stretch: float, limits: Floats) -> Floats:
        """(p, stations) metres of each cell kept clear of uniform load by a train at each place."""
        clear = (convoy.train.clear or 0.0) / stretch
        tail = places - convoy.length / stretch - clear
        taken = np.stack([np.maximum(tail, limits[0]), np.minimum(places + clear, limits[1])], -1)
        return self.lengths(taken)

    # ------------------------------------------------------------------ lanes side by side
    def place(self, placement: Placement) -> Placed:
        """The worst of one placement for every lead and sign."""
        effects = len(self.leads)
        fixed = [lane for lane in placement.lanes if lane.offsets is not None]
        loose = [lane for lane in placement.lanes if lane.offsets is None]
        kinds = list(dict.fromkeys(loose))
        counts = tuple(loose.count(kind) for kind in kinds)
        chosen = [self._fixed(lane, placement.may_omit) for lane in fixed]
        total = sum((value for value, _ in chosen), np.zeros((2, effects)))
        picks = [(lane, pick) for lane, (_, pick) in zip(fixed, chosen, strict=True)]
        if kinds:
            value, loose_picks = self._side_by_side(
                kinds, counts, placement.rest, placement.may_omit
            )
            total = total + value
            picks += loose_picks
        if placement.rest:
            total = total + self._rest_total(placement.rest)
        return Placed(placement, picks, placement.factor * total)

    def _fixed(self, lane: LaneLoad, may_omit: bool) -> tuple[Floats, Ints]:
        table = self.table(lane)
        pick = table.value.argmax(axis=1)
        value = np.take_along_axis(table.value, pick[:, None], axis=1)[:, 0]
        if may_omit:
            pick = np.where(value > 0.0, pick, -1)
            value = np.maximum(value, 0.0)
        return value, pick.astype(np.intp)

    def _side_by_side(
        self, kinds: list[LaneLoad], counts: tuple[int, ...], rest: float, may_omit: bool
    ) -> tuple[Floats, list[tuple[LaneLoad, Ints]]]:
        """Dynamic programming from the right kerb to the left.

        State: how many lanes of each kind are placed; at each right-to-left coordinate the best
        value so far. Returns the value (2, e) and, for each lane, the chosen offset index
        (2, e), -1 when left out.
        """
        effects = len(self.leads)
        tables = [self.table(kind) for kind in kinds]
        gains = [self._gain(table, rest) for table in tables]
        ends = [table.offset + kind.width / 2.0 for table, kind in zip(tables, kinds, strict=True)]
        marks = np.unique(np.round(np.concatenate([np.array([-np.inf]), *ends]), 9))
        states = list(np.ndindex(*(count + 1 for count in counts)))
        floor = 0.0 if may_omit else -np.inf
        best: dict[tuple[int, ...], Floats] = {}
        # for each state: value at each mark, and how it was reached: (kind, offset) or -1
        how: dict[tuple[int, ...], tuple[Ints, Ints]] = {}
        for state in states:
            start = 0.0 if sum(state) == 0 else (floor if may_omit else -np.inf)
            value = np.full((len(marks), 2, effects), start)
            by_kind = np.full((len(marks), 2, effects), -1, dtype=np.intp)
            by_offset = np.full((len(marks), 2, effects), -1, dtype=np.intp)
            for mark in range(1, len(marks)):
                now, kind_now, offset_now = (
                    value[mark - 1].copy(), by_kind[mark - 1].copy(), by_offset[mark - 1].copy(),
                )  # fmt: skip
                for index, kind in enumerate(kinds):
                    if state[index] == 0:
                        continue
                    at = np.flatnonzero(np.abs(ends[index] - marks[mark]) < 1e-8)
                    if at.size == 0:
                        continue
                    before = tuple(
                        number - int(other == index) for other, number in enumerate(state)
                    )
                    edge = marks[mark] - kind.width
                    upto = int(np.searchsorted(marks, edge + 1e-8, side="right")) - 1
                    candidate = best[before][upto] + gains[index][:, at[0]]
                    better = candidate > now
                    now[better] = candidate[better]
                    kind_now[better] = index
                    offset_now[better] = at[0]
                value[mark], by_kind[mark], by_offset[mark] = now, kind_now, offset_now
            best[state] = value
            how[state] = (by_kind, by_offset)
        return best[counts][-1], self._trace(kinds, counts, ends, marks, how)

    def _trace(
        self,
        kinds: list[LaneLoad],
        counts: tuple[int, ...],
        ends: list[Floats],
        marks: Floats,
        how: dict[tuple[int, ...], tuple[Ints, Ints]],
    ) -> list[tuple[LaneLoad, Ints]]:
        """Walk the choices back: for each lane the chosen offset index (2, e)."""
        effects = len(self.leads)
        result = [
            (kind, np.full((2, effects), -1, dtype=np.intp))
            for kind, count in zip(kinds, counts, strict=True)
            for _ in range(count)
        ]
        first = np.cumsum([0, *counts])
        for sign in range(2):
            for effect in range(effects):
                state, mark = counts, len(marks) - 1
                while mark > 0 and any(state):
                    which = int(how[state][0][mark, sign, effect])
                    if which < 0:
                        break
                    offset = int(how[state][1][mark, sign, effect])
                    slot = first[which] + counts[which] - state[which]
                    result[slot][1][sign, effect] = offset
                    edge = ends[which][offset] - kinds[which].width
                    mark = int(np.searchsorted(marks, edge + 1e-8, side="right")) - 1
                    state = tuple(
                        number - int(other == which) for other, number in enumerate(state)
                    )
        return result

    def _area_line(self, offset: Floats, width: float) -> Floats:
        """(c, stations, e) effect of each cell under a unit load per metre of lane."""
        line = np.einsum("cr,rse->cse", self._shares(offset, width), self._lead, optimize=True)
        line *= (self.lengths(self.limits(offset)) * self.deck.stretch(offset)[:, None])[:, :, None]
        return np.asarray(line)

    def _gain(self, table: LaneTable, rest: float) -> Floats:
        """(2, c, e) what a lane adds beyond the load of the remaining area it displaces."""
        if rest == 0.0:
            return table.value
        line = rest * table.lane.width * self._area_line(table.offset, table.lane.width)
        displaced = np.stack(
            [np.maximum(line, 0.0).sum(axis=1), np.maximum(-line, 0.0).sum(axis=1)]
        )
        return np.asarray(table.value - displaced)

    def _strips(self) -> tuple[Floats, Floats]:
        """Middles and widths of the strips in which the remaining area is loaded."""
        if self.edges is None:
            return np.zeros(0), np.zeros(0)
        right, left = self.edges
        count = max(int(np.ceil((left - right) / OFFSET_STEP)), 1)
        width = (left - right) / count
        return np.asarray(right + width * (np.arange(count) + 0.5)), np.full(count, width)

    def _rest_total(self, rest: float) -> Floats:
        middle, width = self._strips()
        line = rest * width[:, None, None] * self._area_line(middle, 0.0)
        return np.stack(
            [np.maximum(line, 0.0).sum(axis=(0, 1)), np.maximum(-line, 0.0).sum(axis=(0, 1))]
        )

    # ------------------------------------------------------------------ the load that does it
    def patterns(self, placed: Placed, sign: int, columns: Ints) -> Floats:
        """(k, rows, stations) weights of load for the chosen leads `columns` (k,) and one sign."""
        stations = len(self.deck.stations)
        result = np.zeros((len(columns), self.rows, stations))
        taken: list[tuple[Floats, float, Bools]] = []
        for lane, pick in placed.picks:
            table = self.table(lane)
            index = pick[sign, columns]
            used = index >= 0
            if len(table.offset) == 0 or not used.any():
                continue
            taken.append((table.offset[index], lane.width, used))
            rows = np.flatnonzero(used)
            result[rows] += self._lane_pattern(table, sign, columns[rows], index[rows])
        if placed.placement.rest:
            result += self._rest_pattern(placed.placement.rest, sign, columns, taken)
        return result * placed.placement.factor

    def _lane_pattern(self, table: LaneTable, sign: int, columns: Ints, index: Ints) -> Floats:
        lane, stations = table.lane, self.deck.stations
        result = np.zeros((len(columns), self.rows, len(stations)))
        convoy = table.convoy[sign, index, columns]
        place = table.place[sign, index, columns]
        length = self.lengths(table.limits[index])
        for group in np.unique(table.group[index]):
            stretch = self._stretch(table, int(group))
            first = int(np.flatnonzero(table.group == group)[0])
            for number in np.unique(convoy):
                rows = np.flatnonzero((convoy == number) & (table.group[index] == group))
                if number < 0 or rows.size == 0:
                    continue
                shape = table.convoys[number]
                places = table.positions[group][number][place[rows]]
                stands = [
                    self._stand(shape, stretch, places, wheels.limits[first])
                    for wheels in table.wheels
                ]
                shares = [wheels.shares[index[rows]] for wheels in table.wheels]
                kept = self._kept(shape, stands, shares, columns[rows], sign)
                for stand, share in zip(stands, shares, strict=True):
                    axles = replace(stand, force=stand.force * kept).stencil().toarray()
                    result[rows] += lane.train_factor * share[:, :, None] * axles[:, None, :]
                if shape.train.clear is not None:
                    length[rows] -= self._cleared(shape, places, stretch, table.limits[first])
        if table.load:
            spread = table.spread[index]
            line = np.einsum("kr,rsk->ks", spread, self._lead[:, :, columns], optimize=True)
            adverse = line > 0.0 if sign == 0 else line < 0.0
            weight = table.load * length * adverse
            weight = weight * self.deck.stretch(table.offset[index])[:, None]
            result += spread[:, :, None] * weight[:, None, :]
        return result

    def _kept(
        self, convoy: Convoy, stands: list[Stand], shares: list[Floats], columns: Ints, sign: int
    ) -> Floats:
        """(k, points) 1 where a point of the convoy stands, 0 where it is left out as relieving."""
        shape = stands[0].force.shape
        if not convoy.train.omit_relieving:
            return np.ones(shape)
        value = np.zeros(shape)
        for stand, share in zip(stands, shares, strict=True):
            line = np.einsum("kr,rsk->ks", share, self._lead[:, :, columns], optimize=True)
            near = np.take_along_axis(line, stand.index, axis=1)
            next_ = np.take_along_axis(line, stand.index + 1, axis=1)
            value += stand.force * (near * (1.0 - stand.part) + next_ * stand.part)
        return np.where(value > 0.0 if sign == 0 else value < 0.0, 1.0, 0.0)

    def _rest_pattern(
        self, rest: float, sign: int, columns: Ints, taken: list[tuple[Floats, float, Bools]]
    ) -> Floats:
        middle, width = self._strips()
        share = self.deck.shares(middle).reshape(len(middle), self.rows)
        free = np.ones((len(columns), len(middle)))
        for centre, lane_width, used in taken:
            low = np.maximum(middle[None] - width / 2.0, centre[:, None] - lane_width / 2.0)
            high = np.minimum(middle[None] + width / 2.0, centre[:, None] + lane_width / 2.0)
            covered = np.maximum(high - low, 0.0) / width
            free -= np.where(used[:, None], covered, 0.0)
        free = np.maximum(free, 0.0)
        line = np.einsum("cr,rsk->kcs", share, self._lead[:, :, columns], optimize=True)
        adverse = line > 0.0 if sign == 0 else line < 0.0
        metres = self.lengths(self.limits(middle)) * self.deck.stretch(middle)[:, None]
        weight = adverse * (rest * width[:, None] * metres)[None] * free[:, :, None]
        return np.asarray(np.einsum("cr,kcs->krs", share, weight, optimize=True))

    def effects(self, patterns: Floats) -> Floats:
        """(k, size) all effects of k patterns."""
        return np.asarray(patterns.reshape(len(patterns), -1) @ self._all)

    def describe(self, placed: Placed, sign: int, column: int) -> str:
        """Where the load stands, in words: lanes with offsets, trains with their first axle."""
        texts = []
        for lane, pick in placed.picks:
            index = int(pick[sign, column])
            if index < 0:
                continue
            table = self.table(lane)
            text = f"{lane.name} at y = {table.offset[index]:+.2f} m"
            number = int(table.convoy[sign, index, column])
            if number >= 0:
                group = int(table.group[index])
                place = table.positions[group][number][int(table.place[sign, index, column])]
                convoy = table.convoys[number]
                word = "front" if convoy.half[0] else "first axle"
                front = place + convoy.half[0] / self._stretch(table, group)
                text += f" ({convoy.train.name}{convoy.note}, {word} at {front:.2f} m)"
            texts.append(text)
        if placed.placement.rest:
            place_ = "rest of the carriageway" if texts else "carriageway"
            texts.append(f"{place_} on its adverse parts")
        return "; ".join(texts) or "no load"


@dataclass(frozen=True)
class Placed:
    """One placement made worst: picks (lane, offset index (2, e)) and the value reached (2, e).

    With a load on the remaining area the value is that of the search (area counted where lanes do
    not displace it strip by strip); the pattern gives the exact one.
    """

    placement: Placement
    picks: list[tuple[LaneLoad, Ints]]
    value: Floats
