"""The schedule as labelled arrays holds what the lines hold."""

from pathlib import Path

import numpy as np
import pytest

from bedstone.bridge.reader import read_bridge
from bedstone.schedule.labelled import to_dataset
from bedstone.schedule.make import make_schedule

TEMPLATE = Path(__file__).parents[2] / "src/bedstone/bridge/templates/frame.toml"


@pytest.fixture(scope="module")
def schedule():
    return make_schedule(read_bridge(TEMPLATE), TEMPLATE.parent, "eurocode")


def test_every_line_is_found_by_its_labels(schedule):
    data = to_dataset(schedule)
    for line in schedule.seat_lines:
        labels = {"limit_state": line.limit_state, "seat": line.place, "sense": line.sense}
        found = data.seats.sel(**labels, effect=line.effect)
        assert float(found) == line.value
        acting = data.seats_acting.sel(**labels, effect=line.effect)
        np.testing.assert_array_equal(acting.values, line.acting)
        assert float(acting.sel(acting=line.effect)) == line.value
    for line in schedule.support_lines:
        found = data.supports.sel(
            limit_state=line.limit_state,
            support=line.place,
            sense=line.sense,
            support_effect=line.effect,
        )
        assert float(found) == line.value


def test_nothing_but_the_lines_has_a_value(schedule):
    data = to_dataset(schedule)
    assert int(data.seats.notnull().sum()) == len(schedule.seat_lines)
    assert int(data.supports.notnull().sum()) == len(schedule.support_lines)
    assert data.attrs["units"] == "N, N m, m, rad"
