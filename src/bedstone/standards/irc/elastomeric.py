"""IRC:83 Part II, 2015 and later: laminated elastomeric bearings by limit states.

The edition takes symbols and rules from EN 1337-3; they are the same functions here, read with
the figures and clauses of the Indian pack.
"""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.eurocode.elastomeric import (
    BEDDINGS,
    COMBINES,
    DEFLECTION_AREAS,
    SIDES,
    Bedding,
    Combine,
    DeflectionArea,
    Side,
    buckling,
    compression_strain,
    deflection,
    displacement,
    moment,
    permanent_pressure,
    plate_thickness,
    rotation_limit,
    rotation_strain,
    shear_moduli,
    shear_stiffness,
    shear_strain,
    side_cover,
    slip,
    total_strain,
    turning_stiffness,
)
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

__all__ = [
    "BEDDINGS",
    "COMBINES",
    "DEFLECTION_AREAS",
    "SIDES",
    "Bedding",
    "Combine",
    "DeflectionArea",
    "Side",
    "buckling",
    "compression_strain",
    "deflection",
    "displacement",
    "least_rotation",
    "moment",
    "permanent_pressure",
    "plate_thickness",
    "rotation_limit",
    "rotation_strain",
    "shear_moduli",
    "shear_stiffness",
    "shear_strain",
    "side_cover",
    "slip",
    "total_strain",
    "turning_stiffness",
]


def least_rotation(values: Values, tilt_x: float, tilt_y: float) -> Line:
    """Resultant rotation to design for, at least 0.003 rad (5.2.3)."""
    least = values.number("elastomeric.least.rotation")
    return state(
        values,
        ("elastomeric.least.rotation",),
        "Least rotation",
        "max(sqrt(alpha_a^2 + alpha_b^2), 0.003)",
        (Quantity("alpha_a", tilt_x, "rad"), Quantity("alpha_b", tilt_y, "rad")),
        Quantity("alpha", max(math.hypot(tilt_x, tilt_y), least), "rad"),
    )
