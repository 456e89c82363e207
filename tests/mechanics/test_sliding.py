"""The path of sliding bearings: laws of friction, stops and play, and what must come out in words.

The law, equilibrium and compatibility are checked here apart from the module, from its
definition: a force is in the subdifferential of friction and stops. The other solver is SLSQP of
scipy on the dual (least complementary energy) of one step.
"""

from dataclasses import replace

import numpy as np
import pytest
import scipy.linalg
from hypothesis import assume, given, reject, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics.condense import condense, stack
from bedstone.mechanics.sliding import History, Loads, Sliders, State, _elements, follow
from bedstone.mechanics.sliding_kernel import _obey, _split
from bedstone.mechanics.support import Supported

few = settings(max_examples=40)
seeds = st.integers(0, 100_000)
NONE = np.array([-np.inf, np.inf])


# ------------------------------------------------------------------ random bridges
def bridge(seed, *, stops=True, coupled=False, seats=None):
    """A random bridge on n seats: sliders, loads (permanent, one kelvin, traffic, braking)."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 8)) if seats is None else seats
    count = 2 * n
    x, y = rng.uniform(0.0, 100.0, n), rng.uniform(-5.0, 5.0, n)
    R = np.zeros((count, 3))
    R[0::2, 0] = R[1::2, 1] = 1.0
    R[0::2, 2], R[1::2, 2] = -y / 50.0, (x - 50.0) / 50.0
    spread = rng.normal(size=(count, count))
    D = spread @ spread.T * 1e-9 + np.diag(rng.uniform(1e-9, 5e-8, count))
    free = np.ones((n, 2), dtype=bool)
    free[rng.random(n) < 0.3, 1] = False
    free[0] = False  # something holds in the end
    free[1, 1] = False
    play = np.where(rng.random(count) < 0.4, rng.uniform(0.0, 5e-3, count), 0.0) * stops
    limits = np.tile(NONE, (count, 1))
    if stops:
        some = rng.random(count) < 0.3
        limits[some] = rng.uniform(0.0, 0.01, (count, 2))[some] * [-1.0, 1.0]
    sliders = Sliders(
        D, R, np.repeat(np.arange(n), 2),
        np.where(rng.random(n) < 0.8, rng.uniform(0.01, 0.1, n), 0.0),
        free.ravel(), play, limits, np.where(rng.random(count) < 0.3, 1e-7, 0.0),
        coupling=rng.normal(size=(n, count)) * 0.02 if coupled else None,
    )  # fmt: skip
    V = np.zeros((count, 4))
    V[:, 0], V[:, 2] = rng.normal(size=count) * 1e-3, rng.normal(size=count) * 1e-3
    V[0::2, 1], V[1::2, 1] = 12e-6 * x, 12e-6 * y
    Q = np.zeros((3, 4))
    Q[:, 3] = rng.normal(size=3) * 2e5
    N = np.zeros((n, 4))
    N[:, 0], N[:, 2] = rng.uniform(5e5, 2e6, n), rng.normal(size=n) * 4e5
    return sliders, Loads(V, Q, N)


def random_history(seed, steps=12):
    rng = np.random.default_rng([seed, 1])
    factors = np.zeros((steps, 4))
    factors[:, 0] = 1.0
    factors[:, 1] = rng.normal(size=steps) * 15.0
    factors[:, 2] = rng.normal(size=steps) * (rng.random(steps) < 0.4)
    factors[:, 3] = rng.choice([-1.0, 0.0, 0.0, 1.0], steps) * rng.uniform(0.0, 1.5, steps)
    return History(factors)


def walked(sliders, loads, history, **how):
    """Each step as it stands, all of them recorded."""
    steps = len(history.factors)
    return follow(sliders, loads, history, record=steps, accuracy=None, **how)


def law_error(sliders, normal, old, new, force):
    """How far a force (K,) is from the subdifferential of friction and stops, in N.

    On each direction what the stop may take (its force pushes back from it) is taken off as far as
    it helps; what is left must be friction.
    """
    low, high = sliders.limits
    worst = 0.0
    for seat, n in enumerate(normal):
        own = np.flatnonzero(sliders.seat == seat)
        m = sliders.friction[seat] * max(n, 0.0)
        rubs = sliders.rubbing[own]
        slid = (new - old)[own]
        way = np.zeros(len(own))
        size = np.linalg.norm(slid[rubs])
        if size > 1e-9:
            way[rubs] = slid[rubs] / size
        for i, d in enumerate(own):
            assert low[d] - 1e-12 <= new[d] <= high[d] + 1e-12
            rest = force[d] - m * way[i] if size > 1e-9 else force[d]
            at_high, at_low = new[d] >= high[d] - 1e-12, new[d] <= low[d] + 1e-12
            if (at_high and rest > 0.0) or (at_low and rest < 0.0):
                rest = 0.0
            way[i] = rest
        if size > 1e-9:
            worst = max(worst, float(np.abs(way).max()))
        else:
            worst = max(worst, float(np.abs(way[~rubs]).max(initial=0.0)))
            worst = max(worst, float(np.linalg.norm(way[rubs])) - m)
    return worst


def compliant(sliders):
    c = np.zeros(len(sliders.seat)) if sliders.compliance is None else sliders.compliance
    return sliders.flexibility + np.diag(c)


@few
@given(seeds, st.booleans())
def test_every_step_obeys_law_equilibrium_and_compatibility(seed, coupled):
    sliders, loads = bridge(seed, coupled=coupled)
    history = random_history(seed)
    path = walked(sliders, loads, history)
    assert path.residual < 1e-9
    old = np.zeros(len(sliders.seat))
    power = np.abs(path.forces).max()
    for step, w in enumerate(history.factors):
        force, new = path.forces[step], path.positions[step]
        normal = loads.normal @ w
        if coupled:
            normal = normal + sliders.coupling @ force
        assert law_error(sliders, normal, old, new, force) < 1e-7 * power
        assert np.abs(sliders.motions.T @ force - loads.resultant @ w).max() < 1e-7 * power
        # what is left of the movements is a rigid motion
        gap = new - loads.movement @ w + compliant(sliders) @ force
        gap -= sliders.motions @ np.linalg.lstsq(sliders.motions, gap, rcond=None)[0]
        assert np.abs(gap).max() < 1e-9
        old = new


@few
@given(seeds)
def test_friction_only_dissipates(seed):
    sliders, loads = bridge(seed)
    path = follow(sliders, loads, random_history(seed))
    assert path.dissipated.min() >= 0.0
    # nothing dissipated where nothing slid, and the other way round
    own = np.array(
        [
            path.travel[(sliders.seat == s) & sliders.rubbing].sum()
            for s in range(len(path.dissipated))
        ]
    )
    assert np.array_equal(path.dissipated > 1e-6, own > 1e-12) or own.max() < 1e-6


def test_work_of_loads_on_a_closed_cycle_is_dissipated():
    """A rigid block on one slide, pulled by a spring: four sides of a rectangle, 4 m (travel)."""
    sliders = Sliders(
        np.diag([1e-7, 0.0]), np.ones((2, 1)), np.arange(2), np.array([0.0, 0.05]),
        np.array([False, True]),
    )  # fmt: skip
    loads = Loads(
        np.array([[0.0, 0.0], [0.0, 1e-3]]), np.zeros((1, 2)), np.array([[0.0, 0.0], [1e6, 0.0]])
    )
    cycle = History(np.array([[1.0, 0.0], [1.0, 20.0], [1.0, -20.0], [1.0, 20.0]]))
    path = follow(sliders, loads, cycle)
    # first 20 mm less the spring (50 kN at 1e-7 m/N: 5 mm), then twice 40 less 10
    assert path.travel == pytest.approx([0.0, 0.015 + 0.03 + 0.03])
    assert path.dissipated == pytest.approx([0.0, 50e3 * 0.075])


# ------------------------------------------------------------------ uniqueness
@few
@given(seeds)
def test_the_start_of_the_iteration_does_not_matter(seed):
    """Forces of the first guess are drawn at random: the state found is the same."""
    sliders, loads = bridge(seed)
    history = random_history(seed)
    path = walked(sliders, loads, history)
    rng = np.random.default_rng([seed, 2])
    guess = State(
        np.zeros(len(sliders.seat)), rng.normal(size=len(sliders.seat)) * 1e6, np.zeros(4)
    )
    other = walked(sliders, loads, history, start=guess)
    assert np.abs(path.forces - other.forces).max() < 1e-6 * np.abs(path.forces).max()
    assert np.abs(path.positions - other.positions).max() < 1e-8


def by_slsqp(sliders, v, r, limits, old):
    """Forces of one step without stops: least complementary energy within friction."""
    D = compliant(sliders)
    count = len(v)
    power = max(float(limits.max()), float(np.abs(r).max()), 1.0)
    size = float(np.abs(D).max()) * power
    rubs, held = sliders.rubbing, ~sliders.free
    most = np.where(held, np.inf, np.where(rubs, limits[sliders.seat] / power, 0.0))
    bounds = list(zip(-most, most, strict=True))
    rules = [{"type": "eq", "fun": lambda f: sliders.motions.T @ f - r / power,
              "jac": lambda f: sliders.motions.T}]  # fmt: skip
    for seat, limit in enumerate(limits):
        own = np.flatnonzero((sliders.seat == seat) & rubs)
        if len(own) == 2:

            def inside(f, own=own, limit=limit):
                return np.array([(limit / power) ** 2 - f[own] @ f[own]])

            def slope(f, own=own):
                row = np.zeros((1, count))
                row[0, own] = -2.0 * f[own]
                return row

            rules.append({"type": "ineq", "fun": inside, "jac": slope})
    found = minimize(
        lambda f: 0.5 * f @ D @ f * power / size - f @ (v - old) / size,
        np.zeros(count), jac=lambda f: D @ f * power / size - (v - old) / size,
        bounds=bounds, constraints=rules, method="SLSQP", options={"maxiter": 2000, "ftol": 1e-15},
    )  # fmt: skip
    return found.x * power, found.success


@few
@given(seeds)
def test_another_solver_finds_the_same_forces(seed):
    sliders, loads = bridge(seed, stops=False, seats=4)
    history = random_history(seed, 4)
    path = walked(sliders, loads, history)
    old = np.zeros(8)
    for step, w in enumerate(history.factors):
        limits = sliders.friction * np.maximum(loads.normal @ w, 0.0)
        force, done = by_slsqp(sliders, loads.movement @ w, loads.resultant @ w, limits, old)
        assume(done)
        assert force == pytest.approx(path.forces[step], abs=2e-4 * np.abs(path.forces).max())
        old = path.positions[step]


@settings(max_examples=15)
@given(seeds)
def test_the_splitting_alone_finds_the_same_forces(seed):
    """What Newton's rounds fall back on, from nothing and without them."""
    sliders, loads = bridge(seed, seats=6)
    w = np.array([1.0, 20.0, 0.5, 0.5])
    expected = walked(sliders, loads, History(w[None])).forces[0]
    parts = _elements(sliders)
    count = len(parts.base)
    v = (loads.movement + parts.weight * (sliders.motions @ loads.resultant)) @ w
    place, force, way, across, limit = (np.zeros(count) for _ in range(5))
    friction = parts.friction * np.maximum(loads.normal @ w, 0.0)
    limit[:] = np.where(parts.seat >= 0, friction[parts.seat], 0.0)
    state = np.zeros(count, dtype=np.int64)
    law = (limit, np.zeros(count), place, force)
    _split(
        20_000, parts.split[0], parts.lift[0], v[parts.base], loads.resultant @ w, parts.soft,
        parts.pair, parts.seat, parts.friction, parts.low, parts.high, loads.normal @ w,
        np.zeros((6, 0)), *law, np.zeros(3), state, way, across,
    )  # fmt: skip
    _obey(parts.pair, parts.low, parts.high, parts.soft, *law, state, way, across)
    found = np.zeros(12)
    np.add.at(found, parts.base, force)
    assert found == pytest.approx(expected, abs=1e-5 * np.abs(expected).max())


