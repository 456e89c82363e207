"""What every kind of bearing has in common: demand, parts, outcome. SI units throughout.

Axes are the bearing's own: x' the way a guided-along bearing moves, y' to its left, z
up. Signs as in the schedule: N + in compression, H of the superstructure on the bearing, movement v
and rotation r of the superstructure against what is below.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from bedstone.bridge.schema import BearingKind, FamilyName, Function
from bedstone.standards.record import Line
from bedstone.standards.values import Values

#: Part by which a utilisation may pass 1: sizes are chosen to reach limits exactly.
ROUNDING = 1e-9


@dataclass(frozen=True)
class DemandCase:
    """Effects that act at the same time at one seat; N, N m, m and rad.

    `limit_state` as in `bedstone.standards.combination`; `name`: the combination and the extreme it
    comes from; `lasting_*`: the part of movements and rotations that stays (irreversible).
    """

    limit_state: str
    name: str
    N: float
    Hx: float = 0.0
    Hy: float = 0.0
    Mx: float = 0.0
    My: float = 0.0
    Mz: float = 0.0
    vx: float = 0.0
    vy: float = 0.0
    rx: float = 0.0
    ry: float = 0.0
    rz: float = 0.0
    lasting_vx: float = 0.0
    lasting_vy: float = 0.0
    lasting_rx: float = 0.0
    lasting_ry: float = 0.0


@dataclass(frozen=True)
class Demand:
    """All that a bearing must carry: the governing cases of one seat, with what is above and below.

    `held`: x' and y' held; `permanent`: compression under permanent actions alone (N); `uplift`:
    largest force that pulls (N, >= 0, any limit state); `use`: road or rail (no friction may
    be counted against sliding on a railway).
    """

    seat: str
    function: Function
    held: tuple[bool, bool]
    cases: tuple[DemandCase, ...]
    permanent: float
    uplift: float = 0.0
    use: str = "road"

    def of(self, *limit_states: str) -> tuple[DemandCase, ...]:
        """Cases of limit states whose name begins with one of the words, in order."""
        return tuple(case for case in self.cases if case.limit_state.startswith(limit_states))

    @property
    def strength(self) -> tuple[DemandCase, ...]:
        """Cases of the ultimate (strength) limit states, seismic and accidental included."""
        return self.of("ULS persistent", "ULS accidental", "ULS seismic")

    @property
    def service(self) -> tuple[DemandCase, ...]:
        """Cases of the characteristic serviceability combination (AASHTO Service I, IRC rare)."""
        return self.of("SLS characteristic")

    def largest(self, name: str, *limit_states: str) -> float:
        """Largest absolute value of one effect over the cases (of limit states, if named)."""
        cases = self.of(*limit_states) if limit_states else self.cases
        return max((abs(getattr(case, name)) for case in cases), default=0.0)


@dataclass(frozen=True)
class Basis:
    """What a design rests on besides the demand.

    `values`: numbers of the family; `options`: the engineer's choices by dotted name (materials,
    editions, limits of size), documented in each kind's `options`. `concrete_below`,
    `concrete_above`: characteristic cylinder strength (Pa), None where steel; `plinth` (m, m):
    length along x' and width along y' of the concrete below that may spread the load.
    """

    family: FamilyName
    values: Values
    options: Mapping[str, float | str | bool] = field(default_factory=dict)
    concrete_below: float | None = 30e6
    concrete_above: float | None = None
    plinth: tuple[float, float] | None = None


@dataclass(frozen=True)
class Part:
    """One part of a bearing as a shop makes it.

    `size`: dimensions in words ("roller 150 dia. x 600"); `dimensions` (m) by name for drawings;
    `mass` (kg) of one; `number` of them; `function`: what it does.
    """

    name: str
    material: str
    size: str
    dimensions: Mapping[str, float]
    mass: float
    number: int = 1
    function: str = ""


@dataclass(frozen=True)
class Behaviour:
    """What a bearing does to the bridge: goes back into the model.

    Stiffness None where free or rigid as the function says; N/m and N m/rad. `friction`: adverse
    and relieving coefficient in the directions in which it moves. `play`: clearance each side (m)
    in held directions. `eccentricity`: how far the line of force below moves for a unit movement
    (0.5 single roller, 0 slide plate above, 1 slide plate below).
    """

    stiffness_x: float | None = None
    stiffness_y: float | None = None
    stiffness_z: float | None = None
    rotation_x: float | None = None
    rotation_y: float | None = None
    friction: tuple[float, float] = (0.0, 0.0)
    play: float = 0.0
    eccentricity: float = 0.0


@dataclass(frozen=True)
class Design:
    """A bearing that was designed or given, with everything known of it.

    `bearing`: the kind's own record of sizes; `lines`: all checks, worst utilisation first, then in
    the order of the rules; `height` (m) overall; `reach` (m, m): largest plan size along x', y';
    `horizontal` (N): largest force it sends below along x' by friction or stiffness;
    `left` (m): movement left to the nearest stop or edge in the governing case.
    """

    kind: BearingKind
    bearing: object
    parts: tuple[Part, ...]
    lines: tuple[Line, ...]
    behaviour: Behaviour
    height: float
    reach: tuple[float, float]
    horizontal: float
    left: float
    notes: tuple[str, ...] = ()

    @property
    def mass(self) -> float:
        """Mass of all parts, kg."""
        return sum(part.mass * part.number for part in self.parts)

    @property
    def utilisation(self) -> float:
        """Largest utilisation of all checks; above 1 a check does not hold."""
        return max((line.utilisation or 0.0 for line in self.lines), default=0.0)

    @property
    def passes(self) -> bool:
        """True when every check holds, but for rounding."""
        return self.utilisation <= 1.0 + ROUNDING


@dataclass(frozen=True)
class Refusal:
    """Why a kind cannot serve a seat: the reason, the clause it rests on and the remedy."""

    kind: BearingKind
    reason: str
    clause: str = ""
    remedy: str = ""


class Kind(Protocol):
    """One kind of bearing. Modules offer an instance `KIND`."""

    name: BearingKind
    #: What each option of this kind means, allowed values and default.
    options: Mapping[str, str]

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """A reason why this kind cannot serve at all (function, uplift, rotation), or None."""
        ...

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest bearing in practical sizes that passes, or the reason why there is none."""
        ...

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a bearing of given sizes (assessment); raises `InputError` for impossible ones."""
        ...

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a bearing of this kind as it was made (`Design.bearing`) for another demand."""
        ...

    def fields(self) -> Mapping[str, str]:
        """Names of the sizes that `given` takes, each with unit and meaning."""
        ...


def worst_first(lines: list[Line]) -> tuple[Line, ...]:
    """Lines by falling utilisation; equal ones (and lines without a limit) keep their order."""
    order = sorted(
        enumerate(lines),
        key=lambda item: (
            -(item[1].utilisation if item[1].utilisation is not None else -1.0),
            item[0],
        ),
    )
    return tuple(line for _, line in order)
