"""Layout plan of the bearings: deck, girders, support lines, each bearing with its mark and sign.

Made from a structure and an arrangement alone; no schedule is needed. Results may be laid over it
(`Overlay`). The line from the first support to the last lies level on the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations, pairwise
from typing import Final

from bedstone.articulation.arrangement import Arranged
from bedstone.bridge.schema import Bridge, Support
from bedstone.model.structure import Structure
from bedstone.output.drawing import symbols, title
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import DESCENT, clean, shortened, width, wrapped
from bedstone.output.drawing.overlay import NONE, Overlay
from bedstone.output.drawing.picture import Dimension, Picture, Point, Text, Up, View, corners
from bedstone.output.drawing.rosettes import Ray, Rosettes, Spot
from bedstone.output.drawing.scene import Scene, crossing, metres, middle, millimetres, usual_scale
from bedstone.schedule.facts import outline

# Millimetres of the sheet.
_SYMBOL: Final = 2.6  # half the size of a bearing's sign
_APART: Final = 3.0  # of signs in one line, for which a larger sheet is taken
_SIDE: Final = 26.0  # room left and right of the bridge
_ABOVE: Final = 19.0
_BESIDE: Final = 5.0  # below the bridge, before what follows
_DIMENSIONS: Final = 12.0
_AXES: Final = 19.0
_LEGEND: Final = 9.0
_ROW: Final = 3.7
_JOINT: Final = 0.9
_MOVED: Final = 12.0  # arrow of the largest displacement
_UPS: Final[tuple[Up, Up]] = ("bottom", "top")
_TOGETHER: Final = 1e-3  # m; seats closer than this stand at one place


def layout(
    bridge: Bridge,
    structure: Structure,
    arranged: Arranged,
    *,
    overlay: Overlay = NONE,
    kinds: Mapping[str, str] | None = None,
    framed: bool = True,
    wide: float = 300.0,
    number: str = "1",
) -> Picture:
    """The layout plan as a picture.

    `kinds`: what each bearing is, by mark, where it is not what the arrangement says; `framed`: on
    a sheet with a table of the bearings and a title block, else bare, `wide` mm. Signs have the ids
    ``seat-<mark>``, supports ``support-<mark>``.
    """
    scene = Scene(bridge, structure, arranged)
    return _Layout(scene, overlay, dict(kinds or {}), framed, wide, number).picture()


class _Layout:
    """One plan: its sheet, its scale and what stands on it."""

    def __init__(
        self,
        scene: Scene,
        overlay: Overlay,
        kinds: dict[str, str],
        framed: bool,
        wide: float,
        number: str,
    ) -> None:
        self.scene = scene
        self.overlay = overlay
        self.framed = framed
        self.number = number
        self.places = scene.structure.seats
        self.lines = outline(scene.bridge, scene.structure)
        self.kinds = {
            place.mark: kinds.get(place.mark) or seat.kind or ""
            for place, seat in zip(self.places, scene.arranged.seats, strict=True)
        }
        self.turn = -self._chord()
        self._extent()
        self._choose(wide)

    # -------------------------------------------------------------- size and scale
    def _chord(self) -> float:
        """Direction from the first support to the last, rad."""
        ends = [
            middle([seat.point[:2] for _, seat in own])
            for support in (self.scene.supports[0], self.scene.supports[-1])
            if (own := self.scene.seats(support.mark))
        ]
        if len(ends) < 2 or math.dist(*ends) < 1e-9:
            return 0.0
        return math.atan2(ends[1][1] - ends[0][1], ends[1][0] - ends[0][0])

    def _extent(self) -> None:
        """Corners of what is drawn, along and across the chord, m."""
        view = View((0.0, 0.0), 1.0, self.turn)
        points = [view.at(*seat.point[:2]) for seat in self.places]
        points += [view.at(*point) for line in self.lines for point in line]
        self.low = (min(x for x, _ in points), min(y for _, y in points))
        self.high = (max(x for x, _ in points), max(y for _, y in points))

    @property
    def _rows(self) -> int:
        return len(self.places)

    def _apart(self) -> float:
        """Least distance (m) of two bearings that do not stand at one place."""
        points = [seat.point[:2] for seat in self.places]
        gaps = [d for a, b in combinations(points, 2) if (d := math.dist(a, b)) > _TOGETHER]
        return min(gaps, default=10.0)

    def _choose(self, wide: float) -> None:
        """Sheet, scale and where the bridge stands on it."""
        length, breadth = (self.high[i] - self.low[i] for i in (0, 1))
        self.banner = wrapped(self.overlay.unstable, 3.0, wide - 20.0, 4)
        if not self.framed:
            self.margin = 2.0
            self._scale_for(wide, math.inf, length, breadth)
            below = self._below()
            high = 2.0 * self.margin + self._top() + breadth * self.per_metre + below
            self.size, self.sheet, self.rows = (wide, high), "", 0
        else:
            self.margin = title.MARGIN
            for name, sheet_wide, sheet_high in title.SHEETS[1:4]:
                self.size, self.sheet = (sheet_wide, sheet_high), name
                self.table = _Table(self, sheet_wide - 2.0 * self.margin)
                self.banner = wrapped(self.overlay.unstable, 3.0, sheet_wide - 40.0, 4)
                free = sheet_high - 2.0 * self.margin - title.HEIGHT - self.table.height
                self._scale_for(sheet_wide, free, length, breadth)
                fits = self._top() + breadth * self.per_metre + self._below() <= free
                if fits and self._apart() * self.per_metre >= _APART:
                    break
            needed = 2.0 * self.margin + title.HEIGHT + self.table.height
            needed += self._top() + breadth * self.per_metre + self._below()
            if needed > self.size[1]:  # a sheet of its own height rather than text over text
                self.size = (self.size[0], math.ceil(needed))
                self.sheet = f"{self.size[0]:.0f} x {self.size[1]:.0f}"
        spare = 0.0
        if self.framed:
            used = self._top() + breadth * self.per_metre + self._below()
            used += 2.0 * self.margin + title.HEIGHT + self.table.height
            spare = max(0.0, self.size[1] - used) / 3.0
        top = self.size[1] - self.margin - self._top() - spare
        x = self.size[0] / 2.0 - (self.low[0] + self.high[0]) / 2.0 * self.per_metre
        self.view = View((x, top - self.high[1] * self.per_metre), self.per_metre, self.turn)

    def _scale_for(self, wide: float, high: float, length: float, breadth: float) -> None:
        room = wide - 2.0 * self.margin - 2.0 * _SIDE
        wanted = length / room
        if math.isfinite(high):
            self.scale, self.per_metre = 100.0, 10.0
            left = max(high - self._top() - self._below(), 20.0)
            wanted = max(wanted, breadth / left)
        self.scale = usual_scale(max(wanted, 1e-3) * 1000.0)
        self.per_metre = 1000.0 / self.scale

    def _top(self) -> float:
        room = _ABOVE + 5.0 * len(self.banner)
        return room + (4.0 if self.overlay.movements else 0.0)

    def _below(self) -> float:
        room = _BESIDE + _DIMENSIONS + _AXES + _LEGEND
        if self.overlay.forces:
            room += self._rosettes().height
        return room + 4.0 * len(self._captions())

    def _captions(self) -> list[str]:
        """What the figures and the arrows are, a line each."""
        largest = max((math.hypot(*d) for d in self.overlay.moved.values()), default=0.0)
        moved = ""
        if largest > 1e-9:
            enlarged = _MOVED / largest / self.per_metre
            moved = (
                f"Arrows at the bearings: displacement, largest {largest * 1e3:.1f} mm, drawn "
                f"{enlarged:.0f} times as large."
            )
        return [text for text in (clean(self.overlay.caption), moved) if text]

    # -------------------------------------------------------------- picture
    def picture(self) -> Picture:
        """Everything on the sheet."""
        board = self.board = Board(self.size, self.margin)
        for row, line in enumerate(self.banner):
            y = self.size[1] - self.margin - 4.0 - 5.0 * row
            board.text((self.size[0] / 2.0, y), line, 3.0, "centre", layer="warning")
        self.points = self._beside()
        self.sign = self._sign_size()
        self._deck()
        for point in self.points:
            symbols.keep_clear(board, point, max(self.sign, 0.6))
        if self.framed:
            self._sheet()
        self._signs()
        self._supports()
        self._low_rows()
        for number, point in enumerate(self.overlay.fixed_points, start=1):
            self._still(point, number)
        self._moved()
        self._marks()
        name = clean(self.scene.bridge.bridge.name)
        return Picture(
            "layout", f"Bearing layout, {name}", board.shapes, self.scale, self.size, "m", self.view
        )

    def _deck(self) -> None:
        board = self.board
        for number, line in enumerate(self.lines):
            # the first two lines are the edges of the deck
            points = [self.view.at(*p) for p in line]
            board.line("deck" if number < 2 else "girder", *points)
            board.avoid(points)
        if len(self.lines) >= 2:
            for end in (0, -1):
                board.line("deck", *(self.view.at(*edge[end]) for edge in self.lines[:2]))

    def _beside(self) -> list[Point]:
        """Bearings on the sheet, those of two spans at one place moved apart along the bridge."""
        points = [self.view.at(*seat.point[:2]) for seat in self.places]
        size = min(_SYMBOL, 0.42 * self._apart() * self.per_metre)
        found = list(points)
        for i, j in combinations(range(len(points)), 2):
            a, b = self.places[i], self.places[j]
            near = math.dist(points[i], points[j])
            if a.support != b.support or a.line != b.line or near >= 2.4 * size:
                continue
            turn = self._tangents[a.support] + self.turn
            lacking = (2.4 * size - near) / 2.0
            ahead = 1.0 if b.chainage >= a.chainage else -1.0
            for k, sign in ((i, -ahead), (j, ahead)):
                x, y = found[k]
                found[k] = (
                    x + sign * lacking * math.cos(turn),
                    y + sign * lacking * math.sin(turn),
                )
        return found

    @property
    def _tangents(self) -> dict[str, float]:
        return {s.mark: self.scene.tangent(s) for s in self.scene.supports}

    def _sign_size(self) -> float:
        gaps = [math.dist(a, b) for a, b in combinations(self.points, 2)]
        return min(_SYMBOL, 0.42 * min(gaps, default=10.0))

    def _signs(self) -> None:
        scene = self.scene
        for i, (place, seat, point) in enumerate(
            zip(self.places, scene.arranged.seats, self.points, strict=True)
        ):
            kind = self.kinds[place.mark]
            told = f"{place.mark}: {seat.function}" + (f", {kind}" if kind else "")
            with self.board.group(f"seat-{place.mark}", told):
                symbols.bearing(
                    self.board,
                    point,
                    scene.arranged.angles[i] + self.turn,
                    self.sign,
                    scene.held(i),
                    scene.sprung(i),
                    absent=seat.function == "none",
                )

    def _marks(self) -> None:
        """The mark of each bearing, above the line of its girder where there is room."""
        height = 2.0 if self._apart() * self.per_metre >= 4.0 else 1.6
        rise = 0.45 + DESCENT * height
        for place, (x, y) in zip(self.places, self.points, strict=True):
            ways = (-1, 1) if place.mark.endswith("b") else (1, -1)
            wanted = [
                Text(
                    (x + way * (self.sign + reach), y + (rise if up == "bottom" else -0.6)),
                    place.mark,
                    height,
                    "left" if way > 0 else "right",
                    up,
                )
                for reach in (0.6, 3.0)
                for up in _UPS
                for way in ways
            ]
            if self.board.place(wanted) is None:
                self.board.label((x, y), place.mark, self.sign + 1.2, height, start=0.6)

    # -------------------------------------------------------------- supports
    def _line_of(self, support: Support) -> tuple[Point, Point] | None:
        """Ends of a support line on the sheet, the right one first; None without seats."""
        seats = [self.points[i] for i, _ in self.scene.seats(support.mark)]
        if not seats:
            return None
        across = self._tangents[support.mark] + support.skew + math.pi / 2.0 + self.turn
        ux, uy = math.cos(across), math.sin(across)
        x, y = middle(seats)
        reaches = [(u - x) * ux + (v - y) * uy for u, v in seats]
        for edge in self.lines[:2]:
            met = crossing([self.view.at(*p) for p in edge], (x, y), across)
            if met is not None:
                reaches.append((met[0] - x) * ux + (met[1] - y) * uy)
        low, high = min(reaches) - 4.0, max(reaches) + 4.0
        return (x + low * ux, y + low * uy), (x + high * ux, y + high * uy)

    def _supports(self) -> None:
        board = self.board
        found = []
        for support in self.scene.supports:
            ends = self._line_of(support)
            if ends is not None:
                turn = math.atan2(ends[1][1] - ends[0][1], ends[1][0] - ends[0][0])
                at = (ends[1][0] + 2.8 * math.cos(turn), ends[1][1] + 2.8 * math.sin(turn))
                mark = Text(at, support.mark, 3.2, "centre")
                board.take(corners(mark))  # all marks before anything stands beside them
                found.append((support, ends, mark))
        for support, ends, mark in found:
            at = mark.at
            with board.group(f"support-{support.mark}", f"support {support.mark}"):
                board.line("support line", *ends)
                board.avoid(ends)
                self._joint(support)
                board.add(mark)
                told = metres(support.chainage)
                if abs(support.skew) > 1e-9:
                    told += f", skew {math.degrees(support.skew):g}°".replace("-", "−")
                self._near(at, told, 1.8, 3.8)
                if support.mark in self.overlay.movements:
                    moved = millimetres(*self.overlay.movements[support.mark])
                    self._near(at, f"moves {moved}", 2.2, 7.2, "movement")

    def _near(self, at: Point, text: str, height: float, above: float, layer: str = "text") -> None:
        """A text above a point, or the nearest place where there is room."""
        placed = Text((at[0], at[1] + above), text, height, "centre", layer=layer)
        if self.board.free(corners(placed)):
            self.board.add(placed)
        else:
            self.board.label(at, text, above, height, layer, start=math.pi / 2.0)

    def _joint(self, support: Support) -> None:
        """Two lines across the deck where one span ends and the next begins."""
        own = self.scene.seats(support.mark)
        marks = {seat.mark[-1:] for _, seat in own}
        if not {"a", "b"} <= marks or len(self.lines) < 2:
            return
        x, y = middle([self.points[i] for i, _ in own])
        tangent = self._tangents[support.mark] + self.turn
        for sign in (1.0, -1.0):
            shift = sign * _JOINT / 2.0
            through = (x + shift * math.cos(tangent), y + shift * math.sin(tangent))
            ends = [
                crossing(
                    [self.view.at(*p) for p in edge], through, tangent + support.skew + math.pi / 2
                )
                for edge in self.lines[:2]
            ]
            if ends[0] is not None and ends[1] is not None:
                self.board.line("deck", ends[0], ends[1])

    def _still(self, point: Point, number: int) -> None:
        at = self.view.at(*point)
        with self.board.group(f"fixed-point-{number}", "point from which the bridge expands"):
            symbols.fixed_point(self.board, at, max(3.6, 1.5 * self.sign))
            self.board.label(
                at, "fixed point", 6.5, 2.0, "fixed point", -math.pi / 4.0, "fixed point"
            )

    def _moved(self) -> None:
        """Displacements of the bearings as arrows, enlarged to be seen."""
        largest = max((math.hypot(*d) for d in self.overlay.moved.values()), default=0.0)
        if largest < 1e-9:
            return
        stretch = _MOVED / largest  # mm of the sheet for a metre of displacement
        c, s = math.cos(self.turn), math.sin(self.turn)
        for place, (x, y) in zip(self.places, self.points, strict=True):
            dx, dy = self.overlay.moved.get(place.mark, (0.0, 0.0))
            tip = (x + stretch * (c * dx - s * dy), y + stretch * (s * dx + c * dy))
            self.board.arrow("movement", (x, y), tip, 1.4)
            self.board.avoid(((x, y), tip))

    # -------------------------------------------------------------- below the bridge
    @property
    def _bottom(self) -> float:
        """Lower edge of the bridge on the sheet."""
        return self.view.origin[1] + self.low[1] * self.per_metre

    def _low_rows(self) -> None:
        board, y = self.board, self._bottom - _BESIDE
        if self.overlay.forces:
            rosettes = self._rosettes()
            rosettes.draw(board, y)
            y -= rosettes.height
        self._dimensions(y - 6.0)
        y -= _DIMENSIONS
        left = self.margin + 6.0
        c, s = 11.5 * math.cos(self.turn), 11.5 * math.sin(self.turn)
        origin = (left + 3.0 - min(0.0, c, -s), y - 16.0 - min(0.0, c, s))
        symbols.axes(board, origin, self.turn, ("x", "y"), 9.0)
        symbols.scale_bar(board, (left + 34.0, y - 14.0), self.per_metre, "m")
        note = "x: rising chainage; y: to the left. Direction of north not given."
        board.text((left + 100.0, y - 13.4), note, 2.0)
        y -= _AXES
        seats = self.scene.arranged.seats
        sprung = any(any(self.scene.sprung(i)) for i in range(len(seats)))
        absent = any(seat.function == "none" for seat in seats)
        symbols.legend(board, (left, y - 3.0), 2.2, sprung=sprung, absent=absent)
        y -= _LEGEND
        for caption in self._captions():
            board.text((left, y), shortened(caption, 2.0, self.size[0] - 2.0 * left), 2.0)
            y -= 4.0
        if self.framed:
            self.table.draw(board, self.margin, self.margin + title.HEIGHT)

    def _dimensions(self, y: float) -> None:
        """Distances of the supports along the reference line."""
        marks = []
        for support in self.scene.supports:
            own = [self.points[i] for i, _ in self.scene.seats(support.mark)]
            if own:
                marks.append((support, middle(own)[0]))
        for (before, left), (after, right) in pairwise(marks):
            text = f"{after.chainage - before.chainage:.3f}"
            if right - left > width(text, 2.0) + 1.0:
                self.board.add(Dimension((left, y), (right, y), 0.0, text, along=0.0))
            else:  # too close to write between: the table of supports tells the chainages
                self.board.add(Dimension((left, y), (right, y), 0.0, "", along=0.0))
        if len(marks) > 2:
            (first, left), (last, right) = marks[0], marks[-1]
            text = f"{last.chainage - first.chainage:.3f}"
            self.board.add(Dimension((left, y - 5.0), (right, y - 5.0), 0.0, text, along=0.0))

    # -------------------------------------------------------------- forces
    def _rosettes(self) -> Rosettes:
        """Forces on the supports below the bridge, arrows in each support's own axes."""
        view = getattr(self, "view", None) or View((0.0, 0.0), self.per_metre, self.turn)
        spots = []
        for support in self.scene.supports:
            own = self.scene.seats(support.mark)
            if own:
                x, _ = middle([view.at(*seat.point[:2]) for _, seat in own])
                tangent = self._tangents[support.mark] + self.turn
                rays = (Ray("Fx", tangent), Ray("Fy", tangent + math.pi / 2.0))
                spots.append(Spot(support.mark, x, rays))
        return Rosettes(spots, self.overlay.forces, ("V", "Fx", "Fy"))

    # -------------------------------------------------------------- sheet
    def _sheet(self) -> None:
        head = self.scene.bridge
        arrangement = f"arrangement: {clean(head.arrangement.name)}"
        title.sheet(
            self.board,
            title.Title(
                bridge=head.bridge.name,
                reference=head.bridge.reference,
                drawing="Layout of bearings, plan",
                number=self.number,
                scale=f"1:{self.scale:g}",
                sheet=self.sheet,
                units="m",
                basis=arrangement,
            ),
        )


