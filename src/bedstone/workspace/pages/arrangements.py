"""All arrangements that the rules of the file allow: which is best, and what each would cost."""

from __future__ import annotations

import asyncio
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import Any, Final

import numpy as np
from nicegui import events, ui

from bedstone.actions.effects import SUPPORT_EFFECTS
from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.edit import change_text
from bedstone.bridge.schema import Seat
from bedstone.comparison.compare import OBJECTIVES, Comparison, Shown
from bedstone.comparison.limits import parse_limits
from bedstone.errors import BedstoneError, InputError
from bedstone.output import compare_tables as tables
from bedstone.output.drawing.overlay import NONE
from bedstone.output.shown import UNITS, decimals, figure
from bedstone.workspace import drawings, parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import rewriting
from bedstone.workspace.pages.answers import compared, with_prepared
from bedstone.workspace.pages.asking import (
    BLUE,
    CONFIG,
    GREY,
    ORANGE,
    RED,
    Answer,
    View,
    action,
    layout_of,
    lines,
    link,
    paragraphs,
)

NAME = "Arrangements"
ORDER = 30

#: Part below which a difference is none: all arrangements are surveyed with periods rounded to a
#: thousandth, today's is looked at by itself.
_SAME: Final = 2e-3
#: Rows of the ranking shown at first.
_ROWS: Final = 12
#: Points beyond which the plot is drawn by the graphics card, without words at each.
_MANY: Final = 6000
_DRAWING: Final = re.compile(r' data-seat="[^"]*" role="button" tabindex="-1"| id="[^"]*"')
_NUMBERS: Final = ("abutment force", "pier force", "movement", "bearing force")


_WRITTEN: Final = (
    "Limits and objective are written into the file, under [compare], and can be undone."
)


@dataclass(frozen=True)
class Picked:
    """One arrangement of a comparison, looked at by itself; SI.

    `word`: what the page calls it by: its place among all, ``today`` or ``pinned`` with its number;
    the rest as in `Shown`.
    """

    word: str
    name: str
    functions: Mapping[str, Seat]
    point: str | None
    measures: Mapping[str, float]
    supports: Mapping[str, Mapping[str, float]]
    joints: Mapping[str, float]
    rank: int
    broken: tuple[str, ...]


