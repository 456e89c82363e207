"""AASHTO LRFD 6.13.3.2.4b: fillet welds."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fillet
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def fillet(values: Values, force: float, weld: Fillet) -> Line:
    """Factored resultant `force` per length (N/m) against 0.6 phi_e2 Fexx on the throat.

    The electrode is taken as 70 ksi; where the parts are weaker in tension, their strength counts.
    """
    strength = min(values.number("welds.electrode"), weld.fu)
    limit = values.number("welds.shear") * values.number("welds.phi_e2") * strength * weld.throat
    return state(
        values,
        ("welds.shear", "welds.phi_e2", "welds.electrode"),
        title="Fillet weld",
        formula="q_u <= 0.6 phi_e2 Fexx a",
        inputs=(Quantity("a", weld.throat, "m"), Quantity("Fexx", strength, "Pa")),
        result=Quantity("q_u", force, "N/m"),
        limit=Quantity("q_r", limit, "N/m"),
        utilisation=force / limit,
    )
