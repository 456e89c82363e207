"""The shape of a laminated elastomeric bearing and what acts on it, as all families see it.

No number of any standard stands here; only geometry, so that the rules of each family and the
design of the bearing speak of the same pad.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property


@dataclass(frozen=True)
class Pad:
    """A pad of layers of elastomer and steel plates; all in m.

    `length` along x', `width` along y', overall; a round pad has both equal to its diameter.
    `layers` inner layers of thickness `layer` lie between `layers` + 1 plates of thickness `plate`.
    `cover`: elastomer above the top and below the bottom plate, each (0: outer plates are
    bonded to nothing but steel); `side_cover`: elastomer around the plates.
    """

    length: float
    width: float
    layers: int
    layer: float
    plate: float
    cover: float
    side_cover: float
    round: bool = False

    @cached_property
    def area(self) -> float:
        """Plan area of the whole pad, m2."""
        return self._area(self.length, self.width)

    @property
    def plate_length(self) -> float:
        """Length of the plates along x', m."""
        return self.length - 2 * self.side_cover

    @property
    def plate_width(self) -> float:
        """Width of the plates along y', m."""
        return self.width - 2 * self.side_cover

    @cached_property
    def plate_area(self) -> float:
        """Plan area of the plates (A1 of EN 1337-3), m2."""
        return self._area(self.plate_length, self.plate_width)

    @cached_property
    def plate_perimeter(self) -> float:
        """Force-free perimeter of the plates without holes, m."""
        if self.round:
            return math.pi * self.plate_length
        return 2 * (self.plate_length + self.plate_width)

    @property
    def inner_thickness(self) -> float:
        """Elastomer of all inner layers, m."""
        return self.layers * self.layer

    @property
    def elastomer_thickness(self) -> float:
        """Elastomer of inner layers and both covers, m."""
        return self.inner_thickness + 2 * self.cover

    @property
    def height(self) -> float:
        """Height of the unloaded pad, m."""
        return self.elastomer_thickness + (self.layers + 1) * self.plate

    @property
    def shorter_side(self) -> float:
        """Shorter overall side, m."""
        return min(self.length, self.width)

    @property
    def longer_side(self) -> float:
        """Longer overall side, m."""
        return max(self.length, self.width)

    def plate_shape(self, thickness: float) -> float:
        """Shape factor of a layer of `thickness` (m) on the area of the plates."""
        return self.plate_area / (self.plate_perimeter * thickness)

    def reduced_area(self, vx: float, vy: float) -> float:
        """Plan area of the plates that still overlap (Ar) after movements (m), m2.

        Rectangular: A1 (1 - vx/a' - vy/b') of EN 1337-3, 5.3.3.2. Round: overlap of two circles
        (derived). Never below a hundredth of the area, so that a pad sheared off its seat gives
        large strains that fail and no division by zero.
        """
        if self.round:
            way = min(math.hypot(vx, vy) / self.plate_length, 1.0)
            share = (math.acos(way) - way * math.sqrt(1 - way * way)) * 2 / math.pi
        else:
            share = 1 - abs(vx) / self.plate_length - abs(vy) / self.plate_width
        return self.plate_area * max(share, 0.01)

    def _area(self, length: float, width: float) -> float:
        return math.pi / 4 * length * length if self.round else length * width


@dataclass(frozen=True)
class Loading:
    """What acts on a pad at one time; all taken without sign.

    `N` compression (N); `vx`, `vy` movement of its top against its bottom (m); `tilt_x`
    rotation that acts across its length (about y'), `tilt_y` across its width (about x'), rad.
    """

    N: float
    vx: float = 0.0
    vy: float = 0.0
    tilt_x: float = 0.0
    tilt_y: float = 0.0

    @property
    def v(self) -> float:
        """Resultant movement, m."""
        return math.hypot(self.vx, self.vy)
