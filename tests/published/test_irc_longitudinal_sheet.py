"""Longitudinal force on a pier between a fixed and a free bearing, in tonnes.

Source: "Calculation of Longitudinal Forces (Clause 211.5 of IRC:6-2010)", published calculation
sheet: fixed bearing relieved by the low coefficient, free bearing of the next span with the high
one. Its row B-b pairs the reactions otherwise and is left out.
"""

import math
from dataclasses import replace

import pytest

from bedstone.comparison.code_rule import by_unit, on_supports, rule_of
from bedstone.comparison.lines import BearingLine
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


def line(unit, support, chainage, holds, live):
    """A line of bearings of the sheet: dead load and coefficients are the same on all."""
    return BearingLine(
        unit=unit, support=support, chainage=chainage, holds=holds, seats=(0,),
        holding=(0,) if holds == "fixed" else (), parts=(1.0,),
        stiffness=math.inf if holds == "fixed" else 0.0, below=math.inf,
        permanent=DEAD, live=live, friction=(0.05 * DEAD, 0.03 * DEAD),
    )  # fmt: skip


def test_pier_between_two_spans_takes_the_larger_rule(published):
    """Row A-a: rule (ii) is the larger one, which the sheet does not take for the pier.

    21.63 + 0.05 (176.82 + 69.333) = 33.93 t (our arithmetic); the sheet's own row is 28.94.
    """
    lines = (
        line(0, "left", 0.0, "moving", (28.0 * TONNE, 28.0 * TONNE)),
        line(0, "pier", 30.0, "fixed", (0.0, 0.0)),
        line(1, "pier", 30.0, "moving", (69.333 * TONNE, 69.333 * TONNE)),
        line(1, "right", 60.0, "fixed", (0.0, 0.0)),
    )
    ruled = [
        item
        for question in by_unit(lines, 22.77 * TONNE, (0.0,) * 4)
        for item in rule_of("irc")(VALUES, question, "fixed line")
    ]
    pier = on_supports(ruled)["pier"] / TONNE
    published("pier between fixed and free, the larger rule", 33.93, pier, "t", known="derived",
              abs=0.01)  # fmt: skip
    # the far support brakes with its own span only
    assert on_supports(ruled)["left"] == pytest.approx(0.05 * (DEAD + 28.0 * TONNE))


def test_continuous_bridge_fixed_in_the_middle(published):
    """Our own completion of a published example (4 x 30 m, IRC:6 Table 14), whose result we lack.

    Dead load 9364.3 kN on either side of the fixed line, mu 0.05 and 0.03, three 70R trains:
    F_h = 400 kN: 400 / (1 + 2) + (468.2 - 280.9) = 320.6 kN.
    """
    ends, inner = 2357e3 + 150e3, 6857e3

    def own(support, chainage, holds, dead):
        return replace(
            line(0, support, chainage, holds, (0.0, 0.0)),
            permanent=dead, friction=(0.05 * dead, 0.03 * dead) if holds == "moving" else (0, 0),
        )  # fmt: skip

    lines = (
        own("A", 0.0, "moving", ends), own("B", 30.0, "moving", inner),
        own("C", 60.0, "fixed", 5571e3),
        own("D", 90.0, "moving", inner), own("E", 120.0, "moving", ends),
    )  # fmt: skip
    (question,) = by_unit(lines, 400e3, (0.0,) * 5)
    ruled = rule_of("irc")(VALUES, question, "fixed line")
    found = on_supports(ruled)["C"] / 1e3
    what = "continuous, fixed in the middle, three trains"
    published(what, 320.6, found, "kN", known="derived", abs=0.1)
