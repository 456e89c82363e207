"""AASHTO LRFD 6.12: bending of the plates of a bearing, per metre of width."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def bending(values: Values, moment: float, thickness: float, fy: float) -> Line:
    """Factored moment (N m/m) against phi_f Mn of a solid plate; `thickness` m, `fy` Pa."""
    resistance = _modulus(values) * thickness**2 * fy * values.number("plates.phi_f")
    return state(
        values,
        (
            "plates.modulus.plastic",
            "plates.modulus.elastic",
            "plates.shape.cap",
            "plates.phi_f",
        ),
        title="Bending of the plate",
        formula="m_u <= phi_f min(t^2/4, 1.6 t^2/6) Fy",
        inputs=(Quantity("t", thickness, "m"), Quantity("Fy", fy, "Pa")),
        result=Quantity("m_u", moment, "N"),
        limit=Quantity("m_r", resistance, "N"),
        utilisation=moment / resistance,
        note="moment in N m per m of width",
    )


def least_thickness(values: Values, moment: float, fy: float) -> float:
    """Thickness (m) that carries a moment (N m/m), not below the least of the detailing rules."""
    needed = math.sqrt(moment / (_modulus(values) * fy * values.number("plates.phi_f")))
    return max(needed, values.number("plates.least"))


def _modulus(values: Values) -> float:
    return min(
        values.number("plates.modulus.plastic"),
        values.number("plates.shape.cap") * values.number("plates.modulus.elastic"),
    )


def stress(values: Values, found: float, fy: float, title: str) -> Line:
    """Equivalent elastic stress (Pa) of a steel part against phi_f Fy (6.12)."""
    limit = values.number("plates.phi_f") * fy
    return state(
        values,
        ("plates.phi_f",),
        title=title,
        formula="sqrt(f^2 + 3 v^2) <= phi_f Fy",
        inputs=(Quantity("fy", fy, "Pa"),),
        result=Quantity("sigma", found, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=found / limit,
    )
