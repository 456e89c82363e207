"""The checks of a laminated elastomeric bearing by the rules of each family."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from bedstone.bearings.base import Basis, Demand, DemandCase
from bedstone.bearings.common import materials
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.elastomeric_choices import Chosen, Elastomeric
from bedstone.errors import Fault, InputError
from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.aashto import thermal
from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.elastomeric_pad import Loading
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.eurocode import movements, sliding
from bedstone.standards.irc import elastomeric as irc
from bedstone.standards.irc import elastomeric_1987 as irc_1987
from bedstone.standards.record import Line, Quantity

#: EN and IRC of 2015 and later are one set of rules with two sets of numbers.
_SHARED = {"eurocode": en, "irc": irc}


@dataclass(frozen=True)
class Task:
    """A seat's demand with all that decides how it is checked."""

    demand: Demand
    basis: Basis
    chosen: Chosen

    @property
    def cases(self) -> tuple[DemandCase, ...]:
        """Cases of the limit states that the rules of the pad take."""
        service = self.basis.family == "aashto" or self.chosen.working_stress
        return self.demand.service if service else self.demand.strength

    @property
    def strength_cases(self) -> tuple[DemandCase, ...]:
        """Cases for concrete, dowels and slip: strength, or service by working stresses."""
        return self.demand.service if self.chosen.working_stress else self.demand.strength

    def check(self) -> None:
        """Raise `InputError` where the demand holds no case of a limit state that is needed."""
        for found, word in (
            (self.cases, "serviceability" if self.cases is self.demand.service else "strength"),
            (self.strength_cases, "strength"),
        ):
            if not found:
                raise InputError(
                    [
                        Fault(
                            "bearing",
                            "demand.cases",
                            f"no {word} case",
                            f"at least one {word} case",
                        )
                    ]
                )


def loading(task: Task, bearing: Elastomeric, case: DemandCase) -> Loading:
    """What a case does to the pad: its part of the movement, and the rotations.

    Held directions do not move. With a slide the pad shears only by what does not slide: the
    movement that comes back (type D) or what friction can bring (type E).
    """
    pad, G = bearing.pad, bearing.modulus[1]
    ways = []
    for held, v, lasting, H in (
        (task.demand.held[0], case.vx, case.lasting_vx, case.Hx),
        (task.demand.held[1], case.vy, case.lasting_vy, case.Hy),
    ):
        by_force = en.displacement(pad, abs(H), G)
        if held:
            way = 0.0
        elif bearing.type == "D":
            way = abs(v - lasting)
        elif bearing.slide is not None:
            grip = friction(task, bearing, case.N) * max(case.N, 0.0)
            way = min(abs(v), en.displacement(pad, grip, G))
        elif task.chosen.forces == "beside movements":
            way = abs(v) + by_force
        else:
            way = abs(v) if v else by_force
        ways.append(way)
    tilt_x, tilt_y = abs(case.ry), abs(case.rx)
    if task.basis.family == "eurocode":
        values = task.basis.values
        tilt_x, tilt_y = _raised(
            tilt_x, tilt_y, movements.least_rotation(values, math.hypot(tilt_x, tilt_y)).value
        )
        if bearing.slide is None and not any(task.demand.held):
            least = movements.least_translation(values, math.hypot(*ways), elastomeric=True)
            ways = list(_raised(ways[0], ways[1], least.value))
    elif task.basis.family == "irc" and not task.chosen.working_stress:
        least = irc.least_rotation(task.basis.values, tilt_x, tilt_y)
        tilt_x, tilt_y = _raised(tilt_x, tilt_y, least.value)
    return Loading(case.N, ways[0], ways[1], tilt_x, tilt_y)


def friction(task: Task, bearing: Elastomeric, N: float) -> float:
    """Greatest friction of the sliding sheet under N; 0 without a slide."""
    slide = bearing.slide
    if slide is None:
        return 0.0
    pressure = max(N, 0.0) / (slide.length * slide.width)
    return sliding.friction(task.basis.values, "PTFE", pressure).value


def shear_forces(task: Task, bearing: Elastomeric, case: DemandCase) -> tuple[float, float]:
    """Horizontal force (N) that the pad sends below along x' and y' in a case, stiff elastomer.

    At least the force of the case itself in directions that are not held.
    """
    load = loading(task, bearing, case)
    stiff = en.shear_stiffness(bearing.pad, bearing.modulus[2])
    found = []
    for held, way, H in (
        (task.demand.held[0], load.vx, case.Hx),
        (task.demand.held[1], load.vy, case.Hy),
    ):
        by_shear = stiff * way
        if held:
            found.append(0.0)
        elif bearing.slide is not None:
            found.append(min(by_shear, friction(task, bearing, case.N) * max(case.N, 0.0)))
        else:
            found.append(
                by_shear if task.chosen.forces == "with movements" else max(by_shear, abs(H))
            )
    return found[0], found[1]


