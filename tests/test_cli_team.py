"""The verbs of a team: a token that opens, a journal that tells."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bedstone.workspace.journal import Journal
from bedstone.workspace.people import People, Person, Visitor, at_this_machine, read_people
from bedstone.workspace.writer import TeamWriter

Run = Callable[..., Any]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder in which anna made two changes."""
    folder = tmp_path / "bridges"
    folder.mkdir()
    anna = Visitor(Person("anna", "editor"), "proxy", "10.0.0.1", "198.51.100.9")
    writer = TeamWriter(folder, at_this_machine(), Journal(folder), lambda: anna)
    writer.write(folder / "a.toml", "x = 1\n")
    writer.write(folder / "b.toml", "y = 1\n")
    return folder


def come(people: People, token: str) -> Person:
    return people.visitor([(b"authorization", f"Bearer {token}".encode())], "192.0.2.1", "x").person


@pytest.mark.parametrize("name", ["anna", "Ä. Muster", 'quo"ted', "back\\slash", "a.b@example.org"])
def test_a_token_opens_for_the_lines_that_come_with_it(command: Run, name: str):
    done = command("token", name, "--role", "editor")
    assert done.code == 0
    Path("team.toml").write_text(done.out, encoding="utf-8")
    token = done.err.strip().rpartition(" ")[2]
    assert token not in done.out, "what goes into a file does not open"
    assert come(read_people(Path("team.toml")), token) == Person(name, "editor")
    assert list(tomllib.loads(done.out)["people"]) == [name]


def test_a_token_is_for_a_reader_unless_told(command: Run):
    done = command("token", "bert")
    Path("team.toml").write_text(done.out)
    token = done.err.strip().rpartition(" ")[2]
    assert come(read_people(Path("team.toml")), token).role == "reader"
    assert command("token", "bert").err != done.err, "another one every time"


@pytest.mark.parametrize(
    ("told", "word"),
    [(("a,b",), "comma"), (("",), "1 to 100"), ((" a",), "blank"), (("x" * 101,), "1 to 100"),
     (("a\n",), "printable"), (("anna", "--role", "owner"), "reader, editor")],
)  # fmt: skip
def test_a_name_that_cannot_be_gets_no_token(command: Run, told: tuple[str, ...], word: str):
    done = command("token", *told)
    assert done.code == 2
    assert word in done.err
    assert "bedstone-" not in done.err + done.out


def test_changes_are_listed_with_who_and_from_where(command: Run, folder: Path):
    done = command("changes", folder)
    assert done.code == 0
    first, second, last = done.out.splitlines()
    assert "anna (editor, proxy, 10.0.0.1 for 198.51.100.9): wrote a.toml" in first
    assert second.endswith("wrote b.toml")
    assert last.startswith("2 changes, the journal is whole; last line ")
    assert "+x = 1" in command("changes", folder, "--diff").out
    assert command("changes", folder, "--file", "b.toml").out.splitlines()[0] == second


def test_changes_by_others_are_told(command: Run, folder: Path):
    (folder / "a.toml").write_text("by hand")
    done = command("changes", folder)
    assert done.code == 0
    assert "changed by others since: a.toml: now " in done.out
    assert "a.toml" not in command("changes", folder, "--file", "b.toml").out


def test_an_altered_journal_leaves_with_1(command: Run, folder: Path):
    journal = folder / ".bedstone" / "changes.jsonl"
    journal.write_text(journal.read_text().replace("anna", "bert", 1))
    done = command("changes", folder)
    assert done.code == 1
    assert "the journal was altered: line 2" in done.out
    assert "ALTERED" in done.out
    data = json.loads(command("changes", folder, "--json").out)
    assert data["broken"]


def test_changes_as_data(command: Run, folder: Path):
    data = json.loads(command("changes", folder, "--json").out)
    assert [change["file"] for change in data["changes"]] == ["a.toml", "b.toml"]
    assert (data["broken"], data["changed_since"]) == ([], [])


def test_a_folder_without_changes(command: Run, tmp_path: Path):
    done = command("changes", tmp_path)
    assert (done.code, done.out) == (0, "0 changes, the journal is whole\n")
    assert command("changes", tmp_path / "none").code == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == [], "nothing is made by looking"


def test_what_a_journal_says_does_not_steer_the_terminal(command: Run, folder: Path):
    anna = Visitor(Person("an\x1b[2Jna", "editor"), "proxy", "10.0.0.1")
    own = TeamWriter(folder, at_this_machine(), Journal(folder), lambda: anna)
    own.write(folder / "a.toml", "# \x1b[31mred\n")
    assert "\x1b" not in command("changes", folder, "--diff").out


# ------------------------------------------------------------------ serving
def test_a_folder_is_served_to_others_with_a_team_alone(command: Run, folder: Path):
    done = command("serve", folder, "--host", "0.0.0.0", "--no-open")
    assert done.code == 2
    assert "--team" in done.err


def test_a_single_file_has_no_team(command: Run, folder: Path):
    done = command("serve", folder / "a.toml", "--team", "team.toml", "--no-open")
    assert done.code == 2
    assert "--team" in done.err
    assert "folder" in done.err


def test_faults_of_a_team_file_are_told_before_anything_is_served(command: Run, folder: Path):
    team = folder.parent / "team.toml"
    team.write_text('[people.anna]\nrole = "owner"\n[limits]\nbody = 0\n')
    done = command("serve", folder, "--team", team, "--no-open", "--port", "0")
    assert done.code == 2
    assert len(done.err.splitlines()) == 2
    assert "people.anna.role" in done.err
    assert done.out == ""
    assert command("serve", folder, "--team", folder / "team.toml", "--no-open").code == 2
    assert command("serve", folder, "--team", folder.parent / "no.toml", "--no-open").code == 2
