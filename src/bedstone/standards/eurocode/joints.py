"""EN 1337-1, 5.2: sliding in the joints of a bearing; EN 1993-1-8, 3.6: fitted bolts."""

from __future__ import annotations

from typing import Literal

from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fastener, Ply
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def grip(
    values: Values, compression: float, surface: Literal["concrete", "steel"], *, dynamic: bool
) -> Line:
    """Horizontal force (N) that friction holds under `compression` (N): mu_k/gamma_mu N.

    `dynamic`: rail traffic or earthquake acts, when no friction may be counted.
    """
    mu = values.number(f"joints.friction.{surface}")
    gamma = values.number(f"joints.friction.gamma.{surface}")
    held = 0.0 if dynamic else mu / gamma * max(compression, 0.0)
    return state(
        values,
        (f"joints.friction.{surface}", f"joints.friction.gamma.{surface}"),
        title="Friction of the joint",
        formula="0 under dynamic load" if dynamic else "V_Rd = mu_k/gamma_mu N_d",
        inputs=(
            Quantity("mu_k", mu, ""),
            Quantity("gamma_mu", gamma, ""),
            Quantity("N_d", compression, "N"),
        ),
        result=Quantity("V_Rd", held, "N"),
    )


def fitted_bolt(
    values: Values,
    shear: float,
    tension: float,
    bolt: Fastener,
    ply: Ply,
) -> Line:
    """A fitted bolt in single shear with its shank in the shear plane; forces N.

    Worst of shear, bearing on a plate `ply`, tension and both together (Table 3.4).
    """
    gamma = values.number("joints.bolt.gamma_M2")
    end = min(values.number("joints.bolt.end") / 3.0, bolt.fu / ply.fu, 1.0)
    v_rd = values.number("joints.bolt.shear") * bolt.fu * bolt.area / gamma
    b_rd = (
        values.number("joints.bolt.bearing") * end * ply.fu * bolt.diameter * ply.thickness / gamma
    )
    t_rd = values.number("joints.bolt.tension") * bolt.fu * bolt.stress_area / gamma
    both = shear / v_rd + tension / (values.number("joints.bolt.interaction") * t_rd)
    use = max(shear / v_rd, shear / b_rd, tension / t_rd, both)
    return state(
        values,
        (
            "joints.bolt.shear",
            "joints.bolt.bearing",
            "joints.bolt.end",
            "joints.bolt.tension",
            "joints.bolt.interaction",
            "joints.bolt.gamma_M2",
        ),
        title="Fitted bolt",
        formula="max(Fv/Fv,Rd, Fv/Fb,Rd, Ft/Ft,Rd, Fv/Fv,Rd + Ft/(1.4 Ft,Rd)) <= 1",
        inputs=(
            Quantity("Fv", shear, "N"),
            Quantity("Ft", tension, "N"),
            Quantity("Fv,Rd", v_rd, "N"),
            Quantity("Fb,Rd", b_rd, "N"),
            Quantity("Ft,Rd", t_rd, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
    )
