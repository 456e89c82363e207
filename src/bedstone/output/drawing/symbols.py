"""Signs of the drawings: bearings from what they hold, axes, scale bar, fixed point, movement.

The sign of a bearing follows from what it does alone: a dot, a bar across each direction that it
holds, a pair of thin bars where it is sprung, an arrow along each direction that it leaves free.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from bedstone.bridge.schema import Function
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import width
from bedstone.output.drawing.picture import Point

#: What the legend says, in its order: a function, held along and across.
FUNCTIONS: Final[tuple[tuple[Function, tuple[bool, bool]], ...]] = (
    ("fixed", (True, True)),
    ("guided along", (False, True)),
    ("guided across", (True, False)),
    ("free", (False, False)),
)
KEY: Final = "bar: held across it; arrow: free along it"


def bearing(
    board: Board,
    centre: Point,
    angle: float,
    size: float,
    held: Sequence[bool],
    sprung: Sequence[bool] = (False, False),
    *,
    absent: bool = False,
) -> None:
    """The sign of a bearing; `angle` of its x' on the sheet (rad), `size`: half its width (mm).

    Below half a millimetre it is a dot. `absent`: no bearing stands there, an empty ring.
    """
    layer = "bearing"
    if absent:
        board.circle(layer, centre, 0.6 * size)
        return
    board.circle(layer, centre, max(0.16 * size, 0.25), filled=True)
    if size < 0.8:
        return
    for direction in (0, 1):
        turn = angle + direction * math.pi / 2.0
        ux, uy = math.cos(turn), math.sin(turn)
        for sign in (1.0, -1.0):
            if sprung[direction]:
                for reach in (0.7, 0.95):
                    _bar(board, centre, sign * reach * size, (ux, uy), 0.4 * size)
            elif held[direction]:
                _bar(board, centre, sign * 0.75 * size, (ux, uy), 0.55 * size)
            else:
                start = (centre[0] + sign * 0.3 * size * ux, centre[1] + sign * 0.3 * size * uy)
                tip = (centre[0] + sign * size * ux, centre[1] + sign * size * uy)
                board.arrow(layer, start, tip, 0.45 * size)


def _bar(board: Board, centre: Point, reach: float, along: Point, half: float) -> None:
    x, y = centre[0] + reach * along[0], centre[1] + reach * along[1]
    board.line(
        "bearing",
        (x - half * along[1], y + half * along[0]),
        (x + half * along[1], y - half * along[0]),
    )


def legend(
    board: Board, at: Point, size: float, *, sprung: bool = False, absent: bool = False
) -> float:
    """Signs with their words in a row from `at`; returns where it ends (mm)."""
    x, y = at
    rows: list[tuple[str, tuple[bool, bool], tuple[bool, bool], bool]] = [
        (name, held, (False, False), False) for name, held in FUNCTIONS
    ]
    if sprung:
        rows.append(("elastic (sprung)", (False, False), (True, True), False))
    if absent:
        rows.append(("no bearing", (False, False), (False, False), True))
    for name, held, springs, empty in rows:
        bearing(board, (x + size, y), 0.0, size, held, springs, absent=empty)
        board.text((x + 2.0 * size + 1.6, y), name, 2.2)
        x += 2.0 * size + 1.6 + width(name, 2.2) + 6.0
    board.text((x, y), KEY, 2.2)
    return x + width(KEY, 2.2)


def axes(board: Board, origin: Point, turn: float, names: tuple[str, str], length: float) -> None:
    """Two arrows at a right angle with their names."""
    for name, way in zip(names, (turn, turn + math.pi / 2.0), strict=True):
        ux, uy = math.cos(way), math.sin(way)
        board.arrow("dimension", origin, (origin[0] + length * ux, origin[1] + length * uy), 1.8)
        reach = length + 2.2
        point = (origin[0] + reach * ux, origin[1] + reach * uy)
        board.text(point, name, 2.4, "centre")


def scale_bar(board: Board, at: Point, per_unit: float, unit: str, wanted: float = 40.0) -> None:
    """Five equal parts of a round length; `per_unit`: mm of the sheet for one unit."""
    raw = wanted / per_unit
    power = 10.0 ** math.floor(math.log10(raw))
    length = max(step for step in (1.0, 2.0, 5.0) if step * power <= raw * (1.0 + 1e-9)) * power
    part = length * per_unit / 5.0
    x, y = at
    for number in range(5):
        left = x + number * part
        corners = ((left, y), (left + part, y), (left + part, y + 1.2), (left, y + 1.2))
        board.line("dimension", *corners, closed=True)
        if number % 2 == 0:
            board.fill("dimension", *corners)
    board.text((x + 5.0 * part + 2.0, y + 0.6), f"{length:g} {unit}", 2.0)


def fixed_point(board: Board, at: Point, radius: float = 3.4) -> None:
    """The point that temperature does not move: a ring with four strokes toward its middle."""
    board.circle("fixed point", at, radius)
    for turn in (0.25, 0.75, 1.25, 1.75):
        c, s = math.cos(turn * math.pi), math.sin(turn * math.pi)
        inner, outer = 0.75 * radius, 1.45 * radius
        board.line(
            "fixed point",
            (at[0] + inner * c, at[1] + inner * s),
            (at[0] + outer * c, at[1] + outer * s),
        )
    board.take(_square(at, 1.1 * radius))


def both_ways(board: Board, layer: str, middle: Point, half: float, turn: float = 0.0) -> None:
    """A movement to and fro: two arrows from the middle."""
    for sign in (1.0, -1.0):
        tip = (middle[0] + sign * half * math.cos(turn), middle[1] + sign * half * math.sin(turn))
        board.arrow(layer, middle, tip, 1.6)


def _square(at: Point, half: float) -> tuple[Point, ...]:
    x, y = at
    return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)


def keep_clear(board: Board, at: Point, half: float) -> None:
    """Keep labels off a sign."""
    board.take(_square(at, half))
