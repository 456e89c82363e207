"""Bearings on a condensed superstructure, against statics and beam theory named at each case."""

from dataclasses import replace

import numpy as np
import pytest

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Supported, free_motions

E, I, A = 210e9, 0.03, 0.06  # noqa: E741


@pytest.fixture
def deck(small):
    """Three girders on nine stations, six seats 1 m below: rows A (0, 1), P (2, 3), B (4, 5)."""
    frame, grid = small.grillage()
    return condense(frame, small.seats(grid[[0, 4, 8]][:, [0, 2]]))


FIXED_AND_GUIDED = ["xyz", "z", "z", "z", "yz", "z"]


def gravity(deck, load=1e4):
    members = np.arange(len(deck.frame.ends))
    return deck.load(deck.frame.line_load(members, np.array([0.0, 0.0, -load])))


def stand(small, deck, functions, ground=None, **given):
    ground = small.rigid_ground(deck.seat_count) if ground is None else ground
    return Supported(deck, small.bearings(functions, **given), ground)


def test_held_is_exactly_held_and_free_exactly_free(small, deck):
    supported = stand(small, deck, FIXED_AND_GUIDED, angle=0.3)
    effects = supported.effects(gravity(deck))
    held = supported.bearings.held
    assert np.all(effects.movement[held] == 0.0)
    assert np.all(effects.force[~held] == 0.0)
    assert np.all(effects.movement[~held] != 0.0)


def test_forces_balance_the_load(small, deck):
    # statics: forces and moments about the origin
    frame = deck.frame
    rng = np.random.default_rng(2)
    vector = rng.normal(0, 1e4, frame.freedoms)
    effects = stand(small, deck, FIXED_AND_GUIDED).effects(deck.load(vector))
    load = vector.reshape(-1, 6)
    q = effects.seat_force.reshape(-1, 6)
    assert q[:, :3].sum(axis=0) == pytest.approx(-load[:, :3].sum(axis=0), rel=1e-9)
    turning = load[:, 3:].sum(axis=0) + np.cross(frame.nodes, load[:, :3]).sum(axis=0)
    found = q[:, 3:].sum(axis=0) + np.cross(deck.points, q[:, :3]).sum(axis=0)
    assert found == pytest.approx(-turning, rel=1e-9)


def test_spring_force_is_stiffness_times_movement(small, deck):
    springs = {(0, "x"): 3e7, (4, "x"): 1e7, (2, "z"): 5e8, (1, "b"): 2e8}
    functions = ["xyz", "zb", "z", "z", "xyz", "z"]
    supported = stand(small, deck, functions, springs=springs)
    vector = deck.frame.nodal_load(13, np.array([5e5, 1e5, -1e6, 0, 0, 0]))
    effects = supported.effects(deck.load(vector))
    for (seat, letter), stiffness in springs.items():
        k = "xyzabc".index(letter)
        assert effects.movement[seat, k] != 0.0
        assert effects.force[seat, k] == pytest.approx(stiffness * effects.movement[seat, k])
    assert effects.force[[0, 4], 0].sum() == pytest.approx(5e5)  # statics


def test_beam_on_end_springs_sinks_by_reaction_over_stiffness(small):
    # statically determinate: F / 2 k at each end, whatever the beam
    frame = small.beam(20.0, 2)
    condensed = condense(frame, small.seats([0, 2], (0, 0, 0)))
    supported = stand(small, condensed, ["xyza", "yz"], springs={(0, "z"): 1e7, (1, "z"): 1e7})
    load = condensed.load(frame.nodal_load(1, np.array([0, 0, -1e5, 0, 0, 0.0])))
    movement = supported.effects(load).movement
    assert movement[:, 2, 0] == pytest.approx([-5e-3, -5e-3], rel=1e-9)


