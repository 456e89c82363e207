"""Logs that are made up, with the truth that was put in: to try what reads logs.

No log of a bearing with its temperature could be found that may be passed on, so these stand in.
Nothing in them was measured. The formulas, in this order:

1. Steel: ``T(t) = mean + year cos(year angle) + c(t) day cos(day angle) + w(t)``; w is weather, a
   first-order autoregressive noise with a time constant; c(t), 1 on a clear day, falls with
   another such noise.
2. Movement that temperature asks for: ``u = ratio slope (T(t - lag) - datum)``.
3. Friction: play of half width r, ``y_i = min(u_i + r, max(u_i - r, y_(i-1)))``: what a slider with
   friction mu N on a pier of stiffness K makes of u, with r = mu N / K.
4. Ratchet: of every way back (toward falling values) a share is not gone.
5. Constant, drift with time, a step at a time; stops cut off what lies beyond.
6. Clamp: the first reading until it is taken off.
7. Sensor: wrong clock, sign, noise, stuck, resolution, stretches that are missing.
"""

from __future__ import annotations

import gzip
import io
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib.resources import files

import numpy as np
from numba import njit
from numpy.typing import NDArray

from bedstone.mechanics.frame import Floats
from bedstone.site.log_files import Series

Times = NDArray[np.int64]

HOUR = 3_600_000_000_000
DAY = 24 * HOUR
#: A year, ns: 365.2425 days.
YEAR = 31_556_952 * 1_000_000_000


@dataclass(frozen=True)
class Climate:
    """Steel temperature over years: see the module; degC, K, days, hours of UTC."""

    mean: float
    year: float
    warmest_day: float
    day: float
    warmest_hour: float
    clouds: float
    weather: float
    weather_days: float


@dataclass(frozen=True)
class Weather:
    """One course of a climate from `start` (ns, UTC) on, by the hour; made of a seed."""

    climate: Climate
    start: int
    noise: Floats
    clear: Floats

    def steel(self, time: Times | Floats) -> Floats:
        """Steel temperature (degC) at these times (ns, UTC), between hours along straight lines.

        Times before the start and after the end have the noise of the first and last hour.
        """
        own = self.climate
        when = np.asarray(time, dtype=np.float64)  # ns: whole to some 200 ns in this century
        hours = (when - self.start) / HOUR
        at = np.arange(len(self.noise), dtype=np.float64)
        year = 2 * np.pi * (when / YEAR - own.warmest_day * DAY / YEAR)
        day = 2 * np.pi * (when / DAY - own.warmest_hour / 24.0)
        return np.asarray(
            own.mean
            + own.year * np.cos(year)
            + own.day * np.interp(hours, at, self.clear) * np.cos(day)
            + np.interp(hours, at, self.noise)
        )


@dataclass(frozen=True)
class Truth:
    """What is true of a log that is made up. SI: m, K, s; drift in m a year; shares of the log.

    - `expected`: movement for 1 K (m/K) that the bridge asks for; `ratio`: what is gone of it
    - `datum`: temperature (degC) at which the movement is `offset`
    - `friction`: half width of the play; `lag`: by which the bridge follows the thermometer
    - `ratchet`: share of every way back that is not gone; `drift`; `step` at the share `step_at`
    - `stop_below`, `stop_above`: movements beyond which it does not go, None without
    - `clamped_to`: share of the log up to which the movement is held
    - `noise`, `temperature_noise`: standard deviations; `resolution` of the reading
    - `stuck_from`, `stuck_to`: shares between which the sensor sticks; `sign` of the sensor
    - `clock`: by how much the sensor's clock is fast from the share `clock_from` on
    - `missing`: number of stretches of `missing_time` each without readings
    """

    mode: str
    expected: float
    ratio: float = 1.0
    datum: float = 10.0
    offset: float = 0.0
    friction: float = 0.0
    lag: float = 0.0
    ratchet: float = 0.0
    drift: float = 0.0
    step: float = 0.0
    step_at: float = 0.5
    stop_below: float | None = None
    stop_above: float | None = None
    clamped_to: float = 0.0
    noise: float = 0.0
    temperature_noise: float = 0.0
    resolution: float = 0.0
    stuck_from: float = 0.0
    stuck_to: float = 0.0
    sign: float = 1.0
    clock: float = 0.0
    clock_from: float = 0.0
    missing: int = 0
    missing_time: float = 0.0

    @property
    def slope(self) -> float:
        """Movement for 1 K that is gone, m/K."""
        return self.ratio * self.expected


