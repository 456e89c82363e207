"""One bearing: its drawing, parts, checks and sizes; an edited size moves the utilisations."""

from __future__ import annotations

import asyncio
import math
import time
import weakref
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from html import escape
from typing import Any, Final, cast

from nicegui import context, events, ui

from bedstone.bearings import catalogue
from bedstone.bearings.asked import given_at, unit_of
from bedstone.bearings.base import Design
from bedstone.bridge.edit import change_text
from bedstone.bridge.schema import BearingKind, Bridge, GivenBearing
from bedstone.bridge.units import UnitError
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.output import bearings as told_of
from bedstone.output.drawing.details import Made, detail
from bedstone.output.drawing.picture import Picture, Text, extent
from bedstone.output.drawing.title import HEIGHT, MARGIN
from bedstone.output.drawing.to_svg import to_svg
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.result import Schedule
from bedstone.standards.record import Line
from bedstone.workspace import app, parts, sizes, solid, work
from bedstone.workspace.desk import Desk
from bedstone.workspace.engine import CancelledError, Job, Progress
from bedstone.workspace.patch import put, style

NAME = "Bearing"
ORDER = 30

#: What the forces of a schedule do not depend on.
_BESIDE: Final = {"bearings", "compare", "faults", "uncertainty"}
_CAUSES: Final = {
    "print": "read in the printed standard",
    "secondary": "read in a page about the standard",
    "memory": "known from memory: confirm against the printed clause",
    "confirmed": "confirmed by the engineer",
}
_VIEWS: Final = (
    ("corner", "from a corner"),
    ("along", "along section"),
    ("across", "across section"),
    ("above", "from above"),
    ("below", "from below"),
)
#: Room around the views of a drawing, mm.
_AROUND: Final = 4.0
#: A figure of a utilisation that differs by less is shown as the same.
_SAME: Final = 5e-4

_TYPED: Final = """(event) => {
  const input = event.target.closest?.("input[data-size]");
  if (input) emit({ size: input.dataset.size, value: input.value, of: input.dataset.of });
}"""
#: Tells the page when this browser cannot draw in space.
_LOOK: Final = """
(() => {
  const root = document.querySelector(".bearing-page")?.closest(".page-root");
  const canvas = document.createElement("canvas");
  const space = canvas.getContext("webgl2") || canvas.getContext("webgl");
  if (!space) root?.dispatchEvent(new CustomEvent("flat"));
  else space.getExtension("WEBGL_lose_context")?.loseContext();
})()
"""
_FLAT: Final = (
    "This browser draws nothing in space (it has no WebGL, or it is switched off). The drawing to "
    "scale above and the parts below are the same bearing."
)


@dataclass
class _Kept:
    """What one desk was last asked: a schedule, and of which bridge and family it is."""

    schedule: Schedule
    key: str
    seconds: float


_kept: weakref.WeakKeyDictionary[Desk, _Kept] = weakref.WeakKeyDictionary()


@dataclass
class _Shown:
    """What the page looks at."""

    seat: str = ""
    kind: BearingKind | None = None
    edits: dict[str, sizes.Plain] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    beside: bool = False
    large: bool = False


_shown: weakref.WeakKeyDictionary[Desk, _Shown] = weakref.WeakKeyDictionary()


def key_of(bridge: Bridge, family: str) -> str:
    """What a schedule depends on, as text: bearings that are designed are not part of it."""
    return family + bridge.model_dump_json(exclude=_BESIDE)


# ------------------------------------------------------------------ what is computed
def base_sizes(bridge: Bridge, found: SeatDesign) -> dict[str, sizes.Plain]:
    """Sizes of a bearing as they would stand in the file: those of the file, else all of them."""
    own = given_at(bridge, found.seat)
    if own is not None and found.origin == "given":
        return dict(own[1].sizes)
    design = found.choice.design
    if design is None:
        return {}
    return sizes.as_written(design.kind, sizes.restated(design))


def with_sizes(
    schedule: Schedule, desk: Desk, seat: str, kind: BearingKind, told: dict[str, sizes.Plain]
) -> SeatDesign:
    """The bearing of a seat as a file with these sizes would have it.

    Raises `InputError` with the file's own words for sizes that cannot be.
    """
    bridge = desk.bridge
    others = [item for item in bridge.bearings.given if item.seat != seat]
    given = GivenBearing(seat=seat, kind=kind, sizes=told)
    changed = bridge.bearings.model_copy(update={"given": [given, *others]})
    bridge = bridge.model_copy(update={"bearings": changed})
    return design_seat(schedule, bridge, seats_of(bridge, desk.folder), seat)


