"""Design sheet on the public web: guided pot "106 MT" to IRC:83 Part III 2018.

Pad 210 dia. x 16, PTFE 260 dia., 48 degC, N 1451.41 kN at ULS. H = 785.096 kN is solved back from
the printed moments. FLAG: that H is 0.54 N, far above the 25 % recalled of the same code.
"""

import math

import pytest

from bedstone.bearings.base import DemandCase
from bedstone.bearings.pot_sizes import PotForce
from bedstone.bearings.sliding_element import Thrust
from bedstone.standards.irc import pot, sliding
from bedstone.standards.values import Values

VALUES = Values("irc")
N, H = 1451.41e3, 785.096e3
DI, HE, PTFE = 0.210, 0.016, 0.260
LEVER = (2 + 15 + 36 - 9) * 1e-3
ME = 1_739_604.76e-3  # N m

CASE = DemandCase("ULS persistent", "sheet", N, Hx=H)
FORCE = PotForce(Thrust(CASE, H, 0.0), 0.015, ME, 16_487_014e-3)


def test_resistance_of_the_pad():
    # The sheet takes pi = 3.14: 1597.777 against 1598.59 kN.
    assert pot.pad_pressure(VALUES, N, DI).limit.value == pytest.approx(1597.777e3, rel=6e-4)


def test_slenderness_of_the_pad():
    line = pot.pad_slenderness(VALUES, DI, HE)
    assert line.value == pytest.approx(13.13, abs=0.01)
    assert line.limit.value == 15.0
    assert line.utilisation < 1.0


def test_strength_left_at_48_degrees():
    assert sliding.temperature_factor(VALUES, "PTFE", 48.0).value == pytest.approx(0.64)


def test_moment_of_friction_on_the_wall():
    # 18 226 618.93 printed for both moments together.
    rubbing = pot.piston_friction_moment(VALUES, H, DI).value
    assert rubbing == pytest.approx(16_487_014e-3, rel=1e-6)
    assert ME + rubbing == pytest.approx(18_226_618.93e-3, rel=1e-6)


def test_moment_of_the_horizontal_force():
    assert pytest.approx(34_544_220.17e-3, rel=1e-5) == H * LEVER


def test_whole_moment_and_eccentricity():
    ex, ey = FORCE.eccentricity(LEVER)
    assert ey == 0.0
    assert ex * N == pytest.approx(52_770_839.10e-3, rel=1e-6)
    assert ex == pytest.approx(36.358e-3, abs=1e-6)  # M/N recomputed


def test_reduced_area():
    # Printed 35 581.27 mm2 with pi = 3.14 in the area (53 066 mm2).
    line = sliding.reduced_area_round(VALUES, PTFE, 36.358e-3)
    assert line.value == pytest.approx(35_581.27e-6, rel=6e-4)
    assert math.pi / 4 * PTFE**2 == pytest.approx(53_066e-6, rel=6e-4)


def test_resistance_of_the_sheet():
    line = sliding.contact_strength(VALUES, "PTFE", N, 35_581.3e-6, 48.0)
    assert line.limit.value == pytest.approx(1463.9e3, rel=1e-4)
    assert line.utilisation == pytest.approx(1451.41 / 1463.9, rel=1e-3)


def test_the_force_is_beyond_the_recalled_limit():
    # FLAG: 0.54 N; limit 0.25 N from memory.
    assert pot.greatest_horizontal(VALUES, H, N).utilisation == pytest.approx(2.164, abs=1e-3)
