"""Contact of elastic bodies after Hertz: cylinders along a line, spheres at a point. SI units.

Belongs to no standard: shown beside the rules of the codes, and used for the stiffness of rollers.
Source: K. L. Johnson, Contact Mechanics, chapters 4 and 5 (half width, pressure, stress below the
surface, approach of a cylinder between plates).

Radii are positive for convex surfaces, negative for hollow ones, infinite for flat ones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bedstone.errors import BedstoneError
from bedstone.mechanics.frame import Floats

#: Depth (in half widths) and size (in peak pressures) of the greatest shear stress below a line
#: contact: the maximum of t - t^2/sqrt(1 + t^2), at t^2 = (sqrt 5 - 1)/2. Johnson (4.47).
_SHEAR_DEPTH = math.sqrt((math.sqrt(5.0) - 1.0) / 2.0)
_SHEAR = _SHEAR_DEPTH - _SHEAR_DEPTH**2 / math.sqrt(1.0 + _SHEAR_DEPTH**2)


@dataclass(frozen=True)
class Contact:
    """What a contact shows: `half_width` a (m; radius of the circle for a point contact), `peak`
    and `mean` pressure (Pa), `shear` (Pa): greatest shear stress, at `depth` (m) below the surface.

    `shear` and `depth` are nan for a point contact, where they depend on Poisson's ratio.
    """

    half_width: float
    peak: float
    mean: float
    shear: float
    depth: float

    def pressure(self, x: float) -> float:
        """Pressure (Pa) at the distance `x` (m) from the middle."""
        return self.peak * math.sqrt(max(0.0, 1.0 - (x / self.half_width) ** 2))


def relative_radius(first: float, second: float = math.inf) -> float:
    """R (m) of two surfaces: 1/R = 1/R1 + 1/R2; raises `BedstoneError` where they do not fit.

    A convex surface fits into a hollow one of a larger radius alone.
    """
    curvature = 1.0 / first + 1.0 / second
    if not curvature > 0.0:
        raise BedstoneError(f"surfaces of radius {first:g} m and {second:g} m do not fit together")
    return 1.0 / curvature


def contact_modulus(
    first: float, second: float, poisson_first: float, poisson_second: float
) -> float:
    """E* (Pa): 1/E* = (1 - nu1^2)/E1 + (1 - nu2^2)/E2 of two bodies of moduli E1, E2 (Pa)."""
    return 1.0 / ((1.0 - poisson_first**2) / first + (1.0 - poisson_second**2) / second)


def line_contact(load: float, radius: float, modulus: float) -> Contact:
    """Two parallel cylinders under `load` (N/m, > 0); `radius` R and `modulus` E* of the pair.

    a = sqrt(4 P' R/(pi E*)), p0 = 2 P'/(pi a), tau_max = 0.300 p0 at 0.786 a.
    """
    half_width = math.sqrt(4.0 * load * radius / (math.pi * modulus))
    peak = 2.0 * load / (math.pi * half_width)
    return Contact(half_width, peak, math.pi / 4.0 * peak, _SHEAR * peak, _SHEAR_DEPTH * half_width)


def point_contact(load: float, radius: float, modulus: float) -> Contact:
    """Two spheres under `load` (N, > 0); `radius` R and `modulus` E* of the pair.

    a = (3 P R/(4 E*))^(1/3), p0 = 3 P/(2 pi a^2); Johnson (4.22) to (4.24).
    """
    a = (0.75 * load * radius / modulus) ** (1.0 / 3.0)
    mean = load / (math.pi * a**2)
    return Contact(a, 1.5 * mean, mean, math.nan, math.nan)


def line_load(load: Floats | float, length: Floats | float, eccentricity: Floats | float) -> Floats:
    """Greatest load per length (N/m) of a line of `length` (m) under an eccentric `load` (N).

    N/L (1 + 6 e/L) within the middle third; beyond it the line opens and the rest carries
    2 N/(3 (L/2 - e)). Infinite where the load stands at the end or outside (own statics). Arrays of
    any shapes that go together.
    """
    e = np.abs(np.asarray(eccentricity, float))
    closed = np.asarray(load / length * (1.0 + 6.0 * e / length))
    rest = np.maximum(length / 2.0 - e, 1e-300)
    opened = np.where(e < np.asarray(length) / 2.0, 2.0 * load / (3.0 * rest), np.inf)
    return np.where(e <= np.asarray(length) / 6.0, closed, opened)


@dataclass(frozen=True)
class RollerBed:
    """A roller between two plates of one material, with what decides how far they come together.

    `radius` (m) of the roller; `depths` (m): plate above and below, from the contact to where it
    rests; `modulus` (Pa), `poisson` of the steel; `bedding` (m per N/m): what the parts outside
    the contact give, taken as linear.

    The approach of line contacts has no value of its own: it depends on the depth of the bodies.
    Roller: Johnson (5.57); plate on a rigid base: Johnson (5.56).
    """

    radius: float
    depths: tuple[float, ...]
    modulus: float
    poisson: float
    bedding: float = 0.0

    def approach(self, load: Floats) -> Floats:
        """How far the plates come together (m) under loads per length (N/m, >= 0), any shape."""
        return self._approach(np.asarray(load, dtype=float))[0]

    def stiffness(self, load: Floats) -> Floats:
        """Increase of the load per length with the approach (N/m2) at a load (N/m, > 0)."""
        return np.asarray(1.0 / self._approach(load)[1])

    def load(self, approach: Floats) -> tuple[Floats, Floats]:
        """Load per length (N/m) for an approach (m), and its increase with it (N/m2).

        Zero where the approach is not positive: the roller hangs free.
        """
        wanted = np.maximum(np.asarray(approach, dtype=float), 0.0)
        c = (1.0 - self.poisson**2) / (math.pi * self.modulus)
        # The logarithms hardly change with the load: a guess of their size is enough to start.
        found = wanted / (40.0 * c + self.bedding)
        slope = np.ones_like(found)
        for _ in range(20):
            value, slope = self._approach(found)
            step = (wanted - value) / slope
            found = np.maximum(found + step, 0.1 * found)
            # Newton's steps double the digits: after one this small the next would be rounding.
            if (np.abs(step) <= 1e-7 * (found + 1e-6)).all():
                break
        pressed = wanted > 0.0
        return np.where(pressed, found, 0.0), np.where(pressed, 1.0 / slope, 0.0)

    def _approach(self, load: Floats) -> tuple[Floats, Floats]:
        """Approach and its derivative; the contact half width a grows with the root of the load."""
        c = (1.0 - self.poisson**2) / (math.pi * self.modulus)
        # E* of two equal bodies is E/(2 (1 - nu^2)), so a^2 = 4 P' R/(pi E*) = 8 c P' R.
        a = np.sqrt(8.0 * c * np.maximum(load, 1e-9) * self.radius)
        logs = 2.0 * (2.0 * np.log(4.0 * self.radius / a) - 1.0)
        for depth in self.depths:
            logs = logs + 2.0 * np.log(2.0 * depth / a) - self.poisson / (1.0 - self.poisson)
        # d(ln a)/dP' = 1/(2 P'): each 2 ln(1/a) takes one off the slope, and the roller has two.
        parts = 2 + len(self.depths)
        return c * load * logs + self.bedding * load, c * (logs - parts) + self.bedding
