"""The server of the workspace: one page on this machine, its navigation, saving and recovery.

Everything the page needs comes from this server; nothing is asked of any other.
"""

from __future__ import annotations

import asyncio
import gc
import socket
import time
from collections.abc import Awaitable, Callable
from functools import partialmethod
from html import escape
from pathlib import Path
from typing import Any, Final

from nicegui import app, events, ui
from nicegui.server import Server

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.output.drawing.to_svg import dark_colours
from bedstone.schedule.context import family_name
from bedstone.schedule.own_values import FAMILIES
from bedstone.workspace import parts, safety
from bedstone.workspace.desk import Desk, StaleError
from bedstone.workspace.engine import Engine
from bedstone.workspace.pages import Page, pages

PORT: Final = 8765
#: Ports tried after the first one.
PORTS: Final = 50
#: After this time (s) without a page, what a desk kept may be offered to another one.
LEFT_AFTER: Final = 30.0
#: Pause (s) after the last change before it is kept.
KEEP_AFTER: Final = 0.6
_STATIC: Final = Path(__file__).parent / "static"
_ICON: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><rect width="16" height="16" '
    'rx="2" fill="#0f4c81"/><path d="M2 5h12v2H2zM4 12l1.5-4h1L8 12zM9 12l1.5-4h1L13 12z" '
    'fill="#fff"/></svg>'
)


