"""What a bridge file says of its bearings, in SI and with clear faults."""

import pytest

from bedstone.bearings import catalogue
from bedstone.bearings.asked import (
    all_options,
    basis_of,
    given_at,
    kind_at,
    options_of,
    sizes_of,
    unit_of,
)
from bedstone.bridge import parse_bridge
from bedstone.bridge.schema import GivenBearing
from bedstone.bridge.seats import SeatMark
from bedstone.bridge.templates import template
from bedstone.errors import InputError
from bedstone.standards.values import Values


def with_bearings(text: str):
    return parse_bridge(template("girders") + "\n" + text)


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("m, of the pin", "m"),
        ("m", "m"),
        ("diameter of the rollers (m); must be given", "m"),
        ("overall side along x' or diameter, m", "m"),
        ("m (base plate)", "m"),
        ("m; left out: as the family asks", "m"),
        ("Pa, secant modulus", "Pa"),
        ("stiffness of stop and abutment in line (N/m); needed with a speed", "N/m"),
        ("number of inner layers", ""),
        ("name of the bolts, as M24 (base plate)", ""),
        ("bolt by name (M24) of the base plate", ""),
        ("share of the movement, 0 to 1; default 0", ""),
    ],
)
def test_the_unit_is_read_from_the_words(words: str, unit: str) -> None:
    assert unit_of(words) == unit


def test_sizes_that_are_lengths_by_their_name_have_a_unit() -> None:
    for name in catalogue.kinds():
        for size, words in catalogue.kind_of(name).fields().items():
            last = size.replace(".", "_").rpartition("_")[2]
            if last in ("length", "width", "thickness", "diameter", "height", "radius", "gap"):
                assert unit_of(words) == "m", f"{name}: {size}: {words}"


def test_options_come_in_si() -> None:
    told = {
        "roller.clearance": "1.5 mm",
        "steel": "S275",
        "steel.S275.fy": "260 MPa",
        "roller.count": 3.0,
        "sole.machined": False,
        "roller nest.gap": "60 mm",
        "suitability.rotation": "2 mrad",
    }
    assert options_of(told) == {
        "roller.clearance": pytest.approx(1.5e-3),
        "steel": "S275",
        "steel.S275.fy": pytest.approx(260e6),
        "roller.count": 3.0,
        "sole.machined": False,
        "roller nest.gap": pytest.approx(0.06),
        "suitability.rotation": pytest.approx(0.002),
    }


def test_every_wrong_option_is_told() -> None:
    told = {"roler.clearance": "1 mm", "roller.clearance": 1.0, "roller.gap": "3 kN", "steel": "x"}
    with pytest.raises(InputError) as caught:
        options_of(told)
    faults = caught.value.faults
    assert [fault.where for fault in faults] == [
        "bearings.options.'roler.clearance'",
        "bearings.options.'roller.clearance'",
        "bearings.options.'roller.gap'",
    ]
    assert "did you mean 'roller.clearance'?" in faults[0].allowed
    assert "write the unit" in faults[1].allowed
    assert "no unit of this kind" in faults[2].allowed
    assert {fault.file for fault in faults} == {"bridge file"}


def test_every_option_has_one_meaning_with_one_unit() -> None:
    units: dict[str, set[str]] = {}
    for name in catalogue.kinds():
        for option, words in catalogue.kind_of(name).options.items():
            units.setdefault(option, set()).add(unit_of(words))
    assert {option for option, found in units.items() if len(found) > 1} == set()
    assert set(units) < set(all_options())


def test_sizes_come_in_si_with_faults_at_their_place() -> None:
    given = GivenBearing(
        seat="A1-1", kind="roller nest", sizes={"diameter": "150 mm", "rollers": 2}
    )
    assert sizes_of(given, 0) == {"diameter": pytest.approx(0.15), "rollers": 2}
    bad = GivenBearing(seat="A1-1", kind="pin", sizes={"diametre": "1 m", "hole": 0.1})
    with pytest.raises(InputError) as caught:
        sizes_of(bad, 1)
    assert [fault.where for fault in caught.value.faults] == [
        "bearings.given[2].sizes.diametre",
        "bearings.given[2].sizes.hole",
    ]


def test_concrete_and_plinth_of_the_file() -> None:
    plain = basis_of(with_bearings(""), "eurocode", Values("eurocode"))
    assert (plain.concrete_below, plain.concrete_above, plain.plinth) == (30e6, None, None)
    text = '[bearings]\nconcrete_below = "40 MPa"\nplinth_along = "1 m"\nplinth_across = "0.8 m"'
    told = basis_of(with_bearings(text), "eurocode", Values("eurocode"))
    assert told.concrete_below == pytest.approx(40e6)
    assert told.plinth == (1.0, 0.8)
    # a concrete deck stands on its bearings with concrete
    deck = with_bearings(text)
    concrete = deck.model_copy(
        update={"superstructure": deck.superstructure.model_copy(update={"type": "concrete"})}
    )
    assert basis_of(concrete, "irc", Values("irc")).concrete_above == pytest.approx(40e6)


def test_a_seat_comes_before_its_support_and_both_before_the_arrangement() -> None:
    asked = with_bearings('[bearings.kinds]\nA1 = "pot"\nA1-2 = "disc"')
    assert kind_at(asked, SeatMark("A1-1", "A1", 1, 0.0), "spherical") == "pot"
    assert kind_at(asked, SeatMark("A1-2", "A1", 2, 0.0), "spherical") == "disc"
    assert kind_at(asked, SeatMark("A2-1", "A2", 1, 0.0), "spherical") == "spherical"
    assert kind_at(asked, SeatMark("A2-1", "A2", 1, 0.0), None) is None


def test_a_given_bearing_is_found_with_its_place() -> None:
    told = with_bearings(
        "[[bearings.given]]\nseat = 'A1-1'\nkind = 'pin'\n"
        "[[bearings.given]]\nseat = 'A1-2'\nkind = 'pot'\nsizes = { 'pad.diameter' = '300 mm' }"
    )
    assert given_at(told, "A2-1") is None
    found = given_at(told, "A1-2")
    assert found is not None
    assert (found[0], found[1].kind) == (1, "pot")
