"""The checks of a laminated elastomeric bearing by the rules of each family."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from bedstone.bearings.base import Basis, Demand, DemandCase
from bedstone.bearings.common import materials
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.elastomeric_choices import Chosen, Elastomeric, Type
from bedstone.errors import Fault, InputError
from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.eurocode import movements, sliding
from bedstone.standards.fasteners import Fastener
from bedstone.standards.irc import elastomeric_1987 as irc_1987
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Task:
    """A seat's demand with all that decides how it is checked."""

    demand: Demand
    basis: Basis
    chosen: Chosen

    @property
    def at_service(self) -> bool:
        """True where the rules of the pad take serviceability cases."""
        return self.basis.family == "aashto" or self.chosen.working_stress

    @cached_property
    def cases(self) -> tuple[DemandCase, ...]:
        """Cases of the limit states that the rules of the pad take."""
        return self.demand.service if self.at_service else self.demand.strength

    @cached_property
    def strength_cases(self) -> tuple[DemandCase, ...]:
        """Cases for concrete, dowels and slip: strength, or service by working stresses."""
        return self.demand.service if self.chosen.working_stress else self.demand.strength

    def check(self) -> None:
        """Raise `InputError` where the demand holds no case of a limit state that is needed."""
        faults = [
            Fault("bearing", "demand.cases", f"no {word} case", f"at least one {word} case")
            for cases, word in (
                (self.cases, "serviceability" if self.at_service else "strength"),
                (
                    self.strength_cases,
                    "serviceability" if self.chosen.working_stress else "strength",
                ),
            )
            if not cases
        ]
        if faults:
            raise InputError(list(dict.fromkeys(faults)))


def turning_stiffness(task: Task, pad: Pad, G: float, across: Literal["x", "y"]) -> float:
    """Moment of a unit rotation across length ("x") or width ("y"), N m/rad, by the family."""
    if task.basis.family == "aashto":
        return aashto.turning_stiffness(task.basis.values, pad, G, across)
    return en.turning_stiffness(task.basis.values, pad, G, across)


