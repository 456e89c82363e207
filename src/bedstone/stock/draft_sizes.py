"""Sizes of bearings that a register may know, and which of them an assessment cannot do without."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from bedstone.bearings.asked import sizes_of
from bedstone.bridge.schema import BearingKind, GivenBearing
from bedstone.errors import InputError
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode.elastomeric import deflection, shear_stiffness
from bedstone.standards.values import Values

__all__ = ["COLUMN_SIZES", "Size", "missing_sizes", "pad_stiffness", "refused_sizes"]

#: A size of a bearing as a bridge file writes it: name, and text with a unit or a plain number.
Size = tuple[str, str | float]

_PAD: Final[tuple[BearingKind, ...]] = ("laminated elastomeric",)
_ONE: Final[tuple[BearingKind, ...]] = ("single roller", "hardened roller")
_SETS: Final[tuple[BearingKind, ...]] = ("roller nest", "rocker on nest")
_POTS: Final[tuple[BearingKind, ...]] = ("pot", "pot on slide")

#: Of every column that holds a size: the kinds that have it, and what it is called there.
COLUMN_SIZES: Final[Mapping[str, Mapping[BearingKind, str]]] = {
    "Pad length": dict.fromkeys(_PAD, "length"),
    "Pad width": dict.fromkeys(_PAD, "width"),
    "Pad layers": dict.fromkeys(_PAD, "layers"),
    "Pad layer": dict.fromkeys(_PAD, "layer"),
    "Pad plate": dict.fromkeys(_PAD, "plate"),
    "Pad cover": dict.fromkeys(_PAD, "cover"),
    "Rollers": dict.fromkeys(_SETS, "rollers"),
    "Roller diameter": dict.fromkeys((*_ONE, *_SETS), "diameter"),
    "Roller length": dict.fromkeys((*_ONE, *_SETS), "length"),
    "Roller spacing": dict.fromkeys(_SETS, "spacing"),
    "Rocker radius": {
        "line rocker": "radius", "point rocker": "radius", "rocker on nest": "rocker_radius",
    },
    "Rocker length": {"line rocker": "length", "rocker on nest": "rocker_length"},
    "Pot diameter": dict.fromkeys(_POTS, "pad.diameter"),
}  # fmt: skip

_POT: Final = (
    "pad.diameter", "pad.thickness", "pot.wall", "pot.bottom", "pot.depth", "piston.thickness",
    "piston.rim",
)  # fmt: skip
_SLIDE: Final = ("sheet.length", "stainless.length", "stainless.width")
#: Sizes without which a kind cannot be assessed; of kinds that are not here, none is known.
_NEEDED: Final[Mapping[BearingKind, Sequence[str]]] = {
    "laminated elastomeric": ("length", "width", "layers", "layer", "plate"),
    "single roller": ("diameter", "length"),
    "hardened roller": ("diameter", "length"),
    "roller nest": ("rollers", "diameter", "length", "spacing"),
    "rocker on nest": (
        "rollers", "diameter", "length", "spacing", "rocker_radius", "rocker_length",
    ),
    "line rocker": ("radius", "length"),
    "point rocker": ("radius",),
    "pot": _POT,
    "pot on slide": (*_POT, "middle.thickness", *_SLIDE),
    "plane sliding": _SLIDE,
}  # fmt: skip


def missing_sizes(kind: BearingKind | None, sizes: Sequence[Size]) -> tuple[str, ...]:
    """Sizes that an assessment of this kind asks for and that are not known.

    A kind of which no list is kept is taken as known where any size is told.
    """
    if kind is None:
        return ("kind",)
    known = dict(sizes)
    if not known:
        return tuple(_NEEDED.get(kind, ("sizes",)))
    wanted = [name for name in _NEEDED.get(kind, ()) if name not in known]
    if kind == "laminated elastomeric" and known.get("shape") == "round":
        wanted = [name for name in wanted if name != "width"]
    return tuple(wanted)


def refused_sizes(kind: BearingKind, sizes: Sequence[Size]) -> tuple[str, ...]:
    """What is wrong with names and units of sizes, in words; () where nothing is."""
    given = GivenBearing.model_construct(seat="-", kind=kind, sizes=dict(sizes))
    try:
        sizes_of(given, 0)
    except InputError as error:
        return tuple(f"{fault.found}; allowed: {fault.allowed}" for fault in error.faults)
    return ()


def pad_stiffness(sizes: Sequence[Size], G: float) -> tuple[float, float]:
    """Stiffness (N/m) in shear and down of a pad of these sizes; `G` its shear modulus (Pa).

    By EN 1337-3, 5.3.3.7, whatever the family: between families it differs little, and the modulus
    is a guess.
    """
    given = GivenBearing.model_construct(seat="-", kind="laminated elastomeric", sizes=dict(sizes))
    found = sizes_of(given, 0)
    values = Values("eurocode")

    def number(name: str, usual: float = 0.0) -> float:
        return float(found.get(name, usual))

    is_round = found.get("shape") == "round"
    pad = Pad(
        length=number("length"),
        width=number("length" if is_round else "width"),
        layers=int(number("layers")),
        layer=number("layer"),
        plate=number("plate"),
        cover=number("cover"),
        side_cover=number("side_cover", values.number("elastomeric.side_cover.usual")),
        round=is_round,
    )
    down = 1.0 / deflection(values, pad, Loading(1.0), G).value
    found_both = shear_stiffness(pad, G), down
    assert all(math.isfinite(one) and one > 0.0 for one in found_both)
    return found_both
