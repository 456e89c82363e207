"""Hertz line contact of a roller on a flat plate, steel on steel.

Sources: the formulas of Johnson, Contact Mechanics, ch. 4 and 5, evaluated apart from bedstone
(E = 210 000 MPa, nu = 0.3; figures to the digits shown); Young and Budynas, Roark's Formulas, table
14.1: p0 = 0.591 sqrt(p E/K_D), full width 2.15 sqrt(p K_D/E).
"""

import math

import numpy as np
import pytest

from bedstone.bearings import hertz

SOURCE = "Johnson, Contact Mechanics, ch. 4 and 5: line contact of steel on steel"
KNOWN = "derived"
ROARK = "Young and Budynas, Roark's Formulas, table 14.1: cylinders"
E, NU = 210_000e6, 0.3
MODULUS = hertz.contact_modulus(E, E, NU, NU)
# P' N/mm, R mm | a mm, p0 MPa, pm MPa, tau MPa, depth mm, shortening of the roller mm
ROWS = [
    (1000.0, 75.0, 0.9097, 699.79, 549.61, 209.94, 0.715, 0.02923),
    (2000.0, 100.0, 1.4856, 857.07, 673.14, 257.12, 1.168, 0.05623),
    (5545.33, 170.0, 3.2253, 1094.56, 859.66, 328.37, 2.535, 0.14842),
]
IDS = [f"{row[0]:g} on R {row[1]:g}" for row in ROWS]


def on(row):
    """The case in words."""
    return f"{row[0]:g} N/mm on a roller of R {row[1]:g} mm"


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_half_width(published, row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    published(f"half width, {on(row)}", row[2], contact.half_width * 1e3, "mm", abs=5e-5)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_peak_pressure(published, row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    published(f"peak pressure, {on(row)}", row[3], contact.peak / 1e6, "MPa", abs=0.005)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_mean_pressure(published, row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    published(f"mean pressure, {on(row)}", row[4], contact.mean / 1e6, "MPa", abs=0.005)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_greatest_shear_and_its_depth(published, row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    # The table rounds to 0.300 p0 (exact 0.30028) and 0.786 a.
    published(f"greatest shear, {on(row)}", row[5], contact.shear / 1e6, "MPa", rel=1.1e-3)
    published(f"depth of it, {on(row)}", row[6], contact.depth * 1e3, "mm", abs=1e-3)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_shortening_of_the_roller(published, row):
    bed = hertz.RollerBed(row[1] / 1e3, (), E, NU)
    found = bed.approach(np.array(row[0] * 1e3)) * 1e3
    published(f"shortening, {on(row)}", row[7], found, "mm", abs=6e-6)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_roark_flat(published, row):
    p, K = row[0], 2.0 * row[1]
    contact = hertz.line_contact(p * 1e3, row[1] / 1e3, MODULUS)
    how = {"source": ROARK, "known": "from memory"}
    factor = contact.peak / 1e6 / math.sqrt(p * 210_000 / K)
    published(f"p0 / sqrt(p E / K_D), {on(row)}", 0.591, factor, **how, rel=1e-3)
    factor = 2e3 * contact.half_width / math.sqrt(p * K / 210_000)
    published(f"full width / sqrt(p K_D / E), {on(row)}", 2.15, factor, **how, rel=2e-3)


@pytest.mark.parametrize(
    ("second", "K"),
    [(300.0, 2 * 100 * 300 * 2 / (2 * 400)), (-300.0, 200.0 * 600.0 / (600.0 - 200.0))],
    ids=["on a convex one", "in a hollow one"],
)
def test_roark_pairs(published, second, K):
    # K_D = D1 D2/(D1 + D2) for two convex cylinders, D1 D2/(D1 - D2) for one in a hollow (sizes
    # here D 200 and D 600).
    radius = hertz.relative_radius(0.1, second / 1e3)
    contact = hertz.line_contact(2e6, radius, MODULUS)
    what = f"p0 / sqrt(p E / K_D), R 100 mm on R {second:g} mm"
    factor = contact.peak / 1e6 / math.sqrt(2000 * 210_000 / K)
    published(what, 0.591, factor, source=ROARK, known="from memory", rel=1e-3)


def test_half_width_of_the_older_page_is_not_used():
    # A public page prints b = sqrt(2 P R/(pi E*)) beside p0 = sqrt(P E*/(pi R)); with that half
    # width the pressure would not carry the load: ours must not be it.
    contact = hertz.line_contact(2e6, 0.1, MODULUS)
    printed = math.sqrt(2 * 2e6 * 0.1 / (math.pi * MODULUS))
    assert contact.half_width == pytest.approx(math.sqrt(2.0) * printed)
    assert math.pi / 2 * contact.peak * contact.half_width == pytest.approx(2e6)


@pytest.mark.parametrize(
    ("factor", "power", "ratio"),
    [(23.0, 2, 2.006), (18.0, 2, 1.774), (16.0, 2, 1.673)],
    ids=["EN 23 R fu2/E", "BS 18 R su2/E", "AASHTO 8 D Fy2/E"],
)
def test_peak_that_a_line_rule_implies(published, factor, power, ratio):
    strength, radius = 490e6, 0.1
    load = factor * radius * strength**power / E
    found = hertz.line_contact(load, radius, MODULUS).peak / strength
    published(f"p0 / f under {factor:g} R f2/E", ratio, found, abs=1e-3)


@pytest.mark.parametrize(
    ("factor", "ratio"), [(220.0, 2.342), (160.0, 2.106)], ids=["EN", "AASHTO"]
)
def test_peak_that_a_point_rule_implies(published, factor, ratio):
    strength, radius = 490e6, 0.5
    load = factor * radius**2 * strength**3 / E**2
    peak = hertz.point_contact(load, radius, MODULUS).peak
    published(f"p0 / f under {factor:g} R2 f3/E2, a ball", ratio, peak / strength, abs=1e-3)


@pytest.mark.parametrize(("load", "peak"), [(8.0, 766), (5.0, 606), (10.0, 857), (7.0, 717)])
def test_peak_of_permissible_working_loads(published, load, peak):
    # 8 D, 5 D, 10 D, 7 D N/mm with E 210 000.
    found = hertz.line_contact(load * 1e6 * 0.15, 0.075, MODULUS)
    published(f"p0 under {load:g} D N/mm", peak, found.peak / 1e6, "MPa", abs=0.6)
