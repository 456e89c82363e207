"""Girders to a grillage: one frame for each state, seats, deck and permanent loads.

The idealisation (common grillage practice):

- Nodes of all lines stand at one level, the middle of the slab (without a slab: the top of the
  girders). Girder members lie at their own neutral axis through rigid offsets, so steps of section
  and the slab's share bring their eccentricity with them.
- Where the slab works with a girder, the member has the transformed section of girder and slab;
  bending in plan takes the tributary slab. A tapered girder steps by element, with the properties
  at the element's middle. Sections follow the chainage of the reference line on every line.
- Strips of slab between the lines bend with t^3 / 12 for each metre (without 1 / (1 - nu^2), which
  a grillage of beams does not have), twist with t^3 / 6, and are stiff in their plane: area,
  second moment of their width and shear area 5/6. They weigh nothing: the slab's weight comes with
  the load ``slab``.
- The slab of a steel bridge (no connection) spreads loads across but adds nothing to the girders.
- State "steel" has no slab; only diaphragms stiffen it in plan. Diaphragms lie at half the depth of
  the girders at each end.
- "long" divides all concrete moduli by 1 + creep_factor; concrete girders in state "steel" have
  their short-term modulus.
"""

from __future__ import annotations

import bisect
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from bedstone.bridge.schema import Alignment, Bridge, Girders, Materials, Slab
from bedstone.errors import BedstoneError
from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import Floats, FrameBuilder, Ints
from bedstone.model.alignment import Axis
from bedstone.model.deck import Deck, DeckLine
from bedstone.model.girder_plan import GirderPlan, PlanSeat, plan_girders
from bedstone.model.sections import (
    SectionProperties,
    SlabShare,
    WithSlab,
    section_properties,
    slab_strip,
    tapered,
    with_slab,
)
from bedstone.model.stages import permanent_loads, usual_stages
from bedstone.model.structure import SeatPlace, State, StateName, Structure

STATES: tuple[StateName, ...] = ("steel", "long", "short")

_Key = tuple[int, float]  # a segment and the fraction of its taper


def build_girders(bridge: Bridge) -> Structure:
    """Build the structure of a bridge of girders.

    Raises
    ------
    InputError
        For a plan that cannot be laid out (`girder_plan.plan_girders`) or a load that has nothing
        to stand on.
    """
    girders = bridge.superstructure
    if not isinstance(girders, Girders):
        raise BedstoneError(f"build_girders: the superstructure is {girders.kind}")
    axis = axis_of(bridge.alignment, bridge.support[0].chainage)
    plan = plan_girders(bridge, girders, axis)
    profile = _Profile(girders)
    seats = tuple(_seat(seat, plan, profile, bridge) for seat in plan.seats)
    states: dict[StateName, State] = {}
    for name in STATES:
        if name != "steel" and girders.slab is None and not profile.has_concrete:
            states[name] = replace(states["steel"], name=name)
        else:
            states[name] = _state(name, plan, profile, bridge.materials, seats)
    slab = girders.slab
    loads = permanent_loads(
        bridge,
        states,
        usual_stages(girders.type, slab=slab is not None),
        None if slab is None else bridge.materials.concrete_density * slab.thickness,
        None if slab is None else _haunches(slab, plan, profile, bridge.materials, states),
    )
    chainages = tuple(support.chainage for support in bridge.support)
    simple = girders.continuity == "simple"
    whole = chainages[-1] - chainages[0] + girders.start_overhang + girders.end_overhang
    deck = states["short"].deck
    assert deck is not None
    return Structure(
        axis=axis,
        seats=seats,
        states=states,
        loads=loads,
        supports=tuple(support.mark for support in bridge.support),
        chainages=chainages,
        continuous=not simple,
        unit_length=_longest_simple(chainages, girders) if simple else whole,
        depth=profile.top_of_girder_depth + profile.deepest(plan),
        deck_type=girders.type,
        deck_width=deck.left - deck.right,
    )


def axis_of(alignment: Alignment, start: float) -> Axis:
    """Reference line of the file's alignment, starting at chainage `start`."""
    if alignment.radius is None:
        return Axis(start)
    return Axis(start, (1.0 if alignment.turn == "left" else -1.0) / alignment.radius)


def _longest_simple(chainages: tuple[float, ...], girders: Girders) -> float:
    lengths = np.diff(chainages)
    lengths[0] += girders.start_overhang
    lengths[-1] += girders.end_overhang
    return float(lengths.max())


