"""The bridge file itself: forms with units beside its text; both change the same draft.

A draft that is a valid bridge file is taken by the desk at once (undo goes back); one with faults
stays here, each fault at its field and at its line, and the desk keeps the last valid one.
"""

from __future__ import annotations

import asyncio
import tomllib
import weakref
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any, Final

from nicegui import context, events, ui

from bedstone.bridge.edit import change_text
from bedstone.bridge.reader import read_text_of_bridge
from bedstone.bridge.templates import template_files
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text
from bedstone.workspace import app, forms, parts, safety
from bedstone.workspace.desk import TEMPLATES, Desk, StaleError
from bedstone.workspace.patch import put, style
from bedstone.workspace.text_lines import line_of, lines_of
from bedstone.workspace.visible import visible

NAME = "File"
ORDER = 15

#: Pause (s) after the last letter typed before the text is read.
_READ_AFTER: Final = 0.4
#: Longest text of one field.
_LONGEST: Final = 4000
#: Bridge files of the folder that are offered.
_MOST_FILES: Final = 200

_TYPED: Final = """(event) => {
  const control = event.target.closest?.("[data-field], [data-kind]");
  if (!control) return;
  emit({ path: control.dataset.field || control.dataset.kind, value: control.value,
         kind: Boolean(control.dataset.kind) });
}"""
_CLICKED: Final = """(event) => {
  if (event.target.closest?.("[data-pick]"))
    document.querySelector(".editor-page .picker input[type=file]")?.click();
  const add = event.target.closest?.('[data-do="add named"]');
  if (add) {
    const name = add.parentElement.querySelector("[data-new]").value;
    emit({ path: add.dataset.value, name });
  }
  if (event.target.closest?.('[data-do="save as"]'))
    emit({ save: document.getElementById("editor-name").value });
}"""
#: Tells the page of every change between light and dark, and names its text.
WATCH: Final = """
(() => {
  const root = document.querySelector(".editor-page")?.closest(".page-root");
  if (!root) return;
  const told = () => root.dispatchEvent(new CustomEvent("theme", {
    detail: document.documentElement.dataset.theme || "light" }));
  new MutationObserver(told).observe(document.documentElement, {
    attributes: true, attributeFilter: ["data-theme"] });
  told();
  // the editor of the text comes a moment later and has no name of its own
  const named = setInterval(() => {
    const text = root.querySelector(".cm-content");
    if (!root.isConnected || text) clearInterval(named);
    text?.setAttribute("aria-label", "text of the bridge file");
    text?.setAttribute("tabindex", "0");
  }, 50);
})()
"""
_FAULTS: Final = """
((told) => {
  for (const box of document.querySelectorAll("#editor-form .fault[id]")) {
    const id = box.id.slice(0, -6);
    const html = told[id] || "";
    if (box.innerHTML !== html) box.innerHTML = html;
    const control = document.getElementById(id);
    if (html) control?.setAttribute("aria-invalid", "true");
    else control?.removeAttribute("aria-invalid");
  }
})
"""

_SKELETON: Final = """
<div class="files card" role="toolbar" aria-label="Files" id="editor-files"></div>
<div id="editor-message" aria-live="polite"></div>
"""
_FORM: Final = """
<section class="card" aria-label="Forms"><nav class="sections" aria-label="Parts of the file"
id="editor-sections"></nav><div id="editor-form"></div></section>
"""


