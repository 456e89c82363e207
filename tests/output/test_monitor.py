"""What people and programs read of a judgement; every word has its sentence and its next step."""

import json
import math
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

from bedstone.bridge import read_bridge
from bedstone.bridge.templates import template
from bedstone.errors import CheckError
from bedstone.output import monitor_words as words
from bedstone.output.monitor_data import monitor_schema, monitor_to_dict, monitor_to_json
from bedstone.output.monitor_tables import monitor_view, table
from bedstone.output.sheets import NOTHING
from bedstone.output.tables import to_text
from bedstone.site.log_files import Series
from bedstone.site.mechanism import End
from bedstone.site.monitoring import watch
from bedstone.site.monitoring.judge import QUIET, WORDS, Finding
from bedstone.site.monitoring.travel import Forecast
from bedstone.site.setting import Budget, Growth, Row, Setting
from bedstone.site.temperatures import Temperatures
from bedstone.site.tolerances import usual

DAY = 86_400_000_000_000
SLOPE = 0.768e-3
LIMITS = usual("monitoring")
NUMBERS = {
    "ratio": 0.3, "low": 0.2, "high": 0.4, "error": 0.4, "first": 1.7e18, "last": 1.71e18,
    "value": 0.01, "time": 1.7e18, "before": 1.0, "after": 2.0, "temperature": 25.0,
    "beyond": 1e-5, "drift": 0.01, "evidence": 10.0, "needed": 3.0, "size": -0.01, "off": 0.01,
    "budget": 0.005, "moved": 0.004, "allowed": 0.003, "left": -0.01, "by": 0.01, "span": 4.0,
    "days": 1.0, "stick": 12.0, "apart": 10.0, "step": 0.001,
}  # fmt: skip
KINDS = {
    "sensor at fault": (
        "stuck",
        "thermometer stuck",
        "coarse",
        "sign reversed",
        "wrong length",
        "clock shifted",
    ),
    "stop reached": ("warmer", "colder"),
    "substructure moved": ("step", "drift"),
    "sluggish": ("slope", "stick"),
    "not enough yet": ("span", "days", "between", "uncertain"),
}


@pytest.fixture(scope="module")
def bridge(tmp_path_factory):
    """Any bridge, for its names."""
    path = tmp_path_factory.mktemp("bridge") / "bridge.toml"
    path.write_text(template("truss"), encoding="utf-8")
    return read_bridge(path)


def setting(seat):
    told = Temperatures(-24.0, 53.0, 12.0, told=True)
    errors = Budget(1.5e-3, 3e-3, 0.0, 0.0, 0.0)
    row = Row(14.5, (0.0, 0.0), (-0.0296, 0.0296), (0.0, 0.0), None, None)
    return Setting(
        seat=seat, support="A2", function="guided along", kind=None, form="slides",
        held=(False, True), angle=0.0, axis_angle=0.0, set_at="", stages=(), load_set=0.0,
        load_final=0.0, remaining=(0.0, 0.0), turns=(0.0, 0.0),
        growth=Growth((SLOPE, 0.0), (0.0, 0.0), None, None, 12e-6), temperatures=told, datum=14.5,
        design=None, ends=(End("stop", "x", -0.08, 0.08),), rows=(row,), budget=(errors, errors),
        upright=None, fixed_offset=None, tolerances=usual(), allowance=0.0,
    )  # fmt: skip


def made(seat, ratio=1.0, step=0.0):
    hours = np.arange(0.0, 24.0 * 120)
    warm = 14.5 + 8.0 * np.sin(hours / 300.0) + 6.0 * np.sin(2 * np.pi * hours / 24.0)
    noise = 1e-4 * np.random.default_rng(3).normal(size=len(hours))
    moved = ratio * SLOPE * (warm - 14.5) + step * (hours > 1500.0) + noise
    return Series(seat, np.rint(hours * DAY / 24).astype(np.int64) + 19_000 * DAY, moved, warm)


@pytest.fixture(scope="module")
def found():
    """A free bearing, a frozen one, one whose pier moved, and one read too briefly."""
    items = [
        made("A2-1"),
        made("A2-2", 0.0),
        made("A2-3", step=0.01),
        Series("A2-4", np.array([0, DAY]), np.array([0.0, 0.001]), np.array([10.0, 12.0])),
    ]
    return watch(items, [setting(item.seat) for item in items])


def test_data_fits_its_schema(found, bridge):
    data = json.loads(monitor_to_json(found, bridge, "eurocode", LIMITS, ["a.csv: a gap"]))
    jsonschema.Draft202012Validator.check_schema(monitor_schema())
    jsonschema.validate(data, monitor_schema())
    assert data["action"] is True
    assert [seat["judgement"] for seat in data["seats"]][0::2] == ["free", "substructure moved"]
    assert data["told"] == ["a.csv: a gap"]


