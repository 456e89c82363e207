"""What pages with long work share: asking in a worker with progress and cancel, tables as HTML.

An answer stays with its desk while other pages are looked at. When the file has changed since it
was asked for, the page says so and keeps showing it until it is asked for anew.
"""

from __future__ import annotations

import asyncio
import weakref
from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Any, Final

from nicegui import context, events, ui

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.bridge.seats import arrangement_functions
from bedstone.errors import BedstoneError, InputError, UnstableError
from bedstone.output.sheets import Sheet
from bedstone.workspace import parts
from bedstone.workspace.app import engine
from bedstone.workspace.desk import Desk
from bedstone.workspace.engine import CancelledError, Job, Progress

#: Styles that these pages need besides those of the workspace.
STYLE: Final = """
<style>
.asked { padding: 10px 14px; display: flex; flex-direction: column; gap: 10px; }
.asked .two { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 10px; }
.asked .two > * { min-width: 0; }
.asked .two > div { display: flex; flex-direction: column; gap: 10px; }
.asked > div:has(> .card) { display: flex; flex-direction: column; gap: 10px; }
.asked h2 { margin-bottom: 4px; }
.asked p { margin: 2px 0; }
.asked .card:has(.awaits:empty) { display: none; }
.asked .sheets { display: grid; gap: 12px 26px; align-items: start;
  grid-template-columns: repeat(auto-fit, minmax(min(430px, 100%), 1fr)); }
#asking:empty { display: none; }
.asked h3 { font-size: 0.95rem; font-weight: 600; line-height: 1.2; margin: 10px 0 2px; }
.asked .filters { display: flex; flex-wrap: wrap; gap: 4px 12px; align-items: end; }
.asked .filters .field { min-width: 9rem; }
.asked .tall { max-height: 68vh; overflow: auto; }
.asked .filters + .tall { margin-top: 6px; }
.asked .forces th, .asked .forces td { vertical-align: baseline; }
.asked .forces td.words, .asked .forces th.words { text-align: left; }
.asked .forces thead th { position: sticky; top: 0; background: var(--card); z-index: 1;
  vertical-align: bottom; }
.asked .forces thead th .unit { display: block; margin: 0; }
.asked .forces tr.gap td { border: 0; padding: 2px; }
.asked .forces tr.chosen > * { background: color-mix(in srgb, var(--blue) 16%, var(--card)); }
.asked .forces caption { font-weight: 600; color: var(--ink); font-size: 0.95rem; }
.asked .warning { color: var(--red); font-weight: 600; }
.asked th .link.long { font-weight: 400; min-width: 13rem; }
.asked .strong { font-weight: 600; }
.asked .link { border: 0; background: none; padding: 3px 2px; min-height: 0;
  display: inline; color: var(--blue);
  text-decoration: underline; text-align: inherit; white-space: nowrap;
  font-variant-numeric: tabular-nums; }
.asked th .link.long, .asked td .link.long { white-space: normal; }
.asked thead .link { color: inherit; font-weight: 600; padding: 2px 0; }
.asked .stale { border-left: 5px solid var(--ochre); background: var(--card); padding: 8px 12px;
  border-radius: 4px; }
.asked .running { display: flex; gap: 10px; align-items: center; flex-wrap: wrap; }
.asked progress { width: 16rem; max-width: 100%; accent-color: var(--blue); height: 14px; }
.asked textarea, .asked input[type="text"] { width: 100%; box-sizing: border-box;
  background: var(--card); color: var(--ink); border: 1px solid var(--line); border-radius: 4px;
  padding: 5px; font: inherit; }
.asked textarea { font-family: "Liberation Mono", monospace; font-size: 0.92rem; }
.asked textarea[aria-invalid="true"], .asked input[aria-invalid="true"] {
  border: 2px solid var(--red); }
.asked .legend-of { display: flex; flex-wrap: wrap; gap: 2px 16px; list-style: none; margin: 4px 0;
  padding: 0; font-size: 0.92rem; }
.asked .legend-of svg { margin-right: 6px; vertical-align: -1px; }
.asked .filters button { margin-bottom: 6px; }
.asked .read { display: grid; grid-template-columns: minmax(45%, 1fr) auto; gap: 3px 12px;
  margin: 8px 0 0; }
.asked .read dt { color: var(--soft); }
.asked .read dd { margin: 0; font-weight: 600; text-align: right;
  font-variant-numeric: tabular-nums; }
.asked .bar-of { display: inline-block; height: 9px; background: var(--blue); min-width: 1px; }
.asked .bar-of.relieves { background: repeating-linear-gradient(135deg, var(--ochre) 0 3px,
  transparent 3px 5px); border: 1px solid var(--ochre); height: 7px; }
.asked .plot { width: 100%; }
#still-plan svg { max-height: 260px; }
.js-plotly-plot .plotly text { fill: var(--ink) !important; }
.js-plotly-plot .plotly .hovertext text { fill: #17191c !important; }
.js-plotly-plot .plotly .gridlayer path { stroke: var(--line) !important; }
.js-plotly-plot .plotly .zerolinelayer path { stroke: var(--soft) !important; }
.js-plotly-plot .plotly path.yerror { stroke: var(--ink) !important; }
.js-plotly-plot .plotly .legend .bg { fill: none !important; }
.drawing .live .lane { fill: var(--ochre); fill-opacity: 0.22; stroke: var(--ochre);
  stroke-width: 0.3; stroke-dasharray: 2 1.2; }
@media (max-width: 900px) { .asked .two { grid-template-columns: minmax(0, 1fr); }
  .setting-page .two > div { display: contents; }
  .setting-page .first { order: -1; } }
@media print { .asked .two { display: block; } .asked .tall { max-height: none; }
  .asked .filters, .asked .running button { display: none; } }
</style>
"""
#: Colours of plots that stand out on a light and on a dark ground alike.
GREY: Final = "#828a92"
BLUE: Final = "#3c82c0"
ORANGE: Final = "#c9601a"
OCHRE: Final = "#a8790f"
RED: Final = "#d0483a"


