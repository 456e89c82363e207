"""Disc bearing: a disc of polyether urethane between steel plates, with a pin that holds.

The disc carries and turns; the pin in its middle takes all horizontal force. It slides on a sheet
in the plate above the disc where it must move. Rules: AASHTO LRFD 14.7.8; neither EN 1337 nor
IRC:83 has any.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Design,
    Part,
    Refusal,
)
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.materials import STEEL_DENSITY
from bedstone.bearings.common.rules import governing, placed
from bedstone.bearings.common.seating import Seating, SeatingCase
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
    Thrust,
    derived,
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
from bedstone.bearings.sliding_options import OPTIONS, number, refuse
from bedstone.bearings.sliding_rules import SlideRules, slide_rules
from bedstone.bearings.sliding_sheet import SHOULDER, SheetLoad, Slide
from bedstone.bridge.schema import BearingKind
from bedstone.standards.aashto import disc as aashto
from bedstone.standards.record import Line, Quantity

_STEP = 0.01
_ROUNDS = 60
#: Clearance of the pin in the disc and in the plate it presses on (each side), m, and its grip in
#: that plate over its diameter; common practice, no source.
_DISC_CLEARANCE = 0.003
_PIN_CLEARANCE = 0.001
_GRIP = 0.5
#: kg/m3, polyether urethane; common practice, no source.
_DENSITY = 1150.0

_FIELDS: Mapping[str, str] = {
    "disc.diameter": "m",
    "disc.thickness": "m, unstressed",
    "disc.modulus": "Pa, secant modulus of compression from the maker's test",
    "pin.diameter": "m",
    "ring.depth": "m, of the limiting rings around the disc",
    "middle.thickness": "m, plate above the disc that holds the sliding sheet",
}


@dataclass(frozen=True)
class DiscBody:
    """Disc, pin and rings as made; m.

    `modulus` (Pa) of compression that the disc must show; `plate`: thickness of the plate
    above the disc (0: the top plate itself).
    """

    diameter: float
    thickness: float
    modulus: float
    pin: float
    ring: float
    plate: float

    @property
    def hole(self) -> float:
        """Diameter of the hole in the disc, m."""
        return self.pin + 2.0 * _DISC_CLEARANCE

    @property
    def area(self) -> float:
        """Area of the disc less its hole, m2."""
        return math.pi / 4.0 * (self.diameter**2 - self.hole**2)

    @property
    def lever(self) -> float:
        """From the plate below the disc to the middle of the pin's grip above it, m."""
        return self.thickness + _GRIP * self.pin / 2.0

    def stiffness(self) -> float:
        """Moment for a unit rotation, N m/rad: E I/h of the ring-shaped section (derived)."""
        inertia = math.pi / 64.0 * (self.diameter**4 - self.hole**4)
        return self.modulus * inertia / self.thickness


@dataclass(frozen=True)
class Disc:
    """A disc bearing as made."""

    body: DiscBody
    slide: Slide | None
    lower: Seating
    upper: Seating

    @property
    def height(self) -> float:
        """From the underside of the base plate to the top of the upper plate, m."""
        slide = self.slide.height if self.slide is not None else 0.0
        plates = self.lower.thickness + self.body.plate + self.upper.thickness
        return plates + self.body.thickness + slide


@dataclass(frozen=True)
class _State:
    thrust: Thrust
    rotation: float

    def eccentricity(self, body: DiscBody, lever: float) -> tuple[float, float]:
        """Eccentricity (m) of N: moment of the disc and H at a lever (m), in the direction of H."""
        case = self.thrust.case
        total = (body.stiffness() * self.rotation + self.thrust.H * lever) / max(case.N, 1.0)
        x, y = self.thrust.Hx, self.thrust.Hy
        if x == 0.0 and y == 0.0:
            x, y = abs(case.ry), abs(case.rx)
        size = math.hypot(x, y)
        return (total * x / size, total * y / size) if size > 0.0 else (total, 0.0)


@dataclass(frozen=True)
class _Trial:
    body: DiscBody
    slide: Slide | None
    strong: list[_State]
    all: list[_State]


