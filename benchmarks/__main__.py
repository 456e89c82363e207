"""Print the benchmarks as a table: `python -m benchmarks [topic ...]`, topics below.

A topic is a function without arguments that returns rows; the first row is what the ratios of the
others are taken to. Add a topic by adding it to TOPICS.
"""

from __future__ import annotations

import platform
import sys
from collections.abc import Callable

from . import (
    arrangements,
    bearings,
    comparison,
    condense,
    monitor,
    schedule,
    sliding,
    stock,
    variants,
)
from .rows import Row

TOPICS: dict[str, Callable[[], list[Row]]] = {
    "arrangements": arrangements.run,
    "bearings": bearings.run,
    "comparison": comparison.run,
    "condense": condense.run,
    "envelopes": schedule.envelopes,
    "monitor": monitor.run,
    "sliding": sliding.run,
    "starts": schedule.starts,
    "stock": stock.run,
    "variants": variants.run,
}


def table(name: str, rows: list[Row]) -> str:
    """The rows as text: time, ratio to the first row, note."""
    lines = [name, "-" * len(name)]
    width = max(len(row.what) for row in rows)
    first = rows[0].seconds
    for row in rows:
        if row.seconds is None or first is None:
            lines.append(f"{row.what:{width}s}  {'-':>12s}  {'-':>9s}  {row.note}")
            continue
        ratio = f"{row.seconds / first:.3g} x"
        lines.append(
            f"{row.what:{width}s}  {_time(row.seconds):>12s}  {ratio:>9s}  {row.note}".rstrip()
        )
    lines.append(f"(time for one {rows[0].unit}; x = times the first row)")
    return "\n".join(lines)


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("us", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


def main(wanted: list[str]) -> int:
    """Run the wanted topics, all if none is named."""
    unknown = [name for name in wanted if name not in TOPICS]
    if unknown:
        print(f"unknown topic {unknown[0]!r}; topics: {', '.join(TOPICS)}", file=sys.stderr)
        return 2
    print(f"Python {platform.python_version()} on {platform.machine()}, one BLAS thread\n")
    for name in wanted or list(TOPICS):
        print(table(name, TOPICS[name]()), flush=True)
        print()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
