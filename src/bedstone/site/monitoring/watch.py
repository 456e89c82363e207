"""Logs and readings of the seats of a bridge judged against what each bearing should do."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Bools, Floats
from bedstone.site.log_files import Series
from bedstone.site.monitoring import judge, sums
from bedstone.site.monitoring.expected import Expected, expected
from bedstone.site.monitoring.fit import (
    MOST_STEPS,
    Fit,
    changes_at,
    fit,
    prepare,
    visits,
)
from bedstone.site.monitoring.judge import Finding
from bedstone.site.monitoring.normal import Interval
from bedstone.site.monitoring.siblings import Apart, alike, apart
from bedstone.site.monitoring.stops import Stop, stops
from bedstone.site.monitoring.travel import Forecast, Left, forecast, left
from bedstone.site.setting import Setting
from bedstone.site.tolerances import Tolerances, usual

_DAY = 86_400_000_000_000  # ns
#: Quantile of the normal distribution that makes a standard error of half an interval of 95 %.
_NORMAL = 1.96
#: A way gone is told for a year where the log is this long (years).
_LEAST_YEARS = 1.0 / 12.0
#: Days within which steps of two seats are the same one.
_SAME_DAYS = 3
#: Standard errors between the slopes of two stretches that are not the same.
_CHANGED = 4.0
#: Values of a gauge (m) that are one.
_SAME = 1e-9
#: Middle differences of neighbours between which the noise of a gauge stays for days.
_NOISES = 8.0


@dataclass(frozen=True)
class Stuck:
    """A stretch (ns since 1970, UTC) in which a sensor repeats one value (m)."""

    first: int
    last: int
    value: float


@dataclass(frozen=True)
class Changed:
    """A time (ns) at which the lag jumps (h), or from which the slope (m/K) is another one."""

    time: int
    before: Interval
    after: Interval


@dataclass(frozen=True)
class Watched:
    """One seat: what was read, what it says, what it means. SI, degC, ns since 1970 (UTC).

    - `fit`: None where nothing could be fitted; of the time `since` a change, where there is one
    - `ratio`: mobility, None without an expected slope; `error`: its standard error
    - `off` (m): of the constant at the datum, first reading, from what is expected; None where the
      log counts from a zero of its own
    - `yearly` (m): way gone in a year; `tested`: share of the tested path gone in the log; `wear`
      (m) in the log, None where nothing is known of it
    - `findings`: what must be looked at first, first
    """

    seat: Expected
    readings: int
    first: int
    last: int
    span: float
    fit: Fit | None
    ratio: Interval | None
    error: float | None
    off: Interval | None
    stuck: tuple[Stuck, ...]
    stops: tuple[Stop, ...]
    clock: Changed | None
    since: Changed | None
    left: Left | None
    forecast: Forecast | None
    siblings: Apart | None
    yearly: float | None
    tested: float | None
    wear: float | None
    findings: tuple[Finding, ...]

    @property
    def judgement(self) -> Finding:
        """What must be looked at first."""
        return self.findings[0]

    @property
    def action(self) -> bool:
        """Whether anything needs doing."""
        return any(item.action for item in self.findings)


def watch(
    series: Sequence[Series],
    settings: Sequence[Setting],
    *,
    limits: Tolerances | None = None,
    relative: bool = False,
    opened: int | None = None,
    clamped: frozenset[str] = frozenset(),
) -> tuple[Watched, ...]:
    """Judge every series, in their order.

    `settings`: of the same bridge, for what each seat should do; `limits`: thresholds in place of
    the usual ones; `relative`: the logs count from a zero of their own, so that constants and
    travel left say nothing; `opened`: day (ns) on which the bridge or the bearing came into use;
    `clamped`: seats at which a transport clamp was seen in its place.

    Raises `InputError` for a series of a seat without a setting, two of one seat, or times that do
    not rise.
    """
    own = limits or usual("monitoring")
    known = {item.seat: item for item in settings}
    faults = _faults(series, known)
    if faults:
        raise InputError(faults)
    with threadpool_limits(limits=1, user_api="blas"):

        def alone(item: Series) -> Watched:
            seat = expected(known[item.seat])
            return _one(item, seat, own, relative, opened, item.seat in clamped)

        # the passes over the readings let go of the interpreter: two logs at once take half as long
        with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            found = list(pool.map(alone, series))
    return _together(found, own, relative)


def _faults(series: Sequence[Series], known: Mapping[str, Setting]) -> list[Fault]:
    faults = []
    seen: set[str] = set()
    for item in series:
        if item.seat not in known:
            faults.append(Fault("log", "seat", repr(item.seat[:60]), ", ".join(known)))
        elif item.seat in seen:
            faults.append(Fault("log", "seat", f"{item.seat} twice", "one series of a seat"))
        elif len(item.time) == 0:
            faults.append(Fault("log", item.seat, "no readings", "one or more"))
        elif np.any(np.diff(item.time) <= 0):
            faults.append(Fault("log", item.seat, "times that do not rise", "rising times"))
        seen.add(item.seat)
    return faults


# ------------------------------------------------------------------ one seat
@dataclass(frozen=True)
class _Explained:
    """The fit that explains a log best, with what was found on the way to it."""

    fit: Fit
    stops: tuple[Stop, ...] = ()
    clock: Changed | None = None
    since: Changed | None = None


def _one(
    item: Series,
    seat: Expected,
    limits: Tolerances,
    relative: bool,
    opened: int | None,
    clamped: bool,
) -> Watched:
    """Everything that the series of one seat says by itself."""
    steps, reach = gauge_steps(item.movement), abs(seat.slope) * limits.number("span")
    coarse = not seat.held and steps > reach and len(item.time) >= limits.number("readings")
    use, still = _stuck(item, seat.held or coarse, limits)
    warm, cold = _thermometer(item, use, seat, limits)
    use &= warm
    log = prepare(item.time, item.movement, item.temperature, use)
    blank = Watched(
        seat=seat, readings=len(item.time), first=int(item.time[0]), last=int(item.time[-1]),
        span=float(np.ptp(item.temperature[np.isfinite(item.temperature)]))
        if np.isfinite(item.temperature).any() else 0.0,
        fit=None, ratio=None, error=None, off=None, stuck=still, stops=(), clock=None, since=None,
        left=None, forecast=None, siblings=None, yearly=None, tested=None, wear=None, findings=(),
    )  # fmt: skip
    findings = [
        Finding(
            "sensor at fault", "stuck", {"first": one.first, "last": one.last, "value": one.value}
        )
        for one in still
    ] + cold
    if coarse:
        numbers = {"step": steps, "moved": reach, "apart": limits.number("span")}
        findings.append(Finding("sensor at fault", "coarse", numbers))
        return replace(blank, findings=tuple(findings))
    enough = log.span >= limits.number("span") and log.count >= 2
    if not enough:
        if not findings:
            findings.append(
                Finding(
                    "not enough yet", "span", {"span": log.span, "apart": limits.number("span")}
                )
            )
        return replace(blank, findings=tuple(findings))
    if log.count >= limits.number("readings") and log.days < limits.number("days"):
        findings.append(Finding("not enough yet", "days", {"days": log.days}))
        return replace(blank, findings=ranked(findings))
    if log.count < limits.number("readings"):
        few = visits(log, seat.error, limits.number("confidence"))
        explained = _Explained(few)
    else:
        explained = _fitted(item, use, seat, limits)
    fitted = explained.fit
    told = _measured(
        replace(
            blank,
            fit=fitted,
            stops=explained.stops,
            clock=explained.clock,
            since=explained.since,
        ),
        fitted,
        limits,
        relative,
    )
    new = opened is not None and item.time[0] - opened <= limits.number("new") * _DAY
    findings += _judged(told, fitted, limits, clamped or new)
    return replace(told, findings=ranked(findings))


def gauge_steps(movement: Floats) -> float:
    """The least step (m) between values of a gauge: of two values or more, else 0."""
    values = np.unique(movement[np.isfinite(movement)])
    # values in SI of a gauge of whole tenths differ by what the machine cannot hold
    steps = np.diff(values)
    steps = steps[steps > _SAME]
    return float(steps.min()) if len(steps) else 0.0


def _stuck(item: Series, rests: bool, limits: Tolerances) -> tuple[Bools, tuple[Stuck, ...]]:
    """Which readings count, and the stretches of a sensor that repeats itself.

    `rests`: a bearing that should not move, or not by a step of its gauge, repeats itself by right.
    """
    use = np.ones(len(item.time), dtype=bool)
    if rests:
        return use, ()
    runs = sums.still_runs(
        np.ascontiguousarray(item.movement),
        np.ascontiguousarray(item.temperature),
        limits.number("span"),
    )
    often = len({float(item.movement[first]) for first, _ in runs}) >= limits.number("stuck_times")
    if often or len(item.time) < limits.number("readings"):
        return use, ()
    for first, last in runs:
        use[first : last + 1] = False
    return use, tuple(
        Stuck(int(item.time[a]), int(item.time[b]), float(item.movement[a])) for a, b in runs
    )


def _thermometer(
    item: Series, use: Bools, seat: Expected, limits: Tolerances
) -> tuple[Bools, list[Finding]]:
    """Which readings have a temperature that lives, and the stretches of one that repeats itself.

    For days, while the bearing goes as far as the least range of temperature would move it and
    further than the noise of its gauge.
    """
    good = np.ones(len(item.time), dtype=bool)
    if seat.held or use.sum() < limits.number("readings"):
        return good, []
    moved = item.movement[use]
    jumps = np.abs(np.diff(moved[np.isfinite(moved)]))
    if not len(jumps):
        return good, []
    noise = _NOISES * float(np.median(jumps))
    runs = sums.still_runs(
        np.ascontiguousarray(item.temperature),
        np.ascontiguousarray(item.movement),
        limits.number("span") * abs(seat.slope) + noise,
    )
    found = []
    for first, last in runs:
        if item.time[last] - item.time[first] < limits.number("days") * _DAY:
            continue
        good[first : last + 1] = False
        times = {"first": item.time[first], "last": item.time[last]}
        numbers = {name: float(time) for name, time in times.items()}
        numbers["temperature"] = float(item.temperature[first])
        found.append(Finding("sensor at fault", "thermometer stuck", numbers))
    return good, found


def _fitted(item: Series, use: Bools, seat: Expected, limits: Tolerances) -> _Explained:
    """The fit that explains a log best: plain, with stops, or of the time since a change."""
    number = limits.number

    def fitting(
        mask: Bools,
        start: Fit | None = None,
        low: float = -math.inf,
        high: float = math.inf,
        most: int = MOST_STEPS,
    ) -> Fit:
        return fit(
            prepare(item.time, item.movement, item.temperature, mask),
            longest_lag=number("longest_lag"),
            confidence=number("confidence"),
            chance=number("chance"),
            least_step=number("step"),
            low=low,
            high=high,
            most_steps=most,
            evidence=number("evidence"),
            start=start,
        )

    plain = fitting(use, most=0)
    bent = stops(
        plain,
        chance=number("chance"),
        beyond=number("beyond"),
        span=number("beyond_span"),
        least=number("restricted") * abs(seat.slope),
        most=number("over") * abs(seat.slope),
    )
    stepped = fitting(use, plain)
    if bent:
        low = max((one.temperature for one in bent if one.side == "colder"), default=-math.inf)
        high = min((one.temperature for one in bent if one.side == "warmer"), default=math.inf)
        stopped = fitting(use, plain, low, high)
        if stopped.scatter < stepped.scatter:
            return _Explained(stopped, stops=bent)
    clock = _clock(stepped, limits)
    if clock is not None:
        clock = replace(clock, time=changes_at(plain))
        lags = [fitting(use & side).lag for side in _sides(item, clock.time)]
        before, after = (
            told if lag is None else lag
            for told, lag in zip((clock.before, clock.after), lags, strict=True)
        )
        return _Explained(stepped, clock=replace(clock, before=before, after=after))
    since = _changed(plain, seat, limits)
    if since is not None:
        since = replace(since, time=changes_at(plain))
        early, late = (use & side for side in _sides(item, since.time))
        if min(early.sum(), late.sum()) >= number("readings"):
            first, second = fitting(early), fitting(late)
            both = math.sqrt(
                (first.scatter**2 * first.count + second.scatter**2 * second.count)
                / (first.count + second.count)
            )
            if both < stepped.scatter and second.span >= number("span"):
                since = replace(since, before=first.slope, after=second.slope)
                return _Explained(second, since=since)
    return _Explained(stepped)


def _sides(item: Series, time: int) -> tuple[Bools, Bools]:
    """The readings before a time, and those from then on."""
    return item.time < time, item.time >= time


def _clock(fitted: Fit, limits: Tolerances) -> Changed | None:
    """Where the lag jumps for good between two parts of the time.

    A bearing that sticks longer than a day swings shows no lag in a part of the time.
    """
    if fitted.lag is None or fitted.stick is None or fitted.stick.low > limits.number("stick"):
        return None
    parts = [(part.first, part.lag) for part in fitted.parts if part.lag is not None]
    return _jump(parts, limits.number("clock"))


def _changed(fitted: Fit, seat: Expected, limits: Tolerances) -> Changed | None:
    """Where the slope falls or rises for good, by more than the width of a class of mobility."""
    if seat.slope == 0.0:
        return None
    parts = [(part.first, part.slope) for part in fitted.parts]
    return _jump(parts, limits.number("uncertain") * abs(seat.slope))


def _jump(parts: Sequence[tuple[int, Interval]], least: float) -> Changed | None:
    """The surest jump between the parts before and those after a time, of `least` or more."""
    best: Changed | None = None
    surest = _CHANGED
    for cut in range(1, len(parts)):
        before = _mean([value for _, value in parts[:cut]])
        after = _mean([value for _, value in parts[cut:]])
        gap = abs(after.value - before.value)
        errors = gap * _NORMAL / max(math.hypot(before.half, after.half), 1e-300)
        if gap >= least and errors > surest:
            best, surest = Changed(parts[cut][0], before, after), errors
    return best


def _mean(items: Sequence[Interval]) -> Interval:
    """The mean of independent numbers, each with the weight of its own interval.

    Where they scatter more than their intervals say, the scatter counts.
    """
    weights = np.array([1.0 / max(item.half, 1e-12) ** 2 for item in items])
    values = np.array([item.value for item in items])
    middle = float(weights @ values / weights.sum())
    half = 1.0 / math.sqrt(float(weights.sum()))
    if len(items) > 1:
        wider = float(weights @ (values - middle) ** 2) * _NORMAL**2 / (len(items) - 1)
        half *= max(math.sqrt(wider), 1.0)
    return Interval(middle, middle - half, middle + half)


def _measured(told: Watched, fitted: Fit, limits: Tolerances, relative: bool) -> Watched:
    """What follows from a fit: mobility, constant, travel left, dates, way gone."""
    number = limits.number
    seat = told.seat
    ratio = error = None
    if seat.slope != 0.0:
        ratio = judge.ratio_of(fitted.best, seat.slope, number("scale"))
        error = ratio.half / _NORMAL
    off = room = ahead = None
    if not relative:
        start = fitted.offset(seat.datum, fitted.first)
        outside = seat.off(start.value)
        off = Interval(outside, outside - start.half, outside + start.half)
        room = _stopped(left(fitted, seat), told.stops, seat)
        ahead = forecast(fitted, seat, room, number("horizon"))
    slides = seat.form == "slides"
    rate = number("wear_rate")
    return replace(
        told,
        ratio=ratio,
        error=error,
        off=off,
        left=room,
        forecast=ahead,
        yearly=fitted.path / fitted.years if fitted.years >= _LEAST_YEARS else None,
        tested=fitted.path / number("tested_path") if slides else None,
        wear=fitted.path * rate if slides and rate > 0.0 else None,
    )


def _stopped(room: Left, bent: Sequence[Stop], seat: Expected) -> Left:
    """No travel is left toward a stop that is reached, whatever the drawings say."""
    for stop in bent:
        if (stop.side == "warmer") == (seat.slope > 0.0):
            room = replace(room, ahead=min(room.ahead, 0.0))
        else:
            room = replace(room, back=min(room.back, 0.0))
    return room


def _judged(told: Watched, fitted: Fit, limits: Tolerances, new: bool) -> list[Finding]:
    """What one seat's own numbers mean. `new`: a clamp may still be in its place."""
    seat = told.seat
    if seat.held:
        return [_held(told, fitted)]
    assert told.ratio is not None
    assert told.error is not None
    if told.clock is not None:
        before, after = told.clock.before.value, told.clock.after.value
        numbers = {"time": told.clock.time, "before": before, "after": after}
        return [Finding("sensor at fault", "clock shifted", numbers)]
    mobile = judge.mobility(told.ratio, told.error, limits)
    if mobile.word in ("sensor at fault", "not enough yet"):
        return [mobile]
    if mobile.word == "frozen" and new and told.since is None:
        mobile = replace(mobile, word="clamp left")
    stick = fitted.stick
    if mobile.word == "free" and stick is not None and stick.low > limits.number("stick"):
        mobile = Finding("sluggish", "stick", {**mobile.numbers, "stick": stick.value})
    found = [mobile]
    found += [
        Finding("stop reached", stop.side, {"temperature": stop.temperature, "beyond": stop.beyond})
        for stop in told.stops
    ]
    found += [
        Finding("substructure moved", "step", {"time": step.time, "size": step.size.value})
        for step in fitted.steps
    ]
    found += _drifting(told, fitted, limits)
    off, most = told.off, limits.number("preset") * seat.budget
    right = mobile.word in ("free", "sluggish")
    if right and off is not None and abs(off.value) - off.half > most:
        found.append(Finding("wrong preset", numbers={"off": off.value, "budget": seat.budget}))
    room = None if told.left is None else told.left.least
    if room is not None and room < 0.0 and not told.stops:
        found.append(Finding("travel short", numbers={"left": room}))
    return found


