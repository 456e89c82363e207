"""Friction of sliding and rolling bearings (AASHTO LRFD 14.6.3.1, 14.7.2.5, 14.7.7.2)."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.kinds import motion
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Surface = Literal["dimpled", "plain", "filled", "woven"]
SlidingPair = Literal[
    "usual",
    "PTFE dimpled lubricated",
    "PTFE unfilled",
    "PTFE filled",
    "PTFE woven",
    "self-lubricating bronze",
    "bronze",
]
SLIDING_PAIRS: tuple[SlidingPair, ...] = get_args(SlidingPair)

_PTFE: dict[SlidingPair, Surface] = {
    "PTFE dimpled lubricated": "dimpled",
    "PTFE unfilled": "plain",
    "PTFE filled": "filled",
    "PTFE woven": "woven",
}
_BRONZE: dict[SlidingPair, str] = {
    "self-lubricating bronze": "friction.bronze.impregnated",
    "bronze": "friction.bronze.other",
}
#: Kinds with a curved sliding surface, which is usually lined with woven PTFE; others are flat.
_CURVED = ("spherical", "cylindrical")


def ptfe(values: Values, surface: Surface, pressure: float, temperature: float) -> Line:
    """Coefficient of friction of PTFE on stainless steel (Table 14.7.2.5-1).

    `pressure` Pa, `temperature` degC of the sliding surface. Straight lines between the figures
    of the table; beyond its ends the last figure holds.
    """
    pressures = values.row("friction.ptfe.pressures")
    temperatures = values.row("friction.ptfe.temperatures")
    table = values.table(f"friction.ptfe.{surface}")
    by_temperature = tuple(between(pressure, pressures, row) for row in table)
    # The table runs from warm to cold; interpolation wants rising temperatures.
    mu = between(temperature, temperatures[::-1], by_temperature[::-1])
    return state(
        values,
        (f"friction.ptfe.{surface}",),
        f"Friction of PTFE, {surface}",
        "Table 14.7.2.5-1",
        (Quantity("p", pressure, "Pa"), Quantity("T", temperature, "degC")),
        Quantity("mu", mu, ""),
    )


def coefficients(values: Values, kind: str, pair: SlidingPair = "usual") -> tuple[float, float]:
    """(adverse, relieving) coefficient of friction of a kind of bearing.

    `pair`: the sliding materials; usual: woven PTFE on curved surfaces, unfilled PTFE on flat
    ones. PTFE: the table at the usual pressure and cold; relieving a tenth of it (14.7.2.5). Metal
    slides and rollers are not counted on where they relieve. (0, 0) for kinds that do not slide or
    roll; raises `BedstoneError` for an unknown kind.
    """
    match motion(kind):
        case "shear" | "none":
            return 0.0, 0.0
        case "rolling" | "hardened rolling":
            mu = values.number("friction.roller")
            return mu, mu * values.number("friction.relieving.other")
        case "sliding" if pair in _BRONZE:
            mu = values.number(_BRONZE[pair])
            return mu, mu * values.number("friction.relieving.other")
        case "sliding":
            usual: Surface = "woven" if kind in _CURVED else "plain"
            mu = ptfe(
                values,
                _PTFE.get(pair, usual),
                values.number("friction.usual.pressure"),
                values.number("friction.usual.temperature"),
            ).value
            return mu, mu * values.number("friction.ptfe.relieving")
