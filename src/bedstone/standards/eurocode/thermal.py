"""EN 1991-1-5, section 6: temperatures of the bridge; EN 1993-2 annex A on request."""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import Literal

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.standards.choices import Choices
from bedstone.standards.clause import state
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.interpolation import between
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, DeckType, ThermalRange, setting_temperature
from bedstone.standards.values import Values

Offsets = Literal["rounded", "figure"]
Section = Literal["box", "beam", "slab"]
Surface = Literal["thickness", "bare", "waterproofed", "ballast"]
Installation = Literal["measured", "estimated", "fixed_changed"]
_OFFSETS: tuple[Offsets, ...] = ("rounded", "figure")
_SECTIONS: tuple[Section, ...] = ("box", "beam", "slab")
_SURFACES: tuple[Surface, ...] = ("thickness", "bare", "waterproofed", "ballast")
_INSTALLATIONS: tuple[Installation, ...] = ("measured", "estimated", "fixed_changed")
#: Rows of Table 6.2 by growing depth of the surfacing.
_DEPTHS = ("waterproofed", "50 mm", "100 mm", "150 mm")
#: Order of the deck types (1, 2, 3 of the standard) in the rows of the data file.
_TYPES: tuple[DeckType, ...] = ("steel", "composite", "concrete")
_BASE_PERIOD = 50.0  # years: p = 0.02, the probability for which (A.1) and (A.2) give 1.0


def air_temperature(
    values: Values, temperature: float, probability: float, extreme: Literal["maximum", "minimum"]
) -> Line:
    """Shade air temperature (degC) for another yearly probability of being exceeded.

    `temperature`: the 50-year value (degC). Raises `BedstoneError` unless 0 < probability < 1.
    Source: EN 1991-1-5, annex A, (A.1), (A.2).
    """
    if not 0.0 < probability < 1.0:
        raise BedstoneError(f"a yearly probability lies between 0 and 1, not at {probability:g}")
    first, second = values.row(f"thermal.return.{extreme}")
    reduced = log(-log(1.0 - probability))
    # (A.1) subtracts its second constant, (A.2) adds it.
    factor = first - second * reduced if extreme == "maximum" else first + second * reduced
    symbol = "T_max" if extreme == "maximum" else "T_min"
    return state(
        values,
        (f"thermal.return.{extreme}",),
        title=f"{extreme.capitalize()} air temperature for another return period",
        formula=f"{symbol},p = {symbol} (k1 -+ k2 ln(-ln(1 - p)))",
        inputs=(Quantity(symbol, temperature, "degC"), Quantity("p", probability, "")),
        result=Quantity(f"{symbol},p", temperature * factor, "degC"),
    )


def effective_maximum(
    values: Values,
    deck: DeckType,
    air_max: float,
    offsets: Offsets = "rounded",
    truss_reduction: bool = False,
) -> Line:
    """Greatest uniform bridge temperature T_e,max (degC) from the air's `air_max` (degC).

    `truss_reduction`: less 3 K for steel trusses and plate girders (type steel alone).
    Source: EN 1991-1-5, 6.1.3.1 and Figure 6.1.
    """
    name = f"thermal.offsets.{offsets}.maximum"
    names: tuple[str, ...] = (name,)
    offset = values.row(name)[_TYPES.index(deck)]
    if truss_reduction and deck == "steel":
        offset -= values.number("thermal.truss_reduction")
        names = (name, "thermal.truss_reduction")
    return state(
        values,
        names,
        title="Greatest uniform bridge temperature",
        formula=f"T_e,max = T_max {offset:+g}",
        inputs=(Quantity("T_max", air_max, "degC"),),
        result=Quantity("T_e,max", air_max + offset, "degC"),
        note=f"{deck} deck",
    )


def effective_minimum(
    values: Values, deck: DeckType, air_min: float, offsets: Offsets = "rounded"
) -> Line:
    """Least uniform bridge temperature T_e,min (degC) from the air's `air_min` (degC).

    Source: EN 1991-1-5, 6.1.3.1 and Figure 6.1.
    """
    name = f"thermal.offsets.{offsets}.minimum"
    offset = values.row(name)[_TYPES.index(deck)]
    return state(
        values,
        (name,),
        title="Least uniform bridge temperature",
        formula=f"T_e,min = T_min {offset:+g}",
        inputs=(Quantity("T_min", air_min, "degC"),),
        result=Quantity("T_e,min", air_min + offset, "degC"),
        note=f"{deck} deck",
    )


def bearing_allowance(values: Values, setting_specified: bool) -> Line:
    """S (K), added to both changes for movements of bearings (EN 1991-1-5, 6.1.3.3, note 2)."""
    name = "thermal.allowance.bearings_set" if setting_specified else "thermal.allowance.bearings"
    return state(
        values,
        (name,),
        title="Allowance for bearings",
        formula="S = 10 K with a specified setting temperature, else 20 K",
        inputs=(),
        result=Quantity("S", values.number(name), "K"),
    )


