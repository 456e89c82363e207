"""Trains of IRC:6 and what of them stands on a length."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.standards.irc import trains
from bedstone.standards.values import Values

VALUES = Values("irc")


def end_reaction(train, span):
    """Reaction (N) of a simple span: each axle over the support in turn, those before it off."""
    ahead = [(axle.position, axle.force) for axle in train.axles]
    back = train.axles[-1].position
    behind = [(back - place, force) for place, force in ahead]
    return max(
        sum(f * (1 - (x - at) / span) for x, f in places if 0.0 <= x - at <= span)
        for places in (ahead, behind)
        for at, _ in places
    )


@pytest.mark.parametrize(
    ("span", "class_a", "wheeled"),
    # Own statics from the published axle data, one train (hand calculation).
    [(10, 255.1, 514.8), (15, 309.5, 658.4), (20, 357.2, 743.8), (30, 404.8, 829.2)],
)
def test_end_reactions(span, class_a, wheeled):
    assert end_reaction(trains.class_a(VALUES), span) / 1e3 == pytest.approx(class_a, abs=0.06)
    assert end_reaction(trains.wheeled_70r(VALUES), span) / 1e3 == pytest.approx(wheeled, abs=0.06)


@pytest.mark.parametrize(
    ("span", "of_70r", "of_aa"),
    # Own statics: strip at the support, 700 (1 - a / 2 L) kN (hand calculation).
    [(10, 540.0, 574.0), (20, 620.0, 637.0), (30, 646.7, 658.0), (50, 668.0, 674.8)],
)
def test_end_reactions_of_tracks(span, of_70r, of_aa):
    for train, expected in (
        (trains.tracked_70r(VALUES), of_70r),
        (trains.tracked_aa(VALUES), of_aa),
    ):
        (strip,) = train.axles
        reaction = strip.force * (1 - strip.length / 2 / span) / 1e3
        assert reaction == pytest.approx(expected, abs=0.06)


def test_tracked_vehicles_follow_nose_to_tail():
    # 90 m between vehicles of 7.92 m (from memory): strip to strip 97.92 m.
    assert trains.tracked_70r(VALUES).follow == pytest.approx(97.92)
    assert trains.tracked_aa(VALUES).follow == pytest.approx(97.20)


def test_following_trains_count_as_far_as_they_stand_on_the_length():
    train = trains.class_a(VALUES)
    first, following = trains.weights(train, 18.8)
    assert (first, following) == (pytest.approx(554e3), 0.0)
    # Next train's first axle at 38.8 m: 27 kN, at 39.9 m another 27 kN.
    assert trains.weights(train, 38.9)[1] == pytest.approx(27e3)
    assert trains.weights(train, 40.0)[1] == pytest.approx(54e3)
    assert trains.weights(train, 57.7)[1] == pytest.approx(554e3)


def test_a_short_length_holds_the_heaviest_part():
    train = trains.wheeled_70r(VALUES)
    # Two axles of 170 kN at 1.37 m; four within 5.79 m (hand count).
    assert trains.weights(train, 1.37) == (pytest.approx(340e3), 0.0)
    assert trains.weights(train, 5.80)[0] == pytest.approx(680e3)
    tracked = trains.tracked_70r(VALUES)
    assert trains.weights(tracked, 2.285)[0] == pytest.approx(350e3)


@given(st.floats(0.5, 200.0), st.floats(0.0, 20.0))
def test_more_length_never_holds_less(length, more):
    for train in (
        trains.class_a(VALUES),
        trains.wheeled_70r(VALUES),
        trains.tracked_70r(VALUES),
        trains.bogie_70r(VALUES),
    ):
        assert sum(trains.weights(train, length + more)) >= sum(trains.weights(train, length)) * (
            1 - 1e-12
        )
