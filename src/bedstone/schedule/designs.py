"""From the schedule to the bearing of each seat: given, asked for, or the lightest that passes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from bedstone.bearings import selection
from bedstone.bearings.asked import basis_of, given_at, kind_at, sizes_of
from bedstone.bearings.base import Demand
from bedstone.bearings.selection import Choice
from bedstone.bridge.schema import BearingKind, Bridge
from bedstone.bridge.seats import SeatMark, arrangement_functions, seat_marks
from bedstone.bridge.tables import read_tables
from bedstone.errors import Fault, InputError
from bedstone.schedule.context import family_name
from bedstone.schedule.demand import demand_of
from bedstone.schedule.own_values import own_values
from bedstone.schedule.result import Schedule
from bedstone.standards.values import Value, Values

#: Where the kind of a bearing comes from.
Origin = Literal["given", "asked for", "in the file", "chosen"]


@dataclass(frozen=True)
class SeatDesign:
    """The bearing of one seat under one family.

    `origin`: ``given`` (sizes in the file, assessed), ``asked for`` (at the command line), ``in the
    file`` (its kind), ``chosen`` (the lightest of all kinds). `compared`: all kinds, where they
    were compared. `memory`: values known from memory alone on which the design leans.
    """

    demand: Demand
    origin: Origin
    choice: Choice
    compared: tuple[Choice, ...] = ()
    memory: tuple[Value, ...] = ()

    @property
    def seat(self) -> str:
        """Mark of the seat."""
        return self.demand.seat

    @property
    def serves(self) -> bool:
        """True when the bearing passes or, where kinds were compared, any of them does."""
        return self.choice.passes or any(choice.passes for choice in self.compared)


@dataclass(frozen=True)
class Seats:
    """The seats of a bridge that have bearings, with the kind the arrangement gives each."""

    marks: Mapping[str, SeatMark]
    kinds: Mapping[str, BearingKind | None]

    def known(self, mark: str) -> SeatMark:
        """A seat by its mark; raises `InputError` for one without a bearing."""
        if mark not in self.marks:
            marks = ", ".join(self.marks)
            raise InputError([Fault("command line", "SEAT", repr(mark[:60]), marks)])
        return self.marks[mark]


def seats_of(bridge: Bridge, folder: Path) -> Seats:
    """Seats that have a bearing; `folder`: where the tables of the bridge file lie."""
    tables = read_tables(bridge, folder)
    functions = arrangement_functions(bridge, tables)
    marks = {
        seat.mark: seat
        for seat in seat_marks(bridge, tables)
        if functions[seat.mark].function != "none"
    }
    return Seats(marks, {mark: functions[mark].kind for mark in marks})


def design_seat(
    schedule: Schedule,
    bridge: Bridge,
    seats: Seats,
    mark: str,
    kind: BearingKind | None = None,
    *,
    compared: bool = False,
    also: Demand | None = None,
) -> SeatDesign:
    """The bearing of a seat; `kind` asks for one, `compared` sets all kinds beside it.

    `also`: a demand of the same seat on which it is to be designed as well.

    A given bearing is assessed unless `kind` asks for another. Raises `InputError` for an unknown
    seat, an option or a size that cannot be.
    """
    seat = seats.known(mark)
    demand = demand_of(schedule, bridge, mark)
    if also is not None:
        demand = replace(
            demand,
            cases=tuple(dict.fromkeys((*demand.cases, *also.cases))),
            uplift=max(demand.uplift, also.uplift),
        )
    family = family_name(schedule.standard)
    # values of this seat alone, so that it is known on which of them the design leans
    values = Values(family, own_values(bridge, family))
    basis = basis_of(bridge, family, values)
    told = given_at(bridge, mark) if kind is None else None
    wanted = kind or kind_at(bridge, seat, seats.kinds[mark])
    if told is not None:
        place, given = told
        with _named(f"bearings.given[{place + 1}].sizes."):
            choice = selection.assess(demand, basis, given.kind, sizes_of(given, place))
        origin: Origin = "given"
    elif wanted is not None:
        origin = "in the file" if kind is None else "asked for"
        with _named("bearings.options."):
            choice = selection.size(demand, basis, wanted)
    else:
        origin = "chosen"
        with _named("bearings.options."):
            beside = selection.compare(demand, basis)
        leaned = tuple(values.from_memory())
        return SeatDesign(demand, origin, beside[0], beside, leaned)
    leaned = tuple(values.from_memory())
    beside = ()
    if compared:
        with _named("bearings.options."):
            beside = selection.compare(demand, basis, asked=choice.kind)
    return SeatDesign(demand, origin, choice, beside, leaned)


#: What kinds put before the name of an option in a fault.
_CHOICES = "choices.bearings."


@contextmanager
def _named(place: str) -> Iterator[None]:
    """Name the place in the bridge file in the faults of kinds, which know a size, not a file."""
    try:
        yield
    except InputError as error:
        raise InputError([_placed(fault, place) for fault in error.faults]) from error


def _placed(fault: Fault, place: str) -> Fault:
    if fault.where.startswith(_CHOICES):
        return replace(fault, where=f"bearings.options.{fault.where.removeprefix(_CHOICES)}")
    if fault.file == "bearing":
        return replace(fault, file="bridge file", where=place + fault.where)
    return fault
