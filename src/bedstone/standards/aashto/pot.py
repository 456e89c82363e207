"""AASHTO LRFD 14.7.4: pot bearings."""

from __future__ import annotations

import math

from bedstone.standards import pot_pad
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_SYMBOLS = pot_pad.Symbols("Dp", "hr", "theta", "theta1", "theta2")


def _least(
    values: Values,
    names: tuple[str, ...],
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    symbol: str,
    size: float,
    least: float,
) -> Line:
    """A size (m) that must not fall below `least`."""
    return state(
        values,
        names,
        title,
        formula,
        inputs,
        Quantity(symbol, size, "m"),
        limit=Quantity(f"{symbol}_min", least, "m"),
        utilisation=least / size,
    )


def least_load(values: Values, least: float, capacity: float) -> Line:
    """Smallest vertical load at service against the capacity (N), 14.7.4.1."""
    share = values.number("pot.least_load")
    return state(
        values,
        ("pot.least_load",),
        "Least vertical load",
        "P_min >= 0.20 P_capacity",
        (Quantity("P_capacity", capacity, "N"),),
        Quantity("P_min", least, "N"),
        limit=Quantity("limit", share * capacity, "N"),
        utilisation=share * capacity / least if least > 0.0 else math.inf,
    )


def pad_stress(values: Values, force: float, diameter: float) -> Line:
    """Average stress on the pad at service (14.7.4.4)."""
    stress = force / (math.pi / 4.0 * diameter**2)
    limit = values.number("pot.pad.stress")
    return state(
        values,
        ("pot.pad.stress",),
        "Pressure on the pad",
        "sigma_s = P/(pi Dp^2/4) <= 3.5 ksi",
        (Quantity("P", force, "N"), Quantity("Dp", diameter, "m")),
        Quantity("sigma_s", stress, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=stress / limit,
    )


def capacity(values: Values, diameter: float) -> float:
    """Vertical load (N) at service that a pad of a diameter (m) carries (14.7.4.4)."""
    return values.number("pot.pad.stress") * math.pi / 4.0 * diameter**2


def pad_thickness(values: Values, thickness: float, diameter: float, rotation: float) -> Line:
    """Thickness of the pad against the design rotation (14.7.4.3-1)."""
    least = values.number("pot.pad.rotation") * diameter * rotation
    return _least(
        values,
        ("pot.pad.rotation",),
        "Thickness of the pad",
        "hr >= 3.33 Dp theta_u",
        (Quantity("Dp", diameter, "m"), Quantity("theta_u", rotation, "rad")),
        "hr",
        thickness,
        least,
    )


def ring_width(values: Values, width: float, diameter: float) -> Line:
    """Width of rectangular sealing rings (14.7.4.5.2)."""
    share, _ = values.row("pot.ring.share")
    least, most = values.row("pot.ring.width")
    needed = max(share * diameter, least)
    return state(
        values,
        ("pot.ring.width", "pot.ring.share"),
        "Width of the sealing rings",
        "max(0.02 Dp, 0.25 in) <= w <= 0.75 in",
        (Quantity("Dp", diameter, "m"),),
        Quantity("w", width, "m"),
        limit=Quantity("w_min", needed, "m"),
        utilisation=max(needed / width, width / most),
    )


def ring_sizes(values: Values, diameter: float) -> tuple[float, float, int]:
    """Width, depth (m) and number of rectangular sealing rings (14.7.4.5.2)."""
    share, depth = values.row("pot.ring.share")
    least, _ = values.row("pot.ring.width")
    width = max(share * diameter, least)
    return width, depth * width, int(values.number("pot.ring.number"))


def base_thickness(values: Values, thickness: float, diameter: float, *, concrete: bool) -> Line:
    """Bottom of the pot on concrete or grout, or on steel (14.7.4.6)."""
    which = 0 if concrete else 1
    least = max(values.row("pot.base.share")[which] * diameter, values.row("pot.base.least")[which])
    return _least(
        values,
        ("pot.base.share", "pot.base.least"),
        "Bottom of the pot " + ("on concrete" if concrete else "on steel"),
        "tb >= 0.06 Dp, 0.75 in" if concrete else "tb >= 0.04 Dp, 0.50 in",
        (Quantity("Dp", diameter, "m"),),
        "tb",
        thickness,
        least,
    )


def wall_thickness(
    values: Values, thickness: float, diameter: float, stress: float, yield_strength: float
) -> Line:
    """Wall of the pot under the pressure of the pad (14.7.4.6)."""
    least = max(
        diameter * stress / (values.number("pot.wall.factor") * yield_strength),
        values.number("pot.wall.least"),
    )
    return _least(
        values,
        ("pot.wall.factor", "pot.wall.least"),
        "Wall of the pot under pressure",
        "tw >= Dp sigma_s/(1.25 Fy), 0.75 in",
        (
            Quantity("Dp", diameter, "m"),
            Quantity("sigma_s", stress, "Pa"),
            Quantity("Fy", yield_strength, "Pa"),
        ),
        "tw",
        thickness,
        least,
    )


def guided_thickness(
    values: Values,
    thickness: float,
    force: float,
    rotation: float,
    yield_strength: float,
    what: str,
) -> Line:
    """Wall or bottom (`what`) of a pot that carries a horizontal force (N), 14.7.4.6."""
    least = math.sqrt(values.number("pot.wall.guided") * force * rotation / yield_strength)
    return _least(
        values,
        ("pot.wall.guided",),
        f"{what.capitalize()} of the pot under horizontal force",
        "t >= sqrt(40 Hu theta_u/Fy)",
        (
            Quantity("Hu", force, "N"),
            Quantity("theta_u", rotation, "rad"),
            Quantity("Fy", yield_strength, "Pa"),
        ),
        "t",
        thickness,
        least,
    )


def piston_thickness(values: Values, thickness: float, diameter: float) -> Line:
    """Thickness of the piston (14.7.4.7)."""
    return _least(
        values,
        ("pot.piston.thickness",),
        "Thickness of the piston",
        "tp >= 0.06 Dp",
        (Quantity("Dp", diameter, "m"),),
        "tp",
        thickness,
        values.number("pot.piston.thickness") * diameter,
    )


def rim_height(
    values: Values, rim: float, force: float, diameter: float, yield_strength: float
) -> Line:
    """Rim of the piston that presses on the wall under a horizontal force (N), 14.7.4.7."""
    least = max(
        values.number("pot.rim.factor") * force / (diameter * yield_strength),
        values.number("pot.rim.least"),
        values.number("pot.rim.share") * diameter,
    )
    return _least(
        values,
        ("pot.rim.factor", "pot.rim.least", "pot.rim.share"),
        "Rim of the piston",
        "w >= 1.5 Hu/(Dp Fy), 1/8 in, 0.03 Dp",
        (
            Quantity("Hu", force, "N"),
            Quantity("Dp", diameter, "m"),
            Quantity("Fy", yield_strength, "Pa"),
        ),
        "w",
        rim,
        least,
    )


def least_clearance(values: Values, rim: float, diameter: float, rotation: float) -> float:
    """Least clearance (m) between piston and wall (14.7.4.7)."""
    needed = rotation * (rim - diameter * rotation / 2.0)
    return max(needed, values.number("pot.clearance.least"))


def clearance(
    values: Values, clearance: float, rim: float, diameter: float, rotation: float
) -> Line:
    """Clearance between piston and wall so that the rim does not bind (14.7.4.7)."""
    return _least(
        values,
        ("pot.clearance.least",),
        "Clearance of the piston",
        "c >= theta_u (hw - Dp theta_u/2), 0.02 in",
        (
            Quantity("hw", rim, "m"),
            Quantity("Dp", diameter, "m"),
            Quantity("theta_u", rotation, "rad"),
        ),
        "c",
        clearance,
        least_clearance(values, rim, diameter, rotation),
    )


def pot_depth(
    values: Values, depth: float, diameter: float, rotation: float, pad: float, rim: float
) -> Line:
    """Depth of the pot, so that the rim stays inside the wall (14.7.4.3)."""
    return _least(
        values,
        ("pot.pad.rotation",),
        "Depth of the pot",
        "hp1 >= 0.5 Dp theta_u + hr + hw",
        (
            Quantity("Dp", diameter, "m"),
            Quantity("theta_u", rotation, "rad"),
            Quantity("hr", pad, "m"),
            Quantity("hw", rim, "m"),
        ),
        "hp1",
        depth,
        0.5 * diameter * rotation + pad + rim,
    )


def least_gap(values: Values, radius: float, rotation: float, deflection: float) -> float:
    """Least height (m) between the top of the wall and the plate above (14.7.4.3)."""
    return radius * rotation + 2.0 * deflection + values.number("pot.depth.margin")


def top_gap(values: Values, gap: float, radius: float, rotation: float, deflection: float) -> Line:
    """Height between the top of the wall and the plate above (14.7.4.3), all in m."""
    return _least(
        values,
        ("pot.depth.margin",),
        "Gap between wall and plate above",
        "hp2 >= R theta_u + 2 delta_u + 1/8 in",
        (
            Quantity("R", radius, "m"),
            Quantity("theta_u", rotation, "rad"),
            Quantity("delta_u", deflection, "m"),
        ),
        "hp2",
        gap,
        least_gap(values, radius, rotation, deflection),
    )


def restoring_moment(
    values: Values, diameter: float, thickness: float, lasting: float, variable: float
) -> Line:
    """Moment (N m) of the pad against a lasting and a variable rotation (rad): an estimate.

    AASHTO leaves it to the maker or a test (14.6.3.2); the figures of IRC:83 Part III serve here.
    """
    return pot_pad.restoring_moment(
        values,
        _SYMBOLS,
        diameter,
        thickness,
        lasting,
        variable,
        note="estimate; the maker's test replaces it",
    )


def piston_friction_moment(values: Values, force: float, diameter: float) -> Line:
    """Moment (N m) of friction of the piston on the wall under a horizontal force (N)."""
    return pot_pad.friction_moment(values, _SYMBOLS, force, diameter)
