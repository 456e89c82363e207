"""Traffic placed for the worst, for every effect at once.

Lanes stand side by side (`bedstone.actions.side_by_side`), each where it is worst
(`bedstone.actions.lanes`, which also tells how exact that is). What comes out for each effect is a
*pattern* of load, and all other effects are taken from the same pattern.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bedstone.actions.convoys import Convoy
from bedstone.actions.influence import DeckField
from bedstone.actions.kernel import ROUNDING, add_loads, to_weights
from bedstone.actions.lanes import LaneSearch, LaneTable, blocks
from bedstone.actions.side_by_side import side_by_side
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.standards.traffic import LaneLoad, Placement


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
    - `edges`, `kinks`, `reach`: see `LaneSearch`
    - `placements`: that will be asked for; their lanes are looked at together
    """

    def __init__(
        self,
        deck: DeckField,
        base: Floats,
        leads: Ints,
        edges: tuple[float, float] | None,
        kinks: Floats,
        reach: tuple[float, float],
        placements: Iterable[Placement],
    ) -> None:
        self.deck = deck
        self.leads = leads
        lines, kinds, stations, size = base.shape
        self.rows = lines * kinds
        self._all = base.reshape(self.rows * stations, size)
        self._lead = np.ascontiguousarray(base.reshape(self.rows, stations, size)[:, :, leads])
        self._by_lead = np.ascontiguousarray(self._lead.transpose(2, 0, 1))
        self._search = LaneSearch(deck, self._lead, edges, kinks, reach)
        self._placements = tuple(placements)

    @cached_property
    def _found(self) -> tuple[dict[LaneLoad, LaneTable], dict[float, Floats]]:
        """The lanes of all placements at every offset, and what loads the remaining area."""
        rests = tuple(dict.fromkeys(item.rest for item in self._placements if item.rest))
        totals = self._search.rest_totals(rests)
        return self._search.tables(self._placements), dict(zip(rests, totals, strict=True))

    def table(self, lane: LaneLoad) -> LaneTable:
        """The lane's worst at every offset."""
        return self._found[0][lane]

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

    # ------------------------------------------------------------------ lanes side by side
    def place(self, placement: Placement) -> Placed:
        """The worst of one placement for every lead and sign."""
        effects = len(self.leads)
        fixed = [lane for lane in placement.lanes if lane.offsets is not None]
        loose = [lane for lane in placement.lanes if lane.offsets is None]
        kinds = list(dict.fromkeys(loose))
        counts = tuple(loose.count(kind) for kind in kinds)
        total, picks = np.zeros((2, effects)), []
        for lane in fixed:
            table = self.table(lane)
            value, pick = _single(table, placement.may_omit)
            total = total + value
            picks.append((table, pick))
        if kinds:
            tables = [self.table(kind) for kind in kinds]
            value, offsets = side_by_side(
                [table.offset for table in tables],
                [kind.width for kind in kinds],
                [_gain(table, placement.rest) for table in tables],
                counts,
                may_omit=placement.may_omit,
            )
            total = total + value
            slots = [table for table, n in zip(tables, counts, strict=True) for _ in range(n)]
            picks += list(zip(slots, offsets, strict=True))
        if placement.rest:
            total = total + self._found[1][placement.rest]
        return Placed(placement, picks, placement.factor * total)

    # ------------------------------------------------------------------ the load that does it
    def patterns(self, placed: Placed, sign: int, columns: Ints) -> Floats:
        """(k, rows, stations) weights of load for the chosen leads `columns` (k,) and one sign."""
        result = np.zeros((len(columns), *self._by_lead.shape[1:]))
        # a few at a time, so that what they are made of stays in the processor's own memory
        each = max(self.rows, len(self._search.strips()[0])) * len(self.deck.stations)
        for part in blocks(len(columns), each):
            self._load(result[part], placed, sign, columns[part])
        return result

    def _load(self, patterns: Floats, placed: Placed, sign: int, columns: Ints) -> None:
        """Put the loads of a placement that are worst for these leads on empty patterns."""
        lead = self._by_lead[columns]
        taken: list[tuple[Floats, float, Bools]] = []
        for table, pick in placed.picks:
            index = pick[sign, columns]
            used = index >= 0
            if len(table.offset) == 0 or not used.any():
                continue
            taken.append((table.offset[index], table.lane.width, used))
            rows = np.flatnonzero(used)
            shares, weights = self._lane_loads(table, sign, columns[rows], index[rows], lead[rows])
            add_loads(patterns, rows, shares, weights)
        if placed.placement.rest:
            self._add_rest(patterns, placed.placement.rest, sign, columns, taken)
        patterns *= placed.placement.factor

    def _lane_loads(
        self, table: LaneTable, sign: int, columns: Ints, index: Ints, lead: Floats
    ) -> tuple[Floats, Floats]:
        """The load of a lane in k cases on each of t tracks.

        (t, k, rows) shares of the deck lines in it, and (t, k, stations) how much stands where.
        """
        lane, stations = table.lane, self.deck.stations
        tracks = (*table.wheels, *(table.spread if table.load else ()))
        shares = np.array([track.shares[index] for track in tracks])
        weights = np.zeros((len(tracks), len(columns), len(stations)))
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
            kept = _kept(shape, stands, shares[: len(stands), rows], lead[rows], sign)
            for stand, weight in zip(stands, weights, strict=False):
                weight[rows] = stand.weights(lane.train_factor * kept)
            if shape.train.clear is not None:
                kept_clear[rows] = self._search.cleared(shape, places, stretch)
        if table.load:
            first = len(table.wheels)
            metres = [self._search.lengths(track.limits[index]) for track in table.spread]
            line = np.asarray(
                sum(
                    _influence(share, lead) * metre
                    for share, metre in zip(shares[first:], metres, strict=True)
                )
            )
            adverse = line > 0.0 if sign == 0 else line < 0.0
            weights[first:] = table.load * adverse * (1.0 - kept_clear) * np.array(metres)
        return shares, weights

    def _add_rest(
        self,
        patterns: Floats,
        rest: float,
        sign: int,
        columns: Ints,
        taken: list[tuple[Floats, float, Bools]],
    ) -> None:
        """Add the load of the remaining area, on its adverse parts, to patterns of these leads."""
        middle, width = self._search.strips()
        share = self.deck.shares(middle).reshape(len(middle), self.rows)
        free = np.ones((len(columns), len(middle)))
        for centre, lane_width, used in taken:
            low = np.maximum(middle[None] - width / 2.0, centre[:, None] - lane_width / 2.0)
            high = np.minimum(middle[None] + width / 2.0, centre[:, None] + lane_width / 2.0)
            covered = np.maximum(high - low, 0.0) / width
            free -= np.where(used[:, None], covered, 0.0)
        free = np.maximum(free, 0.0)
        metres = self._search.lengths(self._search.limits(middle))
        load = rest * width[:, None] * (metres * self.deck.stretch(middle)[:, None])
        # (stations, k, c) throughout: as the products give and take it
        lead = self._lead[:, :, columns].reshape(self.rows, -1)
        line = (lead.T @ share.T).reshape(-1, *free.shape)
        to_weights(line, load.T.copy(), free, sign)
        loads = line.reshape(-1, len(middle)) @ share
        patterns += loads.reshape(*line.shape[:2], self.rows).transpose(1, 2, 0)

    def effects(self, patterns: Floats) -> Floats:
        """(k, size) all effects of k patterns."""
        return np.asarray(patterns.reshape(len(patterns), -1) @ self._all)

    def describe(self, placed: Placed, sign: int, column: int) -> str:
        """Where the load stands, in words: lanes with offsets, trains with their first axle."""
        texts = []
        for table, pick in placed.picks:
            index = int(pick[sign, column])
            if index < 0:
                continue
            text = f"{table.lane.name} at y = {table.offset[index]:+.2f} m"
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


