"""Jacks that push and bearings that open: a linear complementarity problem, followed as they rise.

`bedstone.mechanics.contact.open_gaps` starts from a state in which every contact holds. Two jacks
beside one rigid bearing have no such state: the three would hold one movement twice. So the start
here is the bridge on its bearings alone, the jacks just touching, with two kinds of unknowns: the
gaps d that open at the bearings and the forces p of the jacks,

    N = N0 + A d + B p >= 0,   d >= 0,   N . d = 0
    w = -B' d + D p - t >= 0,  p >= 0,   w . p = 0

A: change of the compressions for a unit of raising, B: for a unit of jack force, D: opening at the
jacks for a unit of their forces; w: space between the head of a jack and the superstructure; t:
travel of the heads. The matrix [A, B; -B', D] is positive semidefinite, so Lemke's method ends with
a solution or proves that there is none (Cottle, Pang and Stone, The Linear Complementarity Problem,
chapter 4). Equal bearings and equal jacks make ties: they are broken in lexicographic order, which
cannot cycle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.frame import Bools, Floats

#: Relative size of a pivot that counts as zero.
SMALL = 1e-11
#: Relative error that a state of contact may show.
TOLERANCE = 1e-7
#: Product of a flexibility and a stiffness that counts as none.
_NOTHING = 1e-14
#: Part of the whole travel by which a state is looked at beyond a change of contact: changes that
#: lie closer together count as one.
_BEYOND = 1e-6


@dataclass(frozen=True)
class Piece:
    """A stretch of travel (m) on which no contact changes: unknowns are `base` + travel `slope`.

    `acting` (n,): which of the unknowns are not held at zero.
    """

    first: float
    last: float
    base: Floats
    slope: Floats
    acting: Bools

    def at(self, travel: float) -> Floats:
        """The unknowns z (n,) at a travel; those that do not act are exactly zero.

        Next to a change of contact one may be below zero by what `_BEYOND` brings.
        """
        return np.asarray(self.base + travel * self.slope)


def follow(matrix: Floats, start: Floats, rate: Floats, end: float, gaps: int) -> tuple[Piece, ...]:
    """Follow z >= 0, matrix z + start + travel rate >= 0, complementary, for travels 0 to `end`.

    - `matrix` (n, n): positive semidefinite, not symmetric; `start`, `rate` (n,)
    - `gaps`: so many of the unknowns are gaps (m), the others forces (N)

    Raises `UnstableError` where there is no solution, `CheckError` where one fails its own check.
    """
    scale = _scale(np.diag(matrix), gaps)
    matrix = matrix * scale[:, None] * scale[None, :]
    start, rate = start * scale, rate * scale
    pieces: list[Piece] = []
    first = 0.0
    for _ in range(8 * len(start) + 8):
        travel = first + _BEYOND * end
        held = complementary(matrix, start + travel * rate)
        base, slope = np.zeros_like(start), np.zeros_like(start)
        inner = matrix[np.ix_(held, held)]
        base[held] = np.linalg.solve(inner, -start[held])
        slope[held] = np.linalg.solve(inner, -rate[held])
        # what is in contact may come to nothing, what is open may close
        value = np.where(held, base, matrix @ base + start)
        change = np.where(held, slope, matrix @ slope + rate)
        size = np.abs(value) + end * np.abs(change)
        falls = change * end < -1e-9 * size.max(initial=0.0)
        until = np.full(len(start), np.inf)
        until[falls] = -value[falls] / change[falls]
        last = min(max(float(until.min(initial=np.inf)), travel), end)
        pieces.append(Piece(first, last, base * scale, slope * scale, held))
        if last >= end:
            return tuple(pieces)
        first = last
    raise CheckError("lifting: the contact of bearings and jacks changes without end")


def _scale(own: Floats, gaps: int) -> Floats:
    """(n,) units of the unknowns: lengths and forces differ by powers of ten; `own`: diagonal."""
    stiff = float(own[:gaps].max(initial=0.0))
    soft = float(own[gaps:].max(initial=0.0))
    if 0.0 < soft * stiff < _NOTHING:  # what couples them is of order one: this is rounding
        soft = 0.0
    # where one of both is nothing the other gives its unit
    length = 1.0 / np.sqrt(stiff) if stiff > 0.0 else np.sqrt(soft) if soft > 0.0 else 1.0
    force = 1.0 / np.sqrt(soft) if soft > 0.0 else 1.0 / length
    return np.where(np.arange(len(own)) < gaps, length, force)


def complementary(matrix: Floats, q: Floats) -> Bools:
    """(n,) which of z are in the solution of z >= 0, matrix z + q >= 0, complementary (Lemke).

    Raises as `follow`.
    """
    count = len(q)
    if count == 0 or q.min() >= 0.0:
        return np.zeros(count, dtype=bool)
    size = float(np.abs(q).max())
    # columns: w, z, the covering unknown, and the right-hand side
    table = np.concatenate(
        [np.eye(count), -matrix, -np.ones((count, 1)), q[:, None] / size], axis=1
    )
    cover = 2 * count
    basis = np.arange(count)
    entering, row = cover, _first(table, np.arange(count), np.ones(count))
    for _ in range(60 * count + 60):
        leaving = int(basis[row])
        table[row] /= table[row, entering]
        others = np.arange(count) != row
        table[others] -= table[others, entering][:, None] * table[row]
        basis[row] = entering
        if leaving == cover:
            break
        entering = leaving + count if leaving < count else leaving - count
        column = table[:, entering]
        able = np.flatnonzero(column > SMALL * max(float(np.abs(column).max()), 1.0))
        if len(able) == 0:
            raise UnstableError("the superstructure cannot be lifted so: it would overturn")
        row = _first(table, able, column)
    else:
        raise CheckError("lifting: no state of contact was found")
    held = np.zeros(count, dtype=bool)
    held[basis[(basis >= count) & (basis < cover)] - count] = True
    z = np.zeros(count)
    z[held] = np.linalg.solve(matrix[np.ix_(held, held)], -q[held])
    left = matrix @ z + q
    far = np.abs(matrix) @ np.abs(z) + np.abs(q)
    far = np.maximum(far, 1e-12 * float(far.max()))
    lack = max(float(-z.min()) / max(float(np.abs(z).max()), 1e-300), 0.0)
    error = max(lack, float((-left / far).max()))
    if not error < TOLERANCE:
        raise CheckError(f"lifting: contact of bearings and jacks is off by {error:.1e}")
    return held


def _first(table: Floats, rows: np.ndarray, column: Floats) -> int:
    """The row that is lexicographically least of right-hand side and inverse over `column`."""
    count = len(table)
    left = rows
    for place in (table.shape[1] - 1, *range(count)):
        value = table[left, place] / column[left]
        least = float(value.min())
        left = left[value <= least + 1e-12 * max(1.0, abs(least))]
        if len(left) == 1:
            break
    # where the covering unknown could leave as well it should; the order of rows decides the rest
    return int(left[0])
