"""Forces on the supports: arrows in proportion with their figures, in rows.

Each support has one rosette at its place along the bridge; where two would touch, the second goes
one row down.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from bedstone.output.drawing.board import Board
from bedstone.output.drawing.lettering import width
from bedstone.output.drawing.overlay import Span
from bedstone.output.drawing.scene import span_text

_LONGEST: Final = 10.0  # arrow of the largest force, mm
_SHORTEST: Final = 0.7  # an arrow below this is not drawn
_LINE: Final = 3.3
_HEIGHT: Final = 2.0


@dataclass(frozen=True)
class Ray:
    """One effect of a rosette: its name, the direction of a positive value on the sheet (rad)."""

    effect: str
    turn: float


@dataclass(frozen=True)
class Spot:
    """A support's place in the row of rosettes: its mark, x (mm) and the rays of its arrows."""

    mark: str
    x: float
    rays: tuple[Ray, ...]


class Rosettes:
    """All rosettes of a drawing; `written`: effects whose figures stand below, in order."""

    def __init__(
        self,
        spots: Sequence[Spot],
        forces: Mapping[str, Mapping[str, Span]],
        written: Sequence[str],
    ) -> None:
        self.forces = forces
        self.written = tuple(written)
        self.spots = [spot for spot in spots if spot.mark in forces]
        self._stretch = {ray.effect: 0.0 for spot in self.spots for ray in spot.rays}
        # vertical forces are far larger than horizontal ones: each kind has a scale of its own
        for names in (("V",), ("Fx", "Fy")):
            largest = max(
                (
                    abs(value)
                    for spot in self.spots
                    for name in names
                    for value in forces[spot.mark].get(name, (0.0, 0.0))
                ),
                default=0.0,
            )
            self._stretch |= dict.fromkeys(names, _LONGEST / largest if largest > 1.0 else 0.0)
        reaches = [
            (math.sin(ray.turn) * value * self._stretch[ray.effect])
            for spot in self.spots
            for ray in spot.rays
            for value in forces[spot.mark].get(ray.effect, (0.0, 0.0))
        ]
        self._up = max(1.5, *reaches) if reaches else 1.5
        self._down = max(1.5, *(-reach for reach in reaches)) if reaches else 1.5
        self._tiers = self._arrange()

    def _words(self, mark: str) -> list[str]:
        own = self.forces[mark]
        return [span_text(name, *own[name]) for name in self.written if name in own]

    def _arrange(self) -> list[int]:
        """Row of each rosette, from left to right the first that is free."""
        ends: list[float] = []
        tiers = {}
        for spot in sorted(self.spots, key=lambda spot: spot.x):
            words = max((width(text, _HEIGHT) for text in self._words(spot.mark)), default=0.0)
            half = max(words / 2.0, _LONGEST) + 1.5
            tier = next((t for t, end in enumerate(ends) if spot.x - half >= end), len(ends))
            if tier == len(ends):
                ends.append(-math.inf)
            ends[tier] = spot.x + half
            tiers[spot.mark] = tier
        return [tiers[spot.mark] for spot in self.spots]

    @property
    def row(self) -> float:
        """Height of one row, mm."""
        return self._up + self._down + 4.0 + _LINE * len(self.written)

    @property
    def height(self) -> float:
        """Height of all rows, mm."""
        return (max(self._tiers) + 1) * self.row if self._tiers else 0.0

    def draw(self, board: Board, top: float) -> None:
        """From the upper edge of the first row."""
        for spot, tier in zip(self.spots, self._tiers, strict=True):
            self._one(board, spot, top - tier * self.row)

    def _one(self, board: Board, spot: Spot, top: float) -> None:
        own = self.forces[spot.mark]
        centre = (spot.x, top - self._up - 1.0)
        with board.group(f"force-{spot.mark}", f"forces on support {spot.mark}"):
            board.circle("force", centre, 0.7)
            for ray in spot.rays:
                c, s = math.cos(ray.turn), math.sin(ray.turn)
                for value in sorted(set(own.get(ray.effect, (0.0, 0.0)))):
                    reach = self._stretch[ray.effect] * value
                    if abs(reach) < _SHORTEST:
                        continue
                    start = math.copysign(0.7, reach)
                    board.arrow(
                        "force",
                        (centre[0] + start * c, centre[1] + start * s),
                        (centre[0] + reach * c, centre[1] + reach * s),
                    )
            for row, text in enumerate(self._words(spot.mark)):
                y = centre[1] - self._down - 3.0 - _LINE * row
                board.text((spot.x, y), text, _HEIGHT, "centre", layer="force")