def test_ground_flexibility_couples_the_bearings_of_one_pier(small):
    # two-span beam, the middle pier yields by c: R = 5/4 w L / (1 + 6 E I c / L^3) (compatibility
    # of the released two-span beam, flexibility L^3 / 6 E I)
    span, yielding = 20.0, 2e-9
    frame = small.beam(2 * span, 8)
    condensed = condense(frame, small.seats([0, 4, 8], (0, 0, 0)))
    ground = small.rigid_ground(3)
    ground[8, 8] = yielding
    supported = stand(small, condensed, ["xyza", "yz", "yz"], ground=ground)
    load = condensed.load(frame.line_load(np.arange(8), np.array([0, 0, -1e4])))
    reaction = -supported.effects(load).force[1, 2, 0]
    assert reaction == pytest.approx(1.25e4 * span / (1 + 6 * E * I * yielding / span**3), rel=1e-9)


def test_ground_coupling_between_two_seats(small, deck):
    # both bearings of row P stand on one pier head of compliance c across; H on the deck goes to
    # them alone (y held nowhere else, x-y plane held by moments of row P's x): the head moves c H
    ground = small.rigid_ground(6)
    compliance = 4e-8
    for i in (2, 3):
        for j in (2, 3):
            ground[6 * i + 1, 6 * j + 1] = compliance
    functions = ["z", "z", "xyz", "xz", "z", "z"]
    supported = stand(small, deck, functions, ground=ground)
    vector = deck.frame.nodal_load(13, np.array([0, 1e6, 0, 0, 0, 0.0]))
    effects = supported.effects(deck.load(vector))
    assert effects.force[2, 1, 0] == pytest.approx(1e6)
    moved = deck.displacements(vector, effects.seat_force, effects.motion).reshape(-1, 6)
    node = deck.seats.node[2]
    contact = moved[node, :3] + np.cross(moved[node, 3:], deck.seats.arm[2])
    assert contact[1] == pytest.approx(compliance * 1e6, rel=1e-9)
    # bearing 3 does not hold y, but its ground moves with the head: it sees the difference
    node = deck.seats.node[3]
    contact = moved[node, :3] + np.cross(moved[node, 3:], deck.seats.arm[3])
    assert effects.movement[3, 1, 0] == pytest.approx(contact[1] - compliance * 1e6, abs=1e-12)


def test_settlement_of_a_determinate_deck_is_a_rigid_motion(small):
    # statically determinate: no force, the deck tilts by s / L
    frame = small.beam(20.0, 2)
    condensed = condense(frame, small.seats([0, 2], (0, 0, 0)))
    down = np.zeros((2, 6))
    down[1, 2] = -0.02
    load = condensed.settlement(down)
    effects = stand(small, condensed, ["xyza", "yz"]).effects(load)
    assert np.abs(effects.force).max() < 1e-6
    assert effects.movement[:, 4, 0] == pytest.approx([1e-3, 1e-3], rel=1e-9)
    moved = condensed.displacements(
        np.zeros(frame.freedoms), effects.seat_force, effects.motion
    ).reshape(-1, 6)
    assert moved[:, 2] == pytest.approx([0.0, -0.01, -0.02], abs=1e-12)


def test_jacking_up_the_middle_of_two_spans(small):
    # raising the middle of a 2 L beam by d takes 48 E I d / (2 L)^3
    frame = small.beam(40.0, 8)
    condensed = condense(frame, small.seats([0, 4, 8], (0, 0, 0)))
    up = np.zeros((3, 6))
    up[1, 2] = 0.03
    effects = stand(small, condensed, ["xyza", "yz", "yz"]).effects(condensed.settlement(up))
    assert -effects.force[1, 2, 0] == pytest.approx(48 * E * I * 0.03 / 40.0**3, rel=1e-9)


def test_settlement_of_a_turned_bearing_is_in_global_axes(small, deck):
    # ground moves along global x under a bearing turned by 90 degrees: its y' is -x
    bearings_angle = np.array([np.pi / 2, 0, 0, 0, 0, 0])
    functions = ["xyz", "z", "z", "z", "xyz", "z"]
    supported = stand(small, deck, functions, angle=bearings_angle)
    move = np.zeros((6, 6))
    move[0, 0] = 1e-3
    push = supported.effects(deck.settlement(move)).force
    # the ground carries the deck towards its other fixed bearing: the deck pushes back along -x
    assert push[0, 1, 0] > 0.0  # y' = -x
    assert push[4, 0, 0] == pytest.approx(push[0, 1, 0], rel=1e-9)


