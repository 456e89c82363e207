"""Verbs that hand something on: settings, drawings, the calculation package."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import (
    AsJson,
    BridgeFile,
    Standard,
    ending,
    faults_of,
    limits_of,
    one_of,
    one_thread,
    prepare_file,
    show,
    with_bar,
    write_files,
)
from bedstone.errors import Fault, InputError

if TYPE_CHECKING:
    from bedstone.bridge.schema import Bridge, FamilyName
    from bedstone.output.draw import Format
    from bedstone.output.export import Files
    from bedstone.output.report.contents import Contents
    from bedstone.schedule.analysis import Progress
    from bedstone.schedule.designs import SeatDesign
    from bedstone.schedule.result import Schedule
    from bedstone.site.setting import Setting

Folder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder to write into.")]


def designed(
    bridge: Bridge, folder: Path, standard: str | None, progress: Progress | None = None
) -> tuple[Schedule, tuple[SeatDesign, ...]]:
    """The schedule of a bridge and a bearing for every seat."""
    from bedstone.schedule.designs import design_seat, seats_of
    from bedstone.schedule.make import make_schedule

    made = make_schedule(bridge, folder, standard, progress)
    seats = seats_of(bridge, folder)
    return made, tuple(design_seat(made, bridge, seats, mark) for mark in seats.marks)


def setting(
    file: BridgeFile,
    seat: Annotated[str | None, typer.Option(metavar="MARK", help="One seat alone.")] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Also write cards.pdf to take to the site."),
    ] = None,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Say how every bearing is set on the day, by the temperature of the steel.

    The offset of the upper plate against the lower one, of rollers and segments, gaps to stops and
    of the joints at every 5 degC; what is still to come, how sure it is, and in which window of
    temperature an offset may be left as it is.
    """
    from bedstone.output.setting_data import settings_to_json
    from bedstone.output.setting_tables import settings_view
    from bedstone.schedule.context import family_of

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, FamilyName, tuple[Setting, ...]]:
        from bedstone.site.setting import settings

        prepared, family = prepare_file(bridge, folder, name)
        _, designs = designed(bridge, folder, name, progress)
        with one_thread():
            return bridge, family, settings(prepared, family, designs=designs)

    bridge, family, found = with_bar(file, standard, make)
    marks = [item.seat for item in found]
    if seat is not None and seat not in marks:
        raise InputError([Fault("command line", "--seat", repr(seat[:60]), ", ".join(marks))])
    chosen = [item for item in found if seat in (None, item.seat)]
    title = family_of(family).title
    if out is not None:
        from bedstone.output.setting_cards import cards

        write_files(out, {"cards.pdf": cards(bridge.bridge.name, title, chosen)})
    if as_json:
        sys.stdout.write(settings_to_json(chosen, bridge, family))
    else:
        show(settings_view(bridge.bridge.name, title, found, seat))


def draw(
    file: BridgeFile,
    out: Folder = Path("drawings"),
    formats: Annotated[
        list[str] | None,
        typer.Option("--format", metavar="KIND", help="dxf, svg or pdf; all three if none."),
    ] = None,
    standard: Standard = None,
    bare: Annotated[
        bool, typer.Option("--bare", help="Plan and elevation without analysis or bearings.")
    ] = False,
) -> None:
    """Draw the layout of the bearings, the elevation, and a sheet for every bearing as made.

    DXF in millimetres (details) and metres (plan, elevation), SVG and PDF of the same sheets. Equal
    bearings share a sheet.
    """
    from bedstone.bridge import read_tables
    from bedstone.output.draw import FORMATS, drawings, undrawn
    from bedstone.output.drawing.scene import scene_of

    wanted: list[Format] = []
    for told in formats or FORMATS:
        one_of(told, FORMATS, "--format")
        wanted += [known for known in FORMATS if known == told and known not in wanted]

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> tuple[dict[str, str | bytes], tuple[str, ...]]:
        scene = scene_of(bridge, read_tables(bridge, folder))
        if bare:
            return drawings(scene, None, (), wanted), ()
        made, designs = designed(bridge, folder, name, progress)
        return drawings(scene, made, designs, wanted), undrawn(designs)

    files, missing = with_bar(file, standard, make)
    write_files(out, files)
    for text in missing:
        typer.echo(f"no sheet for {text}", err=True)


