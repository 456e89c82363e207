"""One tab of the browser: its desk, the page it shows, and what is written above it."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from html import escape
from pathlib import Path
from typing import Final

from nicegui import events, ui

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError
from bedstone.schedule.context import family_name
from bedstone.schedule.own_values import FAMILIES
from bedstone.workspace import parts, safety
from bedstone.workspace.app import Server
from bedstone.workspace.desk import Desk, StaleError
from bedstone.workspace.pages import Page
from bedstone.workspace.visible import faults, visible

#: After this time (s) without a page, what a desk kept may be offered to another one.
LEFT_AFTER: Final = 30.0
#: Pause (s) between two looks whether the file on disk is still the one that was read.
LOOK_EVERY: Final = 3.0
#: Pause (s) after the last change before it is kept.
KEEP_AFTER: Final = 0.6
_SHELL: Final = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title"></div><nav aria-label="Pages" id="navigation"></nav>
<div class="tools" role="toolbar" aria-label="Tools" id="tools"></div></header>
<div class="messages" id="messages"></div>
"""


class Visit:
    """One tab of the browser: its desk, the page it shows, and what is written above it."""

    def __init__(self, desk: Desk, server: Server, word: str) -> None:
        self.desk = desk
        self.server = server
        self.known = known = server.pages
        self.page = next((page for page in known if page.word == word), known[0])
        self.client = ui.context.client
        self.loop = asyncio.get_running_loop()
        self.message = ""
        self.asked: dict[str, Callable[[], Awaitable[None]]] = {}
        self._keep: asyncio.TimerHandle | None = None
        self._head: dict[str, str] = {}
        self._address = ""
        self._told: str | None = None
        self.shell = ui.element("div").classes("shell").on("shell", self.hear, ["detail"])
        with self.shell:
            ui.html(_SHELL, sanitize=False)
            self.slot = ui.element("main").props('id="content" tabindex="-1"')
            ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)
            ui.timer(LOOK_EVERY, self.look, immediate=False)
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
            self.say(f"Edits cannot be kept for the case of a crash: {' '.join(faults(error))}")
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
            "title": _title(desk, self.server),
            "navigation": _navigation(self.known, self.page),
            "tools": _tools(desk),
            "messages": self.message,
        }
        new = {name: html for name, html in told.items() if self._head.get(name) != html}
        self._head |= new
        if new:
            self.client.run_javascript(f"bedstone.head({parts.script(new)})")
        # another file, or another page: a link and a reload find them again
        address = self.server.address(desk, self.page.word) if self.server.back else ""
        if address != self._address:
            self._address = address
            called = f"{visible(desk.bridge.bridge.name)} · bedstone"
            both = f"{parts.script(address)}, {parts.script(called)}"
            self.client.run_javascript(f"bedstone.at({both})")

    def say(self, text: str, **asked: tuple[str, Callable[[], Awaitable[None]]]) -> None:
        """A message above the page, with buttons: word, label and what it does."""
        self.asked = {word: does for word, (_, does) in asked.items()}
        buttons = "".join(
            f'<button type="button" data-do="answer" data-value="{escape(word)}" '
            f'data-key="answer-{escape(word)}">{escape(label)}</button>'
            for word, (label, _) in {**asked, "": ("Close", None)}.items()
        )
        self.message = (
            f'<div class="message" role="alert"><div>{escape(visible(text))}</div>'
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
            await self._stale(error)
        except BedstoneError as error:
            self.say(" ".join(faults(error)))

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

    async def look(self) -> None:
        """Say that others changed the file on disk, once: what is shown stays what was read."""
        desk = self.desk
        if self.message or self.client.is_deleted:
            return  # one question after the other
        theirs = await asyncio.to_thread(desk.theirs)
        if theirs is None or theirs == self._told or self.message:
            return
        try:
            by = await self._by(theirs)
        except BedstoneError:
            return  # a page that is still open at somebody who is out
        self._told, file = theirs, self.server.called(desk)
        own = "what you changed is not saved" if desk.changed else "you see it as it was before"
        text = f"{file} was changed on disk{by}; {own}."
        self.say(text, theirs=("Take the file on disk", self._take))

    async def _by(self, text: str) -> str:
        """Who made the file on disk say this, as the end of a sentence."""
        desk = self.desk
        if desk.path is None:
            return ""
        told = await asyncio.to_thread(desk.writer.changed_by, desk.path, text)
        return f" by {told}" if told else ""

    async def _take(self) -> None:
        await asyncio.to_thread(self.desk.take_theirs)

    async def renew(self) -> None:
        """Show the file as it is on disk where nothing was changed here since it was read."""
        theirs = await asyncio.to_thread(self.desk.theirs)
        if theirs is not None and not self.desk.changed:
            self._told = theirs
            try:
                await self._take()
            except BedstoneError as error:
                told = " ".join(faults(error))
                self.say(f"You see the file as it was before; the one on disk has faults: {told}")

    async def _stale(self, error: StaleError) -> None:
        desk = self.desk
        self._told = error.theirs

        async def mine() -> None:
            await asyncio.to_thread(desk.save, force=True)

        async def copy() -> None:
            target = safety.inside(desk.folder, _free_name(desk.folder, desk.name))
            await asyncio.to_thread(desk.save, target)
            self.say(f"Saved as {target.name}; this page now works on that file.")

        by = await self._by(error.theirs)
        self.say(
            " ".join(faults(error)) + (f" Changed{by}." if by else ""),
            mine=("Overwrite with mine", mine),
            theirs=("Take the file on disk", self._take),
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
        visits.remove(self)
        await asyncio.sleep(LEFT_AFTER)
        if not shown(self.desk):
            self.desk.close()


#: All tabs that show a bridge.
visits: list[Visit] = []


def shown(desk: Desk) -> bool:
    """Whether a tab shows it."""
    return any(visit.desk is desk for visit in visits)


# ------------------------------------------------------------------ the head
def _title(desk: Desk, server: Server) -> str:
    bridge = desk.bridge
    saved = "not saved" if desk.changed else "saved"
    saved += "; read only" if desk.writer.why_not else ""
    who = f" · {desk.writer.kept_by}" if desk.writer.kept_by else ""
    link = ""
    if server.back is not None:
        address, called = server.back
        link = f'<a class="back" href="{escape(address)}" data-stock>← {escape(called)}</a>'
    return (
        f"{link}<h1>{escape(visible(bridge.bridge.name))}</h1>"
        f"<small>{escape(visible(server.called(desk)))} ({saved})"
        f" · {escape(visible(bridge.arrangement.name + who))}</small>"
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
    why = desk.writer.why_not
    undo = f"Undo: {desk.undoes}" if desk.can_undo else "Nothing to undo"
    return (
        f'<select data-do="standard" data-key="tool-standard" aria-label="family of standards">'
        f"{families}</select>"
        + button("undo", "Undo", f"{undo} (Ctrl+Z)", on=desk.can_undo)
        + button("redo", "Redo", "Redo (Ctrl+Y)", on=desk.can_redo)
        + button(
            "save", "Save", why or "Save the bridge file (Ctrl+S)", on=desk.changed and not why
        )
        + '<button type="button" data-key="tool-dark" id="dark" title="Light or dark">'
        "Light / dark</button>"
    )


def _free_name(folder: Path, name: str) -> str:
    stem, ending = Path(name).stem, Path(name).suffix
    number = 2
    while (folder / f"{stem}-{number}{ending}").exists():
        number += 1
    return f"{stem}-{number}{ending}"
