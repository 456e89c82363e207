"""The reference line in plan: from chainage and offset to global coordinates.

Global x is the tangent of the reference line at the first support, the origin is there, y to the
left, z up with z = 0 at the road surface (top of rail).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bedstone.mechanics.frame import Floats


@dataclass(frozen=True)
class Axis:
    """Straight (`curvature` 0) or circular reference line starting at chainage `start`.

    `curvature` 1/m, + for a turn to the left (centre at +y).
    """

    start: float
    curvature: float = 0.0

    def angle(self, chainage: ArrayLike) -> Floats:
        """Direction of the tangent from global x, rad, anticlockwise."""
        return np.asarray((np.asarray(chainage, dtype=float) - self.start) * self.curvature)

    def point(self, chainage: ArrayLike, offset: ArrayLike) -> Floats:
        """(..., 2) global x, y of the point at a chainage and an offset y to the left."""
        run = np.asarray(chainage, dtype=float) - self.start
        offset = np.asarray(offset, dtype=float)
        if self.curvature == 0.0:
            run, offset = np.broadcast_arrays(run, offset)
            return np.stack([run, offset], axis=-1)
        radius = 1.0 / self.curvature
        turn = run * self.curvature
        reach = radius - offset
        return np.stack(
            np.broadcast_arrays(reach * np.sin(turn), radius - reach * np.cos(turn)), axis=-1
        )

    def chainage(self, x: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
        """Chainage and offset of global points (the inverse of `point`)."""
        x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
        if self.curvature == 0.0:
            return x + self.start, y
        radius = 1.0 / self.curvature
        turn = np.arctan2(x * np.sign(radius), (radius - y) * np.sign(radius))
        reach = np.hypot(x, radius - y) * np.sign(radius)
        return turn * radius + self.start, np.asarray(radius - reach)
