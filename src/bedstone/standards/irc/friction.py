"""Friction of movable bearings (IRC:6 clause 211.5.1)."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.standards.kinds import motion
from bedstone.standards.values import Values

SlidingPair = Literal[
    "PTFE", "steel on steel", "steel on cast iron", "cast iron on cast iron", "concrete on bitumen"
]
Roller = Literal["steel", "concrete"]
SLIDING_PAIRS: tuple[SlidingPair, ...] = get_args(SlidingPair)
ROLLERS: tuple[Roller, ...] = get_args(Roller)

_SLIDES: dict[SlidingPair, str] = {
    "steel on steel": "friction.slide.steel",
    "steel on cast iron": "friction.slide.steel",
    "cast iron on cast iron": "friction.slide.cast_iron",
    "concrete on bitumen": "friction.slide.concrete",
}


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
