"""What the verbs share: reading a bridge file, waiting with a bar, writing, complaining."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from bedstone.errors import BedstoneError, Fault, InputError, UnstableError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from bedstone.articulation.prepared import Prepared
    from bedstone.bridge.schema import Bridge, FamilyName
    from bedstone.comparison.limits import Limit
    from bedstone.schedule.result import Schedule

Made = TypeVar("Made")

DONE, CHECK_FAILS, BAD_INPUT, PROGRAM_FAULT, INTERRUPTED = 0, 1, 2, 3, 130

#: Narrowest line the tables are laid out for; a narrower window wraps instead of cutting numbers.
NARROWEST = 100
#: Line length when the output goes to a file or another program.
PIPED = 120

BridgeFile = Annotated[Path, typer.Argument(metavar="FILE", help="Bridge file (TOML).")]
Standard = Annotated[
    str | None,
    typer.Option(metavar="FAMILY", help="eurocode, aashto or irc, instead of the file's."),
]
LogColumns = Annotated[
    list[str] | None,
    typer.Option(
        metavar="NAME=WHAT", help="A column of a log is time, seat, movement or temperature."
    ),
]
LogUnits = Annotated[
    list[str] | None,
    typer.Option(metavar="NAME=UNIT", help="Unit of a column of a log whose head has none."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")]


def make_schedule_of(file: Path, standard: str | None) -> Schedule:
    """The schedule of a bridge file."""
    from bedstone.schedule import make

    return with_bar(file, standard, make.make_schedule)


def with_bar(file: Path, standard: str | None, make: Callable[..., Made]) -> Made:
    """What is made of a bridge file, with a bar on stderr while someone waits at a terminal."""
    from rich.console import Console
    from rich.progress import Progress

    from bedstone.bridge import read_bridge

    console = Console(stderr=True)
    with faults_of(file):
        bridge = read_bridge(file)
        if not console.is_terminal:
            return make(bridge, file.parent, standard)
        with Progress(console=console, transient=True) as bar:
            task = bar.add_task("building the bridge", total=None)

            def advance(done: int, total: int, text: str) -> None:
                bar.update(task, completed=done, total=total, description=plain(text))

            return make(bridge, file.parent, standard, advance)


def prepare_file(bridge: Bridge, folder: Path, standard: str | None) -> tuple[Prepared, FamilyName]:
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
    with one_thread():
        return prepare(bridge, tables), name


def one_thread() -> AbstractContextManager[object]:
    """Small dense products: a second BLAS thread makes them slower, not faster."""
    from threadpoolctl import threadpool_limits

    limits: AbstractContextManager[object] = threadpool_limits(limits=1, user_api="blas")
    return limits


def limits_of(prepared: Prepared, more: Sequence[str]) -> tuple[Limit, ...]:
    """The limits of the file and those of the command line."""
    from bedstone.comparison.limits import parse_limits

    bridge, tables = prepared.bridge, prepared.tables
    own = parse_limits(bridge.compare.limits, bridge, tables)
    try:
        asked = parse_limits(more, bridge, tables, "--limit")
        return tuple(
            {(one.place, one.effect, one.sense, one.value): one for one in own + asked}.values()
        )
    except InputError as error:
        faults = [replace(fault, file="command line", where="--limit") for fault in error.faults]
        raise InputError(faults) from error


def pairs_of(told: Sequence[str] | None, where: str) -> dict[str, str]:
    """``NAME=WHAT`` as pairs."""
    found = {}
    for text in told or ():
        name, sign, what = text.rpartition("=")
        if not sign or not name.strip() or not what.strip():
            allowed = "a name, =, and what it is"
            raise InputError([Fault("command line", where, repr(text[:60]), allowed)])
        found[name.strip()] = what.strip()
    return found


@contextmanager
def faults_of(file: Path) -> Iterator[None]:
    """Name the files in faults as the person named the bridge file: with its folder."""
    try:
        yield
    except InputError as error:
        raise InputError([placed(fault, file) for fault in error.faults]) from error
    except UnstableError as error:
        each = dict.fromkeys(str(error).split("; "))
        raise UnstableError("; ".join(f"{file}: {text}" for text in each)) from error


def placed(fault: Fault, file: Path) -> Fault:
    """The fault with the path of its file: rooms know a file by name, not where it stands."""
    if fault.file in ("bridge file", file.name):
        return replace(fault, file=str(file))
    if "/" not in fault.file and fault.file.endswith((".toml", ".csv")):
        return replace(fault, file=str(file.parent / fault.file))
    return fault


def write_files(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write files into a folder, made where it is missing, and say so on stderr."""
    from bedstone.files import write_atomically

    folder.mkdir(parents=True, exist_ok=True)
    for name, text in contents.items():
        write_atomically(folder / name, text)
        typer.echo(f"written: {folder / name}", err=True)


