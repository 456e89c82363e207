"""The record: nothing lost, nothing changed, all of an import or none of it.

Killing a process (SIGKILL) in the midst of an import is the outside check: POSIX ends it at once,
without any chance to tidy up.
"""

import datetime as dt
import os
import shutil
import signal
import subprocess
import sys
import textwrap
from dataclasses import replace
from pathlib import Path

import duckdb
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.errors import Fault, InputError
from bedstone.site.log_files import LogForm
from bedstone.site.reading_files import FilledForm, Visit
from bedstone.site.readings import Reading
from bedstone.site.record import (
    begin_record,
    current_readings,
    new_record,
    open_record,
    other_bridge,
    record_file,
)

NOW = dt.datetime(2026, 5, 31, 12, tzinfo=dt.UTC)


def reading(value: float = 0.012, row: int = 5, seat: str = "A2-1", day: int = 1) -> Reading:
    time = dt.datetime(2026, 5, day, 7, 30, tzinfo=dt.UTC)
    return Reading(seat, "offset along", "", value, "", time, 14.0, "me", "rule", "f.xlsx", row)


def form(*readings: Reading, sha256: str = "a" * 64, **how: object) -> FilledForm:
    visit = Visit("M. Iversen", "sun", "three places", 14.0, 16.0, "Europe/Vienna", "after rain")
    return FilledForm("f.xlsx", sha256, visit, readings, **({"remarks": {}, "looked": ()} | how))  # type: ignore[arg-type]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = record_file(tmp_path / "velm.toml")
    new_record(found, "Velm", dt.date(1961, 5, 1))
    return found


def add(path: Path, *forms: FilledForm) -> None:
    with open_record(path, write=True) as record:
        for one in forms:
            record.add(one, NOW)


def dump(path: Path) -> list[tuple[object, ...]]:
    """Everything in the file, as any program sees it."""
    with duckdb.connect(str(path), read_only=True) as connection:
        return [
            row
            for table in ("layout", "batch", "reading", "log")
            for row in connection.execute(f"SELECT * FROM {table} ORDER BY ALL").fetchall()
        ]


# ------------------------------------------------------------------ in and out
def test_it_lies_beside_the_bridge_file(path: Path) -> None:
    assert path.name == "velm.readings.duckdb"
    with open_record(path) as record:
        assert (record.bridge, record.built) == ("Velm", dt.date(1961, 5, 1))
        assert (record.readings(), record.batches(), record.series()) == ((), (), [])


def test_readings_come_out_as_they_went_in(path: Path) -> None:
    one = reading()
    word = replace(one, quantity="corrosion", value=None, word="none", temperature=None, row=6)
    add(path, form(one, word, remarks={5: "dirty"}, looked=(6,)))
    assert set(current_readings(path)) == {one, word}
    with open_record(path) as record:
        entries = {item.reading.quantity: item for item in record.entries()}
        assert (entries["offset along"].remark, entries["offset along"].looked) == ("dirty", False)
        assert entries["corrosion"].looked
        batch = record.batches()[0]
        assert (batch.number, batch.kind, batch.imported, batch.who, batch.file) == (
            1, "form", NOW, "M. Iversen", "f.xlsx",
        )  # fmt: skip
        assert (batch.weather, batch.taken, batch.air, batch.zone, batch.remark) == (
            "sun", "three places", 16.0, "Europe/Vienna", "after rain",
        )  # fmt: skip


def test_the_same_file_is_refused(path: Path) -> None:
    add(path, form(reading()))
    before = dump(path)
    with pytest.raises(InputError, match=r"came in as batch 1 on 2026-05-31 by M\. Iversen"):
        add(path, form(reading(day=2)))
    assert dump(path) == before


def test_the_same_reading_of_another_file_is_refused(path: Path) -> None:
    add(path, form(reading()))
    with pytest.raises(InputError, match="which is number 1 of the record"):
        add(path, form(reading(0.013, row=9), sha256="b" * 64))


def test_all_that_comes_in_together_or_nothing(path: Path) -> None:
    add(path, form(reading()))
    before = dump(path)
    with pytest.raises(InputError):
        add(path, form(reading(day=2), sha256="b" * 64), form(reading(day=3)))
    assert dump(path) == before


