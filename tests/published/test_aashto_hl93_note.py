"""HL-93 vehicles against teaching notes.

Sources: "HL-93 AASHTO Vehicular Live Loading", note of EngineeringCivil.org; "AASHTO HL-93 loading
design", aboutcivil.org. Both give customary and SI figures.
"""

import pytest

from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

KIP, FEET = 4448.2216152605, 0.3048


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
def test_design_truck(units, force, length, axles, spacing, most):
    truck = traffic.design_truck(Values("aashto"), facts(units))
    assert [axle.force / force for axle in truck.axles] == pytest.approx(axles)
    assert truck.axles[1].position / length == pytest.approx(spacing)
    index, gaps = truck.spread
    assert index == 1
    assert min(gaps) / length == pytest.approx(spacing)
    assert max(gaps) / length == pytest.approx(most)


@pytest.mark.parametrize(
    ("units", "force", "length", "axle", "spacing", "track"),
    [("us", KIP, FEET, 25, 4, 6), ("si", 1e3, 1.0, 110, 1.2, 1.8)],
)
def test_design_tandem(units, force, length, axle, spacing, track):
    tandem = traffic.design_tandem(Values("aashto"), facts(units))
    assert [one.force / force for one in tandem.axles] == pytest.approx([axle, axle])
    assert tandem.axles[1].position / length == pytest.approx(spacing)
    assert tandem.track / length == pytest.approx(track)


@pytest.mark.parametrize(
    ("units", "load", "width"), [("us", 0.64 * KIP / FEET, 10 * FEET), ("si", 9300.0, 3.0)]
)
def test_lane_load(units, load, width):
    (model,) = traffic.hl93(Values("aashto"), facts(units))
    lane = model.placements[0].lanes[0]
    assert lane.uniform * lane.uniform_width == pytest.approx(load)
    assert lane.uniform_width == pytest.approx(width)
