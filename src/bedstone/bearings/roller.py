"""Single roller, hardened roller and roller nest: one way of rolling, nothing held along."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bedstone.bearings import nest, rolling
from bedstone.bearings.base import Basis, Behaviour, Demand, Design, Refusal, worst_first
from bedstone.bearings.common import seating as seats
from bedstone.bearings.roller_basis import OPTIONS as ROLLER_OPTIONS
from bedstone.bearings.roller_basis import derived, fault, friction, usual_length
from bedstone.bearings.roller_given import FIELDS, Sizes, given_rollers, given_seating
from bedstone.bearings.roller_seating import (
    PLATE,
    above,
    base_length,
    below,
    least_width,
    plate_lines,
    room_line,
    seat_parts,
    top_length,
)
from bedstone.bearings.roller_set import (
    Rollers,
    forced_tilt,
    forces,
    lift_off_line,
    refuse_impossible,
)
from bedstone.bearings.roller_setting import Setting, setting
from bedstone.bearings.roller_sizing import (
    RollerBearing,
    candidate,
    complete,
    counted,
    detail_parts,
    least_mass,
    refined,
    roller_lines,
    sketches,
)
from bedstone.bearings.shortfall import nothing_carries
from bedstone.bridge.schema import BearingKind
from bedstone.standards.eurocode import rollers as en_rollers
from bedstone.standards.record import Line, Quantity

_NEST_CLAUSE = {
    "eurocode": "EN 1337-4, scope: multiple rollers need an element for rotation",
    "aashto": "AASHTO LRFD Table 14.6.2-1: multiple rollers are unsuitable for rotation",
    "irc": "statics of two or more rollers between stiff plates",
}
_HARDENED_CLAUSE = {
    "aashto": "AASHTO LRFD 14.7.1.2: M169, M102, M270 or stainless steel",
    "irc": "IRC:83 (Part I): mild and high tensile steel alone",
}


@dataclass(frozen=True)
class RollerKind:
    """Rollers without a rotating element above them; satisfies `base.Kind`."""

    name: BearingKind

    @property
    def options(self) -> Mapping[str, str]:
        """Options of rollers, materials and seats."""
        return {**ROLLER_OPTIONS, **seats.OPTIONS}

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """Function, uplift, rotation beyond the scope, materials outside the rules."""
        return refuse_rolling(self.name, demand, basis)

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest rollers and plates in practical sizes that pass, or why none does."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        at = setting(self.name, demand, basis)
        counts = counted(at) if self.name == "roller nest" else (1,)
        tries = sketches(at, counts, None)
        if not tries:
            return no_rollers(at)
        best: Design | None = None
        nearest: Design | None = None
        standing: list[Rollers] = []
        for sketch in tries:
            if best is not None and sketch.mass >= best.mass:
                break
            rollers = candidate(at, sketch, None)
            if rollers is None:
                continue
            standing.append(rollers)
            if best is not None and least_mass(at, rollers) >= best.mass:
                continue
            # A nest that lifts a roller off cannot be saved by plates: ask that first.
            if rollers.number > 1 and not stays_down(rollers, at):
                continue
            heaviest = best.mass if best is not None else math.inf
            longer = refined(at, rollers, None, heaviest)
            bearing = None if longer is None else complete(at, longer, heaviest)
            if bearing is None:
                continue
            design = designed(at, bearing)
            if design.passes and (best is None or design.mass < best.mass):
                best = design
            if nearest is None or design.utilisation < nearest.utilisation:
                nearest = design
        if best is not None:
            return best
        if nearest is None:
            return too_much_turning(at, standing) if standing else no_rollers(at)
        return not_passing(self.name, nearest, demand)

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check rollers of given sizes; sizes that are left out are those of a new bearing."""
        at = setting(self.name, demand, basis)
        read = Sizes(sizes, FIELDS)
        count = read.whole("rollers", 2 if self.name == "roller nest" else 1)
        if self.name == "roller nest" and not 2 <= count <= 4:
            raise fault("rollers", count, "2, 3 or 4")
        if self.name != "roller nest" and count != 1:
            raise fault("rollers", count, "1")
        rollers = given_rollers(read, at, count)
        refuse_impossible(rollers)
        usual = complete(at, rollers)
        assert usual is not None  # there is no mass to stay below
        bearing = RollerBearing(
            rollers,
            given_seating(read, "base", usual.base),
            given_seating(read, "top", usual.top),
        )
        return designed(at, bearing)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check rollers as they were made for another demand."""
        assert isinstance(bearing, RollerBearing)
        return designed(setting(self.name, demand, basis), bearing)

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return FIELDS


def refuse_rolling(kind: BearingKind, demand: Demand, basis: Basis) -> Refusal | None:
    """Why rollers of any kind cannot serve a seat, or None."""
    if demand.held[0] or demand.function not in ("guided along", "free"):
        return Refusal(
            kind,
            f"a roller holds nothing along x'; the seat is {demand.function}",
            "kinematics of rolling",
            "a rocker or pin where it is fixed; for a bearing guided across, turn its direction so "
            "that x' lies along its movement",
        )
    if demand.uplift > 0.0:
        return Refusal(
            kind,
            f"a roller carries no pull; uplift of {demand.uplift / 1e3:.0f} kN",
            "own statics",
            "an uplift restraint beside it, or more weight on the seat",
        )
    clearance = usual_length("clearance")
    chosen = basis.options.get(f"{kind}.clearance", basis.options.get("roller.clearance"))
    if isinstance(chosen, (int, float)) and not isinstance(chosen, bool):
        clearance = float(chosen)
    moved = demand.largest("vy")
    if not demand.held[1] and moved > clearance:
        return Refusal(
            kind,
            f"it moves {moved * 1e3:.1f} mm across, the guides leave {clearance * 1e3:.1f} mm",
            "EN 1337-4, scope: movement along the axis of the roller needs a sliding part",
            "a bearing that slides across, or a guided bearing",
        )
    if basis.family == "eurocode":
        turned = max((abs(case.ry) for case in demand.service), default=0.0)
        line = en_rollers.rotation(basis.values, turned)
        if (line.utilisation or 0.0) > 1.0:
            return Refusal(
                kind,
                f"rotation of {turned * 1e3:.1f} mrad under the characteristic combination",
                f"{line.standard}, {line.clause}",
                "a bearing made for large rotations",
            )
    if kind == "hardened roller" and basis.family != "eurocode":
        return Refusal(
            kind,
            "the rules of this family know no hardened rollers",
            _HARDENED_CLAUSE[basis.family],
            "a single roller or a roller nest",
        )
    return None


def stays_down(rollers: Rollers, at: Setting) -> bool:
    """Whether no roller of a nest hangs free when the girder turns, between usual plates."""
    return (lift_off_line(rollers, at.contact, PLATE).utilisation or 0.0) <= 1.0


def no_rollers(at: Setting) -> Refusal:
    """No diameter of the series passes the contact rule."""
    greatest = float(at.contact.N.max())
    wide = float(((np.abs(at.contact.Mx) + np.abs(at.contact.Hy) * 0.1) / at.contact.N).max())
    return Refusal(
        at.kind,
        f"no roller of the series carries {greatest / 1e3:.0f} kN, {wide * 1e3:.0f} mm off its "
        f"middle across, with {at.movement * 1e3:.0f} mm of movement each way",
        "rule of the line contact",
        "more rollers (a rocker on a nest), harder steel, or less force across",
    )


def too_much_turning(at: Setting, tries: list[Rollers]) -> Refusal:
    """Every nest that carries the load would lift a roller off when the girder turns."""
    turned = max(at.contact.cases, key=lambda case: abs(case.ry))
    best = max(
        float(
            nest.lift_off(
                np.array([turned.N]), rollers.x, rollers.carrying, rollers.bed(PLATE)
            ).rotation[0]
        )
        for rollers in tries
    )
    return Refusal(
        at.kind,
        f"end rotation {abs(turned.ry) * 1e3:.2f} mrad ({turned.name}); a nest lifts a roller off "
        f"at {best * 1e3:.2f} mrad at most and would lock a moment in",
        _NEST_CLAUSE[at.basis.family],
        "a rotating element above the rollers: rocker on nest; or a single roller; or hold the "
        "rotation in the analysis (hold_rotation y) so that its moment is known and carried",
    )


def not_passing(kind: BearingKind, nearest: Design, demand: Demand) -> Refusal:
    """The best of all candidates still fails."""
    worst = nearest.lines[0]
    why = nothing_carries(worst, demand) or (
        f"{worst.title} {worst.utilisation or 0.0:.2f}"
        + (f" in {worst.case}" if worst.case else "")
    )
    return Refusal(
        kind,
        f"the nearest design fails: {worst.part}: {why}",
        f"{worst.standard}, {worst.clause}",
        "larger plinth, other steel, or another kind",
    )


def designed(at: Setting, bearing: RollerBearing) -> Design:
    """All that is known of a bearing: checks, parts, behaviour, notes."""
    rollers = bearing.rollers
    basis, demand = at.basis, at.demand
    plates = min(bearing.base.thickness, bearing.top.thickness)
    mu = at.mu(rollers.steels)
    lines = roller_lines(at, rollers, None, plates)
    found = forces(rollers, at.parts, basis, at.chosen, mu, plates, None)
    if np.all(np.isfinite(found.peak)):
        lines += plate_lines(at, rollers, found, bearing.base, below(basis), "base")
        lines += plate_lines(at, rollers, found, bearing.top, above(basis), "top")
    lines += plan_lines(at, rollers, bearing)
    if rollers.number > 1:
        lines.append(lift_off_line(rollers, at.contact, plates))
    notes = height_notes(rollers)
    if at.chosen.word("tilt", "moment", "contact") == "moment":
        note = turning_note(at, rollers, plates)
        if note:
            lines.append(note)
            notes.append(note.note)
    parts = (
        *seat_parts(bearing.base, below(basis)),
        *detail_parts(at, rollers, min(bearing.base.length, bearing.top.length)),
        *seat_parts(bearing.top, above(basis)),
    )
    height = rollers.diameter + 2.0 * rollers.strip + bearing.base.thickness + bearing.top.thickness
    return Design(
        kind=at.kind,
        bearing=bearing,
        parts=parts,
        lines=worst_first(lines),
        behaviour=behaviour(at, rollers, plates),
        height=height,
        reach=(
            max(bearing.base.length, bearing.top.length),
            max(bearing.base.width, bearing.top.width, rollers.length),
        ),
        horizontal=mu * max(case.N for case in demand.cases),
        left=rolling.travel_to_stop(rollers.stop.gap) - demand.largest("vx"),
        notes=tuple(notes),
    )


def plan_lines(at: Setting, rollers: Rollers, bearing: RollerBearing) -> list[Line]:
    """Plates long and wide enough for rollers at their extreme, stops and margins."""
    return [
        room_line(
            plate,
            (length, least_width(rollers)),
            "Plate under the rollers at their extreme",
            part,
            "the rollers travel half the movement each way",
        )
        for part, plate, length in (
            ("base plate", bearing.base, base_length(rollers)),
            ("sole plate", bearing.top, top_length(at, rollers)),
        )
    ]


def turning_note(at: Setting, rollers: Rollers, plates: float) -> Line | None:
    """What a calculated turning about x' would do if it were forced on the contact line."""
    turned = np.abs(at.contact.rx)
    free = (turned > 0.0) & (np.abs(at.contact.Mx) == 0.0)
    if not free.any():
        return None
    worst = int(np.argmax(np.where(free, turned, 0.0)))
    case = at.contact.cases[worst]
    e = float(forced_tilt(rollers, np.array([case.N]), np.array([abs(case.rx)]), plates)[0])
    return derived(
        "Turning about the direction of movement",
        "e: contact line turned by theta_x, its slices share as rollers do",
        (Quantity("theta_x", abs(case.rx), "rad"), Quantity("L", rollers.length, "m")),
        Quantity("e", e, "m"),
        part="roller",
        case=case.name,
        note=f"a roller does not turn about x'; the analysis lets the seat turn "
        f"{abs(case.rx) * 1e3:.2f} mrad there, which would set the force {e * 1e3:.0f} mm off the "
        "middle if nothing else gave way: hold that rotation in the analysis (hold_rotation x) or "
        "choose roller.tilt = contact",
        source="Johnson, Contact Mechanics, ch. 5, and statics",
        provenance=rollers.steels.basis,
    )


