"""The condensation against dense elimination and direct solves of the whole structure."""

from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse as sp

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics import condense as module
from bedstone.mechanics.condense import SeatPoints, condense, stack
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Supported

ARM = (0.2, -0.1, -1.3)


def condensed_grillage(small, **changes):
    frame, grid = small.grillage(**changes)
    return condense(frame, small.seats(grid[[0, 4, 8]][:, [0, 2]], ARM))


def schur(condensed):
    """Stiffness at the contact points by dense elimination of every other freedom."""
    stiffness = condensed.frame.stiffness.toarray()
    change = np.eye(len(stiffness))
    wanted = []
    for node, (x, y, z) in zip(condensed.seats.node, condensed.seats.arm, strict=True):
        # u_node = u_contact + arm x theta
        change[6 * node : 6 * node + 3, 6 * node + 3 : 6 * node + 6] = [
            [0, -z, y], [z, 0, -x], [-y, x, 0],
        ]  # fmt: skip
        wanted += list(range(6 * node, 6 * node + 6))
    stiffness = change.T @ stiffness @ change
    rest = np.setdiff1d(np.arange(len(stiffness)), wanted)
    inner = np.linalg.solve(stiffness[np.ix_(rest, rest)], stiffness[np.ix_(rest, wanted)])
    return stiffness[np.ix_(wanted, wanted)] - stiffness[np.ix_(wanted, rest)] @ inner


def test_stiffness_is_the_schur_complement(small):
    condensed = condensed_grillage(small)
    expected = schur(condensed)
    found = condensed.stiffness()
    scale = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    assert np.abs((found - expected) / scale).max() < 1e-9


def test_stiffness_is_symmetric_and_has_no_energy_in_rigid_motion(small):
    condensed = condensed_grillage(small)
    stiffness = condensed.stiffness()
    size = np.abs(stiffness).max()
    assert np.abs(stiffness - stiffness.T).max() <= 1e-15 * size
    assert np.abs(stiffness @ condensed.rigid).max() < 1e-12 * size
    assert np.linalg.eigvalsh(stiffness)[0] > -1e-12 * size


def test_flexibility_is_a_generalised_inverse(small):
    condensed = condensed_grillage(small)
    stiffness = schur(condensed)
    again = stiffness @ condensed.flexibility @ stiffness
    scale = np.sqrt(np.outer(np.diag(stiffness), np.diag(stiffness)))
    assert np.abs((again - stiffness) / scale).max() < 1e-9


def test_what_is_chosen_for_the_rigid_motion_does_not_matter(small):
    # F + R B' + B R' and g + R b are equally good descriptions of the same superstructure
    condensed = condensed_grillage(small)
    bearings = small.bearings(["z", "xyz", "z", "yz", "z", "z"])
    ground = small.rigid_ground(6)
    vector = condensed.frame.line_load(
        np.arange(len(condensed.frame.ends)), np.array([1e3, 2e3, -1e4])
    )
    load = condensed.load(vector)
    rng = np.random.default_rng(5)
    b = rng.normal(0.0, np.abs(condensed.flexibility).max(), (36, 6))
    other = replace(
        condensed,
        flexibility=condensed.flexibility + condensed.rigid @ b.T + b @ condensed.rigid.T,
    )
    # the load's own displacement shifts with the resultants it is held by: g + B r + R (any)
    shifted = replace(load, g=load.g + b @ load.r + condensed.rigid @ rng.normal(size=(6, 1)))
    first = Supported(condensed, bearings, ground).effects(load)
    second = Supported(other, bearings, ground).effects(shifted)
    size = np.abs(first.force).max()
    assert np.abs(first.force - second.force).max() < 1e-8 * size
    assert np.abs(first.movement - second.movement).max() < 1e-8 * np.abs(first.movement).max()


def test_load_against_a_direct_solve(small):
    # the whole structure with the bearings' freedoms struck out, solved at once
    frame, grid = small.grillage()
    seats = small.seats(grid[[0, 4, 8]][:, [0, 2]], (0.0, 0.0, 0.0))
    condensed = condense(frame, seats)
    functions = ["z", "xyz", "z", "yz", "z", "z"]
    supported = Supported(condensed, small.bearings(functions), small.rigid_ground(6))
    rng = np.random.default_rng(1)
    vectors = rng.normal(0, 1e4, (frame.freedoms, 3))
    held = [
        6 * node + "xyzabc".index(letter)
        for node, text in zip(seats.node, functions, strict=True)
        for letter in text
    ]
    rest = np.setdiff1d(np.arange(frame.freedoms), held)
    stiffness = frame.stiffness.toarray()
    true = np.zeros_like(vectors)
    true[rest] = np.linalg.solve(stiffness[np.ix_(rest, rest)], vectors[rest])
    effects = supported.effects(condensed.load(vectors))
    moved = condensed.displacements(vectors, effects.seat_force, effects.motion)
    assert np.abs(moved - true).max() < 1e-9 * np.abs(true).max()
    reaction = (stiffness @ true - vectors)[held]
    found = effects.seat_force.reshape(-1, 3)[np.flatnonzero(
        small.bearings(functions).held.ravel())]  # fmt: skip
    assert np.abs(found - reaction).max() < 1e-9 * np.abs(reaction).max()


