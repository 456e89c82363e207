"""The store: whole or not there, whatever cuts a write short. Common practice, no source."""

import errno
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import duckdb
import pytest
import stock_workers as workers

from bedstone.errors import InputError
from bedstone.stock.places import Folder, Place, Remote, place_of
from bedstone.stock.store import Store, folder_of
from bedstone.stock.tables import TABLES, digest
from bedstone.stock.task import Answer, Task, program

MakeTask = Callable[..., Task]


@pytest.fixture(params=["folder", "remote"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    if request.param == "folder":
        (tmp_path / "a [store] 'quoted' *").mkdir()
        return Folder(tmp_path / "a [store] 'quoted' *")
    pytest.importorskip("fsspec", reason="fsspec is not installed (extra cluster)")
    return place_of(f"memory://{tmp_path.name}/store")


def filled(place: Place, task: Task) -> Store:
    store = Store(place)
    store.keep(task, workers.rows_of(task))
    return store


def part(store: Store, path: str) -> object:
    kept, _ = store.kept(path)
    assert kept is not None
    return kept


def test_what_is_kept_comes_back_to_the_last_bit(place: Place, task: MakeTask) -> None:
    tasks = [task("a.toml"), task("sub/a.toml", "# another"), task("ü ß/'x'.toml")]
    store = Store(place)
    parts = []
    for item in tasks:
        answer = workers.rows_of(item)
        parts.append(store.keep(item, answer))
        kept, there = store.kept(item.path)
        assert kept == parts[-1]
        assert there
        assert store.whole(kept)
        assert (kept.key, kept.digest) == (item.key(), digest(answer.rows))
    assert len({folder_of(item.path) for item in tasks}) == 3
    with store.view(parts) as view:
        for name, table in TABLES.items():
            found = view.execute(f'SELECT * FROM "{name}"')
            assert [column[0] for column in found.description] == list(table.columns)
            expected = [
                cells for item in tasks for cells in workers.rows_of(item).rows.get(name, ())
            ]
            assert sorted(found.fetchall(), key=repr) == sorted(expected, key=repr)


def test_empty_columns_stay_empty(tmp_path: Path, task: MakeTask) -> None:
    store = filled(Folder(tmp_path), task())
    with store.view([part(store, "a.toml")]) as view:  # type: ignore[list-item]
        assert view.execute("SELECT travel_left_m, kind FROM seats").fetchall() == [(None, None)]


def test_same_rows_same_bytes(tmp_path: Path, task: MakeTask) -> None:
    for name in ("one", "two"):
        filled(Folder(_made(tmp_path / name)), task())
    one, two = (sorted((tmp_path / name).rglob("*.*")) for name in ("one", "two"))
    assert [file.read_bytes() for file in one] == [file.read_bytes() for file in two]
    assert len(one) == 3  # two tables and the manifest


def test_a_store_is_read_by_duckdb_alone(tmp_path: Path, task: MakeTask) -> None:
    store = Store(Folder(tmp_path))
    for number in range(3):
        item = task(f"{number}.toml")
        store.keep(item, workers.rows_of(item))
    found = duckdb.sql(f"SELECT count(*) FROM '{tmp_path}/bridges/*/seats.parquet'").fetchall()
    assert found == [(3,)]


# ------------------------------------------------------------------ damage
def _flip(file: Path) -> None:
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(bytes(data))


def _cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])


def _empty(file: Path) -> None:
    file.write_bytes(b"")


def _nest(file: Path) -> None:
    file.write_bytes(b"[" * 100_000)


def _list(file: Path) -> None:
    file.write_bytes(b"[1, 2]")


@pytest.mark.parametrize("damage", [_flip, _cut, _empty, _nest, _list, Path.unlink])
@pytest.mark.parametrize("name", ["manifest.json", "seats.parquet", "bridges.parquet"])
def test_a_damaged_part_is_found(
    tmp_path: Path, task: MakeTask, damage: Callable[[Path], object], name: str
) -> None:
    store = filled(Folder(tmp_path), task())
    damage(tmp_path / folder_of("a.toml") / name)
    kept, _ = store.kept("a.toml")
    assert kept is None or not store.whole(kept)


