"""A curved face that rolls on a plate: radius, chord, keys and block of a rocker. SI units.

Shared by line rocker, point rocker and rocker on nest. The face rolls: turning the girder by theta
moves the contact by R theta (kinematics). Keys carry all horizontal force: no friction is counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from bedstone.bearings import hertz
from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.roller_basis import (
    Cases,
    Chosen,
    Pair,
    derived,
    fault,
    hertz_line,
    line_contact,
    line_resistance,
    pair,
    stress,
    usual_length,
)
from bedstone.bearings.roller_details import Push
from bedstone.mechanics.frame import Floats
from bedstone.standards.aashto import rollers as aashto_rollers
from bedstone.standards.eurocode import movements
from bedstone.standards.eurocode import rollers as en_rollers
from bedstone.standards.fasteners import Fastener
from bedstone.standards.record import Line, Quantity, weakest

Shape = Literal["line", "point"]

#: Pintles of a rocker.
_PINS = 2


@dataclass(frozen=True)
class Rocker:
    """A block with a curved upper face below a flat plate; m.

    `radius`; `length` of the face along y' (the chord for a point rocker); `chord` along x';
    `height` of the block, the face included; `pin`: diameter of its two pintles beside the contact;
    `strip`: plate of the block's steel above it (0: none).
    """

    shape: Shape
    radius: float
    length: float
    chord: float
    height: float
    pin: float
    strip: float
    steels: Pair

    @property
    def carrying(self) -> float:
        """Length (m) in contact: pintles of a line rocker stand in it."""
        return self.length - _PINS * (self.pin + 2.0 * usual_length("clearance"))


def rocker_steels(basis: Basis, size: float, strip_steel: str) -> tuple[Pair, bool]:
    """Block and plate in contact, and whether a strip of the block's steel lies between.

    EN 1337-6 wants both surfaces alike, as EN 1337-4 does; the other families take the weaker.
    """
    name = materials.default("rocker", basis)
    track = name if basis.family == "eurocode" else strip_steel
    return pair(basis, name, track, size), track != strip_steel


def design_rotation(basis: Basis, rotation: float, radius: float) -> Line:
    """Rotation (rad) that the face must follow: with the increase of the family."""
    if basis.family == "eurocode":
        return placed(movements.increased_rotation(basis.values, rotation, radius), "rocker")
    if basis.family == "aashto":
        return placed(aashto_rollers.design_rotation(basis.values, rotation), "rocker")
    return derived(
        "Design rotation",
        "theta",
        (),
        Quantity("theta_d", abs(rotation), "rad"),
        note="no increase is known for IRC:83 (Part I)",
        part="rocker",
    )


def across(rocker: Rocker, cases: Cases, basis: Basis) -> Floats:
    """Eccentricity along the contact line (cases,) m: moment, and the least of EN 1337-1, 5.5."""
    e = np.abs(cases.Mx) / cases.N
    if basis.family == "eurocode" and rocker.shape == "line":
        share = basis.values.number("movements.least.eccentricity_share")
        e = np.maximum(e, share * rocker.length)
    return e


def needed_radius(
    basis: Basis,
    chosen: Chosen,
    cases: Cases,
    shape: Shape,
    length: float,
    lost: float,
    steels: Pair,
) -> float | None:
    """Least radius (m), a multiple of 10 mm, that passes the contact rule; None: there is none."""
    if shape == "point":
        return _point_radius(basis, float(cases.N.max()), steels)
    face = Rocker(shape, 1.0, length, 1.0, 1.0, 0.0, 0.0, steels)
    peak = float(hertz.line_load(cases.N, length - lost, across(face, cases, basis)).max())
    if not math.isfinite(peak):
        return None
    # The resistance rises with the radius; only the older AASHTO rule is not proportional.
    most = round(usual_length("rocker", "radius") * 100)
    for step in range(2, most + 1):
        radius = step / 100.0
        if line_resistance(basis, chosen, 2.0 * radius, steels, 1, rocker=True) >= peak:
            return radius
    return None


def point_line(basis: Basis, load: float, radius: float, steels: Pair) -> Line | None:
    """The family's rule of a point contact; None where no rule is known (IRC:83-I)."""
    match basis.family:
        case "eurocode":
            line = en_rollers.point_contact(basis.values, load, radius, steels.fu, steels.E)
        case "aashto":
            line = aashto_rollers.point_contact(
                basis.values, load, 2.0 * radius, steels.fy, steels.E
            )
        case "irc":
            return None
    return replace(line, basis=weakest(line.basis, steels.basis))


def _point_radius(basis: Basis, load: float, steels: Pair) -> float | None:
    unit = point_line(basis, load, 1.0, steels)
    if unit is None or unit.utilisation is None:
        return None
    # The resistance rises with R^2.
    radius = series.length(math.sqrt(unit.utilisation))
    return radius if radius <= 6.0 else None


