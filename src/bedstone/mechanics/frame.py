"""Space frame: Timoshenko members with rigid offsets and end releases, their stiffness and loads.

Conventions
-----------
A node has six degrees of freedom in global axes: ux, uy, uz, rx, ry, rz (right-handed). Degree of
freedom ``6 * node + k``. A member runs from node i to node j; its ends stand at
``node + offset``. Local x runs from end i to end j, local z is the direction in the plane of x and
`up` nearest to `up`, local y = z cross x. `Iy` bends in the local x-z plane (the vertical one for
up = z), `Iz` in the x-y plane. SI units throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from bedstone.errors import BedstoneError

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

#: Names of the twelve local end forces, for releases.
END_FORCES = ("fx", "fy", "fz", "mx", "my", "mz")


@dataclass(frozen=True)
class Frame:
    """A space frame as arrays: n nodes, m members.

    - `nodes` (n, 3); `ends` (m, 2) node indices
    - `E`, `G`, `A`, `Iy`, `Iz`, `J` (m,)
    - `Ay`, `Az` (m,) shear areas for forces along local y and z; inf: no shear deformation
    - `up` (m, 3) directions; `offset_i`, `offset_j` (m, 3) from node to member end, global axes
    - `releases` (m, 12) True where an end force is released (order END_FORCES at i, then at j)
    """

    nodes: Floats
    ends: Ints
    E: Floats
    G: Floats
    A: Floats
    Iy: Floats
    Iz: Floats
    J: Floats
    Ay: Floats
    Az: Floats
    up: Floats
    offset_i: Floats
    offset_j: Floats
    releases: Bools

    def __post_init__(self) -> None:
        count = len(self.ends)
        for name, width in (
            ("E", 0), ("G", 0), ("A", 0), ("Iy", 0), ("Iz", 0), ("J", 0), ("Ay", 0), ("Az", 0),
            ("up", 3), ("offset_i", 3), ("offset_j", 3), ("releases", 12),
        ):  # fmt: skip
            shape = (count, width) if width else (count,)
            if getattr(self, name).shape != shape:
                raise BedstoneError(f"frame: {name} has shape {getattr(self, name).shape}")
        if count and (self.ends.min() < 0 or self.ends.max() >= len(self.nodes)):
            raise BedstoneError("frame: a member refers to a node that does not exist")
        if np.any(self.length <= 0.0) or not np.all(np.isfinite(self.nodes)):
            bad = int(np.argmin(self.length)) if count else 0
            raise BedstoneError(f"frame: member {bad} has no length")
        for name in ("E", "G", "A", "Iy", "Iz", "J", "Ay", "Az"):
            value = getattr(self, name)
            if not np.all(value >= 0.0):  # NaN fails as well
                raise BedstoneError(f"frame: {name} of member {int(np.argmin(value >= 0.0))} < 0")
        both = self.releases[:, :6] & self.releases[:, 6:]
        if np.any(both[:, [0, 3]]):
            raise BedstoneError("frame: a member is released in torsion or axially at both ends")
        for plane in ([1, 5, 7, 11], [2, 4, 8, 10]):  # shear and moment at i and j
            loose = self.releases[:, plane]
            if np.any(loose.sum(axis=1) > 2) or np.any(loose[:, 0] & loose[:, 2]):
                raise BedstoneError("frame: the releases of a member make it a mechanism")

    @property
    def freedoms(self) -> int:
        """Number of degrees of freedom, six for each node."""
        return 6 * len(self.nodes)

    @cached_property
    def chord(self) -> Floats:
        """(m, 3) vector from end i to end j."""
        start = self.nodes[self.ends[:, 0]] + self.offset_i
        return np.asarray(self.nodes[self.ends[:, 1]] + self.offset_j - start)

    @cached_property
    def length(self) -> Floats:
        """(m,) length between the member's ends."""
        return np.asarray(np.linalg.norm(self.chord, axis=1))

    @cached_property
    def axes(self) -> Floats:
        """(m, 3, 3) local axes as rows."""
        x = self.chord / self.length[:, None]
        y = np.cross(self.up, x)
        size = np.linalg.norm(y, axis=1)
        if np.any(size < 1e-9):
            raise BedstoneError(
                f"frame: member {int(np.argmin(size))} points along its own `up` direction"
            )
        y /= size[:, None]
        return np.stack([x, y, np.cross(x, y)], axis=1)

    @cached_property
    def freedom_map(self) -> Ints:
        """(m, 12) global degrees of freedom of each member."""
        six = np.arange(6)
        return np.concatenate(
            [6 * self.ends[:, :1] + six, 6 * self.ends[:, 1:] + six], axis=1
        ).astype(np.intp)

    @cached_property
    def to_local(self) -> Floats:
        """(m, 12, 12) from global node displacements to local end displacements (offsets in)."""
        count = len(self.ends)
        result = np.zeros((count, 12, 12))
        for end, offset in ((0, self.offset_i), (6, self.offset_j)):
            result[:, end : end + 3, end : end + 3] = self.axes
            result[:, end + 3 : end + 6, end + 3 : end + 6] = self.axes
            # an end at offset r moves by theta x r = -[r]x theta
            result[:, end : end + 3, end + 3 : end + 6] = -self.axes @ cross_matrix(offset)
        return result

    @cached_property
    def _shear_factors(self) -> tuple[Floats, Floats]:
        """Phi of the x-y and of the x-z plane, (m,) each."""
        with np.errstate(divide="ignore", invalid="ignore"):
            phi_y = 12.0 * self.E * self.Iz / (self.G * self.Ay * self.length**2)
            phi_z = 12.0 * self.E * self.Iy / (self.G * self.Az * self.length**2)
        return np.nan_to_num(phi_y), np.nan_to_num(phi_z)

    @cached_property
    def _unreleased(self) -> Floats:
        """(m, 12, 12) local stiffness before releases (Timoshenko, closed form)."""
        count = len(self.ends)
        k = np.zeros((count, 12, 12))
        length = self.length
        axial = self.E * self.A / length
        torsion = self.G * self.J / length
        for value, a in ((axial, 0), (torsion, 3)):
            k[:, a, a] = k[:, a + 6, a + 6] = value
            k[:, a, a + 6] = k[:, a + 6, a] = -value
        phi_y, phi_z = self._shear_factors
        # x-y plane: v, rz; x-z plane: w, ry with ry = -dw/dx
        for inertia, phi, v, r, sign in (
            (self.Iz, phi_y, 1, 5, 1.0),
            (self.Iy, phi_z, 2, 4, -1.0),
        ):
            base = self.E * inertia / (length**3 * (1.0 + phi))
            shear, couple = 12.0 * base, 6.0 * base * length * sign
            near, far = (4.0 + phi) * base * length**2, (2.0 - phi) * base * length**2
            k[:, v, v] = k[:, v + 6, v + 6] = shear
            k[:, v, v + 6] = k[:, v + 6, v] = -shear
            k[:, v, r] = k[:, r, v] = k[:, v, r + 6] = k[:, r + 6, v] = couple
            k[:, v + 6, r] = k[:, r, v + 6] = -couple
            k[:, v + 6, r + 6] = k[:, r + 6, v + 6] = -couple
            k[:, r, r] = k[:, r + 6, r + 6] = near
            k[:, r, r + 6] = k[:, r + 6, r] = far
        return k

    @cached_property
    def _release_map(self) -> Floats:
        """(m, 12, 12) or (0, 0, 0): takes local end loads of a clamped member to released ends.

        f_released = Q f with Q = I - k[:, r] inv(k[r, r]) on the released rows r.
        """
        if not self.releases.any():
            return np.zeros((0, 0, 0))
        k = self._unreleased
        result = np.broadcast_to(np.eye(12), k.shape).copy()
        # a bar has no bending stiffness to release
        released = self.releases & (np.einsum("mii->mi", k) > 0.0)
        patterns, which = np.unique(released, axis=0, return_inverse=True)
        for index, pattern in enumerate(patterns):
            rows = np.flatnonzero(pattern)
            if rows.size == 0:
                continue
            members = np.flatnonzero(which.ravel() == index)
            block = k[np.ix_(members, rows, rows)]
            scale = 1.0 / np.sqrt(np.einsum("mii->mi", block))
            inverse = np.linalg.inv(block * scale[:, :, None] * scale[:, None, :])
            inverse *= scale[:, :, None] * scale[:, None, :]
            column = k[np.ix_(members, np.arange(12), rows)] @ inverse
            result[np.ix_(members, np.arange(12), rows)] -= column
            result[np.ix_(members, rows, np.arange(12))] = 0.0
        return result

    @cached_property
    def local_stiffness(self) -> Floats:
        """(m, 12, 12) local stiffness with releases condensed out."""
        k = self._unreleased
        if not self.releases.any():
            return k
        q = self._release_map
        return np.asarray(q @ k)

    @cached_property
    def stiffness(self) -> sp.csc_array:
        """Global stiffness (freedoms, freedoms), singular by the rigid-body motions."""
        t = self.to_local
        k = np.swapaxes(t, 1, 2) @ self.local_stiffness @ t
        rows = np.repeat(self.freedom_map, 12, axis=1).ravel()
        columns = np.tile(self.freedom_map, (1, 12)).ravel()
        size = self.freedoms
        return sp.coo_array((k.ravel(), (rows, columns)), shape=(size, size)).tocsc()

    # ------------------------------------------------------------------ loads
    def _to_nodes(self, members: Ints, local: Floats) -> Floats:
        """Local end loads (k, 12) of `members` to global node loads (k, 12)."""
        if self.releases.any():
            local = np.einsum("mij,mj->mi", self._release_map[members], local)
        return np.asarray(np.einsum("mji,mj->mi", self.to_local[members], local))

    def scatter(self, members: Ints, node_loads: Floats) -> Floats:
        """Sum global member loads (k, 12) into one load vector (freedoms,)."""
        result = np.zeros(self.freedoms)
        np.add.at(result, self.freedom_map[members], node_loads)
        return result

    def nodal_load(self, node: int, load: Floats) -> Floats:
        """Load vector (freedoms,) of one node load (6,) in global axes."""
        result = np.zeros(self.freedoms)
        result[6 * node : 6 * node + 6] = load
        return result

    def line_load(self, members: Ints, load: Floats) -> Floats:
        """Load vector of loads (k, 3) N/m in global axes, even along each member's own length."""
        members = np.asarray(members, dtype=np.intp)
        w = np.einsum("mij,mj->mi", self.axes[members], np.broadcast_to(load, (len(members), 3)))
        length = self.length[members]
        local = np.zeros((len(members), 12))
        for end, sign in ((0, 1.0), (6, -1.0)):
            local[:, end : end + 3] = w * length[:, None] / 2.0
            local[:, end + 5] = sign * w[:, 1] * length**2 / 12.0
            local[:, end + 4] = -sign * w[:, 2] * length**2 / 12.0
        return self.scatter(members, self._to_nodes(members, local))

    def strain_load(
        self, strain: Floats, curvature_y: Floats | None = None, curvature_z: Floats | None = None
    ) -> Floats:
        """Load vector of free strains: eps(y, z) = strain + z curvature_y - y curvature_z.

        Each (m,). In equilibrium with itself. Displacements from it are the true ones; member
        forces need the free strain taken off (not done here).
        """
        local = np.zeros((len(self.ends), 12))
        for dof, value in (
            (0, self.E * self.A * strain),
            (4, None if curvature_y is None else self.E * self.Iy * curvature_y),
            (5, None if curvature_z is None else self.E * self.Iz * curvature_z),
        ):
            if value is not None:
                local[:, dof] -= value
                local[:, dof + 6] += value
        members = np.arange(len(self.ends), dtype=np.intp)
        return self.scatter(members, self._to_nodes(members, local))

    def point_loads(
        self, members: Ints, fraction: Floats, force: Floats, moment: Floats
    ) -> sp.csc_array:
        """Sparse (freedoms, k) load vectors of k point loads on members.

        `fraction` (k,) from end i (0) to end j (1); `force`, `moment` (k, 3) in global axes, at the
        member's axis. Exact for Timoshenko members (clamped-end forces).
        """
        members = np.asarray(members, dtype=np.intp)
        count = len(members)
        axes = self.axes[members]
        f = np.einsum("mij,mj->mi", axes, np.broadcast_to(force, (count, 3)))
        c = np.einsum("mij,mj->mi", axes, np.broadcast_to(moment, (count, 3)))
        s = np.asarray(fraction, dtype=float)
        length = self.length[members]
        local = np.zeros((count, 12))
        for dof, value in ((0, f[:, 0]), (3, c[:, 0])):
            local[:, dof] = value * (1.0 - s)
            local[:, dof + 6] = value * s
        phi_y, phi_z = (phi[members] for phi in self._shear_factors)
        for phi, v, r, sign in ((phi_y, 1, 5, 1.0), (phi_z, 2, 4, -1.0)):
            shift, turn = hermite(s, length, phi)
            load, couple = f[:, v, None], sign * c[:, r - 3, None]
            local[:, [v, r, v + 6, r + 6]] += (load * shift + couple * turn) * np.array(
                [1.0, sign, 1.0, sign]
            )
        values = self._to_nodes(members, local)
        rows = self.freedom_map[members].ravel()
        columns = np.repeat(np.arange(count), 12)
        return sp.coo_array((values.ravel(), (rows, columns)), shape=(self.freedoms, count)).tocsc()


