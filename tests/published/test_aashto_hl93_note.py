"""HL-93 vehicles against teaching notes.

Sources: "HL-93 AASHTO Vehicular Live Loading", note of EngineeringCivil.org; "AASHTO HL-93 loading
design", aboutcivil.org. Both give customary and SI figures.
"""

import pytest

from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

SOURCE = "HL-93 vehicular live loading, teaching notes of EngineeringCivil.org and aboutcivil.org"
KNOWN = "read there"
KIP, FEET = 4448.2216152605, 0.3048
UNITS = {"us": ("kip", "ft"), "si": ("kN", "m")}


def facts(units):
    return BridgeFacts(
        use="road",
        deck_type="composite",
        superstructure="girders",
        spans=(30.0,),
        unit_length=30.0,
        carriageway=(-5.5, 5.5),
        deck_width=12.0,
        deck_depth=2.0,
        choices={"units": units},
    )


@pytest.mark.parametrize(
    ("units", "force", "length", "axles", "spacing", "most"),
    [
        ("us", KIP, FEET, (8, 32, 32), 14, 30),
        ("si", 1e3, 1.0, (35, 145, 145), 4.3, 9.0),
    ],
)
def test_design_truck(published, units, force, length, axles, spacing, most):
    truck = traffic.design_truck(Values("aashto"), facts(units))
    in_force, in_length = UNITS[units]
    found = [axle.force / force for axle in truck.axles]
    published("axles of the design truck", axles, found, in_force)
    first = truck.axles[1].position / length
    published("front and rear axle of the truck", spacing, first, in_length)
    index, gaps = truck.spread
    assert index == 1
    found = [min(gaps) / length, max(gaps) / length]
    published("range of the rear axles of the truck", [spacing, most], found, in_length)


@pytest.mark.parametrize(
    ("units", "force", "length", "axle", "spacing", "track"),
    [("us", KIP, FEET, 25, 4, 6), ("si", 1e3, 1.0, 110, 1.2, 1.8)],
)
def test_design_tandem(published, units, force, length, axle, spacing, track):
    tandem = traffic.design_tandem(Values("aashto"), facts(units))
    in_force, in_length = UNITS[units]
    found = [one.force / force for one in tandem.axles]
    published("axles of the tandem", [axle, axle], found, in_force)
    apart = tandem.axles[1].position / length
    published("spacing of the tandem", spacing, apart, in_length)
    published("track of the tandem", track, tandem.track / length, in_length)


@pytest.mark.parametrize(
    ("units", "force", "length", "load", "width"),
    [("us", KIP, FEET, 0.64, 10), ("si", 1e3, 1.0, 9.3, 3.0)],
)
def test_lane_load(published, units, force, length, load, width):
    (model,) = traffic.hl93(Values("aashto"), facts(units))
    lane = model.placements[0].lanes[0]
    in_force, in_length = UNITS[units]
    uniform = lane.uniform * lane.uniform_width / (force / length)
    published("lane load", load, uniform, f"{in_force}/{in_length}")
    published("width of the lane load", width, lane.uniform_width / length, in_length)
