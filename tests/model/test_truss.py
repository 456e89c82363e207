"""Trusses against hand statics, the unit-load method, beams of the handbooks and equilibrium."""

import itertools
import math

import numpy as np
import pytest
from girder_cases import stand, weight_down
from scipy.interpolate import CubicSpline
from truss_cases import (
    MEMBERS,
    SLAB,
    axial_forces,
    bar_section,
    deflect,
    node_at,
    pin_jointed,
    truss_bridge,
)

from bedstone.bridge.seats import seat_marks
from bedstone.errors import InputError
from bedstone.mechanics.condense import condense
from bedstone.model.sections import section_properties
from bedstone.model.stages import line_load
from bedstone.model.truss import build_truss

E_STEEL, E_CONCRETE = 210e9, 33e9  # defaults of the bridge file
FORMS = ("pratt", "n", "warren", "warren with posts")
STANDS = (("through", "bottom"), ("deck", "bottom"), ("deck", "top"))
CURVED = ["5 m", "6.5 m", "7 m", "7 m", "6.5 m", "5 m"]


def every_kind():
    for form, (deck, seat_chord), joints in itertools.product(FORMS, STANDS, ("rigid", "pinned")):
        yield {"form": form, "deck": deck, "seat_chord": seat_chord, "joints": joints}


def held_apart(structure):
    """Held directions of simple spans: each stands on its own fixed and guided bearings."""
    held = {seat.mark: "z" for seat in structure.seats}
    for seat in structure.seats:
        if seat.line == 1:
            first = seat.mark.endswith("a") or seat.support == structure.supports[0]
            held[seat.mark] = "x y z" if first else "y z"
    return held


def joint_loads(frame, load, points, level, half=3.0):
    """Load vector of downward forces at (x, z = level) in both truss planes."""
    vector = np.zeros((len(frame.nodes), 6))
    for x, y in itertools.product(points, (-half, half)):
        vector[node_at(frame, x, y, level), 2] -= load
    return vector.ravel()


# ------------------------------------------------------------------ hand statics
# Pratt truss of four panels of 6 m, 8 m high, P at each inner bottom joint of each plane; all
# members of area A. Forces by the method of sections and deflections by the unit-load method
# (sum of S s L / A E, standard), worked by hand:
#
#   member      S / P     s (unit load at b2)   s (unit load at b1)         L
#   b0-b1-b2    1.125     0.375                 0.5625                      6
#   b2-b3-b4    1.125     0.375                 0.1875                      6
#   t1-t2-t3   -1.5      -0.75                 -0.375                       6
#   b0-t1      -1.875    -0.625                -0.9375                     10
#   t3-b4      -1.875    -0.625                -0.3125                     10
#   t1-b2       0.625     0.625                -0.3125                     10
#   b2-t3       0.625     0.625                 0.3125                     10
#   b1-t1       1         0                     1                           8
#   b2-t2       0         0                     0                           8
#   b3-t3       1         0                     0                           8
P, AREA = 100e3, 0.02
AE = AREA * E_STEEL
DELTA_2 = (6 * (4 * 1.125 * 0.375 + 2 * 1.5 * 0.75) + 10 * (2 * 1.875 + 2 * 0.625) * 0.625) * P / AE
DELTA_1 = (
    6 * (1.125 * (2 * 0.5625 + 2 * 0.1875) + 1.5 * 2 * 0.375) + 10 * 1.875 * (0.9375 + 0.3125) + 8
) * P / AE  # fmt: skip
EXTENSION = 4 * 6 * 1.125 * P / AE


def hand_truss(**changes):
    structure = build_truss(truss_bridge(**pin_jointed(AREA, **changes)))
    frame = structure.states["short"].frame
    vector = joint_loads(frame, P, (6.0, 12.0, 18.0), -1.0)
    return structure, frame, *deflect(structure, "short", vector)


