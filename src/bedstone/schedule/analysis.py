"""All actions of a bridge on one arrangement, as effects: the permanent ones, and of each variable
one the extremes for every effect with what acts at the same moment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np

from bedstone.actions.cases import (
    GRAVITY,
    Case,
    CaseAction,
    PermanentCase,
    horizontal_actions,
    jacking_case,
    permanent_cases,
    settlement_action,
    shrinkage_case,
    thermal_action,
    weight_load,
    weights,
    wind_actions,
)
from bedstone.actions.effects import Layout
from bedstone.actions.traffic import Extremes, fine_field, traffic_extremes
from bedstone.articulation.arrangement import Arranged, Standing, erection, stand, support_sum
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge
from bedstone.mechanics.condense import SeatLoad, stack
from bedstone.mechanics.frame import Floats, Ints
from bedstone.model.structure import StateName
from bedstone.standards.family import Family
from bedstone.standards.site import BridgeFacts, SeismicCase
from bedstone.standards.traffic import TrafficGroup, TrafficModel
from bedstone.standards.values import Values


class Progress(Protocol):
    """Told how far long work has come."""

    def __call__(self, done: int, total: int, text: str) -> None: ...


class Variable(Protocol):
    """A variable action: for each sign and lead the adverse effects, zero where it relieves."""

    @property
    def vectors(self) -> Floats:
        """(2, size, size): [sign (0 largest, 1 smallest), lead] -> all effects."""
        ...

    def where(self, sign: int, lead: int) -> str:
        """Which case or place of load it is, in words."""
        ...


@dataclass(frozen=True)
class WorstOf:
    """The worst ``one`` of given effect vectors (k, size), or ``any`` adverse ones together."""

    names: tuple[str, ...]
    table: Floats
    rule: str

    @property
    def vectors(self) -> Floats:
        """See `Variable`."""
        size = self.table.shape[1]
        result = np.zeros((2, size, size))
        for sign, sense in ((0, 1.0), (1, -1.0)):
            adverse = np.maximum(sense * self.table, 0.0)  # (k, lead)
            if self.rule == "any":
                result[sign] = (adverse > 0.0).T.astype(float) @ self.table
            elif len(self.table):
                pick = adverse.argmax(axis=0)
                chosen = self.table[pick]
                result[sign] = np.where((adverse.max(axis=0) > 0.0)[:, None], chosen, 0.0)
        return result

    def where(self, sign: int, lead: int) -> str:
        """See `Variable`."""
        value = self.table[:, lead] * (1.0 if sign == 0 else -1.0)
        if self.rule == "any":
            return ", ".join(name for name, v in zip(self.names, value, strict=True) if v > 0.0)
        index = int(value.argmax())
        return self.names[index] if value[index] > 0.0 else ""


@dataclass(frozen=True)
class Group:
    """Traffic that acts together: vertical load and horizontal forces, each adverse or absent."""

    parts: tuple[Variable, ...]

    @property
    def vectors(self) -> Floats:
        """See `Variable`."""
        return np.asarray(sum(part.vectors for part in self.parts))

    def where(self, sign: int, lead: int) -> str:
        """See `Variable`."""
        texts = [part.where(sign, lead) for part in self.parts]
        return "; ".join(text for text in texts if text and text != "no load") or "no load"


@dataclass(frozen=True)
class ActionEffects:
    """Effects of all actions on one arrangement with one stiffness below.

    `fixed`: permanent actions by name (size,); `variable`: the others; `standing`: the states on
    their bearings; `raising` (size, k): effects of raising each one-sided seat by 1 m;
    `one_sided` (k,): these seats.
    """

    layout: Layout
    fixed: Mapping[str, Floats]
    variable: Mapping[str, Variable]
    standing: Mapping[StateName, Standing]
    one_sided: Ints
    raising: Floats
    periods: tuple[float, float] | None
    unit_heat: Floats  # (size,) effects of a uniform rise of 1 K
    influence_error: float
    residuals: tuple[float, float]
    frictions: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def case_effects(standing: Standing, case: Case) -> Floats:
    """(size,) effects of one case; movements from its own load where it has one."""
    result = standing.effects.effects(case.load.g, case.load.r, case.load.s)[:, 0]
    if case.movement is not None:
        moved = standing.effects.effects(case.movement.g, case.movement.r, case.movement.s)[:, 0]
        result = np.where(standing.effects.layout.movements, moved, result)
    return np.asarray(result)


def _worst_of(
    action: CaseAction, standing: Mapping[StateName, Standing], layout: Layout
) -> WorstOf:
    rows = [case_effects(standing[case.state], case) for case in action.cases]
    table = np.array(rows).reshape(len(rows), layout.size)
    return WorstOf(tuple(case.name for case in action.cases), table, action.rule)


def permanent_effects(
    cases: Sequence[PermanentCase],
    standing: Mapping[StateName, Standing],
    before: Mapping[StateName, Standing],
    set_after: int,
) -> dict[str, Floats]:
    """Effects of permanent actions by name.

    Loads of stages up to `set_after` (-1: none) come before the bearings are set: they are carried on
    the erection supports and leave only their forces, no movement and no locked horizontal force.
    """
    result: dict[str, Floats] = {}
    for case in cases:
        early = case.number <= set_after
        own = (before if early else standing)[case.state]
        vector = own.effects.effects(case.load.g, case.load.r, case.load.s)[:, 0]
        if early:
            vector = np.where(own.effects.layout.movements, 0.0, vector)
        result[case.action] = result.get(case.action, np.zeros(len(vector))) + vector
    return result


def friction_action(
    prepared: Prepared,
    arranged: Arranged,
    standing: Standing,
    permanent: Floats,
    unit_heat: Floats,
    family: Family,
    values: Values,
) -> tuple[WorstOf | None, dict[str, tuple[float, float]], list[str]]:
    """Friction of the moving bearings under permanent load, when the bridge grows or shrinks.

    At each moving bearing a pair of forces mu N against the movement of temperature. Bearings on
    one side of the fixed point push against those on the other, so each case takes the adverse
    coefficient where movement is forward and the relieving one where it is backward, and the
    other way round.
    """
    structure = prepared.structure
    order = standing.effects.layout
    count = len(structure.seats)
    moving: list[tuple[int, Floats, str]] = []
    notes: list[str] = []
    assumed: list[str] = []
    for row, seat in enumerate(arranged.seats):
        free = ~arranged.bearings.held[row, :2]
        if not free.any() or seat.function in ("none", "elastic"):
            continue
        block = unit_heat[order.seat_block(row)]
        way = np.where(free, block[6:8], 0.0)
        size = float(np.linalg.norm(way))
        if size <= 1e-9:
            continue
        if seat.kind is None and seat.friction is None:
            assumed.append(structure.seats[row].mark)
        moving.append((row, way / size, seat.kind or "plane sliding"))
    if assumed:
        notes.append(
            "friction: no kind or coefficient is given for " + ", ".join(assumed)
            + "; the friction of a sliding bearing is taken"
        )  # fmt: skip
    if not moving:
        return None, {}, notes
    used: dict[str, tuple[float, float]] = {}
    pushing = max(
        sum(1 for _, way, _ in moving if way[0] >= 0.0), sum(1 for _, way, _ in moving if way[0] < 0)
    )
    for row, _, kind in moving:
        given = arranged.seats[row].friction
        adverse, relieving = family.friction(values, kind, pushing)
        if given is not None:
            scale = relieving / adverse if adverse > 0.0 else 0.0
            adverse, relieving = given, given * scale
        used[structure.seats[row].mark] = (adverse, relieving)
    names, rows = [], []
    for sense, word in ((1.0, "growing"), (-1.0, "shrinking")):
        for forward_adverse in (True, False):
            q_bearing = np.zeros(6 * count)
            for row, way, _ in moving:
                mu = used[structure.seats[row].mark]
                forward = sense * way[0] >= 0.0
                coefficient = mu[0] if forward == forward_adverse else mu[1]
                normal = max(float(permanent[order.seat_block(row)][0]), 0.0)
                q_bearing[6 * row : 6 * row + 2] = sense * way * coefficient * normal
            turn = standing.supported.bearings.directions
            load = prepared.condensed[prepared.final].seat_forces(
                -(turn.T @ q_bearing)[:, None], standing.supported.ground
            )
            vector = standing.effects.effects(load.g, load.r, load.s)[:, 0]
            for row, _, _ in moving:
                vector[order.seat_block(row)][1:3] += q_bearing[6 * row : 6 * row + 2]
            for number, support in enumerate(prepared.bridge.support):
                vector[order.support_block(number)] += (
                    support_sum(structure, support, arranged) @ q_bearing
                )
            side = "ahead" if forward_adverse else "behind"
            names.append(f"friction, bridge {word}, full {side} of the fixed point")
            rows.append(vector)
    return WorstOf(tuple(names), np.array(rows), "one"), used, notes


def bridge_axis(prepared: Prepared) -> tuple[Floats, Floats]:
    """Unit vectors along the chord from the first to the last support, and to its left."""
    axis = prepared.structure.axis
    ends = axis.point(np.array([prepared.structure.chainages[0], prepared.structure.chainages[-1]]), 0.0)
    chord = ends[1] - ends[0]
    chord = chord / max(float(np.linalg.norm(chord)), 1e-9)
    return np.array([*chord, 0.0]), np.array([-chord[1], chord[0], 0.0])


def rayleigh_period(
    prepared: Prepared, standing: Standing, weight: Floats, way: Floats
) -> float:
    """Period (s) in a direction from the deflection under the weight acting that way.

    Rayleigh's quotient T = 2 pi sqrt(sum w u^2 / (g sum w u)).
    """
    state = prepared.structure.states[prepared.final]
    condensed = prepared.condensed[prepared.final]
    vector = weight_load(state, weight, way)
    load = condensed.load(vector)
    effects = standing.supported.effects(load)
    moved = condensed.displacements(vector, effects.seat_force, effects.motion)
    u = moved.reshape(-1, 6)[:, :3] @ way
    below, above = float(weight @ u), float(weight @ u**2)
    if below <= 0.0:
        return 0.0
    return float(2.0 * np.pi * np.sqrt(above / (GRAVITY * below)))


def seismic_action(
    prepared: Prepared, standing: Standing, weight: Floats, extra: Floats, case: SeismicCase
) -> WorstOf:
    """Equivalent static earthquake: each main direction with parts of the other two, all senses.

    `weight` (nodes,) permanent; `extra` (nodes,) weight of the traffic that counts in full.
    """
    state = prepared.structure.states[prepared.final]
    condensed = prepared.condensed[prepared.final]
    along, across = bridge_axis(prepared)
    base = []
    for way, coefficient, part in (
        (along, case.coefficient_along, case.mass_traffic_along),
        (across, case.coefficient_across, case.mass_traffic_across),
        (np.array([0.0, 0.0, 1.0]), case.coefficient_vertical, 0.0),
    ):
        load = condensed.load(weight_load(state, (weight + part * extra) * coefficient, way))
        base.append(standing.effects.effects(load.g, load.r)[:, 0])
    names, rows = [], []
    main, other, vertical = case.combination
    words = ("along", "across", "vertical")
    for leader in range(3 if case.coefficient_vertical else 2):
        factors = [vertical if i == 2 else other for i in range(3)]
        factors[leader] = main
        for sx in (1.0, -1.0):
            for sy in (1.0, -1.0):
                for sz in (1.0, -1.0):
                    signs = (sx, sy, sz)
                    rows.append(sum(f * s * b for f, s, b in zip(factors, signs, base, strict=True)))
                    senses = "".join("+" if s > 0 else "-" for s in signs)
                    names.append(f"earthquake mainly {words[leader]} (senses {senses})")
    return WorstOf(tuple(names), np.array(rows), "one")


def traffic_weight(prepared: Prepared, groups: Sequence[TrafficGroup]) -> Floats:
    """(nodes,) traffic weight spread evenly over the deck: uniform load on all lanes of the first
    model's fullest placement and one train in each."""
    state = prepared.structure.states[prepared.final]
    result = np.zeros(len(state.frame.nodes))
    deck = state.deck
    if deck is None or not groups or not groups[0].models:
        return result
    placements = groups[0].models[0].placements
    placement = max(placements, key=lambda item: len(item.lanes))
    length = deck.last - deck.first
    total = 0.0
    for lane in placement.lanes:
        total += lane.uniform * lane.uniform_width * length
        total += max((sum(a.force for a in train.axles) for train in lane.trains), default=0.0)
    middle = (deck.left + deck.right) / 2.0
    vector = deck.line_load(
        state.frame, total * placement.factor / length, middle, deck.first, deck.last
    )
    return np.asarray(-vector.reshape(-1, 6)[:, 2])


