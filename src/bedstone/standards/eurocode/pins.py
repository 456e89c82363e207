"""EN 1993-1-8, 3.13: pins with one middle and two outer plates. Forces N, of the whole joint."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import PinJoint
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def shear_resistance(values: Values, joint: PinJoint) -> float:
    """Fv,Rd = 0.6 A fup/gamma_M2 (N) of one shear plane."""
    return values.number("pins.shear") * joint.area * joint.fu / values.number("pins.gamma_M2")


def bearing_resistance(values: Values, joint: PinJoint, thickness: float) -> float:
    """Fb,Rd = 1.5 t d fy/gamma_M0 (N) of one plate of `thickness` (m)."""
    return (
        values.number("pins.bearing")
        * thickness
        * joint.diameter
        * joint.bearing_fy
        / values.number("pins.gamma_M0")
    )


def bending_resistance(values: Values, joint: PinJoint) -> float:
    """M_Rd = 1.5 Wel fyp/gamma_M0 (N m)."""
    return values.number("pins.bending") * joint.modulus * joint.fy / values.number("pins.gamma_M0")


def shear(values: Values, force: float, joint: PinJoint) -> Line:
    """Shear of the pin, half the force in each of two planes."""
    return _line(
        values,
        ("pins.shear", "pins.gamma_M2"),
        "Shear of the pin",
        "Fv,Ed <= 0.6 A fup/gamma_M2",
        (Quantity("A", joint.area, "m**2"), Quantity("fup", joint.fu, "Pa")),
        Quantity("Fv,Ed", force / 2.0, "N"),
        Quantity("Fv,Rd", shear_resistance(values, joint), "N"),
    )


def bearing(values: Values, force: float, joint: PinJoint) -> Line:
    """Bearing of the plate thinnest for its share: an outer one or half the middle one."""
    return _line(
        values,
        ("pins.bearing", "pins.gamma_M0"),
        "Bearing of pin and plate",
        "Fb,Ed <= 1.5 t d fy/gamma_M0",
        _bearing_inputs(joint),
        Quantity("Fb,Ed", force / 2.0, "N"),
        Quantity("Fb,Rd", bearing_resistance(values, joint, joint.thinnest), "N"),
    )


def bending(values: Values, force: float, joint: PinJoint) -> Line:
    """Bending of the pin, M = F/8 (b + 4 c + 2 a)."""
    return _line(
        values,
        ("pins.bending", "pins.gamma_M0"),
        "Bending of the pin",
        "F/8 (b + 4 c + 2 a) <= 1.5 Wel fyp/gamma_M0",
        _bending_inputs(force, joint),
        Quantity("M_Ed", joint.moment(force), "N*m"),
        Quantity("M_Rd", bending_resistance(values, joint), "N*m"),
    )


def combined(values: Values, force: float, joint: PinJoint) -> Line:
    """(M/M_Rd)^2 + (Fv/Fv,Rd)^2 <= 1."""
    m = joint.moment(force) / bending_resistance(values, joint)
    v = force / 2.0 / shear_resistance(values, joint)
    return _line(
        values,
        ("pins.bending", "pins.shear", "pins.gamma_M0", "pins.gamma_M2"),
        "Bending and shear of the pin",
        "(M_Ed/M_Rd)^2 + (Fv,Ed/Fv,Rd)^2 <= 1",
        (Quantity("M_Ed/M_Rd", m, ""), Quantity("Fv,Ed/Fv,Rd", v, "")),
        Quantity("sum", m**2 + v**2, ""),
        Quantity("limit", 1.0, ""),
    )


def service_bearing(values: Values, force: float, joint: PinJoint) -> Line:
    """Bearing under the characteristic force of a pin that can be replaced."""
    limit = (
        values.number("pins.bearing.service")
        * joint.thinnest
        * joint.diameter
        * joint.bearing_fy
        / values.number("pins.gamma_M6")
    )
    return _line(
        values,
        ("pins.bearing.service", "pins.gamma_M6"),
        "Bearing of pin and plate in service",
        "Fb,Ed,ser <= 0.6 t d fy/gamma_M6,ser",
        _bearing_inputs(joint),
        Quantity("Fb,Ed,ser", force / 2.0, "N"),
        Quantity("Fb,Rd,ser", limit, "N"),
    )


def service_bending(values: Values, force: float, joint: PinJoint) -> Line:
    """Bending under the characteristic force of a pin that can be replaced."""
    limit = (
        values.number("pins.bending.service")
        * joint.modulus
        * joint.fy
        / values.number("pins.gamma_M6")
    )
    return _line(
        values,
        ("pins.bending.service", "pins.gamma_M6"),
        "Bending of the pin in service",
        "F/8 (b + 4 c + 2 a) <= 0.8 Wel fyp/gamma_M6,ser",
        _bending_inputs(force, joint),
        Quantity("M_Ed,ser", joint.moment(force), "N*m"),
        Quantity("M_Rd,ser", limit, "N*m"),
    )


def contact(values: Values, force: float, joint: PinJoint) -> Line:
    """Contact stress of a pin that can be replaced, of the plate with least thickness (3.15)."""
    stress = values.number("pins.contact") * math.sqrt(
        joint.E * force / 2.0 * (joint.hole - joint.diameter) / (joint.diameter**2 * joint.thinnest)
    )
    limit = values.number("pins.contact.limit") * joint.bearing_fy / values.number("pins.gamma_M6")
    return _line(
        values,
        ("pins.contact", "pins.contact.limit", "pins.gamma_M6"),
        "Contact stress of pin and plate in service",
        "0.591 sqrt(E F_ser (d0 - d)/(d^2 t)) <= 2.5 fy/gamma_M6,ser",
        (*_bearing_inputs(joint), Quantity("d0", joint.hole, "m"), Quantity("E", joint.E, "Pa")),
        Quantity("sigma_h", stress, "Pa"),
        Quantity("f_h,Rd", limit, "Pa"),
    )


def least_edges(
    values: Values, force: float, joint: PinJoint, thickness: float
) -> tuple[float, float]:
    """Least plate (m) beyond the hole along and across a `force` (N) that pulls on one plate.

    a >= F gamma_M0/(2 t fy) + 2 d0/3, c >= F gamma_M0/(2 t fy) + d0/3 (Table 3.9, type A).
    """
    factor, along, across = values.row("pins.plate")
    strip = force * values.number("pins.gamma_M0") / (factor * thickness * joint.plate_fy)
    return strip + along * joint.hole, strip + across * joint.hole


def _bearing_inputs(joint: PinJoint) -> tuple[Quantity, ...]:
    return (
        Quantity("t", joint.thinnest, "m"),
        Quantity("d", joint.diameter, "m"),
        Quantity("fy", joint.bearing_fy, "Pa"),
    )


def _bending_inputs(force: float, joint: PinJoint) -> tuple[Quantity, ...]:
    return (
        Quantity("F", force, "N"),
        Quantity("a", joint.outer, "m"),
        Quantity("b", joint.middle, "m"),
        Quantity("c", joint.gap, "m"),
        Quantity("Wel", joint.modulus, "m**3"),
        Quantity("fyp", joint.fy, "Pa"),
    )


def _line(
    values: Values,
    names: tuple[str, ...],
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    limit: Quantity,
) -> Line:
    return state(
        values,
        names,
        title=title,
        formula=formula,
        inputs=inputs,
        result=result,
        limit=limit,
        utilisation=result.value / limit.value,
    )
