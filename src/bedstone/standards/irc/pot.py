"""IRC:83 Part III: pot bearings, 2018 (limit state) and 2002 (working stress)."""

from __future__ import annotations

import math
from typing import Literal

from bedstone.standards import pot_pad
from bedstone.standards.clause import state
from bedstone.standards.irc.sliding import Edition
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_SYMBOLS = pot_pad.Symbols("di", "he", "theta", "theta_p", "theta_v")

Stress = Literal["tension", "bending", "shear", "bearing", "combined"]


def pad_pressure(values: Values, force: float, diameter: float) -> Line:
    """Force (N) at ULS on the pad of a diameter (m), 5.2.3 (2018)."""
    return pot_pad.pressure(values, _SYMBOLS, force, diameter)


def working_pressure(
    values: Values, force: float, diameter: float, *, occasional: bool = False
) -> Line:
    """Pressure on the pad at working load (926.2.3, 2002)."""
    normal, higher = values.row("pot.2002.pad")
    limit = higher if occasional else normal
    stress = force / (math.pi / 4.0 * diameter**2)
    return state(
        values,
        ("pot.2002.pad",),
        "Pressure on the pad" + (", occasional loads" if occasional else ""),
        "N/(pi di^2/4) <= 35 MPa (40 occasional)",
        (Quantity("N", force, "N"), Quantity("di", diameter, "m")),
        Quantity("sigma", stress, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=stress / limit,
    )


def pad_rotation(values: Values, rotation: float, diameter: float, thickness: float) -> Line:
    """Strain at the edge of the pad under the design rotation (5.2.3.5)."""
    return pot_pad.edge_strain(values, _SYMBOLS, rotation, diameter, thickness)


def pad_slenderness(values: Values, diameter: float, thickness: float) -> Line:
    """Diameter over thickness of the pad (5.2.3.5)."""
    limit = values.number("pot.pad.slenderness")
    return state(
        values,
        ("pot.pad.slenderness",),
        "Thickness of the pad",
        "di/he < 15",
        (Quantity("di", diameter, "m"), Quantity("he", thickness, "m")),
        Quantity("di/he", diameter / thickness, ""),
        limit=Quantity("limit", limit, ""),
        utilisation=diameter / thickness / limit,
    )


def design_rotation(values: Values, rotation: float) -> Line:
    """Rotation at ULS with its allowance (5.1.7)."""
    return state(
        values,
        ("pot.allowance",),
        "Design rotation",
        "theta + 0.005",
        (Quantity("theta", rotation, "rad"),),
        Quantity("theta_d", rotation + values.number("pot.allowance"), "rad"),
    )


def restoring_moment(
    values: Values, diameter: float, thickness: float, lasting: float, variable: float
) -> Line:
    """Moment (N m) of the pad against a lasting and a variable rotation (rad), 5.1.5.1."""
    return pot_pad.restoring_moment(values, _SYMBOLS, diameter, thickness, lasting, variable)


def piston_friction_moment(values: Values, force: float, diameter: float) -> Line:
    """Moment (N m) of friction of the piston on the wall under H (N), 5.1.5.2."""
    return pot_pad.friction_moment(values, _SYMBOLS, force, diameter)


def least_horizontal(values: Values, vertical: float) -> float:
    """Least horizontal force (N) a pot that holds is designed for."""
    return values.row("pot.horizontal")[0] * vertical


def greatest_horizontal(values: Values, horizontal: float, vertical: float) -> Line:
    """Horizontal force against the vertical one acting with it (N)."""
    most = values.row("pot.horizontal")[1]
    return state(
        values,
        ("pot.horizontal",),
        "Horizontal over vertical force",
        "H <= 0.25 N",
        (Quantity("N", vertical, "N"),),
        Quantity("H", horizontal, "N"),
        limit=Quantity("0.25 N", most * vertical, "N"),
        utilisation=horizontal / (most * vertical),
    )


def steel_limit(values: Values, stress: Stress, yield_strength: float, edition: Edition) -> float:
    """Permissible stress (Pa): fy/1.1, its shear by 1/sqrt(3) (2018), or a part of fy (2002)."""
    if edition == "2002":
        return values.number(f"pot.2002.{stress}") * yield_strength
    limit = yield_strength / values.number("pot.gamma_m0")
    return limit / math.sqrt(3.0) if stress == "shear" else limit


def _limit_name(stress: Stress, edition: Edition) -> str:
    return f"pot.2002.{stress}" if edition == "2002" else "pot.gamma_m0"


def wall_tension(
    values: Values,
    force: float,
    horizontal: float,
    diameter: float,
    thickness: float,
    wall: float,
    depth: float,
    yield_strength: float,
    edition: Edition = "2018",
) -> Line:
    """Ring tension of the wall: pressure of the pad with the horizontal force (statics)."""
    pressure = force / (math.pi / 4.0 * diameter**2)
    stress = (pressure * diameter * thickness + horizontal) / (2.0 * wall * depth)
    limit = steel_limit(values, "tension", yield_strength, edition)
    return state(
        values,
        (_limit_name("tension", edition),),
        "Ring tension of the wall",
        "(di he sigma + H)/(2 tw hw) <= permissible",
        (
            Quantity("di", diameter, "m"),
            Quantity("he", thickness, "m"),
            Quantity("sigma", pressure, "Pa"),
            Quantity("H", horizontal, "N"),
            Quantity("tw", wall, "m"),
            Quantity("hw", depth, "m"),
        ),
        Quantity("sigma_t", stress, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=stress / limit,
    )


def wall_foot(
    values: Values,
    force: float,
    horizontal: float,
    diameter: float,
    thickness: float,
    wall: float,
    lever: float,
    yield_strength: float,
    edition: Edition = "2018",
) -> tuple[Line, Line, Line]:
    """Shear, bending and both together at the foot of the wall, a strip as a cantilever.

    `lever` (m): from the bottom of the pot to the middle of the contact of the piston.
    """
    pressure = force / (math.pi / 4.0 * diameter**2)
    share = values.number("pot.wall.shear")
    six = values.number("pot.wall.lever")
    thrust = share * horizontal / diameter
    shear = (thickness * pressure + thrust) / wall
    bending = six * (pressure * thickness**2 / 2.0 + thrust * lever) / wall**2
    both = math.sqrt(bending**2 + 3.0 * shear**2)
    inputs = (
        Quantity("he", thickness, "m"),
        Quantity("sigma", pressure, "Pa"),
        Quantity("H", horizontal, "N"),
        Quantity("di", diameter, "m"),
        Quantity("tw", wall, "m"),
        Quantity("ha", lever, "m"),
    )
    kinds: tuple[tuple[Stress, str, str, float], ...] = (
        ("shear", "Shear at the foot of the wall", "(he sigma + 1.5 H/di)/tw", shear),
        (
            "bending",
            "Bending at the foot of the wall",
            "6 (sigma he^2/2 + 1.5 H ha/di)/tw^2",
            bending,
        ),
        (
            "combined",
            "Bending with shear at the foot of the wall",
            "sqrt(sigma_b^2 + 3 tau^2)",
            both,
        ),
    )
    lines = []
    for stress, title, formula, value in kinds:
        limit = steel_limit(values, stress, yield_strength, edition)
        lines.append(
            state(
                values,
                ("pot.wall.shear", "pot.wall.lever", _limit_name(stress, edition)),
                title,
                f"{formula} <= permissible",
                inputs,
                Quantity("stress", value, "Pa"),
                limit=Quantity("limit", limit, "Pa"),
                utilisation=value / limit,
            )
        )
    return lines[0], lines[1], lines[2]


def rim_height(
    values: Values,
    rim: float,
    horizontal: float,
    diameter: float,
    yield_strength: float,
    edition: Edition = "2018",
) -> Line:
    """Rim of the piston that presses on the wall under H (N); sizes in m."""
    limit = steel_limit(values, "bearing", yield_strength, edition)
    least = values.number("pot.rim") * horizontal / (diameter * limit)
    return state(
        values,
        ("pot.rim", _limit_name("bearing", edition)),
        "Rim of the piston",
        "w >= 1.3 H/(di sigma_b)",
        (
            Quantity("H", horizontal, "N"),
            Quantity("di", diameter, "m"),
            Quantity("sigma_b", limit, "Pa"),
        ),
        Quantity("w", rim, "m"),
        limit=Quantity("w_min", least, "m"),
        utilisation=least / rim,
    )


def base_thickness(values: Values, thickness: float, diameter: float) -> Line:
    """Bottom of the pot (m) against the diameter of the pad (m)."""
    least = max(values.number("pot.base.least") * diameter, values.number("pot.base.floor"))
    return state(
        values,
        ("pot.base.least", "pot.base.floor"),
        "Bottom of the pot",
        "tb >= 0.025 di, 12 mm",
        (Quantity("di", diameter, "m"),),
        Quantity("tb", thickness, "m"),
        limit=Quantity("tb_min", least, "m"),
        utilisation=least / thickness,
    )