def contact_lines(
    rocker: Rocker, cases: Cases, basis: Basis, chosen: Chosen, rotation: float
) -> list[Line]:
    """Contact rule with Hertz beside it, scope and limit of rotation.

    `rotation` (rad): the largest calculated one about y' (any axis for a point rocker).
    """
    lines: list[Line] = []
    if rocker.shape == "line":
        e = across(rocker, cases, basis)
        peaks = hertz.line_load(cases.N, rocker.carrying, e)
        worst = int(np.argmax(peaks))
        case = cases.cases[worst]
        peak = float(peaks[worst])
        if not math.isfinite(peak):
            half = rocker.length / 2.0
            return [
                derived(
                    "Force within the rocker",
                    "e < L/2",
                    (Quantity("L", rocker.length, "m"),),
                    Quantity("e", float(e[worst]), "m"),
                    limit=Quantity("L/2", half, "m"),
                    utilisation=math.inf,
                    part="rocker",
                    case=case.name,
                )
            ]
        rule = line_contact(basis, chosen, peak, 2.0 * rocker.radius, rocker.steels, 1, rocker=True)
        lines += [
            placed(rule, "rocker", case.name),
            hertz_line(peak, rocker.radius, rocker.steels, "rocker", case.name),
        ]
        half_width = hertz.line_contact(
            peak, rocker.radius, rocker.steels.contact_modulus
        ).half_width
    else:
        worst = int(np.argmax(cases.N))
        case = cases.cases[worst]
        load = float(cases.N[worst])
        found = point_line(basis, load, rocker.radius, rocker.steels)
        if found is not None:
            lines.append(placed(found, "rocker", case.name))
        contact = hertz.point_contact(load, rocker.radius, rocker.steels.contact_modulus)
        half_width = contact.half_width
        lines.append(
            derived(
                "Hertz pressure beside the rule",
                "p0 = 3 P/(2 pi a^2), a = (3 P R/(4 E*))^(1/3)",
                (
                    Quantity("P", load, "N"),
                    Quantity("R", rocker.radius, "m"),
                    Quantity("E*", rocker.steels.contact_modulus, "Pa"),
                    Quantity("a", contact.half_width, "m"),
                ),
                Quantity("p0", contact.peak, "Pa"),
                note=f"p0 is {contact.peak / rocker.steels.fy:.2f} fy, "
                f"{contact.peak / rocker.steels.fu:.2f} fu",
                source="Johnson, Contact Mechanics, ch. 4",
                part="rocker",
                case=case.name,
                provenance=rocker.steels.basis,
            )
        )
    turned = design_rotation(basis, rotation, rocker.radius)
    reach = rocker.radius * turned.value + half_width
    edge = rocker.radius * math.asin(min(1.0, rocker.chord / (2.0 * rocker.radius)))
    lines += [
        turned,
        derived(
            "Contact on the curved face",
            "R theta_d + a <= R asin(w/(2 R))",
            (
                Quantity("R", rocker.radius, "m"),
                Quantity("theta_d", turned.value, "rad"),
                Quantity("a", half_width, "m"),
                Quantity("w", rocker.chord, "m"),
            ),
            Quantity("reach", reach, "m"),
            limit=Quantity("arc", edge, "m"),
            utilisation=reach / edge,
            source="own geometry",
            part="rocker",
            note="beyond it the plates would touch at the edge of the block",
        ),
    ]
    return lines


def chord_for(basis: Basis, radius: float, rotation: float, half_width: float) -> float:
    """Chord (m) of the curved face: contact at its extreme and solid steel beyond, each side."""
    turned = design_rotation(basis, rotation, radius).value
    reach = radius * turned + half_width + usual_length("rocker", "edge")
    angle = min(reach / radius, math.pi / 2.0)
    return max(series.length(2.0 * radius * math.sin(angle)), usual_length("rocker", "least_width"))


def shear_push(cases: Cases, along: Floats) -> Push:
    """Largest horizontal force (N) on the keys: `along` (cases,) and Hy together."""
    force = np.hypot(along, cases.Hy)
    worst = int(np.argmax(force))
    case = cases.cases[worst]
    return Push(float(force[worst]), case.limit_state, case.name)


def size_pin(push: Push, basis: Basis) -> float:
    """Diameter (m) of the two pintles (the largest of the series if none passes)."""
    sizes = series.sizes("pins", basis.family)
    name = materials.default("pin", basis)
    for diameter in sizes:
        if max(line.utilisation or 0.0 for line in pin_lines(diameter, push, basis, name)) <= 1.0:
            return diameter
    return sizes[-1]


def pin_lines(diameter: float, push: Push, basis: Basis, name: str) -> list[Line]:
    """Shear of a pintle, and its pressure on the plate over half its diameter in depth.

    Both pintles carry alike; the force stands at mid-depth (common practice, no source).
    """
    steel = materials.steel(name, diameter, basis)
    each = push.force / _PINS
    shear = rules(basis.family, push.limit_state).dowel(
        basis.values,
        each,
        Fastener(diameter, math.pi / 4.0 * diameter**2, steel.fy, steel.fu),
    )
    plate = materials.steel(materials.default("plate", basis), diameter, basis)
    depth = diameter / 2.0
    return [
        placed(shear, "rocker: pintle", push.case, steel.basis),
        stress(
            basis,
            push.limit_state,
            "Pressure of the pintle",
            "sigma = V/(d d/2)",
            (Quantity("V", each, "N"), Quantity("d", diameter, "m")),
            each / (diameter * depth),
            min(steel.fy, plate.fy),
            provenance=weakest(steel.basis, plate.basis),
            part="rocker: pintle",
            case=push.case,
            note="own statics; the pintle stands half its diameter in the plate",
        ),
    ]


