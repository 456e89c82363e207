"""What is told of designed bearings. Expected values are the designs' own, in other units."""

from __future__ import annotations

import dataclasses
import json
import math

import jsonschema
import pytest

from bedstone.bearings.base import Behaviour, Demand, DemandCase, Design, Part, Refusal
from bedstone.bearings.selection import Choice
from bedstone.errors import CheckError
from bedstone.output import bearings, tables
from bedstone.output.bearing_data import bearings_schema, bearings_to_dict, bearings_to_json
from bedstone.output.shown import measured
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Value

VALIDATOR = jsonschema.Draft202012Validator(bearings_schema())


def line(title: str, part: str, use: float | None, **changes: object) -> Line:
    plain = Line(
        title=title,
        standard="EN 1337-4",
        edition="2004",
        clause="6",
        formula="N' <= 23 R fu^2/E",
        inputs=(Quantity("R", 0.08, "m"), Quantity("fu", 600e6, "Pa")),
        result=Quantity("N'", 2.5e6, "N/m"),
        basis="memory",
        limit=None if use is None else Quantity("N'Rd", 2.5e6 / use if use else 1.0, "N/m"),
        utilisation=use,
        part=part,
        case="N max, ULS 6.10",
    )
    return dataclasses.replace(plain, **changes)  # type: ignore[arg-type]


def design(kind: str = "single roller", use: float = 0.998, **changes: object) -> Design:
    parts = (
        Part("roller", "class C", "roller 160 dia. x 870", {"diameter": 0.16}, 137.25, 2, "rolls"),
        Part("guide rib", "S355", "bar 30 x 45 x 610", {"width": 0.03}, 6.5, 2),
        Part("stop bar", "S355", "bar 65 x 20 x 870", {}, 8.9, 2),
        Part("link bar", "S355", "bar 55 x 10 x 530", {}, 2.3, 2),
    )
    lines = (
        line("Line contact", "roller", use),
        line("Fillet weld", "guide rib: weld", 0.92),
        line("Travel to the stops", "stop", 0.31),
        line("Hertz pressure beside the rule", "roller", None),
    )
    found = Design(
        kind=kind,  # type: ignore[arg-type]
        bearing=None,
        parts=parts,
        lines=lines,
        behaviour=Behaviour(stiffness_z=4.2e9, friction=(0.02, 0.0), play=1e-3, eccentricity=0.5),
        height=0.235,
        reach=(0.61, 0.93),
        horizontal=81_400.0,
        left=0.0257,
        notes=("stands clear of its stops",),
    )
    return dataclasses.replace(found, **changes)  # type: ignore[arg-type]


def seat(choice: Choice, origin: str = "in the file", **changes: object) -> SeatDesign:
    case = DemandCase("ULS persistent", "case", N=4.07e6, Hy=318e3, vx=0.1043, ry=0.0073)
    demand = Demand("A2-1", "guided along", (False, True), (case,), 1.5e6)
    return SeatDesign(demand, origin, choice, **changes)  # type: ignore[arg-type]


REFUSED = Choice("disc", refusal=Refusal("disc", "no rule covers it", "scope", "take a pot"))
PASSES = Choice("single roller", design(), remark="Table: may need more (R)")
FAILS = Choice("single roller", design(use=1.002))


def text_of(found: SeatDesign, schedule: Schedule) -> str:
    return " ".join(tables.to_text(tables.bearing_view(schedule, found)).split())


# ------------------------------------------------------------------ tables
def test_one_seat_tells_parts_checks_and_what_governs(truss: Schedule) -> None:
    text = text_of(seat(PASSES), truss)
    expected = [
        "A2-1: single roller, guided along",
        "Hy 318.0 kN; vx 104.3 mm",
        "Passes: governed by roller: line contact, used 0.99.",
        "Height 235 mm; plan 610 x 930 mm; mass 310 kg; sends 81.4 kN below along x'",
        "movement left 26 mm.",
        "R = 80 mm, fu = 600 MPa: N' = 2500 kN/m against N'Rd = 2505 kN/m",
        "case: N max, ULS 6.10",
        "stands clear of its stops",
        "Table: may need more (R)",
        "memory",
    ]
    assert [words for words in expected if words not in text] == []
    assert math.isclose(2 * (137.25 + 6.5 + 8.9 + 2.3), 309.9)


def test_parts_stand_with_the_check_that_uses_them_most() -> None:
    sheet = bearings.parts(design())
    used = {row[1].text: row[5].text for row in sheet.rows}
    # 0.998 passes and must not read as 1.00
    assert used == {"roller": "0.99", "guide rib": "0.92", "stop bar": "0.31", "link bar": "–"}


def test_what_fails_is_not_rounded_to_what_passes(truss: Schedule) -> None:
    sheet = bearings.checks(design(use=1.002))
    assert (sheet.rows[0][0].text, sheet.rows[0][0].tone) == ("1.01", "warning")
    assert sheet.rows[-1][0].text == "–"
    assert "DOES NOT PASS" in text_of(seat(FAILS, "given"), truss)
    assert "given in the file: assessed, not sized" in text_of(seat(FAILS, "given"), truss)
    assert bearings.checks(design(use=math.inf)).rows[0][0].text == "beyond"


