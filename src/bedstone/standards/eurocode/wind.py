"""EN 1991-1-4, section 8: wind on bridge decks by the simplified method."""

from __future__ import annotations

from math import log
from typing import NamedTuple

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.standards.clause import state
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.eurocode.factors import National, factor_name, psi
from bedstone.standards.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, WindPressure
from bedstone.standards.values import Values


class Area(NamedTuple):
    """What the wind meets: its depth (m2 per metre) and the level of its middle (m)."""

    depth: float
    level: float


def force_factor(values: Values, width: float, depth: float, height: float) -> Line:
    """C = c_e c_f,x for a deck `width` wide and `depth` deep (m), `height` z_e above ground (m).

    Linear between the rows and the heights of the table; below 20 m the 20 m column. Raises
    `BedstoneError` above 50 m, which the table does not cover.
    Source: EN 1991-1-4, 8.3.2, Table 8.2.
    """
    ratios, at_low, at_high = zip(*values.table("wind.force_factor"), strict=True)
    heights = values.row("wind.force_factor.heights")
    if height > heights[-1]:
        raise BedstoneError(
            f"Table 8.2 ends at {heights[-1]:g} m above ground, not at {height:g} m"
        )
    ratio = width / depth
    factor = between(
        height, heights, (between(ratio, ratios, at_low), between(ratio, ratios, at_high))
    )
    return state(
        values,
        ("wind.force_factor", "wind.force_factor.heights"),
        title="Wind force factor",
        formula="C from Table 8.2, linear in b/d_tot and z_e",
        inputs=(Quantity("b/d_tot", ratio, ""), Quantity("z_e", height, "m")),
        result=Quantity("C", factor, ""),
    )


def exposure_factor(values: Values, height: float) -> Line:
    """c_e at `height` (m) for terrain category II (EN 1991-1-4, 4.3 to 4.5, (4.8), (4.9))."""
    roughness = values.number("wind.terrain.roughness")
    z = max(height, values.number("wind.terrain.least_height"))
    mean = values.number("wind.terrain.factor") * log(z / roughness)
    turbulence = 1.0 / log(z / roughness)
    return state(
        values,
        ("wind.terrain.peak", "wind.terrain.factor", "wind.terrain.roughness"),
        title="Exposure factor, terrain II",
        formula="c_e = (1 + 7/ln(z/z_0)) (k_r ln(z/z_0))^2",
        inputs=(Quantity("z", z, "m"), Quantity("z_0", roughness, "m")),
        result=Quantity(
            "c_e", (1.0 + values.number("wind.terrain.peak") * turbulence) * mean**2, ""
        ),
    )


def wind_force(
    values: Values, speed: float, factor: float, area: float, name: str = "wind.force_factor"
) -> Line:
    """F_W (N per metre) on `area` (m2 per metre) for velocity v_b = `speed` (m/s), factor C.

    `name`: the value on which C rests.
    Source: EN 1991-1-4, 8.3.2(1), (8.2).
    """
    density = values.number("wind.density")
    return state(
        values,
        (name, "wind.density"),
        title="Wind force",
        formula="F_W = 1/2 rho v_b^2 C A_ref",
        inputs=(
            Quantity("rho", density, "kg/m**3"),
            Quantity("v_b", speed, "m/s"),
            Quantity("C", factor, ""),
            Quantity("A_ref", area, "m**2/m"),
        ),
        result=Quantity("F_W", 0.5 * density * speed**2 * factor * area, "N/m"),
    )


def limit_with_traffic(
    values: Values, national: National, use: str, full: float, capped: float
) -> Line:
    """Wind (N/m) to combine with traffic, before psi_0: psi_0 times it is min(psi_0 F_Wk, F*_W).

    `full`: F_Wk with the height of traffic; `capped`: F*_W, the same at v*_b,0 = 23 m/s (road) or
    v**_b,0 = 25 m/s (rail). Source: EN 1991-1-4, 8.1(4), (5); EN 1990, A2.2.2(5).
    """
    psi_0 = psi(values, national, f"wind_{use}")[0]
    force = min(full, capped / psi_0) if psi_0 > 0.0 else full
    return state(
        values,
        (f"wind.traffic.{use}.speed", factor_name(values, national, f"psi.wind_{use}")),
        title="Wind with traffic",
        formula="min(F_Wk, F*_W/psi_0)",
        inputs=(
            Quantity("F_Wk", full, "N/m"),
            Quantity("F*_W", capped, "N/m"),
            Quantity("psi_0", psi_0, ""),
        ),
        result=Quantity("F_W,traffic", force, "N/m"),
        note="multiplied by psi_0 in the combinations",
    )


