"""Clouds and timelines of the page of service against logs of which the truth is known."""

from __future__ import annotations

import datetime as dt
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bedstone.errors import InputError
from bedstone.site.log_files import LogForm
from bedstone.site.record import new_record, open_record, record_file
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import service
from bedstone.workspace.pages.answers import POINTS, Served, served, set_out

EXAMPLES = Path(__file__).parents[2] / "examples"
NOW = dt.datetime(2025, 6, 1, tzinfo=dt.UTC)
START = dt.datetime(2024, 1, 1, tzinfo=dt.UTC)
#: Steps of the log of A2-2: hour and size, mm.
STEP = (2400, 25.0)


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A bridge with a log: A2-1 moves as it should, A2-2 as well, but its pier moves once."""
    folder = tmp_path_factory.mktemp("bridge")
    desk = Desk.open(Path(shutil.copy(EXAMPLES / "truss.toml", folder)))
    made = set_out(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    random = np.random.default_rng(7)
    rows = ["time,seat,movement [mm],temperature [degC]"]
    for item in made.settings:
        if item.seat not in ("A2-1", "A2-2"):
            continue
        slope, datum = item.growth.own[0] * 1e3, item.datum
        for hour in range(4200):
            warm = 12.0 + 14.0 * np.sin(hour / 700.0) + 5.0 * np.sin(hour / 3.82)
            moved = slope * (warm - datum) + random.normal(0.0, 0.2)
            if item.seat == "A2-2" and hour >= STEP[0]:
                moved += STEP[1]
            stamp = f"{START + dt.timedelta(hours=hour):%Y-%m-%dT%H:%M:%SZ}"
            rows.append(f"{stamp},{item.seat},{moved:.2f},{warm:.2f}")
    log = folder / "log.csv"
    log.write_text("\n".join(rows) + "\n")
    record = record_file(folder / "truss.toml")
    new_record(record, desk.bridge.bridge.name)
    with open_record(record, write=True, logs=True) as opened:
        opened.add_log(log, LogForm(("A1-1", "A1-2", "A2-1", "A2-2")), "tests", NOW)
    return desk


@pytest.fixture(scope="module")
def found(desk: Desk) -> Served:
    return served(desk.text, desk.name, desk.folder, desk.family, progress=silent)


def trace(figure: dict, name: str) -> dict:
    (one,) = [
        item for item in figure["data"] if item["name"] == name and item.get("showlegend", True)
    ]
    return one


def test_a_long_log_is_thinned_evenly_and_says_so(found: Served):
    cloud = found.clouds[0]
    assert cloud.readings == 4200
    times = np.array(cloud.points[0])
    assert len(times) == POINTS
    assert times[0] == START.timestamp() * 1e3
    assert np.ptp(np.diff(times)) <= 3_600_000.0 + 1e-6


def test_a_bearing_that_moves_as_it_should_lies_on_what_is_expected(found: Served):
    cloud = next(one for one in found.clouds if one.seat == "A2-1")
    assert not cloud.action
    made = service.cloud_of(cloud)
    line = trace(made, "as it moves")
    slope = (line["y"][1] - line["y"][0]) / (line["x"][1] - line["x"][0])
    assert slope == pytest.approx(cloud.expected.slope * 1e3, rel=0.01)
    band = trace(made, "expected, with its error")
    high = (band["y"][1] - band["y"][0]) / (band["x"][1] - band["x"][0])
    assert high == pytest.approx(cloud.expected.slope * 1e3)
    ends = [one["y"][0] for one in made["data"] if one["name"] == "end of travel"]
    assert ends == pytest.approx([cloud.expected.back * 1e3, cloud.expected.ahead * 1e3])


def test_the_timeline_shows_the_step_where_and_as_large_as_it_is(found: Served):
    cloud = next(one for one in found.clouds if one.seat == "A2-2")
    assert cloud.action
    ((time, step),) = cloud.steps
    when = dt.datetime.fromtimestamp(time / 1e3, dt.UTC)
    assert abs(when - START - dt.timedelta(hours=STEP[0])) < dt.timedelta(days=2)
    assert step == pytest.approx(STEP[1], abs=1.0)
    made = service.timeline_of(cloud)
    assert trace(made, "step")["x"][0].startswith(f"{when:%Y-%m-%d}")
    apart = np.array(trace(made, "read, less what the temperature asks")["y"])
    before, after = apart[: len(apart) // 2], apart[-len(apart) // 3 :]
    assert after.mean() - before.mean() == pytest.approx(STEP[1], abs=1.0)
    assert np.std(before) < 1.0, "the temperature is taken out"


def test_the_table_has_a_line_for_each_seat_with_a_log(found: Served):
    assert [row[0].text for row in found.sheet.rows] == [one.seat for one in found.clouds]


def test_a_seat_with_nothing_fitted_has_no_line(found: Served):
    bare = replace(found.clouds[0], line=(), points=((), (), ()))
    assert "as it moves" not in [one["name"] for one in service.cloud_of(bare)["data"]]
    assert service.timeline_of(bare)["data"][0]["x"] == []


def test_without_a_record_it_is_said_where_one_begins(tmp_path: Path):
    file = Path(shutil.copy(EXAMPLES / "truss.toml", tmp_path))
    own = Desk.open(file)
    with pytest.raises(InputError, match="no such file"):
        served(own.text, own.name, own.folder, own.family, progress=silent)
