"""A reading: what was measured or seen on a bearing, at a time, at a temperature of its steel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

__all__ = ["Reading", "by_seat", "values_at"]


@dataclass(frozen=True)
class Reading:
    """One quantity read once. SI units; signs as the catalogue of quantities says.

    - `seat`: mark of a seat, or of a support for what is read at a joint
    - `quantity`: its name in ``site/data/quantities.toml``; `place`: one of its places, or ""
    - `value`: a number (m, rad or a share), None where the reading is a `word`
    - `time`: aware, UTC; `temperature`: of the steel, degC, None where nobody took it
    - `file`, `row`: where it came from, for messages
    """

    seat: str
    quantity: str
    place: str
    value: float | None
    word: str
    time: datetime
    temperature: float | None
    who: str
    instrument: str
    file: str
    row: int

    @property
    def key(self) -> tuple[str, str, str]:
        """What was read, without when: seat, quantity, place."""
        return self.seat, self.quantity, self.place


def by_seat(readings: Iterable[Reading]) -> dict[str, tuple[Reading, ...]]:
    """Readings of each seat or support, in the order of time."""
    found: dict[str, list[Reading]] = {}
    for reading in sorted(readings, key=lambda item: item.time):
        found.setdefault(reading.seat, []).append(reading)
    return {seat: tuple(items) for seat, items in found.items()}


def values_at(
    readings: Iterable[Reading], seat: str, time: datetime
) -> Mapping[tuple[str, str], Reading]:
    """What was read on one seat at one time, by quantity and place."""
    return {
        (item.quantity, item.place): item
        for item in readings
        if item.seat == seat and item.time == time
    }
