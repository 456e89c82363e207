"""Movement against temperature: slope, lag, stick range, drift and steps of one log.

The model: e = a + k P(T(t - lag)) + d t + steps. P stands still until the temperature has turned by
the stick range and goes with it after (friction on a yielding substructure). Lag and stick range
are searched, all else is solved for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from bedstone.mechanics.frame import Bools, Floats
from bedstone.site.monitoring import sums
from bedstone.site.monitoring.normal import (
    FINEST,
    Certain,
    Interval,
    Solved,
    certain,
    inflation,
    solve,
)

_HOUR = 3.6e12  # ns
#: Readings further apart than this (h) show no lag and no sticking.
_CLOSE = 3.0
#: Readings from which a lag is looked for.
_MANY = 48
#: Time (h) over which the noise of a thermometer that is read more often is averaged.
_QUIET = 0.5
#: A hole (h) in which the temperature is not taken as a straight line.
_HOLE = 6.0
#: Cells of time: a day, or less where a log is short; one for each reading of a few.
_DAY, _FEWEST_CELLS, _FEW = 24.0, 30, 200
#: Plays (K) from which the search starts.
_STARTS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)
_ROUNDS = 12
#: Widest play over the range of temperature: beyond it, what follows hardly moves.
_WIDEST = 0.3
#: How far (h, K) the search looks around where it has ended.
_ASIDE = 0.5
#: Lags from which it starts.
_LAGS = 9
#: Multiples of its standard error a slope must have before lag and play are searched.
_SEEN = 5.0
#: Cells on both sides of a step, and most steps of one log.
_EDGE, MOST_STEPS = 5, 5
#: Hours between which the swing of a day is taken.
_HALF_DAY = 12.0
#: Parts of the time in which slope and lag are looked at by themselves, and cells of each.
_PARTS, _LEAST_PART = 12, 10

_BASE = [sums.ONE, sums.TIME, sums.WARM]
_SEARCH = [*_BASE, sums.PLAY, sums.LAG]


@dataclass(frozen=True)
class Log:
    """One movement as arrays, made ready: (n,) hours from the middle of the log, m, K from `mean`.

    - `use`: readings that count; `cell`: number of the cell of time each belongs to, `cells` many,
      the cell `i` begins at `edges[i]` (h); `start`: the middle, ns since 1970 UTC
    - `mean`: mean temperature, degC; `close`: whether lag and sticking can be seen
    """

    hours: Floats
    moved: Floats
    warm: Floats
    use: Bools
    cell: NDArray[np.int64]
    cells: int
    edges: Floats
    start: int
    mean: float
    close: bool

    @property
    def count(self) -> int:
        """Readings that count."""
        return int(self.use.sum())

    @property
    def span(self) -> float:
        """Range of temperature, K."""
        warm = self.warm[self.use]
        return float(np.ptp(warm)) if len(warm) else 0.0

    @property
    def days(self) -> float:
        """From the first to the last reading that counts."""
        hours = self.hours[self.use]
        return float(hours[-1] - hours[0]) / 24.0 if len(hours) else 0.0

    def time(self, hours: float) -> int:
        """Nanoseconds since 1970 of a time in hours of this log."""
        return self.start + round(hours * _HOUR)


@dataclass(frozen=True)
class Step:
    """A step of the constant: when (ns since 1970, UTC) and by how much (m)."""

    time: int
    size: Interval


@dataclass(frozen=True)
class Part:
    """A part of the time looked at by itself: its ends (ns), slope (m/K), lag (h)."""

    first: int
    last: int
    slope: Interval
    lag: Interval | None


@dataclass(frozen=True)
class Fit:
    """What a log says. SI; hours for the lag; years of 365.25 days.

    - `count` readings over `span` (K), from `first` to `last` (ns since 1970, UTC); `effective`: as
      many independent ones would be as sure of the slope
    - `slope` (m/K): the slipping branch; `warming`, `cooling`: of changes over half a day, and
      `swing`: of both; None where a log is too coarse
    - `lag` (h), `stick` (K): None where they cannot be seen; `drift` (m per year)
    - `steps`; `scatter` (m): of one reading about the model; `noise` (m): of the gauge
    - `trend` (m): means of the quarters of the time, temperature and steps taken out
    - `with_cycles`: by how much better the path of the temperature explains a drift than time does
      (difference of logarithms of likelihood, thinned to what is independent); where it is large,
      `drift` is the mean over the log
    - `parts`; `low`, `high`: temperatures (degC) taken as those at which stops are reached
    - `path` (m) gone from first to last, movements below the noise not counted
    """

    count: int
    first: int
    last: int
    span: float
    effective: float
    slope: Interval
    swing: Interval | None
    warming: Interval | None
    cooling: Interval | None
    lag: Interval | None
    stick: Interval | None
    drift: Interval | None
    steps: tuple[Step, ...]
    scatter: float
    noise: float
    trend: tuple[float, ...]
    with_cycles: float
    parts: tuple[Part, ...]
    low: float
    high: float
    path: float
    model: Model

    @property
    def from_swings(self) -> bool:
        """Whether changes over half a day are surer of the slope, and do not deny the whole log.

        Errors that last for days (a sun on the thermometer, a gauge that wanders) drop out of them.
        """
        swing, slope = self.swing, self.slope
        if swing is None or self.lag is None or swing.half >= slope.half:
            return False
        return abs(swing.value - slope.value) <= swing.half + slope.half

    @property
    def best(self) -> Interval:
        """The slope (m/K) that is surer: of the whole log, or of changes over half a day."""
        assert self.swing is not None or not self.from_swings
        return self.swing if self.from_swings and self.swing is not None else self.slope

    @property
    def years(self) -> float:
        """From the first to the last reading."""
        return (self.last - self.first) / _HOUR / sums.YEAR

    def offset(self, temperature: float, time: int | None = None) -> Interval:
        """Offset (m) of the model at a temperature (degC), at the end of the log or at a time."""
        return self.model.offset(temperature, self.last if time is None else time)


@dataclass(frozen=True)
class Model:
    """The coefficients behind a `Fit`: constant, time, temperature, (play, lag), steps."""

    log: Log
    beta: Floats
    columns: tuple[int, ...]
    at: tuple[int, ...]
    sure: Certain
    lag: float
    play: float
    low: float
    high: float

    def offset(self, temperature: float, time: int) -> Interval:
        """Offset (m) at a temperature (degC) and a time (ns)."""
        hours = (time - self.log.start) / _HOUR
        warm = min(max(temperature - self.log.mean, self.low), self.high)
        weights = np.zeros(len(self.beta))
        for place, column in enumerate(self.columns):
            weights[place] = {sums.ONE: 1.0, sums.TIME: hours / sums.YEAR, sums.WARM: warm}.get(
                column, 0.0
            )
        for place, cell in enumerate(self.at, start=len(self.columns)):
            weights[place] = 1.0 if hours >= self.log.edges[cell] else 0.0
        return self.sure.interval(float(weights @ self.beta), weights)


def prepare(
    time: NDArray[np.int64], movement: Floats, temperature: Floats, use: Bools | None = None
) -> Log:
    """Make a log ready: `time` (n,) ns rising, `movement` (n,) m, `temperature` (n,) degC."""
    good = np.isfinite(movement) & np.isfinite(temperature)
    if use is not None:
        good &= use
    start = int(time[0]) + (int(time[-1]) - int(time[0])) // 2
    hours = (time - start) / _HOUR
    mean = float(temperature[good].mean()) if good.any() else 0.0
    warm = np.where(np.isfinite(temperature), temperature - mean, 0.0)
    count = len(time)
    length = float(hours[-1] - hours[0])
    apart = float(np.median(np.diff(hours))) if count > 1 else math.inf
    if apart < _QUIET / 2.0:
        warm = sums.averaged(hours, warm, np.isfinite(temperature), _QUIET / 2.0)
    if count <= _FEW:
        cell = np.arange(count, dtype=np.int64)
        edges = hours.copy()
    else:
        width = min(_DAY, length / _FEWEST_CELLS)
        own = np.floor((hours - hours[0]) / width).astype(np.int64)
        # cells in which nothing was read are left out: neighbours are those that were
        filled = np.zeros(int(own[-1]) + 1, dtype=bool)
        filled[own[good]] = True
        number = np.maximum(np.cumsum(filled) - 1, 0)
        cell = number[own].astype(np.int64)
        edges = hours[0] + width * np.flatnonzero(filled)
    return Log(
        hours=hours,
        moved=np.ascontiguousarray(movement, dtype=np.float64),
        warm=np.ascontiguousarray(warm),
        use=good,
        cell=cell,
        cells=len(edges),
        edges=edges,
        start=start,
        mean=mean,
        close=apart <= _CLOSE and count >= _MANY,
    )


@dataclass(frozen=True)
class _Tried:
    """The sums for one lag (h) and play (K), and what follows from them for some steps."""

    lag: float
    play: float
    cells: Floats
    at: tuple[int, ...]

    def system(self, columns: Sequence[int]) -> tuple[Floats, Floats, float, float]:
        """Normal equations of these columns and a column for each step (1 from its cell on)."""
        total = self.cells.sum(axis=0)
        late = [self.cells[cell:].sum(axis=0) for cell in self.at]
        size, more = len(columns), len(self.at)
        matrix = np.zeros((size + more, size + more))
        right = np.zeros(size + more)
        matrix[:size, :size] = total[np.ix_(columns, columns)]
        right[:size] = total[columns, sums.MOVED]
        for i in range(more):
            matrix[size + i, :size] = matrix[:size, size + i] = late[i][sums.ONE, columns]
            right[size + i] = late[i][sums.ONE, sums.MOVED]
            for j in range(more):
                later = i if self.at[i] >= self.at[j] else j
                matrix[size + i, size + j] = late[later][sums.ONE, sums.ONE]
        return matrix, right, total[sums.MOVED, sums.MOVED], total[sums.ONE, sums.ONE]

    def solved(self, columns: Sequence[int]) -> Solved:
        """Least squares with these columns and the steps."""
        return solve(*self.system(columns))

    def residuals(self, columns: Sequence[int], solved: Solved) -> Floats:
        """(cells, 7) sums of each column times the residual, cell by cell."""
        size = len(columns)
        found = self.cells[:, :, sums.MOVED] - self.cells[:, :, list(columns)] @ solved.beta[:size]
        for place, cell in enumerate(self.at, start=size):
            found[cell:] -= self.cells[cell:, :, sums.ONE] * solved.beta[place]
        return np.asarray(found)

    def scores(self, columns: Sequence[int], solved: Solved) -> Floats:
        """(cells, p) scores of all coefficients, the steps too."""
        found = self.residuals(columns, solved)
        cell = np.arange(len(found))
        steps = [np.where(cell >= at, found[:, sums.ONE], 0.0) for at in self.at]
        return np.column_stack([found[:, list(columns)], *steps])


@dataclass(frozen=True)
class _Search:
    """What the rounds of the search share.

    `path` (K): where it is not 0, a drift goes with the path of the temperature, of which there is
    that much in all; time is then counted by it.
    """

    log: Log
    longest: float
    low: float = -math.inf
    high: float = math.inf
    path: float = 0.0

    def tried(self, lag: float, play: float, at: tuple[int, ...] = ()) -> _Tried:
        """One pass over the log."""
        log = self.log
        gap = max(_HOLE, 0.0) if log.close else 0.0
        cells = sums.cell_sums(
            log.hours, log.moved, log.warm, log.use, log.cell, log.cells,
            lag, play, self.low, self.high, gap,
        )  # fmt: skip
        if self.path > 0.0:
            turned = np.eye(sums.COLUMNS)
            turned[sums.TIME, sums.TIME] = 0.0
            turned[sums.TIME, sums.PATH] = float(np.ptp(log.hours)) / sums.YEAR / self.path
            turned[sums.TIME, sums.ONE] = float(log.hours[0]) / sums.YEAR
            cells = turned @ cells @ turned.T
        return _Tried(lag, play, cells, at)

    def best(self, at: tuple[int, ...], start: _Tried | None = None) -> _Tried:
        """Lag and play of the least mean square, by rounds of linear steps."""
        if not self.log.close:
            return self.tried(0.0, 0.0, at)
        if start is not None:
            return self._sure(self._refined(replace(start, at=at)))
        lags = np.linspace(-self.longest, self.longest, _LAGS)
        plain = min((self.tried(float(lag), 0.0, at) for lag in lags), key=_misfit)
        starts = {
            (lag, play): plain if (lag, play) == (plain.lag, 0.0) else self.tried(lag, play, at)
            for lag in {plain.lag, 0.0}
            for play in _STARTS
            if play <= self.log.span * _WIDEST
        }
        ranked = sorted(starts.values(), key=_misfit)[:2]
        now = min((self._refined(tried) for tried in ranked), key=_misfit)
        # noise of the thermometer makes the linear steps stop short: look around, and go on
        for _ in range(_ROUNDS):
            around = [
                self.tried(min(max(now.lag + by_lag, -self.longest), self.longest), play, at)
                for by_lag in (-_ASIDE, 0.0, _ASIDE)
                for play in {
                    float(np.clip(now.play + by_play, 0.0, self.log.span * _WIDEST))
                    for by_play in (-_ASIDE, 0.0, _ASIDE)
                }
                if by_lag != 0.0 or play != now.play
            ]
            other = min(around, key=_misfit)
            if _misfit(other) >= _misfit(now):
                break
            now = self._refined(other)
        return self._sure(now)

    def _sure(self, now: _Tried) -> _Tried:
        """The same; without lag and play where there is no slope: by accident they make one."""
        return now if _seen(now) else self.tried(0.0, 0.0, now.at)

    def _refined(self, now: _Tried) -> _Tried:
        """Gauss and Newton's rounds in lag and play, a step halved where it does not help."""
        widest = self.log.span * _WIDEST
        for _ in range(_ROUNDS):
            solved = now.solved(_SEARCH)
            slope = solved.beta[2]
            if slope == 0.0:
                return now
            by_play, by_lag = solved.beta[3] / slope, solved.beta[4] / slope
            share, better = 1.0, None
            while better is None and share > 0.05:
                lag = float(np.clip(now.lag + share * by_lag, -self.longest, self.longest))
                play = float(np.clip(now.play + share * by_play, 0.0, widest))
                other = self.tried(lag, play, now.at)
                if _misfit(other) < _misfit(now) * (1.0 - 1e-9):
                    better = other
                share /= 2.0
            if better is None:
                return now
            near = abs(better.lag - now.lag) < 1e-3 and abs(better.play - now.play) < 1e-3
            now = better
            if near:
                return now
        return now


