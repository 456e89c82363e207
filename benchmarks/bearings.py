"""Sizing the bearings of the girder example: every seat over every kind, and kind by kind."""

from __future__ import annotations

import time
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.bearings import catalogue, selection
from bedstone.bearings.asked import basis_of
from bedstone.bearings.base import Basis, Demand
from bedstone.bridge import read_bridge
from bedstone.schedule.demand import demand_of
from bedstone.schedule.designs import seats_of
from bedstone.schedule.make import make_schedule
from bedstone.standards.values import Values

from .rows import Row

EXAMPLES = Path(__file__).parents[1] / "examples"
BRIDGE = "girders"


def demands() -> tuple[list[Demand], Basis]:
    """What the seats of the example ask for, and what designs rest on."""
    bridge = read_bridge(EXAMPLES / f"{BRIDGE}.toml")
    schedule = make_schedule(bridge, EXAMPLES)
    family = bridge.bridge.standard
    marks = seats_of(bridge, EXAMPLES).marks
    basis = basis_of(bridge, family, Values(family))
    return [demand_of(schedule, bridge, mark) for mark in marks], basis


def run() -> list[Row]:
    with threadpool_limits(1):
        asked, basis = demands()
        selection.compare(asked[0], basis)  # data files are read once, by whoever comes first
        start = time.perf_counter()
        for demand in asked:
            selection.compare(demand, basis)
        whole = time.perf_counter() - start
        rows = [Row(f"{len(asked)} seats, all kinds compared", whole, "run", "on one core")]
        for name in catalogue.kinds():
            times = []
            for demand in asked:
                start = time.perf_counter()
                selection.size(demand, basis, name)
                times.append(time.perf_counter() - start)
            mean = sum(times) / len(times)
            rows.append(Row(name, mean, "seat", f"slowest seat {max(times) * 1e3:.0f} ms"))
    return rows
