"""AASHTO LRFD 6.7.6: pins; Standard Specifications: bearing of pins in service."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.fasteners import PinJoint
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def combined(values: Values, force: float, joint: PinJoint) -> Line:
    """Flexure and shear of the pin under the factored force (N) of the joint (6.7.6.2.1)."""
    flexure, shear, limit = values.row("pins.combined")
    d, fy = joint.diameter, joint.fy
    moment = joint.moment(force)
    found = (
        flexure * moment / (values.number("pins.phi_f") * d**3 * fy)
        + (shear * force / 2.0 / (values.number("pins.phi_v") * d**2 * fy)) ** 3
    )
    return state(
        values,
        ("pins.combined", "pins.phi_f", "pins.phi_v"),
        title="Bending and shear of the pin",
        formula="6.0 Mu/(phi_f D^3 Fy) + (2.2 Vu/(phi_v D^2 Fy))^3 <= 0.95",
        inputs=(
            Quantity("Mu", moment, "N*m"),
            Quantity("Vu", force / 2.0, "N"),
            Quantity("D", d, "m"),
            Quantity("Fy", fy, "Pa"),
        ),
        result=Quantity("sum", found, ""),
        limit=Quantity("limit", limit, ""),
        utilisation=found / limit,
    )


def bearing(values: Values, force: float, joint: PinJoint) -> Line:
    """Bearing on the pin under the factored force (N) of the joint (6.7.6.2.2)."""
    limit = (
        values.number("pins.phi_b")
        * values.number("pins.bearing")
        * joint.thinnest
        * joint.diameter
        * joint.bearing_fy
    )
    return state(
        values,
        ("pins.bearing", "pins.phi_b"),
        title="Bearing of pin and plate",
        formula="Pu <= phi_b 1.5 t D Fy",
        inputs=(
            Quantity("t", joint.thinnest, "m"),
            Quantity("D", joint.diameter, "m"),
            Quantity("Fy", joint.bearing_fy, "Pa"),
        ),
        result=Quantity("Pu", force / 2.0, "N"),
        limit=Quantity("phi Rn", limit, "N"),
        utilisation=force / 2.0 / limit,
    )


def service_bearing(values: Values, pressure: float, fy: float, *, turning: bool = True) -> Line:
    """Projected pressure (Pa) in service: 0.40 Fy of pins that turn, 0.80 Fy of others."""
    name = "pins.allowable.turning" if turning else "pins.allowable.still"
    limit = values.number(name) * fy
    return state(
        values,
        (name,),
        title="Bearing of the pin in service",
        formula="P/(t D) <= 0.40 Fy" if turning else "P/(t D) <= 0.80 Fy",
        inputs=(Quantity("Fy", fy, "Pa"),),
        result=Quantity("P/(t D)", pressure, "Pa"),
        limit=Quantity("Fp", limit, "Pa"),
        utilisation=pressure / limit,
    )
