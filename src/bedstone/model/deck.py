"""The deck: lines of members on which loads stand, and how a load between lines reaches them.

A vertical load at (chainage s, offset y) stands on a strip of slab that spans between the two
nearest lines. The strip hands clamped-end forces and moments to the lines where the slab's own
stiffness is in the frame; where no slab is (`Deck.slab` False) it lies on the lines as a simple
beam. Beyond the outer lines it cantilevers. Along the lines the load is exact for the member
(`Frame.point_loads`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import scipy.sparse as sp

from bedstone.mechanics.frame import Floats, Frame, Ints
from bedstone.model.alignment import Axis


@dataclass(frozen=True)
class DeckLine:
    """A line along the bridge: `members` (k,) in order of rising chainage.

    `start`, `end` (k,): chainages of the members' ends (a joint between simple spans may leave a
    gap); `offset`: y (m) from the reference line, constant along the line.
    """

    members: Ints
    start: Floats
    end: Floats
    offset: float


@dataclass(frozen=True)
class Deck:
    """Deck lines from right (smallest y) to left, edges `right` and `left` (y, m), `axis`.

    `first`, `last`: chainages between which loads may stand; where the ends are skewed, the ends at
    one offset are closer (`limits`). `slab`: the frame holds a slab that bends between the lines.
    """

    axis: Axis
    lines: tuple[DeckLine, ...]
    right: float
    left: float
    first: float
    last: float
    slab: bool = True

    def limits(self, offset: Floats) -> tuple[Floats, Floats]:
        """(k,) chainages of the deck's ends at offsets (k,): the ends of the lines joined.

        Beyond the outer lines they run on at the same skew. A load outside them is off the deck.
        """
        offset = np.asarray(offset, dtype=float)
        if len(self.lines) == 1:
            line = self.lines[0]
            return np.full(offset.shape, line.start[0]), np.full(offset.shape, line.end[-1])
        places = np.array([line.offset for line in self.lines])
        right = np.clip(np.searchsorted(places, offset) - 1, 0, len(places) - 2)
        t = (offset - places[right]) / (places[right + 1] - places[right])
        starts = np.array([line.start[0] for line in self.lines])
        ends = np.array([line.end[-1] for line in self.lines])
        return (
            np.asarray(starts[right] * (1.0 - t) + starts[right + 1] * t),
            np.asarray(ends[right] * (1.0 - t) + ends[right + 1] * t),
        )

    def point_loads(self, frame: Frame, chainage: Floats, offset: Floats) -> sp.csc_array:
        """Sparse (freedoms, k) load vectors of unit downward loads at k places on the deck.

        A place outside a line's own length is taken at the line's nearest end: the load then acts
        there with the moment of its overhang along the bridge (skew corners, end overhangs).
        """
        chainage = np.asarray(chainage, dtype=float)
        offset = np.broadcast_to(np.asarray(offset, dtype=float), chainage.shape)
        count = len(chainage)
        total = sp.csc_array((frame.freedoms, count))
        for line, share, moment in self.line_shares(offset):
            used = np.flatnonzero((share != 0.0) | (moment != 0.0))
            if used.size == 0:
                continue
            loads = self._on_line(
                frame, self.lines[line], chainage[used], share[used], moment[used]
            )
            spread = sp.csc_array(
                (np.ones(used.size), (np.arange(used.size), used)), shape=(used.size, count)
            )
            total = total + loads @ spread
        return sp.csc_array(total)

    def line_shares(self, offset: Floats) -> list[tuple[int, Floats, Floats]]:
        """(line, downward share, moment about the tangent) of unit loads at offsets (k,).

        The moment is right-handed about the direction of rising chainage: + lifts the left side.
        A unit downward load left of its line therefore gives a negative moment.
        """
        places = np.array([line.offset for line in self.lines])
        share = np.zeros((len(places), len(offset)))
        moment = np.zeros_like(share)
        columns = np.arange(len(offset))
        right = np.clip(np.searchsorted(places, offset, side="right") - 1, 0, len(places) - 1)
        outside = (offset < places[0]) | (offset >= places[-1])
        out = columns[outside]
        share[right[out], out] = 1.0
        moment[right[out], out] = -(offset[out] - places[right[out]])
        mid = columns[~outside]
        near = right[mid]
        gap = places[near + 1] - places[near]
        t = (offset[mid] - places[near]) / gap
        if not self.slab:
            share[near, mid], share[near + 1, mid] = 1.0 - t, t
            return [(line, share[line], moment[line]) for line in range(len(places))]
        share[near, mid] = 1.0 - 3.0 * t**2 + 2.0 * t**3
        share[near + 1, mid] = 3.0 * t**2 - 2.0 * t**3
        moment[near, mid] = -gap * t * (1.0 - t) ** 2
        moment[near + 1, mid] = gap * t**2 * (1.0 - t)
        return [(line, share[line], moment[line]) for line in range(len(places))]

    def _on_line(
        self, frame: Frame, line: DeckLine, chainage: Floats, share: Floats, moment: Floats
    ) -> sp.csc_array:
        """Sparse loads (freedoms, k) of downward forces and tangent moments on one line."""
        ends = line.end
        index = np.clip(np.searchsorted(ends, chainage, side="left"), 0, len(ends) - 1)
        span = line.end[index] - line.start[index]
        fraction = np.clip((chainage - line.start[index]) / span, 0.0, 1.0)
        held = line.start[index] + fraction * span
        angle = self.axis.angle(held)
        tangent = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=-1)
        left = np.stack([-np.sin(angle), np.cos(angle), np.zeros_like(angle)], axis=-1)
        reach = (chainage - held) * (1.0 - line.offset * self.axis.curvature)
        force = np.zeros((len(chainage), 3))
        force[:, 2] = -share
        # a downward load ahead of its point turns the line nose down: + about the left axis
        couple = moment[:, None] * tangent + (share * reach)[:, None] * left
        return frame.point_loads(line.members[index], fraction, force, couple)

    def unit_line_loads(self, frame: Frame, stations: Floats) -> sp.csc_array:
        """Sparse (freedoms, 2 lines k) load vectors of unit loads on the lines at k stations.

        A unit downward force, then a unit moment about the tangent; order: line, kind, station.
        """
        one, none = np.ones(len(stations)), np.zeros(len(stations))
        blocks = []
        for line in self.lines:
            blocks.append(self._on_line(frame, line, stations, one, none))
            blocks.append(self._on_line(frame, line, stations, none, one))
        return sp.csc_array(sp.hstack(blocks, format="csc"))

    def spread_along(
        self, frame: Frame, first: float, last: float, offset: float, pieces: int = 0
    ) -> tuple[Floats, Floats]:
        """Chainages and lengths of the pieces into which a stretch is cut (at line breaks too)."""
        cuts = {first, last}
        for line in self.lines:
            cuts.update(c for c in (*line.start, *line.end) if first < c < last)
        if pieces:
            cuts.update(np.linspace(first, last, pieces + 1))
        edges = np.array(sorted(cuts))
        edges = edges[np.concatenate([[True], np.diff(edges) > 1e-9])]
        scale = 1.0 - offset * self.axis.curvature
        return (edges[1:] + edges[:-1]) / 2.0, np.diff(edges) * scale

    def line_load(
        self, frame: Frame, load: float, offset: float, first: float, last: float
    ) -> Floats:
        """Load vector (freedoms,) of a downward line load (N/m along itself) at an offset."""
        middles, lengths = self._gauss(frame, first, last, offset)
        loads = self.point_loads(frame, middles, np.full(len(middles), offset))
        return np.asarray(loads @ (load * lengths))

    def area_load(
        self, frame: Frame, load: float, right: float, left: float, first: float, last: float
    ) -> Floats:
        """Load vector (freedoms,) of a downward area load (N/m2) between two offsets."""
        cuts = sorted({right, left, *(x.offset for x in self.lines if right < x.offset < left)})
        nodes, weights = np.polynomial.legendre.leggauss(3)
        result = np.zeros(frame.freedoms)
        for low, high in pairwise(cuts):
            for node, weight in zip(nodes, weights, strict=True):
                y = (low + high) / 2.0 + node * (high - low) / 2.0
                result += self.line_load(
                    frame, load * weight * (high - low) / 2.0, float(y), first, last
                )
        return result

    def _gauss(
        self, frame: Frame, first: float, last: float, offset: float
    ) -> tuple[Floats, Floats]:
        """Gauss points (two on each piece: exact for cubic lines) and their lengths."""
        middles, lengths = self.spread_along(frame, first, last, offset)
        half = lengths / (1.0 - offset * self.axis.curvature) / (2.0 * np.sqrt(3.0))
        return (
            np.concatenate([middles - half, middles + half]),
            np.concatenate([lengths, lengths]) / 2.0,
        )

    def along_shares(self, offset: float | None) -> Floats:
        """(lines,) parts of a force along the deck at an offset (None: the middle of the lines).

        The parts grow evenly across the deck, so that their resultant acts at the offset.
        """
        places = np.array([line.offset for line in self.lines])
        even = np.full(len(places), 1.0 / len(places))
        spread = float(((places - places.mean()) ** 2).sum())
        if offset is None or spread < 1e-9:
            return even
        return np.asarray(even + (offset - places.mean()) * (places - places.mean()) / spread)

    def horizontal_load(
        self,
        frame: Frame,
        along: float,
        across: float,
        level: float,
        first: float,
        last: float,
        offset: float | None = None,
    ) -> Floats:
        """Load vector of horizontal forces per metre (N/m) spread over a stretch of the deck.

        `along` the tangent, `across` to the left, acting at level z; carried at the lines' own
        members' axes with the moment of the height: `across` in equal parts, `along` so that it
        acts at `offset` (None: in equal parts).
        """
        result = np.zeros(frame.freedoms)
        shares = self.along_shares(offset)
        for line, share in zip(self.lines, shares, strict=True):
            low, high = np.maximum(line.start, first), np.minimum(line.end, last)
            used = np.flatnonzero(high > low + 1e-9)
            if used.size == 0:
                continue
            middle = (low[used] + high[used]) / 2.0
            span = line.end[used] - line.start[used]
            fraction = (middle - line.start[used]) / span
            length = high[used] - low[used]
            angle = self.axis.angle(middle)
            tangent = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=-1)
            left = np.stack([-np.sin(angle), np.cos(angle), np.zeros_like(angle)], axis=-1)
            force = along * share * tangent + across / len(self.lines) * left
            force *= length[:, None]
            members = line.members[used]
            start = frame.nodes[frame.ends[members, 0]] + frame.offset_i[members]
            height = level - (start[:, 2] + fraction * frame.chord[members, 2])
            couple = np.cross(np.stack([np.zeros_like(height)] * 2 + [height], axis=-1), force)
            if offset is not None and len(self.lines) == 1:  # one line takes the moment in plan
                couple[:, 2] -= along * length * (offset - line.offset)
            loads = frame.point_loads(members, fraction, force, couple)
            result += np.asarray(loads @ np.ones(used.size))
        return result
