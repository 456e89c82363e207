"""Influence of loads on the deck, condensed once and turned into effects for any arrangement.

The deck is sampled along its lines at chainages `stations`; for each line two unit loads: a downward force and
a moment about the tangent. Any vertical load on the deck is a *pattern*: weights on these unit loads.
So a surface never has to be stored: its effect is pattern . base, and coexisting effects come from
the same pattern.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bedstone.actions.effects import EffectMap
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats
from bedstone.model.deck import Deck


@dataclass(frozen=True)
class DeckField:
    """Unit loads on the deck lines, condensed: `load` holds 2 * lines * stations columns.

    Column order: line, kind (force, moment), station. `stations` (k,) chainages; `lengths` (k,)
    metres of reference line that each station stands for (trapezoid rule).
    """

    deck: Deck
    stations: Floats
    lengths: Floats
    load: SeatLoad

    def base(self, effects: EffectMap) -> Floats:
        """(lines, 2, stations, size) effects of the unit loads."""
        table = effects.effects(self.load.g, self.load.r)
        lines = len(self.deck.lines)
        return np.ascontiguousarray(table.T).reshape(lines, 2, len(self.stations), -1)

    def shares(self, offset: Floats) -> Floats:
        """(k, lines, 2) weights on line forces and moments of unit downward loads at offsets (k,)."""
        offset = np.atleast_1d(np.asarray(offset, dtype=float))
        table = self.deck.line_shares(offset)
        return np.stack([np.stack([share, moment], axis=-1) for _, share, moment in table], axis=1)

    def stretch(self, offset: Floats | float) -> Floats:
        """Metres along offset y for each metre of reference line (curved decks)."""
        return np.asarray(1.0 - np.asarray(offset) * self.deck.axis.curvature)


def sample_deck(condensed: Condensed, deck: Deck, step: float) -> DeckField:
    """Condense unit loads on all deck lines at stations not more than `step` (m) apart.

    Stations stand at every end of a deck member (influence lines have kinks only there), evenly
    between them.
    """
    cuts = {deck.first, deck.last}
    for line in deck.lines:
        cuts.update(
            float(c) for c in (*line.start, *line.end) if deck.first < c < deck.last
        )
    edges = np.array(sorted(cuts))
    edges = edges[np.concatenate([[True], np.diff(edges) > 1e-6])]
    pieces = [
        np.linspace(a, b, max(int(np.ceil((b - a) / step)), 1), endpoint=False)
        for a, b in zip(edges[:-1], edges[1:], strict=True)
    ]
    stations = np.concatenate([*pieces, edges[-1:]])
    gaps = np.diff(stations)
    lengths = np.zeros(len(stations))
    lengths[:-1] += gaps / 2.0
    lengths[1:] += gaps / 2.0
    loads = deck.unit_line_loads(condensed.frame, stations)
    return DeckField(deck, stations, lengths, condensed.load(loads))
