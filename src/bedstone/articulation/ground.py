"""What is below the bearings: compliance of abutments and piers at the seats.

Axes of a support: x along the tangent of the reference line at the support, y to the left, z up.
The columns of a skewed pier stand square to the support line; given springs follow the tangent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bedstone.bridge.schema import Column, GivenSprings, Rigid, Springs6, Support
from bedstone.errors import BedstoneError
from bedstone.mechanics.condense import rigid_motions
from bedstone.mechanics.frame import Floats, FrameBuilder
from bedstone.model.structure import Structure


@dataclass(frozen=True)
class Footing:
    """A support in global axes.

    `point` (3,) at bearing level on its centre, `base` (3,) about which overturning counts, `angle`
    of the tangent and `line_angle` of the square to its line, rad.
    """

    mark: str
    point: Floats
    base: Floats
    angle: float
    line_angle: float


def footing(structure: Structure, support: Support) -> Footing:
    """Where a support stands: on the reference line, at the mean level of its seats."""
    seats = [seat for seat in structure.seats if seat.support == support.mark]
    middle = float(np.mean([seat.offset for seat in seats])) if seats else 0.0
    level = float(np.mean([seat.point[2] for seat in seats])) if seats else 0.0
    x, y = structure.axis.point(support.chainage, 0.0)
    angle = float(structure.axis.angle(support.chainage))
    line = angle + support.skew
    # the centre of the support line stands at the mean offset of the seats, on the skewed line
    along = np.array([-np.sin(line), np.cos(line)]) * middle / max(np.cos(support.skew), 1e-6)
    point = np.array([float(x) + along[0], float(y) + along[1], level])
    depth = support.base_level
    if depth is None:
        below = support.below
        depth = below.height + below.cap if isinstance(below, Column) else 0.0
    return Footing(support.mark, point, point - np.array([0.0, 0.0, depth]), angle, line)


def column_stiffness(column: Column) -> Floats:
    """(6, 6) stiffness at bearing level of columns, cap and foundation; axes of the columns.

    Columns are Timoshenko members without shear deformation between a stiff cap and a stiff
    footing; the footing stands on the foundation springs (a direction not given is rigid).
    """
    area, bend_along, bend_across, torsion = column_section(column)
    shear = column.E / (2.0 * (1.0 + column.poisson))
    top, base = 0.0, -(column.cap + column.height)
    builder = FrameBuilder()
    cap = builder.node(0.0, 0.0, top)
    foot = builder.node(0.0, 0.0, base)
    spacing = column.spacing or 0.0
    for number in range(column.count):
        y = (number - (column.count - 1) / 2.0) * spacing
        builder.member(
            foot, cap,
            E=column.E, G=shear, A=area, J=torsion,
            # local x up, `up` = y: local z is y, so bending along the bridge is about local z
            Iy=bend_across, Iz=bend_along, up=(0.0, 1.0, 0.0),
            offset_i=(0.0, y, 0.0), offset_j=(0.0, y, -column.cap),
        )  # fmt: skip
    whole = builder.frame().stiffness.toarray()
    springs = spring_diagonal(column.foundation)
    free = np.isfinite(springs)
    block = whole[6:, 6:] + np.diag(np.where(free, springs, 0.0))
    if not free.any():
        return np.asarray(whole[:6, :6])
    link = whole[:6, 6:][:, free]
    inner = block[np.ix_(free, free)]
    result = whole[:6, :6] - link @ np.linalg.solve(inner, link.T)
    return np.asarray((result + result.T) / 2.0)


def column_section(column: Column) -> tuple[float, float, float, float]:
    """A, I for bending along the bridge, I for bending across, J of one column (m2, m4).

    Torsion of a rectangle by the usual approximation a b^3 (1/3 - 0.21 b/a (1 - b^4 / 12 a^4)),
    a the longer side (Roark's formulas; from memory).
    """
    if column.diameter is not None:
        second = np.pi * column.diameter**4 / 64.0
        return np.pi * column.diameter**2 / 4.0, second, second, 2.0 * second
    if column.along is not None and column.across is not None:
        a, b = column.along, column.across
        long, short = max(a, b), min(a, b)
        ratio = short / long
        torsion = long * short**3 * (1.0 / 3.0 - 0.21 * ratio * (1.0 - ratio**4 / 12.0))
        return a * b, b * a**3 / 12.0, a * b**3 / 12.0, torsion
    if column.A is None or column.Ix is None or column.Iy is None or column.J is None:
        raise BedstoneError("a column needs diameter, along and across, or A, Ix, Iy and J")
    return column.A, column.Iy, column.Ix, column.J


def spring_diagonal(springs: Springs6) -> Floats:
    """(6,) stiffnesses, inf where the direction is rigid."""
    values = (springs.kx, springs.ky, springs.kz, springs.krx, springs.kry, springs.krz)
    return np.array([np.inf if value is None else value for value in values])


def support_compliance(support: Support) -> tuple[Floats, float]:
    """(6, 6) compliance at bearing level in the support's own axes, and the turn of those axes.

    The turn from the tangent is the skew for columns, 0 for given springs (rad).
    """
    below = support.below
    if isinstance(below, Rigid):
        return np.zeros((6, 6)), 0.0
    if isinstance(below, Column):
        stiffness = column_stiffness(below)
        scale = 1.0 / np.sqrt(np.diag(stiffness))
        inner = stiffness * scale[:, None] * scale[None, :]
        return np.linalg.inv(inner) * scale[:, None] * scale[None, :], support.skew
    return _given_compliance(below), 0.0


def _given_compliance(below: GivenSprings) -> Floats:
    if below.matrix is not None:
        return np.asarray(np.linalg.inv(np.array(below.matrix, dtype=float)))
    assert below.springs is not None
    return np.diag(1.0 / spring_diagonal(below.springs))


def ground(structure: Structure, supports: list[Support], bound: str = "given") -> Floats:
    """(6 ns, 6 ns) compliance below the seats in global axes.

    `bound`: given, lower or upper stiffness (the factors of each support's `bounds`). Seats of one
    support share its cap, so a force at one moves the others.
    """
    count = len(structure.seats)
    result = np.zeros((6 * count, 6 * count))
    for support in supports:
        own = [i for i, seat in enumerate(structure.seats) if seat.support == support.mark]
        local, turn = support_compliance(support)
        if not own or not local.any():
            continue
        factor = {"given": 1.0, "lower": support.bounds.lower, "upper": support.bounds.upper}[bound]
        place = footing(structure, support)
        rotation = axes_in_plan(place.angle + turn)
        spin = np.kron(np.eye(2), rotation)
        compliance = spin.T @ local @ spin / factor
        points = np.array([structure.seats[i].point for i in own])
        lever = rigid_motions(points, place.point, 1.0)
        rows = (6 * np.array(own)[:, None] + np.arange(6)).ravel()
        result[np.ix_(rows, rows)] = lever @ compliance @ lever.T
    return (result + result.T) / 2.0


def axes_in_plan(angle: float) -> Floats:
    """(3, 3) axes as rows, turned in plan by an angle from global x."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