@dataclass(frozen=True)
class Answer:
    """What a worker gave, and what it was asked for: bridge, family, superstructure on bearings.

    `prepared`: None for a file that brings reactions from elsewhere.
    """

    value: Any
    bridge: Bridge
    family: FamilyName
    prepared: Prepared | None

    @property
    def arranged(self) -> Arranged:
        """The bearings that it was asked for; only where there is a model."""
        assert self.prepared is not None
        return arrange(
            self.prepared.structure,
            list(self.bridge.support),
            arrangement_functions(self.bridge, self.prepared.tables),
            self.bridge.arrangement.fixed_point,
        )


class Question:
    """One long question of one desk: whether it is being worked on, and its last answer."""

    def __init__(self, desk: Desk, work: Callable[..., Any]) -> None:
        # a desk that is left must not be kept by what was asked of it
        self._desk = weakref.ref(desk)
        self._work = work
        self.answer: Answer | None = None
        self.problem: tuple[str, ...] = ()
        self.progress = Progress(0, 0, "")
        self._job: Job | None = None
        self._watchers: list[Callable[[], None]] = []

    @property
    def running(self) -> bool:
        """Whether a worker is at it."""
        return self._job is not None

    @property
    def stale(self) -> bool:
        """Whether the file or the family changed since the answer was asked for."""
        answer, desk = self.answer, self._desk()
        if answer is None or desk is None:
            return False
        return answer.family != desk.family or answer.bridge != desk.bridge

    def watch(self, told: Callable[[], None]) -> None:
        """Call `told` in the event loop when something changes; the latest page alone hears."""
        self._watchers = [told]

    async def ask(self) -> None:
        """Ask, unless it is asked already; returns when it is answered, refused or cancelled."""
        desk = self._desk()
        if self._job is not None or desk is None:
            return
        self.problem = ()
        self.progress = Progress(0, 0, "starting")
        bridge, family = desk.bridge, desk.family
        try:
            text, prepared = await asyncio.to_thread(_needed, desk)
            job = self._job = engine().start(
                self._work, text, desk.name, desk.folder, family, told=self._heard,
                who=desk.writer.kept_by, most=desk.writer.works,
            )  # fmt: skip
            self.tell()
            self.answer = Answer(await job.result(), bridge, family, prepared)
        except CancelledError:
            self.problem = ("Cancelled: nothing was changed.",)
        except BedstoneError as error:
            self.problem = lines(error)
        finally:
            self._job = None
            self.tell()

    def cancel(self) -> None:
        """Stop the worker."""
        if self._job is not None:
            self._job.cancel()

    def _heard(self, progress: Progress) -> None:
        self.progress = progress
        self.tell()

    def tell(self) -> None:
        """Let the page that shows it draw anew."""
        for told in self._watchers:
            told()


def _needed(desk: Desk) -> tuple[str, Prepared | None]:
    return desk.text, desk.prepared if desk.modelled else None


_questions: weakref.WeakKeyDictionary[Desk, dict[str, Question]] = weakref.WeakKeyDictionary()


def question(desk: Desk, word: str, work: Callable[..., Any]) -> Question:
    """The question of a desk under a word; the same one at every visit of its page."""
    own = _questions.setdefault(desk, {})
    if word not in own:
        own[word] = Question(desk, work)
    return own[word]


