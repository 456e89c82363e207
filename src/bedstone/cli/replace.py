"""The verb that lifts bearings free to be replaced."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedstone.cli.common import (
    CHECK_FAILS,
    AsJson,
    BridgeFile,
    Standard,
    one_thread,
    prepare_file,
    show,
    with_bar,
)
from bedstone.cli.paper import designed
from bedstone.errors import Fault, InputError

if TYPE_CHECKING:
    from bedstone.bridge.schema import Bridge
    from bedstone.schedule.analysis import Progress
    from bedstone.site.replacement.result import Lift


def replace(
    file: BridgeFile,
    seat: Annotated[
        list[str] | None, typer.Option(metavar="MARK", help="A seat; more than once for several.")
    ] = None,
    support: Annotated[
        list[str] | None, typer.Option(metavar="MARK", help="All seats of a support.")
    ] = None,
    lift: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help='Lift to look at, such as "10 mm"; else as needed.'),
    ] = None,
    traffic: Annotated[
        bool | None,
        typer.Option("--traffic/--no-traffic", help="Kept on or off; else as the file says."),
    ] = None,
    tolerances: Annotated[
        Path | None,
        typer.Option(metavar="TOML", help="Own figures in place of the usual ones."),
    ] = None,
    standard: Standard = None,
    as_json: AsJson = False,
) -> None:
    """Lift bearings free to be replaced: jacks, lift needed, neighbours, restraint, order of work.

    The forces of the jacks step by step, when each bearing comes free, what one jack ahead of the
    others does, whether a line must go together, and what must hold the bridge in plan meanwhile.
    Leaves with 1 where lift, jacks or another bearing do not suffice.
    """
    from bedstone.output.replace_data import lift_to_json
    from bedstone.output.replace_tables import lift_view
    from bedstone.site.tolerances import read_tolerances

    wanted = [*(support or []), *(seat or [])]
    if not wanted:
        allowed = "at least one of them"
        raise InputError([Fault("command line", "--seat, --support", "nothing", allowed)])
    height = None if lift is None else _length(lift)
    figures = None if tolerances is None else read_tolerances(tolerances, "replacement")

    def make(
        bridge: Bridge, folder: Path, name: str | None, progress: Progress | None = None
    ) -> Lift:
        from bedstone.site.replacement import replacement as lifted
        from bedstone.site.replacement.plan import planned

        prepared, family = prepare_file(bridge, folder, name)
        places = prepared.structure.seats
        _known(seat or (), "--seat", [place.mark for place in places])
        _known(support or (), "--support", list(prepared.structure.supports))
        planned(prepared, wanted)  # a slip in the file is told before the long work
        _, designs = designed(bridge, folder, name, progress)
        with one_thread():
            return lifted(
                prepared, family, wanted, designs, lift=height, traffic=traffic, tolerances=figures
            )

    found = with_bar(file, standard, make)
    if as_json:
        sys.stdout.write(lift_to_json(found))
    else:
        show(lift_view(found))
    if not found.holds:
        raise typer.Exit(CHECK_FAILS)


def _known(marks: Sequence[str], where: str, allowed: Sequence[str]) -> None:
    """Refuse marks that are none."""
    known = ", ".join(dict.fromkeys(allowed))
    faults = [
        Fault("command line", where, repr(mark[:60]), known)
        for mark in marks
        if mark not in allowed
    ]
    if faults:
        raise InputError(faults)


def _length(text: str) -> float:
    """A lift in metres."""
    from bedstone.bridge.units import UnitError, quantity
    from bedstone.site.replacement.lift import MOST_LIFT

    try:
        return quantity("m", above=0.0, maximum=MOST_LIFT).value(text)
    except UnitError as error:
        fault = Fault("command line", "--lift", repr(text[:60]), str(error))
        raise InputError([fault]) from error
