"""The worst combination, against a plain loop over every choice of signs."""

from dataclasses import replace
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
        # other factors for movements, and no traffic among them
        movement_terms=(Term("permanent", 1.2, 0.8), TERMS[1], Term("thermal", 1.8, 0.0)),
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


@pytest.mark.parametrize("noise", [0.0, 1e-12, -1e-12])
def test_rounding_does_not_choose_what_acts_with_a_lead(noise):
    """A permanent action that leaves a lead alone has its relieving factor, in both senses.

    Otherwise the N beside the largest Hx would be 1.35 G or 1.00 G by the sign of a rounding error;
    and with one factor for each sense a bridge and its mirror image would differ.
    """
    effects = random_effects(5)
    lead, other = LAYOUT.index("A", "Hx"), LAYOUT.index("A", "N")
    for vector in effects.fixed.values():
        vector[lead] = noise
    (found,) = combine(effects, COMBINATIONS[:1])
    known = extremes(effects)
    dead = 0.9 * effects.fixed["permanent"][other] + 0.7 * effects.fixed["surfacing"][other]
    for sign in (0, 1):
        rest = sum(
            term.adverse * known[term.action][sign, lead, other]
            for term in TERMS
            if term.action not in FIXED
        )
        assert found.vector[sign, lead, other] == pytest.approx(dead + rest)
        told = [share(effects, COMBINATIONS[0], t, known, sign, lead)[0] for t in TERMS[:2]]
        assert told == [0.9, 0.7]


def test_what_is_small_but_more_than_rounding_still_chooses():
    effects = random_effects(6)
    lead, other = LAYOUT.index("B", "vx"), LAYOUT.index("B", "vy")
    effects.fixed["permanent"][lead] = -1e-4
    effects.fixed["surfacing"][~LAYOUT.movements] *= 1e6  # forces in N are no measure of metres
    only = Combination("dead", "ULS persistent", "c", (TERMS[0],))
    (found,) = combine(effects, [only])
    dead = effects.fixed["permanent"][other]
    assert found.vector[:, lead, other] == pytest.approx([0.9 * dead, 1.35 * dead])


def test_of_combinations_that_come_to_the_same_the_first_is_named():
    """Also where the sums differ by their rounding, as those of the same terms in another order."""
    effects = random_effects(7)
    service = COMBINATIONS[2]
    orders = [service.terms, service.terms[::-1], service.terms[2:] + service.terms[:2]]
    same = [replace(service, name=str(n), terms=terms) for n, terms in enumerate(orders)]
    values = [combine(effects, [item])[0].value for item in same]
    assert any(np.any(other > values[0]) for other in values[1:])  # the rounding is there
    (found,) = combine(effects, same)
    assert not found.combination.any()


def test_extremes_that_are_known_are_taken():
    effects = random_effects(8)
    twice = {name: 2.0 * table for name, table in extremes(effects).items()}
    doubled = [
        replace(item, terms=tuple(
            term if term.action in FIXED else Term(term.action, 2.0 * term.adverse, 0.0)
            for term in item.terms
        ))
        for item in COMBINATIONS[::2]
    ]  # fmt: skip
    for found, again in zip(
        combine(effects, COMBINATIONS[::2], twice), combine(effects, doubled), strict=True
    ):
        assert found.value == pytest.approx(again.value)
        assert found.vector == pytest.approx(again.vector)


def test_no_place_is_told_of_what_adds_nothing():
    effects = random_effects(9)
    known = extremes(effects)
    for lead in range(SIZE):
        for action in effects.variable:
            nothing = share(effects, COMBINATIONS[0], Term(action, 0.0, 0.0), known, 0, lead)
            assert nothing == (0.0, 0.0, "")
    absent = share(effects, COMBINATIONS[0], Term("wind", 1.5, 0.0), known, 0, 0)
    assert absent == (0.0, 0.0, "")


def test_limit_states_come_in_the_order_of_the_combinations():
    found = combine(random_effects(0), [COMBINATIONS[2], *COMBINATIONS[:2]])
    assert [item.limit_state for item in found] == ["SLS characteristic", "ULS persistent"]


def test_words_tell_the_cases():
    effects = random_effects(3)
    for lead in range(SIZE):
        text = effects.variable["settlement"].where(0, lead)
        table = effects.variable["settlement"].table[:, lead]
        assert text == ", ".join(f"s{k + 1}" for k in range(3) if table[k] > 0.0)
        best = effects.variable["thermal"].table[:, lead]
        expected = f"t{int(best.argmax()) + 1}" if best.max() > 0.0 else ""
        assert effects.variable["thermal"].where(0, lead) == expected
