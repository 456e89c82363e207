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

VALUES = Values("eurocode")
G = 0.9e6
PAD = Pad(0.550, 0.500, 12, 0.011, 0.002, 0.007, 0.005)
#: The rotation acts across the 490 mm side, as in the source's rotation strain.
LOAD = Loading(2746.8e3, 0.1418, 0.0335, 0.0, 0.003)
LEAST = Loading(1226.3e3, 0.1418, 0.0335)


def test_geometry():
    assert PAD.elastomer_thickness == pytest.approx(0.146)
    assert PAD.height == pytest.approx(0.172)
    assert PAD.plate_area == pytest.approx(264_600e-6)
    assert PAD.reduced_area(LOAD.vx, LOAD.vy) == pytest.approx(177_027e-6, rel=1e-5)
    assert en.shape_factors(VALUES, PAD) == pytest.approx((11.6770, 13.1068), abs=5e-5)


def test_compression_strain():
    line = en.compression_strain(VALUES, PAD, LOAD, G)
    assert line.value == pytest.approx(2.21464, abs=5e-5)
    outer = next(q.value for q in line.inputs if q.symbol == "eps_c,outer")
    # Recomputed from the source's own figures (not printed there).
    assert outer == pytest.approx(1.97305, abs=5e-5)


def test_shear_strain():
    line = en.shear_strain(VALUES, PAD, LOAD)
    assert line.value == pytest.approx(0.99797, abs=5e-6)
    assert line.utilisation < 1.0


def test_rotation_strain():
    assert en.rotation_strain(VALUES, PAD, LOAD).value == pytest.approx(0.24804, abs=5e-6)


@pytest.mark.parametrize(("combine", "total"), [("max", 3.46065), ("sum", 5.43370)])
def test_total_strain(combine, total):
    # FLAG: the source prints 5.43370, the sum of inner and outer layers; the standard asks for the
    # worse of both, 3.46065 by the source's own parts.
    line = en.total_strain(VALUES, PAD, LOAD, G, combine)
    assert line.value == pytest.approx(total, abs=5e-5)
    assert line.limit.value == 7.0


def test_plates():
    line = en.plate_thickness(VALUES, PAD, LOAD, 235e6)
    needed = next(q.value for q in line.inputs if q.symbol == "ts,needed")
    assert needed == pytest.approx(1.88835e-3, rel=1e-5)
    assert line.limit.value == pytest.approx(2e-3)
    assert line.utilisation == pytest.approx(1.0)


@pytest.mark.parametrize(("side", "limit"), [("longer", 25.91e6), ("shorter", 23.51e6)])
def test_stability(side, limit):
    # FLAG: the source prints 15.5 against 26.0 MPa with the longer side; the standard's shorter
    # side gives 23.51 MPa (recomputed).
    line = en.buckling(VALUES, PAD, LOAD, G, side)
    assert line.value == pytest.approx(15.516e6, rel=1e-4)
    assert line.limit.value == pytest.approx(limit, rel=1e-3)


@pytest.mark.parametrize(("area", "deflection"), [("Ar", 4.36207e-3), ("A1", 2.91840e-3)])
def test_deflection(area, deflection):
    # FLAG: the source prints 4.36207 mm, with Ar; the standard takes A1.
    line = en.deflection(VALUES, PAD, LOAD, G, area)
    assert line.value == pytest.approx(deflection, rel=1e-5)


@pytest.mark.parametrize(
    ("tilt", "term"), [((0.003, 0.0), 0.54e-3), ((0.0, 0.003), 0.49e-3)], ids=["540", "490"]
)
def test_rotation_limit(tilt, term):
    # FLAG: the source takes the 540 side here.
    load = Loading(LOAD.N, LOAD.vx, LOAD.vy, *tilt)
    line = en.rotation_limit(VALUES, PAD, load, G)
    assert line.limit.value == pytest.approx(term)
    assert line.utilisation == pytest.approx(term / 2.91840e-3, rel=1e-5)


def test_permanent_pressure():
    permanent = Loading(1589.2e3, 0.1418, 0.0335)
    line = en.permanent_pressure(VALUES, PAD, permanent)
    assert line.value == pytest.approx(8.98e6, rel=1e-3)
    assert line.limit.value == 3e6


def test_slip():
    line = en.slip(VALUES, PAD, LEAST, math.hypot(166.8e3, 49.1e3), "concrete")
    assert line.value == pytest.approx(173.877e3, rel=1e-5)
    assert line.limit.value == pytest.approx(281.95e3, rel=1e-4)
    mu = next(q.value for q in line.inputs if q.symbol == "mu_e")
    assert mu == pytest.approx(0.22992, abs=5e-6)
