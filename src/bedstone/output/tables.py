"""A schedule printed for people: in a window, a file or a pipe.

Laid out for 100 columns and more; numbers are never cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import StringIO

from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from bedstone.bearings.constants import Constant
from bedstone.cautions import FULL
from bedstone.output import bearings, sheets, words
from bedstone.output.sheets import Sheet
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule
from bedstone.standards.values import Value

_SOURCES_LEAST = 116  # columns for the table of sources, of which six stand side by side
_STYLE = {"": "", "strong": "bold", "warning": "bold red"}


def schedule_view(schedule: Schedule, limit_states: Sequence[str]) -> Iterator[RenderableType]:
    """All tables of a schedule for these limit states, in the order they are read."""
    yield from _head(schedule)
    yield from printed(sheets.bearings(schedule.seats))
    for state in limit_states:
        yield from printed(sheets.seats_in(schedule, state))
        yield from printed(sheets.supports_in(schedule, state))
    for sheet in sheets.permanent(schedule):
        yield from printed(sheet)
    yield Text(f"\n{SEAT_SIGNS}\n{SUPPORT_SIGNS}\n{sheets.DASH}", style="dim")
    for head, sentences in words.remarks(schedule).items():
        yield from _under(head, sentences)
    others = [state for state in schedule.limit_states if state not in limit_states]
    if others:
        yield Text(f"\nNot shown: {', '.join(others)} (--limit-state all).", style="dim")
    yield from _closing(schedule)


def seat_view(
    schedule: Schedule, mark: str, limit_states: Sequence[str]
) -> Iterator[RenderableType]:
    """Every extreme of one seat, the effects acting with it and the actions it comes from.

    Raises `InputError` for a mark that is no seat.
    """
    seat = sheets.seat_of(schedule, mark)
    yield from _head(schedule)
    yield from printed(sheets.bearings((seat,)))
    for state in limit_states:
        yield from printed(sheets.acting(schedule, mark, state))
        yield from printed(sheets.shares(schedule, mark, state))
    yield Text(f"\n{SEAT_SIGNS}", style="dim")
    yield from _closing(schedule)


def bearing_view(
    schedule: Schedule, found: SeatDesign, every: bool = False
) -> Iterator[RenderableType]:
    """The bearing of one seat: its parts, its checks, what governs; `every` line in full."""
    yield from _heading(schedule)
    yield Text(f"\n{bearings.title(found)}", style="bold")
    yield from (Text(line) for line in bearings.summary(found))
    design = found.choice.design
    if design is not None:
        yield from printed(bearings.parts(design))
        yield from printed(bearings.checks(design))
        yield from printed(bearings.in_full(design, every))
    yield from _under("Notes", bearings.remarks(found))
    if found.compared and not found.choice.passes:
        yield from printed(bearings.compared(found.seat, found.compared))
    yield from _leaning([found])


def comparison_view(schedule: Schedule, found: Sequence[SeatDesign]) -> Iterator[RenderableType]:
    """The kinds side by side at some seats."""
    yield from _heading(schedule)
    for item in found:
        yield Text(f"\n{bearings.asked(item)}")
        yield from printed(bearings.compared(item.seat, item.compared))
    yield from _leaning(found)


def bearings_view(schedule: Schedule, found: Sequence[SeatDesign]) -> Iterator[RenderableType]:
    """One line for each seat, and what the table of suitability says of its kind."""
    yield from _heading(schedule)
    yield from printed(bearings.overview(found))
    yield from _under("Suitability", bearings.suitability(found))
    yield Text(f"\n{bearings.COLUMNS}", style="dim")
    yield from _leaning(found)


def designed_view(found: Sequence[SeatDesign]) -> Iterator[RenderableType]:
    """The bearings on which a schedule was made, one line each; nothing without bearings."""
    if found:
        yield from printed(bearings.overview(found))
        yield Text(f"\n{bearings.COLUMNS}", style="dim")


def printed(sheet: Sheet) -> Iterator[RenderableType]:
    """A sheet under its title."""
    if sheet.title:
        yield Text(f"\n{sheet.title}", style="bold")
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold", show_edge=False)
    for column in sheet.columns:
        units = f"\n[{column.unit}]" if column.unit else ""
        long = column.holds == "text"
        table.add_column(
            Text(f"{column.head}{units}"),
            justify="right" if column.holds == "numbers" else "left",
            no_wrap=not long,
            overflow="fold",
            min_width=12 if long else None,
            vertical="top",
        )
    for row in sheet.rows:
        table.add_row(*(Text(cell.text, style=_STYLE[cell.tone]) for cell in row))
    yield table


@dataclass(frozen=True)
class Sources:
    """Values and their sources: as a table, or in a window too narrow for it one below the other.

    Rich asks for it with the width there is (`__rich_console__`).
    """

    values: tuple[Value | Constant, ...]

    def __rich_console__(
        self, console: Console, options: ConsoleOptions
    ) -> Iterator[RenderableType]:
        """The table where no column of it is squeezed to single letters, else entries."""
        sheet = sheets.sources(self.values)
        if options.max_width >= _SOURCES_LEAST:
            yield from printed(sheet)
            return
        for row in sheet.rows:
            standard, clause, name, value, basis, source = (cell.text for cell in row)
            yield Text.assemble((name, "bold"), f" = {value} ({basis})")
            clauses = ", ".join(part for part in (standard, clause) if part)
            yield Padding(Text(f"{clauses}: {source}" if clauses else source), (0, 0, 0, 4))


def to_text(parts: Iterable[RenderableType], width: int = 120) -> str:
    """Print into a text of this width, without colours."""
    stream = StringIO()
    console = Console(file=stream, width=width, color_system=None, legacy_windows=False)
    show(console, parts)
    lines = [line.rstrip() for line in stream.getvalue().splitlines()]
    return "\n".join(lines) + "\n"


def show(console: Console, parts: Iterable[RenderableType]) -> None:
    """Print; what a file says is text, never markup."""
    for part in parts:
        console.print(part, markup=False, highlight=False, emoji=False)


def _head(schedule: Schedule) -> Iterator[RenderableType]:
    yield Text(words.title(schedule), style="bold")
    yield from (Text(line) for line in words.basis(schedule))


def _heading(schedule: Schedule) -> Iterator[RenderableType]:
    yield Text(words.title(schedule), style="bold")
    yield Text(words.basis(schedule)[0])


def _under(head: str, sentences: Sequence[str]) -> Iterator[RenderableType]:
    if sentences:
        yield Text(f"\n{head}", style="bold")
        yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in sentences)


def _leaning(found: Sequence[SeatDesign]) -> Iterator[RenderableType]:
    """Values from memory on which designs lean, and the caution."""
    recalled = {value.name: value for item in found for value in item.memory}
    if recalled:
        note = words.memory_note([recalled[name] for name in sorted(recalled)])
        yield Text(f"\n{note}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


def _closing(schedule: Schedule) -> Iterator[RenderableType]:
    """What stands under every schedule: the self-check, values from memory, the caution."""
    yield Text(f"\n{words.self_check(schedule)}")
    if schedule.memory:
        yield Text(f"\n{words.from_memory(schedule)}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")
