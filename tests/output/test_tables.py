"""Printed tables: readable at 100 and 200 columns and in a pipe, no number cut."""

import io
import re

import pytest
from rich.console import Console

from bedstone.cautions import FULL
from bedstone.output import sheets
from bedstone.output.tables import printed, schedule_view, seat_view, show, to_text
from bedstone.schedule.result import Schedule


@pytest.mark.parametrize("width", [100, 120, 200])
def test_no_line_is_too_long_and_no_number_is_cut(schedule: Schedule, width: int) -> None:
    states = schedule.limit_states
    text = to_text(schedule_view(schedule, states), width)
    assert max(len(line) for line in text.splitlines()) <= width
    assert "…" not in text
    assert "\x1b" not in text
    for state in states:
        for sheet in (sheets.seats_in(schedule, state), sheets.supports_in(schedule, state)):
            for row in sheet.rows:
                for column, cell in zip(sheet.columns, row, strict=bool(row)):
                    if column.holds == "numbers":
                        assert cell.text in text


@pytest.mark.parametrize("width", [100, 200])
def test_a_row_of_numbers_stands_on_one_line(schedule: Schedule, width: int) -> None:
    sheet = sheets.seats_in(schedule, "ULS persistent")
    lines = [line.split() for line in to_text(printed(sheet), width).splitlines()]
    for row in sheet.rows:
        cells = [word for cell in row for word in cell.text.split()]
        assert cells in lines


def test_the_view_says_all_that_goes_with_a_schedule(schedule: Schedule) -> None:
    text = to_text(schedule_view(schedule, ("ULS persistent",)), 120)
    flat = re.sub(r"\s+", " ", text)
    for wanted in (
        schedule.bridge,
        "what each abutment and pier takes",
        "Permanent actions alone",
        "N + in compression",
        "V + downwards",
        "Locked temperature forces",
        "Uplift",
        "Self-check: worst relative residual 3e-12",
        "(2 values)",
        "Not shown: ULS equilibrium, ULS accidental",
        FULL,
    ):
        assert wanted in flat


def test_one_seat_shows_every_extreme_with_its_actions(truss: Schedule) -> None:
    text = to_text(seat_view(truss, "A2-2", ("SLS frequent",)), 120)
    flat = re.sub(r"\s+", " ", text)
    assert flat.count("lane 1, axles at 18.2 m and 19.4 m") >= 6
    assert "A2-2, SLS frequent: each extreme and what acts with it" in flat
    assert "A1-1" not in text.replace("fixed at A1", "").replace("A1-2 open", "")
    assert FULL in flat


def test_what_a_file_says_is_never_markup(truss: Schedule) -> None:
    stream = io.StringIO()
    console = Console(file=stream, width=100, color_system=None)
    show(console, ["[bold]no markup[/bold] :smile:"])
    assert stream.getvalue() == "[bold]no markup[/bold] :smile:\n"


def test_colours_only_in_a_window(truss: Schedule) -> None:
    stream = io.StringIO()
    console = Console(file=stream, width=100, force_terminal=True, color_system="standard")
    show(console, schedule_view(truss, ("ULS persistent",)))
    assert "\x1b[" in stream.getvalue()
