"""A drawing as data: shapes on named layers, placed in millimetres of its sheet, with a scale.

Pure functions make pictures; `to_dxf` and `to_svg` write them. A picture knows what one millimetre
of its sheet is in the bridge, so that a DXF has true lengths. Axes of the sheet: to the right and
up, from its lower left corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from bedstone.errors import BedstoneError
from bedstone.output.drawing.lettering import DESCENT, width

Point = tuple[float, float]
Unit = Literal["m", "mm"]
Across = Literal["left", "centre", "right"]
Up = Literal["bottom", "middle", "top"]


@dataclass(frozen=True)
class Layer:
    """How a layer looks: colours on light and on dark ground, line weight (mm), dashes (mm)."""

    colour: str
    dark: str
    weight: float
    dashes: tuple[float, ...] = ()


#: Every layer of every drawing. Colours keep apart for the colour-blind: dark blue and orange-red.
LAYERS: Final[Mapping[str, Layer]] = MappingProxyType(
    {
        "sheet": Layer("#5a5a5a", "#9aa0a6", 0.25),
        "deck": Layer("#1e1e1e", "#e8eaed", 0.35),
        "girder": Layer("#8a8a8a", "#8a9096", 0.18),
        "support line": Layer("#5a5a5a", "#9aa0a6", 0.25, (6.0, 1.0, 1.0, 1.0)),
        "below": Layer("#4a4a4a", "#b0b4b8", 0.25),
        "ground": Layer("#7a7a7a", "#8a9096", 0.13),
        "bearing": Layer("#0f4c81", "#6db3f2", 0.35),
        "force": Layer("#a0281e", "#ff8a70", 0.3),
        "movement": Layer("#7a4b00", "#e5b35c", 0.25),
        "fixed point": Layer("#0f4c81", "#6db3f2", 0.3),
        "moved": Layer("#7a4b00", "#e5b35c", 0.25, (2.0, 1.0)),
        "warning": Layer("#a0281e", "#ff8a70", 0.35),
        "cut": Layer("#1e1e1e", "#e8eaed", 0.5),
        "seen": Layer("#1e1e1e", "#e8eaed", 0.25),
        "hidden": Layer("#6a6a6a", "#9aa0a6", 0.18, (2.0, 1.0)),
        "hatch": Layer("#8a8a8a", "#7a8086", 0.13),
        "centre line": Layer("#7a7a7a", "#9aa0a6", 0.13, (6.0, 1.0, 1.0, 1.0)),
        "dimension": Layer("#5a5a5a", "#9aa0a6", 0.18),
        "text": Layer("#141414", "#e8eaed", 0.18),
    }
)


@dataclass(frozen=True)
class Path:
    """A line through points; `filled` ones are closed areas without an outline."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle, or a disc when `filled`."""

    layer: str
    centre: Point
    radius: float
    filled: bool = False


@dataclass(frozen=True)
class Arc:
    """Part of a circle, anticlockwise from `start` to `end`, rad."""

    layer: str
    centre: Point
    radius: float
    start: float
    end: float


@dataclass(frozen=True)
class Hatch:
    """An area filled with lines at an `angle` (rad), `spacing` mm apart on the sheet."""

    layer: str
    points: tuple[Point, ...]
    angle: float = math.pi / 4.0
    spacing: float = 1.6
    holes: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True)
class Text:
    """One line of text; `height` of its capitals in mm on the sheet, `turn` anticlockwise, rad."""

    at: Point
    text: str
    height: float = 2.4
    across: Across = "left"
    up: Up = "middle"
    turn: float = 0.0
    layer: str = "text"


