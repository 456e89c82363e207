"""Lines of seats: the seats of one support below one separate piece of the superstructure."""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.bridge.schema import Bridge, Function, Girders, Truss
from bedstone.bridge.seats import SeatMark, resolve_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData


@dataclass(frozen=True)
class SeatLine:
    """Seats of one piece on one support: their places in `seat_marks`, from right to left.

    `piece` counts the separate pieces of the superstructure from 0 at the first support.
    """

    support: str
    piece: int
    seats: tuple[int, ...]


def seat_lines(
    bridge: Bridge, tables: FrameData | ReactionData | None = None
) -> tuple[SeatLine, ...]:
    """Return the lines of seats, support by support, the piece behind before the piece ahead.

    Each span of a simple superstructure is a piece; a frame has as many as its members connect.
    Given reactions have no model that would tell: they count as one piece.
    """
    seats = seat_marks(bridge, tables)
    pieces = _pieces(bridge, seats, tables)
    found: dict[tuple[str, int], list[int]] = {}
    for support in bridge.support:
        own = [place for place, seat in enumerate(seats) if seat.support == support.mark]
        for place in sorted(own, key=lambda place: (pieces[place], seats[place].line, place)):
            found.setdefault((support.mark, pieces[place]), []).append(place)
    return tuple(
        SeatLine(support, piece, tuple(places)) for (support, piece), places in found.items()
    )


def kept_functions(bridge: Bridge, seats: tuple[SeatMark, ...]) -> dict[str, Function]:
    """Return the functions, by mark, of the seats that a comparison does not vary.

    Those of ``compare.rules.keep``; besides, seats that have no bearing and seats on springs in the
    plan (function elastic, or a stiffness kx or ky) stay as they are in the file's arrangement.
    """
    keep = bridge.compare.rules.keep
    functions, _ = resolve_functions(bridge, seats)
    kept: dict[str, Function] = {}
    for mark, own in functions.items():
        springs = own.stiffness
        sprung = springs is not None and (springs.kx is not None or springs.ky is not None)
        if mark in keep:
            kept[mark] = keep[mark]
        elif sprung or own.function in ("elastic", "none"):
            kept[mark] = own.function
    return kept


def _pieces(
    bridge: Bridge, seats: tuple[SeatMark, ...], tables: FrameData | ReactionData | None
) -> list[int]:
    """The piece each seat stands below."""
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders | Truss) and superstructure.continuity == "simple":
        order = {support.mark: index for index, support in enumerate(bridge.support)}
        last = len(bridge.support) - 1
        return [
            max(order[seat.support] - 1, 0)
            if seat.side == "b" or (seat.side == "" and order[seat.support] == last)
            else order[seat.support]
            for seat in seats
        ]
    if isinstance(tables, FrameData):
        return _connected(seats, tables)
    return [0] * len(seats)


def _connected(seats: tuple[SeatMark, ...], tables: FrameData) -> list[int]:
    """Pieces of a frame by its members, counted in the order in which seats first meet them."""
    above = {node: node for node in tables.nodes.node}

    def root(node: str) -> str:
        while above[node] != node:
            above[node] = above[above[node]]  # keeps the chain short
            node = above[node]
        return node

    for i, j in zip(tables.members.i, tables.members.j, strict=True):
        above[root(i)] = root(j)
    node_of = dict(zip(tables.seats.seat, tables.seats.node, strict=True))
    number: dict[str, int] = {}
    return [number.setdefault(root(node_of[seat.mark]), len(number)) for seat in seats]
