"""Federal steel girder example, design step 6 (LRFD 2nd ed. with interims): an arithmetic test.

Only the first lines of the example could be read: its inputs are from memory, its results are
recomputed by hand from them. 14 x 15 in pad, cover 0.25, 8 layers of 0.375 in, 9 plates of
0.1196 in, G = 0.095 ksi, 78.4 kip dead and 110.4 kip live load, rotation 0.0121, movement 0.76 in.
"""

import pytest

from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.values import Values

VALUES = Values("aashto")
IN, KIP = 0.0254, 4448.2216152605
KSI = KIP / IN**2
DEAD, LIVE = 78.4 * KIP, 110.4 * KIP
G, FY = 0.095 * KSI, 50 * KSI
PAD = Pad(14 * IN, 15 * IN, 8, 0.375 * IN, 0.1196 * IN, 0.25 * IN, 0.0)
LOAD = Loading(DEAD + LIVE, 0.76 * IN, 0.0, 0.0121, 0.0)


def test_geometry():
    assert aashto.shape_factor(PAD) == pytest.approx(9.655, abs=5e-4)
    assert PAD.elastomer_thickness == pytest.approx(3.5 * IN)
    assert PAD.height == pytest.approx(4.5764 * IN)
    # Each cover of 0.25 in is more than half a layer: half a layer more.
    assert aashto.counted_layers(VALUES, PAD) == 9


@pytest.mark.parametrize(("edition", "limit"), [("1998", 0.9172), ("2009", 1.1466)])
def test_pressure(edition, limit):
    line = aashto.stress_a(VALUES, PAD, LOAD, G, edition)
    assert line.value == pytest.approx(0.8990 * KSI, abs=1e-4 * KSI)
    assert line.limit.value == pytest.approx(limit * KSI, abs=1e-4 * KSI)
    assert line.utilisation < 1.0


def test_shear():
    line = aashto.shear(VALUES, PAD, LOAD)
    assert line.limit.value == pytest.approx(1.52 * IN)
    assert line.utilisation < 1.0


def test_rotation_of_the_old_edition():
    line = aashto.rotation_a_1998(VALUES, PAD, LOAD, G)
    assert line.limit.value == pytest.approx(0.8594 * KSI, abs=1e-4 * KSI)
    assert line.utilisation < 1.0


def test_height():
    line = aashto.height(VALUES, PAD)
    assert line.limit.value == pytest.approx(4.667 * IN, abs=5e-4 * IN)
    assert line.utilisation < 1.0


def test_plates():
    line = aashto.plates(VALUES, PAD, DEAD + LIVE, LIVE, FY, holes=False)
    found = {q.symbol: q.value / IN for q in line.inputs if q.unit == "m"}
    assert found["hs,service"] == pytest.approx(0.0202, abs=5e-5)
    assert found["hs,fatigue"] == pytest.approx(0.0164, abs=5e-5)
    assert line.limit.value == pytest.approx(0.0625 * IN)
    assert line.utilisation < 1.0
    # Holes double what is needed by strength, not the least thickness.
    holed = aashto.plates(VALUES, PAD, DEAD + LIVE, LIVE, 5 * KSI, holes=True)
    assert holed.limit.value == pytest.approx(2 * 0.2023 * IN, rel=1e-3)


def test_creep_of_the_deflection():
    # 0.140 in at a strain of 4 % and a quarter more by creep: 0.175 in.
    row = aashto.rubber(VALUES, 50)
    assert (row.low, row.high) == pytest.approx((0.095 * KSI, 0.130 * KSI))
    assert 0.04 * PAD.elastomer_thickness * (1 + row.creep) == pytest.approx(0.175 * IN)


def test_scope_of_method_a_today():
    line = aashto.applicability(VALUES, PAD)
    assert line.value == pytest.approx(10.36, abs=5e-3)
    assert line.utilisation < 1.0


def test_method_b_today():
    static = aashto.axial_strain(VALUES, PAD, DEAD, G)
    cyclic = aashto.axial_strain(VALUES, PAD, LIVE, G)
    assert static.value == pytest.approx(0.5698, abs=5e-5)
    assert cyclic.value == pytest.approx(0.8024, abs=5e-5)


def test_stability_of_method_b():
    assert aashto.stability_factors(VALUES, PAD) == pytest.approx((0.28350, 0.18574), abs=5e-5)
    line = aashto.stability(VALUES, PAD, LOAD, G, fixed=False)
    assert line.limit.value == pytest.approx(2.406 * KSI, abs=1e-3 * KSI)


def test_selection_guide_brief_b_has_an_answer():
    """Roeder and Stanton, table II-A, brief (b): LL 1200, DL 2400 kN, 100 mm, 0.015 rad.

    The guide's own answer is not readable; a steel-reinforced pad must exist for it, as it says.
    """
    from bedstone.bearings.base import Basis, Demand, DemandCase, Design
    from bedstone.bearings.elastomeric import KIND

    cases = (
        DemandCase("SLS characteristic", "service", 3600e3, vx=0.1, ry=0.015, lasting_ry=0.005),
        DemandCase("ULS persistent", "strength", 5100e3, vx=0.1, ry=0.02, lasting_ry=0.005),
    )
    demand = Demand("b", "elastic", (False, False), cases, permanent=2400e3)
    design = KIND.size(demand, Basis("aashto", VALUES, {"elastomeric.method": "B"}))
    assert isinstance(design, Design)
    assert design.passes
    # 100 mm of movement need 200 mm of elastomer (hrt >= 2 Delta_s).
    assert design.bearing.pad.elastomer_thickness >= 0.2
