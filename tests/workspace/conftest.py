import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Edits are kept in a folder of the test, never in that of the person running it."""
    folder = tmp_path / "cache"
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
    return folder


@pytest.fixture
def truss(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "truss.toml", tmp_path / "truss.toml"))


@pytest.fixture
def railway(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "railway.toml", tmp_path / "railway.toml"))
