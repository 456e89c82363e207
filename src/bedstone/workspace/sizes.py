"""The sizes of a bearing as they stand under ``bearings.given``, and that part of the file's text.

The way back from `bedstone.bearings.base.Kind.given`: a bearing that was sized, in the names and
units of its kind, so that an engineer can go on from it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, Final

import tomlkit

from bedstone.bearings import catalogue
from bedstone.bearings.asked import unit_of
from bedstone.bearings.base import Design
from bedstone.bearings.common.seating import Seating
from bedstone.bearings.disc import Disc
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.guide import GuideBearing
from bedstone.bearings.knuckle import KnuckleBearing
from bedstone.bearings.pin_checks import PinBearing
from bedstone.bearings.pot_sizes import Pot
from bedstone.bearings.rocker import RockerBearing
from bedstone.bearings.rocker_contact import Rocker
from bedstone.bearings.rocker_nest import RockerOnNest
from bedstone.bearings.roller_set import Rollers
from bedstone.bearings.roller_sizing import RollerBearing
from bedstone.bearings.sliding import PlaneSliding
from bedstone.bearings.sliding_sheet import Slide
from bedstone.bearings.spherical_statics import CurvedBearing
from bedstone.bearings.uplift import UpliftRestraint
from bedstone.bridge.edit import change_text
from bedstone.bridge.schema import BearingKind, Bridge
from bedstone.bridge.units import UnitError, format_quantity, quantity
from bedstone.errors import BedstoneError, Fault, InputError

Plain = float | str | bool
#: The unit in which a size is shown and written, by its SI unit.
SHOWN: Final[Mapping[str, str]] = {"m": "mm", "Pa": "MPa", "N": "kN", "rad": "rad", "N/m": "kN/m"}
#: How the words of sizes begin that are names.
_NAMES: Final = ("name of", "grade of", "bolt by name")


# ------------------------------------------------------------------ from the record to the sizes
def restated(design: Design) -> dict[str, Plain]:
    """Sizes of a bearing by the names of its kind, SI.

    Those that do not apply to it are left out. Raises `BedstoneError` for a record of sizes that is
    not known here.
    """
    found = {name: value for name, value in _told(design.bearing).items() if value is not None}
    known = catalogue.kind_of(design.kind).fields()
    # a pot as it is and a pot on a slide share a record, but not all names
    return {name: found[name] for name in known if name in found}


def _told(bearing: object) -> dict[str, Any]:
    own: tuple[str, ...]
    match bearing:
        case RollerBearing():
            return _rollers(bearing.rollers) | _steel_seats(bearing)
        case RockerBearing():
            return _rocker(bearing.rocker) | _steel_seats(bearing)
        case RockerOnNest():
            block = {f"rocker_{name}": value for name, value in _rocker(bearing.rocker).items()}
            plate = bearing.knuckle
            middle = {
                "knuckle_thickness": plate.thickness,
                "knuckle_length": plate.length,
                "knuckle_width": plate.width,
            }
            return _rollers(bearing.rollers) | block | middle | _steel_seats(bearing)
        case Pot():
            return _pot(bearing)
        case Disc():
            body = bearing.body
            return (
                {
                    "disc.diameter": body.diameter,
                    "disc.thickness": body.thickness,
                    "disc.modulus": body.modulus,
                    "pin.diameter": body.pin,
                    "ring.depth": body.ring,
                    "middle.thickness": body.plate or None,
                }
                | _slide(bearing.slide)
                | _outer(bearing)
            )
        case CurvedBearing():
            return _curved(bearing)
        case PlaneSliding():
            return _slide(bearing.slide) | _outer(bearing)
        case PinBearing():
            own = ("diameter", "hole", "middle", "outer", "gap", "lug_width", "height_below",
                   "height_above", "weld", "steel_pin", "steel_plate")  # fmt: skip
            return _named(bearing, own) | _seats(bearing)
        case KnuckleBearing():
            own = ("radius", "mate", "length", "half_angle", "lower_height", "upper_height",
                   "collar", "steel")  # fmt: skip
            return _named(bearing, own) | _seats(bearing)
        case GuideBearing():
            first = bearing.pairs[0]
            pair = _named(
                first, ("strip_length", "strip_height", "bar_width", "bar_height", "play")
            )
            own = ("key_length", "key_width", "gap", "way", "steel")
            return pair | _named(bearing, own) | _seats(bearing)
        case UpliftRestraint():
            own = ("rods", "rod", "grade", "free_length", "way", "slack", "arm", "bracket", "plate",
                   "anchor_plate", "steel")  # fmt: skip
            return _named(bearing, own) | {"ends": "domed" if bearing.domed else "clamped"}
        case Elastomeric():
            return _elastomeric(bearing)
    raise BedstoneError(f"sizes of a {type(bearing).__name__} cannot be told by name")


def _named(record: object, names: Sequence[str]) -> dict[str, Any]:
    return {name: getattr(record, name) for name in names}


def _rollers(rollers: Rollers) -> dict[str, Any]:
    guide, stop = rollers.guide, rollers.stop
    return {
        "rollers": rollers.number,
        "diameter": rollers.diameter,
        "length": rollers.length,
        "spacing": rollers.spacing if rollers.number > 1 else None,
        "width": rollers.width if rollers.width < rollers.diameter else None,
        "strip": rollers.strip,
        "groove_width": guide.width + 2.0 * guide.clearance if guide.depth else None,
        "groove_depth": guide.depth,
        "rib_width": guide.width,
        "rib_height": guide.height,
        "stop_gap": stop.gap,
        "stop_thickness": stop.thickness,
    }


def _rocker(rocker: Rocker) -> dict[str, Any]:
    return {
        "radius": rocker.radius,
        "length": rocker.length if rocker.shape == "line" else None,
        "chord": rocker.chord,
        "block_height": rocker.height,
        "pin": rocker.pin,
        "strip": rocker.strip,
    }


def _steel_seats(bearing: RollerBearing | RockerBearing | RockerOnNest) -> dict[str, Any]:
    """Plates of rolling bearings: base and top, without steel, dowels and grout."""
    told: dict[str, Any] = {}
    for level, plate in (("base", bearing.base), ("top", bearing.top)):
        told |= {f"{level}_{name}": getattr(plate, name)
                 for name in ("length", "width", "thickness", "weld", "anchors")}  # fmt: skip
        if plate.anchors:
            told |= {
                f"{level}_anchor": plate.anchor,
                f"{level}_anchor_grade": plate.anchor_grade,
            }
    return told


def _seats(bearing: PinBearing | KnuckleBearing | GuideBearing) -> dict[str, Any]:
    """Plates of pins, knuckles and guides: base and sole, with all that a seating has."""
    told: dict[str, Any] = {}
    for level, plate in (("base", bearing.base), ("sole", bearing.sole)):
        names = ("length", "width", "thickness", "steel", "anchors", "dowels", "grout")
        told |= {f"{level}_{name}": getattr(plate, name) for name in names}
        # plates on concrete do not know the word; 0 is what others have without being told
        told[f"{level}_weld"] = plate.weld or None
        if plate.anchors:
            told |= {
                f"{level}_anchor": plate.anchor,
                f"{level}_anchor_grade": plate.anchor_grade,
            }
        if plate.dowels:
            told[f"{level}_dowel"] = plate.dowel
    return told


def _outer(bearing: Pot | Disc | CurvedBearing | PlaneSliding) -> dict[str, Any]:
    """Outer plates of bearings that slide: lower and upper."""
    told: dict[str, Any] = {}
    plates: tuple[tuple[str, Seating], ...] = (("lower", bearing.lower), ("upper", bearing.upper))
    for level, plate in plates:
        told |= {f"{level}.{name}": getattr(plate, name)
                 for name in ("length", "width", "thickness")}  # fmt: skip
        if plate.anchors:
            told |= {
                f"{level}.anchors": plate.anchors,
                f"{level}.anchor": plate.anchor,
                f"{level}.grade": plate.anchor_grade,
            }
        # 0 is what they are without being told
        told |= {f"{level}.grout": plate.grout or None, f"{level}.weld": plate.weld or None}
    return told


def _slide(slide: Slide | None) -> dict[str, Any]:
    if slide is None:
        return {}
    sheet = slide.sheet
    told: dict[str, Any] = {
        "sheet.length": sheet.length,
        "sheet.width": None if sheet.round else sheet.width,
        "sheet.thickness": sheet.thickness,
        "sheet.protrusion": sheet.protrusion,
        "stainless.length": slide.stainless_length,
        "stainless.width": slide.stainless_width,
        "stainless.thickness": slide.stainless_thickness,
    }
    if slide.guides:
        names = ("strip_length", "strip_height", "bar_width", "bar_height", "play")
        told |= {f"guide.{name}": getattr(slide.guides[0], name) for name in names}
    return told


def _pot(bearing: Pot) -> dict[str, Any]:
    body = bearing.body
    return (
        {
            "pad.diameter": body.diameter,
            "pad.thickness": body.pad,
            "pot.wall": body.wall,
            "pot.bottom": body.bottom,
            "pot.depth": body.depth,
            "piston.thickness": body.piston,
            "piston.rim": body.rim,
            "piston.rim_radius": body.rim_radius,
            "piston.clearance": body.clearance,
            "rings.number": body.rings,
            "rings.width": body.ring_width,
            "rings.depth": body.ring_depth,
            "middle.thickness": bearing.middle or None,
        }
        | _slide(bearing.slide)
        | _outer(bearing)
    )


def _curved(bearing: CurvedBearing) -> dict[str, Any]:
    curve = bearing.curve
    round_ = curve.sheet.round
    return (
        {
            "curve.radius": curve.radius,
            "curve.length": curve.sheet.length,
            "curve.width": None if round_ else curve.sheet.width,
            "curve.thickness": curve.sheet.thickness,
            "segment.length": curve.segment_length,
            "segment.width": None if round_ else curve.segment_width,
            "segment.edge": curve.segment_edge,
            "block.length": curve.block_length,
            "block.width": curve.block_width,
            "block.centre": curve.block_centre,
        }
        | _slide(bearing.slide)
        | _outer(bearing)
    )


def _elastomeric(bearing: Elastomeric) -> dict[str, Any]:
    pad, slide = bearing.pad, bearing.slide
    told: dict[str, Any] = {
        "shape": "round" if pad.round else "rectangular",
        "length": pad.length,
        "width": None if pad.round else pad.width,
        **_named(pad, ("layers", "layer", "plate", "cover", "side_cover")),
        "type": bearing.type,
        "outer_plate": bearing.outer_plate or None,
        "dowels": bearing.dowels,
        "dowel": bearing.dowel if bearing.dowels else None,
    }
    if slide is not None:
        told |= {
            "sheet_length": slide.length,
            "sheet_width": slide.width,
            "sheet_thickness": slide.sheet_thickness,
            "backing": slide.backing,
            "slide_length": slide.plate_length,
            "slide_width": slide.plate_width,
            "slide_thickness": slide.plate_thickness,
        }
    return told


# ------------------------------------------------------------------ between people and SI
def shown(value: Plain, unit: str) -> str:
    """A size as people write it, without its unit: 0.26 m is "260" (mm)."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return value
    if not unit:
        return f"{value:g}"
    return format_quantity(float(value), unit, SHOWN.get(unit, unit), 7).split(" ")[0]