def misses(found: SeatDesign, again: SeatDesign) -> str:
    """What sizes in the file cannot say of a bearing that was sized, in words; "" if nothing."""
    design, same = found.choice.design, again.choice.design
    if design is None or same is None:
        return ""
    names = [part.name for part in same.parts]
    lost = [part.name for part in design.parts if part.name not in names]
    close = abs(design.mass - same.mass) <= 1e-3 * design.mass
    if not lost and close and abs(design.utilisation - same.utilisation) <= _SAME:
        return ""
    what = f" (without {', '.join(lost)})" if lost else ""
    return (
        "The words for sizes cannot say all of this bearing: given by its sizes it is another "
        f"one{what}, of {same.mass:.0f} kg and used {same.utilisation:.2f}."
    )


class _View:
    """One visit's page."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.client = context.client
        self.loop = asyncio.get_running_loop()
        self.shown = _shown.setdefault(desk, _Shown())
        self.job: Job | None = None
        self.progress: Progress | None = None
        self.problem: tuple[str, ...] = ()
        self.note = ""
        self.found: SeatDesign | None = None
        self.edited: SeatDesign | None = None
        self.miss = ""
        self.seconds = 0.0
        self._order = asyncio.Lock()
        self._figure: Design | None = None
        self.root = ui.element("div").classes("page-root")
        with self.root:
            ui.html(style("bearing"), sanitize=False)
            with ui.element("div").classes("bearing-page"):
                with ui.element("div").classes("pile"):
                    ui.html(_MAIN, sanitize=False)
                    with ui.element("section").classes("card").props('aria-label="In space"'):
                        self.space = ui.html(_space(), sanitize=False)
                        self.plot = ui.plotly({"data": [], "layout": {"height": 60}})
                        self.plot.classes("w-full")
                    ui.html(_LISTS, sanitize=False)
                ui.html(_SIDE, sanitize=False)
        self.root.on("desk", self.hear, ["detail"])
        self.root.on("change", self.typed, js_handler=_TYPED)
        self.root.on("flat", self.flatten, [])
        self.client.run_javascript(_LOOK)
        self._end = desk.watch(self.changed)

    # ------------------------------------------------------------------ what happened
    def changed(self) -> None:
        """The desk changed, in whatever thread."""
        self.loop.call_soon_threadsafe(lambda: self.loop.create_task(self.refresh()))

    async def refresh(self) -> None:
        """Design anew after a change of the desk, where the schedule still holds."""
        if self.root.is_deleted:
            self._end()
            return
        async with self._order:
            if self.schedule is None:
                self.make()
            elif not self.stale:
                await self._design()
            self.show()

    async def hear(self, event: events.GenericEventArguments) -> None:
        """Something was clicked or chosen."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        if what == "cancel" and self.job is not None:
            self.job.cancel()
            return
        async with self._order:
            await self._do(what, value)
            self.show()

    async def _do(self, what: str, value: str) -> None:
        shown = self.shown
        self.note = ""
        try:
            if what == "seat" and value in self.marks:
                shown.seat, shown.kind = value, None
                self._forget()
                await self._design()
            elif what == "kind":
                shown.kind = catalogue.kind_name(value) if value else None
                self._forget()
                await self._design()
            elif what == "beside":
                shown.beside = not shown.beside
                await self._design()
            elif what == "make":
                self.make()
            elif what == "large":
                shown.large = not shown.large
            elif what == "back":
                self._forget()
            elif what == "view" and value in solid.VIEWS and not self.plot.is_deleted:
                self.plot.run_plot_method("relayout", {"scene.camera": solid.camera(value)})
            elif what == "write kind":
                await asyncio.to_thread(self._write_kind)
            elif what == "write sizes":
                await asyncio.to_thread(self._write_sizes)
        except BedstoneError as error:
            self.problem = _lines(error)

    async def typed(self, event: events.GenericEventArguments) -> None:
        """A size was typed."""
        told = event.args if isinstance(event.args, dict) else {}
        name, text = str(told.get("size", "")), str(told.get("value", ""))[:80]
        async with self._order:
            now = self.edited or self.found
            if now is None or now.choice.design is None:
                return
            fields = catalogue.kind_of(now.choice.kind).fields()
            # the field of a bearing that was left meanwhile says nothing of this one
            if name not in fields or told.get("of") != f"{now.seat} {now.choice.kind}":
                return
            shown = self.shown
            self.note = ""
            shown.typed[name] = text
            shown.faults.pop(name, None)
            try:
                if text.strip():
                    value = sizes.typed(text, fields[name])
                    shown.edits[name] = sizes.as_written(now.choice.kind, {name: value})[name]
                else:
                    shown.edits[name] = ""  # left out: the kind's own default
            except UnitError as error:
                shown.edits.pop(name, None)
                shown.faults[name] = str(error)
            await self._assess()
            self.show()

    def flatten(self) -> None:
        """Say in words that there is no view in space in this browser."""
        if not self.plot.is_deleted:
            self.plot.delete()
            self.space.set_content(f"<h2>In space</h2>{parts.notes([_FLAT])}")

    # ------------------------------------------------------------------ the schedule
    @property
    def schedule(self) -> Schedule | None:
        """The schedule that was made last for this desk."""
        kept = _kept.get(self.desk)
        return kept.schedule if kept is not None else None

    @property
    def stale(self) -> bool:
        """Whether the bridge was changed since."""
        kept = _kept.get(self.desk)
        return kept is not None and kept.key != key_of(self.desk.bridge, self.desk.family)

    @property
    def marks(self) -> list[str]:
        """Seats with a bearing."""
        schedule = self.schedule
        if schedule is None:
            return []
        return [seat.mark for seat in schedule.seats if seat.function != "none"]

    def make(self) -> None:
        """Start the schedule in a worker."""
        if self.job is not None and not self.job.done:
            return
        desk = self.desk
        self.problem, self.progress = (), Progress(0, 0, "starting")
        key = key_of(desk.bridge, desk.family)
        self.job = app.engine().start(
            cast(Any, work.full_schedule),
            desk.text,
            desk.name,
            desk.folder,
            desk.family,
            told=self._heard,
            who=desk.writer.kept_by,
            most=desk.writer.works,
        )
        self.loop.create_task(self._wait(self.job, key, time.perf_counter()))

    def _heard(self, progress: Progress) -> None:
        self.progress = progress
        put(self.client, {"bearing-work": self._working()})

    async def _wait(self, job: Job, key: str, start: float) -> None:
        try:
            schedule = await job.result()
        except CancelledError:
            self.problem = ("The schedule was cancelled.",)
        except BedstoneError as error:
            self.problem = _lines(error)
        else:
            _kept[self.desk] = _Kept(schedule, key, time.perf_counter() - start)
        self.progress = None
        if self.root.is_deleted:
            return
        async with self._order:
            if not self.problem:
                await self._design()
            self.show()

    # ------------------------------------------------------------------ the bearing
    def _forget(self) -> None:
        """Drop the edits."""
        shown = self.shown
        shown.edits, shown.typed, shown.faults = {}, {}, {}
        self.edited = None

    async def _design(self) -> None:
        schedule = self.schedule
        if schedule is None or not self.marks:
            return
        if self.shown.seat not in self.marks:
            self.shown.seat = self.marks[0]
            self._forget()
        self.problem = ()
        try:
            self.found, self.miss = await asyncio.to_thread(self._found, schedule)
        except BedstoneError as error:
            self.found, self.edited, self.problem = None, None, _lines(error)
            return
        await self._assess()

    def _found(self, schedule: Schedule) -> tuple[SeatDesign, str]:
        desk, shown = self.desk, self.shown
        seats = seats_of(desk.bridge, desk.folder)
        found = design_seat(
            schedule, desk.bridge, seats, shown.seat, shown.kind, compared=shown.beside
        )
        miss = ""
        if found.choice.design is not None and found.origin != "given":
            told = base_sizes(desk.bridge, found)
            try:
                miss = misses(
                    found, with_sizes(schedule, desk, found.seat, found.choice.kind, told)
                )
            except InputError as error:
                miss = "Its sizes cannot be given in the file: " + "; ".join(_lines(error))
        return found, miss

    async def _assess(self) -> None:
        """Hold the edited sizes against the demand."""
        self.edited = None
        shown, found, schedule = self.shown, self.found, self.schedule
        if not shown.edits or found is None or schedule is None:
            return
        start = time.perf_counter()
        try:
            self.edited = await asyncio.to_thread(
                with_sizes, schedule, self.desk, found.seat, found.choice.kind, self._sizes(found)
            )
        except InputError as error:
            self._place(error)
        self.seconds = time.perf_counter() - start

    def _sizes(self, found: SeatDesign) -> dict[str, sizes.Plain]:
        """Sizes with the edits, as they would stand in the file."""
        told = base_sizes(self.desk.bridge, found) | self.shown.edits
        return {name: value for name, value in told.items() if value != ""}

    def _place(self, error: InputError) -> None:
        """Put faults to the sizes they speak of; others stand above the page."""
        rest = []
        for fault in error.faults:
            name = _size_of(fault)
            if name is not None:
                self.shown.faults[name] = f"found {fault.found}; allowed: {fault.allowed}"
            else:
                rest.append(fault)
        self.problem = _lines(InputError(rest)) if rest else ()

    # ------------------------------------------------------------------ into the file
    def _write_kind(self) -> None:
        desk, found = self.desk, self.found
        if found is None:
            return
        seat, kind = found.seat, found.choice.kind
        self.shown.kind = None
        self._forget()
        told = []
        bridge = desk.bridge
        if given_at(bridge, seat) is not None:
            desk.edit(sizes.without_given(desk.text, bridge, seat), f"sizes of {seat} taken out")
            told.append("the sizes given for this seat are taken out")
        support = seats_of(bridge, desk.folder).known(seat).support
        if seat in bridge.bearings.kinds or support in bridge.bearings.kinds:
            text = change_text(desk.text, {f'bearings.kinds."{seat}"': kind}, desk.name)
            desk.edit(text, f"{seat} {kind}")
        desk.set_function(seat, kind=kind)
        told.append("the kind decides the friction too, so the schedule is made again")
        self.note = (
            f"{seat}: {kind} is in the file, not saved yet; {'; '.join(told)}. Undo goes back."
        )
        self.loop.call_soon_threadsafe(self.make)

    def _write_sizes(self) -> None:
        desk, now = self.desk, self.edited or self.found
        if now is None or now.choice.design is None or self.found is None or self.shown.faults:
            return
        seat, kind = now.seat, now.choice.kind
        text = sizes.with_given(desk.text, desk.bridge, seat, kind, self._sizes(self.found))
        self.shown.kind = None
        self._forget()
        desk.edit(text, f"sizes of {seat}")
        self.note = f"{seat}: the sizes stand in the file under bearings.given, not saved yet."

    # ------------------------------------------------------------------ what is shown
    def show(self) -> None:
        """Send everything that the page shows."""
        if self.root.is_deleted:
            return
        now = self.edited or self.found
        design = now.choice.design if now is not None else None
        content = {
            "bearing-choose": self._choosing(),
            "bearing-work": self._working(),
            "bearing-summary": self._summary(),
            "bearing-drawing": "",
            "bearing-parts": "",
            "bearing-checks": "",
            "bearing-sizes": "",
            "bearing-beside": self._beside(),
        }
        if now is not None and design is not None:
            content["bearing-drawing"] = self._drawing(now, design)
            content["bearing-parts"] = _table(
                _numbered(told_of.parts(design)), "Parts of one bearing"
            )
            content["bearing-checks"] = self._checks(design)
            content["bearing-sizes"] = self._fields(now, design)
        put(self.client, content)
        if self.plot.is_deleted:
            return
        if design is None and self._figure is not None:
            self._figure = None
            self.plot.update_figure({"data": [], "layout": {"height": 60}})
        if design is not None and design is not self._figure:
            self._figure = design
            try:
                self.plot.update_figure(solid.figure(design))
            except BedstoneError:  # the drawing says so in its place
                self.plot.update_figure({"data": [], "layout": {"height": 60}})

    def _choosing(self) -> str:
        schedule, shown = self.schedule, self.shown
        if schedule is None:
            return ""
        functions = {seat.mark: seat.function for seat in schedule.seats}
        seats = [(mark, f"{mark} · {functions[mark]}") for mark in self.marks]
        kinds = [("", "as the file says"), *((kind, kind) for kind in catalogue.kinds())]
        pressed = str(shown.beside).lower()
        return (
            parts.choices("seat", "Seat", seats, shown.seat)
            + parts.choices("kind", "Kind", kinds, shown.kind or "")
            + f'<button type="button" data-do="beside" data-key="beside" aria-pressed="{pressed}">'
            "All kinds side by side</button>"
        )

    def _working(self) -> str:
        progress, kept = self.progress, _kept.get(self.desk)
        if progress is not None:
            most = f' max="{progress.total}" value="{progress.done}"' if progress.total else ""
            return (
                f'<p class="note" role="status">The schedule is being made: '
                f'{escape(progress.text)} <progress{most} aria-label="progress"></progress> '
                '<button type="button" data-do="cancel" data-key="cancel">Cancel</button></p>'
            )
        again = (
            '<button type="button" data-do="make" data-key="make">Make the schedule again</button>'
        )
        told = parts.problem(self.problem)
        if kept is None:
            return told + again.replace(" again", "")
        if self.stale:
            told += (
                '<p class="problem" role="alert">The bridge was changed since this schedule was '
                f"made: what follows stands for the bridge as it was. {again}</p>"
            )
        if self.note:
            told += f'<p class="note" role="status">{escape(self.note)}</p>'
        return told

    def _summary(self) -> str:
        now = self.edited or self.found
        if now is None:
            return ""
        choice, design = now.choice, now.choice.design
        head = f"<h2>{escape(told_of.title(now))}</h2>"
        head += f'<p class="note">{escape(told_of.asked(now))}</p>'
        if design is None:
            lines = told_of.summary(now)[1:]
            return head + parts.problem(lines)
        facts = [
            ("Used", _use(choice.governing, self._before(choice.governing)), ""),
            ("Height", f"{design.height * 1e3:.0f}", "mm"),
            ("Plan", f"{design.reach[0] * 1e3:.0f} × {design.reach[1] * 1e3:.0f}", "mm"),
            ("Mass", f"{design.mass:.0f}", "kg"),
            ("Sends below along x'", f"{design.horizontal / 1e3:.0f}", "kN"),
        ]
        word = '<span class="passes">passes</span>' if design.passes else (
            '<span class="fails">does not pass</span>')  # fmt: skip
        inner = "".join(
            f"<div><dt>{escape(name)}</dt><dd>{value} {unit}</dd></div>"
            for name, value, unit in facts
        )
        origin = "edited here, not in the file" if self.edited is not None else ""
        about = origin or told_of.summary(now)[1].removeprefix("Bearing: ").rstrip(".")
        notes = told_of.remarks(now)
        remarks = "".join(f"<li>{escape(note)}</li>" for note in notes)
        if self.shown.faults:
            wrong = ", ".join(_label(name) for name in self.shown.faults)
            head += parts.problem([f"Sizes that cannot be: {wrong}. Shown is the bearing before."])
        more = (
            f'<details class="more" data-fold="remarks"><summary>Notes ({len(notes)})'
            f'</summary><ul class="words">{remarks}</ul></details>'
            if remarks
            else ""
        )
        return (
            f"{head}<p>{word} · {escape(about)} · governed by {escape(told_of.governs(choice))}</p>"
            f'<dl class="facts">{inner}</dl>{more}'
        )

    def _before(self, line: Line | None) -> Line | None:
        """The same check of the bearing before the edits."""
        if line is None or self.edited is None or self.found is None:
            return None
        design = self.found.choice.design
        if design is None:
            return None
        return next((other for other in design.lines if _same(line, other)), None)

    def _drawing(self, now: SeatDesign, design: Design) -> str:
        head = self.desk.bridge.bridge
        try:
            made = Made((now.seat,), design, now.demand)
            picture = detail(head.name, head.reference, made, "1")
            svg = cropped(picture, to_svg(picture, themed=True))
        except BedstoneError as error:
            return parts.notes([str(error)])
        large = str(self.shown.large).lower()
        style = "sheet large" if self.shown.large else "sheet"
        label = f"Detail drawing of the bearing {now.seat}"
        return (
            f'<div class="bar"><h2>Drawing to scale <small class="note">lengths in mm; the numbers '
            "in rings are those of the list of parts</small></h2>"
            f'<button type="button" data-do="large" data-key="large" aria-pressed="{large}">'
            f'Larger</button></div><div class="{style}" data-scroll="drawing" tabindex="0" '
            f'role="region" aria-label="{escape(label)}">{svg}</div>'
        )

    def _checks(self, design: Design) -> str:
        edited = self.edited is not None
        before = '<th scope="col" class="n">before</th>' if edited else ""
        rows = []
        for number, line in enumerate(design.lines):
            over = ' class="over"' if (line.utilisation or 0.0) > 1.0 + 1e-9 else ""
            cells = told_of.checks(replace(design, lines=(line,))).rows[0]
            _, part, title, found, limit, clause, basis = (cell.text for cell in cells)
            formula = "\n".join(told_of.calculation(line)[1:])
            was = self._before(line)
            old = f'<td class="n">{_used(was)}</td>' if edited else ""
            mark = f'<span class="{escape(basis)}" title="{_CAUSES.get(basis, "")}">{basis}</span>'
            rows.append(
                f'<tr{over}><td class="n">{_bar(line)}<b>{_used(line)}</b></td>{old}'
                f'<td><details data-fold="check-{number}"><summary>{escape(part)}'
                f"{': ' if part else ''}{escape(title)}</summary>"
                f'<div class="formula">{escape(formula)}</div></details></td>'
                f'<td class="n">{escape(found)}</td><td class="n">{escape(limit)}</td>'
                f"<td>{escape(clause)}</td><td>{mark}</td></tr>"
            )
        return (
            '<h2>Checks, worst first</h2><p class="note">Unfold a check for its formula in numbers '
            "and the case that governs.</p>"
            '<div class="scroll" tabindex="0" role="region" aria-label="checks">'
            '<table class="list"><thead><tr><th scope="col" class="n">used</th>'
            f'{before}<th scope="col">check</th><th scope="col" class="n">found</th>'
            '<th scope="col" class="n">limit</th><th scope="col">clause</th>'
            f'<th scope="col">basis</th></tr></thead><tbody>{"".join(rows)}</tbody></table></div>'
        )

    def _beside(self) -> str:
        found = self.found
        if found is None or not found.compared or not self.shown.beside:
            return ""
        sheet = told_of.compared(found.seat, found.compared)
        heads = "".join(_head(column) for column in sheet.columns)
        rows = []
        for choice, cells in zip(found.compared, sheet.rows, strict=True):
            own = ' class="chosen"' if choice.kind == found.choice.kind else ""
            inner = "".join(
                _cell(cell, column) for cell, column in zip(cells, sheet.columns, strict=True)
            )
            look = (
                f'<button type="button" data-do="kind" data-value="{escape(choice.kind)}" '
                f'data-key="look-{escape(choice.kind)}" aria-label="Look at {escape(choice.kind)}">'
                "Look</button>"
                if choice.design is not None
                else ""
            )
            rows.append(f"<tr{own}>{inner}<td>{look}</td></tr>")
        return (
            f'<section class="card" aria-label="Kinds side by side"><h2>{escape(sheet.title)}</h2>'
            '<div class="scroll" tabindex="0" role="region" aria-label="kinds">'
            f'<table class="list"><thead><tr>{heads}<td></td></tr></thead>'
            f"<tbody>{''.join(rows)}</tbody></table></div></section>"
        )

    def _fields(self, now: SeatDesign, design: Design) -> str:
        shown = self.shown
        found = self.found
        assert found is not None
        fields = catalogue.kind_of(design.kind).fields()
        told = sizes.restated(design)
        own = self._sizes(found)
        rows: list[str] = []
        rest: list[str] = []
        for name, words in fields.items():
            unit = unit_of(words)
            # while they are not taken, sizes stand as they were typed
            text = shown.typed.get(name) if shown.faults or self.edited is None else None
            if text is None:
                text = sizes.shown(told[name], unit) if name in told else str(own.get(name, ""))
            fault = shown.faults.get(name, "")
            changed = ' class="changed"' if name in shown.typed else ""
            word = sizes.SHOWN.get(unit, unit)
            mark = f"size-{name}"
            invalid = f' aria-invalid="true" aria-describedby="{mark}-fault"' if fault else ""
            told_fault = (
                f'<div class="fault" id="{escape(mark)}-fault" role="alert">{escape(fault)}</div>'
                if fault
                else ""
            )
            here = name in told or name in own or name in shown.typed
            (rows if here else rest).append(
                f'<div class="size"><label for="{escape(mark)}">{escape(_label(name))}'
                f"<small>{escape(_meaning(words))}</small></label>"
                f'<input id="{escape(mark)}" data-key="{escape(mark)}" data-size="{escape(name)}" '
                f'data-of="{escape(now.seat)} {escape(design.kind)}" '
                f'value="{escape(text)}" autocomplete="off" spellcheck="false"{changed}{invalid}>'
                f'<span class="unit">{escape(word)}</span>{told_fault}</div>'
            )
        left = (
            '<details data-fold="left out"><summary>sizes that are left out</summary>'
            f"{''.join(rest)}</details>"
            if rest
            else ""
        )
        kind_told = found.origin in ("in the file", "given") and shown.kind is None
        editing = bool(shown.typed)
        told_time = f" Checked in {self.seconds * 1e3:.0f} ms." if self.edited else ""
        return (
            "<h2>Sizes</h2>"
            + parts.notes(["A bare number has the unit beside it; 0.4 m or 10 in will do as well."
                           + told_time])
            + (f'<p class="note">{escape(self.miss)}</p>' if self.miss else "")
            + '<div class="tools">'
            + _button("write sizes", "Write these sizes into the file",
                      on=not shown.faults and (editing or found.origin != "given"))
            + _button("write kind", "Write this kind into the file", on=not kind_told)
            + _button("back", "Drop the edits", on=editing)
            + f'</div><div class="sizes" data-scroll="sizes">{"".join(rows)}{left}</div>'
        )  # fmt: skip


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    view = _View(desk)
    view.changed()