@dataclass(frozen=True)
class Dimension:
    """A length from `start` to `end`, shown on a line `offset` mm to the left of that direction.

    `along`: direction (rad) in which it is measured; None: from start to end. `text` is what is
    written; `side` 1: beyond the line, -1: between line and object.
    """

    start: Point
    end: Point
    offset: float
    text: str
    along: float | None = None
    height: float = 2.0
    side: int = 1
    layer: str = "dimension"

    @property
    def feet(self) -> tuple[Point, Point]:
        """Both ends of the dimension line."""
        turn = self.turn
        ux, uy = math.cos(turn), math.sin(turn)
        run = (self.end[0] - self.start[0]) * ux + (self.end[1] - self.start[1]) * uy
        a = (self.start[0] - self.offset * uy, self.start[1] + self.offset * ux)
        return a, (a[0] + run * ux, a[1] + run * uy)

    @property
    def turn(self) -> float:
        """Direction of the dimension line, rad."""
        if self.along is not None:
            return self.along
        return math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])

    @property
    def label(self) -> Text:
        """The text, readable from below or from the right, clear of the line."""
        (x1, y1), (x2, y2) = self.feet
        turn = math.remainder(self.turn, 2.0 * math.pi)
        flipped = turn > math.pi / 2.0 + 1e-9 or turn < -math.pi / 2.0 + 1e-9
        turn = math.remainder(turn + math.pi, 2.0 * math.pi) if flipped else turn
        rise = 0.9 * (-self.side if flipped else self.side)
        at = ((x1 + x2) / 2.0 - rise * math.sin(turn), (y1 + y2) / 2.0 + rise * math.cos(turn))
        up: Up = "bottom" if rise > 0.0 else "top"
        return Text(at, self.text, self.height, "centre", up, turn)

    def strokes(self) -> list[Path]:
        """Dimension line, extension lines and the short strokes where they meet."""
        feet = self.feet
        turn = self.turn
        reach = math.copysign(1.2, self.offset)
        found = [Path(self.layer, feet)]
        for (x, y), foot in zip((self.start, self.end), feet, strict=True):
            length = math.dist((x, y), foot)
            if length > 1e-6:
                ux, uy = (foot[0] - x) / length, (foot[1] - y) / length
                gap = min(0.8, 0.5 * length)
                far = (foot[0] + abs(reach) * ux, foot[1] + abs(reach) * uy)
                found.append(Path(self.layer, ((x + gap * ux, y + gap * uy), far)))
            c, s = math.cos(turn + math.pi / 4.0), math.sin(turn + math.pi / 4.0)
            found.append(
                Path(
                    self.layer,
                    (
                        (foot[0] - 0.9 * c, foot[1] - 0.9 * s),
                        (foot[0] + 0.9 * c, foot[1] + 0.9 * s),
                    ),
                )
            )
        return found


@dataclass(frozen=True)
class Group:
    """Shapes that belong together under an `id` (``seat-P1-3``); `title` says what it is."""

    id: str
    shapes: tuple[Shape, ...]
    title: str = ""


Shape = Path | Circle | Arc | Hatch | Text | Dimension | Group


@dataclass(frozen=True)
class View:
    """How a part of the bridge lies on the sheet: `origin` (mm) of its own (0, 0), turn, scale.

    `per_unit`: millimetres of the sheet for one metre of the bridge.
    """

    origin: Point
    per_unit: float
    turn: float = 0.0

    def at(self, x: float, y: float) -> Point:
        """A point of the bridge (m) on the sheet (mm)."""
        c, s = math.cos(self.turn), math.sin(self.turn)
        return (
            self.origin[0] + self.per_unit * (c * x - s * y),
            self.origin[1] + self.per_unit * (s * x + c * y),
        )


@dataclass(frozen=True)
class Picture:
    """One drawing on one sheet.

    `name`: for files, `title`: for people; `scale`: denominator; `unit`: of true lengths in a DXF;
    `size` (mm) of the sheet; `view`: where the bridge lies on it (None for details).
    """

    name: str
    title: str
    shapes: tuple[Shape, ...]
    scale: float
    size: tuple[float, float]
    unit: Unit = "m"
    view: View | None = None

    @property
    def true(self) -> float:
        """True length, in `unit`, of one millimetre of the sheet."""
        return self.scale / 1000.0 if self.unit == "m" else self.scale


