"""The store of a stock: what was worked out of every bridge, as Parquet, with checksums.

    STORE/store.json                           what the store is known by
    STORE/asked.json                           the options of the latest run, from its start on
    STORE/bridges/<bridge>/<table>.parquet     one file a table that has rows
    STORE/bridges/<bridge>/manifest.json       written last: key, options, checksum of every table
    STORE/runs/<number>/ranking.json           the ranking of a run, to compare the next one with

A part whose manifest is missing, damaged or does not fit its tables is not there: the bridge is
worked out again. Nothing in the store depends on a clock.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import duckdb

from bedstone.errors import Fault, InputError
from bedstone.stock.places import Place
from bedstone.stock.tables import TABLES, Rows
from bedstone.stock.task import Answer, Task

FORMAT = "bedstone stock store 1"
_MANIFEST = "manifest.json"
_ASKED = "asked.json"
#: Rankings that are kept; only the last one is compared with.
_RUNS_KEPT = 2


@dataclass(frozen=True)
class Kept:
    """What the manifest of a part says of it.

    - `options`: those it was worked out with, as `Options.text`; "" in a manifest that has none yet
    - `tables`: name -> (SHA-256, bytes, rows)
    """

    path: str
    key: str
    inputs: str
    program: str
    digest: str
    options: str
    tables: Mapping[str, tuple[str, int, int]]


class Store:
    """Reads and writes parts of a store. One run at a time writes: see `Place.held`."""

    def __init__(self, place: Place) -> None:
        self.place = place

    def keep(self, task: Task, answer: Answer) -> Kept:
        """Write the rows of a bridge; the manifest last, so that half a part is none.

        Raises `InputError` when the store cannot be written or was removed.
        """
        folder = folder_of(task.path)
        tables: dict[str, tuple[str, int, int]] = {}
        for name, data in _parquet(answer.rows, self.place.name):
            self.place.write(f"{folder}/{name}.parquet", data)
            tables[name] = (hashlib.sha256(data).hexdigest(), len(data), len(answer.rows[name]))
        part = Kept(
            path=task.path,
            key=task.key(),
            inputs=task.inputs(),
            program=answer.program,
            digest=answer.digest,
            options=task.options.text(),
            tables=tables,
        )
        content = {"format": FORMAT, **asdict(part)}
        self.place.write(f"{folder}/{_MANIFEST}", _checked(content, indent=1))
        return part

    def kept(self, path: str) -> tuple[Kept | None, bool]:
        """What the store says it holds of a bridge, and whether it holds anything of it.

        None where the manifest is missing or damaged.
        """
        data = self.place.read(f"{folder_of(path)}/{_MANIFEST}")
        return (None, False) if data is None else (_manifest(data, path), True)

    def whole(self, kept: Kept) -> bool:
        """Whether all tables of a part are there as they were written."""
        folder = folder_of(kept.path)
        for name, (checksum, _, _) in kept.tables.items():
            data = self.place.read(f"{folder}/{name}.parquet")
            if data is None or hashlib.sha256(data).hexdigest() != checksum:
                return False
        return True

    def prune(self, paths: Sequence[str]) -> int:
        """Remove the parts of bridges that are none of these; their number."""
        wanted = {folder_of(path).partition("/")[2] for path in paths}
        old = [name for name in self.place.folders("bridges") if name not in wanted]
        for name in old:
            self.place.remove(f"bridges/{name}")
        return len(old)

    def view(self, parts: Sequence[Kept]) -> duckdb.DuckDBPyConnection:
        """A DuckDB connection with a view of every table over these parts."""
        connection = duckdb.connect()
        self.place.attach(connection)
        for name, table in TABLES.items():
            files = [
                self.place.address(f"{folder_of(part.path)}/{name}.parquet")
                for part in parts
                if name in part.tables
            ]
            if files:
                listed = ", ".join(_quoted(file) for file in files)
                source = f"SELECT * FROM read_parquet([{listed}])"
            else:
                columns = ", ".join(
                    f'NULL::{kind} AS "{column}"' for column, kind in table.columns.items()
                )
                source = f"SELECT {columns} WHERE false"
            connection.execute(f'CREATE VIEW "{name}" AS {source}')
        return connection

    # -------------------------------------------------------------- what is asked
    def ask(self, options: str) -> None:
        """Say what a run asks, as `Options.text`, before it works: it may never come to its end."""
        self.place.write(_ASKED, _checked({"options": options}))

    def asked(self) -> str:
        """What the latest run asked; "" where none said so."""
        content = _sound(self.place.read(_ASKED))
        return str(content.get("options", "")) if content is not None else ""

    # -------------------------------------------------------------- rankings
    def last_run(self, before: int | None = None) -> tuple[int, Any]:
        """Number and content of the ranking of the last run; (0, None) where there is none.

        `before`: the last one before the run of this number.
        """
        for number in sorted(self._runs(), reverse=True):
            if before is not None and number >= before:
                continue
            content = _sound(self.place.read(f"runs/{number:06d}/ranking.json"))
            if content is not None:
                return number, content
        return 0, None

    def keep_run(self, number: int, content: Mapping[str, Any]) -> None:
        """Write the ranking of a run, and forget those that nobody compares with."""
        self.place.write(f"runs/{number:06d}/ranking.json", _checked(content))
        for old in sorted(self._runs())[:-_RUNS_KEPT]:
            self.place.remove(f"runs/{old:06d}")

    def _runs(self) -> list[int]:
        return [int(name) for name in self.place.folders("runs") if name.isdecimal()]


def folder_of(path: str) -> str:
    """The folder of a bridge in the store: its path in letters every disk takes, and a digest.

    Two bridges of one name in different folders have different ones.
    """
    plain = re.sub(r"[^A-Za-z0-9]+", "-", path.removesuffix(".toml")).strip("-").lower()[-60:]
    return f"bridges/{plain or 'bridge'}-{hashlib.sha256(path.encode()).hexdigest()[:12]}"


def _manifest(data: bytes, path: str) -> Kept | None:
    content = _sound(data)
    try:
        if content is None or content["format"] != FORMAT:
            return None
        tables = {name: (str(s), int(n), int(r)) for name, (s, n, r) in content["tables"].items()}
        names = ("path", "key", "inputs", "program", "digest")
        texts = {name: str(content[name]) for name in names}
        kept = Kept(tables=tables, options=str(content.get("options", "")), **texts)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
    return kept if kept.path == path and set(tables) <= set(TABLES) else None


def _checked(content: Mapping[str, Any], indent: int | None = None) -> bytes:
    """What a file of the store says, with its own checksum."""
    told = {**content, "check": _check(content)}
    return json.dumps(told, indent=indent, ensure_ascii=False).encode()


def _sound(data: bytes | None) -> dict[str, Any] | None:
    """What such a file says; None where it is missing or damaged."""
    try:
        content: dict[str, Any] = json.loads(data or b"")
        return content if content.pop("check") == _check(content) else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _check(content: Mapping[str, Any]) -> str:
    text = json.dumps(content, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _parquet(tables: Rows, store: str) -> Iterator[tuple[str, bytes]]:
    """Every table with the bytes of its Parquet file: the same rows give the same bytes."""
    try:
        with (
            tempfile.TemporaryDirectory(prefix="bedstone-") as scratch,
            # one thread: the order of the rows is the order they were made in
            duckdb.connect(config={"threads": 1}) as connection,
        ):
            for name, rows in tables.items():
                columns = TABLES[name].columns
                picked = ", ".join(
                    f'unnest(${number}::{kind}[]) AS "{column}"'
                    for number, (column, kind) in enumerate(columns.items(), start=1)
                )
                file = Path(scratch) / f"{name}.parquet"
                cells = [list(column) for column in zip(*rows, strict=True)]
                connection.execute(
                    f"COPY (SELECT {picked}) TO {_quoted(str(file))} (FORMAT parquet)", cells
                )
                yield name, file.read_bytes()
    except duckdb.InterruptException:
        raise KeyboardInterrupt from None
    except (duckdb.Error, OSError) as error:
        reason = (str(error).splitlines() or [type(error).__name__])[0][:200]
        full = os.strerror(errno.ENOSPC)
        if full in str(error):  # DuckDB tells it at the end of much else
            reason = full[:1].lower() + full[1:]
        allowed = "room on the disk of the temporary folder; what stands in the store is whole"
        raise InputError([Fault(store, "temporary folder", reason, allowed)]) from error