# ------------------------------------------------------------------ levels and sections
class _Profile:
    """Levels of the girders and their section at any chainage."""

    def __init__(self, girders: Girders) -> None:
        self.girders = girders
        slab = girders.slab
        self.top = -girders.surface_to_slab
        self.top_of_girder_depth = girders.surface_to_slab + (
            slab.thickness + slab.haunch if slab else 0.0
        )
        self.girder_top = -self.top_of_girder_depth
        self.node_level = self.girder_top if slab is None else self.top - slab.thickness / 2.0
        self._ends = [segment.end for segment in girders.segments]
        self._made: dict[_Key, SectionProperties] = {}

    @property
    def has_concrete(self) -> bool:
        """True if a girder or diaphragm is of concrete, so that creep changes the frame."""
        return any(
            section_properties(section).material == "concrete"
            for section in self.girders.sections.values()
        )

    def key(self, chainage: float, *, ahead: bool = False) -> _Key:
        """Segment and fraction of its taper at a chainage; at a step behind it, or `ahead`.

        Skewed lines reach beyond the segments: the first and the last go on there.
        """
        find = bisect.bisect_right if ahead else bisect.bisect_left
        at = min(find(self._ends, chainage), len(self._ends) - 1)
        segment = self.girders.segments[at]
        if segment.end_section is None:
            return at, 0.0
        fraction = (chainage - segment.start) / (segment.end - segment.start)
        return at, round(min(max(fraction, 0.0), 1.0), 12)

    def section(self, key: _Key) -> SectionProperties:
        """Properties for a `key`."""
        if key not in self._made:
            segment = self.girders.segments[key[0]]
            start = self.girders.sections[segment.section]
            if segment.end_section is None:
                self._made[key] = section_properties(start)
            else:
                end = self.girders.sections[segment.end_section]
                self._made[key] = tapered(start, end, key[1])
        return self._made[key]

    def depth(self, chainage: float) -> float:
        """Depth of the girder at a chainage; at a step the deeper one."""
        return max(self.section(self.key(chainage, ahead=side)).depth for side in (False, True))

    def deepest(self, plan: GirderPlan) -> float:
        """Greatest depth of the girders at any node."""
        return max(self.depth(float(x)) for x in np.unique(plan.chainage))


def _seat(seat: PlanSeat, plan: GirderPlan, profile: _Profile, bridge: Bridge) -> SeatPlace:
    support = bridge.support[seat.support].mark
    chainage, offset = float(plan.chainage[seat.node]), float(plan.offset[seat.node])
    x, y = plan.axis.point(chainage, offset)
    z = profile.girder_top - profile.depth(chainage) - profile.girders.contact
    return SeatPlace(
        mark=f"{support}-{seat.line + 1}{seat.side}",
        support=support,
        line=seat.line + 1,
        point=(float(x), float(y), z),
        chainage=chainage,
        offset=offset,
        angle=float(plan.axis.angle(chainage)),
    )


# ------------------------------------------------------------------ materials and the slab
@dataclass(frozen=True)
class _Moduli:
    """Young's and shear moduli (Pa) in one state."""

    steel: tuple[float, float]
    concrete: tuple[float, float]
    slab: tuple[float, float]

    def of(self, section: SectionProperties) -> tuple[float, float]:
        """E and G of a section."""
        return self.steel if section.material == "steel" else self.concrete


def _moduli(name: StateName, materials: Materials, slab: Slab | None) -> _Moduli:
    creep = 1.0 + materials.creep_factor if name == "long" else 1.0
    concrete = materials.concrete_E / creep
    own = None if slab is None else slab.E
    slab_E = (materials.concrete_E if own is None else own) / creep
    shear = 2.0 * (1.0 + materials.concrete_poisson)
    return _Moduli(
        steel=(materials.steel_E, materials.steel_E / (2.0 * (1.0 + materials.steel_poisson))),
        concrete=(concrete, concrete / shear),
        slab=(slab_E, slab_E / shear),
    )


def _density(section: SectionProperties, materials: Materials) -> float:
    return materials.steel_density if section.material == "steel" else materials.concrete_density


def _edges(plan: GirderPlan, slab: Slab | None) -> tuple[float, float]:
    """Right and left edge of the deck (y)."""
    right, left = plan.offsets[0], plan.offsets[-1]
    return (
        (right, left) if slab is None else (right - slab.overhang_right, left + slab.overhang_left)
    )


def _tributary(plan: GirderPlan, slab: Slab) -> list[float]:
    """Width of slab between the middles of the gaps, for each line."""
    right, left = _edges(plan, slab)
    middles = (np.array(plan.offsets[1:]) + np.array(plan.offsets[:-1])) / 2.0
    return [float(width) for width in np.diff([right, *middles, left])]


