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
