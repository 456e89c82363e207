"""The journal as a page: what it tells, and that its words stay words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from team_cases import House

from bedstone.workspace.changes_page import changes_html
from bedstone.workspace.journal import Journal
from bedstone.workspace.people import Person, Visitor, at_this_machine
from bedstone.workspace.writer import TeamWriter


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path)


def write(journal: Journal, text: str, file: str = "a.toml", who: str = "anna") -> None:
    visitor = Visitor(Person(who, "editor"), "proxy", "10.0.0.1", "198.51.100.9")
    own = TeamWriter(journal.root, at_this_machine(), journal, lambda: visitor)
    own.write(journal.root / file, text)


def words(html: str) -> str:
    return re.sub(r"<[^>]+>", " ", html)


def test_the_last_change_stands_first_with_who_and_from_where(tmp_path: Path):
    journal = Journal(tmp_path)
    write(journal, "x = 1\n")
    write(journal, "x = 2\n", who="carla")
    html = changes_html(journal.read(), journal.since())
    assert "2 changes" in html
    first, second = re.findall(r"<tr><td>.*?</tr>", html, re.DOTALL)
    assert "carla" in first
    assert "editor, by proxy, 10.0.0.1 for 198.51.100.9" in first
    assert "<del>-x = 1</del>" in first
    assert "<ins>+x = 2</ins>" in first
    assert "wrote" in first
    assert "made" in second
    assert journal.read().last in html
    assert "altered" not in html


def test_what_is_wrong_is_told_above_all(tmp_path: Path):
    journal = Journal(tmp_path)
    write(journal, "x = 1\n")
    write(journal, "x = 2\n")
    (tmp_path / "a.toml").write_text("by hand")
    journal.path.write_text(journal.path.read_text().replace("anna", "bert", 1))
    told = words(changes_html(journal.read(), journal.since()))
    assert told.index("The journal was altered: line 2") < told.index("2 changes")
    assert "Changed by others since, past this list: a.toml: now " in told


def test_words_stay_words(tmp_path: Path):
    journal = Journal(tmp_path)
    evil = "<script>alert(1)</script>"
    write(journal, f'# {evil}\nname = "{evil}"\n', file="a&b'\".toml", who=evil)
    html = changes_html(journal.read(), [f"{evil}: gone"])
    assert "<script" not in html
    assert html.count("&lt;script&gt;") >= 4
    assert "\"a&b'" not in html


def test_of_many_changes_the_last_ones_are_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("bedstone.workspace.changes_page._MOST", 2)
    journal = Journal(tmp_path)
    for number in range(3):
        write(journal, f"x = {number}\n")
    html = changes_html(journal.read(), ())
    assert "3 changes, the last 2 of them here" in html
    assert html.count("<tr><td>") == 2
    assert "<tr><td>3</td>" in html


def test_nothing_was_changed(tmp_path: Path):
    assert "0 changes" in changes_html(Journal(tmp_path).read(), ())
