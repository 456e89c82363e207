"""Detail sheets: one for each bearing as made, with plan, both sections, parts and notes, in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations
from typing import Any, Final

from bedstone.bearings.base import Demand, Design, Part
from bedstone.bearings.disc import Disc
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.guide import GuideBearing
from bedstone.bearings.knuckle import KnuckleBearing
from bedstone.bearings.pin_checks import PinBearing
from bedstone.bearings.pot_sizes import Pot
from bedstone.bearings.rocker import RockerBearing
from bedstone.bearings.rocker_nest import RockerOnNest
from bedstone.bearings.roller_sizing import RollerBearing
from bedstone.bearings.sliding import PlaneSliding
from bedstone.bearings.spherical_statics import CurvedBearing
from bedstone.bearings.uplift import UpliftRestraint
from bedstone.errors import BedstoneError
from bedstone.output.drawing import (
    detail_others,
    detail_rolling,
    detail_sliding,
    pieces,
    section,
    symbols,
)
from bedstone.output.drawing import title as titles
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import clean, shortened, width, wrapped
from bedstone.output.drawing.picture import Dimension, Picture, Point
from bedstone.output.drawing.pieces import Assembly, Measure, ViewName
from bedstone.output.drawing.section import Frame, Key, Spots

#: How each record of sizes becomes solids.
ASSEMBLIES: Final[dict[type, Callable[[Any, Design], Assembly]]] = {
    RollerBearing: detail_rolling.roller,
    RockerBearing: detail_rolling.rocker,
    RockerOnNest: detail_rolling.rocker_on_nest,
    Pot: detail_sliding.pot,
    Disc: detail_sliding.disc,
    CurvedBearing: detail_sliding.curved,
    PlaneSliding: detail_sliding.plane_sliding,
    PinBearing: detail_others.pin,
    KnuckleBearing: detail_others.knuckle,
    GuideBearing: detail_others.guide,
    Elastomeric: detail_others.pad,
    UpliftRestraint: detail_others.uplift,
}
_SCALES: Final = (1.0, 2.0, 2.5, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 50.0, 100.0)

_SETTING: Final = (
    "Setting marks are punched on the centre lines of both plates; the offset for the day is in "
    "the setting table."
)
_UNKNOWN: Final = (
    "Protection against corrosion, dust covers, transport clamps and tolerances are not part of "
    "the design and not drawn."
)

# Millimetres of the sheet.
_TEXT_WIDE: Final = 136.0  # column of parts and notes
_HEAD: Final = 11.0  # above a view, for its name
_BUBBLES: Final = 17.0  # beside a view
_HEIGHTS: Final = 20.0  # right of the long section
_ROW: Final = 5.5  # between rows of dimensions
_RING: Final = 2.6  # of a number
_STEP: Final = 6.6  # between numbers
_SMALL: Final = 1.8
_VIEWS: Final[tuple[ViewName, ...]] = ("along", "across", "plan")


@dataclass(frozen=True)
class Made:
    """A bearing as made, and the seats for which it is: their marks and what one of them asks."""

    marks: tuple[str, ...]
    design: Design
    demand: Demand


def assembly_of(design: Design) -> Assembly:
    """A bearing as solids; raises `BedstoneError` for a record of sizes that no drawing knows."""
    found = ASSEMBLIES.get(type(design.bearing))
    if found is None:
        raise BedstoneError(f"no drawing for {type(design.bearing).__name__} ({design.kind})")
    return found(design.bearing, design)


def detail(bridge: str, reference: str, made: Made, number: str) -> Picture:
    """The detail sheet of one bearing; parts have the ids ``part-1`` and so on."""
    return _Sheet(bridge, reference, made, number).picture()


class _Sheet:
    def __init__(self, bridge: str, reference: str, made: Made, number: str) -> None:
        self.bridge, self.reference, self.made, self.number = bridge, reference, made, number
        self.design = made.design
        self.assembly = assembly_of(made.design)
        self.numbers = _numbers(self.design.parts)
        self.rows = {
            view: _rows_of([m for m in self.assembly.measures if m.view == view])
            for view in ("along", "across")
        }
        self.ends = {view: section.extent(self.assembly, view) for view in _VIEWS}
        self.notes = self._notes()
        self._choose()

    # -------------------------------------------------------------- size and scale
    def _choose(self) -> None:
        """The smallest sheet and the largest scale that take everything."""
        for name, wide, high in titles.SHEETS[1:4]:
            self.sheet, self.size = name, (wide, high)
            room = high - 2.0 * titles.MARGIN - titles.HEIGHT
            if self._text_height() > room - 6.0:
                continue
            for scale in _SCALES:
                self.scale, self.per_metre = scale, 1000.0 / scale
                need = self._needed()
                if need[0] <= wide - 2.0 * titles.MARGIN - _TEXT_WIDE and need[1] <= room:
                    if scale <= 10.0 or name != "A3":
                        return
                    break
        need = self._needed()
        more = max(0.0, need[1] + 2.0 * titles.MARGIN + titles.HEIGHT - self.size[1])
        self.size = (self.size[0], self.size[1] + math.ceil(more))

    def _spread(self, view: ViewName) -> tuple[float, float]:
        """Width and height of a view, mm."""
        left, low, right, high = self.ends[view]
        return (right - left) * self.per_metre, (high - low) * self.per_metre

    def _under(self, view: ViewName) -> float:
        """Room below a section for its rows of dimensions, mm."""
        return 6.0 + _ROW * len(self.rows[view]) + 3.0

    def _needed(self) -> tuple[float, float]:
        along, across, plan = (self._spread(v) for v in ("along", "across", "plan"))
        column = max(along[0], plan[0])
        wide = 2.0 * _BUBBLES + column + _HEIGHTS + across[0] + 12.0
        bubbles = _STEP * math.ceil(len(self.numbers) / 2.0)
        row = max(along[1], across[1], bubbles)
        upper = _HEAD + row + max(self._under("along"), self._under("across"))
        lower = _HEAD + plan[1] + 6.0 + 2.0 * _ROW + 8.0
        return wide, upper + lower

    # -------------------------------------------------------------- picture
    def picture(self) -> Picture:
        """Everything on the sheet."""
        board = self.board = Board(self.size, titles.MARGIN)
        self._title()
        top = self.size[1] - titles.MARGIN
        along, across, plan = (self._spread(v) for v in ("along", "across", "plan"))
        column = max(along[0], plan[0])
        x = titles.MARGIN + 2.0 + _BUBBLES + column / 2.0
        bubbles = _STEP * math.ceil(len(self.numbers) / 2.0)
        row = max(along[1], across[1], bubbles)
        middle = top - _HEAD - row / 2.0
        x2 = x + column / 2.0 + _HEIGHTS + 8.0 + across[0] / 2.0
        spots: dict[ViewName, Spots] = {}
        frames: dict[ViewName, Frame] = {}
        sections: tuple[tuple[ViewName, float], ...] = (("along", x), ("across", x2))
        for view, at in sections:
            frames[view] = self._frame(view, (at, middle))
            spots[view] = self._section(view, frames[view])
        low = top - _HEAD - row - max(self._under("along"), self._under("across"))
        frames["plan"] = self._frame("plan", (x, low - _HEAD - plan[1] / 2.0))
        spots["plan"] = self._plan(frames["plan"])
        self._bubbles(spots, frames, row, middle)
        self._labels(frames)
        self._function(x2, frames["plan"])
        self._texts()
        marks = ", ".join(self.made.marks)
        return Picture(
            f"bearing-{self.number}-{self.design.kind}",
            f"Bearing {marks}: {self.design.kind}, {clean(self.bridge)}",
            board.shapes,
            self.scale,
            self.size,
            "mm",
        )

    def _frame(self, view: ViewName, centre: Point) -> Frame:
        left, low, right, high = self.ends[view]
        return Frame(
            (
                centre[0] - (left + right) / 2.0 * self.per_metre,
                centre[1] - (low + high) / 2.0 * self.per_metre,
            ),
            self.per_metre,
        )

    def _name(self, view: ViewName, text: str, frame: Frame) -> None:
        left, _, right, high = self.ends[view]
        x, y = frame.at(((left + right) / 2.0, high))
        self.board.text((x, y + 6.5), text, 2.6, "centre")

    def _section(self, view: ViewName, frame: Frame) -> Spots:
        board = self.board
        word = "Section along x'" if view == "along" else "Section across, seen toward x'"
        self._name(view, word, frame)
        with board.group(f"view-{view}", word):
            spots = section.draw(board, self.assembly, view, frame)
            _, low, right, high = self.ends[view]
            x = frame.at((0.0, 0.0))[0]
            board.line(
                "centre line", (x, frame.at((0, low))[1] - 3.0), (x, frame.at((0, high))[1] + 3.0)
            )
        y = frame.at((0.0, low))[1] - 6.0
        for row, measures in enumerate(_least_crossed(self.rows[view], 4.5 / self.per_metre)):
            for measure in measures:
                self._measure(measure, frame, y - row * _ROW)
        if view == "along":
            self._levels(frame, frame.at((right, 0.0))[0])
        return spots

    def _measure(self, measure: Measure, frame: Frame, y: float) -> None:
        """A length below a section, on the line at y."""
        start, end = frame.at(measure.start), frame.at(measure.end)
        base = frame.at((0.0, self.ends[measure.view][1]))[1] - 1.0
        # from just below the section, so that no line runs through it
        start, end = (start[0], base), (end[0], base)
        text = _mm(abs(measure.end[0] - measure.start[0]))
        self.board.add(Dimension(start, end, y - base, text, along=0.0))

    def _levels(self, frame: Frame, right: float) -> None:
        """Heights of the layers and the whole, right of the long section."""
        levels = _merged(self.assembly.levels)
        ys = [frame.at((0.0, level))[1] for level in levels]
        x = right + 1.0
        tight: list[tuple[float, str]] = []
        for (a, b), (ya, yb) in zip(pairwise(levels), pairwise(ys), strict=True):
            text = _mm(b - a)
            fits = yb - ya > width(text, _SMALL) + 0.6
            self.board.add(
                Dimension((x, ya), (x, yb), -5.0, text if fits else "", math.pi / 2.0, _SMALL)
            )
            if not fits:
                tight.append(((ya + yb) / 2.0, text))
        # what is too thin to write beside stands right of the line, spread so that all can be read
        at = -math.inf
        for y, text in tight:
            at = max(y, at + 2.9)
            self.board.line("dimension", (x + 5.0, y), (x + 6.6, at))
            self.board.text((x + 7.0, at), text, _SMALL)
        if len(levels) > 2:
            whole = _mm(levels[-1] - levels[0])
            self.board.add(Dimension((x, ys[0]), (x, ys[-1]), -16.0, whole, math.pi / 2.0))

    def _plan(self, frame: Frame) -> Spots:
        board = self.board
        word = "Plan, upper parts dashed" if self.assembly.upper else "Plan"
        self._name("plan", word, frame)
        with board.group("view-plan", "plan"):
            spots = section.draw(board, self.assembly, "plan", frame)
            left, low, right, high = self.ends["plan"]
            for a, b in (((left, 0.0), (right, 0.0)), ((0.0, low), (0.0, high))):
                (x1, y1), (x2, y2) = frame.at(a), frame.at(b)
                dx, dy = (3.0, 0.0) if a[1] == b[1] else (0.0, 3.0)
                board.line("centre line", (x1 - dx, y1 - dy), (x2 + dx, y2 + dy))
            self._setting_marks(frame)
        self._plan_sizes(frame)
        return spots

    def _plan_sizes(self, frame: Frame) -> None:
        """Length and width of the lowest and of the highest plate."""
        left, low, _, _ = self.ends["plan"]
        corner = frame.at((left, low))
        sizes = self.assembly.plates
        base, side = corner[1] - 1.0, corner[0] - 1.0
        # the shortest nearest to the plan, so that no line crosses a figure
        for row, length in enumerate(sorted({length for length, _ in sizes})):
            y = corner[1] - 6.0 - row * _ROW
            (x1, _), (x2, _) = frame.at((-length / 2.0, 0.0)), frame.at((length / 2.0, 0.0))
            self.board.add(Dimension((x1, base), (x2, base), y - base, _mm(length), along=0.0))
        for row, across in enumerate(sorted({across for _, across in sizes})):
            x = corner[0] - 6.0 - row * _ROW
            (_, y1), (_, y2) = frame.at((0.0, -across / 2.0)), frame.at((0.0, across / 2.0))
            self.board.add(
                Dimension((side, y1), (side, y2), side - x, _mm(across), along=math.pi / 2.0)
            )

    def _setting_marks(self, frame: Frame) -> None:
        """Triangles on the centre lines at the edges of both plates: where offsets are read."""
        for size in dict.fromkeys(self.assembly.plates if self._marked else ()):
            for sign in (-1.0, 1.0):
                x, y = frame.at((0.0, sign * size[1] / 2.0))
                self.board.fill(
                    "bearing", (x, y), (x - 0.8, y - 2.0 * sign), (x + 0.8, y - 2.0 * sign)
                )
                x, y = frame.at((sign * size[0] / 2.0, 0.0))
                self.board.fill(
                    "bearing", (x, y), (x - 2.0 * sign, y - 0.8), (x - 2.0 * sign, y + 0.8)
                )

    # -------------------------------------------------------------- numbers of parts
    def _bubbles(
        self,
        spots: dict[ViewName, Spots],
        frames: dict[ViewName, Frame],
        row: float,
        middle: float,
    ) -> None:
        """Each part's number in a ring, left of the long and right of the cross section."""
        sides: dict[ViewName, list[tuple[Key, list[Point]]]] = {
            "along": [],
            "across": [],
            "plan": [],
        }
        for key in self.numbers:
            cut = [view for view in _VIEWS if key in spots[view].cut]
            views = cut or [view for view in _VIEWS if spots[view].of(key)]
            if not views:
                continue
            view = views[0]
            if views[:2] == ["along", "across"] and len(sides["across"]) < len(sides["along"]):
                view = "across"
            sides[view].append((key, spots[view].of(key)))
        for view, placed in sides.items():
            if not placed:
                continue
            left, low, right, high = self.ends[view]
            frame = frames[view]
            if view == "along":
                x = frame.at((left, 0.0))[0] - 8.0
            else:
                x = frame.at((right, 0.0))[0] + 10.0
            way = 1.0 if view == "along" else -1.0
            told = [(key, min(points, key=lambda p: way * p[0])) for key, points in placed]
            told.sort(key=lambda item: item[1][1])
            bottom, ceiling = (
                (frame.at((0.0, low))[1], frame.at((0.0, high))[1])
                if view == "plan"
                else (middle - row / 2.0, middle + row / 2.0)
            )
            ys = _spaced([p[1] for _, p in told], bottom, ceiling)
            for (key, point), y in zip(told, ys, strict=True):
                self._bubble(key, (x, y), point)

    def _bubble(self, key: Key, at: Point, point: Point) -> None:
        number = self.numbers[key]
        with self.board.group(f"part-{number}", key[0]):
            length = math.dist(at, point)
            ux, uy = (point[0] - at[0]) / length, (point[1] - at[1]) / length
            self.board.line("dimension", (at[0] + _RING * ux, at[1] + _RING * uy), point)
            self.board.circle("text", point, 0.4, filled=True)
            self.board.circle("text", at, _RING)
            self.board.text(at, str(number), 2.2, "centre")

    def _labels(self, frames: dict[ViewName, Frame]) -> None:
        for label in self.assembly.labels:
            point = frames[label.view].at(label.at)
            left, low, right, high = self.ends[label.view]
            corners = pieces.rectangle(left, low, right, high)
            self.board.take([frames[label.view].at(p) for p in corners])
            self.board.label(point, label.text, 4.0, 2.0, start=math.radians(70.0), led=True)

    # -------------------------------------------------------------- function
    def _function(self, x: float, plan: Frame) -> None:
        """The sign of the bearing with its own axes, right of the plan."""
        board, demand = self.board, self.made.demand
        _, _, right, high = self.ends["plan"]
        y = plan.at((0.0, high))[1] - 8.0
        x = max(x, plan.at((right, 0.0))[0] + _BUBBLES + 22.0)
        board.text((x - 20.0, y + 9.0), "Function", 2.6)
        symbols.axes(board, (x + 4.0, y - 9.0), 0.0, ("x'", "y'"), 8.0)
        told = ["x' as the layout plan turns it"]
        if self.design.kind == "uplift restraint":
            told.insert(0, "holds uplift alone, free along and across")
        else:
            sprung = (demand.function == "elastic",) * 2
            symbols.bearing(board, (x - 13.0, y - 4.0), 0.0, 6.0, demand.held, sprung)
            told[:0] = [clean(demand.function), symbols.KEY]
        for row, text in enumerate(told):
            board.text((x - 20.0, y - 17.0 - 3.4 * row), text, 2.0)
        if self._marked:
            x -= 20.0
            for row, text in enumerate(("setting marks: on the centre lines,", "on both plates")):
                board.text((x + 4.0, y - 30.0 - 3.4 * row), text, 2.0)
            board.fill("bearing", (x, y - 31.0), (x + 2.0, y - 30.2), (x + 2.0, y - 31.8))

    @property
    def _marked(self) -> bool:
        """Whether there are two plates with setting marks."""
        return len(self.assembly.plates) > 1

    # -------------------------------------------------------------- parts and notes
    def _columns(self) -> list[tuple[str, float]]:
        return [
            ("no.", 8.0),
            ("part", 36.0),
            ("number", 11.0),
            ("material", 26.0),
            ("size, mm", 41.0),
            ("kg", 12.0),
        ]

    def _cells(self) -> list[list[list[str]]]:
        """Lines of every cell of the list of parts."""
        rows = []
        for key, part in zip(self.numbers, self.design.parts, strict=True):
            mass = part.mass * part.number
            cells = [
                str(self.numbers[key]),
                part.name,
                str(part.number),
                part.material,
                part.size,
                f"{mass:.1f}" if mass < 100.0 else f"{mass:.0f}",
            ]
            rows.append(
                [
                    wrapped(text, _SMALL, wide - 2.0)
                    for text, (_, wide) in zip(cells, self._columns(), strict=True)
                ]
            )
        return rows

    def _text_height(self) -> float:
        lines = sum(max(len(cell) for cell in row) for row in self._cells())
        table = 3.0 * lines + 1.4 * len(self.design.parts) + 18.0
        return table + 8.0 + 3.1 * len(self.notes)

    def _texts(self) -> None:
        """List of parts and notes in the right column."""
        board = self.board
        x = self.size[0] - titles.MARGIN - _TEXT_WIDE
        y = self.size[1] - titles.MARGIN
        board.line("sheet", (x, y), (x, titles.MARGIN + titles.HEIGHT))
        x += 1.5
        y -= 6.0
        board.text((x, y), "Parts of one bearing", 2.6)
        y -= 5.0
        at = x
        for head, wide in self._columns():
            board.text((at, y), head, _SMALL, layer="sheet")
            at += wide
        y -= 2.2
        board.line("sheet", (x, y), (x + _TEXT_WIDE - 3.0, y))
        for row in self._cells():
            y -= 2.4
            deep = max(len(cell) for cell in row)
            at = x
            for cell, (_, wide) in zip(row, self._columns(), strict=True):
                for i, line in enumerate(cell):
                    board.text((at, y - 3.0 * i), line, _SMALL)
                at += wide
            y -= 3.0 * (deep - 1) + 2.0
        board.line("sheet", (x, y), (x + _TEXT_WIDE - 3.0, y))
        y -= 3.0
        whole = f"mass of one bearing {self.design.mass:.0f} kg; {len(self.made.marks)} wanted"
        board.text((x, y), whole, 2.0)
        y -= 8.0
        board.text((x, y), "Notes", 2.6)
        y -= 1.5
        for line in self.notes:
            y -= 3.1
            board.text((x, y), line, _SMALL)

    def _notes(self) -> list[str]:
        """Notes in numbered lines that fit the column."""
        design = self.design
        undrawn = [
            part.name
            for part in design.parts
            if part.name not in {piece.part for piece in self.assembly.pieces}
        ]
        grout = any(piece.part == "grout" for piece in self.assembly.pieces)
        told = [
            *self.assembly.notes,
            *(f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in design.notes),
            f"Height {_mm(design.height)} mm{' without grout' if grout else ''}.",
            *([_SETTING] if self._marked else []),
            _UNKNOWN,
        ]
        if undrawn:
            told.insert(0, f"Not drawn: {', '.join(dict.fromkeys(undrawn))}.")
        if not design.passes:
            told.insert(
                0,
                f"A check does not hold (utilisation {design.utilisation:.2f}): not for "
                "manufacture.",
            )
        lines = []
        for number, note in enumerate(told, start=1):
            lines += wrapped(f"{number}. {note}", _SMALL, _TEXT_WIDE - 5.0)
        return lines

    def _title(self) -> None:
        marks = ", ".join(self.made.marks)
        titles.sheet(
            self.board,
            titles.Title(
                bridge=self.bridge,
                reference=self.reference,
                drawing=f"Bearing {shortened(marks, 2.8, 60.0)}: {self.design.kind}, "
                f"{self.made.demand.function}",
                number=self.number,
                scale=f"1:{self.scale:g}",
                sheet=self.sheet,
                units="mm",
                marks=f"marks: {marks}",
            ),
        )


