"""Bearings that can only push: cases that pull at them are solved again with gaps open."""

from __future__ import annotations

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.errors import UnstableError
from bedstone.mechanics.frame import Floats
from bedstone.schedule.analysis import ActionEffects
from bedstone.schedule.combine import Worst
from bedstone.schedule.result import Uplift
from bedstone.standards.combination import Combination

#: Uplift smaller than this (N) is rounding.
ROUNDING = 1.0


def with_gaps(
    effects: ActionEffects,
    worst: Worst,
    combination: Combination,
    vector: Floats,
    lifts: dict[tuple[str, str], Uplift],
    arranged: Arranged,
) -> tuple[Floats, str]:
    """Open the bearings that can only push where this case pulls at them; record every uplift."""
    order = effects.layout
    normal = order.normal
    if not (vector[normal] < -ROUNDING).any():
        return vector, ""
    pulled = np.flatnonzero(vector[normal] < -ROUNDING)
    for row in pulled:
        if arranged.seats[row].uplift:
            _record(lifts, order.seats[row], worst, combination, -float(vector[normal[row]]), 0.0,
                    held=True)  # fmt: skip
    rows = effects.one_sided
    force = vector[normal[rows]]
    if not (force < -ROUNDING).any():
        return vector, ""
    try:
        gaps = effects.contact.gaps(force)
    except UnstableError as fault:
        for row, value in zip(rows, force, strict=True):
            if value < -ROUNDING:
                _record(lifts, order.seats[row], worst, combination, -float(value), np.inf,
                        held=False)  # fmt: skip
        return vector, f"{fault} (forces shown as if held down)"
    changed = vector + effects.raising @ gaps
    words = []
    for row, gap, value in zip(rows, gaps, force, strict=True):
        if gap > 0.0:
            mark = order.seats[row]
            words.append(f"{mark} lifts {gap * 1e3:.2f} mm")
            changed[order.index(mark, "vz")] += gap
            changed[order.index(mark, "N")] = 0.0
            _record(
                lifts, mark, worst, combination, max(-float(value), 0.0), float(gap), held=False
            )
    return changed, ", ".join(words)


def _record(
    lifts: dict[tuple[str, str], Uplift],
    seat: str,
    worst: Worst,
    combination: Combination,
    force: float,
    gap: float,
    *,
    held: bool,
) -> None:
    """Keep the largest uplift of a seat in a limit state."""
    key = (seat, worst.limit_state)
    if key not in lifts or force > lifts[key].hold_down:
        lifts[key] = Uplift(seat, worst.limit_state, combination.name, force, gap, held)
