"""Braking force of a 40 m span with three lanes against a calculation sheet.

Source: "Braking Force Calculation (AASHTO LRFD 2012 3.6.4)", published calculation sheet. The
sheet does not multiply its lane rules by lanes and multiple presence; they do not govern, and are
compared here lane by lane.
"""

import pytest

from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

KIP, FEET = 4448.2216152605, 0.3048


@pytest.fixture
def line():
    facts = BridgeFacts(
        use="road",
        deck_type="concrete",
        superstructure="girders",
        spans=(40.0,),
        unit_length=40.0,
        carriageway=(-5.6, 5.6),
        deck_width=12.0,
        deck_depth=2.0,
        choices={"units": "us"},
    )
    return traffic.braking_line(Values("aashto"), facts)


def test_three_lanes_with_multiple_presence(line):
    inputs = {quantity.symbol: quantity.value for quantity in line.inputs}
    assert inputs["n"] == 3
    assert inputs["m"] == 0.85
    assert line.value / KIP == pytest.approx(45.90, abs=0.005)


def test_lane_rules(line):
    inputs = {quantity.symbol: quantity.value / KIP for quantity in line.inputs}
    assert inputs["truck + lane"] == pytest.approx(7.80, abs=0.005)
    assert inputs["tandem + lane"] == pytest.approx(6.70, abs=0.005)


def test_force_and_couple_of_each_of_twelve_bearings(line):
    each = line.value / 12 / KIP
    assert each == pytest.approx(3.825, abs=0.0005)
    facts_height = Values("aashto").number("traffic.braking.height.us") / FEET
    arm = facts_height + 0.33 + 0.33 + 6.56  # feet: surfacing, haunch and girder of the sheet
    assert arm == pytest.approx(13.22)
    assert each * arm == pytest.approx(50.56, abs=0.02)
    assert each * arm * FEET / 40.0 == pytest.approx(0.39, abs=0.006)
