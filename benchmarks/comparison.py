"""One bearing changed, and all arrangements compared, on the girder example.

One change: everything after the condensation anew for one arrangement and both stiffnesses below:
all 264 effects under every action, in every combination. In bulk: what `bedstone compare` keeps of
each arrangement. Beside them the schedule itself, which places traffic anew.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Seat
from bedstone.comparison.compare import CHUNK, _survey, references
from bedstone.comparison.generate import generate
from bedstone.comparison.screen import Screen
from bedstone.schedule.make import schedule_of

from .rows import Row, best_of

EXAMPLES = Path(__file__).parents[1] / "examples"
ARRANGEMENT = "arrangement"


def run() -> list[Row]:
    bridge = read_bridge(EXAMPLES / "girders.toml")
    with threadpool_limits(1, user_api="blas"):
        prepared = prepare(bridge)
        screen = Screen(prepared, "eurocode", references(prepared))
        own = bridge.arrangement
        other = bridge.model_copy(
            update={
                "arrangement": own.model_copy(
                    update={"seats": {**own.seats, "P1-2": Seat(function="free")}}
                )
            }
        )
        turns = iter(range(10**9))
        look = best_of(20, lambda: screen.look(other if next(turns) % 2 else bridge))
        found = generate(prepared)
        survey = _survey(screen, found)
        codes = found.codes.astype(np.intp)
        survey.some(codes[:CHUNK])
        bulk = best_of(3, lambda: survey.some(codes[:CHUNK])) / CHUNK
        whole = best_of(3, lambda: schedule_of(prepared, "eurocode"))
    positions = f"{screen.positions} loads of traffic"
    return [
        Row("one bearing changed: all effects, all combinations", look, ARRANGEMENT, positions),
        Row("in bulk (bedstone compare), one thread", bulk, ARRANGEMENT, f"of {len(found)}"),
        Row("schedule: traffic placed anew", whole, ARRANGEMENT),
    ]