@dataclass
class Draft:
    """The text as it is being written, and what the reader says of it."""

    text: str
    faults: tuple[Fault, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    lines: dict[forms.Path, int] = field(default_factory=dict)
    taken: str = ""
    name: str = ""
    section: str = "head"

    @property
    def sound(self) -> bool:
        """Whether it is a valid bridge file."""
        return not self.faults

    @property
    def readable(self) -> bool:
        """Whether it is TOML, so that forms can show it."""
        return bool(self.data)

    def read(self, name: str, folder: Path) -> None:
        """Read the text anew; faults are kept, nothing is raised."""
        self.name, self.faults, self.data, self.lines = name, (), {}, {}
        try:
            read_text_of_bridge(self.text, name, folder)
        except InputError as error:
            self.faults = error.faults
        except BedstoneError as error:
            self.faults = (Fault(name, "file", str(error), "a bridge file"),)
        try:
            self.data = tomllib.loads(self.text)
        except (tomllib.TOMLDecodeError, ValueError, RecursionError):
            return
        self.lines = lines_of(self.text)

    def line(self, fault: Fault) -> int | None:
        """The line a fault stands on; None for one of a table beside the file."""
        return None if fault.file != self.name else line_of(fault, self.data, self.lines)

    @property
    def sheet(self) -> forms.Sheet:
        """What forms are made from."""
        return forms.Sheet(self.data, {fault.where: fault for fault in reversed(self.faults)})


_drafts: weakref.WeakKeyDictionary[Desk, Draft] = weakref.WeakKeyDictionary()


def changed_text(draft: Draft, path: forms.Path, typed: str, *, kind: bool, name: str) -> str:
    """The text of a draft with one field as it was typed; raises `InputError` where it cannot be.

    `kind`: the field says of which kind its part is: fields that the new kind does not know go, and
    those that it needs come with a value to start from.
    """
    annotation, metadata = forms.annotation_at(path, draft.data)
    control = forms.control_of(annotation, metadata)
    if control is None:
        raise InputError([Fault(name, forms.dotted(path), "a part", "one of its fields")])
    value = forms.value_of(control, typed)
    stood = _at(draft.data, path)
    if value is None and stood is None:
        return draft.text
    changes: dict[str, object] = {forms.dotted(path): value}
    if kind and isinstance(value, str):
        part = path[:-1]
        own = _at(draft.data, part)
        own = own if isinstance(own, dict) else {}
        known = forms.names_of(forms.annotation_at(part, draft.data)[0], value)
        start = forms.starting(value)
        changes |= {forms.dotted((*part, old)): None for old in own if old not in known}
        changes |= {
            forms.dotted((*part, new)): told
            for new, told in start.items()
            if new not in own and new != "kind"
        }
    return change_text(draft.text, changes, name)


def _at(data: Any, path: forms.Path) -> Any:
    """What stands at a path; None where there is nothing."""
    for step in path:
        named = isinstance(data, dict) and step in data
        placed = isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data)
        if not (named or placed):
            return None
        data = data[step]
    return data