def test_lines_that_are_used_little_stand_in_full_only_when_asked_for() -> None:
    brief = [row[1].text.split(".")[0] for row in bearings.in_full(design()).rows]
    assert brief == ["roller: Line contact", "guide rib: weld: Fillet weld"]
    assert len(bearings.in_full(design(), every=True).rows) == 4


def test_a_seat_without_a_bearing_says_why(truss: Schedule) -> None:
    text = text_of(seat(REFUSED, "asked for"), truss)
    assert "NO BEARING: no rule covers it (scope). Remedy: take a pot." in text
    none = seat(REFUSED, "chosen", compared=(REFUSED,))
    assert "NO BEARING: no kind serves; the table tells why of each." in text_of(none, truss)
    assert "A2-1: the kinds side by side" in text_of(none, truss)
    row = bearings.overview([none]).rows[0]
    assert [cell.text for cell in row[2:4]] == ["–", "no"]


def test_kinds_side_by_side_and_seats_line_by_line(truss: Schedule) -> None:
    sheet = bearings.compared("A2-1", (PASSES, FAILS, REFUSED))
    assert [row[1].text for row in sheet.rows] == ["yes", "no", "no"]
    assert [cell.text for cell in sheet.rows[0][2:7]] == ["310", "235", "81.4", "26", "0.99"]
    assert sheet.rows[2][7].text == "no rule covers it (scope). Remedy: take a pot."
    found = [seat(PASSES), dataclasses.replace(seat(PASSES, "given"))]
    assert bearings.overview(found).rows[1][2].text == "single roller (given)"
    assert bearings.suitability(found) == ["A2-1, A2-1: Table: may need more (R)"]
    for view in (tables.comparison_view(truss, found), tables.bearings_view(truss, found)):
        assert "independently" in tables.to_text(view)
    endless = Choice("pot", design(left=math.inf))
    assert bearings.compared("A2-1", (endless,)).rows[0][5].text == "–"
    for sheet in (bearings.overview(found), bearings.parts(design()), bearings.checks(design())):
        assert {len(row) for row in sheet.rows} == {len(sheet.columns)}


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.0123, "m", "12.3 mm"),
        (6e8, "Pa", "600 MPa"),
        (6e8, "N/m**2", "600 MPa"),
        (3.1544e6, "N/m", "3154 kN/m"),
        (-0.0041, "rad", "−4.1 mrad"),
        (1.25e-3, "m**2", "1250 mm2"),
        (0.97198, "", "0.972"),
        (2.5, "kg", "2.5 kg"),
        (math.inf, "m", "without end"),
    ],
)
def test_quantities_are_shown_in_units_of_drawings(value: float, unit: str, text: str) -> None:
    assert measured(value, unit) == text


def test_values_from_memory_are_told_once(truss: Schedule) -> None:
    value = Value("rollers.line", 23.0, "", "EN 1337-4", "2004", "6", "recalled", "memory")
    found = [seat(PASSES, memory=(value,)), seat(PASSES, memory=(value,))]
    text = tables.to_text(tables.bearings_view(truss, found))
    assert text.count("rollers.line") == 1
    assert "1 value" in text


# ------------------------------------------------------------------ data
@pytest.mark.parametrize(
    "found",
    [
        seat(PASSES),
        seat(FAILS, "given"),
        seat(REFUSED, "chosen", compared=(PASSES, REFUSED)),
        seat(Choice("pot", design(use=math.inf, left=math.inf))),
        seat(Choice("pot", design(lines=()))),
    ],
)
def test_data_fits_its_schema_and_is_the_same_twice(truss: Schedule, found: SeatDesign) -> None:
    text = bearings_to_json(truss, [found])
    VALIDATOR.validate(json.loads(text))
    assert bearings_to_json(truss, [found]) == text


def test_data_is_in_the_units_its_keys_say(truss: Schedule) -> None:
    told = bearings_to_dict(truss, [seat(PASSES)])["bearings"][0]
    made = told["design"]
    assert (made["height_mm"], made["mass_kg"], made["left_mm"]) == (235.0, 309.9, 25.7)
    assert (made["horizontal_kN"], made["reach_mm"]) == (81.4, [610.0, 930.0])
    assert made["behaviour"]["play_mm"] == 1.0
    assert made["parts"][0]["dimensions_mm"] == {"diameter": 160.0}
    assert [part["utilisation"] for part in made["parts"]] == [0.998, 0.92, 0.31, None]
    assert made["checks"][0]["case"] == "N max, ULS 6.10"
    assert told["held"] == ["y"]


def test_a_use_without_end_is_told_as_such(truss: Schedule) -> None:
    found = seat(Choice("pot", design(use=math.inf)))
    made = bearings_to_dict(truss, [found])["bearings"][0]["design"]
    assert (made["utilisation"], made["checks"][0]["beyond"]) == (None, True)


def test_a_number_that_is_none_does_not_leave_the_program(truss: Schedule) -> None:
    with pytest.raises(CheckError, match="height"):
        bearings_to_dict(truss, [seat(Choice("pot", design(height=math.nan)))])


def test_the_schema_is_strict() -> None:
    jsonschema.Draft202012Validator.check_schema(bearings_schema())

    def parts(node: object):
        if isinstance(node, dict):
            if "properties" in node:
                yield node
            for inner in node.values():
                yield from parts(inner)
        elif isinstance(node, list):
            for inner in node:
                yield from parts(inner)

    for part in parts(bearings_schema()):
        assert part["additionalProperties"] is False
        assert set(part["required"]) == set(part["properties"])
