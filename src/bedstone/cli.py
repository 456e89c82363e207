"""The command line: verbs, messages and exit codes. It holds no engineering.

Exit codes: 0 done, 1 a check does not hold, 2 bad input, 3 a fault of the program itself.
Everything heavy is imported inside the verb that needs it, so that help appears at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError, CheckError, Fault, InputError, UnstableError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from bedstone.schedule.designs import SeatDesign
    from bedstone.schedule.result import Schedule

Made = TypeVar("Made")

DONE, CHECK_FAILS, BAD_INPUT, PROGRAM_FAULT = 0, 1, 2, 3

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
    standard: Annotated[
        str | None,
        typer.Option(metavar="FAMILY", help="eurocode, aashto or irc, instead of the file's."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")] = False,
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
    standard: Annotated[
        str | None,
        typer.Option(metavar="FAMILY", help="eurocode, aashto or irc, instead of the file's."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")] = False,
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
def schema(
    what: Annotated[
        str, typer.Argument(metavar="[bridge|schedule|bearings]", help="Which of the three.")
    ] = "bridge",
) -> None:
    """Print the JSON Schema of a bridge file, of a schedule or of designed bearings."""
    import json

    match _one_of(what, ("bridge", "schedule", "bearings"), "schema"):
        case "bridge":
            from bedstone.bridge.export import json_schema

            described = json_schema()
        case "schedule":
            from bedstone.output.data import schedule_schema

            described = schedule_schema()
        case _:
            from bedstone.output.bearing_data import bearings_schema

            described = bearings_schema()
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


def _write(folder: Path, contents: dict[str, str]) -> None:
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
