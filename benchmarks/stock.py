"""A stock of bridges: how long it takes, and what it survives.

`python -m benchmarks stock` times it; `python -m benchmarks.stock faults [TRIALS]` breaks things
while it works and counts how often the store is right after (see `benchmarks.stock_faults`).
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Generator, Iterable
from dataclasses import dataclass
from pathlib import Path

from bedstone.stock.engine import Done
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import Result
from bedstone.stock.run import run as run_stock
from bedstone.stock.tables import digest
from bedstone.stock.task import Answer, Options, Task, program, work_out

from .rows import Row

EXAMPLE = Path(__file__).parents[1] / "examples" / "truss.toml"
PLAIN = Options(parts=("schedule",))
MANY = 1_000


def made_up(folder: Path, count: int) -> Path:
    """A stock of trusses like the example, each with another span from 60 to 68 m."""
    text = EXAMPLE.read_text(encoding="utf-8")
    for number in range(count):
        span = 60.0 + 8.0 * number / max(count - 1, 1)
        own = text.replace('chainage = "64 m"', f'chainage = "{span:.4f} m"')
        place = folder / f"line-{number % 10}" / f"bridge-{number:04d}.toml"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(own, encoding="utf-8")
    return folder


# ------------------------------------------------------------------ times
@dataclass(frozen=True)
class Likewise:
    """Gives every bridge the rows of one that was worked out: a large store is soon full."""

    one: Answer

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        for task in tasks:
            rows = {
                name: tuple((task.path, *cells[1:]) for cells in found)
                for name, found in self.one.rows.items()
            }
            yield Done(task, Answer(rows, digest(rows), program()))


def run() -> list[Row]:
    """Twelve bridges by one worker and by two; a thousand of which nothing changed."""
    rows = []
    with tempfile.TemporaryDirectory() as place:
        folder = made_up(Path(place) / "stock", 12)
        for workers in (1, 2):
            store = Path(place) / f"store-{workers}"
            seconds, found = timed(folder, store, Pool(workers), PLAIN)
            assert found.worked_out == 12
            note = f"12 schedules, {workers} worker{'s' if workers > 1 else ''}, from a cold start"
            rows.append(Row(note, seconds / 12.0, "bridge"))
        seconds, found = timed(folder, Path(place) / "all", Pool(2), Options())
        rows.append(Row("12 with all parts, 2 workers", seconds / 12.0, "bridge"))
        many = made_up(Path(place) / "many", MANY)
        task = next(iter(find_stock(folder).tasks(Options())))
        engine, store = Likewise(work_out(task)), Path(place) / "large"
        seconds, found = timed(many, store, engine, Options())
        rows.append(Row(f"writing {MANY} into a store", seconds / MANY, "bridge"))
        seconds, found = timed(many, store, engine, Options())
        assert found.taken == MANY
        size = sum(file.stat().st_size for file in store.rglob("*.parquet")) / 1e6
        note = f"{seconds:.1f} s in all, limit 10 s; {size:.0f} MB of Parquet"
        rows.append(Row(f"second run of {MANY}, nothing changed", seconds / MANY, "bridge", note))
    return rows


def timed(folder: Path, store: Path, engine: object, options: Options) -> tuple[float, Result]:
    """Seconds of a run, and what it found."""
    start = time.perf_counter()
    found = run_stock(find_stock(folder), options, Folder(store), engine)  # type: ignore[arg-type]
    return time.perf_counter() - start, found


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["faults", *number] if all(map(str.isdecimal, number)) and len(number) < 2:
            from .stock_faults import faults

            sys.exit(faults(*map(int, number)))
        case _:
            sys.exit(__doc__)
