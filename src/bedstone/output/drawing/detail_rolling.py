"""Rollers, nests, rockers and rocker on nest as pieces."""

from __future__ import annotations

import math
from itertools import pairwise

from bedstone.bearings.base import Design
from bedstone.bearings.rocker import RockerBearing
from bedstone.bearings.rocker_contact import Rocker
from bedstone.bearings.rocker_nest import RockerOnNest
from bedstone.bearings.roller_set import Rollers
from bedstone.bearings.roller_sizing import RollerBearing
from bedstone.output.drawing import plates
from bedstone.output.drawing.pieces import (
    Assembly,
    Block,
    Extruded,
    Label,
    Lying,
    Measure,
    Piece,
    Turned,
    Upright,
    arc,
)

_PINTLES = (
    "The two pintles are drawn at the quarter points of the contact: their places are not part of "
    "the design."
)


def roller(bearing: RollerBearing, design: Design) -> Assembly:
    """Single roller, hardened roller and roller nest."""
    base, rollers = bearing.base, bearing.rollers
    pieces = plates.below(design, base)
    z = base.thickness
    pieces += _rollers(rollers, design, z)
    levels = [0.0, z]
    z += 2.0 * rollers.strip + rollers.diameter
    levels += [z, z + bearing.top.thickness]
    name = plates.name_of(design, "sole plate", "upper plate")
    pieces += plates.above(design, bearing.top, z, name)
    return Assembly(
        tuple(pieces),
        tuple(levels),
        (name,),
        plates.plans(base, bearing.top),
        _roller_measures(rollers, base.thickness),
        (),
        (*plates.notes(base), *_roller_notes(rollers)),
    )


def rocker(bearing: RockerBearing, design: Design) -> Assembly:
    """Line rocker and point rocker."""
    base, block = bearing.base, bearing.rocker
    pieces = plates.below(design, base)
    z = base.thickness
    pieces += _rocker(block, design, z, 0)
    levels = [0.0, z, z + block.height]
    z += block.height + block.strip
    if block.strip:
        levels.append(z)
    name = plates.name_of(design, "sole plate", "upper plate")
    pieces += plates.above(design, bearing.top, z, name)
    levels.append(z + bearing.top.thickness)
    return Assembly(
        tuple(pieces),
        tuple(levels),
        (name, "contact strip"),
        plates.plans(base, bearing.top),
        _rocker_measures(block, base.thickness),
        (_radius(block, base.thickness + block.height),),
        (*plates.notes(base), _PINTLES),
    )


def rocker_on_nest(bearing: RockerOnNest, design: Design) -> Assembly:
    """Rollers below, a plate on them, a rocker on that."""
    base, rollers, block, plate = bearing.base, bearing.rollers, bearing.rocker, bearing.knuckle
    pieces = plates.below(design, base)
    z = base.thickness
    pieces += _rollers(rollers, design, z)
    levels = [0.0, z]
    z += 2.0 * rollers.strip + rollers.diameter
    pieces.append(Piece("knuckle plate", Block(plate.length, plate.width, plate.thickness), z))
    levels.append(z)
    z += plate.thickness
    levels.append(z)
    pieces += _rocker(block, design, z, 1 if rollers.strip else 0)
    foot = z
    z += block.height + block.strip
    levels += [foot + block.height, z, z + bearing.top.thickness]
    name = plates.name_of(design, "sole plate", "upper plate")
    pieces += plates.above(design, bearing.top, z, name)
    return Assembly(
        tuple(pieces),
        tuple(levels),
        (name, "contact strip"),
        plates.plans(base, bearing.top),
        (
            *_roller_measures(rollers, base.thickness),
            *(m for m in _rocker_measures(block, foot) if m.view == "along"),
        ),
        (_radius(block, foot + block.height),),
        (*plates.notes(base), *_roller_notes(rollers), _PINTLES),
    )


# ------------------------------------------------------------------ parts of them
def _rollers(rollers: Rollers, design: Design, z: float) -> list[Piece]:
    """Rollers between two plates, the lower one ending at z."""
    guide = rollers.guide
    track = next(
        (part.dimensions["length"] for part in design.parts if part.name == "contact strip"), 0.0
    )
    pieces: list[Piece] = []
    axis = z + rollers.strip
    for level in (z, axis + rollers.diameter) if rollers.strip else ():
        # the rib stands between two strips
        half = (rollers.length - guide.lost) / 2.0
        shift = (rollers.length + guide.lost) / 4.0
        ys = (-shift, shift) if guide.lost else (0.0,)
        wide = half if guide.lost else rollers.length
        for y in ys:
            form = Block(track, wide, rollers.strip)
            pieces.append(Piece("contact strip", form, level, y=y, along="seen"))
    flats = rollers.width if rollers.width < rollers.diameter * (1.0 - 1e-9) else None
    grooves = ((0.0, guide.lost, guide.depth),) if guide.depth else ()
    form_ = Lying(rollers.diameter, rollers.length, flats, grooves)
    xs = [float(x) for x in rollers.x]
    pieces += [Piece("roller", form_, axis, x=x, along="seen") for x in xs]
    pieces += _guides(rollers, design, z, xs)
    pieces += _details(rollers, z, xs)
    return pieces


