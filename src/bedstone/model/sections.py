"""Properties of cross-sections: plate girder, steel box, rectangle, given, and with a slab on top.

All in m, m2, m4. `Iy` is the second moment for bending in the vertical plane, `Iz` sideways, `J`
the torsion constant. Closed forms are standard strength of materials; Saint-Venant torsion only
(no warping), which is usual in a grillage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bedstone.bridge.schema import ConcreteRectangle, PlateGirder, Section, SteelBox
from bedstone.errors import BedstoneError

#: Shear area of a rectangle over its area.
RECTANGLE_SHEAR = 5.0 / 6.0


@dataclass(frozen=True)
class SectionProperties:
    """Properties of a section of one material.

    `centroid`: depth of the neutral axis below the top of the section; `depth`: overall;
    `Ay`, `Az`: shear areas sideways and vertical (inf: no shear deformation); `top_width`: width
    on which a slab or haunch sits (0 where the file does not say).
    """

    material: Literal["steel", "concrete"]
    A: float
    centroid: float
    depth: float
    Iy: float
    Iz: float
    J: float
    Ay: float
    Az: float
    top_width: float


def section_properties(section: Section) -> SectionProperties:
    """Properties of a section of the bridge file."""
    if isinstance(section, PlateGirder):
        return _plate_girder(section)
    if isinstance(section, SteelBox):
        return _steel_box(section)
    if isinstance(section, ConcreteRectangle):
        return _rectangle(section)
    return SectionProperties(
        material=section.material,
        A=section.A,
        centroid=section.centroid,
        depth=section.depth,
        Iy=section.Iy,
        Iz=section.Iz,
        J=section.J,
        Ay=math.inf if section.shear_y is None else section.shear_y,
        Az=math.inf if section.shear_z is None else section.shear_z,
        top_width=0.0,
    )


def tapered(start: Section, end: Section, fraction: float) -> SectionProperties:
    """Properties at a fraction (0 to 1) of a linear taper between two sections of one kind.

    The dimensions change linearly (of a given section: its properties). Raises `BedstoneError` for
    sections of different kinds.
    """
    if start.kind != end.kind:
        raise BedstoneError(f"no taper from a {start.kind} to a {end.kind}")
    changes: dict[str, float] = {}
    for name in type(start).model_fields:
        a, b = getattr(start, name), getattr(end, name)
        if isinstance(a, float) and isinstance(b, float):
            changes[name] = a + (b - a) * fraction
        elif a != b:
            raise BedstoneError(f"no taper: {name} is {a} at one end and {b} at the other")
    return section_properties(start.model_copy(update=changes))


# ------------------------------------------------------------------ single sections
def _plates(
    plates: list[tuple[float, float, float]],
) -> tuple[float, float, float]:
    """(A, depth of the centroid, Iy) of level rectangles (width, height, depth of own centre)."""
    area = sum(width * height for width, height, _ in plates)
    centroid = sum(width * height * z for width, height, z in plates) / area
    second = sum(
        width * height**3 / 12.0 + width * height * (z - centroid) ** 2
        for width, height, z in plates
    )
    return area, centroid, second


def _plate_girder(s: PlateGirder) -> SectionProperties:
    depth = s.top_thickness + s.web_depth + s.bottom_thickness
    area, centroid, second = _plates(
        [
            (s.top_width, s.top_thickness, s.top_thickness / 2.0),
            (s.web_thickness, s.web_depth, s.top_thickness + s.web_depth / 2.0),
            (s.bottom_width, s.bottom_thickness, depth - s.bottom_thickness / 2.0),
        ]
    )
    flanges = s.top_width * s.top_thickness + s.bottom_width * s.bottom_thickness
    return SectionProperties(
        material="steel",
        A=area,
        centroid=centroid,
        depth=depth,
        Iy=second,
        Iz=(
            s.top_thickness * s.top_width**3
            + s.web_depth * s.web_thickness**3
            + s.bottom_thickness * s.bottom_width**3
        )
        / 12.0,
        # open thin-walled section: sum of b t^3 / 3
        J=(
            s.top_width * s.top_thickness**3
            + s.web_depth * s.web_thickness**3
            + s.bottom_width * s.bottom_thickness**3
        )
        / 3.0,
        Ay=RECTANGLE_SHEAR * flanges,
        Az=s.web_depth * s.web_thickness,
        top_width=s.top_width,
    )


def _steel_box(s: SteelBox) -> SectionProperties:
    depth = s.top_thickness + s.web_depth + s.bottom_thickness
    area, centroid, second = _plates(
        [
            (s.top_width, s.top_thickness, s.top_thickness / 2.0),
            (2.0 * s.web_thickness, s.web_depth, s.top_thickness + s.web_depth / 2.0),
            (s.bottom_width, s.bottom_thickness, depth - s.bottom_thickness / 2.0),
        ]
    )
    web = s.web_depth * s.web_thickness
    # Bredt: J = 4 A^2 / sum(s / t) around the cell of wall centre lines, and the flange tips
    height = s.web_depth + (s.top_thickness + s.bottom_thickness) / 2.0
    around = (
        2.0 * height / s.web_thickness
        + s.web_spacing / s.top_thickness
        + s.web_spacing / s.bottom_thickness
    )
    tips = (
        max(s.top_width - s.web_spacing, 0.0) * s.top_thickness**3
        + max(s.bottom_width - s.web_spacing, 0.0) * s.bottom_thickness**3
    ) / 3.0
    flanges = s.top_width * s.top_thickness + s.bottom_width * s.bottom_thickness
    return SectionProperties(
        material="steel",
        A=area,
        centroid=centroid,
        depth=depth,
        Iy=second,
        Iz=(s.top_thickness * s.top_width**3 + s.bottom_thickness * s.bottom_width**3) / 12.0
        + 2.0 * (s.web_depth * s.web_thickness**3 / 12.0 + web * (s.web_spacing / 2.0) ** 2),
        J=4.0 * (s.web_spacing * height) ** 2 / around + tips,
        Ay=RECTANGLE_SHEAR * flanges,
        Az=2.0 * web,
        top_width=s.top_width,
    )


def _rectangle(s: ConcreteRectangle) -> SectionProperties:
    area = s.width * s.depth
    return SectionProperties(
        material="concrete",
        A=area,
        centroid=s.depth / 2.0,
        depth=s.depth,
        Iy=area * s.depth**2 / 12.0,
        Iz=area * s.width**2 / 12.0,
        J=rectangle_torsion(s.width, s.depth),
        Ay=RECTANGLE_SHEAR * area,
        Az=RECTANGLE_SHEAR * area,
        top_width=s.width,
    )


def rectangle_torsion(width: float, depth: float) -> float:
    """J (m4) of a solid rectangle by Saint-Venant's series."""
    short, long = sorted((width, depth))
    ratio = short / long
    series = sum(math.tanh(n * math.pi / (2.0 * ratio)) / n**5 for n in range(1, 40, 2))
    return long * short**3 / 3.0 * (1.0 - 192.0 / math.pi**5 * ratio * series)


