"""How much one person may ask of the server, so that the others have something of it too."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from bedstone.workspace.people import RefusedError


@dataclass
class _Left:
    """What a person has left, and when that was so."""

    requests: float
    at: float


class Rates:
    """Requests of each person: as many at once as in a minute, then as they come back.

    `clock`: seconds that only go forward.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._left: dict[str, _Left] = {}
        self._lock = threading.Lock()

    def take(self, who: str, a_minute: int) -> None:
        """Count a request; raises `RefusedError` (429) when there were too many."""
        with self._lock:
            now = self._clock()
            if len(self._left) > 10_000:  # names that came once: theirs has come back since
                self._left = {
                    name: left for name, left in self._left.items() if now - left.at < 60.0
                }
            left = self._left.setdefault(who, _Left(float(a_minute), now))
            left.requests = min(a_minute, left.requests + (now - left.at) * a_minute / 60.0)
            left.at = now
            if left.requests < 1.0:
                wait = math.ceil((1.0 - left.requests) * 60.0 / a_minute)
                raise RefusedError(429, "too many requests; wait a little", wait)
            left.requests -= 1.0


class Works:
    """Long works of each person that are under way."""

    def __init__(self) -> None:
        self._under_way: dict[str, int] = {}
        self._lock = threading.Lock()

    def begin(self, who: str, most: int) -> None:
        """Count a work; raises `RefusedError` (429) when as many are under way. See `end`."""
        with self._lock:
            if self._under_way.get(who, 0) >= most:
                told = f"{most} of your works are under way; wait for one, or cancel it"
                raise RefusedError(429, told, 5)
            self._under_way[who] = self._under_way.get(who, 0) + 1

    def end(self, who: str) -> None:
        """A work is done."""
        with self._lock:
            left = self._under_way.get(who, 0) - 1
            if left > 0:
                self._under_way[who] = left
            else:
                self._under_way.pop(who, None)

    @contextmanager
    def work(self, who: str, most: int) -> Iterator[None]:
        """A work from begin to end; raises as `begin`."""
        self.begin(who, most)
        try:
            yield
        finally:
            self.end(who)
