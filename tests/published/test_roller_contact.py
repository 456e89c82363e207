"""Rules for the contact of rollers and rockers against figures from outside.

Sources, beside each check: Ellobody, Finite Element Analysis and Design of Steel and
Steel-Concrete Composite Bridges (2014), section 3.11.5 and chapter 4; Hicks, Civil Engineering
Formulas, eq. 10.40, 10.41; figures marked derived are own arithmetic, done apart from bedstone.
"""

import math

import pytest

from bedstone.bearings import nest
from bedstone.standards.aashto import rollers as aashto
from bedstone.standards.eurocode import rollers as en
from bedstone.standards.irc import rollers as irc
from bedstone.standards.values import Values

EN, AASHTO, IRC = Values("eurocode"), Values("aashto"), Values("irc")
KSI, IN, KIP_IN = 6.894757e6, 0.0254, 175.1268e3


@pytest.mark.parametrize(
    ("fu", "resistance"),
    [(340, 1266), (360, 1419), (430, 2025), (490, 2630), (510, 2849), (550, 3313), (600, 3943),
     (1350, 19961)],
)  # fmt: skip
def test_en_resistance_of_a_roller(fu, resistance):
    # N'Rk N/mm for R = 100 mm, E = 210 000 MPa by Ellobody eq. 3.133; derived.
    line = en.line_contact(EN, 1.0, 0.1, fu * 1e6, 210e9)
    assert line.limit.value / 1e3 == pytest.approx(resistance, abs=0.55)


@pytest.mark.parametrize(("fu", "radius"), [(430, 92.6), (490, 71.3), (600, 47.6)])
def test_own_roller(fu, radius):
    # Derived: N = 1500 kN (ULS) on 2 rollers of 400 mm, 1875 N/mm each: R that is just enough (mm).
    load = 1500e3 / (2 * 0.400)
    assert en.line_contact(EN, load, radius * 1e-3, fu * 1e6, 210e9).utilisation == pytest.approx(
        1.0, abs=2e-3
    )


def test_rocker_of_a_published_bridge():
    # Ellobody 2014, section 4.2: 3327.2 kN, R = 170 mm and 600 mm on the drawing (roles inferred),
    # cast steel fu 550: R needed 167.4 mm. Derived from the published sizes.
    load = 3327.2e3 / 0.600
    line = en.line_contact(EN, load, 0.170, 550e6, 210e9, rocker=True)
    assert load / 1e3 == pytest.approx(5545, abs=0.5)
    assert line.limit.value / 1e3 == pytest.approx(5632, abs=0.5)
    assert 170.0 * line.utilisation == pytest.approx(167.4, abs=0.05)
    assert math.ceil(17.0 * line.utilisation) == 17


def test_lrfd_line_load():
    # Derived: D 150 mm on flat, Fy 345, E 200 000 MPa: 714.2 N/mm (rule recalled).
    line = aashto.line_contact(AASHTO, 1.0, 0.150, 345e6, 200e9)
    assert line.limit.value / 1e3 == pytest.approx(714.2, abs=0.06)


@pytest.mark.parametrize(
    ("fy", "kip", "newton", "times"), [(36, 4.14, 725, 4.76), (50, 6.66, 1166, 7.65)]
)
def test_standard_specifications(fy, kip, newton, times):
    # Hicks eq. 10.40 with d = 6 in, converted at 175.13 N/mm for 1 kip/in; derived.
    found = aashto.standard_line_contact(AASHTO, 1.0, 6 * IN, fy * KSI).limit.value
    assert found / KIP_IN == pytest.approx(kip, rel=1e-4)
    assert found / 1e3 == pytest.approx(newton, abs=0.6)
    assert found / 1e3 / 152.4 == pytest.approx(times, abs=0.006)


def test_standard_specifications_of_large_rollers():
    # Hicks eq. 10.41: (Fy - 13)/20 3 sqrt(d). Both formulas meet at 25 in: 0.6 x 25 = 3 x 5.
    at = aashto.standard_line_resistance(AASHTO, 25 * IN, 36 * KSI)
    above = aashto.standard_line_resistance(AASHTO, 25.0001 * IN, 36 * KSI)
    assert at == pytest.approx(above, rel=1e-5)
    found = aashto.standard_line_resistance(AASHTO, 100 * IN, 36 * KSI)
    assert found / KIP_IN == pytest.approx((36 - 13) / 20 * 3 * 10, rel=1e-4)


def test_rule_for_buildings_is_another_one():
    # A page on milled surfaces has 0.66 d: the building rule, a tenth above the bridge rule.
    found = aashto.standard_line_resistance(AASHTO, 6 * IN, 36 * KSI)
    assert (36 - 13) / 20 * 0.66 * 6 * KIP_IN / found == pytest.approx(1.1, rel=1e-4)


@pytest.mark.parametrize(
    ("rollers", "high", "times"), [(1, False, 8), (2, True, 10), (3, False, 5), (4, True, 7)]
)
def test_irc_working_loads(rollers, high, times):
    # Recalled: N/mm for each mm of diameter; 0.5 tonf/in per inch of diameter is 7.72.
    found = irc.line_contact(IRC, 1.0, 0.150, rollers, high)
    assert found.limit.value / 1e3 == pytest.approx(times * 150)
    assert found.basis == "memory"


def test_roller_in_a_hollow():
    # D1 D2/(D2 - D1): 150 in 450 counts as 225 mm; AASHTO D1/(1 - D1/D2) is the same figure.
    assert irc.equivalent_diameter(0.15, 0.45) == pytest.approx(0.225)
    assert aashto.curvature_diameter(0.15, 0.45) == pytest.approx(0.225)


@pytest.mark.parametrize(
    ("rollers", "spacing", "expected"),
    [(2, 200, (800, 1200)), (3, 150, (533.33, 666.67, 800)), (4, 150, (420, 473.33, 526.67, 580))],
)
def test_sharing_vectors(rollers, spacing, expected):
    # Derived: N = 2000 kN, girder moved 40 mm, so 20 mm off the nest.
    found = nest.equal_stiffness(2e6, 0.020, nest.positions(rollers, spacing / 1e3))
    assert found / 1e3 == pytest.approx(expected, abs=0.005)
