"""Line rocker and point rocker: fixed bearings that turn by rolling on a curved face."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from bedstone.bearings import hertz
from bedstone.bearings.base import Basis, Behaviour, Demand, Design, Refusal, worst_first
from bedstone.bearings.common import materials
from bedstone.bearings.common import seating as seats
from bedstone.bearings.common.seating import Seating, SeatingCase, check_seating
from bedstone.bearings.rocker_contact import (
    Rocker,
    Shape,
    across,
    block_height,
    block_line,
    chord_for,
    contact_lines,
    needed_radius,
    pin_lines,
    refuse_impossible,
    rocker_parts,
    rocker_steels,
    shear_push,
    size_pin,
)
from bedstone.bearings.roller_basis import OPTIONS as ROLLER_OPTIONS
from bedstone.bearings.roller_basis import Cases, usual_length
from bedstone.bearings.roller_given import SEAT_FIELDS, Sizes, given_seating
from bedstone.bearings.roller_seating import Place, above, below, seat_parts, size_plate
from bedstone.bearings.roller_setting import Setting, setting
from bedstone.bearings.roller_sizing import made
from bedstone.bearings.shortfall import nothing_carries
from bedstone.bridge.schema import BearingKind
from bedstone.mechanics.frame import Floats
from bedstone.standards.eurocode import rollers as en_rollers
from bedstone.standards.record import Line

#: Sizes of a rocker; those without a default must be given.
FIELDS: Mapping[str, str] = {
    "radius": "radius of the curved face (m); must be given",
    "length": "length of a line rocker (m); must be given for one",
    "chord": "width of the curved face along x', diameter of a point rocker (m); default as new",
    "block_height": "height of the block (m); default as a new bearing",
    "pin": "diameter of the two pintles (m); default as a new bearing",
    "strip": "thickness of the contact strip (m), 0 for none; default as a new bearing",
    **SEAT_FIELDS,
}
#: Lengths of line rockers that are tried (m); common practice, no source.
_LENGTHS = tuple(round(0.2 + 0.05 * step, 2) for step in range(25))


@dataclass(frozen=True)
class RockerBearing:
    """A rocker on a base plate below a sole plate."""

    rocker: Rocker
    base: Seating
    top: Seating


@dataclass(frozen=True)
class RockerKind:
    """Line or point rocker; satisfies `base.Kind`."""

    name: BearingKind
    shape: Shape

    @property
    def options(self) -> Mapping[str, str]:
        """Options of materials, contact rules and seats."""
        own = ("rocker.length", "roller.rule", "roller.high_tensile", "roller.strip")
        return {
            **{name: ROLLER_OPTIONS[name] for name in own},
            **seats.OPTIONS,
        }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """Function, uplift, rotation beyond the scope, no rule for a point contact."""
        if demand.function != "fixed":
            return Refusal(
                self.name,
                f"a rocker of this kind travels nowhere; the seat is {demand.function}",
                "kinematics of rolling",
                "rocker on nest, or a rocker on a sliding part",
            )
        if self.shape == "point" and basis.family == "irc":
            return Refusal(
                self.name,
                "no permissible load of a point contact is known here for this family",
                "IRC:83 (Part I), 907",
                "a line rocker, a pin, or a spherical or pot bearing",
            )
        return refuse_turning(self.name, demand, basis)

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest rocker and plates that pass, or the reason why none does."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        at = setting(self.name, demand, basis)
        sketched = [
            rocker
            for length in lengths(at, self.shape)
            if (rocker := new_rocker(at, self.shape, length, along(at.parts))) is not None
        ]
        if not sketched:
            return Refusal(
                self.name,
                f"no curved face carries {float(at.contact.N.max()) / 1e3:.0f} kN",
                "rule of the contact",
                "harder steel (steel.rocker), or a spherical or pot bearing",
            )
        best: Design | None = None
        nearest: Design | None = None
        worse = 0
        for rocker in sorted(sketched, key=bulk):
            design = self._designed(at, self._complete(at, rocker))
            if nearest is None or design.utilisation < nearest.utilisation:
                nearest = design
            if not design.passes:
                continue
            if best is None or design.mass < best.mass:
                best, worse = design, 0
            else:
                # Heavier blocks bring heavier plates: two in a row end the search.
                worse += 1
                if worse == 2:
                    break
        if best is not None:
            return best
        assert nearest is not None
        worst = nearest.lines[0]
        why = nothing_carries(worst, demand) or f"{worst.title} {worst.utilisation or 0.0:.2f}"
        return Refusal(
            self.name,
            f"the nearest design fails: {worst.part}: {why}",
            f"{worst.standard}, {worst.clause}",
            "larger plinth, other steel, or another kind",
        )

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a rocker of given sizes; sizes that are left out are those of a new bearing."""
        at = setting(self.name, demand, basis)
        read = Sizes(sizes, FIELDS)
        rocker = given_rocker(read, at, self.shape, along(at.parts))
        usual = self._complete(at, rocker)
        bearing = RockerBearing(
            rocker,
            given_seating(read, "base", usual.base),
            given_seating(read, "top", usual.top),
        )
        return self._designed(at, bearing)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a rocker as it was made for another demand."""
        assert isinstance(bearing, RockerBearing)
        return self._designed(setting(self.name, demand, basis), bearing)

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return FIELDS

    def _complete(self, at: Setting, rocker: Rocker) -> RockerBearing:
        margin = 2.0 * usual_length("margin")
        plates = []
        for level, place, size in (
            ("base", below(at.basis), rocker.chord + margin),
            ("top", above(at.basis), rocker.chord),
        ):
            plates.append(
                size_plate(
                    place,
                    at,
                    partial(plate_cases, at, rocker, level),
                    lambda _: 0.0,
                    size,
                    rocker.length + (margin if level == "base" else 0.0),
                )
            )
        return RockerBearing(rocker, plates[0], plates[1])

    def _designed(self, at: Setting, bearing: RockerBearing) -> Design:
        rocker, basis, demand = bearing.rocker, at.basis, at.demand
        pushed = along(at.parts)
        lines = rocker_lines(at, rocker, pushed)
        places: tuple[tuple[str, Place, Seating], ...] = (
            ("base", below(basis), bearing.base),
            ("top", above(basis), bearing.top),
        )
        for level, place, plate in places:
            lines += check_seating(
                plate,
                plate_cases(at, rocker, level, plate.thickness),
                basis,
                part=place.part,
                connected=place.connected,
                above=place.above,
                use=demand.use,
            )
        notes = ["the pintles carry all horizontal force: no friction is counted"]
        if rocker.shape == "line" and demand.largest("rx") > 0.0 and demand.largest("Mx") == 0.0:
            notes.append(
                f"a line rocker does not turn about x'; the analysis lets the seat turn "
                f"{demand.largest('rx') * 1e3:.2f} mrad there: hold that rotation in the analysis "
                "(hold_rotation x), or take a point rocker"
            )
        height = bearing.base.thickness + rocker.height + rocker.strip + bearing.top.thickness
        return Design(
            kind=self.name,
            bearing=bearing,
            parts=(
                *seat_parts(bearing.base, below(basis)),
                *rocker_parts(rocker, materials.default("pin", basis), bearing.top.length),
                *seat_parts(bearing.top, above(basis)),
            ),
            lines=worst_first(lines),
            behaviour=Behaviour(play=usual_length("clearance")),
            height=height,
            reach=(
                max(bearing.base.length, bearing.top.length),
                max(bearing.base.width, bearing.top.width),
            ),
            horizontal=0.0,
            left=0.0,
            notes=tuple(notes),
        )


def refuse_turning(kind: BearingKind, demand: Demand, basis: Basis) -> Refusal | None:
    """Uplift, and rotation beyond the scope of EN 1337-6."""
    if demand.uplift > 0.0:
        return Refusal(
            kind,
            f"a rocker carries no pull; uplift of {demand.uplift / 1e3:.0f} kN",
            "own statics",
            "a pin, or an uplift restraint beside it",
        )
    if basis.family == "eurocode":
        turned = max((abs(case.ry) for case in demand.service), default=0.0)
        line = en_rollers.rotation(basis.values, turned, rocker=True)
        if (line.utilisation or 0.0) > 1.0:
            return Refusal(
                kind,
                f"rotation of {turned * 1e3:.1f} mrad under the characteristic combination",
                f"{line.standard}, {line.clause}",
                "a pin or a bearing made for large rotations",
            )
    return None


def lengths(at: Setting, shape: Shape) -> tuple[float, ...]:
    """Lengths (m) of rockers to try; a point rocker has none."""
    if shape == "point":
        return (0.0,)
    chosen = at.chosen.given("length", least=1e-3, most=5.0)
    return _LENGTHS if chosen is None else (chosen,)


def along(cases: Cases) -> Floats:
    """Horizontal force (cases,) N along x' of a fixed rocker."""
    return np.abs(cases.Hx)


