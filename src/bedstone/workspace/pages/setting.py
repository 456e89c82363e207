"""How a bearing is set on the day: its offset by the temperature of the steel, window and card."""

from __future__ import annotations

import asyncio
import math
from html import escape
from pathlib import Path
from typing import Any, Final

from nicegui import ui

from bedstone.bridge.edit import change_text
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.output import setting_words as words
from bedstone.output.setting_cards import cards
from bedstone.output.setting_tables import from_memory, gap, measured, short, table
from bedstone.output.shown import figure
from bedstone.output.words import memory_note
from bedstone.schedule.context import family_of
from bedstone.site.setting import Row, Setting, Window
from bedstone.workspace import parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import asking
from bedstone.workspace.pages.answers import set_out
from bedstone.workspace.pages.asking import (
    BLUE,
    CONFIG,
    GREY,
    OCHRE,
    ORANGE,
    RED,
    View,
    action,
    layout_of,
    legend,
    paragraphs,
)

NAME = "Setting"
ORDER = 60

_ALONG: Final = ("along x'", "along y'")
#: Which way an offset is counted from, along x' and y'.
_TOWARD: Final = ("toward rising chainage", "to the left")
_LONGEST: Final = 20  # characters of a temperature


class _View(View):
    about = (
        "The offset of every bearing by the temperature of the steel, from its design and the "
        "envelopes of a bridge set at every 5 degC; some seconds."
    )
    button = "Work out the setting"

    def __init__(self, desk: Desk) -> None:
        self.seat = ""
        self.axis = 0
        self.typed = ""
        self.problem: tuple[str, ...] = ()
        self.drawn_of: tuple[object, ...] = ()
        super().__init__(desk, "setting", set_out)
        if self.asked.answer is None and desk.modelled:
            self.loop.create_task(self.asked.ask())

    def build(self) -> None:
        """A plot stands between parts of HTML."""
        with ui.element("div").classes("asked setting-page"):
            ui.html(_ASKING, sanitize=False)
            with ui.element("div").classes("two"):
                with ui.element("div"):
                    self.chart = ui.element("section").classes("card")
                    with self.chart.props('aria-label="Offset by temperature"'):
                        ui.html('<div id="charted" class="awaits"></div>', sanitize=False)
                        self.plot = ui.plotly(_empty()).classes("plot")
                        ui.html('<div id="chart-words"></div>', sanitize=False)
                    ui.html(_ROWS, sanitize=False)
                ui.html(_SIDE, sanitize=False)

    # ------------------------------------------------------------------ what is asked
    async def do(self, what: str, value: str) -> None:
        """Choose a bearing, a direction, a temperature, the stage; hand out cards."""
        self.problem = ()
        try:
            if what == "seat":
                self.seat = value
            elif what == "axis" and value in ("0", "1"):
                self.axis = int(value)
            elif what == "day":
                self.typed = value.strip()[:_LONGEST]
            elif what == "set at":
                await asyncio.to_thread(self._set_at, value)
            elif what in ("card", "cards"):
                await self._hand_out(what)
        except BedstoneError as error:
            self.problem = asking.lines(error)

    def _set_at(self, stage: str) -> None:
        """Put the stage at which the bearings are set into the file; undo goes back."""
        desk = self.desk
        text = change_text(desk.text, {"arrangement.set_at": stage or None}, desk.name)
        desk.edit(text, f"set at {stage}" if stage else "set with everything in place")

    async def _hand_out(self, what: str) -> None:
        answer, found = self.asked.answer, self.found
        if answer is None or found is None:
            return
        chosen = answer.value.settings if what == "cards" else (found,)
        title = family_of(answer.family).title
        pdf = await asyncio.to_thread(cards, answer.bridge.bridge.name, title, chosen)
        stem = Path(self.desk.name).stem
        name = f"{stem}-setting.pdf" if what == "cards" else f"{stem}-{found.seat}-setting.pdf"
        ui.download.content(pdf, name, "application/pdf")

    # ------------------------------------------------------------------ what is looked at
    @property
    def found(self) -> Setting | None:
        """The setting of the chosen bearing, of the first that moves where none is chosen."""
        answer = self.asked.answer
        if answer is None or not answer.value.settings:
            return None
        settings: tuple[Setting, ...] = answer.value.settings
        own = next((item for item in settings if item.seat == self.seat), None)
        return own or next((item for item in settings if item.moves), settings[0])

    def day(self, found: Setting) -> tuple[Row | None, str]:
        """The row of the temperature on the day, or what is wrong with what was typed."""
        if not self.typed:
            return None, ""
        try:
            temperature = float(self.typed.replace("−", "-").replace(",", "."))
        except ValueError:
            temperature = math.nan
        if not math.isfinite(temperature):
            return None, f"found {self.typed}; allowed: a temperature in degC, such as 18"
        try:
            return found.row(temperature), ""
        except InputError as error:
            fault: Fault = error.faults[0]
            return None, f"found {fault.found}; allowed: {fault.allowed}"

    def made(self) -> dict[str, str]:
        """Everything but the plot."""
        answer, found = self.asked.answer, self.found
        if answer is None or found is None:
            return {}
        row, wrong = self.day(found)
        sheet = table(found)
        told = words.windows(found)
        lacking = [line for line in told if line.startswith("TRAVEL")]
        axes = words.free_axes(found)
        sentences = {
            "The stage": [words.stage(found), *words.still_to_come(found)],
            "The rule": [*words.rule(found), *words.growth(found)],
            "Joint and guides": [*words.joint(found), *words.guides(found)],
            "How sure": words.budget(found),
            "On site": [*words.general(found), *words.cautions(found)],
            "Landed otherwise": words.landed(found),
        }
        memory = memory_note(from_memory(found))
        return {
            "which": self._which(answer.value.settings, found),
            "suffices": parts.problem([*self.problem, *lacking])
            + "".join(f"<p>{escape(line)}</p>" for line in told if line not in lacking),
            "day": _day(found, row, self.typed, wrong),
            "charted": _charted(axes, self._axis(found)),
            "chart-words": legend(figure_of(found, self._axis(found), row)["data"])
            + parts.notes([_READING])
            if axes
            else "",
            "rows": asking.table(sheet) if sheet is not None else parts.notes([_HOLDS]),
            "told": "".join(paragraphs(head, lines) for head, lines in sentences.items()),
            "signs": parts.notes(
                [words.SIGNS, words.COLUMNS, words.JOINT, *([memory] if memory else [])]
            ),
        }

    def _axis(self, found: Setting) -> int:
        axes = words.free_axes(found)
        return self.axis if self.axis in axes else (axes[0] if axes else 0)

    def _which(self, settings: tuple[Setting, ...], found: Setting) -> str:
        bridge = self.desk.bridge
        seats = [(item.seat, f"{item.seat} · {item.function}") for item in settings]
        stages = [(stage.name, f"after {stage.name!r}") for stage in bridge.stage]
        chosen = bridge.arrangement.set_at or ""
        if not chosen or not stages:
            stages.insert(0, ("", "not said in the file"))
        return (
            '<div class="filters">'
            + parts.choices("seat", "bearing", seats, found.seat)
            + parts.choices("set at", "bearings are set", stages, chosen, len(stages) < 2)
            + action("card", f"Card of {found.seat} (PDF)")
            + action("cards", "Cards of all (PDF)")
            + "</div>"
        )

    async def drawn(self) -> None:
        """Draw the plot anew when what it shows has changed."""
        found = self.found
        if found is None:
            self.chart.set_visibility(False)
            return
        axis, (row, _) = self._axis(found), self.day(found)
        now = (found, axis, row)
        if now == self.drawn_of:
            return
        self.drawn_of = now
        moves = bool(words.free_axes(found))
        self.chart.set_visibility(moves)
        if moves:
            self.plot.update_figure(figure_of(found, axis, row))


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


