"""The worst combination, against a plain loop over every choice of signs."""

from itertools import product

import numpy as np
import pytest

from bedstone.actions.effects import Layout
from bedstone.schedule.analysis import ActionEffects
from bedstone.schedule.combine import combine, extremes, share
from bedstone.schedule.variable import Group, WorstOf
from bedstone.standards.combination import Combination, Term

LAYOUT = Layout(("A", "B"), ("S",))
SIZE = LAYOUT.size
FIXED = ("permanent", "surfacing")
TRAFFIC = "traffic:t"


def random_effects(seed):
    """Two permanent actions, alternatives, several at once, and a group with two parts."""
    rng = np.random.default_rng(seed)

    def table(count):
        return rng.normal(size=(count, SIZE))

    variable = {
        "thermal": WorstOf(("t1", "t2", "t3"), table(3), "one"),
        "settlement": WorstOf(("s1", "s2", "s3"), table(3), "any"),
        TRAFFIC: Group(
            (WorstOf(("v1", "v2"), table(2), "one"), WorstOf(("h+", "h-"), table(2), "one"))
        ),
    }
    return ActionEffects(
        layout=LAYOUT,
        fixed={name: rng.normal(size=SIZE) for name in FIXED},
        variable=variable,
        one_sided=np.zeros(0, dtype=np.intp),
        raising=np.zeros((SIZE, 0)),
        periods=None,
        unit_heat=np.zeros(SIZE),
        influence_error=0.0,
        residuals=(0.0, 0.0),
    )


TERMS = (
    Term("permanent", 1.35, 0.9),
    Term("surfacing", 1.5, 0.7),
    Term("settlement", 1.2, 0.0),
    Term("thermal", 0.6, 0.0),
    Term(TRAFFIC, 1.5, 0.0),
)
COMBINATIONS = (
    Combination("one", "ULS persistent", "c", TERMS),
    Combination(
        "two",
        "ULS persistent",
        "c",
        (TERMS[0], TERMS[1], Term("thermal", 1.5, 0.0), Term(TRAFFIC, 1.0, 0.0)),
        movement_terms=(TERMS[0], TERMS[1], Term("thermal", 1.8, 0.0), Term(TRAFFIC, 1.0, 0.0)),
    ),
    Combination("service", "SLS characteristic", "c", tuple(
        Term(term.action, 1.0, 1.0 if term.action in FIXED else 0.0) for term in TERMS
    )),
)  # fmt: skip


def parts_of(action):
    """Every way in which a variable action may stand: vectors, nothing among them."""
    if isinstance(action, Group):
        return [sum(c) for c in product(*(parts_of(part) for part in action.parts))]
    nothing = np.zeros(SIZE)
    if action.rule == "one":
        return [nothing, *action.table]
    return [
        sum((row for row, on in zip(action.table, keep, strict=True) if on), nothing)
        for keep in product([False, True], repeat=len(action.table))
    ]


def naive(effects, combination, lead, sense):
    """Largest sense * effect over all signs of permanent factors and all states of the others."""
    moving = LAYOUT.movements[lead]
    terms = combination.terms
    if moving and combination.movement_terms is not None:
        terms = combination.movement_terms
    choices = []
    for term in terms:
        if term.action in effects.fixed:
            value = effects.fixed[term.action][lead]
            choices.append([term.adverse * value, term.relieving * value])
        else:
            action = effects.variable[term.action]
            choices.append([term.adverse * vector[lead] for vector in parts_of(action)])
    return sense * max(sense * sum(values) for values in product(*choices))


@pytest.mark.parametrize("seed", range(4))
def test_against_a_plain_loop(seed):
    effects = random_effects(seed)
    ultimate, service = combine(effects, COMBINATIONS)
    assert (ultimate.limit_state, service.limit_state) == ("ULS persistent", "SLS characteristic")
    for found, own in ((ultimate, COMBINATIONS[:2]), (service, COMBINATIONS[2:])):
        for lead in range(0, SIZE, 3):
            for sign, sense in ((0, 1.0), (1, -1.0)):
                values = [naive(effects, item, lead, sense) for item in own]
                worst = max(values) if sense > 0 else min(values)
                assert found.value[sign, lead] == pytest.approx(worst)
                assert found.vector[sign, lead, lead] == pytest.approx(worst)
                chosen = int(found.combination[sign, lead])
                assert values[chosen] == pytest.approx(worst)


@pytest.mark.parametrize("seed", range(4))
def test_acting_effects_belong_to_one_state_of_all_actions(seed):
    """What acts with a governing extreme comes from the same cases: rebuilt from the shares."""
    effects = random_effects(seed)
    ultimate, _ = combine(effects, COMBINATIONS)
    known = extremes(effects)
    for lead in range(SIZE):
        for sign in (0, 1):
            combination = ultimate.combinations[int(ultimate.combination[sign, lead])]
            shares = [share(effects, combination, t, known, sign, lead) for t in combination.terms]
            assert sum(value for _, value, _ in shares) == pytest.approx(ultimate.value[sign, lead])
            other = (lead + 5) % SIZE
            if combination.movement_terms is not None:
                continue
            total = 0.0
            for term, (factor, _, _) in zip(combination.terms, shares, strict=True):
                if term.action in effects.fixed:
                    total += factor * effects.fixed[term.action][other]
                else:
                    total += factor * known[term.action][sign, lead, other]
            assert ultimate.vector[sign, lead, other] == pytest.approx(total)


def test_lasting_part_is_that_of_lasting_actions():
    effects = random_effects(1)
    _, service = combine(effects, COMBINATIONS)
    known = extremes(effects)["settlement"]
    dead = effects.fixed["permanent"] + effects.fixed["surfacing"]
    for sign in (0, 1):
        assert service.lasting[sign] == pytest.approx(dead[None, :] + known[sign])


def test_actions_absent_from_a_combination_do_not_count():
    effects = random_effects(2)
    only = Combination("dead", "permanent", "c", (Term("permanent", 1.0, 1.0),))
    (found,) = combine(effects, [only])
    assert np.diagonal(found.vector[0]) == pytest.approx(effects.fixed["permanent"])
    assert found.value[0] == pytest.approx(found.value[1])


def test_words_tell_the_cases():
    effects = random_effects(3)
    for lead in range(SIZE):
        text = effects.variable["settlement"].where(0, lead)
        table = effects.variable["settlement"].table[:, lead]
        assert text == ", ".join(f"s{k + 1}" for k in range(3) if table[k] > 0.0)
        best = effects.variable["thermal"].table[:, lead]
        expected = f"t{int(best.argmax()) + 1}" if best.max() > 0.0 else ""
        assert effects.variable["thermal"].where(0, lead) == expected
