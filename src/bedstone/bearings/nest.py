"""How the rollers of a nest share their load: eccentric force, imposed turning, lift-off.

Plates keep plane; each roller gives way as `hertz.RollerBed` says, and carries compression alone.
SI units, own statics and elasticity. Positions x (m) are those of the contact lines from the
nest's middle; rotation is positive where it presses the rollers at positive x.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bedstone.bearings.hertz import RollerBed
from bedstone.errors import BedstoneError
from bedstone.mechanics.frame import Floats


@dataclass(frozen=True)
class Sharing:
    """What each roller carries: `loads` (cases, rollers) N, `approach` (cases,) m in the middle,
    `rotation` (cases,) rad and `moment` (cases,) N m of the rollers about the nest's middle.
    """

    loads: Floats
    approach: Floats
    rotation: Floats
    moment: Floats


def positions(rollers: int, spacing: float) -> Floats:
    """Contact lines x (m) of `rollers` at equal `spacing` (m) about their middle."""
    return np.asarray(spacing * (np.arange(rollers) - (rollers - 1) / 2.0), dtype=np.float64)


def equal_stiffness(load: float, eccentricity: float, x: Floats) -> Floats:
    """Forces (N) of equally stiff rollers: N/n + N e x_i/sum x^2; negative ones would pull.

    Raises `BedstoneError` for a single roller under an eccentric force: nothing balances it.
    """
    spread = float(x @ x)
    if spread == 0.0:
        if eccentricity:
            raise BedstoneError("a single roller carries no moment about its own axis")
        return np.full(len(x), load / len(x))
    return load / len(x) + load * eccentricity * x / spread


def lift_off_eccentricity(rollers: int, spacing: float) -> float:
    """Eccentricity (m) at which the outer roller of equally stiff ones hangs free: s (n + 1)/6."""
    return spacing * (rollers + 1) / 6.0


def turned(load: Floats, rotation: Floats, x: Floats, length: float, bed: RollerBed) -> Sharing:
    """Sharing when the plates are turned against each other by `rotation` (rad).

    `load` (cases,) N > 0, `rotation` (cases,); `x` (rollers,) m; `length` (m): of one roller that
    carries. The total of the rollers is a convex, rising function of the approach in the middle:
    Newton's steps from above come down to it and cannot miss.
    """
    load, rotation = np.broadcast_arrays(np.asarray(load, float), np.asarray(rotation, float))
    if np.any(load <= 0.0):
        raise BedstoneError("rollers share a compression, not a pull")
    lever = rotation[:, None] * x
    d = bed.approach(load / (len(x) * length)) + np.max(np.abs(lever), axis=1)
    carried = stiffness = np.zeros_like(lever)
    for _ in range(60):
        carried, stiffness = (part * length for part in bed.load(d[:, None] + lever))
        step = (carried.sum(axis=1) - load) / stiffness.sum(axis=1)
        d = d - step
        if (np.abs(step) <= 1e-9 * np.abs(d)).all():
            break
    return Sharing(carried, d, np.array(rotation), carried @ x)


def eccentric(
    load: Floats, eccentricity: Floats, x: Floats, length: float, bed: RollerBed
) -> Sharing:
    """Sharing under forces `load` (cases,) N at `eccentricity` (cases,) m from the nest's middle.

    The moment of the rollers rises steadily with the rotation of the plates: Newton's steps on the
    rotation, kept inside a bracket that halves where a step would leave it. Raises `BedstoneError`
    where the force stands at or beyond the outer roller: the plates would tip over.
    """
    load, eccentricity = np.broadcast_arrays(
        np.asarray(load, float), np.asarray(eccentricity, float)
    )
    outer = float(np.max(x))
    if np.any(np.abs(eccentricity) >= outer):
        raise BedstoneError("the force stands outside the rollers: the plates would tip")
    if len(x) == 2:
        # Statics alone decides between two rollers; the plates turn by what they give way.
        each = equal_stiffness(1.0, 0.0, x) * load[:, None] + (load * eccentricity)[:, None] / (
            2.0 * x
        )
        gives = bed.approach(each / length)
        rotation = (gives[:, 1] - gives[:, 0]) / (x[1] - x[0])
        return Sharing(each, gives.mean(axis=1), rotation, each @ x)
    wanted = load * eccentricity
    # Beyond this rotation the outer roller carries all: the moment is at its largest.
    gap = float(np.min(np.diff(np.sort(x))))
    high = bed.approach(load / length) / gap
    low = -high
    rotation = np.zeros_like(load)
    found = turned(load, rotation, x, length, bed)
    for _ in range(60):
        error = found.moment - wanted
        if np.all(np.abs(error) <= 1e-10 * load * outer):
            break
        high = np.where(error > 0.0, rotation, high)
        low = np.where(error < 0.0, rotation, low)
        step = rotation - error / rotation_stiffness(found, x, length, bed)
        inside = (step > low) & (step < high)
        rotation = np.where(inside, step, 0.5 * (low + high))
        found = turned(load, rotation, x, length, bed)
    return found


def rotation_stiffness(found: Sharing, x: Floats, length: float, bed: RollerBed) -> Floats:
    """Stiffness (cases,) N m/rad of the nest against further turning under a constant load."""
    k = bed.load(found.approach[:, None] + found.rotation[:, None] * x)[1] * length
    total = k.sum(axis=1)
    first = k @ x
    return np.asarray(np.maximum(k @ x**2 - first**2 / total, 1e-12 * total))


@dataclass(frozen=True)
class LiftOff:
    """The turning at which the outer roller hangs free, by case: `rotation` (rad), locked `moment`
    (N m).
    """

    rotation: Floats
    moment: Floats


def lift_off(load: Floats, x: Floats, length: float, bed: RollerBed) -> LiftOff:
    """Rotation at which the first roller hangs free under `load` (cases,) N, and what it locks in.

    The rollers at x then give way by theta (x - x_first): Newton's steps on theta, from above.
    """
    load = np.atleast_1d(np.asarray(load, float))
    reach = x - np.min(x)
    theta = bed.approach(load / length) / float(np.min(reach[reach > 0.0]))
    carried = np.zeros((len(load), len(x)))
    for _ in range(60):
        carried, stiffness = (part * length for part in bed.load(theta[:, None] * reach))
        step = (carried.sum(axis=1) - load) / (stiffness @ reach)
        theta = theta - step
        if (np.abs(step) <= 1e-9 * theta).all():
            break
    return LiftOff(theta, carried @ x)
