"""How rollers move: travel, turning, segments, neighbours, stops. SI units, own geometry.

The one fact behind it: a roller between two plates moves half of what the plates move against
each other (D. J. Lee, quoted for the pressure centre of roller bearings; kinematics of rolling).
"""

from __future__ import annotations

import math

from bedstone.errors import BedstoneError


def roller_travel(movement: float) -> float:
    """Travel (m) of the roller's centre when the superstructure moves by `movement` (m)."""
    return movement / 2.0


def rolling_angle(movement: float, radius: float) -> float:
    """Angle (rad) by which a roller turns: its centre moves R phi, half of `movement`."""
    return movement / (2.0 * radius)


def segment_limit(width: float, radius: float) -> float:
    """Angle (rad) at which a segment of `width` (m) comes to the edge of its arc.

    pi/2 for a full roller (width 2 R); raises `BedstoneError` for a segment wider than that.
    """
    if not 0.0 < width <= 2.0 * radius * (1.0 + 1e-9):
        raise BedstoneError(
            f"a segment {width:g} m wide is not cut from a roller of {2 * radius:g} m"
        )
    return math.asin(min(1.0, width / (2.0 * radius)))


def segment_area(width: float, radius: float) -> float:
    """Section (m2) of a roller cut down on both sides to `width` (m); the whole circle at 2 R."""
    half = segment_limit(width, radius)
    return radius**2 * (2.0 * half + math.sin(2.0 * half))


def touching_angle(width: float, gap: float) -> float:
    """Angle (rad) at which neighbouring segments, `gap` (m) apart when upright, touch.

    Turned by phi, their sides stand (width + gap) cos phi apart, less the width.
    """
    return math.acos(width / (width + gap))


def gap_needed(width: float, angle: float) -> float:
    """Clear gap (m) between upright segments that lets them turn by `angle` (rad)."""
    return width * (1.0 / math.cos(angle) - 1.0)


def plate_length(rollers: int, spacing: float, movement: float, margin: float) -> float:
    """Least length (m) of a plate along the movement: rollers, their travel each way, margins."""
    return (rollers - 1) * spacing + 2.0 * abs(roller_travel(movement)) + 2.0 * margin


def travel_to_stop(gap: float) -> float:
    """Movement (m) of the superstructure that ends at stops `gap` (m) from the roller: 2 g."""
    return 2.0 * gap


def stop_gap(movement: float) -> float:
    """Gap (m) from roller to stop that lets the superstructure move by `movement` (m): half."""
    return abs(movement) / 2.0


def stop_force(push: float, mass: float = 0.0, speed: float = 0.0, stiffness: float = 0.0) -> float:
    """Greatest force (N) when a moving superstructure reaches its stops.

    `push` (N) goes on pushing, `mass` (kg) arrives with `speed` (m/s), `stiffness` (N/m) of stop
    and abutment in line. Work: k d^2/2 = m v^2/2 + F d, so P = F + sqrt(F^2 + k m v^2): twice the
    push where nothing arrives with speed (a load that acts at once).
    """
    return push + math.sqrt(push**2 + stiffness * mass * speed**2)


def rib_contact(radius: float, depth: float) -> tuple[float, float]:
    """Area (m2) and chord (m) of the part of a roller's side within `depth` (m) of the plate.

    That circular segment is where a guide rib of this height bears on the side of a groove or
    flange.
    """
    if not 0.0 < depth < radius:
        raise BedstoneError(f"a rib {depth:g} m high does not fit a roller of radius {radius:g} m")
    chord = 2.0 * math.sqrt(2.0 * radius * depth - depth**2)
    area = radius**2 * math.acos(1.0 - depth / radius) - (radius - depth) * chord / 2.0
    return area, chord
