"""Braking force of a 40 m span with three lanes against a calculation sheet.

Source: "Braking Force Calculation (AASHTO LRFD 2012 3.6.4)", published calculation sheet. The
sheet does not multiply its lane rules by lanes and multiple presence; they do not govern, and are
compared here lane by lane.
"""

import pytest

from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

SOURCE = "Braking Force Calculation (AASHTO LRFD 2012, 3.6.4), calculation sheet"
KNOWN = "read there"
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


def test_three_lanes_with_multiple_presence(published, line):
    inputs = {quantity.symbol: quantity.value for quantity in line.inputs}
    published("lanes", 3, inputs["n"], abs=0)
    published("multiple presence", 0.85, inputs["m"], abs=0)
    published("braking force of three lanes", 45.90, line.value / KIP, "kip", abs=0.005)


def test_lane_rules(published, line):
    inputs = {quantity.symbol: quantity.value / KIP for quantity in line.inputs}
    published("5 % of truck and lane, one lane", 7.80, inputs["truck + lane"], "kip", abs=0.005)
    published("5 % of tandem and lane, one lane", 6.70, inputs["tandem + lane"], "kip", abs=0.005)


def test_force_and_couple_of_each_of_twelve_bearings(published, line):
    each = line.value / 12 / KIP
    published("each of 12 bearings", 3.825, each, "kip", abs=0.0005)
    facts_height = Values("aashto").number("traffic.braking.height.us") / FEET
    arm = facts_height + 0.33 + 0.33 + 6.56  # feet: surfacing, haunch and girder of the sheet
    published("arm of the force above the bearings", 13.22, arm, "ft")
    published("moment of each bearing", 50.56, each * arm, "kip ft", abs=0.02)
    couple = each * arm * FEET / 40.0
    published("vertical couple of each bearing", 0.39, couple, "kip", abs=0.006)
