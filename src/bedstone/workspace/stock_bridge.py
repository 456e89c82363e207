"""What was worked out of one bridge of a stock: its rows in the store, as tables with units."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, Final

from nicegui import ui

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError
from bedstone.output.sheets import Cell, Column, Sheet
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, figure
from bedstone.workspace import parts
from bedstone.workspace.folder import Served, bridge_address
from bedstone.workspace.pages.asking import table
from bedstone.workspace.stock_read import Row, tables_of
from bedstone.workspace.visible import faults, visible

#: Unit in a column's name -> unit shown, factor and decimals.
_UNITS: Final[Mapping[str, tuple[str, float, int]]] = {
    "_m_per_year": ("mm/a", 1e3, 2),
    "_N": ("kN", 1e-3, 1),
    "_rad": ("mrad", 1e3, 2),
    "_kg": ("kg", 1.0, 0),
    "_degC": ("degC", 1.0, 1),
    "_m": ("mm", 1e3, 1),
}
#: Lengths that are told in metres.
_METRES: Final = frozenset({"chainage_m", "length_m", "radius_m"})
#: Skew is an angle in plan, told in degrees.
_DEGREES: Final = 57.29577951308232


@dataclass(frozen=True)
class _Told:
    """A table of the store as it is told: head, columns with their heads, and what to know."""

    table: str
    head: str
    columns: Mapping[str, str]
    about: str = ""


def _extremes(*effects: str, unit: str = "N") -> dict[str, str]:
    return {
        f"{effect}_{sense}_{unit}": f"{effect} {sense}"
        for effect in effects
        for sense in ("max", "min")
    }


_TABLES: Final = (
    _Told(
        "seats",
        "Seats",
        {
            "seat": "seat",
            "function": "function",
            "kind": "kind",
            "N_permanent_N": "N permanent",
            **_extremes("N", "Hx", "Hy"),
            **_extremes("vx", "vy", unit="m"),
            **_extremes("rx", "ry", unit="rad"),
            "hold_down_N": "to be held down",
            "uplift_margin": "uplift margin",
            "travel_left_m": "travel left",
        },
        "Extremes over the limit states. Uplift margin: least N as a part of the permanent one. "
        "Travel left: of given bearings and stops, at the design extremes. " + SEAT_SIGNS,
    ),
    _Told(
        "supports",
        "Supports",
        {
            "support": "support",
            "below": "below",
            "chainage_m": "chainage",
            "skew_rad": "skew",
            **_extremes("V", "Fx", "Fy"),
        },
        SUPPORT_SIGNS,
    ),
    _Told(
        "bearings",
        "Bearings",
        {
            "seat": "seat",
            "kind": "kind",
            "origin": "origin",
            "verdict": "verdict",
            "utilisation": "utilisation",
            "check_title": "governing check",
            "part": "part",
            "clause": "clause",
            "left_m": "travel left",
            "mass_kg": "mass",
            "height_m": "height",
            "reason": "why none serves",
        },
        "Origin given: assessed with the sizes of the file. Any other is designed here as light as "
        "passes: its utilisation says nothing about the bridge.",
    ),
    _Told(
        "single_faults",
        "Single faults",
        {
            "rank": "rank",
            "fault": "fault",
            "outcome": "outcome",
            "harm": "harm",
            "worst_place": "most grows at",
            "effect": "effect",
            "before": "intact",
            "after": "then",
            "support": "support with most Fx",
            "Fx_before_N": "Fx intact",
            "Fx_after_N": "Fx then",
            "lifts": "lifts",
            "motion": "moves freely",
        },
        "Harm 1: some place takes as much more as the most loaded one takes today.",
    ),
    _Told(
        "inspections",
        "Latest visit",
        {
            "seat": "seat",
            "time_utc": "time (UTC)",
            "temperature_degC": "steel",
            "out_of_tolerance": "out of tolerance",
            "travel_left_m": "travel left as found",
            "utilisation": "utilisation as measured",
            "cause": "likely cause",
            "action": "proposed",
            "state": "state",
            "severity": "severity",
            "review": "look at once",
        },
        "State 1 to 4 and severity 1 to 5 are proposals to the engineer.",
    ),
    _Told(
        "monitored",
        "Logs",
        {
            "seat": "seat",
            "judgement": "judgement",
            "findings": "findings",
            "mobility": "mobility",
            "mobility_low": "from",
            "mobility_high": "to",
            "drift_m_per_year": "drift",
            "travel_left_m": "travel left",
            "end_reached_utc": "end reached (UTC)",
            "readings": "readings",
            "first_utc": "first (UTC)",
            "last_utc": "last (UTC)",
        },
        "Mobility: movement found over movement expected; 1 moves as it should, 0 not at all.",
    ),
    _Told(
        "remarks",
        "Faults and parts left out",
        {"part": "part", "what": "what", "file": "file", "field": "field", "text": "in words"},
    ),
)


def sheets_of(rows: Mapping[str, Sequence[Row]]) -> list[tuple[str, Sheet, str]]:
    """The tables of a bridge that have rows: word, sheet, and what to know of it.

    A column of which nothing is known is left out.
    """
    found = []
    for told in _TABLES:
        own = rows.get(told.table, ())
        if not own:
            continue
        names = [name for name in told.columns if any(row[name] not in (None, "") for row in own)]
        columns = tuple(_column(name, told.columns[name], own) for name in names)
        cells = tuple(tuple(_cell(row, name) for name in names) for row in own)
        found.append((told.table, Sheet(told.head, columns, cells), told.about))
    return found


def _column(name: str, head: str, rows: Sequence[Row]) -> Column:
    words = any(isinstance(row[name], str) for row in rows)
    return Column(head, _unit(name)[0], "words" if words else "numbers")


def _unit(name: str) -> tuple[str, float, int]:
    """Unit shown, factor from SI and decimals of a column."""
    if name in _METRES:
        return "m", 1.0, 2
    if name == "skew_rad":
        return "deg", _DEGREES, 1
    if name == "uplift_margin":
        return "%", 1e2, 0
    for ending, unit in _UNITS.items():
        if name.endswith(ending):
            return unit
    return "", 1.0, 2


def _cell(row: Row, name: str) -> Cell:
    value: Any = row[name]
    if value is None or value == "":
        return Cell("–")
    if name.endswith("_utc"):
        return Cell(visible(str(value))[:16].replace("T", " "))
    if isinstance(value, str):
        return Cell(visible(value))
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int):
        return Cell(str(value))
    if name in ("before", "after"):  # of an effect whose unit stands in its row
        unit = UNITS[row["effect"]]
        factor = {"kN": 1e-3, "kN m": 1e-3}.get(unit, 1e3)
        return Cell(f"{figure(value * factor, 1)} {unit}")
    _, factor, places = _unit(name)
    return Cell(figure(value * factor, places))


#: What is told of the bridge itself.
_ABOUT: Final = {
    "state": "State:",
    "standard": "family",
    "superstructure": "superstructure of",
    "arrangement": "arrangement",
}

_SHELL: Final = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title"><a class="back" href="/" data-stock>← Stock of bridges</a>
<h1>{head}</h1><small>{file}</small></div>
<div class="tools" role="toolbar" aria-label="Tools" id="tools">
<button type="button" id="dark" title="Light or dark">Light / dark</button></div></header>
"""


