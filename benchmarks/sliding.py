"""A hundred years of days on bearings that rub: 73,000 turning points of temperature.

Three spans, five girders, 20 bearings in 40 plan directions on piers that give way: one fixed, one
guided across on its line, three guided along, 15 free with friction in a circle. A day warms and
cools by a chance amount about a yearly mean. Time is for the whole history.

Beside it, for the first fifty days, the same slides as friction elements of OpenSees: deck and
piers as one elastic frame, each bearing an elastic-plastic spring (a cylinder of plasticity where
friction acts in a circle), in as many steps as that needs.
"""

from __future__ import annotations

import numpy as np
import scipy.linalg

from bedstone.mechanics.condense import Condensed, SeatLoad, condense
from bedstone.mechanics.frame import Floats, Frame, Ints
from bedstone.mechanics.sliding import History, Loads, Path, Sliders, follow

from .rows import Row, best_of, grillage, seats_below

LINES, STATIONS, SUPPORTS = 5, 67, (0, 22, 44, 66)
DAYS, SHORT = 36_500, 50
FRICTION = 0.04
#: Stiffness of what is below the bearings of each support, N/m along and across.
BELOW = np.repeat([400e6, 60e6, 60e6, 400e6], LINES)
HEAT = 12e-6
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


def run() -> list[Row]:
    frame, _, condensed = bridge()
    sliders, loads = slides(condensed, condensed.load(cases(frame)))
    heat = days(DAYS)
    factors = np.stack([np.ones_like(heat), heat], axis=1)
    unit = "history"
    follow(sliders, loads, History(factors[:10]))
    paths: list[Path] = []
    rows = []
    for what, accuracy in (("each step whole", None), ("steps divided to 1 %", 1e-2)):
        spent = best_of(
            1, lambda a=accuracy: paths.append(follow(sliders, loads, History(factors), accuracy=a))
        )
        path = paths[-1]
        note = (
            f"{path.solved:,} problems, {spent / path.solved * 1e6:.0f} us each, residual "
            f"{path.residual:.0e}, coarseness {path.coarseness:.0e}"
        )
        rows.append(Row(f"bedstone, {len(heat):,} turning points, {what}", spent, unit, note))
    return rows
