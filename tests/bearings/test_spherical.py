"""Spherical bearings: statics of the curve, sizing, refusals, given sizes."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sliding_cases import FAMILIES, HELD, basis, demand, line, plate_sizes, slide_sizes

from bedstone.bearings.base import Design, Refusal
from bedstone.bearings.sliding_sheet import Sheet
from bedstone.bearings.spherical import KIND
from bedstone.bearings.spherical_statics import (
    Curve,
    cover,
    curve_parts,
    curved_eccentricity,
    flat_eccentricity,
    friction_moment,
)
from bedstone.errors import InputError
from bedstone.standards.aashto import curved as aashto
from bedstone.standards.values import Values

CURVE = Curve(Sheet(0.4, 0.4, 0.005, 0.0025), 0.6, 0.43, 0.43, 0.02, 0.45, 0.45, 0.03)
CURVED = {"spherical__restraint": "curved surface"}


def curve_sizes(curve) -> dict[str, object]:
    return {
        "curve.radius": curve.radius,
        "curve.length": curve.sheet.length,
        "curve.thickness": curve.sheet.thickness,
        "segment.length": curve.segment_length,
        "segment.edge": curve.segment_edge,
        "block.length": curve.block_length,
        "block.width": curve.block_width,
        "block.centre": curve.block_centre,
    }


# ------------------------------------------------------------------ statics
@pytest.mark.parametrize("slope", [0.01, 0.05, 0.1])
def test_force_on_the_curve_passes_through_the_centre(slope):
    # Statics: without friction every pressure points to the centre, so the resultant does too; it
    # meets the sphere where its line from the centre does.
    angle = math.atan(slope)
    exact = CURVE.radius * math.sin(angle)
    assert curved_eccentricity(CURVE, 0.0, slope) == pytest.approx(exact, rel=0.01)


def test_friction_on_the_curve_by_integration():
    # Statics: friction mu p on a shallow sphere under even pressure, turned about a level axis
    # through the centre: moment close to mu N R.
    mu, p = 0.03, 20e6
    R = CURVE.radius
    half = math.asin(CURVE.sheet.length / (2 * R))
    theta = (np.arange(2000) + 0.5) / 2000 * half
    phi = (np.arange(400) + 0.5) / 400 * 2 * math.pi
    T, P = np.meshgrid(theta, phi)
    area = R**2 * np.sin(T) * (half / 2000) * (2 * math.pi / 400)
    arm = R * np.sqrt(1 - (np.sin(T) * np.cos(P)) ** 2)  # distance from the axis
    moment = np.sum(mu * p * arm * area)
    force = np.sum(p * np.cos(T) * area)
    assert friction_moment(CURVE, mu, 0.0, force) == pytest.approx(moment, rel=0.03)


def test_segment_in_balance():
    # Statics of the segment about the centre of the curve: N at e (from the axis), flat friction at
    # R - b, friction of the curve mu N R.
    N, mu, slope, alpha = 2e6, 0.03, 0.025, 0.01
    arm = CURVE.radius - CURVE.segment
    aside = alpha * arm
    e = flat_eccentricity(CURVE, mu, slope, alpha)
    assert N * (e - aside) == pytest.approx(mu * N * CURVE.radius + slope * N * arm)


def test_cover_by_turning_points():
    # Geometry: the edge of the sheet, seen from the segment turned by alpha.
    alpha = 0.02
    theta = math.asin(0.2 / 0.6)
    edge = 0.6 * np.array([math.sin(theta), -math.cos(theta)])
    turn = np.array([[math.cos(alpha), -math.sin(alpha)], [math.sin(alpha), math.cos(alpha)]])
    assert cover(CURVE, alpha) == pytest.approx(2 * (turn @ edge)[0], rel=1e-9)


def test_masses_by_integration():
    # Geometry: turn the profile about the axis.
    block, segment = curve_parts(CURVE, "S355", "hard chrome")
    r = (np.arange(100000) + 0.5) / 100000
    r_s = r * CURVE.segment_length / 2
    top = CURVE.segment_edge + CURVE.rise(CURVE.segment_length)
    depth = top - (CURVE.radius - np.sqrt(CURVE.radius**2 - r_s**2))
    volume = np.sum(depth * 2 * math.pi * r_s) * CURVE.segment_length / 2 / 100000
    assert segment.mass == pytest.approx(7850 * volume, rel=1e-4)
    r_b = r * CURVE.block_length / 2
    bowl = np.minimum(
        CURVE.block_centre + CURVE.radius - np.sqrt(CURVE.radius**2 - r_b**2), CURVE.rim
    )
    volume = np.sum(bowl * 2 * math.pi * r_b) * CURVE.block_length / 2 / 100000
    assert block.mass == pytest.approx(7850 * volume, rel=1e-3)


def test_lateral_force_of_aashto():
    # 14.7.3.3-1 as recalled, by its meaning: stress on a disc of radius R sin(room), leaning beta.
    H, P, L, R, theta, sigma = 1e5, 2e6, 0.5, 0.6, 0.015, 31e6
    beta, psi = math.atan(H / P), math.asin(L / (2 * R))
    disc = math.pi * (R * math.sin(psi - beta - theta)) ** 2
    found = aashto.spherical_lateral(Values("aashto"), H, P, L, R, theta, sigma)
    assert found.limit.value == pytest.approx(disc * sigma * math.sin(beta))


def test_too_steep_a_force_slides_out():
    found = aashto.spherical_lateral(Values("aashto"), 2e6, 2e6, 0.5, 0.6, 0.015, 31e6)
    assert found.utilisation == math.inf


# ------------------------------------------------------------------ sizing
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("function", HELD)
def test_what_is_sized_passes(function, family):
    design = KIND.size(demand(function), basis(family))
    assert isinstance(design, Design)
    assert design.passes, design.lines[0]
    curve = design.bearing.curve
    assert math.degrees(curve.angle) <= 60.0 + 1e-6  # scope of EN 1337-7
    assert curve.segment_length >= cover(curve, 0.006)
    assert design.height == pytest.approx(design.bearing.height)
    assert (design.behaviour.play > 0.0) == any(HELD[function])
    held = {"x": HELD[function][0], "y": HELD[function][1]}
    assert {pair.holds for pair in design.bearing.slide.guides} == {
        name for name, holds in held.items() if holds
    }


@pytest.mark.parametrize("family", FAMILIES)
def test_held_by_the_curve_alone(family):
    design = KIND.size(demand("fixed", H=100e3), basis(family, **CURVED))
    assert isinstance(design, Design)
    assert design.bearing.slide is None
    assert design.passes, design.lines[0]
    titles = {one.title for one in design.lines}
    assert ("Horizontal force on the spherical surface" in titles) == (family == "aashto")


def test_the_curve_alone_holds_little():
    # No edge may lift: R (mu + H/N) <= L/8 with R >= L leaves H/N below an eighth.
    refusal = KIND.size(demand("fixed", H=800e3), basis(**CURVED))
    assert isinstance(refusal, Refusal)
    assert "guides" in refusal.remedy
    assert isinstance(KIND.size(demand("fixed", H=800e3), basis()), Design)


@pytest.mark.parametrize("family", FAMILIES)
def test_given_again_gives_the_same_lines(family):
    seat, on = demand("guided along"), basis(family)
    sized = KIND.size(seat, on)
    sizes = {
        **curve_sizes(sized.bearing.curve),
        **slide_sizes(sized.bearing.slide),
        **plate_sizes(sized.bearing),
    }
    again = KIND.given(sizes, seat, on)
    assert {(one.title, one.part): one.utilisation for one in again.lines} == pytest.approx(
        {(one.title, one.part): one.utilisation for one in sized.lines}
    )


@pytest.mark.parametrize("family", FAMILIES)
def test_a_smaller_curved_sheet_fails(family):
    seat, on = demand("free"), basis(family)
    sized = KIND.size(seat, on).bearing
    sizes = {**curve_sizes(sized.curve), **slide_sizes(sized.slide)}
    sizes["curve.length"] = 0.85 * sized.curve.sheet.length
    worse = KIND.given(sizes, seat, on)
    assert any(
        (one.utilisation or 0.0) > 1.0 and one.part == "curved sliding sheet" for one in worse.lines
    )


def test_large_rotations():
    design = KIND.size(demand("free", ry=0.05), basis())
    assert isinstance(design, Design)
    assert design.passes
    assert line(design, "Cover of the curved sheet").utilisation <= 1.0


@settings(max_examples=12, deadline=None)
@given(
    N=st.floats(3e5, 1.5e7),
    H=st.floats(0.0, 0.3),
    ry=st.floats(0.0, 0.03),
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
    assert all(one.part.startswith(("base plate", "sliding plate")) for one in beyond)


# ------------------------------------------------------------------ refusals and bad input
@pytest.mark.parametrize("family", FAMILIES)
def test_uplift_is_refused(family):
    assert isinstance(KIND.size(demand(uplift=1e3), basis(family)), Refusal)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"curve.radius": 0.1}, "curve.radius"),
        ({"segment.length": 0.1}, "segment.length"),
        ({"block.length": 0.1}, "block.length"),
        ({"segment.edge": -0.01}, "segment.edge"),
    ],
)
def test_impossible_sizes(change, field):
    seat, on = demand("free"), basis()
    sized = KIND.size(seat, on).bearing
    sizes = {**curve_sizes(sized.curve), **slide_sizes(sized.slide), **change}
    with pytest.raises(InputError) as error:
        KIND.given(sizes, seat, on)
    assert field in [fault.where for fault in error.value.faults]


def test_too_steep_is_beyond_the_scope():
    seat, on = demand("free"), basis()
    sized = KIND.size(seat, on).bearing
    sizes = {**curve_sizes(sized.curve), **slide_sizes(sized.slide)}
    sizes["curve.radius"] = 0.51 * sized.curve.segment_length
    found = line(KIND.given(sizes, seat, on), "Included angle")
    assert found.utilisation > 1.0
    assert found.standard == "EN 1337-7"
