"""The record printed for people: what came in, and the readings with their corrections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from rich.console import RenderableType
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output.record_data import SHOWN
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import figure, plain
from bedstone.output.tables import printed
from bedstone.site.quantities import known
from bedstone.site.record import Batch, Entry, Logged

_PLACES: Final = {"mm": 1, "mrad": 2, "%": 0}
_FINER: Final = 1e-6  # of a unit: what is lost by rounding and is more than the error of a float


def record_view(
    bridge: str,
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    logged: Sequence[Logged],
    seat: str | None = None,
) -> Iterator[RenderableType]:
    """All of a record; `seat`: of which alone `entries` are."""
    yield Text(plain(bridge), style="bold")
    standing = sum(item.stands for item in entries)
    yield Text(f"{standing} readings stand; corrected or taken back: {len(entries) - standing}.")
    yield from printed(_came_in(batches))
    for mark in dict.fromkeys(item.reading.seat for item in entries):
        yield from printed(readings_sheet(mark, entries))
    if seat is not None and not entries:
        yield Text(f"\nNo reading of {plain(seat)} yet.")
    if logged:
        yield from printed(_logs(logged, seat))
    yield Text(
        "\nTimes in UTC. * taken in although in doubt: somebody had looked. Numbers are kept: a "
        "corrected reading stays, struck out here by (n), the number that corrects it.",
        style="dim",
    )
    yield Text(f"\n{FULL}", style="dim")


def readings_sheet(mark: str, entries: Sequence[Entry]) -> Sheet:
    """The readings of one seat, the corrected ones beside those that stand."""
    columns = (
        Column("No.", "", "numbers"), Column("time (UTC)"), Column("steel", "degC", "numbers"),
        Column("quantity"), Column("place"), Column("reading", "", "numbers"), Column("who"),
        Column("note", "", "text"),
    )  # fmt: skip
    rows = tuple(_row(item) for item in entries if item.reading.seat == mark)
    return Sheet(plain(mark), columns, rows)


def reading_words(item: Entry) -> str:
    """A reading with its unit."""
    told = item.reading
    if told.value is None:
        return told.word or "taken back"
    quantity = known(told.quantity)
    if quantity is None:
        return f"{told.value:g}"
    unit, factor = SHOWN[quantity.unit]
    value, places = told.value * factor, _PLACES[unit]
    if abs(value - round(value, places)) > _FINER:
        places += 1  # a feeler of 0.05 mm must not be shown as the 0.1 mm that is allowed
    return f"{figure(value, places)} {unit}"


def note(item: Entry) -> str:
    """What is to be said of a reading: its correction, what it corrects, its remark."""
    parts = []
    if item.replaces is not None:
        parts.append(f"corrects {item.replaces}: {item.why}")
    if item.remark:
        parts.append(item.remark)
    if item.reading.instrument:
        parts.append(item.reading.instrument)
    return plain("; ".join(parts))


def degrees(temperature: float | None) -> str:
    """A temperature, to half a degree."""
    return NOTHING if temperature is None else figure(temperature, 1)


def _row(item: Entry) -> tuple[Cell, ...]:
    told = item.reading
    doubted = "*" if item.looked and item.replaces is None else ""
    text = reading_words(item) + doubted
    if item.replaced is not None:
        text = f"({item.replaced}) {text}"
    return (
        Cell(str(item.number)),
        Cell(f"{told.time:%Y-%m-%d %H:%M}"),
        Cell(degrees(told.temperature)),
        Cell(plain(told.quantity)),
        Cell(plain(told.place)),
        Cell(plain(text), "strong" if item.stands else ""),
        Cell(plain(told.who)),
        Cell(note(item)),
    )


def _came_in(batches: Sequence[Batch]) -> Sheet:
    columns = (
        Column("batch", "", "numbers"), Column("kind"), Column("came in (UTC)"), Column("who"),
        Column("file"), Column("note", "", "text"),
    )  # fmt: skip
    rows = []
    for item in batches:
        air = "" if item.air is None else f"air {figure(item.air, 1)} degC"
        told = "; ".join(part for part in (item.weather, air, item.taken, item.remark) if part)
        rows.append(
            tuple(
                Cell(plain(text))
                for text in (
                    str(item.number), item.kind, f"{item.imported:%Y-%m-%d %H:%M}", item.who,
                    item.file, told,
                )
            )
        )  # fmt: skip
    return Sheet("What came in", columns, tuple(rows))


def _logs(logged: Sequence[Logged], seat: str | None) -> Sheet:
    columns = (
        Column("batch", "", "numbers"), Column("seat"), Column("rows", "", "numbers"),
        Column("first (UTC)"), Column("last (UTC)"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(str(item.batch)), Cell(plain(item.seat)), Cell(str(item.rows)),
            Cell(f"{item.first:%Y-%m-%d %H:%M}"), Cell(f"{item.last:%Y-%m-%d %H:%M}"),
        )
        for item in logged
        if seat in (None, item.seat)
    )  # fmt: skip
    return Sheet("Logs", columns, rows)
