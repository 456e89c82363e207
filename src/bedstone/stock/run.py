"""A stock worked out: only what changed, whatever one bridge does, on from where it stopped."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from dataclasses import dataclass, field

import duckdb

from bedstone.site.tolerances import Tolerances
from bedstone.stock.engine import Engine
from bedstone.stock.members import Stock
from bedstone.stock.places import Place
from bedstone.stock.ranking import Change, Ranked, changes, rank, recorded, thresholds_of
from bedstone.stock.store import Kept, Store
from bedstone.stock.task import Options, Task, program

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Faulty:
    """A bridge that was not worked out: its `state` and every fault in words.

    State "lost": no worker brought an answer; it is tried again by the next run.
    """

    bridge: str
    state: str
    faults: tuple[str, ...]


@dataclass(frozen=True)
class Result:
    """A stock as it stands.

    - `number` of the run in its store, from 1; 0 for one that was interrupted
    - `taken`: bridges whose results stood in the store; `worked_out` by this run; `damaged`: parts
      that were there but not whole, worked out again; `removed`: of bridges that are gone
    - `untried`: left when the run was interrupted
    - `states`: bridges by state; `notes`: parts that could not be worked out, by bridge
    """

    place: str
    store: str
    options: Options
    number: int
    bridges: int
    taken: int
    worked_out: int
    damaged: int
    removed: int
    untried: int
    passed_over: tuple[str, ...]
    states: dict[str, int]
    ranking: tuple[Ranked, ...]
    faulty: tuple[Faulty, ...]
    notes: tuple[tuple[str, str, str], ...]
    changes: tuple[Change, ...]
    compared_with: int
    thresholds: Tolerances
    parts: tuple[Kept, ...] = field(repr=False)

    @property
    def complete(self) -> bool:
        """Whether every bridge was worked out."""
        return not self.faulty and not self.untried


def run(
    stock: Stock,
    options: Options,
    place: Place,
    engine: Engine,
    thresholds: Tolerances | None = None,
    progress: Progress | None = None,
) -> Result:
    """Work out what changed since the store was written, and rank the stock.

    An interruption (`KeyboardInterrupt`) keeps what is done; the rest is `untried` and the ranking
    is not recorded. Raises `InputError` when the store cannot be written, was removed, or is held
    by another run, and what the engine raises.
    """
    with place.held():
        work = _Run(stock, options, Store(place), engine, thresholds or thresholds_of(), progress)
        return work.all()


@dataclass
class _Run:
    """A run while it goes on."""

    stock: Stock
    options: Options
    store: Store
    engine: Engine
    thresholds: Tolerances
    progress: Progress | None
    parts: dict[str, Kept] = field(default_factory=dict)
    lost: dict[str, str] = field(default_factory=dict)
    taken: int = 0
    worked_out: int = 0
    damaged: int = 0

    def all(self) -> Result:
        total = len(self.stock.members) + len(self.stock.refused)
        interrupted = False
        # so that who looks at the store knows it, however this run ends
        self.store.ask(self.options.text())
        try:
            with closing(self._done()) as done:
                for path in done:
                    self._tell(len(self.parts) + len(self.lost), total, path)
        except KeyboardInterrupt:
            interrupted = True
        return self._result(total, interrupted)

    def _tell(self, done: int, total: int, text: str) -> None:
        if self.progress is not None:
            self.progress(done, total, text)

    def _done(self) -> Generator[str, None, None]:
        """The path of every bridge that was worked out, once it is in the store."""
        with closing(self.engine.run(self._to_do())) as answers:
            for done in answers:
                path = done.task.path
                if done.answer is None:
                    self.lost[path] = done.trouble
                elif done.answer.program != program():
                    # its numbers would stand under the key of another program
                    self.lost[path] = "the program was changed while the work went on"
                else:
                    self.parts[path] = self.store.keep(done.task, done.answer)
                    self.worked_out += 1
                yield path

    def _to_do(self) -> Iterator[Task]:
        """Tasks whose results are not in the store, or not whole."""
        for task in self.stock.tasks(self.options, largest_first=True):
            kept, there = self.store.kept(task.path)
            if kept is not None and kept.key == task.key():
                if self.store.whole(kept):
                    self.parts[task.path] = kept
                    self.taken += 1
                    continue
                self.damaged += 1
            elif kept is None and there:
                self.damaged += 1
            yield task

    def _result(self, total: int, interrupted: bool) -> Result:
        self._tell(total, total, "ranking")
        parts = [self.parts[path] for path in sorted(self.parts)]
        paths = [*self.stock.members, *(path for path, _ in self.stock.refused)]
        removed = 0 if interrupted else self.store.prune(paths)
        with self.store.view(parts) as view:
            ranking = rank(view, self.thresholds)
            states = dict(
                view.execute(
                    "SELECT state, count(*) FROM bridges GROUP BY state ORDER BY state"
                ).fetchall()
            )
            faulty, notes = faults_of(view), notes_of(view)
        if self.lost:
            states["lost"] = len(self.lost)
        faulty += tuple(Faulty(path, "lost", (self.lost[path],)) for path in sorted(self.lost))
        number, before = self.store.last_run()
        inputs = {path: (part.inputs, part.program) for path, part in self.parts.items()}
        changed = changes(ranking, before, inputs, self.thresholds) if not interrupted else ()
        if not interrupted:
            kept = recorded(ranking, inputs, self.thresholds)
            self.store.keep_run(number + 1, kept | {"options": self.options.text()})
        return Result(
            place=str(self.stock.root),
            store=self.store.place.name,
            options=self.options,
            number=0 if interrupted else number + 1,
            bridges=total,
            taken=self.taken,
            worked_out=self.worked_out,
            damaged=self.damaged,
            removed=removed,
            untried=total - len(self.parts) - len(self.lost) if interrupted else 0,
            passed_over=self.stock.passed_over,
            states=states,
            ranking=ranking,
            faulty=faulty,
            notes=notes,
            changes=changed,
            compared_with=number,
            thresholds=self.thresholds,
            parts=tuple(parts),
        )


_FAULTY = """
    SELECT b.bridge, b.state, r.text FROM bridges b JOIN remarks r ON r.bridge = b.bridge
    WHERE b.state NOT IN ('done', 'unstable') ORDER BY b.bridge, r.number
"""
_NOTES = """
    SELECT r.bridge, r.part, r.text FROM bridges b JOIN remarks r ON r.bridge = b.bridge
    WHERE b.state = 'done' ORDER BY r.bridge, r.number
"""


def notes_of(view: duckdb.DuckDBPyConnection) -> tuple[tuple[str, str, str], ...]:
    """Parts that could not be worked out: bridge, part and why."""
    return tuple(view.execute(_NOTES).fetchall())


def faults_of(view: duckdb.DuckDBPyConnection) -> tuple[Faulty, ...]:
    """The bridges of a store's view that were not worked out."""
    found: dict[str, tuple[str, list[str]]] = {}
    for bridge, state, text in view.execute(_FAULTY).fetchall():
        found.setdefault(bridge, (state, []))[1].append(text)
    return tuple(Faulty(bridge, state, tuple(told)) for bridge, (state, told) in found.items())
