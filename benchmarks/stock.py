"""A stock of bridges: how long it takes, and what it survives.

`python -m benchmarks stock` times it; `python -m benchmarks.stock thousand [WORKERS]` works out a
made-up stock of a thousand bridges and says how long that took, how much memory a worker held, and
how much more the workers do than one; `python -m benchmarks.stock faults [TRIALS]` breaks things
while it works and counts how often the store is right after (see `benchmarks.stock_faults`).
"""

from __future__ import annotations

import multiprocessing
import os
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
from bedstone.stock.run import Progress, Result
from bedstone.stock.run import run as run_stock
from bedstone.stock.synthetic import bridge
from bedstone.stock.tables import digest
from bedstone.stock.task import Answer, Options, Task, program, work_out

from .rows import Row

EXAMPLE = Path(__file__).parents[1] / "examples" / "truss.toml"
PLAIN = Options(parts=("schedule",))
#: All bridges of a mixed stock under one family, whatever family they name.
MIXED = Options(standard="eurocode", parts=("schedule",))
MANY = 1_000
#: Every so many bridges of a mixed stock stand for all: all kinds and sizes are among them.
DRAWN = 25


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


def mixed(folder: Path, step: int) -> Path:
    """Every so many of the thousand bridges that `bedstone stock-sample` makes with seed 1."""
    for number in range(1, MANY + 1, step):
        for path, text in bridge(number, seed=1).files:
            place = folder / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text, encoding="utf-8")
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
        drawn = mixed(Path(place) / "mixed", DRAWN)
        for workers in (1, 2):
            seconds, found = timed(drawn, Path(place) / f"mixed-{workers}", Pool(workers), MIXED)
            note = f"{found.bridges} schedules of a mixed stock, {workers} worker" + "s" * (
                workers > 1
            )
            rows.append(Row(note, seconds / found.bridges, "bridge"))
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


def timed(
    folder: Path, store: Path, engine: object, options: Options, progress: Progress | None = None
) -> tuple[float, Result]:
    """Seconds of a run, and what it found."""
    start = time.perf_counter()
    found = run_stock(
        find_stock(folder),
        options,
        Folder(store),
        engine,
        None,
        progress,  # type: ignore[arg-type]
    )
    return time.perf_counter() - start, found


def thousand(workers: int) -> int:
    """Work out a mixed stock of a thousand; then its part by one worker and by all, for the ratio.

    Prints what it finds; 1 where a worker brought no answer.
    """
    most = 0

    def watch(done: int, total: int, _: str) -> None:
        nonlocal most
        held = (_most_memory(child.pid) for child in multiprocessing.active_children())
        most = max(most, *held, 0)
        if done % 100 == 0:
            print(f"  {done} of {total} after {time.perf_counter() - start:.0f} s", flush=True)

    with tempfile.TemporaryDirectory() as place:
        folder = mixed(Path(place) / "stock", 1)
        start = time.perf_counter()
        before = _processor()
        seconds, found = timed(folder, Path(place) / "store", Pool(workers), MIXED, watch)
        own, children = (now - then for now, then in zip(_processor(), before, strict=True))
        print(
            f"{found.bridges} bridges, {workers} workers: {seconds:.0f} s "
            f"({seconds / found.bridges:.3f} s a bridge); processor time of the workers "
            f"{children:.0f} s, of the first process {own:.0f} s; a worker held "
            f"{most / 1e9:.2f} GB at most; {found.states}",
            flush=True,
        )
        drawn = mixed(Path(place) / "drawn", DRAWN)
        times = [
            timed(drawn, Path(place) / f"drawn-{number}", Pool(number), MIXED)[0]
            for number in (1, workers)
        ]
        print(
            f"every {DRAWN}th of them: {times[0]:.1f} s by one worker, {times[1]:.1f} s by "
            f"{workers}: {times[0] / times[1]:.2f} times as fast"
        )
    return int("lost" in found.states)


def _processor() -> tuple[float, float]:
    """Seconds of processor time of this process and of its children that have ended."""
    told = os.times()
    return told.user + told.system, told.children_user + told.children_system


def _most_memory(process: int | None) -> int:
    """Bytes another process has held at most; 0 where the system does not say."""
    try:
        text = Path(f"/proc/{process}/status").read_text(encoding="ascii")
        return int(text.split("VmHWM:")[1].split()[0]) * 1024
    except (OSError, IndexError):
        return 0


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["thousand"]:
            sys.exit(thousand(os.cpu_count() or 1))
        case ["thousand", number] if number.isdecimal() and int(number) > 0:
            sys.exit(thousand(int(number)))
        case ["faults", *number] if all(map(str.isdecimal, number)) and len(number) < 2:
            from .stock_faults import faults

            sys.exit(faults(*map(int, number)))
        case _:
            sys.exit(__doc__)
