"""Whole schedules in equilibrium: what acts on the supports together is what was applied.

Statics of the whole bridge, straight, so that the axes of all supports agree.
"""

import numpy as np
import pytest
from decks import bridge_data

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.schedule.analysis import analyse
from bedstone.schedule.combine import combine, extremes, share
from bedstone.schedule.context import family_of
from bedstone.schedule.facts import bridge_facts
from bedstone.standards.values import Values

ACTIONS = {
    "traffic": {"right": "-4.2 m", "left": "4.2 m"},
    "temperature": {"air_min": "-15 degC", "air_max": "36 degC", "setting": "10 degC"},
    "wind": {"pressure": "1.1 kPa", "depth": "2.5 m"},
    "settlement": [{"support": "S2", "value": "10 mm"}],
    "shrinkage": {"strain": 0.0002},
}
_DONE: dict = {}


def analysed(family_name):
    """Effects, combinations and their worst of a skewed bridge on columns, all actions."""
    if family_name in _DONE:
        return _DONE[family_name]
    data = bridge_data(spans=(22.0, 18.0), skew=25.0, mesh="3 m")
    column = {"kind": "column", "height": "7 m", "along": "1 m", "across": "5 m", "E": "30 GPa"}
    data["support"][1]["below"] = column
    data["actions"] = ACTIONS
    bridge = Bridge.model_validate(data)
    prepared = prepare(bridge)
    facts = bridge_facts(bridge, prepared.structure, family_name)
    family, values = family_of(family_name).with_choices(facts.choices), Values(family_name)
    arranged = arrange(
        prepared.structure, list(bridge.support), arrangement_functions(bridge, None)
    )
    groups = family.traffic(values, facts)
    effects = analyse(prepared, arranged, family, values, facts, groups)
    combinations = family.combinations(values, [*effects.fixed, *effects.variable])
    known = extremes(effects)
    _DONE[family_name] = (prepared, groups, effects, known, combine(effects, combinations, known))
    return _DONE[family_name]


def totals(effects, vectors):
    """(..., 3) sums of V, Fx, Fy over the supports."""
    order = effects.layout
    return np.stack(
        [
            sum(vectors[..., order.index(mark, name)] for mark in order.supports)
            for name in ("V", "Fx", "Fy")
        ],
        axis=-1,
    )


FAMILIES = ["eurocode", "aashto", "irc"]


@pytest.mark.parametrize("family", FAMILIES)
def test_imposed_movements_and_friction_have_no_resultant(family):
    _, _, effects, known, _ = analysed(family)
    names = {"thermal", "settlement", "friction"} & set(known)
    assert {"thermal", "settlement", "friction"} == names
    for name in names:
        size = np.abs(known[name]).max()
        assert size > 1e3
        assert np.abs(totals(effects, known[name])).max() < 1e-7 * size
    assert np.abs(totals(effects, effects.fixed["shrinkage"])).max() < 1e-3


@pytest.mark.parametrize("family", FAMILIES)
def test_permanent_loads_arrive_whole(family):
    prepared, _, effects, _, _ = analysed(family)
    weight = sum(load.total for load in prepared.structure.loads)
    found = totals(effects, effects.fixed["permanent"] + effects.fixed.get("surfacing", 0.0))
    assert found == pytest.approx([weight, 0.0, 0.0], rel=1e-9, abs=1e-6 * weight)


@pytest.mark.parametrize("family", FAMILIES)
def test_traffic_brings_its_own_horizontal_forces_and_presses_down(family):
    _, groups, effects, known, _ = analysed(family)
    for group in groups:
        found = totals(effects, known[f"traffic:{group.name}"])
        assert found[..., 0].min() > -1e-3  # traffic never lifts the whole bridge
        along = {0.0}
        across = {0.0}
        for force, factor in group.horizontals:
            if force.along:
                along |= {factor * force.along, -factor * force.along}
            if force.across:
                across |= {factor * force.across, -factor * force.across}
        for value, allowed in ((found[..., 1], along), (found[..., 2], across)):
            for one in np.unique(np.round(value, 2)):
                assert min(abs(one - other) for other in allowed) < 1.0


@pytest.mark.parametrize("family", FAMILIES)
def test_governing_lines_are_the_sum_of_their_actions(family):
    """Sum over the supports of a whole governing vector = factors times what each action brings."""
    _, _, effects, known, worst = analysed(family)
    count = 0
    for state in worst:
        for lead in range(0, effects.layout.size, 3):
            for sign in (0, 1):
                combination = state.combinations[int(state.combination[sign, lead])]
                if combination.movement_terms is not None and effects.layout.movements[lead]:
                    continue
                expected = np.zeros(3)
                for term in combination.terms:
                    factor, _, _ = share(effects, combination, term, known, sign, lead)
                    if term.action in effects.fixed:
                        expected += factor * totals(effects, effects.fixed[term.action])
                    elif term.action in known:
                        expected += factor * totals(effects, known[term.action][sign, lead])
                found = totals(effects, state.vector[sign, lead])
                assert found == pytest.approx(expected, rel=1e-9, abs=1.0)
                count += 1
    assert count > 100


@pytest.mark.parametrize("family", FAMILIES)
def test_seats_of_a_support_add_up_to_it_at_every_moment(family):
    """V = sum of N, Fx and Fy = sums of the seats' forces along and across, for every extreme."""
    prepared, _, effects, _, worst = analysed(family)
    order = effects.layout
    for state in worst:
        vectors = state.vector
        for mark in order.supports:
            own = [seat.mark for seat in prepared.structure.seats if seat.support == mark]
            for name, seat_name in (("V", "N"), ("Fx", "Hx"), ("Fy", "Hy")):
                total = sum(vectors[..., order.index(seat, seat_name)] for seat in own)
                found = vectors[..., order.index(mark, name)]
                assert np.abs(found - total).max() < 1e-6 * max(np.abs(found).max(), 1.0)
