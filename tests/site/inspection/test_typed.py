"""Readings typed in."""

import datetime as dt

import pytest

from bedstone.errors import InputError
from bedstone.site.inspection.typed import typed_readings, typed_temperature, typed_time
from bedstone.site.inspection.visit import visits

NOW = dt.datetime(2026, 6, 17, 9, tzinfo=dt.UTC)
MARKS = ("A2-1", "A2-2", "A2")


def one(text):
    """The reading of one text."""
    (found,) = typed_readings([text], MARKS, 18.0, NOW)
    return found


@pytest.mark.parametrize(
    ("text", "key", "value", "word"),
    [
        ("A2-1 offset along = 12 mm", ("A2-1", "offset along", ""), 0.012, ""),
        ("A2-1 offset along=-1.2 cm", ("A2-1", "offset along", ""), -0.012, ""),
        ("A2-1  roller offset  left = 6 mm", ("A2-1", "roller offset", "left"), 0.006, ""),
        ("A2 joint gap = 3 in", ("A2", "joint gap", ""), 0.0762, ""),
        ("A2-2 level along = 4 mm/m", ("A2-2", "level along", ""), 0.004, ""),
        ("A2-1 contact = 85%", ("A2-1", "contact", ""), 0.85, ""),
        ("A2-2 pot gap 3 = 8 mm", ("A2-2", "pot gap", "3"), 0.008, ""),
        ("A2-2 size: pot.wall = 19.5 mm", ("A2-2", "size: pot.wall", ""), 0.0195, ""),
        ("A2-1 dirt = in the way of movement", ("A2-1", "dirt", ""), None,
         "in the way of movement"),
    ],
)  # fmt: skip
def test_what_is_read(text, key, value, word):
    found = one(text)
    assert found.key == key
    assert found.value == (None if value is None else pytest.approx(value))
    assert found.word == word
    assert (found.temperature, found.time) == (18.0, NOW)


@pytest.mark.parametrize(
    ("text", "allowed"),
    [
        ("A2-1 offset along", "such as"),
        ("A2-1", "such as"),
        ("A9-1 offset along = 1 mm", "A2-1"),
        ("A2-1 offset upward = 1 mm", "offset along"),
        ("A2-1 offset along left = 1 mm", "nothing"),
        ("A2-1 guide gap = 1 mm", "left, right"),
        ("A2-1 offset along = 12", "mm"),
        ("A2-1 offset along = 12 kN", "mm"),
        ("A2-1 offset along = nan mm", "mm"),
        ("A2-1 offset along = 99999 mm", "1500"),
        ("A2-1 guide gap left = -1 mm", "0 to 200 mm"),
        ("A2-1 dirt = filthy", "clean"),
    ],
)
def test_what_is_refused_and_what_would_do(text, allowed):
    with pytest.raises(InputError) as caught:
        one(text)
    (fault,) = caught.value.faults
    assert allowed in fault.allowed
    assert fault.found


def test_every_fault_at_once_and_nothing_twice():
    texts = ["A9 x = 1 mm", "A2-1 dirt = some", "A2-1 dirt = clean", "A2-1 offset along = x mm"]
    with pytest.raises(InputError) as caught:
        typed_readings(texts, MARKS, None, NOW)
    assert len(caught.value.faults) == 3


def test_temperatures_and_dates():
    assert typed_temperature("18 degC") == pytest.approx(18.0)
    assert typed_temperature(None) is None
    assert typed_time("2026-05-31", NOW) == dt.datetime(2026, 5, 31, tzinfo=dt.UTC)
    assert typed_time("2026-05-31T07:30+02:00", NOW) == dt.datetime(
        2026, 5, 31, 5, 30, tzinfo=dt.UTC
    )
    assert typed_time(None, NOW) == NOW
    for wrong in ("yesterday", "2026-13-01", "2040-01-01"):
        with pytest.raises(InputError):
            typed_time(wrong, NOW)
    for wrong in ("18", "18 mm", "warm"):
        with pytest.raises(InputError):
            typed_temperature(wrong)


def test_readings_of_half_a_day_are_one_visit(read):
    def hours(item, more):
        return item.__class__(**{**item.__dict__, "time": item.time + dt.timedelta(hours=more)})

    first = read("A2-1", "offset along", 0.001)
    items = [hours(first, h) for h in (0, 11, 13, 30)]
    groups = visits(items)["A2-1"]
    assert len(groups) == 3
    # of what was read twice in one visit the later counts
    assert groups[0]["offset along", ""] == items[1]
