"""From the numbers of a log to a judgement, by thresholds that an engineer can replace."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, get_args

from scipy.stats import norm

from bedstone.site.monitoring.normal import Interval
from bedstone.site.tolerances import Tolerances

#: From what must be looked at first to what needs nothing. One bearing may have several.
Word = Literal[
    "sensor at fault", "clamp left", "frozen", "stop reached", "ratcheting", "substructure moved",
    "restricted", "wrong preset", "moves though held", "travel short", "sluggish", "out of line",
    "not enough yet", "holds", "free",
]  # fmt: skip
WORDS: tuple[Word, ...] = get_args(Word)
#: What needs nothing but time.
QUIET: frozenset[Word] = frozenset({"not enough yet", "holds", "free"})

#: What is the matter with a sensor.
Sensor = Literal[
    "stuck", "thermometer stuck", "coarse", "sign reversed", "wrong length", "clock shifted"
]  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """One judgement: the word, what kind of it, and the numbers it rests on (SI, degC, ns).

    `kind`: of "sensor at fault" what is wrong; of "substructure moved" `step` or `drift`; of
    "stop reached" `warmer` or `colder`; `shared`: seats that show the same.
    """

    word: Word
    kind: str = ""
    numbers: Mapping[str, float] = field(default_factory=dict)
    shared: tuple[str, ...] = ()

    @property
    def action(self) -> bool:
        """Whether someone has to do something."""
        return self.word not in QUIET


def mobility(ratio: Interval, error: float, limits: Tolerances) -> Finding:
    """The judgement of a mobility ratio with its interval and standard `error`.

    Free where the whole interval lies above its limit; frozen only where it surely is neither free
    nor sluggish; nothing at all where the standard error is too large, or where it may as well move
    whole as be sluggish.
    """
    number = limits.number
    if error > number("uncertain"):
        return Finding("not enough yet", "uncertain", {"error": error})
    told = {"ratio": ratio.value, "low": ratio.low, "high": ratio.high}
    if ratio.high < -number("restricted"):
        return Finding("sensor at fault", "sign reversed", told)
    if ratio.low > number("over"):
        return Finding("sensor at fault", "wrong length", told)
    if ratio.low > number("free"):
        return Finding("free", numbers=told)
    if ratio.high >= 1.0:
        return Finding("not enough yet", "between", told)
    if ratio.value < number("restricted") and ratio.high < number("sluggish"):
        return Finding("frozen", numbers=told)
    if ratio.value < number("sluggish"):
        return Finding("restricted", numbers=told)
    return Finding("sluggish", "slope", told)


def drift_matters(drift: Interval, left: float | None, size: float, limits: Tolerances) -> bool:
    """Whether a drift (m per year) is sure and uses up too much of the travel `left` (m).

    Sure: but for the chance of a false step.
    Without an end it is weighed against `size` (m), the error budget of the setting.
    """
    sure = norm.isf(limits.number("chance") / 2.0) / norm.isf(0.5 - limits.number("confidence") / 2)
    if abs(drift.value) <= float(sure) * drift.half:
        return False
    gone = abs(drift.value) * limits.number("drift_years")
    room = size if left is None else limits.number("drift_share") * max(left, 0.0)
    return gone > room


def steady(trend: tuple[float, ...], sense: float) -> bool:
    """Whether the means of successive parts all go the way of `sense`."""
    steps = [after - before for before, after in pairwise(trend)]
    return len(steps) >= 3 and all(step * sense > 0.0 for step in steps)


def first(findings: tuple[Finding, ...]) -> Finding:
    """What must be looked at first."""
    return min(findings, key=lambda item: WORDS.index(item.word))


def ratio_of(slope: Interval, expected: float, scale: float) -> Interval:
    """Mobility ratio: slope over the expected one, the scale's own doubt added as independent."""
    plain = slope.over(expected)
    half = math.hypot(plain.half, scale * abs(plain.value))
    return Interval(plain.value, plain.value - half, plain.value + half)
