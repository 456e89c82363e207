"""The whole family runs for the bridges of its scope, and its data carry their provenance."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import CHOICES, FAMILY
from bedstone.standards.family import Family
from bedstone.standards.values import load_pack

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


def test_unknown_choices_are_refused_one_by_one(values, bridge):
    wrong = {"lanes.cuont": 2, "braking.lane": 1, "seismic.magnitude": 7}
    for call in (FAMILY.traffic, FAMILY.thermal, FAMILY.wind, FAMILY.lines):
        with pytest.raises(InputError) as caught:
            call(values, bridge(choices=wrong))
        assert [fault.where for fault in caught.value.faults] == [
            "choices.aashto.lanes.cuont",
            "choices.aashto.braking.lane",
            "actions.seismic.aashto.magnitude",
        ]
    with pytest.raises(InputError):
        FAMILY.with_choices(wrong)
    with pytest.raises(InputError):
        FAMILY.seismic(values, bridge(choices=wrong), 1.0, 1.0)


def test_lines_state_only_what_the_facts_give(values, bridge):
    assert FAMILY.lines(values, bridge(carriageway=None, air_min=None, air_max=None)) == ()
    shaken = bridge(carriageway=None, air_min=None, air_max=None, choices=SHAKEN)
    assert FAMILY.lines(values, shaken)


def test_every_value_names_clause_and_source():
    pack = load_pack("aashto")
    assert len(pack) > 80
    assert all(value.clause and value.source for value in pack.values())
    assert all(text for text in CHOICES.values())
