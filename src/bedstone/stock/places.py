"""Where a store lies: a folder, or an address that fsspec knows. Files are written whole.

A name is a path below the store with ``/``.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Protocol

from bedstone.errors import Fault, InputError

_ROOM = "a store that can be written, with room on its disk; what stands in it is whole"
#: What a store is known by: nothing is ever removed from a folder without it.
_MARK, _FORMAT = "store.json", b'{"format": "bedstone stock store 1"}\n'
_LOCK = "lock"
_BUSY = "one run on a store at a time: wait, or another store with --out"


class Place(Protocol):
    """Files of a store."""

    #: What the store is called in messages.
    name: str

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None where there is none."""
        ...

    def write(self, name: str, data: bytes) -> None:
        """Write a file whole or not at all; raises `InputError`."""
        ...

    def folders(self, name: str) -> list[str]:
        """Names of the folders in a folder; empty where there is none."""
        ...

    def remove(self, name: str) -> None:
        """Remove a folder and all in it."""
        ...

    def address(self, name: str) -> str:
        """What a file is called for DuckDB."""
        ...

    def attach(self, connection: Any) -> None:
        """Let a DuckDB connection read the files of this place."""
        ...

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the store against a second run.

        Raises `InputError` where one holds it, and for a folder with other things in it.
        """
        ...


class Folder:
    """A store in a folder of this machine, made where it is missing."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.name = str(root)

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None where there is none."""
        try:
            return (self.root / name).read_bytes()
        except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
            return None

    def write(self, name: str, data: bytes) -> None:
        """Write a file whole; a store that was removed in the meantime is not made anew."""
        target = self.root / name
        if not self.root.is_dir():
            found = "it was removed while the work went on"
            raise InputError([Fault(self.name, "store", found, "leave it in place; run again")])
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise self._full(error.strerror or str(error)) from error
        try:
            _write_whole(target, data)
        except OSError as error:
            if not self.root.is_dir():
                self.write(name, data)  # says that it was removed
            raise self._full(error.strerror or str(error)) from error

    def folders(self, name: str) -> list[str]:
        """Names of the folders in a folder, in order."""
        try:
            return sorted(item.name for item in os.scandir(self.root / name) if item.is_dir())
        except (FileNotFoundError, NotADirectoryError):
            return []

    def remove(self, name: str) -> None:
        """Remove a folder and all in it."""
        shutil.rmtree(self.root / name, ignore_errors=True)

    def address(self, name: str) -> str:
        """The path of a file."""
        return str(self.root / name)

    def attach(self, connection: Any) -> None:
        """Nothing to do: DuckDB reads paths."""

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the lock of the store; the system lets it go when the process ends, however."""
        try:
            self.root.mkdir(parents=True, exist_ok=True)
            _known(self.name, self.read(_MARK), [item.name for item in os.scandir(self.root)])
            stream = (self.root / _LOCK).open("a+b")
        except OSError as error:
            allowed = "a folder that can be made and written"
            found = error.strerror or str(error)
            raise InputError([Fault(self.name, "store", found, allowed)]) from error
        with stream:
            if not _lock(stream.fileno()):
                raise InputError([Fault(self.name, "store", "another run works on it", _BUSY)])
            self.write(_MARK, _FORMAT)
            yield

    def _full(self, reason: str) -> InputError:
        return InputError([Fault(self.name, "store", reason[:1].lower() + reason[1:], _ROOM)])