# ------------------------------------------------------------------ corrections
def test_a_correction_is_a_row_of_its_own(path: Path) -> None:
    add(path, form(reading(), reading(0.002, row=6, seat="A1-1")))
    with open_record(path, write=True) as record:
        new = record.correct(
            1, value=0.015, word="", who="A. Sorel", why="wrong edge", now=NOW, temperature=16.0
        )
    assert (new.number, new.replaces, new.why) == (3, 1, "wrong edge")
    with open_record(path) as record:
        old = record.entry(1)
        assert (old.reading.value, old.replaced, old.stands) == (0.012, 3, False)
        assert {item.value for item in record.readings()} == {0.015, 0.002}
        assert record.entry(3).reading.temperature == 16.0
        assert record.entry(3).reading.who == "me"  # who took it; who corrects it is in the batch
        assert record.batches()[-1].who == "A. Sorel"


def test_the_view_shows_what_stands(path: Path) -> None:
    """For people with other tools: the same as the program says."""
    add(path, form(reading(), reading(0.002, row=6, seat="A1-1")))
    with open_record(path, write=True) as record:
        record.correct(1, value=0.015, word="", who="A", why="b", now=NOW)
        record.correct(2, value=None, word="", who="A", why="b", now=NOW)
    with duckdb.connect(str(path), read_only=True) as connection:
        assert connection.execute("SELECT number, value FROM current").fetchall() == [(3, 0.015)]
    assert [item.value for item in current_readings(path)] == [0.015]


@pytest.mark.parametrize(
    ("number", "who", "why", "told"),
    [
        (9, "A", "b", "found 9; allowed: 1 to 2"),
        (1, "A", "b", "found 1, corrected by 2; allowed: a reading that stands, such as 2"),
        (2, "", "b", "--who: found nothing"),
        (2, "A", " ", "--why: found nothing"),
    ],
)
def test_what_cannot_be_corrected(path: Path, number: int, who: str, why: str, told: str) -> None:
    add(path, form(reading()))
    with open_record(path, write=True) as record:
        record.correct(1, value=0.015, word="", who="A", why="b", now=NOW)
    before = dump(path)
    with pytest.raises(InputError, match=told), open_record(path, write=True) as record:
        record.correct(number, value=0.02, word="", who=who, why=why, now=NOW)
    assert dump(path) == before


def test_a_reading_taken_back_may_be_read_again(path: Path) -> None:
    add(path, form(reading()))
    with open_record(path, write=True) as record:
        taken = record.correct(1, value=None, word="", who="A", why="other bearing", now=NOW)
        assert taken.withdrawn
        with pytest.raises(InputError, match="taken back"):
            record.correct(taken.number, value=0.1, word="", who="A", why="b", now=NOW)
        record.add(form(reading(0.014), sha256="b" * 64), NOW)
    assert [item.value for item in current_readings(path)] == [0.014]


@settings(max_examples=25)  # a file each
@given(st.lists(st.tuples(st.integers(0, 99), st.none() | st.floats(-1.0, 1.0)), max_size=8))
def test_a_chain_of_corrections(steps: list[tuple[int, float | None]]) -> None:
    """However often and in whatever order it is corrected: one value stands, and all are kept."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "r.duckdb"
        new_record(path, "Velm")
        start = {1: 0.1, 2: 0.2, 3: 0.3}
        add(path, form(*(reading(v, row=n, seat=f"S{n}") for n, v in start.items())))
        standing: dict[int, float] = dict(start)
        ever: list[tuple[int, float | None]] = [*start.items()]
        with open_record(path, write=True) as record:
            for pick, value in steps:
                if not standing:
                    break
                number = sorted(standing)[pick % len(standing)]
                made = record.correct(number, value=value, word="", who="A", why="b", now=NOW)
                del standing[number]
                ever.append((made.number, value))
                if value is not None:
                    standing[made.number] = value
        with open_record(path) as record:
            entries = {item.number: item for item in record.entries()}
            kept = [(number, item.reading.value) for number, item in sorted(entries.items())]
        assert kept == ever
        assert {n: e.reading.value for n, e in entries.items() if e.stands} == standing


# ------------------------------------------------------------------ killed, locked, broken
def _python(text: str, *arguments: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(text), *map(str, arguments)],
        stdout=subprocess.PIPE, stdin=subprocess.PIPE, text=True,
    )  # fmt: skip


_ADD = """
    import datetime as dt, os, signal, sys
    from pathlib import Path
    from bedstone.site.reading_files import FilledForm, Visit
    from bedstone.site.readings import Reading
    from bedstone.site.record import open_record
    now = dt.datetime(2026, 5, 31, 12, tzinfo=dt.UTC)
    many = tuple(
        Reading("A2-1", "offset along", "", 0.001, "", now - dt.timedelta(hours=n), 9.0, "me", "",
                "g.xlsx", n)
        for n in range(300)
    )
    visit = Visit("me", "", "", 9.0, None, "UTC", "")
    def die():
        os.kill(os.getpid(), signal.SIGKILL)
