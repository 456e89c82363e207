"""A bearing as it is set, to scale: upper part over lower part, rollers half-way. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bedstone.output.setting_words import mm
from bedstone.site.mechanism import Block, Mechanism, RollerSet
from bedstone.site.setting import Row, Setting

#: Room for the drawing itself, mm, and for the names beside it.
WIDTH, HEIGHT, NAMES = 104.0, 40.0, 42.0
#: Scales that a rule is made for, 1 : n.
SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
#: Least distance (mm) between two names.
_LINE = 3.8
#: Points on each arc of a segment.
_ARC = 12


@dataclass(frozen=True)
class Shape:
    """A closed outline: points (mm, x to the right, y down), `part` below, above or roller."""

    points: tuple[tuple[float, float], ...]
    part: str


@dataclass(frozen=True)
class Label:
    """A name: where it points to, and the height (mm, downwards) at which it stands."""

    text: str
    x: float
    y: float
    at: float


@dataclass(frozen=True)
class Sketch:
    """A drawing: outlines, circles (x, y, radius, turn), names, middles of both parts, scale.

    `lower`, `upper`: x (mm) of the middle of the lower and the upper part; `axis` along which it
    is seen; `scale` n of 1 : n; `height` (mm) of what is drawn.
    """

    shapes: tuple[Shape, ...]
    circles: tuple[tuple[float, float, float, float], ...]
    labels: tuple[Label, ...]
    lower: float
    upper: float
    axis: str
    scale: float
    height: float


def sketch(found: Setting, row: Row) -> Sketch | None:
    """The bearing set by a row; None where no sizes are known."""
    made = found.design
    if made is None:
        return None
    across = found.held[0] and not found.held[1]
    offset = row.offset[1] if across else row.offset[0]
    widest = max(_wide(block, across) for block in (*made.below, *made.above)) + 2.0 * abs(offset)
    widest = max(widest, _reach(made, across))
    tall = sum(block.height for block in (*made.below, *made.above))
    tall += made.rollers.diameter if made.rollers is not None else 0.0
    scale = next(
        (n for n in SCALES if widest * 1e3 / n <= WIDTH and tall * 1e3 / n <= HEIGHT), SCALES[-1]
    )
    paper = 1e3 / scale
    middle, upper = WIDTH / 2.0, WIDTH / 2.0 + offset * paper
    level = height = tall * paper
    shapes: list[Shape] = []
    names: list[tuple[str, float, float]] = []
    circles: list[tuple[float, float, float, float]] = []
    for block in made.below:
        level = _stack(block, across, middle, level, paper, "below", shapes, names)
    if made.rollers is not None:
        shift = 0.0 if across else offset / 2.0
        radius = made.rollers.diameter / 2.0 * paper
        if not across:
            _stops(made, middle, level, paper, shapes)
        _rollers(made.rollers, across, middle + shift * paper, level - radius, paper,
                 0.0 if across else offset / made.rollers.diameter, shapes, circles)  # fmt: skip
        edge = max([p[0] for s in shapes if s.part == "roller" for p in s.points]
                   + [c[0] + c[2] for c in circles])  # fmt: skip
        names.append(
            (f"roller {'' if across else mm(shift) + ' mm'}".strip(), edge, level - radius)
        )
        level -= 2.0 * radius
    for block in made.above:
        level = _stack(block, across, upper, level, paper, "above", shapes, names)
    return Sketch(
        tuple(shapes), tuple(circles), _spread(names, height), middle, upper,
        "y" if across else "x", scale, height,
    )  # fmt: skip


def _wide(block: Block, across: bool) -> float:
    return block.width if across else block.length


def _reach(made: Mechanism, across: bool) -> float:
    """Length (m) from stop to stop, where rollers have stops."""
    stops = [end for end in made.ends if end.halved]
    if made.rollers is None or across or not stops:
        return 0.0
    return (
        (made.rollers.number - 1) * made.rollers.spacing
        + made.rollers.width
        + 2.0 * (stops[0].ahead / 2.0 + _bar(made.rollers))
    )


def _bar(rollers: RollerSet) -> float:
    """Thickness (m) at which a stop bar is drawn."""
    return 0.15 * rollers.diameter


def _stack(
    block: Block, across: bool, middle: float, level: float, paper: float, part: str,
    shapes: list[Shape], names: list[tuple[str, float, float]],
) -> float:  # fmt: skip
    """Draw a block standing on a level; gives the level of its top."""
    half, top = _wide(block, across) * paper / 2.0, level - block.height * paper
    shapes.append(Shape(_box(middle - half, top, middle + half, level), part))
    names.append((block.name, middle + half, (top + level) / 2.0))
    return top


def _stops(made: Mechanism, middle: float, level: float, paper: float, shapes: list[Shape]) -> None:
    """Stop bars on the lower plate, at their gap from the outer rollers at rest."""
    rollers = made.rollers
    assert rollers is not None
    for end in made.ends:
        if end.halved:
            clear = (rollers.number - 1) * rollers.spacing / 2.0 + rollers.width / 2.0
            near = (clear + end.ahead / 2.0) * paper
            far, top = near + _bar(rollers) * paper, level - rollers.diameter * 0.3 * paper
            shapes.append(Shape(_box(middle + near, top, middle + far, level), "below"))
            shapes.append(Shape(_box(middle - far, top, middle - near, level), "below"))


def _rollers(
    rollers: RollerSet, across: bool, middle: float, axis: float, paper: float, turn: float,
    shapes: list[Shape], circles: list[tuple[float, float, float, float]],
) -> None:  # fmt: skip
    """Rollers seen along the bridge's axis as their length, else round or as segments."""
    radius = rollers.diameter / 2.0 * paper
    if across:
        half = rollers.length * paper / 2.0
        shapes.append(
            Shape(_box(middle - half, axis - radius, middle + half, axis + radius), "roller")
        )
        return
    for number in range(rollers.number):
        x = middle + (number - (rollers.number - 1) / 2.0) * rollers.spacing * paper
        if rollers.segmental:
            points = _segment(radius, rollers.width * paper / 2.0)
            turned = tuple(
                (
                    x + px * math.cos(turn) - py * math.sin(turn),
                    axis + px * math.sin(turn) + py * math.cos(turn),
                )
                for px, py in points
            )
            shapes.append(Shape(turned, "roller"))
        else:
            circles.append((x, axis, radius, turn))


