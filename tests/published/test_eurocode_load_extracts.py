"""Loads of EN 1991-2 as public extracts print them.

- eurocode.us, Traffic loads on bridges: LM1.
- eurocode.us, extract of ENV 1991-3: LM2, 12.5 kN/m, 1.80 m, 80 km/h.
- Ellobody, FE Analysis and Design of Steel and Steel-Concrete Composite Bridges, 3.4.2: traction,
  braking, nosing.
"""

import pytest

from bedstone.standards.eurocode.horizontal import nosing, rail_braking, traction
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import Values

TRACK = TrackFacts(offset=0.0, speed=30.0)


def test_lm1_and_lm2() -> None:
    values = Values("eurocode")
    assert values.row("road.lm1.tandem") == (300e3, 200e3, 100e3)
    assert values.number("road.lm1.uniform") == 9e3
    assert values.number("road.lm1.uniform_other") == 2.5e3
    assert values.number("road.lm1.uniform_rest") == 2.5e3
    assert (values.number("road.lm2.axle"), values.number("road.lm2.wheel")) == (400e3, 200e3)


def test_env_extract() -> None:
    values = Values("eurocode")
    assert values.number("rail.unloaded.env") == 12.5e3
    assert values.number("rail.centrifugal.height") == 1.8
    assert values.number("rail.centrifugal.sw_speed") == pytest.approx(80 / 3.6)


def test_ellobody() -> None:
    values = Values("eurocode")
    assert traction(values, "LM71", TRACK, 10.0).value == pytest.approx(330e3)
    assert traction(values, "LM71", TRACK, 100.0).value == pytest.approx(1000e3)
    assert rail_braking(values, "LM71", TRACK, 100.0).value == pytest.approx(2000e3)
    assert rail_braking(values, "LM71", TRACK, 1000.0).value == pytest.approx(6000e3)
    # Per metre of loaded length, where one published code forgets the length.
    assert rail_braking(values, "SW/2", TRACK, 10.0).value == pytest.approx(350e3)
    assert nosing(values, 1.0).value == 100e3
