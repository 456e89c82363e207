"""Pot bearings: statics of pad, wall and piston, sizing, refusals, given sizes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sliding_cases import FAMILIES, HELD, basis, demand, line, plate_sizes, slide_sizes

from bedstone.bearings import pot_on_slide
from bedstone.bearings.base import Design, Refusal
from bedstone.bearings.pot import KIND
from bedstone.bearings.pot_sizes import PotForce
from bedstone.bearings.sliding_element import Thrust
from bedstone.errors import InputError
from bedstone.standards.eurocode import pot as en
from bedstone.standards.irc import pot as irc
from bedstone.standards.values import Values

EDITIONS = [("eurocode", {}), ("aashto", {}), ("irc", {}), ("irc", {"irc83__edition": "2002"})]


def body_sizes(bearing) -> dict[str, object]:
    body = bearing.body
    return {
        "pad.diameter": body.diameter,
        "pad.thickness": body.pad,
        "pot.wall": body.wall,
        "pot.bottom": body.bottom,
        "pot.depth": body.depth,
        "piston.thickness": body.piston,
        "piston.rim": body.rim,
        "piston.clearance": body.clearance,
        "rings.number": body.rings,
        "rings.width": body.ring_width,
        "rings.depth": body.ring_depth,
    }


def sizes_of(bearing) -> dict[str, object]:
    sizes = {**body_sizes(bearing), **plate_sizes(bearing)}
    return sizes | (slide_sizes(bearing.slide) if bearing.slide is not None else {})


# ------------------------------------------------------------------ statics
def test_ring_tension_against_integration():
    # Statics: pressure p on half the wall, along the line of the force, held by two sections.
    N, D, t, H, wall, depth, fy = 2e6, 0.3, 0.02, 1e5, 0.02, 0.04, 340e6
    p = N / (math.pi / 4 * D**2)
    angle = np.linspace(-math.pi / 2, math.pi / 2, 20001)
    burst = np.trapezoid(p * t * np.cos(angle) * D / 2, angle)
    en_line = en.wall_tension(Values("eurocode"), N, H, D, t, wall, depth, fy)
    assert en_line.value == pytest.approx(burst + H, rel=1e-6)
    assert en_line.limit.value == pytest.approx(2 * wall * depth * fy)
    irc_line = irc.wall_tension(Values("irc"), N, H, D, t, wall, depth, fy)
    assert irc_line.value == pytest.approx((burst + H) / (2 * wall * depth), rel=1e-6)


def test_edge_strain_is_the_drop_of_the_edge():
    # Geometry: a rigid piston turned by alpha goes down by (D/2) tan(alpha) at its edge.
    strain = en.pad_rotation(Values("eurocode"), 0.01, 0.4, 0.03).value
    assert strain == pytest.approx(0.2 * math.tan(0.01) / 0.03, rel=1e-4)


@settings(max_examples=30, deadline=None)
@given(
    N=st.floats(1e5, 1e7), H=st.floats(0.0, 1e6), M=st.floats(0.0, 1e5), lever=st.floats(0.0, 0.3)
)
def test_eccentricity_balances_the_piston(N, H, M, lever):
    # Statics of the piston about the contact with the wall: N e = M + H z.
    seat = demand("fixed").cases[3]
    case = replace(seat, N=N, Hx=0.6 * H, Hy=0.8 * H)
    force = PotForce(Thrust(case, 0.6 * H, 0.8 * H), 0.01, M, 0.0)
    ex, ey = force.eccentricity(lever)
    assert N * math.hypot(ex, ey) == pytest.approx(M + H * lever, rel=1e-9, abs=1e-6)
    if H > 0.0:
        assert ey == pytest.approx(ex * 0.8 / 0.6, rel=1e-9)


def test_type_test_replaces_the_estimate():
    seat = demand("fixed")
    usual = KIND.size(seat, basis())
    tested = KIND.size(seat, basis(pot__F0=1e3, pot__F1=2e4, pot__F2=5e5))
    assert any("estimate" in note for note in usual.notes)
    assert any("type test given" in note for note in tested.notes)
    found = line(tested, "Restoring moment of the pad")
    inputs = {item.symbol: item.value for item in found.inputs}
    # EN 1337-5, 6.1.1 as recalled.
    hand = 32 * inputs["D"] ** 3 * (1e3 + 2e4 * inputs["alpha1"] + 5e5 * inputs["alpha2"])
    assert found.value == pytest.approx(hand)


# ------------------------------------------------------------------ sizing
@pytest.mark.parametrize(("family", "options"), EDITIONS)
@pytest.mark.parametrize("function", HELD)
@pytest.mark.parametrize("kind", [KIND, pot_on_slide.KIND], ids=lambda kind: kind.name)
def test_what_is_sized_passes(kind, function, family, options):
    design = kind.size(demand(function), basis(family, **options))
    if kind.name == "pot on slide" and function == "fixed":
        assert isinstance(design, Refusal)
        return
    assert isinstance(design, Design)
    assert design.passes, design.lines[0]
    assert (design.bearing.slide is None) == (function == "fixed")
    assert design.height == pytest.approx(design.bearing.height)
    assert design.mass == pytest.approx(sum(part.mass * part.number for part in design.parts))
    names = {part.name for part in design.parts}
    assert {"pot", "pad", "sealing ring", "piston", "base plate"} <= names
    assert ("middle plate" in names) == (kind.name == "pot on slide")
    held = any(HELD[function])
    assert (design.behaviour.play > 0.0) == held
    assert design.behaviour.rotation_x > 0.0
    utilisations = [one.utilisation for one in design.lines if one.utilisation is not None]
    assert utilisations == sorted(utilisations, reverse=True)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("function", ["fixed", "guided along"])
def test_given_again_gives_the_same_lines(family, function):
    seat, on = demand(function), basis(family)
    sized = KIND.size(seat, on)
    again = KIND.given(sizes_of(sized.bearing), seat, on)
    assert {(one.title, one.part): one.utilisation for one in again.lines} == pytest.approx(
        {(one.title, one.part): one.utilisation for one in sized.lines}
    )
    assert again.mass == pytest.approx(sized.mass, rel=1e-6)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("size", ["pad.diameter", "pot.wall", "pot.depth"])
def test_less_fails(family, size):
    # With a heavy horizontal force the wall is more than the least that is made.
    seat, on = demand("fixed", H=320e3), basis(family)
    sizes = body_sizes(KIND.size(seat, on).bearing)
    less = {
        "pad.diameter": float(sizes["pad.diameter"]) - 0.01,
        "pot.wall": float(sizes["pot.wall"]) - 0.005,
        "pot.depth": float(sizes["pad.thickness"]) + float(sizes["piston.rim"]) + 1e-4,
    }
    worse = KIND.given({**sizes, size: less[size]}, seat, on)
    failing = {one.part for one in worse.lines if (one.utilisation or 0.0) > 1.0}
    assert failing & {"pad", "pot", "piston"}


def test_pad_follows_the_load():
    # EN 1337-5, 6.2.1: 60/1.3 MPa; the diameter in whole 10 mm above.
    for N in (1e6, 5e6, 2e7):
        body = KIND.size(demand("fixed", N=N, H=0.02 * N), basis()).bearing.body
        exact = math.sqrt(4 * N / (math.pi * 60e6 / 1.3))
        assert exact <= body.diameter < exact + 0.0101


def test_pad_follows_the_rotation():
    # t >= 0.5 D alpha/0.15 with the 0.005 rad of allowance.
    seat = demand("fixed", ry=0.020, rx=0.0)
    body = KIND.size(seat, basis()).bearing.body
    assert body.pad >= 0.5 * body.diameter * 0.025 / 0.15 - 1e-9
    assert body.pad < 0.5 * body.diameter * 0.025 / 0.15 + 0.0011


def test_guides_clear_the_wall():
    bearing = KIND.size(demand("guided along"), basis()).bearing
    pair = bearing.slide.guides[0]
    below = pair.bar_height - bearing.slide.height
    assert below <= bearing.body.gap - bearing.body.outside / 2 * 0.011 + 1e-9


def test_slide_of_its_own_is_higher():
    seat = demand("free")
    assert pot_on_slide.KIND.size(seat, basis()).height > KIND.size(seat, basis()).height


def test_curved_rim():
    flat = KIND.size(demand("fixed"), basis())
    curved = KIND.size(demand("fixed"), basis(pot__rim_radius=0.1))
    assert line(flat, "Contact of piston and wall").title.endswith("flat rim")
    found = line(curved, "Contact of piston and wall")
    inputs = {item.symbol: item.value for item in found.inputs}
    # EN 1337-5, 6.2.3 as recalled.
    hand = 15 * inputs["fu"] ** 2 * inputs["R"] * inputs["D"] / inputs["Ed"]
    assert found.limit.value == pytest.approx(hand)


def test_path_of_the_seal():
    seat = demand("free")
    short = KIND.size(seat, basis(pot__slide_path=900.0))
    assert short.passes  # brass: 1000 m
    outcome = KIND.size(seat, basis(pot__slide_path=900.0, pot__seal="stainless steel"))
    assert isinstance(outcome, Refusal)
    assert "seal" in outcome.reason


@settings(max_examples=15, deadline=None)
@given(
    N=st.floats(3e5, 2e7),
    H=st.floats(0.0, 0.4),
    ry=st.floats(0.0, 0.05),
    family=st.sampled_from(FAMILIES),
    function=st.sampled_from(list(HELD)),
)
def test_any_seat_has_a_bearing_or_a_reason(N, H, ry, family, function):
    outcome = KIND.size(demand(function, N=N, H=H * N, ry=ry), basis(family))
    if isinstance(outcome, Refusal):
        assert outcome.reason
        assert outcome.clause
        assert outcome.remedy
        return
    beyond = [one for one in outcome.lines if (one.utilisation or 0.0) > 1.0]
    # What the seat of the plates cannot do is theirs to say.
    assert all(one.part.startswith(("base plate", "sliding plate", "top plate")) for one in beyond)


# ------------------------------------------------------------------ refusals
def test_rotation_beyond_the_scope():
    # EN 1337-5 scope: 0.030 rad under the characteristic combination (0.75 of ULS here).
    assert KIND.refuse(demand("fixed", ry=0.039, rx=0.0), basis()) is None
    refusal = KIND.refuse(demand("fixed", ry=0.041, rx=0.0), basis())
    assert "EN 1337-5" in refusal.clause
    assert "spherical" in refusal.remedy


def test_least_load_of_aashto():
    # 14.7.4.1: 20 % of the capacity at service; largest service load is 0.75 of ULS.
    assert KIND.refuse(demand("fixed", permanent=0.2), basis("aashto")) is None
    refusal = KIND.refuse(demand("fixed", permanent=0.14), basis("aashto"))
    assert "14.7.4.1" in refusal.clause
    assert KIND.refuse(demand("fixed", permanent=0.14), basis("eurocode")) is None


def test_too_much_horizontal_force_in_india():
    # 25 % of the vertical load, recalled.
    refusal = KIND.size(demand("fixed", H=700e3), basis("irc"))
    assert isinstance(refusal, Refusal)
    assert "horizontal" in refusal.reason


def test_least_horizontal_force():
    # AASHTO 14.7.9.2 and IRC: 10 % of the vertical load where less acts.
    for family, share in (("aashto", 0.10 * 0.75 * 3000e3), ("irc", 0.10 * 3000e3)):
        design = KIND.size(demand("fixed", H=1e3), basis(family))
        assert design.horizontal == pytest.approx(share)


@pytest.mark.parametrize("family", FAMILIES)
def test_uplift_is_refused(family):
    assert isinstance(KIND.size(demand("fixed", uplift=1e3), basis(family)), Refusal)


# ------------------------------------------------------------------ bad input
@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"pot.depth": 0.01}, "pot.depth"),
        ({"piston.rim": 0.2}, "piston.rim"),
        ({"piston.thickness": 0.005}, "piston.thickness"),
        ({"piston.clearance": 0.1}, "piston.clearance"),
        ({"pad.diameter": 0.0}, "pad.diameter"),
        ({"pad.diameter": "wide"}, "pad.diameter"),
        ({"pot.colour": 1.0}, "pot.colour"),
    ],
)
def test_impossible_sizes(change, field):
    seat = demand("fixed")
    sizes = {**body_sizes(KIND.size(seat, basis()).bearing), **change}
    with pytest.raises(InputError) as error:
        KIND.given(sizes, seat, basis())
    assert field in [fault.where for fault in error.value.faults]
    assert all(fault.allowed for fault in error.value.faults)


def test_fields_are_told():
    for name in body_sizes(KIND.size(demand("fixed"), basis()).bearing):
        assert name in KIND.fields()
    assert "middle.thickness" in pot_on_slide.KIND.fields()


def test_bad_option():
    with pytest.raises(InputError):
        KIND.size(demand("fixed"), basis(pot__seal="leather"))


def test_memory_is_said():
    found = line(KIND.size(demand("fixed"), basis()), "Ring tension of the wall")
    assert found.basis == "memory"
    assert found.case
