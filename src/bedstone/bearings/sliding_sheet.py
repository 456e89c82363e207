"""The sheet of a slide, its mating surface and its guides: sizes, statics of contact, parts. SI.

A slide is a sheet of PTFE in a recess below, a stainless surface on the plate above, and guide
bars on that plate where a direction is held.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from bedstone.bearings.base import DemandCase, Part
from bedstone.bearings.common.materials import STEEL_DENSITY

#: kg/m3: PTFE and UHMWPE; common practice, no source.
SHEET_DENSITY = {"PTFE": 2200.0, "UHMWPE": 940.0}
#: Shoulder of steel around the recess of a sheet, m; common practice, no source.
SHOULDER = 0.015


@dataclass(frozen=True)
class Sheet:
    """A flat sheet, or a curved one by its projection. Round: `length` = `width` = diameter, m.

    `protrusion`: how far it stands out of its recess.
    """

    length: float
    width: float
    thickness: float
    protrusion: float
    round: bool = True

    @property
    def area(self) -> float:
        """Contact area, m2."""
        product = self.length * self.width
        return math.pi / 4.0 * product if self.round else product

    @property
    def around(self) -> float:
        """Diameter of the circle around the sheet, m."""
        return self.length if self.round else math.hypot(self.length, self.width)

    @property
    def smallest(self) -> float:
        """Smallest side or diameter, m."""
        return min(self.length, self.width)

    def kernel_use(self, ex: float, ey: float) -> float:
        """Eccentricity over the kernel: 1 where an edge begins to lift (linear stress, derived)."""
        if self.round:
            return 8.0 * math.hypot(ex, ey) / self.length
        return 6.0 * abs(ex) / self.length + 6.0 * abs(ey) / self.width

    def edge(self, ex: float, ey: float) -> float:
        """Stress at the edge over the average stress (linear stress, derived)."""
        return 1.0 + self.kernel_use(ex, ey)


#: Beginnings of the limit states that contact takes together; "ULS equilibrium" has no design
#: forces.
ULTIMATE = ("ULS persistent", "ULS accidental", "ULS seismic")


@dataclass(frozen=True)
class SheetLoad:
    """Force on a sheet in one case: N (N) and its eccentricities from the middle (m)."""

    case: DemandCase
    N: float
    ex: float
    ey: float


def leading_loads(loads: Iterable[SheetLoad]) -> list[SheetLoad]:
    """Of each group of limit states the loads that can govern contact.

    No other load of the group has N, ex and ey as large.

    Every rule of contact grows with N and with the size of both eccentricities, so that the worst
    utilisation stays what it is over all loads.
    """
    groups: dict[str, list[SheetLoad]] = {}
    for load in sorted(loads, key=lambda load: -load.N):
        state = load.case.limit_state
        leading = groups.setdefault("ULS" if state.startswith(ULTIMATE) else state, [])
        if not any(abs(load.ex) <= abs(o.ex) and abs(load.ey) <= abs(o.ey) for o in leading):
            leading.append(load)
    return [load for leading in groups.values() for load in leading]


@dataclass(frozen=True)
class Guides:
    """A pair of guide bars on the sliding plate that hold one direction, m.

    `holds`: the direction held; `strip_length`, `strip_height`: of the strip on one side;
    `bar_width`: across the bar, `bar_height`: below its plate; `play` on each side; `rocker`: the
    strip lies on a rocker so that it follows the rotation.
    """

    holds: Literal["x", "y"]
    strip_length: float
    strip_height: float
    bar_width: float
    bar_height: float
    play: float
    rocker: bool = False

    @property
    def lever(self) -> float:
        """From the root of a bar to the middle of its strip."""
        return self.bar_height - self.strip_height / 2.0


@dataclass(frozen=True)
class Slide:
    """A slide as made: sheet, stainless surface (m), ways each side of the middle, guides."""

    sheet: Sheet
    stainless_length: float
    stainless_width: float
    stainless_thickness: float
    way_x: float
    way_y: float
    guides: tuple[Guides, ...] = ()

    @property
    def height(self) -> float:
        """Protrusion of the sheet and thickness of the stainless surface, m."""
        return self.sheet.protrusion + self.stainless_thickness

    def shift(self, case: DemandCase) -> tuple[float, float]:
        """How far (m) the plate above stands off in a case, at most to the end of its ways."""
        return min(abs(case.vx), self.way_x), min(abs(case.vy), self.way_y)

    def holding(self, direction: Literal["x", "y"]) -> Guides | None:
        """The guides that hold a direction, or None."""
        return next((pair for pair in self.guides if pair.holds == direction), None)


def sheet_part(sheet: Sheet, material: str, *, curved: bool = False) -> Part:
    """The sheet as a part; a curved one by its projection."""
    mm = 1e3
    density = SHEET_DENSITY["UHMWPE" if material == "UHMWPE" else "PTFE"]
    shape = (
        f"{sheet.length * mm:.0f} dia. x {sheet.thickness * mm:.1f}"
        if sheet.round
        else f"{sheet.length * mm:.0f} x {sheet.width * mm:.0f} x {sheet.thickness * mm:.1f}"
    )
    return Part(
        name="curved sliding sheet" if curved else "sliding sheet",
        material=material,
        size=shape,
        dimensions={
            "length": sheet.length,
            "width": sheet.width,
            "thickness": sheet.thickness,
            "protrusion": sheet.protrusion,
        },
        mass=sheet.area * sheet.thickness * density,
        function="slides so that the superstructure can turn" if curved else "slides",
    )


def stainless_part(length: float, width: float, thickness: float) -> Part:
    """The stainless sheet on the plate above."""
    return Part(
        name="stainless sheet",
        material="austenitic steel",
        size=f"{length * 1e3:.0f} x {width * 1e3:.0f} x {thickness * 1e3:.2g}",
        dimensions={"length": length, "width": width, "thickness": thickness},
        mass=length * width * thickness * STEEL_DENSITY,
        function="mating surface of the sheet",
    )


def guide_parts(guides: Guides, length: float, steel: str, strip: str) -> list[Part]:
    """Two bars over the whole `length` (m) of their plate, two strips, and rockers if needed."""
    across = "across" if guides.holds == "y" else "along"
    parts = [
        Part(
            name=f"guide bar, holds {across}",
            material=steel,
            size=f"{guides.bar_width * 1e3:.0f} x {guides.bar_height * 1e3:.0f} x "
            f"{length * 1e3:.0f}, butt-welded to its plate",
            dimensions={
                "length": length,
                "width": guides.bar_width,
                "height": guides.bar_height,
                "play": guides.play,
            },
            mass=length * guides.bar_width * guides.bar_height * STEEL_DENSITY,
            number=2,
            function=f"holds the superstructure {across}",
        ),
        Part(
            name=f"guide strip, holds {across}",
            material=strip,
            size=f"{guides.strip_length * 1e3:.0f} x {guides.strip_height * 1e3:.0f}",
            dimensions={"length": guides.strip_length, "height": guides.strip_height},
            mass=guides.strip_length * guides.strip_height * 0.005 * SHEET_DENSITY["PTFE"],
            number=2,
            function="slides along the bar",
        ),
    ]
    if guides.rocker:
        parts.append(
            Part(
                name=f"rocker strip, holds {across}",
                material=steel,
                size=f"{guides.strip_length * 1e3:.0f} x {guides.strip_height * 1e3:.0f} x 15",
                dimensions={"length": guides.strip_length, "height": guides.strip_height},
                mass=guides.strip_length * guides.strip_height * 0.015 * STEEL_DENSITY,
                number=2,
                function="lets the guide strip follow the rotation",
            )
        )
    return parts
