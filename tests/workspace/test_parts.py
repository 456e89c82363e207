"""Tables of the pages: figures, differences, and nothing of a file that could act in a page."""

import re
from pathlib import Path

import pytest

from bedstone.bridge.schema import Seat
from bedstone.workspace import drawings, parts
from bedstone.workspace.desk import Desk
from bedstone.workspace.live import Moved


def test_differences():
    assert "+12.0" in parts._difference(112.0, 100.0)
    assert "−12.0" in parts._difference(100.0, 112.0)
    assert "+20.0" in parts._difference(-120.0, 100.0, size=True), "of the size"
    assert "−220" in parts._difference(-120.0, 100.0)
    assert "same" in parts._difference(100.0, 100.01)
    assert "<i>" not in parts._difference(100.0, None)


def test_figures():
    assert parts._number(-14046.4) == "−14\u202f046"
    assert parts._number(99.96) == "100.0"
    assert parts._number(0.01) == "0"


def test_nothing_of_the_file_acts_in_the_page():
    evil = '<img src=x onerror="alert(1)">'
    for html in (
        parts.problem([evil]),
        parts.notes([evil]),
        parts.rests(evil),
        parts.buttons("function", "f", [(evil, evil)], evil),
        parts.choices("kind", evil, [(evil, evil)], ""),
        parts.bearing_section(
            evil, Seat(function="free"), Moved((0, 0), (0, 0), None, (None, None))
        ),
    ):
        assert "<img" not in html
        assert 'onerror="' not in html


def test_stop_that_is_reached_is_told(truss: Path):
    seat = Seat.model_validate({"function": "free", "travel": {"ahead": "10 mm"}})
    far = Moved((0.0, 0.0), (0.012, 0.0), 0.006, (-0.002, None))
    told = parts.bearing_section("A1-1", seat, far)
    assert "stop ahead: reached" in told
    assert "+6.0 mm, half of it" in told


@pytest.mark.parametrize("example", ["truss", "railway"])
def test_pieces_of_a_drawing_make_it_whole_again(example: str, request: pytest.FixtureRequest):
    desk = Desk.open(request.getfixturevalue(example))
    over = drawings.overlay(desk.prepared.structure, desk.look, "")
    for draw in (drawings.plan, drawings.side):
        svg = draw(desk.bridge, desk.prepared.structure, desk.arranged, over).svg
        rest, groups = drawings.pieces(svg)
        for name, group in groups.items():
            assert f'id="{name}"' in group
            rest = rest.replace(f"#{name}", group, 1) if f"#{name}" in rest else rest
        assert len(rest) == len(svg)
    marks = {seat.mark for seat in desk.seats}
    plan = drawings.plan(desk.bridge, desk.prepared.structure, desk.arranged, over).svg
    assert {mark for mark in marks if f'data-seat="{mark}"' in plan} == marks
    assert plan.count('class="hit"') == len(marks)


@pytest.mark.parametrize("draw", [drawings.plan, drawings.side])
def test_a_change_of_one_bearing_sends_few_groups(draw, railway: Path):
    desk = Desk.open(railway)

    def pieces() -> tuple[str, dict[str, str]]:
        over = drawings.overlay(desk.prepared.structure, desk.look, "")
        return drawings.pieces(draw(desk.bridge, desk.prepared.structure, desk.arranged, over).svg)

    rest, before = pieces()
    desk.set_function("A2-2", "guided along")
    same, after = pieces()
    assert same == rest, "the page does not jump"
    changed = {name for name, group in after.items() if before[name] != group}
    assert changed, "forces at least"
    assert sum(len(after[name]) for name in changed) < sum(map(len, after.values())) / 2.0
    if draw is drawings.plan:
        assert "seat-A2-2" in changed
        assert not {"seat-A1-1", "seat-A1-2", "seat-A2-1"} & changed


@pytest.mark.parametrize("example", ["truss", "railway"])
def test_what_the_page_says_itself_is_not_drawn(example: str, request: pytest.FixtureRequest):
    desk = Desk.open(request.getfixturevalue(example))
    over = drawings.overlay(desk.prepared.structure, desk.look, "")
    for draw in (drawings.plan, drawings.side):
        svg = draw(desk.bridge, desk.prepared.structure, desk.arranged, over).svg
        left, top, wide, high = map(float, svg.split('viewBox="')[1].split('"')[0].split())
        texts = re.findall(r'<text [^>]*? x="([-.\d]+)" y="([-.\d]+)"[^>]*>([^<]+)', svg)
        assert {support.mark for support in desk.bridge.support} <= {text for _, _, text in texts}
        assert not [text for _, _, text in texts if "rising chainage" in text or "held" in text]
        for x, y, text in texts:
            assert left <= float(x) <= left + wide, text
            assert top <= float(y) <= top + high, text


def test_axes_stand_beside_the_drawings():
    svg = drawings.legend()
    assert [name for name in ("x", "y") if f">{name}</text>" in svg] == ["x", "y"]
    assert "rising chainage" in svg