def _misfit(tried: _Tried) -> float:
    """Mean square of the residuals, m2: a lag changes how many readings count."""
    solved = tried.solved(_BASE)
    return max(solved.rss / max(solved.count, 1.0), FINEST**2)


def _seen(tried: _Tried) -> bool:
    """Whether there is a slope at all; without one lag and play mean nothing."""
    solved = tried.solved(_BASE)
    sure = certain(solved, tried.scores(_BASE, solved), 0.95)
    return abs(float(solved.beta[2])) > _SEEN * math.sqrt(max(float(sure.covariance[2, 2]), 0.0))


def fit(
    log: Log,
    *,
    longest_lag: float,
    confidence: float = 0.95,
    chance: float = 0.001,
    least_step: float = 0.0,
    low: float = -math.inf,
    high: float = math.inf,
    most_steps: int = MOST_STEPS,
    evidence: float = math.inf,
    start: Fit | None = None,
) -> Fit:
    """What a log says of slope, lag, sticking, drift and steps.

    `longest_lag` (h); `chance`: of one false step in the whole log; `least_step` (m); `low`,
    `high`: temperatures (degC) at which stops are known to be reached; `most_steps`: looked for;
    `evidence`: logarithm of likelihood from which a drift is taken to go with the path of the
    temperature, not with time; `start`: a fit of the same log to begin the search at. The log
    needs three readings that count at different temperatures.
    """
    search = _Search(log, longest_lag, low - log.mean, high - log.mean)
    begin = None if start is None else search.tried(start.model.lag, start.model.play)
    now = search.best((), begin)
    for _ in range(most_steps):
        cell = _next_step(now, chance, least_step)
        if cell is None:
            break
        log, at = _cut(log, replace(now, at=tuple(sorted((*now.at, cell)))), cell)
        search = replace(search, log=log)
        now = search.best(at, search.tried(now.lag, now.play, at))
    with_cycles = _with_cycles(now)
    if with_cycles > evidence:
        warm = sums.followed(log.hours, log.warm, now.lag, now.play)[:, 0]
        search = replace(search, path=float(np.abs(np.diff(warm)).sum()))
        now = search.best(now.at, search.tried(now.lag, now.play, now.at))
    seen = log.close and _seen(now)
    columns = _SEARCH if seen else _BASE
    if log.cells < 2 * len(columns):
        columns = _BASE
    solved = now.solved(columns)
    scores = now.scores(columns, solved)
    sure = certain(solved, scores, confidence)
    one = np.eye(len(solved.beta))
    slope = sure.interval(float(solved.beta[2]), one[2])
    plain = solved.variance * float(solved.inverse[2, 2])
    steps = tuple(
        Step(log.time(float(log.edges[cell])), sure.interval(float(solved.beta[place]), one[place]))
        for place, cell in enumerate(now.at, start=len(columns))
    )
    lag = stick = None
    if seen and columns is _SEARCH:
        k = float(solved.beta[2])
        half = sure.interval(0.0, one[3] / abs(k)).half
        play = float(now.play)
        stick = Interval(2.0 * play, max(2.0 * (play - half), 0.0), 2.0 * (play + half))
        half = sure.interval(0.0, one[4] / abs(k)).half
        lag = Interval(now.lag, now.lag - half, now.lag + half)
    model = Model(
        log, solved.beta, tuple(columns), now.at, sure, now.lag, now.play, search.low, search.high
    )
    warm = sums.followed(log.hours, log.warm, now.lag, now.play)
    swing, warming, cooling = _swings(log, warm, confidence)
    noise = math.sqrt(solved.variance)
    if log.close:
        rough = sums.roughness(
            log.moved, warm[:, 0], log.use, float(solved.beta[2]), _HOLE, log.hours
        )
        noise = rough * math.sqrt(math.pi) / 2.0  # of the difference of two normal errors
    time = log.hours[log.use]
    return Fit(
        count=log.count,
        first=log.time(float(time[0])),
        last=log.time(float(time[-1])),
        span=log.span,
        effective=float(
            min(solved.count, solved.count * plain / max(float(sure.covariance[2, 2]), 1e-300))
        ),
        slope=slope,
        swing=swing,
        warming=warming,
        cooling=cooling,
        lag=lag,
        stick=stick,
        drift=sure.interval(float(solved.beta[1]), one[1]),
        steps=steps,
        scatter=math.sqrt(solved.variance),
        noise=noise,
        trend=_trend(now),
        with_cycles=with_cycles,
        parts=_parts(log, now, confidence),
        low=low,
        high=high,
        path=sums.path_length(log.moved, log.use, 3.0 * noise),
        model=model,
    )


