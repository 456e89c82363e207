"""A board to draw on: gathers shapes and finds each label a place where nothing else is written."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from typing import Final

from bedstone.output.drawing.picture import (
    Across,
    Arc,
    Circle,
    Dimension,
    Group,
    Hatch,
    Path,
    Point,
    Shape,
    Text,
    Up,
    corners,
    meet,
)

#: Least distance (mm) between two texts, and between a text and what it must not touch.
CLEAR: Final = 0.4
#: Farthest that a label may stand from its point, mm; beyond it the next ring is tried still.
_FARTHEST: Final = 400.0
#: How much farther than wished for a label may go so as not to stand on a line, mm.
_NEARBY: Final = 5.0
_AROUND: Final = 16


class Board:
    """Gathers the shapes of a picture in millimetres of its sheet; knows where text may stand."""

    def __init__(self, size: tuple[float, float], margin: float = 0.0) -> None:
        """`margin`: along the edges, where no label may stand, mm."""
        self.size = size
        self.margin = margin
        self._open: list[list[Shape]] = [[]]
        self._taken: list[_Area] = []
        self._avoided: list[_Area] = []

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """What was drawn so far."""
        return tuple(self._open[0])

    def add(self, *shapes: Shape) -> None:
        """Draw shapes; texts and dimensions take their place."""
        for shape in shapes:
            if isinstance(shape, Text) and shape.text:
                self.take(corners(shape))
            elif isinstance(shape, Dimension):
                if shape.text:
                    self.take(corners(shape.label))
                for stroke in shape.strokes():
                    self.avoid(stroke.points)
        self._open[-1].extend(shapes)

    @contextmanager
    def group(self, name: str, title: str = "") -> Iterator[None]:
        """What is drawn within belongs to a group of this id."""
        self._open.append([])
        yield
        inner = tuple(self._open.pop())
        self._open[-1].append(Group(name, inner, title))

    # -------------------------------------------------------------- drawing
    def line(self, layer: str, *points: Point, closed: bool = False) -> None:
        """A line through points."""
        self.add(Path(layer, points, closed))

    def box(self, layer: str, x: float, y: float, wide: float, high: float) -> None:
        """A rectangle from its lower left corner."""
        self.line(layer, (x, y), (x + wide, y), (x + wide, y + high), (x, y + high), closed=True)

    def fill(self, layer: str, *points: Point) -> None:
        """A filled area."""
        self.add(Path(layer, points, closed=True, filled=True))

    def circle(self, layer: str, centre: Point, radius: float, *, filled: bool = False) -> None:
        """A circle or a disc."""
        self.add(Circle(layer, centre, radius, filled))

    def arc(self, layer: str, centre: Point, radius: float, start: float, end: float) -> None:
        """Part of a circle, anticlockwise, rad."""
        self.add(Arc(layer, centre, radius, start, end))

    def hatch(self, points: Sequence[Point], angle: float, spacing: float = 1.6) -> None:
        """An area in section."""
        self.add(Hatch("hatch", tuple(points), angle, spacing))

    def text(
        self,
        at: Point,
        text: str,
        height: float = 2.4,
        across: Across = "left",
        up: Up = "middle",
        layer: str = "text",
        turn: float = 0.0,
    ) -> None:
        """One line of text where it is told to stand."""
        if text:
            self.add(Text(at, text, height, across, up, turn, layer))

    def arrow(self, layer: str, tail: Point, tip: Point, head: float = 1.8) -> None:
        """A line from tail to tip with a filled head; nothing for no length."""
        length = math.dist(tail, tip)
        if length < 1e-6:
            return
        head = min(head, length)
        ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
        neck = (tip[0] - head * ux, tip[1] - head * uy)
        if length > head:
            self.line(layer, tail, neck)
        side = 0.32 * head
        self.fill(
            layer,
            tip,
            (neck[0] - side * uy, neck[1] + side * ux),
            (neck[0] + side * uy, neck[1] - side * ux),
        )

    # -------------------------------------------------------------- places of texts
    def take(self, area: Sequence[Point]) -> None:
        """Keep a convex area free of labels."""
        self._taken.append(_area(area))

    def avoid(self, line: Sequence[Point]) -> None:
        """Labels stand off a line while there is room elsewhere nearby."""
        self._avoided.extend(_area(part) for part in pairwise(line))

    def free(self, area: Sequence[Point], clear: float = CLEAR, *, lines: bool = False) -> bool:
        """Whether a convex area touches nothing that is taken and stays on the board.

        `lines`: nor any line that labels avoid.
        """
        own = _area(area)
        left, low, right, high, _ = own
        least = self.margin + clear
        if left < least or low < least:
            return False
        if right > self.size[0] - least or high > self.size[1] - least:
            return False
        if _touched(own, self._taken, clear):
            return False
        return not (lines and _touched(own, self._avoided, clear))

    def place(self, wanted: Sequence[Text], *, lines: bool = True) -> Text | None:
        """Write the first of some texts that stands free; None (and nothing) if none does."""
        for text in wanted:
            if self.free(corners(text), lines=lines):
                self.add(text)
                return text
        return None

    def label(
        self,
        point: Point,
        text: str,
        near: float,
        height: float = 2.0,
        layer: str = "text",
        start: float = math.radians(35.0),
        leader: str = "dimension",
        *,
        led: bool = False,
    ) -> Text | None:
        """Write a text beside a point, in the first free place around it; None if there is none.

        `near`: distance from the point that is tried first; the direction `start` (rad) comes first
        too. A text that had to go farther gets a leader, with `led` every text.
        """
        for lines in (True, False):  # off all lines if that is possible nearby
            reach = near
            while reach < (near + (8.0 if led else 1.0) * _NEARBY if lines else _FARTHEST):
                for step in range(_AROUND):
                    # right of the direction wished for and left of it by turns
                    turn = start + (step + 1) // 2 * (-1) ** step * 2.0 * math.pi / _AROUND
                    placed = _beside(point, turn, reach, text, height, layer)
                    if self.free(corners(placed), lines=lines):
                        if led or reach > near + 2.0:
                            self.line(leader, point, placed.at)
                        self.add(placed)
                        return placed
                reach += max(1.0, 0.12 * reach)
        return None


_Area = tuple[float, float, float, float, tuple[Point, ...]]


def _area(points: Sequence[Point]) -> _Area:
    """An area with its extent: left, low, right, high."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys), tuple(points)


def _touched(own: _Area, others: Sequence[_Area], clear: float) -> bool:
    left, low, right, high = own[0] - clear, own[1] - clear, own[2] + clear, own[3] + clear
    return any(
        x1 < right and x2 > left and y1 < high and y2 > low and meet(own[4], other, clear)
        for x1, y1, x2, y2, other in others
    )


def _beside(point: Point, turn: float, reach: float, text: str, height: float, layer: str) -> Text:
    """A text that points away from a place in one direction."""
    c, s = math.cos(turn), math.sin(turn)
    at = (point[0] + reach * c, point[1] + reach * s)
    across: Across = "left" if c > 0.35 else "right" if c < -0.35 else "centre"
    up: Up = "bottom" if s > 0.35 else "top" if s < -0.35 else "middle"
    return Text(at, text, height, across, up, layer=layer)
