"""The server answers before what computes is loaded, and says what is wrong before it serves."""

import subprocess
import sys
from pathlib import Path

import pytest

from bedstone.errors import InputError


def test_first_page_waits_for_nothing_that_computes():
    code = "import sys, bedstone.workspace.app; print(*sys.modules)"
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300
    )
    loaded = set(told.stdout.split())
    assert "bedstone.workspace.app" in loaded
    heavy = {"numba", "scipy.linalg", "plotly", "duckdb", "ezdxf", "openpyxl"}
    heavy |= {"bedstone.workspace.desk", "bedstone.comparison.screen"}
    assert heavy & loaded == set()


def test_file_with_faults_is_refused_before_anything_is_served(truss: Path):
    from bedstone.workspace import app

    told: list[str] = []
    truss.write_text(truss.read_text().replace('chainage = "0 m"', 'chainage = "0 kN"', 1))
    with pytest.raises(InputError, match="chainage"):
        app.serve(truss, port=0, show=False, told=told.append)
    assert told == []


def test_options_of_a_folder_are_refused_with_a_file(command, truss: Path):
    done = command("serve", truss, "--out", "store", "--thresholds", "own.toml", "--no-open")
    assert done.code == 2
    lines = done.err.splitlines()
    assert [line.split(": ")[1] for line in lines] == ["--out", "--thresholds"]
    assert all("folder of bridge files" in line for line in lines)


@pytest.mark.parametrize("made", [True, False])
def test_a_folder_without_a_bridge_and_one_that_is_none_are_refused(
    command, tmp_path: Path, made: bool
):
    folder = tmp_path / "bridges"
    if made:
        folder.mkdir()
    done = command("serve", folder, "--no-open", "--port", "0")
    assert done.code == 2
    assert "bridges" in done.err
    assert done.out == ""
