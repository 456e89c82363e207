"""The verb of readings: forms out and in, the record, corrections, the history."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import (
    AsJson,
    BridgeFile,
    LogColumns,
    LogUnits,
    Standard,
    accepted_rows,
    counted,
    faults_of,
    one_thread,
    pairs_of,
    plain,
    prepare_file,
    show,
    with_bar,
)
from bedstone.cli.paper import designed
from bedstone.errors import Fault, InputError
from bedstone.files import write_atomically

if TYPE_CHECKING:
    from bedstone.bridge.schema import Bridge
    from bedstone.schedule.analysis import Progress
    from bedstone.site.known_bridge import KnownBridge
    from bedstone.site.record import Entry

#: In the place of a reading: it never was one.
TAKE_BACK = "take back"

Marks = Annotated[
    list[str] | None,
    typer.Option("--seat", metavar="MARK", help="These seats or supports alone."),
]


def record(
    file: BridgeFile,
    form: Annotated[
        Path | None,
        typer.Option("--form", metavar="OUT", help="Write a form for a visit (.xlsx or .csv)."),
    ] = None,
    add: Annotated[
        list[Path] | None,
        typer.Option("--add", metavar="FORM", help="Take filled-in forms into the record."),
    ] = None,
    log: Annotated[
        list[Path] | None,
        typer.Option("--log", metavar="LOG", help="Take logs in as well (CSV or Parquet)."),
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="Show what the record holds.")] = False,
    correct: Annotated[
        int | None,
        typer.Option("--correct", metavar="N", help="Put another reading in the place of No. N."),
    ] = None,
    export: Annotated[
        Path | None,
        typer.Option("--export", metavar="OUT", help="Write the history (.xlsx or .pdf)."),
    ] = None,
    seat: Marks = None,
    accept: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ROW|DOUBT",
            help="A row in doubt that was looked at and is right; FORM:ROW of several forms. Of "
            "logs: the doubt (temperature, swapped, units).",
        ),
    ] = None,
    value: Annotated[
        str | None,
        typer.Option(metavar="READING", help="Of a correction: '12 mm', a word, or 'take back'."),
    ] = None,
    steel: Annotated[
        str | None,
        typer.Option(metavar="TEMPERATURE", help="Of a correction: of the steel, '14 degC'."),
    ] = None,
    who: Annotated[str, typer.Option(metavar="NAME", help="Who corrects, or brings a log.")] = "",
    why: Annotated[str, typer.Option(metavar="REASON", help="Why it is corrected.")] = "",
    built: Annotated[
        str | None,
        typer.Option(
            metavar="DATE", help="Of a new record: day before which the bridge did not stand."
        ),
    ] = None,
    zone: Annotated[
        str, typer.Option(metavar="ZONE", help="Of a log whose times name none: Europe/Vienna.")
    ] = "",
    column: LogColumns = None,
    unit: LogUnits = None,
    expected: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE", help="On a form: what is expected at it, beside the readings."
        ),
    ] = None,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Take readings on bearings, keep them for good, and show their history.

    The record lies beside the bridge file as NAME.readings.duckdb. Nothing in it is changed or
    taken out: a correction is a reading of its own that names the one it takes the place of.
    """
    asked = _Asked(
        file, form, tuple(add or ()), tuple(log or ()), listed, correct, export, tuple(seat or ()),
        standard, as_json,
    )  # fmt: skip
    asked.one_thing()
    asked.nothing_left_out(
        {
            "--value": (value, "--correct"), "--steel": (steel, "--correct"),
            "--why": (why, "--correct"), "--who": (who, "--correct or --log"),
            "--accept": (accept, "--add or --log"), "--built": (built, "--add or --log"),
            "--zone": (zone, "--log"), "--column": (column, "--log"), "--unit": (unit, "--log"),
            "--expected": (expected, "--form"),
        }
    )  # fmt: skip
    if form is not None:
        _write_form(asked, form, expected)
    elif add or log:
        columns = pairs_of(column, "--column"), pairs_of(unit, "--unit")
        _take_in(asked, tuple(accept or ()), _day(built), who, zone, columns)
    elif correct is not None:
        _correct(asked, correct, value, steel, who, why)
    elif export is not None:
        _write_history(asked, export)
    else:
        _list(asked)


