"""A superstructure with its vertical bearings eliminated: x' and y' of every bearing are left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg

from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats
from bedstone.mechanics.support import FREE_MOTION, Bearings


@dataclass(frozen=True)
class Reduced:
    """What is left in K = 2 n plan directions (n seats with a bearing, x' then y' of each).

    `flexibility` (K, K) m/N, `motions` (K, z), `coupling` (n, K): change of N under unit forces of
    the superstructure on the bearings (N, + in compression), as `bedstone.mechanics.sliding`.
    """

    flexibility: Floats
    motions: Floats
    coupling: Floats
    _hold: Floats
    _plan: Floats
    _rigid: Floats
    _left: Floats
    _inverse: Floats
    _follow: Floats
    _vertical: Floats

    def columns(self, load: SeatLoad) -> tuple[Floats, Floats, Floats]:
        """(movement (K, k), resultant (z, k), normal (n, k)) of k loads, nothing held in plan."""
        free = load.g - load.s
        base = self._inverse @ np.concatenate([self._hold @ free, self._rigid.T @ load.r])
        movement = self._plan @ free - self._follow @ base
        return movement, self._left.T @ load.r, -(self._vertical @ base)


def reduce(
    condensed: Condensed, below: Floats, bearings: Bearings, rows: tuple[int, ...]
) -> Reduced:
    """Eliminate what holds vertically and against rotation; `below` compliance, `rows` seats."""
    turn = bearings.directions
    held = bearings.held.copy()
    held[:, :2] = False
    base = np.flatnonzero(held)
    hold = turn[base]
    plan = turn[[6 * row + axis for row in rows for axis in (0, 1)]]
    total = condensed.flexibility + below
    sway = hold @ condensed.rigid
    _, values, vectors = np.linalg.svd(sway)
    rank = int(np.sum(values > FREE_MOTION * values[0]))
    rigid, left = vectors[:rank].T, vectors[rank:].T
    size = len(base)
    matrix = np.zeros((size + rank, size + rank))
    core = hold @ total @ hold.T
    matrix[:size, :size] = core + np.diag(bearings.compliance.ravel()[base])
    matrix[:size, size:] = sway @ rigid
    matrix[size:, :size] = matrix[:size, size:].T
    scale = 1.0 / np.sqrt(np.maximum(np.abs(matrix).max(axis=0), 1e-300))
    inverse = scipy.linalg.inv(matrix * scale[:, None] * scale) * scale[:, None] * scale
    follow = np.concatenate([plan @ total @ hold.T, plan @ condensed.rigid @ rigid], axis=1)
    flexibility = plan @ total @ plan.T - follow @ inverse @ follow.T
    vertical = np.zeros((len(rows), size + rank))
    for number, row in enumerate(rows):
        vertical[number, np.flatnonzero(base == 6 * row + 2)] = 1.0
    return Reduced(
        flexibility=(flexibility + flexibility.T) / 2.0,
        motions=plan @ condensed.rigid @ left,
        coupling=vertical @ inverse @ follow.T,
        _hold=hold,
        _plan=plan,
        _rigid=rigid,
        _left=left,
        _inverse=inverse,
        _follow=follow,
        _vertical=vertical,
    )
