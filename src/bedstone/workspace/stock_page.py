"""The page of a stock: how it stands, which bridge needs a visit first, what changed.

Rows are sent once and sorted in the browser (``static/stock.js``). What is said above and below
them is made here.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from html import escape
from typing import Protocol

from nicegui import events, ui

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError
from bedstone.output import stock_words as words
from bedstone.workspace import parts
from bedstone.workspace.folder import bridge_address
from bedstone.workspace.pages.asking import action
from bedstone.workspace.patch import put
from bedstone.workspace.stock_read import Standing
from bedstone.workspace.stock_work import Working
from bedstone.workspace.visible import faults, visible

#: Names told in one sentence before the rest is counted.
_MOST = 5

_SHELL = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title">{title}</div>
<div class="tools" role="toolbar" aria-label="Tools" id="tools">{tools}
<button type="button" id="dark" title="Light or dark">Light / dark</button></div></header>
"""
_SKELETON = """
<div class="stock-page">
  <div id="stock-standing" aria-live="polite">{state}</div>
  <section class="card awaits" aria-label="Distribution" hidden>
    <details id="stock-distribution" open><summary>How the bridges stand; a bar picks its own
    </summary><div id="stock-charts"></div></details></section>
  <section class="card awaits" aria-labelledby="stock-first" hidden>
    <h2 id="stock-first">Which one needs a visit first</h2>
    <div class="filters">
      <label class="field find"><span>find</span>
        <input type="search" id="stock-find" autocomplete="off" spellcheck="false"
          placeholder="bridge, name, words of a reason"></label>
      <div id="stock-lists"></div>
    </div>
    <div class="chips"><span id="stock-count" role="status"></span>
      <div id="stock-chips"></div></div>
    <div class="tall" tabindex="0" role="region" aria-label="bridges">
      <table class="stock-table" id="stock-table" role="table" aria-label="bridges">
        <thead id="stock-head" role="rowgroup"></thead>
        <tbody id="stock-body" role="rowgroup"></tbody>
      </table>
      <div id="stock-rest"></div>
    </div>
    <p class="note">{ranking}</p>
    <p class="note">{measures}</p>
  </section>
  <div id="stock-below"></div>
</div>
"""


class Stock(Protocol):
    """What the page asks of its server."""

    working: Working
    found: Standing | None
    problem: tuple[str, ...]
    rows: str

    @property
    def folder(self) -> str:
        """What the folder is called."""
        ...

    @property
    def where(self) -> str:
        """Where its results are kept, in words."""
        ...

    async def look(self) -> None:
        """Read files and store anew."""
        ...

    def work(self) -> None:
        """Work out what changed; raises `BedstoneError` for who may not."""
        ...

    def stop(self) -> None:
        """Stop that; raises `BedstoneError` for who may not."""
        ...

    def refusal(self) -> str:
        """Why this person may not have anything worked out; "" where they may."""
        ...


