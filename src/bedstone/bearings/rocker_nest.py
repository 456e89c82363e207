"""Rocker on nest: rollers that travel, and above them a line rocker that turns."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from bedstone.bearings import rolling
from bedstone.bearings.base import Basis, Demand, Design, Part, Refusal, worst_first
from bedstone.bearings.common import materials, series
from bedstone.bearings.common import seating as seats
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import Seating, SeatingCase, check_seating
from bedstone.bearings.rocker import FIELDS as ROCKER_FIELDS
from bedstone.bearings.rocker import given_rocker, new_rocker, refuse_turning, rocker_lines
from bedstone.bearings.rocker_contact import Rocker, rocker_parts
from bedstone.bearings.roller import (
    behaviour,
    height_notes,
    no_rollers,
    not_passing,
    refuse_rolling,
)
from bedstone.bearings.roller_basis import OPTIONS as ROLLER_OPTIONS
from bedstone.bearings.roller_basis import Cases, fault, usual_length
from bedstone.bearings.roller_given import FIELDS as SET_FIELDS
from bedstone.bearings.roller_given import Sizes, given_rollers, given_seating
from bedstone.bearings.roller_plate import moment_over_rollers
from bedstone.bearings.roller_seating import (
    PLATE,
    above,
    base_length,
    below,
    least_width,
    plate_lines,
    plate_need,
    plate_reach,
    room_line,
    seat_parts,
    size_plate,
    top_length,
)
from bedstone.bearings.roller_set import (
    Forces,
    Head,
    Rollers,
    forces,
    refuse_impossible,
    seating_cases,
)
from bedstone.bearings.roller_setting import Setting, setting
from bedstone.bearings.roller_sizing import (
    THIN,
    candidate,
    counted,
    detail_parts,
    least_mass,
    refined,
    roller_lines,
    sketches,
)
from bedstone.bridge.schema import BearingKind
from bedstone.mechanics.frame import Floats
from bedstone.standards.record import Line

#: Sizes of the set; the rocker's own fields have `rocker_` before them.
FIELDS: Mapping[str, str] = {
    **SET_FIELDS,
    **{
        f"rocker_{name}": text
        for name, text in ROCKER_FIELDS.items()
        if not name.startswith(("base_", "top_"))
    },
    "knuckle_thickness": "thickness of the plate between rollers and rocker (m); default as new",
    "knuckle_length": "its length along x' (m); default as new",
    "knuckle_width": "its width along y' (m); default as new",
}
#: Levers (m) of a set before its plates are known: knuckle plate, block and strips.
_LEVER = 0.2


@dataclass(frozen=True)
class Knuckle:
    """The plate between rollers and rocker; m."""

    length: float
    width: float
    thickness: float
    steel: str


@dataclass(frozen=True)
class RockerOnNest:
    """Rollers on a base plate, a knuckle plate with a rocker on it, a sole plate."""

    rollers: Rollers
    knuckle: Knuckle
    rocker: Rocker
    base: Seating
    top: Seating


@dataclass(frozen=True)
class RockerOnNestKind:
    """Satisfies `base.Kind`."""

    name: BearingKind = "rocker on nest"

    @property
    def options(self) -> Mapping[str, str]:
        """Options of rollers, rockers, materials and seats."""
        return {**ROLLER_OPTIONS, **seats.OPTIONS}

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """What rollers and rockers refuse."""
        return refuse_rolling(self.name, demand, basis) or refuse_turning(self.name, demand, basis)

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest set that passes, or the reason why none does."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        at = setting(self.name, demand, basis)
        # The rocker's radius moves the force on the rollers, and their length is the rocker's: a
        # first rocker as long as the rollers are likely to be gives the levers.
        first = self._first_rocker(at)
        if first is None:
            return no_rollers(at)
        head = head_of(at, first, _LEVER)
        best: Design | None = None
        nearest: Design | None = None
        for sketch in sketches(at, counted(at), head):
            if best is not None and sketch.mass >= best.mass:
                break
            rollers = candidate(at, sketch, head)
            heaviest = best.mass if best is not None else math.inf
            if rollers is None or bound(at, rollers, head) >= heaviest:
                continue
            longer = refined(at, rollers, head, heaviest)
            if longer is None:
                continue
            rocker = new_rocker(at, "line", longer.length, pushed(at, longer))
            if rocker is None:
                continue
            bearing = complete(at, longer, rocker, heaviest)
            if bearing is None or mass_of(at, bearing) >= heaviest:
                continue
            design = self._designed(at, bearing)
            if design.passes and (best is None or design.mass < best.mass):
                best = design
            if nearest is None or design.utilisation < nearest.utilisation:
                nearest = design
        if best is not None:
            return best
        return no_rollers(at) if nearest is None else not_passing(self.name, nearest, demand)

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a set of given sizes; sizes that are left out are those of a new bearing."""
        at = setting(self.name, demand, basis)
        read = Sizes(sizes, FIELDS)
        count = read.whole("rollers", 2)
        if not 2 <= count <= 4:
            raise fault("rollers", count, "2, 3 or 4")
        rollers = given_rollers(read, at, count)
        refuse_impossible(rollers)
        own = {
            name.removeprefix("rocker_"): value
            for name, value in sizes.items()
            if name.startswith("rocker_")
        }
        rocker = given_rocker(Sizes(own, ROCKER_FIELDS), at, "line", pushed(at, rollers))
        usual = complete(at, rollers, rocker)
        assert usual is not None  # there is no mass to stay below
        knuckle = Knuckle(
            read.length("knuckle_length", usual.knuckle.length),
            read.length("knuckle_width", usual.knuckle.width),
            read.length("knuckle_thickness", usual.knuckle.thickness),
            usual.knuckle.steel,
        )
        return self._designed(
            at,
            RockerOnNest(
                rollers,
                knuckle,
                rocker,
                given_seating(read, "base", usual.base),
                given_seating(read, "top", usual.top),
            ),
        )

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a set as it was made for another demand."""
        assert isinstance(bearing, RockerOnNest)
        return self._designed(setting(self.name, demand, basis), bearing)

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return FIELDS

    def _first_rocker(self, at: Setting) -> Rocker | None:
        push = np.zeros(len(at.parts))
        for length in (0.4, 0.6, 0.8, 1.0, 1.2):
            rocker = new_rocker(at, "line", length, push)
            if rocker is not None:
                return rocker
        return None

    def _designed(self, at: Setting, bearing: RockerOnNest) -> Design:
        rollers, rocker, basis = bearing.rollers, bearing.rocker, at.basis
        head = head_of(at, rocker, lever_of(bearing))
        mu = at.mu(rollers.steels)
        plates = min(bearing.base.thickness, bearing.knuckle.thickness)
        found = forces(rollers, at.parts, basis, at.chosen, mu, plates, head)
        lines = roller_lines(at, rollers, head, plates)
        lines += rocker_lines(at, rocker, pushed(at, rollers))
        if np.all(np.isfinite(found.each)):
            lines += plate_lines(at, rollers, found, bearing.base, below(basis), "base")
            lines.append(knuckle_line(at, bearing.knuckle, rollers, found))
        lines += knuckle_size_lines(at, bearing)
        place = above(basis)
        lines += check_seating(
            bearing.top,
            sole_cases(at, rocker, mu, bearing.top.thickness),
            basis,
            part=place.part,
            connected=place.connected,
            above=place.above,
            use=at.demand.use,
        )
        base = behaviour(at, rollers, plates)
        return Design(
            kind=self.name,
            bearing=bearing,
            parts=parts_of(at, bearing),
            lines=worst_first(lines),
            behaviour=replace(base, rotation_y=None, eccentricity=1.0),
            height=rollers.diameter
            + 2.0 * rollers.strip
            + bearing.base.thickness
            + bearing.knuckle.thickness
            + rocker.height
            + rocker.strip
            + bearing.top.thickness,
            reach=(
                max(bearing.base.length, bearing.knuckle.length, bearing.top.length),
                max(bearing.base.width, bearing.knuckle.width, bearing.top.width),
            ),
            horizontal=mu * max(case.N for case in at.demand.cases),
            left=rolling.travel_to_stop(rollers.stop.gap) - at.demand.largest("vx"),
            notes=(
                *height_notes(rollers),
                "the force stands half the movement off the rollers and all of it off the base",
            ),
        )


def parts_of(at: Setting, bearing: RockerOnNest) -> tuple[Part, ...]:
    """All parts, from below."""
    shorter = min(bearing.base.length, bearing.knuckle.length)
    return (
        *seat_parts(bearing.base, below(at.basis)),
        *detail_parts(at, bearing.rollers, shorter),
        knuckle_part(bearing.knuckle),
        *rocker_parts(bearing.rocker, materials.default("pin", at.basis), bearing.top.length),
        *seat_parts(bearing.top, above(at.basis)),
    )


def mass_of(at: Setting, bearing: RockerOnNest) -> float:
    """Mass (kg) of all parts."""
    return sum(part.mass * part.number for part in parts_of(at, bearing))


def lever_of(bearing: RockerOnNest) -> float:
    """Height (m) of the rocker's contact above the middle of the rollers."""
    rollers = bearing.rollers
    return rollers.radius + rollers.strip + bearing.knuckle.thickness + bearing.rocker.height


