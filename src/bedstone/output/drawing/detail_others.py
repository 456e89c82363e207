"""Pins, knuckles, guides, laminated pads and uplift restraints as pieces."""

from __future__ import annotations

import math

from bedstone.bearings.base import Design
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.guide import GuideBearing
from bedstone.bearings.knuckle import KnuckleBearing
from bedstone.bearings.pin_checks import PinBearing
from bedstone.bearings.uplift import UpliftRestraint
from bedstone.output.drawing import plates
from bedstone.output.drawing.pieces import (
    Assembly,
    Block,
    Extruded,
    Label,
    Lying,
    Measure,
    Piece,
    Upright,
    arc,
)


def pin(bearing: PinBearing, design: Design) -> Assembly:
    """A pin through one upper and two lower lugs."""
    base, z = bearing.base, bearing.base.thickness
    half, hole = bearing.lug_width / 2.0, bearing.hole / 2.0
    low, high = bearing.height_below, bearing.height_above
    up = ((-half, 0.0), (half, 0.0), *arc(0.0, low, half, 0.0, math.pi))
    down = ((half, high), (-half, high), *arc(0.0, 0.0, half, math.pi, 2.0 * math.pi))
    aside = bearing.middle / 2.0 + bearing.gap + bearing.outer / 2.0
    axis = z + low
    top = axis + high
    pieces = [
        *plates.below(design, base),
        *(
            Piece("lower lug", Extruded(up, bearing.outer, (0.0, low, hole)), z, y=sign * aside)
            for sign in (-1.0, 1.0)
        ),
        Piece("upper lug", Extruded(down, bearing.middle, (0.0, 0.0, hole)), axis),
        Piece(
            "pin",
            Lying(bearing.diameter, bearing.pin_length),
            axis - bearing.diameter / 2.0,
            along="seen",
            across="seen",
        ),
        *plates.above(design, bearing.sole, top, "sole plate"),
    ]
    levels = (0.0, z, axis, top, top + bearing.sole.thickness)
    measures = (
        Measure("along", (-half, z), (half, z)),
        Measure("across", (-bearing.middle / 2.0, z), (bearing.middle / 2.0, z)),
        Measure("across", (-bearing.span / 2.0, z), (bearing.span / 2.0, z)),
    )
    return Assembly(
        tuple(pieces),
        levels,
        ("sole plate",),
        plates.plans(base, bearing.sole),
        measures,
        (),
        tuple(plates.notes(base)),
    )


def knuckle(bearing: KnuckleBearing, design: Design) -> Assembly:
    """A hollow saddle on a convex block."""
    base, z = bearing.base, bearing.base.thickness
    half, crown = bearing.chord / 2.0, bearing.lower_height
    cap = arc(
        0.0,
        crown - bearing.radius,
        bearing.radius,
        math.pi / 2.0 - bearing.half_angle,
        math.pi / 2.0 + bearing.half_angle,
    )
    block = ((-half, 0.0), (half, 0.0), *cap)
    top = crown + bearing.upper_height
    angle = math.asin(min(1.0, half / bearing.mate))
    centre = crown - bearing.mate
    hollow = arc(0.0, centre, bearing.mate, math.pi / 2.0 + angle, math.pi / 2.0 - angle)
    saddle = (*hollow, (half, top), (-half, top))
    collar = next((part for part in design.parts if part.name == "collar"), None)
    pieces = [
        *plates.below(design, base),
        Piece("knuckle block", Extruded(block, bearing.length), z),
        Piece("saddle", Extruded(saddle, bearing.length), z),
    ]
    if collar is not None:
        tall, play = collar.dimensions["height"], collar.dimensions.get("play", 0.0)
        form = Block(bearing.chord, bearing.collar, tall)
        at = bearing.length / 2.0 + play + bearing.collar / 2.0
        pieces += [
            Piece("collar", form, z + crown - tall / 2.0, y=sign * at, along="inside")
            for sign in (-1.0, 1.0)
        ]
    pieces += plates.above(design, bearing.sole, z + top, "sole plate")
    levels = (0.0, z, z + crown, z + top, z + top + bearing.sole.thickness)
    measures = (
        Measure("along", (-half, z), (half, z)),
        Measure("across", (-bearing.length / 2.0, z), (bearing.length / 2.0, z)),
    )
    radii = f"R {bearing.radius * 1e3:.4g} in R {bearing.mate * 1e3:.4g}"
    label = Label("along", (0.5 * half, z + crown - 0.1 * bearing.radius), radii)
    return Assembly(
        tuple(pieces),
        levels,
        ("sole plate",),
        plates.plans(base, bearing.sole),
        measures,
        (label,),
        tuple(plates.notes(base)),
    )


