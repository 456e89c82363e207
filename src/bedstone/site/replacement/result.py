"""What is known of lifting bearings free: plain records. SI units; N + in compression."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bedstone.bridge.schema import FamilyName, Function
from bedstone.site.tolerances import Tolerances
from bedstone.standards.record import Line
from bedstone.standards.values import Value

#: Part of its load below which a bearing carries nothing any more.
_NOTHING = 1e-6


@dataclass(frozen=True)
class JackForce:
    """One jack.

    - `mark`: seat and number from 1; `along`, `across` (m) from the centre of the bearing;
      `told`: False where the file names no place
    - `freed`, `lifted`: its force (N) when the last of the bearings comes free and at the whole
      lift, under permanent load; `most`: largest on the way
    - `traffic` (N, N): least and greatest of traffic kept on; None where it is kept off
    - `per_mm`: more force (N/m) where this seat's jacks are lifted ahead of the others
    - `rise` (m): of the superstructure above it at the whole lift
    - `moment` (N m): of its force about the centre of the bearing, `lifted` times its distance
    """

    mark: str
    seat: str
    along: float
    across: float
    told: bool
    freed: float
    lifted: float
    most: float
    traffic: tuple[float, float] | None
    per_mm: float
    rise: float
    moment: float
    checks: tuple[Line, ...] = ()


@dataclass(frozen=True)
class SeatLift:
    """One bearing of the bridge while others, or itself, are lifted free.

    - `before`, `after` (N): compression under permanent load, without lift and at the whole lift;
      `traffic` (N, N): least and greatest of traffic kept on
    - `greatest` (N): the most it is designed for in service, None where that is not known
    - `opens` (m): lift at which it comes free; None where it stays in contact
    - `opening` (m): between it and the superstructure at the whole lift
    - `turns` (rad, rad): what the whole lift turns the superstructure by about the bearing's x', y'
    - `rebound` (m): by how much it grows when it is unloaded; None where its stiffness is not known
    """

    seat: str
    support: str
    function: Function
    jacked: bool
    before: float
    after: float
    traffic: tuple[float, float] | None
    greatest: float | None
    opens: float | None
    opening: float
    turns: tuple[float, float]
    rebound: float | None

    @property
    def change(self) -> float:
        """Change of compression, N."""
        return self.after - self.before

    @property
    def most(self) -> float:
        """Greatest compression at the whole lift, with traffic where it is kept on, N."""
        return self.after + (self.traffic[1] if self.traffic else 0.0)

    @property
    def least(self) -> float:
        """Least compression at the whole lift, with traffic where it is kept on, N."""
        return self.after + (self.traffic[0] if self.traffic else 0.0)

    @property
    def overloaded(self) -> bool:
        """Carries more than it is designed for in service."""
        return self.greatest is not None and not self.jacked and self.most > 1.001 * self.greatest


@dataclass(frozen=True)
class Step:
    """One line of the load-lift table: travel of the jacks (m), what each carries (N) and events.

    `jacks`: by mark of the seat, all its jacks together; `bearings`: of all seats.
    """

    lift: float
    jacks: Mapping[str, float]
    bearings: Mapping[str, float]
    events: tuple[str, ...]


@dataclass(frozen=True)
class Need:
    """The lift that is needed (m): `free` until the last bearing is unloaded, `total` with the
    clearance over each; `total` None where it is not reached within `tried`.
    """

    free: float | None
    clearance: float
    total: float | None
    allowed: float
    tried: float

    @property
    def enough(self) -> bool:
        """What is allowed gives what is needed."""
        return self.total is not None and self.total <= self.allowed * (1.0 + 1e-9)


@dataclass(frozen=True)
class Alone:
    """One seat of the line lifted by itself to its clearance: what it does to the others.

    - `lift` (m) needed, None where it is more than was tried; `force` (N) of its jacks then
    - `unloads`: marks of other bearings that come free; `loaded`: mark and change (N) of the
      bearing that takes most more; `overloads`: bearings beyond what they are designed for
    """

    seat: str
    lift: float | None
    force: float
    unloads: tuple[str, ...]
    loaded: tuple[str, float] | None
    overloads: tuple[str, ...]

    @property
    def possible(self) -> bool:
        """Nothing else comes free or is overloaded."""
        return self.lift is not None and not self.unloads and not self.overloads


@dataclass(frozen=True)
class Held:
    """Horizontal force (N) of one place along and across that must be held while it is lifted.

    `state`: the limit state; `along`, `across`: largest in size, in the axes of the place
    (`support`: of the bridge at the support; else of the bearing); `actions`: characteristic
    share of each action by name, (along, across).
    """

    place: str
    state: str
    along: float
    across: float
    actions: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Restraint:
    """What holds the bridge in plan while the bearings are out.

    - `holds`: marks of the bearings that still hold along, and across
    - `motions`: how the bridge can move without temporary restraint, in words; empty: it cannot
    - `temporary`: what temporary restraint of the lifted seats must take
    - `more`: the remaining bearings: mark, direction, largest force (N) before and meanwhile
    - `released` (N, N): by mark, horizontal force under permanent load that the bearing gives up
    - `least` (N): by mark, least compression of a lifted seat in any limit state, the jacks at the
      centre of the bearing and not lifted: below zero wind or traffic lifts it off
    - `shift` (m/K): largest horizontal movement at a jack for 1 K
    - `window` (K): change of temperature for which a jack may stay as set; None: no movement
    """

    holds: tuple[tuple[str, ...], tuple[str, ...]]
    motions: tuple[str, ...]
    temporary: tuple[Held, ...]
    more: tuple[tuple[str, str, float, float], ...]
    released: Mapping[str, tuple[float, float]]
    least: Mapping[str, float]
    shift: float
    window: float | None


@dataclass(frozen=True)
class Checks:
    """What the result says of itself, relative: each should be near rounding.

    `equilibrium`: forces of jacks and bearings against the weight; `compatibility`: lift of the
    superstructure at the jacks; `reciprocity`: Betti, jacks against bearings; `solution`: of the
    two linear systems.
    """

    equilibrium: float
    compatibility: float
    reciprocity: float
    solution: float


@dataclass(frozen=True)
class Lift:
    """Lifting bearings free to be replaced.

    - `seats`: those lifted together, `supports`: where; `partial`: seats of these supports that
      stay down; `joints`: those of the supports that have a joint above them
    - `traffic`: kept on; `jacks`, `bearings` (all seats), `steps`, `need`, `alone`, `restraint`
    - `stiffness`: (N/m) by lifted seat: what lifting it alone by a unit, all others on their jacks,
      does to every jacked seat and every other bearing, by mark
    - `memory`: values of the family known from memory alone on which the numbers lean
    - `line_stiffness` (N/m): of all jacks together for a common lift, once the bearings are free
    """

    bridge: str
    reference: str
    standard: FamilyName
    standard_title: str
    arrangement: str
    seats: tuple[str, ...]
    supports: tuple[str, ...]
    partial: tuple[str, ...]
    joints: tuple[str, ...]
    traffic: bool
    traffic_of: str
    need: Need
    lift: float
    jacks: tuple[JackForce, ...]
    bearings: tuple[SeatLift, ...]
    steps: tuple[Step, ...]
    alone: tuple[Alone, ...]
    stiffness: Mapping[str, Mapping[str, float]]
    line_stiffness: float
    restraint: Restraint
    tolerances: Tolerances
    checks: Checks
    notes: tuple[str, ...] = ()
    memory: tuple[Value, ...] = ()

    @property
    def unloads(self) -> tuple[str, ...]:
        """Bearings beside the lifted ones that come free on the way or under traffic."""
        return tuple(
            item.seat
            for item in self.bearings
            if not item.jacked and (item.opens is not None or item.least < _NOTHING * item.before)
        )

    @property
    def overloads(self) -> tuple[str, ...]:
        """Bearings that carry more than they are designed for in service."""
        return tuple(item.seat for item in self.bearings if item.overloaded)

    @property
    def together(self) -> bool | None:
        """Whether all seats must be lifted at once; None where there is one."""
        return None if len(self.alone) < 2 else not all(item.possible for item in self.alone)

    @property
    def failing(self) -> tuple[Line, ...]:
        """Checks of the jacks that do not hold."""
        return tuple(
            line
            for jack in self.jacks
            for line in jack.checks
            if line.utilisation is not None and line.utilisation > 1.0 + 1e-9
        )

    @property
    def holds(self) -> bool:
        """The lift is enough and allowed, jacks suffice and no other bearing suffers."""
        own = self.need
        enough = own.total is not None and own.total - 1e-6 <= self.lift <= own.allowed + 1e-9
        suffers = self.failing or self.unloads or self.overloads
        return own.enough and enough and not suffers
