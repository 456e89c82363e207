"""One pass over a log: the sums from which every fit follows, and the paths.

A bearing that sticks follows the temperature like play in a gear: it stands until the temperature
has turned by twice the play, then goes with it. That, and the lag, are the only parts of the model
that need a loop over the readings; everything else is solved from exact sums of products (normal
equations), kept by cells of time, so that steps, parts of the time and honest intervals need no
second look at the readings.
"""

from __future__ import annotations

import numba
import numpy as np
from numpy.typing import NDArray

_Floats = NDArray[np.float64]
_Ints = NDArray[np.int64]
_Bools = NDArray[np.bool_]

#: Columns of the sums: constant, time (years), temperature followed (K), its change with the play
#: (K/K) and with the lag (K/h), path of the temperature followed (K), movement (m).
ONE, TIME, WARM, PLAY, LAG, PATH, MOVED = range(7)
COLUMNS = 7
#: Readings whose products are added together.
_BLOCK = 128
#: Hours in a year of 365.25 days.
YEAR = 8766.0


@numba.njit(cache=True, nogil=True, error_model="numpy")
def cell_sums(
    hours: _Floats,
    moved: _Floats,
    warm: _Floats,
    use: _Bools,
    cell: _Ints,
    cells: int,
    lag: float,
    play: float,
    low: float,
    high: float,
    gap: float,
) -> _Floats:
    """(cells, 7, 7) sums of products of the columns over the readings of each cell.

    - `hours` (n,) rising, h; `moved` (n,) m; `warm` (n,) K from any datum; `use` (n,); `cell` (n,)
    - `lag`: h by which the movement comes after the temperature; `play`: half of the range (K) in
      which the bearing stands still; `low`, `high`: temperatures (K) at which stops are reached
    - readings whose lagged temperature falls into a hole longer than `gap` (h) are not counted
    """
    count = len(hours)
    sums = np.zeros((cells, COLUMNS, COLUMNS))
    block = np.empty((COLUMNS, _BLOCK))
    filled = 0
    into = 0
    at = 0
    followed = 0.0
    by_play = 0.0
    by_lag = 0.0
    path = 0.0
    begun = False
    for i in range(count):
        counted = use[i]
        now = warm[i]
        slope = 0.0
        if lag != 0.0 or gap > 0.0:
            # the temperature `lag` before; the pointer only ever goes forward
            wanted = hours[i] - lag
            while at + 1 < count - 1 and hours[at + 1] <= wanted:
                at += 1
            if count > 1:
                width = hours[at + 1] - hours[at]
                inside = hours[at] <= wanted <= hours[at + 1]
                if width > 0.0:
                    slope = (warm[at + 1] - warm[at]) / width
                    now = warm[at] + slope * min(max(wanted - hours[at], 0.0), width)
                if not inside or width > gap:
                    counted = False
        if not begun:
            followed = now
            begun = True
        before = followed
        if now - followed > play:
            followed = now - play
            by_play = -1.0
            by_lag = -slope
        elif followed - now > play:
            followed = now + play
            by_play = 1.0
            by_lag = -slope
        elif play == 0.0:
            by_lag = -slope
        path += abs(followed - before)
        if not counted:
            continue
        if filled == _BLOCK or (filled > 0 and cell[i] != into):
            _add(sums[into], block, filled)
            filled = 0
        into = cell[i]
        block[ONE, filled] = 1.0
        block[TIME, filled] = hours[i] / YEAR
        block[WARM, filled] = min(max(followed, low), high)
        moving = low <= followed <= high
        block[PLAY, filled] = by_play if moving else 0.0
        block[LAG, filled] = by_lag if moving else 0.0
        block[PATH, filled] = path
        block[MOVED, filled] = moved[i]
        filled += 1
    if filled > 0:
        _add(sums[into], block, filled)
    return sums


@numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"reassoc", "contract"})
def _add(sums: _Floats, block: _Floats, count: int) -> None:
    """Add the products of the first `count` readings of a block (7, _BLOCK) to `sums` (7, 7)."""
    for a in range(COLUMNS):
        for b in range(a + 1):
            total = 0.0
            for i in range(count):
                total += block[a, i] * block[b, i]
            sums[a, b] += total
            if a != b:
                sums[b, a] += total


@numba.njit(cache=True, nogil=True, error_model="numpy")
def followed(hours: _Floats, warm: _Floats, lag: float, play: float) -> _Floats:
    """(n, 3) temperature (K) followed with this `lag` (h) and `play` (K); by the play; by the lag.

    The last two are its changes (K/K, K/h) with play and lag, as in `cell_sums`.
    """
    count = len(hours)
    found = np.empty((count, 3))
    at = 0
    last = 0.0
    by_play = 0.0
    by_lag = 0.0
    for i in range(count):
        now = warm[i]
        slope = 0.0
        if count > 1:
            wanted = hours[i] - lag
            while at + 1 < count - 1 and hours[at + 1] <= wanted:
                at += 1
            width = hours[at + 1] - hours[at]
            if width > 0.0:
                slope = (warm[at + 1] - warm[at]) / width
                now = warm[at] + slope * min(max(wanted - hours[at], 0.0), width)
        if i == 0:
            last = now
        if now - last > play:
            last = now - play
            by_play = -1.0
            by_lag = -slope
        elif last - now > play:
            last = now + play
            by_play = 1.0
            by_lag = -slope
        elif play == 0.0:
            by_lag = -slope
        found[i, 0] = last
        found[i, 1] = by_play
        found[i, 2] = by_lag
    return found


