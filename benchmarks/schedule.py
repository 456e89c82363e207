"""The whole way: envelopes of the girder example, and commands from a cold start."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import prepare
from bedstone.bridge.reader import read_bridge
from bedstone.schedule.make import FAMILIES, schedule_of

from .rows import Row, best_of

EXAMPLES = Path(__file__).parents[1] / "examples"


def envelopes() -> list[Row]:
    """All effects of the girder example under each family, both bounds of the piers' stiffness."""
    prepared = prepare(read_bridge(EXAMPLES / "girders.toml"))
    rows = []
    with threadpool_limits(1, user_api="blas"):
        for family in FAMILIES:
            schedule_of(prepared, family)  # compiles the search for the worst places, once
            seconds = best_of(3, lambda name=family: schedule_of(prepared, name))
            rows.append(Row(f"girders.toml, {family}", seconds, "schedule", "limit 2 s"))
    return rows


def starts() -> list[Row]:
    """Commands as a person starts them, in a new process each time."""
    command = [sys.executable, "-m", "bedstone.cli"]
    rows = []
    for what, arguments, limit in (
        ("bedstone --help", ["--help"], "limit 0.3 s"),
        ("bedstone check truss.toml", ["check", str(EXAMPLES / "truss.toml")], ""),
        ("bedstone schedule truss.toml", ["schedule", str(EXAMPLES / "truss.toml")], "limit 3 s"),
    ):
        seconds = best_of(
            3,
            lambda extra=arguments: subprocess.run(
                [*command, *extra], check=True, capture_output=True
            ),
        )
        rows.append(Row(what, seconds, "command", limit))
    return rows
