"""What a run over a stock survives: things are broken while it works, again and again.

`python -m benchmarks.stock faults [TRIALS]` prints for each fault how often the store was right
after, and what was told. Right: a further run holds what was expected to the last bit of every
number, reads it back, and works nothing out again. Places and moments are drawn from a fixed seed.

The words are those that the command line prints, one line a fault. The work of a bridge is quick
here and stands in for what takes seconds; run and store are those of `bedstone stock`, and so are
the workers where they matter: where a worker or a whole run is killed, and of two runs.
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
import textwrap
import threading
import time
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

from bedstone.errors import BedstoneError
from bedstone.output.stock_words import work
from bedstone.stock.engine import Done, Engine
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import Progress, Result
from bedstone.stock.run import run as run_stock
from bedstone.stock.tables import digest, gathered
from bedstone.stock.task import Answer, Task, program

from .stock import EXAMPLE, PLAIN, made_up

BRIDGES = 12


class WrongError(Exception):
    """What was not as it has to be."""


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


class Here:
    """Works tasks out in this very process."""

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        for task in tasks:
            yield Done(task, quick(task))


#: Two workers.
POOL = Pool(2, quick)


@dataclass(frozen=True)
class Bench:
    """A stock, its store, and what the store must hold."""

    folder: Path
    store: Path
    expected: dict[str, str]
    chance: random.Random

    def run(self, progress: Progress | None = None, engine: Engine | None = None) -> Result:
        stock, place = find_stock(self.folder), Folder(self.store)
        return run_stock(stock, PLAIN, place, engine or Here(), None, progress)

    def told(self, words: str, progress: Progress | None = None) -> str:
        """What a run says that has to give up; its words must hold these."""
        try:
            self.run(progress)
        except BedstoneError as error:
            lines = str(error).splitlines()
            if len(lines) != 1 or words not in lines[0]:
                raise WrongError(f"told otherwise: {error}") from None
            return lines[0]
        raise WrongError("was not told")

    def right(self) -> Result:
        """A further run, which holds what it must, bit by bit, and reads it back."""
        found = self.run()
        if {part.path: part.digest for part in found.parts} != self.expected:
            raise WrongError("the store does not hold what it must")
        again = self.run()
        if again.taken != len(self.expected) or again.ranking != found.ranking:
            raise WrongError("the store is not read back as it was written")
        half = [file.name for file in self.store.rglob(".*")]
        if half:
            raise WrongError(f"left behind: {', '.join(half)}")
        return found


# ------------------------------------------------------------------ what goes wrong
def killed_worker(bench: Bench) -> str:
    """One worker is killed at a moment of the run."""
    after = bench.chance.randrange(1, len(bench.expected) - 3)

    def kill(done: int, *_: object) -> None:
        if done == after:
            children = Path(f"/proc/self/task/{threading.get_native_id()}/children").read_text()
            numbers = [int(number) for number in children.split() if _works(int(number))]
            os.kill(bench.chance.choice(numbers), signal.SIGKILL)

    found = bench.run(kill, POOL)
    if not found.complete or found.worked_out != len(bench.expected):
        raise WrongError("not complete")
    return "nothing: its bridge is tried again"


def _works(number: int) -> bool:
    """Whether a child is a worker, and not the one that counts what processes share."""
    return b"spawn_main" in Path(f"/proc/{number}/cmdline").read_bytes()


_WHOLE_RUN = """
import sys
from benchmarks.stock_faults import POOL, Bench, Path, random

if __name__ == "__main__":
    Bench(Path(sys.argv[1]), Path(sys.argv[2]), {}, random.Random()).run(None, POOL)
