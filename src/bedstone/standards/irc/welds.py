"""Fillet welds: IRC:24 (limit states, as IS 800 10.5.7) and IS 816 (working stress)."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fillet
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def strength(values: Values, fu: float, *, site: bool = False) -> float:
    """fu/(sqrt(3) gamma_mw) in Pa; gamma_mw 1.25 in the shop, 1.50 on site."""
    gamma = values.number("welds.gamma_mw.site" if site else "welds.gamma_mw")
    return fu / (math.sqrt(3.0) * gamma)


def fillet(values: Values, force: float, weld: Fillet) -> Line:
    """Factored resultant `force` per length (N/m) on the throat."""
    limit = strength(values, weld.fu, site=weld.site) * weld.throat
    return state(
        values,
        ("welds.gamma_mw.site" if weld.site else "welds.gamma_mw",),
        title="Fillet weld",
        formula="q <= a fu/(sqrt(3) gamma_mw)",
        inputs=(Quantity("a", weld.throat, "m"), Quantity("fu", weld.fu, "Pa")),
        result=Quantity("q", force, "N/m"),
        limit=Quantity("q_d", limit, "N/m"),
        utilisation=force / limit,
    )


def working_fillet(values: Values, force: float, weld: Fillet) -> Line:
    """Working resultant `force` per length (N/m): 110 MPa on the throat, 80 % of it on site."""
    allowed = values.number("welds.working")
    allowed *= values.number("welds.working.site") if weld.site else 1.0
    stress = force / weld.throat
    return state(
        values,
        ("welds.working", "welds.working.site"),
        title="Fillet weld",
        formula="q/a <= 110 MPa" + (" x 0.8 on site" if weld.site else ""),
        inputs=(Quantity("q", force, "N/m"), Quantity("a", weld.throat, "m")),
        result=Quantity("fe", stress, "Pa"),
        limit=Quantity("allowed", allowed, "Pa"),
        utilisation=stress / allowed,
    )
