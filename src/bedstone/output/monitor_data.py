"""What logs say of the bearings as data: JSON, described by ``monitor.schema.json``.

Lengths in mm, temperatures in degC, lags in hours, slopes in mm/K, times in ISO 8601 (UTC).
"""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.output import monitor_words as words
from bedstone.output.data import value_data
from bedstone.output.shown import scaled
from bedstone.schedule.context import family_name, family_of
from bedstone.site.monitoring.fit import Fit
from bedstone.site.monitoring.judge import Finding
from bedstone.site.monitoring.normal import Interval
from bedstone.site.monitoring.watch import Watched
from bedstone.site.tolerances import Tolerances

#: Numbers of findings that are times, and the unit of others by name; the rest have none.
_TIMES = frozenset({"time", "first", "last"})
_UNITS = {
    **dict.fromkeys(
        ("value", "step", "size", "off", "budget", "moved", "allowed", "left", "by"), "mm"
    ),
    **dict.fromkeys(("warming", "cooling", "beyond"), "mm_per_K"),
    **dict.fromkeys(("before", "after"), "h"),
    **dict.fromkeys(("span", "stick", "apart"), "K"),
    "drift": "mm_per_year",
    "temperature": "degC",
}


def monitor_to_dict(
    found: Sequence[Watched],
    bridge: Bridge,
    standard: str,
    limits: Tolerances,
    told: Sequence[str] = (),
) -> dict[str, Any]:
    """Return judgements as plain data that fits `monitor_schema`.

    `standard`: name of the family; `told`: what was told of the logs. Raises `CheckError` when a
    number is not finite.
    """
    return {
        "format": "bedstone monitor 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "signs": [words.SIGNS, words.COLUMNS],
        "bridge": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "standard": standard,
        "standard_title": family_of(family_name(standard)).title,
        "action": any(item.action for item in found),
        "told": list(told),
        "thresholds": [value_data(limits.values[name]) for name in sorted(limits.values)],
        "seats": [_seat(item) for item in found],
    }


def monitor_to_json(
    found: Sequence[Watched],
    bridge: Bridge,
    standard: str,
    limits: Tolerances,
    told: Sequence[str] = (),
) -> str:
    """Return judgements as JSON text (UTF-8, one final line end)."""
    data = monitor_to_dict(found, bridge, standard, limits, told)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def monitor_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `monitor_to_dict`."""
    text = files("bedstone.output").joinpath("monitor.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _seat(item: Watched) -> dict[str, Any]:
    seat, left, ahead, line = item.seat, item.left, item.forecast, item.siblings
    return {
        "seat": seat.seat,
        "support": seat.support,
        "axis": seat.axis,
        "readings": item.readings,
        "first": _time(item.first),
        "last": _time(item.last),
        "span_K": _plain(item.span),
        "judgement": item.judgement.word,
        "action": item.action,
        "findings": [
            _finding(one, text)
            for one, text in zip(item.findings, words.sentences(item), strict=True)
        ],
        "expected": {
            "slope_mm_per_K": _mm(seat.slope),
            "spread_mm_per_K": _mm(seat.spread),
            "held": seat.held,
            "datum_degC": _plain(seat.datum),
            "centre_mm": [_mm(value) for value in seat.centre],
            "budget_mm": _mm(seat.budget),
            "back_mm": _endless(seat.back),
            "ahead_mm": _endless(seat.ahead),
            "others_mm": [_mm(value) for value in seat.others],
        },
        "mobility": _interval(item.ratio, 1.0),
        "standard_error": None if item.error is None else _plain(item.error),
        "fit": None if item.fit is None else _fit(item.fit),
        "since": None if item.since is None else _time(item.since.time),
        "off_mm": _interval(item.off, 1e3),
        "left_mm": None
        if left is None
        else {"back": _endless(left.back), "ahead": _endless(left.ahead)},
        "end": None
        if ahead is None
        else {
            "side": ahead.side,
            "likely": _maybe(ahead.likely),
            "earliest": _maybe(ahead.earliest),
            "latest": _maybe(ahead.latest),
        },
        "way_m_per_year": None if item.yearly is None else _plain(item.yearly),
        "share_of_tested_path": None if item.tested is None else _plain(item.tested),
        "wear_mm": None if item.wear is None else _mm(item.wear),
        "line": None
        if line is None
        else {
            "others": list(line.others),
            "apart_mm": _mm(line.by),
            "allowed_mm": _mm(line.allowed),
            "mobility": None if line.mobility is None else _plain(line.mobility),
        },
    }


def _fit(fit: Fit) -> dict[str, Any]:
    return {
        "readings": fit.count,
        "independent": _plain(fit.effective),
        "slope_mm_per_K": _interval(fit.slope, 1e3),
        "half_day_mm_per_K": _interval(fit.swing, 1e3),
        "judged_by": "half-day changes" if fit.from_swings else "all readings",
        "warming_mm_per_K": _interval(fit.warming, 1e3),
        "cooling_mm_per_K": _interval(fit.cooling, 1e3),
        "lag_h": _interval(fit.lag, 1.0),
        "stands_still_K": _interval(fit.stick, 1.0),
        "drift_mm_per_year": _interval(fit.drift, 1e3),
        "steps": [
            {"time": _time(step.time), "size_mm": _interval(step.size, 1e3)} for step in fit.steps
        ],
        "scatter_mm": _mm(fit.scatter),
        "noise_mm": _mm(fit.noise),
        "way_m": _plain(fit.path),
    }


def _finding(item: Finding, text: str) -> dict[str, Any]:
    return {
        "word": item.word,
        "kind": item.kind,
        "action": item.action,
        "numbers": dict(_number(name, value) for name, value in sorted(item.numbers.items())),
        "shared": list(item.shared),
        "text": text,
    }


def _number(name: str, value: float) -> tuple[str, float | str]:
    """A number of a finding with its unit in its name."""
    if name in _TIMES:
        return name, _time(int(value))
    unit = _UNITS.get(name)
    if unit is None:
        return name, _plain(value)
    return f"{name}_{unit}", _mm(value) if unit.startswith("mm") else _plain(value)


def _interval(item: Interval | None, factor: float) -> dict[str, float] | None:
    if item is None:
        return None
    return {
        name: scaled(value, factor, "interval")
        for name, value in (("value", item.value), ("low", item.low), ("high", item.high))
    }


def _time(time: int) -> str:
    stamp = dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(microseconds=time // 1000)
    return stamp.isoformat(timespec="seconds").replace("+00:00", "Z")


def _maybe(time: int | None) -> str | None:
    return None if time is None else _time(time)


def _endless(value: float) -> float | None:
    """A length (m) in mm; None where nothing ends the movement that way."""
    return None if math.isinf(value) else _mm(value)


def _mm(value: float) -> float:
    return scaled(value, 1e3, "monitoring")


def _plain(value: float) -> float:
    return scaled(value, 1.0, "monitoring")
