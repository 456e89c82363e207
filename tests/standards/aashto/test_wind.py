"""Simplified wind (AASHTO LRFD 3.8); figures from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import FAMILY

MPH = 0.44704


def test_pressure_formula_agrees_with_its_customary_form(values, bridge):
    # 3.8.1.2.1: P_z = 2.56e-6 V^2 K_z G C_D (ksf, mph), written independently of the data file.
    found = FAMILY.wind(values, bridge(choices={"wind.speed": 115 * MPH}))
    ksf = 2.56e-6 * 115**2 * 1.3
    assert found.across == pytest.approx(ksf * 47880.26 * 2.0, rel=2e-3)


def test_with_traffic_the_wind_is_no_faster_than_80_mph_and_wl_is_added(values, bridge):
    fast = FAMILY.wind(values, bridge(choices={"wind.speed": 115 * MPH}))
    ksf = 2.56e-6 * 80**2 * 1.3
    assert fast.across_traffic == pytest.approx(ksf * 47880.26 * 2.0 + 1460.0, rel=2e-3)
    slow = FAMILY.wind(values, bridge(choices={"wind.speed": 20.0}))
    assert slow.across_traffic == pytest.approx(slow.across + 1460.0)


def test_level_of_the_resultants(values, bridge):
    found = FAMILY.wind(values, bridge(choices={"wind.speed": 20.0}))
    assert found.height == -1.0
    moment = found.across * -1.0 + 1460.0 * 1.8
    assert found.height_traffic * found.across_traffic == pytest.approx(moment)
    assert (
        FAMILY.wind(values, bridge(superstructure="truss", choices={"wind.speed": 20.0})).height
        == 1
    )
    chosen = bridge(choices={"wind.speed": 20.0, "wind.level": 0.4})
    assert FAMILY.wind(values, chosen).height == 0.4


def test_vertical_wind_at_the_quarter_point(values, bridge):
    found = FAMILY.wind(values, bridge(choices={"wind.pressure": 2000.0}))
    assert found.vertical == pytest.approx(960.0 * 12.0)
    assert found.vertical_eccentricity == pytest.approx(3.0)


def test_given_pressure_is_used_and_capped_with_traffic(values, bridge):
    found = FAMILY.wind(values, bridge(choices={"wind.pressure": 2000.0}))
    assert found.across == 4000.0
    assert found.across_traffic < 4000.0
    low = FAMILY.wind(values, bridge(choices={"wind.pressure": 500.0}))
    assert low.across_traffic == pytest.approx(1000.0 + 1460.0)


def test_trusses_take_both_planes_and_more_along(values, bridge):
    girders = FAMILY.wind(values, bridge(choices={"wind.speed": 40.0}))
    truss = FAMILY.wind(values, bridge(superstructure="truss", choices={"wind.speed": 40.0}))
    assert truss.across / girders.across == pytest.approx(3.0 / 1.3)
    assert (girders.along_share, truss.along_share) == (0.25, 0.67)


def test_wind_without_speed_or_pressure_is_refused(values, bridge):
    with pytest.raises(InputError, match=r"actions\.wind: .*speed or pressure"):
        FAMILY.wind(values, bridge())


def test_vertical_wind_lifts_and_leaves_traffic_alone(values, bridge):
    # 3.8.2, from memory: 0.96 kPa upward, not in limit states with wind on live load.
    found = FAMILY.wind(values, bridge(choices={"wind.speed": 40.0}))
    assert found.vertical == pytest.approx(960.0 * 12.0)
    assert found.lift_only
    assert not found.vertical_with_traffic
