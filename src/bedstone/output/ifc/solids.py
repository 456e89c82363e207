"""Simple solids of a designed bearing, from its parts: plates, rollers, blocks and pots.

Axes are the bearing's own, m; z counts from the underside of the bearing. What is small or has no
known place (bolts, strips, links, welds) is not drawn and is named instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, cast

from bedstone.bearings.base import Design, Part
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.guide import GuideBearing
from bedstone.bearings.knuckle import KnuckleBearing
from bedstone.bearings.pin_checks import PinBearing
from bedstone.bearings.roller_set import Rollers
from bedstone.bridge.schema import BearingKind

Point = tuple[float, float]
_ARC = 12  # straight pieces of a curved face


@dataclass(frozen=True)
class Rectangle:
    """Sides along the two axes of the outline, about its origin."""

    first: float
    second: float

    @property
    def area(self) -> float:
        """Area, m2."""
        return self.first * self.second


@dataclass(frozen=True)
class Circle:
    """A circle, or a ring with a hole, about the origin; diameters."""

    diameter: float
    hole: float = 0.0

    @property
    def area(self) -> float:
        """Area, m2."""
        return math.pi / 4.0 * (self.diameter**2 - self.hole**2)


@dataclass(frozen=True)
class Polygon:
    """A closed outline by its corners, anticlockwise, the first not repeated."""

    corners: tuple[Point, ...]

    @property
    def area(self) -> float:
        """Area, m2."""
        return sum(_crosses(self.corners)) / 2.0

    @property
    def moment(self) -> float:
        """First moment about the second axis, m3."""
        pairs = zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True)
        sides = (first[0] + second[0] for first, second in pairs)
        return sum(c * s for c, s in zip(_crosses(self.corners), sides, strict=True)) / 6.0


@dataclass(frozen=True)
class Solid:
    """An outline moved through space.

    `way`: up (outline in x', y', moved up by `depth`); across (outline in x', z, moved by `depth`
    along y', half to each side of `at`); round (a polygon of radius and z turned about the upright
    axis through `at`; `depth` means nothing).
    """

    part: str
    material: str
    outline: Rectangle | Circle | Polygon
    way: Literal["up", "across", "round"]
    at: tuple[float, float, float]
    depth: float = 0.0

    @property
    def volume(self) -> float:
        """Volume, m3."""
        if self.way == "round":
            return 2.0 * math.pi * cast(Polygon, self.outline).moment
        return self.outline.area * self.depth

    @property
    def levels(self) -> tuple[float, float]:
        """Lowest and highest z, m."""
        z = self.at[2]
        if self.way == "up":
            return z, z + self.depth
        if isinstance(self.outline, Polygon):
            heights = [corner[1] for corner in self.outline.corners]
            return z + min(heights), z + max(heights)
        half = (
            self.outline.diameter if isinstance(self.outline, Circle) else self.outline.second
        ) / 2.0
        return z - half, z + half


@dataclass(frozen=True)
class Shape:
    """Solids of a bearing; `turning`: z where it turns; `left_out`: names of parts not drawn."""

    solids: tuple[Solid, ...]
    turning: float
    left_out: tuple[str, ...]


def shape_of(design: Design) -> Shape | None:
    """The solids of a bearing, or None for a kind whose parts have no known place."""
    stack = _Stack(design.parts)
    build = _KINDS.get(design.kind)
    if build is None:
        return None
    turning = build(stack, design)
    drawn = {solid.part for solid in stack.solids}
    names = dict.fromkeys(part.name for part in design.parts)
    return Shape(tuple(stack.solids), turning, tuple(name for name in names if name not in drawn))


# ------------------------------------------------------------------ stacking
@dataclass
class _Stack:
    """Parts put on top of each other: `z` is the level reached."""

    parts: Sequence[Part]
    z: float = 0.0
    solids: list[Solid] = field(default_factory=list)

    def find(self, name: str) -> Part | None:
        """A part that not every bearing of a kind has."""
        return next((part for part in self.parts if part.name == name), None)

    def part(self, name: str) -> Part:
        """A part without which there is no such bearing."""
        return next(part for part in self.parts if part.name == name)

    def add(
        self,
        part: Part,
        outline: Rectangle | Circle | Polygon,
        way: Literal["up", "across", "round"],
        at: tuple[float, float, float],
        depth: float = 0.0,
    ) -> None:
        self.solids.append(Solid(part.name, part.material, outline, way, at, depth))

    def layer(self, part: Part | None, height: float | None = None) -> None:
        """A plate, strip or sheet over its plan; `height` where it lies partly in a recess."""
        if part is None:
            return
        sizes = part.dimensions
        thick = sizes.get("thickness", sizes.get("height", 0.0)) if height is None else height
        if "length" in sizes:
            length, width = sizes["length"], sizes["width"]
            # a part says in its size whether it is round: its two sides are then its diameter
            outline = Circle(length) if " dia." in part.size else Rectangle(length, width)
        else:
            outline = Circle(sizes["diameter"], sizes.get("hole", 0.0))
        self.add(part, outline, "up", (0.0, 0.0, self.z), thick)
        self.z += thick

    def named(self, *names: str) -> None:
        """Layers by name, in order; those that the bearing does not have are passed over."""
        for name in names:
            self.layer(self.find(name))

    def rollers(self, rollers: Rollers) -> None:
        """Rollers side by side, with flats where they are cut to segments."""
        part = self.part("roller")
        outline = (
            Circle(rollers.diameter)
            if rollers.width >= rollers.diameter - 1e-9
            else _segment(rollers.radius, rollers.width)
        )
        for x in rollers.x:
            centre = (float(x), 0.0, self.z + rollers.radius)
            self.add(part, outline, "across", centre, rollers.length)
        self.z += rollers.diameter

    def slide(self) -> None:
        """Sheet as far as it stands out, stainless sheet, plate above, guide bars below that."""
        sheet = self.find("sliding sheet")
        if sheet is not None:
            self.layer(sheet, sheet.dimensions["protrusion"])
        self.named("stainless sheet")
        under = self.z
        self.named("sliding plate", "top plate")
        plate = self.find("sliding plate")
        if plate is not None:
            sizes = plate.dimensions
            self.bars(under, sizes["length"], sizes["width"])

    def bars(self, top: float, length: float, width: float) -> None:
        """Guide bars below a plate, along its edges `length` and `width` apart outside, m."""
        for name in ("guide bar, holds across", "guide bar, holds along"):
            part = self.find(name)
            if part is None:
                continue
            sizes = part.dimensions
            long, wide, high = sizes["length"], sizes["width"], sizes["height"]
            along = name.endswith("across")  # a bar beside y' runs along x'
            outline = Rectangle(long, wide) if along else Rectangle(wide, long)
            reach = ((width if along else length) - wide) / 2.0
            for side in (-reach, reach):
                x, y = (0.0, side) if along else (side, 0.0)
                self.add(part, outline, "up", (x, y, top - high), high)


# ------------------------------------------------------------------ kinds: where each turns
def _roller(stack: _Stack, design: Design) -> float:
    rollers = cast(Rollers, design.bearing.rollers)  # type: ignore[attr-defined]
    stack.named("base plate", "contact strip")
    stack.rollers(rollers)
    turning = stack.z
    stack.named("contact strip", "sole plate")
    return turning


def _rocker_on_nest(stack: _Stack, design: Design) -> float:
    rollers = cast(Rollers, design.bearing.rollers)  # type: ignore[attr-defined]
    strips = [part for part in stack.parts if part.name == "contact strip"]
    of_rollers = strips[0] if rollers.strip else None
    above = strips[-1] if design.bearing.rocker.strip else None  # type: ignore[attr-defined]
    stack.named("base plate")
    stack.layer(of_rollers)
    stack.rollers(rollers)
    stack.layer(of_rollers)
    stack.named("knuckle plate")
    turning = _block(stack)
    stack.layer(above)
    stack.named("sole plate")
    return turning


def _rocker(stack: _Stack, _: Design) -> float:
    stack.named("base plate")
    turning = _block(stack)
    stack.named("contact strip", "sole plate")
    return turning


def _block(stack: _Stack) -> float:
    """A rocker: its upper face turned to a cylinder, or to a sphere on a round block."""
    part = stack.part("rocker")
    sizes = part.dimensions
    height, radius, chord = sizes["height"], sizes["radius"], sizes["chord"]
    middle = height - radius  # level of the centre of the face
    at = (0.0, 0.0, stack.z)
    if " dia." in part.size:
        face = _face(radius, middle, 0.0, chord / 2.0)[::-1]
        corners = ((0.0, 0.0), (chord / 2.0, 0.0), *face)
        stack.add(part, Polygon(corners), "round", at)
    else:
        face = _face(radius, middle, -chord / 2.0, chord / 2.0)[::-1]
        corners = ((-chord / 2.0, 0.0), (chord / 2.0, 0.0), *face)
        stack.add(part, Polygon(corners), "across", at, sizes["length"])
    stack.z += height
    return stack.z


def _pot(stack: _Stack, _: Design) -> float:
    pot, pad, piston = (stack.part(name) for name in ("pot", "pad", "piston"))
    stack.named("base plate")
    sizes, shaft = pot.dimensions, piston.dimensions
    outside, bottom, depth = sizes["outside"], sizes["bottom"], sizes["depth"]
    start = (0.0, 0.0, stack.z)
    stack.add(pot, Circle(outside), "up", start, bottom)
    wall = (0.0, 0.0, stack.z + bottom)
    stack.add(pot, Circle(outside, sizes["inside"]), "up", wall, depth)
    stack.z += bottom
    stack.layer(pad)
    turning = stack.z + shaft["rim"] / 2.0
    inner = min(shaft["thickness"], depth - pad.dimensions["thickness"])
    stack.add(piston, Circle(shaft["diameter"]), "up", (0.0, 0.0, stack.z), inner)
    head = shaft["thickness"] - inner
    if head > 0.0:
        above = (0.0, 0.0, stack.z + inner)
        stack.add(piston, Circle(shaft["head"]), "up", above, head)
    stack.z += shaft["thickness"]
    stack.named("middle plate")
    stack.slide()
    return turning


def _curved(stack: _Stack, design: Design) -> float:
    """Concave block and convex segment: turned about the upright axis, or across for a cylinder."""
    block, segment = stack.part("concave block"), stack.part("convex segment")
    sheet = stack.part("curved sliding sheet")
    stack.named("base plate")
    ball = design.kind == "spherical"
    at = (0.0, 0.0, stack.z)
    centre, out = block.dimensions["centre"], sheet.dimensions["protrusion"]

    def curved(part: Part, corners: Callable[[float], tuple[Point, ...]]) -> None:
        half = part.dimensions["length"] / 2.0
        if ball:
            stack.add(part, Polygon(corners(half)), "round", at)
        else:
            mirrored = _mirrored(corners(half))
            stack.add(part, Polygon(mirrored), "across", at, part.dimensions["width"])

    def below(half: float) -> tuple[Point, ...]:
        radius = block.dimensions["radius"]
        face = _face(radius, centre + radius, 0.0, half, upper=False)[::-1]
        return ((0.0, 0.0), (half, 0.0), *face)

    def above(half: float) -> tuple[Point, ...]:
        radius = segment.dimensions["radius"]
        face = _face(radius, centre + out + radius, 0.0, half, upper=False)
        top = centre + out + segment.dimensions["height"]
        return (*face, (half, top), (0.0, top))

    curved(block, below)
    curved(segment, above)
    turning = stack.z + centre
    stack.z += centre + out + segment.dimensions["height"]
    stack.slide()
    return turning


def _disc(stack: _Stack, _: Design) -> float:
    disc = stack.part("disc")
    stack.named("base plate")
    turning = stack.z + disc.dimensions["thickness"] / 2.0
    stack.layer(disc)
    stack.named("middle plate")
    stack.slide()
    return turning


def _plane(stack: _Stack, _: Design) -> float:
    stack.named("base plate")
    turning = stack.z
    stack.slide()
    return turning


def _guide(stack: _Stack, design: Design) -> float:
    bearing = cast(GuideBearing, design.bearing)
    key = stack.part("key")
    stack.named("base plate")
    turning = stack.z + key.dimensions["height"] / 2.0
    stack.layer(key)
    stack.z += bearing.gap - key.dimensions["height"]
    under = stack.z
    stack.named("sole plate")
    for pair in bearing.pairs:
        # strip of 5 mm and, where it follows a rotation, its rocker of 15 mm: as their masses
        strip = 0.005 + (0.015 if pair.rocker else 0.0)
        side = bearing.key_width if pair.holds == "y" else bearing.key_length
        out = side + 2.0 * (pair.play + strip + pair.bar_width)
        own = _Stack([part for part in stack.parts if part.name.endswith(_HOLDS[pair.holds])])
        own.bars(under, out, out)
        stack.solids += own.solids
    return turning


def _elastomeric(stack: _Stack, design: Design) -> float:
    bearing = cast(Elastomeric, design.bearing)
    pad = stack.part("laminated pad")
    stack.named("lower fixing plate", "outer plate")
    turning = stack.z + pad.dimensions["height"] / 2.0
    stack.layer(pad)
    stack.named("outer plate")
    if bearing.slide is not None:
        stack.named("backing plate")
        sheet = stack.find("sliding sheet")
        stack.layer(sheet, bearing.slide.sheet_thickness / 2.0)  # half stands in its plate
        stack.named("slide plate with stainless sheet")
    stack.named("upper fixing plate")
    return turning


def _pin(stack: _Stack, design: Design) -> float:
    if isinstance(design.bearing, KnuckleBearing):
        return _knuckle(stack, design.bearing)
    bearing = cast(PinBearing, design.bearing)
    stack.named("base plate")
    axis = stack.z + bearing.height_below
    half = bearing.lug_width / 2.0
    outward = bearing.middle / 2.0 + bearing.gap + bearing.outer / 2.0
    for name, places, thick, drop in (
        ("lower lug", (-outward, outward), bearing.outer, -bearing.height_below),
        ("upper lug", (0.0,), bearing.middle, bearing.height_above),
    ):
        part = stack.part(name)
        for y in places:
            stack.add(part, Polygon(_lug(half, drop)), "across", (0.0, y, axis), thick)
    pin = stack.part("pin")
    stack.add(pin, Circle(bearing.diameter), "across", (0.0, 0.0, axis), pin.dimensions["length"])
    stack.z = axis + bearing.height_above
    stack.named("sole plate")
    return axis


def _knuckle(stack: _Stack, bearing: KnuckleBearing) -> float:
    block, saddle, collar = (stack.part(name) for name in ("knuckle block", "saddle", "collar"))
    stack.named("base plate")
    half, top = bearing.chord / 2.0, bearing.lower_height
    at = (0.0, 0.0, stack.z)
    face = _face(bearing.radius, top - bearing.radius, -half, half)[::-1]
    lower = ((-half, 0.0), (half, 0.0), *face)
    stack.add(block, Polygon(lower), "across", at, bearing.length)
    hollow = _face(bearing.mate, top - bearing.mate, -half, half)
    crown = top + bearing.upper_height
    upper = (*hollow, (half, crown), (-half, crown))
    stack.add(saddle, Polygon(upper), "across", at, bearing.length)
    sizes = collar.dimensions
    outline = Rectangle(sizes["length"], sizes["height"])
    reach = bearing.length / 2.0 + sizes["play"] + sizes["thickness"] / 2.0
    for y in (-reach, reach):
        stack.add(collar, outline, "across", (0.0, y, stack.z + top), sizes["thickness"])
    turning = stack.z + top
    stack.z += crown
    stack.named("sole plate")
    return turning


_HOLDS = {"y": "across", "x": "along"}
_KINDS: Mapping[BearingKind, Callable[[_Stack, Design], float]] = {
    "single roller": _roller,
    "hardened roller": _roller,
    "roller nest": _roller,
    "rocker on nest": _rocker_on_nest,
    "line rocker": _rocker,
    "point rocker": _rocker,
    "pin": _pin,
    "laminated elastomeric": _elastomeric,
    "pot": _pot,
    "pot on slide": _pot,
    "spherical": _curved,
    "cylindrical": _curved,
    "disc": _disc,
    "plane sliding": _plane,
    "guide": _guide,
}


# ------------------------------------------------------------------ outlines
def _face(
    radius: float, centre: float, start: float, end: float, *, upper: bool = True
) -> tuple[Point, ...]:
    """Points on an arc about (0, centre) from `start` to `end` along the first axis."""
    sign = 1.0 if upper else -1.0
    turns = [math.asin(max(-1.0, min(1.0, x / radius))) for x in (start, end)]
    steps = [turns[0] + (turns[1] - turns[0]) * i / _ARC for i in range(_ARC + 1)]
    return tuple(
        (radius * math.sin(turn), centre + sign * radius * math.cos(turn)) for turn in steps
    )


def _mirrored(corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """An outline right of the axis together with its image to the left, anticlockwise."""
    right = [corner for corner in corners if corner[0] > 0.0]
    on = sorted((corner for corner in corners if corner[0] == 0.0), key=lambda corner: corner[1])
    left = [(-x, z) for x, z in reversed(right)]
    return (on[0], *right, on[-1], *left)


def _segment(radius: float, width: float) -> Polygon:
    """A roller with upright flats `width` apart."""
    half = width / 2.0
    low = _face(radius, 0.0, -half, half, upper=False)
    high = _face(radius, 0.0, -half, half)[::-1]
    return Polygon((*low, *high))


def _lug(half: float, reach: float) -> tuple[Point, ...]:
    """A lug about its hole: to `reach` (below 0: downwards) straight, round at the other end."""
    arc = [
        (half * math.cos(turn), half * math.sin(turn))
        for turn in (math.pi * i / _ARC for i in range(_ARC + 1))
    ]
    corners = ((-half, reach), (half, reach), *arc)
    if reach < 0.0:
        return corners
    return tuple((x, -z) for x, z in reversed(((-half, -reach), (half, -reach), *arc)))


def _crosses(corners: tuple[Point, ...]) -> list[float]:
    following = (*corners[1:], corners[0])
    return [a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, following, strict=True)]