@few
@given(seeds)
def test_going_on_from_a_state_is_the_same_as_going_through(seed):
    sliders, loads = bridge(seed, coupled=True)
    history = random_history(seed)
    whole = walked(sliders, loads, history)
    first = walked(sliders, loads, History(history.factors[:5]))
    try:
        rest = walked(sliders, loads, History(history.factors[5:]), start=first.end)
    except CheckError:  # one in some thousand is refused, in words
        reject()
    power = np.abs(whole.forces).max()
    # forces alone: where everything slides at once, positions are not unique
    assert rest.forces == pytest.approx(whole.forces[5:], abs=1e-6 * power)


# ------------------------------------------------------------------ play, stops
def springs(stiffness, length, friction=0.05, **rest):
    """Seats in a row along the bridge on springs (K,), rigid deck: D, R = 1, one kelvin of heat."""
    count = len(stiffness)
    x = np.linspace(0.0, length, count)
    sliders = Sliders(
        np.diag(1.0 / np.asarray(stiffness)), np.ones((count, 1)), np.arange(count),
        np.full(count, friction), rest.pop("free", np.ones(count, dtype=bool)), **rest,
    )  # fmt: skip
    loads = Loads(
        np.stack([np.zeros(count), 12e-6 * x, np.zeros(count)], axis=1),
        np.array([[0.0, 0.0, 1.0]]),
        np.stack([np.ones(count), np.zeros(count), np.zeros(count)], axis=1),
    )
    return sliders, loads


