"""Laws of linear statics on random decks (Betti, Maxwell; superposition; symmetry of space)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.support import Bearings, Supported, free_motions

SEATS = 6
functions = st.lists(
    st.sampled_from(["z", "xz", "yz", "xyz", "zb", "xyza"]), min_size=SEATS, max_size=SEATS
)
angles = st.lists(st.floats(-1.5, 1.5), min_size=SEATS, max_size=SEATS)
seeds = st.integers(0, 10_000)
few = settings(max_examples=25)


def deck(small, turn=0.0, mirror=1.0):
    frame, grid = small.grillage(turn=turn, mirror=mirror)
    nodes = grid[[0, 4, 8]][:, [0, 2]].ravel()
    arm = np.tile([0.15, 0.1 * mirror, -1.2], (SEATS, 1))
    c, s = np.cos(turn), np.sin(turn)
    return condense(frame, SeatPoints(nodes, arm @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])))


@pytest.fixture(scope="module")
def plain(small):
    return deck(small)


def stable(small, condensed, texts, turns):
    """These bearings, the first fixed and the fifth guided, so that the deck cannot move."""
    texts = ["xyz", *texts[1:]]
    texts[4] = "xyz" if "x" in texts[4] else "yz"
    turns = [0.0, *turns[1:]]
    turns[4] = 0.0
    bearings = small.bearings(texts, angle=np.array(turns))
    assert not free_motions(condensed, bearings)
    return bearings


def ground_of(seed):
    """A random symmetric positive compliance below the seats, in N and m."""
    root = np.random.default_rng(seed).normal(0.0, 1e-5, (6 * SEATS, 6 * SEATS))
    return root @ root.T


def loads(condensed, seed, count=1):
    return np.random.default_rng(seed).normal(0.0, 1e4, (condensed.frame.freedoms, count))


@few
@given(functions, angles, seeds)
def test_equilibrium(small, plain, texts, turns, seed):
    supported = Supported(plain, stable(small, plain, texts, turns), ground_of(seed))
    vector = loads(plain, seed)
    q = supported.effects(plain.load(vector)).seat_force.reshape(-1, 6)
    load = vector.reshape(-1, 6)
    total = load[:, :3].sum(axis=0) + q[:, :3].sum(axis=0)
    turning = (
        load[:, 3:].sum(axis=0) + q[:, 3:].sum(axis=0)
        + np.cross(plain.frame.nodes, load[:, :3]).sum(axis=0)
        + np.cross(plain.points, q[:, :3]).sum(axis=0)
    )  # fmt: skip
    assert np.abs(total).max() < 1e-9 * np.abs(q).sum()
    assert np.abs(turning).max() < 1e-9 * np.abs(q).sum() * 40.0


@few
@given(functions, angles, seeds)
def test_reciprocity(small, plain, texts, turns, seed):
    # Betti: the work of load 1 on the displacements of load 2 equals that of 2 on 1
    supported = Supported(plain, stable(small, plain, texts, turns), ground_of(seed))
    vectors = loads(plain, seed, 2)
    effects = supported.effects(plain.load(vectors))
    moved = plain.displacements(vectors, effects.seat_force, effects.motion)
    work = vectors.T @ moved
    assert abs(work[0, 1] - work[1, 0]) < 1e-9 * np.sqrt(work[0, 0] * work[1, 1])
    assert work[0, 0] > 0.0
    assert work[1, 1] > 0.0


@few
@given(functions, angles, seeds, st.floats(-3, 3), st.floats(-3, 3))
def test_superposition(small, plain, texts, turns, seed, first, second):
    supported = Supported(plain, stable(small, plain, texts, turns), ground_of(seed))
    one, two = (plain.load(loads(plain, seed + k)) for k in (0, 1))
    down = np.random.default_rng(seed).normal(0.0, 1e-3, (6 * SEATS, 1))
    two = two + plain.settlement(down)
    together = supported.effects(one * first + two * second)
    a, b = supported.effects(one), supported.effects(two)
    for name in ("force", "movement", "seat_force"):
        x, y = getattr(a, name), getattr(b, name)
        size = abs(first) * np.abs(x).max() + abs(second) * np.abs(y).max()
        lack = np.abs(getattr(together, name) - first * x - second * y).max()
        assert lack <= 1e-9 * size


@few
@given(functions, angles, seeds, st.floats(-3.1, 3.1))
def test_turning_the_whole_bridge_in_plan_changes_nothing(small, plain, texts, turns, seed, turn):
    turned = deck(small, turn=turn)
    bearings = stable(small, plain, texts, turns)
    c, s = np.cos(turn), np.sin(turn)
    rotate = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    there = Bearings(bearings.axes @ rotate.T, bearings.held, bearings.compliance)
    every = np.kron(np.eye(2 * SEATS), rotate)
    vector = loads(plain, seed)
    load = (vector.reshape(-1, 3) @ rotate.T).reshape(-1, 1)
    ground = ground_of(seed)
    here = Supported(plain, bearings, ground).effects(plain.load(vector))
    away = Supported(turned, there, every @ ground @ every.T).effects(turned.load(load))
    for name in ("force", "movement"):
        one, other = getattr(here, name), getattr(away, name)
        assert np.abs(one - other).max() < 1e-8 * np.abs(one).max()


@few
@given(functions, angles, seeds)
def test_mirror_image(small, plain, texts, turns, seed):
    # mirrored across the x-z plane: y forces, x and z moments change sign
    image = deck(small, mirror=-1.0)
    flip = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
    bearings = stable(small, plain, texts, turns)
    mirrored = stable(small, plain, texts, [-t for t in turns])
    every = np.tile(flip, SEATS)
    vector = loads(plain, seed)
    load = (vector.reshape(-1, 6) * flip).reshape(-1, 1)
    ground = ground_of(seed)
    here = Supported(plain, bearings, ground).effects(plain.load(vector))
    there = Supported(image, mirrored, ground * np.outer(every, every)).effects(image.load(load))
    for name in ("force", "movement"):
        one, other = getattr(here, name), getattr(there, name) * flip[:, None]
        assert np.abs(one - other).max() < 1e-8 * np.abs(one).max()


@few
@given(functions, angles, seeds)
def test_unused_stiffness_does_not_matter(small, plain, texts, turns, seed):
    # a settlement equal to a rigid motion of the ground moves the bridge and forces nothing
    supported = Supported(plain, stable(small, plain, texts, turns), ground_of(seed))
    motion = np.random.default_rng(seed).normal(0.0, 1e-2, (6, 1))
    effects = supported.effects(plain.settlement(plain.rigid @ motion))
    unit = supported.effects(plain.load(loads(plain, seed)))  # what 10 kN a node does
    assert np.abs(effects.force).max() < 1e-6 * np.abs(unit.force).max()
    assert np.abs(effects.movement).max() < 1e-9 * np.abs(motion).max() * 40.0
