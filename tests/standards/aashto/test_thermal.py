"""Temperature (AASHTO LRFD 3.12) and allowances; figures from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import FAMILY, thermal


@pytest.mark.parametrize(
    ("deck", "climate", "least", "most"),
    # Table 3.12.2.1-1, from memory.
    [
        ("steel", "moderate", -18, 50),
        ("composite", "moderate", -18, 50),
        ("concrete", "moderate", -12, 27),
        ("steel", "cold", -35, 50),
        ("concrete", "cold", -18, 27),
    ],
)
def test_procedure_a(values, bridge, deck, climate, least, most):
    facts = bridge(deck_type=deck, choices={"thermal.climate": climate})
    low, high = thermal.effective_temperatures(values, facts)
    assert (low.value, high.value) == (least, most)
    assert "procedure A" in low.note


def test_without_a_climate_the_wider_range_and_a_note(values, bridge):
    low, high = thermal.effective_temperatures(values, bridge())
    assert (low.value, high.value) == (-35.0, 50.0)
    assert "no climate given" in low.note


def test_procedure_b_and_setting_temperature(values, bridge):
    facts = bridge(
        setting_temperature=15.0,
        choices={"thermal.effective_min": -30.0, "thermal.effective_max": 50.0},
    )
    changes = FAMILY.thermal(values, facts)
    assert (changes.expansion, changes.contraction) == (35.0, 45.0)
    # Teaching page, 80 m of steel from the fixed bearing (own completion of its exercise):
    # 32.76 mm of expansion, 42.12 mm of contraction, 74.88 mm in all.
    alpha = changes.alpha_steel
    for change, expected in ((35.0, 0.03276), (45.0, 0.04212), (80.0, 0.07488)):
        assert thermal.thermal_movement(values, alpha, 80.0, change).value == pytest.approx(
            expected
        )


def test_half_the_range_each_way_and_a_tolerance_for_movements_only(values, bridge):
    facts = bridge(choices={"thermal.climate": "moderate", "thermal.setting_tolerance": 5.0})
    changes = FAMILY.thermal(values, facts)
    assert changes.expansion == changes.contraction == 34.0
    assert changes.expansion_movement == changes.contraction_movement == 39.0


def test_differences_come_from_the_choices(values, bridge):
    changes = FAMILY.thermal(values, bridge(choices={"thermal.heat": 12.0, "thermal.cool": 4.0}))
    assert (changes.heat, changes.cool) == (12.0, 4.0)
    assert (1.0, 0.5) in changes.mixtures
    assert FAMILY.thermal(values, bridge()).heat == 0.0


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"choices": {"thermal.effective_min": -30.0}}, "effective_max"),
        ({"choices": {"thermal.effective_min": 9.0, "thermal.effective_max": 9.0}}, "more than 9"),
        ({"setting_temperature": 70.0}, "-35 to 50"),
        ({"choices": {"thermal.climate": "mild"}}, "moderate, cold"),
        ({"choices": {"thermal.heat": "warm"}}, "a number of at least 0"),
        ({"choices": {"thermal.heat": float("nan")}}, "a number of at least 0"),
        ({"choices": {"thermal.haet": 10.0}}, "one of"),
    ],
)
def test_bad_input_is_one_clear_fault(values, bridge, changes, message):
    with pytest.raises(InputError, match=message) as caught:
        FAMILY.thermal(values, bridge(**changes))
    assert len(caught.value.faults) == 1


def test_elastomeric_share_and_rotation_allowances(values):
    # 14.7.5.3.2 and 14.4.2, from memory.
    assert thermal.pad_shear_movement(values, 0.040).value == pytest.approx(0.026)
    assert thermal.rotation_allowance(values, "elastomeric").value == pytest.approx(0.005)
    assert thermal.rotation_allowance(values, "hard contact").value == pytest.approx(0.010)
    assert thermal.rotation_allowance(values, "disc").value == pytest.approx(0.005)
