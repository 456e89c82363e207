"""Load cases condensed to the seats, before any arrangement of bearings is chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from bedstone.bridge.schema import Bridge
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats
from bedstone.model.deck import DeckLine
from bedstone.model.structure import State, StateName, Structure
from bedstone.standards.site import ThermalRange, WindPressure
from bedstone.standards.traffic import HorizontalForce, TrafficGroup

#: Acceleration of gravity, m/s2 (conventional value, 3rd CGPM).
GRAVITY = 9.80665
#: Places along the bridge at which a single horizontal force is tried.
FORCE_PLACES = 9


@dataclass(frozen=True)
class Case:
    """One load case in one state; `movement` replaces `load` for movements and rotations."""

    name: str
    state: StateName
    load: SeatLoad
    movement: SeatLoad | None = None


@dataclass(frozen=True)
class CaseAction:
    """An action made of cases: the worst ``one`` of them, or ``any`` that are adverse together."""

    name: str
    cases: tuple[Case, ...]
    rule: Literal["one", "any"]


@dataclass(frozen=True)
class PermanentCase:
    """A permanent load of a stage; `number` is the stage's position in the order of building."""

    action: str
    stage: str
    number: int
    label: str
    state: StateName
    load: SeatLoad
    total: float


def permanent_cases(
    structure: Structure, condensed: Mapping[StateName, Condensed]
) -> tuple[PermanentCase, ...]:
    """The permanent loads of all stages, condensed in the state that carries them."""
    stages = list(dict.fromkeys(load.stage for load in structure.loads))
    return tuple(
        PermanentCase(
            action=load.action,
            stage=load.stage,
            number=stages.index(load.stage),
            label=load.label,
            state=load.state,
            load=condensed[load.state].load(load.vector),
            total=load.total,
        )
        for load in structure.loads
    )


def settlement_action(bridge: Bridge, structure: Structure, condensed: Condensed) -> CaseAction:
    """Settlements of supports: any of them that are adverse act together."""
    cases = []
    for settlement in bridge.actions.settlement:
        s = np.zeros((6 * len(structure.seats), 1))
        for row, seat in enumerate(structure.seats):
            if seat.support == settlement.support:
                s[6 * row + 2] = -settlement.value
        cases.append(
            Case(f"{settlement.support} settles", _slow(structure), condensed.settlement(s))
        )
    return CaseAction("settlement", tuple(cases), "any")


def jacking_case(bridge: Bridge, structure: Structure, condensed: Condensed) -> Case | None:
    """All seats lifted on purpose, together: a permanent state."""
    if not bridge.actions.jacking:
        return None
    s = np.zeros((6 * len(structure.seats), 1))
    marks = [seat.mark for seat in structure.seats]
    for jacking in bridge.actions.jacking:
        s[6 * marks.index(jacking.seat) + 2] += jacking.lift
    return Case("jacking", "short", condensed.settlement(s))


def shrinkage_case(bridge: Bridge, structure: Structure, condensed: Condensed) -> Case | None:
    """Shrinkage and creep shortening of the concrete and prescribed changes of length, together."""
    state = structure.states[_slow(structure)]
    vector = np.zeros(state.frame.freedoms)
    shortening = bridge.actions.shrinkage
    if shortening is None and not bridge.actions.lengthening:
        return None
    if shortening is not None:
        vector += state.shortening(shortening.strain + shortening.creep_strain)
    for change in bridge.actions.lengthening:
        if change.members not in state.groups:
            known = ", ".join(sorted(state.groups))
            where = "actions.lengthening: members"
            raise InputError([Fault("bridge file", where, repr(change.members), known)])
        strain = np.zeros(len(state.frame.ends))
        strain[state.groups[change.members]] = change.strain
        vector += state.frame.strain_load(strain)
    return Case("shrinkage, creep and lengthening", _slow(structure), condensed.load(vector))


