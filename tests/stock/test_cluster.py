"""The same tasks on a cluster: same answers, same words when something is wrong."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
import stock_workers as workers

from bedstone.errors import BedstoneError, InputError
from bedstone.stock import cluster as clusters
from bedstone.stock.cluster import Cluster
from bedstone.stock.members import find_stock, task_of
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.run import Progress, Result
from bedstone.stock.run import run as run_stock
from bedstone.stock.task import Options, Task

MakeTask = Callable[..., Task]
TESTS = Path(__file__).parents[1]

#: As the guide of stocks starts them, on a port that is free and no other machine's.
SCHEDULER = ("dask", "scheduler", "--port", "0", "--no-dashboard", "--scheduler-file")
WORKER = (
    "dask", "worker", "--nthreads", "1", "--memory-limit", "2GB", "--lifetime", "1h",
    "--lifetime-restart", "--no-dashboard", "--death-timeout", "60",
)  # fmt: skip


@dataclass(frozen=True)
class Served:
    """A scheduler and workers in processes of their own; every worker has one that renews it."""

    address: str
    scheduler: subprocess.Popen[bytes]
    keepers: tuple[subprocess.Popen[bytes], ...]

    def workers(self) -> list[int]:
        """Numbers of the processes that work."""
        import psutil

        return [
            child.pid
            for keeper in self.keepers
            for child in psutil.Process(keeper.pid).children(recursive=True)
            if any("spawn_main" in word for word in child.cmdline())
        ]


@contextmanager
def served(folder: Path, scheme: str = "tcp", more: Sequence[str] = ()) -> Iterator[Served]:
    """`dask scheduler` and two `dask worker`, ended with all they started."""
    pytest.importorskip("distributed", reason="dask.distributed is not installed (extra cluster)")
    import psutil

    told = folder / "scheduler.json"
    paths = os.pathsep.join([str(Path(__file__).parent), *filter(None, sys.path)])
    environment = os.environ | {"PYTHONPATH": paths}
    started: list[subprocess.Popen[bytes]] = []

    def start(*words: str) -> subprocess.Popen[bytes]:
        log = (folder / f"log-{len(started)}").open("wb")
        with log:
            started.append(
                subprocess.Popen(
                    [sys.executable, "-m", *words, *more],
                    stdout=log, stderr=log, cwd=folder, env=environment,
                )
            )  # fmt: skip
        return started[-1]

    try:
        scheduler = start(*SCHEDULER, str(told), "--host", f"{scheme}://127.0.0.1")
        address = ""
        while not address:
            assert scheduler.poll() is None, (folder / "log-0").read_text(encoding="utf-8")
            time.sleep(0.05)
            with suppress(OSError, ValueError):  # not there, or not yet whole
                address = json.loads(told.read_bytes())["address"]
        keepers = tuple(start(*WORKER, address, "--local-directory", str(folder)) for _ in "12")
        yield Served(address, scheduler, keepers)
    finally:
        all_of_them = [
            process
            for item in started
            if item.poll() is None
            for process in [psutil.Process(item.pid), *psutil.Process(item.pid).children(True)]
        ]
        for process in reversed(all_of_them):
            with suppress(psutil.NoSuchProcess):
                process.kill()
        for item in started:
            item.wait()
        assert not psutil.wait_procs(all_of_them, timeout=30)[1]


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A scheduler with two workers, in processes of their own."""
    with served(tmp_path_factory.mktemp("cluster")) as found:
        yield found


@pytest.fixture
def address(cluster: Served) -> str:
    return cluster.address


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


@pytest.mark.parametrize(
    "given",
    ["127.0.0.1:8786", "inproc://x", "http://x:1", "", "tcp://x", "tcp://:1", "tls://x:y",
     "tcp://x:1/y", "tcp://x:1\n"],
)  # fmt: skip
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
    with served(tmp_path) as found:
        run = Cluster(found.address, workers.troubled).run(
            [task("a.toml"), *(task(f"{n}.toml", "# sleep 20") for n in range(3))]
        )
        assert next(run).answer is not None
        found.scheduler.kill()
        with pytest.raises(BedstoneError, match="was lost"):
            list(run)


def whole(store: Path) -> dict[str, bytes]:
    """Every file of a store with its bytes, but the empty one that is locked."""
    files = [file for file in store.rglob("*") if file.is_file() and file.name != "lock"]
    return {file.relative_to(store).as_posix(): file.read_bytes() for file in files}