def lines(
    task: Task, bearing: Elastomeric, cases: Sequence[DemandCase] | None = None
) -> Iterator[Line]:
    """Every check for every case, one line after the other, the telling ones first.

    The caller may stop at the first that does not hold. `cases`: other order of `task.cases`.
    """
    pad_rules = _pad_rules(task)
    for case in task.cases if cases is None else cases:
        if case.N <= 0.0:
            yield _tension(task, case)
            continue
        load = loading(task, bearing, case)
        for line in pad_rules(task, bearing, case, load):
            yield replace(line, part="pad", case=case.name)
    yield from _whole(task, bearing)
    for case in task.strength_cases:
        if case.N > 0.0:
            yield from _concrete(task, bearing, case)
        yield from _dowels(task, bearing, case)
        if bearing.slide is not None and case.N > 0.0:
            yield from _slide(task, bearing, case)


def governing(found: Sequence[Line]) -> list[Line]:
    """For each rule and part the line of the case that governs, in the order of the rules."""
    worst: dict[tuple[str, str], Line] = {}
    for line in found:
        key = (line.title, line.part)
        old = worst.get(key)
        if old is None or (line.utilisation or 0.0) > (old.utilisation or 0.0):
            worst[key] = line
    return list(worst.values())


# ------------------------------------------------------------------ rules of the pad, each family
PadRules = Callable[[Task, Elastomeric, DemandCase, Loading], Iterator[Line]]


def _pad_rules(task: Task) -> PadRules:
    if task.basis.family == "aashto":
        return _aashto_a if task.chosen.method == "A" else _aashto_b
    return _working if task.chosen.working_stress else _limit_state


def _limit_state(
    task: Task, bearing: Elastomeric, case: DemandCase, load: Loading
) -> Iterator[Line]:
    """EN 1337-3, and IRC:83 Part II from 2015 on."""
    values, chosen, pad = task.basis.values, task.chosen, bearing.pad
    rule = _SHARED[task.basis.family]
    G = bearing.modulus[0]
    yield rule.shear_strain(values, pad, load)
    yield rule.total_strain(values, pad, load, G, chosen.compression)
    yield rule.buckling(values, pad, load, G, chosen.buckling_side)
    yield rule.plate_thickness(values, pad, load, bearing.fy)
    yield rule.rotation_limit(values, pad, load, G, chosen.deflection_area)
    if bearing.type != "C":
        permanent = Loading(task.demand.permanent, load.vx, load.vy)
        yield rule.permanent_pressure(values, pad, permanent)
        if task.demand.use != "rail":
            H = math.hypot(*shear_forces(task, bearing, case))
            yield rule.slip(values, pad, load, H, chosen.bedding)


def _working(task: Task, bearing: Elastomeric, _: DemandCase, load: Loading) -> Iterator[Line]:
    """IRC:83 Part II, 1987."""
    values, pad = task.basis.values, bearing.pad
    yield irc_1987.shear_strain(values, pad, load)
    yield from irc_1987.pressure(values, pad, load)
    yield irc_1987.rotation(values, pad, load)
    yield irc_1987.shear_stress(values, pad, load)
    if bearing.type != "C":
        yield irc_1987.friction(values, pad, load)


def _aashto_a(task: Task, bearing: Elastomeric, case: DemandCase, load: Loading) -> Iterator[Line]:
    """AASHTO LRFD 14.7.6, either edition, or with the changes of TxDOT."""
    values, chosen, pad = task.basis.values, task.chosen, bearing.pad
    G, live = bearing.modulus[1], max(case.N - task.demand.permanent, 0.0)
    load = _with_allowance(task, load)
    yield aashto.shear(values, pad, load)
    if chosen.owner == "TxDOT":
        yield from aashto.txdot_stress(
            values, pad, case.N, task.demand.permanent, G, excess=chosen.excess
        )
        yield aashto.txdot_rotation(values, pad, load, G)
        yield aashto.txdot_slip(values, pad, load, task.demand.permanent, chosen.grade)
    else:
        edition: aashto.Edition = "1998" if chosen.edition == "1998" else "2009"
        prevented = all(task.demand.held)
        yield aashto.stress_a(values, pad, load, G, edition, prevented=prevented)
        if edition == "1998":
            yield aashto.rotation_a_1998(values, pad, load, bearing.modulus[2])
        yield aashto.layer_compression(values, pad, load, G, edition)
    yield aashto.plates(values, pad, case.N, live, bearing.fy, holes=False)
    yield aashto.live_deflection(values, pad, live, G)


