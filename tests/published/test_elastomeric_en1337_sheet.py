"""A manufacturer's EN 1337-3 calculation ("sample 2a") quoted in the tests of a public FE library.

Pad 550 x 500, plates 540 x 490, 12 layers of 11 mm, plates 2 mm, covers 7 mm, G = 0.9 MPa.
Where the source departs from the standard the test says which way it takes: it adds the strains of
inner and outer layers, divides the deflection by Ar, and takes the longer side for stability and
rotation limit but the shorter one for the rotation strain.
"""

import math

import pytest

from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.values import Values

SOURCE = 'A calculation to EN 1337-3 ("sample 2a"), quoted in the tests of a public FE library'
KNOWN = "quoted second hand"
VALUES = Values("eurocode")
G = 0.9e6
PAD = Pad(0.550, 0.500, 12, 0.011, 0.002, 0.007, 0.005)
#: The rotation acts across the 490 mm side, as in the source's rotation strain.
LOAD = Loading(2746.8e3, 0.1418, 0.0335, 0.0, 0.003)
LEAST = Loading(1226.3e3, 0.1418, 0.0335)


def test_geometry(published):
    published("elastomer T_e", 146, PAD.elastomer_thickness * 1e3, "mm")
    published("height T_b", 172, PAD.height * 1e3, "mm")
    published("area of the plates", 264_600, PAD.plate_area * 1e6, "mm2")
    found = PAD.reduced_area(LOAD.vx, LOAD.vy) * 1e6
    published("reduced area", 177_027, found, "mm2", rel=1e-5)
    found = en.shape_factors(VALUES, PAD)
    published("shape factors, inner and outer", (11.6770, 13.1068), found, abs=5e-5)


def test_compression_strain(published):
    line = en.compression_strain(VALUES, PAD, LOAD, G)
    published("compression strain", 2.21464, line.value, abs=5e-5)
    outer = next(q.value for q in line.inputs if q.symbol == "eps_c,outer")
    # Recomputed from the source's own figures (not printed there).
    published("compression strain of the outer layer", 1.97305, outer, known="derived", abs=5e-5)


def test_shear_strain(published):
    line = en.shear_strain(VALUES, PAD, LOAD)
    published("shear strain", 0.99797, line.value, abs=5e-6)
    assert line.utilisation < 1.0


def test_rotation_strain(published):
    found = en.rotation_strain(VALUES, PAD, LOAD).value
    published("rotation strain", 0.24804, found, abs=5e-6)


@pytest.mark.parametrize(
    ("combine", "total", "known"), [("max", 3.46065, "derived"), ("sum", 5.43370, KNOWN)]
)
def test_total_strain(published, combine, total, known):
    # FLAG: the source prints 5.43370, the sum of inner and outer layers; the standard asks for the
    # worse of both, 3.46065 by the source's own parts.
    line = en.total_strain(VALUES, PAD, LOAD, G, combine)
    which = {"max": "worse of inner and outer layer", "sum": "sum of both, as the source does"}
    published(f"total strain, {which[combine]}", total, line.value, known=known, abs=5e-5)
    assert line.limit.value == 7.0


def test_plates(published):
    line = en.plate_thickness(VALUES, PAD, LOAD, 235e6)
    needed = next(q.value for q in line.inputs if q.symbol == "ts,needed")
    published("thickness of plates needed", 1.88835, needed * 1e3, "mm", rel=1e-5)
    published("least thickness of plates", 2, line.limit.value * 1e3, "mm")
    assert line.utilisation == pytest.approx(1.0)


@pytest.mark.parametrize(("side", "limit"), [("longer", 25.91), ("shorter", 23.51)])
def test_stability(published, side, limit):
    # FLAG: the source prints 15.5 against 26.0 MPa with the longer side; the standard's shorter
    # side gives 23.51 MPa (recomputed).
    line = en.buckling(VALUES, PAD, LOAD, G, side)
    pressure, allowed = line.value / 1e6, line.limit.value / 1e6
    published("pressure on the reduced area", 15.5, pressure, "MPa", abs=0.05)
    published("pressure, more digits", 15.516, pressure, "MPa", known="derived", rel=1e-4)
    if side == "longer":
        what = "pressure allowed by stability, longer side as the source"
        published(what, 26.0, allowed, "MPa", abs=0.1)
    what = f"pressure allowed by stability, {side} side"
    published(what, limit, allowed, "MPa", known="derived", rel=1e-3)


@pytest.mark.parametrize(
    ("area", "deflection", "known"), [("Ar", 4.36207, KNOWN), ("A1", 2.91840, "derived")]
)
def test_deflection(published, area, deflection, known):
    # FLAG: the source prints 4.36207 mm, with Ar; the standard takes A1.
    line = en.deflection(VALUES, PAD, LOAD, G, area)
    what = f"deflection with {area}{', as the source does' if area == 'Ar' else ''}"
    published(what, deflection, line.value * 1e3, "mm", known=known, rel=1e-5)


@pytest.mark.parametrize(
    ("tilt", "term", "known"),
    [((0.003, 0.0), 0.54e-3, KNOWN), ((0.0, 0.003), 0.49e-3, "derived")],
    ids=["540", "490"],
)
def test_rotation_limit(published, request, tilt, term, known):
    # FLAG: the source takes the 540 side here.
    load = Loading(LOAD.N, LOAD.vx, LOAD.vy, *tilt)
    line = en.rotation_limit(VALUES, PAD, load, G)
    what, found = f"rotation term, side {request.node.callspec.id} mm", line.limit.value * 1e3
    published(what, term * 1e3, found, "mm", known=known)
    assert line.utilisation == pytest.approx(term / 2.91840e-3, rel=1e-5)


def test_permanent_pressure(published):
    permanent = Loading(1589.2e3, 0.1418, 0.0335)
    line = en.permanent_pressure(VALUES, PAD, permanent)
    published("permanent pressure", 8.98, line.value / 1e6, "MPa", rel=1e-3)
    assert line.limit.value == 3e6


def test_slip(published):
    line = en.slip(VALUES, PAD, LEAST, math.hypot(166.8e3, 49.1e3), "concrete")
    what, found = "horizontal force", line.value / 1e3
    published(what, 173.877, found, "kN", known="derived", rel=1e-5)
    published("friction that holds the pad", 281.95, line.limit.value / 1e3, "kN", rel=1e-4)
    mu = next(q.value for q in line.inputs if q.symbol == "mu_e")
    published("coefficient of friction", 0.22992, mu, known="derived", abs=5e-6)
