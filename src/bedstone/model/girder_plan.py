"""The plan of a grillage of girders: where its nodes stand and what joins them.

The mesh is square (on a curve: radial) to the reference line. Every girder line has a node where
each support line crosses it, however skewed; cross strips of slab and intermediate diaphragms run
square between neighbouring lines at common chainages, support diaphragms run along the support
line, and a strip of slab joins the ends of the lines, so nothing stands outside the deck.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bedstone.bridge.schema import Bridge, Diaphragms, Girders
from bedstone.bridge.seats import line_offsets
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.model.alignment import Axis

#: Stations closer than this share of the mesh are taken together.
MERGED = 0.1
#: Elements in a span where the file gives no mesh.
ELEMENTS = 20


@dataclass(frozen=True)
class LineNodes:
    """One girder line of one unit: its nodes and their chainages, both rising; `line` from 0."""

    line: int
    offset: float
    nodes: tuple[int, ...]
    chainages: tuple[float, ...]


@dataclass(frozen=True)
class Cross:
    """A cross member from a node of one line to a node of the next line to the left.

    `chainage`: of its middle; `width`: of the slab it stands for, square to itself (0: diaphragm);
    `support`: True for a diaphragm along a support line.
    """

    right: int
    left: int
    chainage: float
    width: float = 0.0
    support: bool = False


@dataclass(frozen=True)
class PlanSeat:
    """A seat: number of the support and line (from 0), "b"/"a"/"" and its node."""

    support: int
    side: str
    line: int
    node: int


@dataclass(frozen=True)
class GirderPlan:
    """Nodes (`chainage`, `offset`, (n,) each) and what joins them.

    `lines`: by unit, then from right to left (a unit is one continuous length). `seats`: by
    support, back before ahead, from right to left.
    """

    axis: Axis
    offsets: tuple[float, ...]
    chainage: Floats
    offset: Floats
    lines: tuple[LineNodes, ...]
    strips: tuple[Cross, ...]
    diaphragms: tuple[Cross, ...]
    seats: tuple[PlanSeat, ...]


def crossing(axis: Axis, chainage: float, skew: float, offset: ArrayLike) -> Floats:
    """(k,) chainages at which a support line crosses lines at offsets (k,); exact on a curve.

    The support line runs through the reference line at `chainage`, turned by `skew` (rad,
    anticlockwise) from the square; nan where it never reaches the line.
    """
    y, c = np.asarray(offset, dtype=float), axis.curvature
    with np.errstate(invalid="ignore"):
        root = np.sqrt(math.cos(skew) ** 2 - 2.0 * c * y + (c * y) ** 2)
    # distance along the support line; written so that c = 0 is the straight case
    along = (2.0 * y - c * y**2) / (math.cos(skew) + root)
    back, across = along * math.sin(skew), along * math.cos(skew)
    if c == 0.0:
        return np.asarray(chainage - back)
    return np.asarray(chainage - np.arctan2(c * back, 1.0 - c * across) / c)


def plan_girders(bridge: Bridge, girders: Girders, axis: Axis) -> GirderPlan:
    """Lay out the grillage.

    Raises
    ------
    InputError
        Where support lines miss a girder line or cross each other on it, where a diaphragm fits
        nowhere, or with fewer than two supports.
    """
    offsets = np.array(line_offsets(girders))
    cross = _crossings(bridge, axis, offsets)
    spans = [(k, k + 1) for k in range(len(cross) - 1)]
    units = spans if girders.continuity == "simple" else [(0, len(cross) - 1)]
    _check_diaphragms(girders, cross)
    builder = _PlanBuilder(axis, offsets)
    for first, last in units:
        _add_unit(builder, bridge, girders, cross, first, last)
    seats = sorted(builder.seats, key=lambda s: (s.support, s.side != "b", s.line))
    return GirderPlan(
        axis=axis,
        offsets=tuple(map(float, offsets)),
        chainage=np.array(builder.chainage),
        offset=np.array(builder.offset),
        lines=tuple(builder.lines),
        strips=tuple(builder.strips),
        diaphragms=tuple(builder.diaphragms),
        seats=tuple(seats),
    )


class _PlanBuilder:
    """Collects the plan unit by unit."""

    def __init__(self, axis: Axis, offsets: Floats) -> None:
        self.axis = axis
        self.offsets = offsets
        self.chainage: list[float] = []
        self.offset: list[float] = []
        self.lines: list[LineNodes] = []
        self.strips: list[Cross] = []
        self.diaphragms: list[Cross] = []
        self.seats: list[PlanSeat] = []

    def line(self, number: int, chainages: Sequence[float]) -> LineNodes:
        """Add the nodes of one line."""
        start, offset = len(self.chainage), float(self.offsets[number])
        self.chainage += chainages
        self.offset += [offset] * len(chainages)
        line = LineNodes(number, offset, tuple(range(start, len(self.chainage))), tuple(chainages))
        self.lines.append(line)
        return line


def _fault(where: str, found: str, allowed: str) -> InputError:
    return InputError([Fault("bridge file", where, found, allowed)])


def _crossings(bridge: Bridge, axis: Axis, offsets: Floats) -> Floats:
    """(supports, lines) chainages of the support lines on the girder lines."""
    supports = bridge.support
    if len(supports) < 2:
        raise _fault("support", "one support", "at least two supports")
    result = np.array([crossing(axis, s.chainage, s.skew, offsets) for s in supports])
    for support, row in zip(supports, result, strict=True):
        if not np.all(np.isfinite(row)):
            found = f"{math.degrees(support.skew):.6g} deg"
            allowed = "a skew at which the support line crosses all girder lines"
            raise _fault(f"support {support.mark}: skew", found, allowed)
    for (back, ahead), step in zip(
        itertools.pairwise(supports), np.diff(result, axis=0), strict=True
    ):
        if step.min() <= 0.0:
            line = int(np.argmin(step)) + 1
            allowed = f"a support line ahead of that of {back.mark} on every girder line"
            raise _fault(f"support {ahead.mark}: skew", f"not ahead on line {line}", allowed)
    return result


def _check_diaphragms(girders: Girders, cross: Floats) -> None:
    if girders.diaphragms is None or len(cross[0]) < 2:
        return
    low = np.maximum(cross[0, :-1], cross[0, 1:]).min() - girders.start_overhang
    high = np.minimum(cross[-1, :-1], cross[-1, 1:]).max() + girders.end_overhang
    for index, chainage in enumerate(girders.diaphragms.chainages or (), start=1):
        if not low - 1e-3 <= chainage <= high + 1e-3:
            allowed = f"where two girders stand side by side, {low:.3f} m to {high:.3f} m"
            where = f"superstructure.diaphragms.chainages[{index}]"
            raise _fault(where, f"{chainage:.3f} m", allowed)


# ------------------------------------------------------------------ one continuous length
def _add_unit(
    builder: _PlanBuilder, bridge: Bridge, girders: Girders, cross: Floats, first: int, last: int
) -> None:
    """Add the unit from support `first` to support `last`."""
    axis, offsets = builder.axis, builder.offsets
    inner = cross[first : last + 1]
    reference = np.array([s.chainage for s in bridge.support[first : last + 1]])
    # an overhang is measured along each girder itself
    stretch = 1.0 - offsets * axis.curvature
    overhang = (
        girders.start_overhang if first == 0 else 0.0,
        girders.end_overhang if last == len(cross) - 1 else 0.0,
    )
    starts, ends = inner[0] - overhang[0] / stretch, inner[-1] + overhang[1] / stretch
    mesh = np.full(len(reference) - 1, girders.mesh or np.inf)
    if girders.mesh is None:
        mesh = np.diff(reference) / ELEMENTS
    near = MERGED * float(mesh.min())

    gaps = [
        _diaphragm_chainages(girders.diaphragms, reference, inner, starts, ends, gap, near)
        for gap in range(len(offsets) - 1)
    ]
    stations = _stations(
        [
            [*reference, reference[0] - overhang[0], reference[-1] + overhang[1]],
            itertools.chain.from_iterable(gaps),
            [x for s in girders.segments for x in (s.start, s.end)],
            [float(starts.min()), float(ends.max())],
        ],
        (float(starts.min()), float(ends.max())),
        reference,
        mesh,
        near,
    )
    lines: list[LineNodes] = []
    places: list[dict[int, int]] = []  # station -> node of each line
    for number in range(len(offsets)):
        fixed = _fixed(starts[number], inner[:, number], ends[number])
        chainages, at = _line_chainages(fixed, stations, near)
        line = builder.line(number, chainages)
        lines.append(line)
        places.append({station: line.nodes[k] for station, k in at.items()})

    held = [
        [line.nodes[line.chainages.index(float(x))] for x in inner[:, line.line]] for line in lines
    ]
    simple = girders.continuity == "simple"
    for k, support in enumerate(range(first, last + 1)):
        # an inner support of simple spans carries the end of one unit and the start of the next
        side = ("b" if k else "a") if simple and 0 < support < len(cross) - 1 else ""
        builder.seats += [PlanSeat(support, side, line.line, held[line.line][k]) for line in lines]
    for gap in range(len(lines) - 1):
        pair = (lines[gap], lines[gap + 1])
        builder.strips += _strips(builder, pair, places[gap], places[gap + 1])
        if girders.diaphragms is not None:
            supports = list(zip(held[gap], held[gap + 1], strict=True))
            across = [_nearest(stations, x) for x in gaps[gap]]
            builder.diaphragms += _gap_diaphragms(
                builder, supports, places[gap], places[gap + 1], across
            )


def _fixed(start: float, supports: Floats, end: float) -> list[float]:
    """Chainages of a line's nodes that never move: its ends and the supports."""
    return sorted({float(start), *map(float, supports), float(end)})


