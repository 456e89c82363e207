"""The curve of a spherical or cylindrical bearing as sized and as given."""

from __future__ import annotations

import math
from typing import Literal

from bedstone.bearings.common import series
from bedstone.bearings.sliding_element import make_sheet
from bedstone.bearings.sliding_given import Sizes
from bedstone.bearings.sliding_rules import SlideRules
from bedstone.bearings.sliding_sheet import SHOULDER, Sheet
from bedstone.bearings.spherical_statics import Curve, cover

Shape = Literal["spherical", "cylindrical"]

_STEP = 0.01
#: Thickness of a segment at its edge and of a block under its sheet, and height left between block
#: and plate above when turned, m; common practice, no source.
_EDGE = 0.015
_CENTRE = 0.02
_GAP = 0.003
#: Included angle (rad) up to which is sized where the family has no limit; common practice, no
#: source (as EN 1337-7).
_STEEPEST = {"spherical": math.radians(60.0), "cylindrical": math.radians(75.0)}


def flat_sheet(shape: Shape, side: float, ratio: float, rules: SlideRules) -> Sheet:
    """The flat sheet of a side along x' (m); `ratio`: width over length of a rectangle."""
    if shape == "spherical":
        return make_sheet(rules, side, side)
    return make_sheet(rules, side, series.length(side * ratio, _STEP), round_=False)


def sized_curve(
    shape: Shape,
    chord: float,
    ratio: float,
    proportion: float,
    flat: float,
    rotation: float,
    rules: SlideRules,
) -> Curve:
    """The curve over a sheet of a chord (m), as steep as allowed and as its radius may be.

    `ratio`: width over chord; `proportion`: radius over chord at least; `flat`: side of the flat
    sheet on the segment (m, 0 for none); `rotation` (rad) with its allowance.
    """
    round_ = shape == "spherical"
    width = chord if round_ else series.length(chord * ratio, _STEP)
    sheet = make_sheet(rules, chord, width, round_=round_)
    least = chord / (2.0 * math.sin(greatest_angle(shape, rules) / 2.0))
    radius = series.length(max(least, proportion * chord), 0.005)
    bare = Curve(sheet, radius, chord, width, _EDGE, chord, width, _CENTRE)
    head = flat + 2.0 * SHOULDER if flat > 0.0 else 0.0
    segment = series.length(max(cover(bare, rotation), head), 0.005)
    across = (
        segment if round_ else series.length(max(width, head * ratio if flat > 0.0 else 0.0), 0.005)
    )
    recess = sheet.thickness - sheet.protrusion
    centre = series.length(max(_CENTRE, rules.backing(sheet.around) + recess), 0.005)
    edge = series.length(max(_EDGE, recess + 0.5 * _EDGE), 0.005)
    block = series.length(max(segment, chord + 2.0 * SHOULDER), _STEP)
    block_width = block if round_ else series.length(max(across, width + 2.0 * SHOULDER), _STEP)
    curve = Curve(sheet, radius, segment, across, edge, block, block_width, centre)
    # The plate above must clear the block when turned.
    needed = block / 2.0 * rotation + _GAP
    if curve.gap < needed:
        edge = series.length(edge + needed - curve.gap, 0.005)
        curve = Curve(sheet, radius, segment, across, edge, block, block_width, centre)
    return curve


def greatest_angle(shape: Shape, rules: SlideRules) -> float:
    """Greatest included angle (rad) of the curved sheet."""
    if rules.basis.family == "aashto":
        return _STEEPEST[shape]
    return rules.values.number(f"curved.angle.{shape}")


def given_curve(shape: Shape, read: Sizes, rules: SlideRules) -> Curve:
    """The curve as given; sizes that do not fit together become faults of `read`."""
    round_ = shape == "spherical"
    radius, chord = read.number("curve.radius"), read.number("curve.length")
    width = chord if round_ else read.number("curve.width")
    usual = make_sheet(rules, chord, width, round_=round_)
    thickness = read.number("curve.thickness", usual.thickness)
    protrusion = min(usual.protrusion, thickness)
    segment = read.number("segment.length")
    block = read.number("block.length")
    curve = Curve(
        Sheet(chord, width, thickness, protrusion, round_),
        radius,
        segment,
        segment if round_ else read.number("segment.width"),
        read.number("segment.edge"),
        block,
        read.number("block.width", block),
        read.number("block.centre"),
    )
    read.require(
        chord < 2.0 * radius, "curve.radius", "more than half the chord of the curved sheet"
    )
    read.require(segment < 2.0 * radius, "segment.length", "less than the diameter of the curve")
    read.require(segment >= chord - 1e-9, "segment.length", "at least the sheet's chord")
    read.require(block >= chord - 1e-9, "block.length", "at least the sheet's chord")
    return curve
