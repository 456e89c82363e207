"""Solids of a bearing as shapes of a bearing type: made once for all bearings that are alike.

The solids are those of the detail sheets, so that model and drawing cannot differ.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from bedstone.bearings.base import Design
from bedstone.output.drawing.details import assembly_of
from bedstone.output.drawing.picture import Point
from bedstone.output.drawing.pieces import (
    Block,
    Extruded,
    Form,
    Lying,
    Piece,
    Stuff,
    Turned,
    Upright,
    arc,
)
from bedstone.output.ifc.model import Entity, Model, label

_COLOURS: Final[Mapping[Stuff, tuple[float, float, float]]] = {
    "steel": (0.52, 0.56, 0.61),
    "rubber": (0.16, 0.16, 0.17),
    "sheet": (0.95, 0.95, 0.93),
    "concrete": (0.75, 0.75, 0.72),
}
#: Parts about which a bearing turns, and where between their underside (0) and top (1): the first
#: that it has counts.
_TURNS: Final = (
    ("rocker", 1.0),
    ("knuckle block", 1.0),
    ("roller", 1.0),
    ("laminated pad", 0.5),
    ("pad", 1.0),
    ("convex segment", 0.0),
    ("disc", 0.5),
    ("pin", 0.5),
    ("key", 0.5),
    ("sliding sheet", 0.0),
)
#: Third axis of a profile drawn in x', z.
_BACK: Final = (0.0, -1.0, 0.0)
_ROUND: Final = 1e-9


def body_of(model: Model, design: Design, kind: Entity, context: Entity) -> tuple[str, ...]:
    """Give a bearing type its solids, materials and the names of its parts.

    The origin stands where the bearing turns. Returns the names of the parts that are not drawn.
    """
    pieces = [piece for piece in assembly_of(design).pieces if _whole(design, piece)]
    turning = _turning(pieces)
    parts: dict[tuple[str, str], list[Entity]] = {}
    for piece in pieces:
        material = _made_of(design, piece)
        item = _solid(model, piece, turning)
        model.make("IfcStyledItem", item, [_style(model, _COLOURS[piece.stuff])])
        parts.setdefault((piece.part, material), []).append(item)
    items = [item for some in parts.values() for item in some]
    whole = _representation(model, context, items)
    mapped = model.make("IfcRepresentationMap", model.axes(), whole)
    kind.RepresentationMaps = [mapped]
    names = _names(list(parts))
    for key, some in parts.items():
        model.make(
            "IfcShapeAspect",
            ShapeRepresentations=[_representation(model, context, some)],
            Name=label(names[key]),
            ProductDefinitional=True,
            PartOfProductDefinitionShape=mapped,
        )
    constituents = [
        model.make(
            "IfcMaterialConstituent", Name=label(names[key]), Material=_material(model, key[1])
        )
        for key in parts
    ]
    materials = model.make(
        "IfcMaterialConstituentSet", Name=kind.Name, MaterialConstituents=constituents
    )
    model.relate(
        "IfcRelAssociatesMaterial",
        kind.GlobalId,
        ("RelatingMaterial", materials),
        ("RelatedObjects", [kind]),
    )
    drawn = {piece.part for piece in pieces}
    return tuple(dict.fromkeys(part.name for part in design.parts if part.name not in drawn))


def _whole(design: Design, piece: Piece) -> bool:
    """Whether a piece is a part in its full size: sheets show bolts broken off, and the grout."""
    if piece.stuff == "concrete":
        return False
    if not isinstance(piece.form, Upright):
        return True
    lengths = [
        part.dimensions["length"]
        for part in design.parts
        if part.name == piece.part and {"diameter", "length"} <= part.dimensions.keys()
    ]
    return all(abs(length - piece.form.height) < 1e-6 for length in lengths)


def _made_of(design: Design, piece: Piece) -> str:
    """Material of a piece: that of the part of its name, of several the one it counts."""
    own = [part.material for part in design.parts if part.name == piece.part]
    return own[min(piece.nth, len(own) - 1)] if own else piece.stuff


def occurrence(model: Model, kind: Entity, context: Entity) -> Entity | None:
    """The shape of one bearing of a type, or None where the type has none."""
    if not kind.RepresentationMaps:
        return None
    target = model.make(
        "IfcCartesianTransformationOperator3D", LocalOrigin=model.point(0.0, 0.0, 0.0)
    )
    item = model.make("IfcMappedItem", kind.RepresentationMaps[0], target)
    own = model.make("IfcShapeRepresentation", context, "Body", "MappedRepresentation", [item])
    return model.make("IfcProductDefinitionShape", Representations=[own])


def _levels(form: Form) -> tuple[float, float]:
    """Lowest and highest z of a form above its underside, m."""
    match form:
        case Block() | Upright():
            return 0.0, form.height
        case Lying():
            return 0.0, form.diameter
        case Extruded() | Turned():
            heights = [z for _, z in form.profile]
            return min(heights), max(heights)


def _turning(pieces: Sequence[Piece]) -> float:
    """Level at which a bearing turns, m above its underside; 0 where no part says so."""
    for name, share in _TURNS:
        own = [piece for piece in pieces if piece.part == name]
        if own:
            highest = max(own, key=lambda piece: piece.z + _levels(piece.form)[1])
            low, high = _levels(highest.form)
            return highest.z + low + share * (high - low)
    return 0.0


def _solid(model: Model, piece: Piece, turning: float) -> Entity:
    x, y, z = piece.x, piece.y, piece.z - turning
    up = model.direction(0.0, 0.0, 1.0)
    match piece.form:
        case Block() as form:
            flat = model.make(
                "IfcRectangleProfileDef", "AREA", None, _plane(model), form.length, form.width
            )
            return model.make("IfcExtrudedAreaSolid", flat, model.axes((x, y, z)), up, form.height)
        case Upright() as form:
            ring = _circle(model, form.diameter, form.hole)
            return model.make("IfcExtrudedAreaSolid", ring, model.axes((x, y, z)), up, form.height)
        case Lying() as form:
            # grooves are left out: they are narrow, and the part says them in its size
            radius = form.diameter / 2.0
            flats = form.flats if form.flats is not None else form.diameter
            whole = flats >= form.diameter - _ROUND
            profile = (
                _circle(model, form.diameter, 0.0)
                if whole
                else _polygon(model, _segment(radius, flats))
            )
            return _across(model, profile, (x, y, z + radius), form.length)
        case Extruded() as form:
            return _across(model, _polygon(model, form.profile, form.hole), (x, y, z), form.width)
        case Turned() as form:
            axis = model.make(
                "IfcAxis1Placement", model.point(0.0, 0.0, 0.0), model.direction(0.0, 1.0, 0.0)
            )
            return model.make(
                "IfcRevolvedAreaSolid",
                _polygon(model, form.profile),
                model.axes((x, y, z), up=_BACK),
                axis,
                2.0 * math.pi,
            )


def _across(model: Model, profile: Entity, at: tuple[float, float, float], width: float) -> Entity:
    """A profile in x', z drawn along y', half of the width to each side of `at`."""
    x, y, z = at
    place = model.axes((x, y + width / 2.0, z), up=_BACK)
    ahead = model.direction(0.0, 0.0, 1.0)
    return model.make("IfcExtrudedAreaSolid", profile, place, ahead, width)


def _circle(model: Model, diameter: float, hole: float) -> Entity:
    radius = diameter / 2.0
    if hole > 0.0:
        return model.make(
            "IfcCircleHollowProfileDef", "AREA", None, _plane(model), radius, radius - hole / 2.0
        )
    return model.make("IfcCircleProfileDef", "AREA", None, _plane(model), radius)


def _polygon(
    model: Model, corners: Sequence[Point], hole: tuple[float, float, float] | None = None
) -> Entity:
    """An area within corners; `hole`: (x, z, radius) through it."""
    kept = [[round(value, 9) for value in corner] for corner in corners]
    kept = [corner for place, corner in enumerate(kept) if corner != kept[place - 1]]
    points = model.make("IfcCartesianPointList2D", [*kept, kept[0]])
    curve = model.make("IfcIndexedPolyCurve", points, None, False)
    if hole is None:
        return model.make("IfcArbitraryClosedProfileDef", "AREA", None, curve)
    middle = model.make(
        "IfcAxis2Placement2D", model.point(hole[0], hole[1]), model.direction(1.0, 0.0)
    )
    inner = model.make("IfcCircle", middle, hole[2])
    return model.make("IfcArbitraryProfileDefWithVoids", "AREA", None, curve, [inner])


def _segment(radius: float, flats: float) -> tuple[Point, ...]:
    """A circle cut off by two upright flats."""
    half = math.acos(flats / 2.0 / radius)
    return (
        *arc(0.0, 0.0, radius, half, math.pi - half),
        *arc(0.0, 0.0, radius, math.pi + half, 2.0 * math.pi - half),
    )


def _plane(model: Model) -> Entity:
    return model.make("IfcAxis2Placement2D", model.point(0.0, 0.0), model.direction(1.0, 0.0))


def _representation(model: Model, context: Entity, items: list[Entity]) -> Entity:
    # solids without turned ones could be "SweptSolid" as well: it covers both
    return model.make("IfcShapeRepresentation", context, "Body", "SweptSolid", items)


def _names(parts: list[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """A name for each part; parts of one name and several materials are counted."""
    seen: dict[str, int] = {}
    names = {}
    for name, material in parts:
        seen[name] = seen.get(name, 0) + 1
        names[name, material] = name if seen[name] == 1 else f"{name} ({seen[name]})"
    return names


def _material(model: Model, name: str) -> Entity:
    for known in model.file.by_type("IfcMaterial"):
        if known.Name == label(name):
            return known
    return model.make("IfcMaterial", Name=label(name))


def _style(model: Model, colour: tuple[float, float, float]) -> Entity:
    name = "colour " + " ".join(f"{value:.2f}" for value in colour)
    for known in model.file.by_type("IfcSurfaceStyle"):
        if known.Name == name:
            return known
    shade = model.make(
        "IfcSurfaceStyleShading", SurfaceColour=model.make("IfcColourRgb", None, *colour)
    )
    return model.make("IfcSurfaceStyle", name, "BOTH", [shade])
