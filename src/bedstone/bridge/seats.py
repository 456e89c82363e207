"""Seats of a bridge: their marks, and the bearing each of them has in the arrangement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bedstone.bridge.schema import Bridge, Function, Girders, Seat, Truss
from bedstone.bridge.tables import FrameData, ReactionData, SeatTable
from bedstone.errors import Fault, InputError

_SAME_LINE = 1e-3  # m; seats closer than this across the bridge stand on one line


@dataclass(frozen=True)
class SeatMark:
    """A seat: its mark, its support, its line counted from the right (1 = smallest y) and its y.

    `side`: "b" or "a" where the girder or truss line of the span behind and of the span ahead end
    on the same support, else "". `y` is in m to the left of the reference line.
    """

    mark: str
    support: str
    line: int
    y: float
    side: Literal["", "b", "a"] = ""


def seat_marks(
    bridge: Bridge, tables: FrameData | ReactionData | None = None
) -> tuple[SeatMark, ...]:
    """Return all seats, support by support, from right to left, the back span first.

    A mark is support, line and side: ``A1-1``, ``P1-2b``. Seats of a frame or of given reactions
    have the marks of their table, which `read_tables` reads; two of them at the same y on one
    support are the back and the ahead one, in the order of the table.

    Raises
    ------
    InputError
        For a frame or given reactions without `tables`.
    """
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders | Truss):
        lines = line_offsets(superstructure)
        simple = superstructure.continuity == "simple"
        last = len(bridge.support) - 1
        return tuple(
            SeatMark(f"{support.mark}-{line}{side}", support.mark, line, y, side)
            for index, support in enumerate(bridge.support)
            for line, y in enumerate(lines, start=1)
            for side in _sides(simple and 0 < index < last)
        )
    if tables is None:
        found = "tables that have not been read"
        raise InputError([Fault("bridge file", "superstructure.seats", found, "tables read")])
    return tuple(
        seat for support in bridge.support for seat in _of_table(tables.seats, support.mark)
    )


def arrangement_functions(
    bridge: Bridge, tables: FrameData | ReactionData | None = None
) -> dict[str, Seat]:
    """Return the bearing of every seat by mark, in the order of `seat_marks`.

    A seat under ``arrangement.seats`` comes before what ``arrangement.supports`` says of its line;
    what it leaves out (direction, kind) comes from ``arrangement.direction`` and
    ``arrangement.kinds``.

    Raises
    ------
    InputError
        When a seat has no function, a list has the wrong length or a mark is unknown: one fault
        for each.
    """
    functions, missing = resolve_functions(bridge, seat_marks(bridge, tables))
    if missing:
        allowed = "a function under arrangement.supports or arrangement.seats"
        raise InputError(
            [
                Fault("bridge file", f"arrangement.seats.{mark}", "nothing", allowed)
                for mark in missing
            ]
        )
    return functions


def resolve_functions(
    bridge: Bridge, seats: tuple[SeatMark, ...]
) -> tuple[dict[str, Seat], tuple[str, ...]]:
    """Return the bearing of each seat that has one, and the marks of those that have none."""
    arrangement = bridge.arrangement
    of_line: dict[str, Function] = {}
    for support, told in arrangement.supports.items():
        marks = [seat.mark for seat in seats if seat.support == support]
        if isinstance(told, str):
            of_line.update(dict.fromkeys(marks, told))
        elif len(told) == len(marks):
            of_line.update(zip(marks, told, strict=True))
    resolved: dict[str, Seat] = {}
    missing: list[str] = []
    for seat in seats:
        own = arrangement.seats.get(seat.mark)
        if own is None and seat.mark in of_line:
            own = Seat(function=of_line[seat.mark])
        if own is None:
            missing.append(seat.mark)
            continue
        changes: dict[str, object] = {}
        if "direction" not in own.model_fields_set:
            changes["direction"] = arrangement.direction
        if own.kind is None:
            changes["kind"] = arrangement.kinds.get(own.function)
        resolved[seat.mark] = own.model_copy(update=changes)
    return resolved, tuple(missing)


def line_offsets(superstructure: Girders | Truss) -> tuple[float, ...]:
    """Return y in m of the girder or truss lines from right (smallest) to left."""
    if isinstance(superstructure, Truss):
        half = superstructure.spacing / 2.0
        return (-half, half)
    if superstructure.offsets is not None:
        return tuple(sorted(superstructure.offsets))
    number, spacing = superstructure.number or 1, superstructure.spacing or 0.0
    return tuple((index - (number - 1) / 2.0) * spacing for index in range(number))


def _sides(both: bool) -> tuple[Literal["", "b", "a"], ...]:
    return ("b", "a") if both else ("",)


def _of_table(table: SeatTable, support: str) -> list[SeatMark]:
    rows = [row for row, mark in enumerate(table.support) if mark == support]
    rows.sort(key=lambda row: table.y[row])  # stable: the order of the table within a line
    lines: list[list[int]] = []
    for row in rows:
        if lines and table.y[row] - table.y[lines[-1][0]] < _SAME_LINE:
            lines[-1].append(row)
        else:
            lines.append([row])
    seats: list[SeatMark] = []
    for line, members in enumerate(lines, start=1):
        members.sort()
        for place, row in enumerate(members):
            side = _sides(len(members) > 1)[min(place, 1) if len(members) > 1 else 0]
            seats.append(SeatMark(table.seat[row], support, line, table.y[row], side))
    return seats