def test_seat_forces_act_as_pairs(small, deck):
    # friction pair at a free bearing on rigid ground: +q on the deck, the fixed bearing takes it
    supported = stand(small, deck, FIXED_AND_GUIDED)
    q = np.zeros((36, 1))
    q[6 * 4, 0] = 2e4  # at seat 4, along x, on the superstructure
    effects = supported.effects(deck.seat_forces(q, supported.ground))
    assert effects.force[0, 0, 0] == pytest.approx(2e4, rel=1e-9)
    assert effects.force[:, 2, 0].sum() == pytest.approx(0.0, abs=1e-6)


def test_seat_forces_push_the_ground_the_other_way(small, deck):
    # with compliance c below the free seat, its relative movement gains c q
    compliance = 3e-8
    ground = small.rigid_ground(6)
    ground[24, 24] = compliance
    q = np.zeros((36, 1))
    q[24, 0] = 2e4
    stiff = stand(small, deck, FIXED_AND_GUIDED)
    soft = stand(small, deck, FIXED_AND_GUIDED, ground=ground)
    one = stiff.effects(deck.seat_forces(q, stiff.ground)).movement[4, 0, 0]
    other = soft.effects(deck.seat_forces(q, soft.ground)).movement[4, 0, 0]
    assert other - one == pytest.approx(compliance * 2e4, rel=1e-9)


def test_temperature_is_locked_between_two_fixed_bearings(small):
    # E A alpha dT on the axis of a beam held at both ends; free: alpha dT L
    frame = small.beam(20.0, 4)
    condensed = condense(frame, small.seats([0, 4], (0, 0, 0)))
    load = condensed.load(frame.strain_load(np.full(4, 12e-6 * 30)))
    locked = stand(small, condensed, ["xyza", "xyz"])
    force = locked.effects(load).force[:, 0, 0]
    assert force == pytest.approx([-E * A * 3.6e-4, E * A * 3.6e-4], rel=1e-10)
    assert locked.redundancy == 1
    free = stand(small, condensed, ["xyza", "yz"])
    assert free.redundancy == 0
    effects = free.effects(load)
    assert effects.movement[1, 0, 0] == pytest.approx(3.6e-4 * 20.0, rel=1e-12)
    assert np.abs(effects.force).max() < 1e-6 * E * A * 3.6e-4


def test_two_guides_on_one_line_lock_the_width(small):
    # two bearings b apart both held across on a cross beam: E A alpha dT in it (statics of a bar)
    frame = small.beam(5.0, 2, axis=(0, 1, 0))
    condensed = condense(frame, small.seats([0, 2], (0, 0, 0)))
    supported = stand(small, condensed, ["xyzb", "xyz"])
    load = condensed.load(frame.strain_load(np.full(2, 3e-4)))
    assert supported.effects(load).force[:, 1, 0] == pytest.approx(
        [-E * A * 3e-4, E * A * 3e-4], rel=1e-10
    )


def test_operator_gives_the_same_effects(small, deck):
    springs = {(0, "x"): 3e7, (2, "z"): 5e8}
    supported = stand(small, deck, FIXED_AND_GUIDED, springs=springs, angle=0.2)
    settled = np.zeros((6, 6))
    settled[3, :3] = [1e-3, 2e-3, -5e-3]
    load = gravity(deck) + deck.settlement(settled)
    force, movement = supported.operator()
    stacked = np.concatenate([load.g - load.s, load.r])
    effects = supported.effects(load)
    assert (force @ stacked).reshape(6, 6, 1) == pytest.approx(effects.force, rel=1e-9, abs=1e-4)
    assert (movement @ stacked).reshape(6, 6, 1) == pytest.approx(
        effects.movement, rel=1e-9, abs=1e-12
    )


