"""EN 1991-1-5, Tables 6.1 and 6.2 and annex A, as the open finite element library XC has them."""

import pytest

from bedstone.standards.eurocode.thermal import air_temperature, difference, surface_factors
from bedstone.standards.values import Values

SOURCE = "EN 1991-1-5, Tables 6.1 and 6.2 and annex A, as an open finite element library has them"
KNOWN = "quoted second hand"


@pytest.mark.parametrize(
    ("deck", "section", "heat", "cool"),
    [
        ("steel", "beam", 18.0, 13.0),
        ("composite", "beam", 15.0, 18.0),
        ("concrete", "box", 10.0, 5.0),
        ("concrete", "beam", 15.0, 8.0),
        ("concrete", "slab", 15.0, 8.0),
    ],
)
def test_table_6_1(published, deck, section, heat: float, cool: float) -> None:
    lines = difference(Values("eurocode"), deck, section, "thickness", 0.05)
    found = [line.value for line in lines]
    published(f"Table 6.1, heat and cool, {deck} {section}", [heat, cool], found, "K")


@pytest.mark.parametrize(
    ("surface", "thickness", "rows"),
    [
        ("bare", 0.0, ((0.7, 0.9), (0.9, 1.0), (0.8, 1.1))),
        ("waterproofed", 0.0, ((1.6, 0.6), (1.1, 0.9), (1.5, 1.0))),
        ("thickness", 0.05, ((1.0, 1.0), (1.0, 1.0), (1.0, 1.0))),
        ("thickness", 0.10, ((0.7, 1.2), (1.0, 1.0), (0.7, 1.0))),
        ("thickness", 0.15, ((0.7, 1.2), (1.0, 1.0), (0.5, 1.0))),
        ("ballast", 0.0, ((0.6, 1.4), (0.8, 1.2), (0.6, 1.0))),
    ],
)
def test_table_6_2(published, surface, thickness: float, rows) -> None:
    for deck, row in zip(("steel", "composite", "concrete"), rows, strict=True):
        found = surface_factors(Values("eurocode"), deck, surface, thickness)
        how = f"{thickness * 1e3:g} mm" if surface == "thickness" else surface
        published(f"Table 6.2, k_sur heat and cool, {how}, {deck}", row, found)


def test_annex_a_gives_one_at_fifty_years(published) -> None:
    for extreme in ("maximum", "minimum"):
        line = air_temperature(Values("eurocode"), 1.0, 0.02, extreme)
        published(f"annex A, {extreme} at 50 years", 1.0, line.value, abs=2e-3)
