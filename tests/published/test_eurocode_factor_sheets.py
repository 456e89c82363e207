"""Factors of EN 1990 annex A2 as two public sheets print them.

- Load combinations for bridges with the UK national annex (scribd 582057377).
- EN 1990, draft annex A2, tables A2.1 and A2.2 (scribd 491621699), a scan.
"""

from bedstone.standards.eurocode.factors import gamma, gamma_pair, psi
from bedstone.standards.values import Values


def test_uk_sheet() -> None:
    values = Values("eurocode")
    assert gamma(values, "uk", "road") == 1.35
    assert gamma(values, "uk", "thermal") == 1.55
    assert gamma(values, "uk", "wind") == 1.70
    assert gamma(values, "uk", "settlement") == 1.20
    assert gamma_pair(values, "uk", "permanent")[1] == 0.95
    assert psi(values, "uk", "tandem") == (0.75, 0.75, 0.0)
    assert psi(values, "uk", "uniform") == (0.75, 0.75, 0.0)
    assert psi(values, "uk", "wind_road")[:2] == (0.50, 0.20)
    assert psi(values, "uk", "thermal") == (0.60, 0.60, 0.50)


def test_draft_annex_a2() -> None:
    values = Values("eurocode")
    assert psi(values, "recommended", "tandem") == (0.75, 0.75, 0.0)
    assert psi(values, "recommended", "uniform") == (0.40, 0.40, 0.0)
    assert psi(values, "recommended", "gr2") == (0.0, 0.0, 0.0)
    assert psi(values, "recommended", "thermal")[1:] == (0.60, 0.50)
