"""Series from logs and from the record: what is taken, what is left out and told."""

import datetime as dt

import numpy as np
import pytest

from bedstone.errors import InputError
from bedstone.site.log_files import LogForm
from bedstone.site.monitoring.gather import clamped, from_logs, from_record, visits_of
from bedstone.site.reading_files import FilledForm, Visit
from bedstone.site.readings import Reading
from bedstone.site.record import new_record, open_record

NOW = dt.datetime(2026, 5, 31, 12, tzinfo=dt.UTC)
SEATS = ("A2-1", "A2-2")


def at(day):
    return dt.datetime(2026, 1, 1, 8, tzinfo=dt.UTC) + dt.timedelta(days=day)


def reading(value, *, day=0, warm=10.0, seat="A2-1", quantity="offset along", place="", word=""):
    return Reading(seat, quantity, place, value, word, at(day), warm, "me", "rule", "f.xlsx", 1)


def write(folder, name, seat, first, count=60, shift=0.0):
    """A log of hours from the day `first` on."""
    path = folder / name
    lines = ["time,seat,movement [mm],temperature [degC]"]
    for hour in range(count):
        stamp = (at(first) + dt.timedelta(hours=hour)).strftime("%Y-%m-%dT%H:%M:%SZ")
        warm = 10.0 + 6.0 * np.sin(hour / 4.0)
        lines.append(f"{stamp},{seat},{0.768 * warm + shift:.3f},{warm:.2f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_several_logs_make_one_series_of_a_seat(tmp_path):
    files = [
        write(tmp_path, "b.csv", "A2-1", 10),
        write(tmp_path, "a.csv", "A2-1", 0),
        write(tmp_path, "c.csv", "A2-2", 0),
    ]
    found = from_logs(files, LogForm(SEATS, now=NOW))
    assert [(item.seat, len(item.time)) for item in found.series] == [("A2-1", 120), ("A2-2", 60)]
    assert np.all(np.diff(found.series[0].time) > 0)
    assert found.series[0].movement[0] == pytest.approx(0.00768)  # mm in the file, m inside


def test_the_same_time_twice_and_faults_of_all_files_are_told(tmp_path):
    twice = [write(tmp_path, "a.csv", "A2-1", 0), write(tmp_path, "b.csv", "A2-1", 1, shift=1.0)]
    with pytest.raises(InputError) as told:
        from_logs(twice, LogForm(SEATS, now=NOW))
    assert "36 times that another log has" in str(told.value)
    wrong = [write(tmp_path, "c.csv", "X1", 0), write(tmp_path, "d.csv", "X2", 0)]
    with pytest.raises(InputError) as told:
        from_logs(wrong, LogForm(SEATS, now=NOW))
    assert {fault.file for fault in told.value.faults} == {"c.csv", "d.csv"}


def test_readings_by_hand_need_the_temperature_of_the_steel(made):
    readings = [
        reading(0.012, day=200, warm=25.0),
        reading(-0.003, day=10, warm=2.0),
        reading(0.001, day=90, warm=None),
        reading(0.001, day=95, seat="A2-2"),
        reading(0.001, day=96, quantity="joint gap"),
    ]
    found, without = visits_of(readings, made.setting())
    assert without == 1
    assert found.movement.tolist() == [-0.003, 0.012]
    assert found.temperature.tolist() == [2.0, 25.0]
    assert found.time[1] - found.time[0] == 190 * 24 * made.HOUR
    assert visits_of(readings[2:], made.setting()) == (None, 1)


def test_a_plate_has_gone_twice_as_far_as_its_rollers(made):
    # a roller's centre moves half of what the superstructure moves (geometry of rolling)
    rollers = [
        reading(0.005, day=3, quantity="roller offset", place="left"),
        reading(0.007, day=3, quantity="roller offset", place="right"),
    ]
    found, _ = visits_of(rollers, made.setting())
    assert found.movement.tolist() == [pytest.approx(0.012)]
    plate = [*rollers, reading(0.020, day=3)]
    assert visits_of(plate, made.setting())[0].movement.tolist() == [0.020]
    assert visits_of(rollers, made.setting(form="slides"))[0] is None


def test_a_clamp_counts_as_last_seen():
    seen = [
        reading(None, day=1, quantity="clamp", word="yes"),
        reading(None, day=9, quantity="clamp", word="no"),
        reading(None, day=5, quantity="clamp", word="yes", seat="A2-2"),
    ]
    assert clamped(seen) == frozenset({"A2-2"})


def test_the_record_gives_logs_first_and_readings_for_the_rest(made, tmp_path):
    path = tmp_path / "bridge.readings.duckdb"
    new_record(path, "Velm", dt.date(1961, 5, 1))
    settings = [made.setting("A2-1"), made.setting("A2-2")]
    with pytest.raises(InputError, match="nothing to judge"):
        from_record(path, settings)
    readings = [
        reading(0.010, day=1), reading(0.020, day=9, warm=30.0),
        reading(0.010, day=1, seat="A2-2"), reading(0.011, day=2, warm=None, seat="A2-2"),
        reading(None, day=9, quantity="clamp", word="yes", seat="A2-2"),
    ]  # fmt: skip
    visit = Visit("M. Iversen", "sun", "three places", 14.0, 16.0, "UTC", "")
    form = FilledForm("f.xlsx", "a" * 64, visit, tuple(readings), {}, ())
    log = write(tmp_path, "a.csv", "A2-1", 0)
    with open_record(path, write=True, logs=True) as record:
        record.add(form, NOW)
        record.add_log(log, LogForm(SEATS, now=NOW), "me", NOW)
    found = from_record(path, settings)
    assert [(item.seat, len(item.time)) for item in found.series] == [("A2-1", 60), ("A2-2", 1)]
    assert found.told == ("A2-2: 1 offsets without steel temperature left out",)
    assert found.clamped == frozenset({"A2-2"})
    assert found.built == dt.date(1961, 5, 1)
