"""A hundred years of days on bearings that rub: 73,000 turning points of temperature.

Three spans, five girders, 20 bearings in 40 plan directions on piers that give way: one fixed, one
that holds along beside it, three guided along, 15 free with friction in a circle. A day warms and
cools by a chance amount about a yearly mean. Time is for one turning point.

The last rows are a small bridge, for OpenSees' sake: a bar on four springs, a pin and three rollers
with friction, the first fifty days; there friction is an elastic-plastic spring (1e12 N/m) and each
half day is done in 20 steps, in smaller ones and by other methods where Newton's goes in circles.
"""

from __future__ import annotations

import time

import numpy as np
import scipy.linalg

from bedstone.mechanics.condense import Condensed, SeatLoad, condense
from bedstone.mechanics.frame import Floats, Frame, Ints
from bedstone.mechanics.sliding import ACCURACY, History, Loads, Sliders, follow

from .rows import Row, best_of, grillage, seats_below

LINES, STATIONS, SUPPORTS = 5, 67, (0, 22, 44, 66)
DAYS, SHORT = 36_500, 50
FRICTION = 0.04
#: Stiffness of what is below the bearings of each support, N/m along and across.
BELOW = np.repeat([400e6, 60e6, 60e6, 400e6], LINES)
HEAT = 12e-6
UNIT = "turning point"
WEIGHT = 4.5e3 * 9.81  # kg/m of girder


def days(count: int) -> Floats:
    """Steel temperature at the turning points (2 count,), degrees from setting."""
    rng = np.random.default_rng(4)
    day = np.arange(count)
    mean = 15.0 * np.sin(2.0 * np.pi * day / 365.25)
    swing = rng.uniform(1.0, 9.0, count)
    return np.stack([mean + swing, mean - swing], axis=1).ravel()


def bridge() -> tuple[Frame, Ints, Condensed]:
    frame, nodes = grillage(LINES, STATIONS, 99.0, 12.0)
    seats = nodes[list(SUPPORTS)].ravel()
    return frame, seats, condense(frame, seats_below(seats, 0.0))


def cases(frame: Frame) -> Floats:
    """Load vectors: permanent load, one kelvin (freedoms, 2)."""
    load = np.zeros((len(frame.nodes), 6))
    load[:, 2] = -WEIGHT * 99.0 / (STATIONS - 1)
    members = len(frame.ends)
    heat = frame.strain_load(np.full(members, HEAT), np.zeros(members))
    return np.stack([load.ravel(), heat], axis=1)


def in_plan(condensed: Condensed, load: SeatLoad) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """D, R, V, Q, N0 of the plan directions once every seat is held vertically.

    The vertical forces and the motions that they stop are eliminated from the system of
    `bedstone.mechanics.support`.
    """
    count = condensed.seat_count
    rows = np.arange(6 * count).reshape(count, 6)
    plan, up = rows[:, :2].ravel(), rows[:, 2]
    total = condensed.flexibility.copy()
    total[plan, plan] += np.repeat(1.0 / BELOW, 2)
    left = scipy.linalg.null_space(condensed.rigid[up])
    stopped = scipy.linalg.orth(condensed.rigid[up].T)
    border = condensed.rigid[up] @ stopped
    z = border.shape[1]
    base = np.block([[total[np.ix_(up, up)], border], [border.T, np.zeros((z, z))]])
    cross = np.concatenate([total[np.ix_(plan, up)], condensed.rigid[plan] @ stopped], axis=1)
    gain = np.linalg.solve(base, cross.T).T
    free = np.concatenate([load.g[up], stopped.T @ load.r])
    flexibility = total[np.ix_(plan, plan)] - gain @ cross.T
    normal = -np.linalg.solve(base, free)[:count]
    return (
        (flexibility + flexibility.T) / 2.0,
        condensed.rigid[plan] @ left,
        load.g[plan] - gain @ free,
        left.T @ load.r,
        normal,
    )


def slides(condensed: Condensed, load: SeatLoad) -> tuple[Sliders, Loads]:
    """Fixed on the second line; guided along its girder elsewhere; the others free."""
    D, R, V, Q, N0 = in_plan(condensed, load)
    count = condensed.seat_count
    free = np.ones((count, 2), dtype=bool)
    middle = LINES // 2
    free[LINES + middle] = False
    free[[middle, 2 * LINES + middle, 3 * LINES + middle], 1] = False
    free[LINES, 0] = False
    sliders = Sliders(D, R, np.repeat(np.arange(count), 2), np.full(count, FRICTION), free.ravel())
    return sliders, Loads(V, Q, N0)


PLACES = np.array([0.0, 40.0, 75.0, 120.0])
PIERS = np.array([5e8, 3e7, 2e7, 4e8])
NORMAL = np.array([1.2e6, 3.5e6, 3.2e6, 1.1e6])
BAR = 8e9


