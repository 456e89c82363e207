"""What the rules ask of bolts, bars, plies and welds: strengths and sizes, no rule. SI units."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Fastener:
    """A bolt, anchor or dowel: diameter (m), stress area (m2; of a plain bar the gross one), Pa."""

    diameter: float
    stress_area: float
    fy: float
    fu: float

    @property
    def area(self) -> float:
        """Gross area, m2."""
        return math.pi / 4.0 * self.diameter**2


@dataclass(frozen=True)
class Ply:
    """The weaker plate under the shank of a bolt: thickness m, strengths Pa."""

    thickness: float
    fy: float
    fu: float


@dataclass(frozen=True)
class Fillet:
    """A fillet weld: `throat` (m), `fu` (Pa) and grade of the weaker part; made on site or not."""

    throat: float
    fu: float
    grade: str
    site: bool = False


@dataclass(frozen=True)
class PinJoint:
    """A pin through a middle plate and two outer plates; sizes m, strengths and E in Pa.

    `middle` b, `outer` a (each), `gap` c between them; `diameter` d of the pin, `hole` d0;
    `fy`, `fu` of the pin, `plate_fy` of the plates.
    """

    diameter: float
    hole: float
    middle: float
    outer: float
    gap: float
    fy: float
    fu: float
    plate_fy: float
    E: float

    @property
    def area(self) -> float:
        """Section of the pin, m2."""
        return math.pi / 4.0 * self.diameter**2

    @property
    def modulus(self) -> float:
        """Elastic section modulus of the pin, m3."""
        return math.pi / 32.0 * self.diameter**3

    @property
    def bearing_fy(self) -> float:
        """Lower yield strength of pin and plates, Pa."""
        return min(self.fy, self.plate_fy)

    @property
    def thinnest(self) -> float:
        """Thickness (m) that carries half the force: an outer plate or half the middle one."""
        return min(self.outer, self.middle / 2.0)

    def moment(self, force: float) -> float:
        """Moment (N m) of the pin under `force` (N): F/8 (b + 4 c + 2 a).

        Statics of even pressures on the plates; EN 1993-1-8, Figure 3.11 gives the same.
        """
        return force / 8.0 * (self.middle + 4.0 * self.gap + 2.0 * self.outer)
