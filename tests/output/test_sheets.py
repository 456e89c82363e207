"""What the tables of a schedule say. Expected values are the schedule's own, in other units."""

import dataclasses
import math

import pytest

from bedstone.errors import InputError
from bedstone.output import sheets, words
from bedstone.output.sheets import Sheet
from bedstone.output.shown import decimals, figure
from bedstone.schedule.result import Checks, Schedule, Uplift


def column(sheet: Sheet, head: str) -> list[str]:
    index = [each.head for each in sheet.columns].index(head)
    return [row[index].text for row in sheet.rows if row]


def test_every_seat_stands_there_with_its_largest_and_smallest(schedule: Schedule) -> None:
    sheet = sheets.seats_in(schedule, "SLS characteristic")
    assert [text for text in column(sheet, "seat") if text] == [s.mark for s in schedule.seats]
    first = {
        (line.effect, line.sense): line.value
        for line in schedule.seat_lines
        if line.place == schedule.seats[0].mark and line.limit_state == "SLS characteristic"
    }
    # N to kN
    assert column(sheet, "N")[0] == f"{first['N', 'max'] / 1e3:.0f}"
    assert column(sheet, "N")[1] == f"{first['N', 'min'] / 1e3:.0f}"
    assert [c.unit for c in sheet.columns if c.head in ("N", "vx", "ry")] == ["kN", "mm", "mrad"]


def test_supports_have_a_gap_between_them_and_a_combination_each(schedule: Schedule) -> None:
    sheet = sheets.supports_in(schedule, "ULS persistent")
    assert sum(not row for row in sheet.rows) == len(schedule.supports) - 1
    assert set(column(sheet, "combination of max")) == {"6.10 gr1a + 0.6 wind + thermal"}
    assert column(sheet, "effect")[:5] == ["V [kN]", "Fx [kN]", "Fy [kN]", "Mx [kN m]", "My [kN m]"]


def test_rows_are_as_wide_as_their_heads(schedule: Schedule) -> None:
    mark = schedule.seats[0].mark
    every = [
        sheets.bearings(schedule.seats),
        sheets.seats_in(schedule, "ULS seismic"),
        sheets.supports_in(schedule, "ULS seismic"),
        *sheets.permanent(schedule),
        sheets.acting(schedule, mark, "ULS seismic"),
        sheets.shares(schedule, mark, "ULS seismic"),
        sheets.sources(schedule.memory),
    ]
    for sheet in every:
        assert sheet.rows
        assert {len(row) for row in sheet.rows if row} == {len(sheet.columns)}


def test_a_missing_line_is_a_dash_and_no_number(truss: Schedule) -> None:
    kept = [line for line in truss.seat_lines if (line.place, line.effect) != ("A1-1", "vx")]
    sheet = sheets.seats_in(dataclasses.replace(truss, seat_lines=tuple(kept)), "ULS persistent")
    assert column(sheet, "vx")[:2] == ["–", "–"]
    assert "–" not in column(sheet, "N")


def test_a_bearing_that_lifts_is_marked(truss: Schedule) -> None:
    def lifted(line):  # type: ignore[no-untyped-def]
        return dataclasses.replace(line, value=-5e3) if line.sense == "min" else line

    lines = tuple(map(lifted, truss.seat_lines))
    sheet = sheets.seats_in(dataclasses.replace(truss, seat_lines=lines), "ULS persistent")
    tones = {row[3].tone for row in sheet.rows if row and row[2].text == "min"}
    assert tones == {"warning"}
    assert {row[3].tone for row in sheet.rows if row and row[2].text == "max"} == {""}


def test_the_extreme_itself_is_strong(truss: Schedule) -> None:
    sheet = sheets.acting(truss, "A2-1", "ULS persistent")
    heads = [each.head for each in sheet.columns]
    for row in sheet.rows:
        strong = [heads[i] for i, cell in enumerate(row) if cell.tone == "strong"]
        assert strong in ([row[0].text], [])  # effects without a column are nothing everywhere


