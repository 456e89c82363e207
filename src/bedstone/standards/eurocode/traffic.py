"""EN 1991-2, Tables 4.4a and 6.11: groups of traffic loads, each one action of the combinations."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations
from math import copysign

from bedstone.errors import Fault, InputError
from bedstone.standards.eurocode import horizontal, rail, road
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.eurocode.factors import National, psi
from bedstone.standards.eurocode.rail import RailModel
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, TrackFacts, carriageway_width
from bedstone.standards.traffic import (
    HorizontalForce,
    Placement,
    TrafficGroup,
    TrafficModel,
    braking_force,
    centrifugal_force,
    outermost,
)
from bedstone.standards.values import Values

ROAD_MODELS = ("LM1", "LM2", "LM4")
RAIL_MODELS: tuple[RailModel, ...] = ("LM71", "SW/0", "SW/2", "unloaded train")
#: The load models that stand together: one for each loaded track.
_Pair = tuple[RailModel, ...]


def groups(values: Values, facts: BridgeFacts, national: National) -> tuple[TrafficGroup, ...]:
    """All groups of the bridge, heaviest first; raises `InputError` for faults of the facts."""
    if facts.use == "road":
        return road_groups(values, facts, national)
    return rail_groups(values, facts)


def _asked(facts: BridgeFacts, known: tuple[str, ...], usual: tuple[str, ...]) -> tuple[str, ...]:
    """The load models asked for; raises `InputError` for each that this family does not have."""
    if facts.models is None:
        return usual
    faults = [
        Fault("bridge file", "actions.traffic.models", repr(name), ", ".join(known))
        for name in facts.models
        if name not in known
    ]
    if faults or not facts.models:
        raise InputError(
            faults or [Fault("bridge file", "actions.traffic.models", "nothing", ", ".join(known))]
        )
    return facts.models


# --- road ---------------------------------------------------------------------------------------


def road_groups(values: Values, facts: BridgeFacts, national: National) -> tuple[TrafficGroup, ...]:
    """gr1a, gr1b, gr2, gr4 (LM4 only when asked for), and LM1 at two reduced values.

    `gr1a reduced` (psi_0) and `gr1a frequent` (psi_1) are groups of their own, because tandems
    and uniform loads have different factors. gr2 is the frequent LM1 with the characteristic
    horizontal forces. Footways (gr3) and special vehicles (gr5) are not covered.
    Source: EN 1991-2, Table 4.4a; EN 1990, Table A2.1.
    """
    models = _asked(facts, ROAD_MODELS, ("LM1", "LM2"))
    lanes = road.notional_lanes(values, carriageway_width(facts))
    alpha = road.adjustment(values, facts.choices)
    clause = "EN 1991-2, Table 4.4a"
    found = []
    if "LM1" in models:
        tandem = psi(values, national, "tandem")
        uniform = psi(values, national, "uniform")
        frequent = road.lm1(values, lanes, alpha, tandem[1], uniform[1])
        found += [
            TrafficGroup("gr1a", clause, (road.lm1(values, lanes, alpha),)),
            TrafficGroup(
                "gr2",
                clause,
                (frequent,),
                horizontals=tuple((force, 1.0) for force in road_forces(values, facts)),
            ),
            TrafficGroup(
                "gr1a reduced",
                f"{clause}; EN 1990, Table A2.1 (psi_0)",
                (road.lm1(values, lanes, alpha, tandem[0], uniform[0]),),
            ),
            TrafficGroup("gr1a frequent", f"{clause}; EN 1990, Table A2.1 (psi_1)", (frequent,)),
        ]
    if "LM2" in models:
        found.append(TrafficGroup("gr1b", clause, (road.lm2(values, alpha.beta),)))
    if "LM4" in models:
        found.append(TrafficGroup("gr4", clause, (road.lm4(values),)))
    return tuple(found)


def road_force_lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Braking, skew braking (unless left out) and, on a curve, centrifugal force, as lines."""
    lanes = road.notional_lanes(values, carriageway_width(facts))
    alpha = road.adjustment(values, facts.choices)
    braking = horizontal.road_braking(values, alpha.Q[0], alpha.q1, lanes.width, facts.unit_length)
    lines = [braking]
    if CHOSEN.flag(facts.choices, "road.skew_braking", True):
        lines.append(horizontal.skew_braking(values, braking.value))
    if facts.radius is not None:
        lines.append(horizontal.road_centrifugal(values, alpha, lanes.count, abs(facts.radius)))
    return tuple(lines)


def road_forces(values: Values, facts: BridgeFacts) -> tuple[HorizontalForce, ...]:
    """The horizontal forces of gr2, all at the level of the carriageway."""
    forces = []
    width = road.notional_lanes(values, carriageway_width(facts)).width
    axes = () if facts.carriageway is None else outermost(facts.carriageway, width)
    for line in road_force_lines(values, facts):
        length = facts.unit_length
        if line.result.symbol == "Q_lk":
            forces.append(braking_force(line, 0.0, length, axes))  # along the axis of any lane
        elif line.result.symbol == "Q_trk":
            clause = f"{line.standard}, {line.clause}"
            forces.append(
                HorizontalForce("transverse", line.title, clause, 0.0, line.value, 0.0, length)
            )
        elif line.value > 0.0 and facts.radius is not None:
            forces.append(centrifugal_force(line, facts.radius, 0.0, length, spread=False))
    return tuple(forces)


