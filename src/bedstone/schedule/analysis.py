"""All actions of a bridge on one arrangement, as effects.

The permanent ones as vectors; of each variable one the extremes for every effect, with what acts at
the same moment.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from bedstone.actions.cases import (
    CaseAction,
    PermanentCase,
    horizontal_actions,
    jacking_case,
    permanent_cases,
    settlement_action,
    shrinkage_case,
    thermal_action,
    wind_actions,
)
from bedstone.actions.effects import Layout
from bedstone.actions.kept import Kept
from bedstone.articulation.arrangement import Arranged, Standing, erection, stand
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge
from bedstone.errors import BedstoneError
from bedstone.mechanics.condense import SeatLoad, stack
from bedstone.mechanics.contact import Contact
from bedstone.mechanics.frame import Floats, Ints
from bedstone.model.structure import StateName
from bedstone.schedule.earthquake import earthquake, masses
from bedstone.schedule.friction import friction_action
from bedstone.schedule.variable import Group, Variable, case_effects, worst_of
from bedstone.standards.family import Family
from bedstone.standards.site import BridgeFacts, ThermalRange
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


class Progress(Protocol):
    """Told how far long work has come."""

    def __call__(self, done: int, total: int, text: str, /) -> None:
        """`done` steps of `total`; `text` says what comes now."""


@dataclass(frozen=True)
class ActionEffects:
    """Effects of all actions on one arrangement with one stiffness below.

    `fixed`: permanent actions by name (size,); `variable`: the others; `raising` (size, k): effects
    of raising each one-sided seat by 1 m; `one_sided` (k,): these seats; `stiffness`: vertical
    stiffness of the superstructure between its seats (N/m); `unit_heat` (size,): effects of a
    uniform rise of 1 K.
    """

    layout: Layout
    fixed: Mapping[str, Floats]
    variable: Mapping[str, Variable]
    one_sided: Ints
    raising: Floats
    periods: tuple[float, float] | None
    unit_heat: Floats
    influence_error: float
    residuals: tuple[float, float]
    stiffness: float = 0.0
    frictions: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @cached_property
    def contact(self) -> Contact:
        """Which gaps open at the one-sided seats, for any load."""
        raising = self.raising[self.layout.normal[self.one_sided]]
        return Contact.of((raising + raising.T) / 2.0, self.stiffness)


def permanent_effects(
    cases: Sequence[PermanentCase],
    standing: Mapping[StateName, Standing],
    before: Mapping[StateName, Standing],
    set_after: int,
) -> dict[str, Floats]:
    """Effects of permanent actions by name.

    Loads of stages up to `set_after` (-1: none) come before the bearings are set: the erection
    supports carry them, and they leave only their forces, no movement and nothing locked in.
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


def analyse(
    prepared: Prepared,
    arranged: Arranged,
    family: Family,
    values: Values,
    facts: BridgeFacts,
    groups: Sequence[TrafficGroup],
    *,
    whole: Mapping[str, TrafficGroup] | None = None,
    bound: str = "given",
    progress: Progress | None = None,
    kept: Kept | None = None,
    only: Collection[str] | None = None,
) -> ActionEffects:
    """Effects of every action on one arrangement; raises `UnstableError` naming a free motion.

    `whole`: groups by name for a train as long as all simple spans together (horizontal forces);
    `bound`: stiffness below the bearings (`bedstone.articulation.ground.ground`); `kept`: loads and
    traffic of this bridge that may be there already; `only`: effects for which traffic is placed,
    all if not told.
    """
    bridge, structure, final = prepared.bridge, prepared.structure, prepared.final
    if progress is not None:
        progress(0, len(groups) + 2, "standing the bridge on its bearings")
    standing = _stand_all(prepared, arranged, bound)
    own = standing[final]
    order = own.effects.layout
    cases = permanent_cases(structure, prepared.condensed)
    fixed = _lasting(prepared, arranged, standing, cases, bound)
    thermal = thermal_range(prepared, family, values, facts)
    heat = prepared.condensed[final].load(
        structure.states[final].uniform_temperature(thermal.alpha_steel, thermal.alpha_concrete)
    )
    unit_heat = own.effects.effects(heat.g, heat.r)[:, 0]
    kept = kept or Kept()
    variable = _plain_actions(prepared, standing, family, values, facts, thermal, kept)
    notes: list[str] = []
    frictions: dict[str, tuple[float, float]] = {}
    if bridge.actions.friction:
        dead = np.asarray(sum(fixed.values(), np.zeros(order.size)))
        friction, frictions, notes = friction_action(
            prepared, arranged, own, dead, unit_heat, family, values
        )
        if friction is not None:
            variable["friction"] = friction
    periods = None
    if bridge.actions.seismic is not None:
        periods, seismic = earthquake(masses(prepared, groups), own, family, values, facts)
        if seismic is not None:
            variable["seismic"] = seismic
    traffic, error = _traffic(prepared, standing, facts, groups, whole or {}, progress, kept, only)
    variable.update(traffic)
    one_sided, raising = _one_sided(prepared, arranged, own)
    return ActionEffects(
        layout=order,
        fixed=fixed,
        variable=variable,
        one_sided=one_sided,
        raising=raising,
        stiffness=_stiffness(prepared),
        periods=periods,
        unit_heat=unit_heat,
        influence_error=error,
        residuals=_residuals(cases, standing, heat, final),
        frictions=frictions,
        notes=tuple(notes),
    )


