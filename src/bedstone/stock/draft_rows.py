"""The sheet from which drafts are made: a row a bridge. What a cell may hold, and what it means.

The sheet is opened as what anybody may have sent (see `bedstone.site.reading_grids`). A cell that
cannot be is one fault by row and column; an empty one is not known, and assumed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bedstone.bridge.units import UnitError, unit_factor
from bedstone.errors import Fault, InputError
from bedstone.site.reading_grids import Cell, read_table
from bedstone.stock.draft import FAMILIES, TYPES, Outline
from bedstone.stock.draft_bearings import BearingCells
from bedstone.stock.draft_columns import COLUMNS, MOST_SPANS, SHEET, Column, column

__all__ = ["COLUMNS", "SHEET", "Column", "Row", "RowReader", "read_rows"]


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
    needed = [known.head for known in COLUMNS if known.needed and not known.unit]
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
        reader = RowReader(path.name, f"{grid.name} {number}", told, places)
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
        known = column(match[1]) if match else None
        where = f"head, column {place + 1}"
        if known is None or match is None:
            faults.append(Fault(file, where, repr(head)[:60], ", ".join(c.head for c in COLUMNS)))
        elif known.name in found:
            faults.append(Fault(file, where, repr(head)[:60], "it once"))
        else:
            factor = _factor(known, match[2] or "")
            if factor is None:
                faults.append(Fault(file, f"head, {known.name}", repr(head)[:60], known.head))
            found[known.name] = (place, factor or 1.0)
    faults += [
        Fault(file, "head", f"no column {known.name}", known.head)
        for known in COLUMNS
        if known.needed and known.name not in found
    ]
    if faults:
        raise InputError(faults)
    return found


def _factor(known: Column, unit: str) -> float | None:
    """Factor from the unit of a head to SI; None for one that does not fit."""
    if not known.unit or known.unit == "degC":
        return 1.0 if unit == known.unit else None
    try:
        factor, dimension = unit_factor(unit)
        return factor if dimension == unit_factor(known.unit)[1] else None
    except UnitError:
        return None


class RowReader(BearingCells):
    """The cells of one row, by column, and their faults."""

    def outline(self) -> Outline | None:
        """The outline, or None where anything in the row cannot be."""
        name = self.text("Name", 160)
        if not name:
            self.fault("Name", self.told.get("Name"), "a name")
        of_type = self.word("Type", TYPES)
        if of_type is None and not self.named("Type"):
            self.fault("Type", None, ", ".join(TYPES))
        spans = self.numbers("Spans")
        if spans is None and not self.named("Spans"):
            self.fault("Spans", None, "lengths such as 30; 40; 30")
        if spans is not None and len(spans) > MOST_SPANS:
            self.fault("Spans", f"{len(spans)} spans", f"at most {MOST_SPANS}")
        radius = self.number("Radius")
        turn = self.word("Turn", ("left", "right"))
        if turn is not None and radius is None and not self.named("Radius"):
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

    def air(self) -> tuple[float, float] | None:
        """Coldest and warmest air (degC), or None; both are told, or neither."""
        cold, warm = self.number("Air min"), self.number("Air max")
        if (cold is None) != (warm is None):
            missing = "Air min" if cold is None else "Air max"
            if not self.named(missing):
                self.fault(missing, None, "both temperatures of the air, or neither")
        if cold is None or warm is None:
            return None
        if cold >= warm:
            self.fault("Air max", warm, f"more than the coldest, {cold:g} degC")
        return cold, warm
