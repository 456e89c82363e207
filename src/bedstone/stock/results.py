"""What is worked out of one bridge: the verbs of one bridge, one after the other.

A part that cannot be worked out is a remark; the parts after it go on.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from threadpoolctl import threadpool_limits

from bedstone.actions.kept import Kept
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Bridge, FamilyName, Reactions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.faults import what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.screen import Screen
from bedstone.errors import CheckError, Fault, InputError, UnstableError
from bedstone.schedule.context import family_name
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule, schedule_of
from bedstone.schedule.result import Schedule
from bedstone.site.inspection import inspect
from bedstone.site.record import current_readings, record_file
from bedstone.site.setting import Setting, settings
from bedstone.stock import rows
from bedstone.stock.tables import Cell, Row, Rows, gathered
from bedstone.stock.task import Options, Part, remarks

Made = TypeVar("Made")

#: Single faults that are worked out in full, so that the first in the ranking is not screened only.
IN_FULL = 1

#: What an error makes of a bridge.
_STATES: tuple[tuple[type[Exception], str], ...] = (
    (InputError, "faulty"),
    (UnstableError, "unstable"),
    (CheckError, "check fails"),
)


def results(file: Path, path: str, options: Options) -> Rows:
    """The rows of a bridge file by table; `path`: what the bridge is called in its stock.

    Faults of the file, free motions and results that fail their own check are remarks.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        work = _Work(file, path, options)
        work.run()
        return {name: found for name, found in work.made.items() if found}


@dataclass(frozen=True)
class _Read:
    """A bridge that was read and has its schedule; what several parts ask for is made once.

    `prepared`: None for given reactions, which have no model; `kept`: loads and traffic so far.
    """

    folder: Path
    bridge: Bridge
    name: FamilyName
    prepared: Prepared | None
    schedule: Schedule
    kept: Kept

    @cached_property
    def designs(self) -> tuple[SeatDesign, ...]:
        """The bearing of every seat."""
        seats = seats_of(self.bridge, self.folder)
        return tuple(design_seat(self.schedule, self.bridge, seats, mark) for mark in seats.marks)

    @cached_property
    def screen(self) -> Screen:
        """The envelopes of the bridge."""
        assert self.prepared is not None
        return Screen(self.prepared, self.name, kept=self.kept)

    def settings(self, designs: Sequence[SeatDesign]) -> tuple[Setting, ...]:
        """How its bearings are set."""
        assert self.prepared is not None
        return settings(self.prepared, self.name, self.screen, designs)

    @cached_property
    def set_by(self) -> tuple[Setting, ...]:
        """How its bearings are set, whether given or designed."""
        return self.settings(self.designs)


