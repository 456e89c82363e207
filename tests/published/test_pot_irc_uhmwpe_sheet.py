"""Design sheet on the public web: pot with a UHMWPE slide to IRC:83 Part III 2018.

ULS 1390 kN, SLS 950 kN, 49 degC, rotation 0.015. The diameter of the slide, 235 mm, is solved back
from both printed pressures.
"""

import math

import pytest

from bedstone.standards.irc import pot, sliding
from bedstone.standards.values import Values

VALUES = Values("irc")
AREA = math.pi / 4 * 0.235**2


@pytest.mark.parametrize(
    ("force", "pressure", "mu"),
    [
        pytest.param(1390e3, 32.05e6, 0.0340, id="ULS"),
        pytest.param(950e3, 21.9027e6, 0.0434, id="SLS"),
    ],
)
def test_friction(force, pressure, mu):
    # Printed 0.034 and 0.043; recomputed 0.03401 and 0.04336.
    assert force / AREA == pytest.approx(pressure, rel=1e-3)
    assert sliding.friction(VALUES, "UHMWPE", force / AREA).value == pytest.approx(mu, abs=5e-5)


def test_strength_of_the_pad():
    line = pot.pad_pressure(VALUES, 1.0, 1.0)
    assert line.limit.value / (math.pi / 4) == pytest.approx(46.2e6, abs=0.05e6)


def test_strength_of_the_slide():
    line = sliding.contact_strength(VALUES, "UHMWPE", 1.0, 1.0, 49.0)
    assert line.limit.value == pytest.approx(102.9e6, abs=0.05e6)


def test_strength_of_the_steel():
    assert pot.steel_limit(VALUES, "tension", 320e6, "2018") == pytest.approx(290.9e6, abs=0.05e6)


def test_design_rotation():
    assert pot.design_rotation(VALUES, 0.015).value == pytest.approx(0.020)
