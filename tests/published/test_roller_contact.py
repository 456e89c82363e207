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

BOOK = "Ellobody (2014), FE Analysis and Design of Steel and Composite Bridges, rollers and rockers"
HICKS = "Hicks, Civil Engineering Formulas, eq. 10.40, 10.41: AASHTO Standard Specifications"
LRFD = "AASHTO LRFD, line load of rollers"
WORKING = "IRC:83, working loads of rollers"
SHARING = "Sharing among the rollers of a nest, statics by hand"
EN, AASHTO, IRC = Values("eurocode"), Values("aashto"), Values("irc")
KSI, IN, KIP_IN = 6.894757e6, 0.0254, 175.1268e3


@pytest.mark.parametrize(
    ("fu", "resistance"),
    [(340, 1266), (360, 1419), (430, 2025), (490, 2630), (510, 2849), (550, 3313), (600, 3943),
     (1350, 19961)],
)  # fmt: skip
def test_en_resistance_of_a_roller(published, fu, resistance):
    # N'Rk N/mm for R = 100 mm, E = 210 000 MPa by Ellobody eq. 3.133; derived.
    line = en.line_contact(EN, 1.0, 0.1, fu * 1e6, 210e9)
    what, found = f"EN 1337-4, R 100 mm, fu {fu}", line.limit.value / 1e3
    published(what, resistance, found, "N/mm", source=BOOK, known="derived", abs=0.55)


@pytest.mark.parametrize(("fu", "radius"), [(430, 92.6), (490, 71.3), (600, 47.6)])
def test_own_roller(published, fu, radius):
    # Derived: N = 1500 kN (ULS) on 2 rollers of 400 mm, 1875 N/mm each: R that is just enough (mm).
    load = 1500e3 / (2 * 0.400)
    found = en.line_contact(EN, load, radius * 1e-3, fu * 1e6, 210e9).utilisation
    what = f"use of a roller of R {radius:g} mm, fu {fu}, 1875 N/mm"
    published(what, 1.0, found, source=BOOK, known="derived", abs=2e-3)


def test_rocker_of_a_published_bridge(published):
    # Ellobody 2014, section 4.2: 3327.2 kN, R = 170 mm and 600 mm on the drawing (roles inferred),
    # cast steel fu 550: R needed 167.4 mm. Derived from the published sizes.
    load = 3327.2e3 / 0.600
    line = en.line_contact(EN, load, 0.170, 550e6, 210e9, rocker=True)
    assert load / 1e3 == pytest.approx(5545, abs=0.5)
    how = {"source": BOOK, "known": "derived"}
    found = line.limit.value / 1e3
    published("rocker of the first bridge, R 170 mm", 5632, found, "N/mm", **how, abs=0.5)
    radius = 170.0 * line.utilisation
    published("radius that its rocker needs", 167.4, radius, "mm", **how, abs=0.05)
    assert math.ceil(17.0 * line.utilisation) == 17


def test_lrfd_line_load(published):
    # Derived: D 150 mm on flat, Fy 345, E 200 000 MPa: 714.2 N/mm (rule recalled).
    line = aashto.line_contact(AASHTO, 1.0, 0.150, 345e6, 200e9)
    found = line.limit.value / 1e3
    how = {"source": LRFD, "known": "derived"}
    published("D 150 mm, Fy 345 MPa", 714.2, found, "N/mm", **how, abs=0.06)


@pytest.mark.parametrize(
    ("fy", "kip", "newton", "times"), [(36, 4.14, 725, 4.76), (50, 6.66, 1166, 7.65)]
)
def test_standard_specifications(published, fy, kip, newton, times):
    # Hicks eq. 10.40 with d = 6 in, converted at 175.13 N/mm for 1 kip/in; derived.
    found = aashto.standard_line_contact(AASHTO, 1.0, 6 * IN, fy * KSI).limit.value
    how = {"source": HICKS, "known": "derived"}
    what = f"d 6 in, Fy {fy} ksi"
    published(what, kip, found / KIP_IN, "kip/in", **how, rel=1e-4)
    published(what, newton, found / 1e3, "N/mm", **how, abs=0.6)
    published(f"{what}, each mm of d", times, found / 1e3 / 152.4, "N/mm", **how, abs=0.006)


def test_standard_specifications_of_large_rollers(published):
    # Hicks eq. 10.41: (Fy - 13)/20 3 sqrt(d). Both formulas meet at 25 in: 0.6 x 25 = 3 x 5.
    at = aashto.standard_line_resistance(AASHTO, 25 * IN, 36 * KSI)
    above = aashto.standard_line_resistance(AASHTO, 25.0001 * IN, 36 * KSI)
    assert at == pytest.approx(above, rel=1e-5)
    found = aashto.standard_line_resistance(AASHTO, 100 * IN, 36 * KSI)
    by_hand, how = (36 - 13) / 20 * 3 * 10, {"source": HICKS, "known": "derived"}
    published("d 100 in, Fy 36 ksi", by_hand, found / KIP_IN, "kip/in", **how, rel=1e-4)


def test_rule_for_buildings_is_another_one():
    # A page on milled surfaces has 0.66 d: the building rule, a tenth above the bridge rule.
    found = aashto.standard_line_resistance(AASHTO, 6 * IN, 36 * KSI)
    assert (36 - 13) / 20 * 0.66 * 6 * KIP_IN / found == pytest.approx(1.1, rel=1e-4)


@pytest.mark.parametrize(
    ("rollers", "high", "times"), [(1, False, 8), (2, True, 10), (3, False, 5), (4, True, 7)]
)
def test_irc_working_loads(published, rollers, high, times):
    # Recalled: N/mm for each mm of diameter; 0.5 tonf/in per inch of diameter is 7.72.
    found = irc.line_contact(IRC, 1.0, 0.150, rollers, high)
    what = f"{rollers} roller(s), {'high tensile' if high else 'mild'} steel, each mm of diameter"
    each, how = found.limit.value / 1e3 / 150, {"source": WORKING, "known": "from memory"}
    published(what, times, each, "N/mm", **how)
    assert found.basis == "memory"


def test_roller_in_a_hollow():
    # D1 D2/(D2 - D1): 150 in 450 counts as 225 mm; AASHTO D1/(1 - D1/D2) is the same figure.
    assert irc.equivalent_diameter(0.15, 0.45) == pytest.approx(0.225)
    assert aashto.curvature_diameter(0.15, 0.45) == pytest.approx(0.225)


@pytest.mark.parametrize(
    ("rollers", "spacing", "expected"),
    [(2, 200, (800, 1200)), (3, 150, (533.33, 666.67, 800)), (4, 150, (420, 473.33, 526.67, 580))],
)
def test_sharing_vectors(published, rollers, spacing, expected):
    # Derived: N = 2000 kN, girder moved 40 mm, so 20 mm off the nest.
    found = nest.equal_stiffness(2e6, 0.020, nest.positions(rollers, spacing / 1e3))
    what = f"2000 kN on {rollers} rollers {spacing} mm apart, 20 mm off"
    published(what, expected, found / 1e3, "kN", source=SHARING, known="derived", abs=0.005)