def test_no_force_within_play():
    held = np.zeros(3, dtype=bool)
    sliders, loads = springs([1e8] * 3, 50.0, free=held, play=np.array([0.0, 0.004, 0.004]))
    quiet = follow(sliders, loads, History(np.array([[1.0, 6.0, 0.0], [1.0, -6.0, 0.0]])), record=2)
    assert np.abs(quiet.forces).max() < 1e-3  # N; 6 K over 50 m: 3.6 mm
    assert quiet.stops_reached.sum() == 0
    warm = follow(sliders, loads, History(np.array([[1.0, 10.0, 0.0]])), record=1)
    # the last bearing is at its stop after 4 of 6 mm: two springs share the other 2 mm
    assert warm.forces[0] == pytest.approx([-1e5, 0.0, 1e5], rel=1e-6, abs=1e-3)
    assert warm.positions[0] == pytest.approx([0.0, 0.002, 0.004])
    assert warm.stops_reached.tolist() == [[0, 0], [0, 0], [0, 1]]


def test_a_moving_bearing_stands_at_its_stop():
    sliders, loads = springs(
        [1e8, 1e8], 50.0, free=np.array([False, True]),
        stops=np.array([NONE, [-0.003, 0.002]]),
    )  # fmt: skip
    loads.normal[:, 0] = 1e6  # friction 50 kN
    factors = np.array([[1, 0, 0], [1, 10.0, 0], [1, -10.0, 0]])
    path = follow(sliders, loads, History(factors), record=np.array([1, 2]))
    # 6 mm: two springs give way by half the force / 1e8; stop after 2 mm: 4 mm / (2 / 1e8)
    assert path.forces[:, 1] == pytest.approx([2e5, -1.5e5])
    assert path.positions[:, 1] == pytest.approx([0.002, -0.003])
    assert path.stops_reached.tolist() == [[0, 0], [1, 1]]
    assert path.dissipated[1] == pytest.approx(50e3 * 0.007)  # the stop does no work


