"""Parts, masses and behaviour of a laminated elastomeric bearing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.bearings.base import Behaviour, DemandCase, Part
from bedstone.bearings.common.materials import STEEL_DENSITY, default
from bedstone.bearings.elastomeric_checks import At, Task, turning_stiffness
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.record import Line, Quantity

#: Density of vulcanised chloroprene or natural rubber, kg/m3 (common practice, no source).
ELASTOMER_DENSITY = 1300.0
#: Density of PTFE, kg/m3 (common practice, no source).
_PTFE_DENSITY = 2200.0
#: Clearance of a dowel in its sleeve, each side, m (common practice, no source).
DOWEL_PLAY = 0.002
#: Length of a dowel in the concrete below, in diameters (common practice, no source).
_DOWEL_FOOT = 4.0


def pad_mass(pad: Pad) -> float:
    """Mass of the pad, kg."""
    steel = (pad.layers + 1) * pad.plate * pad.plate_area
    return STEEL_DENSITY * steel + ELASTOMER_DENSITY * (pad.area * pad.height - steel)


def mass(bearing: Elastomeric) -> float:
    """Mass of pad and outer plates, kg: what sizing compares."""
    return pad_mass(bearing.pad) + 2 * STEEL_DENSITY * bearing.pad.area * bearing.outer_plate


def parts(task: Task, bearing: Elastomeric) -> list[Part]:
    """Every part as a shop makes it, the pad first."""
    pad = bearing.pad
    plan = _plan(pad.length, pad.width, pad.round)
    found = [
        Part(
            name="laminated pad",
            material=f"elastomer, G = {bearing.modulus[0] / 1e6:.2f} MPa, with steel plates",
            size=f"{plan} x {_mm(pad.height)}, {pad.layers} layers of {_mm(pad.layer)}",
            dimensions={
                "length": pad.length,
                "width": pad.width,
                "height": pad.height,
                "layer": pad.layer,
                "cover": pad.cover,
                "side_cover": pad.side_cover,
            },
            mass=pad_mass(pad) - _plate_mass(pad) * (pad.layers + 1),
            function="carries, shears and turns",
        ),
        Part(
            name="reinforcing plate",
            material=f"steel, fy = {bearing.fy / 1e6:.0f} MPa",
            size=f"{_plan(pad.plate_length, pad.plate_width, pad.round)} x {_mm(pad.plate)}",
            dimensions={
                "length": pad.plate_length,
                "width": pad.plate_width,
                "thickness": pad.plate,
            },
            mass=_plate_mass(pad),
            number=pad.layers + 1,
            function="holds the elastomer together; bonded inside the pad",
        ),
    ]
    if bearing.outer_plate:
        found.append(
            _plate("outer plate", task, pad.length, pad.width, bearing.outer_plate, pad.round, 2)
        )
    if bearing.dowels:
        long = bearing.height + 2 * _DOWEL_FOOT * bearing.dowel
        found.append(
            Part(
                name="dowel",
                material=default("pin", task.basis),
                size=f"{_mm(bearing.dowel)} dia. x {_mm(long)}",
                dimensions={"diameter": bearing.dowel, "length": long},
                mass=STEEL_DENSITY * math.pi / 4 * bearing.dowel**2 * long,
                number=bearing.dowels,
                function="holds the superstructure beside the pad",
            )
        )
    slide = bearing.slide
    if slide is not None:
        found.append(
            _plate("backing plate", task, pad.length, pad.width, slide.backing, pad.round, 1)
        )
        found.append(
            Part(
                name="sliding sheet",
                material="PTFE",
                size=f"{_plan(slide.length, slide.width, False)} x {_mm(slide.sheet_thickness)}",
                dimensions={
                    "length": slide.length,
                    "width": slide.width,
                    "thickness": slide.sheet_thickness,
                },
                mass=_PTFE_DENSITY * slide.length * slide.width * slide.sheet_thickness,
                function="slides",
            )
        )
        found.append(
            _plate(
                "slide plate with stainless sheet",
                task,
                slide.plate_length,
                slide.plate_width,
                slide.plate_thickness,
                False,
                1,
            )
        )
    return found


def stiffness_lines(bearing: Elastomeric) -> list[Line]:
    """Shear stiffness with soft and stiff elastomer, N/m: values, no checks."""
    found = []
    for word, G in (("soft", bearing.modulus[1]), ("stiff", bearing.modulus[2])):
        found.append(
            Line(
                title=f"Shear stiffness, {word} elastomer",
                standard="derived",
                edition="",
                clause="",
                formula="k = G A/Te",
                inputs=(
                    Quantity("G", G, "Pa"),
                    Quantity("A", bearing.pad.area, "m**2"),
                    Quantity("Te", bearing.pad.elastomer_thickness, "m"),
                ),
                result=Quantity("k", en.shear_stiffness(bearing.pad, G), "N/m"),
                basis="memory",
                part="pad",
            )
        )
    return found


def behaviour(task: Task, bearing: Elastomeric, cases: Sequence[DemandCase]) -> Behaviour:
    """What the bearing does to the bridge, with the nominal shear modulus.

    Vertical stiffness under the largest compression of the cases; with a slide the pad does not
    hold along the plan and its friction under that compression stands instead.
    """
    pad, values, G = bearing.pad, task.basis.values, bearing.modulus[0]
    heaviest = max(cases, key=lambda case: case.N)
    N = max(heaviest.N, 1.0)
    if task.basis.family == "aashto":
        down = aashto.deflection(values, pad, N, G).value
    else:
        down = en.deflection(values, pad, Loading(N), G).value
    sheared = en.shear_stiffness(pad, G)
    sliding = bearing.slide is not None
    held = task.demand.held
    return Behaviour(
        stiffness_x=None if held[0] or sliding else sheared,
        stiffness_y=None if held[1] or sliding else sheared,
        stiffness_z=N / down,
        rotation_x=turning_stiffness(task, pad, G, "y"),
        rotation_y=turning_stiffness(task, pad, G, "x"),
        friction=(At(task, bearing, heaviest).friction, 0.0),
        play=DOWEL_PLAY if bearing.dowels else 0.0,
        eccentricity=0.0 if sliding else 0.5,
    )


def _plate_mass(pad: Pad) -> float:
    return STEEL_DENSITY * pad.plate * pad.plate_area


def _plate(
    name: str,
    task: Task,
    length: float,
    width: float,
    thickness: float,
    round_plan: bool,
    number: int,
) -> Part:
    area = math.pi / 4 * length**2 if round_plan else length * width
    return Part(
        name=name,
        material=default("plate", task.basis),
        size=f"{_plan(length, width, round_plan)} x {_mm(thickness)}",
        dimensions={"length": length, "width": width, "thickness": thickness},
        mass=STEEL_DENSITY * area * thickness,
        number=number,
        function="vulcanised to the pad" if name == "outer plate" else "carries the slide",
    )


def _plan(length: float, width: float, round_plan: bool) -> str:
    return f"{_mm(length)} dia." if round_plan else f"{_mm(length)} x {_mm(width)}"


def _mm(size: float) -> str:
    return f"{round(size * 1e3, 1):g}"
