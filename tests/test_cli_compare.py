"""The verbs that compare arrangements and share forces: what they print, write and leave with."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bedstone.bridge.templates import template, template_files
from bedstone.comparison import compare as comparing
from bedstone.comparison import store
from bedstone.comparison.survey import Survey

EXAMPLES = Path(__file__).parents[1] / "examples"


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """With a truss in the folder."""
    text = (EXAMPLES / "truss.toml").read_text(encoding="utf-8")
    Path("truss.toml").write_text(text, encoding="utf-8")
    return command


def schema_of(run: Run, what: str) -> dict[str, object]:
    done = run("schema", what)
    assert done.code == 0
    schema: dict[str, object] = json.loads(done.out)
    jsonschema.Draft202012Validator.check_schema(schema)
    return schema


# ------------------------------------------------------------------ compare
def test_compare_prints_and_writes(run: Run) -> None:
    done = run("compare", "truss.toml", "--limit", "A1.Hx < 1.5 MN", "--best", 2, "--out", "out")
    assert done.code == 0
    assert "12 looked at" in done.out
    assert "A1.Hx < 1.5 MN" in done.out
    assert "Worked out in full" in done.out
    names = {path.name for path in Path("out").iterdir()}
    assert names == {"ranking.csv", "ranking.parquet", "pareto.csv", "comparison.json"}
    assert [line.split()[0] for line in done.err.splitlines()] == ["written:"] * 4
    data = json.loads(Path("out/comparison.json").read_text(encoding="utf-8"))
    jsonschema.validate(data, schema_of(run, "comparison"))
    assert sum(one["role"] == "best" for one in data["shown"]) == 2
    assert [one["limit"] for one in data["limits"]][-1] == "A1.Hx < 1.5 MN"
    assert all(one["in_full"] for one in data["shown"] if one["role"] != "pinned")


def test_compare_quick_as_json_is_on_standard_output_alone(run: Run) -> None:
    done = run("compare", "truss.toml", "--quick", "--json", "--objective", "movement")
    data = json.loads(done.out)
    assert done.code == 0
    assert data["objective"]["name"] == "movement"
    assert all(one["in_full"] is None for one in data["shown"])
    assert not Path("out").exists()


def test_compare_weighs_the_bearings_when_asked(run: Run) -> None:
    done = run("compare", "truss.toml", "--quick", "--weigh", "--best", 1, "--json")
    shown = json.loads(done.out)["shown"]
    assert all(one["bearings"]["mass_kg"] > 100.0 for one in shown)
    assert all(one["bearings"]["number"] == 4 for one in shown)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--limit", "A9.Hx < 8 kN"], ["--limit: found 'A9.Hx < 8 kN'", "A1, A2, A1-1"]),
        (["--limit", "A1.Hz < 8 kN"], ["--limit: found 'A1.Hz < 8 kN'", "an effect"]),
        (["--limit", "A1.Hx < 8 mm"], ["--limit: found 'A1.Hx < 8 mm'", "'mm' is no unit"]),
        (["--objective", "beauty"], ["objective: found 'beauty'", "abutment force"]),
        (["--limit", "A1.Hx < 1 kN"], ["limit: A1.Hx < 1 kN", "nearest reaches 1094 kN"]),
        (["--standard", "other"], ["--standard: found 'other'", "eurocode, aashto, irc"]),
    ],
)
def test_compare_refuses_in_one_line(run: Run, arguments: list[str], told: list[str]) -> None:
    done = run("compare", "truss.toml", "--out", "out", *arguments)
    assert done.code == 2
    assert done.out == ""
    assert len(done.err.splitlines()) == 1
    assert all(part in done.err for part in told)
    assert not Path("out").exists()


def test_too_many_arrangements_are_counted_and_told_how_to_narrow(run: Run) -> None:
    text = Path("truss.toml").read_text(encoding="utf-8")
    few = text.replace("[compare]\n", "[compare]\nrules = { largest = 5 }\n", 1)
    assert few != text
    Path("truss.toml").write_text(few, encoding="utf-8")
    done = run("compare", "truss.toml")
    assert done.code == 2
    assert "truss.toml: compare.rules" in done.err
    assert "24 arrangements" in done.err
    assert len(done.err.splitlines()) == 1


def test_brought_reactions_cannot_be_tried_anew(run: Run) -> None:
    for name, text in template_files("reactions").items():
        Path(name).write_text(text, encoding="utf-8")
    Path("given.toml").write_text(template("reactions"), encoding="utf-8")
    for verb in ("compare", "sharing", "what-if", "chance"):
        done = run(verb, "given.toml")
        assert done.code == 2
        assert done.err.startswith("given.toml: superstructure.kind: found reactions")
        assert len(done.err.splitlines()) == 1


def test_a_folder_that_cannot_be_made_leaves_nothing(run: Run) -> None:
    Path("out").write_text("in the way", encoding="utf-8")
    done = run("compare", "truss.toml", "--quick", "--out", "out")
    assert done.code == 2
    assert "out" in done.err
    assert Path("out").read_text(encoding="utf-8") == "in the way"


# ------------------------------------------------------------------ interruption
@pytest.fixture
def interrupted(monkeypatch: pytest.MonkeyPatch) -> Callable[[bool], int]:
    """The work in chunks of two, kept on disk; Ctrl-C at the ninth arrangement while on."""
    monkeypatch.setattr(comparing, "CHUNK", 2)
    monkeypatch.setattr(store, "WORTH", 1)
    whole, calls = Survey.some, {"on": True, "seen": 0}

    def some(self: Survey, codes, points=None):  # type: ignore[no-untyped-def]
        calls["seen"] += 1
        if calls["on"] and calls["seen"] > 1 and codes[0].tolist() == calls["ninth"]:
            raise KeyboardInterrupt
        return whole(self, codes, points)

    original = comparing._work

    def work(survey, arrangements, kept, progress):  # type: ignore[no-untyped-def]
        calls["ninth"], calls["seen"] = arrangements.codes[8].tolist(), 0
        return original(survey, arrangements, kept, progress)

    monkeypatch.setattr(Survey, "some", some)
    monkeypatch.setattr(comparing, "_work", work)

    def switch(on: bool) -> int:
        seen = int(calls["seen"])
        calls["on"] = on
        return seen

    return switch


def test_an_interrupted_comparison_goes_on_where_it_stopped(
    run: Run, interrupted: Callable[[bool], int]
) -> None:
    done = run("compare", "truss.toml", "--quick")
    assert done.code == 130
    assert "Stopped after 8 of 12; call again to go on." in done.out
    assert len(list(Path("cache").rglob("*.npz"))) >= 4
    interrupted(False)
    again = run("compare", "truss.toml", "--quick", "--json")
    assert again.code == 0
    assert interrupted(False) <= 3  # the first look, and the two parts that were not kept
    assert not list(Path("cache").rglob("*.npz"))
    afresh = run("compare", "truss.toml", "--quick", "--json")
    assert again.out == afresh.out


def test_another_limit_is_another_question(run: Run, interrupted: Callable[[bool], int]) -> None:
    """It may fold other twins: what was kept for one list of arrangements fits no other."""
    assert run("compare", "truss.toml", "--quick").code == 130
    assert run("compare", "truss.toml", "--quick", "--limit", "A2.Fy < 1 MN").code == 130
    assert run("compare", "truss.toml", "--quick", "--objective", "A2.Fx").code == 130
    assert len(list(Path("cache/bedstone/compare").iterdir())) == 3


# ------------------------------------------------------------------ the other verbs
def test_sharing_prints_three_ways_and_the_still_point(run: Run) -> None:
    done = run("sharing", "truss.toml", "--standard", "irc", "--years", 1)
    assert done.code == 0
    for part in ("rule", "elastic, traffic", "path, all together", "Point without movement along"):
        assert part in done.out
    assert "211.5" in done.out
    told = run("sharing", "truss.toml", "--standard", "aashto", "--years", 1, "--json",
               "--by-stiffness")  # fmt: skip
    data = json.loads(told.out)
    jsonschema.validate(data, schema_of(run, "sharing"))
    assert data["timeline"]["years"] == 1
    assert data["rule_shares_by"] == "stiffness"


def test_what_if_ranks_faults(run: Run) -> None:
    done = run("what-if", "truss.toml", "--worst", 0, "--rows", 3, "--out", "out")
    assert done.code == 0
    assert "hurts most" in done.out
    data = json.loads(Path("out/faults.json").read_text(encoding="utf-8"))
    jsonschema.validate(data, schema_of(run, "faults"))
    assert Path("out/faults.csv").read_text(encoding="utf-8").startswith("rank,fault")
    one = run("what-if", "truss.toml", "--worst", 0, "--fault", 1)
    assert one.code == 0
    beyond = run("what-if", "truss.toml", "--worst", 0, "--fault", 999)
    assert beyond.code == 2
    assert "--fault" in beyond.err


def test_chance_records_its_seed(run: Run) -> None:
    done = run("chance", "truss.toml", "--samples", 64, "--seed", 7)
    assert done.code == 0
    assert "seed 7" in done.out
    told = run("chance", "truss.toml", "--samples", 64, "--seed", 7, "--json")
    data = json.loads(told.out)
    jsonschema.validate(data, schema_of(run, "chance"))
    assert (data["seed"], data["samples"]) == (7, 64)


def test_chance_without_spreads_says_what_to_add(run: Run) -> None:
    text = Path("truss.toml").read_text(encoding="utf-8")
    head, rest = text.split("[uncertainty]", 1)
    tail = rest.split("\n[", 1)
    Path("truss.toml").write_text(head + ("[" + tail[1] if len(tail) > 1 else ""), encoding="utf-8")
    done = run("chance", "truss.toml")
    assert done.code == 2
    assert "uncertainty" in done.err
