"""What the engineer may choose for a laminated elastomeric bearing, and the bearing as a record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from bedstone.bearings.base import Basis
from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.choices import ChoiceList
from bedstone.standards.elastomeric_pad import Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.irc import elastomeric as irc

Shape = Literal["rectangular", "round"]
#: Types of EN 1337-3; the other families know B (plain pad) and C (outer plates, fastened).
Type = Literal["B", "C", "D", "E"]
Restraint = Literal["none", "dowel"]
Forces = Literal["with movements", "beside movements"]
Method = Literal["A", "B"]
IrcEdition = Literal["2018", "1987"]
Owner = Literal["none", "TxDOT"]
SHAPES: tuple[Shape, ...] = get_args(Shape)
TYPES: tuple[Type, ...] = get_args(Type)

OPTIONS: Mapping[str, str] = {
    "elastomeric.shape": "rectangular (default) or round",
    "elastomeric.type": "B plain, C with outer plates fastened to the seat, D or E with a slide"
    " (EN 1337-3); default B, and C where B does not hold itself by friction",
    "elastomeric.shear_modulus": "nominal shear modulus, Pa; default 0.9e6 (EN, IRC 2018), 1.0e6"
    " (IRC 1987); AASHTO: by hardness",
    "elastomeric.shear_modulus_low": "lower end, Pa; default as the family says",
    "elastomeric.shear_modulus_high": "upper end, Pa; default as the family says",
    "elastomeric.hardness": "AASHTO: 50 (default), 60 or 70",
    "elastomeric.yield": "yield strength of the plates, Pa; default as the family says",
    "elastomeric.side_cover": "elastomer beside the plates, m; default as the family says",
    "elastomeric.restraint": "none (default), or dowel: steel dowels beside the pad take the"
    " force of fixed and guided functions",
    "elastomeric.bedding": "concrete (default) or other: what the pad lies on (EN 1337-3 K_f)",
    "elastomeric.forces": "with movements (default): the movement already holds what the"
    " horizontal force does, as in a model with springs; beside movements: the force adds to it",
    "elastomeric.step": "step of free plan sizes, m; default 0.05 (2 in for AASHTO); twice that"
    " beyond 0.6 m",
    "elastomeric.deflection_area": "EN, IRC 2018: A1 (default) or Ar",
    "elastomeric.buckling_side": "EN, IRC 2018: shorter (default) or longer",
    "elastomeric.compression": "EN, IRC 2018: max (default) of inner and outer layers, or sum",
    "elastomeric.method": "AASHTO: A (default) or B",
    "elastomeric.edition": "AASHTO 2009 (default) or 1998; IRC 2018 (default) or 1987",
    "elastomeric.owner": "AASHTO: none (default) or TxDOT (its changes of method A)",
    "elastomeric.excess": "TxDOT: true lets the total pressure exceed by 15 %; default false",
    "elastomeric.grade": "TxDOT: slope of the pad's seat for slip; default 0",
    "elastomeric.cyclic_movement": "AASHTO method B: share of the movement that repeats with"
    " traffic, 0 to 1; default 0 (temperature counts as static)",
    "elastomeric.sheet_temperature": "type E: highest effective temperature of the bearing, degC;"
    " default 30",
}

_CHOSEN = ChoiceList("bearings", OPTIONS)


@dataclass(frozen=True)
class Slide:
    """A sliding sheet on top of a pad: sides of the sheet and of the slide plate over it, m.

    `sheet_thickness`, `plate_thickness`, and `backing` the steel plate between pad and sheet.
    """

    length: float
    width: float
    sheet_thickness: float
    plate_length: float
    plate_width: float
    plate_thickness: float
    backing: float


@dataclass(frozen=True)
class Elastomeric:
    """A laminated elastomeric bearing as made; SI units.

    `modulus`: nominal, lower and upper shear modulus; `fy` of the plates in the pad;
    `outer_plate`: thickness of each outer plate (type C), 0 without; `dowels` of `dowel`
    diameter beside the pad hold it in the held directions.
    """

    pad: Pad
    type: Type
    modulus: tuple[float, float, float]
    fy: float
    outer_plate: float = 0.0
    dowels: int = 0
    dowel: float = 0.0
    slide: Slide | None = None

    @property
    def height(self) -> float:
        """Overall height, m."""
        tall = self.pad.height + 2 * self.outer_plate
        if self.slide is not None:
            # Half of a recessed sheet stands in its plate.
            tall += self.slide.backing + self.slide.sheet_thickness / 2
            tall += self.slide.plate_thickness
        return tall


@dataclass(frozen=True)
class Chosen:
    """The engineer's choices for this kind, read and checked once."""

    shape: Shape
    type: Type | None
    modulus: tuple[float, float, float]
    fy: float
    side_cover: float
    restraint: Restraint
    bedding: en.Bedding
    forces: Forces
    step: float
    deflection_area: en.DeflectionArea
    buckling_side: en.Side
    compression: en.Combine
    method: Method
    edition: str
    owner: Owner
    excess: bool
    grade: float
    cyclic_movement: float
    sheet_temperature: float

    @property
    def working_stress(self) -> bool:
        """True for IRC:83 Part II of 1987."""
        return self.edition == "1987"


