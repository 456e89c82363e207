"""Bearings with a sliding sheet, and pots, discs and curved ones that hold: as pieces."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.bearings.base import Design
from bedstone.bearings.common.seating_plate import Seating
from bedstone.bearings.disc import Disc
from bedstone.bearings.pot_sizes import Pot
from bedstone.bearings.sliding import PlaneSliding
from bedstone.bearings.sliding_element import STRIP_SEAT, seat_size
from bedstone.bearings.sliding_sheet import SHOULDER, Slide
from bedstone.bearings.spherical_statics import CurvedBearing
from bedstone.output.drawing import plates
from bedstone.output.drawing.picture import Point
from bedstone.output.drawing.pieces import (
    Assembly,
    Block,
    Extruded,
    Label,
    Measure,
    Piece,
    Style,
    Turned,
    Upright,
    arc,
)

_UPPER = ("sliding plate", "top plate", "upper plate", "sole plate")


def plane_sliding(bearing: PlaneSliding, design: Design) -> Assembly:
    """A sheet in the base plate under a sliding plate."""
    z = bearing.lower.thickness
    sheet = bearing.slide.sheet
    return _finished(
        design,
        bearing.lower,
        bearing.upper,
        [],
        z,
        bearing.slide,
        seat_size(sheet),
        _below_sheet(sheet.length, sheet.width, z),
    )


def pot(bearing: Pot, design: Design) -> Assembly:
    """Pot, pad, piston; a plate of its own under the slide where there is one."""
    body, z = bearing.body, bearing.lower.thickness
    outside, inside = body.outside / 2.0, body.diameter / 2.0
    deep = body.bottom + body.depth
    cup = (
        (0.0, 0.0),
        (outside, 0.0),
        (outside, deep),
        (inside, deep),
        (inside, body.bottom),
        (0.0, body.bottom),
    )
    pad = z + body.bottom
    piston = next((part for part in design.parts if part.name == "piston"), None)
    shaft = inside - body.clearance
    head = max(shaft, piston.dimensions.get("head", 0.0) / 2.0 if piston else 0.0)
    inner = min(body.piston, body.depth - body.pad)
    low = pad + body.pad
    plug = (
        (0.0, 0.0),
        (shaft, 0.0),
        (shaft, inner),
        *(((head, inner),) if head > shaft else ()),
        (head, body.piston),
        (0.0, body.piston),
    )
    pieces = [
        Piece("pot", Turned(cup), z),
        Piece("pad", Upright(body.diameter, body.pad), pad, stuff="rubber"),
        Piece("piston", Turned(plug), low),
    ]
    ring = Turned(
        (
            (inside - body.ring_width, 0.0),
            (inside, 0.0),
            (inside, body.rings * body.ring_depth),
            (inside - body.ring_width, body.rings * body.ring_depth),
        )
    )
    seal = low - body.rings * body.ring_depth
    pieces.append(Piece("sealing ring", ring, seal, stuff="sheet", plan="none"))
    z += body.height
    levels = [bearing.lower.thickness, z]
    seat = (2.0 * head, 2.0 * head)
    if bearing.middle:
        plate = next(part for part in design.parts if part.name == "middle plate").dimensions
        seat = (plate["length"], plate["width"])
        form = Block(plate["length"], plate["width"], bearing.middle)
        pieces.append(Piece("middle plate", form, z))
        z += bearing.middle
        levels.append(z)
    measures = [
        Measure("along", (-inside, pad), (inside, pad)),
        Measure("along", (-outside, pad), (outside, pad)),
    ]
    return _finished(
        design, bearing.lower, bearing.upper, pieces, z, bearing.slide, seat, measures, levels
    )


def disc(bearing: Disc, design: Design) -> Assembly:
    """A disc with a pin in its middle, rings around it."""
    body, z = bearing.body, bearing.lower.thickness
    pieces = [
        Piece("disc", Upright(body.diameter, body.thickness, body.hole), z, stuff="rubber"),
    ]
    pin = next((part for part in design.parts if part.name == "pin"), None)
    if pin is not None:
        grip = 0.5 * body.pin  # the list of parts gives the pin half its diameter in each plate
        form = Upright(body.pin, body.thickness + 2.0 * grip)
        pieces.append(Piece("pin", form, z - grip, along="inside", across="inside", plan="inside"))
    wall = 0.010  # as in the list of parts
    ring = Upright(body.diameter + 2.0 * wall, body.ring, body.diameter)
    top = z + body.thickness
    pieces += [Piece("limiting ring", ring, level) for level in (z, top - body.ring)]
    levels = [z, top]
    seat = (body.diameter, body.diameter)
    if body.plate:
        plate = next(part for part in design.parts if part.name == "middle plate").dimensions
        seat = (plate["length"], plate["width"])
        pieces.append(
            Piece("middle plate", Block(plate["length"], plate["width"], body.plate), top)
        )
        levels.append(top + body.plate)
    radius = body.diameter / 2.0
    measures = [Measure("along", (-radius, z), (radius, z))]
    return _finished(
        design,
        bearing.lower,
        bearing.upper,
        pieces,
        top + body.plate,
        bearing.slide,
        seat,
        measures,
        levels,
    )


def curved(bearing: CurvedBearing, design: Design) -> Assembly:
    """Spherical and cylindrical bearings: block, curved sheet, segment."""
    curve, z = bearing.curve, bearing.lower.thickness
    sheet = curve.sheet
    low = curve.block_centre + sheet.protrusion  # lowest point of the segment above the block
    centre = low + curve.radius
    hollow = min(sheet.length / 2.0 + SHOULDER, curve.block_length / 2.0)
    outer = curve.radius + sheet.protrusion
    half = curve.segment_length / 2.0
    block = _hollow(curve.block_length / 2.0, hollow, centre, outer)
    segment = _cap(half, centre, curve.radius, low + curve.segment)
    band = _band(sheet.length / 2.0, centre, curve.radius, sheet.thickness)
    if sheet.round:
        forms = (Turned(_right(block)), Turned(_right(segment)), Turned(_right(band)))
    else:
        forms_ = (
            Extruded(block, curve.block_width),
            Extruded(segment, curve.segment_width),
            Extruded(band, sheet.width),
        )
        forms = forms_  # type: ignore[assignment]
    name = plates.name_of(design, "curved sliding sheet", "sliding sheet")
    pieces = [
        Piece("concave block", forms[0], z),
        Piece("convex segment", forms[1], z),
        Piece(name, forms[2], z, stuff="sheet", plan="inside"),
    ]
    top = z + curve.height
    levels = [z, top]
    seat = (curve.block_length, curve.block_width)
    measures = [
        Measure("along", (-sheet.length / 2.0, z), (sheet.length / 2.0, z)),
        Measure("along", (-half, z), (half, z)),
    ]
    label = Label("along", (0.3 * sheet.length, z + low), f"R {curve.radius * 1e3:.0f}")
    return _finished(
        design,
        bearing.lower,
        bearing.upper,
        pieces,
        top,
        bearing.slide,
        seat,
        measures,
        levels,
        (label,),
    )


# ------------------------------------------------------------------ parts of them
def _finished(
    design: Design,
    lower: Seating,
    upper: Seating,
    between: list[Piece],
    z: float,
    slide: Slide | None,
    seat: tuple[float, float],
    measures: Sequence[Measure],
    levels: Sequence[float] = (),
    labels: Sequence[Label] = (),
) -> Assembly:
    """Plates below and above, with the slide between `z` and the upper one."""
    name = plates.name_of(design, *_UPPER)
    pieces = [*plates.below(design, lower), *between]
    marks = [0.0, lower.thickness, *levels]
    notes = plates.notes(lower)
    if slide is not None:
        under = z + slide.height
        pieces += _slide(slide, z, under, upper, seat, lower.thickness)
        notes.append(
            "Free movement each way from the middle: "
            f"{slide.way_x * 1e3:.4g} mm along x', {slide.way_y * 1e3:.4g} mm along y'."
        )
        lowest = min((under - pair.bar_height for pair in slide.guides), default=z)
        if lowest < lower.thickness - 1e-9:
            notes.append(
                "The guide bars (dashed) reach below the top of the base plate: the sheet needs a "
                "raised seat, whose height is not part of the design."
            )
        z = under
    pieces += plates.above(design, upper, z, name)
    marks += [z, z + upper.thickness]
    hidden = (name, "stainless sheet", *(p.part for p in pieces if p.part.startswith("guide")))
    return Assembly(
        tuple(pieces),
        tuple(marks),
        tuple(dict.fromkeys(hidden)),
        plates.plans(lower, upper),
        tuple(measures),
        tuple(labels),
        tuple(notes),
    )


def _slide(
    slide: Slide,
    z: float,
    under: float,
    upper: Seating,
    seat: tuple[float, float],
    floor: float,
) -> list[Piece]:
    """Sheet, stainless surface and guides; `z`: top of what holds the sheet.

    Guides that would reach below the `floor` (top of the base plate) are dashed.
    """
    sheet = slide.sheet
    recess = sheet.thickness - sheet.protrusion
    if sheet.round:
        form: Upright | Block = Upright(sheet.length, sheet.thickness)
    else:
        form = Block(sheet.length, sheet.width, sheet.thickness)
    pieces = [
        Piece("sliding sheet", form, z - recess, stuff="sheet"),
        Piece(
            "stainless sheet",
            Block(slide.stainless_length, slide.stainless_width, slide.stainless_thickness),
            under - slide.stainless_thickness,
            stuff="sheet",
            plan="inside",
        ),
    ]
    for pair in slide.guides:
        word = "across" if pair.holds == "y" else "along"
        across = pair.holds == "y"
        side = max(seat[1 if across else 0], seat_size(sheet)[1 if across else 0])
        inner = side / 2.0 + pair.play + STRIP_SEAT
        at = inner + pair.bar_width / 2.0
        long = upper.length if across else upper.width
        bar = (
            Block(long, pair.bar_width, pair.bar_height)
            if across
            else Block(pair.bar_width, long, pair.bar_height)
        )
        strip = (
            Block(pair.strip_length, STRIP_SEAT, pair.strip_height)
            if across
            else Block(STRIP_SEAT, pair.strip_length, pair.strip_height)
        )
        low = under - pair.bar_height
        style: Style = "inside" if low < floor - 1e-9 else "auto"
        for sign in (-1.0, 1.0):
            x, y = (0.0, sign * at) if across else (sign * at, 0.0)
            name = f"guide bar, holds {word}"
            pieces.append(Piece(name, bar, low, x, y, along=style, across=style))
            reach = sign * (side / 2.0 + STRIP_SEAT / 2.0)
            x, y = (0.0, reach) if across else (reach, 0.0)
            pieces.append(
                Piece(
                    f"guide strip, holds {word}",
                    strip,
                    low,
                    x,
                    y,
                    stuff="sheet",
                    along=style,
                    across=style,
                    plan="none",
                )
            )
    return pieces


def _below_sheet(length: float, width: float, z: float) -> list[Measure]:
    return [
        Measure("along", (-length / 2.0, z), (length / 2.0, z)),
        Measure("across", (-width / 2.0, z), (width / 2.0, z)),
    ]


def _hollow(half: float, chord: float, centre: float, radius: float) -> tuple[Point, ...]:
    """A block whose upper face is hollow over a chord (half of it given)."""
    angle = math.asin(min(1.0, chord / radius))
    face = arc(0.0, centre, radius, 1.5 * math.pi + angle, 1.5 * math.pi - angle)
    rim = face[0][1]
    return (-half, 0.0), (half, 0.0), (half, rim), *face, (-half, rim)


def _cap(half: float, centre: float, radius: float, top: float) -> tuple[Point, ...]:
    """A segment that is round below and flat on top."""
    angle = math.asin(min(1.0, half / radius))
    face = arc(0.0, centre, radius, 1.5 * math.pi - angle, 1.5 * math.pi + angle)
    return *face, (half, top), (-half, top)


def _band(half: float, centre: float, radius: float, thickness: float) -> tuple[Point, ...]:
    """A curved sheet."""
    angle = math.asin(min(1.0, half / radius))
    start, end = 1.5 * math.pi - angle, 1.5 * math.pi + angle
    inner = arc(0.0, centre, radius, start, end)
    return *inner, *arc(0.0, centre, radius + thickness, end, start)


def _right(profile: Sequence[Point]) -> tuple[Point, ...]:
    """The right half of a symmetric profile, as a closed line from its axis."""
    found: list[Point] = []
    count = len(profile)
    for i in range(count):
        (x1, z1), (x2, z2) = profile[i], profile[(i + 1) % count]
        if x1 >= -1e-9:
            found.append((max(x1, 0.0), z1))
        if (x1 > 1e-9 and x2 < -1e-9) or (x1 < -1e-9 and x2 > 1e-9):
            found.append((0.0, z1 + (z2 - z1) * x1 / (x1 - x2)))
    return tuple(found)
