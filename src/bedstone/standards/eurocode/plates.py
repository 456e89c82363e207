"""EN 1993-1-1, 6.2.5: bending of the plates of a bearing, per metre of width."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def bending(values: Values, moment: float, thickness: float, fy: float) -> Line:
    """Moment (N m/m) against the plastic resistance of a plate; `thickness` m, `fy` Pa."""
    resistance = (
        values.number("plates.modulus.plastic")
        * thickness**2
        * fy
        / values.number("plates.gamma_M0")
    )
    return state(
        values,
        ("plates.modulus.plastic", "plates.gamma_M0"),
        title="Bending of the plate",
        formula="m_Ed <= t^2/4 fy/gamma_M0",
        inputs=(Quantity("t", thickness, "m"), Quantity("fy", fy, "Pa")),
        result=Quantity("m_Ed", moment, "N"),
        limit=Quantity("m_Rd", resistance, "N"),
        utilisation=moment / resistance,
        note="moment in N m per m of width",
    )


def least_thickness(values: Values, moment: float, fy: float) -> float:
    """Thickness (m) that carries a moment (N m/m): sqrt(4 m gamma_M0/fy)."""
    return math.sqrt(
        moment * values.number("plates.gamma_M0") / (values.number("plates.modulus.plastic") * fy)
    )


def stress(values: Values, found: float, fy: float, title: str) -> Line:
    """Equivalent elastic stress (Pa) of a steel part against fy/gamma_M0 (6.2.1 (5))."""
    limit = fy / values.number("plates.gamma_M0")
    return state(
        values,
        ("plates.gamma_M0",),
        title=title,
        formula="sqrt(sigma^2 + 3 tau^2) <= fy/gamma_M0",
        inputs=(Quantity("fy", fy, "Pa"),),
        result=Quantity("sigma", found, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=found / limit,
        clause="6.2.1 (5)",
    )
