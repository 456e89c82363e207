"""Comparisons as they leave the program: tables, JSON, CSV and Parquet."""

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import duckdb
import jsonschema
import numpy as np
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.comparison.compare import OBJECTIVES, compare
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.weigh import Weighed
from bedstone.errors import CheckError
from bedstone.output.compare_data import (
    comparison_schema,
    comparison_to_dict,
    comparison_to_json,
    ranking_files,
    ranking_table,
)
from bedstone.output.compare_tables import (
    beside,
    by_action,
    compare_view,
    objective_value,
    side_by_side,
)
from bedstone.output.tables import to_text

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def prepared():
    bridge = read_bridge(ROOT / "examples/truss.toml")
    return prepare(bridge, read_tables(bridge, ROOT / "examples"))


@pytest.fixture(scope="module")
def found(prepared):
    limits = parse_limits(["A1.Fx < 1500 kN", "A2.Fx < 600 kN"], prepared.bridge)
    return compare(prepared, "eurocode", limits, full=False)


@pytest.fixture
def text(found, prepared):
    return to_text(compare_view(found, prepared.bridge), 100)


def row(text, title, label):
    """The first line under a title that begins with a label."""
    lines = text.split(f"\n{title}", 1)[1].splitlines()
    return next(line for line in lines if line.startswith(label))


# ------------------------------------------------------------------ tables
def test_numbers_are_those_of_the_comparison(found, text):
    """What is printed in kN is the effect in N by 1000, and a difference that of what is shown."""
    force = {one.label: round(one.item.supports["A1"]["Fx"] / 1e3) for one in beside(found)}
    block = text.split("\nPinned by hand")[1].split("\nThe best")[0]
    cells = next(line for line in block.splitlines() if "Fx [kN]" in line).split()
    today, first, change_a, second, change_b = (cells[i] for i in range(2, 7))
    assert [int(today), int(first), int(second)] == [force["today"], force["A"], force["B"]]
    assert change_a == "="
    assert change_b == f"−{force['today'] - force['B']}"


def test_what_was_tried_adds_up(found, text):
    assert f"{found.arrangements.total} arrangements that the rules allow." in text
    assert "12 folded as twins; the bridge is the same mirrored across." in text
    assert "6 keep all limits and are ranked." in text


def test_limits_tell_what_is_left_and_who_breaks_them(text):
    assert row(text, "Limits", "A1.Fx").split()[-2:] == ["12", "–"]
    assert row(text, "Limits", "A2.Fx").split()[-2:] == ["6", "B"]


def test_the_twin_of_todays_is_named(found):
    assert found.today.rank == found.best[0].rank == 1
    names = [cells[1].text for cells in side_by_side(found, beside(found)).rows]
    assert names[3] == f"{found.best[0].name} (twin of today's)"
    same = replace(found, best=(replace(found.best[0], functions=found.today.functions),))
    names = [cells[1].text for cells in side_by_side(same, beside(same)).rows]
    assert names[3] == f"{found.best[0].name} (as today)"


@pytest.mark.parametrize("width", [100, 120])
def test_nothing_is_cut_or_too_wide(found, prepared, width):
    text = to_text(compare_view(found, prepared.bridge), width)
    assert "…" not in text
    assert max(map(len, text.splitlines())) <= width


def test_many_pinned_arrangements_go_below_each_other(found, prepared):
    many = replace(found, pinned=tuple(
        replace(found.pinned[0], name=f"number {i}") for i in range(30)))  # fmt: skip
    text = to_text(compare_view(many, prepared.bridge), 100)
    assert all(label in text for label in (" Z ", "AA", "AD"))
    assert max(map(len, text.splitlines())) <= 100


def test_parts_of_an_action_are_not_told_beside_it(found):
    """Reduced and frequent values are the same positions by a factor (EN 1990, 4.1.3)."""
    sheet = by_action("Fy", beside(found))
    actions = {cells[1].text for cells in sheet.rows if cells}
    known = found.today.by_action["A1"]
    assert {"traffic:gr1a", "traffic:gr1a reduced"} <= set(known)
    assert "gr1a" in actions
    assert "gr1a reduced" not in actions


def test_quick_and_weighed_say_so(found, prepared, text):
    assert "Nothing: the numbers are quick ones" in text
    assert "Mass: not worked out" in text
    weights = {one.item.name: Weighed(1234.4, 4, ("A1-2",), ("A2-1",)) for one in beside(found)}
    text = to_text(compare_view(found, prepared.bridge, weights), 100)
    assert row(text, "Pinned by hand", "          mass [kg]").split()[2:4] == ["1234", "1234"]
    assert row(text, "Pinned by hand", "          that do not pass").split()[4] == "2"
    assert "no bearing of its kind serves A2-1" in text


def test_an_interrupted_one_says_how_far_it_came(found, prepared):
    kept = np.array([place for place in found.order if place < 8])
    rows = {name: values[:8] for name, values in found.measures.items()}
    part = replace(
        found, done=8, order=kept, pareto=kept[:1], measures=rows, tops=found.tops[:8],
        lows=found.lows[:8], stands=found.stands[:8], keeps=found.keeps[:8], front=(), best=(),
    )  # fmt: skip
    text = to_text(compare_view(part, prepared.bridge), 100)
    assert "Stopped after 8 of 12; call again to go on." in text
    assert len(ranking_table(part)["rank"]) == 8


