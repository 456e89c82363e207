import math
from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.bridge import arrangement_functions, parse_bridge, read_tables, seat_marks
from bedstone.bridge.templates import template
from bedstone.errors import InputError

GIRDERS = template("girders")


def test_marks_count_from_the_right() -> None:
    seats = seat_marks(parse_bridge(GIRDERS))
    assert [seat.mark for seat in seats[:5]] == ["A1-1", "A1-2", "A1-3", "A1-4", "P1-1"]
    assert [seat.y for seat in seats[:4]] == pytest.approx([-4.2, -1.4, 1.4, 4.2])
    assert {seat.side for seat in seats} == {""}


def test_offsets_may_stand_in_any_order() -> None:
    old = "number = 4                     # girder lines, symmetric about the reference line\n"
    text = GIRDERS.replace(old + 'spacing = "2.8 m"', 'offsets = ["4 m", "-4 m", "1 m", "-1 m"]')
    assert [seat.y for seat in seat_marks(parse_bridge(text))[:4]] == [-4.0, -1.0, 1.0, 4.0]


def test_simple_spans_have_two_seats_a_line_at_the_pier() -> None:
    text = GIRDERS.replace('continuity = "continuous"', 'continuity = "simple"')
    text = text.replace(
        'P1 = ["guided across", "fixed", "guided across", "guided across"]',
        'P1 = ["free", "fixed", "free", "fixed", "free", "fixed", "free", "fixed"]',
    )
    bridge = parse_bridge(text)
    at_pier = [seat for seat in seat_marks(bridge) if seat.support == "P1"]
    assert [seat.mark for seat in at_pier[:4]] == ["P1-1b", "P1-1a", "P1-2b", "P1-2a"]
    assert [(seat.line, seat.side) for seat in at_pier[:2]] == [(1, "b"), (1, "a")]
    functions = arrangement_functions(bridge)
    assert functions["P1-3b"].function == "free"
    assert functions["P1-3a"].function == "fixed"
    assert seat_marks(bridge)[0].mark == "A1-1"


def test_a_truss_stands_on_two_lines() -> None:
    seats = seat_marks(parse_bridge(template("truss")))
    assert [(seat.mark, seat.y) for seat in seats] == [
        ("A1-1", -2.8),
        ("A1-2", 2.8),
        ("A2-1", -2.8),
        ("A2-2", 2.8),
    ]


def test_a_line_gives_its_functions_and_the_arrangement_what_is_left_out() -> None:
    text = GIRDERS.replace('direction = "axis"', 'direction = "tangent"')
    functions = arrangement_functions(parse_bridge(text))
    assert [seat.function for seat in functions.values()][4:8] == [
        "guided across",
        "fixed",
        "guided across",
        "guided across",
    ]
    assert {seat.direction for seat in functions.values()} == {"tangent"}
    assert {seat.kind for seat in functions.values()} == {"pot"}


def test_a_seat_comes_before_its_line() -> None:
    own = """[arrangement.seats.A1-2]
function = "guided along"
direction = "30 deg"
kind = "spherical"
uplift = true
[arrangement.seats.A1-1]
function = "elastic"
stiffness = { kx = "2 MN/m", ky = "2 MN/m" }
# [choices.eurocode]"""
    functions = arrangement_functions(parse_bridge(GIRDERS.replace("# [choices.eurocode]", own)))
    assert functions["A1-2"].direction == pytest.approx(math.pi / 6)
    assert functions["A1-2"].kind == "spherical"
    assert functions["A1-2"].uplift
    assert functions["A1-1"].stiffness is not None
    assert functions["A1-1"].stiffness.kx == 2e6
    assert functions["A1-1"].direction == "axis"
    assert functions["A1-1"].kind is None  # no kind is told for elastic
    assert functions["A1-3"].function == "free"


def test_a_seat_without_function_is_a_fault_for_each() -> None:
    bridge = parse_bridge(GIRDERS)
    bare = bridge.model_copy(
        update={"arrangement": bridge.arrangement.model_copy(update={"supports": {"A1": "free"}})}
    )
    with pytest.raises(InputError) as caught:
        arrangement_functions(bare)
    assert [fault.where for fault in caught.value.faults][:2] == [
        "arrangement.seats.P1-1",
        "arrangement.seats.P1-2",
    ]
    assert len(caught.value.faults) == 8


def test_a_frame_needs_its_tables(lay_out: Callable[..., Path]) -> None:
    path = lay_out("frame")
    bridge = parse_bridge(path.read_text())
    with pytest.raises(InputError):
        seat_marks(bridge)
    seats = seat_marks(bridge, read_tables(bridge, path.parent))
    assert [(seat.mark, seat.line, seat.y) for seat in seats[:2]] == [
        ("A1-1", 1, -3.0),
        ("A1-2", 2, 3.0),
    ]


def test_seats_of_a_curved_frame_are_measured_from_the_curve(lay_out: Callable[..., Path]) -> None:
    # A point at radius 20 m + 1 m on a curve to the left lies 1 m to the right: y = -1 m.
    angle = 28.0 / 20.0
    x, y = 21.0 * math.sin(angle), 20.0 - 21.0 * math.cos(angle)
    path = lay_out(
        "frame",
        ("[superstructure]", '[alignment]\nradius = "20 m"\n[superstructure]'),
        ("frame_nodes.csv", "R7,28,-3,", f"R7,{x!r},{y!r},"),
    )
    bridge = parse_bridge(path.read_text())
    seats = {seat.mark: seat for seat in seat_marks(bridge, read_tables(bridge, path.parent))}
    assert seats["A2-1"].y == pytest.approx(-1.0)


def test_two_seats_on_one_line_are_back_and_ahead(lay_out: Callable[..., Path]) -> None:
    path = lay_out(
        "frame",
        ("frame_seats.csv", "A1-2,A1,L0,0.85", "A1-x,A1,R1,0.85\nA1-2,A1,L0,0.85"),
    )
    bridge = parse_bridge(path.read_text())
    seats = seat_marks(bridge, read_tables(bridge, path.parent))
    assert [(s.mark, s.line, s.side) for s in seats[:3]] == [
        ("A1-1", 1, "b"),
        ("A1-x", 1, "a"),
        ("A1-2", 2, ""),
    ]
