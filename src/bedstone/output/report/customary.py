"""US customary units beside SI: kip, in, ft. Converted from the figures shown."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bedstone.output.sheets import Cell, Column, Sheet
from bedstone.output.shown import figure

#: Unit shown and factor from it, by unit of a table or sentence.
_SHOWN: Final = {
    "kN": ("kip", 1.0 / 4.4482216152605),
    "kN m": ("kip ft", 1.0 / 1.3558179483314),
    "mm": ("in", 1.0 / 25.4),
    "m": ("ft", 1.0 / 0.3048),
    "kg": ("lb", 1.0 / 0.45359237),
    "MPa": ("ksi", 1.0 / 6.894757293168361),
    "degC": ("degF", 1.8),
}
#: Unit and factor from SI, by unit of a calculation line.
_CALCULATED: Final = {
    "N": ("kip", 1.0 / 4448.2216152605),
    "N/m": ("kip/in", 0.0254 / 4448.2216152605),
    "N*m": ("kip ft", 1.0 / 1355.8179483314),
    "N/m**2": ("ksi", 1.0 / 6894757.293168361),
    "Pa": ("ksi", 1.0 / 6894757.293168361),
    "m": ("in", 1.0 / 0.0254),
    "m**2": ("in²", 1.0 / 0.0254**2),
    "m**3": ("in³", 1.0 / 0.0254**3),
    "m/s": ("mph", 1.0 / 0.44704),
    "kg": ("lb", 1.0 / 0.45359237),
}
_NUMBER = r"[−-]?\d+(?:\.\d+)?"
_FIGURES = re.compile(_NUMBER)
_MEASURE = re.compile(rf"({_NUMBER}(?:(?: to | x ){_NUMBER})*) (kN m|kN|mm|kg)\b(?!²|³|/| per)")
_BRACKET = re.compile(r"\[([^\]]+)\]$")


def measured(value: float, unit: str) -> str:
    """A quantity of a calculation line in US customary units; empty where it has none of its own.

    Temperatures: degC to degF, differences in K to degF.
    """
    if unit == "degC":
        return f"{value * 1.8 + 32.0:.4g} °F".replace("-", "−")
    if unit == "K":
        return f"{value * 1.8:.4g} °F".replace("-", "−")
    if unit not in _CALCULATED:
        return ""
    name, factor = _CALCULATED[unit]
    return f"{_number(value * factor)} {name}"


def beside(sheet: Sheet) -> Sheet:
    """The sheet with US customary figures below those in SI, where a column or row has a unit."""
    columns = tuple(
        replace(column, unit=f"{column.unit}\n{_SHOWN[column.unit][0]}")
        if column.unit in _SHOWN
        else column
        for column in sheet.columns
    )
    return Sheet(sheet.title, columns, tuple(_row(sheet.columns, row) for row in sheet.rows))


def sentence(told: str) -> str:
    """A sentence with US customary figures in brackets behind those in kN, kN m, mm and kg."""

    def both(match: re.Match[str]) -> str:
        name, factor = _SHOWN[match[2]]
        return f"{match[0]} ({_converted(match[1], factor)} {name})"

    return _MEASURE.sub(both, told)


def _row(columns: tuple[Column, ...], row: tuple[Cell, ...]) -> tuple[Cell, ...]:
    if not row:
        return row
    units = [_BRACKET.search(cell.text) for cell in row]
    own = next((match[1] for match in units if match and match[1] in _SHOWN), "")
    cells = []
    for column, cell in zip(columns, row, strict=True):
        unit = column.unit or own
        if own and _BRACKET.search(cell.text):
            head = _BRACKET.sub(f"[{own}]\n[{_SHOWN[own][0]}]", cell.text)
            cells.append(replace(cell, text=head))
        elif column.holds == "numbers" and unit in _SHOWN and _FIGURES.search(cell.text):
            name, factor = _SHOWN[unit]
            below = (
                _FIGURES.sub(_fahrenheit, cell.text)
                if name == "degF"
                else _converted(cell.text, factor)
            )
            cells.append(replace(cell, text=f"{cell.text}\n{below}"))
        else:
            cells.append(cell)
    return tuple(cells)


def _converted(told: str, factor: float) -> str:
    """All figures of a text times a factor."""
    return _FIGURES.sub(lambda m: _number(float(m[0].replace("−", "-")) * factor), told)


def _fahrenheit(found: re.Match[str]) -> str:
    return figure(float(found[0].replace("−", "-")) * 1.8 + 32.0, 1)


def _number(value: float) -> str:
    """About four figures with a true minus."""
    size = abs(value)
    places = 0 if size >= 1000.0 else 1 if size >= 100.0 else 2 if size >= 1.0 else 3
    return figure(value, places)