def analyse(
    prepared: Prepared,
    arranged: Arranged,
    family: Family,
    values: Values,
    facts: BridgeFacts,
    groups: Sequence[TrafficGroup],
    *,
    bound: str = "given",
    progress: Progress | None = None,
) -> ActionEffects:
    """Effects of every action on one arrangement; raises `UnstableError` naming a free motion."""
    bridge, structure = prepared.bridge, prepared.structure
    supports = list(bridge.support)
    condensed = prepared.condensed
    final = prepared.final
    tell = progress or (lambda done, total, text: None)
    total = len(groups) + 2
    tell(0, total, "standing the bridge on its bearings")
    standing = {
        name: stand(structure, supports, item, arranged, bound) for name, item in condensed.items()
    }
    order = standing[final].effects.layout
    first = erection(structure, arranged, condensed[final].part)
    before = {
        name: stand(structure, supports, item, first, bound) for name, item in condensed.items()
    }
    cases = permanent_cases(structure, condensed)
    stages = list(dict.fromkeys(case.stage for case in cases))
    set_at = bridge.arrangement.set_at
    set_after = stage_number(bridge, stages, set_at)
    fixed = permanent_effects(cases, standing, before, set_after)
    for name, case in (
        ("jacking", jacking_case(bridge, structure, condensed[final])),
        ("shrinkage", shrinkage_case(bridge, structure, condensed[prepared.slow])),
    ):
        if case is not None:
            fixed[name] = case_effects(standing[case.state], case)

    state = structure.states[final]
    variable: dict[str, Variable] = {}
    if bridge.actions.settlement:
        action = settlement_action(bridge, structure, condensed[prepared.slow])
        variable["settlement"] = _worst_of(action, standing, order)
    alpha_steel = bridge.materials.steel_alpha
    alpha_concrete = bridge.materials.concrete_alpha
    thermal = family.thermal(values, facts) if bridge.actions.temperature else None
    steel = alpha_steel if alpha_steel is not None else (thermal.alpha_steel if thermal else 12e-6)
    concrete = (
        alpha_concrete
        if alpha_concrete is not None
        else (thermal.alpha_concrete if thermal else 10e-6)
    )
    heat = condensed[final].load(state.uniform_temperature(steel, concrete))
    unit_heat = standing[final].effects.effects(heat.g, heat.r)[:, 0]
    if thermal is not None:
        own = replace(thermal, alpha_steel=steel, alpha_concrete=concrete)
        variable["thermal"] = _worst_of(thermal_action(state, condensed[final], own), standing, order)
    if bridge.actions.wind is not None:
        wind = family.wind(values, facts)
        for action in wind_actions(state, condensed[final], wind):
            variable[action.name] = _worst_of(action, standing, order)

    notes: list[str] = []
    frictions: dict[str, tuple[float, float]] = {}
    if bridge.actions.friction:
        dead = np.asarray(sum(fixed.values(), np.zeros(order.size)))
        friction, frictions, notes = friction_action(
            prepared, arranged, standing[final], dead, unit_heat, family, values
        )
        if friction is not None:
            variable["friction"] = friction

    periods = None
    if bridge.actions.seismic is not None:
        weight = weights(structure, state)
        along, across = bridge_axis(prepared)
        periods = (
            rayleigh_period(prepared, standing[final], weight, along),
            rayleigh_period(prepared, standing[final], weight, across),
        )
        case_of = family.seismic(values, facts, *periods)
        if case_of is not None:
            extra = traffic_weight(prepared, groups)
            variable["seismic"] = seismic_action(prepared, standing[final], weight, extra, case_of)

    error = 0.0
    if groups and state.deck is not None:
        tell(1, total, "sampling the deck")
        deck_field, error = fine_field(condensed[final], state.deck, [standing[final].effects])
        traffic = bridge.actions.traffic
        assert traffic is not None
        edges = facts.carriageway
        reach = (
            state.deck.first if traffic.start is None else max(traffic.start, state.deck.first),
            state.deck.last if traffic.end is None else min(traffic.end, state.deck.last),
        )
        kinks = np.unique(np.round([seat.chainage for seat in structure.seats], 6))
        inner = interior_reactions(prepared, order)
        placed: dict[tuple[TrafficModel, ...], Extremes] = {}  # groups often share their models
        for number, group in enumerate(groups):
            tell(number + 2, total, f"placing traffic {group.name}")
            if group.models not in placed:
                placed[group.models] = traffic_extremes(
                    group.models,
                    deck_field,
                    standing[final].effects,
                    edges=edges,
                    kinks=kinks,
                    reach=reach,
                    interior=inner,
                )
            vertical = placed[group.models].scaled(group.vertical_factor)
            sides = [
                _worst_of(action, standing, order)
                for action in horizontal_actions(structure, state, condensed[final], group)
            ]
            variable[f"traffic:{group.name}"] = Group((vertical, *sides))

    one_sided = np.array(
        [
            row
            for row, seat in enumerate(arranged.seats)
            if arranged.bearings.held[row, 2] and not seat.uplift
        ],
        dtype=np.intp,
    )
    lift = np.zeros((6 * len(structure.seats), len(one_sided)))
    lift[6 * one_sided + 2, np.arange(len(one_sided))] = 1.0
    raised = condensed[final].settlement(lift)
    raising = standing[final].effects.effects(raised.g, raised.r, raised.s)
    return ActionEffects(
        layout=order,
        fixed=fixed,
        variable=variable,
        standing=standing,
        one_sided=one_sided,
        raising=raising,
        periods=periods,
        unit_heat=unit_heat,
        influence_error=error,
        residuals=_residuals(cases, standing, heat, final),
        frictions=frictions,
        notes=tuple(notes),
    )


