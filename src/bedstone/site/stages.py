"""What each stage of construction does at the bearings before they are set, and after."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bedstone.actions.cases import jacking_case, permanent_cases, shrinkage_case
from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.articulation.arrangement import Arranged, Standing, erection, stand
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import StateName
from bedstone.schedule.analysis import last_stage_before

#: Effects followed here, in the axes of the bearing.
FOLLOWED = ("N", "vx", "vy", "rx", "ry")
_PICK = [SEAT_EFFECTS.index(name) for name in FOLLOWED]


@dataclass(frozen=True)
class StageEffect:
    """What one stage (or shrinkage, or jacking) does at one seat, the bounds of stiffness averaged.

    `before`: it comes before the bearings are set, so the movement is on the supports of erection
    and none of the bearing's; N (N), vx, vy (m), rx, ry (rad) in the bearing's own axes; `spread`:
    half the difference of vx and vy (m) between the bounds.
    """

    name: str
    before: bool
    N: float
    vx: float
    vy: float
    rx: float
    ry: float
    spread: tuple[float, float] = (0.0, 0.0)


def stage_effects(
    prepared: Prepared, arranged: Arranged, bounds: tuple[str, ...]
) -> dict[str, tuple[StageEffect, ...]]:
    """By seat: the effects of every stage in the order of building, then of what is slow.

    The superstructure stands on its erection supports up to `set_at` and on its bearings after.
    Shrinkage, creep and lengthening come wholly after setting, as in the schedule.
    """
    bridge, structure, condensed = prepared.bridge, prepared.structure, prepared.condensed
    cases = permanent_cases(structure, condensed)
    last = last_stage_before(bridge, cases)
    supports = list(bridge.support)
    erected = erection(structure, arranged, condensed[prepared.final].part)
    tables: dict[tuple[str, bool], list[Floats]] = {}
    for bound in bounds:
        found: dict[tuple[str, bool], Floats] = {}

        def maps(on: Arranged, bound: str = bound) -> Mapping[StateName, Standing]:
            return {n: stand(structure, supports, c, on, bound) for n, c in condensed.items()}

        own, early = maps(arranged), maps(erected)
        turn = np.array(arranged.angles) - np.array([seat.angle for seat in structure.seats])
        for case in cases:
            before = case.number <= last
            standing = (early if before else own)[case.state]
            vector = standing.effects.effects(case.load.g, case.load.r, case.load.s)[:, 0]
            table = _seats(vector, len(structure.seats), turn if before else None)
            key = (case.stage, before)
            found[key] = found.get(key, np.zeros_like(table)) + table
        for name, more in (
            ("jacking", jacking_case(bridge, structure, condensed[prepared.final])),
            ("shrinkage, creep and lengthening",
             shrinkage_case(bridge, structure, condensed[prepared.slow])),
        ):  # fmt: skip
            if more is not None:
                load = more.load
                vector = own[more.state].effects.effects(load.g, load.r, load.s)[:, 0]
                found[name, False] = _seats(vector, len(structure.seats), None)
        for key, table in found.items():
            tables.setdefault(key, []).append(table)
    return {
        seat.mark: tuple(
            _averaged(name, before, [table[row] for table in several])
            for (name, before), several in tables.items()
        )
        for row, seat in enumerate(structure.seats)
    }


def _seats(vector: Floats, seats: int, turn: Floats | None) -> Floats:
    """(seats, 5) followed effects; turned by `turn` (seats,) rad into the axes of the bearings."""
    table = vector[: 12 * seats].reshape(seats, 12)[:, _PICK].copy()
    if turn is not None:
        for first in (1, 3):
            x, y = table[:, first].copy(), table[:, first + 1].copy()
            table[:, first] = np.cos(turn) * x + np.sin(turn) * y
            table[:, first + 1] = np.cos(turn) * y - np.sin(turn) * x
    return table


def _averaged(name: str, before: bool, several: list[Floats]) -> StageEffect:
    """The mean over the bounds of stiffness, and the spread of its movements."""
    rows = np.array(several)
    mean = rows.mean(axis=0)
    half = np.ptp(rows, axis=0) / 2.0
    N, vx, vy, rx, ry = (float(value) for value in mean)
    return StageEffect(name, before, N, vx, vy, rx, ry, (float(half[1]), float(half[2])))
