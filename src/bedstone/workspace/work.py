"""Long work on a bridge file, as functions that a worker can call: text in, records out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bedstone.bridge.reader import read_text_of_bridge
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule


def full_schedule(
    text: str,
    name: str,
    folder: Path,
    standard: str | None,
    *,
    progress: Callable[[int, int, str], None],
) -> Schedule:
    """The whole schedule of bearings of a text; raises what `make_schedule` raises."""
    return make_schedule(read_text_of_bridge(text, name, folder), folder, standard, progress)
