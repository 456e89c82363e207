"""A folder that is served: which names are files of it, where results are, how many desks."""

from pathlib import Path

import pytest
from stocks import files

from bedstone.errors import InputError
from bedstone.stock.places import usual_place
from bedstone.workspace.desk import Desk
from bedstone.workspace.folder import Served, bridge_address, results_address
from bedstone.workspace.folder_desks import Desks


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "outside.toml").write_text('[bridge]\nname = "outside"\n')
    return files(tmp_path / "stock", 3)


OUT = [
    "",
    ".",
    "..",
    "../outside.toml",
    "line-0/../../outside.toml",
    "line-0/../line-0/bridge-0000.toml",
    "/etc/passwd",
    "//line-0/bridge-0000.toml",
    "line-0\\bridge-0000.toml",
    "line-0/bridge-0000.toml\0",
    "line-0/bridge-0000.toml/",
    "./line-0/bridge-0000.toml",
    "LINE-0/bridge-0000.toml",
    "line-0%2Fbridge-0000.toml",
    "line-0/notes.toml",
    "line-0/hidden/.secret.toml",
    "link.toml",
    "linked/outside.toml",
    "x" * 100_000,
]


@pytest.mark.parametrize("name", OUT, ids=lambda name: name[:24] or "empty")
def test_only_names_that_were_found_are_opened(folder: Path, name: str):
    (folder / "line-0" / "notes.toml").write_text("[notes]\n")
    (folder / "line-0" / "hidden").mkdir()
    (folder / "line-0" / "hidden" / ".secret.toml").write_text('[bridge]\nname = "x"\n')
    (folder / "link.toml").symlink_to(folder.parent / "outside.toml")
    (folder / "linked").symlink_to(folder.parent, target_is_directory=True)
    with pytest.raises(InputError, match="a bridge file of the folder"):
        Served.open(folder).member(name)


def test_members_are_opened_and_called_by_their_path(folder: Path):
    served = Served.open(folder)
    path = served.member("line-1/bridge-0001.toml")
    assert path == folder.resolve() / "line-1" / "bridge-0001.toml"
    assert served.name_of(path) == "line-1/bridge-0001.toml"


def test_a_file_that_comes_later_is_found(folder: Path):
    served = Served.open(folder)
    (folder / "late.toml").write_text('[bridge]\nname = "late"\n')
    assert served.member("late.toml").name == "late.toml"


def test_what_was_found_last_is_kept_for_all_who_ask(folder: Path, monkeypatch):
    served = Served.open(folder)
    (folder / "late.toml").write_text('[bridge]\nname = "late"\n')
    (folder / "line-0" / "bridge-0000.toml").unlink()
    found = served.look()
    assert served.stock is found
    assert "late.toml" in served.stock.members
    assert "line-0/bridge-0000.toml" not in served.stock.members

    def again(*_: object) -> None:
        raise AssertionError("a name that is known is looked for again")

    monkeypatch.setattr("bedstone.workspace.folder.find_stock", again)
    assert served.member("late.toml").name == "late.toml"


def test_a_file_that_becomes_a_link_out_is_refused(folder: Path):
    served = Served.open(folder)
    file = folder / "line-0" / "bridge-0000.toml"
    assert served.member("line-0/bridge-0000.toml") == file.resolve()
    file.unlink()
    file.symlink_to(folder.parent / "outside.toml")
    with pytest.raises(InputError, match="a bridge file of the folder"):
        served.member("line-0/bridge-0000.toml")


def test_a_link_within_the_folder_is_a_bridge_like_any(folder: Path):
    (folder / "again.toml").symlink_to(folder / "line-0" / "bridge-0000.toml")
    assert Served.open(folder).member("again.toml").name == "again.toml"


def test_a_folder_reached_through_a_link_or_by_a_short_path_is_the_same(folder: Path, monkeypatch):
    (folder.parent / "way").symlink_to(folder, target_is_directory=True)
    monkeypatch.chdir(folder.parent)
    one, other = Served.open(Path("stock")), Served.open(folder.parent / "way")
    assert one.root == other.root == folder.resolve()
    # and its results lie where the verb keeps them
    assert one.out == other.out == str(usual_place(folder).root)


def test_the_store_is_no_part_of_the_stock(folder: Path):
    inside = folder / "results"
    inside.mkdir()
    (inside / "copy.toml").write_text('[bridge]\nname = "copy"\n')
    assert "results/copy.toml" not in Served.open(folder, str(inside)).stock.members
    assert "results/copy.toml" in Served.open(folder).stock.members


def test_a_folder_without_a_bridge_and_thresholds_that_are_none_are_refused(tmp_path: Path):
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError, match="at least one bridge file"):
        Served.open(tmp_path / "empty")
    files(tmp_path / "stock", 1)
    (tmp_path / "own.toml").write_text("[values.moon]\nvalue = 1\n")
    with pytest.raises(InputError):
        Served.open(tmp_path / "stock", None, tmp_path / "own.toml")


def test_an_address_says_the_file_whatever_its_name():
    assert bridge_address("a b/ü&c.toml", "what_if") == (
        "/bridge?file=a%20b/%C3%BC%26c.toml&page=what_if"
    )
    assert bridge_address("") == "/bridge?file="
    assert results_address("a.toml") == "/results?file=a.toml"


# ---------------------------------------------------------------- desks
@pytest.fixture
def bridge(truss: Path) -> Path:
    return truss


class Shown:
    """Desks that a tab shows."""

    def __init__(self) -> None:
        self.desks: list[Desk] = []

    def __call__(self, desk: Desk) -> bool:
        return any(one is desk for one in self.desks)


def test_a_desk_is_of_one_tab_and_one_file(bridge: Path):
    held = Desks(Shown())
    desk = Desk.open(bridge)
    held.add("tab", desk)
    assert held.of("tab", bridge) is desk
    assert held.of("another", bridge) is None
    assert held.of("tab", bridge.parent / "another.toml") is None


def test_the_one_left_longest_makes_room_and_what_was_not_saved_there_is_kept(bridge: Path):
    shown = Shown()
    held = Desks(shown, most=2)
    first, second, third = (Desk.open(bridge) for _ in range(3))
    held.add("first", first)
    held.add("second", second)
    first.edit(first.text + "\n# not saved\n")
    shown.desks = [second]
    held.add("third", third)
    assert held.all() == [second, third]
    # offered to who opens the file next
    (left,) = Desk.open(bridge).left()
    assert left.text.endswith("# not saved\n")


def test_using_a_desk_keeps_it(bridge: Path):
    held = Desks(Shown(), most=2)
    first, second, third = (Desk.open(bridge) for _ in range(3))
    held.add("first", first)
    held.add("second", second)
    assert held.of("first", bridge) is first
    held.add("third", third)
    assert held.all() == [first, third]


def test_when_all_are_looked_at_another_one_is_refused_in_words(bridge: Path):
    shown = Shown()
    held = Desks(shown, most=1)
    desk = Desk.open(bridge)
    held.add("tab", desk)
    shown.desks = [desk]
    with pytest.raises(InputError, match="close one of their tabs"):
        held.add("another", Desk.open(bridge))
    assert held.all() == [desk]


def test_a_desk_of_the_same_file_takes_the_place_of_the_one_before(bridge: Path):
    held = Desks(Shown())
    first, second = Desk.open(bridge), Desk.open(bridge)
    held.add("tab", first)
    held.add("tab", second)
    assert held.all() == [second]
