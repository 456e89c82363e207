"""The whole family runs for the bridges of its scope, and its data carry their provenance."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.family import Family
from bedstone.standards.irc import FAMILY

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
