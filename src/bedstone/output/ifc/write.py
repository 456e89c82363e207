"""A bridge and its bearings as IFC 4.3: where each stands, what it lets go, what it carries."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence

from bedstone import __version__
from bedstone.bearings.base import Design
from bedstone.bridge.schema import BearingKind, Bridge, Girders, Seat, Truss
from bedstone.cautions import FULL
from bedstone.model.girders import axis_of
from bedstone.output import words
from bedstone.output.ifc.alignment import alignment
from bedstone.output.ifc.model import Entity, Model, label
from bedstone.output.ifc.names import BEARING, COMMON, told
from bedstone.output.ifc.shapes import body_of, occurrence
from bedstone.output.ifc.structural import structural
from bedstone.output.sheets import chosen_limit_states
from bedstone.output.shown import SEAT_SIGNS, UNITS, plain, scaled, shown
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule, SeatInfo

#: The word of the standard for each kind; the others are user-defined and told by their own name.
PREDEFINED: Mapping[BearingKind, str] = {
    "single roller": "ROLLER",
    "roller nest": "ROLLER",
    "hardened roller": "ROLLER",
    "rocker on nest": "ROLLER",
    "line rocker": "ROCKER",
    "point rocker": "ROCKER",
    "laminated elastomeric": "ELASTOMERIC",
    "pot": "POT",
    "pot on slide": "POT",
    "spherical": "SPHERICAL",
    "cylindrical": "CYLINDRICAL",
    "disc": "DISK",
    "guide": "GUIDE",
}
_EFFECTS = ("N", "Hx", "Hy", "vx", "vy", "rx", "ry")


def bridge_model(
    schedule: Schedule,
    bridge: Bridge,
    functions: Mapping[str, Seat],
    designs: Sequence[SeatDesign] = (),
    made: dt.date | None = None,
) -> bytes:
    """Return the bridge as the text of an IFC 4.3 file (STEP), metres and newtons.

    `functions`: the bearing of every seat as the schedule has it, with the stiffness of springs
    (`bedstone.bridge.seats.arrangement_functions`); `designs`: for types and solids of the
    bearings; `made`: date in the header. The same input gives the same bytes.

    Raises `InputError` where IfcOpenShell is not installed or a seat has no function, `CheckError`
    for a number that is not finite.
    """
    model = Model(schedule.bridge, schedule.reference, made)
    project, body, axis_context, reference = _project(model, schedule)
    whole, parts = _places(model, schedule, bridge, project)
    axis = axis_of(bridge.alignment, min(support.chainage for support in bridge.support))
    referents = alignment(model, axis, schedule.supports, project, axis_context)
    for mark, referent in referents.items():
        model.relate(
            "IfcRelPositions",
            mark,
            ("RelatingPositioningElement", referent),
            ("RelatedProducts", [parts[mark]]),
        )
    bearings = _bearings(model, schedule, functions, designs, parts, body)
    structural(model, schedule, functions, bearings, axis, whole, reference)
    return model.text()


# ------------------------------------------------------------------ project and places
def _project(model: Model, schedule: Schedule) -> tuple[Entity, Entity, Entity, Entity]:
    """The project with its units; contexts of bodies, of the axis and of analysis points."""
    space = model.make(
        "IfcGeometricRepresentationContext",
        ContextType="Model",
        CoordinateSpaceDimension=3,
        Precision=1e-5,
        WorldCoordinateSystem=model.axes(),
    )
    below = [
        model.make(
            "IfcGeometricRepresentationSubContext",
            ContextIdentifier=name,
            ContextType="Model",
            ParentContext=space,
            TargetView=view,
        )
        for name, view in (
            ("Body", "MODEL_VIEW"),
            ("Axis", "GRAPH_VIEW"),
            ("Reference", "GRAPH_VIEW"),
        )
    ]
    names = ("m", "m2", "m3", "rad", "N", "N m", "kg", "s", "Pa", "N/m", "N m/rad")
    units = model.make("IfcUnitAssignment", [model.unit(name) for name in names])
    project = model.root(
        "IfcProject",
        "project",
        Name=label(schedule.bridge),
        LongName=label(words.title(schedule)),
        Description=FULL,
        RepresentationContexts=[space],
        UnitsInContext=units,
    )
    return project, below[0], below[1], below[2]


def _places(
    model: Model, schedule: Schedule, bridge: Bridge, project: Entity
) -> tuple[Entity, dict[str, Entity]]:
    """Site, bridge, superstructure and substructure; a part for each abutment and pier, by mark."""
    place = model.placed(None)
    site = model.root("IfcSite", "site", Name="Site", ObjectPlacement=place)
    here = model.placed(place)
    superstructure = bridge.superstructure
    kind = "NOTDEFINED"
    if isinstance(superstructure, Girders | Truss):
        kind = "TRUSS" if isinstance(superstructure, Truss) else "GIRDER"
    whole = model.root(
        "IfcBridge",
        "bridge",
        Name=label(schedule.bridge),
        Description=plain(schedule.reference) or None,
        ObjectPlacement=here,
        CompositionType="ELEMENT",
        PredefinedType=kind,
    )
    above = _part(model, "Superstructure", "SUPERSTRUCTURE", "LONGITUDINAL", here)
    below = _part(model, "Substructure", "SUBSTRUCTURE", "VERTICAL", here)
    last = len(schedule.supports) - 1
    parts = {
        support.mark: _part(
            model, support.mark, "ABUTMENT" if number in (0, last) else "PIER", "VERTICAL", here
        )
        for number, support in enumerate(schedule.supports)
    }
    _aggregate(model, "project", project, [site])
    _aggregate(model, "site", site, [whole])
    _aggregate(model, "bridge", whole, [above, below])
    _aggregate(model, "substructure", below, list(parts.values()))
    model.properties(
        whole,
        "bridge",
        "Bedstone_Bridge",
        {
            "Caution": FULL,
            "Standard": schedule.standard_title,
            "Edition": schedule.edition,
            "Arrangement": schedule.arrangement,
            "Bearings set": schedule.set_at,
            "Signs": SEAT_SIGNS,
            "Made with": f"bedstone {__version__}",
        },
    )
    for support in schedule.supports:
        values: dict[str, object] = {
            "Chainage": ("m", scaled(support.chainage, 1.0, "chainage")),
            "Skew": ("rad", scaled(support.skew, 1.0, "skew")),
            "Base below bearings": ("m", scaled(support.depth, 1.0, "depth")),
            "Below": support.below,
        }
        model.properties(parts[support.mark], support.mark, "Bedstone_Support", values)
    return whole, parts


def _part(model: Model, name: str, kind: str, usage: str, within: Entity) -> Entity:
    return model.root(
        "IfcBridgePart",
        f"{kind} {name}",
        Name=label(name),
        ObjectPlacement=model.placed(within),
        CompositionType="ELEMENT",
        UsageType=usage,
        PredefinedType=kind,
    )


def _aggregate(model: Model, key: str, one: Entity, many: list[Entity]) -> None:
    model.relate("IfcRelAggregates", key, ("RelatingObject", one), ("RelatedObjects", many))


# ------------------------------------------------------------------ bearings
def _bearings(
    model: Model,
    schedule: Schedule,
    functions: Mapping[str, Seat],
    designs: Sequence[SeatDesign],
    parts: Mapping[str, Entity],
    context: Entity,
) -> dict[str, Entity]:
    """All bearings by mark, each in the abutment or pier on which it stands."""
    designed = {item.seat: item for item in designs}
    types = _types(model, schedule, designed, context)
    states = chosen_limit_states(schedule, None)
    bearings: dict[str, Entity] = {}
    standing: dict[str, list[Entity]] = {}
    alike: dict[Entity, list[Entity]] = {}
    for info in schedule.seats:
        seat = functions.get(info.mark)
        if seat is None or info.function == "none":
            continue
        item = designed.get(info.mark)
        design = None if item is None else item.choice.design
        kind: BearingKind | None = design.kind if design is not None else seat.kind
        own = types.get(info.mark)
        ahead = (math.cos(info.angle), math.sin(info.angle), 0.0)
        bearing = model.root(
            "IfcBearing",
            info.mark,
            Name=label(info.mark),
            Description=label(f"{info.function} bearing, {kind or 'kind left open'}"),
            ObjectType=kind,
            ObjectPlacement=model.placed(parts[info.support].ObjectPlacement, info.point, ahead),
            Representation=None if own is None else occurrence(model, own, context),
            Tag=info.mark,
            PredefinedType="NOTDEFINED" if kind is None else PREDEFINED.get(kind, "USERDEFINED"),
        )
        if own is not None:
            alike.setdefault(own, []).append(bearing)
        _common(model, info, bearing)
        _told(model, schedule, info, seat, bearing, states)
        if design is not None:
            _designed(model, info.mark, design, bearing)
        bearings[info.mark] = bearing
        standing.setdefault(info.support, []).append(bearing)
    for own, some in alike.items():
        model.relate(
            "IfcRelDefinesByType",
            own.GlobalId,
            ("RelatingType", own),
            ("RelatedObjects", some),
        )
    for mark, some in standing.items():
        model.relate(
            "IfcRelContainedInSpatialStructure",
            mark,
            ("RelatingStructure", parts[mark]),
            ("RelatedElements", some),
        )
    return bearings


def _types(
    model: Model, schedule: Schedule, designed: Mapping[str, SeatDesign], context: Entity
) -> dict[str, Entity]:
    """A type for all bearings made of the same parts, by mark of the seat."""
    made: dict[object, Entity] = {}
    types = {}
    for info in schedule.seats:
        item = designed.get(info.mark)
        design = None if item is None else item.choice.design
        if design is None:
            continue
        key = (design.kind, design.bearing)
        if key not in made:
            name = f"{design.kind} T{len(made) + 1}"
            own = model.root(
                "IfcBearingType",
                f"type of {info.mark}",
                Name=name,
                ElementType=design.kind,
                PredefinedType=PREDEFINED.get(design.kind, "USERDEFINED"),
            )
            left = body_of(model, design, own, context)
            model.properties(
                own,
                f"type of {info.mark}",
                "Bedstone_Parts",
                {
                    "Parts": [
                        f"{part.number} {part.name}: {part.size}; {part.material}"
                        for part in design.parts
                    ],
                    "Not drawn": list(left) or None,
                    "Height": ("mm", scaled(design.height, 1e3, "height")),
                    "Length along x": ("mm", scaled(design.reach[0], 1e3, "length")),
                    "Width along y": ("mm", scaled(design.reach[1], 1e3, "width")),
                    "Mass": ("kg", scaled(design.mass, 1.0, "mass")),
                },
            )
            made[key] = own
        types[info.mark] = made[key]
    return types


def _common(model: Model, info: SeatInfo, bearing: Entity) -> None:
    """The standard's own set: true where the bearing lets the superstructure go."""
    lets = [not held or sprung for held, sprung in zip(info.held, info.sprung, strict=True)]
    values = [
        model.make(
            "IfcPropertyListValue",
            Name=name,
            ListValues=[model.make("IfcBoolean", free) for free in three],
        )
        for name, three in (
            ("DisplacementAccommodated", lets[:3]),
            ("RotationAccommodated", lets[3:]),
        )
    ]
    own = model.root("IfcPropertySet", f"{info.mark}/{COMMON}", Name=COMMON, HasProperties=values)
    model.relate(
        "IfcRelDefinesByProperties",
        f"{info.mark}/{COMMON}",
        ("RelatingPropertyDefinition", own),
        ("RelatedObjects", [bearing]),
    )


