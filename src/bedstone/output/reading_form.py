"""The form to take on a visit: every reading to take, as a workbook or as a table of text.

It is read back by `bedstone.site.reading_files`. Nothing in it is a formula; the same bridge gives
the same bytes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.errors import Fault, InputError
from bedstone.output.shown import plain
from bedstone.output.workbook import put, without_times
from bedstone.site.kinematics import roller_offset
from bedstone.site.known_bridge import KnownBridge
from bedstone.site.quantities import SIZE, Quantity, catalogue
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.reading_files import TEMPERATURE_UNITS
from bedstone.site.reading_grids import COLUMNS, FORM, LABELS, READINGS, VISIT, guarded

__all__ = ["CAUTIONS", "Line", "form_lines", "reading_form", "reading_form_csv"]

HOW: Final = "How to read it"
_MEANING, _BEARING, _EXPECTED = "What it is, and what + means", "Bearing", "Expected"
#: Lines left free below the readings asked for.
_FREE = 30

_HINTS: Final = {
    "Form": "leave this as it is",
    "Bridge": "leave this as it is",
    "Taken by": "name of who read the gauges",
    "Date": "such as 2026-05-31; a row of its own date goes before this",
    "Time": "such as 07:30; a row of its own time goes before this",
    "Time zone": "such as Europe/Vienna, or the offset from UTC such as +05:30",
    "Weather": "sky, wind, rain; which side the sun is on",
    "Steel temperature": "mean of three places in the shade; a row of its own goes before this",
    "Air temperature": "in the shade",
    "Temperature unit": "degC or degF, for all temperatures of this form",
    "Steel taken where and with what": "which members, which side; contact thermometer No.",
    "Remark": "what belongs to no reading",
}

#: Cautions printed on the form.
CAUTIONS: Final = (
    "Nothing found on a bearing is worth a fall: go by safe access only, and never alone.",
    "Keep hands out of gaps that can close: under traffic and sun a bearing moves by itself.",
    (
        "Parts cracked or missing, a bearing at its stop or off its seat, a seat that crumbles: "
        "tell the engineer who answers for the bridge at once, before going on."
    ),
    FULL,
)

_DRAWN: Final = """\
                      left,  + y'
              +---------------------------+
  falling     |                           |     rising
  chainage    |    lower plate, seen      |     chainage
              |       from above          |     ---> + x'
              +---------------------------+
                          right

     top plate        |<--- offset +, top plate toward rising chainage
        +-------------+-------------+
        |             .    |        |
        +-------------.----+--------+
    gap  falling  ( roller )    gap  rising     the roller stands at half of the offset
              +------.-------------+
              |      .   lower     |
              +--------------------+
                     |<--- middle of the lower plate

     corners        4 ---------- 3   left        pot          2
                    |            |                         3     1   rising
     falling        1 ---------- 2   rising                   4\
