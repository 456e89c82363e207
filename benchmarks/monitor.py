"""Ten million readings of 20 bearings taken in and judged; what is found in logs made up.

The log is made up: 20 bearings that do as one of the truss example should, every ten minutes over
nine and a half years. It is read from CSV and from Parquet, each in a process of its own, whose
peak of memory is told. The rows below judge logs of a year, hour by hour, each mode with seeds of
its own; `python -m benchmarks.monitor 200` does 200 of each.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import duckdb
import numpy as np

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.site import synthetic
from bedstone.site.log_files import LogForm, Series, load_log, series_of
from bedstone.site.monitoring.watch import watch
from bedstone.site.setting import Setting, settings

from .rows import Row

BRIDGE = Path(__file__).parents[1] / "examples" / "truss.toml"
ROWS, SEATS, STEP = 10_000_000, 20, 600.0
#: So that all of it lies before today.
BEGIN = synthetic.START - 10 * synthetic.YEAR
#: What a mode is to be judged: the word, and its kind where it has one. Whether a bearing that does
#: not move has its clamp left is for the date to say at which it came into use.
WANTED = {
    "free": ("free", ""),
    "missing stretches": ("free", ""),
    "sluggish": ("sluggish", ""),
    "restricted": ("restricted", ""),
    "frozen": ("frozen", ""),
    "ratcheting": ("ratcheting", ""),
    "wrong preset": ("wrong preset", ""),
    "pier moved": ("substructure moved", "step"),
    "pier moving": ("substructure moved", "drift"),
    "stop reached": ("stop reached", ""),
    "stuck sensor": ("sensor at fault", "stuck"),
    "sign reversed": ("sensor at fault", "sign reversed"),
    "wrong length": ("sensor at fault", "wrong length"),
    "clock shifted": ("sensor at fault", "clock shifted"),
    "clamp left": ("clamp left", ""),
}
RUNS = 10
#: Smaller and smaller: mode, what is changed of its truth, days, what they are told as.
HARDER: tuple[tuple[str, str, dict[str, float], float], ...] = (
    ("free, 90 days", "free", {}, 90.0),
    ("free, 30 days", "free", {}, 30.0),
    ("free, twice the noise and play", "free", {"noise": 0.3e-3, "friction": 0.8e-3}, 365.0),
    ("free, lag 4 h", "free", {"lag": 4 * 3600.0}, 365.0),
    ("pier moved by 6 mm", "pier moved", {"step": 6e-3}, 365.0),
    ("pier moved by 3 mm", "pier moved", {"step": 3e-3}, 365.0),
    ("pier moving by 4 mm a year", "pier moving", {"drift": 4e-3}, 365.0),
    ("pier moving by 2 mm a year", "pier moving", {"drift": 2e-3}, 365.0),
    ("ratcheting, a third of it", "ratcheting", {"ratchet": 2e-3}, 365.0),
    ("wrong preset, 9 mm", "wrong preset", {"offset": 9e-3}, 365.0),
    ("clock shifted by 3 h", "clock shifted", {"clock": 3 * 3600.0}, 365.0),
)


def one_setting() -> Setting:
    """What the rolling bearing of the example is to do."""
    found = settings(prepare(read_bridge(BRIDGE)), "eurocode")
    return next(item for item in found if item.seat == "A2-1")


# ------------------------------------------------------------------ ten million rows
def write(folder: Path, setting: Setting) -> dict[str, Path]:
    """The log as CSV and as Parquet."""
    count = ROWS // SEATS
    stamps = synthetic.times(BEGIN, count * STEP / 86400.0, STEP)
    of = synthetic.weather(BEGIN - synthetic.DAY, int(stamps[-1]), 1)
    truth = synthetic.usual("free", setting.growth.own[0], datum=setting.datum)
    made = [synthetic.make("", truth, stamps, of, seed).series for seed in range(SEATS)]
    paths = {form: folder / f"log.{form}" for form in ("csv", "parquet")}
    log = {
        "us": np.repeat(stamps // 1000, SEATS),
        "seat": np.tile(np.arange(1, SEATS + 1), count),
        "m": np.stack([item.movement for item in made], axis=1).ravel() * 1e3,
        "t": np.stack([item.temperature for item in made], axis=1).ravel(),
    }
    with duckdb.connect() as connection:
        connection.execute("SET enable_progress_bar = false")
        connection.register("log", log)
        cells = (
            "'A2-' || seat AS seat, round(m, 2) AS \"movement [mm]\", "
            'round(t, 1) AS "temperature [degC]"'
        )
        stamp = "strftime(make_timestamp(us), '%Y-%m-%dT%H:%MZ')"
        connection.execute(
            f"COPY (SELECT {stamp} AS time, {cells} FROM log) TO '{paths['csv']}' (HEADER)"
        )
        connection.execute(
            f"COPY (SELECT make_timestamp(us) AS time, {cells} FROM log) TO '{paths['parquet']}'"
        )
    return paths


def judge(path: Path, setting: Setting) -> list[float]:
    """Take a log in and judge it; seconds of each part and of the cores, peak of memory (GiB)."""
    seats = tuple(f"A2-{number}" for number in range(1, SEATS + 1))
    marks = [time.perf_counter()]
    with duckdb.connect() as connection:
        connection.execute("SET enable_progress_bar = false")
        loaded = load_log(connection, path, wanted=LogForm(seats, zone="UTC"))
        marks.append(time.perf_counter())
        series = series_of(connection, "incoming")
    marks.append(time.perf_counter())
    found = watch(series, [replace(setting, seat=mark) for mark in seats])
    marks.append(time.perf_counter())
    right = sum(item.judgement.word == "free" for item in found)
    return [loaded.rows, *np.diff(marks).tolist(), time.process_time(), peak(), right]


def peak() -> float:
    """Most memory of this process so far, GiB."""
    status = Path("/proc/self/status")
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    # the other way counts what the process was before it became this one
    line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    return float(line.split()[1]) / 2**20


def volume(setting: Setting) -> list[Row]:
    """Rows of the table: both files, whole and by parts."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for form, path in write(Path(folder), setting).items():
            # a process that has not made the log itself
            with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as one:
                rows, load, fetch, fitted, cores, most, right = one.submit(
                    judge, path, setting
                ).result()
            parts = f"checked {load:.1f} s, fetched {fetch:.1f} s, judged {fitted:.1f} s"
            note = f"{parts}; {cores:.1f} s of one core, peak {most:.2f} GiB; "
            note += f"{right:.0f} of {SEATS} free"
            found.append(Row(f"{rows:,.0f} rows of {form}", load + fetch + fitted, "log", note))
    return found