class _View:
    """One visit's page."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.client = context.client
        self.loop = asyncio.get_running_loop()
        self.message = ""
        self.asked: dict[str, Callable[[], None]] = {}
        self._order = asyncio.Lock()
        self._timer: asyncio.TimerHandle | None = None
        draft = _drafts.get(desk)
        if draft is None or (draft.sound and draft.text != desk.text):
            draft = _drafts[desk] = Draft(desk.text, taken=desk.text)
        self.draft = draft
        self.root = ui.element("div").classes("page-root")
        with self.root:
            ui.html(style("editor"), sanitize=False)
            with ui.element("div").classes("editor-page"):
                ui.html(_SKELETON, sanitize=False)
                self.upload = ui.upload(
                    on_upload=self.uploaded,
                    on_rejected=lambda: self.tell("Too large: 1 MB for a .toml, 20 MB for a .csv."),
                    max_file_size=safety.LARGEST_CSV,
                    auto_upload=True,
                ).classes("picker")
                self.upload.props('accept=".toml,.csv"')
                with ui.element("div").classes("both"):
                    ui.html(_FORM, sanitize=False)
                    with ui.element("section").classes("card text").props('aria-label="Text"'):
                        ui.html('<div id="editor-head"></div>', sanitize=False)
                        self.editor = ui.codemirror(
                            draft.text, on_change=self.written, language="TOML", indent="  "
                        ).classes("toml")
                        ui.html('<div id="editor-faults" aria-live="polite"></div>', sanitize=False)
        self.root.on("desk", self.hear, ["detail"])
        self.root.on("change", self.typed, js_handler=_TYPED)
        self.root.on("click", self.named, js_handler=_CLICKED)
        self.root.on("theme", self.themed, ["detail"])
        self.client.run_javascript(WATCH)
        self._end = desk.watch(self.changed)

    def start(self) -> None:
        """Show everything."""
        self.draft.read(self.desk.name, self.desk.folder)
        self.show()

    # ------------------------------------------------------------------ what happened
    def changed(self) -> None:
        """The desk changed, in whatever thread."""
        self.loop.call_soon_threadsafe(lambda: self.loop.create_task(self.refresh()))

    async def refresh(self) -> None:
        """Take over what the desk has now, unless it is what was written here."""
        if self.root.is_deleted:
            self._end()
            return
        async with self._order:
            text = await asyncio.to_thread(lambda: self.desk.text)
            if text != self.draft.taken:
                if not self.draft.sound and self.draft.text != text:
                    lost = self.draft.text
                    self.ask(
                        "The bridge changed, so the draft with faults was set aside.",
                        back=("Bring it back", lambda: self.set(lost)),
                    )
                self.set(text, desk=True)
            self.show(form=text != self.draft.taken)
            self.draft.taken = text

    async def themed(self, event: events.GenericEventArguments) -> None:
        """The page is light or dark now."""
        told = event.args.get("detail") if isinstance(event.args, dict) else ""
        self.editor.theme = "vscodeDark" if told == "dark" else "vscodeLight"

    async def typed(self, event: events.GenericEventArguments) -> None:
        """A field of a form was changed."""
        told = event.args if isinstance(event.args, dict) else {}
        typed = str(told.get("value", ""))[:_LONGEST]
        kind = bool(told.get("kind"))
        async with self._order:
            try:
                path = forms.path_of(str(told.get("path", "")))
                text = changed_text(self.draft, path, typed, kind=kind, name=self.desk.name)
            except InputError as error:
                self.tell(*_lines(error))
                return
            await self.take(text, forms.dotted(path), form=kind)

    async def named(self, event: events.GenericEventArguments) -> None:
        """A part was added, or the file saved, under a name that was typed."""
        told = event.args if isinstance(event.args, dict) else {}
        if "save" in told:
            async with self._order:
                try:
                    await self.save_as(str(told["save"]).strip()[:120])
                except BedstoneError as error:
                    self.tell(*_lines(error))
            return
        name = str(told.get("name", "")).strip()[:60]
        async with self._order:
            try:
                path = forms.path_of(str(told.get("path", "")))
                if not name or '"' in name:
                    raise InputError([Fault("form", "name", repr(name), "a name without quotes")])
                if _at(self.draft.data, (*path, name)) is not None:
                    raise InputError([Fault("form", "name", repr(name), "a name not used yet")])
                annotation, _ = forms.annotation_at((*path, name), self.draft.data)
                value = forms.first_value(annotation)
                text = forms.with_entry(self.draft.text, path, value, name)
            except InputError as error:
                self.tell(*_lines(error))
                return
            await self.take(text, f"{name} added", form=True)

    def written(self, event: events.ValueChangeEventArguments[str]) -> None:
        """The text was edited; it is read after a pause."""
        text = event.value or ""
        if text == self.draft.text:
            return
        self.draft.text = text
        if self._timer is not None:
            self._timer.cancel()
        self._timer = self.loop.call_later(
            _READ_AFTER, lambda: self.loop.create_task(self.read_text())
        )

    async def read_text(self) -> None:
        """Read what was written into the text."""
        async with self._order:
            await self.take(self.draft.text, "text edited", form=True, text_too=False)

    async def hear(self, event: events.GenericEventArguments) -> None:
        """A button of the page."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        async with self._order:
            try:
                await self._do(what, value)
            except BedstoneError as error:
                self.tell(*_lines(error))

    async def _do(self, what: str, value: str) -> None:
        draft = self.draft
        if what == "section" and value in {section.word for section in forms.SECTIONS}:
            draft.section = value
            self.show()
        elif what == "line" and value.isdigit():
            self.editor.reveal_line(int(value))
        elif what in ("add", "remove"):
            path = forms.path_of(value)
            if what == "add":
                forms.annotation_at((*path, 0), draft.data)
                text = forms.with_entry(draft.text, path, forms.NEW[str(path[-1])])
            else:
                text = change_text(draft.text, {forms.dotted(path): None}, self.desk.name)
            await self.take(text, f"{forms.dotted(path)} {what}", form=True)
        elif what == "answer":
            does = self.asked.pop(value, None)
            self.message, self.asked = "", {}
            if does is not None:
                does()
            self.show()
        elif what == "template" and value in TEMPLATES:
            self.leave(lambda: self.use_template(value))
        elif what == "open" and value:
            self.leave(lambda: self.use_file(value))
        elif what == "download":
            ui.download.content(draft.text.encode(), self.desk.name, "application/toml")

    # ------------------------------------------------------------------ the draft
    async def take(self, text: str, told: str, *, form: bool, text_too: bool = True) -> None:
        """Make a text the draft; the desk takes it when it is a valid bridge file."""
        draft = self.draft
        draft.text = text
        await asyncio.to_thread(draft.read, self.desk.name, self.desk.folder)
        self.message, self.asked = "", {}
        if draft.sound:
            draft.taken = text
            try:
                await asyncio.to_thread(self.desk.edit, text, told)
            except BedstoneError as error:
                self.message = parts.problem(_lines(error))
        if draft.text is not text:
            return  # edited meanwhile, from what stood before: that is read next
        if text_too and self.editor.value != text:
            self.editor.value = text
        self.show(form=form)

    def set(self, text: str, *, desk: bool = False) -> None:
        """Put another text in the place of the draft."""
        self.draft.text = text
        self.draft.read(self.desk.name, self.desk.folder)
        self.editor.value = text
        if not desk and self.draft.sound:
            self.desk.edit(text, "draft")

    # ------------------------------------------------------------------ files
    def leave(self, then: Callable[[], None]) -> None:
        """Go to another file; asks first where something would be left behind."""
        if not self.desk.changed and self.draft.sound:
            then()
            return
        name = self.desk.name
        if not self.draft.sound:
            told = f"The draft of {name} has faults and is lost when you leave; download keeps it."
        elif self.desk.path is None:
            told = f"{name} was never saved and is lost when you leave."
        else:
            told = f"Changes of {name} are not saved; they are offered when it is opened again."
        self.ask(told, go=("Leave them", then))

    def use_template(self, kind: str) -> None:
        """Start from a template; the tables that belong to it are put beside it."""
        folder = self.desk.folder
        try:
            for name, text in template_files(kind).items():
                target = safety.inside(folder, name)
                if target.exists() and read_text(target, safety.LARGEST_CSV) != text:
                    found = f"{name} is there and says something else"
                    raise InputError([Fault("template", "tables", found, "another folder")])
                if not target.exists():
                    self.desk.writer.write(target, text)
            self._go(Desk.from_template(kind, folder, self.desk.writer))
        except BedstoneError as error:
            self.tell(*_lines(error))

    def use_file(self, name: str) -> None:
        """Open another bridge file of the folder."""
        try:
            self._go(Desk.open(safety.inside(self.desk.folder, name), self.desk.writer))
        except BedstoneError as error:
            self.tell(*_lines(error))

    def _go(self, desk: Desk) -> None:
        with self.root:
            ui.navigate.to(app.adopt(desk, "editor"))

    async def save_as(self, name: str) -> None:
        """Save under another name of the same folder."""
        if not self.draft.sound:
            self.tell("A draft with faults is not saved: mend the faults, or download it.")
            return
        target = safety.inside(
            self.desk.folder, name if name.endswith(".toml") or not name else f"{name}.toml"
        )
        try:
            await asyncio.to_thread(self.desk.save, target)
        except StaleError:

            def over() -> None:
                self.desk.save(target, force=True)

            told = f"There is another {target.name} in this folder; nothing was written."
            self.ask(told, over=("Overwrite it with mine", over))
            return
        self.tell(f"Saved as {target.name}; this page now works on that file.")

    async def uploaded(self, event: events.UploadEventArguments) -> None:
        """A file was uploaded: a .toml becomes the draft, a .csv goes beside the bridge file."""
        async with self._order:
            try:
                if event.file.size() > safety.LARGEST_CSV:
                    raise InputError([Fault("upload", "file", "too large", "at most 20 MB")])
                name = event.file.name
                text = safety.uploaded(name, await event.file.read())
                if name.lower().endswith(".toml"):
                    await self.take(text, f"{name} uploaded", form=True)
                else:
                    target = safety.inside(self.desk.folder, name)
                    if target.exists():
                        found = f"{name} is there already"
                        allowed = "a table of another name; the one on disk is left as it is"
                        raise InputError([Fault("upload", "name", found, allowed)])
                    await asyncio.to_thread(self.desk.writer.write, target, text)
                    await self.take(self.draft.text, f"{name} uploaded", form=True)
                    self.tell(f"{name} lies beside the bridge file now.")
            except BedstoneError as error:
                self.tell(*_lines(error))
            self.upload.reset()

    # ------------------------------------------------------------------ what is shown
    def tell(self, *lines: str) -> None:
        """Say something above the forms."""
        self.message = parts.problem(lines) if len(lines) > 1 else parts.notes(lines)
        self.asked = {}
        put(self.client, {"editor-message": self.message})

    def ask(self, text: str, **answers: tuple[str, Callable[[], None]]) -> None:
        """Ask something above the forms."""
        self.asked = {word: does for word, (_, does) in answers.items()}
        buttons = "".join(
            f'<button type="button" data-do="answer" data-value="{word}" '
            f'data-key="answer-{word}">{escape(label)}</button>'
            for word, (label, _) in {**answers, "no": ("Cancel", None)}.items()
        )
        self.message = (
            f'<div class="message" role="alert"><div>{escape(text)}</div>'
            f'<div class="tools">{buttons}</div></div>'
        )
        put(self.client, {"editor-message": self.message})

    def show(self, *, form: bool = True) -> None:
        """Send what the page shows; without `form` the fields stay, their messages follow."""
        if self.root.is_deleted:
            return
        draft = self.draft
        sheet = draft.sheet
        content = {
            "editor-files": self._files(),
            "editor-message": self.message,
            "editor-sections": self._sections(),
            "editor-head": self._head(),
            "editor-faults": faults_html(draft),
        }
        made = self._form(sheet)
        if form:
            content["editor-form"] = made
        put(self.client, content)
        if not form:
            told = forms.faults_html(sheet, forms.paths_in(made))
            self.client.run_javascript(
                f"{_FAULTS}({parts.script({mark: text for mark, text in told.items() if text})})"
            )
        mark_lines(self.editor, draft)

    def _form(self, sheet: forms.Sheet) -> str:
        if not self.draft.readable:
            told = "The text is not TOML; the forms come back when the line at fault is mended."
            return f'<p class="problem" role="alert">{told}</p>'
        section = next(one for one in forms.SECTIONS if one.word == self.draft.section)
        return forms.form(section, sheet)

    def _files(self) -> str:
        desk = self.desk
        names = sorted(path.name for path in desk.folder.glob("*.toml") if path.is_file())
        why = desk.writer.why_not
        told = f' title="{escape(why)}"' if why else ""
        others = [(name, name) for name in names[:_MOST_FILES] if name != desk.name]
        return (
            parts.choices("open", "Open", [("", f"{desk.name} …"), *others], "")
            + parts.choices(
                "template", "Start from a template",
                [("", "choose …"), *((kind, kind) for kind in TEMPLATES)], "",
            )
            + f'<button type="button" data-pick="yes" data-key="pick"{told}>'
            f"Upload .toml{'' if why else ' or .csv'}</button>"
            '<button type="button" data-do="download" data-key="download">Download</button>'
            '<label class="field"><span>Name in this folder</span>'
            '<input id="editor-name" data-key="name" maxlength="120" autocomplete="off" '
            f'value="{escape("" if desk.path is not None else desk.name)}"></label>'
            f'<button type="button" data-do="save as" data-key="save as"{told}'
            f"{' disabled' if why else ''}>Save as</button>"
            + parts.notes([why] if why else [])
        )  # fmt: skip

    def _sections(self) -> str:
        draft = self.draft
        made = []
        for section in forms.SECTIONS:
            count = sum(1 for fault in draft.faults if _belongs(fault, section))
            mark = f' <b class="count" title="faults">{count}</b>' if count else ""
            current = ' aria-current="true"' if section.word == draft.section else ""
            made.append(
                f'<button type="button" data-do="section" data-value="{section.word}" '
                f'data-key="section-{section.word}"{current}>{section.name}{mark}</button>'
            )
        return "".join(made)

    def _head(self) -> str:
        draft = self.draft
        if draft.sound:
            state = '<span class="sound">✓ a valid bridge file</span>'
        else:
            word = "fault" if len(draft.faults) == 1 else "faults"
            state = (
                f'<span class="unsound">✕ {len(draft.faults)} {word}: not taken yet, the other '
                "pages keep the last valid one</span>"
            )
        return f'<div class="bar"><h2>The text</h2><span role="status">{state}</span></div>'


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk).start()


