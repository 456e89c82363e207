"""Equivalent static earthquake (IRC:6 clause 219, editions up to 2017)."""

from __future__ import annotations

from bedstone.standards.choices import asked
from bedstone.standards.clause import state
from bedstone.standards.irc.choices import CHOSEN
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
    return state(
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
    return state(
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


def chosen_coefficient(values: Values, facts: BridgeFacts, period: float) -> Line:
    """A_h for a period (s) with zone, soil, importance and R of the choices.

    Raises `InputError` for choices that are missing or not allowed.
    """
    choices = facts.choices
    CHOSEN.missing(choices, ("seismic.zone", "seismic.soil"))
    zone = CHOSEN.needed(choices, "seismic.zone")
    if zone not in ZONES:
        raise CHOSEN.refuse("seismic.zone", f"{zone:g}", "2, 3, 4 or 5")
    return coefficient(
        values,
        int(zone),
        CHOSEN.word(choices, "seismic.soil", SOILS, None),
        CHOSEN.word(choices, "seismic.importance", IMPORTANCE, "normal"),
        CHOSEN.number(
            choices, "seismic.response_factor", values.number("seismic.response"), above=0
        ),
        period,
    )


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """The greatest coefficient (short periods), which needs no period, for the record."""
    return (chosen_coefficient(values, facts, 0.0),)


def earthquake(
    values: Values, facts: BridgeFacts, period_along: float, period_across: float
) -> SeismicCase | None:
    """Coefficients for the two periods (s); None when the choices hold no earthquake.

    The vertical coefficient is two thirds of the horizontal one at the plateau (safe).
    """
    if not asked(facts.choices, "seismic"):
        return None
    along, across, plateau = (
        chosen_coefficient(values, facts, period).value
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
