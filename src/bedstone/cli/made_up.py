"""The verb that makes a stock of bridges up, to try on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import counted, plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from bedstone.stock.synthetic import Written


def stock_sample(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="New folder for the bridge files.")],
    count: Annotated[int, typer.Option("--count", metavar="N", help="Number of bridges.")] = 1000,
    seed: Annotated[
        int, typer.Option("--seed", metavar="N", help="Another one, other bridges.")
    ] = 1,
    logged: Annotated[
        int, typer.Option("--logged", metavar="N", help="Bridges with readings, at most.")
    ] = 40,
) -> None:
    """Make a stock of bridges up: to try what asks the same of many.

    No such bridge stands anywhere. Some have readings whose truth stands in truth.csv.
    """
    from bedstone.stock.synthetic import MADE_UP, TRUTH, write_stock

    def work(advance: Callable[[int, int], None] | None) -> Written:
        return write_stock(folder, count, seed, logged=min(logged, count), advance=advance)

    written = _with_bar(work)
    typer.echo(plain(MADE_UP))
    typer.echo(f"written: {plain(str(folder))}: {counted(written.bridges, 'bridge')}")
    for kind, number in sorted(written.kinds.items()):
        typer.echo(f"  {number:5d}  {kind}")
    typer.echo(f"{counted(len(written.truths), 'log')} with a known truth: {TRUTH}")
    typer.echo(f"next: bedstone stock {plain(str(folder))}")


def _with_bar(work: Callable[[Callable[[int, int], None] | None], Written]) -> Written:
    """The work, with a bar on stderr while someone waits at a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    if not console.is_terminal:
        return work(None)
    with Bar(BarColumn(), MofNCompleteColumn(), console=console, transient=True) as bar:
        task = bar.add_task("", total=None)
        return work(lambda done, total: bar.update(task, completed=done, total=total))