class _View(View):
    about = (
        "Every arrangement that the rules of the file allow, and the best of them in full; up to "
        "a minute."
    )
    button = "Compare all arrangements"

    def __init__(self, desk: Desk) -> None:
        self.x, self.y = "movement", "abutment force"
        self.word = ""
        self.all = False
        self.limits: str | None = None
        self.wrong: tuple[str, ...] = ()
        self.pinning = ""
        self.done: tuple[str, ...] = ()
        self.drawn_for: tuple[Any, ...] = ()
        self.whole: tuple[Answer, Comparison] | None = None
        super().__init__(desk, "arrangements", compared)

    def build(self) -> None:
        """The plot stands between parts of HTML."""
        with ui.element("div").classes("asked"):
            ui.html('<div id="asking" aria-live="polite"></div>', sanitize=False)
            ui.html(
                '<section class="card" '
                'aria-label="What is asked"><div class="two"><div id="limits" class="awaits"></div>'
                '<div id="objective"></div></div></section>',
                sanitize=False,
            )
            with ui.element("div").classes("two"):
                with ui.element("div"):
                    with (
                        ui.element("section").classes("card").props('aria-label="All arrangements"')
                    ):
                        ui.html('<div id="axes" class="filters awaits"></div>', sanitize=False)
                        self.plot = ui.plotly(_empty()).classes("plot")
                        self.plot.on("plotly_click", self.clicked, ["points"])
                        ui.html('<div id="plot-note"></div>', sanitize=False)
                    ui.html(
                        '<section class="card" aria-label="Ranking"><div id="ranking" '
                        'class="tall awaits" tabindex="0" role="region" aria-label="ranking">'
                        "</div></section>",
                        sanitize=False,
                    )
                ui.html(
                    '<section class="card" aria-label="The chosen arrangement">'
                    '<div id="picked" class="awaits" aria-live="polite"></div></section>'
                    '<section class="card" aria-label="What was tried"><div id="tried" '
                    'class="awaits"></div></section>',
                    sanitize=False,
                )

    # ------------------------------------------------------------------ what is done
    async def clicked(self, event: events.GenericEventArguments) -> None:
        """A point of the plot was clicked."""
        points = event.args.get("points") if isinstance(event.args, dict) else None
        if isinstance(points, list) and points and isinstance(points[0], dict):
            await self.do("pick", str(points[0].get("customdata", "")))
            await self.draw()

    async def do(self, what: str, value: str) -> None:
        """Choose what is drawn, an arrangement, a limit, an objective; stand on it, pin it."""
        if what in ("pick", "stand", "pin", "limits", "objective"):
            self.done = ()
        if what == "x" and value in OBJECTIVES:
            self.x = value
        elif what == "y" and value in OBJECTIVES:
            self.y = value
        elif what == "pick":
            self.word, self.pinning = value, ""
        elif what == "all":
            self.all = True
        elif what == "limits":
            await asyncio.to_thread(self._limit, value)
        elif what == "objective" and value in ("", *OBJECTIVES):
            changes: dict[str, object] = {"compare.objective": value or None}
            await self._write(changes, "objective")
        elif what == "pin-name":
            self.pinning = value
        elif what in ("stand", "pin"):
            await asyncio.to_thread(self._stand, what)

    def _limit(self, text: str) -> None:
        """Take limits, one a line; those that cannot be read are told at the field."""
        self.limits, self.wrong = text, ()
        told = [line.strip() for line in text.splitlines() if line.strip()]
        bridge, prepared = self.desk.bridge, self.desk.prepared
        faults: list[str] = []
        for number, line in enumerate(told, start=1):
            try:
                parse_limits([line], bridge, prepared.tables)
            except InputError as error:
                faults += [f"line {number}: {f.found}; allowed: {f.allowed}" for f in error.faults]
        self.wrong = tuple(faults)
        if faults or told == bridge.compare.limits:
            return
        try:
            changes: dict[str, object] = {"compare.limits": told}
            self.desk.edit(change_text(self.desk.text, changes, self.desk.name), "limits")
            self.limits = None
        except BedstoneError as error:
            self.wrong = lines(error)

    async def _write(self, changes: dict[str, object], told: str) -> None:
        def write() -> None:
            self.desk.edit(change_text(self.desk.text, changes, self.desk.name), told)

        try:
            await asyncio.to_thread(write)
        except BedstoneError as error:
            self.done = lines(error)

    def _stand(self, what: str) -> None:
        """Write the picked arrangement into the file, as its own or pinned."""
        desk = self.desk
        picked = self.picked()
        if picked is None:
            return
        tables_of = desk.prepared.tables
        given = (desk.text, desk.name, desk.folder, tables_of, picked.functions, picked.point)
        try:
            if what == "stand":
                title = picked.name
                desk.edit(rewriting.stand_on(*given, title), f"stands on {title}")
                self.done = ("The bridge stands on it now; Undo takes it back.",)
            else:
                title = self.pinning.strip() or self._free_name()
                desk.edit(rewriting.pin(*given, title), f"pinned {title}")
                self.done = (f"Pinned in the file as {title!r}; Undo takes it back.",)
        except BedstoneError as error:
            self.done = lines(error)

    def _free_name(self) -> str:
        taken = {item.name for item in self.desk.bridge.compare.pinned}
        number = 1
        while f"pinned {number}" in taken:
            number += 1
        return f"pinned {number}"

    # ------------------------------------------------------------------ what is shown
    def found(self) -> Comparison | None:
        """The comparison on the superstructure of the desk; None before it was asked for."""
        answer = self.asked.answer
        if answer is None or answer.prepared is None:
            return None
        if self.whole is None or self.whole[0] is not answer:
            self.whole = (answer, with_prepared(answer.value, answer.prepared))
        return self.whole[1]

    def picked(self) -> Picked | None:
        """The arrangement chosen; the best one at first."""
        found = self.found()
        if found is None:
            return None
        word = self.word
        if word == "today":
            return of_shown(found.today, word)
        if word.startswith("pinned ") and word[7:].isdigit():
            number = int(word[7:])
            if number < len(found.pinned):
                return of_shown(found.pinned[number], word)
        if word.isdigit() and int(word) < found.done and found.stands[int(word)]:
            return of_index(found, int(word))
        return of_index(found, int(found.order[0])) if len(found.order) else None

    def made(self) -> dict[str, str]:
        """What is asked, the ranking, the picked arrangement beside today's."""
        if not self.desk.modelled:
            return {}
        made = self._fields()
        found = self.found()
        if found is None:
            return made
        picked = self.picked()
        options = [(name, f"{name} [{tables.objective_unit(name)[0]}]") for name in OBJECTIVES]
        made |= {
            "axes": parts.choices("x", "to the right", options, self.x)
            + parts.choices("y", "upwards", options, self.y),
            "plot-note": parts.notes([self._axes_told(found)]),
            "ranking": self._ranking(found, picked),
            "tried": paragraphs("What was tried", tables.tried(found))
            + paragraphs("Worked out in full", tables.in_full(found, tables.beside(found)))
            + parts.notes([tables.objective_words(found), tables.READING]),
        }
        made["picked"] = self._beside(found, picked) if picked is not None else ""
        return made

    def _fields(self) -> dict[str, str]:
        compare = self.desk.bridge.compare
        text = self.limits if self.limits is not None else "\n".join(compare.limits)
        invalid = ' aria-invalid="true" aria-describedby="limits-wrong"' if self.wrong else ""
        told = {name: f"{name}: {words}" for name, (_, words) in OBJECTIVES.items()}
        options = [("", "as the program has it: abutment force"), *told.items()]
        own = compare.objective or ""
        if own and own not in OBJECTIVES:
            options.append((own, own))
        return {
            "limits": '<label class="field"><span>Limits, one a line, such as A1.Hx &lt; 800 kN '
            f'or A1-1.N &gt; 50 kN</span><textarea id="limit-text" rows="3" spellcheck="false"'
            f' data-key="limit-text"{invalid} onchange="bedstone.tell({{do: \'limits\', '
            f'value: this.value}})">{escape(text)}</textarea></label>'
            f'<div id="limits-wrong">{parts.problem(self.wrong)}</div>',
            "objective": parts.choices("objective", "To be small", options, own)
            + parts.notes([_WRITTEN]),
        }  # fmt: skip

    def _axes_told(self, found: Comparison) -> str:
        return (
            f"To the right the {OBJECTIVES[self.x][1]}, upwards the {OBJECTIVES[self.y][1]}. The "
            f"Pareto set is that of {', '.join(found.criteria)}: none beats it in one of these "
            "without losing in another. Click a point, or choose below."
        )

    def _ranking(self, found: Comparison, picked: Picked | None) -> str:
        names = [found.objective, *(name for name in _NUMBERS if name != found.objective)]
        units = [tables.objective_unit(name) for name in names]
        pareto = {int(place) for place in found.pareto}
        places = [int(place) for place in (found.order if self.all else found.order[:_ROWS])]
        if self.all:
            places = places[:500]
        heads = "".join(
            f'<th scope="col">{escape(name)}<span class="unit">{unit}</span></th>'
            for name, (unit, _) in zip(names, units, strict=True)
        )

        def row(word: str, head: str, name: str, values: Mapping[str, float]) -> str:
            own = ' class="chosen"' if picked is not None and picked.word == word else ""
            cells = "".join(
                f"<td>{_number(values[n] * factor)}</td>" if n in values else "<td>–</td>"
                for n, (_, factor) in zip(names, units, strict=True)
            )
            return (
                f'<tr{own}><td>{escape(head)}</td><th scope="row" class="words">'
                f"{link('pick', word, name, long=True)}</th>{cells}</tr>"
            )

        rows = [row("today", "today", found.today.name, found.today.measures)]
        rows += [
            row(f"pinned {number}", "pinned", item.name, item.measures)
            for number, item in enumerate(found.pinned)
        ]
        rows += [
            row(
                str(place),
                f"{number}{' ◆' if place in pareto else ''}",
                found.arrangements.name(place),
                {name: float(found.measures[name][place]) for name in names},
            )
            for number, place in enumerate(places, start=1)
        ]
        left = len(found.order) - len(places)
        more = f"<p>{action('all', 'Show more')}</p>" if left and not self.all else ""
        return (
            '<table class="forces" id="ranked"><caption>By rank; ◆ in the Pareto set</caption>'
            '<thead><tr><th scope="col">rank</th><th scope="col" class="words">arrangement</th>'
            f"{heads}</tr></thead><tbody>{''.join(rows)}</tbody></table>{more}"
        )

    def _beside(self, found: Comparison, picked: Picked) -> str:
        today = of_shown(found.today, "today")
        rank = f"rank {picked.rank} of {len(found.order):,}" if picked.rank else "not ranked"
        broken = (
            parts.problem([f"limit not kept: {text}" for text in picked.broken])
            if picked.broken
            else ""
        )
        if picked.rank and picked.rank == found.today.rank and picked.word != "today":
            rank += ", that of today or its twin"
        kinds = Counter(seat.function for seat in picked.functions.values())
        counted = ", ".join(f"{count} {word}" for word, count in kinds.most_common())
        changed = [
            f"{mark}: {seat.function} (today {today.functions[mark].function})"
            for mark, seat in picked.functions.items()
            if seat.function != today.functions[mark].function
        ]
        done = "".join(f'<p role="status"><b>{escape(line)}</b></p>' for line in self.done)
        name = escape(self.pinning or self._free_name())
        return (
            f'<h2 id="picked-name">{escape(picked.name)}</h2>'
            f'<p class="note">{escape(rank)}; {escape(counted)}</p>{broken}'
            f'<div class="filters">{action("stand", "Stand the bridge on it", picked.word)}'
            '<label class="field"><span>pin under the name</span><input type="text" id="pin-name" '
            f'data-key="pin-name" maxlength="60" value="{name}" onchange="bedstone.tell('
            f"{{do: 'pin-name', value: this.value}})\"></label>"
            f"{action('pin', 'Pin', picked.word)}</div>{done}"
            f'<h3>As chosen</h3><div class="drawing">{self._plan(picked, "picked")}</div>'
            f'<h3>Today</h3><div class="drawing">{self._plan(today, "today")}</div>'
            f"{paragraphs('Changes', changed or ['none against today'])}"
            f'<div class="scroll">{_values(picked, today)}</div>'
        )

    def _plan(self, picked: Picked, head: str) -> str:
        prepared = self.found_prepared()
        structure, bridge = prepared.structure, prepared.bridge
        arranged = arrange(structure, list(bridge.support), picked.functions, picked.point)
        svg = drawings.plan(bridge, structure, arranged, NONE).svg
        hatches = re.findall(r'<pattern id="([^"]*)"', svg)
        for name in hatches:
            svg = svg.replace(f"url(#{name})", f"url(#{head}-{name})")
            svg = svg.replace(f'id="{name}"', f'data-own="{head}-{name}"')
        svg = _DRAWING.sub("", svg)
        return svg.replace(' data-own="', ' id="')

    def found_prepared(self) -> Prepared:
        """The superstructure that the comparison was made on."""
        found = self.found()
        assert found is not None
        return found.arrangements.prepared

    async def drawn(self) -> None:
        """Draw the plot when what it shows has changed."""
        found = await asyncio.to_thread(self.found)
        if found is None or self.asked.running:
            return
        picked = await asyncio.to_thread(self.picked)
        key = (id(found.measures), self.x, self.y, picked.word if picked is not None else "")
        if key == self.drawn_for:
            return
        self.drawn_for = key
        self.plot.update_figure(await asyncio.to_thread(figure_of, found, self.x, self.y, picked))


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


