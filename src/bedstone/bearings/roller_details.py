"""Details of rollers: guide ribs or collars, link bars, tooth bars, stops. SI units.

Each detail is a frozen record of sizes with a function that sizes it, one that checks it and one
that lists its parts. Forces come from own statics; what steel may carry from the family's rules.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bedstone.bearings import rolling
from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.roller_basis import Chosen, derived, fault, stress, usual, usual_length
from bedstone.errors import BedstoneError
from bedstone.standards.fasteners import Fastener, Fillet
from bedstone.standards.record import Line, Quantity

GuideForm = Literal["grooves", "flanges"]

#: Step of small sizes (m).
_STEP = 0.005


@dataclass(frozen=True)
class Push:
    """A force (N) on a detail, with the case that brings it."""

    force: float
    limit_state: str
    case: str


# ------------------------------------------------------------------ guides
@dataclass(frozen=True)
class Guide:
    """What holds rollers across: a rib on each plate in a groove of the roller, or collars; m.

    `width` and `height` of the rib (thickness and projection of a collar); `clearance` each side;
    `depth` of the groove (0 for collars); `root`: how far the rib stands in below the contact (a
    strip beside it); `weld`: throat of its two fillet welds (0 for collars).
    """

    form: GuideForm
    width: float
    height: float
    clearance: float
    depth: float
    root: float
    weld: float

    @property
    def lost(self) -> float:
        """Length of the roller (m) that the groove takes from its contact."""
        return self.width + 2.0 * self.clearance if self.form == "grooves" else 0.0


def guide_form(chosen: Chosen) -> GuideForm:
    """How rollers are guided: option ``roller.guide``."""
    return "flanges" if chosen.word("guide", "grooves", "flanges") == "flanges" else "grooves"


def size_guide(
    form: GuideForm,
    diameter: float,
    clearance: float,
    root: float,
    push: Push,
    basis: Basis,
    steel: str,
) -> Guide:
    """The narrowest rib or collar that carries the push across (the widest tried if none does)."""
    height = max(usual_length("rib", "least_height"), usual("rib", "share") * diameter)
    height = series.length(min(height, 0.3 * diameter), _STEP)
    bottom = usual_length("rib", "bottom")
    depth = height + bottom if form == "grooves" else 0.0
    width = usual_length("rib", "least_width")
    throats = series.sizes("welds", basis.family)
    guide = Guide(form, width, height, clearance, depth, root, throats[0])
    while width <= diameter / 2.0 + 1e-9:
        wider = round(width + _STEP, 4)
        for throat in throats if form == "grooves" else (0.0,):
            guide = Guide(form, width, height, clearance, depth, root, throat)
            strength = guide_lines(guide, diameter, push, basis, steel)
            failing = {line.part for line in strength if (line.utilisation or 0.0) > 1.0}
            if not failing:
                return guide
            if not any("weld" in part for part in failing):
                break  # a thicker weld would not help
            if any("weld" not in part for part in failing) and wider <= diameter / 2.0 + 1e-9:
                break  # nor alone: the widest alone is wanted with its weld, as the best there is
        width = wider
    return guide


def guide_lines(guide: Guide, diameter: float, push: Push, basis: Basis, steel: str) -> list[Line]:
    """Checks of one rib or collar under the `push` across at one roller.

    The rib bears on the roller's side over a circular segment; its root works over the chord of
    that segment, spread at 45 degrees. Raises `InputError` for a groove that reaches the axis.
    """
    radius = diameter / 2.0
    if guide.depth >= radius:
        raise fault(
            "groove depth", f"{guide.depth * 1e3:g} mm", f"less than the radius {radius * 1e3:g} mm"
        )
    outer = radius if guide.form == "grooves" else radius + guide.height
    try:
        area, chord = rolling.rib_contact(outer, guide.height)
    except BedstoneError as error:
        raise fault("rib height", f"{guide.height * 1e3:g} mm", "less than the radius") from error
    one = materials.steel(steel, max(guide.width, _STEP), basis)
    where = "guide rib" if guide.form == "grooves" else "collar"
    lever = guide.height + guide.root
    run = chord + 2.0 * lever
    H = push.force
    bent = 6.0 * H * lever / (run * guide.width**2)
    sheared = H / (run * guide.width)
    found = [
        stress(
            basis,
            push.limit_state,
            "Contact of rib and roller",
            "sigma = H/A, A segment of the roller's side beside the rib",
            (Quantity("H", H, "N"), Quantity("A", area, "m**2")),
            H / area,
            one.fy,
            provenance=one.basis,
            part=where,
            case=push.case,
            note="own statics",
        ),
        stress(
            basis,
            push.limit_state,
            "Root of the rib" if guide.form == "grooves" else "Root of the collar",
            "sqrt(sigma^2 + 3 tau^2), sigma = 6 H h/(l b^2), tau = H/(l b)",
            (
                Quantity("H", H, "N"),
                Quantity("h", lever, "m"),
                Quantity("l", run, "m"),
                Quantity("b", guide.width, "m"),
            ),
            math.sqrt(bent**2 + 3.0 * sheared**2),
            one.fy,
            provenance=one.basis,
            part=where,
            case=push.case,
            note="own statics; the force at the tip",
        ),
    ]
    if guide.form == "grooves":
        net = diameter - 2.0 * guide.depth
        # Ribs above and below: half of the couple H D meets at the groove (own statics).
        tension = 16.0 * H * diameter / (math.pi * net**3)
        across = 4.0 * H / (math.pi * net**2)
        found.append(
            stress(
                basis,
                push.limit_state,
                "Net section of the roller at the groove",
                "sqrt(sigma^2 + 3 tau^2), sigma = (H D/2)/(pi d^3/32), tau = H/(pi d^2/4)",
                (
                    Quantity("H", H, "N"),
                    Quantity("D", diameter, "m"),
                    Quantity("d", net, "m"),
                ),
                math.sqrt(tension**2 + 3.0 * across**2),
                one.fy,
                provenance=one.basis,
                part="roller",
                case=push.case,
                note="own statics",
            )
        )
        flow = math.hypot(H / (2.0 * run), H * lever / ((guide.width + guide.weld) * run))
        weld = rules(basis.family, push.limit_state).fillet(
            basis.values, flow, Fillet(guide.weld, one.fu, one.name)
        )
        found.append(placed(weld, f"{where}: weld", push.case, one.basis))
    return found


def guide_parts(
    guide: Guide, diameter: float, plate_length: float, rollers: int, steel: str
) -> list[Part]:
    """Ribs of both plates, or the collars of all rollers beyond their round bar."""
    if guide.form == "grooves":
        height = guide.height + guide.root
        return [
            Part(
                "guide rib",
                steel,
                f"bar {_mm(guide.width)} x {_mm(height)} x {_mm(plate_length)}, fillet welds with "
                f"throat {_mm(guide.weld)} on both sides",
                {"length": plate_length, "width": guide.width, "height": height},
                plate_length * guide.width * height * materials.STEEL_DENSITY,
                number=2,
                function=f"holds the rollers across, {_mm(guide.clearance)} mm clear each side",
            )
        ]
    outer = diameter / 2.0 + guide.height
    ring = math.pi * (outer**2 - diameter**2 / 4.0) * guide.width
    return [
        Part(
            "collar",
            steel,
            f"ring {_mm(2 * outer)} dia. x {_mm(guide.width)}, turned from the roller",
            {"diameter": 2 * outer, "width": guide.width},
            ring * materials.STEEL_DENSITY,
            number=2 * rollers,
            function=f"holds the rollers across, {_mm(guide.clearance)} mm clear each side",
        )
    ]


# ------------------------------------------------------------------ link bars and teeth
@dataclass(frozen=True)
class LinkBars:
    """Two bars that keep the rollers of a nest in step; m. `pin`: diameter of their pins."""

    depth: float
    thickness: float
    pin: float


def size_links(diameter: float) -> LinkBars:
    """Link bars from the diameter of the rollers (common practice, no source)."""
    depth = max(usual_length("link", "least_depth"), usual("link", "depth") * diameter)
    pin = max(usual_length("link", "least_pin"), usual("link", "pin") * diameter)
    return LinkBars(
        series.length(depth, _STEP),
        usual_length("link", "least_thickness"),
        series.length(pin, 0.002),
    )


def link_lines(links: LinkBars, push: Push, basis: Basis, steel: str) -> list[Line]:
    """Bar and pin under the force that drags a roller which does not roll by itself.

    `push`: rolling resistance mu N of the most loaded roller; one bar alone takes it, since
    a roller out of square leans on one end (own assumption, on the safe side).
    """
    one = materials.steel(steel, links.thickness, basis)
    if not 0.0 < links.pin < links.depth:
        raise fault("link pin", f"{links.pin * 1e3:g} mm", "above 0 and less than the bar's depth")
    net = (links.depth - links.pin) * links.thickness
    force = Quantity("F", push.force, "N")

    def bar(title: str, formula: str, inputs: tuple[Quantity, ...], found: float) -> Line:
        return stress(
            basis, push.limit_state, title, formula, (force, *inputs), found, one.fy,
            provenance=one.basis, part="link bar", case=push.case,
            note="F = mu N of the most loaded roller, on one bar: own assumption",
        )  # fmt: skip

    pin = rules(basis.family, push.limit_state).dowel(
        basis.values,
        push.force,
        Fastener(links.pin, math.pi / 4.0 * links.pin**2, one.fy, one.fu),
    )
    return [
        bar("Net section of the link bar", "sigma = F/((h - d) t)",
            (Quantity("h", links.depth, "m"), Quantity("d", links.pin, "m"),
             Quantity("t", links.thickness, "m")), push.force / net),
        bar("Pressure of the pin in the link bar", "sigma = F/(d t)",
            (Quantity("d", links.pin, "m"), Quantity("t", links.thickness, "m")),
            push.force / (links.pin * links.thickness)),
        placed(pin, "link bar: pin", push.case, one.basis),
    ]  # fmt: skip


def link_parts(links: LinkBars, rollers: int, spacing: float, steel: str) -> list[Part]:
    """Two bars and their pins, one at each end of each roller."""
    length = (rollers - 1) * spacing + 2.0 * links.depth
    pin = links.thickness + 3.0 * links.pin
    return [
        Part(
            "link bar",
            steel,
            f"bar {_mm(links.depth)} x {_mm(links.thickness)} x {_mm(length)}",
            {"length": length, "depth": links.depth, "thickness": links.thickness},
            length * links.depth * links.thickness * materials.STEEL_DENSITY,
            number=2,
            function="keeps the rollers in step",
        ),
        Part(
            "link pin",
            steel,
            f"pin {_mm(links.pin)} dia. x {_mm(pin)}",
            {"diameter": links.pin, "length": pin},
            math.pi / 4.0 * links.pin**2 * pin * materials.STEEL_DENSITY,
            number=2 * rollers,
            function="joins link bar and roller",
        ),
    ]


@dataclass(frozen=True)
class Teeth:
    """Tooth bars at the ends of the outer rollers, one tooth above and one below; m.

    The pitch circle is the roller itself, so that teeth and roller turn alike (EN 1337-4).
    """

    height: float
    width: float
    thickness: float


def size_teeth(diameter: float, angle: float) -> Teeth:
    """Tooth bars from the diameter; high enough to stay in their grooves at the rolling `angle`."""
    radius = diameter / 2.0
    height = max(usual_length("tooth", "least_depth"), usual("tooth", "depth") * diameter)
    # A tip at R + h keeps below the plate's surface while (R + h) cos(angle) > R.
    engaged = 1.1 * radius * (1.0 / math.cos(min(angle, 1.2)) - 1.0)
    width = max(usual_length("tooth", "least_width"), usual("tooth", "width") * diameter)
    return Teeth(
        series.length(max(height, engaged), _STEP),
        series.length(width, _STEP),
        usual_length("tooth", "thickness"),
    )


def teeth_lines(
    teeth: Teeth, diameter: float, angle: float, push: Push, basis: Basis, steel: str
) -> list[Line]:
    """Root of a tooth that makes a stuck roller roll, and how far it turns before it leaves."""
    one = materials.steel(steel, teeth.thickness, basis)
    bent = 6.0 * push.force * teeth.height / (teeth.thickness * teeth.width**2)
    sheared = push.force / (teeth.thickness * teeth.width)
    limit = math.acos(diameter / (diameter + 2.0 * teeth.height))
    return [
        stress(
            basis, push.limit_state, "Root of the tooth",
            "sqrt(sigma^2 + 3 tau^2), sigma = 6 F h/(t b^2), tau = F/(t b)",
            (Quantity("F", push.force, "N"), Quantity("h", teeth.height, "m"),
             Quantity("b", teeth.width, "m"), Quantity("t", teeth.thickness, "m")),
            math.sqrt(bent**2 + 3.0 * sheared**2), one.fy,
            provenance=one.basis, part="tooth bar", case=push.case,
            note="F = mu N of the most loaded roller, on one tooth: own assumption",
        ),
        derived(
            "Teeth in their grooves", "phi <= acos(R/(R + h))",
            (Quantity("R", diameter / 2.0, "m"), Quantity("h", teeth.height, "m")),
            Quantity("phi", angle, "rad"), limit=Quantity("phi", limit, "rad"),
            utilisation=angle / limit, part="tooth bar", source="own geometry",
            note="pitch circle of the teeth = diameter of the roller (EN 1337-4)",
        ),
    ]  # fmt: skip


def teeth_parts(teeth: Teeth, diameter: float, rollers: int, steel: str) -> list[Part]:
    """One tooth bar at each end of the outer rollers."""
    length = diameter + 2.0 * teeth.height
    return [
        Part(
            "tooth bar",
            steel,
            f"bar {_mm(teeth.width)} x {_mm(teeth.thickness)} x {_mm(length)}, pitch circle "
            f"{_mm(diameter)}",
            {"length": length, "width": teeth.width, "thickness": teeth.thickness},
            length * teeth.width * teeth.thickness * materials.STEEL_DENSITY,
            number=2 * min(rollers, 2),
            function="keeps the rollers square to the movement, in grooves of both plates",
        )
    ]


# ------------------------------------------------------------------ stops
@dataclass(frozen=True)
class Stop:
    """Bars on the lower plate that end the rollers' travel; m.

    `gap` from the roller's side to the bar at rest; `height` above the contact, `root`: how far the
    bar stands in below it (a strip beside it); `thickness`, `length`; `weld` throat.
    """

    gap: float
    height: float
    root: float
    thickness: float
    length: float
    weld: float


def stop_height(diameter: float) -> float:
    """Height of a stop bar (m) from the roller's radius."""
    return series.length(usual("stop", "height") * diameter / 2.0, _STEP)


