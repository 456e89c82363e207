"""Sliders: statics of a simple span, linear in temperature, stages that add up."""

from pathlib import Path

import pytest

from bedstone.articulation.arrangement import Arranged
from bedstone.workspace.desk import Desk
from bedstone.workspace.live import Live


@pytest.fixture
def live(railway: Path) -> Live:
    desk = Desk.open(railway)
    return Live(desk.screen, desk.bridge, desk.arranged)


def test_axle_on_a_simple_span_follows_the_lever(live: Live):
    """Two simple spans of 30 m: an axle at a third of the first; statics of a beam."""
    axle = live.convoys[0]
    told = live.driven(axle, 0.0, 10.0)
    assert told.total == pytest.approx(100e3)
    assert told.supports["A1"] == pytest.approx(100e3 * 2.0 / 3.0, rel=1e-6)
    assert told.supports["P1"] == pytest.approx(100e3 / 3.0, rel=1e-6)
    assert told.supports["A2"] == pytest.approx(0.0, abs=1e-3)
    assert sum(told.seats.values()) == pytest.approx(100e3)


def test_what_stands_off_the_deck_is_told(live: Live):
    axle = live.convoys[0]
    told = live.driven(axle, 0.0, live.reach[1] + 5.0)
    assert told.total == 0.0
    assert told.left_out == pytest.approx(100e3)


def test_every_train_is_in_balance(live: Live):
    first, last = live.reach
    for convoy in live.convoys:
        for part in (0.1, 0.5, 0.9):
            told = live.driven(convoy, 0.0, first + part * (last - first))
            assert sum(told.supports.values()) == pytest.approx(told.total, rel=1e-9, abs=1e-3)
            whole = sum(axle.force for axle in convoy.axles)
            assert told.total + told.left_out == pytest.approx(whole)


def test_temperature_is_linear_and_alpha_times_length(live: Live):
    """Each span is fixed at its first end: its far end moves alpha T L (10e-6, EN 1991-1-5)."""
    warm, cold = live.warmed(20.0), live.warmed(-20.0)
    assert warm["A2-1"].own[0] == pytest.approx(-cold["A2-1"].own[0])
    assert abs(live.warmed(0.0)["A2-1"].own[0]) < 1e-12
    # EN 1991-1-5, Table C.1, note 6: 10e-6 for steel and concrete of composite bridges
    assert warm["A2-1"].own[0] == pytest.approx(30.0 * 10e-6 * 20.0)
    assert warm["P1-1a"].own[0] == pytest.approx(0.0, abs=1e-9)


def test_stages_add_up_to_the_permanent_load(live: Live):
    totals = [live.built(stage).total for stage in live.stages]
    assert totals == sorted(totals)
    desk_total = sum(case.total for case in live._cases)
    assert totals[-1] == pytest.approx(desk_total, rel=1e-6)


def test_roller_goes_half_and_stops_close(truss: Path):
    text = truss.read_text().replace('"guided along" = "rocker on nest"',
                                     '"guided along" = "single roller"')  # fmt: skip
    text += (
        '\n[arrangement.seats.A2-1]\nfunction = "guided along"\n'
        'travel = { back = "40 mm", ahead = "15 mm" }\n'
    )
    truss.write_text(text)
    desk = Desk.open(truss)
    arranged: Arranged = desk.arranged
    live = Live(desk.screen, desk.bridge, arranged)
    moved = live.warmed(20.0)["A2-1"]
    # kinematics of a rolling contact: the centre goes half the way of what lies on it
    assert moved.roller == pytest.approx(moved.own[0] / 2.0)
    assert moved.left[0] == pytest.approx(0.015 - moved.own[0])
    assert moved.left[1] == pytest.approx(0.040 + moved.own[0])
    assert moved.stopped == (moved.own[0] >= 0.015)
    assert live.warmed(0.0)["A2-1"].left == pytest.approx((0.015, 0.040))
