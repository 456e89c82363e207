"""The pad of a pot: what the standards say of it in the same words with their own symbols.

Each family reads these rules with its own values, so that clause and edition are its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Symbols:
    """How a standard writes diameter and thickness of the pad and its rotations."""

    diameter: str
    thickness: str
    rotation: str
    lasting: str
    variable: str


def pressure(values: Values, symbols: Symbols, force: float, diameter: float) -> Line:
    """Force (N) at ULS on the pad of a diameter (m)."""
    strength = values.number("pot.pad.strength")
    gamma = values.number("pot.pad.gamma_m")
    limit = math.pi / 4.0 * diameter**2 * strength / gamma
    return state(
        values,
        ("pot.pad.strength", "pot.pad.gamma_m"),
        "Pressure on the pad",
        f"N <= (pi/4) {symbols.diameter}^2 fe,k/gamma_m",
        (
            Quantity("N", force, "N"),
            Quantity(symbols.diameter, diameter, "m"),
            Quantity("fe,k", strength, "Pa"),
            Quantity("gamma_m", gamma, ""),
        ),
        Quantity("N", force, "N"),
        limit=Quantity("N_Rd", limit, "N"),
        utilisation=force / limit,
    )


def edge_strain(
    values: Values, symbols: Symbols, rotation: float, diameter: float, thickness: float
) -> Line:
    """Deflection at the edge of the pad under a rotation (rad); sizes in m."""
    strain = 0.5 * diameter * rotation / thickness
    limit = values.number("pot.pad.strain")
    return state(
        values,
        ("pot.pad.strain",),
        "Edge strain of the pad",
        f"0.5 {symbols.diameter} {symbols.rotation}/{symbols.thickness} <= 0.15",
        (
            Quantity(symbols.diameter, diameter, "m"),
            Quantity(symbols.rotation, rotation, "rad"),
            Quantity(symbols.thickness, thickness, "m"),
        ),
        Quantity("strain", strain, ""),
        limit=Quantity("limit", limit, ""),
        utilisation=strain / limit,
    )


def moment_coefficients(values: Values, ratio: float) -> tuple[float, float]:
    """k1, k2 (Pa) of a pad with diameter over thickness `ratio`, straight lines between rows."""
    ratios = values.row("pot.moment.ratio")
    return (
        between(ratio, ratios, values.row("pot.moment.k1")),
        between(ratio, ratios, values.row("pot.moment.k2")),
    )


def restoring_moment(
    values: Values,
    symbols: Symbols,
    diameter: float,
    thickness: float,
    lasting: float,
    variable: float,
    note: str = "",
) -> Line:
    """Moment (N m) of the pad against a lasting and a variable rotation (rad); sizes in m."""
    k1, k2 = moment_coefficients(values, diameter / thickness)
    return state(
        values,
        ("pot.moment.k1", "pot.moment.k2", "pot.moment.ratio"),
        "Restoring moment of the pad",
        f"Me = {symbols.diameter}^3 (k1 {symbols.lasting} + k2 {symbols.variable})",
        (
            Quantity(symbols.diameter, diameter, "m"),
            Quantity(symbols.lasting, lasting, "rad"),
            Quantity(symbols.variable, variable, "rad"),
            Quantity("k1", k1, "Pa"),
            Quantity("k2", k2, "Pa"),
        ),
        Quantity("Me", diameter**3 * (k1 * lasting + k2 * variable), "N*m"),
        note=note,
    )


def friction_moment(values: Values, symbols: Symbols, force: float, diameter: float) -> Line:
    """Moment (N m) of friction of the piston on the wall under a horizontal force (N)."""
    mu = values.number("pot.moment.friction")
    return state(
        values,
        ("pot.moment.friction",),
        "Moment of friction on the wall",
        f"MR = 0.2 H {symbols.diameter}/2",
        (Quantity("H", force, "N"), Quantity(symbols.diameter, diameter, "m")),
        Quantity("MR", mu * force * diameter / 2.0, "N*m"),
    )