def report(
    file: BridgeFile,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE.pdf", help="The file to write.")
    ] = Path("report.pdf"),
    standard: Standard = None,
    paper: Annotated[str, typer.Option(metavar="SIZE", help="a4 or letter.")] = "a4",
    day: Annotated[
        str | None,
        typer.Option("--date", metavar="DATE", help="Date on the package, such as 2026-05-31."),
    ] = None,
    bearings: Annotated[
        bool, typer.Option("--bearings/--no-bearings", help="With the design of the bearings.")
    ] = True,
    every: Annotated[
        bool,
        typer.Option("--compare", help="With every arrangement, not the pinned ones alone."),
    ] = False,
) -> None:
    """Write the calculation package as PDF: input, model, actions, schedule, bearings, sources."""
    from bedstone.output.report.contents import contents_of
    from bedstone.output.report.report import date_of, paper_of, report_pdf

    ending(out, ".pdf", "--out")
    size, made = paper_of(paper), date_of(day, os.environ)

    def make(
        bridge: Bridge, _: Path, name: str | None, progress: Progress | None = None
    ) -> Contents:
        return contents_of(bridge, file, name, progress, bearings=bearings, every=every)

    found = with_bar(file, standard, make)
    with faults_of(file):
        write_files(out.parent, {out.name: report_pdf(found, size, made)})


def export(
    file: BridgeFile,
    what: Annotated[
        str,
        typer.Option(
            metavar="RESULT",
            help="schedule, bearings, comparison, sharing, faults, chance or setting.",
        ),
    ] = "schedule",
    to: Annotated[
        str, typer.Option(metavar="FORM", help="csv, json, parquet; xlsx and ifc of the first two.")
    ] = "csv",
    out: Folder = Path("export"),
    standard: Standard = None,
) -> None:
    """Write a result as data for other programs: tables, a workbook, a model of the bridge."""
    from bedstone.output.export import form_of

    form_of(what, to)

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> Files:
        if what in ("schedule", "bearings"):
            return _papers(what, to, bridge, folder, name, progress)
        return _answers(what, to, bridge, folder, name, progress)

    write_files(out, with_bar(file, standard, make))


def _papers(
    what: str, to: str, bridge: Bridge, folder: Path, name: str | None, progress: Progress | None
) -> Files:
    """The schedule or the bearings, with the settings where the bridge has a model."""
    from bedstone.bridge import read_tables
    from bedstone.bridge.schema import Reactions
    from bedstone.bridge.seats import arrangement_functions
    from bedstone.output.export import bearing_files, schedule_files
    from bedstone.site.setting import settings

    made, designs = designed(bridge, folder, name, progress)
    functions = arrangement_functions(bridge, read_tables(bridge, folder))
    set_by: tuple[Setting, ...] = ()
    modelled = not isinstance(bridge.superstructure, Reactions)
    if to == "xlsx" and modelled and bridge.actions.temperature is not None:
        prepared, family = prepare_file(bridge, folder, name)
        with one_thread():
            set_by = settings(prepared, family, designs=designs)
    files = bearing_files if what == "bearings" else schedule_files
    return files(to, made, bridge, functions, designs, set_by)


def _answers(
    what: str, to: str, bridge: Bridge, folder: Path, name: str | None, progress: Progress | None
) -> Files:
    """What a verb of the same name works out."""
    from bedstone.output import export as files

    prepared, family = prepare_file(bridge, folder, name)
    with one_thread():
        match what:
            case "comparison":
                from bedstone.comparison.compare import compare

                found = compare(prepared, family, limits_of(prepared, ()), progress=progress)
                return files.comparison_files(to, found, bridge)
            case "sharing":
                from bedstone.articulation.arrangement import arrange
                from bedstone.bridge.seats import arrangement_functions
                from bedstone.comparison.fixed_point import still_points
                from bedstone.comparison.sharing import share

                functions = arrangement_functions(bridge, prepared.tables)
                point = bridge.arrangement.fixed_point
                own = arrange(prepared.structure, list(bridge.support), functions, point)
                points = still_points(prepared, family, own)
                return files.sharing_files(to, share(prepared, family, own), points, bridge)
            case "faults":
                from bedstone.comparison.faults import what_if
                from bedstone.comparison.faults_list import faults_of as single_faults
                from bedstone.comparison.screen import Screen

                screen = Screen(prepared, family)
                limits = limits_of(prepared, ())
                tried = what_if(screen, single_faults(screen), progress, limits=limits)
                return files.fault_files(to, tried)
            case "chance":
                from bedstone.comparison.uncertainty import chance

                return files.chance_files(to, chance(prepared, family, progress=progress))
            case _:
                from bedstone.site.setting import settings

                _, designs = designed(bridge, folder, name, progress)
                found_settings = settings(prepared, family, designs=designs)
                return files.setting_files(to, found_settings, bridge, family)
