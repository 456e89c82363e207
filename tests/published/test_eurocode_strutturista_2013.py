"""Strutturista (blog), Traffic loads on road bridges: division into notional lanes (2013)."""

import pytest

from bedstone.standards.eurocode.road import notional_lanes
from bedstone.standards.values import Values


def test_a_carriageway_of_11_m_has_three_lanes_and_2_m_left() -> None:
    lanes = notional_lanes(Values("eurocode"), 11.0)
    assert (lanes.count, lanes.width) == (3, 3.0)
    assert lanes.remaining == pytest.approx(2.0)