def _stand_all(prepared: Prepared, arranged: Arranged, bound: str) -> dict[StateName, Standing]:
    """Every state of the superstructure on the same bearings."""
    supports = list(prepared.bridge.support)
    return {
        name: stand(prepared.structure, supports, item, arranged, bound)
        for name, item in prepared.condensed.items()
    }


def _lasting(
    prepared: Prepared,
    arranged: Arranged,
    standing: Mapping[StateName, Standing],
    cases: Sequence[PermanentCase],
    bound: str,
) -> dict[str, Floats]:
    """Effects (size,) of all permanent actions by name."""
    bridge, structure, condensed = prepared.bridge, prepared.structure, prepared.condensed
    erected = erection(structure, arranged, condensed[prepared.final].part)
    before = _stand_all(prepared, erected, bound)
    fixed = permanent_effects(cases, standing, before, last_stage_before(bridge, cases))
    for name, case in (
        ("jacking", jacking_case(bridge, structure, condensed[prepared.final])),
        ("shrinkage", shrinkage_case(bridge, structure, condensed[prepared.slow])),
    ):
        if case is not None:
            fixed[name] = case_effects(standing[case.state], case)
    return fixed


def thermal_range(
    prepared: Prepared, family: Family, values: Values, facts: BridgeFacts
) -> ThermalRange:
    """The family's temperatures with the file's own coefficients of expansion where given.

    Without a temperature action the changes are zero and the coefficients are those the file
    gives, else those of EN 1991-1-5, Table C.1 (steel 12e-6, concrete 10e-6 per kelvin).
    """
    materials = prepared.bridge.materials
    thermal = (
        family.thermal(values, facts)
        if prepared.bridge.actions.temperature is not None
        else ThermalRange(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, (), 12e-6, 10e-6)
    )
    if materials.steel_alpha is not None:
        thermal = replace(thermal, alpha_steel=materials.steel_alpha)
    if materials.concrete_alpha is not None:
        thermal = replace(thermal, alpha_concrete=materials.concrete_alpha)
    return thermal


def _plain_actions(
    prepared: Prepared,
    standing: Mapping[StateName, Standing],
    family: Family,
    values: Values,
    facts: BridgeFacts,
    thermal: ThermalRange,
    kept: Kept,
) -> dict[str, Variable]:
    """Settlement, temperature and wind."""
    bridge, structure, condensed = prepared.bridge, prepared.structure, prepared.condensed
    state, own = structure.states[prepared.final], condensed[prepared.final]
    actions: list[CaseAction] = []
    if bridge.actions.settlement:
        actions.append(settlement_action(bridge, structure, condensed[prepared.slow]))
    if bridge.actions.temperature is not None:
        actions.append(thermal_action(state, own, thermal))
    if bridge.actions.wind is not None:
        wind = family.wind(values, facts)
        actions += kept.actions(("wind", wind), lambda: wind_actions(state, own, wind))
    order = standing[prepared.final].effects.layout
    return {action.name: worst_of(action, standing, order) for action in actions}


