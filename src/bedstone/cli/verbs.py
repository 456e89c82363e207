"""All verbs, in the order of the work.

Everything heavy is imported inside the verb that needs it, so that help appears at once.
"""

from __future__ import annotations

from typing import Annotated

import typer

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.cli import (
    bridge,
    comparison,
    draft,
    inspect,
    made_up,
    monitor,
    paper,
    record,
    replace,
    stock,
    team,
)
from bedstone.cli.common import DONE

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


#: Verbs in the order of the work; names where they differ from those of the functions.
for _verb in (
    bridge.new,
    bridge.check,
    bridge.schedule,
    bridge.serve,
    bridge.size,
    comparison.compare,
    comparison.sharing,
    comparison.what_if,
    comparison.chance,
    paper.setting,
    paper.draw,
    paper.report,
    paper.export,
    record.record,
    inspect.inspect,
    monitor.monitor,
    replace.replace,
    stock.stock,
    draft.draft,
    made_up.stock_sample,
    team.token,
    team.changes,
    bridge.schema,
    bridge.demo,
    bridge.sources,
):
    app.command(name=_verb.__name__.replace("_", "-"), epilog=SHORT)(_verb)