@dataclass(frozen=True)
class Made:
    """A log that is made up: the series as a logger has it, and what is behind it.

    `slid` (n,): what the bearing did (m) at the times of the series, without sensor; `ratcheted`:
    what the ratchet alone adds, m a year; `step_time`: of the step, ns, None without.
    """

    series: Series
    truth: Truth
    slid: Floats
    ratcheted: float
    step_time: int | None


@cache
def _data() -> Mapping[str, Mapping[str, object]]:
    text = files("bedstone.site").joinpath("data", "synthetic.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def climate() -> Climate:
    """The climate that comes with the program; made up."""
    found = _data()["climate"]
    return Climate(**{field.name: float(str(found[field.name])) for field in fields(Climate)})


def modes() -> tuple[str, ...]:
    """The ways in which a bearing or its sensor does, by name."""
    return tuple(_data()["modes"])


def usual(mode: str, expected: float, *, datum: float = 10.0, offset: float = 0.0) -> Truth:
    """The truth of a mode with its usual numbers; `expected` (m/K) keeps its sign.

    `offset` (m) is added to that of the mode. ``stop reached`` needs to know how warm it gets: the
    stop stands at a share of the way to the warmest of the climate. Raises `KeyError` for a mode
    that nobody knows.
    """
    modes_known = _data()["modes"]
    row = modes_known[mode]
    assert isinstance(row, Mapping)
    sensor = _data()["sensor"]
    own = climate()
    numbers = {name: float(value) for name, value in row.items()}

    def length(name: str) -> float:
        return numbers.get(name, 0.0) * 1e-3

    truth = Truth(
        mode=mode,
        expected=expected,
        ratio=numbers["ratio"],
        datum=datum,
        offset=offset + length("offset"),
        friction=length("friction"),
        lag=numbers["lag"] * 3600.0,
        ratchet=numbers.get("ratchet", 0.0),
        drift=length("drift"),
        step=length("step"),
        step_at=numbers.get("step_at", 0.5),
        clamped_to=numbers.get("clamped_to", 0.0),
        noise=float(str(sensor["noise"])) * 1e-3,
        temperature_noise=float(str(sensor["temperature_noise"])),
        resolution=float(str(sensor["resolution"])) * 1e-3,
        stuck_from=numbers.get("stuck_from", 0.0),
        stuck_to=numbers.get("stuck_to", 0.0),
        sign=numbers.get("sign", 1.0),
        clock=numbers.get("clock", 0.0) * 3600.0,
        clock_from=numbers.get("clock_from", 0.0),
        missing=int(numbers.get("missing", 0.0)),
        missing_time=numbers.get("missing_days", 0.0) * 86400.0,
    )
    if "stop_above" in numbers:
        warm = own.mean + own.year + own.day - datum
        stop = truth.offset + truth.slope * numbers["stop_above"] * warm
        up = truth.slope > 0.0
        truth = replace(truth, stop_above=stop) if up else replace(truth, stop_below=stop)
    return truth


def weather(start: int, end: int, seed: int, of: Climate | None = None) -> Weather:
    """One course of weather from `start` to `end` (ns, UTC); the same seed gives the same."""
    own = of or climate()
    rng = np.random.default_rng([seed, 1])
    hours = int((end - start) // HOUR) + 2
    keep = float(np.exp(-1.0 / (24.0 * own.weather_days)))
    noise = own.weather * _wander(rng.standard_normal(hours), keep)
    grey = 1.0 / (1.0 + np.exp(-2.0 * _wander(rng.standard_normal(hours), keep)))
    return Weather(own, start, noise, 1.0 - own.clouds * grey)


def times(start: int, days: float, step: float = 3600.0) -> Times:
    """Times (n,) in ns from `start` on over `days`, every `step` seconds."""
    count = round(days * 86400.0 / step)
    return start + np.arange(count, dtype=np.int64) * round(step * 1e9)


def make(seat: str, truth: Truth, time: Times, of: Weather, seed: int) -> Made:
    """The log of a truth at these times (n,) in a weather; the same seed gives the same noise."""
    rng = np.random.default_rng([seed, 2])
    elapsed = (time - time[0]) / YEAR
    share = np.linspace(0.0, 1.0, len(time))
    warmth = of.steel(time - round(truth.lag * 1e9))
    asked = truth.slope * (warmth - truth.datum)
    followed = play(asked, truth.friction)
    kept = ratchet(followed, truth.ratchet)
    ratcheted = float((kept[-1] - followed[-1]) / elapsed[-1]) if truth.ratchet else 0.0
    stepped = share >= truth.step_at
    slid = kept + truth.offset + truth.drift * elapsed + truth.step * stepped
    slid = np.clip(
        slid,
        -np.inf if truth.stop_below is None else truth.stop_below,
        np.inf if truth.stop_above is None else truth.stop_above,
    )
    if truth.clamped_to > 0.0:
        slid = np.where(share <= truth.clamped_to, slid[0], slid)
    seen = slid
    if truth.clock:
        late = time - np.where(share >= truth.clock_from, truth.clock * 1e9, 0.0)
        seen = np.interp(late, time, slid)
    read = truth.sign * seen + truth.noise * rng.standard_normal(len(time))
    temperature = of.steel(time) + truth.temperature_noise * rng.standard_normal(len(time))
    stuck = (share >= truth.stuck_from) & (share < truth.stuck_to)
    if stuck.any():
        read[stuck] = read[np.argmax(stuck)]
    if truth.resolution:
        read = np.round(read / truth.resolution) * truth.resolution
    there = np.ones(len(time), dtype=bool)
    for begin in rng.uniform(0.02, 0.95, truth.missing) * (time[-1] - time[0]):
        there &= (time - time[0] < begin) | (time - time[0] >= begin + truth.missing_time * 1e9)
    series = Series(seat, time[there], read[there], temperature[there])
    step_time = int(time[np.argmax(stepped)]) if truth.step else None
    return Made(series, truth, slid[there], ratcheted, step_time)


def made_up(seat: str, mode: str, expected: float, *, days: float = 365.0, seed: int = 0) -> Made:
    """One log of a mode from 2023-10-01 on, hour by hour, with the usual numbers."""
    time = times(START, days)
    return make(seat, usual(mode, expected), time, weather(START - DAY, int(time[-1]), seed), seed)


#: 2023-10-01 00:00 UTC.
START = 1_696_118_400 * 1_000_000_000


def as_csv(title: str, logs: Sequence[Made]) -> bytes:
    """Logs of the same times as a wide CSV, packed by gzip; its head says that it is made up.

    The same logs give the same bytes with the same packing library.
    """
    first = logs[0].series
    lines = [
        f"# {title}. MADE UP: nothing here was measured on any bridge.",
        "# Formulas and numbers: bedstone.site.synthetic. Stamps are UTC; movement is the offset",
        "# of the upper plate against the lower one along the bridge, + toward rising chainage.",
        "time," + ",".join(f"{item.series.seat} [mm]" for item in logs) + ",temperature [degC]",
    ]
    stamps = np.datetime_as_string(first.time.astype("datetime64[ns]"), unit="m")
    columns = [item.series.movement * 1e3 for item in logs]
    for row, stamp in enumerate(stamps):
        cells = ",".join(f"{column[row]:.2f}" for column in columns)
        lines.append(f"{stamp}Z,{cells},{first.temperature[row]:.1f}")
    packed = io.BytesIO()
    with gzip.GzipFile(fileobj=packed, mode="wb", mtime=0, filename="") as stream:
        stream.write(("\n".join(lines) + "\n").encode())
    return packed.getvalue()


# ------------------------------------------------------------------ the parts
@njit(nogil=True, cache=True)
def _wander(shocks: Floats, keep: float) -> Floats:
    """First-order autoregressive noise of unit variance from standard shocks (n,)."""
    found = np.empty_like(shocks)
    found[0] = shocks[0]
    rest = np.sqrt(1.0 - keep * keep)
    for i in range(1, len(shocks)):
        found[i] = keep * found[i - 1] + rest * shocks[i]
    return found


@njit(nogil=True, cache=True)
def play(asked: Floats, half: float) -> Floats:
    """What follows `asked` (n,) through a play of this half width; it begins in the middle."""
    found = np.empty_like(asked)
    now = asked[0]
    for i in range(len(asked)):
        now = min(asked[i] + half, max(asked[i] - half, now))
        found[i] = now
    return found


@njit(nogil=True, cache=True)
def ratchet(asked: Floats, share: float) -> Floats:
    """`asked` (n,) where of every way down a share is not gone."""
    found = np.empty_like(asked)
    found[0] = asked[0]
    for i in range(1, len(asked)):
        way = asked[i] - asked[i - 1]
        found[i] = found[i - 1] + (way if way > 0.0 else way * (1.0 - share))
    return found
