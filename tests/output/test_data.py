"""A schedule as data: the schema is checked with the public `jsonschema` library."""

import csv
import dataclasses
import io
import json
import math
from typing import get_args

import jsonschema
import pytest

from bedstone.errors import CheckError
from bedstone.output.data import (
    schedule_schema,
    schedule_to_csv,
    schedule_to_dict,
    schedule_to_json,
)
from bedstone.schedule.result import Schedule
from bedstone.standards.combination import LimitState


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schedule_schema())


def test_a_schedule_fits_its_schema(schedule: Schedule) -> None:
    data = json.loads(schedule_to_json(schedule))
    jsonschema.Draft202012Validator(schedule_schema()).validate(data)


def test_the_limit_states_are_those_of_the_combinations() -> None:
    assert schedule_schema()["$defs"]["limit_state"]["enum"] == list(get_args(LimitState))


def test_an_uplift_without_end_is_no_number(truss: Schedule) -> None:
    lifts = (dataclasses.replace(truss.uplift[0], gap=math.inf),)
    data = json.loads(schedule_to_json(dataclasses.replace(truss, uplift=lifts)))
    assert data["uplift"][0]["gap_mm"] is None
    jsonschema.Draft202012Validator(schedule_schema()).validate(data)


def test_every_object_of_the_schema_is_closed() -> None:
    def objects(node: object) -> list[dict[str, object]]:
        if isinstance(node, list):
            return [found for item in node for found in objects(item)]
        if not isinstance(node, dict):
            return []
        inner = [found for item in node.values() for found in objects(item)]
        return [node, *inner] if node.get("type") == "object" else inner

    found = objects(schedule_schema())
    assert len(found) > 10
    for node in found:
        assert node["additionalProperties"] is False or "properties" not in node
        assert "properties" not in node or node["required"] == list(node["properties"])


@pytest.mark.parametrize("key", ["units", "seat_lines", "checks"])
def test_the_schema_refuses_what_is_missing_or_unknown(truss: Schedule, key: str) -> None:
    validator = jsonschema.Draft202012Validator(schedule_schema())
    data = schedule_to_dict(truss)
    without = {name: value for name, value in data.items() if name != key}
    assert not validator.is_valid(without)
    assert not validator.is_valid(data | {"extra": 1})


def test_units_are_those_of_the_page(truss: Schedule) -> None:
    # N to kN, m to mm, rad to mrad: the SI prefixes
    data = schedule_to_dict(truss)
    for line, told in zip(truss.seat_lines, data["seat_lines"], strict=True):
        factor = {"kN": 1e-3, "kN m": 1e-3, "mm": 1e3, "mrad": 1e3}[data["units"][line.effect]]
        assert told["value"] == pytest.approx(line.value * factor, abs=1e-6)
        assert told["value"] == told["acting"][line.effect]
    held = next(seat for seat in data["seats"] if seat["mark"] == "A1-1")
    assert held["held"] == ["x", "y", "z"]


def test_angles_are_in_degrees(skew: Schedule) -> None:
    assert [support["skew_deg"] for support in schedule_to_dict(skew)["supports"]] == [25.0] * 3


def test_the_same_schedule_gives_the_same_bytes(schedule: Schedule) -> None:
    copy = dataclasses.replace(schedule)
    assert schedule_to_json(schedule) == schedule_to_json(copy)
    assert schedule_to_csv(schedule) == schedule_to_csv(copy)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_number_that_is_none_never_leaves(truss: Schedule, bad: float) -> None:
    first = truss.seat_lines[0]
    acting = (bad, *first.acting[1:])
    lines = (dataclasses.replace(first, acting=acting), *truss.seat_lines[1:])
    broken = dataclasses.replace(truss, seat_lines=lines)
    with pytest.raises(CheckError, match="N is no finite number"):
        schedule_to_json(broken)
    with pytest.raises(CheckError):
        schedule_to_csv(broken)
    checks = dataclasses.replace(truss.checks, equilibrium=bad)
    with pytest.raises(CheckError, match="equilibrium"):
        schedule_to_dict(dataclasses.replace(truss, checks=checks))


def test_minus_zero_is_zero(truss: Schedule) -> None:
    first = dataclasses.replace(truss.seat_lines[0], value=-0.0)
    told = schedule_to_dict(dataclasses.replace(truss, seat_lines=(first,)))["seat_lines"][0]
    assert str(told["value"]) == "0.0"


def test_csv_has_a_row_for_each_line_and_units_in_its_heads(schedule: Schedule) -> None:
    seats, supports = (list(csv.DictReader(io.StringIO(t))) for t in schedule_to_csv(schedule))
    assert len(seats) == len(schedule.seat_lines)
    assert len(supports) == len(schedule.support_lines)
    for row, line in zip(seats, schedule.seat_lines, strict=True):
        assert (row["seat"], row["effect"], row["sense"]) == (line.place, line.effect, line.sense)
        assert float(row[f"acting {line.effect} [{row['unit']}]"]) == float(row["value"])
        assert float(row["acting N [kN]"]) == pytest.approx(line.acting[0] / 1e3)
        assert float(row["irreversible ry [mrad]"]) == pytest.approx(line.irreversible[10] * 1e3)
    assert "acting Mx [kN m]" in supports[0]
    assert "acting N [kN]" not in supports[0]
