"""Combine the actions: for every effect the worst combination of every limit state.

A permanent action takes one factor as a whole, by what it does to the effect that leads: the
adverse one where it makes that worse, else the relieving one, also where it leaves it alone: then
rounding decides nothing, and an arrangement and its mirror image come to the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from bedstone.actions.effects import Layout
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.schedule.analysis import ActionEffects
from bedstone.schedule.variable import Variable
from bedstone.standards.combination import Combination, Term

#: Actions with a lasting effect: factored as a whole, their movements are irreversible.
LASTING = ("permanent", "surfacing", "jacking", "shrinkage", "settlement")
#: A permanent action leaves an effect alone below this part of the largest permanent one of its
#: unit: far above rounding, far below what matters.
ALONE = 1e-7


@dataclass(frozen=True)
class Worst:
    """The governing combination of one limit state for every lead and sign.

    - `value` (2, size); `vector` (2, size, size) acting effects; `lasting` the part of `vector`
      from lasting actions
    - `combination` (2, size) index into `combinations`
    """

    limit_state: str
    combinations: tuple[Combination, ...]
    value: Floats
    vector: Floats
    lasting: Floats
    combination: Ints


def combine(
    effects: ActionEffects,
    combinations: Sequence[Combination],
    vectors: Mapping[str, Floats] | None = None,
) -> tuple[Worst, ...]:
    """The worst of all combinations, one `Worst` for each limit state in the order given.

    `vectors`: the extremes of the variable actions, if already worked out.
    """
    size = effects.layout.size
    known = vectors or extremes(effects)
    worsens = {name: _worsens(effects, vector) for name, vector in effects.fixed.items()}
    diagonals = {name: np.diagonal(table, axis1=1, axis2=2).copy() for name, table in known.items()}
    result = []
    for state in dict.fromkeys(item.limit_state for item in combinations):
        own = tuple(item for item in combinations if item.limit_state == state)
        value = np.full((2, size), -np.inf)
        index = np.zeros((2, size), dtype=np.intp)
        for number, item in enumerate(own):
            for sign, sense in ((0, 1.0), (1, -1.0)):
                lead = sense * _leads(effects, item, diagonals, worsens, sign)
                better = lead > value[sign] + 1e-9 * np.abs(lead)
                value[sign, better] = lead[better]
                index[sign, better] = number
        value[1] *= -1.0
        # what acts with a lead is summed in the one combination that governs it
        vector = np.zeros((2, size, size))
        lasting = np.zeros((2, size, size))
        for number, item in enumerate(own):
            for sign in range(2):
                leads = np.flatnonzero(index[sign] == number)
                if leads.size:
                    total, slow = _acting(effects, item, known, worsens, sign, leads)
                    vector[sign, leads], lasting[sign, leads] = total, slow
        result.append(Worst(state, own, value, vector, lasting, index))
    return tuple(result)


def extremes(effects: ActionEffects) -> dict[str, Floats]:
    """(2, size, size) extremes of each variable action, worked out once."""
    return {name: action.vectors for name, action in effects.variable.items()}


def factors(combination: Combination, term: Term) -> tuple[float, float, float, float]:
    """(adverse, relieving) for forces, then for movements, of one action in a combination."""
    moved = term
    if combination.movement_terms is not None:
        none = Term(term.action, 0.0, 0.0)
        moved = next(
            (item for item in combination.movement_terms if item.action == term.action), none
        )
    return term.adverse, term.relieving, moved.adverse, moved.relieving


def _worsens(effects: ActionEffects, vector: Floats) -> Bools:
    """(2, size) whether a permanent action raises an effect, and whether it lowers it."""
    result = np.zeros((2, len(vector)), dtype=bool)
    for unit, places in _alike(effects.layout).items():
        least = _alone(effects, unit)
        result[:, places] = vector[places] > least, vector[places] < -least
    return result


def _alone(effects: ActionEffects, unit: str) -> float:
    """Size below which a permanent action leaves effects of this unit alone."""
    places = _alike(effects.layout)[unit]
    return ALONE * max(float(np.abs(vector[places]).max()) for vector in effects.fixed.values())


@lru_cache(maxsize=16)
def _alike(layout: Layout) -> dict[str, Ints]:
    """Positions of the effects of each unit."""
    units = np.array(layout.units)
    return {unit: np.flatnonzero(units == unit) for unit in dict.fromkeys(layout.units)}


def _leads(
    effects: ActionEffects,
    combination: Combination,
    own: Mapping[str, Floats],
    worsens: Mapping[str, Bools],
    sign: int,
) -> Floats:
    """(size,) what each lead comes to in a combination.

    `own` (2, size) its part of each variable action; `worsens` (2, size) whether a permanent one
    makes it worse.
    """
    moves = effects.layout.movements
    total = np.zeros(effects.layout.size)
    for term in combination.terms:
        adverse, relieving, moved_adverse, moved_relieving = factors(combination, term)
        worse = np.where(moves, moved_adverse, adverse)
        if term.action in effects.fixed:
            vector = effects.fixed[term.action]
            better = np.where(moves, moved_relieving, relieving)
            total += np.where(worsens[term.action][sign], worse, better) * vector
        elif term.action in own:
            total += own[term.action][sign] * worse
    return total


def _acting(
    effects: ActionEffects,
    combination: Combination,
    known: Mapping[str, Floats],
    worsens: Mapping[str, Bools],
    sign: int,
    leads: Ints,
) -> tuple[Floats, Floats]:
    """(k, size) all effects in a combination for k leads of one sign; and the lasting part."""
    moves = effects.layout.movements
    total = np.zeros((len(leads), effects.layout.size))
    slow = np.zeros_like(total)
    for term in combination.terms:
        adverse, relieving, moved_adverse, moved_relieving = factors(combination, term)
        worse = np.where(moves, moved_adverse, adverse)
        if term.action in effects.fixed:
            vector = effects.fixed[term.action]
            better = np.where(moves, moved_relieving, relieving)
            # the factor of the whole action goes by what it does to the lead
            adds = worsens[term.action][sign, leads][:, None]
            part = np.where(adds, worse * vector, better * vector)
            total += part
            slow += part
        elif term.action in known:
            part = known[term.action][sign, leads] * worse
            total += part
            if term.action in LASTING:
                slow += part
    return total, slow


def share(
    effects: ActionEffects,
    combination: Combination,
    term: Term,
    known: Mapping[str, Floats],
    sign: int,
    lead: int,
) -> tuple[float, float, str]:
    """(factor, contribution to the lead, where) of one action in a governing combination."""
    adverse, relieving, moved_adverse, moved_relieving = factors(combination, term)
    if effects.layout.movements[lead]:
        adverse, relieving = moved_adverse, moved_relieving
    sense = 1.0 if sign == 0 else -1.0
    if term.action in effects.fixed:
        value = float(effects.fixed[term.action][lead])
        # as `_worsens`, with a look at the others only where it is needed
        adds = sense * value > 0.0 and abs(value) > _alone(effects, effects.layout.units[lead])
        factor = adverse if adds else relieving
        return factor, factor * value, ""
    action: Variable | None = effects.variable.get(term.action)
    if action is None:
        return 0.0, 0.0, ""
    value = float(known[term.action][sign, lead, lead])
    part = adverse * value
    return adverse, part, action.where(sign, lead) if part else ""
