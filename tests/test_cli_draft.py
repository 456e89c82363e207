"""The verbs `draft` and `stock-sample` at the command line."""

import json
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

from bedstone.cli.verbs import app
from bedstone.errors import InputError

runner = CliRunner()


def test_form_then_draft_then_check(tmp_path: Path) -> None:
    form = tmp_path / "form.csv"
    assert runner.invoke(app, ["draft", "--form", str(form)]).exit_code == 0
    with form.open("a", encoding="utf-8") as stream:
        stream.write("Mill Lane,,,,,steel girders,18\n")
    done = runner.invoke(app, ["draft", str(form), "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    assert "assumptions" in done.output
    checked = runner.invoke(app, ["check", str(tmp_path / "out" / "mill-lane.toml")])
    assert checked.exit_code == 0, checked.output


def test_a_faulty_row_leaves_with_two(tmp_path: Path) -> None:
    path = tmp_path / "register.csv"
    path.write_text("Name,Type,Spans [m]\nA,steel girders,18\nB,steel girders,-4\n")
    done = runner.invoke(app, ["draft", str(path), "--out", str(tmp_path / "out")])
    assert done.exit_code == 2
    assert (tmp_path / "out" / "a.toml").exists()
    assert not (tmp_path / "out" / "b.toml").exists()


def test_drafts_as_data(tmp_path: Path) -> None:
    path = tmp_path / "register.csv"
    path.write_text(
        "Name,Type,Spans [m],Girders,Functions,Kinds,Rocker radius [mm],Roller diameter [mm]\n"
        "A,steel girders,18,2,fixed; moving,point rocker; single roller,300,150\n"
        "B,steel girders,-4\n"
    )
    out = tmp_path / "out"
    done = runner.invoke(app, ["draft", str(path), "--out", str(out), "--json"])
    assert done.exit_code == 2
    told = json.loads(done.stdout)
    described = json.loads(runner.invoke(app, ["schema", "draft"]).stdout)
    jsonschema.Draft202012Validator(described).validate(told)
    (drafted,) = told["drafts"]
    assert drafted["file"] == "a.toml"
    assert drafted["known_bearings"] == ["A1-1", "A1-2"]
    (partly,) = drafted["partly_known"]
    assert partly.startswith("A2: known of the single roller alone: diameter 150 mm")
    written = (out / "a.toml").read_text()
    assert len(drafted["assumptions"]) == written.count("    # assumed: ")
    assert sum(item["count"] for item in told["assumptions"]) == len(drafted["assumptions"])
    (fault,) = told["faults"]
    assert fault["where"] == "line 3, Spans [m]"


@pytest.mark.parametrize(
    "words", [["draft"], ["draft", "x.csv"], ["draft", "--form", "x.pdf"],
              ["draft", "x.csv", "--form", "y.csv"], ["draft", "x.csv", "--out", "o"]],
)  # fmt: skip
def test_what_cannot_be_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    done = runner.invoke(app, words)
    assert isinstance(done.exception, InputError)
    assert not list(tmp_path.glob("y.csv"))


def test_a_stock_is_made_up(tmp_path: Path) -> None:
    folder = tmp_path / "stock"
    done = runner.invoke(app, ["stock-sample", str(folder), "--count", "5", "--logged", "1"])
    assert done.exit_code == 0, done.output
    assert "MADE UP" in done.output
    assert len(list(folder.rglob("*.toml"))) == 5
