"""docs/validation.md tells what the outside checks find."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_the_shipped_page_is_true():
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST_")}
    done = subprocess.run(
        [sys.executable, "tests/published/record.py", "--check"],
        cwd=ROOT, env=clean, capture_output=True, text=True, check=False,
    )  # fmt: skip
    advice = "make it anew: .venv/bin/python tests/published/record.py\n"
    assert done.returncode == 0, advice + done.stdout[-4000:] + done.stderr[-2000:]
