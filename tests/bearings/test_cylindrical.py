"""Cylindrical bearings: they turn about y' alone."""

import math

import pytest
from sliding_cases import FAMILIES, HELD, basis, demand, line, plate_sizes, slide_sizes

from bedstone.bearings.base import Design, Refusal
from bedstone.bearings.cylindrical import KIND
from bedstone.bearings.spherical_statics import curve_parts
from bedstone.standards.aashto import curved as aashto
from bedstone.standards.values import Values


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("function", HELD)
def test_what_is_sized_passes(function, family):
    design = KIND.size(demand(function, rx=0.0), basis(family))
    assert isinstance(design, Design)
    assert design.passes, design.lines[0]
    curve = design.bearing.curve
    assert math.degrees(curve.angle) <= 75.0 + 1e-6  # scope of EN 1337-7
    assert not curve.sheet.round
    assert not design.bearing.slide.sheet.round


@pytest.mark.parametrize("family", FAMILIES)
def test_the_other_rotation_is_refused(family):
    refusal = KIND.size(demand(rx=0.003), basis(family))
    assert isinstance(refusal, Refusal)
    assert "14.6.2-1" in refusal.clause
    taken = basis(family, cylindrical__rotation_elsewhere=True)
    assert isinstance(KIND.size(demand(rx=0.003), taken), Design)


@pytest.mark.parametrize("family", FAMILIES)
def test_given_again_gives_the_same_lines(family):
    seat, on = demand("guided along", rx=0.0), basis(family)
    sized = KIND.size(seat, on)
    curve = sized.bearing.curve
    sizes = {
        "curve.radius": curve.radius,
        "curve.length": curve.sheet.length,
        "curve.width": curve.sheet.width,
        "curve.thickness": curve.sheet.thickness,
        "segment.length": curve.segment_length,
        "segment.width": curve.segment_width,
        "segment.edge": curve.segment_edge,
        "block.length": curve.block_length,
        "block.width": curve.block_width,
        "block.centre": curve.block_centre,
        **slide_sizes(sized.bearing.slide),
        **plate_sizes(sized.bearing),
    }
    again = KIND.given(sizes, seat, on)
    assert {(one.title, one.part): one.utilisation for one in again.lines} == pytest.approx(
        {(one.title, one.part): one.utilisation for one in sized.lines}
    )


def test_mass_of_the_segment():
    # Geometry: segment of a circle, half chord a: R^2 asin(a/R) - a sqrt(R^2 - a^2), times width.
    curve = KIND.size(demand("free", rx=0.0), basis()).bearing.curve
    a, R = curve.segment_length / 2, curve.radius
    under = R**2 * math.asin(a / R) - a * math.sqrt(R**2 - a**2)
    volume = (under + curve.segment_length * curve.segment_edge) * curve.segment_width
    segment = curve_parts(curve, "S355", "hard chrome")[1]
    assert segment.mass == pytest.approx(7850 * volume)


def test_width_over_chord():
    on = basis(cylindrical__proportion=2.0)
    sheet = KIND.size(demand("free", rx=0.0), on).bearing.curve.sheet
    assert sheet.width == pytest.approx(2.0 * sheet.length, abs=0.011)


@pytest.mark.parametrize("family", FAMILIES)
def test_held_by_the_curve_alone(family):
    on = basis(family, cylindrical__restraint="curved surface")
    design = KIND.size(demand("fixed", H=80e3, rx=0.0), on)
    assert isinstance(design, Design)
    assert design.bearing.slide is None
    if family == "aashto":
        assert line(design, "Horizontal force on the cylindrical surface").utilisation <= 1.0


def test_lateral_force_of_aashto():
    # 14.7.3.3-2 as recalled, by its meaning: stress on a strip 2 R sin(room) wide, leaning beta.
    H, P, L, R, W, theta, sigma = 1e5, 2e6, 0.5, 0.6, 0.4, 0.015, 31e6
    beta, psi = math.atan(H / P), math.asin(L / (2 * R))
    strip = 2 * R * math.sin(psi - beta - theta) * W
    found = aashto.cylindrical_lateral(Values("aashto"), H, P, L, R, W, theta, sigma)
    assert found.limit.value == pytest.approx(strip * sigma * math.sin(beta))


@pytest.mark.parametrize("family", FAMILIES)
def test_uplift_is_refused(family):
    assert isinstance(KIND.size(demand(uplift=1e3, rx=0.0), basis(family)), Refusal)