def head_of(at: Setting, rocker: Rocker, lever: float) -> Head:
    """How far the force stands from the rocker's middle at the rollers (m): the face rolls R theta,
    and rolling resistance mu N acts `lever` (m) above the rollers.
    """
    mu = at.mu(at.steels(0.1))

    def head(cases: Cases) -> Floats:
        push = np.maximum(np.abs(cases.Hx), mu * cases.N)
        return rocker.radius * np.abs(cases.ry) + push / cases.N * lever

    return head


def pushed(at: Setting, rollers: Rollers) -> Floats:
    """Force (cases,) N along x' that the rocker's keys pass: rolling resistance or Hx."""
    return np.maximum(np.abs(at.parts.Hx), at.mu(rollers.steels) * at.parts.N)


def sole_cases(at: Setting, rocker: Rocker, mu: float, thickness: float) -> list[SeatingCase]:
    """What the sole plate passes on above the rocker."""
    lever = thickness + rocker.strip
    found = []
    for case in at.parts.cases:
        push = max(abs(case.Hx), mu * case.N)
        found.append(
            SeatingCase(
                limit_state=case.limit_state,
                name=case.name,
                N=case.N,
                Hx=push,
                Hy=case.Hy,
                ex=rocker.radius * abs(case.ry) + push / case.N * lever,
                ey=(abs(case.Mx) + abs(case.Hy) * lever) / case.N,
                patch_x=0.0,
                patch_y=rocker.length,
            )
        )
    return found