def hermite(s: Floats, length: Floats, phi: Floats) -> tuple[Floats, Floats]:
    """Shape functions of a Timoshenko beam at fraction s: deflection (k, 4) and slope (k, 4).

    Columns: end deflection i, end slope i, end deflection j, end slope j.
    """
    one = 1.0 / (1.0 + phi)
    bend = s - s**2
    shift = np.stack(
        [
            one * (1.0 - 3.0 * s**2 + 2.0 * s**3 + phi * (1.0 - s)),
            one * length * (s - 2.0 * s**2 + s**3 + 0.5 * phi * bend),
            one * (3.0 * s**2 - 2.0 * s**3 + phi * s),
            one * length * (-(s**2) + s**3 - 0.5 * phi * bend),
        ],
        axis=-1,
    )
    turn = np.stack(
        [
            -6.0 * one * bend / length,
            one * (1.0 - 4.0 * s + 3.0 * s**2 + phi * (1.0 - s)),
            6.0 * one * bend / length,
            one * (-2.0 * s + 3.0 * s**2 + phi * s),
        ],
        axis=-1,
    )
    return shift, turn


def cross_matrix(vectors: Floats) -> Floats:
    """(k, 3, 3) matrices [r]x with [r]x v = r cross v."""
    result = np.zeros((len(vectors), 3, 3))
    x, y, z = vectors.T
    result[:, 0, 1], result[:, 0, 2] = -z, y
    result[:, 1, 0], result[:, 1, 2] = z, -x
    result[:, 2, 0], result[:, 2, 1] = -y, x
    return result


