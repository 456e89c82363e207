"""The loops over many arrangements, compiled by numba once and kept in its cache.

Columns (load cases) come in tiles of `TILE`, zero-padded rows in fours, so that the innermost loops
have a fixed length and stay in the nearest cache. All functions leave the interpreter free, so that
threads can share the arrangements out.
"""

from __future__ import annotations

import numba
import numpy as np
from numpy.typing import NDArray

from bedstone.mechanics.support import FREE_MOTION

#: Columns worked on at a time.
TILE = 32
#: Rows of effects, and answers, worked on at a time.
FOUR = 4

#: What became of an arrangement.
SOLVED, MOVES, HELD_TWICE = 0, 1, 2

_Reals = NDArray[np.float64]
_Whole = NDArray[np.int64]
# sums may be fused and reordered; loads that are not finite are refused before
_LOOSE = {"contract", "nnan", "nsz", "reassoc"}


@numba.njit(cache=True, error_model="numpy", nogil=True)
def stands(border: _Reals, held: _Whole) -> bool:
    """Whether the candidates `held` (m,) stop every motion that the shared bearings leave.

    `border` (K, z): movement of each candidate under each such motion. By orthogonal triangulation
    with pivoting; the limit is that of `FREE_MOTION`.
    """
    count, size = held.size, border.shape[1]
    if count < size:
        return False
    left = np.empty((size, count))
    for a in range(size):
        for i in range(count):
            left[a, i] = border[held[i], a]
    largest = 0.0
    for step in range(size):
        best, length = step, -1.0
        for a in range(step, size):
            own = 0.0
            for i in range(count):
                own += left[a, i] * left[a, i]
            if own > length:
                best, length = a, own
        length = np.sqrt(length)
        largest = max(largest, length)
        if not length > FREE_MOTION * largest:
            return False
        for i in range(count):
            value = left[best, i]
            left[best, i] = left[step, i]
            left[step, i] = value / length
        for a in range(step + 1, size):
            along = 0.0
            for i in range(count):
                along += left[a, i] * left[step, i]
            for i in range(count):
                left[a, i] -= along * left[step, i]
    return True


@numba.njit(cache=True, error_model="numpy", nogil=True)
def all_stand(border: _Reals, subsets: _Whole, result: NDArray[np.bool_]) -> None:
    """`stands` of each row of `subsets` (n, m), padded with -1, into `result` (n,)."""
    for row in range(len(subsets)):
        result[row] = stands(border, subsets[row][subsets[row] >= 0])


@numba.njit(cache=True, error_model="numpy", nogil=True)
def system(matrix: _Reals, border: _Reals, held: _Whole) -> _Reals:
    """The symmetric system [D_PP + c_P, Rz_P; Rz_P', 0] of one arrangement."""
    count, loose = held.size, border.shape[1]
    result = np.zeros((count + loose, count + loose))
    for i in range(count):
        for j in range(count):
            result[i, j] = matrix[held[i], held[j]]
        for j in range(loose):
            result[i, count + j] = border[held[i], j]
            result[count + j, i] = border[held[i], j]
    return result


@numba.njit(cache=True, error_model="numpy", nogil=True)
def invert(whole: _Reals, inverse: _Reals, small: float) -> bool:
    """Invert a symmetric system; False where it is singular to `small`.

    Equilibrated, eliminated with row pivots, and the inverse corrected once by Newton's step, which
    squares what is left of its error.
    """
    size = len(whole)
    weight = np.empty(size)
    for i in range(size):
        top = 0.0
        for j in range(size):
            top = max(top, abs(whole[i, j]))
        weight[i] = 1.0 / np.sqrt(max(top, 1e-300))
    scaled = np.empty((size, size))
    work = np.zeros((size, 2 * size))
    for i in range(size):
        for j in range(size):
            scaled[i, j] = whole[i, j] * weight[i] * weight[j]
            work[i, j] = scaled[i, j]
        work[i, size + i] = 1.0
    for step in range(size):
        pivot = step
        for i in range(step + 1, size):
            if abs(work[i, step]) > abs(work[pivot, step]):
                pivot = i
        if not abs(work[pivot, step]) > 0.0:
            return False
        if pivot != step:
            for j in range(2 * size):
                value = work[step, j]
                work[step, j] = work[pivot, j]
                work[pivot, j] = value
        own = 1.0 / work[step, step]
        for j in range(step, 2 * size):
            work[step, j] *= own
        for i in range(size):
            factor = work[i, step]
            if i != step and factor != 0.0:
                for j in range(step, 2 * size):
                    work[i, j] -= factor * work[step, j]
    norm, other = 0.0, 0.0
    for j in range(size):
        one, two = 0.0, 0.0
        for i in range(size):
            one += abs(scaled[i, j])
            two += abs(work[i, size + j])
        norm, other = max(norm, one), max(other, two)
    if not norm * other * small < 1.0:
        return False
    lack = np.zeros((size, size))
    for i in range(size):
        lack[i, i] = 1.0
        for k in range(size):
            factor = scaled[i, k]
            for j in range(size):
                lack[i, j] -= factor * work[k, size + j]
    for i in range(size):
        for j in range(size):
            inverse[i, j] = work[i, size + j]
        for k in range(size):
            factor = work[i, size + k]
            for j in range(size):
                inverse[i, j] += factor * lack[k, j]
    for i in range(size):
        for j in range(size):
            inverse[i, j] *= weight[i] * weight[j]
    return True