def bulk(rocker: Rocker) -> float:
    """Volume (m3) of the block: the order in which rockers are tried."""
    return rocker.chord * rocker.length * rocker.height


def turning(at: Setting, shape: Shape) -> float:
    """Largest calculated rotation (rad): about y', about any axis for a point rocker."""
    about_y = at.demand.largest("ry")
    if shape == "line":
        return about_y
    return max(math.hypot(case.rx, case.ry) for case in at.demand.cases)


def new_rocker(at: Setting, shape: Shape, length: float, pushed: Floats) -> Rocker | None:
    """A rocker of a length (m) with the radius and chord that it needs; None where none passes."""
    pin = size_pin(shear_push(at.parts, pushed), at.basis)
    lost = 2.0 * (pin + 2.0 * usual_length("clearance"))
    if shape == "line" and length <= lost:
        return None
    steels, strip = rocker_steels(at.basis, 0.1, at.detail_steel)
    radius = needed_radius(at.basis, at.chosen, at.contact, shape, length, lost, steels)
    if radius is None:
        return None
    rocker = _with_block(at, shape, radius, length, pin, strip)
    return rocker if made(at, rocker.steels.roller, min(rocker.chord, rocker.height)) else None


def _with_block(
    at: Setting, shape: Shape, radius: float, length: float, pin: float, strip: bool
) -> Rocker:
    steels, _ = rocker_steels(at.basis, 0.1, at.detail_steel)
    load = float(at.contact.N.max())
    if shape == "line":
        half = hertz.line_contact(1.6 * load / length, radius, steels.contact_modulus).half_width
    else:
        half = hertz.point_contact(load, radius, steels.contact_modulus).half_width
    chord = min(chord_for(at.basis, radius, turning(at, shape), half), 2.0 * radius)
    return Rocker(
        shape=shape,
        radius=radius,
        length=length if shape == "line" else chord,
        chord=chord,
        height=block_height(chord, pin),
        pin=pin,
        strip=at.chosen.number("strip", usual_length("strip"), least=1e-3) if strip else 0.0,
        steels=steels,
    )