def test_a_sprung_slide_slips():
    """A pad on a slide: stiffness k until friction, then no more; what was slid stays."""
    sliders, loads = springs(
        [1e9, 1e9], 50.0, free=np.array([False, True]), compliance=np.array([0.0, 1e-6 - 2e-9])
    )
    loads.normal[1, 0] = 1e5  # slips at 5 kN, which is 5 mm
    factors = np.array([[1, 5.0, 0], [1, 10.0, 0], [1, 0.0, 0]])
    path = follow(sliders, loads, History(factors), record=3)
    assert path.forces[:, 1] == pytest.approx([3e3, 5e3, -1e3])
    assert path.positions[:, 1] == pytest.approx([0.0, 1e-3, 1e-3], abs=1e-12)
    assert path.movement.top[0, 1] == pytest.approx(1e-3 + 5e3 * (1e-6 - 2e-9))


def test_friction_is_a_circle_where_both_directions_rub():
    """A block on one slide, pulled at any angle: 50 kN against the movement."""
    sliders = Sliders(
        np.zeros((2, 2)), np.eye(2), np.zeros(2, dtype=int), np.array([0.05]),
        np.ones(2, dtype=bool), stops=np.array([[-1.0, 0.01], [-1.0, 1.0]]),
    )  # fmt: skip
    loads = Loads(
        np.zeros((2, 3)), np.array([[0, 1.0, 0], [0, 0, 1.0]]), np.array([[1e6, 0.0, 0.0]])
    )
    held = follow(sliders, loads, History(np.array([[1, 30e3, 39.9e3]])))
    assert held.end.position == pytest.approx([0.0, 0.0])
    with pytest.raises(UnstableError, match=r"step 1 .*slides across .* hold .* of the force"):
        follow(replace(sliders, stops=None), loads, History(np.array([[1, 0.0, 51e3]])))
    pushed = follow(sliders, loads, History(np.array([[1, 80e3, 0.0]])))
    assert pushed.end.position == pytest.approx([0.01, 0.0])
    assert pushed.end.force == pytest.approx([80e3, 0.0])


