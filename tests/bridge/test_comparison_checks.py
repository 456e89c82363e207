"""Checks of play and stops, comparison, faults and chance: each tells its own field."""

import pytest

from bedstone.bridge import parse_bridge
from bedstone.bridge.templates import template
from bedstone.errors import InputError

GIRDERS = template("girders")  # A1, P1, A2 with four girders
RULES = "[compare.rules]\n"
PIN = "[[compare.pinned]]\nname = 'other'\n"
SEAT = "[arrangement.seats.A1-2]\n"
CHANCE = "[uncertainty]\n"


def faults(addition: str) -> list[tuple[str, str, str]]:
    try:
        parse_bridge(GIRDERS + "\n" + addition)
    except InputError as error:
        return [(fault.where, fault.found, fault.allowed) for fault in error.faults]
    return []


@pytest.mark.parametrize(
    ("addition", "where", "allowed"),
    [
        # play and stops
        (SEAT + "function='none'\nplay='2 mm'", "arrangement.seats.A1-2.play", "no bearing"),
        (SEAT + "function='none'\ntravel={}", "arrangement.seats.A1-2.travel", "no bearing"),
        (
            SEAT + "function='fixed'\ntravel={ahead='9 mm'}",
            "arrangement.seats.A1-2.travel.ahead",
            "the function fixed holds it",
        ),
        (
            SEAT + "function='guided along'\ntravel={left='9 mm'}",
            "arrangement.seats.A1-2.travel.left",
            "holds it",
        ),
        (
            SEAT + "function='guided across'\ntravel={back='9 mm'}",
            "arrangement.seats.A1-2.travel.back",
            "holds it",
        ),
        # rules
        (RULES + "supports_along = [2, 1]", "compare.rules.supports_along", "least number first"),
        (RULES + "along = [3, 2]", "compare.rules.along", "least number first"),
        (RULES + "across = [3, 2]", "compare.rules.across", "least number first"),
        (RULES + "across = [1]", "compare.rules.across", "at least 2 entries"),
        (RULES + "across = [1, 2, 3]", "compare.rules.across", "at most 2 entries"),
        (RULES + "along = [0, 2]", "compare.rules.along[1]", "not less than 1"),
        (RULES + "only_along = []", "compare.rules.only_along", "at least 1"),
        (RULES + "only_across = []", "compare.rules.only_across", "at least 1"),
        (RULES + "only_along = ['A3']", "compare.rules.only_along[1]", "A1, P1, A2"),
        (RULES + "only_across = [2, 5]", "compare.rules.only_across[2]", "1 to 4"),
        (RULES + "keep = {A1-9 = 'free'}", "compare.rules.keep.A1-9", "mark of a seat"),
        (RULES + "exclude = {A1-9 = ['free']}", "compare.rules.exclude.A1-9", "mark of a seat"),
        (
            RULES + "keep = {A1-1 = 'free'}\nexclude = {A1-1 = ['free']}",
            "compare.rules.keep.A1-1",
            "rules.exclude",
        ),
        (RULES + "keep = {A1-1 = 'elastic'}", "compare.rules.keep.A1-1", "with a stiffness"),
        (
            RULES + "keep = {A1-1 = 'fixed'}\nonly_along = ['P1']",
            "compare.rules.keep.A1-1",
            "leaves out A1",
        ),
        (
            RULES + "keep = {A1-1 = 'guided along'}\nonly_across = [2]",
            "compare.rules.keep.A1-1",
            "leaves out 1",
        ),
        (
            RULES + "exclude = {A1-1 = ['fixed', 'guided along', 'guided across', 'free']}",
            "compare.rules.exclude.A1-1",
            "left to the seat",
        ),
        (RULES + "across = [5, 5]", "compare.rules.across", "A1 has no more seats"),
        (RULES + "across = [3, 3]\nonly_across = [1, 2]", "compare.rules.across", "at most 2"),
        (
            RULES + "keep = {A1-1 = 'fixed', A1-2 = 'guided along'}",
            "compare.rules.keep",
            "at most 1, as rules.across says",
        ),
        (RULES + "supports_along = [4, 4]", "compare.rules.supports_along", "at most 3"),
        (
            RULES + "supports_along = [2, 2]\nonly_along = ['P1']",
            "compare.rules.supports_along",
            "at most 1",
        ),
        (RULES + "largest = 20000000", "compare.rules.largest", "not more than"),
        # picked by hand
        (PIN + PIN, "compare.pinned[2].name", "a name of its own"),
        (PIN.replace("other", "fixed at the pier"), "compare.pinned[1].name", "a name of its own"),
        (PIN + "supports = {A9 = 'free'}", "compare.pinned[1].supports.A9", "mark of a support"),
        (PIN + "supports = {A1 = ['free']}", "compare.pinned[1].supports.A1", "4 functions"),
        (PIN + "supports = {A1 = 'elastic'}", "compare.pinned[1].supports.A1", "stiffness"),
        (
            PIN + "[compare.pinned.seats.A1-9]\nfunction='free'",
            "compare.pinned[1].seats.A1-9",
            "mark of a seat",
        ),
        (
            PIN + "[compare.pinned.seats.A1-1]\nfunction='elastic'",
            "compare.pinned[1].seats.A1-1.stiffness",
            "stiffness",
        ),
        (
            PIN + "[compare.pinned.seats.A1-1]\nfunction='none'\nplay='1 mm'",
            "compare.pinned[1].seats.A1-1.play",
            "no bearing",
        ),
        (PIN + "fixed_point = 'P9'", "compare.pinned[1].fixed_point", "seat or a support"),
        # faults
        ("[faults]\nsoft = 1.0", "faults.soft", "below 1"),
        ("[faults]\nskew = '90 deg'", "faults.skew", "below 90 deg"),
        ("[faults]\ndrop = '-1 mm'", "faults.drop", "above 0"),
        # chance
        (CHANCE + "play = {shape='normal', a=1}", "uncertainty.play.b", "standard deviation"),
        (CHANCE + "play = {shape='uniform', a=1}", "uncertainty.play.b", "upper end"),
        (CHANCE + "play = {shape='uniform', a=1, b=1}", "uncertainty.play.b", "more than a"),
        (CHANCE + "play = {shape='normal', a=1, b=0}", "uncertainty.play.b", "above 0"),
        (CHANCE + "play = {shape='fixed', a=1, b=2}", "uncertainty.play.b", "no second figure"),
        (CHANCE + "play = {shape='lognormal', a=0, b=1}", "uncertainty.play.a", "median"),
        (CHANCE + "play = {shape='triangular', a=0, b=1}", "uncertainty.play.mode", "the mode"),
        (
            CHANCE + "play = {shape='triangular', a=0, b=1, mode=2}",
            "uncertainty.play.mode",
            "between a and b, 0 to 1",
        ),
        (
            CHANCE + "play = {shape='uniform', a=0, b=1, mode=0.5}",
            "uncertainty.play.mode",
            "no mode",
        ),
        (CHANCE + "friction = {shape='fixed', a=-1}", "uncertainty.friction.a", "not less than 0"),
        (CHANCE + "stiffness = {shape='fixed', a=0}", "uncertainty.stiffness.a", "above 0"),
        (
            CHANCE + "coldest = {shape='fixed', a=20}\nwarmest = {shape='fixed', a=20}",
            "uncertainty.coldest.a",
            "less than that of warmest",
        ),
    ],
)
def test_one_fault_is_told_by_its_field(addition: str, where: str, allowed: str) -> None:
    found = faults(addition)
    assert [row[0] for row in found] == [where]
    assert allowed in found[0][2]


