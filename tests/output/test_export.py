"""Results as CSV, JSON and Parquet: the same numbers in all, read back with other libraries."""

import csv
import io
import json
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import duckdb
import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.compare import compare
from bedstone.comparison.faults import what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.fixed_point import still_points
from bedstone.comparison.history import Timeline
from bedstone.comparison.screen import Screen
from bedstone.comparison.sharing import share
from bedstone.comparison.uncertainty import chance
from bedstone.errors import InputError
from bedstone.output import export
from bedstone.output.bearing_data import bearings_schema
from bedstone.output.chance_data import chance_schema
from bedstone.output.compare_data import comparison_schema
from bedstone.output.data import schedule_schema
from bedstone.output.export import Table, form_of, from_csv, to_csv, to_parquet
from bedstone.output.fault_data import faults_schema
from bedstone.output.setting_data import settings_schema
from bedstone.output.sharing_data import sharing_schema
from bedstone.schedule.result import Schedule
from bedstone.site.setting import settings

sys.path.insert(0, str(Path(__file__).parent))

from examples_made import EXAMPLES, example

Writer = Callable[[str], export.Files]
SCHEMAS = {
    "schedule": schedule_schema,
    "bearings": bearings_schema,
    "comparison": comparison_schema,
    "sharing": sharing_schema,
    "faults": faults_schema,
    "chance": chance_schema,
    "setting": settings_schema,
}


@cache
def writer(what: str) -> Writer:
    """The function that writes a result of the truss in a form."""
    if what in ("schedule", "bearings"):
        made = example("truss")
        write = export.schedule_files if what == "schedule" else export.bearing_files
        return lambda to: write(to, made.schedule, made.bridge, made.functions, made.designs)
    bridge = read_bridge(EXAMPLES / "truss.toml")
    prepared = prepare(bridge, read_tables(bridge, EXAMPLES))
    if what == "comparison":
        compared = compare(prepared, "eurocode", (), full=False)
        return lambda to: export.comparison_files(to, compared, bridge)
    if what == "sharing":
        functions = arrangement_functions(bridge, prepared.tables)
        arranged = arrange(prepared.structure, list(bridge.support), functions)
        shared = share(prepared, "eurocode", arranged, timeline=Timeline(years=1))
        points = still_points(prepared, "eurocode", arranged)
        return lambda to: export.sharing_files(to, shared, points, bridge)
    if what == "chance":
        likely = chance(prepared, "eurocode", samples=16)
        return lambda to: export.chance_files(to, likely)
    screen = Screen(prepared, "eurocode")
    if what == "faults":
        tried = what_if(screen, faults_of(screen), full=0)
        return lambda to: export.fault_files(to, tried)
    found = settings(prepared, "eurocode", screen)
    return lambda to: export.setting_files(to, found, bridge, "eurocode")


def parquet(content: bytes, folder: Path) -> tuple[list[str], list[str], list[tuple]]:
    """Heads, types and rows of a Parquet file."""
    path = folder / "read.parquet"
    path.write_bytes(content)
    found = duckdb.sql(f"SELECT * FROM read_parquet('{path}')")
    return found.columns, [str(kind) for kind in found.types], found.fetchall()


@pytest.mark.parametrize("what", export.FORMS)
def test_json_fits_its_schema(what: str) -> None:
    (content,) = writer(what)("json").values()
    jsonschema.Draft202012Validator(SCHEMAS[what]()).validate(json.loads(content))


@pytest.mark.parametrize("what", export.FORMS)
def test_parquet_holds_what_the_csv_holds(what: str, tmp_path: Path) -> None:
    texts, typed = writer(what)("csv"), writer(what)("parquet")
    for name, content in typed.items():
        heads, kinds, rows = parquet(content, tmp_path)
        text = texts[name.replace(".parquet", ".csv")].decode()
        told_heads, *told = csv.reader(io.StringIO(text, newline=""))
        assert heads == told_heads
        assert len(rows) == len(told)
        assert rows
        for row, words in zip(rows, told, strict=True):
            for head, kind, cell, word in zip(heads, kinds, row, words, strict=True):
                if cell is None:
                    assert word == "", head
                elif kind == "BOOLEAN":
                    assert word in (("yes", "true") if cell else ("no", "false"))
                elif kind == "VARCHAR":
                    assert word == cell
                else:
                    assert float(word) == cell
        with_unit = [kind for head, kind in zip(heads, kinds, strict=True) if head.endswith("]")]
        assert all(kind in ("DOUBLE", "INTEGER") for kind in with_unit)


