"""AASHTO LRFD 6.13.3.2.4b: fillet welds."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def fillet(
    values: Values, force: float, throat: float, fu: float, grade: str, *, site: bool = False
) -> Line:
    """Factored resultant `force` per length (N/m) against 0.6 phi_e2 Fexx on the `throat` (m).

    `fu` and `grade` of the parts and `site` change nothing: the electrode counts, and it is taken as
    70 ksi; where the base metal is weaker in tension than that, its `fu` counts instead.
    """
    strength = min(values.number("welds.electrode"), fu)
    limit = values.number("welds.shear") * values.number("welds.phi_e2") * strength * throat
    return state(
        values,
        ("welds.shear", "welds.phi_e2", "welds.electrode"),
        title="Fillet weld",
        formula="q_u <= 0.6 phi_e2 Fexx a",
        inputs=(Quantity("a", throat, "m"), Quantity("Fexx", strength, "Pa")),
        result=Quantity("q_u", force, "N/m"),
        limit=Quantity("q_r", limit, "N/m"),
        utilisation=force / limit,
    )


def least_length(values: Values, throat: float) -> float:
    """Shortest weld (m): four times its leg (common practice, no source)."""
    return 4.0 * 2.0**0.5 * throat
