"""EN 1337-4 and EN 1337-6: contact of rollers and rockers, proportions, scope. SI units.

Design forces are those of the fundamental combination (ultimate limit state), strengths fu.
"""

from __future__ import annotations

from bedstone.errors import BedstoneError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def line_resistance(values: Values, radius: float, fu: float, E: float, rocker: bool) -> float:
    """N'Rd (N/m) = 23 R fu^2/(E gamma_M^2) of a cylinder of `radius` R (m) on a flat plate."""
    head = "rollers.rocker.line" if rocker else "rollers.line"
    return (
        values.number(f"{head}.factor") * radius * fu**2 / E / values.number(f"{head}.gamma") ** 2
    )


def line_contact(
    values: Values, load: float, radius: float, fu: float, E: float, rocker: bool = False
) -> Line:
    """N'Sd <= N'Rd of a roller (EN 1337-4) or a line rocker (EN 1337-6, 6.5.1).

    `load` N'Sd (N/m): greatest along the contact, eccentricity across included; `radius` R (m);
    `fu` (Pa): lower tensile strength of the two surfaces; `E` Pa.
    """
    head = "rollers.rocker.line" if rocker else "rollers.line"
    resistance = line_resistance(values, radius, fu, E, rocker)
    return state(
        values,
        (f"{head}.factor", f"{head}.gamma"),
        "Line contact",
        "N'Sd <= 23 R fu^2/(E gamma_M^2)",
        (
            Quantity("R", _positive("radius", radius), "m"),
            Quantity("fu", fu, "Pa"),
            Quantity("E", E, "Pa"),
            Quantity("gamma_M", values.number(f"{head}.gamma"), ""),
        ),
        Quantity("N'Sd", load, "N/m"),
        limit=Quantity("N'Rd", resistance, "N/m"),
        utilisation=load / resistance,
    )


def point_contact(values: Values, load: float, radius: float, fu: float, E: float) -> Line:
    """N_Sd <= N_Rd of a sphere of `radius` R (m) on a flat plate (EN 1337-6, 6.5.3); `load` N."""
    gamma = values.number("rollers.rocker.point.gamma")
    factor = values.number("rollers.rocker.point.factor")
    resistance = factor * _positive("radius", radius) ** 2 * fu**3 / E**2 / gamma**3
    return state(
        values,
        ("rollers.rocker.point.factor", "rollers.rocker.point.gamma"),
        "Point contact",
        "N_Sd <= 220 R^2 fu^3/(E^2 gamma_M^3)",
        (
            Quantity("R", radius, "m"),
            Quantity("fu", fu, "Pa"),
            Quantity("E", E, "Pa"),
            Quantity("gamma_M", gamma, ""),
        ),
        Quantity("N_Sd", load, "N"),
        limit=Quantity("N_Rd", resistance, "N"),
        utilisation=load / resistance,
    )


def proportions(values: Values, length: float, diameter: float) -> Line:
    """2 <= L/D <= 6 for a roller of `length` L and `diameter` D (m), EN 1337-4."""
    least, most = values.row("rollers.length")
    ratio = length / _positive("diameter", diameter)
    too_short = least / ratio
    too_long = ratio / most
    return state(
        values,
        ("rollers.length",),
        "Length over diameter",
        "2 <= L/D <= 6",
        (Quantity("L", length, "m"), Quantity("D", diameter, "m")),
        Quantity("L/D", ratio, ""),
        limit=Quantity("L/D", least if too_short > too_long else most, ""),
        utilisation=max(too_short, too_long),
    )


def rotation(values: Values, angle: float, rocker: bool = False) -> Line:
    """Scope: rotation (rad) under the characteristic combination not above 0.05 rad, clause 1."""
    name = "rollers.rocker.rotation.limit" if rocker else "rollers.rotation.limit"
    most = values.number(name)
    return state(
        values,
        (name,),
        "Rotation within the scope",
        "theta <= 0.05 rad",
        (),
        Quantity("theta", abs(angle), "rad"),
        limit=Quantity("theta", most, "rad"),
        utilisation=abs(angle) / most,
    )


def least_yield(values: Values, fy: float) -> Line:
    """Carbon steel of the contact: yield strength `fy` (Pa) at least 240 MPa, EN 1337-4."""
    least = values.number("rollers.yield.least")
    return state(
        values,
        ("rollers.yield.least",),
        "Yield strength of the contact",
        "fy >= 240 MPa",
        (),
        Quantity("fy", fy, "Pa"),
        limit=Quantity("fy", least, "Pa"),
        utilisation=least / fy,
    )


def _positive(what: str, size: float) -> float:
    if not size > 0.0:
        raise BedstoneError(f"a {what} is more than 0, not {size:g} m")
    return size