def exposed_with_traffic(facts: BridgeFacts, depth: float, level: float, height: float) -> Area:
    """What the wind meets with traffic `height` (m) on a bridge that offers `depth` at `level`.

    Of a truss no more than a plain beam from its lowest part to the top of whichever is higher, the
    truss or its traffic: a train in a truss stands behind its members. Source: EN 1991-1-4,
    8.3.1(4) b and (5), from memory.
    """
    area = depth + height
    middle = (depth * level + height * height / 2) / area
    if facts.outline is not None:
        low, high = facts.outline
        high = max(high, height)
        if area > high - low:
            return Area(high - low, (low + high) / 2)
    return Area(area, middle)


def _work(
    values: Values, facts: BridgeFacts, national: National
) -> tuple[WindPressure, tuple[Line, ...]]:
    """The wind on the bridge and the lines that led there."""
    choices, use = facts.choices, facts.use
    depth = facts.deck_depth
    if not depth > 0.0:
        raise InputError(
            [
                Fault(
                    "bridge file",
                    "actions.wind.depth",
                    f"{depth:g} m",
                    "a depth above 0 exposed to wind",
                )
            ]
        )
    level = CHOSEN.number(choices, "wind.level", facts.exposed_middle)
    traffic = values.number(f"wind.traffic.{use}.height")
    loaded_area = exposed_with_traffic(facts, depth, level, traffic)
    lines: tuple[Line, ...]
    if "wind.pressure" in choices:
        pressure = CHOSEN.needed(choices, "wind.pressure", above=0.0)
        loaded = CHOSEN.number(choices, "wind.pressure_traffic", pressure, above=0.0)
        upward = CHOSEN.number(choices, "wind.pressure_vertical", pressure, least=0.0)
        across = pressure * depth
        across_traffic = loaded * loaded_area.depth
        vertical = upward * facts.deck_width
        lines = ()
    elif "wind.speed" in choices:
        speed = CHOSEN.needed(choices, "wind.speed", above=0.0)
        top = values.row("wind.force_factor.heights")
        height = CHOSEN.number(choices, "wind.reference_height", top[0], least=0.0, most=top[-1])
        table = force_factor(values, facts.deck_width, depth, height)
        factor = CHOSEN.number(choices, "wind.force_factor", table.value, above=0.0)
        bare = wind_force(values, speed, factor, depth)
        full = wind_force(values, speed, factor, loaded_area.depth)
        capped = wind_force(
            values, values.number(f"wind.traffic.{use}.speed"), factor, loaded_area.depth
        )
        with_traffic = limit_with_traffic(values, national, use, full.value, capped.value)
        exposure = exposure_factor(values, height)
        lift = wind_force(
            values,
            speed,
            exposure.value * values.number("wind.vertical.coefficient"),
            facts.deck_width,
            "wind.vertical.coefficient",
        )
        across, across_traffic, vertical = bare.value, with_traffic.value, lift.value
        lines = (
            *(() if "wind.force_factor" in choices else (table,)),
            bare,
            with_traffic,
            exposure,
            lift,
        )
    else:
        raise InputError(
            [
                Fault(
                    "bridge file", "actions.wind", "neither speed nor pressure", "speed or pressure"
                )
            ]
        )
    is_truss = facts.superstructure == "truss"
    return (
        WindPressure(
            across=across,
            across_traffic=across_traffic,
            along_share=values.number("wind.along.truss" if is_truss else "wind.along.plated"),
            vertical=vertical,
            vertical_eccentricity=values.number("wind.vertical.eccentricity") * facts.deck_width,
            height=level,
            height_traffic=loaded_area.level,
        ),
        lines,
    )


def wind_pressure(values: Values, facts: BridgeFacts, national: National) -> WindPressure:
    """Wind on the bridge from its facts and choices; raises `InputError` where these do not do.

    `across_traffic` is limited as `limit_with_traffic` says (with `wind.pressure` the engineer's
    own value stands). Parapets and barriers belong to `deck_depth`.
    """
    return _work(values, facts, national)[0]


def lines(values: Values, facts: BridgeFacts, national: National) -> tuple[Line, ...]:
    """Calculation lines of the wind."""
    return _work(values, facts, national)[1]