def complete(
    at: Setting, rollers: Rollers, rocker: Rocker, heaviest: float = math.inf
) -> RockerOnNest | None:
    """Plates for given rollers and rocker; None at a mass of `heaviest` (kg)."""
    mu = at.mu(rollers.steels)
    head = head_of(at, rocker, _LEVER)
    found = forces(rollers, at.parts, at.basis, at.chosen, mu, PLATE, head)
    knuckle = size_knuckle(at, rollers, found)
    lever = rollers.radius + rollers.strip + knuckle.thickness + rocker.height
    found = forces(rollers, at.parts, at.basis, at.chosen, mu, PLATE, head_of(at, rocker, lever))
    base = size_plate(
        below(at.basis),
        at,
        lambda thickness: seating_cases(rollers, found, mu, "base", thickness),
        plate_need(rollers, found, mu, at.basis),
        base_length(rollers),
        least_width(rollers),
        length_for=plate_reach(rollers, at.basis),
    )
    parts = (
        *seat_parts(base, below(at.basis)),
        *detail_parts(at, rollers, min(base.length, knuckle.length)),
        knuckle_part(knuckle),
        *rocker_parts(rocker, materials.default("pin", at.basis), rocker.chord),
    )
    if sum(part.mass * part.number for part in parts) >= heaviest:
        return None
    top = size_plate(
        above(at.basis),
        at,
        lambda thickness: sole_cases(at, rocker, mu, thickness),
        lambda _: 0.0,
        rocker.chord,
        rocker.length,
    )
    return RockerOnNest(rollers, knuckle, rocker, base, top)