def test_bar_forces_by_the_method_of_sections():
    _, frame, effects, moved = hand_truss()
    force = axial_forces(frame, moved)
    expected = {
        ((0, -1), (6, -1)): 1.125,
        ((6, -1), (12, -1)): 1.125,
        ((6, 7), (12, 7)): -1.5,
        ((0, -1), (6, 7)): -1.875,
        ((6, 7), (12, -1)): 0.625,
        ((6, -1), (6, 7)): 1.0,
        ((12, -1), (12, 7)): 0.0,
    }
    ends = frame.nodes[frame.ends]
    for ((x1, z1), (x2, z2)), share in expected.items():
        for y in (-3.0, 3.0):
            a, b = np.array([x1, y, z1]), np.array([x2, y, z2])
            match = [
                m
                for m, (i, j) in enumerate(ends)
                if (np.allclose(i, a) and np.allclose(j, b))
                or (np.allclose(i, b) and np.allclose(j, a))
            ]
            assert len(match) == 1
            assert force[match[0]] / P == pytest.approx(share, abs=2e-5)
    assert -effects.force[:, 2, 0] == pytest.approx([1.5 * P] * 4, rel=1e-9)


def test_deflection_by_the_unit_load_method():
    _, frame, _, moved = hand_truss()
    for x, delta in ((6.0, DELTA_1), (12.0, DELTA_2), (18.0, DELTA_1)):
        assert -moved[node_at(frame, x, 3.0, -1.0), 2] == pytest.approx(delta, rel=1e-4)


def test_bottom_chord_lengthens_by_the_sum_of_its_bars():
    # delta = sum(S L / A E) over the bottom chord: the movement of the free end of a truss that
    # stands on its bottom chord, whatever its end rotation
    structure, _, effects, _ = hand_truss()
    free = [k for k, seat in enumerate(structure.seats) if seat.support == "S2"]
    assert effects.movement[free, 0, 0] == pytest.approx([EXTENSION] * 2, rel=1e-4)


def test_end_rotation_is_that_of_the_chord_through_the_joints():
    # a slender continuous chord takes the shape of a natural cubic spline through the deflected
    # joints (scipy's spline); it turns nose down at the start
    structure, _, effects, _ = hand_truss()
    spline = CubicSpline([0, 6, 12, 18, 24], [0, DELTA_1, DELTA_2, DELTA_1, 0], bc_type="natural")
    slope = float(spline(0.0, 1))
    turns = {"S1": slope, "S2": -slope}
    for number, seat in enumerate(structure.seats):
        assert effects.movement[number, 4, 0] == pytest.approx(turns[seat.support], rel=1e-3)


def test_contact_below_the_chord_adds_the_turn_of_both_ends():
    # rigid-body kinematics: a point 0.5 m below the axis moves back by 0.5 theta at each end
    deep, _, effects, _ = hand_truss(contact="0.5 m")
    turn = abs(effects.movement[:, 4, 0])
    free = [k for k, seat in enumerate(deep.seats) if seat.support == "S2"]
    moved = effects.movement[free, 0, 0]
    assert moved == pytest.approx(EXTENSION + 0.5 * (turn[:2] + turn[2:]), rel=1e-4)
    assert deep.seats[0].point == (0.0, -3.0, -1.5)


def test_n_diagonals_are_pressed_where_pratt_diagonals_are_pulled():
    # common practice, no source: the reason for the two forms
    for form, sign in (("pratt", 1.0), ("n", -1.0)):
        _, frame, _, moved = hand_truss(form=form)
        structure = build_truss(truss_bridge(**pin_jointed(AREA, form=form)))
        diagonals = structure.states["short"].groups["diagonals"]
        assert np.all(sign * axial_forces(frame, moved)[diagonals] > 0.3 * P)


