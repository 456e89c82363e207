"""Every number of the rules of plates, concrete, anchors, welds, joints and pins is read."""

from __future__ import annotations

from itertools import product

import pytest

from bedstone.bearings.base import Basis
from bedstone.bearings.common.rules import method, rules
from bedstone.bearings.common.seating import Seating, SeatingCase, check_seating, size_seating
from bedstone.standards.aashto import pins as aashto_pins
from bedstone.standards.aashto import uplift
from bedstone.standards.eurocode import pins as en_pins
from bedstone.standards.fasteners import Fastener, Fillet, PinJoint, Ply
from bedstone.standards.irc import pins as irc_pins
from bedstone.standards.values import Values, load_pack

FILES = {"plates", "concrete", "anchors", "welds", "joints", "pins", "uplift"}
JOINT = PinJoint(0.1, 0.101, 0.09, 0.045, 0.002, 345e6, 470e6, 345e6, 210e9)


@pytest.mark.parametrize("family", ["eurocode", "aashto", "irc"])
def test_every_value_is_read_by_a_rule(family) -> None:
    values = Values(family)
    bolt = Fastener(0.024, 353e-6, 240e6, 400e6)
    for state, grade in product(
        ("ULS persistent", "ULS seismic", "SLS characteristic"), ("S235", "S275", "S355", "S460")
    ):
        rule = rules(family, state)
        for site in (False, True):
            rule.fillet(values, 1e5, Fillet(0.005, 360e6, grade, site))
        rule.bolt(values, 1e4, 1e4, bolt, Ply(0.02, 235e6, 360e6))
        rule.anchor(values, 1e4, 1e4, bolt)
        rule.dowel(values, 1e4, bolt)
        rule.stress(values, 1e8, 235e6, "stress")
        if rule.grip is not None:
            for surface in ("steel", "concrete"):
                rule.grip(values, 1e6, surface, dynamic=False)
        basis = Basis(family, values, plinth=(1.0, 1.0))
        for ex in (0.0, 0.05):
            size_seating(
                [SeatingCase(state, "a", 1e6, ex=ex)], basis,
                least_length=0.4, least_width=0.4, part="p", connected="concrete",
            )  # fmt: skip
        # Dowels and no anchors.
        plate = Seating(0.5, 0.5, 0.05, "S355", dowels=2, dowel=0.05)
        check_seating(plate, [SeatingCase(state, "a", 1e6, 1e6)], basis, part="p",
                      connected="concrete")  # fmt: skip
    match family:
        case "eurocode":
            for rule_ in (en_pins.shear, en_pins.bearing, en_pins.bending, en_pins.combined):
                rule_(values, 1e6, JOINT)
            for rule_ in (en_pins.service_bearing, en_pins.service_bending, en_pins.contact):
                rule_(values, 1e6, JOINT)
            en_pins.least_edges(values, 1e6, JOINT, 0.05)
        case "aashto":
            aashto_pins.combined(values, 1e6, JOINT)
            aashto_pins.bearing(values, 1e6, JOINT)
            for turning in (True, False):
                aashto_pins.service_bearing(values, 1e6, 345e6, turning=turning)
            uplift.tie_down(values, 1e6)
            uplift.hold_down(values, 1e6, 2e6)
        case "irc":
            for rule_ in (irc_pins.shear, irc_pins.bearing, irc_pins.bending, irc_pins.combined):
                rule_(values, 1e6, JOINT)
    mine = {name for name in load_pack(family) if name.partition(".")[0] in FILES}
    assert mine
    assert sorted(mine - set(values.used)) == []


def test_serviceability_cases_of_the_irc_take_working_stresses() -> None:
    assert method("irc", "SLS characteristic") == "working stress"
    assert method("irc", "ULS persistent") == "limit state"
    assert method("eurocode", "SLS characteristic") == "limit state"
    assert method("aashto", "SLS characteristic") == "limit state"
