"""Rollers between two plates: sizes, forces on them, checks. Shared by all kinds with rollers.

SI units. Effects of the demand act at the middle of the rollers; forces across enter at the rib of
the upper plate and leave at that of the lower one. Where signs could help they are not used:
movement, rolling resistance and moments add up.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from bedstone.bearings import hertz, nest, rolling
from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import Seating, SeatingCase
from bedstone.bearings.roller_basis import (
    Cases,
    Chosen,
    Pair,
    derived,
    fault,
    hertz_line,
    line_contact,
    proportion_lines,
    usual,
)
from bedstone.bearings.roller_details import Guide, LinkBars, Stop, Teeth
from bedstone.bearings.roller_plate import greatest_moment
from bedstone.errors import BedstoneError
from bedstone.mechanics.frame import Floats
from bedstone.standards.irc import rollers as irc_rollers
from bedstone.standards.record import Line, Quantity

#: Slices of a contact line when a turning across is forced on it.
_SLICES = 16


@dataclass(frozen=True)
class Rollers:
    """Rollers with all that belongs to them; m.

    `number`, `diameter`, `length`; `spacing` of the axes (0 for one); `width` of a segment (the
    diameter for full rollers); `strip`: thickness of the contact strips on the plates (0: none).
    """

    number: int
    diameter: float
    length: float
    spacing: float
    width: float
    strip: float
    steels: Pair
    guide: Guide
    links: LinkBars | None
    teeth: Teeth | None
    stop: Stop

    @property
    def radius(self) -> float:
        """Radius (m)."""
        return self.diameter / 2.0

    @property
    def carrying(self) -> float:
        """Length (m) of one roller that is in contact: grooves do not carry."""
        return self.length - self.guide.lost

    @property
    def x(self) -> Floats:
        """Contact lines (m) from the middle of the set at rest."""
        return nest.positions(self.number, self.spacing)

    @property
    def outer(self) -> float:
        """Distance (m) of the outer contact lines."""
        return (self.number - 1) * self.spacing

    def bed(self, plates: float) -> hertz.RollerBed:
        """How one roller gives way between plates of the thickness `plates` (m)."""
        depth = self.strip + plates
        return hertz.RollerBed(self.radius, (depth, depth), self.steels.E, usual("poisson"))


def refuse_impossible(rollers: Rollers) -> None:
    """Raise `InputError` for sizes that no roller can have, one fault at a time."""
    for name, size in (("diameter", rollers.diameter), ("length", rollers.length)):
        if not size > 0.0:
            raise fault(name, f"{size * 1e3:g} mm", "more than 0 mm")
    if not 0.0 < rollers.width <= rollers.diameter * (1.0 + 1e-9):
        raise fault(
            "segment width",
            f"{rollers.width * 1e3:g} mm",
            f"above 0, at most the diameter {rollers.diameter * 1e3:g} mm",
        )
    if rollers.number > 1 and rollers.spacing <= rollers.width:
        raise fault(
            "spacing",
            f"{rollers.spacing * 1e3:g} mm",
            f"more than the rollers' width {rollers.width * 1e3:g} mm: they would overlap",
        )
    if rollers.guide.depth >= rollers.radius:
        raise fault(
            "groove depth",
            f"{rollers.guide.depth * 1e3:g} mm",
            f"less than the radius {rollers.radius * 1e3:g} mm",
        )
    if rollers.carrying <= 0.0:
        raise fault(
            "groove width", f"{rollers.guide.lost * 1e3:g} mm", "less than the roller's length"
        )


# ------------------------------------------------------------------ forces
@dataclass(frozen=True)
class Forces:
    """What the rollers get in every case; arrays (cases,) and (cases, rollers), N and m.

    `each`: force of every roller; `across`: eccentricity along the roller; `along`: of the whole
    force from the nest's middle; `peak`: greatest load per length (N/m); `base`, `top`:
    eccentricity of the whole force from the middle of the lower and the upper plate.
    """

    cases: Cases
    each: Floats
    along: Floats
    across: Floats
    peak: Floats
    base: Floats
    top: Floats


#: How far the force stands from the nest's middle because of what is above it (m), by case.
Head = Callable[[Cases], Floats]


def across(rollers: Rollers, cases: Cases, basis: Basis, chosen: Chosen, plates: float) -> Floats:
    """Eccentricity along the roller (cases,) m: moment, force across at its lever, least, turning.

    The force across acts a radius above the lower contact. EN 1337-1, 5.5: at least a share of the
    length, since a roller does not turn about the direction of movement.
    """
    e = (np.abs(cases.Mx) + np.abs(cases.Hy) * rollers.radius) / cases.N
    if basis.family == "eurocode":
        share = basis.values.number("movements.least.eccentricity_share")
        e = np.maximum(e, share * rollers.length)
    if chosen.word("tilt", "moment", "contact") == "contact":
        e = e + forced_tilt(rollers, cases.N, np.abs(cases.rx), plates)
    return e


def forced_tilt(rollers: Rollers, load: Floats, rotation: Floats, plates: float) -> Floats:
    """Eccentricity (m) when the plates are turned against each other along the roller by
    `rotation` (rad): slices of the contact line share as rollers of a nest do.
    """
    slice_length = rollers.carrying * rollers.number / _SLICES
    y = nest.positions(_SLICES, rollers.length / _SLICES)
    found = nest.turned(load, rotation, y, slice_length, rollers.bed(plates))
    return found.moment / load


def forces(
    rollers: Rollers,
    cases: Cases,
    basis: Basis,
    chosen: Chosen,
    mu: float,
    plates: float,
    head: Head | None,
) -> Forces:
    """Forces on the rollers in every case; `plates`: thickness (m) of the plates about them.

    `head`: what turns on top of a nest, None where the upper plate turns with the girder. Without
    it the analysis says what a nest gets: My where it holds the rotation, else the
    rotation ry itself, which is forced on the rollers. The rollers stand half the movement behind
    the force. Infinite where the force stands outside the rollers.
    """
    N = cases.N
    moved = np.abs(cases.vx) / 2.0
    roll = mu * rollers.radius
    e_across = across(rollers, cases, basis, chosen, plates)
    if rollers.number == 1:
        each, along = N[:, None], np.zeros_like(N)
        base = top = moved + roll
    else:
        x = rollers.x
        bed = rollers.bed(plates)
        if head is None:
            statics = np.abs(cases.My) / N + moved
            forced = nest.turned(N, np.abs(cases.ry), x, rollers.carrying, bed)
            locked = forced.moment / N
            along = np.maximum(statics, locked)
            base = along + moved + roll
            top = np.maximum(np.abs(cases.My) / N, locked + moved) + roll
        else:
            along = moved + head(cases)
            base = along + moved + roll
            top = along + moved + roll
        inside = along < 0.999 * x.max()
        shared = nest.eccentric(N, np.where(inside, along, 0.0), x, rollers.carrying, bed)
        each = np.where(inside[:, None], shared.loads, np.inf)
        if head is None:
            each = np.maximum(each, forced.loads)
    most = each.max(axis=1)
    finite = np.where(np.isfinite(most), most, 1.0)
    peak = np.where(np.isfinite(most), hertz.line_load(finite, rollers.carrying, e_across), np.inf)
    return Forces(cases, each, along, e_across, peak, base, top)


# ------------------------------------------------------------------ checks
def share(needed: float, given: float) -> float:
    """Needed over given size, to a millionth: sizes are whole steps and may just fill."""
    return round(needed / given, 6) if given > 0.0 else math.inf


def contact_lines(rollers: Rollers, found: Forces, basis: Basis, chosen: Chosen) -> list[Line]:
    """The family's contact rule in the governing case, with Hertz beside it, and proportions."""
    if not np.all(np.isfinite(found.peak)):
        worst = int(np.argmax(~np.isfinite(found.peak)))
        return [_outside(rollers, found, worst)]
    worst = int(np.argmax(found.peak))
    case = found.cases.cases[worst]
    peak = float(found.peak[worst])
    rule = line_contact(basis, chosen, peak, rollers.diameter, rollers.steels, rollers.number)
    note = (
        f"N {found.cases.N[worst] / 1e3:.1f} kN, most loaded roller "
        f"{found.each[worst].max() / 1e3:.1f} kN over {rollers.carrying * 1e3:.0f} mm, "
        f"{found.across[worst] * 1e3:.1f} mm off its middle"
    )
    rule = replace(rule, note=f"{rule.note}; {note}" if rule.note else note)
    gap = rollers.spacing - rollers.width if rollers.number > 1 else None
    lines = [
        placed(rule, "roller", case.name),
        hertz_line(peak, rollers.radius, rollers.steels, "roller", case.name),
    ]
    lines += [
        placed(line, "roller")
        for line in proportion_lines(
            basis, chosen, rollers.diameter, rollers.length, gap, rollers.steels
        )
    ]
    if rollers.number > 1:
        lines.append(_sharing_line(rollers, found, worst))
    return lines


