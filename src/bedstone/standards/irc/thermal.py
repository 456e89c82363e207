"""Temperature (IRC:6 clause 215, wording in force before the amendment of 2021)."""

from __future__ import annotations

from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, ThermalRange, setting_temperature
from bedstone.standards.values import Values


def effective_temperatures(values: Values, facts: BridgeFacts) -> tuple[Line, Line]:
    """Least and greatest temperature of the superstructure (degC) (215.2).

    From the choices where both are given, else the shade air temperatures, widened for metal
    superstructures. Raises `InputError` when neither is there.
    """
    least = CHOSEN.given(facts.choices, "thermal.effective_min")
    most = CHOSEN.given(facts.choices, "thermal.effective_max")
    if (least is None) != (most is None):
        missing = "min" if least is None else "max"
        raise CHOSEN.refuse(f"thermal.effective_{missing}", "none", "both temperatures or neither")
    inputs: tuple[Quantity, ...] = ()
    names = ("thermal.metal.below", "thermal.metal.above")
    note = "given by the engineer"
    if least is None or most is None:
        if facts.air_min is None or facts.air_max is None:
            raise refuse(
                "actions.temperature", "nothing", "least and greatest shade air temperature"
            )
        metal = facts.deck_type == "steel"
        least = facts.air_min - (values.number(names[0]) if metal else 0.0)
        most = facts.air_max + (values.number(names[1]) if metal else 0.0)
        inputs = (
            Quantity("air min", facts.air_min, "degC"),
            Quantity("air max", facts.air_max, "degC"),
        )
        note = "metal: widened" if metal else ""
    if not least < most:
        raise refuse("actions.temperature", f"{least:g} to {most:g} degC", "a range that rises")
    low, high = (
        state(values, names, title, "215.2", inputs, Quantity(symbol, value, "degC"), note)
        for title, symbol, value in (
            ("Least temperature of the superstructure", "T_min", least),
            ("Greatest temperature of the superstructure", "T_max", most),
        )
    )
    return low, high


def setting_allowance(values: Values, facts: BridgeFacts) -> Line:
    """Doubt (K) about the temperature at which the superstructure is held (215.2).

    10 K either way of the mean where the range of shade air temperature exceeds 20 K, else 5 K.
    None is added to a setting temperature that the engineer gives. Choice:
    `thermal.setting_tolerance`.
    """
    chosen = CHOSEN.given(facts.choices, "thermal.setting_tolerance", least=0)
    low, high = (one.value for one in effective_temperatures(values, facts))
    # Temperatures given directly stand in for the air's where that is unknown.
    air = (
        facts.air_max - facts.air_min
        if facts.air_max is not None and facts.air_min is not None
        else high - low
    )
    name = "wide" if air > values.number("thermal.wide_range") else "narrow"
    if chosen is not None:
        allowance, note = chosen, "given by the engineer"
    elif facts.setting_temperature is not None:
        allowance, note = 0.0, "setting temperature given"
    else:
        allowance, note = values.number(f"thermal.setting.{name}"), "either way of the mean"
    return state(
        values,
        (f"thermal.setting.{name}", "thermal.wide_range"),
        "Allowance for the setting temperature",
        "215.2",
        (Quantity("range", air, "K"),),
        Quantity("allowance", allowance, "K"),
        note,
    )


def temperature_changes(values: Values, facts: BridgeFacts) -> ThermalRange:
    """Changes from the setting temperature (or the mean) with the allowance, and differences.

    The differences of clause 215.3 are multi-linear over the depth; without the section they have
    no sound linear equivalent, so a linear difference comes from the choices.
    """
    low, high = (one.value for one in effective_temperatures(values, facts))
    setting = setting_temperature(facts, low, high, usual=(low + high) / 2)
    allowance = setting_allowance(values, facts).value
    expansion, contraction = high - setting + allowance, setting - low + allowance
    return ThermalRange(
        expansion=expansion,
        contraction=contraction,
        expansion_movement=expansion,
        contraction_movement=contraction,
        heat=CHOSEN.given(facts.choices, "thermal.heat", least=0) or 0.0,
        cool=CHOSEN.given(facts.choices, "thermal.cool", least=0) or 0.0,
        mixtures=((1.0, 0.0), (1.0, 1.0)),
        alpha_steel=values.number("thermal.alpha"),
        alpha_concrete=values.number("thermal.alpha"),
    )


def has_temperatures(facts: BridgeFacts) -> bool:
    """Whether both ends of the temperature can be worked out."""
    given = ("thermal.effective_min" in facts.choices, "thermal.effective_max" in facts.choices)
    return any(given) or None not in (facts.air_min, facts.air_max)


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Temperatures of the superstructure and the allowance for setting, for the record."""
    return (*effective_temperatures(values, facts), setting_allowance(values, facts))