# ------------------------------------------------------------------ one arrangement
def of_shown(item: Shown, word: str) -> Picked:
    """An arrangement that the comparison shows in full."""
    return Picked(
        word, item.name, item.functions, item.point, item.measures, item.supports, item.joints,
        item.rank, item.broken,
    )  # fmt: skip


def of_index(found: Comparison, index: int) -> Picked:
    """Any other arrangement, from the extremes that the comparison keeps of all."""
    columns = {column: number for number, column in enumerate(found.columns)}
    top, low = found.tops[index].astype(float), found.lows[index].astype(float)
    size = np.maximum(np.abs(top), np.abs(low))
    supports: dict[str, dict[str, float]] = {}
    joints: dict[str, float] = {}
    for mark in dict.fromkeys(found.arrangements.supports):
        supports[mark] = {
            effect: float(size[columns[mark, effect]]) for effect in SUPPORT_EFFECTS
        } | {
            "V": float(top[columns[mark, "V"]]),
            "V min": float(low[columns[mark, "V"]]),
        }
        seats = [
            seat
            for seat, of in zip(found.arrangements.marks, found.arrangements.supports, strict=True)
            if of == mark
        ]
        joints[mark] = max(float(size[columns[seat, "vx"]]) for seat in seats)
    place = np.flatnonzero(found.order == index)
    broken = tuple(
        limit.text
        for limit in found.limits
        if not limit.kept(
            top[columns[limit.place, limit.effect]], low[columns[limit.place, limit.effect]]
        )
    )
    return Picked(
        word=str(index),
        name=found.arrangements.name(index),
        functions=found.arrangements.functions(index),
        point=found.arrangements.point(index),
        measures={name: float(values[index]) for name, values in found.measures.items()},
        supports=supports,
        joints=joints,
        rank=int(place[0]) + 1 if len(place) else 0,
        broken=broken,
    )


