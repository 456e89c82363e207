"""Symmetries of a bridge: which arrangements are the same bridge seen from another side.

A bridge may look the same mirrored across its axis, mirrored along it, or turned by 180 degrees in
plan. An arrangement and its image then have the same forces and movements, at seats that trade
places, so one of them need be looked at. That the drawing looks symmetric is not enough; each thing
that makes a force is compared with its own image, on the numbers that the engine works with:

- the contact points and the supports: an image must have a seat to stand on;
- the flexibility of every state: it shares the forces among the seats;
- what the supports give way, as given, lower and upper: piers that differ share differently;
- the bases about which overturning is counted;
- permanent loads by stage and action, shrinkage, settlements, jacking: what always acts;
- temperature, and forces along and across the deck: what expansion and wind and braking do;
- a load anywhere on the deck, at its image: influence of traffic, not only the seats;
- edges of the deck, carriageway, tracks and loaded length: where traffic may stand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

import numpy as np
import scipy.spatial

from bedstone.actions.cases import jacking_case, permanent_cases, shrinkage_case
from bedstone.articulation.ground import footing, ground
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats, Ints
from bedstone.model.deck import Deck
from bedstone.model.structure import State

#: Relative difference of a thing and its image that still counts as the same.
SAME = 1e-6
#: Distance (m) of a point and its image that still counts as the same place.
NEAR = 1e-4
_STATIONS = 12  # chainages at which loads on the deck are compared
_STEEL, _CONCRETE = 1.2e-5, 1.0e-5  # any two coefficients of expansion that differ


@dataclass(frozen=True)
class Symmetry:
    """A way in which a bridge might look the same.

    `seats` (ns,): the seat whose place each one takes; empty when the bridge is not the same, and
    `reason` says what differs. `turn` (3, 3) and `centre` (3,): an image point is
    centre + turn (point - centre). `along`, `across`: -1 where that sense is turned about.
    """

    name: str
    seats: Ints
    turn: Floats
    centre: Floats
    along: int
    across: int
    reason: str = ""

    @property
    def holds(self) -> bool:
        """Whether the bridge is the same."""
        return not self.reason

    def image(self, points: Floats) -> Floats:
        """Images of points (..., 3)."""
        return np.asarray(self.centre + (points - self.centre) @ self.turn.T)


_WAYS = (
    ("mirrored across", 1, -1),
    ("mirrored along", -1, 1),
    ("turned by 180 deg", -1, -1),
)


def symmetries(prepared: Prepared, places: Collection[str] = ()) -> tuple[Symmetry, ...]:
    """The three ways in which a bridge might look the same, each with what speaks against it.

    `places`: marks of seats and supports of which something particular is asked (limits): a
    symmetry that moves one of them tells two arrangements apart.
    """
    supports = prepared.bridge.support
    structure = prepared.structure
    middle = (supports[0].chainage + supports[-1].chainage) / 2.0
    offsets = [seat.offset for seat in structure.seats]
    offset = (min(offsets) + max(offsets)) / 2.0
    angle = float(structure.axis.angle(middle))
    axes = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    points = np.array([seat.point for seat in structure.seats])
    centre = np.append(structure.axis.point(middle, offset), points[:, 2].mean())
    found = []
    for name, along, across in _WAYS:
        turn = np.eye(3)
        turn[:2, :2] = axes.T @ np.diag([along, across]) @ axes
        blank = Symmetry(name, np.zeros(0, dtype=np.intp), turn, centre, along, across)
        found_near = scipy.spatial.KDTree(points).query(blank.image(points))
        distance, nearest = np.asarray(found_near[0]), np.asarray(found_near[1], dtype=np.intp)
        seats = _sides(prepared, nearest, along)
        if distance.max() > NEAR or len(set(seats.tolist())) < len(seats):
            reason = "the seats do not stand on their images"
        else:
            whole = Symmetry(name, seats, turn, centre, along, across)
            reason = next(_differences(prepared, whole, middle, offset, places), "")
        found.append(
            Symmetry(
                name, seats if not reason else blank.seats, turn, centre, along, across, reason
            )
        )
    return tuple(found)


def _sides(prepared: Prepared, nearest: Ints, along: int) -> Ints:
    """Seats of two spans may stand on one point: take the one of the span's image.

    They follow each other in the order of the seats; `nearest` gives any of them.
    """
    points = np.array([seat.point for seat in prepared.structure.seats])
    result = nearest.copy()
    seen: dict[int, int] = {}
    for seat in range(len(points)):
        together = np.flatnonzero(np.linalg.norm(points - points[nearest[seat]], axis=1) < NEAR)
        if len(together) < 2:
            continue
        ordered = together if along > 0 else together[::-1]
        place = seen.get(int(together[0]), 0)
        seen[int(together[0])] = place + 1
        result[seat] = ordered[min(place, len(ordered) - 1)]
    return result


# ------------------------------------------------------------------ what may differ
def _differences(
    prepared: Prepared, way: Symmetry, middle: float, offset: float, places: Collection[str]
) -> Iterator[str]:
    """What is not the same as its image, in words, the cheapest comparisons first."""
    structure, bridge = prepared.structure, prepared.bridge
    images = {
        seat.mark: structure.seats[way.seats[row]].mark for row, seat in enumerate(structure.seats)
    }
    lines = {
        (seat.support, structure.seats[way.seats[row]].support)
        for row, seat in enumerate(structure.seats)
    }
    support_of = dict(lines)
    if len(support_of) < len(lines) or len(set(support_of.values())) < len(support_of):
        yield "the seats of one support do not stand on one support"
        return
    for place in places:
        if images.get(place, support_of.get(place, place)) != place:
            yield f"{place} is asked for, and would trade places"
    kinds = bridge.bearings.kinds
    for row, seat in enumerate(structure.seats):
        other = structure.seats[way.seats[row]]
        if kinds.get(seat.mark, kinds.get(seat.support)) != kinds.get(
            other.mark, kinds.get(other.support)
        ):
            yield f"the kinds of bearing at {seat.mark} and {other.mark}"
    if bridge.bearings.given:
        yield "bearings are given at single seats"
    yield from _footings(prepared, way, support_of)
    yield from _where_traffic_stands(prepared, way, middle, offset)
    settled: dict[str, float] = {}
    for settlement in bridge.actions.settlement:
        settled[settlement.support] = settled.get(settlement.support, 0.0) + settlement.value
    for mark, image in support_of.items():
        if not _close(settled.get(mark, 0.0), settled.get(image, 0.0)):
            yield f"the settlements of {mark} and {image}"
    seat_turn = _seat_turn(way)
    for bound in ("given", "lower", "upper"):
        below = ground(structure, bridge.support, bound)
        if not _same_matrix(below, seat_turn @ below @ seat_turn.T):
            yield f"what the supports give way ({bound} stiffness)"
    for name, condensed in prepared.condensed.items():
        compare = _Loads(condensed, seat_turn)
        if not compare.motions():
            yield "the separate pieces of the superstructure"
        if not compare.flexibility():
            yield f"the flexibility of the superstructure (state {name})"
        yield from _state_loads(structure.states[name], condensed, compare, way, middle, offset)
    yield from _acting(prepared, seat_turn)


def _footings(prepared: Prepared, way: Symmetry, support_of: dict[str, str]) -> Iterator[str]:
    by_mark = {support.mark: support for support in prepared.bridge.support}
    for mark, image in support_of.items():
        here = footing(prepared.structure, by_mark[mark])
        there = footing(prepared.structure, by_mark[image])
        if np.linalg.norm(way.image(here.base) - there.base) > NEAR:
            yield f"the bases of {mark} and {image}"


def _where_traffic_stands(
    prepared: Prepared, way: Symmetry, middle: float, offset: float
) -> Iterator[str]:
    traffic = prepared.bridge.actions.traffic
    if traffic is None:
        return
    if way.across < 0:
        if not _about((traffic.right, traffic.left), offset):
            yield "the edges of the carriageway"
        tracks = sorted(
            (track.offset, track.speed, track.alpha, track.eccentricity) for track in traffic.tracks
        )
        mirrored = sorted((2.0 * offset - track[0], *track[1:]) for track in tracks)
        if not np.allclose(np.array(tracks), np.array(mirrored), rtol=0.0, atol=SAME):
            yield "the tracks"
    if way.along < 0 and not _about((traffic.start, traffic.end), middle):
        yield "the loaded length"


def _about(ends: tuple[float | None, float | None], middle: float) -> bool:
    """Two ends as far to either side of a middle, or neither of them given."""
    first, last = ends
    if first is None or last is None:
        return first is last
    return _close(first + last, 2.0 * middle, 1.0)


def _deck_differs(deck: Deck, way: Symmetry, middle: float, offset: float) -> bool:
    """Lines, ends and edges of a deck against their images."""
    places = np.array([line.offset for line in deck.lines])
    edges = np.array([deck.right, *places, deck.left])
    first, last = deck.limits(edges)
    mirrored = 2.0 * offset - edges[::-1]
    if way.across < 0 and not np.allclose(mirrored, edges, rtol=0.0, atol=NEAR):
        return True
    image_first, image_last = first, last
    if way.along < 0:
        image_first, image_last = 2.0 * middle - last, 2.0 * middle - first
    if way.across < 0:
        image_first, image_last = image_first[::-1], image_last[::-1]
    return not (
        np.allclose(image_first, first, rtol=0.0, atol=NEAR)
        and np.allclose(image_last, last, rtol=0.0, atol=NEAR)
    )


def _state_loads(
    state: State,
    condensed: Condensed,
    compare: _Loads,
    way: Symmetry,
    middle: float,
    offset: float,
) -> Iterator[str]:
    """Temperature, forces on the deck and a load anywhere on it."""
    warm = np.column_stack(
        [
            state.uniform_temperature(_STEEL, _CONCRETE),
            state.temperature_difference(_STEEL, _CONCRETE),
        ]
    )
    if not compare.load(condensed.load(warm)):
        yield f"what temperature does (state {state.name})"
    deck = state.deck
    if deck is None:
        return
    if _deck_differs(deck, way, middle, offset):
        yield "the edges and ends of the deck"
        return
    for name, along, across, sign in (
        ("along", 1.0, 0.0, way.along),
        ("across", 0.0, 1.0, way.across),
    ):
        force = deck.horizontal_load(state.frame, along, across, 1.0, deck.first, deck.last)
        if not compare.load(condensed.load(force), sign=sign):
            yield f"what a force {name} the deck does (state {state.name})"
    reach = (np.arange(_STATIONS) + 0.5) / _STATIONS
    stations = deck.first + reach * (deck.last - deck.first)
    loads = condensed.load(deck.unit_line_loads(state.frame, stations))
    order = np.arange(2 * len(deck.lines) * _STATIONS).reshape(len(deck.lines), 2, _STATIONS)
    if way.across < 0:
        order = order[::-1]
    if way.along < 0:
        order = order[:, :, ::-1]
    # a moment about the tangent, as an axial vector, turns with the senses of the axes it is not of
    sign_of = np.ones(order.shape)
    sign_of[:, 1] = way.across
    if not compare.load(loads, image=order.ravel(), sign=sign_of.ravel()):
        yield f"what a load on the deck does (state {state.name})"


def _acting(prepared: Prepared, seat_turn: Floats) -> Iterator[str]:
    """Permanent loads by stage and action, shrinkage and jacking."""
    structure, bridge = prepared.structure, prepared.bridge
    sums: dict[tuple[str, str], SeatLoad] = {}
    state_of = {}
    for case in permanent_cases(structure, prepared.condensed):
        key = (case.stage, case.action)
        sums[key] = sums[key] + case.load if key in sums else case.load
        state_of[key] = case.state
    for key, load in sums.items():
        if not _Loads(prepared.condensed[state_of[key]], seat_turn).load(load):
            yield f"the {key[1]} loads of stage {key[0]}"
    slow = prepared.condensed[prepared.slow]
    shrinkage = shrinkage_case(bridge, structure, slow)
    if shrinkage is not None and not _Loads(slow, seat_turn).load(shrinkage.load):
        yield "shrinkage and lengthening"
    final = prepared.condensed[prepared.final]
    jacking = jacking_case(bridge, structure, final)
    if jacking is not None and not _Loads(final, seat_turn).load(jacking.load):
        yield "the jacking of single seats"


# ------------------------------------------------------------------ a thing and its image
class _Loads:
    """Comparison of what is condensed to the seats with its image.

    Flexibility and load vectors leave the rigid motion open, so what they say of it is arbitrary:
    it is taken out, and the resultant of a load is carried by forces in proportion to the motions.
    """

    def __init__(self, condensed: Condensed, seat_turn: Floats) -> None:
        self._condensed = condensed
        self._turn = seat_turn
        basis, _ = np.linalg.qr(condensed.rigid)
        self._basis = basis
        self._spread = np.linalg.pinv(condensed.rigid.T)  # (6 ns, 6 p): resultants to seat forces

    def _open(self, movement: Floats) -> Floats:
        """Movements without their rigid part."""
        return np.asarray(movement - self._basis @ (self._basis.T @ movement))

    def motions(self) -> bool:
        """The image of every rigid motion is a rigid motion."""
        image = self._turn @ self._basis
        return bool(np.abs(self._open(image)).max() < SAME)

    def flexibility(self) -> bool:
        """Movements of the seats under forces in equilibrium."""
        own = self._open(self._open(self._condensed.flexibility).T)
        return _same_matrix(own, self._turn @ own @ self._turn.T)

    def load(self, load: SeatLoad, image: Ints | None = None, sign: Floats | float = 1.0) -> bool:
        """Load cases (k); `image` (k,): the case each becomes (None: itself), `sign` by which."""
        picked = np.arange(load.g.shape[1]) if image is None else image
        resultant = self._spread @ load.r
        # what moves the seats whatever holds them: the load less the forces that carry it
        movement = self._open(load.g - self._condensed.flexibility @ (self._spread @ load.r))
        ground = load.s
        # a case that only moves has resultants of rounding, and the other way round; rotations
        # compare with translations, and moments with forces, by a lever of 1 m
        give = float(np.abs(self._condensed.flexibility).max()) or 1.0
        moved, carried = np.abs(movement).max(axis=0), np.abs(resultant).max(axis=0)
        turn = self._turn
        return all(
            bool(np.all(np.abs(array[:, picked] * sign - turn @ array) <= SAME * size[picked]))
            for array, size in (
                (movement, moved + give * carried),
                (resultant, carried + moved / give),
                (ground, np.abs(ground).max(axis=0)),
            )
        )


def _seat_turn(way: Symmetry) -> Floats:
    """(6 ns, 6 ns) images of movements and forces at the seats; rotations are axial vectors."""
    count = len(way.seats)
    result = np.zeros((count, 6, count, 6))
    axial = np.linalg.det(way.turn) * way.turn
    for seat, image in enumerate(way.seats):
        result[image, :3, seat, :3] = way.turn
        result[image, 3:, seat, 3:] = axial
    return result.reshape(6 * count, 6 * count)


def _same_matrix(a: Floats, b: Floats) -> bool:
    """(6 ns, 6 ns) matrices alike, translations and rotations each by their own size."""
    count = len(a) // 6
    a, b = a.reshape(count, 6, count, 6), b.reshape(count, 6, count, 6)
    halves = (slice(0, 3), slice(3, 6))
    return all(_same(a[:, i, :, j], b[:, i, :, j]) for i in halves for j in halves)


def _same(a: Floats, b: Floats) -> bool:
    size = max(float(np.abs(a).max(initial=0.0)), float(np.abs(b).max(initial=0.0)))
    return bool(np.abs(a - b).max(initial=0.0) <= SAME * size)


def _close(a: float, b: float, size: float = 0.0) -> bool:
    return abs(a - b) <= SAME * max(abs(a), abs(b), size)
