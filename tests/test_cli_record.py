"""The verb of readings: what it prints, writes and leaves with."""

import datetime as dt
import json
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from openpyxl import load_workbook

from bedstone.cli.common import accepted_rows
from bedstone.errors import InputError
from bedstone.output.record_data import record_schema

EXAMPLES = Path(__file__).parents[1] / "examples"
RECORD = Path("truss.readings.duckdb")
VISIT = {
    "Taken by": "M. Iversen", "Date": dt.date(2026, 5, 31), "Time": dt.time(7, 30),
    "Time zone": "Europe/Vienna", "Steel temperature": 20.0, "Temperature unit": "degC",
}  # fmt: skip


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """The verb, with a truss in the folder."""
    shutil.copy(EXAMPLES / "truss.toml", "truss.toml")
    return partial(command, "record")


def fill(form: Path, values: dict[tuple[str, str, str], object], **visit: object) -> None:
    book = load_workbook(form)
    for row in book["Visit"].iter_rows():
        told = {**VISIT, **visit}.get(str(row[0].value))
        if told is not None:
            row[1].value = told
    left = dict(values)
    for row in book["Readings"].iter_rows(min_row=2):
        key = (row[0].value, row[1].value, row[2].value or "")
        if key in left:
            row[3].value = left.pop(key)
    assert not left
    book.save(form)


OFFSET = ("A2-1", "offset along", "")


def test_from_form_to_history(run: Run) -> None:
    assert run("truss.toml", "--form", "form.xlsx").code == 0
    shutil.copy("form.xlsx", "blank.xlsx")
    fill(Path("form.xlsx"), {OFFSET: 4.0, ("A2-1", "corrosion", ""): "rust spots"})
    done = run("truss.toml", "--add", "form.xlsx", "--built", "1961-05-01")
    assert (done.code, RECORD.exists()) == (0, True)
    assert "batch 1: 2 readings of form.xlsx" in done.err

    done = run("truss.toml", "--add", "form.xlsx")
    assert done.code == 2
    assert "came in as batch 1" in done.err

    done = run("truss.toml", "--correct", 1, "--value", "0.5 cm", "--who", "A. Sorel", "--why", "x")
    assert done.code == 0
    assert "4.0 mm at 20.0 degC -> 5.0 mm at 20.0 degC" in done.err

    done = run("truss.toml", "--list", "--json")
    data = json.loads(done.out)
    jsonschema.validate(data, record_schema())
    assert [(item["value"], item["stands"]) for item in data["readings"]] == [
        (4.0, False), (None, True), (5.0, True),
    ]  # fmt: skip
    assert "(3) 4.0 mm" in run("truss.toml", "--list", "--seat", "A2-1").out
    assert "No reading of A1-1 yet" in run("truss.toml", "--list", "--seat", "A1-1").out

    assert run("truss.toml", "--export", "history.pdf").code == 0
    assert Path("history.pdf").read_bytes().startswith(b"%PDF")
    assert run("truss.toml", "--export", "history.xlsx").code == 0
    assert "Readings" in load_workbook("history.xlsx").sheetnames

    # the record of one bridge beside the file of another is told, loudly
    text = Path("truss.toml").read_text(encoding="utf-8")
    Path("truss.toml").write_text(text.replace("over the Velm", "over the Orr"), encoding="utf-8")
    for arguments in (["--list"], ["--export", "other.xlsx"]):
        assert (
            "begun for 'Road truss over the Velm', the bridge" in run("truss.toml", *arguments).err
        )
    Path("truss.toml").write_text(text, encoding="utf-8")

    # what was filled in is never written over
    for option in ("--form", "--export"):
        kept = Path("form.xlsx").read_bytes()
        done = run("truss.toml", option, "form.xlsx")
        assert (done.code, f"{option}: found 'form.xlsx'" in done.err) == (2, True)
        assert Path("form.xlsx").read_bytes() == kept

    # of several forms one is wrong: none comes in
    shutil.copy("blank.xlsx", "good.xlsx")
    fill(Path("good.xlsx"), {OFFSET: 4.5}, Date=dt.date(2026, 6, 1))
    fill(Path("blank.xlsx"), {OFFSET: "much"}, Date=dt.date(2026, 6, 2))
    before = RECORD.read_bytes()
    done = run("truss.toml", "--add", "good.xlsx", "--add", "blank.xlsx")
    assert done.code == 2
    assert done.err.count("\n") == 1
    assert "blank.xlsx: Readings row" in done.err
    assert RECORD.read_bytes() == before


