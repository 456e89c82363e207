"""The point that temperature does not move, along and across, for any arrangement of bearings.

Where one line of bearings is fixed on a rigid support the point stands there. On supports that give
way, on elastic bearings, and under the friction of the moving ones it stands elsewhere, and nowhere
exactly: stiffness and friction give a range. What counts is the movement of the superstructure
itself at the level of the bearings, not the movement of the bearings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import Arranged, Standing, stand
from bedstone.articulation.ground import axes_in_plan, ground
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import FamilyName
from bedstone.comparison.acting import Acting, acting_on
from bedstone.comparison.history import labels_of, moving, sliders
from bedstone.comparison.lines import coefficients
from bedstone.comparison.sharing import BOUNDS, Range, friction_bounds
from bedstone.errors import CheckError
from bedstone.mechanics.condense import SeatLoad
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.sliding import History, follow
from bedstone.mechanics.support import Effects
from bedstone.schedule.context import Context, context_of

#: Change of temperature (K) that is looked at where the bridge file gives none.
CHANGE = 30.0
#: Movement for 1 K (m) of a whole piece below which nothing moves.
STILL = 1e-9
#: A point that near to the end of a line (m) stands on it.
NEAR = 1e-3
#: Accuracy of the path (see `bedstone.mechanics.sliding.follow`).
ACCURACY = 5e-3
#: Force in held bearings found twice, by the path and by statics, may differ by this part.
AGREEMENT = 1e-6


@dataclass(frozen=True)
class Place:
    """A point without movement on one line: where it is, and whether it lies within the line.

    `at`: chainage along, offset y across (m); `inside`: between the first and the last bearing,
    else it is found by going on with the movement of the nearest two.
    """

    at: float
    inside: bool


@dataclass(frozen=True)
class Found:
    """What one analysis says of one separate piece.

    - `friction`: which coefficients, or none; `stiffness` below the bearings; `growing`: warmer,
      else colder
    - `along`; `across`: by support; None where all of a line moves alike, so no point stands still
    - `movement` (supports of the piece,): movement along (m) of the superstructure above each for
      the temperature looked at, mean of its line; `joints` (2,): at both ends of the piece
    """

    friction: str
    stiffness: str
    growing: bool
    along: Place | None
    across: dict[str, Place | None]
    movement: tuple[float, ...]
    joints: tuple[float, float]


@dataclass(frozen=True)
class Joint:
    """An end of a piece: its chainage (m), and what of the piece moves there.

    `length` of superstructure between the point without movement and the joint (m), None where
    there is no such point; `warm`, `cold`: size of the movement there (m), growing and shrinking.
    """

    at: float
    length: Range | None
    warm: Range
    cold: Range


@dataclass(frozen=True)
class Piece:
    """A separate piece of superstructure and its point without movement.

    - `elastic`: without friction, for each stiffness below, growing and shrinking; `rubbing`: with
      the bounds of friction besides; empty where nothing rubs
    - `along`: chainage between the bounds of all of these (m), None where in one of them nothing
      stands still; `across`: offset y between the bounds, by support
    - `joints`: behind and ahead
    """

    supports: tuple[str, ...]
    elastic: tuple[Found, ...]
    rubbing: tuple[Found, ...]
    along: Range | None
    across: dict[str, Range | None]
    joints: tuple[Joint, Joint]


@dataclass(frozen=True)
class StillPoints:
    """Points without movement of a bridge: one for each separate piece, and what they rest on.

    `warm`, `cold`: K above and below the temperature of setting that were looked at.
    """

    pieces: tuple[Piece, ...]
    warm: float
    cold: float
    notes: tuple[str, ...]
    residual: float


def still_points(
    prepared: Prepared,
    name: FamilyName,
    arranged: Arranged,
    *,
    context: Context | None = None,
) -> StillPoints:
    """Find the point without movement of each separate piece of superstructure.

    With friction under permanent load: the temperature goes once, from bearings that carry no
    friction, to the warmest, and once to the coldest. After it has turned, friction changes by up
    to twice as much; `share` follows that. Raises `UnstableError` naming a free
    motion, `InputError` and `CheckError` as `share`.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        return _still_points(prepared, context or context_of(prepared, name), arranged)