def _values(picked: Picked, today: Picked) -> str:
    """Forces and movements of the picked arrangement, with today's and the difference below."""
    heads = "".join(
        f'<th scope="col">{head}<span class="unit">{UNITS[key.split()[0]]}</span></th>'
        for key, head in tables.SUPPORT_ROWS
    )
    rows = []
    for mark, own in picked.supports.items():
        cells = [
            _cell(own[key] / 1e3, today.supports[mark][key] / 1e3) for key, _ in tables.SUPPORT_ROWS
        ]
        cells.append(_cell(picked.joints[mark] * 1e3, today.joints[mark] * 1e3))
        rows.append(f'<tr><th scope="row">{escape(mark)}</th>{"".join(cells)}</tr>')
    measures = []
    for name, (_, words) in OBJECTIVES.items():
        unit, factor = tables.objective_unit(name)
        cell = _cell(picked.measures[name] * factor, today.measures[name] * factor)
        measures.append(
            f'<tr><th scope="row" class="words">{escape(words)}</th>{cell}<td class="words">{unit}'
            "</td></tr>"
        )
    return (
        '<table class="forces" id="beside"><caption>Each support, governing sizes; below, where it '
        "differs, today’s value and the difference</caption><thead><tr>"
        f'<th scope="col">support</th>{heads}<th scope="col">movement<span class="unit">mm</span>'
        f"</th></tr></thead><tbody>{''.join(rows)}</tbody></table>"
        f'<table class="forces"><caption>The whole bridge</caption><tbody>{"".join(measures)}'
        "</tbody></table>"
    )