"""


_STEPS: Final = (
    "Fill in the shaded cells. A row without a value was not read; that is no fault.",
    "One row, one reading: a decimal point, the unit beside it; words are chosen from the list.",
    "Offsets and tilts have a sign, gaps never. Sides: seen from above, toward rising chainage.",
    "The temperature is that of the steel, not of the air: in the sun both differ by ten degrees.",
    "Looked at: write yes only where a doubt was raised about a row and the row is right.",
    (
        f"A size of a part may be added in a free row below: quantity {SIZE!r} and the name which "
        "the size has in the bridge file, such as 'size: diameter'."
    ),
)


@dataclass(frozen=True)
class Line:
    """A reading to take. `expected`: in words, "" where it is left out."""

    seat: str
    bearing: str
    quantity: Quantity
    place: str
    expected: str = ""


def form_lines(
    bridge: KnownBridge, seats: tuple[str, ...] = (), expected: float | None = None
) -> Iterator[Line]:
    """The readings to take, support by support.

    `seats`: those alone, all where none is named; `expected`: steel temperature (degC) at which
    what is expected is told beside the readings. Raises `InputError` for a mark that is none.
    """
    marks = [*bridge.seats, *bridge.supports]
    wrong = [mark for mark in seats if mark not in marks]
    if wrong:
        raise InputError(
            [Fault("command line", "--seat", repr(m[:60]), ", ".join(marks)) for m in wrong]
        )
    for support in bridge.supports:
        here = [item for item in bridge.seats.values() if item.support == support]
        for mark in (*(item.seat for item in here), support):
            if seats and mark not in seats:
                continue
            told = f"support {mark}"
            if mark in bridge.seats:
                seat = bridge.seats[mark]
                told = f"{seat.kind or 'bearing'}, {seat.function}"
            for read in bridge.asked(mark):
                name, place = read.quantity.name, read.place
                words = ""
                if expected is not None:
                    words = _in_words(_expected(bridge, mark, name, place, expected), name)
                yield Line(mark, told, read.quantity, place, words)


def _in_words(value: float | None, name: str) -> str:
    sign = "" if name in ("roller gap", "overhang") else "+"
    return "" if value is None else f"{value * 1e3:{sign}.1f} mm"


def _expected(bridge: KnownBridge, mark: str, name: str, place: str, warm: float) -> float | None:
    """What a reading (m) ought to be in service at a temperature; None where nothing is known."""
    setting = None if mark not in bridge.seats else bridge.seats[mark].setting
    if setting is None:
        return None
    if name in ("offset along", "offset across"):
        axis = 0 if name.endswith("along") else 1
        return None if setting.held[axis] else expected_offset(setting, axis, warm)
    if name == "roller offset":
        return roller_offset(expected_offset(setting, 0, warm))
    if name in ("roller gap", "overhang"):
        axis, behind = (0, place == "falling") if place in _ALONG else (1, place == "right")
        ends = [end for end in setting.ends if end.axis == "xy"[axis] and not end.holds]
        wanted = [end for end in ends if end.halved or end.overhang]
        if wanted:
            return wanted[0].readings(expected_offset(setting, axis, warm))[0 if behind else 1]
    return None


_ALONG: Final = ("falling", "rising")


# ------------------------------------------------------------------ text
def reading_form_csv(
    bridge: KnownBridge, seats: tuple[str, ...] = (), expected: float | None = None
) -> bytes:
    """The form as comma-separated text in UTF-8: the visit, then the readings."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    for label in LABELS:
        writer.writerow([label, guarded(_prefilled(label, bridge)), _HINTS[label]])
    writer.writerow([])
    extra = [_MEANING, _BEARING, *([_EXPECTED] if expected is not None else [])]
    writer.writerow([*COLUMNS, *extra])
    for line in form_lines(bridge, seats, expected):
        blank = [""] * (len(COLUMNS) - 5)
        more = [_meaning(line.quantity), line.bearing]
        writer.writerow(
            [guarded(line.seat), line.quantity.name, line.place, "", line.quantity.shown]
            + [*blank, *more]
            + ([line.expected] if expected is not None else [])
        )
    return stream.getvalue().encode()


def _prefilled(label: str, bridge: KnownBridge) -> str:
    # as it is read back: without blanks at its ends
    return {"Form": FORM, "Bridge": plain(bridge.name).strip()}.get(label, "")


def _meaning(quantity: Quantity) -> str:
    return (
        f"{quantity.sign} One of: {', '.join(quantity.words)}."
        if quantity.words
        else (quantity.sign)
    )


