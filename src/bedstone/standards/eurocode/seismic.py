"""EN 1998-2, fundamental mode method, with the type 1 design spectrum of EN 1998-1."""

from __future__ import annotations

from typing import Literal

from bedstone.errors import BedstoneError
from bedstone.standards.choices import Choices, asked
from bedstone.standards.clause import state
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, SeismicCase
from bedstone.standards.values import Values

Soil = Literal["A", "B", "C", "D", "E"]
Traffic = Literal["normal", "severe"]
_SOILS: tuple[Soil, ...] = ("A", "B", "C", "D", "E")
_TRAFFIC: tuple[Traffic, ...] = ("normal", "severe")


def traffic_class(choices: Choices) -> Traffic:
    """Whether traffic is on the bridge in an earthquake (severe) or not (normal)."""
    return CHOSEN.word(choices, "seismic.traffic", _TRAFFIC, "normal")


def design_spectrum(
    values: Values, period: float, soil: Soil, ground_acceleration: float, behaviour: float
) -> Line:
    """S_d(T) (m/s2) for `period` (s), a_g = gamma_I a_gR (m/s2) and behaviour factor q.

    A bridge stiffer than 0.03 s follows the ground: a_g S, q = 1 (EN 1998-2, 4.1.6(9)). Raises
    `BedstoneError` for a negative period. Source: EN 1998-1, 3.2.2.5(4), (3.13) to (3.16).
    """
    if not period >= 0.0:
        raise BedstoneError(f"a period is 0 s or more, not {period:g} s")
    S, T_B, T_C, T_D = values.row(f"seismic.soil.{soil}")
    plateau = values.number("seismic.spectrum.amplification") / behaviour
    least = values.number("seismic.spectrum.least")
    origin = values.number("seismic.spectrum.origin")
    if period < values.number("seismic.rigid.period"):
        ordinate, branch = S, "a_g S (rigid)"
    elif period <= T_B:
        ordinate = S * (origin + period / T_B * (plateau - origin))
        branch = "a_g S (2/3 + T/T_B (2.5/q - 2/3))"
    elif period <= T_C:
        ordinate, branch = S * plateau, "a_g S 2.5/q"
    elif period <= T_D:
        ordinate, branch = max(S * plateau * T_C / period, least), "a_g S 2.5/q T_C/T >= 0.2 a_g"
    else:
        ordinate = max(S * plateau * T_C * T_D / period**2, least)
        branch = "a_g S 2.5/q T_C T_D/T^2 >= 0.2 a_g"
    return state(
        values,
        (
            "seismic.spectrum.amplification",
            "seismic.spectrum.origin",
            "seismic.spectrum.least",
            f"seismic.soil.{soil}",
            "seismic.rigid.period",
        ),
        title="Design spectrum",
        formula=f"S_d = {branch}",
        inputs=(
            Quantity("T", period, "s"),
            Quantity("a_g", ground_acceleration, "m/s**2"),
            Quantity("S", S, ""),
            Quantity("q", behaviour, ""),
        ),
        result=Quantity("S_d", ordinate * ground_acceleration, "m/s**2"),
        note=f"ground type {soil}, type 1 spectrum",
    )


def vertical_acceleration(values: Values, ground_acceleration: float) -> Line:
    """Greatest vertical spectral acceleration (m/s2): 0.9 a_g on the plateau, q = 1.

    The vertical period is not asked for, so the plateau counts: safe side.
    Source: EN 1998-1, 3.2.2.3, Table 3.4.
    """
    share = values.number("seismic.vertical.share")
    amplification = values.number("seismic.spectrum.amplification")
    return state(
        values,
        ("seismic.vertical.share", "seismic.spectrum.amplification"),
        title="Vertical acceleration",
        formula="0.9 a_g 2.5",
        inputs=(Quantity("a_g", ground_acceleration, "m/s**2"),),
        result=Quantity("S_ve", share * amplification * ground_acceleration, "m/s**2"),
    )


def traffic_share(values: Values, use: Literal["road", "rail"], choices: Choices) -> float:
    """psi_21: part of the traffic that counts in an earthquake (EN 1998-2, 4.1.2(3))."""
    if traffic_class(choices) == "normal":
        return 0.0
    return values.number(f"seismic.traffic.{use}")


def _ground(values: Values, facts: BridgeFacts) -> tuple[float, Soil]:
    """a_g (m/s2) and ground type; raises `InputError` when either is missing or not allowed."""
    choices = facts.choices
    CHOSEN.missing(choices, ("seismic.ground_acceleration", "seismic.soil"))
    reference = CHOSEN.needed(choices, "seismic.ground_acceleration", above=0.0)
    usual = values.number("seismic.importance.default")
    importance = CHOSEN.number(choices, "seismic.importance", usual, above=0.0)
    return reference * importance, CHOSEN.word(choices, "seismic.soil", _SOILS, None)


def _behaviour(values: Values, facts: BridgeFacts, direction: str) -> float:
    usual = values.number("seismic.behaviour.default")
    return CHOSEN.number(facts.choices, f"seismic.behaviour_{direction}", usual, least=1.0)


def seismic_case(
    values: Values, facts: BridgeFacts, period_along: float, period_across: float
) -> SeismicCase | None:
    """Coefficients for the two periods (s); None where the choices ask for no earthquake.

    Raises `InputError` for choices that are missing or not allowed. Source: EN 1998-2, 4.2.2.
    """
    if not asked(facts.choices, "seismic"):
        return None
    acceleration, soil = _ground(values, facts)
    g = values.number("seismic.gravity")
    along, across = (
        design_spectrum(
            values, period, soil, acceleration, _behaviour(values, facts, direction)
        ).value
        / g
        for period, direction in ((period_along, "along"), (period_across, "across"))
    )
    share = traffic_share(values, facts.use, facts.choices)
    main, other, vertical = values.row("seismic.simultaneous")
    return SeismicCase(
        coefficient_along=along,
        coefficient_across=across,
        coefficient_vertical=vertical_acceleration(values, acceleration).value / g,
        mass_traffic_along=share,
        mass_traffic_across=share,
        combination=(main, other, vertical),
    )


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Calculation lines that do not need the periods: plateau along and across, and vertical."""
    acceleration, soil = _ground(values, facts)
    T_B = values.row(f"seismic.soil.{soil}")[1]
    horizontal = dict.fromkeys(
        design_spectrum(values, T_B, soil, acceleration, _behaviour(values, facts, direction))
        for direction in ("along", "across")
    )
    return (*horizontal, vertical_acceleration(values, acceleration))
