"""Envelopes of all actions and combinations on any arrangement of a bridge, in milliseconds.

The schedule places traffic anew for every arrangement, and that takes most of its time. Here the
loads of traffic come from a *library*: those that are worst for some effect on one of a few
arrangements of reference. All of them may stand on the bridge, so an envelope over the library is
never above that of the schedule. On an arrangement of reference both are the same but for 0.05 %
(loads that close to the worst stand for one another); how far below it stays elsewhere is told
wherever the best arrangements are worked out in full.

Everything else (temperature, wind, braking, settlement, friction, earthquake, stages,
combinations) is as in the schedule. Bearings pull as well as push here: an uplift shows as a
negative N, not as an open gap.

A fault or a variant that changes more than the bearings (a softer pier, a seat too low, another
temperature of setting) is a bridge file with that one change; the superstructure must be the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from bedstone.actions.cases import (
    Case,
    CaseAction,
    horizontal_actions,
    jacking_case,
    permanent_cases,
    settlement_action,
    shrinkage_case,
    thermal_action,
    wind_actions,
)
from bedstone.actions.effects import EffectMap, Layout
from bedstone.actions.influence import DeckField
from bedstone.actions.kept import Kept
from bedstone.actions.traffic import NEGLIGIBLE
from bedstone.articulation.arrangement import (
    Arranged,
    Standing,
    arrange,
    effect_map,
    erection,
    layout,
    support_sums,
)
from bedstone.articulation.ground import ground as compliance
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge, FamilyName, Seat
from bedstone.bridge.seats import arrangement_functions
from bedstone.errors import CheckError, Fault, InputError
from bedstone.mechanics.condense import SeatLoad, stack
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.support import TOLERANCE, Supported
from bedstone.model.structure import StateName
from bedstone.schedule.analysis import interior_reactions, last_stage_before, thermal_range
from bedstone.schedule.combine import factors
from bedstone.schedule.context import Context, context_of
from bedstone.schedule.earthquake import earthquake, masses
from bedstone.schedule.facts import bridge_facts, with_user_groups
from bedstone.schedule.friction import friction_action
from bedstone.standards.combination import Combination
from bedstone.standards.site import BridgeFacts
from bedstone.standards.traffic import TrafficModel

#: Part of an extreme that a load of the library may be short of it and stand for another.
NEAR = 5e-4


@dataclass(frozen=True)
class Look:
    """What one arrangement gives, as extremes; SI, signs and order as `Layout`.

    - `value` (states, 2, size): governing value of every effect in every limit state, largest and
      smallest; `combination`, `bound`: which one it comes from, as indices
    - `actions`: (2, size) characteristic extremes of each action over the bounds of stiffness,
      equal where the action is permanent
    - `permanent` (size,): all permanent actions together, `unit_heat` (size,) a rise of 1 K, both
      with the first bound of stiffness; `heats` (bounds, size) a rise of 1 K with each
    - `residual`: worst of equilibrium and compatibility, relative
    """

    layout: Layout
    arranged: Arranged
    limit_states: tuple[str, ...]
    combinations: tuple[tuple[Combination, ...], ...]
    bounds: tuple[str, ...]
    value: Floats
    combination: Ints
    bound: Ints
    actions: Mapping[str, Floats]
    permanent: Floats
    unit_heat: Floats
    heats: Floats
    periods: tuple[float, float] | None
    residual: float
    #: extremes over limit states by part of their names and by sense; pages ask for hundreds
    _over: dict[str, dict[str, Floats]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def extreme(self, place: str, effect: str, sense: str = "max", states: str = "") -> float:
        """Largest (``max``), smallest (``min``) or largest absolute (``abs``) value of an effect.

        Over the limit states whose names hold `states`.
        """
        if states not in self._over:
            own = [number for number, name in enumerate(self.limit_states) if states in name]
            table = self.value[own]
            ends = {"max": table[:, 0].max(axis=0), "min": table[:, 1].min(axis=0)}
            self._over[states] = ends | {"abs": np.abs(table).max(axis=(0, 1))}
        return float(self._over[states][sense][self.layout.index(place, effect)])

    def governing(self, place: str, effect: str) -> tuple[float, str, str, str]:
        """Value of largest size of an effect, its limit state, combination and bound."""
        index = self.layout.index(place, effect)
        table = self.value[:, :, index]
        state, sign = np.unravel_index(int(np.abs(table).argmax()), table.shape)
        combination = self.combinations[state][int(self.combination[state, sign, index])]
        bound = self.bounds[int(self.bound[state, sign, index])]
        return float(table[state, sign]), self.limit_states[state], combination.name, bound


@dataclass(frozen=True)
class Responses:
    """Effects of all loads of one state, of the effects alone that can be other than zero.

    Those are about half: a free direction has no force, a held one no movement. `rows` (r,): their
    numbers; `table` (r, loads); `moves`: which of the rows are movements; `size`: of all effects.
    """

    rows: Ints
    table: Floats
    moves: Ints
    size: int

    @classmethod
    def of(cls, effects: EffectMap, loads: Floats) -> Responses:
        """Those of loads (6 ns + 6 p, k)."""
        rows = np.flatnonzero(effects.matrix.any(axis=1)).astype(np.intp)
        moves = np.flatnonzero(effects.layout.movements[rows]).astype(np.intp)
        return cls(rows, effects.matrix[rows] @ loads, moves, len(effects.matrix))

    def column(self, number: int) -> Floats:
        """(size,) all effects of one load."""
        result = np.zeros(self.size)
        result[self.rows] = self.table[:, number]
        return result


@dataclass(frozen=True)
class Part:
    """Cases of one part of an action: its columns among the loads of a state.

    `rule` as in `CaseAction`; `moved`: columns that give the movements, None: the same;
    `factor` on all of them; `only`: effects for which it counts, None: all.
    """

    state: StateName
    columns: slice
    rule: str
    moved: slice | None = None
    factor: float = 1.0
    only: Ints | None = None

    def extremes(
        self, responses: Mapping[StateName, Responses], known: dict[tuple[object, ...], Floats]
    ) -> Floats:
        """(2, size) adverse parts, largest and smallest, zero where it relieves.

        `known` keeps them without factor: parts of several actions may have the same loads.
        """
        moved = None if self.moved is None else self.moved.start
        key = (self.state, self.columns.start, self.columns.stop, self.rule, moved)
        if key not in known:
            known[key] = self._plain(responses[self.state])
        if self.only is None:
            return known[key] * self.factor
        result = np.zeros_like(known[key])
        result[:, self.only] = known[key][:, self.only] * self.factor
        return result

    def _plain(self, own: Responses) -> Floats:
        rows = own.table[:, self.columns]
        if self.moved is not None:
            rows = rows.copy()
            rows[own.moves] = own.table[own.moves, self.moved]
        result = np.zeros((2, own.size))
        if self.rule == "any":
            result[0, own.rows] = np.maximum(rows, 0.0).sum(axis=1)
            result[1, own.rows] = np.minimum(rows, 0.0).sum(axis=1)
        else:
            result[0, own.rows] = rows.max(axis=1, initial=0.0)
            result[1, own.rows] = rows.min(axis=1, initial=0.0)
        return result


class _Patterns:
    """Different loads on the deck, on the deck fields of the arrangements they are worst for."""

    def __init__(self) -> None:
        self._fields: dict[bytes, DeckField] = {}
        self._found: dict[bytes, dict[bytes, Floats]] = {}

    def __bool__(self) -> bool:
        return any(self._found.values())

    def add(self, field: DeckField, patterns: Iterable[Floats]) -> None:
        """Keep those that are not there yet."""
        key = field.stations.tobytes()
        self._fields[key] = field
        found = self._found.setdefault(key, {})
        for pattern in patterns:
            if pattern.any():
                found.setdefault(np.round(pattern, 3).tobytes(), pattern)

    def loads(self) -> SeatLoad:
        """All of them, condensed."""
        return stack(
            [
                self._fields[key].loads(np.array(list(found.values())))
                for key, found in self._found.items()
                if found
            ]
        )


class _Columns:
    """Loads of all cases side by side, state by state."""

    def __init__(self) -> None:
        self._loads: dict[StateName, list[SeatLoad]] = {}
        self._width: dict[StateName, int] = {}

    def add(self, state: StateName, load: SeatLoad) -> slice:
        first = self._width.get(state, 0)
        last = first + load.g.shape[1]
        self._loads.setdefault(state, []).append(load)
        self._width[state] = last
        return slice(first, last)

    def action(self, action: CaseAction) -> list[tuple[Part, ...]]:
        """An action as what acts together, each as alternatives."""
        parts = []
        for state in dict.fromkeys(case.state for case in action.cases):
            own = [case for case in action.cases if case.state == state]
            columns = self.add(state, stack([case.load for case in own]))
            moved = None
            if any(case.movement is not None for case in own):
                moved = self.add(state, stack([case.movement or case.load for case in own]))
            parts.append(Part(state, columns, action.rule, moved))
        return [tuple(parts)] if action.rule == "one" else [(part,) for part in parts]

    def stacked(self) -> dict[StateName, Floats]:
        """(6 ns + 6 p, k) of each state, as `EffectMap` takes them."""
        result = {}
        for state, loads in self._loads.items():
            whole = stack(loads)
            result[state] = np.ascontiguousarray(np.concatenate([whole.g - whole.s, whole.r]))
        return result


@dataclass(frozen=True)
class Loads:
    """All loads of a bridge that do not depend on its bearings.

    `variable`: what acts together in each action, each as alternatives; `fixed`: (state, column,
    early) of the permanent cases by action; `jacking`: the one that seats at a wrong level bring,
    by itself since many faults differ in it alone; `heat`: column of a rise of 1 K in the final
    state.
    """

    stacked: Mapping[StateName, Floats]
    variable: Mapping[str, tuple[tuple[Part, ...], ...]]
    fixed: tuple[tuple[str, StateName, int, bool], ...]
    jacking: Case | None
    heat: int
    heat_load: SeatLoad
    span: float


@dataclass(frozen=True)
class Factors:
    """Factors of the combinations of one limit state: rows combinations, columns actions."""

    combinations: tuple[Combination, ...]
    fixed: Floats  # (4, c, fixed): adverse, relieving for forces; the same for movements
    variable: Floats  # (2, c, variable): for forces, for movements


@dataclass(frozen=True)
class _Carried:
    """What does not change with the levels of the seats and their friction, with one stiffness.

    `own`: the final state on its bearings; `fixed` (size,): permanent actions but jacking;
    `variable` (2, size): extremes of the others but friction and earthquake; `heat` (size,): a
    rise of 1 K; `residual`: relative.
    """

    own: Standing
    fixed: Mapping[str, Floats]
    variable: Mapping[str, Floats]
    heat: Floats
    residual: float


class Screen:
    """Looks at arrangements of one prepared bridge under one family."""

    def __init__(
        self,
        prepared: Prepared,
        name: FamilyName,
        references: Sequence[Mapping[str, Seat]] = (),
        kept: Kept | None = None,
    ) -> None:
        """Gather the loads; `references`: more arrangements for whose worst traffic is looked;
        `kept`: loads and traffic of this bridge that may be there already.

        Raises `InputError` for a bridge without a model, `UnstableError` when the file's own
        arrangement does not stand.
        """
        if not prepared.condensed:
            allowed = "a superstructure with a model"
            raise InputError([Fault("bridge file", "superstructure.kind", "reactions", allowed)])
        self.prepared = prepared
        self.name: FamilyName = name
        self.context: Context = context_of(prepared, name)
        self.layout = layout(prepared.structure)
        self.moves = np.flatnonzero(self.layout.movements).astype(np.intp)
        self._cases = permanent_cases(prepared.structure, prepared.condensed)
        self._grounds: dict[tuple[object, ...], Floats] = {}
        self._erected: dict[tuple[object, ...], dict[StateName, Floats]] = {}
        own = self.arranged(prepared.bridge)
        others = [
            arrange(
                prepared.structure,
                list(prepared.bridge.support),
                item,
                prepared.bridge.arrangement.fixed_point,
            )
            for item in references
        ]
        # loads alone where nobody shares them: placed traffic is large
        self._kept = kept or Kept(arrangements=0)
        self._traffic = self._library([own, *others])
        self.masses = masses(prepared, self.context.groups)
        self.base = self.loads(prepared.bridge)
        whole = support_sums(prepared.structure, list(prepared.bridge.support), own).tobytes()
        self._own = {
            (*self._bearings(prepared.bridge, own, item), whole) for item in self.context.bounds
        }
        self._carried: dict[tuple[object, ...], _Carried] = {}
        self._last: tuple[Arranged, Standing] | None = None
        # a fault may bring a jacking (a seat too low) that the file does not have
        lasting = tuple(dict.fromkeys([*(item[0] for item in self.base.fixed), "jacking"]))
        present = [*lasting, *self._actions()]
        users = dict(self.context.users)
        base = [item for item in present if item.partition(":")[2] not in users]
        combinations = with_user_groups(
            self.context.family.combinations(self.context.values, base), self.context.users
        )
        self.names = (lasting, tuple(self._actions()))
        self.limit_states = tuple(dict.fromkeys(item.limit_state for item in combinations))
        self.factors = tuple(
            self._table(tuple(item for item in combinations if item.limit_state == state))
            for state in self.limit_states
        )

    # ------------------------------------------------------------------ what does not change
    def arranged(self, bridge: Bridge) -> Arranged:
        """The bearings of a bridge file with this superstructure."""
        functions = arrangement_functions(bridge, self.prepared.tables)
        return arrange(
            self.prepared.structure,
            list(bridge.support),
            functions,
            bridge.arrangement.fixed_point,
        )

    def _actions(self) -> list[str]:
        """Names of the variable actions."""
        names = list(self.base.variable)
        if self.prepared.bridge.actions.friction:
            names.append("friction")
        if self.prepared.bridge.actions.seismic is not None:
            names.append("seismic")
        return names

    def _library(
        self, references: Sequence[Arranged]
    ) -> dict[tuple[TrafficModel, ...], dict[str, SeatLoad]]:
        """Loads of traffic that are worst for something on an arrangement of reference.

        By the models of a group and by the effects they apply to.
        """
        prepared, context = self.prepared, self.context
        structure = prepared.structure
        traffic = prepared.bridge.actions.traffic
        state = structure.states[prepared.final]
        if not context.groups or traffic is None or state.deck is None:
            return {}
        deck, condensed = state.deck, prepared.condensed[prepared.final]
        first = deck.first if traffic.start is None else traffic.start
        last = deck.last if traffic.end is None else traffic.end
        kinks = np.unique(np.round([seat.chainage for seat in structure.seats], 6))
        # the own arrangement with every stiffness below, the others with the first
        pairs = [(references[0], bound) for bound in context.bounds]
        pairs += [(other, context.bounds[0]) for other in references[1:]]
        maps = [
            self._standing(prepared.bridge, arranged, bound, prepared.final).effects
            for arranged, bound in pairs
        ]
        inner = interior_reactions(prepared, self.layout)
        groups = list(dict.fromkeys(group.models for group in context.groups))
        # the same load is the worst for many effects, and on most arrangements: keep it once
        found: dict[tuple[TrafficModel, ...], dict[str, _Patterns]] = {}
        for effects in maps:
            field, _ = self._kept.field(condensed, deck, [effects])
            place = self._kept.on(
                [model for models in groups for model in models],
                field,
                effects,
                edges=context.facts.carriageway,
                kinks=kinks,
                reach=(max(first, deck.first), min(last, deck.last)),
                interior=inner,
            )
            for models in groups:
                placed = place(models)
                for applies in dict.fromkeys(model.applies for model in models):
                    kept = found.setdefault(models, {}).setdefault(applies, _Patterns())
                    kept.add(field, placed.patterns(applies))
        return {
            models: {
                applies: _thinned(kept.loads(), maps, None if applies == "all" else inner)
                for applies, kept in by_effect.items()
                if kept
            }
            for models, by_effect in found.items()
        }

    @property
    def positions(self) -> int:
        """Number of loads in the library of traffic."""
        return sum(load.g.shape[1] for kept in self._traffic.values() for load in kept.values())

    def loads(self, bridge: Bridge) -> Loads:
        """All loads of a bridge file with this superstructure."""
        prepared = replace(self.prepared, bridge=bridge)
        context = self.context
        facts = self._facts(bridge)
        structure, condensed = prepared.structure, prepared.condensed
        final = prepared.final
        state, own = structure.states[final], condensed[final]
        columns = _Columns()
        fixed = self._fixed(prepared, columns)
        thermal = thermal_range(prepared, context.family, context.values, facts)
        heat = own.load(state.uniform_temperature(thermal.alpha_steel, thermal.alpha_concrete))
        heat_column = columns.add(final, heat).start
        variable: dict[str, tuple[tuple[Part, ...], ...]] = {}
        actions: list[CaseAction] = []
        if bridge.actions.settlement:
            actions.append(settlement_action(bridge, structure, condensed[prepared.slow]))
        if bridge.actions.temperature is not None:
            actions.append(thermal_action(state, own, thermal))
        if bridge.actions.wind is not None:
            wind = context.family.wind(context.values, facts)
            actions += self._kept.actions(("wind", wind), lambda: wind_actions(state, own, wind))
        for action in actions:
            variable[action.name] = tuple(columns.action(action))
        placed = {
            models: {applies: columns.add(final, load) for applies, load in kept.items()}
            for models, kept in self._traffic.items()
        }
        inner = interior_reactions(prepared, self.layout)
        for group in context.groups:
            vertical = tuple(
                Part(
                    final,
                    where,
                    "one",
                    factor=group.vertical_factor,
                    only=None if applies == "all" else inner,
                )
                for applies, where in placed.get(group.models, {}).items()
            )
            parts = [vertical] if vertical else []
            longer = context.whole.get(group.name)
            for action in self._kept.actions(
                ("traffic", group, longer),
                lambda group=group, longer=longer: horizontal_actions(  # type: ignore[misc]
                    structure, state, own, group, longer
                ),
            ):
                parts += columns.action(action)
            variable[f"traffic:{group.name}"] = tuple(parts)
        return Loads(
            columns.stacked(),
            variable,
            tuple(fixed),
            self._jacking(bridge),
            heat_column,
            heat,
            max(thermal.expansion, thermal.contraction),
        )

    def _fixed(
        self, prepared: Prepared, columns: _Columns
    ) -> list[tuple[str, StateName, int, bool]]:
        """Permanent cases: action, state, column, whether before the bearings are set."""
        early = last_stage_before(prepared.bridge, self._cases)
        result = [
            (
                case.action,
                case.state,
                columns.add(case.state, case.load).start,
                case.number <= early,
            )
            for case in self._cases
        ]
        more = shrinkage_case(
            prepared.bridge, prepared.structure, prepared.condensed[prepared.slow]
        )
        if more is not None:
            result.append(
                ("shrinkage", more.state, columns.add(more.state, more.load).start, False)
            )
        return result

    def _jacking(self, bridge: Bridge) -> Case | None:
        prepared = self.prepared
        return jacking_case(bridge, prepared.structure, prepared.condensed[prepared.final])

    def _loads_of(self, bridge: Bridge) -> Loads:
        """`loads`, made anew only as far as they are not those of the own file."""
        own = self.prepared.bridge.actions
        if bridge.actions is own:
            return self.base
        if bridge.actions.model_copy(update={"jacking": own.jacking}) == own:
            return replace(self.base, jacking=self._jacking(bridge))
        return self.loads(bridge)

    def _facts(self, bridge: Bridge) -> BridgeFacts:
        if bridge is self.prepared.bridge:
            return self.context.facts
        return bridge_facts(bridge, self.prepared.structure, self.name)

    def _table(self, combinations: tuple[Combination, ...]) -> Factors:
        """Factors of combinations of one limit state."""
        fixed, variable = self.names
        lasting = np.zeros((4, len(combinations), len(fixed)))
        passing = np.zeros((2, len(combinations), len(variable)))
        for row, combination in enumerate(combinations):
            for term in combination.terms:
                found = factors(combination, term)
                if term.action in fixed:
                    lasting[:, row, fixed.index(term.action)] += found
                elif term.action in variable:
                    passing[:, row, variable.index(term.action)] += (found[0], found[2])
        return Factors(combinations, lasting, passing)

    # ------------------------------------------------------------------ what stands on what
    def ground(self, bridge: Bridge, bound: str) -> Floats:
        """Compliance below the seats, kept by what the file says of the supports."""
        key: tuple[object, ...] = (bound,)
        if bridge.support is not self.prepared.bridge.support:
            key = (bound, *(support.model_dump_json() for support in bridge.support))
        if key not in self._grounds:
            if len(self._grounds) > 64:
                self._grounds.clear()
            self._grounds[key] = compliance(self.prepared.structure, list(bridge.support), bound)
        return self._grounds[key]

    def _standing(
        self,
        bridge: Bridge,
        arranged: Arranged,
        bound: str,
        state: StateName,
        sums: Floats | None = None,
    ) -> Standing:
        """One state on its bearings; raises `UnstableError` naming the free motion."""
        supported = Supported(
            self.prepared.condensed[state], arranged.bearings, self.ground(bridge, bound)
        )
        supports = list(bridge.support)
        return Standing(
            supported, effect_map(self.prepared.structure, supports, arranged, supported, sums)
        )

    def early(
        self, bridge: Bridge, arranged: Arranged, bound: str, loads: Loads
    ) -> dict[tuple[StateName, int], Floats]:
        """Effects of permanent cases that come before the bearings are set, by their column."""
        wanted = [(state, column) for _, state, column, early in loads.fixed if early]
        if not wanted:
            return {}
        bearings = arranged.bearings
        key = (
            bound,
            bearings.held[:, 2:].tobytes(),
            bearings.compliance[:, 2:].tobytes(),
            # rotations of a bearing are held about its own axes
            arranged.angles if bearings.held[:, 3:].any() else (),
            self.ground(bridge, bound).tobytes(),
        )
        if key not in self._erected:
            if len(self._erected) > 64:
                self._erected.clear()
            part = self.prepared.condensed[self.prepared.final].part
            erected = erection(self.prepared.structure, arranged, part)
            self._erected[key] = {
                state: self._standing(bridge, erected, bound, state).effects.matrix
                for state in dict.fromkeys(state for state, _ in wanted)
            }
        maps = self._erected[key]
        result = {}
        for state, column in wanted:
            vector = maps[state] @ loads.stacked[state][:, column]
            vector[self.moves] = 0.0
            result[state, column] = vector
        return result

    # ------------------------------------------------------------------ one arrangement
    def look(self, bridge: Bridge | None = None, arranged: Arranged | None = None) -> Look:
        """Envelopes of a bridge file with this superstructure, or of `arranged` bearings.

        Raises `UnstableError` naming the free motion, `CheckError` when a solution fails.
        """
        bridge = bridge or self.prepared.bridge
        arranged = arranged or self.arranged(bridge)
        loads = self._loads_of(bridge)
        bounds = self._bounds(bridge)
        sums = support_sums(self.prepared.structure, list(bridge.support), arranged)
        found = [self._bounded(bridge, arranged, bound, loads, sums) for bound in bounds]
        values = np.stack([item[0] for item in found])  # (bounds, states, 2, size)
        picks = np.stack([item[1] for item in found])
        senses = np.array([1.0, -1.0])[None, None, :, None]
        bound = (values * senses).argmax(axis=0)
        take = bound[None]
        actions = {
            name: np.stack(
                [
                    np.max([item[2][name][0] for item in found], axis=0),
                    np.min([item[2][name][1] for item in found], axis=0),
                ]
            )
            for name in found[0][2]
        }
        return Look(
            layout=self.layout,
            arranged=arranged,
            limit_states=self.limit_states,
            combinations=tuple(item.combinations for item in self.factors),
            bounds=bounds,
            value=np.take_along_axis(values, take, axis=0)[0],
            combination=np.take_along_axis(picks, take, axis=0)[0],
            bound=bound,
            actions=actions,
            permanent=found[0][3],
            unit_heat=found[0][4],
            heats=np.array([item[4] for item in found]),
            periods=found[0][5],
            residual=max(item[6] for item in found),
        )

    def _bounds(self, bridge: Bridge) -> tuple[str, ...]:
        if bridge.support is self.prepared.bridge.support:
            return self.context.bounds
        varied = any((s.bounds.lower, s.bounds.upper) != (1.0, 1.0) for s in bridge.support)
        return ("lower", "upper") if varied else ("given",)

    def _bounded(
        self, bridge: Bridge, arranged: Arranged, bound: str, loads: Loads, sums: Floats
    ) -> tuple[Floats, Ints, dict[str, Floats], Floats, Floats, tuple[float, float] | None, float]:
        """Governing values with one stiffness below, and what they are made of."""
        prepared = self.prepared
        if bridge is not prepared.bridge:
            prepared = replace(prepared, bridge=bridge)
        carried = self._carry(bridge, arranged, bound, loads, sums)
        own, heat = carried.own, carried.heat
        fixed, variable = dict(carried.fixed), dict(carried.variable)
        if loads.jacking is not None:
            load = loads.jacking.load
            vector = own.effects.effects(load.g, load.r, load.s)[:, 0]
            fixed["jacking"] = fixed["jacking"] + vector
        permanent = np.asarray(sum(fixed.values(), np.zeros(self.layout.size)))
        family, values = self.context.family, self.context.values
        none = np.zeros((2, self.layout.size))
        periods = None
        if bridge.actions.friction:
            friction, _, _ = friction_action(
                prepared, arranged, own, permanent, heat, family, values, sums=sums
            )
            variable["friction"] = none if friction is None else _one(friction.table)
        if bridge.actions.seismic is not None:
            periods, seismic = earthquake(self.masses, own, family, values, self._facts(bridge))
            variable["seismic"] = none if seismic is None else _one(seismic.table)
        value, pick = combine(
            self.factors,
            np.array([fixed[name] for name in self.names[0]]).reshape(-1, self.layout.size),
            np.array([variable.get(name, none) for name in self.names[1]]).reshape(
                -1, 2, self.layout.size
            ),
            self.moves,
        )
        actions = {name: np.stack([vector, vector]) for name, vector in fixed.items()}
        return value, pick, actions | variable, permanent, heat, periods, carried.residual

    def _carry(
        self, bridge: Bridge, arranged: Arranged, bound: str, loads: Loads, sums: Floats
    ) -> _Carried:
        """What the bearings take of the loads, kept for the bearings of the own file."""
        key = (*self._bearings(bridge, arranged, bound), sums.tobytes())
        kept = key in self._own and loads.variable is self.base.variable
        found = self._carried.get(key) if kept else None
        if found is None:
            found = self._carries(bridge, arranged, bound, loads, sums)
            if kept:
                self._carried[key] = found
        if bound == self._bounds(bridge)[0]:
            self._last = (arranged, found.own)
        return found

    def _bearings(self, bridge: Bridge, arranged: Arranged, bound: str) -> tuple[object, ...]:
        """What decides the forces of a load: the bearings and what is below them."""
        own = arranged.bearings
        parts = (own.axes, own.held, own.compliance, self.ground(bridge, bound))
        return (bound, arranged.angles, *(part.tobytes() for part in parts))

    def _carries(
        self, bridge: Bridge, arranged: Arranged, bound: str, loads: Loads, sums: Floats
    ) -> _Carried:
        prepared = self.prepared
        standing = {
            state: self._standing(bridge, arranged, bound, state, sums)
            for state in prepared.condensed
        }
        own = standing[prepared.final]
        residual = max(own.supported.residuals(loads.heat_load))
        if not residual < TOLERANCE:
            raise CheckError(f"a rise of 1 K is not in equilibrium: residual {residual:.1e}")
        responses = {
            state: Responses.of(standing[state].effects, table)
            for state, table in loads.stacked.items()
        }
        early = self.early(bridge, arranged, bound, loads)
        fixed = {name: np.zeros(self.layout.size) for name in self.names[0]}
        for name, state, column, before in loads.fixed:
            vector = early[state, column] if before else responses[state].column(column)
            fixed[name] = fixed[name] + vector
        known: dict[tuple[object, ...], Floats] = {}
        variable = {
            name: np.asarray(
                sum((_worst(parts, responses, known) for parts in together), np.zeros((2, 1)))
            )
            for name, together in loads.variable.items()
        }
        heat = responses[prepared.final].column(loads.heat)
        return _Carried(own, fixed, variable, heat, residual)

    def standing(self, look: Look, bridge: Bridge) -> Standing:
        """The final state of a look with its first stiffness below."""
        if self._last is not None and self._last[0] is look.arranged:
            return self._last[1]
        return self._standing(bridge, look.arranged, look.bounds[0], self.prepared.final)


def _worst(
    parts: Sequence[Part],
    responses: Mapping[StateName, Responses],
    known: dict[tuple[object, ...], Floats],
) -> Floats:
    """(2, size) the worst of alternatives."""
    found = np.array([part.extremes(responses, known) for part in parts])
    return np.stack([found[:, 0].max(axis=0), found[:, 1].min(axis=0)])


def _thinned(load: SeatLoad, maps: Sequence[EffectMap], only: Ints | None) -> SeatLoad:
    """Those columns that reach the extremes of all columns together, but for `NEAR`.

    For every effect (of `only`, where given) on every arrangement of reference; the fewest that a
    greedy choice finds.
    """
    good = []
    for item in maps:
        table = item.effects(load.g, load.r)
        peak = np.abs(table).max(axis=1)
        units = np.array(item.layout.units)
        top = np.array([peak[units == unit].max(initial=0.0) for unit in units])
        rows = peak > NEGLIGIBLE * top
        if only is not None:
            rows[np.setdiff1d(np.arange(len(rows)), only)] = False
        for values in (table[rows], -table[rows]):
            best = values.max(axis=1, keepdims=True)
            good.append((values >= best - NEAR * np.abs(best))[best[:, 0] > 0.0])
    near = np.concatenate(good)
    kept: list[int] = []
    while len(near):
        column = int(near.sum(axis=0).argmax())
        kept.append(column)
        near = near[~near[:, column]]
    own = np.array(sorted(kept), dtype=np.intp)
    return SeatLoad(load.g[:, own], load.r[:, own], load.s[:, own])


def combine(
    factors_of: Sequence[Factors], lasting: Floats, passing: Floats, moves: Ints
) -> tuple[Floats, Ints]:
    """Governing values (..., states, 2, size) and the combinations they come from.

    `lasting` (..., fixed, size): effects of the permanent actions; `passing` (..., variable, 2,
    size): extremes of the others; `moves`: which effects are movements.
    """
    up, down = np.maximum(lasting, 0.0), np.minimum(lasting, 0.0)
    size = lasting.shape[-1]
    result = np.zeros((*lasting.shape[:-2], len(factors_of), 2, size))
    pick = np.zeros(result.shape, dtype=np.intp)
    for number, table in enumerate(factors_of):
        alike = np.array_equal(table.fixed[:2], table.fixed[2:])
        alike = alike and np.array_equal(table.variable[0], table.variable[1])
        for sign, (worse, better) in enumerate(((up, down), (down, up))):
            value = table.fixed[0] @ worse + table.fixed[1] @ better
            value += table.variable[0] @ passing[..., sign, :]
            if not alike:
                some = passing[..., sign, moves]
                moved = table.fixed[2] @ worse[..., moves] + table.fixed[3] @ better[..., moves]
                value[..., moves] = moved + table.variable[1] @ some
            best = value.argmax(axis=-2) if sign == 0 else value.argmin(axis=-2)
            pick[..., number, sign, :] = best
            result[..., number, sign, :] = np.take_along_axis(value, best[..., None, :], axis=-2)[
                ..., 0, :
            ]
    return result, pick


def _one(table: Floats) -> Floats:
    """(2, size) adverse part of the worst row, zero where all relieve."""
    return np.stack([np.maximum(table.max(axis=0), 0.0), np.minimum(table.min(axis=0), 0.0)])