# ------------------------------------------------------------------ workbook
def reading_form(
    bridge: KnownBridge, seats: tuple[str, ...] = (), expected: float | None = None
) -> bytes:
    """The form as a workbook with the sheets Visit, Readings and How to read it.

    `seats`: those alone, all where none is named; `expected`: steel temperature (degC) at which the
    offsets by the setting table stand beside the readings (better left out: who knows what is
    expected reads it). Raises `InputError` for a mark that is none.
    """
    from openpyxl import Workbook  # slow to load

    lines = tuple(form_lines(bridge, seats, expected))
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = plain(f"Readings: {bridge.name}")
    book.properties.creator = f"bedstone {__version__}"
    _visit(book.create_sheet(VISIT), bridge)
    _readings(book.create_sheet(READINGS), bridge, lines, expected is not None)
    _how(book.create_sheet(HOW), lines)
    every: list[Any] = list(book.worksheets)
    for sheet in every:
        sheet.oddFooter.left.text = plain(bridge.name)[:100].replace("&", "&&")
        sheet.oddFooter.center.text = "&A"
        sheet.oddFooter.right.text = "&P / &N"
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.paperSize = 9  # A4
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
    stream = io.BytesIO()
    book.save(stream)
    return without_times(stream.getvalue(), None)


def _visit(sheet: Any, bridge: KnownBridge) -> None:
    from openpyxl.styles import Alignment, Font

    for column, width in zip("ABC", (32, 44, 70), strict=True):
        sheet.column_dimensions[column].width = width
    put(sheet.cell(1, 1), f"Readings on bearings: {plain(bridge.name)}")
    sheet.cell(1, 1).font = Font(bold=True, size=14)
    wrap = Alignment(wrap_text=True, vertical="top")
    row = 3
    for label in LABELS:
        put(sheet.cell(row, 1), label)
        put(sheet.cell(row, 2), _prefilled(label, bridge) or None)
        put(sheet.cell(row, 3), _HINTS[label])
        sheet.cell(row, 1).font = Font(bold=True)
        sheet.cell(row, 2).alignment = wrap
        sheet.cell(row, 3).font = Font(italic=True, color="5B6470")
        if label not in ("Form", "Bridge"):
            _to_fill(sheet.cell(row, 2))
        sheet.cell(row, 2).number_format = {"Date": "yyyy-mm-dd", "Time": "hh:mm"}.get(
            label, "0.0" if label.endswith("temperature") else "General"
        )
        if label == "Temperature unit":
            _choice(sheet, TEMPERATURE_UNITS, [f"B{row}"])
        row += 1
    for text in CAUTIONS:
        row += 1
        put(sheet.cell(row, 1), text)
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=3)
        sheet.cell(row, 1).alignment = wrap
        sheet.row_dimensions[row].height = 15 * (1 + len(text) // 130)


def _readings(
    sheet: Any, bridge: KnownBridge, lines: tuple[Line, ...], with_expected: bool
) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
    from openpyxl.utils import get_column_letter

    heads = [*COLUMNS, _MEANING, _BEARING, *([_EXPECTED] if with_expected else [])]
    widths = (9, 22, 11, 14, 9, 12, 9, 12, 16, 30, 10, 90, 26, 22)
    thin = Side(style="thin", color="9AA0A6")
    for column, head in enumerate(heads, start=1):
        cell = sheet.cell(1, column)
        put(cell, head)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="E6E9ED")
        cell.alignment = Alignment(wrap_text=True, vertical="center")
        sheet.column_dimensions[get_column_letter(column)].width = widths[column - 1]
    wrap = Alignment(wrap_text=True, vertical="top")
    words: dict[tuple[str, ...], list[str]] = {}
    units: dict[tuple[str, ...], list[str]] = {}
    numbers: list[str] = []
    last_seat = ""
    for row, line in enumerate(lines, start=2):
        told = {
            "Seat": line.seat, "Quantity": line.quantity.name, "Place": line.place,
            "Unit": line.quantity.shown, _MEANING: _meaning(line.quantity),
            _BEARING: line.bearing, _EXPECTED: line.expected,
        }  # fmt: skip
        for column, head in enumerate(heads, start=1):
            cell = sheet.cell(row, column)
            put(cell, told.get(head) or None)
            if line.seat != last_seat:
                cell.border = Border(top=thin)
        sheet.cell(row, heads.index(_MEANING) + 1).alignment = wrap
        last_seat = line.seat
        if line.quantity.words:
            words.setdefault(line.quantity.words, []).append(f"D{row}")
        else:
            sheet.cell(row, 4).number_format = "0.0##"
            numbers.append(f"D{row}")
            units.setdefault(tuple(line.quantity.units), []).append(f"E{row}")
    last = len(lines) + 1 + _FREE
    for row in range(2, last + 1):
        for head in ("Value", "Date", "Time", "Steel temperature", "Instrument", "Remark"):
            _to_fill(sheet.cell(row, COLUMNS.index(head) + 1))
        sheet.cell(row, COLUMNS.index("Date") + 1).number_format = "yyyy-mm-dd"
        sheet.cell(row, COLUMNS.index("Time") + 1).number_format = "hh:mm"
    for allowed, cells in (*words.items(), *units.items()):
        _choice(sheet, allowed, cells)
    _choice(sheet, ("yes",), [f"K2:K{last}"])
    _choice(sheet, (*bridge.seats, *bridge.supports), [f"A{len(lines) + 2}:A{last}"])
    _number(sheet, numbers)
    sheet.freeze_panes = "D2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(heads))}{len(lines) + 1}"
    sheet.print_title_rows = "1:1"