def test_sparse_and_dense_loads_agree(small):
    condensed = condensed_grillage(small)
    dense = np.zeros((condensed.frame.freedoms, 2))
    dense[[8, 20, 31], [0, 1, 1]] = [1e3, -2e3, 5e2]
    one, other = condensed.load(dense), condensed.load(sp.csc_array(dense))
    assert one.g == pytest.approx(other.g, rel=1e-12)
    assert one.r == pytest.approx(other.r, rel=1e-12)
    single = condensed.load(dense[:, 0])
    assert single.g == pytest.approx(one.column(0).g, rel=1e-12)
    assert stack([one.column(0), one.column(1)]).r == pytest.approx(one.r)
    assert (one + one * 2.0).g == pytest.approx(3.0 * one.g)


def test_resultants_of_a_load(small):
    condensed = condensed_grillage(small)
    node = 10
    force, moment = np.array([1e3, 2e3, -3e3]), np.array([4e3, -5e3, 6e3])
    load = condensed.load(condensed.frame.nodal_load(node, np.concatenate([force, moment])))
    about = moment + np.cross(condensed.frame.nodes[node] - condensed.centre[0], force)
    assert load.r[:3, 0] == pytest.approx(force)
    assert load.r[3:, 0] * condensed.size[0] == pytest.approx(about)


def test_seats_on_every_node(small):
    # nothing is left inside: F comes from the members alone
    frame = small.beam(20.0, 2)
    condensed = condense(frame, small.seats([0, 1, 2], (0, 0, 0)))
    assert condensed.stiffness() == pytest.approx(
        frame.stiffness.toarray(), abs=1e-9 * np.abs(frame.stiffness).max()
    )


def test_two_seats_may_share_a_node(small):
    # twin bearings under one crosshead node: their difference is the node's turn times the distance
    frame = small.beam(20.0, 2)
    seats = SeatPoints(
        np.array([0, 0, 2]), np.array([[0.0, -1.0, -1.0], [0.0, 1.0, -1.0], [0.0, 0.0, -1.0]])
    )
    condensed = condense(frame, seats)
    rise = condensed.load(frame.nodal_load(2, np.array([0, 0, 0, 1e5, 0, 0.0]))).g[:, 0]
    assert rise[8] - rise[2] == pytest.approx(2.0 * rise[3], rel=1e-9)


def test_long_viaduct_keeps_its_digits(small):
    # 30 equal spans of 50 m in steps of 1 m: far from the ends every pier carries w L (theorem of
    # three moments: the end's disturbance dies by 0.268 a support)
    spans, pieces = 30, 50
    frame = small.beam(spans * 50.0, spans * pieces)
    count = spans + 1
    condensed = condense(frame, small.seats(np.arange(count) * pieces, (0, 0, 0)))
    functions = ["xyza", *["yz"] * spans]
    supported = Supported(condensed, small.bearings(functions), small.rigid_ground(count))
    load = condensed.load(frame.line_load(np.arange(spans * pieces), np.array([0.0, 0.0, -1e4])))
    compression = -supported.effects(load).force[:, 2, 0]
    assert compression[15] == pytest.approx(1e4 * 50.0, rel=1e-8)
    assert compression.sum() == pytest.approx(1e4 * 50.0 * spans, rel=1e-10)
    # M_1 = w L^2 / 12 (1 + 2 - sqrt 3) at the first pier, so 0.394338 w L at the end
    end = 0.5 - (3.0 - np.sqrt(3.0)) / 12.0
    assert compression[0] == pytest.approx(end * 1e4 * 50.0, rel=1e-9)
    assert compression == pytest.approx(compression[::-1], rel=1e-10)


def test_residuals_are_reported_near_rounding(small):
    residuals = condensed_grillage(small).residuals
    assert 0.0 <= residuals.symmetry < 1e-12
    assert 0.0 <= residuals.rigid_body < 1e-12
    assert 0.0 <= residuals.solution < 1e-12


class _Spoiled:
    """A solver whose answers are a little wrong."""

    def __init__(self, true):
        self.true = true

    def solve(self, right):
        return self.true.solve(right) * (1.0 + 1e-6)


def test_a_wrong_solution_is_an_error(small, monkeypatch):
    true = module._factorise
    monkeypatch.setattr(module, "_factorise", lambda *given: _Spoiled(true(*given)))
    with pytest.raises(CheckError, match="residual of solution"):
        condensed_grillage(small)