# ------------------------------------------------------------------ cycles
@few
@given(seeds)
def test_closed_cycles_of_temperature_settle_to_a_loop(seed):
    sliders, loads = bridge(seed)
    cycle = np.array([[1.0, 20.0, 0.0, 0.0], [1.0, -15.0, 0.0, 0.0]])
    path = walked(sliders, loads, History(np.tile(cycle, (40, 1))))
    power = np.abs(path.forces).max()
    # as in cyclic plasticity, forces become periodic; positions may still walk (ratcheting)
    assert np.abs(path.forces[-2:] - path.forces[-4:-2]).max() < 1e-3 * power


def test_a_symmetric_bridge_has_symmetric_forces():
    sliders, loads = springs([4e8, 6e7, 6e7, 4e8], 90.0)
    loads.normal[:, 0] = [2e6, 5e6, 5e6, 2e6]
    rng = np.random.default_rng(0)
    factors = np.stack([np.ones(50), rng.normal(size=50) * 20.0, np.zeros(50)], axis=1)
    path = follow(sliders, loads, History(factors), record=50)
    assert np.abs(path.forces + path.forces[:, ::-1]).max() < 1e-6 * np.abs(path.forces).max()
    assert path.travel == pytest.approx(path.travel[::-1])


# ------------------------------------------------------------------ as the engine without friction
def reduced(condensed, load):
    """D, R, V, Q of the plan directions, every seat held vertically; written out apart."""
    count = condensed.seat_count
    rows = np.arange(6 * count).reshape(count, 6)
    plan, up = rows[:, :2].ravel(), rows[:, 2]
    F, rigid = condensed.flexibility, condensed.rigid
    left = scipy.linalg.null_space(rigid[up])
    stopped = scipy.linalg.orth(rigid[up].T)
    border = rigid[up] @ stopped
    z = border.shape[1]
    base = np.block([[F[np.ix_(up, up)], border], [border.T, np.zeros((z, z))]])
    cross = np.concatenate([F[np.ix_(plan, up)], rigid[plan] @ stopped], axis=1)
    gain = np.linalg.solve(base, cross.T).T
    free = np.concatenate([load.g[up], stopped.T @ load.r])
    return (
        F[np.ix_(plan, plan)] - gain @ cross.T,
        rigid[plan] @ left,
        load.g[plan] - gain @ free,
        left.T @ load.r,
    )


