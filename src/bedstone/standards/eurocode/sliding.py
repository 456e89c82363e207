"""EN 1337-2: sliding elements of PTFE (and assessed sheets) on austenitic steel, and guides."""

from __future__ import annotations

import math
from typing import Literal, get_args

from bedstone.errors import BedstoneError
from bedstone.standards.cantilever import root_stresses
from bedstone.standards.clause import state
from bedstone.standards.eurocode.friction import Mating
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Material = Literal["PTFE", "UHMWPE"]
MATERIALS: tuple[Material, ...] = get_args(Material)
GuideMaterial = Literal["PTFE", "CM1", "CM2"]
GUIDE_MATERIALS: tuple[GuideMaterial, ...] = get_args(GuideMaterial)


def temperature_factor(
    values: Values, material: Material | GuideMaterial, temperature: float
) -> Line:
    """Share of the strength left at the bearing's effective temperature (degC), Table 10.

    Raises `BedstoneError` where nothing is known of the sheet at that temperature.
    """
    ptfe, composite = values.row("sliding.temperature.onset")
    names: tuple[str, ...] = ("sliding.temperature.rate", "sliding.temperature.onset")
    if material == "UHMWPE":
        names = ("sliding.temperature.uhmwpe",)
        highest = values.number("sliding.temperature.uhmwpe")
        if temperature > highest:
            raise BedstoneError(
                f"the strength of UHMWPE above {highest:g} degC is not known, and {temperature:g} "
                "degC is asked for"
            )
        factor = 1.0
    else:
        onset = ptfe if material == "PTFE" else composite
        factor = 1.0 - values.number("sliding.temperature.rate") * max(temperature - onset, 0.0)
    if factor <= 0.0:
        raise BedstoneError(f"at {temperature:g} degC nothing is left of the strength of a sheet")
    return state(
        values,
        names,
        "Strength left when warm",
        "k = 1 - 0.02 (T - T0) >= 0, T0 = 30 degC (PTFE), 48 degC (composite)",
        (Quantity("T", temperature, "degC"),),
        Quantity("k", factor, ""),
    )


def reduced_area_round(values: Values, diameter: float, eccentricity: float) -> Line:
    """Area Ar (m2) of a round sheet under an eccentric force, both in m (Annex A)."""
    area = math.pi / 4.0 * diameter**2
    share = values.number("sliding.reduced.circle") * math.pi * eccentricity / diameter
    return state(
        values,
        ("sliding.reduced.circle",),
        "Reduced contact area, round",
        "Ar = A (1 - 0.75 pi e/L)",
        (
            Quantity("A", area, "m**2"),
            Quantity("e", eccentricity, "m"),
            Quantity("L", diameter, "m"),
        ),
        Quantity("Ar", max(area * (1.0 - share), 0.0), "m**2"),
    )


def reduced_area_rectangle(
    values: Values, length: float, width: float, ex: float, ey: float
) -> Line:
    """Area Ar (m2) of a rectangular sheet whose centroid lies under the force; m (Annex A).

    The rectangle that is left is derived by statics, A - 2 e a with one eccentricity.
    """
    twice = values.number("sliding.reduced.rectangle")
    area = max(length - twice * abs(ex), 0.0) * max(width - twice * abs(ey), 0.0)
    return state(
        values,
        ("sliding.reduced.rectangle",),
        "Reduced contact area, rectangle",
        "Ar = (a - 2 ex)(b - 2 ey)",
        (
            Quantity("a", length, "m"),
            Quantity("b", width, "m"),
            Quantity("ex", abs(ex), "m"),
            Quantity("ey", abs(ey), "m"),
        ),
        Quantity("Ar", area, "m**2"),
    )


def resistance(
    values: Values,
    name: str,
    title: str,
    strength: float,
    left: float,
    force: Quantity,
    area: Quantity,
    clause: str | None = None,
) -> Line:
    """A force (N) at ULS against the strength (Pa) of a sheet or strip of an area (m2).

    `name`: the value that the strength comes from; `left`: share of it left when warm.
    """
    gamma = values.number("sliding.gamma_m")
    limit = strength * left / gamma * area.value
    return state(
        values,
        (name, "sliding.gamma_m", "sliding.temperature.rate"),
        title,
        f"{force.symbol} <= k fk {area.symbol}/gamma_m",
        (
            force,
            Quantity("fk", strength, "Pa"),
            Quantity("k", left, ""),
            area,
            Quantity("gamma_m", gamma, ""),
        ),
        force,
        clause=clause,
        limit=Quantity(f"{force.symbol}_Rd", limit, "N"),
        utilisation=force.value / limit if limit > 0.0 else math.inf,
    )


def contact_strength(
    values: Values, material: Material, force: float, reduced: float, temperature: float
) -> Line:
    """Force (N) at ULS against the strength of the reduced area (m2) at a temperature (6.8.3)."""
    name = f"sliding.main.{material.lower()}"
    return resistance(
        values,
        name,
        f"Contact of the sliding sheet ({material})",
        values.number(name),
        temperature_factor(values, material, temperature).value,
        Quantity("N", force, "N"),
        Quantity("Ar", reduced, "m**2"),
        clause="6.8.3",
    )


