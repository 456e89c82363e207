"""Extremes of a traffic group for all effects of an arrangement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from bedstone.actions.effects import EffectMap, Layout
from bedstone.actions.influence import DeckField, sample_deck
from bedstone.actions.placing import Placed, Placer
from bedstone.mechanics.condense import Condensed
from bedstone.mechanics.frame import Floats, Ints
from bedstone.model.deck import Deck
from bedstone.standards.traffic import Placement, TrafficModel

#: Largest error of linear influence between stations, relative to the peak ordinate.
INFLUENCE_ERROR = 1e-3
#: How often stations are added at most.
REFINEMENTS = 6
#: Effects whose influence is below this part of the largest of their kind are taken as zero.
NEGLIGIBLE = 1e-7


@dataclass(frozen=True)
class Extremes:
    """The worst of one action for every lead: sign 0 largest, sign 1 smallest.

    - `vectors` (2, size, size): [sign, lead] -> all effects at that moment; rows of effects that
      are no lead are zero
    - `where`: description of the load for a lead and sign (worked out when asked)
    """

    vectors: Floats
    _placers: tuple[tuple[Placer, Placed, TrafficModel], ...]
    _choice: Ints  # (2, size) index into _placers, -1: no load

    def scaled(self, factor: float) -> Extremes:
        """The same places with all effects times a factor."""
        return self if factor == 1.0 else replace(self, vectors=self.vectors * factor)

    def patterns(self, applies: str) -> Iterator[Floats]:
        """The loads of the deck that are worst for some effect, each (rows, stations).

        Of the models with this `TrafficModel.applies`; weights on the unit loads of the deck field
        they were placed on (`DeckField.load`). The same load may come more than once.
        """
        for sign in range(2):
            for index, (placer, placed, model) in enumerate(self._placers):
                if model.applies != applies:
                    continue
                rows = np.flatnonzero(self._choice[sign] == index)
                columns = np.searchsorted(placer.leads, rows).astype(np.intp)
                yield from placer.patterns(placed, sign, columns)

    def where(self, sign: int, lead: int) -> str:
        """The load model and its place on the deck, in words."""
        # asked again for every limit state
        if (sign, lead) not in self._told:
            self._told[sign, lead] = self._words(sign, lead)
        return self._told[sign, lead]

    @cached_property
    def _told(self) -> dict[tuple[int, int], str]:
        return {}

    def _words(self, sign: int, lead: int) -> str:
        index = int(self._choice[sign, lead])
        if index < 0:
            return "no load"
        placer, placed, model = self._placers[index]
        column = int(np.flatnonzero(placer.leads == lead)[0])
        text = placer.describe(placed, sign, column)
        name = placed.placement.name
        head = model.name if name in ("", model.name) else f"{model.name}, {name}"
        return f"{head}: {text}"


def significant(layout: Layout, base: Floats) -> Ints:
    """Effects that loads on the deck move at all, judged within each kind of unit."""
    table = base.reshape(-1, base.shape[-1])
    peak = np.maximum(table.max(axis=0, initial=0.0), -table.min(axis=0, initial=0.0))
    result = np.zeros(layout.size, dtype=bool)
    units = np.array(layout.units)
    for unit in np.unique(units):
        same = units == unit
        result |= same & (peak > NEGLIGIBLE * peak[same].max(initial=0.0)) & (peak > 0.0)
    return np.flatnonzero(result).astype(np.intp)


def fine_field(
    condensed: Condensed,
    deck: Deck,
    maps: list[EffectMap],
    sampled: dict[bytes, DeckField] | None = None,
) -> tuple[DeckField, float]:
    """Deck field with stations so close that influence is linear between them; and the error left.

    Starts at a hundredth of the deck's length (not more than 1 m) and adds stations where the error
    is above `INFLUENCE_ERROR`. `sampled`: fields of this deck by the stations added, to be used
    again and added to.
    """
    known = {} if sampled is None else sampled
    step = min((deck.last - deck.first) / 100.0, 1.0)
    more = np.zeros(0)
    for _ in range(REFINEMENTS):
        key = more.tobytes()
        field = known.get(key) or sample_deck(condensed, deck, step, more)
        known[key] = field
        error = np.max([_error(field, effects) for effects in maps], axis=0)
        if error.max(initial=0.0) < INFLUENCE_ERROR:
            break
        stations = field.stations
        rough = np.flatnonzero(error >= INFLUENCE_ERROR) + 1
        middles = [(stations[rough] + stations[rough + side]) / 2.0 for side in (-1, 1)]
        more = np.unique(np.round(np.concatenate([more, stations[rough], *middles]), 9))
    return field, float(error.max(initial=0.0))


def _error(field: DeckField, effects: EffectMap) -> Floats:
    """(stations - 2,) estimate of the error of linear influence on both sides of each station.

    Relative to the peak of each effect, or to a fiftieth of the largest peak of its unit for
    effects that are small beside it. From the bend over every second station; zero at kinks.
    """
    table = field.forces(effects)
    leads = significant(effects.layout, table.reshape(len(table), -1).T)
    stations = field.stations
    before, after = stations[1:-1] - stations[:-2], stations[2:] - stations[1:-1]
    bend, peak = np.empty((len(stations) - 2, len(leads))), np.empty(len(leads))
    for column, lead in enumerate(leads):
        line = table[lead]
        chord = (line[:, :-2] * after + line[:, 2:] * before) / (before + after)
        bend[:, column] = np.abs(chord - line[:, 1:-1]).max(axis=0)
        peak[column] = np.abs(line).max()
    ends = np.concatenate([[*line.start, *line.end] for line in field.deck.lines])
    marks = np.concatenate([ends, field.joints])
    bend[np.isin(np.round(stations[1:-1], 5), np.round(marks, 5))] = 0.0
    units = np.array(effects.layout.units)[leads]
    top = np.array([peak[units == unit].max() for unit in units])
    # the bend is that of twice the step: a quarter of it is left between the stations
    return np.asarray((bend / np.maximum(peak, top / 50.0)).max(axis=1)) / 4.0


class Traffic:
    """Vertical load models on one deck and arrangement: what they share is worked out once.

    - `models`: all that will be placed
    - `edges`: right and left edge of the carriageway (y), None when only tracks are loaded
    - `kinks` (k,): chainages where axles are set exactly (seats)
    - `reach`: first and last chainage that may be loaded
    - `interior`: effects to which models for interior reactions apply
    - `wanted`: effects to make worst, None: all that loads on the deck move
    """

    def __init__(
        self,
        models: Iterable[TrafficModel],
        field: DeckField,
        effects: EffectMap,
        *,
        edges: tuple[float, float] | None,
        kinks: Floats,
        reach: tuple[float, float],
        interior: Ints,
        wanted: Ints | None = None,
    ) -> None:
        self._size = effects.layout.size
        base = field.base(effects)
        leads = significant(effects.layout, base)
        if wanted is not None:
            leads = np.intersect1d(leads, wanted).astype(np.intp)
        inner = np.intersect1d(leads, interior).astype(np.intp)
        own: dict[bool, list[Placement]] = {True: [], False: []}
        for model in dict.fromkeys(models):
            own[model.applies == "all"] += model.placements
        self._placers = {
            wide: Placer(field, base, rows, edges, kinks, reach, own[wide])
            for wide, rows in ((True, leads), (False, inner))
            if own[wide] and len(rows)
        }

    def extremes(self, models: Sequence[TrafficModel]) -> Extremes:
        """The worst of alternative models for each effect, with what acts then."""
        size = self._size
        found: list[tuple[Placer, Placed, TrafficModel]] = []
        best = np.zeros((2, size))
        choice = np.full((2, size), -1, dtype=np.intp)
        for model in models:
            placer = self._placers.get(model.applies == "all")
            if placer is None:
                continue
            for placement in model.placements:
                placed = placer.place(placement)
                found.append((placer, placed, model))
                value = np.full((2, size), -np.inf)
                value[:, placer.leads] = placed.value
                better = value > best
                best[better] = value[better]
                choice[better] = len(found) - 1
        vectors = np.zeros((2, size, size))
        for sign in range(2):
            for index, (placer, placed, _) in enumerate(found):
                rows = np.flatnonzero(choice[sign] == index)
                columns = np.searchsorted(placer.leads, rows).astype(np.intp)
                if rows.size:
                    vectors[sign, rows] = placer.effects(placer.patterns(placed, sign, columns))
        return Extremes(vectors, tuple(found), choice)


def traffic_extremes(
    models: Sequence[TrafficModel],
    field: DeckField,
    effects: EffectMap,
    *,
    edges: tuple[float, float] | None,
    kinks: Floats,
    reach: tuple[float, float],
    interior: Ints,
) -> Extremes:
    """The worst of one group of models: see `Traffic`."""
    traffic = Traffic(
        models, field, effects, edges=edges, kinks=kinks, reach=reach, interior=interior
    )
    return traffic.extremes(models)