class _Server:
    """What all pages of one run share."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.engine = Engine()
        self.desks: list[Desk] = []
        self.first: Desk | None = Desk.open(path)

    def desk(self) -> Desk:
        """A desk for a new visit; the first one is at work already."""
        desk, self.first = self.first or Desk.open(self.path), None
        self.desks.append(desk)
        return desk

    async def warm(self) -> None:
        """Work out the loads while the browser still starts."""
        desk = self.first
        if desk is None:
            return

        def look() -> None:
            try:
                _ = desk.look if desk.modelled else None
            except BedstoneError:
                return  # the page says it again, in its place

        await asyncio.to_thread(look)
        # what is there now stays: the collector need not walk through it at every change
        gc.collect()
        gc.freeze()

    def end(self) -> None:
        """Keep what is not saved, end the workers."""
        for desk in self.desks:
            try:
                desk.autosave()
            except BedstoneError:
                continue
        self.engine.close()


_server: _Server | None = None


def engine() -> Engine:
    """The workers for long work, for pages that need them."""
    assert _server is not None, "only while the server runs"
    return _server.engine


def adopt(desk: Desk) -> None:
    """Let this tab work on another desk from its next page on."""
    assert _server is not None, "only while the server runs"
    _server.desks.append(desk)
    app.storage.tab["desk"] = desk


class _Visit:
    """One tab of the browser: its desk, the page it shows, and what is written above it."""

    def __init__(self, desk: Desk, known: tuple[Page, ...], word: str) -> None:
        self.desk = desk
        self.known = known
        self.page = next((page for page in known if page.word == word), known[0])
        self.client = ui.context.client
        self.loop = asyncio.get_running_loop()
        self.message = ""
        self.asked: dict[str, Callable[[], Awaitable[None]]] = {}
        self._keep: asyncio.TimerHandle | None = None
        self.shell = ui.element("div").classes("shell").on("shell", self.hear, ["detail"])
        with self.shell:
            ui.html(_SHELL, sanitize=False)
            self.slot = ui.element("main").props('id="content" tabindex="-1"')
            ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)
        self._end = desk.watch(self.changed)

    def changed(self) -> None:
        """The desk changed, in whatever thread."""
        self.loop.call_soon_threadsafe(self._after)

    def _after(self) -> None:
        if self.client.is_deleted:
            self._end()
            return
        if self._keep is not None:
            self._keep.cancel()
        self._keep = self.loop.call_later(KEEP_AFTER, lambda: self.loop.create_task(self.keep()))
        self.head()

    async def keep(self) -> None:
        """Keep the edits where a crash does not reach them."""
        try:
            await asyncio.to_thread(self.desk.autosave)
        except BedstoneError as error:
            self.say(f"Edits cannot be kept for the case of a crash: {error}")
        self.head()

    # ------------------------------------------------------------------ what is shown
    def show(self) -> None:
        """Build the page chosen."""
        self.slot.clear()
        with self.slot:
            self.page.build(self.desk)
        self.head()

    def head(self) -> None:
        """Title, navigation and tools."""
        desk = self.desk
        told = {
            "title": _title(desk),
            "navigation": _navigation(self.known, self.page),
            "tools": _tools(desk),
            "messages": self.message,
        }
        self.client.run_javascript(f"bedstone.head({_json(told)})")

    def say(self, text: str, **asked: tuple[str, Callable[[], Awaitable[None]]]) -> None:
        """A message above the page, with buttons: word, label and what it does."""
        self.asked = {word: does for word, (_, does) in asked.items()}
        buttons = "".join(
            f'<button type="button" data-do="answer" data-value="{escape(word)}" '
            f'data-key="answer-{escape(word)}">{escape(label)}</button>'
            for word, (label, _) in {**asked, "": ("Close", None)}.items()
        )
        self.message = (
            f'<div class="message" role="alert"><div>{escape(text)}</div>'
            f'<div class="tools">{buttons}</div></div>'
        )
        self.head()

    # ------------------------------------------------------------------ what is asked
    async def hear(self, event: events.GenericEventArguments) -> None:
        """A tool or a page was chosen."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        try:
            await self._do(what, value)
        except StaleError as error:
            self._stale(error)
        except BedstoneError as error:
            self.say(str(error))

    async def _do(self, what: str, value: str) -> None:
        desk = self.desk
        if what == "undo":
            await asyncio.to_thread(desk.undo)
        elif what == "redo":
            await asyncio.to_thread(desk.redo)
        elif what == "save":
            await asyncio.to_thread(desk.save)
            self.head()
        elif what == "standard" and value in FAMILIES:
            await asyncio.to_thread(desk.use, family_name(value))
        elif what == "page":
            self.page = next((page for page in self.known if page.word == value), self.page)
            self.show()
        elif what == "answer":
            does = self.asked.get(value)
            self.message, self.asked = "", {}
            if does is not None:
                await does()
            self.head()

    def _stale(self, error: StaleError) -> None:
        desk = self.desk

        async def mine() -> None:
            await asyncio.to_thread(desk.save, force=True)

        async def theirs() -> None:
            await asyncio.to_thread(desk.take_theirs)

        async def copy() -> None:
            target = safety.inside(desk.folder, _free_name(desk.folder, desk.name))
            await asyncio.to_thread(desk.save, target)
            self.say(f"Saved as {target.name}; this page now works on that file.")

        self.say(
            str(error),
            mine=("Overwrite with mine", mine),
            theirs=("Take the file on disk", theirs),
            copy=("Save mine as a copy", copy),
        )

    def offer(self) -> None:
        """Offer edits that a desk no longer at work left behind."""
        left = self.desk.left()
        if not left:
            return
        kept = left[0]

        async def take() -> None:
            await asyncio.to_thread(self.desk.recover, kept)

        async def drop() -> None:
            await asyncio.to_thread(self.desk.forget, kept)

        when = time.strftime("%Y-%m-%d %H:%M", time.localtime(kept.time))
        text = f"Edits of {when} were not saved when the program ended."
        if kept.read != self.desk.read:
            text += " The file was changed since they were made."
        self.say(text, take=("Take them up", take), drop=("Throw them away", drop))

    async def gone(self) -> None:
        """The tab was closed; after a while others may be offered what it kept."""
        self._end()
        await asyncio.sleep(LEFT_AFTER)
        if not any(visit.desk is self.desk for visit in _visits if not visit.client.is_deleted):
            self.desk.close()


_visits: list[_Visit] = []