def full_contact(values: Values, use: float) -> Line:
    """No edge of the sheet lifts under the characteristic combination (6.8.2).

    `use`: eccentricity over the kernel of the sheet, 8 e/L for a circle, 6 ex/a + 6 ey/b for a
    rectangle (linear stress, derived).
    """
    return state(
        values,
        ("sliding.edge",),
        "Full contact of the sliding sheet",
        "sigma_p,min = N/A - M/W >= 0: 8 e/L or 6 ex/a + 6 ey/b at most 1",
        (),
        Quantity("e/kernel", use, ""),
        limit=Quantity("1", 1.0, ""),
        utilisation=use,
    )


def friction(
    values: Values,
    material: Material,
    pressure: float,
    *,
    mating: Mating = "steel",
    curved: bool = False,
    lowest_temperature: float | None = None,
) -> Line:
    """Greatest coefficient mu_max under a contact pressure (Pa), Table 11.

    `lowest_temperature`: coldest effective temperature of the bearing (degC), None if it may be
    cold. Raises `BedstoneError` for a negative pressure.
    """
    if pressure < 0.0:
        raise BedstoneError("a contact pressure is not negative")
    if material == "UHMWPE":
        k = 1.0
        names: tuple[str, ...] = ("sliding.friction.uhmwpe", "sliding.friction.uhmwpe.limits")
        formula = "mu_max = 1.6/(15 + sigma_p), 0.02 to 0.08"
    else:
        mate = f"friction.ptfe.{mating}"
        k = values.number(mate)
        names = ("friction.ptfe.curve", "friction.ptfe.limits", mate)
        formula = "mu_max = 1.2 k/(10 + sigma_p), 0.03 k (curved 0.025 k) to 0.08 k"
    a, b = values.row(names[0])
    least, greatest = values.row(names[1])
    if curved and material == "PTFE":
        least = values.number("sliding.friction.curved")
        names = (*names, "sliding.friction.curved")
    mu = min(max(a * k / (b + pressure / 1e6), k * least), k * greatest)
    threshold, warm = values.row("sliding.friction.warm")
    if lowest_temperature is not None and lowest_temperature >= threshold:
        mu *= warm
        names = (*names, "sliding.friction.warm")
        formula += ", times 2/3: never colder than -5 degC"
    return state(
        values,
        names,
        f"Friction of the sliding sheet ({material})",
        formula,
        (Quantity("k", k, ""), Quantity("sigma_p", pressure, "Pa")),
        Quantity("mu_max", mu, ""),
        note="sigma_p in MPa in the formula",
    )


def guide_friction(values: Values, material: GuideMaterial) -> Line:
    """Coefficient mu of the strip of a guide, whatever the pressure (6.7)."""
    name = "sliding.friction.guide." + ("ptfe" if material == "PTFE" else "cm")
    return state(
        values,
        (name,),
        f"Friction of the guide ({material})",
        "mu = 0.08 (PTFE), 0.20 (composite)",
        (),
        Quantity("mu", values.number(name), ""),
    )


def guide_contact(
    values: Values,
    material: GuideMaterial,
    force: float,
    area: float,
    temperature: float,
    *,
    lasting: bool = False,
) -> Line:
    """Force (N) of a guide against the strength of its strip (m2), 6.8.3 and Table 10.

    `lasting`: permanent actions alone, for which PTFE strips carry far less. The part of
    temperature in a force is not told apart: all that is not lasting counts as variable.
    """
    name = f"sliding.guide.{material.lower()}"
    if material == "PTFE":
        variable, _, permanent = values.row(name)
        strength = permanent if lasting else variable
    else:
        strength = values.number(name)
    return resistance(
        values,
        name,
        f"Contact of the guide strip ({material})" + (", permanent" if lasting else ""),
        strength,
        temperature_factor(values, material, temperature).value,
        Quantity("V", force, "N"),
        Quantity("A", area, "m**2"),
    )


def guide_rotation(values: Values, rotation: float, smallest: float) -> Line:
    """Difference of deformation (m) across a strip of `smallest` side under a rotation (6.4).

    Above the limit the strip needs a rocker strip behind it.
    """
    difference = abs(rotation) * smallest
    limit = values.number("sliding.guide.rotation")
    return state(
        values,
        ("sliding.guide.rotation",),
        "Rotation across a flat sliding strip",
        "theta b <= 0.2 mm",
        (Quantity("theta", abs(rotation), "rad"), Quantity("b", smallest, "m")),
        Quantity("theta b", difference, "m"),
        limit=Quantity("limit", limit, "m"),
        utilisation=difference / limit,
    )