def _next_step(now: _Tried, chance: float, least: float) -> int | None:
    """The cell at which one more step explains most, where that is no accident; None otherwise.

    For every cell the step's column is solved for from sums over the later cells alone.
    """
    cells = len(now.cells)
    if cells < 4 * _EDGE:
        return None
    columns = _SEARCH
    solved = now.solved(columns)
    late = np.cumsum(now.cells[::-1], axis=0)[::-1]
    own = late[:, sums.ONE, sums.ONE]
    cross = np.column_stack(
        [late[:, sums.ONE, columns]]
        + [late[np.maximum(np.arange(cells), at), sums.ONE, sums.ONE] for at in now.at]
    )
    left = np.cumsum(now.residuals(columns, solved)[::-1, sums.ONE])[::-1]
    rest = own - np.einsum("ij,jk,ik->i", cross, solved.inverse, cross)
    allowed = np.zeros(cells, dtype=bool)
    allowed[_EDGE:-_EDGE] = True
    for at in now.at:
        allowed[max(at - _EDGE, 0) : at + _EDGE] = False
    allowed &= rest > 1e-6 * own.max()
    if not allowed.any():
        return None
    gain = np.where(allowed, left**2 / np.where(allowed, rest, 1.0), 0.0)
    cell = int(gain.argmax())
    size = float(left[cell] / rest[cell])
    after = replace(now, at=tuple(sorted((*now.at, cell))))
    solved = after.solved(columns)
    wider = inflation(
        after.residuals(columns, solved)[:, sums.ONE],
        now.cells[:, sums.ONE, sums.ONE],
        solved.variance,
    )
    sure = gain[cell] / (solved.variance * wider) > chi2.isf(chance / cells, 1)
    return cell if sure and abs(size) >= least else None


