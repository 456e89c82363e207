"""Influence of loads on the deck, condensed once and turned into effects for any arrangement.

The deck is sampled along its lines at chainages `stations`; for each line two unit loads: a
downward force and a moment about the tangent. Any vertical load on the deck is a *pattern*: weights
on these unit loads. So a surface never has to be stored: its effect is pattern . base, and
coexisting effects come from the same pattern.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from bedstone.actions.effects import EffectMap
from bedstone.mechanics.condense import Condensed, SeatLoad
from bedstone.mechanics.frame import Floats
from bedstone.model.deck import Deck


@dataclass(frozen=True)
class DeckField:
    """Unit loads on the deck lines, condensed: `load` holds 2 * lines * stations columns.

    Column order: line, kind (force, moment), station. `stations` (k,) chainages; `joints`: those
    on both sides of each joint of the deck, where influence jumps.
    """

    deck: Deck
    stations: Floats
    joints: Floats
    load: SeatLoad

    def base(self, effects: EffectMap) -> Floats:
        """(lines, 2, stations, size) effects of the unit loads."""
        table = effects.effects(self.load.g, self.load.r)
        lines = len(self.deck.lines)
        return np.ascontiguousarray(table.T).reshape(lines, 2, len(self.stations), -1)

    def forces(self, effects: EffectMap) -> Floats:
        """(size, lines, stations) effects of the unit forces alone."""
        count = len(self.stations)

        def own(load: Floats) -> Floats:
            return load.reshape(len(load), -1, 2, count)[:, :, 0].reshape(len(load), -1)

        table = effects.effects(own(self.load.g), own(self.load.r))
        return table.reshape(len(table), -1, count)

    def loads(self, patterns: Floats) -> SeatLoad:
        """Condensed loads of patterns (k, rows, stations): k columns."""
        weights = patterns.reshape(len(patterns), self.load.g.shape[1]).T
        return SeatLoad(self.load.g @ weights, self.load.r @ weights, self.load.s @ weights)

    def shares(self, offset: Floats) -> Floats:
        """(k, lines, 2) weights on line forces and moments of unit downward loads at offsets."""
        offset = np.atleast_1d(np.asarray(offset, dtype=float))
        table = self.deck.line_shares(offset)
        return np.stack([np.stack([share, moment], axis=-1) for _, share, moment in table], axis=1)

    def stretch(self, offset: Floats | float) -> Floats:
        """Metres along offset y for each metre of reference line (curved decks)."""
        return np.asarray(1.0 - np.asarray(offset) * self.deck.axis.curvature)


#: Distance (m) between the stations on both sides of a joint of the deck.
JOINT = 1e-5


def sample_deck(
    condensed: Condensed, deck: Deck, step: float, more: Floats | None = None
) -> DeckField:
    """Condense unit loads on all deck lines at stations not more than `step` (m) apart.

    Stations stand at every end of a deck member (influence lines have kinks only there) and evenly
    between them, at least one in the middle, which tells how straight the lines are there; and at
    the chainages `more`.
    """
    cuts = {deck.first, deck.last}
    for line in deck.lines:
        cuts.update(float(c) for c in (*line.start, *line.end) if deck.first < c < deck.last)
    edges = np.array(sorted(cuts))
    edges = edges[np.concatenate([[True], np.diff(edges) > 1e-6])]
    pieces = [
        np.linspace(a, b, max(int(np.ceil((b - a) / step)), 2), endpoint=False)
        for a, b in pairwise(edges)
    ]
    joints = _joints(condensed, deck)
    extra = np.zeros(0) if more is None else more
    stations = np.unique(np.concatenate([*pieces, edges[-1:], joints, extra]))
    # stations of the mesh that fall into a joint's own pair would make cells without length
    stations = stations[
        np.concatenate([[True], np.diff(stations) > JOINT / 10.0]) | np.isin(stations, joints)
    ]
    loads = deck.unit_line_loads(condensed.frame, stations)
    return DeckField(deck, stations, joints, condensed.load(loads))


def _joints(condensed: Condensed, deck: Deck) -> Floats:
    """Chainages just before and just behind each place where a line's members do not meet."""
    result: list[float] = []
    for line in deck.lines:
        ends = condensed.frame.ends[line.members]
        for apart in np.flatnonzero(ends[:-1, 1] != ends[1:, 0]):
            before = float(line.end[apart])
            result += [before, max(float(line.start[apart + 1]), before + JOINT)]
    return np.unique(np.array(result, dtype=float))
