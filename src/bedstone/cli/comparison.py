"""Verbs that play with the forces: arrangements, sharing, faults, chance."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from bedstone.articulation.prepared import Prepared
    from bedstone.bridge.schema import Bridge, FamilyName
    from bedstone.comparison.code_rule import Way
    from bedstone.comparison.compare import Comparison
    from bedstone.comparison.faults import WhatIf
    from bedstone.comparison.first_failure import FirstFailure
    from bedstone.comparison.fixed_point import StillPoints
    from bedstone.comparison.limits import Limit
    from bedstone.comparison.sharing import Sharing
    from bedstone.comparison.store import Store
    from bedstone.comparison.uncertainty import Chance
    from bedstone.comparison.weigh import Weighed
    from bedstone.schedule.analysis import Progress

from bedstone.cli.common import (
    INTERRUPTED,
    AsJson,
    BridgeFile,
    Standard,
    can_hold,
    limits_of,
    one_of,
    one_thread,
    prepare_file,
    show,
    with_bar,
    write_files,
)


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
        one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, Comparison, Store | None, dict[str, Weighed] | None]:
        prepared, name = prepare_file(bridge, place, family)
        limits = limits_of(prepared, limit or [])
        found, store = _compared(prepared, name, limits, objective, best, not quick, progress)
        weights = _weights(prepared, name, found, progress) if weighed else None
        return bridge, found, store, weights

    if folder is not None:
        can_hold(folder)  # told before anything is worked out
    bridge, found, store, weights = with_bar(file, standard, make)
    text = comparison_to_json(found, bridge, weights) if as_json or folder is not None else ""
    if folder is not None:
        write_files(folder, {**ranking_files(found), "comparison.json": text})
    if store is not None and found.complete:
        store.clear()  # only when nothing more can go wrong with what was worked out
    if as_json:
        sys.stdout.write(text)
    else:
        show(compare_view(found, bridge, weights))
    if not found.complete:
        raise typer.Exit(INTERRUPTED)


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
        one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[Bridge, Sharing, StillPoints]:
        from bedstone.articulation.arrangement import arrange
        from bedstone.bridge.seats import arrangement_functions
        from bedstone.comparison.fixed_point import still_points
        from bedstone.comparison.history import Timeline
        from bedstone.comparison.sharing import share

        prepared, name = prepare_file(bridge, place, family)
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

    bridge, found, points = with_bar(file, standard, make)
    if as_json:
        sys.stdout.write(sharing_to_json(found, points, bridge))
    else:
        show(sharing_view(found, points, bridge))


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
        one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> tuple[WhatIf, tuple[FirstFailure, ...]]:
        from bedstone.comparison.faults import what_if as tried
        from bedstone.comparison.faults_list import faults_of
        from bedstone.comparison.first_failure import designs_of, first_failures
        from bedstone.comparison.screen import Screen

        prepared, name = prepare_file(bridge, place, family)
        limits = limits_of(prepared, [])
        with one_thread():
            screen = Screen(prepared, name)
            found = tried(screen, faults_of(screen), progress, full=worst, limits=limits)
            if found.untried or not worst:
                return found, ()
            designs = designs_of(prepared, name, given_only=not with_bearings)
            if not designs:
                return found, ()
            return found, first_failures(prepared, name, designs, found.results[:worst], progress)

    found, failures = with_bar(file, standard, make)
    parts = (
        [*fault_tables.fault_view(found, failures, count=rows or None)]
        if fault is None
        else [*fault_tables.fault_detail(found, fault)]
    )  # an unknown number is told before anything is written
    if folder is not None:
        ranking, effects = fault_data.what_if_to_csv(found)
        told = fault_data.what_if_to_json(found, failures)
        write_files(folder, {"faults.csv": ranking, "effects.csv": effects, "faults.json": told})
    if as_json:
        sys.stdout.write(fault_data.what_if_to_json(found, failures))
    else:
        show(parts)
    if found.untried:
        raise typer.Exit(INTERRUPTED)


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
        one_of(standard, FAMILIES, "--standard")

    def make(
        bridge: Bridge, place: Path, family: str | None, progress: Progress | None = None
    ) -> Chance:
        from bedstone.comparison.uncertainty import chance as count

        prepared, name = prepare_file(bridge, place, family)
        return count(prepared, name, samples=samples, seed=seed, progress=progress)

    found = with_bar(file, standard, make)
    if as_json:
        sys.stdout.write(chance_to_json(found))
    else:
        show(chance_view(found))


def _compared(
    prepared: Prepared,
    name: FamilyName,
    limits: Sequence[Limit],
    objective: str | None,
    best: int,
    full: bool,
    progress: Progress | None,
) -> tuple[Comparison, Store | None]:
    """Compare; what a long comparison computes is kept until its results are written."""
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
    return found, store


def _weights(
    prepared: Prepared, name: FamilyName, found: Comparison, progress: Progress | None
) -> dict[str, Weighed]:
    """The bearings of every arrangement that is shown, by its name."""
    from bedstone.comparison.weigh import weigh

    items = {item.name: item for item in (found.today, *found.pinned, *found.best)}
    weights = {}
    with one_thread():
        for number, item in enumerate(items.values()):
            if progress is not None:
                progress(number, len(items), f"designing bearings: {item.name[:60]}")
            whole = found.whole.get(item.name)
            weights[item.name] = weigh(prepared, name, item, whole.schedule if whole else None)
    return weights
