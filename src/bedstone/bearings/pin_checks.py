"""Sizes of a pin bearing, the checks of its pin and lugs, and its parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Part,
)
from bedstone.bearings.common import materials
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import Seating
from bedstone.standards.aashto import pins as aashto_pins
from bedstone.standards.eurocode import pins as en_pins
from bedstone.standards.fasteners import Fillet, PinJoint
from bedstone.standards.irc import pins as irc_pins
from bedstone.standards.record import Line, Quantity


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


def resultant(case: DemandCase) -> float:
    """Force (N) across the axis of the pin."""
    return math.hypot(case.N, case.Hx)


def joint_of(bearing: PinBearing, basis: Basis) -> PinJoint:
    """The joint of pin and lugs as the rules of the families see it."""
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
    worst = max(cases, key=resultant)
    force = resultant(worst)
    match basis.family:
        case "eurocode":
            rules_ = (en_pins.shear, en_pins.bearing, en_pins.bending, en_pins.combined)
            lines = [placed(rule(values, force, joint), "pin", worst.name) for rule in rules_]
            if basis.options.get("pin.replaceable", True) and service:
                worst = max(service, key=resultant)
                lines += [
                    placed(rule(values, resultant(worst), joint), "pin", worst.name)
                    for rule in (en_pins.service_bearing, en_pins.service_bending, en_pins.contact)
                ]
        case "aashto":
            lines = [
                placed(rule(values, force, joint), "pin", worst.name)
                for rule in (aashto_pins.combined, aashto_pins.bearing)
            ]
            if service:
                worst = max(service, key=resultant)
                pressure = resultant(worst) / 2.0 / (joint.diameter * joint.thinnest)
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


def lug_stress_lines(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> list[Line]:
    """Stress at the root of lower and upper lugs, each in the case that governs."""
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


def lug_weld_lines(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> list[Line]:
    """Fillets at the root of lower and upper lugs, each in the case that governs."""
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


def rotation_line(bearing: PinBearing, demand: Demand) -> Line:
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


def own_parts(bearing: PinBearing) -> tuple[Part, ...]:
    """Pin and lugs as a shop makes them."""
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