# ------------------------------------------------------------------ skeleton
_MAIN: Final = """
<section class="card" aria-label="Which bearing">
  <div class="choosing" id="bearing-choose"></div><div id="bearing-work" aria-live="polite"></div>
  <div id="bearing-summary"></div></section>
<div id="bearing-beside" style="margin-top:10px"></div>
<section class="card" aria-label="Drawing" style="margin-top:10px"><div id="bearing-drawing"></div>
</section>
"""
_LISTS: Final = """
<section class="card" aria-label="Checks"><div id="bearing-checks"></div></section>
<section class="card" aria-label="Parts" style="margin-top:10px"><div id="bearing-parts"></div>
</section>
"""
_SIDE: Final = """
<aside class="card" aria-label="Sizes"><div id="bearing-sizes"></div></aside>
"""


def _space() -> str:
    buttons = "".join(_button("view", label, value=view) for view, label in _VIEWS)
    return (
        '<div class="bar"><h2>In space</h2>'
        f'<div class="tools" role="group" aria-label="fixed views">{buttons}</div></div>'
        '<p class="note">Turn it with the mouse, or take a fixed view; a click on a name in the '
        "list takes a part away.</p>"
    )


# ------------------------------------------------------------------ small things
def cropped(picture: Picture, svg: str) -> str:
    """The views of a detail sheet without its title block and lists, which the page has itself."""
    wide, high = picture.size
    column = min(
        (shape.at[0] for shape in picture.shapes
         if isinstance(shape, Text) and shape.text == "Parts of one bearing"),
        default=wide,
    )  # fmt: skip
    low, left, right = high, wide, 0.0
    for shape in picture.shapes:
        x1, y1, x2, _ = extent((shape,))
        if x2 < column - 1.0 and y1 > MARGIN + HEIGHT + 0.5:
            low, left, right = min(low, y1), min(left, x1), max(right, x2)
    head = f'width="{_n(wide)}mm" height="{_n(high)}mm" viewBox="0 0 {_n(wide)} {_n(high)}"'
    bottom = min(high - MARGIN - HEIGHT - 1.0, high - low + _AROUND)
    left, right = max(left - _AROUND, MARGIN + 0.5), min(right + _AROUND, column - 2.0)
    box = (left, MARGIN + 0.5, right - left, bottom - MARGIN - 0.5)
    return svg.replace(head, 'viewBox="' + " ".join(_n(value) for value in box) + '"', 1)


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _size_of(fault: Fault) -> str | None:
    """The size a fault speaks of, by the words in which the file would name it."""
    _, found, name = fault.where.partition(".sizes.")
    return name.strip("'\"") if found else None


