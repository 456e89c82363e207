"""Who belongs to a stock, and what is refused: common practice for files of others, no source."""

import errno
import os
import shutil
from pathlib import Path

import pytest

from bedstone.errors import InputError
from bedstone.stock.members import find_stock, task_of
from bedstone.stock.task import Options, named_tables

from .conftest import write

EXAMPLES = Path(__file__).parents[2] / "examples"
BROKEN = Path(__file__).parents[1] / "broken"


def test_every_bridge_file_below_a_folder_and_nothing_else(tmp_path: Path) -> None:
    write(tmp_path / "north" / "one.toml")
    write(tmp_path / "south" / "one.toml")
    write(tmp_path / ".hidden" / "two.toml")
    write(tmp_path / ".three.toml")
    (tmp_path / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("no bridge", encoding="utf-8")
    (tmp_path / "torn.toml").write_text("[bridge\n", encoding="utf-8")  # its fault is to be told
    found = find_stock(tmp_path)
    assert found.members == ("north/one.toml", "south/one.toml", "torn.toml")
    assert found.passed_over == ("pyproject.toml",)
    assert found.refused == ()
    assert [task.path for task in found.tasks(Options())] == list(found.members)


def test_the_store_is_no_part_of_the_stock(tmp_path: Path) -> None:
    write(tmp_path / "one.toml")
    write(tmp_path / "store" / "two.toml")
    assert find_stock(tmp_path, tmp_path / "store").members == ("one.toml",)


def test_links_out_of_the_folder_are_refused_with_a_fault(tmp_path: Path) -> None:
    inside, outside = tmp_path / "stock", tmp_path / "elsewhere"
    write(outside / "secret.toml")
    write(inside / "one.toml")
    (inside / "link.toml").symlink_to(outside / "secret.toml")
    (inside / "ring.toml").symlink_to(inside / "ring.toml")
    (inside / "folder").symlink_to(outside)
    found = find_stock(inside)
    assert found.members == ("one.toml",)
    assert {path for path, _ in found.refused} == {"link.toml", "ring.toml", "folder"}
    for task in found.tasks(Options()):
        assert bool(task.faults) == (task.path != "one.toml")
        assert all(b"secret" not in data for _, data in task.files)


def test_a_link_put_in_place_after_the_listing_is_refused_too(tmp_path: Path) -> None:
    (tmp_path / "stock").mkdir()
    secret = write(tmp_path / "secret.toml")
    (tmp_path / "stock" / "one.toml").symlink_to(secret)
    task = task_of(tmp_path / "stock", "one.toml", Options())
    assert task.faults
    assert task.files[0][1] == b""


def test_a_list_keeps_within_its_folder(tmp_path: Path) -> None:
    write(tmp_path / "one.toml")
    write(tmp_path / "sub" / "two.toml")
    told = tmp_path / "stock.txt"
    told.write_text(
        "# ours\none.toml\nsub/two.toml\n./one.toml\n../other.toml\n/etc/hosts\nsub/../../x.toml\n",
        encoding="utf-8",
    )
    found = find_stock(told)
    assert found.members == ("one.toml", "sub/two.toml")
    assert {fault.where for _, fault in found.refused} == {"line 4", "line 5", "line 6", "line 7"}


def test_a_list_may_tell_a_file_of_its_folder_from_the_root(tmp_path: Path) -> None:
    own = write(tmp_path / "stock" / "sub" / "one.toml")
    other = write(tmp_path / "stock-2" / "two.toml")
    told = tmp_path / "stock" / "all.txt"
    told.write_text(f"{own}\n{other}\n", encoding="utf-8")
    found = find_stock(told)
    assert found.members == ("sub/one.toml",)
    assert [fault.where for _, fault in found.refused] == ["line 2"]


@pytest.mark.parametrize("what", ["nowhere", "one.toml", "empty"])
def test_what_is_no_stock_is_refused_in_words(tmp_path: Path, what: str) -> None:
    write(tmp_path / "one.toml")
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError) as error:
        find_stock(tmp_path / what)
    assert len(error.value.faults) == 1


def test_tables_go_with_the_bridge_file_and_others_do_not(tmp_path: Path) -> None:
    for file in BROKEN.glob("disconnected*"):
        shutil.copy(file, tmp_path)
    (tmp_path / "other.csv").write_text("not named", encoding="utf-8")
    task = task_of(tmp_path, "disconnected.toml", Options())
    names = [name for name, _ in task.files]
    assert names[0] == "disconnected.toml"
    assert set(names[1:]) == {file.name for file in BROKEN.glob("disconnected_*.csv")}
    shutil.copy(BROKEN / "outside_folder.toml", tmp_path)
    names = [name for name, _ in task_of(tmp_path, "outside_folder.toml", Options()).files]
    assert len(names) == 1 + 4  # of its five tables one lies outside: the reader says so
    assert not any(".." in name for name in names)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ('[superstructure]\nnodes = "n.csv"\nseats = "s.CSV"\n', ("n.csv", "s.CSV")),
        ('superstructure = { nodes = "n\\u002ecsv" }\n', ("n.csv",)),  # an escape of TOML 1.0
        ('[superstructure]\nkind = "girders"\n', ()),
        ('[bridge]\nname = "n.csv"\n', ()),
        ('superstructure = "n.csv"\n', ()),
        ("[superstructure\nnodes = 'n.csv'", ()),
    ],
)
def test_tables_are_found_by_their_names(text: str, named: tuple[str, ...]) -> None:
    assert named_tables(text.encode()) == named


