"""Source: PyNiteFEA (MIT), an independent open-source space-frame engine.

Ten bridges of a made-up stock, of ten kinds: girders of one span, simple and continuous spans,
skew, curved, on elastomeric bearings, trusses, a track, a frame of tables. Every one stands on its
own bearings and piers, in all its states of construction, under its own weight, 1 K, forces along
and across, and each of its settlements; then the permanent compression of every seat as the store
of the stock keeps it, stage by stage.

Independent: member stiffness, releases, loads along members and assembly are PyNite's; piers are
PyNite's members; end offsets, eccentric contact points, the caps of piers, bearings in their own
directions, springs, settlements, free strains and the supports during erection are put in here, by
constraints, and the whole is solved at once by sparse elimination: nothing is condensed. PyNite
has no shear deformation: each member is two of its members, which slip against each other where
they meet by V L / (G A); that gives the ends of a Timoshenko member exactly what they ask.

Not independent: the model itself (nodes, sections, shear areas, offsets, weights of the members,
the free strains of shrinkage), how loads of the deck come onto members, and the directions of the
bearings in plan. Those are held by other tests.
"""

import numpy as np
import pytest
import scipy.sparse as sp
import scipy.sparse.linalg as spl
from Pynite import FEModel3D
from Pynite.Analysis import _prepare_model

from bedstone.bridge.schema import Column, GivenSprings
from bedstone.stock.members import task_of
from bedstone.stock.tables import TABLES
from bedstone.stock.task import Options, work_out

from .stock_bridges import WANTED, Stood, in_plan

SOURCE = "PyNiteFEA, an independent open-source space-frame engine"
KNOWN = "another program"
#: Digits that a solution loses at most beside those that its conditioning loses.
LOST = 100.0


def cross(arm):
    x, y, z = arm
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def rigid(arm):
    """(6, 6) movement of a point at `arm` from one that moves as a rigid body."""
    block = np.eye(6)
    block[:3, 3:] = -cross(arm)
    return block


def pynite_member(start, stop, section, upright, releases=(), weight=0.0):
    """(12, 12) stiffness and (12,) loads of a member by PyNite, global axes.

    Its local y is `upright`; section: E, G, A, I in the plane of it, I flat, J. A model of its own
    for each, since PyNite cuts members where nodes of others lie on them.
    """
    e, g, area, upright_bending, flat_bending, torsion = map(float, section)
    model = FEModel3D()
    model.add_node("i", *map(float, start))
    model.add_node("j", *map(float, stop))
    model.add_material("m", e, g, 0.3, 0.0)
    model.add_section("s", area, flat_bending, upright_bending, torsion)
    model.add_member("e", "i", "j", "m", "s")
    made = model.members["e"]
    plain = made.T()[:3, :3]
    made.rotation = float(np.degrees(np.arctan2(upright @ plain[2], upright @ plain[1])))
    assert made.T()[1, :3] == pytest.approx(upright, abs=1e-9)
    if any(releases):
        model.def_releases("e", *map(bool, releases))
    if weight:
        model.add_member_dist_load("e", "FZ", -weight, -weight, case="C")
    model.add_load_combo("C", {"C": 1.0})
    _prepare_model(model)  # numbers the nodes; nothing is solved
    return np.asarray(model.Ke("C", False, False, False)), -np.asarray(model.FER("C")).ravel()


class Assembly:
    """Stiffness and loads of what follows the unknowns by constraints."""

    def __init__(self):
        self.size = 0
        self.parts = []
        self.load = {}

    def unknown(self, size=6):
        """The first of some new unknowns."""
        self.size += size
        return self.size - size

    def add(self, matrix, follows, load=None):
        """A stiffness whose freedoms move with unknowns: [(first freedom, first unknown, block)]"""
        columns = np.concatenate([at + np.arange(block.shape[1]) for _, at, block in follows])
        follow = np.zeros((len(matrix), len(columns)))
        done = 0
        for freedom, _, block in follows:
            height, width = block.shape
            follow[freedom : freedom + height, done : done + width] = block
            done += width
        self.parts.append((columns, follow.T @ matrix @ follow))
        if load is not None:
            self.load[len(self.parts) - 1] = follow.T @ load

    def matrices(self):
        """Stiffness (size, size) and loads (size,)."""
        rows = np.concatenate([np.repeat(at, len(at)) for at, _ in self.parts])
        columns = np.concatenate([np.tile(at, len(at)) for at, _ in self.parts])
        values = np.concatenate([matrix.ravel() for _, matrix in self.parts])
        load = np.zeros(self.size)
        for number, part in self.load.items():
            np.add.at(load, self.parts[number][0], part)
        return sp.coo_array((values, (rows, columns)), shape=(self.size,) * 2).tocsr(), load


