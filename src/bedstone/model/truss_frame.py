"""The frame of a truss superstructure: planes, bracing, floor and slab of its parts.

Idealisation
------------
- Chords and web members in rigid joints: beams on their centre lines, `Iy` bending in the plane of
  the truss, continuous through the joints.
- Pinned joints: web members and the unloaded top chord are bars. The bottom chord and the chord
  that carries the cross girders stay continuous (so that the ends have a rotation and the cross
  girders a hold). Portal frames of a through truss stay frames across the bridge: an inclined end
  post or a post over an inner support is hinged at its foot in the plane of the truss only.
- Bracing: bars; both of a cross carry tension and compression and do not meet in the middle.
- Cross girders: beams rigid with the chord. Stringers: simply supported between the cross girders,
  held against twisting; without a slab that works along the bridge each can slide at its far end,
  so that the floor takes no part of the chord's force.
- Slab: strips across at the quarter points of each panel, bending between the stringers. If it is
  composite, strips along every stringer line and over the cross girders as well, with their full
  stiffness in plan: the slab then shares the strain of the loaded chord through the cross girders.
  Strips lie at the level of the stringers' axes.
- Bars carry their own weight as simple beams. Gussets have no stiffness, joints no eccentricity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from bedstone.bridge.schema import Materials, Slab, Truss
from bedstone.mechanics.frame import Bools, Floats, Frame, FrameBuilder, Ints
from bedstone.model.sections import SectionProperties, section_properties, slab_strip
from bedstone.model.truss_layout import Brace, Joint, Plane

#: Pieces of a panel between strips of slab.
SLAB_PIECES = 4
#: A stringer closer than this to a truss plane (m) stands in it.
IN_PLANE = 1e-3


@dataclass(frozen=True)
class Part:
    """A truss in one piece on a straight line.

    `supports`: positions of its supports among the bridge's; `x` global x of their points on the
    reference line; `skew`: tangent of their skew; `heights`: of the truss at its panel points;
    `loaded_level`: z of the axis of the loaded chord.
    """

    plane: Plane
    braces: tuple[Brace, ...]
    supports: tuple[int, ...]
    x: tuple[float, ...]
    skew: tuple[float, ...]
    heights: tuple[float, ...]
    loaded_level: float

    def position(self, point: float, y: float) -> tuple[float, float]:
        """Global x and y at a point (in panels) and an offset; skew varies evenly over a span."""
        middle, skew = (
            float(np.interp(point, self.plane.supports, values)) for values in (self.x, self.skew)
        )
        return middle - y * skew, y

    def level(self, joint: Joint) -> float:
        """Level z of a joint; between panel points the height is interpolated."""
        if joint.chord == self.plane.loaded:
            return self.loaded_level
        height = float(np.interp(joint.point, np.arange(len(self.heights)), self.heights))
        return self.loaded_level + (height if joint.chord == "top" else -height)

    def chord_levels(self, points: Floats) -> Floats:
        """Levels (k, 2) of top and bottom chord at points (k,); beyond a chord's end, its end's."""
        chords = self.plane.chord("top"), self.plane.chord("bottom")
        return np.stack(
            [
                np.interp(points, [j.point for j in chord], [self.level(j) for j in chord])
                for chord in chords
            ],
            axis=-1,
        )


@dataclass(frozen=True)
class Stock:
    """What a member is made of: section, moduli (Pa) and weight (N/m)."""

    properties: SectionProperties
    E: float
    G: float
    weight: float


@dataclass(frozen=True)
class SlabStock:
    """Slab on the stringers: thickness, overhangs to the right and left (m), moduli (Pa)."""

    thickness: float
    right: float
    left: float
    E: float
    G: float
    composite: bool

    def strip(self, width: float) -> Stock:
        """A strip of this slab; its weight comes with the load of the slab."""
        return Stock(slab_strip(width, self.thickness), self.E, self.G, 0.0)


@dataclass(frozen=True)
class TrussFrame:
    """The frame of all parts and where things are in it.

    `groups`: members by group; `weight` (m,) N/m; `concrete` (m,); `top`, `bottom` (m,) levels of
    the chords at each member; `joints`: for each part and side (0 right, 1 left) the node of each
    joint; `stringers`: members of each stringer line over all parts in order, from right to left.
    """

    frame: Frame
    groups: Mapping[str, Ints]
    weight: Floats
    concrete: Bools
    top: Floats
    bottom: Floats
    joints: tuple[tuple[Mapping[Joint, int], Mapping[Joint, int]], ...]
    stringers: tuple[Ints, ...]


def stocks(truss: Truss, materials: Materials, creep: float) -> dict[str, Stock]:
    """Stock of each group of members; `creep`: creep factor for concrete sections."""
    members = truss.members
    struts = members.top_struts or members.lateral
    names = {
        "top_chord": members.top_chord,
        "bottom_chord": members.bottom_chord,
        "end_posts": members.end_posts or members.top_chord,
        "diagonals": members.diagonals,
        "posts": members.posts,
        "cross_girders": members.cross_girders,
        "stringers": members.stringers,
        "lateral": members.lateral,
        "top_struts": struts,
        "portals": members.portals or struts,
    }
    result: dict[str, Stock] = {}
    for group, name in names.items():
        if name is None:
            continue
        properties = section_properties(truss.sections[name])
        if properties.material == "steel":
            modulus, poisson = materials.steel_E, materials.steel_poisson
            weight = properties.A * materials.steel_density * (1.0 + truss.weight_allowance)
        else:
            modulus = materials.concrete_E / (1.0 + creep)
            poisson = materials.concrete_poisson
            weight = properties.A * materials.concrete_density
        result[group] = Stock(properties, modulus, modulus / (2.0 * (1.0 + poisson)), weight)
    return result


def slab_stock(slab: Slab, materials: Materials, creep: float, composite: bool) -> SlabStock:
    """The slab with its creep factor."""
    modulus = (slab.E or materials.concrete_E) / (1.0 + creep)
    shear = modulus / (2.0 * (1.0 + materials.concrete_poisson))
    return SlabStock(
        slab.thickness, slab.overhang_right, slab.overhang_left, modulus, shear, composite
    )


class _Assembly:
    """Collects nodes and members of one frame with what belongs to each."""

    def __init__(self, stock: Mapping[str, Stock]) -> None:
        self.stock = stock
        self.builder = FrameBuilder()
        self.groups: dict[str, list[int]] = {}
        self.members: list[tuple[int, int, Stock]] = []
        self.points: list[float] = []  # of the nodes, in panels of their part

    def node(self, part: Part, point: float, y: float, z: float) -> int:
        self.points.append(point)
        return self.builder.node(*part.position(point, y), z)

    def bar(self, group: str, i: int, j: int) -> int:
        """A member that takes force along itself only (and its own weight as a simple beam)."""
        stock = self.stock[group]
        # with J = 0 rather than a release of torsion the hinges carry exactly nothing
        straight = replace(stock, properties=replace(stock.properties, J=0.0))
        return self.member(group, i, j, straight, "my mz", "my mz")

    def member(
        self,
        group: str,
        i: int,
        j: int,
        stock: Stock | None = None,
        release_i: str = "",
        release_j: str = "",
    ) -> int:
        stock = stock or self.stock[group]
        start, end = self.builder.position(i), self.builder.position(j)
        upright = math.dist(start[:2], end[:2]) < 1e-6 * math.dist(start, end)
        section = stock.properties
        index = self.builder.member(
            i,
            j,
            E=stock.E,
            G=stock.G,
            A=section.A,
            Iy=section.Iy,
            Iz=section.Iz,
            J=section.J,
            Ay=section.Ay,
            Az=section.Az,
            # Iy of an upright member bends in the plane of the truss like that of the others
            up=(1.0, 0.0, 0.0) if upright else (0.0, 0.0, 1.0),
            release_i=release_i,
            release_j=release_j,
        )
        self.groups.setdefault(group, []).append(index)
        self.members.append((i, j, stock))
        return index


def assemble(
    truss: Truss, parts: tuple[Part, ...], stock: Mapping[str, Stock], slab: SlabStock | None
) -> TrussFrame:
    """The frame of all parts; without `slab` the members of the slab are left out.

    Nodes and steel members have the same numbers with and without slab.
    """
    assembly = _Assembly(stock)
    joints: list[tuple[dict[Joint, int], dict[Joint, int]]] = []
    floors: list[list[list[int]]] = []
    lines: list[list[int]] = [[] for _ in truss.stringer_offsets]
    levels: list[Floats] = []  # of the chords at each node
    for part in parts:
        first = len(assembly.points)
        sides = _planes(assembly, truss, part)
        _braces(assembly, truss, part, sides)
        floor = _cross_girders(assembly, truss, part, sides)
        floors.append(_stringers(assembly, truss, part, floor, lines))
        joints.append(sides)
        levels.append(part.chord_levels(np.array(assembly.points[first:])))
    if slab is not None:
        for part, grid in zip(parts, floors, strict=True):
            _slab(assembly, truss, part, grid, slab)
    ends = np.array([(i, j) for i, j, _ in assembly.members], dtype=np.intp)
    middle = np.concatenate(levels)[ends].mean(axis=1)
    return TrussFrame(
        frame=assembly.builder.frame(),
        groups={name: np.array(group, dtype=np.intp) for name, group in assembly.groups.items()},
        weight=np.array([used.weight for *_, used in assembly.members]),
        concrete=np.array(
            [used.properties.material == "concrete" for *_, used in assembly.members]
        ),
        top=middle[:, 0],
        bottom=middle[:, 1],
        joints=tuple(joints),
        stringers=tuple(np.array(line, dtype=np.intp) for line in lines),
    )


# ------------------------------------------------------------------ trusses and bracing
def _planes(
    assembly: _Assembly, truss: Truss, part: Part
) -> tuple[dict[Joint, int], dict[Joint, int]]:
    """Both truss planes: nodes of the joints on the right and on the left."""
    pinned = truss.joints == "pinned"
    half = truss.spacing / 2.0
    right, left = (
        {
            joint: assembly.node(part, joint.point, y, part.level(joint))
            for joint in part.plane.joints
        }
        for y in (-half, half)
    )
    framed: set[Joint] = set()  # top joints that already turn with a portal post
    for bar in part.plane.bars:
        hinged = pinned and not _continuous(part, bar.group)
        portal_post = hinged and _portal_post(part, bar.group, bar.i)
        low, high = sorted((bar.i, bar.j), key=lambda joint: joint.chord)
        for nodes in (right, left):
            if portal_post:
                # out of the plane of the truss the post bends with the portal and the cross girder
                top_release = "my" if high in framed else ""
                assembly.member(bar.group, nodes[low], nodes[high], None, "my", top_release)
            elif hinged:
                assembly.bar(bar.group, nodes[bar.i], nodes[bar.j])
            else:
                assembly.member(bar.group, nodes[bar.i], nodes[bar.j])
        if portal_post:
            framed.add(high)
    return right, left


def _continuous(part: Part, group: str) -> bool:
    """Whether a group runs through the joints of a truss with pinned joints."""
    return group == "bottom_chord" or group == f"{part.plane.loaded}_chord"


def _portal_post(part: Part, group: str, joint: Joint) -> bool:
    """Whether a web member is the leg of a portal frame (through trusses only)."""
    if part.plane.loaded == "top":
        return False
    return group == "end_posts" or (group == "posts" and joint.point in part.plane.supports)


def _braces(
    assembly: _Assembly,
    truss: Truss,
    part: Part,
    sides: tuple[Mapping[Joint, int], Mapping[Joint, int]],
) -> None:
    right, left = sides
    chords = {bar.group for bar in part.plane.bars}
    for brace in part.braces:
        chord = f"{brace.right.chord}_chord"
        # in pinned joints a strut bends only where a portal or a continuous chord holds its ends
        held = (
            truss.joints == "rigid"
            or (_continuous(part, chord) and chord in chords)
            or (brace.group == "portals" and part.plane.loaded == "bottom")
        )
        add = assembly.member if brace.beam and held else assembly.bar
        add(brace.group, right[brace.right], left[brace.left])


# ------------------------------------------------------------------ floor
def _cross_girders(
    assembly: _Assembly,
    truss: Truss,
    part: Part,
    sides: tuple[Mapping[Joint, int], Mapping[Joint, int]],
) -> list[list[int]]:
    """Cross girders at all joints of the loaded chord: nodes of the stringers on each of them."""
    half = truss.spacing / 2.0
    rows: list[list[int]] = []
    for joint in part.plane.chord(part.plane.loaded):
        ends = {-half: sides[0][joint], half: sides[1][joint]}
        row: list[int] = []
        for y in sorted(truss.stringer_offsets):
            plane = math.copysign(half, y)
            if abs(y - plane) < IN_PLANE:
                row.append(ends[plane])
            else:
                row.append(assembly.node(part, joint.point, y, part.loaded_level))
        for i, j in pairwise(dict.fromkeys([ends[-half], *row, ends[half]])):
            assembly.member("cross_girders", i, j)
        rows.append(row)
    return rows


def _stringers(
    assembly: _Assembly,
    truss: Truss,
    part: Part,
    rows: list[list[int]],
    lines: list[list[int]],
) -> list[list[int]]:
    """Stringers from cross girder to cross girder; returns the rows of nodes of the whole floor.

    Where a slab lies on them they are cut at its strips.
    """
    pieces = 1 if truss.slab is None else SLAB_PIECES
    sliding = "" if truss.slab is not None and truss.slab_composite else "fx "
    offsets = sorted(truss.stringer_offsets)
    grid = [rows[0]]
    for panel, (near, far) in enumerate(pairwise(rows)):
        between = [
            [assembly.node(part, panel + step / pieces, y, part.loaded_level) for y in offsets]
            for step in range(1, pieces)
        ]
        steps = [near, *between, far]
        for index, line in enumerate(lines):
            for step, (back, ahead) in enumerate(pairwise(steps)):
                line.append(
                    assembly.member(
                        "stringers",
                        back[index],
                        ahead[index],
                        release_i="my mz" if step == 0 else "",
                        release_j=f"{sliding}my mz" if step == pieces - 1 else "",
                    )
                )
        grid += [*between, far]
    return grid


def _slab(
    assembly: _Assembly, truss: Truss, part: Part, grid: list[list[int]], slab: SlabStock
) -> None:
    """Strips of slab across and, if it is composite, along the stringers."""
    offsets = sorted(truss.stringer_offsets)
    along = [part.position(row / SLAB_PIECES, 0.0)[0] for row in range(len(grid))]
    for row, nodes in enumerate(grid):
        over_cross_girder = row % SLAB_PIECES == 0
        if over_cross_girder and not slab.composite:
            continue
        width = (along[min(row + 1, len(grid) - 1)] - along[max(row - 1, 0)]) / 2.0
        for i, j in pairwise(nodes):
            # a slab that is not tied to the steel does not hold the stringers together either
            assembly.member(
                "slab", i, j, slab.strip(width), release_j="" if slab.composite else "fx"
            )
    if not slab.composite:
        return
    edges = [
        offsets[0] - slab.right,
        *((a + b) / 2.0 for a, b in pairwise(offsets)),
        offsets[-1] + slab.left,
    ]
    for index, (low, high) in enumerate(pairwise(edges)):
        if high - low <= 0.0:
            continue  # a single stringer under a slab without overhang: no width of its own
        for back, ahead in pairwise(grid):
            assembly.member("slab", back[index], ahead[index], slab.strip(high - low))
