"""Hertz line contact of a roller on a flat plate, steel on steel.

Sources: the formulas of Johnson, Contact Mechanics, ch. 4 and 5, evaluated apart from bedstone
(E = 210 000 MPa, nu = 0.3; figures to the digits shown); Young and Budynas, Roark's Formulas, table
14.1: p0 = 0.591 sqrt(p E/K_D), full width 2.15 sqrt(p K_D/E).
"""

import math

import numpy as np
import pytest

from bedstone.bearings import hertz

E, NU = 210_000e6, 0.3
MODULUS = hertz.contact_modulus(E, E, NU, NU)
# P' N/mm, R mm | a mm, p0 MPa, pm MPa, tau MPa, depth mm, shortening of the roller mm
ROWS = [
    (1000.0, 75.0, 0.9097, 699.79, 549.61, 209.94, 0.715, 0.02923),
    (2000.0, 100.0, 1.4856, 857.07, 673.14, 257.12, 1.168, 0.05623),
    (5545.33, 170.0, 3.2253, 1094.56, 859.66, 328.37, 2.535, 0.14842),
]
IDS = [f"{row[0]:g} on R {row[1]:g}" for row in ROWS]


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_half_width(row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    assert contact.half_width * 1e3 == pytest.approx(row[2], abs=5e-5)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_peak_pressure(row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    assert contact.peak / 1e6 == pytest.approx(row[3], abs=0.005)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_mean_pressure(row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    assert contact.mean / 1e6 == pytest.approx(row[4], abs=0.005)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_greatest_shear_and_its_depth(row):
    contact = hertz.line_contact(row[0] * 1e3, row[1] / 1e3, MODULUS)
    # The table rounds to 0.300 p0 (exact 0.30028) and 0.786 a.
    assert contact.shear / 1e6 == pytest.approx(row[5], rel=1.1e-3)
    assert contact.depth * 1e3 == pytest.approx(row[6], abs=1e-3)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_shortening_of_the_roller(row):
    bed = hertz.RollerBed(row[1] / 1e3, (), E, NU)
    assert bed.approach(np.array(row[0] * 1e3)) * 1e3 == pytest.approx(row[7], abs=6e-6)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_roark_flat(row):
    p, K = row[0], 2.0 * row[1]
    contact = hertz.line_contact(p * 1e3, row[1] / 1e3, MODULUS)
    assert contact.peak / 1e6 == pytest.approx(0.591 * math.sqrt(p * 210_000 / K), rel=1e-3)
    assert 2e3 * contact.half_width == pytest.approx(2.15 * math.sqrt(p * K / 210_000), rel=2e-3)


@pytest.mark.parametrize(
    ("second", "K"),
    [(300.0, 2 * 100 * 300 * 2 / (2 * 400)), (-300.0, 200.0 * 600.0 / (600.0 - 200.0))],
    ids=["on a convex one", "in a hollow one"],
)
def test_roark_pairs(second, K):
    # K_D = D1 D2/(D1 + D2) for two convex cylinders, D1 D2/(D1 - D2) for one in a hollow (sizes
    # here D 200 and D 600).
    radius = hertz.relative_radius(0.1, second / 1e3)
    contact = hertz.line_contact(2e6, radius, MODULUS)
    assert contact.peak / 1e6 == pytest.approx(0.591 * math.sqrt(2000 * 210_000 / K), rel=1e-3)


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
def test_peak_that_a_line_rule_implies(factor, power, ratio):
    strength, radius = 490e6, 0.1
    load = factor * radius * strength**power / E
    assert hertz.line_contact(load, radius, MODULUS).peak / strength == pytest.approx(
        ratio, abs=1e-3
    )


@pytest.mark.parametrize(
    ("factor", "ratio"), [(220.0, 2.342), (160.0, 2.106)], ids=["EN", "AASHTO"]
)
def test_peak_that_a_point_rule_implies(factor, ratio):
    strength, radius = 490e6, 0.5
    load = factor * radius**2 * strength**3 / E**2
    peak = hertz.point_contact(load, radius, MODULUS).peak
    assert peak / strength == pytest.approx(ratio, abs=1e-3)


@pytest.mark.parametrize(("load", "peak"), [(8.0, 766), (5.0, 606), (10.0, 857), (7.0, 717)])
def test_peak_of_permissible_working_loads(load, peak):
    # 8 D, 5 D, 10 D, 7 D N/mm with E 210 000.
    found = hertz.line_contact(load * 1e6 * 0.15, 0.075, MODULUS)
    assert found.peak / 1e6 == pytest.approx(peak, abs=0.6)