def _aashto_b(task: Task, bearing: Elastomeric, case: DemandCase, load: Loading) -> Iterator[Line]:
    """AASHTO LRFD 14.7.5, either edition."""
    values, chosen, pad, demand = task.basis.values, task.chosen, bearing.pad, task.demand
    G, live = bearing.modulus[1], max(case.N - demand.permanent, 0.0)
    prevented = all(demand.held)
    yield aashto.shear(values, pad, load)
    if chosen.edition == "1998":
        yield from aashto.stress_b_1998(values, pad, case.N, live, G, prevented=prevented)
        turned = _with_allowance(task, load)
        # Stiff elastomer lifts off first, soft elastomer is crushed first.
        yield aashto.rotation_b_1998(values, pad, turned, bearing.modulus[2], prevented=prevented)[
            0
        ]
        yield aashto.rotation_b_1998(values, pad, turned, G, prevented=prevented)[1]
    else:
        static = _with_allowance(
            task,
            Loading(
                min(demand.permanent, case.N),
                load.vx * (1 - chosen.cyclic_movement),
                load.vy * (1 - chosen.cyclic_movement),
                min(abs(case.lasting_ry), load.tilt_x),
                min(abs(case.lasting_rx), load.tilt_y),
            ),
        )
        cyclic = Loading(
            live,
            load.vx * chosen.cyclic_movement,
            load.vy * chosen.cyclic_movement,
            abs(case.ry - case.lasting_ry),
            abs(case.rx - case.lasting_rx),
        )
        yield aashto.combined_strain(values, pad, static, cyclic, G)
        yield aashto.static_axial_strain(values, pad, static.N, G)
        if bearing.type == "C":
            turned = _with_allowance(task, load)
            yield aashto.hydrostatic(values, pad, turned, G)
    yield aashto.stability(values, pad, load, G, fixed=demand.held[0])
    yield aashto.plates(values, pad, case.N, live, bearing.fy, holes=False)
    yield aashto.live_deflection(values, pad, live, G)


def _whole(task: Task, bearing: Elastomeric) -> Iterator[Line]:
    """Rules that look at the pad alone or at all cases together."""
    values, chosen, pad = task.basis.values, task.chosen, bearing.pad
    found: list[Line] = []
    if task.basis.family == "aashto":
        if chosen.method == "A":
            if chosen.edition == "2009" and chosen.owner == "none":
                found.append(aashto.applicability(values, pad))
            found.append(aashto.height(values, pad, elastomer_only=chosen.owner == "TxDOT"))
        else:
            found += aashto.modulus_range(values, bearing.modulus[1], bearing.modulus[2])
        if bearing.type != "C" and chosen.owner == "none":
            for case in task.strength_cases:
                H = math.hypot(*shear_forces(task, bearing, case))
                line = aashto.slip(values, H, task.demand.permanent)
                found.append(replace(line, case=case.name))
    elif chosen.working_stress:
        found.append(irc_1987.side_ratio(values, pad))
        found += irc_1987.thickness_range(values, pad)
        found += irc_1987.layers(values, pad)
        found += irc_1987.shape_factor(values, pad)
    else:
        found.append(_SHARED[task.basis.family].side_cover(values, pad))
        if task.basis.family == "eurocode":
            found.append(en.scope(values, pad))
    for line in found:
        yield replace(line, part="pad")


# ------------------------------------------------------------------ concrete, dowels, slide
def _concrete(task: Task, bearing: Elastomeric, case: DemandCase) -> Iterator[Line]:
    """Concrete below (and above) the plates of a pad that lies on it without a plate of its own.

    The force leaves the pad at v/2 + H h/(2 N) + M/N from its middle (statics of the sheared pad).
    """
    if bearing.type == "C":
        return  # the outer plates are checked with their anchorage
    load = loading(task, bearing, case)
    Hx, Hy = shear_forces(task, bearing, case)
    Mx, My = restoring_moments(task, bearing, load)
    pad = bearing.pad
    ex = load.vx / 2 + (Hx * pad.height / 2 + Mx) / case.N
    ey = load.vy / 2 + (Hy * pad.height / 2 + My) / case.N
    # A round pad counts as the square of the same area.
    share = math.sqrt(math.pi) / 2 if pad.round else 1.0
    for fck, part, plinth in (
        (task.basis.concrete_below, "concrete below", task.basis.plinth),
        (task.basis.concrete_above if bearing.slide is None else None, "concrete above", None),
    ):
        if fck is None:
            continue
        rule = rules(task.basis.family, case.limit_state).bearing
        foot = Footprint(share * pad.plate_length, share * pad.plate_width, ex, ey, plinth)
        yield placed(rule(task.basis.values, case.N, foot, Bed(fck)), part, case.name)