@numba.njit(cache=True, error_model="numpy", nogil=True, fastmath=_LOOSE)
def _answers(inverse: _Reals, right: _Reals, answer: _Reals) -> None:
    """`answer` (t, 4 a, TILE) = `inverse` (n, n) times `right` (t, n, TILE)."""
    size = len(inverse)
    for tile in range(len(right)):
        for i in range(size):
            line = answer[tile, i]
            for q in range(TILE):
                line[q] = 0.0
            for j in range(size):
                factor = inverse[i, j]
                given = right[tile, j]
                for q in range(TILE):
                    line[q] += factor * given[q]


@numba.njit(cache=True, error_model="numpy", nogil=True, fastmath=_LOOSE)
def _residual(whole: _Reals, count: int, own: _Reals, right: _Reals, answer: _Reals) -> float:
    """Worst relative residual over columns: of compatibility, and of equilibrium.

    Compatibility to the movements that meet in it; equilibrium to the forces, counting those that
    would hold each free movement in place (`own` (m,): compliance of each held direction).
    """
    size = len(whole)
    lack, reach = np.empty(TILE), np.empty(TILE)
    worst = 0.0
    for tile in range(len(right)):
        for first, last in ((0, count), (count, size)):
            off, scale = np.zeros(TILE), np.zeros(TILE)
            for i in range(first, last):
                given = right[tile, i]
                for q in range(TILE):
                    lack[q] = given[q]
                    reach[q] = abs(given[q])
                for j in range(size):
                    factor = whole[i, j]
                    if factor == 0.0:
                        continue
                    line = answer[tile, j]
                    for q in range(TILE):
                        lack[q] -= factor * line[q]
                        reach[q] += abs(factor * line[q])
                    if first > 0 and j < count:
                        loose = right[tile, j]
                        share = abs(factor) / own[j]
                        for q in range(TILE):
                            reach[q] += share * abs(loose[q])
                for q in range(TILE):
                    off[q] = max(off[q], abs(lack[q]))
                    scale[q] = max(scale[q], reach[q])
            for q in range(TILE):
                worst = max(worst, off[q] / max(scale[q], 1e-300))
    return worst


@numba.njit(cache=True, error_model="numpy", nogil=True, fastmath=_LOOSE)
def _extremes(line: _Reals, high: float, low: float) -> tuple[float, float]:
    for q in range(TILE):
        high = max(high, line[q])
        low = min(low, line[q])
    return high, low


@numba.njit(cache=True, error_model="numpy", nogil=True, fastmath=_LOOSE)
def _follow(
    direct: _Reals, rows: _Whole, gain: _Reals, answer: _Reals, group: _Whole,
    top: _Reals, low: _Reals,
) -> None:  # fmt: skip
    """Largest and smallest of direct + gain x answer for some effect rows, four at a time.

    `direct` (t, e, TILE), `rows` (r,) of it, a multiple of four; `gain` (r, 4 a); `answer`
    (t, 4 a, TILE); `group` (t,); `top`, `low` (groups, e) hold the worst so far.
    """
    size = gain.shape[1]
    a, b, c, d = np.empty(TILE), np.empty(TILE), np.empty(TILE), np.empty(TILE)
    for tile in range(len(direct)):
        high, deep = top[group[tile]], low[group[tile]]
        for r in range(0, len(rows), FOUR):
            ra, rb, rc, rd = rows[r], rows[r + 1], rows[r + 2], rows[r + 3]
            da, db = direct[tile, ra], direct[tile, rb]
            dc, dd = direct[tile, rc], direct[tile, rd]
            for q in range(TILE):
                a[q] = da[q]
                b[q] = db[q]
                c[q] = dc[q]
                d[q] = dd[q]
            for j in range(0, size, FOUR):
                x0, x1 = answer[tile, j], answer[tile, j + 1]
                x2, x3 = answer[tile, j + 2], answer[tile, j + 3]
                a0, a1, a2, a3 = gain[r, j], gain[r, j + 1], gain[r, j + 2], gain[r, j + 3]
                s = r + 1
                b0, b1, b2, b3 = gain[s, j], gain[s, j + 1], gain[s, j + 2], gain[s, j + 3]
                s = r + 2
                c0, c1, c2, c3 = gain[s, j], gain[s, j + 1], gain[s, j + 2], gain[s, j + 3]
                s = r + 3
                d0, d1, d2, d3 = gain[s, j], gain[s, j + 1], gain[s, j + 2], gain[s, j + 3]
                for q in range(TILE):
                    y0, y1, y2, y3 = x0[q], x1[q], x2[q], x3[q]
                    a[q] += a0 * y0 + a1 * y1 + a2 * y2 + a3 * y3
                    b[q] += b0 * y0 + b1 * y1 + b2 * y2 + b3 * y3
                    c[q] += c0 * y0 + c1 * y1 + c2 * y2 + c3 * y3
                    d[q] += d0 * y0 + d1 * y1 + d2 * y2 + d3 * y3
            high[ra], deep[ra] = _extremes(a, high[ra], deep[ra])
            high[rb], deep[rb] = _extremes(b, high[rb], deep[rb])
            high[rc], deep[rc] = _extremes(c, high[rc], deep[rc])
            high[rd], deep[rd] = _extremes(d, high[rd], deep[rd])