def _diaphragm_chainages(
    diaphragms: Diaphragms | None,
    reference: Floats,
    inner: Floats,
    starts: Floats,
    ends: Floats,
    gap: int,
    near: float,
) -> list[float]:
    """Chainages of the intermediate diaphragms between line `gap` and the next.

    A spacing divides each span evenly on the reference line; at skewed supports the same steps run
    on until they meet the support line.
    """
    if diaphragms is None:
        return []
    pair = slice(gap, gap + 2)
    if diaphragms.chainages is not None:
        low, high = float(starts[pair].max()), float(ends[pair].min())
        return [x for x in diaphragms.chainages if low - near <= x <= high + near]
    if diaphragms.spacing is None:
        return []
    result: list[float] = []
    for k, length in enumerate(np.diff(reference)):
        step = float(length) / math.ceil(float(length) / diaphragms.spacing - 1e-9)
        low = float(inner[k, pair].max()) + near
        high = float(inner[k + 1, pair].min()) - near
        first = math.floor((low - reference[k]) / step) + 1
        count = max(math.ceil((high - reference[k]) / step) - first, 0)
        result += [float(reference[k]) + step * m for m in range(first, first + count)]
    return result


def _stations(
    wanted: Sequence[Iterable[float]],
    limits: tuple[float, float],
    reference: Floats,
    mesh: Floats,
    near: float,
) -> list[float]:
    """Common chainages of the mesh: the wanted ones by rank, and regular ones between them.

    A wanted station closer than `near` to one of a higher (earlier) rank gives way to it.
    """
    kept: list[float] = []
    for rank in wanted:
        for x in sorted(set(rank)):
            inside = limits[0] - 1e-9 <= x <= limits[1] + 1e-9
            if inside and all(abs(x - other) > near for other in kept):
                kept.append(float(x))
    kept.sort()
    result = kept[:1]
    for a, b in itertools.pairwise(kept):
        span = int(np.clip(np.searchsorted(reference, (a + b) / 2.0) - 1, 0, len(mesh) - 1))
        pieces = math.ceil((b - a) / float(mesh[span]) - 1e-9)
        result += [a + (b - a) * m / pieces for m in range(1, pieces)] + [b]
    return result


