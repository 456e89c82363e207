"""Indian Railways Bridge Rules: 25 t Loading-2008 as an equivalent uniform load, for simple spans.

The table of equivalent loads gives end reactions of simple spans, half of the load of the row: each
track carries it evenly over its span. It says nothing of continuous superstructures, which are
refused. Combinations are those of the family (IRC:6); those of the railway's own codes were not
read.
"""

from __future__ import annotations

from typing import Literal

from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts
from bedstone.standards.traffic import (
    LaneLoad,
    Placement,
    TrafficGroup,
    TrafficModel,
    braking_force,
)
from bedstone.standards.values import Values

MODEL = "25t Loading-2008"
#: How both ends of a span stand along the bridge (2.8).
Ends = Literal["fixed and rollers", "sliding or elastomeric at both ends"]

# Spans that differ by less than this (m) are one span; lengths within it reach a row of the table.
_ROUNDING = 1e-6


def equivalent_shear(values: Values, facts: BridgeFacts, span: float) -> Line:
    """Equivalent uniformly distributed load (N) of one track for shear, by the span (m).

    By the table, straight between its rows; or the engineer's own ``rail.eudl_shear``, which holds
    for one length of span. Raises `InputError` for a span outside the table without it.
    """
    inputs = (Quantity("L", span, "m"),)
    title, formula = "Equivalent load for shear, one track", "EUDL(L)"
    name = "rail.eudl_shear"
    given = CHOSEN.given(facts.choices, name, above=0)
    if given is not None:
        if max(facts.spans) - min(facts.spans) > _ROUNDING:
            raise CHOSEN.refuse(name, f"{given:g} N for spans of several lengths", "equal spans")
        note = "given by the engineer"
        return state(values, (name,), title, formula, inputs, Quantity("EUDL", given, "N"), note)
    table = values.table(name)
    lengths, loads = tuple(row[0] for row in table), tuple(row[1] for row in table)
    if not lengths[0] - _ROUNDING <= span <= lengths[-1] + _ROUNDING:
        allowed = f"{CHOSEN.meanings[name]}; the table was read from {lengths[0]:g} m to "
        raise CHOSEN.refuse(
            name, f"nothing, and a span of {span:g} m", f"{allowed}{lengths[-1]:g} m"
        )
    found = between(span, lengths, loads) * 1e3
    return state(values, (name,), title, formula, inputs, Quantity("EUDL", found, "N"))


def dynamic_augment(values: Values, span: float) -> Line:
    """Coefficient of dynamic augment of a span (m): 0.15 + 8/(6 + L), at most 1 (2.4)."""
    a, b, c, most = values.row("rail.cda")
    return state(
        values,
        ("rail.cda",),
        "Coefficient of dynamic augment",
        f"{a:g} + {b:g}/({c:g} + L), at most {most:g}",
        (Quantity("L", span, "m"),),
        Quantity("CDA", min(a + b / (c + span), most), ""),
        note="broad gauge, single track; not lessened where there are more tracks",
    )


def end_reaction(values: Values, facts: BridgeFacts, span: float) -> Line:
    """Reaction (N) of one track at an end of a simple span, with dynamic augment."""
    load, augment = equivalent_shear(values, facts, span), dynamic_augment(values, span)
    return state(
        values,
        ("rail.eudl_shear", "rail.cda"),
        "End reaction of one track",
        "EUDL / 2 (1 + CDA)",
        (Quantity("EUDL", load.value, "N"), Quantity("CDA", augment.value, "")),
        Quantity("R", load.value / 2.0 * (1.0 + augment.value), "N"),
    )


def longitudinal(values: Values, facts: BridgeFacts) -> Line:
    """Net longitudinal force (N) of one track on one span, or on all spans at once (2.8).

    The engineer gives it: the table was not read. Over all simple spans it is that of each span,
    added up, unless he gives ``rail.longitudinal_all`` too. Less what anchored track carries off.
    Raises `InputError` without it.
    """
    most = values.number("rail.dispersion")
    share = CHOSEN.number(facts.choices, "rail.dispersion", 0.0, least=0, most=most)
    force = CHOSEN.needed(facts.choices, "rail.longitudinal", least=0)
    if facts.unit_length > max(facts.spans) + _beyond(facts):
        force = CHOSEN.number(
            facts.choices, "rail.longitudinal_all", force * len(facts.spans), least=0
        )
    return state(
        values,
        ("rail.dispersion",),
        "Longitudinal force",
        "F (1 - d)",
        (Quantity("F", force, "N"), Quantity("d", share, "")),
        Quantity("F_net", force * (1.0 - share), "N"),
        note="F given by the engineer",
    )


