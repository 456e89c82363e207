"""IRC:83 Part III: PTFE and UHMWPE sliding elements, and guides.

Edition 2018 is limit state; 2002 is working stress and its values bear the head ``2002``. What the
standard shares with EN 1337-2 are the same functions here, read with the figures and clauses of the
Indian pack.
"""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.errors import BedstoneError
from bedstone.standards.cantilever import root_stresses
from bedstone.standards.clause import state
from bedstone.standards.eurocode.sliding import (
    guide_rotation,
    reduced_area_rectangle,
    reduced_area_round,
    resistance,
    stainless_thickness,
)
from bedstone.standards.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

__all__ = [
    "EDITIONS",
    "MATERIALS",
    "Edition",
    "Material",
    "contact_strength",
    "friction",
    "guide_bar",
    "guide_friction",
    "guide_rotation",
    "least_friction",
    "reduced_area_rectangle",
    "reduced_area_round",
    "stainless_thickness",
    "temperature_factor",
    "usual_sheet",
    "usual_temperature",
    "working_contact",
    "working_friction",
]

Material = Literal["PTFE", "UHMWPE"]
MATERIALS: tuple[Material, ...] = get_args(Material)
Edition = Literal["2018", "2002"]
EDITIONS: tuple[Edition, ...] = get_args(Edition)


def usual_temperature(values: Values) -> float:
    """Highest effective bearing temperature (degC) where none is given."""
    return values.number("sliding.temperature.usual")


def temperature_factor(values: Values, material: Material, temperature: float) -> Line:
    """Share of the strength left at a temperature (degC), 5.2.4.6.

    Raises `BedstoneError` where nothing is known of the sheet at that temperature.
    """
    onset = values.number("sliding.temperature.onset")
    if material == "UHMWPE":
        highest = values.number("sliding.temperature.uhmwpe")
        if temperature > highest:
            raise BedstoneError(
                f"the strength of UHMWPE above {highest:g} degC is not known, and {temperature:g} "
                "degC is asked for"
            )
        name, factor = "sliding.temperature.uhmwpe", 1.0
    else:
        name = "sliding.temperature.rate"
        factor = 1.0 - values.number(name) * max(temperature - onset, 0.0)
    if factor <= 0.0:
        raise BedstoneError(f"at {temperature:g} degC nothing is left of the strength of a sheet")
    return state(
        values,
        (name, "sliding.temperature.onset"),
        "Strength left when warm",
        "k = 1 - 0.02 (T - 30)",
        (Quantity("T", temperature, "degC"),),
        Quantity("k", factor, ""),
    )


def contact_strength(
    values: Values, material: Material, force: float, reduced: float, temperature: float
) -> Line:
    """Force (N) at ULS against the strength of the reduced area (m2) at a temperature (2018)."""
    name = f"sliding.main.{material.lower()}"
    return resistance(
        values,
        name,
        f"Contact of the sliding sheet ({material})",
        values.number(name),
        temperature_factor(values, material, temperature).value,
        Quantity("N", force, "N"),
        Quantity("Ar", reduced, "m**2"),
    )


def working_contact(values: Values, force: float, area: float, edge: float) -> tuple[Line, Line]:
    """Average and extreme pressure on confined PTFE at working load (2002 edition).

    `force` N, `area` m2, `edge`: pressure at the edge over the average.
    """
    average_limit, edge_limit = values.row("sliding.2002.contact")
    average = force / area
    inputs = (Quantity("N", force, "N"), Quantity("A", area, "m**2"))
    return (
        state(
            values,
            ("sliding.2002.contact",),
            "Average pressure on the sliding sheet",
            "N/A <= 40 MPa",
            inputs,
            Quantity("sigma", average, "Pa"),
            limit=Quantity("limit", average_limit, "Pa"),
            utilisation=average / average_limit,
        ),
        state(
            values,
            ("sliding.2002.contact",),
            "Extreme pressure on the sliding sheet",
            "N/A + M/Z <= 45 MPa",
            (*inputs, Quantity("edge/average", edge, "")),
            Quantity("sigma_max", average * edge, "Pa"),
            limit=Quantity("limit", edge_limit, "Pa"),
            utilisation=average * edge / edge_limit,
        ),
    )


