"""Verbs of one bridge: its file, its schedule, its bearings, its page."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.errors import BedstoneError, Fault, InputError

if TYPE_CHECKING:
    from bedstone.schedule.designs import SeatDesign
    from bedstone.schedule.result import Schedule

from bedstone.cli.common import (
    BAD_INPUT,
    CHECK_FAILS,
    PIPED,
    AsJson,
    BridgeFile,
    Standard,
    complain,
    counted,
    ending,
    faults_of,
    make_schedule_of,
    one_of,
    plain,
    show,
    with_bar,
    write_files,
)

#: What there is a JSON Schema of: module and function.
SCHEMAS = {
    "bridge": ("bridge.export", "json_schema"),
    "schedule": ("output.data", "schedule_schema"),
    "bearings": ("output.bearing_data", "bearings_schema"),
    "comparison": ("output.compare_data", "comparison_schema"),
    "sharing": ("output.sharing_data", "sharing_schema"),
    "faults": ("output.fault_data", "faults_schema"),
    "chance": ("output.chance_data", "chance_schema"),
    "setting": ("output.setting_data", "settings_schema"),
    "stock": ("output.stock_data", "stock_schema"),
    "draft": ("output.draft_data", "drafts_schema"),
    "monitor": ("output.monitor_data", "monitor_schema"),
    "inspection": ("output.inspect_data", "inspection_schema"),
    "replacement": ("output.replace_data", "lift_schema"),
    "record": ("output.record_data", "record_schema"),
}


def new(
    kind: Annotated[
        str, typer.Option("--kind", metavar="KIND", help="girders, truss, frame or reactions.")
    ],
    path: Annotated[
        Path, typer.Argument(metavar="[PATH]", help="File to write.", show_default=True)
    ] = Path("bridge.toml"),
    force: Annotated[bool, typer.Option("--force", help="Overwrite files in the way.")] = False,
) -> None:
    """Write a commented bridge file to start from.

    Tables that belong to it are written beside it. Nothing is overwritten without --force.
    """
    from bedstone.bridge.templates import template, template_files
    from bedstone.files import write_atomically

    # the bridge file last: when it is there, everything it names is there too
    contents = {path.parent / name: text for name, text in template_files(kind).items()}
    contents[path] = template(kind)
    in_the_way = [target for target in contents if os.path.lexists(target)]
    if in_the_way and not force:
        allowed = "a name not taken yet, or --force to overwrite"
        raise InputError(
            [Fault(str(target), "file", "a file of this name", allowed) for target in in_the_way]
        )
    for target, text in contents.items():
        write_atomically(target, text)
        typer.echo(f"written: {target}")
    typer.echo(f"next: bedstone check {path}")


def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Bridge files (TOML).")],
) -> None:
    """Look for faults in bridge files.

    Each file is read; then the bridge is built and stood on its bearings, so that loose parts and
    unstable arrangements are found too. Every fault is told, one a line.
    """
    sound = True
    for file in files:
        try:
            typer.echo(f"{file}: ok: {_standing(file)}")
        except (BedstoneError, OSError) as error:
            complain(error, file)
            sound = False
    if not sound:
        raise typer.Exit(BAD_INPUT)


def _standing(file: Path) -> str:
    """Build the bridge of a file, stand it on its bearings and state its actions; in one line."""
    from bedstone.bearings.asked import options_of, sizes_of
    from bedstone.bridge import read_bridge, read_tables, seat_marks
    from bedstone.schedule.make import examine

    with faults_of(file):
        bridge = read_bridge(file)
        tables = read_tables(bridge, file.parent, file.name)
        options_of(bridge.bearings.options)
        for place, given in enumerate(bridge.bearings.given):
            sizes_of(given, place)
        redundancy = examine(bridge, file.parent)
    parts = [
        bridge.bridge.name,
        counted(len(seat_marks(bridge, tables)), "seat"),
        counted(len(bridge.support), "support"),
        counted(len(bridge.support) - 1, "span"),
        f"arrangement {bridge.arrangement.name}",
    ]
    if redundancy is None:
        return plain(", ".join([*parts, "no model: reactions are given"]))
    held = f"indeterminate to degree {redundancy}" if redundancy else "determinate"
    return plain(", ".join([*parts, f"statically {held} at its bearings"]))


def schedule(
    file: BridgeFile,
    standard: Standard = None,
    as_json: AsJson = False,
    folder: Annotated[
        Path | None,
        typer.Option("--csv", metavar="DIR", help="Also write seats.csv and supports.csv there."),
    ] = None,
    plan_file: Annotated[
        Path | None,
        typer.Option("--plan", metavar="FILE.svg", help="Also write the plan of the bearings."),
    ] = None,
    page_file: Annotated[
        Path | None,
        typer.Option("--page", metavar="FILE.html", help="Also write a page to print."),
    ] = None,
    seat: Annotated[
        str | None,
        typer.Option(metavar="MARK", help="One seat in full: what acts with each extreme."),
    ] = None,
    limit_state: Annotated[
        str | None,
        typer.Option(metavar="TEXT", help="Limit states whose name holds this, or all."),
    ] = None,
    with_bearings: Annotated[
        bool,
        typer.Option(
            "--with-bearings", help="Design the bearings and put their behaviour into the model."
        ),
    ] = False,
) -> None:
    """Compute the schedule of bearings of a bridge."""
    from bedstone.output import tables
    from bedstone.output.data import schedule_to_csv, schedule_to_json
    from bedstone.output.sheets import chosen_limit_states
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        one_of(standard, FAMILIES, "--standard")
    ending(plan_file, ".svg", "--plan")
    ending(page_file, ".html", "--page")
    designs: Sequence[SeatDesign] = ()
    if with_bearings:
        from bedstone.schedule.with_bearings import make_with_bearings

        both = with_bar(file, standard, make_with_bearings)
        made, designs = both.schedule, both.designs
    else:
        made = make_schedule_of(file, standard)
    states = chosen_limit_states(made, limit_state)
    view = (
        tables.schedule_view(made, states) if seat is None else tables.seat_view(made, seat, states)
    )
    parts = [
        *view,
        *tables.designed_view(designs),
    ]  # an unknown seat is told before anything is written
    if folder is not None:
        seats_csv, supports_csv = schedule_to_csv(made)
        write_files(folder, {"seats.csv": seats_csv, "supports.csv": supports_csv})
    _draw(made, states, plan_file, page_file)
    if as_json:
        sys.stdout.write(schedule_to_json(made))
    else:
        show(parts)


def serve(
    place: Annotated[
        Path, typer.Argument(metavar="PLACE", help="Bridge file (TOML), or a folder of them.")
    ],
    port: Annotated[
        int,
        typer.Option(metavar="PORT", min=0, max=65535, help="First port tried; 0: any free."),
    ] = 8765,
    host: Annotated[
        str,
        typer.Option(metavar="ADDRESS", help="Only another one lets other machines in."),
    ] = "127.0.0.1",
    out: Annotated[
        str | None,
        typer.Option(
            "--out", metavar="STORE", help="Of a folder: where its results are; else your cache."
        ),
    ] = None,
    thresholds: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Of a folder: thresholds of your own."),
    ] = None,
    team: Annotated[
        Path | None,
        typer.Option(metavar="TEAM.toml", help="Of a folder: who may come in, see docs/team.md."),
    ] = None,
    show: Annotated[
        bool, typer.Option("--open/--no-open", help="Open the page in the browser.")
    ] = True,
) -> None:
    """Open a bridge file as a page on this machine: turn a bearing, watch the abutment.

    A folder opens as the page of its stock: which bridge needs a visit first, and each of them.
    """

    def told(address: str) -> None:
        typer.echo(f"{address} (stop with Ctrl+C)")

    if place.is_dir():
        from bedstone.workspace.folder_app import serve_folder

        serve_folder(
            place, host, port, out=out, thresholds=thresholds, team=team, show=show, told=told
        )
        return
    given = {"--out": out, "--thresholds": thresholds, "--team": team}
    wrong = [name for name, value in given.items() if value is not None]
    if wrong:
        found, allowed = f"a single file: {place}", "with a folder of bridge files alone"
        raise InputError([Fault("command line", name, found, allowed) for name in wrong])
    from bedstone.workspace.app import serve as run

    with faults_of(place):
        run(place, host, port, show=show, told=told)


def size(
    file: BridgeFile,
    seat: Annotated[
        str | None,
        typer.Argument(metavar="[SEAT]", help="One seat in full; all in one line each if none."),
    ] = None,
    kind: Annotated[
        str | None, typer.Option(metavar="KIND", help="This kind instead of the file's.")
    ] = None,
    compare: Annotated[
        bool, typer.Option("--compare", help="All kinds side by side, or why not.")
    ] = False,
    full: Annotated[
        bool, typer.Option("--full", help="Formula and numbers of every line of a seat.")
    ] = False,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Design the bearings of a bridge, or check those that the file gives.

    The kind of a bearing is the one asked for with --kind, else that of the file, else the lightest
    that passes. Leaves with 1 where a check does not hold or no kind serves.
    """
    from bedstone.bearings.catalogue import kind_name
    from bedstone.bridge import read_bridge
    from bedstone.output import tables
    from bedstone.output.bearing_data import bearings_to_json
    from bedstone.schedule.designs import design_seat, seats_of
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        one_of(standard, FAMILIES, "--standard")
    wanted = None if kind is None else kind_name(kind)
    with faults_of(file):
        bridge = read_bridge(file)
        seats = seats_of(bridge, file.parent)
    if seat is not None:
        seats.known(seat)  # told before anything is computed
    made = make_schedule_of(file, standard)
    with faults_of(file):
        found = [
            design_seat(made, bridge, seats, mark, wanted, compared=compare)
            for mark in (seats.marks if seat is None else (seat,))
        ]
    if as_json:
        sys.stdout.write(bearings_to_json(made, found))
    elif compare:
        show(tables.comparison_view(made, found))
    elif seat is not None:
        show(tables.bearing_view(made, found[0], full))
    else:
        show(tables.bearings_view(made, found))
    if not all(item.serves for item in found):
        raise typer.Exit(CHECK_FAILS)


