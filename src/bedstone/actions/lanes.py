"""The worst of a single lane of traffic at every offset, for every effect at once.

For a lane load at an offset the effect of every train at every position is one product with the
influence base; the worst position is kept for each offset and effect. Offsets are taken a few at a
time, so that what is worked on stays in the processor's own memory: a large deck has a thousand
million ordinates, and waiting for them took longer than the sums. Lanes that are tried at the same
offsets share what they have in common.

Nothing stands off the deck: where its ends are skewed, each wheel line and each lane ends where the
deck ends at its own offset.

Accuracy: trains stop every `PLACE_STEP` and with each heavy axle on every kink and end; influence
is linear between stations (`bedstone.actions.traffic` adds stations until that error is below 0.1 %
of the peak ordinate); offsets are not more than `OFFSET_STEP` apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from bedstone.actions.convoys import Convoy, convoys
from bedstone.actions.influence import DeckField
from bedstone.actions.kernel import ROUNDING, adverse_sums, worst_places
from bedstone.mechanics.frame import Floats, Ints
from bedstone.standards.traffic import LaneLoad, Placement

#: Largest distance (m) between offsets at which a lane is tried.
OFFSET_STEP = 0.3
#: Largest distance (m) between places at which a train is tried.
PLACE_STEP = 0.5
#: Axles at least this fraction of the heaviest are set on kinks of the influence lines.
HEAVY = 0.3
#: Numbers (8 bytes each) of one table that are worked on at a time, at least.
BLOCK = 500_000


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
    `area` (2, c, e): the same of one newton per square metre on the adverse parts of the lane's
    width; empty where it displaces no such load.
    """

    lane: LaneLoad
    offset: Floats
    stretch: Floats
    value: Floats
    area: Floats
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