def height_notes(rollers: Rollers) -> list[str]:
    """What a reader should know of the set as a whole."""
    gap, travel = rollers.stop.gap * 1e3, rolling.travel_to_stop(rollers.stop.gap) * 1e3
    words = f"the rollers stand {gap:.0f} mm clear of their stops: the superstructure may travel"
    notes = [f"{words} {travel:.0f} mm each way"]
    if rollers.guide.clearance:
        notes.append(
            f"across it is held after {rollers.guide.clearance * 1e3:.1f} mm of clearance each side"
        )
    return notes


def behaviour(at: Setting, rollers: Rollers, plates: float) -> Behaviour:
    """What the rollers do to the bridge under the permanent load (or the mean of the cases)."""
    load = at.demand.permanent if at.demand.permanent > 0.0 else float(at.parts.N.mean())
    bed = rollers.bed(plates)
    line = load / (rollers.number * rollers.carrying)
    settled = float(bed.approach(np.array(line)))
    y = nest.positions(16, rollers.length / 16)
    level = np.array([load])
    flat = np.array([0.0])
    slices = rollers.carrying * rollers.number / 16
    across = nest.turned(level, flat, y, slices, bed)
    about_x = float(nest.rotation_stiffness(across, y, slices, bed)[0])
    about_y = None
    if rollers.number > 1:
        along = nest.turned(level, flat, rollers.x, rollers.carrying, bed)
        about_y = float(nest.rotation_stiffness(along, rollers.x, rollers.carrying, bed)[0])
    return Behaviour(
        stiffness_z=load / settled,
        rotation_x=about_x,
        rotation_y=about_y,
        friction=friction(at.basis, at.kind, rollers.steels),
        play=rollers.guide.clearance,
        eccentricity=0.5,
    )


SINGLE = RollerKind("single roller")
HARDENED = RollerKind("hardened roller")
NEST = RollerKind("roller nest")
KIND = SINGLE
KINDS = (SINGLE, HARDENED, NEST)
