"""Strutturista (blog), Traffic loads on road bridges: division into notional lanes (2013)."""

from bedstone.standards.eurocode.road import notional_lanes
from bedstone.standards.values import Values

SOURCE = "Strutturista (blog), Traffic loads on road bridges: division into notional lanes (2013)"
KNOWN = "read there"


def test_a_carriageway_of_11_m_has_three_lanes_and_2_m_left(published) -> None:
    lanes = notional_lanes(Values("eurocode"), 11.0)
    published("lanes on a carriageway of 11 m", 3, lanes.count, abs=0)
    published("width of a lane", 3.0, lanes.width, "m", abs=0)
    published("remaining area", 2.0, lanes.remaining, "m")
