"""What fails first when a fault happens: the bearings as designed, under what the fault brings.

The bearings are those designed for the intact bridge, or those given in its file. For a fault the
schedule of its bridge file is made, and every bearing is checked as it was made for what its seat
then asks. The bearing at which the fault sits is checked in its own function: that a seized bearing
no longer moves is the fault itself, not a check.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import Prepared
from bedstone.bearings import selection
from bedstone.bearings.asked import basis_of
from bedstone.bearings.selection import Choice
from bedstone.bridge.schema import BearingKind, FamilyName, Function
from bedstone.bridge.seats import arrangement_functions, seat_marks
from bedstone.comparison.faults import Result
from bedstone.comparison.faults_list import Fault
from bedstone.errors import UnstableError
from bedstone.schedule.analysis import Progress
from bedstone.schedule.demand import demand_of
from bedstone.schedule.designs import SeatDesign, Seats, design_seat
from bedstone.schedule.make import schedule_of
from bedstone.schedule.own_values import own_values
from bedstone.schedule.result import Schedule
from bedstone.standards.values import Values


@dataclass(frozen=True)
class FirstFailure:
    """The check that is used most among all bearings under one fault.

    - `seat`, `bearing`: where and what kind; "" where no check fails
    - `part`, `check`, `clause`: what fails, and by which rule; `case`: under what
    - `utilisation`: of that check, None where the kind cannot serve at all (`check` says why);
      `before`: the worst of this bearing on the intact bridge
    - `failing`: marks of all seats whose bearings fail; `already`: of those whose bearings fail on
      the intact bridge, or that have none, which are not asked
    - `broken`: limits that the supports no longer keep
    - `without`: why nothing could be checked, else ""
    """

    fault: Fault
    seat: str = ""
    bearing: BearingKind | None = None
    part: str = ""
    check: str = ""
    clause: str = ""
    case: str = ""
    utilisation: float | None = None
    before: float | None = None
    failing: tuple[str, ...] = ()
    already: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    without: str = ""

    @property
    def fails(self) -> bool:
        """Something fails that did not fail before."""
        return bool(self.failing or self.broken)


def designs_of(
    prepared: Prepared, name: FamilyName, *, given_only: bool = False
) -> tuple[SeatDesign, ...]:
    """The bearings of the intact bridge, designed for its schedule or given in the file.

    `given_only`: only those that the file gives; none where it gives none.
    """
    bridge, tables = prepared.bridge, prepared.tables
    given = {item.seat for item in bridge.bearings.given}
    functions = arrangement_functions(bridge, tables)
    marks = {
        seat.mark: seat
        for seat in seat_marks(bridge, tables)
        if functions[seat.mark].function != "none" and (not given_only or seat.mark in given)
    }
    if not marks:
        return ()
    seats = Seats(marks, {mark: functions[mark].kind for mark in marks})
    with threadpool_limits(limits=1, user_api="blas"):
        schedule = schedule_of(prepared, name)
        return tuple(design_seat(schedule, bridge, seats, mark) for mark in marks)


def first_failures(
    prepared: Prepared,
    name: FamilyName,
    designs: Sequence[SeatDesign],
    results: Sequence[Result],
    progress: Progress | None = None,
) -> tuple[FirstFailure, ...]:
    """What fails first under each of some faults, in their order."""
    found = []
    with threadpool_limits(limits=1, user_api="blas"):
        for number, result in enumerate(results):
            if progress is not None:
                progress(number, len(results), f"checking bearings: {result.fault.name}")
            found.append(_first(prepared, name, designs, result))
    return tuple(found)


def _first(
    prepared: Prepared, name: FamilyName, designs: Sequence[SeatDesign], result: Result
) -> FirstFailure:
    fault = result.fault
    nothing = FirstFailure(fault, broken=result.broken)
    if fault.gap != (0.0, 0.0):
        words = "what closes after a movement is not in the schedule; look at the bearing seized"
        return replace(nothing, without=words)
    try:
        schedule = schedule_of(replace(prepared, bridge=fault.bridge), name)
    except UnstableError as error:
        return replace(nothing, without=str(error))
    worst: tuple[float, FirstFailure] | None = None
    failing, already = [], []
    for design in designs:
        if not _stands(schedule, design.seat):
            continue
        if not design.choice.passes:
            already.append(design.seat)
            continue
        choice = _again(prepared, name, design, schedule)
        if choice.passes:
            continue
        failing.append(design.seat)
        told = _told(nothing, design, choice)
        use = float("inf") if told.utilisation is None else told.utilisation
        if worst is None or use > worst[0]:
            worst = use, told
    first = nothing if worst is None else worst[1]
    return replace(first, failing=tuple(failing), already=tuple(already))


def _stands(schedule: Schedule, mark: str) -> bool:
    return any(seat.mark == mark and seat.function != "none" for seat in schedule.seats)


def _again(prepared: Prepared, name: FamilyName, design: SeatDesign, schedule: Schedule) -> Choice:
    """The bearing of a seat as it was made, under a schedule."""
    made = design.choice.design
    assert made is not None  # only those that pass are asked
    bridge = prepared.bridge
    intact = design.demand
    function: Function = intact.function
    demand = replace(demand_of(schedule, bridge, design.seat), function=function, held=intact.held)
    return selection.recheck(
        made, demand, basis_of(bridge, name, Values(name, own_values(bridge, name)))
    )


def _told(nothing: FirstFailure, design: SeatDesign, choice: Choice) -> FirstFailure:
    before = design.choice.design.utilisation if design.choice.design is not None else None
    known = replace(nothing, seat=design.seat, bearing=choice.kind, before=before)
    if choice.refusal is not None:
        return replace(known, check=choice.refusal.reason, clause=choice.refusal.clause)
    line = choice.governing
    assert line is not None
    return replace(
        known,
        part=line.part,
        check=line.title,
        clause=f"{line.standard} {line.clause}".strip(),
        case=line.case,
        utilisation=line.utilisation,
    )
