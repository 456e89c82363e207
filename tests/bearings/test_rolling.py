"""Kinematics of rollers against points of the geometry moved one by one."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from bedstone.bearings import rolling
from bedstone.errors import BedstoneError


@given(st.floats(-0.3, 0.3), st.floats(0.03, 0.5))
def test_rolling_without_slip(movement, radius):
    # The point of the roller on the lower plate stands still, the one on the upper plate moves with
    # the superstructure: velocity = centre + turning x arm.
    centre, angle = rolling.roller_travel(movement), rolling.rolling_angle(movement, radius)
    assert centre - radius * angle == pytest.approx(0.0, abs=1e-12)
    assert centre + radius * angle == pytest.approx(movement)


def test_stop_ends_the_travel_at_twice_the_gap():
    assert rolling.travel_to_stop(0.03) == pytest.approx(0.06)
    assert rolling.stop_gap(-0.06) == pytest.approx(0.03)
    assert rolling.roller_travel(rolling.travel_to_stop(0.03)) == pytest.approx(0.03)


def test_segments():
    assert rolling.segment_limit(0.2, 0.1) == pytest.approx(math.pi / 2)
    assert rolling.segment_limit(0.1, 0.1) == pytest.approx(math.radians(30))
    with pytest.raises(BedstoneError, match="not cut"):
        rolling.segment_limit(0.21, 0.1)


@pytest.mark.parametrize("width", [0.08, 0.14, 0.2])
def test_area_of_a_segment(width):
    summed = quad(lambda x: 2 * math.sqrt(0.1**2 - x**2), -width / 2, width / 2)[0]
    assert rolling.segment_area(width, 0.1) == pytest.approx(summed, rel=1e-7)


@given(st.floats(0.04, 0.2), st.floats(1e-3, 0.05))
def test_neighbours_touch_where_their_sides_meet(width, gap):
    angle = rolling.touching_angle(width, gap)
    assert rolling.gap_needed(width, angle) == pytest.approx(gap)
    # The right side of the left segment and the left side of its neighbour, both turned: parallel
    # lines; their distance is measured along the normal.
    normal = np.array([math.cos(angle), math.sin(angle)])
    left = np.array([0.0, 0.0]) + normal * width / 2
    right = np.array([width + gap, 0.0]) - normal * width / 2
    assert (right - left) @ normal == pytest.approx(0.0, abs=1e-12)


def test_plate_is_long_enough_for_rollers_at_their_extreme():
    length = rolling.plate_length(3, 0.2, 0.08, 0.03)
    outer = 0.2 + rolling.roller_travel(0.08)
    assert length / 2 - outer == pytest.approx(0.03)


def test_force_on_a_stop_by_integrating_the_motion():
    mass, speed, stiffness, push = 4e5, 0.05, 2e8, 1.5e5

    def motion(_, state):
        return [state[1], (push - stiffness * state[0]) / mass]

    run = solve_ivp(motion, (0.0, 0.3), [0.0, speed], max_step=1e-4, rtol=1e-9)
    expected = stiffness * run.y[0].max()
    assert rolling.stop_force(push, mass, speed, stiffness) == pytest.approx(expected, rel=1e-5)
    assert rolling.stop_force(push) == pytest.approx(2 * push)


@given(st.floats(0.04, 0.3), st.floats(0.02, 0.9))
def test_contact_of_a_rib(radius, share):
    depth = share * radius
    area, chord = rolling.rib_contact(radius, depth)
    bottom = radius - depth
    summed = quad(lambda z: 2 * math.sqrt(radius**2 - z**2), bottom, radius)[0]
    assert area == pytest.approx(summed, rel=1e-6)
    assert (chord / 2) ** 2 + bottom**2 == pytest.approx(radius**2)


@pytest.mark.parametrize("depth", [0.0, 0.1, 0.2])
def test_rib_that_does_not_fit(depth):
    with pytest.raises(BedstoneError, match="does not fit"):
        rolling.rib_contact(0.1, depth)