# ------------------------------------------------------------------ slab
def slab_strip(width: float, thickness: float) -> SectionProperties:
    """A cross strip of slab in a grillage.

    As a rectangle, but it twists with width t^3 / 6: half of a thin rectangle's width t^3 / 3, as
    the strips along the bridge carry the other half of the slab's torsion.
    """
    area = width * thickness
    return SectionProperties(
        material="concrete",
        A=area,
        centroid=thickness / 2.0,
        depth=thickness,
        Iy=area * thickness**2 / 12.0,
        Iz=area * width**2 / 12.0,
        J=area * thickness**2 / 6.0,
        Ay=RECTANGLE_SHEAR * area,
        Az=RECTANGLE_SHEAR * area,
        top_width=width,
    )


@dataclass(frozen=True)
class SlabShare:
    """The part of a slab that works with one girder.

    `effective`, `tributary`: widths for bending and for bending in plan; `thickness`; `haunch`:
    height of the slab's underside above the top of the girder; `E`, `G` of the slab.
    """

    effective: float
    tributary: float
    thickness: float
    haunch: float
    E: float
    G: float


@dataclass(frozen=True)
class WithSlab:
    """A girder and its slab in units of the girder's own E and G.

    `centroid`: depth of the neutral axis below the *top of the slab*. `slab_force`: Ec Ac (N),
    `slab_arm`: height of the slab's centre above the neutral axis.
    """

    A: float
    centroid: float
    Iy: float
    Iz: float
    J: float
    Ay: float
    Az: float
    slab_force: float
    slab_arm: float


def with_slab(girder: SectionProperties, E: float, G: float, slab: SlabShare) -> WithSlab:
    """Transformed section of a girder (moduli E, G) in full connection with a slab, uncracked.

    Bending in the vertical plane: effective width. In plan: the slab's tributary width about its
    own centre and the girder's own Iz. Torsion: the girder's J and half of b t^3 / 3 of the
    tributary slab; the other half sits in the cross strips (usual grillage practice: a slab twists
    as a plate with t^3 / 6 in each direction). Of a box only its own plates form the cell. The
    concrete of the haunch lifts the slab and is left out of the stiffness.
    """
    n, shear = slab.E / E, slab.G / G
    t = slab.thickness
    area = n * slab.effective * t
    centre = t + slab.haunch + girder.centroid  # of the girder below the top of the slab
    total = girder.A + area
    centroid = (girder.A * centre + area * t / 2.0) / total
    return WithSlab(
        A=total,
        centroid=centroid,
        Iy=girder.Iy
        + girder.A * (centre - centroid) ** 2
        + area * (t**2 / 12.0 + (centroid - t / 2.0) ** 2),
        Iz=girder.Iz + n * t * slab.tributary**3 / 12.0,
        J=girder.J + shear * slab.tributary * t**3 / 6.0,
        Ay=girder.Ay + shear * RECTANGLE_SHEAR * slab.tributary * t,
        Az=girder.Az,
        slab_force=slab.E * slab.effective * t,
        slab_arm=centroid - t / 2.0,
    )
