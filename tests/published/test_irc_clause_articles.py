"""Clauses quoted in public articles.

Sources: web article on IRC:6 Section II clause 211, longitudinal forces (shares of braking, level);
roadandbridgedesign.blogspot.com, March 2022, moment under 70R tracked (10 % impact, cl. 208.3(b),
clear distance to the kerb 1.2 m, carriageway of at least 5.30 m).
"""

import pytest

from bedstone.standards.irc import impact
from bedstone.standards.irc.horizontal import braking
from bedstone.standards.values import Values

VALUES = Values("irc")


def test_shares_of_braking():
    assert braking(VALUES, 1000.0, 0.0, 0.0).value == pytest.approx(200.0)
    assert braking(VALUES, 1000.0, 500.0, 0.0).value == pytest.approx(250.0)
    assert braking(VALUES, 1000.0, 500.0, 400.0).value == pytest.approx(270.0)


def test_level_of_braking():
    assert VALUES.number("traffic.braking.height") == pytest.approx(1.2)


@pytest.mark.parametrize("span", [9.0, 20.0, 40.0])
def test_impact_of_tracked_vehicles_on_concrete(span):
    assert impact.tracked(VALUES, span, "concrete").value == pytest.approx(0.10)


def test_least_carriageway_for_70r():
    least = 2 * VALUES.number("traffic.heavy.kerb") + VALUES.number("traffic.70r_tracked.width")
    assert least == pytest.approx(5.30)
    assert VALUES.row("traffic.lanes.from")[0] == pytest.approx(least)
