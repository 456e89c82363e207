"""Longitudinal force on a pier between a fixed and a free bearing, in tonnes.

Source: "Calculation of Longitudinal Forces (Clause 211.5 of IRC:6-2010)", published calculation
sheet: fixed bearing relieved by the low coefficient, free bearing of the next span with the high
one. Its row B-b pairs the reactions otherwise and is left out.
"""

import pytest

from bedstone.standards.irc import sharing
from bedstone.standards.irc.horizontal import braking
from bedstone.standards.values import Values

SOURCE = "Calculation of Longitudinal Forces (clause 211.5 of IRC:6-2010), calculation sheet"
KNOWN = "read there"
VALUES = Values("irc")
TONNE = 1e4
DEAD = (126.44 + 20.66 + 29.72) * TONNE


def test_braking_of_the_sheet(published):
    # 20 % of a 100 t vehicle and 5 % of a 55.4 t train beyond two lanes.
    found = braking(VALUES, 100 * TONNE, 0.0, 55.4 * TONNE).value / TONNE
    published("braking force", 22.77, found, "t")


@pytest.mark.parametrize(
    ("live_relieving", "live_adding", "force"), [(28.0, 69.333, 28.94), (10.0, 49.0, 28.44)]
)
def test_pier_between_fixed_and_free(published, live_relieving, live_adding, force):
    fixed = sharing.fixed_less_friction(VALUES, 22.77 * TONNE, DEAD, live_relieving * TONNE)
    free = sharing.free_bearing(VALUES, DEAD, live_adding * TONNE)
    # The sheet rounds on its way: agreement to 0.1 %.
    found = (fixed.value + free.value) / TONNE
    what = f"pier between fixed and free, live load {live_relieving:g} and {live_adding:g} t"
    published(what, force, found, "t", rel=1e-3)


def test_no_live_load(published):
    fixed = sharing.fixed_less_friction(VALUES, 0.0, DEAD, 0.0)
    free = sharing.free_bearing(VALUES, DEAD, 0.0)
    found = (fixed.value + free.value) / TONNE
    published("pier between fixed and free, no live load", 3.54, found, "t", abs=0.005)


def test_second_rule_of_the_clause(published):
    # Same sheet, row A-a: half the force and 0.05 on the fixed end alone (our arithmetic 21.63).
    rule = sharing.fixed_half_and_friction(VALUES, 22.77 * TONNE, DEAD, 28.0 * TONNE)
    what = "half the force and friction, fixed end alone"
    published(what, 21.63, rule.value / TONNE, "t", known="derived", abs=0.005)
