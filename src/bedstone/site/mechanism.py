"""What of a designed bearing moves, how far it may, and its sizes for a sketch. SI units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from bedstone.bearings import rolling
from bedstone.bearings.base import Design
from bedstone.bearings.common.seating import Seating
from bedstone.bearings.disc import Disc
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.guide import GuideBearing
from bedstone.bearings.pot_sizes import Pot
from bedstone.bearings.rocker import RockerBearing
from bedstone.bearings.rocker_nest import RockerOnNest
from bedstone.bearings.roller_set import Rollers
from bedstone.bearings.roller_sizing import RollerBearing
from bedstone.bearings.sliding import PlaneSliding
from bedstone.bearings.sliding_sheet import Slide
from bedstone.bearings.spherical_statics import CurvedBearing
from bedstone.bearings.uplift import UpliftRestraint
from bedstone.bridge.schema import BearingKind

#: How the upper part of a bearing moves over the lower one.
Form = Literal["rolls", "slides", "shears", "holds"]
FORMS: tuple[Form, ...] = get_args(Form)

_ROLLING = ("single roller", "hardened roller", "roller nest", "rocker on nest")


@dataclass(frozen=True)
class End:
    """What ends or holds a movement in one direction.

    `back`, `ahead`: offset (m) of the upper part from the middle at which it ends (`back` <= 0);
    `halved`: measured at a roller, which goes half as far; `overhang`: measured as the overhang of
    the plate above, which grows at the end toward which it moves; `holds`: a guide with this play.
    """

    what: str
    axis: Literal["x", "y"]
    back: float
    ahead: float
    halved: bool = False
    overhang: bool = False
    holds: bool = False

    def left(self, offset: float) -> tuple[float, float]:
        """Movement (m) of the upper part left backward and forward from `offset` (m)."""
        return offset - self.back, self.ahead - offset

    def readings(self, offset: float) -> tuple[float, float]:
        """What a rule reads (m) at the end behind and at the end ahead at an `offset` (m)."""
        back, ahead = self.left(offset)
        if self.overhang:
            return ahead, back
        share = 0.5 if self.halved else 1.0
        return back * share, ahead * share


@dataclass(frozen=True)
class RollerSet:
    """Rollers or segments: number, diameter, length, spacing of axes, width (of a segment), m."""

    number: int
    diameter: float
    length: float
    spacing: float
    width: float

    @property
    def segmental(self) -> bool:
        """True for rollers cut down on both sides."""
        return self.width < self.diameter * (1.0 - 1e-9)

    @property
    def greatest_turn(self) -> float:
        """Turn (rad) at which a segment stands on the edge of its arc."""
        return rolling.segment_limit(self.width, self.diameter / 2.0)


@dataclass(frozen=True)
class Block:
    """One block of a sketch: `length` along x', `width` along y', `height`, m."""

    name: str
    length: float
    width: float
    height: float


@dataclass(frozen=True)
class Mechanism:
    """A bearing as it is set: what stays below, what moves above, the rollers between, the ends.

    `below`, `above`: blocks from the bottom up. `length`: of the upper plate along x' (m), over
    which a level is laid.
    """

    form: Form
    ends: tuple[End, ...]
    below: tuple[Block, ...]
    above: tuple[Block, ...]
    rollers: RollerSet | None = None

    @property
    def length(self) -> float:
        """Length of the uppermost plate along x', m."""
        return self.above[-1].length


def form_of(kind: BearingKind | None, moves: bool) -> Form:
    """How a kind moves where no sizes are known; a kind that nobody named is taken to slide."""
    if not moves:
        return "holds"
    if kind in _ROLLING:
        return "rolls"
    return "shears" if kind == "laminated elastomeric" else "slides"


def mechanism(design: Design, held: tuple[bool, bool]) -> Mechanism:
    """The moving parts of a design; `held`: x' and y' held."""
    made = design.bearing
    form: Form = form_of(design.kind, not all(held))
    if isinstance(made, RollerBearing | RockerOnNest):
        return _rolling(made, held)
    if isinstance(made, Elastomeric):
        if made.slide is not None:
            form = "slides"
        return Mechanism(form, _elastomeric_ends(design, made, held), *_elastomeric_blocks(made))
    if isinstance(made, PlaneSliding | Pot | CurvedBearing | Disc):
        slide = made.slide
        ends = () if slide is None else _slide_ends(slide, held)
        inner = made.height - made.lower.thickness - made.upper.thickness
        return Mechanism(
            form,
            ends,
            (_plate("base plate", made.lower), Block("bearing", *_body(made), inner)),
            (_plate("upper plate", made.upper),),
        )
    ends = ()
    if isinstance(made, GuideBearing):
        ends = _guide_ends(made, held)
    elif isinstance(made, UpliftRestraint) and not held[0]:
        ends = (End("end of the slots", "x", -made.way, made.way),)
    if isinstance(made, RockerBearing):
        rocker = made.rocker
        return Mechanism(
            form,
            ends,
            (
                _plate("base plate", made.base),
                Block("rocker", rocker.chord, rocker.length, rocker.height),
            ),
            (_plate("sole plate", made.top),),
        )
    # pins, knuckles, guides and restraints: their outline is enough for a sketch
    length, width, third = *design.reach, design.height / 3.0
    return Mechanism(
        form,
        ends,
        (
            Block("lower part", length, width, third),
            Block("body", length / 2.0, width / 2.0, third),
        ),
        (Block("upper part", length, width, third),),
    )


