"""Who works the tasks of a stock out, and what comes back from them."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from dataclasses import dataclass
from typing import Protocol

from bedstone.stock.task import Answer, Task

Work = Callable[[Task], Answer]


@dataclass(frozen=True)
class Done:
    """A task and its answer; None and `trouble` in words where no worker brought one."""

    task: Task
    answer: Answer | None
    trouble: str = ""


class Engine(Protocol):
    """Works tasks out in any order; takes them as it needs them, so that few are in memory."""

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        """Every task once, as it is done. Closing the iterator ends the work at once."""
        ...
