"""The verb `inspect`: the made-up visit with its five faults, typed readings, bad input."""

import importlib.util
import json
import shutil
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bedstone import cli
from bedstone.site.reading_grids import COLUMNS, read_grids

EXAMPLES = Path(__file__).parents[1] / "examples"
#: The five faults of the made-up visit.
FIVE = {
    ("A1-2", "guide gap"),
    ("A2-1", "roller skew"),
    ("A2-1", "diameter"),
    ("A2-2", "offset along"),
    ("A2-2", "level along"),
}


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """The verb, with a truss and a visit to it in the folder."""
    for name in ("truss.toml", "site/truss-visit.xlsx", "site/truss-visit-sound.xlsx"):
        shutil.copy(EXAMPLES / name, Path(name).name)
    return partial(command, "inspect")


def maker():
    """The module that makes the forms."""
    path = EXAMPLES / "site" / "make_visit.py"
    spec = importlib.util.spec_from_file_location("make_visit", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_exactly_the_five_faults_are_found(run: Run) -> None:
    done = run("truss.toml", "truss-visit.xlsx", "--json")
    assert done.code == 1
    data = json.loads(done.out)
    assert {(item["place"], item["what"]) for item in data["out"]} == FIVE
    assert len(data["out"]) == 5
    causes = {item["seat"]: [c["mode"] for c in item["causes"]] for item in data["bearings"]}
    assert causes["A2-1"][0] == 6  # askew
    assert set(causes["A2-2"]) == {4, 24}  # set wrongly; the seat slopes
    # a span set as if 48 K colder is no error of a temperature in the sun, and no end is reached
    assert not any(left["reached"] for item in data["bearings"] for left in item["travel"])


def test_a_sound_visit_has_none(run: Run) -> None:
    done = run("truss.toml", "truss-visit-sound.xlsx")
    assert done.code == 0
    assert "4 of 4 bearings read: nothing out of tolerance." in done.out
    assert "Likely causes" not in done.out


def test_the_forms_are_what_their_script_makes(tmp_path: Path) -> None:
    module = maker()
    assert set(module.FAULTS) == FIVE
    columns = len(COLUMNS)
    for name, content in module.forms():
        (tmp_path / name).write_bytes(content)
        made, kept = (read_grids(folder / name) for folder in (tmp_path, EXAMPLES / "site"))
        for one, other in zip(made, kept, strict=True):
            assert {row: cells[:columns] for row, cells in one.rows.items()} == {
                row: cells[:columns] for row, cells in other.rows.items()
            }


def test_typed_readings_and_the_schema(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    done = run(
        "truss.toml", "--value", "A2-1 offset along = 7 mm", "--value", "A2-1 dirt = clean",
        "--temperature", "24 degC", "--date", "2024-05-31", "--json",
    )  # fmt: skip
    assert done.code == 0
    data = json.loads(done.out)
    (bearing,) = data["bearings"]
    assert bearing["time"] == "2024-05-31T00:00:00+00:00"
    sys.argv[1:] = ["schema", "inspection"]
    with pytest.raises(SystemExit):
        cli.main()
    jsonschema.validate(data, json.loads(capsys.readouterr().out))


def test_one_seat_of_a_form(run: Run) -> None:
    done = run("truss.toml", "truss-visit.xlsx", "--seat", "A1-2", "--json")
    assert done.code == 1
    data = json.loads(done.out)
    assert [item["seat"] for item in data["bearings"]] == ["A1-2"]
    assert data["out"] == [{"place": "A1-2", "what": "guide gap"}]
    assert data["unread"] == []


def test_tolerances_of_ones_own(run: Run) -> None:
    Path("own.toml").write_text(
        '[values.skew]\nvalue = 0.01\nsource = "drawing 7"\n'
        '[values.diameter]\nvalue = 3\nunit = "mm"\nsource = "drawing 7"\n',
        encoding="utf-8",
    )
    done = run("truss.toml", "truss-visit.xlsx", "--tolerances", "own.toml", "--json")
    data = json.loads(done.out)
    assert {(item["place"], item["what"]) for item in data["out"]} == FIVE - {
        ("A2-1", "roller skew"), ("A2-1", "diameter"),
    }  # fmt: skip
    own = next(v for v in data["tolerances"] if v["name"] == "inspection.skew")
    assert (own["basis"], own["source"]) == ("confirmed", "drawing 7")


def test_readings_of_the_record_are_judged_with_what_came_before(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    missing = run("truss.toml", "--record")
    assert missing.code == 2
    assert "readings.duckdb" in missing.err
    sys.argv[1:] = ["record", "truss.toml", "--add", "truss-visit.xlsx"]
    with pytest.raises(SystemExit) as left:
        cli.main()
    assert left.value.code == 0
    capsys.readouterr()
    kept = run("truss.toml", "--record", "--json")
    assert kept.code == 1
    assert {(item["place"], item["what"]) for item in json.loads(kept.out)["out"]} == FIVE
    # half a year later, 35 K colder, where it stood: one visit says nothing, both say stuck
    more = (
        "--value", "A2-1 offset along = 7.4 mm", "--temperature", "-11 degC",
        "--date", "2024-11-20", "--seat", "A2-1", "--json",
    )  # fmt: skip
    both = json.loads(run("truss.toml", "--record", *more).out)["bearings"][0]
    stuck = next(cause for cause in both["causes"] if cause["mode"] == 1)
    assert any("earlier visit" in sign["text"] for sign in stuck["signs"])
    assert any("seized" in effect["fault"] for effect in both["effects"])


def test_a_row_in_doubt_is_accepted_by_its_number(run: Run) -> None:
    refused = run("truss.toml", "truss-visit.xlsx", "--accept", "4000")
    assert refused.code == 2
    assert "accepted row 4000" in refused.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "nothing to judge"),
        (("nowhere.xlsx",), "nowhere.xlsx"),
        (("truss.toml",), "truss.toml"),
        (("truss-visit.xlsx", "--seat", "A9-1"), "A9-1"),
        (("truss-visit.xlsx", "--stage", "painted"), "slab cast"),
        (("truss-visit.xlsx", "--temperature", "18 degC"), "only with --value"),
        (("truss-visit.xlsx", "--tolerances", "none.toml"), "none.toml"),
        (("--value", "A2-1 offset along = 12", "--value", "A9 x = 1 mm"), "A9"),
        (("truss-visit.xlsx", "--causes", "0"), "--causes"),
        (("--value", "A2-1 dirt = some", "--seat", "A1-1"), "A1-1, not read"),
        (("--value", "A2-1 dirt = some", "--accept", "7"), "--accept: found no form"),
        (("--value", "A1-1 pot gap 1 = 8 mm"), "'pot gap' on a line rocker; allowed: tilt"),
        (("--value", "A1-1 joint gap = 8 mm"), "'joint gap' at A1-1; allowed: read at a support"),
        (
            ("--value", "A2-1 offset along = 8 mm", "--temperature", "68 degC"),
            "found 68 degC; allowed: -29 to 58 degC here; 68 degF meant?",
        ),
        (("--value", "A2-1 offset along = 8 mm", "--temperature", "293 degC"), "found 293 degC"),
        (("--value", "A2-1 offset along = 1_2 mm"), "found '1_2 mm'"),
    ],
)
def test_bad_input_is_told_and_leaves_with_2(run: Run, arguments: tuple, told: str) -> None:
    done = run("truss.toml", *arguments)
    assert done.code == 2
    assert done.out == ""
    assert told in done.err