def _cut(log: Log, now: _Tried, cell: int) -> tuple[Log, tuple[int, ...]]:
    """The log with a cell that begins at the very reading of the step, and where all steps begin.

    The reading is the one, of the cell and of that before it, at which the residuals change best.
    """
    solved = now.solved(_BASE)
    size = float(solved.beta[len(_BASE) + now.at.index(cell)])
    first, end = np.searchsorted(log.cell, [cell - 1, cell + 1])
    warm = sums.followed(log.hours, log.warm, now.lag, now.play)[first:end, 0]
    rows = np.column_stack([np.ones(end - first), log.hours[first:end] / sums.YEAR, warm])
    left = log.moved[first:end] - rows @ solved.beta[: len(_BASE)]
    for place, at in enumerate(now.at, start=len(_BASE)):
        if at != cell:
            left -= np.where(log.cell[first:end] >= at, solved.beta[place], 0.0)
    gain = np.where(log.use[first:end], left**2 - (left - size) ** 2, 0.0)
    # what is won by having every reading from this one on behind the step
    row = int(first) + int(np.cumsum(gain[::-1])[::-1].argmax())
    own = int(log.cell[row])
    begins = int(np.searchsorted(log.cell, own)) == row
    number = own if begins else own + 1
    others = tuple(at for at in now.at if at != cell)
    if begins:
        return log, tuple(sorted({*others, number}))
    behind = np.arange(len(log.cell)) >= row
    edges = np.insert(log.edges, number, log.hours[row])
    cut = replace(log, cell=log.cell + behind, cells=log.cells + 1, edges=edges)
    return cut, tuple(sorted({number, *(at + 1 if at > own else at for at in others)}))