def test_shares_add_up_to_the_part_of_the_actions(truss: Schedule) -> None:
    sheet = sheets.shares(truss, "A1-1", "SLS characteristic")
    line = next(
        each
        for each in truss.seat_lines
        if (each.place, each.limit_state) == ("A1-1", "SLS characteristic")
    )
    told = [float(text.replace("−", "-")) for text in column(sheet, "brings")[:2]]
    assert sum(told) == pytest.approx(sum(s.value for s in line.shares) / 1e3, abs=1.0)
    assert column(sheet, "action")[0] == "gr1a"
    assert column(sheet, "where")[0] == "lane 1, axles at 18.2 m and 19.4 m"


def test_limit_states_shown_at_first(truss: Schedule) -> None:
    # seismic exceeds persistent in this schedule, accidental nowhere; equilibrium gives no forces
    assert sheets.chosen_limit_states(truss, None) == (
        "ULS persistent",
        "ULS seismic",
        "SLS characteristic",
    )
    assert sheets.chosen_limit_states(truss, "all") == truss.limit_states
    assert sheets.chosen_limit_states(truss, "QUASI") == ("SLS quasi-permanent",)


@pytest.mark.parametrize("wanted", ["", "xyz"])
def test_an_unknown_limit_state_is_told_with_the_known_ones(truss: Schedule, wanted: str) -> None:
    with pytest.raises(InputError, match="SLS quasi-permanent"):
        sheets.chosen_limit_states(truss, wanted)


def test_an_unknown_seat_is_told_with_the_known_ones(truss: Schedule) -> None:
    with pytest.raises(InputError, match="found 'A9-1'; allowed: A1-1, A1-2, A2-1, A2-2"):
        sheets.seat_of(truss, "A9-1")


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [(-3.14159, 2, "−3.14"), (-0.004, 2, "0"), (0.0, 0, "0"), (1234.56, 0, "1235")],
)
def test_a_figure_has_a_true_minus_and_no_minus_zero(value: float, places: int, text: str) -> None:
    assert figure(value, places) == text


def test_about_four_figures() -> None:
    assert [decimals([x]) for x in (12345.0, 999.0, -150.0, 19.0, 0.1)] == [0, 1, 1, 2, 2]
    assert decimals([]) == 2


def test_uplift_in_words(truss: Schedule) -> None:
    cases = {
        "opens 1.2 mm if not held": (0.0012, False),
        "the bearing holds it": (0.0, True),
        "does not stand unless it is held down": (math.inf, False),
    }
    for words_told, (gap, held) in cases.items():
        lifts = (Uplift("A1-2", "ULS persistent", "EQU gr1a", 62e3, gap, held),)
        told = words.uplift(dataclasses.replace(truss, uplift=lifts))
        assert len(told) == 1
        assert words_told in told[0]
        assert "62.0 kN" in told[0]


@pytest.mark.parametrize(
    ("gap", "told"),
    [
        (0.0012, "opens 1.2 mm"),
        (0.0001, "opens 0.1 mm"),
        (0.00004, "opens 0.04 mm"),
        (0.000003, "opens less than 0.01 mm"),
    ],
)
def test_a_gap_that_opens_never_reads_as_nothing(truss: Schedule, gap: float, told: str) -> None:
    lifts = (Uplift("A1-2", "ULS persistent", "EQU gr1a", 19.95e3, gap, False),)
    assert told in words.uplift(dataclasses.replace(truss, uplift=lifts))[0]


def test_without_a_model_no_check_of_one_is_claimed(truss: Schedule) -> None:
    assert words.self_check(truss).startswith("Self-check: worst relative residual")
    # what the schedule of given reactions says of itself: nothing put in, nothing solved
    none = Checks(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.84e6)
    told = words.self_check(dataclasses.replace(truss, checks=none))
    assert "brought from elsewhere" in told
    assert "nothing of one was checked" in told
    assert "kN" not in told


def test_values_from_memory_are_counted_and_named(truss: Schedule) -> None:
    told = words.from_memory(truss)
    assert "confirm against the printed clause (2 values)" in told
    assert "road.braking, thermal.alpha" in told
    assert words.from_memory(dataclasses.replace(truss, memory=())) == ""


def test_control_characters_of_a_file_do_not_come_through(truss: Schedule) -> None:
    odd = dataclasses.replace(truss, bridge="a\x1b[31mb", notes=("n\x07",), arrangement="x\ny")
    told = [words.title(odd), *words.basis(odd), *words.remarks(odd)["Notes"]]
    assert all(text.isprintable() for text in told)
