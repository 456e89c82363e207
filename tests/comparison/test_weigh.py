"""Masses of bearings: those of the schedule of the very arrangement, in kinds that still fit."""

from dataclasses import replace
from pathlib import Path

import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.bridge.schema import GivenBearing
from bedstone.comparison.compare import compare
from bedstone.comparison.weigh import bearings_of, weigh
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.schedule.make import make_schedule

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def prepared():
    bridge = read_bridge(ROOT / "examples/truss.toml")
    return prepare(bridge, read_tables(bridge, ROOT / "examples"))


@pytest.fixture(scope="module")
def found(prepared):
    return compare(prepared, "eurocode", full=False)


def test_todays_bearings_weigh_what_the_design_of_the_file_says(prepared, found):
    bridge, folder = prepared.bridge, ROOT / "examples"
    schedule = make_schedule(bridge, folder, "eurocode")
    seats = seats_of(bridge, folder)
    masses = [design_seat(schedule, bridge, seats, mark).choice.design.mass for mark in seats.marks]
    weight = weigh(prepared, "eurocode", found.today)
    assert weight.number == len(masses) == 4
    assert weight.mass == pytest.approx(sum(masses), rel=1e-6)
    assert weight == weigh(prepared, "eurocode", found.today, schedule)


def test_a_twin_weighs_the_same(prepared, found):
    """The best arrangement is the mirror image of today's."""
    twin = weigh(prepared, "eurocode", found.best[0])
    assert twin.mass == pytest.approx(weigh(prepared, "eurocode", found.today).mass, rel=1e-3)


def test_kinds_and_given_bearings_stay_where_the_function_stays(prepared, found):
    told = prepared.bridge.bearings.model_copy(
        update={
            "kinds": {"A1": "line rocker", "A2-1": "roller nest"},
            "given": [GivenBearing(seat=mark, kind="line rocker") for mark in ("A1-1", "A2-2")],
        }
    )
    other = replace(prepared, bridge=prepared.bridge.model_copy(update={"bearings": told}))
    item = replace(found.today, functions={
        mark: seat.model_copy(update={"function": "free"}) if mark in ("A1-1", "A2-1") else seat
        for mark, seat in found.today.functions.items()
    })  # fmt: skip
    own = bearings_of(other, item).bearings
    assert own.kinds == {"A1-2": "line rocker"}
    assert [bearing.seat for bearing in own.given] == ["A2-2"]