def _drifting(told: Watched, fitted: Fit, limits: Tolerances) -> list[Finding]:
    """A drift that matters: with the cycles of temperature, or steadily with time."""
    drift = fitted.drift
    room = None if drift is None or told.left is None else told.left.toward(drift.value)
    if drift is None or not judge.drift_matters(drift, room, told.seat.budget, limits):
        return []
    seen = abs(drift.value) * fitted.years
    if seen < limits.number("drift_least") or not judge.steady(fitted.trend, drift.value):
        return []
    by_time = fitted.with_cycles < -limits.number("evidence")
    numbers = {
        "drift": drift.value,
        "evidence": fitted.with_cycles,
        "needed": limits.number("evidence"),
    }
    if fitted.warming is not None and fitted.cooling is not None:
        numbers |= {"warming": fitted.warming.value, "cooling": fitted.cooling.value}
    return [Finding("substructure moved" if by_time else "ratcheting", "drift", numbers)]


def _held(told: Watched, fitted: Fit) -> Finding:
    """A bearing that holds moves no more than its play and what a reading can be off."""
    least = min(abs(fitted.slope.low), abs(fitted.slope.high)) if fitted.slope.signed else 0.0
    gone = least * fitted.span
    step = max((abs(item.size.value) for item in fitted.steps), default=0.0)
    allowed = 2.0 * told.seat.play + told.seat.survey
    numbers = {"moved": max(gone, step), "allowed": allowed}
    return Finding("moves though held" if max(gone, step) > allowed else "holds", numbers=numbers)


