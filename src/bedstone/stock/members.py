"""The members of a stock: every bridge file below a folder, or those that a list names.

What lies outside the folder is refused, links that lead there too; each refusal is a member with
its faults, so that it stands in the results and the others go on.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath

from bedstone.bridge.reader import LARGEST_FILE, shorten
from bedstone.bridge.tables import LARGEST_TABLE
from bedstone.errors import Fault, InputError
from bedstone.files import read_text
from bedstone.site.record import record_file
from bedstone.stock.task import Options, Task, named_tables

_LARGEST_LIST = 10_000_000  # bytes
_LARGEST_RECORD = 1_000_000_000  # bytes; ten years of eight seats by the hour are some ten million
_MOST = 100_000  # bridges of one stock
#: Parts that ask for the record of readings.
_READ = frozenset({"inspect", "monitor"})
#: Tables at the top of a bridge file; a TOML file with none of them is something else.
_BRIDGE = frozenset({"bridge", "superstructure", "support"})
#: A head of such a table on a line of its own: what nearly every bridge file has.
_HEAD = re.compile(rb"^[ \t]*\[{1,2}(bridge|superstructure|support)\]", re.MULTILINE)


@dataclass(frozen=True)
class Stock:
    """The bridge files of a stock below `root`, by path with ``/``; and what is refused.

    `passed_over`: TOML files that are no bridge files, told so that none is missed in silence.
    """

    root: Path
    members: tuple[str, ...]
    refused: tuple[tuple[str, Fault], ...] = ()
    passed_over: tuple[str, ...] = ()

    def tasks(self, options: Options, *, largest_first: bool = False) -> Iterator[Task]:
        """A task for every member, read when it is asked for; refused ones carry their fault.

        `largest_first`: by the length of the bridge file, which grows with the number of seats as
        the work does, so that no worker is left with a large bridge when the others are done.
        """
        paths = sorted(self.members, key=self._length) if largest_first else self.members
        for path in paths:
            yield task_of(self.root, path, options)
        for path, fault in self.refused:
            yield Task(path, (), options, (fault,))

    def _length(self, path: str) -> int:
        """Minus the bytes of a bridge file; 0 where it cannot be read, which its task will tell."""
        try:
            return -(self.root / path).stat().st_size
        except OSError:
            return 0


def find_stock(place: Path, store: Path | None = None) -> Stock:
    """The stock of a folder, or of a list: a text file with one path a line below its own folder.

    Hidden folders and the `store` are passed over. Raises `InputError` when there is no such place
    or no bridge file in it.
    """
    if place.is_dir():
        root, paths, refused = place, *_below(place, store)
        listed = False
    elif place.is_file() and place.suffix.lower() in (".txt", ".csv", ".lst"):
        root, paths, refused = place.parent, *_listed(place)
        listed = True
    else:
        found = "a single file" if place.exists() else "no such folder"
        allowed = "a folder with bridge files, or a list (.txt) of their paths"
        raise InputError([Fault(str(place), "folder", found, allowed)])
    members = [path for path in paths if listed or _is_bridge(root / path)]
    passed_over = tuple(sorted(set(paths) - set(members)))
    if not members and not refused:
        number = f"{len(passed_over)} TOML file{'s' if len(passed_over) > 1 else ''}"
        found = f"{number}, none of a bridge" if passed_over else "no bridge file in it"
        raise InputError([Fault(str(place), "folder", found, "at least one bridge file (*.toml)")])
    if len(members) > _MOST:
        raise InputError(
            [Fault(str(place), "folder", f"{len(members)} bridge files", f"at most {_MOST}")]
        )
    return Stock(root, tuple(sorted(members)), tuple(sorted(refused)), passed_over)


def task_of(root: Path, path: str, options: Options) -> Task:
    """The task of one bridge file: its bytes, those of its tables and of its record of readings.

    A file that cannot be read, is too large or lies outside `root` is a fault of the task.
    """
    file = root / path
    faults: list[Fault] = []
    data = _bytes(root, file, LARGEST_FILE, faults)
    files = [(file.name, data)]
    for name in named_tables(data):
        place = PurePosixPath(name.replace("\\", "/"))
        # a name that leads out of the folder is left to the reader, which says so at its field
        if place.is_absolute() or ".." in place.parts or not (file.parent / place).exists():
            continue
        files.append((str(place), _bytes(root, file.parent / place, LARGEST_TABLE, faults)))
    files += [
        (beside.name, _bytes(root, beside, _LARGEST_RECORD, faults))
        for beside in _record(file, options)
    ]
    return Task(path, tuple(files), options, tuple(faults))


def _record(file: Path, options: Options) -> list[Path]:
    """The record of readings beside a bridge file, with what is not yet written into it."""
    if not _READ & set(options.parts):
        return []
    record = record_file(file)
    if not os.path.lexists(record):
        return []
    journal = record.with_name(f"{record.name}.wal")
    return [record, journal] if os.path.lexists(journal) else [record]


def _bytes(root: Path, file: Path, limit: int, faults: list[Fault]) -> bytes:
    """The bytes of a regular file inside the root; a fault and nothing where there are none."""
    if not _inside(root, file):
        faults.append(Fault(file.name, "file", "a link that leads elsewhere", _WITHIN))
        return b""
    try:
        if not file.is_file():
            there = "no such file" if not os.path.lexists(file) else "no regular file"
            faults.append(Fault(file.name, "file", there, "a text file"))
            return b""
        with file.open("rb") as stream:
            data = stream.read(limit + 1)
    except OSError as error:
        reason = error.strerror or str(error)
        faults.append(Fault(file.name, "file", reason, "a file that can be read"))
        return b""
    if len(data) > limit:
        found = f"more than {limit / 1e6:g} MB"
        faults.append(Fault(file.name, "file", found, f"at most {limit / 1e6:g} MB"))
        return b""
    return data


_WITHIN = "a file within the folder of the stock"


def _inside(root: Path, file: Path) -> bool:
    try:
        return file.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError, ValueError):  # links in a ring
        return False


def _below(root: Path, store: Path | None) -> tuple[list[str], list[tuple[str, Fault]]]:
    """All TOML files below a folder; linked folders are not entered but told."""
    own = None if store is None else store.resolve()
    paths: list[str] = []
    refused: list[tuple[str, Fault]] = []

    def unread(error: OSError) -> None:
        path = _told(Path(error.filename).relative_to(root).as_posix())
        fault = Fault(path, "folder", error.strerror or str(error), "a folder that can be read")
        refused.append((path, fault))

    for folder, folders, files in os.walk(root, onerror=unread):
        here = Path(folder)
        kept = []
        for name in sorted(folders):
            place = here / name
            if name.startswith(".") or (own is not None and place.resolve() == own):
                continue
            if place.is_symlink():
                path = _told(place.relative_to(root).as_posix())
                allowed = "the folder itself, or a list of paths"
                refused.append((path, Fault(path, "folder", "a link to a folder", allowed)))
                continue
            kept.append(name)
        folders[:] = kept
        for name in sorted(files):
            if name.startswith(".") or not name.lower().endswith(".toml"):
                continue
            path = (here / name).relative_to(root).as_posix()
            fault = _refusal(root, here / name, path)
            if fault is None:
                paths.append(path)
            else:
                refused.append((_told(path), fault))
    return paths, refused


def _listed(file: Path) -> tuple[list[str], list[tuple[str, Fault]]]:
    """The paths of a list; each that cannot be is refused."""
    root = file.parent
    paths: list[str] = []
    refused: list[tuple[str, Fault]] = []
    for number, line in enumerate(read_text(file, _LARGEST_LIST).splitlines(), start=1):
        told = line.strip()
        if not told or told.startswith("#"):
            continue
        shown = _told(shorten(told, 200))
        place = _within(root, Path(os.path.normpath(_slashed(root, told))))
        where = f"line {number}"
        if place.is_absolute() or ".." in place.parts or "\0" in told:
            refused.append((shown, Fault(file.name, where, repr(shorten(told)), _WITHIN)))
            continue
        fault = _refusal(root, root / place, place.as_posix())
        if fault is not None:
            refused.append((shown, fault))
        elif place.as_posix() in paths:
            refused.append((f"{shown} ({where})", Fault(file.name, where, shown, "each file once")))
        else:
            paths.append(place.as_posix())
    return paths, refused


def _within(root: Path, place: Path) -> Path:
    """An absolute path that lies below the root, from there; any other as it is."""
    if place.is_absolute():
        for own in (Path.cwd() / root, root.resolve()):
            if place.is_relative_to(own):
                return place.relative_to(own)
    return place


def _slashed(root: Path, told: str) -> str:
    r"""A path of a list that was written where folders are parted by ``\``, with ``/``.

    One with a drive or a server becomes an absolute one.
    """
    if "\0" in told or os.path.lexists(root / told):
        return told
    place = PureWindowsPath(told)
    return f"/{place.as_posix()}" if place.drive else told.replace("\\", "/")


def _refusal(root: Path, file: Path, path: str) -> Fault | None:
    """Why a file cannot be a member, if it cannot."""
    try:
        path.encode("utf-8")
    except UnicodeEncodeError:
        return Fault(_told(path), "file", "a name that is no text", "a name in UTF-8")
    if not _inside(root, file):
        return Fault(path, "file", "a link that leads elsewhere", _WITHIN)
    return None


def _told(path: str) -> str:
    """A path as text: what is no text in it is written out."""
    return path.encode("utf-8", "backslashreplace").decode()


def _is_bridge(file: Path) -> bool:
    """Whether a TOML file is meant as a bridge file; one that cannot be read is, to be told."""
    if not file.is_file():  # a pipe, say: it would be waited for
        return True
    try:
        with file.open("rb") as stream:
            data = stream.read(LARGEST_FILE)
        # the head is enough, and quicker to find than all of the file is read
        return bool(_HEAD.search(data)) or bool(
            _BRIDGE & set(tomllib.loads(data.decode("utf-8-sig")))
        )
    except (OSError, ValueError, RecursionError):
        return True