@dataclass
class _Work:
    """One bridge while it is worked out: the rows so far."""

    file: Path
    path: str
    options: Options
    made: dict[str, tuple[Row, ...]] = field(default_factory=dict)
    head: dict[str, Cell] = field(default_factory=dict)
    travel_left: dict[str, float] = field(default_factory=dict)

    def run(self) -> None:
        """Every part asked for; what is known of the bridge is written last."""
        self.head = {"bridge": self.path, "state": "done"}
        self._all()
        self._keep("bridges", [self.head])

    def _all(self) -> None:
        bridge = self._attempt("file", self._bridge, decides=True)
        if bridge is None:
            return
        read = self._attempt("schedule", lambda: self._schedule(bridge), decides=True)
        if read is None:
            return
        parts: dict[Part, Callable[[_Read], None]] = {
            "size": self._size,
            "setting": self._setting,
            "what-if": self._what_if,
            "inspect": self._inspect,
            "monitor": self._monitor,
        }
        read_on_site = record_file(self.file).exists()
        for part, work in parts.items():
            if part not in self.options.parts:
                continue
            if part in ("inspect", "monitor") and not read_on_site:
                continue
            if part != "size" and read.prepared is None:
                self._remark(part, "note", "reactions are given: there is no model to try")
                continue
            self._attempt(part, lambda work=work: work(read))  # type: ignore[misc]
        # last, since travel left is known by now
        self._keep("seats", rows.seats(self.path, read.schedule, self.travel_left))

    # -------------------------------------------------------------- parts
    def _bridge(self) -> tuple[Bridge, FamilyName]:
        bridge = read_bridge(self.file)
        name = family_name(self.options.standard or bridge.bridge.standard)
        self.head |= rows.of_bridge(bridge, name)
        return bridge, name

    def _schedule(self, told: tuple[Bridge, FamilyName]) -> _Read:
        (bridge, name), folder = told, self.file.parent
        prepared, kept = None, Kept()
        if isinstance(bridge.superstructure, Reactions):
            schedule = make_schedule(bridge, folder, name)
        else:
            prepared = prepare(bridge, read_tables(bridge, folder))
            # bridges share the cores out among them; one bridge takes one
            schedule = schedule_of(prepared, name, threads=1, kept=kept)
        self.head |= {
            "set_at": schedule.set_at,
            "seats": len(schedule.seats),
            "redundancy": schedule.redundancy,
        }
        self._keep("supports", rows.supports(self.path, schedule))
        self._keep("effects", rows.effects(self.path, schedule))
        return _Read(folder, bridge, name, prepared, schedule, kept)

    def _size(self, read: _Read) -> None:
        self._keep("bearings", (rows.bearing(self.path, item) for item in read.designs))

    def _setting(self, read: _Read) -> None:
        """Travel left when the bearings stand as the file set them.

        Only ends that are there count: of bearings that the file gives, and its stops. Ends of a
        bearing that was just designed say nothing about the bridge.
        """
        given: Sequence[SeatDesign] = ()
        if read.bridge.bearings.given:
            given = [item for item in read.designs if item.origin == "given"]
        for found in read.settings(given):
            left = found.row(found.temperatures.setting).left
            if left is not None and math.isfinite(left):
                self.travel_left[found.seat] = left

    def _what_if(self, read: _Read) -> None:
        found = what_if(
            read.screen, faults_of(read.screen), full=IN_FULL,
            schedule=read.schedule, kept=read.kept,
        )  # fmt: skip
        self._keep("single_faults", rows.single_faults(self.path, found))

    def _inspect(self, read: _Read) -> None:
        readings = current_readings(record_file(self.file))
        if not readings:  # logs alone
            return
        assert read.prepared is not None
        found = inspect(
            read.prepared, read.name, readings, read.designs,
            screen=read.screen, set_by=read.set_by,
        )  # fmt: skip
        self._keep("inspections", (rows.inspection(self.path, item) for item in found.seats))

    def _monitor(self, read: _Read) -> None:
        # their statistics take long to load, and few bridges have logs
        from bedstone.site.monitoring.gather import from_record
        from bedstone.site.monitoring.watch import watch

        series = from_record(record_file(self.file), read.set_by)
        opened = None
        if series.built is not None:
            opened = (series.built - dt.date(1970, 1, 1)).days * 86_400_000_000_000  # ns
        found = watch(series.series, read.set_by, opened=opened, clamped=series.clamped)
        self._keep("monitored", (rows.monitored(self.path, item) for item in found))

    # -------------------------------------------------------------- rows
    def _keep(self, table: str, found: Iterable[rows.Found]) -> None:
        self.made[table] = (*self.made.get(table, ()), *gathered(table, found))

    def _remark(self, part: str, what: str, text: str) -> None:
        number = len(self.made.get("remarks", ())) + 1
        told: rows.Found = {
            "bridge": self.path, "number": number, "part": part, "what": what, "text": text,
        }  # fmt: skip
        self._keep("remarks", [told])

    def _attempt(
        self, part: str, work: Callable[[], Made], *, decides: bool = False
    ) -> Made | None:
        """What a part makes; None where it refuses, with remarks and, where it `decides`, the
        state of the bridge.
        """
        try:
            return work()
        except (InputError, UnstableError, CheckError) as error:
            state = next(word for kind, word in _STATES if isinstance(error, kind))
            if decides:
                self.head["state"] = state
            if isinstance(error, InputError):
                start = len(self.made.get("remarks", ()))
                faults = [self._named(fault) for fault in error.faults]
                told = remarks(self.path, part, faults, start)
                self._keep("remarks", told)
            else:
                for text in dict.fromkeys(str(error).split("; ")):
                    self._remark(part, state, text)
            return None

    def _named(self, fault: Fault) -> Fault:
        """The fault with the bare name of a file of this bridge: where it lies is of this run."""
        return replace(fault, file=fault.file.removeprefix(f"{self.file.parent}/"))
