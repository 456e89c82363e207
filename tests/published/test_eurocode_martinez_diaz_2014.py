"""Martinez Diaz (2014), master's thesis, Lulea University of Technology, p. 101, exp. 4.21, 4.22.

Braking and traction of LM71 on a loaded length of 7.98 m; read second hand, from a test of an
open finite element library that cites the thesis.
"""

from bedstone.standards.eurocode.horizontal import rail_braking, traction
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import Values

SOURCE = "Martinez Diaz (2014), master's thesis, Lulea University of Technology, p. 101"
KNOWN = "quoted second hand"
TRACK = TrackFacts(offset=0.0, speed=30.0)


def test_braking(published) -> None:
    found = rail_braking(Values("eurocode"), "LM71", TRACK, 7.98).value / 1e3
    published("braking of LM71, 7.98 m", 159.6, found, "kN")


def test_traction(published) -> None:
    found = traction(Values("eurocode"), "LM71", TRACK, 7.98).value / 1e3
    published("traction of LM71, 7.98 m", 263.34, found, "kN")