@dataclass(frozen=True)
class At:
    """One bearing in one case: what every rule looks at."""

    task: Task
    bearing: Elastomeric
    case: DemandCase

    @property
    def values(self) -> Values:
        """Numbers of the family."""
        return self.task.basis.values

    @property
    def pad(self) -> Pad:
        """The pad."""
        return self.bearing.pad

    @property
    def chosen(self) -> Chosen:
        """The engineer's choices."""
        return self.task.chosen

    @property
    def permanent(self) -> float:
        """Compression under permanent actions, N."""
        return self.task.demand.permanent

    @property
    def live(self) -> float:
        """Compression beyond the permanent one, N."""
        return max(self.case.N - self.permanent, 0.0)

    @property
    def prevented(self) -> bool:
        """True where the pad cannot shear."""
        return all(self.task.demand.held)

    @cached_property
    def load(self) -> Loading:
        """What the case does to the pad: its part of the movement, and the rotations.

        Held directions do not move. With a slide the pad shears only by what does not slide: the
        movement that comes back (type D) or what friction can bring (type E).
        """
        demand, case, family = self.task.demand, self.case, self.task.basis.family
        vx = self._way(demand.held[0], case.vx, case.lasting_vx, case.Hx)
        vy = self._way(demand.held[1], case.vy, case.lasting_vy, case.Hy)
        tilt_x, tilt_y = abs(case.ry), abs(case.rx)
        # Least rotation and movement: EN 1337-1, 5.5 (`movements.least_rotation`), IRC 5.2.3.
        if family == "eurocode":
            tilt_x, tilt_y = _raised(tilt_x, tilt_y, self.values.number("movements.least.rotation"))
            if self.bearing.slide is None and not any(demand.held):
                least = self.values.number("movements.least.translation_elastomeric")
                vx, vy = _raised(vx, vy, least)
        elif family == "irc" and not self.chosen.working_stress:
            least = self.values.number("elastomeric.least.rotation")
            tilt_x, tilt_y = _raised(tilt_x, tilt_y, least)
        return Loading(case.N, vx, vy, tilt_x, tilt_y)

    @cached_property
    def turned(self) -> Loading:
        """The load with the rotation allowance of AASHTO 14.4.2.1 across both sides."""
        return _with_allowance(self.values, self.load)

    @cached_property
    def friction(self) -> float:
        """Greatest friction of the sliding sheet; 0 without a slide."""
        slide = self.bearing.slide
        if slide is None:
            return 0.0
        pressure = max(self.case.N, 0.0) / (slide.length * slide.width)
        return sliding.friction(self.values, "PTFE", pressure).value

    @cached_property
    def shear_forces(self) -> tuple[float, float]:
        """Horizontal force (N) sent below along x' and y' by the pad, stiff elastomer.

        0 in held directions, where the dowels carry the force of the case.
        """
        held, case = self.task.demand.held, self.case
        return (
            self._force(held[0], self.load.vx, case.Hx),
            self._force(held[1], self.load.vy, case.Hy),
        )

    @cached_property
    def moments(self) -> tuple[float, float]:
        """Moments (N m) of the rotations across length and width, stiff elastomer."""
        return (
            turning_stiffness(self.task, self.pad, self.bearing.modulus[2], "x") * self.load.tilt_x,
            turning_stiffness(self.task, self.pad, self.bearing.modulus[2], "y") * self.load.tilt_y,
        )

    @cached_property
    def eccentricity(self) -> tuple[float, float]:
        """Where the force leaves the pad: v/2 + H h/(2 N) + M/N off its middle (statics), m."""
        (Hx, Hy), (Mx, My), N = self.shear_forces, self.moments, max(self.case.N, 1.0)
        lever = self.bearing.pad.height / 2 + self.bearing.outer_plate
        return (
            self.load.vx / 2 + (Hx * lever + Mx) / N,
            self.load.vy / 2 + (Hy * lever + My) / N,
        )

    def _way(self, held: bool, v: float, lasting: float, H: float) -> float:
        if held:
            return 0.0
        if self.bearing.type == "D":
            return abs(v - lasting)
        G = self.bearing.modulus[1]
        if self.bearing.slide is not None:
            grip = self.friction * max(self.case.N, 0.0)
            return min(abs(v), en.displacement(self.pad, grip, G))
        if self.chosen.forces == "beside movements":
            return abs(v) + en.displacement(self.pad, abs(H), G)
        return abs(v) if v else en.displacement(self.pad, abs(H), G)

    def _force(self, held: bool, way: float, H: float) -> float:
        if held:
            return 0.0
        by_shear = en.shear_stiffness(self.pad, self.bearing.modulus[2]) * way
        if self.bearing.slide is not None:
            return min(by_shear, self.friction * max(self.case.N, 0.0))
        return max(by_shear, abs(H)) if self.chosen.forces == "beside movements" else by_shear


#: A rule gives a line, several, or none where it has nothing to say.
Rule = Callable[[At], Line | Iterable[Line]]


def lines(task: Task, bearing: Elastomeric) -> Iterator[Line]:
    """Every check for every case, one line after the other; the caller may stop at any."""
    pairs = rule_pairs(task, bearing.type)
    for place, line in found(task, bearing, pairs):
        yield named(line, pairs[place][1])


def found(
    task: Task, bearing: Elastomeric, pairs: Sequence[tuple[Rule, DemandCase]]
) -> Iterator[tuple[int, Line]]:
    """The lines of rules with cases, each with the place of its pair, without part and case."""
    places: dict[int, At] = {}
    for place, (rule, case) in enumerate(pairs):
        at = places.get(id(case))
        if at is None:
            at = places[id(case)] = At(task, bearing, case)
        result = rule(at)
        if isinstance(result, Line):
            yield place, result
        else:
            for line in result:
                yield place, line


def named(line: Line, case: DemandCase) -> Line:
    """The line with part and case, the pad's where the rule named none."""
    if line.case and line.part:
        return line
    return replace(line, part=line.part or "pad", case=line.case or case.name)


def rule_pairs(
    task: Task,
    kind: Type,
    cases: Sequence[DemandCase] | None = None,
    strength: Sequence[DemandCase] | None = None,
) -> list[tuple[Rule, DemandCase]]:
    """Each rule with each case it takes, the telling ones first.

    `cases`, `strength`: fewer cases than the task holds, of the pad's and of the strength rules.
    """
    cases = task.cases if cases is None else cases
    strength = task.strength_cases if strength is None else strength
    pressed = [case for case in strength if case.N > 0.0]
    # What looks at the pad alone is the same in all cases.
    pairs: list[tuple[Rule, DemandCase]] = [(rule, cases[0]) for rule in _pad_alone(task)]
    rules_of_pad = _pad_rules(task, kind)
    for case in cases:
        if case.N > 0.0:
            pairs += [(rule, case) for rule in rules_of_pad]
        else:
            pairs.append((_tension, case))
    for rule in _strength_rules(task, kind):
        pairs += [(rule, case) for case in (strength if rule is _dowels else pressed)]
    return pairs


