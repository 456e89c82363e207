"""Logs that are made up do what their truth says. Expected values: the formulas, worked apart."""

import gzip
import importlib.util
import math
from dataclasses import replace
from pathlib import Path

import duckdb
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.site import synthetic
from bedstone.site.log_files import LogForm, load_log, series_of
from bedstone.site.synthetic import (
    DAY,
    HOUR,
    START,
    YEAR,
    Truth,
    Weather,
    as_csv,
    climate,
    made_up,
    make,
    modes,
    play,
    ratchet,
    times,
    usual,
    weather,
)

LOGS = Path(__file__).parents[2] / "examples" / "site" / "logs"
SLOPE = 0.768e-3
#: Modes in which the whole log, but for friction and noise, is one line.
STRAIGHT = ("free", "sluggish", "restricted", "frozen", "wrong preset", "wrong length",
            "missing stretches")  # fmt: skip


@pytest.fixture(scope="module")
def course():
    """A year and a bit of weather, and the hours of the year."""
    return weather(START - DAY, START + 367 * DAY, 5), times(START, 365.0)


@pytest.fixture
def bearing(course):
    """bearing(**truth) -> a log without noise, and its steel temperature at the same times."""

    def maker(**truth):
        of, time = course
        made = make("A2-1", Truth("own", SLOPE, **truth), time, of, 1)
        return made, of.steel(time)

    return maker


# ------------------------------------------------------------------ temperature
def test_steel_on_a_clear_day_without_weather():
    """mean + year + day on the hour of the warmest day; half a day later, day is the other way."""
    own = replace(climate(), weather=0.0)
    hours = 3 * 366 * 24
    clear = Weather(own, 0, np.zeros(hours), np.ones(hours))
    warmest = round(YEAR + own.warmest_day * DAY) // DAY * DAY + round(own.warmest_hour * HOUR)
    found = clear.steel(np.array([warmest, warmest + 12 * HOUR]))
    assert found[0] == pytest.approx(own.mean + own.year + own.day, abs=0.02)
    assert found[1] == pytest.approx(own.mean + own.year - own.day, abs=0.02)
    year = clear.steel(np.arange(hours) * HOUR)
    assert year[: 365 * 24].mean() == pytest.approx(own.mean, abs=0.1)


def test_weather_has_its_scatter_and_its_memory():
    """Standard deviation, and correlation exp(-1) over the time constant, of 60 years.

    A year has about 365 / (2 x 3) independent values of such a noise: 3650 of them in 60 years, so
    the deviation is within 4 / sqrt(2 x 3650) = 5 %, the correlation within 4 / sqrt(3650) = 0.07.
    """
    own = climate()
    noise = weather(0, 60 * YEAR, 11).noise
    assert noise.std() == pytest.approx(own.weather, rel=0.05)
    apart = round(24 * own.weather_days)
    assert np.corrcoef(noise[:-apart], noise[apart:])[0, 1] == pytest.approx(math.exp(-1), abs=0.07)


def test_clouds_take_no_more_than_their_share():
    of = weather(0, 20 * YEAR, 4)
    assert of.clear.min() > 1.0 - of.climate.clouds
    assert of.clear.max() < 1.0
    assert of.clear.std() > 0.1