# ------------------------------------------------------------------ the plot
def figure_of(found: Setting, axis: int, day: Row | None = None) -> dict[str, Any]:
    """Offset (mm) along x' (`axis` 0) or y' (1) against the temperature of the steel (degC).

    With it: between what it goes to and fro afterwards, where its travel ends, and between which
    temperatures an offset may be left. `day`: the row of the temperature on the day.
    """
    known = [row.temperature for row in found.rows]
    ends = [known[0], known[-1]]
    reach = [(row.reach_x, row.reach_y)[axis] for row in found.rows]
    data: list[dict[str, Any]] = [
        _line("", known, [low * 1e3 for low, _ in reach], GREY, width=0.5, legend=False),
        _line("afterwards, at the design extremes", known, [high * 1e3 for _, high in reach], GREY,
              width=0.5)
        | {"fill": "tonexty", "fillcolor": "rgba(130,138,146,0.22)"},
    ]  # fmt: skip
    named = False
    for end in found.ends:
        if end.holds or end.axis != "xy"[axis]:
            continue
        for place in (end.back, end.ahead):
            if math.isfinite(place):
                told = _line("end of travel", ends, [place * 1e3] * 2, RED, dash="dash", width=2.5)
                told |= {"hovertemplate": f"{end.what}: %{{y:.1f}} mm<extra></extra>"}
                data.append(told | {"showlegend": not named, "legendgroup": "end"})
                named = True
    windows: list[tuple[str, Window | None, str]] = [("left in its middle", found.upright, OCHRE)]
    if found.form != "shears":
        windows.append((_fixed(found), found.fixed_offset, ORANGE))
    for name, window, colour in windows:
        if window is not None and window.first is not None and window.last is not None:
            place = window.offset[axis] * 1e3
            told = _line(name, [window.first, window.last], [place] * 2, colour, width=7)
            told |= {"hovertemplate": f"may be {name} {words.between(window)}<extra></extra>"}
            data.append(told)
    offsets = [row.offset[axis] * 1e3 for row in found.rows]
    data.append(
        _line("offset to set", known, offsets, BLUE, width=3)
        | {"mode": "lines+markers", "marker": {"size": 7}}
    )
    if day is not None:
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "name": "on the day",
                "x": [day.temperature],
                "y": [day.offset[axis] * 1e3],
                "marker": {"size": 15, "symbol": "x", "color": BLUE,
                           "line": {"color": "#ffffff", "width": 1}},
                "hovertemplate": "%{x:.1f} degC: %{y:+.1f} mm<extra>on the day</extra>",
            }
        )  # fmt: skip
    title = f"offset {_ALONG[axis]}, mm (+ {_TOWARD[axis]})"
    layout = layout_of("temperature of the steel, degC", title, 400, legend=False)
    layout["yaxis"] = {**layout["yaxis"], "rangemode": "normal"}
    return {"data": data, "layout": layout, "config": CONFIG}


