"""Axle data of Class A and Class 70R wheeled.

Source: Indian Association of Structural Engineers, commentary on IRC:6-2017, worked example 211-3
(text of the figures). Tracked vehicles: a published bridge slab design sheet.
"""

import pytest

from bedstone.standards.irc import trains
from bedstone.standards.values import Values

VALUES = Values("irc")


@pytest.mark.parametrize(
    ("train", "total", "length", "follow"),
    [
        (trains.class_a(VALUES), 554.0, 18.8, 20.0),
        (trains.wheeled_70r(VALUES), 1000.0, 13.40, 30.0),
    ],
)
def test_total_and_length(train, total, length, follow):
    assert sum(axle.force for axle in train.axles) / 1e3 == pytest.approx(total)
    assert train.axles[-1].position - train.axles[0].position == pytest.approx(length)
    assert train.follow == follow


@pytest.mark.parametrize(
    ("train", "length"), [(trains.tracked_70r(VALUES), 4.57), (trains.tracked_aa(VALUES), 3.60)]
)
def test_tracked(train, length):
    (strip,) = train.axles
    assert strip.force / 1e3 == pytest.approx(2 * 350.0)
    assert strip.length == pytest.approx(length)
