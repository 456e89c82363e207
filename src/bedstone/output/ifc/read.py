"""Bearings read from an IFC 4.3 file: what each holds, which way it points, of what kind it is.

A file written here gives back the very same arrangement. Of other files the standard's own set and
the place of each bearing are enough: a direction is then an angle from the reference line.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, get_args

from bedstone.articulation.arrangement import HELD
from bedstone.bridge.schema import BearingKind, Function, Seat
from bedstone.errors import Fault, InputError
from bedstone.model.alignment import Axis
from bedstone.output.ifc.model import Entity, library
from bedstone.output.ifc.names import BEARING, COMMON, UnclearError, seat_from
from bedstone.output.shown import plain

_LARGEST = 500e6  # bytes
_SCHEMAS = ("IFC4X3", "IFC4X3_ADD2", "IFC4X3_ADD1", "IFC4X3_TC1")


@dataclass(frozen=True)
class ReadBearing:
    """A bearing of a file: `angle` of its x' from global x, rad; `point`, m."""

    mark: str
    support: str
    seat: Seat
    angle: float
    point: tuple[float, float, float]


def read_arrangement(path: Path) -> dict[str, Seat]:
    """The bearing of every seat by its mark, in the order of the file; see `read_bearings`."""
    return {bearing.mark: bearing.seat for bearing in read_bearings(path)}


def read_bearings(path: Path) -> tuple[ReadBearing, ...]:
    """All bearings of a file, in its order.

    Raises `InputError` for a file that cannot be read or is of another schema, and with one fault
    for each bearing that is unclear: without a mark, with one that stands twice, without what it
    holds, or where the standard's set says something else than ours.
    """
    model = _opened(path)
    elements = model.by_type("IfcBearing")
    if not elements:
        raise InputError([Fault(path.name, "IfcBearing", "none", "at least one bearing")])
    tangent, scale = _tangent(model), _length(model)
    faults: list[Fault] = []
    found: dict[str, ReadBearing] = {}
    for element in elements:
        try:
            bearing = _bearing(path.name, element, tangent, scale)
        except InputError as error:
            faults += error.faults
            continue
        if bearing.mark in found:
            where = f"IfcBearing #{element.id()}"
            faults.append(Fault(path.name, where, repr(bearing.mark[:60]), "a mark of its own"))
        found[bearing.mark] = bearing
    if faults:
        raise InputError(faults)
    return tuple(found.values())


# ------------------------------------------------------------------ the file
def _opened(path: Path) -> Any:
    ifc = library()
    allowed = "an IFC 4.3 file (STEP)"
    try:
        size = path.stat().st_size
    except OSError as error:
        raise InputError(
            [Fault(path.name, "file", error.strerror or str(error), "a file that can be read")]
        ) from error
    if size > _LARGEST:
        found, most = f"{size / 1e6:.0f} MB", f"at most {_LARGEST / 1e6:.0f} MB"
        raise InputError([Fault(path.name, "file", found, most)])
    try:
        with path.open("rb") as stream:
            start = stream.read(64)
        if b"ISO-10303-21" not in start:
            raise InputError([Fault(path.name, "file", "not a STEP file", allowed)])
        model = ifc.open(str(path))
    except (RuntimeError, OSError, ifc.Error) as error:
        raise InputError([Fault(path.name, "file", plain(str(error))[:120], allowed)]) from error
    if model.schema_identifier not in _SCHEMAS:
        raise InputError([Fault(path.name, "schema", model.schema_identifier, allowed)])
    return model


def _length(model: Any) -> float:
    import ifcopenshell.util.unit

    return float(ifcopenshell.util.unit.calculate_unit_scale(model))


def _tangent(model: Any) -> Callable[[float, float], float]:
    """Direction of the reference line beside a point: that of its first line or arc, else x."""
    scale = _length(model)
    for segment in model.by_type("IfcAlignmentHorizontalSegment"):
        if segment.PredefinedType in ("LINE", "CIRCULARARC") and segment.SegmentLength:
            return partial(_beside, segment, scale)
    return partial(_beside, None, scale)