def can_hold(folder: Path) -> None:
    """Refuse a folder that cannot be made or written, before long work is done for it."""
    nearest = next(place for place in (folder, *folder.absolute().parents) if place.exists())
    if not nearest.is_dir() or not os.access(nearest, os.W_OK):
        allowed = "a folder that can be made and written"
        raise InputError([Fault("command line", "--out", repr(str(folder)[:60]), allowed)])


def ending(file: Path | None, ending: str, where: str) -> None:
    """Refuse a file of another kind: a slip such as ``--plan bridge.toml`` must destroy nothing."""
    if file is not None and file.suffix.lower() != ending:
        allowed = f"a file whose name ends in {ending}"
        raise InputError([Fault("command line", where, repr(str(file)[:60]), allowed)])


def complain(error: BedstoneError | OSError, file: Path | None = None) -> None:
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
        typer.echo(plain(line), err=True)


def one_of(word: str, allowed: tuple[str, ...], where: str) -> str:
    """The word itself; raises `InputError` when it is none of those allowed."""
    if word not in allowed:
        raise InputError([Fault("command line", where, repr(word[:60]), ", ".join(allowed))])
    return word


def accepted_rows(told: Sequence[str], forms: Sequence[Path]) -> dict[Path, list[int]]:
    """Rows that somebody has looked at, by form: each told as ROW, or FORM:ROW of several forms.

    Raises `InputError` for what is no row, for a form that is none of `forms`, and for a name that
    two of them have.
    """
    found: dict[Path, list[int]] = {}

    def refused(what: str, allowed: str) -> InputError:
        return InputError([Fault("command line", "--accept", repr(what[:60]), allowed)])

    for text in told:
        name, _, row = text.rpartition(":")
        if not row.isascii() or not row.isdecimal() or len(row) > 6:
            raise refused(text, "a row number")
        if not name and len(forms) != 1:
            raise refused(text, "FORM:ROW, for there are several forms")
        meant = [path for path in forms if not name or path == Path(name)]
        if not meant:  # the name alone, without its folder
            meant = [path for path in forms if path.name == name]
        if len(set(meant)) != 1:
            raise refused(name, ", ".join(map(str, forms)))
        found.setdefault(meant[0], []).append(int(row))
    return found


def counted(number: int, thing: str) -> str:
    """A number of things in words."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def plain(text: str) -> str:
    """Text without control characters: what a file says must not steer the terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def show(parts: Iterable[RenderableType], narrowest: int = NARROWEST) -> None:
    """Print tables: with colours in a window, as plain text into a file or another program."""
    from rich.console import Console

    from bedstone.output.tables import show, to_text

    console = Console()
    if console.is_terminal:
        console.width = max(console.width, narrowest)
        show(console, parts)
    else:
        told = os.environ.get("COLUMNS", "")
        sys.stdout.write(to_text(parts, max(int(told), narrowest) if told.isdigit() else PIPED))
