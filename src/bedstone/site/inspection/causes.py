"""Likely causes of what was found, ranked, each with the numbers that speak for it."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from importlib.resources import files

from bedstone.errors import BedstoneError
from bedstone.site.inspection.cause_rules import RULES, Evidence
from bedstone.site.inspection.result import Cause, Mode, Sign
from bedstone.standards.values import BASES

#: A sign counts at most so many times its limit: beyond it, more is no stronger.
_MOST = 10.0


@cache
def modes() -> tuple[Mode, ...]:
    """All ways in which bearings fail, by number."""
    text = files("bedstone.site").joinpath("data", "failure_modes.toml").read_text(encoding="utf-8")
    found = tuple(Mode(**row) for row in tomllib.loads(text)["mode"])
    for mode in found:
        if mode.rule not in RULES or mode.basis not in BASES or mode.direct not in (1, 2, 3):
            raise BedstoneError(f"site/data/failure_modes.toml: {mode.number}: rule, basis, direct")
    return found


def causes(found: Evidence) -> tuple[Cause, ...]:
    """Modes with signs: those that the numbers measure themselves first, then by strength."""
    told = []
    for mode in modes():
        signs = tuple(RULES[mode.rule](found))
        if signs:
            told.append(Cause(mode, signs, max(strength(sign) for sign in signs)))
    return tuple(sorted(told, key=lambda item: (item.mode.direct, -item.strength)))


def strength(sign: Sign) -> float:
    """How far a sign passes its limit, 1 at the limit and 10 at most; either way round."""
    ratio = abs(sign.found / sign.limit) if sign.limit else math.inf
    if ratio < 1.0:  # something should be more than it is, as a gap
        ratio = 1.0 / ratio if ratio > 0.0 else math.inf
    return min(ratio, _MOST)
