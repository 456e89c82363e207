"""What is found in logs of known truth, and how often the truth lies within what is told.

Logs are made in conftest.py by formulas of their own; plain regression is scipy's.
"""

import math

import numpy as np
import pytest
from scipy.stats import binom, linregress, norm

from bedstone.site.monitoring.fit import fit, prepare, visits

LONGEST = 6.0


@pytest.fixture
def fitted(made):
    """The fit of a log: fitted(seed, **truth)."""

    def make(seed, keep=None, least=2e-3, evidence=math.inf, **truth):
        hours, moved, warm = made.log(seed, **truth)
        keep = np.ones(len(hours), dtype=bool) if keep is None else keep(hours)
        time = made.START + np.rint(hours[keep] * made.HOUR).astype(np.int64)
        log = prepare(time, moved[keep], warm[keep])
        return fit(log, longest_lag=LONGEST, least_step=least, evidence=evidence)

    return make


def holds(interval, truth):
    return interval.low - 1e-12 <= truth <= interval.high + 1e-12


def test_without_lag_play_or_drift_it_is_plain_regression(made):
    # daily readings: too coarse for lag and play; scipy.stats.linregress with time taken out
    hours, moved, warm = made.log(1, days=150.0, step=24.0)
    time = made.START + np.rint(hours * made.HOUR).astype(np.int64)
    found = fit(prepare(time, moved, warm), longest_lag=LONGEST)
    columns = np.column_stack([np.ones(len(hours)), hours])
    left = [item - columns @ np.linalg.lstsq(columns, item)[0] for item in (warm, moved)]
    assert found.slope.value == pytest.approx(linregress(*left).slope, rel=1e-9)
    assert found.lag is None
    assert found.stick is None
    assert found.swing is None


@pytest.mark.parametrize(
    "truth",
    [
        {},
        {"lag": 2.0, "half": 1.5},
        {"ratio": 0.6, "half": 3.0, "lag": 0.5},
        {"half": 8.0, "lag": 1.0},
        {"lag": -1.5},
        {"drift": 4e-3, "slow": 5e-4},
    ],
)
def test_slope_lag_play_and_drift_come_back(made, fitted, truth):
    found = fitted(7, **truth)
    wide = 1.0 if "slow" not in truth else 5.0
    slope = made.SLOPE * truth.get("ratio", 1.0)
    assert found.slope.value == pytest.approx(slope, rel=2e-3 * wide)
    assert found.lag.value == pytest.approx(truth.get("lag", 0.0), abs=0.03 * wide)
    assert found.stick.value == pytest.approx(2.0 * truth.get("half", 0.0), abs=0.05 * wide)
    assert found.drift.value == pytest.approx(truth.get("drift", 0.0), abs=1e-4 * wide)
    assert found.steps == ()


def test_a_step_is_dated_to_the_hour_and_sized(made, fitted):
    found = fitted(3, steps=((130.4, 6e-3), (250.0, -4e-3)))
    days = [(step.time - made.START) / (24 * made.HOUR) for step in found.steps]
    assert days == pytest.approx([130.4, 250.0], abs=1.5 / 24)
    assert [holds(step.size, size) for step, size in zip(found.steps, (6e-3, -4e-3), strict=True)]
    sizes = [step.size.value for step in found.steps]
    assert sizes == pytest.approx([6e-3, -4e-3], abs=1e-4)
    assert found.slope.value == pytest.approx(made.SLOPE, rel=1e-3)
    assert abs(found.drift.value) < 2e-4


def test_steps_smaller_than_asked_for_are_not_told(fitted):
    assert fitted(3, steps=((130.0, 1.5e-3),)).steps == ()
    assert len(fitted(3, steps=((130.0, 1.5e-3),), least=1e-3).steps) == 1


def test_false_steps_are_as_rare_as_asked_for(fitted):
    # a chance of one in a thousand each: two or more of 40 would come by accident once in 1300
    logs = [{"days": 120.0, "slow": 4e-4, "hold": 24.0, "least": 0.0} for _ in range(40)]
    false = sum(bool(fitted(seed, **how).steps) for seed, how in enumerate(logs, 500))
    assert false <= 1


def test_the_constant_is_told_at_any_temperature_and_time(made, fitted):
    found = fitted(4, offset=7e-3, drift=5e-3, steps=((200.0, -6e-3),))
    assert found.offset(made.DATUM, found.first).value == pytest.approx(7e-3, abs=1e-4)
    years = (found.last - found.first) / made.HOUR / 8766.0
    end = 7e-3 + 5e-3 * years - 6e-3
    assert found.offset(made.DATUM).value == pytest.approx(end, abs=1e-4)
    assert found.offset(made.DATUM + 10.0).value == pytest.approx(end + 10 * made.SLOPE, abs=2e-4)


