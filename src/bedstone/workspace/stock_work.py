"""Working out a stock while its page is looked at: in a process of its own, for all who look.

The process is the run of the verb ``stock``: it may be stopped at any time, and goes on where it
stopped the next time. A server that is killed takes it along at its next word.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

from bedstone.errors import BedstoneError
from bedstone.stock.task import Options
from bedstone.workspace.visible import faults


@dataclass(frozen=True)
class Asked:
    """What is to be worked out: a folder, its store, the options and a file of thresholds."""

    root: Path
    out: str
    options: Options
    own: Path | None


@dataclass(frozen=True)
class Ended:
    """How the work ended: bridges `worked_out`, those it could not (`faulty`), or `problem`."""

    worked_out: int = 0
    faulty: int = 0
    stopped: bool = False
    problem: tuple[str, ...] = ()


class Working:
    """The work on one stock, of which one is under way at most.

    `done`, `total`, `text`: how far it is; `ended`: how the last one ended. `watch` hears of it in
    the event loop.
    """

    def __init__(self) -> None:
        self.done, self.total, self.text = 0, 0, ""
        self.ended: Ended | None = None
        self._process: SpawnProcess | None = None
        self._ready = False
        self._stopped = False
        self._watchers: list[Callable[[], None]] = []

    @property
    def running(self) -> bool:
        """Whether it is under way."""
        return self._process is not None

    @property
    def stopping(self) -> bool:
        """Whether it was told to stop and has not yet."""
        return self.running and self._stopped

    def watch(self, told: Callable[[], None]) -> Callable[[], None]:
        """Call `told` when something changes; gives what ends that."""
        self._watchers.append(told)

        def end() -> None:
            with contextlib.suppress(ValueError):
                self._watchers.remove(told)

        return end

    def start(self, asked: Asked) -> None:
        """Start it, unless it is under way already. In the event loop."""
        if self.running:
            return
        loop = asyncio.get_running_loop()
        context = multiprocessing.get_context("spawn")
        here, there = context.Pipe(duplex=False)
        # no daemon: those may have no workers of their own
        process = context.Process(target=_work, args=(there, asked), daemon=False)
        process.start()
        there.close()
        self._process, self._ready, self._stopped = process, False, False
        self.done, self.total, self.text, self.ended = 0, 0, "starting", None
        threading.Thread(target=self._listen, args=(loop, here, process), daemon=True).start()
        self._tell()

    def stop(self) -> None:
        """Let it keep what is done and end; harmless where nothing is under way."""
        process = self._process
        if process is None or self._stopped:
            return
        self._stopped = True
        _interrupt(process, ready=self._ready)
        self._tell()

    def close(self) -> None:
        """End it with the server."""
        process = self._process
        if process is not None:
            self.stop()
            process.join(5.0)
            if process.is_alive():
                process.kill()

    # ------------------------------------------------------------------ what it says
    def _listen(
        self, loop: asyncio.AbstractEventLoop, line: Connection, process: SpawnProcess
    ) -> None:
        ended: Ended | None = None
        with line:
            while ended is None:
                try:
                    kind, told = line.recv()
                except (EOFError, OSError):
                    break
                if kind == "ended":
                    ended = told
                else:
                    _call(loop, partial(self._heard, told))
        process.join()
        if ended is None:
            problem = () if self._stopped else (f"the work ended by itself ({process.exitcode})",)
            ended = Ended(stopped=self._stopped, problem=problem)
        _call(loop, partial(self._over, ended))

    def _heard(self, told: tuple[int, int, str]) -> None:
        self._ready = True
        self.done, self.total, self.text = told
        self._tell()

    def _over(self, ended: Ended) -> None:
        self.ended, self._process = ended, None
        self._tell()

    def _tell(self) -> None:
        for told in tuple(self._watchers):
            told()


def _call(loop: asyncio.AbstractEventLoop, what: Callable[[], None]) -> None:
    with contextlib.suppress(RuntimeError):  # the loop has ended, and with it who would hear
        loop.call_soon_threadsafe(what)


def _interrupt(process: SpawnProcess, *, ready: bool) -> None:
    """As Ctrl+C would; one that cannot hear it yet, or at all, is ended: whole parts stay."""
    if ready and sys.platform != "win32" and process.pid is not None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(process.pid, signal.SIGINT)
    else:
        process.terminate()


# ------------------------------------------------------------------ in the process
def _work(line: Connection, asked: Asked) -> None:
    """Work out what changed and say how far it is."""
    try:
        line.send(("ended", _run(line, asked)))
    except (BrokenPipeError, KeyboardInterrupt):  # nobody is there to hear of it
        return


def _run(line: Connection, asked: Asked) -> Ended:
    from bedstone.stock.members import find_stock
    from bedstone.stock.places import Folder, place_of
    from bedstone.stock.pool import Pool
    from bedstone.stock.ranking import thresholds_of
    from bedstone.stock.run import run

    def progress(done: int, total: int, text: str) -> None:
        line.send(("progress", (done, total, text)))

    try:
        progress(0, 0, "looking for what changed")
        place: Any = place_of(asked.out)
        stock = find_stock(asked.root, place.root if isinstance(place, Folder) else None)
        own = thresholds_of(asked.own)
        found = run(stock, asked.options, place, Pool(), own, progress)
    except KeyboardInterrupt:
        return Ended(stopped=True)
    except BedstoneError as error:
        return Ended(problem=faults(error))
    return Ended(found.worked_out, len(found.faulty), stopped=found.untried > 0)
