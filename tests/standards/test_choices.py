"""How choices are read, whatever the family."""

import math

import pytest

from bedstone.errors import InputError
from bedstone.standards.choices import ChoiceList, asked

MEANINGS = {
    "deck.width": "width of the deck (m)",
    "deck.kind": "kind of deck: plain | ribbed",
    "deck.count": "number of decks",
    "deck.wet": "whether it is wet",
    "seismic.zone": "zone of the earthquake",
}
LIST = ChoiceList("irc", MEANINGS)


def test_places_in_the_bridge_file():
    assert LIST.field("deck.width") == "choices.irc.deck.width"
    assert LIST.field("seismic.zone") == "actions.seismic.irc.zone"


def test_what_is_not_chosen_holds_its_default():
    assert LIST.given({}, "deck.width") is None
    assert LIST.number({}, "deck.width", 3.0, least=5.0) == 3.0
    assert LIST.whole({}, "deck.count") is None
    assert LIST.word({}, "deck.kind", ("plain", "ribbed"), "ribbed") == "ribbed"
    assert LIST.flag({}, "deck.wet", True) is True


def test_what_is_chosen_counts():
    assert LIST.number({"deck.width": 7}, "deck.width", 3.0, least=7.0, most=7.0) == 7.0
    assert LIST.needed({"deck.width": -1.5}, "deck.width") == -1.5
    assert LIST.whole({"deck.count": 2.0}, "deck.count") == 2
    assert LIST.word({"deck.kind": "plain"}, "deck.kind", ("plain", "ribbed"), None) == "plain"
    assert LIST.flag({"deck.wet": False}, "deck.wet", True) is False


@pytest.mark.parametrize("found", [True, "7", math.nan, math.inf, 4.9, 5.0, 9.1])
def test_numbers_not_allowed_are_refused(found):
    with pytest.raises(InputError) as caught:
        LIST.given({"deck.width": found}, "deck.width", above=5.0, most=9.0)
    (fault,) = caught.value.faults
    assert fault.where == "choices.irc.deck.width"
    assert fault.found == repr(found)
    assert fault.allowed == "a number above 5 and of at most 9 (width of the deck (m))"


def test_other_values_not_allowed_are_refused():
    for call in (
        lambda: LIST.whole({"deck.count": 1.5}, "deck.count"),
        lambda: LIST.whole({"deck.count": 0}, "deck.count"),
        lambda: LIST.word({"deck.kind": "wavy"}, "deck.kind", ("plain",), "plain"),
        lambda: LIST.word({}, "deck.kind", ("plain",), None),
        lambda: LIST.flag({"deck.wet": 1}, "deck.wet", False),
        lambda: LIST.needed({}, "deck.width"),
    ):
        with pytest.raises(InputError, match=r"choices\.irc\.deck\."):
            call()


def test_unknown_and_missing_names_are_told_one_by_one():
    with pytest.raises(InputError) as caught:
        LIST.check_names({"deck.hight": 1.0, "deck.width": 2.0, "colour": "red"})
    assert [fault.where for fault in caught.value.faults] == [
        "choices.irc.deck.hight",
        "choices.irc.colour",
    ]
    assert "seismic.zone" not in caught.value.faults[0].allowed
    assert "seismic.zone" in caught.value.faults[1].allowed
    with pytest.raises(InputError) as caught:
        LIST.missing({"deck.width": 1.0}, ("deck.width", "deck.kind", "seismic.zone"))
    assert [fault.where for fault in caught.value.faults] == [
        "choices.irc.deck.kind",
        "actions.seismic.irc.zone",
    ]


def test_headings():
    assert asked({"seismic.zone": 4}, "seismic")
    assert not asked({"seismically": 4}, "seismic")