def test_between_hours_along_straight_lines(course):
    of, time = course
    flat = Weather(replace(of.climate, year=0.0, day=0.0), of.start, of.noise, of.clear)
    ends = flat.steel(time[:2])
    assert flat.steel(np.array([time[0] + HOUR // 4]))[0] == pytest.approx(
        0.75 * ends[0] + 0.25 * ends[1]
    )


# ------------------------------------------------------------------ friction and ratchet
asked = st.lists(st.floats(-50.0, 50.0), min_size=1, max_size=60).map(np.array)


@given(asked, st.floats(0.0, 10.0))
def test_play(u, half):
    """Within half of what is asked; moves only when pushed, and then to the edge of the play."""
    found = play(u, half)
    assert np.all(np.abs(found - u) <= half + 1e-9)
    for before, now, want in zip(found[:-1], found[1:], u[1:], strict=True):
        if now != before:
            assert abs(now - want) == pytest.approx(half, abs=1e-9)
            assert (now > before) == (want > before)
    assert np.array_equal(play(u, 0.0), u)


def test_play_by_hand():
    """A play of 2 either way, pushed to 5, back to 2 (still), back to 0 (drawn to 2), to 3."""
    assert play(np.array([0.0, 5.0, 2.0, 0.0, 3.0]), 2.0).tolist() == [0.0, 3.0, 3.0, 2.0, 2.0]


@given(asked, st.floats(0.0, 1.0))
def test_ratchet(u, share):
    """What it adds is the share of all ways down so far: it never goes back."""
    added = ratchet(u, share) - u
    down = np.concatenate([[0.0], np.cumsum(np.maximum(0.0, -np.diff(u)))])
    assert added == pytest.approx(share * down, abs=1e-9)


# ------------------------------------------------------------------ bearings
def test_free_without_friction_is_alpha_l(bearing):
    made, steel = bearing(datum=14.5, offset=0.003)
    assert made.series.movement == pytest.approx(SLOPE * (steel - 14.5) + 0.003, abs=1e-12)
    assert made.series.temperature == pytest.approx(steel)


def test_lag_is_a_delay(bearing, course):
    of, time = course
    made, _ = bearing(lag=5400.0)
    assert made.slid == pytest.approx(SLOPE * (of.steel(time - round(1.5 * HOUR)) - 10.0))


def test_step_drift_and_stop(bearing):
    plain, _ = bearing()
    step, _ = bearing(step=0.012, step_at=0.5)
    added = step.slid - plain.slid
    assert step.step_time == made_step(added, step.series.time)
    assert sorted(set(np.round(added, 12).tolist())) == [0.0, 0.012]
    drift, _ = bearing(drift=0.006)
    added = drift.slid - plain.slid
    assert added[-1] == pytest.approx(0.006 * (365.0 - 1 / 24) / 365.2425)
    assert np.all(np.diff(added) > 0.0)
    stop, _ = bearing(stop_above=0.004, stop_below=-0.006)
    assert (stop.slid.min(), stop.slid.max()) == (-0.006, 0.004)
    inside = (plain.slid > -0.006) & (plain.slid < 0.004)
    assert np.array_equal(stop.slid[inside], plain.slid[inside])


def made_step(added, time):
    return int(time[np.argmax(added > 0.006)])


def test_ratchet_of_a_bearing(bearing):
    plain, _ = bearing()
    made, _ = bearing(ratchet=0.01)
    years = (made.series.time[-1] - made.series.time[0]) / YEAR
    assert made.ratcheted * years == pytest.approx(made.slid[-1] - plain.slid[-1])
    assert made.ratcheted > 0.0


def test_sensor(bearing):
    plain, _ = bearing()
    reversed_, _ = bearing(sign=-1.0)
    assert np.array_equal(reversed_.series.movement, -plain.series.movement)
    stuck, _ = bearing(stuck_from=0.25, stuck_to=0.5)
    share = np.linspace(0.0, 1.0, len(stuck.series.movement))
    held = (share >= 0.25) & (share < 0.5)
    assert len(set(stuck.series.movement[held].tolist())) == 1
    assert np.array_equal(stuck.series.movement[~held], plain.series.movement[~held])
    clamped, _ = bearing(clamped_to=0.3)
    assert len(set(clamped.slid[share <= 0.3].tolist())) == 1
    coarse, _ = bearing(resolution=0.001)
    assert np.abs(coarse.series.movement - plain.series.movement).max() == pytest.approx(
        0.0005, rel=0.05
    )
    fast, _ = bearing(clock=2 * 3600.0, clock_from=0.5)
    assert np.array_equal(fast.series.movement[4380:], plain.series.movement[4378:-2])
    assert np.array_equal(fast.series.movement[:4379], plain.series.movement[:4379])
    noisy, _ = bearing(noise=0.002)
    # 8760 values: the standard deviation is within 4 / sqrt(2 x 8760) = 3 %
    assert (noisy.series.movement - plain.series.movement).std() == pytest.approx(0.002, rel=0.03)
    gaps, _ = bearing(missing=3, missing_time=10 * 86400.0)
    assert 8760 - 3 * 240 <= len(gaps.series.time) < 8760 - 240
    assert np.diff(gaps.series.time).max() >= 240 * HOUR


@pytest.mark.parametrize("mode", modes())
def test_every_mode_can_be_made_and_says_what_it_is(mode):
    made = made_up("A2-1", mode, SLOPE, days=400.0, seed=3)
    assert made.truth.mode == mode
    assert made.series.seat == "A2-1"
    assert np.all(np.diff(made.series.time) > 0)
    assert np.isfinite(made.series.movement).all()
    if mode in STRAIGHT:
        plain = replace(made.truth, friction=0.0, lag=0.0, temperature_noise=0.0)
        again = make("A2-1", plain, times(START, 400.0), of_days(400, 3), 3)
        slope, at = np.polyfit(again.series.temperature - plain.datum, again.slid, 1)
        assert slope == pytest.approx(plain.slope)
        assert at == pytest.approx(plain.offset, abs=1e-9)


def of_days(days, seed):
    """The weather that `made_up` takes."""
    return weather(START - DAY, START + days * DAY - HOUR, seed)


def test_a_bearing_that_shrinks_away_from_the_fixed_point_has_its_stop_below():
    up, down = usual("stop reached", SLOPE), usual("stop reached", -SLOPE)
    assert (up.stop_below, down.stop_above) == (None, None)
    assert down.stop_below == pytest.approx(-up.stop_above)
    assert usual("stop reached", SLOPE, offset=0.02).stop_above == pytest.approx(
        up.stop_above + 0.02
    )


def test_a_seed_makes_one_log():
    one, same, other = (made_up("A2-1", "free", SLOPE, days=30, seed=s).series for s in (1, 1, 2))
    assert np.array_equal(one.movement, same.movement)
    assert np.array_equal(one.temperature, same.temperature)
    assert not np.array_equal(one.temperature, other.temperature)
    with pytest.raises(KeyError):
        usual("unheard of", SLOPE)


# ------------------------------------------------------------------ files
def test_a_log_written_comes_back(tmp_path):
    made = made_up("A2-1", "free", SLOPE, days=20)
    packed = as_csv("Trial", [made])
    assert packed[4:8] == bytes(4)  # no time of packing: the same log is the same file
    (tmp_path / "log.csv.gz").write_bytes(packed)
    with duckdb.connect() as connection:
        load_log(connection, tmp_path / "log.csv.gz", wanted=LogForm(("A2-1",)))
        (found,) = series_of(connection, "incoming")
    assert np.array_equal(found.time, made.series.time)
    assert found.movement == pytest.approx(made.series.movement, abs=6e-6)
    assert found.temperature == pytest.approx(made.series.temperature, abs=0.051)


@pytest.fixture(scope="module")
def script():
    spec = importlib.util.spec_from_file_location("make_logs", LOGS / "make.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def remade(script, tmp_path_factory):
    folder = tmp_path_factory.mktemp("logs")
    script.main(folder)
    return folder


def test_shipped_logs_are_those_of_their_script(script, remade):
    names = sorted(path.name for path in LOGS.glob("*.csv.gz"))
    assert names == sorted(f"{name}.csv.gz" for name in script.LOGS)
    for name in names:
        assert (LOGS / name).stat().st_size < 300_000
        shipped, again = (gzip.decompress((at / name).read_bytes()) for at in (LOGS, remade))
        assert shipped == again, f"{name}: run python examples/site/logs/make.py"
        assert b"MADE UP" in shipped.splitlines()[0]


def test_shipped_logs_come_in_for_the_bridge_they_are_made_for(script):
    """Nothing to tell; a bearing that is free has alpha L of 64 m of steel, 12e-6 x 64 m/K."""
    for name, did in script.LOGS.items():
        with duckdb.connect() as connection:
            wanted = LogForm(("A1-1", "A1-2", "A2-1", "A2-2"), steel=(-24.0, 53.0))
            loaded = load_log(connection, LOGS / f"{name}.csv.gz", wanted=wanted)
            series = series_of(connection, "incoming")
        assert (loaded.seats, loaded.told) == (("A2-1", "A2-2"), ())
        for item, mode in zip(series, did, strict=True):
            if mode == "free":
                slope = np.polyfit(item.temperature, item.movement, 1)[0]
                assert slope == pytest.approx(12e-6 * 64.0, rel=0.03)


@pytest.mark.parametrize("mode", [mode for mode in modes() if mode != "stuck sensor"])
def test_no_mode_of_a_bearing_is_taken_for_a_fault_of_the_file(tmp_path, mode):
    """What a bearing does is for the engineer to judge: its log comes in."""
    made = made_up("A2-1", mode, SLOPE, days=370, seed=9)
    (tmp_path / "log.csv.gz").write_bytes(as_csv(mode, [made]))
    with duckdb.connect() as connection:
        try:
            told = load_log(connection, tmp_path / "log.csv.gz", wanted=LogForm(("A2-1",))).told
        except InputError as error:
            pytest.fail(str(error))
    assert {item.what for item in told} <= {"gaps"}


def test_a_stuck_sensor_is_told(tmp_path):
    made = made_up("A2-1", "stuck sensor", SLOPE, days=370, seed=9)
    (tmp_path / "log.csv.gz").write_bytes(as_csv("stuck", [made]))
    with duckdb.connect() as connection:
        (told,) = load_log(connection, tmp_path / "log.csv.gz", wanted=LogForm(("A2-1",))).told
    assert told.what == "stuck"
    held = 0.2 * 370 * 24
    assert f"in {held:,.0f} readings" in told.text


def test_everything_that_is_made_up_says_so():
    assert "made up" in synthetic.__doc__
    head = as_csv("Trial", [made_up("A2-1", "free", SLOPE, days=1)])
    assert gzip.decompress(head).splitlines()[0].startswith(b"# Trial. MADE UP")
