"""A run works out what changed and no more, and goes on where it stopped."""

import multiprocessing
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Generator, Iterable
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import stock_workers as workers

from bedstone.errors import InputError
from bedstone.stock.engine import Done
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import Result, run
from bedstone.stock.store import Store, folder_of
from bedstone.stock.tables import digest, gathered
from bedstone.stock.task import Answer, Options, Task, program

from .conftest import write

OPTIONS = Options()


@dataclass
class Here:
    """Works tasks out in this very process; `seen`: their paths."""

    stops_after: int = 1_000
    seen: list[str] = field(default_factory=list)
    troubles: dict[str, str] = field(default_factory=dict)

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        for task in tasks:
            if len(self.seen) == self.stops_after:
                raise KeyboardInterrupt
            self.seen.append(task.path)
            if task.path in self.troubles:
                yield Done(task, None, self.troubles[task.path])
                continue
            if task.faults:
                from bedstone.stock.task import work_out

                yield Done(task, work_out(task))
                continue
            yield Done(task, workers.rows_of(task))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("a", "b", "north/c", "south/c"):
        write(tmp_path / "stock" / f"{name}.toml", f"# {name * 3}")
    return tmp_path / "stock"


def go(folder: Path, engine: object, options: Options = OPTIONS) -> Result:
    place = Folder(folder.parent / "store")
    return run(find_stock(folder), options, place, engine)  # type: ignore[arg-type]


def test_a_second_run_works_nothing_out(folder: Path) -> None:
    first = go(folder, Here())
    assert (first.bridges, first.taken, first.worked_out, first.number) == (4, 0, 4, 1)
    engine = Here()
    second = go(folder, engine)
    assert (second.taken, second.worked_out, second.damaged, second.number) == (4, 0, 0, 2)
    assert engine.seen == []
    assert second.ranking == first.ranking
    assert second.changes == ()
    assert second.complete


def test_only_what_changed_is_worked_out(folder: Path) -> None:
    go(folder, Here())
    write(folder / "b.toml", "# another length of it")
    os.utime(folder / "a.toml", (0.0, 0.0))  # a clock that jumped
    write(folder / "new.toml")
    (folder / "north" / "c.toml").unlink()
    engine = Here()
    found = go(folder, engine)
    assert sorted(engine.seen) == ["b.toml", "new.toml"]
    assert found.removed == 1
    assert {(item.bridge, item.cause) for item in found.changes} == {
        ("b.toml", "its files or the options changed"),
        ("new.toml", "new"),
        ("north/c.toml", "gone or faulty"),
    }


def test_other_options_are_other_work(folder: Path) -> None:
    go(folder, Here())
    engine = Here()
    go(folder, engine, Options("irc"))
    assert len(engine.seen) == 4


def test_another_program_is_other_work(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    go(folder, Here())
    for place in ("bedstone.stock.task.program", "bedstone.stock.run.program"):
        monkeypatch.setattr(place, lambda: "another")
    monkeypatch.setattr(workers, "program", lambda: "another")
    engine = Here()
    found = go(folder, engine)
    assert len(engine.seen) == 4
    assert found.changes == ()  # the numbers are what they were


def test_answers_of_another_program_are_not_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workers, "program", lambda: "changed in mid-run")
    found = go(folder, Here())
    assert found.states == {"lost": 4}
    assert all("program was changed" in item.faults[0] for item in found.faulty)


def test_an_interrupted_run_goes_on_where_it_stopped(folder: Path) -> None:
    first = go(folder, Here(stops_after=2))
    assert (first.worked_out, first.untried, first.number) == (2, 2, 0)
    assert not first.complete
    assert len(first.ranking) == 2
    engine = Here()
    second = go(folder, engine)
    assert (second.taken, second.worked_out, second.number) == (2, 2, 1)
    assert sorted(engine.seen + [item.path for item in first.parts]) == [
        "a.toml", "b.toml", "north/c.toml", "south/c.toml",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["seats.parquet", "manifest.json"])
def test_a_damaged_part_is_worked_out_again(folder: Path, name: str) -> None:
    first = go(folder, Here())
    (folder.parent / "store" / folder_of("b.toml") / name).write_bytes(b"half a fi")
    engine = Here()
    second = go(folder, engine)
    assert engine.seen == ["b.toml"]
    assert second.damaged == 1
    assert second.ranking == first.ranking


