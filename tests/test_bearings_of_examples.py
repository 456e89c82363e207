"""Every seat of every example bridge has a bearing that passes or a clear reason why there is none.

The families that an example is scheduled under are those of `test_examples`.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from bedstone.bearings import catalogue
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Bridge
from bedstone.output.bearing_data import bearings_schema, bearings_to_json
from bedstone.schedule.demand import demand_of
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule

EXAMPLES = Path(__file__).parents[1] / "examples"
RUNS = [
    *((name, family) for name in ("truss", "girders", "curved")
      for family in ("eurocode", "aashto", "irc")),
    ("railway", "eurocode"),
]  # fmt: skip


@cache
def example(name: str) -> Bridge:
    return read_bridge(EXAMPLES / f"{name}.toml")


@cache
def scheduled(name: str, family: str) -> Schedule:
    return make_schedule(example(name), EXAMPLES, family)


@cache
def designed(name: str, family: str, *, compared: bool = False) -> tuple[SeatDesign, ...]:
    bridge, schedule = example(name), scheduled(name, family)
    seats = seats_of(bridge, EXAMPLES)
    return tuple(
        design_seat(schedule, bridge, seats, mark, compared=compared) for mark in seats.marks
    )


def quick_or_slow() -> list[object]:
    quick = {("truss", "eurocode"), ("truss", "aashto")}
    return [
        pytest.param(*run, marks=[] if run in quick else [pytest.mark.slow], id="-".join(run))
        for run in RUNS
    ]


@pytest.mark.parametrize(("name", "family"), quick_or_slow())
def test_the_kind_of_the_file_serves_or_says_why_not(name: str, family: str) -> None:
    found = designed(name, family)
    assert {item.seat for item in found} == {seat.mark for seat in scheduled(name, family).seats}
    for item in found:
        choice = item.choice
        if choice.design is None:
            assert choice.refusal is not None
            assert len(choice.refusal.reason) > 20, item.seat
            assert choice.refusal.remedy, item.seat
            continue
        assert choice.passes, f"{item.seat}: a design that does not pass is no answer"
        assert choice.design.mass > 0.0
        assert choice.design.height > 0.0
        uses = [line.utilisation for line in choice.design.lines if line.utilisation is not None]
        assert uses == sorted(uses, reverse=True)
        for line in choice.design.lines:
            assert line.clause or line.standard == "derived", line.title
            assert line.part, line.title
    data = json.loads(bearings_to_json(scheduled(name, family), found))
    jsonschema.Draft202012Validator(bearings_schema()).validate(data)


@pytest.mark.parametrize(("name", "family"), quick_or_slow())
def test_all_kinds_answer_at_every_seat(name: str, family: str) -> None:
    for item in designed(name, family, compared=True):
        assert {choice.kind for choice in item.compared} == set(catalogue.kinds())
        for choice in item.compared:
            where = f"{item.seat}, {choice.kind}"
            assert (choice.design is None) != (choice.refusal is None), where
            if choice.refusal is not None:
                assert choice.refusal.reason, where
        passing = [
            choice.design.mass for choice in item.compared if choice.passes and choice.design
        ]
        assert passing == sorted(passing)


@pytest.mark.parametrize(
    ("name", "family", "seat", "kind"),
    [
        ("truss", "eurocode", "A1-1", "line rocker"),
        ("truss", "eurocode", "A2-1", "rocker on nest"),
        pytest.param("girders", "eurocode", "P1-3", "pot", marks=pytest.mark.slow),
        pytest.param("girders", "eurocode", "P2-1", "pot on slide", marks=pytest.mark.slow),
        pytest.param("curved", "aashto", "P1-2", "pot", marks=pytest.mark.slow),
    ],
)
def test_the_bearings_an_example_is_about_pass(
    name: str, family: str, seat: str, kind: str
) -> None:
    found = next(item for item in designed(name, family) if item.seat == seat)
    assert found.choice.kind == kind
    assert found.choice.passes


def test_a_nest_alone_is_refused_where_the_truss_turns() -> None:
    """A nest lifts a roller off at a milliradian or less (mechanics: s (n + 1) / 6 of offset)."""
    bridge, schedule = example("truss"), scheduled("truss", "eurocode")
    seats = seats_of(bridge, EXAMPLES)
    assert demand_of(schedule, bridge, "A2-1").largest("ry") > 5e-3
    found = design_seat(schedule, bridge, seats, "A2-1", "roller nest")
    assert found.choice.refusal is not None
    assert "rotation" in found.choice.refusal.reason
    assert "rocker on nest" in found.choice.refusal.remedy
    assert "unsuitable (U)" in found.choice.remark
    assert "to turn about y'" in found.choice.remark