def block_line(rocker: Rocker, cases: Cases, along: Floats, shift: Floats, basis: Basis) -> Line:
    """Stress at the foot of the block: N/A + Mx/Wx + My/Wy, Mx and My with the block's height.

    `along` (cases,) N: force along x'; `shift` (cases,) m: rolling of the contact.
    """
    if rocker.shape == "line":
        area, wx = rocker.chord * rocker.length, rocker.chord**2 * rocker.length / 6.0
        wy = rocker.chord * rocker.length**2 / 6.0
    else:
        area = math.pi / 4.0 * rocker.chord**2
        wx = wy = math.pi / 32.0 * rocker.chord**3
    m_x = np.abs(along) * rocker.height + cases.N * shift
    m_y = np.abs(cases.Hy) * rocker.height + cases.N * across(rocker, cases, basis)
    found = cases.N / area + m_x / wx + m_y / wy
    worst = int(np.argmax(found))
    case = cases.cases[worst]
    steel = materials.steel(rocker.steels.roller, min(rocker.chord, rocker.height), basis)
    return stress(
        basis,
        case.limit_state,
        "Foot of the rocker",
        "sigma = N/A + M_x/W_x + M_y/W_y",
        (
            Quantity("N", case.N, "N"),
            Quantity("M_x", float(m_x[worst]), "N*m"),
            Quantity("M_y", float(m_y[worst]), "N*m"),
            Quantity("A", area, "m**2"),
        ),
        float(found[worst]),
        steel.fy,
        provenance=steel.basis,
        part="rocker",
        case=case.name,
        note="own statics, as in published rocker designs (Ellobody 2014, section 4.2)",
    )


def block_height(chord: float, pin: float) -> float:
    """Height (m) of the block: half its chord for the spread of the load, room for the pintles."""
    return series.length(max(chord / 2.0, 1.5 * pin, usual_length("rocker", "least_width") / 2.0))


def refuse_impossible(rocker: Rocker) -> None:
    """Raise `InputError` for sizes that no rocker can have."""
    if not 0.0 < rocker.chord <= 2.0 * rocker.radius * (1.0 + 1e-9):
        raise fault(
            "chord",
            f"{rocker.chord * 1e3:g} mm",
            f"above 0, at most twice the radius {rocker.radius * 1e3:g} mm",
        )
    rise = rocker.radius - math.sqrt(max(0.0, rocker.radius**2 - rocker.chord**2 / 4.0))
    if rocker.height < rise:
        raise fault(
            "block_height",
            f"{rocker.height * 1e3:g} mm",
            f"at least the rise of the curved face {rise * 1e3:.1f} mm",
        )
    if rocker.shape == "line" and rocker.carrying <= 0.0:
        raise fault("length", f"{rocker.length * 1e3:g} mm", "more than what the two pintles take")


def rocker_parts(rocker: Rocker, pin_steel: str, plate_length: float) -> list[Part]:
    """Block, pintles and the strip above."""
    density = materials.STEEL_DENSITY
    if rocker.shape == "line":
        size = (
            f"block {_mm(rocker.chord)} x {_mm(rocker.length)} x {_mm(rocker.height)}, upper face "
            f"turned to R {_mm(rocker.radius)}"
        )
        volume = rocker.chord * rocker.length * rocker.height
    else:
        size = (
            f"round block {_mm(rocker.chord)} dia. x {_mm(rocker.height)}, upper face a sphere of "
            f"R {_mm(rocker.radius)}"
        )
        volume = math.pi / 4.0 * rocker.chord**2 * rocker.height
    length = 1.5 * rocker.pin
    parts = [
        Part(
            "rocker",
            rocker.steels.roller,
            size,
            {
                "radius": rocker.radius,
                "length": rocker.length,
                "chord": rocker.chord,
                "height": rocker.height,
            },
            volume * density,
            function="turns by rolling on its curved face",
        ),
        Part(
            "pintle",
            pin_steel,
            f"pin {_mm(rocker.pin)} dia. x {_mm(length)}, upper end rounded",
            {"diameter": rocker.pin, "length": length},
            math.pi / 4.0 * rocker.pin**2 * length * density,
            number=_PINS,
            function="passes the horizontal force, free to turn",
        ),
    ]
    if rocker.strip:
        width = rocker.length
        parts.append(
            Part(
                "contact strip",
                rocker.steels.plate,
                f"strip {_mm(plate_length)} x {_mm(width)} x {_mm(rocker.strip)}",
                {"length": plate_length, "width": width, "thickness": rocker.strip},
                plate_length * width * rocker.strip * density,
                function="gives the rocker a plate of its own strength and hardness",
            )
        )
    return parts


def _mm(value: float) -> str:
    return f"{value * 1e3:.4g}"
