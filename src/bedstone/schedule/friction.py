"""Friction of the moving bearings as an action on all the others."""

from __future__ import annotations

from collections import Counter

import numpy as np

from bedstone.articulation.arrangement import Arranged, Standing, support_sum
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
    used: dict[str, tuple[float, float]] = {}
    part = prepared.condensed[prepared.final].part
    pushing = Counter(_push(int(part[row]), way) for row, way, _ in moving)
    for row, way, kind in moving:
        given = arranged.seats[row].friction
        adverse, relieving = family.friction(values, kind, pushing[_push(int(part[row]), way)])
        if given is not None:
            scale = relieving / adverse if adverse > 0.0 else 0.0
            adverse, relieving = given, given * scale
        if adverse > 0.0:
            used[structure.seats[row].mark] = (adverse, relieving)
    moving = [item for item in moving if structure.seats[item[0]].mark in used]
    if not moving:
        return None, {}, notes
    names, rows = [], []
    for sense, word in ((1.0, "growing"), (-1.0, "shrinking")):
        for forward_adverse in (True, False):
            q_bearing = np.zeros(6 * count)
            for row, way, _ in moving:
                mu = used[structure.seats[row].mark]
                forward = sense * way[0] >= 0.0
                coefficient = mu[0] if forward == forward_adverse else mu[1]
                normal = max(float(permanent[order.seat_block(row)][0]), 0.0)
                q_bearing[6 * row : 6 * row + 2] = sense * way * coefficient * normal
            turn = standing.supported.bearings.directions
            load = prepared.condensed[prepared.final].seat_forces(
                -(turn.T @ q_bearing)[:, None], standing.supported.ground
            )
            vector = standing.effects.effects(load.g, load.r, load.s)[:, 0]
            for row, _, _ in moving:
                vector[order.seat_block(row)][1:3] += q_bearing[6 * row : 6 * row + 2]
            for number, support in enumerate(prepared.bridge.support):
                vector[order.support_block(number)] += (
                    support_sum(structure, support, arranged) @ q_bearing
                )
            side = "ahead" if forward_adverse else "behind"
            names.append(f"friction, bridge {word}, full {side} of the fixed point")
            rows.append(vector)
    return WorstOf(tuple(names), np.array(rows), "one"), used, notes


def _push(part: int, way: Floats) -> tuple[int, int, bool]:
    """What bearings that push together share: part of the bridge, axis and sense of movement."""
    axis = int(np.argmax(np.abs(way)))
    return part, axis, bool(way[axis] > 0.0)