def _outside(rollers: Rollers, found: Forces, worst: int) -> Line:
    along = float(found.along[worst])
    reach = rollers.outer / 2.0 if rollers.number > 1 else rollers.length / 2.0
    e = along if rollers.number > 1 and along >= 0.999 * reach else float(found.across[worst])
    return derived(
        "Force within the rollers",
        "e < half the distance of the outer rollers, e < L/2",
        (Quantity("L", rollers.length, "m"), Quantity("outer", rollers.outer, "m")),
        Quantity("e", e, "m"),
        limit=Quantity("e", reach, "m"),
        utilisation=math.inf,
        part="roller",
        case=found.cases.cases[worst].name,
        note="the plates would tip over",
    )


def _sharing_line(rollers: Rollers, found: Forces, worst: int) -> Line:
    each = ", ".join(f"{force / 1e3:.1f}" for force in found.each[worst])
    equal = float(found.cases.N[worst]) / rollers.number
    return derived(
        "Sharing in the nest",
        "delta(N_i) = d + theta x_i, sum N_i = N, sum N_i x_i = N e",
        (
            Quantity("N", float(found.cases.N[worst]), "N"),
            Quantity("e", float(found.along[worst]), "m"),
            Quantity("s", rollers.spacing, "m"),
        ),
        Quantity("N_max", float(found.each[worst].max()), "N"),
        note=f"rollers {each} kN; {found.each[worst].max() / equal:.2f} times the equal share; "
        "rollers and plates give way after Hertz",
        source="Johnson, Contact Mechanics, ch. 5, and statics",
        part="roller",
        case=found.cases.cases[worst].name,
    )


