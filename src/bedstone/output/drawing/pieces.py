"""What a bearing is drawn from: simple solids, and how each looks in plan and in both sections.

Lengths in metres; x along x' of the bearing, y to its left, z up from the underside of the lowest
plate. The long section is the plane y = 0 seen toward y, the cross section the plane x = 0 seen
toward x, so that y runs to the left there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from bedstone.output.drawing.picture import Point

#: The pictures of a bearing.
ViewName = Literal["along", "across", "plan"]
#: How a piece shows: cut or seen as it lies, always dashed, never cut, not at all.
Style = Literal["auto", "inside", "seen", "none"]
#: What it is made of, for the hatching.
Stuff = Literal["steel", "rubber", "sheet", "concrete"]

_ARC: Final = 48  # parts of a whole circle
_SMALL: Final = 1e-7


# ------------------------------------------------------------------ solids
@dataclass(frozen=True)
class Block:
    """A rectangular block."""

    length: float
    width: float
    height: float


@dataclass(frozen=True)
class Upright:
    """A standing cylinder, hollow with a `hole`."""

    diameter: float
    height: float
    hole: float = 0.0


@dataclass(frozen=True)
class Lying:
    """A cylinder along y with its axis at half its diameter; `flats`: width between flat sides.

    `grooves`: (y, width, depth) turned into it.
    """

    diameter: float
    length: float
    flats: float | None = None
    grooves: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Extruded:
    """A profile (x, z) drawn along y; `hole`: (x, z, radius) through it."""

    profile: tuple[Point, ...]
    width: float
    hole: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Turned:
    """A profile (r, z) turned about the upright axis; r >= 0."""

    profile: tuple[Point, ...]


Form = Block | Upright | Lying | Extruded | Turned


@dataclass(frozen=True)
class Piece:
    """One solid of a part: name and `nth` of that name among the parts, middle (x, y), underside z.

    `styles`: how it shows where that is not as it lies.
    """

    part: str
    form: Form
    z: float = 0.0
    x: float = 0.0
    y: float = 0.0
    stuff: Stuff = "steel"
    nth: int = 0
    along: Style = "auto"
    across: Style = "auto"
    plan: Style = "auto"

    def style(self, view: ViewName) -> Style:
        """How it shows in a view."""
        return {"along": self.along, "across": self.across, "plan": self.plan}[view]


@dataclass(frozen=True)
class Measure:
    """A length to be dimensioned below a section: from and to (horizontal, z) in its axes, m."""

    view: ViewName
    start: Point
    end: Point


@dataclass(frozen=True)
class Label:
    """Words that point at a place (horizontal, z) of a section, m."""

    view: ViewName
    at: Point
    text: str


@dataclass(frozen=True)
class Assembly:
    """A bearing as solids, with the measures of its kind, words and notes.

    `levels`: heights z (m) between which the section is dimensioned; `upper`: names of the parts
    that the plan shows as lying above; `plates`: length and width (m) of what the plan dimensions,
    the lower and the upper plate where there are two.
    """

    pieces: tuple[Piece, ...]
    levels: tuple[float, ...]
    upper: tuple[str, ...]
    plates: tuple[tuple[float, float], ...] = ()
    measures: tuple[Measure, ...] = ()
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()


# ------------------------------------------------------------------ shapes
def circle(x: float, y: float, radius: float) -> tuple[Point, ...]:
    """A circle as a polygon."""
    return arc(x, y, radius, 0.0, 2.0 * math.pi)[:-1]


def arc(x: float, y: float, radius: float, start: float, end: float) -> tuple[Point, ...]:
    """Points of an arc from one direction to another, both ends included."""
    count = max(2, math.ceil(_ARC * abs(end - start) / (2.0 * math.pi)))
    return tuple(
        (
            x + radius * math.cos(start + (end - start) * i / count),
            y + radius * math.sin(start + (end - start) * i / count),
        )
        for i in range(count + 1)
    )


def rectangle(left: float, low: float, right: float, high: float) -> tuple[Point, ...]:
    """A rectangle as a polygon."""
    return (left, low), (right, low), (right, high), (left, high)


@dataclass(frozen=True)
class Area:
    """A polygon in a view with its holes; `round`: (x, y, radius) where it is a circle."""

    points: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    round: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Shown:
    """What a piece shows in one view: its areas, whether cut, and how far behind the plane, m."""

    areas: tuple[Area, ...]
    cut: bool
    behind: float


def shown(piece: Piece, view: ViewName) -> Shown | None:
    """A piece in a view; None where it does not show."""
    if piece.style(view) == "none":
        return None
    if view == "plan":
        return _plan(piece)
    middle = piece.y if view == "along" else piece.x
    half = _half(piece.form, "y" if view == "along" else "x")
    cut = abs(middle) < half - _SMALL
    if not cut and middle < 0.0 and piece.style(view) == "auto":
        return None  # before the plane
    areas = _section(piece, view) if cut else _seen(piece, view)
    return Shown(areas, cut and piece.style(view) == "auto", 0.0 if cut else abs(middle) - half)


def _half(form: Form, axis: Literal["x", "y"]) -> float:
    """Half the extent of a solid along an axis (of profiles: from its middle to its far side)."""
    match form:
        case Block():
            return (form.length if axis == "x" else form.width) / 2.0
        case Upright():
            return form.diameter / 2.0
        case Lying():
            return (form.flats or form.diameter) / 2.0 if axis == "x" else form.length / 2.0
        case Extruded():
            return max(abs(x) for x, _ in form.profile) if axis == "x" else form.width / 2.0
        case Turned():
            return max(r for r, _ in form.profile)


def _plan(piece: Piece) -> Shown:
    """From above; `behind`: how far below the top of the highest possible piece (negative z)."""
    form, x, y = piece.form, piece.x, piece.y
    if isinstance(form, Upright | Turned):
        radius = form.diameter / 2.0 if isinstance(form, Upright) else _half(form, "x")
        holes: tuple[tuple[Point, ...], ...] = ()
        if isinstance(form, Upright) and form.hole:
            holes = (circle(x, y, form.hole / 2.0),)
        area = Area(circle(x, y, radius), holes, (x, y, radius))
    else:
        hx, hy = _half(form, "x"), _half(form, "y")
        area = Area(rectangle(x - hx, y - hy, x + hx, y + hy))
    return Shown((area,), cut=False, behind=-top(piece))


def top(piece: Piece) -> float:
    """Level of the top of a piece, m."""
    match piece.form:
        case Block() | Upright():
            return piece.z + piece.form.height
        case Lying():
            return piece.z + piece.form.diameter
        case Extruded() | Turned():
            return piece.z + max(z for _, z in piece.form.profile)


def _lying_outline(form: Lying, x: float, z: float) -> Area:
    radius = form.diameter / 2.0
    if form.flats is None or form.flats >= form.diameter - _SMALL:
        return Area(circle(x, z + radius, radius), (), (x, z + radius, radius))
    half = math.asin(form.flats / form.diameter)
    up = arc(x, z + radius, radius, math.pi / 2.0 - half, math.pi / 2.0 + half)
    down = arc(x, z + radius, radius, 1.5 * math.pi - half, 1.5 * math.pi + half)
    return Area((*up, *down))


def _section(piece: Piece, view: ViewName) -> tuple[Area, ...]:
    """Where the plane cuts the piece. Across, y runs to the left: positions change sign."""
    form, z = piece.form, piece.z
    along = view == "along"
    h = piece.x if along else -piece.y
    match form:
        case Block():
            half = _half(form, "x" if along else "y")
            return (Area(rectangle(h - half, z, h + half, z + form.height)),)
        case Upright():
            radius = form.diameter / 2.0
            inner = form.hole / 2.0
            if inner <= 0.0:
                return (Area(rectangle(h - radius, z, h + radius, z + form.height)),)
            return (
                Area(rectangle(h - radius, z, h - inner, z + form.height)),
                Area(rectangle(h + inner, z, h + radius, z + form.height)),
            )
        case Lying():
            return (_lying_outline(form, h, z),) if along else (_lengthwise(form, h, z),)
        case Extruded():
            if along:
                moved = tuple((h + x, z + v) for x, v in form.profile)
                holes: tuple[tuple[Point, ...], ...] = ()
                if form.hole:
                    hx, hz, radius = form.hole
                    holes = (circle(h + hx, z + hz, radius),)
                return (Area(moved, holes),)
            half = form.width / 2.0
            spans = _upright_spans(form.profile, -piece.x)
            if form.hole:
                hx, hz, radius = form.hole
                spans = _without(spans, hz - radius, hz + radius)
            return tuple(
                Area(rectangle(h - half, z + low, h + half, z + high)) for low, high in spans
            )
        case Turned():
            right = tuple((h + r, z + v) for r, v in form.profile)
            left = tuple((h - r, z + v) for r, v in reversed(form.profile))
            if min(r for r, _ in form.profile) > _SMALL:
                return Area(left), Area(right)
            return (Area(tuple(dict.fromkeys(_round(p) for p in (*right, *left)))),)


def _round(point: Point) -> Point:
    return round(point[0], 9), round(point[1], 9)


def _lengthwise(form: Lying, h: float, z: float) -> Area:
    """A lying cylinder cut along its axis, with its grooves."""
    half, d = form.length / 2.0, form.diameter
    low: list[Point] = [(h - half, z)]
    high: list[Point] = [(h - half, z + d)]
    for y, width, depth in sorted(form.grooves, reverse=True):
        left, right = h - y - width / 2.0, h - y + width / 2.0
        low += [(left, z), (left, z + depth), (right, z + depth), (right, z)]
        high += [(left, z + d), (left, z + d - depth), (right, z + d - depth), (right, z + d)]
    return Area((*low, (h + half, z), (h + half, z + d), *reversed(high)))


def _seen(piece: Piece, view: ViewName) -> tuple[Area, ...]:
    """The outline of a piece behind the plane."""
    form, z = piece.form, piece.z
    along = view == "along"
    h = piece.x if along else -piece.y
    if isinstance(form, Extruded | Lying) and along:
        return _section(piece, view)
    half = _half(form, "x" if along else "y")
    if isinstance(form, Extruded | Turned):
        low = min(v for _, v in form.profile)
        return (Area(rectangle(h - half, z + low, h + half, top(piece))),)
    return (Area(rectangle(h - half, z, h + half, top(piece))),)


def _upright_spans(profile: Sequence[Point], x: float) -> list[Point]:
    """Where the upright line at x passes through a profile: low and high ends."""
    x += 1e-9  # beside corners that stand exactly there
    levels = []
    for (x1, z1), (x2, z2) in pairwise((*profile, profile[0])):
        if (x1 - x) * (x2 - x) < 0.0:
            levels.append(z1 + (z2 - z1) * (x - x1) / (x2 - x1))
    levels.sort()
    return list(zip(levels[::2], levels[1::2], strict=True))


def _without(spans: Iterable[Point], low: float, high: float) -> list[Point]:
    found = []
    for a, b in spans:
        if a < low - _SMALL:
            found.append((a, min(b, low)))
        if b > high + _SMALL:
            found.append((max(a, high), b))
    return found


# ------------------------------------------------------------------ what hides what
def visible(line: Sequence[Point], covers: Sequence[Sequence[Point]]) -> list[tuple[Point, ...]]:
    """The parts of a line that no cover hides, joined where they go on."""
    runs: list[list[Point]] = []
    for start, end in pairwise(line):
        for a, b in _outside(start, end, covers):
            if runs and math.dist(runs[-1][-1], a) < 1e-9:
                runs[-1].append(b)
            else:
                runs.append([a, b])
    return [tuple(run) for run in runs]


def _outside(
    start: Point, end: Point, covers: Sequence[Sequence[Point]]
) -> list[tuple[Point, Point]]:
    """Stretches of a segment that lie in no cover; along an edge of one counts as outside."""
    cuts = {0.0, 1.0}
    left, right = min(start[0], end[0]), max(start[0], end[0])
    low, high = min(start[1], end[1]), max(start[1], end[1])
    near = [
        cover
        for cover in covers
        if min(x for x, _ in cover) < right + _SMALL
        and max(x for x, _ in cover) > left - _SMALL
        and min(y for _, y in cover) < high + _SMALL
        and max(y for _, y in cover) > low - _SMALL
    ]
    for cover in near:
        for a, b in pairwise((*cover, cover[0])):
            t = _meeting(start, end, a, b)
            if t is not None:
                cuts.add(t)
    order = sorted(cuts)
    found = []
    for t1, t2 in pairwise(order):
        if t2 - t1 < 1e-9:
            continue
        middle = _between(start, end, (t1 + t2) / 2.0)
        if not any(inside(middle, cover) for cover in near):
            found.append((_between(start, end, t1), _between(start, end, t2)))
    return found


def _between(start: Point, end: Point, t: float) -> Point:
    return start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])


def _meeting(start: Point, end: Point, a: Point, b: Point) -> float | None:
    """Where (0 to 1) a segment is met by another; None where it is not."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    ex, ey = b[0] - a[0], b[1] - a[1]
    det = dx * ey - dy * ex
    if abs(det) < 1e-15:
        return None
    sx, sy = a[0] - start[0], a[1] - start[1]
    t = (sx * ey - sy * ex) / det
    u = (sx * dy - sy * dx) / det
    return t if 0.0 < t < 1.0 and -1e-9 <= u <= 1.0 + 1e-9 else None


def inside(point: Point, polygon: Sequence[Point]) -> bool:
    """Whether a point lies within a polygon and off its edges."""
    x, y = point
    found = False
    for (x1, y1), (x2, y2) in pairwise((*polygon, polygon[0])):
        length = math.hypot(x2 - x1, y2 - y1)
        if length > 0.0:
            off = abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / length
            along = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length
            if off < 1e-6 and -1e-9 <= along <= length + 1e-9:
                return False
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            found = not found
    return found
