"""Single faults printed and as data: nothing cut, nothing left out, signs and units told."""

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.cautions import FULL
from bedstone.comparison.faults import what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.first_failure import FirstFailure
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.screen import Screen
from bedstone.errors import CheckError, InputError
from bedstone.output import fault_tables
from bedstone.output.fault_data import (
    faults_schema,
    what_if_to_csv,
    what_if_to_dict,
    what_if_to_json,
)
from bedstone.output.tables import to_text

ROOT = Path(__file__).parents[2]
WANTED = ("seized", "unseated", "wrong setting", "seat too low")


@pytest.fixture(scope="module")
def found():
    bridge = read_bridge(ROOT / "examples/truss.toml")
    with threadpool_limits(1, user_api="blas"):
        screen = Screen(prepare(bridge), "eurocode")
        faults = [fault for fault in faults_of(screen) if fault.kind in WANTED]
        limits = parse_limits(["A1.Hx < 1500 kN", "A2-1.vx < 1 mm"], bridge)
        return what_if(screen, faults, full=1, limits=limits)


@pytest.fixture
def failures(found):
    worst, next_ = found.results[:2]
    return (
        FirstFailure(
            worst.fault, "A1-1", "pot", "wall", "Tension in the wall", "EN 1337-5 6.2.2",
            "ULS 6.10", 2.004, 0.998, ("A1-1", "A1-2"), (), worst.broken,
        ),
        FirstFailure(next_.fault),
        FirstFailure(next_.fault, without="the bridge does not stand"),
        FirstFailure(next_.fault, "A2-1", "pot", check="the seat pulls", before=0.5,
                     failing=("A2-1",)),
    )  # fmt: skip


@pytest.mark.parametrize("width", [100, 120, 200])
def test_no_line_is_too_long_and_no_number_is_cut(found, failures, width):
    text = to_text(fault_tables.fault_view(found, failures, count=None), width)
    assert max(len(line) for line in text.splitlines()) <= width
    assert "…" not in text
    assert "\x1b" not in text
    sheets = [fault_tables.ranking(found), fault_tables.by_kind(found)]
    sheets += [fault_tables.support(found, mark) for mark in ("A1", "A2")]
    for sheet in sheets:
        for row in sheet.rows:
            for column, cell in zip(sheet.columns, row, strict=True):
                if column.holds == "numbers":
                    assert cell.text in text


def test_the_view_begins_with_the_answer_and_ends_with_the_caution(found):
    text = " ".join(to_text(fault_tables.fault_view(found), 120).split())
    worst = found.results[0]
    assert f"{worst.fault.name} hurts most: harm {worst.harm:.2f}" in text
    assert re.search(r"A1 then takes Fx [−\d.]+ → [−\d.]+ kN along", text)
    assert re.search(r"A2 then takes Fx", text)
    assert "complete seizure, the bound" in text
    assert "4 of 13 faults leave the bridge without a stand" in text
    assert "overturns unless A1-2 is held down" in text
    assert text.index("hurts most") < text.index("Single faults, the most harmful first")
    assert "Not tried: guides worn" in text
    assert text.endswith(" ".join(FULL.split()))


def test_values_are_those_found_in_kilonewtons_with_signs(found):
    sheet = fault_tables.support(found, "A1")
    row = sheet.rows[1]
    heads = [column.head for column in sheet.columns]
    worst = found.results[0].extremes
    told = float(row[heads.index("Fx")].text.replace("−", "-"))
    assert told == pytest.approx(worst.largest("A1", "Fx") / 1e3, abs=0.5)
    assert told < 0.0  # the girders lengthen and push the far end forward, this one back
    assert row[heads.index("Fx")].tone == "strong"
    assert sheet.rows[0][0].text == "intact"


def test_what_was_asked_for_in_full_is_marked(found):
    rows = fault_tables.ranking(found).rows
    assert rows[0][0].text == "1*"
    assert rows[-1][0].text == str(len(found.results))
    assert len(fault_tables.ranking(found, 2).rows) == 2
    assert "Not shown" in to_text(fault_tables.fault_view(found, count=2), 120)


def test_limits_are_told_with_the_faults_that_break_them(found):
    text = " ".join(to_text(fault_tables.fault_view(found), 120).split())
    assert "Limits that the intact bridge does not keep A2-1.vx < 1 mm" in text
    assert "A1.Hx < 1500 kN: A2-2 seized" in text


