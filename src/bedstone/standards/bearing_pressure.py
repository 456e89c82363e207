"""Geometry of a plate on concrete that every family shares: no rule, no number of a standard."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Bed:
    """Concrete under a plate: cylinder strength (Pa); `occasional`: wind or earthquake acts."""

    fck: float
    occasional: bool = False


@dataclass(frozen=True)
class Footprint:
    """A loaded plate on concrete: sides (m), eccentricity of the force (m), concrete around.

    `plinth`: sides of the concrete that may spread the load, centred under the plate; None: no
    more concrete than under the plate.
    """

    length: float
    width: float
    ex: float = 0.0
    ey: float = 0.0
    plinth: tuple[float, float] | None = None

    @property
    def reduced(self) -> tuple[float, float]:
        """Sides of the area centred under the force (m); 0 where the force leaves the plate."""
        return (
            max(0.0, self.length - 2.0 * abs(self.ex)),
            max(0.0, self.width - 2.0 * abs(self.ey)),
        )

    def spread(self, sides: tuple[float, float], largest: float) -> float:
        """Ratio (>= 1) of the sides of the similar, concentric area below to `sides`."""
        if self.plinth is None or min(sides) <= 0.0:
            return 1.0
        room = (
            self.plinth[0] - 2.0 * abs(self.ex),
            self.plinth[1] - 2.0 * abs(self.ey),
        )
        return max(1.0, min(largest, room[0] / sides[0], room[1] / sides[1]))

    @property
    def pressed(self) -> float:
        """Area (m2) pressed when nothing pulls: 3 (L/2 - e) along a side beyond its third."""
        return math.prod(
            max(0.0, min(side, 3.0 * (side / 2.0 - abs(e))))
            for side, e in ((self.length, self.ex), (self.width, self.ey))
        )

    def edge_factors(self) -> tuple[float, float]:
        """Edge pressure over mean pressure along each side, without tension.

        1 + 6 e/L inside the middle third, (4/3)/(1 - 2 e/L) beyond, infinite at the edge.
        """
        return (_edge(self.ex, self.length), _edge(self.ey, self.width))


def edge_pressure(footprint: Footprint, force: float) -> float:
    """Largest pressure (Pa) at a corner under a compression `force` (N), without tension.

    Linear, N/A (1 + 6 ex/L + 6 ey/W), where the whole plate is pressed; beyond that the product of
    the two one-way distributions, which is in equilibrium with the force and never pulls.
    """
    mean = force / (footprint.length * footprint.width)
    along = 6.0 * abs(footprint.ex) / footprint.length
    across = 6.0 * abs(footprint.ey) / footprint.width
    if along + across <= 1.0:
        return mean * (1.0 + along + across)
    kx, ky = footprint.edge_factors()
    return mean * kx * ky


def _edge(eccentricity: float, side: float) -> float:
    e = abs(eccentricity) / side
    if e <= 1.0 / 6.0:
        return 1.0 + 6.0 * e
    return 4.0 / 3.0 / (1.0 - 2.0 * e) if e < 0.5 else math.inf
