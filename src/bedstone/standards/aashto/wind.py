"""Wind on structure, on live load and from below (AASHTO LRFD 3.8), simplified for bearings."""

from __future__ import annotations

from bedstone.standards.aashto.choices import CHOSEN, units
from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, WindPressure
from bedstone.standards.values import Values


def drag(values: Values, facts: BridgeFacts) -> float:
    """Drag coefficient on the exposed depth: chosen, or by kind (windward + leeward truss)."""
    chosen = CHOSEN.given(facts.choices, "wind.drag", above=0)
    if chosen is not None:
        return chosen
    if facts.superstructure == "truss":
        return sum(values.row("wind.drag.truss"))
    return values.number("wind.drag.girders")


def pressure(values: Values, facts: BridgeFacts, speed: float) -> Line:
    """Wind pressure P_z (Pa) for a design speed (m/s), drag included (3.8.1.2.1)."""
    chosen = CHOSEN.given(facts.choices, "wind.exposure", above=0)
    K_z = values.number("wind.exposure") if chosen is None else chosen
    G = values.number("wind.gust")
    C_D = drag(values, facts)
    factor = values.number("wind.pressure")
    return state(
        values,
        ("wind.pressure", "wind.gust"),
        "Wind pressure on the structure",
        "P_z = 0.613 V^2 K_z G C_D",
        (
            Quantity("V", speed, "m/s"),
            Quantity("K_z", K_z, ""),
            Quantity("G", G, ""),
            Quantity("C_D", C_D, ""),
        ),
        Quantity("P_z", factor * speed**2 * K_z * G * C_D, "Pa"),
    )


def pressures(values: Values, facts: BridgeFacts) -> tuple[Line, Line]:
    """Pressures without and with live load: the latter at no more than the speed of Strength V.

    Raises `InputError` when the choices give neither a speed nor a pressure.
    """
    speed = CHOSEN.given(facts.choices, "wind.speed", above=0)
    given = CHOSEN.given(facts.choices, "wind.pressure", above=0)
    limit = values.number("wind.speed_with_traffic")
    if given is not None:
        alone = state(
            values,
            ("wind.pressure",),
            "Wind pressure on the structure",
            "given",
            (),
            Quantity("P_z", given, "Pa"),
            note="given by the engineer",
        )
        with_traffic = pressure(values, facts, limit)
        return alone, alone if given < with_traffic.value else with_traffic
    if speed is None:
        raise refuse("actions.wind", "neither speed nor pressure", "speed or pressure")
    return pressure(values, facts, speed), pressure(values, facts, min(speed, limit))


def wind_forces(values: Values, facts: BridgeFacts) -> WindPressure:
    """Forces per metre of bridge (N/m): WS, WS + WL, and the upward wind of 3.8.2.

    The last acts upward alone and not with wind on live load. Unless `wind.level` says otherwise
    the exposed depth hangs below the road surface, for trusses it stands above it.
    """
    unit = units(facts)
    alone, with_traffic = pressures(values, facts)
    height = CHOSEN.number(facts.choices, "wind.level", facts.exposed_middle)
    on_traffic = values.number(f"wind.traffic.force.{unit}")
    reduced = with_traffic.value * facts.deck_depth
    together = reduced + on_traffic
    level = values.number(f"wind.traffic.height.{unit}")
    share = "wind.along.truss" if facts.superstructure == "truss" else "wind.along.girders"
    return WindPressure(
        across=alone.value * facts.deck_depth,
        across_traffic=together,
        along_share=values.number(share),
        vertical=values.number(f"wind.vertical.pressure.{unit}") * facts.deck_width,
        vertical_eccentricity=values.number("wind.vertical.eccentricity") * facts.deck_width,
        height=height,
        height_traffic=(reduced * height + on_traffic * level) / together,
        vertical_with_traffic=False,
        lift_only=True,
    )
