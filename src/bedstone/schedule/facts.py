"""What a family of standards has to know of this bridge, from the file and the structure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bedstone.bridge.schema import Bridge, FamilyName, Girders, Truss, UserTrain
from bedstone.errors import Fault, InputError
from bedstone.model.sections import section_properties
from bedstone.model.structure import Structure
from bedstone.standards.combination import Combination, Term
from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.traffic import Axle, LaneLoad, Placement, TrafficGroup, TrafficModel, Train

#: The name each family gives to a drag coefficient or force factor.
_DRAG = {"eurocode": "wind.force_factor", "aashto": "wind.drag", "irc": "wind.drag"}


def choices(bridge: Bridge, family: FamilyName) -> dict[str, float | str | bool]:
    """The engineer's choices for one family, with what the action tables say in plain fields."""
    result: dict[str, float | str | bool] = dict(bridge.choices.get(family, {}))
    wind = bridge.actions.wind
    if wind is not None:
        if wind.speed is not None:
            result.setdefault("wind.speed", wind.speed)
        if wind.pressure is not None:
            result.setdefault("wind.pressure", wind.pressure)
        if wind.drag is not None:
            result.setdefault(_DRAG[family], wind.drag)
    if family == "irc" and bridge.bridge.use == "rail":
        result.setdefault("friction.rules", "railway")
    seismic = bridge.actions.seismic
    if seismic is not None:
        for name, value in getattr(seismic, family).items():
            result.setdefault(f"seismic.{name}", value)
    return result


def bridge_facts(bridge: Bridge, structure: Structure, family: FamilyName) -> BridgeFacts:
    """Facts for a family, SI; raises `InputError` where traffic is asked for but not its place."""
    traffic = bridge.actions.traffic
    temperature = bridge.actions.temperature
    carriageway = None
    tracks: tuple[TrackFacts, ...] = ()
    if traffic is not None:
        if bridge.bridge.use == "rail":
            tracks = tuple(
                TrackFacts(track.offset, track.speed, track.alpha, track.eccentricity)
                for track in traffic.tracks
            )
        elif traffic.right is None or traffic.left is None:
            raise InputError(
                [
                    Fault(
                        "bridge file",
                        "actions.traffic",
                        "no edges of the carriageway",
                        "right and left, offsets of the kerbs such as '-4.5 m' and '4.5 m'",
                    )
                ]
            )
        else:
            carriageway = (traffic.right, traffic.left)
    wind = bridge.actions.wind
    depth = wind.depth if wind is not None and wind.depth is not None else structure.depth
    curvature = structure.axis.curvature
    spans = tuple(float(span) for span in np.diff(structure.chainages))
    kind = bridge.superstructure.kind
    return BridgeFacts(
        use=bridge.bridge.use,
        deck_type=structure.deck_type,
        superstructure=kind,
        spans=spans or (structure.unit_length,),
        unit_length=structure.unit_length,
        carriageway=carriageway,
        deck_width=structure.deck_width,
        deck_depth=depth,
        radius=1.0 / curvature if curvature else None,
        speed=traffic.speed if traffic is not None else 0.0,
        tracks=tracks,
        surfacing=temperature.surfacing if temperature is not None else 0.0,
        air_min=temperature.air_min if temperature is not None else None,
        air_max=temperature.air_max if temperature is not None else None,
        setting_temperature=temperature.setting if temperature is not None else None,
        models=tuple(traffic.models) if traffic is not None and traffic.models else None,
        choices=choices(bridge, family),
        simple_spans=not structure.continuous,
        deck_on_top=isinstance(bridge.superstructure, Truss)
        and bridge.superstructure.deck == "deck",
        outline=_outline_levels(bridge.superstructure, structure)
        if isinstance(bridge.superstructure, Truss)
        else None,
    )


def _outline_levels(truss: Truss, structure: Structure) -> tuple[float, float]:
    """Levels (m) of the lowest and the highest edge of the chords above the road."""
    if truss.deck == "deck":
        bottom, top = -structure.depth, -truss.surface_to_chord
    else:
        bottom, top = -truss.surface_to_chord, structure.depth - truss.surface_to_chord
    lower, upper = (
        section_properties(truss.sections[name]).depth / 2.0
        for name in (truss.members.bottom_chord, truss.members.top_chord)
    )
    return bottom - lower, top + upper


