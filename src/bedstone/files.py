"""Files: written whole or not at all, and read within a stated size. A leaf any room may use."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from bedstone.errors import Fault, InputError


def write_atomically(path: str | os.PathLike[str], content: str | bytes) -> Path:
    """Write `content` to `path` so that a reader sees the old file or the new one, never a part.

    Text is written as UTF-8 with the line ends it has. The content goes to a temporary file in the
    same folder, reaches the disk and then takes the name. An existing file keeps its permissions.

    Raises
    ------
    InputError
        When the folder does not exist or cannot be written; no file is left behind.
    """
    # A link is written through: its target changes, not the link.
    target = Path(os.path.realpath(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:80]}.", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode_of(target))
        Path(temporary).replace(target)
        temporary = None
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([Fault(str(path), "file", reason, "a folder that can be written")]) from (
            error
        )
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
    return Path(path)


def read_text(path: str | os.PathLike[str], limit: int) -> str:
    """Return the text of a UTF-8 file of at most `limit` bytes (a byte order mark is dropped).

    Raises
    ------
    InputError
        When the file is missing, no regular file, too large (found before reading) or not UTF-8.
    """
    name = Path(path).name or str(path)
    try:
        with Path(path).open("rb") as stream:
            status = os.fstat(stream.fileno())
            if not stat.S_ISREG(status.st_mode):
                raise InputError([Fault(name, "file", "no regular file", "a text file")])
            data = b"" if status.st_size > limit else stream.read(limit + 1)
            size = max(status.st_size, len(data))
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise InputError([Fault(name, "file", reason, "a file that can be read")]) from error
    if size > limit:
        found = f"{size / 1e6:.1f} MB"
        raise InputError([Fault(name, "file", found, f"at most {limit / 1e6:g} MB")])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{data[error.start]:02x}"
        raise InputError([Fault(name, f"line {line}", found, "text in UTF-8")]) from error


def _mode_of(target: Path) -> int:
    """Permissions of the file in place, or those a new file gets here."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)  # the only way to read it is to set it
    os.umask(mask)
    return 0o666 & ~mask
