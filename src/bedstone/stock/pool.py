"""Tasks on this machine: processes of our own, one bridge at a time in each.

A worker that ends in mid-work (killed, out of memory, a fault of a library) costs its own bridge
alone: a new one is started and that bridge tried again, `ATTEMPTS` times at most. A worker is
renewed after `RENEWED` bridges or once it has held `WORN` bytes, so that memory does not pile up;
one that holds more than `memory` or takes longer than `patience` on one bridge is ended, and the
bridge reported.

This module and what it imports before a worker has set its threads are kept light.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import tempfile
import time
from collections import deque
from collections.abc import Generator, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from pathlib import Path

from bedstone.errors import BedstoneError
from bedstone.stock.engine import Done, Work
from bedstone.stock.task import Answer, Task, work_out

#: Times a bridge is given to a worker.
ATTEMPTS = 3
#: Bridges after which a worker is renewed: to start one takes as long as two usual bridges.
RENEWED = 200
#: Bytes of memory a worker may have held and still take another bridge.
WORN = 1_500_000_000
#: Bytes of memory at which a worker is ended in mid-work.
MEMORY = 6_000_000_000
#: Seconds that one bridge may take; the largest examples take half a minute on a busy machine.
PATIENCE = 3600.0
#: Seconds between looks at the workers' memory.
_LOOK = 0.5
#: Workers in a row that end before they are ready: then none will ever be.
_STILLBORN = 3
#: Settings a worker is started with, which libraries read when they are loaded. One BLAS thread;
#: and the C library of Linux keeps memory that was freed, instead of handing tables of megabytes
#: back to the system and asking for them again: that took a fifth of the time.
_SETTINGS = {
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
    "BLIS_NUM_THREADS": "1",
    "MALLOC_MMAP_THRESHOLD_": str(256 << 20),
    "MALLOC_TRIM_THRESHOLD_": str(512 << 20),
    "MALLOC_ARENA_MAX": "1",
}


@dataclass(frozen=True)
class Pool:
    """Workers of this machine; `work` is what they do with a task."""

    workers: int = field(default_factory=lambda: os.cpu_count() or 1)
    work: Work = work_out
    attempts: int = ATTEMPTS
    renewed: int = RENEWED
    worn: int = WORN
    memory: int = MEMORY
    patience: float = PATIENCE

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        """Every task once, as it is done.

        Raises `BedstoneError` when workers cannot be started at all. However this ends, no worker
        is left.
        """
        # what a worker that is killed leaves behind goes with this folder
        with tempfile.TemporaryDirectory(prefix="bedstone-", ignore_cleanup_errors=True) as scratch:
            crew = _Crew(self, iter(tasks), scratch)
            try:
                yield from crew.run()
            finally:
                crew.end()


@dataclass
class _Worker:
    """A process with the line to it, and the task it has."""

    process: SpawnProcess
    line: Connection
    ready: bool = False
    task: Task | None = None
    since: float = 0.0
    done: int = 0
    held: int = 0
    trouble: str = ""

    def end(self) -> None:
        """End the process, wherever it is."""
        self.line.close()
        if self.process.is_alive():
            self.process.kill()
        self.process.join()
        self.process.close()


class _Crew:
    """The workers of one run and what is still to do."""

    def __init__(self, pool: Pool, tasks: Iterator[Task], scratch: str) -> None:
        self.pool = pool
        self.tasks = tasks
        self.scratch = scratch
        self.again: deque[Task] = deque()
        self.tried: dict[str, int] = {}
        self.workers: list[_Worker] = []
        self.stillborn = 0

    def run(self) -> Iterator[Done]:
        while self._look(1) or any(worker.task is not None for worker in self.workers):
            self._give()
            lines: list[Connection] = [worker.line for worker in self.workers]
            for line in wait(lines, _LOOK) if lines else ():
                worker = next(item for item in self.workers if item.line is line)
                yield from self._heard(worker)
            self._watch()

    def end(self) -> None:
        for worker in self.workers:
            worker.end()
        self.workers = []

    # -------------------------------------------------------------- giving
    def _look(self, number: int) -> int:
        """How many tasks are at hand, of this number; no more are taken than workers wait for."""
        while len(self.again) < number:
            task = next(self.tasks, None)
            if task is None:
                break
            self.again.append(task)
        return min(len(self.again), number)

    def _give(self) -> None:
        """A task for every worker that waits; new workers as long as there is work for them."""
        for worker in [item for item in self.workers if item.ready and item.task is None]:
            if not self._look(1):
                return
            if worker.done >= self.pool.renewed or worker.held >= self.pool.worn:
                self._leave(worker)
                continue
            worker.task = self.again.popleft()
            worker.since = time.monotonic()
            with suppress(OSError):  # it has ended: heard of in a moment
                worker.line.send(worker.task)
        starting = sum(not worker.ready for worker in self.workers)
        room = self.pool.workers - len(self.workers)
        for _ in range(self._look(starting + room) - starting):
            self.workers.append(_started(self.pool.work, self.scratch))

    def _leave(self, worker: _Worker) -> None:
        self.workers.remove(worker)
        worker.end()

    # -------------------------------------------------------------- hearing
    def _heard(self, worker: _Worker) -> Iterator[Done]:
        """What a worker says: that it is ready, an answer, or that it has ended."""
        try:
            told = worker.line.recv()
        except (EOFError, OSError):
            yield from self._lost(worker)
            return
        if not worker.ready:
            worker.ready, self.stillborn = True, 0
            return
        answer, worker.held = told
        task, worker.task = worker.task, None
        worker.done += 1
        assert task is not None
        assert isinstance(answer, Answer)
        yield Done(task, None if answer.broken else answer, answer.broken)

    def _lost(self, worker: _Worker) -> Iterator[Done]:
        """A worker has ended: its task is tried again, or given up."""
        worker.process.join()
        code = worker.process.exitcode or 0
        how = f"by signal {-code} ({signal.strsignal(-code)})" if code < 0 else f"with code {code}"
        self._leave(worker)
        task = worker.task
        if task is None:
            if not worker.ready:
                self.stillborn += 1
            if self.stillborn >= _STILLBORN:
                raise BedstoneError(f"workers cannot be started: they end {how} at once")
            return
        tries = self.tried[task.path] = self.tried.get(task.path, 0) + 1
        if worker.trouble:  # ended by us, and would be again
            yield Done(task, None, worker.trouble)
        elif tries < self.pool.attempts:
            self.again.append(task)
        else:
            yield Done(task, None, f"the worker ended {how}, {tries} times out of {tries}")

    def _watch(self) -> None:
        """End workers that hold too much memory or take too long."""
        for worker in self.workers:
            if worker.task is None or worker.trouble:
                continue
            if time.monotonic() - worker.since > self.pool.patience:
                worker.trouble = f"not done after {self.pool.patience:g} s"
            elif memory_of(worker.process.pid) > self.pool.memory:
                worker.trouble = f"needs more than {self.pool.memory / 1e9:g} GB of memory"
            if worker.trouble:
                worker.process.kill()


def _started(work: Work, scratch: str) -> _Worker:
    """A new worker, with its settings made before anything is loaded."""
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=_serve, args=(there, work, scratch), daemon=True)
    before = {name: os.environ.get(name) for name in _SETTINGS}
    os.environ.update(_SETTINGS)  # a spawned process takes these with it
    try:
        process.start()
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
    there.close()  # so that the line ends when the worker does
    return _Worker(process, here)


def _serve(line: Connection, work: Work, scratch: str) -> None:
    """What a worker does: a task after the other until the line ends."""
    tempfile.tempdir = scratch
    # an interrupt at the terminal reaches all processes; the first one ends the others
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        line.send(None)
        while True:
            line.send((work(line.recv()), most_memory()))
    except (EOFError, OSError):  # the first process has ended
        return


def most_memory() -> int:
    """Bytes of memory this process has held at most; 0 where the system does not say."""
    if sys.platform == "darwin":
        import resource

        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    try:
        # not `getrusage`: there a new process on Linux starts with what the one before it held
        text = Path("/proc/self/status").read_text(encoding="ascii")
        return int(text.split("VmHWM:")[1].split()[0]) * 1024
    except (OSError, ValueError, IndexError):
        return 0


def memory_of(process: int | None) -> int:
    """Bytes of memory a process holds now; 0 where the system does not say."""
    try:
        text = Path(f"/proc/{process}/statm").read_text(encoding="ascii")
        return int(text.split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError, AttributeError):
        return 0
