"""What was read on the bearings of a stock, from the record beside each bridge file.

The log is made up with a known truth (`bedstone.site.synthetic`): a bearing put in as frozen must
come out as frozen, and one put in as free must not ask for attention.
"""

import datetime as dt
import gzip
import shutil
from pathlib import Path

import pytest

from bedstone.site import synthetic
from bedstone.site.log_files import LogForm
from bedstone.site.reading_files import FilledForm, Visit
from bedstone.site.readings import Reading
from bedstone.site.record import new_record, open_record, record_file
from bedstone.stock.members import find_stock, task_of
from bedstone.stock.places import Folder
from bedstone.stock.pool import Pool
from bedstone.stock.ranking import rank, thresholds_of
from bedstone.stock.store import Store
from bedstone.stock.tables import TABLES
from bedstone.stock.task import Answer, Options, work_out

NOW = dt.datetime(2026, 6, 1, tzinfo=dt.UTC)
QUICK = Path(__file__).parents[1] / "comparison" / "one_line.toml"
READ = Options(parts=("schedule", "inspect", "monitor"))
SEATS = ("A1-1", "A2-1")
#: What the beam of the bridge file does along for 1 K: alpha L = 12e-6 * 40 m, to a few per cent.
ASKED = 6.0e-4


def cells(answer: Answer, table: str) -> list[dict[str, object]]:
    names = list(TABLES[table].columns)
    return [dict(zip(names, found, strict=True)) for found in answer.rows.get(table, ())]


def logged(folder: Path, mode: str) -> Path:
    """The quick bridge with a log of 120 days of its movable bearing in the record."""
    file = folder / f"{mode.replace(' ', '-')}.toml"
    shutil.copy(QUICK, file)
    text = synthetic.as_csv("made up", [synthetic.made_up("A2-1", mode, ASKED, days=120, seed=3)])
    log = folder / f"{mode}.csv"
    log.write_bytes(gzip.decompress(text))
    new_record(record_file(file), "made up", dt.date(1990, 1, 1))
    with open_record(record_file(file), write=True, logs=True) as record:
        record.add_log(log, LogForm(SEATS, zone="UTC", now=NOW), "M. Iversen", NOW)
    return file


def visited(folder: Path, offset: float) -> Path:
    file = folder / "visited.toml"
    shutil.copy(QUICK, file)
    time = dt.datetime(2026, 5, 1, 7, 30, tzinfo=dt.UTC)
    read = Reading(
        "A2-1", "offset along", "", offset, "", time, 14.0, "M. Iversen", "rule", "f.xlsx", 5
    )
    visit = Visit("M. Iversen", "sun", "three places", 14.0, 16.0, "Europe/Vienna", "")
    form = FilledForm("f.xlsx", "a" * 64, visit, (read,), {}, ())
    new_record(record_file(file), "made up")
    with open_record(record_file(file), write=True) as record:
        record.add(form, NOW)
    return file


@pytest.mark.parametrize("mode", ["frozen", "free"])
def test_a_log_comes_out_as_it_was_put_in(tmp_path: Path, mode: str) -> None:
    file = logged(tmp_path, mode)
    answer = work_out(task_of(tmp_path, file.name, READ))
    assert answer.broken == ""
    (told,) = cells(answer, "monitored")
    assert told["seat"] == "A2-1"
    assert told["readings"] == 2880
    assert (told["judgement"] == "frozen") == (mode == "frozen")
    store = Store(Folder(tmp_path))
    part = store.keep(task_of(tmp_path, file.name, READ), answer)
    with store.view([part]) as view:
        (found,) = rank(view, thresholds_of())
    logs = [item for item in found.reasons if item.kind == "log"]
    if mode == "frozen":
        assert (logs[0].place, logs[0].what) == ("A2-1", "frozen")
        assert logs[0].concern == thresholds_of().number("frozen")
    else:
        assert not [item for item in logs if item.what in ("frozen", "restricted", "sluggish")]


def test_a_visit_says_what_was_found(tmp_path: Path) -> None:
    file = visited(tmp_path, 0.150)
    answer = work_out(task_of(tmp_path, file.name, READ))
    assert answer.broken == ""
    (told,) = cells(answer, "inspections")
    assert told["seat"] == "A2-1"
    assert told["out"] >= 1  # 150 mm off on a beam that asks for a few
    assert "offset along" in str(told["out_of_tolerance"])
    assert told["time_utc"] == "2026-05-01T07:30:00+00:00"


def test_a_new_reading_is_new_work_and_no_part_of_other_questions(tmp_path: Path) -> None:
    shutil.copy(QUICK, tmp_path / "visited.toml")
    before = task_of(tmp_path, "visited.toml", READ).key()
    plain = task_of(tmp_path, "visited.toml", Options(parts=("schedule",))).key()
    visited(tmp_path, 0.010)
    assert task_of(tmp_path, "visited.toml", READ).key() != before
    assert task_of(tmp_path, "visited.toml", Options(parts=("schedule",))).key() == plain


def test_a_record_that_is_none_is_a_remark(tmp_path: Path) -> None:
    shutil.copy(QUICK, tmp_path / "a.toml")
    record_file(tmp_path / "a.toml").write_bytes(b"no database at all")
    answer = work_out(task_of(tmp_path, "a.toml", READ))
    assert [told["state"] for told in cells(answer, "bridges")] == ["done"]
    told = cells(answer, "remarks")
    assert {item["part"] for item in told} == {"inspect", "monitor"}
    assert {item["file"] for item in told} == {"a.readings.duckdb"}
    assert all("bedstone-" not in str(item["text"]) for item in told)  # the temporary folder
    assert answer == work_out(task_of(tmp_path, "a.toml", READ))


def test_a_linked_record_is_a_fault(tmp_path: Path) -> None:
    stock = tmp_path / "stock"
    stock.mkdir()
    shutil.copy(QUICK, stock / "a.toml")
    (tmp_path / "secret").write_bytes(b"secret")
    record_file(stock / "a.toml").symlink_to(tmp_path / "secret")
    task = task_of(stock, "a.toml", READ)
    assert [fault.file for fault in task.faults] == ["a.readings.duckdb"]


def test_the_record_goes_to_the_workers(tmp_path: Path) -> None:
    logged(tmp_path, "frozen")
    stock = find_stock(tmp_path)
    (done,) = Pool(1).run(stock.tasks(READ))
    (task,) = stock.tasks(READ)
    assert done.answer == work_out(task)
    assert cells(done.answer, "monitored")