def guide(bearing: GuideBearing, design: Design) -> Assembly:
    """A key between bars."""
    base, z = bearing.base, bearing.base.thickness
    top = z + bearing.gap
    pieces = [
        *plates.below(design, base),
        Piece("key", Block(bearing.key_length, bearing.key_width, bearing.key_height), z),
    ]
    one = len(bearing.pairs) == 1
    upper = ["sole plate"]
    for pair in bearing.pairs:
        across = pair.holds == "y"
        word = "across" if across else "along"
        side = bearing.key_width if across else bearing.key_length
        long = bearing.side(pair) + (2.0 * bearing.way if one else 0.0)
        at = side / 2.0 + pair.play + pair.bar_width / 2.0
        upper.append(f"guide bar, holds {word}")
        for sign in (-1.0, 1.0):
            if across:
                bar = Block(long, pair.bar_width, pair.bar_height)
                pieces.append(Piece(upper[-1], bar, top - pair.bar_height, 0.0, sign * at))
            else:
                bar = Block(pair.bar_width, long, pair.bar_height)
                pieces.append(Piece(upper[-1], bar, top - pair.bar_height, sign * at, 0.0))
    pieces += plates.above(design, bearing.sole, top, "sole plate")
    levels = (0.0, z, z + bearing.key_height, top, top + bearing.sole.thickness)
    measures = (
        Measure("along", (-bearing.key_length / 2.0, z), (bearing.key_length / 2.0, z)),
        Measure("across", (-bearing.key_width / 2.0, z), (bearing.key_width / 2.0, z)),
    )
    play = max(pair.play for pair in bearing.pairs)
    notes = [
        *plates.notes(base),
        (
            f"Play between key and bars {play * 1e3:.4g} mm on each side; the strips on its "
            "sides are not drawn."
        ),
    ]
    if one and bearing.way:
        notes.append(f"Free movement each way along the bars: {bearing.way * 1e3:.4g} mm.")
    plans = plates.plans(base, bearing.sole)
    return Assembly(tuple(pieces), levels, tuple(upper), plans, measures, (), tuple(notes))


