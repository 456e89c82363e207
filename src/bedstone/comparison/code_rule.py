"""Who takes the longitudinal force by the rule of a standard, line of bearings by line.

Each separate piece of superstructure is looked at on its own: its fixed, moving and elastic lines
decide which clause speaks of it. Where none does, that is said with the reason, and no number is
given. Forces are without sign, characteristic, in N.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np

from bedstone.comparison.lines import BearingLine
from bedstone.standards.aashto import sharing as aashto
from bedstone.standards.eurocode import sharing as eurocode
from bedstone.standards.irc import sharing as irc
from bedstone.standards.record import Line
from bedstone.standards.values import Values

#: Who takes the braking where supports are stiff: the fixed line, or all by stiffness.
Way = Literal["fixed line", "stiffness"]
WAYS: tuple[Way, ...] = ("fixed line", "stiffness")
#: Two ends count as alike when their shear ratings differ by less than this part.
ALIKE = 0.01
#: Why no rule speaks of a curved bridge.
CURVED = "the bridge is curved in plan: along is another direction at every support"


@dataclass(frozen=True)
class Ruled:
    """What a rule says of one line of bearings.

    `line`: the calculation with the braking on this piece, None where no rule covers it (`reason`
    says why); `quiet`: force (N) on the line while the braking is elsewhere.
    """

    bearings: BearingLine
    line: Line | None
    quiet: float
    reason: str = ""


@dataclass(frozen=True)
class Question:
    """What a rule is asked: the lines of one piece in order, and the force on it.

    `force` F_h (N); `warm` movement of each line (m) from all but applied forces (temperature);
    `straight`: not curved in plan.
    """

    lines: tuple[BearingLine, ...]
    force: float
    warm: tuple[float, ...]
    straight: bool = True


class Rule(Protocol):
    """The sharing rule of a family."""

    def __call__(self, values: Values, question: Question, way: Way, /) -> list[Ruled]:
        """One answer for each line."""
        ...


def rule_of(name: str) -> Rule:
    """The sharing rule of a family of standards."""
    return _RULES[name]


def by_unit(
    lines: Sequence[BearingLine], force: float, warm: Sequence[float], straight: bool = True
) -> tuple[Question, ...]:
    """One question for each separate piece."""
    result = []
    for unit in dict.fromkeys(line.unit for line in lines):
        own = [i for i, line in enumerate(lines) if line.unit == unit]
        moved = tuple(warm[i] for i in own)
        result.append(Question(tuple(lines[i] for i in own), force, moved, straight))
    return tuple(result)


def on_supports(ruled: Sequence[Ruled]) -> dict[str, float | None]:
    """Force (N) on each support: the braking on the piece for which it is the worst.

    None where a line on the support is not covered.
    """
    result: dict[str, float | None] = {}
    for mark in dict.fromkeys(item.bearings.support for item in ruled):
        own = [item for item in ruled if item.bearings.support == mark]
        if any(item.line is None for item in own):
            result[mark] = None
            continue
        quiet = sum(item.quiet for item in own)
        result[mark] = quiet + max(
            item.line.value - item.quiet for item in own if item.line is not None
        )
    return result


# ------------------------------------------------------------------ families
def _eurocode(values: Values, question: Question, way: Way) -> list[Ruled]:
    """EN 1337-1, 6.2: one fixed line; nothing is said of sharing by stiffness."""
    if way == "stiffness":
        return _none(question, "the family has no rule for sharing by stiffness")
    reason = _lack_of_one_fixed_line(question)
    if reason:
        return _none(question, reason)
    ahead, behind = _sides(question)
    result = []
    for line in question.lines:
        if line.holds == "fixed":
            quiet = eurocode.friction_resultant(values, ahead, behind).value
            done = eurocode.fixed_line(values, question.force, ahead, behind)
        else:
            done = eurocode.moving_line(values, line.friction[0])
            quiet = done.value
        result.append(Ruled(line, done, quiet))
    return result


def _aashto(values: Values, question: Question, way: Way) -> list[Ruled]:
    """3.6.4 and 14.6.3.1: the fixed line, or by stiffness where the engineer chooses so."""
    if way == "stiffness":
        return _aashto_by_stiffness(values, question)
    reason = _lack_of_one_fixed_line(question)
    if reason:
        other = "" if _lack_of_stiffness(question) else "; sharing by stiffness can be chosen"
        return _none(question, reason + other)
    ahead, behind = _sides(question)
    result = []
    for line in question.lines:
        if line.holds == "fixed":
            quiet = aashto.fixed_line(values, 0.0, ahead, behind).value
            done = aashto.fixed_line(values, question.force, ahead, behind)
        else:
            done = aashto.moving_line(values, line.friction[0])
            quiet = done.value
        result.append(Ruled(line, done, quiet))
    return result


def _aashto_by_stiffness(values: Values, question: Question) -> list[Ruled]:
    reason = _lack_of_stiffness(question)
    if reason:
        return _none(question, reason)
    parts = [line for line in question.lines if line.holds != "moving"]
    shared = aashto.by_stiffness(values, question.force, _ratings(parts))
    by_line = dict(zip((line.support for line in parts), shared, strict=True))
    result = []
    for line in question.lines:
        if line.support in by_line:
            result.append(Ruled(line, by_line[line.support], 0.0))
        else:
            done = aashto.moving_line(values, line.friction[0])
            result.append(Ruled(line, done, done.value))
    return result


def _irc(values: Values, question: Question, way: Way) -> list[Ruled]:
    """Clause 211.5: simple span, elastomeric, continuous; 211.6: flexible supports."""
    lines = question.lines
    moving = [line for line in lines if line.holds == "moving"]
    fixed = [line for line in lines if line.holds == "fixed"]
    if way == "stiffness" or not _lack_of_flexible(question):
        return _irc_flexible(values, question)
    if len(lines) == 2 and all(line.holds == "elastic" for line in lines):
        return _irc_elastomeric(values, question)
    reason = _lack_of_one_fixed_line(question)
    if reason:
        return _none(question, reason)
    if len(lines) == 2:
        return [_irc_simple(values, question, line, moving[0]) for line in lines]
    done = _irc_continuous(values, question, fixed[0], question.force)
    quiet = _irc_continuous(values, question, fixed[0], 0.0)
    result = []
    for line in lines:
        if line is fixed[0]:
            result.append(Ruled(line, done, quiet.value))
        else:
            free = _irc_free(values, line)
            result.append(Ruled(line, free, free.value))
    return result


def _irc_free(values: Values, line: BearingLine) -> Line:
    """A free line under its greatest reaction."""
    return irc.free_bearing(values, line.permanent, line.live[0], line.coefficients)


def _irc_simple(values: Values, question: Question, line: BearingLine, free: BearingLine) -> Ruled:
    """Fixed and free end of a simple span; live load on the free end as it is worst."""
    if line is free:
        done = _irc_free(values, line)
        return Ruled(line, done, done.value)
    dead, mu = free.permanent, free.coefficients
    lives = (max(free.live[1], -dead), free.live[0])
    worst = max(
        (irc.fixed_bearing(values, question.force, dead, live, mu) for live in lives),
        key=lambda rule: rule.value,
    )
    quiet = _irc_free(values, free)
    return Ruled(line, worst, quiet.value)


def _irc_continuous(values: Values, question: Question, fixed: BearingLine, force: float) -> Line:
    """Table 14 under permanent load, the low coefficient on either side in turn; the worse one."""
    left = [line for line in question.lines if line.chainage < fixed.chainage]
    right = [line for line in question.lines if line.chainage > fixed.chainage]
    return max(
        (
            irc.continuous_fixed(
                values,
                force,
                sum(line.friction[on_left] for line in left),
                sum(line.friction[1 - on_left] for line in right),
                len(left),
                len(right),
            )
            for on_left in (0, 1)  # adverse on the left, on the right
        ),
        key=lambda rule: rule.value,
    )


def _irc_elastomeric(values: Values, question: Question) -> list[Ruled]:
    one, other = (line.stiffness for line in question.lines)
    if abs(one - other) > ALIKE * max(one, other):
        return _none(question, "the clause speaks of identical elastomeric bearings at both ends")
    result = []
    for line, moved in zip(question.lines, question.warm, strict=True):
        done = irc.identical_elastomeric(values, question.force, line.stiffness, abs(moved))
        quiet = irc.identical_elastomeric(values, 0.0, line.stiffness, abs(moved))
        result.append(Ruled(line, done, quiet.value))
    return result


def _irc_flexible(values: Values, question: Question) -> list[Ruled]:
    reason = _lack_of_stiffness(question)
    if reason:
        return _none(question, reason)
    parts = [line for line in question.lines if line.holds != "moving"]
    shared = irc.flexible_supports(values, question.force, _ratings(parts))
    by_line = dict(zip((line.support for line in parts), shared, strict=True))
    result = []
    for line in question.lines:
        if line.support in by_line:
            result.append(Ruled(line, by_line[line.support], 0.0))
        else:
            done = _irc_free(values, line)
            result.append(Ruled(line, done, done.value))
    return result


_RULES: Mapping[str, Rule] = {"eurocode": _eurocode, "aashto": _aashto, "irc": _irc}


# ------------------------------------------------------------------ what a rule asks for
def _none(question: Question, reason: str) -> list[Ruled]:
    return [Ruled(line, None, 0.0, reason) for line in question.lines]


def _lack_of_one_fixed_line(question: Question) -> str:
    """Why the piece is not one fixed line and moving ones; empty when it is."""
    lines = question.lines
    if not question.straight:
        return CURVED
    aslant = [line.support for line in lines if line.holds == "partly"]
    if aslant:
        return f"bearings at {_and(aslant)} hold at an angle to the axis, on which no rule speaks"
    elastic = [line.support for line in lines if line.holds == "elastic"]
    if elastic:
        return f"elastic bearings at {_and(elastic)} share with the rest by stiffness"
    fixed = [line.support for line in lines if line.holds == "fixed"]
    if len(fixed) > 1:
        return f"{len(fixed)} fixed lines, at {_and(fixed)}: the rule knows one"
    if not fixed:
        return "no line is fixed along the bridge"
    return ""


def _lack_of_flexible(question: Question) -> str:
    """Why a piece is not one on several flexible supports."""
    parts = [line for line in question.lines if line.holds != "moving"]
    if len(parts) < 2:
        return "fewer than two lines hold along"
    if all(np.isinf(line.below) for line in parts):
        return "no support gives way"
    return _lack_of_stiffness(question)


def _lack_of_stiffness(question: Question) -> str:
    """Why the force cannot be shared by stiffness; empty when it can."""
    parts = [line for line in question.lines if line.holds != "moving"]
    if not question.straight:
        return CURVED
    aslant = [line.support for line in parts if line.holds == "partly"]
    if aslant:
        return f"bearings at {_and(aslant)} hold at an angle to the axis, on which no rule speaks"
    if not parts:
        return "no line holds along the bridge"
    rigid = [line.support for line in parts if np.isinf(line.rating)]
    if rigid and len(parts) > 1:
        return f"{_and(rigid)} does not give way: the rule shares among supports that do"
    return ""


def _ratings(lines: Sequence[BearingLine]) -> tuple[float, ...]:
    """Shear ratings (N/m); a line that holds alone takes all, whatever its rating."""
    return (1.0,) if len(lines) == 1 else tuple(line.rating for line in lines)


def _sides(question: Question) -> tuple[tuple[float, float], tuple[float, float]]:
    """Friction (adverse, relieving) of the moving lines ahead of the fixed one and behind it."""
    (fixed,) = [line for line in question.lines if line.holds == "fixed"]

    def total(side: Sequence[BearingLine]) -> tuple[float, float]:
        return (sum(line.friction[0] for line in side), sum(line.friction[1] for line in side))

    return (
        total([line for line in question.lines if line.chainage > fixed.chainage]),
        total([line for line in question.lines if line.chainage < fixed.chainage]),
    )


def _and(marks: Sequence[str]) -> str:
    return ", ".join(marks[:-1]) + f" and {marks[-1]}" if len(marks) > 1 else marks[0]
