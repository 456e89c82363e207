"""The whole family runs for the bridges of its scope, and its data carry their provenance."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.family import Family
from bedstone.standards.irc import CHOICES, FAMILY
from bedstone.standards.values import load_pack

WIND = {"wind.speed": 33.0}


@pytest.mark.parametrize("radius", [None, 250.0, -250.0])
@pytest.mark.parametrize(
    ("superstructure", "deck"),
    [("girders", "concrete"), ("girders", "composite"), ("truss", "steel")],
)
def test_runs_for_road_bridges(values, bridge, superstructure, deck, radius):
    family: Family = FAMILY
    facts = bridge(superstructure=superstructure, deck_type=deck, radius=radius, choices=WIND)
    (group,) = family.traffic(values, facts)
    assert len(group.horizontals) == (1 if radius is None else 2)
    assert family.thermal(values, facts).expansion > 0
    assert family.wind(values, facts).across > 0
    assert family.seismic(values, facts, 1.0, 0.5) is None
    titles = [line.title for line in family.lines(values, facts)]
    assert ("Centrifugal force" in titles) == (radius is not None)
    assert "Braking force" in titles
    assert "Hourly mean wind pressure" in titles


def test_friction(values):
    # PTFE pair: commentary on IRC:6-2017, example 211-3; steel roller from memory.
    assert FAMILY.friction(values, "pot", 4) == (0.05, 0.03)
    assert FAMILY.friction(values, "roller_nest", 1) == (0.03, 0.03)
    assert FAMILY.friction(values, "steel on steel", 1) == (0.4, 0.4)
    with pytest.raises(InputError, match="plane sliding"):
        FAMILY.friction(values, "laminated elastomeric", 1)


def test_misspelt_choices_are_refused_and_others_left_alone(values, bridge):
    with pytest.raises(InputError) as caught:
        FAMILY.traffic(values, bridge(choices={"impact.spann": 2, "thermal.heet": 1}))
    assert len(caught.value.faults) == 2
    assert FAMILY.traffic(values, bridge(choices={"report.logo": "none"}))


def test_every_value_names_clause_and_source():
    pack = load_pack("irc")
    assert len(pack) > 90
    assert all(value.clause and value.source for value in pack.values())
    assert all(text for text in CHOICES.values())
