"""AASHTO LRFD: no friction is counted in a joint; 6.13.2: bolts of a sole plate."""

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
    """A bolt in single shear, threads out of the shear plane; forces N."""
    r_v = values.number("joints.bolt.shear") * bolt.fu * bolt.area
    v_r = values.number("joints.bolt.phi_s") * r_v
    b_r = (
        values.number("joints.bolt.phi_bb")
        * values.number("joints.bolt.bearing")
        * bolt.diameter
        * ply.thickness
        * ply.fu
    )
    t_r = (
        values.number("joints.bolt.phi_t")
        * values.number("joints.bolt.tension")
        * bolt.fu
        * bolt.area
    )
    # Up to a third of the shear resistance the tension is not reduced, then T^2 + V^2 <= 1.
    small = shear / r_v <= values.number("joints.bolt.interaction")
    both = 0.0 if small else math.hypot(shear / v_r, tension / t_r)
    use = max(shear / v_r, shear / b_r, tension / t_r, both)
    return state(
        values,
        (
            "joints.bolt.shear",
            "joints.bolt.bearing",
            "joints.bolt.tension",
            "joints.bolt.interaction",
            "joints.bolt.phi_s",
            "joints.bolt.phi_bb",
            "joints.bolt.phi_t",
        ),
        title="Fitted bolt",
        formula="max(Pu/(phi_s Rn), Pu/(phi_bb 2.4 d t Fu), Tu/(phi_t Tn), "
        "sqrt((Pu/(phi_s Rn))^2 + (Tu/(phi_t Tn))^2)) <= 1",
        inputs=(
            Quantity("Pu", shear, "N"),
            Quantity("Tu", tension, "N"),
            Quantity("phi_s Rn", v_r, "N"),
            Quantity("phi_bb Rn", b_r, "N"),
            Quantity("phi_t Tn", t_r, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
    )
