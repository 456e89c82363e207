"""AASHTO LRFD 6.13.2.12: anchor bolts of a bearing; dowels in shear."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fastener
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def anchor(values: Values, shear: float, tension: float, bolt: Fastener) -> Line:
    """One anchor bolt, threads in the shear plane, under factored `shear` and `tension` (N).

    The gross area counts. The concrete around it is not covered.
    """
    r_v = values.number("anchors.shear") * bolt.fu * bolt.area
    v_r = values.number("anchors.phi_s") * r_v
    t_r = values.number("anchors.phi_t") * values.number("anchors.tension") * bolt.fu * bolt.area
    small = shear / r_v <= values.number("anchors.interaction")
    use = max(shear / v_r, tension / t_r, 0.0 if small else math.hypot(shear / v_r, tension / t_r))
    return state(
        values,
        (
            "anchors.shear",
            "anchors.tension",
            "anchors.interaction",
            "anchors.phi_s",
            "anchors.phi_t",
        ),
        title="Anchor bolt",
        formula="max(Pu/(phi_s 0.50 Ab Fub), Tu/(phi_t 0.76 Ab Fub), "
        "sqrt(both squared)) <= 1, without the root where Pu/Rn <= 0.33",
        inputs=(
            Quantity("Pu", shear, "N"),
            Quantity("Tu", tension, "N"),
            Quantity("phi_s Rn", v_r, "N"),
            Quantity("phi_t Tn", t_r, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        note="steel only; anchorage in the concrete is designed with the pier",
    )


def dowel(values: Values, shear: float, bar: Fastener) -> Line:
    """A round dowel in single shear: phi_s 0.58 Fy A."""
    limit = (
        values.number("anchors.phi_s") * values.number("anchors.dowel.shear") * bar.fy * bar.area
    )
    return state(
        values,
        ("anchors.dowel.shear", "anchors.phi_s"),
        title="Dowel in shear",
        formula="Pu <= phi_s 0.58 Fy A",
        inputs=(Quantity("A", bar.area, "m**2"), Quantity("Fy", bar.fy, "Pa")),
        result=Quantity("Pu", shear, "N"),
        limit=Quantity("Pr", limit, "N"),
        utilisation=shear / limit,
    )