@dataclass(frozen=True)
class _Asked:
    """What was asked for at the command line."""

    file: Path
    form: Path | None
    add: tuple[Path, ...]
    log: tuple[Path, ...]
    listed: bool
    correct: int | None
    export: Path | None
    seats: tuple[str, ...]
    standard: str | None
    as_json: bool

    def one_thing(self) -> None:
        """Refuse two things at once."""
        told = [
            name
            for name, is_told in (
                ("--form", self.form is not None),
                ("--add or --log", bool(self.add or self.log)),
                ("--list", self.listed),
                ("--correct", self.correct is not None),
                ("--export", self.export is not None),
            )
            if is_told
        ]
        if len(told) > 1:
            found = " and ".join(told)
            raise InputError([Fault("command line", "options", found, "one of them at a time")])

    def nothing_left_out(self, told: Mapping[str, tuple[object, str]]) -> None:
        """Refuse what says nothing about the thing asked for, instead of passing it over.

        `told`: by option, what was told and which options it belongs to.
        """
        here = {
            "--form": self.form is not None,
            "--add": bool(self.add),
            "--log": bool(self.log),
            "--correct": self.correct is not None,
        }
        faults = [
            Fault("command line", option, f"no {needs}", f"only with {needs}")
            for option, (value, needs) in told.items()
            if value and not any(is_there for name, is_there in here.items() if name in needs)
        ]
        if faults:
            raise InputError(faults)

    def known(self, *, settings: bool) -> KnownBridge:
        """The bridge as readings see it; `settings`: with how its bearings are set."""
        if settings:
            return with_bar(self.file, self.standard, _known_bridge)
        from bedstone.bridge import read_bridge
        from bedstone.site.known_bridge import known_bridge

        with faults_of(self.file):
            return known_bridge(read_bridge(self.file), self.file.parent)

    def chosen(self, bridge: KnownBridge) -> None:
        """Refuse marks that are neither a seat nor a support."""
        marks = [*bridge.seats, *bridge.supports]
        wrong = [mark for mark in self.seats if mark not in marks]
        if wrong:
            allowed = ", ".join(marks)
            raise InputError(
                [Fault("command line", "--seat", repr(mark[:60]), allowed) for mark in wrong]
            )


def _known_bridge(
    bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
) -> KnownBridge:
    from bedstone.bridge.schema import Reactions
    from bedstone.site.known_bridge import known_bridge
    from bedstone.site.setting import settings

    if isinstance(bridge.superstructure, Reactions) or bridge.actions.temperature is None:
        return known_bridge(bridge, folder)  # nothing to expect anything by
    prepared, family = prepare_file(bridge, folder, name)
    _, designs = designed(bridge, folder, name, progress)
    chosen = frozenset(item.seat for item in designs if item.origin == "chosen")
    with one_thread():
        found = settings(prepared, family, designs=designs)
    return known_bridge(bridge, folder, found, chosen)


def _write_form(asked: _Asked, out: Path, expected: str | None) -> None:
    from bedstone.bridge.units import UnitError, quantity
    from bedstone.output.reading_form import reading_form, reading_form_csv

    _of_kind(out, (".xlsx", ".csv"), "--form")
    if out.exists():
        found = f"{str(out)[:60]!r}, which is there already"
        allowed = "a name that is free: a form that was filled in must not be lost"
        raise InputError([Fault("command line", "--form", found, allowed)])
    warm = None
    if expected is not None:
        try:
            warm = quantity("degC").value(expected)
        except UnitError as error:
            found = repr(expected[:60])
            raise InputError([Fault("command line", "--expected", found, str(error))]) from error
    bridge = asked.known(settings=True)
    make = reading_form if out.suffix.lower() == ".xlsx" else reading_form_csv
    write_atomically(out, make(bridge, asked.seats, warm))
    typer.echo(f"written: {out}", err=True)
    for seat in bridge.seats.values():
        if not seat.told and (not asked.seats or seat.seat in asked.seats):
            typer.echo(
                f"{seat.seat}: the bridge file names no kind of bearing; the form asks for what "
                f"can be read on a {seat.kind or 'bearing of any kind'}",
                err=True,
            )


