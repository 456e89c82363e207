"""Section properties against published tables and closed forms."""

import math

import numpy as np
import pytest

from bedstone.bridge.schema import ConcreteRectangle, GivenSection, PlateGirder, SteelBox
from bedstone.errors import BedstoneError
from bedstone.model.sections import (
    SlabShare,
    rectangle_torsion,
    section_properties,
    slab_strip,
    tapered,
    with_slab,
)

PLATE = {
    "top_width": "400 mm",
    "top_thickness": "25 mm",
    "web_depth": "1500 mm",
    "web_thickness": "14 mm",
    "bottom_width": "500 mm",
    "bottom_thickness": "40 mm",
}


def plate_girder(**changes: str) -> PlateGirder:
    return PlateGirder.model_validate({"kind": "plate girder", **PLATE, **changes})


def test_plate_girder_as_the_rolled_section_ipe_300():
    # Published section tables (EN 10365 sizes), from memory: IPE 300 has A = 53.81 cm2,
    # Iy = 8356 cm4, Iz = 603.8 cm4 with root radii of 15 mm. The four roots are taken off by hand:
    # 0.2146 r^2 each, centre 0.2234 r from the corner.
    r = 15.0
    root, arm = 4.0 * 0.2146 * r**2, 300.0 / 2.0 - 10.7 - 0.2234 * r
    section = section_properties(
        plate_girder(
            top_width="150 mm",
            bottom_width="150 mm",
            top_thickness="10.7 mm",
            bottom_thickness="10.7 mm",
            web_depth="278.6 mm",
            web_thickness="7.1 mm",
        )
    )
    assert pytest.approx(53.81 - root / 100.0, rel=2e-4) == section.A * 1e4
    assert section.Iy * 1e8 == pytest.approx(8356.0 - root * arm**2 / 1e4, rel=2e-4)
    assert section.Iz * 1e8 == pytest.approx(603.8, rel=3e-3)  # roots lie near the web
    assert section.centroid == pytest.approx(0.150)
    assert section.depth == pytest.approx(0.300)
    # standard strength of materials: J of an open section is the sum of b t^3 / 3
    assert pytest.approx((2 * 150 * 10.7**3 + 278.6 * 7.1**3) / 3) == section.J * 1e12
    assert section.Az * 1e6 == pytest.approx(278.6 * 7.1)
    assert section.Ay * 1e6 == pytest.approx(5 / 6 * 2 * 150 * 10.7)


def test_unequal_plate_girder_by_hand():
    # by hand, areas about the top: 400 x 25, 14 x 1500, 500 x 40 mm
    areas = np.array([10000.0, 21000.0, 20000.0])
    arms = np.array([12.5, 775.0, 1545.0])
    centroid = areas @ arms / areas.sum()
    own = np.array([400 * 25.0**3, 14 * 1500.0**3, 500 * 40.0**3]) / 12
    section = section_properties(plate_girder())
    assert section.centroid * 1e3 == pytest.approx(centroid)
    assert section.Iy * 1e12 == pytest.approx(own.sum() + areas @ (arms - centroid) ** 2)


def test_square_thin_box_by_bredt():
    # standard formulas for a thin square tube of side a between wall centres, wall t: J = a^3 t,
    # I = 2 a^3 t / 3, A = 4 a t (thin wall)
    a, t = 1.0, 0.002
    box = SteelBox.model_validate(
        {
            "kind": "steel box",
            "top_width": f"{a} m",
            "bottom_width": f"{a} m",
            "top_thickness": f"{t} m",
            "bottom_thickness": f"{t} m",
            "web_thickness": f"{t} m",
            "web_spacing": f"{a} m",
            "web_depth": f"{a - t} m",
        }
    )
    section = section_properties(box)
    assert pytest.approx(a**3 * t, rel=1e-6) == section.J
    assert section.Iy == pytest.approx(2 * a**3 * t / 3, rel=5e-3)
    assert section.Iz == pytest.approx(section.Iy, rel=5e-3)
    assert pytest.approx(4 * a * t, rel=5e-3) == section.A
    assert section.Az == pytest.approx(2 * a * t, rel=5e-3)


