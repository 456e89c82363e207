"""How the bearings move in service, by the record: movement against temperature, and with time."""

from __future__ import annotations

import asyncio
import datetime as dt
import math
from html import escape
from pathlib import Path
from typing import Any, Final

from nicegui import ui

from bedstone.workspace import parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import asking
from bedstone.workspace.pages.answers import Cloud, Served, served
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
    link,
    paragraphs,
)

NAME = "Service"
ORDER = 80

_NONE: Final = (
    "There is no record beside this bridge file yet. It begins with the first readings that are "
    "kept on the page Site check, or with bedstone record --add and --log."
)


class _View(View):
    about = (
        "Movement of every bearing against the temperature of its steel, by the record beside the "
        "file, judged by what each should do; some seconds."
    )
    button = "Read the record"

    def __init__(self, desk: Desk) -> None:
        self.seat = ""
        self.drawn_of: Cloud | None = None
        super().__init__(desk, "service", served)
        if self.asked.answer is None and self.record is not None:
            self.loop.create_task(self.asked.ask())

    @property
    def record(self) -> Path | None:
        """The record beside the file, None where there is none."""
        from bedstone.site.record import record_file

        path = self.desk.path
        if path is None or not self.desk.modelled:
            return None
        found = record_file(path)
        return found if found.exists() else None

    def build(self) -> None:
        """Plots stand between parts of HTML."""
        with ui.element("div").classes("asked service-page"):
            ui.html(_HEAD, sanitize=False)
            self.plots: dict[str, Any] = {}
            with ui.element("div").classes("two"):
                for name, title in _PLOTS:
                    with ui.element("section").classes("card").props(f'aria-label="{title}"'):
                        head = f'<h2>{title}</h2><div id="{name}-of" class="awaits"></div>'
                        ui.html(head, sanitize=False)
                        self.plots[name] = ui.plotly(_empty()).classes("plot")
                        ui.html(f'<div id="{name}-words"></div>', sanitize=False)
            ui.html(_FOOT, sanitize=False)

    async def do(self, what: str, value: str) -> None:
        """Choose a bearing, or read the record again."""
        if what == "seat":
            self.seat = value
        elif what == "read":
            self.loop.create_task(self.asked.ask())  # the page goes on meanwhile

    @property
    def cloud(self) -> Cloud | None:
        """The chosen bearing; the first that needs action where none is chosen."""
        answer = self.asked.answer
        if answer is None or not answer.value.clouds:
            return None
        clouds: tuple[Cloud, ...] = answer.value.clouds
        own = next((one for one in clouds if one.seat == self.seat), None)
        return own or next((one for one in clouds if one.action), clouds[0])

    def made(self) -> dict[str, str]:
        """Everything but the plots."""
        if self.asked.answer is None:
            none = self.desk.modelled and self.record is None
            return {"none": parts.notes([_NONE]) if none else ""}
        found: Served = self.asked.answer.value
        cloud = self.cloud
        if cloud is None:
            return {"none": parts.notes([_NONE])}
        places = {one.seat: row for row, one in enumerate(found.clouds)}

        def links(row: int, column: int) -> str:
            return (
                link("seat", found.clouds[row].seat, found.clouds[row].seat) if not column else ""
            )

        record = self.record
        grown = record is not None and record.stat().st_mtime_ns != found.stamp
        need = [one.seat for one in found.clouds if one.action]
        head = f"Needs action: {', '.join(need)}." if need else "Nothing needs action."
        rows = asking.table(found.sheet, links)
        chosen = f'<tr><th scope="row" class="words">{links(places[cloud.seat], 0)}'
        thinned = len(cloud.points[0]) < cloud.readings
        shown = f"{len(cloud.points[0])} of {cloud.readings} readings are drawn." if thinned else ""
        first, *others = cloud.sentences or ("",)
        return {
            "none": "",
            "answer": (parts.problem([head]) if need else f'<p class="strong">{head}</p>')
            + (
                '<p class="stale"><b>Not up to date:</b> the record has grown since.</p>'
                if grown
                else ""
            )
            + action("read", "Read the record again"),
            "seats": rows.replace(chosen, chosen.replace("<tr>", '<tr class="chosen">'), 1),
            "judgement": f'<h2 id="judged-seat">{escape(cloud.title)}</h2>'
            + (parts.problem([first]) if cloud.action else f"<p>{escape(first)}</p>")
            + "".join(f"<p>{escape(line)}</p>" for line in others)
            + paragraphs("What it rests on", cloud.background),
            "cloud-of": parts.notes([cloud.seat]),
            "cloud-words": legend(cloud_of(cloud)["data"]) + parts.notes([shown] if shown else []),
            "time-of": parts.notes([cloud.seat]),
            "time-words": legend(timeline_of(cloud)["data"]),
            "files": paragraphs("Of the record", found.told)
            + parts.notes([found.memory] if found.memory else []),
        }

    async def drawn(self) -> None:
        """Draw the plots of another bearing or record."""
        cloud = self.cloud
        if cloud is None or cloud is self.drawn_of:
            return
        self.drawn_of = cloud
        self.plots["cloud"].update_figure(await asyncio.to_thread(cloud_of, cloud))
        self.plots["time"].update_figure(await asyncio.to_thread(timeline_of, cloud))


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