def test_a_faulty_and_a_lost_bridge_leave_the_others_alone(folder: Path) -> None:
    (folder / "link.toml").symlink_to("/nowhere/x.toml")
    found = go(folder, Here(troubles={"a.toml": "the worker ended by signal 9"}))
    assert {(item.bridge, item.state) for item in found.faulty} == {
        ("link.toml", "faulty"),
        ("a.toml", "lost"),
    }
    assert found.states == {"done": 3, "faulty": 1, "lost": 1}
    assert len(found.ranking) == 3
    # what was lost is tried again; what is faulty is known
    engine = Here()
    go(folder, engine)
    assert engine.seen == ["a.toml"]


def test_a_store_removed_in_mid_run_is_told(folder: Path) -> None:
    store = folder.parent / "store"

    class Removes(Here):
        def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
            for number, done in enumerate(super().run(tasks)):
                if number == 2:
                    shutil.rmtree(store)
                yield done

    with pytest.raises(InputError, match="removed while the work went on"):
        go(folder, Removes())
    assert not store.exists()
    assert go(folder, Here()).worked_out == 4


def test_a_run_that_fails_lets_the_store_go(folder: Path) -> None:
    class Fails(Here):
        def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
            yield from super().run(tasks)
            raise InputError([])

    with pytest.raises(InputError):
        go(folder, Fails())
    assert go(folder, Here()).taken == 4


def test_progress_counts_to_the_end(folder: Path) -> None:
    told = []
    place = Folder(folder.parent / "store")
    run(find_stock(folder), OPTIONS, place, Here(), None, lambda *args: told.append(args))
    assert [done for done, _, _ in told] == [1, 2, 3, 4, 4]
    assert {total for _, total, _ in told} == {4}


def test_notes_of_parts_and_unstable_bridges_are_told(folder: Path) -> None:
    class Remarks(Here):
        def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
            for task in tasks:
                state = "unstable" if task.path == "b.toml" else "done"
                remark = {"bridge": task.path, "number": 1, "what": state, "text": "it turns"}
                part = "schedule" if state == "unstable" else "size"
                rows = {
                    **workers.rows_of(task, state).rows,
                    "remarks": gathered("remarks", [remark | {"part": part}]),
                }
                yield Done(task, Answer(rows, digest(rows), program()))

    found = go(folder, Remarks())
    assert found.ranking[0].bridge == "b.toml"
    assert found.ranking[0].reasons[0].what == "it turns"
    assert ("a.toml", "size", "it turns") in found.notes
    assert len(found.notes) == 3


def test_workers_fill_the_store_as_this_process_does(folder: Path) -> None:
    write(folder / "dies.toml", f"# kill {folder.parent / 'mark'}")
    found = go(folder, Pool(2, workers.troubled))
    assert found.states == {"done": 5}
    assert multiprocessing.active_children() == []
    digests = {part.path: part.digest for part in found.parts}
    for task in find_stock(folder).tasks(OPTIONS):
        assert digests[task.path] == workers.rows_of(task).digest


_KILLED = """
import sys
from pathlib import Path

sys.path.insert(0, sys.argv[1])
import stock_workers
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import run
from bedstone.stock.task import Options

if __name__ == "__main__":
    stock = find_stock(Path(sys.argv[2]))
    tell = lambda done, total, text: print(done, flush=True)
    run(stock, Options(), Folder(Path(sys.argv[3])), Pool(1, stock_workers.troubled), None, tell)
"""


def test_a_run_that_is_killed_goes_on_and_leaves_no_worker(tmp_path: Path) -> None:
    """The first process is killed as a system short of memory kills: nothing is told to anyone."""
    folder, numbers, store = tmp_path / "stock", tmp_path / "numbers", tmp_path / "store"
    numbers.mkdir()
    for number in range(3):
        write(folder / f"{number}.toml", f"# pid {numbers}")
    write(folder / "9.toml", "# sleep 3")
    script = tmp_path / "script.py"
    script.write_text(_KILLED, encoding="utf-8")
    here = str(Path(__file__).parent)
    with subprocess.Popen(
        [sys.executable, str(script), here, str(folder), str(store)],
        stdout=subprocess.PIPE,
        text=True,
    ) as killed:
        assert killed.stdout is not None
        while int(killed.stdout.readline()) < 2:
            pass
        killed.send_signal(signal.SIGKILL)
    workers_left = [int(file.name) for file in numbers.iterdir()]
    assert workers_left
    for _ in range(200):
        if not any(Path(f"/proc/{number}").exists() for number in workers_left):
            break
        time.sleep(0.1)
    else:
        pytest.fail("a worker goes on without its run")
    held = [Store(Folder(store)).kept(f"{number}.toml")[0] for number in range(3)]
    assert sum(item is not None for item in held) >= 2
    found = run(find_stock(folder), OPTIONS, Folder(store), Here())
    assert found.taken >= 2
    assert found.taken + found.worked_out == 4