@numba.njit(cache=True, error_model="numpy", nogil=True)
def envelopes(
    matrix: _Reals, border: _Reals, own: _Reals, small: float, influence: _Reals, movement: _Reals,
    resultant: _Reals, direct: _Reals, still: NDArray[np.bool_],
    direct_top: _Reals, direct_low: _Reals, group: _Whole, subsets: _Whole,
    top: _Reals, low: _Reals, hold_top: _Reals, hold_low: _Reals,
    residual: _Reals, state: _Whole,
) -> None:  # fmt: skip
    """Envelopes of some arrangements, into the last six arrays (see `variants.Envelopes`).

    - `matrix` (K, K), `border` (K, z), `own` (K,): the scaled system of all candidates
    - `influence` (e, K + z): effects for a unit of each answer
    - `movement` (t, K, TILE), `resultant` (t, z, TILE), `direct` (t, e, TILE): the columns in
      tiles, of the group of columns `group` (t,); `still` (e,): rows of `direct` that are all zero
    - `direct_top`, `direct_low` (groups, e): envelope of `direct`
    - `subsets` (n, m), padded with -1
    """
    effects, loose = len(influence), border.shape[1]
    tiles, groups = len(group), len(direct_top)
    for number in range(len(subsets)):
        held = subsets[number][subsets[number] >= 0]
        count = held.size
        size = count + loose
        top[number] = np.nan
        low[number] = np.nan
        hold_top[number] = np.nan
        hold_low[number] = np.nan
        residual[number] = np.nan
        if not stands(border, held):
            state[number] = MOVES
            continue
        whole = system(matrix, border, held)
        inverse = np.empty((size, size))
        if not invert(whole, inverse, small):
            state[number] = HELD_TWICE
            continue
        state[number] = SOLVED
        right = np.empty((tiles, size, TILE))
        for tile in range(tiles):
            for i in range(count):
                right[tile, i] = movement[tile, held[i]]
            for i in range(loose):
                right[tile, count + i] = resultant[tile, i]
        padded = FOUR * ((size + FOUR - 1) // FOUR)
        answer = np.zeros((tiles, padded, TILE))
        _answers(inverse, right, answer)
        residual[number] = _residual(whole, count, own[held], right, answer)

        high, deep = hold_top[number], hold_low[number]
        for i in range(count):
            high[:, i] = -np.inf
            deep[:, i] = np.inf
            for tile in range(tiles):
                g = group[tile]
                high[g, i], deep[g, i] = _extremes(answer[tile, i], high[g, i], deep[g, i])

        # rows that follow no answer keep the envelope without one; a row that is nothing but a
        # multiple of one held force takes its envelope; the others are worked out
        rows = np.empty(effects + FOUR, dtype=np.int64)
        gain = np.zeros((effects + FOUR, padded))
        chosen = 0
        for row in range(effects):
            moving, only = 0, 0
            for i in range(size):
                j = held[i] if i < count else matrix.shape[0] + i - count
                value = influence[row, j]
                gain[chosen, i] = value
                if value != 0.0:
                    moving += 1
                    only = i
            if moving == 0:
                for g in range(groups):
                    top[number, g, row] = direct_top[g, row]
                    low[number, g, row] = direct_low[g, row]
            elif moving == 1 and still[row] and only < count:
                value = gain[chosen, only]
                for g in range(groups):
                    one, two = value * high[g, only], value * deep[g, only]
                    top[number, g, row] = max(one, two)
                    low[number, g, row] = min(one, two)
            else:
                for g in range(groups):
                    top[number, g, row] = -np.inf
                    low[number, g, row] = np.inf
                rows[chosen] = row
                chosen += 1
        if chosen == 0:
            continue
        while chosen % FOUR:  # the last row once more: the same envelope again
            rows[chosen] = rows[chosen - 1]
            gain[chosen] = gain[chosen - 1]
            chosen += 1
        _follow(direct, rows[:chosen], gain[:chosen], answer, group, top[number], low[number])
