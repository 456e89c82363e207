"""How rollers, segments and rockers stand when what they carry has moved. SI units, own geometry.

A movement e is that of the upper plate against the lower one, + toward rising chainage; turns are
right-handed about the axis square to it, + where the top leans toward rising chainage.
"""

from __future__ import annotations

import math

from bedstone.bearings.rolling import roller_travel, travel_to_stop

__all__ = [
    "clear_between",
    "lean",
    "rocker_tilt",
    "roller_gaps",
    "roller_offset",
    "roller_turn",
    "travel_to_stop",
]


def roller_offset(movement: float) -> float:
    """Offset (m) of a roller from the middle of the lower plate: half of the movement."""
    return roller_travel(movement)


def roller_turn(movement: float, diameter: float) -> float:
    """Turn (rad) of a roller or segment of a diameter (m): it rolls half of the movement."""
    return movement / diameter


def rocker_tilt(movement: float, radius: float) -> float:
    """Tilt (rad) of a rocker that hangs on a pin `radius` (m) above the face on which it rolls.

    Its lower face rolls off a length R phi and the pin stays above the contact, so that the pin
    moves by that length.
    """
    return movement / radius


def lean(turn: float, height: float) -> float:
    """How far (m) the upper end of a plumb line on a flat side of a `height` (m) comes to lean."""
    return height * math.sin(turn)


def roller_gaps(gap: float, movement: float) -> tuple[float, float]:
    """Gaps (m) behind and ahead from a roller to stops that stand `gap` (m) off it at rest.

    The roller moves half of the movement, so the one ahead closes when the movement is 2 `gap`.
    """
    moved = roller_offset(movement)
    return gap + moved, gap - moved


def clear_between(spacing: float, width: float, turn: float) -> float:
    """Clear distance (m) between the flat sides of neighbouring segments turned by `turn` (rad).

    Square to their sides; `spacing` of their axes, `width` of a segment (m).
    """
    return spacing * math.cos(turn) - width
