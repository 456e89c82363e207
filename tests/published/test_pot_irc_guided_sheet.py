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

SOURCE = "Design sheet of a guided pot, 106 MT, to IRC:83 Part III 2018"
KNOWN = "read there"
VALUES = Values("irc")
N, H = 1451.41e3, 785.096e3
DI, HE, PTFE = 0.210, 0.016, 0.260
LEVER = (2 + 15 + 36 - 9) * 1e-3
ME = 1_739_604.76e-3  # N m

CASE = DemandCase("ULS persistent", "sheet", N, Hx=H)
FORCE = PotForce(Thrust(CASE, H, 0.0), 0.015, ME, 16_487_014e-3)


def test_resistance_of_the_pad(published):
    # The sheet takes pi = 3.14: 1597.777 against 1598.59 kN.
    found = pot.pad_pressure(VALUES, N, DI).limit.value / 1e3
    published("resistance of the pad", 1597.777, found, "kN", rel=6e-4)


def test_slenderness_of_the_pad(published):
    line = pot.pad_slenderness(VALUES, DI, HE)
    published("di/he of the pad", 13.13, line.value, abs=0.01)
    published("di/he allowed", 15.0, line.limit.value, abs=0)
    assert line.utilisation < 1.0


def test_strength_left_at_48_degrees(published):
    found = sliding.temperature_factor(VALUES, "PTFE", 48.0).value
    published("strength of PTFE left at 48 degC", 0.64, found)


def test_moment_of_friction_on_the_wall(published):
    # 18 226 618.93 printed for both moments together.
    rubbing = pot.piston_friction_moment(VALUES, H, DI).value
    # H, and with it the moment of friction alone, is worked back from the printed sums.
    what = "moment of friction on the wall"
    published(what, 16.487014, rubbing / 1e3, "kN m", known="derived", rel=1e-6)
    both = (ME + rubbing) / 1e3
    published("with the restoring moment", 18.22661893, both, "kN m", rel=1e-6)


def test_moment_of_the_horizontal_force():
    assert pytest.approx(34_544_220.17e-3, rel=1e-5) == H * LEVER


def test_whole_moment_and_eccentricity(published):
    ex, ey = FORCE.eccentricity(LEVER)
    assert ey == 0.0
    published("whole moment", 52.77083910, ex * N / 1e3, "kN m", rel=1e-6)
    published("eccentricity, M/N", 36.358, ex * 1e3, "mm", known="derived", abs=1e-3)


def test_reduced_area(published):
    # Printed 35 581.27 mm2 with pi = 3.14 in the area (53 066 mm2).
    line = sliding.reduced_area_round(VALUES, PTFE, 36.358e-3)
    published("reduced area of the PTFE", 35_581.27, line.value * 1e6, "mm2", rel=6e-4)
    assert math.pi / 4 * PTFE**2 == pytest.approx(53_066e-6, rel=6e-4)


def test_resistance_of_the_sheet(published):
    line = sliding.contact_strength(VALUES, "PTFE", N, 35_581.3e-6, 48.0)
    found = line.limit.value / 1e3
    published("resistance of the PTFE", 1463.9, found, "kN", known="derived", rel=1e-4)
    assert line.utilisation == pytest.approx(1451.41 / 1463.9, rel=1e-3)


def test_the_force_is_beyond_the_recalled_limit(published):
    # FLAG: 0.54 N; limit 0.25 N from memory.
    found = pot.greatest_horizontal(VALUES, H, N).utilisation
    published("use of the greatest H, 0.25 N", 2.164, found, known="from memory", abs=1e-3)