def thermal_action(state: State, condensed: Condensed, thermal: ThermalRange) -> CaseAction:
    """Uniform change and difference in the mixtures and senses of the family; one of them."""
    steel, concrete = thermal.alpha_steel, thermal.alpha_concrete
    uniform = condensed.load(state.uniform_temperature(steel, concrete))
    difference = condensed.load(state.temperature_difference(steel, concrete))
    cases = []
    for part_uniform, part_difference in thermal.mixtures:
        for sense, force, movement in (
            ("expansion", thermal.expansion, thermal.expansion_movement),
            ("contraction", -thermal.contraction, -thermal.contraction_movement),
        ):
            for top, gradient in (("warm", thermal.heat), ("cold", -thermal.cool)):
                if part_difference == 0.0 and top == "cold":
                    continue
                tilt = difference * (part_difference * gradient)
                words = []
                if part_uniform:
                    text = f"{part_uniform:g} x {sense} {abs(force):.1f} K"
                    if movement != force:
                        text += f" (movements {abs(movement):.1f} K)"
                    words.append(text)
                if part_difference:
                    words.append(f"top {part_difference * abs(gradient):.1f} K {top}er")
                cases.append(
                    Case(
                        " with ".join(words),
                        state.name,
                        uniform * (part_uniform * force) + tilt,
                        uniform * (part_uniform * movement) + tilt,
                    )
                )
    return CaseAction("thermal", tuple(cases), "one")


def horizontal_cases(
    structure: Structure,
    state: State,
    condensed: Condensed,
    force: HorizontalForce,
    whole: HorizontalForce | None = None,
) -> tuple[Case, ...]:
    """A horizontal traffic force in its senses, along each of its lines.

    Spread over each unit between joints, or at places along it; `whole`: the same force for a train
    over all units at once.
    """
    deck = state.deck
    if deck is None:
        raise BedstoneError("traffic needs a deck; the superstructure has none in its final state")
    stretches = [
        (force, *place)
        for first, last in _units(structure, deck.first, deck.last)
        for place in _places(force, first, last)
    ]
    if whole is not None and (whole.spread or whole.kind == "braking"):
        stretches.append((whole, " over all spans", deck.first, deck.last))
    cases = []
    for one, text, start, end in stretches:
        for offset in one.offsets or (None,):
            shares = deck.along_shares(offset)
            # where the ends are skewed, the lines are shorter than from end to end of the deck
            carrying = np.array([_carrying(line, start, end) for line in deck.lines])
            if carrying.mean() < (end - start) / 2.0:
                continue  # a place at a skewed end where there is hardly any deck
            vector = deck.horizontal_load(
                state.frame,
                one.along / float(shares @ carrying),
                one.across / float(carrying.mean()),
                one.height,
                start,
                end,
                offset,
            )
            load = condensed.load(vector)
            where = text if len(one.offsets) < 2 else f"{text} at y = {offset:+.2f} m"
            cases += [
                Case(f"{one.name}{where}{_sense(one, sense)}", state.name, load * sense)
                for sense in ((1.0,) if one.one_sense else (1.0, -1.0))
            ]
    return tuple(cases)


def _places(force: HorizontalForce, first: float, last: float) -> list[tuple[str, float, float]]:
    """Stretches on which a force is tried: the whole unit, or a short one at places along it."""
    if force.spread:
        return [("", first, last)]
    reach = min(1.0, (last - first) / 4.0)
    return [
        (f" at {place:.1f} m", max(first, place - reach), min(last, place + reach))
        for place in np.linspace(first, last, FORCE_PLACES)
    ]


def _sense(force: HorizontalForce, sense: float) -> str:
    if force.one_sense:
        return ""
    if abs(force.along) >= abs(force.across):
        return " forward" if sense * force.along > 0 else " backward"
    return " to the left" if sense * force.across > 0 else " to the right"


def _carrying(line: DeckLine, first: float, last: float) -> float:
    """Length (m) of a deck line between two chainages."""
    length = np.minimum(line.end, last) - np.maximum(line.start, first)
    return float(np.maximum(length, 0.0).sum())


