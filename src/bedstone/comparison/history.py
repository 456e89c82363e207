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
from bedstone.errors import Fault, InputError
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.sliding import History, Loads, Sliders
from bedstone.mechanics.support import Bearings
from bedstone.mechanics.variants import Candidates, EffectRows, Shared

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
    - `accuracy`: part of the largest force at which halving a step of the path stops

    Raises `InputError` for figures that tell no life.
    """

    years: int = 2
    days: int = 365
    daily: float = 0.3
    passages: int = 24
    brakings: int = 1
    accuracy: float = 0.02

    def __post_init__(self) -> None:
        allowed = (
            ("years", self.years >= 1, "1 or more"),
            ("days", self.days >= 2, "2 or more"),
            ("daily", 0.0 <= self.daily <= 1.0, "0 to 1"),
            ("passages", 0 <= self.passages <= self.days, "0 to one a day"),
            ("brakings", self.brakings >= 0, "0 or more"),
            ("accuracy", self.accuracy > 0.0, "above 0"),
        )
        faults = [
            Fault("timeline", name, f"{getattr(self, name):g}", words)
            for name, fits, words in allowed
            if not fits
        ]
        if faults:
            raise InputError(faults)


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
        name: upright(item, below, arranged.bearings, rows)
        for name, item in prepared.condensed.items()
    }
    final = states[prepared.final]
    count = len(labels_of(acting))
    movement = np.zeros((2 * len(rows), count))
    normal = np.zeros((len(rows), count))
    resultant = np.zeros((final.loose_count, count))
    normal[:, 0] = early_normal(prepared, acting, arranged, bound)[list(rows)]

    def put(column: int, shared: Shared, load: SeatLoad) -> None:
        found = shared.columns(load)
        last = column + found.count
        movement[:, column:last] += found.movement
        normal[:, column:last] += found.effects
        # the motions left are the same in every state, but may be written in another basis
        basis = np.linalg.lstsq(final.border, shared.border, rcond=None)[0]
        resultant[:, column:last] += np.linalg.solve(basis.T, found.resultant)

    for late in acting.late:
        put(1, states[late.state], late.load)
    for lasting in acting.lasting:
        put(2, states[lasting.state], lasting.load)
    place = 3
    for load in (acting.heat, acting.traffic, acting.braking, acting.wind):
        put(place, final, load)
        place += load.g.shape[1]
    directions = 2 * len(rows)
    return Moving(
        prepared=prepared,
        arranged=arranged,
        rows=rows,
        flexibility=final.matrix * final.scale,
        motions=final.border,
        coupling=final.influence[:, :directions],
        loads=Loads(movement, resultant, normal),
    )


def upright(
    condensed: Condensed, below: Floats, bearings: Bearings, rows: tuple[int, ...]
) -> Shared:
    """What holds vertically and against rotation as base, x' and y' of `rows` as candidates.

    `below` (6 ns, 6 ns) compliance; the effects are N of `rows`. Springs in plan are left out: they
    belong to the sliders.
    """
    held = bearings.held.copy()
    held[:, :2] = False
    base = Bearings(bearings.axes, held, bearings.compliance)
    angle = np.arctan2(bearings.axes[list(rows), 0, 1], bearings.axes[list(rows), 0, 0])
    candidates = Candidates(
        seat=np.repeat(np.array(rows, dtype=np.intp), 2),
        angle=np.stack([angle, angle + np.pi / 2.0], axis=1).ravel(),
        compliance=np.zeros(2 * len(rows)),
    )
    vertical = np.zeros((len(rows), 6 * condensed.seat_count))
    vertical[np.arange(len(rows)), 6 * np.array(rows) + 2] = -1.0
    return Shared(condensed, below, base, candidates, EffectRows(vertical, np.zeros_like(vertical)))


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
