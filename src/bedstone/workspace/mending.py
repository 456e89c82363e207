"""The page of a bridge file with faults: its text beside them, until it is one that can be opened.

There is no bridge to stand on before: no desk, no undo, no numbers. What is written here is nowhere
kept until it is saved.
"""

from __future__ import annotations

import asyncio
from html import escape
from pathlib import Path
from typing import Final

from nicegui import events, ui

from bedstone import __version__
from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError
from bedstone.files import read_text
from bedstone.workspace import parts
from bedstone.workspace.pages.asking import action
from bedstone.workspace.pages.editor import WATCH, Draft, faults_html, mark_lines
from bedstone.workspace.patch import put, style
from bedstone.workspace.visible import faults, visible
from bedstone.workspace.writer import Writer

#: Pause (s) after the last letter typed before the text is read.
_READ_AFTER: Final = 0.4
_SHELL: Final = """
<a class="skip" href="#content">To the page</a>
<header><div class="title" id="title">{back}<h1>{name}</h1><small>{file}</small></div>
<div class="tools" role="toolbar" aria-label="Tools" id="tools">
<button type="button" id="dark" title="Light or dark">Light / dark</button></div></header>
"""
_HEAD: Final = """
<div id="mend-head" aria-live="polite"></div><div id="mend-message" aria-live="polite"></div>
"""


def draft_with_faults(path: Path) -> Draft | None:
    """The text of a bridge file that has faults; None for one without, or that is no text.

    Reads the file and the tables beside it.
    """
    try:
        draft = Draft(read_text(path, LARGEST_FILE))
    except BedstoneError:
        return None
    draft.read(path.name, path.parent)
    return None if draft.sound else draft


class Mending:
    """One tab that mends a bridge file. `called`: what its file is called; `back`: as `Server`."""

    def __init__(
        self, path: Path, draft: Draft, writer: Writer, called: str, back: tuple[str, str] | None
    ) -> None:
        self.path = path
        self.draft = draft
        self.writer = writer
        self.read = draft.text
        self.client = ui.context.client
        self.message = ""
        self._loop = asyncio.get_running_loop()
        self._order = asyncio.Lock()
        self._timer: asyncio.TimerHandle | None = None
        link = (
            f'<a class="back" href="{escape(back[0])}" data-stock>← {escape(back[1])}</a>'
            if back
            else ""
        )
        self.client.title = f"{visible(path.name)} · bedstone"
        with ui.element("div").classes("shell").on("shell", self.hear, ["detail"]):
            ui.html(
                _SHELL.format(
                    back=link, name=escape(visible(path.name)), file=escape(visible(called))
                ),
                sanitize=False,
            )
            with ui.element("main").props('id="content" tabindex="-1"'):
                self.root = ui.element("div").classes("page-root")
            ui.html(f"<footer>{escape(SHORT)} bedstone {__version__}</footer>", sanitize=False)
        with self.root:
            ui.html(style("editor"), sanitize=False)
            with ui.element("div").classes("editor-page mending"):
                ui.html(_HEAD, sanitize=False)
                with ui.element("div").classes("both"):
                    with ui.element("section").classes("card text").props('aria-label="Text"'):
                        self.editor = ui.codemirror(
                            draft.text, on_change=self.written, language="TOML", indent="  "
                        ).classes("toml")
                    with ui.element("section").classes("card").props('aria-label="Faults"'):
                        ui.html('<div id="mend-faults" aria-live="polite"></div>', sanitize=False)
        self.root.on("desk", self.hear, ["detail"])
        self.root.on("theme", self.themed, ["detail"])
        self.client.run_javascript(WATCH)
        self.show()

    # ------------------------------------------------------------------ what happened
    def themed(self, event: events.GenericEventArguments) -> None:
        """The page is light or dark now."""
        told = event.args.get("detail") if isinstance(event.args, dict) else ""
        self.editor.theme = "vscodeDark" if told == "dark" else "vscodeLight"

    def written(self, event: events.ValueChangeEventArguments[str]) -> None:
        """The text was edited; it is read after a pause."""
        text = event.value or ""
        if text == self.draft.text:
            return
        self.draft.text = text
        if self._timer is not None:
            self._timer.cancel()
        self._timer = self._loop.call_later(
            _READ_AFTER, lambda: self._loop.create_task(self.look())
        )

    async def look(self) -> None:
        """Read the text as it stands, with the tables beside it."""
        async with self._order:
            await asyncio.to_thread(self.draft.read, self.path.name, self.path.parent)
            self.message = ""
            self.show()

    async def hear(self, event: events.GenericEventArguments) -> None:
        """A button of the page, or Ctrl+S."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        if what == "line" and value.isdigit():
            self.editor.reveal_line(int(value))
        elif what == "download":
            ui.download.content(self.draft.text.encode(), self.path.name, "application/toml")
        elif what == "look":
            await self.look()
        elif what in ("save", "overwrite"):
            async with self._order:
                await self.save(over=what == "overwrite")

    async def save(self, *, over: bool) -> None:
        """Write the text that has no faults any more, and open its bridge."""
        try:
            done = await asyncio.to_thread(self._write, over)
        except BedstoneError as error:
            self.message = parts.problem(faults(error))
            self.show()
            return
        if done:
            self.client.run_javascript("location.reload()")  # now there is a bridge to open
        self.show()

    def _write(self, over: bool) -> bool:
        """Write the text unless the file is no longer what was read; whether it was written.

        Raises `InputError` for a text with faults, and what `Writer.write` raises.
        """
        text = self.draft.text
        read_text_of_bridge(text, self.path.name, self.path.parent)
        with self.writer.held():
            there = read_text(self.path, LARGEST_FILE)
            if there not in (self.read, text) and not over:
                self.message = (
                    '<div class="message" role="alert"><div>It was changed on disk since it was '
                    "read; nothing was written. Download keeps yours; loading this page anew shows "
                    f'what stands there now.</div><div class="tools">'
                    f"{action('overwrite', 'Overwrite with mine')}</div></div>"
                )
                return False
            self.writer.write(self.path, text)
        return True

    # ------------------------------------------------------------------ what is shown
    def show(self) -> None:
        """Send what the page says."""
        if self.root.is_deleted:
            return
        draft, why = self.draft, self.writer.why_not
        count = len(draft.faults)
        word, they = ("fault", "it is") if count == 1 else ("faults", "they are")
        state = (
            '<span class="sound">✓ a valid bridge file: save it, and its bridge opens</span>'
            if draft.sound
            else f'<span class="unsound">✕ {count} {word}: no bridge to show until {they} mended'
            "</span>"
        )
        title = f' title="{escape(why)}"' if why else ""
        head = (
            f'<div class="card files"{title}><span role="status">{state}</span>'
            f"{action('save', 'Save', on=draft.sound and not why)}"
            f"{action('look', 'Check again')}{action('download', 'Download')}"
            + parts.notes([why or "What is changed here is kept only once it is saved."])
            + "</div>"
        )
        put(
            self.client,
            {
                "mend-head": head,
                "mend-message": self.message,
                "mend-faults": f"<h2>Faults</h2>{faults_html(draft) or '<p>None.</p>'}",
            },
        )
        mark_lines(self.editor, draft)