def rolling_lines(rollers: Rollers, movement: float, largest: float) -> list[Line]:
    """Rolling angle, edge of a segment, neighbours, travel to the stops for a `movement` (m).

    `largest`: movement of the demand without reserve (m).
    """
    angle = rolling.rolling_angle(movement, rollers.radius)
    lines = [
        derived(
            "Rolling angle",
            "phi = v/(2 R); the roller moves v/2",
            (Quantity("v", movement, "m"), Quantity("R", rollers.radius, "m")),
            Quantity("phi", angle, "rad"),
            note=f"roller moves {movement / 2 * 1e3:.1f} mm",
            source="own geometry",
            part="roller",
        ),
        derived(
            "Travel to the stops",
            "v <= 2 g",
            (Quantity("g", rollers.stop.gap, "m"), Quantity("v without reserve", largest, "m")),
            Quantity("v", movement, "m"),
            limit=Quantity("2 g", rolling.travel_to_stop(rollers.stop.gap), "m"),
            utilisation=share(movement, rolling.travel_to_stop(rollers.stop.gap)),
            source="own geometry",
            part="stop",
        ),
    ]
    if rollers.width < rollers.diameter * (1.0 - 1e-9):
        limit = rolling.segment_limit(rollers.width, rollers.radius)
        lines.append(
            derived(
                "Segment on its arc",
                "phi <= asin(w/(2 R))",
                (Quantity("w", rollers.width, "m"), Quantity("R", rollers.radius, "m")),
                Quantity("phi", angle, "rad"),
                limit=Quantity("phi", limit, "rad"),
                utilisation=angle / limit,
                source="own geometry",
                part="roller",
            )
        )
        if rollers.number > 1:
            gap = rollers.spacing - rollers.width
            needed = rolling.gap_needed(rollers.width, min(angle, 1.5))
            lines.append(
                derived(
                    "Neighbouring segments",
                    "g >= w (1/cos phi - 1)",
                    (Quantity("w", rollers.width, "m"), Quantity("phi", angle, "rad")),
                    Quantity("g", gap, "m"),
                    limit=Quantity("g", needed, "m"),
                    utilisation=needed / gap,
                    source="own geometry",
                    part="roller",
                )
            )
    return lines


def lift_off_line(rollers: Rollers, cases: Cases, plates: float) -> Line:
    """Turning of the girder against the turning at which a roller of the nest hangs free."""
    off = nest.lift_off(cases.N, rollers.x, rollers.carrying, rollers.bed(plates))
    turned = np.abs(cases.ry)
    worst = int(np.argmax(turned / off.rotation))
    limit = float(off.rotation[worst])
    return derived(
        "Turning of the nest before a roller hangs free",
        "theta <= theta_lo: delta(N_i) = theta_lo (x_i - x_1), sum N_i = N",
        (
            Quantity("N", float(cases.N[worst]), "N"),
            Quantity("s", rollers.spacing, "m"),
            Quantity("M locked at theta_lo", float(off.moment[worst]), "N*m"),
        ),
        Quantity("theta", float(turned[worst]), "rad"),
        limit=Quantity("theta_lo", limit, "rad"),
        utilisation=float(turned[worst]) / limit,
        note="a nest does not turn about its axis: without a rotating element above it the end "
        "rotation must be this small and its moment is carried",
        source="Johnson, Contact Mechanics, ch. 5, and statics",
        part="roller",
        case=cases.cases[worst].name,
    )


