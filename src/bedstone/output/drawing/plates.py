"""The outer plates of a bearing as pieces: plate, grout, anchor or fitted bolts, dowels."""

from __future__ import annotations

from typing import Final

from bedstone.bearings.base import Design
from bedstone.bearings.common import series
from bedstone.bearings.common.seating_plate import EDGE, Seating
from bedstone.output.drawing.pieces import Block, Piece, Upright

#: Anchors are drawn as far below the grout; their whole length stands in the list of parts.
_BROKEN: Final = 2.5  # diameters


def name_of(design: Design, *names: str) -> str:
    """The first of some names that a part of the design has; the first if none has."""
    known = {part.name for part in design.parts}
    return next((name for name in names if name in known), names[0])


def below(design: Design, plate: Seating, name: str = "base plate") -> list[Piece]:
    """The lowest plate with its underside at 0, its grout and what anchors it."""
    pieces = [Piece(name, Block(plate.length, plate.width, plate.thickness))]
    if plate.grout:
        grout = Block(plate.length, plate.width, plate.grout)
        pieces.append(Piece("grout", grout, -plate.grout, stuff="concrete", plan="none"))
    part = name_of(design, f"{name}: anchor bolt", f"{name}: fitted bolt")
    if plate.anchors:
        d = series.bolt(plate.anchor).diameter
        deep = plate.grout + _BROKEN * d
        form = Upright(d, plate.thickness + deep + d)
        for x, y in bolts(plate):
            pieces.append(
                Piece(part, form, -deep, x, y, along="inside", across="inside", plan="seen")
            )
    return pieces


def above(design: Design, plate: Seating, z: float, name: str) -> list[Piece]:
    """The highest plate with its underside at z, and the bolts that fit it to the girder."""
    pieces = [Piece(name, Block(plate.length, plate.width, plate.thickness), z)]
    if plate.anchors:
        part = name_of(design, f"{name}: fitted bolt", f"{name}: anchor bolt")
        d = series.bolt(plate.anchor).diameter
        form = Upright(d, plate.thickness + 2.0 * d)
        for x, y in bolts(plate):
            pieces.append(
                Piece(part, form, z - d, x, y, along="inside", across="inside", plan="inside")
            )
    return pieces


def plans(lower: Seating, upper: Seating) -> tuple[tuple[float, float], ...]:
    """Length and width of both plates, m."""
    return (lower.length, lower.width), (upper.length, upper.width)


def bolts(plate: Seating) -> list[tuple[float, float]]:
    """Middles of the bolts: two rows, their distance from the edges as the design takes it."""
    if plate.anchors < 2:
        return []
    edge = EDGE * series.bolt(plate.anchor).diameter
    x, reach = plate.length / 2.0 - edge, plate.width / 2.0 - edge
    row = plate.anchors // 2
    ys = [0.0] if row == 1 else [-reach + 2.0 * reach * i / (row - 1) for i in range(row)]
    return [(sign * x, y) for sign in (-1.0, 1.0) for y in ys]


def notes(plate: Seating) -> list[str]:
    """What the drawing does not show of a plate."""
    found = []
    if plate.grout:
        found.append(f"Grout bed {plate.grout * 1e3:.0f} mm below the base plate.")
    if plate.anchors:
        found.append(
            "Bolts are drawn broken off; their length is in the list of parts. Two rows, "
            f"{EDGE:g} diameters from the edges of the plate."
        )
    if plate.dowels:
        found.append(
            f"{plate.dowels} dowels {plate.dowel * 1e3:.0f} dia. below the plate are not drawn: "
            "their places are not part of the design."
        )
    return found
