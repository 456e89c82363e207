"""What every kind of superstructure becomes: frames by state, seats, deck and permanent loads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import Bools, Floats, Frame, Ints
from bedstone.model.alignment import Axis
from bedstone.model.deck import Deck

StateName = Literal["steel", "long", "short"]


@dataclass(frozen=True)
class SeatPlace:
    """A seat of the superstructure.

    `mark` "P1-2"; `support` "P1"; `line` counts from 1 at the right (smallest y); `point` (3,) the
    contact point in global axes; `chainage`, `offset` of the contact point; `angle`: direction of
    the girder line (truss plane) there from global x, rad.
    """

    mark: str
    support: str
    line: int
    point: tuple[float, float, float]
    chainage: float
    offset: float
    angle: float


@dataclass(frozen=True)
class State:
    """The superstructure as it carries in one state of construction.

    Arrays over the m members of `frame`:

    - `groups`: named groups of members (girders, slab, diaphragms, top_chord, ...) as indices
    - `weight` (m,): self weight, N/m
    - `concrete` (m,): True where the member is concrete or composite (for the coefficient of
      thermal expansion where steel and concrete differ)
    - `top`, `bottom` (m,): levels z between which a linear temperature difference runs there
    - `shrinkage` (m, 2): free axial strain and curvature (as `Frame.strain_load`) caused by a free
      shortening strain 1 of the concrete
    - `seats`: where the frame meets the contact points
    - `deck`: the lines on which traffic and deck loads stand; None if nothing can stand there yet
    - `alpha` (m,): coefficients of thermal expansion given for single members, 1/K; nan where that
      of the material holds; None: nowhere given
    """

    name: StateName
    frame: Frame
    groups: Mapping[str, Ints]
    weight: Floats
    concrete: Bools
    top: Floats
    bottom: Floats
    shrinkage: Floats
    seats: SeatPoints
    deck: Deck | None
    alpha: Floats | None = None

    def expansion(self, steel: float, concrete: float) -> Floats:
        """(m,) coefficient of thermal expansion of each member."""
        material = np.where(self.concrete, concrete, steel)
        return (
            material if self.alpha is None else np.where(np.isnan(self.alpha), material, self.alpha)
        )

    def uniform_temperature(self, steel: float, concrete: float) -> Floats:
        """Load vector (freedoms,) of a uniform rise of 1 K; coefficients 1/K."""
        return self.frame.strain_load(self.expansion(steel, concrete))

    def temperature_difference(self, steel: float, concrete: float) -> Floats:
        """Load vector (freedoms,) of the top 1 K warmer than the bottom, linear, mean zero.

        Zero stands at half depth; each member takes the temperature at its own axis and, where it
        lies flat, the curvature.
        """
        frame = self.frame
        middle = frame.nodes[frame.ends[:, 0], 2] + frame.offset_i[:, 2] + frame.chord[:, 2] / 2.0
        depth = np.maximum(self.top - self.bottom, 1e-6)
        alpha = self.expansion(steel, concrete)
        strain = alpha * (middle - (self.top + self.bottom) / 2.0) / depth
        curvature = alpha / depth
        # the gradient is vertical: members bend only in so far as their local z stands upright
        return frame.strain_load(
            strain, curvature * frame.axes[:, 2, 2], -curvature * frame.axes[:, 1, 2]
        )

    def shortening(self, strain: float) -> Floats:
        """Load vector (freedoms,) of a free shortening strain (positive) of the concrete."""
        return self.frame.strain_load(self.shrinkage[:, 0] * strain, self.shrinkage[:, 1] * strain)


@dataclass(frozen=True)
class PermanentLoad:
    """One permanent load of one stage as a load vector (freedoms,) of the state that carries it.

    `total`: its weight (N), to compare with what is applied.
    """

    stage: str
    state: StateName
    action: Literal["permanent", "surfacing"]
    label: str
    vector: Floats
    total: float


@dataclass(frozen=True)
class Structure:
    """A superstructure ready to be condensed.

    `spans`: chainages of the support lines on the reference line; `unit_length`: longest
    continuous length; `depth`: overall depth from the road surface to the underside (wind).
    `loads` in the order of the stages.
    """

    axis: Axis
    seats: tuple[SeatPlace, ...]
    states: Mapping[StateName, State]
    loads: tuple[PermanentLoad, ...]
    supports: tuple[str, ...]
    chainages: tuple[float, ...]
    continuous: bool
    unit_length: float
    depth: float
    deck_type: Literal["steel", "composite", "concrete"]
    deck_width: float
