"""The schedule of bearings as data: what every table, file and picture is made from. SI units.

Order of seat effects: `bedstone.actions.effects.SEAT_EFFECTS`; of support effects:
`SUPPORT_EFFECTS`. Signs as there.
"""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.bridge.schema import Function
from bedstone.standards.record import Line
from bedstone.standards.values import Value


@dataclass(frozen=True)
class Share:
    """What one action brings to a governing effect: `factor`, `value` with it, and `where`."""

    action: str
    factor: float
    value: float
    where: str


@dataclass(frozen=True)
class Governing:
    """One extreme of one effect and what acts with it.

    - `place`: seat or support mark; `effect`: its name; `sense`: "max" or "min"
    - `value`: the extreme, SI
    - `acting`: all effects of the same place at the same moment (12 for a seat, 6 for a support)
    - `irreversible`: the part of `acting` from permanent actions (for movements: after setting)
    - `combination`, `clause`, `limit_state`; `bound`: stiffness below used (given, lower, upper)
    - `shares`: actions in it, largest contribution first
    - `contact`: in words, when bearings that only push opened in this case; else ""
    """

    place: str
    effect: str
    sense: str
    value: float
    acting: tuple[float, ...]
    irreversible: tuple[float, ...]
    combination: str
    clause: str
    limit_state: str
    bound: str
    shares: tuple[Share, ...]
    contact: str = ""


@dataclass(frozen=True)
class SeatInfo:
    """A seat and its bearing as arranged: `angle` of x' from global x, rad; contact `point`, m."""

    mark: str
    support: str
    function: Function
    angle: float
    point: tuple[float, float, float]
    held: tuple[bool, ...]  # x', y', z', rx', ry', rz'
    sprung: tuple[bool, ...]
    kind: str
    friction: tuple[float, float] | None  # adverse, relieving coefficient used


@dataclass(frozen=True)
class SupportInfo:
    """A support: chainage (m), skew and angle of its tangent (rad), `depth` of its base (m)."""

    mark: str
    chainage: float
    skew: float
    angle: float
    depth: float
    below: str


@dataclass(frozen=True)
class Restraint:
    """Temperature (1 K) locked in: force per kelvin (N/K) in a direction at a support, in words."""

    place: str
    direction: str
    per_kelvin: float
    force: float  # for the whole temperature range of the family, N


@dataclass(frozen=True)
class Uplift:
    """A seat that would lift: force needed to hold it down (N), and the gap without it (m)."""

    seat: str
    limit_state: str
    combination: str
    hold_down: float
    gap: float
    held: bool


@dataclass(frozen=True)
class Checks:
    """What the analysis says of itself; all relative residuals, worst over all solves."""

    equilibrium: float
    compatibility: float
    symmetry: float
    rigid_body: float
    solution: float
    influence_error: float
    weight_applied: float  # N, permanent weight put in
    weight_found: float  # N, sum of permanent compressions


@dataclass(frozen=True)
class Schedule:
    """The schedule of bearings of one bridge under one family of standards.

    `seat_lines` and `support_lines` hold every governing extreme of every limit state in a stable
    order (limit state, place, effect, max before min). `permanent`: effects of the permanent
    actions alone, characteristic, per seat (12) and support (6).
    """

    bridge: str
    reference: str
    standard: str
    standard_title: str
    edition: str
    arrangement: str
    limit_states: tuple[str, ...]
    seats: tuple[SeatInfo, ...]
    supports: tuple[SupportInfo, ...]
    seat_lines: tuple[Governing, ...]
    support_lines: tuple[Governing, ...]
    permanent_seats: dict[str, tuple[float, ...]]
    permanent_supports: dict[str, tuple[float, ...]]
    set_at: str
    redundancy: int  # held directions in plan beyond those needed
    locked: tuple[Restraint, ...]
    uplift: tuple[Uplift, ...]
    periods: tuple[float, float] | None  # s, along and across
    calculations: tuple[Line, ...]
    memory: tuple[Value, ...]  # values used that are known from memory only
    notes: tuple[str, ...]
    checks: Checks
    outline: tuple[tuple[tuple[float, float], ...], ...] = ()  # deck edges and lines in plan, m
