"""Sizes, statics and parts of a pot bearing: a rubber pad confined in a pot by a piston. SI."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from bedstone.bearings.base import Part
from bedstone.bearings.common.materials import STEEL_DENSITY
from bedstone.bearings.common.seating import Seating
from bedstone.bearings.sliding_element import Thrust
from bedstone.bearings.sliding_sheet import SheetLoad, Slide

#: kg/m3, natural rubber or polychloroprene; common practice, no source.
RUBBER_DENSITY = 1200.0


@dataclass(frozen=True)
class PotBody:
    """Pot, pad and piston as made; m.

    `wall` and `bottom`: thickness; `depth`: of the pot inside; `rim`: height of the face of the
    piston that presses on the wall, of radius `rim_radius` if it is curved; `piston`: thickness of
    the piston; `clearance`: between piston and wall on one side; `rings` sealing rings of
    `ring_width` x `ring_depth`.
    """

    diameter: float
    pad: float
    wall: float
    bottom: float
    depth: float
    piston: float
    rim: float
    clearance: float
    rings: int
    ring_width: float
    ring_depth: float
    rim_radius: float | None = None

    @property
    def outside(self) -> float:
        """Outside diameter of the pot, m."""
        return self.diameter + 2.0 * self.wall

    @property
    def gap(self) -> float:
        """From the top of the wall to the top of the piston, m."""
        return self.pad + self.piston - self.depth

    @property
    def contact_below(self) -> float:
        """From the underside of the pot to the middle of the rim, m."""
        return self.bottom + self.pad + self.rim / 2.0

    @property
    def contact_above(self) -> float:
        """From the middle of the rim to the top of the piston, m."""
        return self.piston - self.rim / 2.0

    @property
    def height(self) -> float:
        """From the underside of the pot to the top of the piston, m."""
        return self.bottom + self.pad + self.piston


@dataclass(frozen=True)
class Pot:
    """A pot bearing as made: body, slide on top if it moves, outer plates; m.

    `middle`: thickness of a plate of its own between piston and slide (0: the piston holds the
    sheet).
    """

    body: PotBody
    slide: Slide | None
    middle: float
    lower: Seating
    upper: Seating

    @property
    def height(self) -> float:
        """From the underside of the base plate to the top of the upper plate, m."""
        slide = self.slide.height if self.slide is not None else 0.0
        plates = self.lower.thickness + self.upper.thickness
        return plates + self.body.height + self.middle + slide


@dataclass(frozen=True)
class PotForce:
    """What one case does to a pot.

    `rotation` (rad) with the allowance; `restoring` and `rubbing` moments (N m) of the pad and of
    the piston on the wall; H in `thrust`.
    """

    thrust: Thrust
    rotation: float
    restoring: float
    rubbing: float

    @property
    def moment(self) -> float:
        """Both moments together, N m."""
        return self.restoring + self.rubbing

    def lean(self) -> tuple[float, float]:
        """Unit direction in which the force leans: that of H, or along the rotation without H."""
        case = self.thrust.case
        x, y = self.thrust.Hx, self.thrust.Hy
        if x == 0.0 and y == 0.0:
            x, y = abs(case.ry), abs(case.rx)
        size = math.hypot(x, y)
        return (x / size, y / size) if size > 0.0 else (1.0, 0.0)

    def eccentricity(self, lever: float) -> tuple[float, float]:
        """Eccentricity (m) of N at a face `lever` (m) from the contact of piston and wall.

        All moments taken to add up in the direction of H (safe).
        """
        total = (self.moment + self.thrust.H * lever) / max(self.thrust.case.N, 1.0)
        x, y = self.lean()
        return total * x, total * y


def forces(
    body: PotBody,
    thrusts: Iterable[Thrust],
    rotation: Callable[[float], float],
    restoring: Callable[[PotBody, float, float], float],
    rubbing: Callable[[PotBody, float], float],
) -> list[PotForce]:
    """Moments of the pad and the piston in all cases.

    `rotation` adds the allowance; `restoring` gives the moment for a lasting and a variable
    rotation, `rubbing` for a horizontal force.
    """
    found = []
    for thrust in thrusts:
        case = thrust.case
        design = rotation(math.hypot(case.rx, case.ry))
        lasting = min(math.hypot(case.lasting_rx, case.lasting_ry), design)
        found.append(
            PotForce(
                thrust,
                design,
                restoring(body, lasting, design - lasting),
                rubbing(body, thrust.H),
            )
        )
    return found


def leading_forces(acting: Iterable[PotForce]) -> list[PotForce]:
    """The forces that can govern a part of the body: no other has N, H and rotation as large.

    Every rule of wall, rim and bottom grows with each of the three and knows nothing else.
    """
    kept: list[tuple[float, float, float]] = []
    found = []
    for force in sorted(acting, key=lambda force: -force.thrust.case.N):
        own = (force.thrust.case.N, force.thrust.H, force.rotation)
        if not any(own[1] <= other[1] and own[2] <= other[2] for other in kept):
            kept.append(own)
            found.append(force)
    return found


def sheet_loads(
    body: PotBody, slide: Slide, middle: float, acting: Iterable[PotForce]
) -> list[SheetLoad]:
    """Force on the sheet of the slide on top of a pot."""
    lever = body.contact_above + middle + slide.sheet.protrusion
    return [SheetLoad(f.thrust.case, f.thrust.case.N, *f.eccentricity(lever)) for f in acting]


def body_parts(body: PotBody, steel: str, seal: str, middle: float, top: float) -> list[Part]:
    """Pot, pad, seals, piston, plate of the slide; `top`: diameter of the piston's head (m)."""
    mm = 1e3
    circle = math.pi / 4.0
    outside, inside = body.outside, body.diameter
    pot = circle * outside**2 * body.bottom + circle * (outside**2 - inside**2) * body.depth
    shaft = inside - 2.0 * body.clearance
    inner = min(body.piston, body.depth - body.pad)
    head = max(top, shaft)
    piston = circle * (shaft**2 * inner + head**2 * (body.piston - inner))
    rings = circle * (inside**2 - (inside - 2.0 * body.ring_width) ** 2) * body.ring_depth
    parts = [
        Part(
            "pot",
            steel,
            f"{outside * mm:.0f} dia. x {(body.bottom + body.depth) * mm:.0f}, bored "
            f"{inside * mm:.0f} x {body.depth * mm:.0f}, welded to its base plate",
            {
                "outside": outside,
                "inside": inside,
                "bottom": body.bottom,
                "depth": body.depth,
                "wall": body.wall,
            },
            pot * STEEL_DENSITY,
            function="confines the pad and takes the horizontal force",
        ),
        Part(
            "pad",
            "natural rubber or polychloroprene",
            f"{inside * mm:.0f} dia. x {body.pad * mm:.0f}",
            {"diameter": inside, "thickness": body.pad},
            circle * inside**2 * body.pad * RUBBER_DENSITY,
            function="carries the load and lets the piston turn",
        ),
        Part(
            "sealing ring",
            seal,
            f"{inside * mm:.0f} dia., {body.ring_width * mm:.1f} x {body.ring_depth * mm:.1f}",
            {"diameter": inside, "width": body.ring_width, "depth": body.ring_depth},
            rings * 8500.0,  # brass; common practice, no source
            number=body.rings,
            function="keeps the rubber in the pot",
        ),
        Part(
            "piston",
            steel,
            f"{shaft * mm:.1f} dia. x {body.piston * mm:.0f}, rim {body.rim * mm:.0f}"
            + (f", head {head * mm:.0f} dia." if head > shaft else ""),
            {
                "diameter": shaft,
                "thickness": body.piston,
                "rim": body.rim,
                "head": head,
                "clearance": body.clearance,
            },
            piston * STEEL_DENSITY,
            function="presses on the pad and passes the horizontal force to the wall",
        ),
    ]
    if middle > 0.0:
        parts.append(
            Part(
                "middle plate",
                steel,
                f"{top * mm:.0f} x {top * mm:.0f} x {middle * mm:.0f}",
                {"length": top, "width": top, "thickness": middle},
                top**2 * middle * STEEL_DENSITY,
                function="holds the sliding sheet above the piston",
            )
        )
    return parts