# ------------------------------------------------------------------ looking at pictures
def every(shapes: Sequence[Shape]) -> Iterator[Shape]:
    """All shapes, groups and what is in them, in order."""
    for shape in shapes:
        yield shape
        if isinstance(shape, Group):
            yield from every(shape.shapes)


def texts(picture: Picture) -> list[Text]:
    """All texts that say something, those of dimensions too."""
    found: list[Text] = []
    for shape in every(picture.shapes):
        if isinstance(shape, Text):
            found.append(shape)
        elif isinstance(shape, Dimension):
            found.append(shape.label)
    return [text for text in found if text.text]


def identifiers(picture: Picture) -> list[str]:
    """Ids of all groups in order."""
    return [shape.id for shape in every(picture.shapes) if isinstance(shape, Group)]


def extent(shapes: Sequence[Shape]) -> tuple[float, float, float, float]:
    """Left, low, right and high end (mm) of some shapes; arcs with their whole circle.

    Raises `BedstoneError` for nothing.
    """
    points: list[Point] = []
    for shape in every(shapes):
        match shape:
            case Path() | Hatch():
                points += shape.points
            case Circle() | Arc():
                (x, y), r = shape.centre, shape.radius
                points += [(x - r, y - r), (x + r, y + r)]
            case Text():
                points += corners(shape)
            case Dimension():
                points += [*shape.feet, *corners(shape.label)]
    if not points:
        raise BedstoneError("nothing is drawn that would have an extent")
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


Corners = tuple[Point, Point, Point, Point]


def corners(text: Text) -> Corners:
    """Corners (mm) of the box around a text, with what reaches below the line of writing."""
    wide, high = width(text.text, text.height), text.height
    left = {"left": 0.0, "centre": -wide / 2.0, "right": -wide}[text.across]
    base = {"bottom": 0.0, "middle": -high / 2.0, "top": -high}[text.up]
    low = base - DESCENT * high
    c, s = math.cos(text.turn), math.sin(text.turn)
    x, y = text.at

    def turned(u: float, v: float) -> Point:
        return x + c * u - s * v, y + s * u + c * v

    right, top = left + wide, base + high
    return turned(left, low), turned(right, low), turned(right, top), turned(left, top)


def meet(a: Sequence[Point], b: Sequence[Point], clear: float = 0.0) -> bool:
    """Whether two convex areas come nearer than `clear` mm (separating axes)."""
    for shape in (a, b):
        for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
            length = math.hypot(x2 - x1, y2 - y1)
            if length < 1e-9:
                continue
            nx, ny = (y2 - y1) / length, (x1 - x2) / length
            of_a = [nx * x + ny * y for x, y in a]
            of_b = [nx * x + ny * y for x, y in b]
            if max(of_a) + clear <= min(of_b) or max(of_b) + clear <= min(of_a):
                return False
    return True


def collisions(picture: Picture) -> list[tuple[str, str]]:
    """Texts that lie over one another, and (with ``sheet``) texts that leave the sheet."""
    boxes = [(text.text, corners(text)) for text in texts(picture)]
    spans = [(min(x for x, _ in box), max(x for x, _ in box)) for _, box in boxes]
    order = sorted(range(len(boxes)), key=lambda i: spans[i][0])
    found = []
    for place, i in enumerate(order):
        for j in order[place + 1 :]:
            if spans[j][0] >= spans[i][1]:
                break
            if meet(boxes[i][1], boxes[j][1]):
                found.append((boxes[i][0], boxes[j][0]))
    wide, high = picture.size
    for text, box in boxes:
        if not all(0.0 <= x <= wide and 0.0 <= y <= high for x, y in box):
            found.append((text, "sheet"))
    return found