def _residuals(
    cases: Sequence[PermanentCase],
    standing: Mapping[StateName, Standing],
    heat: SeatLoad,
    final: StateName,
) -> tuple[float, float]:
    """Worst (equilibrium, compatibility) residual over the permanent cases and a rise of 1 K."""
    worst = [standing[final].supported.residuals(heat)]
    for name, item in standing.items():
        loads = [case.load for case in cases if case.state == name]
        if loads:
            worst.append(item.supported.residuals(stack(loads)))
    return max(pair[0] for pair in worst), max(pair[1] for pair in worst)


def stage_number(bridge: Bridge, stages: list[str], set_at: str | None) -> int:
    """Position of the stage at which the bearings are set among the stages that bring load."""
    if set_at is None:
        return -1
    names = [stage.name for stage in bridge.stage] or stages
    upto = names.index(set_at)
    early = set(names[: upto + 1])
    return max((number for number, name in enumerate(stages) if name in early), default=-1)


def interior_reactions(prepared: Prepared, order: Layout) -> Ints:
    """Vertical forces at inner supports of a continuous superstructure."""
    structure = prepared.structure
    if not structure.continuous:
        return np.zeros(0, dtype=np.intp)
    inner = set(structure.supports[1:-1])
    seats = [order.index(s.mark, "N") for s in structure.seats if s.support in inner]
    return np.array(
        seats + [order.index(mark, "V") for mark in structure.supports if mark in inner],
        dtype=np.intp,
    )