# --- rail ---------------------------------------------------------------------------------------


def rail_groups(values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
    """Groups of one track (gr11 to gr17) and of two (gr21 to gr27), for one or two tracks.

    LM71, with SW/0 as its alternative on continuous superstructures, in gr11 to gr14 and gr21 to
    gr24; the unloaded train in gr15; SW/2 in gr16, gr17 and, with LM71 on the other track, in
    gr26, gr27. gr13, gr14, gr23 and gr24 carry the reduced vertical load: with the full one they
    equal the two groups before them. Raises `InputError` for no track or more than two.
    Source: EN 1991-2, Table 6.11.
    """
    check_tracks(values, facts)
    models = rail_models(facts)
    main: _Pair = tuple(model for model in ("LM71", "SW/0") if model in models)
    found: list[TrafficGroup] = []
    if main:
        found += _family(values, facts, ("gr11", "gr12", "gr13", "gr14"), [(m,) for m in main])
    if len(facts.tracks) == 2 and main:
        pairs: list[_Pair] = [(m, m) for m in main]
        found = [*_family(values, facts, ("gr21", "gr22", "gr23", "gr24"), pairs), *found]
    if "SW/2" in models:
        found += _family(values, facts, ("gr16", "gr17"), [("SW/2",)])
        if len(facts.tracks) == 2:
            found += _family(values, facts, ("gr26", "gr27"), [("SW/2", "LM71")])
    if "unloaded train" in models:
        found += _family(values, facts, ("gr15",), [("unloaded train",)])
    return tuple(found)


def rail_models(facts: BridgeFacts) -> tuple[str, ...]:
    """Models asked for, or LM71, the unloaded train and, where continuous, SW/0."""
    usual: tuple[RailModel, ...] = ("LM71", "unloaded train")
    if rail.is_continuous(facts):
        usual = ("LM71", "SW/0", "unloaded train")
    return _asked(facts, RAIL_MODELS, usual)


def check_tracks(values: Values, facts: BridgeFacts) -> None:
    """Raises `InputError` unless there are spans and one or two tracks with sensible facts.

    alpha is one of the classes of EN 1991-2, 6.3.2(3).
    """
    count = len(facts.tracks)
    classes = values.row("rail.alpha.classes")
    faults = []
    if not facts.spans:
        faults.append(Fault("bridge file", "support", "none", "the length of every span"))
    if count not in (1, 2):
        faults.append(
            Fault("bridge file", "actions.traffic.tracks", f"{count} tracks", "one or two tracks")
        )
    for index, track in enumerate(facts.tracks):
        if not track.speed >= 0.0:
            faults.append(
                Fault(
                    "bridge file",
                    f"actions.traffic.tracks[{index + 1}].speed",
                    repr(track.speed),
                    "0 m/s and more",
                )
            )
        if track.alpha not in classes:
            allowed = ", ".join(f"{alpha:g}" for alpha in classes)
            faults.append(
                Fault(
                    "bridge file",
                    f"actions.traffic.tracks[{index + 1}].alpha",
                    repr(track.alpha),
                    allowed,
                )
            )
    if faults:
        raise InputError(faults)


def _stands(
    facts: BridgeFacts, models: _Pair
) -> Iterator[tuple[tuple[RailModel, TrackFacts], ...]]:
    """Every way in which the models of a group can stand on the tracks of the bridge."""
    for tracks in permutations(facts.tracks, len(models)):
        yield tuple(zip(models, tracks, strict=True))


def _family(
    values: Values, facts: BridgeFacts, names: tuple[str, ...], alternatives: list[_Pair]
) -> list[TrafficGroup]:
    """The groups `names` that share their vertical models and differ in their factors alone."""
    dynamic = rail.chosen_dynamic_factor(values, facts)
    models = tuple(
        TrafficModel(
            " + ".join(alternative),
            "EN 1991-2, 6.3",
            tuple(
                dict.fromkeys(
                    Placement(
                        " + ".join(alternative),
                        tuple(
                            sorted(
                                (
                                    rail.lane_load(values, facts, model, track, dynamic)
                                    for model, track in stand
                                ),
                                key=lambda lane: lane.offsets or (),
                            )
                        ),
                        may_omit=False,
                    )
                    for stand in _stands(facts, alternative)
                )
            ),
        )
        for alternative in alternatives
    )
    along = rail_along(values, facts, alternatives)
    across = rail_centrifugal_force(values, facts, alternatives)
    side = nosing_force(values, facts, len(alternatives[0]))
    found = []
    for name in names:
        vertical, longitudinal, centrifugal, lateral = values.row(f"rail.groups.{name}")
        horizontals = (
            (along, longitudinal),
            (across, centrifugal),
            (side, lateral),
        )
        found.append(
            TrafficGroup(
                name,
                "EN 1991-2, Table 6.11",
                models,
                vertical_factor=vertical,
                horizontals=tuple(
                    (force, factor)
                    for force, factor in horizontals
                    if force is not None and factor > 0.0
                ),
            )
        )
    return found


def rail_along(
    values: Values, facts: BridgeFacts, alternatives: list[_Pair]
) -> HorizontalForce | None:
    """Governing longitudinal force: traction or braking; with two tracks braking and traction.

    On two tracks one train brakes while the other pulls: with opposite directions both push the
    same way. Source: EN 1991-2, 6.5.3(2), (8).
    """
    length = facts.unit_length
    best = (0.0, "", 0.0)
    for alternative in alternatives:
        for stand in _stands(facts, alternative):
            model, track = stand[0]
            brake = horizontal.rail_braking(values, model, track, length).value
            pull = horizontal.traction(values, model, track, length).value
            if len(stand) == 1:
                best = max(
                    best,
                    (pull, f"traction {model}", track.offset),
                    (brake, f"braking {model}", track.offset),
                )
                continue
            other, second = stand[1]
            for force, beside, name in (
                (
                    brake,
                    horizontal.traction(values, other, second, length).value,
                    f"braking {model}, traction {other}",
                ),
                (
                    pull,
                    horizontal.rail_braking(values, other, second, length).value,
                    f"traction {model}, braking {other}",
                ),
            ):
                both = force + beside
                middle = (force * track.offset + beside * second.offset) / (both or 1.0)
                best = max(best, (both, name, middle))
    force, name, offset = best
    if force == 0.0:
        return None
    return HorizontalForce(
        "braking", name, "EN 1991-2, 6.5.3", force, 0.0, 0.0, length, offsets=(offset,)
    )


def rail_centrifugal_force(
    values: Values, facts: BridgeFacts, alternatives: list[_Pair]
) -> HorizontalForce | None:
    """Governing centrifugal force on the continuous length; None if straight.

    Every track has its own radius: the centre of the curve lies at y = radius.
    """
    radius = facts.radius
    if radius is None:
        return None
    length = facts.unit_length
    force = max(
        sum(
            horizontal.rail_centrifugal(
                values, facts, model, track, abs(radius - track.offset), length
            ).value
            for model, track in stand
        )
        for alternative in alternatives
        for stand in _stands(facts, alternative)
    )
    if force == 0.0:
        return None
    return HorizontalForce(
        "centrifugal",
        "centrifugal force",
        "EN 1991-2, 6.5.1",
        0.0,
        -copysign(force, radius),  # away from the centre of the curve
        values.number("rail.centrifugal.height"),
        length,
        one_sense=True,
    )


def nosing_force(values: Values, facts: BridgeFacts, loaded_tracks: int) -> HorizontalForce:
    """Nosing of the loaded tracks together (N), to the worse side, at one place of the bridge."""
    with_alpha = CHOSEN.flag(facts.choices, "rail.nosing_alpha", True)
    forces = sorted(
        (horizontal.nosing(values, track.alpha, with_alpha).value for track in facts.tracks),
        reverse=True,
    )
    return HorizontalForce(
        "transverse",
        "nosing",
        "EN 1991-2, 6.5.2",
        0.0,
        sum(forces[:loaded_tracks]),
        0.0,
        facts.unit_length,
        spread=False,
    )


def rail_force_lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Traction, braking, centrifugal force and nosing of every track and model, as lines."""
    lines: list[Line] = []
    with_alpha = CHOSEN.flag(facts.choices, "rail.nosing_alpha", True)
    length = facts.unit_length
    asked = rail_models(facts)
    for track in facts.tracks:
        for model in RAIL_MODELS:
            if model not in asked:
                continue
            if model != "unloaded train":
                lines.append(horizontal.traction(values, model, track, length))
                lines.append(horizontal.rail_braking(values, model, track, length))
            if facts.radius is not None:
                lines.append(
                    horizontal.rail_centrifugal(
                        values, facts, model, track, abs(facts.radius - track.offset), length
                    )
                )
        lines.append(horizontal.nosing(values, track.alpha, with_alpha))
    return tuple(dict.fromkeys(lines))


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Calculation lines of the traffic on the bridge."""
    if facts.use == "road":
        alpha = road.adjustment(values, facts.choices)
        return (
            road.notional_lanes_line(values, carriageway_width(facts)),
            road.least_alpha(values, alpha.Q[0]),
            *road_force_lines(values, facts),
        )
    check_tracks(values, facts)
    length = rail.determinant_length(values, facts)
    factors = tuple(
        rail.dynamic_factor(values, kind, length.value)
        for kind in ("phi2", "phi3")
        if facts.choices.get("rail.dynamic", "phi3") == kind
    )
    reductions = tuple(
        dict.fromkeys(
            horizontal.speed_reduction(values, track.speed, facts.unit_length)
            for track in facts.tracks
            if facts.radius is not None
        )
    )
    return (length, *factors, *reductions, *rail_force_lines(values, facts))
