"""The sheet from which drafts are made: a row a bridge. What a cell may hold, and what it means.

The sheet is opened as what anybody may have sent (see `bedstone.site.reading_grids`). A cell that
cannot be is one fault by row and column; an empty one is not known, and assumed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeVar, get_args

from bedstone.bridge.schema import Function
from bedstone.bridge.units import NUMBER, UnitError, unit_factor
from bedstone.errors import Fault, InputError
from bedstone.site.reading_grids import Cell, read_table
from bedstone.stock.draft import FAMILIES, KINDS, TYPES, Line, Outline, fixed_line, moving_line

__all__ = ["COLUMNS", "SHEET", "Column", "Row", "read_rows"]

SHEET: Final = "Bridges"
Named = TypeVar("Named")


@dataclass(frozen=True)
class Column:
    """A column: its head, the unit in it, what stands there, and the words allowed ("" none)."""

    name: str
    meaning: str
    unit: str = ""
    words: tuple[str, ...] = ()
    needed: bool = False

    @property
    def head(self) -> str:
        """As the form has it, e.g. ``Depth [m]``."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


COLUMNS: Final = (
    Column("Name", "what the bridge is called; its file is named after it", needed=True),
    Column("Reference", "number in the register"),
    Column("Carries", "the road or the line it carries, in words"),
    Column("Use", "road where empty", words=("road", "rail")),
    Column("Family", "of standards; eurocode where empty", words=FAMILIES),
    Column("Type", "kind of superstructure", words=TYPES, needed=True),
    Column("Spans", "lengths between bearings by chainage, by semicolons: 30; 40; 30", "m",
           needed=True),
    Column("Continuous", "one piece over all spans; no where empty", words=("yes", "no")),
    Column("Girders", "number of girders; of a truss empty"),
    Column("Spacing", "between girders, or between truss planes", "m"),
    Column("Carriageway", "width between kerbs, in the middle of the deck", "m"),
    Column("Depth", "of the girder below the slab; height of a truss", "m"),
    Column("Slab", "thickness", "m"),
    Column("Skew", "of the supports from the square, + anticlockwise from above", "deg"),
    Column("Radius", "in plan; empty where straight", "m"),
    Column("Turn", "with rising chainage; left where empty", words=("left", "right")),
    Column("Year", "when it was built"),
    Column("Pier heights", "of the piers by chainage, by semicolons", "m"),
    Column("Functions", "of the lines of bearings by chainage, by semicolons; a pier below simple "
           "spans has two. A line: fixed, moving, or the functions from right to left by commas: "
           "fixed, guided across"),
    Column("Kinds", "of bearings: one for all, or one for each line by semicolons, ? not known"),
    Column("Travel", "movement to the stops, each way, of bearings that move", "mm"),
    Column("Air min", "coldest shade air", "degC"),
    Column("Air max", "warmest shade air", "degC"),
    Column("Setting", "temperature of the structure when the bearings were set", "degC"),
)  # fmt: skip
_BY_NAME: Final = {column.name: column for column in COLUMNS}
_MOST_SPANS = 40
#: Plausible bounds in SI (common practice, no source): outside them the unit is a slip.
_BOUNDS: Final[Mapping[str, tuple[float, float]]] = {
    "Spans": (2.0, 300.0),
    "Spacing": (0.5, 20.0),
    "Carriageway": (2.0, 40.0),
    "Depth": (0.2, 40.0),
    "Slab": (0.08, 1.0),
    "Skew": (math.radians(-70.0), math.radians(70.0)),
    "Radius": (20.0, 20_000.0),
    "Pier heights": (0.5, 200.0),
    "Travel": (0.0, 2.0),
    "Air min": (-60.0, 40.0),
    "Air max": (-20.0, 60.0),
    "Setting": (-30.0, 50.0),
    "Girders": (2.0, 20.0),
    "Year": (1700.0, 2200.0),
}


@dataclass(frozen=True)
class Row:
    """A bridge of the sheet: the row as a person sees it, and its outline."""

    where: str
    outline: Outline


