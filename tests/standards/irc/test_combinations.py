"""Combinations of IRC:6 Annex B; factors from memory."""

from bedstone.standards.family import ACTIONS
from bedstone.standards.irc import FAMILY

PRESENT = {*ACTIONS, "traffic:live"}


def factors(combination):
    return {term.action: (term.adverse, term.relieving) for term in combination.terms}


def leading(values, limit_state, action):
    """The combination of a limit state that `action` leads together with traffic."""
    (found,) = (
        one
        for one in FAMILY.combinations(values, PRESENT)
        if one.limit_state == limit_state and one.leading == action and "wind" not in factors(one)
    )
    return factors(found)


def test_basic_combination(values):
    live = leading(values, "ULS persistent", "traffic:live")
    assert live["permanent"] == (1.35, 1.0)
    assert live["surfacing"] == (1.75, 1.0)
    assert live["traffic:live"] == (1.5, 0.0)
    assert live["thermal"] == (0.9, 0.0)
    assert live["wind with traffic"] == (0.9, 0.0)
    thermal = leading(values, "ULS persistent", "thermal")
    assert (thermal["thermal"], thermal["traffic:live"]) == ((1.5, 0.0), (1.15, 0.0))
    wind = leading(values, "ULS persistent", "wind with traffic")
    assert wind["wind with traffic"] == (1.5, 0.0)


def test_service_combinations(values):
    rare = leading(values, "SLS characteristic", "traffic:live")
    assert (rare["traffic:live"], rare["thermal"]) == ((1.0, 0.0), (0.6, 0.0))
    assert rare["surfacing"] == (1.2, 1.0)
    assert leading(values, "SLS characteristic", "thermal")["traffic:live"] == (0.75, 0.0)
    frequent = leading(values, "SLS frequent", "traffic:live")
    assert (frequent["traffic:live"], frequent["thermal"]) == ((0.75, 0.0), (0.5, 0.0))
    (quasi,) = (
        one
        for one in FAMILY.combinations(values, PRESENT)
        if one.limit_state == "SLS quasi-permanent"
    )
    assert "traffic:live" not in factors(quasi)
    assert factors(quasi)["thermal"] == (0.5, 0.0)


def test_accidental_and_seismic(values):
    found = {one.name: factors(one) for one in FAMILY.combinations(values, PRESENT)}
    assert found["ULS accidental live"]["traffic:live"] == (0.75, 0.0)
    seismic = found["ULS seismic 1.5 seismic + 0.2 live + 0.5 thermal"]
    assert seismic["seismic"] == (1.5, 0.0)
    assert seismic["traffic:live"] == (0.2, 0.0)
    assert seismic["permanent"] == (1.35, 1.0)


def test_wind_on_the_empty_bridge_never_acts_with_traffic(values):
    for one in FAMILY.combinations(values, PRESENT):
        actions = set(factors(one))
        assert not {"wind", "traffic:live"} <= actions
        assert "wind with traffic" not in actions or "traffic:live" in actions


def test_names_tell_what_leads(values):
    names = [one.name for one in FAMILY.combinations(values, PRESENT)]
    assert "ULS basic 1.5 live + 0.9 thermal + 0.9 wind with traffic" in names
    assert len(set(names)) == len(names)


def test_absent_actions_and_repeated_combinations_drop_out(values):
    found = FAMILY.combinations(values, {"permanent", "traffic:live"})
    assert [one.name for one in found] == [
        "Permanent",
        "SLS rare live",
        "SLS frequent 0.75 live",
        "SLS quasi-permanent",
        "ULS basic 1.5 live",
        "ULS accidental live",
    ]
    alone = FAMILY.combinations(values, {"permanent"})
    assert [one.limit_state for one in alone] == [
        "permanent",
        "SLS quasi-permanent",
        "ULS persistent",
    ]
    assert FAMILY.combinations(values, ()) == ()


def test_permanent_has_no_margin_and_no_growing_strain_relieves(values):
    permanent = factors(FAMILY.combinations(values, PRESENT)[0])
    assert permanent["surfacing"] == (1.0, 1.0)
    for one in FAMILY.combinations(values, PRESENT):
        assert factors(one)["settlement"][1] == factors(one)["shrinkage"][1] == 0.0
