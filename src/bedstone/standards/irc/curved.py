"""IRC:83 Part IV: spherical and cylindrical bearings, on the lines of EN 1337-7."""

from __future__ import annotations

from typing import Literal

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def included_angle(
    values: Values, shape: Literal["spherical", "cylindrical"], angle: float
) -> Line:
    """Included angle 2 theta (rad) of the curved sheet within the scope."""
    name = f"curved.angle.{shape}"
    limit = values.number(name)
    return state(
        values,
        (name,),
        f"Included angle, {shape}",
        "2 theta <= 60 deg (spherical), 75 deg (cylindrical)",
        (),
        Quantity("2 theta", angle, "rad"),
        limit=Quantity("limit", limit, "rad"),
        utilisation=angle / limit,
    )