def test_a_row_in_doubt_is_waved_on(run: Run) -> None:
    run("truss.toml", "--form", "form.csv", "--seat", "A2-1")
    text = Path("form.csv").read_text(encoding="utf-8")
    for label, value in VISIT.items():
        text = text.replace(f"{label},,", f"{label},{value},")
    text = text.replace("roller offset,left,,", "roller offset,left,30,")
    text = text.replace("offset along,,,", "offset along,,30,")
    Path("form.csv").write_text(text, encoding="utf-8")
    done = run("truss.toml", "--add", "form.csv")
    assert done.code == 2
    assert "a roller at half of it, +15.0 mm" in done.err
    # a first form that is refused leaves no record which would hold on to the day it was told
    shutil.copy("form.csv", "again.csv")
    row = done.err.split("(")[-1].split(")")[0]
    waved = ("--accept", f"form.csv:{row}", "--accept", f"again.csv:{row}")
    done = run("truss.toml", "--add", "form.csv", "--add", "again.csv", *waved)
    assert (done.code, "which came in as batch" in done.err or "the file that" in done.err) == (
        2, True,
    )  # fmt: skip
    assert sorted(path.name for path in Path().iterdir()) == ["again.csv", "form.csv", "truss.toml"]
    assert not RECORD.exists()
    built = ("--built", "1961-05-01")
    done = run("truss.toml", "--add", "form.csv", "--accept", f"form.csv:{row}", *built)
    assert done.code == 0
    assert f"taken in although in doubt: row {row}" in done.err


def test_a_log_in_doubt_comes_in_once_somebody_has_looked(run: Run) -> None:
    # 90 degC is warmer than any steel: in doubt
    rows = [f"2024-05-{day:02}T12:00Z,{day / 10},{90 if day == 9 else 10}" for day in range(1, 25)]
    text = "time,A2-1 [mm],temperature [degC]\n" + "\n".join(rows) + "\n"
    Path("log.csv").write_text(text, encoding="utf-8")
    taking = ("truss.toml", "--log", "log.csv", "--who", "M. Iversen")
    done = run(*taking)
    assert done.code == 2
    assert "log.csv: line 10, column temperature [degC]: found 90 degC" in done.err
    assert "accept temperature" in done.err
    assert not RECORD.exists()
    # another doubt than the one that was looked at does not help
    assert run(*taking, "--accept", "units").code == 2
    late = run(*taking, "--accept", "temperature", "--built", "2024-05-03")
    assert late.code == 2
    assert "not before 2024-05-0" in late.err
    done = run(*taking, "--accept", "temperature", "--built", "2024-05-01")
    assert done.code == 0, done.err
    assert "batch 1: 24 rows of log.csv" in done.err
    assert "looked at: temperature" in run("truss.toml", "--list").out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--form", "truss.toml"), "--form: found 'truss.toml'; allowed: a file whose name ends"),
        (("--export", "truss.toml"), "--export: found 'truss.toml'"),
        (("--list",), "no such file; allowed: a record of readings; it begins with the first form"),
        ((), "no such file; allowed: a record of readings"),
        (("--list", "--export", "a.pdf"), "options: found --list and --export"),
        (("--list", "--seat", "P9"), "--seat: found 'P9'; allowed: A1-1"),
        (("--correct", "1"), "--value: found nothing"),
        (("--correct", "1", "--value", "1 mm"), "no such file"),
        (("--form", "f.xlsx", "--expected", "30"), "--expected: found '30'"),
        (("--add", "none.xlsx"), "none.xlsx: file: found no such file"),
        (("--add", "a.xlsx", "--built", "May"), "--built: found 'May'; allowed: a date such as"),
        (("--add", "a.xlsx", "--accept", "x"), "--accept: found 'x'; allowed: a row number"),
        (("--value", "1 mm"), "--value: found no --correct; allowed: only with --correct"),
        (("--list", "--accept", "5"), "--accept: found no --add or --log"),
        (
            ("--add", "a.xlsx", "--accept", "units"),
            "--accept: found 'units'; allowed: a row number",
        ),
        (("--log", "a.csv", "--accept", "5"), "--accept: found '5'; allowed: temperature, swapped"),
        (("--export", "a.pdf", "--zone", "UTC"), "--zone: found no --log"),
        (("--add", "a.xlsx", "--who", "me"), "--who: found no --correct or --log"),
        (("--list", "--built", "1961-05-01"), "--built: found no --add or --log"),
        (("--list", "--expected", "9 degC"), "--expected: found no --form"),
    ],
)
def test_what_cannot_be_done(run: Run, arguments: tuple[str, ...], told: str) -> None:
    before = Path("truss.toml").read_bytes()
    done = run("truss.toml", *arguments)
    assert done.code == 2
    assert done.err.count("\n") == 1
    assert told in done.err
    assert Path("truss.toml").read_bytes() == before
    assert not RECORD.exists()


