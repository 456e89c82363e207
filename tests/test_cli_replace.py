"""The verb that lifts bearings free: what it prints and leaves with."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bedstone.output.replace_data import lift_schema

EXAMPLES = Path(__file__).parents[1] / "examples"


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """With a truss in the folder."""
    shutil.copy(EXAMPLES / "truss.toml", "truss.toml")
    return command


def test_a_line_for_people(run: Run) -> None:
    done = run("replace", "truss.toml", "--support", "A2")
    assert done.code == 0
    assert "Lifting A2-1, A2-2 free at A2 (whole line)" in done.out
    assert "Order of work" in done.out
    assert done.err == ""


def test_a_seat_as_data_with_traffic_and_a_lift(run: Run) -> None:
    done = run("replace", "truss.toml", "--seat", "A2-1", "--lift", "6 mm", "--traffic", "--json")
    data = json.loads(done.out)
    jsonschema.validate(data, lift_schema())
    assert data["seats"] == ["A2-1"]
    assert data["traffic"] is True
    assert data["lift_mm"] == pytest.approx(6.0)
    assert done.code == (0 if data["holds"] else 1)
    # the bearings of the file are designed for it: what they may carry is known
    assert all(item["designed_for_kN"] for item in data["bearings"])


def test_a_lift_that_does_not_suffice_leaves_with_one(run: Run) -> None:
    done = run("replace", "truss.toml", "--seat", "A2-1", "--lift", "1 mm")
    assert done.code == 1
    assert "NOT ENOUGH" in done.out


def test_jacks_of_the_file_that_do_not_suffice_leave_with_one(run: Run) -> None:
    with Path("truss.toml").open("a") as file:
        file.write('\n[[replacement.jacks]]\nat = "A2"\ncapacity = "500 kN"\n')
    done = run("replace", "truss.toml", "--support", "A2")
    assert done.code == 1
    assert "DOES NOT HOLD: jack A2-1/1" in done.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "--seat, --support: found nothing"),
        (("--seat", "A9-1"), "--seat: found 'A9-1'; allowed: A1-1, A1-2, A2-1, A2-2"),
        (("--support", "A2-1"), "--support: found 'A2-1'; allowed: A1, A2"),
        (("--seat", "A2-1", "--lift", "6"), "--lift: found '6'"),
        (("--seat", "A2-1", "--lift", "-1 mm"), "--lift: found '-1 mm'"),
        (("--seat", "A2-1", "--lift", "3 m"), "--lift: found '3 m'"),
        (("--seat", "A2-1", "--tolerances", "none.toml"), "none.toml"),
    ],
)
def test_bad_input_is_one_line(run: Run, arguments: tuple[str, ...], told: str) -> None:
    done = run("replace", "truss.toml", *arguments)
    assert done.code == 2
    assert done.out == ""
    assert told in done.err
    assert len(done.err.splitlines()) == 1


def test_jacks_at_a_place_that_is_none_are_told_with_their_place(run: Run) -> None:
    with Path("truss.toml").open("a") as file:
        file.write('\n[[replacement.jacks]]\nat = "P7"\n\n[[replacement.jacks]]\nat = "Q"\n')
    done = run("replace", "truss.toml", "--support", "A2")
    assert done.code == 2
    assert done.err.startswith("truss.toml: replacement.jacks[1].at: found 'P7'")
    assert len(done.err.splitlines()) == 2


def test_own_figures(run: Run) -> None:
    Path("own.toml").write_text(
        '[values.clearance]\nvalue = 9\nunit = "mm"\nsource = "method statement"\n'
    )
    done = run("replace", "truss.toml", "--support", "A2", "--tolerances", "own.toml", "--json")
    assert json.loads(done.out)["need"]["clearance_mm"] == pytest.approx(9.0)


def test_the_schema_can_be_asked_for(run: Run) -> None:
    done = run("schema", "replacement")
    assert done.code == 0
    assert json.loads(done.out) == lift_schema()
