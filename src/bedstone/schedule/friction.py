"""Friction of the moving bearings as an action on all the others."""

from __future__ import annotations

from collections import Counter
from itertools import product

import numpy as np

from bedstone.articulation.arrangement import Arranged, Standing, support_sums
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.frame import Floats
from bedstone.schedule.variable import WorstOf
from bedstone.standards.family import Family
from bedstone.standards.values import Values


def friction_action(
    prepared: Prepared,
    arranged: Arranged,
    standing: Standing,
    permanent: Floats,
    unit_heat: Floats,
    family: Family,
    values: Values,
) -> tuple[WorstOf | None, dict[str, tuple[float, float]], list[str]]:
    """Friction of the moving bearings under permanent load, when the bridge grows or shrinks.

    At each moving bearing a pair of forces mu N against the movement of temperature. Bearings on
    one side of the fixed point push against those on the other, so each case takes the adverse
    coefficient where movement is forward and the relieving one where it is backward, and the
    other way round.
    """
    structure = prepared.structure
    order = standing.effects.layout
    count = len(structure.seats)
    moving: list[tuple[int, Floats, str]] = []
    notes: list[str] = []
    assumed: list[str] = []
    for row, seat in enumerate(arranged.seats):
        free = ~arranged.bearings.held[row, :2]
        if not free.any() or seat.function in ("none", "elastic"):
            continue
        block = unit_heat[order.seat_block(row)]
        way = np.where(free, block[6:8], 0.0)
        size = float(np.linalg.norm(way))
        if size <= 1e-9:
            continue
        if seat.kind is None and seat.friction is None:
            assumed.append(structure.seats[row].mark)
        moving.append((row, way / size, seat.kind or "plane sliding"))
    if assumed:
        notes.append(
            "friction: no kind or coefficient is given for " + ", ".join(assumed)
            + "; the friction of a sliding bearing is taken"
        )  # fmt: skip
    if not moving:
        return None, {}, notes
    used: dict[int, tuple[float, float]] = {}
    part = prepared.condensed[prepared.final].part
    pushing = Counter(_push(int(part[row]), way) for row, way, _ in moving)
    told: dict[tuple[str, int], tuple[float, float]] = {}
    for row, way, kind in moving:
        key = (kind, pushing[_push(int(part[row]), way)])
        if key not in told:
            told[key] = family.friction(values, *key)
        adverse, relieving = told[key]
        given = arranged.seats[row].friction
        if given is not None:
            scale = relieving / adverse if adverse > 0.0 else 0.0
            adverse, relieving = given, given * scale
        if adverse > 0.0:
            used[row] = (adverse, relieving)
    moving = [item for item in moving if item[0] in used]
    if not moving:
        return None, {}, notes
    names = []
    pushes = np.zeros((6 * count, 4))  # forces on the bearings, in their own axes
    for number, (sense, forward_adverse) in enumerate(product((1.0, -1.0), (True, False))):
        for row, way, _ in moving:
            forward = sense * way[0] >= 0.0
            coefficient = used[row][0 if forward == forward_adverse else 1]
            normal = max(float(permanent[order.seat_block(row)][0]), 0.0)
            pushes[6 * row : 6 * row + 2, number] = sense * way * coefficient * normal
        word = "growing" if sense > 0.0 else "shrinking"
        side = "ahead" if forward_adverse else "behind"
        names.append(f"friction, bridge {word}, full {side} of the fixed point")
    turn = standing.supported.bearings.directions
    load = prepared.condensed[prepared.final].seat_forces(
        -(turn.T @ pushes), standing.supported.ground
    )
    table = standing.effects.effects(load.g, load.r, load.s)
    seats = table[: 12 * count].reshape(count, 12, 4)
    seats[:, 1:3] += pushes.reshape(count, 6, 4)[:, :2]
    table[12 * count :] += support_sums(structure, list(prepared.bridge.support), arranged) @ pushes
    marks = {structure.seats[row].mark: both for row, both in used.items()}
    return WorstOf(tuple(names), table.T, "one"), marks, notes


def _push(part: int, way: Floats) -> tuple[int, int, bool]:
    """What bearings that push together share: part of the bridge, axis and sense of movement."""
    axis = int(np.argmax(np.abs(way)))
    return part, axis, bool(way[axis] > 0.0)