# ------------------------------------------------------------------ faults of a draft
def faults_html(draft: Draft) -> str:
    """Every fault of a draft, with a button that leads to its line, or the table it stands in."""
    rows = []
    for fault in draft.faults:
        line = draft.line(fault)
        place = (
            f'<button type="button" data-do="line" data-value="{line}" '
            f'data-key="line-{line}-{escape(fault.where)}">line {line}</button> '
            if line is not None
            else ""
        )
        file = "" if fault.file == draft.name else f"{visible(fault.file)}: "
        where = fault.where if line is None or not fault.where.startswith("line ") else ""
        told = f"<b>{escape(f'{file}{visible(where)}')}</b>: " if file or where else ""
        rows.append(
            f"<li>{place}{told}found {escape(visible(fault.found))}; allowed: "
            f"{escape(visible(fault.allowed))}</li>"
        )
    return f'<ul class="problem list">{"".join(rows)}</ul>' if rows else ""


def mark_lines(editor: ui.codemirror, draft: Draft) -> None:
    """Mark the lines with faults in the text, with what is wrong for who points at them."""
    tips: dict[int, str] = {}
    count = draft.text.count("\n") + 1
    for fault in draft.faults:
        line = draft.line(fault)
        if line is not None and 1 <= line <= count:
            told = visible(f"{fault.where}: found {fault.found}; allowed: {fault.allowed}")
            tips[line] = f"{tips[line]}\n{told}" if line in tips else told
    marks = [{"kind": "line", "line": line, "class": "cm-fault"} for line in sorted(tips)]
    if editor.decorations != marks:
        editor.decorations = marks
    if editor.line_tooltips != tips:
        editor.line_tooltips = tips


# ------------------------------------------------------------------ small things
def _belongs(fault: Fault, section: forms.Section) -> bool:
    head = fault.where.replace(":", " ").replace(".", " ").replace("[", " ").split(" ")[0]
    return head in section.fields


def _lines(error: BedstoneError) -> tuple[str, ...]:
    """An error as lines for people."""
    if isinstance(error, InputError):
        return tuple(f"{f.where}: found {f.found}; allowed: {f.allowed}" for f in error.faults)
    return (str(error),)
