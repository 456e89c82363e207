"""Traffic placed for the worst, for every effect at once.

For a lane load at an offset the effect of every train at every position is one product with the
influence base; the worst position is kept for each offset and effect. Lanes then stand side by
side (`bedstone.actions.side_by_side`). What comes out for each effect is a *pattern* of load, and
all other effects are taken from the same pattern.

Nothing stands off the deck: where its ends are skewed, each wheel line and each lane ends where the
deck ends at its own offset.

Accuracy: trains stop every `PLACE_STEP` and with each heavy axle on every kink and end; influence
is linear between stations (`bedstone.actions.traffic` adds stations until that error is below 0.1 %
of the peak ordinate); offsets are not more than `OFFSET_STEP` apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from bedstone.actions.convoys import Convoy, convoys
from bedstone.actions.influence import DeckField
from bedstone.actions.kernel import ROUNDING, worst_places
from bedstone.actions.side_by_side import side_by_side
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.standards.traffic import LaneLoad, Placement

#: Largest distance (m) between offsets at which a lane is tried.
OFFSET_STEP = 0.3
#: Largest distance (m) between places at which a train is tried.
PLACE_STEP = 0.5
#: Axles at least this fraction of the heaviest are set on kinks of the influence lines.
HEAVY = 0.3


@dataclass(frozen=True)
class Track:
    """A part of a lane's load at one distance from the lane's centre.

    `shares` (c, rows) of it on line loads; `limits` (c, 2) chainages between which the deck lies.
    """

    shares: Floats
    limits: Floats


@dataclass
class LaneTable:
    """The worst of one lane load at each tried offset, for each sign and effect.

    `offset` (c,) centre lines; `stretch` (c,) metres of lane for a metre of reference line; `value`
    (2, c, e) worst sum of train and uniform load, adverse positive; `convoy`, `place` (2, c, e) the
    convoy (-1: none) and its place among `places` (one (c, p) for each convoy: chainages of its
    first axle, nan beyond the last one tried). `wheels` of the axles, `spread` of the uniform load.
    """

    lane: LaneLoad
    offset: Floats
    stretch: Floats
    value: Floats
    convoy: Ints
    place: Ints
    wheels: tuple[Track, ...] = ()
    spread: tuple[Track, ...] = ()
    convoys: list[Convoy] = field(default_factory=list)
    places: list[Floats] = field(default_factory=list)

    @property
    def load(self) -> float:
        """Uniform load of the lane, N/m."""
        return self.lane.uniform * self.lane.uniform_width * self.lane.uniform_factor


@dataclass(frozen=True)
class Stand:
    """The load of a convoy of k axles and strips on one track in n cases, on the stations.

    `index` (n, k) the station behind an axle, `part` (n, k) of the way to the next, `force` (n, k)
    what stands on the deck (0 for strips); `strips`: (n, stations) load of each strip.
    """

    index: Ints
    part: Floats
    force: Floats
    strips: Mapping[int, Floats]
    stations: int

    def weights(self, kept: Floats) -> Floats:
        """(n, stations) load of the axles and strips, each times `kept` (n, k)."""
        result = np.zeros((len(self.index), self.stations))
        rows = np.arange(len(self.index))[:, None]
        force = self.force * kept
        np.add.at(result, (rows, self.index), force * (1.0 - self.part))
        np.add.at(result, (rows, self.index + 1), force * self.part)
        for number, strip in self.strips.items():
            result += strip * kept[:, [number]]
        return result

    def values(self, line: Floats) -> Floats:
        """(n, k) effect of each axle and strip under influence `line` (n, stations)."""
        near = np.take_along_axis(line, self.index, axis=1)
        ahead = np.take_along_axis(line, self.index + 1, axis=1)
        result = self.force * (near * (1.0 - self.part) + ahead * self.part)
        for number, strip in self.strips.items():
            result[:, number] = (strip * line).sum(axis=1)
        return np.asarray(result)


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
        self._areas: dict[tuple[float, bytes], Floats] = {}

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
        """(c, stations, e) effect of each cell under a unit load per metre of lane."""
        result = np.zeros((len(tracks[0].shares), *self._lead.shape[1:]))
        for track in tracks:
            line = track.shares @ self._lead.reshape(self.rows, -1)
            line.shape = result.shape
            line *= self.lengths(track.limits)[:, :, None]
            result += line
        return result

    def _table(self, lane: LaneLoad) -> LaneTable:
        offset = self._offsets(lane)
        shape = (2, len(offset), len(self.leads))
        table = LaneTable(
            lane=lane,
            offset=offset,
            stretch=self.deck.stretch(offset),
            value=np.zeros(shape),
            convoy=np.full(shape, -1, dtype=np.int64),
            place=np.zeros(shape, dtype=np.int64),
        )
        if len(offset) == 0:
            return table
        table.wheels = self._wheels(offset, max((t.track for t in lane.trains), default=0.0))
        table.spread = self._area(offset, lane.uniform_width)
        longest = (self.reach[1] - self.reach[0]) * float(table.stretch.max())
        table.convoys = [convoy for train in lane.trains for convoy in convoys(train, longest)]
        # adverse uniform load of each cell, for both signs (2, c, stations, e)
        adverse = np.zeros((2, len(offset), 0, 0))
        if table.load:
            line = table.load * self._cell_line(table.spread)
            adverse = np.stack([np.maximum(line, 0.0), np.maximum(-line, 0.0)])
            table.value[:] = adverse.sum(axis=2)
        uniform = table.value[:, :, None, :].copy()
        lines = np.empty((len(table.wheels), len(offset), *self._lead.shape[1:]))
        for wheels, line_of in zip(table.wheels, lines, strict=True):
            shares = lane.train_factor * wheels.shares
            np.matmul(
                shares, self._lead.reshape(self.rows, -1), out=line_of.reshape(len(offset), -1)
            )
        sums = self._running(lines) if any(c.half.any() for c in table.convoys) else lines
        limits = np.array([wheels.limits for wheels in table.wheels])
        for number, convoy in enumerate(table.convoys):
            places = self._places(table, convoy)
            table.places.append(places)
            extra = uniform
            if table.load and convoy.train.clear is not None:
                cleared = self._cleared(convoy, np.nan_to_num(places), table.stretch)
                extra = uniform - np.einsum("cps,gcse->gcpe", cleared, adverse, optimize=True)
            worst_places(
                lines,
                sums,
                self.deck.stations,
                limits,
                places,
                convoy.position / table.stretch[:, None],
                convoy.half / table.stretch[:, None],
                convoy.force,
                convoy.train.omit_relieving,
                np.ascontiguousarray(extra),
                table.value,
                table.convoy,
                table.place,
                number,
            )
        return table

    def _running(self, lines: Floats) -> Floats:
        """Influence lines (w, c, stations, e) summed along the reference line (trapezoid rule)."""
        steps = np.diff(self.deck.stations)[:, None]
        pieces = (lines[:, :, 1:] + lines[:, :, :-1]) / 2.0 * steps
        return np.pad(np.cumsum(pieces, axis=2), ((0, 0), (0, 0), (1, 0), (0, 0)))

    def _places(self, table: LaneTable, convoy: Convoy) -> Floats:
        """(c, p) chainages of the first axle that are tried; nan beyond an offset's last one."""
        rows: list[Floats] = []
        before: tuple[bytes, float] | None = None
        for lane, stretch in enumerate(table.stretch):
            ends = np.array([wheels.limits[lane] for wheels in table.wheels]).ravel()
            now = (ends.tobytes(), float(stretch))
            # most decks are the same at every offset
            same = now == before
            rows.append(rows[-1] if same else self._places_between(convoy, float(stretch), ends))
            before = now
        result = np.full((len(rows), max(len(row) for row in rows)), np.nan)
        for lane, row in enumerate(rows):
            result[lane, : len(row)] = row
        return result

    def _places_between(self, convoy: Convoy, stretch: float, ends: Floats) -> Floats:
        """(p,) places of the first axle that touch a deck with these ends at the lane's wheels."""
        position, half = convoy.position / stretch, convoy.half / stretch
        low, high = ends.min() - half[0], ends.max() + position[-1] + half[-1]
        run = np.linspace(low, high, 1 + int(np.ceil((high - low) / PLACE_STEP)))
        heavy = np.flatnonzero(convoy.force >= HEAVY * convoy.force.max())
        # axles, and the ends of strips, on kinks and at the ends of the deck
        marks = np.concatenate([position[heavy] - half[heavy], position[heavy] + half[heavy]])
        exact = (np.concatenate([self.kinks, ends])[:, None] + marks).ravel()
        places = np.unique(np.round(np.concatenate([run, exact]), 6))
        return np.asarray(places[(places >= low - ROUNDING) & (places <= high + ROUNDING)])

    def _stand(self, convoy: Convoy, stretch: Floats, places: Floats, limits: Floats) -> Stand:
        """The load of a convoy in n cases: first axle at `places` (n,), between limits (n, 2)."""
        stations = self.deck.stations
        low, high = limits[:, :1], limits[:, 1:]
        at = places[:, None] - convoy.position / stretch[:, None]
        on = (at >= low - ROUNDING) & (at <= high + ROUNDING) & (convoy.half == 0.0)
        held = np.clip(at, low, high)
        index = np.clip(np.searchsorted(stations, held, side="right") - 1, 0, len(stations) - 2)
        part = (held - stations[index]) / (stations[index + 1] - stations[index])
        strips = {}
        for number in np.flatnonzero(convoy.half):
            half = convoy.half[number] / stretch
            start = np.clip(at[:, number] - half, low[:, 0], high[:, 0])
            end = np.clip(at[:, number] + half, low[:, 0], high[:, 0])
            load = convoy.force[number] / (2.0 * half)
            strips[int(number)] = load[:, None] * strip_weights(stations, start, end)
        return Stand(index.astype(np.intp), part, convoy.force * on, strips, len(stations))

    def _cleared(self, convoy: Convoy, places: Floats, stretch: Floats) -> Floats:
        """(..., stations) part of each cell that a train at `places` keeps clear of uniform load.

        `stretch` (n,) goes with `places` (n,) or (n, p).
        """
        metres = stretch.reshape(-1, *(1,) * (places.ndim - 1))
        clear = (convoy.train.clear or 0.0) / metres
        tail = places - convoy.length / metres - clear
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
            tables = [self.table(kind) for kind in kinds]
            value, offsets = side_by_side(
                [table.offset for table in tables],
                [kind.width for kind in kinds],
                [self._gain(table, placement.rest) for table in tables],
                counts,
                may_omit=placement.may_omit,
            )
            total = total + value
            slots = [kind for kind, count in zip(kinds, counts, strict=True) for _ in range(count)]
            picks += list(zip(slots, offsets, strict=True))
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

    def _gain(self, table: LaneTable, rest: float) -> Floats:
        """(2, c, e) what a lane adds beyond the load of the remaining area it displaces."""
        if rest == 0.0:
            return table.value
        width = table.lane.width
        key = (width, table.offset.tobytes())
        if key not in self._areas:  # lanes of one width displace the same
            line = width * self._cell_line(self._area(table.offset, width))
            self._areas[key] = np.stack(
                [np.maximum(line, 0.0).sum(axis=1), np.maximum(-line, 0.0).sum(axis=1)]
            )
        return np.asarray(table.value - rest * self._areas[key])

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
        line = rest * width[:, None, None] * self._cell_line(self._area(middle, 0.0))
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
        for number in np.unique(convoy[convoy >= 0]):
            rows = np.flatnonzero(convoy == number)
            lanes, shape = index[rows], table.convoys[number]
            places, stretch = table.places[number][lanes, place[rows]], table.stretch[lanes]
            stands = [
                self._stand(shape, stretch, places, wheels.limits[lanes]) for wheels in table.wheels
            ]
            shares = [wheels.shares[lanes] for wheels in table.wheels]
            kept = lane.train_factor * self._kept(shape, stands, shares, columns[rows], sign)
            for stand, share in zip(stands, shares, strict=True):
                result[rows] += share[:, :, None] * stand.weights(kept)[:, None, :]
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
                place = table.places[number][index, int(table.place[sign, index, column])]
                convoy = table.convoys[number]
                word = "front" if convoy.half[0] else "first axle"
                front = place + convoy.half[0] / table.stretch[index]
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
