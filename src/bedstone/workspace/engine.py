"""Long work in processes of its own, with progress and cancel, so that no page waits for it.

A worker is started afresh (spawn), keeps one BLAS thread and stays warm for the next job. To cancel
a job its worker is ended; the next job gets a new one.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final, Protocol

from bedstone.errors import BedstoneError, CheckError, Fault, InputError, UnstableError
from bedstone.workspace.limits import Works
from bedstone.workspace.people import RefusedError

#: Jobs that run at the same time; more of them wait for their turn.
WORKERS: Final = 2
_SOUND: Final = {"UnstableError": UnstableError, "CheckError": CheckError}


class Work(Protocol):
    """A function of a module, called in a worker with ``progress=`` added to its arguments."""

    def __call__(self, *given: Any, progress: Callable[[int, int, str], None]) -> Any:
        """Do it; what it takes and gives must pass between processes."""


class CancelledError(BedstoneError):
    """The job was cancelled."""


class WorkerError(BedstoneError):
    """A job ended by a fault of the program; the message holds where."""


@dataclass(frozen=True)
class Progress:
    """How far a job is: `done` of `total` steps, and what comes now."""

    done: int
    total: int
    text: str


class Job:
    """Work under way. `progress` is what was told last; `result` waits for the end."""

    def __init__(self, loop: asyncio.AbstractEventLoop, told: Callable[[Progress], None] | None):
        self.progress = Progress(0, 0, "waiting")
        self._loop = loop
        self._told = told
        self._result: asyncio.Future[Any] = loop.create_future()
        self._worker: _Worker | None = None
        self._lock = threading.Lock()
        self._cancelled = False

    def stopped(self) -> bool:
        """Whether it was cancelled."""
        with self._lock:
            return self._cancelled

    @property
    def done(self) -> bool:
        """Whether it has ended, one way or another."""
        return self._result.done()

    async def result(self) -> Any:
        """What the function gave; raises what it raised, or `CancelledError`."""
        return await asyncio.shield(self._result)

    def cancel(self) -> None:
        """End it; harmless when it has ended already."""
        with self._lock:
            self._cancelled = True
            worker = self._worker
        if worker is not None:
            worker.end()
        self._finish(None, CancelledError("cancelled"))

    def _taken(self, worker: _Worker) -> None:
        """A worker is at it; one that comes too late is ended."""
        with self._lock:
            self._worker = worker
            late = self._cancelled
        if late:
            worker.end()

    def _heard(self, progress: Progress) -> None:
        def tell() -> None:
            self.progress = progress
            if self._told is not None and not self._result.done():
                self._told(progress)

        self._call(tell)

    def _finish(self, value: Any, error: BaseException | None) -> None:
        def end() -> None:
            if self._result.done():
                return
            if error is None:
                self._result.set_result(value)
            else:
                self._result.set_exception(error)
                self._result.exception()  # a job nobody waits for is no fault

        self._call(end)

    def _call(self, what: Callable[[], None]) -> None:
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(what)


class Engine:
    """A small pool of warm workers. `works`: those under way, by who asked for them."""

    def __init__(self, workers: int = WORKERS) -> None:
        self.works = Works()
        self._free = threading.BoundedSemaphore(workers)
        self._idle: list[_Worker] = []
        self._all: set[_Worker] = set()
        self._lock = threading.Lock()
        self._closed = False

    def start(
        self,
        work: Work,
        *given: Any,
        told: Callable[[Progress], None] | None = None,
        who: str = "",
        most: int = 0,
    ) -> Job:
        """Start a job from the event loop; `told` is called there with every progress.

        `who` asks for it; where `most` of theirs are under way (0: any number) its result is a
        `RefusedError` at once.
        """
        job = Job(asyncio.get_running_loop(), told)
        try:
            if most:
                self.works.begin(who, most)
        except RefusedError as error:
            job._finish(None, error)
            return job

        def run() -> None:
            try:
                self._run(job, work, given)
            finally:
                if most:
                    self.works.end(who)

        threading.Thread(target=run, daemon=True).start()
        return job

    def closed(self) -> bool:
        """Whether no more jobs are done."""
        return self._closed

    def close(self) -> None:
        """End all workers."""
        with self._lock:
            self._closed = True
            workers = list(self._all)
        for worker in workers:
            worker.end()

    def _run(self, job: Job, work: Work, given: tuple[Any, ...]) -> None:
        with self._free:
            if job.stopped() or self.closed():
                job._finish(None, CancelledError("cancelled"))
                return
            worker = self._take()
            job._taken(worker)
            value: Any = None
            error: BedstoneError | None
            try:
                value, error = worker.do(work, given, job._heard)
            except (EOFError, OSError):  # what a cancelled job comes to as well
                error = WorkerError("the worker of this job ended by itself")
            job._finish(value, CancelledError("cancelled") if job.stopped() else error)
            with self._lock:
                if worker.alive and not self.closed() and not job.stopped():
                    self._idle.append(worker)
                else:
                    self._all.discard(worker)
                    worker.end()

    def _take(self) -> _Worker:
        with self._lock:
            while self._idle:
                worker = self._idle.pop()
                if worker.alive:
                    return worker
                self._all.discard(worker)
            made = _Worker()
            self._all.add(made)
            return made


class _Worker:
    """A process and the line to it."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._line, theirs = context.Pipe()
        self._process: BaseProcess = context.Process(target=_serve, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()

    @property
    def alive(self) -> bool:
        return self._process.is_alive()

    def do(
        self, work: Work, given: tuple[Any, ...], heard: Callable[[Progress], None]
    ) -> tuple[Any, BedstoneError | None]:
        self._line.send((work, given))
        while True:
            kind, told = self._line.recv()
            if kind == "progress":
                heard(Progress(*told))
            elif kind == "done":
                return told, None
            else:
                return None, _error(kind, told)

    def end(self) -> None:
        if self._process.is_alive():
            self._process.terminate()
            self._process.join(2.0)


def _error(kind: str, told: Any) -> BedstoneError:
    if kind == "InputError":
        return InputError([Fault(*parts) for parts in told])
    if kind in _SOUND:
        return _SOUND[kind](told)
    return WorkerError(told)


def _serve(line: Connection) -> None:
    """Do what comes along the line until it is closed. Runs in the worker."""
    import signal

    from threadpoolctl import threadpool_limits

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server ends its workers itself
    with threadpool_limits(limits=1):
        while True:
            try:
                work, given = line.recv()
            except (EOFError, OSError):
                return

            def progress(done: int, total: int, text: str) -> None:
                line.send(("progress", (done, total, text)))

            try:
                line.send(("done", work(*given, progress=progress)))
            except InputError as error:
                faults = [(f.file, f.where, f.found, f.allowed) for f in error.faults]
                line.send(("InputError", faults))
            except (UnstableError, CheckError) as error:
                line.send((type(error).__name__, str(error)))
            except Exception:  # noqa: BLE001 - told to the page, whatever it was
                line.send(("fault", traceback.format_exc()))
