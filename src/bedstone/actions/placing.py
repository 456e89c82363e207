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

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import scipy.sparse as sp

from bedstone.actions.influence import DeckField
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.standards.traffic import Axle, LaneLoad, Placement, Train

#: Largest distance (m) between offsets at which a lane is tried.
OFFSET_STEP = 0.3
#: Axles at least this fraction of the heaviest are set on kinks of the influence lines.
HEAVY = 0.3
#: Largest relative difference in length along the lanes of one group on a curve.
STRETCH = 0.005
#: Places are rounded to this (m); an axle so little beyond the end of the deck is still on it.
ROUNDING = 1e-6


@dataclass(frozen=True)
class Convoy:
    """A train as it stands, one sense: its k axles and strips of load.

    `position` (k,) behind the first, m along the lane (of a strip: its middle); `force` (k,);
    `half` (k,): half the length of a strip, 0 for an axle.
    """

    train: Train
    position: Floats
    force: Floats
    half: Floats
    note: str

    @property
    def length(self) -> float:
        """From the first to the last axle, m."""
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
            row = _repeat(axles, train.follow or 0.0, count)
            position, force, half = np.array([(a.position, a.force, a.length / 2.0) for a in row]).T
            convoy = Convoy(train, position - position[0], force, half, note)
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


@dataclass(frozen=True)
class Track:
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
    wheels: tuple[Track, ...] = ()
    group: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    spread: tuple[Track, ...] = ()

    @property
    def load(self) -> float:
        """Uniform load of the lane, N/m."""
        return self.lane.uniform * self.lane.uniform_width * self.lane.uniform_factor


@dataclass(frozen=True)
class Stand:
    """The load of a convoy of k axles and strips on one track at p places, on the stations.

    `index` (p, k) the station behind an axle, `part` (p, k) of the way to the next, `force` (p, k)
    what stands on the deck (0 for strips); `strips`: (p, stations) load of each strip.
    """

    index: Ints
    part: Floats
    force: Floats
    strips: Mapping[int, Floats]
    stations: int

    def stencil(self, axle: int | None = None) -> sp.csr_array:
        """(p, stations) load of all axles and strips, or of one."""
        chosen = slice(None) if axle is None else slice(axle, axle + 1)
        index, part, force = self.index[:, chosen], self.part[:, chosen], self.force[:, chosen]
        rows = np.repeat(np.arange(len(index)), index.shape[1])
        result = sp.coo_array(
            (
                np.concatenate([(force * (1.0 - part)).ravel(), (force * part).ravel()]),
                (np.concatenate([rows, rows]), np.concatenate([index.ravel(), index.ravel() + 1])),
            ),
            shape=(len(index), self.stations),
        ).tocsr()
        for number, strip in self.strips.items():
            if axle in (None, number):
                result = result + sp.csr_array(strip)
        return result

    def values(self, line: Floats) -> Floats:
        """(p, k) effect of each axle and strip under influence `line` (p, stations)."""
        near = np.take_along_axis(line, self.index, axis=1)
        ahead = np.take_along_axis(line, self.index + 1, axis=1)
        result = self.force * (near * (1.0 - self.part) + ahead * self.part)
        for number, strip in self.strips.items():
            result[:, number] = (strip * line).sum(axis=1)
        return np.asarray(result)

    def only(self, kept: Floats) -> Stand:
        """The same with axles and strips times `kept` (p, k)."""
        strips = {number: strip * kept[:, [number]] for number, strip in self.strips.items()}
        return replace(self, force=self.force * kept, strips=strips)


