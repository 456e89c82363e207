"""A stock as tables and data: every sentence tells place, number and unit."""

import json
import re
from dataclasses import replace

import jsonschema
import pytest

from bedstone.output import stock_words as words
from bedstone.output.stock_data import stock_schema, stock_to_dict, stock_to_json
from bedstone.output.stock_tables import stock_view
from bedstone.output.tables import to_text
from bedstone.stock.ranking import Change, Ranked, Reason, thresholds_of
from bedstone.stock.run import Faulty, Result
from bedstone.stock.task import Options

REASONS = {
    "travel": Reason("travel", 0.8, "A2-1", value=0.0051),
    "out": Reason("travel", 1.4, "A2-1", value=-0.0123),
    "uplift": Reason("uplift", 0.9, "A1-3", value=0.04),
    "lifts": Reason("uplift", 3.0, "A1-3", value=-0.48),
    "utilisation": Reason("utilisation", 1.3, "P1-2", "pot, Wall, EN 1337-5, 5.2", 1.03),
    "endless": Reason("utilisation", 3.0, "P1-2", "pot"),
    "no bearing": Reason("no bearing", 1.0, "P1-2", "pot on slide: no size holds"),
    "fault": Reason(
        "single fault", 0.6, "A2", "A2-2 seized", 3.3, "Fx", 115_260.0, 6_055_616.0, "N"
    ),
    "loose": Reason("loose", 0.5, "A1-1", "A1-1 carries nothing: it turns freely"),
    "unstable": Reason("unstable", 3.0, what="turns freely about A1"),
}
TOLD = {
    "travel": "A2-1: 5.10 mm of travel left at the design extremes",
    "out": "A2-1: out of travel by 12.30 mm at the design extremes",
    "uplift": "A1-3: least compression 4 % of its permanent load",
    "lifts": "A1-3: lifts; pulled by 48 % of its permanent load",
    "utilisation": "P1-2: utilisation 1.03 (pot, Wall, EN 1337-5, 5.2)",
    "endless": "P1-2: utilisation without end (pot)",
    "no bearing": "P1-2: no bearing holds (pot on slide: no size holds)",
    "fault": "A2-2 seized: Fx of A2 from 115 to 6056 kN (harm 3.3)",
    "loose": "A1-1 carries nothing: it turns freely",
    "unstable": "moves freely as it stands: turns freely about A1",
}


@pytest.fixture
def result() -> Result:
    ranking = tuple(
        Ranked(number, f"north/{name}.toml", f"Bridge {name}", "done", (reason,))
        for number, (name, reason) in enumerate(REASONS.items(), start=1)
    )
    return Result(
        place="bridges", store="store", options=Options(), number=3, bridges=13, taken=11,
        worked_out=2, damaged=1, removed=1, untried=0, passed_over=("pyproject.toml",),
        states={"done": 11, "faulty": 1, "lost": 1},
        ranking=(*ranking, Ranked(11, "quiet.toml", "Quiet", "done", ())),
        faulty=(
            Faulty("torn.toml", "faulty", tuple(f"fault {n}" for n in range(5))),
            Faulty("gone.toml", "lost", ("the worker ended by signal 9",)),
        ),
        notes=(("given.toml", "what-if", "there is no model"),),
        changes=(
            Change("a.toml", 4, 2, 0.5, 1.5, "done", "done", "its files or the options changed"),
            Change("b.toml", None, 3, None, 1.0, "", "done", "new"),
            Change("c.toml", 1, None, 3.0, None, "unstable", "", "gone or faulty"),
        ),
        compared_with=2, thresholds=thresholds_of(), parts=(),
    )  # fmt: skip


@pytest.mark.parametrize("name", REASONS)
def test_a_reason_in_one_line(name: str) -> None:
    told = words.reason(REASONS[name]).replace("−", "-")
    assert re.sub(r"(\d)\.\d+ mm", r"\1 mm", told) == re.sub(r"(\d)\.\d+ mm", r"\1 mm", TOLD[name])


def test_data_fit_their_schema(result: Result) -> None:
    schema = stock_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    data = json.loads(stock_to_json(result))
    jsonschema.validate(data, schema)
    empty = replace(
        result, number=0, untried=13, ranking=(), faulty=(), changes=(), compared_with=0,
        notes=(), states={},
    )  # fmt: skip
    jsonschema.validate(stock_to_dict(empty), schema)


