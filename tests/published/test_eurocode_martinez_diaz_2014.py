"""Martinez Diaz (2014), master's thesis, Lulea University of Technology, p. 101, exp. 4.21, 4.22.

Braking and traction of LM71 on a loaded length of 7.98 m; read second hand, from a test of an
open finite element library that cites the thesis.
"""

import pytest

from bedstone.standards.eurocode.horizontal import rail_braking, traction
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import Values

TRACK = TrackFacts(offset=0.0, speed=30.0)


def test_braking() -> None:
    assert rail_braking(Values("eurocode"), "LM71", TRACK, 7.98).value == pytest.approx(159.6e3)


def test_traction() -> None:
    assert traction(Values("eurocode"), "LM71", TRACK, 7.98).value == pytest.approx(263.34e3)
