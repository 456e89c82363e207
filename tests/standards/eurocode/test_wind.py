"""EN 1991-1-4, section 8.3: simplified wind."""

import pytest

from bedstone.errors import BedstoneError, InputError
from bedstone.standards.eurocode import wind as en
from bedstone.standards.values import Values


@pytest.mark.parametrize(
    ("ratio", "height", "factor"),
    # Table 8.2 from memory; between its rows by hand.
    [(0.3, 10, 6.7), (0.5, 50, 8.3), (4, 20, 3.6), (9, 50, 4.5), (2.25, 20, 5.15), (4, 35, 4.05)],
)
def test_force_factor(values: Values, ratio: float, height: float, factor: float) -> None:
    assert en.force_factor(values, ratio * 2.0, 2.0, height).value == pytest.approx(factor)


@pytest.mark.parametrize(("height", "column"), [(20.0, 1), (50.0, 2)])
def test_force_factor_is_exposure_times_shape(values: Values, height: float, column: int) -> None:
    # Cross-check of recalled figures: C = c_e c_f,x with c_f,x = 2.4 and 1.3 (8.3.1, memory).
    for row, shape in zip(values.table("wind.force_factor"), (2.4, 1.3), strict=True):
        exposure = en.exposure_factor(values, height).value
        assert row[column] == pytest.approx(exposure * shape, rel=0.02)


def test_above_the_table_is_refused(values: Values) -> None:
    with pytest.raises(BedstoneError, match="50 m"):
        en.force_factor(values, 10.0, 2.0, 51.0)


def test_wind_on_a_deck(values, road) -> None:
    # By hand: b/d = 13/2.6 = 5 -> C 3.6; 0.5 x 1.25 x 30^2 x 3.6 = 2025 N/m2.
    found = en.wind_pressure(values, road(choices={"wind.speed": 30.0}), "recommended")
    assert found.across == pytest.approx(2025 * 2.6)
    # F*_W at 23 m/s = 1190.25 N/m2 on 4.6 m; psi_0 = 0.6: 0.6 F_Wk = 5589 N/m > F*_W = 5475 N/m.
    assert 0.6 * found.across_traffic == pytest.approx(0.5 * 1.25 * 23**2 * 3.6 * 4.6)
    assert found.along_share == 0.25
    assert found.vertical_eccentricity == pytest.approx(13 / 4)
    assert found.height == pytest.approx(-1.3)
    assert found.height_traffic == pytest.approx((-1.3 * 2.6 + 1.0 * 2.0) / 4.6)
    assert found.vertical == pytest.approx(
        0.5 * 1.25 * 900 * en.exposure_factor(values, 20.0).value * 0.9 * 13
    )


def test_slow_wind_is_not_limited(values, road) -> None:
    found = en.wind_pressure(values, road(choices={"wind.speed": 24.0}), "recommended")
    assert found.across_traffic == pytest.approx(0.5 * 1.25 * 24**2 * 3.6 * 4.6)


def test_wind_on_a_rail_truss(values, rail) -> None:
    facts = rail(superstructure="truss", choices={"wind.speed": 20.0, "wind.force_factor": 5.0})
    found = en.wind_pressure(values, facts, "recommended")
    assert found.across_traffic == pytest.approx(0.5 * 1.25 * 400 * 5.0 * 6.0)  # + 4 m of train
    assert found.along_share == 0.5
    assert found.height == pytest.approx(1.0)


def test_wind_meets_a_deck_truss_below_its_road(values, rail) -> None:
    # 2 m of truss hang below the rails (geometry): its middle 1 m below them, not above.
    choices = {"wind.speed": 20.0, "wind.force_factor": 5.0}
    facts = rail(superstructure="truss", deck_on_top=True, choices=choices)
    assert en.wind_pressure(values, facts, "recommended").height == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("outline", "on_top", "area", "level"),
    [
        # EN 1991-1-4, 8.3.1(4) b and (5), from memory: no more than a plain beam of the same
        # overall depth. By hand: 3 m of members and floor and 4 m of train are 7 m, but the truss
        # from -1.4 to 4.5 m, its train within, offers 5.9 m, with their middle 1.55 m up.
        ((-1.4, 4.5), False, 5.9, 1.55),
        # A low truss: up to the top of the train, 4 m.
        ((-1.4, 2.0), False, 5.4, 1.3),
        # The truss hangs below its train: nothing stands behind anything.
        ((-6.9, -1.0), True, 7.0, (-1.5 * 3.0 + 2.0 * 4.0) / 7.0),
        # What is not known to be a truss is added up.
        (None, False, 7.0, (1.5 * 3.0 + 2.0 * 4.0) / 7.0),
    ],
)
def test_a_train_in_a_truss_stands_behind_it(values, rail, outline, on_top, area, level) -> None:
    choices = {"wind.speed": 20.0, "wind.force_factor": 5.0}
    facts = rail(
        superstructure="truss", deck_depth=3.0, outline=outline, deck_on_top=on_top, choices=choices
    )
    found = en.wind_pressure(values, facts, "recommended")
    assert found.across == pytest.approx(0.5 * 1.25 * 400 * 5.0 * 3.0)
    assert found.across_traffic == pytest.approx(0.5 * 1.25 * 400 * 5.0 * area)
    assert found.height_traffic == pytest.approx(level)


def test_pressure_given(values, road) -> None:
    choices = {"wind.pressure": 1500.0, "wind.pressure_traffic": 800.0, "wind.level": -1.0}
    found = en.wind_pressure(values, road(choices=choices), "recommended")
    assert (found.across, found.across_traffic) == pytest.approx((3900.0, 3680.0))
    assert found.vertical == pytest.approx(1500 * 13)
    assert found.height == -1.0


@pytest.mark.parametrize(
    "choices",
    [
        {},
        {"wind.speed": 0.0},
        {"wind.speed": "30"},
        {"wind.speed": 30, "wind.reference_height": 60},
    ],
)
def test_faults_are_refused(values, road, choices) -> None:
    with pytest.raises(InputError, match="wind"):
        en.wind_pressure(values, road(choices=choices), "recommended")


def test_a_deck_without_depth_is_refused(values, road) -> None:
    with pytest.raises(InputError, match=r"actions\.wind\.depth"):
        en.wind_pressure(values, road(deck_depth=0.0, choices={"wind.speed": 30}), "uk")
