"""A bearing with its sizes as measured: its checks again, beside those of the bearing as drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import is_dataclass, replace
from typing import Any

from bedstone.bearings import selection
from bedstone.bearings.base import Basis, Demand, Design
from bedstone.bearings.rocker import RockerBearing
from bedstone.bearings.rocker_nest import RockerOnNest
from bedstone.bearings.roller_set import refuse_impossible
from bedstone.bearings.roller_sizing import RollerBearing
from bedstone.errors import BedstoneError
from bedstone.site.inspection.result import Capacity, Size
from bedstone.standards.record import Line

#: Where the record of a bearing holds a size, by the name that a bridge file gives it. Of several
#: places the first that the record has counts.
_PLACES: Mapping[str, tuple[str, ...]] = {
    "diameter": ("rollers.diameter", "diameter"),
    "length": ("rollers.length", "rocker.length", "pad.length", "length"),
    "width": ("rollers.width", "pad.width"),
    "spacing": ("rollers.spacing",),
    "strip": ("rollers.strip", "rocker.strip"),
    "stop_gap": ("rollers.stop.gap",),
    "stop_thickness": ("rollers.stop.thickness",),
    "rib_width": ("rollers.guide.width",),
    "rib_height": ("rollers.guide.height",),
    "groove_depth": ("rollers.guide.depth",),
    "radius": ("rocker.radius", "radius"),
    "chord": ("rocker.chord",),
    "block_height": ("rocker.height",),
    "pin": ("rocker.pin",),
    "rocker_radius": ("rocker.radius",),
    "rocker_length": ("rocker.length",),
    "rocker_chord": ("rocker.chord",),
    "rocker_block_height": ("rocker.height",),
    "rocker_pin": ("rocker.pin",),
    "rocker_strip": ("rocker.strip",),
    "knuckle_thickness": ("knuckle.thickness",),
    "knuckle_length": ("knuckle.length",),
    "knuckle_width": ("knuckle.width",),
    "hole": ("hole",),
    "middle": ("middle",),
    "outer": ("outer",),
    "lug_width": ("lug_width",),
    "layer": ("pad.layer",),
    "plate": ("pad.plate",),
    "cover": ("pad.cover",),
    "side_cover": ("pad.side_cover",),
    "outer_plate": ("outer_plate",),
    "pad.diameter": ("body.diameter",),
    "pad.thickness": ("body.pad",),
    "pot.wall": ("body.wall",),
    "pot.bottom": ("body.bottom",),
    "pot.depth": ("body.depth",),
    "piston.thickness": ("body.piston",),
    "piston.rim": ("body.rim",),
    "piston.clearance": ("body.clearance",),
    "disc.diameter": ("body.diameter",),
    "disc.thickness": ("body.thickness",),
    "pin.diameter": ("body.pin",),
    "middle.thickness": ("middle", "body.plate"),
    "curve.radius": ("curve.radius",),
    "sheet.length": ("slide.sheet.length",),
    "sheet.width": ("slide.sheet.width",),
    "sheet.thickness": ("slide.sheet.thickness",),
    "sheet.protrusion": ("slide.sheet.protrusion",),
    "stainless.length": ("slide.stainless_length",),
    "stainless.width": ("slide.stainless_width",),
    "stainless.thickness": ("slide.stainless_thickness",),
    **{
        f"{level}_{size}": (f"{level}.{size}",)
        for level in ("base", "top", "sole")
        for size in ("length", "width", "thickness")
    },
    **{
        f"{level}.{size}": (f"{level}.{size}",)
        for level in ("lower", "upper")
        for size in ("length", "width", "thickness")
    },
}
#: A roller or rocker carries along a line; what is lost of it is taken off its length.
_CONTACT = "contact"


def drawn(bearing: object, name: str) -> float | None:
    """A size (m) of a bearing as drawn; None where it has no such size."""
    path = _path(bearing, name)
    return None if path is None else float(_at(bearing, path))


def capacity(
    design: Design, demand: Demand, basis: Basis, sizes: Mapping[str, float]
) -> Capacity | None:
    """The checks as drawn and as measured; None where no size was measured.

    `sizes`: by the names of the bridge file (m), and "contact": the share of the length of a line
    of contact that carries.
    """
    if not sizes:
        return None
    made, told, untold = design.bearing, [], []
    for name, found in sizes.items():
        changed = _with_contact(made, found) if name == _CONTACT else _with(made, name, found)
        if changed is None:
            untold.append(f"{name}: a {design.kind} has no such size that could be put in")
        else:
            before = 1.0 if name == _CONTACT else drawn(design.bearing, name)
            assert before is not None
            told.append(Size(name, before, found))
            made = changed
    before_choice = selection.recheck(design, demand, basis)
    own = design.lines if before_choice.design is None else before_choice.design.lines
    if not told:
        return Capacity((), _first(own), _first(own), (), tuple(untold))
    nothing = [item.name for item in told if item.found <= 0.0]
    if nothing:
        reason = f"{', '.join(nothing)} of nothing: it carries nothing"
        return Capacity(tuple(told), _first(own), None, (), tuple(untold), reason)
    try:
        if isinstance(made, RollerBearing | RockerOnNest):
            refuse_impossible(made.rollers)
        after = selection.recheck(replace(design, bearing=made), demand, basis)
    except (BedstoneError, ValueError) as error:
        return Capacity(tuple(told), _first(own), None, (), tuple(untold), str(error))
    if after.design is None:
        reason = after.refusal.reason if after.refusal is not None else "no design"
        return Capacity(tuple(told), _first(own), None, (), tuple(untold), reason)
    return Capacity(
        tuple(told), _first(own), _first(after.design.lines),
        _risen(own, after.design.lines), tuple(untold),
    )  # fmt: skip


def _first(lines: Sequence[Line]) -> Line | None:
    return lines[0] if lines else None


def _risen(before: Sequence[Line], after: Sequence[Line]) -> tuple[tuple[Line, Line], ...]:
    """Pairs of the same check whose utilisation rose, largest first.

    A check is known by its title, its part and its place among those of the same name.
    """
    found: list[tuple[Line, Line]] = []
    for key in dict.fromkeys(_key(line) for line in after):
        olds = sorted((line.utilisation or 0.0, n) for n, line in enumerate(before)
                      if _key(line) == key)  # fmt: skip
        news = sorted((line.utilisation or 0.0, n) for n, line in enumerate(after)
                      if _key(line) == key)  # fmt: skip
        if olds and news and news[-1][0] > olds[-1][0] * (1.0 + 1e-6):
            found.append((before[olds[-1][1]], after[news[-1][1]]))
    return tuple(sorted(found, key=lambda pair: -(pair[1].utilisation or 0.0)))


def _key(line: Line) -> tuple[str, str, str]:
    return line.title, line.part, line.clause


def _path(bearing: object, name: str) -> str | None:
    for path in _PLACES.get(name, ()):
        value = _at(bearing, path)
        if isinstance(value, int | float):
            return path
    return None


def _at(record: object, path: str) -> Any:
    for name in path.split("."):
        record = getattr(record, name, None)
    return record


def _with(bearing: object, name: str, value: float) -> object | None:
    """The record with one size changed; None where it has none of that name."""
    path = _path(bearing, name)
    if path is None:
        return None
    made = _changed(bearing, path.split("."), value)
    if path == "rollers.diameter":
        # a full roller is as wide as its diameter, and so it stays
        rollers = _at(bearing, "rollers")
        if rollers.width >= rollers.diameter:
            made = _changed(made, ["rollers", "width"], value)
    if path == "pad.length" and _at(bearing, "pad.round"):
        made = _changed(made, ["pad", "width"], value)
    if path == "slide.sheet.length" and _at(bearing, "slide.sheet.round"):
        made = _changed(made, ["slide", "sheet", "width"], value)
    return made


def _changed(record: object, path: Sequence[str], value: float) -> object:
    assert is_dataclass(record)
    assert not isinstance(record, type)
    head, rest = path[0], path[1:]
    inner = value if not rest else _changed(getattr(record, head), rest, value)
    made: object = replace(record, **{head: inner})
    return made


def _with_contact(bearing: object, share: float) -> object | None:
    """The record with its lines of contact shortened to a share of what carries."""
    if isinstance(bearing, RollerBearing | RockerOnNest):
        rollers = bearing.rollers
        length = rollers.length - (1.0 - share) * rollers.carrying
        return replace(bearing, rollers=replace(rollers, length=length))
    if isinstance(bearing, RockerBearing) and bearing.rocker.shape == "line":
        rocker = bearing.rocker
        length = rocker.length - (1.0 - share) * rocker.carrying
        return replace(bearing, rocker=replace(rocker, length=length))
    return None