def _still_points(prepared: Prepared, context: Context, arranged: Arranged) -> StillPoints:
    quiet = replace(context, groups=())  # traffic has no part in this
    acting = acting_on(prepared, quiet, arranged)
    notes = []
    warm, cold = acting.thermal.expansion, acting.thermal.contraction
    if warm <= 0.0 or cold <= 0.0:
        warm = cold = CHANGE
        notes.append(f"the bridge file gives no temperature: {CHANGE:g} K up and down are taken")
    pieces = _pieces(prepared)
    found: list[list[list[Found]]] = [[[], []] for _ in pieces]
    residual = 0.0
    views = {bound: View.of(prepared, arranged, bound) for bound in BOUNDS}
    for bound, view in views.items():
        residual = max(residual, *view.standing.supported.residuals(acting.heat))
        shift = view.moved(acting.heat)
        for item, (elastic, _) in zip(pieces, found, strict=True):
            elastic.append(item.look("none", bound, True, shift * warm))
            elastic.append(item.look("none", bound, False, shift * -cold))
    heat = views["given"].standing.effects.effects(acting.heat.g, acting.heat.r)[:, 0]
    seats = len(arranged.seats)
    friction = coefficients(
        prepared, arranged, heat[: 12 * seats].reshape(seats, 12)[:, 6:8], context.family,
        context.values,
    )  # fmt: skip
    if friction.any():
        for view in views.values():
            for name, growing, shift, off in _with_friction(
                view, acting, friction_bounds(friction, heat), (warm, -cold)
            ):
                residual = max(residual, off)
                for item, (_, rubbing) in zip(pieces, found, strict=True):
                    rubbing.append(item.look(name, view.bound, growing, shift))
    notes.append("movement of the superstructure at the level of the bearings")
    return StillPoints(
        pieces=tuple(
            item.summed(elastic, rubbing)
            for item, (elastic, rubbing) in zip(pieces, found, strict=True)
        ),
        warm=warm,
        cold=cold,
        notes=tuple(notes),
        residual=residual,
    )


@dataclass(frozen=True)
class View:
    """A bridge standing on one stiffness, to see how the superstructure moves above its seats."""

    prepared: Prepared
    arranged: Arranged
    standing: Standing
    below: Floats
    bound: str

    @classmethod
    def of(cls, prepared: Prepared, arranged: Arranged, bound: str) -> View:
        """Stand the final state; raises `UnstableError` naming the free motion."""
        supports = list(prepared.bridge.support)
        own = prepared.condensed[prepared.final]
        below = ground(prepared.structure, supports, bound)
        standing = stand(prepared.structure, supports, own, arranged, bound)
        return cls(prepared, arranged, standing, below, bound)

    def moved(self, load: SeatLoad, rubbing: Floats | None = None) -> Floats:
        """(ns, 2) movement of the superstructure in plan, global axes, under one load.

        `rubbing` (6 ns, 1): further forces of the superstructure on the bearings, bearing axes,
        in directions that are not held (friction).
        """
        effects, push = self._effects(load, rubbing)
        turn = self.standing.supported.bearings.directions
        relative = turn.T @ effects.movement.reshape(len(turn), -1)
        settled = self.below @ (push - effects.seat_force) + load.s
        return np.asarray((relative + settled).reshape(-1, 6)[:, :2])

    def held(self, load: SeatLoad, rubbing: Floats) -> Floats:
        """(6 ns,) forces in the held directions, bearing axes, under the same."""
        return self._effects(load, rubbing)[0].force[:, :, 0].ravel()

    def _effects(self, load: SeatLoad, rubbing: Floats | None) -> tuple[Effects, Floats]:
        own = self.prepared.condensed[self.prepared.final]
        push = np.zeros((6 * own.seat_count, 1))
        if rubbing is not None:
            push = self.standing.supported.bearings.directions.T @ rubbing
            load = load + own.seat_forces(-push, self.below)
        return self.standing.supported.effects(load), push