@pytest.mark.parametrize("continuity", ["simple", "continuous"])
def test_long_stiff_webbed_truss_is_a_beam(continuity):
    # standard beam tables: two equal spans carry 3/8, 5/4, 3/8 of w L; a simple span 1/2.
    # chords alone give E A h^2 / 2; the web is made stiff so that it does not shear
    area = 0.01
    sections = {
        "bar": bar_section(area, 1e-5),
        "web": bar_section(1.0, 1e-5),
        "floor": bar_section(0.02, 1e-4),
        "brace": bar_section(1e-5),
    }
    fields = pin_jointed(
        panels=(16, 16),
        panel=3.0,
        heights=["3 m"],
        continuity=continuity,
        sections=sections,
        members={
            "top_chord": "bar", "bottom_chord": "bar", "end_posts": "web", "diagonals": "web",
            "posts": "web", "cross_girders": "floor", "stringers": "floor", "lateral": "brace",
        },
    )  # fmt: skip
    structure = build_truss(truss_bridge(**fields))
    w, length = 10e3, 48.0
    frame = structure.states["short"].frame
    load = np.zeros((len(frame.nodes), 6))
    for x, y in itertools.product(3.0 * np.arange(33), (-3.0, 3.0)):
        here = np.flatnonzero(np.all(np.abs(frame.nodes - [x, y, -1.0]) < 1e-6, axis=1))
        load[here, 2] = -w * 3.0 / len(here) * (0.5 if x in (0.0, 96.0) else 1.0)
    held = None if continuity == "continuous" else held_apart(structure)
    effects, moved = deflect(structure, "short", load.ravel(), held)
    reaction = dict(zip((s.mark for s in structure.seats), -effects.force[:, 2, 0], strict=True))
    if continuity == "continuous":
        shares = {"S1-1": 0.375, "S2-1": 1.25, "S3-2": 0.375}
        assert {k: reaction[k] / (w * length) for k in shares} == pytest.approx(shares, rel=0.01)
    else:
        assert set(np.round(np.array(list(reaction.values())) / (w * length), 6)) == {0.5}
        assert len(reaction) == 8
        middle = -moved[node_at(frame, 24.0, 3.0, -1.0), 2]
        EI = E_STEEL * area * 3.0**2 / 2.0
        assert middle == pytest.approx(5 * w * length**4 / (384 * EI), rel=0.02)


# ------------------------------------------------------------------ every kind of truss stands
@pytest.mark.parametrize("kind", list(every_kind()), ids=lambda kind: " ".join(kind.values()))
@pytest.mark.parametrize(
    ("panels", "heights"), [((2,), ["8 m"]), ((4,), ["8 m"]), ((5,), CURVED), ((4, 4), ["8 m"])]
)
def test_every_form_stands_and_carries_exactly(kind, panels, heights):
    spans = "continuous" if len(panels) > 1 else "simple"
    bridge = truss_bridge(panels, heights=heights, continuity=spans, **kind)
    structure = build_truss(bridge)
    assert len(structure.seats) == 2 * len(structure.supports)
    for name, state in structure.states.items():
        condensed, _ = stand(structure, name, held_apart(structure))
        assert max(condensed.residuals.__dict__.values()) < 1e-9
        weight = state.frame.line_load(
            np.arange(len(state.weight)), np.outer(state.weight, [0.0, 0.0, -1.0])
        )
        sideways = state.frame.line_load(
            np.arange(len(state.weight)), np.outer(state.weight, [0.0, 1.0, 0.0])
        )
        total = float(state.weight @ state.frame.length)
        effects, moved = deflect(structure, name, weight, held_apart(structure))
        assert -effects.force[:, 2, 0].sum() == pytest.approx(total, rel=1e-9)
        # nothing moves as a mechanism would: own weight bends a truss by far less than L / 1000,
        # and pushed sideways by its own weight it stays within a fiftieth of its span
        span = 8.0 * max(panels)
        assert np.abs(moved[:, :3]).max() < span / 1000.0
        _, swayed = deflect(structure, name, sideways, held_apart(structure))
        assert np.abs(swayed[:, :3]).max() < span / 50.0


def test_loads_of_stages_weigh_what_stands_on_the_drawing():
    # weights by hand: volumes of the members and of the slab
    structure = build_truss(truss_bridge((6,)))
    frame, groups = structure.states["steel"].frame, structure.states["steel"].groups
    area = {
        name: section_properties(s).A for name, s in truss_bridge().superstructure.sections.items()
    }
    stock = {**MEMBERS, "end_posts": "chord", "portals": "brace", "top_struts": "brace"}
    steel = sum(
        77_000.0 * 1.15 * area[stock[group]] * frame.length[members].sum()
        for group, members in groups.items()
    )
    assert groups.keys() == stock.keys()
    slab = 25_000.0 * 48.0 * (0.2 * (3.6 + 0.8) + 3 * 0.25 * 0.05)
    loads = {load.label: load for load in structure.loads}
    assert [load.state for load in structure.loads] == ["steel", "steel"]
    assert loads["self weight"].total == pytest.approx(steel)
    assert loads["slab"].total == pytest.approx(slab)
    for load in structure.loads:
        assert weight_down(load.vector) == pytest.approx(load.total, rel=1e-9)
    # chords of six panels by hand: 2 x 48 m below, 2 x 32 m above
    assert frame.length[groups["bottom_chord"]].sum() == pytest.approx(96.0)
    assert frame.length[groups["top_chord"]].sum() == pytest.approx(64.0)
    assert frame.length[groups["end_posts"]].sum() == pytest.approx(4 * math.hypot(8.0, 8.0))