def _take_in(
    asked: _Asked,
    accept: Sequence[str],
    built: date | None,
    who: str,
    zone: str,
    columns: tuple[dict[str, str], dict[str, str]],
) -> None:
    """Take in forms and logs: all of them, or none; `columns` of logs and their units."""
    from bedstone.site.log_files import LogForm
    from bedstone.site.log_forms import SUSPICIONS
    from bedstone.site.reading_files import FilledForm, read_form
    from bedstone.site.record import begin_record, open_record, other_bridge, record_file

    now = datetime.now(UTC)
    place = record_file(asked.file)
    bridge = asked.known(settings=True)
    asked.chosen(bridge)
    since = _since(place, built)
    doubts = frozenset(accept) & frozenset(SUSPICIONS) if asked.log else frozenset[str]()
    others = [text for text in accept if text not in doubts]
    if others and not asked.add:
        allowed = ", ".join(SUSPICIONS)
        raise InputError(
            [Fault("command line", "--accept", repr(text[:60]), allowed) for text in others]
        )
    rows = accepted_rows(others, asked.add)
    forms: list[FilledForm] = []
    faults: list[Fault] = []
    for path in asked.add:
        try:
            forms.append(
                read_form(path, bridge, now=now, accept=rows.get(path, ()), built=since)
            )  # fmt: skip
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    wanted = LogForm(
        tuple(bridge.seats), asked.seats[0] if len(asked.seats) == 1 else "", *columns, zone=zone,
        steel=bridge.reach, now=now, accept=doubts, since=_dawn(since),
    )  # fmt: skip
    told: list[str] = []
    logs, is_new = bool(asked.log), not place.exists()
    if is_new:
        told.append(f"new record: {place}")
        opened = begin_record(place, bridge.name, built, logs=logs)
    else:
        opened = open_record(place, write=True, logs=logs)
    with opened as found:
        told += filter(None, [other_bridge(found.bridge, bridge.name)])
        for one in forms:
            batch = found.add(one, now)
            readings = counted(len(one.readings), "reading")
            told.append(f"batch {batch.number}: {readings} of {one.file}")
            if one.looked:
                rows_told = ", ".join(map(str, one.looked))
                told.append(f"{one.file}: taken in although in doubt: row {rows_told}")
        for path in asked.log:
            batch, loaded = found.add_log(path, wanted, who, now)
            told.append(f"batch {batch.number}: {loaded.rows} rows of {loaded.file}")
            told += [f"{loaded.file}: {note.text}" for note in loaded.told]
    for text in told:  # now it is in
        typer.echo(plain(text), err=True)


def _correct(
    asked: _Asked, number: int, value: str | None, steel: str | None, who: str, why: str
) -> None:
    from bedstone.bridge.units import UnitError, quantity
    from bedstone.site import quantities
    from bedstone.site.reading_files import value_of
    from bedstone.site.record import open_record, record_file
    from bedstone.site.tolerances import usual

    if value is None and steel is None:
        allowed = "the right reading (--value), or the right temperature of the steel (--steel)"
        raise InputError([Fault("command line", "--value", "nothing", allowed)])
    warm = None
    if steel is not None:
        try:
            warm = quantity("degC").value(steel)
        except UnitError as error:
            raise InputError(
                [Fault("command line", "--steel", repr(steel[:60]), str(error))]
            ) from error
        least, most = (usual("readings").number(name) for name in ("coldest", "hottest"))
        if not least <= warm <= most:
            allowed = f"{least:g} to {most:g} degC"
            raise InputError([Fault("command line", "--steel", repr(steel[:60]), allowed)])
    place = record_file(asked.file)
    with open_record(place, write=True) as found:
        old = found.entry(number)
        if value is None:
            told: tuple[float | None, str] = (old.reading.value, old.reading.word)
        elif value.strip() == TAKE_BACK:
            told = (None, "")
        else:
            told = value_of(quantities.quantity(old.reading.quantity), value, "--value")
        new = found.correct(
            number, value=told[0], word=told[1], who=who, why=why, now=datetime.now(UTC),
            temperature=warm,
        )  # fmt: skip
    typer.echo(
        f"No. {new.number} in the place of {number}: {_told(old)} -> {_told(new)}",
        err=True,
    )