# ------------------------------------------------------------------ a state
class _Members:
    """The members of a state: the frame and what goes beside it for each member."""

    def __init__(self, plan: GirderPlan, level: float) -> None:
        self.builder = FrameBuilder()
        for x, y in plan.axis.point(plan.chainage, plan.offset):
            self.builder.node(x, y, level)
        self.weight: list[float] = []
        self.concrete: list[bool] = []
        self.bottom: list[float] = []
        self.shrinkage: list[tuple[float, float]] = []

    def add(
        self,
        ends: tuple[int, int],
        section: SectionProperties | WithSlab,
        moduli: tuple[float, float],
        offsets: tuple[float, float],
        *,
        weight: float,
        concrete: bool,
        bottom: float,
        shrinkage: tuple[float, float],
    ) -> int:
        """Add a member; `offsets`: height of its ends above their nodes."""
        self.weight.append(weight)
        self.concrete.append(concrete)
        self.bottom.append(bottom)
        self.shrinkage.append(shrinkage)
        return self.builder.member(
            *ends,
            E=moduli[0],
            G=moduli[1],
            offset_i=(0.0, 0.0, offsets[0]),
            offset_j=(0.0, 0.0, offsets[1]),
            A=section.A,
            Iy=section.Iy,
            Iz=section.Iz,
            J=section.J,
            Ay=section.Ay,
            Az=section.Az,
        )


def _state(
    name: StateName,
    plan: GirderPlan,
    profile: _Profile,
    materials: Materials,
    seats: tuple[SeatPlace, ...],
) -> State:
    girders = profile.girders
    slab = None if name == "steel" else girders.slab
    moduli = _moduli(name, materials, girders.slab)
    members = _Members(plan, profile.node_level)
    of_line = _add_girders(members, plan, profile, materials, moduli, slab)
    diaphragms = _add_diaphragms(members, plan, profile, materials, moduli)
    strips = [] if slab is None else _add_strips(members, plan, profile, moduli, slab)

    groups: dict[str, Ints] = {
        "girders": np.array([k for line in of_line for k in line], dtype=np.intp),
        "diaphragms": np.array(diaphragms, dtype=np.intp),
        "slab": np.array(strips, dtype=np.intp),
    }
    for number, line in enumerate(of_line, start=1):
        groups[f"girder_{number}"] = np.array(line, dtype=np.intp)
    nodes = np.array([seat.node for seat in plan.seats], dtype=np.intp)
    frame = members.builder.frame()
    points = np.array([seat.point for seat in seats])
    return State(
        name=name,
        frame=frame,
        groups=groups,
        weight=np.array(members.weight),
        concrete=np.array(members.concrete, dtype=bool),
        top=np.full(len(members.bottom), profile.top),
        bottom=np.array(members.bottom),
        shrinkage=np.array(members.shrinkage).reshape(-1, 2),
        seats=SeatPoints(nodes, points - frame.nodes[nodes]),
        deck=_deck(plan, of_line, girders.slab, carries=slab is not None),
    )


@dataclass(frozen=True)
class _Element:
    """Properties of a girder member, height of its neutral axis above the nodes, shrinkage."""

    section: SectionProperties | WithSlab
    height: float
    shrinkage: tuple[float, float]


def _element(own: SectionProperties, profile: _Profile) -> _Element:
    """A girder without slab."""
    return _Element(
        own,
        profile.girder_top - own.centroid - profile.node_level,
        (-1.0, 0.0) if own.material == "concrete" else (0.0, 0.0),
    )


def _element_with_slab(
    own: SectionProperties, moduli: _Moduli, profile: _Profile, slab: Slab, width: float
) -> _Element:
    """A girder and `width` of slab."""
    E, G = moduli.of(own)
    both = with_slab(
        own,
        E,
        G,
        SlabShare(
            effective=width if slab.effective_width is None else slab.effective_width,
            tributary=width,
            thickness=slab.thickness,
            haunch=slab.haunch,
            E=moduli.slab[0],
            G=moduli.slab[1],
        ),
    )
    # the slab shortens by 1 against the steel: -Ec Ac at its own centre, on the whole section
    of_slab = (
        -both.slab_force / (E * both.A),
        -both.slab_force * both.slab_arm / (E * both.Iy),
    )
    return _Element(
        both,
        profile.top - both.centroid - profile.node_level,
        (-1.0, 0.0) if own.material == "concrete" else of_slab,
    )