def ranked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """What must be looked at first, first."""
    return tuple(sorted(findings, key=lambda item: judge.WORDS.index(item.word)))


# ------------------------------------------------------------------ several seats
def _together(found: Sequence[Watched], limits: Tolerances, relative: bool) -> tuple[Watched, ...]:
    """The same with what neighbours say: of a line, and of steps and drifts that are shared."""
    return tuple(_in_line(_sharing(item, found), found, limits, relative) for item in found)


def _sound(item: Watched) -> bool:
    """Whether its numbers can be held against those of others."""
    return item.fit is not None and not any(
        one.word == "sensor at fault" and one.kind not in ("stuck", "thermometer stuck")
        for one in item.findings
    )


def _sharing(item: Watched, found: Sequence[Watched]) -> Watched:
    """Steps and drifts with the seats that show the same; a drift of a whole line is its pier's."""
    if item.fit is None:
        return item
    others = [one for one in found if one is not item and one.fit is not None and _sound(one)]
    findings = []
    for finding in item.findings:
        shared: tuple[str, ...] = ()
        if finding.word == "substructure moved" and finding.kind == "step":
            own = next(one for one in item.fit.steps if one.time == finding.numbers["time"])
            shared = alike(
                own.size,
                {
                    one.seat.seat: [
                        step.size
                        for step in (one.fit.steps if one.fit else ())
                        if abs(step.time - own.time) <= _SAME_DAYS * _DAY
                    ]
                    for one in others
                },
            )
        elif finding.kind == "drift" and item.fit.drift is not None:
            drifts = {
                one.seat.seat: [one.fit.drift]
                for one in others
                if one.fit and one.fit.drift is not None and one.fit.drift.signed
            }
            shared = alike(item.fit.drift, drifts)
            line = {one.seat.seat for one in others if one.seat.support == item.seat.support}
            if line and line <= set(shared):
                finding = replace(finding, word="substructure moved")
        findings.append(replace(finding, shared=shared))
    return replace(item, findings=ranked(findings))


