"""The kinds that turn on a curved sheet: how they are refused, sized and checked."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed
from bedstone.bearings.common.seating import SeatingCase
from bedstone.bearings.sliding_design import (
    Plates,
    checked_cases,
    common_refusal,
    failing,
    finished,
    fitted,
    outer_plates,
    settled,
)
from bedstone.bearings.sliding_element import (
    Thrust,
    first_diameter,
    make_slide,
    next_side,
    plate_sizes,
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
from bedstone.bearings.sliding_options import OPTIONS, flag, number, word
from bedstone.bearings.sliding_rules import SlideRules, slide_rules
from bedstone.bearings.sliding_sheet import (
    SHOULDER,
    Sheet,
    SheetLoad,
    Slide,
    leading_loads,
    sheet_part,
)
from bedstone.bearings.spherical_checks import State, Trial, shape_lines, strength_lines
from bedstone.bearings.spherical_sizes import Shape, flat_sheet, given_curve, sized_curve
from bedstone.bearings.spherical_statics import (
    Curve,
    CurvedBearing,
    curve_parts,
    curved_eccentricity,
    flat_eccentricity,
    friction_moment,
)
from bedstone.bridge.schema import BearingKind
from bedstone.standards.record import Line

_ROUNDS = 40
_STEP = 0.01
#: Radius over chord that are tried, the lightest taken; common practice, no source.
_PROPORTIONS = (1.0, 1.25, 1.5, 2.0)

_CURVE_FIELDS: Mapping[str, str] = {
    "curve.radius": "m, radius of the curved sheet",
    "curve.length": "m, chord of the curved sheet along x', or its diameter (projection)",
    "curve.width": "m, width of a cylindrical sheet along y'",
    "curve.thickness": "m, curved sheet; left out: as the family asks",
    "segment.length": "m, convex segment along x', or its diameter",
    "segment.width": "m, convex segment of a cylindrical bearing along y'",
    "segment.edge": "m, thickness of the segment at its edge",
    "block.length": "m, concave block along x', or its diameter",
    "block.width": "m, concave block along y'; left out: as its length",
    "block.centre": "m, thickness of the block under the lowest point of the sheet",
}


class CurvedKind:
    """A spherical or cylindrical bearing; a cylindrical one turns about y' alone."""

    options: Mapping[str, str]

    def __init__(self, name: Shape) -> None:
        self.name: BearingKind = name
        self._shape: Shape = name
        self._restraint = f"{name}.restraint"
        self._elsewhere = f"{name}.rotation_elsewhere"
        self._proportion = f"{name}.proportion"
        own = {
            self._restraint: "guides (default): bars hold what is held; curved surface: a fixed "
            "bearing holds by its curve alone",
        }
        if name == "cylindrical":
            own |= {
                self._elsewhere: "true: the rotation about x' is taken by another part or shown to "
                "be small; default false",
                self._proportion: "width over chord of the curved sheet; default 1",
            }
        self.options = {**OPTIONS, **own}

    # ---------------------------------------------------------------- the protocol
    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """See `Kind.refuse`."""
        return self._refuse(demand, basis, slide_rules(basis))

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """See `Kind.size`."""
        return settled(self, demand, basis, lambda: self._size(demand, basis))

    def _size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        rules = slide_rules(basis)

        def check(fit: Trial) -> tuple[Trial, list[Line]]:
            whole = self._with_states(fit.curve, fit.slide, demand, rules)
            return whole, self._checks(whole, demand, rules)

        found = fitted(demand, lambda leading: self._fit(leading, rules), check)
        if isinstance(found, Refusal):
            return found
        trial, lines = found
        return self._design(trial, lines, self._plates(trial, demand, rules), demand, rules)

    def _fit(self, demand: Demand, rules: SlideRules) -> Trial | Refusal:
        """The lightest curve that holds, with its slide."""
        steel = materials.default("plate", rules.basis)
        best: tuple[float, Trial] | None = None
        failed: list[list[Line]] = []
        for proportion in _PROPORTIONS:
            found = self._trial(proportion, demand, rules, best[1] if best is not None else None)
            if isinstance(found, list):
                failed.append(found)
                continue
            mass = sum(part.mass for part in curve_parts(found.curve, steel, ""))
            if best is not None and mass >= best[0]:
                # Flatter still: the eccentricities grow with the radius, and the sheets with them.
                break
            best = (mass, found)
        if best is not None:
            return best[1]
        return failing(
            self.name,
            min(failed, key=worst),
            demand,
            "hold the horizontal force by guides or by a guide bearing beside "
            f"(option {self._restraint}), or another arrangement",
        )

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """See `Kind.given`."""
        rules = slide_rules(basis)
        read = Sizes(sizes, self.fields())
        curve = given_curve(self._shape, read, rules)
        slide = None
        if not self._by_curve(demand, rules):
            slide = given_slide(read, rules, demand.held)
        read.done()
        trial = self._with_states(curve, slide, demand, rules)
        lines = self._checks(trial, demand, rules)
        return self._design(trial, lines, self._plates(trial, demand, rules, read), demand, rules)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """See `Kind.check`."""
        assert isinstance(bearing, CurvedBearing)
        rules = slide_rules(basis)
        trial = self._with_states(bearing.curve, bearing.slide, demand, rules)
        lines = self._checks(trial, demand, rules)
        plates = self._plates(trial, demand, rules, standing=bearing)
        return self._design(trial, lines, plates, demand, rules)

    def fields(self) -> Mapping[str, str]:
        """See `Kind.fields`."""
        return {**_CURVE_FIELDS, **SLIDE_FIELDS, **PLATE_FIELDS}

    # ---------------------------------------------------------------- limits of the kind
    def _refuse(self, demand: Demand, basis: Basis, rules: SlideRules) -> Refusal | None:
        common = common_refusal(self.name, demand, rules)
        if common is not None:
            return common
        if self._shape == "spherical" or flag(basis, self._elsewhere, False):
            return None
        rotation = demand.largest("rx")
        side = first_diameter(demand, rules, curved=True)
        follows = rules.follows(rotation, side)
        if rotation == 0.0 or (follows is not None and (follows.utilisation or 0.0) <= 1.0):
            return None
        return Refusal(
            self.name,
            f"the seat turns by {rotation * 1e3:.2f} mrad about x' and a cylindrical bearing turns "
            "about y' alone"
            + (
                f"; over a sheet {side * 1e3:.0f} mm wide that is {rotation * side * 1e3:.2f} mm, "
                "more than the 0.2 mm a sheet bears (EN 1337-2, 6.4, taken by analogy)"
                if follows is not None
                else ""
            ),
            "AASHTO LRFD, Table 14.6.2-1 (curved sliding cylindrical: U about the other axis)",
            "a spherical or pot bearing; or show the rotation to be taken elsewhere (option "
            f"{self._elsewhere})",
        )

    def _by_curve(self, demand: Demand, rules: SlideRules) -> bool:
        """Whether the curve alone holds: fixed, and chosen so."""
        allowed = ("guides", "curved surface")
        chosen = word(rules.basis, self._restraint, allowed, "guides") == "curved surface"
        return chosen and all(demand.held)

    # ---------------------------------------------------------------- forces
    def _states(
        self,
        slide: Slide | None,
        area: float,
        cases: Sequence[DemandCase],
        demand: Demand,
        rules: SlideRules,
    ) -> list[State]:
        sheet = slide.sheet if slide is not None else None
        guides = slide.guides if slide is not None else ()
        return [
            self._state(thrust, sheet, area, rules)
            for thrust in thrusts(cases, demand, rules, sheet, guides)
        ]

    def _state(self, thrust: Thrust, sheet: Sheet | None, area: float, rules: SlideRules) -> State:
        case = thrust.case
        N = max(case.N, 1.0)
        if sheet is None:
            slope = thrust.H / N  # the curve itself holds
        else:
            # The flat sheet slips when the bearing turns, held or not.
            slope = rules.coefficient(N / sheet.area)
        turn = math.hypot(case.rx, case.ry) if self._shape == "spherical" else abs(case.ry)
        return State(thrust, slope, rules.coefficient(N / area, curved=True), rules.rotation(turn))

    def _with_states(
        self, curve: Curve, slide: Slide | None, demand: Demand, rules: SlideRules
    ) -> Trial:
        strong, others = checked_cases(demand, rules)
        area = curve.sheet.area
        first = self._states(slide, area, strong, demand, rules)
        return Trial(
            curve, slide, first, [*first, *self._states(slide, area, others, demand, rules)]
        )

    def _sheets_alone(self, curve: Curve, slide: Slide, demand: Demand, rules: SlideRules) -> Trial:
        """What a search for sheets asks: the thrusts are left out, as friction alone leans here."""
        sheet, area = slide.sheet, curve.sheet.area
        first, rest = (
            [self._state(Thrust(case, 0.0, 0.0), sheet, area, rules) for case in among]
            for among in checked_cases(demand, rules)
        )
        return Trial(curve, slide, first, [*first, *rest])

    def _loads(self, trial: Trial, *, curved: bool) -> list[SheetLoad]:
        """Force on a sheet in all cases; a cylinder does not turn about x', so that Mx counts."""
        found = []
        for state in trial.all:
            case = state.thrust.case
            if curved:
                e = curved_eccentricity(trial.curve, state.mu, state.slope)
            else:
                e = flat_eccentricity(trial.curve, state.mu, state.slope, state.rotation)
            across = abs(case.Mx) / max(case.N, 1.0) if self._shape == "cylindrical" else 0.0
            found.append(SheetLoad(case, case.N, e, across))
        return found

    # ---------------------------------------------------------------- sizing
    def _trial(
        self, proportion: float, demand: Demand, rules: SlideRules, before: Trial | None
    ) -> Trial | list[Line]:
        """The smallest bearing with radius over chord near `proportion`, or what did not hold.

        `before`: the smallest one of a steeper curve. A flatter one has the larger eccentricities,
        so that its sheets are not smaller.
        """
        by_curve = self._by_curve(demand, rules)
        round_ = self._shape == "spherical"
        ratio = 1.0 if round_ else number(rules.basis, self._proportion, 1.0, least=0.25) or 1.0
        chord = first_diameter(demand, rules, curved=True)
        flat = 0.0 if by_curve else first_diameter(demand, rules)
        rotation = max(
            rules.rotation(math.hypot(c.rx, c.ry) if round_ else abs(c.ry))
            for c in rules.strength(demand)
        )
        if not round_:
            to_side = math.sqrt(math.pi / 4.0 / ratio) / _STEP
            chord = math.ceil(chord * to_side - 1e-9) * _STEP
            flat = math.ceil(flat * to_side - 1e-9) * _STEP
        if before is not None:
            chord = max(chord, before.curve.sheet.length)
            flat = max(flat, before.slide.sheet.length if before.slide is not None else 0.0)
        for _ in range(_ROUNDS):
            curve = sized_curve(self._shape, chord, ratio, proportion, flat, rotation, rules)
            slide = None
            if not by_curve:
                sheet = flat_sheet(self._shape, flat, ratio, rules)
                seat = (curve.block_length, curve.block_width)
                slide = make_slide(demand, rules, sheet, demand.held, seat, drop=curve.gap)
            trial = (
                self._with_states(curve, None, demand, rules)
                if slide is None
                else self._sheets_alone(curve, slide, demand, rules)
            )
            pressed = leading_loads(self._loads(trial, curved=True))
            lines = [
                *rules.contact(curve.sheet, pressed, curved=True),
                *strength_lines(trial, demand, rules),
            ]
            use = worst(lines)
            flat_lines = (
                rules.contact(slide.sheet, leading_loads(self._loads(trial, curved=False)))
                if slide is not None
                else []
            )
            above = worst(flat_lines)
            if use <= 1.0 and above <= 1.0:
                return trial
            # Where eccentricity grows with the radius more size does not help for ever.
            if chord > 1.5 or flat > 1.5:
                break
            if use > 1.0:
                chord = next_side(chord, min(use, 2.0))
            if above > 1.0:
                flat = next_side(flat, min(above, 2.0))
        return [*lines, *flat_lines]

    # ---------------------------------------------------------------- outer plates
    def _plates(
        self,
        trial: Trial,
        demand: Demand,
        rules: SlideRules,
        sizes: Sizes | None = None,
        standing: CurvedBearing | None = None,
    ) -> Plates:
        curve, slide = trial.curve, trial.slide
        block = (
            series.length(curve.block_length + 2.0 * SHOULDER, _STEP),
            series.length(curve.block_width + 2.0 * SHOULDER, _STEP),
            0.0,
        )
        name = "top plate"
        upper = (
            series.length(curve.segment_length, _STEP),
            series.length(curve.segment_width, _STEP),
            0.0,
        )
        if slide is not None:
            name = "sliding plate"
            plan = plate_sizes(slide, (curve.block_length, curve.block_width))
            upper = (plan[0], plan[1], rules.backing(slide.sheet.around))

        def below(thickness: float) -> list[SeatingCase]:
            return [
                self._seating(
                    s,
                    friction_moment(curve, s.mu, s.slope if slide is not None else 0.0, 1.0),
                    # Held by the curve alone, H passes through its centre.
                    thickness + curve.block_centre + curve.radius
                    if slide is None
                    else thickness + curve.height,
                    (curve.block_length, curve.block_width),
                    None,
                )
                for s in trial.strong
            ]

        def above(thickness: float) -> list[SeatingCase]:
            if slide is None:
                lever = abs(curve.radius - curve.segment - thickness)
                size = (curve.segment_length, curve.segment_width)
                return [
                    self._seating(s, s.mu * curve.radius, lever, size, None) for s in trial.strong
                ]
            size = (slide.sheet.length, slide.sheet.width)
            return [
                self._seating(
                    s,
                    flat_eccentricity(curve, s.mu, s.slope, s.rotation),
                    slide.height + thickness,
                    size,
                    slide,
                )
                for s in trial.strong
            ]

        return outer_plates(
            below,
            above,
            demand,
            rules.basis,
            lower=block,
            upper=upper,
            upper_name=name,
            sizes=sizes,
            standing=standing,
        )

    def _seating(
        self,
        state: State,
        eccentricity: float,
        lever: float,
        patch: tuple[float, float],
        slide: Slide | None,
    ) -> SeatingCase:
        """One case at an outer face; the friction leans the way the bearing turns."""
        case = state.thrust.case
        N = max(case.N, 1.0)
        turn = math.hypot(case.rx, case.ry)
        to_x, to_y = (abs(case.ry) / turn, abs(case.rx) / turn) if turn > 0.0 else (1.0, 0.0)
        fixed_y = 0.0
        if self._shape == "cylindrical":
            to_x, to_y, fixed_y = 1.0, 0.0, abs(case.Mx) / N
        shift_x, shift_y = slide.shift(case) if slide is not None else (0.0, 0.0)
        return SeatingCase(
            limit_state=case.limit_state,
            name=case.name,
            N=case.N,
            Hx=state.thrust.Hx,
            Hy=state.thrust.Hy,
            ex=eccentricity * to_x + state.thrust.Hx * lever / N + shift_x,
            ey=eccentricity * to_y + state.thrust.Hy * lever / N + shift_y + fixed_y,
            patch_x=patch[0],
            patch_y=patch[1],
        )

    # ---------------------------------------------------------------- result
    def _checks(self, trial: Trial, demand: Demand, rules: SlideRules) -> list[Line]:
        """All lines but those of the outer plates."""
        curve, slide = trial.curve, trial.slide
        recess = curve.sheet.thickness - curve.sheet.protrusion
        around = max(curve.segment_length, curve.segment_width)
        pressure = max(demand.permanent, 0.0) / curve.sheet.area
        part = "curved sliding sheet"
        lines = [
            *rules.contact(curve.sheet, self._loads(trial, curved=True), curved=True),
            *strength_lines(trial, demand, rules),
            *shape_lines(self._shape, trial, rules),
            placed(rules.friction(pressure, curved=True), part, "permanent actions"),
            *(
                replace(line, part=part)
                for line in rules.sheet_lines(
                    curve.sheet, rules.stainless(around), around, curve.block_centre - recess
                )
            ),
        ]
        if slide is not None:
            flat_recess = slide.sheet.thickness - slide.sheet.protrusion
            lines += slide_lines(
                slide,
                self._loads(trial, curved=False),
                [s.thrust for s in trial.strong],
                demand,
                rules,
                curve.segment - flat_recess,
            )
        return lines

    def _design(
        self, trial: Trial, lines: list[Line], plates: Plates, demand: Demand, rules: SlideRules
    ) -> Design:
        curve, slide = trial.curve, trial.slide
        bearing = CurvedBearing(curve, slide, plates.lower, plates.upper)
        steel = materials.default("plate", rules.basis)
        mating = "hard chrome or austenitic steel"
        notes = ["eccentricities by statics about the centre of the curve"]
        if self._shape == "cylindrical":
            notes.append("turns about y' alone")
        return finished(
            self.name,
            bearing,
            (
                *curve_parts(curve, steel, mating),
                sheet_part(curve.sheet, rules.curved_material, curved=True),
            ),
            lines,
            plates,
            slide,
            [s.thrust for s in trial.strong],
            demand,
            rules,
            notes=notes,
        )
