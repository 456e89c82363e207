"""What holds for every family alike: choices, kinds of bearings, records and combinations."""

from importlib import import_module
from typing import get_args

import pytest

from bedstone.bridge.schema import BearingKind
from bedstone.errors import BedstoneError, InputError
from bedstone.standards.family import ACTIONS, LEADING_TRAFFIC
from bedstone.standards.kinds import MOTIONS
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")
EARTHQUAKES = {
    "eurocode": {"seismic.ground_acceleration": 1.5, "seismic.soil": "B"},
    "aashto": {"seismic.pga": 0.2, "seismic.ss": 0.5, "seismic.s1": 0.2, "seismic.site": "C"},
    "irc": {"seismic.zone": 4, "seismic.soil": "soft"},
}


@pytest.fixture(params=FAMILIES)
def family(request):
    return import_module(f"bedstone.standards.{request.param}").FAMILY


@pytest.fixture
def choices(family):
    return import_module(f"bedstone.standards.{family.name}").CHOICES


@pytest.fixture
def values(family):
    return Values(family.name)


def test_unknown_choices_are_refused_one_by_one(family, values, bridge):
    wrong = {"thermal.haet": 12.0, "paint.colour": "green", "seismic.magnitude": 7}
    facts = bridge(choices=wrong)
    for call in (
        lambda: family.with_choices(wrong),
        lambda: family.traffic(values, facts),
        lambda: family.thermal(values, facts),
        lambda: family.wind(values, facts),
        lambda: family.seismic(values, facts, 1.0, 1.0),
        lambda: family.lines(values, facts),
    ):
        with pytest.raises(InputError) as caught:
            call()
        assert [fault.where for fault in caught.value.faults] == [
            f"choices.{family.name}.thermal.haet",
            f"choices.{family.name}.paint.colour",
            f"actions.seismic.{family.name}.magnitude",
        ]
        assert "thermal.effective_min" in caught.value.faults[0].allowed


def test_no_choice_changes_nothing(family):
    assert family.with_choices({}) == family


def test_every_choice_says_what_it_means(choices):
    assert all(name == name.strip() and len(text) > 20 for name, text in choices.items())


def test_lines_state_only_what_the_facts_give(family, values, bridge):
    bare = {"carriageway": None, "air_min": None, "air_max": None}
    assert family.lines(values, bridge(**bare)) == ()
    shaken = family.lines(values, bridge(**bare, choices=EARTHQUAKES[family.name]))
    windy = family.lines(values, bridge(**bare, choices={"wind.speed": 30.0}))
    for lines in (shaken, windy):
        assert lines
        assert all(line.standard and line.edition and line.clause for line in lines)


def test_a_needed_figure_of_the_earthquake_is_asked_for(family, values, bridge):
    for name in EARTHQUAKES[family.name]:
        rest = {other: v for other, v in EARTHQUAKES[family.name].items() if other != name}
        with pytest.raises(InputError) as caught:
            family.seismic(values, bridge(choices=rest), 1.0, 1.0)
        (fault,) = caught.value.faults
        assert fault.where == name.replace("seismic.", f"actions.seismic.{family.name}.")


def test_wind_without_speed_or_pressure_is_refused(family, values, bridge):
    with pytest.raises(InputError, match=r"actions\.wind: .*speed or pressure"):
        family.wind(values, bridge())


def test_setting_outside_the_range_of_the_bridge_is_refused(family, values, bridge):
    with pytest.raises(InputError, match=r"actions\.temperature\.setting: found 80 degC"):
        family.thermal(values, bridge(setting_temperature=80.0))


def test_every_kind_of_bearing_of_the_bridge_file_has_its_friction(family, values):
    assert set(MOTIONS) == set(get_args(BearingKind))
    for kind, motion in MOTIONS.items():
        adverse, relieving = family.friction(values, kind, 3)
        assert adverse >= relieving >= 0.0
        assert (adverse > 0.0) == (motion in ("sliding", "rolling", "hardened rolling")), kind
    with pytest.raises(BedstoneError, match="magnetic"):
        family.friction(values, "magnetic", 1)


# ------------------------------------------------------------------------------ combinations


@pytest.fixture(params=sorted(LEADING_TRAFFIC), ids=" ".join)
def leading(request):
    """Name of a family, and its first traffic group as an action."""
    return request.param[0], f"traffic:{LEADING_TRAFFIC[request.param]}"


@pytest.fixture
def combinations(leading):
    """The combinations of a family for all actions and its first traffic group."""
    name, traffic = leading
    reduced = (f"{traffic} reduced", f"{traffic} frequent") if traffic.endswith("gr1a") else ()
    family = import_module(f"bedstone.standards.{name}").FAMILY
    return family.combinations(Values(name), {*ACTIONS, traffic, *reduced})


def test_names_are_told_apart(combinations):
    names = [one.name for one in combinations]
    assert len(set(names)) == len(names)


def test_only_permanent_actions_relieve(combinations):
    for one in combinations:
        for term in (*one.terms, *(one.movement_terms or ())):
            may = term.action in ("permanent", "surfacing", "jacking")
            assert term.adverse > 0.0
            assert (term.relieving > 0.0) == may, (one.name, term)
            assert term.relieving <= term.adverse


def test_every_combination_holds_each_action_once(combinations):
    for one in combinations:
        for terms in (one.terms, one.movement_terms or one.terms):
            actions = [term.action for term in terms]
            assert len(set(actions)) == len(actions), one.name
            assert {"permanent", "surfacing"} <= set(actions), one.name
        # traffic, and with it its braking, counts once
        assert sum(action.startswith("traffic:") for action in actions) <= 1, one.name
        assert not {"wind", "wind with traffic"} <= set(actions), one.name
        empty = not any(action.startswith("traffic:") for action in actions)
        assert "wind" not in actions or empty, one.name


def test_friction_accompanies_whatever_moves_the_bridge(combinations):
    for one in combinations:
        actions = {term.action for term in one.terms}
        assert ("friction" in actions) == (one.limit_state != "permanent"), one.name


def test_the_leading_action_is_in_its_combination(combinations, leading):
    for one in combinations:
        assert not one.leading or one.leading in {term.action for term in one.terms}, one.name
    states = {one.limit_state for one in combinations if one.leading == leading[1]}
    assert {"SLS characteristic", "ULS persistent"} <= states


def test_temperature_counts_in_service_and_in_strength(combinations):
    for state in ("SLS characteristic", "ULS persistent"):
        found = [c for c in combinations if c.limit_state == state]
        assert any("thermal" in {t.action for t in c.terms} for c in found)


def test_relieving_permanent_load_meets_the_lightest_case(combinations):
    # A bearing lifts first where the permanent load is at its least: every ULS state must try it.
    for one in combinations:
        if one.limit_state.startswith("ULS"):
            own = next(term for term in one.terms if term.action == "permanent")
            assert own.relieving <= 1.0, one.name
