"""IRC: pins and knuckles by the working stresses of IRC:83-III 2002, 926.2.2."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.fasteners import PinJoint
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def shear(values: Values, force: float, joint: PinJoint) -> Line:
    """Mean shear stress in each of two planes under the working force (N): 0.45 fy."""
    return _stress(
        values, "shear", "Shear of the pin", "F/(2 A)", force / 2.0 / joint.area, joint.fy
    )


def bending(values: Values, force: float, joint: PinJoint) -> Line:
    """Bending stress of the pin, M = F/8 (b + 4 c + 2 a): 0.66 fy."""
    stress = joint.moment(force) / joint.modulus
    return _stress(values, "bending", "Bending of the pin", "M/W", stress, joint.fy)


def bearing(values: Values, force: float, joint: PinJoint) -> Line:
    """Projected pressure of pin and plate: 0.75 fy of the weaker."""
    return pressure(values, force / 2.0 / (joint.diameter * joint.thinnest), joint.bearing_fy)


def pressure(values: Values, projected: float, fy: float) -> Line:
    """A projected pressure (Pa) of pin or knuckle: 0.75 fy."""
    return _stress(values, "bearing", "Bearing of pin or knuckle", "F/(d t)", projected, fy)


def combined(values: Values, force: float, joint: PinJoint) -> Line:
    """Equivalent stress of bending and shear, sqrt(sigma^2 + 3 tau^2): 0.90 fy."""
    sigma, tau = joint.moment(force) / joint.modulus, force / 2.0 / joint.area
    return _stress(
        values,
        "combined",
        "Bending and shear of the pin",
        "sqrt(sigma^2 + 3 tau^2)",
        math.sqrt(sigma**2 + 3.0 * tau**2),
        joint.fy,
    )


def _stress(values: Values, which: str, title: str, formula: str, stress: float, fy: float) -> Line:
    name = f"pins.working.{which}"
    share = values.number(name)
    return state(
        values,
        (name,),
        title=title,
        formula=f"{formula} <= {share:g} fy",
        inputs=(Quantity("fy", fy, "Pa"),),
        result=Quantity("sigma", stress, "Pa"),
        limit=Quantity("allowed", share * fy, "Pa"),
        utilisation=stress / (share * fy),
    )
