"""The journal of a folder: every change of its files, who made it and what it was.

One line of JSON for each change in ``FOLDER/.bedstone/changes.jsonl``, on the disk before the
change is made. Each line carries the SHA-256 of the one before, and ``changes.head`` beside it
that of the last one: a line that was changed or taken out is found. Whoever can write the folder
can still write both anew; note the last SHA-256 elsewhere where that matters.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import difflib
import hashlib
import json
import os
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, Final, Literal

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text, write_atomically
from bedstone.workspace.people import Visitor

#: Where things of the program lie in a folder of bridges; hidden folders are no part of a stock.
OWN_FOLDER: Final = ".bedstone"
#: What a line tells: a file written; readings put into a record, and how the record stood after;
#: a change told of in an earlier line that could not be made.
What = Literal["written", "readings", "readings kept", "not made"]

_WAIT: Final = 10.0  # s for another process to end its change
_AGAIN: Final = 0.05  # s before a journal that seems broken is read once more
_LONGEST_DIFF: Final = 1_000_000  # bytes of a text of which the difference is told
_MOST_COMPARED: Final = 4_000_000  # pairs of lines: comparing more takes seconds
_LONGEST_HEAD: Final = 10_000  # bytes


class JournalError(BedstoneError):
    """The journal cannot be written, or was altered: the change is refused."""


@dataclass(frozen=True)
class Change:
    """One line of the journal.

    - `number` from 1; `time` in UTC
    - `who`, with which `role`, which `way` they came, from which `peer`, and `forwarded`: the
      address that the proxy told
    - `file`: path within the folder; `before`, `after`: SHA-256 of it, None where there is none or
      it is not known yet
    - `diff`: unified difference of a text; `rows`: readings added; `of`: number of an earlier line
    - `between`: what happened since the line before of the same file that no line tells; found when
      the journal is read
    """

    number: int
    time: str
    who: str
    role: str
    way: str
    peer: str
    forwarded: str
    what: What
    file: str
    before: str | None = None
    after: str | None = None
    diff: str = ""
    rows: tuple[Mapping[str, Any], ...] = ()
    of: int | None = None
    note: str = ""
    between: str = ""


@dataclass(frozen=True)
class Told:
    """The journal as it was read: its changes, what is wrong with it, SHA-256 of its last line."""

    changes: tuple[Change, ...]
    broken: tuple[str, ...]
    last: str


@dataclass(frozen=True)
class _Tail:
    """The last line: its number, where its bytes stand, their SHA-256."""

    number: int = 0
    start: int = 0
    end: int = 0
    sha256: str = ""


@dataclass
class _Open:
    """The journal while it is held; `torn`: bytes of half a line that a crash left."""

    stream: BinaryIO
    tail: _Tail
    torn: int
    depth: int = field(default=1)


class Journal:
    """The journal of the folder `root`. Safe in all threads and processes of one machine.

    `clock`: the time now, in UTC.
    """

    def __init__(
        self, root: Path, clock: Callable[[], dt.datetime] = lambda: dt.datetime.now(dt.UTC)
    ) -> None:
        self.root = root
        self.path = root / OWN_FOLDER / "changes.jsonl"
        self.head = self.path.with_name("changes.head")
        self._clock = clock
        self._lock = threading.RLock()
        self._open: _Open | None = None

    # ------------------------------------------------------------------ writing
    @contextlib.contextmanager
    def held(self) -> Iterator[None]:
        """Hold the journal: nothing of the folder changes meanwhile through this program.

        May be held again within. Raises `JournalError` where it cannot be written, was altered, or
        another process does not let go of it.
        """
        with self._lock:
            if self._open is not None:
                self._open.depth += 1
                try:
                    yield
                finally:
                    self._open.depth -= 1
                return
            try:
                self.path.parent.mkdir(mode=0o700, exist_ok=True)
                handle = os.open(self.path, os.O_RDWR | os.O_CREAT | _NO_LINK, 0o600)
            except OSError as error:
                raise self._refusal(error.strerror or str(error)) from error
            with os.fdopen(handle, "r+b") as stream:
                if not _locked(stream.fileno()):
                    raise self._refusal("another program holds it")
                tail, torn = self._tail(stream)
                self._open = _Open(stream, tail, torn)
                try:
                    yield
                finally:
                    self._open = None

    def add(self, visitor: Visitor, what: What, file: str, **told: Any) -> int:
        """Add a line, on the disk when this returns; its number.

        `told`: fields of `Change`. Raises `JournalError` where it cannot be written: nothing of the
        line stays.
        """
        with self.held():
            opened = self._open
            assert opened is not None
            tail = opened.tail
            change = Change(
                tail.number + 1,
                self._clock().isoformat(timespec="milliseconds").replace("+00:00", "Z"),
                visitor.person.name, visitor.person.role, visitor.way, visitor.peer,
                visitor.forwarded, what, file, **told,
            )  # fmt: skip
            if opened.torn:
                mended = f"half a line ({opened.torn} bytes) that a crash left was taken out"
                change = _noted(change, mended)
            data = {name: value for name, value in asdict(change).items() if name != "between"}
            line = json.dumps(data | {"previous": tail.sha256}).encode()
            start = tail.end
            new = _Tail(change.number, start, start + len(line) + 1, _sha256(line))
            try:
                opened.stream.truncate(tail.end)
                opened.stream.seek(tail.end)
                opened.stream.write(line + b"\n")
                opened.stream.flush()
                os.fsync(opened.stream.fileno())
                write_atomically(self.head, json.dumps(asdict(new)))
            except (OSError, InputError) as error:
                with contextlib.suppress(OSError):
                    opened.stream.truncate(tail.end)
                raise self._refusal(str(error)) from error
            opened.tail, opened.torn = new, 0
            return change.number

    def _tail(self, stream: BinaryIO) -> tuple[_Tail, int]:
        """The last line, by the head and the file itself; bytes of half a line after it."""
        tail = self._head()
        size = stream.seek(0, os.SEEK_END)
        stream.seek(tail.start)
        kept = stream.read(tail.end - tail.start)
        if tail.number and (kept[-1:] != b"\n" or _sha256(kept[:-1]) != tail.sha256):
            raise self._refusal(_ALTERED)
        rest = stream.read(size - tail.end) if size > tail.end else b""
        line, end, _ = rest.partition(b"\n")
        if not end:
            return tail, len(rest)
        # a crash came between a line and the head: that line counts, as the change may have been
        data = _data(line)
        follows = data.get("previous") == tail.sha256 and data.get("number") == tail.number + 1
        if not follows or size != tail.end + len(line) + 1:
            raise self._refusal(_ALTERED)
        return _Tail(tail.number + 1, tail.end, size, _sha256(line)), 0

    def _head(self) -> _Tail:
        if not self.head.exists():
            return _Tail()
        try:
            return _Tail(**_known(json.loads(read_text(self.head, _LONGEST_HEAD))))
        except (InputError, ValueError, TypeError, RecursionError) as error:
            raise self._refusal(_ALTERED) from error

    def _refusal(self, reason: str) -> JournalError:
        return JournalError(f"nothing is changed: the journal {self.path} cannot be kept: {reason}")

    # ------------------------------------------------------------------ reading
    def read(self, file: str | None = None) -> Told:
        """All changes, or those of one file, in their order; and what is wrong with the journal.

        Raises `InputError` when it is there and cannot be read.
        """
        with self._lock:
            found = self._read()
            if found.broken:  # another process may have been at its last line
                time.sleep(_AGAIN)
                found = self._read()
        if file is None:
            return found
        own = tuple(change for change in found.changes if change.file == file)
        return Told(own, found.broken, found.last)

    def _read(self) -> Told:
        changes: list[Change] = []
        broken: list[str] = []
        last, number = "", 0
        try:
            stream = self.path.open("rb")
        except FileNotFoundError:
            missing = ("the journal is gone, what ends it is there",) if self.head.exists() else ()
            return Told((), missing, "")
        except OSError as error:
            allowed = "a journal that can be read"
            raise InputError(
                [Fault(str(self.path), "file", error.strerror or "?", allowed)]
            ) from error
        with stream:
            for place, line in enumerate(stream, start=1):
                if not line.endswith(b"\n"):
                    broken.append(f"line {place}: half a line; its change was not made")
                    break
                data = _data(line[:-1])
                if data.get("previous") != last:
                    broken.append(f"line {place}: the line before it was changed or taken out")
                last, number = _sha256(line[:-1]), number + 1
                change = _change(data)
                if change is None or change.number != number:
                    broken.append(f"line {place}: no line of a journal, or out of its order")
                if change is not None:
                    number = change.number
                    changes.append(change)
        broken += self._end(number, last)
        return Told(tuple(_between(changes)), tuple(broken), last)

    def _end(self, number: int, last: str) -> list[str]:
        try:
            head = self._head()
        except JournalError:
            return ["what ends the journal (changes.head) is damaged"]
        if (head.number, head.sha256) == (number, last):
            return []
        if not self.head.exists():
            return ["what ends the journal (changes.head) is gone"]
        return [f"it ended with line {head.number}; its end was changed or taken out"]

    def since(self) -> tuple[str, ...]:
        """Files that are no longer as the last line of each left them, and what they are now."""
        known: dict[str, str | None] = {}
        for change in self.read().changes:
            if change.what in ("written", "readings kept"):
                known[change.file] = change.after
            elif change.what == "not made":
                known[change.file] = change.before
        found = []
        for file, after in sorted(known.items()):
            now = file_sha256(self.root / file)
            if now != after:
                found.append(f"{file}: {'gone' if now is None else f'now {now}'}")
        return tuple(found)


# ------------------------------------------------------------------ hashes and differences
def file_sha256(path: Path) -> str | None:
    """SHA-256 of a file; None where there is none."""
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        found, allowed = error.strerror or str(error), "a file that can be read"
        raise InputError([Fault(path.name, "file", found, allowed)]) from error


def difference(before: bytes, after: bytes, file: str) -> str:
    """Unified difference of two texts; "" for what is larger than a text or no UTF-8."""
    if max(len(before), len(after)) > _LONGEST_DIFF:
        return ""
    try:
        old, new = (_lines(data.decode("utf-8")) for data in (before, after))
    except UnicodeDecodeError:
        return ""
    heads = (f"a/{file}" if before else os.devnull, f"b/{file}" if after else os.devnull)
    if len(old) * len(new) <= _MOST_COMPARED:
        made = list(difflib.unified_diff(old, new, *heads))
    else:
        made = _in_one_piece(old, new, heads)
    return "".join(
        line if line.endswith("\n") else f"{line}\n\\ No newline at end of file\n" for line in made
    )


def _lines(text: str) -> list[str]:
    """Lines with their ends: nothing but a line feed ends a line of a difference."""
    *whole, rest = text.split("\n")
    return [f"{line}\n" for line in whole] + ([rest] if rest else [])


def _in_one_piece(old: list[str], new: list[str], heads: tuple[str, str]) -> list[str]:
    """Everything between the lines that begin and end both, taken out and put in."""
    first = 0
    while first < min(len(old), len(new)) and old[first] == new[first]:
        first += 1
    last = 0
    while last < min(len(old), len(new)) - first and old[-1 - last] == new[-1 - last]:
        last += 1
    gone, come = old[first : len(old) - last], new[first : len(new) - last]
    if not gone and not come:
        return []
    # a part without lines is told by the line before it
    places = f"-{first + bool(gone)},{len(gone)} +{first + bool(come)},{len(come)}"
    return [
        f"--- {heads[0]}\n", f"+++ {heads[1]}\n", f"@@ {places} @@\n",
        *(f"-{line}" for line in gone), *(f"+{line}" for line in come),
    ]  # fmt: skip


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


# ------------------------------------------------------------------ lines
_ALTERED: Final = (
    "it was altered (`bedstone changes` tells where). Move it and changes.head to a safe place to "
    "begin a new one"
)
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0)
_TEXTS: Final = ("time", "who", "role", "way", "peer", "forwarded", "what", "file", "diff", "note")


def _noted(change: Change, note: str) -> Change:
    return Change(**{**_shallow(change), "note": note})


def _shallow(change: Change) -> dict[str, Any]:
    return {name: getattr(change, name) for name in Change.__dataclass_fields__}


def _data(line: bytes) -> dict[str, Any]:
    """What a line says; empty for one that says nothing."""
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) else {}


def _known(data: Any) -> dict[str, Any]:
    """A head as it is written; raises `ValueError` for anything else."""
    numbers = ("number", "start", "end")
    if not isinstance(data, dict) or set(data) != {*numbers, "sha256"}:
        raise ValueError("no head")
    if not all(type(data[name]) is int and data[name] >= 0 for name in numbers):
        raise ValueError("no head")
    if data["end"] < data["start"] or not isinstance(data["sha256"], str):
        raise ValueError("no head")
    return data


def _change(data: dict[str, Any]) -> Change | None:
    """A line as a change; None where it is none."""
    told = {name: value for name, value in data.items() if name != "previous"}
    if set(told) != set(Change.__dataclass_fields__) - {"between"}:
        return None
    hashes = (told["before"], told["after"])
    sound = (
        type(told["number"]) is int
        and all(isinstance(told[name], str) for name in _TEXTS)
        and all(value is None or isinstance(value, str) for value in hashes)
        and (told["of"] is None or type(told["of"]) is int)
        and isinstance(told["rows"], list)
    )
    return Change(**{**told, "rows": tuple(told["rows"])}) if sound else None


def _between(changes: list[Change]) -> list[Change]:
    """The same with what happened to a file that no line tells."""
    known: dict[str, tuple[str | None, str | None]] = {}  # before and after of the last change
    unended: dict[str, int] = {}  # readings of which no line tells how the record stood after
    found = []
    for change in changes:
        between = ""
        if change.what in ("written", "readings") and change.file in known:
            before, after = known[change.file]
            if change.before == before != after:
                between = "the change before was not made: the program ended"
            elif change.before != after and change.file in unended:
                told = f"the readings of line {unended[change.file]} were kept"
                between = f"{told}, or others changed it: the program ended"
            elif change.before != after:
                between = "changed by others since the change before"
        if change.what == "readings":
            unended[change.file] = change.number
        else:
            unended.pop(change.file, None)
        if change.what == "not made":
            known[change.file] = (change.before, change.before)
        elif change.what != "readings":  # how a record stands after is told by the next line
            known[change.file] = (change.before, change.after)
        found.append(Change(**{**_shallow(change), "between": between}) if between else change)
    return found


# ------------------------------------------------------------------ lock
def _locked(handle: int) -> bool:
    """Lock an open file, waiting a while for another process; the system lets it go."""
    end = time.monotonic() + _WAIT
    while not _lock(handle):
        if time.monotonic() > end:
            return False
        time.sleep(0.005)
    return True


def _lock(handle: int) -> bool:
    try:
        if os.name == "nt":
            from importlib import import_module

            module = import_module("msvcrt")
            module.locking(handle, module.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
