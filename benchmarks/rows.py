"""What a benchmark gives back, and the decks they share."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import Floats, Frame, FrameBuilder, Ints


@dataclass(frozen=True)
class Row:
    """One line of the table: seconds per `unit`, None where it could not be measured (`note`)."""

    what: str
    seconds: float | None
    unit: str
    note: str = ""


def best_of(repeats: int, work: Callable[[], object]) -> float:
    """Least time of some repeats, in seconds: the least is what the machine can do."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def grillage(lines: int, stations: int, length: float, width: float) -> tuple[Frame, Ints]:
    """A deck of girders and cross beams; its frame and the nodes (stations, lines)."""
    build = FrameBuilder()
    nodes = np.array(
        [
            [build.node(x, y, 0.0) for y in np.linspace(-width / 2, width / 2, lines)]
            for x in np.linspace(0.0, length, stations)
        ]
    )
    girder = {"E": 210e9, "G": 81e9, "A": 0.06, "Iy": 0.05, "Iz": 0.005, "J": 0.003, "Az": 0.03}
    cross = {"E": 34e9, "G": 14e9, "A": 0.3, "Iy": 0.002, "Iz": 0.05, "J": 0.004}
    for i in range(stations):
        for j in range(lines):
            if i + 1 < stations:
                build.member(nodes[i, j], nodes[i + 1, j], **girder)
            if j + 1 < lines:
                build.member(nodes[i, j], nodes[i, j + 1], **cross)
    return build.frame(), nodes


def seats_below(nodes: Ints, depth: float = 1.2) -> SeatPoints:
    """Seats straight below these nodes."""
    arm: Floats = np.tile([0.0, 0.0, -depth], (nodes.size, 1))
    return SeatPoints(nodes.ravel(), arm)
