"""Wind on the bridge, on live load and from below (IRC:6 clause 209), simplified for bearings."""

from __future__ import annotations

from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, WindPressure
from bedstone.standards.values import Values


def drag(values: Values, facts: BridgeFacts) -> float:
    """Drag coefficient on the exposed depth: chosen, or by kind (both trusses together)."""
    chosen = CHOSEN.given(facts.choices, "wind.drag", above=0)
    if chosen is not None:
        return chosen
    if facts.superstructure == "truss":
        windward, shielding = values.row("wind.drag.truss")
        return windward * (1.0 + shielding)
    table = values.table("wind.drag.single")
    ratio = facts.deck_width / facts.deck_depth
    single = between(ratio, tuple(row[0] for row in table), tuple(row[1] for row in table))
    return single * values.number("wind.drag.several")


def gust(values: Values, facts: BridgeFacts) -> float:
    """Gust factor G (209.3.3); raises `InputError` for spans beyond the limit without a choice."""
    chosen = CHOSEN.given(facts.choices, "wind.gust", above=0)
    if chosen is not None:
        return chosen
    most = values.number("wind.gust_to")
    if max(facts.spans) > most:
        raise CHOSEN.refuse("wind.gust", "none", f"a gust factor for spans beyond {most:g} m")
    return values.number("wind.gust")


def pressures(values: Values, facts: BridgeFacts) -> tuple[Line, Line]:
    """Hourly mean pressures P_z (Pa) without and with live load on the bridge (209.2, 209.3.7).

    With live load the wind is no faster than 36 m/s. Raises `InputError` when the choices give
    neither a speed nor a pressure.
    """
    factor = values.number("wind.pressure")
    most = factor * values.number("wind.traffic.speed") ** 2
    speed = CHOSEN.given(facts.choices, "wind.speed", above=0)
    given = CHOSEN.given(facts.choices, "wind.pressure", above=0)
    if given is None and speed is None:
        raise refuse("actions.wind", "neither speed nor pressure", "speed or pressure")
    inputs = () if speed is None or given is not None else (Quantity("V_z", speed, "m/s"),)
    P = given if given is not None else factor * (speed or 0.0) ** 2
    alone, with_traffic = (
        state(
            values,
            ("wind.pressure", *more),
            f"Hourly mean wind pressure{when}",
            "P_z = 0.6 V_z^2",
            inputs,
            Quantity("P_z", value, "Pa"),
            note="given by the engineer" if given is not None else "",
        )
        for when, more, value in (
            ("", (), P),
            (" with live load", ("wind.traffic.speed",), min(P, most)),
        )
    )
    return alone, with_traffic


def wind_forces(values: Values, facts: BridgeFacts) -> WindPressure:
    """Forces per metre of bridge (N/m): F_T, F_T with live load, F_V, and where they act (209.3).

    Unless `wind.level` says otherwise the exposed depth hangs below the road surface, for trusses
    it stands above it.
    """
    alone, with_traffic = pressures(values, facts)
    G = gust(values, facts)
    on_deck = G * drag(values, facts) * facts.deck_depth
    height = CHOSEN.number(facts.choices, "wind.level", facts.exposed_middle)
    on_traffic = CHOSEN.given(facts.choices, "wind.traffic_force", least=0)
    if on_traffic is None:
        exposed = values.number("wind.traffic.height")
        on_traffic = with_traffic.value * G * values.number("wind.traffic.drag") * exposed
    level = values.number("wind.traffic.level")
    reduced = with_traffic.value * on_deck
    together = reduced + on_traffic
    share = "wind.along.truss" if facts.superstructure == "truss" else "wind.along.girders"
    return WindPressure(
        across=alone.value * on_deck,
        across_traffic=together,
        along_share=values.number(share),
        vertical=alone.value * G * values.number("wind.lift") * facts.deck_width,
        vertical_eccentricity=0.0,
        height=height,
        height_traffic=(reduced * height + on_traffic * level) / together,
    )
