"""From the functions of the bearings to what each of them holds, and to the effects they cause."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bedstone.actions.effects import EffectMap, Layout
from bedstone.articulation.ground import axes_in_plan, footing, ground
from bedstone.bridge.schema import Seat, Support
from bedstone.mechanics.condense import Condensed
from bedstone.mechanics.frame import Floats, Ints, cross_matrix
from bedstone.mechanics.support import Bearings, Supported
from bedstone.model.structure import SeatPlace, Structure

#: Translations held (x', y', z') by each function.
HELD: Mapping[str, tuple[bool, bool, bool]] = {
    "fixed": (True, True, True),
    "guided along": (False, True, True),
    "guided across": (True, False, True),
    "free": (False, False, True),
    "elastic": (False, False, True),
    "none": (False, False, False),
}


@dataclass(frozen=True)
class Arranged:
    """The bearings of a bridge: functions, directions in plan (rad from global x) and stiffness."""

    seats: tuple[Seat, ...]
    angles: tuple[float, ...]
    bearings: Bearings


def fixed_point(structure: Structure, seats: tuple[Seat, ...], wanted: str | None) -> Floats | None:
    """(2,) plan position of the point that temperature does not move, for directions.

    `wanted`: a seat or support mark (the mean of its seats); else the seats with function fixed;
    None when there is none.
    """
    places = [
        place.point[:2]
        for place, seat in zip(structure.seats, seats, strict=True)
        if (wanted in (place.mark, place.support) if wanted else seat.function == "fixed")
    ]
    return np.mean(np.array(places), axis=0) if places else None


def direction(
    seat: Seat, place: SeatPlace, structure: Structure, support: Support, point: Floats | None
) -> float:
    """Direction of the bearing's x' in plan, rad from global x.

    Toward the fixed point: the sense along rising chainage is taken, so that signs stay comparable;
    square to the axis, the sense to the left.
    """
    axis = float(structure.axis.angle(support.chainage))
    if seat.direction == "axis":
        return axis
    if seat.direction == "tangent":
        return place.angle
    if seat.direction == "square":
        return axis + support.skew
    if seat.direction == "toward fixed point":
        if point is None:
            return axis
        reach = point - np.array(place.point[:2])
        if np.linalg.norm(reach) < 1e-6:
            return axis
        angle = float(np.arctan2(reach[1], reach[0]))
        ahead = np.cos(angle - axis)
        if ahead < -1e-9 or (abs(ahead) <= 1e-9 and np.sin(angle - axis) < 0.0):
            angle += np.pi
        return float(np.arctan2(np.sin(angle), np.cos(angle)))
    return axis + float(seat.direction)


def arrange(
    structure: Structure,
    supports: list[Support],
    functions: Mapping[str, Seat],
    wanted_point: str | None = None,
) -> Arranged:
    """Bearings of all seats in the order of the structure."""
    by_mark = {support.mark: support for support in supports}
    seats = tuple(functions[place.mark] for place in structure.seats)
    point = fixed_point(structure, seats, wanted_point)
    count = len(seats)
    angles = tuple(
        direction(seat, place, structure, by_mark[place.support], point)
        for seat, place in zip(seats, structure.seats, strict=True)
    )
    held = np.zeros((count, 6), dtype=bool)
    compliance = np.zeros((count, 6))
    for row, seat in enumerate(seats):
        held[row, :3] = HELD[seat.function]
        held[row, 3:] = [axis in seat.hold_rotation for axis in "xyz"]
        if seat.stiffness is not None:
            springs = seat.stiffness
            given = (springs.kx, springs.ky, springs.kz, springs.krx, springs.kry, springs.krz)
            for column, value in enumerate(given):
                if value is not None:
                    held[row, column] = True
                    compliance[row, column] = 1.0 / value
    axes = np.array([axes_in_plan(angle) for angle in angles]).reshape(count, 3, 3)
    return Arranged(seats, angles, Bearings(axes, held, compliance))


def erection(structure: Structure, arranged: Arranged, part: Ints) -> Arranged:
    """Supports before the bearings are set: the same vertical ones, in plan only what is needed.

    Each separate part (`part` (ns,), as `Condensed.part`) is held along and across at one seat and
    across at the seat farthest from it, so nothing is locked in.
    """
    axes = np.array([axes_in_plan(seat.angle) for seat in structure.seats]).reshape(-1, 3, 3)
    held = np.zeros_like(arranged.bearings.held)
    held[:, 2] = arranged.bearings.held[:, 2]
    held[:, 3:] = arranged.bearings.held[:, 3:]
    compliance = np.where(np.arange(6) >= 2, arranged.bearings.compliance, 0.0)
    points = np.array([seat.point for seat in structure.seats])
    for number in np.unique(part):
        own = [int(i) for i in np.flatnonzero(part == number)]
        standing = [i for i in own if held[i, 2]] or own
        first = standing[0]
        far = max(standing, key=lambda i: float(np.linalg.norm(points[i] - points[first])))
        held[first, :2] = True
        held[far, 1] = True
        if far == first:
            held[first, 5] = True
    return Arranged(arranged.seats, arranged.angles, Bearings(axes, held, compliance))


def layout(structure: Structure) -> Layout:
    """Order of effects for a structure."""
    return Layout(tuple(seat.mark for seat in structure.seats), structure.supports)


def effect_map(
    structure: Structure,
    supports: list[Support],
    arranged: Arranged,
    supported: Supported,
    sums: Floats | None = None,
) -> EffectMap:
    """All effects (seats in bearing axes, supports in their own) as a map on condensed loads.

    `sums`: `support_sums` of the arrangement, where they are known already.
    """
    order = layout(structure)
    force, movement = supported.operator()
    size = force.shape[1]
    count = len(structure.seats)
    matrix = np.zeros((order.size, size))
    seat_rows = matrix[: 12 * count].reshape(count, 12, size)
    seat_rows[:, :6] = force.reshape(count, 6, size)
    seat_rows[:, 0] = -force.reshape(count, 6, size)[:, 2]  # N, + in compression
    seat_rows[:, 1:3] = force.reshape(count, 6, size)[:, 0:2]  # Hx, Hy
    seat_rows[:, 6:] = movement.reshape(count, 6, size)
    if sums is None:
        sums = support_sums(structure, supports, arranged)
    matrix[12 * count :] = sums @ force
    return EffectMap(order, matrix)


def support_sums(structure: Structure, supports: list[Support], arranged: Arranged) -> Floats:
    """(6 k, 6 ns) sums of forces on bearings to the effects of all k supports, in their order."""
    return np.concatenate([support_sum(structure, support, arranged) for support in supports])


def support_sum(structure: Structure, support: Support, arranged: Arranged) -> Floats:
    """(6, 6 ns) sums of forces on bearings (bearing axes) to V, Fx, Fy, Mx, My, Mz of a support."""
    place = footing(structure, support)
    count = len(structure.seats)
    own = [row for row, seat in enumerate(structure.seats) if seat.support == support.mark]
    table = np.zeros((6, count, 2, 3))  # of the forces and of the moments of each seat
    axes = axes_in_plan(place.angle)
    turn = axes @ np.swapaxes(arranged.bearings.axes[own], 1, 2)  # bearing to support
    arm = np.array([structure.seats[row].point for row in own]).reshape(-1, 3) - place.base
    table[:3, own, 0] = np.swapaxes(turn, 0, 1)
    table[3:, own, 0] = np.swapaxes(cross_matrix(arm @ axes.T) @ turn, 0, 1)
    table[3:, own, 1] = np.swapaxes(turn, 0, 1)
    order = np.array([2, 0, 1, 3, 4, 5])
    result = table.reshape(6, 6 * count)[order]
    result[0] *= -1.0  # V, + downward
    return np.asarray(result)


@dataclass(frozen=True)
class Standing:
    """A condensed state standing on an arrangement: the solved supports and the map of effects."""

    supported: Supported
    effects: EffectMap


def stand(
    structure: Structure,
    supports: list[Support],
    condensed: Condensed,
    arranged: Arranged,
    bound: str = "given",
) -> Standing:
    """Stand one state on its bearings; raises `UnstableError` naming the free motion."""
    supported = Supported(condensed, arranged.bearings, ground(structure, supports, bound))
    return Standing(supported, effect_map(structure, supports, arranged, supported))