def test_a_bridge_file_is_known_by_its_tables(tmp_path: Path) -> None:
    for number, text in enumerate(
        ["bridge = {}\n", '"bridge".name = "x"\n', "  [[support]]\n", "[ bridge ]\n", "[other]\n"]
    ):
        (tmp_path / f"{number}.toml").write_text(text, encoding="utf-8")
    found = find_stock(tmp_path)
    assert found.members == ("0.toml", "1.toml", "2.toml", "3.toml")
    assert found.passed_over == ("4.toml",)


def test_a_linked_table_is_a_fault_of_the_bridge(tmp_path: Path) -> None:
    stock = tmp_path / "stock"
    stock.mkdir()
    for file in BROKEN.glob("disconnected*"):
        shutil.copy(file, stock)
    table = stock / "disconnected_nodes.csv"
    shutil.move(table, tmp_path / "secret.csv")
    table.symlink_to(tmp_path / "secret.csv")
    task = task_of(stock, "disconnected.toml", Options())
    assert [fault.file for fault in task.faults] == ["disconnected_nodes.csv"]


@pytest.mark.skipif(os.name == "nt", reason="names there are text")
def test_a_name_that_is_no_text_is_refused(tmp_path: Path) -> None:
    write(tmp_path / "one.toml")
    with open(os.fsencode(tmp_path) + b"/two\xff.toml", "w", encoding="utf-8") as stream:  # noqa: PTH123
        stream.write("[bridge]\n")
    found = find_stock(tmp_path)
    assert found.members == ("one.toml",)
    assert len(found.refused) == 1
    found.refused[0][0].encode()  # what is shown is text


@pytest.mark.skipif(os.name == "nt", reason="no such pipes there")
def test_a_pipe_is_a_fault_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    (task,) = find_stock(tmp_path).tasks(Options())
    assert task.faults[0].found == "no regular file"


def test_a_folder_that_cannot_be_read_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path / "one.toml")
    write(tmp_path / "closed" / "two.toml")
    real = os.scandir

    def closed(path: str) -> object:
        if str(path).endswith("closed"):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", closed)
    found = find_stock(tmp_path)
    assert found.members == ("one.toml",)
    assert [(path, fault.found) for path, fault in found.refused] == [
        ("closed", "Permission denied")
    ]


def test_what_cannot_be_read_is_a_fault_and_not_an_error(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    task = task_of(tmp_path, "folder.toml", Options())
    assert len(task.faults) == 1
    task = task_of(tmp_path, "gone.toml", Options())
    assert len(task.faults) == 1
    big = tmp_path / "big.toml"
    big.write_bytes(b"#" * 1_000_001)
    assert "MB" in task_of(tmp_path, "big.toml", Options()).faults[0].found


@pytest.mark.skipif(os.name == "nt", reason="a backslash parts folders there anyway")
def test_a_list_written_elsewhere_parts_folders_otherwise(tmp_path: Path) -> None:
    r"""A file whose name has a backslash goes first; a drive or a server is outside."""
    write(tmp_path / "north" / "a.toml")
    write(tmp_path / "south\\b.toml")
    write(tmp_path / "south" / "b.toml")
    write(tmp_path / "c:d.toml")
    listed = tmp_path / "list.txt"
    lines = ["\ufeffnorth\\a.toml", "south\\b.toml", "c:d.toml"]
    outside = ["C:\\bridges\\x.toml", "..\\x.toml", "\\\\server\\share\\x.toml", "d:x.toml"]
    listed.write_text("\r\n".join([*lines, *outside]), encoding="utf-8")
    found = find_stock(listed)
    assert found.members == ("c:d.toml", "north/a.toml", "south\\b.toml")
    assert len(found.refused) == 4
    assert all("within the folder" in fault.allowed for _, fault in found.refused)


def test_what_is_not_there_is_told_apart_from_what_is_no_file(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    listed = tmp_path / "list.txt"
    listed.write_text("gone.toml\nfolder.toml\n", encoding="utf-8")
    folder, gone = find_stock(listed).tasks(Options())
    assert gone.faults[0].found == "no such file"
    assert folder.faults[0].found == "no regular file"
    listed.write_text("\n", encoding="utf-8")
    with pytest.raises(InputError, match="found no bridge file in it"):
        find_stock(listed)
