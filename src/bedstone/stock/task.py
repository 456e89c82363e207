"""One bridge of a stock as a task: bytes and options in, rows out.

A pure function: no time, no path of this machine, nothing read but the bytes it is given. Its key
names all that the rows depend on: the files, the options and the program.
"""

from __future__ import annotations

import hashlib
import json
import platform
import sys
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path, PurePosixPath
from typing import Literal, get_args

import bedstone
from bedstone import __version__
from bedstone.bridge.schema import FamilyName
from bedstone.errors import Fault, InputError
from bedstone.stock.tables import Cell, Rows, digest, gathered

#: What is worked out of a bridge, in the order of the work. The schedule always is; inspect and
#: monitor are where there is a record of readings beside the bridge file.
Part = Literal["schedule", "size", "setting", "what-if", "inspect", "monitor"]
PARTS: tuple[Part, ...] = get_args(Part)

_FAMILIES = get_args(FamilyName)

#: Rooms that only show what was worked out: they do not change a number.
_SHOWING = frozenset({"output", "workspace", "cli"})
#: Libraries on which the last bits of the numbers depend.
_LIBRARIES = ("numpy", "scipy", "numba", "pydantic")


@dataclass(frozen=True)
class Options:
    """What is asked of every bridge: a family instead of the file's own, and which parts."""

    standard: FamilyName | None = None
    parts: tuple[Part, ...] = PARTS

    def text(self) -> str:
        """The options as one line, the same for the same options."""
        return json.dumps({"standard": self.standard, "parts": list(self.parts)})

    @classmethod
    def of_text(cls, text: str) -> Options:
        """The options of a line that `text` gave; those of the program for any other."""
        try:
            told = json.loads(text)
            words = set(told["parts"])
            parts = tuple(part for part in PARTS if part in words)
            made = cls(told["standard"], parts)
        except (ValueError, KeyError, TypeError, RecursionError):
            return cls()
        return made if made.text() == text and told["standard"] in (None, *_FAMILIES) else cls()


def parts_of(words: Sequence[str]) -> tuple[Part, ...]:
    """Parts by their names, in the order of the work and with the schedule.

    Raises `InputError` naming each word that is no part.
    """
    wrong = [word for word in words if word not in PARTS]
    if wrong:
        allowed = ", ".join(PARTS)
        raise InputError([Fault("command line", "--parts", repr(w[:60]), allowed) for w in wrong])
    return tuple(part for part in PARTS if part in words or part == "schedule")


@dataclass(frozen=True)
class Task:
    """A bridge to work out.

    - `path`: of the bridge file within the stock, with ``/``; what the bridge is called
    - `files`: the bridge file (first), the tables and the record of readings beside it, by path
      from the folder of the bridge file, with their bytes
    - `faults`: found while the files were gathered; with any the bridge is not worked out
    """

    path: str
    files: tuple[tuple[str, bytes], ...]
    options: Options
    faults: tuple[Fault, ...] = ()

    def inputs(self) -> str:
        """SHA-256 of everything the task is given."""
        hashed = hashlib.sha256()
        faults = [[item.file, item.where, item.found, item.allowed] for item in self.faults]
        head = json.dumps([self.path, self.options.text(), faults])
        for name, data in (("", head.encode()), *self.files):
            hashed.update(json.dumps([name, hashlib.sha256(data).hexdigest()]).encode())
        return hashed.hexdigest()

    def key(self) -> str:
        """SHA-256 of everything its rows depend on: what it is given, and the program."""
        return hashlib.sha256(f"{self.inputs()}\n{program()}".encode()).hexdigest()


@dataclass(frozen=True)
class Answer:
    """What became of a task: `rows` by table, `digest` of them, `program` that made them.

    `broken`: what the program itself failed with, "" where it did not; such rows are not kept.
    """

    rows: Rows
    digest: str
    program: str
    broken: str = ""


@cache
def program() -> str:
    """SHA-256 of what works a bridge out: the version, its sources and data, its libraries."""
    hashed = hashlib.sha256(f"{__version__} python {sys.version_info[:2]}".encode())
    hashed.update(platform.machine().encode())
    for name in _LIBRARIES:
        hashed.update(f"{name} {version(name)}".encode())
    root = Path(bedstone.__file__).parent
    for file in sorted(root.rglob("*")):
        place = file.relative_to(root).parts
        if place[0] in _SHOWING or file.suffix not in (".py", ".toml", ".json", ".csv"):
            continue
        hashed.update(json.dumps(place).encode() + hashlib.sha256(file.read_bytes()).digest())
    return hashed.hexdigest()


def named_tables(data: bytes) -> tuple[str, ...]:
    """Tables that the text of a bridge file names in its superstructure; () for no TOML."""
    if b"\\" not in data and b".csv" not in data.lower():
        return ()  # without an escape the name would stand there: reading thousands takes long
    try:
        superstructure = tomllib.loads(data.decode("utf-8-sig")).get("superstructure")
    except (ValueError, RecursionError):
        return ()
    if not isinstance(superstructure, dict):
        return ()
    values = [value for value in superstructure.values() if isinstance(value, str)]
    return tuple(dict.fromkeys(value for value in values if value.lower().endswith(".csv")))


def work_out(task: Task) -> Answer:
    """Work a bridge out; faults of its files and free motions become rows, never an error.

    One BLAS thread. The files are put into a folder of their own for the time of the work, since
    readers read files; nothing of it is in the rows.
    """
    from bedstone.stock.results import results

    if task.faults:
        return answered(task, "faulty", task.faults)
    with tempfile.TemporaryDirectory(prefix="bedstone-") as place:
        folder = Path(place)
        try:
            for name, data in task.files:
                target = folder.joinpath(*PurePosixPath(name).parts)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
            rows = results(folder / task.files[0][0], task.path, task.options)
        except Exception as error:  # noqa: BLE001 - one bridge must not end the others
            text = f"{type(error).__name__}: {error}".replace(place, "")
            return _answer({}, broken=text[:300])
    return _answer(rows)


def answered(task: Task, state: str, faults: Sequence[Fault]) -> Answer:
    """The answer of a bridge that is not worked out, with its faults as remarks."""
    head: dict[str, Cell] = {"bridge": task.path, "state": state}
    return _answer(
        {
            "bridges": gathered("bridges", [head]),
            "remarks": gathered("remarks", remarks(task.path, "file", faults)),
        }
    )


def remarks(
    path: str, part: str, faults: Sequence[Fault], before: int = 0
) -> list[Mapping[str, Cell]]:
    """Rows of remarks, one for each fault of a file, numbered after those `before`."""
    return [
        {
            "bridge": path,
            "number": number,
            "part": part,
            "what": "fault",
            "file": fault.file,
            "field": fault.where,
            "found": fault.found,
            "allowed": fault.allowed,
            "text": str(fault),
        }
        for number, fault in enumerate(faults, start=before + 1)
    ]


def _answer(rows: Rows, broken: str = "") -> Answer:
    return Answer(rows, digest(rows), program(), broken)
