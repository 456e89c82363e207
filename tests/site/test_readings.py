"""Readings in order."""

import datetime as dt

from bedstone.site.readings import Reading, by_seat, values_at


def reading(seat: str, day: int, value: float) -> Reading:
    time = dt.datetime(2026, 5, day, tzinfo=dt.UTC)
    return Reading(seat, "offset along", "", value, "", time, 12.0, "me", "", "f.csv", day)


def test_by_seat_and_time() -> None:
    found = by_seat([reading("A2", 3, 3.0), reading("A1", 2, 2.0), reading("A2", 1, 1.0)])
    assert {seat: [item.value for item in items] for seat, items in found.items()} == {
        "A1": [2.0], "A2": [1.0, 3.0],
    }  # fmt: skip


def test_values_of_one_visit() -> None:
    readings = [reading("A1", 1, 1.0), reading("A1", 2, 2.0), reading("A2", 1, 3.0)]
    found = values_at(readings, "A1", dt.datetime(2026, 5, 1, tzinfo=dt.UTC))
    assert {key: item.value for key, item in found.items()} == {("offset along", ""): 1.0}
