"""Sizing of rollers and their plates: sketches by rising least mass, completed till one stands.

SI units. Shared by all kinds with rollers. What stands on the rollers comes in as `Head`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from bedstone.bearings import hertz, nest, rolling
from bedstone.bearings.base import Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import rules
from bedstone.bearings.common.seating import (
    Seating,
)
from bedstone.bearings.common.seating_plate import plate_moment
from bedstone.bearings.roller_basis import (
    Pair,
    allowed_lengths,
    line_resistance,
    usual,
    usual_length,
)
from bedstone.bearings.roller_details import (
    guide_form,
    guide_lines,
    guide_parts,
    link_lines,
    link_parts,
    size_guide,
    size_links,
    size_stop,
    size_teeth,
    stop_lines,
    stop_parts,
    teeth_lines,
    teeth_parts,
)
from bedstone.bearings.roller_plate import greatest_moment, moment_over_rollers
from bedstone.bearings.roller_seating import (
    PLATE,
    Place,
    above,
    base_length,
    below,
    least_width,
    plate_need,
    plate_reach,
    seat_parts,
    size_plate,
    top_length,
)
from bedstone.bearings.roller_set import (
    Head,
    Level,
    Rollers,
    contact_lines,
    forces,
    roller_parts,
    rolling_lines,
    seating_cases,
)
from bedstone.bearings.roller_setting import Setting, across_push, rolling_push, stop_push
from bedstone.errors import BedstoneError, InputError
from bedstone.mechanics.frame import Floats
from bedstone.standards.bearing_pressure import Footprint
from bedstone.standards.record import Line, weakest

#: Least thickness (m) of a plate in the bound of the search.
THIN = 0.02
#: Share of the forces of a turned nest that the bound of the search counts: it must stay a bound.
_TURNING = 0.97
#: The same for the plate below a rocker, whose width spreads beyond the rollers.
_KNUCKLE = 0.75


# ------------------------------------------------------------------ rollers
@dataclass(frozen=True)
class Sketch:
    """Rollers before their details: numbers and main sizes (m) with a bound of the mass (kg)."""

    number: int
    diameter: float
    spacing: float
    width: float
    length: float
    steels: Pair
    mass: float


def sketches(at: Setting, counts: tuple[int, ...], head: Head | None) -> list[Sketch]:
    """All rollers of the series that pass the contact rule without grooves, least mass first."""
    given = at.chosen.given("diameter", least=1e-3, most=2.0)
    diameters = series.sizes("rollers", at.basis.family) if given is None else (given,)
    steel = at.steels(min(diameters[0], 0.05)).roller
    found = []
    for diameter in diameters:
        if given is None and not made(at, steel, diameter):
            break
        for count in counts:
            for stretch in (1.0,) if count == 1 else (1.0, 1.5, 2.0):
                sketch = _sketch(at, count, diameter, stretch, head)
                if sketch is not None:
                    found.append(sketch)
                    break
    return sorted(found, key=lambda sketch: sketch.mass)


def _sketch(
    at: Setting, count: int, diameter: float, stretch: float, head: Head | None
) -> Sketch | None:
    lengths = allowed_lengths(at.basis, at.chosen, diameter)
    if lengths is None:
        return None
    steels = at.steels(diameter)
    share = at.chosen.number("segment", 1.0, least=0.05, most=1.0)
    width = diameter * share if count > 1 else diameter
    angle = rolling.rolling_angle(at.movement, diameter / 2.0)
    if angle >= rolling.segment_limit(width, diameter / 2.0):
        return None
    spacing = 0.0
    if count > 1:
        gap = at.chosen.number("gap", usual_length("gap"), least=1e-3)
        if share < 1.0:
            gap = max(gap, 1.05 * rolling.gap_needed(width, angle))
        spacing = series.length((width + gap) * stretch, 0.005)
    length = _length(at, count, spacing, diameter, 0.0, steels, lengths, head)
    if length is None:
        return None
    sketch = Sketch(count, diameter, spacing, width, length, steels, 0.0)
    return replace(sketch, mass=_bound(at, sketch, head))


def candidate(at: Setting, sketch: Sketch, head: Head | None) -> Rollers | None:
    """The sketch with its guides, long enough beside their grooves; None where it cannot be."""
    diameter, count, steels = sketch.diameter, sketch.number, sketch.steels
    strip = at.strip(steels)
    angle = rolling.rolling_angle(at.movement, diameter / 2.0)
    form = guide_form(at.chosen)
    clearance = at.chosen.number("clearance", usual_length("clearance"))
    push = across_push(at, count)
    guide = size_guide(form, diameter, clearance, strip, push, at.basis, at.detail_steel)
    strength = guide_lines(guide, diameter, push, at.basis, at.detail_steel)
    if any((line.utilisation or 0.0) > 1.0 for line in strength):
        return None
    lengths = allowed_lengths(at.basis, at.chosen, diameter)
    if lengths is None:
        return None
    length = _length(at, count, sketch.spacing, diameter, guide.lost, steels, lengths, head)
    if length is None:
        return None
    pushed, _ = stop_push(at, at.mu(steels))
    return Rollers(
        number=count,
        diameter=diameter,
        length=length,
        spacing=sketch.spacing,
        width=sketch.width,
        strip=strip,
        steels=steels,
        guide=guide,
        links=size_links(diameter) if count > 1 else None,
        teeth=size_teeth(diameter, angle) if at.chosen.flag("teeth", default=True) else None,
        stop=size_stop(diameter, length, strip, at.movement, pushed, at.basis, at.detail_steel),
    )


def _length(
    at: Setting,
    count: int,
    spacing: float,
    diameter: float,
    lost: float,
    steels: Pair,
    bounds: tuple[float, float],
    head: Head | None,
) -> float | None:
    """Shortest length (m) that passes the contact rule with equally stiff rollers.

    `lost` (m): what grooves take.
    """
    cases = at.contact
    most = cases.N / count
    if count > 1:
        moved = np.abs(cases.vx) / 2.0
        e = moved + (np.abs(cases.My) / cases.N if head is None else head(cases))
        outer = spacing * (count - 1) / 2.0
        if float(e.max()) >= 0.999 * outer:
            return None
        spread = spacing**2 * count * (count**2 - 1) / 12.0
        most = np.minimum(most + cases.N * e * outer / spread, cases.N)
    each: Floats = most[:, None]
    tries = np.arange(
        math.ceil(bounds[0] * 100 - 1e-6), math.floor(bounds[1] * 100 + 1e-6) + 1
    ) / 100.0  # fmt: skip
    if len(tries) == 0:
        return None
    lever = (np.abs(cases.Mx) + np.abs(cases.Hy) * diameter / 2.0) / cases.N
    e_y: Floats = np.broadcast_to(lever[:, None], (len(lever), len(tries)))
    if at.basis.family == "eurocode":
        share = at.basis.values.number("movements.least.eccentricity_share")
        e_y = np.maximum(e_y, share * tries[None, :])
    carrying = np.maximum(tries - lost, 1e-6)
    if count > 1 and head is None:
        # What the turning adds, by the stiffness under an equal share: a little less than it does.
        depth = PLATE + at.strip(steels)
        bed = hertz.RollerBed(diameter / 2.0, (depth, depth), steels.E, usual("poisson"))
        share_of = cases.N[:, None] / (count * carrying[None, :])
        turned = np.abs(cases.ry)[:, None] * outer * bed.stiffness(share_of) * carrying[None, :]
        forced = cases.N[:, None] / count + _TURNING * turned
        each = np.maximum(each, np.minimum(forced, cases.N[:, None]))
    peak = hertz.line_load(each, carrying[None, :], e_y).max(axis=0)
    resistance = line_resistance(at.basis, at.chosen, diameter, steels, count)
    passing = np.nonzero(peak <= resistance * (1.0 - 1e-9))[0]
    return float(tries[passing[0]]) if len(passing) else None


def _bound(at: Setting, sketch: Sketch, head: Head | None) -> float:
    """Mass (kg) that the set has at least: rollers, strips and plates; grooves are left out."""
    radius = sketch.diameter / 2.0
    outer = (sketch.number - 1) * sketch.spacing
    length = outer + at.movement + 2.0 * usual_length("margin")
    strips = 2.0 * at.strip(sketch.steels) * length * sketch.length
    rolled = sketch.number * rolling.segment_area(sketch.width, radius) * sketch.length
    ends = (length,) if head is not None else (length, length)
    plates = plate_bound(at, sketch.number, sketch.spacing, ends, sketch.length)
    if head is not None:
        plates += knuckle_bound(at, sketch, head, length, sketch.length)
    return (rolled + strips) * materials.STEEL_DENSITY + plates


def knuckle_bound(
    at: Setting, sketch: Sketch | Rollers, head: Head, length: float, width: float
) -> float:
    """Mass (kg) of the plate between rollers and rocker under the largest force, rollers equally
    stiff: a little less than it will be.
    """
    worst = int(np.argmax(at.parts.N))
    case = at.parts.cases[worst]
    e = abs(case.vx) / 2.0 + float(head(at.parts)[worst])
    x = nest.positions(sketch.number, sketch.spacing)
    each = np.maximum(nest.equal_stiffness(case.N, e, x), 0.0)
    moment = _KNUCKLE * float(moment_over_rollers(each[None, :], x, np.array([e]))[0])
    steel = materials.steel(at.detail_steel, THIN, at.basis)
    thick = rules(at.basis.family, case.limit_state).least_thickness(
        at.basis.values, moment / width, steel.fy
    )
    return length * width * max(thick, THIN) * materials.STEEL_DENSITY


def plate_bound(
    at: Setting, number: int, spacing: float, lengths: tuple[float, ...], width: float
) -> float:
    """Mass (kg) of plates of these sizes, as thick as the largest force asks when all rollers
    share it equally. Longer or wider plates on the same rollers are heavier.
    """
    worst = int(np.argmax(at.parts.N))
    case = at.parts.cases[worst]
    each = np.full((1, number), case.N / number)
    x = nest.positions(number, spacing)[None, :] + abs(case.vx) / 2.0
    steel = materials.steel(at.detail_steel, THIN, at.basis)
    mass = 0.0
    for length in lengths:
        moment = float(greatest_moment(each, x, length)[0])
        thick = THIN
        if math.isfinite(moment):
            needed = rules(at.basis.family, case.limit_state).least_thickness(
                at.basis.values, moment / width, steel.fy
            )
            thick = max(thick, needed)
        mass += length * width * thick * materials.STEEL_DENSITY
    return mass


def _base_bound(
    at: Setting, rollers: Rollers, head: Head | None, length: float, width: float
) -> float:
    """Mass (kg) of the base plate as its seat asks under the largest force, smallest in plan."""
    worst = int(np.argmax(at.parts.N))
    case = at.parts.cases[worst]
    ex = abs(case.vx) / 2.0
    if head is not None:
        ex = abs(case.vx) + float(head(at.parts)[worst])
    ey = (abs(case.Mx) + abs(case.Hy) * rollers.radius) / case.N
    if at.basis.family == "eurocode":
        share_of = at.basis.values.number("movements.least.eccentricity_share")
        ey = max(ey, share_of * rollers.length)
    if 2.0 * ex >= length or 2.0 * ey >= width:
        return 0.0
    moment = plate_moment(
        Footprint(length, width, ex, ey),
        case.N,
        (rollers.outer, rollers.length),
        rollers.spacing,
    )
    steel = materials.steel(at.detail_steel, THIN, at.basis)
    thick = rules(at.basis.family, case.limit_state).least_thickness(
        at.basis.values, moment, steel.fy
    )
    return length * width * max(thick, THIN) * materials.STEEL_DENSITY


def least_mass(at: Setting, rollers: Rollers, head: Head | None = None) -> float:
    """A bound of the mass (kg) of a set with its details: all but fixings and what plates grow."""
    lengths = (base_length(rollers), top_length(at, rollers))
    width = least_width(rollers)
    details = detail_parts(at, rollers, min(lengths))
    base = max(
        plate_bound(at, rollers.number, rollers.spacing, lengths[:1], width),
        _base_bound(at, rollers, head, lengths[0], width),
    )
    if head is None:
        top = plate_bound(at, rollers.number, rollers.spacing, lengths[1:], width)
    else:
        top = knuckle_bound(at, rollers, head, lengths[1], width)
    return base + top + sum(part.mass * part.number for part in details)


def refined(
    at: Setting, rollers: Rollers, head: Head | None, heaviest: float = math.inf
) -> Rollers | None:
    """The rollers lengthened until they pass with the sharing of real contacts.

    None if they cannot, or not below the mass `heaviest` (kg).
    """
    bounds = allowed_lengths(at.basis, at.chosen, rollers.diameter)
    mu = at.mu(rollers.steels)
    resistance = line_resistance(
        at.basis, at.chosen, rollers.diameter, rollers.steels, rollers.number
    )
    for _ in range(8):
        found = forces(rollers, at.contact, at.basis, at.chosen, mu, PLATE, head)
        use = float(found.peak.max()) / resistance
        if use <= 1.0:
            stop = replace(rollers.stop, length=rollers.length)
            return replace(rollers, stop=stop)
        if bounds is None or not math.isfinite(use):
            return None
        longer = series.length(max(rollers.length * use, rollers.length + 0.01))
        if longer > bounds[1] + 1e-9:
            return None
        rollers = replace(rollers, length=longer)
        if least_mass(at, rollers, head) >= heaviest:
            return None
    return None


def made(at: Setting, name: str, size: float) -> bool:
    """Whether a steel is made in this size (m); raises `InputError` for an unknown steel."""
    materials.steel(name, 1e-3, at.basis)
    try:
        materials.steel(name, size, at.basis)
    except InputError:
        return False
    return True


@dataclass(frozen=True)
class RollerBearing:
    """Rollers between a base plate and a sole plate, each with what fixes it."""

    rollers: Rollers
    base: Seating
    top: Seating


def complete(at: Setting, rollers: Rollers, heaviest: float = math.inf) -> RollerBearing | None:
    """Plates for given rollers without anything above them; None at a mass of `heaviest` (kg)."""
    mu = at.mu(rollers.steels)
    found = forces(rollers, at.parts, at.basis, at.chosen, mu, PLATE, None)
    plates = {}
    details = detail_parts(at, rollers, min(base_length(rollers), top_length(at, rollers)))
    mass = sum(part.mass * part.number for part in details)
    levels: tuple[tuple[Level, Place, float], ...] = (
        ("base", below(at.basis), base_length(rollers)),
        ("top", above(at.basis), top_length(at, rollers)),
    )
    for level, place, length in levels:
        plates[level] = size_plate(
            place,
            at,
            partial(seating_cases, rollers, found, mu, level),
            plate_need(rollers, found, mu, at.basis),
            length,
            least_width(rollers),
            length_for=plate_reach(rollers, at.basis),
        )
        mass += sum(part.mass * part.number for part in seat_parts(plates[level], place))
        if mass >= heaviest:
            return None
    return RollerBearing(rollers, plates["base"], plates["top"])


# ------------------------------------------------------------------ all checks
def roller_lines(at: Setting, rollers: Rollers, head: Head | None, plates: float) -> list[Line]:
    """Contact, rolling, guides, links, teeth and stops of a set of rollers."""
    basis, chosen = at.basis, at.chosen
    mu = at.mu(rollers.steels)
    contact = forces(rollers, at.contact, basis, chosen, mu, plates, head)
    lines = contact_lines(rollers, contact, basis, chosen)
    lines.append(at.movement_line)
    lines += rolling_lines(rollers, at.movement, at.demand.largest("vx"))
    across = across_push(at, rollers.number)
    lines += guide_lines(rollers.guide, rollers.diameter, across, basis, at.detail_steel)
    parts = forces(rollers, at.parts, basis, chosen, mu, plates, head)
    push = rolling_push(parts, mu)
    if rollers.links is not None:
        lines += link_lines(rollers.links, push, basis, at.detail_steel)
    if rollers.teeth is not None:
        angle = rolling.rolling_angle(at.movement, rollers.radius)
        lines += teeth_lines(rollers.teeth, rollers.diameter, angle, push, basis, at.detail_steel)
    stopped, line = stop_push(at, mu)
    lines.append(line)
    lines += stop_lines(rollers.stop, rollers.diameter, stopped, basis, at.detail_steel)
    return [
        line
        if line.standard != "mechanics"
        else replace(line, basis=weakest(line.basis, rollers.steels.basis))
        for line in lines
    ]


def detail_parts(at: Setting, rollers: Rollers, plate_length: float) -> list[Part]:
    """Rollers, strips, ribs, link bars, tooth bars and stops."""
    steel = at.detail_steel
    parts = roller_parts(rollers, plate_length)
    ribs = steel if rollers.guide.form == "grooves" else rollers.steels.roller
    parts += guide_parts(rollers.guide, rollers.diameter, plate_length, rollers.number, ribs)
    if rollers.links is not None:
        parts += link_parts(rollers.links, rollers.number, rollers.spacing, steel)
    if rollers.teeth is not None:
        parts += teeth_parts(rollers.teeth, rollers.diameter, rollers.number, steel)
    return parts + stop_parts(rollers.stop, steel)


def counted(at: Setting) -> tuple[int, ...]:
    """Numbers of rollers to try in a nest."""
    given = at.chosen.given("count", least=2, most=4)
    if given is None:
        return (2, 3, 4)
    if given != int(given):
        raise BedstoneError("the number of rollers is whole")
    return (int(given),)
