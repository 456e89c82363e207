"""AASHTO 14.7.1: metal rockers and rollers; the allowable line load of the older specification.

Forces are those of the service limit state, strengths Fy of the weaker surface. SI units.
"""

from __future__ import annotations

import math

from bedstone.errors import BedstoneError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values, si_factor

_IN = si_factor("in")
_KSI = si_factor("kip") / _IN**2


def curvature_diameter(first: float, second: float = math.inf) -> float:
    """D1/(1 - D1/D2) (m) of 14.7.1.4; D2 positive for hollow mates (same sense), infinite if flat.

    Raises `BedstoneError` where the hollow surface is not the larger one.
    """
    if not first > 0.0 or 0.0 < second <= first:
        raise BedstoneError(f"a roller of {first:g} m does not turn on a surface of {second:g} m")
    return first / (1.0 - first / second)


def line_resistance(
    values: Values, diameter: float, fy: float, E: float, mate: float = math.inf
) -> float:
    """Greatest service load per length (N/m), 14.7.1.4."""
    shape = curvature_diameter(diameter, mate)
    return values.number("rollers.line.factor") * shape * fy**2 / E


def line_contact(
    values: Values, load: float, diameter: float, fy: float, E: float, mate: float = math.inf
) -> Line:
    """Service load per length (N/m) of a cylinder of `diameter` D1 (m) on `mate` D2 (14.7.1.4)."""
    resistance = line_resistance(values, diameter, fy, E, mate)
    return state(
        values,
        ("rollers.line.factor",),
        "Line contact",
        "P_s/W <= 8 D1/(1 - D1/D2) Fy^2/Es",
        _surfaces(diameter, mate, fy, E),
        Quantity("P_s/W", load, "N/m"),
        limit=Quantity("P_s/W", resistance, "N/m"),
        utilisation=load / resistance,
    )


def point_contact(
    values: Values, load: float, diameter: float, fy: float, E: float, mate: float = math.inf
) -> Line:
    """Service load (N) of a sphere of `diameter` D1 (m) on `mate` D2 (14.7.1.4)."""
    shape = curvature_diameter(diameter, mate)
    resistance = values.number("rollers.point.factor") * shape**2 * fy**3 / E**2
    return state(
        values,
        ("rollers.point.factor",),
        "Point contact",
        "P_s <= 40 (D1/(1 - D1/D2))^2 Fy^3/Es^2",
        _surfaces(diameter, mate, fy, E),
        Quantity("P_s", load, "N"),
        limit=Quantity("P_s", resistance, "N"),
        utilisation=load / resistance,
    )


def stable_faces(values: Values, distance: float, first: float, second: float) -> Line:
    """A rocker with two curved faces stands if its contact lines are at most R1 + R2 apart (m)."""
    most = values.number("rollers.faces") * (first + second)
    return state(
        values,
        ("rollers.faces",),
        "Stability of two curved faces",
        "distance <= R1 + R2",
        (Quantity("R1", first, "m"), Quantity("R2", second, "m")),
        Quantity("distance", distance, "m"),
        limit=Quantity("distance", most, "m"),
        utilisation=distance / most,
    )


def design_rotation(values: Values, rotation: float) -> Line:
    """Rotation (rad) with the allowance for tolerances (14.4.2)."""
    allowance = values.number("rollers.rotation.allowance")
    return state(
        values,
        ("rollers.rotation.allowance",),
        "Design rotation",
        "theta + 0.005",
        (Quantity("theta", abs(rotation), "rad"),),
        Quantity("theta_d", abs(rotation) + allowance, "rad"),
    )


def standard_line_resistance(values: Values, diameter: float, fy: float) -> float:
    """Allowable load per length (N/m) of the Standard Specifications; `diameter` up to 125 in."""
    yield_less, divisor = values.row("rollers.standard.yield")
    first, last = values.row("rollers.standard.diameters")
    if not 0.0 < diameter <= last:
        raise BedstoneError(
            f"the rule knows rollers up to {last:.3f} m, not one of {diameter:g} m diameter"
        )
    d = diameter / _IN
    if diameter <= first:
        shape = values.number("rollers.standard.small") * d
    else:
        shape = values.number("rollers.standard.large") * math.sqrt(d)
    return (fy / _KSI - yield_less) / divisor * shape * si_factor("kip") / _IN


def standard_line_contact(values: Values, load: float, diameter: float, fy: float) -> Line:
    """Load per length (N/m) against the Standard Specifications, all loads unfactored."""
    resistance = standard_line_resistance(values, diameter, fy)
    return state(
        values,
        (
            "rollers.standard.yield",
            "rollers.standard.small",
            "rollers.standard.large",
            "rollers.standard.diameters",
        ),
        "Line contact, Standard Specifications",
        "p <= (Fy - 13)/20 0.6 d (d <= 25 in), (Fy - 13)/20 3 sqrt(d)",
        (Quantity("d", diameter, "m"), Quantity("Fy", fy, "Pa")),
        Quantity("p", load, "N/m"),
        "Fy in ksi, d in inches, p in kip/in in the formula",
        limit=Quantity("p", resistance, "N/m"),
        utilisation=load / resistance,
    )


def standard_diameter(values: Values, diameter: float) -> Line:
    """Rollers of at least 6 in diameter (m), Standard Specifications."""
    least = values.number("rollers.standard.least_diameter")
    return state(
        values,
        ("rollers.standard.least_diameter",),
        "Least diameter",
        "d >= 6 in",
        (),
        Quantity("d", diameter, "m"),
        limit=Quantity("d", least, "m"),
        utilisation=least / diameter,
    )


def _surfaces(diameter: float, mate: float, fy: float, E: float) -> tuple[Quantity, ...]:
    hollow = () if math.isinf(mate) else (Quantity("D2", mate, "m"),)
    return (
        Quantity("D1", diameter, "m"),
        *hollow,
        Quantity("Fy", fy, "Pa"),
        Quantity("Es", E, "Pa"),
    )
