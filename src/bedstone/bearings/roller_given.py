"""Sizes of an existing bearing with rollers or a rocker, read for assessment. SI units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bedstone.bearings import rolling
from bedstone.bearings.common.seating import Seating
from bedstone.bearings.roller_basis import fault, usual_length
from bedstone.bearings.roller_details import (
    Guide,
    LinkBars,
    Stop,
    Teeth,
    guide_form,
    size_guide,
    size_links,
    size_stop,
    size_teeth,
    stop_height,
)
from bedstone.bearings.roller_set import Rollers
from bedstone.bearings.roller_setting import Setting, across_push, stop_push
from bedstone.errors import Fault, InputError

_PLATE_FIELDS = {
    f"{level}_{size}": f"{what} of the {word} (m)"
    for level, word in (("base", "base plate"), ("top", "sole plate"))
    for size, what in (
        ("length", "length along x'"),
        ("width", "width along y'"),
        ("thickness", "thickness"),
        ("weld", "throat of the welds to the girder, 0 where bolted"),
    )
}
_ANCHOR_FIELDS = {
    f"{level}_{size}": f"{what} of the {word}"
    for level, word in (("base", "base plate"), ("top", "sole plate"))
    for size, what in (
        ("anchors", "number of bolts, 0 or even,"),
        ("anchor", "bolt by name (M24)"),
        ("anchor_grade", "grade of the bolts (8.8)"),
    )
}
#: Sizes of a seat, by name.
SEAT_FIELDS: Mapping[str, str] = {**_PLATE_FIELDS, **_ANCHOR_FIELDS}

#: Sizes of rollers and their plates; those without a default must be given.
FIELDS: Mapping[str, str] = {
    "rollers": "number of rollers; default 1, a nest 2",
    "diameter": "diameter of the rollers (m); must be given",
    "length": "length of the rollers (m); must be given",
    "spacing": "distance of neighbouring axes (m); must be given for a nest",
    "width": "width of segmental rollers (m); default the diameter: full rollers",
    "strip": "thickness of contact strips (m), 0 for none; default as a new bearing",
    "groove_width": "width of the groove (m), 0 with collars; default as a new bearing",
    "groove_depth": "depth of the groove (m)",
    "rib_width": "width of the guide rib, or thickness of a collar (m)",
    "rib_height": "height of the rib or collar above the contact (m)",
    "stop_gap": "clear gap from the roller's side to its stop at rest (m)",
    "stop_thickness": "thickness of the stop bar (m)",
    **SEAT_FIELDS,
}


@dataclass(frozen=True)
class Sizes:
    """Sizes as given, read by name; every reading raises `InputError` for what is not allowed."""

    sizes: Mapping[str, object]
    known: Mapping[str, str]

    def __post_init__(self) -> None:
        faults = [
            Fault("bearing", name, repr(value), f"one of {', '.join(self.known)}")
            for name, value in self.sizes.items()
            if name not in self.known
        ]
        if faults:
            raise InputError(faults)

    def length(self, name: str, default: float | None = None, *, zero: bool = False) -> float:
        """A length in m, above 0 (or 0 as well); the default where it is left out."""
        found = self.sizes.get(name, default)
        if found is None:
            raise fault(name, "nothing", self.known[name])
        if (
            isinstance(found, bool)
            or not isinstance(found, (int, float))
            or not math.isfinite(found)
            or found < 0.0
            or (found == 0.0 and not zero)
        ):
            raise fault(name, repr(found), f"a length in m, {'0 or more' if zero else 'above 0'}")
        return float(found)

    def whole(self, name: str, default: int) -> int:
        """A whole number of at least 0."""
        found = self.sizes.get(name, default)
        if isinstance(found, bool) or not isinstance(found, int) or found < 0:
            raise fault(name, repr(found), "a whole number, 0 or more")
        return found

    def word(self, name: str, default: str) -> str:
        """A word."""
        return str(self.sizes.get(name, default))


def given_rollers(read: Sizes, at: Setting, count: int) -> Rollers:
    """Rollers of given sizes; details that are left out are those of a new bearing."""
    diameter, length = read.length("diameter"), read.length("length")
    spacing = read.length("spacing") if count > 1 else 0.0
    steels = at.steels(diameter)
    strip = read.length("strip", at.strip(steels), zero=True)
    guide = _given_guide(read, at, count, diameter, strip)
    pushed, _ = stop_push(at, at.mu(steels))
    stop = size_stop(diameter, length, strip, at.movement, pushed, at.basis, at.detail_steel)
    stop = Stop(
        gap=read.length("stop_gap", stop.gap, zero=True),
        height=stop_height(diameter),
        root=strip,
        thickness=read.length("stop_thickness", stop.thickness),
        length=length,
        weld=stop.weld,
    )
    angle = rolling.rolling_angle(at.movement, diameter / 2.0)
    links: LinkBars | None = size_links(diameter) if count > 1 else None
    teeth: Teeth | None = None
    if at.chosen.flag("teeth", default=True):
        teeth = size_teeth(diameter, angle)
    return Rollers(
        number=count,
        diameter=diameter,
        length=length,
        spacing=spacing,
        width=read.length("width", diameter),
        strip=strip,
        steels=steels,
        guide=guide,
        links=links,
        teeth=teeth,
        stop=stop,
    )


def _given_guide(read: Sizes, at: Setting, count: int, diameter: float, strip: float) -> Guide:
    form = guide_form(at.chosen)
    clearance = at.chosen.number("clearance", usual_length("clearance"))
    usual = size_guide(
        form, diameter, clearance, strip, across_push(at, count), at.basis, at.detail_steel
    )
    width = read.length("rib_width", usual.width)
    if form == "grooves" and "groove_width" in read.sizes:
        clearance = (read.length("groove_width") - width) / 2.0
        if clearance < 0.0:
            raise fault("groove_width", f"{(width + 2 * clearance) * 1e3:g} mm",
                        f"at least the rib's width {width * 1e3:g} mm")  # fmt: skip
    return replace(
        usual,
        width=width,
        height=read.length("rib_height", usual.height),
        depth=read.length("groove_depth", usual.depth, zero=True),
        clearance=clearance,
    )


def given_seating(read: Sizes, level: str, usual: Seating) -> Seating:
    """A plate of given sizes; what is left out is as a new plate has it."""
    anchors = read.whole(f"{level}_anchors", usual.anchors)
    return replace(
        usual,
        length=read.length(f"{level}_length", usual.length),
        width=read.length(f"{level}_width", usual.width),
        thickness=read.length(f"{level}_thickness", usual.thickness),
        weld=read.length(f"{level}_weld", usual.weld, zero=True),
        anchors=anchors,
        anchor=read.word(f"{level}_anchor", usual.anchor),
        anchor_grade=read.word(f"{level}_anchor_grade", usual.anchor_grade),
    )
