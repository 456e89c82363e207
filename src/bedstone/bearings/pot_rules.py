"""What a pot asks of a family of standards, and the answers of the three families."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence

from bedstone.bearings.base import Basis, Demand
from bedstone.bearings.common import materials
from bedstone.bearings.common.materials import Steel
from bedstone.bearings.common.rules import governing, placed
from bedstone.bearings.pot_sizes import PotBody, PotForce
from bedstone.bearings.sliding_element import derived
from bedstone.bearings.sliding_options import number, word
from bedstone.bearings.sliding_rules import Irc, SlideRules
from bedstone.standards.aashto import pot as aashto
from bedstone.standards.eurocode import pot as en
from bedstone.standards.irc import pot as irc
from bedstone.standards.record import Line, Quantity

#: Height left between the wall and the plate above when turned, m; common practice, no source.
_GAP = 0.003
SEALS = ("stainless steel", "brass", "POM", "carbon-filled PTFE")
_SEAL_CLASS = {"stainless steel": "a", "brass": "b", "POM": "c", "carbon-filled PTFE": "c"}


class PotRules(ABC):
    """The rules of one family for pots; `slide` are its rules for the slide and the demand."""

    def __init__(self, basis: Basis, slide: SlideRules) -> None:
        self.basis = basis
        self.values = basis.values
        self.slide = slide
        self.seal = word(basis, "pot.seal", SEALS, "brass")
        self.path = number(basis, "pot.slide_path", None, least=0.0)
        radius = number(basis, "pot.rim_radius", None, least=1e-3)
        self.rim_radius = radius
        self._moments: dict[tuple[float, float, float, float], float] = {}
        self._rubbing: dict[tuple[float, float], float] = {}

    def steel(self, thickness: float) -> Steel:
        """Steel of the pot at a thickness (m)."""
        return materials.steel_for("plate", thickness, self.basis)

    # ---------------------------------------------------------------- statics
    def pad_moment(self, body: PotBody, lasting: float, variable: float) -> float:
        """Value of `restoring` (N m), asked for once for a pad and its rotations."""
        key = (body.diameter, body.pad, lasting, variable)
        if key not in self._moments:
            self._moments[key] = self.restoring(body, lasting, variable).value
        return self._moments[key]

    def wall_moment(self, body: PotBody, force: float) -> float:
        """Value of `rubbing` (N m), asked for once for a bore and its horizontal force."""
        key = (body.diameter, force)
        if key not in self._rubbing:
            self._rubbing[key] = self.rubbing(body, force).value
        return self._rubbing[key]

    @abstractmethod
    def restoring(self, body: PotBody, lasting: float, variable: float) -> Line:
        """Moment of the pad against a lasting and a variable rotation (rad)."""

    @abstractmethod
    def rubbing(self, body: PotBody, force: float) -> Line:
        """Moment of the piston's friction under a horizontal force (N)."""

    # ---------------------------------------------------------------- sizes
    @abstractmethod
    def least_diameter(self, demand: Demand) -> float:
        """Least diameter of the pad (m) for the vertical load."""

    @abstractmethod
    def least_pad(self, diameter: float, rotation: float) -> float:
        """Least thickness of the pad (m)."""

    @abstractmethod
    def least_bottom(self, diameter: float) -> float:
        """Least thickness of the bottom of the pot (m)."""

    def least_piston(self, diameter: float) -> float:
        """Least thickness of the piston (m)."""
        return 0.0

    def least_wall(self) -> float:
        """Least thickness of the wall (m)."""
        return 0.0

    def rings(self, diameter: float) -> tuple[int, float, float]:
        """Number, width and depth (m) of sealing rings; common practice, no source."""
        return 2, 0.01, 0.002

    def clearance(self, rim: float, diameter: float, rotation: float) -> float:
        """Clearance of the piston on one side (m): what is usual, or as the turned rim is wider."""
        return max(self.values.number("pot.clearance") / 2.0, rotation * rim / 2.0)

    def gap(self, outside: float, rotation: float) -> float:
        """Least height (m) between the wall and the plate above when level."""
        return outside / 2.0 * rotation + _GAP

    def scope(self, demand: Demand) -> Line | None:
        """Rotation within the scope of the standard; None: no such limit."""
        return None

    # ---------------------------------------------------------------- checks
    @abstractmethod
    def pad_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Pressure, rotation and proportions of the pad."""

    @abstractmethod
    def ring_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Wall of the pot."""

    @abstractmethod
    def bottom_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Bottom of the pot."""

    def limit_lines(self, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Limits of the kind that no size changes."""
        return []

    def wall_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Wall and bottom of the pot, and the limits of the kind."""
        return [
            *self.ring_lines(body, acting, demand),
            *self.bottom_lines(body, acting, demand),
            *self.limit_lines(acting, demand),
        ]

    @abstractmethod
    def piston_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """Piston and its rim."""

    def kinematic_lines(self, body: PotBody, acting: Sequence[PotForce]) -> list[Line]:
        """The rim stays inside the wall, and the plate above clear of it, under the rotation."""
        worst = max(acting, key=lambda force: force.rotation)
        drop = body.diameter / 2.0 * worst.rotation
        name = worst.thrust.case.name
        return [
            derived(
                "Depth of the pot",
                "t + w + D alpha/2 <= depth",
                Quantity("needed", body.pad + body.rim + drop, "m"),
                Quantity("depth", body.depth, "m"),
                "pot",
                name,
                (Quantity("alpha", worst.rotation, "rad"),),
            ),
            derived(
                "Gap between wall and plate above",
                "D0 alpha/2 <= gap",
                Quantity("drop", body.outside / 2.0 * worst.rotation, "m"),
                Quantity("gap", body.gap, "m"),
                "pot",
                name,
                (Quantity("alpha", worst.rotation, "rad"),),
            ),
        ]

    def over(
        self,
        acting: Sequence[PotForce],
        rule: Callable[[PotForce], Line],
        part: str,
        steel: Steel | None,
    ) -> Line:
        """The line of the case that governs a rule."""
        basis = (steel.basis,) if steel is not None else ()
        return governing(
            [placed(rule(force), part, force.thrust.case.name, *basis) for force in acting]
        )


class Eurocode(PotRules):
    """EN 1337-5."""

    def __init__(self, basis: Basis, slide: SlideRules) -> None:
        super().__init__(basis, slide)
        tests = [number(basis, f"pot.F{index}", None) for index in range(3)]
        self.tested = [f or 0.0 for f in tests] if any(f is not None for f in tests) else None

    def restoring(self, body: PotBody, lasting: float, variable: float) -> Line:
        """See `PotRules.restoring`."""
        return en.restoring_moment(
            self.values, body.diameter, body.pad, lasting, variable, self.tested
        )

    def rubbing(self, body: PotBody, force: float) -> Line:
        """See `PotRules.rubbing`."""
        return en.piston_friction_moment(self.values, force, body.diameter)

    def least_diameter(self, demand: Demand) -> float:
        """See `PotRules.least_diameter`."""
        load = max(case.N for case in self.slide.strength(demand))
        line = en.pad_pressure(self.values, load, 1.0)
        return math.sqrt(line.utilisation or 0.0)

    def least_pad(self, diameter: float, rotation: float) -> float:
        """See `PotRules.least_pad`."""
        strain = 0.5 * diameter * rotation / self.values.number("pot.pad.strain")
        return max(strain, diameter / self.values.number("pot.pad.slenderness"))

    def least_bottom(self, diameter: float) -> float:
        """See `PotRules.least_bottom`."""
        return self.values.number("pot.base.least")

    def scope(self, demand: Demand) -> Line | None:
        """See `PotRules.scope`."""
        cases = self.slide.service(demand)
        return governing(
            [
                placed(
                    en.scope_rotation(self.values, math.hypot(case.rx, case.ry)), "pad", case.name
                )
                for case in cases
            ]
        )

    def pad_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.pad_lines`."""
        scope = self.scope(demand)
        lines = [
            self.over(
                acting,
                lambda f: en.pad_pressure(self.values, f.thrust.case.N, body.diameter),
                "pad",
                None,
            ),
            self.over(
                acting,
                lambda f: en.pad_rotation(self.values, f.rotation, body.diameter, body.pad),
                "pad",
                None,
            ),
            placed(en.pad_slenderness(self.values, body.diameter, body.pad), "pad"),
            placed(en.scope_diameter(self.values, body.diameter), "pad"),
            placed(
                en.scope_temperature(
                    self.values, number(self.basis, "sliding.temperature", 30.0) or 0.0
                ),
                "pad",
            ),
            *([scope] if scope is not None else []),
        ]
        if self.path is not None:
            lines.append(
                placed(en.seal_path(self.values, self.path, _SEAL_CLASS[self.seal]), "sealing ring")
            )
        return lines

    def least_wall(self) -> float:
        """See `PotRules.least_wall`."""
        return self.values.number("pot.wall.least")

    def ring_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.ring_lines`."""
        steel = self.steel(body.wall)
        return [
            self.over(
                acting,
                lambda f: en.wall_tension(
                    self.values,
                    f.thrust.case.N,
                    f.thrust.H,
                    body.diameter,
                    body.pad,
                    body.wall,
                    body.depth,
                    steel.fy,
                ),
                "pot",
                steel,
            ),
            self.over(
                acting,
                lambda f: en.wall_shear(
                    self.values,
                    f.thrust.case.N,
                    f.thrust.H,
                    body.diameter,
                    body.pad,
                    body.wall,
                    steel.fy,
                ),
                "pot",
                steel,
            ),
            placed(en.least_plates(self.values, body.bottom, body.wall)[1], "pot"),
        ]

    def bottom_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.bottom_lines`."""
        return [placed(en.least_plates(self.values, body.bottom, body.wall)[0], "pot")]

    def piston_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.piston_lines`."""
        steel = self.steel(body.piston)
        radius = body.rim_radius

        def contact(force: PotForce) -> Line:
            if radius is not None:
                return en.piston_curved(
                    self.values, force.thrust.H, body.diameter, radius, steel.fu, steel.E
                )
            return en.piston_flat(self.values, force.thrust.H, body.diameter, body.rim, steel.fy)

        return [self.over(acting, contact, "piston", steel)]


