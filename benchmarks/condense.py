"""Condensing decks of growing size to their seats, one BLAS thread."""

from __future__ import annotations

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.mechanics.condense import condense

from .rows import Row, best_of, grillage, seats_below

LINES, SUPPORTS = 20, 5  # a bearing under every other line of five supports: 50 seats


def run() -> list[Row]:
    rows = []
    with threadpool_limits(1):
        for stations in (63, 125, 250, 500):
            frame, nodes = grillage(LINES, stations, float(stations), 40.0)
            lines = np.linspace(0, stations - 1, SUPPORTS).round().astype(int)
            seats = seats_below(nodes[lines][:, ::2])
            _ = frame.stiffness  # assembled once, for whatever comes later
            seconds = best_of(3, lambda f=frame, s=seats: condense(f, s))
            rows.append(
                Row(
                    f"condense {frame.freedoms:6d} freedoms to {len(seats.node)} seats",
                    seconds,
                    "superstructure",
                    f"{seconds / frame.freedoms * 1e6:.0f} us a freedom",
                )
            )
    return rows