@pytest.mark.parametrize(
    ("ratio", "factor"),
    # Timoshenko and Goodier, Theory of Elasticity, table of torsion of rectangular bars (from
    # memory): J = factor * long * short^3
    [(1.0, 0.1406), (1.2, 0.166), (1.5, 0.196), (2.0, 0.229), (3.0, 0.263), (5.0, 0.291),
     (10.0, 0.312), (1000.0, 0.333)],
)  # fmt: skip
def test_torsion_of_rectangles(ratio, factor):
    assert rectangle_torsion(1.0, ratio) / ratio == pytest.approx(factor, abs=6e-4)
    assert rectangle_torsion(ratio, 1.0) == rectangle_torsion(1.0, ratio)


def test_concrete_rectangle_and_given_section():
    beam = section_properties(
        ConcreteRectangle.model_validate(
            {"kind": "concrete rectangle", "width": "0.5 m", "depth": "1.2 m"}
        )
    )
    assert (beam.A, beam.centroid) == pytest.approx((0.6, 0.6))
    assert beam.Iy == pytest.approx(0.5 * 1.2**3 / 12)  # b h^3 / 12
    assert beam.Iz == pytest.approx(1.2 * 0.5**3 / 12)
    assert beam.Az == pytest.approx(5 / 6 * 0.6)  # shear area of a rectangle, common practice
    given = {"kind": "given", "A": "0.05 m2", "Iy": "0.01 m4", "Iz": "0.001 m4", "J": "1e-5 m4",
             "depth": "1.5 m", "centroid": "0.8 m", "shear_z": "0.02 m2"}  # fmt: skip
    own = section_properties(GivenSection.model_validate(given))
    assert (own.A, own.Iy, own.centroid, own.Az) == (0.05, 0.01, 0.8, 0.02)
    assert math.isinf(own.Ay)


def test_slab_strip_takes_half_the_torsion_of_a_thin_rectangle():
    # common grillage practice (e.g. Hambly, Bridge Deck Behaviour; from memory): t^3 / 6 a metre
    strip = slab_strip(100.0, 0.2)
    assert pytest.approx(rectangle_torsion(100.0, 0.2) / 2, rel=2e-3) == strip.J
    assert strip.Iy == pytest.approx(100.0 * 0.2**3 / 12)


def test_composite_section_by_hand():
    # by hand: the unequal girder above, slab 2.5 m x 0.25 m, haunch 50 mm, modular ratio 6
    girder = section_properties(plate_girder())
    slab = SlabShare(effective=2.5, tributary=3.0, thickness=0.25, haunch=0.05, E=35e9, G=14e9)
    both = with_slab(girder, 210e9, 84e9, slab)
    concrete = 2.5 * 0.25 / 6
    steel, arm = 0.051, (0.01 * 0.0125 + 0.021 * 0.775 + 0.02 * 1.545) / 0.051 + 0.3
    axis = (concrete * 0.125 + steel * arm) / (concrete + steel)
    second = (
        girder.Iy
        + steel * (arm - axis) ** 2
        + 2.5 / 6 * 0.25**3 / 12
        + concrete * (axis - 0.125) ** 2
    )
    assert pytest.approx(concrete + steel) == both.A
    assert both.centroid == pytest.approx(axis)
    assert both.Iy == pytest.approx(second)
    assert both.Iz == pytest.approx(girder.Iz + 0.25 * 3.0**3 / 12 / 6)
    assert pytest.approx(girder.J + 3.0 * 0.25**3 / 6 / 6) == both.J
    assert both.slab_force == pytest.approx(35e9 * 2.5 * 0.25)
    assert both.slab_arm == pytest.approx(axis - 0.125)


def test_taper_changes_the_dimensions_not_the_stiffness():
    deep = plate_girder(web_depth="2500 mm")
    middle = tapered(plate_girder(), deep, 0.5)
    assert middle == section_properties(plate_girder(web_depth="2000 mm"))
    assert middle.Iy < (section_properties(plate_girder()).Iy + section_properties(deep).Iy) / 2


def test_taper_between_kinds_is_refused():
    beam = ConcreteRectangle.model_validate(
        {"kind": "concrete rectangle", "width": "0.5 m", "depth": "1.2 m"}
    )
    with pytest.raises(BedstoneError, match="no taper from a plate girder"):
        tapered(plate_girder(), beam, 0.5)