"""


@contextmanager
def _going(bench: Bench) -> Iterator[subprocess.Popen[bytes]]:
    """The same run as a process of its own."""
    file = bench.store.parent / "whole_run.py"
    file.write_text(_WHOLE_RUN, encoding="utf-8")
    paths = os.pathsep.join([str(EXAMPLE.parents[1]), *filter(None, sys.path)])
    with subprocess.Popen(
        [sys.executable, str(file), str(bench.folder), str(bench.store)],
        env=os.environ | {"PYTHONPATH": paths},
    ) as going:
        yield going


def _wait_for(going: subprocess.Popen[bytes], bench: Bench, wanted: int) -> None:
    """Wait until the process has written something of so many bridges."""
    parts = bench.store / "bridges"
    while going.poll() is None and (not parts.is_dir() or len(list(parts.iterdir())) < wanted):
        time.sleep(0.001)


def killed_run(bench: Bench) -> str:
    """The whole run is killed, as a system short of memory does it; the next one goes on."""
    with _going(bench) as going:
        _wait_for(going, bench, bench.chance.randrange(1, len(bench.expected)))
        time.sleep(bench.chance.random() * 0.02)
        going.kill()
    return f"by the next run: {work(bench.right())}"


def _disk(place: Path, kilobytes: int) -> bool:
    """A disk of this size in a folder; False where this machine does not let us make one."""
    place.mkdir()
    made = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(place)]
    try:
        return subprocess.run(made, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


@contextmanager
def _full_after(bench: Bench) -> Iterator[None]:
    """One write, drawn at random, and all after it find the disk full."""
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
        yield


def full_disk(bench: Bench) -> str:
    """The disk of the store is full at some moment: a small one, or writes that say so."""
    small = _disk(bench.store, bench.chance.randrange(8, 100))
    try:
        with nullcontext() if small else _full_after(bench):
            told = bench.told("no space left")
        if small:
            more = ["mount", "-o", "remount,size=16m", str(bench.store)]
            subprocess.run(more, check=True, capture_output=True)
        bench.right()
    finally:
        if small:
            subprocess.run(["umount", str(bench.store)], check=True, capture_output=True)
    shutil.rmtree(bench.store)  # what stood on the small disk was right; nothing stands here
    return told if small else f"{told} (simulated)"


def full_temporary_folder(bench: Bench) -> str:
    """The disk of temporary files is full: nothing can be made to be written."""
    scratch = bench.store.parent / "scratch"
    if not _disk(scratch, 4):
        return "(no small disk can be made on this machine: not tried)"
    try:
        with suppress(OSError):
            (scratch / "full").write_bytes(b"x" * 8192)
        with mock.patch.object(tempfile, "tempdir", str(scratch)):
            return bench.told("temporary folder")
    finally:
        subprocess.run(["umount", str(scratch)], check=True, capture_output=True)


def removed_store(bench: Bench) -> str:
    """The folder of the store is removed at a moment of the run."""
    after = bench.chance.randrange(1, len(bench.expected) - 1)

    def remove(done: int, *_: object) -> None:
        if done == after:
            shutil.rmtree(bench.store)

    told = bench.told("removed while the work went on", remove)
    if bench.store.exists():
        raise WrongError("the store was made anew")
    return told


def damaged_part(bench: Bench) -> str:
    """A bit of any file of the store is another, or the file is cut off."""
    bench.run()
    file = bench.chance.choice(sorted(bench.store.glob("bridges/*/*")))
    data = bytearray(file.read_bytes())
    place = bench.chance.randrange(len(data))
    if bench.chance.random() < 0.5:
        del data[place:]
    else:
        data[place] ^= 1 << bench.chance.randrange(8)
    file.write_bytes(bytes(data))
    found = bench.right()
    if found.damaged != 1 or found.worked_out != 1:
        raise WrongError("one bridge has to be made again")
    return work(found)


def two_runs(bench: Bench) -> str:
    """A second run on the same store, from another process, while the first one works."""
    with _going(bench) as going:
        _wait_for(going, bench, bench.chance.randrange(1, len(bench.expected) - 4))
        told = bench.told("another run works on it")
    if going.returncode:
        raise WrongError("the first one did not end well")
    if bench.right().worked_out:
        raise WrongError("the first one did not do all")
    return told


def jumped_clock(bench: Bench) -> str:
    """Dates of all files jump, and so does the clock of the run."""
    bench.run()
    for file in [*bench.store.rglob("*"), *bench.folder.rglob("*")]:
        os.utime(file, (bench.chance.uniform(0, 4e9), bench.chance.uniform(0, 4e9)))
    with mock.patch("time.time", return_value=bench.chance.uniform(0, 4e9)):
        found = bench.run()
    if found.taken != len(bench.expected):
        raise WrongError("worked out again")
    return "nothing: no date is looked at"


FAULTS: tuple[Callable[[Bench], str], ...] = (
    killed_worker, killed_run, full_disk, full_temporary_folder, removed_store, damaged_part,
    two_runs, jumped_clock,
)  # fmt: skip


# ------------------------------------------------------------------ the table
@dataclass
class Count:
    """Trials of a fault: how many were right after, and what was told, by its first trial."""

    name: str
    right: int = 0
    told: str = ""
    wrong: list[str] = field(default_factory=list)


def trials_of(fault: Callable[[Bench], str], trials: int) -> Count:
    """Break things so often, each time on a new store."""
    count = Count(fault.__name__.replace("_", " "))
    for trial in range(trials):
        with tempfile.TemporaryDirectory() as place:
            folder = made_up(Path(place) / "stock", BRIDGES)
            expected = {task.path: quick(task).digest for task in find_stock(folder).tasks(PLAIN)}
            chance = random.Random(f"{fault.__name__} {trial}")
            bench = Bench(folder, Path(place) / "store", expected, chance)
            try:
                told = fault(bench)
                bench.right()
            except WrongError as error:
                count.wrong.append(f"trial {trial}: {error}")
                continue
            count.right += 1
            count.told = count.told or told.replace(f"{place}/", "")
    return count


def faults(trials: int = 20) -> int:
    """Print a table of counts; 1 where anything was not right."""
    print(f"{'fault':22s} {'trials':>6s} {'right after':>12s}  told")
    wrong = 0
    for fault in FAULTS:
        count = trials_of(fault, trials)
        first, *rest = textwrap.wrap(count.told, 76) or [""]
        print(f"{count.name:22s} {trials:6d} {count.right:12d}  {first}", flush=True)
        for line in rest:
            print(f"{'':42s}  {line}", flush=True)
        for line in count.wrong:
            print(f"  {count.name}, {line}", file=sys.stderr)
        wrong += len(count.wrong)
    return int(wrong > 0)
