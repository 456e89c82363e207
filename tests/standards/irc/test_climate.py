"""Temperature, wind and earthquake of IRC:6; figures from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.irc import FAMILY, seismic, thermal


def test_wide_air_range_is_held_at_the_mean_within_10_degrees(values, bridge):
    # Air 5 to 45: mean 25 +- 10; expansion 45 - 15, contraction 35 - 5.
    changes = FAMILY.thermal(values, bridge(air_min=5.0, air_max=45.0))
    assert (changes.expansion, changes.contraction) == (30.0, 30.0)
    assert changes.alpha_steel == changes.alpha_concrete == pytest.approx(12e-6)


def test_narrow_air_range_has_5_degrees(values, bridge):
    changes = FAMILY.thermal(values, bridge(air_min=20.0, air_max=38.0))
    assert changes.expansion == pytest.approx(9.0 + 5.0)
    assert thermal.setting_allowance(values, bridge(air_min=20.0, air_max=40.0)).value == 5.0
    assert thermal.setting_allowance(values, bridge(air_min=20.0, air_max=40.1)).value == 10.0


def test_metal_is_hotter_and_colder_than_the_air(values, bridge):
    low, high = thermal.effective_temperatures(
        values, bridge(deck_type="steel", air_min=5.0, air_max=45.0)
    )
    assert (low.value, high.value) == (-5.0, 60.0)


def test_setting_temperature_and_given_temperatures(values, bridge):
    facts = bridge(
        setting_temperature=20.0,
        air_min=None,
        air_max=None,
        choices={"thermal.effective_min": 0.0, "thermal.effective_max": 50.0},
    )
    changes = FAMILY.thermal(values, facts)
    assert (changes.expansion, changes.contraction) == (30.0, 20.0)
    facts.choices["thermal.setting_tolerance"] = 3.0
    assert FAMILY.thermal(values, facts).expansion_movement == 33.0


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"air_min": None}, "shade air temperature"),
        ({"air_min": 45.0, "air_max": 5.0}, "a range that rises"),
        ({"setting_temperature": 60.0}, "-10 to 40"),
        ({"choices": {"thermal.effective_max": 50.0}}, "effective_min"),
        ({"choices": {"thermal.cool": -1.0}}, "at least 0"),
    ],
)
def test_bad_temperatures_are_one_clear_fault(values, bridge, changes, message):
    with pytest.raises(InputError, match=message) as caught:
        FAMILY.thermal(values, bridge(**changes))
    assert len(caught.value.faults) == 1


def test_wind_on_girders(values, bridge):
    # P_z 0.6 x 30^2 = 540 Pa; G 2.0; b/d = 6: 1.3 x 1.5; depth 2 m (hand calculation).
    found = FAMILY.wind(values, bridge(choices={"wind.speed": 30.0}))
    assert found.across == pytest.approx(540 * 2 * 1.95 * 2)
    assert found.vertical == pytest.approx(540 * 2 * 0.75 * 12)
    on_traffic = 540 * 2 * 1.2 * 3.0
    assert found.across_traffic == pytest.approx(found.across + on_traffic)
    assert found.height_traffic * found.across_traffic == pytest.approx(
        found.across * -1.0 + on_traffic * 1.5
    )
    assert found.along_share == 0.25


def test_live_load_leaves_the_bridge_above_36_metres_a_second(values, bridge):
    at_36 = FAMILY.wind(values, bridge(choices={"wind.speed": 36.0}))
    at_50 = FAMILY.wind(values, bridge(choices={"wind.speed": 50.0}))
    assert at_50.across_traffic == pytest.approx(at_36.across_traffic)
    assert at_50.across > at_36.across


def test_wind_choices(values, bridge):
    old = bridge(choices={"wind.pressure": 540.0, "wind.traffic_force": 2943.0, "wind.drag": 1.0})
    found = FAMILY.wind(values, old)
    assert found.across == pytest.approx(540 * 2 * 2)
    assert found.across_traffic == pytest.approx(540 * 2 * 2 + 2943.0)
    truss = FAMILY.wind(values, bridge(superstructure="truss", choices={"wind.speed": 30.0}))
    assert truss.along_share == 0.50
    assert truss.height == 1.0
    assert truss.across == pytest.approx(540 * 2 * 3.8 * 2)


def test_wind_faults(values, bridge):
    with pytest.raises(InputError, match=r"actions\.wind: .*speed or pressure"):
        FAMILY.wind(values, bridge())
    long = bridge(spans=(200.0,), unit_length=200.0, choices={"wind.speed": 30.0})
    with pytest.raises(InputError, match="beyond 150 m"):
        FAMILY.wind(values, long)


@pytest.mark.parametrize(
    ("soil", "period", "expected"),
    [
        ("hard", 0.0, 2.5),
        ("hard", 0.4, 2.5),
        ("hard", 1.0, 1.0),
        ("medium", 0.68, 2.0),
        ("soft", 1.67, 1.0),
        ("hard", 6.0, 0.25),
    ],
)
def test_spectrum(values, soil, period, expected):
    assert seismic.spectral_acceleration(values, soil, period).value == pytest.approx(expected)


def test_earthquake(values, bridge):
    choices = {"seismic.zone": 5, "seismic.soil": "hard", "seismic.importance": "important"}
    case = FAMILY.seismic(values, bridge(choices=choices), 1.0, 0.2)
    # 0.36/2 x 1.0 x 1.2 and x 2.5; vertical two thirds of the latter.
    assert case.coefficient_along == pytest.approx(0.216)
    assert case.coefficient_across == pytest.approx(0.540)
    assert case.coefficient_vertical == pytest.approx(0.360)
    assert (case.mass_traffic_along, case.mass_traffic_across) == (0.0, 0.2)
    assert case.combination == (1.0, 0.3, 0.3)
    ductile = bridge(choices={**choices, "seismic.response_factor": 3.0})
    assert FAMILY.seismic(values, ductile, 1.0, 0.2).coefficient_along == pytest.approx(0.072)


def test_earthquake_faults(values, bridge):
    assert FAMILY.seismic(values, bridge(), 1.0, 1.0) is None
    with pytest.raises(InputError, match="2, 3, 4 or 5"):
        FAMILY.seismic(
            values, bridge(choices={"seismic.zone": 1, "seismic.soil": "hard"}), 1.0, 1.0
        )
    with pytest.raises(InputError, match="hard, medium, soft"):
        FAMILY.seismic(values, bridge(choices={"seismic.zone": 3, "seismic.soil": "mud"}), 1.0, 1.0)
    with pytest.raises(InputError, match=r"actions\.seismic\.irc\.soil: found nothing"):
        FAMILY.seismic(values, bridge(choices={"seismic.zone": 3}), 1.0, 1.0)
