"""Friction of bearings (AASHTO LRFD section 14); figures from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import FAMILY, friction
from bedstone.standards.aashto.horizontal import sliding_force


def test_ptfe_table_at_and_between_its_figures(values):
    # Table 14.7.2.5-1, from memory: dimpled lubricated, 20 degC: 0.03 at 6.9, 0.025 at 13.8 MPa.
    assert friction.ptfe(values, "dimpled", 6.9e6, 20.0).value == pytest.approx(0.03)
    assert friction.ptfe(values, "dimpled", 10.35e6, 20.0).value == pytest.approx(0.0275)
    assert friction.ptfe(values, "dimpled", 6.9e6, -45.0).value == pytest.approx(0.075)
    # Beyond its ends the table stops.
    assert friction.ptfe(values, "woven", 50e6, 40.0).value == pytest.approx(0.045)
    assert friction.ptfe(values, "filled", 1e6, -60.0).value == pytest.approx(0.65)


@pytest.mark.parametrize("surface", ["dimpled", "plain", "filled", "woven"])
def test_ptfe_never_slides_worse_when_warmer_or_more_pressed(values, surface):
    by_pressure = [friction.ptfe(values, surface, p * 1e6, -10.0).value for p in range(2, 26)]
    assert by_pressure == sorted(by_pressure, reverse=True)
    by_heat = [friction.ptfe(values, surface, 12e6, float(t)).value for t in range(-50, 30, 4)]
    assert by_heat == sorted(by_heat, reverse=True)


def test_relieving_friction_is_a_tenth(values):
    adverse, relieving = FAMILY.friction(values, "pot", 3)
    assert adverse == pytest.approx(0.13)
    assert relieving == pytest.approx(0.013)


def test_rollers_are_not_counted_on(values):
    assert FAMILY.friction(values, "roller nest", 1) == (0.02, 0.0)
    assert "doubt" in values.entry("friction.roller").note


def test_sliding_materials_are_a_choice(values):
    # Table 14.7.2.5-1 at 13.8 MPa and -25 degC, and 14.7.7.2, from memory.
    def adverse(pair):
        return FAMILY.with_choices({"friction.sliding_pair": pair}).friction(values, "pot", 1)

    assert adverse("PTFE dimpled lubricated") == pytest.approx((0.04, 0.004))
    assert adverse("PTFE filled") == pytest.approx((0.25, 0.025))
    assert adverse("self-lubricating bronze") == (0.1, 0.0)
    assert adverse("bronze") == (0.4, 0.0)
    with pytest.raises(InputError, match=r"choices\.aashto\.friction\.sliding_pair"):
        adverse("butter")


def test_a_bearing_that_neither_slides_nor_rolls_has_no_friction(values):
    assert FAMILY.friction(values, "laminated elastomeric", 1) == (0.0, 0.0)
    assert FAMILY.friction(values, "line rocker", 1) == (0.0, 0.0)


def test_sliding_force(values):
    mu = friction.ptfe(values, "plain", 20.7e6, 20.0)
    line = sliding_force(mu, 2.0e6)
    assert line.value == pytest.approx(60e3)
    assert line.clause == "14.6.3.1"
    assert line.basis == "memory"
