"""In which senses, and with which traffic, wind acts on the deck."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from bedstone.actions.cases import wind_actions
from bedstone.standards.site import WindPressure

WIND = WindPressure(
    across=3000.0,
    across_traffic=5000.0,
    along_share=0.25,
    vertical=9000.0,
    vertical_eccentricity=3.0,
    height=-1.0,
    height_traffic=0.5,
)


class Deck:
    """A straight deck 12 m wide and 10 m long that only adds up: along, across, up, its moment."""

    left, right, first, last = 6.0, -6.0, 0.0, 10.0

    def limits(self, offset):
        return np.full(len(offset), self.first), np.full(len(offset), self.last)

    def horizontal_load(self, frame, along, across, height, first, last):
        return np.array([along, across, 0.0, 0.0]) * (last - first)

    def line_load(self, frame, load, offset, first, last):
        return np.array([0.0, 0.0, -load, -load * offset]) * (last - first)


@pytest.fixture
def actions():
    state = SimpleNamespace(deck=Deck(), frame=None, name="short")
    condensed = SimpleNamespace(load=lambda vector: vector)
    return lambda wind: {
        action.name: [case.load for case in action.cases]
        for action in wind_actions(state, condensed, wind)
    }


def test_vertical_wind_acts_up_and_down_with_and_without_traffic(actions):
    for loads in actions(WIND).values():
        assert {load[2] for load in loads} == {-90e3, 0.0, 90e3}


def test_lift_alone_and_not_with_traffic(actions):
    # AASHTO LRFD 3.8.2, from memory: upward, where there is no wind on live load.
    found = actions(replace(WIND, lift_only=True, vertical_with_traffic=False))
    assert {load[2] for load in found["wind"]} == {0.0, 90e3}
    assert {load[2] for load in found["wind with traffic"]} == {0.0}
    assert {load[1] for load in found["wind with traffic"]} == {-50e3, 0.0, 50e3}


def test_lift_stands_to_windward(actions):
    for load in actions(WIND)["wind"]:
        if load[2] > 0.0:
            # Wind to the left (+) comes from the right: the lift stands at the right (-).
            assert load[3] / load[2] == pytest.approx(-3.0 * np.sign(load[1]))