def friction(values: Values, material: Material, pressure: float) -> Line:
    """Coefficient mu of a lubricated sheet under a contact pressure (Pa), 5.2.4.7 (2018)."""
    if pressure < 0.0:
        raise BedstoneError("a contact pressure is not negative")
    name = f"sliding.friction.{material.lower()}"
    a, b = values.row(name)
    least, greatest = values.row("sliding.friction.limits")
    return state(
        values,
        (name, "sliding.friction.limits"),
        f"Friction of the sliding sheet ({material})",
        "mu = 1.2/(10 + sigma_p) (PTFE), 1.6/(15 + sigma_p) (UHMWPE), 0.02 to 0.08",
        (Quantity("sigma_p", pressure, "Pa"),),
        Quantity("mu", min(max(a / (b + pressure / 1e6), least), greatest), ""),
        note="sigma_p in MPa in the formula",
    )


def working_friction(values: Values, pressure: float, *, lubricated: bool = True) -> Line:
    """Coefficient of PTFE under a pressure (Pa), straight lines between the rows (2002)."""
    if pressure < 0.0:
        raise BedstoneError("a contact pressure is not negative")
    name = "sliding.2002.friction." + ("lubricated" if lubricated else "unlubricated")
    mu = between(pressure, values.row("sliding.2002.pressure"), values.row(name))
    return state(
        values,
        (name, "sliding.2002.pressure"),
        "Friction of PTFE" + ("" if lubricated else ", not lubricated"),
        "table of average pressures 5, 10, 20, 30 MPa",
        (Quantity("sigma_p", pressure, "Pa"),),
        Quantity("mu", mu, ""),
    )


def guide_friction(values: Values) -> Line:
    """Coefficient mu of the strip of a guide, whatever the pressure."""
    return state(
        values,
        ("sliding.friction.guide",),
        "Friction of the guide (PTFE)",
        "mu = 0.08",
        (),
        Quantity("mu", values.number("sliding.friction.guide"), ""),
    )


def least_friction(values: Values) -> float:
    """The smaller coefficient of a slide, for friction that relieves (IRC:6, 211.5.1)."""
    return min(values.row("friction.ptfe"))


def usual_sheet(values: Values) -> float:
    """Thickness (m) of a sheet as seen in use."""
    return values.number("sliding.thickness")


def guide_bar(
    values: Values,
    force: float,
    lever: float,
    length: float,
    width: float,
    yield_strength: float,
    edition: Edition = "2018",
) -> Line:
    """A guide bar as a cantilever from its plate: bending with shear, elastic.

    `force` (N) at `lever` (m) from the root, over `length` (m) of a bar `width` (m) thick.
    """
    bending, stress = root_stresses(force, lever, length, width)
    if edition == "2018":
        name, limit = "sliding.gamma_m0", yield_strength / values.number("sliding.gamma_m0")
    else:
        name = "sliding.2002.combined"
        limit = yield_strength * values.number(name)
        bending_limit = values.number("sliding.2002.bending") * yield_strength
        # The bending stress alone has the lower limit; scale so that one figure tells both.
        stress = max(stress, bending * limit / bending_limit)
    return state(
        values,
        (name,),
        "Guide bar at its root",
        "sqrt(sigma_b^2 + 3 tau^2) <= fy/1.1"
        if edition == "2018"
        else "sqrt(sigma_b^2 + 3 tau^2) <= 0.9 fy and sigma_b <= 0.66 fy",
        (
            Quantity("V", force, "N"),
            Quantity("e", lever, "m"),
            Quantity("l", length, "m"),
            Quantity("w", width, "m"),
            Quantity("fy", yield_strength, "Pa"),
        ),
        Quantity("sigma", stress, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=stress / limit,
    )
