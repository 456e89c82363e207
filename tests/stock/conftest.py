"""Bridges that are quick to work out, and a stock of them on disk."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

HERE = Path(__file__).parent
# workers are processes of their own: they import what they do by its name
if str(HERE) not in sys.path:
    sys.path.insert(0, str(HERE))

from bedstone.stock.task import Options, Task  # noqa: E402

#: A bridge file as far as the list of members looks at it.
LIKE_A_BRIDGE = '{first}\n[bridge]\nname = "{name}"\n'


def write(file: Path, first: str = "#", name: str = "made up") -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(LIKE_A_BRIDGE.format(first=first, name=name), encoding="utf-8")
    return file


@pytest.fixture
def task() -> Callable[..., Task]:
    def make(path: str = "a.toml", first: str = "#") -> Task:
        text = LIKE_A_BRIDGE.format(first=first, name=path)
        return Task(path, ((path.rpartition("/")[2], text.encode()),), Options())

    return make
