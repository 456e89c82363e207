"""The long questions of the pages, as functions that a worker can call: text in, records out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.reader import read_text_of_bridge
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import ReactionData, read_tables
from bedstone.comparison.compare import Comparison, compare
from bedstone.comparison.faults import WhatIf, what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.fixed_point import StillPoints, still_points
from bedstone.comparison.history import Timeline
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.screen import Screen
from bedstone.comparison.sharing import Sharing, share
from bedstone.errors import Fault, InputError
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule
from bedstone.site.setting import Setting, settings

Told = Callable[[int, int, str], None]


def scheduled(
    text: str, name: str, folder: Path, family: FamilyName, *, progress: Told
) -> Schedule:
    """The whole schedule of bearings of a text; raises what `make_schedule` raises."""
    return make_schedule(read_text_of_bridge(text, name, folder), folder, family, progress)


def compared(
    text: str, name: str, folder: Path, family: FamilyName, *, progress: Told
) -> Comparison:
    """All arrangements that the rules allow; raises what `compare` raises.

    The condensed superstructure cannot pass between processes: it is left out of `arrangements`
    (`with_prepared` puts it back).
    """
    progress(0, 0, "condensing the superstructure")
    bridge, prepared = _prepared(text, name, folder)
    limits = parse_limits(bridge.compare.limits, bridge, prepared.tables)
    found = compare(prepared, family, limits, progress=progress)
    return replace(found, arrangements=replace(found.arrangements, prepared=cast(Any, None)))


def with_prepared(found: Comparison, prepared: Prepared) -> Comparison:
    """The comparison on the condensed superstructure that it was made with."""
    return replace(found, arrangements=replace(found.arrangements, prepared=prepared))


def tried(text: str, name: str, folder: Path, family: FamilyName, *, progress: Told) -> WhatIf:
    """Every single fault; raises what `Screen` and `what_if` raise."""
    progress(0, 0, "condensing the superstructure")
    bridge, prepared = _prepared(text, name, folder)
    limits = parse_limits(bridge.compare.limits, bridge, prepared.tables)
    screen = Screen(prepared, family)
    return what_if(screen, faults_of(screen), progress, limits=limits)


def shared(
    text: str, name: str, folder: Path, family: FamilyName, *, progress: Told
) -> tuple[Sharing, StillPoints]:
    """Horizontal forces shared three ways, and the point that temperature does not move."""
    timeline = Timeline()
    progress(0, 3, "condensing the superstructure")
    bridge, prepared = _prepared(text, name, folder)
    functions = arrangement_functions(bridge, prepared.tables)
    point = bridge.arrangement.fixed_point
    arranged = arrange(prepared.structure, list(bridge.support), functions, point)
    progress(1, 3, f"following {timeline.years} years of movement")
    found = share(prepared, family, arranged, timeline=timeline)
    progress(2, 3, "finding the point without movement")
    return found, still_points(prepared, family, arranged)


def set_out(
    text: str, name: str, folder: Path, family: FamilyName, *, progress: Told
) -> tuple[Setting, ...]:
    """How every bearing is set, on its design; raises what `make_schedule` and `settings` raise."""
    made = scheduled(text, name, folder, family, progress=progress)
    bridge, prepared = _prepared(text, name, folder)
    seats = seats_of(bridge, folder)
    designs = []
    for done, mark in enumerate(seats.marks):
        progress(done, len(seats.marks), f"designing the bearing {mark}")
        designs.append(design_seat(made, bridge, seats, mark))
    progress(0, 0, "standing the bridge at every temperature")
    return settings(prepared, family, designs=designs)


def _prepared(text: str, name: str, folder: Path) -> tuple[Bridge, Prepared]:
    bridge = read_text_of_bridge(text, name, folder)
    tables = read_tables(bridge, folder)
    if isinstance(tables, ReactionData):
        allowed = "a superstructure with a model: of brought reactions nothing can be tried anew"
        raise InputError([Fault(name, "superstructure.kind", "reactions", allowed)])
    return bridge, prepare(bridge, tables)