def _segment(radius: float, half: float) -> list[tuple[float, float]]:
    """Outline of an upright segment: two arcs joined by its flat sides."""
    edge = math.asin(min(1.0, half / radius))
    arc = [edge * (2.0 * i / _ARC - 1.0) for i in range(_ARC + 1)]
    upper = [(radius * math.sin(a), -radius * math.cos(a)) for a in arc]
    return upper + [(-x, -y) for x, y in upper]


def _box(left: float, top: float, right: float, low: float) -> tuple[tuple[float, float], ...]:
    return ((left, top), (right, top), (right, low), (left, low))


def _spread(names: Sequence[tuple[str, float, float]], height: float) -> tuple[Label, ...]:
    """Names from the top down, at their blocks where there is room, never on one another."""
    ordered = sorted(names, key=lambda item: item[2])
    places: list[float] = []
    for _, _, y in ordered:
        places.append(max(y, places[-1] + _LINE) if places else max(y, 0.0))
    over = (places[-1] if places else 0.0) - max(height, _LINE * (len(places) - 1))
    if over > 0.0:
        low = places[-1] - over
        for i in range(len(places) - 1, -1, -1):
            places[i] = min(places[i], low - _LINE * (len(places) - 1 - i))
    return tuple(Label(text, x, y, at) for (text, x, y), at in zip(ordered, places, strict=True))