def _beside(segment: Entity | None, scale: float, x: float, y: float) -> float:
    """Direction of a line or arc beside a point (m), rad; 0 without one."""
    if segment is None:
        return 0.0
    start = [value * scale for value in segment.StartPoint.Coordinates]
    turn, radius = float(segment.StartDirection), float(segment.StartRadiusOfCurvature) * scale
    axis = Axis(0.0, 0.0 if radius == 0.0 else 1.0 / radius)
    dx, dy, c, s = x - start[0], y - start[1], math.cos(turn), math.sin(turn)
    chainage, _ = axis.chainage(c * dx + s * dy, c * dy - s * dx)
    return turn + float(axis.angle(chainage))


# ------------------------------------------------------------------ one bearing
def _bearing(
    file: str, element: Entity, tangent: Callable[[float, float], float], scale: float
) -> ReadBearing:
    from ifcopenshell.util.element import get_container, get_psets
    from ifcopenshell.util.placement import get_local_placement

    where = f"IfcBearing #{element.id()}"
    sets = get_psets(element, psets_only=True)
    own: Mapping[str, Any] = sets.get(BEARING, {})
    mark = str(own.get("Mark") or element.Tag or element.Name or "")
    if not mark:
        raise InputError([Fault(file, where, "no mark", "a Tag or a Name")])
    place = get_local_placement(element.ObjectPlacement)
    angle = math.atan2(place[1, 0], place[0, 0])
    point = tuple(float(value) * scale for value in place[:3, 3])
    lets = sets.get(COMMON, {}).get("DisplacementAccommodated")
    stands_on = get_container(element)
    support = str(own.get("Support") or (stands_on.Name if stands_on is not None else "") or "")
    where = f"{where} {mark[:60]}"
    if own:
        try:
            seat = seat_from(own)
        except UnclearError as error:
            allowed = "a value as it was written"
            raise InputError([Fault(file, f"{where} {BEARING}", str(error), allowed)]) from error
        _agree(file, where, seat, lets)
    else:
        seat = _plain_seat(file, where, element, lets, angle - tangent(point[0], point[1]))
    return ReadBearing(mark, support, seat, angle, (point[0], point[1], point[2]))


def _agree(file: str, where: str, seat: Seat, lets: list[bool] | None) -> None:
    """Somebody may have changed one of the two sets: then nobody knows what is meant."""
    if lets is None or seat.function == "elastic" or seat.stiffness is not None:
        return
    if tuple(not free for free in lets[:2]) != HELD[seat.function][:2]:
        holds = " and ".join(axis for axis, free in zip("xyz", lets, strict=True) if not free)
        found = f"{seat.function} in {BEARING}, holds {holds or 'nothing'} in {COMMON}"
        raise InputError([Fault(file, where, found, "the same in both sets")])


def _plain_seat(
    file: str, where: str, element: Entity, lets: list[bool] | None, turn: float
) -> Seat:
    """A seat by the standard's own set: held where nothing is let go."""
    if lets is None or len(lets) != 3:
        allowed = "DisplacementAccommodated with three truths"
        raise InputError([Fault(file, f"{where} {COMMON}", repr(lets), allowed)])
    holds = tuple(not free for free in lets)
    names: list[Function] = [
        name for name in get_args(Function) if name != "elastic" and HELD[name] == holds
    ]
    if not names:
        told = " ".join("free" if free else "held" for free in lets)
        raise InputError([Fault(file, f"{where} {COMMON}", told, "held along z")])
    kind = element.ObjectType if element.ObjectType in get_args(BearingKind) else None
    turn = math.atan2(math.sin(turn), math.cos(turn))
    seat = Seat(function=names[0], kind=kind)
    # an angle is in rad here, in a bridge file it carries its unit: so it is set, not checked
    return seat if abs(turn) < 1e-9 else seat.model_copy(update={"direction": turn})