async def results_page(served: Served, file: str) -> None:
    """The page; what cannot be shown is said on it."""
    client = ui.context.client
    try:
        await asyncio.to_thread(served.member, file)
        rows = await asyncio.to_thread(tables_of, served.place, file)
        problem: tuple[str, ...] = ()
    except BedstoneError as error:
        rows, problem = {}, faults(error)
    heads = rows.get("bridges", [])
    name = str(heads[0]["name"] or file) if heads else file
    client.title = f"{visible(name)} · results · bedstone"
    with ui.element("div").classes("shell"):
        ui.html(
            _SHELL.format(head=escape(visible(name)), file=escape(visible(file))), sanitize=False
        )
        with ui.element("main").props('id="content" tabindex="-1"'):
            ui.html(
                f'<div class="stock-page results">{_content(file, rows, problem)}</div>',
                sanitize=False,
            )
        ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)


def _content(file: str, rows: Mapping[str, Sequence[Row]], problem: Sequence[str]) -> str:
    if problem:
        return parts.problem(problem)
    link = f'<a href="{escape(bridge_address(file))}">Open this bridge</a>'
    if not rows:
        return f'<p class="note">Nothing of it stands in the store yet. {link}</p>'
    found = sheets_of(rows)
    head = rows["bridges"][0]
    told = "; ".join(
        f"{name} {head[key]}" for key, name in _ABOUT.items() if head[key] not in (None, "")
    )
    places = "".join(
        f'<li><a href="#{word}">{escape(sheet.title)}</a></li>' for word, sheet, _ in found
    )
    sections = "".join(
        f'<section class="card" id="{word}" aria-label="{escape(sheet.title)}">'
        f'<div class="scroll" tabindex="0" role="region" aria-label="table: {escape(sheet.title)}">'
        f"{table(sheet)}</div>{parts.notes([about]) if about else ''}</section>"
        for word, sheet, about in found
    )
    return (
        f"<div><p>{escape(visible(told))}. As it was worked out last; the workspace works "
        f'on the file as it is. {link}</p><ul class="places">{places}</ul></div>{sections}'
    )
