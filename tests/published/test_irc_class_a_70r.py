"""Axle data of Class A and Class 70R wheeled.

Source: Indian Association of Structural Engineers, commentary on IRC:6-2017, worked example 211-3
(text of the figures). Tracked vehicles: a published bridge slab design sheet.
"""

import pytest

from bedstone.standards.irc import trains
from bedstone.standards.values import Values

SOURCE = "Indian Association of Structural Engineers, commentary on IRC:6-2017, example 211-3"
TRACKS = "Bridge slab design sheet: tracked vehicles of IRC:6"
KNOWN = "read there"
VALUES = Values("irc")


@pytest.mark.parametrize(
    ("train", "total", "length", "follow"),
    [
        (trains.class_a(VALUES), 554.0, 18.8, 20.0),
        (trains.wheeled_70r(VALUES), 1000.0, 13.40, 30.0),
    ],
)
def test_total_and_length(published, train, total, length, follow):
    weight = sum(axle.force for axle in train.axles) / 1e3
    published(f"{train.name}, total of the axles", total, weight, "kN")
    found = train.axles[-1].position - train.axles[0].position
    published(f"{train.name}, first to last axle", length, found, "m")
    published(f"{train.name}, distance to the next", follow, train.follow, "m", abs=0)


@pytest.mark.parametrize(
    ("train", "length"), [(trains.tracked_70r(VALUES), 4.57), (trains.tracked_aa(VALUES), 3.60)]
)
def test_tracked(published, train, length):
    (strip,) = train.axles
    weight = strip.force / 1e3
    published(f"{train.name}, both tracks", 2 * 350.0, weight, "kN", source=TRACKS)
    published(f"{train.name}, length of the tracks", length, strip.length, "m", source=TRACKS)
