"""Condense a superstructure once to its bearing seats.

The nodes that carry seats are clamped, which splits the superstructure into pieces of about one
span, and one sparse factorisation gives the constraint modes ``Phi`` (displacement of every node
under unit displacements of the seat nodes) and the stiffness ``S = Phi' K Phi`` of the seat nodes.
A load p acts on the seat nodes as ``c = Phi' p``.

A superstructure that stands on nothing can move as a rigid body, so S has no inverse. With N
spanning the forces in equilibrium (``R' N = 0``) we keep its generalised inverse

    F = N inv(N' S N) N'

- the flexibility ``F`` (6 ns, 6 ns): seat displacements under seat loads, rigid motion left open;
- the rigid-body motions ``R`` (6 ns, 6 p) of the p separate parts.

A load is condensed to ``g = F c`` and its resultants ``r = R' p``. The true displacement of the
seats under load and bearing forces q is ``u = g + F q + R a`` with ``R' q + r = 0``.

Why not hold the bridge at six freedoms and invert K itself: a viaduct of many spans held at its
ends alone is some 10^5 times softer than standing on its piers, and rounding in K then acts as
springs to the ground; at 20 spans five digits of the reactions were gone. Rounding in S, projected
by N, is only a slightly different superstructure in perfect equilibrium.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import scipy.linalg
import scipy.sparse as sp
import scipy.sparse.csgraph
import scipy.sparse.linalg

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics.frame import Bools, Floats, Frame, Ints, cross_matrix

#: Largest relative residual a condensation may show and still be used.
TOLERANCE = 1e-8
#: Right-hand sides solved at a time.
BLOCK = 32


@dataclass(frozen=True)
class SeatPoints:
    """Where bearings touch: `node` (ns,) and `arm` (ns, 3) from the node to the contact point."""

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
    """What a condensation says of itself, all relative: each should be near rounding.

    `symmetry` of S, `rigid_body`: forces of S under rigid-body motions, `solution` of the sparse
    solves.
    """

    symmetry: float
    rigid_body: float
    solution: float


@dataclass(frozen=True)
class Condensed:
    """A superstructure condensed to ns seats and p separate parts (see the module's head).

    `points` (ns, 3) contact points; `part` (ns,) the part each seat belongs to; `centre` (p, 3) and
    `size` (p,) of each part: rotations in `rigid` and moments in resultants are taken about the
    centre and divided by the size, so that all entries are of one order. `modes` (freedoms, c)
    constraint modes of the c freedoms of the seat nodes; `rigid_field` (freedoms, 6 p).

    A seat on a node of bars alone has no rotation: its rotations read zero and cannot be held.
    """

    frame: Frame
    seats: SeatPoints
    points: Floats
    part: Ints
    centre: Floats
    size: Floats
    flexibility: Floats
    rigid: Floats
    modes: Floats
    rigid_field: sp.csr_array
    residuals: Residuals
    _interior: Interior = field(repr=False, compare=False)
    _spread: Floats = field(repr=False, compare=False)  # F seen from seats (6 ns) and nodes (c)
    _node_flexibility: Floats = field(repr=False, compare=False)  # F of the seat nodes (c, c)
    _node_rigid: Floats = field(repr=False, compare=False)  # R of the seat nodes (c, 6 p)

    @property
    def seat_count(self) -> int:
        """Number of seats ns."""
        return len(self.points)

    def load(self, vectors: Floats | sp.csc_array) -> SeatLoad:
        """Condense load vectors (freedoms,) or (freedoms, k), dense or sparse.

        Raises `BedstoneError` for a moment on a node of bars alone, which nothing could carry.
        """
        if not sp.issparse(vectors):
            vectors = np.asarray(vectors, dtype=float)
            vectors = vectors.reshape(len(vectors), -1)
        self._interior.refuse_dead(vectors)
        g = self._spread @ np.asarray(vectors.T @ self.modes).T
        r = self.rigid_field.T @ vectors
        if sp.issparse(r):
            r = r.toarray()
        return SeatLoad(g, np.asarray(r), np.zeros_like(g))

    def seat_forces(self, q: Floats, ground: Floats) -> SeatLoad:
        """Condense pairs of forces at the seats: q (6 ns, k) on the superstructure, -q below.

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
        self._interior.refuse_dead(vectors)
        at_nodes = (
            self._node_flexibility @ (self.modes.T @ vectors) + self._spread.T @ q
        ) + self._node_rigid @ a
        result = self.modes @ at_nodes
        inside = self._interior.freedoms
        if len(inside):
            result[inside] += self._interior.solver.solve(vectors[inside])
        return np.asarray(result)

    def stiffness(self) -> Floats:
        """Stiffness S (6 ns, 6 ns) of the free superstructure at its seats, from `flexibility`.

        S is the inverse of F on the motions that are not rigid-body motions:
        S = N inv(N' F N) N' with N spanning the seat forces in equilibrium (R' N = 0). Exists where
        every seat has a node of its own.
        """
        null = scipy.linalg.null_space(self.rigid.T)
        core = null.T @ self.flexibility @ null
        result = null @ np.linalg.solve((core + core.T) / 2.0, null.T)
        return np.asarray((result + result.T) / 2.0)


@dataclass(frozen=True)
class Interior:
    """The superstructure with its seat nodes clamped: `freedoms` and the solver for them.

    `dead` are the freedoms without stiffness: rotations of nodes of bars alone.
    """

    freedoms: Ints
    dead: Ints
    solver: Any

    def refuse_dead(self, vectors: Floats | sp.csc_array) -> None:
        """Raise `BedstoneError` where a load acts on a freedom without stiffness."""
        if not len(self.dead):
            return
        if isinstance(vectors, np.ndarray):
            size = np.abs(vectors[self.dead]).max(axis=1, initial=0.0)
        else:
            size = np.asarray(abs(vectors.tocsr()[self.dead]).sum(axis=1)).ravel()
        if size.max(initial=0.0) > 0.0:
            node = int(self.dead[np.argmax(size)]) // 6
            raise BedstoneError(f"a moment acts on node {node}, where only bars meet")


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
    active = stiffness.diagonal() > 0.0  # a node of bars alone has no rotation to solve for

    centre = np.zeros((parts, 3))
    size = np.zeros(parts)
    rigid = np.zeros((6 * len(points), 6 * parts))
    rows, columns, values = [], [], []
    for part in range(parts):
        nodes = np.flatnonzero(part_of_node == part)
        own = np.flatnonzero(part_of_node[seats.node] == part)
        low, high = frame.nodes[nodes].min(axis=0), frame.nodes[nodes].max(axis=0)
        centre[part] = (low + high) / 2.0
        size[part] = max(float(np.linalg.norm(high - low)) / 2.0, 1.0)
        own_columns = 6 * part + np.arange(6)
        rigid[np.ix_(_freedoms(own), own_columns)] = rigid_motions(
            points[own], centre[part], size[part]
        )
        row, column = np.meshgrid(_freedoms(nodes), own_columns, indexing="ij")
        rows.append(row.ravel())
        columns.append(column.ravel())
        values.append(rigid_motions(frame.nodes[nodes], centre[part], size[part]).ravel())
    rigid_field = sp.coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(frame.freedoms, 6 * parts),
    ).tocsr()

    clamped = _freedoms(np.unique(seats.node))
    clamped = clamped[active[clamped]]
    inside = active.copy()
    inside[clamped] = False
    interior = Interior(
        freedoms=np.flatnonzero(inside),
        dead=np.flatnonzero(~active),
        solver=_factorise(frame, stiffness, np.flatnonzero(inside)),
    )
    modes, solution = _constraint_modes(stiffness, interior, clamped)
    _check("solution", solution)
    core = np.asarray(stiffness[clamped] @ modes)
    # A freedom that the rest of the structure cannot feel keeps its own scale: noise stays noise.
    own, alone = np.diag(core), stiffness.diagonal()[clamped]
    scale = np.sqrt(np.where(own > 1e-12 * alone, own, alone))
    core /= scale[:, None] * scale[None, :]
    symmetry = _check("symmetry", _relative(core - core.T, core))
    node_rigid = rigid_field[clamped].toarray()
    node_flexibility, rigid_body = _generalised_inverse(
        frame, core, node_rigid * scale[:, None], clamped
    )
    node_flexibility /= scale[:, None] * scale[None, :]
    residuals = Residuals(symmetry=symmetry, rigid_body=rigid_body, solution=solution)

    reach = _reach(frame, seats, clamped, active)
    spread = reach @ node_flexibility
    flexibility = spread @ reach.T
    # a seat on bars alone has no rotation
    rigid[_freedoms(np.arange(len(points)))[~active[_freedoms(seats.node)]]] = 0.0
    return Condensed(
        frame=frame,
        seats=seats,
        points=points,
        part=part_of_node[seats.node],
        centre=centre,
        size=size,
        flexibility=(flexibility + flexibility.T) / 2.0,
        rigid=rigid,
        modes=modes,
        rigid_field=rigid_field,
        residuals=residuals,
        _interior=interior,
        _spread=spread,
        _node_flexibility=node_flexibility,
        _node_rigid=node_rigid,
    )


