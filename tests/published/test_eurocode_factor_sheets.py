"""Factors of EN 1990 annex A2 as two public sheets print them.

- Load combinations for bridges with the UK national annex (scribd 582057377).
- EN 1990, draft annex A2, tables A2.1 and A2.2 (scribd 491621699), a scan.
"""

from bedstone.standards.eurocode.factors import gamma, gamma_pair, psi
from bedstone.standards.values import Values

UK = "Load combinations for bridges with the UK national annex, public sheet"
DRAFT = "EN 1990, draft annex A2, tables A2.1 and A2.2, scan"
KNOWN = "read there"


def test_uk_sheet(published) -> None:
    values = Values("eurocode")
    for action, factor in (("road", 1.35), ("thermal", 1.55), ("wind", 1.70), ("settlement", 1.20)):
        found = gamma(values, "uk", action)
        published(f"gamma of {action}", factor, found, source=UK, abs=0)
    relieving = gamma_pair(values, "uk", "permanent")[1]
    published("gamma of permanent actions, relieving", 0.95, relieving, source=UK, abs=0)
    for action, factors in (
        ("tandem", (0.75, 0.75, 0.0)),
        ("uniform", (0.75, 0.75, 0.0)),
        ("thermal", (0.60, 0.60, 0.50)),
    ):
        found = psi(values, "uk", action)
        published(f"psi_0, psi_1, psi_2 of {action}", factors, found, source=UK, abs=0)
    found = psi(values, "uk", "wind_road")[:2]
    published("psi_0, psi_1 of wind on the road", (0.50, 0.20), found, source=UK, abs=0)


def test_draft_annex_a2(published) -> None:
    values = Values("eurocode")
    for action, factors in (
        ("tandem", (0.75, 0.75, 0.0)),
        ("uniform", (0.40, 0.40, 0.0)),
        ("gr2", (0.0, 0.0, 0.0)),
    ):
        found = psi(values, "recommended", action)
        published(f"psi_0, psi_1, psi_2 of {action}", factors, found, source=DRAFT, abs=0)
    found = psi(values, "recommended", "thermal")[1:]
    published("psi_1, psi_2 of thermal", (0.60, 0.50), found, source=DRAFT, abs=0)