def test_without_friction_it_is_the_arrangement(small):
    """Signs: forces and movements are those of `Supported` for the same bearings."""
    frame, grid = small.grillage()
    condensed = condense(frame, small.seats(grid[[0, 4, 8]][:, [0, 2]]))
    bearings = small.bearings(["xyz", "xz", "z", "yz", "xz", "z"], springs={(4, "x"): 3e7})
    rng = np.random.default_rng(3)
    load = condensed.load(rng.normal(size=(frame.freedoms, 2)) * 1e4)
    members = len(frame.ends)
    load = stack(
        [load, condensed.load(frame.strain_load(np.full(members, 12e-6 * 20), np.zeros(members)))]
    )
    expected = Supported(condensed, bearings, small.rigid_ground(6)).effects(load)
    D, R, V, Q = reduced(condensed, load)
    held = bearings.held[:, :2].ravel()
    sliders = Sliders(
        (D + D.T) / 2, R, np.repeat(np.arange(6), 2), np.zeros(6), ~held,
        compliance=np.where(held, bearings.compliance[:, :2].ravel(), 0.0),
    )  # fmt: skip
    path = follow(sliders, Loads(V, Q, np.zeros((6, 3))), History(np.eye(3)), record=3)
    force, movement = (
        expected.force[:, :2].reshape(12, 3).T,
        expected.movement[:, :2].reshape(12, 3).T,
    )
    assert path.forces == pytest.approx(force, abs=1e-7 * np.abs(force).max())
    found = path.positions + sliders.compliance * path.forces
    assert found == pytest.approx(movement, abs=1e-8 * np.abs(movement).max())


# ------------------------------------------------------------------ dividing steps
def test_dividing_steps_finds_the_fine_path():
    sliders, loads = bridge(34, stops=False, seats=4)  # circles of friction that turn
    turning = random_history(34, 10).factors
    before = np.concatenate([np.zeros((1, 4)), turning[:-1]])
    share = (np.arange(500) + 1.0) / 500
    fine = (before[:, None] + share[:, None] * (turning - before)[:, None]).reshape(-1, 4)
    keep = np.arange(499, 5000, 500)
    truth = follow(sliders, loads, History(fine), record=keep, accuracy=None)
    power = np.abs(truth.forces).max()
    whole = walked(sliders, loads, History(turning))
    divided = follow(sliders, loads, History(turning), record=10, accuracy=5e-3)
    error = np.abs(divided.forces - truth.forces).max()
    assert error < 0.02 * power
    assert error < 0.25 * np.abs(whole.forces - truth.forces).max()
    assert divided.solved > whole.solved
    assert 0.0 < divided.coarseness <= 5e-3
    assert whole.coarseness == 0.0
    # the fine points count in the envelopes
    assert np.all(divided.force.top >= divided.forces.max(axis=0) - 1e-9 * power)


def test_a_normal_force_that_goes_while_sliding():
    """Slides under 100 kN, then the load leaves while the pull stays: the spring draws it on."""
    sliders, loads = springs([1e8, 1e8], 50.0, free=np.array([False, True]), friction=0.1)
    loads.normal[1, 0] = 1e6
    path = follow(
        sliders, loads, History(np.array([[1, 10.0, 0], [0.4, 10.0, 0], [0, 10.0, 0]])), record=3
    )
    assert path.forces[:, 1] == pytest.approx([1e5, 4e4, 0.0], abs=1e-6)
    assert path.positions[:, 1] == pytest.approx([0.004, 0.0052, 0.006])


# ------------------------------------------------------------------ answers in words
def test_braking_beyond_friction_is_told_in_words():
    sliders, loads = springs([1e8, 1e8, 1e8], 60.0, names=("A1", "P1", "A2"))
    loads.normal[:, 0] = [1e6, 2e6, 1e6]  # 200 kN in all
    history = History(
        np.array([[1.0, 0.0, 0.0], [1.0, 0.0, 199e3]]), ("permanent", "kelvin", "braking")
    )
    assert follow(sliders, loads, history).end.force.sum() == pytest.approx(199e3)
    over = replace(history, factors=np.array([[1.0, 0.0, 0.0], [1.0, 0.0, 500e3]]))
    with pytest.raises(UnstableError) as caught:
        follow(sliders, loads, over)
    text = str(caught.value)
    assert "step 2" in text
    assert "slides along the bridge" in text
    assert "40 % of the force" in text
    assert "5e+05 x braking" in text