class StockPage:
    """One tab that shows the stock."""

    def __init__(self, stock: Stock, tools: str = "") -> None:
        self.stock = stock
        self.client = ui.context.client
        self._sent: dict[str, str] = {}
        self._rows = ""
        self._message: tuple[str, ...] = ()
        with ui.element("div").classes("shell"):
            title = f"<h1>Stock of bridges</h1><small>{escape(visible(stock.folder))}</small>"
            ui.html(_SHELL.format(title=title, tools=tools), sanitize=False)
            with ui.element("main").props('id="content" tabindex="-1"'):
                self.root = ui.element("div").classes("page-root")
                with self.root:
                    shown = self.state()
                    self._sent["stock-standing"] = shown
                    ui.html(
                        _SKELETON.format(
                            state=shown,
                            ranking=escape(words.RANKING),
                            measures=escape(words.MEASURES),
                        ),
                        sanitize=False,
                    )
            ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)
        self.root.on("desk", self.hear, ["detail"])

    async def hear(self, event: events.GenericEventArguments) -> None:
        """A button was pressed."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        what = str(told.get("do", "")) if isinstance(told, dict) else ""
        does = {"work": self.stock.work, "stop": self.stock.stop}.get(what)
        self._message = ()
        try:
            if does is not None:
                with self.client:
                    does()
            elif what == "look":
                await self.stock.look()
        except BedstoneError as error:
            self._message = faults(error)
        self.draw()

    def draw(self) -> None:
        """Send what differs from what the browser shows. In the event loop."""
        if self.client.is_deleted:
            return
        with self.client:
            made = {"stock-standing": self.state()}
        if self.stock.found is not None:
            made["stock-below"] = below(self.stock.found)
        new = {key: html for key, html in made.items() if self._sent.get(key) != html}
        self._sent |= new
        put(self.client, new)
        if self.stock.rows != self._rows:
            self._rows = self.stock.rows
            address = f"/stock/rows?version={self._rows}"
            self.client.run_javascript(f"bedstone.stock.load({parts.script(address)})")

    def state(self) -> str:
        """What stands above the table: how old it all is, and what may be done about it."""
        stock, found = self.stock, self.stock.found
        told = parts.problem((*self._message, *stock.problem))
        if found is not None and found.made_up:
            told += _made_up(found)
        refusal = stock.refusal()
        if stock.working.running:
            return told + _running(stock.working, refusal)
        told += _ended(stock.working)
        if found is None:
            return told or '<p class="note" role="status">The store is being read …</p>'
        return told + _standing(found, stock.where, refusal)


def _made_up(found: Standing) -> str:
    number, all_ = len(found.made_up), len(found.paths)
    which = "This stock is" if number == all_ else f"{number} of these {all_} bridges are"
    return (
        f'<p class="made-up"><b>{which} made up:</b> no such bridge stands anywhere, and nothing '
        "of it was measured.</p>"
    )


def _running(working: Working, refusal: str) -> str:
    share = f' value="{working.done}" max="{working.total}"' if working.total > 0 else ""
    count = f"{working.done} of {working.total} bridges: " if working.total > 0 else ""
    text = "stopping; what is done is kept" if working.stopping else f"{count}{working.text}"
    button = action("stop", "Stop", on=not refusal and not working.stopping)
    return (
        f'<div class="card running" role="status"><progress{share} aria-label="progress">'
        f"</progress><span>{escape(visible(text))}</span>{button}</div>"
    )


def _ended(working: Working) -> str:
    """How the last work ended, where that is not plain from the rest."""
    ended = working.ended
    if ended is None:
        return ""
    if ended.problem:
        return parts.problem(ended.problem)
    done = _counted(ended.worked_out, "bridge")
    if ended.stopped:
        return f'<p class="note" role="status">Stopped: {done} worked out and kept.</p>'
    more = f", {_counted(ended.faulty, 'bridge')} could not be" if ended.faulty else ""
    return f'<p class="note" role="status">Done: {done} worked out{more}.</p>'


def _standing(found: Standing, where: str, refusal: str) -> str:
    """Whether what is shown fits the files, and the buttons."""
    off = f" title='{escape(refusal, quote=True)}'" if refusal else ""
    lines = []
    if found.missing:
        lines.append(f"{_bridges(found.missing)} without results")
    if found.changed:
        lines.append(f"{_bridges(found.changed)}: files changed since they were worked out")
    if found.otherwise:
        lines.append(f"{_bridges(found.otherwise)} worked out with other parts or another family")
    if found.older:
        lines.append(f"{_counted(found.older, 'bridge')} worked out by another state of bedstone")
    if found.gone:
        lines.append(f"results of {_counted(found.gone, 'bridge')} no longer in the folder")
    none = len(found.missing) == len(found.paths)
    if none:
        head = f"Nothing has been worked out yet of {_counted(len(found.paths), 'bridge file')}."
        lines = []
    elif lines:
        head = "Not up to date:"
    else:
        head = "Up to date: every bridge as its files stand."
    run = f"run {found.number}, " if found.number else ""
    asked = ", ".join(found.options.parts)
    family = f"; all under {found.options.standard}" if found.options.standard else ""
    when = time.strftime("%Y-%m-%d %H:%M", time.localtime(found.looked))
    about = f"{run}looked at {when}; {asked}{family}; results in {where}"
    label = "Work out the stock" if none else "Work out what changed"
    button = action("work", label, on=not refusal) if not found.up_to_date else ""
    why = f'<p class="note">{escape(refusal)}</p>' if refusal and button else ""
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    tone = "" if found.up_to_date else " stale"
    return (
        f'<div class="card state-of{tone}"{off}><div class="said"><b>{escape(head)}</b>'
        f"{f'<ul>{items}</ul>' if items else ''}{why}"
        f'<p class="note">{escape(visible(about))}</p></div>'
        f'<div class="tools">{button}{action("look", "Look again")}</div></div>'
    )


def below(found: Standing) -> str:
    """What was not worked out, left out or passed over, and what moved since the run before."""
    faulty: list[str] = []
    members = frozenset(found.stock.members)
    for item in found.faulty:
        name = escape(visible(item.bridge))
        if item.bridge in members:
            name = f'<a href="{escape(bridge_address(item.bridge, "editor"))}">{name}</a>'
        lines = "".join(f"<li>{escape(visible(line))}</li>" for line in item.faults)
        faulty.append(f"<li>{name} ({escape(item.state)})<ul>{lines}</ul></li>")
    notes = [visible(f"{bridge}, {part}: {text}") for bridge, part, text in found.notes]
    moved = [words.change(item) for item in found.changes]
    since = ""
    if found.compared_with:
        head = f"Since run {found.compared_with}"
        since = _section("since", head, map(escape, moved), len(moved), none="nothing changed")
    return (
        _section("faulty", "Not worked out", faulty, len(faulty), opened=True)
        + since
        + _section("notes", "Parts left out", map(escape, notes), len(notes))
        + _section(
            "passed",
            "TOML files that are no bridge files",
            (escape(visible(path)) for path in found.stock.passed_over),
            len(found.stock.passed_over),
        )
    )


def _section(
    word: str, head: str, items: Iterable[str], count: int, *, opened: bool = False, none: str = ""
) -> str:
    """A head with a count that unfolds to its lines (HTML); "" where there is nothing to say."""
    if not count:
        return f'<p class="note">{escape(head)}: {escape(none)}.</p>' if none else ""
    inner = "".join(item if item.startswith("<li>") else f"<li>{item}</li>" for item in items)
    return (
        f'<section class="card" id="stock-{word}"><details data-fold="{word}"'
        f"{' open' if opened else ''}><summary>{escape(head)} ({count})</summary>"
        f"<ul>{inner}</ul></details></section>"
    )


def _bridges(paths: Sequence[str]) -> str:
    rest = len(paths) - _MOST
    told = ", ".join(visible(path) for path in paths[:_MOST])
    more = f" and {rest} more" if rest > 0 else ""
    return f"{_counted(len(paths), 'bridge')} ({told}{more})"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
