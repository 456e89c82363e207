"""Equivalent static earthquake and design forces of connections (AASHTO LRFD 3.10)."""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.standards.aashto.choices import CHOSEN
from bedstone.standards.choices import asked
from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, SeismicCase
from bedstone.standards.values import Values

SITES = ("A", "B", "C", "D", "E")


@dataclass(frozen=True)
class Spectrum:
    """Design spectrum of the site: A_s, S_DS, S_D1, all fractions of g."""

    As: float
    SDS: float
    SD1: float


def spectrum(values: Values, pga: float, ss: float, s1: float, site: str) -> Spectrum:
    """Site-adjusted spectrum (3.10.4.2): A_s = F_pga PGA, S_DS = F_a S_S, S_D1 = F_v S_1."""
    row = SITES.index(site)

    def factor(at: float, columns: str, table: str) -> float:
        return between(at, values.row(columns), values.table(table)[row])

    return Spectrum(
        As=factor(pga, "seismic.site.pga", "seismic.f_pga") * pga,
        SDS=factor(ss, "seismic.site.ss", "seismic.f_a") * ss,
        SD1=factor(s1, "seismic.site.s1", "seismic.f_v") * s1,
    )


def coefficient(values: Values, site: Spectrum, period: float) -> Line:
    """Elastic seismic coefficient C_sm for a period (s) (3.10.4.2)."""
    corner = site.SD1 / site.SDS
    short = values.number("seismic.short_corner") * corner
    if period < short:
        C = site.As + (site.SDS - site.As) * period / short
    elif period <= corner:
        C = site.SDS
    else:
        C = site.SD1 / period
    return state(
        values,
        ("seismic.short_corner", "seismic.f_pga", "seismic.f_a", "seismic.f_v"),
        "Elastic seismic coefficient",
        "C_sm = A_s + (S_DS - A_s) T/T_0; S_DS; S_D1/T",
        (
            Quantity("A_s", site.As, ""),
            Quantity("S_DS", site.SDS, ""),
            Quantity("S_D1", site.SD1, ""),
            Quantity("T", period, "s"),
        ),
        Quantity("C_sm", C, ""),
    )


def zone_1(values: Values, site: Spectrum) -> bool:
    """True in seismic zone 1 (table 3.10.6-1)."""
    return values.number("seismic.zone1.limit") >= site.SD1


def connection(values: Values, site: Spectrum, elastic: Line, response: float) -> Line:
    """Design coefficient of a connection: fraction of the weight it holds (3.10.9).

    Zone 1: a fixed part of the vertical reaction (3.10.9.2); else C_sm / R with the response
    modification factor of the connection.
    """
    if zone_1(values, site):
        low = site.As < values.number("seismic.zone1.low_as")
        name = "seismic.zone1.low_force" if low else "seismic.zone1.force"
        return state(
            values,
            (name, "seismic.zone1.limit"),
            "Connection force, seismic zone 1",
            "part of the vertical reaction",
            (Quantity("A_s", site.As, ""), Quantity("S_D1", site.SD1, "")),
            Quantity("C", values.number(name), ""),
        )
    return state(
        values,
        ("seismic.connection.response", "seismic.zone1.limit"),
        "Connection force",
        "C = C_sm / R",
        (elastic.result, Quantity("R", response, "")),
        Quantity("C", elastic.value / response, ""),
    )


def site_spectrum(values: Values, facts: BridgeFacts) -> Spectrum | None:
    """The spectrum of the choices; None when they hold no earthquake.

    Raises `InputError` when only part of it is given.
    """
    if not asked(facts.choices, "seismic"):
        return None
    CHOSEN.missing(facts.choices, ("seismic.pga", "seismic.ss", "seismic.s1", "seismic.site"))
    pga, ss, s1 = (
        CHOSEN.needed(facts.choices, f"seismic.{name}", above=0) for name in ("pga", "ss", "s1")
    )
    site = CHOSEN.word(facts.choices, "seismic.site", SITES, None)
    return spectrum(values, pga, ss, s1, site)


def _response(values: Values, facts: BridgeFacts) -> float:
    usual = values.number("seismic.connection.response")
    return CHOSEN.number(facts.choices, "seismic.response_factor", usual, above=0)


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """The greatest coefficient (the plateau), which needs no period, for the record."""
    site = site_spectrum(values, facts)
    if site is None:
        return ()
    elastic = coefficient(values, site, site.SD1 / site.SDS)
    return elastic, connection(values, site, elastic, _response(values, facts))


def earthquake(
    values: Values, facts: BridgeFacts, period_along: float, period_across: float
) -> SeismicCase | None:
    """Coefficients for the two periods (s), divided by the response factor of the connection.

    Live load stands in the combination (gamma_EQ) and adds no mass; no vertical earthquake is asked
    for (3.10.9.6 asks for a hold-down instead).
    """
    site = site_spectrum(values, facts)
    if site is None:
        return None
    response = _response(values, facts)
    along, across = (
        connection(values, site, coefficient(values, site, period), response).value
        for period in (period_along, period_across)
    )
    main, other = values.row("seismic.combination")
    return SeismicCase(
        coefficient_along=along,
        coefficient_across=across,
        coefficient_vertical=0.0,
        mass_traffic_along=0.0,
        mass_traffic_across=0.0,
        combination=(main, other, 0.0),
        forces_only=zone_1(values, site),
    )
