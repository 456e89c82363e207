"""Grillages of girders against handbook beams, statics and symmetry."""

import math

import numpy as np
import pytest
from girder_cases import (
    PLATE,
    SLAB,
    SLENDER,
    girder_bridge,
    plain,
    reactions,
    single_line,
    solve,
    stand,
    weight_down,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.bridge.schema import PlateGirder
from bedstone.mechanics.condense import condense
from bedstone.model.build import build
from bedstone.model.girders import build_girders
from bedstone.model.sections import section_properties
from bedstone.model.stages import area_load, line_load

E_STEEL, E_CONCRETE = 210e9, 33e9  # defaults of the bridge file


def deck_line_load(structure, state, load, y=0.0):
    one = structure.states[state]
    return line_load(one, one.deck, load, y)[0]


# ------------------------------------------------------------------ beams of the handbooks
def test_simple_span_deflection_and_end_slope():
    # standard beam formulas (Roark, from memory): 5 w L^4 / 384 E I and w L^3 / 24 E I
    structure = build(single_line((40.0,)))
    state = structure.states["short"]
    w, EI = 50e3, E_STEEL * 0.02
    vector = deck_line_load(structure, "short", w)
    condensed, supported = stand(structure, "short", plain(structure))
    load = condensed.load(vector)
    effects = supported.effects(load)
    assert -effects.force[:, 2, 0] == pytest.approx([w * 20.0] * 2)
    slope = w * 40.0**3 / (24 * EI)
    assert effects.movement[:, 4, 0] == pytest.approx([slope, -slope], rel=1e-9)
    moved = condensed.displacements(vector, effects.seat_force, effects.motion).reshape(-1, 6)
    middle = int(np.argmin(abs(state.frame.nodes[:, 0] - 20.0)))
    assert -moved[middle, 2] == pytest.approx(5 * w * 40.0**4 / (384 * EI), rel=1e-9)
    # the free end moves by the turn of both ends: the contact stands 0.7 m below the axis
    assert effects.movement[1, 0, 0] == pytest.approx(2 * slope * 0.7, rel=1e-9)


@pytest.mark.parametrize(
    ("spans", "shares"),
    # reactions / (w L) of continuous beams of equal spans: standard beam tables, common practice
    [((30.0, 30.0), (0.375, 1.25, 0.375)), ((30.0, 30.0, 30.0), (0.4, 1.1, 1.1, 0.4))],
)
def test_continuous_beam_reactions(spans, shares):
    structure = build(single_line(spans))
    found = reactions(structure, "short", deck_line_load(structure, "short", 40e3))
    assert found == pytest.approx(np.array(shares) * 40e3 * 30.0, rel=1e-9)


def test_overhang_is_carried_by_statics():
    # w L (L/2 + a) / L etc. with both ends 4 m and 2 m beyond: moments about each support
    structure = build(single_line((30.0,), start_overhang="4 m", end_overhang="2 m"))
    found = reactions(structure, "short", deck_line_load(structure, "short", 10e3))
    total, centre = 10e3 * 36.0, 14.0
    assert found == pytest.approx([total * (30.0 - centre) / 30.0, total * centre / 30.0])


def test_simple_spans_stand_alone():
    structure = build(single_line((30.0, 20.0), continuity="simple"))
    assert [seat.mark for seat in structure.seats] == ["S1-1", "S2-1b", "S2-1a", "S3-1"]
    held = {"S1-1": "x y z rx", "S2-1b": "y z rx", "S2-1a": "x y z rx", "S3-1": "y z rx"}
    found = reactions(structure, "short", deck_line_load(structure, "short", 10e3), held)
    assert found == pytest.approx([150e3, 150e3, 100e3, 100e3])


def test_tapered_and_stepped_beam_by_the_unit_load_method():
    # mid-span deflection = integral of M m / E I (unit load method), by fine quadrature
    shallow, deep = {**PLATE, "web_depth": "1200 mm"}, {**PLATE, "web_depth": "2400 mm"}
    bridge = single_line(
        (40.0,),
        sections={"s": shallow, "d": deep},
        segments=[
            {"start": "0 m", "end": "16 m", "section": "s", "end_section": "d"},
            {"start": "16 m", "end": "40 m", "section": "d"},
        ],
        mesh="0.5 m",
        materials={"steel_poisson": 0.0},
    )
    structure = build(bridge)
    vector = deck_line_load(structure, "short", 50e3)
    condensed, supported = stand(structure, "short", plain(structure))
    effects = supported.effects(condensed.load(vector))
    moved = condensed.displacements(vector, effects.seat_force, effects.motion).reshape(-1, 6)
    middle = int(np.argmin(abs(structure.states["short"].frame.nodes[:, 0] - 20.0)))

    step = 0.005
    x = np.arange(step / 2, 40.0, step)
    moment, unit = 25e3 * x * (40.0 - x), np.minimum(x, 40.0 - x) / 2.0
    shear, unit_shear = 50e3 * (20.0 - x), np.where(x < 20.0, 0.5, -0.5)
    inertia, web = np.zeros_like(x), np.zeros_like(x)
    for k, at in enumerate(x):
        depth = 1200.0 + 1200.0 * min(at / 16.0, 1.0)
        own = section_properties(PlateGirder.model_validate({**PLATE, "web_depth": f"{depth} mm"}))
        inertia[k], web[k] = own.Iy, own.Az
    by_hand = step * np.sum(
        moment * unit / (E_STEEL * inertia) + shear * unit_shear / (E_STEEL / 2 * web)
    )
    assert -moved[middle, 2] == pytest.approx(by_hand, rel=2e-3)
    # seats follow the underside: by hand 25 + 1200 + 40 and 25 + 2400 + 40 mm
    assert [seat.point[2] for seat in structure.seats] == pytest.approx([-1.265, -2.465])


# ------------------------------------------------------------------ composite action
def composite_line(**changes):
    slab = {**SLAB, "overhang_left": "1.5 m", "overhang_right": "1.5 m"}
    return single_line((40.0,), **{"type": "composite", "slab": slab, **changes})


@pytest.mark.parametrize(("state", "creep"), [("short", 1.0), ("long", 3.0)])
def test_composite_stiffness_and_shrinkage_by_hand(state, creep):
    # by hand: steel 0.05 m2 / 0.02 m4 with its axis 0.8 m below its top, haunch 0.05, slab 3 x 0.25
    n = E_STEEL / (E_CONCRETE / creep)
    concrete, arm = 3.0 * 0.25 / n, 0.125 + 0.05 + 0.8
    total = 0.05 + concrete
    below = 0.05 * arm / total  # neutral axis below the slab's middle
    EI = E_STEEL * (0.02 + 0.05 * (arm - below) ** 2 + concrete * (below**2 + 0.25**2 / 12))
    structure = build(composite_line())
    effects = solve(structure, state, deck_line_load(structure, state, 50e3))
    assert effects.movement[0, 4, 0] == pytest.approx(50e3 * 40.0**3 / (24 * EI), rel=1e-9)
    # shrinkage: Ec Ac eps at the slab's middle bends by Ec Ac eps below / EI and shortens by
    # Ec Ac eps / EA; the seats stand at the underside
    force = E_CONCRETE / creep * 0.75 * 3e-4
    curvature, strain = force * below / EI, force / (E_STEEL * total)
    vector = structure.states[state].shortening(3e-4)
    effects = solve(structure, state, vector)
    # a simple beam of even sagging curvature turns by L / 2 times it at its ends
    assert effects.movement[0, 4, 0] == pytest.approx(20.0 * curvature, rel=1e-9)
    underside = 1.5 + 0.05 + 0.125 - below
    lengthening = 40.0 * (-strain + curvature * underside)
    assert effects.movement[1, 0, 0] == pytest.approx(lengthening, rel=1e-9)
    assert np.abs(effects.force).max() < 1e-3  # N: statically determinate


def test_state_steel_has_the_girder_alone():
    structure = build(composite_line())
    effects = solve(structure, "steel", deck_line_load(structure, "steel", 50e3))
    slope = 50e3 * 40.0**3 / (24 * E_STEEL * 0.02)
    assert effects.movement[0, 4, 0] == pytest.approx(slope, rel=1e-9)
    assert not structure.states["steel"].concrete.any()
    assert structure.states["steel"].groups["slab"].size == 0
    assert structure.states["short"].concrete.all()


def test_slab_without_connection_adds_nothing_along():
    structure = build(composite_line(type="steel"))
    effects = solve(structure, "short", deck_line_load(structure, "short", 50e3))
    slope = 50e3 * 40.0**3 / (24 * E_STEEL * 0.02)
    assert effects.movement[0, 4, 0] == pytest.approx(slope, rel=1e-9)


def test_concrete_creeps_and_bridge_of_steel_alone_is_one_frame():
    beam = {"kind": "concrete rectangle", "width": "0.6 m", "depth": "1.8 m"}
    structure = build(
        single_line((20.0,), type="concrete", sections={"g": beam}, materials={"creep_factor": 1.5})
    )
    slopes = [
        solve(structure, s, deck_line_load(structure, s, 1e3)).movement[0, 4, 0]
        for s in ("short", "long")
    ]
    assert slopes[1] == pytest.approx(2.5 * slopes[0])
    assert structure.states["short"].weight[0] == pytest.approx(25e3 * 0.6 * 1.8)
    steel = build(single_line()).states
    assert steel["short"].frame is steel["steel"].frame


# ------------------------------------------------------------------ temperature
def test_even_and_linear_temperature_lock_nothing_into_a_simple_span():
    # a linear field of free strain fits a statically determinate body: no stress, known movements
    # (two lines: four in a row would hold the deck flat across, where it wants to bend as well)
    structure = build(girder_bridge(spans=(40.0,), number=2))
    state, alpha = structure.states["short"], 1.2e-5
    depth = 0.25 + 0.05 + 1.565
    effects = solve(structure, "short", state.temperature_difference(alpha, alpha))
    assert np.abs(effects.force).max() < 1e-3  # N; the girders' E A alpha is 1e5 N
    # warmer top: hogs up, curvature alpha / h; the start turns nose up = negative about y
    turn = alpha / depth * 20.0
    assert effects.movement[:2, 4, 0] == pytest.approx([-turn] * 2, rel=1e-6)
    # the underside is half a kelvin colder than the mean
    assert effects.movement[2:, 0, 0] == pytest.approx([-alpha / 2 * 40.0] * 2, rel=1e-6)
    effects = solve(structure, "short", state.uniform_temperature(alpha, alpha))
    assert effects.movement[2:, 0, 0] == pytest.approx([alpha * 40.0] * 2, rel=1e-9)


def test_temperature_difference_on_two_spans():
    # continuous beam of two equal spans: M = 3/2 E I alpha dT / h over the pier (common practice)
    structure = build(single_line((30.0, 30.0)))
    state = structure.states["short"]
    found = reactions(structure, "short", state.temperature_difference(1.2e-5, 1e-5))
    moment = 1.5 * E_STEEL * 0.02 * 1.2e-5 / 1.5
    # the top is warmer: the beam wants to rise off the pier, the pier must pull it down
    assert found == pytest.approx(np.array([1.0, -2.0, 1.0]) * moment / 30.0, rel=1e-9)


# ------------------------------------------------------------------ the deck as a whole
def test_stiff_cross_girder_spreads_by_engesser_courbon():
    # common practice: a rigid cross girder at mid-span gives girder i the share
    # 1/n + e y_i / sum(y^2) of a load at e; open girders with next to no torsion
    slender = {**SLENDER, "J": "1e-7 m4"}
    stiff = {**SLENDER, "Iy": "1 m4"}
    structure = build(
        girder_bridge(
            spans=(40.0,), type="steel", slab=None, number=4, sections={"g": slender, "d": stiff},
            diaphragms={"section": "d", "chainages": ["20 m"]},
        )
    )  # fmt: skip
    state = structure.states["short"]
    offsets = np.array([-4.5, -1.5, 1.5, 4.5])
    vector = state.deck.point_loads(state.frame, np.array([20.0]), np.array([3.0])).toarray()
    found = reactions(structure, "short", vector[:, 0])
    shares = 1 / 4 + 3.0 * offsets / np.sum(offsets**2)
    assert found[:4] + found[4:] == pytest.approx(shares, abs=2e-3)


def test_deck_without_slab_hands_loads_on_as_simple_beams():
    # by the lever rule: one metre from the right line of a gap of 3 m; no torsion in the girders
    structure = build(girder_bridge(spans=(40.0,), number=2))
    state = structure.states["steel"]
    vector = state.deck.point_loads(state.frame, np.array([0.0]), np.array([-0.5])).toarray()[:, 0]
    at_line = vector.reshape(-1, 6)
    assert not state.deck.slab
    assert structure.states["short"].deck.slab
    nodes = [int(seat) for seat in state.seats.node[:2]]
    assert at_line[nodes, 2] == pytest.approx([-2 / 3, -1 / 3])
    assert np.abs(at_line[:, 3]).max() == 0.0


def test_slab_stiffens_the_deck_in_plan():
    structure = build(girder_bridge(spans=(40.0,), number=4, skew=25.0))
    sway = {}
    for name in ("steel", "short"):
        state = structure.states[name]
        vector = state.deck.horizontal_load(state.frame, 0.0, 10e3, -1.0, 0.0, 40.0)
        held = plain(structure)
        condensed, supported = stand(structure, name, held)
        effects = supported.effects(condensed.load(vector))
        moved = condensed.displacements(vector, effects.seat_force, effects.motion).reshape(-1, 6)
        sway[name] = float(np.abs(moved[:, 1]).max())
    # deck as a deep beam: 5 w L^4 / 384 E I with I of the slab alone, at most; shear adds to it
    slab = 0.25 * (9.0 + 2.4) ** 3 / 12
    assert sway["short"] < 20 * 5 * 10e3 * 40.0**4 / (384 * E_CONCRETE * slab)
    assert sway["steel"] > 5 * sway["short"]


@settings(max_examples=12)
@given(
    skew=st.floats(-70.0, 70.0),
    number=st.integers(2, 5),
    state=st.sampled_from(["steel", "long", "short"]),
)
def test_equilibrium_and_mirror(skew, number, state):
    """Skew +a mirrored about the reference line is skew -a: same reactions, lines exchanged."""
    found = []
    for a in (skew, -skew):
        structure = build(girder_bridge(spans=(40.0,), skew=a, number=number))
        condensed = condense(structure.states[state].frame, structure.states[state].seats)
        assert condensed.residuals.rigid_body < 1e-11
        assert condensed.residuals.solution < 1e-11
        for load in structure.loads:
            assert weight_down(load.vector) == pytest.approx(load.total, rel=1e-9)
        vector = structure.states[state].frame.line_load(
            np.arange(len(structure.states[state].weight)),
            -structure.states[state].weight[:, None] * np.array([0.0, 0.0, 1.0]),
        )
        held = {seat.mark: "z" for seat in structure.seats}
        middle = "x y z"  # a symmetric choice: everything held on the first support's lines
        held |= {seat.mark: middle for seat in structure.seats if seat.support == "S1"}
        found.append(reactions(structure, state, vector, held))
    straight, mirrored = found
    swapped = mirrored.reshape(2, number)[:, ::-1].ravel()
    assert straight == pytest.approx(swapped, rel=1e-6, abs=1e-6 * np.abs(straight).max())


def test_skew_lifts_the_acute_corner():
    # known behaviour of skew decks: the obtuse corner takes more than the acute one.
    # Skew anticlockwise: the left line starts earlier, so the start's obtuse corner is right.
    structure = build(girder_bridge(spans=(30.0,), skew=45.0, number=4))
    state = structure.states["short"]
    right, left = state.deck.right, state.deck.left
    vector, _ = area_load(state, state.deck, 10e3, right, left)
    found = reactions(structure, "short", vector)
    assert found[0] > 1.1 * found[3]
    assert found[7] > 1.1 * found[4]


def test_curve_of_huge_radius_is_straight():
    seats, forces = [], []
    for radius in (None, 1e7):
        structure = build(girder_bridge(spans=(30.0, 40.0), skew=20.0, radius=radius, number=3))
        load = structure.loads[1]
        seats.append(np.array([seat.point for seat in structure.seats]))
        forces.append(reactions(structure, load.state, load.vector))
    np.testing.assert_allclose(seats[0], seats[1], atol=1e-3)
    np.testing.assert_allclose(forces[0], forces[1], rtol=1e-4, atol=10.0)


def test_curved_span_leans_outward_by_statics():
    # two lines on a curve, radial supports: R(outer) - R(inner) follows from the weight's moment
    # about the chord through the middles of the supports (statics)
    radius, half_angle, b = 80.0, 0.25, 2.0
    structure = build(
        girder_bridge(
            spans=(2 * half_angle * radius,), radius=radius, number=2, spacing=f"{2 * b} m",
            type="steel", slab=None,
        )
    )  # fmt: skip
    load = structure.loads[0]
    w = section_properties(PlateGirder.model_validate(PLATE)).A * 77e3
    state = structure.states["steel"]
    members = state.groups["girders"]
    girders = state.frame.line_load(members, np.array([0.0, 0.0, -w]))
    found = reactions(structure, "steel", girders).reshape(2, 2).sum(axis=0)
    moment = 0.0
    for side in (b, -b):  # outer line at y = -b on a left-hand curve
        r = radius + side
        weight = w * 2 * half_angle * r
        moment += weight * (r * math.sin(half_angle) / half_angle - radius * math.cos(half_angle))
    outer, inner = found[0], found[1]
    assert outer + inner == pytest.approx(w * 4 * half_angle * radius, rel=5e-4)
    assert (outer - inner) * b * math.cos(half_angle) == pytest.approx(moment, rel=5e-3)
    assert load.total > outer + inner  # diaphragms too


def test_single_line_takes_torsion_where_rotation_is_held():
    # by hand: a line load P at e gives the torque P e, half to each end of a straight beam
    structure = build(composite_line())
    effects = solve(structure, "short", deck_line_load(structure, "short", 10e3, y=1.0))
    # loaded left of the line: the left goes down, a negative moment about x on the bearing
    assert effects.force[:, 3, 0] == pytest.approx([-10e3 * 40.0 * 1.0 / 2] * 2)


def test_build_girders_is_what_build_gives():
    bridge = girder_bridge()
    one, other = build(bridge), build_girders(bridge)
    assert [seat.mark for seat in one.seats] == [seat.mark for seat in other.seats]
    assert one.deck_type == "composite"