def _with_friction(
    view: View,
    acting: Acting,
    bounds: Sequence[tuple[str, Floats]],
    changes: tuple[float, float],
) -> Iterator[tuple[str, bool, Floats, float]]:
    """(friction, growing, movement of the superstructure (ns, 2), residual) for each.

    The path tells the friction; statics then gives the movement of the superstructure under it,
    and what the path says of the held bearings must come out again.
    """
    arranged = view.arranged
    parts = moving(view.prepared, acting, arranged, view.bound)
    labels = labels_of(acting)
    # permanent load presses on the bearings, but has moved nothing and locked nothing in
    movement, resultant = parts.loads.movement.copy(), parts.loads.resultant.copy()
    movement[:, :3], resultant[:, :3] = 0.0, 0.0
    loads = replace(parts.loads, movement=movement, resultant=resultant)
    factors = np.zeros((2, len(labels)))
    factors[:, :3] = 1.0
    rows = np.array(parts.rows)
    columns = (6 * rows[:, None] + np.arange(2)).ravel()
    free = ~arranged.bearings.held[rows, :2].ravel()
    for name, mu in bounds:
        # play and stops are another matter: here guides fit and nothing ends the movement
        own = replace(sliders(parts, mu), play=None, stops=None)
        for change in changes:
            factors[1, 3] = change
            path = follow(own, loads, History(factors, labels), record=1, accuracy=ACCURACY)
            force = path.end.force
            rubbing = np.zeros((6 * len(arranged.seats), 1))
            rubbing[columns[free], 0] = force[free]
            load = acting.heat * change
            held = view.held(load, rubbing)[columns]
            off = float(np.abs(held - force)[~free].max(initial=0.0))
            if off > AGREEMENT * max(float(np.abs(force).max(initial=0.0)), 1.0):
                raise CheckError(
                    f"point without movement, friction {name}: path and statics differ by "
                    f"{off:.3g} N in a held bearing"
                )
            yield name, change > 0.0, view.moved(load, rubbing), path.residual


# ------------------------------------------------------------------ pieces
@dataclass(frozen=True)
class _Piece:
    """Where the seats of one separate piece are, to read points off their movements."""

    supports: tuple[str, ...]
    chainages: Floats
    seats: tuple[Ints, ...]
    tangents: tuple[Floats, ...]
    offsets: tuple[Floats, ...]
    ends: tuple[float, float]

    def look(self, friction: str, stiffness: str, growing: bool, shift: Floats) -> Found:
        """Read the points off the movements (ns, 2) of the superstructure."""
        along = np.array(
            [
                float((shift[own] @ axes[0, :2]).mean())
                for own, axes in zip(self.seats, self.tangents, strict=True)
            ]
        )
        across = {}
        for mark, own, axes, offset in zip(
            self.supports, self.seats, self.tangents, self.offsets, strict=True
        ):
            across[mark] = still(offset, shift[own] @ axes[1, :2])
        first, last = (float(value) for value in _read(self.chainages, along, self.ends))
        return Found(
            friction=friction,
            stiffness=stiffness,
            growing=growing,
            along=still(self.chainages, along),
            across=across,
            movement=tuple(float(value) for value in along),
            joints=(first, last),
        )

    def summed(self, elastic: list[Found], rubbing: list[Found]) -> Piece:
        """All findings together."""
        every = [*elastic, *rubbing]
        along = _spread([found.along for found in every])
        lengths: list[Range | None] = [None, None]
        if along is not None:
            first, last = self.ends
            lengths = [
                Range(along.low - first, along.high - first),
                Range(last - along.high, last - along.low),
            ]

        def sizes(end: int, growing: bool) -> Range:
            moved = [abs(found.joints[end]) for found in every if found.growing == growing]
            return Range(min(moved), max(moved))

        behind, ahead = (
            Joint(self.ends[end], lengths[end], sizes(end, True), sizes(end, False))
            for end in (0, 1)
        )
        return Piece(
            supports=self.supports,
            elastic=tuple(elastic),
            rubbing=tuple(rubbing),
            along=along,
            across={
                mark: _spread([found.across[mark] for found in every]) for mark in self.supports
            },
            joints=(behind, ahead),
        )


