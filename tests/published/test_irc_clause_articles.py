"""Clauses quoted in public articles.

Sources: web article on IRC:6 Section II clause 211, longitudinal forces (shares of braking, level);
roadandbridgedesign.blogspot.com, March 2022, moment under 70R tracked (10 % impact, cl. 208.3(b),
clear distance to the kerb 1.2 m, carriageway of at least 5.30 m).
"""

import pytest

from bedstone.standards.irc import impact
from bedstone.standards.irc.horizontal import braking
from bedstone.standards.values import Values

BRAKING = "Web article on IRC:6 Section II, clause 211, longitudinal forces"
TRACKED = "roadandbridgedesign.blogspot.com, March 2022: moment under 70R tracked"
KNOWN = "read there"
VALUES = Values("irc")


def test_shares_of_braking(published):
    first = braking(VALUES, 1000.0, 0.0, 0.0).value
    second = braking(VALUES, 1000.0, 500.0, 0.0).value
    third = braking(VALUES, 1000.0, 500.0, 400.0).value
    published("share of the first train", 20, first / 10, "%", source=BRAKING)
    published("share of trains behind it", 10, (second - first) / 5, "%", source=BRAKING)
    published("share beyond two lanes", 5, (third - second) / 4, "%", source=BRAKING)


def test_level_of_braking(published):
    height = VALUES.number("traffic.braking.height")
    published("level of braking above the road", 1.2, height, "m", source=BRAKING)


@pytest.mark.parametrize("span", [9.0, 20.0, 40.0])
def test_impact_of_tracked_vehicles_on_concrete(published, span):
    found = impact.tracked(VALUES, span, "concrete").value
    published(f"impact of tracked vehicles, {span:g} m", 0.10, found, source=TRACKED)


def test_least_carriageway_for_70r(published):
    least = 2 * VALUES.number("traffic.heavy.kerb") + VALUES.number("traffic.70r_tracked.width")
    published("least carriageway for 70R", 5.30, least, "m", source=TRACKED)
    assert VALUES.row("traffic.lanes.from")[0] == pytest.approx(least)
