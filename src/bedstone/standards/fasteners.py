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
