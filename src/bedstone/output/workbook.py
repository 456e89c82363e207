"""Tables of typed values as a workbook (Office Open XML), the same bytes every time.

Numbers are numbers with a format, text is text: nothing that a bridge file says becomes a formula.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from bedstone import __version__
from bedstone.output.shown import plain

Value = float | int | str | None

#: Number format of each unit in which results are shown.
FORMATS: Final = {
    "kN": "0.0",
    "kN m": "0.0",
    "mm": "0.0",
    "mrad": "0.00",
    "m": "0.000",
    "deg": "0.0",
    "kg": "0.0",
    "MPa": "0.0",
}
#: What a spreadsheet takes for the beginning of a formula when such a text is typed in.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_LONGEST = 32_000  # letters in a cell; the file format ends at 32 767
_PAPER = {"A4": 9, "A3": 8}  # numbers of the file format
_TITLE, _GROUPS, _HEADS, _FIRST = 1, 2, 3, 4  # rows
#: Earliest date a zip archive can hold: files carry no time of making.
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Head:
    """A column: its head, unit, the group it stands in, width in letters and number format."""

    text: str
    unit: str = ""
    group: str = ""
    width: int = 9
    format: str = ""

    @property
    def label(self) -> str:
        """Head with the unit in brackets."""
        return f"{self.text} [{self.unit}]" if self.unit else self.text


@dataclass(frozen=True)
class Grid:
    """A sheet with one table.

    `kept`: columns that stay in sight and are printed on every page; `pages`: how many pages it may
    be wide on paper; `red_below_zero`, `red_above_one`: numbers of columns to be marked.
    """

    name: str
    title: str
    heads: tuple[Head, ...]
    rows: tuple[tuple[Value, ...], ...]
    kept: int = 1
    pages: int = 1
    paper: Literal["A4", "A3"] = "A4"
    red_below_zero: tuple[int, ...] = ()
    red_above_one: tuple[int, ...] = ()


@dataclass(frozen=True)
class Page:
    """A sheet of words: pairs of a head (may be empty) and a text."""

    name: str
    title: str
    lines: tuple[tuple[str, str], ...]


def workbook(sheets: Sequence[Page | Grid], title: str, made: dt.date | None = None) -> bytes:
    """Return the sheets as the bytes of a workbook.

    `title` stands in the properties and below each printed page; `made`: date kept in the
    properties, none without it. Raises `ValueError` for two sheets of one name.
    """
    from openpyxl import Workbook  # slow to load

    if len({sheet.name for sheet in sheets}) != len(sheets):
        raise ValueError("two sheets of the same name")
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = _text(title)
    book.properties.creator = f"bedstone {__version__}"
    for sheet in sheets:
        made_sheet = book.create_sheet(sheet.name)
        if isinstance(sheet, Page):
            _write_page(made_sheet, sheet)
        else:
            _write_grid(made_sheet, sheet)
        _footer(made_sheet, title)
    stream = io.BytesIO()
    book.save(stream)
    return without_times(stream.getvalue(), made)


# ------------------------------------------------------------------ sheets
def _write_page(sheet: Any, page: Page) -> None:
    from openpyxl.styles import Alignment, Font

    sheet.column_dimensions["A"].width = 24
    sheet.column_dimensions["B"].width = 96
    put(sheet.cell(1, 1), page.title)
    sheet.cell(1, 1).font = Font(bold=True, size=14)
    for row, (head, text) in enumerate(page.lines, start=_FIRST - 1):
        put(sheet.cell(row, 1), head)
        put(sheet.cell(row, 2), text)
        sheet.cell(row, 1).font = Font(bold=True)
        for column in (1, 2):
            sheet.cell(row, column).alignment = Alignment(wrap_text=True, vertical="top")
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = _PAPER["A4"]
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def _write_grid(sheet: Any, grid: Grid) -> None:
    from openpyxl.utils import get_column_letter

    put(sheet.cell(_TITLE, 1), grid.title)
    _heads(sheet, grid)
    formats = [head.format or FORMATS.get(head.unit, "") for head in grid.heads]
    for place, row in enumerate(grid.rows, start=_FIRST):
        for column, value in enumerate(row, start=1):
            if value is None or value == "":
                continue
            cell = sheet.cell(place, column)
            put(cell, value)
            if not isinstance(value, str) and formats[column - 1]:
                cell.number_format = formats[column - 1]
    last = max(_FIRST + len(grid.rows) - 1, _HEADS)
    corner = f"{get_column_letter(len(grid.heads))}{last}"
    sheet.auto_filter.ref = f"A{_HEADS}:{corner}"
    sheet.freeze_panes = sheet.cell(_FIRST, grid.kept + 1)
    sheet.print_title_rows = f"{_TITLE}:{_HEADS}"
    if grid.pages > 1:
        sheet.print_title_cols = f"A:{get_column_letter(grid.kept)}"
    sheet.print_area = f"A1:{corner}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = _PAPER[grid.paper]
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = grid.pages, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    _marks(sheet, grid, last)


def _heads(sheet: Any, grid: Grid) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
    from openpyxl.utils import get_column_letter

    sheet.cell(_TITLE, 1).font = Font(bold=True, size=13)
    bold, fill = Font(bold=True), PatternFill("solid", fgColor="E6E9ED")
    middle = Alignment(wrap_text=True, horizontal="center", vertical="center")
    line = Border(bottom=Side(style="thin"))
    for column, head in enumerate(grid.heads, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = head.width
        put(sheet.cell(_HEADS, column), head.label)
        for row in (_GROUPS, _HEADS):
            cell = sheet.cell(row, column)
            cell.font, cell.fill, cell.alignment, cell.border = bold, fill, middle, line
    sheet.row_dimensions[_GROUPS].height = 30
    sheet.row_dimensions[_HEADS].height = 45
    start = 0
    for column in range(1, len(grid.heads) + 1):
        end = column == len(grid.heads)
        if end or grid.heads[column].group != grid.heads[start].group:
            group = grid.heads[start].group
            if group:
                put(sheet.cell(_GROUPS, start + 1), group)
                if column - start > 1:
                    sheet.merge_cells(
                        start_row=_GROUPS,
                        end_row=_GROUPS,
                        start_column=start + 1,
                        end_column=column,
                    )
            start = column


def _marks(sheet: Any, grid: Grid, last: int) -> None:
    """Red where a bearing lifts and where a check does not hold."""
    from openpyxl.formatting.rule import Rule
    from openpyxl.styles import Font
    from openpyxl.styles.differential import DifferentialStyle
    from openpyxl.utils import get_column_letter

    red = Font(color="B00020", bold=True)
    marks: tuple[tuple[tuple[int, ...], Literal["lessThan", "greaterThan"], str], ...] = (
        (grid.red_below_zero, "lessThan", "0"),
        (grid.red_above_one, "greaterThan", "1.000000001"),
    )
    for columns, operator, limit in marks:
        for column in columns:
            letter = get_column_letter(column + 1)
            style = DifferentialStyle(font=red)
            rule = Rule(type="cellIs", operator=operator, formula=[limit], dxf=style)
            sheet.conditional_formatting.add(f"{letter}{_FIRST}:{letter}{last}", rule)


def _footer(sheet: Any, title: str) -> None:
    # an ampersand begins a code there; the format allows 255 letters in all
    sheet.oddFooter.left.text = _text(title)[:100].replace("&", "&&")
    sheet.oddFooter.center.text = "&A"
    sheet.oddFooter.right.text = "&P / &N"


def put(cell: Any, value: Value) -> None:
    """Set a value; text stays text whatever it begins with."""
    if not isinstance(value, str):
        cell.value = value
        return
    text = _text(value)
    cell.value = text
    if text.startswith(_FORMULA):
        cell.data_type = "s"  # else "=..." would be taken for a formula
        cell.quotePrefix = True  # and stay text when somebody edits the cell


def _text(value: str) -> str:
    text = plain(value)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]} … (cut: too long for a cell)"


# ------------------------------------------------------------------ the same bytes every time
_TIMES = re.compile(rb"<dcterms:(created|modified)\b[^>]*>[^<]*</dcterms:\1>")


def without_times(data: bytes, made: dt.date | None) -> bytes:
    """The archive with a fixed date on every file and no time of making in its properties."""
    result = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as new,
    ):
        for name in old.namelist():
            content = old.read(name)
            if name == "docProps/core.xml":
                content = _TIMES.sub(lambda found: _dated(found.group(1), made), content)
            info = zipfile.ZipInfo(name, _ZIP_DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            new.writestr(info, content)
    return result.getvalue()


def _dated(name: bytes, made: dt.date | None) -> bytes:
    if made is None:
        return b""
    day = made.isoformat().encode()[:10]
    return b'<dcterms:%s xsi:type="dcterms:W3CDTF">%sT00:00:00Z</dcterms:%s>' % (name, day, name)
