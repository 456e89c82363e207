"""Bearings that can only push, against trying every set of open ones, and against other models."""

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.errors import UnstableError
from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.contact import open_gaps
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported


def enumerate_states(compression, raising):
    """Every set of open seats: forces of those that are in equilibrium without tension."""
    count = len(compression)
    states = []
    for open_ in product([False, True], repeat=count):
        lifted = np.flatnonzero(open_)
        gap = np.zeros(count)
        if lifted.size:
            block = raising[np.ix_(lifted, lifted)]
            gap[lifted] = np.linalg.lstsq(block, -compression[lifted], rcond=1e-10)[0]
        force = compression + raising @ gap
        top = np.abs(compression).max()
        closed_ok = force.min() > -1e-7 * top
        open_ok = np.abs(force[lifted]).max(initial=0.0) < 1e-7 * top
        if closed_ok and open_ok and gap.min() > -1e-9 * np.abs(gap).max(initial=1.0):
            states.append(force)
    return states


def check(compression, raising):
    states = enumerate_states(compression, raising)
    try:
        gap = open_gaps(compression, raising)
    except UnstableError:
        assert states == []
        return False
    force = compression + raising @ gap
    top = np.abs(compression).max()
    assert gap.min() >= 0.0
    assert force.min() > -1e-6 * top
    assert abs(force @ gap) < 1e-6 * top * max(gap.max(), 1e-12)
    # the forces are those of every admissible state that enumeration finds
    for other in states:
        assert force == pytest.approx(other, abs=1e-5 * top)
    return True


@settings(max_examples=150)
@given(st.integers(0, 10_000), st.integers(1, 6), st.integers(1, 6))
def test_random_states_agree_with_trying_all(seed, count, rank):
    rng = np.random.default_rng(seed)
    shape = rng.normal(size=(count, min(rank, count))) * 1e4
    check(rng.normal(0.4, 1.0, count) * 1e6, shape @ shape.T)


def test_the_random_states_hold_lifting_and_overturning_ones():
    """Guards the test above: it would be idle if every state were of one kind."""
    found = set()
    for seed in range(200):
        rng = np.random.default_rng(seed)
        shape = rng.normal(size=(5, 3)) * 1e4
        compression = rng.normal(0.4, 1.0, 5) * 1e6
        if compression.min() < 0.0:
            found.add(check(compression, shape @ shape.T))
    assert found == {True, False}


def test_no_pull_opens_nothing():
    assert open_gaps(np.array([1e5, 0.0]), np.eye(2) * 1e6).tolist() == [0.0, 0.0]


def test_both_corners_of_a_diagonal_pull():
    """Simple span on four bearings: raising one turns the deck about the other diagonal.

    By hand: A = k v v' with v = (1, -1, -1, 1). N = (-2, 10, 10, -5): a twist of 5 lifts the second
    corner just off and leaves 3 at the first. Opening both corners at once has no stiffness.
    """
    v = np.array([1.0, -1.0, -1.0, 1.0])
    k = 4.0e6
    gap = open_gaps(np.array([-2.0, 10.0, 10.0, -5.0]) * 1e3, k * np.outer(v, v))
    assert gap == pytest.approx([0.0, 0.0, 0.0, 5e3 / k])


def test_overturning_is_refused():
    """Both corners of one side pull: two bearings of a line cannot keep a body upright."""
    v = np.array([1.0, -1.0, -1.0, 1.0])
    with pytest.raises(UnstableError, match="overturns"):
        open_gaps(np.array([-2.0, 10.0, -3.0, 10.0]) * 1e3, 1e6 * np.outer(v, v))


def test_a_simple_beam_has_no_stiffness_against_raising():
    with pytest.raises(UnstableError):
        open_gaps(np.array([-1.0, 2.0]), np.zeros((2, 2)))


# ------------------------------------------------------------------ a beam over three spans
E, I, L = 210e9, 0.02, 20.0  # noqa: E741


def beam(seats):
    """Beam of three spans of 20 m on the supports `seats` of 0 to 3; load on the second span."""
    build = FrameBuilder()
    pieces = 4
    nodes = [build.node(L * i / pieces, 0, 0) for i in range(3 * pieces + 1)]
    for i, j in pairwise(nodes):
        build.member(i, j, E=E, G=80e9, A=0.05, Iy=I, Iz=I, J=0.01)
    frame = build.frame()
    condensed = condense(frame, SeatPoints(np.array(nodes)[::pieces], np.zeros((4, 3))))
    held = np.zeros((4, 6), dtype=bool)
    held[seats, 2] = True
    held[1, :2] = held[2, 1] = held[1, 3] = True
    axes = np.tile(np.eye(3), (4, 1, 1))
    supported = Supported(condensed, Bearings(axes, held, np.zeros((4, 6))), np.zeros((24, 24)))
    load = condensed.load(
        frame.line_load(np.arange(pieces, 2 * pieces), np.array([0.0, 0.0, -60e3]))
        + frame.line_load(np.arange(3 * pieces), np.array([0.0, 0.0, -5e3]))
    )
    return condensed, supported, load


def lifted_state():
    condensed, supported, load = beam([0, 1, 2, 3])
    force = supported.effects(load).force[:, 2, 0]
    lift = np.zeros((24, 4))
    lift[6 * np.arange(4) + 2, np.arange(4)] = 1.0
    raising = -supported.effects(condensed.settlement(lift)).force[:, 2]
    return -force, raising, open_gaps(-force, raising)


def test_ends_of_a_beam_lift_as_with_those_supports_removed():
    compression, raising, gap = lifted_state()
    assert compression[0] < 0
    assert compression[3] < 0
    _, removed, load = beam([1, 2])
    effects = removed.effects(load)
    assert compression + raising @ gap == pytest.approx(-effects.force[:, 2, 0], abs=1e-3)
    assert gap[[0, 3]] == pytest.approx(effects.movement[[0, 3], 2, 0], rel=1e-6)


def test_ends_of_a_beam_lift_by_hand():
    """Overhangs L under g = 5, span L under 65 kN/m: slope at the support from beam formulas.

    M = g L^2 / 2 over the supports; end slope of the span q L^3 / 24 EI - M L / 2 EI; the end
    rises by slope L less g L^4 / 8 EI. Reactions: all load halved. Source: handbook formulas, from
    memory.
    """
    compression, raising, gap = lifted_state()
    g, q = 5e3, 65e3
    slope = q * L**3 / (24 * E * I) - (g * L**2 / 2) * L / (2 * E * I)
    rise = slope * L - g * L**4 / (8 * E * I)
    assert rise > 0
    assert gap == pytest.approx([rise, 0, 0, rise], rel=1e-6, abs=1e-12)
    half = (q * L + 2 * g * L) / 2
    assert compression + raising @ gap == pytest.approx([0, half, half, 0], abs=1e-3)


def test_rounding_is_no_stiffness():
    """Bearings that statics alone decides: A is nothing but rounding, and raising relieves none."""
    noise = 1e-4 * np.array([[1.0, -0.5], [-0.5, 1.0]])
    with pytest.raises(UnstableError, match="overturns"):
        open_gaps(np.array([-20e3, 300e3]), noise, 1e8)
