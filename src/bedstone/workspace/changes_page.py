"""Who changed what in a folder: the journal as a page, the last change first."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from nicegui import ui

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError
from bedstone.workspace import parts
from bedstone.workspace.journal import Change, Told
from bedstone.workspace.visible import faults, visible

if TYPE_CHECKING:
    from bedstone.workspace.team import Service

#: Changes shown; all of them are with `bedstone changes` and the interface for programs.
_MOST: Final = 200
_SHELL: Final = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title"><a class="back" href="/" data-stock>← Stock of bridges</a>
<h1>Changes</h1><small>{file}</small></div>
<div class="tools" role="toolbar" aria-label="Tools" id="tools">
<button type="button" id="dark" title="Light or dark">Light / dark</button></div></header>
"""
_STYLE: Final = """
<style>
.changes pre { margin: 4px 0; padding: 6px 10px; background: var(--card); overflow-x: auto;
  border: 1px solid var(--line); font-size: 0.86rem; line-height: 1.35; }
.changes th, .changes td { vertical-align: top; text-align: left; padding: 5px 18px 5px 0; }
.changes tbody tr { border-top: 1px solid var(--line); }
.changes table { border-collapse: collapse; }
.changes summary { min-height: 28px; cursor: pointer; }
.changes del { color: var(--red); text-decoration: none; }
.changes ins { color: var(--blue); text-decoration: none; }
</style>
"""


async def changes_page(service: Service, file: str) -> None:
    """The page; of one file, or of all for ""."""
    try:
        told = await asyncio.to_thread(service.journal.read, file or None)
        since = await asyncio.to_thread(service.journal.since)
        made = changes_html(told, [line for line in since if not file or line.startswith(file)])
    except BedstoneError as error:
        made = parts.problem(faults(error))
    with ui.element("div").classes("shell"):
        ui.html(_SHELL.format(file=escape(visible(file))), sanitize=False)
        with ui.element("main").props('id="content" tabindex="-1"'):
            ui.html(f'{_STYLE}<div class="stock-page changes">{made}</div>', sanitize=False)
        ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)


def changes_html(told: Told, since: Sequence[str]) -> str:
    """What is wrong with the journal, what others changed, and a row for each change."""
    altered = [f"The journal was altered: {line}." for line in told.broken]
    others = [f"Changed by others since, past this list: {line}" for line in since]
    count = len(told.changes)
    shown = told.changes[::-1][:_MOST]
    rows = "".join(_row(change) for change in shown)
    table = (
        '<div class="scroll" tabindex="0" role="region" aria-label="table of changes"><table>'
        "<thead><tr><th>number</th><th>when (UTC)</th><th>who</th><th>what</th></tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )
    head = f"{count} changes" if count != 1 else "1 change"
    if count > len(shown):
        head += f", the last {len(shown)} of them here; all with bedstone changes"
    last = [f"The last line of the journal has the SHA-256 {told.last}."] if told.last else []
    return (
        parts.problem(altered)
        + parts.notes(others)
        + f'<section class="card" aria-label="Changes"><p id="counted">{escape(head)}</p>'
        + (table if shown else "")
        + parts.notes(last)
        + "</section>"
    )


def _row(change: Change) -> str:
    time = change.time.replace("T", " ").partition(".")[0]
    place = f"{change.peer} for {change.forwarded}" if change.forwarded else change.peer
    more = f"<br><small>{escape(visible(f'{change.role}, by {change.way}, {place}'))}</small>"
    return (
        f"<tr><td>{change.number}</td><td>{escape(time)}</td>"
        f"<td>{escape(visible(change.who))}{more}</td><td>{_what(change)}</td></tr>"
    )


def _what(change: Change) -> str:
    link = f'<a href="/changes?file={quote(change.file)}">{escape(visible(change.file))}</a>'
    count = len(change.rows)
    words = {
        "written": f"wrote {link}" if change.before else f"made {link}",
        "readings": f"put {count} reading{'' if count == 1 else 's'} into {link}",
        "readings kept": f"{link} holds the readings of {change.of}",
        "not made": f"the change {change.of} of {link} was not made",
    }[change.what]
    notes = parts.notes([visible(text) for text in (change.between, change.note) if text])
    unfolded = ""
    if change.diff:
        lines = "\n".join(_line(line) for line in change.diff.split("\n")[2:])
        unfolded = f"<details><summary>line by line</summary><pre>{lines}</pre></details>"
    elif change.rows:
        lines = "\n".join(_reading(row) for row in change.rows)
        unfolded = f"<details><summary>readings</summary><pre>{lines}</pre></details>"
    return words + notes + unfolded


def _line(line: str) -> str:
    mark = {"-": "del", "+": "ins"}.get(line[:1])
    told = escape(visible(line.expandtabs(4)))
    return f"<{mark}>{told}</{mark}>" if mark else told


def _reading(row: object) -> str:
    told = row if isinstance(row, dict) else {}
    words = ("seat", "quantity", "place", "value", "word", "time", "who")
    return escape(
        visible("  ".join(str(told[name]) for name in words if told.get(name) is not None))
    )
