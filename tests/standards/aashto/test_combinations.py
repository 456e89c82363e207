"""Load combinations (AASHTO LRFD Table 3.4.1-1); factors from memory."""

from bedstone.standards.aashto import FAMILY
from bedstone.standards.family import ACTIONS

PRESENT = {*ACTIONS, "traffic:HL-93", "traffic:permit"}


def by_name(values, present):
    return {one.name: one for one in FAMILY.combinations(values, present)}


def factors(terms):
    return {term.action: (term.adverse, term.relieving) for term in terms}


def test_strength_and_service_factors(values):
    found = by_name(values, PRESENT)
    one = factors(found["Strength I HL-93"].terms)
    assert one["permanent"] == (1.25, 0.90)
    assert one["surfacing"] == (1.50, 0.65)
    assert one["traffic:HL-93"] == (1.75, 0.0)
    assert one["friction"] == (1.0, 0.0)
    assert "wind" not in one
    assert "wind with traffic" not in one
    assert "traffic:permit" not in one
    assert factors(found["Strength II permit"].terms)["traffic:permit"] == (1.35, 0.0)
    three = factors(found["Strength III wind"].terms)
    assert three["wind"] == (1.0, 0.0)
    assert not any(action.startswith("traffic") for action in three)
    assert factors(found["Strength IV"].terms)["permanent"] == (1.50, 0.90)
    five = factors(found["Strength V HL-93"].terms)
    assert (five["traffic:HL-93"], five["wind with traffic"]) == ((1.35, 0.0), (1.0, 0.0))
    service = found["Service I HL-93"]
    assert service.limit_state == "SLS characteristic"
    assert factors(service.terms)["traffic:HL-93"] == (1.0, 0.0)
    extreme = factors(found["Extreme Event I HL-93"].terms)
    assert extreme["seismic"] == (1.0, 0.0)
    assert extreme["traffic:HL-93"] == (0.5, 0.0)
    assert "thermal" not in extreme


def test_temperature_moves_with_the_greater_factor_and_forces_with_the_smaller(values):
    found = by_name(values, PRESENT)
    for name, force in (("Strength I HL-93", 0.5), ("Service I HL-93", 1.0)):
        assert factors(found[name].terms)["thermal"] == (force, 0.0)
        movement = factors(found[name].movement_terms)
        assert movement["thermal"] == (1.2, 0.0)
        without = {k: v for k, v in movement.items() if k != "thermal"}
        assert without == {k: v for k, v in factors(found[name].terms).items() if k != "thermal"}


def test_absent_actions_and_repeated_combinations_drop_out(values):
    found = FAMILY.combinations(values, {"permanent", "traffic:HL-93"})
    assert all(
        {term.action for term in one.terms} <= {"permanent", "traffic:HL-93"} for one in found
    )
    assert [one.name for one in found] == [
        "Permanent",
        "Service I HL-93",
        "Strength I HL-93",
        "Strength IV",
    ]
    assert all(one.movement_terms is None for one in found)
    assert len({(one.limit_state, one.terms) for one in found}) == len(found)


def test_without_traffic_service_and_strength_are_still_written(values):
    found = by_name(values, {"permanent", "thermal"})
    assert factors(found["Service I"].terms) == {"permanent": (1.0, 1.0), "thermal": (1.0, 0.0)}
    assert factors(found["Strength I"].terms)["permanent"] == (1.25, 0.9)
    assert FAMILY.combinations(values, ()) == ()


def test_only_an_owners_vehicle(values):
    found = by_name(values, {"permanent", "traffic:permit"})
    assert "Strength II permit" in found
    assert not any(name.startswith("Strength I ") for name in found)


def test_service_2_on_request(values):
    asked = FAMILY.with_choices({"combinations.service_2": True})
    found = {one.name: one for one in asked.combinations(values, PRESENT)}
    assert factors(found["Service II HL-93"].terms)["traffic:HL-93"] == (1.30, 0.0)
    assert not any(one.startswith("Service II") for one in by_name(values, PRESENT))
