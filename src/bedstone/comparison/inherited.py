"""The bearing of a seat when its function is not that of the file's arrangement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bedstone.articulation.arrangement import direction
from bedstone.bridge.schema import Bridge, Function, Seat, Support
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import SeatPlace, Structure

#: Cosine of the angle to the axis beyond which a point lies abeam.
ABEAM = 0.5


@dataclass(frozen=True)
class Inherited:
    """What other arrangements take over from that of the file.

    `own`: the bearing of every seat in the file's arrangement; `directions`, `kinds`: by function.

    Where a seat keeps its function it keeps its bearing with all that the file says of it. Else:

    - direction: the one that all bearings of the function have in the file if they have one (as a
      word) in common, else ``arrangement.direction``. A bearing guided across holds along its x':
      turned toward the fixed point it would hold the very movement that leads away from there, and
      on the fixed point's own line it would hold across; so "toward fixed point" becomes "square",
      which leaves it free along its line.
    - kind: ``arrangement.kinds`` of the function;
    - held uplift and rotations, vertical and rotational springs and the play of what holds stay:
      they do not belong to the function in plan. Friction stays with the kind. Stops go: they
      belong to the bearing that was there.
    """

    own: Mapping[str, Seat]
    directions: Mapping[Function, str | float]
    kinds: Mapping[Function, str]

    def aimed(
        self, bearing: Seat, place: SeatPlace, structure: Structure, support: Support,
        point: Floats | None,
    ) -> Seat:  # fmt: skip
        """The bearing turned square to its line where the fixed point (2,) lies abeam.

        A bearing guided along toward a point on its own line would hold the bridge along, which is
        not what the rules ask of it. Bearings of the file stay as they are.
        """
        pointing = bearing.function == "guided along" and bearing.direction == "toward fixed point"
        if not pointing or point is None or bearing == self.own[place.mark]:
            return bearing
        off = direction(bearing, place, structure, support, point)
        off -= float(structure.axis.angle(support.chainage))
        return (
            bearing
            if abs(np.cos(off)) > ABEAM
            else bearing.model_copy(update={"direction": "square"})
        )

    def bearing(self, mark: str, function: Function) -> Seat:
        """The bearing of a seat at a function."""
        own = self.own[mark]
        if own.function == function:
            return own
        kind = self.kinds.get(function)
        return own.model_copy(
            update={
                "function": function,
                "direction": self.directions[function],
                "kind": kind,
                "friction": own.friction if kind is not None and kind == own.kind else None,
                "play": 0.0 if function in ("free", "none") else own.play,
                "travel": None,
            }
        )


def inherited(
    bridge: Bridge,
    tables: FrameData | ReactionData | None = None,
    kinds: Mapping[Function, str] | None = None,
) -> Inherited:
    """What the file's arrangement hands on; `kinds` come before those of the file.

    Raises `InputError` as `arrangement_functions`.
    """
    own = arrangement_functions(bridge, tables)
    arrangement = bridge.arrangement
    directions: dict[Function, str | float] = {}
    functions: tuple[Function, ...] = (
        "fixed", "guided along", "guided across", "free", "elastic", "none",
    )  # fmt: skip
    for function in functions:
        used = {seat.direction for seat in own.values() if seat.function == function}
        common = next(iter(used)) if len(used) == 1 else arrangement.direction
        told = common if isinstance(common, str) else arrangement.direction
        pointless = function == "guided across" and told == "toward fixed point"
        directions[function] = "square" if pointless else told
    return Inherited(own, directions, {**arrangement.kinds, **(kinds or {})})
