"""The schedule of bearings: every governing value, and the combination that it comes from."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape
from typing import Any, Final

from bedstone.actions.convoys import Convoy, convoys
from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.comparison.screen import Screen
from bedstone.output.drawing.overlay import NONE
from bedstone.output.sheets import is_ultimate
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, decimals, figure, shown
from bedstone.schedule.result import Governing, Schedule
from bedstone.workspace import drawings, parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import scheduled
from bedstone.workspace.pages.asking import Answer, View, action, link

NAME = "Schedule"
ORDER = 20

#: Rows shown at first; the rest on demand.
_ROWS: Final = 60
_ALL: Final = ""
#: A lane or track in the words of a share: its name, offset and, where a train is, its place.
PLACED: Final = re.compile(
    r"(?P<name>[^;:]+?) at y = (?P<y>[+-]?\d+\.\d+) m"
    r"(?: \((?P<train>[^;]+?), (?P<word>front|first axle) at (?P<s>-?\d+\.\d+) m\))?"
    r"(?= |;|$)"
)
_COLUMNS: Final = (
    ("place", "place", True),
    ("effect", "effect", True),
    ("sense", "", True),
    ("value", "value", False),
    ("combination", "combination", True),
    ("limit state", "limit state", True),
    ("leading", "brings most", True),
)


_EVEN: Final = "Even loads stand on the adverse parts of their lanes and are not drawn."


class _View(View):
    about = "The whole schedule with traffic placed for every value; some seconds."
    button = "Make the schedule"
    needs_model = False
    skeleton = """
<div class="asked">
  <div id="asking" aria-live="polite"></div>
  <div class="two">
    <section class="card" aria-label="Governing values">
      <div id="filters" class="filters"></div>
      <div id="lines" class="tall awaits"
        tabindex="0" role="region" aria-label="governing values"></div>
    </section>
    <div>
      <section class="card" aria-label="The chosen value">
        <div id="trace" class="awaits" aria-live="polite">
        </div></section>
      <section class="card" aria-label="Where the load stands"><h2>Where the load stands</h2>
        <div id="loaded" class="drawing awaits"></div><div id="loaded-note"></div></section>
    </div>
  </div>
  <div id="signs"></div>