def small(heat: Floats) -> tuple[Sliders, Loads, History]:
    """A bar on four springs, held on the second, sliding on the others."""
    free = np.array([True, False, True, True])
    bar = np.minimum(PLACES[:, None], PLACES) / BAR
    sliders = Sliders(
        bar + np.diag(1.0 / PIERS), np.ones((4, 1)), np.arange(4), np.full(4, FRICTION), free
    )
    zero = np.zeros(4)
    loads = Loads(
        np.stack([zero, HEAT * PLACES], axis=1), np.zeros((1, 2)), np.stack([NORMAL, zero], axis=1)
    )
    factors = np.stack([np.ones(len(heat) + 1), np.concatenate([[0.0], heat])], axis=1)
    return sliders, loads, History(factors)


def _opensees(heat: Floats, expected: Floats) -> Row:
    """The small bridge; forces at the turning points beside `expected` (t, 4)."""
    what = "OpenSees, small bridge, 20 steps each"
    try:  # not a dependency: its licence forbids; it may also miss a system library
        import openseespy.opensees as ops
    except Exception as error:  # noqa: BLE001
        return Row(what, None, UNIT, f"not measured: {type(error).__name__}: {error}")
    ops.wipe()
    ops.model("basic", "-ndm", 1, "-ndf", 1)
    for i, x in enumerate(PLACES):
        for level in (10, 20, 30):  # deck, pier, ground
            ops.node(level + i, float(x))
        ops.fix(30 + i, 1)
        ops.uniaxialMaterial("Elastic", 100 + i, float(PIERS[i]))
        strain = FRICTION * float(NORMAL[i]) / 1e12 if i != 1 else 1.0
        ops.uniaxialMaterial("ElasticPP", 200 + i, 1e12, strain)
        ops.element("zeroLength", 100 + i, 30 + i, 20 + i, "-mat", 100 + i, "-dir", 1)
        ops.element("zeroLength", 200 + i, 20 + i, 10 + i, "-mat", 200 + i, "-dir", 1)
    ops.uniaxialMaterial("Elastic", 1, BAR)
    for i in range(3):
        ops.element("Truss", 1 + i, 10 + i, 11 + i, 1.0, 1)
    times = [float(t) for t in range(len(heat) + 1)]
    ops.timeSeries("Path", 1, "-time", *times, "-values", 0.0, *map(float, heat))
    ops.pattern("Plain", 1, 1)
    ops.load(10, -BAR * HEAT)
    ops.load(13, BAR * HEAT)
    ops.constraints("Plain")
    ops.numberer("Plain")
    ops.system("BandGeneral")
    ops.test("NormUnbalance", 1.0, 30)
    ops.integrator("LoadControl", 0.05)
    ops.algorithm("Newton")
    ops.analysis("Static")
    initial = ("-iterate", "initial", "-increment", "initial", "-maxDim", 12)
    methods = (("Newton",), ("KrylovNewton", *initial), ("NewtonLineSearch", "-type", "Bisection"))
    found = np.zeros((len(heat), 4))
    start = time.perf_counter()
    for row, end in enumerate(times[1:]):
        while end - ops.getTime() > 1e-9:
            left = end - ops.getTime()
            for method, part in ((m, p) for p in (0.05, 0.016, 0.003, 6e-5, 5e-7) for m in methods):
                ops.algorithm(*method)
                ops.integrator("LoadControl", min(part, left))
                if ops.analyze(1) == 0:
                    break
            else:
                return Row(what, None, UNIT, f"did not converge at turning point {row + 1}")
        found[row] = [PIERS[i] * ops.nodeDisp(20 + i, 1) for i in range(4)]
    spent = (time.perf_counter() - start) / len(heat)
    ops.wipe()
    error = float(np.abs(found - expected).max() / np.abs(expected).max())
    return Row(what, spent, UNIT, f"forces differ by {error:.0e}")


def run() -> list[Row]:
    frame, _, condensed = bridge()
    sliders, loads = slides(condensed, condensed.load(cases(frame)))
    heat = days(DAYS)
    factors = np.stack([np.ones_like(heat), heat], axis=1)
    follow(sliders, loads, History(factors[:10]))  # compiled, or read from the cache
    rows = []
    for what, accuracy in (("each whole", None), ("divided to 1 %", ACCURACY)):
        start = time.perf_counter()
        path = follow(sliders, loads, History(factors), accuracy=accuracy)
        spent = time.perf_counter() - start
        note = (
            f"{len(heat):,} of them in {spent:.1f} s; {path.solved:,} problems, residual "
            f"{path.residual:.0e}, coarseness {path.coarseness:.1e}"
        )
        rows.append(Row(f"bedstone, 20 bearings, {what}", spent / len(heat), UNIT, note))
    short = days(SHORT)
    spent = best_of(5, lambda: follow(*small(short)))
    rows.append(Row("bedstone, small bridge, divided to 1 %", spent / len(short), UNIT))
    expected = follow(*small(short), record=len(short) + 1).forces[1:]
    rows.append(_opensees(short, expected))
    return rows