def size_stop(
    diameter: float,
    length: float,
    root: float,
    movement: float,
    push: Push,
    basis: Basis,
    steel: str,
) -> Stop:
    """The thinnest stop bar that carries the push (the thickest tried if none does).

    `movement`: what the superstructure must be free to move each way (m); the gap is half of it.
    """
    gap = series.length(rolling.stop_gap(movement), _STEP)
    height = stop_height(diameter)
    stop = Stop(gap, height, root, 0.0, length, 0.0)
    plates = [
        t
        for t in series.sizes("plates", basis.family)
        if t >= usual_length("stop", "least_thickness") - 1e-9
    ]
    for thickness in plates:
        for weld in series.sizes("welds", basis.family):
            stop = Stop(gap, height, root, thickness, length, weld)
            bar, joint = stop_lines(stop, diameter, push, basis, steel)
            if (bar.utilisation or 0.0) > 1.0:
                break
            if (joint.utilisation or 0.0) <= 1.0:
                return stop
        if thickness > diameter:
            break
    return stop


def stop_lines(stop: Stop, diameter: float, push: Push, basis: Basis, steel: str) -> list[Line]:
    """Root and weld of the stop bar, pushed at its upper edge."""
    one = materials.steel(steel, stop.thickness, basis)
    if not 0.0 < stop.height <= diameter:
        raise fault("stop height", f"{stop.height * 1e3:g} mm", "above 0, at most the diameter")
    moment = push.force * (stop.height + stop.root) / stop.length
    root = rules(basis.family, push.limit_state).bending(
        basis.values, moment, stop.thickness, one.fy
    )
    flow = math.hypot(push.force / (2.0 * stop.length), moment / (stop.thickness + stop.weld))
    weld = rules(basis.family, push.limit_state).fillet(
        basis.values, flow, Fillet(stop.weld, one.fu, one.name)
    )
    return [
        placed(root, "stop", push.case, one.basis),
        placed(weld, "stop: weld", push.case, one.basis),
    ]