#: Columns of `swing_sums`.
SWINGS = 6


@numba.njit(cache=True, nogil=True, error_model="numpy")
def swing_sums(
    hours: _Floats,
    moved: _Floats,
    warm: _Floats,
    use: _Bools,
    cell: _Ints,
    cells: int,
    apart: float,
    slack: float,
) -> _Floats:
    """(cells, 6, 6) sums of products of changes over `apart` hours (within `slack`).

    Columns: the time between (years), the change of the temperature followed where it rises (K),
    where it falls (K), its changes with play and lag, the change of movement (m). `warm` (n, 3):
    of `followed`.
    """
    count = len(hours)
    sums = np.zeros((cells, SWINGS, SWINGS))
    row = np.empty(SWINGS)
    at = 0
    for i in range(count):
        wanted = hours[i] - apart
        while at + 1 < i and abs(hours[at + 1] - wanted) <= abs(hours[at] - wanted):
            at += 1
        if not (use[i] and use[at]) or abs(hours[at] - wanted) > slack:
            continue
        change = warm[i, 0] - warm[at, 0]
        row[0] = (hours[i] - hours[at]) / YEAR
        row[1] = max(change, 0.0)
        row[2] = min(change, 0.0)
        row[3] = warm[i, 1] - warm[at, 1]
        row[4] = warm[i, 2] - warm[at, 2]
        row[5] = moved[i] - moved[at]
        own = sums[cell[i]]
        for a in range(SWINGS):
            for b in range(SWINGS):
                own[a, b] += row[a] * row[b]
    return sums


@numba.njit(cache=True, nogil=True, error_model="numpy")
def bin_sums(
    warm: _Floats,
    hours: _Floats,
    moved: _Floats,
    use: _Bools,
    cell: _Ints,
    level: _Floats,
    start: float,
    width: float,
    bins: int,
) -> _Floats:
    """(bins, 4, 4) sums of products by bins of temperature: constant, time, temperature, movement.

    `level` (cells,) is taken off the movement (m): what steps have moved the constant.
    """
    sums = np.zeros((bins, 4, 4))
    row = np.empty(4)
    for i in range(len(warm)):
        if not use[i]:
            continue
        at = min(max(int((warm[i] - start) / width), 0), bins - 1)
        row[0] = 1.0
        row[1] = hours[i] / YEAR
        row[2] = warm[i]
        row[3] = moved[i] - level[cell[i]]
        own = sums[at]
        for a in range(4):
            for b in range(4):
                own[a, b] += row[a] * row[b]
    return sums


@numba.njit(cache=True, nogil=True, error_model="numpy")
def still_runs(moved: _Floats, warm: _Floats, span: float) -> _Ints:
    """(k, 2) first and last reading of stretches of one value while the temperature moves.

    By `span` (K) or more. Stretches do not overlap.
    """
    count = len(moved)
    found = np.empty((max(count, 1), 2), dtype=np.int64)
    number = 0
    first = 0
    while first < count:
        last = first
        least = most = warm[first]
        while last + 1 < count and moved[last + 1] == moved[first]:
            last += 1
            least = min(least, warm[last])
            most = max(most, warm[last])
        if most - least >= span and last > first:
            found[number, 0] = first
            found[number, 1] = last
            number += 1
        first = last + 1
    return found[:number].copy()


@numba.njit(cache=True, nogil=True, error_model="numpy")
def path_length(moved: _Floats, use: _Bools, band: float) -> float:
    """Length (m) of the way gone, movements below `band` (m, each way) not counted: noise."""
    total = 0.0
    begun = False
    last = 0.0
    for i in range(len(moved)):
        if not use[i]:
            continue
        if not begun:
            last = moved[i]
            begun = True
        before = last
        last = min(max(last, moved[i] - band), moved[i] + band)
        total += abs(last - before)
    return total


@numba.njit(cache=True, nogil=True, error_model="numpy")
def roughness(
    moved: _Floats, warm: _Floats, use: _Bools, slope: float, gap: float, hours: _Floats
) -> float:
    """Mean size (m) of the change between neighbouring readings, temperature taken out."""
    total = 0.0
    number = 0
    for i in range(1, len(moved)):
        if use[i] and use[i - 1] and hours[i] - hours[i - 1] <= gap:
            total += abs(moved[i] - moved[i - 1] - slope * (warm[i] - warm[i - 1]))
            number += 1
    return total / number if number else 0.0


@numba.njit(cache=True, nogil=True, error_model="numpy")
def averaged(hours: _Floats, warm: _Floats, known: _Bools, reach: float) -> _Floats:
    """(n,) mean of `warm` over the known readings no more than `reach` (h) before and after."""
    count = len(hours)
    found = np.empty(count)
    first = 0
    end = 0
    total = 0.0
    number = 0
    for i in range(count):
        while end < count and hours[end] <= hours[i] + reach:
            if known[end]:
                total += warm[end]
                number += 1
            end += 1
        while hours[first] < hours[i] - reach:
            if known[first]:
                total -= warm[first]
                number -= 1
            first += 1
        found[i] = total / number if number else 0.0
    return found
