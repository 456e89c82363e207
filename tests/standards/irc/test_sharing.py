"""Sharing of longitudinal forces (IRC:6 clauses 211.5, 211.6); formulas from memory unless told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.standards.irc import sharing
from bedstone.standards.values import Values

FORCE = st.floats(0.0, 1e7)


def test_fixed_bearing_takes_the_greater_rule(values):
    # F_h 500, R 1000 + 400 kN: 500 - 0.03 x 1400 = 458; 250 + 0.05 x 1400 = 320.
    assert sharing.fixed_bearing(values, 500e3, 1000e3, 400e3).value == pytest.approx(458e3)
    # F_h 100: 100 - 42 = 58; 50 + 70 = 120.
    assert sharing.fixed_bearing(values, 100e3, 1000e3, 400e3).value == pytest.approx(120e3)
    assert sharing.free_bearing(values, 1000e3, 400e3).value == pytest.approx(70e3)


def test_short_span_without_bearings(values):
    assert sharing.no_bearings(values, 100e3, 150e3, 0.4, 8.0).value == pytest.approx(60e3)
    assert sharing.no_bearings(values, 150e3, 150e3, 0.4, 8.0).value == pytest.approx(75e3)
    with pytest.raises(InputError, match="at most 10 m"):
        sharing.no_bearings(values, 100e3, 150e3, 0.4, 12.0)


def test_identical_elastomeric_bearings(values):
    # 200/2 + 5000 kN/m x 8 mm = 140 kN.
    found = sharing.identical_elastomeric(values, 200e3, 5e6, 0.008)
    assert found.value == pytest.approx(140e3)


def test_continuous_superstructure_regression_of_the_formula(values):
    # Own figures, not published: 4 x 30 m, 200 kN/m, fixed in the middle, dead load only;
    # R_A 2357 + 150, R_B 6857 kN; 0.05 on the right, 0.03 on the left, three 70R trains braking
    # with 200 + 2 x 100 kN: 400/3 + (468.2 - 280.9) = 320.6 kN.
    free = (2357e3 + 150e3) + 6857e3
    found = sharing.continuous_fixed(values, 400e3, 0.03 * free, 0.05 * free, 2, 2)
    assert found.value / 1e3 == pytest.approx(320.6, abs=0.05)


def test_continuous_superstructure_cases(values):
    # Force above twice the friction of a side: both cases 1000 - 300.
    assert sharing.continuous_fixed(values, 1000e3, 100e3, 200e3, 1, 2).value == pytest.approx(
        700e3
    )
    # Case I (b): 300/3 + 100 = 200; case II (a): 300 - 300 = 0 (300 > 2 x 100).
    assert sharing.continuous_fixed(values, 300e3, 100e3, 200e3, 1, 2).value == pytest.approx(200e3)
    # Case II (b): 150/2 - 100 = -25; case I (b): 150/3 + 100 = 150.
    line = sharing.continuous_fixed(values, 150e3, 100e3, 200e3, 1, 2)
    inputs = {quantity.symbol: quantity.value for quantity in line.inputs}
    assert inputs["case II"] == pytest.approx(-25e3)
    assert line.value == pytest.approx(150e3)


@given(FORCE, FORCE, FORCE, st.integers(1, 5), st.integers(1, 5))
def test_mirrored_superstructure_has_the_same_fixed_bearing(force, left, right, n_left, n_right):
    values = Values("irc")
    if left == right:
        n_right = n_left  # which side is called right is then no matter of friction
    one = sharing.continuous_fixed(values, force, left, right, n_left, n_right)
    other = sharing.continuous_fixed(values, force, right, left, n_right, n_left)
    assert one.value == other.value


def test_flexible_supports_share_by_stiffness(values):
    # Rigid deck on 4000, 12000, 9000, 4000 kN/m, 500 kN (hand calculation).
    lines = sharing.flexible_supports(values, 500e3, (4e6, 12e6, 9e6, 4e6))
    shares = [line.value / 1e3 for line in lines]
    assert shares == pytest.approx([68.97, 206.90, 155.17, 68.97], abs=0.005)
    assert lines[0].clause == "211.6"


@pytest.mark.parametrize("stiffness", [(), (0.0, 0.0), (1e6, -1.0)])
def test_no_stiff_support_is_refused(values, stiffness):
    with pytest.raises(InputError, match="none negative, one above zero"):
        sharing.flexible_supports(values, 1.0, stiffness)


def test_lines_name_their_clause_and_are_marked(values):
    line = sharing.continuous_fixed(values, 1.0, 1.0, 2.0, 1, 1)
    assert line.clause == "211.5.1, Table 14"
    assert "confirm" in line.note
    assert sharing.fixed_less_friction(values, 1.0, 1.0, 1.0).basis == "secondary"
