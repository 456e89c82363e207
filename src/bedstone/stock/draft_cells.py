"""Cells of one row of the sheet: text, words and numbers, or one fault each by row and column."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from typing import Final, TypeVar

from bedstone.bridge.units import NUMBER, unit_factor
from bedstone.errors import Fault
from bedstone.site.reading_grids import Cell, Formula
from bedstone.stock.draft_columns import BOUNDS, COLUMNS

__all__ = ["Cells"]

Named = TypeVar("Named")
_BY_NAME: Final = {column.name: column for column in COLUMNS}


class Cells:
    """The cells of one row, by column, and their faults."""

    def __init__(
        self,
        file: str,
        where: str,
        told: Mapping[str, Cell],
        places: Mapping[str, tuple[int, float]],
    ) -> None:
        self.file, self.where = file, where
        self.told, self.places = told, places
        self.faults: list[Fault] = []

    def fault(self, column: str, found: object, allowed: str) -> None:
        """Note a fault of a cell."""
        where = f"{self.where}, {_BY_NAME[column].head}"
        self.faults.append(Fault(self.file, where, _shown(found), allowed))

    def named(self, column: str) -> bool:
        """Whether a fault names the column already."""
        return any(f.where.endswith(f", {_BY_NAME[column].head}") for f in self.faults)

    def cell(self, column: str) -> Cell:
        """What stands in a column; None for an empty cell."""
        value = self.told.get(column)
        return None if value == "" else value

    def text(self, column: str, most: int) -> str:
        """Text on one line, at most `most` letters; "" for an empty cell."""
        value = self.cell(column)
        if value is None:
            return ""
        plain = str(int(value)) if isinstance(value, float) and value.is_integer() else value
        if isinstance(plain, bool) or not isinstance(plain, str | int | float):
            self.fault(column, value, "text")
            return ""
        found = " ".join(str(plain).split())
        if len(found) > most or not found.isprintable():
            self.fault(column, found, f"at most {most} letters on one line")
        return found

    def word(self, column: str, allowed: tuple[Named, ...]) -> Named | None:
        """One of the words allowed; None for an empty cell, or one with a fault."""
        value = self.cell(column)
        if isinstance(value, bool):  # some programs turn yes and no into these
            value = "yes" if value else "no"
        for word in allowed:
            if isinstance(value, str) and value.casefold() == word:
                return word
        if value is not None:
            self.fault(column, value, ", ".join(str(word) for word in allowed))
        return None

    def number(self, column: str) -> float | None:
        """One number in SI; None for an empty cell, or one with a fault."""
        found = self.numbers(column, one=True)
        return None if found is None else found[0]

    def whole(self, column: str) -> int | None:
        """One whole number; None for an empty cell, or one with a fault."""
        found = self.number(column)
        if found is not None and found != int(found):
            self.fault(column, found, "a whole number")
        return None if found is None else int(found)

    def numbers(
        self, column: str, *, one: bool = False, value: object = None
    ) -> tuple[float, ...] | None:
        """Numbers of a cell in SI; None for an empty cell, or one with a fault.

        `value`: a part of the cell in place of the whole.
        """
        value = self.cell(column) if value is None else value
        if value is None:
            return None
        factor = self.places[column][1]
        least, most = BOUNDS[column]
        unit = _BY_NAME[column].unit
        shown = unit_factor(unit)[0] if unit and unit != "degC" else 1.0
        allowed = f"{least / shown:g} to {most / shown:g} {unit}".strip()
        allowed = f"a number, {allowed}" if one else f"numbers by semicolons, {allowed}"
        if isinstance(value, str) and re.search(r"\d,\d", value):
            allowed += ", with a decimal point"
        parts: list[object] = list(value.split(";")) if isinstance(value, str) else [value]
        found = []
        for part in parts:
            number = _number(part)
            if number is None or not least <= number * factor <= most:
                self.fault(column, value, allowed)
                return None
            found.append(number * factor)
        if one and len(found) != 1:
            self.fault(column, value, allowed)
            return None
        return tuple(found)


def _shown(found: object) -> str:
    """What a cell holds, in words that a person who looks at the sheet knows."""
    if found is None:
        return "nothing"
    if isinstance(found, dt.datetime):
        return f"a date, {found:%Y-%m-%d}"
    if isinstance(found, dt.date | dt.time):
        return f"a {'date' if isinstance(found, dt.date) else 'time'}, {found}"
    if isinstance(found, Formula):
        return f"a formula, {found.text}"[:60]
    return repr(found)[:60]


def _number(part: object) -> float | None:
    """A plain number; None for anything else, dates and formulas too."""
    if isinstance(part, bool):
        return None
    if isinstance(part, int | float):
        return float(part) if -1e300 < part < 1e300 else None
    if isinstance(part, str) and re.fullmatch(NUMBER, part.strip(), re.ASCII):
        found = float(part)
        return found if math.isfinite(found) else None
    return None
