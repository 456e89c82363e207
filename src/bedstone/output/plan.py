"""Plan of the bearings: the bridge to scale, and each support enlarged with what it takes.

Drawn with ezdxf in metres on named layers; the SVG picture is the same drawing through ezdxf's
drawing add-on. Placed in millimetres of paper and turned into metres by the scale, so that text and
symbols have their size on any sheet. The symbol of a bearing follows from what it does alone: a bar
across each direction that it holds, an arrow along each that it leaves free.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Final

from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration, LineweightPolicy
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.layout import Margins, Page, Settings, Units
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.addons.drawing.svg import SVGBackend
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.filemanagement import new
from ezdxf.fonts.fonts import make_font
from ezdxf.layouts.layout import Modelspace

from bedstone.bridge.schema import Function
from bedstone.cautions import SHORT
from bedstone.output import words
from bedstone.output.sheets import is_ultimate
from bedstone.output.shown import figure, plain, shown
from bedstone.schedule.result import Governing, Schedule, SeatInfo, SupportInfo

_Point = tuple[float, float]

#: Layers: colour (red, green, blue) and line weight in hundredths of a millimetre.
LAYERS: Final[dict[str, tuple[tuple[int, int, int], int]]] = {
    "frame": ((90, 90, 90), 25),
    "deck edge": ((30, 30, 30), 35),
    "girder line": ((130, 130, 130), 18),
    "support line": ((90, 90, 90), 25),
    "bearing": ((15, 76, 129), 35),
    "force": ((160, 40, 30), 30),
    "dimension": ((90, 90, 90), 18),
    "text": ((20, 20, 20), 18),
}
_FONT: Final = "LiberationSans-Regular.ttf"  # ezdxf takes the nearest one where it is missing
_SHEETS: Final = (
    ("A4", 297.0, 210.0),
    ("A3", 420.0, 297.0),
    ("A2", 594.0, 420.0),
    ("A1", 841.0, 594.0),
    ("A0", 1189.0, 841.0),
)
_SCALES: Final = tuple(
    decade * step
    for decade in (10, 100, 1000, 10_000)
    for step in (5, 6, 7.5, 8, 10, 12.5, 15, 20, 25, 30, 40)
)

# Millimetres on paper.
_MARGIN = 8.0
_HEAD = 21.0
_FOOT = 27.0
_PLAN_LEAST, _PLAN_MOST = 44.0, 90.0
_ABOVE, _BELOW = 12.0, 18.0  # room in the plan for marks, for dimensions and scale
_ROSETTE = 36.0
_PANEL_HEAD = 10.0
_TITLE, _TEXT, _SMALL = 4.2, 2.4, 2.0  # heights of capitals
_TOGETHER = 2.0  # bearings closer than this are dots in the plan, symbols on the enlarged support
_JOINT = 0.9  # width of the gap drawn between two spans
_SYMBOL = 2.6  # half the size of a bearing's symbol


# ------------------------------------------------------------------ what is public
def plan_svg(schedule: Schedule) -> str:
    """Return the plan as an SVG picture of its sheet; the same schedule gives the same text."""
    plan = _Plan(schedule)
    document = plan.draw()
    backend = SVGBackend()
    config = Configuration(
        background_policy=BackgroundPolicy.WHITE, lineweight_policy=LineweightPolicy.ABSOLUTE
    )
    Frontend(RenderContext(document), backend, config=config).draw_layout(document.modelspace())
    page = Page(plan.width, plan.height, Units.mm, Margins.all(_MARGIN))
    text: str = backend.get_string(page, settings=Settings(fit_page=True))
    return text if text.endswith("\n") else text + "\n"


def plan_drawing(schedule: Schedule) -> Drawing:
    """Return the plan as a drawing in metres, to be saved as DXF."""
    return _Plan(schedule).draw()


# ------------------------------------------------------------------ pen
class _Pen:
    """Draws in millimetres of paper into a model space in metres."""

    def __init__(self, space: Modelspace, metres: float) -> None:
        self.space = space
        self.metres = metres  # of the bridge in a millimetre of paper

    def _at(self, point: _Point) -> _Point:
        return point[0] * self.metres, point[1] * self.metres

    def line(self, layer: str, *points: _Point, closed: bool = False, linetype: str = "") -> None:
        """A line through points."""
        attributes = {"layer": layer}
        if linetype:
            attributes["linetype"] = linetype
        self.space.add_lwpolyline(
            [self._at(point) for point in points], close=closed, dxfattribs=attributes
        )

    def circle(self, layer: str, centre: _Point, radius: float) -> None:
        """A circle."""
        self.space.add_circle(self._at(centre), radius * self.metres, dxfattribs={"layer": layer})

    def filled(self, layer: str, a: _Point, b: _Point, c: _Point, d: _Point | None = None) -> None:
        """A filled triangle or quadrangle, corners in turn."""
        corners = (a, b, c, c) if d is None else (a, b, d, c)  # the order DXF asks for
        self.space.add_solid([self._at(point) for point in corners], dxfattribs={"layer": layer})

    def arrow(self, layer: str, tail: _Point, tip: _Point, head: float = 1.6) -> None:
        """A line from tail to tip with a filled head."""
        length = math.dist(tail, tip)
        ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
        neck = (tip[0] - head * ux, tip[1] - head * uy)
        self.line(layer, tail, neck)
        side = 0.32 * head
        self.filled(
            layer,
            tip,
            (neck[0] - side * uy, neck[1] + side * ux),
            (neck[0] + side * uy, neck[1] - side * ux),
        )

    def text(
        self, point: _Point, text: str, height: float = _TEXT, align: Align = Align.MIDDLE_LEFT
    ) -> None:
        """One line of text."""
        attributes = {"layer": "text", "style": "plan"}
        entity = self.space.add_text(text, height=height * self.metres, dxfattribs=attributes)
        entity.set_placement(self._at(point), align=align)


# ------------------------------------------------------------------ bearing
def _symbol(pen: _Pen, centre: _Point, seat: SeatInfo, angle: float, size: float) -> None:
    """A dot; across x' and y' bars where held, thin pairs of bars where sprung, arrows where free.

    `angle`: of x' on the paper; `size`: half the width of the symbol.
    """
    if seat.function == "none":
        pen.circle("bearing", centre, 0.6 * size)
        return
    pen.circle("bearing", centre, 0.16 * size)
    for direction in (0, 1):
        turn = angle + direction * math.pi / 2.0
        ux, uy = math.cos(turn), math.sin(turn)
        for sign in (1.0, -1.0):
            tip = (centre[0] + sign * size * ux, centre[1] + sign * size * uy)
            if seat.sprung[direction]:
                for reach in (0.7, 0.95):
                    _bar(pen, centre, sign * reach * size, (ux, uy), 0.4 * size)
            elif seat.held[direction]:
                _bar(pen, centre, sign * 0.75 * size, (ux, uy), 0.55 * size)
            else:
                start = (centre[0] + sign * 0.3 * size * ux, centre[1] + sign * 0.3 * size * uy)
                pen.arrow("bearing", start, tip, 0.45 * size)


def _bar(pen: _Pen, centre: _Point, reach: float, along: _Point, half: float) -> None:
    x, y = centre[0] + reach * along[0], centre[1] + reach * along[1]
    pen.line(
        "bearing",
        (x - half * along[1], y + half * along[0]),
        (x + half * along[1], y - half * along[0]),
    )


# ------------------------------------------------------------------ sheet
@dataclass(frozen=True)
class _Panel:
    """Where the enlarged picture of one support stands: lower left corner and size, mm."""

    x: float
    y: float
    width: float
    height: float


class _Plan:
    """The sheet of one schedule: its size, its scale and everything on it."""

    def __init__(self, schedule: Schedule) -> None:
        self.schedule = schedule
        self.turn = -self._chord()
        self.seats = {
            support.mark: [seat for seat in schedule.seats if seat.support == support.mark]
            for support in schedule.supports
        }
        self.paired = any(
            _pairs(seats) for seats in self.seats.values()
        )  # two spans end on one support
        lines = max(_lines(seats) for seats in self.seats.values())
        self.seats_height = max(20.0, 7.0 * lines + 4.0)
        self.panel_height = _PANEL_HEAD + self.seats_height + _ROSETTE
        self._choose_sheet()
        self._choose_scale()

    # -------------------------------------------------------------- size and scale
    def _chord(self) -> float:
        """Direction from the first support to the last, rad; 0 for one support."""
        seats = self.schedule.seats
        (x1, y1), (x2, y2) = (
            _middle([seat.point for seat in seats if seat.support == support.mark])
            for support in (self.schedule.supports[0], self.schedule.supports[-1])
        )
        return math.atan2(y2 - y1, x2 - x1) if (x1, y1) != (x2, y2) else 0.0

    def _choose_sheet(self) -> None:
        """The smallest sheet that takes the panels of all supports below the plan.

        A sheet larger than A4 is cut where the drawing ends; one too small even as A0 grows.
        """
        count = len(self.schedule.supports)
        least = 92.0 if self.paired else 66.0
        for name, width, height in _SHEETS:
            self.sheet, self.width, self.height = name, width, height
            self.columns = max(1, min(count, int(self.inner_width // least)))
            rows = math.ceil(count / self.columns)
            free = self.inner_height - _HEAD - _FOOT - rows * self.panel_height
            if free >= _PLAN_LEAST:
                break
        self.plan_height = min(max(free, _PLAN_LEAST), _PLAN_MOST)
        if self.sheet != "A4":
            self.height += self.plan_height - free
            self.sheet = f"{self.width:.0f} x {self.height:.0f} mm"

    @property
    def inner_width(self) -> float:
        return self.width - 2.0 * _MARGIN

    @property
    def inner_height(self) -> float:
        return self.height - 2.0 * _MARGIN

    def _choose_scale(self) -> None:
        """The largest usual scale at which the plan fits its place."""
        points = [self._turned(x, y) for x, y, _ in (seat.point for seat in self.schedule.seats)]
        points += [self._turned(x, y) for line in self.schedule.outline for x, y in line]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        self.low = (min(xs), min(ys))
        self.high = (max(xs), max(ys))
        width, height = self.inner_width - 40.0, self.plan_height - _ABOVE - _BELOW
        wanted = max((self.high[0] - self.low[0]) / width, (self.high[1] - self.low[1]) / height)
        wanted = max(wanted, 1e-6)
        self.scale = next((s for s in _SCALES if s / 1000.0 >= wanted), 1000.0 * wanted)
        self.metres = self.scale / 1000.0

    def _turned(self, x: float, y: float) -> _Point:
        c, s = math.cos(self.turn), math.sin(self.turn)
        return c * x - s * y, s * x + c * y

    def _paper(self, x: float, y: float) -> _Point:
        """From the bridge (m) to the paper (mm)."""
        u, v = self._turned(x, y)
        middle = (self.inner_width / 2.0 + 8.0, self.plan_middle)
        return (
            middle[0] + (u - (self.low[0] + self.high[0]) / 2.0) / self.metres,
            middle[1] + (v - (self.low[1] + self.high[1]) / 2.0) / self.metres,
        )

    @property
    def _plan_bottom(self) -> float:
        return self.inner_height - _HEAD - self.plan_height

    @property
    def plan_middle(self) -> float:
        """Height of the middle of the bridge on the paper."""
        return self._plan_bottom + _BELOW + (self.plan_height - _ABOVE - _BELOW) / 2.0

    # -------------------------------------------------------------- drawing
    def draw(self) -> Drawing:
        """Everything on the sheet."""
        document = new("R2010", units=6)  # metres
        document.styles.add("plan", font=_FONT)
        for name, (colour, weight) in LAYERS.items():
            layer = document.layers.add(name, lineweight=weight)
            layer.rgb = colour
        dash = [part * self.metres for part in (9.0, 6.0, -1.0, 1.0, -1.0)]
        document.linetypes.add("support line", pattern=dash)
        self.pen = _Pen(document.modelspace(), self.metres)
        width, height = self.inner_width, self.inner_height
        self.pen.line("frame", (0, 0), (width, 0), (width, height), (0, height), closed=True)
        self._head()
        self._bridge()
        self._axes()
        self._scale_bar()
        self._dimensions()
        panels = self._panels()
        for support, panel in zip(self.schedule.supports, panels, strict=True):
            self._support(support, panel)
        self._foot()
        return document

    def _head(self) -> None:
        pen, schedule, top = self.pen, self.schedule, self.inner_height
        right = self.inner_width - 5.0
        name = _fitting(words.title(schedule), _TITLE, self.inner_width - 80.0)
        pen.text((5.0, top - 8.0), name, _TITLE)
        arrangement = (
            f"{schedule.standard_title}. Arrangement: {schedule.arrangement}. "
            f"Bearings set: {schedule.set_at}."
        )
        pen.text((5.0, top - 15.0), _fitting(plain(arrangement), _TEXT, self.inner_width - 80.0))
        pen.text((right, top - 8.0), "Plan of bearings", 3.2, Align.MIDDLE_RIGHT)
        scale = f"plan 1:{self.scale:g} on {self.sheet}; lengths in m, forces in kN"
        pen.text((right, top - 15.0), scale, _TEXT, Align.MIDDLE_RIGHT)
        pen.line("frame", (0.0, top - _HEAD), (self.inner_width, top - _HEAD))

    def _bridge(self) -> None:
        pen = self.pen
        for number, line in enumerate(self.schedule.outline):
            # the first two lines are the edges of the deck
            layer = "deck edge" if number < 2 else "girder line"
            pen.line(layer, *(self._paper(x, y) for x, y in line))
        edges = self.schedule.outline[:2]
        if len(edges) == 2:
            for end in (0, -1):
                pen.line("deck edge", *(self._paper(*edge[end]) for edge in edges))
        for support in self.schedule.supports:
            self._support_line(support)
            self._joint(support)
        self._bearings()

    def _bearings(self) -> None:
        """The bearings where they stand; those of two spans that end at one place side by side."""
        pen, seats = self.pen, self.schedule.seats
        lines = [(seat.support, _line(seat)) for seat in seats]
        points = [self._paper(*seat.point[:2]) for seat in seats]
        apart = [
            distance
            for (a, line), (b, other) in combinations(zip(points, lines, strict=True), 2)
            if line != other and (distance := math.dist(a, b)) > _TOGETHER
        ]
        size = min(_SYMBOL, 0.42 * min(apart, default=10.0))
        points = self._side_by_side(points, max(size, 0.5))
        # side by side on a skew support, a bearing comes near that of the next line
        gaps = [
            min((math.dist(a, b) for j, b in enumerate(points) if j != i), default=math.inf)
            for i, a in enumerate(points)
        ]
        size = min([size, *(0.42 * gap for gap in gaps if gap > _TOGETHER)])
        for seat, point, gap in zip(seats, points, gaps, strict=True):
            if size >= 1.0 and gap > _TOGETHER:
                _symbol(pen, point, seat, seat.angle + self.turn, size)
            else:
                pen.circle("bearing", point, 0.35)

    def _side_by_side(self, points: Sequence[_Point], size: float) -> list[_Point]:
        """Points on the paper, those of a back and an ahead span moved apart by their symbols."""
        seats = self.schedule.seats
        tangents = {support.mark: support.angle + self.turn for support in self.schedule.supports}
        moved = []
        for seat, (x, y) in zip(seats, points, strict=True):
            line = (seat.support, _line(seat))
            middle = _middle(
                point
                for other, point in zip(seats, points, strict=True)
                if (other.support, _line(other)) == line
            )
            lacking = max(0.0, 1.2 * size - math.dist((x, y), middle)) * _side(seat)
            turn = tangents[seat.support]
            moved.append((x + lacking * math.cos(turn), y + lacking * math.sin(turn)))
        return moved

    def _joint(self, support: SupportInfo) -> None:
        """Two lines from edge to edge of the deck where one span ends and the next begins."""
        seats, edges = self.seats[support.mark], self.schedule.outline[:2]
        if not {_side(seat) for seat in seats} >= {-1, 1} or len(edges) < 2:
            return
        x, y = _middle([self._paper(*seat.point[:2]) for seat in seats])
        tangent = support.angle + self.turn
        across = tangent + support.skew + math.pi / 2.0
        for sign in (1.0, -1.0):
            through = (
                x + sign * _JOINT / 2.0 * math.cos(tangent),
                y + sign * _JOINT / 2.0 * math.sin(tangent),
            )
            ends = [
                _crossing([self._paper(*point) for point in edge], through, across)
                for edge in edges
            ]
            found = [end for end in ends if end is not None]
            if len(found) == 2:
                self.pen.line("deck edge", *found)

    def _support_line(self, support: SupportInfo) -> None:
        """The line of a support a little beyond the deck, with its mark at the left end."""
        seats = self.seats[support.mark]
        if not seats:
            return
        x, y = self._paper(*_middle([seat.point for seat in seats]))
        across = support.angle + support.skew + math.pi / 2.0 + self.turn
        ux, uy = math.cos(across), math.sin(across)
        half = self._half_width(support, (ux, uy)) + 4.0
        start, end = (x - half * ux, y - half * uy), (x + half * ux, y + half * uy)
        self.pen.line("support line", start, end, linetype="support line")
        mark = (end[0] + 3.0 * ux, end[1] + 3.0 * uy)
        self.pen.text(mark, plain(support.mark), 3.0, Align.MIDDLE_CENTER)

    def _half_width(self, support: SupportInfo, across: _Point) -> float:
        """From the middle of the seats to the farther deck edge along the support line, mm."""
        seats = [self._paper(*seat.point[:2]) for seat in self.seats[support.mark]]
        x, y = _middle(seats)
        reach = max(abs((u - x) * across[0] + (v - y) * across[1]) for u, v in seats)
        for edge in self.schedule.outline[:2]:
            near = min((self._paper(*point) for point in _fine(edge)), key=lambda p: abs(
                (p[0] - x) * across[1] - (p[1] - y) * across[0]))  # fmt: skip
            reach = max(reach, abs((near[0] - x) * across[0] + (near[1] - y) * across[1]))
        return reach

    def _axes(self) -> None:
        """Arrows of the axes x and y, parallel to those of the bridge."""
        pen = self.pen
        origin = (9.0, self._plan_bottom + 13.0)
        for name, turn in (("x", self.turn), ("y", self.turn + math.pi / 2.0)):
            ux, uy = math.cos(turn), math.sin(turn)
            pen.arrow("dimension", origin, (origin[0] + 9.0 * ux, origin[1] + 9.0 * uy), 1.8)
            point = (origin[0] + 11.5 * ux, origin[1] + 11.5 * uy)
            pen.text(point, name, _TEXT, Align.MIDDLE_CENTER)

    def _scale_bar(self) -> None:
        """Five equal parts of a round length, about 40 mm."""
        pen = self.pen
        raw = 40.0 * self.metres
        power = 10.0 ** math.floor(math.log10(raw))
        length = max(step for step in (1.0, 2.0, 5.0) if step * power <= raw) * power
        part = length / self.metres / 5.0
        x, y = 5.0, self._plan_bottom + 4.0
        for number in range(5):
            left, right = x + number * part, x + (number + 1) * part
            corners = ((left, y), (right, y), (right, y + 1.2), (left, y + 1.2))
            pen.line("dimension", *corners, closed=True)
            if number % 2 == 0:
                pen.filled("dimension", *corners)
        pen.text((x + 5.0 * part + 2.0, y + 0.6), f"{length:g} m", _SMALL)

    def _dimensions(self) -> None:
        """Distances of the supports along the reference line, below the plan."""
        pen, schedule = self.pen, self.schedule
        y = self._paper_height(self.low[1]) - 9.0
        marks = [
            (support, self._paper(*_middle([s.point for s in self.seats[support.mark]]))[0])
            for support in schedule.supports
            if self.seats[support.mark]
        ]
        if len(marks) < 2:
            return
        pen.line("dimension", (marks[0][1], y), (marks[-1][1], y))
        for _, x in marks:
            pen.line("dimension", (x - 0.9, y - 0.9), (x + 0.9, y + 0.9))
            pen.line("dimension", (x, y - 1.5), (x, y + 1.5))
        for (before, left), (after, right) in pairwise(marks):
            text = f"{after.chainage - before.chainage:.2f}"
            if _width(text, _SMALL) < right - left - 2.0:
                pen.text(((left + right) / 2.0, y + 1.9), text, _SMALL, Align.MIDDLE_CENTER)

    def _paper_height(self, v: float) -> float:
        return self.plan_middle + (v - (self.low[1] + self.high[1]) / 2.0) / self.metres

    # -------------------------------------------------------------- supports, enlarged
    def _panels(self) -> list[_Panel]:
        count, columns = len(self.schedule.supports), self.columns
        width = self.inner_width / columns
        top = self._plan_bottom
        return [
            _Panel(
                number % columns * width,
                top - (number // columns + 1) * self.panel_height,
                width,
                self.panel_height,
            )
            for number in range(count)
        ]

    def _support(self, support: SupportInfo, panel: _Panel) -> None:
        pen = self.pen
        x, y, top = panel.x, panel.y, panel.y + panel.height
        corners = ((x, y), (x + panel.width, y), (x + panel.width, top), (x, top))
        pen.line("frame", *corners, closed=True)
        pen.text((x + 4.0, top - 5.0), plain(support.mark), 3.2)
        skew = f", skew {math.degrees(support.skew):.1f}°" if abs(support.skew) > 1e-9 else ""
        told = f"chainage {support.chainage:.2f} m{skew}"
        pen.text((x + panel.width - 4.0, top - 5.0), told, _SMALL, Align.MIDDLE_RIGHT)
        self._seats(support, panel)
        self._forces(support, (x + panel.width / 2.0, y + _ROSETTE / 2.0 - 1.0))

    def _seats(self, support: SupportInfo, panel: _Panel) -> None:
        """The bearings of a support, larger than in the plan, x along the bridge to the right."""
        seats = self.seats[support.mark]
        c, s = math.cos(-support.angle), math.sin(-support.angle)
        local = [(c * x - s * y, s * x + c * y) for x, y, _ in (seat.point for seat in seats)]
        label = max((_width(_label(seat), _SMALL) for seat in seats), default=0.0) + 4.0
        paired = _pairs(seats)
        room = panel.width - 8.0 - label * (2.0 if paired else 1.0) - 2.0 * _SYMBOL
        height = self.seats_height - 2.0 * _SYMBOL - 2.0
        us, vs = [u for u, _ in local], [v for _, v in local]
        stretch = min(
            height / max(max(vs) - min(vs), 1e-3), max(room, 4.0) / max(max(us) - min(us), 1e-3)
        )
        if len(_levels(vs)) == 1:
            stretch = 1.0
        middle_x = panel.x + panel.width / 2.0 + (0.0 if paired else -label / 2.0)
        middle_y = panel.y + _ROSETTE + self.seats_height / 2.0
        centre = ((max(us) + min(us)) / 2.0, (max(vs) + min(vs)) / 2.0)
        placed = []
        for seat, (u, v) in zip(seats, local, strict=True):
            side = _side(seat) if paired else 0
            shift = side * max(0.0, 1.35 * _SYMBOL - abs(u - centre[0]) * stretch)
            placed.append(
                (
                    seat,
                    side,
                    middle_x + (u - centre[0]) * stretch + shift,
                    middle_y + (v - centre[1]) * stretch,
                )
            )
        across = support.skew + math.pi / 2.0
        reach = self.seats_height / 2.0 / max(abs(math.sin(across)), 0.3)
        dx, dy = reach * math.cos(across), reach * math.sin(across)
        self.pen.line(
            "support line",
            (middle_x - dx, middle_y - dy),
            (middle_x + dx, middle_y + dy),
            linetype="support line",
        )
        for seat, side, x, y in placed:
            _symbol(self.pen, (x, y), seat, seat.angle - support.angle, _SYMBOL)
            if side < 0:
                point = (x - _SYMBOL - 1.5, y)
                self.pen.text(point, _label(seat), _SMALL, Align.MIDDLE_RIGHT)
            else:
                self.pen.text((x + _SYMBOL + 1.5, y), _label(seat), _SMALL)

    def _forces(self, support: SupportInfo, centre: _Point) -> None:
        """What the support takes at the ultimate limit state: arrows along and across, V beside."""
        pen = self.pen
        x, y = centre
        pen.circle("force", centre, 1.4)
        for side in (1.0, -1.0):  # the tail of an arrow seen from above: a force down
            pen.line("force", (x - 1.0, y - side), (x + 1.0, y + side))
        for effect, (ux, uy) in (("Fx", (1.0, 0.0)), ("Fy", (0.0, 1.0))):
            drawn = False
            for sense, sign in (("max", 1.0), ("min", -1.0)):
                line = self._governing(support.mark, effect, sense)
                if line is None or sign * shown(effect, line.value) < 0.05:
                    continue
                drawn = True
                tail = (x + sign * 2.2 * ux, y + sign * 2.2 * uy)
                tip = (x + sign * 9.0 * ux, y + sign * 9.0 * uy)
                pen.arrow("force", tail, tip, 2.0)
                self._beside(tip, (sign * ux, sign * uy), f"{effect} {_force(line)}")
            if not drawn:
                self._beside((x + 2.0 * ux, y + 2.0 * uy), (ux, uy), f"{effect} 0")
        for sense, sign in (("max", 1.0), ("min", -1.0)):
            line = self._governing(support.mark, "V", sense)
            if line is not None:
                pen.text((x + 3.5, y + sign * 5.5), f"V {sense} {_force(line)}", _TEXT)

    def _beside(self, tip: _Point, way: _Point, text: str) -> None:
        """A text beyond the tip of an arrow along or across the paper."""
        if way[1] == 0.0:
            align = Align.MIDDLE_LEFT if way[0] > 0.0 else Align.MIDDLE_RIGHT
            self.pen.text((tip[0] + 1.5 * way[0], tip[1]), text, _TEXT, align)
        else:
            self.pen.text((tip[0], tip[1] + 2.4 * way[1]), text, _TEXT, Align.MIDDLE_CENTER)

    def _governing(self, mark: str, effect: str, sense: str) -> Governing | None:
        """The extreme of all ultimate limit states; of the others where there is none."""
        lines = [
            line
            for line in self.schedule.support_lines
            if (line.place, line.effect, line.sense) == (mark, effect, sense)
        ]
        ultimate = [line for line in lines if is_ultimate(line.limit_state)] or lines
        sign = 1.0 if sense == "max" else -1.0
        return max(ultimate, key=lambda line: sign * line.value, default=None)

    # -------------------------------------------------------------- legend
    def _foot(self) -> None:
        pen = self.pen
        pen.line("frame", (0.0, _FOOT), (self.inner_width, _FOOT))
        x = 8.0
        seats = self.schedule.seats
        entries: list[tuple[str, Function]] = [(name, name) for name in _FUNCTIONS]
        if any(any(seat.sprung[:2]) for seat in seats):
            entries.append(("elastic (sprung)", "elastic"))
        if any(seat.function == "none" for seat in seats):
            entries.append(("no bearing", "none"))
        for name, function in entries:
            held = _FUNCTIONS.get(function, (False, False))
            sprung = (function == "elastic",) * 2
            rest = (False,) * 4
            seat = SeatInfo(
                name, "", function, 0.0, (0.0, 0.0, 0.0), (*held, *rest), (*sprung, *rest), "", None
            )
            _symbol(pen, (x, _FOOT - 7.0), seat, 0.0, _SYMBOL)
            pen.text((x + _SYMBOL + 1.8, _FOOT - 7.0), name)
            x += _SYMBOL * 2.0 + _width(name, _TEXT) + 10.0
        key = "bar: held across it; arrow: free along it"
        pen.text((x, _FOOT - 7.0), key)
        limit = "ULS" if any(map(is_ultimate, self.schedule.limit_states)) else "all"
        pen.text(
            (5.0, _FOOT - 14.5),
            "Supports enlarged, x along the bridge to the right. Red: forces of the bridge on "
            f"them, {limit} extremes, not acting together (kN, V down); arrows not to scale.",
        )
        told = {
            line.limit_state
            for support in self.schedule.supports
            for effect in ("Fx", "Fy", "V")
            for sense in ("max", "min")
            if (line := self._governing(support.mark, effect, sense)) is not None
        }
        present = [state for state in _LETTERS if state in told]
        letters = ", ".join(f"({_LETTERS[state]}) {state}" for state in present)
        pen.text((5.0, _FOOT - 21.0), f"{letters}. {SHORT}" if letters else SHORT, _SMALL)


#: Beside a force of another limit state than the persistent one; told in the legend.
_LETTERS: Final = {"ULS accidental": "a", "ULS seismic": "s"}
_FUNCTIONS: Final[dict[Function, tuple[bool, bool]]] = {
    "fixed": (True, True),
    "guided along": (False, True),
    "guided across": (True, False),
    "free": (False, False),
}


# ------------------------------------------------------------------ small things
def _middle(points: Iterable[Sequence[float]]) -> _Point:
    given = list(points)
    count = max(len(given), 1)
    return sum(p[0] for p in given) / count, sum(p[1] for p in given) / count


def _fine(line: Sequence[_Point]) -> list[_Point]:
    """Points along a line close enough to find where another one crosses it."""
    result = list(line[:1])
    for (x1, y1), (x2, y2) in pairwise(line):
        parts = max(1, 400 // max(len(line) - 1, 1))
        result += [
            (x1 + (x2 - x1) * i / parts, y1 + (y2 - y1) * i / parts) for i in range(1, parts + 1)
        ]
    return result


def _levels(values: Sequence[float]) -> list[float]:
    """Different values, a decimetre apart at least."""
    levels: list[float] = []
    for value in sorted(values):
        if not levels or value - levels[-1] > 0.1:
            levels.append(value)
    return levels


def _side(seat: SeatInfo) -> int:
    """-1 for a back span's seat, 1 for an ahead span's, by the end of its mark."""
    end = re.search(r"-\d+([ab])$", seat.mark)
    return 0 if end is None else {"b": -1, "a": 1}[end[1]]


def _pairs(seats: Sequence[SeatInfo]) -> bool:
    return any(_side(seat) for seat in seats)


def _line(seat: SeatInfo) -> str:
    """The mark without the letter of its span: one for both seats of a line at a joint."""
    return seat.mark[:-1] if _side(seat) else seat.mark


def _lines(seats: Sequence[SeatInfo]) -> int:
    return len({_line(seat) for seat in seats})


def _crossing(line: Sequence[_Point], through: _Point, turn: float) -> _Point | None:
    """Where a line is crossed by the straight one through a point, nearest to it; None if nowhere.

    `turn`: of the straight line on the paper.
    """
    ux, uy = math.cos(turn), math.sin(turn)
    beside = [(x - through[0]) * uy - (y - through[1]) * ux for x, y in line]
    found = []
    for ((x1, y1), a), ((x2, y2), b) in pairwise(zip(line, beside, strict=True)):
        if a * b <= 0.0 and a != b:
            part = a / (a - b)
            found.append((x1 + part * (x2 - x1), y1 + part * (y2 - y1)))
    return min(found, key=lambda point: math.dist(point, through), default=None)


def _label(seat: SeatInfo) -> str:
    return plain(f"{seat.mark} {seat.function}")


def _force(line: Governing) -> str:
    """A force in kN, with a letter for a limit state that is not the persistent one."""
    value = shown(line.effect, line.value)
    letter = _LETTERS.get(line.limit_state)
    return figure(value, 0 if abs(value) >= 10.0 else 1) + (f" ({letter})" if letter else "")


def _width(text: str, height: float) -> float:
    """Width of a text in mm of paper."""
    return float(make_font(_FONT, height).text_width(text))


def _fitting(text: str, height: float, room: float) -> str:
    """The text, shortened where it would not fit."""
    if _width(text, height) <= room:
        return text
    while text and _width(f"{text}...", height) > room:
        text = text[:-1]
    return f"{text.rstrip()}..."
