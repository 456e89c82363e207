"""The verb that drafts bridge files from a sheet of a register."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import BAD_INPUT, AsJson, complain, counted, plain
from bedstone.errors import Fault, InputError

if TYPE_CHECKING:
    from bedstone.site.tolerances import Tolerances
    from bedstone.stock.draft_files import Made


def draft(
    sheet: Annotated[
        Path | None,
        typer.Argument(metavar="[SHEET]", help="Sheet with a row a bridge (.xlsx or .csv)."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder for the bridge files.")
    ] = None,
    form: Annotated[
        Path | None,
        typer.Option("--form", metavar="FORM", help="Write an empty sheet (.xlsx or .csv)."),
    ] = None,
    assumptions: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Assumptions of your own for what is not known."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Draft bridge files from the little that a register knows.

    What is not known is assumed: it stands as a comment beside the value, and is counted. A row
    gives a file that `bedstone check` passes, or its faults; no file is replaced. Leaves with 2
    where a row gave none.
    """
    if form is not None:
        if sheet is not None or out is not None or assumptions is not None or as_json:
            found = "--form with a sheet to read"
            raise InputError([Fault("command line", "options", found, "one of them at a time")])
        _write_form(form)
        return
    if sheet is None or out is None:
        missing = "SHEET" if sheet is None else "--out"
        allowed = "SHEET --out DIR, or --form FORM"
        raise InputError([Fault("command line", missing, "nothing", allowed)])
    from bedstone.site.tolerances import read_tolerances

    own = None if assumptions is None else read_tolerances(assumptions, "draft", "stock")
    made = _with_bar(sheet, out, own)
    if as_json:
        from bedstone.output.draft_data import drafts_to_json

        sys.stdout.write(drafts_to_json(made, str(sheet), str(out)))
    else:
        _tell(made)
    if made.faults:
        complain(InputError(made.faults))
        raise typer.Exit(BAD_INPUT)


def _write_form(form: Path) -> None:
    from bedstone.files import write_atomically
    from bedstone.output.draft_form import draft_form, draft_form_csv

    makers = {".xlsx": draft_form, ".csv": draft_form_csv}
    make = makers.get(form.suffix.lower())
    if make is None:
        found = repr(form.suffix[:60])
        raise InputError(
            [Fault("command line", "--form", found, "a name that ends in .xlsx or .csv")]
        )
    write_atomically(form, make())
    typer.echo(f"written: {plain(str(form))}")
    typer.echo(f"next: fill it in, then bedstone draft {plain(str(form))} --out DIR")


def _with_bar(sheet: Path, out: Path, own: Tolerances | None) -> Made:
    """The drafts, with a bar on stderr while someone waits at a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
    from rich.progress import Progress as Bar

    from bedstone.stock.draft_files import draft_sheet

    console = Console(stderr=True)
    if not console.is_terminal:
        return draft_sheet(sheet, out, own)
    columns = (BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}"))
    with Bar(*columns, console=console, transient=True) as bar:
        task = bar.add_task("", total=None)

        def advance(done: int, total: int, text: str) -> None:
            bar.update(task, completed=done, total=total, description=plain(text)[:60])

        return draft_sheet(sheet, out, own, advance)


def _tell(made: Made) -> None:
    """Each file with the number of its assumptions, and the assumptions by how often they stand."""
    from bedstone.stock.draft_files import counted_assumptions

    for one in made.drafted:
        told = counted(len(one.draft.assumed), "assumption")
        known = counted(len(one.draft.given), "known bearing")
        typer.echo(f"written: {plain(str(one.file))}: {told}, {known}")
        for text in (*one.draft.partly, *one.draft.notes):
            typer.echo(f"  {plain(text)}")
    reasons = counted_assumptions(made.drafted)
    if reasons:
        typer.echo(f"assumed in {counted(len(made.drafted), 'draft')}, by how often:")
        for why, number in reasons.items():
            typer.echo(f"  {number:6d}  {plain(why)}")
        typer.echo("Every assumption stands as a comment in its draft: look at each of them.")
