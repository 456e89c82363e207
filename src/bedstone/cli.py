"""The command line: verbs, messages and exit codes. It holds no engineering.

Exit codes: 0 done, 1 a check does not hold, 2 bad input, 3 a fault of the program itself.
Everything heavy is imported inside the verb that needs it, so that help appears at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError, CheckError, Fault, InputError

if TYPE_CHECKING:
    from rich.console import Console

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
    """Build, condense and support the bridge of a file; return what stands in one line."""
    from bedstone.articulation.arrangement import arrange, stand
    from bedstone.bridge import arrangement_functions, read_bridge, read_tables, seat_marks
    from bedstone.bridge.tables import ReactionData
    from bedstone.mechanics.condense import condense
    from bedstone.model.build import build

    bridge = read_bridge(file)
    tables = read_tables(bridge, file.parent, file.name)
    functions = arrangement_functions(bridge, tables)
    supports = len(bridge.support)
    parts = [
        bridge.bridge.name,
        _count(len(seat_marks(bridge, tables)), "seat"),
        _count(supports, "support"),
        _count(supports - 1, "span"),
        f"arrangement {bridge.arrangement.name}",
    ]
    if isinstance(tables, ReactionData):
        return _plain(", ".join([*parts, "no model: reactions are given"]))
    structure = build(bridge, tables)
    arranged = arrange(structure, bridge.support, functions, bridge.arrangement.fixed_point)
    redundancy = 0
    for state in structure.states.values():
        # the last state is the finished bridge; each is condensed, so a loose part shows anywhere
        condensed = condense(state.frame, state.seats)
        standing = stand(structure, bridge.support, condensed, arranged)
        redundancy = standing.supported.redundancy
    return _plain(", ".join([*parts, f"held {redundancy} times beyond what is needed"]))


@app.command(epilog=SHORT)
def sources(
    family: Annotated[
        str | None, typer.Argument(metavar="[FAMILY]", help="eurocode, aashto or irc; all if none.")
    ] = None,
    basis: Annotated[
        str | None,
        typer.Option(metavar="BASIS", help="Only print, secondary or memory."),
    ] = None,
) -> None:
    """List the values of the standards and their sources.

    basis: print (read in the standard itself), secondary (read in a publication about it), memory
    (recalled: confirm it against the printed clause).
    """
    from typing import get_args

    from bedstone.bridge.schema import Head
    from bedstone.standards.values import load_pack

    known = tuple(get_args(Head.model_fields["standard"].annotation))
    families = known if family is None else (_one_of(family, known, "FAMILY"),)
    bases = ("print", "secondary", "memory")
    wanted = bases if basis is None else (_one_of(basis, bases, "--basis"),)
    from bedstone.output.tables import sources_table

    values = [
        value for name in families for value in load_pack(name).values() if value.basis in wanted
    ]
    console = _console()
    console.print(sources_table(values))
    counts = ", ".join(f"{sum(value.basis == each for value in values)} {each}" for each in wanted)
    console.print(f"{len(values)} values: {counts}", markup=False, highlight=False)


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
    except Exception as error:  # noqa: BLE001 - the last resort; the details are one variable away
        if os.environ.get("BEDSTONE_TRACEBACK"):
            raise
        typer.echo(
            f"bedstone failed: {type(error).__name__}: {_plain(str(error))}. Please report this "
            "with the bridge file; BEDSTONE_TRACEBACK=1 shows the details.",
            err=True,
        )
        return PROGRAM_FAULT
    return DONE


def _complain(error: BedstoneError | OSError, file: Path | None = None) -> None:
    """Print an error to stderr: one line for each fault."""
    if isinstance(error, InputError):
        lines = [str(fault) for fault in error.faults]
    elif isinstance(error, OSError):
        lines = [f"{error.filename or file or 'file'}: {error.strerror or error}"]
    else:
        # several free motions stand in one message; parts of the same extent move alike
        each = dict.fromkeys(str(error).split("; "))
        lines = [f"{file}: {text}" if file else text for text in each]
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


def _console() -> Console:
    from rich.console import Console

    console = Console()
    console.width = max(console.width, _NARROWEST) if console.is_terminal else _PIPED
    return console


if __name__ == "__main__":
    main()
