"""What is left of the travel, from where the bearing was found."""

import math

import pytest


def test_what_was_found_shifts_all_that_is_left(truss):
    setting = truss.setting("A2-1")
    expected = setting.growth.own[0] * (24.0 - setting.datum)
    left = [truss.seat("A2-1", {"offset along": expected + shift}).left[0] for shift in (0.0, 0.02)]
    assert left[1].shift == pytest.approx(0.02)
    assert left[1].ahead == pytest.approx(left[0].ahead - 0.02)
    assert left[1].behind == pytest.approx(left[0].behind + 0.02)


def test_found_as_expected_leaves_the_way_to_the_design_extremes(truss):
    setting, look = truss.setting("A2-1"), truss.screen.look()
    expected = setting.growth.own[0] * (24.0 - setting.datum)
    (left,) = truss.seat("A2-1", {"offset along": expected}).left
    # set at 12 degC where the table says, moved by all that comes after (envelopes of the schedule)
    start = setting.row(12.0).offset[0]
    assert left.ahead == pytest.approx(0.13 - start - look.extreme("A2-1", "vx", "max"))
    assert left.behind == pytest.approx(start + look.extreme("A2-1", "vx", "min") + 0.13)
    # the table keeps room for the stages that had not come then, so less is left there
    assert left.least >= setting.row(12.0).left


def test_what_is_still_to_come_takes_of_the_side_it_has_not_come_to(truss):
    setting = truss.setting("A2-1")
    still = sum(stage.vx for stage in setting.stages if not stage.before)
    expected = setting.growth.own[0] * (24.0 - setting.datum)
    (late,) = truss.seat("A2-1", {"offset along": expected}).left
    (early,) = truss.seat("A2-1", {"offset along": expected - still}, stage="steel erected").left
    assert early.shift == pytest.approx(late.shift, abs=1e-12)
    assert early.ahead == pytest.approx(late.ahead)
    assert early.behind == pytest.approx(late.behind - still)


def test_the_temperature_of_an_end_brings_the_plate_exactly_there(truss):
    (left,) = truss.seat("A2-1", {"offset along": 0.1}).left
    speed = truss.setting("A2-1").growth.own[0]
    assert 0.1 + speed * (left.at_ahead - 24.0) == pytest.approx(left.end.ahead)
    assert 0.1 + speed * (left.at_behind - 24.0) == pytest.approx(left.end.back)
    # 30 mm to go at 0.768 mm/degC: some 39 K above 24 degC, beyond the warmest
    assert left.at_ahead == pytest.approx(24.0 + 0.03 / (12e-6 * 64.0), rel=1e-6)
    assert not left.inside


def test_an_end_reached_is_told_with_its_stop_and_asks_for_the_engineer(truss):
    found = truss.seat("A2-1", {"offset along": 0.118})
    (left,) = found.left
    assert left.least < 0.0
    assert left.inside
    assert found.rating.state == 4
    assert found.rating.severity == 5
    assert "stop" in found.rating.review
    reached = next(item for item in found.effects if "reached" in item.finding)
    # seen from the place of setting the stop is nearer by the shift than by the drawing
    speed = truss.setting("A2-1").growth.own[0]
    shift = 0.118 - speed * (24.0 - 14.5)
    come = sum(s.vx for s in truss.setting("A2-1").stages if not s.before)
    ahead = 0.13 - (speed * (12.0 - 14.5) - come + shift)
    assert f"{1e3 * ahead:g} mm left ahead" in reached.fault
    assert any(c.after > 1.5 * c.before for c in reached.supports if c.effect == "Fx")


def test_held_directions_and_offsets_without_temperature_have_no_travel_left(truss):
    assert truss.seat("A1-1", {"level along": 0.0}).left == ()
    assert truss.seat("A2-1", {"offset along": 0.0}, steel=None).left == ()


def test_sliding_plates_have_an_end_in_each_free_direction(truss):
    found = truss.seat("A2-2", {"offset along": 0.0, "offset across": 0.0})
    assert [left.end.axis for left in found.left] == ["x", "y"]
    assert all(math.isfinite(left.least) for left in found.left)