def room_for(train: UserTrain, facts: BridgeFacts, where: str) -> list[Fault]:
    """A fault when a train of the engineer's own has no place on the carriageway."""
    if facts.carriageway is None:
        return []
    width = facts.carriageway[1] - facts.carriageway[0]
    least = train.width + 2.0 * train.edge
    if least <= width + 1e-9:
        return []
    allowed = f"room on the carriageway, {width:g} m wide"
    return [Fault("bridge file", f"{where}.width", f"{least:g} m with its edges", allowed)]


def user_group(given: UserTrain, facts: BridgeFacts) -> TrafficGroup:
    """A traffic group of a train of the engineer's own, on the carriageway or on the tracks."""
    position = 0.0
    axles = []
    for number, axle in enumerate(given.axles):
        position += axle.gap if number else 0.0
        axles.append(Axle(position, axle.load))
    train = Train(given.name, tuple(axles), track=given.track, follow=given.follow)
    lane = LaneLoad(
        name=given.name,
        trains=(train,),
        width=given.width,
        uniform=given.uniform,
        uniform_width=given.width if given.uniform else 0.0,
        train_factor=given.dynamic,
        edge=given.edge,
    )
    # on a railway each track is a lane, at its own place
    tracks = [replace(lane, offsets=(track.offset,)) for track in facts.tracks]
    sets = (
        [(track,) for track in tracks]
        + ([tuple(tracks)] if len(tracks) > 1 and given.lanes > 1 else [])
        if tracks
        else [(lane,) * count for count in range(1, given.lanes + 1)]
    )
    placements = tuple(
        Placement(
            name=f"{len(lanes)} lane{'s' if len(lanes) > 1 else ''}",
            lanes=lanes,
            factor=given.factors[min(len(lanes), len(given.factors)) - 1],
        )
        for lanes in sets
    )
    model = TrafficModel(given.name, "bridge file, actions.traffic.trains", placements)
    return TrafficGroup(given.name, model.clause, (model,))


def with_user_groups(
    combinations: Sequence[Combination], users: Sequence[tuple[str, str]]
) -> tuple[Combination, ...]:
    """Add combinations in which a user's group stands for the family's group it is like.

    `users`: (own group, family group) names.
    """
    result = list(combinations)
    for own, like in users:
        old, new = f"traffic:{like}", f"traffic:{own}"
        result.extend(
            replace(
                item,
                name=item.name.replace(like, own) if like in item.name else f"{item.name} ({own})",
                leading=item.leading.replace(old, new),
                terms=_swap(item.terms, old, new),
                movement_terms=None
                if item.movement_terms is None
                else _swap(item.movement_terms, old, new),
            )
            for item in combinations
            if any(term.action == old for term in item.terms)
        )
    return tuple(result)


def _swap(terms: tuple[Term, ...], old: str, new: str) -> tuple[Term, ...]:
    return tuple(
        Term(new, term.adverse, term.relieving) if term.action == old else term for term in terms
    )


def outline(bridge: Bridge, structure: Structure) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Lines in plan for a drawing: the deck's edges, then its girder lines or truss planes."""
    state = structure.states.get("short") or next(iter(structure.states.values()), None)
    if state is None or state.deck is None:
        return ()
    deck = state.deck
    lines = [deck.right, deck.left]
    kind = bridge.superstructure
    if isinstance(kind, Truss):
        lines += [-kind.spacing / 2.0, kind.spacing / 2.0]
    elif isinstance(kind, Girders):
        lines += [line.offset for line in deck.lines]
    else:
        lines += sorted({seat.offset for seat in structure.seats})
    first, last = deck.limits(np.array(lines))  # skewed ends differ from line to line
    count = 61 if structure.axis.curvature else 2
    return tuple(
        tuple(
            (float(x), float(y))
            for x, y in structure.axis.point(np.linspace(start, end, count), offset)
        )
        for offset, start, end in zip(lines, first, last, strict=True)
    )
