"""What logs say of the bearings, printed for people: one line each, then why and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output import monitor_words as words
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import figure, plain
from bedstone.output.tables import printed
from bedstone.output.words import memory_note
from bedstone.site.monitoring.watch import Watched
from bedstone.site.tolerances import Tolerances


def monitor_view(
    bridge: str, standard: str, found: Sequence[Watched], limits: Tolerances
) -> Iterator[RenderableType]:
    """Everything. `bridge`, `standard`: their titles; `limits`: the thresholds used."""
    yield Text(plain(bridge), style="bold")
    yield Text(plain(standard))
    need = [item.seat.seat for item in found if item.action]
    if need:
        yield Text(f"Needs action: {', '.join(need)}.", style="bold red")
    else:
        yield Text("Nothing needs action.", style="bold")
    yield from printed(table(found))
    for item in found:
        yield Text(f"\n{words.title(item)}", style="bold")
        for finding, sentence in zip(item.findings, words.sentences(item), strict=True):
            yield Padding(Text(sentence, style="bold" if finding.action else ""), (0, 0, 0, 2))
        yield from (Padding(Text(text), (0, 0, 0, 2)) for text in words.background(item))
    yield Text(f"\n{words.SIGNS}\n{words.COLUMNS}", style="dim")
    recalled = [value for _, value in sorted(limits.values.items()) if value.basis == "memory"]
    note = memory_note(recalled)
    if note:
        yield Text(f"\n{note}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


def table(found: Sequence[Watched]) -> Sheet:
    """One line for each seat."""
    columns = (
        Column("seat"),
        Column("judgement", "", "text"),
        Column("mobility", "", "numbers"),
        Column("lag", "h", "numbers"),
        Column("stands still", "K", "numbers"),
        Column("drift", "mm a year", "numbers"),
        Column("left", "mm", "numbers"),
        Column("end reached", "", "text"),
        Column("way", "m a year", "numbers"),
        Column("line", "mm", "numbers"),
    )
    return Sheet("What the bearings do", columns, tuple(_row(item) for item in found))


def _row(item: Watched) -> tuple[Cell, ...]:
    fit = item.fit
    left = None if item.left is None else item.left.least
    short = left is not None and left < 0.0
    return (
        Cell(item.seat.seat),
        Cell(words.judgement(item.judgement), "warning" if item.action else "strong"),
        Cell(words.between(item.ratio, 1.0, 2)),
        Cell(NOTHING if fit is None or fit.lag is None else figure(fit.lag.value, 1)),
        Cell(NOTHING if fit is None or fit.stick is None else figure(fit.stick.value, 1)),
        Cell(NOTHING if fit is None else words.between(fit.drift, 1e3, 1)),
        Cell(NOTHING if left is None else figure(left * 1e3, 0), "warning" if short else ""),
        Cell(words.end_reached(item)),
        Cell(NOTHING if item.yearly is None else figure(item.yearly, 1)),
        Cell(NOTHING if item.siblings is None else words.mm(item.siblings.by)),
    )