class Bridge:
    """A state of a bridge of the stock in PyNite, on its piers.

    `lower`: on piers of the lower bound of their stiffness.
    """

    def __init__(self, stood, state, weight=None, lower=False):
        self.lower = lower
        self.stood, self.frame, self.seats = stood, stood.frame(state), stood.seats(state)
        self.made = Assembly()
        for _ in self.frame.nodes:
            self.made.unknown()
        self.fixed = []  # (first unknown, row (6,)) of feet that do not give way
        for number in range(len(self.frame.ends)):
            self._member(number, 0.0 if weight is None else weight[number])
        self.caps = {support.mark: self._pier(support) for support in stood.supports}
        self.stiffness, self.own = self.made.matrices()

    def _member(self, number, weight):
        frame, made = self.frame, self.made
        i, j = map(int, frame.ends[number])
        first, last = frame.offset_i[number], frame.offset_j[number]
        start, stop = frame.nodes[i] + first, frame.nodes[j] + last
        x = (stop - start) / np.linalg.norm(stop - start)
        y = np.cross(frame.up[number], x)
        y /= np.linalg.norm(y)
        z = np.cross(x, y)
        length = np.linalg.norm(stop - start)
        values = [getattr(frame, name)[number] for name in ("E", "G", "A", "Iy", "Iz", "J")]
        near, far = frame.releases[number].reshape(2, 2, 3)[:, :, [0, 2, 1]]  # its y is our z
        middle = made.unknown()
        slips = []
        for way, area in ((y, frame.Ay[number]), (z, frame.Az[number])):
            if np.isfinite(area):
                slip = made.unknown(1)
                made.add(np.array([[frame.G[number] * area / length]]), [(0, slip, np.eye(1))])
                slips.append((0, slip, np.concatenate([way, np.zeros(3)])[:, None]))
        if values[-1] == 0.0:  # the middle turns about the member as it likes: nothing asks
            made.add(values[0] * values[3] / length * np.outer(x, x), [(0, middle + 3, np.eye(3))])
        half = (start + stop) / 2.0
        none = np.zeros((2, 3), dtype=bool)
        for a, b, ends, follows in (
            (start, half, (near, none), [(0, 6 * i, rigid(first)), (6, middle, np.eye(6))]),
            (half, stop, (none, far), [(0, middle, np.eye(6)), *slips, (6, 6 * j, rigid(last))]),
        ):
            matrix, load = pynite_member(a, b, values, z, np.ravel(ends), weight)
            made.add(matrix, follows, load)

    def _pier(self, support):
        """First unknown of the rigid cap below the bearings of a support; None on rigid ground."""
        below, place = support.below, self.stood.footings[support.mark]
        factor = support.bounds.lower if self.lower else 1.0
        if isinstance(below, GivenSprings):
            cap = self.made.unknown()
            turn = np.kron(np.eye(2), in_plan(place.angle))
            values = np.diag(_springs(below.springs)) if below.matrix is None else below.matrix
            assert np.isfinite(values).all()
            self.made.add(factor * turn.T @ np.asarray(values) @ turn, [(0, cap, np.eye(6))])
            return cap
        if not isinstance(below, Column):
            return None
        along, left, _ = in_plan(place.line_angle)
        cap, foot = self.made.unknown(), self.made.unknown()
        deep = below.cap + below.height
        shear = below.E / (2.0 * (1.0 + below.poisson))
        area, second = np.pi * below.diameter**2 / 4.0, np.pi * below.diameter**4 / 64.0
        for number in range(below.count):
            beside = (number - (below.count - 1) / 2.0) * (below.spacing or 0.0) * left
            arms = beside, beside - [0.0, 0.0, below.cap]
            base = place.point - [0.0, 0.0, deep]
            section = (factor * below.E, factor * shear, area, second, second, 2.0 * second)
            column, _ = pynite_member(base + arms[0], place.point + arms[1], section, along)
            self.made.add(column, [(0, foot, rigid(arms[0])), (6, cap, rigid(arms[1]))])
        springs = _springs(below.foundation)
        turn = np.kron(np.eye(2), in_plan(place.line_angle))
        held = np.where(np.isfinite(springs), springs, 0.0)
        self.made.add(factor * turn.T @ np.diag(held) @ turn, [(0, foot, np.eye(6))])
        self.fixed += [(foot, row) for row in turn[~np.isfinite(springs)]]
        return cap

    def solve(self, case):
        """Forces on the bearings, movements (m) and rotations, bearing axes, each with its bound.

        (ns, 6), (ns, 3) and (ns, 3).
        """
        bearings = self.stood.erection() if case.erected else self.stood.bearings
        nodes, size = 6 * len(self.frame.nodes), self.made.size
        load = np.zeros(size)
        if case.weight is not None:
            load += self.own
        if case.vector is not None:
            load[:nodes] += case.vector
        if case.strain is not None:
            load[:nodes] += self._free_strains(case)
        moves, sinks = np.zeros((len(bearings), 6, size)), np.zeros((len(bearings), 6))
        for seat, place in enumerate(self.stood.structure.seats):
            node = 6 * int(self.seats.node[seat])
            moves[seat, :, node : node + 6] = rigid(self.seats.arm[seat])
            cap = self.caps[place.support]
            if cap is not None:
                arm = np.asarray(place.point) - self.stood.footings[place.support].point
                moves[seat, :, cap : cap + 6] -= rigid(arm)
            if place.support == case.down[0]:
                sinks[seat, 2] = -case.down[1]
            axes = np.kron(np.eye(2), bearings[seat][0])
            moves[seat], sinks[seat] = axes @ moves[seat], axes @ sinks[seat]
        held = np.array([held for _, held, _ in bearings])
        compliance = np.array([given for _, _, given in bearings])[held]
        feet = np.zeros((len(self.fixed), size))
        for at, (first, row) in enumerate(self.fixed):
            feet[at, first : first + 6] = row
        border = sp.csr_array(np.concatenate([moves[held], feet]))
        springs = sp.diags_array(-np.concatenate([compliance, np.zeros(len(feet))]))
        matrix = sp.block_array([[self.stiffness, border.T], [border, springs]]).tocsc()
        right = np.concatenate([load, sinks[held], np.zeros(len(feet))])
        pick = sp.eye_array(len(right)).tocsr()[size : size + held.sum()]
        spread = sp.eye_array(size, len(right)).tocsr()
        ways = [sp.csr_array(moves[:, way].reshape(-1, size)) @ spread
                for way in (slice(3), slice(3, 6))]  # fmt: skip
        answer, bounds = solved(matrix, right, [pick, *ways])
        force = np.zeros(held.shape)
        force[held] = pick @ answer
        movement, turn = ((way @ answer).reshape(-1, 3) for way in ways)
        return zip((force, movement - sinks[:, :3], turn), bounds, strict=True)

    def _free_strains(self, case):
        """Pairs of forces and moments at the ends of the members: E A eps and E I kappa."""
        frame = self.frame
        load = np.zeros((len(frame.nodes), 6))
        curvature = np.zeros(len(frame.ends)) if case.curvature is None else case.curvature
        for m, (i, j) in enumerate(frame.ends):
            first, last = frame.offset_i[m], frame.offset_j[m]
            x = frame.nodes[j] + last - frame.nodes[i] - first
            x = x / np.linalg.norm(x)
            flat = np.cross(frame.up[m], x)
            flat /= np.linalg.norm(flat)
            # one that can slide at an end asks for nothing, one that can turn neither
            slides = frame.releases[m, [0, 6]].any()
            push = 0.0 * x if slides else frame.E[m] * frame.A[m] * case.strain[m] * x
            assert curvature[m] == 0.0 or not frame.releases[m].any()
            bend = frame.E[m] * frame.Iy[m] * curvature[m] * flat
            load[i] -= np.concatenate([push, bend + np.cross(first, push)])
            load[j] += np.concatenate([push, bend + np.cross(last, push)])
        return load.ravel()


