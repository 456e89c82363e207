"""Workers that are killed, hang, grow or fail cost their own bridge alone.

What a pool must survive is common practice for long work on many files; no source.
"""

import multiprocessing
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import stock_workers as workers

from bedstone.errors import BedstoneError
from bedstone.stock.engine import Done
from bedstone.stock.pool import Pool, memory_of, most_memory
from bedstone.stock.task import Task

MakeTask = Callable[..., Task]


def by_path(found: list[Done]) -> dict[str, Done]:
    assert len({done.task.path for done in found}) == len(found)
    return {done.task.path: done for done in found}


def test_every_task_once_and_the_answer_of_the_function(task: MakeTask) -> None:
    tasks = [task(f"{number}.toml", "#" * number) for number in range(1, 8)]
    found = by_path(list(Pool(2, workers.quick).run(tasks)))
    assert {path: done.answer for path, done in found.items()} == {
        item.path: workers.quick(item) for item in tasks
    }
    assert multiprocessing.active_children() == []


def test_nothing_to_do_starts_no_worker() -> None:
    assert list(Pool(2, workers.quick).run([])) == []


def test_a_killed_worker_costs_its_own_task_a_second_try(task: MakeTask, tmp_path: Path) -> None:
    counted = tmp_path / "count"
    tasks = [task(f"{n}.toml", f"# count {counted}") for n in range(4)]
    tasks.insert(1, task("killed.toml", f"# kill {tmp_path / 'mark'}"))
    found = by_path(list(Pool(2, workers.troubled).run(tasks)))
    assert len(found) == 5
    assert all(done.answer is not None for done in found.values())
    assert (tmp_path / "mark").read_text(encoding="utf-8") == "died once"
    assert counted.read_text(encoding="utf-8") == "xxxx"  # none of the others twice


def test_a_bridge_that_kills_every_worker_is_reported(task: MakeTask, tmp_path: Path) -> None:
    folder = tmp_path / "numbers"
    folder.mkdir()
    tasks = [task(f"{n}.toml", f"# pid {folder}") for n in range(6)]
    tasks.insert(2, task("dies.toml", "# die"))
    found = by_path(list(Pool(2, workers.troubled, attempts=3).run(tasks)))
    assert found["dies.toml"].answer is None
    assert "3 times out of 3" in found["dies.toml"].trouble
    assert "signal 9" in found["dies.toml"].trouble
    assert sum(done.answer is not None for done in found.values()) == 6


def test_what_a_killed_worker_leaves_behind_is_removed(
    task: MakeTask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    (done,) = Pool(1, workers.troubled, attempts=2).run([task("a.toml", "# litter")])
    assert done.answer is None
    assert list(tmp_path.iterdir()) == []


def test_a_worker_that_leaves_is_reported_with_its_code(task: MakeTask) -> None:
    (done,) = Pool(1, workers.troubled, attempts=1).run([task("a.toml", "# leave")])
    assert done.answer is None
    assert "code 7" in done.trouble


def test_a_fault_of_the_program_is_reported_and_not_tried_again(task: MakeTask) -> None:
    (done,) = Pool(1, workers.troubled).run([task("a.toml", "# fail")])
    assert done.answer is None
    assert "on purpose" in done.trouble


def test_a_bridge_that_takes_too_long_is_given_up(task: MakeTask) -> None:
    tasks = [task("slow.toml", "# sleep 600"), task("b.toml")]
    found = by_path(list(Pool(1, workers.troubled, patience=2.0).run(tasks)))
    assert "not done after 2 s" in found["slow.toml"].trouble
    assert found["b.toml"].answer is not None


@pytest.mark.skipif(memory_of(1) == 0, reason="the system does not say what a process holds")
def test_a_bridge_that_needs_too_much_memory_is_given_up(task: MakeTask) -> None:
    tasks = [task("greedy.toml", "# grow 900000000"), task("b.toml")]
    found = by_path(list(Pool(1, workers.troubled, memory=700_000_000).run(tasks)))
    assert "0.7 GB" in found["greedy.toml"].trouble
    assert found["b.toml"].answer is not None


def test_workers_are_renewed(task: MakeTask, tmp_path: Path) -> None:
    tasks = [task(f"{n}.toml", f"# pid {tmp_path}") for n in range(5)]
    assert len(list(Pool(1, workers.troubled, renewed=2).run(tasks))) == 5
    assert len(list(tmp_path.iterdir())) == 3


def test_a_worn_worker_is_renewed(task: MakeTask, tmp_path: Path) -> None:
    tasks = [task(f"{n}.toml", f"# pid {tmp_path}") for n in range(3)]
    assert len(list(Pool(1, workers.troubled, worn=1).run(tasks))) == 3
    expected = 3 if most_memory() else 1
    assert len(list(tmp_path.iterdir())) == expected


@pytest.mark.skipif(not most_memory(), reason="the system does not say")
def test_a_worker_does_not_count_the_memory_of_who_started_it() -> None:
    held = np.ones(64 << 20)  # 512 MiB
    script = "from bedstone.stock.pool import most_memory; print(most_memory())"
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
    assert int(said.stdout) < held.nbytes < most_memory()


def test_an_interruption_leaves_no_worker(task: MakeTask) -> None:
    run = Pool(2, workers.troubled).run(
        [task("quick.toml"), *(task(f"{n}.toml", "# sleep 600") for n in range(3))]
    )
    assert next(run).task.path == "quick.toml"
    run.close()
    assert multiprocessing.active_children() == []


def test_workers_work_side_by_side_from_the_first(task: MakeTask, tmp_path: Path) -> None:
    """Each of three tasks waits for the marks of all three: one after the other none would end."""
    tasks = [task(f"{n}.toml", f"# meet {tmp_path} 3") for n in range(3)]
    found = list(Pool(3, workers.troubled, patience=60.0).run(tasks))
    assert all(done.answer is not None for done in found)


def test_tasks_are_taken_as_they_are_needed(task: MakeTask) -> None:
    taken = []

    def tasks() -> object:
        for number in range(50):
            taken.append(number)
            yield task(f"{number}.toml")

    run = Pool(2, workers.quick).run(tasks())  # type: ignore[arg-type]
    next(run)
    assert len(taken) <= 6
    run.close()


def test_workers_that_never_start_end_the_run_in_words(
    task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bedstone.stock.pool._serve", workers.quick)  # no line, so it ends at once
    with pytest.raises(BedstoneError, match="cannot be started"):
        list(Pool(1, workers.quick).run([task()]))
    assert multiprocessing.active_children() == []