def _line(
    name: str,
    x: list[float],
    y: list[float],
    colour: str,
    *,
    width: float,
    dash: str = "solid",
    legend: bool = True,
) -> dict[str, Any]:
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": x,
        "y": y,
        "line": {"color": colour, "width": width, "dash": dash},
        "showlegend": legend,
        "hovertemplate": "%{x:.0f} degC: %{y:+.1f} mm<extra>%{fullData.name}</extra>",
    }


def _fixed(found: Setting) -> str:
    return f"left as fixed for {words.degrees(found.temperatures.setting)}"


def _empty() -> dict[str, Any]:
    return {"data": [], "layout": layout_of("", "", 400, legend=False), "config": CONFIG}


# ------------------------------------------------------------------ parts
_READING: Final = (
    "Thick bars: between which temperatures of the steel an offset may be left as it is, with the "
    "error budget in hand. The grey band must stay between the ends of travel."
)
_HOLDS: Final = "It holds: nothing of it changes with temperature."
_ASKING: Final = """
<div id="asking" aria-live="polite"></div>
<section class="card" aria-label="Which bearing"><div id="which" class="awaits"></div></section>
"""
_ROWS: Final = """
<section class="card" aria-label="Table"><div id="rows" class="scroll awaits" tabindex="0"
  role="region" aria-label="offsets by temperature"></div><div id="signs"></div></section>
"""
_SIDE: Final = """
<section class="card first" aria-label="Does it suffice"><h2>What may be left as it is</h2>
  <div id="suffices" class="awaits" aria-live="polite"></div></section>
<section class="card first" aria-label="On the day"><h2>On the day</h2>
  <div id="day" class="awaits" aria-live="polite"></div></section>
<section class="card" aria-label="What to know"><div id="told" class="awaits"></div></section>
"""


