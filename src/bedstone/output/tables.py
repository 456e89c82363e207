"""Tables for people, in a terminal or a file."""

from __future__ import annotations

from collections.abc import Iterable

from rich.table import Table

from bedstone.standards.values import Value


def sources_table(values: Iterable[Value]) -> Table:
    """One row for each value of a standard: what it is, where it stands, how it is known."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("standard", "clause", "value", "", "basis", "source"):
        table.add_column(head, overflow="fold")
    for value in values:
        table.add_row(
            value.standard, value.clause, value.name, value.unit, value.basis, value.source
        )
    return table