class FrameBuilder:
    """Collects nodes and members one by one and gives the `Frame`."""

    def __init__(self) -> None:
        self._nodes: list[tuple[float, float, float]] = []
        self._ends: list[tuple[int, int]] = []
        self._numbers: list[tuple[float, ...]] = []
        self._vectors: list[tuple[tuple[float, ...], ...]] = []
        self._releases: list[tuple[bool, ...]] = []

    def node(self, x: float, y: float, z: float) -> int:
        """Add a node; returns its index."""
        self._nodes.append((float(x), float(y), float(z)))
        return len(self._nodes) - 1

    def position(self, node: int) -> tuple[float, float, float]:
        """Where a node stands."""
        return self._nodes[node]

    def member(
        self,
        i: int,
        j: int,
        *,
        E: float,
        G: float,
        A: float,
        Iy: float,
        Iz: float,
        J: float,
        Ay: float = np.inf,
        Az: float = np.inf,
        up: tuple[float, float, float] = (0.0, 0.0, 1.0),
        offset_i: tuple[float, float, float] = (0.0, 0.0, 0.0),
        offset_j: tuple[float, float, float] = (0.0, 0.0, 0.0),
        release_i: str = "",
        release_j: str = "",
    ) -> int:
        """Add a member; returns its index. `release_i`: names of END_FORCES, e.g. "my mz"."""
        self._ends.append((i, j))
        self._numbers.append((E, G, A, Iy, Iz, J, Ay, Az))
        self._vectors.append((up, offset_i, offset_j))
        released: list[bool] = []
        for text in (release_i, release_j):
            names = text.split()
            unknown = set(names) - set(END_FORCES)
            if unknown:
                raise BedstoneError(f"unknown end force {min(unknown)!r} to release")
            released += [name in names for name in END_FORCES]
        self._releases.append(tuple(released))
        return len(self._ends) - 1

    def frame(self) -> Frame:
        """The frame collected so far."""
        numbers = np.array(self._numbers, dtype=float).reshape(-1, 8).T
        vectors = np.array(self._vectors, dtype=float).reshape(-1, 3, 3)
        e, g, a, iy, iz, j, ay, az = numbers
        return Frame(
            nodes=np.array(self._nodes, dtype=float).reshape(-1, 3),
            ends=np.array(self._ends, dtype=np.intp).reshape(-1, 2),
            E=e, G=g, A=a, Iy=iy, Iz=iz, J=j, Ay=ay, Az=az,
            up=vectors[:, 0], offset_i=vectors[:, 1], offset_j=vectors[:, 2],
            releases=np.array(self._releases, dtype=bool).reshape(-1, 12),
        )  # fmt: skip