def changes_at(found: Fit) -> int:
    """The time (ns) at which constant, slope and lag change, where they do so once.

    Of all cells the one before and from which two fits apart explain the log best.
    """
    model = found.model
    log = model.log
    cells = _Search(log, 0.0, model.low, model.high).tried(model.lag, model.play).cells
    before = np.cumsum(cells, axis=0)
    columns = [sums.ONE, sums.WARM, sums.LAG] if log.close else [sums.ONE, sums.WARM]

    def left(total: Floats) -> float:
        return solve(
            total[np.ix_(columns, columns)],
            total[columns, sums.MOVED],
            total[sums.MOVED, sums.MOVED],
            total[sums.ONE, sums.ONE],
        ).rss

    inner = range(_EDGE, log.cells - _EDGE)
    best = min(inner, key=lambda cell: left(before[cell - 1]) + left(before[-1] - before[cell - 1]))
    return log.time(float(log.edges[best]))


def _with_cycles(now: _Tried) -> float:
    """How much better the path of the temperature explains a drift than time does."""
    by_time = now.solved([sums.ONE, sums.TIME, sums.WARM])
    by_path = now.solved([sums.ONE, sums.PATH, sums.WARM])
    if by_path.rss <= 0.0 or by_time.rss <= 0.0:
        return 0.0
    columns = [sums.ONE, sums.PATH, sums.WARM]
    wider = inflation(
        now.residuals(columns, by_path)[:, sums.ONE],
        now.cells[:, sums.ONE, sums.ONE],
        by_path.variance,
    )
    return float(0.5 * by_time.count / wider * math.log(by_time.rss / by_path.rss))


