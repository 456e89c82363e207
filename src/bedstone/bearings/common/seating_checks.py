"""The checks of an outer plate, one function a rule; None where the rule does not apply."""

from __future__ import annotations

import math
from dataclasses import replace

from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating_plate import (
    Connected,
    Place,
    Seating,
    SeatingCase,
    answer,
    bending_moment,
    pressed_width,
)
from bedstone.errors import Fault, InputError
from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.fasteners import Fastener, Fillet, Ply
from bedstone.standards.record import Line, Quantity

FLANGE = 0.02  # m; common practice, no source
DOWEL_EMBEDMENT = 4.0  # length of a dowel in the concrete in diameters; common practice, no source


def bending(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Bending of the plate under pressure below it and pull of its bolts."""
    steel = materials.steel(seating.steel, seating.thickness, at.basis)
    moment = bending_moment(seating, case, at)
    line = rules(at.basis.family, case.limit_state).bending(
        at.basis.values, moment, seating.thickness, steel.fy
    )
    return placed(line, at.part, case.name, steel.basis)


def concrete(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Pressure on the concrete or grout; None where nothing is pressed."""
    held = answer(seating, case, seating.width)
    if held.N <= 0.0:
        return None
    footprint = Footprint(seating.length, seating.width, held.ex, held.ey, at.plinth)
    line = rules(at.basis.family, case.limit_state).bearing(
        at.basis.values,
        held.N,
        footprint,
        Bed(at.fck, occasional=rare(case)),
    )
    return placed(line, at.part, case.name)


def _grip(case: SeatingCase, at: Place) -> Line | None:
    grip = rules(at.basis.family, case.limit_state).grip
    if grip is None:
        return None
    return grip(
        at.basis.values,
        case.N,
        "concrete",
        dynamic=at.use == "rail" or rare(case),
    )


def left_to_hold(case: SeatingCase, at: Place) -> float:
    """Horizontal force (N) that friction does not hold."""
    key = (case.limit_state, case.N, case.Hx, case.Hy)
    if key not in at.left:
        line = _grip(case, at)
        grip = line.value if line is not None else 0.0
        at.left[key] = max(0.0, math.hypot(case.Hx, case.Hy) - grip)
    return at.left[key]


def sliding(_: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Friction of the joint against the whole H, where the family counts it: for the reader.

    No limit is set: anchors and dowels hold the rest, and are checked for it.
    """
    line = _grip(case, at)
    if line is None:
        return None
    force = math.hypot(case.Hx, case.Hy)
    note = (
        f"anchors or dowels hold the rest of H = {force / 1e3:.1f} kN"
        if (force > line.value)
        else f"H = {force / 1e3:.1f} kN is held by friction"
    )
    return placed(replace(line, note=note), at.part, case.name)


def anchor(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Shear and pull of the most loaded anchor; None where none is there nor needed."""
    pull = answer(seating, case, seating.width).bolt
    shear = left_to_hold(case, at) if not seating.dowels else 0.0
    if not seating.anchors:
        if pull <= 0.0 and (shear <= 0.0 or seating.dowels):
            return None
        return _missing("anchor bolts", shear, pull, at, case)
    line = rules(at.basis.family, case.limit_state).anchor(
        at.basis.values,
        shear / seating.anchors,
        pull,
        _fastener(seating),
    )
    return placed(line, f"{at.part}: anchor bolt", case.name, "memory")


def dowel(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Shear of a dowel, which all take alike; None without dowels."""
    if not seating.dowels:
        return None
    steel = materials.steel(seating.steel, seating.dowel, at.basis)
    line = rules(at.basis.family, case.limit_state).dowel(
        at.basis.values,
        left_to_hold(case, at) / seating.dowels,
        Fastener(seating.dowel, math.pi / 4.0 * seating.dowel**2, steel.fy, steel.fu),
    )
    return placed(line, f"{at.part}: dowel", case.name, steel.basis)


def dowel_pressure(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Concrete before the dowel: the force enters at its top, so half its length answers.

    Common practice, no source; the strength of the concrete is that of the bearing rule, unspread.
    """
    if not seating.dowels:
        return None
    length = DOWEL_EMBEDMENT * seating.dowel
    line = rules(at.basis.family, case.limit_state).bearing(
        at.basis.values,
        left_to_hold(case, at) / seating.dowels,
        Footprint(seating.dowel, length / 2.0),
        Bed(at.fck, occasional=rare(case)),
    )
    line = replace(
        line,
        title="Concrete before the dowel",
        note="upper half of the dowel's length answers: common practice, no source",
    )
    return placed(line, f"{at.part}: dowel", case.name)


def _fastener(seating: Seating) -> Fastener:
    bolt, grade = series.bolt(seating.anchor), series.grade(seating.anchor_grade)
    return Fastener(bolt.diameter, bolt.stress_area, grade.fy, grade.fu)


def _girder_steel(seating: Seating, at: Place) -> materials.Steel:
    flange = at.length("girder.flange", FLANGE)
    return materials.steel(at.option("girder.steel", seating.steel), flange, at.basis)


def weld_force(seating: Seating, case: SeatingCase, at: Place) -> float:
    """Resultant force (N/m) in the two welds along x' of the plate (statics)."""
    b = pressed_width(seating, at)
    length = seating.length - 2.0 * seating.weld
    along, across = abs(case.Hx) / (2.0 * length), abs(case.Hy) / (2.0 * length)
    tilt = abs(case.N * case.ex + case.overturning_x) * 3.0 / length**2 + abs(
        case.N * case.ey + case.overturning_y
    ) / (b * length)
    mean = case.N / (2.0 * length)
    machined = bool(at.basis.options.get("sole.machined", True))
    up = max(0.0, tilt - mean) if machined else abs(mean) + tilt
    return math.sqrt(along**2 + across**2 + up**2)


def weld(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """The two welds to the girder, by the weaker of plate and girder."""
    plate = materials.steel(seating.steel, seating.thickness, at.basis)
    girder = _girder_steel(seating, at)
    weaker = min(plate, girder, key=lambda steel: steel.fu)
    line = rules(at.basis.family, case.limit_state).fillet(
        at.basis.values,
        weld_force(seating, case, at),
        Fillet(
            seating.weld,
            weaker.fu,
            weaker.name,
            site=bool(at.basis.options.get("sole.site_weld", False)),
        ),
    )
    return placed(line, f"{at.part}: weld", case.name, weaker.basis)


def bolt(seating: Seating, case: SeatingCase, at: Place) -> Line | None:
    """Shear and pull of the most loaded fitted bolt to the girder."""
    pull = answer(seating, case, pressed_width(seating, at)).bolt
    shear = math.hypot(case.Hx, case.Hy)
    if not seating.anchors:
        return _missing("a weld or fitted bolts", shear, pull, at, case)
    girder = _girder_steel(seating, at)
    line = rules(at.basis.family, case.limit_state).bolt(
        at.basis.values,
        shear / seating.anchors,
        pull,
        _fastener(seating),
        Ply(min(seating.thickness, at.length("girder.flange", FLANGE)), girder.fy, girder.fu),
    )
    return placed(line, f"{at.part}: fitted bolt", case.name, girder.basis, "memory")


def _missing(what: str, shear: float, pull: float, at: Place, case: SeatingCase) -> Line:
    """The line of a force that nothing holds: utilisation infinite."""
    return Line(
        title=f"No {what}",
        standard="statics",
        edition="",
        clause="",
        formula="H and pull that friction does not hold need a fixing",
        inputs=(Quantity("H", shear, "N"), Quantity("T", pull, "N")),
        result=Quantity("force", math.hypot(shear, pull), "N"),
        basis="print",
        limit=Quantity("held", 0.0, "N"),
        utilisation=math.inf if math.hypot(shear, pull) > 0.0 else 0.0,
        part=at.part,
        case=case.name,
    )


def within_plinth(seating: Seating, plinth: tuple[float, float], part: str) -> Line:
    """The plate stays within the concrete below it; plinth m, m."""
    use = max(seating.length / plinth[0], seating.width / plinth[1])
    return Line(
        title="Plate within the concrete below",
        standard="geometry",
        edition="",
        clause="",
        formula="max(a/A, b/B) <= 1",
        inputs=(
            Quantity("a", seating.length, "m"),
            Quantity("b", seating.width, "m"),
            Quantity("A", plinth[0], "m"),
            Quantity("B", plinth[1], "m"),
        ),
        result=Quantity("use", use, ""),
        basis="print",
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        part=part,
    )


def rare(case: SeatingCase) -> bool:
    """Whether the case is seismic or accidental."""
    return case.limit_state.startswith(("ULS seismic", "ULS accidental"))


def refuse_impossible(seating: Seating, connected: Connected) -> None:
    """Raise `InputError` with a fault for every size that cannot be."""
    faults = [
        Fault("bearing", name, f"{value * 1e3:g} mm", "more than 0 mm")
        for name, value in (
            ("length", seating.length),
            ("width", seating.width),
            ("thickness", seating.thickness),
        )
        if not value > 0.0
    ]
    faults += [
        Fault("bearing", name, f"{value:g}", "0 or more")
        for name, value in (
            ("anchors", seating.anchors),
            ("dowels", seating.dowels),
            ("weld", seating.weld),
            ("grout", seating.grout),
        )
        if value < 0
    ]
    if seating.anchors == 1 or seating.anchors % 2:
        faults.append(Fault("bearing", "anchors", f"{seating.anchors}", "0 or an even number"))
    if seating.dowels > 0 and not seating.dowel > 0.0:
        faults.append(Fault("bearing", "dowel", f"{seating.dowel * 1e3:g} mm", "more than 0 mm"))
    if connected == "steel" and 0.0 < seating.length <= 2.0 * seating.weld:
        faults.append(
            Fault("bearing", "weld", f"{seating.weld * 1e3:g} mm", "less than half the length")
        )
    if faults:
        raise InputError(faults)
