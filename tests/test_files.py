import stat
from pathlib import Path

import pytest

from bedstone import files
from bedstone.errors import InputError
from bedstone.files import read_text, write_atomically


def test_a_new_file_and_an_old_one_are_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    write_atomically(path, "één\r\n")
    assert path.read_bytes() == "één\r\n".encode()
    write_atomically(path, b"\x00\x01")
    assert path.read_bytes() == b"\x00\x01"
    assert list(tmp_path.iterdir()) == [path]


def test_permissions_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    path.chmod(0o640)
    write_atomically(path, "new")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    plain = tmp_path / "plain.txt"
    plain.touch()
    write_atomically(tmp_path / "b.txt", "new")
    assert (tmp_path / "b.txt").stat().st_mode == plain.stat().st_mode


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_atomically(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


def test_a_write_that_breaks_off_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(InputError, match="No space left"):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a folder that can be written"):
        write_atomically(tmp_path / "none" / "a.txt", "new")
    assert list(tmp_path.iterdir()) == []


def test_reading_stops_at_the_limit(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("x" * 10)
    assert read_text(path, 10) == "x" * 10
    with pytest.raises(InputError, match="at most"):
        read_text(path, 9)
    with pytest.raises(InputError, match="a file that can be read"):
        read_text("a\0b", 9)
