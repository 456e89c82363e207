"""The sheet of a drawing: its frame and its title block, what people fill in by hand left empty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from bedstone.cautions import SHORT
from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import shortened, wrapped

#: Usual sheets on their long side, mm (ISO 216).
SHEETS: Final[tuple[tuple[str, float, float], ...]] = (
    ("A4", 297.0, 210.0),
    ("A3", 420.0, 297.0),
    ("A2", 594.0, 420.0),
    ("A1", 841.0, 594.0),
    ("A0", 1189.0, 841.0),
)
MARGIN: Final = 8.0
#: Height of the title block, mm.
HEIGHT: Final = 27.0


@dataclass(frozen=True)
class Title:
    """What a title block says; empty fields are filled in by hand.

    `marks`: bearings on the sheet, `basis`: standard and arrangement.
    """

    bridge: str
    reference: str
    drawing: str
    number: str
    scale: str
    sheet: str
    units: str
    basis: str = ""
    marks: str = ""


def sheet(board: Board, title: Title) -> None:
    """Frame of the sheet and the title block along its lower edge."""
    wide, high = board.size
    left, right, low = MARGIN, wide - MARGIN, MARGIN
    top = low + HEIGHT
    board.box("sheet", left, low, right - left, high - 2.0 * MARGIN)
    board.line("sheet", (left, top), (right, top))
    # widths of the fields at the right end; the rest belongs to bridge and drawing
    fields = (34.0, 34.0, 26.0)
    x2 = right - sum(fields)
    x1 = left + 0.55 * (x2 - left)
    for x in (x1, x2, x2 + fields[0], x2 + fields[0] + fields[1]):
        board.line("sheet", (x, low), (x, top))

    room = x1 - left - 6.0
    board.text((left + 3.0, top - 3.6), "bridge", 1.6, layer="sheet")
    name = wrapped(title.bridge, 3.2, room, 2)
    for row, line in enumerate(name):
        board.text((left + 3.0, top - 8.6 - 5.2 * row), line, 3.2)
    board.text((left + 3.0, low + 8.0), shortened(title.reference, 2.0, room), 2.0)
    board.text((left + 3.0, low + 3.2), shortened(SHORT, 1.8, room), 1.8, layer="sheet")

    room = x2 - x1 - 6.0
    board.text((x1 + 3.0, top - 3.6), "drawing", 1.6, layer="sheet")
    for row, line in enumerate(wrapped(title.drawing, 2.8, room, 2)):
        board.text((x1 + 3.0, top - 8.4 - 4.6 * row), line, 2.8)
    rest = wrapped("; ".join(text for text in (title.marks, title.basis) if text), 1.8, room, 3)
    for row, line in enumerate(rest):
        board.text((x1 + 3.0, low + 9.6 - 3.2 * row), line, 1.8)

    columns = (
        (("drawn", ""), ("checked", ""), ("approved", "")),
        (("number", title.number), ("date", ""), ("revision", "")),
        (("scale", title.scale), ("sheet", title.sheet), ("lengths in", title.units)),
    )
    third = HEIGHT / 3.0
    x = x2
    for wide_, rows in zip(fields, columns, strict=True):
        for row, (word, text) in enumerate(rows):
            y = top - row * third
            if row:
                board.line("sheet", (x, y), (x + wide_, y))
            board.text((x + 2.0, y - 2.4), word, 1.6, layer="sheet")
            board.text((x + 2.0, y - 6.6), shortened(text, 2.2, wide_ - 4.0), 2.2)
        x += wide_
