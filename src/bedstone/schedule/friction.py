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
    *,
    sums: Floats | None = None,
) -> tuple[WorstOf | None, dict[str, tuple[float, float]], list[str]]:
    """Friction of the moving bearings under permanent load, when the bridge grows or shrinks.

    `sums`: `support_sums` of the arrangement, where they are known already.

    At each moving bearing a pair of forces mu N against the movement of temperature. Bearings on
    one side of the fixed point push against those on the other, so a case takes the adverse
    coefficient on one side and the relieving one on the other (`adverse_sides`).
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
    axis = structure.axis.angle(np.array([seat.chainage for seat in structure.seats]))
    side = {row: push_of(way, arranged.angles[row] - axis[row]) for row, way, _ in moving}
    # bearings counted together stand on one support: what the others do is no help to its own force
    line = [(int(part[row]), seat.support) for row, seat in enumerate(structure.seats)]
    pushing = Counter((line[row], side[row]) for row, _, _ in moving)
    told: dict[tuple[str, int], tuple[float, float]] = {}
    for row, _, kind in moving:
        key = (kind, pushing[line[row], side[row]])
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
    for number, (sense, words, adverse_on) in enumerate(cases):
        for row, way, _ in moving:
            across, positive = side[row]
            full = (positive == (sense > 0.0)) == bool(adverse_on[int(across)][row])
            coefficient = used[row][0 if full else 1]
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
    if sums is None:
        sums = support_sums(structure, list(prepared.bridge.support), arranged)
    table[12 * count :] += sums @ pushes
    marks = {structure.seats[row].mark: both for row, both in used.items()}
    return WorstOf(tuple(names), table.T, "one"), marks, notes


def adverse_sides(prepared: Prepared) -> list[tuple[float, str, Bools]]:
    """Cases of friction: growing (1) or shrinking (-1), in words, and the adverse sides.

    Of these (2, ns): at which seats the adverse coefficient goes with movement ahead (first row,
    bearings that move along) and to the left (second row, those that move across); elsewhere it
    goes with movement back and to the right.

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
    sides = [("ahead of", every), ("behind", ~every)]
    if len(names) > 1:
        sides += [("by turns ahead of and behind", ~odd), ("by turns behind and ahead of", odd)]
    return [
        (sense, f"full {words} the fixed point and to its {across}", np.stack([side, left]))
        for sense in (1.0, -1.0)
        for words, side in sides
        for across, left in (("left", every), ("right", ~every))
    ]


def push_of(way: Floats, angle: float) -> tuple[bool, bool]:
    """(across, positive) of a movement (2,) in a bearing's axes, turned by `angle` from the bridge.

    Across: more to the side than along; positive: ahead, or to the left.
    """
    along = float(np.cos(angle) * way[0] - np.sin(angle) * way[1])
    across = float(np.sin(angle) * way[0] + np.cos(angle) * way[1])
    # at 45 deg rounding must not decide
    sideways = abs(across) > abs(along) * (1.0 + 1e-9)
    return sideways, (across if sideways else along) > 0.0
