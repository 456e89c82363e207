"""From what a clock on site shows to UTC: hours that are missing, and hours that come twice."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

_OFFSET = re.compile(r"(?:UTC)?([+-])(\d{1,2})(?::?(\d{2}))?", re.ASCII)
_DAY = timedelta(days=1)
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Stretch:
    """A time in which a clock stays `offset` ahead of UTC: from `start` on, naive, clock time.

    `missing`: naive clock time from which up to `start` no hour exists, `start` itself where none
    is missing; `twice`: until when, from `start`, the clock shows hours which it has shown before.
    """

    start: datetime
    offset: timedelta
    missing: datetime
    twice: datetime


def zone_of(text: str) -> tzinfo:
    """The zone by its name ("Europe/Lisbon", "UTC") or offset ("+01:00").

    Raises `ValueError` for what is no zone.
    """
    match = _OFFSET.fullmatch(text)
    if match is not None:
        hours, minutes = int(match[2]), int(match[3] or 0)
        if hours > 14 or minutes > 59:
            raise ValueError(text)
        offset = timedelta(hours=hours, minutes=minutes)
        return timezone(offset if match[1] == "+" else -offset)
    if text.upper() in ("UTC", "Z"):
        return UTC
    try:
        return ZoneInfo(text)
    except Exception as error:  # the library fails in many ways on what is no name
        raise ValueError(text) from error


def stretches(zone: tzinfo, first: datetime, last: datetime) -> tuple[Stretch, ...]:
    """All stretches of a clock from `first` to `last` (naive, as the clock shows them)."""
    at = (first - 2 * _DAY).replace(tzinfo=UTC)
    end = (last + 2 * _DAY).replace(tzinfo=UTC)
    offset = _ahead(zone, at)
    start = (at + offset).replace(tzinfo=None)
    found = [Stretch(start, offset, start, start)]
    while at < end:
        after = min(at + _DAY, end)
        if _ahead(zone, after) != offset:
            change = _change(zone, at, after)
            old, offset = offset, _ahead(zone, change)
            start = (change + offset).replace(tzinfo=None)
            before = (change + old).replace(tzinfo=None)
            found.append(Stretch(start, offset, min(start, before), max(start, before)))
            at = change
        else:
            at = after
    return tuple(found)


def _ahead(zone: tzinfo, at: datetime) -> timedelta:
    ahead = at.astimezone(zone).utcoffset()
    assert ahead is not None
    return ahead


def _change(zone: tzinfo, low: datetime, high: datetime) -> datetime:
    """First minute (UTC) after `low` with another offset than there; there is one up to `high`."""
    old = _ahead(zone, low)
    while high - low > _MINUTE:
        middle = low + (high - low) // (2 * _MINUTE) * _MINUTE
        if _ahead(zone, middle) == old:
            low = middle
        else:
            high = middle
    return high
