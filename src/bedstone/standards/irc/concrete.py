"""Concrete under the plate of a bearing: IRC:112 16.14.4 and IRC:83-III 2002, 926.2.1."""

from __future__ import annotations

import math

from bedstone.standards.bearing_pressure import Bed, Footprint, edge_pressure
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def bearing(values: Values, force: float, footprint: Footprint, bed: Bed) -> Line:
    """Factored compression `force` (N) on the reduced area.

    The strength of this family is that of cubes: that of cylinders over 0.8.
    """
    cube = bed.fck / values.number("concrete.cube")
    fcd = values.number("concrete.alpha") * cube / values.number("concrete.gamma_m")
    sides = footprint.reduced
    area = sides[0] * sides[1]
    ratio = footprint.spread(sides, values.number("concrete.bearing.spread"))
    limit = area * fcd * min(ratio, values.number("concrete.bearing.cap"))
    return state(
        values,
        (
            "concrete.bearing.cap",
            "concrete.bearing.spread",
            "concrete.alpha",
            "concrete.gamma_m",
            "concrete.cube",
        ),
        title="Concrete under the plate",
        formula="N_Ed <= Ac0 fcd sqrt(Ac1/Ac0) <= 3.0 fcd Ac0, fcd = 0.67 fck,cube/1.5",
        inputs=(
            Quantity("Ac0", area, "m**2"),
            Quantity("Ac1", area * ratio**2, "m**2"),
            Quantity("fcd", fcd, "Pa"),
        ),
        result=Quantity("N_Ed", force, "N"),
        limit=Quantity("F_Rdu", limit, "N"),
        utilisation=force / limit if limit > 0.0 else math.inf,
        note="" if footprint.plinth else "no concrete beside the plate is given: no spread",
    )


def allowed_direct(values: Values, cube: float, area_ratio: float) -> float:
    """0.25 fck sqrt(A1/A2) (Pa), the ratio of areas at most 2 (926.2.1)."""
    ratio = min(max(area_ratio, 1.0), values.number("concrete.working.spread"))
    return values.number("concrete.working.direct") * cube * math.sqrt(ratio)


def working_bearing(values: Values, force: float, footprint: Footprint, bed: Bed) -> Line:
    """Working stresses under the plate: direct/allowed + bending/allowed <= 1 (926.2.1).

    The cylinder strength is turned into that of cubes. Under wind or earthquake all allowed
    stresses are 25 % higher. Beyond the middle third the bending share is that of the edge pressure
    without tension.
    """
    cube = bed.fck / values.number("concrete.cube")
    sides = (footprint.length, footprint.width)
    more = values.number("concrete.working.occasional") if bed.occasional else 1.0
    direct = allowed_direct(values, cube, footprint.spread(sides, math.inf) ** 2) * more
    flexure = values.number("concrete.working.bending") * cube * more
    mean = force / (sides[0] * sides[1])
    bending = edge_pressure(footprint, force) - mean
    return state(
        values,
        (
            "concrete.working.direct",
            "concrete.working.bending",
            "concrete.working.spread",
            "concrete.working.occasional",
            "concrete.cube",
        ),
        title="Concrete under the plate",
        formula="sigma_c/(0.25 fck sqrt(A1/A2)) + sigma_cb/(0.33 fck) <= 1"
        + (", both x 1.25" if bed.occasional else ""),
        inputs=(
            Quantity("sigma_c", mean, "Pa"),
            Quantity("sigma_cb", bending, "Pa"),
            Quantity("allowed direct", direct, "Pa"),
            Quantity("allowed bending", flexure, "Pa"),
        ),
        result=Quantity("sum", mean / direct + bending / flexure, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=mean / direct + bending / flexure,
        note="" if footprint.plinth else "no concrete beside the plate is given: no spread",
    )
