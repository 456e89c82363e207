"""The whole family runs for the bridges of its scope, and its data carry their provenance."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.family import Family
from bedstone.standards.irc import CHOICES, FAMILY
from bedstone.standards.values import load_pack

WIND = {"wind.speed": 33.0}
SHAKEN = {"seismic.zone": 4, "seismic.soil": "soft"}


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
    # PTFE pair: commentary on IRC:6-2017, example 211-3; the others from memory.
    assert FAMILY.friction(values, "pot", 4) == (0.05, 0.03)
    assert FAMILY.friction(values, "roller nest", 1) == (0.03, 0.03)
    assert FAMILY.friction(values, "laminated elastomeric", 1) == (0.0, 0.0)
    old = FAMILY.with_choices(
        {"friction.sliding_pair": "steel on steel", "friction.roller": "concrete"}
    )
    assert old.friction(values, "plane sliding", 1) == (0.4, 0.4)
    assert old.friction(values, "single roller", 1) == (0.05, 0.05)
    for pair, mu in (("cast iron on cast iron", 0.3), ("concrete on bitumen", 0.5)):
        chosen = FAMILY.with_choices({"friction.sliding_pair": pair})
        assert chosen.friction(values, "plane sliding", 1) == (mu, mu)
    with pytest.raises(InputError, match=r"choices\.irc\.friction\.sliding_pair"):
        FAMILY.with_choices({"friction.sliding_pair": "butter"})


def test_unknown_choices_are_refused_one_by_one(values, bridge):
    wrong = {"impact.spann": 2, "thermal.heet": 1, "seismic.magnitude": 7}
    for call in (FAMILY.traffic, FAMILY.thermal, FAMILY.wind, FAMILY.lines):
        with pytest.raises(InputError) as caught:
            call(values, bridge(choices=wrong))
        assert [fault.where for fault in caught.value.faults] == [
            "choices.irc.impact.spann",
            "choices.irc.thermal.heet",
            "actions.seismic.irc.magnitude",
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
    pack = load_pack("irc")
    assert len(pack) > 90
    assert all(value.clause and value.source for value in pack.values())
    assert all(text for text in CHOICES.values())