def test_what_fails_first_is_cut_not_rounded(found, failures):
    rows = fault_tables.fails_first(failures).rows
    assert rows[0][1].text == "A1-1 pot"
    assert (rows[0][4].text, rows[0][5].text) == ("2.01", "0.99")
    assert rows[1][1].text == "nothing"
    assert "does not stand" in rows[2][2].text
    assert rows[3][4].text == "beyond"
    assert fault_tables.used(1.0) == "1.00"
    assert fault_tables.used(float("inf")) == "beyond"


def test_one_fault_in_full(found):
    text = to_text(fault_tables.fault_detail(found, 1), 100)
    assert found.results[0].fault.name in text
    for mark in (*found.look.layout.seats, *found.look.layout.supports):
        assert mark in text
    assert "friction needed" in " ".join(text.split())
    with pytest.raises(InputError, match="a number of the ranking, 1 to"):
        list(fault_tables.fault_detail(found, 0))
    with pytest.raises(InputError, match="command line: --fault: found 99"):
        list(fault_tables.fault_detail(found, 99))


def test_a_stop_says_how_much_of_the_movement_it_meets(found):
    first = found.results[0]
    stop = replace(first.fault, kind="stop reached", gap=(0.02, float("inf")))
    met = " ".join(fault_tables.told(replace(first, fault=stop, bites=0.4)))
    assert "the last 40% of it is met" in met
    assert "Not reached" in " ".join(fault_tables.told(replace(first, fault=stop, bites=0.0)))
    data = what_if_to_dict(replace(found, results=(replace(first, fault=stop, bites=0.4),)))
    assert data["faults"][0]["gap_mm"] == [20.0, None]
    jsonschema.validate(data, faults_schema())


def test_an_interruption_is_told(found):
    some = replace(found, untried=(found.results[0].fault,))
    assert "INTERRUPTED: 1 faults were not tried." in fault_tables.notes(some)
    assert what_if_to_dict(some)["interrupted"] == [found.results[0].fault.name]


def test_words_of_the_file_do_not_steer_the_terminal(found):
    some = replace(found, bridge="\x1b[31mred\x07", reference="[bold]x[/bold]")
    text = to_text(fault_tables.fault_view(some), 120)
    assert "\x1b" not in text
    assert "[bold]x[/bold]" in text


def test_nothing_to_fear_is_an_answer_too(found):
    calm = replace(found, results=(), unstable=())
    assert fault_tables.answer(calm) == [
        "No other fault brings anything beyond its envelope on the intact bridge."
    ]
    to_text(fault_tables.fault_view(calm), 100)


# ------------------------------------------------------------------ data
def test_json_fits_its_schema_and_is_the_same_twice(found, failures):
    schema = faults_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    text = what_if_to_json(found, failures)
    jsonschema.validate(json.loads(text), schema)
    assert text == what_if_to_json(found, failures)
    assert text.endswith("}\n")


def test_json_holds_every_fault_with_all_effects(found):
    data = what_if_to_dict(found)
    assert [item["rank"] for item in data["faults"]] == list(range(1, len(found.results) + 1))
    first = data["faults"][0]
    assert first["extremes"]["supports"]["A1"]["Fx"][0] == pytest.approx(
        found.results[0].extremes.low[found.look.layout.index("A1", "Fx")] / 1e3
    )
    assert data["tried"] == found.count
    assert first["in_full"] is True
    assert first["limits_broken"] == ["A1.Hx < 1500 kN"]
    assert len(data["unstable"]) == len(found.unstable)


def test_a_number_that_is_not_finite_does_not_leave(found):
    bad = replace(found.results[0], harm=float("nan"))
    with pytest.raises(CheckError):
        what_if_to_dict(replace(found, results=(bad,)))


def test_the_schema_refuses_what_is_unknown(found):
    data = what_if_to_dict(found)
    data["faults"][0]["more"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, faults_schema())


def test_csv_has_a_row_for_each_fault_and_effect(found):
    ranking, effects = (list(csv.DictReader(io.StringIO(t))) for t in what_if_to_csv(found))
    assert len(ranking) == found.count
    assert all(None not in row and None not in row.values() for row in (*ranking, *effects))
    fallen = [row for row in ranking if row["does not stand"]]
    assert len(fallen) == len(found.unstable)
    row = next(
        r for r in effects if r["rank"] == "1" and r["place"] == "A1" and r["effect"] == "Fx"
    )
    assert float(row["then min"]) == pytest.approx(
        found.results[0].extremes.low[found.look.layout.index("A1", "Fx")] / 1e3
    )
    assert row["unit"] == "kN"
