"""Members against closed forms (beam theory; Przemieniecki, Theory of Matrix Structural Analysis,
1968, for the Timoshenko stiffness, from memory)."""

import numpy as np
import pytest

from bedstone.errors import BedstoneError
from bedstone.mechanics.frame import FrameBuilder, cross_matrix, hermite

E, G, A, IY, IZ, J = 210e9, 81e9, 0.06, 0.03, 0.008, 0.002


def clamped_end_displacement(frame, load, clamp=0):
    """Displacements with node `clamp` built in, dense."""
    stiffness = frame.stiffness.toarray()
    rest = np.setdiff1d(np.arange(frame.freedoms), 6 * clamp + np.arange(6))
    moved = np.zeros(frame.freedoms)
    moved[rest] = np.linalg.solve(stiffness[np.ix_(rest, rest)], load[rest])
    return moved.reshape(-1, 6)


def tip_load(frame, *values):
    return frame.nodal_load(len(frame.nodes) - 1, np.array(values, dtype=float))


@pytest.mark.parametrize("pieces", [1, 3])
@pytest.mark.parametrize("shear", [np.inf, 0.02], ids=["bending", "bending-shear"])
def test_cantilever_tip(small, pieces, shear):
    # P L^3 / 3 E I + P L / G A_s, rotation P L^2 / 2 E I
    length, force = 8.0, 1e4
    frame = small.beam(length, pieces, Az=shear, Ay=shear)
    moved = clamped_end_displacement(frame, tip_load(frame, 0, force, force, 0, 0, 0))
    slip = 0.0 if np.isinf(shear) else force * length / (G * shear)
    assert moved[-1, 2] == pytest.approx(force * length**3 / (3 * E * IY) + slip, rel=1e-10)
    assert moved[-1, 1] == pytest.approx(force * length**3 / (3 * E * IZ) + slip, rel=1e-10)
    assert moved[-1, 4] == pytest.approx(-force * length**2 / (2 * E * IY), rel=1e-10)
    assert moved[-1, 5] == pytest.approx(+force * length**2 / (2 * E * IZ), rel=1e-10)


def test_axial_and_torsion(small):
    frame = small.beam(8.0, 2)
    moved = clamped_end_displacement(frame, tip_load(frame, 1e6, 0, 0, 1e5, 0, 0))
    assert moved[-1, 0] == pytest.approx(1e6 * 8.0 / (E * A), rel=1e-10)
    assert moved[-1, 3] == pytest.approx(1e5 * 8.0 / (G * J), rel=1e-10)


def test_timoshenko_stiffness_terms(small):
    # 12 EI / L^3 (1 + phi), (4 + phi) EI / L (1 + phi), (2 - phi) EI / L (1 + phi)
    length, shear = 3.0, 0.01
    frame = small.beam(length, 1, Az=shear)
    phi = 12 * E * IY / (G * shear * length**2)
    k = frame.local_stiffness[0]
    assert k[2, 2] == pytest.approx(12 * E * IY / (length**3 * (1 + phi)))
    assert k[4, 4] == pytest.approx((4 + phi) * E * IY / (length * (1 + phi)))
    assert k[4, 10] == pytest.approx((2 - phi) * E * IY / (length * (1 + phi)))
    assert k[2, 4] == pytest.approx(-6 * E * IY / (length**2 * (1 + phi)))
    assert k[5, 5] == pytest.approx(4 * E * IZ / length)


@pytest.mark.parametrize("axis", [(1, 0, 0), (0, 1, 0), (1, 2, 0.5), (-1, 0.3, 0), (2, -1, 3)])
def test_stiffness_is_symmetric_and_lets_rigid_motions_pass(small, axis):
    build = FrameBuilder()
    start, end = build.node(1, 2, 3), build.node(*(np.array([1, 2, 3]) + 4 * np.array(axis)))
    build.member(
        start, end, **small.section, Az=0.02, offset_i=(0.1, 0.2, -0.5), offset_j=(0.0, 0.3, 0.4),
        release_j="my",
    )  # fmt: skip
    frame = build.frame()
    stiffness = frame.stiffness.toarray()
    size = np.abs(stiffness).max()
    assert np.abs(stiffness - stiffness.T).max() < 1e-14 * size
    motion = np.zeros((2, 6, 6))
    motion[:, :3, :3] = motion[:, 3:, 3:] = np.eye(3)
    motion[:, :3, 3:] = -cross_matrix(frame.nodes)
    assert np.abs(stiffness @ motion.reshape(12, 6)).max() < 1e-13 * size * 20
    assert np.linalg.matrix_rank(stiffness, tol=1e-9 * size, hermitian=True) <= 6


def test_up_turns_the_section(small):
    # up = y: Iy bends in the horizontal plane
    frame = small.beam(8.0, 1, up=(0.0, 1.0, 0.0))
    moved = clamped_end_displacement(frame, tip_load(frame, 0, 1e4, 0, 0, 0, 0))
    assert moved[-1, 1] == pytest.approx(1e4 * 8.0**3 / (3 * E * IY), rel=1e-10)


