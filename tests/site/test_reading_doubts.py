"""What several readings say of one movement, held against how ends of travel are read.

Geometry: a stop is read at the roller, which goes half as far as the plate; a slide plate hangs
over further at the end toward which it moved.
"""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from filled_forms import NOW, filled, known, read

from bedstone.errors import InputError
from bedstone.site.mechanism import End
from bedstone.site.reading_doubts import doubts, movement_told
from bedstone.site.reading_files import read_form
from bedstone.site.readings import Reading
from bedstone.site.tolerances import usual

AT = dt.datetime(2026, 5, 31, tzinfo=dt.UTC)
OFFSETS = st.floats(-0.1, 0.1)


def reading(quantity: str, place: str, value: float, row: int = 1) -> Reading:
    return Reading("A2-1", quantity, place, value, "", AT, None, "me", "", "f.csv", row)


def told(readings: list[Reading], axis: str) -> dict[str, float]:
    return {item.what: item.offset for item in movement_told(readings, axis)}  # type: ignore[arg-type]


@given(OFFSETS)
def test_gaps_and_roller_tell_the_movement(offset: float) -> None:
    """As the ends of travel are read on the day of setting: the same signs and sides."""
    back, ahead = End("stop", "x", -0.2, 0.2, halved=True).readings(offset)
    found = told(
        [
            reading("roller gap", "falling", back), reading("roller gap", "rising", ahead),
            reading("roller offset", "left", offset / 2 + 0.001),
            reading("roller offset", "right", offset / 2 - 0.001),
        ],
        "x",
    )  # fmt: skip
    assert found["difference of the roller gaps"] == pytest.approx(offset, abs=1e-12)
    assert found["twice the roller offset"] == pytest.approx(offset, abs=1e-12)


@given(OFFSETS, st.sampled_from(["x", "y"]))
def test_overhangs_tell_the_movement(offset: float, axis: str) -> None:
    first, second = ("falling", "rising") if axis == "x" else ("right", "left")
    end = End("edge", axis, -0.2, 0.2, overhang=True)  # type: ignore[arg-type]
    back, ahead = end.readings(offset)
    found = told([reading("overhang", first, back), reading("overhang", second, ahead)], axis)
    assert found == {"half the difference of the overhangs": pytest.approx(offset, abs=1e-12)}


def test_the_odd_one_of_three_is_named() -> None:
    rows = [
        reading("offset along", "", 0.024, 1), reading("roller offset", "left", 0.012, 2),
        reading("roller gap", "falling", 0.048, 3), reading("roller gap", "rising", 0.072, 4),
    ]  # fmt: skip
    (doubt,) = doubts(rows, known(), usual("readings"))
    assert (doubt.rows, doubt.fits) == ((3, 4), "the sides swapped")


def test_of_two_the_temperature_tells_which() -> None:
    """12e-6 by 45 m by 31 K above the datum of 14 degC, 16.7 mm: the minus is odd."""
    rows = [
        replace(reading("offset along", "", 0.018, 1), temperature=45.0),
        replace(reading("roller offset", "left", -0.009, 2), temperature=45.0),
    ]
    (doubt,) = doubts(rows, known(), usual("readings"))
    assert doubt.rows == (2,)
    (doubt,) = doubts([replace(item, temperature=None) for item in rows], known(),
                      usual("readings"))  # fmt: skip
    assert doubt.rows == (1, 2)


def test_one_end_of_a_roller_with_the_wrong_sign() -> None:
    """The plate went 24 mm, so the roller went 12 mm: +12 and -12 mm at its ends are a slip."""
    ends = [
        reading("roller offset", "left", 0.012, 2),
        reading("roller offset", "right", -0.0118, 3),
    ]
    plate = reading("offset along", "", 0.024, 1)
    (doubt,) = doubts([plate, *ends], known(), usual("readings"))
    assert (doubt.rows, doubt.fits) == ((2, 3), "one of both with the other sign")
    # the plate in its middle: the roller is askew, a finding and no slip
    assert doubts([replace(plate, value=0.001), *ends], known(), usual("readings")) == ()
    # with the temperature alone: 12e-6 by 45 m by 31 K above the datum of 14 degC is 16.7 mm
    warm = [replace(item, temperature=45.0, value=item.value * 0.7) for item in ends]
    (doubt,) = doubts(warm, known(), usual("readings"))
    assert doubt.rows == (2, 3)
    assert doubts(ends, known(), usual("readings")) == ()


@given(st.floats(-0.0049, 0.0049), st.floats(-0.0024, 0.0024))
def test_small_movements_are_never_in_doubt(offset: float, roller: float) -> None:
    """Signs of what is within the error of a rule (3 mm and half as much again) mean nothing."""
    rows = [reading("offset along", "", offset, 1), reading("roller offset", "left", roller, 2)]
    if abs(offset) <= 0.0045 and abs(2 * roller) <= 0.0045:
        assert doubts(rows, known(), usual("readings")) == ()


@given(OFFSETS)
def test_what_agrees_is_never_in_doubt(offset: float) -> None:
    rows = [
        reading("offset along", "", offset, 1), reading("roller offset", "left", offset / 2, 2),
        reading("roller gap", "falling", 0.1 + offset / 2, 3),
        reading("roller gap", "rising", 0.1 - offset / 2, 4),
    ]  # fmt: skip
    assert doubts(rows, known(), usual("readings")) == ()


def test_on_a_bearing_whose_kind_is_not_told_anything_can_be_read(tmp_path: Path) -> None:
    roller = {"Quantity": "pot gap", "Place": "1", "Value": 20.0}
    path = filled(tmp_path / "f.xlsx", {("A2-1", "offset along", ""): roller})
    with pytest.raises(InputError, match="'pot gap' on a single roller"):
        read(path)
    seats = known().seats
    untold = replace(known(), seats={**seats, "A2-1": replace(seats["A2-1"], told=False)})
    assert len(read_form(path, untold, now=NOW).readings) == 1
