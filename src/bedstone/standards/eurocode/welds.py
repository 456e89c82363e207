"""EN 1993-1-8, 4.5: fillet welds, simplified method."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fillet
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def shear_strength(values: Values, fu: float, grade: str) -> float:
    """fvw,d = fu/(sqrt(3) beta_w gamma_M2) in Pa; `grade` as in Table 4.1, else beta_w 1.0."""
    return fu / (math.sqrt(3.0) * _beta(values, grade)[1] * values.number("welds.gamma_M2"))


def fillet(values: Values, force: float, weld: Fillet) -> Line:
    """Resultant `force` per length (N/m) on the throat, whatever its direction (4.5.3.3)."""
    limit = shear_strength(values, weld.fu, weld.grade) * weld.throat
    name, beta = _beta(values, weld.grade)
    return state(
        values,
        ("welds.gamma_M2", name),
        title="Fillet weld",
        formula="Fw,Ed <= a fu/(sqrt(3) beta_w gamma_M2)",
        inputs=(
            Quantity("a", weld.throat, "m"),
            Quantity("fu", weld.fu, "Pa"),
            Quantity("beta_w", beta, ""),
        ),
        result=Quantity("Fw,Ed", force, "N/m"),
        limit=Quantity("Fw,Rd", limit, "N/m"),
        utilisation=force / limit,
        clause="4.5.3.3",
    )


def _beta(values: Values, grade: str) -> tuple[str, float]:
    known = {"S235", "S275", "S355"}
    name = f"welds.beta.{grade}" if grade in known else "welds.beta.other"
    return name, values.number(name)
