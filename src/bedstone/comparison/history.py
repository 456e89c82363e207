"""The life of a bridge as loads in time, and its bearings as sliders, for the path of movement.

The bearings are set, take the rest of the permanent load, and then years of yearly and daily
temperature; traffic passes now and then. At the end the bridge is braked on and blown on, each in
both senses, when it is warm, as set, and cold. Vertical bearings and held rotations are eliminated
once (`bedstone.mechanics.variants`); what stays are x' and y' of every bearing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.articulation.ground import ground
from bedstone.articulation.prepared import Prepared
from bedstone.comparison.acting import Acting, early_normal
from bedstone.comparison.reduced import Reduced, reduce
from bedstone.mechanics.condense import SeatLoad
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.sliding import History, Loads, Sliders

#: Phases of a life; the envelopes of each are kept apart.
Phase = Literal["permanent and temperature", "traffic", "braking", "wind"]
PHASES: tuple[Phase, ...] = ("permanent and temperature", "traffic", "braking", "wind")


@dataclass(frozen=True)
class Timeline:
    """How a life is told. All figures are round ones to ask with, none is a value of a standard.

    - `years` of `days` each; every day has two turning points of temperature, cold and warm
    - `daily`: part of half the range of temperature that the day swings; the year has the rest
    - `passages`: of traffic over the whole bridge in a year
    - `brakings`: how often each horizontal force comes back at each of the three temperatures
    """

    years: int = 3
    days: int = 365
    daily: float = 0.3
    passages: int = 24
    brakings: int = 1


@dataclass(frozen=True)
class Life:
    """A history of factors on named unit loads: `factors` (steps, L), `phase` (steps,)."""

    factors: Floats
    labels: tuple[str, ...]
    phase: Ints

    @property
    def history(self) -> History:
        """As the path solver takes it."""
        return History(self.factors, self.labels, self.phase)


def life_of(acting: Acting, timeline: Timeline) -> Life:
    """The life of a bridge; columns in the order of `unit_loads`."""
    labels = labels_of(acting)
    traffic = [i for i, name in enumerate(labels) if name.startswith("traffic")]
    first_braking = 4 + len(traffic)
    braking = list(range(first_braking, first_braking + len(acting.braking_names)))
    wind = list(range(braking[-1] + 1 if braking else first_braking, len(labels)))
    state = np.zeros(len(labels))
    rows: list[Floats] = []
    phase: list[int] = []

    def step(kind: Phase) -> None:
        rows.append(state.copy())
        phase.append(PHASES.index(kind))

    state[0] = 1.0
    step("permanent and temperature")
    state[1] = 1.0
    step("permanent and temperature")
    middle = (acting.thermal.expansion - acting.thermal.contraction) / 2.0
    half = (acting.thermal.expansion + acting.thermal.contraction) / 2.0
    total = timeline.years * timeline.days
    every = max(timeline.days // timeline.passages, 1) if timeline.passages else total + 1
    for day in range(total):
        season = np.sin(2.0 * np.pi * day / timeline.days)
        mean = middle + (1.0 - timeline.daily) * half * season
        state[2] = (day + 1) / total
        for sense in (-1.0, 1.0):
            state[3] = mean + sense * timeline.daily * half
            step("permanent and temperature")
        if traffic and (day + 1) % every == 0:
            for column in traffic:
                state[column] = 1.0
                step("traffic")
                state[column] = 0.0
            step("traffic")
    for temperature in (acting.thermal.expansion, 0.0, -acting.thermal.contraction):
        state[3] = temperature
        step("permanent and temperature")
        for columns, kind in ((braking, PHASES[2]), (wind, PHASES[3])):
            for column in columns * timeline.brakings:
                state[column] = 1.0
                step(kind)
                state[column] = 0.0
                step(kind)
    return Life(np.array(rows), labels, np.array(phase, dtype=np.intp))


def labels_of(acting: Acting) -> tuple[str, ...]:
    """The unit loads of a life."""
    count = acting.traffic.g.shape[1]
    return (
        "weight before setting",
        "permanent load after setting",
        "shrinkage, creep and jacking",
        "K of temperature",
        *(f"traffic at place {i + 1}" for i in range(count)),
        *acting.braking_names,
        *acting.wind_names,
    )


@dataclass(frozen=True)
class Moving:
    """One stiffness below: what does not depend on friction.

    `rows` (ns,) the seats with a bearing, in the order of the sliders; `flexibility`, `motions`,
    `coupling` and `loads` as `Sliders` and `follow` want them.
    """

    prepared: Prepared
    arranged: Arranged
    rows: tuple[int, ...]
    flexibility: Floats
    motions: Floats
    coupling: Floats
    loads: Loads


def moving(prepared: Prepared, acting: Acting, arranged: Arranged, bound: str) -> Moving:
    """Eliminate the vertical bearings, for one stiffness below.

    Loads of earlier states move the bearings as much as the bridge of that state would; what this
    locks in is carried by the bridge of the final state.
    """
    below = ground(prepared.structure, list(prepared.bridge.support), bound)
    rows = tuple(i for i, seat in enumerate(arranged.seats) if seat.function != "none")
    states = {
        name: reduce(item, below, arranged.bearings, rows)
        for name, item in prepared.condensed.items()
    }
    final = states[prepared.final]
    movement = np.zeros((2 * len(rows), len(labels_of(acting))))
    normal = np.zeros((len(rows), movement.shape[1]))
    resultant = np.zeros((final.motions.shape[1], movement.shape[1]))
    early = early_normal(prepared, acting, arranged, bound)
    normal[:, 0] = early[list(rows)]

    def put(column: int, reduced: Reduced, load: SeatLoad) -> None:
        v, r, n = reduced.columns(load)
        last = column + v.shape[1]
        movement[:, column:last] += v
        resultant[:, column:last] += r
        normal[:, column:last] += n

    for late in acting.late:
        put(1, states[late.state], late.load)
    for lasting in acting.lasting:
        put(2, states[lasting.state], lasting.load)
    place = 3
    for load in (acting.heat, acting.traffic, acting.braking, acting.wind):
        put(place, final, load)
        place += load.g.shape[1]
    loads = Loads(movement, resultant, normal)
    return Moving(prepared, arranged, rows, final.flexibility, final.motions, final.coupling, loads)


def sliders(parts: Moving, friction: Sequence[float] | Floats) -> Sliders:
    """The bearings as sliders; `friction` (ns,) a coefficient for every seat of the bridge.

    Held directions have the play of the file, moving ones its stops; sprung ones give way and do
    not slip.
    """
    arranged = parts.arranged
    rows = list(parts.rows)
    held = arranged.bearings.held[rows, :2]
    play = np.array([arranged.seats[row].play for row in rows])
    stops = np.tile([-np.inf, np.inf], (len(rows), 2, 1))
    for number, row in enumerate(rows):
        travel = arranged.seats[row].travel
        if travel is None:
            continue
        for axis, (back, ahead) in enumerate(
            ((travel.back, travel.ahead), (travel.right, travel.left))
        ):
            if back is not None:
                stops[number, axis, 0] = -back
            if ahead is not None:
                stops[number, axis, 1] = ahead
    compliance = np.where(held, arranged.bearings.compliance[rows, :2], 0.0)
    marks = tuple(parts.prepared.structure.seats[row].mark for row in rows)
    return Sliders(
        flexibility=parts.flexibility,
        motions=parts.motions,
        seat=np.repeat(np.arange(len(rows)), 2),
        friction=np.asarray(friction, dtype=float)[rows],
        free=~held.ravel(),
        play=np.where(held, play[:, None], 0.0).ravel(),
        stops=stops.reshape(-1, 2),
        compliance=compliance.ravel(),
        coupling=parts.coupling,
        names=marks,
        axes=arranged.bearings.axes[rows, :2, :2].reshape(-1, 2),
    )