def governing(checks: Iterable[Line]) -> list[Line]:
    """For each rule and part the line of the case that governs, in the order of the rules."""
    worst: dict[tuple[str, str], Line] = {}
    for line in checks:
        key = (line.title, line.part)
        old = worst.get(key)
        if old is None or (line.utilisation or 0.0) > (old.utilisation or 0.0):
            worst[key] = line
    return list(worst.values())


# ------------------------------------------------------------------ EN 1337-3, IRC from 2015 on
_LIMIT_STATE: tuple[Rule, ...] = (
    lambda at: en.shear_strain(at.values, at.pad, at.load),
    lambda at: en.total_strain(
        at.values, at.pad, at.load, at.bearing.modulus[0], at.chosen.compression
    ),
    lambda at: en.buckling(
        at.values, at.pad, at.load, at.bearing.modulus[0], at.chosen.buckling_side
    ),
    lambda at: en.plate_thickness(at.values, at.pad, at.load, at.bearing.fy),
    lambda at: en.rotation_limit(
        at.values, at.pad, at.load, at.bearing.modulus[0], at.chosen.deflection_area
    ),
)


def _permanent_pressure(at: At) -> Line:
    load = Loading(at.permanent, at.load.vx, at.load.vy)
    return en.permanent_pressure(at.values, at.pad, load)


def _slip(at: At) -> Line:
    H = math.hypot(*at.shear_forces)
    return en.slip(at.values, at.pad, at.load, H, at.chosen.bedding)


# ------------------------------------------------------------------ IRC 1987
_WORKING: tuple[Rule, ...] = (
    lambda at: irc_1987.shear_strain(at.values, at.pad, at.load),
    lambda at: irc_1987.pressure(at.values, at.pad, at.load),
    lambda at: irc_1987.rotation(at.values, at.pad, at.load),
    lambda at: irc_1987.shear_stress(at.values, at.pad, at.load),
)


# ------------------------------------------------------------------ AASHTO
def _edition(at: At) -> aashto.Edition:
    return "1998" if at.chosen.edition == "1998" else "2009"


def _aashto_shear(at: At) -> Line:
    return aashto.shear(at.values, at.pad, at.load)


def _aashto_plates(at: At) -> Line:
    return aashto.plates(at.values, at.pad, at.case.N, at.live, at.bearing.fy, holes=False)


def _live_deflection(at: At) -> Line:
    return aashto.live_deflection(at.values, at.pad, at.live, at.bearing.modulus[1])


_METHOD_A: tuple[Rule, ...] = (
    _aashto_shear,
    lambda at: aashto.stress_a(
        at.values, at.pad, at.load, at.bearing.modulus[1], _edition(at), prevented=at.prevented
    ),
    lambda at: aashto.layer_compression(
        at.values, at.pad, at.load, at.bearing.modulus[1], _edition(at)
    ),
    _aashto_plates,
    _live_deflection,
)
_TXDOT: tuple[Rule, ...] = (
    _aashto_shear,
    lambda at: aashto.txdot_stress(
        at.values, at.pad, at.case.N, at.permanent, at.bearing.modulus[1], excess=at.chosen.excess
    ),
    lambda at: aashto.txdot_rotation(at.values, at.pad, at.turned, at.bearing.modulus[2]),
    lambda at: aashto.txdot_slip(at.values, at.pad, at.load, at.permanent, at.chosen.grade),
    _aashto_plates,
    _live_deflection,
)


def _rotation_a_1998(at: At) -> Line:
    return aashto.rotation_a_1998(at.values, at.pad, at.turned, at.bearing.modulus[2])


def _strains(at: At) -> tuple[Line, Line]:
    """Method B: what stays and what repeats; movements count as static but for the share chosen."""
    case, load, share = at.case, at.load, at.chosen.cyclic_movement
    static = _with_allowance(
        at.values,
        Loading(
            min(at.permanent, case.N),
            load.vx * (1 - share),
            load.vy * (1 - share),
            abs(case.lasting_ry),
            abs(case.lasting_rx),
        ),
    )
    cyclic = Loading(
        at.live,
        load.vx * share,
        load.vy * share,
        abs(case.ry - case.lasting_ry),
        abs(case.rx - case.lasting_rx),
    )
    G = at.bearing.modulus[1]
    return (
        aashto.combined_strain(at.values, at.pad, static, cyclic, G),
        aashto.static_axial_strain(at.values, at.pad, static.N, G),
    )