def test_every_byte_of_a_manifest_counts(tmp_path: Path, task: MakeTask) -> None:
    store = filled(Folder(tmp_path), task())
    file = tmp_path / folder_of("a.toml") / "manifest.json"
    whole, sound = file.read_bytes(), json.loads(file.read_bytes())
    for place in range(0, len(whole), 7):
        data = bytearray(whole)
        data[place] ^= 2
        file.write_bytes(bytes(data))
        kept, _ = store.kept("a.toml")
        # what is still read says the same: a changed blank between words
        assert kept is None or json.loads(data) == sound


def test_another_bridge_in_its_folder_is_no_part(tmp_path: Path, task: MakeTask) -> None:
    store = filled(Folder(tmp_path), task())
    shutil.move(tmp_path / folder_of("a.toml"), tmp_path / folder_of("b.toml"))
    assert store.kept("b.toml") == (None, True)


def test_tables_of_another_run_are_no_part(tmp_path: Path, task: MakeTask) -> None:
    """Cut off between the tables and the manifest: old manifest, new tables."""
    store = filled(Folder(tmp_path), task())
    file = tmp_path / folder_of("a.toml") / "manifest.json"
    old = file.read_bytes()
    other = task("a.toml", "# changed in the meantime")
    store.keep(other, workers.rows_of(other))
    file.write_bytes(old)
    kept, _ = store.kept("a.toml")
    assert kept is not None
    assert not store.whole(kept)


# ------------------------------------------------------------------ what cuts a write short
@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 kB, where the system lets us have one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = (
        sys.platform == "linux"
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(disk)],
            capture_output=True,
            check=False,
        ).returncode
    )
    if not mounted:
        pytest.skip("no right to mount a small disk")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_is_told_and_leaves_whole_parts_alone(small_disk: Path, task: MakeTask) -> None:
    store = Store(Folder(small_disk))
    kept = []

    def fill() -> None:
        for number in range(100):
            item = task(f"{number}.toml")
            kept.append(store.keep(item, workers.rows_of(item)))

    with pytest.raises(InputError, match="no space left") as error:
        fill()
    assert str(small_disk) in str(error.value)
    assert kept
    assert all(store.whole(item) for item in kept)
    assert not list(small_disk.rglob(".*"))  # no half-written file is left
    failed, _ = store.kept(f"{len(kept)}.toml")
    assert failed is None


def test_a_write_that_fails_is_told_and_leaves_the_old_part(
    tmp_path: Path, task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = filled(Folder(tmp_path), task())

    def full(file: Path, data: bytes) -> None:
        with file.open("wb") as stream:
            stream.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError, match="no space left"):
        store.keep(task(), workers.rows_of(task()))
    monkeypatch.undo()
    kept, _ = store.kept("a.toml")
    assert kept is not None
    assert store.whole(kept)
    assert not list(tmp_path.rglob(".*"))