def stop_force_line(
    push: float, mass: float, speed: float, stiffness: float, provenance_note: str
) -> Line:
    """Force (N) that reaches the abutment when the stops are reached; checks nothing by itself."""
    force = rolling.stop_force(push, mass, speed, stiffness)
    return derived(
        "Force at the stops, passed to the abutment",
        "P = F + sqrt(F^2 + k m v^2)",
        (
            Quantity("F", push, "N"),
            Quantity("k", stiffness, "N/m"),
            Quantity("m", mass, "kg"),
            Quantity("v", speed, "m/s"),
        ),
        Quantity("P", force, "N"),
        note=f"F: {provenance_note}; a push that acts at once counts twice",
        part="stop",
    )


def stop_parts(stop: Stop, steel: str) -> list[Part]:
    """Two bars on the lower plate."""
    height = stop.height + stop.root
    return [
        Part(
            "stop bar",
            steel,
            f"bar {_mm(height)} x {_mm(stop.thickness)} x {_mm(stop.length)}, fillet welds with "
            f"throat {_mm(stop.weld)} on both sides, {_mm(stop.gap)} from the roller",
            {"length": stop.length, "height": height, "thickness": stop.thickness,
             "gap": stop.gap},
            stop.length * height * stop.thickness * materials.STEEL_DENSITY,
            number=2,
            function=f"ends the superstructure's travel at {_mm(2 * stop.gap)} mm each way",
        )
    ]  # fmt: skip


def least_margin(diameter: float, height: float, thickness: float) -> float:
    """Plate (m) beyond the contact line at its extreme: roller's side at the stop, bar, edge."""
    side = math.sqrt(max(0.0, diameter * height - height**2))
    return side + thickness + usual_length("margin")


def _mm(value: float) -> str:
    return f"{value * 1e3:.4g}"
