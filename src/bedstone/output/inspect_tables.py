"""What an inspection found, printed for people: a table for each bearing, and what follows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output import inspect_words as words
from bedstone.output.sheets import Cell, Column, Sheet
from bedstone.output.shown import plain
from bedstone.output.tables import printed
from bedstone.output.words import memory_note
from bedstone.site.inspection.result import Inspection, SeatInspection, Verdict

#: Causes told of each bearing.
CAUSES = 3


def inspection_view(
    bridge: str, standard: str, found: Inspection, *, count: int = CAUSES
) -> Iterator[RenderableType]:
    """Everything, bearing by bearing. `bridge`, `standard`: their titles; `count`: causes told."""
    yield Text(plain(bridge), style="bold")
    yield Text(plain(standard))
    for place, sentence in enumerate(words.summary(found)):
        style = "bold red" if place == 0 and not found.holds else "bold" if place == 0 else ""
        yield Text(sentence, style=style)
    for item in found.seats:
        yield from seat_view(item, count)
    if found.joints:
        yield from printed(table("At supports", found.joints, placed=True))
    yield Text(f"\n{words.SIGNS}\n{words.COLUMNS}", style="dim")
    if found.designed:
        yield Text(f"\n{words.designed(found.designed)}", style="yellow")
    note = memory_note(words.from_memory(found))
    if note:
        yield Text(f"\n{note}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


def seat_view(found: SeatInspection, count: int = CAUSES) -> Iterator[RenderableType]:
    """One bearing: verdicts, travel left, capacity, abutments, causes, rating."""
    yield from printed(table(words.title(found), found.verdicts))
    parts: list[tuple[str, list[str]]] = [
        ("Travel", [text for item in found.left for text in words.travel(item)]),
        ("Sizes", [] if found.capacity is None else words.capacity(found.capacity)),
        ("Abutments and piers", [words.effect(item) for item in found.effects]),
        (
            "Likely causes",
            [text for item in found.causes[:count] for text in words.cause(item)],
        ),
        ("Rating", words.rating(found.rating)),
    ]
    for head, sentences in parts:
        if not sentences:
            continue
        yield Padding(Text(head, style="bold"), (0, 0, 0, 2))
        for sentence in sentences:
            style = "bold red" if any(word in sentence for word in LOUD) else ""
            yield Padding(Text(sentence, style=style), (0, 0, 0, 4))


#: Words of sentences that must not be passed over.
LOUD = ("REACHED", "DOES NOT HOLD", "TELL THE RESPONSIBLE")


def table(title: str, verdicts: Sequence[Verdict], *, placed: bool = False) -> Sheet:
    """The verdicts of a place, or of several (`placed`: each named)."""
    columns = (
        Column("read"),
        Column("unit"),
        Column("found", "", "numbers"),
        Column("expected", "", "numbers"),
        Column("difference", "", "numbers"),
        Column("allowed", "", "numbers"),
        Column("verdict", "", "text"),
    )
    return Sheet(title, columns, tuple(_row(verdict, placed=placed) for verdict in verdicts))


def _row(verdict: Verdict, *, placed: bool) -> tuple[Cell, ...]:
    unit = verdict.unit
    out = verdict.state == "out"
    allowed = (
        "–"
        if verdict.found is None or verdict.why
        else f"{words.amount(verdict.low, unit)} to {words.amount(verdict.high, unit)}"
        if verdict.high != float("inf")
        else f"{words.amount(verdict.low, unit, sign=False)} or more"
    )
    found = plain(verdict.word) if verdict.word else words.amount(verdict.found, unit)
    return (
        Cell(plain(f"{verdict.seat} {verdict.what}" if placed else verdict.what)),
        Cell(words.unit_of(unit)),
        Cell(found, "warning" if out else "strong"),
        Cell(words.amount(verdict.expected, unit)),
        Cell(words.amount(verdict.difference, unit)),
        Cell(allowed),
        Cell(words.outcome(verdict), "warning" if out else ""),
    )