def _same(line: Line, other: Line) -> bool:
    return (line.part, line.title, line.clause) == (other.part, other.title, other.clause)


def _used(line: Line | None) -> str:
    """A utilisation in the words of the tables: cut below 1, raised above it."""
    if line is None or line.utilisation is None:
        return NOTHING
    use = line.utilisation
    if not math.isfinite(use):
        return "beyond"
    hundredths = math.floor(use * 100.0 + 1e-9) if use <= 1.0 else math.ceil(use * 100.0)
    return f"{hundredths / 100.0:.2f}"


def _use(line: Line | None, before: Line | None) -> str:
    told = f"<b>{_used(line)}</b>"
    if line is None or before is None or before.utilisation is None or line.utilisation is None:
        return told
    if abs(line.utilisation - before.utilisation) < _SAME:
        return told
    way = "up" if line.utilisation > before.utilisation else "down"
    return f'{told} <small class="{way}">before {_used(before)}</small>'


def _bar(line: Line) -> str:
    if line.utilisation is None:
        return ""
    share = min(max(line.utilisation, 0.0), 1.0)
    return f'<span class="use" aria-hidden="true"><i style="width:{share * 100.0:.0f}%"></i></span>'


def _label(name: str) -> str:
    """A size in words: ``pad.diameter`` is "pad diameter"."""
    return name.replace(".", " ").replace("_", " ")


