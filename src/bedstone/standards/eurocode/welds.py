"""EN 1993-1-8, 4.5: fillet welds, simplified and directional method."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def shear_strength(values: Values, fu: float, grade: str) -> float:
    """fvw,d = fu/(sqrt(3) beta_w gamma_M2) in Pa; `grade` as in Table 4.1, else beta_w 1.0."""
    return fu / (math.sqrt(3.0) * _beta(values, grade)[1] * values.number("welds.gamma_M2"))


def fillet(
    values: Values, force: float, throat: float, fu: float, grade: str, *, site: bool = False
) -> Line:
    """Resultant `force` per length (N/m) on a `throat` (m): simplified method (4.5.3.3).

    `fu` (Pa) of the weaker part. `site` changes nothing here.
    """
    limit = shear_strength(values, fu, grade) * throat
    name, beta = _beta(values, grade)
    return state(
        values,
        ("welds.gamma_M2", name),
        title="Fillet weld",
        formula="Fw,Ed <= a fu/(sqrt(3) beta_w gamma_M2)",
        inputs=(
            Quantity("a", throat, "m"),
            Quantity("fu", fu, "Pa"),
            Quantity("beta_w", beta, ""),
        ),
        result=Quantity("Fw,Ed", force, "N/m"),
        limit=Quantity("Fw,Rd", limit, "N/m"),
        utilisation=force / limit,
        clause="4.5.3.3",
    )


def directional(
    values: Values, normal: float, across: float, along: float, fu: float, grade: str
) -> Line:
    """Stresses (Pa) on the throat: normal to it, across and along the axis of the weld (4.5.3.2)."""
    name, beta = _beta(values, grade)
    gamma = values.number("welds.gamma_M2")
    mixed = math.sqrt(normal**2 + 3.0 * (across**2 + along**2))
    use = max(
        mixed / (fu / (beta * gamma)), abs(normal) / (values.number("welds.normal") * fu / gamma)
    )
    return state(
        values,
        ("welds.normal", "welds.gamma_M2", name),
        title="Fillet weld",
        formula="sqrt(s_perp^2 + 3 (t_perp^2 + t_par^2)) <= fu/(beta_w gamma_M2), "
        "s_perp <= 0.9 fu/gamma_M2",
        inputs=(
            Quantity("s_perp", normal, "Pa"),
            Quantity("t_perp", across, "Pa"),
            Quantity("t_par", along, "Pa"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        clause="4.5.3.2",
    )


def least_length(values: Values, throat: float) -> float:
    """Shortest weld that may carry force (m): 6 a and 30 mm (4.5.1 (2))."""
    throats, shortest = values.row("welds.least.length")
    return max(throats * throat, shortest * 1e-3)


def _beta(values: Values, grade: str) -> tuple[str, float]:
    known = {"S235", "S275", "S355"}
    name = f"welds.beta.{grade}" if grade in known else "welds.beta.other"
    return name, values.number(name)
