"""Loads and traffic kept for whoever asks again: the same as made anew."""

import numpy as np
import pytest
from decks import bridge_data, stood
from test_placing import EDGES, TANDEMS, TRUCK

from bedstone.actions.cases import CaseAction
from bedstone.actions.kept import ACTIONS, Kept
from bedstone.standards.traffic import Placement, TrafficModel

LANES = (TrafficModel("lanes", "", (Placement("lanes", TANDEMS, rest=2.5e3),)),)
TRUCKS = (TrafficModel("trucks", "", (Placement("trucks", (TRUCK,)),)),)


@pytest.fixture(scope="module")
def bridge():
    return stood(bridge_data())


def places(kept, bridge, effects=None, leads=None):
    effects = effects or bridge.standing.effects
    field, _ = kept.field(bridge.condensed, bridge.deck, [effects])
    return kept.on(
        [*LANES, *TRUCKS], field, effects,
        edges=EDGES, kinks=np.zeros(0), reach=(bridge.deck.first, bridge.deck.last),
        interior=np.zeros(0, dtype=np.intp), leads=leads,
    )  # fmt: skip


def test_what_was_placed_once_is_not_placed_again(bridge):
    kept = Kept()
    first = places(kept, bridge)(LANES)
    assert places(kept, bridge)(LANES) is first
    assert places(Kept(), bridge)(LANES) is not first
    assert np.array_equal(places(Kept(), bridge)(LANES).vectors, first.vectors)
    assert not np.array_equal(places(kept, bridge)(TRUCKS).vectors, first.vectors)


def test_another_arrangement_is_not_taken_for_this_one(bridge):
    kept, own = Kept(), bridge.standing.effects
    half = type(own)(own.layout, own.matrix / 2.0)
    whole = places(kept, bridge)(LANES).vectors
    assert places(kept, bridge, half)(LANES).vectors == pytest.approx(whole / 2.0, rel=1e-9)


def test_so_many_arrangements_are_kept_and_no_more(bridge):
    own = bridge.standing.effects
    several = [type(own)(own.layout, own.matrix * factor) for factor in (1.0, 2.0, 3.0)]
    for arrangements in (0, 2):
        kept = Kept(arrangements)
        first = [places(kept, bridge, one)(TRUCKS) for one in several]
        again = [places(kept, bridge, one)(TRUCKS) for one in several]
        same = [one is two for one, two in zip(first, again, strict=True)]
        assert same == [number < arrangements for number in range(3)]


def test_traffic_for_some_effects_is_what_it_is_for_all(bridge):
    leads = bridge.layout.positions(("N", "V"))
    whole, some = places(Kept(), bridge)(LANES), places(Kept(), bridge, leads=leads)(LANES)
    assert np.abs(whole.vectors[:, leads]).max() > 0.0
    scale = np.abs(whole.vectors).max()
    assert some.vectors[:, leads] == pytest.approx(whole.vectors[:, leads], abs=1e-9 * scale)
    others = np.setdiff1d(np.arange(bridge.layout.size), leads)
    assert not some.vectors[:, others].any()


def test_actions_are_made_once_for_what_they_are():
    kept, made = Kept(), []

    def make(name):
        made.append(name)
        return (CaseAction(name, (), "one"),)

    for name in ("wind", "braking", "wind"):
        assert kept.actions(name, lambda name=name: make(name))[0].name == name
    assert made == ["wind", "braking"]
    for number in range(2 * ACTIONS):  # beyond what is kept: made again, not another's
        assert kept.actions(number, lambda number=number: make(str(number)))[0].name == str(number)
    assert kept.actions(2 * ACTIONS - 1, lambda: make("anew"))[0].name == "anew"


def test_what_was_placed_for_some_effects_is_not_taken_for_all(bridge):
    """Nor what stood between other kerbs or on another stretch of the deck."""
    own, deck, kept = bridge.standing.effects, bridge.deck, Kept(arrangements=9)
    field, _ = kept.field(bridge.condensed, deck, [own])
    middle = (deck.first + deck.last) / 2.0
    plain = {
        "edges": EDGES, "kinks": np.zeros(0), "reach": (deck.first, deck.last), "leads": None,
        "interior": np.zeros(0, dtype=np.intp),
    }  # fmt: skip
    changes = (
        {"leads": bridge.layout.positions(("N",))},
        {"leads": bridge.layout.positions(("V",))},
        {"edges": (EDGES[0], EDGES[1] - 3.0)},
        {"reach": (deck.first, middle)},
        {},
    )

    def vectors(found, change):
        return found.on([*LANES, *TRUCKS], field, own, **plain | change)(LANES).vectors

    for change in changes:
        assert np.array_equal(vectors(kept, change), vectors(Kept(), change)), change
    different = [vectors(kept, change).tobytes() for change in changes]
    assert len(set(different)) == len(changes)
