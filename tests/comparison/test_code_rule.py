"""Which rule speaks of which arrangement; figures by hand, formulas in the rules' own tests."""

import math
from dataclasses import replace

import pytest

from bedstone.comparison.code_rule import CURVED, by_unit, on_supports, rule_of
from bedstone.comparison.lines import BearingLine
from bedstone.standards.values import Values

INF = math.inf


def line(support, chainage, holds="moving", *, unit=0, stiffness=None, below=INF, rubs=(0.0, 0.0),
         permanent=1e6, live=(0.0, 0.0)):  # fmt: skip
    held = {"fixed": INF, "partly": INF, "elastic": 5e6, "moving": 0.0}[holds]
    return BearingLine(
        unit=unit, support=support, chainage=chainage, holds=holds, seats=(0, 1),
        holding=() if holds == "moving" else (0, 1), parts=(0.5, 0.5),
        stiffness=held if stiffness is None else stiffness, below=below,
        permanent=permanent, live=live, friction=rubs,
    )  # fmt: skip


def ask(family, lines, force=100e3, way="fixed line", straight=True, warm=0.0):
    return [
        item
        for question in by_unit(lines, force, [warm] * len(lines), straight)
        for item in rule_of(family)(Values(family), question, way)
    ]


FIXED_IN_THE_MIDDLE = (
    line("A1", 0.0, rubs=(50e3, 10e3)), line("P1", 30.0, "fixed"),
    line("A2", 60.0, rubs=(70e3, 20e3)),
)  # fmt: skip


@pytest.mark.parametrize("family", ["eurocode", "aashto"])
def test_fixed_line_takes_braking_and_unbalanced_friction(family):
    # 100 + max(70 - 10, 50 - 20) = 160; the moving lines their own friction.
    found = on_supports(ask(family, FIXED_IN_THE_MIDDLE))
    assert found == pytest.approx({"A1": 50e3, "P1": 160e3, "A2": 70e3})


def test_continuous_rule_of_irc():
    # Table 14 (from memory): 100 < 2 x 70, so 100/(1 + 1) + (70 - 10) = 110 with the high
    # coefficient on the right; with it on the left 100 > 2 x 20 on that side: 100/2 + 50 - 20 = 80.
    found = on_supports(ask("irc", FIXED_IN_THE_MIDDLE))
    assert found["P1"] == pytest.approx(110e3)
    assert found["A1"] == pytest.approx(0.05 * 1e6)  # mu (R_g + R_q), mean coefficient of the line


@pytest.mark.parametrize("family", ["eurocode", "aashto", "irc"])
@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ((line("A1", 0.0, "fixed"), line("A2", 30.0, "fixed"), line("P", 60.0)), "2 fixed lines"),
        ((line("A1", 0.0), line("A2", 30.0)), "no line is fixed"),
        ((line("A1", 0.0, "partly"), line("A2", 30.0)), "at an angle to the axis"),
    ],
)
def test_what_no_rule_covers_is_said_and_gets_no_number(family, lines, why):
    found = ask(family, lines)
    assert all(item.line is None and why in item.reason for item in found)
    assert set(on_supports(found).values()) == {None}


@pytest.mark.parametrize("family", ["eurocode", "aashto", "irc"])
def test_curved_bridges_are_not_covered(family):
    found = ask(family, FIXED_IN_THE_MIDDLE, straight=False)
    assert {item.reason for item in found} == {CURVED}


def test_sharing_by_stiffness_is_a_choice_where_the_family_has_it():
    # 1/(1/5 + 1/5) : 5 : 2.5 = 2.5 : 5 : 2.5 MN/m of 100 kN
    soft = (
        line("A1", 0.0, "elastic", below=5e6), line("P1", 30.0, "elastic"),
        line("A2", 60.0, "elastic", below=5e6),
    )  # fmt: skip
    for family in ("aashto", "irc"):
        found = on_supports(ask(family, soft, way="stiffness"))
        assert found == pytest.approx({"A1": 25e3, "P1": 50e3, "A2": 25e3})
    assert "no rule for sharing by stiffness" in ask("eurocode", soft, way="stiffness")[0].reason
    # IRC takes flexible supports by itself, the others have to be asked
    assert on_supports(ask("irc", soft))["P1"] == pytest.approx(50e3)
    assert "share with the rest by stiffness" in ask("aashto", soft)[0].reason
    assert "can be chosen" in ask("aashto", soft)[0].reason


def test_a_rigid_support_beside_flexible_ones_is_not_shared():
    mixed = (line("A1", 0.0, "fixed"), line("P1", 30.0, "fixed", below=5e6))
    for family in ("aashto", "irc"):
        (one, *_) = ask(family, mixed, way="stiffness")
        assert "A1 does not give way" in one.reason


def test_identical_elastomeric_bearings_of_irc():
    # F_h/2 + V_r l_tc = 50 + 5 MN/m x 4 mm = 70 kN (formula from memory)
    pads = (line("A1", 0.0, "elastic"), line("A2", 30.0, "elastic"))
    assert on_supports(ask("irc", pads, warm=-0.004)) == pytest.approx({"A1": 70e3, "A2": 70e3})
    unlike = (pads[0], replace(pads[1], stiffness=8e6))
    assert "identical" in ask("irc", unlike)[0].reason


def test_a_pier_between_two_spans_gets_one_braking_and_both_frictions():
    spans = (
        line("A1", 0.0, "fixed"), line("P1", 30.0, rubs=(40e3, 0.0)),
        line("P1", 30.0, "fixed", unit=1), line("A2", 60.0, unit=1, rubs=(40e3, 0.0)),
    )  # fmt: skip
    # the second span brakes: 100 + 40 of its own far end; 40 of the first span's moving end
    assert on_supports(ask("eurocode", spans))["P1"] == pytest.approx(180e3)
    assert on_supports(ask("eurocode", spans))["A1"] == pytest.approx(140e3)


def test_a_free_line_of_irc_rubs_under_its_greatest_reaction():
    # mu = 50/1000 = 0.05; 0.05 x (1000 + 400) = 70 kN, not the 0.05 x (1000 - 100) = 45 kN of the
    # least reaction; mu (R_g + R_q): IRC:6, 211.5, from memory
    span = (
        line("A1", 0.0, "fixed"), line("A2", 30.0, rubs=(50e3, 30e3), live=(400e3, -100e3)),
    )  # fmt: skip
    free = next(item for item in ask("irc", span) if item.bearings.support == "A2")
    assert (free.line.value, free.quiet) == pytest.approx((70e3, 70e3))
    beside = (*span, line("A3", 60.0))  # and as a line of a continuous bridge
    free = next(item for item in ask("irc", beside) if item.bearings.support == "A2")
    assert (free.line.value, free.quiet) == pytest.approx((70e3, 70e3))
