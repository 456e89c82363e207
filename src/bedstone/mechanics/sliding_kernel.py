"""The loop of `bedstone.mechanics.sliding`: one small convex problem for each step of a history.

Elements
--------
A *scalar* element has one position s, rubs with a limit m (0: not at all) and has stops at low and
high; a *disc* is two elements whose friction force stays in a circle of radius m. A disc with stops
has further scalar elements at the same place, so k elements may stand in fewer directions.

The problem
-----------
With `old` the positions before the step, find positions s, forces f and rigid motions a:

    s = v - D f + R a,    R' f = r,    f in the subdifferential of  m |s - old| + stops(s).

Take any pair (s, f) and a compliance e > 0 of each element. There is exactly one pair that obeys
the law and has the same sum s + e f: `_obey` finds it. What that pair lacks in compatibility and
equilibrium is the residual; the law itself is always met exactly. Newton's method (`_improve`)
makes both vanish, following the law as it is near the pair: an element that sticks or stands at a
stop has ds = 0, one that slides df = 0, and a disc that slides over |ds| resists, across its
direction, like a spring of compliance |ds| / m. So this is an active-set method that starts from
the last state, and ends after a few rounds. It can go round in circles; then it goes on after some
rounds of the splitting of Douglas and Rachford (`_split`), which converge for every maximal
monotone law from any start, if slowly.
"""

from __future__ import annotations

import numba
import numpy as np
from numpy.typing import NDArray

_Floats = NDArray[np.float64]
_Ints = NDArray[np.int64]

#: Residual, relative to the largest movement and force so far, at which a step is done.
RESIDUAL = 1e-10
#: Residual that is still accepted where rounding allows no better.
ACCEPTED = 1e-9
#: Rounds of Newton's method at first, and after each block of splitting.
ROUNDS, AGAIN = 20, 40
#: Blocks of splitting; the first has twice SWEEPS rounds, each later one twice those before.
BLOCKS, SWEEPS = 12, 20
#: Factors on the compliances e for the blocks in turn: which is quick depends on what slides.
SOFTER = (1.0, 0.05, 20.0)
#: Weight of "move little, change forces little" in the matrix of Newton's method: it decides what
#: the conditions leave open, and does not enter the residual.
LEAST_CHANGE = 1e-10
#: Least and largest number of parts of a step in which something slides. Two parts are too few to
#: judge by: where a slide begins late in the step, one and two can agree and both be wrong.
FEWEST_PARTS, MOST_PARTS = 4, 64

FIXED, LOOSE, TURNING = 0, 1, 2


