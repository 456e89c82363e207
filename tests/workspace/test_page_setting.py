"""The page of the setting: its plot and its words against the settings that they show."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from bedstone.output import setting_words as words
from bedstone.site.setting import Setting
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import setting as page
from bedstone.workspace.pages.answers import set_out

EXAMPLES = Path(__file__).parents[2] / "examples"


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module")
def found() -> dict[str, Setting]:
    desk = Desk.open(EXAMPLES / "truss.toml")
    made = set_out(desk.text, desk.name, desk.folder, desk.family, progress=silent).settings
    return {item.seat: item for item in made}


def trace(figure: dict, name: str) -> dict:
    """The one line of a plot that is called so and stands in the legend."""
    (one,) = [
        item for item in figure["data"] if item["name"] == name and item.get("showlegend", True)
    ]
    return one


def facts(html: str) -> dict[str, str]:
    """What is read on the day, by name."""
    told = re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", html)
    return {unescape(name): unescape(text) for name, text in told}


def test_bearings_are_designed_first_so_that_their_ends_are_known(found: dict[str, Setting]):
    assert list(found) == ["A1-1", "A1-2", "A2-1", "A2-2"]
    assert all(found[mark].ends for mark in ("A2-1", "A2-2"))


def test_the_plot_shows_rows_windows_and_ends_in_mm(found: dict[str, Setting]):
    own = found["A2-1"]
    made = page.figure_of(own, 0)
    line = trace(made, "offset to set")
    assert line["x"] == [row.temperature for row in own.rows]
    assert line["y"] == pytest.approx([row.offset[0] * 1e3 for row in own.rows])
    band = trace(made, "afterwards, at the design extremes")
    assert band["y"] == pytest.approx([row.reach_x[1] * 1e3 for row in own.rows])
    assert made["data"][0]["y"] == pytest.approx([row.reach_x[0] * 1e3 for row in own.rows])
    (end,) = [one for one in own.ends if one.axis == "x" and not one.holds]
    ends = [item["y"][0] for item in made["data"] if item["name"] == "end of travel"]
    assert ends == pytest.approx([end.back * 1e3, end.ahead * 1e3])
    assert own.upright is not None
    middle = trace(made, "left in its middle")
    assert (middle["x"], middle["y"]) == ([own.upright.first, own.upright.last], [0.0, 0.0])
    fixed = trace(made, "left as fixed for 12 degC")
    assert fixed["y"][0] == pytest.approx(own.row(12.0).offset[0] * 1e3)


def test_nothing_is_told_by_colour_alone(found: dict[str, Setting]):
    told = [
        (item["line"]["dash"], item["line"]["width"], item["mode"], item.get("fill"))
        for item in page.figure_of(found["A2-1"], 0)["data"]
        if item["showlegend"] and not item["name"].startswith("left")
    ]
    assert len(set(told)) == len(told)


def test_a_bearing_without_a_window_draws_none(found: dict[str, Setting]):
    own = found["A2-1"]
    assert own.upright is not None
    nowhere = replace(own.upright, first=None, last=None)
    made = page.figure_of(replace(own, upright=nowhere, fixed_offset=None), 0)
    assert not [item for item in made["data"] if item["name"].startswith("left")]


def test_the_day_gives_what_is_set_and_read_between_two_rows(found: dict[str, Setting]):
    own = found["A2-1"]
    row = own.row(18.0)
    told = facts(page._day(own, row, "18", ""))
    # the rule: between two rows along a straight line
    low, high = own.row(15.0).offset[0], own.row(20.0).offset[0]
    offset = low + 0.6 * (high - low)
    assert told["offset along x'"].startswith(f"{words.mm(offset)} mm")
    assert told["offset along x'"].endswith("(toward falling chainage)")
    # a roller goes half as far (ISO/EN rolling contact; common practice)
    assert told["rollers from the middle of the lower plate"] == f"{words.mm(offset / 2.0)} mm"
    marker = page.figure_of(own, 0, row)["data"][-1]
    assert (marker["x"], marker["y"]) == ([18.0], [pytest.approx(offset * 1e3)])


def test_a_bearing_that_holds_has_nothing_to_set(found: dict[str, Setting]):
    own = found["A1-1"]
    assert facts(page._day(own, own.row(18.0), "18", ""))["offset"] == "none: it holds"


class _Day:
    """The part of the page that reads the temperature."""

    day = page._View.day

    def __init__(self, typed: str) -> None:
        self.typed = typed


@pytest.mark.parametrize("typed", ["18", " 18 ".strip(), "18,0", "1.8e1"])
def test_a_temperature_is_read_as_it_is_written(found: dict[str, Setting], typed: str):
    row, wrong = _Day(typed).day(found["A2-1"])
    assert wrong == ""
    assert row is not None
    assert row.temperature == 18.0


def test_a_minus_may_be_the_sign_of_the_tables(found: dict[str, Setting]):
    row, _ = _Day("−5").day(found["A2-1"])
    assert row is not None
    assert row.temperature == -5.0


@pytest.mark.parametrize("typed", ["warm", "nan", "inf", "18 kN", "400"])
def test_what_is_no_temperature_of_the_table_is_told(found: dict[str, Setting], typed: str):
    row, wrong = _Day(typed).day(found["A2-1"])
    assert row is None
    assert typed.split(" ")[0] in wrong
    assert "allowed" in wrong


def test_directions_are_told_for_both_ways(found: dict[str, Setting]):
    own = found["A2-2"]
    assert words.free_axes(own) == [0, 1]
    for axis in (0, 1):
        title = page.figure_of(own, axis)["layout"]["yaxis"]["title"]["text"]
        assert ("along x'", "along y'")[axis] in title
    assert "aria-pressed" in page._charted([0, 1], 1)
    assert "aria-pressed" not in page._charted([0], 0)
    assert all(math.isfinite(value) for value in page.figure_of(own, 1)["data"][-1]["y"])
