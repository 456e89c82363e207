"""Least squares from sums of products, with intervals that stay honest where errors hang together.

Residuals of a log are not independent: the thermometer is off for hours, a warm week for days. The
variance of a coefficient is therefore made from the sums of the scores over cells of time, with
weights that fall off over neighbouring cells (Bartlett's window, as Newey and West, Econometrica 55
(1987), proposed), after a first-order process is taken out (Andrews and Monahan, Econometrica 60
(1992)); how far they reach comes from the scores themselves (Andrews, Econometrica 59 (1991)). All
from memory. Few independent cells make Student's quantile wide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from bedstone.mechanics.frame import Floats

#: No reading is better than this (m): it keeps made-up data without noise from dividing by nothing.
FINEST = 1e-7


@dataclass(frozen=True)
class Interval:
    """A number with the interval that holds the truth at the confidence asked for."""

    value: float
    low: float
    high: float

    @property
    def half(self) -> float:
        """Half of the width."""
        return (self.high - self.low) / 2.0

    def over(self, divisor: float) -> Interval:
        """The same divided by a number that is taken as exact."""
        ends = sorted((self.low / divisor, self.high / divisor))
        return Interval(self.value / divisor, ends[0], ends[1])

    @property
    def signed(self) -> bool:
        """Whether nothing lies outside of the interval: the sign is sure."""
        return self.low > 0.0 or self.high < 0.0


@dataclass(frozen=True)
class Solved:
    """Coefficients (p,), their inverse normal matrix (p, p), sum of squared residuals, readings."""

    beta: Floats
    inverse: Floats
    rss: float
    count: float

    @property
    def variance(self) -> float:
        """Of one residual, m2."""
        return max(self.rss / max(self.count - len(self.beta), 1.0), FINEST**2)


@dataclass(frozen=True)
class Certain:
    """Covariance (p, p) of the coefficients, and the degrees of freedom behind it."""

    covariance: Floats
    freedom: float
    confidence: float

    def interval(self, value: float, weights: Floats) -> Interval:
        """Of the sum of the coefficients times `weights` (p,), which is `value`."""
        spread = math.sqrt(max(float(weights @ self.covariance @ weights), 0.0))
        half = spread * float(student.ppf(0.5 + self.confidence / 2.0, self.freedom))
        return Interval(value, value - half, value + half)


def solve(matrix: Floats, right: Floats, square: float, count: float) -> Solved:
    """Least squares of `matrix` (p, p) = X'X, `right` (p,) = X'y, `square` = y'y, `count` rows.

    Columns are scaled to the same size first. A column that the others already give gets nothing.
    """
    size = np.sqrt(np.maximum(np.diag(matrix), 1e-300))
    scaled = matrix / np.outer(size, size)
    inverse = np.linalg.pinv(scaled, rcond=1e-12, hermitian=True) / np.outer(size, size)
    beta = inverse @ right
    rss = square - 2.0 * float(beta @ right) + float(beta @ matrix @ beta)
    return Solved(beta, inverse, max(rss, 0.0), count)


def certain(solved: Solved, scores: Floats, confidence: float) -> Certain:
    """Covariance from the `scores` (cells, p) = sums of x times residual, in the order of time."""
    cells, size = scores.shape
    if cells <= size + 1:
        return Certain(solved.variance * solved.inverse, max(solved.count - size, 1.0), confidence)
    long, freedom = _long_run(scores @ solved.inverse)
    covariance = long * cells / (cells - size) + FINEST**2 * solved.inverse
    return Certain(covariance, max(min(freedom, cells - size), 2.0), confidence)


def inflation(sums: Floats, counts: Floats, variance: float) -> float:
    """By how much the errors' hanging together widens a mean: long-run variance over plain one.

    `sums` (cells,) of residuals, `counts` (cells,) of readings, `variance` of one residual.
    """
    total = float(_long_run(sums[:, None])[0][0, 0])
    return max(total / (float(counts.sum()) * variance), 1.0)


def _long_run(parts: Floats) -> tuple[Floats, float]:
    """Covariance (p, p) of the sum of the rows of `parts` (cells, p), and its degrees of freedom.

    What the next cell takes over from the last one is taken out first and put back in the end.
    """
    cells = len(parts)
    if cells < 8:
        return np.asarray(parts.T @ parts), float(cells)
    kept = _kept(parts)
    # the estimate from n cells is too small by about (1 + 3 rho) / n (Kendall, 1954)
    kept = np.clip(kept + (1.0 + 3.0 * kept) / cells, 0.0, 0.97)
    fresh = parts[1:] - parts[:-1] * kept
    reach = _reach(fresh)
    middle = fresh.T @ fresh
    for step in range(1, reach + 1):
        weight = 1.0 - step / (reach + 1.0)
        part = fresh[step:].T @ fresh[:-step]
        middle += weight * (part + part.T)
    back = 1.0 / (1.0 - kept)
    most = float(kept.max())
    freedom = cells * (1.0 - most) / (1.0 + most)
    return np.asarray(middle * np.outer(back, back) * cells / (cells - 1.0)), freedom


def _kept(parts: Floats) -> Floats:
    """(p,) share of each column that the next cell takes over from the last one."""
    now, after = parts[:-1], parts[1:]
    square = np.einsum("ij,ij->j", now, now)
    return np.asarray(np.einsum("ij,ij->j", now, after) / np.where(square > 0.0, square, 1.0))


def _reach(parts: Floats) -> int:
    """Over how many neighbouring cells the window reaches, by the column that keeps most."""
    cells = len(parts)
    most = float(np.clip(np.abs(_kept(parts)).max(initial=0.0), 0.0, 0.97))
    alpha = 4.0 * most**2 / (1.0 - most**2) ** 2
    reach = math.ceil(1.1447 * (alpha * cells) ** (1.0 / 3.0)) if alpha > 1e-3 else 0
    return min(reach, cells // 4)
