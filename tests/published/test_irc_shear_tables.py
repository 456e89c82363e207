"""Greatest end shear of simple spans under Class A (two lanes) and Class 70R wheeled, in tonnes.

Source: scanned tables of bending moments and shear forces for IRC live loads (public document).
Only rows whose figures are fully legible are used; which table belongs to which loading was told
from the figures, as the headings are not legible. Tables are in tonnes of 10 kN.
"""

import pytest

from bedstone.standards.irc import trains
from bedstone.standards.values import Values

SOURCE = "Tables of bending moments and shear forces for IRC live loads, scan"
KNOWN = "read there"
VALUES = Values("irc")


def end_shear(train, span):
    """End shear (t): each axle over the support in turn, those before it off the span."""
    ahead = [(axle.position, axle.force) for axle in train.axles]
    back = train.axles[-1].position
    behind = [(back - place, force) for place, force in ahead]
    return (
        max(
            sum(f * (1 - (x - at) / span) for x, f in places if 0.0 <= x - at <= span)
            for places in (ahead, behind)
            for at, _ in places
        )
        / 10e3
    )


@pytest.mark.parametrize(
    ("span", "shear"), [(19.5, 70.699), (25.5, 77.593), (27.0, 78.838), (34.5, 83.438)]
)
def test_two_lanes_of_class_a(published, span, shear):
    found = 2 * end_shear(trains.class_a(VALUES), span)
    published(f"two lanes of Class A, {span:g} m", shear, found, "t", abs=0.002)


@pytest.mark.parametrize(
    ("span", "shear"), [(12.0, 58.234), (21.0, 75.600), (22.5, 77.227), (25.5, 79.905)]
)
def test_class_70r_wheeled(published, span, shear):
    found = end_shear(trains.wheeled_70r(VALUES), span)
    published(f"70R wheeled, {span:g} m", shear, found, "t", abs=0.0025)
