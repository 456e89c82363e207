"""The verb that asks the same of many bridges."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import CHECK_FAILS, INTERRUPTED, AsJson, Standard, one_of, plain, show

if TYPE_CHECKING:
    from bedstone.site.tolerances import Tolerances
    from bedstone.stock.engine import Engine
    from bedstone.stock.members import Stock
    from bedstone.stock.places import Place
    from bedstone.stock.run import Result
    from bedstone.stock.task import Options


#: The ranking is words: it fits a narrow window as other tables do not.
_NARROWEST = 40


def stock(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help="Folder with bridge files, or a list (.txt) of their paths."
        ),
    ],
    standard: Standard = None,
    parts: Annotated[
        str | None,
        typer.Option(metavar="WORDS", help="schedule,size,setting,what-if,inspect,monitor."),
    ] = None,
    out: Annotated[
        str | None,
        typer.Option(
            "--out",
            metavar="STORE",
            help="Folder or address of the results; else your cache.",
        ),
    ] = None,
    thresholds: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="Thresholds of your own for the ranking."),
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, max=1024, help="Processes; as many as cores if not told."),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS", help="Work on a dask cluster instead: tcp:// or tls://host:port."
        ),
    ] = None,
    rows: Annotated[
        int, typer.Option(metavar="N", min=0, help="Rows of the ranking; 0 for all.")
    ] = 25,
    as_json: AsJson = False,
) -> None:
    """Ask the same of all bridges of a folder, and say which one needs a visit first.

    Only what changed since the last run is worked out; an interrupted run goes on where it stopped.
    A faulty file is told, the others are done. Leaves with 1 where a bridge could not be worked
    out.
    """
    from bedstone.output.stock_data import stock_to_json
    from bedstone.output.stock_tables import stock_view
    from bedstone.schedule.context import family_name
    from bedstone.schedule.make import FAMILIES
    from bedstone.stock.members import find_stock
    from bedstone.stock.places import Folder, place_of, usual_place
    from bedstone.stock.ranking import thresholds_of
    from bedstone.stock.task import PARTS, Options, parts_of

    if standard is not None:
        one_of(standard, FAMILIES, "--standard")
    wanted = PARTS if parts is None else parts_of([word.strip() for word in parts.split(",")])
    options = Options(None if standard is None else family_name(standard), wanted)
    own = thresholds_of(thresholds)
    place = place_of(out) if out is not None else usual_place(folder)
    found = find_stock(folder, place.root if isinstance(place, Folder) else None)
    result = _with_bar(found, options, place, _engine(workers, scheduler), own)
    if as_json:
        sys.stdout.write(stock_to_json(result))
    else:
        show(stock_view(result, rows or None), _NARROWEST)
    if result.untried:
        raise typer.Exit(INTERRUPTED)
    if not result.complete:
        raise typer.Exit(CHECK_FAILS)


def _engine(workers: int | None, scheduler: str | None) -> Engine:
    """Processes of this machine, or a cluster."""
    if scheduler is not None:
        from bedstone.stock.cluster import Cluster

        return Cluster(scheduler)
    from bedstone.stock.pool import Pool

    return Pool() if workers is None else Pool(workers)


def _with_bar(
    found: Stock, options: Options, place: Place, engine: Engine, thresholds: Tolerances
) -> Result:
    """The run, with a bar on stderr while someone waits at a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
    from rich.progress import Progress as Bar

    from bedstone.stock.run import run

    console = Console(stderr=True)
    if not console.is_terminal:
        return run(found, options, place, engine, thresholds)
    columns = (BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}"))
    with Bar(*columns, console=console, transient=True) as bar:
        task = bar.add_task("looking for what changed", total=None)

        def advance(done: int, total: int, text: str) -> None:
            bar.update(task, completed=done, total=total, description=plain(text)[-60:])

        return run(found, options, place, engine, thresholds, advance)
