"""Loads and placed traffic of one superstructure, kept for whoever asks for the same again.

The schedule of a bridge, its screen and its faults ask for the same wind and the same braking;
those of the faults that leave the bearings as they are (a seat too high) for the same places of
traffic too. Both take most of the time of each.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable, Sequence

from bedstone.actions.cases import CaseAction
from bedstone.actions.effects import EffectMap
from bedstone.actions.influence import DeckField
from bedstone.actions.traffic import Extremes, Traffic, fine_field
from bedstone.mechanics.condense import Condensed
from bedstone.mechanics.frame import Floats, Ints
from bedstone.model.deck import Deck
from bedstone.standards.traffic import TrafficModel

#: Samples of the deck, and actions with their loads, that are kept.
SAMPLES = 4
ACTIONS = 64

Models = tuple[TrafficModel, ...]


class Kept:
    """Loads, deck fields and placed traffic of one prepared bridge; not for two superstructures.

    What is given back is the same to the last bit whether it was kept or made. `arrangements`: so
    many, each with one stiffness below, whose placed traffic is kept: the first that are asked for.
    """

    def __init__(self, arrangements: int = 2) -> None:
        self._arrangements = arrangements
        self._actions: dict[Hashable, tuple[CaseAction, ...]] = {}
        self._sampled: dict[bytes, DeckField] = {}
        self._placed: dict[tuple[object, ...], dict[Models, Extremes]] = {}

    def actions(
        self, key: Hashable, make: Callable[[], tuple[CaseAction, ...]]
    ) -> tuple[CaseAction, ...]:
        """Actions on the final state that `key` describes fully, made where they are not there."""
        found = self._actions.get(key)
        if found is None:
            found = make()
            if len(self._actions) < ACTIONS:
                self._actions[key] = found
        return found

    def field(
        self, condensed: Condensed, deck: Deck, maps: list[EffectMap]
    ) -> tuple[DeckField, float]:
        """`fine_field` of the deck."""
        if len(self._sampled) > SAMPLES:
            self._sampled.clear()
        return fine_field(condensed, deck, maps, self._sampled)

    def on(
        self,
        models: Sequence[TrafficModel],
        field: DeckField,
        effects: EffectMap,
        *,
        edges: tuple[float, float] | None,
        kinks: Floats,
        reach: tuple[float, float],
        interior: Ints,
        leads: Ints | None = None,
    ) -> Callable[[Models], Extremes]:
        """The worst of alternative models on one arrangement: a function of those alternatives.

        Arguments as of `Traffic`; `leads`: effects to make worst, None: all.
        """
        every = tuple(dict.fromkeys(models))
        arrays = (effects.matrix, field.stations, kinks, interior)
        key = (
            every,
            edges,
            reach,
            None if leads is None else leads.tobytes(),
            *(hashlib.sha256(array.tobytes()).digest() for array in arrays),
        )
        found = self._placed.get(key, {})
        # one question about a few effects, asked once, would take the place of a whole arrangement
        if leads is None and key not in self._placed and len(self._placed) < self._arrangements:
            self._placed[key] = found
        traffic: list[Traffic] = []

        def place(alternatives: Models) -> Extremes:
            if alternatives not in found:
                if not traffic:
                    traffic.append(
                        Traffic(
                            every, field, effects,
                            edges=edges, kinks=kinks, reach=reach, interior=interior, wanted=leads,
                        )
                    )  # fmt: skip
                found[alternatives] = traffic[0].extremes(alternatives)
            return found[alternatives]

        return place
