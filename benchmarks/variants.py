"""Envelopes of every effect for very many arrangements of bearings.

The bridge of `benchmarks.arrangements` (20 bearings, about 2,000 freedoms): 20,000 arrangements,
500 positions of a load, largest and smallest of all twelve effects at each of the 20 seats, by two
threads and, where PyTorch finds a GPU, there. Beside it each arrangement by itself, and OpenSees,
which only solves for the displacements. What is done once for the bridge is in the note.
"""

from __future__ import annotations

import resource
import time

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.errors import BedstoneError
from bedstone.mechanics.condense import SeatLoad, condense
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.support import Bearings, Supported
from bedstone.mechanics.variants import Candidates, Columns, Envelopes, Shared, seat_effects
from bedstone.mechanics.variants_gpu import envelopes_torch

from .arrangements import LINES, PAIR, POSITIONS, STATIONS, SUPPORTS, _opensees, arrangements
from .rows import Row, best_of, grillage, seats_below

ARRANGEMENTS, THREADS = 20_000, 2
SEATS = LINES * len(SUPPORTS)
WHOLE = np.array([0, POSITIONS])


def subsets_of(every: list[Bearings]) -> Ints:
    """The plan directions each holds, as candidates x' and y' of each seat; padded with -1."""
    chosen = [np.flatnonzero(bearings.held[:, :2]) for bearings in every]
    result = np.full((len(every), max(map(len, chosen))), -1)
    for row, own in enumerate(chosen):
        result[row, : len(own)] = own
    return result


def run() -> list[Row]:
    frame, nodes = grillage(LINES, STATIONS, 99.0, 12.0)
    seat_nodes = nodes[list(SUPPORTS)].ravel()
    rng = np.random.default_rng(0)
    members = rng.integers(0, len(frame.ends), POSITIONS)
    fractions = rng.random(POSITIONS)
    loads = frame.point_loads(members, fractions, np.array([0.0, 0.0, -1e5]), np.zeros(3))
    every = arrangements(ARRANGEMENTS)
    subsets = subsets_of(every)
    pairs = ARRANGEMENTS * POSITIONS
    with threadpool_limits(1):
        condensed = condense(frame, seats_below(seat_nodes))
        load = condensed.load(loads)
        ground = np.zeros((6 * SEATS, 6 * SEATS))
        shared, columns, once = _prepare(condensed, ground, load)
        shared.envelopes(columns, subsets[:8], WHOLE)  # compiles, or reads what was compiled
        before = _peak()

        def ours() -> Envelopes:
            return shared.envelopes(columns, subsets, WHOLE, threads=THREADS)

        seconds = best_of(3, ours)
        single = best_of(2, lambda: shared.envelopes(columns, subsets[:2000], WHOLE, threads=1))
        found = ours()
        worst = _worst(found, every[:20], condensed, ground, load)
        change = best_of(50, lambda: shared.operator(subsets[0]))
        note = (
            f"{seconds:.2f} s in all; peak memory {_peak() / 2**30:.2f} GiB, "
            f"{before / 2**30:.2f} before; residuals below {found.residual.max():.0e}; the same "
            f"as one by one to {worst:.0e}"
        )
        everything = f"{ARRANGEMENTS} arrangements"
        rows = [
            Row(f"bedstone: {everything}, {THREADS} threads", seconds / pairs, PAIR, note),
            Row("bedstone: the same by one thread", single / 2000 / POSITIONS, PAIR,
                f"what they share: {once * 1e3:.0f} ms once; one changed bearing, all effects "
                f"as a map of the loads: {change * 1e3:.2f} ms"),
            *_gpu(shared, columns, subsets, found),
        ]  # fmt: skip

        def alone() -> None:
            for bearings in every[:50]:
                effects = Supported(condensed, bearings, ground).effects(load)
                for values in (effects.force, effects.movement):
                    values.max(axis=2), values.min(axis=2)

        rows.append(
            Row("bedstone: each arrangement alone", best_of(3, alone) / 50 / POSITIONS, PAIR)
        )
        # OpenSees needs bearings at the nodes: the same bridge with arms of no length
        level = condense(frame, seats_below(seat_nodes, 0.0))
        check = Supported(level, every[0], ground).effects(level.load(loads))
        expected = level.displacements(loads.toarray(), check.seat_force, check.motion)
        rows += _opensees(frame, seat_nodes, every[0], loads.toarray(), expected)
    return rows


def _prepare(condensed, ground: Floats, load: SeatLoad) -> tuple[Shared, Columns, float]:
    axes = np.tile(np.eye(3), (SEATS, 1, 1))
    held = np.zeros((SEATS, 6), dtype=bool)
    held[:, 2] = True
    base = Bearings(axes, held, np.zeros((SEATS, 6)))
    candidates = Candidates(
        np.repeat(np.arange(SEATS), 2), np.tile([0.0, np.pi / 2], SEATS), np.zeros(2 * SEATS)
    )

    def once() -> tuple[Shared, Columns]:
        shared = Shared(condensed, ground, base, candidates, seat_effects(axes))
        return shared, shared.columns(load)

    return *once(), best_of(5, once)


def _peak() -> int:
    """Most memory this process has held, bytes."""
    return 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _worst(
    found: Envelopes, some: list[Bearings], condensed, ground: Floats, load: SeatLoad
) -> float:
    """Largest difference from `Supported`, as a share of the largest effect of its kind."""
    worst = 0.0
    for number, bearings in enumerate(some):
        effects = Supported(condensed, bearings, ground).effects(load)
        force, movement = effects.force, effects.movement
        for rows, values in (
            ([0], -force[:, 2:3]), ([1, 2], force[:, :2]),
            ([6, 7, 8], movement[:, :3]), ([9, 10, 11], movement[:, 3:]),
        ):  # fmt: skip
            top = found.top[number, 0].reshape(SEATS, 12)[:, rows]
            low = found.low[number, 0].reshape(SEATS, 12)[:, rows]
            lack = max(np.abs(top - values.max(2)).max(), np.abs(low - values.min(2)).max())
            worst = max(worst, float(lack / np.abs(values).max()))
    return worst


def _gpu(shared: Shared, columns: Columns, subsets: Ints, found: Envelopes) -> list[Row]:
    what = f"bedstone: {ARRANGEMENTS} arrangements by PyTorch on a GPU"
    try:
        other = envelopes_torch(shared, columns, subsets, WHOLE)
    except BedstoneError as error:
        return [Row(what, None, PAIR, f"not measured: {error}")]
    times = []
    for _ in range(3):
        start = time.perf_counter()
        envelopes_torch(shared, columns, subsets, WHOLE)
        times.append(time.perf_counter() - start)
    worst = 0.0
    for places in ([0], [1, 2], [6, 7, 8], [9, 10, 11]):
        for name in ("top", "low"):
            mine, theirs = (
                getattr(one, name).reshape(-1, SEATS, 12)[..., places] for one in (found, other)
            )
            worst = max(worst, float(np.abs(mine - theirs).max() / np.abs(mine).max()))
    note = f"{min(times):.2f} s in all, results brought back; the same to {worst:.0e}"
    return [Row(what, min(times) / len(subsets) / columns.count, PAIR, note)]
