"""Readings that contradict each other as if a sign or two sides had been mixed up.

Several readings of one visit tell the same movement of the plate: its offset, the rollers at half
of it, the gaps to the stops, the overhangs. A contradiction is a finding, to be judged elsewhere;
here it is a doubt only where one slip of the pen, undone, makes it vanish.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from bedstone.site.known_bridge import KnownBridge, Seated
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting
from bedstone.site.tolerances import Tolerances

__all__ = ["Doubt", "doubts", "expected_offset", "movement_told"]


@dataclass(frozen=True)
class Doubt:
    """Something that looks like a slip: the rows it stands on, what was found, what would fit."""

    rows: tuple[int, ...]
    found: str
    fits: str


@dataclass(frozen=True)
class Told:
    """An offset (m) of the plate as some readings tell it. `slip`: what turns its sign."""

    what: str
    offset: float
    rows: tuple[int, ...]
    slip: str


def doubts(
    readings: Sequence[Reading], bridge: KnownBridge, tolerances: Tolerances
) -> tuple[Doubt, ...]:
    """The doubts about the readings of one form."""
    groups: dict[tuple[str, object], list[Reading]] = {}
    for reading in readings:
        if reading.seat in bridge.seats and reading.value is not None:
            groups.setdefault((reading.seat, reading.time), []).append(reading)
    found: list[Doubt] = []
    for (seat, _), group in groups.items():
        found += _of_seat(group, bridge.seats[seat], tolerances)
    return tuple(found)


def movement_told(readings: Iterable[Reading], axis: Literal["x", "y"]) -> tuple[Told, ...]:
    """The offset (m) of the plate along x' or y', by each kind of reading of one seat and visit."""
    by = {(item.quantity, item.place): item for item in readings if item.value is not None}
    return tuple(_told(by, axis))


def _told(by: Mapping[tuple[str, str], Reading], axis: Literal["x", "y"]) -> Iterator[Told]:
    own = by.get(("offset along" if axis == "x" else "offset across", ""))
    if own is not None:
        yield Told(own.quantity, _value(own), (own.row,), "the other sign")
    back, ahead = ("falling", "rising") if axis == "x" else ("right", "left")
    if axis == "x":
        ends = [by[key] for key in (("roller offset", s) for s in ("left", "right")) if key in by]
        if ends:
            mean = sum(_value(item) for item in ends) / len(ends)
            # a roller goes half as far as the plate above it
            rows = tuple(item.row for item in ends)
            yield Told("twice the roller offset", 2.0 * mean, rows, "the other sign")
        gaps = [by.get(("roller gap", place)) for place in (back, ahead)]
        if gaps[0] is not None and gaps[1] is not None:
            # the roller off by e/2 opens the gap behind and closes the one ahead
            rows = (gaps[0].row, gaps[1].row)
            difference = _value(gaps[0]) - _value(gaps[1])
            yield Told("difference of the roller gaps", difference, rows, "the sides swapped")
    plates = [by.get(("overhang", place)) for place in (back, ahead)]
    if plates[0] is not None and plates[1] is not None:
        # the plate hangs over further at the end toward which it moved
        rows = (plates[0].row, plates[1].row)
        half = (_value(plates[1]) - _value(plates[0])) / 2.0
        yield Told("half the difference of the overhangs", half, rows, "the sides swapped")


def _of_seat(group: Sequence[Reading], seat: Seated, tolerances: Tolerances) -> Iterator[Doubt]:
    for axis in ("x", "y"):
        known = movement_told(group, axis)
        told = [item for item in known if _sized(item.offset, tolerances)]
        expected = _expected(group, seat, axis)
        yield from _half(known, tolerances)
        if axis == "x":
            yield from _one_end(group, known, expected, tolerances)
        if len(told) > 1:
            yield from _opposed(told, expected, tolerances)
        elif told:
            yield from _unexpected(told[0], expected, tolerances)


def _sized(offset: float, tolerances: Tolerances) -> bool:
    """Whether an offset (m) is so large that its sign can be told."""
    return abs(offset) > 1.5 * _margin(offset, tolerances)


def _margin(offset: float, tolerances: Tolerances) -> float:
    """What two readings of the same movement (m) may differ."""
    return max(tolerances.number("half"), tolerances.number("half_share") * abs(offset))


def _alike(one: float, two: float, tolerances: Tolerances) -> bool:
    return abs(one - two) <= _margin(max(abs(one), abs(two)), tolerances)


def _opposed(
    told: Sequence[Told], expected: Sequence[float], tolerances: Tolerances
) -> Iterator[Doubt]:
    """Readings that tell movements of the same size and the other sense."""
    plus = [item for item in told if item.offset > 0.0]
    minus = [item for item in told if item.offset < 0.0]
    if not plus or not minus:
        return
    if not all(_alike(one.offset, -two.offset, tolerances) for one in plus for two in minus):
        return  # undoing the sign makes nothing fit: a finding, no slip
    # what the temperature asks decides where it is not about nothing, now and when it was set
    senses = {math.copysign(1.0, one) for one in expected if _sized(one, tolerances)}
    sense = senses.pop() if len(senses) == 1 else 0.0
    if len(plus) != len(minus):
        odd, others = (plus, minus) if len(plus) < len(minus) else (minus, plus)
    elif sense:
        odd, others = (minus, plus) if sense > 0.0 else (plus, minus)
    else:
        rows = tuple(row for item in told for row in item.rows)
        found = " but ".join(_words(item) for item in (plus[0], minus[0]))
        yield Doubt(rows, found, "one of both with the other sign or the sides swapped")
        return
    for item in odd:
        yield Doubt(item.rows, f"{_words(item)}, but {_words(others[0])}", item.slip)


def _unexpected(item: Told, expected: Sequence[float], tolerances: Tolerances) -> Iterator[Doubt]:
    """One movement alone that is the mirror image of what temperature has made of it."""
    if any(_alike(item.offset, one, tolerances) for one in expected):
        return
    # twice the usual size: a bearing set otherwise than asked can stand on the other side, too
    large = [one for one in expected if abs(one) > 3.0 * _margin(one, tolerances)]
    mirrored = next((one for one in large if _alike(item.offset, -one, tolerances)), None)
    if mirrored is not None:
        found = f"{_words(item)}, by the temperature {mirrored * 1e3:+.1f} mm"
        yield Doubt(item.rows, found, item.slip)


def _half(told: Sequence[Told], tolerances: Tolerances) -> Iterator[Doubt]:
    """A roller said to stand as far off as the plate, where it goes half as far."""
    plate = next((item for item in told if item.what == "offset along"), None)
    roller = next((item for item in told if item.what == "twice the roller offset"), None)
    if plate is None or roller is None or not _sized(plate.offset, tolerances):
        return
    stands = roller.offset / 2.0
    if _alike(stands, plate.offset, tolerances) and not _alike(
        stands, plate.offset / 2.0, tolerances
    ):
        found = f"roller {stands * 1e3:+.1f} mm, plate {plate.offset * 1e3:+.1f} mm"
        fits = f"a roller at half of it, {plate.offset * 500.0:+.1f} mm"
        yield Doubt((*plate.rows, *roller.rows), found, fits)


def _one_end(
    group: Sequence[Reading],
    told: Sequence[Told],
    expected: Sequence[float],
    tolerances: Tolerances,
) -> Iterator[Doubt]:
    """The ends of a roller told with opposite signs, where one sign alone fits what it rolled."""
    ends = {item.place: item for item in group if item.quantity == "roller offset"}
    if len(ends) != 2:
        return
    left, right = (_value(ends[side]) for side in ("left", "right"))
    if left * right >= 0.0 or not _alike(2.0 * left, -2.0 * right, tolerances):
        return
    plates = [item.offset for item in told if item.what != "twice the roller offset"]
    moved = [abs(one) for one in plates or expected[:1] if _sized(one, tolerances)]
    if any(_alike(abs(left - right), one, tolerances) for one in moved):
        found = f"roller {left * 1e3:+.1f} mm at its left end, {right * 1e3:+.1f} mm at its right"
        rows = tuple(item.row for item in ends.values())
        yield Doubt(rows, found, "one of both with the other sign")


def expected_offset(setting: Setting, axis: int, temperature: float) -> float:
    """Offset (m) along x' (0) or y' (1) in service, all that was to come having come.

    A straight line through the middle at the datum, by what the arrangement moves for 1 K.
    """
    return setting.growth.own[axis] * (temperature - setting.datum)


def _expected(group: Sequence[Reading], seat: Seated, axis: Literal["x", "y"]) -> tuple[float, ...]:
    """Offsets (m) that the temperature of the visit asks for: in service, and when it was set."""
    setting, warm = seat.setting, group[0].temperature
    number = 0 if axis == "x" else 1
    if setting is None or warm is None or setting.held[number] or seat.form == "shears":
        return ()
    service = expected_offset(setting, number, warm)
    return service, service - setting.remaining[number]


def _words(item: Told) -> str:
    return f"{item.what} {item.offset * 1e3:+.1f} mm"


def _value(item: Reading) -> float:
    assert item.value is not None
    return item.value
