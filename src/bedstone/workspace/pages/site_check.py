"""Readings of one bearing taken on site: a form for the telephone, verdicts, and the record."""

from __future__ import annotations

import asyncio
import datetime as dt
import weakref
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

from nicegui import events, ui

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.site.known_bridge import KnownBridge, known_bridge
from bedstone.site.quantities import Read
from bedstone.workspace import app, parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.engine import CancelledError, Job, Progress
from bedstone.workspace.pages import asking
from bedstone.workspace.pages.answers import Judged, judged, set_out
from bedstone.workspace.pages.asking import Answer, View, action, paragraphs
from bedstone.workspace.pages.reading_entry import (
    VISIT,
    Entry,
    Placed,
    placed,
    read_entry,
    sign_picture,
)
from bedstone.workspace.writer import Writer

if TYPE_CHECKING:
    from bedstone.site.reading_files import FilledForm
    from bedstone.site.readings import Reading

NAME = "Site check"
ORDER = 70

_LONGEST: Final = 200  # characters of a field
_TYPED: Final = """(event) => {
  const field = event.target.closest?.("[data-entry]");
  const value = field?.type === "checkbox" ? (field.checked ? "yes" : "") : field?.value;
  if (field) emit({ name: field.dataset.entry, of: field.dataset.of || "", value });
}"""
#: Day, time and zone of the telephone: those of the place where it is read.
_CLOCK: Final = """
(() => {
  const two = (number) => String(number).padStart(2, "0");
  const now = new Date();
  document.querySelector(".site-page")?.closest(".page-root")?.dispatchEvent(
    new CustomEvent("clock", { detail: {
      Date: `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`,
      Time: `${two(now.getHours())}:${two(now.getMinutes())}`,
      "Time zone": Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC",
    } }));
})()
"""


@dataclass
class _Kept:
    """What one desk has typed, and what came of it."""

    place: str = ""
    visit: dict[str, str] = field(default_factory=dict)
    instrument: str = ""
    entries: dict[str, Entry] = field(default_factory=dict)
    judged: Judged | None = None
    told: str = ""

    def entry(self, place: str) -> Entry:
        """What was typed for a place, with the visit that all places share."""
        entry = self.entries.setdefault(place, Entry())
        entry.visit, entry.instrument = self.visit, self.instrument
        return entry


_all: weakref.WeakKeyDictionary[Desk, _Kept] = weakref.WeakKeyDictionary()


