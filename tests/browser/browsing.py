"""A server of its own and the system's browser, for tests, pictures and the latency script."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "examples"
_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
#: What to do when there is none; `./run test` does it by itself where it may.
MISSING = "no chromium found; install one (on Debian and Ubuntu: apt-get install chromium)"
#: Time (s) a server has to start or to end; only a fault takes so long.
STARTING = 300.0


def chromium() -> str | None:
    """Path of the system's chromium."""
    return next((found for name in _NAMES if (found := shutil.which(name))), None)


@dataclass
class Server:
    """A running `bedstone serve`."""

    process: subprocess.Popen[str]
    address: str
    file: Path
    started: float  # s from start to the first page

    def kill(self) -> None:
        """End it without a chance to tidy up."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def start(file: Path, cache: Path, *more: str) -> Server:
    """Serve a bridge file on a port that the system chooses; `cache` is where edits are kept.

    `more`: options of the verb.
    """
    begin = time.perf_counter()
    # a server must not take itself for part of the tests
    own = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "bedstone.cli", "serve"),
            *(str(file), "--no-open", "--port", "0", *more),
        ],
        stdout=subprocess.PIPE,
        text=True,
        env=own | {"XDG_CACHE_HOME": str(cache)},
    )
    assert process.stdout is not None
    too_late = threading.Timer(STARTING, process.kill)
    too_late.start()
    try:
        address = process.stdout.readline().split(" ")[0].strip()
        if not address.startswith("http://127.0.0.1:"):
            raise RuntimeError(f"the server did not start: {address!r}")
        # it listens before it tells its address, so that the first answer may be waited for
        with contextlib.suppress(urllib.error.HTTPError):  # an answer, also to nobody
            urllib.request.urlopen(address, timeout=STARTING).read()
    except BaseException:
        process.kill()
        process.wait()
        process.stdout.close()
        raise
    finally:
        too_late.cancel()
    return Server(process, address, file, time.perf_counter() - begin)


@contextlib.contextmanager
def serving(file: Path, cache: Path, *more: str) -> Iterator[Server]:
    """The same, ended in the end."""
    server = start(file, cache, *more)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.process.terminate()
            try:
                server.process.wait(timeout=STARTING)
            except subprocess.TimeoutExpired:
                server.kill()
        if server.process.stdout is not None:
            server.process.stdout.close()