def _told(
    model: Model,
    schedule: Schedule,
    info: SeatInfo,
    seat: Seat,
    bearing: Entity,
    states: Sequence[str],
) -> None:
    """What the bearing is, so that it can be read back; and what it must carry."""
    model.properties(bearing, info.mark, BEARING, told(info.mark, info.support, seat))
    effects: dict[str, object] = {
        "Permanent: N": ("kN", shown("N", schedule.permanent_seats[info.mark][0]))
    }
    for line in schedule.seat_lines:
        if line.place == info.mark and line.limit_state in states and line.effect in _EFFECTS:
            name = f"{line.limit_state}: {line.effect} {line.sense}"
            effects[name] = (UNITS[line.effect], shown(line.effect, line.value))
    model.properties(bearing, info.mark, "Bedstone_Effects", effects)


def _designed(model: Model, mark: str, design: Design, bearing: Entity) -> None:
    adverse, relieving = design.behaviour.friction
    use = design.utilisation
    model.properties(
        bearing,
        mark,
        "Bedstone_Design",
        {
            "Friction, adverse": ("", scaled(adverse, 1.0, "friction")),
            "Friction, relieving": ("", scaled(relieving, 1.0, "friction")),
            "Force sent below along x": ("kN", scaled(design.horizontal, 1e-3, "force")),
            "Utilisation": ("", scaled(use, 1.0, "use")) if math.isfinite(use) else None,
            "Passes": design.passes,
        },
    )
