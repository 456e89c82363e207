"""What every single fault of the bearings and supports does, the most harmful first."""

from __future__ import annotations

from html import escape
from typing import Final

from bedstone.comparison.faults import Result, WhatIf
from bedstone.output import fault_tables as tables
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, decimals, figure, shown
from bedstone.workspace import parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import tried
from bedstone.workspace.pages.asking import View, action, link, paragraphs, table

NAME = "What if"
ORDER = 40

_ROWS: Final = 15
#: Which extremes stand in the tables of a fault: head, effect, which.
_SUPPORT: Final = (
    ("V max", "V", "max"),
    ("V min", "V", "min"),
    ("Fx", "Fx", "size"),
    ("Fy", "Fy", "size"),
    ("Mx", "Mx", "size"),
    ("My", "My", "size"),
)
_SEAT: Final = (
    ("N max", "N", "max"),
    ("N min", "N", "min"),
    ("Hx", "Hx", "size"),
    ("Hy", "Hy", "size"),
    ("vx", "vx", "size"),
    ("vy", "vy", "size"),
)
#: A change below this part of the larger value is none.
_SAME: Final = 5e-4


class _View(View):
    about = (
        "Bearings that seize, wear, stand too low or turned, stops that close, piers that give "
        "way: each by itself. The three worst are worked out in full; some seconds."
    )
    button = "Try every fault"
    skeleton = """
<div class="asked">
  <div id="asking" aria-live="polite"></div>
  <section class="card" aria-label="Answer"><h2>Which single fault hurts most</h2>
    <div id="answer" class="awaits"></div></section>
  <div class="two">
    <div>
      <section class="card" aria-label="Ranking"><div id="ranking" class="tall awaits" tabindex="0"
        role="region" aria-label="faults by harm"></div></section>
      <section class="card" aria-label="Worst of each kind"><div id="kinds" class="scroll awaits"
        tabindex="0" role="region" aria-label="worst of each kind"></div></section>
    </div>
    <div>
      <section class="card" aria-label="The chosen fault">
        <div id="detail" class="awaits" aria-live="polite"></div></section>
      <section class="card" aria-label="Notes"><div id="notes" class="awaits"></div></section>
    </div>
  </div>
</div>
"""

    def __init__(self, desk: Desk) -> None:
        self.chosen = 0
        self.all = False
        super().__init__(desk, "what-if", tried)

    async def do(self, what: str, value: str) -> None:
        """Choose a fault, show all of them."""
        if what == "fault" and value.isdigit():
            self.chosen = int(value)
        elif what == "all":
            self.all = True

    def made(self) -> dict[str, str]:
        """Answer, ranking, the worst of each kind, the chosen fault."""
        answer = self.asked.answer
        if answer is None:
            return {}
        found: WhatIf = answer.value
        self.chosen = min(self.chosen, max(len(found.results) - 1, 0))
        sentences = "".join(f"<p>{escape(line)}</p>" for line in tables.answer(found))
        detail = ""
        if found.results:
            detail = detail_of(found, self.chosen)
        return {
            "answer": sentences + (table(tables.unstable(found)) if found.unstable else ""),
            "ranking": self._ranking(found),
            "kinds": self._kinds(found),
            "detail": detail,
            "notes": paragraphs("Limits that the intact bridge does not keep", found.intact_broken)
            + paragraphs("Limits broken by a fault", tables.broken(found))
            + paragraphs("Notes", tables.notes(found))
            + parts.notes([tables.HARM, SEAT_SIGNS, SUPPORT_SIGNS]),
        }

    def _ranking(self, found: WhatIf) -> str:
        results = found.results if self.all else found.results[:_ROWS]
        largest = max((item.harm for item in results), default=0.0) or 1.0
        rows = []
        for number, item in enumerate(results):
            own = ' class="chosen"' if number == self.chosen else ""
            name = link("fault", str(number), item.fault.name, long=True)
            bar = f'<span class="bar-of" style="width:{46.0 * item.harm / largest:.1f}px"></span>'
            told = tables.change(item.worst) if item.harm > 0.0 else "–"
            lifts = ", ".join(item.lifts)
            rows.append(
                f"<tr{own}><td>{number + 1}{'*' if item.in_full else ''}</td>"
                f'<th scope="row" class="words">{name}</th>'
                f'<td class="strong">{item.harm:.2f}</td>'
                f'<td class="words" aria-hidden="true">{bar}</td><td class="words">{escape(told)}'
                f'</td><td class="words warning">{escape(lifts)}</td></tr>'
            )
        left = len(found.results) - len(results)
        more = f"<p>{action('all', f'Show {left} of less harm')}</p>" if left else ""
        return (
            '<table class="forces" id="faults"><caption>Single faults by harm (* worked out in '
            'full)</caption><thead><tr><th scope="col">no.</th><th scope="col" class="words">fault'
            '</th><th scope="col">harm</th><th aria-hidden="true"></th><th scope="col" '
            'class="words">from</th><th scope="col" class="words">lifts</th></tr></thead>'
            f"<tbody>{''.join(rows)}</tbody></table>{more}"
        )

    def _kinds(self, found: WhatIf) -> str:
        first: dict[str, int] = {}
        for number, item in enumerate(found.results):
            first.setdefault(item.fault.name, number)
        sheet = tables.by_kind(found)

        def told(name: str) -> str:
            return link("fault", str(first[name]), name, long=True)

        return table(
            sheet,
            lambda row, place: (
                told(sheet.rows[row][3].text)
                if place == 3 and sheet.rows[row][3].text in first
                else ""
            ),
        )


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


