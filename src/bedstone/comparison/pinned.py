"""Arrangements picked by hand in the bridge file, beside the file's own."""

from __future__ import annotations

from bedstone.bridge.schema import Bridge, Pinned, Seat
from bedstone.bridge.seats import arrangement_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.comparison.inherited import inherited


def pinned_arrangements(
    bridge: Bridge, tables: FrameData | ReactionData | None = None
) -> dict[str, dict[str, Seat]]:
    """Return the bearing of every seat, by mark, of each arrangement by name: the file's own first.

    A pinned arrangement leaves as in the file what it does not tell. What it tells of a seat comes
    before what it tells of a line; where its line gives a seat the function that it has in the
    file, the bearing of the file stays, else it inherits as in `bedstone.comparison.inherited`.

    Raises
    ------
    InputError
        As `arrangement_functions`, for the file's own arrangement.
    """
    found = {bridge.arrangement.name: arrangement_functions(bridge, tables)}
    for pinned in bridge.compare.pinned:
        found[pinned.name] = _resolve(bridge, tables, pinned)
    return found


def fixed_points(bridge: Bridge) -> dict[str, str | None]:
    """Return the seat or support that is the point for directions, by name of the arrangement.

    A pinned arrangement that names none takes the file's as long as it tells no functions of its
    own; with its own functions the fixed seats are the point (None), as in a file without one.
    """
    own = bridge.arrangement.fixed_point
    found = {bridge.arrangement.name: own}
    for pinned in bridge.compare.pinned:
        as_file = not pinned.supports and not pinned.seats
        found[pinned.name] = pinned.fixed_point or (own if as_file else None)
    return found


def _resolve(
    bridge: Bridge, tables: FrameData | ReactionData | None, pinned: Pinned
) -> dict[str, Seat]:
    passed_on = inherited(bridge, tables, pinned.kinds)
    seats = seat_marks(bridge, tables)
    told = {mark: iter(functions) for mark, functions in pinned.supports.items()
            if not isinstance(functions, str)}  # fmt: skip
    result: dict[str, Seat] = {}
    for seat in seats:
        line = pinned.supports.get(seat.support)
        function = next(told[seat.support]) if seat.support in told else line
        bearing = passed_on.own[seat.mark]
        if isinstance(function, str):
            bearing = passed_on.bearing(seat.mark, function)
        if seat.mark in pinned.seats:
            bearing = pinned.seats[seat.mark]
            if "direction" not in bearing.model_fields_set:
                direction = passed_on.directions[bearing.function]
                bearing = bearing.model_copy(update={"direction": direction})
            if bearing.kind is None:
                kind = passed_on.kinds.get(bearing.function)
                bearing = bearing.model_copy(update={"kind": kind})
        elif bearing.function in pinned.kinds and not _own_kind(bridge, seat.mark, bearing):
            kind = pinned.kinds[bearing.function]
            bearing = bearing.model_copy(update={"kind": kind})
        result[seat.mark] = bearing
    return result


def _own_kind(bridge: Bridge, mark: str, bearing: Seat) -> bool:
    """The file gives this very bearing its kind, not only its function."""
    own = bridge.arrangement.seats.get(mark)
    return own is not None and own.kind is not None and own.function == bearing.function
