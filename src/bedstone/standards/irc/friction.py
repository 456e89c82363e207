"""Friction of movable bearings (IRC:6 clause 211.5.1; under a track Bridge Rules 2.7)."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.standards.kinds import motion
from bedstone.standards.values import Values

SlidingPair = Literal[
    "PTFE",
    "steel on steel",
    "steel on cast iron",
    "cast iron on cast iron",
    "concrete on bitumen",
    "steel on ferrobestos",
    "steel on copper alloy",
    "concrete on concrete",
]
Rules = Literal["road", "railway"]
Roller = Literal["steel", "concrete"]
SLIDING_PAIRS: tuple[SlidingPair, ...] = get_args(SlidingPair)
ROLLERS: tuple[Roller, ...] = get_args(Roller)
RULES: tuple[Rules, ...] = get_args(Rules)

_SLIDES: dict[SlidingPair, str] = {
    "steel on steel": "friction.slide.steel",
    "steel on cast iron": "friction.slide.steel",
    "cast iron on cast iron": "friction.slide.cast_iron",
    "concrete on bitumen": "friction.slide.concrete",
}

#: The same under a track; what is not here has no coefficient there.
_RAILWAY: dict[SlidingPair, str] = {
    "PTFE": "rail.friction.ptfe",
    "steel on steel": "rail.friction.steel",
    "steel on cast iron": "rail.friction.steel",
    "steel on ferrobestos": "rail.friction.ferrobestos",
    "steel on copper alloy": "rail.friction.copper",
    "concrete on bitumen": "rail.friction.bitumen",
    "concrete on concrete": "rail.friction.concrete",
}


def pairs_of(rules: Rules) -> tuple[SlidingPair, ...]:
    """Sliding pairs for which the rules have a coefficient."""
    known = _RAILWAY if rules == "railway" else {"PTFE": "", **_SLIDES}
    return tuple(pair for pair in SLIDING_PAIRS if pair in known)


def railway_coefficients(
    values: Values, kind: str, pair: SlidingPair = "PTFE"
) -> tuple[float, float]:
    """(adverse, relieving) coefficient under a track (2.7): one figure for both.

    (0, 0) for kinds that do not slide or roll; raises `BedstoneError` for an unknown kind.
    """
    match motion(kind):
        case "shear" | "none":
            return 0.0, 0.0
        case "rolling" | "hardened rolling":
            mu = values.number("rail.friction.roller")
        case "sliding":
            mu = values.number(_RAILWAY[pair])
    return mu, mu


def coefficients(
    values: Values, kind: str, pair: SlidingPair = "PTFE", roller: Roller = "steel"
) -> tuple[float, float]:
    """(adverse, relieving) coefficient of friction of a kind of bearing.

    `pair`: the sliding materials, `roller`: what the roller is made of. Where the clause gives one
    figure it holds for both, as the clause's own rules use it. (0, 0) for kinds that do not slide
    or roll; raises `BedstoneError` for an unknown kind.
    """
    match motion(kind):
        case "shear" | "none":
            return 0.0, 0.0
        case "rolling" | "hardened rolling":
            mu = values.number(f"friction.roller.{roller}")
            return mu, mu
        case "sliding" if pair == "PTFE":
            high, low = values.row("friction.ptfe")
            return high, low
        case "sliding":
            mu = values.number(_SLIDES[pair])
            return mu, mu
