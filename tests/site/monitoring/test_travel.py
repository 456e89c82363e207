"""Travel left and the day it is used up, each worked by hand from round numbers."""

import math
from types import SimpleNamespace

import pytest

from bedstone.site.monitoring.normal import Interval
from bedstone.site.monitoring.travel import Left, forecast, left

YEAR = 8766 * 3.6e12  # ns in 365.25 days


def fitted(drift, half=0.0, scatter=0.5e-3):
    """Offset 1 mm/K from 15 degC, sure to `half` (m); the log ends at 0."""

    def offset(temperature):
        value = 1e-3 * (temperature - 15.0)
        return Interval(value, value - half, value + half)

    return SimpleNamespace(offset=offset, scatter=scatter, drift=drift, last=0)


def seat(**told):
    """Steel from -5 to 45 degC; ends 50 mm behind, 60 ahead; others take 3 mm back, 7 ahead."""
    return SimpleNamespace(
        **{"coldest": -5.0, "warmest": 45.0, "back": -0.05, "ahead": 0.06,
           "others": (0.003, 0.007), "datum": 15.0, "to_come": lambda _: 0.0, **told}
    )  # fmt: skip


def test_travel_left_on_either_side():
    # behind: 50 - 20 of cold - 2 x 0.5 of scatter - 3; ahead: 60 - 30 - 1 - 7
    found = left(fitted(None), seat())
    assert found.back == pytest.approx(0.026)
    assert found.ahead == pytest.approx(0.022)
    assert found.least == pytest.approx(0.022)
    assert found.toward(-1.0) == pytest.approx(0.026)
    # 5 mm are still to come ahead: they take from that side alone
    late = left(fitted(None), seat(to_come=lambda _: 0.005))
    assert (late.back, late.ahead) == pytest.approx((0.026, 0.017))
    early = left(fitted(None), seat(to_come=lambda _: -0.005))
    assert (early.back, early.ahead) == pytest.approx((0.021, 0.022))
    assert left(fitted(None), seat(back=-math.inf, ahead=math.inf)).least is None


def test_the_day_travel_is_used_up():
    # 22 mm at 2 (1 to 4) mm a year, the offset at the extremes sure to 2 mm:
    # 11 years; not before (22 - 2) / 4 = 5, not after (22 + 2) / 1 = 24
    drift = Interval(2e-3, 1e-3, 4e-3)
    found = forecast(fitted(drift, 2e-3), seat(), Left(0.026, 0.022), 100.0)
    assert found.side == "ahead"
    years = [time / YEAR for time in (found.likely, found.earliest, found.latest)]
    assert years == pytest.approx([11.0, 5.0, 24.0], rel=1e-6)
    # the other way 26 mm are left: 13 years; (26 - 2) / 4 = 6 to (26 + 2) / 1 = 28
    behind = Interval(-2e-3, -4e-3, -1e-3)
    found = forecast(fitted(behind, 2e-3), seat(), Left(0.026, 0.022), 20.0)
    assert found.side == "back"
    assert found.likely / YEAR == pytest.approx(13.0, rel=1e-6)
    assert found.earliest / YEAR == pytest.approx(6.0, rel=1e-6)
    assert found.latest is None  # beyond the horizon


def test_no_day_without_a_sure_drift_or_an_end():
    unsure = Interval(1e-3, -1e-3, 3e-3)
    assert forecast(fitted(unsure), seat(), Left(0.026, 0.022), 100.0) is None
    sure = Interval(2e-3, 1e-3, 3e-3)
    assert forecast(fitted(sure), seat(), Left(0.026, math.inf), 100.0) is None
    # what is used up already is used up now, not in the past
    now = forecast(fitted(sure), seat(), Left(0.026, -0.01), 100.0)
    assert now.likely == 0