def _spread(places: list[Place | None]) -> Range | None:
    known = [place.at for place in places if place is not None]
    return Range(min(known), max(known)) if len(known) == len(places) else None


def still(where: Floats, movement: Floats) -> Place | None:
    """The place at which a movement (k,), known at rising places (k,), is zero.

    Straight lines between the places and beyond the last two on each side; where it is zero more
    than once, the one nearest to the middle. None where it is zero nowhere.
    """
    if np.ptp(movement) <= STILL or len(where) == 1:
        near = np.abs(movement) <= STILL
        return Place(float(where[near].mean()), True) if near.any() else None
    found: list[Place] = []
    for i in range(len(where) - 1):
        one, two = float(movement[i]), float(movement[i + 1])
        if one == two:
            continue
        at = float(where[i] - one * (where[i + 1] - where[i]) / (two - one))
        within = bool(where[i] - NEAR <= at <= where[i + 1] + NEAR)
        outside = (i == 0 and at < where[0]) or (i == len(where) - 2 and at > where[-1])
        if within or outside:
            found.append(Place(at, within))
    middle = float(where[0] + where[-1]) / 2.0
    inner = [place for place in found if place.inside] or found
    return min(inner, key=lambda place: abs(place.at - middle)) if inner else None


def _read(where: Floats, movement: Floats, at: tuple[float, float]) -> Floats:
    """Movement at two places, straight between and beyond those where it is known."""
    if len(where) == 1:
        return np.full(2, movement[0])
    slopes = np.diff(movement) / np.diff(where)
    return np.array(
        [
            movement[0] + slopes[0] * (at[0] - where[0]),
            movement[-1] + slopes[-1] * (at[1] - where[-1]),
        ]
    )


def _pieces(prepared: Prepared) -> tuple[_Piece, ...]:
    structure, condensed = prepared.structure, prepared.condensed[prepared.final]
    deck = structure.states[prepared.final].deck
    result = []
    units = np.unique(condensed.part)
    for number, unit in enumerate(units):
        own = np.flatnonzero(condensed.part == unit)
        marks = [m for m in structure.supports if any(structure.seats[i].support == m for i in own)]
        lines = [
            np.array(
                sorted(
                    (int(i) for i in own if structure.seats[i].support == mark),
                    key=lambda i: structure.seats[i].offset,
                ),
                dtype=np.intp,
            )
            for mark in marks
        ]
        # where the line of bearings stands on its mean, skewed or not
        chainages = np.array(
            [np.mean([structure.seats[i].chainage for i in line]) for line in lines]
        )
        first, last = float(chainages[0]), float(chainages[-1])
        if deck is not None and number == 0:
            first = min(first, deck.first)
        if deck is not None and number == len(units) - 1:
            last = max(last, deck.last)
        result.append(
            _Piece(
                supports=tuple(marks),
                chainages=chainages,
                seats=tuple(lines),
                tangents=tuple(axes_in_plan(float(structure.axis.angle(c))) for c in chainages),
                offsets=tuple(
                    np.array([structure.seats[i].offset for i in line]) for line in lines
                ),
                ends=(first, last),
            )
        )
    return tuple(result)