def _units(structure: Structure, first: float, last: float) -> list[tuple[float, float]]:
    """Stretches of deck without a joint."""
    if structure.continuous:
        return [(first, last)]
    cuts = [first, *structure.chainages[1:-1], last]
    return list(pairwise(cuts))


def horizontal_actions(
    structure: Structure,
    state: State,
    condensed: Condensed,
    group: TrafficGroup,
    whole: TrafficGroup | None = None,
) -> tuple[CaseAction, ...]:
    """Each horizontal force of a group with its factor: the worst one of its cases, or none.

    `whole`: the group of a train that is as long as all simple spans together.
    """
    longer = {force.kind: force for force, _ in whole.horizontals} if whole is not None else {}
    result = []
    for force, factor in group.horizontals:
        cases = tuple(
            Case(case.name, case.state, case.load * factor)
            for case in horizontal_cases(structure, state, condensed, force, longer.get(force.kind))
        )
        result.append(CaseAction(force.name, cases, "one"))
    return tuple(result)


def wind_actions(state: State, condensed: Condensed, wind: WindPressure) -> tuple[CaseAction, ...]:
    """Wind without and with traffic: across (both senses, with the vertical part) or along.

    The vertical part acts in the senses and with the traffic that the family says.
    """
    deck = state.deck
    if deck is None:
        return ()
    lifting, pressing = (1.0, "lifting"), (-1.0, "pressing down")
    senses = (lifting,) if wind.lift_only else (lifting, pressing)
    with_traffic = wind.vertical if wind.vertical_with_traffic else 0.0
    result = []
    for name, across, height, vertical in (
        ("wind", wind.across, wind.height, wind.vertical),
        ("wind with traffic", wind.across_traffic, wind.height_traffic, with_traffic),
    ):
        side = condensed.load(
            deck.horizontal_load(state.frame, 0.0, across, height, deck.first, deck.last)
        )
        along = condensed.load(
            deck.horizontal_load(
                state.frame, across * wind.along_share, 0.0, height, deck.first, deck.last
            )
        )
        middle = (deck.left + deck.right) / 2.0
        cases = []
        for sense, side_name in ((1.0, "to the left"), (-1.0, "to the right")):
            cases.append(Case(f"{name} {side_name}", state.name, side * sense))
            if vertical:
                # the resultant of the vertical part stands toward the windward edge
                offset = middle - sense * wind.vertical_eccentricity
                first, last = (float(end[0]) for end in deck.limits(np.array([offset])))
                lift = condensed.load(deck.line_load(state.frame, -vertical, offset, first, last))
                for upward, word in senses:
                    cases.append(
                        Case(
                            f"{name} {side_name}, {word}", state.name, side * sense + lift * upward
                        )
                    )
        for sense, word in ((1.0, "forward"), (-1.0, "backward")):
            cases.append(Case(f"{name} {word}", state.name, along * sense))
        result.append(CaseAction(name, tuple(cases), "one"))
    return tuple(result)


def weights(structure: Structure, state: State) -> Floats:
    """(nodes,) permanent weight at each node of a state, N, from all stages.

    Raises `BedstoneError` if the states do not share their nodes.
    """
    total = np.zeros(len(state.frame.nodes))
    for load in structure.loads:
        other = structure.states[load.state].frame
        if other.nodes.shape != state.frame.nodes.shape:
            raise BedstoneError("the states of construction do not share their nodes")
        total -= load.vector.reshape(-1, 6)[:, 2]
    return total


def weight_load(state: State, weight: Floats, direction: Floats) -> Floats:
    """Load vector (freedoms,) of node weights (nodes,) acting along a direction (3,)."""
    vector = np.zeros((len(state.frame.nodes), 6))
    vector[:, :3] = weight[:, None] * direction
    return vector.ravel()


def _slow(structure: Structure) -> StateName:
    """The state in which slow actions (settlement, shrinkage) are carried."""
    return "long" if "long" in structure.states else "short"
