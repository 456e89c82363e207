"""What an inspection finds, as records. SI units, degC; signs as in the schedule and the readings.

Nothing here is worked out: the rooms beside it do that, one question each.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bedstone.bridge.schema import FamilyName
from bedstone.site.mechanism import End
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting
from bedstone.site.tolerances import Tolerances
from bedstone.standards.record import Line
from bedstone.standards.values import Value

State = Literal["within", "out", "not judged"]
#: Defects of the public scale of four states.
Defect = Literal["corrosion", "connection", "movement", "alignment", "bulging", "area", "damage"]


@dataclass(frozen=True)
class Verdict:
    """One thing read, held against what it should be.

    - `what`: name of a quantity, or of what several readings give together ("roller skew")
    - `unit`: "m", "rad", "K" or "" (a share, a ratio, a word); `found`, `expected` in it
    - `low`, `high`: between which `found` is within
    - `rule`: how it was judged, in words; `values`: the numbers it leans on
    - `why`: why it could not be judged, "" where it was; `out`: of a word that asks for something
    """

    seat: str
    what: str
    unit: str
    readings: tuple[Reading, ...]
    rule: str
    found: float | None = None
    expected: float | None = None
    low: float = -math.inf
    high: float = math.inf
    word: str = ""
    out: bool = False
    values: tuple[Value, ...] = ()
    why: str = ""

    @property
    def difference(self) -> float | None:
        """Found less expected."""
        if self.found is None or self.expected is None:
            return None
        return self.found - self.expected

    @property
    def out_by(self) -> float:
        """How far `found` lies beyond what is allowed; 0 within, inf for a word."""
        if self.found is None:
            return math.inf if self.out else 0.0
        return max(self.low - self.found, self.found - self.high, 0.0)

    @property
    def state(self) -> State:
        """Within, out, or not judged."""
        if self.why:
            return "not judged"
        return "out" if self.out_by > 0.0 else "within"


@dataclass(frozen=True)
class Left:
    """What is left of the travel to one end, with the offset as it was found.

    - `shift`: offset found less offset expected (m): it is kept at all temperatures
    - `behind`, `ahead`: movement left (m) at the design extremes, inf where nothing ends it
    - `at_behind`, `at_ahead`: temperature (degC) that alone brings the bearing to that end, None
      where none does
    - `coldest`, `warmest`: range of the bridge
    """

    end: End
    shift: float
    behind: float
    ahead: float
    at_behind: float | None
    at_ahead: float | None
    coldest: float
    warmest: float

    @property
    def least(self) -> float:
        """The smaller of both ways, m."""
        return min(self.behind, self.ahead)

    @property
    def inside(self) -> bool:
        """Whether temperature alone brings it to an end inside the range of the bridge."""
        return any(
            at is not None and self.coldest <= at <= self.warmest
            for at in (self.at_behind, self.at_ahead)
        )


@dataclass(frozen=True)
class Size:
    """A size as drawn and as measured, by its name in the bridge file; m (contact: a share)."""

    name: str
    drawn: float
    found: float


@dataclass(frozen=True)
class Capacity:
    """The checks of a bearing as drawn and with its sizes as measured.

    `changed`: checks whose utilisation rose, (before, after), largest after first; `untold`: sizes
    that could not be put in, with the reason; `refusal`: why it cannot be checked as measured.
    """

    sizes: tuple[Size, ...]
    before: Line | None
    after: Line | None
    changed: tuple[tuple[Line, Line], ...]
    untold: tuple[str, ...] = ()
    refusal: str = ""

    @property
    def holds(self) -> bool:
        """Whether all checks hold with the sizes as measured."""
        return not self.refusal and (self.after is None or (self.after.utilisation or 0.0) <= 1.0)

    @property
    def worse(self) -> bool:
        """Whether they do not hold although those of the bearing as drawn do."""
        drawn = self.before is None or (self.before.utilisation or 0.0) <= 1.0 + 1e-9
        found = self.after is None or (self.after.utilisation or 0.0) <= 1.0 + 1e-9
        return bool(self.refusal) or (drawn and not found)


@dataclass(frozen=True)
class SupportChange:
    """Largest size of a force of a support (Fx, Fy, V; N) before and after."""

    support: str
    effect: str
    before: float
    after: float


@dataclass(frozen=True)
class Effect:
    """What a finding does to the abutments and piers.

    `finding`: in words; `fault`: what was put into the bridge file for it, "" where nothing can be,
    and then `why` says so. `lifts`: seats that would then pull. What seizes or meets its stop is
    held fast, which is a bound: `friction_needed` is the H over N (permanent) that it would take.
    """

    finding: str
    fault: str
    supports: tuple[SupportChange, ...] = ()
    lifts: tuple[str, ...] = ()
    why: str = ""
    unstable: str = ""
    friction_needed: float | None = None


@dataclass(frozen=True)
class Sign:
    """A number that speaks for a cause. `found` against `limit`, both in `unit`; `text`: which."""

    text: str
    found: float
    limit: float
    unit: str


@dataclass(frozen=True)
class Mode:
    """A way in which bearings fail; from ``site/data/failure_modes.toml``.

    - `rule`: name of the function that finds its signs; `asks`: what it needs, in words
    - `direct`: 1 the numbers measure this itself, 2 they fit it and others too, 3 it is a hint
    - `action`: what to do next
    """

    number: int
    name: str
    told: str
    asks: str
    rule: str
    direct: int
    action: str
    source: str
    basis: str


@dataclass(frozen=True)
class Cause:
    """A mode with the signs that speak for it, never without; `strength`: largest found / limit."""

    mode: Mode
    signs: tuple[Sign, ...]
    strength: float


@dataclass(frozen=True)
class Rated:
    """State 1 to 4 of one defect, with the number or word it rests on."""

    defect: Defect
    code: int
    state: int
    reason: str


@dataclass(frozen=True)
class Rating:
    """A proposal for the engineer: element, states of the defects, and the worst of them.

    `blocked`: why no state is proposed; `review`: why the engineer of the bridge must look at once;
    `severity` 1 to 5 and `extent` A to E, 0 and "" where blocked.
    """

    element: int
    defects: tuple[Rated, ...]
    state: int
    severity: int
    extent: str
    blocked: str = ""
    review: str = ""


@dataclass(frozen=True)
class SeatInspection:
    """All that one visit to one seat comes to. `time`: of its last reading."""

    setting: Setting
    time: datetime
    temperature: float | None
    verdicts: tuple[Verdict, ...]
    left: tuple[Left, ...]
    capacity: Capacity | None
    effects: tuple[Effect, ...]
    causes: tuple[Cause, ...]
    rating: Rating

    @property
    def seat(self) -> str:
        """Mark."""
        return self.setting.seat

    @property
    def out(self) -> tuple[Verdict, ...]:
        """Verdicts that are out."""
        return tuple(item for item in self.verdicts if item.state == "out")


@dataclass(frozen=True)
class Inspection:
    """All that a visit to a bridge comes to.

    `seats` in the order of the bridge, those alone on which something was read; `joints`: readings
    at supports; `unread`: seats with a bearing and no reading; `tolerances`: as used; `designed`:
    seats whose sizes no file gives, so that they were judged by a bearing designed here.
    """

    name: FamilyName
    arrangement: str
    stage: str
    seats: tuple[SeatInspection, ...]
    joints: tuple[Verdict, ...]
    unread: tuple[str, ...]
    tolerances: Tolerances
    designed: tuple[str, ...] = ()

    @property
    def out(self) -> tuple[Verdict, ...]:
        """Everything that is out of tolerance."""
        return tuple(v for seat in self.seats for v in seat.out) + tuple(
            v for v in self.joints if v.state == "out"
        )

    @property
    def holds(self) -> bool:
        """Nothing out of tolerance, no end reached, no check broken by a measured size."""
        return not self.out and not any(
            any(item.least < 0.0 for item in seat.left)
            or (seat.capacity is not None and seat.capacity.worse)
            for seat in self.seats
        )
