"""Follow a superstructure on rubbing bearings through a history of loads.

Between two warm days a bearing on a slide does not go back to where it stood: it sticks until the
force reaches friction, and what it carries then depends on all that went before. Here a
superstructure whose vertical bearings are already eliminated stands in K plan directions, as a
rule x' and y' of each of n seats. With lam the forces of the superstructure on the bearings and a
the rigid motions left,

    u = v - D lam + R a,      R' lam = r,      v = V w, r = Q w, N = N0 w + B lam,

where w are the factors of L unit loads and u = superstructure minus substructure (signs as in
`bedstone.mechanics.support`). The bearing moves by u = s + c lam: s is where its slide stands, c
the compliance of the bearing itself (elastomer). The law of a slide that stood at s_old:

- friction mu N (N no less than zero) opposes the movement of the slide, Coulomb. Where both
  directions of a seat rub, the force stays in a circle (the same friction whatever the direction),
  otherwise within -mu N .. mu N;
- stops: s stays between two limits. A held direction has them at -play and +play, and does not rub
  unless `rubs` says so; a moving one may have them anywhere.

lam is the sum of friction and stop force: an element of the subdifferential of
mu N |s - s_old| + (0 within the stops, infinite beyond). This is maximal monotone, so with N given
each step is a convex problem. Its forces are unique unless rigid bearings on rigid ground share a
force that statics leaves open; its positions unless the whole bridge slides at once, or hangs in
its play, and nothing decides how far. What is left open changes little from step to
step. With B, N comes from the same round of the iteration: Coulomb friction with coupled N is no
longer the minimum of anything, and a step is refused where it does not settle.

A step is a straight line between two rows of factors. The law applies at its end, which is exact
as long as nothing slid, and where what slid did so in one sense, in one direction, under a normal
force that stays. Otherwise the result depends on how finely one goes (some per cent of the largest
force on a bridge of twenty bearings taken from day to night in one), so every step in which
something slides is divided into 2, 4, .. 64 equal parts until the forces at its end differ by less
than `accuracy` from those with half the parts, and what is left is reported (`coarseness`). What
slides a little and sticks again between two parts stays unseen: for a few turning points that
matter, give the points between them too.

Friction of guides on their bars (mu times the guide force), change of friction with speed or
temperature and inertia are left out.

Source: elementary Coulomb friction and unilateral contact in implicit steps; the methods (semi-
smooth Newton, splitting of Douglas and Rachford) stand in `bedstone.mechanics.sliding_kernel`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.linalg
import scipy.optimize
from threadpoolctl import threadpool_limits

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.mechanics.sliding_kernel import SOFTER, walk

#: Default of the difference, relative to the largest force, at which dividing a step stops.
ACCURACY = 1e-2
#: Compliance (m/N) that stands in where nothing at all is elastic: a millimetre under a
#: meganewton. It sets the pace of the iteration, not its result.
STAND_IN = 1e-9
#: Sides of the polygon around a circle of friction, in finding out what is beyond its strength.
SIDES = 256
#: Relative size that counts as nothing in those searches and in checking the arrays.
SMALL = 1e-7


@dataclass(frozen=True)
class Sliders:
    """Bearings with friction, play and stops under a superstructure, in K plan directions.

    - `flexibility` (K, K): D, m/N, symmetric positive semidefinite, of superstructure and ground
    - `motions` (K, z): R, movement of the directions under the rigid motions left
    - `seat` (K,): the seat 0..n-1 of each direction; at most two, square to each other, at a seat
    - `friction` (n,): mu of each seat
    - `free` (K,): True where the bearing moves, False where it holds
    - `play` (K,): of held directions, to each side, m (0: held exactly); default 0
    - `stops` (K, 2): of moving directions, back (<= 0) and ahead (>= 0), m; default none
    - `compliance` (K,): c, m/N, of the bearing itself, in series with slide and stop; default 0. A
      pad that cannot slip is a held direction with compliance, one that slips a moving one
    - `rubs` (K,): where friction acts; default `free`
    - `coupling` (n, K): B, change of N (N, + in compression) under unit forces lam; default none
    - `names` (n,): of the seats, for messages
    - `axes` (K, 2): the directions as unit vectors (along, across the bridge), for messages;
      default along for the first of a seat and across for the second

    Raises `BedstoneError` for arrays that do not fit each other or the laws of statics,
    `UnstableError` for a motion that nothing would ever oppose.
    """

    flexibility: Floats
    motions: Floats
    seat: Ints
    friction: Floats
    free: Bools
    play: Floats | None = None
    stops: Floats | None = None
    compliance: Floats | None = None
    rubs: Bools | None = None
    coupling: Floats | None = None
    names: tuple[str, ...] = ()
    axes: Floats | None = None

    def __post_init__(self) -> None:
        count, seats = len(self.seat), len(self.friction)
        shapes: dict[str, tuple[int | None, ...]] = {
            "flexibility": (count, count), "motions": (count, None), "seat": (count,),
            "friction": (seats,), "free": (count,), "play": (count,), "stops": (count, 2),
            "compliance": (count,), "rubs": (count,), "coupling": (seats, count),
            "axes": (count, 2),
        }  # fmt: skip
        for name, shape in shapes.items():
            _check_shape(name, getattr(self, name), shape, infinite=name in ("stops", "play"))
        if count == 0:
            raise BedstoneError("sliders: there is no direction to follow")
        seat = np.asarray(self.seat)
        if seat.min() < 0 or seat.max() >= seats:
            raise BedstoneError(f"sliders: seat is outside 0..{seats - 1}")
        if np.bincount(seat).max() > 2:
            raise BedstoneError("sliders: more than two plan directions at a seat")
        if self.names and len(self.names) != seats:
            raise BedstoneError(f"sliders: {len(self.names)} names for {seats} seats")
        low, high = self.limits
        if np.any(low > 0.0) or np.any(high < 0.0):
            raise BedstoneError("sliders: a stop has passed the place where the slide is set")
        for name in ("friction", "compliance"):
            values = getattr(self, name)
            if values is not None and np.any(np.asarray(values) < 0.0):
                raise BedstoneError(f"sliders: {name} below zero")
        D = np.asarray(self.flexibility)
        size = float(np.abs(D).max(initial=0.0))
        if size > 0.0:
            if float(np.abs(D - D.T).max()) > SMALL * size:
                raise BedstoneError("sliders: the flexibility is not symmetric")
            if float(np.linalg.eigvalsh((D + D.T) / 2.0)[0]) < -SMALL * size:
                raise BedstoneError("sliders: the flexibility has a negative stiffness in it")
        self._refuse_loose()

    @property
    def limits(self) -> tuple[Floats, Floats]:
        """(K,) least and (K,) largest place of each slide, m."""
        count = len(self.seat)
        free = np.asarray(self.free, dtype=bool)
        play = np.zeros(count) if self.play is None else np.asarray(self.play, dtype=float)
        stops = np.tile([-np.inf, np.inf], (count, 1)) if self.stops is None else self.stops
        return np.where(free, stops[:, 0], -play), np.where(free, stops[:, 1], play)

    @property
    def rubbing(self) -> Bools:
        """(K,) directions in which friction acts."""
        rubs = np.asarray(self.free if self.rubs is None else self.rubs, dtype=bool)
        return rubs & (np.asarray(self.friction, dtype=float)[self.seat] > 0.0)

    @property
    def undecided(self) -> bool:
        """Whether statics and elasticity can leave the sharing of forces open (all sticking)."""
        D = np.asarray(self.flexibility, dtype=float)
        if self.compliance is not None:
            D = D + np.diag(self.compliance)
        inner = scipy.linalg.null_space(np.asarray(self.motions, dtype=float).T)
        if inner.shape[1] == 0:
            return False
        values = np.linalg.eigvalsh(inner.T @ D @ inner)
        return bool(values[0] <= 1e-12 * max(float(values[-1]), STAND_IN * 1e-3))

    def name(self, seat: int) -> str:
        """The seat in a message."""
        return self.names[seat] if self.names else f"seat {seat + 1}"

    def motion_in_words(self, motion: Floats) -> str:
        """What a rigid motion (z,) does to the bearings that it moves most."""
        move = np.asarray(self.motions) @ motion
        axes = self.axes
        if axes is None:
            first = np.concatenate([[True], self.seat[1:] != self.seat[:-1]])
            axes = np.stack([first.astype(float), 1.0 - first], axis=1)
        shift = np.zeros((len(self.friction), 2))
        np.add.at(shift, self.seat, move[:, None] * axes)
        size = np.linalg.norm(shift, axis=1)
        moving = shift[size > 1e-6 * size.max()]
        whole = moving.sum(axis=0)
        # seats with one direction show one component only: ask the directions, not their lengths
        along, across = np.abs(moving[:, 0]), np.abs(moving[:, 1])
        top = float(size.max())
        if across.max() < 1e-3 * top and np.ptp(np.sign(moving[along > 1e-3 * top, 0])) == 0.0:
            way = "slides along the bridge"
        elif along.max() < 1e-3 * top and np.ptp(np.sign(moving[across > 1e-3 * top, 1])) == 0.0:
            way = "slides across the bridge"
        elif np.linalg.norm(whole) > 0.9 * np.linalg.norm(moving, axis=1).sum():
            angle = np.degrees(np.arctan2(whole[1], whole[0]))
            way = f"slides at {angle:.0f} deg from the bridge axis"
        else:
            way = "turns in plan"
        part = "" if len(moving) == len(set(self.seat.tolist())) else "a part of "
        return f"{part}the superstructure {way}"

    def _refuse_loose(self) -> None:
        motions = np.asarray(self.motions, dtype=float)
        if motions.shape[1] == 0:
            return
        low, high = self.limits
        held = self.rubbing | np.isfinite(low) | np.isfinite(high)
        rest = scipy.linalg.null_space(motions[held]) if held.any() else np.eye(motions.shape[1])
        if rest.shape[1]:
            raise UnstableError(
                f"{self.motion_in_words(rest[:, 0])}: no bearing holds it, stops it or rubs"
            )


@dataclass(frozen=True)
class Loads:
    """L unit loads as the sliders see them.

    - `movement` (K, L): V, movement of the directions were nothing held there, m
    - `resultant` (z, L): Q, what the forces of each rigid motion must add up to: R' lam = Q w
    - `normal` (n, L): N0, normal force at each seat, N, + in compression
    """

    movement: Floats
    resultant: Floats
    normal: Floats


@dataclass(frozen=True)
class History:
    """The loads in time.

    - `factors` (steps, L): factors of the unit loads at each turning point
    - `labels` (L,): what the unit loads are, for messages
    - `group` (steps,): envelopes are kept apart for each number 0, 1, ..; default one group
    """

    factors: Floats
    labels: tuple[str, ...] = ()
    group: Ints | None = None


@dataclass(frozen=True)
class State:
    """Where the slides stand (`position` (K,) m), the forces (`force` (K,) N) and the factors (L,).

    To go on from with another history.
    """

    position: Floats
    force: Floats
    factors: Floats


@dataclass(frozen=True)
class Envelope:
    """Largest (`top`) and smallest (`low`) values, (groups, ..), and the steps they occurred in.

    The points at which a step was divided count as that step. Groups without a step have
    -inf and +inf, and step -1.
    """

    top: Floats
    low: Floats
    top_step: Ints
    low_step: Ints


@dataclass(frozen=True)
class Path:
    """What happened on the way.

    - `force`: envelope of lam (N), (groups, K); `movement`: of u = s + c lam (m), (groups, K);
      `rows`: of the wanted sums of forces (N), (groups, q)
    - `travel` (K,): sum of |ds|, m, as wear wants it
    - `dissipated` (n,): work of friction at each seat, J
    - `stops_reached` (K, 2): how often each slide came to its stop back and ahead; a direction held
      without play does not count
    - `steps` (c,): steps kept, `forces` and `positions` (c, K) after each
    - `end`: the last state
    - `residual`: largest of equilibrium and compatibility, relative to the largest force and
      movement up to its step; the law of the slides itself is met exactly
    - `coarseness`: largest difference of the forces at the end of a step with the parts it had and
      with half as many, relative to the largest force so far; 0 where nothing was divided
    - `solved`: problems solved
    """

    force: Envelope
    movement: Envelope
    rows: Envelope
    travel: Floats
    dissipated: Floats
    stops_reached: Ints
    steps: Ints
    forces: Floats
    positions: Floats
    end: State
    residual: float
    coarseness: float
    solved: int


@dataclass(frozen=True)
class _Elements:
    """The sliders as the loop wants them (see the head of `sliding_kernel`)."""

    base: Ints
    first: Ints
    pair: Ints
    seat: Ints
    friction: Floats
    low: Floats
    high: Floats
    flexibility: Floats
    motions: Floats
    soft: Floats
    split: Floats
    lift: Floats
    fit: Floats
    weight: float


def _elements(sliders: Sliders) -> _Elements:
    low, high = sliders.limits
    rubbing = sliders.rubbing
    count = len(sliders.seat)
    base, pair, seat = (
        list(range(count)),
        [-2] * count,
        np.where(rubbing, sliders.seat, -1).tolist(),
    )
    lows, highs = low.tolist(), high.tolist()
    for number in range(len(sliders.friction)):
        both = np.flatnonzero((sliders.seat == number) & rubbing)
        if len(both) < 2:
            continue
        one, other = (int(i) for i in both)
        pair[one], pair[other] = other, -1
        for i in (one, other):
            if np.isfinite(low[i]) or np.isfinite(high[i]):  # the stop beside the disc
                base.append(i)
                pair.append(-2)
                seat.append(-1)
                lows.append(low[i])
                highs.append(high[i])
                lows[i], highs[i] = -np.inf, np.inf
    every = np.array(base)
    D = np.array(sliders.flexibility, dtype=float)
    D = (D + D.T) / 2.0
    if sliders.compliance is not None:
        D[np.diag_indices(count)] += sliders.compliance
    R = np.array(sliders.motions, dtype=float)
    # forces out of balance may be charged any compliance, for in the end there are none: this one
    # makes the flexibility definite, so that forces can be found without the motions
    size = float(np.diag(D).mean()) or STAND_IN
    weight = size / max(float((R * R).sum()) / count, 1e-300) if R.shape[1] else 0.0
    D = (D + weight * (R @ R.T))[np.ix_(every, every)]
    R = R[every]
    soft = np.diag(D).copy()
    soft = np.maximum(soft, 1e-3 * soft.max()) if soft.max() > 0.0 else soft + STAND_IN
    for one, other in enumerate(pair):
        if other >= 0:  # a circle stays one only under one compliance
            soft[[one, other]] = max(soft[one], soft[other])
    split, lift = [], []
    for factor in SOFTER:
        inner = np.linalg.inv(D + factor * np.diag(soft))
        small = np.linalg.pinv(R.T @ inner @ R)
        cross = small @ (R.T @ inner)
        split.append(np.concatenate([inner - inner @ R @ cross, -cross]))
        lift.append(np.concatenate([cross.T, small]))
    return _Elements(
        base=every,
        first=np.arange(count),
        pair=np.array(pair),
        seat=np.array(seat),
        friction=np.asarray(sliders.friction, dtype=float),
        low=np.array(lows),
        high=np.array(highs),
        flexibility=D,
        motions=R,
        soft=soft,
        split=np.stack(split),
        lift=np.stack(lift),
        fit=np.asarray(np.linalg.pinv(R), dtype=float),
        weight=weight,
    )


def follow(
    sliders: Sliders,
    loads: Loads,
    history: History,
    *,
    start: State | None = None,
    record: int | Ints = 0,
    rows: Floats | None = None,
    accuracy: float | None = ACCURACY,
) -> Path:
    """Follow the sliders through a history of loads.

    - `start`: the state before the first step; default all slides where they were set, no load
    - `record`: steps after which forces and places are kept (rising), or how many, evenly spread
    - `rows` (q, K): sums of forces of which envelopes are wanted too, as of a support
    - `accuracy`: how finely steps are divided (see the module's head), relative to the largest
      force; None: each step as it stands

    Memory grows with the steps only through `history` itself.

    Raises `UnstableError` in words where the loads are beyond what friction and stops hold or where
    the bearings hold one movement twice, `CheckError` naming step and seat where a step cannot be
    solved to 1e-9, `BedstoneError` for arrays that do not fit.
    """
    count, seats = len(sliders.seat), len(sliders.friction)
    z = sliders.motions.shape[1]
    factors = np.ascontiguousarray(history.factors, dtype=float)
    _check_shape("factors", factors, (None, None))
    steps, columns = factors.shape
    _check_shape("movement", loads.movement, (count, columns))
    _check_shape("resultant", loads.resultant, (z, columns))
    _check_shape("normal", loads.normal, (seats, columns))
    group = np.zeros(steps, dtype=np.int64) if history.group is None else np.array(history.group)
    _check_shape("group", group, (steps,))
    if steps and group.min() < 0:
        raise BedstoneError("sliders: a group below zero")
    rows = np.zeros((0, count)) if rows is None else np.ascontiguousarray(rows, dtype=float)
    _check_shape("rows", rows, (None, count))
    keep = _kept(record, steps)
    low, high = sliders.limits
    if start is None:
        start = State(np.zeros(count), np.zeros(count), np.zeros(columns))
    for name, shape in (("position", count), ("force", count), ("factors", columns)):
        _check_shape(name, getattr(start, name), (shape,))
    slack = SMALL * (np.abs(np.where(np.isfinite(low), low, 0.0)) + np.where(high < 1e9, high, 0.0))
    if np.any(start.position < low - slack) or np.any(start.position > high + slack):
        raise BedstoneError("sliders: a slide starts beyond its stop")

    parts = _elements(sliders)
    total = len(parts.base)
    V = np.asarray(loads.movement) + parts.weight * (sliders.motions @ loads.resultant)
    coupling = np.zeros((seats, 0))
    if sliders.coupling is not None and np.any(sliders.coupling):
        coupling = np.ascontiguousarray(np.asarray(sliders.coupling, dtype=float)[:, parts.base])
    position = np.clip(start.position, low, high)[parts.base]
    force = np.where(np.arange(total) < count, np.asarray(start.force)[parts.base], 0.0)
    motion, before = np.zeros(z), np.array(start.factors, dtype=float)
    spring = np.zeros(count) if sliders.compliance is None else np.array(sliders.compliance)
    groups, width = int(group.max(initial=0)) + 1, 2 * count + len(rows)
    top, bottom = np.full((groups, width), -np.inf), np.full((groups, width), np.inf)
    top_step, bottom_step = (np.full((groups, width), -1, dtype=np.int64) for _ in range(2))
    kept_force, kept_position = (np.zeros((len(keep), count)) for _ in range(2))
    travel, reached = np.zeros(count), np.zeros((count, 2), dtype=np.int64)
    dissipated, limit = np.zeros(seats), np.zeros(total)
    with threadpool_limits(1):
        done, residual, element, reached_part, left, solved = walk(
            parts.flexibility, parts.motions, parts.split, parts.lift, parts.pair, parts.seat,
            parts.friction, parts.low, parts.high, parts.soft, coupling, parts.base, parts.first,
            spring.astype(float), parts.fit, np.ascontiguousarray(V[parts.base]),
            np.ascontiguousarray(loads.resultant, dtype=float),
            np.ascontiguousarray(loads.normal, dtype=float),
            factors, group.astype(np.int64), rows, keep,
            0.0 if accuracy is None else float(accuracy), before, position, force, motion,
            top, bottom, top_step, bottom_step, kept_force, kept_position, travel, reached,
            dissipated, limit,
        )  # fmt: skip
    if done < steps:
        at = before + reached_part * (factors[done] - before)
        seat = sliders.name(int(sliders.seat[parts.base[element]]))
        where = f"step {done + 1} of the history ({_in_words(history, factors[done])})"
        if not coupling.size:  # the whole step makes a plainer message than the part that failed
            normal = np.maximum(loads.normal @ factors[done], 0.0)
            whole = np.where(parts.seat >= 0, (parts.friction * normal)[parts.seat], 0.0)
            _explain(sliders, parts, loads, factors[done], whole, where)
        _explain(sliders, parts, loads, at, limit, where)
        raise CheckError(f"{where}: forces off by {residual:.1e}, worst at {seat}")
    lam = np.zeros(count)
    np.add.at(lam, parts.base, force)

    def envelope(first: int, last: int) -> Envelope:
        cut = slice(first, last)
        return Envelope(top[:, cut], bottom[:, cut], top_step[:, cut], bottom_step[:, cut])

    return Path(
        force=envelope(0, count),
        movement=envelope(count, 2 * count),
        rows=envelope(2 * count, width),
        travel=travel,
        dissipated=dissipated,
        stops_reached=reached,
        steps=keep,
        forces=kept_force,
        positions=kept_position,
        end=State(position[:count], lam, before),
        residual=float(residual),
        coarseness=float(left),
        solved=int(solved),
    )


def _kept(record: int | Ints, steps: int) -> Ints:
    """The steps to keep, rising."""
    if isinstance(record, int | np.integer):
        if record <= 0 or steps == 0:
            return np.zeros(0, dtype=np.int64)
        return np.unique(
            np.linspace(0, steps - 1, min(int(record), steps)).round().astype(np.int64)
        )
    keep = np.asarray(record, dtype=np.int64)
    if keep.ndim != 1 or np.any(np.diff(keep) <= 0):
        raise BedstoneError("sliders: the steps to keep are not in rising order")
    if len(keep) and (keep[0] < 0 or keep[-1] >= steps):
        raise BedstoneError(f"sliders: a step to keep is outside 0..{steps - 1}")
    return keep


def _in_words(history: History, factors: Floats) -> str:
    names = history.labels or tuple(f"load {i + 1}" for i in range(len(factors)))
    parts = [f"{value:.4g} x {name}" for name, value in zip(names, factors, strict=True) if value]
    return ", ".join(parts) or "no load"


def _explain(
    sliders: Sliders, parts: _Elements, loads: Loads, at: Floats, limit: Floats, where: str
) -> None:
    """Raise `UnstableError` if the step has no solution, and say why.

    A solution exists where some forces within friction and stops are in equilibrium and some
    movements within the stops are compatible (duality of convex quadratic problems); each of the
    two is a linear programme, circles of friction taken as polygons around them.
    """
    count, total, z = len(sliders.seat), len(parts.base), sliders.motions.shape[1]
    wanted = np.asarray(loads.resultant) @ at
    force = max(float(np.abs(wanted).max(initial=0.0)), float(limit.max(initial=0.0)))
    if z and force > 0.0 and np.any(wanted):
        bounds: list[tuple[float | None, float | None]] = []
        circles = []
        for i in range(total):
            m = limit[i] / force
            if parts.pair[i] == -2:
                low, high = np.isfinite(parts.low[i]), np.isfinite(parts.high[i])
                bounds.append((None if low else -m, None if high else m))
                continue
            bounds.append((-m, m))
            if parts.pair[i] >= 0:
                angle = 2.0 * np.pi * (np.arange(SIDES) + 0.5) / SIDES
                rows = np.zeros((SIDES, total + 1))
                rows[:, i], rows[:, parts.pair[i]] = np.cos(angle), np.sin(angle)
                circles.append((rows, np.full(SIDES, m)))
        equal = np.concatenate([parts.motions.T, -wanted[:, None] / force], axis=1)
        found: Any = scipy.optimize.linprog(
            np.concatenate([np.zeros(total), [-1.0]]),
            A_ub=np.concatenate([c[0] for c in circles]) if circles else None,
            b_ub=np.concatenate([c[1] for c in circles]) if circles else None,
            A_eq=equal,
            b_eq=np.zeros(z),
            bounds=[*bounds, (0.0, 1.0)],
        )
        if found.status == 0 and found.x[-1] < 1.0 - SMALL:
            motion = -np.asarray(found.eqlin.marginals)
            if motion @ wanted < 0.0:
                motion = -motion
            raise UnstableError(
                f"{where}: {sliders.motion_in_words(motion)}: friction and stops hold "
                f"{100.0 * found.x[-1]:.0f} % of the force"
            )
    v = (np.asarray(loads.movement) + parts.weight * (sliders.motions @ loads.resultant)) @ at
    low, high = sliders.limits
    size = max(float(np.abs(v).max(initial=0.0)), 1e-300)
    bound = np.isfinite(low) | np.isfinite(high)
    if not bound.any():
        return
    # least t such that low - t <= v - D f + R a <= high + t
    D = parts.flexibility[:count, :count]
    spread = np.concatenate([-D / np.abs(D).max(initial=1e-300), sliders.motions], axis=1)
    column = np.full((count, 1), -1.0)
    sides = [
        (np.concatenate([spread, column], axis=1), (high - v) / size, np.isfinite(high)),
        (np.concatenate([-spread, column], axis=1), (v - low) / size, np.isfinite(low)),
    ]
    found = scipy.optimize.linprog(
        np.concatenate([np.zeros(spread.shape[1]), [1.0]]),
        A_ub=np.concatenate([left[which] for left, _, which in sides]),
        b_ub=np.concatenate([right[which] for _, right, which in sides]),
        bounds=[(None, None)] * spread.shape[1] + [(0.0, None)],
    )
    if found.status == 0 and found.x[-1] > 1e-6:
        raise UnstableError(
            f"{where}: the bearings hold the same movement twice with nothing elastic between them"
        )


def _check_shape(
    name: str, values: Any, shape: tuple[int | None, ...], *, infinite: bool = False
) -> None:
    """Refuse an array of another shape or with entries that are no numbers."""
    if values is None:
        return
    found = np.asarray(values)
    fits = found.ndim == len(shape) and all(
        want is None or have == want for have, want in zip(found.shape, shape, strict=True)
    )
    if not fits:
        asked = " x ".join("any" if want is None else str(want) for want in shape)
        has = " x ".join(map(str, found.shape))
        raise BedstoneError(f"sliders: {name} is {has or 'one number'}, {asked} is wanted")
    if found.dtype.kind == "f" and not np.all(~np.isnan(found) if infinite else np.isfinite(found)):
        raise BedstoneError(f"sliders: {name} has an entry that is not a number")
