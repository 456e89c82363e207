"""How heavy the bearings of an arrangement are: designed for its own schedule, then added up.

No price is asked: none is published that would hold from one country and year to the next, and mass
is what prices of steel bearings mostly follow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.bridge.seats import arrangement_functions, seat_marks
from bedstone.comparison.compare import Shown, as_file
from bedstone.schedule.designs import Seats, design_seat
from bedstone.schedule.make import schedule_of
from bedstone.schedule.result import Schedule


@dataclass(frozen=True)
class Weighed:
    """The bearings of one arrangement.

    `mass` (kg) of those that could be designed, `number` of all; `failing`: seats whose bearing
    does not pass its checks; `without`: seats for which the kind gives no bearing at all.
    """

    mass: float
    number: int
    failing: tuple[str, ...]
    without: tuple[str, ...]


def weigh(
    prepared: Prepared, name: FamilyName, item: Shown, schedule: Schedule | None = None
) -> Weighed:
    """Design every bearing of an arrangement under a family and add up their masses.

    Kinds and given bearings of the file count at the seats that keep their function; elsewhere the
    kind of the function, and where the file names none the lightest that passes. `schedule`: of
    this very arrangement, where it has been made already. Raises `InputError` for an option or a
    size of the file that cannot be.
    """
    own = bearings_of(prepared, item)
    if schedule is None:
        schedule = schedule_of(replace(prepared, bridge=own), name)
    marks = {
        seat.mark: seat
        for seat in seat_marks(own, prepared.tables)
        if item.functions[seat.mark].function != "none"
    }
    seats = Seats(marks, {mark: item.functions[mark].kind for mark in marks})
    found = {mark: design_seat(schedule, own, seats, mark).choice for mark in marks}
    return Weighed(
        mass=sum(choice.design.mass for choice in found.values() if choice.design is not None),
        number=len(found),
        failing=tuple(
            mark
            for mark, choice in found.items()
            if choice.design is not None and not choice.passes
        ),
        without=tuple(mark for mark, choice in found.items() if choice.design is None),
    )


def bearings_of(prepared: Prepared, item: Shown) -> Bridge:
    """The bridge file with an arrangement, and with kinds and sizes only where they still fit."""
    bridge, today = prepared.bridge, arrangement_functions(prepared.bridge, prepared.tables)
    same = {
        seat.mark: seat.support
        for seat in seat_marks(bridge, prepared.tables)
        if today[seat.mark].function == item.functions[seat.mark].function
    }
    told = bridge.bearings.kinds
    kinds = {
        mark: told.get(mark) or told[support]
        for mark, support in same.items()
        if mark in told or support in told
    }
    given = [bearing for bearing in bridge.bearings.given if bearing.seat in same]
    bearings = bridge.bearings.model_copy(update={"kinds": kinds, "given": given})
    with_functions = as_file(bridge, item.functions, item.point, item.name)
    return with_functions.model_copy(update={"bearings": bearings})
