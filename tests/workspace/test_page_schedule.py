"""The combination of a governing value as the page of the schedule traces it."""

import re
from pathlib import Path

import pytest

from bedstone.schedule.result import Governing, Schedule
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import scheduled
from bedstone.workspace.pages.schedule import PLACED, convoy_of, key_of, trace, value_of

EXAMPLES = Path(__file__).parents[2] / "examples"


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module", params=["truss", "girders"])
def both(request) -> tuple[Desk, Schedule]:
    desk = Desk.open(EXAMPLES / f"{request.param}.toml")
    return desk, scheduled(desk.text, desk.name, desk.folder, desk.family, progress=silent)


def test_places_are_read_out_of_the_words_of_a_share():
    text = (
        "LM1: lane 1 at y = -0.25 m (TS 1, first axle at 29.51 m); lane 2 at y = +3.25 m; "
        "rest of the carriageway on its adverse parts; Braking at y = -3.25 m forward"
    )
    found = [item.groupdict() for item in PLACED.finditer(text)]
    assert [item["name"].strip() for item in found] == ["lane 1", "lane 2", "Braking"]
    assert found[0]["train"] == "TS 1"
    assert float(found[0]["s"]) == 29.51
    assert [item["train"] for item in found[1:]] == [None, None]
    row = "track 1 at y = +0.00 m (Train, 4.3 m apart, 2 in a row, front at -3.00 m)"
    (item,) = PLACED.finditer(row)
    assert (item["train"], item["word"]) == ("Train, 4.3 m apart, 2 in a row", "front")


def test_every_train_told_is_found_with_its_axles(both: tuple[Desk, Schedule]):
    desk, schedule = both
    told = {
        (share.action, item["name"].strip(), item["train"])
        for line in schedule.seat_lines
        for share in line.shares
        if share.action.startswith("traffic:")
        for item in PLACED.finditer(share.where)
        if item["train"]
    }
    assert told, "the examples have traffic with trains"
    for action, lane, train in told:
        convoy = convoy_of(desk.screen, action, lane, train)
        assert convoy is not None, (action, lane, train)
        assert convoy.force.sum() > 0.0


def test_what_is_traced_adds_up_to_the_value(both: tuple[Desk, Schedule]):
    _, schedule = both
    lines: list[Governing] = [*schedule.seat_lines, *schedule.support_lines]
    for line in lines[::37]:
        html = trace(line)
        assert value_of(line) in html
        rows = re.findall(r'<tr><th scope="row" class="words">(.*?)</th>(.*?)</tr>', html)
        brought = [
            float(re.findall(r"<td>(.*?)</td>", cells)[2].replace("−", "-")) for _, cells in rows
        ]
        value = float(value_of(line).split()[0].replace("−", "-"))
        # each row is rounded to what is shown, and rows of nothing are left out
        assert sum(brought) == pytest.approx(value, abs=0.6 * (len(line.shares) + 1))


def test_a_line_is_called_by_what_makes_it_one(both: tuple[Desk, Schedule]):
    _, schedule = both
    lines = [*schedule.seat_lines, *schedule.support_lines]
    assert len({key_of(line) for line in lines}) == len(lines)
