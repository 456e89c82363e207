"""The verb that judges logs of movement against temperature."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import (
    CHECK_FAILS,
    AsJson,
    BridgeFile,
    LogColumns,
    LogUnits,
    Standard,
    one_thread,
    pairs_of,
    plain,
    prepare_file,
    show,
    with_bar,
)
from bedstone.cli.paper import designed
from bedstone.errors import Fault, InputError

if TYPE_CHECKING:
    from bedstone.bridge.schema import Bridge, FamilyName
    from bedstone.schedule.analysis import Progress
    from bedstone.site.monitoring.gather import Gathered
    from bedstone.site.setting import Setting

_NS_A_DAY = 86_400_000_000_000


def monitor(
    file: BridgeFile,
    logs: Annotated[
        list[Path] | None,
        typer.Argument(metavar="LOG", help="Logs (CSV, Parquet); without: the record."),
    ] = None,
    seat: Annotated[str, typer.Option(metavar="MARK", help="Seat of logs that name none.")] = "",
    zone: Annotated[
        str,
        typer.Option(metavar="ZONE", help="Of stamps without one, such as Europe/Lisbon."),
    ] = "",
    column: LogColumns = None,
    unit: LogUnits = None,
    accept: Annotated[
        list[str] | None,
        typer.Option(metavar="WHAT", help="A doubt about the log that was looked at."),
    ] = None,
    relative: Annotated[
        bool,
        typer.Option("--relative", help="Logs count from a zero of their own."),
    ] = False,
    opened: Annotated[
        str | None,
        typer.Option(metavar="DATE", help="Day on which the bearings came into use."),
    ] = None,
    thresholds: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Thresholds in the place of the usual ones."),
    ] = None,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Judge how bearings move with temperature: free, frozen, creeping, at a stop, or a bad gauge.

    Movement against temperature of every seat in the logs, or of the record of the bridge where no
    log is given; mobility with its interval, lag, sticking, drift, steps, travel left and when an
    end is reached. Leaves with 1 when a bearing or a gauge needs action.
    """
    from bedstone.output.monitor_data import monitor_to_json
    from bedstone.output.monitor_tables import monitor_view
    from bedstone.schedule.context import family_of
    from bedstone.site.monitoring.watch import watch
    from bedstone.site.tolerances import read_tolerances, usual

    limits = (
        usual("monitoring") if thresholds is None else read_tolerances(thresholds, "monitoring")
    )
    first = _day(opened)
    names, units = pairs_of(column, "--column"), pairs_of(unit, "--unit")
    if not logs and (seat or zone or names or units or accept):
        raise InputError([Fault("command line", "LOG", "no log", "a log, with its options")])

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, FamilyName, tuple[Setting, ...]]:
        from bedstone.site.setting import settings

        prepared, family = prepare_file(bridge, folder, name)
        _, designs = designed(bridge, folder, name, progress)
        with one_thread():
            return bridge, family, settings(prepared, family, designs=designs)

    bridge, family, found = with_bar(file, standard, make)
    gathered = _gathered(file, logs or (), found, (seat, zone, names, units, accept or ()))
    for text in gathered.told:
        typer.echo(plain(text), err=True)
    if first is None:
        first = gathered.built
    watched = watch(
        gathered.series,
        found,
        limits=limits,
        relative=relative,
        opened=None if first is None else (first - dt.date(1970, 1, 1)).days * _NS_A_DAY,
        clamped=gathered.clamped,
    )
    if as_json:
        sys.stdout.write(monitor_to_json(watched, bridge, family, limits, gathered.told))
    else:
        show(monitor_view(bridge.bridge.name, family_of(family).title, watched, limits))
    if any(item.action for item in watched):
        raise typer.Exit(CHECK_FAILS)


def _gathered(
    file: Path,
    logs: Sequence[Path],
    settings: Sequence[Setting],
    told: tuple[str, str, dict[str, str], dict[str, str], Sequence[str]],
) -> Gathered:
    """The series of the logs, or of the record beside the bridge file."""
    from bedstone.site.log_files import LogForm
    from bedstone.site.monitoring.gather import from_logs, from_record
    from bedstone.site.record import record_file

    if not logs:
        return from_record(record_file(file), settings)
    seat, zone, names, units, accept = told
    steel = (settings[0].temperatures.coldest, settings[0].temperatures.warmest)
    wanted = LogForm(
        tuple(item.seat for item in settings), seat, names, units, zone,
        steel=steel, accept=frozenset(accept),
    )  # fmt: skip
    return from_logs(logs, wanted)


def _day(told: str | None) -> dt.date | None:
    if told is None:
        return None
    try:
        return dt.date.fromisoformat(told)
    except ValueError:
        allowed = "a day such as 2026-05-31"
        raise InputError([Fault("command line", "--opened", repr(told[:60]), allowed)]) from None
