"""Elevation: the bridge seen from its right side, on abutments and piers of their height.

Along the sheet runs the chainage of the reference line (a curve is developed), upward z. A truss is
shown by the members of its right plane. Sizes that the bridge file does not give are dashed.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.bridge.schema import Bridge, Column, Support
from bedstone.model.structure import State, Structure
from bedstone.output.drawing import symbols, title
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import clean, shortened, width, wrapped
from bedstone.output.drawing.overlay import NONE, Overlay
from bedstone.output.drawing.picture import Dimension, Path, Picture, Point, Text, View, corners
from bedstone.output.drawing.rosettes import Ray, Rosettes, Spot
from bedstone.output.drawing.scene import Scene, metres, millimetres, usual_scale

# Millimetres of the sheet.
_SIDE: Final = 28.0
_ABOVE: Final = 27.0
_DIMENSIONS: Final = 13.0
_FOOT: Final = 22.0
_UNKNOWN_DEPTH: Final = 8.0  # of a support whose height the file does not give
_UNKNOWN_WIDTH: Final = 7.0
_SIGN: Final = 2.2
_BEARING: Final = 1.6  # least width of a bearing


def elevation(
    bridge: Bridge,
    structure: Structure,
    arranged: Arranged,
    *,
    overlay: Overlay = NONE,
    framed: bool = True,
    wide: float = 300.0,
    number: str = "2",
) -> Picture:
    """The elevation as a picture; ids ``support-<mark>`` and ``force-<mark>``.

    `framed`: on a sheet with a title block, else bare, `wide` mm.
    """
    scene = Scene(bridge, structure, arranged)
    return _Elevation(scene, overlay, framed, wide, number).picture()


class _Elevation:
    def __init__(
        self, scene: Scene, overlay: Overlay, framed: bool, wide: float, number: str
    ) -> None:
        self.scene, self.overlay, self.framed, self.number = scene, overlay, framed, number
        self.state = _final(scene.structure)
        self.bars = _bars(scene, self.state)
        self.band = _band(self.state) if not self.bars else []
        self._extent()
        self._choose(wide)

    # -------------------------------------------------------------- size and scale
    def _extent(self) -> None:
        """Ends of what is drawn: chainage and level, m."""
        points = [p for bar in self.bars for p in bar] + list(self.band)
        points += [(seat.chainage, seat.point[2]) for seat in self.scene.structure.seats]
        points += [(support.chainage, 0.0) for support in self.scene.supports]
        for support in self.scene.supports:
            level = self._level(support)
            points.append((support.chainage, level - (_depth(support) or 0.0)))
        self.low = (min(x for x, _ in points), min(z for _, z in points))
        self.high = (max(x for x, _ in points), max(z for _, z in points))

    def _level(self, support: Support) -> float:
        """Level of the bearings of a support, m."""
        levels = [seat.point[2] for _, seat in self.scene.seats(support.mark)]
        return sum(levels) / len(levels) if levels else 0.0

    def _choose(self, wide: float) -> None:
        length, rise = (max(self.high[i] - self.low[i], 1.0) for i in (0, 1))
        if not self.framed:
            self.margin, self.sheet = 2.0, ""
            self._scale(length / (wide - 2.0 * _SIDE))
            high = 2.0 * self.margin + self._top(wide) + rise * self.per_metre + self._under()
            self.size = (wide, high)
        else:
            self.margin = title.MARGIN
            for name, sheet_wide, sheet_high in title.SHEETS[1:4]:
                self.sheet, self.size = name, (sheet_wide, sheet_high)
                free = sheet_high - 2.0 * self.margin - title.HEIGHT
                self._scale(length / (sheet_wide - 2.0 * self.margin - 2.0 * _SIDE))
                room = free - self._top(sheet_wide) - self._under()
                if room > 20.0:
                    self._scale(max(self.scale / 1000.0, rise / room))
                    break
        top = self.size[1] - self.margin - self._top(self.size[0])
        spare = 0.0
        if self.framed:
            used = self._top(self.size[0]) + rise * self.per_metre + self._under()
            spare = max(0.0, self.size[1] - 2.0 * self.margin - title.HEIGHT - used) / 3.0
        x = self.size[0] / 2.0 - (self.low[0] + self.high[0]) / 2.0 * self.per_metre
        self.view = View((x, top - spare - self.high[1] * self.per_metre), self.per_metre)

    def _scale(self, wanted: float) -> None:
        self.scale = usual_scale(wanted * 1000.0)
        self.per_metre = 1000.0 / self.scale

    def _top(self, wide: float) -> float:
        self.banner = wrapped(self.overlay.unstable, 3.0, wide - 40.0, 4)
        return _ABOVE + 5.0 * len(self.banner) + (4.0 if self.overlay.movements else 0.0)

    def _under(self) -> float:
        unknown = _UNKNOWN_DEPTH if any(_depth(s) is None for s in self.scene.supports) else 0.0
        rows = unknown + 5.0 + _DIMENSIONS + _FOOT
        if self.overlay.forces:
            rows += self._rosettes(0.0).height
        return rows + (4.0 if self.overlay.caption else 0.0)

    # -------------------------------------------------------------- picture
    def picture(self) -> Picture:
        """Everything on the sheet."""
        board = self.board = Board(self.size, self.margin)
        for row, line in enumerate(self.banner):
            y = self.size[1] - self.margin - 4.0 - 5.0 * row
            board.text((self.size[0] / 2.0, y), line, 3.0, "centre", layer="warning")
        if self.framed:
            self._sheet()
        self._superstructure()
        for support in self.scene.supports:
            self._support(support)
        self._heads()
        self._depth()
        self._rows()
        name = clean(self.scene.bridge.bridge.name)
        return Picture(
            "elevation", f"Elevation, {name}", board.shapes, self.scale, self.size, "m", self.view
        )

    def _superstructure(self) -> None:
        board = self.board
        with board.group("superstructure", "superstructure"):
            for a, b in self.bars:
                board.line("deck", self.view.at(*a), self.view.at(*b))
                board.avoid((self.view.at(*a), self.view.at(*b)))
            if self.band:
                points = [self.view.at(*p) for p in self.band]
                board.line("deck", *points, closed=True)
                board.avoid([*points, points[0]])
                self._joints()
            if not self.bars and not self.band:
                x, y = self.view.at((self.low[0] + self.high[0]) / 2.0, self.high[1])
                words = "superstructure not in the bridge file (given reactions)"
                board.text((x, y + 3.0), words, 2.0, "centre")
            if self.bars:  # the road or rail surface, where the members do not show it
                ends = (self.low[0], self.high[0])
                board.line("girder", *(self.view.at(x, 0.0) for x in ends))
                board.text(
                    (self.view.at(ends[1], 0.0)[0] + 1.5, self.view.at(0.0, 0.0)[1]), "surface", 1.8
                )

    def _joints(self) -> None:
        """Where one span ends and the next begins."""
        ends = sorted(self.band, key=lambda p: p[1])
        for support in self.scene.supports:
            marks = {seat.mark[-1:] for _, seat in self.scene.seats(support.mark)}
            if not {"a", "b"} <= marks:
                continue
            x, low = self.view.at(support.chainage, ends[0][1])
            high = self.view.at(support.chainage, ends[-1][1])[1]
            for shift in (-0.5, 0.5):
                self.board.line("deck", (x + shift, low), (x + shift, high))

    def _support(self, support: Support) -> None:
        """Bearings, and what is below them down to its base."""
        board, own = self.board, self.scene.seats(support.mark)
        if not own:
            return
        x, level = support.chainage, self._level(support)
        with board.group(f"support-{support.mark}", f"support {support.mark}"):
            for at in sorted({round(self._at(seat.chainage, support), 3) for _, seat in own}):
                cx, cy = self.view.at(at, level)
                half = max(_BEARING / 2.0, 0.25 * self.per_metre)
                high = max(0.7, self._gap(support) * self.per_metre)
                box = (
                    (cx - half, cy),
                    (cx + half, cy),
                    (cx + half, cy + high),
                    (cx - half, cy + high),
                )
                # what is tall is not the bearing alone: up to the axis of a chord or a member
                board.add(Path("bearing", box, closed=True, filled=high < 2.0))
            depth, below = _depth(support), support.below
            if isinstance(below, Column):
                self._column(x, level, below, depth or 0.0)
            else:
                self._block(support, x, level, depth)

    def _at(self, chainage: float, support: Support) -> float:
        """Chainage of a bearing with the skew taken out: its line crosses the reference line."""
        if abs(support.skew) > 1e-9 or self.scene.structure.continuous:
            return support.chainage
        return chainage

    def _gap(self, support: Support) -> float:
        """From the contact of the bearings up to the underside, m."""
        gap = getattr(self.scene.bridge.superstructure, "contact", None)
        if gap is None and self.state is not None:  # a frame: up to the nodes of its seats
            own = [number for number, _ in self.scene.seats(support.mark)]
            gap = -float(self.state.seats.arm[own, 2].mean())
        return max(0.0, float(gap or 0.0))

    def _column(self, x: float, level: float, column: Column, depth: float) -> None:
        board = self.board
        size = column.diameter or column.along
        top, base = level - column.cap, level - column.cap - column.height
        if size is None:  # given by its section alone: its width is not known
            board.line("below", self.view.at(x, level), self.view.at(x, base))
            half = _UNKNOWN_WIDTH / 2.0 / self.per_metre
        else:
            half = size / 2.0
            for a, b in ((base, top), (top, level)):
                if b - a > 1e-9:
                    corners_ = ((x - half, a), (x + half, a), (x + half, b), (x - half, b))
                    board.line("below", *(self.view.at(*p) for p in corners_), closed=True)
                    board.avoid([self.view.at(*p) for p in corners_])
            board.line("centre line", self.view.at(x, base), self.view.at(x, level))
        self._ground(x, base, half)
        self._height(x + half, level, base, column.cap + column.height)

    def _block(self, support: Support, x: float, level: float, depth: float | None) -> None:
        """An abutment or pier of which the file gives at most the depth of its base: dashed."""
        board = self.board
        wide = _UNKNOWN_WIDTH / self.per_metre
        first, last = self.scene.supports[0].mark, self.scene.supports[-1].mark
        reach = {first: (-wide, 0.3 * wide), last: (-0.3 * wide, wide)}
        left, right = reach.get(support.mark, (-0.5 * wide, 0.5 * wide))
        base = level - (depth or _UNKNOWN_DEPTH / self.per_metre)
        outline = ((x + left, base), (x + left, level), (x + right, level), (x + right, base))
        board.line("hidden", *(self.view.at(*p) for p in outline))
        board.avoid([self.view.at(*p) for p in outline])
        board.line("below", self.view.at(x + left, level), self.view.at(x + right, level))
        if depth:
            board.line("hidden", self.view.at(x + left, base), self.view.at(x + right, base))
            self._height(x + right, level, base, depth)

    def _ground(self, x: float, level: float, half: float) -> None:
        """A short line with strokes below: where the column stands."""
        reach = half + 3.0 / self.per_metre
        (x1, y), (x2, _) = self.view.at(x - reach, level), self.view.at(x + reach, level)
        self.board.line("ground", (x1, y), (x2, y))
        count = max(3, int((x2 - x1) / 1.6))
        for i in range(count):
            at = x1 + (i + 0.5) * (x2 - x1) / count
            self.board.line("ground", (at, y), (at - 1.0, y - 1.2))

    def _height(self, x: float, level: float, base: float, told: float) -> None:
        """Height from the base to the bearings, right of a support, if the text fits there."""
        start, end = self.view.at(x, base), self.view.at(x, level)
        text = f"{told:.2f}"
        if end[1] - start[1] < width(text, 1.8) + 0.5:
            return
        found = Dimension(start, end, -5.0, text, along=math.pi / 2.0, height=1.8)
        if self.board.free(corners(found.label)):
            self.board.add(found)

    def _depth(self) -> None:
        """Depth of the superstructure at its left end."""
        if not self.band:
            return
        left = min(x for x, _ in self.band)
        ends = [p for p in self.band if abs(p[0] - left) < 1e-6]
        low, high = min(z for _, z in ends), max(z for _, z in ends)
        if high - low > 1e-6:
            start, end = self.view.at(left, low), self.view.at(left, high)
            text = f"{high - low:.2f}"
            tall = end[1] - start[1] > width(text, 1.8) + 0.5
            if tall:
                self.board.add(Dimension(start, end, 6.0, text, along=math.pi / 2.0, height=1.8))
            else:
                self.board.add(Dimension(start, end, 4.0, "", along=math.pi / 2.0))
                at = (start[0] - 6.0, (start[1] + end[1]) / 2.0)
                self.board.text(at, text, 1.8, "right")

    # -------------------------------------------------------------- above and below
    def _heads(self) -> None:
        """Mark, chainage, what the bearings do along, and movements, above each support."""
        board = self.board
        top = self.view.origin[1] + self.high[1] * self.per_metre
        for support in self.scene.supports:  # all marks before anything stands beside them
            x, _ = self.view.at(support.chainage, 0.0)
            board.take(corners(Text((x, top + 13.6), support.mark, 3.2, "centre")))
        for support in self.scene.supports:
            own = self.scene.seats(support.mark)
            if not own:
                continue
            x, _ = self.view.at(support.chainage, 0.0)
            board.line(
                "support line", (x, self.view.at(0.0, self._level(support))[1]), (x, top + 5.0)
            )
            self._along(support, (x, top + 8.0))
            board.text((x, top + 13.6), support.mark, 3.2, "centre")
            self._near((x, top + 13.6), metres(support.chainage), 1.8, 3.8)
            if support.mark in self.overlay.movements:
                text = f"moves {millimetres(*self.overlay.movements[support.mark])}"
                self._near((x, top + 13.6), text, 2.2, 7.4, "movement")
        for number, (x, y) in enumerate(self.overlay.fixed_points, start=1):
            chainage, _ = self.scene.structure.axis.chainage(x, y)
            at = self.view.at(float(chainage), self._bearing_level(float(chainage)))
            with board.group(f"fixed-point-{number}", "point from which the bridge expands"):
                symbols.fixed_point(board, at, 3.0)
                board.label(at, "fixed point", 5.5, 2.0, "fixed point", -0.7, "fixed point")

    def _bearing_level(self, chainage: float) -> float:
        near = min(self.scene.supports, key=lambda s: abs(s.chainage - chainage))
        return self._level(near)

    def _along(self, support: Support, at: Point) -> None:
        """Sign of what the bearings of a support do along: one for each span that ends there."""
        own = self.scene.seats(support.mark)
        sides = [[i for i, seat in own if seat.mark.endswith(side)] for side in ("b", "a")]
        if not all(sides):
            sides = [[i for i, _ in own]]
        for number, seats in enumerate(sides):
            x = at[0] + (number - (len(sides) - 1) / 2.0) * 3.4 * _SIGN
            held = any(self._holds(i, support) for i in seats)
            _sign(self.board, (x, at[1]), held)

    def _holds(self, seat: int, support: Support) -> bool:
        """Whether a bearing holds any direction that has more than a little along the bridge."""
        held = (self.scene.held(seat), self.scene.sprung(seat))
        turn = self.scene.arranged.angles[seat] - self.scene.tangent(support)
        parts = (abs(math.cos(turn)), abs(math.sin(turn)))
        return any((held[0][i] or held[1][i]) and parts[i] > 0.5 for i in (0, 1))

    def _near(self, at: Point, text: str, height: float, above: float, layer: str = "text") -> None:
        placed = Text((at[0], at[1] + above), text, height, "centre", layer=layer)
        if self.board.free(corners(placed)):
            self.board.add(placed)
        else:
            self.board.label(at, text, above, height, layer, start=math.pi / 2.0)

    def _rosettes(self, left: float) -> Rosettes:
        rays = (Ray("V", -math.pi / 2.0), Ray("Fx", 0.0))
        spots = [
            Spot(support.mark, left + support.chainage * self.per_metre, rays)
            for support in self.scene.supports
            if self.scene.seats(support.mark)
        ]
        return Rosettes(spots, self.overlay.forces, ("V", "Fx"))

    def _rows(self) -> None:
        board = self.board
        y = self.view.origin[1] + self.low[1] * self.per_metre - 5.0
        if any(_depth(s) is None for s in self.scene.supports):
            y -= _UNKNOWN_DEPTH
        if self.overlay.forces:
            rosettes = self._rosettes(self.view.origin[0])
            rosettes.draw(board, y)
            y -= rosettes.height
        xs = [(s, self.view.at(s.chainage, 0.0)[0]) for s in self.scene.supports]
        for (before, left), (after, right) in pairwise(xs):
            text = f"{after.chainage - before.chainage:.3f}"
            fits = right - left > width(text, 2.0) + 1.0
            told = text if fits else ""
            board.add(Dimension((left, y - 4.0), (right, y - 4.0), 0.0, told, along=0.0))
        if len(xs) > 2:
            text = f"{xs[-1][0].chainage - xs[0][0].chainage:.3f}"
            board.add(Dimension((xs[0][1], y - 9.0), (xs[-1][1], y - 9.0), 0.0, text, along=0.0))
        y -= _DIMENSIONS
        left = self.margin + 6.0
        symbols.axes(board, (left + 3.0, y - 13.0), 0.0, ("x", "z"), 7.0)
        symbols.scale_bar(board, (left + 26.0, y - 13.0), self.per_metre, "m")
        words = "chainages and spans along the reference line; dashed: size not in the bridge file"
        board.text((left + 95.0, y - 12.4), words, 2.0)
        self._legend((left + 26.0, y - 7.0))
        y -= _FOOT - 3.0
        if self.overlay.caption:
            room = self.size[0] - 2.0 * left
            board.text((left, y), shortened(self.overlay.caption, 2.0, room), 2.0)

    def _legend(self, at: Point) -> None:
        x, y = at
        for held, words in ((True, "held along the bridge"), (False, "free along the bridge")):
            _sign(self.board, (x + _SIGN, y), held)
            self.board.text((x + 2.0 * _SIGN + 1.6, y), words, 2.0)
            x += 2.0 * _SIGN + width(words, 2.0) + 8.0

    def _sheet(self) -> None:
        head = self.scene.bridge
        title.sheet(
            self.board,
            title.Title(
                bridge=head.bridge.name,
                reference=head.bridge.reference,
                drawing="Elevation, seen from the right",
                number=self.number,
                scale=f"1:{self.scale:g}",
                sheet=self.sheet,
                units="m",
                basis=f"arrangement: {clean(head.arrangement.name)}",
            ),
        )


# ------------------------------------------------------------------ the bridge from its side
def _sign(board: Board, at: Point, held: bool) -> None:
    """Held or free along: bars or arrows to both sides of a dot."""
    x, y = at
    board.circle("bearing", at, 0.4, filled=True)
    for sign in (1.0, -1.0):
        if held:
            bar = x + sign * 0.75 * _SIGN
            board.line("bearing", (bar, y - 0.55 * _SIGN), (bar, y + 0.55 * _SIGN))
        else:
            board.arrow("bearing", (x + sign * 0.3 * _SIGN, y), (x + sign * _SIGN, y), 0.45 * _SIGN)
    symbols.keep_clear(board, at, _SIGN)


def _depth(support: Support) -> float | None:
    """From the bearings down to the base of a support (m); None where the file does not say."""
    if support.base_level is not None:
        return support.base_level or None
    below = support.below
    return below.height + below.cap if isinstance(below, Column) else None


def _final(structure: Structure) -> State | None:
    """The state in use; None for a bridge without a model."""
    return structure.states.get("short") or next(iter(structure.states.values()), None)


def _bars(scene: Scene, state: State | None) -> list[tuple[Point, Point]]:
    """Members of the right plane of a truss or of a frame: (chainage, z) of both ends."""
    kind = scene.bridge.superstructure.kind
    if state is None or kind not in ("truss", "frame"):
        return []
    frame = state.frame
    start = frame.nodes[frame.ends[:, 0]] + frame.offset_i
    end = start + frame.chord
    ends = [scene.structure.axis.chainage(p[:, 0], p[:, 1]) for p in (start, end)]
    right = min(seat.offset for seat in scene.structure.seats)
    flat = [np.abs(offset - right) < 1e-3 for _, offset in ends]
    own = np.flatnonzero(flat[0] & flat[1])
    return [
        (
            (float(ends[0][0][i]), float(start[i, 2])),
            (float(ends[1][0][i]), float(end[i, 2])),
        )
        for i in own
    ]


def _band(state: State | None) -> list[Point]:
    """The deck as a closed outline (chainage, z): surface of the structure above, underside below.

    Along the line of girders nearest to the reference line, so that spans have their true length.
    """
    if state is None or state.deck is None:
        return []
    line = min(state.deck.lines, key=lambda line: abs(line.offset))
    top, bottom = state.top[line.members], state.bottom[line.members]
    stations = [float(line.start[0])]
    lower, upper = [float(bottom[0])], [float(top[0])]
    for i in range(1, len(line.members)):
        stations.append(float(line.start[i]))
        lower.append(float((bottom[i - 1] + bottom[i]) / 2.0))
        upper.append(float((top[i - 1] + top[i]) / 2.0))
    stations.append(float(line.end[-1]))
    lower.append(float(bottom[-1]))
    upper.append(float(top[-1]))
    return _thinned(stations, upper) + _thinned(stations, lower)[::-1]


def _thinned(stations: list[float], levels: list[float]) -> list[Point]:
    """Points of a line without those that lie on it between two others."""
    found: list[Point] = []
    for point in zip(stations, levels, strict=True):
        while len(found) >= 2 and _straight(found[-2], found[-1], point):
            found.pop()
        found.append(point)
    return found


def _straight(a: Point, b: Point, c: Point) -> bool:
    return abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) < 1e-9
