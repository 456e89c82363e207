"""One view of a bearing on the sheet: what is cut is hatched, what is seen drawn, what is hidden
dashed; and where a number or words may point at it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from bedstone.output.drawing.board import Board
from bedstone.output.drawing.picture import Hatch, Path, Point
from bedstone.output.drawing.pieces import Area, Assembly, Piece, ViewName, shown, visible

_ANGLES: Final = (math.pi / 4.0, 3.0 * math.pi / 4.0)
_SPACING: Final = (1.7, 1.7, 2.4, 2.4)


@dataclass(frozen=True)
class Frame:
    """Where a view stands: `origin` (mm) of its (0, 0), `per_metre` mm of the sheet for a metre."""

    origin: Point
    per_metre: float

    def at(self, point: Point) -> Point:
        """From the bearing (m) to the sheet (mm)."""
        return (
            self.origin[0] + point[0] * self.per_metre,
            self.origin[1] + point[1] * self.per_metre,
        )


Key = tuple[str, int]


class Spots:
    """Places (mm) at which parts can be pointed at in one view; those in a section count more."""

    def __init__(self) -> None:
        self.cut: dict[Key, list[Point]] = {}
        self.seen: dict[Key, list[Point]] = {}

    def of(self, key: Key) -> list[Point]:
        """Places of one part, in the section where it is cut."""
        return self.cut.get(key) or self.seen.get(key, [])


def extent(assembly: Assembly, view: ViewName) -> tuple[float, float, float, float]:
    """Left, low, right and high end of a view, m."""
    points = [
        point
        for piece in assembly.pieces
        if (seen := shown(piece, view)) is not None
        for area in seen.areas
        for point in area.points
    ]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def draw(board: Board, assembly: Assembly, view: ViewName, frame: Frame) -> Spots:
    """Draw one view; returns where its parts can be pointed at."""
    if view == "plan":
        return _plan(board, assembly, frame)
    covers: list[tuple[Point, ...]] = []
    spots = Spots()
    pointed = spots.seen
    numbers = {key: i for i, key in enumerate(dict.fromkeys(_key(p) for p in assembly.pieces))}
    later: list[tuple[float, Piece, tuple[Area, ...]]] = []
    # hatches before outlines, so that lines stay whole
    for piece in assembly.pieces:
        found = shown(piece, view)
        if found is None or not found.cut:
            continue
        for area in found.areas:
            covers.append(area.points)
            _fill(board, piece, area, frame, numbers[_key(piece)])
            _point(spots.cut, piece, area, frame)
    for piece in assembly.pieces:
        found = shown(piece, view)
        if found is None:
            continue
        style = piece.style(view)
        if found.cut:
            _outline(board, "cut", found.areas, frame)
        elif style == "inside":
            _outline(board, "hidden", found.areas, frame)
            for area in found.areas:
                _point(pointed, piece, area, frame)
        elif style == "seen":
            _outline(board, "seen", found.areas, frame)
            for area in found.areas:
                covers.append(area.points)
                _point(pointed, piece, area, frame)
        else:
            later.append((found.behind, piece, found.areas))
    for _, piece, areas in sorted(later, key=lambda item: item[0]):
        for area in areas:
            _clipped(board, piece, area, covers, frame, pointed)
        covers += [area.points for area in areas]
    return spots


def _plan(board: Board, assembly: Assembly, frame: Frame) -> Spots:
    """From above, what lies on top dashed: highest first, the rest where nothing hides it."""
    spots = Spots()
    pointed = spots.seen
    covers: list[tuple[Point, ...]] = []
    pieces = [(found, p) for p in assembly.pieces if (found := shown(p, "plan")) is not None]
    # what was told first lies above what is equally high and told later
    for found, piece in sorted(pieces, key=lambda item: item[0].behind):
        if piece.part in assembly.upper or piece.plan == "inside":
            _outline(board, "hidden", found.areas, frame)
            for area in found.areas:
                _point(pointed, piece, area, frame)
            continue
        for area in found.areas:
            if piece.plan == "seen":
                _outline(board, "seen", (area,), frame)
                _point(pointed, piece, area, frame)
            else:
                _clipped(board, piece, area, covers, frame, pointed)
        covers += [area.points for area in found.areas]
    return spots


def _key(piece: Piece) -> Key:
    return piece.part, piece.nth


def _fill(board: Board, piece: Piece, area: Area, frame: Frame, number: int) -> None:
    points = tuple(frame.at(p) for p in area.points)
    holes = tuple(tuple(frame.at(p) for p in hole) for hole in area.holes)
    if piece.stuff == "sheet":
        board.add(Path("hatch", points, closed=True, filled=True))
    elif piece.stuff == "rubber":
        for angle in _ANGLES:
            board.add(Hatch("hatch", points, angle, 1.5, holes))
    elif piece.stuff == "concrete":
        board.add(Hatch("hatch", points, math.pi / 3.0, 0.9, holes))
    else:
        board.add(Hatch("hatch", points, _ANGLES[number % 2], _SPACING[number % 4], holes))


def _outline(board: Board, layer: str, areas: tuple[Area, ...], frame: Frame) -> None:
    for area in areas:
        if area.round is not None:
            x, y, radius = area.round
            board.circle(layer, frame.at((x, y)), radius * frame.per_metre)
        else:
            board.line(layer, *(frame.at(p) for p in area.points), closed=True)
        for hole in area.holes:
            board.line(layer, *(frame.at(p) for p in hole), closed=True)


def _clipped(
    board: Board,
    piece: Piece,
    area: Area,
    covers: list[tuple[Point, ...]],
    frame: Frame,
    pointed: dict[Key, list[Point]],
) -> None:
    whole = (*area.points, area.points[0])
    runs = visible(whole, covers)
    length = sum(math.dist(a, b) for run in runs for a, b in pairwise(run))
    total = sum(math.dist(a, b) for a, b in pairwise(whole))
    if abs(length - total) < 1e-9:
        _outline(board, "seen", (Area(area.points, (), area.round),), frame)
    else:
        for run in runs:
            board.line("seen", *(frame.at(p) for p in run))
    for hole in area.holes:
        for run in visible((*hole, hole[0]), covers):
            board.line("seen", *(frame.at(p) for p in run))
    if runs:  # point at the middle of what is seen of its outline
        longest = max(runs, key=lambda run: math.dist(run[0], run[-1]) + len(run))
        a, b = longest[len(longest) // 2 - 1], longest[len(longest) // 2]
        spot = frame.at(((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0))
        pointed.setdefault(_key(piece), []).append(spot)


def _point(pointed: dict[Key, list[Point]], piece: Piece, area: Area, frame: Frame) -> None:
    """Places just inside an area at both of its sides, half way up."""
    points = [frame.at(p) for p in area.points]
    y = (min(v for _, v in points) + max(v for _, v in points)) / 2.0 + 1e-6
    xs = sorted(
        x1 + (x2 - x1) * (y - y1) / (y2 - y1)
        for (x1, y1), (x2, y2) in pairwise((*points, points[0]))
        if (y1 - y) * (y2 - y) < 0.0
    )
    if len(xs) < 2:
        return
    spots = pointed.setdefault(_key(piece), [])
    for a, b, sign in ((xs[0], xs[1], 1.0), (xs[-1], xs[-2], -1.0)):
        spots.append((a + sign * min(1.2, abs(b - a) / 2.0), y))
