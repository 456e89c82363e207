"""Plates under rollers off their middle, against pressure integrated strip by strip."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.bearings.roller_plate import greatest_moment


def summed(loads, x, length):
    """Greatest moment by summing many strips of a bed that cannot pull (found by bisection)."""
    strips = 20_000
    at = (np.arange(strips) + 0.5) / strips * length - length / 2
    force, centre = sum(loads), float(np.dot(loads, x) / sum(loads))
    # Pressure k (1 + slope x), cut off at zero, with its centre under the force.
    e = abs(centre)
    if e <= length / 6:
        pressure = force / length * (1 + 12 * e * at / length**2)
    else:
        pressed = 3 * (length / 2 - e)
        pressure = np.maximum(at - (length / 2 - pressed), 0.0) * 2 * force / pressed**2
    if centre < 0:
        pressure = pressure[::-1]
    strip = pressure * length / strips
    assert strip.sum() == pytest.approx(force, rel=1e-4)
    assert (strip * at).sum() == pytest.approx(force * centre, abs=1e-4 * force * length)
    best = 0.0
    for place in np.concatenate([x, np.linspace(-0.5, 0.5, 21) * length]):
        left = strip[at < place] @ (place - at[at < place])
        pressing = sum(n * max(place - own, 0.0) for n, own in zip(loads, x, strict=True))
        best = max(best, abs(left - pressing))
    return best


@given(
    st.lists(st.floats(1e4, 1e6), min_size=1, max_size=4),
    st.floats(0.4, 1.5),
    st.floats(-0.2, 0.2),
)
@settings(max_examples=40, deadline=None)
def test_moment_of_a_plate(loads, length, shift):
    x = (np.arange(len(loads)) - (len(loads) - 1) / 2) * length / 6 + shift * length
    found = greatest_moment(np.array([loads]), x[None, :], length)[0]
    assert found == pytest.approx(summed(loads, x, length), rel=2e-3, abs=1e-3)


def test_one_roller_in_the_middle():
    # N L/8, as two cantilevers under an even pressure.
    found = greatest_moment(np.array([[1e6]]), np.array([[0.0]]), 0.6)
    assert found[0] == pytest.approx(1e6 * 0.6 / 8)


def test_rollers_off_the_plate():
    assert np.isinf(greatest_moment(np.array([[1.0]]), np.array([[0.31]]), 0.6)[0])
