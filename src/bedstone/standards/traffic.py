"""Words in which every family describes its traffic; the actions room places it for the worst.

All numbers are SI (N, m). Longitudinal positions in a train are measured back from its first axle.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import copysign
from typing import Literal

from bedstone.standards.record import Line


@dataclass(frozen=True)
class Axle:
    """One axle, or one strip of load when `length` > 0 (then `force` is spread evenly over it).

    `position` (m) is the distance behind the first axle of the train (of the strip's middle).
    """

    position: float
    force: float
    length: float = 0.0


@dataclass(frozen=True)
class Train:
    """A vehicle or a group of axles that moves along the bridge, in either direction.

    - `track`: distance between the wheel lines of an axle (m); 0 puts each axle on one line.
    - `spread`: a variable gap (index, values): the distance between axle ``index`` and the next is
      taken as each of the values (m) in turn, e.g. 4.3 to 9.0 m; axles behind move with it.
    - `follow`: distance (m) from the last axle to the first axle of the next equal train; None: a
      single train on the bridge.
    - `clear`: length (m) before the first and behind the last axle on which the uniform load of
      the lane does not stand while this train is present; None: the uniform load also stands
      under the train.
    - `omit_relieving`: axles whose effect is relieving are left out (True for rules that say so).
    """

    name: str
    axles: tuple[Axle, ...]
    track: float = 0.0
    spread: tuple[int, tuple[float, ...]] | None = None
    follow: float | None = None
    clear: float | None = None
    omit_relieving: bool = False


@dataclass(frozen=True)
class LaneLoad:
    """All vertical load that stands in one loaded lane (or on one railway track) at a time.

    - `trains`: alternatives; the worst one (or none, if all relieve) is placed. May be empty.
    - `train_factor`, `uniform_factor`: dynamic and classification factors already decided.
    - `uniform`: load per square metre over `uniform_width` (m), on the adverse lengths only.
    - `width`: width of carriageway the lane occupies (m); lanes do not overlap.
    - `edge`: least distance (m) from the edge of the carriageway to the occupied width.
    - `offsets`: for a fixed place (a railway track): the offsets y (m) of its centre line to be
      tried (several for eccentricity); None: anywhere on the carriageway.
    """

    name: str
    trains: tuple[Train, ...]
    width: float
    uniform: float = 0.0
    uniform_width: float = 0.0
    train_factor: float = 1.0
    uniform_factor: float = 1.0
    edge: float = 0.0
    offsets: tuple[float, ...] | None = None


@dataclass(frozen=True)
class Placement:
    """Lanes loaded at the same time, side by side in any order; the worst order and place count.

    A lane that relieves is left out only when `may_omit`. `factor` multiplies the whole
    placement (multiple presence). `rest` is a load per square metre (N/m2) on the adverse parts
    of the remaining carriageway, outside the lanes placed.
    """

    name: str
    lanes: tuple[LaneLoad, ...]
    factor: float = 1.0
    rest: float = 0.0
    may_omit: bool = True


@dataclass(frozen=True)
class TrafficModel:
    """A load model: alternatives of placements, of which the worst counts for each effect.

    `applies`: ``all`` effects, or only the vertical force at interior supports of continuous
    superstructures (``interior reaction``; e.g. a two-truck rule).
    """

    name: str
    clause: str
    placements: tuple[Placement, ...]
    applies: Literal["all", "interior reaction"] = "all"


@dataclass(frozen=True)
class HorizontalForce:
    """A horizontal traffic force of the whole bridge or one continuous unit.

    - `kind`: braking (along), centrifugal (outward of the curve) or nosing/skidding (across).
    - `along`, `across`: total force (N) along the tangent and across it (+ to the left).
    - `height`: level (m) above the road surface or the top of rail where it acts.
    - `spread`: True: spread evenly along the loaded length; False: one point force at the worst
      place along the bridge.
    - `length`: loaded length (m) on which the force was worked out.
    - `one_sense`: acts only as signed here (centrifugal); otherwise both senses are tried.
    - `offsets`: lines (y, m) along which it may act, each tried; empty: the middle of the deck.
    """

    kind: Literal["braking", "centrifugal", "transverse"]
    name: str
    clause: str
    along: float
    across: float
    height: float
    length: float
    spread: bool = True
    one_sense: bool = False
    offsets: tuple[float, ...] = ()


def braking_force(
    line: Line,
    height: float,
    length: float,
    offsets: tuple[float, ...],
    spread: bool = True,
) -> HorizontalForce:
    """The braking force of a calculation line (N), either way along the bridge."""
    return HorizontalForce(
        kind="braking",
        name=line.title,
        clause=f"{line.standard}, {line.clause}",
        along=line.value,
        across=0.0,
        height=height,
        length=length,
        spread=spread,
        offsets=offsets,
    )


def outermost(carriageway: tuple[float, float], width: float) -> tuple[float, ...]:
    """Middles (y, m) of a width of loaded lanes against the right and the left edge."""
    right, left = carriageway
    middles = (right + width / 2.0, left - width / 2.0)
    if middles[1] - middles[0] < 1e-6:
        return ((right + left) / 2.0,)
    return middles


def centrifugal_force(
    line: Line, radius: float, height: float, length: float, spread: bool = True
) -> HorizontalForce:
    """The centrifugal force of a calculation line (N), away from the centre of the curve.

    `radius` (m) signed with + for a curve to the left: then the force acts to the right.
    """
    return HorizontalForce(
        kind="centrifugal",
        name=line.title,
        clause=f"{line.standard}, {line.clause}",
        along=0.0,
        across=-copysign(line.value, radius),
        height=height,
        length=length,
        spread=spread,
        one_sense=True,
    )


@dataclass(frozen=True)
class TrafficGroup:
    """Vertical and horizontal traffic that acts together as one action of the combinations.

    Each member of `models` is an alternative (the worst counts; a model whose `applies` is
    narrower competes only where it applies). Each horizontal force acts with its factor, in the
    sense that is adverse, or not at all.
    """

    name: str
    clause: str
    models: tuple[TrafficModel, ...]
    vertical_factor: float = 1.0
    horizontals: tuple[tuple[HorizontalForce, float], ...] = ()