"""


def test_killed_before_the_end_of_an_import_nothing_is_lost_or_half_there(path: Path) -> None:
    add(path, form(reading()))
    before = dump(path)
    with _python(
        _ADD
        + """
    with open_record(Path(sys.argv[1]), write=True) as record:
        record.add(FilledForm("g.xlsx", "c" * 64, visit, many, {}, ()), now)
        record.connection.execute(
            "INSERT INTO log SELECT 9, range, 'A2-1', TIMESTAMP '2020-01-01', 0, 0 "
            "FROM range(500000)")
        die()
    """,
        path,
    ) as killed:
        assert killed.wait(60) == -signal.SIGKILL
    assert dump(path) == before
    add(path, form(reading(day=2), sha256="b" * 64))  # and it goes on
    assert len(current_readings(path)) == 2


def test_killed_after_an_import_it_is_there_as_a_whole(path: Path) -> None:
    with _python(
        _ADD
        + """
    with open_record(Path(sys.argv[1]), write=True) as record:
        record.add(FilledForm("g.xlsx", "c" * 64, visit, many, {}, ()), now)
        record.connection.execute("COMMIT")
        die()  # before the file is closed
    """,
        path,
    ) as killed:
        assert killed.wait(60) == -signal.SIGKILL
    assert len(current_readings(path)) == 300


def test_a_record_that_another_process_writes(path: Path) -> None:
    with _python(
        _ADD
        + """
    with open_record(Path(sys.argv[1]), write=True) as record:
        print("open", flush=True)
        sys.stdin.readline()
    """,
        path,
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "open\n"
        for write in (False, True):
            with pytest.raises(InputError) as told, open_record(path, write=write):
                pass
            (fault,) = told.value.faults
            assert fault.found == "a file that another program has open"
            assert fault.file == str(path)
        other.communicate("\n", 60)
    with open_record(path) as record:
        assert record.readings() == ()


@pytest.mark.parametrize("content", [b"", b"[bridge]\n", bytes(20_000)])
def test_a_file_that_is_no_record(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "r.duckdb"
    path.write_bytes(content)
    with pytest.raises(InputError, match="no record of readings"), open_record(path):
        pass
    assert path.read_bytes() == content


def test_a_record_from_elsewhere_reads_no_other_file(path: Path, tmp_path: Path) -> None:
    """What it has besides its tables must reach nothing outside of it."""
    (tmp_path / "secret.txt").write_text("secret", encoding="utf-8")
    with open_record(path) as record, pytest.raises(duckdb.Error, match="disabled"):
        record.connection.execute(f"SELECT * FROM read_text('{tmp_path / 'secret.txt'}')")


def test_a_record_begun_for_nothing_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "b.readings.duckdb"

    def refused_half_way() -> None:
        with begin_record(path, "Velm") as record:
            record.add(form(reading()), NOW)
            raise InputError([Fault("b.xlsx", "row 1", "again", "once")])

    with pytest.raises(InputError, match="again"):
        refused_half_way()
    assert list(tmp_path.iterdir()) == []
    with begin_record(path, "Velm", dt.date(1961, 5, 1)) as record:
        record.add(form(reading()), NOW)
    assert [file.name for file in tmp_path.iterdir()] == [path.name]
    with open_record(path) as kept:
        assert (kept.built, len(kept.readings())) == (dt.date(1961, 5, 1), 1)
    with pytest.raises(InputError, match="a name that is free"), begin_record(path, "Velm"):
        pass
    with open_record(path) as kept:
        assert len(kept.readings()) == 1


def test_a_record_of_a_bridge_of_another_name_is_told() -> None:
    assert other_bridge("Velm", "Velm") == ""
    assert "begun for 'Velm', the bridge file says 'Orr'" in other_bridge("Velm", "Orr")


def test_another_database_is_no_record(tmp_path: Path) -> None:
    path = tmp_path / "r.duckdb"
    with duckdb.connect(str(path)) as connection:
        connection.execute("CREATE TABLE reading (a INTEGER)")
    with pytest.raises(InputError, match="no record of readings"), open_record(path, write=True):
        pass


def test_a_view_in_the_place_of_a_table_is_no_record(path: Path) -> None:
    """A file from elsewhere could make a view read other files."""
    with duckdb.connect(str(path)) as connection:
        connection.execute("DROP VIEW current; DROP TABLE reading")
        connection.execute("CREATE VIEW reading AS SELECT * FROM read_text('/etc/hostname')")
    with pytest.raises(InputError, match="no record of readings"), open_record(path):
        pass


def test_a_newer_layout_is_left_alone(path: Path) -> None:
    with duckdb.connect(str(path)) as connection:
        connection.execute("UPDATE layout SET version = 2")
    before = dump(path)
    newer = pytest.raises(InputError, match="found layout 2; allowed: layout 1, or a newer")
    for write in (False, True):
        with newer, open_record(path, write=write):
            pass
    assert dump(path) == before


def test_no_record_yet(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file; allowed: a record of readings; it begins"):
        current_readings(tmp_path / "none.duckdb")


def test_a_record_is_never_made_over_another(path: Path) -> None:
    add(path, form(reading()))
    with pytest.raises(InputError, match="a name that is free"):
        new_record(path, "Velm")
    assert len(current_readings(path)) == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(InputError, match="a folder that can be written"):
        new_record(tmp_path / "r.duckdb", "Velm")


def test_making_leaves_no_other_file(tmp_path: Path) -> None:
    new_record(tmp_path / "r.duckdb", "Velm")
    assert [file.name for file in tmp_path.iterdir()] == ["r.duckdb"]


# ------------------------------------------------------------------ logs
LOG = "time,movement [mm],temperature [degC]\n" + "".join(
    f"2026-05-{day:02d}T{hour:02d}:00:00Z,{day + hour / 24:.3f},{10 + day / 4 + hour / 8:.2f}\n"
    for day in range(1, 6)
    for hour in range(24)
)


def _log(path: Path, file: Path, who: str = "M. Iversen") -> None:
    wanted = LogForm(("A1-1", "A2-1"), "A2-1", zone="UTC", now=NOW)
    with open_record(path, write=True, logs=True) as record:
        record.add_log(file, wanted, who, NOW)


def test_a_log_comes_in_and_out(path: Path, tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(LOG, encoding="utf-8")
    _log(path, file)
    with open_record(path) as record:
        (series,) = record.series()
        (told,) = record.logged()
        assert record.batches()[0].kind == "log"
    assert (series.seat, len(series.time)) == ("A2-1", 120)
    assert series.movement[0] == pytest.approx(0.001)
    assert series.temperature[-1] == pytest.approx(10 + 5 / 4 + 23 / 8, abs=0.006)
    with duckdb.connect(str(path), read_only=True) as connection:  # a head, then a line an hour
        lines = connection.execute("SELECT min(row), max(row) FROM log").fetchall()
    assert lines == [(2, 121)]
    assert (told.rows, told.first) == (120, dt.datetime(2026, 5, 1, tzinfo=dt.UTC))


def test_a_log_is_refused_as_a_whole(path: Path, tmp_path: Path) -> None:
    add(path, form(reading()))
    before = dump(path)
    file = tmp_path / "log.csv"
    file.write_text(LOG + "2026-05-07T00:00:00Z,about 7,12\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"log\.csv: line 122, "):
        _log(path, file)
    file.write_text(LOG, encoding="utf-8")
    with pytest.raises(InputError, match="--who: found nothing"):
        _log(path, file, who="")
    assert dump(path) == before


def test_times_of_a_log_come_in_once(path: Path, tmp_path: Path) -> None:
    file, again = tmp_path / "log.csv", tmp_path / "copy.csv"
    file.write_text(LOG, encoding="utf-8")
    _log(path, file)
    shutil.copy(file, again)
    with pytest.raises(InputError, match="came in as batch 1"):
        _log(path, again)
    again.write_text(LOG + "2026-05-07T00:00:00Z,7.1,12\n", encoding="utf-8")
    with pytest.raises(InputError, match="120 times that the record has, from 2026-05-01"):
        _log(path, again)
