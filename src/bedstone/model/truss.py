"""Truss superstructures: two vertical planes with cross girders, stringers and bracing.

The lines of a truss are in `truss_layout`, its idealisation as a frame in `truss_frame`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from bedstone.bridge.schema import Bridge, Truss
from bedstone.errors import Fault, InputError
from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import Floats
from bedstone.model.alignment import Axis
from bedstone.model.deck import Deck, DeckLine
from bedstone.model.sections import section_properties
from bedstone.model.stages import permanent_loads, usual_stages
from bedstone.model.structure import SeatPlace, State, StateName, Structure
from bedstone.model.truss_frame import Part, TrussFrame, assemble, slab_stock, stocks
from bedstone.model.truss_layout import Joint, bracing, truss_plane


def build_truss(bridge: Bridge) -> Structure:
    """Return the structure of a bridge whose superstructure is a truss.

    Skewed supports shift the planes against each other (cross girders run parallel to the supports,
    between them evenly). In the state "steel" a slab only weighs.

    Raises
    ------
    InputError
        For what a truss cannot be: one fault for each.
    """
    truss = bridge.superstructure
    if not isinstance(truss, Truss):
        raise TypeError("build_truss needs a bridge of kind truss")
    _raise_faults(bridge, truss)
    axis = Axis(start=bridge.support[0].chainage)
    parts = truss_parts(bridge, truss)
    places, seats = _seats(bridge, truss, axis, parts)
    states = _states(bridge, truss, axis, parts, seats)
    chainages = tuple(support.chainage for support in bridge.support)
    continuous = truss.continuity == "continuous"
    deck = states["long"].deck
    assert deck is not None  # every truss has stringers
    levels = [part.level(joint) for part in parts for joint in part.plane.joints]
    slab = truss.slab
    composite = slab is not None and truss.slab_composite
    return Structure(
        axis=axis,
        seats=places,
        states=states,
        loads=permanent_loads(
            bridge,
            states,
            usual_stages("steel", slab=slab is not None),
            None if slab is None else slab.thickness * bridge.materials.concrete_density,
            None if slab is None else _haunch(bridge, truss, states),
        ),
        supports=tuple(support.mark for support in bridge.support),
        chainages=chainages,
        continuous=continuous,
        unit_length=chainages[-1] - chainages[0]
        if continuous
        else max(b - a for a, b in pairwise(chainages)),
        depth=max(0.0, *levels) - min(levels),
        deck_type="composite" if composite else "steel",
        deck_width=deck.left - deck.right,
    )


def truss_parts(bridge: Bridge, truss: Truss) -> tuple[Part, ...]:
    """The truss in its separate pieces: one, or one a span when the spans are simple."""
    spans = range(len(truss.panels))
    runs = [tuple(spans)] if truss.continuity == "continuous" else [(span,) for span in spans]
    parts: list[Part] = []
    for run in runs:
        supports = (*run, run[-1] + 1)
        panels = tuple(truss.panels[span] for span in run)
        plane = truss_plane(truss.form, truss.deck, truss.seat_chord, panels)
        heights = list(truss.heights)
        if len(heights) == 1:
            heights *= sum(panels) + 1
        else:  # the heights of one span, again for each span
            heights += heights[1:] * (len(run) - 1)
        parts.append(
            Part(
                plane=plane,
                braces=tuple(bracing(plane)),
                supports=supports,
                x=tuple(
                    bridge.support[index].chainage - bridge.support[0].chainage
                    for index in supports
                ),
                skew=tuple(math.tan(bridge.support[index].skew) for index in supports),
                heights=tuple(heights),
                loaded_level=-truss.surface_to_chord,
            )
        )
    return tuple(parts)


# ------------------------------------------------------------------ faults
def _raise_faults(bridge: Bridge, truss: Truss) -> None:
    faults: list[Fault] = []

    def fault(where: str, found: str, allowed: str) -> None:
        faults.append(Fault("bridge file", where, found, allowed))

    if bridge.alignment.radius is not None:
        found = f"{bridge.alignment.radius:.6g} m"
        fault("alignment.radius", found, "no radius: trusses stand on a straight line")
    spans = len(bridge.support) - 1
    if len(truss.panels) != spans:
        fault("superstructure.panels", f"{len(truss.panels)} spans", f"{spans} spans")
    if truss.deck == "through" and truss.seat_chord == "top":
        allowed = "bottom: the top chord of a through truss does not reach its ends"
        fault("superstructure.seat_chord", "top", allowed)
    if len(truss.heights) > 1:
        if any(len(truss.heights) != count + 1 for count in truss.panels):
            found = f"{len(truss.heights)} heights"
            fault("superstructure.heights", found, "1, or one for each panel point of a span")
        elif (
            truss.continuity == "continuous"
            and spans > 1
            and not math.isclose(truss.heights[0], truss.heights[-1])
        ):
            found = f"{truss.heights[0]:g} m at the start and {truss.heights[-1]:g} m at the end"
            allowed = "the same at both ends of a span where spans run on over a support"
            fault("superstructure.heights", found, allowed)
    if truss.members.posts is None and _has_posts(truss):
        fault("superstructure.members.posts", "nothing", "a section for the posts")
    slab = truss.slab
    if (
        slab is not None
        and truss.slab_composite
        and len(truss.stringer_offsets) == 1
        and slab.overhang_left + slab.overhang_right <= 0.0
    ):
        fault("superstructure.slab.overhang_left", "0 m", "a slab wider than its one stringer")
    if faults:
        raise InputError(faults)


def _has_posts(truss: Truss) -> bool:
    panels = tuple(truss.panels)
    runs = [panels] if truss.continuity == "continuous" else [(count,) for count in panels]
    return any(
        bar.group == "posts"
        for run in runs
        for bar in truss_plane(truss.form, truss.deck, truss.seat_chord, run).bars
    )


# ------------------------------------------------------------------ seats
def _seats(
    bridge: Bridge, truss: Truss, axis: Axis, parts: tuple[Part, ...]
) -> tuple[tuple[SeatPlace, ...], tuple[tuple[int, int, Joint], ...]]:
    """Seats by support, back before ahead, right before left; and (part, side, joint) of each."""
    places: list[SeatPlace] = []
    joints: list[tuple[int, int, Joint]] = []
    half = truss.spacing / 2.0
    for index, support in enumerate(bridge.support):
        standing = [number for number, part in enumerate(parts) if index in part.supports]
        suffixes = ("b", "a") if len(standing) == 2 else ("",)
        for number, suffix in zip(standing, suffixes, strict=True):
            part = parts[number]
            point = part.plane.supports[part.supports.index(index)]
            joint = Joint(float(point), truss.seat_chord)
            for side, y in enumerate((-half, half)):
                x, _ = part.position(joint.point, y)
                places.append(
                    SeatPlace(
                        mark=f"{support.mark}-{side + 1}{suffix}",
                        support=support.mark,
                        line=side + 1,
                        point=(x, y, part.level(joint) - truss.contact),
                        chainage=axis.start + x,
                        offset=y,
                        angle=0.0,
                    )
                )
                joints.append((number, side, joint))
    return tuple(places), tuple(joints)


# ------------------------------------------------------------------ states
def _states(
    bridge: Bridge,
    truss: Truss,
    axis: Axis,
    parts: tuple[Part, ...],
    seats: tuple[tuple[int, int, Joint], ...],
) -> dict[StateName, State]:
    creep = bridge.materials.creep_factor
    states: dict[StateName, State] = {
        "steel": _state(bridge, truss, axis, parts, seats, "steel", 0.0)
    }
    # where nothing is of concrete, all states are the same one
    same = truss.slab is None and not states["steel"].concrete.any()
    factors: dict[StateName, float] = {"long": creep, "short": 0.0}
    for name, factor in factors.items():
        states[name] = (
            replace(states["steel"], name=name)
            if same
            else _state(bridge, truss, axis, parts, seats, name, factor)
        )
    return states


def _state(
    bridge: Bridge,
    truss: Truss,
    axis: Axis,
    parts: tuple[Part, ...],
    seats: tuple[tuple[int, int, Joint], ...],
    name: StateName,
    creep: float,
) -> State:
    slab = None
    if truss.slab is not None and name != "steel":
        slab = slab_stock(truss.slab, bridge.materials, creep, truss.slab_composite)
    whole = assemble(truss, parts, stocks(truss, bridge.materials, creep), slab)
    shrinkage = np.zeros((len(whole.weight), 2))
    shrinkage[whole.concrete, 0] = -1.0
    arm = np.zeros((len(seats), 3))
    arm[:, 2] = -truss.contact
    nodes = [whole.joints[part][side][joint] for part, side, joint in seats]
    return State(
        name=name,
        frame=whole.frame,
        groups=whole.groups,
        weight=whole.weight,
        concrete=whole.concrete,
        top=whole.top,
        bottom=whole.bottom,
        shrinkage=shrinkage,
        seats=SeatPoints(np.array(nodes, dtype=np.intp), arm),
        deck=_deck(truss, axis, whole, slab is not None),
    )


def _deck(truss: Truss, axis: Axis, whole: TrussFrame, slab: bool) -> Deck:
    """The stringers as deck lines; the deck reaches from the outer ones or the slab's edges."""
    frame = whole.frame
    lines: list[DeckLine] = []
    for members in whole.stringers:
        ends = frame.nodes[frame.ends[members]]
        lines.append(
            DeckLine(
                members=members,
                start=axis.start + ends[:, 0, 0],
                end=axis.start + ends[:, 1, 0],
                offset=float(ends[0, 0, 1]),
            )
        )
    right = lines[0].offset - (truss.slab.overhang_right if truss.slab else 0.0)
    left = lines[-1].offset + (truss.slab.overhang_left if truss.slab else 0.0)
    deck = Deck(axis, tuple(lines), right, left, 0.0, 0.0, slab=slab and len(lines) > 1)
    starts, ends = deck.limits(np.array([right, left]))
    return replace(deck, first=float(starts.min()), last=float(ends.max()))


def _haunch(
    bridge: Bridge, truss: Truss, states: dict[StateName, State]
) -> dict[StateName, Floats]:
    """Weight (m,) N/m of the haunches over the stringers, for each state."""
    assert truss.slab is not None
    width = section_properties(truss.sections[truss.members.stringers]).top_width
    weight = width * truss.slab.haunch * bridge.materials.concrete_density
    result: dict[StateName, Floats] = {}
    for name, state in states.items():
        result[name] = np.zeros(len(state.weight))
        result[name][state.groups["stringers"]] = weight
    return result
