"""Arrangements picked by hand, and what a seat inherits when its function changes."""

from pathlib import Path

import pytest

from bedstone.bridge import arrangement_functions, parse_bridge, read_bridge
from bedstone.bridge.templates import template
from bedstone.comparison.inherited import inherited
from bedstone.comparison.pinned import fixed_points, pinned_arrangements

EXAMPLES = Path(__file__).parents[2] / "examples"
GIRDERS = read_bridge(EXAMPLES / "girders.toml")


@pytest.mark.parametrize("name", ["girders", "truss", "railway", "curved"])
def test_the_own_arrangement_comes_first(name: str) -> None:
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    found = pinned_arrangements(bridge)
    assert list(found) == [
        bridge.arrangement.name,
        *(pinned.name for pinned in bridge.compare.pinned),
    ]
    assert found[bridge.arrangement.name] == arrangement_functions(bridge)
    assert list(fixed_points(bridge)) == list(found)


def test_lines_told_replace_those_of_the_file_and_the_rest_stays() -> None:
    own, moved, single = pinned_arrangements(GIRDERS).values()
    assert [moved[f"A1-{n}"].function for n in range(1, 6)] == [
        "free", "guided across", "fixed", "guided across", "free",
    ]  # fmt: skip
    assert [moved[f"P1-{n}"].function for n in range(1, 6)] == [
        "free", "free", "guided along", "free", "free",
    ]  # fmt: skip
    assert all(moved[mark] == own[mark] for mark in own if mark[:2] in ("P2", "A2"))
    # all bearings guided across stand square to the skewed line in the file: so do new ones
    assert moved["A1-2"].direction == "square"
    assert moved["A1-2"].kind == "pot on slide"
    assert single["P1-3"] == own["P1-3"]
    assert moved["A1-3"].travel is None  # stops of a guide are not those of a fixed pot
    assert moved["A1-3"].play == pytest.approx(0.0015)


def test_seats_come_before_lines_and_kinds_go_by_function() -> None:
    text = template("girders") + (
        "[[compare.pinned]]\nname = 'other'\nkinds = { 'free' = 'plane sliding' }\n"
        "fixed_point = 'A1'\n"
        "[compare.pinned.supports]\nA1 = 'free'\n"
        "[compare.pinned.seats.A1-2]\nfunction = 'fixed'\n"
    )
    bridge = parse_bridge(text)
    own, other = pinned_arrangements(bridge).values()
    assert [other[f"A1-{n}"].function for n in (1, 2, 3, 4)] == ["free", "fixed", "free", "free"]
    assert {seat.kind for seat in other.values() if seat.function == "free"} == {"plane sliding"}
    assert other["A1-2"].kind == own["P1-2"].kind
    assert fixed_points(bridge)["other"] == "A1"


def test_a_kind_told_for_a_single_seat_stays() -> None:
    text = template("girders") + (
        "[arrangement.seats.A1-1]\nfunction = 'free'\nkind = 'spherical'\n"
        "[[compare.pinned]]\nname = 'other'\nkinds = { 'free' = 'plane sliding' }\n"
    )
    _, other = pinned_arrangements(parse_bridge(text)).values()
    assert other["A1-1"].kind == "spherical"
    assert other["A1-3"].kind == "plane sliding"


def test_the_files_point_holds_for_what_tells_no_functions() -> None:
    text = template("girders").replace('set_at = "slab cast"', 'fixed_point = "P1-2"') + (
        "[[compare.pinned]]\nname = 'kinds'\nkinds = { 'free' = 'plane sliding' }\n"
        "[[compare.pinned]]\nname = 'functions'\nsupports = { A1 = 'free' }\n"
    )
    points = fixed_points(parse_bridge(text))
    assert points == {"fixed at the pier": "P1-2", "kinds": "P1-2", "functions": None}


def test_a_bearing_guided_across_never_points_to_the_fixed_point() -> None:
    text = template("girders").replace('direction = "axis"', 'direction = "toward fixed point"')
    given = inherited(parse_bridge(text))
    assert given.bearing("A1-1", "guided across").direction == "square"
    assert given.bearing("A1-1", "guided along").direction == "toward fixed point"


def test_what_does_not_belong_to_the_function_stays() -> None:
    text = template("girders") + (
        "[arrangement.seats.A1-1]\nfunction = 'free'\nkind = 'pot on slide'\nfriction = 0.02\n"
        "uplift = true\nhold_rotation = ['z']\nplay = '2 mm'\ntravel = { back = '9 mm' }\n"
        "stiffness = { kz = '2 GN/m' }\n"
    )
    given = inherited(parse_bridge(text))
    own = given.own["A1-1"]
    assert given.bearing("A1-1", "free") == own
    guided = given.bearing("A1-1", "guided along")
    assert (guided.uplift, guided.hold_rotation, guided.stiffness) == (True, ["z"], own.stiffness)
    assert guided.play == pytest.approx(0.002)
    assert guided.travel is None
    same_kind = given.kinds["guided along"] == "pot on slide"
    assert guided.friction == (0.02 if same_kind else None)
    assert given.bearing("A1-1", "none").play == 0.0
