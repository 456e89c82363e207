"""A lift told for people and as data. The schema is judged by jsonschema, an outside reader."""

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.errors import CheckError
from bedstone.output import replace_words as words
from bedstone.output.replace_data import lift_schema, lift_to_dict, lift_to_json
from bedstone.output.replace_tables import bearings, failing, jacks, lift_view, steps
from bedstone.output.tables import to_text
from bedstone.site.replacement import replacement

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def prepared(name):
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    return prepare(bridge, read_tables(bridge, EXAMPLES))


@cache
def lifted(name, *marks, lift=None, traffic=False):
    return replacement(prepared(name), "eurocode", marks, lift=lift, traffic=traffic)


def text(found):
    return to_text(lift_view(found), 140)


CASES = [
    ("truss", ("A2",), None),
    ("truss", ("A1-1",), 0.002),
    ("girders", ("P1",), None),
    ("girders", ("P1-2",), 0.012),
]


@pytest.mark.parametrize(("name", "marks", "lift"), CASES)
def test_data_fits_its_schema(name, marks, lift):
    data = json.loads(lift_to_json(lifted(name, *marks, lift=lift)))
    schema = lift_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert [jack["seat"] for jack in data["jacks"]] == data["seats"]


def test_the_schema_refuses_what_is_no_lift():
    data = lift_to_dict(lifted("truss", "A2"))
    for change in ({"more": 1}, {"jacks": [{}]}, {"standard": "own"}, {"holds": "yes"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(data | change, lift_schema())
    for name in data:
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({k: v for k, v in data.items() if k != name}, lift_schema())


def test_data_is_in_the_units_of_its_names():
    found = lifted("girders", "P1")
    data = lift_to_dict(found)
    assert data["jacks"][0]["lifted_kN"] == pytest.approx(found.jacks[0].lifted / 1e3)
    assert data["lift_mm"] == pytest.approx(5.0)
    row = data["stiffness_kN_per_mm"]["P1-1"]
    assert row["P1-2"] == pytest.approx(found.stiffness["P1-1"]["P1-2"] / 1e6)
    seat = next(item for item in data["bearings"] if item["seat"] == "A1-1")
    told = next(item for item in found.bearings if item.seat == "A1-1")
    assert seat["turn_mrad"][1] == pytest.approx(told.turns[1] * 1e3, abs=1e-6)


def test_a_number_that_is_none_does_not_leave():
    from dataclasses import replace

    found = lifted("truss", "A2")
    jack = replace(found.jacks[0], lifted=float("nan"))
    with pytest.raises(CheckError, match="no finite number"):
        lift_to_dict(replace(found, jacks=(jack, *found.jacks[1:])))


def test_the_tables_tell_jacks_steps_and_bearings():
    found = lifted("girders", "P1")
    rows = {row[0].text: row for row in jacks(found).rows}
    assert list(rows) == [jack.mark for jack in found.jacks]
    assert rows["P1-2/1"][4].text == f"{found.jacks[1].lifted / 1e3:.0f}"
    table = steps(found)
    assert [row[0].text for row in table.rows] == ["0", "1.00", "2.00", "3.00", "4.00", "5.00"]
    assert "come free" in table.rows[0][-1].text
    every = [row[0].text for row in bearings(found).rows if row]
    assert every == [item.seat for item in found.bearings]


def test_what_must_be_seen_is_loud():
    free = text(lifted("girders", "P1"))
    assert "TEMPORARY RESTRAINT IS NEEDED" in free
    assert "slides freely along the bridge" in free
    assert "Take the temporary restraint out last." in free
    held = text(lifted("truss", "A2"))
    assert "TEMPORARY RESTRAINT" not in held
    assert "Take the temporary restraint" not in held


def test_a_lift_beyond_or_short_of_what_is_right_is_told():
    beyond = lifted("girders", "P1-2", lift=0.012)
    assert words.need(beyond).startswith("BEYOND WHAT IS ALLOWED")
    assert not beyond.holds
    short = lifted("truss", "A1-1", lift=0.002)
    assert words.need(short).startswith("NOT ENOUGH")
    assert not short.holds
    assert lifted("truss", "A2").holds
    if beyond.unloads:
        assert f"OTHER BEARINGS COME FREE: {', '.join(beyond.unloads)}" in text(beyond)


def test_forces_and_lengths_that_do_not_hold_are_told():
    from dataclasses import replace

    found = lifted("truss", "A2")
    line = found.jacks[0].checks[0]
    limit = replace(line.result, value=line.value / 2.0)
    jack = replace(found.jacks[0], checks=(replace(line, limit=limit, utilisation=2.0),))
    told = failing(replace(found, jacks=(jack, found.jacks[1])))
    assert told[0].startswith("DOES NOT HOLD: jack A2-1/1: design force of the jack")
    assert len(told) == 1


def test_the_capacity_is_told_with_its_rule():
    found = lifted("girders", "P1")
    worst = max(found.jacks, key=lambda jack: jack.checks[0].value)
    line = worst.checks[0]
    told = words.capacity(found)
    assert f"at least {line.value / 0.8e3:.0f} kN" in told
    assert "gamma_G = 1.35" in told
    assert "EN 1990" in told
    by_name = {item.symbol: item.value for item in line.inputs}
    # half a millimetre ahead of the others, as imposed on purpose
    assert by_name["U"] == pytest.approx(worst.per_mm * 0.0005)
    assert line.value > 1.35 * worst.most


def test_a_step_at_a_joint_is_told():
    assert "over A2" in words.joint(lifted("truss", "A2"))[0]
    assert "traffic runs" in words.joint(lifted("truss", "A2", traffic=True))[0]
    assert words.joint(lifted("girders", "P1")) == []


def test_traffic_has_a_column_only_where_it_is_kept_on():
    on, off = lifted("truss", "A2", traffic=True), lifted("truss", "A2")
    assert "traffic" in [column.head for column in jacks(on).columns]
    assert "traffic" not in [column.head for column in jacks(off).columns]
    assert len(jacks(on).columns) == len(jacks(on).rows[0])
    jsonschema.validate(lift_to_dict(on), lift_schema())
    assert "traffic kept on" in words.basis(on)
    assert words.order_of_work(on)[0].startswith("Keep traffic")
    assert words.order_of_work(off)[0].startswith("Close the bridge")


def test_the_end_carries_values_from_memory_and_the_caution():
    told = text(lifted("truss", "A2"))
    assert "replacement.clearance" in told
    assert "combinations.recommended.gamma.permanent" in told
    assert "without warranty" in told
    assert "\x1b" not in told