# ------------------------------------------------------------------ small things
def _numbers(parts: Sequence[Part]) -> dict[Key, int]:
    """Number of each part in the list, by name and how often that name stood before."""
    seen: dict[str, int] = {}
    found: dict[Key, int] = {}
    for number, part in enumerate(parts, start=1):
        nth = seen.get(part.name, 0)
        seen[part.name] = nth + 1
        found[part.name, nth] = number
    return found


def _rows_of(measures: Sequence[Measure]) -> list[list[Measure]]:
    """Measures in rows, those that do not overlap in one row, short ones nearest to the section."""
    rows: list[list[Measure]] = []
    order = sorted(measures, key=lambda m: abs(m.end[0] - m.start[0]))
    for measure in order:
        a, b = sorted((measure.start[0], measure.end[0]))
        for row in rows:
            if all(
                b <= min(m.start[0], m.end[0]) + 1e-9 or a >= max(m.start[0], m.end[0]) - 1e-9
                for m in row
            ):
                row.append(measure)
                break
        else:
            rows.append([measure])
    return rows


def _least_crossed(rows: list[list[Measure]], half: float) -> list[list[Measure]]:
    """Rows in the order in which the fewest lines of one run through figures of those above it.

    `half`: half the width (m) of a figure.
    """

    def crossed(order: Iterable[list[Measure]]) -> int:
        return sum(
            abs((upper.start[0] + upper.end[0]) / 2.0 - end[0]) < half
            for above, below in combinations(order, 2)
            for upper in above
            for lower in below
            for end in (lower.start, lower.end)
        )

    if len(rows) > 5:
        return rows
    return list(min(permutations(rows), key=crossed))


def _merged(levels: Sequence[float]) -> list[float]:
    """Levels in order, those less than a tenth of a millimetre apart as one."""
    found: list[float] = []
    for level in sorted(levels):
        if not found or level - found[-1] > 1e-4:
            found.append(level)
    return found


def _spaced(wanted: Sequence[float], low: float, high: float) -> list[float]:
    """Rising places near those wanted, a step apart, between two ends if there is room."""
    count = len(wanted)
    ys = list(wanted)
    for i in range(1, count):
        ys[i] = max(ys[i], ys[i - 1] + _STEP)
    over = ys[-1] - max(high, low + _STEP * (count - 1))
    if over > 0.0:
        ys[-1] -= over
        for i in range(count - 2, -1, -1):
            ys[i] = min(ys[i], ys[i + 1] - _STEP)
    return ys


def _mm(value: float) -> str:
    """A length in mm as shops write it: whole, or to a tenth."""
    return f"{round(value * 1e3, 1):g}"
