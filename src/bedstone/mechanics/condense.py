"""Condense a superstructure once to its bearing seats.

A superstructure that stands on nothing can move as a rigid body, so its stiffness has no inverse.
We hold it at six chosen degrees of freedom (the *datum*, statically determinate, so that it locks
nothing in), factorise once, and keep for the seats

- the flexibility ``F`` (6 ns, 6 ns): seat displacements under unit seat loads, held at the datum;
- the rigid-body motions ``R`` (6 ns, 6 p) of the p separate parts;
- the field ``W`` (freedoms, 6 ns): displacement of every node under unit seat loads.

By reciprocity any load p on the superstructure is condensed by two products: its seat
displacements held at the datum ``g = W' p`` and its resultants ``r = R' p``. The true displacement
of the seats under load and bearing forces q is ``u = g + F q + R a`` with ``R' q + r = 0``; since the
whole set is in equilibrium, the datum carries nothing and its choice does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import scipy.linalg
import scipy.sparse as sp
import scipy.sparse.csgraph
import scipy.sparse.linalg

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.frame import Floats, Frame, Ints, cross_matrix

#: Largest relative residual a condensation may show and still be used.
TOLERANCE = 1e-8


@dataclass(frozen=True)
class SeatPoints:
    """Where bearings touch the superstructure: `node` (ns,) and `arm` (ns, 3) from node to contact."""

    node: Ints
    arm: Floats


@dataclass(frozen=True)
class SeatLoad:
    """Loads condensed to the seats: `g` (6 ns, k) m and rad, `r` (6 p, k) N.

    `s` (6 ns, k): prescribed movement of the ground below each seat (m, rad), global axes.
    """

    g: Floats
    r: Floats
    s: Floats

    def __add__(self, other: SeatLoad) -> SeatLoad:
        return SeatLoad(self.g + other.g, self.r + other.r, self.s + other.s)

    def __mul__(self, factor: float) -> SeatLoad:
        return SeatLoad(self.g * factor, self.r * factor, self.s * factor)

    def column(self, index: int) -> SeatLoad:
        """One load case as (.., 1) arrays."""
        pick = slice(index, index + 1)
        return SeatLoad(self.g[:, pick], self.r[:, pick], self.s[:, pick])


def stack(loads: list[SeatLoad]) -> SeatLoad:
    """Several seat loads side by side."""
    return SeatLoad(
        np.concatenate([load.g for load in loads], axis=1),
        np.concatenate([load.r for load in loads], axis=1),
        np.concatenate([load.s for load in loads], axis=1),
    )


@dataclass(frozen=True)
class Residuals:
    """What a condensation says of itself, all relative: each should be near rounding."""

    symmetry: float
    rigid_body: float
    solution: float


@dataclass(frozen=True)
class Condensed:
    """A superstructure condensed to ns seats and p separate parts (see the module's head).

    `points` (ns, 3) contact points; `part` (ns,) the part each seat belongs to; `centre` (p, 3) and
    `size` (p,) of each part: rotations in `rigid` and moments in resultants are taken about the
    centre and divided by the size, so that all entries are of one order.
    """

    frame: Frame
    seats: SeatPoints
    points: Floats
    part: Ints
    centre: Floats
    size: Floats
    flexibility: Floats
    rigid: Floats
    field: Floats
    rigid_field: Floats
    residuals: Residuals
    _solver: Any = field(repr=False, compare=False)
    _kept: Ints = field(repr=False, compare=False)

    @property
    def seat_count(self) -> int:
        """Number of seats ns."""
        return len(self.points)

    def load(self, vectors: Floats | sp.csc_array) -> SeatLoad:
        """Condense load vectors (freedoms,) or (freedoms, k), dense or sparse."""
        if not sp.issparse(vectors):
            vectors = np.asarray(vectors, dtype=float)
            vectors = vectors.reshape(len(vectors), -1)
        g = np.asarray(vectors.T @ self.field).T
        r = np.asarray(vectors.T @ self.rigid_field).T
        return SeatLoad(g, r, np.zeros_like(g))

    def seat_forces(self, q: Floats, ground: Floats) -> SeatLoad:
        """Condense pairs of forces at the seats: q (6 ns, k) on the superstructure, -q on the ground.

        Global axes; `ground` is the compliance below the seats (6 ns, 6 ns).
        """
        return SeatLoad(self.flexibility @ q, self.rigid.T @ q, -(ground @ q))

    def settlement(self, s: Floats) -> SeatLoad:
        """Prescribed movements s (6 ns, k) of the ground below the seats, global axes."""
        s = s.reshape(6 * self.seat_count, -1)
        return SeatLoad(np.zeros_like(s), np.zeros((self.rigid.shape[1], s.shape[1])), s)

    def displacements(self, vectors: Floats, q: Floats, a: Floats) -> Floats:
        """Displacement of all nodes (freedoms, k) under loads, seat forces q and rigid motion a."""
        vectors = np.asarray(vectors, dtype=float).reshape(self.frame.freedoms, -1)
        held = np.zeros_like(vectors)
        held[self._kept] = self._solver.solve(np.ascontiguousarray(vectors[self._kept]))
        return np.asarray(held + self.field @ q + self.rigid_field @ a)

    def stiffness(self) -> Floats:
        """Stiffness S (6 ns, 6 ns) of the free superstructure at its seats, from `flexibility`.

        S is the inverse of F on the motions that are not rigid-body motions:
        S = N inv(N' F N) N' with N spanning the seat forces in equilibrium (R' N = 0).
        """
        null = scipy.linalg.null_space(self.rigid.T)
        core = null.T @ self.flexibility @ null
        result = null @ np.linalg.solve((core + core.T) / 2.0, null.T)
        return np.asarray((result + result.T) / 2.0)


def rigid_motions(points: Floats, centre: Floats, size: float) -> Floats:
    """(6 k, 6) displacements of k points under unit translations and rotations / size."""
    count = len(points)
    result = np.zeros((count, 6, 6))
    result[:, :3, :3] = np.eye(3)
    result[:, :3, 3:] = -cross_matrix(points - centre) / size
    result[:, 3:, 3:] = np.eye(3) / size
    return result.reshape(6 * count, 6)


def _parts(frame: Frame) -> tuple[int, Ints]:
    """Number of connected parts and the part of each node."""
    count = len(frame.nodes)
    links = sp.coo_array(
        (np.ones(len(frame.ends)), (frame.ends[:, 0], frame.ends[:, 1])), shape=(count, count)
    )
    number, labels = scipy.sparse.csgraph.connected_components(links, directed=False)
    return int(number), labels.astype(np.intp)


def condense(frame: Frame, seats: SeatPoints) -> Condensed:
    """Condense `frame` to its seats.

    Raises `UnstableError` when a part touches no seat or the superstructure is a mechanism in
    itself (both name where), `CheckError` when a residual is too large.
    """
    parts, part_of_node = _parts(frame)
    loose = sorted(set(range(parts)) - set(part_of_node[seats.node]))
    if loose:
        nodes = np.flatnonzero(part_of_node == loose[0])
        raise UnstableError(
            f"the frame is not in one piece: {len(nodes)} nodes (first: number {nodes[0]} at "
            f"{_place(frame.nodes[nodes[0]])}) are connected to no seat"
        )
    points = frame.nodes[seats.node] + seats.arm
    stiffness = frame.stiffness
    diagonal = stiffness.diagonal()
    active = diagonal > 0.0  # a node of bars alone has no rotation to solve for

    centre = np.zeros((parts, 3))
    size = np.zeros(parts)
    rigid = np.zeros((6 * len(points), 6 * parts))
    rigid_field = np.zeros((frame.freedoms, 6 * parts))
    datum: list[int] = []
    for part in range(parts):
        nodes = np.flatnonzero(part_of_node == part)
        own = np.flatnonzero(part_of_node[seats.node] == part)
        low, high = frame.nodes[nodes].min(axis=0), frame.nodes[nodes].max(axis=0)
        centre[part] = (low + high) / 2.0
        size[part] = max(float(np.linalg.norm(high - low)) / 2.0, 1.0)
        columns = slice(6 * part, 6 * part + 6)
        rigid.reshape(len(points), 6, -1)[own, :, columns] = rigid_motions(
            points[own], centre[part], size[part]
        ).reshape(-1, 6, 6)
        rigid_field.reshape(len(frame.nodes), 6, -1)[nodes, :, columns] = rigid_motions(
            frame.nodes[nodes], centre[part], size[part]
        ).reshape(-1, 6, 6)
        datum += _datum(rigid_field[:, columns], np.unique(seats.node[own]), active)
    rigid_field[~active] = 0.0

    kept_mask = active.copy()
    kept_mask[datum] = False
    kept = np.flatnonzero(kept_mask).astype(np.intp)
    solver = _factorise(frame, stiffness, kept)

    unit = np.zeros((frame.freedoms, 6 * len(points)))
    arm = cross_matrix(seats.arm)
    for seat, node in enumerate(seats.node):
        block = np.eye(6)
        block[3:, :3] = arm[seat]  # moment at the node of a force at the contact point
        unit[6 * node : 6 * node + 6, 6 * seat : 6 * seat + 6] = block
    dead = np.abs(unit[~active]).max(initial=0.0) > 0.0
    fld = np.zeros_like(unit)
    target = np.ascontiguousarray(unit[kept])
    reduced = stiffness[kept][:, kept]
    solution = solver.solve(target)
    # one step of refinement: long soft decks lose digits in a single solve
    solution += solver.solve(target - reduced @ solution)
    fld[kept] = solution
    error = _relative(reduced @ solution - target, target)
    flexibility = unit.T @ fld
    residuals = Residuals(
        symmetry=_relative(flexibility - flexibility.T, flexibility),
        rigid_body=_relative(stiffness @ rigid_field, abs(stiffness) @ np.abs(rigid_field)),
        solution=error,
    )
    if dead and not np.all(active.reshape(-1, 6)[seats.node][:, :3]):
        raise UnstableError("a seat stands on a node that no member holds")
    for name in ("symmetry", "rigid_body", "solution"):
        value = getattr(residuals, name)
        if not value < TOLERANCE:
            raise CheckError(f"condensation: residual of {name} is {value:.1e} (limit {TOLERANCE})")
    return Condensed(
        frame=frame,
        seats=seats,
        points=points,
        part=part_of_node[seats.node],
        centre=centre,
        size=size,
        flexibility=(flexibility + flexibility.T) / 2.0,
        rigid=rigid,
        field=fld,
        rigid_field=rigid_field,
        residuals=residuals,
        _solver=solver,
        _kept=kept,
    )


def _datum(rigid_field: Floats, seat_nodes: Ints, active: np.ndarray[Any, Any]) -> list[int]:
    """Six degrees of freedom of seat nodes that hold the part best (pivoted QR picks them)."""
    candidates = (6 * seat_nodes[:, None] + np.arange(6)).ravel()
    candidates = candidates[active[candidates]]
    _, triangle, order = scipy.linalg.qr(rigid_field[candidates].T, mode="economic", pivoting=True)
    if len(candidates) < 6 or abs(triangle[5, 5]) < 1e-9 * abs(triangle[0, 0]):
        raise UnstableError("the seats' nodes cannot hold the superstructure: too few stiff members")
    return [int(candidates[index]) for index in order[:6]]


def _factorise(frame: Frame, stiffness: sp.csc_array, kept: Ints) -> Any:
    """Sparse factorisation of the held stiffness; names the place of a mechanism."""
    reduced = stiffness[kept][:, kept].tocsc()
    diagonal = reduced.diagonal()
    try:
        solver = scipy.sparse.linalg.splu(
            reduced,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        pivots = np.abs(solver.U.diagonal()) / diagonal[np.argsort(solver.perm_c)]
        worst = int(np.argmin(pivots))
        if pivots[worst] > 1e-13:
            return solver
        dof = int(kept[np.argsort(solver.perm_c)[worst]])
    except RuntimeError:  # SuperLU: exactly singular
        dof = int(kept[np.argmin(diagonal)])
    node, direction = divmod(dof, 6)
    motion = ("move along x", "move along y", "move along z", "turn about x", "turn about y",
              "turn about z")[direction]  # fmt: skip
    raise UnstableError(
        f"the superstructure is a mechanism in itself: node {node} at "
        f"{_place(frame.nodes[node])} can {motion} without resistance"
    )


def _place(point: Floats) -> str:
    return "x = {:.3f} m, y = {:.3f} m, z = {:.3f} m".format(*point)


def _relative(error: Any, scale: Any) -> float:
    top = float(np.abs(scale).max(initial=0.0)) if not sp.issparse(scale) else float(abs(scale).max())
    return float(np.abs(error).max(initial=0.0)) / top if top > 0.0 else 0.0
