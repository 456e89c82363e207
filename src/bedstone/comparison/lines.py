"""Lines of bearings: what stands on one support under one separate piece of superstructure.

Rules of standards speak of fixed and free ends, not of single bearings. A line holds along the
bridge when one of its bearings holds a direction that is not square to the axis there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.articulation.ground import axes_in_plan, footing, support_compliance
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Support
from bedstone.mechanics.frame import Floats, Ints
from bedstone.standards.family import Family
from bedstone.standards.values import Values

#: Cosine to the axis above which a held direction counts as holding along.
SQUARE = 1e-3
#: Movement (m for 1 K) below which a bearing does not move.
STILL = 1e-9

Holds = Literal["fixed", "partly", "elastic", "moving"]


@dataclass(frozen=True)
class BearingLine:
    """The bearings of one separate piece (`unit`) on one support.

    - `holds`: along the bridge, fixed, partly (a held direction at an angle to the axis and nothing
      else), elastic (springs), or moving
    - `seats`: numbers of its seats; `holding`: of those that hold or spring along; `parts`: of the
      force on the line that each of `seats` gets, evenly where it holds, by friction where it moves
    - `aslant`: of `seats`, those that hold at an angle to the axis on a line that is fixed: what
      they take of the force depends on stiffness, so their part (0) is not known
    - `stiffness`: of the bearings along (N/m, inf when held), `below`: of what is below (same)
    - `permanent`: compression under permanent load (N); `live`: (greatest, least) under traffic
    - `friction`: permanent friction sum(mu N) of the moving bearings, adverse and relieving (N)
    """

    unit: int
    support: str
    chainage: float
    holds: Holds
    seats: tuple[int, ...]
    holding: tuple[int, ...]
    parts: tuple[float, ...]
    stiffness: float
    below: float
    permanent: float
    live: tuple[float, float]
    friction: tuple[float, float]
    aslant: tuple[int, ...] = ()

    @property
    def coefficients(self) -> tuple[float, float]:
        """Mean coefficient of friction of the line, adverse and relieving."""
        if self.permanent <= 0.0:
            return (0.0, 0.0)
        return (self.friction[0] / self.permanent, self.friction[1] / self.permanent)

    @property
    def rating(self) -> float:
        """Shear rating (N/m): force that moves the top of bearing and support by a unit."""
        soft = sum(1.0 / k for k in (self.stiffness, self.below) if k > 0.0)
        if self.stiffness == 0.0:
            return 0.0
        return 1.0 / soft if soft > 0.0 else np.inf


def coefficients(
    prepared: Prepared,
    arranged: Arranged,
    unit_heat: Floats,
    family: Family,
    values: Values,
) -> Floats:
    """(ns, 2) adverse and relieving coefficient of friction of each bearing that may move.

    `unit_heat` (ns, 2): movement of each bearing for a rise of 1 K, bearing axes: bearings of one
    piece on one support that move the same way count as pushing together. A bearing without kind
    and coefficient is taken as a sliding one; elastic bearings and those that are fixed have none.
    """
    part = prepared.condensed[prepared.final].part
    result = np.zeros((len(arranged.seats), 2))
    push: dict[int, tuple[int, str, int, bool]] = {}
    for row, seat in enumerate(arranged.seats):
        free = ~arranged.bearings.held[row, :2]
        if free.any() and seat.function not in ("none", "elastic"):
            shift = np.where(free, unit_heat[row], 0.0)
            axis = int(np.argmax(np.abs(shift)))
            support = prepared.structure.seats[row].support
            push[row] = (int(part[row]), support, axis, bool(shift[axis] > 0.0))
    moves = np.abs(unit_heat).max(axis=1) > STILL
    together = Counter(way for row, way in push.items() if moves[row])
    for row, way in push.items():
        seat = arranged.seats[row]
        count = max(together[way], 1)
        adverse, relieving = family.friction(values, seat.kind or "plane sliding", count)
        if seat.friction is not None:
            scale = relieving / adverse if adverse > 0.0 else 0.0
            adverse, relieving = seat.friction, seat.friction * scale
        result[row] = adverse, relieving
    return result


def bearing_lines(
    prepared: Prepared,
    arranged: Arranged,
    permanent: Floats,
    friction: Floats,
    live: Sequence[tuple[float, float]] | None = None,
) -> tuple[BearingLine, ...]:
    """All lines of bearings, piece by piece along the bridge.

    `permanent` (ns,) compression of each bearing, `friction` (ns, 2) its coefficients, `live`:
    (greatest, least) compression of each line under traffic, None: no traffic.
    """
    places = line_places(prepared)
    supports = {support.mark: support for support in prepared.bridge.support}
    result = []
    for number, (unit, mark, seats) in enumerate(places):
        support = supports[mark]
        tangent = axes_in_plan(float(prepared.structure.axis.angle(support.chainage)))[0]
        own = [int(row) for row in seats if arranged.seats[row].function != "none"]
        kinds = {row: _holds(arranged, row, tangent) for row in own}
        holds = _of_line([kind for kind, _ in kinds.values()])
        holding = tuple(row for row, (kind, _) in kinds.items() if kind == holds != "moving")
        partly = tuple(row for row, (kind, _) in kinds.items() if kind == "partly")
        normal = np.maximum(permanent[own], 0.0)
        rubs = normal @ friction[own] if holds == "moving" else np.zeros(2)
        share = (
            normal * friction[own, 0]
            if holds == "moving"
            else np.array([float(row in holding) for row in own])
        )
        parts = share / share.sum() if share.sum() > 0.0 else np.zeros(len(own))
        result.append(
            BearingLine(
                unit=unit,
                support=mark,
                chainage=support.chainage,
                holds=holds,
                seats=tuple(own),
                holding=holding,
                parts=tuple(float(part) for part in parts),
                stiffness=float(sum(k for _, k in kinds.values())),
                below=below_along(prepared, support),
                permanent=float(permanent[own].sum()),
                live=live[number] if live is not None else (0.0, 0.0),
                friction=(float(rubs[0]), float(rubs[1])),
                aslant=partly if holds == "fixed" else (),
            )
        )
    return tuple(result)


def line_places(prepared: Prepared) -> tuple[tuple[int, str, Ints], ...]:
    """(piece, support, seats) of every line of bearings, in the order of `bearing_lines`."""
    part = prepared.condensed[prepared.final].part
    seats = prepared.structure.seats
    result = []
    for unit in np.unique(part):
        for support in prepared.structure.supports:
            own = [i for i, s in enumerate(seats) if s.support == support and part[i] == unit]
            if own:
                result.append((int(unit), support, np.array(own, dtype=np.intp)))
    return tuple(result)


def below_along(prepared: Prepared, support: Support) -> float:
    """Stiffness below the bearings along the bridge, at their level (N/m); inf when rigid."""
    local, turn = support_compliance(support)
    place = footing(prepared.structure, support)
    own = axes_in_plan(place.angle + turn)
    way = own @ axes_in_plan(place.angle)[0]
    soft = float(way @ local[:3, :3] @ way)
    return 1.0 / soft if soft > 0.0 else np.inf


def _holds(arranged: Arranged, row: int, tangent: Floats) -> tuple[Holds, float]:
    """How one bearing holds along the tangent, and how stiff it is (N/m)."""
    bearings = arranged.bearings
    cosine = np.abs(bearings.axes[row, :2] @ tangent)
    held = bearings.held[row, :2] & (cosine > SQUARE)
    rigid = held & (bearings.compliance[row, :2] == 0.0)
    if rigid.any():
        whole = float(np.sum(cosine[rigid] ** 2)) > 1.0 - SQUARE**2
        return ("fixed" if whole else "partly"), np.inf
    if held.any():
        soft = bearings.compliance[row, :2][held]
        return "elastic", float((cosine[held] ** 2 / soft).sum())
    return "moving", 0.0


def _of_line(kinds: Sequence[Holds]) -> Holds:
    """What a line does: what its stiffest bearing does."""
    order: tuple[Holds, ...] = ("fixed", "partly", "elastic")
    return next((kind for kind in order if kind in kinds), "moving")
