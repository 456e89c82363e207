"""EN 1998-1, 3.2.2.5 and EN 1998-2: design spectrum and equivalent static earthquake."""

import pytest

from bedstone.errors import BedstoneError, InputError
from bedstone.standards.eurocode import seismic as en
from bedstone.standards.values import Values

SHAKEN = {"seismic.ground_acceleration": 2.0, "seismic.soil": "C"}


@pytest.mark.parametrize(
    ("period", "acceleration"),
    # By hand with the recalled figures of ground C (S 1.15, T 0.2, 0.6, 2.0), a_g = 2, q = 1.5.
    [
        (0.01, 2.0 * 1.15),
        (0.1, 2.0 * 1.15 * (2 / 3 + 0.5 * (2.5 / 1.5 - 2 / 3))),
        (0.4, 2.0 * 1.15 * 2.5 / 1.5),
        (1.2, 2.0 * 1.15 * 2.5 / 1.5 * 0.5),
        (4.0, 0.2 * 2.0),  # the least value
    ],
)
def test_design_spectrum(values: Values, period: float, acceleration: float) -> None:
    assert en.design_spectrum(values, period, "C", 2.0, 1.5).value == pytest.approx(acceleration)


@pytest.mark.parametrize("soil", ["A", "B", "C", "D", "E"])
def test_the_branches_meet(values: Values, soil: en.Soil) -> None:
    # The branches of (3.13) to (3.16) are one curve: holds only if every corner is right.
    for corner in values.row(f"seismic.soil.{soil}")[1:]:
        below, above = (
            en.design_spectrum(values, corner * side, soil, 1.0, 1.0).value
            for side in (1 - 1e-9, 1 + 1e-9)
        )
        assert below == pytest.approx(above, rel=1e-6)


def test_equivalent_static_case(values, road) -> None:
    found = en.seismic_case(values, road(choices=SHAKEN), 0.4, 1.2)
    assert found is not None
    assert found.coefficient_along == pytest.approx(2.0 * 1.15 * 2.5 / 9.81)
    assert found.coefficient_across == pytest.approx(found.coefficient_along / 2)
    assert found.coefficient_vertical == pytest.approx(0.9 * 2.0 * 2.5 / 9.81)
    assert found.combination == (1.0, 0.3, 0.3)
    assert found.mass_traffic_along == 0.0


def test_choices_count(values, rail) -> None:
    choices = {
        **SHAKEN,
        "seismic.importance": 1.3,
        "seismic.behaviour_along": 2.0,
        "seismic.traffic": "severe",
    }
    found = en.seismic_case(values, rail(choices=choices), 0.4, 0.4)
    assert found is not None
    assert found.coefficient_across == pytest.approx(1.3 * 2.0 * 1.15 * 2.5 / 9.81)
    assert found.coefficient_along == pytest.approx(found.coefficient_across / 2)
    assert found.mass_traffic_across == 0.3  # railways with severe traffic, from memory


def test_no_earthquake_asked_for(values, road) -> None:
    assert en.seismic_case(values, road(), 0.4, 0.4) is None


def test_faults(values, road) -> None:
    with pytest.raises(InputError) as caught:
        en.seismic_case(values, road(choices={"seismic.importance": 1.0}), 0.4, 0.4)
    assert len(caught.value.faults) == 2
    for bad in (
        {"seismic.soil": "F"},
        {"seismic.ground_acceleration": -1.0},
        {"seismic.behaviour_along": 0.5},
        {"seismic.traffic": "heavy"},
    ):
        with pytest.raises(
            InputError, match=next(iter(bad)).replace("seismic.", r"actions\.seismic\.eurocode\.")
        ):
            en.seismic_case(values, road(choices={**SHAKEN, **bad}), 0.4, 0.4)
    with pytest.raises(BedstoneError, match="period"):
        en.seismic_case(values, road(choices=SHAKEN), -0.1, 0.4)


@pytest.mark.parametrize(
    ("soil", "row"),
    # EN 1998-1, Table 3.2 (S, T_B, T_C, T_D), written down a second time from memory.
    [
        ("A", (1.0, 0.15, 0.4, 2.0)),
        ("B", (1.2, 0.15, 0.5, 2.0)),
        ("C", (1.15, 0.20, 0.6, 2.0)),
        ("D", (1.35, 0.20, 0.8, 2.0)),
        ("E", (1.4, 0.15, 0.5, 2.0)),
    ],
)
def test_ground_types(values: Values, soil: str, row: tuple[float, ...]) -> None:
    assert values.row(f"seismic.soil.{soil}") == row


def test_the_rigid_bridge_follows_the_ground_below_0_03_s(values: Values) -> None:
    # EN 1998-2, 4.1.6(9), from memory: q does not count there.
    assert en.design_spectrum(values, 0.0299, "A", 1.0, 3.0).value == 1.0
    assert en.design_spectrum(values, 0.0301, "A", 1.0, 3.0).value < 0.71
