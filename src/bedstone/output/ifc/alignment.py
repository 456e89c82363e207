"""The reference line as an IFC alignment: one line or one arc, with its chainages."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bedstone.model.alignment import Axis
from bedstone.output.ifc.model import Entity, Model, label
from bedstone.schedule.result import SupportInfo


def alignment(
    model: Model, axis: Axis, supports: tuple[SupportInfo, ...], project: Entity, context: Entity
) -> Mapping[str, Entity]:
    """Write the reference line from the first support to the last; return a referent by support.

    Nothing is written for a bridge without length.
    """
    chainages = [support.chainage for support in supports]
    start, length = min(chainages), max(chainages) - min(chainages)
    if length <= 0.0:
        return {}
    place = model.placed(None)
    x, y = (float(value) for value in axis.point(start, 0.0))
    turn = float(axis.angle(start))
    ends = [(x, y, turn, length)]
    x, y = (float(value) for value in axis.point(start + length, 0.0))
    ends.append((x, y, float(axis.angle(start + length)), 0.0))  # the end, as the standard asks
    curves = [_curve(model, axis.curvature, *one) for one in ends]
    segments = [
        _segment(model, number, axis.curvature, one, curve, place, context)
        for number, (one, curve) in enumerate(zip(ends, curves, strict=True), start=1)
    ]
    horizontal = model.root(
        "IfcAlignmentHorizontal", "horizontal", Name="Horizontal", ObjectPlacement=place
    )
    whole = model.make("IfcCompositeCurve", curves, False)
    line = model.root(
        "IfcAlignment",
        "line",
        Name="Reference line",
        ObjectPlacement=place,
        Representation=_shape(model, context, "Curve2D", whole),
    )
    _nest(model, "segments", horizontal, segments)
    _nest(model, "layout", line, [horizontal])
    model.relate(
        "IfcRelAggregates", "line", ("RelatingObject", project), ("RelatedObjects", [line])
    )
    first = _referent(model, "STATION", f"{start:.3f}", start, 0.0, whole, axis)
    named = {
        support.mark: _referent(
            model,
            "REFERENCEMARKER",
            support.mark,
            support.chainage,
            support.chainage - start,
            whole,
            axis,
        )
        for support in supports
    }
    _nest(model, "referents", line, [first, *named.values()])
    return named


def _curve(
    model: Model, curvature: float, x: float, y: float, turn: float, length: float
) -> Entity:
    """A piece of the line in plan; an arc to the right has a negative length on its circle."""
    origin = model.make("IfcAxis2Placement2D", model.point(0.0, 0.0), model.direction(1.0, 0.0))
    if curvature == 0.0:
        vector = model.make("IfcVector", model.direction(1.0, 0.0), 1.0)
        parent, sign = model.make("IfcLine", model.point(0.0, 0.0), vector), 1.0
    else:
        parent = model.make("IfcCircle", origin, abs(1.0 / curvature))
        sign = math.copysign(1.0, curvature)
    ahead = model.direction(math.cos(turn), math.sin(turn))
    return model.make(
        "IfcCurveSegment",
        Transition="DISCONTINUOUS" if length == 0.0 else "CONTINUOUS",
        Placement=model.make("IfcAxis2Placement2D", model.point(x, y), ahead),
        SegmentStart=model.make("IfcLengthMeasure", 0.0),
        SegmentLength=model.make("IfcLengthMeasure", sign * length),
        ParentCurve=parent,
    )


def _segment(
    model: Model,
    number: int,
    curvature: float,
    end: tuple[float, float, float, float],
    curve: Entity,
    place: Entity,
    context: Entity,
) -> Entity:
    x, y, turn, length = end
    radius = 0.0 if curvature == 0.0 else 1.0 / curvature  # + to the left, as here
    told = model.make(
        "IfcAlignmentHorizontalSegment",
        StartPoint=model.point(x, y),
        StartDirection=turn,
        StartRadiusOfCurvature=radius,
        EndRadiusOfCurvature=radius,
        SegmentLength=length,
        PredefinedType="LINE" if curvature == 0.0 else "CIRCULARARC",
    )
    return model.root(
        "IfcAlignmentSegment",
        f"segment {number}",
        Name=f"H{number}",
        ObjectPlacement=place,
        Representation=_shape(model, context, "Segment", curve),
        DesignParameters=told,
    )


def _referent(
    model: Model,
    kind: str,
    name: str,
    chainage: float,
    run: float,
    curve: Entity,
    axis: Axis,
) -> Entity:
    """A point of the line with its chainage; its place is told along the line and in axes."""
    x, y = (float(value) for value in axis.point(chainage, 0.0))
    turn = float(axis.angle(chainage))
    along = model.make(
        "IfcPointByDistanceExpression",
        DistanceAlong=model.make("IfcLengthMeasure", run),
        BasisCurve=curve,
    )
    place = model.make(
        "IfcLinearPlacement",
        RelativePlacement=model.make("IfcAxis2PlacementLinear", Location=along),
        CartesianPosition=model.axes((x, y, 0.0), ahead=(math.cos(turn), math.sin(turn), 0.0)),
    )
    referent = model.root(
        "IfcReferent",
        f"{kind} {name}",
        Name=label(name),
        ObjectPlacement=place,
        PredefinedType=kind,
    )
    station = model.make("IfcLengthMeasure", chainage)
    model.properties(referent, f"{kind} {name}", "Pset_Stationing", {"Station": station})
    return referent


def _shape(model: Model, context: Entity, kind: str, item: Entity) -> Entity:
    own = model.make("IfcShapeRepresentation", context, "Axis", kind, [item])
    return model.make("IfcProductDefinitionShape", Representations=[own])


def _nest(model: Model, key: str, one: Entity, many: list[Entity]) -> None:
    model.relate("IfcRelNests", key, ("RelatingObject", one), ("RelatedObjects", many))
