"""Every number of every pack says where it comes from, and some rule reads it."""

from dataclasses import replace
from importlib import import_module

import pytest

from bedstone.standards.family import ACTIONS
from bedstone.standards.kinds import MOTIONS
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import BASES, Values, load_pack, si_factor

#: Data files of the actions and combinations of a family; others have tests of their own.
COMMON = ("combinations", "friction", "seismic", "thermal", "wind")
FILES = {
    "eurocode": {*COMMON, "movements", "rail", "road"},
    "aashto": {*COMMON, "traffic"},
    "irc": {*COMMON, "sharing", "traffic"},
}
WIND = {"wind.speed": 30.0}


@pytest.mark.parametrize("family", FILES)
def test_every_value_says_where_it_comes_from(family):
    pack = load_pack(family)
    assert {name.partition(".")[0] for name in pack} >= FILES[family]
    for value in pack.values():
        assert value.standard, value.name
        assert value.edition, value.name
        assert value.clause, value.name
        assert value.source, value.name
        assert value.basis in BASES, value.name
        assert value.basis != "confirmed", f"{value.name}: only the engineer confirms"
        assert (value.basis == "memory") or not value.source.startswith("recalled"), value.name
        si_factor(value.unit)


def _eurocode(values, bridge):
    """Facts and choices that between them lead through every rule, and rules called by hand."""
    from bedstone.standards.eurocode import movements

    tracks = (TrackFacts(2.0, 44.4), TrackFacts(-2.0, 44.4))
    rail = bridge(use="rail", carriageway=None, tracks=tracks, radius=300.0,
                  models=("LM71", "SW/0", "SW/2", "unloaded train"))  # fmt: skip
    road = bridge(radius=300.0, models=("LM1", "LM2", "LM4"))
    for soil in "ABCDE":
        ground = {"seismic.ground_acceleration": 1.5, "seismic.soil": soil}
        yield road, {**ground, "seismic.traffic": "severe"}
    shaken = {**ground, "seismic.traffic": "severe"}
    for facts in (rail, replace(rail, tracks=tracks[:1]), replace(rail, superstructure="truss")):
        yield facts, shaken
    yield rail, {"rail.dynamic": "phi2", "rail.unloaded_train": "env"}
    for installation in ("measured", "estimated", "fixed_changed"):
        yield road, {"thermal.movements": "en1993-2", "thermal.installation": installation}
    yield road, {"thermal.offsets": "figure", "thermal.return_period": 100.0}
    yield road, {"national": "uk"}
    yield (
        replace(road, setting_temperature=15.0, deck_type="steel"),
        {"thermal.truss_reduction": True},
    )
    for surface in ("bare", "waterproofed"):
        yield road, {"thermal.surface": surface}
    for section in ("box", "beam", "slab"):
        yield replace(road, deck_type="concrete"), {"thermal.section": section}
    yield road, {"friction.contact_pressure": 20e6, "friction.mating": "aluminium"}

    movements.increased_rotation(values, 0.01, 1.0)
    movements.increased_translation(values, 0.01, "main")
    movements.increased_translation(values, 0.01, "transverse")
    movements.least_rotation(values, 0.01)
    movements.least_translation(values, 0.01, elastomeric=True)
    movements.least_translation(values, 0.01, elastomeric=False)
    movements.least_eccentricity(values, 0.4)


def _aashto(values, bridge):
    from bedstone.standards.aashto import thermal

    road = bridge(radius=300.0)
    for pga, s1 in ((0.03, 0.05), (0.10, 0.07), (0.30, 0.30)):
        yield road, {
            "seismic.pga": pga, "seismic.ss": 0.5, "seismic.s1": s1, "seismic.site": "C",
        }  # fmt: skip
    for unit in ("si", "us"):
        yield road, {"units": unit, "combinations.service_2": True}
    for climate in ("cold", "moderate"):
        for deck in ("steel", "concrete"):
            yield replace(road, deck_type=deck), {"thermal.climate": climate}
    yield replace(road, superstructure="truss"), {}
    for pair in ("PTFE dimpled lubricated", "PTFE filled", "self-lubricating bronze", "bronze"):
        yield road, {"friction.sliding_pair": pair}

    thermal.pad_shear_movement(values, 0.05)
    for kind in ("elastomeric", "hard contact", "disc"):
        thermal.rotation_allowance(values, kind)


def _irc(values, bridge):
    from bedstone.standards.irc import sharing

    road = bridge(radius=300.0, models=("Class A", "Class 70R", "Class AA"))
    yield road, {"seismic.zone": 4, "seismic.soil": "soft"}
    yield replace(road, models=("Class A",), carriageway=(-2.2, 2.2)), {}
    yield replace(road, superstructure="truss", deck_type="steel", air_min=10.0, air_max=25.0), {}
    yield replace(road, deck_type="concrete"), {"impact.span": 8.0}
    yield replace(road, deck_type="concrete"), {"impact.span": 60.0}
    for pair in ("steel on steel", "cast iron on cast iron", "concrete on bitumen"):
        yield road, {"friction.sliding_pair": pair, "friction.roller": "concrete"}

    sharing.fixed_bearing(values, 500e3, 1e6, 1e6)
    sharing.no_bearings(values, 50e3, 1e6, 0.5, 8.0)
    sharing.continuous_fixed(values, 400e3, 300e3, 450e3, 2, 2)


WAYS = {"eurocode": _eurocode, "aashto": _aashto, "irc": _irc}


@pytest.mark.parametrize("name", FILES)
def test_every_value_is_read_by_a_rule(name, bridge):
    # A figure that no rule asks for is dead, or a rule carries a copy of it in its code.
    values = Values(name)
    usual = import_module(f"bedstone.standards.{name}").FAMILY
    for facts, choices in WAYS[name](values, bridge):
        facts = replace(facts, choices={**choices, **WIND})
        family = usual.with_choices(facts.choices)
        groups = [f"traffic:{group.name}" for group in family.traffic(values, facts)]
        family.thermal(values, facts)
        family.wind(values, facts)
        for period in (0.01, 3.0):
            family.seismic(values, facts, period, period)
        for kind in MOTIONS:
            for bearings in (1, 7, 12):
                family.friction(values, kind, bearings)
        family.combinations(values, {*ACTIONS, *groups})
        if name == "aashto":
            family.combinations(values, {*ACTIONS, "traffic:permit"})
        family.lines(values, facts)
    unread = set(load_pack(name)) - set(values.used)
    assert sorted(one for one in unread if one.partition(".")[0] in FILES[name]) == []
