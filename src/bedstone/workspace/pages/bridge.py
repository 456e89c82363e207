"""The bridge on its bearings: turn a bearing, watch the abutment."""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, cast, get_args

from nicegui import context, events, ui

from bedstone.bridge.schema import BearingKind
from bedstone.errors import BedstoneError, InputError
from bedstone.output.drawing.overlay import NONE
from bedstone.workspace import drawings, parts
from bedstone.workspace.desk import FUNCTIONS, Before, Desk
from bedstone.workspace.live import Live

NAME = "Bridge"
ORDER = 10

_KEYS: Final = {"fixed": "1", "guided along": "2", "guided across": "3", "free": "4"}
_DIRECTIONS: Final = ("axis", "tangent", "toward fixed point", "square")
#: Largest movement of temperature, mm of the drawing.
_DRAWN: Final = 9.0
_MOVING: Final = (
    "plan .live",
    "elevation .live",
    "standing",
    "sketch",
    "load-fields",
    "stage-fields",
    "temperature-value",
    "load-value",
    "offset-value",
)
#: Rest (s) after a change before idle sliders are made ready.
_PAUSE: Final = 0.15
#: Largest movement of the sketch of a bearing, in its own units.
_SKETCHED: Final = 24.0
_SLIDERS: Final = frozenset({"temperature", "load", "offset"})

_SKELETON: Final = """
<div class="bridge-page">
  <div class="main">
    <div id="motion" aria-live="polite"></div>
    <section class="card" aria-label="Plan"><div id="plan" class="drawing"></div>
      <div id="legend" class="legend"></div></section>
    <section class="card" aria-label="Elevation"><div id="elevation" class="drawing"></div>
    </section>
    <section class="card" aria-label="Before and after">
      <div class="bar"><h2>Before and after</h2><div id="against"></div></div>
      <div id="summary" aria-live="polite"></div>
      <div id="forces" class="scroll" tabindex="0" role="region"
           aria-label="forces on the supports"></div>
    </section>
  </div>
  <aside class="side" aria-label="Chosen bearing and what moves">
    <section class="card" id="bearing"></section>
    <section class="card">
      <h2>What moves</h2>
      <label class="field"><span>Temperature <output id="temperature-value"></output></span>
        <input type="range" data-do="temperature" id="temperature" value="0" step="1"></label>
      <div id="sketch"></div>
      <div id="load-fields"></div>
      <label class="field"><span>Place of the load <output id="load-value"></output></span>
        <input type="range" data-do="load" id="load" min="0" max="1000" value="0" disabled></label>
      <label class="field"><span>Across <output id="offset-value"></output></span>
        <input type="range" data-do="offset" id="offset" min="0" max="100" value="50" disabled>
      </label>
      <div id="stage-fields"></div>
      <div id="standing" aria-live="off"></div>
    </section>
  </aside>
</div>
"""


@dataclass
class _Sliders:
    """Where the sliders stand."""

    temperature: float = 0.0
    convoy: str = ""
    load: float = 0.5
    offset: float = 0.5
    stage: str = ""

    @property
    def active(self) -> bool:
        """Whether they show anything."""
        return bool(self.temperature or self.convoy or self.stage)