def _nearest(stations: Sequence[float], chainage: float) -> int:
    """Index of the station nearest to a chainage."""
    return min(range(len(stations)), key=lambda k: abs(stations[k] - chainage))


def _line_chainages(
    fixed: Sequence[float], stations: Sequence[float], near: float
) -> tuple[list[float], dict[int, int]]:
    """Node chainages of a line, and for each station the index of its node there.

    A station closer than `near` to a support or an end of the line is taken there.
    """
    free: list[float] = []
    at: dict[int, float] = {}
    for index, x in enumerate(stations):
        nearest = min(fixed, key=lambda f: abs(f - x))
        if abs(nearest - x) <= near:
            at[index] = nearest
        elif fixed[0] < x < fixed[-1]:
            free.append(x)
            at[index] = x
    chainages = sorted({*fixed, *free})
    where = {x: k for k, x in enumerate(chainages)}
    return chainages, {index: where[x] for index, x in at.items()}


# ------------------------------------------------------------------ between two lines
def _strips(
    builder: _PlanBuilder,
    pair: tuple[LineNodes, LineNodes],
    right_at: dict[int, int],
    left_at: dict[int, int],
) -> list[Cross]:
    """Strips of slab between two lines; their widths add up to the deck between the ends.

    The ends of the lines are joined too, so that the slab reaches skewed ends.
    """
    right, left = pair
    joined = {(right.nodes[0], left.nodes[0]), (right.nodes[-1], left.nodes[-1])}
    joined |= {
        (right_at[station], left_at[station]) for station in right_at.keys() & left_at.keys()
    }
    chainage = builder.chainage
    middles = sorted(((chainage[i] + chainage[j]) / 2.0, i, j) for i, j in joined)
    curvature = builder.axis.curvature
    gap = left.offset - right.offset
    stretch = 1.0 - curvature * (left.offset + right.offset) / 2.0
    result: list[Cross] = []
    for k, (middle, i, j) in enumerate(middles):
        behind = middles[max(k - 1, 0)][0]
        ahead = middles[min(k + 1, len(middles) - 1)][0]
        area = (ahead - behind) / 2.0 * stretch * gap
        length = math.hypot((chainage[j] - chainage[i]) * stretch, gap)
        result.append(Cross(i, j, middle, width=area / length))
    return result


def _gap_diaphragms(
    builder: _PlanBuilder,
    supports: Sequence[tuple[int, int]],
    right_at: dict[int, int],
    left_at: dict[int, int],
    stations: Sequence[int],
) -> list[Cross]:
    """Diaphragms between two lines: along the supports, and square at stations that both have."""
    chainage = builder.chainage
    joined = dict.fromkeys(supports, True)
    for station in stations:
        if station in right_at and station in left_at:
            joined.setdefault((right_at[station], left_at[station]), False)
    return [
        Cross(i, j, (chainage[i] + chainage[j]) / 2.0, support=support)
        for (i, j), support in joined.items()
    ]