def read(basis: Basis) -> Chosen:
    """The choices of this kind; raises `InputError` for what is not allowed."""
    options = basis.options
    number, word = _CHOSEN.number, _CHOSEN.word
    edition: str = ""
    if basis.family == "aashto":
        edition = word(options, "elastomeric.edition", aashto.EDITIONS, "2009")
    elif basis.family == "irc":
        edition = word(options, "elastomeric.edition", ("2018", "1987"), "2018")
    steps = {"eurocode": 0.05, "irc": 0.05, "aashto": 0.0508}
    kinds: Type | None = None
    if "elastomeric.type" in options:
        kinds = word(options, "elastomeric.type", TYPES, None)
    return Chosen(
        shape=word(options, "elastomeric.shape", SHAPES, "rectangular"),
        type=kinds,
        modulus=_modulus(basis, edition),
        fy=number(options, "elastomeric.yield", _yield(basis), above=0.0),
        side_cover=number(options, "elastomeric.side_cover", _side_cover(basis, edition), least=0),
        restraint=word(options, "elastomeric.restraint", ("none", "dowel"), "none"),
        bedding=word(options, "elastomeric.bedding", en.BEDDINGS, "concrete"),
        forces=word(
            options, "elastomeric.forces", ("with movements", "beside movements"), "with movements"
        ),
        step=number(options, "elastomeric.step", steps[basis.family], least=0.005),
        deflection_area=word(options, "elastomeric.deflection_area", en.DEFLECTION_AREAS, "A1"),
        buckling_side=word(options, "elastomeric.buckling_side", en.SIDES, "shorter"),
        compression=word(options, "elastomeric.compression", en.COMBINES, "max"),
        method=word(options, "elastomeric.method", ("A", "B"), "A"),
        edition=edition,
        owner=word(options, "elastomeric.owner", ("none", "TxDOT"), "none"),
        excess=_CHOSEN.flag(options, "elastomeric.excess", False),
        grade=number(options, "elastomeric.grade", 0.0, least=0.0, most=0.2),
        cyclic_movement=number(options, "elastomeric.cyclic_movement", 0.0, least=0.0, most=1.0),
        sheet_temperature=number(options, "elastomeric.sheet_temperature", 30.0),
    )


def _modulus(basis: Basis, edition: str) -> tuple[float, float, float]:
    """(nominal, low, high) shear modulus, Pa."""
    values, options = basis.values, basis.options
    given = _CHOSEN.given(options, "elastomeric.shear_modulus", above=0.0)
    if basis.family == "aashto":
        hardness = _CHOSEN.number(options, "elastomeric.hardness", 50.0)
        known = aashto.hardnesses(values)
        if hardness not in known:
            allowed = ", ".join(f"{one:g}" for one in known)
            raise _CHOSEN.refuse("elastomeric.hardness", repr(hardness), allowed)
        row = aashto.rubber(values, hardness)
        nominal = given if given is not None else (row.low + row.high) / 2
        low, high = (row.low, row.high) if given is None else (given, given)
    elif edition == "1987":
        nominal = values.number("elastomeric_1987.shear_modulus") if given is None else given
        low, high = values.row("elastomeric_1987.shear_modulus.range")
        if given is not None:
            low = high = given
    else:
        classes = (
            en.shear_moduli(values) if basis.family == "eurocode" else irc.shear_moduli(values)
        )
        usual = classes[len(classes) // 2][0]
        nominal = usual if given is None else given
        tolerance = next((t for G, t in classes if abs(G - nominal) < 1.0), 0.0)
        low, high = nominal - tolerance, nominal + tolerance
    low = _CHOSEN.number(options, "elastomeric.shear_modulus_low", low, above=0.0, most=nominal)
    high = _CHOSEN.number(options, "elastomeric.shear_modulus_high", high, least=nominal)
    return nominal, low, high


def _yield(basis: Basis) -> float:
    return basis.values.number("elastomeric.plate.yield")


def _side_cover(basis: Basis, edition: str) -> float:
    if edition == "1987":
        return basis.values.number("elastomeric_1987.side_cover")
    if basis.family == "aashto":
        return basis.values.number("elastomeric.usual.side_cover")
    return basis.values.number("elastomeric.side_cover.usual")
