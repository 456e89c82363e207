"""The verbs that hand something on: what they print, write and leave with."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

EXAMPLES = Path(__file__).parents[1] / "examples"


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """With a truss in the folder."""
    shutil.copy(EXAMPLES / "truss.toml", "truss.toml")
    return command


def test_drawings_without_analysis(run: Run) -> None:
    done = run("draw", "truss.toml", "--bare", "--format", "svg", "--format", "dxf", "--out", "d")
    assert done.code == 0
    names = {path.name for path in Path("d").iterdir()}
    assert "plan-and-elevation.dxf" in names
    assert {Path(name).suffix for name in names} == {".dxf", ".svg"}


def test_settings_of_one_seat_as_data_and_cards(run: Run) -> None:
    done = run("setting", "truss.toml", "--seat", "A2-1", "--json", "--out", "cards")
    assert done.code == 0
    data = json.loads(done.out)
    schema = json.loads(run("schema", "setting").out)
    jsonschema.validate(data, schema)
    assert [item["seat"] for item in data["bearings"]] == ["A2-1"]
    assert Path("cards/cards.pdf").read_bytes().startswith(b"%PDF")


def test_package_is_the_same_for_the_same_date(run: Run) -> None:
    arguments = ("report", "truss.toml", "--no-bearings", "--date", "2026-05-31")
    assert run(*arguments, "--out", "one.pdf").code == 0
    assert run(*arguments, "--out", "two.pdf").code == 0
    assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


@pytest.mark.parametrize(
    ("what", "to", "file"),
    [
        ("schedule", "csv", "seats.csv"),
        ("schedule", "xlsx", "schedule.xlsx"),
        ("setting", "csv", "setting.csv"),
        ("sharing", "parquet", "sharing.parquet"),
        ("comparison", "csv", "ranking.csv"),
    ],
)
def test_results_leave_as_data(run: Run, what: str, to: str, file: str) -> None:
    assert run("export", "truss.toml", "--what", what, "--to", to, "--out", "e").code == 0
    assert (Path("e") / file).stat().st_size > 200


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ("draw", "truss.toml", "--format", "dwg"),
            "--format: found 'dwg'; allowed: dxf, svg, pdf",
        ),
        (("report", "truss.toml", "--out", "truss.toml"), "a file whose name ends in .pdf"),
        (("report", "truss.toml", "--paper", "a3"), "a4 or letter"),
        (("report", "truss.toml", "--date", "31.5.2026"), "a date such as"),
        (("setting", "truss.toml", "--seat", "P9"), "A1-1, A1-2, A2-1, A2-2"),
        (("export", "truss.toml", "--what", "sharing", "--to", "ifc"), "csv, json, parquet"),
        (("export", "truss.toml", "--what", "weather"), "--what: found 'weather'"),
        (("export", "absent.toml"), "absent.toml"),
    ],
)
def test_refused_in_one_line(run: Run, arguments: tuple[str, ...], told: str) -> None:
    done = run(*arguments)
    assert done.code == 2
    assert told in done.err
    assert len(done.err.strip().splitlines()) == 1
