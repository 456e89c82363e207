"""What plan and elevation have in common: scales, supports on the sheet, words for figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.bridge.schema import Bridge, Support
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.model.build import build
from bedstone.model.structure import SeatPlace, Structure
from bedstone.output.drawing.picture import Point
from bedstone.output.shown import figure
from bedstone.schedule.given import given_structure

#: Denominators that people draw to.
SCALES: Final = tuple(
    decade * step
    for decade in (1, 10, 100, 1000, 10_000)
    for step in (10, 12.5, 15, 20, 25, 30, 40, 50, 60, 75)
)


@dataclass(frozen=True)
class Scene:
    """A bridge on its bearings, as drawings need it."""

    bridge: Bridge
    structure: Structure
    arranged: Arranged

    @property
    def supports(self) -> tuple[Support, ...]:
        """Supports in order."""
        return tuple(self.bridge.support)

    def seats(self, mark: str) -> list[tuple[int, SeatPlace]]:
        """Seats of a support with their places in the structure."""
        return [(i, seat) for i, seat in enumerate(self.structure.seats) if seat.support == mark]

    def tangent(self, support: Support) -> float:
        """Direction of the reference line at a support, rad."""
        return float(self.structure.axis.angle(support.chainage))

    def held(self, seat: int) -> tuple[bool, bool]:
        """Whether a bearing holds along x' and y', springs left out."""
        held, sprung = self.arranged.bearings.held[seat], self.sprung(seat)
        return bool(held[0]) and not sprung[0], bool(held[1]) and not sprung[1]

    def sprung(self, seat: int) -> tuple[bool, bool]:
        """Whether a bearing is a spring along x' and y'."""
        soft = self.arranged.bearings.compliance[seat] > 0.0
        return bool(soft[0]), bool(soft[1])


def scene_of(bridge: Bridge, tables: FrameData | ReactionData | None = None) -> Scene:
    """A bridge of a file with the arrangement of that file; nothing is analysed.

    Raises `InputError` for what the file does not say.
    """
    if isinstance(tables, ReactionData):
        structure = given_structure(bridge, tables)
    else:
        structure = build(bridge, tables)
    functions = arrangement_functions(bridge, tables)
    point = bridge.arrangement.fixed_point
    return Scene(bridge, structure, arrange(structure, list(bridge.support), functions, point))


def usual_scale(wanted: float) -> float:
    """The next scale (denominator) at which what needs `wanted` still fits."""
    return next((scale for scale in SCALES if scale >= wanted * (1.0 - 1e-9)), wanted)


def middle(points: Sequence[Point]) -> Point:
    """Mean of some points."""
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def crossing(line: Sequence[Point], through: Point, turn: float) -> Point | None:
    """Where a line is crossed by the straight one through a point; None if nowhere.

    A line that ends before the crossing is taken on in its own direction by a tenth of its length.
    """
    if len(line) < 2:
        return None
    first, last = _beyond(line[1], line[0]), _beyond(line[-2], line[-1])
    longer = [first, *line[1:-1], last]
    ux, uy = math.cos(turn), math.sin(turn)
    beside = [(x - through[0]) * uy - (y - through[1]) * ux for x, y in longer]
    found = []
    for i in range(len(longer) - 1):
        a, b = beside[i], beside[i + 1]
        if a * b <= 0.0 and a != b:
            part = a / (a - b)
            (x1, y1), (x2, y2) = longer[i], longer[i + 1]
            found.append((x1 + part * (x2 - x1), y1 + part * (y2 - y1)))
    return min(found, key=lambda point: math.dist(point, through), default=None)


def _beyond(inner: Point, end: Point) -> Point:
    return end[0] + 0.1 * (end[0] - inner[0]), end[1] + 0.1 * (end[1] - inner[1])


def metres(value: float) -> str:
    """A length or a chainage in m, to the millimetre."""
    return f"{value:.3f}".replace("-", "−")


def kilonewtons(value: float) -> str:
    """A force in kN as people write it."""
    kilo = value / 1e3
    return figure(kilo, 0 if abs(kilo) >= 10.0 else 1)


def span_text(word: str, low: float, high: float, unit: str = "kN") -> str:
    """Largest and smallest value of an effect in kN (N given)."""
    top, bottom = kilonewtons(high), kilonewtons(low)
    return f"{word} {top} {unit}" if top == bottom else f"{word} {top} / {bottom} {unit}"


def millimetres(low: float, high: float) -> str:
    """A range of movement in mm (m given), each with its sign."""
    texts = []
    for value in (high, low):
        text = figure(abs(value) * 1e3, 0 if abs(value) >= 0.01 else 1)
        sign = "" if text == "0" else "+" if value > 0.0 else "−"
        texts.append(sign + text)
    return f"{texts[0]} / {texts[1]} mm"