def test_nothing_that_holds_is_refused_at_once():
    with pytest.raises(UnstableError, match="slides along the bridge: no bearing holds it"):
        springs([1e8, 1e8], 60.0, friction=0.0)
    turning = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 1.0]])
    with pytest.raises(UnstableError, match=r"turns in plan|slides across"):
        Sliders(
            np.eye(4) * 1e-8, turning, np.array([0, 0, 1, 1]), np.zeros(2),
            np.array([False, False, True, True]),
        )  # fmt: skip


def test_play_that_opens_under_load_is_crossed_to_the_stop():
    """Nothing rubs: a force moves the bridge through the play until the stop holds it."""
    sliders, loads = springs(
        [1e8, 1e8], 50.0, friction=0.0, free=np.zeros(2, dtype=bool), play=np.array([0.01, 0.02])
    )
    path = follow(sliders, loads, History(np.array([[1, 0, 2e4], [1, 0, -2e4]])), record=2)
    assert path.forces == pytest.approx(np.array([[2e4, 0.0], [-2e4, 0.0]]), abs=1e-5)
    assert path.positions[:, 0] == pytest.approx([0.01, -0.01])
    assert path.positions[:, 1] == pytest.approx([0.0102, -0.0102])


def test_held_twice_with_nothing_elastic_between():
    D, R = np.zeros((2, 2)), np.ones((2, 1))
    sliders = Sliders(D, R, np.arange(2), np.zeros(2), np.zeros(2, dtype=bool))
    assert sliders.undecided
    loads = Loads(np.array([[0.0, 0.0], [6e-4, 0.0]]), np.array([[0.0, 1e5]]), np.ones((2, 2)))
    with pytest.raises(UnstableError, match="hold the same movement twice"):
        follow(sliders, loads, History(np.array([[10.0, 0.0]])))
    # without heat statics leaves the sharing open: least change shares it evenly
    path = follow(sliders, loads, History(np.array([[0.0, 1.0]])))
    assert path.end.force == pytest.approx([5e4, 5e4], rel=1e-3)


def test_rigid_slides_share_what_friction_allows():
    sliders = Sliders(
        np.zeros((2, 2)),
        np.ones((2, 1)),
        np.arange(2),
        np.array([0.05, 0.05]),
        np.ones(2, dtype=bool),
    )
    loads = Loads(np.zeros((2, 2)), np.array([[0.0, 1.0]]), np.array([[1e6, 0.0], [4e6, 0.0]]))
    path = follow(sliders, loads, History(np.array([[1.0, 220e3]])))
    assert path.end.force.sum() == pytest.approx(220e3)
    assert np.all(np.abs(path.end.force) <= [50e3 * (1 + 1e-9), 200e3 * (1 + 1e-9)])
    assert path.end.position == pytest.approx([0.0, 0.0])


def test_friction_lost_to_the_force_itself_is_refused_by_name():
    """N falls by 40 times the force: 200 kN of friction are gone long before 100 kN are held."""
    sliders, loads = springs([1e8, 1e8], 50.0, names=("A1", "A2"))
    sliders = replace(sliders, coupling=np.full((2, 2), -40.0))
    loads.normal[:, 0] = 2e6
    assert follow(sliders, loads, History(np.array([[1.0, 0.0, 30e3]]))).residual < 1e-9
    with pytest.raises((UnstableError, CheckError), match="step 1"):
        follow(sliders, loads, History(np.array([[1.0, 0.0, 100e3]])), accuracy=None)


