"""The long questions of the pages, as functions that a worker can call: text in, records out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

import numpy as np

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
from bedstone.output.sheets import Sheet
from bedstone.output.words import memory_note
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule
from bedstone.site.setting import Setting, settings

if TYPE_CHECKING:  # heavy, and needed by workers alone
    from bedstone.site.log_files import Series
    from bedstone.site.monitoring.expected import Expected
    from bedstone.site.monitoring.watch import Watched
    from bedstone.site.readings import Reading

#: Points of a log that a page draws.
POINTS: Final = 2000

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


@dataclass(frozen=True)
class SetOut:
    """How every bearing is set; `chosen`: seats whose kind no file names and a design chose."""

    settings: tuple[Setting, ...]
    chosen: frozenset[str]


@dataclass(frozen=True)
class Judged:
    """What readings at one seat or support come to, in words.

    - `sheets`: verdicts; `parts`: sentences under a head; `loud`: what must be seen at once
    - `holds`: nothing out of tolerance; `count`: readings it rests on, `kept` of them in the record
    """

    place: str
    holds: bool
    sheets: tuple[Sheet, ...]
    loud: tuple[str, ...]
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    memory: str
    count: int
    kept: int


@dataclass(frozen=True)
class Cloud:
    """What a log of one seat says, ready to be drawn; mm, degC, milliseconds since 1970 (UTC).

    - `points` (time, temperature, movement): of a long log only so many, evenly through it
    - `line` (temperature, movement): of the fit at the end of the log, () where nothing was fitted
    - `steps` (time, size); `expected`: what the bearing should do, SI
    - `sentences`: findings with what to do, the worst first; `background`: what the fit rests on
    """

    seat: str
    title: str
    judgement: str
    action: bool
    sentences: tuple[str, ...]
    background: tuple[str, ...]
    expected: Expected
    readings: int
    points: tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]
    line: tuple[tuple[float, float], ...]
    steps: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Served:
    """What the record of a bridge says of its bearings.

    `sheet`: one line for each seat; `stamp`: time (ns) at which the record was changed last.
    """

    stamp: int
    sheet: Sheet
    clouds: tuple[Cloud, ...]
    told: tuple[str, ...]
    memory: str


@dataclass(frozen=True)
class _Stood:
    """A bridge with its bearings designed and set; kept by the worker for its next job."""

    bridge: Bridge
    prepared: Prepared
    screen: Screen
    designs: tuple[SeatDesign, ...]
    settings: tuple[Setting, ...]


def set_out(text: str, name: str, folder: Path, family: FamilyName, *, progress: Told) -> SetOut:
    """How every bearing is set, on its design; raises what `make_schedule` and `settings` raise."""
    stood = _stood(text, name, folder, family, progress)
    chosen = frozenset(item.seat for item in stood.designs if item.origin == "chosen")
    return SetOut(stood.settings, chosen)


def judged(
    text: str,
    name: str,
    folder: Path,
    family: FamilyName,
    place: str,
    readings: tuple[Reading, ...],
    *,
    progress: Told,
) -> Judged:
    """What was read at a seat or support, judged with all that the record has of its support.

    `readings`: not in the record. Raises what `set_out`, `open_record` and `inspect` raise.
    """
    from bedstone.output import inspect_tables
    from bedstone.output import inspect_words as words
    from bedstone.site.inspection import inspect
    from bedstone.site.record import current_readings, record_file

    stood = _stood(text, name, folder, family, progress)
    progress(0, 0, "judging the readings")
    record = record_file(folder / name)
    support = next((item.support for item in stood.settings if item.seat == place), place)
    near = {item.seat for item in stood.settings if item.support == support} | {support}
    kept = tuple(item for item in current_readings(record) if item.seat in near) if (
        record.exists()
    ) else ()  # fmt: skip
    found = inspect(
        stood.prepared, family, (*kept, *readings), stood.designs,
        screen=stood.screen, set_by=stood.settings,
    )  # fmt: skip
    own = replace(found, seats=tuple(item for item in found.seats if item.seat == place))
    sheets = [inspect_tables.table(words.title(item), item.verdicts) for item in own.seats]
    if own.joints:
        sheets.append(inspect_tables.table("At supports", own.joints, placed=True))
    told: list[tuple[str, tuple[str, ...]]] = []
    for item in own.seats:
        causes = [text for cause in item.causes[: inspect_tables.CAUSES]
                  for text in words.cause(cause)]  # fmt: skip
        told += [
            ("Travel", tuple(text for left in item.left for text in words.travel(left))),
            ("Sizes", tuple(words.capacity(item.capacity)) if item.capacity else ()),
            ("Abutments and piers", tuple(words.effect(effect) for effect in item.effects)),
            ("Likely causes", tuple(causes)),
            ("Rating", tuple(words.rating(item.rating))),
        ]
    loud = tuple(
        text for _, lines in told for text in lines
        if any(word in text for word in inspect_tables.LOUD)
    )  # fmt: skip
    return Judged(
        place, own.holds, tuple(sheets), loud, tuple(told), memory_note(words.from_memory(own)),
        len(kept) + len(readings), len(kept),
    )  # fmt: skip


def served(text: str, name: str, folder: Path, family: FamilyName, *, progress: Told) -> Served:
    """How the bearings move, by the record beside the file.

    Raises what `set_out`, `from_record` and `watch` raise.
    """
    from bedstone.output import monitor_tables
    from bedstone.site.monitoring.gather import from_record
    from bedstone.site.monitoring.watch import watch
    from bedstone.site.record import record_file
    from bedstone.site.tolerances import usual

    record = record_file(folder / name)
    if not record.exists():
        allowed = "a record: it begins with the first readings that are kept"
        raise InputError([Fault(record.name, "record", "no such file", allowed)])
    stood = _stood(text, name, folder, family, progress)
    progress(0, 0, "reading the record")
    stamp = record.stat().st_mtime_ns
    gathered = from_record(record, stood.settings)
    limits = usual("monitoring")
    progress(0, 0, "fitting movement to temperature")
    opened = None if gathered.built is None else _nanoseconds(gathered.built)
    found = watch(
        gathered.series, stood.settings, limits=limits, opened=opened, clamped=gathered.clamped
    )
    series = {item.seat: item for item in gathered.series}
    recalled = [value for _, value in sorted(limits.values.items()) if value.basis == "memory"]
    return Served(
        stamp,
        monitor_tables.table(found),
        tuple(_cloud(item, series[item.seat.seat]) for item in found),
        gathered.told,
        memory_note(recalled),
    )


def _nanoseconds(day: date) -> int:
    return (day - date(1970, 1, 1)).days * 86_400_000_000_000


def _cloud(found: Watched, series: Series) -> Cloud:
    """One seat, its points thinned so that a page can draw them."""
    from bedstone.output import monitor_words

    use = np.flatnonzero(np.isfinite(series.movement) & np.isfinite(series.temperature))
    if len(use) > POINTS:
        use = use[np.linspace(0, len(use) - 1, POINTS).round().astype(int)]
    times, warm, moved = series.time[use] / 1e6, series.temperature[use], series.movement[use] * 1e3
    fit, seat = found.fit, found.seat
    line: tuple[tuple[float, float], ...] = ()
    if fit is not None and len(use):
        ends = (float(warm.min()), float(warm.max()))
        line = tuple((end, fit.offset(end).value * 1e3) for end in ends)
    return Cloud(
        seat=seat.seat,
        title=monitor_words.title(found),
        judgement=monitor_words.judgement(found.judgement),
        action=found.action,
        sentences=tuple(monitor_words.sentences(found)),
        background=tuple(monitor_words.background(found)),
        expected=seat,
        readings=found.readings,
        points=(tuple(times.tolist()), tuple(warm.tolist()), tuple(moved.tolist())),
        line=line,
        steps=()
        if fit is None
        else tuple((step.time / 1e6, step.size.value * 1e3) for step in fit.steps),
    )


_last: list[tuple[object, _Stood]] = []


def _stood(text: str, name: str, folder: Path, family: FamilyName, progress: Told) -> _Stood:
    """A bridge with its bearings; the last one is kept, so that a second question is quick."""
    tables = tuple((file.name, file.stat().st_mtime_ns) for file in sorted(folder.glob("*.csv")))
    key = (text, name, folder, family, tables)
    if _last and _last[0][0] == key:
        return _last[0][1]
    made = scheduled(text, name, folder, family, progress=progress)
    bridge, prepared = _prepared(text, name, folder)
    seats = seats_of(bridge, folder)
    designs = []
    for done, mark in enumerate(seats.marks):
        progress(done, len(seats.marks), f"designing the bearing {mark}")
        designs.append(design_seat(made, bridge, seats, mark))
    progress(0, 0, "standing the bridge at every temperature")
    screen = Screen(prepared, family)
    found = settings(prepared, family, screen, designs)
    _last[:] = [(key, _Stood(bridge, prepared, screen, tuple(designs), found))]
    return _last[0][1]


def _prepared(text: str, name: str, folder: Path) -> tuple[Bridge, Prepared]:
    bridge = read_text_of_bridge(text, name, folder)
    tables = read_tables(bridge, folder)
    if isinstance(tables, ReactionData):
        allowed = "a superstructure with a model: of brought reactions nothing can be tried anew"
        raise InputError([Fault(name, "superstructure.kind", "reactions", allowed)])
    return bridge, prepare(bridge, tables)
