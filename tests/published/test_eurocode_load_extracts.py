"""Loads of EN 1991-2 as public extracts print them.

- eurocode.us, Traffic loads on bridges: LM1.
- eurocode.us, extract of ENV 1991-3: LM2, 12.5 kN/m, 1.80 m, 80 km/h.
- Ellobody, FE Analysis and Design of Steel and Steel-Concrete Composite Bridges, 3.4.2: traction,
  braking, nosing.
"""

from bedstone.standards.eurocode.horizontal import nosing, rail_braking, traction
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import Values

LM1 = "eurocode.us, Traffic loads on bridges: LM1 and LM2"
ENV = "eurocode.us, extract of ENV 1991-3"
BOOK = "Ellobody (2014), FE Analysis and Design of Steel and Composite Bridges, 3.4.2"
KNOWN = "read there"
TRACK = TrackFacts(offset=0.0, speed=30.0)


def test_lm1_and_lm2(published) -> None:
    values = Values("eurocode")
    axles = [force / 1e3 for force in values.row("road.lm1.tandem")]
    published("axles of the tandem, lanes 1 to 3", (300, 200, 100), axles, "kN", source=LM1, abs=0)
    for what, name, load in (
        ("uniform load of lane 1", "uniform", 9.0),
        ("uniform load of other lanes", "uniform_other", 2.5),
        ("uniform load of the remaining area", "uniform_rest", 2.5),
    ):
        found = values.number(f"road.lm1.{name}") / 1e3
        published(what, load, found, "kN/m2", source=LM1, abs=0)
    for what, name, load in (("axle of LM2", "axle", 400), ("wheel of LM2", "wheel", 200)):
        found = values.number(f"road.lm2.{name}") / 1e3
        published(what, load, found, "kN", source=LM1, abs=0)


def test_env_extract(published) -> None:
    values = Values("eurocode")
    load = values.number("rail.unloaded.env") / 1e3
    published("unloaded train", 12.5, load, "kN/m", source=ENV, abs=0)
    height = values.number("rail.centrifugal.height")
    published("height of the centrifugal force", 1.8, height, "m", source=ENV, abs=0)
    speed = values.number("rail.centrifugal.sw_speed") * 3.6
    published("speed of SW/2", 80, speed, "km/h", source=ENV)


def test_ellobody(published) -> None:
    values = Values("eurocode")
    # Per metre of loaded length, where one published code forgets the length of SW/2.
    for what, rule, train, length, load in (
        ("traction of LM71", traction, "LM71", 10.0, 33),
        ("braking of LM71", rail_braking, "LM71", 100.0, 20),
        ("braking of SW/2", rail_braking, "SW/2", 10.0, 35),
    ):
        found = rule(values, train, TRACK, length).value / 1e3 / length
        published(what, load, found, "kN/m", source=BOOK)
    most = traction(values, "LM71", TRACK, 100.0).value / 1e3
    published("most traction of LM71", 1000, most, "kN", source=BOOK)
    most = rail_braking(values, "LM71", TRACK, 1000.0).value / 1e3
    published("most braking of LM71", 6000, most, "kN", source=BOOK)
    published("nosing force", 100, nosing(values, 1.0).value / 1e3, "kN", source=BOOK, abs=0)