@numba.njit(cache=True, nogil=True, fastmath={"reassoc", "contract"})
def _dot(one: _Floats, other: _Floats, count: int) -> float:
    total = 0.0
    for i in range(count):
        total += one[i] * other[i]
    return total


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _obey(
    pair: _Ints, low: _Floats, high: _Floats, soft: _Floats, limit: _Floats, old: _Floats,
    position: _Floats, force: _Floats, state: _Ints, way: _Floats, across: _Floats,
) -> None:  # fmt: skip
    """Replace (position, force) by the pair that obeys the law and has the same s + e f.

    - `pair` (k,): the other element of a disc at its first, -1 at its second, -2 for a scalar
    - `low`, `high`: stops; `soft`: e; `limit`: m, one for both elements of a disc
    - `state`: FIXED (s known), LOOSE (f known), TURNING (slides in direction `way`, at both
      elements of the disc; `across` is |ds| / m); all three are set here
    """
    for i in range(pair.size):
        if pair[i] == -1:
            continue
        m = limit[i]
        e = soft[i]
        r = position[i] - old[i] + e * force[i]
        if pair[i] >= 0:
            j = pair[i]
            q = position[j] - old[j] + e * force[j]
            size = np.sqrt(r * r + q * q)
            if m <= 0.0:
                position[i], position[j] = old[i] + r, old[j] + q
                force[i], force[j] = 0.0, 0.0
                state[i] = state[j] = LOOSE
            elif size <= e * m:
                position[i], position[j] = old[i], old[j]
                force[i], force[j] = r / e, q / e
                state[i] = state[j] = FIXED
            else:
                way[i], way[j] = r / size, q / size
                slid = size - e * m
                position[i], position[j] = old[i] + slid * way[i], old[j] + slid * way[j]
                force[i], force[j] = m * way[i], m * way[j]
                across[i] = across[j] = slid / m
                state[i] = state[j] = TURNING
            continue
        back, ahead = low[i] - old[i], high[i] - old[i]
        if r > e * m or (m <= 0.0 and back < 0.0 < ahead and r >= 0.0):
            slid = r - e * m
            if slid >= ahead and (m > 0.0 or slid > ahead or ahead <= back):
                position[i], force[i], state[i] = high[i], (r - ahead) / e, FIXED
            else:
                position[i], force[i], state[i] = old[i] + slid, m, LOOSE
        elif r < -e * m or (m <= 0.0 and back < 0.0 < ahead):
            slid = r + e * m
            if slid <= back and (m > 0.0 or slid < back or ahead <= back):
                position[i], force[i], state[i] = low[i], (r - back) / e, FIXED
            else:
                position[i], force[i], state[i] = old[i] + slid, -m, LOOSE
        elif m <= 0.0 and back < ahead:  # touches a stop without force
            position[i], force[i], state[i] = old[i], 0.0, LOOSE
        else:
            position[i], force[i], state[i] = old[i], r / e, FIXED


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _root(matrix: _Floats, count: int) -> None:
    """Cholesky factor L (L L' = matrix) in the lower half of the first `count` rows, in place."""
    for i in range(count):
        for j in range(i):
            matrix[i, j] = (matrix[i, j] - _dot(matrix[i], matrix[j], j)) / matrix[j, j]
        left = matrix[i, i] - _dot(matrix[i], matrix[i], i)
        matrix[i, i] = np.sqrt(max(left, 1e-300))


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _forward(root: _Floats, right: _Floats, count: int) -> None:
    """Solve L x = right in place."""
    for i in range(count):
        right[i] = (right[i] - _dot(root[i], right, i)) / root[i, i]


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _backward(root: _Floats, right: _Floats, count: int) -> None:
    """Solve L' x = right in place."""
    for i in range(count - 1, -1, -1):
        right[i] /= root[i, i]
        for j in range(i):
            right[j] -= root[i, j] * right[i]


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _improve(
    D: _Floats, R: _Floats, pair: _Ints, state: _Ints, way: _Floats, across: _Floats,
    lack: _Floats, short: _Floats, farthest: float, factors: _Floats, known: _Ints, fresh: bool,
    position: _Floats, force: _Floats, motion: _Floats,
) -> None:  # fmt: skip
    """One step of Newton's method on (position, force, motion), changed here.

    - `lack` (k,): v - D f + R a - s; `short` (z,): r - R' f
    - `farthest`: the rigid motion moves nothing by more in one step
    - `factors` (k + 1 + 2 z, k + z): work; holds the factors of the last call with these states
      unless `fresh`; `known` (k + 1,): work, its last entry the number of unknown forces
    """
    count, motions = R.shape
    root = factors[:count]
    sway = factors[count : count + motions]  # L^-1 R', a row for each motion
    small = factors[count + motions : count + 2 * motions]
    work = factors[count + 2 * motions]
    if fresh:
        unknowns = 0
        largest = 0.0
        for i in range(count):
            largest = max(largest, D[i, i])
            if state[i] == FIXED or (state[i] == TURNING and pair[i] >= 0):
                known[unknowns] = i
                unknowns += 1
        known[count] = unknowns
        for p in range(unknowns):
            i = known[p]
            if state[i] == FIXED:
                for q in range(p + 1):
                    j = known[q]
                    if state[j] == FIXED:
                        root[p, q] = D[i, j]
                    else:
                        o = pair[j]
                        root[p, q] = way[j] * D[i, o] - way[o] * D[i, j]
                for z in range(motions):
                    sway[z, p] = R[i, z]
            else:  # the unknown is the force across the direction of sliding
                n = pair[i]
                for q in range(p + 1):
                    j = known[q]
                    if state[j] == FIXED:
                        root[p, q] = way[i] * D[n, j] - way[n] * D[i, j]
                    else:
                        o = pair[j]
                        root[p, q] = way[i] * (way[j] * D[n, o] - way[o] * D[n, j])
                        root[p, q] -= way[n] * (way[j] * D[i, o] - way[o] * D[i, j])
                root[p, p] += across[i]
                for z in range(motions):
                    sway[z, p] = way[i] * R[n, z] - way[n] * R[i, z]
            root[p, p] += LEAST_CHANGE * largest
        _root(root, unknowns)
        top = 1e-300
        for z in range(motions):
            _forward(root, sway[z], unknowns)
            for other in range(z + 1):
                small[z, other] = _dot(sway[z], sway[other], unknowns)
            top = max(top, small[z, z])
            for i in range(count):  # also where nothing is fixed
                top = max(top, 1e-3 * R[i, z] * R[i, z] / largest)
        for z in range(motions):
            small[z, z] += LEAST_CHANGE * top
        _root(small, motions)
    unknowns = int(known[count])
    for p in range(unknowns):
        i = known[p]
        work[p] = lack[i]
        if state[i] == TURNING:
            work[p] = way[i] * lack[pair[i]] - way[pair[i]] * lack[i]
    _forward(root, work, unknowns)
    shift = np.empty(motions)
    for z in range(motions):
        shift[z] = short[z] - _dot(sway[z], work, unknowns)
    _forward(small, shift, motions)
    _backward(small, shift, motions)
    far = 0.0
    for i in range(count):
        move = 0.0
        for z in range(motions):
            move += R[i, z] * shift[z]
        far = max(far, abs(move))
    if far > farthest:
        shift *= farthest / far
    for z in range(motions):
        for p in range(unknowns):
            work[p] += sway[z, p] * shift[z]
    _backward(root, work, unknowns)
    change = np.zeros(count)
    for p in range(unknowns):
        i = known[p]
        if state[i] == FIXED:
            change[i] = work[p]
        else:
            change[i], change[pair[i]] = -way[pair[i]] * work[p], way[i] * work[p]
    for i in range(count):
        force[i] += change[i]
        if state[i] != FIXED:
            position[i] += lack[i] - _dot(D[i], change, count)
            for z in range(motions):
                position[i] += R[i, z] * shift[z]
    for z in range(motions):
        motion[z] += shift[z]


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _limit(
    seat: _Ints, friction: _Floats, normal: _Floats, coupling: _Floats, force: _Floats,
    limit: _Floats,
) -> float:  # fmt: skip
    """Set the limits of friction under these forces; the largest change."""
    change = 0.0
    for i in range(seat.size):
        load = 0.0
        if seat[i] >= 0:
            load = normal[seat[i]]
            if coupling.shape[1] > 0:
                load += _dot(coupling[seat[i]], force, force.size)
            load = friction[seat[i]] * max(load, 0.0)
        change = max(change, abs(load - limit[i]))
        limit[i] = load
    return change


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _split(
    sweeps: int, split: _Floats, lift: _Floats, v: _Floats, r: _Floats, soft: _Floats,
    pair: _Ints, seat: _Ints, friction: _Floats, low: _Floats, high: _Floats, normal: _Floats,
    coupling: _Floats, limit: _Floats, old: _Floats,
    position: _Floats, force: _Floats, motion: _Floats,
    state: _Ints, way: _Floats, across: _Floats,
) -> None:  # fmt: skip
    """Some rounds of the splitting of Douglas and Rachford on s + e f.

    `split` (k + z, k), `lift` (k + z, z), for one choice of e: the solution [f; a] of
    (D + e) f - R a = b, R' f = r is split b + lift r.
    """
    count = v.size
    right = np.empty(count)
    for _ in range(sweeps):
        _obey(pair, low, high, soft, limit, old, position, force, state, way, across)
        if coupling.shape[1] > 0:
            _limit(seat, friction, normal, coupling, force, limit)
        for i in range(count):
            right[i] = v[i] - position[i] + soft[i] * force[i]
        for i in range(count):
            full = _dot(split[i], right, count) + _dot(lift[i], r, r.size)
            # s + e f grows by the other solution's s less this one's, s_other = s + e (f_o - f)
            position[i] += soft[i] * (full - force[i])
    for z in range(r.size):
        motion[z] = _dot(split[count + z], right, count) + _dot(lift[count + z], r, r.size)


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _settle(
    D: _Floats, R: _Floats, split: _Floats, lift: _Floats, pair: _Ints, seat: _Ints,
    friction: _Floats, low: _Floats, high: _Floats, soft: _Floats, coupling: _Floats,
    v: _Floats, r: _Floats, normal: _Floats, scales: _Floats, factors: _Floats, known: _Ints,
    states: _Ints, way: _Floats, across: _Floats, limit: _Floats, lack: _Floats, short: _Floats,
    old: _Floats, position: _Floats, force: _Floats, motion: _Floats,
) -> tuple[float, int]:  # fmt: skip
    """The state after one step from `old`; (position, force, motion) hold a guess, then it.

    `normal` (n,): normal force at each seat but for `coupling` (n, k) times the forces; `scales`
    (2,): largest movement and force so far, updated here; `states` (2, k): work, the second row
    tells for which states `factors` were made. Returns the residual and the worst element.
    """
    count, motions = R.shape
    coupled = coupling.shape[1] > 0
    state, made = states[0], states[1]
    reach, power = scales[0], scales[1]
    for i in range(count):
        reach = max(reach, abs(v[i]))
    worst, where = np.inf, 0
    wide = np.zeros(motions)
    for z in range(motions):
        for i in range(count):
            wide[z] = max(wide[z], abs(R[i, z]))
        power = max(power, abs(r[z]) / wide[z])
    softest = 0.0
    for i in range(count):
        softest = max(softest, soft[i])
    # a statically determinate bridge has no force under temperature: count what would hold it
    power, reach = max(power, reach / softest), max(reach, softest * power)
    split_position, split_force, split_motion = position.copy(), force.copy(), motion.copy()
    last_position, last_force, last_motion = position.copy(), force.copy(), motion.copy()
    next_position, next_force, next_motion = position.copy(), force.copy(), motion.copy()
    share, e = 1.0, soft
    for block in range(BLOCKS + 1):
        if block > 0:  # from where the splitting left off: Newton's rounds may have led far away
            kind = (block - 1) % split.shape[0]
            e = SOFTER[kind] * soft
            _split(
                SWEEPS << block, split[kind], lift[kind], v, r, e, pair, seat, friction, low, high,
                normal, coupling, limit, old, split_position, split_force, split_motion, state, way,
                across,
            )  # fmt: skip
            position[:], force[:], motion[:] = split_position, split_force, split_motion
        least = np.inf
        for _ in range(ROUNDS if block == 0 else AGAIN):
            change = _limit(seat, friction, normal, coupling, force, limit)
            for i in range(count):
                power = max(power, limit[i])
                reach = max(reach, soft[i] * limit[i])
            # a pair is obeyed under the limits it caused before: hold the change against the forces
            _obey(pair, low, high, e, limit, old, position, force, state, way, across)
            own_power = power
            for i in range(count):
                own_power = max(own_power, abs(force[i]))
            worst = change / max(own_power, 1e-300) if coupled else 0.0
            where = 0
            for i in range(count):
                lack[i] = v[i] - _dot(D[i], force, count) - position[i]
                for z in range(motions):
                    lack[i] += R[i, z] * motion[z]
                error = abs(lack[i]) / max(reach, 1e-300)
                if not error <= worst:
                    worst, where = error, i
            for z in range(motions):
                short[z] = r[z]
                for i in range(count):
                    short[z] -= R[i, z] * force[i]
                error = abs(short[z]) / (wide[z] * max(own_power, 1e-300))
                if not error <= worst:
                    worst = error
            if worst <= RESIDUAL or (block > 0 and worst <= ACCEPTED):
                scales[0], scales[1] = reach, own_power
                return worst, where
            if block > 0:  # near the solution: no step that makes it worse
                if not worst < least:
                    if not share > 1e-3:
                        break
                    share *= 0.5
                    for i in range(count):
                        position[i] = last_position[i] + share * (
                            next_position[i] - last_position[i]
                        )
                        force[i] = last_force[i] + share * (next_force[i] - last_force[i])
                    for z in range(motions):
                        motion[z] = last_motion[z] + share * (next_motion[z] - last_motion[z])
                    continue
                least, share = worst, 1.0
                last_position[:], last_force[:], last_motion[:] = position, force, motion
            fresh = False
            for i in range(count):
                if state[i] == TURNING or state[i] != made[i]:
                    fresh = True
                    break
            if fresh:
                made[:] = state
            _improve(
                D, R, pair, state, way, across, lack, short, 100.0 * reach, factors, known,
                fresh, position, force, motion,
            )  # fmt: skip
            if block > 0:
                next_position[:], next_force[:], next_motion[:] = position, force, motion
    return worst, where


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _differ(one: _Floats, other: _Floats) -> float:
    """Largest difference of two arrays."""
    most = 0.0
    for i in range(one.size):
        most = max(most, abs(one[i] - other[i]))
    return most


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _sum_up(base: _Ints, force: _Floats, total: _Floats) -> None:
    """Forces of the directions from those of the elements."""
    total[:] = 0.0
    for i in range(base.size):
        total[base[i]] += force[i]