def given_rocker(read: Sizes, at: Setting, shape: Shape, pushed: Floats) -> Rocker:
    """A rocker of given sizes; raises `InputError` for impossible ones."""
    radius = read.length("radius")
    length = read.length("length") if shape == "line" else 0.0
    pin = size_pin(shear_push(at.parts, pushed), at.basis)
    _, strip = rocker_steels(at.basis, 0.1, at.detail_steel)
    usual = _with_block(at, shape, radius, max(length, 1e-3), pin, strip)
    chord = read.length("chord", usual.chord)
    rocker = Rocker(
        shape=shape,
        radius=radius,
        length=length if shape == "line" else chord,
        chord=chord,
        height=read.length("block_height", usual.height),
        pin=read.length("pin", usual.pin),
        strip=read.length("strip", usual.strip, zero=True),
        steels=usual.steels,
    )
    refuse_impossible(rocker)
    return rocker


def rocker_lines(at: Setting, rocker: Rocker, pushed: Floats) -> list[Line]:
    """Contact, rotation, pintles and block of a rocker; `pushed` (cases,) N along x'."""
    pin_steel = materials.default("pin", at.basis)
    lines = contact_lines(rocker, at.contact, at.basis, at.chosen, turning(at, rocker.shape))
    lines += pin_lines(rocker.pin, shear_push(at.parts, pushed), at.basis, pin_steel)
    shift = rocker.radius * np.abs(at.parts.ry)
    lines.append(block_line(rocker, at.parts, pushed, shift, at.basis))
    return lines


def plate_cases(at: Setting, rocker: Rocker, level: str, thickness: float) -> list[SeatingCase]:
    """What a plate passes on at its outer face: rolling of the contact and levers of the forces."""
    lever = thickness + (rocker.height if level == "base" else rocker.strip)
    cases = at.parts
    e_y = across(rocker, cases, at.basis)
    found = []
    for index, case in enumerate(cases.cases):
        rolled_y = rocker.radius * abs(case.rx) if rocker.shape == "point" else 0.0
        found.append(
            SeatingCase(
                limit_state=case.limit_state,
                name=case.name,
                N=case.N,
                Hx=case.Hx,
                Hy=case.Hy,
                ex=rocker.radius * abs(case.ry) + abs(case.Hx) / case.N * lever,
                ey=float(e_y[index]) + rolled_y + abs(case.Hy) / case.N * lever,
                patch_x=rocker.chord if level == "base" else 0.0,
                patch_y=rocker.length if rocker.shape == "line" or level == "base" else 0.0,
            )
        )
    return found


LINE = RockerKind("line rocker", "line")
POINT = RockerKind("point rocker", "point")
KIND = LINE
KINDS = (LINE, POINT)