def test_inclined_member_bends_about_its_own_axes(small):
    # slope 3:4, load square to the member in the vertical plane
    frame = small.beam(10.0, 2, axis=(0.8, 0.0, 0.6))
    moved = clamped_end_displacement(frame, tip_load(frame, -600, 0, 800, 0, 0, 0))
    square = moved[-1, :3] @ np.array([-0.6, 0.0, 0.8])
    assert square == pytest.approx(1e3 * 10.0**3 / (3 * E * IY), rel=1e-10)


def test_offsets_are_rigid_arms(small):
    # a cantilever from (0,0,1) to (6,0,1) on nodes at z = 0: a vertical tip load bends it as one
    # without offsets; the node's horizontal movement is the rotation times the arm
    build = FrameBuilder()
    build.member(
        build.node(0, 0, 0), build.node(6, 0, 0), **small.section,
        offset_i=(0, 0, 1.0), offset_j=(0, 0, 1.0),
    )  # fmt: skip
    frame = build.frame()
    moved = clamped_end_displacement(frame, tip_load(frame, 0, 0, 1e4, 0, 0, 0))
    turn = -1e4 * 36.0 / (2 * E * IY)
    assert moved[1, 2] == pytest.approx(1e4 * 216.0 / (3 * E * IY), rel=1e-10)
    assert moved[1, 4] == pytest.approx(turn, rel=1e-10)
    assert moved[1, 0] == pytest.approx(-turn * 1.0, rel=1e-10)  # z = 0 is below the axis


def test_released_end_is_a_hinge(small):
    # clamped - hinged member carries 3 E I / L^3 across, no moment at the hinge
    build = FrameBuilder()
    i, j = build.node(0, 0, 0), build.node(5, 0, 0)
    build.member(i, j, **small.section, release_j="my mz")
    k = build.frame().local_stiffness[0]
    assert k[8, 8] == pytest.approx(3 * E * IY / 125.0)
    assert k[7, 7] == pytest.approx(3 * E * IZ / 125.0)
    assert k[4, 4] == pytest.approx(3 * E * IY / 5.0)
    assert np.abs(k[[10, 11]]).max() == 0.0


def test_propped_member_under_line_load_passes_5_8_to_the_clamped_end(small):
    # w L on a member clamped at i, hinged at j: 5/8 and 3/8; clamped moment w L^2 / 8
    build = FrameBuilder()
    i, j = build.node(0, 0, 0), build.node(5, 0, 0)
    build.member(i, j, **small.section, release_j="my")
    load = build.frame().line_load([0], np.array([0, 0, -1e3])).reshape(2, 6)
    assert load[:, 2] == pytest.approx([-5 / 8 * 5e3, -3 / 8 * 5e3])
    assert load[0, 4] == pytest.approx(+1e3 * 25 / 8)
    assert load[1, 4] == 0.0


@pytest.mark.parametrize("shear", [np.inf, 0.004], ids=["bending", "bending-shear"])
@pytest.mark.parametrize("fraction", [0.0, 0.2, 0.5, 0.9, 1.0])
def test_point_load_equals_a_node_put_there(small, shear, fraction):
    # the true structure with a node under the load is the outside reference
    length, force, moment = 9.0, np.array([3e3, -5e3, 7e3]), np.array([2e3, 4e3, -6e3])
    frame = small.beam(length, 1, Az=shear, Ay=2 * shear)
    load = frame.point_loads([0], [fraction], force, moment).toarray()[:, 0]
    moved = clamped_end_displacement(frame, load)
    if fraction in (0.0, 1.0):
        direct = frame.nodal_load(int(fraction), np.concatenate([force, moment]))
        assert load == pytest.approx(direct, abs=1e-9)
        return
    build = FrameBuilder()
    nodes = [build.node(x, 0, 0) for x in (0, fraction * length, length)]
    for i, j in ((0, 1), (1, 2)):
        build.member(nodes[i], nodes[j], **small.section, Az=shear, Ay=2 * shear)
    split = build.frame()
    true = clamped_end_displacement(split, split.nodal_load(1, np.concatenate([force, moment])))
    assert moved[1] == pytest.approx(true[2], rel=1e-9)


def test_point_load_on_offset_and_released_member_is_in_equilibrium(small):
    build = FrameBuilder()
    build.node(0, 0, 0), build.node(7, 1, 0.5)
    build.member(
        0, 1, **small.section, offset_i=(0.3, 0.1, 0.5), offset_j=(-0.2, 0, 0.4), release_i="my"
    )
    frame = build.frame()
    force, moment, s = np.array([1e3, -2e3, 3e3]), np.array([50.0, 60.0, -70.0]), 0.37
    load = frame.point_loads([0], [s], force, moment).toarray()[:, 0].reshape(2, 6)
    start = frame.nodes[0] + frame.offset_i[0]
    place = start + s * frame.chord[0]
    assert load[:, :3].sum(axis=0) == pytest.approx(force)
    about_origin = load[:, 3:].sum(axis=0) + np.cross(frame.nodes, load[:, :3]).sum(axis=0)
    assert about_origin == pytest.approx(moment + np.cross(place, force))


