"""Stops found where they were put, and not where there are none."""

import math

import numpy as np
import pytest

from bedstone.site.monitoring.fit import fit, prepare
from bedstone.site.monitoring.stops import stops

CHANCE = {"chance": 1e-3, "beyond": 0.2, "span": 3.0, "most": 1e-3}


@pytest.fixture
def found(made):
    """The stops of a log: found(seed, **truth)."""

    def make(seed, **truth):
        hours, moved, warm = made.log(seed, **truth)
        time = made.START + np.rint(hours * made.HOUR).astype(np.int64)
        plain = fit(prepare(time, moved, warm), longest_lag=6.0, most_steps=0)
        return stops(plain, least=0.1 * made.SLOPE, **CHANCE)

    return make


def test_a_stop_on_one_side(found):
    (stop,) = found(1, high=25.0)
    assert stop.side == "warmer"
    assert stop.temperature == pytest.approx(25.0, abs=0.4)
    assert abs(stop.beyond) < 0.05e-3


def test_stops_on_both_sides_through_lag_and_play(found):
    both = found(2, low=2.0, high=26.0, lag=1.5, half=1.0, slow=4e-4)
    told = {stop.side: stop.temperature for stop in both}
    assert told["warmer"] == pytest.approx(26.0, abs=1.0)
    assert told["colder"] == pytest.approx(2.0, abs=1.0)


def test_a_stop_is_found_where_the_movement_runs_the_other_way(found):
    (stop,) = found(3, high=25.0, slope=-0.5e-3)
    assert stop.side == "warmer"


@pytest.mark.parametrize(
    "truth", [{}, {"slow": 1e-3}, {"half": 3.0}, {"ratio": 0.3}, {"ratio": 0.02}]
)
def test_no_stop_where_there_is_none(found, truth):
    assert [found(seed, **truth) for seed in range(5)] == [()] * 5


def test_a_stop_hardly_reached_is_not_told(made, found):
    # the warmest of this log lies less than the least span beyond it
    _, _, warm = made.log(1)
    assert found(1, high=float(warm.max()) - 2.0) == ()
    assert math.isfinite(warm.max())
