"""Equivalent static earthquake (IRC:6 clause 219, editions up to 2017)."""

from __future__ import annotations

from bedstone.standards.irc.choices import fault, number, word
from bedstone.standards.irc.clause import line
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, SeismicCase
from bedstone.standards.values import Values

SOILS = ("hard", "medium", "soft")
IMPORTANCE = ("normal", "important", "critical")
ZONES = (2, 3, 4, 5)


def spectral_acceleration(values: Values, soil: str, period: float) -> Line:
    """S_a/g for a period (s) and a soil (`hard`, `medium`, `soft`), 5 % damping (219.5.1).

    The plateau also holds for the shortest periods, as the clause wants for bridges.
    """
    falling = values.row("seismic.spectrum.falling")[SOILS.index(soil)]
    plateau = values.number("seismic.spectrum.plateau")
    # Beyond the last period the ordinate stays; min() also covers a period of zero.
    T = min(period, values.number("seismic.spectrum.last"))
    ordinate = plateau if falling >= plateau * T else falling / T
    return line(
        values,
        ("seismic.spectrum.falling", "seismic.spectrum.plateau", "seismic.spectrum.last"),
        f"Spectral acceleration, {soil} soil",
        "S_a/g = min(2.5, value / T)",
        (Quantity("T", period, "s"),),
        Quantity("S_a/g", ordinate, ""),
    )


def coefficient(
    values: Values, zone: int, soil: str, importance: str, response: float, period: float
) -> Line:
    """Horizontal coefficient A_h = (Z/2) (S_a/g) / (R/I) for a period (s) (219.5.1)."""
    Z = values.row("seismic.zone")[ZONES.index(zone)]
    importance_factor = values.row("seismic.importance")[IMPORTANCE.index(importance)]
    ordinate = spectral_acceleration(values, soil, period)
    half = values.number("seismic.half")
    return line(
        values,
        ("seismic.half", "seismic.zone", "seismic.importance", "seismic.spectrum.falling"),
        "Horizontal seismic coefficient",
        "A_h = (Z/2) (S_a/g) / (R/I)",
        (
            Quantity("Z", Z, ""),
            ordinate.result,
            Quantity("R", response, ""),
            Quantity("I", importance_factor, ""),
        ),
        Quantity("A_h", half * Z * ordinate.value * importance_factor / response, ""),
    )


def earthquake(
    values: Values, facts: BridgeFacts, period_along: float, period_across: float
) -> SeismicCase | None:
    """Coefficients for the two periods (s); None when the choices hold no earthquake.

    The vertical coefficient is two thirds of the horizontal one at the plateau (safe).
    """
    if not any(name.startswith("seismic.") for name in facts.choices):
        return None
    zone = number(facts, "seismic.zone")
    if zone not in ZONES:
        raise fault("choices.seismic.zone", zone, "2, 3, 4 or 5")
    soil = word(facts, "seismic.soil", SOILS, None)
    importance = word(facts, "seismic.importance", IMPORTANCE, "normal")
    response = number(facts, "seismic.response_factor", above=0)
    if response is None:
        response = values.number("seismic.response")
    along, across, plateau = (
        coefficient(values, int(zone), soil, importance, response, period).value
        for period in (period_along, period_across, 0.0)
    )
    live_along, live_across = values.row("seismic.live_mass")
    main, other, vertical = values.row("seismic.combination")
    return SeismicCase(
        coefficient_along=along,
        coefficient_across=across,
        coefficient_vertical=plateau * values.number("seismic.vertical"),
        mass_traffic_along=live_along,
        mass_traffic_across=live_across,
        combination=(main, other, vertical),
    )
