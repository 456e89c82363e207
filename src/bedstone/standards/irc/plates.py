"""Bending of the plates of a bearing, per metre of width: limit state and working stress."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def bending(values: Values, moment: float, thickness: float, fy: float) -> Line:
    """Factored moment (N m/m) against 1.2 fy Ze/gamma_m0 (IRC:24, IRC:83-III 2018)."""
    resistance = _design_stress(values, fy) * _modulus(values, thickness)
    return state(
        values,
        ("plates.gamma_m0", "plates.modulus.elastic", "plates.shape.cap"),
        title="Bending of the plate",
        formula="m_Ed <= 1.2 t^2/6 fy/gamma_m0",
        inputs=(Quantity("t", thickness, "m"), Quantity("fy", fy, "Pa")),
        result=Quantity("m_Ed", moment, "N"),
        limit=Quantity("m_Rd", resistance, "N"),
        utilisation=moment / resistance,
        note="moment in N m per m of width",
    )


def working_bending(values: Values, moment: float, thickness: float, fy: float) -> Line:
    """Bending stress under working loads against 0.66 fy (IRC:83-III 2002, 926.2.2)."""
    stress = moment / _modulus(values, thickness)
    allowed = values.number("plates.working.bending") * fy
    return state(
        values,
        ("plates.working.bending", "plates.modulus.elastic"),
        title="Bending stress of the plate",
        formula="m/(t^2/6) <= 0.66 fy",
        inputs=(
            Quantity("m", moment, "N"),
            Quantity("t", thickness, "m"),
            Quantity("fy", fy, "Pa"),
        ),
        result=Quantity("sigma_b", stress, "Pa"),
        limit=Quantity("0.66 fy", allowed, "Pa"),
        utilisation=stress / allowed,
        note="moment in N m per m of width",
    )


def least_thickness(values: Values, moment: float, fy: float) -> float:
    """Thickness (m) that carries a factored moment (N m/m)."""
    return math.sqrt(moment / (_modulus(values, 1.0) * _design_stress(values, fy)))


def working_least_thickness(values: Values, moment: float, fy: float) -> float:
    """Thickness (m) that carries a moment (N m/m) of the working loads."""
    allowed = values.number("plates.working.bending") * fy
    return math.sqrt(moment / (_modulus(values, 1.0) * allowed))


def _modulus(values: Values, thickness: float) -> float:
    return values.number("plates.modulus.elastic") * thickness**2


def _design_stress(values: Values, fy: float) -> float:
    return values.number("plates.shape.cap") * fy / values.number("plates.gamma_m0")


def stress(values: Values, found: float, fy: float, title: str) -> Line:
    """Equivalent elastic stress (Pa) of a steel part against fy/gamma_m0."""
    limit = fy / values.number("plates.gamma_m0")
    return state(
        values,
        ("plates.gamma_m0",),
        title=title,
        formula="sqrt(sigma^2 + 3 tau^2) <= fy/gamma_m0",
        inputs=(Quantity("fy", fy, "Pa"),),
        result=Quantity("sigma", found, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=found / limit,
    )


def working_stress(values: Values, found: float, fy: float, title: str) -> Line:
    """Equivalent working stress (Pa) of a steel part against 0.9 fy (926.2.2)."""
    limit = values.number("plates.working.combined") * fy
    return state(
        values,
        ("plates.working.combined",),
        title=title,
        formula="sqrt(sigma^2 + 3 tau^2) <= 0.9 fy",
        inputs=(Quantity("fy", fy, "Pa"),),
        result=Quantity("sigma", found, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=found / limit,
    )