def bound(at: Setting, rollers: Rollers, head: Head) -> float:
    """Mass (kg) that a set has at least: all but fixings, and what base and sole plate grow."""
    rocker = new_rocker(at, "line", rollers.length, pushed(at, rollers))
    if rocker is None:
        return math.inf
    parts = rocker_parts(rocker, materials.default("pin", at.basis), rocker.chord)
    sole = rocker.chord * rocker.length * THIN * materials.STEEL_DENSITY
    above_rollers = sole + sum(part.mass * part.number for part in parts)
    return least_mass(at, rollers, head) + above_rollers


# ------------------------------------------------------------------ knuckle plate
def knuckle_moments(rollers: Rollers, found: Forces) -> Floats:
    """Moment (cases,) N m of the knuckle plate under the rocker, over its whole width.

    The rocker stands off the nest's middle by `along`.
    """
    return moment_over_rollers(found.each, rollers.x, found.along)


def size_knuckle(at: Setting, rollers: Rollers, found: Forces) -> Knuckle:
    """The thinnest practical plate that carries its bending."""
    length = series.length(top_length(at, rollers))
    width = series.length(least_width(rollers))
    sizes = [t for t in series.sizes("plates", at.basis.family) if t >= 0.02 - 1e-9]
    for thickness in sizes:
        knuckle = Knuckle(length, width, thickness, at.detail_steel)
        if not np.all(np.isfinite(found.each)):
            break
        line = knuckle_line(at, knuckle, rollers, found)
        if (line.utilisation or 0.0) <= 1.0:
            return knuckle
    return Knuckle(length, width, sizes[-1], at.detail_steel)


def knuckle_line(at: Setting, knuckle: Knuckle, rollers: Rollers, found: Forces) -> Line:
    """Bending of the knuckle plate between rocker and rollers."""
    moments = knuckle_moments(rollers, found)
    worst = int(np.argmax(moments))
    case = found.cases.cases[worst]
    steel = materials.steel(knuckle.steel, knuckle.thickness, at.basis)
    width = min(knuckle.width, rollers.length + 2.0 * knuckle.thickness)
    line = rules(at.basis.family, case.limit_state).bending(
        at.basis.values, float(moments[worst]) / width, knuckle.thickness, steel.fy
    )
    line = replace(
        line,
        title="Bending of the knuckle plate, rollers at their extreme",
        note=f"{line.note}; sum of N_i times their distance beyond the rocker, own statics",
    )
    return placed(line, "knuckle plate", case.name, steel.basis)


def knuckle_size_lines(at: Setting, bearing: RockerOnNest) -> list[Line]:
    """The knuckle plate covers its rollers at their extreme, the base its rollers and stops."""
    return [
        room_line(
            plate,
            (length, least_width(bearing.rollers)),
            "Plate on the rollers at their extreme",
            part,
            f"margin {usual_length('margin') * 1e3:.0f} mm: common practice, no source",
        )
        for part, length, plate in (
            ("knuckle plate", top_length(at, bearing.rollers), bearing.knuckle),
            ("base plate", base_length(bearing.rollers), bearing.base),
        )
    ]


def knuckle_part(knuckle: Knuckle) -> Part:
    """The plate between rollers and rocker as a shop makes it."""
    mm = [f"{size * 1e3:.4g}" for size in (knuckle.length, knuckle.width, knuckle.thickness)]
    return Part(
        "knuckle plate",
        knuckle.steel,
        f"plate {' x '.join(mm)}",
        {
            "length": knuckle.length,
            "width": knuckle.width,
            "thickness": knuckle.thickness,
        },
        knuckle.length * knuckle.width * knuckle.thickness * materials.STEEL_DENSITY,
        function="spreads the force of the rocker over the rollers",
    )


KIND = RockerOnNestKind()