def read_rows(path: Path) -> tuple[tuple[Row, ...], tuple[Fault, ...]]:
    """The bridges of a sheet (xlsx, or csv), and a fault for each cell that cannot be.

    A row with a fault is no bridge; the others stand. Raises `InputError` for a file that cannot be
    read, or whose head is faulty: nothing is read then.
    """
    needed = [column.head for column in COLUMNS if column.needed and not column.unit]
    grid = read_table(path, SHEET, needed)
    numbers = sorted(grid.rows)
    places = _places(path.name, grid.rows[numbers[0]])
    rows: list[Row] = []
    faults: list[Fault] = []
    taken: dict[str, int] = {}
    for number in numbers[1:]:
        cells = grid.rows[number]
        told = {name: _at(cells, place) for name, (place, _) in places.items()}
        if all(value in (None, "") for value in told.values()):
            continue
        reader = _Reader(path.name, f"{grid.name} {number}", told, places)
        outline = reader.outline()
        if outline is not None:
            own = outline.name.casefold()
            if own in taken:
                reader.fault("Name", outline.name, f"another name: row {taken[own]} has it")
            taken.setdefault(own, number)
        faults += reader.faults
        if outline is not None and not reader.faults:
            rows.append(Row(f"{grid.name} {number}", outline))
    if not rows and not faults:
        faults.append(Fault(path.name, SHEET, "no bridge", "at least one row below the head"))
    return tuple(rows), tuple(faults)


def _at(cells: tuple[Cell, ...], place: int) -> Cell:
    return cells[place] if place < len(cells) else None


