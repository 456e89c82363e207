"""From a bridge file to the schedule of bearings: the one function the rooms above call."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.actions.kept import Kept
from bedstone.articulation.arrangement import Arranged, arrange, stand
from bedstone.articulation.ground import footing
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.schema import Bridge, FamilyName, Reactions
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import ReactionData, read_tables
from bedstone.errors import CheckError
from bedstone.mechanics.frame import Floats, Ints
from bedstone.schedule.analysis import ActionEffects, Progress, analyse
from bedstone.schedule.combine import Worst, combine, extremes, share
from bedstone.schedule.context import context_of, family_name
from bedstone.schedule.facts import outline, with_user_groups
from bedstone.schedule.given import given_effects, given_structure, spoken
from bedstone.schedule.own_values import FAMILIES as FAMILIES
from bedstone.schedule.result import (
    Checks,
    Governing,
    Restraint,
    Schedule,
    SeatInfo,
    Share,
    SupportInfo,
    Uplift,
)
from bedstone.schedule.uplift import with_gaps
from bedstone.standards.family import LEADING_TRAFFIC, Family
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

#: Parts of the largest effect of a kind below which an extreme is written as zero.
NOTHING = 1e-9
#: A force locked in by `LOCKING_RANGE` kelvin below this part of a mean bearing load is not told.
LOCKED = 1e-3
LOCKING_RANGE = 30.0
#: Weight found at the bearings may differ from the weight put in by this part.
WEIGHT_ERROR = 1e-6


def make_schedule(
    bridge: Bridge, folder: Path, standard: str | None = None, progress: Progress | None = None
) -> Schedule:
    """The schedule of bearings of a bridge under a family (default: the one the file names).

    `folder`: where the CSV tables of the bridge file lie. Raises `InputError`, `UnstableError`
    (naming the free motion) and `CheckError` (a result that fails its own check).
    """
    name = family_name(standard or bridge.bridge.standard)
    tables = read_tables(bridge, folder)
    # small dense products: a second BLAS thread makes them slower, not faster
    with threadpool_limits(limits=1, user_api="blas"):
        if isinstance(bridge.superstructure, Reactions):
            assert isinstance(tables, ReactionData)
            structure = given_structure(bridge, tables)
            return schedule_of(Prepared(bridge, tables, structure, {}), name, progress)
        return schedule_of(prepare(bridge, tables), name, progress)


def examine(bridge: Bridge, folder: Path, standard: str | None = None) -> int | None:
    """Everything a schedule asks of a bridge file, without placing any traffic.

    Builds the structure, stands it on its bearings and states the actions of a family. Returns the
    degree of statical indeterminacy at the bearings, None for reactions brought from elsewhere.
    Raises what `make_schedule` would.
    """
    name = family_name(standard or bridge.bridge.standard)
    tables = read_tables(bridge, folder)
    with threadpool_limits(limits=1, user_api="blas"):
        if isinstance(bridge.superstructure, Reactions):
            make_schedule(bridge, folder, name)  # nothing but sums: quick
            return None
        prepared = prepare(bridge, tables)
        structure = prepared.structure
        context = context_of(prepared, name)
        family, values, facts = context.family, context.values, context.facts
        functions = arrangement_functions(bridge, tables)
        point = bridge.arrangement.fixed_point
        arranged = arrange(structure, list(bridge.support), functions, point)
        plain = bridge.actions.model_copy(update={"traffic": None})
        quiet = replace(prepared, bridge=bridge.model_copy(update={"actions": plain}))
        analyse(quiet, arranged, family, values, facts, ())
        family.lines(values, facts)
        final = prepared.condensed[prepared.final]
        return stand(structure, list(bridge.support), final, arranged).supported.redundancy


@dataclass(frozen=True)
class Bounded:
    """What was found with one stiffness below the bearings (`bound`).

    `states`: the worst combination of each limit state; `extremes`: of each variable action.
    """

    bound: str
    effects: ActionEffects
    states: tuple[Worst, ...]
    extremes: Mapping[str, Floats]


def schedule_of(
    prepared: Prepared,
    name: FamilyName,
    progress: Progress | None = None,
    threads: int | None = None,
    *,
    kept: Kept | None = None,
    only: Collection[str] | None = None,
) -> Schedule:
    """The schedule of a prepared bridge on the arrangement of its file.

    `threads`: for the stiffnesses below, side by side; as many as there are of them if not told.
    `kept`: loads and traffic of this bridge that may be there already. `only`: names of effects
    (seats' and supports') that are scheduled; with it the uplifts are those of their cases alone.
    """
    bridge, structure = prepared.bridge, prepared.structure
    context = context_of(prepared, name)
    family, values, facts = context.family, context.values, context.facts
    bounds, users = context.bounds, context.users
    functions = arrangement_functions(bridge, prepared.tables)
    arranged = arrange(structure, list(bridge.support), functions, bridge.arrangement.fixed_point)

    def work(number: int) -> Bounded:
        if isinstance(prepared.tables, ReactionData):
            leading = LEADING_TRAFFIC.get((family.name, bridge.bridge.use))
            effects = given_effects(bridge, structure, arranged, prepared.tables, leading)
        else:
            part = _part(progress, number, len(bounds))
            effects = analyse(
                prepared, arranged, family, values, facts, context.groups,
                whole=context.whole, bound=bounds[number], progress=part,
                kept=kept, only=only,
            )  # fmt: skip
        present = [*effects.fixed, *effects.variable]
        base = [name for name in present if name.partition(":")[2] not in dict(users)]
        if isinstance(prepared.tables, ReactionData):
            combinations = spoken(bridge, effects, family, values)
        else:
            combinations = with_user_groups(family.combinations(values, base), users)
        known = extremes(effects)
        return Bounded(bounds[number], effects, combine(effects, combinations, known), known)

    # the bounds share nothing but what they read, and most of the work leaves the interpreter free
    with ThreadPoolExecutor(max_workers=threads or len(bounds)) as pool:
        found = list(pool.map(work, range(len(bounds))))
    if progress is not None:
        progress(1, 1, "writing the schedule")
    return _schedule(prepared, arranged, family, values, facts, found, only)


def _part(progress: Progress | None, number: int, count: int) -> Progress | None:
    """Progress of one of several equal rounds."""
    if progress is None or count == 1:
        return progress
    return lambda done, total, text: progress(number * total + done, count * total, text)


def _schedule(
    prepared: Prepared,
    arranged: Arranged,
    family: Family,
    values: Values,
    facts: BridgeFacts,
    found: Sequence[Bounded],
    only: Collection[str] | None,
) -> Schedule:
    bridge, structure = prepared.bridge, prepared.structure
    first = found[0].effects
    order = first.layout
    matters = _matters(found)
    if only is not None:
        matters = np.intersect1d(matters, order.positions(only)).astype(np.intp)
    seat_lines: list[Governing] = []
    support_lines: list[Governing] = []
    lifts: dict[tuple[str, str], Uplift] = {}
    for number, lead, sign in product(range(len(found[0].states)), matters, (0, 1)):
        extreme = [item.states[number].value[sign, lead] for item in found]
        worst = found[int(np.argmin(extreme) if sign else np.argmax(extreme))]
        line = _line(worst, number, sign, int(lead), lifts, arranged)
        (seat_lines if line.place in order.seats else support_lines).append(line)
    permanent = np.asarray(sum(first.fixed.values(), np.zeros(order.size)))
    checks = _checks(prepared, found)
    locked = _locked(prepared, first, family, values, facts)
    notes = list(first.notes)
    if bridge.actions.seismic is not None and first.periods and "seismic" not in first.variable:
        notes.append(f"earthquake: the file holds no entries for {family.title}")
    redundancy = _plan_redundancy(prepared, arranged)
    if redundancy > 0:
        notes.append(
            "bearings are held in plan without clearance: where more of them hold than statics "
            "needs, the play of guides and pins lowers the forces shown"
        )
    set_at = bridge.arrangement.set_at
    return Schedule(
        bridge=bridge.bridge.name,
        reference=bridge.bridge.reference,
        standard=family.name,
        standard_title=family.title,
        edition=_editions(values),
        arrangement=bridge.arrangement.name,
        limit_states=tuple(worst.limit_state for worst in found[0].states),
        seats=_seat_infos(prepared, arranged, first),
        supports=tuple(_support_info(prepared, mark) for mark in order.supports),
        seat_lines=tuple(seat_lines),
        support_lines=tuple(support_lines),
        permanent_seats={
            mark: _floats(permanent[order.seat_block(i)]) for i, mark in enumerate(order.seats)
        },
        permanent_supports={
            mark: _floats(permanent[order.support_block(i)])
            for i, mark in enumerate(order.supports)
        },
        set_at=set_at or "before the first stage",
        redundancy=redundancy,
        locked=locked,
        uplift=tuple(lifts.values()),
        periods=first.periods,
        calculations=family.lines(values, facts),
        memory=tuple(values.from_memory()),
        notes=tuple(notes),
        checks=checks,
        outline=outline(bridge, structure),
    )


def _matters(found: Sequence[Bounded]) -> Ints:
    """Effects that are something in some limit state (not the force in a free direction)."""
    tables = [np.abs(worst.value) for item in found for worst in item.states]
    own = np.max(tables, axis=(0, 1))
    units = np.array(found[0].effects.layout.units)
    top = np.array([own[units == unit].max() for unit in units])
    return np.flatnonzero(own > NOTHING * top).astype(np.intp)


def _line(
    found: Bounded,
    number: int,
    sign: int,
    lead: int,
    lifts: dict[tuple[str, str], Uplift],
    arranged: Arranged,
) -> Governing:
    """The governing line of one effect in one limit state; keeps its uplifts in `lifts`."""
    effects, worst = found.effects, found.states[number]
    order = effects.layout
    place, effect = order.name(lead)
    combination = worst.combinations[int(worst.combination[sign, lead])]
    vector, contact = with_gaps(
        effects, worst, combination, worst.vector[sign, lead], lifts, arranged
    )
    block = (
        order.seat_block(order.seats.index(place))
        if place in order.seats
        else order.support_block(order.supports.index(place))
    )
    shares = []
    for term in combination.terms:
        factor, value, where = share(effects, combination, term, found.extremes, sign, lead)
        if value != 0.0:
            shares.append(Share(term.action, factor, value, where))
    shares.sort(key=lambda item: -abs(item.value))
    return Governing(
        place=place,
        effect=effect,
        sense=("max", "min")[sign],
        value=float(vector[lead]),
        acting=_floats(vector[block]),
        irreversible=_floats(worst.lasting[sign, lead][block]),
        combination=combination.name,
        clause=combination.clause,
        limit_state=worst.limit_state,
        bound=found.bound,
        shares=tuple(shares),
        contact=contact,
    )


def _checks(prepared: Prepared, bounded: Sequence[Bounded]) -> Checks:
    """Residuals of the analysis; refuses a result whose weight does not reach the bearings."""
    effects = bounded[0].effects
    order = effects.layout
    applied = sum(load.total for load in prepared.structure.loads)
    normal = [order.index(mark, "N") for mark in order.seats]
    found = sum(
        float(vector[normal].sum())
        for name, vector in effects.fixed.items()
        if name in ("permanent", "surfacing")
    )
    if prepared.condensed and abs(found - applied) > WEIGHT_ERROR * max(abs(applied), 1.0):
        raise CheckError(
            f"the bearings carry {found / 1e3:.1f} kN of a weight of {applied / 1e3:.1f} kN"
        )
    residuals = [item.residuals for item in prepared.condensed.values()]
    return Checks(
        equilibrium=max(item.effects.residuals[0] for item in bounded),
        compatibility=max(item.effects.residuals[1] for item in bounded),
        symmetry=max((item.symmetry for item in residuals), default=0.0),
        rigid_body=max((item.rigid_body for item in residuals), default=0.0),
        solution=max((item.solution for item in residuals), default=0.0),
        influence_error=max(item.effects.influence_error for item in bounded),
        weight_applied=float(applied),
        weight_found=found,
    )


def _locked(
    prepared: Prepared,
    effects: ActionEffects,
    family: Family,
    values: Values,
    facts: BridgeFacts,
) -> tuple[Restraint, ...]:
    """Horizontal forces that a uniform change of temperature locks in, seat by seat."""
    order = effects.layout
    heat = effects.unit_heat
    thermal = family.thermal(values, facts) if prepared.bridge.actions.temperature else None
    span = max(thermal.expansion, thermal.contraction) if thermal is not None else 0.0
    weight = max(sum(load.total for load in prepared.structure.loads), 1.0)
    result = []
    for row, mark in enumerate(order.seats):
        for column, name in ((1, "along its x'"), (2, "across, along its y'")):
            force = float(heat[order.seat_block(row)][column])
            if abs(force) * LOCKING_RANGE > LOCKED * weight / len(order.seats):
                result.append(Restraint(mark, name, force, abs(force) * span))
    result.sort(key=lambda item: -abs(item.per_kelvin))
    return tuple(result)


def _plan_redundancy(prepared: Prepared, arranged: Arranged) -> int:
    """Rigidly held directions in plan beyond the three that each separate part needs."""
    parts = 1
    if prepared.condensed:
        parts = len(np.unique(prepared.condensed[prepared.final].part))
    rigid = arranged.bearings.held & (arranged.bearings.compliance == 0.0)
    held = int(rigid[:, :2].sum()) + int(rigid[:, 5].sum())
    return max(held - 3 * parts, 0)


def _seat_infos(
    prepared: Prepared, arranged: Arranged, effects: ActionEffects
) -> tuple[SeatInfo, ...]:
    result = []
    for row, (place, seat) in enumerate(zip(prepared.structure.seats, arranged.seats, strict=True)):
        sprung = arranged.bearings.held[row] & (arranged.bearings.compliance[row] > 0.0)
        result.append(
            SeatInfo(
                mark=place.mark,
                support=place.support,
                function=seat.function,
                angle=float(arranged.angles[row]),
                point=place.point,
                held=tuple(bool(v) for v in arranged.bearings.held[row]),
                sprung=tuple(bool(v) for v in sprung),
                kind=seat.kind or "",
                friction=effects.frictions.get(place.mark),
            )
        )
    return tuple(result)


def _support_info(prepared: Prepared, mark: str) -> SupportInfo:
    support = next(item for item in prepared.bridge.support if item.mark == mark)
    place = footing(prepared.structure, support)
    return SupportInfo(
        mark=mark,
        chainage=support.chainage,
        skew=support.skew,
        angle=place.angle,
        depth=float(place.point[2] - place.base[2]),
        below=support.below.kind,
    )


def _editions(values: Values) -> str:
    """Standards and editions whose values were used."""
    pairs = {(v.standard, v.edition) for v in values.used.values() if v.standard != "bridge file"}
    return "; ".join(f"{standard} ({edition})" if edition else standard
                     for standard, edition in sorted(pairs))  # fmt: skip


def _floats(row: Floats) -> tuple[float, ...]:
    return tuple(row.tolist())
