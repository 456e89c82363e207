"""The form from which bridges are drafted: one row a bridge, as a workbook or as text.

It is read back by `bedstone.stock.draft_rows`. Nothing in it is a formula; it is the same bytes
every time.
"""

from __future__ import annotations

import csv
import io
from typing import Any, Final

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output.workbook import put, without_times
from bedstone.stock.draft_columns import COLUMNS, SHEET
from bedstone.stock.draft_outline import KINDS

__all__ = ["draft_form", "draft_form_csv"]

HOW: Final = "How to fill it in"
#: Rows with lists of words below the head.
_ROWS: Final = 500
_STEPS: Final = (
    "One row, one bridge. Name, Type and Spans are needed; an empty cell is not known.",
    "What is not known is assumed by rules of thumb, written into the draft and counted.",
    "Units stand in the heads and may be changed there, such as Travel [m]. A decimal point.",
    "A draft is a bridge to begin with: no survey, no assessment.",
    f"Kinds of bearings: {', '.join(KINDS)}.",
    "Sizes of bearings: one for all lines, or one a line by semicolons, ? where it is not known.",
    "A bearing whose sizes suffice is assessed as it is; the others are designed.",
    FULL,
)


def draft_form_csv() -> bytes:
    """The form as comma-separated text in UTF-8: what to do, then the head."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    for text in _STEPS:
        writer.writerow([f"# {text}"])
    for column in COLUMNS:
        writer.writerow([f"# {column.head}: {_meaning(column)}"])
    writer.writerow([column.head for column in COLUMNS])
    return stream.getvalue().encode()


def draft_form() -> bytes:
    """The form as a workbook with the sheets Bridges and How to fill it in."""
    from openpyxl import Workbook  # slow to load
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = "Bridges to be drafted"
    book.properties.creator = f"bedstone {__version__}"
    sheet: Any = book.create_sheet(SHEET)
    for place, column in enumerate(COLUMNS, start=1):
        letter = get_column_letter(place)
        cell = sheet.cell(1, place)
        put(cell, column.head)
        cell.font = Font(bold=True)
        cell.fill = PatternFill("solid", fgColor="FFE9B0" if column.needed else "E6E9ED")
        cell.alignment = Alignment(wrap_text=True, vertical="center")
        wide = column.name in ("Name", "Functions", "Kinds")
        sheet.column_dimensions[letter].width = 34 if wide else max(13, len(column.head) + 2)
        if column.words:
            _choice(sheet, column.words, f"{letter}2:{letter}{_ROWS}")
        if column.listed:
            # as text: a list such as 30-40 would become a date
            for row in range(2, _ROWS + 1):
                sheet.cell(row, place).number_format = "@"
    sheet.freeze_panes = "B2"
    how: Any = book.create_sheet(HOW)
    how.column_dimensions["A"].width, how.column_dimensions["B"].width = 22, 110
    row = 1
    for text in _STEPS:
        put(how.cell(row, 1), text)
        how.merge_cells(start_row=row, end_row=row, start_column=1, end_column=2)
        how.cell(row, 1).alignment = Alignment(wrap_text=True, vertical="top")
        how.row_dimensions[row].height = 15 * (1 + len(text) // 125)
        row += 1
    for column in COLUMNS:
        row += 1
        put(how.cell(row, 1), column.head)
        put(how.cell(row, 2), _meaning(column))
        how.cell(row, 1).font = Font(bold=True)
        how.cell(row, 2).alignment = Alignment(wrap_text=True, vertical="top")
    stream = io.BytesIO()
    book.save(stream)
    return without_times(stream.getvalue(), None)


def _meaning(column: Any) -> str:
    words = f" One of: {', '.join(column.words)}." if column.words else ""
    return f"{'Needed. ' if column.needed else ''}{column.meaning}.{words}"


def _choice(sheet: Any, words: tuple[str, ...], cells: str) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    rule = DataValidation(type="list", formula1=f'"{",".join(words)}"', allow_blank=True)
    rule.error, rule.errorTitle = f"One of: {', '.join(words)}"[:250], "Not in the list"
    rule.showErrorMessage = True
    rule.add(cells)
    sheet.add_data_validation(rule)
