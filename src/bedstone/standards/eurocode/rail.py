"""EN 1991-2, section 6.3 and 6.4: vertical load models of railways and the dynamic factor."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import Literal

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.standards.clause import state
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.traffic import Axle, LaneLoad, Train
from bedstone.standards.values import Values

RailModel = Literal["LM71", "SW/0", "SW/2", "unloaded train"]
#: Heading of the strips of SW/0 and SW/2 in the data file.
_STRIPS: dict[str, str] = {"SW/0": "rail.sw0", "SW/2": "rail.sw2"}


def is_continuous(facts: BridgeFacts) -> bool:
    """Whether at least one unit of the superstructure runs over an interior support.

    A single span does not, however far it reaches beyond its ends.
    """
    if len(facts.spans) == 1 or facts.simple_spans:
        return False
    return facts.unit_length > max(facts.spans) * 1.001


def determinant_length(values: Values, facts: BridgeFacts) -> Line:
    """Determinant length L_Phi (m) of the main girders, which also counts for their bearings.

    Simple spans: the span (the shortest, safe side). Continuous over n spans: k times the mean
    span, at least the longest. The engineer's own length replaces both. Raises `InputError` when
    the continuous length is not the sum of neighbouring spans.
    Source: EN 1991-2, 6.4.5.3 and Table 6.2 (5.1, 5.2).
    """
    if "rail.determinant_length" in facts.choices:
        given = CHOSEN.needed(facts.choices, "rail.determinant_length", above=0.0)
        length, formula, note = given, "L_Phi given", "given by the engineer"
    elif not is_continuous(facts):
        length, formula, note = min(facts.spans), "L_Phi = L", "shortest of the simple spans"
    else:
        unit = _continuous_spans(facts)
        factors = values.row("rail.determinant.continuous")
        k = factors[min(len(unit) - 2, len(factors) - 1)]
        length = max(k * sum(unit) / len(unit), *unit)
        formula, note = "L_Phi = k L_m >= max L_i", f"{len(unit)} continuous spans, k = {k:g}"
    return state(
        values,
        ("rail.determinant.continuous",),
        title="Determinant length",
        formula=formula,
        inputs=tuple(Quantity(f"L_{i + 1}", span, "m") for i, span in enumerate(facts.spans)),
        result=Quantity("L_Phi", length, "m"),
        note=note,
    )


def _continuous_spans(facts: BridgeFacts) -> tuple[float, ...]:
    """The neighbouring spans that make up the longest continuous length, most spans first."""
    spans = facts.spans
    for count in range(len(spans), 1, -1):
        for start in range(len(spans) - count + 1):
            unit = spans[start : start + count]
            if abs(sum(unit) - facts.unit_length) <= 0.01 * facts.unit_length:
                return unit
    raise InputError(
        [
            Fault(
                "bridge file",
                CHOSEN.field("rail.determinant_length"),
                f"none, and {facts.unit_length:g} m is no sum of neighbouring spans",
                "the determinant length in m",
            )
        ]
    )


def dynamic_factor(values: Values, maintenance: Literal["phi2", "phi3"], length: float) -> Line:
    """Phi2 (carefully maintained track) or Phi3 (standard) for L_Phi = `length` (m).

    Raises `BedstoneError` where the formula has no meaning (sqrt(L) <= 0.2).
    Source: EN 1991-2, 6.4.5.2 (6.4), (6.5).
    """
    name = f"rail.{maintenance}"
    a, b, c, least, greatest = values.row(name)
    if not (length > 0.0 and sqrt(length) > b):
        raise BedstoneError(f"the dynamic factor has no value for L_Phi = {length:g} m")
    factor = min(max(a / (sqrt(length) - b) + c, least), greatest)
    return state(
        values,
        (name,),
        title=f"Dynamic factor {maintenance.capitalize()}",
        formula=f"{a:g}/(sqrt(L_Phi) - {b:g}) + {c:g}, {least:g} to {greatest:g}",
        inputs=(Quantity("L_Phi", length, "m"),),
        result=Quantity(maintenance.capitalize(), factor, ""),
        note="for bearings; not for abutments, walls and stocky piers",
    )


def chosen_dynamic_factor(values: Values, facts: BridgeFacts) -> float:
    """The dynamic factor the engineer chose: Phi2, Phi3 (default) or 1."""
    match CHOSEN.word(facts.choices, "rail.dynamic", ("phi2", "phi3", "none"), "phi3"):
        case "phi2":
            return dynamic_factor(values, "phi2", determinant_length(values, facts).value).value
        case "phi3":
            return dynamic_factor(values, "phi3", determinant_length(values, facts).value).value
        case _:
            return 1.0


def track_alpha(model: RailModel, track: TrackFacts) -> float:
    """Factor alpha of a load model on a track: LM71 and SW/0 alone (EN 1991-2, 6.3.2(3))."""
    return track.alpha if model in ("LM71", "SW/0") else 1.0


def unloaded_uniform(values: Values, facts: BridgeFacts) -> float:
    """Weight of the unloaded train (N/m), EN 1991-2, 6.3.4; the ENV figure on request."""
    which = CHOSEN.word(facts.choices, "rail.unloaded_train", ("en", "env"), "en")
    return values.number(f"rail.unloaded.{which}")


def lane_load(
    values: Values, facts: BridgeFacts, model: RailModel, track: TrackFacts, dynamic: float
) -> LaneLoad:
    """One load model on one track, alpha and the dynamic factor included.

    LM71: up to four single loads and the uniform load on adverse lengths (6.3.2, 6.8.1). SW/0,
    SW/2: two strips, placed once (6.3.3). Unloaded train: uniform on adverse lengths, no dynamic
    factor (6.3.4). LM71 and SW/0 also stand eccentric (6.3.5).
    """
    gauge = values.number("rail.wheel_spacing")
    factor = track_alpha(model, track) * dynamic
    eccentricity = track.eccentricity
    if model in ("LM71", "SW/0"):
        ratio = values.number("rail.eccentricity.ratio")
        eccentricity += gauge / 2 * (ratio - 1.0) / (ratio + 1.0)
    lane = LaneLoad(
        name=model,
        trains=(),
        width=gauge,
        uniform_width=gauge,
        train_factor=factor,
        uniform_factor=factor,
        offsets=tuple(
            sorted({track.offset - eccentricity, track.offset, track.offset + eccentricity})
        ),
    )
    if model == "unloaded train":
        return replace(lane, uniform=unloaded_uniform(values, facts) / gauge, uniform_factor=1.0)
    if model == "LM71":
        spacing = values.number("rail.lm71.axle_spacing")
        force = values.number("rail.lm71.axle")
        count = int(values.number("rail.lm71.axles"))
        train = Train(
            "LM71",
            tuple(Axle(index * spacing, force) for index in range(count)),
            track=gauge,
            clear=values.number("rail.lm71.clear"),
            omit_relieving=True,
        )
        return replace(lane, trains=(train,), uniform=values.number("rail.lm71.uniform") / gauge)
    head = _STRIPS[model]
    length = values.number(f"{head}.length")
    force = values.number(f"{head}.uniform") * length
    strips = (
        Axle(0.0, force, length),
        Axle(length + values.number(f"{head}.gap"), force, length),
    )
    return replace(lane, trains=(Train(model, strips, track=gauge),))


def loaded_length(values: Values, model: RailModel, length: float) -> float:
    """Greatest length (m) of `length` that a load model really loads (strips leave their gap)."""
    head = _STRIPS.get(model)
    if head is None:
        return length
    strip = values.number(f"{head}.length")
    gap = values.number(f"{head}.gap")
    return max(min(length, strip), min(length - gap, 2 * strip))


def total_load(values: Values, facts: BridgeFacts, model: RailModel, length: float) -> float:
    """Greatest load (N) of a load model, without factors, that stands on `length` (m) of track."""
    if model == "unloaded train":
        return unloaded_uniform(values, facts) * length
    if model != "LM71":
        head = _STRIPS[model]
        return values.number(f"{head}.uniform") * loaded_length(values, model, length)
    spacing = values.number("rail.lm71.axle_spacing")
    count = min(int(values.number("rail.lm71.axles")), 1 + int(length / spacing + 1e-9))
    uniform = length - (count - 1) * spacing - 2 * values.number("rail.lm71.clear")
    return count * values.number("rail.lm71.axle") + values.number("rail.lm71.uniform") * max(
        uniform, 0.0
    )
