"""One visit to one seat: its readings, what is known of its bearing, and where it should stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from bedstone.bearings.base import Demand, Design
from bedstone.bridge.schema import FamilyName
from bedstone.site.mechanism import End
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting
from bedstone.site.stages import StageEffect
from bedstone.site.tolerances import Tolerances
from bedstone.standards.values import Value

#: Readings of one seat that lie no further apart belong to one visit.
VISIT = timedelta(hours=12)
ALONG, ACROSS = 0, 1
#: Least and greatest offset along x' and along y', m.
Reach = tuple[tuple[float, float], tuple[float, float]]
_OFFSETS = ("offset along", "offset across")
_SHEARS = ("shear offset along", "shear offset across")


@dataclass(frozen=True)
class Visit:
    """The latest readings of a seat with all that they are judged by.

    - `readings`: by quantity and place; `before`: earlier visits, oldest first
    - `stage`: last stage that has come, "" for all of them
    - `design`, `demand`: the bearing and what it must carry, None where it is not known
    - `spacing`: distance (m) to the next bearing of its line, None where it stands alone
    - `reach`: least and greatest offset (m) along x' and y' in service, None where not worked out
    """

    setting: Setting
    readings: Mapping[tuple[str, str], Reading]
    before: tuple[Mapping[tuple[str, str], Reading], ...]
    tolerances: Tolerances
    name: FamilyName
    stage: str = ""
    design: Design | None = None
    demand: Demand | None = None
    spacing: float | None = None
    reach: Reach | None = None

    # ------------------------------------------------------------------ what was read
    def reading(self, quantity: str, place: str = "") -> Reading | None:
        """One reading, or None."""
        return self.readings.get((quantity, place))

    def value(self, quantity: str, place: str = "") -> float | None:
        """The number of one reading, or None."""
        found = self.reading(quantity, place)
        return None if found is None else found.value

    def word(self, quantity: str) -> str:
        """The word of one reading, "" where there is none."""
        found = self.reading(quantity)
        return "" if found is None else found.word

    def several(self, quantity: str) -> dict[str, Reading]:
        """Readings of a quantity by place."""
        return {place: item for (name, place), item in self.readings.items() if name == quantity}

    # ------------------------------------------------------------------ numbers
    def number(self, name: str) -> float:
        """A tolerance, SI."""
        return self.tolerances.number(name)

    def source(self, *names: str) -> tuple[Value, ...]:
        """Tolerances with where they come from, to be printed."""
        return tuple(self.tolerances.values[name] for name in names)

    def offset_tolerance(self, axis: int) -> float:
        """How far (m) an offset may lie from what the temperature asks."""
        error = self.setting.budget[axis].total
        if self.setting.form == "shears" and not self.setting.temperatures.told:
            # a pad is set without shear at whatever temperature there was
            error = math.hypot(error, abs(self.setting.growth.own[axis]) * self.setting.allowance)
        return self.number("offset_errors") * error

    # ------------------------------------------------------------------ where it should stand
    def come(self, axis: int) -> float:
        """Movement (m) of the stages after setting that has come by now."""
        return sum((item.vx, item.vy)[axis] for item in self._late(come=True))

    def still(self, axis: int) -> float:
        """Movement (m) of the stages after setting that is still to come."""
        return sum((item.vx, item.vy)[axis] for item in self._late(come=False))

    def _late(self, *, come: bool) -> list[StageEffect]:
        late = [item for item in self.setting.stages if not item.before]
        names = [item.name for item in self.setting.stages]
        if not self.stage:
            return list(late) if come else []
        last = names.index(self.stage)
        return [item for item in late if (names.index(item.name) <= last) == come]

    def expected(self, temperature: float, axis: int) -> float:
        """Offset (m) of the upper part at a temperature (degC) of the steel.

        A bearing that rolls or slides stands in its middle at the datum when all has come. A pad
        has no shear at the temperature of setting.
        """
        found = self.setting
        if found.held[axis]:
            return 0.0
        if found.form == "shears":
            speed = found.growth.own[axis]
            return speed * (temperature - found.temperatures.setting) + self.come(axis)
        return expected_offset(found, axis, temperature) - self.still(axis)

    def offset(self, axis: int) -> tuple[float, float, str] | None:
        """Offset (m) from which other readings follow, its error (m), and where it comes from.

        As read; else as the temperature asks; None without either. So one fault shows once: what
        follows from a wrong offset is not wrong as well.
        """
        names = _SHEARS if self.setting.form == "shears" else _OFFSETS
        found = self.value(names[axis])
        if found is not None:
            return found, 0.0, "the offset read"
        if self.setting.held[axis]:
            return 0.0, 0.0, "held"
        temperature = self.temperature
        if temperature is None:
            return None
        return (
            self.expected(temperature, axis),
            self.offset_tolerance(axis),
            "the offset that the temperature asks",
        )

    @property
    def temperature(self) -> float | None:
        """Of the steel (degC): beside the offset, else that of the latest reading which has one."""
        known = [item for item in self.readings.values() if item.temperature is not None]
        for name in (*_OFFSETS, *_SHEARS):
            found = self.reading(name)
            if found is not None and found.temperature is not None:
                return found.temperature
        return max(known, key=lambda item: item.time).temperature if known else None

    def residual(self, axis: int) -> float | None:
        """Offset found less offset expected (m); None where that is not known."""
        return residual(self, self.readings, axis)

    # ------------------------------------------------------------------ the bearing
    def ends(self, axis: int, *, holds: bool) -> list[End]:
        """Ends of the travel along x' (0) or y' (1), or the guides that hold it."""
        way = "xy"[axis]
        return [end for end in self.setting.ends if end.axis == way and end.holds == holds]

    def play(self, axis: int) -> float | None:
        """Clearance (m) each side of the guide that holds a direction; None without a guide."""
        return min((end.ahead for end in self.ends(axis, holds=True)), default=None)


def residual(visit: Visit, readings: Mapping[tuple[str, str], Reading], axis: int) -> float | None:
    """Offset found less offset expected (m) of any set of readings of the same seat."""
    names = _SHEARS if visit.setting.form == "shears" else _OFFSETS
    found = readings.get((names[axis], ""))
    if found is None or found.value is None or found.temperature is None:
        return None
    return found.value - visit.expected(found.temperature, axis)


def visits(
    readings: Iterable[Reading],
) -> dict[str, tuple[Mapping[tuple[str, str], Reading], ...]]:
    """Readings of every seat or support by visit, oldest first; by quantity and place.

    Of what was read twice in one visit the later reading counts.
    """
    by_seat: dict[str, list[Reading]] = {}
    for item in sorted(readings, key=lambda item: item.time):
        by_seat.setdefault(item.seat, []).append(item)
    found: dict[str, tuple[Mapping[tuple[str, str], Reading], ...]] = {}
    for seat, items in by_seat.items():
        groups: list[list[Reading]] = []
        for item in items:
            # counted from the first reading of a visit, so that a row of days is not one visit
            if groups and item.time - groups[-1][0].time <= VISIT:
                groups[-1].append(item)
            else:
                groups.append([item])
        found[seat] = tuple(
            {(item.quantity, item.place): item for item in group} for group in groups
        )
    return found
