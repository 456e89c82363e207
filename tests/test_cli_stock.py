"""The verb that asks the same of many bridges: what it prints, keeps and leaves with."""

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

TESTS = Path(__file__).parent


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """With a small stock in the folder: two sound bridges."""
    Path("stock/south").mkdir(parents=True)
    Path("stock/empty").mkdir()
    shutil.copy(TESTS / "comparison" / "one_line.toml", "stock/one.toml")
    shutil.copy(TESTS / "comparison" / "one_line.toml", "stock/south/one.toml")
    return command


def test_a_stock_as_table_and_data(run: Run) -> None:
    done = run("stock", "stock", "--out", "store", "--workers", "2")
    assert done.code == 0
    assert "south/one.toml" in done.out
    assert "2 new or changed" in done.out
    data = json.loads(run("stock", "stock", "--out", "store", "--json").out)
    jsonschema.validate(data, json.loads(run("schema", "stock").out))
    assert (data["taken_from_store"], data["worked_out"], data["run"]) == (2, 0, 2)
    first, second = data["ranking"]
    assert first["bridge"] == "one.toml"
    assert first["reasons"] == second["reasons"]  # the same bridge twice


def test_a_faulty_file_is_told_and_the_others_are_done(run: Run) -> None:
    shutil.copy(TESTS / "broken" / "wrong_unit.toml", "stock/wrong.toml")
    done = run("stock", "stock", "--out", "store", "--parts", "schedule")
    assert done.code == 1
    assert "2 done, 1 faulty" in done.out
    assert "'18 kg'" in done.out


def test_results_are_kept_in_the_cache_when_no_store_is_told(run: Run) -> None:
    assert run("stock", "stock", "--parts", "schedule").code == 0
    assert len(list(Path("cache/bedstone/stock").iterdir())) == 1
    assert "2 taken from the store" in run("stock", "stock", "--parts", "schedule").out


@pytest.mark.parametrize(
    "arguments",
    [
        ["nowhere"],
        ["stock", "--standard", "xyz"],
        ["stock", "--parts", "schedule,weight"],
        ["stock", "--thresholds", "none.toml"],
        ["stock", "--out", "stock/one.toml"],
        ["stock", "--scheduler", "127.0.0.1:8786"],
        ["stock", "--scheduler", "tcp://127.0.0.1"],
        ["stock/empty"],
        ["stock", "--out", "stock"],
    ],
)
def test_bad_input_is_one_line(run: Run, arguments: list[str]) -> None:
    done = run("stock", *arguments)
    assert done.code == 2
    assert "allowed" in done.err
    assert len(done.err.splitlines()) == 1


@pytest.mark.skipif(os.name == "nt", reason="no such signals there")
def test_an_interruption_leaves_a_store_to_go_on_with(run: Run, tmp_path: Path) -> None:
    """Ctrl+C at the terminal: every process of the group hears of it."""
    for number in range(30):
        shutil.copy("stock/one.toml", f"stock/{number}.toml")
    paths = os.pathsep.join(filter(None, sys.path))
    with subprocess.Popen(
        [sys.executable, "-m", "bedstone.cli", "stock", "stock", "--out", "store",
         "--parts", "schedule", "--workers", "1", "--json"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        env=os.environ | {"PYTHONPATH": paths},
        # whoever starts the tests in the background hands down that it is to be ignored
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as going:  # fmt: skip
        while not list(tmp_path.glob("store/bridges/*/manifest.json")):
            assert going.poll() is None
        os.killpg(going.pid, signal.SIGINT)
        out, err = going.communicate(timeout=60)
    assert going.returncode == 130
    assert "Traceback" not in out + err
    data = json.loads(out)
    assert data["run"] == 0
    assert data["worked_out"] >= 1
    assert data["worked_out"] + data["not_tried"] == 32
    again = json.loads(run("stock", "stock", "--out", "store", "--parts", "schedule", "--json").out)
    assert again["taken_from_store"] == data["worked_out"]
    assert again["states"] == {"done": 32}


def test_a_list_made_elsewhere(run: Run) -> None:
    lines = ["\ufeff# ours", "one.toml", "south\\one.toml", "C:\\south\\one.toml", "gone.toml", ""]
    Path("stock/list.txt").write_text("\r\n".join(lines), encoding="utf-8")
    done = run("stock", "stock/list.txt", "--out", "store", "--parts", "schedule")
    assert done.code == 1
    assert "4 bridges, 2 done, 2 faulty" in done.out
    assert "south/one.toml" in done.out
    assert "list.txt: line 4: found 'C:" in done.out
    assert "gone.toml (faulty): file: found no such file" in done.out


def test_a_narrow_window_has_whole_words(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.move("stock/south/one.toml", f"stock/{'long-name-' * 3}.toml")
    monkeypatch.setenv("COLUMNS", "60")
    done = run("stock", "stock", "--out", "store", "--parts", "schedule", "--rows", "0")
    assert done.code == 0
    lines = done.out.splitlines()
    assert max(map(len, lines)) <= 60
    assert any(line.startswith(f"1  {'long-name-' * 3}.toml  ") for line in lines)
    assert "\x1b" not in done.out


@pytest.mark.skipif(os.name == "nt", reason="a pipe ends otherwise there")
def test_a_reader_that_goes_away_is_no_fault(run: Run) -> None:
    paths = os.pathsep.join(filter(None, sys.path))
    with subprocess.Popen(
        [sys.executable, "-m", "bedstone.cli", "stock", "stock", "--out", "store",
         "--parts", "schedule", "--json"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": paths},
    ) as going:  # fmt: skip
        assert going.stdout is not None
        assert going.stderr is not None
        going.stdout.close()
        assert going.stderr.read() == ""
    assert len(list(Path("store/bridges").iterdir())) == 2


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="workers are found by /proc")
def test_whatever_goes_wrong_the_store_is_right_after() -> None:
    """Each fault of `benchmarks.stock_faults` once: killed, full, removed, damaged, twice, late."""
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.stock", "faults", "1"],
        cwd=TESTS.parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stderr == ""
    counts = [
        line.split("  ")[0] for line in done.stdout.splitlines() if " 1            1 " in line
    ]
    assert len(counts) == 8
