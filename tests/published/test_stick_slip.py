"""Friction of bearings against closed forms.

Sources:

- a spring and a slide in series under Coulomb friction (the Jenkin element of elementary
  mechanics): force against imposed length is a parallelogram, of which slopes, plateaus, corners
  and area are worked by hand in the tests;
- the point that stays where it is under friction: rigid deck on four springs and slides, the sum of
  spring and friction forces is nothing, signs of the slides by trial (the method of stiffnesses;
  arithmetic in the test, no published figure).
"""

import numpy as np
import pytest

from bedstone.mechanics.sliding import History, Loads, Sliders, follow

JENKIN = "Spring and slide in series (Jenkin element), elementary mechanics"
STIFFNESSES = "Sharing by stiffness on a rigid deck, elementary mechanics"
KNOWN = "derived"


# ------------------------------------------------------------------ the parallelogram
PIER, DECK_EA, LENGTH, HEAT = 40e6, 2.4e9, 60.0, 12e-6
MU, N = 0.05, 3e6


def two_bearings():
    """Held on a pier (spring) at 0, sliding on a rigid abutment at 60 m; columns: N, one kelvin.

    The deck is a bar: of its flexibility only the length between the bearings counts.
    """
    sliders = Sliders(
        np.diag([1.0 / PIER, LENGTH / DECK_EA]), np.ones((2, 1)), np.arange(2),
        np.array([0.0, MU]), np.array([False, True]),
    )  # fmt: skip
    loads = Loads(
        np.array([[0.0, 0.0], [0.0, HEAT * LENGTH]]), np.zeros((1, 2)), np.array([[0, 0], [N, 0]])
    )
    return sliders, loads


def test_parallelogram_of_force_against_temperature(published):
    """+-30 K: slope k alpha L, plateaus mu N, turned back after 2 mu N / (k alpha L) kelvin."""
    temperature = np.concatenate([np.arange(0, 31), np.arange(29, -31, -1), np.arange(-29, 31)])
    factors = np.stack(
        [np.ones(len(temperature) + 1), np.concatenate([[0.0], temperature])], axis=1
    )
    path = follow(*two_bearings(), History(factors), record=len(factors))
    force = path.forces[1:, 1] / 1e3
    # by hand: k = 1 / (1/40 + 60/2400) = 20 MN/m; 20e3 kN/m x 12e-6 x 60 m = 14.4 kN/K;
    # mu N = 150 kN; slides from 150 / 14.4 = 10.417 K on, back from 30 - 20.833 = 9.167 K down
    how = {"source": JENKIN, "abs": 1e-6}
    published("force, slope", 14.4, force[5] - force[4], "kN/K", **how)
    published("force, plateau of warming", 150.0, force[30], "kN", **how)
    published("force, plateau of cooling", -150.0, force[90], "kN", **how)
    cooling = force[31:91]
    expected = np.maximum(150.0 - 14.4 * np.arange(1, 61), -150.0)
    published("cooling from 30 K, all points", expected, cooling, "kN", **how)
    warming = force[91:]
    expected = np.minimum(-150.0 + 14.4 * np.arange(1, 61), 150.0)
    published("warming from -30 K, all points", expected, warming, "kN", **how)
    assert path.forces[:, 0] == pytest.approx(-path.forces[:, 1], abs=1e-3)
    # slid: first 19.583 K, then twice 39.167 K, each 0.72 mm: 70.5 mm; area 150 kN times that
    published("travel of the slide", 70.5, path.travel[1] * 1e3, "mm", **how)
    published("work of friction", 10.575, path.dissipated[1] / 1e3, "kJ", **how)


def test_gap_before_the_stop(published):
    """A stop 4 mm ahead: the slope is back, on top of the friction, where the slide has gone it."""
    sliders, loads = two_bearings()
    stopped = Sliders(
        sliders.flexibility, sliders.motions, sliders.seat, sliders.friction, sliders.free,
        stops=np.array([[-np.inf, np.inf], [-np.inf, 0.004]]),
    )  # fmt: skip
    path = follow(stopped, loads, History(np.array([[1, 0], [1, 30], [1, 0]])), record=3)
    # by hand: slides 10.417 K to 10.417 + 4 / 0.72 = 15.972 K; 14.028 K more at 14.4 kN/K: 352 kN;
    # back to 0 K: 30 x 14.4 = 432 kN less is -80 kN, within friction, so it stays at the stop
    how = {"source": JENKIN, "abs": 1e-6}
    published("at the stop", [352.0, -80.0], path.forces[1:, 1] / 1e3, "kN", **how)
    published("at the stop, place", [4.0, 4.0], path.positions[1:, 1] * 1e3, "mm", **how)


# ------------------------------------------------------------------ the stationary point
K = np.array([4.0, 12.0, 9.0, 4.0]) * 1e6
X = np.array([0.0, 30.0, 60.0, 90.0])