def _add_girders(
    members: _Members,
    plan: GirderPlan,
    profile: _Profile,
    materials: Materials,
    moduli: _Moduli,
    slab: Slab | None,
) -> list[list[int]]:
    """Add the girders; the members of each line in order of rising chainage."""
    girders = profile.girders
    works = slab is not None and girders.type != "steel"
    tributary = _tributary(plan, slab) if slab is not None else []
    made: dict[tuple[int, _Key], _Element] = {}
    result: list[list[int]] = [[] for _ in plan.offsets]
    for line in plan.lines:
        for k in range(len(line.nodes) - 1):
            key = profile.key((line.chainages[k] + line.chainages[k + 1]) / 2.0)
            own = profile.section(key)
            if (line.line, key) not in made:
                made[line.line, key] = (
                    _element_with_slab(own, moduli, profile, slab, tributary[line.line])
                    if slab is not None and works
                    else _element(own, profile)
                )
            element = made[line.line, key]
            result[line.line].append(
                members.add(
                    (line.nodes[k], line.nodes[k + 1]),
                    element.section,
                    moduli.of(own),
                    (element.height, element.height),
                    weight=own.A * _density(own, materials),
                    concrete=works or own.material == "concrete",
                    bottom=profile.girder_top - own.depth,
                    shrinkage=element.shrinkage,
                )
            )
    return result


def _add_diaphragms(
    members: _Members,
    plan: GirderPlan,
    profile: _Profile,
    materials: Materials,
    moduli: _Moduli,
) -> list[int]:
    """Add the diaphragms, at half the depth of the girders."""
    told = profile.girders.diaphragms
    if told is None:
        return []
    sections = profile.girders.sections
    inner = section_properties(sections[told.section])
    outer = section_properties(sections[told.support_section or told.section])
    result = []
    for cross in plan.diaphragms:
        own = outer if cross.support else inner
        heights = [
            profile.girder_top - profile.depth(float(plan.chainage[node])) / 2.0
            for node in (cross.right, cross.left)
        ]
        concrete = own.material == "concrete"
        result.append(
            members.add(
                (cross.right, cross.left),
                own,
                moduli.of(own),
                (heights[0] - profile.node_level, heights[1] - profile.node_level),
                weight=own.A * _density(own, materials),
                concrete=concrete,
                bottom=profile.girder_top - profile.depth(cross.chainage),
                shrinkage=(-1.0, 0.0) if concrete else (0.0, 0.0),
            )
        )
    return result


def _add_strips(
    members: _Members, plan: GirderPlan, profile: _Profile, moduli: _Moduli, slab: Slab
) -> list[int]:
    """Add the strips of slab between the lines."""
    return [
        members.add(
            (strip.right, strip.left),
            slab_strip(strip.width, slab.thickness),
            moduli.slab,
            (0.0, 0.0),
            weight=0.0,
            concrete=True,
            bottom=profile.girder_top - profile.depth(strip.chainage),
            shrinkage=(-1.0, 0.0),
        )
        for strip in plan.strips
    ]


def _deck(plan: GirderPlan, of_line: list[list[int]], slab: Slab | None, *, carries: bool) -> Deck:
    lines = []
    for number, offset in enumerate(plan.offsets):
        pieces = [line.chainages for line in plan.lines if line.line == number]
        lines.append(
            DeckLine(
                members=np.array(of_line[number], dtype=np.intp),
                start=np.concatenate([piece[:-1] for piece in pieces]),
                end=np.concatenate([piece[1:] for piece in pieces]),
                offset=offset,
            )
        )
    right, left = _edges(plan, slab)
    deck = Deck(plan.axis, tuple(lines), right, left, 0.0, 0.0, slab=carries)
    starts, ends = deck.limits(np.array([right, *plan.offsets, left]))
    return replace(deck, first=float(starts.min()), last=float(ends.max()))


def _haunches(
    slab: Slab,
    plan: GirderPlan,
    profile: _Profile,
    materials: Materials,
    states: Mapping[StateName, State],
) -> dict[StateName, Floats]:
    """For each state (m,) N/m of the haunch over the top flange; a given section has no width."""
    widths = [
        profile.section(profile.key((a + b) / 2.0)).top_width
        for number in range(len(plan.offsets))
        for line in plan.lines
        if line.line == number
        for a, b in zip(line.chainages[:-1], line.chainages[1:], strict=True)
    ]
    result: dict[StateName, Floats] = {}
    for name, state in states.items():
        result[name] = np.zeros(len(state.weight))
        result[name][state.groups["girders"]] = (
            materials.concrete_density * slab.haunch * np.array(widths)
        )
    return result
