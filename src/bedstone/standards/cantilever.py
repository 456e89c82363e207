"""Statics of a bar that stands on its plate as a cantilever, for guides of all families."""

from __future__ import annotations

import math


def root_stresses(force: float, lever: float, length: float, width: float) -> tuple[float, float]:
    """Bending stress, and bending with shear (von Mises), at the root of a bar, Pa; elastic.

    `force` (N) at `lever` (m) from the root, over `length` (m) of a bar `width` (m) thick.
    """
    bending = 6.0 * force * lever / (length * width**2)
    shear = 1.5 * force / (length * width)
    return bending, math.sqrt(bending**2 + 3.0 * shear**2)
