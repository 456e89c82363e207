"""IRC: no friction is counted in a joint; IRC:24 512.4 and IS 800: fitted bolts."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fastener, Ply
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def fitted_bolt(
    values: Values,
    shear: float,
    tension: float,
    bolt: Fastener,
    ply: Ply,
) -> Line:
    """A fitted bolt in single shear by limit states (IRC:24); forces N."""
    gamma = values.number("joints.bolt.gamma_mb")
    end = min(values.number("joints.bolt.end") / 3.0, bolt.fu / ply.fu, 1.0)
    v_d = bolt.fu / math.sqrt(3.0) * bolt.area / gamma
    b_d = (
        values.number("joints.bolt.bearing") * end * bolt.diameter * ply.thickness * ply.fu / gamma
    )
    t_d = values.number("joints.bolt.tension") * bolt.fu * bolt.stress_area / gamma
    strength = min(v_d, b_d)
    use = max(shear / strength, tension / t_d, (shear / strength) ** 2 + (tension / t_d) ** 2)
    return state(
        values,
        (
            "joints.bolt.gamma_mb",
            "joints.bolt.bearing",
            "joints.bolt.end",
            "joints.bolt.tension",
        ),
        title="Fitted bolt",
        formula="max(V/Vd, T/Td, (V/Vd)^2 + (T/Td)^2) <= 1",
        inputs=(
            Quantity("V", shear, "N"),
            Quantity("T", tension, "N"),
            Quantity("Vd", strength, "N"),
            Quantity("Td", t_d, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
    )


def working_fitted_bolt(
    values: Values,
    shear: float,
    tension: float,
    bolt: Fastener,
    ply: Ply,
) -> Line:
    """A turned and fitted bolt by working stresses; forces N."""
    share, base = values.row("joints.working.grade")
    more = min(bolt.fy, share * bolt.fu) / (base * 1e6)
    tau = shear / bolt.area
    sigma = tension / bolt.stress_area
    bearing = shear / (bolt.diameter * ply.thickness)
    tau_d = values.number("joints.working.shear") * more
    sigma_d = values.number("joints.working.tension") * more
    both = (tau / tau_d + sigma / sigma_d) / values.number("joints.working.interaction")
    pressed = bearing / (values.number("joints.working.bearing") * ply.fy)
    use = max(tau / tau_d, sigma / sigma_d, both, pressed)
    return state(
        values,
        (
            "joints.working.shear",
            "joints.working.tension",
            "joints.working.grade",
            "joints.working.interaction",
            "joints.working.bearing",
        ),
        title="Fitted bolt",
        formula="max(tau/tau_p, sigma/sigma_p, (tau/tau_p + sigma/sigma_p)/1.4, "
        "sigma_b/(0.75 fy)) <= 1",
        inputs=(
            Quantity("tau", tau, "Pa"),
            Quantity("sigma", sigma, "Pa"),
            Quantity("sigma_b", bearing, "Pa"),
            Quantity("tau_p", tau_d, "Pa"),
            Quantity("sigma_p", sigma_d, "Pa"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
    )
