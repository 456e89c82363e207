"""Anchor bolts and dowels of a bearing: IRC:24 512.4 and working stresses of IRC:83-III 2002."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fastener
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def anchor(values: Values, shear: float, tension: float, bolt: Fastener) -> Line:
    """One anchor bolt by limit states, threads in the shear plane (N)."""
    gamma = values.number("anchors.gamma_mb")
    v_d = bolt.fu / math.sqrt(3.0) * bolt.stress_area / gamma
    t_d = values.number("anchors.tension") * bolt.fu * bolt.stress_area / gamma
    use = max(shear / v_d, tension / t_d, (shear / v_d) ** 2 + (tension / t_d) ** 2)
    return state(
        values,
        ("anchors.gamma_mb", "anchors.tension"),
        title="Anchor bolt",
        formula="max(V/Vd, T/Td, (V/Vd)^2 + (T/Td)^2) <= 1",
        inputs=(
            Quantity("V", shear, "N"),
            Quantity("T", tension, "N"),
            Quantity("Vd", v_d, "N"),
            Quantity("Td", t_d, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        note="steel only; anchorage in the concrete is designed with the pier",
    )


def working_anchor(values: Values, shear: float, tension: float, bolt: Fastener) -> Line:
    """One anchor bolt by working stresses, 80 MPa in shear for grade 4.6 (N)."""
    share, base = values.row("anchors.working.grade")
    more = min(bolt.fy, share * bolt.fu) / (base * 1e6)
    tau, sigma = shear / bolt.area, tension / bolt.stress_area
    tau_d = values.number("anchors.working.shear") * more
    sigma_d = values.number("anchors.working.tension") * more
    both = (tau / tau_d + sigma / sigma_d) / values.number("anchors.working.interaction")
    use = max(tau / tau_d, sigma / sigma_d, both)
    return state(
        values,
        (
            "anchors.working.shear",
            "anchors.working.tension",
            "anchors.working.grade",
            "anchors.working.interaction",
        ),
        title="Anchor bolt",
        formula="max(tau/tau_p, sigma/sigma_p, (tau/tau_p + sigma/sigma_p)/1.4) <= 1",
        inputs=(
            Quantity("tau", tau, "Pa"),
            Quantity("sigma", sigma, "Pa"),
            Quantity("tau_p", tau_d, "Pa"),
            Quantity("sigma_p", sigma_d, "Pa"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        note="steel only; anchorage in the concrete is designed with the pier",
    )


def dowel(values: Values, shear: float, bar: Fastener) -> Line:
    """A round dowel in single shear by limit states: A fu/(sqrt(3) gamma_mb)."""
    limit = bar.fu / math.sqrt(3.0) * bar.area / values.number("anchors.gamma_mb")
    return state(
        values,
        ("anchors.gamma_mb",),
        title="Dowel in shear",
        formula="V <= A fu/(sqrt(3) gamma_mb)",
        inputs=(Quantity("A", bar.area, "m**2"), Quantity("fu", bar.fu, "Pa")),
        result=Quantity("V", shear, "N"),
        limit=Quantity("Vd", limit, "N"),
        utilisation=shear / limit,
    )


def working_dowel(values: Values, shear: float, bar: Fastener) -> Line:
    """A round dowel in single shear by working stresses: 0.45 fy (IRC:83-III 2002, 926.2.2)."""
    stress = shear / bar.area
    limit = values.number("anchors.dowel.working") * bar.fy
    return state(
        values,
        ("anchors.dowel.working",),
        title="Dowel in shear",
        formula="V/A <= 0.45 fy",
        inputs=(Quantity("V", shear, "N"), Quantity("fy", bar.fy, "Pa")),
        result=Quantity("tau", stress, "Pa"),
        limit=Quantity("0.45 fy", limit, "Pa"),
        utilisation=stress / limit,
    )