def typed(text: str, words: str) -> Plain:
    """What an engineer typed for a size, in SI: a bare number has the unit shown beside it.

    `words`: those of the kind for this size, which name its unit. Raises `UnitError` for what is no
    such quantity.
    """
    text, unit = text.strip(), unit_of(words)
    if words.startswith(_NAMES) and text:
        return text  # a grade such as 8.8 is a name, not a number
    if not unit:
        try:
            number = float(text)
        except ValueError:
            if not text:
                raise UnitError("a number or a word") from None
            return {"true": True, "false": False}.get(text, text)
        return int(number) if number.is_integer() else number
    if re.fullmatch(r"[+-]?[\d.]+(?:[eE][+-]?\d+)?", text):
        text = f"{text} {SHOWN.get(unit, unit)}"
    return quantity(unit).value(text)


def as_written(kind: BearingKind, sizes: Mapping[str, Plain]) -> dict[str, Plain]:
    """Sizes as they stand in a bridge file: text with a unit where a size has one."""
    fields = catalogue.kind_of(kind).fields()
    told: dict[str, Plain] = {}
    for name, value in sizes.items():
        unit = unit_of(fields[name])
        if unit and isinstance(value, int | float) and not isinstance(value, bool):
            told[name] = format_quantity(float(value), unit, SHOWN.get(unit, unit), 7)
        else:
            told[name] = value
    return told


