"""Who takes the horizontal force: by the rule, by stiffness, and along a path with friction."""

from __future__ import annotations

import asyncio
from typing import Any, Final

from nicegui import ui

from bedstone.comparison.fixed_point import StillPoints
from bedstone.comparison.sharing import Range, Row, Sharing
from bedstone.output import sharing_tables as tables
from bedstone.output.drawing.overlay import NONE
from bedstone.output.shown import SUPPORT_SIGNS
from bedstone.workspace import drawings, parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import shared
from bedstone.workspace.pages.asking import (
    BLUE,
    CONFIG,
    GREY,
    OCHRE,
    ORANGE,
    View,
    layout_of,
    paragraphs,
    table,
)

NAME = "Sharing"
ORDER = 50

#: The ways beside each other: name, colour, pattern (so that colour alone says nothing).
_WAYS: Final = (
    ("rule of the family", GREY, ""),
    ("elastic, traffic or wind", BLUE, "/"),
    ("elastic, locked by temperature", OCHRE, "x"),
    ("path, all together", ORANGE, "."),
)


class _View(View):
    about = (
        "The rule of the family, elastic stiffness, and a path of two years with friction, play "
        "and stops; some seconds."
    )
    button = "Share the forces"

    def __init__(self, desk: Desk) -> None:
        self.shown: Sharing | None = None
        super().__init__(desk, "sharing", shared)
        if self.asked.answer is None and desk.modelled:
            self.loop.create_task(self.asked.ask())

    def build(self) -> None:
        """Plots stand between parts of HTML."""
        with ui.element("div").classes("asked"):
            ui.html('<div id="asking" aria-live="polite"></div>', sanitize=False)
            ui.html('<div id="acting"></div>', sanitize=False)
            self.plots: dict[str, Any] = {}
            with ui.element("div").classes("two"):
                for way in ("along", "across"):
                    with ui.element("section").classes("card").props(f'aria-label="{way}"'):
                        ui.html(f"<h2>What each support takes {way} the bridge</h2>")
                        self.plots[way] = ui.plotly(_empty()).classes("plot")
                        ui.html(
                            f'<div id="table-{way}" class="scroll awaits" tabindex="0" '
                            f'role="region" aria-label="numbers {way}"></div>',
                            sanitize=False,
                        )
            ui.html(
                '<section class="card"><h2>The point that temperature does not move</h2>'
                '<div id="still-plan" class="drawing"></div>'
                '<div id="still" class="scroll awaits" tabindex="0" role="region" '
                'aria-label="the point that temperature does not move"></div></section>'
                '<section class="card"><h2>Bearing by bearing, phase by phase</h2>'
                '<div id="more" class="scroll awaits" tabindex="0" role="region" '
                'aria-label="bearings and phases"></div></section><div id="reading"></div>',
                sanitize=False,
            )

    def made(self) -> dict[str, str]:
        """Tables beside and below the plots."""
        answer = self.asked.answer
        if answer is None:
            return {}
        found: Sharing
        points: StillPoints
        found, points = answer.value
        across = tables.still_across(points)
        ways = ("along", "across")
        more = [table(tables.three_ways(found, "seat", way)) for way in ways]
        more += [table(tables.by_phase(found, "support", way)) for way in ways]
        if any(item.line is not None for item in found.ruled) and found.force > 0.0:
            more.append(table(tables.rules(found)))
        if found.travel:
            more.append(table(tables.travel(found)))
        still = table(tables.still_along(points))
        if across.rows:
            still += table(across)
        return {
            "acting": parts.notes(tables.acting(found)),
            "table-along": table(tables.three_ways(found, "support", "along"))
            + paragraphs("Not covered by a rule", tables.not_covered(found)),
            "table-across": table(tables.three_ways(found, "support", "across")),
            "still": still,
            "still-plan": self._plan(points),
            "more": f'<div class="sheets"><div>{"</div><div>".join(more)}</div></div>'
            + paragraphs("Notes", tables.notes(found, points)),
            "reading": parts.notes(
                [tables.self_check(found, points), tables.READING, tables.STILL, SUPPORT_SIGNS]
            ),
        }

    async def drawn(self) -> None:
        """Draw the plots when there is another answer."""
        answer = self.asked.answer
        if answer is None or answer.value[0] is self.shown:
            return
        self.shown = found = answer.value[0]
        for way, plot in self.plots.items():
            plot.update_figure(await asyncio.to_thread(figure_of, found, way))

    def _plan(self, points: StillPoints) -> str:
        """The plan with the stretch in which the point lies, with and without friction."""
        answer = self.asked.answer
        if answer is None or answer.prepared is None:
            return ""
        structure = answer.prepared.structure
        plan = drawings.plan(answer.bridge, structure, answer.arranged, NONE)
        marks = []
        edges = [place.offset for place in structure.seats]
        low, high = min(edges) - 0.8, max(edges) + 0.8
        for piece in points.pieces:
            places = [one.along.at for one in (*piece.elastic, *piece.rubbing) if one.along]
            if not places:
                continue
            first, last = min(places), max(places)
            half = max(0.0, 0.15 - 0.5 * (last - first))
            ends = [
                (first - half, low),
                (last + half, low),
                (last + half, high),
                (first - half, high),
            ]
            corners = [plan.at(*map(float, structure.axis.point(s, y))) for s, y in ends]
            told = " ".join(f"{x:.2f},{y:.2f}" for x, y in corners)
            marks.append(f'<polygon class="lane" points="{told}"/>')
        return plan.svg.replace('<g class="live"></g>', f'<g class="live">{"".join(marks)}</g>')


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