def test_a_full_temporary_folder_is_told(
    tmp_path: Path, task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Full:
        def __init__(self, **_: object) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("tempfile.TemporaryDirectory", Full)
    with pytest.raises(InputError, match="temporary folder"):
        filled(Folder(tmp_path), task())


def test_a_store_that_was_removed_is_not_made_anew(tmp_path: Path, task: MakeTask) -> None:
    root = _made(tmp_path / "store")
    store = filled(Folder(root), task())
    shutil.rmtree(root)
    with pytest.raises(InputError, match="removed while the work went on"):
        store.keep(task("b.toml"), workers.rows_of(task("b.toml")))
    assert not root.exists()


def test_a_store_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(InputError), Folder(tmp_path / "file").held():
        pass


# ------------------------------------------------------------------ two at once
_HOLDS = """
import sys
from pathlib import Path
from bedstone.stock.places import Folder
with Folder(Path(sys.argv[1])).held():
    print("held", flush=True)
    sys.stdin.read()
"""


def test_a_second_run_is_refused_and_a_killed_one_holds_nothing(tmp_path: Path) -> None:
    other = subprocess.Popen(
        [sys.executable, "-c", _HOLDS, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        with pytest.raises(InputError, match="another run works on it"), Folder(tmp_path).held():
            pass
        other.kill()
        other.wait()
        with Folder(tmp_path).held():
            pass


def test_a_folder_with_other_things_is_never_taken_for_a_store(tmp_path: Path) -> None:
    """What is pruned from a store must not be someone's bridges: a folder called bridges, say."""
    theirs = tmp_path / "bridges" / "north" / "one.toml"
    theirs.parent.mkdir(parents=True)
    theirs.write_text("[bridge]\n", encoding="utf-8")
    with pytest.raises(InputError, match="other things in it"), Folder(tmp_path).held():
        pass
    assert [file.name for file in tmp_path.iterdir()] == ["bridges"]
    assert theirs.exists()


def test_a_store_of_another_layout_is_left_alone(place: Place) -> None:
    with place.held():
        pass
    with place.held():
        pass
    place.write("store.json", b'{"format": "bedstone stock store 9"}\n')
    with pytest.raises(InputError, match="another layout"), place.held():
        pass


def test_an_address_with_other_things_is_no_store(tmp_path: Path) -> None:
    pytest.importorskip("fsspec", reason="fsspec is not installed (extra cluster)")
    remote = place_of(f"memory://{tmp_path.name}/other")
    remote.write("bridges/x/one.toml", b"theirs")
    with pytest.raises(InputError, match="other things in it"), remote.held():
        pass
    assert remote.read("bridges/x/one.toml") == b"theirs"


def test_removed_bridges_leave_the_store(place: Place, task: MakeTask) -> None:
    store = filled(place, task())
    other = task("b.toml")
    store.keep(other, workers.rows_of(other))
    assert store.prune(["b.toml"]) == 1
    assert store.kept("a.toml") == (None, False)
    assert store.kept("b.toml")[0] is not None


# ------------------------------------------------------------------ rankings
def test_the_last_whole_ranking_is_compared_with(tmp_path: Path) -> None:
    store = Store(Folder(tmp_path))
    assert store.last_run() == (0, None)
    for number in range(1, 6):
        store.keep_run(number, {"bridges": [number], "thresholds": {}})
    assert store.last_run() == (5, {"bridges": [5], "thresholds": {}})
    _flip(tmp_path / "runs" / "000005" / "ranking.json")
    assert store.last_run()[0] == 4
    assert len(list((tmp_path / "runs").iterdir())) == 2


def test_no_clock_in_the_store(tmp_path: Path, task: MakeTask) -> None:
    store = filled(Folder(tmp_path), task())
    for file in tmp_path.rglob("*.*"):
        os.utime(file, (4e9, 1.0))
    kept, _ = store.kept("a.toml")
    assert kept is not None
    assert store.whole(kept)


def test_remote_without_fsspec_or_of_no_known_kind_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "fsspec", None)
    with pytest.raises(InputError, match="extra cluster"):
        place_of("s3://bucket/stock")


def test_an_address_nobody_knows_is_told() -> None:
    pytest.importorskip("fsspec", reason="fsspec is not installed (extra cluster)")
    with pytest.raises(InputError):
        Remote("nosuchkind://bucket/stock")


def test_nothing_is_unpickled_from_disk() -> None:
    """Parquet and JSON alone: a store from elsewhere cannot run anything."""
    import bedstone.stock as room

    for file in Path(room.__file__).parent.glob("*.py"):
        text = file.read_text(encoding="utf-8")
        for word in ("import pickle", "pickle.load", "eval(", "exec(", "marshal", "shelve"):
            assert word not in text, f"{file.name}: {word}"


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True)
    return folder


def test_rows_of_the_tests_are_answers(task: MakeTask) -> None:
    answer = workers.rows_of(task())
    assert isinstance(answer, Answer)
    assert answer.program == program()
