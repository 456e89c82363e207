"""Pot bearing: fixed, guided or free; it slides on a sheet in its piston where it must move."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed
from bedstone.bearings.common.seating import SeatingCase
from bedstone.bearings.pot_rules import SEALS, PotRules, pot_rules
from bedstone.bearings.pot_sizes import Pot, PotBody, PotForce, body_parts, forces, sheet_loads
from bedstone.bearings.pot_sizing import size_body
from bedstone.bearings.sliding_design import (
    Plates,
    checked_cases,
    common_refusal,
    failing,
    finished,
    fitted,
    middle_plate,
    outer_plates,
    settled,
)
from bedstone.bearings.sliding_element import (
    first_diameter,
    make_sheet,
    make_slide,
    next_side,
    plate_sizes,
    seat_size,
    slide_lines,
    thrusts,
    worst,
)
from bedstone.bearings.sliding_given import (
    PLATE_FIELDS,
    SLIDE_FIELDS,
    Sizes,
    given_slide,
)
from bedstone.bearings.sliding_options import OPTIONS
from bedstone.bearings.sliding_rules import SlideRules, slide_rules
from bedstone.bearings.sliding_sheet import SHOULDER, Slide, leading_loads
from bedstone.bridge.schema import BearingKind
from bedstone.standards.record import Line

_ROUNDS = 40
_STEP = 0.01
#: Widest sheet over the pad that is tried; common practice, no source.
_WIDEST = 3.0

_BODY_FIELDS: Mapping[str, str] = {
    "pad.diameter": "m, diameter of the pad",
    "pad.thickness": "m",
    "pot.wall": "m, thickness of the wall",
    "pot.bottom": "m, thickness of the bottom",
    "pot.depth": "m, depth of the pot inside",
    "piston.thickness": "m",
    "piston.rim": "m, height of the face that presses on the wall",
    "piston.rim_radius": "m, radius of a curved face; left out: flat",
    "piston.clearance": "m, each side; left out: as the family asks",
    "rings.number": "number of sealing rings; left out: as the family asks",
    "rings.width": "m; left out: as the family asks",
    "rings.depth": "m; left out: as the family asks",
}


@dataclass(frozen=True)
class _Trial:
    """A pot under design: body, slide and plate between them, and the forces of every case."""

    body: PotBody
    slide: Slide | None
    middle: float
    strong: list[PotForce]
    all: list[PotForce]


class PotKind:
    """The kinds "pot" and "pot on slide": the second has a plate of its own under the slide."""

    options: Mapping[str, str] = {
        **OPTIONS,
        "pot.seal": f"material of the sealing rings: {', '.join(SEALS)}; default brass",
        "pot.slide_path": "m, slide path the seal gathers over its life (EN); default not checked",
        "pot.rim_radius": "m, radius of a curved rim of the piston (EN); default flat",
        "pot.F0": "Pa, from the type test of EN 1337-5, Annex D; default: an estimate",
        "pot.F1": "Pa, as pot.F0",
        "pot.F2": "Pa, as pot.F0",
    }

    def __init__(self, name: BearingKind) -> None:
        self.name: BearingKind = name
        self._own_plate = name == "pot on slide"

    # ---------------------------------------------------------------- the protocol
    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """See `Kind.refuse`."""
        rules = slide_rules(basis)
        return common_refusal(self.name, demand, rules) or self._limits(
            demand, pot_rules(basis, rules)
        )

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """See `Kind.size`."""
        return settled(self, demand, basis, lambda: self._size(demand, basis))

    def _size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        rules = pot_rules(basis, slide_rules(basis))

        def check(fit: _Trial) -> tuple[_Trial, list[Line]]:
            whole = self._with_forces(fit.body, fit.slide, fit.middle, demand, rules)
            return whole, self._checks(whole, demand, rules)

        found = fitted(demand, lambda leading: self._fit(leading, rules), check)
        if isinstance(found, Refusal):
            return found
        trial, lines = found
        return self._design(trial, lines, self._plates(trial, demand, rules), demand, rules)

    def _fit(self, demand: Demand, rules: PotRules) -> _Trial | Refusal:
        """The smallest pad with the smallest slide that fits it."""
        diameter = series.length(rules.least_diameter(demand), _STEP)
        before = math.inf
        while True:
            trial = self._trial(diameter, demand, rules)
            lines = [
                *rules.pad_lines(trial.body, trial.strong, demand),
                *rules.wall_lines(trial.body, trial.strong, demand),
                *rules.piston_lines(trial.body, trial.strong, demand),
            ]
            if trial.slide is not None:
                loads = sheet_loads(trial.body, trial.slide, trial.middle, trial.all)
                lines += rules.slide.contact(trial.slide.sheet, loads)
            use = worst(lines)
            if use <= 1.0:
                return trial
            if use >= before - 1e-9:  # and a larger pad does not help
                return failing(
                    self.name,
                    lines,
                    demand,
                    "share the horizontal force among more bearings, hold it by a guide bearing "
                    "beside, or choose a spherical bearing",
                )
            before = use
            diameter = next_side(diameter, min(use, 1.5))

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """See `Kind.given`."""
        slide_family = slide_rules(basis)
        rules = pot_rules(basis, slide_family)
        read = Sizes(sizes, self.fields())
        body = self._given_body(read, demand, rules)
        moves = self._moves(demand)
        slide = given_slide(read, slide_family, demand.held) if moves else None
        middle = read.number("middle.thickness") if self._own_plate else 0.0
        read.done()
        trial = self._with_forces(body, slide, middle, demand, rules)
        lines = self._checks(trial, demand, rules)
        return self._design(trial, lines, self._plates(trial, demand, rules, read), demand, rules)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """See `Kind.check`."""
        assert isinstance(bearing, Pot)
        rules = pot_rules(basis, slide_rules(basis))
        trial = self._with_forces(bearing.body, bearing.slide, bearing.middle, demand, rules)
        lines = self._checks(trial, demand, rules)
        plates = self._plates(trial, demand, rules, standing=bearing)
        return self._design(trial, lines, plates, demand, rules)

    def fields(self) -> Mapping[str, str]:
        """See `Kind.fields`."""
        own = {"middle.thickness": "m, plate between piston and slide"} if self._own_plate else {}
        return {**_BODY_FIELDS, **own, **SLIDE_FIELDS, **PLATE_FIELDS}

    # ---------------------------------------------------------------- limits of the kind
    def _limits(self, demand: Demand, rules: PotRules) -> Refusal | None:
        if self._own_plate and all(demand.held):
            return Refusal(
                self.name,
                "a pot on a slide moves, and this seat holds both directions",
                remedy="a fixed pot",
            )
        scope = rules.scope(demand)
        if scope is not None and (scope.utilisation or 0.0) > 1.0:
            return Refusal(
                self.name,
                f"the seat turns by {scope.value * 1e3:.1f} mrad under the characteristic "
                "combination and a pot bears 30 mrad",
                f"{scope.standard}, {scope.clause}",
                "a spherical bearing, or a stiffer superstructure",
            )
        if rules.basis.family == "aashto":
            service = [case.N for case in rules.slide.service(demand)]
            share = rules.values.number("pot.least_load")
            if min(service) < share * max(service):
                return Refusal(
                    self.name,
                    f"the least service load is {100.0 * min(service) / max(service):.0f} % of the "
                    f"largest, and a pot must keep {100.0 * share:.0f} % of its capacity",
                    "AASHTO LRFD 14.7.4.1",
                    "a laminated elastomeric bearing, or another arrangement that keeps the seat "
                    "pressed",
                )
        return None

    def _moves(self, demand: Demand) -> bool:
        return not all(demand.held)

    # ---------------------------------------------------------------- sizing
    def _forces(
        self,
        body: PotBody,
        slide: Slide | None,
        cases: Sequence[DemandCase],
        demand: Demand,
        rules: PotRules,
    ) -> list[PotForce]:
        sheet = slide.sheet if slide is not None else None
        guides = slide.guides if slide is not None else ()
        return forces(
            body,
            thrusts(cases, demand, rules.slide, sheet, guides),
            rules.slide.rotation,
            rules.pad_moment,
            rules.wall_moment,
        )

    def _with_forces(
        self, body: PotBody, slide: Slide | None, middle: float, demand: Demand, rules: PotRules
    ) -> _Trial:
        strong, others = checked_cases(demand, rules.slide)
        first = self._forces(body, slide, strong, demand, rules)
        return _Trial(
            body,
            slide,
            middle,
            first,
            [*first, *self._forces(body, slide, others, demand, rules)],
        )

    def _trial(self, diameter: float, demand: Demand, rules: PotRules) -> _Trial:
        """The body of a pad's diameter with the smallest slide that fits it."""
        family = rules.slide
        side = first_diameter(demand, family) if self._moves(demand) else 0.0
        slide: Slide | None = None
        middle = 0.0
        for _ in range(_ROUNDS):
            head = least = 0.0
            if side > 0.0:
                sheet = make_sheet(family, side, side)
                slide = make_slide(demand, family, sheet, demand.held, self._head(sheet.length))
                if self._own_plate:
                    middle = middle_plate(slide, family)
                else:
                    head, least = self._above_wall(slide, diameter, family)
            body = size_body(
                rules,
                diameter,
                lambda pot, s=slide: self._forces(  # type: ignore[misc]
                    pot, s, family.strength(demand), demand, rules
                ),
                demand,
                head=head,
                piston=least,
            )
            trial = self._with_forces(body, slide, middle, demand, rules)
            if slide is None:
                return trial
            loads = sheet_loads(body, slide, middle, trial.all)
            use = worst(family.contact(slide.sheet, leading_loads(loads)))
            if use <= 1.0:
                return trial
            if side > _WIDEST * diameter:
                break
            side = next_side(side, use)
        return trial

    def _above_wall(self, slide: Slide, diameter: float, family: SlideRules) -> tuple[float, float]:
        """Least height of the piston above the wall and least thickness of it (m), for a slide.

        The guide bars must clear the wall, and a head wider than the pad spreads the load at 45
        degrees (derived).
        """
        sheet = slide.sheet
        recess = sheet.thickness - sheet.protrusion
        bars = max((pair.bar_height - slide.height for pair in slide.guides), default=0.0)
        spread = max((sheet.length - diameter) / 2.0, 0.0)
        head = max(bars, recess + spread if spread > 0.0 else 0.0)
        return head, family.backing(sheet.around) + recess

    def _head(self, sheet: float) -> tuple[float, float]:
        """Plan of the piston's head or the middle plate, on whose sides the guides press."""
        side = series.length(sheet + 2.0 * SHOULDER, _STEP)
        return side, side

    # ---------------------------------------------------------------- outer plates
    def _plates(
        self,
        trial: _Trial,
        demand: Demand,
        rules: PotRules,
        sizes: Sizes | None = None,
        standing: Pot | None = None,
    ) -> Plates:
        body, slide, family = trial.body, trial.slide, rules.slide
        surface = trial.middle + (slide.sheet.protrusion if slide is not None else 0.0)
        outside = series.length(body.outside + 2.0 * SHOULDER, _STEP)
        top = body.outside
        name = "top plate"
        least = (series.length(top, _STEP), series.length(top, _STEP), 0.0)
        if slide is not None:
            name = "sliding plate"
            head = self._head(slide.sheet.length)
            plan = plate_sizes(slide, head)
            least = (plan[0], plan[1], family.backing(slide.sheet.around))

        def below(thickness: float) -> list[SeatingCase]:
            return [
                _case(f, f.eccentricity(body.contact_below + thickness), (0.0, 0.0), body.outside)
                for f in trial.strong
            ]

        def above(thickness: float) -> list[SeatingCase]:
            lever = body.contact_above + surface + thickness
            if slide is None:
                return [
                    _case(f, f.eccentricity(lever), (0.0, 0.0), body.diameter) for f in trial.strong
                ]
            lever += slide.stainless_thickness
            return [
                _case(
                    f,
                    f.eccentricity(lever),
                    slide.shift(f.thrust.case),
                    slide.sheet.length,
                )
                for f in trial.strong
            ]

        return outer_plates(
            below,
            above,
            demand,
            rules.basis,
            lower=(outside, outside, 0.0),
            upper=least,
            upper_name=name,
            sizes=sizes,
            standing=standing,
        )

    # ---------------------------------------------------------------- result
    def _checks(self, trial: _Trial, demand: Demand, rules: PotRules) -> list[Line]:
        """All lines but those of the outer plates."""
        body, slide = trial.body, trial.slide
        lines: list[Line] = [
            *rules.pad_lines(body, trial.strong, demand),
            *rules.wall_lines(body, trial.strong, demand),
            *rules.piston_lines(body, trial.strong, demand),
            *rules.kinematic_lines(body, trial.strong),
            *self._moments(body, max(trial.strong, key=lambda f: f.moment), rules),
        ]
        if slide is not None:
            backing = trial.middle or body.piston
            recess = slide.sheet.thickness - slide.sheet.protrusion
            lines += slide_lines(
                slide,
                sheet_loads(body, slide, trial.middle, trial.all),
                [f.thrust for f in trial.strong],
                demand,
                rules.slide,
                max(backing - recess, 1e-6),
            )
        return lines

    def _design(
        self, trial: _Trial, lines: list[Line], plates: Plates, demand: Demand, rules: PotRules
    ) -> Design:
        body, slide = trial.body, trial.slide
        bearing = Pot(body, slide, trial.middle, plates.lower, plates.upper)
        steel = materials.default("plate", rules.basis)
        head = body.diameter if slide is None else seat_size(slide.sheet)[0]
        notes = []
        if rules.basis.family != "irc":
            notes.append(
                "the moment of the pad is an estimate unless a type test is given"
                if getattr(rules, "tested", None) is None
                else "the moment of the pad rests on the type test given"
            )
        if body.rim_radius is None:
            notes.append("the rim of the piston is flat")
        return finished(
            self.name,
            bearing,
            body_parts(body, steel, rules.seal, trial.middle, head),
            lines,
            plates,
            slide,
            [f.thrust for f in trial.strong],
            demand,
            rules.slide,
            play=body.clearance if any(demand.held) else 0.0,
            rotation=self._stiffness(body, trial, rules),
            notes=notes,
        )

    def _moments(self, body: PotBody, force: PotForce, rules: PotRules) -> list[Line]:
        case = force.thrust.case
        lasting = min(math.hypot(case.lasting_rx, case.lasting_ry), force.rotation)
        return [
            placed(rules.restoring(body, lasting, force.rotation - lasting), "pad", case.name),
            placed(rules.rubbing(body, force.thrust.H), "piston", case.name),
        ]

    def _stiffness(
        self, body: PotBody, trial: _Trial, rules: PotRules
    ) -> tuple[float | None, float | None]:
        """Secant stiffness against variable rotation at the largest one, N m/rad."""
        rotation = max(f.rotation for f in trial.strong)
        if rotation <= 0.0:
            return None, None
        stiffness = rules.restoring(body, 0.0, rotation).value / rotation
        return stiffness, stiffness

    def _given_body(self, read: Sizes, demand: Demand, rules: PotRules) -> PotBody:
        diameter, pad = read.number("pad.diameter"), read.number("pad.thickness")
        rim = read.number("piston.rim")
        rotation = max(
            rules.slide.rotation(math.hypot(c.rx, c.ry)) for c in rules.slide.strength(demand)
        )
        count, width, ring_depth = rules.rings(diameter)
        depth = read.number("pot.depth")
        piston = read.number("piston.thickness")
        read.require(depth > pad, "pot.depth", "more than the thickness of the pad")
        read.require(
            depth >= pad + rim - 1e-9, "piston.rim", "a rim that lies inside the depth of the pot"
        )
        read.require(piston >= rim - 1e-9, "piston.thickness", "at least the height of the rim")
        read.require(
            pad + piston > depth,
            "piston.thickness",
            "a piston that stands out of the pot, else the plate above lies on the wall",
        )
        clearance = read.number("piston.clearance", rules.clearance(rim, diameter, rotation))
        read.require(
            clearance < diameter / 20.0, "piston.clearance", "less than a twentieth of the pad"
        )
        radius = read.number("piston.rim_radius") if read.has("piston.rim_radius") else None
        return PotBody(
            diameter,
            pad,
            read.number("pot.wall"),
            read.number("pot.bottom"),
            depth,
            piston,
            rim,
            clearance,
            int(read.number("rings.number", float(count))),
            read.number("rings.width", width),
            read.number("rings.depth", ring_depth),
            radius,
        )


def _case(
    force: PotForce,
    eccentricity: tuple[float, float],
    shift: tuple[float, float],
    patch: float,
) -> SeatingCase:
    case = force.thrust.case
    return SeatingCase(
        limit_state=case.limit_state,
        name=case.name,
        N=case.N,
        Hx=force.thrust.Hx,
        Hy=force.thrust.Hy,
        ex=eccentricity[0] + shift[0],
        ey=eccentricity[1] + shift[1],
        patch_x=patch,
        patch_y=patch,
    )


KIND = PotKind("pot")