</div>
"""

    def __init__(self, desk: Desk) -> None:
        self.place, self.state, self.effect = _ALL, "ULS persistent", "N"
        self.sort, self.falling = "", False
        self.chosen: tuple[str, str, str, str] | None = None
        self.all = False
        super().__init__(desk, "schedule", scheduled)
        if self.asked.answer is None:
            self.loop.create_task(self.asked.ask())

    async def do(self, what: str, value: str) -> None:
        """Filter, sort or trace."""
        if what == "place" or what == "choose":
            self.place = value
            if what == "choose" and self.effect in SUPPORT_EFFECTS:
                self.effect = _ALL
        elif what == "state":
            self.state = value
        elif what == "effect":
            self.effect = value
        elif what == "sort":
            self.falling = not self.falling if self.sort == value else value == "value"
            self.sort = value
        elif what == "all":
            self.all = True
        elif what == "trace":
            key = tuple(value.split("|"))
            if len(key) == 4:
                self.chosen = (key[0], key[1], key[2], key[3])

    def made(self) -> dict[str, str]:
        """Table, filters and the chosen value."""
        answer = self.asked.answer
        if answer is None:
            return {}
        schedule: Schedule = answer.value
        if self.state not in ("", *schedule.limit_states):
            ultimate = [state for state in schedule.limit_states if is_ultimate(state)]
            self.state = ultimate[0] if ultimate else schedule.limit_states[0]
        lines = self.filtered(schedule)
        line = next((item for item in lines if key_of(item) == self.chosen), None)
        if line is None and lines:
            # the one chosen does not pass the filters: the largest of those that do
            line = max(lines, key=lambda item: abs(item.value))
            self.chosen = key_of(line)
        made = {
            "filters": self._filters(schedule),
            "lines": self._table(lines),
            "signs": parts.notes([SEAT_SIGNS, SUPPORT_SIGNS]),
            "trace": trace(line) if line is not None else "",
            "loaded": "",
            "loaded-note": "",
        }
        if (
            line is not None
            and self.desk.modelled
            and answer.bridge.support == self.desk.bridge.support
        ):
            made["loaded"], made["loaded-note"] = self._drawn(line, answer)
        return made

    def filtered(self, schedule: Schedule) -> list[Governing]:
        """Lines that pass the filters, in the order asked for."""
        of_support = {seat.mark for seat in schedule.seats if seat.support == self.place}
        found = [
            line
            for line in (*schedule.seat_lines, *schedule.support_lines)
            if self.place in (_ALL, line.place)
            or line.place in of_support
        ]  # fmt: skip
        found = [line for line in found if self.state in (_ALL, line.limit_state)]
        found = [line for line in found if self.effect in (_ALL, line.effect)]
        if self.sort:
            found.sort(key=_keys()[self.sort], reverse=self.falling)
        return found

    def _filters(self, schedule: Schedule) -> str:
        seats = [(seat.mark, f"{seat.mark} {seat.function}") for seat in schedule.seats]
        supports = [(item.mark, f"{item.mark} and its seats") for item in schedule.supports]
        effects = [*SEAT_EFFECTS, *(item for item in SUPPORT_EFFECTS if item not in SEAT_EFFECTS)]
        known = {line.effect for line in (*schedule.seat_lines, *schedule.support_lines)}
        return (
            parts.choices(
                "place", "seat or support", [(_ALL, "all"), *supports, *seats], self.place
            )
            + parts.choices(
                "state",
                "limit state",
                [(_ALL, "all"), *((state, state) for state in schedule.limit_states)],
                self.state,
            )
            + parts.choices(
                "effect",
                "effect",
                [(_ALL, "all"), *((e, f"{e} [{UNITS[e]}]") for e in effects if e in known)],
                self.effect,
            )
        )

    def _table(self, lines: list[Governing]) -> str:
        heads = []
        for name, label, words in _COLUMNS:
            if name == "limit state" and self.state:
                continue
            order = ""
            if self.sort == name:
                order = f' aria-sort="{"descending" if self.falling else "ascending"}"'
            sign = ("", " ▲", " ▼")[0 if self.sort != name else 2 if self.falling else 1]
            kind = ' class="words"' if words else ""
            told = link("sort", name, (label or "sense") + sign)
            heads.append(f'<th scope="col"{kind}{order}>{told}</th>')
        shown_lines = lines if self.all else lines[:_ROWS]
        rows = []
        for line in shown_lines:
            key = key_of(line)
            text = value_of(line)
            own = ' class="chosen"' if key == self.chosen else ""
            lifts = line.effect in ("N", "V") and line.value < 0.0
            told = "" if self.state else f'<td class="words">{escape(line.limit_state)}</td>'
            name = f"{line.place} {line.effect} {line.sense} {text}: show its combination"
            rows.append(
                f'<tr{own}><th scope="row" class="words">{escape(line.place)}</th>'
                f'<td class="words">{line.effect}</td><td class="words">{line.sense}</td>'
                f"<td{' class=warning' if lifts else ''}>{link('trace', '|'.join(key), text, name)}"
                f'</td><td class="words">{escape(combination_of(line))}</td>'
                f"{told}"
                f'<td class="words">{escape(_leading(line))}</td></tr>'
            )
        left = len(lines) - len(shown_lines)
        more = f"<p>{action('all', f'Show {left} more')}</p>" if left else ""
        none = "" if lines else parts.notes(["Nothing passes these filters."])
        return (
            f'<table class="forces" id="governing"><caption>{len(lines)} governing values; click '
            f"one to see its combination</caption><thead><tr>{''.join(heads)}</tr></thead>"
            f"<tbody>{''.join(rows)}</tbody></table>{more}{none}"
        )

    def _drawn(self, line: Governing, answer: Answer) -> tuple[str, str]:
        """The plan with the traffic of a line on it, and what is not drawn."""
        assert answer.prepared is not None
        structure = answer.prepared.structure
        plan = drawings.plan(answer.bridge, structure, answer.arranged, NONE)
        over, notes = [], []
        for share in line.shares:
            if not share.action.startswith("traffic:"):
                continue
            for found in PLACED.finditer(share.where):
                offset = float(found["y"])
                if found["train"] is None:
                    continue
                place = float(found["s"])
                convoy = convoy_of(
                    self.desk.screen, share.action, found["name"].strip(), found["train"]
                )
                over.append(_axles(plan, structure, convoy, offset, place))
                notes.append(f"{found['name'].strip()}: {found['train']} at {place:.2f} m")
        if not notes:
            text = "No train stands on the deck for this value."
            return plan.svg, parts.notes([text])
        svg = plan.svg.replace('<g class="live"></g>', f'<g class="live">{"".join(over)}</g>')
        told = "; ".join(notes)
        return svg, parts.notes([f"Drawn: axles ({told}). {_EVEN}"])


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    _View(desk)


# ------------------------------------------------------------------ lines
def key_of(line: Governing) -> tuple[str, str, str, str]:
    """What a line is called by."""
    return line.place, line.effect, line.sense, line.limit_state


def value_of(line: Governing) -> str:
    """The value of a line with its unit."""
    value = shown(line.effect, line.value)
    return f"{figure(value, decimals([value]))} {UNITS[line.effect]}"


def combination_of(line: Governing) -> str:
    """The combination without the name of the limit state."""
    return line.combination.removeprefix(f"{line.limit_state} ").removeprefix("ULS ")


def _leading(line: Governing) -> str:
    return line.shares[0].action.removeprefix("traffic:") if line.shares else "–"


def _keys() -> dict[str, Callable[[Governing], Any]]:
    return {
        "place": lambda line: line.place,
        "effect": lambda line: line.effect,
        "sense": lambda line: line.sense,
        "value": lambda line: shown(line.effect, line.value),
        "combination": combination_of,
        "limit state": lambda line: line.limit_state,
        "leading": _leading,
    }


def trace(line: Governing) -> str:
    """The actions of one value, what each brings, and what acts at the same moment."""
    unit = UNITS[line.effect]
    brought = [shown(line.effect, share.value) for share in line.shares]
    value = shown(line.effect, line.value)
    places = decimals([value, *brought])
    largest = max((abs(part) for part in brought), default=0.0) or 1.0
    rows = []
    for share, part in zip(line.shares, brought, strict=True):
        if abs(part) < 0.5 * 10.0**-places:
            continue
        alone = part / share.factor if share.factor else 0.0
        kind = "bar-of" if part * value >= 0.0 else "bar-of relieves"
        bar = f'<span class="{kind}" style="width:{60.0 * abs(part) / largest:.1f}px"></span>'
        rows.append(
            f'<tr><th scope="row" class="words">{escape(share.action.removeprefix("traffic:"))}'
            f"</th><td>{figure(alone, places)}</td><td>{share.factor:.3g}</td>"
            f"<td>{figure(part, places)}</td>"
            f'<td class="words" aria-hidden="true">{bar}</td>'
            f'<td class="words">{escape(share.where)}</td></tr>'
        )
    rest = value - sum(brought)
    if abs(rest) >= 0.5 * 10.0**-places:
        told = line.contact or "what opening bearings pass on"
        rows.append(
            f'<tr><th scope="row" class="words">not by factors</th><td></td><td></td>'
            f'<td>{figure(rest, places)}</td><td></td><td class="words">{escape(told)}</td></tr>'
        )
    order = SEAT_EFFECTS if len(line.acting) == len(SEAT_EFFECTS) else SUPPORT_EFFECTS
    acting = ", ".join(
        f"{effect} {figure(shown(effect, own), decimals([shown(effect, own)]))} {UNITS[effect]}"
        for effect, own in zip(order, line.acting, strict=True)
        if abs(shown(effect, own)) >= 0.05
    )
    below = "" if line.bound == "given" else f"; {line.bound} bound of the stiffness below"
    return (
        f"<h2>{escape(line.place)} {line.effect} {line.sense} "
        f'<span id="traced">{value_of(line)}</span></h2>'
        f'<p class="note">{escape(line.limit_state)}: {escape(combination_of(line))} '
        f"({escape(line.clause)}){escape(below)}</p>"
        f'<div class="scroll"><table class="forces plain"><thead><tr>'
        f'<th scope="col" class="words">action</th><th scope="col">alone<span class="unit">{unit}'
        f'</span></th><th scope="col">factor</th><th scope="col">brings<span class="unit">{unit}'
        f'</span></th><th aria-hidden="true"></th><th scope="col" class="words">where</th></tr>'
        f'</thead><tbody>{"".join(rows)}<tr class="sum"><th scope="row" class="words">sum</th>'
        f"<td></td><td></td><td>{figure(value, places)}</td><td></td><td></td></tr></tbody></table>"
        f'</div><p class="note">At the same moment there: {escape(acting or "nothing")}.</p>'
    )


# ------------------------------------------------------------------ where the load stands
def convoy_of(screen: Screen, action_name: str, lane_name: str, told: str) -> Convoy | None:
    """The train that the words of a share tell of, as it stands; None where it is not found."""
    field = screen.prepared.structure
    longest = float(field.chainages[-1] - field.chainages[0]) + 20.0
    group_name = action_name.partition(":")[2]
    for group in screen.context.groups:
        if group.name != group_name:
            continue
        for model in group.models:
            for placement in model.placements:
                for lane in placement.lanes:
                    if lane.name != lane_name:
                        continue
                    for train in lane.trains:
                        if not told.startswith(train.name):
                            continue
                        for convoy in convoys(train, longest):
                            if f"{train.name}{convoy.note}" == told:
                                return convoy
    return None


def _axles(
    plan: drawings.Drawn, structure: Any, convoy: Convoy | None, offset: float, place: float
) -> str:
    """The axles and even loads of one lane on the plan."""
    track = convoy.train.track if convoy is not None and convoy.train.track > 0.0 else 2.0
    half = 0.5 * track + 0.2
    if convoy is None:
        pairs = [(place, 0.15)]
    else:
        first = place + float(-convoy.half[0])
        pairs = [
            (first - float(p), max(float(h), 0.2))
            for p, h in zip(convoy.position, convoy.half, strict=True)
        ]
    marks = []
    for at, reach in pairs:
        corners = [
            (at - reach, offset - half),
            (at + reach, offset - half),
            (at + reach, offset + half),
            (at - reach, offset + half),
        ]
        points = [plan.at(*map(float, structure.axis.point(s, y))) for s, y in corners]
        told = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        marks.append(f'<polygon class="load" points="{told}"/>')
    back = min(at for at, _ in pairs) - 0.6
    front = max(at for at, _ in pairs) + 0.6
    ends = [(back, offset - half - 0.3), (front, offset - half - 0.3),
            (front, offset + half + 0.3), (back, offset + half + 0.3)]  # fmt: skip
    frame = [plan.at(*map(float, structure.axis.point(s, y))) for s, y in ends]
    told = " ".join(f"{x:.2f},{y:.2f}" for x, y in frame)
    return f'<polygon class="lane" points="{told}"/>' + "".join(marks)