# ------------------------------------------------------------------ found and missed
def judged(series: Series, setting: Setting, *, new: bool) -> tuple[str, str]:
    """The word of a log, and its kind; `new`: the bearing came into use with the log."""
    opened = int(series.time[0]) if new else None
    (found,) = watch([series], [replace(setting, seat=series.seat)], opened=opened)
    return found.judgement.word, found.judgement.kind


def rates(setting: Setting, runs: int) -> list[Row]:
    """How often each mode is told for what it is, and what else it was taken for."""
    usual = [(mode, mode, {}, 365.0) for mode in WANTED]
    return [one_rate(setting, runs, *what) for what in (*usual, *HARDER)]


def one_rate(
    setting: Setting, runs: int, what: str, mode: str, changes: dict[str, float], days: float
) -> Row:
    took, words = 0.0, []
    truth = synthetic.usual(mode, setting.growth.own[0], datum=setting.datum)
    for seed in range(runs):
        stamps = synthetic.times(synthetic.START, days)
        of = synthetic.weather(synthetic.START - synthetic.DAY, int(stamps[-1]), seed)
        series = synthetic.make("A2-1", replace(truth, **changes), stamps, of, seed).series
        start = time.perf_counter()
        words.append(judged(series, setting, new=mode == "clamp left"))
        took += time.perf_counter() - start
    word, kind = WANTED[mode]
    right = [one == word and two.startswith(kind) for one, two in words]
    others = sorted({" ".join(pair) for pair, well in zip(words, right, strict=True) if not well})
    note = f"{sum(right)} of {runs} told {word}" + (f", {kind}" if kind else "")
    return Row(what, took / runs, "log", note + (f"; else {', '.join(others)}" if others else ""))


def run(runs: int = RUNS) -> list[Row]:
    setting = one_setting()
    return [*volume(setting), *rates(setting, runs)]


if __name__ == "__main__":
    from .__main__ import table

    print(table("rates", rates(one_setting(), int(sys.argv[1]) if sys.argv[1:] else RUNS)))
