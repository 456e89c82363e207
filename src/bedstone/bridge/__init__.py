"""The bridge file: what an engineer writes down about a bridge, with units, checked.

``read_bridge(path)`` gives a checked `Bridge` in SI, or raises `InputError` with every fault in the
file's own words. Changing a file is in `bedstone.bridge.edit`, starting one in
`bedstone.bridge.templates`.
"""

from __future__ import annotations

from bedstone.bridge.reader import parse_bridge, read_bridge
from bedstone.bridge.schema import Bridge, Seat
from bedstone.bridge.seats import SeatMark, arrangement_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData, read_tables

__all__ = [
    "Bridge",
    "FrameData",
    "ReactionData",
    "Seat",
    "SeatMark",
    "arrangement_functions",
    "parse_bridge",
    "read_bridge",
    "read_tables",
    "seat_marks",
]
