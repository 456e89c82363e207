"""Source: formulas of beams as every handbook of structures prints them.

- reactions of equal continuous spans under uniform load: Clapeyron's theorem of three moments, the
  coefficients tabulated in the usual handbooks (e.g. Schneider, Bautabellen; AISC Manual, table
  3-23);
- end slopes under uniform, point and half-span load: beam formula sheets (AISC Manual, table 3-23);
- temperature gradients, settlements, rocking of an end about its bearing, sharing of braking among
  supports by stiffness: elementary mechanics, the closed form stands beside each case.

The formulas are written from memory of these books; none of them was computed by bedstone.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported

SOURCE = "Formulas of beams in the handbooks of structures (Schneider; AISC Manual, table 3-23)"
KNOWN = "from memory"
#: Closed forms of elementary mechanics, with the arithmetic in the test.
MECHANICS = {
    "source": "Closed forms of elementary mechanics, worked by hand", "known": "derived",
}  # fmt: skip
E, G, A, I, J = 210e9, 81e9, 0.05, 0.02, 0.004  # noqa: E741
EI = E * I
SPAN = 24.0
ALPHA = 12e-6


class Beam:
    """A straight girder on supports, `below` from its axis to the bearings; first one fixed."""

    def __init__(self, spans, pieces=4, below=0.0, fixed=0, stiffness=None, ground=None):
        self.pieces = pieces
        build = FrameBuilder()
        supports = np.concatenate([[0.0], np.cumsum(spans)])
        x = [0.0]
        for start, end in pairwise(supports):
            x += list(np.linspace(start, end, pieces + 1)[1:])
        nodes = [build.node(v, 0.0, 0.0) for v in x]
        for i, j in pairwise(nodes):
            build.member(i, j, E=E, G=G, A=A, Iy=I, Iz=I, J=J)
        self.frame = build.frame()
        count = len(supports)
        seats = SeatPoints(np.array(nodes[::pieces]), np.tile([0.0, 0.0, -below], (count, 1)))
        self.condensed = condense(self.frame, seats)
        held = np.zeros((count, 6), dtype=bool)
        held[:, 1:3] = True
        held[0, 3] = True  # roll
        compliance = np.zeros((count, 6))
        if stiffness is None:
            held[fixed, 0] = True
        else:
            held[:, 0] = True
            compliance[:, 0] = 1.0 / np.asarray(stiffness)
        axes = np.tile(np.eye(3), (count, 1, 1))
        if ground is None:
            ground = np.zeros((6 * count, 6 * count))
        self.supported = Supported(self.condensed, Bearings(axes, held, compliance), ground)

    def effects(self, case):
        effects = self.supported.effects(case)
        return effects.force[:, :, 0], effects.movement[:, :, 0]

    def uniform(self, load, spans=None, part=1.0):
        """`load` N/m downwards on these spans, or on the first `part` of each."""
        members = np.arange(len(self.frame.ends))
        if spans is not None:
            members = members[np.isin(members // self.pieces, spans)]
        members = members[(members % self.pieces) < part * self.pieces]
        return self.condensed.load(self.frame.line_load(members, np.array([0.0, 0.0, -load])))

    def point(self, load, x):
        length = SPAN / self.pieces
        member = int(x // length)
        return self.condensed.load(
            self.frame.point_loads(
                [member], [x / length - member], np.array([0.0, 0.0, -load]), np.zeros(3)
            )
        )

    def strain(self, strain=0.0, curvature=0.0):
        ones = np.ones(len(self.frame.ends))
        return self.condensed.load(self.frame.strain_load(strain * ones, curvature * ones))


@pytest.mark.parametrize(
    ("spans", "support", "coefficient"),
    [
        pytest.param(2, 0, 3 / 8, id="two-spans-end-0.375"),
        pytest.param(2, 1, 10 / 8, id="two-spans-middle-1.25"),
        pytest.param(3, 0, 0.4, id="three-spans-end-0.4"),
        pytest.param(3, 1, 1.1, id="three-spans-inner-1.1"),
        pytest.param(4, 0, 11 / 28, id="four-spans-end-0.392857"),
        pytest.param(4, 1, 32 / 28, id="four-spans-second-1.142857"),
        pytest.param(4, 2, 26 / 28, id="four-spans-middle-0.928571"),
        pytest.param(5, 0, 15 / 38, id="five-spans-end-0.394737"),
        pytest.param(5, 1, 43 / 38, id="five-spans-second-1.131579"),
        pytest.param(5, 2, 37 / 38, id="five-spans-third-0.973684"),
    ],
)
def test_reaction_of_equal_spans_under_uniform_load(published, spans, support, coefficient):
    # three-moment equation: R = coefficient w L
    beam = Beam([SPAN] * spans)
    force, _ = beam.effects(beam.uniform(1000.0))
    found = -force[support, 2] / (1000.0 * SPAN)
    what = f"{spans} spans, uniform load, support {support + 1}: R / w L"
    published(what, coefficient, found, rel=1e-10)


@pytest.mark.parametrize(
    ("support", "coefficient"),
    [(0, 7 / 16), (1, 10 / 16), (2, -1 / 16)],
    ids=["loaded-end-7/16", "middle-10/16", "far-end-uplift-1/16"],
)
def test_reaction_of_two_spans_loaded_on_the_first(published, support, coefficient):
    # three-moment equation, w on one of two equal spans: 7/16, 10/16, -1/16 of w L
    beam = Beam([SPAN, SPAN])
    force, _ = beam.effects(beam.uniform(1000.0, [0]))
    found = -force[support, 2] / (1000.0 * SPAN)
    what = f"2 spans, uniform load on the first, support {support + 1}: R / w L"
    published(what, coefficient, found, rel=1e-10)


@pytest.mark.parametrize(
    ("support", "coefficient"),
    [(0, 13 / 32), (1, 22 / 32), (2, -3 / 32)],
    ids=["loaded-end-13/32", "middle-22/32", "far-end-uplift-3/32"],
)
def test_reaction_of_two_spans_with_a_load_in_the_middle_of_the_first(
    published, support, coefficient
):
    # beam formula sheets: P at the middle of one of two equal spans: 13/32, 22/32, -3/32 of P
    beam = Beam([SPAN, SPAN], pieces=3)
    force, _ = beam.effects(beam.point(1e5, SPAN / 2))
    what = f"2 spans, load in the middle of the first, support {support + 1}: R / P"
    published(what, coefficient, -force[support, 2] / 1e5, rel=1e-10)


W, P = 12e3, 250e3
LEFT, RIGHT = 0.3 * SPAN, 0.7 * SPAN


@pytest.mark.parametrize(
    ("spans", "load", "support", "slope"),
    [
        # w L^3 / 24 E I
        pytest.param(1, ("w", [0], 1), 0, W * SPAN**3 / 24 / EI, id="uniform-wL3/24EI"),
        pytest.param(1, ("w", [0], 1), 1, -W * SPAN**3 / 24 / EI, id="uniform-other-end"),
        # P L^2 / 16 E I
        pytest.param(1, ("P", SPAN / 2), 0, P * SPAN**2 / 16 / EI, id="central-PL2/16EI"),
        # P a b (L + b) / 6 L E I at the end near a, (L + a) at the other
        pytest.param(
            1, ("P", LEFT), 0, P * LEFT * RIGHT * (SPAN + RIGHT) / 6 / SPAN / EI, id="Pab(L+b)/6LEI"
        ),
        pytest.param(
            1, ("P", LEFT), 1, -P * LEFT * RIGHT * (SPAN + LEFT) / 6 / SPAN / EI, id="Pab(L+a)/6LEI"
        ),
        # w on the left half: 3/128 and 7/384 of w L^3 / E I
        pytest.param(1, ("w", [0], 0.5), 0, 3 / 128 * W * SPAN**3 / EI, id="half-loaded-3/128"),
        pytest.param(1, ("w", [0], 0.5), 1, -7 / 384 * W * SPAN**3 / EI, id="half-loaded-7/384"),
        # two equal spans: both loaded 1/48; one loaded 1/32 there and 1/96 the other way
        pytest.param(2, ("w", [0, 1], 1), 0, W * SPAN**3 / 48 / EI, id="two-spans-both-1/48"),
        pytest.param(2, ("w", [0], 1), 0, W * SPAN**3 / 32 / EI, id="two-spans-one-1/32"),
        pytest.param(2, ("w", [0], 1), 2, W * SPAN**3 / 96 / EI, id="two-spans-far-end-1/96"),
    ],
)
def test_end_slope(published, spans, load, support, slope):
    # a sagging beam turns about +y at its left end (the end dips as x grows), about -y at its right
    beam = Beam([SPAN] * spans)
    case = beam.point(P, load[1]) if load[0] == "P" else beam.uniform(W, load[1], load[2])
    _, movement = beam.effects(case)
    where = f"P at {load[1] / SPAN:g} L" if load[0] == "P" else "w on "
    if load[0] == "w":
        where += (
            "half the span" if load[2] < 1 else f"span {'s '.join(str(k + 1) for k in load[1])}"
        )
    what = f"end slope, {spans} span(s), {where}, support {support + 1}"
    published(what, slope * 1e3, movement[support, 4] * 1e3, "mrad", rel=1e-10)


DEPTH, WARMER = 1.5, 15.0


def warmer_top():
    """d eps / d z for a top that is WARMER kelvin above the bottom."""
    return ALPHA * WARMER / DEPTH


def test_end_slope_under_a_temperature_difference(published):
    # alpha dT L / 2 h at each end; a warmer top hogs: the left end turns about -y
    beam = Beam([SPAN])
    force, movement = beam.effects(beam.strain(curvature=warmer_top()))
    slope = ALPHA * WARMER * SPAN / (2 * DEPTH)
    what, found = "end slopes, warmer top", movement[:, 4] * 1e3
    published(what, [-slope * 1e3, slope * 1e3], found, "mrad", **MECHANICS, rel=1e-10)
    assert np.abs(force).max() < 1e-6 * EI * warmer_top() / SPAN  # a simple span locks nothing


@pytest.mark.parametrize(
    ("support", "coefficient"), [(0, -1.5), (1, 3.0), (2, -1.5)], ids=["end", "middle", "far-end"]
)
def test_reactions_of_two_spans_under_a_temperature_difference(published, support, coefficient):
    # locked moment at the middle 3/2 E I alpha dT / h, hence 3/2 (and 3) E I alpha dT / (h L):
    # the warm top hogs the beam up at the middle, the support there holds it down. N + in
    # compression: the ends gain, the middle loses.
    beam = Beam([SPAN, SPAN])
    force, _ = beam.effects(beam.strain(curvature=warmer_top()))
    what = f"2 spans, warmer top, support {support + 1}: N L / E I kappa"
    found = force[support, 2] / (EI * warmer_top() / SPAN)
    published(what, coefficient, found, **MECHANICS, rel=1e-9)


def test_reaction_of_a_propped_beam_under_a_temperature_difference(published):
    # one end built in, one on a roller: moment 3/2 E I alpha dT / h, reaction 3/2 E I kappa / L
    beam = Beam([SPAN])
    held = beam.supported.bearings.held.copy()
    held[0, 4] = True
    bearings = Bearings(beam.supported.bearings.axes, held, np.zeros((2, 6)))
    beam.supported = Supported(beam.condensed, bearings, np.zeros((12, 12)))
    force, _ = beam.effects(beam.strain(curvature=warmer_top()))
    moment = EI * warmer_top()
    found = abs(force[0, 4]) / moment, abs(force[1, 2]) / (moment / SPAN)
    what = "propped beam, warmer top: M / E I kappa"
    published(what, 1.5, found[0], **MECHANICS, rel=1e-9)
    what = "propped beam, warmer top: N L / E I kappa"
    published(what, 1.5, found[1], **MECHANICS, rel=1e-9)


def test_free_end_moves_by_both_end_rotations_times_the_depth(published):
    # bearings h below the neutral axis: (theta_A + theta_B) h = w L^3 h / 12 E I, away from the
    # fixed end (the bottom flange lengthens)
    below = 1.1
    beam = Beam([SPAN], below=below)
    _, movement = beam.effects(beam.uniform(W))
    what = "free end by both end rotations times the depth"
    by_hand = W * SPAN**3 * below / (12 * EI)
    published(what, by_hand * 1e3, movement[1, 0] * 1e3, "mm", **MECHANICS, rel=1e-10)


def test_free_end_movement_is_the_extension_of_the_bottom_fibre(published):
    # integral of sigma / E = integral of M h / (E I) = w L^3 h / 12 E I, by Simpson's rule (exact
    # for a parabola)
    below = 0.9
    beam = Beam([SPAN], below=below)
    _, movement = beam.effects(beam.uniform(W))
    strain = [0.0, W * SPAN**2 / 8 * below / EI, 0.0]
    what = "free end by the extension of the bottom fibre"
    by_hand = SPAN / 6 * (strain[0] + 4 * strain[1])
    published(what, by_hand * 1e3, movement[1, 0] * 1e3, "mm", **MECHANICS, rel=1e-10)


@pytest.mark.parametrize("fixed", [0, 1, 2])
def test_free_expansion_from_the_fixed_support(published, fixed):
    # alpha dT times the distance from the fixed bearing; no force anywhere
    beam = Beam([20.0, 35.0], fixed=fixed)
    force, movement = beam.effects(beam.strain(ALPHA * 35.0))
    distance = np.array([0.0, 20.0, 55.0])
    expected = ALPHA * 35.0 * (distance - distance[fixed])
    what, found = f"free expansion, support {fixed + 1} fixed", movement[:, 0] * 1e3
    published(what, expected * 1e3, found, "mm", **MECHANICS, rel=1e-10, abs=1e-12)
    assert np.abs(force).max() < 1e-6 * E * A * ALPHA * 35.0


@pytest.mark.parametrize(
    ("support", "coefficient"), [(0, 1.5), (1, -3.0), (2, 1.5)], ids=["end", "middle", "far-end"]
)
def test_settlement_of_the_middle_support_of_two_spans(published, support, coefficient):
    # the middle of a beam of 2 L sinks by d: its reaction falls by 48 E I d / (2 L)^3 = 6 E I d/L^3
    # and each end gains half of it
    beam = Beam([SPAN, SPAN])
    down = np.zeros((3, 6))
    down[1, 2] = -0.010
    force, _ = beam.effects(beam.condensed.settlement(down))
    # the coefficients stand for 2 E I d / L^3
    what = f"2 spans, middle sinks by d, support {support + 1}: R L^3 / E I d"
    found = -force[support, 2] / (EI * 0.010 / SPAN**3)
    published(what, 2 * coefficient, found, **MECHANICS, rel=1e-9)


def test_settlement_of_an_end_support_of_two_spans(published):
    # the end of two equal spans sinks by d: middle moment 3 E I d / 2 L^2, its reaction changes
    # by 3/2 E I d / L^3 (theorem of three moments with settlement)
    beam = Beam([SPAN, SPAN])
    down = np.zeros((3, 6))
    down[0, 2] = -0.010
    force, _ = beam.effects(beam.condensed.settlement(down))
    what, found = "2 spans, end sinks by d: R L^3 / E I d", -force[:, 2] / (EI * 0.010 / SPAN**3)
    published(what, [-1.5, 3.0, -1.5], found, **MECHANICS, rel=1e-9)


# A deck, stiff along its axis, on four supports that share its horizontal force: four springs at
# 0, 30, 60, 90 m. K_i / sum K, x_0 = sum K x / sum K, F = K alpha dT (x - x_0): derived by hand.
SHARING = {
    "source": "Sharing by stiffness on a rigid deck, elementary mechanics", "known": "derived",
}  # fmt: skip
K_SHARE = np.array([4e6, 12e6, 9e6, 4e6])


def sharing_deck():
    beam = Beam([30.0] * 3, pieces=1, stiffness=K_SHARE)
    # rigid along the axis: held together by strains of the order of 1e-9
    stiff = replace(beam.frame, A=np.full(len(beam.frame.ends), 1e6))
    condensed = condense(stiff, beam.condensed.seats)
    beam.frame, beam.condensed = stiff, condensed
    beam.supported = Supported(condensed, beam.supported.bearings, np.zeros((24, 24)))
    return beam


@pytest.mark.parametrize(
    ("support", "share"),
    [(0, 68.97), (1, 206.90), (2, 155.17), (3, 68.97)],
    ids=["68.97kN", "206.90kN", "155.17kN", "68.97kN-again"],
)
def test_braking_is_shared_by_stiffness(published, support, share):
    beam = sharing_deck()
    case = beam.condensed.load(beam.frame.nodal_load(1, np.array([500e3, 0, 0, 0, 0, 0])))
    force, movement = beam.effects(case)
    what, found = f"braking on four springs, support {support + 1}", force[support, 0] / 1e3
    published(what, share, found, "kN", **SHARING, abs=0.005)
    moved = movement[support, 0] * 1e3  # 500 / 29000
    published("braking on four springs, deck", 17.24, moved, "mm", **SHARING, abs=0.005)


@pytest.mark.parametrize(
    ("support", "movement_mm", "force_kn"),
    [(0, -18.25, -72.99), (1, -5.65, -67.78), (2, 6.95, 62.57), (3, 19.55, 78.21)],
)
def test_temperature_forces_about_the_stationary_point(published, support, movement_mm, force_kn):
    # stationary point x_0 = 43.448 m, alpha dT = 12e-6 x 35
    beam = sharing_deck()
    force, movement = beam.effects(beam.strain(ALPHA * 35.0))
    at = f"warming on four springs, support {support + 1}"
    published(at, movement_mm, movement[support, 0] * 1e3, "mm", **SHARING, abs=0.006)
    published(at, force_kn, force[support, 0] / 1e3, "kN", **SHARING, abs=0.02)


def test_stationary_point_of_four_supports(published):
    beam = sharing_deck()
    _, movement = beam.effects(beam.strain(ALPHA * 35.0))
    x = np.array([0.0, 30.0, 60.0, 90.0])
    stationary = x - movement[:, 0] / (ALPHA * 35.0)
    what = "stationary point, from each of four supports"
    published(what, [43.448] * 4, stationary, "m", **SHARING, abs=0.001)


def test_pier_and_pads_act_in_series(published):
    # circular pier D = 1.5 m, E = 31 GPa, 8 m high: k_p = 3 E I / h^3 = 45138.6 kN/m; four pads
    # 300 x 400 mm, T_e = 60 mm, G = 0.9 MPa: k_b = 7200 kN/m; in series 6209.5 kN/m
    inertia = np.pi * 1.5**4 / 64
    pier = 3 * 31e9 * inertia / 8.0**3
    pads = 4 * 0.9e6 * 0.3 * 0.4 / 0.06
    assert pier / 1e3 == pytest.approx(45138.6, abs=0.5)  # the hand calculation itself
    ground = np.zeros((12, 12))
    ground[0, 0] = 1.0 / pier
    beam = Beam([SPAN], stiffness=[pads, 1.0], ground=ground)
    case = beam.condensed.load(beam.frame.nodal_load(0, np.array([1e3, 0, 0, 0, 0, 0])))
    effects = beam.supported.effects(case)
    vector = beam.frame.nodal_load(0, np.array([1e3, 0, 0, 0, 0, 0]))
    deck = beam.condensed.displacements(vector, effects.seat_force, effects.motion)[0, 0]
    found = effects.force[0, 0, 0] / deck / 1e3
    published("pier and pads in series", 6209.5, found, "kN/m", **SHARING, abs=0.1)


def test_stiffness_of_a_pier_on_a_yielding_foundation(published):
    # compliance at the bearing: h^3 / 3 E I + 1 / k_x + h^2 / k_theta (superposition)
    height, k_x, k_theta = 8.0, 4e8, 9e9
    pier = 3 * 31e9 * (np.pi * 1.5**4 / 64) / height**3
    ground = np.zeros((12, 12))
    ground[0, 0] = 1 / pier + 1 / k_x + height**2 / k_theta
    beam = Beam([SPAN], ground=ground)
    vector = beam.frame.nodal_load(0, np.array([1e3, 0, 0, 0, 0, 0]))
    effects = beam.supported.effects(beam.condensed.load(vector))
    moved = beam.condensed.displacements(vector, effects.seat_force, effects.motion)
    assert effects.movement[0, 0, 0] == 0.0  # the bearing is rigid, the pier head moves
    what = "pier head on a yielding foundation under 1 kN"
    by_hand = 1e3 * ground[0, 0] * 1e3
    published(what, by_hand, moved[0, 0] * 1e3, "mm", **MECHANICS, rel=1e-10)


def test_couple_of_a_braking_force_above_the_bearings(published):
    # F at height h_f above the bearings of a simple span: vertical pair F h_f / L
    above = 2.3
    beam = Beam([SPAN], below=above)
    vector = beam.frame.nodal_load(2, np.array([400e3, 0, 0, 0, 0, 0]))
    force, _ = beam.effects(beam.condensed.load(vector))
    pair = 400e3 * above / SPAN
    what, found = "vertical couple of a force above the bearings", -force[:, 2] / 1e3
    published(what, [-pair / 1e3, pair / 1e3], found, "kN", **MECHANICS, rel=1e-10)
    assert force[0, 0] == pytest.approx(400e3, rel=1e-10)


@pytest.mark.parametrize(
    ("support", "coefficient"),
    [(0, -1.2), (1, 1.2), (2, 1.2), (3, -1.2)],
    ids=["end", "inner", "inner-again", "far-end"],
)
def test_temperature_difference_on_three_spans(published, support, coefficient):
    # theorem of three moments, three equal spans: locked moment at both piers 6/5 E I kappa, end
    # reactions 6/5 E I kappa / L, inner ones as much the other way; a warmer top presses the ends
    beam = Beam([SPAN] * 3)
    force, _ = beam.effects(beam.strain(curvature=warmer_top()))
    what = f"3 spans, warmer top, support {support + 1}: N L / E I kappa"
    found = force[support, 2] / (EI * warmer_top() / SPAN)
    published(what, coefficient, found, **MECHANICS, rel=1e-9)


def test_rotation_held_by_a_transverse_couple_of_bearings(published):
    # torque T on a deck with two bearings b apart on one support: vertical pair T / b
    build = FrameBuilder()
    near, far = build.node(0, 0, 0), build.node(SPAN, 0, 0)
    build.member(near, far, E=E, G=G, A=A, Iy=I, Iz=I, J=J)
    frame = build.frame()
    seats = SeatPoints(
        np.array([near, near, far]), np.array([[0, -1.5, -1.0], [0, 1.5, -1.0], [0, 0, -1.0]])
    )
    held = np.zeros((3, 6), dtype=bool)
    held[:, 2] = True
    held[0, :2] = held[2, 1] = True
    bearings = Bearings(np.tile(np.eye(3), (3, 1, 1)), held, np.zeros((3, 6)))
    condensed = condense(frame, seats)
    supported = Supported(condensed, bearings, np.zeros((18, 18)))
    load = condensed.load(frame.nodal_load(far, np.array([0, 0, 0, 9e5, 0, 0])))
    force = supported.effects(load).force[:, 2, 0]
    what = "vertical couple of a torque on two bearings"
    published(what, [-300.0, 300.0, 0.0], force / 1e3, "kN", **MECHANICS, abs=1e-3)