def solved(matrix, right, wanted):
    """The solution, and for each of `wanted` (k, size) by how much its rows may be off when every
    number is off by its last digit: the largest of |W A^-1| (|A| |x| + |b|) + |W| |x| times the
    rounding (Higham, "Accuracy and stability of numerical algorithms", componentwise bound; from
    memory).
    """
    size = 1.0 / np.sqrt(abs(matrix).max(axis=0).toarray().ravel())
    even = (sp.diags_array(size) @ matrix @ sp.diags_array(size)).tocsc()
    factors = spl.splu(even)
    told = right * size
    answer = factors.solve(told)
    answer += factors.solve(told - even @ answer)
    spread = abs(even) @ np.abs(answer) + np.abs(told)
    bounds = []
    for rows in wanted:
        own = rows @ sp.diags_array(size)
        # all columns of the transpose: few rows are wanted
        reach = np.abs(factors.solve(own.T.toarray(), "T")).T @ spread
        bounds.append(float((reach + abs(own) @ np.abs(answer)).max()) * np.finfo(float).eps)
    return answer * size, bounds


def _springs(given):
    names = ("kx", "ky", "kz", "krx", "kry", "krz")
    return np.array([np.inf if getattr(given, n) is None else getattr(given, n) for n in names])


OF = "ten bridges of a made-up stock: "
TEN = pytest.mark.parametrize("name", WANTED, ids=lambda name: name.replace(" ", "-"))


