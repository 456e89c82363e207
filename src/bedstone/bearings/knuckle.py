"""Knuckle: a hollow saddle on a convex block. Fixed; turns about y'; presses alone.

The saddle leans on the cap of the block: the resultant of N and Hx must pass through it. Collars at
the ends hold y'. The kind of the schedule is `pin`; option ``pin.form`` chooses between them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice

from bedstone.bearings import hertz
from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Design,
    Part,
    Refusal,
)
from bedstone.bearings.common import materials, series, sizes
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import Seating, SeatingCase
from bedstone.bearings.roller_basis import Chosen, Pair, line_contact, pair
from bedstone.bearings.two_plates import (
    blank_plate,
    connected,
    mass_of,
    plate_lines,
    plated,
    sized_plates,
    stays,
    ultimate,
)
from bedstone.standards.aashto import pins as aashto_pins
from bedstone.standards.cantilever import root_stresses
from bedstone.standards.eurocode import pins as en_pins
from bedstone.standards.fasteners import PinJoint
from bedstone.standards.irc import pins as irc_pins
from bedstone.standards.record import Line, Quantity

_MATE = 1.03  # radius of the saddle over that of the block; common practice, no source
_HALF_ANGLE = math.radians(40.0)  # of the cap; common practice, no source
_BODY = 0.6  # block below the cap, in radii; common practice, no source
_COLLAR = 0.3  # height of a collar, in radii; common practice, no source
_PLAY = 0.001  # m between collar and block, each side; common practice, no source
_FRICTION = 0.2  # of steel on steel, greased; common practice, no source
_LENGTHS = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0)  # over the diameter (a bound of the search)

_TRIED, _SEATED = 4, 2  # diameters looked at, and of these with plates (bounds of the search)

#: Sizes that `given` takes besides those of the plates.
FIELDS: Mapping[str, str] = {
    "radius": "m, of the convex block",
    "mate": "m, radius of the hollow saddle",
    "length": "m, of the contact along y'",
    "half_angle": "rad, of the cap on each side of its top",
    "lower_height": "m, contact above the base plate",
    "upper_height": "m, sole plate above the contact",
    "collar": "m, thickness of the collars",
    "steel": "name of the steel of both blocks",
}


@dataclass(frozen=True)
class KnuckleBearing:
    """Sizes of a knuckle, m and rad: see `FIELDS`."""

    radius: float
    mate: float
    length: float
    half_angle: float
    lower_height: float
    upper_height: float
    collar: float
    steel: str
    base: Seating
    sole: Seating

    @property
    def chord(self) -> float:
        """Width of the cap along x', m."""
        return 2.0 * self.radius * math.sin(self.half_angle)

    @property
    def relative_radius(self) -> float:
        """R1 R2/(R2 - R1), m."""
        return hertz.relative_radius(self.radius, -self.mate)

    @property
    def height(self) -> float:
        """Overall, plates included, m."""
        return self.base.thickness + self.lower_height + self.upper_height + self.sole.thickness


def size(demand: Demand, basis: Basis) -> Design | Refusal:
    """The lightest knuckle in practical sizes that passes, or why there is none."""
    refusal = _refuse(demand)
    if refusal is not None:
        return refusal
    thickest = materials.thickest(materials.default("rocker", basis))
    found = (
        made
        for diameter in series.sizes("rollers", basis.family)
        if diameter <= thickest and (made := _frame(diameter / 2.0, demand, basis)) is not None
    )
    # The smallest few that carry the demand: larger ones are shorter at first, then only heavier.
    frames = list(islice(found, _TRIED))
    best: Design | None = None
    nearest: Design | None = None
    for frame in sorted(frames, key=lambda frame: mass_of(_own_parts(frame)))[:_SEATED]:
        design = _design(_seated(frame, demand, basis), demand, basis)
        if design.passes and (best is None or design.mass < best.mass):
            best = design
        if nearest is None or design.utilisation < nearest.utilisation:
            nearest = design
    if best is not None:
        return best
    if nearest is None:
        lean = max(_lean(case) for case in ultimate(demand, basis))
        return Refusal(
            "pin",
            f"no knuckle of practical size carries the seat (the resultant leans {lean:.2f} rad on "
            f"a cap of {_HALF_ANGLE:.2f} rad)",
            "statics of the knuckle and the contact rule of the family",
            "a pin bearing (pin.form = pin) holds larger horizontal forces",
        )
    return stays(nearest, demand, "a larger plinth, stronger concrete or steel, or another kind")


