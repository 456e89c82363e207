"""IRC:83 (Part I): metallic rollers and rockers, by working stress. SI units.

Forces are those of the service combinations without factors. All figures are recalled with doubt;
each line says so.
"""

from __future__ import annotations

from bedstone.errors import BedstoneError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def equivalent_diameter(diameter: float, hollow: float | None = None) -> float:
    """D (m) of the rule: D1 D2/(D2 - D1) of a roller D1 in a hollow D2; D1 on a flat plate.

    Raises `BedstoneError` where the hollow surface is not the larger one.
    """
    if hollow is None:
        return diameter
    if hollow <= diameter:
        raise BedstoneError(f"a roller of {diameter:g} m does not turn in a hollow of {hollow:g} m")
    return diameter * hollow / (hollow - diameter)


def line_resistance(
    values: Values, diameter: float, rollers: int, high_tensile: bool = False
) -> float:
    """Permissible load per length (N/m): 8 D or 10 D; 5 D or 7 D for three rollers or more."""
    many = rollers >= values.number("rollers.line.many.count")
    mild, high = values.row("rollers.line.many" if many else "rollers.line.few")
    return (high if high_tensile else mild) * diameter


def line_contact(
    values: Values,
    load: float,
    diameter: float,
    rollers: int,
    high_tensile: bool = False,
    hollow: float | None = None,
) -> Line:
    """Load per length (N/m) of one roller of `diameter` (m) among `rollers`, clause 907.

    `hollow`: diameter (m) of the hollow it turns in, None on a flat plate.
    """
    D = equivalent_diameter(diameter, hollow)
    resistance = line_resistance(values, D, rollers, high_tensile)
    return state(
        values,
        ("rollers.line.few", "rollers.line.many", "rollers.line.many.count"),
        "Line contact",
        "p <= 8 D (mild), 10 D (high tensile); 5 D, 7 D for three rollers or more",
        (Quantity("D", D, "m"), Quantity("n", float(rollers), "")),
        Quantity("p", load, "N/m"),
        limit=Quantity("p", resistance, "N/m"),
        utilisation=load / resistance,
    )


def least_diameter(values: Values, diameter: float) -> Line:
    """Diameter (m) of a roller, at least 75 mm."""
    return _least(values, "rollers.diameter.least", "Least diameter", "D >= 75 mm", "D", diameter)


def least_gap(values: Values, gap: float) -> Line:
    """Clear gap (m) between neighbouring rollers, at least 50 mm."""
    return _least(values, "rollers.gap.least", "Gap between rollers", "gap >= 50 mm", "gap", gap)


def proportions(values: Values, length: float, diameter: float) -> Line:
    """Length over diameter of a roller (m), at most 6."""
    most = values.number("rollers.length.most")
    ratio = length / diameter
    return state(
        values,
        ("rollers.length.most",),
        "Length over diameter",
        "L/D <= 6",
        (Quantity("L", length, "m"), Quantity("D", diameter, "m")),
        Quantity("L/D", ratio, ""),
        limit=Quantity("L/D", most, ""),
        utilisation=ratio / most,
    )


def plate_width_needed(values: Values, outer: float, thickness: float) -> float:
    """Least plate size (m) along the movement: 100 mm, outer contact lines + 2 t."""
    return max(values.number("rollers.plate.width"), outer + 2.0 * thickness)


def plate_width(values: Values, width: float, outer: float, thickness: float) -> Line:
    """Plate size along the movement (m); `outer`: distance of the outer contact lines (m)."""
    least = plate_width_needed(values, outer, thickness)
    return state(
        values,
        ("rollers.plate.width",),
        "Width of the plate",
        "b >= max(100 mm, outer contact lines + 2 t)",
        (Quantity("outer", outer, "m"), Quantity("t", thickness, "m")),
        Quantity("b", width, "m"),
        limit=Quantity("b", least, "m"),
        utilisation=least / width,
    )


def plate_thickness_needed(values: Values, spacing: float) -> float:
    """Least plate thickness (m): 20 mm, a quarter of the distance of contact lines `spacing`."""
    share = values.number("rollers.plate.share")
    return max(values.number("rollers.plate.thickness"), share * spacing)


def plate_thickness(values: Values, thickness: float, spacing: float) -> Line:
    """Plate thickness (m); `spacing` (m): distance of consecutive contact lines, 0 for one."""
    least = plate_thickness_needed(values, spacing)
    return state(
        values,
        ("rollers.plate.thickness", "rollers.plate.share"),
        "Thickness of the plate",
        "t >= max(20 mm, spacing of contact lines/4)",
        (Quantity("s", spacing, "m"),),
        Quantity("t", thickness, "m"),
        limit=Quantity("t", least, "m"),
        utilisation=least / thickness,
    )


def _least(values: Values, name: str, title: str, formula: str, symbol: str, size: float) -> Line:
    least = values.number(name)
    return state(
        values,
        (name,),
        title,
        formula,
        (),
        Quantity(symbol, size, "m"),
        limit=Quantity(symbol, least, "m"),
        utilisation=least / size,
    )
