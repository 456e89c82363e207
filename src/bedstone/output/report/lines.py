"""Calculation lines set as a checker reads them: reference, calculation, result."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import Final

from bedstone.output.report import customary
from bedstone.output.report.formulas import is_typeset, typeset
from bedstone.output.report.markup import MARGINS, PAPERS, Block, Paper, listed, quoted, text
from bedstone.output.shown import measured, plain
from bedstone.standards.record import Line, Quantity

#: Columns of the reference and of the result (in SI, with US customary besides), inset, mm.
_REFERENCE, _RESULT, _RESULT_US, _INSET = 31.0, 37.0, 47.0, 3.0
_POWERS: Final = str.maketrans("234", "²³⁴")
_UNIT_POWER = re.compile(r"\b(mm|m|s)([234])\b")
_LONG = re.compile(r"(?<![\d.])\d{5,}")  # never the decimals

#: What stands for the standard where a line rests on none.
_OWN: Final = ("geometry", "mechanics")
#: What the marks of provenance mean.
MARKS: Final = (
    "Below each reference stands how the numbers of the clause are known. print: read in the "
    "standard itself; secondary: read in a publication about it; confirmed: given or confirmed by "
    "the engineer in the bridge file; confirm: recalled from memory, to be confirmed against the "
    "printed clause before use; derived: own geometry or mechanics, no clause. Where several "
    "numbers are used the weakest counts."
)


def calculations(groups: Iterable[tuple[str, Sequence[Line]]], paper: Paper, us: bool) -> Block:
    """Lines by part (its name, or "") in three columns; `us`: US customary figures besides."""
    result = _RESULT_US if us else _RESULT
    room = PAPERS[paper][0] - MARGINS - _REFERENCE - result - _INSET
    told = [
        f"(part: {text(plain(part))}, lines: {listed(_line(line, us) for line in lines)})"
        for part, lines in groups
        if lines
    ]
    return Block(f"#calculations({room:g}mm, {result:g}mm, {listed(told)})", False)


def by_part(lines: Sequence[Line], order: Sequence[str] = ()) -> list[tuple[str, list[Line]]]:
    """Lines grouped by their part: parts in a given order first, then as they come.

    A detail ("guide rib: weld") goes with the others of its name; in a group lines keep their
    order, the worst first.
    """
    groups: dict[str, list[Line]] = {}
    for line in lines:
        groups.setdefault(line.part, []).append(line)
    place = {name: number for number, name in enumerate(order)}
    last = len(place)
    return sorted(groups.items(), key=lambda item: place.get(item[0], last))


def used(line: Line) -> str:
    """The utilisation to a hundredth, never rounded across 1; empty where nothing is checked."""
    use = line.utilisation
    if use is None:
        return ""
    if not math.isfinite(use):
        return "beyond all measure"
    hundredths = math.floor(use * 100.0 + 1e-9) if use <= 1.0 else math.ceil(use * 100.0)
    return f"{hundredths / 100.0:.2f}"


def quantity(found: Quantity, us: bool = False) -> str:
    """A number with its unit, spaced in thousands from five digits on."""
    told = _spaced(measured(found.value, found.unit))
    # a moment for each metre of plate is N m/m, which is N
    per_width = found.unit == "N" and found.symbol.startswith("m_")
    if per_width:
        told += " m/m"
    told = _UNIT_POWER.sub(lambda m: m[1] + m[2].translate(_POWERS), told).replace("degC", "°C")
    other = customary.measured(found.value, found.unit) if us and math.isfinite(found.value) else ""
    if other and per_width:
        other += " ft/ft"
    return f"{told} ({_spaced(other)})" if other else told


def _line(line: Line, us: bool) -> str:
    over = line.utilisation is not None and line.utilisation > 1.0 + 1e-9
    edition = f" ({line.edition})" if line.edition else ""
    parts = {
        "clause": text(plain(f"{line.standard}{edition}, {line.clause}")),
        "basis": quoted("derived" if line.standard in _OWN else line.basis),
        "title": text(plain(line.title)),
        "formula": listed(f"${part}$" for part in typeset(plain(line.formula)))
        if line.formula.strip()
        else "()",
        "inputs": listed(_equals(each, us) for each in line.inputs),
        "case": text(plain(line.case)),
        "note": text(plain(line.note)),
        "result": _equals(line.result, us),
        "limit": _equals(line.limit, us) if line.limit is not None else "none",
        "used": quoted(used(line)),
        "over": "true" if over else "false",
    }
    return "(" + ", ".join(f"{name}: {value}" for name, value in parts.items()) + ")"


def _equals(found: Quantity, us: bool) -> str:
    """Symbol and value; a symbol that is a word, or several, is text."""
    symbol = plain(found.symbol)
    told = f"${' thick '.join(typeset(symbol))}$" if is_typeset(symbol) else text(symbol)
    return f"({told}, {quoted(quantity(found, us))})"


def _spaced(told: str) -> str:
    """Thin blanks between thousands, which a line does not break at."""
    return _LONG.sub(lambda match: f"{int(match[0]):,}".replace(",", "\u202f"), told)
