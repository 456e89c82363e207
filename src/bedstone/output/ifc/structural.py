"""Supports of the superstructure for analysis: one point each, its conditions and reactions.

A condition is true where the bearing holds, a stiffness where it holds by a spring. Reactions are
those of the support on the superstructure, in global axes: up where the bearing is pressed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.bridge.schema import Seat
from bedstone.model.alignment import Axis
from bedstone.output.ifc.model import Entity, Model, group, label
from bedstone.output.sheets import chosen_limit_states
from bedstone.schedule.result import Schedule, SeatInfo

_SPRINGS = ("kx", "ky", "kz", "krx", "kry", "krz")
_FORCES = ("N", "Hx", "Hy", "Mx", "My", "Mz")
_NOTE = (
    "Forces and moments of the support on the superstructure, global axes, all acting at the "
    "moment of the extreme that the name tells."
)


def structural(
    model: Model,
    schedule: Schedule,
    functions: Mapping[str, Seat],
    bearings: Mapping[str, Entity],
    axis: Axis,
    bridge: Entity,
    context: Entity,
) -> None:
    """Write the analysis model: a point for each bearing and the reactions there."""
    place = model.placed(None)
    whole = model.root(
        "IfcStructuralAnalysisModel",
        "analysis",
        Name=label(f"Bearings under {schedule.standard_title}"),
        PredefinedType="LOADING_3D",
        SharedPlacement=place,
    )
    model.relate(
        "IfcRelReferencedInSpatialStructure",
        "analysis",
        ("RelatingStructure", bridge),
        ("RelatedElements", [whole]),
    )
    line = _superstructure(model, schedule, axis, place, context)
    points = {}
    for info in schedule.seats:
        if info.mark not in bearings:
            continue
        points[info.mark] = _connection(model, info, functions[info.mark], place, context)
        model.relate(
            "IfcRelAssignsToProduct",
            info.mark,
            ("RelatingProduct", bearings[info.mark]),
            ("RelatedObjects", [points[info.mark]]),
        )
        _carried(model, info, axis, line, points[info.mark])
    group(model, "analysis", [line, *points.values()], whole)
    whole.HasResults = _results(model, schedule, points, place)


def _superstructure(
    model: Model, schedule: Schedule, axis: Axis, place: Entity, context: Entity
) -> Entity:
    """One line that stands for the superstructure: every support must carry a member."""
    level = sum(info.point[2] for info in schedule.seats) / max(len(schedule.seats), 1)
    points = [
        model.point(*(float(value) for value in axis.point(support.chainage, 0.0)), level)
        for support in schedule.supports
    ]
    ends = [model.make("IfcVertexPoint", point) for point in (points[0], points[-1])]
    curve = model.make("IfcPolyline", points)
    edge = model.make("IfcEdgeCurve", *ends, curve, True)
    shape = model.make("IfcTopologyRepresentation", context, "Reference", "Edge", [edge])
    return model.root(
        "IfcStructuralCurveMember",
        "superstructure",
        Name="Superstructure",
        Description="Stands for the superstructure; its members and stiffness are not in this file",
        ObjectPlacement=place,
        Representation=model.make("IfcProductDefinitionShape", Representations=[shape]),
        PredefinedType="NOTDEFINED",
        Axis=model.direction(0.0, 0.0, 1.0),
    )


def _carried(model: Model, info: SeatInfo, axis: Axis, line: Entity, point: Entity) -> None:
    """Join a support to the superstructure, with the place of either."""
    chainage, _ = axis.chainage(info.point[0], info.point[1])
    x, y = (float(value) for value in axis.point(chainage, 0.0))
    here = model.make(
        "IfcConnectionPointGeometry", model.point(x, y, info.point[2]), model.point(*info.point)
    )
    model.root(
        "IfcRelConnectsWithEccentricity",
        info.mark,
        RelatingStructuralMember=line,
        RelatedStructuralConnection=point,
        ConnectionConstraint=here,
    )


def _connection(model: Model, info: SeatInfo, seat: Seat, place: Entity, context: Entity) -> Entity:
    told = seat.stiffness
    stiffness = [None if told is None else getattr(told, name) for name in _SPRINGS]
    conditions = []
    for axis in range(6):
        value = stiffness[axis]
        if value is not None:
            name = "IfcLinearStiffnessMeasure" if axis < 3 else "IfcRotationalStiffnessMeasure"
            conditions.append(model.make(name, value))
        elif info.sprung[axis]:
            conditions.append(None)  # a spring whose stiffness nobody told here
        else:
            conditions.append(model.make("IfcBoolean", bool(info.held[axis])))
    ahead = (math.cos(info.angle), math.sin(info.angle), 0.0)
    vertex = model.make("IfcVertexPoint", model.point(*info.point))
    shape = model.make("IfcTopologyRepresentation", context, "Reference", "Vertex", [vertex])
    return model.root(
        "IfcStructuralPointConnection",
        info.mark,
        Name=label(info.mark),
        ObjectPlacement=place,
        Representation=model.make("IfcProductDefinitionShape", Representations=[shape]),
        AppliedCondition=model.make("IfcBoundaryNodeCondition", label(info.mark), *conditions),
        ConditionCoordinateSystem=model.axes(info.point, ahead=ahead),
    )


def _results(
    model: Model, schedule: Schedule, points: Mapping[str, Entity], place: Entity
) -> list[Entity]:
    """A group of reactions for the permanent actions and for each limit state that matters."""
    angles = {info.mark: info.angle for info in schedule.seats}
    found: dict[str, list[Entity]] = {"permanent actions": []}
    for mark, values in schedule.permanent_seats.items():
        if mark in points:
            one = _reaction(model, mark, "permanent actions", values, angles[mark], place)
            found["permanent actions"].append(_joined(model, one, points[mark]))
    states = chosen_limit_states(schedule, None)
    for line in schedule.seat_lines:
        if line.limit_state in states and line.effect in _FORCES[:3] and line.place in points:
            name = f"{line.limit_state}: {line.effect} {line.sense}"
            one = _reaction(model, line.place, name, line.acting, angles[line.place], place)
            joined = _joined(model, one, points[line.place])
            joined.Description = f"{_NOTE} {line.combination}."
            found.setdefault(line.limit_state, []).append(joined)
    linear = not any(line.contact for line in schedule.seat_lines)
    groups = []
    for name, reactions in found.items():
        if reactions:
            own = model.root(
                "IfcStructuralResultGroup",
                name,
                Name=label(name),
                TheoryType="FIRST_ORDER_THEORY",
                IsLinear=linear,
            )
            group(model, f"results {name}", reactions, own)
            groups.append(own)
    return groups


def _reaction(
    model: Model, mark: str, name: str, acting: Sequence[float], angle: float, place: Entity
) -> Entity:
    own = dict(zip(SEAT_EFFECTS, acting, strict=True))
    x, y = _global(-own["Hx"], -own["Hy"], angle)
    mx, my = _global(-own["Mx"], -own["My"], angle)
    values = [round(value, 3) + 0.0 for value in (x, y, own["N"], mx, my, -own["Mz"])]
    load = model.make("IfcStructuralLoadSingleForce", label(name), *values)
    return model.root(
        "IfcStructuralPointReaction",
        f"{mark} {name}",
        Name=label(f"{mark}: {name}"),
        Description=_NOTE,
        ObjectPlacement=place,
        AppliedLoad=load,
        GlobalOrLocal="GLOBAL_COORDS",
    )


def _joined(model: Model, reaction: Entity, point: Entity) -> Entity:
    model.relate(
        "IfcRelConnectsStructuralActivity",
        reaction.GlobalId,
        ("RelatingElement", point),
        ("RelatedStructuralActivity", reaction),
    )
    return reaction


def _global(x: float, y: float, angle: float) -> tuple[float, float]:
    c, s = math.cos(angle), math.sin(angle)
    return c * x - s * y, s * x + c * y
