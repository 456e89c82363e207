"""Imports run downwards only, and importing the package itself costs nothing."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "src" / "bedstone"

# From the bottom to the top. A room may import itself, the rooms before it and `bridge`.
ORDER = (
    "mechanics",
    "model",
    "standards",
    "actions",
    "bearings",
    "articulation",
    "schedule",
    "comparison",
    "site",
    "stock",
    "output",
    "workspace",
    "cli",
    "__main__",
)
# Modules outside the rooms that everyone may import; they import none of the rooms.
COMMON = frozenset({"errors", "cautions"})
# Reading and writing files: open to all but `mechanics`, which knows no file.
FILES = frozenset({"files"})


def allowed(room: str) -> frozenset[str] | None:
    """What a room may import, or None for a name that has no place in the order."""
    if room == "__init__" or room in COMMON | FILES:
        return COMMON | {room}
    if room == "bridge":
        return COMMON | FILES | {"bridge"}
    if room not in ORDER:
        return None
    below = COMMON | frozenset(ORDER[: ORDER.index(room) + 1])
    # `bridge` describes input and stands beside the order; `mechanics` does not know it either.
    return below if room == "mechanics" else below | FILES | {"bridge"}


def imported(tree: ast.Module, package: tuple[str, ...]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Every import in a module, wherever it stands, as line and dotted path.

    ``package`` is the package the module lives in, to resolve relative imports. A name
    taken from a package is appended, since it may be a room: ``from bedstone import model``.
    """
    for node in ast.walk(tree):
        match node:
            case ast.Import():
                for alias in node.names:
                    yield node.lineno, tuple(alias.name.split("."))
            case ast.ImportFrom():
                base = package[: len(package) - node.level + 1] if node.level else ()
                base += tuple(node.module.split(".")) if node.module else ()
                for alias in node.names:
                    yield node.lineno, (*base, alias.name)
            case ast.Call(
                func=ast.Name(id="import_module" | "__import__")
                | ast.Attribute(attr="import_module"),
                args=[ast.Constant(value=str(name)), *_],
            ):
                yield node.lineno, tuple(name.split("."))


def violations(root: Path) -> list[str]:
    """Every import under ``root`` (the folder of the package) that does not run downwards."""
    rooms = {"bridge", *ORDER} | {path.stem for path in root.iterdir()}
    found = []
    for path in sorted(root.rglob("*.py")):
        place = path.relative_to(root).with_suffix("").parts
        room = place[0]
        may = allowed(room)
        if may is None:
            found.append(f"{'/'.join(place)}: {room} has no place in the order of rooms")
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"), filename=str(path))
        for line, target in imported(tree, ("bedstone", *place[:-1])):
            if target[0] != "bedstone" or len(target) < 2:
                continue
            # `from bedstone import __version__` takes a name of the package, not a room.
            if target[1] not in may and target[1] in rooms:
                found.append(f"{'/'.join(place)}:{line}: {room} imports {'.'.join(target)}")
    return found


def test_imports_run_downwards_only() -> None:
    assert violations(PACKAGE) == []


@pytest.mark.parametrize(
    ("place", "source"),
    [
        ("mechanics/a.py", "import bedstone.bridge"),
        ("mechanics/a.py", "from bedstone.model import frame"),
        ("mechanics/a.py", "from ..files import read_text"),
        ("bridge/a.py", "from bedstone import mechanics"),
        ("bridge/a.py", "from ..standards import record"),
        ("model/a.py", "from bedstone.standards.record import Value"),
        ("standards/eurocode/a.py", "from ...actions import traffic"),
        ("actions/a.py", "def late():\n    import bedstone.bearings"),
        ("articulation/a.py", "from bedstone.schedule import table"),
        ("schedule/a.py", "import importlib\nimportlib.import_module('bedstone.output.report')"),
        ("schedule/a.py", "from bedstone import site"),
        ("schedule/a.py", "from bedstone.comparison import screen"),
        ("site/a.py", "from bedstone import stock"),
        ("stock/a.py", "from bedstone.output import tables"),
        ("output/a.py", "from bedstone.cli import main"),
        ("__init__.py", "from .mechanics import solve"),
        ("errors.py", "from bedstone import bridge"),
        ("cautions.py", "import bedstone.model as m"),
        ("files.py", "from bedstone.bridge import reader"),
        ("attic/a.py", ""),
        ("loose.py", ""),
    ],
)
def test_an_upward_import_is_caught(tmp_path: Path, place: str, source: str) -> None:
    _write_rooms(tmp_path)
    _write(tmp_path / place, source)
    found = violations(tmp_path)
    assert len(found) == 1
    assert found[0].startswith(place.removesuffix(".py"))


@pytest.mark.parametrize(
    ("place", "source"),
    [
        ("mechanics/a.py", "import numpy\nfrom . import frame\nfrom bedstone.errors import E"),
        ("bridge/a.py", "from .units import metre\nfrom bedstone import cautions, files"),
        ("model/a.py", "from bedstone.bridge import Bridge\nfrom ..mechanics import frame"),
        ("standards/irc/a.py", "from ..record import Value\nfrom bedstone.bridge import Bridge"),
        ("bearings/a.py", "from bedstone import actions"),
        ("site/a.py", "from bedstone import articulation, schedule"),
        ("stock/a.py", "from bedstone import site, comparison"),
        ("output/a.py", "from bedstone import __version__\nimport bedstone"),
        ("cli.py", "from bedstone.workspace import pages\nfrom bedstone.output import report"),
        ("__main__.py", "from bedstone.cli import main"),
    ],
)
def test_a_downward_import_passes(tmp_path: Path, place: str, source: str) -> None:
    _write_rooms(tmp_path)
    _write(tmp_path / place, source)
    assert violations(tmp_path) == []


def test_importing_the_package_loads_nothing_heavy() -> None:
    script = (
        "import sys; before = set(sys.modules); import bedstone; "
        "print(*{name.partition('.')[0] for name in set(sys.modules) - before})"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert set(done.stdout.split()) - set(sys.stdlib_module_names) == {"bedstone"}


def _write_rooms(root: Path) -> None:
    for room in ("bridge", *ORDER[:-2]):
        _write(root / room / "__init__.py", "")
    for module in ("__init__", "cli", *COMMON, *FILES):
        _write(root / f"{module}.py", "")


def _write(path: Path, source: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(source, encoding="utf-8")
