"""AASHTO LRFD 5.6.5: concrete under the plate of a bearing."""

from __future__ import annotations

import math

from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def bearing(values: Values, force: float, footprint: Footprint, bed: Bed) -> Line:
    """Factored compression `force` (N) against phi 0.85 f'c A1 m.

    m = sqrt(A2/A1) <= 2.0 under a central force, 0.75 sqrt(A2/A1) <= 1.50 (at least 0.75) under an
    eccentric one, on the part of the plate that is pressed.
    """
    sides = (footprint.length, footprint.width)
    root = footprint.spread(sides, math.inf)
    uniform = abs(footprint.ex) <= 1e-9 and abs(footprint.ey) <= 1e-9
    share, cap = values.row("concrete.nonuniform")
    m = min(root, values.number("concrete.uniform.cap")) if uniform else min(share * root, cap)
    phi = values.number("concrete.phi")
    area = footprint.pressed
    limit = phi * values.number("concrete.block") * bed.fck * m * area
    return state(
        values,
        ("concrete.block", "concrete.phi", "concrete.uniform.cap", "concrete.nonuniform"),
        title="Concrete under the plate",
        formula="N_u <= phi 0.85 f'c A1 m, "
        + ("m = sqrt(A2/A1) <= 2.0" if uniform else "m = 0.75 sqrt(A2/A1) <= 1.50"),
        inputs=(
            Quantity("A1", area, "m**2"),
            Quantity("sqrt(A2/A1)", root, ""),
            Quantity("f'c", bed.fck, "Pa"),
        ),
        result=Quantity("N_u", force, "N"),
        limit=Quantity("phi Pn", limit, "N"),
        utilisation=force / limit if limit > 0.0 else math.inf,
        note="" if footprint.plinth else "no concrete beside the plate is given: no spread",
    )
