"""End reaction of a simple span under one lane of HL-93, no impact, no multiple presence.

Source: "Bridge and Highway Structure Rehabilitation and Repair", table on page 167 (kip per lane).
"""

import pytest

from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values

SOURCE = "Bridge and Highway Structure Rehabilitation and Repair, table on page 167"
KNOWN = "read there"
KIP, FEET = 4448.2216152605, 0.3048


@pytest.mark.parametrize(
    ("span", "lane", "truck_and_lane"),
    [
        (70, 22.4, 84.8),
        (90, 28.8, 93.33),
        (100, 32.0, 97.28),
        (120, 38.4, 104.8),
        (130, 41.6, 108.43),
        (150, 48.0, 115.52),
        (160, 51.2, 119.0),
        (180, 57.6, 125.86),
    ],
)
def test_end_reaction(published, span, lane, truck_and_lane):
    L = span * FEET
    facts = BridgeFacts(
        use="road",
        deck_type="composite",
        superstructure="girders",
        spans=(L,),
        unit_length=L,
        carriageway=(-5.5, 5.5),
        deck_width=12.0,
        deck_depth=2.0,
        choices={"units": "us"},
    )
    (model,) = traffic.hl93(Values("aashto"), facts)
    load = model.placements[0].lanes[0]
    truck, _ = load.trains
    # Rear axle over the support, statics of a simple span.
    back = truck.axles[-1].position
    reaction = sum(axle.force * (L - (back - axle.position)) / L for axle in truck.axles)
    uniform = load.uniform * load.uniform_width * L / 2
    published(f"lane load, {span} ft", lane, uniform / KIP, "kip", abs=0.001)
    together = (reaction + uniform) / KIP
    published(f"truck and lane load, {span} ft", truck_and_lane, together, "kip", abs=0.02)