def _hydrostatic(at: At) -> Line:
    return aashto.hydrostatic(at.values, at.pad, at.turned, at.bearing.modulus[1])


def _rotation_b_1998(at: At) -> tuple[Line, Line]:
    """Stiff elastomer lifts off first, soft elastomer is crushed first."""
    soft, stiff = at.bearing.modulus[1:]
    return (
        aashto.rotation_b_1998(at.values, at.pad, at.turned, stiff, prevented=at.prevented)[0],
        aashto.rotation_b_1998(at.values, at.pad, at.turned, soft, prevented=at.prevented)[1],
    )


def _stress_b_1998(at: At) -> tuple[Line, Line]:
    G = at.bearing.modulus[1]
    return aashto.stress_b_1998(at.values, at.pad, at.case.N, at.live, G, prevented=at.prevented)


def _stability_b(at: At) -> Line:
    fixed = at.task.demand.held[0]
    return aashto.stability(at.values, at.pad, at.load, at.bearing.modulus[1], fixed=fixed)


def _aashto_slip(at: At) -> Line:
    return aashto.slip(at.values, math.hypot(*at.shear_forces), at.permanent)


# ------------------------------------------------------------------ which rules
def _pad_rules(task: Task, kind: Type) -> tuple[Rule, ...]:
    """Rules of the pad for every case that presses."""
    chosen = task.chosen
    if task.basis.family == "aashto":
        if chosen.method == "A":
            if chosen.owner == "TxDOT":
                return _TXDOT
            return (*_METHOD_A, _rotation_a_1998) if chosen.edition == "1998" else _METHOD_A
        stable = (_stability_b, _aashto_plates, _live_deflection)
        if chosen.edition == "1998":
            return (_aashto_shear, _stress_b_1998, _rotation_b_1998, *stable)
        bonded: tuple[Rule, ...] = (_hydrostatic,) if kind == "C" else ()
        return (_aashto_shear, _strains, *bonded, *stable)
    if chosen.working_stress:
        if kind == "C":
            return _WORKING
        return (*_WORKING, lambda at: irc_1987.friction(at.values, at.pad, at.load))
    if kind == "C":
        return _LIMIT_STATE
    return (*_LIMIT_STATE, _permanent_pressure, _slip)


def _pad_alone(task: Task) -> tuple[Rule, ...]:
    """Rules that look at nothing but the pad."""
    chosen, family = task.chosen, task.basis.family
    if family == "aashto":
        if chosen.method == "B":
            return (
                lambda at: aashto.modulus_range(
                    at.values, at.bearing.modulus[1], at.bearing.modulus[2]
                ),
            )
        only = chosen.owner == "TxDOT"
        tall: Rule = lambda at: aashto.height(at.values, at.pad, elastomer_only=only)  # noqa: E731
        if chosen.edition == "1998" or only:
            return (tall,)
        return (tall, lambda at: aashto.applicability(at.values, at.pad))
    if chosen.working_stress:
        return (
            lambda at: irc_1987.side_ratio(at.values, at.pad),
            lambda at: irc_1987.thickness_range(at.values, at.pad),
            lambda at: irc_1987.shape_factor(at.values, at.pad),
            lambda at: irc_1987.layers(at.values, at.pad),
        )
    if family == "irc":
        return (lambda at: en.side_cover(at.values, at.pad),)
    return (
        lambda at: en.scope(at.values, at.pad),
        lambda at: en.side_cover(at.values, at.pad),
    )


def _strength_rules(task: Task, kind: Type) -> tuple[Rule, ...]:
    """Rules of what lies beside the pad: seat, dowels, slide."""
    chosen: tuple[Rule, ...] = ()
    if kind != "C":  # the outer plates of type C are checked with their fastening
        chosen += (_concrete,)
        if task.basis.family == "aashto" and task.chosen.owner == "none":
            chosen += (_aashto_slip,)
    if kind in ("D", "E"):
        chosen += (_slide,)
    if any(task.demand.held):
        chosen += (_dowels,)
    return chosen


