"""Each formula of plates, anchors, welds, joints and pins holds in its units.

Lengths are scaled by a factor and forces by its square, so that stresses stay: the utilisation must
stay too, and results must follow the unit that stands in their line, whose powers pint tells.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pint
import pytest

from bedstone.standards.aashto import anchors as aashto_anchors
from bedstone.standards.aashto import joints as aashto_joints
from bedstone.standards.aashto import pins as aashto_pins
from bedstone.standards.aashto import plates as aashto_plates
from bedstone.standards.aashto import welds as aashto_welds
from bedstone.standards.eurocode import joints as en_joints
from bedstone.standards.eurocode import pins as en_pins
from bedstone.standards.eurocode import plates as en_plates
from bedstone.standards.eurocode import welds as en_welds
from bedstone.standards.fasteners import Fastener, Fillet, PinJoint, Ply
from bedstone.standards.irc import anchors as irc_anchors
from bedstone.standards.irc import joints as irc_joints
from bedstone.standards.irc import pins as irc_pins
from bedstone.standards.irc import plates as irc_plates
from bedstone.standards.irc import welds as irc_welds
from bedstone.standards.record import Line
from bedstone.standards.values import Values

EN, AASHTO, IRC = Values("eurocode"), Values("aashto"), Values("irc")

# Lengths scaled by a and forces by a^2 leave stresses as they are: a formula whose dimensions are
# wrong does not keep its utilisation.
SCALE = 1.7


def joint(a: float) -> PinJoint:
    return PinJoint(0.1 * a, 0.101 * a, 0.09 * a, 0.045 * a, 0.002 * a, 345e6, 470e6, 335e6, 210e9)


def bolt(a: float) -> Fastener:
    return Fastener(0.024 * a, 353e-6 * a**2, 240e6, 400e6)


def ply(a: float) -> Ply:
    return Ply(0.02 * a, 235e6, 360e6)


def fillet(a: float) -> Fillet:
    return Fillet(0.006 * a, 360e6, "S235")


#: A rule as a function of the scale of length; forces grow with its square.
RULES: dict[str, Callable[[float], Line]] = {
    **{
        f"EN pin {rule.__name__}": lambda a, rule=rule: rule(EN, 1e6 * a**2, joint(a))
        for rule in (en_pins.shear, en_pins.bearing, en_pins.bending, en_pins.combined,
                     en_pins.service_bearing, en_pins.service_bending, en_pins.contact)
    },
    **{
        f"AASHTO pin {rule.__name__}": lambda a, rule=rule: rule(AASHTO, 1e6 * a**2, joint(a))
        for rule in (aashto_pins.combined, aashto_pins.bearing)
    },
    **{
        f"IRC pin {rule.__name__}": lambda a, rule=rule: rule(IRC, 1e6 * a**2, joint(a))
        for rule in (irc_pins.shear, irc_pins.bearing, irc_pins.bending, irc_pins.combined)
    },
    **{
        f"{values.family} {rule.__name__}": lambda a, rule=rule, values=values: rule(
            values, 1e5 * a**2, 0.05 * a, 335e6
        )
        for values, rule in (
            (EN, en_plates.bending), (AASHTO, aashto_plates.bending), (IRC, irc_plates.bending),
            (IRC, irc_plates.working_bending),
        )
    },
    **{
        f"{values.family} weld {rule.__name__}": lambda a, rule=rule, values=values: rule(
            values, 1e6 * a, fillet(a)
        )
        for values, rule in (
            (EN, en_welds.fillet), (AASHTO, aashto_welds.fillet), (IRC, irc_welds.fillet),
            (IRC, irc_welds.working_fillet),
        )
    },
    **{
        f"{values.family} {rule.__name__}": lambda a, rule=rule, values=values: rule(
            values, 2e4 * a**2, 1e4 * a**2, bolt(a), ply(a)
        )
        for values, rule in (
            (EN, en_joints.fitted_bolt), (AASHTO, aashto_joints.fitted_bolt),
            (IRC, irc_joints.fitted_bolt), (IRC, irc_joints.working_fitted_bolt),
        )
    },
    **{
        f"{values.family} {rule.__name__}": lambda a, rule=rule, values=values: rule(
            values, 2e4 * a**2, 1e4 * a**2, bolt(a)
        )
        for values, rule in (
            (AASHTO, aashto_anchors.anchor), (IRC, irc_anchors.anchor),
            (IRC, irc_anchors.working_anchor),
        )
    },
}  # fmt: skip


@pytest.mark.parametrize("name", RULES)
def test_utilisation_does_not_depend_on_the_unit_of_length(name: str) -> None:
    one, other = RULES[name](1.0).utilisation, RULES[name](SCALE).utilisation
    assert one is not None
    assert one > 0.0
    assert other == pytest.approx(one, rel=1e-9)


@pytest.mark.parametrize("name", RULES)
def test_result_and_limit_have_the_unit_they_claim(name: str) -> None:
    # pint tells the power of length and force of the unit that stands in the line.
    registry = pint.UnitRegistry()
    one, other = RULES[name](1.0), RULES[name](SCALE)
    for first, second in ((one.result, other.result), (one.limit, other.limit)):
        assert first is not None
        assert second is not None
        unit: Any = registry.Quantity(1.0, first.unit or "dimensionless").to_base_units()
        power = dict(unit.dimensionality)
        force = power.get("[mass]", 0)
        # A force is mass length/time^2: the length left over is that of the unit besides forces.
        length = power.get("[length]", 0) - force
        assert second.value / first.value == pytest.approx(SCALE ** (2 * force + length), rel=1e-9)
        assert first.unit == second.unit
        assert math.isfinite(first.value)
