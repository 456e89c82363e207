"""Friction of sliding and rolling bearings (AASHTO LRFD 14.6.3.1, 14.7.2.5, 14.7.7.2)."""

from __future__ import annotations

from typing import Literal

from bedstone.standards.aashto.choices import fault
from bedstone.standards.aashto.clause import line
from bedstone.standards.aashto.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Surface = Literal["dimpled", "plain", "filled", "woven"]

#: Sliding sheet usually found in a kind of bearing.
PTFE: dict[str, Surface] = {
    "plane sliding": "plain",
    "pot": "plain",
    "disc": "plain",
    "guide": "plain",
    "spherical": "woven",
    "cylindrical": "woven",
    "PTFE dimpled lubricated": "dimpled",
    "PTFE unfilled": "plain",
    "PTFE filled": "filled",
    "PTFE woven": "woven",
}

#: Other movable bearings: the name of their value.
OTHERS = {
    "single roller": "friction.roller",
    "roller nest": "friction.roller",
    "self-lubricating bronze": "friction.bronze.impregnated",
    "bronze": "friction.bronze.other",
}


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
    return line(
        values,
        (f"friction.ptfe.{surface}",),
        f"Friction of PTFE, {surface}",
        "Table 14.7.2.5-1",
        (Quantity("p", pressure, "Pa"), Quantity("T", temperature, "degC")),
        Quantity("mu", mu, ""),
    )


def coefficients(values: Values, kind: str) -> tuple[float, float]:
    """(adverse, relieving) coefficient of friction for a kind of bearing or a pair of materials.

    PTFE: the table at the usual pressure and cold; relieving a tenth of it (14.7.2.5). Raises
    `InputError` for a kind that has no friction of its own.
    """
    name = kind.replace("_", " ")
    if name in PTFE:
        mu = ptfe(
            values,
            PTFE[name],
            values.number("friction.usual.pressure"),
            values.number("friction.usual.temperature"),
        ).value
        return mu, mu * values.number("friction.ptfe.relieving")
    if name in OTHERS:
        mu = values.number(OTHERS[name])
        return mu, mu * values.number("friction.relieving.other")
    raise fault("kind", kind, ", ".join((*PTFE, *OTHERS)))