@pytest.mark.slow
@pytest.mark.filterwarnings("default")
def test_the_same_store_from_here_from_a_cluster_and_when_a_worker_dies(
    cluster: Served, tmp_path: Path
) -> None:
    """Parquet files, manifests and ranking to the last byte, of whole bridges."""
    text = (TESTS / "comparison" / "one_line.toml").read_text(encoding="utf-8")
    (tmp_path / "stock" / "north").mkdir(parents=True)
    for number in range(5):
        span = text.replace('"40 m"', f'"{40 + number} m"')
        assert number == 0 or span != text
        (tmp_path / "stock" / "north" / f"{number}.toml").write_text(span, encoding="utf-8")
    (tmp_path / "stock" / "faulty.toml").write_text("[bridge]\nname = 1\n", encoding="utf-8")

    def filled(name: str, engine: Pool | Cluster, progress: Progress | None = None) -> Result:
        stock = find_stock(tmp_path / "stock")
        place = Folder(tmp_path / name)
        return run_stock(stock, Options(parts=("schedule", "size")), place, engine, None, progress)

    killed: list[int] = []

    def kill(done: int, *_: object) -> None:
        if done == 2 and not killed:
            killed.append(cluster.workers()[0])
            os.kill(killed[0], signal.SIGKILL)

    here = filled("here", Pool(2))
    assert here.worked_out == here.bridges == 6
    assert here.states == {"done": 5, "faulty": 1}
    there = filled("there", Cluster(cluster.address))
    broken = filled("broken", Cluster(cluster.address), kill)
    assert killed
    assert there.ranking == broken.ranking == here.ranking
    assert whole(tmp_path / "there") == whole(tmp_path / "here")
    assert whole(tmp_path / "broken") == whole(tmp_path / "here")
    assert sum(name.endswith(".parquet") for name in whole(tmp_path / "here")) > 20


@pytest.fixture(scope="module")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An authority, and a certificate of it for all: ca.pem, cert.pem, key.pem."""
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    folder = tmp_path_factory.mktemp("certificates")
    new = ("-newkey", "rsa:2048", "-nodes")
    for words in (
        ("req", "-x509", *new, "-keyout", "ca-key.pem", "-out", "ca.pem", "-subj", "/CN=made up"),
        ("req", *new, "-keyout", "key.pem", "-out", "request.pem", "-subj", "/CN=127.0.0.1"),
        ("x509", "-req", "-in", "request.pem", "-CA", "ca.pem", "-CAkey", "ca-key.pem",
         "-CAcreateserial", "-days", "2", "-out", "cert.pem"),
    ):  # fmt: skip
        subprocess.run(["openssl", *words], cwd=folder, check=True, capture_output=True)
    return folder


@pytest.mark.slow
def test_tls_by_the_settings_of_dask(certificates: Path, tmp_path: Path) -> None:
    """The command as it is typed, with the certificates that dask's own settings name."""
    (tmp_path / "stock").mkdir()
    shutil.copy(TESTS / "comparison" / "one_line.toml", tmp_path / "stock")
    files = {name: str(certificates / f"{name}.pem") for name in ("ca", "cert", "key")}
    more = ("--tls-ca-file", files["ca"], "--tls-cert", files["cert"], "--tls-key", files["key"])
    settings = {
        "DASK_DISTRIBUTED__COMM__TLS__CA_FILE": files["ca"],
        "DASK_DISTRIBUTED__COMM__TLS__CLIENT__CERT": files["cert"],
        "DASK_DISTRIBUTED__COMM__TLS__CLIENT__KEY": files["key"],
    }
    with served(tmp_path, "tls", more) as found:
        assert found.address.startswith("tls://")

        def stock(**given: str) -> subprocess.CompletedProcess[str]:
            asked = ["stock", "stock", "--out", "store", "--parts", "schedule", "--json"]
            return subprocess.run(
                [sys.executable, "-m", "bedstone.cli", *asked, "--scheduler", found.address],
                cwd=tmp_path, capture_output=True, text=True, check=False,
                env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))} | given,
            )  # fmt: skip

        without = stock()
        assert (without.returncode, without.stdout) == (2, "")
        assert "found no certificate of its own; allowed: distributed.comm.tls" in without.stderr
        elsewhere = stock(**settings | {"DASK_DISTRIBUTED__COMM__TLS__CA_FILE": "/nowhere.pem"})
        assert elsewhere.returncode == 2
        assert "certificates: No such file" in elsewhere.stderr
        done = stock(**settings)
        assert (done.returncode, done.stderr) == (0, "")
        assert json.loads(done.stdout)["worked_out"] == 1