class _View:
    """One visit's page: what is chosen, and what was sent to the browser last."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.client = context.client
        self.loop = asyncio.get_running_loop()
        self.chosen = ""
        self.number = 0
        self.sliders = _Sliders()
        self.sent: dict[str, str] = {}
        self.plan: drawings.Drawn | None = None
        self.side: drawings.Drawn | None = None
        self.live: Live | None = None
        self.faults: tuple[str, ...] = ()
        self._order = asyncio.Lock()
        self._later: asyncio.TimerHandle | None = None
        self._pieces: dict[str, tuple[str, dict[str, str]]] = {}
        self._wanted: dict[str, Any] = {}
        self.root = ui.element("div").classes("page-root")
        with self.root:
            ui.html(_SKELETON, sanitize=False)
        self.root.on("desk", self.hear, ["detail"])
        self._end: Callable[[], None] = desk.watch(self.changed)

    def changed(self) -> None:
        """The desk changed, in whatever thread."""
        self.loop.call_soon_threadsafe(lambda: self.loop.create_task(self.refresh()))

    # ------------------------------------------------------------------ what the browser says
    async def hear(self, event: events.GenericEventArguments) -> None:
        """Something was clicked, keyed or drawn."""
        told = event.args.get("detail", {}) if isinstance(event.args, dict) else {}
        if not isinstance(told, dict):
            return
        what, value = str(told.get("do", "")), str(told.get("value", ""))
        number = told.get("number")
        if what in _SLIDERS:
            # only the last place of a slider counts
            self._wanted[what] = value
            if not self._order.locked():
                async with self._order:
                    await self._slide()
            return
        async with self._order:
            self.number = number if isinstance(number, int) else 0
            if what == "choose":
                self.chosen = value
                await self._send(self._bearing())
                await self._send(await asyncio.to_thread(self._moving))  # its sketch
            elif what in ("function", "direction", "kind"):
                await self._set(what, value, str(told.get("seat", "")) or self.chosen)
            elif what == "against":
                self.desk.against = cast(Before, value)
                await self._draw()
            elif what == "convoy":
                self.sliders.convoy, self.sliders.stage = value, ""
                await self._send(await asyncio.to_thread(self._moving))
            elif what == "stage":
                self.sliders.stage, self.sliders.convoy = value, ""
                await self._send(await asyncio.to_thread(self._moving))
            elif what == "ready":
                await self._draw()

    async def _set(self, what: str, value: str, seat: str) -> None:
        self.faults = ()
        self.chosen = seat
        given: dict[str, Any] = {what: value}
        if what == "function" and value not in FUNCTIONS:
            return
        try:
            if not await asyncio.to_thread(self.desk.set_function, seat, **given):
                await self._send(self._bearing())  # nothing changed, so nothing will be told
        except BedstoneError as error:
            self.faults = _lines(error)
            await self._send(self._bearing())

    async def _slide(self) -> None:
        while self._wanted:
            wanted, self._wanted = self._wanted, {}
            for what, value in wanted.items():
                number = _number(value)
                if number is None:
                    continue
                if what == "temperature":
                    self.sliders.temperature = number
                elif what == "load":
                    self.sliders.load = min(max(number / 1000.0, 0.0), 1.0)
                else:
                    self.sliders.offset = min(max(number / 100.0, 0.0), 1.0)
            await self._send(await asyncio.to_thread(self._moving))

    # ------------------------------------------------------------------ what is drawn
    async def refresh(self) -> None:
        """Draw anew after a change of the desk."""
        if self.root.is_deleted:
            self._end()
            return
        async with self._order:
            await self._draw()

    async def _draw(self) -> None:
        start = time.perf_counter()
        number, self.number = self.number, 0  # it goes with the last part
        try:
            if not self.desk.looked and self.desk.modelled:
                await self._send(await asyncio.to_thread(self._bare))
            made, engine = await asyncio.to_thread(self._figures)
            await self._send(made)  # laid out by the browser while the drawings are made
            made = await asyncio.to_thread(self._drawings)
        except BedstoneError as error:
            made, engine = {"motion": parts.problem(_lines(error))}, 0.0
        self.number = number
        await self._send(made, engine=engine, server=time.perf_counter() - start)
        if self._later is not None:
            self._later.cancel()
        # what the sliders need follows when no other change comes at once
        pause = 0.0 if self.sliders.active else _PAUSE
        self._later = self.loop.call_later(pause, lambda: self.loop.create_task(self._follow()))

    async def _follow(self) -> None:
        """Show what the sliders say of the new arrangement."""
        if self.root.is_deleted:
            return
        async with self._order:
            try:
                await self._send(await asyncio.to_thread(self._moving))
            except BedstoneError as error:
                await self._send({"standing": parts.problem(_lines(error))})

    def _bare(self) -> dict[str, str]:
        """The drawings without forces, while the loads are worked out."""
        desk = self.desk
        structure, bridge, arranged = desk.prepared.structure, desk.bridge, desk.arranged
        return {
            "motion": parts.notes(["The loads of this bridge are being worked out …"]),
            "plan": drawings.plan(bridge, structure, arranged, NONE).svg,
            "elevation": drawings.side(bridge, structure, arranged, NONE).svg,
            "legend": drawings.legend(),
        }

    def _figures(self) -> tuple[dict[str, str], float]:
        """All of the page but its drawings, and the time (s) that the look took."""
        desk = self.desk
        if not desk.modelled:
            text = (
                "This file brings reactions from elsewhere: there is no model to stand on bearings."
            )
            return {"motion": parts.notes([text])}, 0.0
        start = time.perf_counter()
        look = desk.look
        engine = time.perf_counter() - start
        before = desk.before
        if self.chosen not in [seat.mark for seat in desk.seats]:
            self.chosen = desk.seats[0].mark
        self.live = None
        made = {
            "motion": parts.rests(desk.motion) + parts.notes(desk.notes),
            "against": parts.buttons(
                "against",
                "compared with",
                [("last change", "last change"), ("as opened", "as opened")],
                desk.against,
            ),
            "summary": parts.summary(look, before),
            "forces": parts.forces(look, before, desk.against),
        }
        return made | self._bearing(), engine

    def _drawings(self) -> dict[str, str]:
        """Plan and elevation with what the look says."""
        desk = self.desk
        if not desk.modelled:
            return {}
        structure, bridge, arranged = desk.prepared.structure, desk.bridge, desk.arranged
        fixed_point = bridge.arrangement.fixed_point
        over = drawings.overlay(structure, desk.look, desk.motion, fixed_point)
        self.plan = drawings.plan(bridge, structure, arranged, over)
        self.side = drawings.side(bridge, structure, arranged, over)
        return {
            "plan": self.plan.svg,
            "elevation": self.side.svg,
            "legend": self.sent.get("legend") or drawings.legend(),
        }

    def _bearing(self) -> dict[str, str]:
        """The panel of the chosen bearing."""
        desk = self.desk
        functions = desk.functions
        seat = functions.get(self.chosen)
        if seat is None:
            return {}
        own = [name for name in FUNCTIONS if name != "elastic" or seat.stiffness is not None]
        labels = [(name, f"{name} ({_KEYS[name]})" if name in _KEYS else name) for name in own]
        direction = seat.direction
        directions = [(name, name) for name in _DIRECTIONS]
        if isinstance(direction, float):
            told = f"{math.degrees(direction):g} deg"
            directions.append((told, f"{told} from the axis"))
        else:
            told = direction
        kinds = [(kind, kind) for kind in get_args(BearingKind)]
        if seat.kind is None:
            kinds.insert(0, ("", "not said"))
        html = (
            f'<h2>Bearing <span id="chosen">{self.chosen}</span></h2>'
            + parts.problem(self.faults)
            + parts.buttons("function", "function", labels, seat.function)
            + parts.choices("direction", "direction of its x'", directions, told)
            + parts.choices("kind", "kind", kinds, seat.kind or "")
            + parts.seat_values(self.chosen, desk.look, desk.before)
        )
        return {"bearing": html}

    def _moving(self) -> dict[str, str]:
        """What the sliders show: overlays of the drawings, reactions, a sketch of the bearing."""
        desk, plan, side, own = self.desk, self.plan, self.side, self.sliders
        made = dict.fromkeys(_MOVING, "")
        if plan is None or side is None or not desk.looked or desk.look is None:
            return made
        live = self.live = self.live or Live(desk.screen, desk.bridge, desk.arranged)
        structure, bridge = desk.prepared.structure, desk.bridge
        low, high = live.temperatures
        made["temperature-range"] = f"{math.floor(low)} {math.ceil(high)}"
        change = min(max(own.temperature, math.floor(low)), math.ceil(high))
        made["temperature-value"] = f"{change:+.0f} K from setting".replace("-", "−")
        over_plan = over_side = ""
        moved = live.warmed(change)
        if change:
            stretch = self._stretch(live, plan)
            over_plan = drawings.grown(plan, bridge, structure, moved, stretch)
            over_side = drawings.grown_side(side, bridge, structure, moved, stretch)
            made["temperature-value"] += f", drawn {stretch:g} times"
        if self.chosen in moved:
            seat = desk.functions[self.chosen]
            far = max(abs(live.warmed(end)[self.chosen].own[0]) for end in (low, high)) * 1e3
            sketched = moved[self.chosen]
            made["sketch"] = parts.bearing_section(
                self.chosen, seat, sketched, _SKETCHED / far if far > 0.05 else 1.0
            )
        convoys = {convoy.name: convoy for convoy in live.convoys}
        options = [("", "none"), *((name, name) for name in convoys)]
        made["load-fields"] = parts.choices("convoy", "Load on the deck", options, own.convoy)
        stages = [("", "none"), *((name, f"up to: {name}") for name in live.stages)]
        made["stage-fields"] = parts.choices("stage", "Permanent load by stages", stages, own.stage)
        if own.convoy in convoys:
            convoy = convoys[own.convoy]
            first, last = live.reach
            at = first + own.load * (last + convoy.length - first)
            if convoy.offsets:
                places = sorted(convoy.offsets)
                offset = places[min(int(own.offset * len(places)), len(places) - 1)]
            else:
                offset = convoy.right + own.offset * (convoy.left - convoy.right)
            told = live.driven(convoy, offset, at)
            made["load-value"] = f"first axle at {at:.1f} m"
            made["offset-value"] = f"y = {offset:+.2f} m".replace("-", "−")
            over_plan += drawings.loaded(plan, structure, convoy, offset, at)
            over_side += drawings.loaded_side(side, structure, convoy, at, told.supports)
            made["standing"] = parts.standing(told, "Reactions of this load alone, axles only")
        elif own.stage in live.stages:
            built = live.built(own.stage)
            over_side += drawings.reaction_texts(side, structure, built.supports)
            head = f"Reactions of all permanent loads up to the stage {own.stage!r}"
            made["standing"] = parts.standing(built, head)
        made["plan .live"], made["elevation .live"] = over_plan, over_side
        return made

    def _stretch(self, live: Live, plan: drawings.Drawn) -> float:
        """How many times movements of temperature are drawn: the same for the whole slider."""
        low, high = live.temperatures
        largest = max(
            math.hypot(*seat.plan)
            for change in (low, high)
            for seat in live.warmed(change).values()
        )
        view = plan.picture.view
        if largest <= 0.0 or view is None:
            return 1.0
        raw = _DRAWN / (largest * view.per_unit)
        power = 10.0 ** math.floor(math.log10(raw))
        return float(max(step * power for step in (1.0, 2.0, 5.0) if step * power <= raw * 1.001))

    def _differing(self, name: str, made: dict[str, str]) -> dict[str, str]:
        """Groups of a drawing that changed, where all else of it is as the browser has it."""
        old, new = self._pieces.get(name), drawings.pieces(made[name])
        self._pieces[name] = new
        if old is None or old[0] != new[0]:
            self.sent.pop(f"{name} .live", None)  # a whole new drawing comes without its overlay
            return {}
        self.sent[name] = made[name]
        return {key: group for key, group in new[1].items() if old[1][key] != group}

    async def _send(self, made: dict[str, str], engine: float = 0.0, server: float = 0.0) -> None:
        """Send what differs from what the browser shows; a new drawing takes its overlay along."""
        groups: dict[str, str] = {}
        for name in ("plan", "elevation"):
            if name in made:
                groups |= self._differing(name, made)
        new = {key: value for key, value in made.items() if self.sent.get(key) != value}
        self.sent |= new
        told = {
            "parts": new,
            "groups": groups,
            "chosen": self.chosen,
            "loaded": bool(self.sliders.convoy),
            "number": self.number,
            "engine": engine * 1e3,
            "server": server * 1e3,
        }
        self.number = 0
        self.client.run_javascript(f"bedstone.show({parts.script(told)})")


def build(desk: Desk) -> None:
    """Build the page for a desk."""
    view = _View(desk)
    view.changed()


def _lines(error: BedstoneError) -> tuple[str, ...]:
    """An error as lines for people."""
    if isinstance(error, InputError):
        return tuple(f"{f.where}: found {f.found}; allowed: {f.allowed}" for f in error.faults)
    return (str(error),)


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