def _freedoms(nodes: Ints) -> Ints:
    """The six freedoms of each node, in order."""
    return np.asarray((6 * nodes[:, None] + np.arange(6)).ravel())


def _constraint_modes(
    stiffness: sp.csc_array, interior: Interior, clamped: Ints
) -> tuple[Floats, float]:
    """Modes (freedoms, c) of unit displacements of the clamped freedoms; residual of the solves."""
    modes = np.zeros((stiffness.shape[0], len(clamped)))
    modes[clamped, np.arange(len(clamped))] = 1.0
    inside = interior.freedoms
    if not len(inside):
        return modes, 0.0
    held = stiffness[inside]
    reduced, coupling = held[:, inside], held[:, clamped]
    worst = 0.0
    for start in range(0, len(clamped), BLOCK):  # in blocks: the work stays in cache
        block = slice(start, start + BLOCK)
        target = -coupling[:, block].toarray(order="F")
        answer = interior.solver.solve(target)
        lack = target - reduced @ answer
        top = float(np.abs(target).max())
        worst = max(worst, float(np.abs(lack).max()) / top)
        modes[inside, block] = answer
    return modes, worst


def _generalised_inverse(
    frame: Frame, core: Floats, rigid: Floats, clamped: Ints
) -> tuple[Floats, float]:
    """F = N inv(N' S N) N' and the rigid-body residual of S, all in scaled freedoms.

    Through eigenvalues: the rounding of a symmetric eigensolver amounts to one small symmetric
    change of N' S N, the same for all columns, so F stays in equilibrium with itself. Column-wise
    solves do not have that property and lose the digits described in the module's head.
    """
    basis, triangle, _ = scipy.linalg.qr(rigid, pivoting=True)
    count = rigid.shape[1]
    size = np.abs(np.diag(triangle))
    if len(rigid) < count or size[-1] < 1e-9 * size[0]:
        raise UnstableError(
            "the seats' nodes cannot hold the superstructure: too few stiff members"
        )
    null = basis[:, count:]
    motion = basis[:, :count]
    residual = _check("rigid_body", _relative(core @ motion, np.abs(core) @ np.abs(motion)))
    if not null.shape[1]:
        return np.zeros_like(core), residual
    inner = null.T @ core @ null
    values, vectors = scipy.linalg.eigh((inner + inner.T) / 2.0)
    if values[0] < max(1e-13, 10.0 * residual) * values[-1]:
        moving = np.abs(null @ vectors[:, 0])
        raise _mechanism(frame, int(clamped[np.argmax(moving)]))
    shape = null @ (vectors / np.sqrt(values))
    return shape @ shape.T, residual


