"""A stock of bridges printed for people: the ranking, what failed, what changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output import stock_words as words
from bedstone.output.sheets import Cell, Column, Sheet
from bedstone.output.shown import plain
from bedstone.output.tables import printed
from bedstone.stock.ranking import Ranked
from bedstone.stock.run import Result

Tone = Literal["", "strong", "warning"]

#: Faults told of one bridge, and lines under one head, before the rest is counted.
_MOST = 3
_MOST_LINES = 20
#: Columns beside the longest name of a bridge at which a reason still reads as a line.
_REASON_LEAST = 52


def stock_view(found: Result, rows: int | None = None) -> Iterator[RenderableType]:
    """The whole answer; `rows`: of the ranking, None for all."""
    yield Text(plain(f"Stock of {found.place}"), style="bold")
    yield Text(words.counts(found))
    yield Text(f"{words.work(found)} ({plain(found.store)})", style="dim")
    if found.untried:
        yield Text("\nINTERRUPTED: run again to go on from here.", style="bold red")
    if found.ranking:
        yield Ranking(found.ranking[:rows])
    if rows is not None and len(found.ranking) > rows:
        yield Text(f"{len(found.ranking) - rows} more (--rows 0 for all).", style="dim")
    yield from _under(
        "Not worked out",
        [
            f"{item.bridge} ({item.state}): {line}"
            for item in found.faulty
            for line in _short(item.bridge, item.faults)
        ],
        "red",
    )
    yield from _under(
        "Parts left out", [f"{bridge}, {part}: {text}" for bridge, part, text in found.notes]
    )
    if found.compared_with:
        told = [words.change(item) for item in found.changes]
        yield from _under("Since the last run", told or ["nothing changed"])
    yield from _under("TOML files that are no bridge files", list(found.passed_over))
    yield Text(f"\n{words.RANKING}\n{words.MEASURES}", style="dim")
    if any(item.reasons for item in found.ranking):
        yield Text(words.VERBS, style="dim")
    yield Text(f"\n{FULL}", style="dim")


@dataclass(frozen=True)
class Ranking:
    """The ranking: as a table, or in a window too narrow for it one bridge below the other.

    Rich asks for it with the width there is (`__rich_console__`).
    """

    ranked: Sequence[Ranked]

    def __rich_console__(
        self, console: Console, options: ConsoleOptions
    ) -> Iterator[RenderableType]:
        """The table where it leaves room for the reasons, else entries."""
        sheet = ranking(self.ranked)
        longest = max(len(item.bridge) for item in self.ranked)
        if options.max_width >= longest + _REASON_LEAST:
            yield from printed(sheet)
            return
        yield Text(f"\n{sheet.title}", style="bold")
        for row in sheet.rows:
            number, bridge, concern, reason = (cell.text for cell in row)
            yield Text.assemble(f"{number}  ", (bridge, "bold"), f"  {concern}")
            yield Padding(Text(reason), (0, 0, 0, 3))


def ranking(ranked: Sequence[Ranked]) -> Sheet:
    """The ranking as a table: the first reason of every bridge in full, the others by kind."""
    columns = (
        Column("", "", "numbers"),
        Column("bridge", "", "text"),
        Column("concern", "", "numbers"),
        Column("reason", "", "text"),
    )
    rows = []
    for item in ranked:
        tone: Tone = "warning" if item.concern >= 1.0 else "strong" if item.concern > 0.0 else ""
        first = words.reason(item.reasons[0]) if item.reasons else "nothing asks for attention"
        also = words.others(item.reasons) if item.reasons else ""
        rows.append(
            (
                Cell(str(item.rank)),
                Cell(plain(item.bridge), tone),
                Cell(f"{item.concern:.2f}", tone),
                Cell(first + (f"; also: {also}" if also else "")),
            )
        )
    return Sheet("Which one needs a visit first", columns, tuple(rows))


def _short(bridge: str, faults: Sequence[str]) -> list[str]:
    """The first faults, without the name of the file where it is the bridge that stands before."""
    own = f"{bridge.rpartition('/')[2]}: "
    rest = len(faults) - _MOST
    told = [fault.removeprefix(own) for fault in faults[:_MOST]]
    return [*told, *([f"and {words.counted(rest, 'more fault')}"] if rest > 0 else [])]


def _under(head: str, lines: Sequence[str], style: str = "") -> Iterator[RenderableType]:
    if not lines:
        return
    yield Text(f"\n{head}", style="bold")
    for line in lines[:_MOST_LINES]:
        yield Padding(Text(plain(line), style=style), (0, 0, 0, 2))
    if len(lines) > _MOST_LINES:
        yield Padding(Text(f"and {len(lines) - _MOST_LINES} more (--json tells all)"), (0, 0, 0, 2))
