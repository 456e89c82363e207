"""The one way by which the workspace writes: into bridge files, tables and records of readings.

At one bridge file on this machine nothing is refused and nothing recorded. In a folder every change
is asked of the team file as it is at that moment, and told to the journal before it is made.
"""

from __future__ import annotations

import contextlib
import hashlib
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import write_atomically
from bedstone.workspace.journal import Journal, difference, file_sha256
from bedstone.workspace.people import People, RoleError, Visitor

_saving = threading.RLock()
#: What may be written, by the ending of its name: texts, and records of readings.
_TEXTS: Final = (".toml", ".csv")
_RECORD: Final = ".readings.duckdb"

#: Tells what readings come into a record, before they do.
Adding = Callable[[Sequence[Mapping[str, Any]]], None]


class Writer:
    """Writes for the person at this machine.

    `kept_by`: by whom edits that are not saved are kept apart.
    """

    kept_by: str = ""

    @property
    def works(self) -> int:
        """How many long works they may have under way; 0: any number."""
        return 0

    @property
    def why_not(self) -> str:
        """Why this person cannot change files, in words; "" where they can."""
        return ""

    @contextlib.contextmanager
    def held(self) -> Iterator[None]:
        """Nothing is written by others of this program meanwhile: look first, then write."""
        with _saving:
            yield

    def changed_by(self, path: Path, text: str) -> str:
        """Who made a file say this text and when, in words; "" where nobody knows.

        Raises `RefusedError` for who is not let in any more.
        """
        return ""

    def write(self, path: Path, text: str) -> None:
        """Write a text to a file in one step.

        Raises `InputError` where it cannot be written, `RoleError` where this person may not,
        `JournalError` where it cannot be recorded.
        """
        with self.held():
            write_atomically(path, text)

    @contextlib.contextmanager
    def adding(self, record: Path) -> Iterator[Adding]:
        """While readings come into a record: what is yielded is told of them before they do.

        Raises as `write`.
        """
        with self.held():
            yield lambda _: None


#: The writer of one bridge file at this machine.
ALONE: Final = Writer()


class TeamWriter(Writer):
    """Writes for one visitor of a folder.

    `again`: who the visitor is at this moment; raises `RefusedError` once they are out.
    """

    def __init__(
        self, root: Path, people: People, journal: Journal, again: Callable[[], Visitor]
    ) -> None:
        self.root = root
        self.people = people
        self.journal = journal
        self._again = again
        self.kept_by = "" if people.alone else again().person.name

    @property
    def works(self) -> int:
        """How many long works they may have under way; 0: any number."""
        if self.people.alone:
            return 0
        try:
            return self.people.team.limits.long_works
        except BedstoneError:
            return 1

    @property
    def why_not(self) -> str:
        """Why this person cannot change files, in words; "" where they can."""
        try:
            self.editor()
        except BedstoneError as error:
            return str(error)
        return ""

    def editor(self) -> Visitor:
        """The visitor, who is an editor at this moment; raises `RoleError` or `RefusedError`."""
        visitor = self._again()
        if not visitor.person.writes:
            raise RoleError(f"{visitor.person.name} is a reader here: an editor can change files")
        return visitor

    @contextlib.contextmanager
    def held(self) -> Iterator[None]:
        """Hold the journal: no other change of the folder is made meanwhile.

        Raises what `editor` raises before anything is made or waited for.
        """
        self.editor()
        with self.journal.held():
            yield

    def changed_by(self, path: Path, text: str) -> str:
        """Who made a file say this text and when, by the journal; raises as `Writer`."""
        if self.people.alone:
            return ""
        self._again()
        try:
            told = self.journal.read(self._file(path, _TEXTS)).changes
        except BedstoneError:
            return ""
        after = _sha256(text.encode("utf-8"))
        made = [line for line in told if line.what == "written"]
        if not made or made[-1].after != after:
            return ""
        return f"{made[-1].who}, {made[-1].time[:16].replace('T', ' ')} UTC"

    def write(self, path: Path, text: str) -> None:
        """Write a text, told to the journal first. Raises as `Writer.write`."""
        with self.held():
            visitor, file = self.editor(), self._file(path, _TEXTS)
            after, before = text.encode("utf-8"), _bytes(path)
            if before == after:
                return
            kept = None if before is None else _sha256(before)
            number = self.journal.add(
                visitor, "written", file, before=kept, after=_sha256(after),
                diff=difference(before or b"", after, file),
            )  # fmt: skip
            try:
                write_atomically(path, text)
            except BedstoneError:
                self.journal.add(visitor, "not made", file, before=kept, of=number)
                raise

    @contextlib.contextmanager
    def adding(self, record: Path) -> Iterator[Adding]:
        """Readings into a record: told before they are there, and how the record stands after."""
        with self.held():
            visitor, file = self.editor(), self._file(record, (_RECORD,))
            before = file_sha256(record)
            numbers: list[int] = []

            def told(rows: Sequence[Mapping[str, Any]]) -> None:
                number = self.journal.add(
                    visitor, "readings", file, before=before, rows=tuple(rows)
                )
                numbers.append(number)

            try:
                yield told
            except BaseException:
                for number in numbers:
                    self.journal.add(visitor, "not made", file, before=before, of=number)
                raise
            for number in numbers:
                after = file_sha256(record)
                self.journal.add(
                    visitor, "readings kept", file, before=before, after=after, of=number
                )  # fmt: skip

    def _file(self, path: Path, endings: tuple[str, ...]) -> str:
        """The path of a file within the folder; raises `InputError` for one that is not there."""
        try:
            root, real = self.root.resolve(), path.resolve()
            inside = real.parent.is_relative_to(root)
            parts = real.relative_to(root).parts if inside else ()
        except (OSError, ValueError, RuntimeError):  # a name no file can have, links in a ring
            parts = ()
        named = path.name.lower().endswith(endings) and bool(parts)
        hidden = any(part.startswith(".") for part in parts)
        team = self.people.path is not None and bool(parts) and real == self.people.path.resolve()
        if not named or hidden or team or not real.name.lower().endswith(endings):
            allowed = f"a file of the folder or below, its name ends in {' or '.join(endings)}"
            raise InputError([Fault("folder", "file", repr(path.name[:60]), allowed)])
        return "/".join(parts)


def _bytes(path: Path) -> bytes | None:
    """The bytes of a file; None where there is none."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        found, allowed = error.strerror or str(error), "a file that can be read"
        raise InputError([Fault(path.name, "file", found, allowed)]) from error


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
