"""The effects that are followed through every action and combination, and their order.

For each seat twelve: N, Hx, Hy, Mx, My, Mz (N, N m, bearing axes; N + in compression, H and M of
the superstructure on the bearing) and vx, vy, vz, rx, ry, rz (m, rad; superstructure minus
substructure). For each support six: V (+ down), Fx, Fy along and across the axis at the support,
and overturning Mx, My, Mz about its base point, all of the superstructure on the support.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bedstone.mechanics.frame import Bools, Floats, Ints

SEAT_EFFECTS = ("N", "Hx", "Hy", "Mx", "My", "Mz", "vx", "vy", "vz", "rx", "ry", "rz")
SUPPORT_EFFECTS = ("V", "Fx", "Fy", "Mx", "My", "Mz")


@dataclass(frozen=True)
class Layout:
    """Order of all effects in a vector: twelve for each seat, then six for each support."""

    seats: tuple[str, ...]
    supports: tuple[str, ...]

    @property
    def size(self) -> int:
        """Length of an effect vector."""
        return 12 * len(self.seats) + 6 * len(self.supports)

    def index(self, place: str, effect: str) -> int:
        """Position of one effect; `place` is a seat mark or a support mark.

        Seat effects and support effects have their own names (`SEAT_EFFECTS`, `SUPPORT_EFFECTS`).
        """
        return self._positions[place, effect]

    @cached_property
    def _positions(self) -> dict[tuple[str, str], int]:
        # backwards: of two places with one name the first one counts, a seat before a support
        return {self.name(position): position for position in reversed(range(self.size))}

    def name(self, index: int) -> tuple[str, str]:
        """(place, effect) of a position."""
        if index < 12 * len(self.seats):
            seat, effect = divmod(index, 12)
            return self.seats[seat], SEAT_EFFECTS[effect]
        support, effect = divmod(index - 12 * len(self.seats), 6)
        return self.supports[support], SUPPORT_EFFECTS[effect]

    def positions(self, effects: Collection[str]) -> Ints:
        """Positions of the effects of these names, at all seats and all supports."""
        found = [index for index in range(self.size) if self.name(index)[1] in effects]
        return np.array(found, dtype=np.intp)

    def seat_block(self, seat: int) -> slice:
        """The twelve effects of one seat."""
        return slice(12 * seat, 12 * seat + 12)

    def support_block(self, support: int) -> slice:
        """The six effects of one support."""
        start = 12 * len(self.seats) + 6 * support
        return slice(start, start + 6)

    @cached_property
    def normal(self) -> Ints:
        """(seats,) positions of the vertical force of every seat."""
        return 12 * np.arange(len(self.seats), dtype=np.intp)

    @cached_property
    def movements(self) -> Bools:
        """True where the effect is a movement or rotation."""
        result = np.zeros(self.size, dtype=bool)
        result[: 12 * len(self.seats)].reshape(-1, 12)[:, 6:] = True
        return result

    @cached_property
    def units(self) -> tuple[str, ...]:
        """SI unit of each effect."""
        seat = ("N",) * 3 + ("N m",) * 3 + ("m",) * 3 + ("rad",) * 3
        return seat * len(self.seats) + (("N",) * 3 + ("N m",) * 3) * len(self.supports)


@dataclass(frozen=True)
class EffectMap:
    """Linear map from loads condensed to the seats to all effects, for one arrangement and state.

    `matrix` (size, 6 ns + 6 p) acts on (g - s, r) stacked (see `bedstone.mechanics.condense`).
    """

    layout: Layout
    matrix: Floats

    def effects(self, g: Floats, r: Floats, s: Floats | None = None) -> Floats:
        """(size, k) effects of k condensed load cases."""
        seats6 = g.shape[0]
        moved = g if s is None else g - s
        return np.asarray(self.matrix[:, :seats6] @ moved + self.matrix[:, seats6:] @ r)