# ------------------------------------------------------------------ plots
def cloud_of(cloud: Cloud) -> dict[str, Any]:
    """Movement (mm) against the temperature of the steel (degC), what is expected beside it."""
    _, warm, moved = cloud.points
    own = cloud.expected
    ends = (min((own.coldest, *warm)), max((own.warmest, *warm)))
    least, most = ([_asked(cloud, end, centre) for end in ends] for centre in own.centre)
    budget = own.budget * 1e3
    data = [
        _line("", ends, [y - budget for y in least], GREY, width=0.5, legend=False),
        _line("expected, with its error", ends, [y + budget for y in most], GREY, width=0.5)
        | {"fill": "tonexty", "fillcolor": "rgba(130,138,146,0.25)"},
        {
            "type": "scatter",
            "mode": "markers",
            "name": "read",
            "x": list(warm),
            "y": list(moved),
            "marker": {"color": BLUE, "size": 5 if len(warm) > 60 else 9},
            "hovertemplate": "%{x:.1f} degC: %{y:+.1f} mm<extra></extra>",
        },
    ]
    if cloud.line:
        x, y = zip(*cloud.line, strict=True)
        data.append(_line("as it moves", x, y, ORANGE, width=3))
    named = False
    for place in (own.back, own.ahead):
        if math.isfinite(place):
            told = _line("end of travel", ends, [place * 1e3] * 2, RED, width=2.5, dash="dash")
            data.append(told | {"showlegend": not named})
            named = True
    title = f"offset along {own.axis}', mm"
    return _figure(data, "temperature of the steel, degC", title)


def timeline_of(cloud: Cloud) -> dict[str, Any]:
    """What a bearing stands off from what its temperature asks (mm), with time (UTC)."""
    times, warm, moved = cloud.points
    days = [_day(time) for time in times]
    middle = sum(cloud.expected.centre) / 2.0
    apart = [y - _asked(cloud, x, middle) for x, y in zip(warm, moved, strict=True)]
    data: list[dict[str, Any]] = [
        {
            "type": "scatter",
            "mode": "markers",
            "name": "read, less what the temperature asks",
            "x": days,
            "y": apart,
            "marker": {"color": BLUE, "size": 4 if len(days) > 60 else 9},
            "hovertemplate": "%{x}: %{y:+.1f} mm<extra></extra>",
        }
    ]
    if days:
        spread = (cloud.expected.centre[1] - cloud.expected.centre[0]) / 2.0
        band = (cloud.expected.budget + spread) * 1e3
        ends = [days[0], days[-1]]
        for side in (-band, band):
            told = _line("error that is allowed for", ends, [side] * 2, OCHRE, width=2, dash="dash")
            data.append(told | {"showlegend": side > 0.0})
        low, high = min((*apart, -band)), max((*apart, band))
        for place, (time, step) in enumerate(cloud.steps):
            told = _line("step", [_day(time)] * 2, [low, high], RED, width=2)
            told |= {"hovertemplate": f"step of {step:+.1f} mm, %{{x}}<extra></extra>"}
            data.append(told | {"showlegend": place == 0})
    return _figure(data, "", "away from what is expected, mm")


def _asked(cloud: Cloud, temperature: float, centre: float) -> float:
    """Offset (mm) at a temperature (degC) of a bearing that stands at `centre` (m) at its datum."""
    own = cloud.expected
    return (centre + own.slope * (temperature - own.datum)) * 1e3


def _day(time: float) -> str:
    """A time (ms since 1970, UTC) as plots take it."""
    return dt.datetime.fromtimestamp(time / 1e3, dt.UTC).strftime("%Y-%m-%d %H:%M:%S")


def _line(
    name: str,
    x: Any,
    y: Any,
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
        "x": list(x),
        "y": list(y),
        "line": {"color": colour, "width": width, "dash": dash},
        "showlegend": legend,
        "hoverinfo": "skip",
    }


def _figure(data: list[dict[str, Any]], x: str, y: str) -> dict[str, Any]:
    layout = layout_of(x, y, 360, legend=False)
    layout["yaxis"] = {**layout["yaxis"], "rangemode": "normal"}
    return {"data": data, "layout": layout, "config": CONFIG}


def _empty() -> dict[str, Any]:
    return _figure([], "", "")


# ------------------------------------------------------------------ skeleton
_PLOTS: Final = (("cloud", "Movement against temperature"), ("time", "With time"))
_HEAD: Final = """
<div id="asking" aria-live="polite"></div><div id="none"></div>
<section class="card" aria-label="Answer"><div id="answer" class="awaits"></div></section>
<section class="card" aria-label="Bearings"><div id="seats" class="scroll awaits" tabindex="0"
  role="region" aria-label="what the bearings do"></div></section>
"""
_FOOT: Final = """
<section class="card" aria-label="Judgement"><div id="judgement" class="awaits"
  aria-live="polite"></div></section>
<section class="card" aria-label="Record"><div id="files" class="awaits"></div></section>
"""