def test_what_the_file_says_does_not_steer_the_terminal(found, prepared):
    odd = replace(found, pinned=(replace(found.pinned[0], name="\x1b[2Jgone"),))
    assert "\x1b" not in to_text(compare_view(odd, prepared.bridge), 100)
    assert b"\x1b" not in ranking_files(odd)["ranking.csv"]


@pytest.mark.parametrize("objective", ["A2.Fy", "A1.Hx", "A1-1.Hy", "A2-1.vx", "A1.V"])
def test_an_effect_at_a_place_can_be_the_objective(prepared, objective):
    found = compare(prepared, "eurocode", objective=objective, full=False)
    text = to_text(compare_view(found, prepared.bridge), 100)
    assert f"Ranked by size of {objective}" in text
    for item in found.best:
        bulk = float(found.measures[objective][found.order[item.rank - 1]])
        assert objective_value(found, item) == pytest.approx(bulk, rel=1e-3)


# ------------------------------------------------------------------ data
def test_json_fits_its_schema_and_is_the_same_twice(found, prepared):
    schema = comparison_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    weights = {one.item.name: Weighed(10.0, 4, (), ()) for one in beside(found)}
    for given in (None, weights):
        data = comparison_to_dict(found, prepared.bridge, given)
        jsonschema.validate(data, schema)
        again = comparison_to_json(found, prepared.bridge, given)
        assert json.loads(again) == data
    assert data["shown"][0]["bearings"]["mass_kg"] == 10.0
    first = data["shown"][0]
    assert first["supports"]["A1"]["Fx"] == pytest.approx(
        found.today.supports["A1"]["Fx"] / 1e3, abs=1e-6
    )
    assert set(first["measures"]) == set(OBJECTIVES)


def test_a_number_that_is_not_finite_does_not_leave(found, prepared):
    broken = replace(found.today, measures={**found.today.measures, "locked": float("nan")})
    with pytest.raises(CheckError, match="no finite number"):
        comparison_to_json(replace(found, today=broken), prepared.bridge)


def test_csv_holds_every_arrangement_once_best_first(found):
    files = ranking_files(found)
    rows = list(csv.DictReader(io.StringIO(files["ranking.csv"].decode("utf-8"))))
    ranks = [row["rank"] for row in rows]
    assert ranks == [str(i + 1) for i in range(6)] + [""] * 6
    assert len({row["arrangement"] for row in rows}) == len(rows) == 12
    dropped = sum(item.count for item in found.arrangements.dropped)
    assert sum(int(row["stands for"]) for row in rows) + dropped == found.arrangements.total
    for line in rows:
        assert float(line["A1 Fx [kN]"]) <= 1500.0
        assert (float(line["A2 Fx [kN]"]) <= 600.0) == (line["keeps limits"] == "true")
        fixed = [mark for mark in found.arrangements.marks if line[f"{mark} function"] == "fixed"]
        assert all(mark in line["arrangement"] for mark in fixed)
    assert {line["pinned as"] for line in rows if line["rank"] == "1"} == {found.today.name}


def test_parquet_is_typed_and_says_the_same(found, tmp_path):
    files = ranking_files(found)
    for name in ("ranking.parquet", "ranking.csv"):
        (tmp_path / name).write_bytes(files[name])
    with duckdb.connect() as connection:
        place = tmp_path / "ranking.parquet"
        table = connection.execute(f"SELECT * FROM '{place}'").fetchall()
        types = dict(connection.execute(f"SELECT column_name, column_type FROM (DESCRIBE SELECT * "
                                        f"FROM '{place}')").fetchall())  # fmt: skip
    assert types["rank"] == "INTEGER"
    assert types["keeps limits"] == "BOOLEAN"
    assert types["A1 My [kN m]"] == "DOUBLE"
    assert types["A1-1 function"] == "VARCHAR"
    told = list(csv.reader(io.StringIO(files["ranking.csv"].decode("utf-8"))))
    assert told[0] == list(types)
    fx = told[0].index("A1 Fx [kN]")
    assert [float(row[fx]) for row in told[1:]] == [row[fx] for row in table]


def test_none_of_the_pareto_set_is_beaten(found):
    """By definition, against every other arrangement that keeps the limits, one by one."""
    rows = list(csv.DictReader(io.StringIO(ranking_files(found)["ranking.csv"].decode("utf-8"))))
    heads = ["abutment force [kN]", "bearing force [kN]", "movement [mm]"]
    ranked = [row for row in rows if row["rank"]]
    front = [row for row in ranked if row["in Pareto set"] == "true"]
    assert front
    for one in front:
        own = [float(one[head]) for head in heads]
        for other in ranked:
            theirs = [float(other[head]) for head in heads]
            gains = [a <= b * 1.005 + 1e-9 for a, b in zip(own, theirs, strict=True)]
            assert any(gains) or theirs == own


def test_rows_without_numbers_are_empty_not_zero(found):
    """An arrangement that was held twice has no forces."""
    stands = found.stands.copy()
    last = int(found.order[-1])
    stands[last] = False
    part = replace(found, stands=stands, order=found.order[:-1], held_twice=1)
    rows = list(csv.DictReader(io.StringIO(ranking_files(part)["ranking.csv"].decode("utf-8"))))
    assert rows[-1]["arrangement"] == found.arrangements.name(last)
    assert rows[-1]["A1 Fx [kN]"] == rows[-1]["rank"] == rows[-1]["keeps limits"] == ""