def test_weight_allowance_multiplies_the_steel():
    bare = build_truss(truss_bridge(weight_allowance=0.0)).loads[0].total
    assert build_truss(truss_bridge(weight_allowance=0.2)).loads[0].total == pytest.approx(
        1.2 * bare
    )


# ------------------------------------------------------------------ floor and slab
@pytest.mark.parametrize("deck", ["through", "deck"])
@pytest.mark.parametrize("slab", [None, SLAB])
def test_a_load_on_the_deck_reaches_the_supports_by_statics(deck, slab):
    # lever rule along and across the bridge: one wheel of 1 N at x, y
    structure = build_truss(truss_bridge((6,), start=120.0, deck=deck, slab=slab))
    state = structure.states["long"]
    for x, y in ((13.7, 0.9), (44.2, -1.8), (24.0, 2.1)):
        vector = state.deck.point_loads(state.frame, np.array([120.0 + x]), np.array([y]))
        effects, _ = deflect(structure, "long", vector.toarray()[:, 0])
        N = dict(zip((s.mark for s in structure.seats), -effects.force[:, 2, 0], strict=True))
        assert N["S2-1"] + N["S2-2"] == pytest.approx(x / 48.0, rel=1e-9)
        left = N["S1-2"] + N["S2-2"]
        assert left == pytest.approx((y + 3.0) / 6.0, rel=1e-9)


def test_floor_takes_no_part_of_the_chord_force_unless_the_slab_is_composite():
    # a floor that slides changes nothing; one tied to the chords through stiff cross girders shares
    # the force of the chord by axial stiffness: extension = sum S L / (E A + half of the floor's)
    def extension(**changes):
        sections = {
            "bar": bar_section(AREA),
            "cross": {**bar_section(1.0), "Iz": "50 m4", "Iy": "1e-3 m4"},
            "floor": bar_section(0.015),
            "brace": bar_section(1e-9),
        }
        fields = pin_jointed(AREA, sections=sections, stringer_offsets=["-1.5 m", "1.5 m"])
        fields["members"] = {**fields["members"], "cross_girders": "cross"}
        structure = build_truss(truss_bridge(**{**fields, **changes}))
        frame = structure.states["short"].frame
        effects, _ = deflect(structure, "short", joint_loads(frame, P, (6.0, 12.0, 18.0), -1.0))
        return effects.movement[-2:, 0, 0].mean()

    plain = {"thickness": "0.2 m", "overhang_left": "0.5 m", "overhang_right": "0.5 m"}
    assert extension() == pytest.approx(EXTENSION, rel=1e-3)
    assert extension(slab=plain) == pytest.approx(EXTENSION, rel=1e-3)
    floor = 2 * 0.015 * E_STEEL + 0.2 * 4.0 * E_CONCRETE
    shared = 27.0 * P / (AE + floor / 2.0)
    assert extension(slab=plain, slab_composite=True) == pytest.approx(shared, rel=0.01)


def test_states_differ_by_the_slab_alone():
    structure = build_truss(truss_bridge(slab_composite=True))
    steel, long, short = (structure.states[name] for name in ("steel", "long", "short"))
    assert structure.deck_type == "composite"
    assert "slab" not in steel.groups
    count = len(steel.weight)
    assert np.array_equal(steel.frame.ends, short.frame.ends[:count])
    slab = short.groups["slab"]
    assert np.all(slab >= count)
    assert np.all(short.concrete[slab])
    assert not short.concrete[:count].any()
    # creep factor 2 of the default materials
    assert short.frame.E[slab] == pytest.approx(3.0 * long.frame.E[slab])
    assert np.all(short.weight[slab] == 0.0)
    assert np.all(short.shrinkage[slab, 0] == -1.0)
    assert np.array_equal(steel.seats.node, long.seats.node)
    bare = build_truss(truss_bridge(slab=None))
    assert bare.states["long"].frame is bare.states["steel"].frame
    assert bare.deck_type == "steel"