def surface_factors(
    values: Values, deck: DeckType, surface: Surface, thickness: float = 0.0
) -> tuple[float, float]:
    """k_sur (heat, cool) for a surface of the deck; `thickness` of the surfacing in m.

    Between the depths of the table it is read linearly; no surfacing at all is a bare deck; over
    the greatest depth the last row holds. Source: EN 1991-1-5, 6.1.4.1, Table 6.2.
    """
    row = _TYPES.index(deck)
    if surface == "thickness" and thickness <= 0.0:
        surface = "bare"
    if surface != "thickness":
        heat, cool = values.table(f"thermal.surface.{surface}")[row]
        return float(heat), float(cool)
    depths = values.row("thermal.surface.depths")
    tables = [values.table(f"thermal.surface.{name}")[row] for name in _DEPTHS]
    heat, cool = (
        between(thickness, depths, tuple(float(table[column]) for table in tables))
        for column in (0, 1)
    )
    return heat, cool


def difference(
    values: Values,
    deck: DeckType,
    section: Section,
    surface: Surface,
    thickness: float = 0.0,
) -> tuple[Line, Line]:
    """Linear temperature difference over the depth (K), top warmer and top colder, with k_sur.

    Source: EN 1991-1-5, 6.1.4.1, Tables 6.1 and 6.2.
    """
    name = (
        f"thermal.difference.{deck} {section}"
        if deck == "concrete"
        else (f"thermal.difference.{deck}")
    )
    found = []
    factors = surface_factors(values, deck, surface, thickness)
    if surface != "thickness":
        used: tuple[str, ...] = (f"thermal.surface.{surface}",)
    elif thickness <= 0.0:
        used = ("thermal.surface.bare",)
    else:
        used = tuple(f"thermal.surface.{row}" for row in ("depths", *_DEPTHS))
    for sense, basic, factor in zip(("heat", "cool"), values.row(name), factors, strict=True):
        found.append(
            state(
                values,
                (name, *used),
                title="Temperature difference, top warmer"
                if sense == "heat"
                else "Temperature difference, top colder",
                formula=f"Delta T_M,{sense} k_sur",
                inputs=(
                    Quantity(f"Delta T_M,{sense}", basic, "K"),
                    Quantity("k_sur", factor, ""),
                ),
                result=Quantity(f"Delta T_M,{sense}", basic * factor, "K"),
                note=f"{deck} deck",
            )
        )
    return found[0], found[1]


def annex_a_design(
    values: Values,
    deck: DeckType,
    initial: float,
    expansion: float,
    contraction: float,
    installation: Installation,
) -> tuple[Line, Line]:
    """Design temperatures T_Ed,min and T_Ed,max (degC) for movements of bearings.

    `initial` T_0 (degC); `expansion`, `contraction`: characteristic changes Delta T_N (K).
    Source: EN 1993-2, annex A, A.4.2.1 (recalled with doubt; confirm before use).
    """
    gamma = values.number("thermal.annex_a.gamma")
    name = f"thermal.annex_a.{installation}"
    extra = values.row(name)[_TYPES.index(deck)]

    def line(symbol: str, sense: float, change: float) -> Line:
        return state(
            values,
            ("thermal.annex_a.gamma", name),
            title=f"Design temperature {symbol} for movements",
            formula=f"{symbol} = T_0 {'+' if sense > 0 else '-'} (gamma_F Delta T_N + Delta T_0)",
            inputs=(
                Quantity("T_0", initial, "degC"),
                Quantity("gamma_F", gamma, ""),
                Quantity("Delta T_N", change, "K"),
                Quantity("Delta T_0", extra, "K"),
            ),
            result=Quantity(symbol, initial + sense * (gamma * change + extra), "degC"),
            note="recalled with doubt; confirm against the printed clause",
        )

    return line("T_Ed,min", -1.0, contraction), line("T_Ed,max", 1.0, expansion)


@dataclass(frozen=True)
class Uniform:
    """Uniform temperature component: T_0 and both ends (degC), and the lines that led there."""

    initial: float
    least: float
    greatest: float
    lines: tuple[Line, ...]

    @property
    def expansion(self) -> float:
        """Delta T_N,exp (K), EN 1991-1-5, (6.2)."""
        return self.greatest - self.initial

    @property
    def contraction(self) -> float:
        """Delta T_N,con (K), EN 1991-1-5, (6.1)."""
        return self.initial - self.least


def has_temperatures(facts: BridgeFacts) -> bool:
    """Whether both ends of the uniform temperature can be worked out."""
    least = facts.air_min is not None or "thermal.effective_min" in facts.choices
    greatest = facts.air_max is not None or "thermal.effective_max" in facts.choices
    return least and greatest


