"""Rules of judgement, worked by hand at their limits."""

import math

import pytest
from scipy.stats import norm

from bedstone.site.monitoring.judge import drift_matters, ratio_of, steady
from bedstone.site.monitoring.normal import Interval
from bedstone.site.tolerances import usual

LIMITS = usual("monitoring")


def test_the_scale_of_gauge_and_thermometer_is_in_the_mobility():
    # 0.8 +- 0.03 of 0.5 mm/K expected 0.5; the scale may be 1 % off: hypot(0.006, 0.008) = 0.01
    found = ratio_of(Interval(0.4e-3, 0.397e-3, 0.403e-3), 0.5e-3, 0.01)
    assert found.value == pytest.approx(0.8)
    assert found.half == pytest.approx(0.01)
    turned = ratio_of(Interval(0.4e-3, 0.397e-3, 0.403e-3), -0.5e-3, 0.01)
    assert (turned.low, turned.high) == pytest.approx((-0.81, -0.79))


def test_a_drift_matters_that_takes_a_quarter_of_the_travel_in_ten_years():
    # 40 mm left: a quarter is 10 mm, 1 mm a year
    def of(speed, half=1e-6, left=0.04):
        return drift_matters(Interval(speed, speed - half, speed + half), left, 0.004, LIMITS)

    assert of(1.01e-3)
    assert of(-1.01e-3)
    assert not of(0.99e-3)
    # no end: against the budget of setting, 4 mm in ten years
    assert of(0.41e-3, left=None)
    assert not of(0.39e-3, left=None)
    # nothing left: any drift that is sure
    assert of(1e-5, left=-0.01)
    # sure to one in a thousand: 3.29 / 1.96 half widths of 95 %
    sure = norm.isf(0.0005) / norm.isf(0.025)
    assert of(2e-3, half=2e-3 / (sure * 1.01))
    assert not of(2e-3, half=2e-3 / (sure * 0.99))
    assert math.isclose(sure, 1.679, abs_tol=1e-3)


def test_a_creep_goes_on_in_all_quarters():
    assert steady((0.0, 1.0, 2.0, 3.0), 1.0)
    assert steady((3.0, 2.0, 1.0, 0.0), -1.0)
    assert not steady((0.0, 2.0, 1.0, 3.0), 1.0)
    assert not steady((0.0, 1.0, 2.0), 1.0)
