"""Equivalent static earthquake, with periods from the arrangement's own stiffness."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bedstone.actions.cases import GRAVITY, weight_load, weights
from bedstone.articulation.arrangement import Standing
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.frame import Floats
from bedstone.schedule.variable import WorstOf
from bedstone.standards.family import Family
from bedstone.standards.site import BridgeFacts, SeismicCase
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


def bridge_axis(prepared: Prepared) -> tuple[Floats, Floats]:
    """Unit vectors along the chord from the first to the last support, and to its left."""
    axis = prepared.structure.axis
    ends = axis.point(
        np.array([prepared.structure.chainages[0], prepared.structure.chainages[-1]]), 0.0
    )
    chord = ends[1] - ends[0]
    chord = chord / max(float(np.linalg.norm(chord)), 1e-9)
    return np.array([*chord, 0.0]), np.array([-chord[1], chord[0], 0.0])


def rayleigh_period(prepared: Prepared, standing: Standing, weight: Floats, way: Floats) -> float:
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


def earthquake(
    prepared: Prepared,
    standing: Standing,
    groups: Sequence[TrafficGroup],
    family: Family,
    values: Values,
    facts: BridgeFacts,
) -> tuple[tuple[float, float], WorstOf | None]:
    """Periods (s) along and across, and the earthquake as an action.

    The action is None when the family gets no earthquake from the file.
    """
    state = prepared.structure.states[prepared.final]
    weight = weights(prepared.structure, state)
    along, across = bridge_axis(prepared)
    periods = (
        rayleigh_period(prepared, standing, weight, along),
        rayleigh_period(prepared, standing, weight, across),
    )
    case = family.seismic(values, facts, *periods)
    if case is None:
        return periods, None
    extra = traffic_weight(prepared, groups)
    return periods, seismic_action(prepared, standing, weight, extra, case)


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
                    rows.append(
                        sum(f * s * b for f, s, b in zip(factors, signs, base, strict=True))
                    )
                    senses = "".join("+" if s > 0 else "-" for s in signs)
                    names.append(f"earthquake mainly {words[leader]} (senses {senses})")
    table = np.array(rows)
    if case.forces_only:
        table[:, standing.effects.layout.movements] = 0.0
    return WorstOf(tuple(names), table, "one")


def traffic_weight(prepared: Prepared, groups: Sequence[TrafficGroup]) -> Floats:
    """(nodes,) traffic weight spread evenly over the deck: uniform load on all lanes of the first
    model's fullest placement and one train in each.
    """
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
