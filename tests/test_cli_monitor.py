"""The verb `monitor`: made-up logs, the record, bad input, exit codes."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

EXAMPLES = Path(__file__).parents[1] / "examples"
LOGS = EXAMPLES / "site" / "logs"


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """With a truss in the folder."""
    shutil.copy(EXAMPLES / "truss.toml", "truss.toml")
    return command


@pytest.mark.parametrize(
    ("log", "code", "words"),
    [
        ("free", 0, ["free", "free"]),
        ("sluggish", 1, ["sluggish", "free"]),
        ("frozen", 1, ["frozen", "free"]),
        ("ratcheting", 1, ["ratcheting", "free"]),
        ("wrong-preset", 1, ["wrong preset", "free"]),
        ("pier-moved", 1, ["substructure moved", "substructure moved"]),
    ],
)
def test_shipped_logs_are_judged_for_what_they_are(
    run: Run, log: str, code: int, words: list[str]
) -> None:
    done = run("monitor", "truss.toml", LOGS / f"{log}.csv.gz", "--json")
    assert done.code == code, done.err
    data = json.loads(done.out)
    jsonschema.validate(data, json.loads(run("schema", "monitor").out))
    assert [seat["judgement"] for seat in data["seats"]] == words


def test_a_table_for_people(run: Run) -> None:
    done = run("monitor", "truss.toml", LOGS / "ratcheting.csv.gz")
    assert done.code == 1
    assert "Needs action: A2-1." in done.out
    assert "Creeps +" in done.out
    assert "must be checked independently" in " ".join(done.out.split())


def test_without_a_log_the_record_is_judged(run: Run) -> None:
    missing = run("monitor", "truss.toml")
    assert missing.code == 2
    assert "truss.readings.duckdb" in missing.err
    added = run("record", "truss.toml", "--log", LOGS / "frozen.csv.gz", "--who", "N. N.")
    assert added.code == 0, added.err
    done = run("monitor", "truss.toml", "--json")
    assert done.code == 1
    seats = {seat["seat"]: seat["judgement"] for seat in json.loads(done.out)["seats"]}
    assert seats == {"A2-1": "frozen", "A2-2": "free"}


def test_a_zero_of_its_own_and_a_new_bearing(run: Run) -> None:
    done = run("monitor", "truss.toml", LOGS / "wrong-preset.csv.gz", "--relative", "--json")
    assert done.code == 0
    assert json.loads(done.out)["seats"][0]["off_mm"] is None
    done = run("monitor", "truss.toml", LOGS / "frozen.csv.gz", "--opened", "2023-09-01", "--json")
    assert json.loads(done.out)["seats"][0]["judgement"] == "clamp left"


def test_thresholds_of_an_engineer(run: Run) -> None:
    Path("own.toml").write_text('[values.free]\nvalue = 0.6\nsource = "manual"\n')
    log = LOGS / "sluggish.csv.gz"
    assert run("monitor", "truss.toml", log, "--thresholds", "own.toml").code == 0
    Path("own.toml").write_text('[values.fre]\nvalue = 0.6\nsource = "manual"\n')
    done = run("monitor", "truss.toml", log, "--thresholds", "own.toml")
    assert done.code == 2
    assert "values.fre" in done.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["none.csv"], "none.csv"),
        (["--zone", "UTC"], "no log"),
        (["x.csv", "--opened", "May"], "--opened"),
        (["x.csv", "--column", "offset"], "--column"),
        (["x.csv", "--seat", "X9"], "X9"),
    ],
)
def test_bad_input_is_one_line_and_leaves_with_2(run: Run, arguments: list[str], told: str) -> None:
    Path("x.csv").write_text("time,movement [mm],temperature [degC]\n2026-01-01T00:00Z,1.0,2.0\n")
    done = run("monitor", "truss.toml", *arguments)
    assert done.code == 2
    assert told in done.err
    assert not done.out


def test_columns_and_units_by_name(run: Run) -> None:
    rows = "".join(
        f"2026-01-{day:02d}T{hour:02d}:00Z,{0.00768 * (day + hour):.5f},{day + hour}.0\n"
        for day in range(1, 9)
        for hour in range(24)
    )
    Path("odd.csv").write_text(f"stamp,gauge,steel\n{rows}")
    done = run(
        "monitor", "truss.toml", "odd.csv", "--seat", "A2-1", "--json", "--relative",
        "--column", "stamp=time", "--column", "gauge=movement", "--column", "steel=temperature",
        "--unit", "gauge=cm", "--unit", "steel=degC",
    )  # fmt: skip
    assert done.code in (0, 1), done.err
    (seat,) = json.loads(done.out)["seats"]
    # 0.00768 cm to the kelvin
    assert seat["fit"]["slope_mm_per_K"]["value"] == pytest.approx(0.0768, rel=1e-2)
