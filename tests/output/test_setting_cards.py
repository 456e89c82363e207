"""Setting tables, data and cards: the same numbers, one page a bearing, nothing obeyed."""

import io
import json
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import jsonschema
import pypdf
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.screen import Screen
from bedstone.errors import InputError
from bedstone.output import setting_words as words
from bedstone.output.setting_cards import cards, cards_source, literal
from bedstone.output.setting_data import settings_schema, settings_to_dict, settings_to_json
from bedstone.output.setting_sketch import HEIGHT, NAMES, WIDTH, sketch
from bedstone.output.setting_tables import settings_view, table
from bedstone.output.tables import to_text
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.schedule.make import schedule_of
from bedstone.site.mechanism import Block, End, Mechanism, RollerSet
from bedstone.site.setting import settings

HOSTILE = 'Brücke #[x] $a$ "q" \\ *b* _c_ @d <e> // /* ' + "very long name " * 12


def girders(name="Beam"):
    """Two girders on a fixed, a guided and two free bearings, 30 m."""
    return Bridge.model_validate(
        {
            "bridge": {"name": name},
            "support": [
                {"mark": "A1", "chainage": "0 m"}, {"mark": "A2", "chainage": "30 m"},
            ],
            "superstructure": {
                "kind": "girders", "type": "steel", "number": 2, "spacing": "4 m",
                "contact": "0.2 m",
                "sections": {
                    "g": {"kind": "given", "A": "0.1 m2", "Iy": "0.05 m4", "Iz": "0.02 m4",
                          "J": "0.01 m4", "depth": "1.6 m", "centroid": "0.8 m"},
                    "d": {"kind": "given", "A": "0.05 m2", "Iy": "0.01 m4", "Iz": "0.01 m4",
                          "J": "0.01 m4", "depth": "1.2 m", "centroid": "0.6 m"},
                },
                "segments": [{"start": "0 m", "end": "30 m", "section": "g"}],
                "diaphragms": {"section": "d", "spacing": "10 m"},
            },
            "stage": [
                {"name": "steel", "carries": "steel",
                 "loads": [{"kind": "line", "line_value": "60 kN/m", "y": "0 m"}]},
                {"name": "deck", "carries": "steel",
                 "loads": [{"kind": "line", "line_value": "60 kN/m", "y": "0 m"}]},
            ],
            "actions": {
                "temperature": {"air_min": "-20 degC", "air_max": "35 degC",
                                "setting": "12 degC"},
            },
            "arrangement": {
                "set_at": "steel",
                "supports": {"A1": ["fixed", "guided across"], "A2": ["guided along", "free"]},
                "kinds": {"fixed": "pot", "guided across": "pot on slide",
                          "guided along": "single roller", "free": "pot on slide"},
            },
        }
    )  # fmt: skip


@cache
def known():
    """The bridge with the settings of its designed bearings."""
    bridge = girders()
    prepared = prepare(bridge)
    schedule = schedule_of(prepared, "eurocode")
    seats = seats_of(bridge, Path())
    designs = tuple(design_seat(schedule, bridge, seats, mark) for mark in seats.marks)
    assert all(item.choice.design is not None for item in designs)
    screen = Screen(prepared, "eurocode")
    return bridge, settings(prepared, "eurocode", screen, designs), arrangement_functions(bridge)


@pytest.fixture
def found():
    return known()[1]


def of(found, mark):
    return next(item for item in found if item.seat == mark)


def pages(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf)).pages


def flat(text):
    return "".join(text.split())


# ------------------------------------------------------------------ table
def test_table_holds_offset_roller_and_gaps_of_every_row(found):
    item = of(found, "A2-1")
    sheet = table(item)
    heads = [column.head for column in sheet.columns]
    assert heads[:6] == ["steel", "offset x'", "rollers x'", "turn", "stop behind", "stop ahead"]
    stop = next(end for end in item.ends if end.halved)
    for row, cells in zip(item.rows, sheet.rows, strict=True):
        e = row.offset[0]
        numbers = [float(cell.text.replace("−", "-")) for cell in cells[:6]]
        expected = [row.temperature, e * 1e3, e * 500.0, e / item.design.rollers.diameter * 1e3,
                    (stop.ahead + e) * 500.0, (stop.ahead - e) * 500.0]  # fmt: skip
        assert numbers == pytest.approx(expected, abs=0.051)


def test_overhang_grows_at_the_end_toward_which_the_slide_plate_moves(found):
    item = of(found, "A2-2")
    edge = next(end for end in item.ends if end.overhang and end.axis == "x")
    behind, ahead = edge.readings(0.01)
    assert ahead - behind == pytest.approx(0.02)
    assert behind + ahead == pytest.approx(edge.ahead - edge.back)


def test_too_little_travel_is_said(found):
    item = of(found, "A2-1")
    tight = replace(item, rows=tuple(replace(row, left=-0.002) for row in item.rows))
    assert any(sentence.startswith("TRAVEL DOES NOT SUFFICE") for sentence in words.windows(tight))
    assert all(row[-3].tone == "warning" for row in table(tight).rows)
    assert not any(sentence.startswith("TRAVEL") for sentence in words.windows(item))


def test_printed_tables_name_every_seat_and_the_caution(found):
    text = to_text(settings_view("Beam", "Eurocodes", found), 120)
    for item in found:
        assert f"{item.seat}: {item.kind}" in text
    assert "checked independently" in " ".join(text.split())
    assert "\x1b" not in to_text(settings_view("a\x1b[31m", "b", found), 100)


