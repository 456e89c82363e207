"""A bridge on its bearings with jacks beside some of them, lifted step by step.

The superstructure is not built anew: a jack is a seat more on a stiff link to the seat it stands
beside, and the ground below it is that of the seat, so the condensed flexibility and the compliance
below are only carried over to it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from bedstone.actions.effects import EffectMap, Layout
from bedstone.errors import CheckError, Fault, InputError, UnstableError
from bedstone.mechanics.condense import Condensed, SeatPoints, stack
from bedstone.mechanics.contact import open_gaps
from bedstone.mechanics.frame import Bools, Floats, Ints, cross_matrix
from bedstone.mechanics.support import Bearings, Supported
from bedstone.site.replacement.contact import Piece, follow
from bedstone.site.replacement.plan import JackPoint

#: Relative error that reciprocity and equilibrium may show.
TOLERANCE = 1e-7
#: Stiffness against raising, as a part of that of the superstructure, that counts as none.
_DETERMINATE = 1e-9
#: Opening at a jack, as a part of the flexibility of the superstructure, that counts as none: a
#: jack at the centre of a rigid bearing opens nothing while that is in contact.
_TIGHT = 1e-11
#: Load of a bearing, as a part of the heaviest, that is but the rounding error of the others.
_NOTHING = 1e-12


def links(condensed: Condensed, points: Sequence[JackPoint]) -> Floats:
    """(6 (ns + nj), 6 ns) movements of seats and jacks under movements of the seats."""
    count = condensed.seat_count
    result = np.zeros((6 * (count + len(points)), 6 * count))
    result[: 6 * count] = np.eye(6 * count)
    for number, point in enumerate(points, start=count):
        block = np.eye(6)
        block[:3, 3:] = -cross_matrix(point.arm[None])[0]  # theta x arm
        result[6 * number : 6 * number + 6, 6 * point.seat : 6 * point.seat + 6] = block
    return result


def with_jacks(condensed: Condensed, points: Sequence[JackPoint], reach: Floats) -> Condensed:
    """The condensed superstructure with the jacks as further seats; `reach` from `links`.

    For `Supported` and for loads given at seats and jacks; loads on its nodes are condensed before.
    """
    rows = [point.seat for point in points]
    arms = np.array([point.arm for point in points]).reshape(-1, 3)
    return replace(
        condensed,
        seats=SeatPoints(
            np.concatenate([condensed.seats.node, condensed.seats.node[rows]]),
            np.concatenate([condensed.seats.arm, condensed.seats.arm[rows] + arms]),
        ),
        points=np.concatenate([condensed.points, condensed.points[rows] + arms]),
        part=np.concatenate([condensed.part, condensed.part[rows]]),
        flexibility=reach @ condensed.flexibility @ reach.T,
        rigid=reach @ condensed.rigid,
    )


@dataclass(frozen=True, eq=False)
class Jacked:
    """A bridge on its bearings, the jacks just touching.

    - `condensed`, `ground`, `bearings`: of the seats alone; `points`: all jacks
    - `dead` (ns,): compressions under permanent load as if bearings could pull
    - `one_sided` (ns,): 1 where a bearing can open (those that are lifted included, whatever holds
      them down is taken off before)
    """

    condensed: Condensed
    ground: Floats
    bearings: Bearings
    points: tuple[JackPoint, ...]
    dead: Floats
    one_sided: Ints

    @property
    def count(self) -> int:
        """Number of seats ns."""
        return self.condensed.seat_count

    @cached_property
    def reach(self) -> Floats:
        """Movements of seats and jacks under those of the seats."""
        return links(self.condensed, self.points)

    @cached_property
    def _whole(self) -> tuple[Condensed, Floats]:
        """Superstructure and ground with the jacks as seats."""
        whole = with_jacks(self.condensed, self.points, self.reach)
        return whole, self.reach @ self.ground @ self.reach.T

    def _held(self, closed: Sequence[int], jacks: Sequence[int]) -> Bearings:
        """Bearings `closed` carry, and so do the jacks `jacks`; nothing else is changed."""
        more = len(self.points)
        held = np.concatenate([self.bearings.held, np.zeros((more, 6), dtype=bool)])
        compliance = np.concatenate([self.bearings.compliance, np.zeros((more, 6))])
        held[: self.count, 2] &= np.isin(np.arange(self.count), list(closed))
        for number in jacks:
            held[self.count + number, 2] = True
            compliance[self.count + number, 2] = self.points[number].compliance
        axes = np.concatenate([self.bearings.axes, np.tile(np.eye(3), (more, 1, 1))])
        return Bearings(axes, held, compliance)

    @cached_property
    def open_rows(self) -> Ints:
        """Rows of the bearings that may open."""
        return np.flatnonzero(self.bearings.held[:, 2] & (self.one_sided > 0))

    @cached_property
    def stiffness(self) -> float:
        """Order of the vertical stiffness of the superstructure between its seats, N/m."""
        softness = float(np.diag(self.condensed.flexibility)[2::6].max(initial=0.0))
        return 1.0 / softness if softness > 0.0 else 0.0

    @cached_property
    def settled(self) -> Floats:
        """Gaps (k,) that are open before anything is lifted; mostly none."""
        return open_gaps(self.dead[self.open_rows], self.unit.raising, self.stiffness)

    @cached_property
    def rest(self) -> Floats:
        """(ns,) compressions before anything is lifted: `dead`, or less what stands open, N."""
        found = self.dead + self.unit.compression[:, : len(self.open_rows)] @ self.settled
        found[self.open_rows[self.settled > 0.0]] = 0.0
        return np.asarray(found)

    @cached_property
    def unit(self) -> Unit:
        """What raising a bearing by 1 m and a jack force of 1 N do, all bearings in contact."""
        whole, ground = self._whole
        total = len(whole.points)
        rows, jacks = self.open_rows, np.arange(len(self.points))
        raised = np.zeros((6 * total, len(rows)))
        raised[6 * rows + 2, np.arange(len(rows))] = 1.0
        pushed = np.zeros((6 * total, len(jacks)))
        pushed[6 * (self.count + jacks) + 2, jacks] = 1.0
        load = stack([whole.settlement(raised), whole.seat_forces(pushed, ground)])
        supported = Supported(whole, self._held(range(self.count), ()), ground)
        found = supported.effects(load)
        split = len(rows)
        compression = -found.force[: self.count, 2]
        opening = found.movement[self.count :, 2]
        raising = _psd(compression[rows, :split], _DETERMINATE * self.stiffness)
        size = max(float(np.abs(compression[rows, split:]).max(initial=0.0)), 1e-300)
        lack = np.abs(compression[rows, split:] + opening[:, :split].T).max(initial=0.0) / size
        if not lack < TOLERANCE:
            raise CheckError(f"lifting: reciprocity of jacks and bearings is off by {lack:.1e}")
        return Unit(
            raising=raising,
            pushing=compression[rows, split:],
            opening=_psd(opening[:, split:], _TIGHT / max(self.stiffness, 1e-300)),
            compression=compression,
            turns=found.movement[: self.count, 3:5],
            reciprocity=float(lack),
            residual=max(supported.residuals(load)),
        )

    def lift(self, jacks: Sequence[int], end: float) -> Way:
        """Lift by the jacks `jacks` (numbers) together, to a travel `end` (m) of their heads.

        Raises `UnstableError` where the bridge would overturn, `CheckError`.
        """
        unit, own = self.unit, list(jacks)
        gaps = len(self.open_rows)
        push, open_ = unit.pushing[:, own], unit.opening[np.ix_(own, own)]
        soft = np.diag([self.points[number].compliance for number in own])
        dead = self.dead[self.open_rows]
        # where a bearing stands open already the jacks touch the bridge as it stands
        start = np.concatenate([dead, push.T @ self.settled])
        matrix = np.block([[unit.raising, push], [-push.T, open_ + soft]])
        rate = np.concatenate([np.zeros(gaps), -np.ones(len(own))])
        return Way(self, tuple(own), follow(matrix, start, rate, end, gaps))

    def standing(self, jacks: Sequence[int], opened: Sequence[int]) -> Supported:
        """The bridge with the bearings `opened` out of contact and standing on the jacks.

        Raises `InputError` where rigid jacks stand so that statics and the superstructure do not
        tell what each carries.
        """
        whole, ground = self._whole
        closed = [row for row in range(self.count) if row not in opened]
        try:
            return Supported(whole, self._held(closed, jacks), ground)
        except UnstableError as error:
            if "hold the same movement twice" not in str(error):
                raise
            found = "rigid jacks that hold one movement twice"
            allowed = "a stiffness of each jack, which tells how they share"
            fault = Fault("bridge file", "replacement.jacks", found, allowed)
            raise InputError([fault]) from error

    def effects(self, supported: Supported, marks: Sequence[str]) -> EffectMap:
        """Compressions of all seats and jacks as a map on loads condensed to the seats.

        `marks`: of the seats, then of the jacks; all other effects are zero.
        """
        force, _ = supported.operator()
        total = self.count + len(self.points)
        normal = -force.reshape(total, 6, -1)[:, 2]
        order = Layout(tuple(marks), ())
        matrix = np.zeros((order.size, 6 * self.count + self.condensed.rigid.shape[1]))
        matrix[::12] = np.concatenate(
            [normal[:, : 6 * total] @ self.reach, normal[:, 6 * total :]], axis=1
        )
        return EffectMap(order, matrix)

    def per_travel(self, supported: Supported, moved: Sequence[int]) -> Floats:
        """(ns + nj,) change of compression for 1 m more travel of the jacks `moved`, N/m."""
        whole, _ = self._whole
        travel = np.zeros((6 * len(whole.points), 1))
        travel[6 * (self.count + np.array(moved, dtype=np.intp)) + 2] = 1.0
        return np.asarray(-supported.effects(whole.settlement(travel)).force[:, 2, 0])


@dataclass(frozen=True)
class Unit:
    """Effects of unit gaps and unit jack forces, all bearings in contact.

    - `raising` (k, k), `pushing` (k, nj): compressions of the k bearings that may open;
      `opening` (nj, nj): space at the jacks for unit forces
    - `compression` (ns, k + nj), `turns` (ns, 2, k + nj): of all seats, bearing axes
    """

    raising: Floats
    pushing: Floats
    opening: Floats
    compression: Floats
    turns: Floats
    reciprocity: float
    residual: float


@dataclass(frozen=True)
class Way:
    """A lift by some jacks, in pieces between changes of contact."""

    jacked: Jacked
    jacks: tuple[int, ...]
    pieces: tuple[Piece, ...]

    @property
    def end(self) -> float:
        """Greatest travel, m."""
        return self.pieces[-1].last

    def _piece(self, travel: float) -> Piece:
        return next((one for one in self.pieces if travel <= one.last), self.pieces[-1])

    def unknowns(self, travel: float) -> Floats:
        """Gaps of the bearings that may open, then forces of the jacks."""
        return self._piece(travel).at(travel)

    def open_at(self, travel: float) -> Bools:
        """(ns,) which bearings carry nothing, though they may not have parted yet."""
        result = np.zeros(self.jacked.count, dtype=bool)
        rows = self.jacked.open_rows
        result[rows] = self._piece(travel).acting[: len(rows)]
        return result

    def gaps(self, travel: float) -> Floats:
        """(ns,) openings over the bearings, m."""
        result = np.zeros(self.jacked.count)
        rows = self.jacked.open_rows
        result[rows] = np.maximum(self.unknowns(travel)[: len(rows)], 0.0)
        return result

    def forces(self, travel: float) -> Floats:
        """(nj of this lift,) forces of the jacks, N."""
        return np.maximum(self.unknowns(travel)[len(self.jacked.open_rows) :], 0.0)

    def _columns(self, travel: float) -> Floats:
        """Gaps, then forces of all jacks."""
        split = len(self.jacked.open_rows)
        result = np.zeros(split + len(self.jacked.points))
        known = self.unknowns(travel)
        result[:split] = known[:split]
        result[split + np.array(self.jacks, dtype=np.intp)] = known[split:]
        return result

    def compressions(self, travel: float) -> Floats:
        """(ns,) of the bearings, N; exactly zero where open."""
        found = self.jacked.dead + self.jacked.unit.compression @ self._columns(travel)
        found[self.open_at(travel)] = 0.0
        # where one is just about to open, its load is the rounding error of the others
        found[np.abs(found) < _NOTHING * np.abs(self.jacked.dead).max()] = 0.0
        return np.asarray(found)

    def turns(self, travel: float) -> Floats:
        """(ns, 2) turn of the superstructure about x', y' of each bearing by the lift, rad."""
        return np.asarray(self.jacked.unit.turns @ self._columns(travel))

    def freed(self, row: int) -> float | None:
        """Travel (m) from which the bearing of a seat is open for the first time, or None.

        None as well for one that stands open before anything is lifted.
        """
        place = np.flatnonzero(self.jacked.open_rows == row)
        if not len(place) or self.jacked.settled[place[0]] > 0.0:
            return None
        number = int(place[0])
        for piece in self.pieces:
            if piece.acting[number]:
                return piece.first
        return None

    def reaches(self, rows: Sequence[int], opening: float) -> float | None:
        """Least travel (m) at which all bearings `rows` are open by `opening` (m), or None."""
        places = [int(np.flatnonzero(self.jacked.open_rows == row)[0]) for row in rows]
        for piece in self.pieces:
            base, slope = piece.base[places], piece.slope[places]
            first, last = piece.first, piece.last
            if not piece.acting[places].all():
                continue
            with np.errstate(divide="ignore", invalid="ignore"):
                cross = np.where(slope != 0.0, (opening - base) / slope, np.inf)
            low = np.where(slope > 0.0, cross, np.where(base >= opening, -np.inf, np.inf))
            high = np.where(slope < 0.0, cross, np.inf)
            at = max(first, float(low.max()))
            if at <= min(last, float(high.min())):
                return at
        return None

    def changes(self) -> list[tuple[float, int, bool]]:
        """(travel, seat, opens) of every change of contact of a bearing, in order."""
        result = []
        rows = self.jacked.open_rows
        before = np.zeros(self.jacked.count, dtype=bool)
        before[rows] = self.jacked.settled > 0.0
        for piece in self.pieces:
            after = np.zeros(self.jacked.count, dtype=bool)
            split = len(rows)
            after[rows] = piece.acting[:split]
            turned = np.flatnonzero(after != before)
            result += [(piece.first, int(row), bool(after[row])) for row in turned]
            before = after
        return result

    def imbalance(self, travel: float) -> float:
        """Sum of all bearings and jacks against that of the bearings before, relative."""
        dead = self.jacked.dead
        split = len(self.jacked.open_rows)
        total = float(self.compressions(travel).sum() + self.unknowns(travel)[split:].sum())
        return abs(total - float(dead.sum())) / max(float(np.abs(dead).sum()), 1e-300)

    def mismatch(self, travel: float) -> float:
        """Largest error of the rise at a jack that carries, relative to the travel."""
        unit, columns = self.jacked.unit, self._columns(travel)
        split, own = len(self.jacked.open_rows), list(self.jacks)
        opening = -unit.pushing.T @ columns[:split] + unit.opening @ columns[split:]
        at_rest = -unit.pushing.T @ self.jacked.settled
        force = columns[split:][own]
        soft = np.array([self.jacked.points[number].compliance for number in own])
        lack = (opening - at_rest)[own] + soft * force - travel
        size = max(travel, 1e-300)
        carrying = force > 0.0
        return float(np.abs(lack[carrying]).max(initial=0.0)) / size

    def rises(self, travel: float) -> Mapping[int, float]:
        """Rise (m) of the superstructure over each jack: the travel less what a jack gives."""
        return {
            number: travel - self.jacked.points[number].compliance * float(force)
            for number, force in zip(self.jacks, self.forces(travel), strict=True)
        }


def _psd(matrix: Floats, least: float) -> Floats:
    """The symmetric part without what is rounding: below `least` or beside its largest value."""
    if not matrix.size:
        return matrix
    values, vectors = np.linalg.eigh((matrix + matrix.T) / 2.0)
    kept = values > max(least, _DETERMINATE * float(np.abs(values).max()))
    return np.asarray((vectors[:, kept] * values[kept]) @ vectors[:, kept].T)
