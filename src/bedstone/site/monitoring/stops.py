"""A stop that is reached: beyond one temperature the movement no longer follows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.stats import chi2

from bedstone.mechanics.frame import Floats
from bedstone.site.monitoring import sums
from bedstone.site.monitoring.fit import Fit
from bedstone.site.monitoring.normal import Solved, solve

#: Width (K) of the bins of temperature between which a stop is looked for.
_WIDTH = 0.25


@dataclass(frozen=True)
class Stop:
    """Reached at a temperature (degC) when it gets warmer or colder; slope (m/K) beyond it."""

    side: Literal["warmer", "colder"]
    temperature: float
    beyond: float


def stops(
    fit: Fit, *, chance: float, beyond: float, span: float, least: float, most: float
) -> tuple[Stop, ...]:
    """The stops of a log, by bent lines of two slopes fitted to sums by bins of temperature.

    `chance`: of a false one; `beyond`: largest slope beyond a stop over that before it; `span` (K)
    that must lie beyond it, and before it; `least`, `most` (m/K): between which the slope before it
    must lie.
    """
    log, model = fit.model.log, fit.model
    if log.cells < 2:
        return ()
    warm = sums.followed(log.hours, log.warm, model.lag, model.play)[:, 0].copy()
    start = float(warm[log.use].min())
    bins = max(int(np.ptp(warm[log.use]) / _WIDTH) + 1, 1)
    level = np.zeros(log.cells)
    for place, cell in enumerate(model.at, start=len(model.columns)):
        level[cell:] += model.beta[place]
    parts = sums.bin_sums(warm, log.hours, log.moved, log.use, log.cell, level, start, _WIDTH, bins)
    needed = float(chi2.isf(chance / bins, 1)) * max(fit.count / max(fit.effective, 1.0), 1.0)
    found: list[Stop] = []
    low, high = 0, bins
    for _ in range(2):
        best = None
        for cut in range(low + 1, high):
            at = start + cut * _WIDTH
            under, above = parts[low:cut].sum(axis=0), parts[cut:high].sum(axis=0)
            bent = _bent(under, above, at)
            before, after = float(bent.beta[2]), float(bent.beta[3])
            colder = abs(before) < abs(after)
            inner, outer = (after, before) if colder else (before, after)
            reach = min(at - start - low * _WIDTH, start + high * _WIDTH - at)
            bends = abs(outer) <= beyond * abs(inner) and least <= abs(inner) <= most
            fits = bends and reach >= span
            told = any((stop.side == "colder") == colder for stop in found)
            if fits and not told and (best is None or bent.rss < best[0].rss):
                best = (bent, at, cut, colder, outer)
        if best is None:
            break
        bent, at, cut, colder, outer = best
        straight = _straight(parts[low:high].sum(axis=0))
        if straight.rss - bent.rss <= needed * bent.variance:
            break
        found.append(Stop("colder" if colder else "warmer", at + log.mean, outer))
        low, high = (cut, high) if colder else (low, cut)
    return tuple(found)


def _straight(total: Floats) -> Solved:
    return solve(total[:3, :3], total[:3, 3], total[3, 3], total[0, 0])


def _bent(under: Floats, above: Floats, at: float) -> Solved:
    """Constant, time, slope below and slope above a temperature `at` at which both lines meet."""
    # columns of the bent line from those of the straight one, on either side of the bend
    one = np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 0]])
    two = np.array([[1.0, 0, 0], [0, 1, 0], [at, 0, 0], [-at, 0, 1]])
    matrix = one @ under[:3, :3] @ one.T + two @ above[:3, :3] @ two.T
    right = one @ under[:3, 3] + two @ above[:3, 3]
    return solve(matrix, right, under[3, 3] + above[3, 3], under[0, 0] + above[0, 0])
