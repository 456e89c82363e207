"""Solids of a bearing as shapes of a bearing type: made once for all bearings that are alike."""

from __future__ import annotations

from bedstone.bearings.base import Design
from bedstone.output.ifc.model import Entity, Model, label
from bedstone.output.ifc.solids import Circle, Polygon, Rectangle, Shape, Solid, shape_of

#: Colours (red, green, blue from 0 to 1) by words in the name of a material; else that of steel.
_COLOURS = {
    "elastomer": (0.16, 0.16, 0.17),
    "rubber": (0.16, 0.16, 0.17),
    "urethane": (0.55, 0.44, 0.20),
    "PTFE": (0.95, 0.95, 0.93),
    "UHMWPE": (0.95, 0.95, 0.93),
    "austenitic": (0.80, 0.83, 0.86),
}
_STEEL = (0.52, 0.56, 0.61)


def body_of(model: Model, design: Design, kind: Entity, context: Entity) -> Shape | None:
    """Give a bearing type its solids, materials and the names of its parts.

    The origin stands where the bearing turns. Returns what was drawn; None where nothing could be.
    """
    shape = shape_of(design)
    if shape is None:
        return None
    parts: dict[tuple[str, str], list[Entity]] = {}
    for solid in shape.solids:
        item = _solid(model, solid, shape.turning)
        _paint(model, item, solid.material)
        parts.setdefault((solid.part, solid.material), []).append(item)
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
    return shape


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


def _solid(model: Model, solid: Solid, turning: float) -> Entity:
    x, y, z = solid.at
    profile = _profile(model, solid.outline)
    if solid.way == "up":
        return model.make(
            "IfcExtrudedAreaSolid",
            profile,
            model.axes((x, y, z - turning)),
            model.direction(0.0, 0.0, 1.0),
            solid.depth,
        )
    # outline in x', z: its own third axis then points to -y'
    upright = (0.0, -1.0, 0.0)
    if solid.way == "across":
        return model.make(
            "IfcExtrudedAreaSolid",
            profile,
            model.axes((x, y + solid.depth / 2.0, z - turning), up=upright),
            model.direction(0.0, 0.0, 1.0),
            solid.depth,
        )
    axis = model.make(
        "IfcAxis1Placement", model.point(0.0, 0.0, 0.0), model.direction(0.0, 1.0, 0.0)
    )
    turn = 6.283185307179586
    place = model.axes((x, y, z - turning), up=upright)
    return model.make("IfcRevolvedAreaSolid", profile, place, axis, turn)


def _profile(model: Model, outline: Rectangle | Circle | Polygon) -> Entity:
    if isinstance(outline, Polygon):
        corners = [[round(value, 9) for value in corner] for corner in outline.corners]
        points = model.make("IfcCartesianPointList2D", [*corners, corners[0]])
        curve = model.make("IfcIndexedPolyCurve", points, None, False)
        return model.make("IfcArbitraryClosedProfileDef", "AREA", None, curve)
    place = model.make("IfcAxis2Placement2D", model.point(0.0, 0.0), model.direction(1.0, 0.0))
    if isinstance(outline, Rectangle):
        return model.make(
            "IfcRectangleProfileDef", "AREA", None, place, outline.first, outline.second
        )
    radius = outline.diameter / 2.0
    if outline.hole > 0.0:
        wall = radius - outline.hole / 2.0
        return model.make("IfcCircleHollowProfileDef", "AREA", None, place, radius, wall)
    return model.make("IfcCircleProfileDef", "AREA", None, place, radius)


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


def _paint(model: Model, item: Entity, material: str) -> None:
    colour = next((rgb for word, rgb in _COLOURS.items() if word in material), _STEEL)
    model.make("IfcStyledItem", item, [_style(model, colour)])


def _style(model: Model, colour: tuple[float, float, float]) -> Entity:
    name = "colour " + " ".join(f"{value:.2f}" for value in colour)
    for known in model.file.by_type("IfcSurfaceStyle"):
        if known.Name == name:
            return known
    shade = model.make(
        "IfcSurfaceStyleShading", SurfaceColour=model.make("IfcColourRgb", None, *colour)
    )
    return model.make("IfcSurfaceStyle", name, "BOTH", [shade])
