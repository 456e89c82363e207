"""Bearings checked with their measured sizes."""

import pytest

from bedstone.bearings.asked import basis_of
from bedstone.site.inspection.measured import _with_contact, capacity, drawn
from bedstone.standards.values import Values


def made(truss, mark):
    """Design, demand and basis of a seat."""
    own = next(item for item in truss.designs if item.seat == mark)
    values = Values("eurocode", {})
    return own.choice.design, own.demand, basis_of(truss.prepared.bridge, "eurocode", values)


def pair(found, title, part):
    """Utilisations of a check before and after."""
    return next(
        (old.utilisation, new.utilisation)
        for old, new in found.changed
        if old.title == title and old.part == part
    )


def test_a_worn_roller_resists_by_its_diameter(truss):
    # EN 1337-4: resistance per length 23 R fu2/Ed, proportional to the radius (from memory)
    found = capacity(*made(truss, "A2-1"), {"diameter": 0.150})
    before, after = pair(found, "Line contact", "roller")
    assert after == pytest.approx(before * 0.160 / 0.150, rel=0.01)
    assert found.worse
    assert found.after.title == "Line contact"


def test_a_shorter_line_of_contact_carries_more_per_length(truss):
    found = capacity(*made(truss, "A1-1"), {"contact": 0.85})
    before, after = pair(found, "Line contact", "rocker")
    # N over the length, with a moment across that grows a little more than that
    assert before / 0.85 * 0.999 < after < before / 0.85**2
    assert [size.name for size in found.sizes] == ["contact"]


def test_sizes_as_drawn_change_nothing(truss):
    found = capacity(*made(truss, "A2-1"), {"diameter": 0.160, "knuckle_thickness": 0.065})
    assert found.changed == ()
    assert found.after.utilisation == pytest.approx(found.before.utilisation)
    assert found.holds
    assert not found.worse


def test_a_full_roller_stays_full_and_keeps_its_other_sizes(truss):
    design, demand, basis = made(truss, "A2-1")
    assert drawn(design.bearing, "width") == pytest.approx(0.16)
    assert drawn(design.bearing, "length") == pytest.approx(0.87)
    assert drawn(design.bearing, "wings") is None
    larger = capacity(design, demand, basis, {"diameter": 0.165})
    assert larger.refusal == ""


def test_what_cannot_be_put_in_is_told(truss):
    found = capacity(*made(truss, "A2-2"), {"contact": 0.8, "pad.thickness": 0.020})
    assert [size.name for size in found.sizes] == ["pad.thickness"]
    assert "contact" in found.untold[0]


def test_nothing_measured_gives_nothing(truss):
    assert capacity(*made(truss, "A2-1"), {}) is None


def test_sizes_within_tolerance_count_as_drawn(truss):
    assert truss.seat("A2-1", {"diameter/middle": 0.1598, "contact": 0.97}).capacity is None
    worn = truss.seat("A2-1", {"diameter/middle": 0.1575, "contact": 0.97}).capacity
    assert [size.name for size in worn.sizes] == ["diameter"]


def test_half_of_the_contact_is_half_of_the_length_that_carries(truss):
    design, demand, basis = made(truss, "A2-1")
    # a groove does not carry: half of the contact is half of the rest
    own = design.bearing.rollers
    half = _with_contact(design.bearing, 0.5).rollers
    assert half.carrying == pytest.approx(0.5 * own.carrying)
    rocker = next(d for d in truss.designs if d.seat == "A1-1").choice.design.bearing
    assert _with_contact(rocker, 0.5).rocker.carrying == pytest.approx(0.5 * rocker.rocker.carrying)
    assert capacity(design, demand, basis, {"contact": 0.5}).worse
