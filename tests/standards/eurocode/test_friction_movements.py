"""EN 1337-1, 5.4, 5.5 and 6.2; EN 1337-2: friction as an action, increased and least movements."""

import pytest

from bedstone.errors import BedstoneError, InputError
from bedstone.standards.eurocode import FAMILY, friction, movements
from bedstone.standards.values import Values


@pytest.mark.parametrize(
    ("bearings", "alpha"),
    # EN 1337-1, 6.2 from memory: 1 up to 4, (16 - n)/12, 0.5 from 10.
    [(1, 1.0), (4, 1.0), (5, 11 / 12), (7, 0.75), (9, 7 / 12), (10, 0.5), (40, 0.5)],
)
def test_number_of_bearings(values: Values, bearings: int, alpha: float) -> None:
    assert friction.number_factor(values, bearings).value == pytest.approx(alpha)
    adverse, relieving = FAMILY.friction(values, "roller nest", bearings)
    assert adverse == pytest.approx(0.5 * 0.05 * (1 + alpha))
    assert relieving == pytest.approx(0.5 * 0.05 * (1 - alpha))
    assert adverse + relieving == pytest.approx(0.05)


def test_no_bearings_are_refused(values: Values) -> None:
    with pytest.raises(BedstoneError):
        FAMILY.friction(values, "pot", 0)


@pytest.mark.parametrize(
    ("pressure", "mu"),
    # EN 1337-2, Table 11 from memory; consistent with mu = 1.2 k/(10 + sigma_p).
    [(5e6, 0.08), (10e6, 0.06), (20e6, 0.04), (30e6, 0.03), (60e6, 0.03), (0.0, 0.08)],
)
def test_ptfe(values: Values, pressure: float, mu: float) -> None:
    assert friction.ptfe_friction(values, pressure).value == pytest.approx(mu)
    assert friction.ptfe_friction(values, pressure, "aluminium").value == pytest.approx(1.5 * mu)


def test_kinds(values: Values) -> None:
    assert FAMILY.friction(values, "laminated elastomeric", 2) == (0.0, 0.0)
    assert FAMILY.friction(values, "hardened roller", 2) == pytest.approx((0.02, 0.0))
    assert FAMILY.friction(values, "plane sliding", 1) == pytest.approx((0.05, 0.0))
    assert FAMILY.friction(values, "rocker on nest", 1) == pytest.approx((0.05, 0.0))
    with pytest.raises(BedstoneError, match="known"):
        FAMILY.friction(values, "magnetic", 1)


def test_ptfe_by_its_pressure_and_its_mating_surface(values: Values) -> None:
    # EN 1337-2, Table 11 from memory: 0.04 at 20 MPa; k 1.5 for aluminium: adoption of annex B.
    pressed = FAMILY.with_choices({"friction.contact_pressure": 20e6})
    assert pressed.friction(values, "pot", 1) == pytest.approx((0.04, 0.0))
    aluminium = FAMILY.with_choices({"friction.mating": "aluminium"})
    assert aluminium.friction(values, "pot", 1) == pytest.approx((0.075, 0.0))
    with pytest.raises(InputError, match=r"choices\.eurocode\.friction\.contact_pressure"):
        FAMILY.with_choices({"friction.contact_pressure": 0.0})


def test_the_engineers_own_friction_counts(values: Values) -> None:
    from dataclasses import replace

    own = replace(values.entry("friction.ptfe"), value=0.03, basis="confirmed")
    chosen = Values("eurocode", {own.name: own})
    assert FAMILY.friction(chosen, "spherical", 1) == pytest.approx((0.03, 0.0))


def test_movements(values: Values) -> None:
    # EN 1337-1, 5.4 and 5.5, recalled with doubt: the lines must say so.
    lines = {
        movements.increased_rotation(values, -0.01): 0.015,
        movements.increased_rotation(values, 0.01, 0.5): 0.03,  # 10/500 mm
        movements.increased_rotation(values, 0.01, 5.0): 0.015,
        movements.increased_translation(values, -0.060, "main"): 0.080,
        movements.increased_translation(values, 0.010, "main"): 0.050,
        movements.increased_translation(values, 0.001, "transverse"): 0.025,
        movements.least_rotation(values, 0.001): 0.003,
        movements.least_rotation(values, -0.007): 0.007,
        movements.least_translation(values, 0.004, elastomeric=True): 0.010,
        movements.least_translation(values, 0.004, elastomeric=False): 0.020,
        movements.least_eccentricity(values, 0.4): 0.04,
    }
    for line, expected in lines.items():
        assert line.value == pytest.approx(expected), line.title
        assert "doubt" in line.note
        assert line.basis == "memory"
    with pytest.raises(BedstoneError):
        movements.increased_rotation(values, 0.0, 0.0)
