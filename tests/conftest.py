"""Settings shared by all tests.

Property tests run the same examples every time (profile "ci"), so that a failure on one
machine is a failure on all. ``HYPOTHESIS_PROFILE=dev`` searches with new examples instead.
"""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, settings

from bedstone import cli

settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("dev", deadline=None, max_examples=300)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


class Done(NamedTuple):
    """A call of the command line that has ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Callable[..., Done]:
    """Call the command line in an empty folder; nothing is kept elsewhere."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BEDSTONE_TRACEBACK", raising=False)
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def call(*arguments: object) -> Done:
        monkeypatch.setattr(sys, "argv", ["bedstone", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        told = capsys.readouterr()
        code = left.value.code
        assert isinstance(code, int)
        assert "Traceback" not in told.out + told.err
        return Done(code, told.out, told.err)

    return call
