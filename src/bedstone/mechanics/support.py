"""Stand a condensed superstructure on its bearings.

A bearing holds some of its own six directions (exactly, or through a spring) and leaves the others
free. With C the held directions as rows (m, 6 ns), the unknowns are the forces lambda in them and
the rigid motion a of each part:

    [ C (F + G) C' + 1/k   C R ] [ lambda ]   [ C (g - s) ]
    [ (C R)'                0  ] [   -a   ] = [     r     ]

F, R, g, r, s as in `bedstone.mechanics.condense`; G is the compliance of what is below. A rigid
bearing on a rigid pier has compliance zero, so held is exactly held; a free direction has no row, so
free is exactly zero. The matrix is singular only if the bearings let the bridge move, and then the
null vector *is* the motion, which is named.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Bools, Floats, Ints

#: Relative size below which a singular value of C R counts as a free motion.
FREE_MOTION = 1e-7
#: Largest relative residual a solution may show.
TOLERANCE = 1e-9


@dataclass(frozen=True)
class Bearings:
    """What each bearing holds, in its own axes.

    - `axes` (ns, 3, 3): x', y', z' as rows in global axes
    - `held` (ns, 6): True where the direction is held or sprung (x', y', z', rotations about them)
    - `compliance` (ns, 6): 1/k of a spring, 0 for rigid; ignored where not held
    """

    axes: Floats
    held: Bools
    compliance: Floats

    @property
    def directions(self) -> Floats:
        """(6 ns, 6 ns) block-diagonal turn from global to bearing axes."""
        count = len(self.axes)
        result = np.zeros((6 * count, 6 * count))
        for seat in range(count):
            row = 6 * seat
            result[row : row + 3, row : row + 3] = self.axes[seat]
            result[row + 3 : row + 6, row + 3 : row + 6] = self.axes[seat]
        return result


@dataclass(frozen=True)
class Effects:
    """Effects at the seats in bearing axes for k cases.

    `force` (ns, 6, k): force and moment of the superstructure on the bearing (N, N m), so the
    vertical component is minus the compression N; `movement` (ns, 6, k): superstructure minus
    substructure (m, rad), exactly zero in rigidly held directions; `motion` (6 p, k): the rigid
    motion of each part; `seat_force` (6 ns, k): force on the superstructure in global axes.
    """

    force: Floats
    movement: Floats
    motion: Floats
    seat_force: Floats


class Supported:
    """A condensed superstructure on its bearings, ready for any number of load cases."""

    def __init__(self, condensed: Condensed, bearings: Bearings, ground: Floats) -> None:
        """Factorise for these bearings and the ground compliance (6 ns, 6 ns), global axes.

        Raises `UnstableError` naming the free motion.
        """
        self.condensed = condensed
        self.bearings = bearings
        self.ground = ground
        turn = bearings.directions
        mask = bearings.held.ravel()
        self._rows: Ints = np.flatnonzero(mask)
        self._turn = turn
        self._hold = turn[self._rows]
        self._total = condensed.flexibility + ground
        motions = free_motions(condensed, bearings)
        if motions:
            raise UnstableError("; ".join(motions))
        spring = bearings.compliance.ravel()[self._rows]
        core = self._hold @ self._total @ self._hold.T + np.diag(spring)
        border = self._hold @ condensed.rigid
        count, rigid = border.shape
        self._scale = float(np.abs(np.diag(core)).max(initial=0.0)) or 1.0
        self._spring = spring
        matrix = np.zeros((count + rigid, count + rigid))
        matrix[:count, :count] = (core + core.T) / (2.0 * self._scale)
        matrix[:count, count:] = border
        matrix[count:, :count] = border.T
        self._matrix = matrix
        # rotations held beside translations differ in size by powers of ten: equilibrate
        weight = 1.0 / np.sqrt(np.maximum(np.abs(matrix).max(axis=0), 1e-300))
        scaled = matrix * weight[:, None] * weight[None, :]
        try:
            inverse = scipy.linalg.inv(scaled, check_finite=False)
        except scipy.linalg.LinAlgError:
            raise UnstableError(
                "the bearings hold the same movement twice with nothing elastic between them"
            ) from None
        self._inverse = inverse * weight[:, None] * weight[None, :]
        # relative movement = turn (g - s + R a) - follow lambda
        self._follow = turn @ (self._total @ self._hold.T)
        self._sway = turn @ condensed.rigid

    @property
    def redundancy(self) -> int:
        """Degree of statical indeterminacy: held directions beyond those needed for stability."""
        return len(self._rows) - self.condensed.rigid.shape[1]

    def unknowns(self, load: SeatLoad) -> tuple[Floats, Floats]:
        """Forces in the held directions (m, k) on the bearings and rigid motion a (6 p, k)."""
        count = len(self._rows)
        right = np.concatenate([self._hold @ (load.g - load.s) / self._scale, load.r])
        answer = self._inverse @ right
        answer += self._inverse @ (right - self._matrix @ answer)
        return answer[:count], -answer[count:] * self._scale

    def effects(self, load: SeatLoad) -> Effects:
        """Effects of k load cases, checked.

        Raises `CheckError` if equilibrium or the held directions are not met to 1e-9.
        """
        force, motion = self.unknowns(load)
        seats = self.condensed.seat_count
        movement = self._turn @ (load.g - load.s) + self._sway @ motion - self._follow @ force
        self._check(load, force, movement)
        expected = force * self._spring[:, None]
        movement[self._rows] = expected
        local = np.zeros_like(movement)
        local[self._rows] = force
        return Effects(
            force=local.reshape(seats, 6, -1),
            movement=movement.reshape(seats, 6, -1),
            motion=motion,
            seat_force=-self._hold.T @ force,
        )

    def residuals(self, load: SeatLoad) -> tuple[float, float]:
        """(equilibrium, compatibility) residuals of these cases, relative to load and movement."""
        force, motion = self.unknowns(load)
        movement = self._turn @ (load.g - load.s) + self._sway @ motion - self._follow @ force
        return self._measure(load, force, movement)

    def _measure(self, load: SeatLoad, force: Floats, movement: Floats) -> tuple[float, float]:
        border = self._hold @ self.condensed.rigid
        lack = np.abs(border.T @ force - load.r)
        size = np.abs(border).T @ np.abs(force) + np.abs(load.r)
        equilibrium = float((lack / np.maximum(size.max(initial=0.0), 1e-300)).max(initial=0.0))
        gap = np.abs(movement[self._rows] - force * self._spring[:, None])
        scale = np.abs(self._hold) @ (np.abs(load.g) + np.abs(load.s)) + np.abs(
            self._follow[self._rows]
        ) @ np.abs(force)
        compatibility = float((gap / np.maximum(scale.max(initial=0.0), 1e-300)).max(initial=0.0))
        return equilibrium, compatibility

    def _check(self, load: SeatLoad, force: Floats, movement: Floats) -> None:
        equilibrium, compatibility = self._measure(load, force, movement)
        if not equilibrium < TOLERANCE:
            raise CheckError(f"equilibrium of the bridge is off by {equilibrium:.1e} of the load")
        if not compatibility < TOLERANCE:
            raise CheckError(f"held directions move by {compatibility:.1e} of the movements")

    def operator(self) -> tuple[Floats, Floats]:
        """(force, movement) operators on stacked (g - s, r): each (6 ns, 6 ns + 6 p), bearing axes.

        For many load cases and few wanted effects: pick rows, then one product.
        """
        count = len(self._rows)
        seats6, rigid = self._turn.shape[0], self.condensed.rigid.shape[1]
        gain = np.concatenate([self._hold / self._scale, np.zeros((rigid, seats6))])
        gain = np.concatenate(
            [gain, np.concatenate([np.zeros((count, rigid)), np.eye(rigid)])], axis=1
        )
        answer = self._inverse @ gain
        answer += self._inverse @ (gain - self._matrix @ answer)
        lam, motion = answer[:count], -answer[count:] * self._scale
        force = np.zeros((seats6, seats6 + rigid))
        force[self._rows] = lam
        direct = np.concatenate([self._turn, np.zeros((seats6, rigid))], axis=1)
        movement = direct + self._sway @ motion - self._follow @ lam
        movement[self._rows] = lam * self._spring[:, None]
        return force, movement


def free_motions(condensed: Condensed, bearings: Bearings) -> list[str]:
    """The rigid-body motions that the bearings do not stop, in words; empty when stable."""
    hold = bearings.directions[bearings.held.ravel()]
    result = []
    parts = condensed.rigid.shape[1] // 6
    for part in range(parts):
        border = hold @ condensed.rigid[:, 6 * part : 6 * part + 6]
        if len(border) == 0:
            result.append(_name(part, parts, condensed) + "stands on no bearing")
            continue
        _, values, vectors = np.linalg.svd(border)
        top = values[0] if values.size else 1.0
        rank = int(np.sum(values > FREE_MOTION * top))
        null = _simplest(vectors[rank:])
        result += [
            _name(part, parts, condensed)
            + describe_motion(motion, condensed.centre[part], condensed.size[part])
            for motion in null
        ]
    return result


def _name(part: int, parts: int, condensed: Condensed) -> str:
    if parts == 1:
        return "the superstructure "
    points = condensed.points[condensed.part == part]
    return (
        f"the superstructure from x = {points[:, 0].min():.2f} m to x = "
        f"{points[:, 0].max():.2f} m "
    )


def _simplest(null: Floats) -> list[Floats]:
    """The same motions, translations apart from rotations as far as possible (reduced rows)."""
    rows = np.array(null, dtype=float)
    done = 0
    for column in (3, 4, 5, 0, 1, 2):  # rotations first: what is left are pure translations
        if done == len(rows):
            break
        pivot = done + int(np.argmax(np.abs(rows[done:, column])))
        if abs(rows[pivot, column]) < 1e-6:
            continue
        rows[[done, pivot]] = rows[[pivot, done]]
        rows[done] /= rows[done, column]
        for other in range(len(rows)):
            if other != done:
                rows[other] -= rows[other, column] * rows[done]
        done += 1
    return list(rows)


def describe_motion(motion: Floats, centre: Floats, size: float) -> str:
    """A rigid-body motion (6,) in words; rotations in it are per `size`, about `centre`."""
    shift, turn = motion[:3], motion[3:] / size
    if np.linalg.norm(turn) * size < 1e-6 * max(float(np.linalg.norm(shift)), 1e-300):
        direction = shift / np.linalg.norm(shift)
        axis = int(np.argmax(np.abs(direction)))
        if abs(direction[axis]) > 0.999:
            return ("slides freely along the bridge (x)", "slides freely across the bridge (y)",
                    "lifts off freely (z)")[axis]  # fmt: skip
        if abs(direction[2]) < 1e-3:
            angle = np.degrees(np.arctan2(direction[1], direction[0]))
            angle = (angle + 90.0) % 180.0 - 90.0
            return f"slides freely at {angle:.1f} deg from the bridge axis in plan"
        return "moves freely on a slope"
    axis = int(np.argmax(np.abs(turn)))
    if abs(turn[axis]) > 0.999 * np.linalg.norm(turn):
        if axis == 2:
            x = centre[0] - shift[1] / turn[2]
            y = centre[1] + shift[0] / turn[2]
            return f"turns freely in plan about the point x = {x:.2f} m, y = {y:.2f} m"
        if axis == 0:
            return "rolls over freely about the bridge axis (x)"
        return "tips freely about the cross axis (y)"
    return "turns freely about a line that is square to no axis of the bridge"