@pytest.mark.parametrize("what", export.FORMS)
def test_the_same_result_gives_the_same_bytes(what: str) -> None:
    for to in ("csv", "json", "parquet"):
        assert writer(what)(to) == writer(what)(to)


def test_bearings_are_those_designed() -> None:
    made = example("truss")
    files = writer("bearings")("csv")
    bearings, parts, checks = (
        list(csv.DictReader(io.StringIO(files[f"{name}.csv"].decode(), newline="")))
        for name in ("bearings", "parts", "checks")
    )
    assert [row["seat"] for row in bearings] == [item.seat for item in made.designs]
    for row, item in zip(bearings, made.designs, strict=True):
        design = item.choice.design
        assert float(row["height [mm]"]) == pytest.approx(design.height * 1e3)
        assert float(row["utilisation"]) == pytest.approx(design.utilisation)
        assert row["passes"] == ("yes" if design.passes else "no")
        own = [part for part in parts if part["seat"] == item.seat]
        mass = sum(float(part["mass of one [kg]"]) * int(part["number"]) for part in own)
        assert mass == pytest.approx(float(row["mass [kg]"]), abs=1e-4)
        assert sum(check["seat"] == item.seat for check in checks) == len(design.lines)


def test_workbook_and_model_are_files_as_well() -> None:
    files = writer("schedule")("xlsx")
    assert files["schedule.xlsx"].startswith(b"PK")
    pytest.importorskip("ifcopenshell")
    assert writer("schedule")("ifc")["bridge.ifc"].startswith(b"ISO-10303-21;")


@pytest.mark.parametrize(
    ("what", "to", "where", "allowed"),
    [
        ("weather", "csv", "--what", "schedule, bearings"),
        ("sharing", "ifc", "--to", "csv, json, parquet"),
        ("schedule", "pdf", "--to", "csv, json, parquet, xlsx, ifc"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(what, to, where, allowed) -> None:
    with pytest.raises(InputError) as caught:
        form_of(what, to)
    (fault,) = caught.value.faults
    assert fault.where == where
    assert allowed in fault.allowed


def test_without_its_library_ifc_says_how_to_add_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    with pytest.raises(InputError) as caught:
        writer("schedule")("ifc")
    (fault,) = caught.value.faults
    assert "bedstone[ifc]" in fault.allowed


NAME = 'Brücke "Süd", km 3,5; = 橋梁\u2028№7 ' + "lang" * 40


def test_hostile_names_stay_as_they_are(truss: Schedule, tmp_path: Path) -> None:
    made = example("truss")
    lines = tuple(replace(line, combination=NAME, contact="a\nb,c") for line in truss.seat_lines)
    hostile = replace(truss, bridge=NAME, seat_lines=lines)
    files = export.schedule_files("parquet", hostile, made.bridge, made.functions)
    heads, _, rows = parquet(files["seats.parquet"], tmp_path)
    assert {row[heads.index("combination")] for row in rows} == {NAME}
    assert {row[heads.index("contact")] for row in rows} == {"a\nb,c"}
    files = export.schedule_files("json", hostile, made.bridge, made.functions)
    assert json.loads(files["schedule.json"])["bridge"] == NAME


# text that a file of UTF-8 can hold; a null character ends a string for many programs
words = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=12)
numbers = st.none() | st.floats(allow_nan=False, allow_infinity=False)


@given(st.lists(st.tuples(words, numbers, st.none() | st.integers(-9, 9), st.booleans())))
def test_any_table_comes_back(rows) -> None:
    heads = ('of "it"', "size [m]", "rank", "so")
    table = Table(heads, ("text", "number", "whole", "truth"), tuple(rows))
    with tempfile.TemporaryDirectory() as folder:
        assert parquet(to_parquet(table), Path(folder))[2] == rows
    read = from_csv(to_csv(table).decode())
    assert read.heads == heads
    assert [row[:3] for row in read.rows] == [row[:3] for row in rows]


def test_a_carriage_return_does_not_end_a_row() -> None:
    table = Table(("text",), ("text",), (("one\rtwo\r\nthree",), ("four",)))
    assert from_csv(to_csv(table).decode()).rows == (("one\ntwo\nthree",), ("four",))