def blocks(count: int, each: int) -> Iterator[slice]:
    """Even parts of `count` items of `each` numbers: `BLOCK` numbers in a part or somewhat more."""
    parts = max(count * each // BLOCK, 1)
    # never one item alone: a product with one row takes another way and rounds otherwise
    parts = min(parts, max(count // 2, 1))
    ends = [count * number // parts for number in range(parts + 1)]
    for start, end in pairwise(ends):
        if end > start:
            yield slice(start, end)


class LaneSearch:
    """Looks for the worst of lanes on one deck field for a set of effects.

    - `lead` (rows, stations, e): influence of the unit loads of the deck lines on these effects
    - `edges`: right and left edge of the carriageway (y), None when only tracks are loaded
    - `kinks` (k,): chainages where axles are set exactly (seats)
    - `reach`: first and last chainage that may be loaded
    """

    def __init__(
        self,
        deck: DeckField,
        lead: Floats,
        edges: tuple[float, float] | None,
        kinks: Floats,
        reach: tuple[float, float],
    ) -> None:
        self.deck = deck
        self.lead = lead
        self.edges = edges
        self.kinks = np.concatenate([kinks, deck.joints])
        self.reach = reach
        # each station stands for a cell of the reference line (trapezoid rule)
        middles = (deck.stations[1:] + deck.stations[:-1]) / 2.0
        self._cells = np.concatenate([deck.stations[:1], middles, deck.stations[-1:]])

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

    def cleared(self, convoy: Convoy, places: Floats, stretch: Floats) -> Floats:
        """(..., stations) part of each cell that a train at `places` keeps clear of uniform load.

        `stretch` (n,) goes with `places` (n,) or (n, p).
        """
        metres = stretch.reshape(-1, *(1,) * (places.ndim - 1))
        clear = (convoy.train.clear or 0.0) / metres
        tail = places - convoy.length / metres - clear
        taken = self.lengths(np.stack([tail, places + clear], axis=-1))
        return np.asarray(taken / np.diff(self._cells))

    # ------------------------------------------------------------------ offsets and tracks
    def offsets(self, lane: LaneLoad) -> Floats:
        """(c,) centre lines at which a lane is tried."""
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

    def strips(self) -> tuple[Floats, Floats]:
        """Middles and widths of the strips in which the remaining area is loaded."""
        if self.edges is None:
            return np.zeros(0), np.zeros(0)
        right, left = self.edges
        count = max(int(np.ceil((left - right) / OFFSET_STEP)), 1)
        width = (left - right) / count
        return np.asarray(right + width * (np.arange(count) + 0.5)), np.full(count, width)

    def _tracks(
        self, offset: Floats, sides: Floats, weights: Floats, *, per_metre: bool = False
    ) -> tuple[Track, ...]:
        """Parts of a load at distances `sides` from offsets (c,); one where they end alike.

        `per_metre`: for a load along the lane, per metre of reference line.
        """
        parts = []
        for side, weight in zip(sides, weights, strict=True):
            at = offset + side
            shares = weight * self.deck.shares(at).reshape(len(at), len(self.lead))
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

    def _blocks(self, count: int) -> Iterator[slice]:
        """Offsets a few at a time."""
        return blocks(count, self.lead[0].size)

    def _lines(self, tracks: tuple[Track, ...], block: slice, factor: float = 1.0) -> Floats:
        """(t, m, stations, e) influence of a unit load on each track at a block of offsets."""
        shares = [factor * track.shares[block] for track in tracks]
        count = len(shares[0])
        lines = np.empty((len(tracks), count, *self.lead.shape[1:]))
        for share, line in zip(shares, lines, strict=True):
            first, last = 0, len(self.lead)
            if count < len(tracks[0].shares):  # a few offsets lie on a few deck lines
                used = np.flatnonzero(share.any(axis=0))
                first, last = used[0], used[-1] + 1
            lead = self.lead[first:last].reshape(last - first, -1)
            np.matmul(share[:, first:last], lead, out=line.reshape(count, -1))
        return lines

    def _metres(self, tracks: tuple[Track, ...], block: slice) -> Floats:
        """(t, m, stations) metres of reference line of each cell on each track."""
        return np.array([self.lengths(track.limits[block]) for track in tracks])

    # ------------------------------------------------------------------ tables
    def tables(self, placements: Sequence[Placement]) -> dict[LaneLoad, LaneTable]:
        """The worst of each lane of these placements at every offset."""
        result: dict[LaneLoad, LaneTable] = {}
        alike: dict[bytes, list[LaneTable]] = {}
        displacing = {lane for item in placements if item.rest for lane in item.lanes}
        for lane in dict.fromkeys(lane for item in placements for lane in item.lanes):
            table = result[lane] = self._empty(lane, area=lane in displacing)
            if len(table.offset):
                alike.setdefault(table.offset.tobytes(), []).append(table)
        for tables in alike.values():
            self._fill(tables)
        return result

    def rest_totals(self, loads: Sequence[float]) -> Floats:
        """(f, 2, e) effect of loads per square metre on the adverse parts of the carriageway."""
        middle, width = self.strips()
        result = np.zeros((len(loads), 2, 1, self.lead.shape[2]))
        if len(middle) and len(loads):
            tracks = self._area(middle, 0.0)
            factors = np.outer(loads, width)
            for block in self._blocks(len(middle)):
                lines, metres = self._lines(tracks, block), self._metres(tracks, block)
                own = np.ascontiguousarray(factors[:, block])
                adverse_sums(lines, metres, own, result)
        return np.asarray(result[:, :, 0])

    def _empty(self, lane: LaneLoad, *, area: bool) -> LaneTable:
        """A table with its offsets, tracks and convoys, before anything is placed."""
        offset = self.offsets(lane)
        shape = (2, len(offset), self.lead.shape[2])
        table = LaneTable(
            lane=lane,
            offset=offset,
            stretch=self.deck.stretch(offset),
            value=np.zeros(shape),
            area=np.zeros(shape if area else (2, 0, 0)),
            convoy=np.full(shape, -1, dtype=np.int64),
            place=np.zeros(shape, dtype=np.int64),
        )
        if len(offset):
            # alternatives in one lane have the same track, in every family
            table.wheels = self._wheels(offset, max((t.track for t in lane.trains), default=0.0))
            table.spread = self._area(offset, lane.uniform_width)
            longest = (self.reach[1] - self.reach[0]) * float(table.stretch.max())
            table.convoys = [convoy for train in lane.trains for convoy in convoys(train, longest)]
            table.places = [self._places(table, convoy) for convoy in table.convoys]
        return table

    def _fill(self, tables: Sequence[LaneTable]) -> None:
        """Place the loads of lanes that are tried at the same offsets."""
        offset = tables[0].offset
        areas: dict[float, tuple[Track, ...]] = {}
        for table in tables:
            areas.setdefault(table.lane.uniform_width, table.spread)
            if table.area.size and table.lane.width not in areas:
                areas[table.lane.width] = self._area(offset, table.lane.width)
        trains: dict[tuple[float, float], list[LaneTable]] = {}
        for table in tables:
            if table.convoys:
                track = max(train.track for train in table.lane.trains)
                trains.setdefault((track, table.lane.train_factor), []).append(table)
        for block in self._blocks(len(offset)):
            for width, tracks in areas.items():
                self._spread(tables, width, tracks, block)
            for (_, factor), own in trains.items():
                lines = self._lines(own[0].wheels, block, factor)
                strips = any(convoy.half.any() for table in own for convoy in table.convoys)
                sums = self._running(lines) if strips else lines
                for table in own:
                    self._place(table, block, lines, sums)

    def _spread(
        self, tables: Sequence[LaneTable], width: float, tracks: tuple[Track, ...], block: slice
    ) -> None:
        """Even load of lanes over one width on its adverse cells, and the load they displace."""
        loaded = [table for table in tables if table.load and table.lane.uniform_width == width]
        displaced = [table for table in tables if table.area.size and table.lane.width == width]
        loads = [table.load for table in loaded] + ([width] if displaced else [])
        if not loads:
            return
        lines, metres = self._lines(tracks, block), self._metres(tracks, block)
        sums = np.zeros((len(loads), 2, *lines.shape[1::2]))
        factors = np.repeat(np.array(loads)[:, None], lines.shape[1], axis=1)
        adverse_sums(lines, metres, factors, sums)
        for table, found in zip(loaded, sums, strict=False):
            table.value[:, block] = found
        for table in displaced:
            table.area[:, block] = sums[-1]

    def _place(self, table: LaneTable, block: slice, lines: Floats, sums: Floats) -> None:
        """All trains of a lane at all their places, at a block of offsets.

        `lines` (w, m, stations, e) influence of its wheels; `sums` the same summed along the line.
        """
        limits = np.array([wheels.limits[block] for wheels in table.wheels])
        stretch = table.stretch[block]
        top = np.ascontiguousarray(table.value[:, block])
        which = np.ascontiguousarray(table.convoy[:, block])
        where = np.ascontiguousarray(table.place[:, block])
        uniform = top[:, :, None, :].copy()
        adverse = None
        for number, (convoy, places) in enumerate(zip(table.convoys, table.places, strict=True)):
            own, extra = places[block], uniform
            if table.load and convoy.train.clear is not None:
                adverse = self._adverse(table, block) if adverse is None else adverse
                cleared = self.cleared(convoy, np.nan_to_num(own), stretch)
                extra = uniform - np.einsum("cps,gcse->gcpe", cleared, adverse, optimize=True)
            worst_places(
                lines,
                sums,
                self.deck.stations,
                limits,
                own,
                convoy.position / stretch[:, None],
                convoy.half / stretch[:, None],
                convoy.force,
                convoy.train.omit_relieving,
                np.ascontiguousarray(extra),
                top,
                which,
                where,
                number,
            )
        table.value[:, block], table.convoy[:, block], table.place[:, block] = top, which, where

    def _adverse(self, table: LaneTable, block: slice) -> Floats:
        """(2, m, stations, e) uniform load of each cell where it is adverse, for both signs."""
        cells = np.zeros((len(table.offset[block]), *self.lead.shape[1:]))
        metres = self._metres(table.spread, block)
        for line, length in zip(self._lines(table.spread, block), metres, strict=True):
            cells += line * length[:, :, None]
        cells *= table.load
        return np.stack([np.maximum(cells, 0.0), np.maximum(-cells, 0.0)])

    def _running(self, lines: Floats) -> Floats:
        """Influence lines (w, m, stations, e) summed along the reference line (trapezoid rule)."""
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
