"""The whole family runs for the bridges of its scope, and its data carry their provenance."""

import pytest

from bedstone.standards.aashto import FAMILY
from bedstone.standards.family import Family

WIND = {"wind.speed": 40.0}
SHAKEN = {"seismic.pga": 0.2, "seismic.ss": 0.5, "seismic.s1": 0.2, "seismic.site": "C"}


@pytest.mark.parametrize("radius", [None, 250.0, -250.0])
@pytest.mark.parametrize(
    ("superstructure", "deck"),
    [("girders", "concrete"), ("girders", "composite"), ("truss", "steel")],
)
def test_runs_for_road_bridges(values, bridge, superstructure, deck, radius):
    family: Family = FAMILY
    facts = bridge(superstructure=superstructure, deck_type=deck, radius=radius, choices=WIND)
    (group,) = family.traffic(values, facts)
    assert group.name == "HL-93"
    assert len(group.horizontals) == (1 if radius is None else 2)
    assert family.thermal(values, facts).expansion > 0
    assert family.wind(values, facts).across > 0
    assert family.seismic(values, facts, 1.0, 0.5) is None
    titles = [line.title for line in family.lines(values, facts)]
    assert ("Centrifugal force" in titles) == (radius is not None)
    assert "Braking force" in titles
    assert "Wind pressure on the structure" in titles


def test_lines_carry_clause_and_the_weakest_basis(values, bridge):
    lines = FAMILY.lines(values, bridge())
    braking = next(line for line in lines if line.title == "Braking force")
    assert braking.clause == "3.6.4"
    assert braking.basis == "memory"  # the multiple presence factor
    assert all(line.standard and line.edition and line.clause for line in lines)
