"""AASHTO LRFD 14.7.2 and 14.7.9: PTFE sliding surfaces, guides and restraints."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.errors import BedstoneError
from bedstone.standards.aashto.friction import Surface, ptfe
from bedstone.standards.cantilever import root_stresses
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Material = Literal[
    "PTFE dimpled lubricated", "PTFE unfilled", "PTFE filled", "PTFE woven", "PTFE woven reinforced"
]
MATERIALS: tuple[Material, ...] = get_args(Material)

#: Row of Table 14.7.2.4-1 and row of Table 14.7.2.5-1; sheets lie in a recess (confined).
_TABLES: dict[Material, tuple[str, Surface]] = {
    "PTFE dimpled lubricated": ("sliding.contact.confined", "dimpled"),
    "PTFE unfilled": ("sliding.contact.confined", "plain"),
    "PTFE filled": ("sliding.contact.filled", "filled"),
    "PTFE woven": ("sliding.contact.woven", "woven"),
    "PTFE woven reinforced": ("sliding.contact.reinforced", "woven"),
}
_UNCONFINED = "sliding.contact.unconfined"


def _limits(values: Values, material: Material, confined: bool) -> tuple[str, tuple[float, ...]]:
    plain = material in {"PTFE dimpled lubricated", "PTFE unfilled"}
    name = _UNCONFINED if plain and not confined else _TABLES[material][0]
    return name, values.row(name)


def contact(
    values: Values,
    material: Material,
    force: float,
    area: float,
    edge: float,
    *,
    permanent: bool,
    confined: bool = True,
) -> tuple[Line, Line]:
    """Average and edge contact stress at service under a force (N) on an area (m2), 14.7.2.4.

    `edge`: stress at the edge over the average one (linear, >= 1); `permanent`: permanent actions
    alone.
    """
    name, limits = _limits(values, material, confined)
    average_limit, edge_limit = (limits[0], limits[2]) if permanent else (limits[1], limits[3])
    actions = "permanent" if permanent else "all"
    average = force / area
    inputs = (Quantity("P", force, "N"), Quantity("A", area, "m**2"))
    return (
        state(
            values,
            (name,),
            f"Average contact stress, {actions} actions ({material})",
            "P/A <= Table 14.7.2.4-1",
            inputs,
            Quantity("sigma", average, "Pa"),
            limit=Quantity("limit", average_limit, "Pa"),
            utilisation=average / average_limit,
        ),
        state(
            values,
            (name,),
            f"Edge contact stress, {actions} actions ({material})",
            "P/A + M/S <= Table 14.7.2.4-1",
            (*inputs, Quantity("edge/average", edge, "")),
            Quantity("sigma_edge", average * edge, "Pa"),
            limit=Quantity("limit", edge_limit, "Pa"),
            utilisation=average * edge / edge_limit,
        ),
    )


def average_stress(values: Values, material: Material) -> float:
    """Permissible average contact stress under all actions (Pa), 14.7.2.4."""
    return _limits(values, material, True)[1][1]


def friction(values: Values, material: Material, pressure: float, temperature: float) -> Line:
    """Coefficient of friction at a contact pressure (Pa) and temperature (degC), 14.7.2.5."""
    if pressure < 0.0:
        raise BedstoneError("a contact pressure is not negative")
    return ptfe(values, _TABLES[material][1], pressure, temperature)


def lowest_temperature(values: Values) -> float:
    """Temperature (degC) at which friction is read where none is given."""
    return values.number("friction.usual.temperature")


def relieving(values: Values) -> float:
    """Share of the friction that may be counted where it helps (14.7.2.5)."""
    return values.number("friction.ptfe.relieving")


def sheet_thickness(values: Values, thickness: float, around: float) -> Line:
    """Thickness (m) of a recessed sheet whose largest dimension is `around` (14.7.2.3)."""
    least = least_sheet(values, around)
    return state(
        values,
        ("sliding.sheet", "sliding.sheet.size"),
        "Thickness of the sliding sheet",
        "t >= 3/16 in up to 24 in, 1/4 in above, recessed",
        (Quantity("L", around, "m"),),
        Quantity("t", thickness, "m"),
        limit=Quantity("t_min", least, "m"),
        utilisation=least / thickness,
    )


def least_sheet(values: Values, around: float) -> float:
    """Least thickness (m) of a recessed sheet, never below that of any sheet (14.7.2.3)."""
    any_sheet, small, large = values.row("sliding.sheet")
    recessed = small if around <= values.number("sliding.sheet.size") else large
    return max(any_sheet, recessed)


def recess(values: Values, thickness: float) -> float:
    """Depth (m) of the recess of a sheet (14.7.2.3)."""
    return values.number("sliding.sheet.recess") * thickness


def stainless_thickness(values: Values, thickness: float, around: float) -> Line:
    """Thickness (m) of the stainless sheet whose largest dimension is `around` (14.7.2.3.2)."""
    least = least_stainless(values, around)
    return state(
        values,
        ("sliding.stainless", "sliding.stainless.size"),
        "Thickness of the stainless sheet",
        "16 gauge up to 12 in, 11 gauge above",
        (Quantity("L", around, "m"),),
        Quantity("t", thickness, "m"),
        limit=Quantity("t_min", least, "m"),
        utilisation=least / thickness,
    )


def least_stainless(values: Values, around: float) -> float:
    """Least thickness (m) of the stainless sheet (14.7.2.3.2)."""
    small, large = values.row("sliding.stainless")
    return small if around <= values.number("sliding.stainless.size") else large


def guide_force(values: Values, vertical: float) -> Line:
    """Least force (N) of a guide or restraint for a vertical service load (N), 14.7.9.2."""
    share = values.number("sliding.guide.share")
    return state(
        values,
        ("sliding.guide.share",),
        "Least force of guides and restraints",
        "H >= 0.10 P",
        (Quantity("P", vertical, "N"),),
        Quantity("H_min", share * vertical, "N"),
    )


def guide_play(values: Values) -> float:
    """Play (m) of a guide on each side (14.7.9.3)."""
    return values.number("sliding.guide.play")


def design_rotation(values: Values, rotation: float, *, disc: bool = False) -> Line:
    """Strength rotation (rad) with tolerances and uncertainty (14.4.2.2)."""
    if disc:
        name = "sliding.allowance.disc"
        allowance = values.number(name)
    else:
        name = "sliding.allowance.metal"
        allowance = sum(values.row(name))
    return state(
        values,
        (name,),
        "Design rotation",
        "theta_u = theta + 0.005 (disc)" if disc else "theta_u = theta + 0.005 + 0.005",
        (Quantity("theta", rotation, "rad"),),
        Quantity("theta_u", rotation + allowance, "rad"),
    )


def guide_bar(
    values: Values, force: float, lever: float, length: float, width: float, yield_strength: float
) -> Line:
    """A guide bar as a cantilever from its plate: elastic bending with shear (6.12, derived).

    `force` (N) at `lever` (m) from the root, over `length` (m) of a bar `width` (m) thick.
    """
    _, stress = root_stresses(force, lever, length, width)
    limit = values.number("sliding.phi_f") * yield_strength
    return state(
        values,
        ("sliding.phi_f",),
        "Guide bar at its root",
        "sqrt((6 V e/(l w^2))^2 + 3 (1.5 V/(l w))^2) <= phi_f Fy",
        (
            Quantity("V", force, "N"),
            Quantity("e", lever, "m"),
            Quantity("l", length, "m"),
            Quantity("w", width, "m"),
            Quantity("Fy", yield_strength, "Pa"),
        ),
        Quantity("sigma", stress, "Pa"),
        limit=Quantity("phi Fy", limit, "Pa"),
        utilisation=stress / limit,
    )
