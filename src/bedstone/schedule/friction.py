"""Friction of the moving bearings as an action on all the others."""

from __future__ import annotations

from collections import Counter

import numpy as np

from bedstone.articulation.arrangement import Arranged, Standing, support_sums
from bedstone.articulation.prepared import Prepared
from bedstone.mechanics.frame import Bools, Floats
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
    other way round; each separate span for itself (`adverse_sides`).
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
    cases = adverse_sides(prepared)
    pushes = np.zeros((6 * count, len(cases)))  # forces on the bearings, in their own axes
    for number, (sense, words, ahead) in enumerate(cases):
        for row, way, _ in moving:
            forward = sense * way[0] >= 0.0
            coefficient = used[row][0 if forward == ahead[row] else 1]
            normal = max(float(permanent[order.seat_block(row)][0]), 0.0)
            pushes[6 * row : 6 * row + 2, number] = sense * way * coefficient * normal
        names.append(f"friction, bridge {'growing' if sense > 0.0 else 'shrinking'}, {words}")
    turn = standing.supported.bearings.directions
    load = prepared.condensed[prepared.final].seat_forces(
        -(turn.T @ pushes), standing.supported.ground
    )
    table = standing.effects.effects(load.g, load.r, load.s)
    seats = table[: 12 * count].reshape(count, 12, -1)
    seats[:, 1:3] += pushes.reshape(count, 6, -1)[:, :2]
    table[12 * count :] += support_sums(structure, list(prepared.bridge.support), arranged) @ pushes
    marks = {structure.seats[row].mark: both for row, both in used.items()}
    return WorstOf(tuple(names), table.T, "one"), marks, notes


def adverse_sides(prepared: Prepared) -> list[tuple[float, str, Bools]]:
    """Cases of friction: growing (1) or shrinking (-1), in words, and (ns,) at which seats the
    adverse coefficient goes with movement ahead; elsewhere it goes with movement back.

    Two spans that meet on a pier push against each other there: the pier gets most when one has
    the adverse coefficient and the other the relieving one (the pairing of IRC:6, clause 211.5).
    A support carries two neighbours at most, so both alike and both senses of alternation are all
    that can govern.
    """
    part = prepared.condensed[prepared.final].part
    along = np.array([seat.chainage for seat in prepared.structure.seats])
    names = np.unique(part)
    middle = np.array([along[part == name].mean() for name in names])
    odd = (middle.argsort().argsort() % 2 == 1)[np.searchsorted(names, part)]
    every = np.ones(len(part), dtype=bool)
    sides = [("full ahead of the fixed point", every), ("full behind the fixed point", ~every)]
    if len(names) > 1:
        sides += [
            ("full ahead and behind by turns, ahead on the first span", ~odd),
            ("full ahead and behind by turns, behind on the first span", odd),
        ]
    return [(sense, words, side) for sense in (1.0, -1.0) for words, side in sides]


def _push(part: int, way: Floats) -> tuple[int, int, bool]:
    """What bearings that push together share: part of the bridge, axis and sense of movement."""
    axis = int(np.argmax(np.abs(way)))
    return part, axis, bool(way[axis] > 0.0)