def test_data_have_units(result: Result) -> None:
    data = {item["bridge"]: item for item in stock_to_dict(result)["ranking"]}
    assert data["north/travel.toml"]["reasons"][0]["travel_left_mm"] == 5.1
    fault = data["north/fault.toml"]["reasons"][0]
    assert (fault["intact"], fault["then"], fault["unit"]) == (115.26, 6055.616, "kN")
    assert "value" not in data["north/endless.toml"]["reasons"][0]


def test_tables_tell_all(result: Result) -> None:
    text = to_text(stock_view(result), 120)
    for item in result.ranking:
        assert item.bridge in text
    assert "nothing asks for attention" in text
    assert "fault 2" in text
    assert "fault 3" not in text
    assert "and 2 more faults" in text
    assert "made again" in text
    assert "rank 4 to 2, concern 0.50 to 1.50" in text
    assert "no probability" in text
    assert "INTERRUPTED" not in text
    assert "INTERRUPTED" in to_text(stock_view(replace(result, untried=2)), 120)


def test_fewer_rows_are_told(result: Result) -> None:
    text = to_text(stock_view(result, 4), 120)
    assert "north/lifts.toml" in text
    assert "north/utilisation.toml" not in text
    assert "7 more (--rows 0 for all)" in text


def test_what_a_file_says_does_not_steer_the_terminal(result: Result) -> None:
    odd = Ranked(1, "a\x1b[2J.toml", "", "done", (Reason("loose", 0.5, "", "x\x1b]0;\x07"),))
    text = to_text(stock_view(replace(result, ranking=(odd,))), 120)
    assert "\x1b" not in text
    assert "\x07" not in text


@pytest.mark.parametrize("width", [40, 60, 80, 100, 120, 200])
def test_every_width_tells_each_bridge_its_concern_and_why(result: Result, width: int) -> None:
    """A table where a reason fits beside the names, else one bridge below the other."""
    text = to_text(stock_view(result), width)
    lines = text.splitlines()
    assert max(map(len, lines)) <= width
    head = lines.index("Which one needs a visit first")
    told = " ".join(" ".join(lines[head:]).split())
    for item in result.ranking:
        assert item.bridge in text  # on one line
        if width < 80:
            first = words.reason(item.reasons[0]) if item.reasons else "nothing asks for attention"
            assert f"{item.rank} {item.bridge} {item.concern:.2f} {first}" in told
    wide = any(line.split() == ["bridge", "concern", "reason"] for line in lines)
    assert wide == (width >= 80)


def test_other_reasons_are_told_by_kind(result: Result) -> None:
    many = (REASONS["lifts"], REASONS["out"], REASONS["travel"], REASONS["fault"])
    ranked = (Ranked(1, "a.toml", "", "done", many),)
    text = to_text(stock_view(replace(result, ranking=ranked)), 200)
    assert f"{TOLD['lifts']}; also: travel, single fault\n" in text
    assert "`bedstone setting FILE`" in text
    same = (REASONS["out"], REASONS["travel"], REASONS["loose"])
    assert words.others(same) == "1 other of this kind, loose"
    assert words.others(same[:1]) == ""


def test_a_fault_names_its_file_once(result: Result) -> None:
    faulty = (
        Faulty("north/torn.toml", "faulty", ("torn.toml: line 1: found x; allowed: TOML",)),
        Faulty("odd.toml", "faulty", ("list.txt: line 2: found odd.toml; allowed: each once",)),
    )
    text = to_text(stock_view(replace(result, faulty=faulty)), 120)
    assert "north/torn.toml (faulty): line 1: found x; allowed: TOML" in text
    assert "odd.toml (faulty): list.txt: line 2: found odd.toml" in text


def test_one_is_not_told_as_many(result: Result) -> None:
    text = to_text(stock_view(replace(result, bridges=1, damaged=1, states={"done": 1})), 120)
    assert "1 bridge, 1 done" in text
    assert "1 part of the store was damaged" in text


def test_an_empty_ranking_has_no_table(result: Result) -> None:
    text = to_text(stock_view(replace(result, ranking=(), untried=3)), 120)
    assert "Which one needs a visit first" not in text