def _cell(value: float, old: float) -> str:
    places = decimals([value, old])
    if abs(value - old) <= max(_SAME * max(abs(value), abs(old)), 0.05):
        return f"<td><b>{figure(value, places)}</b></td>"
    way = "up" if abs(value) > abs(old) else "down"
    change = figure(value - old, places)
    sign = "" if change.startswith("−") else "+"
    return (
        f'<td><b>{figure(value, places)}</b><small class="{way}">{figure(old, places)} '
        f"<i>{sign}{change}</i></small></td>"
    )


def _number(value: float) -> str:
    return figure(value, 0 if abs(value) >= 100.0 else 1)


# ------------------------------------------------------------------ the plot
def figure_of(found: Comparison, x: str, y: str, picked: Picked | None) -> dict[str, Any]:
    """All arrangements as points; what is told apart by colour is told apart by shape too."""
    units = {name: tables.objective_unit(name) for name in (x, y)}
    values = {name: found.measures[name] * units[name][1] for name in (x, y)}
    pareto = {int(place) for place in found.pareto}
    usable = np.flatnonzero(found.stands)
    keeping = [int(i) for i in usable if found.keeps[i] and int(i) not in pareto]
    broken = [int(i) for i in usable if not found.keeps[i]]
    many = len(usable) > _MANY
    named = "%{text}<br>" if not many else ""
    hover = (
        f"{named}{y} %{{y:.4~g}} {units[y][0]}, {x} %{{x:.4~g}} {units[x][0]}"
        "<extra>%{fullData.name}</extra>"
    )

    def points(name: str, which: list[int], marker: dict[str, Any], words: bool) -> dict[str, Any]:
        trace = {
            "type": "scattergl" if many else "scatter",
            "mode": "markers",
            "name": f"{name} ({len(which):,})",
            "x": [round(float(values[x][i]), 3) for i in which],
            "y": [round(float(values[y][i]), 3) for i in which],
            "customdata": [str(i) for i in which],
            "marker": marker,
            "hovertemplate": hover,
        }
        if words:
            trace["text"] = [_wrapped(found.arrangements.name(i)) for i in which]
        return trace

    def single(
        name: str, items: list[tuple[str, Picked]], marker: dict[str, Any]
    ) -> dict[str, Any]:
        return {
            "type": "scatter",
            "mode": "markers",
            "name": name,
            "x": [one.measures[x] * units[x][1] for _, one in items],
            "y": [one.measures[y] * units[y][1] for _, one in items],
            "customdata": [word for word, _ in items],
            "text": [_wrapped(one.name) for _, one in items],
            "marker": marker,
            "hovertemplate": hover.replace(named, "%{text}<br>") if named else hover,
        }

    traces = []
    if broken:
        open_ring = {"symbol": "circle-open", "size": 5, "color": GREY, "opacity": 0.7}
        traces.append(points("a limit not kept", broken, open_ring, not many))
    dot = {"symbol": "circle", "size": 6, "color": GREY, "opacity": 0.85}
    traces.append(points("keeps the limits" if found.limits else "stands", keeping, dot, not many))
    diamond = {"symbol": "diamond", "size": 11, "color": ORANGE, "line": {"width": 1}}
    traces.append(points("Pareto set", sorted(pareto), diamond, words=True))
    if found.pinned:
        items = [
            (f"pinned {number}", of_shown(item, f"pinned {number}"))
            for number, item in enumerate(found.pinned)
        ]
        traces.append(single("pinned", items, {"symbol": "square", "size": 11, "color": BLUE}))
    star = {"symbol": "star", "size": 16, "color": RED}
    traces.append(single("today", [("today", of_shown(found.today, "today"))], star))
    if picked is not None:
        ring = {"symbol": "circle-open", "size": 22, "color": RED, "line": {"width": 3}}
        traces.append(single("chosen", [(picked.word, picked)], ring))
    layout = layout_of(f"{x}, {units[x][0]}", f"{y}, {units[y][0]}", 400)
    layout["hovermode"] = "closest"
    # the same view while only the choice changes
    layout["uirevision"] = f"{x} {y}"
    return {"data": traces, "layout": layout, "config": CONFIG}


def _wrapped(name: str) -> str:
    return escape(name).replace("; ", "<br>")


def _empty() -> dict[str, Any]:
    return {"data": [], "layout": layout_of("", "", 400, legend=False), "config": CONFIG}
