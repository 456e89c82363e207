"""Plan and elevation as they stand in the page: the common drawings, cropped, to be clicked.

And what is laid over them while a slider is drawn: the bridge grown or shrunk, a load on the deck.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Final

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.bridge.schema import Bridge
from bedstone.comparison.screen import Look
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import Structure
from bedstone.output.drawing import symbols
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.lettering import width
from bedstone.output.drawing.overlay import NONE, Overlay, of_look
from bedstone.output.drawing.picture import (
    Arc,
    Circle,
    Dimension,
    Group,
    Hatch,
    Path,
    Picture,
    Point,
    Shape,
    corners,
    every,
)
from bedstone.output.drawing.to_svg import to_svg
from bedstone.schedule.facts import outline
from bedstone.workspace.live import Convoy, Moved

#: Width of the sheet on which the drawings of the page are made, mm.
WIDE: Final = 300.0
#: Radius that answers to a click, mm, where bearings are not closer.
REACH: Final = 4.5
_MARGIN: Final = 4.0
#: Kept on both sides of the bridge and below it for each row of forces, mm: enough for most, so
#: that the page does not jump, and what did not change need not be drawn anew.
_BESIDE: Final = 18.0
_ROW: Final = 29.0
_SEAT = re.compile(
    r'<g id="seat-([^"]*)" class="seat">(<title>([^<]*)</title>)?(.*?)</g>', re.DOTALL
)
_GROUP = re.compile(r'<g(?: id="([^"]*)")?[^>]*>|</g>')
_HEAD = re.compile(r' width="[^"]*mm" height="[^"]*mm" viewBox="[^"]*"')
_PAPER = re.compile(r'<rect class="paper" width="[^"]*" height="[^"]*"')
_CENTRE = re.compile(r'<circle [^>]*cx="([-\d.]+)" cy="([-\d.]+)"')

#: Left, low, right and high end, mm of the sheet.
Span = tuple[float, float, float, float]


@dataclass(frozen=True)
class Drawn:
    """A drawing of the page: the picture it comes from, and its SVG."""

    picture: Picture
    svg: str

    def at(self, x: float, y: float) -> Point:
        """A place of the bridge (m) in the units of the SVG."""
        assert self.picture.view is not None
        across, up = self.picture.view.at(x, y)
        return across, self.picture.size[1] - up


def overlay(
    structure: Structure, look: Look | None, motion: str, wanted: str | None = None
) -> Overlay:
    """What a look says on the drawings; the motion in words where the bridge does not stand."""
    if look is None:
        return Overlay(unstable=motion) if motion else NONE
    return of_look(look, structure, wanted)


def plan(bridge: Bridge, structure: Structure, arranged: Arranged, over: Overlay) -> Drawn:
    """The plan; every bearing answers to a click (``data-seat``)."""
    picture = layout(bridge, structure, arranged, overlay=over, framed=False, wide=WIDE)
    svg = _cropped(picture, "Plan of the bearings")
    centres: list[Point] = []
    for found in _SEAT.finditer(svg):
        middle = _CENTRE.search(found[4])
        if middle is not None:
            centres.append((float(middle[1]), float(middle[2])))
    reach = min(REACH, 0.5 * _apart(centres))

    def seat(found: re.Match[str]) -> str:
        mark, title, inner = found[1], found[2] or "", found[4]
        middle = _CENTRE.search(inner)
        hit = ""
        if middle is not None:
            hit = f'<circle class="hit" cx="{middle[1]}" cy="{middle[2]}" r="{reach:.2f}"/>'
        label = f"bearing {found[3] or mark}"
        return (
            f'<g id="seat-{mark}" class="seat" data-seat="{mark}" role="button" tabindex="-1" '
            f'aria-label="{label}">{title}{hit}{inner}</g>'
        )

    return Drawn(picture, _SEAT.sub(seat, svg))


def side(bridge: Bridge, structure: Structure, arranged: Arranged, over: Overlay) -> Drawn:
    """The elevation. Its ids differ from those of the plan on the same page."""
    picture = elevation(bridge, structure, arranged, overlay=over, framed=False, wide=WIDE)
    svg = _cropped(picture, "Elevation", dimensions=True)
    svg = svg.replace(' id="', ' id="elevation-').replace("url(#", "url(#elevation-")
    return Drawn(picture, svg)


#: How forces and movements are counted, beside the axes.
_SIGNS = (
    "x: with rising chainage; y: to the left; + that way, V downwards. "
    "F, V: of the superstructure on the support."
)


def legend() -> str:
    """What the signs of the bearings mean, and the axes."""
    board = Board((400.0, 19.0))
    wide = symbols.legend(board, (1.0, 15.0), 2.2)
    symbols.axes(board, (2.0, 2.0), 0.0, ("x", "y"), 5.0)
    board.text((13.0, 3.4), _SIGNS, 2.2)
    wide = max(wide, 13.0 + width(_SIGNS, 2.2)) + 2.0
    picture = Picture("legend", "Signs and axes", board.shapes, 1.0, (wide, 19.0))
    return to_svg(picture, themed=True)


def pieces(svg: str) -> tuple[str, dict[str, str]]:
    """The outermost groups with an id, and what is left of the drawing without them."""
    rest: list[str] = []
    groups: dict[str, str] = {}
    depth = begin = after = 0
    name = ""
    for tag in _GROUP.finditer(svg):
        if tag[0] == "</g>":
            depth -= 1
            if depth == 0 and name:
                groups[name] = svg[begin : tag.end()]
                rest.append(f"{svg[after:begin]}#{name}")
                after = tag.end()
            continue
        if depth == 0:
            begin, name = tag.start(), tag[1] or ""
        depth += 1
    return "".join([*rest, svg[after:]]), groups


# ------------------------------------------------------------------ overlays
def grown(
    drawn: Drawn,
    bridge: Bridge,
    structure: Structure,
    moved: Mapping[str, Moved],
    stretch: float,
) -> str:
    """The deck in plan as temperature leaves it, drawn `stretch` times, and an arrow a bearing."""
    points = np.array([seat.point[:2] for seat in structure.seats])
    shift = np.array([moved[seat.mark].plan for seat in structure.seats])
    field = _fitted(points, shift)
    parts = []
    for line in outline(bridge, structure):
        ends = np.array([point[:2] for point in line])
        there = ends + stretch * field(ends)
        parts.append(_line([drawn.at(x, y) for x, y in there], "layer-moved"))
    for seat, (dx, dy) in zip(structure.seats, shift, strict=True):
        x, y = seat.point[:2]
        start, tip = drawn.at(x, y), drawn.at(x + stretch * dx, y + stretch * dy)
        parts.append(_arrow(start, tip, "layer-movement"))
    return "".join(parts)


def grown_side(
    drawn: Drawn,
    bridge: Bridge,
    structure: Structure,
    moved: Mapping[str, Moved],
    stretch: float,
) -> str:
    """The same in elevation: the movement above each support along the bridge."""
    parts = []
    view = drawn.picture.view
    assert view is not None
    for support in bridge.support:
        own = [seat for seat in structure.seats if seat.support == support.mark]
        if not own:
            continue
        angle = float(structure.axis.angle(support.chainage))
        along = [
            moved[seat.mark].plan[0] * math.cos(angle) + moved[seat.mark].plan[1] * math.sin(angle)
            for seat in own
        ]
        mean = sum(along) / len(along)
        level = sum(seat.point[2] for seat in own) / len(own)
        chainage = sum(seat.chainage for seat in own) / len(own)
        start = drawn.at(chainage, level)
        tip = drawn.at(chainage + stretch * mean, level)
        parts.append(_arrow((start[0], start[1] - 6.0), (tip[0], tip[1] - 6.0), "layer-movement"))
        text = f"{mean * 1e3:+.1f} mm".replace("-", "−")
        parts.append(_text((start[0], start[1] - 8.0), text, "layer-movement"))
    return "".join(parts)


def loaded(drawn: Drawn, structure: Structure, convoy: Convoy, offset: float, at: float) -> str:
    """The axles on the plan, first one at chainage `at`."""
    parts = []
    half = 1.0
    for axle in convoy.axles:
        place = at - axle.position
        reach = max(axle.length / 2.0, 0.15)
        corners = [
            (place - reach, offset - half),
            (place + reach, offset - half),
            (place + reach, offset + half),
            (place - reach, offset + half),
        ]
        points = [drawn.at(*map(float, structure.axis.point(s, y))) for s, y in corners]
        text = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        parts.append(f'<polygon class="load" points="{text}"/>')
    return "".join(parts)


def loaded_side(
    drawn: Drawn, structure: Structure, convoy: Convoy, at: float, reactions: Mapping[str, float]
) -> str:
    """The axles on the elevation, and the reaction of every support in kN."""
    parts = []
    largest = max(axle.force for axle in convoy.axles)
    for axle in convoy.axles:
        x, y = drawn.at(at - axle.position, 0.0)
        height = 3.0 + 7.0 * axle.force / largest
        wide = axle.length / 2.0 * (drawn.at(1.0, 0.0)[0] - drawn.at(0.0, 0.0)[0])
        if wide > 1.0:
            parts.append(
                f'<rect class="load" x="{x - wide:.2f}" y="{y - 5.0:.2f}" '
                f'width="{2.0 * wide:.2f}" height="4"/>'
            )
        else:
            parts.append(_arrow((x, y - height), (x, y - 0.4), "load"))
    return "".join(parts) + reaction_texts(drawn, structure, reactions)


def reaction_texts(drawn: Drawn, structure: Structure, reactions: Mapping[str, float]) -> str:
    """The vertical reaction of each support, written beside its bearings."""
    parts = []
    for mark, chainage in zip(structure.supports, structure.chainages, strict=True):
        levels = [seat.point[2] for seat in structure.seats if seat.support == mark]
        if levels and mark in reactions:
            x, y = drawn.at(chainage, sum(levels) / len(levels))
            text = f"{reactions[mark] / 1e3:.1f} kN".replace("-", "−")
            parts.append(_text((x + 4.0, y + 5.0), text, "load", "start"))
    return "".join(parts)


def _fitted(points: Floats, shift: Floats) -> Callable[[Floats], Floats]:
    """Displacement anywhere from that at the bearings: the even strain that fits them best."""
    centre = points.mean(axis=0)
    base = np.column_stack([np.ones(len(points)), points - centre])
    found = np.linalg.lstsq(base, shift, rcond=None)[0]

    def field(at: Floats) -> Floats:
        return np.asarray(np.column_stack([np.ones(len(at)), at - centre]) @ found)

    return field


def _line(points: Sequence[Point], name: str) -> str:
    text = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    return f'<polyline class="{name}" points="{text}"/>'


def _text(at: Point, text: str, name: str, anchor: str = "middle") -> str:
    return (
        f'<text class="{name} full live-text" x="{at[0]:.2f}" y="{at[1]:.2f}" font-size="3.2" '
        f'text-anchor="{anchor}">{escape(text)}</text>'
    )


def _arrow(tail: Point, tip: Point, name: str) -> str:
    length = math.dist(tail, tip)
    if length < 0.3:
        return ""
    head = min(1.6, length)
    ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
    bx, by = tip[0] - head * ux, tip[1] - head * uy
    side = 0.35 * head
    return (
        f'<line class="{name}" x1="{tail[0]:.2f}" y1="{tail[1]:.2f}" x2="{bx:.2f}" y2="{by:.2f}"/>'
        f'<polygon class="{name} full" points="{tip[0]:.2f},{tip[1]:.2f} '
        f"{bx - side * uy:.2f},{by + side * ux:.2f} "
        f'{bx + side * uy:.2f},{by - side * ux:.2f}"/>'
    )


# ------------------------------------------------------------------ cropping
def _cropped(picture: Picture, name: str, *, dimensions: bool = False) -> str:
    """The SVG of what the page shows, without its outer millimetres.

    What the page says beside it (legend, axes) and what stands below the forces goes; `dimensions`
    between the supports may stay. What is left stands in groups with ids (`pieces`).
    """
    seen = _seen(picture.shapes, dimensions=dimensions)
    if not seen:
        return to_svg(picture, themed=True)
    wide, high = picture.size
    spans = [*_kept(seen, rows=not dimensions), *(span for _, span in seen)]
    left = max(0.0, min(span[0] for span in spans) - _MARGIN)
    low = max(0.0, min(span[1] for span in spans) - _MARGIN)
    right = min(wide, max(span[2] for span in spans) + _MARGIN)
    top = min(high, max(span[3] for span in spans) + _MARGIN)
    svg = to_svg(replace(picture, shapes=_grouped([shape for shape, _ in seen])), themed=True)
    place = [f"{value:.2f}" for value in (left, high - top, right - left, top - low)]
    paper = 'x="{}" y="{}" width="{}" height="{}"'.format(*place)
    svg = _HEAD.sub(f' viewBox="{" ".join(place)}"', svg, count=1)
    svg = _PAPER.sub(f'<rect class="paper" {paper}', svg, count=1)
    svg = svg.replace('role="img"', f'role="group" aria-label="{name}"', 1)
    return svg.replace("</svg>", '<g class="live"></g></svg>')


def _seen(shapes: Sequence[Shape], *, dimensions: bool) -> list[tuple[Shape, Span]]:
    """What the page shows of a picture; nothing where no bridge stands on it."""
    spans = [(shape, span) for shape in shapes if (span := _span(shape)) is not None]
    own = [(shape, span) for shape, span in spans if isinstance(shape, Group) or _of_deck(shape)]
    groups = [span[1] for shape, span in own if isinstance(shape, Group)]
    low = min(groups or [span[1] for _, span in own], default=math.inf)
    if dimensions:
        low = min([low, *(span[1] for shape, span in spans if isinstance(shape, Dimension))])
    return [
        (shape, span)
        for shape, span in spans
        # marks of supports and the warning of a bridge that does not stand are above it
        if isinstance(shape, Group) or _of_deck(shape) or (own and span[1] >= low)
    ]


def _kept(seen: Sequence[tuple[Shape, Span]], *, rows: bool) -> list[Span]:
    """What is shown beside the bridge and (`rows`) below it, whatever stands there now."""
    parts = every([shape for shape, _ in seen])
    ends = [p for part in parts if _of_deck(part, "deck", "girder") for p in _points(part)]
    if not ends:
        return []
    left, right = min(x for x, _ in ends), max(x for x, _ in ends)
    low = min(y for _, y in ends)
    deep = 0.0
    if rows:
        forces = [shape for shape, _ in seen if isinstance(shape, Group) and _of_forces(shape)]
        middles = {p.centre[1] for group in forces for p in group.shapes if isinstance(p, Circle)}
        deep = _MARGIN + len(middles) * _ROW if middles else 0.0
    return [(left - _BESIDE, low - deep, right + _BESIDE, low)]


def _of_forces(group: Group) -> bool:
    return group.id.startswith("force-")


def _of_deck(shape: Shape, *layers: str) -> bool:
    return isinstance(shape, Path) and shape.layer in (layers or ("deck", "girder", "below"))


def _grouped(shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    """The same with what stands between groups put into groups too, so that it can be replaced."""
    found: list[Shape] = []
    loose: list[Shape] = []
    for shape in shapes:
        # the fixed point comes and goes: with its neighbours the number of groups stays
        if isinstance(shape, Group) and not shape.id.startswith("fixed-point"):
            if loose:
                found.append(Group(f"among-{len(found)}", tuple(loose)))
                loose = []
            found.append(shape)
        else:
            loose.append(shape)
    return (*found, Group(f"among-{len(found)}", tuple(loose))) if loose else tuple(found)


def _span(shape: Shape) -> Span | None:
    """Left, low, right and high end of a shape, roughly; None for a group of nothing."""
    points = [p for part in every((shape,)) for p in _points(part)]
    if not points:
        return None
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _points(shape: Shape) -> list[Point]:
    """Places that a shape reaches, roughly: what the cropping leaves in the picture."""
    match shape:
        case Path() | Hatch():
            return list(shape.points)
        case Circle() | Arc():
            x, y = shape.centre
            return [(x - shape.radius, y - shape.radius), (x + shape.radius, y + shape.radius)]
        case Dimension():
            return [*shape.feet, *corners(shape.label)]
        case Group():
            return []
        case _:
            return list(corners(shape))


def _apart(points: Sequence[Point]) -> float:
    gaps = [math.dist(a, b) for i, a in enumerate(points) for b in points[:i]]
    return max(min(gaps, default=2.0 * REACH), 1.0)