# ------------------------------------------------------------------ records
def test_envelopes_are_those_of_the_record():
    sliders, loads = bridge(5)
    history = random_history(5, 30)
    groups = np.arange(30) % 2
    rows = np.array([np.arange(len(sliders.seat)) % 2 == 0], dtype=float)
    path = walked(sliders, loads, replace(history, group=groups), rows=rows)
    for group in (0, 1):
        own = np.flatnonzero(groups == group)
        assert np.array_equal(path.force.top[group], path.forces[own].max(axis=0))
        assert np.array_equal(path.force.low[group], path.forces[own].min(axis=0))
        picked = path.forces[path.force.top_step[group], np.arange(len(sliders.seat))]
        assert np.array_equal(picked, path.force.top[group])
        assert path.rows.low[group, 0] == pytest.approx((path.forces[own] @ rows[0]).min())
        moved = path.positions[own] + sliders.compliance * path.forces[own]
        assert path.movement.top[group] == pytest.approx(moved.max(axis=0), abs=1e-15)
    steps = np.diff(np.concatenate([np.zeros((1, len(sliders.seat))), path.positions]), axis=0)
    assert path.travel == pytest.approx(np.abs(steps).sum(axis=0))


def test_records_are_thinned():
    sliders, loads = bridge(5)
    history = random_history(5, 30)
    every = walked(sliders, loads, history)
    some = follow(sliders, loads, history, record=4, accuracy=None)
    assert some.steps.tolist() == [0, 10, 19, 29]
    assert some.forces == pytest.approx(every.forces[some.steps], abs=1e-3)
    picked = follow(sliders, loads, history, record=np.array([3, 7]), accuracy=None)
    assert picked.positions == pytest.approx(every.positions[[3, 7]], abs=1e-12)
    none = follow(sliders, loads, History(np.zeros((0, 4))))
    assert np.all(np.isneginf(none.force.top))
    assert none.end.position.tolist() == [0.0] * len(sliders.seat)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"flexibility": np.eye(3)}, "flexibility is 3 x 3, 4 x 4 is wanted"),
        ({"flexibility": np.diag([1.0, 1, 1, -1]) * 1e-8}, "negative stiffness"),
        ({"flexibility": np.tri(4) * 1e-8}, "not symmetric"),
        ({"friction": np.array([0.05, -0.1])}, "friction below zero"),
        ({"friction": np.array([0.05, np.nan])}, "friction has an entry that is not a number"),
        ({"seat": np.array([0, 0, 1, 2])}, "seat is outside"),
        ({"seat": np.array([0, 0, 0, 1])}, "more than two plan directions"),
        ({"stops": np.array([NONE, NONE, [0.01, 0.02], NONE])}, "a stop has passed"),
        ({"names": ("A1",)}, "1 names for 2 seats"),
        ({"compliance": np.array([0.0, 0.0, -1.0, 0.0])}, "compliance below zero"),
    ],
)
def test_arrays_that_do_not_fit_are_refused(change, words):
    good = {
        "flexibility": np.eye(4) * 1e-8, "motions": np.zeros((4, 0)),
        "seat": np.array([0, 0, 1, 1]), "friction": np.array([0.05, 0.05]),
        "free": np.ones(4, dtype=bool),
    }  # fmt: skip
    Sliders(**good)
    with pytest.raises(BedstoneError, match=words):
        Sliders(**(good | change))


def test_histories_that_do_not_fit_are_refused():
    sliders, loads = bridge(5)
    with pytest.raises(BedstoneError, match="movement is"):
        follow(sliders, loads, History(np.zeros((3, 2))))
    with pytest.raises(BedstoneError, match="rising order"):
        follow(sliders, loads, random_history(5), record=np.array([3, 1]))
    with pytest.raises(BedstoneError, match=r"outside 0\.\.11"):
        follow(sliders, loads, random_history(5), record=np.array([12]))
    far = State(np.full(len(sliders.seat), 1.0), np.zeros(len(sliders.seat)), np.zeros(4))
    with pytest.raises(BedstoneError, match="starts beyond its stop"):
        follow(sliders, loads, random_history(5), start=far)