def _plate(name: str, plate: Seating) -> Block:
    return Block(name, plate.length, plate.width, plate.thickness)


def _rolling(made: RollerBearing | RockerOnNest, held: tuple[bool, bool]) -> Mechanism:
    rollers: Rollers = made.rollers
    travel = rolling.travel_to_stop(rollers.stop.gap)
    play = rollers.guide.clearance
    ends = [
        End("stop of the rollers", "x", -travel, travel, halved=True),
        # ribs on both plates: each lets the roller go by its clearance
        End("guide rib of the rollers", "y", -play, play, holds=held[1]),
    ]
    shape = RollerSet(
        rollers.number, rollers.diameter, rollers.length, rollers.spacing, rollers.width
    )
    if shape.segmental:
        edge = shape.greatest_turn * shape.diameter
        ends.append(End("edge of the segments' arc", "x", -edge, edge))
    above = [_plate("sole plate", made.top)]
    if isinstance(made, RockerOnNest):
        rocker, knuckle = made.rocker, made.knuckle
        above = [
            Block("knuckle plate", knuckle.length, knuckle.width, knuckle.thickness),
            Block("rocker", rocker.chord, rocker.length, rocker.height),
            *above,
        ]
    return Mechanism("rolls", tuple(ends), (_plate("base plate", made.base),), tuple(above), shape)


def _slide_ends(slide: Slide, held: tuple[bool, bool]) -> tuple[End, ...]:
    ends = []
    for axis, way, is_held in zip(("x", "y"), (slide.way_x, slide.way_y), held, strict=True):
        side: Literal["x", "y"] = "x" if axis == "x" else "y"
        pair = slide.holding(side)
        if pair is not None:
            ends.append(End("guide", side, -pair.play, pair.play, holds=True))
        elif not is_held:
            ends.append(End("edge of the stainless surface", side, -way, way, overhang=True))
    return tuple(ends)


def _guide_ends(made: GuideBearing, held: tuple[bool, bool]) -> tuple[End, ...]:
    ends = [End("guide", pair.holds, -pair.play, pair.play, holds=True) for pair in made.pairs]
    if not held[0]:
        ends.append(End("end of the bars", "x", -made.way, made.way))
    return tuple(ends)


def _body(made: PlaneSliding | Pot | CurvedBearing | Disc) -> tuple[float, float]:
    """Plan (m, m) of what stands between the outer plates."""
    if isinstance(made, Pot):
        return made.body.outside, made.body.outside
    if isinstance(made, CurvedBearing):
        return made.curve.block_length, made.curve.block_width
    if isinstance(made, Disc):
        return made.body.diameter, made.body.diameter
    return made.slide.sheet.length, made.slide.sheet.width


def _elastomeric_ends(
    design: Design, made: Elastomeric, held: tuple[bool, bool]
) -> tuple[End, ...]:
    axes: tuple[Literal["x", "y"], ...] = ("x", "y")
    free = [axis for axis, is_held in zip(axes, held, strict=True) if not is_held]
    slide = made.slide
    if slide is not None:
        room = {
            "x": (slide.plate_length - slide.length) / 2.0,
            "y": (slide.plate_width - slide.width) / 2.0,
        }
        return tuple(
            End("edge of the slide plate", axis, -room[axis], room[axis], overhang=True)
            for axis in free
        )
    capacity = _shear_capacity(design)
    if capacity is None:
        return ()
    return tuple(End("shear that the pad may take", axis, -capacity, capacity) for axis in free)


def _shear_capacity(design: Design) -> float | None:
    """Movement (m) at which the shear rule of the pad is used up, out of the rule's own line."""
    for line in design.lines:
        known = {item.symbol: item.value for item in line.inputs}
        if line.title == "Shear deformation" and line.limit is not None and known["Delta_s"] > 0.0:
            # elastomer asked for over movement: the factor of the rule
            return line.value * known["Delta_s"] / line.limit.value
        if line.title in ("Strain by shear", "Shear strain") and line.limit is not None:
            thickness = known.get("Tq", known.get("h"))
            if thickness is not None:
                return line.limit.value * thickness
    return None


def _elastomeric_blocks(made: Elastomeric) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    long, wide, slide = made.pad.length, made.pad.width, made.slide
    pad = Block("pad", long, wide, made.pad.height + 2.0 * made.outer_plate)
    if slide is None:
        # the girder itself stands on the pad; a thin line marks its underside
        return (pad,), (Block("girder", long, wide, max(0.1 * pad.height, 0.005)),)
    sheet = Block("sheet", slide.length, slide.width, slide.backing + slide.sheet_thickness / 2.0)
    plate = Block("slide plate", slide.plate_length, slide.plate_width, slide.plate_thickness)
    return (pad, sheet), (plate,)