def _influence(share: Floats, lead: Floats) -> Floats:
    """(k, stations) influence under loads with `share` (k, rows), of `lead` (k, rows, stations)."""
    return np.asarray(np.matmul(share[:, None], lead)[:, 0])


def _kept(
    convoy: Convoy, stands: Sequence[Stand], shares: Floats, lead: Floats, sign: int
) -> Floats:
    """(k, axles) 1 where an axle of the convoy stands, 0 where it is left out as relieving.

    `shares` (w, k, rows) of the wheels; `lead` (k, rows, stations).
    """
    shape = stands[0].force.shape
    if not convoy.train.omit_relieving:
        return np.ones(shape)
    value = np.zeros(shape)
    for stand, share in zip(stands, shares, strict=True):
        value += stand.values(_influence(share, lead))
    return np.where(value > 0.0 if sign == 0 else value < 0.0, 1.0, 0.0)


def _single(table: LaneTable, may_omit: bool) -> tuple[Floats, Ints]:
    """(2, e) the worst of a lane that stands by itself, and at which of its offsets."""
    pick = table.value.argmax(axis=1)
    value = np.take_along_axis(table.value, pick[:, None], axis=1)[:, 0]
    if may_omit:
        pick = np.where(value > 0.0, pick, -1)
        value = np.maximum(value, 0.0)
    return value, pick.astype(np.intp)


def _gain(table: LaneTable, rest: float) -> Floats:
    """(2, c, e) what a lane adds beyond the load of the remaining area it displaces."""
    return table.value if rest == 0.0 else np.asarray(table.value - rest * table.area)


@dataclass(frozen=True)
class Placed:
    """One placement made worst: what stands where, and the `value` reached (2, e).

    `picks`: the table of each lane and the index of its offset (2, e), -1 where it is left out.
    With a load on the remaining area the value is that of the search (area counted where lanes do
    not displace it strip by strip); the pattern gives the exact one.
    """

    placement: Placement
    picks: list[tuple[LaneTable, Ints]]
    value: Floats
