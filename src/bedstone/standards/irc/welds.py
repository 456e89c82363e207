"""Fillet welds: IRC:24 (limit states, as IS 800 10.5.7) and IS 816 (working stress)."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def strength(values: Values, fu: float, *, site: bool = False) -> float:
    """fu/(sqrt(3) gamma_mw) in Pa; gamma_mw 1.25 in the shop, 1.50 on site."""
    gamma = values.number("welds.gamma_mw.site" if site else "welds.gamma_mw")
    return fu / (math.sqrt(3.0) * gamma)


def fillet(
    values: Values, force: float, throat: float, fu: float, grade: str, *, site: bool = False
) -> Line:
    """Factored resultant `force` per length (N/m) on the `throat` (m); `fu` of the weaker part."""
    limit = strength(values, fu, site=site) * throat
    return state(
        values,
        ("welds.gamma_mw.site" if site else "welds.gamma_mw",),
        title="Fillet weld",
        formula="q <= a fu/(sqrt(3) gamma_mw)",
        inputs=(Quantity("a", throat, "m"), Quantity("fu", fu, "Pa")),
        result=Quantity("q", force, "N/m"),
        limit=Quantity("q_d", limit, "N/m"),
        utilisation=force / limit,
    )


def working_fillet(
    values: Values, force: float, throat: float, fu: float, grade: str, *, site: bool = False
) -> Line:
    """Working resultant `force` per length (N/m) against 110 MPa on the `throat` (m), 80 % on site."""
    allowed = values.number("welds.working")
    allowed *= values.number("welds.working.site") if site else 1.0
    stress = force / throat
    return state(
        values,
        ("welds.working", "welds.working.site"),
        title="Fillet weld",
        formula="q/a <= 110 MPa" + (" x 0.8 on site" if site else ""),
        inputs=(Quantity("q", force, "N/m"), Quantity("a", throat, "m")),
        result=Quantity("fe", stress, "Pa"),
        limit=Quantity("allowed", allowed, "Pa"),
        utilisation=stress / allowed,
    )


def least_length(values: Values, throat: float) -> float:
    """Shortest weld (m): four times its leg (common practice, no source)."""
    return 4.0 * 2.0**0.5 * throat