def _told(entry: Entry) -> str:
    """A reading and the steel temperature it was taken at."""
    from bedstone.output.record_tables import degrees, reading_words

    warm = entry.reading.temperature
    return reading_words(entry) + ("" if warm is None else f" at {degrees(warm)} degC")


def _list(asked: _Asked) -> None:
    from bedstone.output.record_data import record_to_json
    from bedstone.output.record_tables import record_view
    from bedstone.site.record import open_record, other_bridge, record_file

    bridge = asked.known(settings=False)
    asked.chosen(bridge)
    with open_record(record_file(asked.file)) as found:
        entries = tuple(
            item for item in found.entries() if not asked.seats or item.reading.seat in asked.seats
        )
        warned = other_bridge(found.bridge, bridge.name)
        batches = found.batches()
        logged = tuple(
            item for item in found.logged() if not asked.seats or item.seat in asked.seats
        )
    if warned:
        typer.echo(plain(warned), err=True)
    if asked.as_json:
        sys.stdout.write(record_to_json(bridge.name, entries, batches, logged))
    else:
        show(record_view(bridge.name, entries, batches, logged, ", ".join(asked.seats)))


def _write_history(asked: _Asked, out: Path) -> None:
    from bedstone.output.history import history_pdf
    from bedstone.output.history_book import history_workbook
    from bedstone.site.record import open_record, other_bridge, record_file

    _of_kind(out, (".xlsx", ".pdf"), "--export")
    _no_form(out)
    pdf = out.suffix.lower() == ".pdf"
    with open_record(record_file(asked.file)) as found:
        entries, batches, logged = found.entries(), found.batches(), found.logged()
        begun = found.bridge
    bridge = asked.known(settings=pdf)
    asked.chosen(bridge)
    if asked.seats:
        entries = tuple(item for item in entries if item.reading.seat in asked.seats)
    if warned := other_bridge(begun, bridge.name):
        typer.echo(plain(warned), err=True)
    made = history_pdf if pdf else history_workbook
    write_atomically(out, made(bridge, entries, batches, logged))
    typer.echo(f"written: {out}", err=True)


def _dawn(day: date | None) -> datetime | None:
    """When a day begins where it begins first on earth; its zone is not known."""
    if day is None:
        return None
    return datetime(day.year, day.month, day.day, tzinfo=timezone(timedelta(hours=14)))


def _since(place: Path, built: date | None) -> date | None:
    """Day before which the bridge did not stand: of the record, or as told for a new one."""
    from bedstone.site.record import open_record

    if not place.exists():
        return built
    with open_record(place) as found:
        known = found.built
    if built is not None and built != known:
        told = "no such day" if known is None else str(known)
        allowed = f"what the record holds since it was made: {told}"
        raise InputError([Fault("command line", "--built", str(built), allowed)])
    return known


def _day(told: str | None) -> date | None:
    if told is None:
        return None
    try:
        return date.fromisoformat(told.strip())
    except ValueError as error:
        allowed = "a date such as 1962-05-31"
        raise InputError([Fault("command line", "--built", repr(told[:60]), allowed)]) from error


def _no_form(out: Path) -> None:
    """Refuse to write a history over a form."""
    from bedstone.site.reading_grids import read_grids

    if out.suffix.lower() != ".xlsx" or not out.exists():
        return
    try:
        read_grids(out)
    except InputError:
        return
    found = f"{str(out)[:60]!r}, a form of readings"
    raise InputError([Fault("command line", "--export", found, "a name that is free")])


def _of_kind(out: Path, endings: tuple[str, ...], where: str) -> None:
    """Refuse a file of another kind: a slip such as ``--form bridge.toml`` must destroy nothing."""
    if out.suffix.lower() not in endings:
        allowed = f"a file whose name ends in {' or '.join(endings)}"
        raise InputError([Fault("command line", where, repr(str(out)[:60]), allowed)])
