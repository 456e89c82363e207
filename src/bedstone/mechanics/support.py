"""Stand a condensed superstructure on its bearings.

A bearing holds some of its own six directions (exactly, or through a spring) and leaves the others
free. With C the held directions as rows (m, 6 ns), the unknowns are the forces lambda in them and
the rigid motion a of each part:

    [ C (F + G) C' + 1/k   C R ] [ lambda ]   [ C (g - s) ]
    [ (C R)'                0  ] [   -a   ] = [     r     ]

F, R, g, r, s as in `bedstone.mechanics.condense`; G is the compliance of what is below. A rigid
bearing on a rigid pier has compliance zero, so held is exactly held; a free direction has no row,
so free is exactly zero. The matrix is singular only if the bearings let the bridge move, and then
the null vector *is* the motion, which is named.
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
#: Reciprocal condition below which the bearings hold one movement twice.
SINGULAR = 1e-15


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
        self._plain = not np.any(bearings.axes - np.eye(3))
        turn = bearings.directions
        self._rows: Ints = np.flatnonzero(bearings.held)
        self._turn = turn
        self._hold = turn[self._rows]
        total = condensed.flexibility + ground
        border = self._hold @ condensed.rigid
        _refuse_dead(condensed, border, self._rows)
        motions = _free_motions(condensed, border)
        if motions:
            raise UnstableError("; ".join(motions))
        self._spring = bearings.compliance.ravel()[self._rows]
        follow = total @ self._hold.T if self._plain else turn @ (total @ self._hold.T)
        core = follow[self._rows]
        count, rigid = border.shape
        diagonal = np.abs(np.diag(core)) + self._spring
        self._scale = float(diagonal.max(initial=0.0)) or 1.0
        self._own = np.maximum(diagonal, 1e-12 * self._scale)
        matrix = np.zeros((count + rigid, count + rigid))
        matrix[:count, :count] = (core + core.T) / (2.0 * self._scale)
        matrix[np.arange(count), np.arange(count)] += self._spring / self._scale
        matrix[:count, count:] = border
        matrix[count:, :count] = border.T
        self._matrix = matrix
        self._inverse = _inverse(matrix)
        # relative movement = turn (g - s) - follow [lambda, -a / scale]
        sway = turn @ condensed.rigid
        self._follow = np.concatenate([follow, self._scale * sway], axis=1)
        self._border_size = np.abs(border).T
        self._follow_size = np.abs(core) + np.diag(self._spring)

    @property
    def redundancy(self) -> int:
        """Degree of statical indeterminacy: held directions beyond those needed for stability."""
        return len(self._rows) - int(self.condensed.rigid.shape[1])

    def unknowns(self, load: SeatLoad) -> tuple[Floats, Floats]:
        """Forces in the held directions (m, k) on the bearings and rigid motion a (6 p, k)."""
        answer, _ = self._solve(load)
        count = len(self._rows)
        return answer[:count], -answer[count:] * self._scale

    def _solve(self, load: SeatLoad) -> tuple[Floats, Floats]:
        """[lambda, -a / scale] (m + 6 p, k) and the movement (6 ns, k) were nothing held."""
        free = load.g - load.s
        if not self._plain:
            free = self._turn @ free
        right = np.concatenate([free[self._rows] / self._scale, load.r])
        answer = self._inverse @ right
        answer += self._inverse @ (right - self._matrix @ answer)
        return answer, free

    def effects(self, load: SeatLoad) -> Effects:
        """Effects of k load cases, checked.

        Raises `CheckError` if equilibrium or the held directions are not met to 1e-9.
        """
        answer, free = self._solve(load)
        count = len(self._rows)
        force = answer[:count]
        movement = self._follow @ answer
        np.subtract(free, movement, out=movement)
        equilibrium, compatibility = self._measure(load, free, answer, movement)
        if not equilibrium < TOLERANCE:
            raise CheckError(f"equilibrium of the bridge is off by {equilibrium:.1e} of the load")
        if not compatibility < TOLERANCE:
            raise CheckError(f"held directions move by {compatibility:.1e} of the movements")
        movement[self._rows] = force * self._spring[:, None]
        local = np.zeros_like(movement)
        local[self._rows] = force
        seats = self.condensed.seat_count
        return Effects(
            force=local.reshape(seats, 6, -1),
            movement=movement.reshape(seats, 6, -1),
            motion=-answer[count:] * self._scale,
            seat_force=-local if self._plain else -(self._hold.T @ force),
        )

    def residuals(self, load: SeatLoad) -> tuple[float, float]:
        """(equilibrium, compatibility) residuals, the worst case of each, relative.

        Equilibrium to the forces on the bridge, counting those that would hold each free movement
        in place (a statically determinate bridge has none else under temperature); compatibility
        to the movements.
        """
        answer, free = self._solve(load)
        movement = free - self._follow @ answer
        return self._measure(load, free, answer, movement)

    def _measure(
        self, load: SeatLoad, free: Floats, answer: Floats, movement: Floats
    ) -> tuple[float, float]:
        count = len(self._rows)
        force, motion = answer[:count], answer[count:] * self._scale
        size = np.abs(force)
        loose = np.abs(free[self._rows])
        lack = np.abs(self._matrix[count:, :count] @ force - load.r)
        whole = self._border_size @ (size + loose / self._own[:, None]) + np.abs(load.r)
        gap = np.abs(movement[self._rows] - force * self._spring[:, None])
        reach = loose + self._follow_size @ size + self._border_size.T @ np.abs(motion)
        return _worst(lack, whole), _worst(gap, reach)

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
        force = np.zeros((seats6, seats6 + rigid))
        force[self._rows] = answer[:count]
        direct = np.concatenate([self._turn, np.zeros((seats6, rigid))], axis=1)
        movement = direct - self._follow @ answer
        movement[self._rows] = answer[:count] * self._spring[:, None]
        return force, movement


def _worst(error: Floats, size: Floats) -> float:
    """Largest ratio of error to size over the cases (columns), each by its largest entry."""
    top = np.maximum(size.max(axis=0, initial=0.0), 1e-300)
    return float((error.max(axis=0, initial=0.0) / top).max(initial=0.0))


def _inverse(matrix: Floats) -> Floats:
    """Inverse of the symmetric system, refused where bearings hold one movement twice."""
    # rotations held beside translations differ in size by powers of ten: equilibrate
    weight = 1.0 / np.sqrt(np.maximum(np.abs(matrix).max(axis=0), 1e-300))
    scaled = matrix * weight[:, None] * weight[None, :]
    factors, pivots, fault = scipy.linalg.lapack.dgetrf(scaled)
    if fault == 0:
        inverse, fault = scipy.linalg.lapack.dgetri(factors, pivots)
    if fault == 0:
        condition = np.abs(scaled).sum(axis=0).max() * np.abs(inverse).sum(axis=0).max()
        if condition * SINGULAR < 1.0:
            return np.asarray(inverse * weight[:, None] * weight[None, :])
    raise UnstableError(
        "the bearings hold the same movement twice with nothing elastic between them"
    )


def _refuse_dead(condensed: Condensed, border: Floats, rows: Ints) -> None:
    """A node of bars alone has no rotation that a bearing could hold."""
    dead = np.flatnonzero(~np.any(border, axis=1))
    if len(dead):
        seat = int(rows[dead[0]]) // 6
        raise UnstableError(
            f"the bearing at x = {condensed.points[seat, 0]:.2f} m, y = "
            f"{condensed.points[seat, 1]:.2f} m holds a rotation, but only bars meet there"
        )


def free_motions(condensed: Condensed, bearings: Bearings) -> list[str]:
    """The rigid-body motions that the bearings do not stop, in words; empty when stable."""
    return _free_motions(condensed, bearings.directions[bearings.held.ravel()] @ condensed.rigid)


def _free_motions(condensed: Condensed, border: Floats) -> list[str]:
    """The same from the held directions under rigid motions, (m, 6 p)."""
    result = []
    parts = condensed.rigid.shape[1] // 6
    for part in range(parts):
        columns = border[:, 6 * part : 6 * part + 6]
        own = columns[np.any(columns, axis=1)]
        if len(own) == 0:
            result.append(_name(part, parts, condensed) + "stands on no bearing")
            continue
        _, values, vectors = np.linalg.svd(own, full_matrices=len(own) < 6)
        rank = int(np.sum(values > FREE_MOTION * values[0]))
        if rank == 6:
            continue
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
    low, high = points[:, 0].min(), points[:, 0].max()
    return f"one of {parts} separate pieces of the superstructure, x = {low:.2f} to {high:.2f} m, "


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
            return f"slides freely at {_in_plan(direction):.1f} deg from the bridge axis in plan"
        return "moves freely on a slope"
    axis = int(np.argmax(np.abs(turn)))
    if abs(turn[axis]) > 0.999 * np.linalg.norm(turn):
        if axis == 2:
            x = round(float(centre[0] - shift[1] / turn[2]), 2) + 0.0  # no minus zero
            y = round(float(centre[1] + shift[0] / turn[2]), 2) + 0.0
            return f"turns freely in plan about the point x = {x:.2f} m, y = {y:.2f} m"
        if axis == 0:
            return "rolls over freely about the bridge axis (x)"
        return "tips freely about the cross axis (y)"
    if abs(turn[2]) < 1e-3 * np.linalg.norm(turn):
        return f"tips freely about a level line at {_in_plan(turn):.1f} deg to the bridge axis"
    return "turns freely about an inclined line"


def _in_plan(direction: Floats) -> float:
    """Angle of a line to the bridge axis in plan, -90 to 90 degrees."""
    angle = float(np.degrees(np.arctan2(direction[1], direction[0])))
    return (angle + 90.0) % 180.0 - 90.0
