"""EN 1992-1-1, 6.7: concrete under the plate of a bearing."""

from __future__ import annotations

import math

from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def design_strength(values: Values, fck: float) -> float:
    """Strength fcd = alpha_cc fck/gamma_c (Pa), alpha_cc as EN 1992-2 recommends for bridges."""
    return values.number("concrete.alpha_cc") * fck / values.number("concrete.gamma_c")


def resistance(values: Values, area: float, spread_area: float, fcd: float) -> float:
    """F_Rdu = Ac0 fcd sqrt(Ac1/Ac0) <= 3 fcd Ac0 (N), areas in m2 (6.63)."""
    cap = values.number("concrete.bearing.cap")
    return area * fcd * min(math.sqrt(spread_area / area), cap)


def bearing(values: Values, force: float, footprint: Footprint, bed: Bed) -> Line:
    """Compression `force` (N) on the reduced area under it; utilisation infinite where it is none.

    The area is reduced by the eccentricity so that the pressure on it is uniform, as 6.7 (3) asks.

    """
    fcd = design_strength(values, bed.fck)
    sides = footprint.reduced
    area = sides[0] * sides[1]
    ratio = footprint.spread(sides, values.number("concrete.bearing.spread"))
    limit = resistance(values, area, area * ratio**2, fcd) if area > 0.0 else 0.0
    return state(
        values,
        (
            "concrete.bearing.cap",
            "concrete.gamma_c",
            "concrete.alpha_cc",
            "concrete.bearing.spread",
        ),
        title="Concrete under the plate",
        formula="N_Ed <= Ac0 fcd sqrt(Ac1/Ac0) <= 3.0 fcd Ac0, Ac0 = (a - 2 ex)(b - 2 ey)",
        inputs=(
            Quantity("Ac0", area, "m**2"),
            Quantity("Ac1", area * ratio**2, "m**2"),
            Quantity("fcd", fcd, "Pa"),
        ),
        result=Quantity("N_Ed", force, "N"),
        limit=Quantity("F_Rdu", limit, "N"),
        utilisation=force / limit if limit > 0.0 else math.inf,
        note=(
            "steel for the transverse tension under the plate is designed with the pier"
            if footprint.plinth
            else "no concrete beside the plate is given: no spread"
        ),
    )
