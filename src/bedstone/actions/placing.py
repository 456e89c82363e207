"""Traffic placed for the worst, for every effect at once.

For a lane load at an offset the effect of every train at every position is one product with the
influence base; the worst position is kept for each offset and effect. Lanes are then set side by
side by dynamic programming over the width of the carriageway, so that every order and place that
does not overlap is tried (on a grid of offsets, from both kerbs). What comes out for each effect is a
*pattern* of load, and all other effects are taken from the same pattern.

Accuracy: trains stop at every station of the field and with each heavy axle on every kink, influence
is linear between stations (`bedstone.actions.traffic` refines the stations until that error is below
0.1 % of the peak ordinate); offsets are not more than `OFFSET_STEP` apart.
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


@dataclass(frozen=True)
class Convoy:
    """A train as it stands: axle `position` (k,) behind the first axle and `force` (k,), one sense."""

    train: Train
    position: Floats
    force: Floats
    note: str

    @property
    def length(self) -> float:
        """From the first to the last axle, m."""
        return float(self.position[-1]) if len(self.position) else 0.0


def convoys(train: Train, longest: float) -> Iterator[Convoy]:
    """All shapes of a train: variable gaps, following trains within `longest` (m), both senses."""
    gaps: tuple[float | None, ...] = train.spread[1] if train.spread else (None,)
    for gap in gaps:
        axles = _spread(train, gap)
        note = "" if gap is None else f", {gap:g} m apart"
        if train.follow is not None:
            axles = _repeat(axles, train.follow, longest)
        position, force = _points(axles)
        yield Convoy(train, position, force, note)
        back = position[-1] - position[::-1]
        if not (np.allclose(back, position) and np.allclose(force[::-1], force)):
            yield Convoy(train, back, force[::-1].copy(), note + ", facing back")


def _spread(train: Train, gap: float | None) -> tuple[Axle, ...]:
    if gap is None or train.spread is None:
        return train.axles
    index = train.spread[0]
    extra = gap - (train.axles[index + 1].position - train.axles[index].position)
    return tuple(
        replace(axle, position=axle.position + (extra if number > index else 0.0))
        for number, axle in enumerate(train.axles)
    )


def _repeat(axles: tuple[Axle, ...], gap: float, longest: float) -> tuple[Axle, ...]:
    length = axles[-1].position
    count = 1 + int(longest // (length + gap))
    return tuple(
        replace(axle, position=axle.position + number * (length + gap))
        for number in range(count)
        for axle in axles
    )


def _points(axles: Sequence[Axle]) -> tuple[Floats, Floats]:
    """Axles as points; strips cut into equal pieces at their middles."""
    position: list[float] = []
    force: list[float] = []
    for axle in axles:
        pieces = max(int(np.ceil(axle.length / STRIP)), 1)
        step = axle.length / pieces
        for piece in range(pieces):
            position.append(axle.position - axle.length / 2.0 + (piece + 0.5) * step)
            force.append(axle.force / pieces)
    order = np.argsort(position, kind="stable")
    # the first point stands at zero
    first = position[int(order[0])] if position else 0.0
    return np.array(position)[order] - first, np.array(force)[order]


@dataclass
class LaneTable:
    """The worst of one lane load at each tried offset, for each sign and effect.

    `offset` (c,) centre lines; `value` (2, c, e) worst sum of train and uniform load (sign folded in:
    always the adverse magnitude, may be negative if all relieves); `convoy`, `place` (2, c, e) the
    convoy (-1: none) and its position.
    """

    lane: LaneLoad
    offset: Floats
    value: Floats
    convoy: Ints
    place: Ints
    convoys: list[Convoy] = field(default_factory=list)
    positions: list[list[Floats]] = field(default_factory=list)  # [bin][convoy]
    stencils: list[list[sp.csr_array]] = field(default_factory=list)
    bins: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    wheels: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    spread: Floats = field(default_factory=lambda: np.zeros((0, 0)))


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
        self.kinks = kinks
        self.reach = reach
        lines, kinds, stations, size = base.shape
        self.rows = lines * kinds
        self._all = base.reshape(self.rows * stations, size)
        self._lead = np.ascontiguousarray(base.reshape(self.rows, stations, size)[:, :, leads])
        # stations first: stencils of trains act on them
        self._by_station = np.ascontiguousarray(self._lead.transpose(1, 0, 2)).reshape(
            stations, self.rows * len(leads)
        )
        inside = (deck.stations >= reach[0] - 1e-9) & (deck.stations <= reach[1] + 1e-9)
        self.lengths = np.where(inside, deck.lengths, 0.0)
        self._tables: dict[LaneLoad, LaneTable] = {}

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
        grid = np.concatenate([low + step * np.arange(count + 1), high - step * np.arange(count + 1)])
        return np.unique(np.round(grid, 9))

    def _shares(self, offset: Floats, width: float, points: Floats, weights: Floats) -> Floats:
        """(c, rows) weights on line loads, averaged over points (-1..1) of a width."""
        result = np.zeros((len(offset), self.rows))
        for point, weight in zip(points, weights, strict=True):
            shares = self.deck.shares(offset + point * width / 2.0)
            result += weight * shares.reshape(len(offset), self.rows)
        return result

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
        table.wheels = self._shares(offset, track, np.array([-1.0, 1.0]), np.array([0.5, 0.5]))
        nodes, weights = np.polynomial.legendre.leggauss(3)
        table.spread = self._shares(offset, lane.uniform_width, nodes, weights / 2.0)
        # on a curve, metres along a lane differ from metres of reference line
        bins = 1 if self.deck.deck.axis.curvature == 0.0 else min(5, count)
        table.bins = np.minimum((np.arange(count) * bins) // count, bins - 1).astype(np.intp)
        table.convoys = [
            convoy
            for train in lane.trains
            for convoy in convoys(train, self.reach[1] - self.reach[0])
        ]
        uniform = self._uniform(lane, table)
        best = np.zeros((2, count, effects))
        if uniform is not None:
            best = uniform[2].copy()
        for which in range(bins):
            chosen = np.flatnonzero(table.bins == which)
            stretch = float(self.deck.stretch(float(offset[chosen].mean())))
            table.positions.append([])
            table.stencils.append([])
            for number, convoy in enumerate(table.convoys):
                places, stencil = self._stencil(convoy, stretch)
                table.positions[-1].append(places)
                table.stencils[-1].append(stencil)
                high, low, at_high, at_low = self._worst(
                    convoy, stretch, places, stencil, table.wheels[chosen], lane, uniform, chosen
                )
                for sign, value, at in ((0, high, at_high), (1, low, at_low)):
                    current = best[sign][chosen]
                    better = value > current
                    best[sign][chosen] = np.where(better, value, current)
                    table.convoy[sign][chosen] = np.where(
                        better, number, table.convoy[sign][chosen]
                    )
                    table.place[sign][chosen] = np.where(better, at, table.place[sign][chosen])
        table.value[:] = best
        return table

    def _uniform(
        self, lane: LaneLoad, table: LaneTable
    ) -> tuple[Floats, Floats, Floats] | None:
        """Adverse uniform load: line influence times load (2 signs folded), running sums, totals.

        Shapes (2, c, stations, e), (2, c, stations, e), (2, c, e); None without uniform load.
        """
        load = lane.uniform * lane.uniform_width * lane.uniform_factor
        if load == 0.0:
            return None
        line = np.einsum("cr,rse->cse", table.spread, self._lead, optimize=True)
        stretch = self.deck.stretch(table.offset)
        line *= load * self.lengths[None, :, None] * stretch[:, None, None]
        adverse = np.stack([np.maximum(line, 0.0), np.maximum(-line, 0.0)])
        cleared = any(train.clear is not None for train in lane.trains)
        running = np.cumsum(adverse, axis=2) if cleared else adverse[:, :, :0]
        return adverse, running, adverse.sum(axis=2)

    def _stencil(self, convoy: Convoy, stretch: float) -> tuple[Floats, sp.csr_array]:
        """Chainages (p,) of the first axle and the (p, stations) weights of all axles on stations."""
        stations = self.deck.stations
        position = convoy.position / stretch
        first, last = self.reach
        run = np.concatenate([stations, stations + position[-1]])
        heavy = position[convoy.force >= HEAVY * convoy.force.max()]
        if len(heavy) > 12:  # strips of load have no kink to set on
            heavy = heavy[[0, -1]]
        exact = (self.kinks[:, None] + heavy[None, :]).ravel()
        places = np.unique(np.round(np.concatenate([run, exact]), 6))
        places = places[(places >= first - 1e-9) & (places <= last + position[-1] + 1e-9)]
        axle = places[:, None] - position[None, :]
        on = (axle >= first - 1e-9) & (axle <= last + 1e-9)
        index = np.clip(np.searchsorted(stations, axle, side="right") - 1, 0, len(stations) - 2)
        part = (axle - stations[index]) / (stations[index + 1] - stations[index])
        weight = np.where(on, convoy.force[None, :], 0.0)
        rows = np.repeat(np.arange(len(places)), len(position))
        matrix = sp.coo_array(
            (
                np.concatenate([(weight * (1.0 - part)).ravel(), (weight * part).ravel()]),
                (
                    np.concatenate([rows, rows]),
                    np.concatenate([index.ravel(), index.ravel() + 1]),
                ),
            ),
            shape=(len(places), len(stations)),
        ).tocsr()
        return places, matrix

    def _worst(
        self,
        convoy: Convoy,
        stretch: float,
        places: Floats,
        stencil: sp.csr_array,
        wheels: Floats,
        lane: LaneLoad,
        uniform: tuple[Floats, Floats, Floats] | None,
        chosen: Ints,
    ) -> tuple[Floats, Floats, Ints, Ints]:
        """Worst (+), worst (-) of train and uniform load over all positions; (c, e) each."""
        effects = len(self.leads)
        spread = np.asarray(stencil @ self._by_station).reshape(len(places), self.rows, effects)
        value = lane.train_factor * np.matmul(wheels[None], spread)  # (p, c, e)
        plus, minus = value, -value
        if convoy.train.omit_relieving:
            plus, minus = self._kept_axles(convoy, stretch, places, wheels, lane)
        if uniform is not None:
            _, running, total = uniform
            plus = plus + total[0][chosen]
            minus = minus + total[1][chosen]
            if convoy.train.clear is not None:
                index = self._cleared(convoy, places, stretch)
                for sign, target in ((0, plus), (1, minus)):
                    sums = running[sign][chosen]
                    sums = np.concatenate([np.zeros_like(sums[:, :1]), sums], axis=1)
                    part = sums[:, index[:, 1]] - sums[:, index[:, 0]]
                    target -= part.transpose(1, 0, 2)
        at_high, at_low = plus.argmax(axis=0), minus.argmax(axis=0)
        high = np.take_along_axis(plus, at_high[None], axis=0)[0]
        low = np.take_along_axis(minus, at_low[None], axis=0)[0]
        return high, low, at_high.astype(np.intp), at_low.astype(np.intp)

    def _kept_axles(
        self, convoy: Convoy, stretch: float, places: Floats, wheels: Floats, lane: LaneLoad
    ) -> tuple[Floats, Floats]:
        """Sums over the axles that are adverse, for both signs (p, c, e)."""
        shape = (len(places), len(wheels), len(self.leads))
        plus, minus = np.zeros(shape), np.zeros(shape)
        for one in self._axle_stencils(convoy, stretch, places):
            spread = np.asarray(one @ self._by_station).reshape(len(places), self.rows, -1)
            value = lane.train_factor * np.matmul(wheels[None], spread)
            plus += np.maximum(value, 0.0)
            minus += np.maximum(-value, 0.0)
        return plus, minus

    def _axle_stencils(
        self, convoy: Convoy, stretch: float, places: Floats
    ) -> Iterator[sp.csr_array]:
        stations = self.deck.stations
        rows = np.arange(len(places))
        for position, force in zip(convoy.position / stretch, convoy.force, strict=True):
            axle = places - position
            on = (axle >= self.reach[0] - 1e-9) & (axle <= self.reach[1] + 1e-9)
            index = np.clip(np.searchsorted(stations, axle, side="right") - 1, 0, len(stations) - 2)
            part = (axle - stations[index]) / (stations[index + 1] - stations[index])
            weight = np.where(on, force, 0.0)
            yield sp.coo_array(
                (
                    np.concatenate([weight * (1.0 - part), weight * part]),
                    (np.concatenate([rows, rows]), np.concatenate([index, index + 1])),
                ),
                shape=(len(places), len(stations)),
            ).tocsr()

    def _cleared(self, convoy: Convoy, places: Floats, stretch: float) -> Ints:
        """(p, 2) station range kept clear of uniform load by a train at each place."""
        clear = (convoy.train.clear or 0.0) / stretch
        stations = self.deck.stations
        tail = places - convoy.length / stretch - clear
        low = np.searchsorted(stations, tail - 1e-9, side="right")
        high = np.searchsorted(stations, places + clear + 1e-9, side="left")
        return np.stack([low, np.maximum(high, low)], axis=1).astype(np.intp)

    # ------------------------------------------------------------------ lanes side by side
    def place(self, placement: Placement) -> Placed:
        """The worst of one placement for every lead and sign."""
        effects = len(self.leads)
        fixed = [lane for lane in placement.lanes if lane.offsets is not None]
        loose = [lane for lane in placement.lanes if lane.offsets is None]
        kinds = list(dict.fromkeys(loose))
        counts = tuple(loose.count(kind) for kind in kinds)
        chosen = [
            self._fixed(lane, placement.may_omit) for lane in fixed
        ]
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
            by_kind = np.full((len(marks), 2, effects), -1, dtype=np.int16)
            by_offset = np.full((len(marks), 2, effects), -1, dtype=np.int32)
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
                        number - (1 if other == index else 0) for other, number in enumerate(state)
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
                while mark > 0 and sum(state):
                    kind = int(how[state][0][mark, sign, effect])
                    if kind < 0:
                        break
                    offset = int(how[state][1][mark, sign, effect])
                    slot = first[kind] + counts[kind] - state[kind]
                    result[slot][1][sign, effect] = offset
                    edge = ends[kind][offset] - kinds[kind].width
                    mark = int(np.searchsorted(marks, edge + 1e-8, side="right")) - 1
                    state = tuple(
                        number - (1 if other == kind else 0) for other, number in enumerate(state)
                    )
        return result

    def _gain(self, table: LaneTable, rest: float) -> Floats:
        """(2, c, e) what a lane adds beyond the load of the remaining area it displaces."""
        if rest == 0.0:
            return table.value
        lane = table.lane
        nodes, weights = np.polynomial.legendre.leggauss(3)
        share = self._shares(table.offset, lane.width, nodes, weights / 2.0)
        line = np.einsum("cr,rse->cse", share, self._lead, optimize=True)
        line *= rest * lane.width * self.lengths[None, :, None]
        line *= self.deck.stretch(table.offset)[:, None, None]
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
        return right + width * (np.arange(count) + 0.5), np.full(count, width)

    def _rest_line(self, rest: float) -> Floats:
        """(strips, stations, e) effect of the load of the remaining area on each cell."""
        middle, width = self._strips()
        share = self.deck.shares(middle).reshape(len(middle), self.rows)
        line = np.einsum("cr,rse->cse", share, self._lead, optimize=True)
        line *= rest * self.lengths[None, :, None]
        line *= (width * self.deck.stretch(middle))[:, None, None]
        return np.asarray(line)

    def _rest_total(self, rest: float) -> Floats:
        line = self._rest_line(rest)
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

    def _lane_pattern(
        self, table: LaneTable, sign: int, columns: Ints, index: Ints
    ) -> Floats:
        lane, stations = table.lane, self.deck.stations
        result = np.zeros((len(columns), self.rows, len(stations)))
        convoy = table.convoy[sign, index, columns]
        place = table.place[sign, index, columns]
        keep = np.ones((len(columns), len(stations)))
        for group in np.unique(table.bins[index]):
            stretch = float(
                self.deck.stretch(float(table.offset[table.bins == group].mean()))
            )
            for number in np.unique(convoy):
                rows = np.flatnonzero((convoy == number) & (table.bins[index] == group))
                if number < 0 or rows.size == 0:
                    continue
                shape = table.convoys[number]
                places = table.positions[group][number]
                wheels = table.wheels[index[rows]]
                if shape.train.omit_relieving:
                    axles = np.zeros((rows.size, len(stations)))
                    for one in self._axle_stencils(shape, stretch, places):
                        weight = one[place[rows]].toarray()
                        line = np.einsum(
                            "kr,rsk->ks", wheels, self._lead[:, :, columns[rows]], optimize=True
                        )
                        value = (weight * line).sum(axis=1) * (1.0 if sign == 0 else -1.0)
                        axles += np.where(value[:, None] > 0.0, weight, 0.0)
                else:
                    axles = table.stencils[group][number][place[rows]].toarray()
                result[rows] += lane.train_factor * wheels[:, :, None] * axles[:, None, :]
                if shape.train.clear is not None:
                    cleared = self._cleared(shape, places, stretch)[place[rows]]
                    order = np.arange(len(stations))
                    keep[rows] *= ~(
                        (order >= cleared[:, :1]) & (order < cleared[:, 1:])
                    )
        load = lane.uniform * lane.uniform_width * lane.uniform_factor
        if load:
            spread = table.spread[index]
            line = np.einsum("kr,rsk->ks", spread, self._lead[:, :, columns], optimize=True)
            adverse = line > 0.0 if sign == 0 else line < 0.0
            weight = load * self.lengths * adverse * keep
            weight = weight * self.deck.stretch(table.offset[index])[:, None]
            result += spread[:, :, None] * weight[:, None, :]
        return result

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
        cell = rest * (width * self.deck.stretch(middle))[:, None] * self.lengths[None, :]
        weight = adverse * cell[None] * free[:, :, None]
        return np.einsum("cr,kcs->krs", share, weight, optimize=True)

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
                group = int(table.bins[index])
                place = table.positions[group][number][int(table.place[sign, index, column])]
                convoy = table.convoys[number]
                text += f" ({convoy.train.name}{convoy.note}, first axle at {place:.2f} m)"
            texts.append(text)
        if placed.placement.rest and texts:
            texts.append("rest of the carriageway on its adverse parts")
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