# ------------------------------------------------------------------ plates
Level = Literal["base", "top"]


def seating_cases(
    rollers: Rollers, found: Forces, mu: float, level: Level, thickness: float
) -> list[SeatingCase]:
    """What one plate passes on at its outer face, `thickness` (m) and strip beyond the contact."""
    lever = thickness + rollers.strip
    at = found.base if level == "base" else found.top
    cases = []
    for index, case in enumerate(found.cases.cases):
        along = max(abs(case.Hx), mu * case.N)
        e_y = (abs(case.Mx) + abs(case.Hy) * (rollers.radius + lever)) / case.N
        cases.append(
            SeatingCase(
                limit_state=case.limit_state,
                name=case.name,
                N=case.N,
                Hx=along,
                Hy=case.Hy,
                ex=float(at[index]) + along / case.N * lever,
                ey=max(e_y, float(found.across[index])),
                patch_x=rollers.outer,
                patch_y=rollers.length,
                spacing=rollers.spacing,
            )
        )
    return cases


def plate_bending_line(
    rollers: Rollers,
    found: Forces,
    mu: float,
    level: Level,
    seating: Seating,
    basis: Basis,
    part: str,
) -> Line:
    """Bending of a plate with the rollers at their extreme, over the plate's width."""
    moments = extreme_moments(rollers, found, mu, seating.length)
    width = min(seating.width, rollers.length + 2.0 * (seating.thickness + rollers.strip))
    worst = int(np.argmax(moments))
    case = found.cases.cases[worst]
    steel = materials.steel(seating.steel, seating.thickness, basis)
    line = rules(basis.family, case.limit_state).bending(
        basis.values, float(moments[worst]) / width, seating.thickness, steel.fy
    )
    line = replace(
        line,
        title="Bending of the plate, rollers at their extreme",
        note=f"{line.note}; linear pressure under the {level} plate, own statics",
    )
    return placed(line, part, case.name, steel.basis)


def extreme_moments(rollers: Rollers, found: Forces, mu: float, length: float) -> Floats:
    """Greatest moment (cases,) N m of a plate of `length` (m), rollers half the movement off."""
    travel = np.abs(found.cases.vx) / 2.0 + mu * rollers.radius
    if not np.all(np.isfinite(found.each)):
        raise BedstoneError("the force stands outside the rollers")
    return greatest_moment(found.each, rollers.x[None, :] + travel[:, None], length)


def plate_rule_lines(rollers: Rollers, seating: Seating, basis: Basis, part: str) -> list[Line]:
    """Least plate sizes of IRC:83-I; nothing for the other families."""
    if basis.family != "irc":
        return []
    return [
        placed(
            irc_rollers.plate_width(basis.values, seating.length, rollers.outer, seating.thickness),
            part,
        ),
        placed(irc_rollers.plate_thickness(basis.values, seating.thickness, rollers.spacing), part),
    ]


def roller_parts(rollers: Rollers, plate_length: float) -> list[Part]:
    """The rollers themselves and the contact strips."""
    area = rolling.segment_area(rollers.width, rollers.radius)
    full = rollers.width >= rollers.diameter * (1.0 - 1e-9)
    word = "roller" if full else "segmental roller"
    size = f"{word} {rollers.diameter * 1e3:.4g} dia. x {rollers.length * 1e3:.4g}"
    if not full:
        size += f", {rollers.width * 1e3:.4g} wide"
    if rollers.guide.depth:
        size += (
            f", groove {rollers.guide.lost * 1e3:.4g} x {rollers.guide.depth * 1e3:.4g} in the "
            "middle"
        )
    groove = math.pi * (rollers.radius**2 - (rollers.radius - rollers.guide.depth) ** 2)
    volume = area * rollers.length - (groove * rollers.guide.lost if full else 0.0)
    parts = [
        Part(
            "roller",
            rollers.steels.roller,
            size,
            {
                "diameter": rollers.diameter,
                "length": rollers.length,
                "width": rollers.width,
                "spacing": rollers.spacing,
                "groove width": rollers.guide.lost,
                "groove depth": rollers.guide.depth,
            },
            volume * materials.STEEL_DENSITY,
            number=rollers.number,
            function="carries by rolling",
        )
    ]
    if rollers.strip:
        volume = plate_length * rollers.length * rollers.strip
        parts.append(
            Part(
                "contact strip",
                rollers.steels.plate,
                f"strip {plate_length * 1e3:.4g} x {rollers.length * 1e3:.4g} x "
                f"{rollers.strip * 1e3:.4g}",
                {"length": plate_length, "width": rollers.length, "thickness": rollers.strip},
                volume * materials.STEEL_DENSITY,
                number=2,
                function="gives the rollers a track of their own strength and hardness",
            )
        )
    return parts
