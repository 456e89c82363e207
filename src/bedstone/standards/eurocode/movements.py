"""EN 1337-1, 5.4 and 5.5: increased and least movements of bearings.

Recalled with doubt: nothing here is applied unless the engineer asks for it; each line says so.
"""

from __future__ import annotations

from typing import Literal

from bedstone.errors import BedstoneError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_DOUBT = "recalled with doubt; confirm against the printed clause"


def increased_rotation(
    values: Values, rotation: float, contact_radius: float | None = None
) -> Line:
    """Calculated rotation (rad, either way) with its increase; `contact_radius` r (m) if curved.

    Source: EN 1337-1, 5.4.
    """
    increase = values.number("movements.increase.rotation")
    if contact_radius is not None:
        if not contact_radius > 0.0:
            raise BedstoneError(f"a contact radius is more than 0, not {contact_radius:g} m")
        increase = max(
            increase, values.number("movements.increase.rotation_radius") / contact_radius
        )
    return state(
        values,
        ("movements.increase.rotation", "movements.increase.rotation_radius"),
        title="Increased rotation",
        formula="theta + max(0.005, 10/r)",
        inputs=(
            Quantity("theta", abs(rotation), "rad"),
            *(() if contact_radius is None else (Quantity("r", contact_radius, "m"),)),
        ),
        result=Quantity("theta_d", abs(rotation) + increase, "rad"),
        note=f"r in mm in the formula; {_DOUBT}",
    )


def increased_translation(
    values: Values, movement: float, direction: Literal["main", "transverse"]
) -> Line:
    """Calculated movement (m, either way) with its increase and the least total.

    Source: EN 1337-1, 5.4.
    """
    name = f"movements.least_total.{direction}"
    increased = abs(movement) + values.number("movements.increase.translation")
    return state(
        values,
        ("movements.increase.translation", name),
        title=f"Increased movement, {direction} direction",
        formula="v + 20 mm, at least 50 mm (main) or 25 mm (transverse)",
        inputs=(Quantity("v", abs(movement), "m"),),
        result=Quantity("v_d", max(increased, values.number(name)), "m"),
        note=_DOUBT,
    )


def least_rotation(values: Values, rotation: float) -> Line:
    """Rotation (rad, either way) for strength, at least 0.003 rad (EN 1337-1, 5.5)."""
    return state(
        values,
        ("movements.least.rotation",),
        title="Least rotation for strength",
        formula="max(theta, 0.003)",
        inputs=(Quantity("theta", abs(rotation), "rad"),),
        result=Quantity(
            "theta_d", max(abs(rotation), values.number("movements.least.rotation")), "rad"
        ),
        note=_DOUBT,
    )


def least_translation(values: Values, movement: float, elastomeric: bool) -> Line:
    """Movement (m, either way) for strength, at least 20 mm, or 10 mm for elastomeric bearings.

    Source: EN 1337-1, 5.5.
    """
    name = "movements.least.translation" + ("_elastomeric" if elastomeric else "")
    return state(
        values,
        (name,),
        title="Least movement for strength",
        formula="max(v, 20 mm; 10 mm elastomeric)",
        inputs=(Quantity("v", abs(movement), "m"),),
        result=Quantity("v_d", max(abs(movement), values.number(name)), "m"),
        note=_DOUBT,
    )


def least_eccentricity(values: Values, length: float) -> Line:
    """Eccentricity (m) of a bearing of `length` (m) that cannot rotate about its axis (5.5)."""
    return state(
        values,
        ("movements.least.eccentricity_share",),
        title="Least eccentricity",
        formula="e = l/10",
        inputs=(Quantity("l", length, "m"),),
        result=Quantity("e", values.number("movements.least.eccentricity_share") * length, "m"),
        note=_DOUBT,
    )