def pad(bearing: Elastomeric, _design: Design) -> Assembly:
    """Layers of elastomer and steel, outer plates, a slide on top."""
    own = bearing.pad
    z = bearing.outer_plate
    pieces: list[Piece] = []

    def plate(name: str, length: float, width: float, thick: float, level: float) -> Piece:
        form = Upright(length, thick) if own.round else Block(length, width, thick)
        return Piece(name, form, level)

    if z:
        pieces.append(plate("outer plate", own.length, own.width, z, 0.0))
    core = plate("laminated pad", own.length, own.width, own.height, z)
    pieces.append(Piece(core.part, core.form, core.z, stuff="rubber"))
    step = own.layer + own.plate
    for i in range(own.layers + 1):
        inner = plate(
            "reinforcing plate",
            own.plate_length,
            own.plate_width,
            own.plate,
            z + own.cover + i * step,
        )
        hidden = "inside" if i == own.layers else "none"
        pieces.append(
            Piece(inner.part, inner.form, inner.z, stuff="sheet", plan=hidden)  # type: ignore[arg-type]
        )
    levels = [0.0, *([z] if z else []), z + own.height]
    z += own.height
    if bearing.outer_plate:
        pieces.append(plate("outer plate", own.length, own.width, bearing.outer_plate, z))
        z += bearing.outer_plate
        levels.append(z)
    upper: tuple[str, ...] = ()
    notes = [
        (
            f"{own.layers} inner layers of {own.layer * 1e3:.3g} mm between {own.layers + 1} "
            f"plates of {own.plate * 1e3:.3g} mm; cover {own.cover * 1e3:.3g} mm above and below, "
            f"{own.side_cover * 1e3:.3g} mm at the sides."
        )
    ]
    if bearing.slide is not None:
        slide = bearing.slide
        upper = ("slide plate with stainless sheet",)
        pieces.append(plate("backing plate", own.length, own.width, slide.backing, z))
        z += slide.backing
        sheet = Block(slide.length, slide.width, slide.sheet_thickness)
        pieces.append(Piece("sliding sheet", sheet, z - slide.sheet_thickness / 2.0, stuff="sheet"))
        z += slide.sheet_thickness / 2.0
        top = Block(slide.plate_length, slide.plate_width, slide.plate_thickness)
        pieces.append(Piece(upper[0], top, z))
        levels.append(z)
        z += slide.plate_thickness
        levels.append(z)
    if bearing.dowels:
        notes.append(
            f"{bearing.dowels} dowels {bearing.dowel * 1e3:.0f} dia. beside the pad are not drawn: "
            "their places are not part of the design."
        )
    half = own.plate_length / 2.0
    measures = (
        Measure("along", (-half, 0.0), (half, 0.0)),
        Measure("along", (-own.length / 2.0, 0.0), (own.length / 2.0, 0.0)),
        Measure("across", (-own.width / 2.0, 0.0), (own.width / 2.0, 0.0)),
    )
    plans = [(own.length, own.width)]
    if bearing.slide is not None:
        plans.append((bearing.slide.plate_length, bearing.slide.plate_width))
    return Assembly(tuple(pieces), tuple(levels), upper, tuple(plans), measures, (), tuple(notes))


def uplift(bearing: UpliftRestraint, design: Design) -> Assembly:
    """Tie bolts on both sides of a web, from brackets down to anchor plates."""
    sizes = {part.name: part.dimensions for part in design.parts}
    d, length = sizes["tie bolt"]["diameter"], sizes["tie bolt"]["length"]
    bracket = sizes["bracket"]
    depth = 15.0 * d  # of the anchor plate, as its check takes it
    top = depth + bearing.anchor_plate + bearing.free_length
    rows = max(1, bearing.rods // 2)
    spread = bracket["length"]
    xs = [(i - (rows - 1) / 2.0) * spread for i in range(rows)]
    pieces: list[Piece] = []
    for x in xs:
        for sign in (-1.0, 1.0):
            y = sign * bearing.arm
            anchor = Block(bearing.plate, bearing.plate, bearing.anchor_plate)
            pieces.append(Piece("anchor plate", anchor, 0.0, x, y, along="seen", across="seen"))
            rod = Upright(d, length)
            start = -1.5 * d
            pieces.append(
                Piece("tie bolt", rod, start, x, y, along="seen", across="seen", plan="seen")
            )
            plate = Block(bracket["length"], bracket["width"], bearing.bracket)
            at = sign * bracket["width"] / 2.0
            pieces.append(Piece("bracket", plate, top, x, at, along="seen", across="seen"))
    levels = (0.0, bearing.anchor_plate, top, top + bearing.bracket)
    notes = (
        (
            f"Slack below the nuts {bearing.slack * 1e3:.4g} mm; slots let the superstructure move "
            f"{bearing.way * 1e3:.4g} mm each way. Length between the ends of the rods "
            f"{bearing.free_length * 1e3:.0f} mm."
        ),
        (
            "Thickness of the web, top of the concrete and spacing of the rods along the "
            "bridge are not part of the design; brackets are drawn side by side, for a web "
            "without thickness."
        ),
        "Washers, nuts, slots and the reinforcement of the concrete are not drawn.",
    )
    return Assembly(tuple(pieces), levels, ("bracket",), (), (), (), notes)