# ------------------------------------------------------------------ concrete, dowels, slide
def _concrete(at: At) -> Iterator[Line]:
    """Concrete below (and above) the plates of a pad that lies on it without a plate of its own."""
    pad, basis, case = at.pad, at.task.basis, at.case
    # A round pad counts as the square of the same area.
    share = math.sqrt(math.pi) / 2 if pad.round else 1.0
    above = basis.concrete_above if at.bearing.slide is None else None
    for fck, part, plinth in (
        (basis.concrete_below, "concrete below", basis.plinth),
        (above, "concrete above", None),
    ):
        if fck is None:
            continue
        rule = rules(basis.family, case.limit_state).bearing
        foot = Footprint(
            share * pad.plate_length, share * pad.plate_width, *at.eccentricity, plinth
        )
        yield placed(rule(at.values, case.N, foot, Bed(fck)), part, case.name)


def _dowels(at: At) -> Iterator[Line]:
    """Dowels beside the pad, fixed below, held above at the height of the bearing."""
    bearing, case, basis = at.bearing, at.case, at.task.basis
    if not bearing.dowels:
        return
    held = at.task.demand.held
    H = math.hypot(case.Hx if held[0] else 0.0, case.Hy if held[1] else 0.0) / bearing.dowels
    steel = materials.steel_for("pin", bearing.dowel, basis)
    rule = rules(basis.family, case.limit_state)
    area = math.pi / 4 * bearing.dowel**2
    sheared = rule.dowel(at.values, H, Fastener(bearing.dowel, area, steel.fy, steel.fu))
    yield placed(sheared, "dowels", case.name, steel.basis)
    # A round bar bends as a strip as thick as it and as strong in elastic bending (statics).
    strip = H * bearing.height * 32 / (6 * math.pi) / bearing.dowel
    bent = replace(
        rule.bending(at.values, strip, bearing.dowel, steel.fy),
        title="Dowel in bending",
        note="round bar as a strip of the same thickness and elastic section modulus",
    )
    yield placed(bent, "dowels", case.name, steel.basis)


def _slide(at: At) -> Iterator[Line]:
    """The sliding sheet on top of the pad (EN 1337-2) and its travel (EN 1337-1, 5.4)."""
    slide, values, case = at.bearing.slide, at.values, at.case
    if slide is None:
        return
    area = sliding.reduced_area_rectangle(values, slide.length, slide.width, *at.eccentricity)
    temperature = at.chosen.sheet_temperature
    contact = sliding.contact_strength(values, "PTFE", case.N, area.value, temperature)
    yield placed(contact, "sliding sheet", case.name)
    around = math.hypot(slide.length, slide.width)
    if at.bearing.type == "E":
        height = sliding.protrusion(values, around).value
        thick = sliding.sheet_thickness(values, slide.sheet_thickness, height)
        yield placed(thick, "sliding sheet", case.name)
        yield placed(sliding.sheet_size(values, around), "sliding sheet", case.name)
    backing = sliding.backing_thickness(values, slide.backing, around)
    yield placed(backing, "backing plate", case.name)
    for line, word, plate, sheet in (
        (
            movements.increased_translation(values, case.vx, "main"),
            "along",
            slide.plate_length,
            slide.length,
        ),
        (
            movements.increased_translation(values, case.vy, "transverse"),
            "across",
            slide.plate_width,
            slide.width,
        ),
    ):
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
def _tension(at: At) -> Line:
    """A pad cannot pull: a case without compression does not hold."""
    standard, edition, clause = {
        "eurocode": ("EN 1337-3", "2005", "1"),
        "aashto": ("AASHTO LRFD", "9th ed.", "14.6.1"),
        "irc": ("IRC:83 Part II", at.chosen.edition, "scope"),
    }[at.task.basis.family]
    return Line(
        title="Compression in every case",
        standard=standard,
        edition=edition,
        clause=clause,
        formula="N > 0",
        inputs=(),
        result=Quantity("N", at.case.N, "N"),
        basis="memory",
        limit=Quantity("more than", 0.0, "N"),
        utilisation=2.0,
        note="a pad does not pull",
        part="pad",
        case=at.case.name,
    )


def _raised(x: float, y: float, least: float) -> tuple[float, float]:
    """(x, y) lengthened so that the resultant is at least `least`; along x where both are 0."""
    size = math.hypot(x, y)
    if size >= least:
        return x, y
    return (x * least / size, y * least / size) if size > 0.0 else (least, 0.0)


def _with_allowance(values: Values, load: Loading) -> Loading:
    # 14.4.2.1, as `thermal.rotation_allowance` states it.
    extra = values.number("thermal.rotation.elastomeric")
    return replace(load, tilt_x=load.tilt_x + extra, tilt_y=load.tilt_y + extra)
