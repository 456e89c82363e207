"""Sharing of horizontal forces as it leaves the program: tables and JSON."""

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.fixed_point import still_points
from bedstone.comparison.history import PHASES, Timeline
from bedstone.comparison.sharing import Range, share
from bedstone.errors import CheckError
from bedstone.output.sharing_data import sharing_schema, sharing_to_dict, sharing_to_json
from bedstone.output.sharing_tables import ranged, sharing_view, still_along, three_ways
from bedstone.output.tables import to_text

ROOT = Path(__file__).parents[2]


def shared(name, family, timeline):
    bridge = read_bridge(ROOT / f"examples/{name}.toml")
    prepared = prepare(bridge, read_tables(bridge, ROOT / "examples"))
    functions = arrangement_functions(bridge, prepared.tables)
    point = bridge.arrangement.fixed_point
    arranged = arrange(prepared.structure, list(bridge.support), functions, point)
    found = share(prepared, family, arranged, timeline=timeline)
    return found, still_points(prepared, family, arranged), bridge


@pytest.fixture(scope="module")
def truss():
    return shared("truss", "irc", Timeline(years=1))


@pytest.fixture(scope="module")
def curved():
    return shared("curved", "aashto", None)


def rows_of(sheet):
    return {cells[0].text: [cell.text for cell in cells] for cells in sheet.rows if cells}


def test_three_ways_stand_beside_each_other_in_kn(truss):
    found = truss[0]
    rows = rows_of(three_ways(found, "support", "along"))
    row = found.row("A1")
    assert rows["A1"][1] == f"{row.rule / 1e3:.1f}"
    assert rows["A1"][2] == f"{row.elastic.low / 1e3:.1f}"
    low, high = rows["A1"][4].split(" to ")
    assert (float(low), float(high)) == pytest.approx((row.path.low / 1e3, row.path.high / 1e3),
                                                      abs=0.05)  # fmt: skip


def test_the_rule_is_told_with_its_clause_and_numbers(truss):
    """IRC:6 211.5.1 as the reference has it: half the force and the friction of the other end."""
    text = " ".join(to_text(sharing_view(*truss), 120).split())
    assert "F_h / 2 + mu (R_g + R_q); F_h = 300 kN" in text
    assert "IRC:6 211.5.1" in text
    assert "secondary" in text


def test_a_rule_that_does_not_speak_says_why(curved):
    text = " ".join(to_text(sharing_view(*curved), 100).split())
    assert "Not covered by a rule A1, P1, A2: the bridge is curved in plan" in text
    assert rows_of(three_ways(curved[0], "support", "along"))["P1"][1] == "–"


def test_without_a_path_there_is_no_column_for_it(curved):
    text = to_text(sharing_view(*curved), 100)
    assert "path, all together" not in text
    assert "Path along" not in text
    jsonschema.validate(sharing_to_dict(*curved), sharing_schema())


def test_the_fixed_end_stands_still(truss):
    """A simple span fixed at one rigid end grows from there (elementary)."""
    (piece,) = truss[1].pieces
    assert piece.along.low == pytest.approx(0.0, abs=0.01)
    cells = still_along(truss[1]).rows
    assert cells[0][3].text == "0"
    assert cells[1][4].text == "64.0"


@pytest.mark.parametrize("width", [100, 120])
@pytest.mark.parametrize("which", ["truss", "curved"])
def test_nothing_is_cut_or_too_wide(which, width, request):
    text = to_text(sharing_view(*request.getfixturevalue(which)), width)
    assert "…" not in text
    assert max(map(len, text.splitlines())) <= width


def test_bounds_that_show_the_same_are_one_number():
    assert ranged(Range(1200.4, 1200.9), 1) == "1.2"
    assert ranged(Range(-1e3, 2e3), 0) == "−1 to 2"
    assert ranged(None, 0) == "–"


def test_json_fits_its_schema(truss):
    schema = sharing_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    data = sharing_to_dict(*truss)
    jsonschema.validate(data, schema)
    assert json.loads(sharing_to_json(*truss)) == data
    row = next(row for row in data["rows"] if (row["place"], row["way"]) == ("A1", "along"))
    assert set(row["phases_kN"]) == set(PHASES)
    assert row["rule_kN"] == pytest.approx(truss[0].row("A1").rule / 1e3)
    assert data["rules"][0]["calculation"]["clause"] == "211.5.1"


def test_a_number_that_is_not_finite_does_not_leave(truss):
    found, points, bridge = truss
    with pytest.raises(CheckError, match="no finite number"):
        sharing_to_json(replace(found, force=float("inf")), points, bridge)
