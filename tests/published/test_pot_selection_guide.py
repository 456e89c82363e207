"""Steel Bridge Bearing Selection and Design Guide (Roeder and Stanton), brief (c): a fixed pot.

LL 1110 and DL 2670 kN, 0.02 rad, H 330 kN. Only the inputs are published here; the answers are
recomputed by hand from the rules of AASHTO LRFD 14.7.4 with Fy 345 MPa, not the guide's own.
"""

import math

import pytest

from bedstone.bearings.base import Basis, Demand, DemandCase, Design
from bedstone.bearings.pot import KIND
from bedstone.standards.aashto import pot
from bedstone.standards.values import Values

SOURCE = (
    "Roeder and Stanton, Steel Bridge Bearing Selection and Design Guide, brief (c): a fixed pot"
)
KNOWN = "derived"
VALUES = Values("aashto")
DP, THETA, H, FY = 0.450, 0.020, 330e3, 345e6


def test_diameter(published):
    found = math.sqrt(3780e3 / pot.capacity(VALUES, 1.0)) * 1e3
    published("least diameter", 446.6, found, "mm", abs=0.05)


def test_stress(published):
    found = pot.pad_stress(VALUES, 3780e3, DP).value / 1e6
    published("pressure on the pad, 450 mm", 23.77, found, "MPa", abs=0.005)


@pytest.mark.parametrize(
    ("line", "least"),
    [
        pytest.param(pot.pad_thickness(VALUES, 0.03, DP, THETA), 29.97e-3, id="pad"),
        pytest.param(pot.wall_thickness(VALUES, 0.03, DP, 23.77e6, FY), 24.8e-3, id="wall"),
        pytest.param(
            pot.guided_thickness(VALUES, 0.03, H, THETA, FY, "wall"), 27.7e-3, id="wall, H"
        ),
        pytest.param(pot.piston_thickness(VALUES, 0.03, DP), 27.0e-3, id="piston"),
        pytest.param(pot.rim_height(VALUES, 0.014, H, DP, FY), 13.5e-3, id="rim"),
    ],
)
def test_least_size(published, request, line, least):
    part = request.node.callspec.id
    published(f"least size: {part}", least * 1e3, line.limit.value * 1e3, "mm", abs=0.05)


def test_rim_by_force_alone(published):
    # 1.5 x 330e3/(450 x 345) = 3.19 mm; 0.03 Dp governs the check above.
    factor = VALUES.number("pot.rim.factor")
    published("rim by force alone", 3.19, factor * H / (DP * FY) * 1e3, "mm", abs=0.005)


def test_the_brief_sized():
    case = {"Hx": H, "ry": 0.010, "lasting_ry": 0.005}
    cases = (
        DemandCase("permanent", "DL", 2670e3),
        DemandCase("SLS characteristic", "DL", 2670e3, **case),
        DemandCase("SLS characteristic", "DL + LL", 3780e3, **case),
        DemandCase("ULS persistent", "Strength I", 1.25 * 2670e3 + 1.75 * 1110e3, **case),
    )
    demand = Demand("A1-1", "fixed", (True, True), cases, 2670e3)
    design = KIND.size(demand, Basis("aashto", Values("aashto"), {}, 40e6))
    assert isinstance(design, Design)
    assert design.passes
    # 0.010 of the demand and 2 x 0.005 of allowance make the brief's 0.02 rad.
    body = design.bearing.body
    assert body.diameter == pytest.approx(DP)
    assert body.pad == pytest.approx(0.030)
    assert body.wall >= 0.0277
    assert body.piston >= 0.027
    assert body.rim >= 0.0135