def _beyond(facts: BridgeFacts) -> float:
    """Length (m) by which one span's girders may reach beyond its bearings."""
    return 0.5 * min(facts.spans)


def at_each_end(values: Values, force: float, ends: Ends) -> tuple[Line, Line]:
    """What the first and the second end of a simple span take of a longitudinal force (N) (2.8).

    The first end is the fixed one where the other stands on rollers.
    """
    half = values.number("rail.share.both_ends")
    first, second = (1.0, 0.0) if ends == "fixed and rollers" else (half, 1.0 - half)
    lines = [
        state(
            values,
            ("rail.share.both_ends",),
            f"Longitudinal force at the {place} end",
            "F_net k",
            (Quantity("F_net", force, "N"), Quantity("k", share, "")),
            Quantity("F", force * share, "N"),
            note=ends,
        )
        for place, share in (("first", first), ("second", second))
    ]
    return lines[0], lines[1]


def racking(values: Values) -> Line:
    """Racking force (N/m) at rail level (2.9): told; it acts on no bearing here."""
    return state(
        values,
        ("rail.racking",),
        "Racking force",
        "r",
        (),
        Quantity("r", values.number("rail.racking"), "N/m"),
        note="for lateral bracing; not among the actions on the bearings",
    )


def groups(values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
    """Trains with their longitudinal force as one action ``traffic:live``.

    Every span carries the greatest load of a metre that any of them asks for. Raises `InputError`
    for what the table does not cover: continuous superstructures, curves, other models.
    """
    _refuse_what_is_not_here(facts)
    gauge = values.number("rail.gauge")
    heaviest = max(
        2.0 * end_reaction(values, facts, span).value / span for span in sorted(set(facts.spans))
    )
    lanes = tuple(
        LaneLoad(
            name=MODEL,
            trains=(),
            width=gauge,
            uniform=heaviest / gauge,
            uniform_width=gauge,
            offsets=tuple(
                sorted({track.offset - track.eccentricity, track.offset + track.eccentricity})
            ),
        )
        for track in facts.tracks
    )
    clause = values.entry("rail.eudl_shear").clause
    name = f"{len(lanes)} track{'s' if len(lanes) > 1 else ''}"
    model = TrafficModel(MODEL, clause, (Placement(name, lanes),))
    line = longitudinal(values, facts)
    offsets = tuple(track.offset for track in facts.tracks)
    force = braking_force(line, 0.0, facts.unit_length, offsets)
    horizontals = ((force, float(len(lanes))),)
    return (TrafficGroup("live", clause, (model,), horizontals=horizontals),)


def _refuse_what_is_not_here(facts: BridgeFacts) -> None:
    for name in facts.models or ():
        if name != MODEL:
            raise refuse("actions.traffic.models", name, MODEL)
    if len(facts.spans) > 1 and not facts.simple_spans:
        allowed = "simple spans: the equivalent loads are end reactions of those alone"
        raise refuse("superstructure.continuity", "a continuous superstructure", allowed)
    if facts.radius is not None:
        allowed = "a straight track, as the rule of curves was not read"
        raise refuse("alignment.radius", f"{abs(facts.radius):g} m", allowed)
    if not facts.tracks:
        raise refuse("actions.traffic.tracks", "nothing", "at least one track")
    for track in facts.tracks:
        if track.alpha != 1.0:
            allowed = "1: this loading has no classes"
            raise refuse("actions.traffic.tracks", f"alpha = {track.alpha:g}", allowed)


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Loads, dynamic augment, end reactions, longitudinal force and racking, for the record."""
    found: list[Line] = []
    for span in sorted(set(facts.spans)):
        found += [
            equivalent_shear(values, facts, span),
            dynamic_augment(values, span),
            end_reaction(values, facts, span),
        ]
    return (*found, longitudinal(values, facts), racking(values))