_SHELL: Final = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title"></div><nav aria-label="Pages" id="navigation"></nav>
<div class="tools" role="toolbar" aria-label="Tools" id="tools"></div></header>
<div class="messages" id="messages"></div>
"""


def serve(
    path: Path,
    host: str = "127.0.0.1",
    port: int = PORT,
    *,
    show: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the pages of one bridge file until interrupted.

    `port`: the first one tried; the next free one is taken; 0 leaves the choice to the system.
    `told` hears the address. Raises `InputError` for a bridge file with faults, or when no port is
    free.
    """
    global _server
    _server = _Server(path)
    bound = bound_to(host, port)
    free = bound.getsockname()[1]
    known = pages()
    app.add_middleware(safety.Guard, hosts=() if safety.is_loopback(host) else (host,))
    app.add_static_files("/bedstone", _STATIC)
    version = int(max(file.stat().st_mtime for file in _STATIC.iterdir()))
    dark = f'html[data-theme="dark"]{{{dark_colours()}}}'
    ui.add_head_html(
        f'<link rel="stylesheet" href="/bedstone/workspace.css?{version}">'
        f"<style>{dark}</style>"
        f'<script src="/bedstone/workspace.js?{version}"></script>',
        shared=True,
    )
    server = _server

    @ui.page("/", title=f"{path.name} · bedstone")
    async def _page(page: str = "") -> None:
        client = ui.context.client
        await client.connected(timeout=30.0)
        tab = app.storage.tab
        desk = tab.get("desk")
        if not isinstance(desk, Desk):
            desk = tab["desk"] = await asyncio.to_thread(server.desk)
        desk.reopen()
        visit = _Visit(desk, known, page)
        _visits.append(visit)
        client.on_delete(visit.gone)
        visit.show()
        visit.offer()

    app.on_startup(server.warm)
    app.on_shutdown(server.end)
    name = f"[{host}]" if ":" in host else host
    told(f"http://{name}:{free}/")
    # no other program can take the port between finding it free and listening on it
    Server.run = partialmethod(Server.run, sockets=[bound])  # type: ignore[assignment,method-assign]
    ui.run(
        host=host,
        port=free,
        title="bedstone",
        favicon=_ICON,
        show=show,
        reload=False,
        dark=False,
        tailwind=False,
        binding_refresh_interval=None,
        show_welcome_message=False,
        language="en-US",
    )


def bound_to(host: str, first: int) -> socket.socket:
    """A socket on the first free port from `first` on, of any for 0; `InputError` without one."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for port in range(first, min(first + PORTS, 65536)) if first else (0,):
        made = socket.socket(family, socket.SOCK_STREAM)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((host, port))
            made.listen()  # another one may be bound to the same port, but not listen
        except OSError:
            made.close()
            continue
        return made
    last = min(first + PORTS, 65536) - 1
    raise InputError(
        [Fault("serve", "port", f"none free on {host}", f"one from {first} to {last}")]
    )


# ------------------------------------------------------------------ the head
def _title(desk: Desk) -> str:
    bridge = desk.bridge
    saved = "not saved" if desk.changed else "saved"
    return (
        f"<h1>{escape(bridge.bridge.name)}</h1>"
        f"<small>{escape(desk.name)} ({saved}) · {escape(bridge.arrangement.name)}</small>"
    )


def _navigation(known: tuple[Page, ...], chosen: Page) -> str:
    current = ' aria-current="page"'
    return "".join(
        f'<button type="button" data-do="page" data-value="{escape(page.word)}" '
        f'data-key="page-{escape(page.word)}"'
        f"{current if page is chosen else ''}>{escape(page.name)}</button>"
        for page in known
    )


def _tools(desk: Desk) -> str:
    def button(word: str, label: str, hint: str, *, on: bool = True) -> str:
        return (
            f'<button type="button" data-do="{word}" data-key="tool-{word}" '
            f'title="{escape(hint)}"{"" if on else " disabled"}>{label}</button>'
        )

    families = "".join(
        f'<option value="{name}"{" selected" if name == desk.family else ""}>{name}</option>'
        for name in FAMILIES
    )
    undo = f"Undo: {desk.undoes}" if desk.can_undo else "Nothing to undo"
    return (
        f'<select data-do="standard" data-key="tool-standard" aria-label="family of standards">'
        f"{families}</select>"
        + button("undo", "Undo", f"{undo} (Ctrl+Z)", on=desk.can_undo)
        + button("redo", "Redo", "Redo (Ctrl+Y)", on=desk.can_redo)
        + button("save", "Save", "Save the bridge file (Ctrl+S)", on=desk.changed)
        + '<button type="button" data-key="tool-dark" id="dark" title="Light or dark">'
        "Light / dark</button>"
    )


def _free_name(folder: Path, name: str) -> str:
    stem, ending = Path(name).stem, Path(name).suffix
    number = 2
    while (folder / f"{stem}-{number}{ending}").exists():
        number += 1
    return f"{stem}-{number}{ending}"


def _json(value: Any) -> str:
    return parts.script(value)