def _how(sheet: Any, lines: tuple[Line, ...]) -> None:
    from openpyxl.styles import Alignment, Font

    for letter, width in zip("ABCD", (24, 26, 30, 100), strict=True):
        sheet.column_dimensions[letter].width = width
    put(sheet.cell(1, 1), HOW)
    sheet.cell(1, 1).font = Font(bold=True, size=14)
    row = 3
    for text in _STEPS:
        put(sheet.cell(row, 1), text)
        row += 1
    row += 1
    for line in _DRAWN.split("\n"):
        put(sheet.cell(row, 1), line or None)
        sheet.cell(row, 1).font = Font(name="Courier New", size=10)
        row += 1
    row += 1
    for column, head in enumerate(("Quantity", "Places", "Units or words", "Meaning"), start=1):
        put(sheet.cell(row, column), head)
        sheet.cell(row, column).font = Font(bold=True)
    named = {line.quantity.name for line in lines}
    for item in catalogue().values():
        if item.name not in named and item.needs != "once":
            continue
        row += 1
        cells = (item.name, ", ".join(item.places), ", ".join(item.words or item.units), item.sign)
        for column, text in enumerate(cells, start=1):
            put(sheet.cell(row, column), text or None)
            sheet.cell(row, column).alignment = Alignment(wrap_text=True, vertical="top")
    sheet.sheet_view.showGridLines = False


def _to_fill(cell: Any) -> None:
    from openpyxl.styles import PatternFill

    cell.fill = PatternFill("solid", fgColor="FFF8DC")


#: Letters that the file format allows in the list of a drop-down.
_LIST = 255


def _choice(sheet: Any, allowed: tuple[str, ...], cells: list[str]) -> None:
    """Offer words in cells; a list that is too long, or has commas in it, is not offered."""
    from openpyxl.worksheet.datavalidation import DataValidation

    text = ",".join(allowed)
    if len(text) > _LIST or any("," in word or '"' in word for word in allowed) or not cells:
        return
    rule = DataValidation(type="list", formula1=f'"{text}"', allow_blank=True)
    rule.error, rule.errorTitle = f"One of: {text}"[:250], "Not in the list"
    rule.showErrorMessage = True
    for place in cells:
        rule.add(place)
    sheet.add_data_validation(rule)


def _number(sheet: Any, cells: list[str]) -> None:
    """Let only numbers into cells, none of the size that a date has."""
    from openpyxl.worksheet.datavalidation import DataValidation

    if not cells:
        return
    rule = DataValidation(
        type="decimal", operator="between", formula1="-10000", formula2="10000", allow_blank=True
    )
    rule.error, rule.errorTitle = "A number with the unit beside it", "No number"
    rule.showErrorMessage = True
    for place in cells:
        rule.add(place)
    sheet.add_data_validation(rule)
