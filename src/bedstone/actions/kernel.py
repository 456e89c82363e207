"""The loops that numpy is too slow for: every train at every place, and every cell of a lane.

Compiled by numba once and kept in its cache; the loop over effects is innermost and contiguous.
"""

from __future__ import annotations

import numba
import numpy as np
from numpy.typing import NDArray

#: An axle so little (m) beyond the end of the deck is still on it: places are rounded to this.
ROUNDING = 1e-6


@numba.njit(cache=True, error_model="numpy", inline="always")
def _cell(stations: NDArray[np.float64], at: float) -> int:
    """The station behind a chainage, never the last one."""
    index = int(np.searchsorted(stations, at, side="right")) - 1
    return int(min(max(index, 0), stations.size - 2))


@numba.njit(cache=True, error_model="numpy", nogil=True)
def worst_places(
    lines: NDArray[np.float64],
    sums: NDArray[np.float64],
    stations: NDArray[np.float64],
    limits: NDArray[np.float64],
    places: NDArray[np.float64],
    position: NDArray[np.float64],
    half: NDArray[np.float64],
    force: NDArray[np.float64],
    omit: bool,
    extra: NDArray[np.float64],
    top: NDArray[np.float64],
    which: NDArray[np.int64],
    where: NDArray[np.int64],
    number: int,
) -> None:
    """Set one convoy at all its places in all lanes and keep what is worse than before.

    - `lines` (w, c, stations, e): effect of a unit axle on each of w wheel lines at c offsets;
      `sums` the same summed along the line (trapezoid rule), read only where there are strips
    - `limits` (w, c, 2): chainages between which the deck lies there
    - `places` (c, p): chainage of the first axle, nan beyond an offset's last place
    - `position`, `half` (c, k), `force` (k,): axles (half 0) and strips of even load behind the
      first, in metres of reference line
    - `omit`: leave out axles that relieve
    - `extra` (2, c, p, e) or (2, c, 1, e): effect of other load in the lane; adverse positive
    - `top`, `which`, `where` (2, c, e): the worst so far, its convoy and place; changed here
    """
    wheels, lanes, _, effects = lines.shape
    total = np.empty(effects)
    plus = np.empty(effects)
    one = np.empty(effects)
    for lane in range(lanes):
        for place in range(places.shape[1]):
            first = places[lane, place]
            if np.isnan(first):
                break
            total[:] = 0.0
            plus[:] = 0.0
            for axle in range(force.size):
                # only where single axles may be left out is each kept apart
                target = one if omit else total
                if omit:
                    one[:] = 0.0
                at = first - position[lane, axle]
                reach = half[lane, axle]
                for wheel in range(wheels):
                    line, run = lines[wheel, lane], sums[wheel, lane]
                    low, high = limits[wheel, lane]
                    if reach == 0.0:
                        if at < low - ROUNDING or at > high + ROUNDING:
                            continue
                        at_deck = min(max(at, low), high)
                        i = _cell(stations, at_deck)
                        part = (at_deck - stations[i]) / (stations[i + 1] - stations[i])
                        ahead = force[axle] * part
                        behind = force[axle] - ahead
                        for e in range(effects):
                            target[e] += behind * line[i, e] + ahead * line[i + 1, e]
                        continue
                    start, end = max(at - reach, low), min(at + reach, high)
                    if end <= start:
                        continue
                    even = force[axle] / (2.0 * reach)
                    for side in range(2):
                        edge = end if side == 0 else start
                        sign = even if side == 0 else -even
                        i = _cell(stations, edge)
                        step = edge - stations[i]
                        bend = step * step / (2.0 * (stations[i + 1] - stations[i]))
                        for e in range(effects):
                            target[e] += sign * (
                                run[i, e] + line[i, e] * (step - bend) + line[i + 1, e] * bend
                            )
                if omit:
                    for e in range(effects):
                        total[e] += one[e]
                        plus[e] += max(one[e], 0.0)
            column = min(place, extra.shape[2] - 1)
            for e in range(effects):
                up = (plus[e] if omit else total[e]) + extra[0, lane, column, e]
                down = (plus[e] - total[e] if omit else -total[e]) + extra[1, lane, column, e]
                if up > top[0, lane, e]:
                    top[0, lane, e] = up
                    which[0, lane, e] = number
                    where[0, lane, e] = place
                if down > top[1, lane, e]:
                    top[1, lane, e] = down
                    which[1, lane, e] = number
                    where[1, lane, e] = place


@numba.njit(cache=True, error_model="numpy", nogil=True)
def adverse_sums(
    lines: NDArray[np.float64],
    metres: NDArray[np.float64],
    factors: NDArray[np.float64],
    sums: NDArray[np.float64],
) -> None:
    """Sum the adverse effect of even loads cell by cell, for both signs.

    - `lines` (t, c, stations, e): effect of a unit load on each of t tracks at c offsets;
      `metres` (t, c, stations) of each cell
    - `factors` (f, c): several loads per metre
    - `sums` (f, 2, c, e), or (f, 2, 1, e) for all offsets together: added to, adverse positive
    """
    tracks, lanes, stations, effects = lines.shape
    cell = np.empty(effects)
    for lane in range(lanes):
        onto = min(lane, sums.shape[2] - 1)
        for station in range(stations):
            loaded = False
            for track in range(tracks):
                loaded = loaded or metres[track, lane, station] > 0.0
            if not loaded:
                continue
            cell[:] = 0.0
            for track in range(tracks):
                line, length = lines[track, lane, station], metres[track, lane, station]
                for e in range(effects):
                    cell[e] += line[e] * length
            for load in range(len(factors)):
                factor = factors[load, lane]
                up, down = sums[load, 0, onto], sums[load, 1, onto]
                for e in range(effects):
                    value = factor * cell[e]
                    up[e] += max(value, 0.0)
                    down[e] += max(-value, 0.0)


@numba.njit(cache=True, error_model="numpy", nogil=True)
def add_loads(
    patterns: NDArray[np.float64],
    rows: NDArray[np.int64],
    shares: NDArray[np.float64],
    weights: NDArray[np.float64],
) -> None:
    """Add the loads of a lane in k cases to patterns (n, lines, stations), in place.

    `rows` (k,) the pattern of each case; `shares` (t, k, lines) of each deck line in the load of
    each of t tracks; `weights` (t, k, stations) how much of it stands where.
    """
    tracks, cases, stations = weights.shape
    total = np.empty(stations)
    for case in range(cases):
        for line in range(patterns.shape[1]):
            carried = False
            total[:] = 0.0
            for track in range(tracks):
                share, weight = shares[track, case, line], weights[track, case]
                if share != 0.0:
                    carried = True
                    for s in range(stations):
                        total[s] += share * weight[s]
            if carried:
                pattern = patterns[rows[case], line]
                for s in range(stations):
                    pattern[s] += total[s]


@numba.njit(cache=True, error_model="numpy", nogil=True)
def to_weights(
    lines: NDArray[np.float64],
    load: NDArray[np.float64],
    free: NDArray[np.float64],
    sign: int,
) -> None:
    """Turn influence lines (stations, k, c) of c strips in k cases into the load that stands there.

    `load` (stations, c) of each cell, `free` (k, c) the part of each strip that no lane takes;
    nothing stands where it relieves. `sign`: 0 where more is worse, 1 where less is.
    """
    stations, cases, strips = lines.shape
    for station in range(stations):
        for case in range(cases):
            line = lines[station, case]
            for strip in range(strips):
                value = line[strip] if sign == 0 else -line[strip]
                full = load[station, strip] * free[case, strip]
                line[strip] = full if value > 0.0 else 0.0