def strip_weights(stations: Floats, low: Floats, high: Floats) -> Floats:
    """(p, stations) integrals of an influence linear between stations, from low to high (p,)."""
    result = np.zeros((len(low), len(stations)))
    start, end = stations[:-1], stations[1:]
    first = np.clip(low[:, None], start, end)
    last = np.maximum(np.clip(high[:, None], start, end), first)
    step = 2.0 * (end - start)
    result[:, :-1] += ((end - first) ** 2 - (end - last) ** 2) / step
    result[:, 1:] += ((last - start) ** 2 - (first - start) ** 2) / step
    return result


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

    def _tracks(
        self, offset: Floats, sides: Floats, weights: Floats, *, per_metre: bool = False
    ) -> tuple[Track, ...]:
        """Parts of a load at distances `sides` from offsets (c,); one where they end alike.

        `per_metre`: for a load along the lane, per metre of reference line.
        """
        parts = []
        for side, weight in zip(sides, weights, strict=True):
            at = offset + side
            shares = weight * self.deck.shares(at).reshape(len(at), self.rows)
            if per_metre:
                shares = shares * self.deck.stretch(at)[:, None]
            parts.append(Track(shares, self.limits(at)))
        limits = parts[0].limits
        if any(np.abs(part.limits - limits).max(initial=0.0) > 1e-9 for part in parts):
            return tuple(parts)
        return (Track(np.asarray(sum(part.shares for part in parts)), limits),)

    def _wheels(self, offset: Floats, track: float) -> tuple[Track, ...]:
        """The wheels of an axle on both sides."""
        sides = np.array([-0.5, 0.5]) * track if track else np.zeros(1)
        return self._tracks(offset, sides, np.full(len(sides), 1.0 / len(sides)))

    def _area(self, offset: Floats, width: float) -> tuple[Track, ...]:
        """A load spread over a width: three Gauss points, each with its own metres on a curve."""
        nodes, weights = np.polynomial.legendre.leggauss(3)
        return self._tracks(offset, nodes * width / 2.0, weights / 2.0, per_metre=True)

    def _cell_line(self, tracks: tuple[Track, ...]) -> Floats:
        """(stations, c, e) effect of each cell under a unit load per metre of lane."""
        lines = [
            np.einsum("cr,rse->sce", track.shares, self._lead, optimize=True)
            * self.lengths(track.limits).T[:, :, None]
            for track in tracks
        ]
        return np.asarray(sum(lines))

    def _groups(self, table: LaneTable) -> Ints:
        """Groups of offsets: a few on a curve, where metres along a lane differ from metres of
        reference line; each offset by itself where the deck ends askew.
        """
        count = len(table.offset)
        if np.ptp(self.limits(table.offset), axis=0).max() > 1e-9:
            return np.arange(count)
        turn = float(np.ptp(table.offset)) * abs(self.deck.deck.axis.curvature)
        bins = min(1 + int(turn / STRETCH), count)
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
        table.spread = self._area(offset, lane.uniform_width)
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
        # adverse uniform load of each cell, for both signs (2, stations, c e), and of all
        adverse = np.zeros((2, len(self.deck.stations), len(chosen) * effects))
        if table.load:
            spread = tuple(replace(t, shares=t.shares[chosen], limits=t.limits[chosen])
                           for t in table.spread)  # fmt: skip
            line = table.load * self._cell_line(spread)
            flat = line.reshape(len(line), -1)
            adverse = np.stack([np.maximum(flat, 0.0), np.maximum(-flat, 0.0)])
        uniform = adverse.sum(axis=1)
        lines = [
            np.einsum("cr,rse->sce", wheels.shares[chosen], self._lead, optimize=True).reshape(
                len(self.deck.stations), -1
            )
            for wheels in table.wheels
        ]
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
                cleared = self._cleared(convoy, places, stretch)
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
        for axle in range(len(convoy.position)):
            value = sum(
                np.asarray(stand.stencil(axle) @ line)
                for stand, line in zip(stands, lines, strict=True)
            )
            plus += np.maximum(value, 0.0)
            minus += np.maximum(-np.asarray(value), 0.0)
        return plus, minus

    def _places(self, table: LaneTable, group: int, convoy: Convoy, stretch: float) -> Floats:
        """Chainages (p,) of the first axle that are tried."""
        stations, position = self.deck.stations, convoy.position / stretch
        half = convoy.half / stretch
        chosen = np.flatnonzero(table.group == group)
        ends = np.array([wheels.limits[chosen[0]] for wheels in table.wheels]).ravel()
        run = np.concatenate([stations, stations + position[-1]])
        heavy = np.flatnonzero(convoy.force >= HEAVY * convoy.force.max())
        # axles, and the ends of strips, on kinks and at the ends of the deck
        marks = np.concatenate([position[heavy] - half[heavy], position[heavy] + half[heavy]])
        exact = (np.concatenate([self.kinks, ends])[:, None] + marks).ravel()
        places = np.unique(np.round(np.concatenate([run, exact]), 6))
        low, high = ends.min() - half[0], ends.max() + position[-1] + half[-1]
        return np.asarray(places[(places >= low - ROUNDING) & (places <= high + ROUNDING)])

    def _stand(self, convoy: Convoy, stretch: float, places: Floats, limits: Floats) -> Stand:
        """The load of a convoy with its first axle at `places` (p,), between limits (2,)."""
        stations = self.deck.stations
        at = places[:, None] - convoy.position / stretch
        on = (at >= limits[0] - ROUNDING) & (at <= limits[1] + ROUNDING) & (convoy.half == 0.0)
        held = np.clip(at, limits[0], limits[1])
        index = np.clip(np.searchsorted(stations, held, side="right") - 1, 0, len(stations) - 2)
        part = (held - stations[index]) / (stations[index + 1] - stations[index])
        strips = {}
        for number in np.flatnonzero(convoy.half):
            half = convoy.half[number] / stretch
            low = np.clip(at[:, number] - half, limits[0], limits[1])
            high = np.clip(at[:, number] + half, limits[0], limits[1])
            load = convoy.force[number] / (2.0 * half)
            strips[int(number)] = load * strip_weights(stations, low, high)
        return Stand(index.astype(np.intp), part, convoy.force * on, strips, len(stations))

    def _cleared(self, convoy: Convoy, places: Floats, stretch: float) -> Floats:
        """(p, stations) part of each cell kept clear of uniform load by a train at each place."""
        clear = (convoy.train.clear or 0.0) / stretch
        tail = places - convoy.length / stretch - clear
        taken = self.lengths(np.stack([tail, places + clear], axis=-1))
        return np.asarray(taken / np.diff(self._cells))

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

    def _gain(self, table: LaneTable, rest: float) -> Floats:
        """(2, c, e) what a lane adds beyond the load of the remaining area it displaces."""
        if rest == 0.0:
            return table.value
        width = table.lane.width
        line = rest * width * self._cell_line(self._area(table.offset, width))
        displaced = np.stack(
            [np.maximum(line, 0.0).sum(axis=0), np.maximum(-line, 0.0).sum(axis=0)]
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
        line = rest * width[:, None] * self._cell_line(self._area(middle, 0.0))
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
        kept_clear = np.zeros((len(columns), len(stations)))
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
                    axles = stand.only(kept).stencil().toarray()
                    result[rows] += lane.train_factor * share[:, :, None] * axles[:, None, :]
                if shape.train.clear is not None:
                    kept_clear[rows] = self._cleared(shape, places, stretch)
        if table.load:
            parts = [
                (track.shares[index], self.lengths(track.limits[index])) for track in table.spread
            ]
            lead = self._lead[:, :, columns]
            line = sum(
                np.einsum("kr,rsk->ks", share, lead, optimize=True) * metres
                for share, metres in parts
            )
            adverse = line > 0.0 if sign == 0 else line < 0.0
            weight = table.load * adverse * (1.0 - kept_clear)
            for share, metres in parts:
                result += share[:, :, None] * (weight * metres)[:, None, :]
        return result

    def _kept(
        self, convoy: Convoy, stands: list[Stand], shares: list[Floats], columns: Ints, sign: int
    ) -> Floats:
        """(k, axles) 1 where an axle of the convoy stands, 0 where it is left out as relieving."""
        shape = stands[0].force.shape
        if not convoy.train.omit_relieving:
            return np.ones(shape)
        value = np.zeros(shape)
        for stand, share in zip(stands, shares, strict=True):
            line = np.einsum("kr,rsk->ks", share, self._lead[:, :, columns], optimize=True)
            value += stand.values(line)
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
