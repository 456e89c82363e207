"""Sums of one pass, against the same written out with numpy."""

import numpy as np
import pytest

from bedstone.site.monitoring import sums


@pytest.fixture
def arrays(made):
    """Hours, movement and temperature of 20 days, about their middle."""
    hours, moved, warm = made.log(5, days=20.0)
    return hours - hours.mean(), moved, warm - warm.mean()


def test_sums_by_cells_are_the_products_of_the_columns(arrays):
    hours, moved, warm = arrays
    use = np.ones(len(hours), dtype=bool)
    use[40:60] = False
    cell = (np.arange(len(hours)) // 100).astype(np.int64)
    found = sums.cell_sums(
        hours, moved, warm, use, cell, int(cell[-1]) + 1, 0.0, 0.0, -np.inf, np.inf, 0.0
    )
    for number in range(int(cell[-1]) + 1):
        own = use & (cell == number)
        columns = np.column_stack([np.ones(own.sum()), hours[own] / 8766.0, warm[own], moved[own]])
        at = [sums.ONE, sums.TIME, sums.WARM, sums.MOVED]
        assert found[number][np.ix_(at, at)] == pytest.approx(columns.T @ columns, rel=1e-9)


def test_a_long_log_is_summed_as_a_short_one():
    # more readings in a cell than are added together at a time
    rng = np.random.default_rng(1)
    count = 1000
    hours, moved, warm = np.arange(count) / 60.0, rng.normal(size=count), rng.normal(size=count)
    cell = np.zeros(count, dtype=np.int64)
    found = sums.cell_sums(
        hours, moved, warm, np.ones(count, dtype=bool), cell, 1, 0.0, 0.0, -np.inf, np.inf, 0.0
    )[0]
    assert found[sums.ONE, sums.ONE] == count
    assert found[sums.WARM, sums.MOVED] == pytest.approx(float(warm @ moved), rel=1e-9)
    assert np.array_equal(found, found.T)


def test_what_follows_with_play_stays_within_it_and_stands_when_it_turns(arrays):
    hours, _, warm = arrays
    found = sums.followed(hours, warm, 0.0, 2.0)[:, 0]
    assert np.abs(found - warm).max() <= 2.0 + 1e-12
    plain = np.empty_like(warm)
    now = warm[0]
    for i, value in enumerate(warm):
        now = min(max(now, value - 2.0), value + 2.0)
        plain[i] = now
    assert found == pytest.approx(plain, abs=1e-12)


@pytest.mark.parametrize(("lag", "play"), [(1.3, 1.5), (2.6, 0.7)])
def test_changes_with_lag_and_play_are_those_of_small_steps(arrays, lag, play):
    hours, _, warm = arrays
    base = sums.followed(hours, warm, lag, play)
    small = 1e-6
    by_play = (sums.followed(hours, warm, lag, play + small)[:, 0] - base[:, 0]) / small
    by_lag = (sums.followed(hours, warm, lag + small, play)[:, 0] - base[:, 0]) / small
    later = hours > hours[0] + 48.0  # the start has no turn behind it
    assert np.quantile(np.abs(by_play - base[:, 1])[later], 0.98) < 1e-3
    # off the whole hours, at which the temperature has a corner
    assert np.median(np.abs(by_lag - base[:, 2])[later]) < 1e-3


def test_holes_do_not_lend_temperatures():
    hours = np.concatenate([np.arange(10.0), np.arange(40.0, 50.0)])
    warm = hours.copy()
    cell = np.zeros(20, dtype=np.int64)
    found = sums.cell_sums(
        hours, hours, warm, np.ones(20, dtype=bool), cell, 1, 2.0, 0.0, -np.inf, np.inf, 6.0
    )[0]
    # two hours back lies before the log for two readings and in the hole for two more
    assert found[sums.ONE, sums.ONE] == 16


def test_ways_gone_and_stretches_of_one_value():
    use = np.ones(7, dtype=bool)
    moved = np.array([0.0, 1.0, 0.0, 1.0, 1.1, 1.0, 0.0])
    assert sums.path_length(moved, use, 0.0) == pytest.approx(4.2)
    # a band of 0.1 each way: by hand 0.9, back to 0.1, up to 0.9 and on to 1.0, back to 0.1
    assert sums.path_length(moved, use, 0.1) == pytest.approx(0.9 + 0.8 + 0.8 + 0.1 + 0.9)
    still = np.array([0.0, 2.0, 2.0, 2.0, 3.0, 3.0])
    warm = np.array([0.0, 0.0, 5.0, 11.0, 0.0, 5.0])
    assert sums.still_runs(still, warm, 10.0).tolist() == [[1, 3]]


def test_a_running_mean_is_the_mean_of_what_is_near():
    hours = np.array([0.0, 0.1, 0.2, 1.0, 1.1])
    warm = np.array([1.0, 2.0, 6.0, 10.0, 0.0])
    known = np.array([True, True, True, True, False])
    found = sums.averaged(hours, warm, known, 0.15)
    assert found == pytest.approx([1.5, 3.0, 4.0, 10.0, 10.0])