def _meaning(words: str) -> str:
    """The kind's words for a size without the SI unit, which stands beside the field in mm."""
    unit = unit_of(words)
    text = words
    if unit:
        for form in (f"{unit}, ", f" ({unit})", f", {unit}"):
            if form in text:
                text = text.replace(form, "", 1)
                break
        else:
            text = text.removeprefix(unit).lstrip("; ")
    return text.strip()


def _button(word: str, label: str, *, on: bool = True, value: str = "") -> str:
    key = f"{word}-{value}" if value else word
    return (
        f'<button type="button" data-do="{word}" data-value="{escape(value)}" '
        f'data-key="{escape(key)}"{"" if on else " disabled"}>{escape(label)}</button>'
    )


def _numbered(sheet: Sheet) -> Sheet:
    """The list of parts with the numbers that stand in rings on the drawing."""
    rest = sheet.columns[1:]  # the first is the number of equal parts, here after the name
    columns = (
        Column("ring", holds="numbers"),
        *rest[:1],
        Column("number", holds="numbers"),
        *rest[1:],
    )
    rows = tuple(
        (Cell(str(ring)), row[1], row[0], *row[2:]) for ring, row in enumerate(sheet.rows, start=1)
    )
    return Sheet(sheet.title, columns, rows)


def _table(sheet: Sheet, title: str) -> str:
    heads = "".join(_head(column) for column in sheet.columns)
    rows = "".join(
        "<tr>"
        + "".join(_cell(cell, column) for cell, column in zip(row, sheet.columns, strict=True))
        + "</tr>"
        for row in sheet.rows
    )
    return (
        f'<h2>{escape(title)}</h2><div class="scroll" tabindex="0" role="region" '
        f'aria-label="{escape(title)}"><table class="list"><thead><tr>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )


def _head(column: Column) -> str:
    unit = f' <span class="unit">{escape(column.unit)}</span>' if column.unit else ""
    own = ' class="n"' if column.holds == "numbers" else ""
    return f'<th scope="col"{own}>{escape(column.head)}{unit}</th>'


def _cell(cell: Cell, column: Column) -> str:
    own = ' class="n"' if column.holds == "numbers" else ""
    tone = ' class="fails"' if cell.tone == "warning" else ""
    return f"<td{own}><span{tone}>{escape(cell.text)}</span></td>"


def _lines(error: BedstoneError) -> tuple[str, ...]:
    """An error as lines for people."""
    if isinstance(error, InputError):
        told: Sequence[Fault] = error.faults
        return tuple(f"{f.where}: found {f.found}; allowed: {f.allowed}" for f in told)
    return (str(error),)