def _reach(frame: Frame, seats: SeatPoints, clamped: Ints, active: Bools) -> Floats:
    """(6 ns, c) displacements of the contact points under those of the seat nodes."""
    place = np.full(frame.freedoms, -1)
    place[clamped] = np.arange(len(clamped))
    result = np.zeros((6 * len(seats.node), len(clamped)))
    arm = cross_matrix(seats.arm)
    for seat, node in enumerate(seats.node):
        block = np.eye(6)
        block[:3, 3:] = -arm[seat]  # theta x arm
        own = np.arange(6 * node, 6 * node + 6)
        live = active[own]
        if not np.all(live[:3]):
            raise UnstableError("a seat stands on a node that no member holds")
        if np.any(block[:3, ~live]):
            raise UnstableError(
                f"a seat stands off node {node} at {_place(frame.nodes[node])}, where only bars "
                f"meet: nothing carries the moment"
            )
        block[~live] = 0.0
        result[6 * seat : 6 * seat + 6, place[own[live]]] = block[:, live]
    return result


def _factorise(frame: Frame, stiffness: sp.csc_array, kept: Ints) -> Any:
    """Sparse factorisation of the clamped stiffness; names the place of a mechanism."""
    if not len(kept):
        return None
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
    raise _mechanism(frame, dof)


def _mechanism(frame: Frame, freedom: int) -> UnstableError:
    node, direction = divmod(freedom, 6)
    motion = ("move along x", "move along y", "move along z", "turn about x", "turn about y",
              "turn about z")[direction]  # fmt: skip
    return UnstableError(
        f"the superstructure is a mechanism in itself: node {node} at "
        f"{_place(frame.nodes[node])} can {motion} without resistance"
    )


def _place(point: Floats) -> str:
    return "x = {:.3f} m, y = {:.3f} m, z = {:.3f} m".format(*point)


def _check(name: str, value: float) -> float:
    """The residual itself, or `CheckError` when it is too large."""
    if not value < TOLERANCE:
        raise CheckError(f"condensation: residual of {name} is {value:.1e} (limit {TOLERANCE})")
    return value


def _relative(error: Floats, scale: Floats) -> float:
    top = float(np.abs(scale).max(initial=0.0))
    return float(np.abs(error).max(initial=0.0)) / top if top > 0.0 else 0.0