def test_line_load_of_a_clamped_member(small):
    # w L / 2 and w L^2 / 12
    frame = small.beam(6.0, 1)
    load = frame.line_load([0], np.array([0, 0, -2e3])).reshape(2, 6)
    assert load[:, 2] == pytest.approx([-6e3, -6e3])
    assert load[:, 4] == pytest.approx([+6e3, -6e3])
    sideways = frame.line_load([0], np.array([0, 2e3, 0])).reshape(2, 6)
    assert sideways[:, 5] == pytest.approx([6e3, -6e3])


def test_strain_lengthens_and_curvature_bends(small):
    # cantilever: alpha dT L; curvature kappa: eps = z kappa on top longer, the tip bends down by
    # kappa L^2 / 2, and sideways the same with curvature_z: eps = -y kappa_z bends towards +y
    frame = small.beam(10.0, 4)
    ones = np.ones(4)
    moved = clamped_end_displacement(frame, frame.strain_load(3e-4 * ones))
    assert moved[-1, 0] == pytest.approx(3e-3)
    moved = clamped_end_displacement(frame, frame.strain_load(0 * ones, 1e-4 * ones))
    assert moved[-1, 2] == pytest.approx(-1e-4 * 50.0)
    assert moved[-1, 4] == pytest.approx(1e-4 * 10.0)
    moved = clamped_end_displacement(frame, frame.strain_load(0 * ones, None, 1e-4 * ones))
    assert moved[-1, 1] == pytest.approx(1e-4 * 50.0)
    assert moved[-1, 5] == pytest.approx(1e-4 * 10.0)


def test_strain_loads_are_in_equilibrium_with_themselves(small):
    frame, _ = small.grillage()
    rng = np.random.default_rng(0)
    load = frame.strain_load(*rng.normal(size=(3, len(frame.ends)))).reshape(-1, 6)
    size = np.abs(load).max()
    assert np.abs(load[:, :3].sum(axis=0)).max() < 1e-12 * size
    turning = load[:, 3:].sum(axis=0) + np.cross(frame.nodes, load[:, :3]).sum(axis=0)
    assert np.abs(turning).max() < 1e-11 * size


def test_shape_functions_repeat_rigid_motion():
    # partition of unity: a rigid rise and a rigid turn give no bending
    s = np.linspace(0, 1, 5)
    for phi in (0.0, 0.7):
        shift, turn = hermite(s, np.full(5, 4.0), np.full(5, phi))
        assert shift @ [1, 0, 1, 0] == pytest.approx(np.ones(5))
        assert shift @ [0, 1, 4, 1] == pytest.approx(4 * s)
        assert turn @ [0, 1, 4, 1] == pytest.approx(np.ones(5))


def test_bars_have_no_bending_even_if_released(small):
    build = FrameBuilder()
    i, j = build.node(0, 0, 0), build.node(3, 0, 4)
    bar = {"E": E, "G": G, "A": 0.01, "Iy": 0.0, "Iz": 0.0, "J": 0.0}
    build.member(i, j, **bar, release_i="my mz", release_j="my mz")
    stiffness = build.frame().stiffness.toarray()
    assert np.all(np.isfinite(stiffness))
    assert stiffness[0, 0] == pytest.approx(E * 0.01 / 5 * 0.36)
    assert np.abs(stiffness[[3, 4, 5, 9, 10, 11]]).max() == 0.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"release_i": "mx", "release_j": "mx"}, "torsion or axially at both ends"),
        ({"release_i": "fx", "release_j": "fx"}, "torsion or axially at both ends"),
        ({"release_i": "fz my", "release_j": "my"}, "mechanism"),
        ({"release_i": "fy", "release_j": "fy"}, "mechanism"),
        ({"release_i": "mq"}, "unknown end force 'mq'"),
        ({"E": np.nan}, "E of member 0"),
        ({"Iy": -1.0}, "Iy of member 0"),
        ({"up": (1.0, 0.0, 0.0)}, "points along its own `up`"),
        ({"offset_j": (-5.0, 0.0, 0.0)}, "has no length"),
    ],
)
def test_what_no_member_can_be(small, changes, words):
    def make():
        build = FrameBuilder()
        i, j = build.node(0, 0, 0), build.node(5, 0, 0)
        build.member(i, j, **(small.section | changes))
        return build.frame().stiffness

    with pytest.raises(BedstoneError, match=words):
        make()


def test_a_member_must_end_at_nodes_that_exist(small):
    build = FrameBuilder()
    build.node(0, 0, 0)
    build.member(0, 3, **small.section)
    with pytest.raises(BedstoneError, match="does not exist"):
        build.frame()