def test_many_cases_at_once_equal_one_by_one(small, deck):
    rng = np.random.default_rng(3)
    load = deck.load(rng.normal(0, 1e4, (deck.frame.freedoms, 4)))
    supported = stand(small, deck, FIXED_AND_GUIDED)
    together = supported.effects(load)
    for case in range(4):
        alone = supported.effects(load.column(case))
        assert together.force[:, :, case] == pytest.approx(alone.force[:, :, 0], rel=1e-9, abs=1e-6)


# ------------------------------------------------------------------ free motions in words
@pytest.mark.parametrize(
    ("functions", "angle", "words"),
    [
        (["yz", "z", "z", "z", "yz", "z"], 0.0, "slides freely along the bridge (x)"),
        (["xz", "xz", "z", "z", "z", "z"], 0.0, "slides freely across the bridge (y)"),
        (["yz", "yz", "z", "z", "z", "z"], 0.3, "slides freely at 17.2 deg from the bridge axis"),
        (["yz", "yz", "z", "z", "z", "z"], -0.5, "slides freely at -28.6 deg from the bridge axis"),
        (["xyz", "z", "z", "z", "z", "z"], 0.0, "turns freely in plan about the point x = 0.00 m"),
        (["xyz", "", "", "", "", "yz"], 0.0, "tips freely about a level line at 9.6 deg"),
        (["xyz", "yz", "", "", "", ""], 0.0, "tips freely about the cross axis (y)"),
    ],
)
def test_free_motion_in_words(small, deck, functions, angle, words):
    motions = free_motions(deck, small.bearings(functions, angle=angle))
    assert any(words in motion for motion in motions), motions
    with pytest.raises(UnstableError):
        stand(small, deck, functions, angle=angle)


def test_point_of_rotation_is_the_fixed_bearing(small, deck):
    (motion,) = free_motions(deck, small.bearings(["z", "z", "xyz", "z", "z", "z"]))
    x, y = deck.points[2, :2]
    assert motion == (
        f"the superstructure turns freely in plan about the point x = {x:.2f} m, y = {y:.2f} m"
    )


def test_guides_that_meet_in_one_point_let_the_deck_turn(small, deck):
    # guides square to the lines to a point let the deck turn about that point (kinematics)
    centre = np.array([60.0, 25.0])
    lines = centre - deck.points[:, :2]
    angle = np.arctan2(lines[:, 1], lines[:, 0])  # x' toward the point, held
    motions = free_motions(deck, small.bearings(["xz"] * 6, angle=angle))
    assert motions == [
        "the superstructure turns freely in plan about the point x = 60.00 m, y = 25.00 m"
    ]


def test_rolling_over_on_one_line(small):
    frame = small.beam(20.0, 2)
    condensed = condense(frame, small.seats([0, 1, 2], (0, 0, 0)))
    (motion,) = free_motions(condensed, small.bearings(["xyz", "z", "yz"]))
    assert motion == "the superstructure rolls over freely about the bridge axis (x)"


def test_no_vertical_bearing_at_all(small, deck):
    motions = free_motions(deck, small.bearings(["xyc", "", "", "", "", ""]))
    assert "the superstructure lifts off freely (z)" in motions
    assert len(motions) == 3


def test_no_bearing_at_all(small, deck):
    assert free_motions(deck, small.bearings([""] * 6)) == [
        "the superstructure stands on no bearing"
    ]


def test_stable_has_no_free_motion(small, deck):
    assert free_motions(deck, small.bearings(FIXED_AND_GUIDED)) == []


def two_parts(small):
    """Two simple spans side by side on one pier."""
    build = FrameBuilder()
    for x in (0.0, 19.9, 20.1, 40.0):
        build.node(x, 0, 0)
    build.member(0, 1, **small.section)
    build.member(2, 3, **small.section)
    return build.frame()


def test_two_separate_spans(small):
    # each span by itself: statics
    frame = two_parts(small)
    condensed = condense(frame, small.seats([0, 1, 2, 3], (0, 0, 0)))
    assert list(condensed.part) == [0, 0, 1, 1]
    supported = stand(small, condensed, ["xyza", "yz", "xyza", "yz"])
    load = condensed.load(frame.line_load([0], np.array([0, 0, -1e4])))
    force = supported.effects(load).force[:, 2, 0]
    assert -force == pytest.approx([99.5e3, 99.5e3, 0.0, 0.0], abs=1e-6)


