"""Plane sliding bearing: a sheet in a recess of the base plate under a stainless sliding plate.

It lets the superstructure move, and does not turn: the rotation must be small or be taken by
another part. Directions that are held are held by guide bars on the sliding plate.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bedstone.bearings.base import Basis, Demand, Design, Refusal
from bedstone.bearings.common.seating import Seating, SeatingCase
from bedstone.bearings.sliding_design import (
    Plates,
    common_refusal,
    finished,
    fitted,
    outer_plates,
    settled,
)
from bedstone.bearings.sliding_element import (
    Thrust,
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
from bedstone.bearings.sliding_options import OPTIONS, flag, word
from bedstone.bearings.sliding_rules import SlideRules, slide_rules
from bedstone.bearings.sliding_sheet import SheetLoad, Slide
from bedstone.bridge.schema import BearingKind
from bedstone.standards.record import Line

_ELSEWHERE = "plane sliding.rotation_elsewhere"
_SHAPE = "plane sliding.sheet"
_ROUNDS = 60


@dataclass(frozen=True)
class PlaneSliding:
    """Sizes of a plane sliding bearing: its slide and the plates below and above."""

    slide: Slide
    lower: Seating
    upper: Seating

    @property
    def height(self) -> float:
        """From the underside of the base plate to the top of the sliding plate, m."""
        return self.lower.thickness + self.slide.height + self.upper.thickness


def sheet_loads(forces: Sequence[Thrust]) -> list[SheetLoad]:
    """Force on the sheet: the moments of the case move it from the middle.

    Friction and guide forces pass at the height of the sheet, so that they have no lever here.
    """
    found = []
    for thrust in forces:
        case = thrust.case
        N = max(case.N, 1.0)  # a case without load is refused before; 1 N keeps the figures finite
        found.append(SheetLoad(case, case.N, abs(case.My) / N, abs(case.Mx) / N))
    return found


class PlaneSlidingKind:
    """The kind "plane sliding"."""

    name: BearingKind = "plane sliding"
    options: Mapping[str, str] = {
        **OPTIONS,
        _ELSEWHERE: "true: the rotation is taken by another part or shown to be small; default "
        "false: a rotation of the seat is refused",
        _SHAPE: "round (default) or square: shape of the sheet that is sized",
    }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """See `Kind.refuse`."""
        rules = slide_rules(basis)
        common = common_refusal(self.name, demand, rules)
        if common is not None:
            return common
        if all(demand.held):
            return Refusal(
                self.name,
                "a plane sliding bearing moves, and this seat holds both directions",
                "AASHTO LRFD, Table 14.6.2-1 (plane sliding: R for both horizontal forces)",
                "a fixed pot, spherical or rocker bearing",
            )
        if flag(basis, _ELSEWHERE, False):
            return None
        side = first_diameter(demand, rules)
        rotation = max(demand.largest("rx"), demand.largest("ry"))
        follows = rules.follows(rotation, side)
        small = rotation == 0.0 or (follows is not None and (follows.utilisation or 0.0) <= 1.0)
        if small:
            return None
        how = (
            f"; over a sheet of {side * 1e3:.0f} mm that is {rotation * side * 1e3:.2f} mm, more "
            "than the 0.2 mm a flat strip bears (EN 1337-2, 6.4, taken by analogy)"
            if follows is not None
            else ""
        )
        return Refusal(
            self.name,
            f"the seat turns by {rotation * 1e3:.2f} mrad and a plane sliding bearing does not "
            f"turn{how}",
            "AASHTO LRFD, Table 14.6.2-1 (plane sliding: U for rotation)",
            "a rotating part: pot on slide, spherical, rocker; or show the rotation to be taken "
            f"elsewhere (option {_ELSEWHERE})",
        )

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """See `Kind.size`."""
        return settled(self, demand, basis, lambda: self._size(demand, basis))

    def _size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        rules = slide_rules(basis)
        found = fitted(
            demand,
            lambda leading: self._fit(leading, rules),
            lambda slide: (slide, self._checks(slide, demand, rules)),
        )
        if isinstance(found, Refusal):
            return found
        slide, lines = found
        return self._design(slide, lines, self._plates(slide, demand, rules), demand, rules)

    def _fit(self, demand: Demand, rules: SlideRules) -> Slide:
        """The smallest sheet that holds, with its slide."""
        shape = word(rules.basis, _SHAPE, ("round", "square"), "round")
        side = first_diameter(demand, rules)
        if shape == "square":
            side = math.ceil(side * math.sqrt(math.pi) / 2.0 * 100.0 - 1e-9) / 100.0
        for _ in range(_ROUNDS):
            sheet = make_sheet(rules, side, side, round_=shape == "round")
            slide = make_slide(demand, rules, sheet, demand.held, seat_size(sheet))
            use = worst(rules.contact(sheet, sheet_loads(_all(slide, demand, rules))))
            if use <= 1.0:
                break
            side = next_side(side, use)
        return slide

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """See `Kind.given`."""
        rules = slide_rules(basis)
        read = Sizes(sizes, self.fields())
        slide = given_slide(read, rules, demand.held)
        read.done()
        plates = self._plates(slide, demand, rules, read)
        return self._design(slide, self._checks(slide, demand, rules), plates, demand, rules)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """See `Kind.check`."""
        assert isinstance(bearing, PlaneSliding)
        rules = slide_rules(basis)
        slide = bearing.slide
        plates = self._plates(slide, demand, rules, standing=bearing)
        return self._design(slide, self._checks(slide, demand, rules), plates, demand, rules)

    def fields(self) -> Mapping[str, str]:
        """See `Kind.fields`."""
        return {**SLIDE_FIELDS, **PLATE_FIELDS}

    def _plates(
        self,
        slide: Slide,
        demand: Demand,
        rules: SlideRules,
        sizes: Sizes | None = None,
        standing: PlaneSliding | None = None,
    ) -> Plates:
        seat = seat_size(slide.sheet)
        forces = thrusts(rules.strength(demand), demand, rules, slide.sheet, slide.guides)
        backing = rules.backing(slide.sheet.around) + slide.sheet.thickness

        def below(thickness: float) -> list[SeatingCase]:
            return [_seating_case(t, slide, thickness, (0.0, 0.0)) for t in forces]

        def above(thickness: float) -> list[SeatingCase]:
            return [_seating_case(t, slide, thickness, slide.shift(t.case)) for t in forces]

        return outer_plates(
            below,
            above,
            demand,
            rules.basis,
            lower=(*seat, backing),
            upper=(*plate_sizes(slide, seat), rules.backing(slide.sheet.around)),
            upper_name="sliding plate",
            sizes=sizes,
            standing=standing,
        )

    def _checks(self, slide: Slide, demand: Demand, rules: SlideRules) -> list[Line]:
        """All lines but those of the outer plates."""
        forces = _all(slide, demand, rules)
        strong = [t for t in forces if t.case in rules.strength(demand)]
        # The base plate is made to hold the sheet with this much behind it.
        backing = max(rules.backing(slide.sheet.around) + slide.sheet.protrusion, 1e-6)
        return slide_lines(slide, sheet_loads(forces), strong, demand, rules, backing)

    def _design(
        self, slide: Slide, lines: list[Line], plates: Plates, demand: Demand, rules: SlideRules
    ) -> Design:
        return finished(
            self.name,
            PlaneSliding(slide, plates.lower, plates.upper),
            (),
            lines,
            plates,
            slide,
            thrusts(rules.strength(demand), demand, rules, slide.sheet, slide.guides),
            demand,
            rules,
            notes=["the rotation of the seat must be taken by another part or be small"],
        )


def _all(slide: Slide, demand: Demand, rules: SlideRules) -> list[Thrust]:
    """Horizontal forces of every case that a sheet is checked for."""
    cases = {id(case): case for case in (*demand.strength, *demand.service)}
    cases |= {id(case): case for case in demand.of("permanent")}
    return thrusts(cases.values(), demand, rules, slide.sheet, slide.guides)


def _seating_case(
    thrust: Thrust, slide: Slide, lever: float, shift: tuple[float, float]
) -> SeatingCase:
    """What a case brings to an outer plate, `lever` (m) from where H acts to its outer face.

    `shift` (m, m): how far the contact lies off the plate's middle.
    """
    case = thrust.case
    N = max(case.N, 1.0)
    return SeatingCase(
        limit_state=case.limit_state,
        name=case.name,
        N=case.N,
        Hx=thrust.Hx,
        Hy=thrust.Hy,
        ex=abs(case.My) / N + thrust.Hx * lever / N + shift[0],
        ey=abs(case.Mx) / N + thrust.Hy * lever / N + shift[1],
        patch_x=slide.sheet.length,
        patch_y=slide.sheet.width,
    )


KIND = PlaneSlidingKind()