class DiscKind:
    """The kind "disc"."""

    name: BearingKind = "disc"
    options: Mapping[str, str] = {
        **OPTIONS,
        "disc.modulus": "Pa, secant modulus of compression from the maker's test; default the "
        "softest that keeps the deflection of AASHTO 14.7.8.3, then to be proved by the test",
        "steel.pin": "steel of the shear pin by name",
    }

    # ---------------------------------------------------------------- the protocol
    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """See `Kind.refuse`."""
        if basis.family != "aashto":
            return Refusal(
                self.name,
                "no rule of this family covers discs of polyether urethane",
                "scope of EN 1337-1 to -8" if basis.family == "eurocode" else "scope of IRC:83",
                "a pot or spherical bearing; or an assessment of the product by a technical body",
            )
        return common_refusal(self.name, demand, slide_rules(basis))

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """See `Kind.size`."""
        return settled(self, demand, basis, lambda: self._size(demand, basis))

    def _size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        rules = slide_rules(basis)

        def check(fit: _Trial) -> tuple[_Trial, list[Line]]:
            whole = self._with_states(fit.body, fit.slide, demand, rules)
            return whole, self._checks(whole, demand, rules)

        found = fitted(demand, lambda leading: self._trial(leading, rules), check)
        if isinstance(found, Refusal):
            return found
        trial, lines = found
        if worst(lines) > 1.0:
            return failing(
                self.name, lines, demand, "a pot or spherical bearing, or a stiffer superstructure"
            )
        return self._design(trial, lines, self._plates(trial, demand, rules), demand, rules)

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """See `Kind.given`."""
        if basis.family != "aashto":
            raise refuse("kind", "'disc'", "a disc with the rules of AASHTO LRFD 14.7.8 alone")
        rules = slide_rules(basis)
        read = Sizes(sizes, self.fields())
        moves = not all(demand.held)
        slide = given_slide(read, rules, demand.held) if moves else None
        body = DiscBody(
            read.number("disc.diameter"),
            read.number("disc.thickness"),
            read.number("disc.modulus"),
            read.number("pin.diameter"),
            read.number("ring.depth"),
            read.number("middle.thickness") if moves else 0.0,
        )
        read.require(
            body.hole < body.diameter, "pin.diameter", "a pin that fits the hole of the disc"
        )
        read.require(
            2.0 * body.ring < body.thickness, "ring.depth", "less than half the disc's thickness"
        )
        read.done()
        trial = self._with_states(body, slide, demand, rules)
        lines = self._checks(trial, demand, rules)
        return self._design(trial, lines, self._plates(trial, demand, rules, read), demand, rules)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """See `Kind.check`."""
        assert isinstance(bearing, Disc)
        rules = slide_rules(basis)
        trial = self._with_states(bearing.body, bearing.slide, demand, rules)
        lines = self._checks(trial, demand, rules)
        plates = self._plates(trial, demand, rules, standing=bearing)
        return self._design(trial, lines, plates, demand, rules)

    def fields(self) -> Mapping[str, str]:
        """See `Kind.fields`."""
        return {**_FIELDS, **SLIDE_FIELDS, **PLATE_FIELDS}

    # ---------------------------------------------------------------- forces
    def _states(
        self, slide: Slide | None, cases: Sequence[DemandCase], demand: Demand, rules: SlideRules
    ) -> list[_State]:
        sheet = slide.sheet if slide is not None else None
        guides = slide.guides if slide is not None else ()
        return [
            _State(t, rules.rotation(math.hypot(t.case.rx, t.case.ry), disc=True))
            for t in thrusts(cases, demand, rules, sheet, guides)
        ]

    def _with_states(
        self, body: DiscBody, slide: Slide | None, demand: Demand, rules: SlideRules
    ) -> _Trial:
        strong, others = checked_cases(demand, rules)
        first = self._states(slide, strong, demand, rules)
        return _Trial(body, slide, first, [*first, *self._states(slide, others, demand, rules)])

    def _sheet_loads(self, trial: _Trial, slide: Slide) -> list[SheetLoad]:
        body = trial.body
        lever = body.thickness - body.lever + body.plate + slide.sheet.protrusion
        return [
            SheetLoad(s.thrust.case, s.thrust.case.N, *s.eccentricity(body, lever))
            for s in trial.all
        ]

    # ---------------------------------------------------------------- sizing
    def _trial(self, demand: Demand, rules: SlideRules) -> _Trial:
        side = 0.0 if all(demand.held) else first_diameter(demand, rules)
        slide: Slide | None = None
        plate = 0.0
        for _ in range(_ROUNDS):
            if side > 0.0:
                sheet = make_sheet(rules, side, side)
                slide = make_slide(demand, rules, sheet, demand.held, seat_size(sheet))
                plate = middle_plate(slide, rules)
            body = self._body(slide, plate, demand, rules)
            trial = self._with_states(body, slide, demand, rules)
            if slide is None:
                break
            use = worst(rules.contact(slide.sheet, self._sheet_loads(trial, slide)))
            if use <= 1.0:
                break
            side = next_side(side, min(use, 2.0))
        return trial

    def _body(
        self, slide: Slide | None, plate: float, demand: Demand, rules: SlideRules
    ) -> DiscBody:
        """The smallest disc for the load, its thickness for the rotation and its pin for H."""
        states = self._states(slide, rules.strength(demand), demand, rules)
        service = rules.service(demand)
        load = max(case.N for case in service)
        force = max(state.thrust.H for state in states)
        limit = rules.values.number("disc.stress")
        own = number(rules.basis, "disc.modulus", None, least=1.0)
        pin = 0.03
        body = DiscBody(1.0, 0.02, 1.0, pin, 0.005, plate)
        for _ in range(_ROUNDS):
            hole = pin + 2.0 * _DISC_CLEARANCE
            diameter = series.length(math.sqrt(4.0 * load / (math.pi * limit) + hole**2), _STEP)
            body = DiscBody(diameter, 0.02, 1.0, pin, 0.005, plate)
            modulus = own or aashto.softest(rules.values, load / body.area) * (1.0 + 1e-9)
            # Enough thickness that the edge stays pressed in every case at service.
            needed = max(
                rules.rotation(math.hypot(case.rx, case.ry), disc=True)
                * diameter
                / 2.0
                * modulus
                / (case.N / body.area)
                for case in service
            )
            ring = series.length(rules.values.number("disc.ring") * diameter, 0.001)
            # ... and that the rings do not touch when it is pressed and turned.
            turned = max(state.rotation for state in states) * diameter / 2.0
            open_ = (2.0 * ring + turned) / max(1.0 - load / body.area / modulus, 0.1)
            thickness = series.length(max(needed, open_, 0.02), 0.005)
            body = DiscBody(diameter, thickness, modulus, pin, ring, plate)
            steel = materials.steel_for("pin", pin, rules.basis)
            if (
                force == 0.0
                or worst(aashto.pin(rules.values, force, body.lever, pin, steel.fy)) <= 1.0
            ):
                break
            bigger = series.at_least("pins", rules.basis.family, pin + 0.001)
            if bigger is None:
                break
            pin = bigger
        return body

    # ---------------------------------------------------------------- checks
    def _body_lines(self, trial: _Trial, demand: Demand, rules: SlideRules) -> list[Line]:
        body, values = trial.body, rules.values
        service = rules.service(demand)
        heaviest = max(service, key=lambda case: case.N)
        stress = aashto.disc_stress(values, heaviest.N, body.diameter, body.hole)
        steel = materials.steel_for("pin", body.pin, rules.basis)
        pushed = max(trial.strong, key=lambda state: state.thrust.H)
        lift = [
            placed(
                aashto.no_lift_off(
                    values,
                    case.N / body.area,
                    body.modulus,
                    body.thickness,
                    body.diameter,
                    rules.rotation(math.hypot(case.rx, case.ry), disc=True),
                ),
                "disc",
                case.name,
            )
            for case in service
        ]
        turned = max(trial.strong, key=lambda state: state.rotation)
        closed = body.thickness * (1.0 - stress.value / body.modulus) - 2.0 * body.ring
        name = pushed.thrust.case.name
        return [
            placed(stress, "disc", heaviest.name),
            *(
                placed(line, "disc", heaviest.name)
                for line in aashto.deflection(values, stress.value, body.modulus)
            ),
            governing(lift),
            placed(aashto.limiting_ring(values, body.ring, body.diameter), "limiting ring"),
            derived(
                "Limiting rings do not touch",
                "D theta/2 <= h (1 - sigma/E) - 2 rings",
                Quantity("drop", body.diameter / 2.0 * turned.rotation, "m"),
                Quantity("room", max(closed, 0.0), "m"),
                "limiting ring",
                turned.thrust.case.name,
            ),
            *(
                placed(line, "pin", name, steel.basis)
                for line in aashto.pin(values, pushed.thrust.H, body.lever, body.pin, steel.fy)
            ),
        ]

    # ---------------------------------------------------------------- outer plates
    def _plates(
        self,
        trial: _Trial,
        demand: Demand,
        rules: SlideRules,
        sizes: Sizes | None = None,
        standing: Disc | None = None,
    ) -> Plates:
        body, slide = trial.body, trial.slide
        outside = series.length(body.diameter + 4.0 * SHOULDER, _STEP)
        name, upper = "top plate", (outside, outside, _GRIP * body.pin)
        if slide is not None:
            name = "sliding plate"
            plan = plate_sizes(slide, seat_size(slide.sheet))
            upper = (plan[0], plan[1], rules.backing(slide.sheet.around))
        above_grip = body.thickness - body.lever

        def case(state: _State, lever: float, patch: float, moving: Slide | None) -> SeatingCase:
            c = state.thrust.case
            ex, ey = state.eccentricity(body, lever)
            if moving is not None:
                shift = moving.shift(c)
                ex, ey = ex + shift[0], ey + shift[1]
            return SeatingCase(
                c.limit_state, c.name, c.N, state.thrust.Hx, state.thrust.Hy, ex, ey, patch, patch
            )

        def below(thickness: float) -> list[SeatingCase]:
            return [case(s, body.lever + thickness, body.diameter, None) for s in trial.strong]

        def above(thickness: float) -> list[SeatingCase]:
            if slide is None:
                return [
                    case(s, max(above_grip + thickness, 0.0), body.diameter, None)
                    for s in trial.strong
                ]
            lever = above_grip + body.plate + slide.height + thickness
            return [case(s, lever, slide.sheet.length, slide) for s in trial.strong]

        return outer_plates(
            below,
            above,
            demand,
            rules.basis,
            lower=(outside, outside, _GRIP * body.pin),
            upper=upper,
            upper_name=name,
            sizes=sizes,
            standing=standing,
        )

    # ---------------------------------------------------------------- result
    def _checks(self, trial: _Trial, demand: Demand, rules: SlideRules) -> list[Line]:
        """All lines but those of the outer plates."""
        body, slide = trial.body, trial.slide
        lines = self._body_lines(trial, demand, rules)
        if slide is not None:
            lines += slide_lines(
                slide,
                self._sheet_loads(trial, slide),
                [s.thrust for s in trial.strong],
                demand,
                rules,
                body.plate - (slide.sheet.thickness - slide.sheet.protrusion),
            )
        return lines

    def _design(
        self, trial: _Trial, lines: list[Line], plates: Plates, demand: Demand, rules: SlideRules
    ) -> Design:
        body, slide = trial.body, trial.slide
        bearing = Disc(body, slide, plates.lower, plates.upper)
        least, most = aashto.hardness(rules.values)
        stiffness = body.stiffness()
        return finished(
            self.name,
            bearing,
            self._parts(trial, rules),
            lines,
            plates,
            slide,
            [s.thrust for s in trial.strong],
            demand,
            rules,
            play=_PIN_CLEARANCE if any(demand.held) else 0.0,
            rotation=(stiffness, stiffness),
            notes=(
                f"hardness of the disc {least:.0f} to {most:.0f} Shore D",
                f"modulus of compression the maker's test must show: {body.modulus / 1e6:.0f} MPa",
            ),
        )

    def _parts(self, trial: _Trial, rules: SlideRules) -> list[Part]:
        body, mm = trial.body, 1e3
        steel = materials.default("plate", rules.basis)
        ring_area = math.pi * (body.diameter + 0.01) * 0.01
        parts = [
            Part(
                "disc",
                "polyether urethane",
                f"{body.diameter * mm:.0f} dia. x {body.thickness * mm:.0f}, hole "
                f"{body.hole * mm:.0f}",
                {"diameter": body.diameter, "thickness": body.thickness, "hole": body.hole},
                body.area * body.thickness * _DENSITY,
                function="carries the load and turns",
            ),
            Part(
                "pin",
                materials.default("pin", rules.basis),
                f"{body.pin * mm:.0f} dia. x {(body.thickness + 2 * _GRIP * body.pin) * mm:.0f}",
                {"diameter": body.pin, "clearance": _PIN_CLEARANCE},
                math.pi
                / 4.0
                * body.pin**2
                * (body.thickness + 2.0 * _GRIP * body.pin)
                * STEEL_DENSITY,
                function="takes the horizontal force",
            ),
            Part(
                "limiting ring",
                steel,
                f"{body.diameter * mm:.0f} inside dia., 10 x {body.ring * mm:.0f}",
                {"diameter": body.diameter, "depth": body.ring},
                ring_area * body.ring * STEEL_DENSITY,
                number=2,
                function="keeps the disc in place",
            ),
        ]
        if trial.slide is not None:
            side = seat_size(trial.slide.sheet)[0]
            side = max(side, series.length(body.diameter + 2.0 * SHOULDER, _STEP))
            parts.append(
                Part(
                    "middle plate",
                    steel,
                    f"{side * mm:.0f} x {side * mm:.0f} x {body.plate * mm:.0f}",
                    {"length": side, "width": side, "thickness": body.plate},
                    side**2 * body.plate * STEEL_DENSITY,
                    function="holds the sliding sheet above the disc",
                )
            )
        return parts


KIND = DiscKind()