class _View(View):
    about = (
        "What to read on each bearing and where it should stand, from its design and setting; "
        "some seconds."
    )
    button = "Make the form ready"
    skeleton = """
<div class="asked site-page">
  <div id="asking" aria-live="polite"></div>
  <section class="card" aria-label="Where"><div id="where" class="awaits"></div></section>
  <div class="two">
    <div>
      <section class="card" aria-label="The visit"><div id="visit" class="awaits"></div></section>
      <section class="card" aria-label="Readings"><div id="readings" class="awaits"></div></section>
      <div id="doing" class="awaits"></div>
    </div>
    <div><section class="card" aria-label="Verdict" tabindex="-1" id="verdict-card">
      <div id="verdict" class="awaits" aria-live="polite"></div></section></div>
  </div>
</div>
"""

    def __init__(self, desk: Desk) -> None:
        self.kept = _all.setdefault(desk, _Kept())
        self.faults = Placed()
        self.job: Job | None = None
        self.busy = False  # a second press on a button must not keep the readings twice
        self.progress: Progress | None = None
        self.known: KnownBridge | None = None
        self.known_of: Answer | None = None
        super().__init__(desk, "setting", set_out)
        self.root.on("change", self.typed, js_handler=_TYPED)
        self.root.on("clock", self.clocked, ["detail"])
        self.client.run_javascript(_CLOCK)
        if self.asked.answer is None and desk.modelled:
            self.loop.create_task(self.asked.ask())

    def build(self) -> None:
        """The skeleton with its own styles."""
        ui.html(_STYLE + self.skeleton, sanitize=False)

    # ------------------------------------------------------------------ what is typed
    def clocked(self, event: events.GenericEventArguments) -> None:
        """Day, time and zone where the page is looked at, unless they were typed."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if isinstance(told, dict):
            for label in ("Date", "Time", "Time zone"):
                self.kept.visit.setdefault(label, str(told.get(label, ""))[:_LONGEST])
        self.again()

    def typed(self, event: events.GenericEventArguments) -> None:
        """A field was filled in; kept at once, looked at when it is asked for."""
        told = event.args if isinstance(event.args, dict) else {}
        name, value = str(told.get("name", "")), str(told.get("value", ""))[:_LONGEST]
        kind, _, which = name.partition(":")
        kept = self.kept
        if kind == "visit" and which in {label for label, _, _ in VISIT}:
            kept.visit[which] = value
        elif kind == "instrument":
            kept.instrument = value
        elif which.isdecimal() and str(told.get("of", "")) == kept.place:
            entry, number = kept.entry(kept.place), int(which)
            if kind == "value":
                entry.values[number] = value
                entry.looked.discard(number)
            elif kind == "looked":
                (entry.looked.add if value else entry.looked.discard)(number)

    # ------------------------------------------------------------------ what is asked
    async def do(self, what: str, value: str) -> None:
        """Choose where, judge, keep."""
        if what == "place":
            self.kept.place, self.kept.judged, self.kept.told = value, None, ""
            self.faults = Placed()
        elif what == "stop" and self.job is not None:
            self.job.cancel()
        elif what in ("judge", "keep") and self.known is not None and not self.busy:
            self.busy = True
            try:
                await self._judge(self.known, keep=what == "keep")
            finally:
                self.busy = self.job is not None

    async def _judge(self, known: KnownBridge, *, keep: bool) -> None:
        kept = self.kept
        place, entry = kept.place, kept.entry(kept.place)
        kept.judged, kept.told, self.faults = None, "", Placed()
        count = len(known.asked(place))
        try:
            record = self._record()
            form = await asyncio.to_thread(_read, entry, known, place, record)
            if keep:
                writer = self.desk.writer
                kept.told = await asyncio.to_thread(_keep, writer, record, known.name, form, place)
                entry.values.clear()
                entry.looked.clear()
        except InputError as error:
            self.faults = placed(error, count)
            return
        except BedstoneError as error:
            self.faults = Placed(others=asking.lines(error))
            return
        desk = self.desk
        self.progress = Progress(0, 0, "starting")
        self.job = app.engine().start(
            cast(Any, judged), desk.text, desk.name, desk.folder, desk.family, place,
            () if keep else form.readings, told=self._heard,
            who=desk.writer.kept_by, most=desk.writer.works,
        )  # fmt: skip
        self.loop.create_task(self._wait(self.job))

    def _record(self) -> Path:
        from bedstone.site.record import record_file

        path = self.desk.path
        if path is None:
            allowed = "a bridge file that was saved: the record lies beside it"
            raise InputError([Fault(self.desk.name, "file", "never saved", allowed)])
        return record_file(path)

    def _heard(self, progress: Progress) -> None:
        self.progress = progress
        self.again()

    async def _wait(self, job: Job) -> None:
        try:
            self.kept.judged = await job.result()
        except CancelledError:
            self.faults = Placed(others=("Cancelled: the readings were not judged.",))
        except BedstoneError as error:
            self.faults = Placed(others=asking.lines(error))
        finally:
            self.job, self.busy = None, False
        self.asked.tell()  # also to a page of the same desk that was opened meanwhile

    # ------------------------------------------------------------------ what is shown
    def made(self) -> dict[str, str]:
        """Form and verdict."""
        answer = self.asked.answer
        if answer is None:
            return {}
        if self.known is None or self.known_of is not answer:
            self.known = known_bridge(
                answer.bridge, self.desk.folder, answer.value.settings, answer.value.chosen
            )
            self.known_of = answer
        known, kept = self.known, self.kept
        places = [*known.seats, *known.joints]
        if kept.place not in places:
            kept.place = places[0]
        entry = kept.entry(kept.place)
        return {
            "where": _where(known, kept.place),
            "visit": _visit(entry, self.faults),
            "readings": _readings(entry, known.asked(kept.place), kept.place, self.faults),
            "doing": self._doing(),
            "verdict": self._verdict(),
        }

    def _doing(self) -> str:
        if self.job is not None and self.progress is not None:
            return (
                '<div class="running" role="status"><progress aria-label="progress"></progress>'
                f"<span>{escape(self.progress.text)}</span>{action('stop', 'Cancel')}</div>"
            )
        why = self.desk.writer.why_not
        return (
            parts.problem(self.faults.others)
            + (parts.problem(["Nothing was kept: see the fields marked."])
               if self.faults.any and not self.faults.others else "")
            + f'<div class="doing">{action("judge", "Judge")}'
            + action("keep", "Keep in the record and judge", on=not why)
            + "</div>"
            + parts.notes([why or "What is kept stays: a correction is a reading of its own."])
        )  # fmt: skip

    def _verdict(self) -> str:
        kept = self.kept
        head = f'<p class="strong" id="kept" role="status">{escape(kept.told)}</p>'
        told = head if kept.told else ""
        found = kept.judged
        if found is None:
            return told or parts.notes(["The verdict stands here when the readings are judged."])
        good = "Nothing out of tolerance." if found.holds else ""
        tables = "".join(
            f'<div class="scroll" tabindex="0" role="region" aria-label="verdicts {number}">'
            f"{asking.table(sheet)}</div>"
            for number, sheet in enumerate(found.sheets, start=1)
        )
        rest = f"Judged {found.count} readings, {found.kept} of them from the record."
        return (
            f'{told}<div id="judged"><h2>{escape(found.place)}: '
            f"{'within' if found.holds else 'out of tolerance'}</h2>"
            + parts.problem(found.loud)
            + (f"<p>{good}</p>" if good else "")
            + tables
            + "".join(paragraphs(name, lines) for name, lines in found.parts)
            + parts.notes([rest, *([found.memory] if found.memory else [])])
            + "</div>"
        )


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


# ------------------------------------------------------------------ reading and keeping
def _read(entry: Entry, known: KnownBridge, place: str, record: Path) -> FilledForm:
    """What was typed, as a form; nothing can have been read after now."""
    from bedstone.site.record import open_record

    built = None
    if record.exists():
        with open_record(record) as opened:
            built = opened.built
    day = entry.visit.get("Date", "") + entry.visit.get("Time", "").replace(":", "")
    name = "".join(letter for letter in f"{place}-{day}" if letter.isalnum() or letter == "-")
    return read_entry(entry, known, place, f"{name}.csv", now=dt.datetime.now(dt.UTC), built=built)


def _keep(writer: Writer, record: Path, bridge: str, form: FilledForm, place: str) -> str:
    """Put a form into the record, which begins with it where there is none; what was done."""
    from bedstone.site.record import begin_record, open_record

    with writer.adding(record) as adding:
        there = record.exists()
        with open_record(record, write=True) if there else begin_record(record, bridge) as opened:
            batch = opened.add(form, dt.datetime.now(dt.UTC))
            # before the record takes it in for good
            adding([_row(reading, batch.number) for reading in form.readings])
    count = len(form.readings)
    word = "reading" if count == 1 else "readings"
    return f"Kept {count} {word} of {place} in {record.name}, batch {batch.number}."


def _row(reading: Reading, batch: int) -> dict[str, object]:
    """A reading as it is told to those who keep the folder; SI."""
    return {
        "batch": batch,
        "seat": reading.seat,
        "quantity": reading.quantity,
        "place": reading.place,
        "value": reading.value,
        "word": reading.word,
        "time": reading.time.isoformat(),
        "temperature_degC": reading.temperature,
        "who": reading.who,
        "file": reading.file,
    }


# ------------------------------------------------------------------ parts
def _where(known: KnownBridge, place: str) -> str:
    seats = [
        (mark, f"{mark} · {seat.function}{f', {seat.kind}' if seat.kind else ''}")
        for mark, seat in known.seats.items()
    ]
    joints = [(mark, f"joint at {mark}") for mark in known.joints]
    told = ""
    seat = known.seats.get(place)
    if seat is not None and not seat.told:
        told = parts.notes(
            [f"The file names no kind of bearing; asked is what is read on a {seat.kind}."]
        )
    return parts.choices("place", "bearing or joint", [*seats, *joints], place) + told


def _visit(entry: Entry, faults: Placed) -> str:
    first: list[str] = []
    more: list[str] = []
    for label, told, kind in VISIT:
        value, fault = entry.visit.get(label, ""), faults.visit.get(label, "")
        made = _field(f"visit:{label}", label, told, value, fault, kind=kind)
        (first if label in _NEEDED or fault else more).append(made)
    told = "rule, calliper, feeler gauge"
    more.append(_field("instrument", "Instrument", told, entry.instrument, ""))
    return (
        f'<h2>The visit</h2><div class="fields">{"".join(first)}</div>'
        '<details data-fold="visit"><summary>Air, weather, instrument, remark</summary>'
        f'<div class="fields">{"".join(more)}</div></details>'
    )


#: Lines of a visit without which readings say little.
_NEEDED: Final = frozenset({"Taken by", "Date", "Time", "Time zone", "Steel temperature"})
#: Groups of readings: what they are called, and whether a quantity belongs to them.
_GROUPS: Final = ("How it stands", "Plates and parts", "What is seen")


def _group(read: Read) -> str:
    """Numbers that tell the movement first, then the rest of them, then what is said in words."""
    if read.quantity.worded:
        return _GROUPS[2]
    moving = read.quantity.needs not in ("", "once") or read.quantity.at == ("support",)
    return _GROUPS[0 if moving else 1]


def _readings(entry: Entry, asked: tuple[Read, ...], place: str, faults: Placed) -> str:
    rows: dict[str, list[str]] = {group: [] for group in _GROUPS}
    shut = set(_GROUPS)
    for number, read in enumerate(asked):
        group = _group(read)
        first = number == 0 or asked[number - 1].quantity.name != read.quantity.name
        rows[group].append(_reading(entry, number, read, place, faults, told=first))
        if number in faults.readings or entry.values.get(number):
            shut.discard(group)
    shut.discard(next((group for group in _GROUPS if rows[group]), ""))
    groups = "".join(
        f'<details data-fold="{group}"{"" if group in shut else " open"}>'
        f"<summary>{group} ({len(made)})</summary>{''.join(made)}</details>"
        for group, made in rows.items()
        if made
    )
    return "<h2>Readings</h2>" + parts.notes(["Leave out what cannot be read."]) + groups


def _reading(
    entry: Entry, number: int, read: Read, place: str, faults: Placed, *, told: bool
) -> str:
    """One field with its drawing; `told`: with what + means in words."""
    item = read.quantity
    title = f"{item.title}, {read.place}" if read.place else item.title
    value, fault = entry.values.get(number, ""), faults.readings.get(number, "")
    name = f"value:{number}"
    if item.worded:
        control = _words(name, title, item.words, value, fault, place)
    else:
        signed = (item.least or 0.0) < 0.0
        control = _field(
            name, title, item.shown, value, fault, kind="number", place=place, signed=signed
        )
    looked = ""
    if number in faults.doubts or number in entry.looked:
        on = " checked" if number in entry.looked else ""
        looked = (
            f'<label class="looked"><input type="checkbox" data-entry="looked:{number}" '
            f'data-of="{escape(place)}" data-key="looked-{number}"{on}> '
            "I looked at it again: it is right</label>"
        )
    meaning = f'<p class="note">{escape(item.sign)}</p>' if told else ""
    return (
        f'<div class="reading"><div class="typed">{control}{looked}</div>'
        f"{sign_picture(item, read.place)}{meaning}</div>"
    )


def _field(
    name: str,
    label: str,
    told: str,
    value: str,
    fault: str,
    *,
    kind: str = "text",
    place: str = "",
    signed: bool = True,
) -> str:
    """A field with its label, unit or hint, and fault. The keyboard fits: digits without a minus
    only where there is no minus to type.
    """
    mark = "entry-" + "".join(letter if letter.isalnum() else "-" for letter in name)
    mode = "" if kind != "number" or signed else ' inputmode="decimal"'
    form = kind if kind in ("date", "time") else "text"
    return (
        f'<label class="entry"><span>{escape(label)} <small>{escape(told)}</small></span>'
        f'<input type="{form}"{mode} id="{mark}" data-entry="{escape(name)}" '
        f'data-of="{escape(place)}" data-key="{mark}" autocomplete="off" '
        f'value="{escape(value)}"{_invalid(mark, fault)}></label>{_fault(mark, fault)}'
    )


def _words(
    name: str, label: str, words: tuple[str, ...], value: str, fault: str, place: str
) -> str:
    mark = "entry-" + name.replace(":", "-")
    options = "".join(
        f'<option value="{escape(word)}"{" selected" if word == value else ""}>'
        f"{escape(word) or 'not looked at'}</option>"
        for word in ("", *words)
    )
    return (
        f'<label class="entry"><span>{escape(label)}</span><select id="{mark}" '
        f'data-entry="{escape(name)}" data-of="{escape(place)}" data-key="{mark}"'
        f"{_invalid(mark, fault)}>{options}</select></label>{_fault(mark, fault)}"
    )


def _invalid(mark: str, fault: str) -> str:
    return f' aria-invalid="true" aria-describedby="{mark}-fault"' if fault else ""


def _fault(mark: str, fault: str) -> str:
    if not fault:
        return ""
    return f'<div class="fault" id="{mark}-fault" role="alert">{escape(fault)}</div>'


_STYLE: Final = """
<style>
.site-page .entry { display: block; margin: 4px 0; }
.site-page .entry span { display: block; font-weight: 600; }
.site-page .entry small { color: var(--soft); font-weight: 400; }
.site-page .entry input, .site-page .entry select { width: 100%; box-sizing: border-box;
  min-height: 44px; font-size: 16px; padding: 6px 8px; background: var(--card); color: var(--ink);
  border: 1px solid var(--plate); border-radius: 4px; }
