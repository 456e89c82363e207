"""Temperature (AASHTO LRFD 3.12) and the allowances for movements (14.4.2, 14.7.5.3.2)."""

from __future__ import annotations

from typing import Literal

from bedstone.standards.aashto.choices import CHOSEN
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, ThermalRange, setting_temperature
from bedstone.standards.values import Values


def effective_temperatures(values: Values, facts: BridgeFacts) -> tuple[Line, Line]:
    """Least and greatest temperature of the superstructure (degC).

    Procedure B (3.12.2.2) where both effective temperatures are given in the choices, else
    procedure A (3.12.2.1) by climate and material; without a climate the cold one, which encloses
    the moderate one. Steel girders with a concrete deck count as steel.
    """
    least = CHOSEN.given(facts.choices, "thermal.effective_min")
    most = CHOSEN.given(facts.choices, "thermal.effective_max")
    if (least is None) != (most is None):
        missing = "min" if least is None else "max"
        raise CHOSEN.refuse(f"thermal.effective_{missing}", "none", "both temperatures or neither")
    material = "concrete" if facts.deck_type == "concrete" else "steel"
    climate = CHOSEN.word(facts.choices, "thermal.climate", ("moderate", "cold"), "cold")
    name = f"thermal.{climate}.{material}"
    if least is None or most is None:
        least, most = values.row(name)
        note = f"procedure A, {climate} climate, {material}"
        if "thermal.climate" not in facts.choices:
            note += "; no climate given: the wider range"
        formula = "Table 3.12.2.1-1"
    else:
        if not least < most:
            raise CHOSEN.refuse("thermal.effective_max", most, f"more than {least:g} degC")
        note, formula = "procedure B, temperatures given by the engineer", "given"
    low, high = (
        state(values, (name,), title, formula, (), Quantity(symbol, value, "degC"), note)
        for title, symbol, value in (
            ("Least temperature of the superstructure", "T_min", least),
            ("Greatest temperature of the superstructure", "T_max", most),
        )
    )
    return low, high


def thermal_movement(values: Values, alpha: float, length: float, span: float) -> Line:
    """Whole thermal movement Delta_T = alpha L (T_max - T_min) (m) (3.12.2.3).

    `alpha` 1/K, expansion `length` m, `span` = T_max - T_min in K.
    """
    return state(
        values,
        ("thermal.alpha.steel",),
        "Thermal movement",
        "Delta_T = alpha L (T_max - T_min)",
        (
            Quantity("alpha", alpha, "1/K"),
            Quantity("L", length, "m"),
            Quantity("T_max - T_min", span, "K"),
        ),
        Quantity("Delta_T", alpha * length * span, "m"),
        clause="3.12.2.3",
    )


def pad_shear_movement(values: Values, movement: float) -> Line:
    """Part of the whole thermal movement (m) that shears an elastomeric bearing (14.7.5.3.2).

    Not to be multiplied by the factor 1.20 of TU.
    """
    share = values.number("thermal.pad_share")
    return state(
        values,
        ("thermal.pad_share",),
        "Thermal shear of an elastomeric bearing",
        "Delta_s = 0.65 Delta_T",
        (Quantity("Delta_T", movement, "m"), Quantity("share", share, "")),
        Quantity("Delta_s", share * movement, "m"),
    )


def rotation_allowance(
    values: Values, kind: Literal["elastomeric", "hard contact", "disc"]
) -> Line:
    """Rotation (rad) to add for fabrication and uncertainties (14.4.2).

    `elastomeric`: added to the service rotation; `hard contact` (pot, curved sliding surfaces) and
    `disc`: added to the strength rotation.
    """
    names = {
        "elastomeric": ("thermal.rotation.elastomeric",),
        "hard contact": ("thermal.rotation.uncertainty", "thermal.rotation.fabrication"),
        "disc": ("thermal.rotation.disc",),
    }[kind]
    parts = tuple(Quantity(name.split(".")[-1], values.number(name), "rad") for name in names)
    return state(
        values,
        names,
        f"Rotation allowance, {kind}",
        "sum of the allowances",
        parts,
        Quantity("theta", sum(part.value for part in parts), "rad"),
    )


def temperature_changes(values: Values, facts: BridgeFacts) -> ThermalRange:
    """Changes from the setting temperature and differences over the depth (3.12.2, 3.12.3).

    Without a setting temperature the mean of the range is taken. The factor 1.20 for movements
    is a load factor and stands in the combinations. The multi-linear gradient of 3.12.3 has no
    sound linear equivalent without the section, so its linear difference comes from the choices.
    """
    low, high = (temperature.value for temperature in effective_temperatures(values, facts))
    setting = setting_temperature(facts, low, high, usual=(low + high) / 2)
    tolerance = CHOSEN.given(facts.choices, "thermal.setting_tolerance", least=0) or 0.0
    gradient = values.number("thermal.gradient.with_uniform")
    return ThermalRange(
        expansion=high - setting,
        contraction=setting - low,
        expansion_movement=high - setting + tolerance,
        contraction_movement=setting - low + tolerance,
        heat=CHOSEN.given(facts.choices, "thermal.heat", least=0) or 0.0,
        cool=CHOSEN.given(facts.choices, "thermal.cool", least=0) or 0.0,
        mixtures=((1.0, 0.0), (1.0, gradient)),
        alpha_steel=values.number("thermal.alpha.steel"),
        alpha_concrete=values.number("thermal.alpha.concrete"),
    )