def test_a_stiffness_that_is_tied_to_the_ground_is_an_error(small):
    frame, grid = small.grillage()
    spoiled = replace(frame)
    wrong = frame.stiffness.copy()
    wrong[6 * 13 + 2, 6 * 13 + 2] *= 1.0 + 1e-4
    spoiled.__dict__["stiffness"] = wrong
    with pytest.raises(CheckError, match="residual of rigid_body"):
        condense(spoiled, small.seats(grid[[0, 8]][:, [0, 2]]))


def test_an_unsymmetric_stiffness_is_an_error(small):
    frame, grid = small.grillage()
    spoiled = replace(frame)
    wrong = frame.stiffness.copy()
    seat = int(grid[0, 0])
    wrong[6 * seat + 2, 6 * seat + 4] *= 1.0 + 1e-4
    spoiled.__dict__["stiffness"] = wrong
    with pytest.raises(CheckError, match="residual of symmetry"):
        condense(spoiled, small.seats(grid[[0, 8]][:, [0, 2]]))


def test_a_part_without_a_seat_is_named(small):
    build = FrameBuilder()
    for x in (0.0, 10.0, 30.0, 40.0):
        build.node(x, 0, 0)
    build.member(0, 1, **small.section)
    build.member(2, 3, **small.section)
    with pytest.raises(UnstableError, match=r"not in one piece.*number 2 at x = 30\.000 m"):
        condense(build.frame(), small.seats([0, 1]))


def test_a_hinge_between_the_seats_is_a_mechanism(small):
    # seats at the ends, a hinge inside: the node beside it can turn
    build = FrameBuilder()
    nodes = [build.node(x, 0, 0) for x in (0.0, 5.0, 10.0, 15.0, 20.0)]
    for i, j in ((0, 1), (1, 2), (2, 3), (3, 4)):
        free = {"release_j": "my"} if i == 1 else {}
        build.member(nodes[i], nodes[j], **small.section, **free)
    with pytest.raises(UnstableError, match="mechanism in itself"):
        condense(build.frame(), small.seats([0, 2, 4], (0, 0, 0)))


def test_a_bar_mechanism_inside_is_named(small):
    # two bars in line, no bending: their middle node moves square to them without resistance
    build = FrameBuilder()
    for x in (0.0, 5.0, 10.0):
        build.node(x, 0, 0)
    build.member(0, 2, **small.section)
    bar = small.section | {"Iy": 0.0, "Iz": 0.0, "J": 0.0}
    build.member(0, 1, **bar)
    build.member(1, 2, **bar)
    with pytest.raises(UnstableError, match=r"mechanism|no member holds"):
        condense(build.frame(), small.seats([0, 1, 2], (0, 0, 0)))


def bar_pyramid():
    """Six bars make a tetrahedron: nodes of bars alone, rigid in itself."""
    build = FrameBuilder()
    for point in ((0, 0, 0), (4, 0, 0), (0, 4, 0), (1, 1, 3)):
        build.node(*point)
    bar = {"E": 210e9, "G": 81e9, "A": 0.01, "Iy": 0.0, "Iz": 0.0, "J": 0.0}
    for i in range(4):
        for j in range(i):
            build.member(j, i, **bar)
    return build.frame()


def test_bars_alone_carry_by_statics(small):
    # a tetrahedron of bars on three corners: reactions of an apex load by moments about the sides
    frame = bar_pyramid()
    condensed = condense(frame, small.seats([0, 1, 2], (0, 0, 0)))
    supported = Supported(condensed, small.bearings(["xyz", "yz", "z"]), small.rigid_ground(3))
    load = condensed.load(frame.nodal_load(3, np.array([0, 0, -1e3, 0, 0, 0.0])))
    force = supported.effects(load).force[:, :, 0]
    assert -force[:, 2] == pytest.approx([500.0, 250.0, 250.0], rel=1e-9)


def test_bars_alone_take_no_moment(small):
    frame = bar_pyramid()
    condensed = condense(frame, small.seats([0, 1, 2], (0, 0, 0)))
    moment = frame.nodal_load(3, np.array([0, 0, 0, 1e3, 0, 0.0]))
    for load in (moment, sp.csc_array(moment[:, None])):
        with pytest.raises(BedstoneError, match="moment acts on node 3, where only bars meet"):
            condensed.load(load)
    with pytest.raises(UnstableError, match="where only bars meet"):
        condense(frame, small.seats([0, 1, 2], (0, 0, -0.5)))
    with pytest.raises(UnstableError, match="holds a rotation, but only bars meet"):
        Supported(condensed, small.bearings(["xyzc", "yz", "z"]), small.rigid_ground(3))