def detail_of(found: WhatIf, number: int) -> str:
    """One fault: what is to be said of it, and what every support and bearing then takes."""
    result = found.results[number]
    told = "".join(f"<li>{escape(line)}</li>" for line in tables.told(result))
    layout = found.look.layout
    return (
        f'<h2>{number + 1}. <span id="fault-name">{escape(result.fault.name)}</span></h2>'
        f'<ul class="words">{told}</ul>'
        f"{_beside(found, result, 'abutment or pier', layout.supports, _SUPPORT)}"
        f'<div class="tall">{_beside(found, result, "bearing", layout.seats, _SEAT)}</div>'
    )


def _beside(
    found: WhatIf,
    result: Result,
    what: str,
    marks: tuple[str, ...],
    effects: tuple[tuple[str, str, str], ...],
) -> str:
    """Extremes under the fault, and where they differ the intact value below."""
    heads = "".join(
        f'<th scope="col">{head}<span class="unit">{UNITS[effect]}</span></th>'
        for head, effect, _ in effects
    )
    rows = []
    for mark in marks:
        cells = []
        for head, effect, which in effects:
            before, after = (extreme(found, item, mark, effect, which) for item in (None, result))
            places = decimals([before, after])
            warning = which == "min" and after < 0.0 and after < before
            same = abs(after - before) <= max(_SAME * max(abs(after), abs(before)), 0.05)
            below = ""
            if not same:
                way = "up" if abs(after) > abs(before) else "down"
                change = figure(after - before, places)
                sign = "" if change.startswith("−") else "+"
                below = (
                    f'<small class="{way}">{figure(before, places)} <i>{sign}{change}</i></small>'
                )
            kind = ' class="warning"' if warning else ""
            cells.append(
                f'<td data-value="{escape(f"{mark} {head}")}"{kind}><b>{figure(after, places)}</b>'
                f"{below}</td>"
            )
        rows.append(f'<tr><th scope="row">{escape(mark)}</th>{"".join(cells)}</tr>')
    return (
        f'<table class="forces"><caption>Each {what} under this fault; below, where it differs, '
        f'the intact value and the difference</caption><thead><tr><th scope="col">{what}</th>'
        f"{heads}</tr></thead><tbody>{''.join(rows)}</tbody></table>"
    )


def extreme(found: WhatIf, result: Result | None, mark: str, effect: str, which: str) -> float:
    """An extreme in shown units, intact (None) or under a fault; ``size``: with its sign."""
    extremes = found.intact if result is None else result.extremes
    if which == "size":
        return shown(effect, extremes.largest(mark, effect))
    index = extremes.layout.index(mark, effect)
    return shown(effect, float((extremes.top if which == "max" else extremes.low)[index]))
