"""What combinations of every family go through before they are handed on."""

from bedstone.standards.combination import Combination, Term, distinct, short
from bedstone.standards.interpolation import between

DEAD, LIVE, HEAT = Term("permanent", 1.35, 1.0), Term("traffic:a", 1.5, 0.0), Term("thermal", 1, 0)


def one(name, *terms, state="ULS persistent", movement=None):
    return Combination(name, state, "clause", terms, "traffic:a", movement)


def test_absent_actions_drop_out_and_so_does_what_then_is_equal():
    found = distinct([one("a", DEAD, LIVE, HEAT), one("b", LIVE, DEAD)], {"permanent", "traffic:a"})
    assert [(c.name, c.terms) for c in found] == [("a", (DEAD, LIVE))]
    assert distinct([one("a", DEAD)], set()) == ()


def test_other_states_and_other_movements_are_other_combinations():
    hot = (DEAD, Term("thermal", 1.2, 0))
    found = distinct(
        [
            one("a", DEAD, HEAT),
            one("b", DEAD, HEAT, movement=hot),
            one("c", DEAD, HEAT, state="SLS frequent"),
            one("d", HEAT, DEAD, movement=hot),
        ],
        {"permanent", "thermal"},
    )
    assert [c.name for c in found] == ["a", "b", "c"]
    assert found[1].movement_terms == hot


def test_movements_like_the_forces_are_not_said_twice():
    moved = (DEAD, Term("thermal", 1.2, 0))
    (found,) = distinct([one("a", DEAD, HEAT, movement=moved)], {"permanent"})
    assert found.movement_terms is None


def test_short_names():
    assert short("traffic:gr1a") == "gr1a"
    assert short("thermal") == "thermal"


def test_straight_lines_between_the_figures_of_a_table():
    points, row = (0.0, 10.0, 30.0), (1.0, 2.0, 0.0)
    assert [between(x, points, row) for x in (-5.0, 0.0, 5.0, 10.0, 20.0, 30.0, 99.0)] == [
        1.0, 1.0, 1.5, 2.0, 1.0, 0.0, 0.0,
    ]  # fmt: skip