@numba.njit(cache=True, nogil=True, error_model="numpy")
def walk(
    D: _Floats, R: _Floats, split: _Floats, lift: _Floats, pair: _Ints, seat: _Ints,
    friction: _Floats, low: _Floats, high: _Floats, soft: _Floats, coupling: _Floats,
    base: _Ints, first: _Ints, spring: _Floats, fit: _Floats,
    V: _Floats, Q: _Floats, N0: _Floats,
    factors: _Floats, group: _Ints, rows: _Floats, keep: _Ints, accuracy: float,
    before: _Floats, position: _Floats, force: _Floats, motion: _Floats,
    top: _Floats, bottom: _Floats, top_step: _Ints, bottom_step: _Ints,
    kept_force: _Floats, kept_position: _Floats,
    travel: _Floats, reached: _Ints, dissipated: _Floats, limit: _Floats,
) -> tuple[int, float, int, float, float, int]:  # fmt: skip
    """Walk through the whole history; see `bedstone.mechanics.sliding.follow`.

    - `base` (k,): direction of each element; `first` (d,): first element of each direction;
      `spring` (d,): compliance between slide and structure; `fit` (z, k): the rigid motion nearest
      to a movement
    - `before` (L,): factors before the first step; `position`, `force` (k,), `motion` (z,): state,
      changed here; `limit` (k,): friction at the last state, set here
    - `top` and the like (groups, 2 d + q): forces, movements, rows; changed here, as are `travel`
      (d,), `reached` (d, 2) and `dissipated` (n,)
    - `keep` (c,): rising steps after which to keep forces and positions, (c, d) each

    Returns the number of steps done, the residual, its element, the part of the step reached, the
    largest difference left by dividing and the number of problems solved.
    """
    count, motions = R.shape
    directions = first.size
    columns = V.shape[1]
    made = np.empty((count + 1 + 2 * motions, max(count, motions)))
    known = np.zeros(count + 1, dtype=np.int64)
    states = np.full((2, count), -1, dtype=np.int64)
    way = np.zeros(count)
    across = np.zeros(count)
    lack = np.empty(count)
    short = np.empty(motions)
    scales = np.zeros(2)
    v, r, normal = np.empty(count), np.empty(motions), np.empty(N0.shape[0])
    last = np.empty(count)
    at = np.empty(columns)
    total, other = np.empty(directions), np.empty(directions)
    at_stop = np.zeros(count, dtype=np.int64)
    for i in range(count):
        if low[i] < high[i]:
            at_stop[i] = int(position[i] == high[i]) - int(position[i] == low[i])
    # two banks: the step in so many parts, and in twice as many; row 0 is the state before it
    places = np.empty((2, MOST_PARTS + 1, count))
    forces = np.empty((2, MOST_PARTS + 1, count))
    limits = np.zeros((2, MOST_PARTS + 1, count))
    shifts = np.empty((2, motions))
    residual, worst_element, left, solved, strongest = 0.0, 0, 0.0, 0, 0.0
    usual = FEWEST_PARTS  # parts that the last step needed
    next_kept = 0
    values = np.empty(top.shape[1])
    for step in range(factors.shape[0]):
        bank, parts = 0, usual // 2 if accuracy > 0.0 else 1
        coarsest = parts
        while True:
            shifts[bank] = motion
            for c in range(columns):
                at[c] = before[c]
            for i in range(count):
                last[i] = _dot(V[i], at, columns)
            places[bank, 0], forces[bank, 0], limits[bank, 0] = position, force, limit
            for part in range(1, parts + 1):
                for c in range(columns):
                    at[c] = before[c] + part / parts * (factors[step, c] - before[c])
                for i in range(count):
                    v[i] = _dot(V[i], at, columns)
                # nothing decides where all stands that slides at once: let it move little
                for i in range(count):
                    last[i] = v[i] - last[i]
                for z in range(motions):
                    shifts[bank, z] -= _dot(fit[z], last, count)
                    r[z] = _dot(Q[z], at, columns)
                last[:] = v
                for n in range(normal.size):
                    normal[n] = _dot(N0[n], at, columns)
                start, end = places[bank, part - 1], places[bank, part]
                end[:] = start
                if part > 1:  # a guess: as far again as in the last part
                    for i in range(count):
                        end[i] += start[i] - places[bank, part - 2, i]
                forces[bank, part], limits[bank, part] = (
                    forces[bank, part - 1], limits[bank, part - 1],
                )  # fmt: skip
                error, element = _settle(
                    D, R, split, lift, pair, seat, friction, low, high, soft, coupling, v, r,
                    normal, scales, made, known, states, way, across, limits[bank, part], lack,
                    short, start, end, forces[bank, part], shifts[bank],
                )  # fmt: skip
                solved += 1
                for i in range(
                    directions, count
                ):  # rounding: a stop and its slide are at one place
                    if end[i] == low[i] or end[i] == high[i]:
                        end[base[i]] = end[i]
                    else:
                        end[i] = end[base[i]]
                if not error <= residual:
                    residual, worst_element = error, element
                if not error <= ACCEPTED:
                    limit[:] = limits[bank, part]
                    return step, error, element, part / parts, left, solved
            if parts == coarsest:
                slid = False
                for part in range(1, parts + 1):
                    for i in range(count):
                        moved = places[bank, part, i] != places[bank, part - 1, i]
                        slid = slid or (limits[bank, part, i] > 0.0 and moved)
                if not slid or accuracy <= 0.0:
                    break
            else:
                _sum_up(base, forces[bank, parts], total)
                _sum_up(base, forces[1 - bank, parts // 2], other)
                for d in range(directions):
                    strongest = max(strongest, abs(total[d]))
                difference = _differ(total, other) / max(strongest, 1e-300)
                if difference <= accuracy or parts == MOST_PARTS:
                    left = max(left, difference)
                    usual = parts
                    if difference < 0.25 * accuracy:
                        usual = max(parts // 2, FEWEST_PARTS)
                    break
            bank = 1 - bank
            parts *= 2
        for part in range(1, parts + 1):
            here, past = places[bank, part], places[bank, part - 1]
            _sum_up(base, forces[bank, part], total)
            for d in range(directions):
                i = first[d]
                travel[d] += abs(here[i] - past[i])
                values[d] = total[d]
                strongest = max(strongest, abs(total[d]))
                values[directions + d] = here[i] + spring[d] * total[d]
            for q in range(rows.shape[0]):
                values[2 * directions + q] = _dot(rows[q], total, directions)
            g = group[step]
            for c in range(values.size):
                if values[c] > top[g, c]:
                    top[g, c], top_step[g, c] = values[c], step
                if values[c] < bottom[g, c]:
                    bottom[g, c], bottom_step[g, c] = values[c], step
            for i in range(count):
                if seat[i] >= 0:
                    most = limits[bank, part, i]
                    rub = min(max(forces[bank, part, i], -most), most)
                    dissipated[seat[i]] += rub * (here[i] - past[i])
                if low[i] < high[i]:
                    side = int(here[i] == high[i]) - int(here[i] == low[i])
                    if side != at_stop[i] and side != 0:
                        reached[base[i], (side + 1) // 2] += 1
                    at_stop[i] = side
        position[:], force[:] = places[bank, parts], forces[bank, parts]
        motion[:], limit[:] = shifts[bank], limits[bank, parts]
        before[:] = factors[step]
        if next_kept < keep.size and keep[next_kept] == step:
            _sum_up(base, force, kept_force[next_kept])
            for d in range(directions):
                kept_position[next_kept, d] = position[first[d]]
            next_kept += 1
    return factors.shape[0], residual, worst_element, 1.0, left, solved
