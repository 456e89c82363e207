"""Sharing in a nest, held by statics, by vectors worked by hand and by a numerical solution."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize, nnls

from bedstone.bearings import nest
from bedstone.bearings.hertz import RollerBed
from bedstone.errors import BedstoneError

BED = RollerBed(0.1, (0.05, 0.05), 210e9, 0.3)
LENGTH = 0.5


@pytest.mark.parametrize(
    ("rollers", "spacing", "expected"),
    [
        (2, 0.2, [800, 1200]),
        (3, 0.15, [533.33, 666.67, 800]),
        (4, 0.15, [420, 473.33, 526.67, 580]),
    ],
)
def test_equally_stiff_rollers(rollers, spacing, expected):
    # N = 2000 kN, girder moved 40 mm: force 20 mm off the nest's middle. Own statics by hand.
    shared = nest.equal_stiffness(2e6, 0.02, nest.positions(rollers, spacing))
    assert shared / 1e3 == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(("rollers", "share"), [(2, 1 / 2), (3, 2 / 3), (4, 5 / 6)])
def test_lift_off_of_equally_stiff_rollers(rollers, share):
    spacing = 0.2
    e = nest.lift_off_eccentricity(rollers, spacing)
    assert e == pytest.approx(share * spacing)
    assert nest.equal_stiffness(1.0, e, nest.positions(rollers, spacing)).min() == pytest.approx(0)


def test_one_roller_carries_no_moment():
    x = nest.positions(1, 0.2)
    assert nest.equal_stiffness(5.0, 0.0, x) == pytest.approx(5.0)
    with pytest.raises(BedstoneError, match="no moment"):
        nest.equal_stiffness(5.0, 0.01, x)


def test_lift_off_rotation_by_hand():
    # R = 100, N' = 2000 N/mm each, s = 200: one roller at 4000 N/mm gives 0.105 mm, so 0.00052 rad
    # without the plates (own statics with Johnson's approach of a roller).
    bare = RollerBed(0.1, (), 210e9, 0.3)
    found = nest.lift_off(2 * 2e6 * LENGTH, nest.positions(2, 0.2), LENGTH, bare)
    assert found.rotation[0] == pytest.approx(0.00052, abs=0.5e-5)
    assert found.moment[0] == pytest.approx(2e6 * 0.1)


cases = st.tuples(
    st.integers(2, 4), st.floats(0.1, 0.4), st.floats(1e4, 8e6), st.floats(-0.98, 0.98)
)


@given(cases)
@settings(deadline=None)
def test_sharing_balances_and_closes(case):
    rollers, spacing, force, share = case
    x = nest.positions(rollers, spacing)
    e = share * x.max()
    found = nest.eccentric(np.array([force]), np.array([e]), x, LENGTH, BED)
    assert found.loads.sum() == pytest.approx(force, rel=1e-9)
    assert found.moment[0] == pytest.approx(force * e, abs=1e-8 * force * x.max())
    assert (found.loads >= 0).all()
    # Plates keep plane: every loaded roller gives way by what they come together above it.
    gives = found.approach[:, None] + found.rotation[:, None] * x
    loaded = found.loads > 0
    assert BED.approach(found.loads / LENGTH)[loaded] == pytest.approx(gives[loaded], rel=1e-7)
    assert (gives[~loaded] <= 1e-12).all()
    # The same turning imposed gives the same sharing.
    again = nest.turned(np.array([force]), found.rotation, x, LENGTH, BED)
    assert again.loads == pytest.approx(found.loads, rel=1e-6, abs=1e-6 * force)


@given(cases)
@settings(deadline=None)
def test_lift_off_is_where_the_first_roller_hangs(case):
    rollers, spacing, force, _ = case
    x = nest.positions(rollers, spacing)
    found = nest.lift_off(force, x, LENGTH, BED)
    just = nest.turned(
        np.full(2, force), found.rotation[0] * np.array([0.999, 1.001]), x, LENGTH, BED
    )
    assert just.loads[0, 0] > 0.0 or just.loads[0, 0] == pytest.approx(0.0, abs=1e-3 * force)
    assert just.loads[1, 0] == 0.0
    assert just.moment == pytest.approx(found.moment[0], rel=5e-3)


def test_energy_minimum_gives_the_same_sharing():
    # Independent: the forces that make the stored energy least, by a general optimiser.
    x = nest.positions(4, 0.15)
    force, e = 2e6, 0.06
    steps = np.linspace(0.0, 1.0, 400)

    def energy(loads):
        # Work of each roller: force times approach, less the area under the curve.
        total = 0.0
        for load in loads:
            line = steps * load / LENGTH
            total += LENGTH * np.trapezoid(BED.approach(line), line)
        return total

    found = minimize(
        energy,
        np.full(4, force / 4),
        method="SLSQP",
        bounds=[(0.0, None)] * 4,
        constraints=(
            {"type": "eq", "fun": lambda n: (n.sum() - force) / force},
            {"type": "eq", "fun": lambda n: (n @ x - force * e) / force},
        ),
        options={"ftol": 1e-14, "maxiter": 500},
    )
    own = nest.eccentric(np.array([force]), np.array([e]), x, LENGTH, BED).loads[0]
    assert own == pytest.approx(found.x, rel=0.01, abs=0.002 * force)


def strip_displacement(x, half, depth):
    """Settlement of the surface against a point at `depth`, unit pressure on |xi| < half.

    Flamant's line load, plane strain: u = (1 - nu^2)/(pi E) (2 ln(d/r) - 1/(1 - nu)) against the
    point straight below at d, for r small against d; strips integrated exactly.
    """
    nu, E = 0.3, 210e9

    def part(u):
        return u * np.log(np.maximum(np.abs(u), 1e-300)) - u

    width = 2 * half
    logs = 2.0 * (width * np.log(depth) - (part(x + half) - part(x - half)))
    return (1 - nu**2) / (np.pi * E) * (logs - width / (1 - nu))


def test_contact_solved_on_strips_gives_the_same_lift_off():
    # Two rollers between a turned plate and a bed: each contact solved on strips of a half plane
    # (non-negative least squares), no formula of Hertz in it. Roller and plates give way together;
    # the bodies' own shortening is that of a disc (two contacts at the depth 4 R, Johnson 5.57).
    radius, depth, spacing, force = 0.1, 0.05, 0.2, 2e6
    a = 2.2e-3
    strips = 121
    half = 1.5 * a / strips
    x = 2 * half * (np.arange(strips) - strips // 2)
    nu = 0.3
    plate = strip_displacement(x[:, None] - x[None, :], half, depth)
    # The disc seen from one contact: 2 ln(4 R/r) - 1 + ..., here as Flamant against its centre
    # with the depth that (5.57) implies: c P' (2 ln(4R/a) - 1) = c P' (2 ln(2 d'/a) - nu/(1-nu)).
    seen = 2.0 * radius * np.exp((nu / (1 - nu) - 1.0) / 2.0)
    disc = strip_displacement(x[:, None] - x[None, :], half, seen)
    factor = np.linalg.cholesky(plate + disc)

    def carried(approach):
        # Both sides of the roller are alike: half of the approach for each contact.
        gap = x**2 / (2 * radius)
        right = np.linalg.solve(factor, approach / 2.0 - gap)
        return nnls(factor.T, right, maxiter=50_000)[0].sum() * 2 * half * LENGTH

    low, high = 0.0, 1e-3
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if carried(middle) > force else (middle, high)
    found = nest.lift_off(force, nest.positions(2, spacing), LENGTH, BED)
    assert found.rotation[0] == pytest.approx(low / spacing, rel=0.02)


@pytest.mark.parametrize("share", [1.0, 1.2])
def test_force_outside_the_rollers_tips(share):
    x = nest.positions(3, 0.2)
    with pytest.raises(BedstoneError, match="tip"):
        nest.eccentric(np.array([1e6]), np.array([share * 0.2]), x, LENGTH, BED)


def test_pull_is_refused():
    with pytest.raises(BedstoneError, match="pull"):
        nest.turned(np.array([-1.0]), np.array([0.0]), nest.positions(2, 0.2), LENGTH, BED)


def test_stiffness_is_the_slope_of_the_moment():
    x = nest.positions(3, 0.15)
    step = 1e-9
    turned = nest.turned(np.full(3, 1.5e6), 1e-4 + step * np.array([-1, 0, 1]), x, LENGTH, BED)
    slope = (turned.moment[2] - turned.moment[0]) / (2 * step)
    assert nest.rotation_stiffness(turned, x, LENGTH, BED)[1] == pytest.approx(slope, rel=1e-4)
