"""The journal: written before a change, refused where it cannot be, and found where it was altered.

Differences are given to `git apply`, which is not ours: they make the new text of the old one.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import json
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.workspace import journal as room
from bedstone.workspace.journal import Journal, JournalError, difference, file_sha256
from bedstone.workspace.people import Person, RefusedError, RoleError, Visitor, at_this_machine
from bedstone.workspace.writer import ALONE, TeamWriter

ANNA = Visitor(Person("anna", "editor"), "proxy", "10.0.0.1", "198.51.100.9")
BERT = Visitor(Person("bert", "reader"), "token", "192.0.2.1")
NOW = dt.datetime(2026, 5, 6, 7, 8, 9, 123000, dt.UTC)


@pytest.fixture
def journal(tmp_path: Path) -> Journal:
    return Journal(tmp_path, lambda: NOW)


def writer(journal: Journal, visitor: Visitor = ANNA) -> TeamWriter:
    return TeamWriter(journal.root, at_this_machine(), journal, lambda: visitor)


def sha(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def lines(journal: Journal) -> list[str]:
    return journal.path.read_text().splitlines() if journal.path.exists() else []


def write(journal: Journal, *texts: str, file: str = "a.toml") -> None:
    for text in texts:
        writer(journal).write(journal.root / file, text)


# ------------------------------------------------------------------ what is told
def test_a_change_is_told_in_full(journal: Journal):
    write(journal, "x = 1\n", "x = 2\n")
    made, changed = journal.read().changes
    assert (made.number, changed.number) == (1, 2)
    assert changed.time == "2026-05-06T07:08:09.123Z"
    assert (changed.who, changed.role, changed.way) == ("anna", "editor", "proxy")
    assert (changed.peer, changed.forwarded) == ("10.0.0.1", "198.51.100.9")
    assert (changed.what, changed.file) == ("written", "a.toml")
    assert (made.before, made.after) == (None, sha("x = 1\n"))
    assert (changed.before, changed.after) == (sha("x = 1\n"), sha("x = 2\n"))
    assert changed.diff == "--- a/a.toml\n+++ b/a.toml\n@@ -1 +1 @@\n-x = 1\n+x = 2\n"
    assert journal.read().broken == ()


def test_every_line_carries_the_hash_of_the_one_before(journal: Journal):
    write(journal, "1", "2", "3")
    told = lines(journal)
    previous = [json.loads(line)["previous"] for line in told]
    assert previous == ["", sha(told[0]), sha(told[1])]
    assert journal.read().last == sha(told[2])
    assert json.loads(journal.head.read_text())["sha256"] == sha(told[2])


def test_what_does_not_change_is_not_told(journal: Journal):
    write(journal, "1", "1")
    assert len(lines(journal)) == 1


def test_it_is_on_the_disk_before_the_change(journal: Journal, monkeypatch: pytest.MonkeyPatch):
    import bedstone.workspace.writer as own

    seen: list[tuple[int, bool]] = []

    def write_at_last(path: Path, text: str) -> None:
        seen.append((len(lines(journal)), path.exists()))
        path.write_text(text)

    monkeypatch.setattr(own, "write_atomically", write_at_last)
    synced: list[int] = []
    monkeypatch.setattr(room.os, "fsync", lambda handle: synced.append(os.fstat(handle).st_ino))
    write(journal, "1")
    assert seen == [(1, False)]
    # what is not on the disk is lost with the power
    assert journal.path.stat().st_ino in synced
    assert journal.head.stat().st_ino in synced


def test_others_are_let_read_nothing_of_it(journal: Journal):
    write(journal, "1")
    assert journal.path.stat().st_mode & 0o077 == 0
    assert journal.path.parent.stat().st_mode & 0o077 == 0


# ------------------------------------------------------------------ where it cannot be written
def test_a_change_without_a_journal_is_refused(journal: Journal):
    (journal.root / ".bedstone").write_text("in the way")
    with pytest.raises(JournalError, match="nothing is changed"):
        write(journal, "1")
    assert not (journal.root / "a.toml").exists()


def test_a_full_disk_refuses_the_change(journal: Journal, monkeypatch: pytest.MonkeyPatch):
    write(journal, "1")
    stood = journal.path.read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(room.os, "fsync", full)
        with pytest.raises(JournalError, match="No space left"):
            write(journal, "2")
    assert (journal.root / "a.toml").read_text() == "1"
    assert journal.path.read_bytes() == stood, "no line of a change that was not made"
    write(journal, "3")
    assert journal.read().broken == ()
    assert [change.number for change in journal.read().changes] == [1, 2]


def test_a_head_that_cannot_be_written_refuses_the_change(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
):
    write(journal, "1")

    def refused(path: Path, text: str) -> None:
        raise InputError([])

    with monkeypatch.context() as patched:
        patched.setattr(room, "write_atomically", refused)
        with pytest.raises(JournalError):
            write(journal, "2")
    assert (journal.root / "a.toml").read_text() == "1"
    assert len(lines(journal)) == 1
    assert journal.read().broken == ()


def test_a_change_that_cannot_be_made_is_told_to_be_none(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
):
    import bedstone.workspace.writer as own

    write(journal, "1")

    def refused(path: Path, text: str) -> None:
        raise InputError([])

    with monkeypatch.context() as patched:
        patched.setattr(own, "write_atomically", refused)
        with pytest.raises(InputError):
            write(journal, "2")
    write(journal, "3")
    told = journal.read()
    assert [change.what for change in told.changes] == ["written", "written", "not made", "written"]
    assert told.changes[2].of == 2
    assert told.changes[3].before == sha("1")
    assert told.changes[3].between == ""
    assert journal.since() == ()


def test_a_link_in_its_place_is_not_followed(journal: Journal, tmp_path: Path):
    (journal.root / ".bedstone").mkdir()
    journal.path.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(JournalError):
        write(journal, "1")
    assert not (tmp_path / "elsewhere").exists()


# ------------------------------------------------------------------ altered
def five(journal: Journal) -> list[bytes]:
    write(journal, "1", "2", "3", "4", "5")
    return journal.path.read_bytes().splitlines(keepends=True)


@pytest.mark.parametrize("place", range(5))
def test_a_line_taken_out_is_found(journal: Journal, place: int):
    told = five(journal)
    journal.path.write_bytes(b"".join(told[:place] + told[place + 1 :]))
    assert journal.read().broken


@pytest.mark.parametrize("place", range(5))
def test_a_line_changed_is_found(journal: Journal, place: int):
    told = five(journal)
    told[place] = told[place].replace(b'"anna"', b'"bert"')
    journal.path.write_bytes(b"".join(told))
    assert journal.read().broken


@pytest.mark.parametrize("place", range(4))
def test_lines_that_change_places_are_found(journal: Journal, place: int):
    told = five(journal)
    told[place], told[place + 1] = told[place + 1], told[place]
    journal.path.write_bytes(b"".join(told))
    assert journal.read().broken


@pytest.mark.parametrize("left", range(5))
def test_an_end_cut_off_is_found(journal: Journal, left: int):
    told = five(journal)
    journal.path.write_bytes(b"".join(told[:left]))
    assert journal.read().broken


def test_a_line_put_in_is_found(journal: Journal):
    told = five(journal)
    forged = json.loads(told[4]) | {"number": 6, "who": "bert", "previous": sha("no")}
    journal.path.write_bytes(b"".join(told) + json.dumps(forged).encode() + b"\n")
    assert journal.read().broken


def test_a_journal_or_its_head_that_is_gone_is_found(journal: Journal):
    five(journal)
    head = journal.head.read_bytes()
    journal.head.unlink()
    assert journal.read().broken
    for text in ("", "{}", "[]", '{"number": -1}', "[" * 10_000):
        journal.head.write_text(text)
        assert journal.read().broken
    journal.head.write_bytes(head)
    assert journal.read().broken == ()
    journal.path.unlink()
    assert journal.read().broken


@pytest.mark.parametrize("change", ["cut", "touched", "headless", "longer", "forged"])
def test_to_an_altered_journal_nothing_is_added(journal: Journal, change: str):
    told = five(journal)
    if change == "cut":
        journal.path.write_bytes(b"".join(told[:3]))
    elif change == "touched":
        told[4] = told[4].replace(b"anna", b"carl")
        journal.path.write_bytes(b"".join(told))
    elif change == "longer":
        journal.path.write_bytes(b"".join(told) + told[4] + told[4])
    elif change == "forged":
        forged = json.loads(told[4]) | {"number": 6, "previous": sha("no")}
        journal.path.write_bytes(b"".join(told) + json.dumps(forged).encode() + b"\n")
    else:
        journal.head.unlink()
    with pytest.raises(JournalError, match="altered"):
        write(journal, "6")
    assert (journal.root / "a.toml").read_text() == "5"


@given(st.binary(max_size=60), st.integers(0, 400))
def test_whatever_stands_in_it_is_read_without_a_fall(data: bytes, at: int):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        journal = Journal(Path(folder), lambda: NOW)
        write(journal, "1")
        told = journal.path.read_bytes()
        changed = told[:at] + data + told[at + len(data) :]
        journal.path.write_bytes(changed)
        assert (journal.read().broken != ()) == (changed != told)


# ------------------------------------------------------------------ crashes
def test_half_a_line_that_a_crash_left_is_taken_out(journal: Journal):
    write(journal, "1")
    with journal.path.open("ab") as stream:
        stream.write(b'{"number": 2, "ti')
    assert "half a line" in journal.read().broken[0]
    write(journal, "2")
    told = journal.read()
    assert told.broken == ()
    assert "half a line (17 bytes)" in told.changes[1].note


def test_a_line_without_its_head_counts(journal: Journal):
    """The program ended after the line and before the head: the change may have been made."""
    write(journal, "1")
    head = journal.head.read_bytes()
    write(journal, "2")
    journal.head.write_bytes(head)
    write(journal, "3")
    assert [change.number for change in journal.read().changes] == [1, 2, 3]
    assert journal.read().broken == ()


def test_a_change_that_a_crash_prevented_is_told_so(journal: Journal):
    write(journal, "1", "2")
    (journal.root / "a.toml").write_text("1")  # as if the second had not come to the disk
    write(journal, "3")
    assert "was not made" in journal.read().changes[2].between


def test_what_others_changed_is_told(journal: Journal):
    write(journal, "1", "2")
    assert journal.since() == ()
    (journal.root / "a.toml").write_text("by hand")
    assert journal.since() == (f"a.toml: now {sha('by hand')}",)
    write(journal, "3")
    assert [change.between for change in journal.read().changes] == [
        "", "", "changed by others since the change before",
    ]  # fmt: skip
    (journal.root / "a.toml").unlink()
    assert journal.since() == ("a.toml: gone",)


def test_changes_of_one_file(journal: Journal):
    write(journal, "1", "2")
    write(journal, "1", file="b.toml")
    assert [change.number for change in journal.read("b.toml").changes] == [3]
    assert journal.read("../a.toml").changes == ()


# ------------------------------------------------------------------ many at once
def test_many_threads_and_processes_leave_one_chain(journal: Journal):
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from bedstone.workspace.journal import Journal\n"
        "from bedstone.workspace.people import at_this_machine\n"
        "from bedstone.workspace.writer import TeamWriter\n"
        "root, people = Path(sys.argv[1]), at_this_machine()\n"
        "again = lambda: people.visitor([], '127.0.0.1', 'x')\n"
        "for number in range(10):\n"
        "    TeamWriter(root, people, Journal(root), again).write(\n"
        "        root / 'p.toml', f'{sys.argv[2]} {number}')\n"
    )
    started = [
        subprocess.Popen([sys.executable, "-c", code, str(journal.root), str(number)])
        for number in range(2)
    ]

    def work(name: str) -> None:
        for number in range(10):
            write(Journal(journal.root), f"{name} {number}", file=f"{name}.toml")

    threads = [threading.Thread(target=work, args=(name,)) for name in "abc"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [process.wait(timeout=250) for process in started] == [0, 0]
    told = journal.read()
    assert told.broken == ()
    assert len(told.changes) == 50
    assert all(not change.between for change in told.changes)


def test_a_lock_that_is_not_let_go_refuses_the_change(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(room, "_WAIT", 0.05)
    other = Journal(journal.root)
    with journal.held(), pytest.raises(JournalError, match="another program holds it"):
        write(other, "1")


# ------------------------------------------------------------------ who may write, and where
def test_a_reader_writes_nothing_at_all(journal: Journal, tmp_path: Path):
    reader = writer(journal, BERT)
    with pytest.raises(RoleError, match="bert is a reader"):
        reader.write(tmp_path / "a.toml", "1")
    with pytest.raises(RoleError), reader.adding(tmp_path / "a.readings.duckdb"):
        raise AssertionError("not let in")
    with pytest.raises(RoleError), reader.held():
        raise AssertionError("not let in")
    assert list(tmp_path.iterdir()) == [], "not even the journal"
    assert "bert is a reader" in reader.why_not
    assert writer(journal).why_not == ""


def test_the_role_is_asked_at_every_change(journal: Journal):
    now = [ANNA]

    def again() -> Visitor:
        if not now:
            raise RefusedError(401, "out")
        return now[0]

    own = TeamWriter(journal.root, at_this_machine(), journal, again)
    own.write(journal.root / "a.toml", "1")
    now[0] = Visitor(Person("anna", "reader"), "proxy", "10.0.0.1")
    with pytest.raises(RoleError):
        own.write(journal.root / "a.toml", "2")
    now.clear()
    with pytest.raises(RefusedError):
        own.write(journal.root / "a.toml", "3")
    assert own.why_not == "out"
    assert (journal.root / "a.toml").read_text() == "1"


@pytest.mark.parametrize(
    "name",
    [
        "../out.toml", "/tmp/out.toml", "north/../../out.toml", ".hidden.toml", ".git/a.toml",
        ".bedstone/changes.jsonl", ".bedstone/a.toml", "a.txt", "a", "a.toml/", "link.toml",
        "way/a.toml", "a.py", "a.toml\0", "a.toml.exe", "x" * 300 + ".toml/..",
    ],
)  # fmt: skip
def test_nothing_is_written_elsewhere(tmp_path: Path, name: str):
    root = tmp_path / "in"
    root.mkdir()
    (tmp_path / "away").mkdir()
    (root / "link.toml").symlink_to(tmp_path / "out.toml")
    (root / "way").symlink_to(tmp_path / "away")
    journal = Journal(root)
    before = sorted(path for path in tmp_path.rglob("*") if root / ".bedstone" not in path.parents)
    path = Path(f"{root}/{name}") if not name.startswith("/") else Path(name)
    if name == "a.toml/":
        path = root / "a.toml" / "b"
    with pytest.raises(InputError):
        writer(journal).write(path, "1")
    after = [path for path in tmp_path.rglob("*") if root / ".bedstone" not in path.parents]
    assert sorted(set(after) - {root / ".bedstone"}) == before
    assert lines(journal) == []


def test_one_file_alone_is_written_without_a_journal(tmp_path: Path):
    ALONE.write(tmp_path / "a.toml", "1")
    with ALONE.adding(tmp_path / "a.readings.duckdb") as adding:
        adding([])
    assert [path.name for path in tmp_path.iterdir()] == ["a.toml"]
    assert ALONE.why_not == ALONE.kept_by == ""


def test_readings_are_told_before_and_after(journal: Journal):
    record = journal.root / "a.readings.duckdb"
    with writer(journal).adding(record) as adding:
        adding([{"seat": "A1-1", "value": 0.001}])
        assert len(lines(journal)) == 1
        record.write_bytes(b"kept")
    first, second = journal.read().changes
    assert (first.what, first.before, first.after) == ("readings", None, None)
    assert first.rows == ({"seat": "A1-1", "value": 0.001},)
    assert (second.what, second.of, second.after) == ("readings kept", 1, file_sha256(record))
    with contextlib.suppress(ZeroDivisionError), writer(journal).adding(record) as adding:
        adding([])
        1 / 0  # noqa: B018 - the record refuses what was told already
    assert journal.read().changes[-1].what == "not made"
    assert journal.since() == ()


# ------------------------------------------------------------------ differences
TEXTS = st.lists(
    st.sampled_from(["a\n", "b\n", "c\n", "d = 1\n", "\n", "\u2028\n", "\x0b\n", "é\n", "@@ -1\n"])
).map("".join)
ENDS = st.sampled_from(["", "", "x", "\\", "\r"])


def applied(folder: Path, before: str, after: str) -> str:
    """What git makes of the old text with our difference."""
    told = difference(before.encode(), after.encode(), "a.toml")
    (folder / "a.toml").write_bytes(before.encode())
    (folder / "d.diff").write_bytes(told.encode())
    done = subprocess.run(
        ["git", "apply", "--unidiff-zero", "--whitespace=nowarn", "d.diff"],
        cwd=folder, capture_output=True, text=True, timeout=60,
        env={**os.environ, "GIT_CEILING_DIRECTORIES": str(folder.parent)},
    )  # fmt: skip
    assert done.returncode == 0, (done.stderr, told)
    return (folder / "a.toml").read_bytes().decode()


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
@pytest.mark.parametrize("most", [4_000_000, 0])
def test_a_difference_makes_the_new_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int
):
    monkeypatch.setattr(room, "_MOST_COMPARED", most)
    for before, after in (
        ("a\nb\nc\n", "a\nx\nc\n"), ("a\nb\n", "b\n"), ("b\n", "a\nb\n"), ("a\n", "a\nb\n"),
        ("a", "b"), ("a", "a\n"), ("a\n", "a"), ("a\r\n", "a\n"), ("a\x0bb\n", "a\x0bc\n"),
        ("x\u2028y\n", "x\u2028z\n"), ("1\n2\n3\n4\n5\n6\n7\n8\n9\n", "1\n4\n5\n6\n7\n8\nx\n9\n"),
        ("\\ No newline\n", "\\ No newline"), ("a\na\na\n", "a\na\n"),
    ):  # fmt: skip
        assert applied(tmp_path, before, after) == after, (before, after)


@given(TEXTS, ENDS, TEXTS, ENDS)
def test_a_difference_tells_all_lines(before: str, end: str, after: str, other: str):
    """What it takes out and leaves is the old text, what it leaves and puts in the new one."""
    old, new = before + end, after + other
    told = difference(old.encode(), new.encode(), "a.toml").split("\n")
    if old == new:
        assert told == [""]
        return
    gone = sum(line.startswith("-") for line in told[2:])
    come = sum(line.startswith("+") for line in told[2:])
    count = [text.count("\n") + (not text.endswith("\n") and text != "") for text in (old, new)]
    assert count[1] - count[0] == come - gone


def test_a_costly_text_is_not_compared_by_pairs(monkeypatch: pytest.MonkeyPatch):
    """Many lines, each a thousand times: that would take hours."""
    old = "".join(f"{number % 100}\n" for number in range(100_000)).encode()
    new = "".join(f"{number % 99}\n" for number in range(100_000)).encode()
    monkeypatch.setattr(room.difflib, "unified_diff", None)
    assert difference(old, new, "a.toml").startswith("--- a/a.toml")
    assert difference(b"x" * 1_000_001, b"", "a.toml") == ""
    assert difference(b"\xff", b"a", "a.csv") == ""
