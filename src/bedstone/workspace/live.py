"""What moves while a slider is drawn: temperature, a load on the deck, stages of construction.

Numbers come from the same condensed superstructure as the envelopes; nothing here is factored.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final
from weakref import WeakKeyDictionary

import numpy as np

from bedstone.actions.cases import PermanentCase, permanent_cases
from bedstone.actions.influence import DeckField, sample_deck
from bedstone.articulation.arrangement import Arranged, stand
from bedstone.bridge.schema import Bridge, Seat
from bedstone.comparison.fixed_point import View
from bedstone.comparison.screen import Screen
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import StateName
from bedstone.schedule.analysis import thermal_range
from bedstone.standards.traffic import Axle, LaneLoad, Train
from bedstone.workspace.blas import one_thread

#: Change of temperature (K) offered where the bridge file gives none.
CHANGE: Final = 30.0
#: A strip of load is put on the deck as so many equal loads.
STRIP: Final = 9
#: Force of the single axle that stands for no train, N.
UNIT: Final = 100e3
#: Kinds that roll: their centre moves half of what the superstructure moves.
ROLLING: Final = frozenset({"single roller", "hardened roller", "roller nest", "rocker on nest"})


@dataclass(frozen=True)
class Convoy:
    """A train of a family, as it may stand on the deck.

    `name`: for people; `axles`: metres behind the first one, force (N) with what the family
    multiplies it by, length (m) of a strip or 0; `offsets`: places across (m) where it must stand,
    empty: anywhere between `right` and `left`.
    """

    name: str
    axles: tuple[Axle, ...]
    offsets: tuple[float, ...]
    right: float
    left: float

    @property
    def length(self) -> float:
        """From the first axle to the last, m."""
        return max(axle.position for axle in self.axles)


@dataclass(frozen=True)
class Standing:
    """Reactions of one place of a load or of one state of building, N: of seats, of supports.

    `left_out`: part of the load that is not on the deck, N.
    """

    seats: Mapping[str, float]
    supports: Mapping[str, float]
    total: float
    left_out: float = 0.0


@dataclass(frozen=True)
class Moved:
    """What a change of temperature does to one seat; metres.

    `plan`: of the superstructure, global axes; `own`: of it against the substructure along x' and
    y'; `roller`: of the centre of a roller along x', None where nothing rolls;
    `left`: what is left to the stops ahead and behind, None where there are none; `stopped`.
    """

    plan: tuple[float, float]
    own: tuple[float, float]
    roller: float | None
    left: tuple[float | None, float | None]

    @property
    def stopped(self) -> bool:
        """Whether a stop is reached."""
        return any(rest is not None and rest <= 0.0 for rest in self.left)


class Live:
    """One arrangement, ready to be moved about. `bridge` is the one the arrangement belongs to.

    Raises `UnstableError` when the arrangement does not stand.
    """

    def __init__(self, screen: Screen, bridge: Bridge, arranged: Arranged) -> None:
        self.screen = screen
        self.bridge = bridge
        self.arranged = arranged
        self.bound = "given"
        with one_thread():
            self._view = View.of(screen.prepared, arranged, self.bound)

    @property
    def seats(self) -> tuple[str, ...]:
        """Marks in order."""
        return self.screen.layout.seats

    @property
    def supports(self) -> tuple[str, ...]:
        """Marks in order."""
        return self.screen.layout.supports

    # ------------------------------------------------------------------ temperature
    @cached_property
    def temperatures(self) -> tuple[float, float]:
        """Coldest and warmest (K) from the temperature of setting, of the family or 30 K."""
        screen, context = self.screen, self.screen.context
        thermal = thermal_range(screen.prepared, context.family, context.values, context.facts)
        if thermal.contraction <= 0.0 or thermal.expansion <= 0.0:
            return -CHANGE, CHANGE
        return -thermal.contraction, thermal.expansion

    @cached_property
    def _heat(self) -> tuple[Floats, Floats]:
        """(ns, 2) for 1 K: of the superstructure in plan, and against the substructure."""
        load = self.screen.base.heat_load
        with one_thread():
            plan = self._view.moved(load)
            whole = self._view.standing.effects.effects(load.g, load.r)[:, 0]
        count = len(self.seats)
        return plan, whole[: 12 * count].reshape(count, 12)[:, 6:8]

    def warmed(self, change: float) -> dict[str, Moved]:
        """All seats after a change of temperature, K. Stops are told of; they do not hold here."""
        plan, own = (table * change for table in self._heat)
        return {
            mark: _moved(seat, plan[row], own[row])
            for row, (mark, seat) in enumerate(zip(self.seats, self.arranged.seats, strict=True))
        }

    # ------------------------------------------------------------------ a load on the deck
    @cached_property
    def convoys(self) -> tuple[Convoy, ...]:
        """What may be driven over the deck: a single axle, then the trains of the family."""
        deck = self._field.deck
        facts = self.screen.context.facts
        right, left = facts.carriageway or (deck.right, deck.left)
        fixed = tuple(track.offset for track in facts.tracks)
        found = {"axle of 100 kN": Convoy("axle of 100 kN", (Axle(0.0, UNIT),), fixed, right, left)}
        for group in self.screen.context.groups:
            for model in group.models:
                for placement in model.placements:
                    for lane in placement.lanes:
                        for train in lane.trains:
                            name = _name(model.name, lane, train)
                            axles = tuple(
                                Axle(a.position, a.force * lane.train_factor, a.length)
                                for a in train.axles
                            )
                            if axles and name not in found:
                                offsets = lane.offsets or ()
                                found[name] = Convoy(name, axles, offsets, right, left)
        return tuple(found.values())

    @cached_property
    def reach(self) -> tuple[float, float]:
        """Chainages between which the deck carries loads, m."""
        return self._field.deck.first, self._field.deck.last

    @cached_property
    def _field(self) -> DeckField:
        return _sampled(self.screen)

    @cached_property
    def _base(self) -> Floats:
        """(lines, 2, stations, seats + supports) N and V of unit loads on the lines of the deck."""
        with one_thread():
            return np.ascontiguousarray(
                self._field.base(self._view.standing.effects)[..., self._rows]
            )

    @cached_property
    def _rows(self) -> list[int]:
        layout = self.screen.layout
        own = [layout.index(mark, "N") for mark in layout.seats]
        return own + [layout.index(mark, "V") for mark in layout.supports]

    def driven(self, convoy: Convoy, offset: float, chainage: float) -> Standing:
        """Reactions with the first axle at a chainage and all axles at an offset (m)."""
        share = self._field.shares(np.array([offset]))[0]
        line = np.einsum("lk,lksn->sn", share, self._base)
        stations = self._field.stations
        first, last = (float(end[0]) for end in self._field.deck.limits(np.array([offset])))
        total = off = 0.0
        result = np.zeros(line.shape[1])
        for axle in convoy.axles:
            places = np.array([chainage - axle.position])
            if axle.length > 0.0:
                places = places + axle.length * ((np.arange(STRIP) + 0.5) / STRIP - 0.5)
            force = axle.force / len(places)
            on = (places >= first - 1e-9) & (places <= last + 1e-9)
            total += force * float(on.sum())
            off += force * float((~on).sum())
            for place in places[on]:
                result += force * _between(stations, line, float(place))
        return self._standing(result, total, off)

    # ------------------------------------------------------------------ stages
    @cached_property
    def stages(self) -> tuple[str, ...]:
        """Stages of construction in their order."""
        return tuple(dict.fromkeys(case.stage for case in self._cases))

    @cached_property
    def _cases(self) -> tuple[PermanentCase, ...]:
        prepared = self.screen.prepared
        return permanent_cases(prepared.structure, prepared.condensed)

    @cached_property
    def _built(self) -> Floats:
        """(stages, seats + supports) reactions of the permanent loads stage by stage, added up."""
        loads = self.screen.base
        early = self.screen.early(self.bridge, self.arranged, self.bound, loads)
        maps: dict[StateName, Floats] = {}
        table = np.zeros((len(self.stages), len(self._rows)))
        for case, (_, state, column, before) in zip(self._cases, loads.fixed, strict=False):
            if before:
                vector = early[state, column]
            else:
                if state not in maps:
                    maps[state] = self._map(state)
                vector = maps[state] @ loads.stacked[state][:, column]
            table[self.stages.index(case.stage)] += vector[self._rows]
        return np.cumsum(table, axis=0)

    def _map(self, state: StateName) -> Floats:
        prepared = self.screen.prepared
        with one_thread():
            return stand(
                prepared.structure,
                list(self.bridge.support),
                prepared.condensed[state],
                self.arranged,
                self.bound,
            ).effects.matrix

    def built(self, stage: str) -> Standing:
        """Reactions of all permanent loads up to the end of a stage."""
        row = self._built[self.stages.index(stage)]
        return self._standing(row, float(row[len(self.seats) :].sum()), 0.0)

    def _standing(self, row: Floats, total: float, off: float) -> Standing:
        count = len(self.seats)
        return Standing(
            dict(zip(self.seats, map(float, row[:count]), strict=True)),
            dict(zip(self.supports, map(float, row[count:]), strict=True)),
            total,
            off,
        )


_fields: WeakKeyDictionary[Screen, DeckField] = WeakKeyDictionary()


def _sampled(screen: Screen) -> DeckField:
    """Unit loads on the deck, condensed once for all arrangements of a screen."""
    if screen not in _fields:
        prepared = screen.prepared
        deck = prepared.structure.states[prepared.final].deck
        assert deck is not None
        step = min((deck.last - deck.first) / 100.0, 1.0)
        _fields[screen] = sample_deck(prepared.condensed[prepared.final], deck, step)
    return _fields[screen]


def _between(stations: Floats, line: Floats, place: float) -> Floats:
    """Influence at a chainage, linear between the stations."""
    right = int(np.clip(np.searchsorted(stations, place), 1, len(stations) - 1))
    part = (place - stations[right - 1]) / (stations[right] - stations[right - 1])
    return np.asarray(line[right - 1] * (1.0 - part) + line[right] * part)


def _name(model: str, lane: LaneLoad, train: Train) -> str:
    """What a train is called in a list of all of them."""
    return ", ".join(dict.fromkeys([model, lane.name, train.name]))


def _moved(seat: Seat, plan: Floats, own: Floats) -> Moved:
    """One seat; `travel` counts from the place of setting, ahead with x', back against it."""
    along = float(own[0])
    ahead = back = None
    if seat.travel is not None:
        ahead = None if seat.travel.ahead is None else seat.travel.ahead - along
        back = None if seat.travel.back is None else seat.travel.back + along
    return Moved(
        (float(plan[0]), float(plan[1])),
        (along, float(own[1])),
        along / 2.0 if seat.kind in ROLLING else None,
        (ahead, back),
    )
