"""Equivalent static earthquake, with periods from the arrangement's own stiffness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from bedstone.actions.cases import GRAVITY, weight_load, weights
from bedstone.articulation.arrangement import Standing
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.condense import SeatLoad
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


@dataclass(frozen=True)
class Swing:
    """The bridge under its own weight acting in one direction, for any arrangement.

    `load`: that weight condensed; the sums over the nodes of w u and w u^2 as functions of seat
    forces and rigid motion y (6 ns + 6 p,): `below` + `slope` y, and `above` + 2 `bend` y + y'
    `curve` y.
    """

    load: SeatLoad
    below: float
    slope: Floats
    above: float
    bend: Floats
    curve: Floats

    def period(self, standing: Standing) -> float:
        """Period (s) by Rayleigh's quotient T = 2 pi sqrt(sum w u^2 / (g sum w u))."""
        effects = standing.supported.effects(self.load)
        y = np.concatenate([effects.seat_force, effects.motion])[:, 0]
        below = self.below + float(self.slope @ y)
        above = self.above + float(2.0 * self.bend @ y + y @ self.curve @ y)
        if below <= 0.0:
            return 0.0
        return float(2.0 * np.pi * np.sqrt(max(above, 0.0) / (GRAVITY * below)))


def swing(prepared: Prepared, weight: Floats, way: Floats) -> Swing:
    """Weights (nodes,) acting along `way` (3,)."""
    state = prepared.structure.states[prepared.final]
    condensed = prepared.condensed[prepared.final]
    vector = weight_load(state, weight, way)
    seats6, rigid = condensed.rigid.shape
    none = np.zeros((seats6, 1)), np.zeros((rigid, 1))
    own = condensed.displacements(vector, *none).reshape(-1, 6)[:, :3] @ way
    units = np.eye(seats6 + rigid)
    field = condensed.displacements(
        np.zeros((len(vector), seats6 + rigid)), units[:seats6], units[seats6:]
    )
    moved = np.einsum("nik,i->nk", field.reshape(len(weight), 6, -1)[:, :3], way)
    pull = weight[:, None] * moved
    return Swing(
        condensed.load(vector),
        float(weight @ own),
        np.asarray(weight @ moved),
        float(weight @ own**2),
        np.asarray(own @ pull),
        np.asarray(moved.T @ pull),
    )


@dataclass(frozen=True)
class Masses:
    """What shakes, the same for all arrangements: along, across and up.

    `swings` along and across; `permanent`, `traffic`: weight acting in each of the three
    directions, condensed.
    """

    swings: tuple[Swing, Swing]
    permanent: tuple[SeatLoad, ...]
    traffic: tuple[SeatLoad, ...]


def masses(prepared: Prepared, groups: Sequence[TrafficGroup]) -> Masses:
    """The permanent weight of the bridge, and that of the traffic that counts in full."""
    state = prepared.structure.states[prepared.final]
    condensed = prepared.condensed[prepared.final]
    weight = weights(prepared.structure, state)
    extra = traffic_weight(prepared, groups)
    along, across = bridge_axis(prepared)
    ways = (along, across, np.array([0.0, 0.0, 1.0]))
    return Masses(
        (swing(prepared, weight, along), swing(prepared, weight, across)),
        tuple(condensed.load(weight_load(state, weight, way)) for way in ways),
        tuple(condensed.load(weight_load(state, extra, way)) for way in ways),
    )


def earthquake(
    shaken: Masses, standing: Standing, family: Family, values: Values, facts: BridgeFacts
) -> tuple[tuple[float, float], WorstOf | None]:
    """Periods (s) along and across, and the earthquake as an action.

    The action is None when the family gets no earthquake from the file.
    """
    along, across = shaken.swings
    periods = along.period(standing), across.period(standing)
    case = family.seismic(values, facts, *periods)
    return periods, None if case is None else seismic_action(shaken, standing, case)


def seismic_action(shaken: Masses, standing: Standing, case: SeismicCase) -> WorstOf:
    """Equivalent static earthquake: each main direction with parts of the other two, all senses."""
    base = []
    for number, (coefficient, part) in enumerate(
        (
            (case.coefficient_along, case.mass_traffic_along),
            (case.coefficient_across, case.mass_traffic_across),
            (case.coefficient_vertical, 0.0),
        )
    ):
        load = shaken.permanent[number] * coefficient
        load = load + shaken.traffic[number] * (coefficient * part)
        base.append(standing.effects.effects(load.g, load.r)[:, 0])
    names, rows = [], []
    main, other, vertical = case.combination
    words = ("along", "across", "vertical")
    for leader in range(3 if case.coefficient_vertical else 2):
        factors = np.array([vertical if i == 2 else other for i in range(3)])
        factors[leader] = main
        for signs in product((1.0, -1.0), repeat=3):
            rows.append((factors * signs) @ np.array(base))
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