def given(sizes_: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
    """Check a given knuckle; raises `InputError` for impossible sizes or a seat that lifts."""
    read = sizes.Reader(sizes_)
    plate = materials.default("plate", basis)
    bearing = KnuckleBearing(
        radius=read.length("radius"),
        mate=read.length("mate"),
        length=read.length("length"),
        half_angle=read.length("half_angle"),
        lower_height=read.length("lower_height"),
        upper_height=read.length("upper_height"),
        collar=read.length("collar"),
        steel=read.word("steel", materials.default("rocker", basis)),
        base=read.seating("base", plate, "concrete"),
        sole=read.seating("sole", plate, connected(basis, above=True)),
    )
    read.require(
        bearing.mate > bearing.radius,
        "mate",
        f"{bearing.mate * 1e3:g} mm",
        "more than the radius of the block",
    )
    read.require(
        bearing.half_angle < math.pi / 2.0,
        "half_angle",
        f"{bearing.half_angle:g} rad",
        "less than a quarter turn",
    )
    sagitta = bearing.radius * (1.0 - math.cos(bearing.half_angle))
    read.require(
        bearing.lower_height > sagitta,
        "lower_height",
        f"{bearing.lower_height * 1e3:g} mm",
        "more than the rise of the cap",
    )
    refusal = _refuse(demand)
    read.require(refusal is None, "uplift", f"{demand.uplift / 1e3:g} kN", "no uplift on a knuckle")
    read.finish()
    return _design(bearing, demand, basis)


def check(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Design:
    """Check a knuckle as it was made for another demand."""
    return _design(bearing, demand, basis)


def _refuse(demand: Demand) -> Refusal | None:
    lifted = [case for case in (*demand.strength, *demand.service) if case.N <= 0.0]
    if demand.uplift > 0.0 or lifted:
        return Refusal(
            "pin",
            f"the seat lifts ({demand.uplift / 1e3:.0f} kN) and a knuckle only presses",
            "AASHTO LRFD 14.6.1; mechanics of the knuckle",
            "a pin bearing (pin.form = pin), or an uplift restraint beside it",
        )
    return None


def _contact(demand: Demand, basis: Basis) -> tuple[DemandCase, ...]:
    """Cases of the contact rules: ultimate (EN), service (AASHTO, IRC)."""
    cases = demand.strength if basis.family == "eurocode" else demand.service
    if not cases:
        raise sizes.fault("cases", "none", "cases of the limit states that the contact rule checks")
    return cases


def _lean(case: DemandCase) -> float:
    """Angle (rad) of the resultant from the top of the cap, rotation of the saddle included."""
    return math.atan2(abs(case.Hx), case.N) + abs(case.ry)


def _line_load(case: DemandCase, length: float) -> float:
    force = math.hypot(case.N, case.Hx)
    return float(hertz.line_load(force, length, abs(case.Mx) / case.N))


def _steels(bearing: KnuckleBearing, basis: Basis) -> Pair:
    return pair(basis, bearing.steel, bearing.steel, 2.0 * bearing.radius)


def _contact_line(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Line:
    worst = max(_contact(demand, basis), key=lambda case: _line_load(case, bearing.length))
    line = line_contact(
        basis,
        Chosen("pin", basis),
        _line_load(worst, bearing.length),
        2.0 * bearing.relative_radius,
        _steels(bearing, basis),
        1,
        rocker=True,
    )
    note = f"R of the pair: 1/R = 1/{bearing.radius * 1e3:.4g} - 1/{bearing.mate * 1e3:.4g} mm"
    return placed(replace(line, note=note), "knuckle", worst.name)


def _hertz_line(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Line:
    """Hertz pressure beside the rule of the code; the contact must stay on the cap."""
    worst = max(_contact(demand, basis), key=lambda case: _line_load(case, bearing.length))
    steels = _steels(bearing, basis)
    found = hertz.line_contact(
        _line_load(worst, bearing.length), bearing.relative_radius, steels.contact_modulus
    )
    limit = bearing.chord / 2.0
    return Line(
        title="Half width of the contact within the cap",
        standard="mechanics",
        edition="derived",
        clause="Hertz; Johnson, Contact Mechanics, chapter 4",
        formula="a = sqrt(4 P' R/(pi E*)) <= R1 sin(psi)",
        inputs=(
            Quantity("R", bearing.relative_radius, "m"),
            Quantity("E*", steels.contact_modulus, "Pa"),
            Quantity("p0", found.peak, "Pa"),
        ),
        result=Quantity("a", found.half_width, "m"),
        basis=steels.basis,
        limit=Quantity("half chord", limit, "m"),
        utilisation=found.half_width / limit,
        part="knuckle",
        case=worst.name,
    )


def _pressure_line(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Line:
    """Projected pressure on the cap by the family's rule of pins that turn."""
    cases = demand.service or ultimate(demand, basis)
    worst = max(cases, key=lambda case: _line_load(case, bearing.length))
    load, steels = _line_load(worst, bearing.length), _steels(bearing, basis)
    match basis.family:
        case "eurocode":
            # The rule speaks of half the force on the thinnest plate: the knuckle is one plate.
            one = PinJoint(
                bearing.chord, bearing.chord, 2.0, 1.0, 0.0, steels.fy, steels.fu, steels.fy,
                steels.E,
            )  # fmt: skip
            line = en_pins.service_bearing(basis.values, 2.0 * load, one)
            line = replace(line, title="Projected pressure of the knuckle, per m")
        case "aashto":
            line = aashto_pins.service_bearing(basis.values, load / bearing.chord, steels.fy)
        case "irc":
            line = irc_pins.pressure(basis.values, load / bearing.chord, steels.fy)
    return placed(line, "knuckle", worst.name, steels.basis)


def _lean_line(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Line:
    worst = max(ultimate(demand, basis), key=_lean)
    return Line(
        title="Resultant within the cap",
        standard="mechanics",
        edition="derived",
        clause="own statics",
        formula="atan(Hx/N) + ry <= psi",
        inputs=(Quantity("Hx", worst.Hx, "N"), Quantity("N", worst.N, "N")),
        result=Quantity("lean", _lean(worst), "rad"),
        basis="secondary",
        limit=Quantity("psi", bearing.half_angle, "rad"),
        utilisation=_lean(worst) / bearing.half_angle,
        part="knuckle",
        case=worst.name,
    )


def _collar_stress(bearing: KnuckleBearing, case: DemandCase) -> float:
    """Stress with shear (Pa, von Mises) at the root of a collar pressed at half its height."""
    lever = _COLLAR * bearing.radius / 2.0
    return root_stresses(abs(case.Hy), lever, bearing.chord, bearing.collar)[1]


def _collar_line(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Line:
    steel = materials.steel(bearing.steel, bearing.collar, basis)
    worst = max(ultimate(demand, basis), key=lambda case: abs(case.Hy))
    line = rules(basis.family, worst.limit_state).stress(
        basis.values, _collar_stress(bearing, worst), steel.fy, "Collar at its root"
    )
    return placed(line, "collars", worst.name, steel.basis)


def _own_lines(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> list[Line]:
    return [
        check(bearing, demand, basis)
        for check in (_contact_line, _hertz_line, _pressure_line, _lean_line, _collar_line)
    ]


def _frame(radius: float, demand: Demand, basis: Basis) -> KnuckleBearing | None:
    """Blocks of the least length that carry the demand at a radius (m); None where none does."""
    blank = blank_plate(materials.default("plate", basis))
    rise = radius * (1.0 - math.cos(_HALF_ANGLE))
    for ratio in _LENGTHS:
        made = KnuckleBearing(
            radius=radius,
            mate=_MATE * radius,
            length=series.length(ratio * 2.0 * radius),
            half_angle=_HALF_ANGLE,
            lower_height=series.length(rise + _BODY * radius, 0.005),
            upper_height=series.length(rise + _BODY * radius, 0.005),
            collar=0.0,
            steel=materials.default("rocker", basis),
            base=blank,
            sole=blank,
        )
        for collar in series.sizes("plates", basis.family):
            made = replace(made, collar=collar)
            if (_collar_line(made, demand, basis).utilisation or 0.0) <= 1.0:
                break
        if max(line.utilisation or 0.0 for line in _own_lines(made, demand, basis)) <= 1.0:
            return made
    return None


def _seating_cases(
    bearing: KnuckleBearing, demand: Demand, basis: Basis, above: bool, plate: float
) -> list[SeatingCase]:
    """Forces at the outer face of a plate (thickness m); friction resists the rotation."""
    arm = (bearing.upper_height if above else bearing.lower_height) + plate
    mu = sizes.number(basis, "pin.friction", _FRICTION, most=1.0)
    return [
        SeatingCase(
            limit_state=case.limit_state,
            name=case.name,
            N=case.N,
            Hx=case.Hx,
            Hy=case.Hy,
            patch_x=bearing.chord,
            patch_y=bearing.length,
            overturning_x=abs(case.Hx) * arm
            + abs(case.My)
            + mu * math.hypot(case.N, case.Hx) * bearing.radius,
            overturning_y=abs(case.Hy) * arm + abs(case.Mx),
        )
        for case in ultimate(demand, basis)
    ]


def _seated(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> KnuckleBearing:
    cases = partial(_seating_cases, bearing, demand, basis)
    width = bearing.length + 2.0 * (bearing.collar + _PLAY)
    base, sole = sized_plates(cases, (bearing.chord, width), demand, basis)
    return replace(bearing, base=base, sole=sole)


def _design(bearing: KnuckleBearing, demand: Demand, basis: Basis) -> Design:
    lines = _own_lines(bearing, demand, basis)
    lines += plate_lines(bearing, partial(_seating_cases, bearing, demand, basis), demand, basis)
    notes = ["the axis of the knuckle lies along y'; collars hold y'"]
    if demand.largest("rx") > 0.0:
        notes.append(
            "a knuckle does not follow a rotation about x': its moment Mx belongs in the effects"
        )
    return plated(
        "pin",
        bearing,
        _own_parts(bearing),
        lines,
        basis,
        play=_PLAY,
        horizontal=demand.largest("Hx"),
        notes=notes,
    )


def _own_parts(bearing: KnuckleBearing) -> tuple[Part, ...]:
    # Area of the circular segment of the cap, and the rectangle below it.
    segment = bearing.radius**2 * (
        bearing.half_angle - math.sin(bearing.half_angle) * math.cos(bearing.half_angle)
    )
    rise = bearing.radius * (1.0 - math.cos(bearing.half_angle))
    lower = bearing.chord * (bearing.lower_height - rise) + segment
    # The saddle follows the cap down: what the cap fills is cut out of it.
    upper = bearing.chord * (bearing.upper_height + rise) - segment
    density = materials.STEEL_DENSITY
    collar_height = _COLLAR * bearing.radius

    def block(name: str, area: float, height: float, radius: float, shape: str) -> Part:
        return Part(
            name=name,
            material=bearing.steel,
            size=f"block {bearing.chord * 1e3:.4g} x {bearing.length * 1e3:.4g} x "
            f"{height * 1e3:.4g}, {shape} radius {radius * 1e3:.4g}",
            dimensions={
                "width": bearing.chord,
                "length": bearing.length,
                "height": height,
                "radius": radius,
            },
            mass=area * bearing.length * density,
            function="turns about y', holds x' and presses",
        )

    return (
        block("knuckle block", lower, bearing.lower_height, bearing.radius, "convex"),
        block("saddle", upper, bearing.upper_height + rise, bearing.mate, "hollow"),
        Part(
            name="collar",
            material=bearing.steel,
            size=f"plate {bearing.chord * 1e3:.4g} x {2.0 * collar_height * 1e3:.4g} x "
            f"{bearing.collar * 1e3:.4g}",
            dimensions={
                "length": bearing.chord,
                "height": 2.0 * collar_height,
                "thickness": bearing.collar,
                "play": _PLAY,
            },
            mass=bearing.chord * 2.0 * collar_height * bearing.collar * density,
            number=2,
            function="holds y'",
        ),
    )
