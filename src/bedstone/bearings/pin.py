"""Pin bearing: a pin through one upper and two lower lugs. Fixed; turns about y'; may pull.

The pin lies along y'. It passes N and Hx as one force across its axis, Hy by collars against the
lugs. It does not turn about x': a rotation there is free only within the play of the hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice

from bedstone.bearings import knuckle
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
from bedstone.bearings.common.seating import OPTIONS, Seating, SeatingCase
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
from bedstone.bridge.schema import BearingKind
from bedstone.standards.aashto import pins as aashto_pins
from bedstone.standards.eurocode import pins as en_pins
from bedstone.standards.fasteners import Fillet, PinJoint
from bedstone.standards.irc import pins as irc_pins
from bedstone.standards.record import Line, Quantity

_PLAY = 0.001  # m, hole over pin; common practice, no source
_GAP = 0.002  # m between lugs; common practice, no source
_FRICTION = 0.2  # of a greased steel pin; common practice, no source
_SIDE, _END = 0.6, 0.75  # lug beyond the hole in diameters; common practice, no source
_BATCH, _SEATED = 3, 2  # diameters looked at together, and of these with plates (bounds)
_LUGS_TRIED = 4  # thicknesses of lugs for one pin (a bound of the search)
_CLEAR = 0.01  # m between a lug's end and the plate opposite; common practice, no source


@dataclass(frozen=True)
class PinBearing:
    """Sizes of a pin bearing, m. Lugs: `middle` above, two of `outer` below, `gap` between them.

    `lug_width` along x'; `height_below`, `height_above`: axis of the pin to the plates; `weld`:
    throat of the fillets on both faces of each lug; `steel_pin`, `steel_plate`: names.
    """

    diameter: float
    hole: float
    middle: float
    outer: float
    gap: float
    lug_width: float
    height_below: float
    height_above: float
    weld: float
    steel_pin: str
    steel_plate: str
    base: Seating
    sole: Seating

    @property
    def pin_length(self) -> float:
        """Pin with a collar of an eighth of its diameter at each end, m."""
        return self.span + self.diameter / 4.0

    @property
    def span(self) -> float:
        """Over the outer faces of the lower lugs, m."""
        return self.middle + 2.0 * (self.gap + self.outer)

    @property
    def height(self) -> float:
        """Overall, plates included, m."""
        return self.base.thickness + self.height_below + self.height_above + self.sole.thickness


@dataclass(frozen=True)
class Pin:
    """The kind: see `bedstone.bearings.base.Kind`."""

    name: BearingKind = "pin"

    @property
    def options(self) -> Mapping[str, str]:
        """What each option means."""
        return {
            **OPTIONS,
            "pin.form": "pin (default) | knuckle: a hollow saddle on a convex block",
            "pin.replaceable": "true (default): EN limits of serviceability for pins that can be "
            "taken out; false: ultimate limit states alone",
            "pin.friction": f"friction of the pin in its lugs; default {_FRICTION:g}",
            "pin.play": f"hole wider than the pin (m); default {_PLAY:g}",
        }

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return {
            "diameter": "m, of the pin",
            "hole": "m, diameter of the hole",
            "middle": "m, thickness of the upper lug",
            "outer": "m, thickness of each lower lug",
            "gap": "m, between lugs",
            "lug_width": "m, along x'",
            "height_below": "m, axis of the pin above the base plate",
            "height_above": "m, axis of the pin below the sole plate",
            "weld": "m, throat of the fillets on both faces of each lug",
            "steel_pin": "name of the steel of the pin",
            "steel_plate": "name of the steel of the lugs",
            **{name: f"{text} (knuckle)" for name, text in knuckle.FIELDS.items()},
            **sizes.seating_fields("base"),
            **sizes.seating_fields("sole"),
        }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """A pin holds x' and y' and turns about y' alone."""
        if not all(demand.held):
            direction = "along x'" if not demand.held[0] else "along y'"
            return Refusal(
                self.name,
                f"the seat must move {direction}; a pin holds both directions",
                _suitability(basis),
                "a roller, a rocker on a nest or a sliding bearing; or a pin on a slide plate",
            )
        play = sizes.number(basis, "pin.play", _PLAY)
        turned = 0.0 if _form(basis) == "knuckle" else demand.largest("rx")
        # The shortest pin of the series still spans the two lugs: about three diameters of contact.
        least = 3.0 * series.sizes("pins", basis.family)[0]
        if turned * least > play:
            return Refusal(
                self.name,
                f"rotation {turned * 1e3:.2f} mrad about x', which a pin cannot follow within "
                f"the play of its hole",
                _suitability(basis),
                "a point rocker, a spherical or a pot bearing",
            )
        return None

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest pin of the series with its lugs and plates."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        if _form(basis) == "knuckle":
            return knuckle.size(demand, basis)
        best: Design | None = None
        nearest: Design | None = None
        # Pin and lugs alone are quick: the most promising of the first few get their plates, and
        # the search goes on to thicker pins only while none has passed.
        frames = _frames(demand, basis)
        while best is None and (batch := list(islice(frames, _BATCH))):
            for frame in sorted(batch, key=_likely_mass)[:_SEATED]:
                design = _design(_seated(frame, demand, basis), demand, basis)
                if design.passes and (best is None or design.mass < best.mass):
                    best = design
                if nearest is None or design.utilisation < nearest.utilisation:
                    nearest = design
        if best is not None:
            return best
        if nearest is None:
            return Refusal(
                self.name,
                "no pin of the series carries the force",
                _suitability(basis),
                "stronger steel for pin and plates, or several bearings",
            )
        return stays(nearest, "a larger plinth, stronger concrete or steel, or another kind")

    def given(self, sizes_: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a given pin bearing; raises `InputError` for impossible sizes."""
        if _form(basis) == "knuckle":
            return knuckle.given(sizes_, demand, basis)
        read = sizes.Reader(sizes_)
        plate = materials.default("plate", basis)
        bearing = PinBearing(
            diameter=read.length("diameter"),
            hole=read.length("hole"),
            middle=read.length("middle"),
            outer=read.length("outer"),
            gap=read.length("gap", 0.0, zero=True),
            lug_width=read.length("lug_width"),
            height_below=read.length("height_below"),
            height_above=read.length("height_above"),
            weld=read.length("weld"),
            steel_pin=read.word("steel_pin", materials.default("pin", basis)),
            steel_plate=read.word("steel_plate", plate),
            base=read.seating("base", plate, "concrete"),
            sole=read.seating("sole", plate, connected(basis, above=True)),
        )
        read.require(
            bearing.hole >= bearing.diameter,
            "hole",
            f"{bearing.hole * 1e3:g} mm",
            "the diameter of the pin or more",
        )
        read.require(
            bearing.lug_width > bearing.hole,
            "lug_width",
            f"{bearing.lug_width * 1e3:g} mm",
            "wider than the hole",
        )
        for name in ("height_below", "height_above"):
            read.require(
                getattr(bearing, name) > bearing.hole / 2.0,
                name,
                f"{getattr(bearing, name) * 1e3:g} mm",
                "more than half the hole",
            )
        read.finish()
        return _design(bearing, demand, basis)


KIND = Pin()


def _form(basis: Basis) -> str:
    return sizes.word(basis, "pin.form", "pin", "knuckle")


def _suitability(basis: Basis) -> str:
    if basis.family == "aashto":
        return "AASHTO LRFD Table 14.6.2-1, knuckle (pinned)"
    return "mechanics of the pin; AASHTO LRFD Table 14.6.2-1 says the same of knuckles"


def _force(case: DemandCase) -> float:
    return math.hypot(case.N, case.Hx)


def _joint(bearing: PinBearing, basis: Basis) -> PinJoint:
    pin = materials.steel(bearing.steel_pin, bearing.diameter, basis)
    plate = materials.steel(bearing.steel_plate, max(bearing.middle, bearing.outer), basis)
    return PinJoint(
        diameter=bearing.diameter,
        hole=bearing.hole,
        middle=bearing.middle,
        outer=bearing.outer,
        gap=bearing.gap,
        fy=pin.fy,
        fu=pin.fu,
        plate_fy=plate.fy,
        E=pin.E,
    )


def joint_lines(
    joint: PinJoint, cases: Sequence[DemandCase], service: Sequence[DemandCase], basis: Basis
) -> list[Line]:
    """Checks of pin and holes under the largest force across the axis of the pin."""
    values = basis.values
    worst = max(cases, key=_force)
    force = _force(worst)
    match basis.family:
        case "eurocode":
            rules_ = (en_pins.shear, en_pins.bearing, en_pins.bending, en_pins.combined)
            lines = [placed(rule(values, force, joint), "pin", worst.name) for rule in rules_]
            if basis.options.get("pin.replaceable", True) and service:
                worst = max(service, key=_force)
                lines += [
                    placed(rule(values, _force(worst), joint), "pin", worst.name)
                    for rule in (en_pins.service_bearing, en_pins.service_bending, en_pins.contact)
                ]
        case "aashto":
            lines = [
                placed(rule(values, force, joint), "pin", worst.name)
                for rule in (aashto_pins.combined, aashto_pins.bearing)
            ]
            if service:
                worst = max(service, key=_force)
                pressure = _force(worst) / 2.0 / (joint.diameter * joint.thinnest)
                lines.append(
                    placed(
                        aashto_pins.service_bearing(values, pressure, joint.bearing_fy),
                        "pin",
                        worst.name,
                    )
                )
        case "irc":
            lines = [
                placed(rule(values, force, joint), "pin", worst.name)
                for rule in (irc_pins.shear, irc_pins.bearing, irc_pins.bending, irc_pins.combined)
            ]
    return lines


def _frames(demand: Demand, basis: Basis) -> Iterator[PinBearing]:
    """Pins of the series by rising diameter, with lugs that carry the demand, without plates."""
    made = materials.thickest(materials.default("pin", basis))
    for diameter in series.sizes("pins", basis.family):
        if diameter <= made:
            frame = _lightest_joint(diameter, demand, basis)
            if frame is not None:
                yield frame


def _lightest_joint(diameter: float, demand: Demand, basis: Basis) -> PinBearing | None:
    """Lugs that make a pin lightest of the thinnest few; None where no plate suits."""
    cases = ultimate(demand, basis)
    family = basis.family
    blank = blank_plate(materials.default("plate", basis))
    found: list[PinBearing] = []
    for outer in series.sizes("plates", family):
        # Thicker lugs relieve the holes and bend the pin more: past this width it only gets worse.
        if outer > diameter or len(found) == _LUGS_TRIED:
            break
        middle = series.at_least("plates", family, 2.0 * outer)
        if middle is None or middle > materials.thickest(materials.default("plate", basis)):
            break
        bearing = PinBearing(
            diameter=diameter,
            hole=diameter + sizes.number(basis, "pin.play", _PLAY),
            middle=middle,
            outer=outer,
            gap=_GAP,
            lug_width=0.0,
            height_below=0.0,
            height_above=0.0,
            weld=0.0,
            steel_pin=materials.default("pin", basis),
            steel_plate=materials.default("plate", basis),
            base=blank,
            sole=blank,
        )
        lines = joint_lines(_joint(bearing, basis), cases, demand.service, basis)
        failing = [line.title for line in lines if (line.utilisation or 0.0) > 1.0]
        if any(title.startswith(("Bending", "Shear")) for title in failing):
            # Thicker lugs bend the pin more and shear it no less.
            break
        if failing:
            continue
        made = _with_lugs(bearing, cases, basis)
        if made is not None:
            found.append(made)
    return min(found, key=_likely_mass, default=None)


def _with_lugs(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> PinBearing | None:
    """Lugs wide and high enough round the hole, with their welds."""
    side, end = _SIDE * bearing.diameter, _END * bearing.diameter
    if basis.family == "eurocode":
        joint = _joint(bearing, basis)
        pull = max(max(abs(case.Hx), -case.N) for case in cases)
        for share, thickness in ((0.5, bearing.outer), (1.0, bearing.middle)):
            along, across = en_pins.least_edges(basis.values, share * pull, joint, thickness)
            side, end = max(side, across), max(end, along)
    height = series.length(bearing.hole / 2.0 + end + _CLEAR, 0.005)
    for grow in range(12):
        trial = replace(
            bearing,
            lug_width=series.length(bearing.hole + 2.0 * side, 0.005) + 0.25 * grow * bearing.hole,
            height_below=height,
            height_above=height,
        )
        trial = replace(trial, lug_width=series.length(trial.lug_width, 0.005))
        if max(line.utilisation or 0.0 for line in _lug_stress(trial, cases, basis)) > 1.0:
            continue
        for weld in series.sizes("welds", basis.family):
            trial = replace(trial, weld=weld)
            if max(line.utilisation or 0.0 for line in _lug_welds(trial, cases, basis)) <= 1.0:
                return trial
    return None


@dataclass(frozen=True)
class _Root:
    """Lugs of one side at their plate: number, thickness of each, arm to the pin, part's name."""

    count: int
    thickness: float
    arm: float
    part: str

    def stress(self, case: DemandCase, bearing: PinBearing) -> float:
        """Largest normal stress with shear (Pa, von Mises), elastic; out of plane lug by lug."""
        w, t, n = bearing.lug_width, self.thickness, self.count
        normal = (
            abs(case.N) / (n * w * t)
            + abs(case.Hx) * self.arm * 6.0 / (n * t * w**2)
            + self._across(case, bearing) * 6.0 / (n * w * t**2)
            + self._couple(case, bearing) / (w * t)
        )
        shear = math.hypot(case.Hx, case.Hy) / (n * w * t)
        return math.sqrt(normal**2 + 3.0 * shear**2)

    def weld_force(self, case: DemandCase, bearing: PinBearing) -> float:
        """Force per length (N/m) in the worst of the fillets; compression passes by contact."""
        w, n = bearing.lug_width, 2 * self.count
        lift = (
            abs(case.Hx) * self.arm * 6.0 / (n * w**2)
            + self._across(case, bearing) / (self.count * w * self.thickness)
            + self._couple(case, bearing) / (2.0 * w)
            - case.N / (n * w)
        )
        return math.hypot(max(0.0, lift), math.hypot(case.Hx, case.Hy) / (n * w))

    def _across(self, case: DemandCase, bearing: PinBearing) -> float:
        """Moment about x' that bends the lugs out of plane (N m); two lugs take Mx as a couple."""
        return abs(case.Hy) * self.arm + (abs(case.Mx) if self.count == 1 else 0.0)

    def _couple(self, case: DemandCase, bearing: PinBearing) -> float:
        """Force (N) of one of two lugs from Mx."""
        if self.count == 1:
            return 0.0
        return abs(case.Mx) / (bearing.middle + 2.0 * bearing.gap + bearing.outer)


def _roots(bearing: PinBearing) -> tuple[_Root, _Root]:
    return (
        _Root(2, bearing.outer, bearing.height_below, "lower lugs"),
        _Root(1, bearing.middle, bearing.height_above, "upper lug"),
    )


def _lug_stress(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> list[Line]:
    lines = []
    for root in _roots(bearing):
        steel = materials.steel(bearing.steel_plate, root.thickness, basis)
        worst = max(cases, key=lambda case: root.stress(case, bearing))
        found = root.stress(worst, bearing)
        lines.append(
            placed(
                rules(basis.family, worst.limit_state).stress(
                    basis.values, found, steel.fy, "Stress at the root of the lugs"
                ),
                root.part,
                worst.name,
                steel.basis,
            )
        )
    return lines


def _lug_welds(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> list[Line]:
    lines = []
    for root in _roots(bearing):
        steel = materials.steel(bearing.steel_plate, root.thickness, basis)
        fillet = Fillet(bearing.weld, steel.fu, steel.name)
        worst = max(cases, key=lambda case: root.weld_force(case, bearing))
        line = rules(basis.family, worst.limit_state).fillet(
            basis.values, root.weld_force(worst, bearing), fillet
        )
        lines.append(placed(line, f"{root.part}: weld", worst.name, steel.basis))
    return lines


def _rotation(bearing: PinBearing, demand: Demand) -> Line:
    """Rotation about x' that the play of the hole lets through (kinematics)."""
    turned = demand.largest("rx")
    limit = (bearing.hole - bearing.diameter) / bearing.span
    return Line(
        title="Rotation across the axis of the pin",
        standard="mechanics",
        edition="derived",
        clause="own kinematics",
        formula="rx <= (d0 - d)/l",
        inputs=(
            Quantity("d0", bearing.hole, "m"),
            Quantity("d", bearing.diameter, "m"),
            Quantity("l", bearing.span, "m"),
        ),
        result=Quantity("rx", turned, "rad"),
        basis="secondary",
        limit=Quantity("play", limit, "rad"),
        utilisation=turned / limit if limit > 0.0 else (math.inf if turned > 0.0 else 0.0),
        part="pin",
    )


def _seating_cases(
    bearing: PinBearing,
    cases: Sequence[DemandCase],
    basis: Basis,
    above: bool,
    plate: float,
) -> list[SeatingCase]:
    """Forces at the outer face of a plate (thickness m); the pin's friction resists rotation."""
    arm = (bearing.height_above if above else bearing.height_below) + plate
    mu = sizes.number(basis, "pin.friction", _FRICTION, most=1.0)
    patch_y = bearing.middle if above else bearing.span
    return [
        SeatingCase(
            limit_state=case.limit_state,
            name=case.name,
            N=case.N,
            Hx=case.Hx,
            Hy=case.Hy,
            patch_x=bearing.lug_width,
            patch_y=patch_y,
            overturning_x=abs(case.Hx) * arm
            + abs(case.My)
            + mu * _force(case) * bearing.diameter / 2.0,
            overturning_y=abs(case.Hy) * arm + abs(case.Mx),
        )
        for case in cases
    ]


def _seated(bearing: PinBearing, demand: Demand, basis: Basis) -> PinBearing:
    cases = partial(_seating_cases, bearing, ultimate(demand, basis), basis)
    base, sole = sized_plates(cases, (bearing.lug_width, bearing.pin_length), demand, basis)
    return replace(bearing, base=base, sole=sole)


def _design(bearing: PinBearing, demand: Demand, basis: Basis) -> Design:
    cases = ultimate(demand, basis)
    pin = materials.steel(bearing.steel_pin, bearing.diameter, basis)
    plate = materials.steel(bearing.steel_plate, max(bearing.middle, bearing.outer), basis)
    lines = [
        placed(line, line.part, line.case, pin.basis, plate.basis)
        for line in joint_lines(_joint(bearing, basis), cases, demand.service, basis)
    ]
    lines += _lug_stress(bearing, cases, basis) + _lug_welds(bearing, cases, basis)
    lines.append(_rotation(bearing, demand))
    lines += plate_lines(bearing, partial(_seating_cases, bearing, cases, basis), demand, basis)
    notes = ["the axis of the pin lies along y'; collars against the lugs hold y'"]
    if demand.uplift > 0.0 and basis.family == "eurocode":
        notes.append(
            "EN 1337-1 has no rules for bearings that lift; pin, lugs and anchors are checked as "
            "steel and concrete under the pull"
        )
    return plated(
        "pin",
        bearing,
        _own_parts(bearing),
        lines,
        basis,
        play=(bearing.hole - bearing.diameter) / 2.0,
        horizontal=demand.largest("Hx"),
        notes=notes,
    )


def _own_parts(bearing: PinBearing) -> tuple[Part, ...]:
    density = materials.STEEL_DENSITY
    pin_mass = math.pi / 4.0 * bearing.diameter**2 * bearing.pin_length * density

    def lug(name: str, thickness: float, height: float, number: int) -> Part:
        # The round end stands as far beyond the axis as the lug goes below it, less the clearance.
        full = height + bearing.lug_width / 2.0
        solid = bearing.lug_width * height + math.pi / 8.0 * bearing.lug_width**2
        hole = math.pi / 4.0 * bearing.hole**2
        return Part(
            name=name,
            material=bearing.steel_plate,
            size=f"plate {bearing.lug_width * 1e3:.4g} x {full * 1e3:.4g} x {thickness * 1e3:.4g},"
            f" hole {bearing.hole * 1e3:.4g} dia., round end",
            dimensions={
                "length": bearing.lug_width,
                "height": full,
                "thickness": thickness,
                "hole": bearing.hole,
                "weld": bearing.weld,
            },
            mass=(solid - hole) * thickness * density,
            number=number,
            function="passes the force between pin and plate",
        )

    return (
        Part(
            name="pin",
            material=bearing.steel_pin,
            size=f"pin {bearing.diameter * 1e3:.4g} dia. x {bearing.pin_length * 1e3:.4g}",
            dimensions={"diameter": bearing.diameter, "length": bearing.pin_length},
            mass=pin_mass,
            function="turns about y', holds x', y' and z",
        ),
        lug("upper lug", bearing.middle, bearing.height_above, 1),
        lug("lower lug", bearing.outer, bearing.height_below, 2),
    )


def _likely_mass(bearing: PinBearing) -> float:
    """Mass (kg) with two plates of 50 mm over lugs and pin, before these are sized."""
    plan = bearing.lug_width * bearing.pin_length
    return mass_of(_own_parts(bearing)) + 2.0 * 0.05 * plan * materials.STEEL_DENSITY
