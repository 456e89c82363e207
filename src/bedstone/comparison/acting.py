"""The characteristic loads among which sharing is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bedstone.actions.cases import (
    Case,
    PermanentCase,
    horizontal_actions,
    jacking_case,
    permanent_cases,
    shrinkage_case,
    wind_actions,
)
from bedstone.actions.effects import EffectMap, Layout
from bedstone.actions.traffic import fine_field, traffic_extremes
from bedstone.articulation.arrangement import Arranged, Standing, erection, stand
from bedstone.articulation.prepared import Prepared
from bedstone.comparison.lines import line_places
from bedstone.mechanics.condense import SeatLoad, stack
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import StateName
from bedstone.schedule.analysis import last_stage_before, permanent_effects, thermal_range
from bedstone.schedule.context import Context
from bedstone.schedule.variable import case_effects
from bedstone.standards.family import LEADING_TRAFFIC
from bedstone.standards.site import ThermalRange
from bedstone.standards.traffic import HorizontalForce, TrafficGroup


@dataclass(frozen=True)
class Acting:
    """Loads condensed to the seats, characteristic values, in the final state unless told.

    - `heat`: a uniform rise of 1 K; `thermal`: how far the temperature goes from that of setting
    - `early`, `late`: permanent cases before and after the bearings are set, in their own states;
      `lasting`: shrinkage and creep, jacking
    - `braking` (k columns): the largest horizontal traffic force along, in both senses and at its
      places, `braking_names` (k,); `force` F_h (N) on one piece, `clause` where it comes from
    - `wind` (k columns): on the bridge without traffic, from both sides
    - `traffic` (k columns): vertical loads that are worst for some line of bearings, in the order
      of their centres of gravity; `live`: (greatest, least) compression (N) of each line
    """

    thermal: ThermalRange
    heat: SeatLoad
    early: tuple[PermanentCase, ...]
    late: tuple[PermanentCase, ...]
    lasting: tuple[Case, ...]
    braking: SeatLoad
    braking_names: tuple[str, ...]
    force: float
    clause: str
    wind: SeatLoad
    wind_names: tuple[str, ...]
    traffic: SeatLoad
    live: tuple[tuple[float, float], ...]


def acting_on(prepared: Prepared, context: Context, arranged: Arranged) -> Acting:
    """All loads, and the live load on each line of bearings.

    The live load is placed on this arrangement with the stiffness below as given; what is vertical
    hardly depends on either.
    """
    bridge, structure, final = prepared.bridge, prepared.structure, prepared.final
    state, own = structure.states[final], prepared.condensed[final]
    thermal = thermal_range(prepared, context.family, context.values, context.facts)
    cases = permanent_cases(structure, prepared.condensed)
    set_after = last_stage_before(bridge, cases)
    lasting = (
        jacking_case(bridge, structure, own),
        shrinkage_case(bridge, structure, prepared.condensed[prepared.slow]),
    )
    braking, force = _braking(prepared, context)
    wind = _wind(prepared, context)
    traffic, live = _traffic(prepared, context, arranged)
    return Acting(
        thermal=thermal,
        heat=own.load(state.uniform_temperature(thermal.alpha_steel, thermal.alpha_concrete)),
        early=tuple(case for case in cases if case.number <= set_after),
        late=tuple(case for case in cases if case.number > set_after),
        lasting=tuple(case for case in lasting if case is not None),
        braking=side_by_side(prepared, [case.load for case in braking]),
        braking_names=tuple(case.name for case in braking),
        force=abs(force.along) if force is not None else 0.0,
        clause=force.clause if force is not None else "",
        wind=side_by_side(prepared, [case.load for case in wind]),
        wind_names=tuple(case.name for case in wind),
        traffic=traffic,
        live=live,
    )


def side_by_side(prepared: Prepared, loads: Sequence[SeatLoad]) -> SeatLoad:
    """Loads as columns; none at all is no column."""
    own = prepared.condensed[prepared.final]
    rows, rigid = 6 * own.seat_count, own.rigid.shape[1]
    empty = SeatLoad(np.zeros((rows, 0)), np.zeros((rigid, 0)), np.zeros((rows, 0)))
    return stack([empty, *loads])


def permanent(
    prepared: Prepared, acting: Acting, arranged: Arranged, standing: Standing, bound: str
) -> Floats:
    """(size,) effects of all permanent loads on an arrangement, without friction."""
    before = _stand_all(prepared, on_packings(prepared, arranged), bound)
    after = _stand_all(prepared, arranged, bound)
    cases = (*acting.early, *acting.late)
    last = max((case.number for case in acting.early), default=-1)
    result = np.zeros(standing.effects.layout.size)
    for vector in permanent_effects(cases, after, before, last).values():
        result += vector
    for case in acting.lasting:
        result += case_effects(after[case.state], case)
    return result


def early_normal(prepared: Prepared, acting: Acting, arranged: Arranged, bound: str) -> Floats:
    """(ns,) compression of the bearings from the loads before they were set."""
    result = np.zeros(len(arranged.seats))
    if acting.early:
        before = _stand_all(prepared, on_packings(prepared, arranged), bound)
        for case in acting.early:
            effects = before[case.state].effects.effects(case.load.g, case.load.r, case.load.s)
            result += effects[: 12 * len(result) : 12, 0]
    return result


def on_packings(prepared: Prepared, arranged: Arranged) -> Arranged:
    """What carries the bridge before the bearings are set."""
    return erection(prepared.structure, arranged, prepared.condensed[prepared.final].part)


def _stand_all(prepared: Prepared, arranged: Arranged, bound: str) -> dict[StateName, Standing]:
    supports = list(prepared.bridge.support)
    return {
        name: stand(prepared.structure, supports, item, arranged, bound)
        for name, item in prepared.condensed.items()
    }


def _braking(
    prepared: Prepared, context: Context
) -> tuple[tuple[Case, ...], HorizontalForce | None]:
    """Cases of the largest force along of all groups, with the factor of its group in them."""
    best: tuple[TrafficGroup, int] | None = None
    top = 0.0
    for group in context.groups:
        for number, (force, factor) in enumerate(group.horizontals):
            if force.kind == "braking" and factor * abs(force.along) > top:
                best, top = (group, number), factor * abs(force.along)
    if best is None:
        return (), None
    group, number = best
    final = prepared.final
    actions = horizontal_actions(
        prepared.structure,
        prepared.structure.states[final],
        prepared.condensed[final],
        group,
        context.whole.get(group.name),
    )
    force, _ = group.horizontals[number]
    return actions[number].cases, replace(force, along=top)


def _wind(prepared: Prepared, context: Context) -> tuple[Case, ...]:
    """Wind across the bridge without traffic, from both sides."""
    if prepared.bridge.actions.wind is None:
        return ()
    final = prepared.final
    pressure = context.family.wind(context.values, context.facts)
    actions = wind_actions(prepared.structure.states[final], prepared.condensed[final], pressure)
    return tuple(case for action in actions[:1] for case in action.cases if " to the " in case.name)


def _traffic(
    prepared: Prepared, context: Context, arranged: Arranged
) -> tuple[SeatLoad, tuple[tuple[float, float], ...]]:
    """Vertical traffic that is worst for the lines of bearings, and what it gives them."""
    structure, final = prepared.structure, prepared.final
    state, own = structure.states[final], prepared.condensed[final]
    places = line_places(prepared)
    none = side_by_side(prepared, []), tuple((0.0, 0.0) for _ in places)
    traffic = prepared.bridge.actions.traffic
    if not context.groups or traffic is None or state.deck is None:
        return none
    leading = LEADING_TRAFFIC.get((context.family.name, prepared.bridge.bridge.use))
    group = next((g for g in context.groups if g.name == leading), context.groups[0])
    standing = stand(structure, list(prepared.bridge.support), own, arranged)
    # a map of its own, in which each line of bearings stands like a support: V alone
    names = tuple(f"{mark} of piece {unit + 1}" for unit, mark, _ in places)
    order = Layout((), names)
    matrix = np.zeros((order.size, standing.effects.matrix.shape[1]))
    for number, (_, _, seats) in enumerate(places):
        matrix[6 * number] = standing.effects.matrix[12 * seats].sum(axis=0)
    lines = EffectMap(order, matrix)
    field, _ = fine_field(own, state.deck, [lines])
    deck = state.deck
    first = deck.first if traffic.start is None else max(traffic.start, deck.first)
    last = deck.last if traffic.end is None else min(traffic.end, deck.last)
    inner = set(structure.supports[1:-1]) if structure.continuous else set()
    found = traffic_extremes(
        group.models,
        field,
        lines,
        edges=context.facts.carriageway,
        kinks=np.unique(np.round([seat.chainage for seat in structure.seats], 6)),
        reach=(first, last),
        interior=np.array([6 * i for i, p in enumerate(places) if p[1] in inner], dtype=np.intp),
    )
    factor = group.vertical_factor
    live = tuple(
        (
            factor * float(found.vectors[0, 6 * i, 6 * i]),
            factor * float(found.vectors[1, 6 * i, 6 * i]),
        )
        for i in range(len(places))
    )
    distinct = {
        np.round(pattern, 6).tobytes(): pattern
        for applies in ("all", "interior reaction")
        for pattern in found.patterns(applies)
        if pattern.any()
    }
    if not distinct:
        return none[0], live
    patterns = np.array(list(distinct.values()))
    count = len(field.stations)
    weight = np.abs(patterns.reshape(len(patterns), len(deck.lines), 2, count)[:, :, 0]).sum(axis=1)
    order_along = np.argsort(weight @ field.stations / weight.sum(axis=1), kind="stable")
    return field.loads(patterns[order_along]) * factor, live
