"""Logs for the tests, made apart from the program's own generator: plain formulas in numpy."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.signal import lfilter

from bedstone.site.log_files import Series
from bedstone.site.mechanism import End
from bedstone.site.setting import Budget, Growth, Row, Setting
from bedstone.site.temperatures import Temperatures
from bedstone.site.tolerances import usual

HOUR = 3_600_000_000_000
START = 1_700_000_000 * 1_000_000_000
SLOPE = 0.768e-3  # m/K
DATUM = 14.5


def wander(rng, count, step, hold):
    """First-order noise of unit variance with a time constant `hold` (h)."""
    keep = np.exp(-step / hold)
    return lfilter([1.0], [1.0, -keep], rng.normal(size=count) * np.sqrt(1.0 - keep**2))


def steel(rng, hours):
    """A year of 12 K, days of about 6 K that differ, weather of 2 K over two days."""
    step = hours[1] - hours[0]
    days = (hours // 24.0).astype(int)
    swing = 6.0 * np.maximum(0.15, 1.0 + 0.35 * wander(rng, days[-1] + 1, 24.0, 72.0)[days])
    return (
        DATUM
        - 12.0 * np.cos(2 * np.pi * hours / 8766.0)
        + swing * np.sin(2 * np.pi * (hours - 9.0) / 24.0)
        + 2.0 * wander(rng, len(hours), step, 48.0)
    )


def log(
    seed, *, days=365.0, step=1.0, ratio=1.0, half=0.0, lag=0.0, drift=0.0, noise=2e-4, slow=0.0,
    hold=24.0, offset=0.0, steps=(), low=-np.inf, high=np.inf, slope=SLOPE,
):  # fmt: skip
    """Hours, movement (m), temperature (degC).

    `half` (K) of the play, `lag` (h), `drift` (m a year), `noise` and `slow` (m; over `hold` h),
    `steps`: pairs of day and size, `low`, `high`: temperatures of stops.
    """
    rng = np.random.default_rng(seed)
    hours = np.arange(0.0, days * 24.0, step)
    # steel is too thick for more than straight lines between hours
    full = np.arange(0.0, days * 24.0 + 1.0, max(step, 1.0))
    warm = np.interp(hours, full, steel(rng, full))
    followed = np.interp(hours - lag, hours, warm)
    if half:
        now = followed[0]
        for i, value in enumerate(followed):
            now = min(max(now, value - half), value + half)
            followed[i] = now
    moved = offset + slope * ratio * (np.clip(followed, low, high) - DATUM)
    moved += drift * hours / 8766.0 + noise * rng.normal(size=len(hours))
    for day, size in steps:
        moved += size * (hours >= day * 24.0)
    if slow:
        moved += slow * wander(rng, len(hours), step, hold)
    return hours, moved, warm


def series(seat, made, keep=None):
    """A log as the program takes it."""
    hours, moved, warm = (part if keep is None else part[keep] for part in made)
    return Series(seat, START + np.rint(hours * HOUR).astype(np.int64), moved, warm)


def setting(
    seat="A2-1", *, slope=SLOPE, held=False, back=-0.1, ahead=0.1, others=0.0, rest=0.0,
    form="rolls", budget=(1.5e-3, 3e-3, 0.0, 0.0), play=0.0,
):  # fmt: skip
    """How a bearing is set, by hand: centred at 14.5 degC, steel from -24 to 53 degC."""
    growth = Growth((0.0 if held else slope, 0.0), (0.0, 0.0), None, None, 12e-6)
    told = Temperatures(-24.0, 53.0, 12.0, told=True)
    ends = [] if held else [End("stop", "x", back, ahead)]
    if play:
        ends.append(End("guide", "x", -play, play, holds=True))
    row = Row(
        DATUM,
        (-rest, 0.0),
        # both states count: before what is still to come has come, and after
        (
            min(-rest, 0.0) + slope * (-24.0 - DATUM) - others,
            max(-rest, 0.0) + slope * (53.0 - DATUM) + others,
        ),
        (0.0, 0.0),
        None,
        None,
    )
    errors = Budget(*budget, air=0.0)
    return Setting(
        seat=seat, support=seat.split("-")[0], function="fixed" if held else "guided along",
        kind=None, form="holds" if held else form, held=(held, True), angle=0.0, axis_angle=0.0,
        set_at="", stages=(), load_set=0.0, load_final=0.0, remaining=(rest, 0.0),
        turns=(0.0, 0.0), growth=growth, temperatures=told, datum=DATUM, design=None,
        ends=tuple(ends), rows=(row,), budget=(errors, errors), upright=None, fixed_offset=None,
        tolerances=usual(), allowance=0.0,
    )  # fmt: skip


@pytest.fixture
def made():
    """What makes logs and settings: made.log, made.series, made.setting, and their numbers."""
    return SimpleNamespace(
        log=log, series=series, setting=setting, wander=wander, SLOPE=SLOPE, DATUM=DATUM,
        START=START, HOUR=HOUR,
    )  # fmt: skip