@pytest.mark.parametrize("slab_composite", [False, True])
@pytest.mark.parametrize("joints", ["rigid", "pinned"])
def test_even_warmth_only_lengthens_a_truss(joints, slab_composite):
    # a body that expands alike everywhere keeps its shape: alpha dT L, no reaction
    structure = build_truss(truss_bridge((5,), joints=joints, slab_composite=slab_composite))
    warm = structure.states["long"].uniform_temperature(12e-6, 12e-6) * 30.0
    effects, _ = deflect(structure, "long", warm)
    assert effects.movement[-2:, 0, 0] == pytest.approx([12e-6 * 30.0 * 40.0] * 2, rel=1e-6)
    assert effects.movement[1::2, 1, 0] == pytest.approx([12e-6 * 30.0 * 6.0] * 2, rel=1e-6)
    assert np.abs(effects.force).max() < 1.0


def test_slab_shortens_the_truss_only_where_it_is_tied_to_it():
    # a slab that slides leaves the bearings alone; one that is tied pulls the ends together, by
    # less than its own free shortening
    def movement(slab_composite):
        structure = build_truss(truss_bridge((6,), slab_composite=slab_composite))
        state = structure.states["long"]
        effects, _ = deflect(structure, "long", state.shortening(3e-4))
        return effects.movement

    assert np.abs(movement(False)).max() < 1e-12
    free = -3e-4 * 48.0
    assert np.all(movement(True)[-2:, 0, 0] < 0.05 * free)
    assert np.all(movement(True)[-2:, 0, 0] > free)


def test_a_warm_top_chord_turns_the_ends_like_a_beam():
    # standard: theta = alpha dT L / (2 h) at each end, h between the chord axes; the chord between
    # joints keeps the curvature of the whole (a continuous chord in rigid joints follows it)
    structure = build_truss(truss_bridge((12,), panel=4.0, heights=["6 m"], slab=None))
    state = structure.states["short"]
    vector = state.temperature_difference(12e-6, 12e-6) * 10.0
    effects, _ = deflect(structure, "short", vector)
    theta = 12e-6 * 10.0 * 48.0 / (2 * 6.0)
    assert effects.movement[:2, 4, 0] == pytest.approx([-theta] * 2, rel=0.02)
    assert effects.movement[-2:, 4, 0] == pytest.approx([theta] * 2, rel=0.02)


def test_bars_carry_no_moment():
    structure = build_truss(truss_bridge((6,), joints="pinned"))
    state = structure.states["steel"]
    load = structure.loads[0].vector
    _, moved = deflect(structure, "steel", load)
    frame = state.frame
    ends = np.concatenate([moved[frame.ends[:, 0]], moved[frame.ends[:, 1]]], axis=1)
    local = np.einsum("mij,mjk,mk->mi", frame.local_stiffness, frame.to_local, ends)
    for group in ("diagonals", "posts", "top_chord", "lateral", "top_struts"):
        assert np.all(local[state.groups[group]][:, [3, 4, 5, 9, 10, 11]] == 0.0)
    assert np.abs(local[state.groups["bottom_chord"]][:, 4]).max() > 0.0


# ------------------------------------------------------------------ seats and shape
@pytest.mark.parametrize("continuity", ["simple", "continuous"])
def test_seats_stand_in_order_and_bear_the_marks_of_the_file(continuity):
    bridge = truss_bridge((4, 5), start=500.0, continuity=continuity)
    structure = build_truss(bridge)
    marks = [seat.mark for seat in structure.seats]
    inner = ["S2-1", "S2-2"] if continuity == "continuous" else ["S2-1b", "S2-2b", "S2-1a", "S2-2a"]
    assert marks == ["S1-1", "S1-2", *inner, "S3-1", "S3-2"]
    assert sorted(marks) == sorted(seat.mark for seat in seat_marks(bridge))
    assert structure.unit_length == (72.0 if continuity == "continuous" else 40.0)
    place = {seat.mark: seat for seat in structure.seats}
    assert place["S3-2"].point == pytest.approx((72.0, 3.0, -1.4))
    assert place["S3-2"].chainage == pytest.approx(572.0)
    state = structure.states["steel"]
    contact = state.frame.nodes[state.seats.node] + state.seats.arm
    assert contact == pytest.approx(np.array([seat.point for seat in structure.seats]))
    parts = condense(state.frame, state.seats).part
    assert len(set(parts)) == (1 if continuity == "continuous" else 2)


