"""The verb that judges what was read on the bearings."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import (
    CHECK_FAILS,
    AsJson,
    BridgeFile,
    Standard,
    accepted_rows,
    one_thread,
    plain,
    prepare_file,
    show,
    with_bar,
)
from bedstone.cli.paper import designed
from bedstone.errors import Fault, InputError

if TYPE_CHECKING:
    from bedstone.bridge.schema import Bridge
    from bedstone.schedule.analysis import Progress
    from bedstone.site.inspection.result import Inspection
    from bedstone.site.known_bridge import KnownBridge
    from bedstone.site.readings import Reading
    from bedstone.site.setting import Setting


def inspect(
    file: BridgeFile,
    forms: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[FORM]...", help="Filled-in forms (xlsx or csv)."),
    ] = None,
    value: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='A reading, such as "A2-1 offset along = 12 mm".'),
    ] = None,
    temperature: Annotated[
        str | None,
        typer.Option(metavar="TEMP", help='Of the steel, with --value, such as "18 degC".'),
    ] = None,
    date: Annotated[
        str | None, typer.Option(metavar="DATE", help="With --value; now if left out.")
    ] = None,
    record: Annotated[
        bool, typer.Option("--record", help="With all readings in the record of the bridge.")
    ] = False,
    accept: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ROW",
            help="A row in doubt that was looked at and is right; FORM:ROW of several forms.",
        ),
    ] = None,
    seat: Annotated[str | None, typer.Option(metavar="MARK", help="One seat alone.")] = None,
    stage: Annotated[
        str,
        typer.Option(metavar="STAGE", help="Last stage that has come, if not all have."),
    ] = "",
    tolerances: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Tolerances in the place of the usual ones."),
    ] = None,
    causes: Annotated[
        int, typer.Option(metavar="N", min=1, max=33, help="Likely causes told of each bearing.")
    ] = 3,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Judge what was read on the bearings: verdicts, travel left, checks, causes, a rating.

    Each reading against what the temperature and the other readings ask; the bearing checked with
    its measured sizes; what the state found does to abutments and piers. Leaves with 1 when
    something is out of tolerance.
    """
    from bedstone.output.inspect_data import inspection_to_json
    from bedstone.output.inspect_tables import inspection_view
    from bedstone.schedule.context import family_of
    from bedstone.site.tolerances import read_tolerances

    if not forms and not value and not record:
        allowed = "a form, --value or --record"
        raise InputError([Fault("command line", "FORM", "nothing to judge", allowed)])
    if not value and (temperature is not None or date is not None):
        told = "--temperature" if temperature is not None else "--date"
        allowed = "only with --value: a form has its own"
        raise InputError([Fault("command line", told, "no --value", allowed)])
    if accept and not forms:
        raise InputError([Fault("command line", "--accept", "no form", "only with a form")])
    allowances = None if tolerances is None else read_tolerances(tolerances, "inspection")

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, Inspection]:
        from bedstone.comparison.screen import Screen
        from bedstone.site.inspection import inspect as judge
        from bedstone.site.known_bridge import known_bridge
        from bedstone.site.setting import settings

        prepared, family = prepare_file(bridge, folder, name)
        _, designs = designed(bridge, folder, name, progress)
        with one_thread():
            screen = Screen(prepared, family)
            found = settings(prepared, family, screen, designs)
            chosen = frozenset(item.seat for item in designs if item.origin == "chosen")
            known = known_bridge(bridge, folder, found, chosen)
            readings = _readings(
                file,
                known,
                forms or (),
                value or (),
                temperature,
                date,
                accept or (),
                record=record,
            )
            if seat is not None:
                _refuse_unread(readings, seat, found)
            return bridge, judge(
                prepared, family, readings, designs, allowances,
                screen=screen, set_by=found, stage=stage,
            )  # fmt: skip

    bridge, found = with_bar(file, standard, make)
    if seat is not None:
        # judged with all that was read: the neighbours of its line speak for its causes
        found = replace(
            found,
            seats=tuple(item for item in found.seats if item.seat == seat),
            joints=(),
            unread=(),
            designed=tuple(mark for mark in found.designed if mark == seat),
        )
    if as_json:
        sys.stdout.write(inspection_to_json(found, bridge))
    else:
        title = family_of(found.name).title
        show(inspection_view(bridge.bridge.name, title, found, count=causes))
    if not found.holds:
        raise typer.Exit(CHECK_FAILS)


def _readings(
    file: Path,
    known: KnownBridge,
    forms: tuple[Path, ...] | list[Path],
    values: tuple[str, ...] | list[str],
    temperature: str | None,
    date: str | None,
    accept: tuple[str, ...] | list[str],
    *,
    record: bool,
) -> tuple[Reading, ...]:
    """All readings asked for: of the record, of forms, typed in; all their faults at once."""
    from bedstone.site.inspection.typed import (
        refuse_misfits,
        typed_readings,
        typed_temperature,
        typed_time,
    )
    from bedstone.site.reading_files import read_form
    from bedstone.site.record import open_record, other_bridge, record_file

    now = dt.datetime.now(dt.UTC)
    found: list[Reading] = []
    faults: list[Fault] = []
    if record:
        with open_record(record_file(file)) as kept:
            found += kept.readings()
            warned = other_bridge(kept.bridge, known.name)
        if warned:
            typer.echo(plain(warned), err=True)
    rows = accepted_rows(accept, forms)
    for form in forms:
        try:
            found += read_form(form, known, now=now, accept=rows.get(form, ())).readings
        except InputError as error:
            faults += [
                replace(fault, file=str(form)) if fault.file == form.name else fault
                for fault in error.faults
            ]
    if values:
        marks = (*known.seats, *known.supports)
        steel: float | None = None
        time = now
        try:
            steel = typed_temperature(temperature)
        except InputError as error:
            faults += error.faults
        try:
            time = typed_time(date, now)
        except InputError as error:
            faults += error.faults
        try:
            typed = typed_readings(values, marks, steel, time)
            refuse_misfits(typed, known)
            found += typed
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return tuple(found)


def _refuse_unread(readings: tuple[Reading, ...], seat: str, settings: tuple[Setting, ...]) -> None:
    """Refuse a mark that is no seat, and a seat on which nothing was read."""
    marks = [item.seat for item in settings]
    if seat not in marks:
        raise InputError([Fault("command line", "--seat", repr(seat[:60]), ", ".join(marks))])
    if not any(item.seat == seat for item in readings):
        read = ", ".join(dict.fromkeys(item.seat for item in readings)) or "nothing"
        raise InputError([Fault("command line", "--seat", f"{seat}, not read", read)])