def schema(
    what: Annotated[
        str,
        typer.Argument(metavar="[WHAT]", help=f"{', '.join(SCHEMAS)}."),
    ] = "bridge",
) -> None:
    """Print the JSON Schema of a bridge file or of what a verb prints with --json."""
    import json
    from importlib import import_module

    room, function = SCHEMAS[one_of(what, tuple(SCHEMAS), "schema")]
    described = getattr(import_module(f"bedstone.{room}"), function)()
    typer.echo(json.dumps(described, indent=1, ensure_ascii=False))


def demo(
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder to leave the results in.")
    ] = Path("bedstone-demo"),
) -> None:
    """Compute a ready bridge and leave its schedule as tables, data and a picture."""
    from bedstone.bridge.templates import template
    from bedstone.files import write_atomically
    from bedstone.output import tables
    from bedstone.output.data import schedule_to_csv, schedule_to_json
    from bedstone.output.page import page
    from bedstone.output.plan import plan_svg
    from bedstone.output.sheets import chosen_limit_states

    file, text = out / "bridge.toml", template("truss")
    if file.exists() and file.read_bytes() != text.encode("utf-8"):
        allowed = "the demonstration bridge unchanged, or another folder with --out"
        raise InputError([Fault(str(file), "file", "a bridge file of yours", allowed)])
    out.mkdir(parents=True, exist_ok=True)
    write_atomically(file, text)
    made = make_schedule_of(file, None)
    states = chosen_limit_states(made, None)
    seats_csv, supports_csv = schedule_to_csv(made)
    plan = plan_svg(made)
    results = {
        "schedule.json": schedule_to_json(made),
        "seats.csv": seats_csv,
        "supports.csv": supports_csv,
        "schedule.txt": tables.to_text(tables.schedule_view(made, states), PIPED),
        "plan.svg": plan,
        "index.html": page(made, plan, states),
    }
    show(tables.schedule_view(made, states))
    write_files(out, results)
    typer.echo(f"bridge file: {file}\nopen in a browser: {out / 'index.html'}", err=True)


