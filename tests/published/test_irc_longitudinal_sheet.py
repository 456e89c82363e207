"""Longitudinal force on a pier between a fixed and a free bearing, in tonnes.

Source: "Calculation of Longitudinal Forces (Clause 211.5 of IRC:6-2010)", published calculation
sheet: fixed bearing relieved by the low coefficient, free bearing of the next span with the high
one. Its row B-b pairs the reactions otherwise and is left out.
"""

import pytest

from bedstone.standards.irc import sharing
from bedstone.standards.irc.horizontal import braking
from bedstone.standards.values import Values

VALUES = Values("irc")
TONNE = 1e4
DEAD = (126.44 + 20.66 + 29.72) * TONNE


def test_braking_of_the_sheet():
    # 20 % of a 100 t vehicle and 5 % of a 55.4 t train beyond two lanes.
    assert braking(VALUES, 100 * TONNE, 0.0, 55.4 * TONNE).value / TONNE == pytest.approx(22.77)


@pytest.mark.parametrize(
    ("live_relieving", "live_adding", "published"), [(28.0, 69.333, 28.94), (10.0, 49.0, 28.44)]
)
def test_pier_between_fixed_and_free(live_relieving, live_adding, published):
    fixed = sharing.fixed_less_friction(VALUES, 22.77 * TONNE, DEAD, live_relieving * TONNE)
    free = sharing.free_bearing(VALUES, DEAD, live_adding * TONNE)
    # The sheet rounds on its way: agreement to 0.1 %.
    assert (fixed.value + free.value) / TONNE == pytest.approx(published, rel=1e-3)


def test_no_live_load():
    fixed = sharing.fixed_less_friction(VALUES, 0.0, DEAD, 0.0)
    free = sharing.free_bearing(VALUES, DEAD, 0.0)
    assert (fixed.value + free.value) / TONNE == pytest.approx(3.54, abs=0.005)


def test_second_rule_of_the_clause():
    # Same sheet, row A-a: half the force and 0.05 on the fixed end alone (our arithmetic 21.63).
    rule = sharing.fixed_half_and_friction(VALUES, 22.77 * TONNE, DEAD, 28.0 * TONNE)
    assert rule.value / TONNE == pytest.approx(21.63, abs=0.005)