def _traffic(
    prepared: Prepared,
    standing: Mapping[StateName, Standing],
    facts: BridgeFacts,
    groups: Sequence[TrafficGroup],
    whole: Mapping[str, TrafficGroup],
    progress: Progress | None,
    kept: Kept,
    only: Collection[str] | None,
) -> tuple[dict[str, Variable], float]:
    """Traffic groups placed for the worst, and the error left in the influence."""
    structure, final = prepared.structure, prepared.final
    state, own = structure.states[final], prepared.condensed[final]
    traffic = prepared.bridge.actions.traffic
    if not groups or traffic is None:
        return {}, 0.0
    if state.deck is None:
        raise BedstoneError("traffic needs a deck: give the deck lines on which it runs")
    order = standing[final].effects.layout
    first = state.deck.first if traffic.start is None else traffic.start
    last = state.deck.last if traffic.end is None else traffic.end
    deck_field, error = kept.field(own, state.deck, [standing[final].effects])
    place = kept.on(
        [model for group in groups for model in group.models],
        deck_field,
        standing[final].effects,
        edges=facts.carriageway,
        kinks=np.unique(np.round([seat.chainage for seat in structure.seats], 6)),
        reach=(max(first, state.deck.first), min(last, state.deck.last)),
        interior=interior_reactions(prepared, order),
        leads=None if only is None else order.positions(only),
    )
    result: dict[str, Variable] = {}
    for number, group in enumerate(groups):
        if progress is not None:
            progress(number + 1, len(groups) + 2, f"placing traffic {group.name}")
        longer = whole.get(group.name)
        horizontals = kept.actions(
            ("traffic", group, longer),
            lambda group=group, longer=longer: horizontal_actions(  # type: ignore[misc]
                structure, state, own, group, longer
            ),
        )
        sides = [worst_of(action, standing, order) for action in horizontals]
        vertical = place(group.models).scaled(group.vertical_factor)
        result[f"traffic:{group.name}"] = Group((vertical, *sides))
    return result, error


def _stiffness(prepared: Prepared) -> float:
    """Order of the vertical stiffness of the superstructure between its seats, N/m."""
    softness = np.diag(prepared.condensed[prepared.final].flexibility)[2::6]
    softest = float(softness.max(initial=0.0))
    return 1.0 / softest if softest > 0.0 else 0.0


def _one_sided(prepared: Prepared, arranged: Arranged, standing: Standing) -> tuple[Ints, Floats]:
    """Seats (k,) that only push, and all effects (size, k) of raising each by 1 m."""
    rows = np.array(
        [
            row
            for row, seat in enumerate(arranged.seats)
            if arranged.bearings.held[row, 2] and not seat.uplift
        ],
        dtype=np.intp,
    )
    lift = np.zeros((6 * len(prepared.structure.seats), len(rows)))
    lift[6 * rows + 2, np.arange(len(rows))] = 1.0
    raised = prepared.condensed[prepared.final].settlement(lift)
    return rows, standing.effects.effects(raised.g, raised.r, raised.s)


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


def last_stage_before(bridge: Bridge, cases: Sequence[PermanentCase]) -> int:
    """Number of the last stage with load before the bearings are set; -1: none.

    Bearings are set at the end of the stage `set_at`; without it before the first stage.
    """
    set_at = bridge.arrangement.set_at
    if set_at is None:
        return -1
    loaded = {case.stage: case.number for case in cases}
    names = [stage.name for stage in bridge.stage] or list(loaded)
    early = names[: names.index(set_at) + 1]
    return max((loaded[name] for name in early if name in loaded), default=-1)


def interior_reactions(prepared: Prepared, order: Layout) -> Ints:
    """Reactions at inner supports of a continuous superstructure, to which some models apply.

    The vertical forces, and the moments about the base that come of where they stand.
    """
    structure = prepared.structure
    if not structure.continuous:
        return np.zeros(0, dtype=np.intp)
    inner = set(structure.supports[1:-1])
    seats = [order.index(s.mark, "N") for s in structure.seats if s.support in inner]
    return np.array(
        seats
        + [
            order.index(mark, effect)
            for mark in structure.supports
            if mark in inner
            for effect in ("V", "Mx", "My")
        ],
        dtype=np.intp,
    )