class _Table:
    """The bearings in rows: mark, function, kind, direction, chainage, offset."""

    _HEAD: Final = 9.0
    _GAP: Final = 8.0

    def __init__(self, plan: _Layout, room: float) -> None:
        scene = plan.scene
        heads = ["mark", "function", "kind", "x' from x", "chainage", "y"]
        rows = [
            [
                place.mark,
                seat.function,
                plan.kinds[place.mark],
                f"{math.degrees(angle):.2f}°".replace("-", "−"),
                metres(place.chainage),
                metres(place.offset),
            ]
            for place, seat, angle in zip(
                plan.places, scene.arranged.seats, scene.arranged.angles, strict=True
            )
        ]
        if not any(row[2] for row in rows):
            heads.pop(2)
            rows = [[*row[:2], *row[3:]] for row in rows]
        self.heads, self.rows = heads, rows
        self.widths = [
            max(width(text, 1.9) for text in column) + 4.0
            for column in zip(heads, *rows, strict=True)
        ]
        self.wide = sum(self.widths)
        most = max(1, int((room - 4.0 + self._GAP) // (self.wide + self._GAP)))
        # columns of ten rows at least: a short table reads better than a wide one
        self.deep = max(math.ceil(len(rows) / most), min(len(rows), 10))
        self.columns = math.ceil(len(rows) / self.deep)
        self.height = self.deep * _ROW + self._HEAD

    def draw(self, board: Board, left: float, low: float) -> None:
        """From its lower left corner."""
        top = low + self.height - 4.0
        for column in range(self.columns):
            x = left + 3.0 + column * (self.wide + self._GAP)
            self._row(board, x, top, self.heads, "sheet")
            board.line("sheet", (x, top - 2.2), (x + self.wide, top - 2.2))
            part = self.rows[column * self.deep : (column + 1) * self.deep]
            for number, row in enumerate(part):
                self._row(board, x, top - 4.4 - number * _ROW, row, "text")

    def _row(self, board: Board, x: float, y: float, cells: Sequence[str], layer: str) -> None:
        for cell, wide in zip(cells, self.widths, strict=True):
            board.text((x + 1.0, y), cell, 1.9, layer=layer)
            x += wide