def _trend(now: _Tried) -> tuple[float, ...]:
    """Means (m) of quarters of the cells, without what temperature and steps explain."""
    columns = [sums.ONE, sums.TIME, sums.WARM]
    solved = now.solved(columns)
    still = replace(solved, beta=np.where(np.arange(len(solved.beta)) == 1, 0.0, solved.beta))
    left = now.residuals(columns, still)[:, sums.ONE]
    counts = now.cells[:, sums.ONE, sums.ONE]
    parts = np.array_split(np.arange(len(left)), min(4, len(left)))
    return tuple(float(left[part].sum() / max(counts[part].sum(), 1.0)) for part in parts)


def visits(log: Log, error: float, confidence: float = 0.95) -> Fit:
    """What a few readings by hand say of the slope, each known to `error` (m).

    Two readings give the slope between them, with the standard error root 2 `error` over their
    difference of temperature. Where the readings scatter more than that, the scatter counts.
    """
    cells = sums.cell_sums(
        log.hours, log.moved, log.warm, log.use, log.cell, log.cells,
        0.0, 0.0, -math.inf, math.inf, 0.0,
    )  # fmt: skip
    tried = _Tried(0.0, 0.0, cells, ())
    columns = [sums.ONE, sums.WARM]
    solved = tried.solved(columns)
    free = solved.count - 2.0
    scatter = math.sqrt(solved.rss / free) if free > 0.0 else 0.0
    known = max(scatter, error)
    sure = Certain(known**2 * solved.inverse, free if scatter > error else math.inf, confidence)
    slope = sure.interval(float(solved.beta[1]), np.array([0.0, 1.0]))
    times = log.hours[log.use]
    model = Model(log, solved.beta, tuple(columns), (), sure, 0.0, 0.0, -math.inf, math.inf)
    return Fit(
        count=log.count,
        first=log.time(float(times[0])),
        last=log.time(float(times[-1])),
        span=log.span,
        effective=float(log.count),
        slope=slope,
        swing=None,
        warming=None,
        cooling=None,
        lag=None,
        stick=None,
        drift=None,
        steps=(),
        scatter=scatter,
        noise=error,
        trend=(),
        with_cycles=0.0,
        parts=(),
        low=-math.inf,
        high=math.inf,
        path=sums.path_length(log.moved, log.use, 0.0),
        model=model,
    )