def test_holes_in_a_log_do_no_harm(made, fitted):
    found = fitted(9, lag=2.0, half=1.0, keep=lambda h: ((h // 240).astype(int) % 4) != 1)
    assert found.slope.value == pytest.approx(made.SLOPE, rel=2e-3)
    assert found.lag.value == pytest.approx(2.0, abs=0.05)
    assert found.stick.value == pytest.approx(2.0, abs=0.1)


def test_readings_by_the_minute_say_the_same_as_by_the_hour(made, fitted):
    found = fitted(2, days=40.0, step=1 / 12, lag=1.5, half=1.0)
    assert found.slope.value == pytest.approx(made.SLOPE, rel=2e-3)
    assert found.lag.value == pytest.approx(1.5, abs=0.1)
    assert found.stick.value == pytest.approx(2.0, abs=0.1)


def test_a_drift_with_the_cycles_is_told_from_one_with_time(made):
    # the same sum of movement, once for each kelvin of way and once for each hour
    hours, moved, warm = made.log(6)
    path = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(warm)))])
    creep = 0.02 * path / path[-1]
    time = made.START + np.rint(hours * made.HOUR).astype(np.int64)
    by_path = fit(prepare(time, moved + creep, warm), longest_lag=LONGEST, evidence=3.0)
    by_time = fit(
        prepare(time, moved + 0.02 * hours / hours[-1], warm), longest_lag=LONGEST, evidence=3.0
    )
    assert by_path.with_cycles > 3.0
    assert by_time.with_cycles < -3.0
    assert by_path.drift.value * by_path.years == pytest.approx(0.02, rel=0.01)
    assert by_path.slope.value == pytest.approx(made.SLOPE, rel=2e-3)


def test_warming_and_cooling_are_told_apart(made):
    # of every way back 5 % is not gone
    hours, moved, warm = made.log(8, noise=0.0)
    ways = np.diff(moved)
    moved = np.concatenate([[0.0], np.cumsum(np.where(ways > 0.0, ways, 0.95 * ways))])
    moved += 1e-4 * np.random.default_rng(1).normal(size=len(moved))
    time = made.START + np.rint(hours * made.HOUR).astype(np.int64)
    found = fit(prepare(time, moved, warm), longest_lag=LONGEST, evidence=3.0)
    assert found.warming.low > found.cooling.high


def test_noise_is_that_of_the_gauge_and_ways_are_those_of_the_bearing(made, fitted):
    found = fitted(10, half=1.0, slow=1e-3, hold=100.0)
    assert found.noise == pytest.approx(2e-4, rel=0.25)
    assert found.scatter > 5e-4
    quiet = fitted(10, half=1.0, noise=0.0)
    assert quiet.path == pytest.approx(found.path, rel=0.25)


def test_changes_over_half_a_day_are_surer_where_errors_last(made, fitted):
    found = fitted(3, slow=2e-3, hold=240.0)
    assert found.from_swings
    assert found.best.half < 0.5 * found.slope.half
    assert found.best.value == pytest.approx(made.SLOPE, rel=0.02)
    plain = fitted(3)
    assert not plain.from_swings
    assert plain.best == plain.slope


def test_parts_of_the_time_show_what_changed(made):
    hours, moved, warm = made.log(12)
    late = hours > 200 * 24
    moved = np.where(late, moved[late][0], moved) + 1e-4 * np.random.default_rng(0).normal(
        size=len(hours)
    )
    time = made.START + np.rint(hours * made.HOUR).astype(np.int64)
    parts = fit(prepare(time, moved, warm), longest_lag=LONGEST).parts
    assert parts[0].slope.value == pytest.approx(made.SLOPE, rel=0.03)
    assert abs(parts[-1].slope.value) < 0.05 * made.SLOPE


def test_two_visits_are_as_unsure_as_the_formula_says(made):
    # s = root 2 s_e / (alpha L dT): the law of propagation of independent errors
    time = np.array([0, 200 * 24 * made.HOUR], dtype=np.int64)
    found = visits(prepare(time, np.array([0.0, 9.0e-3]), np.array([2.0, 17.0])), 2e-3)
    error = math.sqrt(2.0) * 2e-3 / 15.0
    assert found.slope.value == pytest.approx(9.0e-3 / 15.0)
    assert found.slope.half == pytest.approx(norm.ppf(0.975) * error, rel=1e-9)


def test_visits_that_scatter_more_are_less_sure(made):
    time = np.arange(6, dtype=np.int64) * 30 * 24 * made.HOUR
    warm = np.array([0.0, 10.0, 20.0, 5.0, 15.0, 25.0])
    moved = made.SLOPE * warm + 5e-3 * np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
    found = visits(prepare(time, moved, warm), 1e-3)
    known = linregress(warm, moved)
    assert found.slope.value == pytest.approx(known.slope)
    assert found.slope.half > norm.ppf(0.975) * known.stderr


@pytest.mark.slow
@pytest.mark.parametrize(
    "truth",
    [
        {"half": 1.0, "lag": 1.5, "days": 365.0},
        {"slow": 1e-3, "hold": 24.0, "days": 180.0},
        {"slow": 5e-4, "hold": 48.0, "ratio": 0.6, "half": 2.0, "days": 365.0},
    ],
)
def test_intervals_hold_the_truth_in_about_95_of_100_logs(made, fitted, truth):
    # 500 logs of known truth. That many hits or fewer come once in a thousand at a true 93 %:
    # two points below the claim, for intervals that rest on large numbers
    runs = 500
    least = binom.ppf(1e-3, runs, 0.93)
    hits = {"slope": 0, "best": 0, "drift": 0, "lag": 0, "stick": 0}
    for seed in range(runs):
        found = fitted(20_000 + seed, **truth)
        hits["slope"] += holds(found.slope, made.SLOPE * truth.get("ratio", 1.0))
        hits["best"] += holds(found.best, made.SLOPE * truth.get("ratio", 1.0))
        hits["drift"] += holds(found.drift, 0.0)
        hits["lag"] += holds(found.lag, truth.get("lag", 0.0))
        hits["stick"] += holds(found.stick, 2.0 * truth.get("half", 0.0))
    assert min(hits.values()) >= least, hits
    assert hits["slope"] <= runs - 1  # intervals that always hold say nothing
