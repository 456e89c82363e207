"""What a long comparison has computed, kept in parts so that an interrupted one goes on."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import shutil
import zipfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

import bedstone
from bedstone import __version__
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.comparison.survey import Rows
from bedstone.errors import BedstoneError
from bedstone.files import write_atomically

#: Results are kept for questions with at least this many arrangements.
WORTH = 2_000


def folder_of_results() -> Path:
    """Where unfinished work is kept: the user's cache folder (XDG Base Directory Specification)."""
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "bedstone" / "compare"


@cache
def _program() -> str:
    """Digest of all that this package is made of."""
    digest = hashlib.sha256()
    for file in sorted(Path(bedstone.__file__).parent.rglob("*")):
        if file.suffix in (".py", ".toml", ".json", ".csv"):
            digest.update(file.read_bytes())
    return digest.hexdigest()


@dataclass(frozen=True)
class Store:
    """Parts of one comparison in a folder of their own; any other question has another folder."""

    folder: Path

    @classmethod
    def of(
        cls, bridge: Bridge, tables: object, name: FamilyName, root: Path | None = None
    ) -> Store:
        """The store of a question: all that its numbers depend on makes its name.

        The bridge file, its tables, the family, and the program itself, byte by byte.
        """
        text = "\n".join([__version__, _program(), name, bridge.model_dump_json(), repr(tables)])
        key = hashlib.sha256(text.encode()).hexdigest()[:24]
        return cls((root or folder_of_results()) / key)

    def within(self, codes: npt.NDArray[Any]) -> Store:
        """The store of these very arrangements (n, ns), a folder inside this one."""
        key = hashlib.sha256(repr(codes.shape).encode() + codes.tobytes()).hexdigest()[:24]
        return Store(self.folder / key)

    def read(self, start: int) -> Rows | None:
        """The part that begins at an arrangement, None when it is not there or not whole."""
        try:
            with np.load(io.BytesIO(self._file(start).read_bytes()), allow_pickle=False) as data:
                return Rows(**{name: data[name] for name in Rows.__dataclass_fields__})
        except (OSError, KeyError, ValueError, EOFError, zipfile.BadZipFile):
            return None

    def write(self, start: int, rows: Rows) -> None:
        """Keep a part; that it cannot be kept (a full disk, say) does not stop the work."""
        buffer = io.BytesIO()
        np.savez(buffer, **{name: getattr(rows, name) for name in Rows.__dataclass_fields__})
        with contextlib.suppress(OSError, BedstoneError):
            self.folder.mkdir(parents=True, exist_ok=True)
            write_atomically(self._file(start), buffer.getvalue())

    def clear(self) -> None:
        """Forget all parts: the work is done."""
        shutil.rmtree(self.folder, ignore_errors=True)

    def _file(self, start: int) -> Path:
        return self.folder / f"{start:09d}.npz"