def restoring_moments(task: Task, bearing: Elastomeric, load: Loading) -> tuple[float, float]:
    """Moments (N m) of the rotations across length and width, stiff elastomer."""
    values, pad, G = task.basis.values, bearing.pad, bearing.modulus[2]
    rule = aashto.moment if task.basis.family == "aashto" else en.moment
    return (
        rule(values, pad, load.tilt_x, G, "x").value,
        rule(values, pad, load.tilt_y, G, "y").value,
    )


def _dowels(task: Task, bearing: Elastomeric, case: DemandCase) -> Iterator[Line]:
    """Dowels beside the pad, fixed below, held above at the height of the bearing."""
    if not bearing.dowels:
        return
    held = task.demand.held
    H = math.hypot(case.Hx if held[0] else 0.0, case.Hy if held[1] else 0.0) / bearing.dowels
    steel = materials.steel_for("pin", bearing.dowel, task.basis)
    rule = rules(task.basis.family, case.limit_state)
    yield placed(
        rule.dowel(task.basis.values, H, bearing.dowel, steel.fy, steel.fu),
        "dowels",
        case.name,
        steel.basis,
    )
    # A round bar bends as a strip as thick as it and as strong in elastic bending (statics).
    strip = H * bearing.height * 32 / (6 * math.pi) / bearing.dowel
    line = rule.bending(task.basis.values, strip, bearing.dowel, steel.fy)
    note = "round bar as a strip of the same thickness and elastic section modulus"
    yield placed(
        replace(line, title="Dowel in bending", note=note), "dowels", case.name, steel.basis
    )


def _slide(task: Task, bearing: Elastomeric, case: DemandCase) -> Iterator[Line]:
    """The sliding sheet on top of the pad (EN 1337-2) and its travel (EN 1337-1, 5.4)."""
    slide, values = bearing.slide, task.basis.values
    assert slide is not None
    load = loading(task, bearing, case)
    Hx, Hy = shear_forces(task, bearing, case)
    Mx, My = restoring_moments(task, bearing, load)
    ex = load.vx / 2 + (Hx * bearing.pad.height / 2 + Mx) / case.N
    ey = load.vy / 2 + (Hy * bearing.pad.height / 2 + My) / case.N
    area = sliding.reduced_area_rectangle(values, slide.length, slide.width, ex, ey).value
    yield placed(
        sliding.contact_strength(values, "PTFE", case.N, area, task.chosen.sheet_temperature),
        "sliding sheet",
        case.name,
    )
    around = math.hypot(slide.length, slide.width)
    if bearing.type == "E":
        height = sliding.protrusion(values, around).value
        yield placed(
            sliding.sheet_thickness(values, slide.sheet_thickness, height), "sliding sheet"
        )
        yield placed(sliding.sheet_size(values, around), "sliding sheet")
    yield placed(sliding.backing_thickness(values, slide.backing, around), "backing plate")
    for v, plate, sheet, way, word in (
        (case.vx, slide.plate_length, slide.length, "main", "along"),
        (case.vy, slide.plate_width, slide.width, "transverse", "across"),
    ):
        line = movements.increased_translation(values, v, "main" if way == "main" else "transverse")
        room = (plate - sheet) / 2
        yield replace(
            line,
            title=f"Travel of the slide plate, {word}",
            part="slide plate",
            case=case.name,
            limit=Quantity("room", room, "m"),
            utilisation=line.value / room if room > 0.0 else math.inf,
        )


# ------------------------------------------------------------------ small things
def _tension(task: Task, case: DemandCase) -> Line:
    """A pad cannot pull: a case without compression does not hold."""
    family = task.basis.family
    clause = {
        "eurocode": ("EN 1337-3", "2005", "1"),
        "aashto": ("AASHTO LRFD", "9th ed.", "14.6.1"),
        "irc": ("IRC:83 Part II", task.chosen.edition, "scope"),
    }[family]
    return Line(
        title="Compression in every case",
        standard=clause[0],
        edition=clause[1],
        clause=clause[2],
        formula="N > 0",
        inputs=(),
        result=Quantity("N", case.N, "N"),
        basis="memory",
        limit=Quantity("at least", 0.0, "N"),
        utilisation=2.0,
        note="a pad does not pull",
        part="pad",
        case=case.name,
    )


def _raised(x: float, y: float, least: float) -> tuple[float, float]:
    """(x, y) lengthened so that the resultant is at least `least`; along x where both are 0."""
    size = math.hypot(x, y)
    if size >= least:
        return x, y
    return (x * least / size, y * least / size) if size > 0.0 else (least, 0.0)


def _with_allowance(task: Task, load: Loading) -> Loading:
    """The rotations with the allowance of AASHTO 14.4.2.1, across both sides."""
    extra = thermal.rotation_allowance(task.basis.values, "elastomeric").value
    return replace(load, tilt_x=load.tilt_x + extra, tilt_y=load.tilt_y + extra)
