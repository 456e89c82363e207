"""Schedules and bearings of the example bridges, computed once for the tests of files."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bedstone.bridge import read_bridge, read_tables
from bedstone.bridge.schema import Bridge, Seat
from bedstone.bridge.seats import arrangement_functions
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule

EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass(frozen=True)
class Example:
    bridge: Bridge
    schedule: Schedule
    functions: dict[str, Seat]
    designs: tuple[SeatDesign, ...]


@cache
def example(name: str) -> Example:
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    schedule = make_schedule(bridge, EXAMPLES)
    seats = seats_of(bridge, EXAMPLES)
    return Example(
        bridge,
        schedule,
        arrangement_functions(bridge, read_tables(bridge, EXAMPLES)),
        tuple(design_seat(schedule, bridge, seats, mark) for mark in seats.marks),
    )