def uniform(values: Values, facts: BridgeFacts) -> Uniform:
    """Uniform component of the bridge from its facts and choices.

    Raises `InputError` where a temperature is missing, or T_0 does not lie between the ends.
    """
    _require_temperatures(facts)
    choices = facts.choices
    offsets = CHOSEN.word(choices, "thermal.offsets", _OFFSETS, "rounded")
    lines: list[Line] = []
    if "thermal.effective_max" in choices:
        greatest = CHOSEN.needed(choices, "thermal.effective_max")
    else:
        air = _air(values, choices, facts.air_max, "maximum", lines)
        reduction = CHOSEN.flag(choices, "thermal.truss_reduction", False)
        line = effective_maximum(values, facts.deck_type, air, offsets, reduction)
        lines.append(line)
        greatest = line.value
    if "thermal.effective_min" in choices:
        least = CHOSEN.needed(choices, "thermal.effective_min")
    else:
        air = _air(values, choices, facts.air_min, "minimum", lines)
        line = effective_minimum(values, facts.deck_type, air, offsets)
        lines.append(line)
        least = line.value
    initial = setting_temperature(facts, least, greatest, values.number("thermal.initial"))
    return Uniform(initial, least, greatest, tuple(lines))


def _require_temperatures(facts: BridgeFacts) -> None:
    faults = [
        Fault(
            "bridge file",
            f"actions.temperature.air_{end}",
            "nothing",
            f"degC, or {CHOSEN.field(f'thermal.effective_{end}')}",
        )
        for end, value in (("min", facts.air_min), ("max", facts.air_max))
        if value is None and f"thermal.effective_{end}" not in facts.choices
    ]
    if faults:
        raise InputError(faults)


def _air(
    values: Values,
    choices: Choices,
    temperature: float | None,
    extreme: Literal["maximum", "minimum"],
    lines: list[Line],
) -> float:
    """Air temperature for the return period asked for; notes its line where it is not 50 years."""
    assert temperature is not None  # `_require_temperatures` has seen to it
    period = CHOSEN.number(choices, "thermal.return_period", _BASE_PERIOD, above=1.0)
    if period == _BASE_PERIOD:
        return temperature
    line = air_temperature(values, temperature, 1.0 / period, extreme)
    lines.append(line)
    return line.value


def _movement(values: Values, facts: BridgeFacts, part: Uniform) -> tuple[float, float, list[Line]]:
    """(expansion, contraction) in K for movements of bearings, and their lines.

    By EN 1993-2 annex A the allowance is Delta T_0, and the combinations carry gamma_F = 1.35 for
    movements. One action has one factor, so Delta T_0 gets it too: on the safe side of T_Ed by
    0.35 Delta T_0. The lines state T_Ed itself.
    """
    choices = facts.choices
    if annex_a_asked(choices):
        case = CHOSEN.word(choices, "thermal.installation", _INSTALLATIONS, "estimated")
        extra = values.row(f"thermal.annex_a.{case}")[_TYPES.index(facts.deck_type)]
        design = annex_a_design(
            values,
            facts.deck_type,
            part.initial,
            part.expansion,
            part.contraction,
            case,
        )
        return part.expansion + extra, part.contraction + extra, list(design)
    line = bearing_allowance(values, facts.setting_temperature is not None)
    allowance = CHOSEN.number(choices, "thermal.allowance", line.value, least=0.0)
    lines = [line] if "thermal.allowance" not in choices else []
    return part.expansion + allowance, part.contraction + allowance, lines


def annex_a_asked(choices: Choices) -> bool:
    """Whether movements of bearings go by EN 1993-2 annex A."""
    routes = ("en1991-1-5", "en1993-2")
    return CHOSEN.word(choices, "thermal.movements", routes, "en1991-1-5") == "en1993-2"


def _differences(values: Values, facts: BridgeFacts) -> tuple[Line, Line]:
    section = CHOSEN.word(facts.choices, "thermal.section", _SECTIONS, "beam")
    usual: Surface = "ballast" if facts.use == "rail" else "thickness"
    surface = CHOSEN.word(facts.choices, "thermal.surface", _SURFACES, usual)
    return difference(
        values,
        facts.deck_type,
        section,
        surface,
        facts.surfacing,
    )


def thermal_range(values: Values, facts: BridgeFacts) -> ThermalRange:
    """Temperature actions of the bridge; raises `InputError` (see `uniform`).

    Source: EN 1991-1-5, 6.1.3, 6.1.4.1 and 6.1.5.
    """
    part = uniform(values, facts)
    expansion, contraction, _ = _movement(values, facts, part)
    heat, cool = _differences(values, facts)
    return ThermalRange(
        expansion=part.expansion,
        contraction=part.contraction,
        expansion_movement=expansion,
        contraction_movement=contraction,
        heat=heat.value,
        cool=cool.value,
        mixtures=tuple(
            (float(row[0]), float(row[1])) for row in values.table("thermal.simultaneous")
        ),
        alpha_steel=values.number("thermal.alpha.steel"),
        alpha_concrete=values.number("thermal.alpha.concrete"),
    )


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Calculation lines of the temperature of the bridge."""
    part = uniform(values, facts)
    _, _, extra = _movement(values, facts, part)
    return (*part.lines, *extra, *_differences(values, facts))