def test_a_key_that_nobody_described_is_refused(found, bridge):
    data = monitor_to_dict(found, bridge, "eurocode", LIMITS)
    data["seats"][0]["more"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, monitor_schema())


def test_numbers_carry_their_units(found, bridge):
    data = monitor_to_dict(found, bridge, "eurocode", LIMITS)
    free, _, moved, brief = data["seats"]
    assert free["fit"]["slope_mm_per_K"]["value"] == pytest.approx(0.768, rel=1e-3)
    assert free["expected"]["slope_mm_per_K"] == 0.768
    step = next(item for item in moved["findings"] if item["kind"] == "step")
    assert step["numbers"]["size_mm"] == pytest.approx(10.0, abs=0.1)
    assert step["numbers"]["time"] == "2022-03-11T13:00:00Z"  # 1501 h after the first
    # m of way in a year, as the judgement has it
    assert free["way_m_per_year"] == pytest.approx(found[0].yearly)
    assert free["left_mm"]["ahead"] == pytest.approx(found[0].left.ahead * 1e3)
    assert brief["fit"] is None
    assert brief["mobility"] is None
    assert brief["findings"][0]["numbers"] == {"apart_K": 10.0, "span_K": 2.0}


def test_a_number_that_is_none_does_not_leave_the_program(found, bridge):
    broken = replace(found[0], yearly=math.nan)
    with pytest.raises(CheckError):
        monitor_to_json([broken], bridge, "eurocode", LIMITS)


def test_the_same_judgement_gives_the_same_bytes(found, bridge):
    one = monitor_to_json(found, bridge, "eurocode", LIMITS)
    assert one == monitor_to_json(found, bridge, "eurocode", LIMITS)
    assert one.endswith("}\n")


@pytest.mark.parametrize("word", WORDS)
def test_every_word_has_a_sentence_with_its_numbers_and_a_next_step(found, word):
    for kind in KINDS.get(word, ("",)):
        item = replace(found[0], findings=(Finding(word, kind, NUMBERS, ("A2-2",)),))
        (sentence,) = words.sentences(item)
        assert any(letter.isdigit() for letter in sentence)
        assert words.judgement(item.judgement)
        parts = [part for part in sentence.split(". ") if part]
        if word not in QUIET:
            assert len(parts) >= 2, sentence  # what is found, and what to do


def test_neighbours_say_what_moved(found):
    def said(shared):
        item = Finding("substructure moved", "step", NUMBERS, shared)
        return words.sentences(replace(found[2], findings=(item,)))[0]

    assert "survey A2 and its joint" in said(("A2-1",))
    assert "holds the bridge along" in said(("P1-1",))
    assert "No other log shows it" in said(())


def test_a_line_for_each_seat_and_action_first(found, bridge):
    sheet = table(found)
    assert [row[0].text for row in sheet.rows] == ["A2-1", "A2-2", "A2-3", "A2-4"]
    assert sheet.rows[1][1].tone == "warning"
    assert sheet.rows[0][1].tone == "strong"
    assert sheet.rows[3][2].text == NOTHING
    text = to_text(monitor_view("Bridge", "Eurocodes", found, LIMITS), 120)
    assert "Needs action: A2-2, A2-3" in text
    assert "monitoring.free" in text  # thresholds from memory are named
    assert "aid for qualified engineers" in text
    quiet = to_text(monitor_view("Bridge", "Eurocodes", found[:1], LIMITS), 120)
    assert "Nothing needs action." in quiet


def test_dates_of_an_end(found):
    def said(likely, earliest, latest):
        item = Forecast("ahead", likely, earliest, latest)
        return words.end_reached(replace(found[0], forecast=item))

    year = 365 * DAY
    assert said(55 * year, 54 * year, 57 * year) == "2024-12 (2023-12 to 2026-12)"
    assert said(55 * year, 54 * year, None) == "2024-12 (2023-12 to open)"
    assert said(None, None, None) == "beyond a working life"
    assert words.end_reached(found[0]) == NOTHING


@pytest.mark.parametrize(
    ("ratio", "word", "says"),
    [
        (1 / 1.8, "sluggish", "degF under a head of degC"),  # 1 degC = 1.8 degF
        (1.8, "sensor at fault", "degC under a head of degF"),
        (1 / 25.4, "frozen", "inches under a head of mm"),  # 1 inch = 25.4 mm
        (0.102, "restricted", "cm under a head of mm"),
        (0.65, "sluggish", ""),
    ],
)
def test_a_mobility_that_a_mistaken_unit_would_explain_says_so(ratio, word, says):
    found = watch([made("A2-1", ratio)], [setting("A2-1")])[0]
    assert found.judgement.word == word
    (text, *_) = words.sentences(found)
    assert (says in text) if says else ("under a head" not in text)
    # a number that is not sure proves no unit
    loose = Finding(word, found.judgement.kind, {"ratio": ratio, "low": 0.0, "high": 2 * ratio})
    assert "under a head" not in words.sentences(replace(found, findings=(loose,)))[0]