def _swings(
    log: Log, warm: Floats, confidence: float
) -> tuple[Interval | None, Interval | None, Interval | None]:
    """Slopes (m/K) of changes over half a day: of all, of warming, of cooling."""
    if not log.close:
        return None, None, None
    cells = sums.swing_sums(
        log.hours, log.moved, warm, log.use, log.cell, log.cells, _HALF_DAY, _CLOSE / 2.0
    )
    total = cells.sum(axis=0)
    if total[1, 1] <= 0.0 or total[2, 2] <= 0.0:
        return None, None, None
    # a change over half a day shares a reading with the next one: the scores see to it
    count = float((cells[:, -1, -1] > 0.0).sum())
    found = []
    whole = np.array([[1.0, 0, 0, 0, 0], [0, 1, 1, 0, 0], [0, 0, 0, 1, 0], [0, 0, 0, 0, 1]])
    for pick, wanted in ((whole, (1,)), (np.eye(5), (1, 2))):
        left, right = cells[:, :-1, :-1], cells[:, :-1, -1] @ pick.T
        solved = solve(pick @ total[:-1, :-1] @ pick.T, pick @ total[:-1, -1], total[-1, -1], count)
        sure = certain(solved, right - pick @ left @ pick.T @ solved.beta, confidence)
        eye = np.eye(len(pick))
        found += [sure.interval(float(solved.beta[at]), eye[at]) for at in wanted]
    return found[0], found[1], found[2]


def _parts(log: Log, now: _Tried, confidence: float) -> tuple[Part, ...]:
    """Slope and lag of parts of the time, one after the other."""
    number = min(_PARTS, log.cells // _LEAST_PART)
    if number < 2:
        return ()
    found = []
    columns = [sums.ONE, sums.WARM, sums.LAG] if log.close else [sums.ONE, sums.WARM]
    for cells in np.array_split(np.arange(log.cells), number):
        part = now.cells[cells].copy()
        for place, at in enumerate(now.at, start=len(_BASE)):
            if cells[0] < at <= cells[-1]:
                # a step within: taken off by what the whole log says of it
                size = float(now.solved(_BASE).beta[place])
                later = cells >= at
                part[later, :, sums.MOVED] -= size * part[later, :, sums.ONE]
        total = part.sum(axis=0)
        solved = solve(
            total[np.ix_(columns, columns)],
            total[columns, sums.MOVED],
            total[sums.MOVED, sums.MOVED],
            total[sums.ONE, sums.ONE],
        )
        scores = part[:, columns, sums.MOVED] - part[:, columns][:, :, columns] @ solved.beta
        sure = certain(solved, scores, confidence)
        eye = np.eye(len(columns))
        slope = sure.interval(float(solved.beta[1]), eye[1])
        lag = None
        if log.close and slope.signed:
            by = sure.interval(float(solved.beta[2]), eye[2]).over(float(solved.beta[1]))
            lag = Interval(now.lag + by.value, now.lag + by.low, now.lag + by.high)
        first = float(log.edges[cells[0]])
        end = int(cells[-1]) + 1
        last = float(log.edges[end]) if end < log.cells else float(log.hours[-1])
        found.append(Part(log.time(first), log.time(last), slope, lag))
    return tuple(found)
