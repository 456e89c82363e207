"""The command line: verbs, messages and exit codes. It holds no engineering.

Exit codes: 0 done, 1 a check does not hold, 2 bad input, 3 a fault of the program itself, 130
interrupted.
Everything heavy is imported inside the verb that needs it, so that help appears at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError, CheckError, Fault, InputError, UnstableError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from bedstone.articulation.prepared import Prepared
    from bedstone.bridge.schema import Bridge, FamilyName
    from bedstone.comparison.code_rule import Way
    from bedstone.comparison.compare import Comparison
    from bedstone.comparison.faults import WhatIf
    from bedstone.comparison.first_failure import FirstFailure
    from bedstone.comparison.fixed_point import StillPoints
    from bedstone.comparison.limits import Limit
    from bedstone.comparison.sharing import Sharing
    from bedstone.comparison.uncertainty import Chance
    from bedstone.comparison.weigh import Weighed
    from bedstone.schedule.analysis import Progress
    from bedstone.schedule.designs import SeatDesign
    from bedstone.schedule.result import Schedule

Made = TypeVar("Made")

DONE, CHECK_FAILS, BAD_INPUT, PROGRAM_FAULT, INTERRUPTED = 0, 1, 2, 3, 130

#: Narrowest line the tables are laid out for; a narrower window wraps instead of cutting numbers.
_NARROWEST = 100
#: Line length when the output goes to a file or another program.
_PIPED = 120

app = typer.Typer(
    name="bedstone",
    help="What the bearings of a bridge carry, and what each abutment and pier takes.",
    epilog=SHORT,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: quick, and the same in a window and in a file
    context_settings={"help_option_names": ["-h", "--help"]},
)

BridgeFile = Annotated[Path, typer.Argument(metavar="FILE", help="Bridge file (TOML).")]
#: What there is a JSON Schema of: module and function.
SCHEMAS = {
    "bridge": ("bridge.export", "json_schema"),
    "schedule": ("output.data", "schedule_schema"),
    "bearings": ("output.bearing_data", "bearings_schema"),
    "comparison": ("output.compare_data", "comparison_schema"),
    "sharing": ("output.sharing_data", "sharing_schema"),
    "faults": ("output.fault_data", "faults_schema"),
    "chance": ("output.chance_data", "chance_schema"),
}
Standard = Annotated[
    str | None,
    typer.Option(metavar="FAMILY", help="eurocode, aashto or irc, instead of the file's."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")]


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"bedstone {__version__}")
        raise typer.Exit(DONE)


@app.callback()
def _root(
    version: Annotated[
        bool,
        typer.Option(
            "--version", is_eager=True, callback=_show_version, help="Show the version and leave."
        ),
    ] = False,
) -> None:
    """Hold the options that come before a verb."""


@app.command(epilog=SHORT)
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


@app.command(epilog=SHORT)
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
            _complain(error, file)
            sound = False
    if not sound:
        raise typer.Exit(BAD_INPUT)


def _standing(file: Path) -> str:
    """Build the bridge of a file, stand it on its bearings and state its actions; in one line."""
    from bedstone.bearings.asked import options_of, sizes_of
    from bedstone.bridge import read_bridge, read_tables, seat_marks
    from bedstone.schedule.make import examine

    with _faults_of(file):
        bridge = read_bridge(file)
        tables = read_tables(bridge, file.parent, file.name)
        options_of(bridge.bearings.options)
        for place, given in enumerate(bridge.bearings.given):
            sizes_of(given, place)
        redundancy = examine(bridge, file.parent)
    parts = [
        bridge.bridge.name,
        _count(len(seat_marks(bridge, tables)), "seat"),
        _count(len(bridge.support), "support"),
        _count(len(bridge.support) - 1, "span"),
        f"arrangement {bridge.arrangement.name}",
    ]
    if redundancy is None:
        return _plain(", ".join([*parts, "no model: reactions are given"]))
    held = f"indeterminate to degree {redundancy}" if redundancy else "determinate"
    return _plain(", ".join([*parts, f"statically {held} at its bearings"]))


@app.command(epilog=SHORT)
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
        _one_of(standard, FAMILIES, "--standard")
    _ending(plan_file, ".svg", "--plan")
    _ending(page_file, ".html", "--page")
    designs: Sequence[SeatDesign] = ()
    if with_bearings:
        from bedstone.schedule.with_bearings import make_with_bearings

        both = _with_bar(file, standard, make_with_bearings)
        made, designs = both.schedule, both.designs
    else:
        made = _make(file, standard)
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
        _write(folder, {"seats.csv": seats_csv, "supports.csv": supports_csv})
    _draw(made, states, plan_file, page_file)
    if as_json:
        sys.stdout.write(schedule_to_json(made))
    else:
        _print(parts)


@app.command(epilog=SHORT)
def serve(
    file: BridgeFile,
    port: Annotated[
        int,
        typer.Option(metavar="PORT", min=1, max=65535, help="First port tried."),
    ] = 8765,
    host: Annotated[
        str,
        typer.Option(metavar="ADDRESS", help="Only another one lets other machines in."),
    ] = "127.0.0.1",
    show: Annotated[
        bool, typer.Option("--open/--no-open", help="Open the page in the browser.")
    ] = True,
) -> None:
    """Open a bridge file as a page on this machine: turn a bearing, watch the abutment."""
    from bedstone.workspace.app import serve as run

    with _faults_of(file):
        run(
            file,
            host,
            port,
            show=show,
            told=lambda address: typer.echo(f"{address} (stop with Ctrl+C)"),
        )


@app.command(epilog=SHORT)
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
        _one_of(standard, FAMILIES, "--standard")
    wanted = None if kind is None else kind_name(kind)
    with _faults_of(file):
        bridge = read_bridge(file)
        seats = seats_of(bridge, file.parent)
    if seat is not None:
        seats.known(seat)  # told before anything is computed
    made = _make(file, standard)
    with _faults_of(file):
        found = [
            design_seat(made, bridge, seats, mark, wanted, compared=compare)
            for mark in (seats.marks if seat is None else (seat,))
        ]
    if as_json:
        sys.stdout.write(bearings_to_json(made, found))
    elif compare:
        _print(tables.comparison_view(made, found))
    elif seat is not None:
        _print(tables.bearing_view(made, found[0], full))
    else:
        _print(tables.bearings_view(made, found))
    if not all(item.serves for item in found):
        raise typer.Exit(CHECK_FAILS)


@app.command(epilog=SHORT)
def compare(
    file: BridgeFile,
    standard: Standard = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT", help='To be kept, such as "A1.Hx < 800 kN"; besides those of the file.'
        ),
    ] = None,
    objective: Annotated[
        str | None,
        typer.Option(metavar="TEXT", help="What is to be small, such as abutment force or P1.Fx."),
    ] = None,
    best: Annotated[
        int, typer.Option(metavar="N", min=1, max=20, help="How many of the best to show.")
    ] = 3,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="DIR", help="Write all arrangements there, as CSV, Parquet and JSON."
        ),
    ] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="Leave out working today's and the best out in full.")
    ] = False,
    weighed: Annotated[
        bool, typer.Option("--weigh", help="Design the bearings of those shown and weigh them.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Compare all arrangements that the rules of a bridge file allow.

    Each is measured, those that break a limit are put aside, the rest is ranked; the best and those
    pinned in the file stand beside today's. When it is interrupted it prints the ranking so far and
    leaves with 130; called again, a long comparison goes on where it stopped.
    """
    from bedstone.output.compare_data import comparison_to_json, ranking_files
    from bedstone.output.compare_tables import compare_view
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        _one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, Comparison, dict[str, Weighed] | None]:
        prepared, name = _prepared(bridge, place, family)
        limits = _limits(prepared, limit or [])
        found = _compared(prepared, name, limits, objective, best, not quick, progress)
        return bridge, found, _weights(prepared, name, found, progress) if weighed else None

    bridge, found, weights = _with_bar(file, standard, make)
    text = comparison_to_json(found, bridge, weights) if as_json or folder is not None else ""
    if folder is not None:
        _write(folder, {**ranking_files(found), "comparison.json": text})
    if as_json:
        sys.stdout.write(text)
    else:
        _print(compare_view(found, bridge, weights))
    if not found.complete:
        raise typer.Exit(INTERRUPTED)