def test_landed_tells_the_load_to_jack_and_the_shift(found):
    item = of(found, "A2-1")
    told = " ".join(words.landed(item))
    assert f"{item.load_set / 1e3:.0f} kN" in told
    assert words.mm(10.0 * item.growth.own[0]) in told
    assert words.mm(item.remaining[0]) in words.recentred(item)[0]


# ------------------------------------------------------------------ data
def test_data_fits_its_schema_and_holds_the_rows(found):
    bridge = known()[0]
    data = settings_to_dict(found, bridge, "eurocode")
    jsonschema.validate(data, settings_schema())
    assert json.loads(settings_to_json(found, bridge, "eurocode")) == data
    for item, one in zip(found, data["bearings"], strict=True):
        assert one["seat"] == item.seat
        for row, numbers in zip(item.rows, one["rows"], strict=True):
            assert numbers["offset_mm"] == pytest.approx([v * 1e3 for v in row.offset], abs=1e-6)
            assert len(numbers["readings_mm"]) == len(item.ends)


def test_schema_refuses_a_stranger(found):
    data = settings_to_dict(found, known()[0], "eurocode")
    data["bearings"][0]["more"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, settings_schema())


# ------------------------------------------------------------------ cards
def test_one_a4_page_for_each_bearing_with_its_numbers(found):
    pdf = cards("Beam", "Eurocodes", found)
    read = pages(pdf)
    assert len(read) == len(found)
    for item, page in zip(found, read, strict=True):
        assert [float(side) for side in page.mediabox[2:]] == pytest.approx([595.28, 841.89], abs=1)
        text = flat(page.extract_text())
        assert item.seat in text
        sheet = table(item)
        for row in () if sheet is None else sheet.rows:
            assert flat("".join(cell.text for cell in row)) in text


def test_the_same_settings_give_the_same_bytes(found):
    assert cards("Beam", "Eurocodes", found) == cards("Beam", "Eurocodes", found)


def test_what_a_file_says_is_text_and_stays_on_its_page(found):
    strange = tuple(replace(item, set_at=HOSTILE, seat="#pagebreak()") for item in found)
    read = pages(cards(HOSTILE, HOSTILE, strange))
    assert len(read) == len(found)
    text = flat(read[0].extract_text())
    assert "#pagebreak()" in text
    assert flat("Brücke#[x]$a$") in text
    assert literal('a"\\\n') == '"a\\"\\\\ "'


def test_a_long_table_still_fits_its_page(found):
    item = of(found, "A2-2")
    rows = tuple(
        replace(row, temperature=row.temperature + 100.0 * n) for n in range(4) for row in item.rows
    )
    assert len(pages(cards("Beam", "Eurocodes", [replace(item, rows=rows)]))) == 1


def test_no_bearing_no_card():
    with pytest.raises(InputError):
        cards_source("Beam", "Eurocodes", ())


# ------------------------------------------------------------------ sketch
@pytest.mark.parametrize("mark", ["A1-1", "A1-2", "A2-1", "A2-2"])
def test_sketch_is_to_scale_and_its_names_do_not_touch(found, mark):
    item = of(found, mark)
    row = item.rows[0]
    drawn = sketch(item, row)
    axis = 0 if drawn.axis == "x" else 1
    assert drawn.upper - drawn.lower == pytest.approx(row.offset[axis] * 1e3 / drawn.scale)
    points = [point for shape in drawn.shapes for point in shape.points]
    assert min(x for x, _ in points) >= 0.0
    assert max(x for x, _ in points) <= WIDTH
    assert max(y for _, y in points) <= HEIGHT
    heights = [label.at for label in drawn.labels]
    assert all(low - high >= 3.79 for high, low in pairwise(heights))
    assert 2.2 * max(len(label.text) for label in drawn.labels) < NAMES  # mm a letter, at most


def test_rollers_are_drawn_half_way(found):
    item = of(found, "A2-1")
    row = item.rows[0]
    drawn = sketch(item, row)
    ((x, _, radius, turn),) = drawn.circles
    assert x == pytest.approx((drawn.lower + drawn.upper) / 2.0)
    assert turn == pytest.approx(row.offset[0] * 1e3 / drawn.scale / (2.0 * radius))


def test_segments_lean_toward_the_movement(found):
    item = of(found, "A2-1")
    made = Mechanism(
        "rolls",
        (End("stop of the rollers", "x", -0.1, 0.1, halved=True),),
        (Block("base plate", 0.6, 0.6, 0.05),),
        (Block("sole plate", 0.6, 0.6, 0.05),),
        RollerSet(2, 0.3, 0.5, 0.2, 0.12),
    )
    item = replace(item, design=made, ends=made.ends)
    row = item.rows[-1]
    assert row.offset[0] > 0.0
    assert item.lean(row) > 0.0
    assert item.clear(row) < 0.08
    drawn = sketch(item, row)
    segments = [shape for shape in drawn.shapes if shape.part == "roller"]
    assert len(segments) == 2
    high = min(segments[0].points, key=lambda point: point[1])
    low = max(segments[0].points, key=lambda point: point[1])
    assert high[0] > low[0] - 1e-9
    heads = [column.head for column in table(item).columns]
    assert {"lean", "between"} <= set(heads)
