"""Edits that are not saved yet, kept beside the work so that a killed server loses none of them.

One small file for each open desk in a folder of the user's cache. It goes when the edits are saved
or undone; what is left of a desk that no longer runs is offered when its bridge file is opened.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import secrets
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from bedstone.errors import BedstoneError
from bedstone.files import read_text, write_atomically

#: Tells this run of the program from every other, also from one with the same process number.
_RUN: Final = secrets.token_hex(8)
_LARGEST: Final = 4_000_000  # bytes
_OLDEST: Final = 30 * 86400.0  # s; older leftovers are thrown away
_TEXTS: Final = ("path", "read", "text", "run", "desk", "who")
_living: set[str] = set()


@dataclass(frozen=True)
class Kept:
    """Edits of one desk: the bridge file they belong to, as it was read, and the text now.

    `who`: the person of a team that made them, "" without one; offered to nobody else.
    """

    path: str
    read: str
    text: str
    time: float
    run: str
    process: int
    desk: str
    who: str = ""


def folder() -> Path:
    """Where edits are kept: ``$XDG_CACHE_HOME/bedstone`` or ``~/.cache/bedstone``."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    root = Path(base) if base.startswith("/") else Path.home() / ".cache"
    return root / "bedstone" / "desks"


class Autosave:
    """The kept edits of one desk; `path` is its bridge file, `who` the person of a team."""

    def __init__(self, path: Path, who: str = "") -> None:
        self.path = Path(os.path.realpath(path))
        self.who = who
        self.desk = secrets.token_hex(6)
        self._written = False
        self.open()

    @property
    def file(self) -> Path:
        """The file with the edits of this desk."""
        return folder() / f"{_stem(self.path, self.who)}-{self.desk}.json"

    def keep(self, read: str, text: str) -> None:
        """Keep a text; raises `InputError` when the folder cannot be written."""
        place = self.file
        with contextlib.suppress(OSError):  # what cannot be made is told by the writing
            place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        kept = Kept(str(self.path), read, text, time.time(), _RUN, os.getpid(), self.desk, self.who)
        write_atomically(place, json.dumps(asdict(kept)))
        self._written = True

    def drop(self) -> None:
        """Forget the edits: they are saved, or gone back on."""
        if self._written:
            with contextlib.suppress(OSError):
                self.file.unlink()
            self._written = False

    def open(self) -> None:
        """The desk is at work: what it keeps is its own."""
        _living.add(self.desk)

    def close(self) -> None:
        """The desk is no longer at work; what it kept may be offered to the next one."""
        _living.discard(self.desk)


def left(path: Path, who: str = "") -> tuple[Kept, ...]:
    """Edits of a bridge file by one person whose desk no longer runs, the newest first."""
    own = Path(os.path.realpath(path))
    found = []
    for file in sorted(folder().glob(f"{_stem(own, who)}-*.json")):
        kept = _read(file)
        if kept is None or kept.path != str(own) or kept.who != who or _alive(kept):
            continue
        if time.time() - kept.time > _OLDEST or kept.text == kept.read:
            forget(kept)
            continue
        found.append(kept)
    return tuple(sorted(found, key=lambda kept: kept.time, reverse=True))


def forget(kept: Kept) -> None:
    """Throw kept edits away."""
    with contextlib.suppress(OSError):
        (folder() / f"{_stem(Path(kept.path), kept.who)}-{kept.desk}.json").unlink()


def _stem(path: Path, who: str) -> str:
    told = f"{path}\0{who}" if who else str(path)
    return hashlib.sha256(told.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def _read(file: Path) -> Kept | None:
    """What a file keeps; None for one that is damaged or not ours."""
    try:
        data: dict[str, Any] = json.loads(read_text(file, _LARGEST))
        kept = Kept(**data)
    except (BedstoneError, ValueError, TypeError):
        return None
    data = asdict(kept)  # with what a file of before does not tell
    texts = all(isinstance(data[name], str) for name in _TEXTS)
    numbers = isinstance(data["time"], float | int) and isinstance(data["process"], int)
    return kept if texts and numbers and kept.desk.isalnum() else None


def _alive(kept: Kept) -> bool:
    if kept.run == _RUN:
        return kept.desk in _living
    if kept.process == os.getpid() or kept.process <= 0:
        return False  # the number was given out anew
    try:
        os.kill(kept.process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