class Remote:
    """A store at an address of fsspec, such as ``s3://bucket/stock``.

    Writing an object is whole or not at all on object stores. There is no lock: two runs at once
    are safe because parts are known by their checksums, and the same task gives the same bytes.
    """

    def __init__(self, address: str) -> None:
        try:
            import fsspec  # type: ignore[import-not-found, import-untyped, unused-ignore]
        except ImportError:
            allowed = "a folder, or fsspec installed (extra cluster)"
            raise InputError(
                [Fault("command line", "--out", repr(address[:60]), allowed)]
            ) from None
        try:
            self.system, self.root = fsspec.core.url_to_fs(address)
        except (ValueError, ImportError, OSError) as error:
            raise InputError([Fault("command line", "--out", address[:60], str(error))]) from None
        self.protocol = address.partition("://")[0]
        self.name = address

    def read(self, name: str) -> bytes | None:
        """The bytes of an object; None where there is none."""
        try:
            data: bytes = self.system.cat_file(f"{self.root}/{name}")
        except FileNotFoundError:
            return None
        return data

    def write(self, name: str, data: bytes) -> None:
        """Write an object."""
        try:
            parent = f"{self.root}/{name}".rpartition("/")[0]
            with suppress(OSError):
                self.system.makedirs(parent, exist_ok=True)
            self.system.pipe_file(f"{self.root}/{name}", data)
        except Exception as error:  # every system of fsspec has errors of its own
            raise InputError([Fault(self.name, "store", str(error)[:200], _ROOM)]) from error

    def folders(self, name: str) -> list[str]:
        """Names of the folders in a folder, in order."""
        kept = [item["name"] for item in self._listed(name) if item["type"] == "directory"]
        return sorted(path.rstrip("/").rpartition("/")[2] for path in kept)

    def remove(self, name: str) -> None:
        """Remove a folder and all in it."""
        with suppress(FileNotFoundError):
            self.system.rm(f"{self.root}/{name}", recursive=True)

    def address(self, name: str) -> str:
        """The address of an object."""
        return f"{self.protocol}://{self.root.lstrip('/')}/{name}"

    def attach(self, connection: Any) -> None:
        """Let DuckDB read through fsspec."""
        connection.register_filesystem(self.system)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Nothing is held; only what is a store, or empty, is taken for one."""
        _known(self.name, self.read(_MARK), [item["name"] for item in self._listed("")])
        self.write(_MARK, _FORMAT)
        yield

    def _listed(self, name: str) -> list[dict[str, Any]]:
        self.system.invalidate_cache()
        try:
            found: list[dict[str, Any]] = self.system.ls(f"{self.root}/{name}", detail=True)
        except FileNotFoundError:
            return []
        return found


def place_of(address: str) -> Place:
    """The place of a store: an address with ``://``, else a folder."""
    return Remote(address) if "://" in address else Folder(Path(address))


def usual_place(stock: Path) -> Folder:
    """The store of a stock when none is told: a folder of its own in the user's cache."""
    base = os.environ.get("XDG_CACHE_HOME")
    told = str(stock.resolve()).encode(errors="surrogateescape")
    cache = Path(base) if base else Path.home() / ".cache"
    return Folder(cache / "bedstone" / "stock" / hashlib.sha256(told).hexdigest()[:24])


def _known(place: str, mark: bytes | None, there: list[str]) -> None:
    """Refuse a place that is neither empty nor a store of this layout."""
    allowed = "a new or empty folder, or a store that bedstone stock made"
    if mark is None and set(there) - {_LOCK, f".{_MARK}"}:
        raise InputError([Fault(place, "store", "a folder with other things in it", allowed)])
    if mark is not None and mark != _FORMAT:
        raise InputError([Fault(place, "store", "a store of another layout", allowed)])


def _write_whole(target: Path, data: bytes) -> None:
    """Write a file so that a reader sees the old one or the new one.

    It is not waited for until it has reached the disk: what a power cut tears is found by its
    checksum and worked out again, and waiting takes longer than the work on a busy disk.
    """
    fresh = target.with_name(f".{target.name}")  # one run at a time: the name is free
    try:
        fresh.write_bytes(data)
        fresh.replace(target)
    except OSError:
        with suppress(OSError):
            fresh.unlink()
        raise


def _lock(handle: int) -> bool:
    """Lock an open file for this process; False where another has it."""
    if os.name == "nt":
        return _lock_on_windows(handle)
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _lock_on_windows(handle: int) -> bool:
    from importlib import import_module

    module = import_module("msvcrt")
    try:
        module.locking(handle, module.LK_NBLCK, 1)
    except OSError:
        return False
    return True