def _guides(rollers: Rollers, design: Design, z: float, xs: list[float]) -> list[Piece]:
    guide = rollers.guide
    if guide.form == "grooves":
        rib = next((part for part in design.parts if part.name == "guide rib"), None)
        if rib is None:
            return []
        tall = guide.height + guide.root
        form = Block(rib.dimensions["length"], guide.width, tall)
        high = z + 2.0 * rollers.strip + rollers.diameter - tall
        return [
            Piece("guide rib", form, level, along="inside", plan="inside") for level in (z, high)
        ]
    collar = Lying(rollers.diameter + 2.0 * guide.height, guide.width)
    level = z + rollers.strip - guide.height
    reach = rollers.length / 2.0 + guide.width / 2.0
    return [
        Piece("collar", collar, level, x, side * reach, along="seen")
        for x in xs
        for side in (-1.0, 1.0)
    ]


def _details(rollers: Rollers, z: float, xs: list[float]) -> list[Piece]:
    """Link bars, teeth and stops."""
    pieces: list[Piece] = []
    axis = z + rollers.strip + rollers.radius
    end = rollers.length / 2.0
    if rollers.guide.form == "flanges":
        end += rollers.guide.width
    if rollers.links is not None:
        links = rollers.links
        length = (rollers.number - 1) * rollers.spacing + 2.0 * links.depth
        bar = Block(length, links.thickness, links.depth)
        pin = Lying(links.pin, links.thickness)
        for side in (-1.0, 1.0):
            y = side * (end + links.thickness / 2.0)
            pieces.append(Piece("link bar", bar, axis - links.depth / 2.0, 0.0, y))
            pieces += [
                Piece("link pin", pin, axis - links.pin / 2.0, x, y, along="inside", plan="none")
                for x in xs
            ]
        end += links.thickness
    if rollers.teeth is not None:
        teeth = rollers.teeth
        tall = rollers.diameter + 2.0 * teeth.height
        form = Block(teeth.width, teeth.thickness, tall)
        for x in dict.fromkeys((xs[0], xs[-1])):
            for side in (-1.0, 1.0):
                y = side * (end + teeth.thickness / 2.0)
                pieces.append(
                    Piece("tooth bar", form, axis - tall / 2.0, x, y, along="inside", plan="seen")
                )
    stop = rollers.stop
    if stop.thickness:
        x = max(xs) + _side(rollers) + stop.gap + stop.thickness / 2.0
        form = Block(stop.thickness, stop.length, stop.height + stop.root)
        pieces += [Piece("stop bar", form, z, side * x) for side in (-1.0, 1.0)]
    return pieces


def _side(rollers: Rollers) -> float:
    """Half the width of a roller where it meets the stop."""
    height = rollers.stop.height
    half = math.sqrt(max(0.0, rollers.diameter * height - height**2))
    return min(half if height < rollers.radius else rollers.radius, rollers.width / 2.0)


def _roller_measures(rollers: Rollers, z: float) -> tuple[Measure, ...]:
    xs = [float(x) for x in rollers.x]
    level = z + rollers.strip
    found = []
    if rollers.number > 1:
        found += [Measure("along", (a, level), (b, level)) for a, b in pairwise(xs)]
    half = rollers.width / 2.0
    found.append(Measure("along", (xs[0] - half, level), (xs[0] + half, level)))
    end = rollers.length / 2.0
    found.append(Measure("across", (-end, level), (end, level)))
    return tuple(found)


def _roller_notes(rollers: Rollers) -> list[str]:
    found = [
        (
            f"Rollers {rollers.diameter * 1e3:.0f} dia.; their middle moves half of what the "
            "superstructure moves."
        )
    ]
    if rollers.teeth is not None:
        found.append("Tooth bars run in grooves of both plates, which are not drawn.")
    return found


def _rocker(block: Rocker, design: Design, z: float, nth: int) -> list[Piece]:
    """Block with its curved face, pintles and the strip above."""
    half = block.chord / 2.0
    angle = math.asin(min(1.0, half / block.radius))
    side = block.height - (block.radius - math.sqrt(max(block.radius**2 - half**2, 0.0)))
    centre = block.height - block.radius
    if block.shape == "line":
        face = arc(0.0, centre, block.radius, math.pi / 2.0 - angle, math.pi / 2.0 + angle)
        profile = ((-half, 0.0), (half, 0.0), (half, side), *face[1:-1], (-half, side))
        pieces = [Piece("rocker", Extruded(profile, block.length), z)]
        reach = block.length / 4.0
    else:
        face = arc(0.0, centre, block.radius, math.pi / 2.0 - angle, math.pi / 2.0)
        profile = ((0.0, 0.0), (half, 0.0), (half, side), *face[1:])
        pieces = [Piece("rocker", Turned(profile), z)]
        reach = block.chord / 4.0
    pin = Upright(block.pin, 1.5 * block.pin)
    level = z + block.height - block.pin
    pieces += [
        Piece("pintle", pin, level, 0.0, sign * reach, along="none", across="inside", plan="inside")
        for sign in (-1.0, 1.0)
    ]
    if block.strip:
        strips = [part for part in design.parts if part.name == "contact strip"]
        if len(strips) > nth:
            size = strips[nth].dimensions
            form = Block(size["length"], size["width"], block.strip)
            pieces.append(Piece("contact strip", form, z + block.height, nth=nth))
    return pieces


def _rocker_measures(block: Rocker, z: float) -> tuple[Measure, ...]:
    half, long = block.chord / 2.0, block.length / 2.0
    found = [Measure("along", (-half, z), (half, z))]
    if block.shape == "line":
        found.append(Measure("across", (-long, z), (long, z)))
    return tuple(found)


def _radius(block: Rocker, z: float) -> Label:
    return Label("along", (0.35 * block.chord, z - 0.004), f"R {block.radius * 1e3:.0f}")