def _charted(axes: list[int], axis: int) -> str:
    """Which direction the chart shows; buttons where there are two."""
    head = "<h2>Offset of the upper plate against the lower one</h2>"
    if len(axes) < 2:
        return head
    options = [(str(one), _ALONG[one]) for one in axes]
    told = parts.buttons("axis", "direction", options, str(axis))
    return f'<div class="bar">{head}{told}</div>'


def _day(found: Setting, row: Row | None, typed: str, wrong: str) -> str:
    """A field for the temperature of the steel, and all that is set and read then."""
    invalid = ' aria-invalid="true" aria-describedby="day-fault"' if wrong else ""
    fault = f'<div class="problem" id="day-fault" role="alert">{escape(wrong)}</div>'
    field = (
        '<label class="field"><span>temperature of the steel, mean of three places in the shade, '
        f'degC</span><input type="text" inputmode="text" id="day-text" data-key="day-text" '
        f'autocomplete="off"{invalid} value="{escape(typed)}" '
        "onchange=\"bedstone.tell({do: 'day', value: this.value})\"></label>"
        f"{fault if wrong else ''}"
    )
    if row is None:
        return field
    facts = [
        (f"offset {_ALONG[axis]}", f"{words.mm(row.offset[axis])} mm ({_sense(row, axis)})")
        for axis in words.free_axes(found)
    ]
    roller, turn = found.roller(row), found.turn(row)
    lean, clear = found.lean(row), found.clear(row)
    if roller is not None and words.free_axes(found)[:1] == [0]:
        facts.append(("rollers from the middle of the lower plate", f"{words.mm(roller)} mm"))
    if turn is not None:
        facts.append(("turn of the rollers", f"{figure(turn * 1e3, 1)} mrad"))
    if lean is not None:
        facts.append(("lean of the segments", f"{words.mm(lean)} mm"))
    if clear is not None:
        facts.append(("clear between segments", f"{words.size(clear)} mm"))
    for end in measured(found):
        sides = ("behind", "ahead") if end.axis == "x" else ("right", "left")
        for side, value in zip(sides, found.readings(row, end), strict=True):
            facts.append((f"{short(end)} {side}: a rule reads", f"{gap(value)} mm"))
    if row.left is not None:
        facts.append(("travel left at the extremes", f"{words.mm(row.left).lstrip('+')} mm"))
    slack = found.slack(row)
    if slack is not None:
        facts.append(("the temperature may be off by", f"{figure(slack, 0)} K either way"))
    if not facts:
        facts.append(("offset", "none: it holds"))
    inner = "".join(f"<dt>{escape(name)}</dt><dd>{escape(text)}</dd>" for name, text in facts)
    return f'{field}<dl class="read" id="day-row">{inner}</dl>'


def _sense(row: Row, axis: int) -> str:
    """Which way an offset goes, in words."""
    if abs(row.offset[axis]) < 5e-5:
        return "in line"
    against = ("toward falling chainage", "to the right")
    return (_TOWARD if row.offset[axis] > 0.0 else against)[axis]
