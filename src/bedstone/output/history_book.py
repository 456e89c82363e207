"""The record as a workbook: what came in, every reading, the logs in short."""

from __future__ import annotations

from collections.abc import Sequence

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output.record_data import shown_value, stamp
from bedstone.output.record_tables import note
from bedstone.output.workbook import Grid, Head, Page, workbook
from bedstone.site.known_bridge import KnownBridge
from bedstone.site.quantities import catalogue
from bedstone.site.record import Batch, Entry, Logged

_CORRECTIONS = (
    "a reading that is corrected stays; the row that takes its place names it under replaces; what "
    "counts has yes under stands"
)


def history_workbook(
    bridge: KnownBridge,
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    logged: Sequence[Logged] = (),
) -> bytes:
    """The record as the bytes of a workbook without macros, links or formulas."""
    title = f"Readings on bearings: {bridge.name}"
    named = dict.fromkeys(item.reading.quantity for item in entries)
    meanings = [(name, catalogue()[name].sign) for name in named if name in catalogue()]
    first = Page(
        "Read first",
        title,
        (
            ("Caution", FULL),
            ("Times", "UTC"),
            ("Corrections", _CORRECTIONS),
            ("In doubt", "yes: taken in although in doubt, somebody had looked at it"),
            *meanings,
            ("Made with", f"bedstone {__version__}"),
        ),
    )  # fmt: skip
    sheets: list[Page | Grid] = [first, _readings(entries, title), _batches(batches, title)]
    if logged:
        sheets.append(_logs(logged, title))
    return workbook(sheets, title)


def _readings(entries: Sequence[Entry], title: str) -> Grid:
    heads = (
        Head("No.", width=7, format="0"), Head("Seat"), Head("Time (UTC)", width=22),
        Head("Steel", "degC", format="0.0"), Head("Quantity", width=20), Head("Place", width=11),
        Head("Value", width=11, format="0.0##"), Head("Unit", width=7), Head("Word", width=18),
        Head("Taken by", width=18), Head("Stands", width=8), Head("Replaces", format="0"),
        Head("Replaced by", format="0"), Head("In doubt", width=8), Head("Note", width=50),
        Head("File", width=22), Head("Row", width=7, format="0"), Head("Batch", format="0"),
    )  # fmt: skip
    rows = []
    for item in entries:
        told = item.reading
        value, unit = shown_value(item)
        rows.append(
            (
                item.number, told.seat, stamp(told.time), told.temperature, told.quantity,
                told.place, value, unit, told.word, told.who, "yes" if item.stands else "no",
                item.replaces, item.replaced, "yes" if item.looked else "", note(item), told.file,
                told.row, item.batch,
            )
        )  # fmt: skip
    return Grid("Readings", title, heads, tuple(rows), kept=2, pages=2)


def _batches(batches: Sequence[Batch], title: str) -> Grid:
    heads = (
        Head("Batch", format="0"), Head("Kind", width=12), Head("Came in (UTC)", width=22),
        Head("Who", width=20), Head("File", width=24), Head("SHA-256", width=66),
        Head("Weather", width=30), Head("Steel taken", width=30), Head("Air", "degC", format="0.0"),
        Head("Zone", width=18), Head("Remark", width=40), Head("Program", width=16),
    )  # fmt: skip
    rows = tuple(
        (
            item.number, item.kind, stamp(item.imported), item.who, item.file, item.sha256,
            item.weather, item.taken, item.air, item.zone, item.remark, item.program,
        )
        for item in batches
    )  # fmt: skip
    return Grid("What came in", title, heads, rows)


def _logs(logged: Sequence[Logged], title: str) -> Grid:
    heads = (
        Head("Batch", format="0"), Head("Seat"), Head("Rows", format="0", width=12),
        Head("First (UTC)", width=22), Head("Last (UTC)", width=22),
    )  # fmt: skip
    rows = tuple(
        (item.batch, item.seat, item.rows, stamp(item.first), stamp(item.last)) for item in logged
    )
    return Grid("Logs", title, heads, rows)
