"""A bearing as made, held against a demand: the same checks as when it was designed."""

import pytest
from sliding_cases import basis, demand

from bedstone.bearings import catalogue, selection
from bedstone.bearings.base import Design

#: Function, family and size of the demand that each kind can serve; our own invention.
SERVED = {
    "single roller": ("guided along", "eurocode", {"rx": 0.0, "H": 30e3}),
    "roller nest": ("guided along", "eurocode", {"rx": 0.0, "ry": 0.0, "H": 30e3}),
    "hardened roller": ("guided along", "eurocode", {"rx": 0.0, "H": 30e3}),
    "rocker on nest": ("guided along", "eurocode", {"rx": 0.0, "H": 30e3}),
    "line rocker": ("fixed", "eurocode", {"rx": 0.0}),
    "point rocker": ("fixed", "eurocode", {}),
    "pin": ("fixed", "eurocode", {"rx": 0.0}),
    "laminated elastomeric": ("elastic", "eurocode", {"N": 1000e3, "v": 0.01, "ry": 0.002}),
    "pot": ("guided along", "eurocode", {}),
    "pot on slide": ("guided along", "eurocode", {}),
    "spherical": ("guided along", "eurocode", {}),
    "cylindrical": ("guided along", "eurocode", {"rx": 0.0}),
    "disc": ("guided along", "aashto", {}),
    "plane sliding": ("guided along", "eurocode", {"rx": 0.0, "ry": 0.0}),
    "guide": ("guided along", "eurocode", {"N": 0.0}),
    "uplift restraint": ("guided along", "eurocode", {"N": -100e3, "uplift": 100e3}),
}


def made(kind):
    function, family, changes = SERVED[kind]
    wanted, on = demand(function, **changes), basis(family)
    found = selection.size(wanted, on, kind)
    assert found.design is not None, found.refusal
    return found.design, wanted, on


def uses(design: Design):
    return sorted((line.part, line.title, line.utilisation or 0.0) for line in design.lines)


def test_every_kind_is_tried():
    assert set(SERVED) == set(catalogue.kinds())


@pytest.mark.parametrize("kind", SERVED)
def test_the_same_demand_gives_the_same_checks(kind):
    design, wanted, on = made(kind)
    again = selection.recheck(design, wanted, on).design
    assert again is not None
    assert [line[:2] for line in uses(again)] == [line[:2] for line in uses(design)]
    assert [line[2] for line in uses(again)] == pytest.approx([x[2] for x in uses(design)])
    assert again.bearing == design.bearing
    assert again.mass == pytest.approx(design.mass)


@pytest.mark.parametrize("kind", [kind for kind in SERVED if kind != "uplift restraint"])
def test_twice_the_demand_is_too_much(kind):
    function, _, changes = SERVED[kind]
    design, _, on = made(kind)
    twice = {"N": 3000e3, "H": 150e3, "v": 0.04} | changes
    twice = {name: value * 2.5 if name in "NHv" else value for name, value in twice.items()}
    again = selection.recheck(design, demand(function, **twice), on)
    assert not again.passes
    assert again.design is not None
    assert again.design.utilisation > design.utilisation


def test_a_seat_that_pulls_is_refused_before_any_check():
    design, _, on = made("pot")
    again = selection.recheck(design, demand(uplift=50e3), on)
    assert again.design is None
    assert "pulled up" in again.refusal.reason
