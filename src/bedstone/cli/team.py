"""The verbs of a team that shares a folder: a token for somebody, and who changed what."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import CHECK_FAILS, AsJson, counted, one_of, plain

if TYPE_CHECKING:
    from bedstone.workspace.journal import Change, Told


def token(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Who it is for, as in the journal.")],
    role: Annotated[
        str, typer.Option(metavar="ROLE", help="reader or editor: may change files.")
    ] = "reader",
) -> None:
    """Make a token for a person of a team, and the lines for the team file.

    The token is shown this once and kept nowhere: the team file holds its SHA-256.
    """
    from bedstone.workspace.people import new_token, read_team, token_hash

    one_of(role, ("reader", "editor"), "--role")
    made = new_token()
    # a name in quotes as JSON writes it is a name in quotes of TOML
    head = json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f")
    lines = f'[people.{head}]\nrole = "{role}"\ntoken = "{token_hash(made)}"'
    read_team(lines, "command line")  # a name that cannot be is told before a token is
    typer.echo(f"token of {name}, shown this once: {made}", err=True)
    typer.echo(lines)


def changes(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder that was served to a team.")
    ],
    file: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Only changes of this file, by its path in the folder."),
    ] = None,
    diff: Annotated[
        bool, typer.Option("--diff", help="What was changed, line by line, too.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List who changed what in a folder, and check that no line of the journal was altered.

    Leaves with 1 where the journal was altered. What was changed by others, past the journal, is
    told.
    """
    from bedstone.errors import Fault, InputError
    from bedstone.workspace.journal import Journal

    if not folder.is_dir():
        raise InputError([Fault(str(folder), "folder", "no such folder", "a folder of bridges")])
    journal = Journal(folder)
    told = journal.read(file)
    since = tuple(line for line in journal.since() if file is None or line.startswith(f"{file}: "))
    if as_json:
        typer.echo(_as_json(told, since))
    else:
        for line in _lines(told, since, diff=diff):
            typer.echo(line)
    if told.broken:
        raise typer.Exit(CHECK_FAILS)


def _as_json(told: Told, since: tuple[str, ...]) -> str:
    from dataclasses import asdict

    data = {
        "format": "bedstone changes 1",
        "changes": [asdict(change) for change in told.changes],
        "changed_since": list(since),
        "broken": list(told.broken),
        "last_sha256": told.last,
    }
    return json.dumps(data, indent=1, ensure_ascii=False)


def _lines(told: Told, since: tuple[str, ...], *, diff: bool) -> list[str]:
    found = [line for change in told.changes for line in _change(change, diff=diff)]
    found += [f"changed by others since: {plain(line)}" for line in since]
    found += [f"the journal was altered: {plain(line)}" for line in told.broken]
    end = "whole" if not told.broken else "ALTERED"
    last = f"; last line {told.last}" if told.last else ""
    return [*found, f"{counted(len(told.changes), 'change')}, the journal is {end}{last}"]


def _change(change: Change, *, diff: bool) -> list[str]:
    what = {
        "written": f"wrote {change.file}",
        "readings": f"put {counted(len(change.rows), 'reading')} into {change.file}",
        "readings kept": f"{change.file} holds the readings of {change.of}",
        "not made": f"the change {change.of} of {change.file} was not made",
    }[change.what]
    place = f"{change.peer} for {change.forwarded}" if change.forwarded else change.peer
    head = f"{change.number}  {change.time}  {change.who} ({change.role}, {change.way}, {place})"
    lines = [plain(f"{head}: {what}")]
    lines += [f"   {plain(text)}" for text in (change.between, change.note) if text]
    if diff:
        lines += [f"   {plain(line)}" for line in change.diff.splitlines()]
    return lines
