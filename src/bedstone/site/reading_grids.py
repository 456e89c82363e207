"""A filled-in form as cells: opened as what anybody may have sent, within stated bounds.

A workbook is an archive of XML files. Its size, what it unpacks to, its parts and its rows are
bounded before anything is read; macros and declared entities are refused, formulas are not run and
links are not followed.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import zipfile
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from bedstone.errors import Fault, InputError
from bedstone.files import read_text

__all__ = [
    "COLUMNS", "FORM", "LABELS", "LONGEST", "READINGS", "VISIT", "Cell", "Formula", "Grid",
    "guarded", "read_grids", "read_table",
]  # fmt: skip

#: Names of the sheets, and what a form says of itself.
VISIT: Final = "Visit"
READINGS: Final = "Readings"
FORM: Final = "bedstone readings 1"

#: Labels of the sheet Visit, in order.
LABELS: Final = (
    "Form",
    "Bridge",
    "Taken by",
    "Date",
    "Time",
    "Time zone",
    "Weather",
    "Steel temperature",
    "Air temperature",
    "Temperature unit",
    "Steel taken where and with what",
    "Remark",
)
#: Columns of the sheet Readings that are read back, in order.
COLUMNS: Final = (
    "Seat",
    "Quantity",
    "Place",
    "Value",
    "Unit",
    "Date",
    "Time",
    "Steel temperature",
    "Instrument",
    "Remark",
    "Looked at",
)

#: Bounds of a file that is read: bytes, bytes unpacked, parts, rows and columns of a sheet.
LARGEST, UNPACKED, PARTS, ROWS, WIDEST = 5_000_000, 60_000_000, 300, 5_000, 40
_HEAD: Final = ("Seat", "Quantity", "Value")  # columns by which the head of a form is known
LONGEST = 400  # letters of a cell; of a longer text one more is kept, so that it can be told


#: What a spreadsheet takes for the beginning of a formula.
_FORMULA: Final = ("=", "+", "-", "@")


@dataclass(frozen=True)
class Formula:
    """A cell that holds a formula: what it would give is not known, for it is not run."""

    text: str


Cell = str | float | int | bool | dt.datetime | dt.date | dt.time | dt.timedelta | Formula | None


@dataclass(frozen=True)
class Grid:
    """Rows of a sheet that hold anything, by their number as a person sees it. `name`: of it."""

    name: str
    rows: Mapping[int, tuple[Cell, ...]]

    def where(self, row: int, column: str) -> str:
        """A cell in words."""
        return f"{self.name} {row}, {column}"


def read_grids(path: Path) -> tuple[Grid, Grid]:
    """The sheets Visit and Readings of a form (xlsx or csv).

    Raises `InputError` for a file that cannot be read, is too large, is of another kind, has macros
    or lacks a sheet.
    """
    if path.suffix.lower() == ".csv":
        return _of_csv(path)
    if path.suffix.lower() == ".xlsx":
        return _of_workbook(path)
    raise InputError([Fault(path.name, "file", repr(path.suffix), "a form as .xlsx or .csv")])


def read_table(path: Path, sheet: str, needed: Collection[str]) -> Grid:
    """One table (a sheet of an xlsx, or a csv) whose head has the columns `needed`.

    Rows above the head are left out. Raises `InputError` as `read_grids` does.
    """
    if path.suffix.lower() == ".csv":
        rows, name = _lines(read_text(path, LARGEST), path.name, needed), "line"
    elif path.suffix.lower() == ".xlsx":
        (found,) = _sheets(path, (sheet,), "a table with this sheet")
        rows, name = dict(found.rows), found.name
    else:
        raise InputError([Fault(path.name, "file", repr(path.suffix), "a table as .xlsx or .csv")])
    head = next((row for row, cells in rows.items() if _is_head(cells, needed)), None)
    if head is None:
        allowed = f"a head with the columns {', '.join(needed)}"
        raise InputError([Fault(path.name, "file", "no such head", allowed)])
    return Grid(name, {row: cells for row, cells in rows.items() if row >= head})


# ------------------------------------------------------------------ csv
def _of_csv(path: Path) -> tuple[Grid, Grid]:
    text = read_text(path, LARGEST)
    rows = _lines(text, path.name)
    head = next((line for line, cells in rows.items() if _is_head(cells)), None)
    if head is None:
        allowed = f"a line with the columns {', '.join(COLUMNS)}"
        raise InputError([Fault(path.name, "file", "no such line", allowed)])
    before = {line: cells for line, cells in rows.items() if line < head}
    after = {line: cells for line, cells in rows.items() if line >= head}
    return Grid("line", before), Grid("line", after)


def _lines(text: str, file: str, needed: Collection[str] = _HEAD) -> dict[int, tuple[Cell, ...]]:
    """Lines with anything in them, by the delimiter that gives the head its columns."""
    for delimiter in (",", ";", "\t"):
        rows: dict[int, tuple[Cell, ...]] = {}
        # lines split here alone, so that what stands in a cell cannot change their count
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        try:
            for cells in reader:
                if len(rows) > ROWS:
                    raise InputError([Fault(file, "file", f"over {ROWS} lines", f"{ROWS} at most")])
                found = tuple(_cut(_unguarded(cell.strip())) for cell in cells[:WIDEST])
                if any(found):
                    rows[reader.line_num] = found
        except csv.Error as error:
            where = f"line {reader.line_num}"
            raise InputError([Fault(file, where, str(error), "a table of text")]) from error
        if any(_is_head(cells, needed) for cells in rows.values()):
            return rows
    return {}


def guarded(text: str) -> str:
    """A text of a csv form behind an apostrophe where a spreadsheet would take it for a formula."""
    return f"'{text}" if text.startswith((*_FORMULA, "'")) else text


def _unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    return text[1:] if text.startswith(tuple(f"'{first}" for first in (*_FORMULA, "'"))) else text


def _is_head(cells: tuple[Cell, ...], needed: Collection[str] = _HEAD) -> bool:
    return set(needed) <= {cell for cell in cells if isinstance(cell, str)}


# ------------------------------------------------------------------ workbook
def _of_workbook(path: Path) -> tuple[Grid, Grid]:
    visit, readings = _sheets(path, (VISIT, READINGS), "a form of readings")
    return visit, readings


def _sheets(path: Path, names: tuple[str, ...], what: str) -> tuple[Grid, ...]:
    """Sheets of a workbook by name."""
    data = _bytes(path)
    _bounded(data, path.name)
    from openpyxl import load_workbook  # slow to load

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False, rich_text=False)
        missing = [name for name in names if name not in book.sheetnames]
        if missing:
            raise InputError(
                [Fault(path.name, "file", f"no sheet {name!r}", what)
                 for name in missing]
            )  # fmt: skip
        return tuple(_sheet(book[name], name, path.name) for name in names)
    except InputError:
        raise
    except Exception as error:  # the library fails in many ways on a broken file
        found = f"{type(error).__name__}: {str(error)[:80]}"
        raise InputError([Fault(path.name, "file", found, "a workbook (.xlsx)")]) from error


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            found = "no such file" if not path.exists() else "no regular file"
            raise InputError([Fault(path.name, "file", found, "a form as .xlsx or .csv")])
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([Fault(path.name, "file", reason, "a file that can be read")]) from error
    if len(data) > LARGEST:
        found = f"over {LARGEST / 1e6:g} MB"
        raise InputError([Fault(path.name, "file", found, f"at most {LARGEST / 1e6:g} MB")])
    return data


def _bounded(data: bytes, file: str) -> None:
    """Refuse an archive that unpacks to too much, has macros, or declares entities in its XML."""

    def refuse(found: str, allowed: str) -> InputError:
        return InputError([Fault(file, "file", found, allowed)])

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            # a part is never read beyond the size told here, so the sum is a bound
            size = sum(part.file_size for part in parts)
            if len(parts) > PARTS:
                raise refuse(f"{len(parts)} parts", f"at most {PARTS}")
            if size > UNPACKED:
                raise refuse(f"{size / 1e6:.0f} MB unpacked", f"at most {UNPACKED / 1e6:g} MB")
            for part in parts:
                name = part.filename.lower()
                if name.endswith(".bin") and "vba" in name:
                    raise refuse("macros", "a workbook without macros (.xlsx)")
                content = archive.read(part)
                if name.endswith((".xml", ".rels")) and _declares(content):
                    raise refuse(f"entities declared in {part.filename[:60]}", "plain XML")
                if b"macroEnabled" in content[:100_000]:
                    raise refuse("macros", "a workbook without macros (.xlsx)")
    except InputError:
        raise
    except Exception as error:  # a broken archive fails in many ways
        found = str(error)[:80] or type(error).__name__
        raise refuse(found, "a workbook (.xlsx)") from error


def _declares(content: bytes) -> bool:
    """Whether XML declares a document type, in any encoding that its readers take."""
    return any("<!DOCTYPE".encode(code) in content for code in ("ascii", "utf-16le", "utf-16be"))


def _sheet(sheet: Any, name: str, file: str) -> Grid:
    rows: dict[int, tuple[Cell, ...]] = {}
    for number, cells in enumerate(sheet.iter_rows(max_col=WIDEST), start=1):
        if number > ROWS:
            allowed = f"at most {ROWS}; delete empty rows at the end"
            raise InputError([Fault(file, name, f"over {ROWS} rows", allowed)])
        found = tuple(_cell(cell) for cell in cells)
        if any(value is not None and value != "" for value in found):
            rows[number] = found
    return Grid(f"{name} row", rows)


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return None
    kind = getattr(cell, "data_type", "n")
    if kind == "f":
        return Formula(_cut(str(getattr(value, "text", value))))
    if isinstance(value, str):
        return _cut(value.strip())
    if isinstance(value, bool | int | float | dt.datetime | dt.date | dt.time | dt.timedelta):
        return value
    return _cut(str(value))


def _cut(text: str) -> str:
    return text[: LONGEST + 1]