def test_chance_of_temperature_asks_for_a_temperature() -> None:
    start = GIRDERS.index("[actions.temperature]")
    end = GIRDERS.index("[", start + 1)
    text = GIRDERS[:start] + GIRDERS[end:] + "\n[uncertainty]\nsetting={shape='fixed', a=12}"
    with pytest.raises(InputError) as caught:
        parse_bridge(text)
    assert [fault.where for fault in caught.value.faults] == ["uncertainty.setting"]


@pytest.mark.parametrize(
    "addition",
    [
        # play where nothing is held says nothing, and nothing wrong
        SEAT + "function='free'\nplay='2 mm'\ntravel={back='9 mm', left='9 mm'}",
        SEAT + "function='guided along'\nplay='2 mm'\ntravel={back='9 mm', ahead='0 mm'}",
        SEAT + "function='guided across'\ntravel={right='9 mm'}",
        SEAT + "function='fixed'\nplay='1 mm'\ntravel={}",
        RULES + "supports_along = [0, 3]\nacross = [0, 4]\nonly_across = [4]",
        RULES + "supports_along = [3, 3]\nalong = [2, 2]",
        # a line kept as a whole is asked nothing: two held across stand against across = [1, 1]
        RULES + "keep = {A1-1='fixed', A1-2='guided along', A1-3='free', A1-4='free'}",
        PIN + "supports = {A1 = 'free'}\nfixed_point = 'P1-1'",
        "[faults]\nsoft = 0.99\nskew = '89 deg'",
        CHANCE + "play = {shape='triangular', a=0, b=1, mode=1}",
        CHANCE + "setting = {shape='normal', a=-5, b=4}",
    ],
)
def test_what_has_a_meaning_passes(addition: str) -> None:
    assert faults(addition) == []
