"""Proposals for a rating: elements, states, severity and extent, and when there is none."""

from dataclasses import replace

import pytest

from bedstone.site.inspection.rating import element, extent_of


@pytest.mark.parametrize(("seat", "number"), [("A1-1", 313), ("A2-1", 311), ("A2-2", 314)])
def test_elements_of_the_public_scale(truss, seat, number):
    # fixed 313, movable 311, pot 314: AASHTO element numbers, from memory
    assert element(truss.setting(seat)) == number


def test_elastomeric_and_disc_have_elements_of_their_own(truss):
    setting = truss.setting("A2-1")
    for kind, number in (("laminated elastomeric", 310), ("disc", 315), ("uplift restraint", 316)):
        assert element(replace(setting, kind=kind)) == number


def test_no_rating_without_an_offset_and_a_temperature(truss):
    for found in (
        truss.seat("A2-1", {"corrosion": "none", "movement": "free"}),
        truss.seat("A2-1", {"offset along": 0.0073}, steel=None),
    ):
        assert found.rating.state == 0
        assert found.rating.severity == 0
        assert "temperature" in found.rating.blocked
    rated = truss.seat("A2-1", {"offset along": 0.0073, "corrosion": "none"}).rating
    assert (rated.blocked, rated.state, rated.severity) == ("", 1, 1)


def test_a_bearing_that_holds_is_rated_by_what_is_seen(truss):
    assert truss.seat("A1-1", {"corrosion": "rust spots"}).rating.state == 2


@pytest.mark.parametrize(
    ("readings", "defect", "state"),
    [
        ({"corrosion": "none"}, "corrosion", 1),
        ({"corrosion": "rust spots"}, "corrosion", 2),
        ({"corrosion": "section loss"}, "corrosion", 3),
        ({"corrosion": "pack rust"}, "corrosion", 3),
        ({"connection": "loose"}, "connection", 2),
        ({"connection": "missing or broken"}, "connection", 3),
        ({"movement": "stiff"}, "movement", 2),
        ({"movement": "stuck"}, "movement", 3),
        ({"contact": 0.88}, "area", 3),
        ({"level along": 0.004}, "alignment", 2),
    ],
)
def test_states_of_defects(truss, readings, defect, state):
    # after the states of AASHTO's element inspection as restated in public files
    found = truss.seat("A2-1", {"offset along": 0.0073} | readings).rating
    (own,) = [item for item in found.defects if item.defect == defect]
    assert own.state == state
    assert own.reason


def test_near_an_end_the_alignment_is_poor(truss):
    room = truss.seat("A2-1", {"offset along": 0.0073}).left[0].ahead
    near = 0.0073 + room - 0.002
    rated = truss.seat("A2-1", {"offset along": near}).rating
    alignment = next(item for item in rated.defects if item.defect == "alignment")
    assert alignment.state == 3
    assert "mm left" in alignment.reason
    assert rated.review == ""


def test_a_check_broken_by_wear_asks_for_the_engineer(truss):
    found = truss.seat("A2-1", {"offset along": 0.0073, "diameter/middle": 0.150})
    assert found.rating.state == 4
    assert "does not hold" in found.rating.review


@pytest.mark.parametrize(
    ("out", "of", "letter"),
    [(0, 40, "A"), (2, 40, "B"), (3, 40, "C"), (20, 40, "D"), (21, 40, "E")],
)
def test_extent_by_the_share_of_bearings(out, of, letter):
    # none, up to 5 %, 20 %, 50 %, more: from memory
    assert extent_of(out, of) == letter


def test_a_sound_bearing_has_no_extent_whatever_the_others_have(truss, read):
    """Severity 1 goes with extent A (no significant defect) on the British scale, from memory."""
    found = truss(
        read("A1-1", "corrosion", "none"), read("A2-1", "offset along", 0.0073),
        read("A2-1", "level along", 0.004),
    )  # fmt: skip
    rated = {item.seat: item.rating for item in found.seats}
    assert (rated["A1-1"].severity, rated["A1-1"].extent) == (1, "A")
    assert rated["A2-1"].severity > 1
    assert rated["A2-1"].extent != "A"