def on_springs(free, friction, normal):
    sliders = Sliders(np.diag(1.0 / K), np.ones((4, 1)), np.arange(4), np.full(4, friction), free)
    loads = Loads(
        np.stack([np.zeros(4), HEAT * X, np.zeros(4)], axis=1), np.array([[0.0, 0.0, 1.0]]),
        np.stack([normal, np.zeros(4), np.zeros(4)], axis=1),
    )  # fmt: skip
    return sliders, loads


def test_braking_and_heat_on_springs(published):
    """500 kN and +35 K, all held: F K / sum K; K alpha T (x - x_0), x_0 = sum K x / sum K."""
    sliders, loads = on_springs(np.zeros(4, dtype=bool), 0.0, np.zeros(4))
    path = follow(sliders, loads, History(np.array([[0, 0, 500e3], [0, 35, 0]])), record=2)
    how = {"source": STIFFNESSES, "abs": 0.006}
    by_hand = [68.97, 206.90, 155.17, 68.97]
    published("braking of 500 kN on four springs, path", by_hand, path.forces[0] / 1e3, "kN", **how)
    by_hand = [-72.99, -67.78, 62.57, 78.21]
    published("warming by 35 K on four springs, path", by_hand, path.forces[1] / 1e3, "kN", **how)
    still = 1260.0 / 29.0  # (12 x 30 + 9 x 60 + 4 x 90) / 29
    # the ground of a spring moves with the deck: its own movement is F / K = alpha T (x - x_0)
    place = X - path.forces[1] / K / (HEAT * 35.0)
    published("fixed point on four springs", [still] * 4, place, "m", source=STIFFNESSES, rel=1e-6)


def by_signs(free, limit, strain):
    """Forces on a rigid deck: slides give +-limit, springs K (u_0 + strain x); sum nothing.

    The signs of the slides are tried until every slide goes the way its friction says, against
    its pier bent by the friction; a slide that goes neither way sticks, and its pier is a spring.
    """
    state = np.where(free, np.sign(X - X.mean()), 0.0)
    for _ in range(50):
        held = state == 0.0
        shift = -(K[held] * strain * X[held]).sum() - (state * limit).sum()
        shift /= K[held].sum()
        move = shift + strain * X
        force = np.where(held, K * move, state * limit)
        slid = move - force / K
        now = state.copy()
        for i in np.flatnonzero(free):
            if held[i] and abs(force[i]) > limit[i]:
                now[i] = np.sign(force[i])
            elif not held[i] and slid[i] * state[i] < 0.0:
                now[i] = 0.0
        if np.array_equal(now, state):
            return force, -shift / strain
        state = now
    raise AssertionError("the signs do not settle")


@pytest.mark.parametrize("fixed", [0, 1, 2, 3])
@pytest.mark.parametrize("kelvin", [35.0, -35.0])
@pytest.mark.parametrize("friction", [0.01, 0.03, 0.06])
def test_fixed_point_under_friction_by_the_signs_of_the_slides(agreement, fixed, kelvin, friction):
    free = np.arange(4) != fixed
    normal = np.array([0.8e6, 2.2e6, 2.0e6, 0.8e6])
    force, still = by_signs(free, friction * normal, HEAT * kelvin)
    sliders, loads = on_springs(free, friction, normal)
    path = follow(sliders, loads, History(np.array([[1, 0, 0], [1, kelvin, 0]])), record=2)
    what = "friction against piers by the signs of the slides, "
    agreement(what + "forces", path.forces[1], force, 1e-7, source=STIFFNESSES)
    # the deck: where the slide stands plus what its pier gives way
    moved = path.positions[1] + path.forces[1] / K
    place = X - moved / (HEAT * kelvin)
    agreement(what + "fixed point", place, still, 1e-6, 90.0, source=STIFFNESSES)


def test_slides_on_both_sides_by_hand(published):
    """Held at 30 m, +35 K, mu N = 8, 20 and 8 kN: the held pier gets 20 + 8 - 8 = 20 kN."""
    free = np.array([True, False, True, True])
    sliders, loads = on_springs(free, 0.01, np.array([0.8e6, 2.2e6, 2.0e6, 0.8e6]))
    path = follow(sliders, loads, History(np.array([[1, 0, 0], [1, 35, 0]])), record=2)
    how = {"source": STIFFNESSES, "abs": 1e-6}
    by_hand = [-8.0, -20.0, 20.0, 8.0]
    published("slides on both sides of a pier", by_hand, path.forces[1] / 1e3, "kN", **how)
    # its pier moves by -20 / 12 mm = alpha T (30 - x_0): x_0 = 30 + 1.6667 / 0.42
    place = 30.0 - path.forces[1, 1] / K[1] / (HEAT * 35.0)
    published("fixed point beside it", 33.968254, place, "m", source=STIFFNESSES, rel=1e-7)