@app.command(epilog=SHORT)
def sharing(
    file: BridgeFile,
    standard: Standard = None,
    years: Annotated[
        int, typer.Option(metavar="N", min=1, max=200, help="Years of temperature on the path.")
    ] = 2,
    by_stiffness: Annotated[
        bool,
        typer.Option("--by-stiffness", help="Let the rule share by stiffness, where it has one."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Share the horizontal forces of a bridge three ways, side by side.

    By the rule of the family, by stiffness, and along a path of temperature, traffic and braking
    with friction, play and stops; with the point that temperature does not move.
    """
    from bedstone.output.sharing_data import sharing_to_json
    from bedstone.output.sharing_tables import sharing_view
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        _one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, Sharing, StillPoints]:
        from bedstone.articulation.arrangement import arrange
        from bedstone.bridge.seats import arrangement_functions
        from bedstone.comparison.fixed_point import still_points
        from bedstone.comparison.history import Timeline
        from bedstone.comparison.sharing import share

        prepared, name = _prepared(bridge, place, family)
        functions = arrangement_functions(bridge, prepared.tables)
        point = bridge.arrangement.fixed_point
        arranged = arrange(prepared.structure, list(bridge.support), functions, point)
        if progress is not None:
            progress(0, 2, f"following {years} years of movement")
        way: Way = "stiffness" if by_stiffness else "fixed line"
        found = share(prepared, name, arranged, way=way, timeline=Timeline(years=years))
        if progress is not None:
            progress(1, 2, "finding the point without movement")
        return bridge, found, still_points(prepared, name, arranged)

    bridge, found, points = _with_bar(file, standard, make)
    if as_json:
        sys.stdout.write(sharing_to_json(found, points, bridge))
    else:
        _print(sharing_view(found, points, bridge))


@app.command(name="what-if", epilog=SHORT)
def what_if(
    file: BridgeFile,
    standard: Standard = None,
    worst: Annotated[
        int,
        typer.Option(
            metavar="N", min=0, max=50, help="Work so many of the worst out in full, with bearings."
        ),
    ] = 3,
    rows: Annotated[
        int, typer.Option(metavar="N", min=0, help="Rows of the ranking; 0 for all.")
    ] = 15,
    fault: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", help="One fault in full, by its number in the ranking."),
    ] = None,
    with_bearings: Annotated[
        bool,
        typer.Option("--with-bearings", help="Design the bearings and say which fails first."),
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Also write the tables there as CSV and JSON."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Try every single fault of the bearings and supports, and rank them by harm.

    Bearings that seize, wear, stand too low or turned, stops that close, piers that give way. Given
    bearings are checked under the worst faults, with --with-bearings designed ones too.
    """
    from bedstone.output import fault_data, fault_tables
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        _one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[WhatIf, tuple[FirstFailure, ...]]:
        from bedstone.comparison.faults import what_if as tried
        from bedstone.comparison.faults_list import faults_of
        from bedstone.comparison.first_failure import designs_of, first_failures
        from bedstone.comparison.screen import Screen

        prepared, name = _prepared(bridge, place, family)
        limits = _limits(prepared, [])
        with _one_thread():
            screen = Screen(prepared, name)
            found = tried(screen, faults_of(screen), progress, full=worst, limits=limits)
            if found.untried or not worst:
                return found, ()
            designs = designs_of(prepared, name, given_only=not with_bearings)
            if not designs:
                return found, ()
            return found, first_failures(prepared, name, designs, found.results[:worst], progress)

    found, failures = _with_bar(file, standard, make)
    parts = (
        [*fault_tables.fault_view(found, failures, count=rows or None)]
        if fault is None
        else [*fault_tables.fault_detail(found, fault)]
    )  # an unknown number is told before anything is written
    if folder is not None:
        ranking, effects = fault_data.what_if_to_csv(found)
        told = fault_data.what_if_to_json(found, failures)
        _write(folder, {"faults.csv": ranking, "effects.csv": effects, "faults.json": told})
    if as_json:
        sys.stdout.write(fault_data.what_if_to_json(found, failures))
    else:
        _print(parts)
    if found.untried:
        raise typer.Exit(INTERRUPTED)


@app.command(epilog=SHORT)
def chance(
    file: BridgeFile,
    standard: Standard = None,
    samples: Annotated[
        int | None,
        typer.Option(metavar="N", min=16, max=1_000_000, help="Samples, instead of the file's."),
    ] = None,
    seed: Annotated[
        int | None, typer.Option(metavar="N", min=0, help="Seed, instead of the file's.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how likely it is that limits and stops are exceeded.

    What nobody knows exactly is drawn from the spreads under [uncertainty] in the bridge file.
    """
    from bedstone.output.chance_data import chance_to_json
    from bedstone.output.chance_tables import chance_view
    from bedstone.schedule.make import FAMILIES

    if standard is not None:
        _one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> Chance:
        from bedstone.comparison.uncertainty import chance as count

        prepared, name = _prepared(bridge, place, family)
        return count(prepared, name, samples=samples, seed=seed, progress=progress)

    found = _with_bar(file, standard, make)
    if as_json:
        sys.stdout.write(chance_to_json(found))
    else:
        _print(chance_view(found))


@app.command(epilog=SHORT)
def schema(
    what: Annotated[
        str,
        typer.Argument(metavar="[WHAT]", help=f"{', '.join(SCHEMAS)}."),
    ] = "bridge",
) -> None:
    """Print the JSON Schema of a bridge file or of what a verb prints with --json."""
    import json
    from importlib import import_module

    room, function = SCHEMAS[_one_of(what, tuple(SCHEMAS), "schema")]
    described = getattr(import_module(f"bedstone.{room}"), function)()
    typer.echo(json.dumps(described, indent=1, ensure_ascii=False))


@app.command(epilog=SHORT)
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
    made = _make(file, None)
    states = chosen_limit_states(made, None)
    seats_csv, supports_csv = schedule_to_csv(made)
    plan = plan_svg(made)
    results = {
        "schedule.json": schedule_to_json(made),
        "seats.csv": seats_csv,
        "supports.csv": supports_csv,
        "schedule.txt": tables.to_text(tables.schedule_view(made, states), _PIPED),
        "plan.svg": plan,
        "index.html": page(made, plan, states),
    }
    _print(tables.schedule_view(made, states))
    _write(out, results)
    typer.echo(f"bridge file: {file}\nopen in a browser: {out / 'index.html'}", err=True)


@app.command(epilog=SHORT)
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
    families = known if family is None else (_one_of(family, known, "FAMILY"),)
    bases = ("print", "secondary", "memory")
    wanted = bases if basis is None else (_one_of(basis, bases, "--basis"),)
    values = [
        value
        for name in families
        for value in (load_constants() if name == "bearings" else load_pack(name).values())
        if value.basis in wanted
    ]
    counts = ", ".join(f"{sum(value.basis == each for value in values)} {each}" for each in wanted)
    _print([Sources(tuple(values)), f"\n{len(values)} values: {counts}"], narrowest=40)


# ------------------------------------------------------------------ what the verbs share
def main() -> None:
    """Run the command line and leave the process with an exit code."""
    sys.exit(_guarded(app))


def _guarded(run: Callable[[], object]) -> int:
    """Run, and turn everything a user can cause into one line and an exit code."""
    for stream in (sys.stdout, sys.stderr):
        # a terminal that knows few characters gets question marks, not a traceback
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        run()
    except CheckError as error:
        _complain(error)
        return CHECK_FAILS
    except (BedstoneError, OSError) as error:
        _complain(error)
        return BAD_INPUT
    except Exception as error:
        if os.environ.get("BEDSTONE_TRACEBACK"):
            raise
        typer.echo(
            f"bedstone failed: {type(error).__name__}: {_plain(str(error))}. Please report this "
            "with the bridge file; BEDSTONE_TRACEBACK=1 shows the details.",
            err=True,
        )
        return PROGRAM_FAULT
    return DONE


def _make(file: Path, standard: str | None) -> Schedule:
    """The schedule of a bridge file."""
    from bedstone.schedule import make

    return _with_bar(file, standard, make.make_schedule)


def _with_bar(file: Path, standard: str | None, make: Callable[..., Made]) -> Made:
    """What is made of a bridge file, with a bar on stderr while someone waits at a terminal."""
    from rich.console import Console
    from rich.progress import Progress

    from bedstone.bridge import read_bridge

    console = Console(stderr=True)
    with _faults_of(file):
        bridge = read_bridge(file)
        if not console.is_terminal:
            return make(bridge, file.parent, standard)
        with Progress(console=console, transient=True) as bar:
            task = bar.add_task("building the bridge", total=None)

            def advance(done: int, total: int, text: str) -> None:
                bar.update(task, completed=done, total=total, description=_plain(text))

            return make(bridge, file.parent, standard, advance)


def _prepared(bridge: Bridge, folder: Path, standard: str | None) -> tuple[Prepared, FamilyName]:
    """A bridge built and condensed, and the family it is looked at under."""
    from bedstone.articulation.prepared import prepare
    from bedstone.bridge import read_tables
    from bedstone.bridge.tables import ReactionData
    from bedstone.schedule.context import family_name

    name = family_name(standard or bridge.bridge.standard)
    tables = read_tables(bridge, folder)
    if isinstance(tables, ReactionData):
        allowed = "a superstructure with a model: of brought reactions nothing can be tried anew"
        fault = Fault("bridge file", "superstructure.kind", "reactions", allowed)
        raise InputError([fault])
    with _one_thread():
        return prepare(bridge, tables), name


def _one_thread() -> AbstractContextManager[object]:
    """Small dense products: a second BLAS thread makes them slower, not faster."""
    from threadpoolctl import threadpool_limits

    limits: AbstractContextManager[object] = threadpool_limits(limits=1, user_api="blas")
    return limits


def _limits(prepared: Prepared, more: Sequence[str]) -> tuple[Limit, ...]:
    """The limits of the file and those of the command line."""
    from bedstone.comparison.limits import parse_limits

    bridge, tables = prepared.bridge, prepared.tables
    own = parse_limits(bridge.compare.limits, bridge, tables)
    try:
        return (*own, *parse_limits(more, bridge, tables, "--limit"))
    except InputError as error:
        faults = [replace(fault, file="command line", where="--limit") for fault in error.faults]
        raise InputError(faults) from error


def _compared(
    prepared: Prepared,
    name: FamilyName,
    limits: Sequence[Limit],
    objective: str | None,
    best: int,
    full: bool,
    progress: Progress | None,
) -> Comparison:
    """Compare; what a long comparison computes is kept until it is complete."""
    from bedstone.comparison.choices import count
    from bedstone.comparison.compare import compare as compared
    from bedstone.comparison.store import WORTH, Store

    bridge, tables = prepared.bridge, prepared.tables
    store = None
    if count(bridge, tables) >= WORTH:
        # marks that are asked for decide which twins are folded: another question, another store
        asked = {"limits": [limit.text for limit in limits], "objective": objective}
        question = bridge.compare.model_copy(update=asked)
        store = Store.of(bridge.model_copy(update={"compare": question}), tables, name)
    found = compared(
        prepared, name, limits, objective, best=best, full=full, store=store, progress=progress
    )
    if store is not None and found.complete:
        store.clear()
    return found


def _weights(
    prepared: Prepared, name: FamilyName, found: Comparison, progress: Progress | None
) -> dict[str, Weighed]:
    """The bearings of every arrangement that is shown, by its name."""
    from bedstone.comparison.weigh import weigh

    items = {item.name: item for item in (found.today, *found.pinned, *found.best)}
    weights = {}
    with _one_thread():
        for number, item in enumerate(items.values()):
            if progress is not None:
                progress(number, len(items), f"designing bearings: {item.name[:60]}")
            whole = found.whole.get(item.name)
            weights[item.name] = weigh(prepared, name, item, whole.schedule if whole else None)
    return weights


@contextmanager
def _faults_of(file: Path) -> Iterator[None]:
    """Name the files in faults as the person named the bridge file: with its folder."""
    try:
        yield
    except InputError as error:
        raise InputError([_placed(fault, file) for fault in error.faults]) from error
    except UnstableError as error:
        each = dict.fromkeys(str(error).split("; "))
        raise UnstableError("; ".join(f"{file}: {text}" for text in each)) from error


def _placed(fault: Fault, file: Path) -> Fault:
    """The fault with the path of its file: rooms know a file by name, not where it stands."""
    if fault.file in ("bridge file", file.name):
        return replace(fault, file=str(file))
    if "/" not in fault.file and fault.file.endswith((".toml", ".csv")):
        return replace(fault, file=str(file.parent / fault.file))
    return fault


def _write(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write files into a folder, made where it is missing, and say so on stderr."""
    from bedstone.files import write_atomically

    folder.mkdir(parents=True, exist_ok=True)
    for name, text in contents.items():
        write_atomically(folder / name, text)
        typer.echo(f"written: {folder / name}", err=True)


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
        _write(plan_file.parent, {plan_file.name: plan})
    if page_file is not None:
        _write(page_file.parent, {page_file.name: page(made, plan, states)})


def _ending(file: Path | None, ending: str, where: str) -> None:
    """Refuse a file of another kind: a slip such as ``--plan bridge.toml`` must destroy nothing."""
    if file is not None and file.suffix.lower() != ending:
        allowed = f"a file whose name ends in {ending}"
        raise InputError([Fault("command line", where, repr(str(file)[:60]), allowed)])


def _complain(error: BedstoneError | OSError, file: Path | None = None) -> None:
    """Print an error to stderr: one line for each fault."""
    if isinstance(error, InputError):
        lines = [str(fault) for fault in error.faults]
    elif isinstance(error, OSError):
        place, reason = error.filename or file or "file", error.strerror or error
        allowed = "a file that can be read, a folder that can be made and written"
        lines = [f"{place}: cannot be read or written: {reason}; allowed: {allowed}"]
    else:
        # several free motions stand in one message; parts of the same extent move alike
        each = dict.fromkeys(str(error).split("; "))
        head = f"{file}: " if file else ""
        lines = [text if text.startswith(head) else head + text for text in each]
    for line in lines:
        typer.echo(_plain(line), err=True)


def _one_of(word: str, allowed: tuple[str, ...], where: str) -> str:
    if word not in allowed:
        raise InputError([Fault("command line", where, repr(word[:60]), ", ".join(allowed))])
    return word


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _plain(text: str) -> str:
    """Text without control characters: what a file says must not steer the terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _print(parts: Iterable[RenderableType], narrowest: int = _NARROWEST) -> None:
    """Print tables: with colours in a window, as plain text into a file or another program."""
    from rich.console import Console

    from bedstone.output.tables import show, to_text

    console = Console()
    if console.is_terminal:
        console.width = max(console.width, narrowest)
        show(console, parts)
    else:
        told = os.environ.get("COLUMNS", "")
        sys.stdout.write(to_text(parts, max(int(told), narrowest) if told.isdigit() else _PIPED))


if __name__ == "__main__":
    main()
