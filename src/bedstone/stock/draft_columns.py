"""The columns of the sheet from which drafts are made, and what their cells may hold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from bedstone.stock.draft import FAMILIES, TYPES

__all__ = ["BOUNDS", "COLUMNS", "COUNTS", "MOST_SPANS", "SHEET", "Column", "column"]

SHEET: Final = "Bridges"


@dataclass(frozen=True)
class Column:
    """A column: its head, the unit in it, what stands there, and the words allowed ("" none)."""

    name: str
    meaning: str
    unit: str = ""
    words: tuple[str, ...] = ()
    needed: bool = False

    @property
    def listed(self) -> bool:
        """Whether a cell may hold several numbers, by semicolons."""
        return self.name in _LISTS

    @property
    def head(self) -> str:
        """As the form has it, e.g. ``Depth [m]``."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


#: Columns of one number for each span, pier or line of bearings.
_LISTS: Final = (
    "Spans", "Pier heights", "Pad stiffness", "Pad length", "Pad width", "Pad layers", "Pad layer",
    "Pad plate", "Pad cover", "Rollers", "Roller diameter", "Roller length", "Roller spacing",
    "Rocker radius", "Rocker length", "Pot diameter",
)  # fmt: skip

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
           "fixed, guided across. elastic: on pads whose stiffness or sizes are told, once for "
           "all lines if they are alike"),
    Column("Kinds", "of bearings: one for all, or one for each line by semicolons, ? not known"),
    Column("Travel", "movement to the stops, each way, of bearings that move", "mm"),
    Column("Pad stiffness", "of one elastomeric bearing in shear, each way", "kN/mm"),
    Column("Pad length", "of an elastomeric bearing, along the bridge", "mm"),
    Column("Pad width", "of it, across", "mm"),
    Column("Pad layers", "number of its inner layers"),
    Column("Pad layer", "thickness of an inner layer", "mm"),
    Column("Pad plate", "thickness of its reinforcing plates", "mm"),
    Column("Pad cover", "elastomer above the top and below the bottom plate", "mm"),
    Column("Rollers", "number of rollers of a nest"),
    Column("Roller diameter", "of a roller", "mm"),
    Column("Roller length", "of a roller", "mm"),
    Column("Roller spacing", "between the axes of rollers of a nest", "mm"),
    Column("Rocker radius", "of its curved face", "mm"),
    Column("Rocker length", "of a line rocker", "mm"),
    Column("Pot diameter", "of the pad in a pot", "mm"),
    Column("Sizes", "more sizes by their names in a bridge file, by commas; one set for all lines, "
           "or one each by semicolons: pot.wall 30 mm, pot.bottom 30 mm"),
    Column("Air min", "coldest shade air", "degC"),
    Column("Air max", "warmest shade air", "degC"),
    Column("Setting", "temperature of the structure when the bearings were set", "degC"),
)  # fmt: skip
_BY_NAME: Final = {column.name: column for column in COLUMNS}
MOST_SPANS = 40
#: Plausible bounds in SI (common practice, no source): outside them the unit is a slip.
BOUNDS: Final[Mapping[str, tuple[float, float]]] = {
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
    "Pad stiffness": (1e5, 1e8),
    "Pad length": (0.05, 2.0),
    "Pad width": (0.05, 2.0),
    "Pad layers": (1.0, 50.0),
    "Pad layer": (0.002, 0.05),
    "Pad plate": (0.001, 0.02),
    "Pad cover": (0.0, 0.02),
    "Rollers": (1.0, 12.0),
    "Roller diameter": (0.02, 1.0),
    "Roller length": (0.05, 3.0),
    "Roller spacing": (0.02, 1.5),
    "Rocker radius": (0.02, 20.0),
    "Rocker length": (0.05, 3.0),
    "Pot diameter": (0.1, 3.0),
}
COUNTS: Final = ("Pad layers", "Rollers")


def column(name: str) -> Column | None:
    """The column of a name, or None."""
    return _BY_NAME.get(name)