def _places(file: str, heads: tuple[Cell, ...]) -> dict[str, tuple[int, float]]:
    """Place and factor to SI of every column that the head has."""
    found: dict[str, tuple[int, float]] = {}
    faults: list[Fault] = []
    for place, head in enumerate(heads):
        if head in (None, ""):
            continue
        match = re.fullmatch(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?", str(head))
        column = _BY_NAME.get(match[1]) if match else None
        if column is None or match is None:
            allowed = ", ".join(known.head for known in COLUMNS)
            faults.append(Fault(file, f"head, column {place + 1}", repr(head)[:60], allowed))
        elif column.name in found:
            faults.append(Fault(file, f"head, column {place + 1}", repr(head)[:60], "it once"))
        else:
            factor = _factor(column, match[2] or "")
            if factor is None:
                faults.append(Fault(file, f"head, {column.name}", repr(head)[:60], column.head))
            found[column.name] = (place, factor or 1.0)
    faults += [
        Fault(file, "head", f"no column {column.name}", column.head)
        for column in COLUMNS
        if column.needed and column.name not in found
    ]
    if faults:
        raise InputError(faults)
    return found


def _factor(column: Column, unit: str) -> float | None:
    """Factor from the unit of a head to SI; None for one that does not fit."""
    if not column.unit or column.unit == "degC":
        return 1.0 if unit == column.unit else None
    try:
        factor, dimension = unit_factor(unit)
        return factor if dimension == unit_factor(column.unit)[1] else None
    except UnitError:
        return None


class _Reader:
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
        shown = repr(found)
        where = f"{self.where}, {_BY_NAME[column].head}"
        self.faults.append(Fault(self.file, where, shown[:60], allowed))

    def outline(self) -> Outline | None:
        """The outline, or None where anything in the row cannot be."""
        name = self.text("Name", 160)
        if not name:
            self.fault("Name", self.told.get("Name"), "a name")
        of_type = self.word("Type", TYPES)
        if of_type is None and not self._named("Type"):
            self.fault("Type", None, ", ".join(TYPES))
        spans = self.numbers("Spans")
        if spans is None and not self._named("Spans"):
            self.fault("Spans", None, "lengths such as 30; 40; 30")
        if spans is not None and len(spans) > _MOST_SPANS:
            self.fault("Spans", f"{len(spans)} spans", f"at most {_MOST_SPANS}")
        radius = self.number("Radius")
        turn = self.word("Turn", ("left", "right"))
        if turn is not None and radius is None and not self._named("Radius"):
            self.fault("Turn", turn, "a radius too, or nothing")
        continuous = self.word("Continuous", ("yes", "no"))
        heights = self.numbers("Pier heights")
        given: dict[str, Any] = {
            "reference": self.text("Reference", 60),
            "carried": self.text("Carries", 160),
            "use": self.word("Use", ("road", "rail")) or "road",
            "family": self.word("Family", FAMILIES) or "eurocode",
            "year": self.whole("Year"),
            "continuous": None if continuous is None else continuous == "yes",
            "girders": self.whole("Girders"),
            "spacing": self.number("Spacing"),
            "width": self.number("Carriageway"),
            "depth": self.number("Depth"),
            "slab": self.number("Slab"),
            "skew": self.number("Skew") or 0.0,
            "radius": None if radius is None else radius * (-1.0 if turn == "right" else 1.0),
            "heights": heights,
            "travel": self.number("Travel"),
            "air": self.air(),
            "setting": self.number("Setting"),
        }
        if self.faults or of_type is None or spans is None:
            return None
        made = Outline(name=name, type=of_type, spans=spans, **given)
        self._fits(made)
        lines = self.lines(made)
        return None if self.faults else Outline(**{**made.__dict__, "lines": lines})

    def _fits(self, made: Outline) -> None:
        """Faults of cells that ask something of each other."""
        piers = len(made.spans) - 1
        if made.heights is not None and len(made.heights) != piers:
            self.fault("Pier heights", f"{len(made.heights)} heights", f"{piers}, one a pier")
        if made.truss and made.girders is not None:
            self.fault("Girders", made.girders, "nothing: a truss has two planes")
        if made.truss and made.radius is not None:
            self.fault("Radius", made.radius, "nothing: a truss is drafted straight")

    def _named(self, column: str) -> bool:
        """Whether a fault names the column already."""
        return any(f.where.endswith(f", {_BY_NAME[column].head}") for f in self.faults)

    # -------------------------------------------------------------- cells
    def cell(self, column: str) -> Cell:
        value = self.told.get(column)
        return None if value == "" else value

    def text(self, column: str, most: int) -> str:
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
        found = self.numbers(column, one=True)
        return None if found is None else found[0]

    def whole(self, column: str) -> int | None:
        found = self.number(column)
        if found is not None and found != int(found):
            self.fault(column, found, "a whole number")
        return None if found is None else int(found)

    def numbers(self, column: str, *, one: bool = False) -> tuple[float, ...] | None:
        """Numbers of a cell in SI; None for an empty cell, or one with a fault."""
        value = self.cell(column)
        if value is None:
            return None
        factor = self.places[column][1]
        least, most = _BOUNDS[column]
        unit = _BY_NAME[column].unit
        shown = unit_factor(unit)[0] if unit and unit != "degC" else 1.0
        allowed = f"{least / shown:g} to {most / shown:g} {unit}".strip()
        allowed = f"a number, {allowed}" if one else f"numbers by semicolons, {allowed}"
        parts: list[object] = [value]
        if isinstance(value, str):
            parts = list(value.split(";"))
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

    def air(self) -> tuple[float, float] | None:
        cold, warm = self.number("Air min"), self.number("Air max")
        if (cold is None) != (warm is None):
            missing = "Air min" if cold is None else "Air max"
            if not self._named(missing):
                self.fault(missing, None, "both temperatures of the air, or neither")
        if cold is None or warm is None:
            return None
        if cold >= warm:
            self.fault("Air max", warm, f"more than the coldest, {cold:g} degC")
        return cold, warm

    # -------------------------------------------------------------- bearings
    def lines(self, made: Outline) -> tuple[Line, ...] | None:
        """The lines of bearings; None where the functions are not told (kinds are then none)."""
        functions, kinds = self.text("Functions", 400), self.text("Kinds", 400)
        if not functions:
            if kinds:
                self.fault("Kinds", kinds, "functions too: a kind follows from its function")
            return None
        told = [part.strip().casefold() for part in functions.split(";")]
        if len(told) != made.line_count:
            allowed = f"{made.line_count}, one for each line of bearings"
            self.fault("Functions", f"{len(told)} lines", allowed)
            return None
        count = 2 if made.truss else made.girders
        if count is None:
            self.fault("Girders", None, "their number, as the functions are told")
            return None
        of_kinds = self._kinds(kinds, len(told))
        return tuple(
            Line(self._line(part, count), kind) for part, kind in zip(told, of_kinds, strict=True)
        )

    def _line(self, told: str, count: int) -> tuple[Function, ...]:
        short: Mapping[str, Callable[[int], Line]] = {"fixed": fixed_line, "moving": moving_line}
        if told in short:
            return short[told](count).functions
        allowed = [word for word in get_args(Function) if word != "elastic"]
        found = [word.strip() for word in told.split(",")]
        wrong = [word for word in found if word not in allowed]
        for word in wrong:
            self.fault("Functions", word, f"moving, {', '.join(allowed)}")
        if len(found) != count and not wrong:
            self.fault("Functions", told, f"{count} functions, right to left, or fixed or moving")
        known: tuple[Function, ...] = get_args(Function)
        return tuple(word for one in found for word in known if word == one)

    def _kinds(self, told: str, count: int) -> list[Any]:
        parts = [part.strip().casefold() for part in told.split(";")] if told else ["?"]
        if len(parts) == 1:
            parts *= count
        if len(parts) != count:
            self.fault("Kinds", f"{len(parts)} kinds", f"one, or {count}, one for each line")
            return [None] * count
        for part in parts:
            if part not in (*KINDS, "?", ""):
                self.fault("Kinds", part, f"?, {', '.join(KINDS)}")
        return [part if part in KINDS else None for part in parts]


def _number(part: object) -> float | None:
    """A plain number; None for anything else, dates and formulas too."""
    if isinstance(part, bool):
        return None
    if isinstance(part, int | float):
        return float(part) if math.isfinite(part) else None
    if isinstance(part, str) and re.fullmatch(NUMBER, part.strip(), re.ASCII):
        found = float(part)
        return found if math.isfinite(found) else None
    return None