def test_what_cannot_be_corrected(run: Run) -> None:
    run("truss.toml", "--form", "form.xlsx")
    fill(Path("form.xlsx"), {OFFSET: 4.0, ("A2-1", "corrosion", ""): "none"})
    run("truss.toml", "--add", "form.xlsx")
    sure = ("--who", "A. Sorel", "--why", "x")
    for arguments, told in (
        (("--correct", 9, "--value", "1 mm", *sure), "found 9; allowed: 1 to 2"),
        (("--correct", 1, "--value", "1 kN", *sure), "found '1 kN'"),
        (("--correct", 1, "--value", "1 mm", "--why", "x"), "--who: found nothing"),
        (("--correct", 1, "--value", "1 mm", "--who", "A"), "--why: found nothing"),
        (("--correct", 2, "--value", "rusty", *sure), "allowed: none, rust spots"),
        (("--correct", 1, "--steel", "12", *sure), "--steel: found '12'"),
        (("--correct", 1, "--steel", "293 degC", *sure), "allowed: -80 to 100 degC"),
    ):
        done = run("truss.toml", *arguments)
        assert (done.code, told in done.err) == (2, True), done.err
    # a word "none" is a reading; to take one back has words of its own
    assert run("truss.toml", "--correct", 2, "--value", "take back", *sure).code == 0
    assert run("truss.toml", "--correct", 1, "--steel", "57.2 degF", *sure).code == 0
    data = json.loads(run("truss.toml", "--list", "--json").out)
    stands = [item for item in data["readings"] if item["stands"]]
    assert [(item["value"], item["steel_degC"]) for item in stands] == [(4.0, 14.0)]


def test_a_row_is_accepted_of_the_form_that_is_meant() -> None:
    forms = [Path("a/visit.xlsx"), Path("b/visit.xlsx"), Path("b/other.csv")]
    assert accepted_rows(["b/visit.xlsx:5", "other.csv:7", "b/visit.xlsx:9"], forms) == {
        forms[1]: [5, 9],
        forms[2]: [7],
    }
    assert accepted_rows(["5"], forms[:1]) == {forms[0]: [5]}
    for wrong in ("visit.xlsx:5", "5", "none.csv:5", "other.csv:x", "other.csv:-1"):
        with pytest.raises(InputError, match="--accept"):  # of two forms of one name, which?
            accepted_rows([wrong], forms)


def test_a_log_in_words_of_its_own_comes_in(run: Run) -> None:
    rows = [f"2026-03-{day:02d}T12:00Z,{10 + day},{0.768 * day:.3f}" for day in range(1, 29)]
    Path("own.csv").write_text("\n".join(["when,steel,gauge", *rows]) + "\n")
    asked = ("truss.toml", "--log", "own.csv", "--seat", "A2-1", "--who", "M. Iversen")
    assert run(*asked).code == 2
    columns = ("--column", "when=time", "--column", "steel=temperature", "--column",
               "gauge=movement", "--unit", "steel=degC", "--unit", "gauge=mm")  # fmt: skip
    done = run(*asked, *columns)
    assert done.code == 0, done.err
    assert "28 rows of own.csv" in done.err
    refused = run("truss.toml", "--list", "--column", "when=time")
    assert refused.code == 2
    assert "--column" in refused.err
