"""Many arrangements of bearings on one condensed superstructure.

Arrangements of a bridge share most of what holds it: the bearings' vertical support, rotations they
hold, the piers below. That base is eliminated once; what an arrangement then adds is a handful of
plan directions. With T = F + G, base rows B (compliance c_b), candidate rows C (compliance c), the
motions R Z that the base leaves open and the others R Y (F, R, G, g, r, s as in
`bedstone.mechanics.support`), the base system

    M = [ B T B' + c_b   B R Y ]
        [ (B R Y)'         0   ]

gives for the candidates

    D  = C T C' - [C T B', C R Y] inv(M) [B T C'; (C R Y)']
    v  = C (g - s) - [C T B', C R Y] inv(M) [B (g - s); Y' r]
    Rz = C R Z,   rz = Z' r

and an arrangement P, a subset of the candidates, is

    [ D_PP + c_P   Rz_P ] [ lambda ]   [ v_P ]
    [ Rz_P'          0  ] [ -beta  ] = [ rz  ]

All effects are linear in loads, lambda and beta, so their rows are precomputed too: per arrangement
there is a small solve and one product.

D is what is left of the flexibility of an unsupported bridge once it stands on its piers, which is
smaller by orders of magnitude: of a viaduct of 40 spans eight digits were left. The elimination
therefore runs in the longest floating-point type of the machine (`numpy.longdouble`), which keeps
as many as `Supported` has; where that is no longer than double, a long viaduct loses digits.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics import variants_kernel as kernel
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.mechanics.support import (
    FREE_MOTION,
    SINGULAR,
    TOLERANCE,
    Bearings,
    _free_motions,
    _inverse,
    _refuse_dead,
)

Long = NDArray[np.longdouble]

#: Bytes of results that `Shared.stream` keeps at a time unless told otherwise.
MEMORY = 256 * 2**20
#: Arrangements a thread takes at a time.
SHARE = 256


@dataclass(frozen=True)
class Candidates:
    """K plan directions that an arrangement may hold.

    `seat` (K,); `angle` (K,) of the direction in plan, rad from global x, any; `compliance` (K,)
    m/N: 0 for rigid, 1/k for a spring. One seat may have several.
    """

    seat: Ints
    angle: Floats
    compliance: Floats

    def rows(self, seats: int) -> Floats:
        """(K, 6 ns) unit vectors of the directions in global axes."""
        result = np.zeros((len(self.seat), 6 * seats))
        number = np.arange(len(self.seat))
        result[number, 6 * self.seat] = np.cos(self.angle)
        result[number, 6 * self.seat + 1] = np.sin(self.angle)
        # a quarter turn is one: its cosine is only rounding
        result[np.abs(result) < 1e-15] = 0.0
        return result


@dataclass(frozen=True)
class EffectRows:
    """e wanted effects, as rows on what happens at the seats in global axes.

    `force` (e, 6 ns) on the forces and moments of the superstructure on the bearings plus
    `movement` (e, 6 ns) on the relative movements.
    """

    force: Floats
    movement: Floats


def seat_effects(axes: Floats) -> EffectRows:
    """All 12 ns effects at the seats, axes (ns, 3, 3) with x', y', z' as rows in global axes.

    For each seat N (+ in compression), Hx, Hy, Mx, My, Mz, vx, vy, vz, rx, ry, rz.
    """
    count = len(axes)
    force = np.zeros((count, 12, count, 6))
    movement = np.zeros((count, 12, count, 6))
    for seat, turn in enumerate(axes):
        force[seat, 0, seat, :3] = -turn[2]
        force[seat, 1:3, seat, :3] = turn[:2]
        force[seat, 3:6, seat, 3:] = turn
        movement[seat, 6:9, seat, :3] = turn
        movement[seat, 9:, seat, 3:] = turn
    shape = (12 * count, 6 * count)
    return EffectRows(force.reshape(shape), movement.reshape(shape))


@dataclass(frozen=True)
class Columns:
    """k load cases seen by the candidates, nothing but the base holding (E0, v, rz of the head).

    `effects` (e, k); `movement` (K, k) m; `resultant` (z, k) N of the motions the base leaves open.
    """

    effects: Floats
    movement: Floats
    resultant: Floats

    @property
    def count(self) -> int:
        """Number of load cases k."""
        return int(self.effects.shape[1])


@dataclass(frozen=True)
class Envelopes:
    """Envelopes of n arrangements over groups of load cases.

    - `top`, `low` (n, groups, e): largest and smallest value of each effect
    - `hold_top`, `hold_low` (n, groups, m): of the force of the superstructure on the bearing in
      each held candidate, in the order of the subset; nan where that is padded
    - `residual` (n,): worst relative residual, of equilibrium and compatibility, over all cases
    - `stands` (n,): False where the bridge can move; `held_twice` (n,): True where candidates hold
      one movement twice with nothing elastic between them. Neither is solved: its numbers are nan
    """

    top: Floats
    low: Floats
    hold_top: Floats
    hold_low: Floats
    residual: Floats
    stands: Bools
    held_twice: Bools


class Shared:
    """A condensed superstructure on the bearings that all arrangements share.

    `residual` is the worst relative residual of the elimination.
    """

    def __init__(
        self,
        condensed: Condensed,
        ground: Floats,
        base: Bearings,
        candidates: Candidates,
        rows: EffectRows,
    ) -> None:
        """Eliminate what `base` holds; `ground` (6 ns, 6 ns) compliance below, global axes.

        Raises `UnstableError` where the base alone holds one movement twice with nothing elastic
        between, `CheckError` where the elimination is off by more than 1e-9.
        """
        self.condensed = condensed
        self.candidates = candidates
        turn = base.directions
        kept = np.flatnonzero(base.held)
        held = turn[kept]
        spring = base.compliance.ravel()[kept]
        choice = candidates.rows(condensed.seat_count)
        _refuse_dead(condensed, held @ condensed.rigid, kept)
        self._held, self._choice = held, choice
        stopped, loose = _motions(held @ condensed.rigid)
        with threadpool_limits(limits=1, user_api="blas"):
            reduced = _eliminate(condensed, ground, held, spring, choice, stopped)
            self.residual = reduced.residual
            self._loose = loose
            compliance = candidates.compliance
            diagonal = np.abs(np.diag(reduced.matrix)) + compliance
            self.scale = float(diagonal.max(initial=0.0)) or 1.0
            #: [D + c, Rz] of all candidates, over `scale`; unknowns lambda and -beta / `scale`
            self.matrix: Floats = (reduced.matrix + np.diag(compliance)) / self.scale
            self.border: Floats = np.ascontiguousarray(choice @ condensed.rigid @ loose)
            #: compliance of each held direction, over `scale`, for the measure of residuals
            self.own: Floats = np.maximum(diagonal / self.scale, 1e-12)
            #: (e, K + z): effects for a unit of each unknown
            self.influence: Floats = np.concatenate(
                [
                    rows.force @ reduced.force_held + rows.movement @ reduced.move_held,
                    rows.movement @ (-self.scale * (condensed.rigid @ loose)),
                ],
                axis=1,
            )
            self._direct = rows.force @ reduced.force_load + rows.movement @ reduced.move_load
            self._movement = choice @ reduced.move_load

    @property
    def loose_count(self) -> int:
        """Number z of motions that the base leaves open."""
        return int(self.border.shape[1])

    def columns(self, load: SeatLoad) -> Columns:
        """The load cases as the candidates see them; raises `BedstoneError` if not finite."""
        given = np.concatenate([load.g - load.s, load.r])
        if not np.isfinite(given).all():
            raise BedstoneError("a load case is not finite")
        with threadpool_limits(limits=1, user_api="blas"):
            return Columns(self._direct @ given, self._movement @ given, self._loose.T @ load.r)

    def operator(self, subset: Ints) -> tuple[Floats, Floats]:
        """(force (m, 6 ns + 6 p) in the held candidates, effects (e, 6 ns + 6 p)) of one
        arrangement, on stacked (g - s, r); force is that of the superstructure on the bearing.

        Raises `UnstableError` naming the free motion, or where one movement is held twice.
        """
        held = self._subset(subset)
        count = len(held)
        if not kernel.stands(self.border, held):
            raise UnstableError("; ".join(self.motions(held)))
        whole = kernel.system(self.matrix, self.border, held)
        inverse = np.empty_like(whole)
        if not kernel.invert(whole, inverse, SINGULAR):
            raise UnstableError(
                "the bearings hold the same movement twice with nothing elastic between them"
            )
        seats6 = 6 * self.condensed.seat_count
        force = inverse[:, :count] @ (self._movement[held] / self.scale)
        force[:, seats6:] += inverse[:, count:] @ self._loose.T
        unknown = np.concatenate([held, len(self.matrix) + np.arange(self.loose_count)])
        return force[:count], self._direct + self.influence[:, unknown] @ force

    def stands(self, subsets: Ints) -> Bools:
        """Whether each arrangement (n, m), padded with -1, stops every rigid motion."""
        subsets = self.checked(subsets)
        result = np.zeros(len(subsets), dtype=bool)
        kernel.all_stand(self.border, subsets, result)
        return result

    def motions(self, subset: Ints) -> list[str]:
        """The rigid motions that one arrangement leaves open, in words; empty when it stands."""
        held = np.concatenate([self._held, self._choice[self._subset(subset)]])
        return _free_motions(self.condensed, held @ self.condensed.rigid)

    def envelopes(
        self, columns: Columns, subsets: Ints, groups: Ints, *, threads: int | None = None
    ) -> Envelopes:
        """Envelopes of n arrangements, all kept: for very many take `stream`.

        - `subsets` (n, m): candidates held by each arrangement, padded with -1
        - `groups` (q + 1,): bounds of q groups of load cases, rising from 0 to k
        - `threads`: as many as there are processors unless given

        Raises `CheckError` naming the first arrangement whose solution is off by more than 1e-9,
        `BedstoneError` for candidates or groups that do not exist.
        """
        return self._envelopes(self._tiles(columns, groups), self.checked(subsets), 0, threads)

    def stream(
        self, columns: Columns, subsets: Ints, groups: Ints, *,
        memory: int = MEMORY, threads: int | None = None,
    ) -> Iterator[tuple[slice, Envelopes]]:  # fmt: skip
        """`envelopes` in chunks of at most `memory` bytes of results, with the rows they are of."""
        subsets = self.checked(subsets)
        tiles = self._tiles(columns, groups)
        step = chunk(self, subsets, groups, memory)
        for first in range(0, len(subsets), step):
            rows = slice(first, min(first + step, len(subsets)))
            yield rows, self._envelopes(tiles, subsets[rows], first, threads)

    def _envelopes(
        self, tiles: _Tiles, subsets: Ints, first: int, threads: int | None
    ) -> Envelopes:
        count, width = subsets.shape
        groups, effects = tiles.top.shape
        top, low = np.empty((2, count, groups, effects))
        hold_top, hold_low = np.empty((2, count, groups, width))
        residual, state = np.empty(count), np.empty(count, dtype=np.int64)

        def work(begin: int) -> None:
            own = slice(begin, begin + SHARE)
            kernel.envelopes(
                self.matrix, self.border, self.own, SINGULAR, self.influence,
                tiles.movement, tiles.resultant, tiles.direct, tiles.still, tiles.top, tiles.low,
                tiles.group, subsets[own], top[own], low[own], hold_top[own], hold_low[own],
                residual[own], state[own],
            )  # fmt: skip

        with ThreadPoolExecutor(threads or os.cpu_count() or 1) as pool:
            for _ in pool.map(work, range(0, count, SHARE)):
                pass
        refuse_inexact(residual, subsets, first)
        return Envelopes(
            top, low, hold_top, hold_low, residual,
            stands=state != kernel.MOVES, held_twice=state == kernel.HELD_TWICE,
        )  # fmt: skip

    def _subset(self, subset: Ints) -> Ints:
        held = self.checked(np.atleast_2d(subset))[0]
        return np.asarray(held[held >= 0])

    def checked(self, subsets: Ints) -> Ints:
        """Arrangements (n, m) as whole numbers; raises `BedstoneError` for candidates not there."""
        result = np.ascontiguousarray(subsets, dtype=np.int64)
        if result.ndim != 2 or result.min(initial=0) < -1:
            raise BedstoneError("arrangements are rows of candidates, padded with -1")
        if result.max(initial=-1) >= len(self.matrix):
            raise BedstoneError(
                f"candidate {result.max()} does not exist: there are {len(self.matrix)}"
            )
        return np.asarray(result)

    def _tiles(self, columns: Columns, groups: Ints) -> _Tiles:
        bounds = group_bounds(columns, groups)
        index, group = [], []
        for number, (first, last) in enumerate(pairwise(bounds)):
            own = np.arange(first, last)
            spare = -len(own) % kernel.TILE  # a tile is filled up with a case of its own group
            own = np.concatenate([own, np.full(spare, own[-1])])
            index.append(own)
            group += [number] * (len(own) // kernel.TILE)
        order = np.concatenate(index)

        def tiled(values: Floats) -> Floats:
            cut = values[:, order].reshape(len(values), len(group), kernel.TILE)
            return np.ascontiguousarray(cut.transpose(1, 0, 2))

        edges = bounds[:-1]
        return _Tiles(
            movement=tiled(columns.movement / self.scale),
            resultant=tiled(columns.resultant),
            direct=tiled(columns.effects),
            still=np.logical_not(np.any(columns.effects, axis=1)),
            top=np.ascontiguousarray(np.maximum.reduceat(columns.effects, edges, axis=1).T),
            low=np.ascontiguousarray(np.minimum.reduceat(columns.effects, edges, axis=1).T),
            group=np.array(group, dtype=np.int64),
        )


@dataclass(frozen=True)
class _Tiles:
    """Columns as the kernel takes them (see `variants_kernel.envelopes`)."""

    movement: Floats
    resultant: Floats
    direct: Floats
    still: Bools
    top: Floats
    low: Floats
    group: Ints


def group_bounds(columns: Columns, groups: Ints) -> Ints:
    """The bounds of the groups of load cases, checked: rising from 0 to k, none empty."""
    bounds = np.asarray(groups, dtype=np.intp)
    whole = bounds.ndim == 1 and len(bounds) > 1 and bounds[0] == 0 and bounds[-1] == columns.count
    if not whole or np.diff(bounds).min() < 1:
        raise BedstoneError(f"bounds of groups rise from 0 to the {columns.count} load cases")
    return bounds


def chunk(shared: Shared, subsets: Ints, groups: Ints, memory: int) -> int:
    """Arrangements whose results fit into `memory` bytes, at least one."""
    one = 16 * (len(groups) - 1) * (len(shared.influence) + subsets.shape[1]) + 32
    return int(max(1, memory // one))


def refuse_inexact(residual: Floats, subsets: Ints, first: int = 0) -> None:
    """Raise `CheckError` naming the first arrangement with too large a residual (n,).

    `first`: number of the first of these arrangements.
    """
    bad = np.flatnonzero(~((residual < TOLERANCE) | np.isnan(residual)))
    if len(bad):
        own = subsets[bad[0]]
        raise CheckError(
            f"arrangement {first + bad[0]} (candidates {', '.join(map(str, own[own >= 0]))}): "
            f"equilibrium or compatibility is off by {residual[bad[0]]:.1e}"
        )


def _motions(border: Floats) -> tuple[Floats, Floats]:
    """(Y, Z): motions that the base stops and those it leaves open, (6 p, y) and (6 p, z).

    `border` (b, 6 p): base directions under rigid motions. Part by part, so that the motions of
    separate parts stay apart.
    """
    parts = border.shape[1] // 6
    stopped, loose = [], []
    for part in range(parts):
        own = border[:, 6 * part : 6 * part + 6]
        own = own[np.any(own, axis=1)]
        rank, vectors = 0, np.eye(6)
        if len(own):
            _, values, vectors = np.linalg.svd(own, full_matrices=True)
            rank = int(np.sum(values > FREE_MOTION * values[0]))
        whole = np.zeros((6 * parts, 6))
        whole[6 * part : 6 * part + 6] = vectors.T
        stopped.append(whole[:, :rank])
        loose.append(whole[:, rank:])
    return np.concatenate(stopped, axis=1), np.concatenate(loose, axis=1)


@dataclass(frozen=True)
class _Reduced:
    """What the elimination leaves, for a unit of stacked (g - s, r) and of each candidate's force.

    `force_load` (6 ns, 6 ns + 6 p), `force_held` (6 ns, K): forces on the bearings; `move_load`,
    `move_held` likewise: relative movements; global axes. `matrix` (K, K) is D; `residual` that of
    the elimination.
    """

    force_load: Floats
    force_held: Floats
    move_load: Floats
    move_held: Floats
    matrix: Floats
    residual: float


def _eliminate(
    condensed: Condensed, ground: Floats, held: Floats, spring: Floats, choice: Floats,
    stopped: Floats,
) -> _Reduced:  # fmt: skip
    count, seats6 = held.shape
    size = count + stopped.shape[1]
    total = (condensed.flexibility + ground).astype(np.longdouble)
    rows, wanted = held.astype(np.longdouble), choice.astype(np.longdouble)
    by_base, by_choice = total @ rows.T, total @ wanted.T
    core = rows @ by_base
    scale = float((np.abs(np.diag(core)) + spring).max(initial=0.0)) or 1.0
    sway = condensed.rigid.astype(np.longdouble) @ stopped
    border = rows @ sway
    matrix = np.zeros((size, size), dtype=np.longdouble)
    matrix[:count, :count] = (core + core.T) / (2.0 * scale) + np.diag(spring / scale)
    matrix[:count, count:] = border
    matrix[count:, :count] = border.T
    # relative movement = (g - s) - follow [lambda_b; -alpha / scale] - T C' lambda + R Z beta
    follow = np.concatenate([by_base, scale * sway], axis=1)
    given = np.zeros((size, seats6 + len(stopped)), dtype=np.longdouble)  # a unit of each load
    given[:count, :seats6] = rows / scale
    given[count:, seats6:] = stopped.T
    coupled = np.concatenate([rows @ by_choice / scale, (wanted @ sway).T])
    answer, residual = _solve(matrix, np.concatenate([given, coupled], axis=1))
    if not residual < TOLERANCE:
        raise CheckError(f"the bearings that all arrangements share: off by {residual:.1e}")
    load, own = answer[:, : given.shape[1]], answer[:, given.shape[1] :]

    free = np.zeros((seats6, given.shape[1]), dtype=np.longdouble)
    free[:, :seats6] = np.eye(seats6)
    move_load = free - follow @ load
    move_held = -(by_choice - follow @ own)
    inner = -(wanted @ move_held)
    size = float(np.abs(inner).max(initial=0.0))
    if not float(np.abs(inner - inner.T).max(initial=0.0)) <= TOLERANCE * size:
        raise CheckError("the flexibility left by the bearings of all arrangements is one-sided")
    # what the base holds moves by its springs and nothing else: exactly, not to rounding
    move_load += rows.T @ (spring[:, None] * load[:count] - rows @ move_load)
    move_held -= rows.T @ (spring[:, None] * own[:count] + rows @ move_held)
    return _Reduced(
        force_load=_double(rows.T @ load[:count]),
        force_held=_double(wanted.T - rows.T @ own[:count]),
        move_load=_double(move_load),
        move_held=_double(move_held),
        matrix=_double((inner + inner.T) / 2.0),
        residual=residual,
    )


def _double(values: Any) -> Floats:
    return np.ascontiguousarray(values, dtype=float)


def _solve(matrix: Long, right: Long) -> tuple[Long, float]:
    """Answer of a small system, refined in long floating point; its relative residual."""
    answer = np.zeros_like(right)
    if not len(matrix):
        return answer, 0.0
    inverse = _inverse(_double(matrix))
    for _ in range(4):
        answer = answer + inverse @ _double(right - matrix @ answer)
    lack = np.abs(right - matrix @ answer)
    size = np.abs(matrix) @ np.abs(answer) + np.abs(right)
    top = np.maximum(size.max(axis=0, initial=0.0), 1e-300)
    return answer, float((lack.max(axis=0, initial=0.0) / top).max(initial=0.0))
