"""A stock of bridges: how long it takes, and what it survives.

`python -m benchmarks stock` times it; `python -m benchmarks.stock faults [TRIALS]` breaks things
while it works, at places drawn from a fixed seed, and counts how often the store is right after.
"""

from __future__ import annotations

import errno
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Generator, Iterable
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from bedstone.errors import BedstoneError
from bedstone.stock.engine import Done
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import Progress, Result
from bedstone.stock.run import run as run_stock
from bedstone.stock.tables import digest, gathered
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


# ------------------------------------------------------------------ faults
def quick(task: Task) -> Answer:
    """Rows of the bytes alone, after a moment in which a worker can be killed."""
    time.sleep(0.02)
    number = float(sum(task.files[0][1]))
    rows = {
        "bridges": gathered("bridges", [{"bridge": task.path, "state": "done"}]),
        "seats": gathered(
            "seats",
            [{"bridge": task.path, "seat": f"A1-{i}", "N_min_N": number / i} for i in range(1, 9)],
        ),
    }
    return Answer(rows, digest(rows), program())


@dataclass(frozen=True)
class Bench:
    """A stock, its store, and what the store must hold."""

    folder: Path
    store: Path
    expected: dict[str, str]
    chance: random.Random

    def run(self, workers: int = 2, progress: Progress | None = None) -> Result:
        return run_stock(
            find_stock(self.folder), PLAIN, Folder(self.store), Pool(workers, quick), None, progress
        )

    def right(self) -> bool:
        """Whether a further run holds what it must, bit by bit, and reads it back."""
        found = self.run()
        same = {part.path: part.digest for part in found.parts} == self.expected
        again = self.run()
        return same and again.taken == len(self.expected) and again.ranking == found.ranking


def killed_worker(bench: Bench) -> str:
    """One worker is killed at a moment of the run."""
    after = bench.chance.randrange(1, len(bench.expected) - 3)

    def kill(done: int, *_: object) -> None:
        if done == after:
            children = Path(f"/proc/self/task/{threading.get_native_id()}/children").read_text()
            numbers = [int(number) for number in children.split() if _works(int(number))]
            os.kill(bench.chance.choice(numbers), signal.SIGKILL)

    found = bench.run(progress=kill)
    return "" if found.complete and found.worked_out == len(bench.expected) else "not complete"


def _works(number: int) -> bool:
    """Whether a child is a worker, and not the one that counts what processes share."""
    return b"spawn_main" in Path(f"/proc/{number}/cmdline").read_bytes()


def killed_run(bench: Bench) -> str:
    """The whole run is killed, as a system short of memory does it."""
    code = (
        "import sys; from benchmarks.stock import *; "
        "bench = Bench(Path(sys.argv[1]), Path(sys.argv[2]), {}, random.Random()); bench.run()"
    )
    script = f"if __name__ == '__main__':\n    {code}"
    file = bench.store.parent / "killed.py"
    file.write_text(script, encoding="utf-8")
    paths = os.pathsep.join([str(EXAMPLE.parents[1]), *filter(None, sys.path)])
    with subprocess.Popen(
        [sys.executable, str(file), str(bench.folder), str(bench.store)],
        env=os.environ | {"PYTHONPATH": paths},
    ) as going:
        parts = bench.store / "bridges"
        wanted = bench.chance.randrange(1, len(bench.expected))
        while going.poll() is None and (not parts.is_dir() or len(list(parts.iterdir())) < wanted):
            time.sleep(0.001)
        time.sleep(bench.chance.random() * 0.02)
        going.kill()
    return ""


def full_disk(bench: Bench) -> str:
    """One write, drawn at random, finds the disk full."""
    real, count = Path.write_bytes, 0
    fails = bench.chance.randrange(1, 3 * len(bench.expected))

    def write(file: Path, data: bytes) -> int:
        nonlocal count
        count += 1
        if count < fails:
            return real(file, data)
        real(file, data[: bench.chance.randrange(len(data))])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with mock.patch.object(Path, "write_bytes", write):
        return _told(bench, "no space left")


def removed_store(bench: Bench) -> str:
    """The folder of the store is removed at a moment of the run."""
    after = bench.chance.randrange(1, len(bench.expected) - 1)

    def remove(done: int, *_: object) -> None:
        if done == after:
            shutil.rmtree(bench.store)

    return _told(bench, "removed while the work went on", remove)


def damaged_part(bench: Bench) -> str:
    """A byte of any file of the store is another, or the file is cut off."""
    bench.run()
    files = sorted(bench.store.glob("bridges/*/*"))
    file = bench.chance.choice(files)
    data = bytearray(file.read_bytes())
    place = bench.chance.randrange(len(data))
    if bench.chance.random() < 0.5:
        del data[place:]
    else:
        data[place] ^= 1 << bench.chance.randrange(8)
    file.write_bytes(bytes(data))
    return ""


def two_runs(bench: Bench) -> str:
    """A second run on the same store while the first one works."""
    refused: list[str] = []

    def second(done: int, *_: object) -> None:
        if done == 3:
            try:
                bench.run()
            except BedstoneError as error:
                refused.append(str(error))

    bench.run(progress=second)
    return "" if refused and "another run" in refused[0] else "the second one was not refused"


def jumped_clock(bench: Bench) -> str:
    """Dates of all files jump, and so does the clock of the run."""
    bench.run()
    for file in [*bench.store.rglob("*"), *bench.folder.rglob("*")]:
        os.utime(file, (bench.chance.uniform(0, 4e9), bench.chance.uniform(0, 4e9)))
    with mock.patch("time.time", return_value=bench.chance.uniform(0, 4e9)):
        found = bench.run()
    return "" if found.taken == len(bench.expected) else "worked out again"


def _told(bench: Bench, words: str, progress: Progress | None = None) -> str:
    try:
        bench.run(progress=progress)
    except BedstoneError as error:
        return "" if words in str(error) else f"told otherwise: {error}"
    return "was not told"


FAULTS = (
    killed_worker, killed_run, full_disk, removed_store, damaged_part, two_runs, jumped_clock,
)  # fmt: skip


def faults(trials: int = 20) -> int:
    """Print a table of counts; 1 where anything was not right."""
    wrong = 0
    print(f"{'fault':16s} {'trials':>7s} {'right after':>12s}")
    for fault in FAULTS:
        right = 0
        for trial in range(trials):
            with tempfile.TemporaryDirectory() as place:
                folder = made_up(Path(place) / "stock", 12)
                tasks = find_stock(folder).tasks(PLAIN)
                expected = {task.path: quick(task).digest for task in tasks}
                chance = random.Random(f"{fault.__name__} {trial}")
                bench = Bench(folder, Path(place) / "store", expected, chance)
                trouble = fault(bench)
                if not trouble and not bench.right():
                    trouble = "the store is not right after"
                if trouble:
                    print(f"  {fault.__name__}, trial {trial}: {trouble}", file=sys.stderr)
                right += not trouble
        wrong += trials - right
        print(f"{fault.__name__.replace('_', ' '):16s} {trials:7d} {right:12d}", flush=True)
    return int(wrong > 0)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["faults"]:
            sys.exit(faults())
        case ["faults", number] if number.isdecimal():
            sys.exit(faults(int(number)))
        case _:
            sys.exit(__doc__)