.site-page [aria-invalid="true"] { border: 2px solid var(--red) !important; }
.site-page .fault { color: var(--red); font-size: 0.92rem; }
.site-page .fields { display: grid; gap: 4px 12px;
  grid-template-columns: repeat(auto-fit, minmax(min(220px, 100%), 1fr)); }
.site-page .reading { display: grid; grid-template-columns: minmax(0, 1fr) 112px; gap: 2px 12px;
  align-items: end; border-top: 1px solid var(--line); padding: 6px 0; }
.site-page .reading .note { grid-column: 1 / -1; }
.site-page summary { font-weight: 600; min-height: 44px; display: list-item; align-content: center;
  cursor: pointer; }
.site-page .looked { display: flex; gap: 8px; align-items: center; min-height: 44px; }
.site-page .looked input { width: 22px; height: 22px; accent-color: var(--blue); }
.site-page .doing { display: flex; flex-wrap: wrap; gap: 8px; }
.site-page .doing button { min-height: 44px; flex: 1 1 9rem; font-weight: 600; }
.site-page #verdict-card { position: sticky; top: 8px; }
.sign { width: 112px; height: 64px; }
.sign .plate { fill: var(--plate-soft); stroke: var(--ink); stroke-width: 0.8; }
.sign .pad, .sign .there { fill: var(--card); stroke: var(--ink); stroke-width: 0.8; }
.sign .here { fill: var(--blue); }
.sign .axis { fill: none; stroke: var(--soft); stroke-width: 0.8; stroke-dasharray: 4 2 1 2; }
.sign .read { fill: none; stroke: var(--blue); stroke-width: 1.8; }
.sign text { font-size: 9px; fill: var(--soft); }
.sign text.plus { font-size: 15px; font-weight: 600; fill: var(--blue); }
@media (max-width: 900px) { .site-page #verdict-card { position: static; } }
</style>
"""
