"""Units and signs in which results leave the program: kN, kN m, mm, mrad."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.errors import CheckError

_FORCES = ("N", "Hx", "Hy", "V", "Fx", "Fy")
_MOMENTS = ("Mx", "My", "Mz")
_MOVEMENTS = ("vx", "vy", "vz")
_ROTATIONS = ("rx", "ry", "rz")

#: Unit in which each effect is shown.
UNITS: Final[Mapping[str, str]] = MappingProxyType(
    dict.fromkeys(_FORCES, "kN")
    | dict.fromkeys(_MOMENTS, "kN m")
    | dict.fromkeys(_MOVEMENTS, "mm")
    | dict.fromkeys(_ROTATIONS, "mrad")
)
_FACTOR: Final = {"kN": 1e-3, "kN m": 1e-3, "mm": 1e3, "mrad": 1e3}

SEAT_SIGNS: Final = (
    "Seats: x along the bearing's own direction, y to its left, z up. N + in compression; H and M "
    "of the superstructure on the bearing; v and r: superstructure minus substructure, r "
    "right-handed."
)
SUPPORT_SIGNS: Final = (
    "Supports: x along the bridge with rising chainage, y to the left. V + downwards; Fx, Fy and "
    "Mx, My, Mz of the superstructure on the support, moments about its base."
)


def shown(effect: str, value: float) -> float:
    """An effect from SI in its shown unit, to six decimals, never minus zero.

    Raises `CheckError` for a number that is not finite: it must not leave the program.
    """
    return scaled(value, _FACTOR[UNITS[effect]], effect)


def scaled(value: float, factor: float, what: str) -> float:
    """A number times a factor, to six decimals, finite and never minus zero."""
    result = float(value) * factor
    if not math.isfinite(result):
        raise CheckError(f"{what} is no finite number ({result}): the analysis cannot be trusted")
    return round(result, 6) + 0.0  # -0.0 + 0.0 is 0.0


def seat_effects(values: tuple[float, ...]) -> dict[str, float]:
    """The twelve effects of a seat by name in shown units."""
    return {name: shown(name, value) for name, value in zip(SEAT_EFFECTS, values, strict=True)}


def support_effects(values: tuple[float, ...]) -> dict[str, float]:
    """The six effects of a support by name in shown units."""
    return {name: shown(name, value) for name, value in zip(SUPPORT_EFFECTS, values, strict=True)}


def decimals(values: list[float]) -> int:
    """Decimals that give the largest of some numbers about four figures: 0, 1 or 2."""
    largest = max((abs(value) for value in values), default=0.0)
    return 0 if largest >= 1000.0 else 1 if largest >= 20.0 else 2


def figure(value: float, places: int) -> str:
    """A number with a true minus sign; what rounds to nothing is 0."""
    text = f"{value:.{places}f}"
    if not text.strip("-0."):
        return "0"
    return text.replace("-", "−")


#: Unit in which a quantity of a calculation line is shown for people, and the factor to it.
_CALCULATED: Final[Mapping[str, tuple[str, float]]] = MappingProxyType(
    {
        "N": ("kN", 1e-3),
        "N/m": ("kN/m", 1e-3),
        "N*m": ("kN m", 1e-3),
        "N/m**2": ("MPa", 1e-6),
        "Pa": ("MPa", 1e-6),
        "m": ("mm", 1e3),
        "m**2": ("mm2", 1e6),
        "m**3": ("mm3", 1e9),
        "rad": ("mrad", 1e3),
    }
)


def measured(value: float, unit: str) -> str:
    """A quantity of a calculation line, from SI to four figures with its unit."""
    if not math.isfinite(value):
        return "without end"
    to, factor = _CALCULATED.get(unit, (unit.replace("**", ""), 1.0))
    number = value * factor
    text = f"{number:.0f}" if abs(number) >= 1000.0 else f"{number:.4g}"
    return f"{text} {to}".rstrip().replace("-", "−")


def plain(text: str) -> str:
    """Text without control characters: what a file says must not steer a terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)