def sources(
    family: Annotated[
        str | None,
        typer.Argument(metavar="[FAMILY]", help="eurocode, aashto, irc or bearings; all if none."),
    ] = None,
    basis: Annotated[
        str | None,
        typer.Option(metavar="BASIS", help="Only print, secondary or memory."),
    ] = None,
) -> None:
    """List the values of the standards and of the bearings, and their sources.

    basis: print (read in the standard itself), secondary (read in a publication about it), memory
    (recalled: confirm it against the printed clause).
    """
    from typing import get_args

    from bedstone.bearings.constants import load_constants
    from bedstone.bridge.schema import Head
    from bedstone.output.tables import Sources
    from bedstone.standards.values import load_pack

    known = (*get_args(Head.model_fields["standard"].annotation), "bearings")
    families = known if family is None else (one_of(family, known, "FAMILY"),)
    bases = ("print", "secondary", "memory")
    wanted = bases if basis is None else (one_of(basis, bases, "--basis"),)
    values = [
        value
        for name in families
        for value in (load_constants() if name == "bearings" else load_pack(name).values())
        if value.basis in wanted
    ]
    counts = ", ".join(f"{sum(value.basis == each for value in values)} {each}" for each in wanted)
    show([Sources(tuple(values)), f"\n{len(values)} values: {counts}"], narrowest=40)


def _draw(
    made: Schedule, states: Sequence[str], plan_file: Path | None, page_file: Path | None
) -> None:
    """Write the plan and the page where they are asked for."""
    if plan_file is None and page_file is None:
        return
    from bedstone.output.page import page
    from bedstone.output.plan import plan_svg

    plan = plan_svg(made)
    if plan_file is not None:
        write_files(plan_file.parent, {plan_file.name: plan})
    if page_file is not None:
        write_files(page_file.parent, {page_file.name: page(made, plan, states)})