def figure_of(found: Sharing, way: str) -> dict[str, Any]:
    """Bars for every support along or across: up to the largest value, a range down to the least.

    Forces in kN.
    """
    rows = [row for row in found.rows if (row.kind, row.way) == ("support", way)]
    bars = []
    for (name, colour, pattern), ranges in zip(_WAYS, _ranges(rows), strict=True):
        if all(one is None for one in ranges):
            continue
        high = [None if one is None else one.high / 1e3 for one in ranges]
        spread = [0.0 if one is None else (one.high - one.low) / 1e3 for one in ranges]
        told = [
            "" if one is None else f"{tables.ranged(one, 0)} kN".replace(" to ", " … ")
            for one in ranges
        ]
        bars.append(
            {
                "type": "bar",
                "name": name.replace("traffic or wind", "traffic" if way == "along" else "wind"),
                "x": [row.place for row in rows],
                "y": high,
                "customdata": told,
                "hovertemplate": "%{x}: %{customdata}<extra>%{fullData.name}</extra>",
                "marker": {
                    "color": colour,
                    "line": {"color": colour, "width": 1.2},
                    "pattern": {"shape": pattern, "fillmode": "overlay", "solidity": 0.35},
                },
                "error_y": {
                    "type": "data",
                    "symmetric": False,
                    "array": [0.0] * len(rows),
                    "arrayminus": spread,
                    "color": GREY,
                    "thickness": 2,
                    "width": 5,
                    "visible": any(value > 0.05 for value in spread),
                },
            }
        )
    layout = layout_of("", f"force {way}, kN", 300) | {"barmode": "group", "bargap": 0.25}
    layout["legend"] = {**layout["legend"], "font": {"size": 12}}
    return {"data": bars, "layout": layout, "config": CONFIG}


def _ranges(rows: list[Row]) -> list[list[Range | None]]:
    rule = [None if row.rule is None else Range(row.rule, row.rule) for row in rows]
    return [
        list(rule),
        [row.elastic for row in rows],
        [row.locked for row in rows],
        [row.path for row in rows],
    ]


def _empty() -> dict[str, Any]:
    return {"data": [], "layout": layout_of("", "", 300, legend=False), "config": CONFIG}