class View:
    """A page about one long question.

    A page fills `skeleton` (parts with ids), gives `made` for the parts and answers `do`.
    """

    skeleton = ""
    about = ""
    button = "Work it out"

    def __init__(self, desk: Desk, word: str, work: Callable[..., Any]) -> None:
        self.desk = desk
        self.asked = question(desk, word, work)
        self.client = context.client
        self.loop = asyncio.get_running_loop()
        self.sent: dict[str, str] = {}
        self._order = asyncio.Lock()
        self.root = ui.element("div").classes("page-root")
        with self.root:
            ui.html(STYLE, sanitize=False)
            self.build()
        self.root.on("desk", self.hear, ["detail"])
        self.asked.watch(self.again)
        self._end = desk.watch(self._changed)
        self.again()

    # ------------------------------------------------------------------ what a page gives
    def build(self) -> None:
        """Put the skeleton into the page."""
        ui.html(self.skeleton, sanitize=False)

    def made(self) -> dict[str, str]:
        """The parts of the page, by id; called in a thread when there is an answer."""
        return {}

    async def do(self, what: str, value: str) -> None:
        """Something else than asking and cancelling was done."""

    async def drawn(self) -> None:
        """The parts were sent: what is no HTML follows."""

    # ------------------------------------------------------------------ what goes on
    async def hear(self, event: events.GenericEventArguments) -> None:
        """Something was clicked or keyed."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        if what == "ask":
            await self.asked.ask()
        elif what == "cancel":
            self.asked.cancel()
        else:
            await self.do(what, value)
            await self.draw()

    def _changed(self) -> None:
        """The desk changed, in whatever thread."""
        self.loop.call_soon_threadsafe(self.again)

    def again(self) -> None:
        """Draw anew; called in the event loop."""
        if self.root.is_deleted:
            self._end()
            return
        self.loop.create_task(self.draw())

    async def draw(self) -> None:
        """Send the parts that differ from what the browser shows."""
        async with self._order:
            if self.root.is_deleted:
                return
            made = {"asking": self._asking()}
            if not self.asked.running:
                try:
                    made |= await asyncio.to_thread(self.made)
                except BedstoneError as error:
                    made["asking"] += parts.problem(lines(error))
            new = {key: value for key, value in made.items() if self.sent.get(key) != value}
            self.sent |= new
            if new:
                told = {"parts": new, "groups": {}, "chosen": ""}
                self.client.run_javascript(f"bedstone.show({parts.script(told)})")
            await self.drawn()

    def _asking(self) -> str:
        """The state of the question: how far it is, whether the answer is still good."""
        asked = self.asked
        if not self.desk.modelled and self.needs_model:
            text = "This file brings reactions from elsewhere: there is no model to try things on."
            return parts.notes([text])
        if asked.running:
            told = asked.progress
            share = f' value="{told.done}" max="{told.total}"' if told.total > 0 else ""
            return (
                f'<div class="running" role="status"><progress{share} aria-label="progress">'
                f"</progress><span>{escape(told.text)}</span>"
                f"{action('cancel', 'Cancel')}</div>"
            )
        problem = parts.problem(asked.problem)
        if asked.answer is None:
            return (
                f'{problem}<div class="running">{action("ask", self.button)}'
                f'<span class="note">{escape(self.about)}</span></div>'
            )
        if asked.stale:
            return (
                f'{problem}<div class="stale running" role="status"><span><b>Not up to date:</b> '
                "the bridge file, its bearings or the family changed since this was worked out."
                f"</span>{action('ask', 'Work it out again')}</div>"
            )
        return problem

    needs_model = True


# ------------------------------------------------------------------ HTML
def action(what: str, label: str, value: str = "", *, on: bool = True) -> str:
    """A button that tells the page `what` and `value`."""
    able = "" if on else " disabled"
    return (
        f'<button type="button" data-do="{escape(what)}" data-value="{escape(value)}" '
        f'data-key="{escape(f"{what}-{value}")}"{able}>{escape(label)}</button>'
    )


def link(what: str, value: str, label: str, name: str = "", *, long: bool = False) -> str:
    """A button that looks like a word in the text; `name` for who cannot see where it stands.

    `long`: it may take several lines.
    """
    told = f' aria-label="{escape(name)}"' if name else ""
    return (
        f'<button type="button" class="link{" long" if long else ""}" data-do="{escape(what)}" '
        f'data-value="{escape(value)}" '
        f'data-key="{escape(f"{what}-{value}")}"{told}>{escape(label)}</button>'
    )


def table(sheet: Sheet, links: Callable[[int, int], str] | None = None) -> str:
    """A sheet as a table; `links`: HTML in place of the cell of a row and column, or ""."""
    heads = "".join(
        f'<th scope="col"{_words(column.holds)}>{escape(column.head)}'
        f"{f'<span class=unit>{escape(column.unit)}</span>' if column.unit else ''}</th>"
        for column in sheet.columns
    )
    rows = []
    for number, row in enumerate(sheet.rows):
        if not row:
            rows.append(f'<tr class="gap"><td colspan="{len(sheet.columns)}"></td></tr>')
            continue
        cells = []
        for place, (cell, column) in enumerate(zip(row, sheet.columns, strict=False)):
            own = links(number, place) if links is not None else ""
            text = own or escape(cell.text)
            kind = " ".join(
                k for k in (cell.tone, "" if column.holds == "numbers" else "words") if k
            )
            attributes = f' class="{kind}"' if kind else ""
            cells.append(
                f'<th scope="row"{attributes}>{text}</th>'
                if place == 0
                else f"<td{attributes}>{text}</td>"
            )
        rows.append(f"<tr>{''.join(cells)}</tr>")
    caption = f"<caption>{escape(sheet.title)}</caption>" if sheet.title else ""
    return (
        f'<table class="forces">{caption}<thead><tr>{heads}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def paragraphs(head: str, sentences: object) -> str:
    """Sentences under a head; nothing where there are none."""
    told = [str(line) for line in sentences] if isinstance(sentences, list | tuple) else []
    if not told:
        return ""
    inner = "".join(f"<li>{escape(line)}</li>" for line in told)
    return f'<h3>{escape(head)}</h3><ul class="words">{inner}</ul>'


def lines(error: BedstoneError) -> tuple[str, ...]:
    """An error as lines for people."""
    if isinstance(error, InputError):
        return tuple(f"{f.where}: found {f.found}; allowed: {f.allowed}" for f in error.faults)
    if isinstance(error, UnstableError):
        return (f"The arrangement does not stand: {error}.",)
    return (str(error),)


def _words(holds: str) -> str:
    return "" if holds == "numbers" else ' class="words"'


# ------------------------------------------------------------------ plots
def layout_of(
    x: str, y: str, height: int, *, legend: bool = True, bottom: int = 56
) -> dict[str, Any]:
    """What all plots have in common; grid and words take their colours from the page."""
    axis = {"gridcolor": GREY, "zerolinecolor": GREY, "automargin": True, "gridwidth": 0.6}
    return {
        "height": height,
        "autosize": True,
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": "Liberation Sans, Arial, Helvetica, sans-serif", "size": 13},
        "margin": {"l": 64, "r": 12, "t": 8, "b": bottom},
        "xaxis": {**axis, "title": {"text": x}},
        "yaxis": {**axis, "title": {"text": y}, "rangemode": "tozero"},
        "showlegend": legend,
        "legend": {"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0.0},
        "hoverlabel": {
            "bgcolor": "#ffffff",
            "bordercolor": "#17191c",
            "font": {"color": "#17191c"},
            "align": "left",
        },
        "separators": ".\u202f",
    }


def legend(data: list[dict[str, Any]]) -> str:
    """The lines and marks of a plot by name, as HTML: it wraps in narrow windows as words do."""
    items = []
    for told in data:
        if not told.get("name") or not told.get("showlegend", True):
            continue
        line, marker = told.get("line"), told.get("marker")
        drawn = ""
        if told.get("fill"):
            drawn = f'<rect width="30" height="12" fill="{told["fillcolor"]}"/>'
        elif line is not None:
            dash = ' stroke-dasharray="7 4"' if line.get("dash", "solid") != "solid" else ""
            drawn = (
                f'<line x1="0" y1="6" x2="30" y2="6" stroke="{line["color"]}" '
                f'stroke-width="{line["width"]}"{dash}/>'
            )
        if marker is not None and "lines" in told.get("mode", ""):
            drawn += f'<circle cx="15" cy="6" r="4" fill="{line["color"] if line else GREY}"/>'
        elif marker is not None:
            drawn += _MARKS[marker.get("symbol", "circle")].format(marker["color"])
        items.append(
            f'<li><svg width="30" height="12" aria-hidden="true">{drawn}</svg>'
            f"{escape(told['name'])}</li>"
        )
    return f'<ul class="legend-of">{"".join(items)}</ul>'


_MARKS: Final = {
    "circle": '<circle cx="15" cy="6" r="4" fill="{0}"/>',
    "x": '<path d="M11 2l8 8M19 2l-8 8" stroke="{0}" stroke-width="3"/>',
    "square": '<rect x="11" y="2" width="8" height="8" fill="{0}"/>',
    "diamond": '<path d="M15 1l5 5-5 5-5-5z" fill="{0}"/>',
    "triangle-up": '<path d="M15 1l5 10h-10z" fill="{0}"/>',
}
CONFIG: Final = {"displaylogo": False, "responsive": True, "displayModeBar": False}