class Aashto(PotRules):
    """AASHTO LRFD 14.7.4."""

    def restoring(self, body: PotBody, lasting: float, variable: float) -> Line:
        """See `PotRules.restoring`."""
        return aashto.restoring_moment(self.values, body.diameter, body.pad, lasting, variable)

    def rubbing(self, body: PotBody, force: float) -> Line:
        """See `PotRules.rubbing`."""
        return aashto.piston_friction_moment(self.values, force, body.diameter)

    def least_diameter(self, demand: Demand) -> float:
        """See `PotRules.least_diameter`."""
        load = max(case.N for case in self.slide.service(demand))
        return math.sqrt(load / aashto.capacity(self.values, 1.0))

    def least_pad(self, diameter: float, rotation: float) -> float:
        """See `PotRules.least_pad`."""
        return self.values.number("pot.pad.rotation") * diameter * rotation

    def least_bottom(self, diameter: float) -> float:
        """See `PotRules.least_bottom`."""
        line = aashto.base_thickness(
            self.values, 1.0, diameter, concrete=self.basis.concrete_below is not None
        )
        return line.limit.value if line.limit is not None else 0.0

    def least_piston(self, diameter: float) -> float:
        """See `PotRules.least_piston`."""
        return self.values.number("pot.piston.thickness") * diameter

    def rings(self, diameter: float) -> tuple[int, float, float]:
        """See `PotRules.rings`."""
        width, depth, count = aashto.ring_sizes(self.values, diameter)
        return count, width, depth

    def clearance(self, rim: float, diameter: float, rotation: float) -> float:
        """See `PotRules.clearance`."""
        return aashto.least_clearance(self.values, rim, diameter, rotation)

    def gap(self, outside: float, rotation: float) -> float:
        """See `PotRules.gap`."""
        return aashto.least_gap(self.values, outside / 2.0, rotation, 0.0)

    def least_load(self, demand: Demand, capacity: float) -> Line:
        """Least vertical load at service over the capacity."""
        least = min(case.N for case in self.slide.service(demand))
        return placed(aashto.least_load(self.values, least, capacity), "pad")

    def pad_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.pad_lines`."""
        return [
            governing(
                [
                    placed(aashto.pad_stress(self.values, case.N, body.diameter), "pad", case.name)
                    for case in self.slide.service(demand)
                ]
            ),
            self.over(
                acting,
                lambda f: aashto.pad_thickness(self.values, body.pad, body.diameter, f.rotation),
                "pad",
                None,
            ),
            self.least_load(demand, aashto.capacity(self.values, body.diameter)),
            placed(aashto.ring_width(self.values, body.ring_width, body.diameter), "sealing ring"),
        ]

    def least_wall(self) -> float:
        """See `PotRules.least_wall`."""
        return self.values.number("pot.wall.least")

    def ring_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.ring_lines`."""
        steel = self.steel(body.wall)
        area = math.pi / 4.0 * body.diameter**2
        stress = max(case.N for case in self.slide.service(demand)) / area
        pressed = aashto.wall_thickness(self.values, body.wall, body.diameter, stress, steel.fy)
        return [
            placed(pressed, "pot", "", steel.basis),
            self._guided("wall", body.wall, acting),
        ]

    def bottom_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.bottom_lines`."""
        on_concrete = self.basis.concrete_below is not None
        return [
            placed(
                aashto.base_thickness(
                    self.values, body.bottom, body.diameter, concrete=on_concrete
                ),
                "pot",
            ),
            self._guided("bottom", body.bottom, acting),
        ]

    def _guided(self, what: str, size: float, acting: Sequence[PotForce]) -> Line:
        steel = self.steel(size)
        return self.over(
            acting,
            lambda f: aashto.guided_thickness(
                self.values, size, f.thrust.H, f.rotation, steel.fy, what
            ),
            "pot",
            steel,
        )

    def piston_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.piston_lines`."""
        steel = self.steel(body.piston)
        return [
            placed(aashto.piston_thickness(self.values, body.piston, body.diameter), "piston"),
            self.over(
                acting,
                lambda f: aashto.rim_height(
                    self.values, body.rim, f.thrust.H, body.diameter, steel.fy
                ),
                "piston",
                steel,
            ),
            self.over(
                acting,
                lambda f: aashto.clearance(
                    self.values, body.clearance, body.rim, body.diameter, f.rotation
                ),
                "piston",
                None,
            ),
        ]

    def kinematic_lines(self, body: PotBody, acting: Sequence[PotForce]) -> list[Line]:
        """See `PotRules.kinematic_lines`."""
        return [
            self.over(
                acting,
                lambda f: aashto.pot_depth(
                    self.values, body.depth, body.diameter, f.rotation, body.pad, body.rim
                ),
                "pot",
                None,
            ),
            self.over(
                acting,
                lambda f: aashto.top_gap(
                    self.values, body.gap, body.outside / 2.0, f.rotation, 0.0
                ),
                "pot",
                None,
            ),
        ]


class IrcPot(PotRules):
    """IRC:83 Part III, 2018 or 2002."""

    def __init__(self, basis: Basis, slide: Irc) -> None:
        super().__init__(basis, slide)
        self.edition = slide.edition

    def restoring(self, body: PotBody, lasting: float, variable: float) -> Line:
        """See `PotRules.restoring`."""
        return irc.restoring_moment(self.values, body.diameter, body.pad, lasting, variable)

    def rubbing(self, body: PotBody, force: float) -> Line:
        """See `PotRules.rubbing`."""
        return irc.piston_friction_moment(self.values, force, body.diameter)

    def _pressure(self, force: float, diameter: float) -> Line:
        if self.edition == "2002":
            return irc.working_pressure(self.values, force, diameter)
        return irc.pad_pressure(self.values, force, diameter)

    def least_diameter(self, demand: Demand) -> float:
        """See `PotRules.least_diameter`."""
        load = max(case.N for case in self.slide.strength(demand))
        return math.sqrt(self._pressure(load, 1.0).utilisation or 0.0)

    def least_pad(self, diameter: float, rotation: float) -> float:
        """See `PotRules.least_pad`."""
        strain = 0.5 * diameter * rotation / self.values.number("pot.pad.strain")
        # The limit itself is excluded: di/he < 15.
        return max(strain, diameter / self.values.number("pot.pad.slenderness") * (1.0 + 1e-6))

    def least_bottom(self, diameter: float) -> float:
        """See `PotRules.least_bottom`."""
        line = irc.base_thickness(self.values, 1.0, diameter)
        return line.limit.value if line.limit is not None else 0.0

    def pad_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.pad_lines`."""
        return [
            self.over(
                acting, lambda f: self._pressure(f.thrust.case.N, body.diameter), "pad", None
            ),
            self.over(
                acting,
                lambda f: irc.pad_rotation(self.values, f.rotation, body.diameter, body.pad),
                "pad",
                None,
            ),
            placed(irc.pad_slenderness(self.values, body.diameter, body.pad), "pad"),
        ]

    def ring_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.ring_lines`."""
        steel = self.steel(body.wall)
        lever = body.pad + body.rim / 2.0
        feet = [
            [
                placed(line, "pot", f.thrust.case.name, steel.basis)
                for line in irc.wall_foot(
                    self.values,
                    f.thrust.case.N,
                    f.thrust.H,
                    body.diameter,
                    body.pad,
                    body.wall,
                    lever,
                    steel.fy,
                    self.edition,
                )
            ]
            for f in acting
        ]
        return [
            self.over(
                acting,
                lambda f: irc.wall_tension(
                    self.values,
                    f.thrust.case.N,
                    f.thrust.H,
                    body.diameter,
                    body.pad,
                    body.wall,
                    body.depth,
                    steel.fy,
                    self.edition,
                ),
                "pot",
                steel,
            ),
            *(governing([foot[index] for foot in feet]) for index in range(3)),
        ]

    def bottom_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.bottom_lines`."""
        return [placed(irc.base_thickness(self.values, body.bottom, body.diameter), "pot")]

    def limit_lines(self, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.limit_lines`."""
        if not any(demand.held):
            return []
        return [
            self.over(
                acting,
                lambda f: irc.greatest_horizontal(
                    self.values, f.thrust.H, max(f.thrust.case.N, 1.0)
                ),
                "pot",
                None,
            )
        ]

    def piston_lines(self, body: PotBody, acting: Sequence[PotForce], demand: Demand) -> list[Line]:
        """See `PotRules.piston_lines`."""
        steel = self.steel(body.piston)
        return [
            self.over(
                acting,
                lambda f: irc.rim_height(
                    self.values, body.rim, f.thrust.H, body.diameter, steel.fy, self.edition
                ),
                "piston",
                steel,
            )
        ]


def pot_rules(basis: Basis, slide: SlideRules) -> PotRules:
    """The rules of the family of a design."""
    if isinstance(slide, Irc):
        return IrcPot(basis, slide)
    return Eurocode(basis, slide) if basis.family == "eurocode" else Aashto(basis, slide)
