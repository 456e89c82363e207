"""Sizes and statics of bearings that turn on a curved sheet, spherical or cylindrical. SI.

From below: a concave block that holds the curved sheet, a convex segment that turns on it, the flat
sheet in the top of the segment, the sliding plate. Where a fixed bearing holds by its curve alone
there is no flat sheet and the segment is fixed to the plate above.

All by statics about the centre of the curve, `radius` R above the lowest point of the sheet: the
curved sheet resists rotation with mu_c N R; friction F of the flat sheet acts R - b below the
centre; a force inclined by F/N meets the curve at R F/N from its lowest point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bedstone.bearings.base import Part
from bedstone.bearings.common.materials import STEEL_DENSITY
from bedstone.bearings.common.seating import Seating
from bedstone.bearings.sliding_sheet import SHOULDER, Sheet, Slide


@dataclass(frozen=True)
class Curve:
    """Block, curved sheet and segment as made; m.

    `sheet` by its projection: round (spherical) or rectangular, `length` the chord of the curve.
    `segment_length`, `segment_width`: plan of the convex segment (its diameter if round),
    `segment_edge`: its thickness at the edge of the chord; `block_length`, `block_width`: plan of
    the block, `block_centre`: its thickness under the lowest point.
    """

    sheet: Sheet
    radius: float
    segment_length: float
    segment_width: float
    segment_edge: float
    block_length: float
    block_width: float
    block_centre: float

    @property
    def angle(self) -> float:
        """Included angle 2 theta of the sheet, rad."""
        return round(2.0 * math.asin(min(self.sheet.length / (2.0 * self.radius), 1.0)), 9)

    def rise(self, chord: float) -> float:
        """Height of the curve over a chord (m)."""
        half = min(chord / 2.0, self.radius)
        return self.radius - math.sqrt(self.radius**2 - half**2)

    @property
    def segment(self) -> float:
        """Thickness of the segment in its middle (b), m."""
        return self.rise(self.segment_length) + self.segment_edge

    @property
    def rim(self) -> float:
        """Height of the block at its rim, m."""
        return self.block_centre + self.rise(self.sheet.length + 2.0 * SHOULDER)

    @property
    def height(self) -> float:
        """From the underside of the block to the top of the segment, m."""
        return self.block_centre + self.sheet.protrusion + self.segment

    @property
    def gap(self) -> float:
        """From the rim of the block to the top of the segment, m."""
        return self.height - self.rim


@dataclass(frozen=True)
class CurvedBearing:
    """A spherical or cylindrical bearing as made."""

    curve: Curve
    slide: Slide | None
    lower: Seating
    upper: Seating

    @property
    def height(self) -> float:
        """From the underside of the base plate to the top of the upper plate, m."""
        slide = self.slide.height if self.slide is not None else 0.0
        return self.lower.thickness + self.curve.height + slide + self.upper.thickness


def curved_eccentricity(curve: Curve, mu_curved: float, slope: float) -> float:
    """Eccentricity (m) of the force on the curved sheet; `slope`: horizontal over vertical."""
    return curve.radius * (mu_curved + abs(slope))


def flat_eccentricity(curve: Curve, mu_curved: float, slope: float, rotation: float) -> float:
    """Eccentricity (m) of the force on the flat sheet from the middle of the segment.

    Friction of both sheets about the centre of the curve, and the way the segment goes aside when
    it turns by `rotation` (rad).
    """
    arm = max(curve.radius - curve.segment, 0.0)
    return mu_curved * curve.radius + abs(slope) * arm + abs(rotation) * arm


def friction_moment(curve: Curve, mu_curved: float, slope: float, force: float) -> float:
    """Moment (N m) with which friction resists a rotation under a vertical force (N)."""
    arm = max(curve.radius - curve.segment, 0.0)
    return force * (mu_curved * curve.radius + abs(slope) * arm)


def cover(curve: Curve, rotation: float) -> float:
    """Chord (m) that the segment needs so that it covers the sheet under a rotation (rad)."""
    half = math.asin(min(curve.sheet.length / (2.0 * curve.radius), 1.0)) + abs(rotation)
    return 2.0 * curve.radius * math.sin(min(half, math.pi / 2.0))


def curve_parts(curve: Curve, steel: str, mating: str) -> list[Part]:
    """Concave block and convex segment."""
    mm = 1e3
    round_ = curve.sheet.round
    share = math.pi / 4.0 if round_ else 1.0
    chord = curve.sheet.length + 2.0 * SHOULDER
    block = share * curve.block_length * curve.block_width * curve.rim - _hollow(
        curve, chord, curve.sheet.width + 2.0 * SHOULDER
    )
    segment = share * curve.segment_length * curve.segment_width * curve.segment_edge + _hollow(
        curve, curve.segment_length, curve.segment_width
    )
    plan = (
        (f"{curve.block_length * mm:.0f} dia.", f"{curve.segment_length * mm:.0f} dia.")
        if round_
        else (
            f"{curve.block_length * mm:.0f} x {curve.block_width * mm:.0f}",
            f"{curve.segment_length * mm:.0f} x {curve.segment_width * mm:.0f}",
        )
    )
    return [
        Part(
            "concave block",
            steel,
            f"{plan[0]} x {curve.rim * mm:.0f}, radius {curve.radius * mm:.0f}",
            {
                "length": curve.block_length,
                "width": curve.block_width,
                "height": curve.rim,
                "centre": curve.block_centre,
                "radius": curve.radius,
            },
            block * STEEL_DENSITY,
            function="holds the curved sheet; the guides press on its sides",
        ),
        Part(
            "convex segment",
            f"{steel}, {mating} below",
            f"{plan[1]} x {curve.segment * mm:.0f}, radius {curve.radius * mm:.0f}",
            {
                "length": curve.segment_length,
                "width": curve.segment_width,
                "height": curve.segment,
                "edge": curve.segment_edge,
                "radius": curve.radius,
            },
            segment * STEEL_DENSITY,
            function="turns on the curved sheet",
        ),
    ]


def _hollow(curve: Curve, chord: float, width: float) -> float:
    """Volume (m3) under the curve over a chord: cap of a sphere, or segment of a cylinder."""
    rise = curve.rise(chord)
    if curve.sheet.round:
        return math.pi * rise**2 * (3.0 * curve.radius - rise) / 3.0
    half = math.asin(min(chord / (2.0 * curve.radius), 1.0))
    return curve.radius**2 * (half - math.sin(half) * math.cos(half)) * width