def test_levels_of_deck_and_through_trusses():
    for deck, seat_chord, low, depth in (
        ("through", "bottom", -1.4, 8.0),
        ("deck", "bottom", -9.4, 9.0),
        ("deck", "top", -1.4, 9.0),
    ):
        structure = build_truss(truss_bridge(deck=deck, seat_chord=seat_chord))
        assert structure.seats[0].point[2] == pytest.approx(low)
        assert structure.depth == pytest.approx(depth)


def test_curved_chord_has_the_given_heights():
    structure = build_truss(truss_bridge((5,), heights=CURVED))
    nodes = structure.states["steel"].frame.nodes
    for x, height in ((8.0, 6.5), (16.0, 7.0), (32.0, 6.5)):
        node_at(structure.states["steel"].frame, x, 3.0, height - 1.0)
    assert nodes[:, 2].max() == 6.0
    warren = build_truss(truss_bridge((5,), heights=CURVED, form="warren"))
    node_at(warren.states["steel"].frame, 4.0, -3.0, 4.75)  # midway between 5 m and 6.5 m


@pytest.mark.parametrize("kind", list(every_kind()), ids=lambda kind: " ".join(kind.values()))
def test_skew_shifts_the_planes(kind):
    # plane geometry: the support line is turned anticlockwise, its left end stands back
    structure = build_truss(truss_bridge((4,), skew=20.0, **kind))
    shift = 3.0 * math.tan(math.radians(20.0))
    assert [seat.point[0] for seat in structure.seats] == pytest.approx(
        [shift, -shift, 32.0 + shift, 32.0 - shift]
    )
    state = structure.states["long"]
    vector, total = line_load(state, state.deck, 1e3, 0.0)
    effects, _ = deflect(structure, "long", vector)
    assert -effects.force[:, 2, 0].sum() == pytest.approx(total, rel=1e-9)
    assert total == pytest.approx(32e3)


# ------------------------------------------------------------------ faults
@pytest.mark.parametrize(
    ("changes", "where", "allowed"),
    [
        ({"radius": 500}, "alignment.radius", "straight"),
        ({"seat_chord": "top"}, "superstructure.seat_chord", "bottom"),
        ({"members": {k: v for k, v in MEMBERS.items() if k != "posts"}},
         "superstructure.members.posts", "section"),
        ({"panels": (2, 2), "continuity": "continuous", "heights": ["8 m", "8 m", "7 m"]},
         "superstructure.heights", "the same"),
        ({"panels": (4,), "heights": ["8 m", "7 m"]}, "superstructure.heights", "panel point"),
        ({"slab": {"thickness": "0.2 m"}, "stringer_offsets": ["0 m"], "slab_composite": True},
         "superstructure.slab.overhang_left", "wider"),
    ],
)  # fmt: skip
def test_what_a_truss_cannot_be_is_one_clear_fault(changes, where, allowed):
    with pytest.raises(InputError) as caught:
        build_truss(truss_bridge(**changes))
    (fault,) = caught.value.faults
    assert fault.where == where
    assert allowed in fault.allowed


def test_warren_without_posts_needs_no_section_for_them():
    members = {k: v for k, v in MEMBERS.items() if k != "posts"}
    assert build_truss(truss_bridge(form="warren", members=members)).seats
    with pytest.raises(InputError, match="posts"):
        build_truss(truss_bridge((4, 4), form="warren", members=members, continuity="continuous"))


def test_stringer_in_the_plane_of_the_truss_is_a_line_of_the_deck():
    structure = build_truss(truss_bridge(stringer_offsets=["-3 m", "0 m", "3 m"], slab=None))
    assert [line.offset for line in structure.states["steel"].deck.lines] == [-3.0, 0.0, 3.0]
    effects, _ = deflect(structure, "steel", structure.loads[0].vector)
    assert -effects.force[:, 2, 0].sum() == pytest.approx(structure.loads[0].total, rel=1e-9)