@TEN
def test_reactions_and_movements_at_every_seat(name, tmp_path, agreement):
    stood = Stood(name, tmp_path)
    cases = stood.cases()
    weighed, sizes = cases[0], None
    made = {weighed.state: Bridge(stood, weighed.state, weighed.weight)}
    for case in cases:
        if case.state not in made:
            made[case.state] = Bridge(stood, case.state)
        theirs = list(made[case.state].solve(case))
        force, movement = stood.ours(case)
        # of the weight: a case may leave all rotations nothing, and rounding has no size
        sizes = sizes or [np.abs(value).max() for value, _ in theirs]
        for what, found, (value, bound), size in zip(
            ("forces on bearings", "movements at bearings", "rotations at bearings"),
            (force, movement[:, :3], movement[:, 3:]),
            theirs,
            sizes,
            strict=True,
        ):
            agreement(f"{OF}{what}, {case.name}", found, value, bound / size, size)


@TEN
def test_permanent_compression_of_every_seat_in_the_store(name, tmp_path, agreement):
    """Stage by stage: on the erection supports until the bearings are set, then on them.

    Where a file bounds the stiffness below, the store keeps what is found with the lower one.
    """
    stood = Stood(name, tmp_path)
    task = task_of(tmp_path, str(stood.file.relative_to(tmp_path)), Options(parts=("schedule",)))
    rows = work_out(task).rows["seats"]
    columns = list(TABLES["seats"].columns)
    seat, column = columns.index("seat"), columns.index("N_permanent_N")
    kept = {cells[seat]: cells[column] for cells in rows}
    made, total, within = {}, np.zeros(len(stood.structure.seats)), 0.0
    for case in stood.permanent():
        if case.state not in made:
            made[case.state] = Bridge(stood, case.state, lower=True)
        (force, bound), *_ = made[case.state].solve(case)
        total, within = total - force[:, 2], within + bound
    marks = [place.mark for place in stood.structure.seats]
    found = np.array([kept[mark] for mark in marks])
    size = np.abs(total).max()
    agreement(f"{OF}permanent compression in the store", found, total, within / size, size)
