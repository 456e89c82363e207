"""The same tasks on a cluster: same answers, same words when something is wrong."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import stock_workers as workers

from bedstone.errors import BedstoneError, InputError
from bedstone.stock import cluster as clusters
from bedstone.stock.cluster import Cluster
from bedstone.stock.members import task_of
from bedstone.stock.pool import Pool
from bedstone.stock.task import Options, Task

MakeTask = Callable[..., Task]
TESTS = Path(__file__).parents[1]

_SERVES = """
import sys
from distributed import LocalCluster

if __name__ == "__main__":
    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, protocol="tcp://"
    ) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A scheduler with two workers, in processes of their own."""
    pytest.importorskip("distributed", reason="dask.distributed is not installed (extra cluster)")
    folder = tmp_path_factory.mktemp("cluster")
    script = folder / "serve.py"
    script.write_text(_SERVES, encoding="utf-8")
    paths = os.pathsep.join([str(Path(__file__).parent), *filter(None, sys.path)])
    serving = subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=folder,
        env=os.environ | {"PYTHONPATH": paths},
    )
    with serving:
        assert serving.stdout is not None
        yield serving.stdout.readline().strip()


@pytest.mark.filterwarnings("default")
def test_a_cluster_gives_what_this_machine_gives(address: str) -> None:
    """A whole bridge, all parts, to the last bit; by digest of the rows."""
    folder, name = TESTS / "comparison", "one_line.toml"
    tasks = [task_of(folder, name, Options()), task_of(TESTS / "broken", "seats.toml", Options())]
    there = {done.task.path: done.answer for done in Cluster(address).run(tasks)}
    here = {done.task.path: done.answer for done in Pool(1).run(tasks)}
    assert there == here
    assert here[name] is not None


@pytest.mark.filterwarnings("default")
def test_a_bridge_that_kills_workers_is_reported(address: str, task: MakeTask) -> None:
    tasks = [task(f"{number}.toml") for number in range(5)] + [task("dies.toml", "# die")]
    found = {done.task.path: done for done in Cluster(address, workers.troubled).run(tasks)}
    assert len(found) == 6
    assert found["dies.toml"].answer is None
    assert "KilledWorker" in found["dies.toml"].trouble
    assert sum(done.answer is not None for done in found.values()) == 5


@pytest.mark.filterwarnings("default")
def test_another_program_on_the_workers_is_refused(
    address: str, task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clusters, "program", lambda: "another")
    with pytest.raises(BedstoneError, match="another state of this program"):
        list(Cluster(address, workers.quick).run([task()]))


@pytest.mark.filterwarnings("default")
@pytest.mark.parametrize("given", ["tcp://127.0.0.1:9", "tcp://no.such.host.invalid:8786"])
def test_no_scheduler_is_told(given: str, task: MakeTask) -> None:
    pytest.importorskip("distributed", reason="dask.distributed is not installed (extra cluster)")
    with pytest.raises(InputError, match="--scheduler"):
        list(Cluster(given, workers.quick, patience=2).run([task()]))


@pytest.mark.parametrize("given", ["127.0.0.1:8786", "inproc://x", "http://x:1", ""])
def test_other_addresses_are_refused(given: str, task: MakeTask) -> None:
    pytest.importorskip("distributed", reason="dask.distributed is not installed (extra cluster)")
    with pytest.raises(InputError, match="tcp://host:port"):
        list(Cluster(given, workers.quick).run([task()]))


def test_without_dask_the_extra_is_named(task: MakeTask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match="extra cluster"):
        list(Cluster("tcp://127.0.0.1:8786").run([task()]))


@pytest.mark.filterwarnings("default")
def test_a_scheduler_that_dies_is_told(tmp_path: Path, task: MakeTask) -> None:
    pytest.importorskip("distributed", reason="dask.distributed is not installed (extra cluster)")
    script = tmp_path / "serve.py"
    script.write_text(_SERVES, encoding="utf-8")
    paths = os.pathsep.join([str(Path(__file__).parent), *filter(None, sys.path)])
    serving = subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": paths},
    )
    with serving:
        assert serving.stdout is not None
        given = serving.stdout.readline().strip()
        run = Cluster(given, workers.troubled).run(
            [task("a.toml"), *(task(f"{n}.toml", "# sleep 20") for n in range(3))]
        )
        assert next(run).answer is not None
        os.kill(serving.pid, signal.SIGKILL)
        with pytest.raises(BedstoneError, match="was lost"):
            list(run)