# ------------------------------------------------------------------ the text of the file
def with_given(
    text: str, bridge: Bridge, seat: str, kind: BearingKind, sizes: Mapping[str, Plain]
) -> str:
    """The text of a bridge file with the bearing of one seat given; `sizes` as written there.

    Comments stay. Raises `InputError` where the text cannot take it.
    """
    places = [place for place, item in enumerate(bridge.bearings.given) if item.seat == seat]
    if places:
        own = bridge.bearings.given[places[0]]
        head = f"bearings.given[{places[0] + 1}]"
        changes: dict[str, object] = {} if own.kind == kind else {f"{head}.kind": kind}
        changes |= {f'{head}.sizes."{name}"': None for name in own.sizes if name not in sizes}
        stood = tomllib.loads(text)["bearings"]["given"][places[0]].get("sizes", {})
        changes |= {
            f'{head}.sizes."{name}"': value
            for name, value in sizes.items()
            if stood.get(name) != value
        }
        return change_text(text, changes)
    block = _block(seat, kind, sizes)
    at = _end_of(text, "bearings")
    changed = f"{text[:at].rstrip()}\n\n{block}\n{text[at:].lstrip()}".rstrip() + "\n"
    wanted = tomllib.loads(text)
    bearings = wanted.setdefault("bearings", {})
    bearings["given"] = [
        *bearings.get("given", []),
        {"seat": seat, "kind": kind, "sizes": dict(sizes)},
    ]
    try:
        if tomllib.loads(changed) == wanted:
            return changed
    except tomllib.TOMLDecodeError:
        pass
    # the list stands in the file in another form: it is written anew as a whole
    return change_text(text, {"bearings.given": bearings["given"]})


