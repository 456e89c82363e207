"""Each formula of slides, pots, curved surfaces and discs holds in its units.

The units of length and force are changed, each by a factor of its own, in all that goes in and in
every number of the data file; what comes out must follow its unit, whose powers pint tells, and
utilisations must stay. Formulas that print "sigma_p in MPa" are named apart: their numbers carry
the unit hidden.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pint
import pytest

from bedstone.standards.aashto import curved as aashto_curved
from bedstone.standards.aashto import disc as aashto_disc
from bedstone.standards.aashto import pot as aashto_pot
from bedstone.standards.aashto import sliding as aashto
from bedstone.standards.eurocode import pot as en_pot
from bedstone.standards.eurocode import sliding as en
from bedstone.standards.irc import pot as irc_pot
from bedstone.standards.irc import sliding as irc
from bedstone.standards.record import Line
from bedstone.standards.values import Value, Values, load_pack

UNITS = pint.UnitRegistry()
LENGTH, FORCE = 1.7, 0.6


def scale(unit: str) -> float:
    """What a number in a unit becomes when lengths and forces are told in other units."""
    if unit in {"", "degC", "rad", "deg", "1/K"}:
        return 1.0
    powers = UNITS.Unit(unit).dimensionality
    # mass = force time^2 / length
    return FORCE ** powers["[mass]"] * LENGTH ** (powers["[length]"] - powers["[mass]"])


def rescaled(family: str) -> Values:
    """The numbers of a family in the other units."""

    def change(value: Value) -> Value:
        factor = scale(value.unit)
        number = value.value
        if not isinstance(number, tuple):
            return replace(value, value=number * factor)
        if any(isinstance(item, tuple) for item in number):
            return value
        return replace(value, value=tuple(item * factor for item in number))

    topics = ("sliding.", "pot.", "curved.", "disc.")
    pack = load_pack(family)
    return Values(family, {n: change(v) for n, v in pack.items() if n.startswith(topics)})


N, M, PA, RAD = "N", "m", "Pa", "rad"
FN, D, T, FY, TURN = (2e6, N), (0.3, M), (0.02, M), (340e6, PA), (0.01, RAD)
HN, RIM, WALL = (1e5, N), (0.012, M), (0.025, M)
EDGE = (1.2, "")

#: Family, rule, its arguments with units, its words.
RULES: dict[str, tuple[str, Callable[..., Any], list[tuple[float, str]], dict[str, Any]]] = {
    "EN Ar round": ("eurocode", en.reduced_area_round, [D, T], {}),
    "EN Ar rectangle": ("eurocode", en.reduced_area_rectangle, [D, D, T, RIM], {}),
    "EN guide rotation": ("eurocode", en.guide_rotation, [TURN, T], {}),
    "EN clearance": ("eurocode", en.guide_clearance, [(0.001, M), D], {}),
    "EN size": ("eurocode", en.sheet_size, [D], {}),
    "EN protrusion": ("eurocode", en.protrusion, [(0.8, M)], {}),
    "EN thickness": ("eurocode", en.sheet_thickness, [(0.006, M), (0.0025, M)], {}),
    "EN stainless": ("eurocode", en.stainless_thickness, [(0.002, M)], {}),
    "EN backing": ("eurocode", en.backing_thickness, [T, D], {}),
    "EN bar": ("eurocode", en.guide_bar, [HN, T, D, WALL, FY], {}),
    "EN pad": ("eurocode", en_pot.pad_pressure, [FN, D], {}),
    "EN pad rotation": ("eurocode", en_pot.pad_rotation, [TURN, D, T], {}),
    "EN slenderness": ("eurocode", en_pot.pad_slenderness, [D, T], {}),
    "EN diameter": ("eurocode", en_pot.scope_diameter, [D], {}),
    "EN path": ("eurocode", lambda v, s: en_pot.seal_path(v, s, "b"), [(700.0, M)], {}),
    "EN moment": ("eurocode", en_pot.restoring_moment, [D, T, TURN, TURN], {}),
    "EN friction moment": ("eurocode", en_pot.piston_friction_moment, [HN, D], {}),
    "EN tension": ("eurocode", en_pot.wall_tension, [FN, HN, D, T, WALL, T, FY], {}),
    "EN shear": ("eurocode", en_pot.wall_shear, [FN, HN, D, T, WALL, FY], {}),
    "EN flat rim": ("eurocode", en_pot.piston_flat, [HN, D, RIM, FY], {}),
    "EN curved rim": ("eurocode", en_pot.piston_curved, [HN, D, T, FY, (210e9, PA)], {}),
    "EN plates": ("eurocode", en_pot.least_plates, [T, WALL], {}),
    "AASHTO sheet": ("aashto", aashto.sheet_thickness, [(0.006, M), D], {}),
    "AASHTO stainless": ("aashto", aashto.stainless_thickness, [(0.003, M), D], {}),
    "AASHTO guide force": ("aashto", aashto.guide_force, [FN], {}),
    "AASHTO bar": ("aashto", aashto.guide_bar, [HN, T, D, WALL, FY], {}),
    "AASHTO least load": ("aashto", aashto_pot.least_load, [HN, FN], {}),
    "AASHTO pad": ("aashto", aashto_pot.pad_stress, [FN, D], {}),
    "AASHTO pad thickness": ("aashto", aashto_pot.pad_thickness, [T, D, TURN], {}),
    "AASHTO ring": ("aashto", aashto_pot.ring_width, [(0.008, M), D], {}),
    "AASHTO base": ("aashto", aashto_pot.base_thickness, [T, D], {"concrete": True}),
    "AASHTO wall": ("aashto", aashto_pot.wall_thickness, [T, D, (2e7, PA), FY], {}),
    "AASHTO guided": (
        "aashto",
        lambda v, *args: aashto_pot.guided_thickness(v, *args, "wall"),
        [T, HN, TURN, FY],
        {},
    ),
    "AASHTO piston": ("aashto", aashto_pot.piston_thickness, [T, D], {}),
    "AASHTO rim": ("aashto", aashto_pot.rim_height, [RIM, HN, D, FY], {}),
    "AASHTO clearance": ("aashto", aashto_pot.clearance, [(0.001, M), RIM, D, TURN], {}),
    "AASHTO depth": ("aashto", aashto_pot.pot_depth, [T, D, TURN, T, RIM], {}),
    "AASHTO gap": ("aashto", aashto_pot.top_gap, [T, D, TURN, (0.001, M)], {}),
    "AASHTO moment": ("aashto", aashto_pot.restoring_moment, [D, T, TURN, TURN], {}),
    "AASHTO friction moment": ("aashto", aashto_pot.piston_friction_moment, [HN, D], {}),
    "AASHTO sphere": ("aashto", aashto_curved.spherical_load, [FN, D, FY], {}),
    "AASHTO cylinder": ("aashto", aashto_curved.cylindrical_load, [FN, D, D, FY], {}),
    "AASHTO sphere, H": (
        "aashto",
        aashto_curved.spherical_lateral,
        [HN, FN, D, (0.4, M), TURN, (3e7, PA)],
        {},
    ),
    "AASHTO cylinder, H": (
        "aashto",
        aashto_curved.cylindrical_lateral,
        [HN, FN, D, (0.4, M), D, TURN, (3e7, PA)],
        {},
    ),
    "AASHTO disc": ("aashto", aashto_disc.disc_stress, [FN, D, T], {}),
    "AASHTO deflection": ("aashto", aashto_disc.deflection, [(3e7, PA), FY], {}),
    "AASHTO lift-off": (
        "aashto",
        aashto_disc.no_lift_off,
        [(3e7, PA), FY, T, D, TURN],
        {},
    ),
    "AASHTO limiting ring": ("aashto", aashto_disc.limiting_ring, [RIM, D], {}),
    "AASHTO pin": ("aashto", aashto_disc.pin, [HN, T, WALL, FY], {}),
    "IRC Ar round": ("irc", irc.reduced_area_round, [D, T], {}),
    "IRC Ar rectangle": ("irc", irc.reduced_area_rectangle, [D, D, T, RIM], {}),
    "IRC 2002 contact": ("irc", irc.working_contact, [FN, (0.07, "m**2"), EDGE], {}),
    "IRC 2002 friction": ("irc", irc.working_friction, [(1.3e7, PA)], {}),
    "IRC flat strip": ("irc", irc.guide_rotation, [TURN, T], {}),
    "IRC stainless": ("irc", irc.stainless_thickness, [(0.002, M)], {}),
    "IRC bar": ("irc", irc.guide_bar, [HN, T, D, WALL, FY], {}),
    "IRC 2002 bar": ("irc", irc.guide_bar, [HN, T, D, WALL, FY], {"edition": "2002"}),
    "IRC pad": ("irc", irc_pot.pad_pressure, [FN, D], {}),
    "IRC 2002 pad": ("irc", irc_pot.working_pressure, [FN, D], {}),
    "IRC pad rotation": ("irc", irc_pot.pad_rotation, [TURN, D, T], {}),
    "IRC slenderness": ("irc", irc_pot.pad_slenderness, [D, T], {}),
    "IRC moment": ("irc", irc_pot.restoring_moment, [D, T, TURN, TURN], {}),
    "IRC friction moment": ("irc", irc_pot.piston_friction_moment, [HN, D], {}),
    "IRC H over N": ("irc", irc_pot.greatest_horizontal, [HN, FN], {}),
    "IRC tension": ("irc", irc_pot.wall_tension, [FN, HN, D, T, WALL, T, FY], {}),
    "IRC foot": ("irc", irc_pot.wall_foot, [FN, HN, D, T, WALL, T, FY], {}),
    "IRC rim": ("irc", irc_pot.rim_height, [RIM, HN, D, FY], {}),
    "IRC base": ("irc", irc_pot.base_thickness, [T, D], {}),
}


def lines(found: Any) -> tuple[Line, ...]:
    return found if isinstance(found, tuple) else (found,)


def check(one: Line, other: Line) -> None:
    assert other.value == pytest.approx(one.value * scale(one.result.unit), rel=1e-9)
    if one.limit is not None and other.limit is not None:
        assert other.limit.value == pytest.approx(one.limit.value * scale(one.limit.unit), rel=1e-9)
    if one.utilisation is not None:
        assert other.utilisation == pytest.approx(one.utilisation, rel=1e-9)
    for before, after in zip(one.inputs, other.inputs, strict=True):
        assert after.value == pytest.approx(before.value * scale(before.unit), rel=1e-9)


@pytest.mark.parametrize("name", RULES)
def test_units(name: str) -> None:
    family, rule, arguments, words = RULES[name]
    plain = rule(Values(family), *(value for value, _ in arguments), **words)
    told = [value * scale(unit) for value, unit in arguments]
    other = rule(rescaled(family), *told, **words)
    for one, two in zip(lines(plain), lines(other), strict=True):
        check(one, two)


@pytest.mark.parametrize(
    ("family", "rule", "material"),
    [
        ("eurocode", en.contact_strength, "PTFE"),
        ("eurocode", en.contact_strength, "UHMWPE"),
        ("irc", irc.contact_strength, "PTFE"),
    ],
)
def test_units_of_contact(family: str, rule: Callable[..., Line], material: Any) -> None:
    one = rule(Values(family), material, 2e6, 0.05, 45.0)
    two = rule(rescaled(family), material, 2e6 * scale("N"), 0.05 * scale("m**2"), 45.0)
    check(one, two)


@pytest.mark.parametrize("material", en.GUIDE_MATERIALS)
@pytest.mark.parametrize("lasting", [True, False])
def test_units_of_guide_contact(material: Any, lasting: bool) -> None:
    one = en.guide_contact(Values("eurocode"), material, 1e5, 0.004, 40.0, lasting=lasting)
    force, area = 1e5 * scale("N"), 0.004 * scale("m**2")
    check(one, en.guide_contact(rescaled("eurocode"), material, force, area, 40.0, lasting=lasting))


@pytest.mark.parametrize("material", aashto.MATERIALS)
@pytest.mark.parametrize("permanent", [True, False])
def test_units_of_aashto_contact(material: Any, permanent: bool) -> None:
    plain = aashto.contact(Values("aashto"), material, 2e6, 0.1, 1.3, permanent=permanent)
    force, area = 2e6 * scale("N"), 0.1 * scale("m**2")
    other = aashto.contact(rescaled("aashto"), material, force, area, 1.3, permanent=permanent)
    for one, two in zip(plain, other, strict=True):
        check(one, two)


@pytest.mark.parametrize("rule", [en.friction, irc.friction])
@pytest.mark.parametrize("material", ["PTFE", "UHMWPE"])
def test_friction_in_megapascal(rule: Callable[..., Line], material: Any) -> None:
    # "sigma_p in MPa": at 20 MPa 1.2/30 and 1.6/35, by hand.
    values = Values("eurocode" if rule is en.friction else "irc")
    hand = {"PTFE": 1.2 / 30, "UHMWPE": 1.6 / 35}[material]
    assert rule(values, material, 20e6).value == pytest.approx(hand)
    assert "MPa" in rule(values, material, 20e6).note
