"""The comparison of all arrangements: filters, ranking, Pareto set, reasons, going on again."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.comparison import compare as module
from bedstone.comparison.compare import (
    OBJECTIVES,
    _front,
    _order,
    compare,
    reason,
    references,
)
from bedstone.comparison.generate import generate
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.store import Store
from bedstone.errors import InputError

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def truss():
    bridge = read_bridge(ROOT / "examples/truss.toml")
    return prepare(bridge, read_tables(bridge, ROOT / "examples"))


@pytest.fixture(scope="module")
def curved():
    bridge = read_bridge(ROOT / "examples/curved.toml")
    return prepare(bridge, read_tables(bridge, ROOT / "examples"))


@pytest.fixture(scope="module")
def compared(truss):
    return compare(truss, "eurocode")


def test_every_arrangement_is_counted_once(compared):
    found = compared.arrangements
    assert found.weight.sum() + sum(item.count for item in found.dropped) == found.total
    assert compared.complete
    assert compared.keeps.sum() == len(compared.order) == len(found)


def test_measures_of_the_shown_are_those_of_the_bulk(compared):
    for item in compared.best:
        place = compared.order[item.rank - 1]
        for name in OBJECTIVES:
            bulk, shown = compared.measures[name][place], item.measures[name]
            assert bulk == pytest.approx(shown, rel=2e-3, abs=50.0 if name != "movement" else 1e-4)


def test_best_are_in_order_and_worked_out_in_full(compared):
    first = [item.measures["abutment force"] for item in compared.best]
    assert first == sorted(first) or np.allclose(first, first[0], rtol=module.ALIKE)
    for item in (compared.today, *compared.best):
        assert compared.whole[item.name].change < 0.01


def test_the_fixed_end_takes_the_braking_wherever_it_is(truss):
    """Longitudinal forces of a simple span go to its fixed end (common practice, no source)."""
    bridge = truss.bridge
    limits = parse_limits(["A2.Hx < 600 kN"], bridge)
    found = compare(truss, "eurocode", limits, full=False)
    for index in found.order:
        functions = found.arrangements.functions(int(index))
        along = {mark[:2] for mark, seat in functions.items()
                 if seat.function in ("fixed", "guided across")}  # fmt: skip
        assert along == {"A1"}


def test_the_limit_that_excludes_the_last_is_named(truss):
    limits = parse_limits(["A1.Fx < 2 MN", "A2.Hx < 10 kN", "A1.Hx < 1 kN"], truss.bridge)
    with pytest.raises(InputError) as caught:
        compare(truss, "eurocode", limits)
    (fault,) = caught.value.faults
    assert (fault.file, fault.where) == ("command line", "--limit: A2.Hx < 10 kN")
    assert "kN" in fault.allowed


def test_a_limit_counts_in_both_senses(curved):
    """The size of a force, also where its largest value toward minus governs."""
    compared = compare(curved, "eurocode", full=False)
    tops, lows = compared.tops, compared.lows
    deep = (-lows > 1.05 * tops + 1e3) & np.array(
        [[effect in ("Hx", "Hy", "Fx", "Fy", "Mx", "My") for _, effect in compared.columns]]
    )
    row, column = np.argwhere(deep)[0]
    place, effect = compared.columns[column]
    between = (max(float(tops[row, column]), 0.0) - float(lows[row, column])) / 2.0
    unit = "kN*m" if effect.startswith("M") else "kN"
    (told,) = parse_limits([f"{place}.{effect} < {between / 1e3:.3f} {unit}"], curved.bridge)
    assert told.kept(tops[row, column], lows[row, column]) == False  # noqa: E712 a numpy bool
    try:
        found = compare(curved, "eurocode", [told], full=False)
    except InputError:
        return  # none keeps it: this one does not either
    kept = {found.arrangements.codes[int(index)].tobytes() for index in found.order}
    assert compared.arrangements.codes[row].tobytes() not in kept


def test_what_lifts_comes_after_what_stays_down(curved):
    found = compare(curved, "eurocode", full=False)
    lifts = found.lifts[found.order]
    assert lifts.any()
    assert not lifts.all()
    assert not lifts[: int((~lifts).sum())].any()
    assert not found.lifts[found.pareto].any()


def test_rules_that_hold_nothing_name_the_motion(truss):
    rules = truss.bridge.compare.rules.model_copy(update={"supports_along": [0, 0]})
    changed = truss.bridge.compare.model_copy(update={"rules": rules})
    loose = replace(truss, bridge=truss.bridge.model_copy(update={"compare": changed}))
    with pytest.raises(InputError, match="slides freely along the bridge"):
        compare(loose, "eurocode")


def test_twins_have_twin_numbers(truss):
    """What traffic makes worst on one side is looked for on the other too."""
    found = generate(truss)
    others = references(truss, found)
    own = {m: s.function for m, s in found.passed_on.own.items()}
    assert any(
        {m: s.function for m, s in one.items()} != own
        and sorted(s.function for s in one.values()) == sorted(own.values())
        for one in others
    )


@pytest.mark.parametrize("objective", ["abutments", "A1-9.Hx", "A1.vx", "A1-1.rx"])
def test_an_unknown_objective_tells_those_there_are(truss, objective):
    with pytest.raises(InputError, match="abutment force"):
        compare(truss, "eurocode", objective=objective)


def test_an_objective_may_name_a_place(truss):
    found = compare(truss, "eurocode", objective="A1-1.Hy", full=False)
    values = found.measures["A1-1.Hy"][found.order]
    assert values[0] == pytest.approx(values.min(), rel=module.ALIKE)


def test_an_interrupted_comparison_goes_on(truss, tmp_path, monkeypatch):
    monkeypatch.setattr(module, "CHUNK", 4)
    store = Store(tmp_path / "kept")
    whole = compare(truss, "eurocode", full=False)

    def stop(done, total, text):
        if done >= 8:
            raise KeyboardInterrupt

    part = compare(truss, "eurocode", full=False, store=store, progress=stop)
    assert not part.complete
    assert 0 < part.done < len(part.arrangements)
    kept = store.within(part.arrangements.codes)
    assert kept.read(0) is not None
    calls = []
    original = module.Survey.some
    monkeypatch.setattr(
        module.Survey, "some", lambda self, *rest: calls.append(1) or original(self, *rest)
    )
    again = compare(truss, "eurocode", full=False, store=store)
    assert len(calls) < 1 + len(range(0, len(again.arrangements), 4))
    assert np.array_equal(again.order, whole.order)
    store.clear()
    assert kept.read(0) is None


def test_a_spoilt_part_is_worked_out_again(truss, tmp_path):
    store = Store(tmp_path / "kept")
    compare(truss, "eurocode", full=False, store=store)
    file = next(store.folder.rglob("*.npz"))
    file.write_bytes(file.read_bytes()[:100])
    assert store.within(generate(truss).codes).read(0) is None
    assert compare(truss, "eurocode", full=False, store=store).complete


def test_stores_of_other_questions_are_apart(truss, tmp_path):
    one = Store.of(truss.bridge, truss.tables, "eurocode", tmp_path)
    other = truss.bridge.model_copy(
        update={"actions": truss.bridge.actions.model_copy(update={"friction": False})}
    )
    assert one == Store.of(truss.bridge, truss.tables, "eurocode", tmp_path)
    assert one != Store.of(other, truss.tables, "eurocode", tmp_path)
    assert one != Store.of(truss.bridge, truss.tables, "irc", tmp_path)


def test_a_reason_tells_what_changes(compared):
    assert reason(compared.today, compared.today) == ("the arrangement of today",)
    other = next(item for item in compared.best if item.functions != compared.today.functions)
    assert reason(compared.today, other)[0].startswith("changes ")


@given(arrays(float, st.tuples(st.integers(1, 40), st.just(3)),
              elements=st.floats(1.0, 100.0)))  # fmt: skip
def test_nothing_beats_the_pareto_set(table):
    kept = _front(table)
    assert len(kept)
    step = np.abs(table).min(axis=0) * module.ALIKE
    for row in table:
        # someone of the set is as good as any row, but for the step
        assert ((table[kept] <= row + 1.01 * step).all(axis=1)).any()
    for one in kept:
        better = (table[kept] < table[one] - 1.01 * step).all(axis=1)
        assert not better.any()


@given(arrays(float, st.integers(1, 30), elements=st.floats(1.0, 100.0)))
def test_order_rises_but_for_what_is_alike(target):
    order = _order(target, np.ones((len(target), 2)))
    assert sorted(order) == list(range(len(target)))
    step = target.min() * module.ALIKE
    assert (np.diff(target[order]) >= -1.01 * step).all()