def test_the_span_that_is_loose_is_named(small):
    frame = two_parts(small)
    condensed = condense(frame, small.seats([0, 1, 2, 3], (0, 0, 0)))
    (motion,) = free_motions(condensed, small.bearings(["xyza", "yz", "yza", "yz"]))
    assert motion == (
        "one of 2 separate pieces of the superstructure, x = 20.10 to 40.00 m, "
        "slides freely along the bridge (x)"
    )
    (motion,) = free_motions(condensed, small.bearings(["xyza", "yz", "", ""]))
    assert motion.endswith("x = 20.10 to 40.00 m, stands on no bearing")


# ------------------------------------------------------------------ refusals and residuals
def test_bearings_that_hold_one_movement_twice(small):
    # three vertical bearings in one line under one rigid node, the deck cannot tell their shares
    frame = small.beam(20.0, 1)
    seats = SeatPoints(
        np.array([0, 0, 0, 1]),
        np.array([[0, -1.0, -1], [0, 0.0, -1], [0, 1.0, -1], [0, 0, -1]]),
    )
    condensed = condense(frame, seats)
    functions = ["z", "xyz", "z", "yz"]
    with pytest.raises(UnstableError, match="hold the same movement twice"):
        stand(small, condensed, functions)
    # any elastic share among them decides
    soft = {(0, "z"): 1e9, (1, "z"): 1e9, (2, "z"): 1e9}
    supported = stand(small, condensed, functions, springs=soft)
    load = condensed.load(frame.nodal_load(0, np.array([0, 0, -3e5, 0, 0, 0.0])))
    assert -supported.effects(load).force[:3, 2, 0] == pytest.approx([1e5] * 3, rel=1e-9)


def test_residuals_are_near_rounding(small, deck):
    supported = stand(small, deck, FIXED_AND_GUIDED)
    equilibrium, compatibility = supported.residuals(gravity(deck))
    assert 0.0 <= equilibrium < 1e-12
    assert 0.0 <= compatibility < 1e-12


def test_a_spoiled_inverse_is_an_error(small, deck):
    supported = stand(small, deck, FIXED_AND_GUIDED)
    supported._inverse = supported._inverse * (1.0 + 1e-3)
    with pytest.raises(CheckError, match=r"off by|move by"):
        supported.effects(gravity(deck))


def test_lost_equilibrium_is_an_error(small, deck):
    supported = stand(small, deck, FIXED_AND_GUIDED)
    supported._inverse = supported._inverse.copy()
    count = int(supported.bearings.held.sum())
    supported._inverse[:count, count + 2] *= 1.01  # a vertical resultant no longer carried in full
    with pytest.raises(CheckError, match="equilibrium of the bridge is off"):
        supported.effects(gravity(deck))


def test_lost_compatibility_is_an_error(small, deck):
    supported = stand(small, deck, FIXED_AND_GUIDED)
    supported._follow = supported._follow * (1.0 + 1e-5)
    with pytest.raises(CheckError, match="held directions move"):
        supported.effects(gravity(deck))


def test_a_small_case_is_checked_beside_a_large_one(small, deck):
    # the second case is 10^12 times smaller and wrong: it must not hide behind the first
    supported = stand(small, deck, FIXED_AND_GUIDED)
    load = gravity(deck)
    tiny = load * 1e-12
    spoiled = replace(tiny, g=tiny.g + 0.0)
    both = [load, spoiled]
    true = supported._solve

    def solve(given):
        answer, free = true(given)
        answer[:, -1] *= 1.0 + 1e-6
        return answer, free

    supported._solve = solve
    stacked = replace(
        load,
        g=np.concatenate([one.g for one in both], axis=1),
        r=np.concatenate([one.r for one in both], axis=1),
        s=np.concatenate([one.s for one in both], axis=1),
    )
    with pytest.raises(CheckError):
        supported.effects(stacked)
