"""Inspections told for people and as data."""

import datetime as dt
import json
import math

import jsonschema
import pytest

from bedstone.output import inspect_words as words
from bedstone.output.inspect_data import inspection_schema, inspection_to_json
from bedstone.output.inspect_tables import inspection_view
from bedstone.output.tables import to_text
from bedstone.site.inspection import inspect
from bedstone.site.inspection.result import Effect, Left, Sign, Verdict
from bedstone.site.mechanism import End
from bedstone.site.readings import Reading


def reading(seat, quantity, place, value, word="", steel=30.0):
    time = dt.datetime(2026, 6, 17, 9, tzinfo=dt.UTC)
    return Reading(seat, quantity, place, value, word, time, steel, "", "", "visit.xlsx", 7)


@pytest.fixture(scope="module")
def judged():
    """A visit to the truss with a bearing near its stop, a worn roller and a stuck one."""
    from pathlib import Path

    from bedstone.articulation.prepared import prepare
    from bedstone.bridge import read_bridge
    from bedstone.cli.paper import designed

    path = Path(__file__).parents[2] / "examples" / "truss.toml"
    bridge = read_bridge(path)
    _, designs = designed(bridge, path.parent, None)
    found = inspect(
        prepare(bridge), "eurocode",
        (
            reading("A2-1", "offset along", "", 0.140),
            reading("A2-1", "diameter", "middle", 0.157),
            reading("A2-2", "movement", "", None, "stuck"),
            reading("A2-2", "offset along", "", 0.012, steel=None),
            reading("A1-1", "level along", "", 0.001),
            reading("A2", "joint gap", "", 0.020),
        ),
        designs,
    )  # fmt: skip
    return bridge, found


def test_data_fit_the_schema(judged):
    bridge, found = judged
    schema = inspection_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    data = json.loads(inspection_to_json(found, bridge))
    jsonschema.validate(data, schema)
    assert data["holds"] is False
    assert {"place": "A2-1", "what": "offset along"} in data["out"]
    own = next(item for item in data["bearings"] if item["seat"] == "A2-1")
    offset = next(item for item in own["verdicts"] if item["what"] == "offset along")
    assert offset["found"] == pytest.approx(140.0)
    assert offset["rows"] == [{"file": "visit.xlsx", "row": 7}]
    assert own["travel"][0]["reached"] is True
    assert own["sizes"]["measured"] == [
        {"name": "diameter", "unit": "mm", "drawn": 160.0, "found": 157.0}
    ]
    assert data["unread"] == ["A1-2"]
    # the truss names kinds of bearings, no sizes: the drawn ones are of this program
    assert data["designed"] == [item["seat"] for item in data["bearings"]]


def test_the_schema_knows_every_field(judged):
    """A field that the schema does not know is refused, so that both stay together."""
    bridge, found = judged
    data = json.loads(inspection_to_json(found, bridge))
    data["bearings"][0]["guess"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, inspection_schema())


def test_what_people_read(judged):
    bridge, found = judged
    text = to_text(inspection_view(bridge.bridge.name, "Eurocodes", found), 120)
    told = " ".join(text.split())
    assert "A2-1: rocker on nest, guided along" in told
    assert "OUT by" in told
    assert "REACHED" in told
    assert "DOES NOT HOLD" in told
    assert "TELL THE RESPONSIBLE ENGINEER" in told
    assert "Nothing read on A1-2." in told
    assert "No rating proposed: no offset along with the temperature" in told
    assert "A2 joint gap" in told
    assert "as “A2-2 seized" in told
    assert "From memory, confirm against the printed clause" in told
    assert "licensed engineer of record" in told


def test_only_so_many_causes_are_told(judged):
    _, found = judged
    one, all_ = (
        to_text(inspection_view("B", "E", found, count=count), 120).count("Next:")
        for count in (1, 33)
    )
    assert one < all_ == sum(len(seat.causes) for seat in found.seats)


def test_only_tolerances_that_were_leaned_on_are_told(judged):
    _, found = judged
    names = {value.name for value in words.from_memory(found)}
    assert "inspection.offset_errors" in names
    assert "inspection.pot_gap" not in names


def test_amounts():
    assert words.amount(0.0125, "m") == "+12.5"
    assert words.amount(-0.003, "rad") == "−3.0"
    assert words.amount(0.98, "") == "0.980"
    assert words.amount(None, "m") == "–"
    assert words.amount(math.inf, "m") == "any"
    assert words.amount(0.0125, "m", sign=False) == "12.5"


def test_verdicts_in_words():
    out = Verdict("S", "diameter", "m", (), "", 0.157, 0.160, 0.1595, 0.1605)
    assert words.outcome(out) == "OUT by 2.5 mm"
    assert words.outcome(Verdict("S", "x", "m", (), "", why="no rule")) == "not judged: no rule"
    assert words.outcome(Verdict("S", "dirt", "", (), "", word="some")) == "within"
    assert words.outcome(Verdict("S", "clamp", "", (), "", word="yes", out=True)) == "OUT"


def test_a_temperature_outside_the_range_is_not_told():
    end = End("stop", "x", -0.1, 0.1)
    for at, count in ((60.0, 1), (50.0, 2)):
        left = Left(end, 0.0, 0.05, 0.01, None, at, -24.0, 53.0)
        assert len(words.travel(left)) == count


def test_a_bridge_that_does_not_stand_is_told_as_such():
    text = words.effect(Effect("contact", "A2-1 carries nothing", unstable="turns about x"))
    assert "does not stand: turns about x" in text


def test_what_has_no_end_is_told_in_words():
    assert "without end" in words.sign(Sign("utilisation", math.inf, 1.0, ""))
