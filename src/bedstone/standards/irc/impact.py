"""Impact factors of live load (IRC:6 clause 208)."""

from __future__ import annotations

from typing import Literal

from bedstone.standards.clause import state
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

Material = Literal["concrete", "steel"]


def material_of(facts: BridgeFacts) -> Material:
    """Which curve holds: chosen, or by deck type; composite decks as steel (the greater factor)."""
    usual = "concrete" if facts.deck_type == "concrete" else "steel"
    chosen = CHOSEN.word(facts.choices, "impact.material", ("concrete", "steel"), usual)
    return "concrete" if chosen == "concrete" else "steel"


def span_of(facts: BridgeFacts) -> float:
    """Span (m) for the impact factor: chosen, or the shortest span, which gives the most."""
    chosen = CHOSEN.given(facts.choices, "impact.span", above=0)
    return min(facts.spans) if chosen is None else chosen


def _curve(values: Values, span: float, material: Material) -> float:
    """Fraction a/(b + L), constant for short and for long spans (208.2)."""
    short, long = values.row(f"traffic.impact.ends.{material}")
    a, b = values.row(f"traffic.impact.class_a.{material}")
    if span < values.number("traffic.impact.short"):
        return short
    if span > values.number("traffic.impact.long"):
        return long
    return a / (b + span)


def _line(values: Values, names: tuple[str, ...], who: str, span: float, i: float) -> Line:
    return state(
        values,
        names,
        f"Impact fraction, {who}",
        "i",
        (Quantity("L", span, "m"),),
        Quantity("i", i, ""),
    )


def class_a(values: Values, span: float, material: Material) -> Line:
    """Impact fraction of Class A for a span (m) (208.2)."""
    names = (f"traffic.impact.class_a.{material}", f"traffic.impact.ends.{material}")
    return _line(values, names, f"Class A, {material}", span, _curve(values, span, material))


def wheeled(values: Values, span: float, material: Material) -> Line:
    """Impact fraction of Class 70R and AA wheeled vehicles (208.3)."""
    limit = f"traffic.impact.heavy.wheeled_to.{material}"
    if span <= values.number(limit):
        i = values.number("traffic.impact.heavy.wheeled")
    else:
        i = _curve(values, span, material)
    names = ("traffic.impact.heavy.wheeled", limit)
    return _line(values, names, f"wheeled, {material}", span, i)


def tracked(values: Values, span: float, material: Material) -> Line:
    """Impact fraction of Class 70R and AA tracked vehicles (208.3)."""
    turn, end = values.row("traffic.impact.heavy.turn")
    short = values.number("traffic.impact.heavy.tracked_short")
    usual = values.number("traffic.impact.heavy.tracked")
    names: tuple[str, ...] = ("traffic.impact.heavy.tracked",)
    if span < end:
        names = ("traffic.impact.heavy.turn", "traffic.impact.heavy.tracked_short", *names)
        i = short + (usual - short) * max(span - turn, 0.0) / (end - turn)
    elif material == "concrete" and span > values.number("traffic.impact.heavy.tracked_to"):
        names = ("traffic.impact.class_a.concrete", *names)
        i = _curve(values, span, material)
    else:
        i = usual
    return _line(values, names, f"tracked, {material}", span, i)
