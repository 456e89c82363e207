"""How a log is written, what it is held against, and what the engineer is told of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from bedstone.site.tolerances import Tolerances

#: Cells that stand for a reading that is missing.
MISSING = ("", "nan", "na", "n/a", "null", "none", "-")

#: What looks wrong and may be right: refused until a person says that it was looked at.
SUSPICIONS = ("temperature", "swapped", "units")

What = Literal[
    "missing", "repeats", "order", "gaps", "stuck", "spikes", "hour twice", "columns", "accepted"
]


@dataclass(frozen=True)
class LogForm:
    """How a log is written, and what it is held against.

    - `seats`: marks of the bridge
    - `seat`: the seat of a log that has no column of seats
    - `names`: name of a column as the file has it -> time, seat, movement, temperature or a seat
    - `units`: by name of a column, where its head has none ("mm", "degC", "degF")
    - `zone`: of stamps without one: a name ("Europe/Lisbon"), an offset ("+01:00") or "UTC"
    - `stamp`: form of the stamps in strptime's letters, where it is not ISO 8601
    - `decimal`: "." or ","
    - `missing`: cells that stand for no reading, in small letters
    - `steel`: coldest and warmest steel of the bridge (degC), None where not known
    - `since`, `now`: aware; earliest stamp that can be, and the time of reading
    - `accept`: suspicions that a person has looked at, of SUSPICIONS
    - `tolerances`: numbers of the checks in place of the usual ones (``site/data/logs.toml``)
    """

    seats: tuple[str, ...]
    seat: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    zone: str = ""
    stamp: str = ""
    decimal: str = "."
    missing: tuple[str, ...] = MISSING
    steel: tuple[float, float] | None = None
    since: datetime | None = None
    now: datetime | None = None
    accept: frozenset[str] = frozenset()
    tolerances: Tolerances | None = None


@dataclass(frozen=True)
class Told:
    """What the engineer should know of a log that came in.

    `seat`: "" where it is the whole file; `count` of rows or places; `row`: the first or worst, 0
    where it is no row; `first`, `last` (UTC): from when to when, None where it is no time.
    """

    what: What
    text: str
    seat: str = ""
    count: int = 0
    row: int = 0
    first: datetime | None = None
    last: datetime | None = None