def _in_line(
    item: Watched, found: Sequence[Watched], limits: Tolerances, relative: bool
) -> Watched:
    """The same with its place among the others of its line."""
    if item.fit is None or not _sound(item) or item.seat.held or relative:
        return item
    line = [
        one
        for one in found
        if (one.seat.support, one.seat.axis) == (item.seat.support, item.seat.axis)
        and not one.seat.held
        and _sound(one)
    ]
    offsets = {
        one.seat.seat: one.fit.offset(one.seat.datum).value - sum(one.seat.centre) / 2.0
        for one in line
        if one.fit is not None
    }
    ratios = {one.seat.seat: one.ratio.value for one in line if one.ratio is not None}
    mark = item.seat.seat
    aside = apart(offsets, ratios, mark, limits.number("siblings"), item.seat.survey)
    if aside is None:
        return item
    findings = list(item.findings)
    # of two that differ, the one that is further off is looked at
    further = all(abs(offsets[mark]) >= abs(offsets[other]) for other in aside.others)
    if aside.out and (len(aside.others) >= 2 or further):
        findings.append(
            Finding("out of line", numbers={"by": aside.by, "allowed": aside.allowed},
                    shared=aside.others)
        )  # fmt: skip
    return replace(item, siblings=aside, findings=ranked(findings))