def without_given(text: str, bridge: Bridge, seat: str) -> str:
    """The text without the bearing given for a seat."""
    places = [place for place, item in enumerate(bridge.bearings.given) if item.seat == seat]
    if not places:
        raise InputError([Fault("bridge file", "bearings.given", seat, "a seat that is in it")])
    return change_text(text, {f"bearings.given[{places[0] + 1}]": None})


def _block(seat: str, kind: BearingKind, sizes: Mapping[str, Plain]) -> str:
    table = tomlkit.table()
    table["seat"], table["kind"] = seat, kind
    own = tomlkit.table()
    for name, value in sizes.items():
        own[name] = value
    table["sizes"] = own
    document = tomlkit.document()
    outer = tomlkit.table(is_super_table=True)
    entries = tomlkit.aot()
    entries.append(table)
    outer["given"] = entries
    document["bearings"] = outer
    return tomlkit.dumps(document).strip() + "\n"


def _end_of(text: str, head: str) -> int:
    """Where the last table of a name ends in the text, comments of the next one left to it."""
    end, inside, last = len(text), False, len(text)
    at = 0
    for line in text.splitlines(keepends=True):
        found = re.match(r"\s*\[\[?\s*([A-Za-z0-9_-]+)", line)
        if found:
            if found[1] == head:
                inside = True
                end = len(text)
            elif inside:
                end, inside = last, False
            last = at + len(line)
        elif line.strip() and not line.lstrip().startswith("#"):
            last = at + len(line)
        at += len(line)
    return end
