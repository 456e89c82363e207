"""Least squares from sums, against scipy; intervals against the theory of first-order noise."""

import math

import numpy as np
import pytest
from scipy.stats import linregress, t

from bedstone.site.monitoring.normal import Interval, certain, inflation, solve


def normal(x, y):
    return solve(x.T @ x, x.T @ y, float(y @ y), len(y))


def test_slope_and_standard_error_are_those_of_plain_regression():
    # scipy.stats.linregress is the check from outside
    rng = np.random.default_rng(3)
    x = rng.normal(size=12)
    y = 2.0 - 0.7 * x + rng.normal(size=12) * 0.1
    columns = np.column_stack([np.ones(12), x])
    found, known = normal(columns, y), linregress(x, y)
    assert found.beta == pytest.approx([known.intercept, known.slope], rel=1e-12)
    error = math.sqrt(found.variance * found.inverse[1, 1])
    assert error == pytest.approx(known.stderr, rel=1e-9)


def test_too_few_cells_fall_back_on_plain_regression():
    x = np.column_stack([np.ones(3), [0.0, 1.0, 2.0]])
    y = np.array([0.0, 1.1, 1.9])
    found = normal(x, y)
    sure = certain(found, np.zeros((3, 2)), 0.95)
    interval = sure.interval(float(found.beta[1]), np.array([0.0, 1.0]))
    known = linregress(x[:, 1], y)
    assert interval.half == pytest.approx(known.stderr * t.ppf(0.975, 1), rel=1e-6)


def test_columns_that_say_the_same_share_one_slope():
    x = np.column_stack([np.ones(20), np.arange(20.0), np.arange(20.0)])
    found = normal(x, 3.0 * np.arange(20.0))
    assert found.beta[1] + found.beta[2] == pytest.approx(3.0)
    assert found.rss == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("keep", [0.0, 0.5, 0.8])
def test_a_mean_of_first_order_noise_is_as_unsure_as_theory_says(keep):
    # variance of the mean: (1 + rho) / (1 - rho) times that of independent numbers (textbooks on
    # time series; from memory)
    rng = np.random.default_rng(11)
    count, runs = 400, 300
    shocks = rng.normal(size=(runs, count + 200)) * math.sqrt(1.0 - keep**2)
    noise = np.zeros_like(shocks)
    for i in range(1, shocks.shape[1]):
        noise[:, i] = keep * noise[:, i - 1] + shocks[:, i]
    found = [inflation(row, np.ones(count), 1.0) for row in noise[:, 200:]]
    assert np.median(found) == pytest.approx((1.0 + keep) / (1.0 - keep), rel=0.15)


def test_an_interval_divides_with_its_sign():
    item = Interval(2.0, 1.0, 4.0)
    assert item.over(-2.0) == Interval(-1.0, -2.0, -0.5)
    assert item.signed
    assert not Interval(0.1, -0.1, 0.3).signed
