"""EN 1991-1-5, section 6, and EN 1993-2 annex A: temperatures."""

import pytest

from bedstone.errors import BedstoneError, InputError
from bedstone.standards.eurocode import thermal as en
from bedstone.standards.values import Values


def test_the_other_reading_of_figure_6_1(values: Values) -> None:
    # +16/+4.5/+1.5 and -3/+4.5/+8, from memory; the published readings differ by 0.5 K.
    decks = ("steel", "composite", "concrete")
    highest = [en.effective_maximum(values, deck, 34.0, "figure").value for deck in decks]
    lowest = [en.effective_minimum(values, deck, -18.0, "figure").value for deck in decks]
    assert highest == [50.0, 38.5, 35.5]
    assert lowest == [-21.0, -13.5, -10.0]


def test_truss_reduction_is_for_steel_alone(values: Values) -> None:
    # 3 K, from memory of the note to Figure 6.1.
    assert en.effective_maximum(values, "steel", 34.0, truss_reduction=True).value == 47.0
    assert en.effective_maximum(values, "composite", 34.0, truss_reduction=True).value == 38.0


@pytest.mark.parametrize(("extreme", "base"), [("maximum", 38.0), ("minimum", -22.0)])
def test_fifty_years_leave_the_air_as_it_is(values: Values, extreme, base: float) -> None:
    # p = 0.02 gives a factor of 1.0 (open library XC, thermal module), to the rounding of k.
    assert en.air_temperature(values, base, 0.02, extreme).value == pytest.approx(base, rel=2e-3)
    rarer = en.air_temperature(values, base, 0.005, extreme).value
    assert abs(rarer) > abs(base)


@pytest.mark.parametrize("probability", [0.0, 1.0, -0.1, float("nan")])
def test_probability_out_of_range_is_refused(values: Values, probability: float) -> None:
    with pytest.raises(BedstoneError, match="probability"):
        en.air_temperature(values, 30.0, probability, "maximum")


@pytest.mark.parametrize(
    ("surface", "thickness", "heat", "cool"),
    # Table 6.2, type 1 (steel): open library XC, thermal module. 75 mm: linear, common practice.
    [
        ("bare", 0.0, 0.7, 0.9),
        ("thickness", 0.0, 0.7, 0.9),
        ("waterproofed", 0.0, 1.6, 0.6),
        ("thickness", 0.05, 1.0, 1.0),
        ("thickness", 0.1, 0.7, 1.2),
        ("thickness", 0.075, 0.85, 1.1),
        ("thickness", 0.025, 1.3, 0.8),
        ("thickness", 0.3, 0.7, 1.2),
        ("ballast", 0.05, 0.6, 1.4),
    ],
)
def test_surface_factors(values: Values, surface, thickness, heat, cool) -> None:
    assert en.surface_factors(values, "steel", surface, thickness) == pytest.approx((heat, cool))


def test_differences_are_multiplied_by_k_sur(values: Values) -> None:
    heat, cool = en.difference(values, "steel", "beam", "thickness", 0.1)
    assert (heat.value, cool.value) == pytest.approx((18 * 0.7, 13 * 1.2))


def test_allowances_of_bearings(values, road) -> None:
    # S = 20 K, or 10 K with a specified setting temperature; T_0 = 10 degC without one: memory.
    unknown = en.thermal_range(values, road())
    assert (unknown.expansion, unknown.contraction) == pytest.approx((28.0, 24.0))
    assert unknown.expansion_movement == pytest.approx(48.0)
    assert unknown.contraction_movement == pytest.approx(44.0)
    known = en.thermal_range(values, road(setting_temperature=20.0))
    assert (known.expansion, known.contraction) == pytest.approx((18.0, 34.0))
    assert known.expansion_movement == pytest.approx(28.0)
    own = en.thermal_range(values, road(choices={"thermal.allowance": 5.0}))
    assert own.contraction_movement == pytest.approx(29.0)


def test_simultaneous_components(values, road) -> None:
    # 6.1.5 from memory: Delta T_M + 0.35 Delta T_N, or 0.75 Delta T_M + Delta T_N.
    assert en.thermal_range(values, road()).mixtures == ((0.35, 1.0), (1.0, 0.75))


def test_railways_have_ballast_by_default(values, rail) -> None:
    found = en.thermal_range(values, rail())
    assert (found.heat, found.cool) == pytest.approx((18 * 0.6, 13 * 1.4))


def test_effective_temperatures_given(values, road) -> None:
    choices = {"thermal.effective_min": -25.0, "thermal.effective_max": 45.0}
    found = en.thermal_range(values, road(air_min=None, air_max=None, choices=choices))
    assert (found.expansion, found.contraction) == (35.0, 35.0)


def test_return_period_reaches_the_range(values, road) -> None:
    longer = en.thermal_range(values, road(choices={"thermal.return_period": 120.0}))
    assert longer.expansion > en.thermal_range(values, road()).expansion
    assert longer.contraction > en.thermal_range(values, road()).contraction


def test_annex_a_of_en_1993_2(values, road) -> None:
    # By hand from the recalled clause: T_0 = 10, Delta T_N = 28 and 24 K, Delta T_0 = 10 K
    # (composite, estimated): 10 - (1.35 x 24 + 10) and 10 + (1.35 x 28 + 10).
    low, high = en.annex_a_design(values, "composite", 10.0, 28.0, 24.0, "estimated")
    assert (low.value, high.value) == pytest.approx((-32.4, 57.8))
    assert low.standard == "EN 1993-2"
    facts = road(choices={"thermal.movements": "en1993-2"})
    found = en.thermal_range(values, facts)
    assert (found.expansion_movement, found.contraction_movement) == pytest.approx((38.0, 34.0))
    measured = road(choices={"thermal.movements": "en1993-2", "thermal.installation": "measured"})
    assert en.thermal_range(values, measured).expansion_movement == pytest.approx(28.0)


def test_missing_temperatures_are_told_together(values, road) -> None:
    with pytest.raises(InputError) as caught:
        en.thermal_range(values, road(air_min=None, air_max=None))
    assert [fault.where for fault in caught.value.faults] == [
        "actions.temperature.air_min",
        "actions.temperature.air_max",
    ]


def test_setting_outside_the_range_is_refused(values, road) -> None:
    with pytest.raises(InputError, match=r"actions\.temperature\.setting"):
        en.thermal_range(values, road(setting_temperature=60.0))


@pytest.mark.parametrize(
    "choice",
    [
        {"thermal.offsets": "best"},
        {"thermal.surface": "grass"},
        {"thermal.section": 3},
        {"thermal.return_period": 1.0},
        {"thermal.return_period": float("nan")},
        {"thermal.truss_reduction": "yes"},
        {"thermal.allowance": True},
        {"thermal.movements": "din"},
    ],
)
def test_choices_not_allowed_are_refused(values, road, choice) -> None:
    (name,) = choice
    with pytest.raises(InputError, match=name):
        en.thermal_range(values, road(choices=choice))