def guide_clearance(values: Values, clearance: float, length: float) -> Line:
    """Total clearance (m) of a guide of a length (m); more lets the bearing knock."""
    limit = values.number("sliding.clearance") + values.number("sliding.clearance.slope") * length
    return state(
        values,
        ("sliding.clearance", "sliding.clearance.slope"),
        "Clearance of the guide",
        "c <= 1 mm + L/1000",
        (Quantity("L", length, "m"),),
        Quantity("c", clearance, "m"),
        limit=Quantity("c_max", limit, "m"),
        utilisation=clearance / limit,
    )


def sheet_size(values: Values, around: float) -> Line:
    """Circle around the sheet (m) within the range of the tests (scope)."""
    least, most = values.row("sliding.size")
    return state(
        values,
        ("sliding.size",),
        "Size of the sliding sheet",
        "75 mm <= L <= 1500 mm",
        (),
        Quantity("L", around, "m"),
        limit=Quantity("L_max", most, "m"),
        utilisation=max(around / most, least / around),
    )


def protrusion(values: Values, around: float) -> Line:
    """Height h (m) by which a sheet stands out of its recess; `around` in m (5.2)."""
    start, least = values.row("sliding.protrusion")
    h = max(start + around / values.number("sliding.protrusion.slope"), least)
    return state(
        values,
        ("sliding.protrusion", "sliding.protrusion.slope"),
        "Protrusion of the sliding sheet",
        "h = 1.75 mm + L/1200 >= 2.2 mm",
        (Quantity("L", around, "m"),),
        Quantity("h", h, "m"),
    )


def sheet_thickness(values: Values, thickness: float, height: float) -> Line:
    """Thickness tp (m) of a recessed sheet that stands out by `height` h (5.2)."""
    least = values.number("sliding.thickness.factor") * height
    most = values.number("sliding.thickness.most")
    return state(
        values,
        ("sliding.thickness.factor", "sliding.thickness.most"),
        "Thickness of the sliding sheet",
        "2.2 h <= tp <= 8 mm",
        (Quantity("h", height, "m"),),
        Quantity("tp", thickness, "m"),
        limit=Quantity("2.2 h", least, "m"),
        utilisation=max(least / thickness, thickness / most),
    )


def stainless_thickness(values: Values, thickness: float) -> Line:
    """Thickness (m) of the austenitic sheet (5.4)."""
    least = values.number("sliding.stainless")
    return state(
        values,
        ("sliding.stainless",),
        "Thickness of the stainless sheet",
        "t >= 1.5 mm",
        (),
        Quantity("t", thickness, "m"),
        limit=Quantity("t_min", least, "m"),
        utilisation=least / thickness,
    )


def backing_thickness(values: Values, thickness: float, around: float) -> Line:
    """Thickness (m) of a plate that holds a sheet, or on which one slides (6.9)."""
    least = max(values.number("sliding.backing"), values.number("sliding.backing.slope") * around)
    return state(
        values,
        ("sliding.backing", "sliding.backing.slope"),
        "Thickness of the plate behind the sheet",
        "tb >= 10 mm and 0.05 L",
        (Quantity("L", around, "m"),),
        Quantity("tb", thickness, "m"),
        limit=Quantity("tb_min", least, "m"),
        utilisation=least / thickness,
        note="recalled with doubt",
    )


def scope_temperature(values: Values, highest: float) -> Line:
    """Effective temperature (degC) within the scope of the standard (1)."""
    _, most = values.row("sliding.temperature.scope")
    return state(
        values,
        ("sliding.temperature.scope",),
        "Temperature of the sliding sheet",
        "T <= 50 degC",
        (),
        Quantity("T", highest, "degC"),
        limit=Quantity("T_max", most, "degC"),
        utilisation=max(highest, 0.0) / most,
    )


def steel_strength(values: Values, yield_strength: float) -> float:
    """fy/gamma_M0 (Pa) of guides and plates (EN 1993-1-1, 6.1)."""
    return yield_strength / values.number("sliding.gamma_m0")


def guide_bar(
    values: Values, force: float, lever: float, length: float, width: float, yield_strength: float
) -> Line:
    """A guide bar as a cantilever from its plate: elastic bending with shear (EN 1993-1-1, 6.2).

    `force` (N) at `lever` (m) from the root, over `length` (m) of a bar `width` (m) thick; the
    length that carries is that of the strip (derived, safe).
    """
    _, stress = root_stresses(force, lever, length, width)
    limit = steel_strength(values, yield_strength)
    return state(
        values,
        ("sliding.gamma_m0",),
        "Guide bar at its root",
        "sqrt((6 V e/(l w^2))^2 + 3 (1.5 V/(l w))^2) <= fy/gamma_M0",
        (
            Quantity("V", force, "N"),
            Quantity("e", lever, "m"),
            Quantity("l", length, "m"),
            Quantity("w", width, "m"),
            Quantity("fy", yield_strength, "Pa"),
        ),
        Quantity("sigma", stress, "Pa"),
        clause="6.2.1 (5)",
        limit=Quantity("fy/gamma_M0", limit, "Pa"),
        utilisation=stress / limit,
    )
