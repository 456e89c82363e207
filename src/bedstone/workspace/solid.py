"""A bearing in space: triangles of its parts, for a view that turns.

The solids are those of the detail drawing, so that both show the same bearing. Metres; x along x'
of the bearing, y to its left, z up from the underside of its lowest plate.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from bedstone.bearings.base import Design
from bedstone.mechanics.frame import Floats, Ints
from bedstone.output.drawing.details import assembly_of
from bedstone.output.drawing.picture import Point
from bedstone.output.drawing.pieces import (
    Block,
    Extruded,
    Form,
    Lying,
    Piece,
    Turned,
    Upright,
    arc,
    circle,
)

#: Parts of a whole turn.
_TURN: Final = 48
#: Twice the area of a triangle that counts as none, m2.
_FLAT: Final = 1e-14
#: Largest side of the box that a bearing fills.
_BOX: Final = 1.75
#: Colours of our own by what a piece is made of; blues and ochres stay apart for the colour-blind.
COLOURS: Final[Mapping[str, str]] = {
    "steel": "#7f95ab",
    "rubber": "#33373c",
    "sheet": "#e0a83c",
    "concrete": "#b9b4aa",
}
#: What rolls, turns or slides stands out from the plates.
MOVING: Final = "#2f6ea5"
_MOVERS: Final = ("roller", "rocker", "piston", "pin", "segment", "pivot", "block")
#: Views by name: where the eye stands.
VIEWS: Final[Mapping[str, tuple[float, float, float]]] = {
    "corner": (1.25, -1.45, 0.95),
    "along": (0.0, -2.1, 0.05),
    "across": (-2.1, 0.0, 0.05),
    "above": (0.0, -0.01, 2.2),
    "below": (1.1, -1.3, -1.1),
}


@dataclass(frozen=True)
class Solid:
    """One piece as triangles: `points` (n, 3) m, `triangles` (m, 3) places of points."""

    part: str
    colour: str
    points: Floats
    triangles: Ints

    @property
    def volume(self) -> float:
        """Volume enclosed, m3; right only where the triangles face outwards."""
        a, b, c = (self.points[self.triangles[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def solids(design: Design) -> tuple[Solid, ...]:
    """Every piece of a bearing; raises `BedstoneError` for a record that no drawing knows."""
    return tuple(_solid(piece) for piece in assembly_of(design).pieces)


def figure(design: Design) -> dict[str, Any]:
    """The bearing as data of a plot that turns: pieces of one name are one entry of its legend."""
    found = solids(design)
    ends = np.vstack([solid.points for solid in found])
    size = ends.max(axis=0) - ends.min(axis=0)
    # parallel rays show the box at the size that it is told to have
    box = dict(zip("xyz", (_BOX * size / size.max()).round(4).tolist(), strict=True))
    seen: set[str] = set()
    data = []
    for solid in found:
        x, y, z = (solid.points * 1e3).round(3).T.tolist()
        i, j, k = solid.triangles.T.tolist()
        data.append(
            {
                "type": "mesh3d",
                "name": solid.part,
                "legendgroup": solid.part,
                "showlegend": solid.part not in seen,
                "x": x, "y": y, "z": z, "i": i, "j": j, "k": k,
                "color": solid.colour,
                "flatshading": True,
                "hovertemplate": f"{solid.part}<extra></extra>",
                "lighting": {"ambient": 0.75, "diffuse": 0.65, "specular": 0.1, "roughness": 0.9},
                "lightposition": {"x": 4e3, "y": -6e3, "z": 9e3},
            }
        )  # fmt: skip
        data.append(_edges(solid))
        seen.add(solid.part)
    hidden = {"visible": False}
    return {
        "data": data,
        "layout": {
            "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "height": 430,
            "uirevision": design.kind,
            "legend": {"font": {"color": "#808890"}, "bgcolor": "rgba(0,0,0,0)", "x": 1.0},
            "scene": {
                "aspectmode": "manual",
                "aspectratio": box,
                "xaxis": hidden,
                "yaxis": hidden,
                "zaxis": hidden,
                "camera": camera("corner"),
            },
        },
        "config": {"displaylogo": False, "displayModeBar": False, "responsive": True},
    }


def camera(view: str) -> dict[str, Any]:
    """The eye of a view by name, parallel rays as on a drawing."""
    x, y, z = VIEWS[view]
    up = {"x": 0, "y": 1, "z": 0} if view == "above" else {"x": 0, "y": 0, "z": 1}
    return {"eye": {"x": x, "y": y, "z": z}, "up": up, "projection": {"type": "orthographic"}}


# ------------------------------------------------------------------ one piece
def _solid(piece: Piece) -> Solid:
    points, triangles = _mesh(piece.form)
    points = points + np.array([piece.x, piece.y, piece.z])
    moving = piece.stuff == "steel" and any(word in piece.part for word in _MOVERS)
    plate = "plate" in piece.part
    colour = MOVING if moving and not plate else COLOURS[piece.stuff]
    return Solid(piece.part, colour, points, triangles)


def _mesh(form: Form) -> tuple[Floats, Ints]:
    match form:
        case Block():
            x, y = form.length / 2.0, form.width / 2.0
            return _prism(((-x, -y), (x, -y), (x, y), (-x, y)), form.height)
        case Upright():
            outer = circle(0.0, 0.0, form.diameter / 2.0)
            if form.hole:
                r, s, h = form.hole / 2.0, form.diameter / 2.0, form.height
                return _turned(((r, 0.0), (s, 0.0), (s, h), (r, h)))
            return _prism(outer, form.height)
        case Lying():
            return _lying(form)
        case Extruded():
            half = form.width / 2.0
            if form.hole is None:
                return _across(form.profile, -half, half)
            return _across(_slit(form.profile, circle(*form.hole)), -half, half)
        case Turned():
            return _turned(form.profile)


def _lying(form: Lying) -> tuple[Floats, Ints]:
    """A lying cylinder in lengths between its grooves, the grooves with what is left there."""
    r = form.diameter / 2.0
    ends = [-form.length / 2.0, form.length / 2.0]
    stretches: list[tuple[float, float, float]] = []
    at = ends[0]
    for y, width, depth in sorted(form.grooves):
        stretches += [(at, y - width / 2.0, r), (y - width / 2.0, y + width / 2.0, r - depth)]
        at = y + width / 2.0
    stretches.append((at, ends[1], r))
    meshes = []
    for low, high, radius in stretches:
        if high - low <= 1e-9:
            continue
        flat = min(form.flats or 2.0 * radius, 2.0 * radius)
        if flat < 2.0 * radius - 1e-9:
            half = math.asin(flat / (2.0 * radius))
            up = arc(0.0, r, radius, math.pi / 2.0 - half, math.pi / 2.0 + half)
            down = arc(0.0, r, radius, 1.5 * math.pi - half, 1.5 * math.pi + half)
            outline = (*up, *down)
        else:
            outline = circle(0.0, r, radius)
        meshes.append(_across(outline, low, high))
    return _joined(meshes)


def _across(outline: Sequence[Point], low: float, high: float) -> tuple[Floats, Ints]:
    """An outline (x, z) drawn along y from `low` to `high`."""
    points, triangles = _prism(outline, high - low)
    # (x, z of the outline, depth) to (x, depth, z): a turn, and the depth runs backwards
    moved = np.column_stack([points[:, 0], high - points[:, 2], points[:, 1]])
    return moved, triangles


def _prism(outline: Sequence[Point], height: float) -> tuple[Floats, Ints]:
    """An outline (x, y) drawn up by `height` from z = 0, its triangles facing outwards."""
    ring = np.array(outline)
    if _area(outline) < 0.0:
        ring = ring[::-1]
    # corners that stand at one place but for rounding are one
    ring = ring[np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1) > 1e-9]
    count = len(ring)
    points = np.vstack(
        [
            np.column_stack([ring, np.zeros(count)]),
            np.column_stack([ring, np.full(count, height)]),
        ]
    )
    caps = _filled(ring)
    here = np.arange(count)
    there = (here + 1) % count
    sides = np.vstack(
        [
            np.column_stack([here, there, there + count]),
            np.column_stack([here, there + count, here + count]),
        ]
    )
    return points, np.vstack([caps[:, ::-1], caps + count, sides])


def _filled(ring: Floats) -> Ints:
    """Triangles that fill an outline, anticlockwise. Cut ear by ear, so hollow outlines do too."""
    left = list(range(len(ring)))
    found: list[tuple[int, int, int]] = []
    while len(left) > 3:
        ear = _ear(ring, left, -_FLAT)
        if ear is None:  # corners that only touch an ear may stand in the way of all of them
            ear = _ear(ring, left, _FLAT)
        if ear is None:  # what is left lies on a line
            return np.array(found, dtype=np.intp).reshape(-1, 3)
        found.append((left[ear - 1], left[ear], left[(ear + 1) % len(left)]))
        del left[ear]
    found.append((left[0], left[1], left[2]))
    return np.array(found, dtype=np.intp).reshape(-1, 3)


def _ear(ring: Floats, left: Sequence[int], least: float) -> int | None:
    """Place of a corner that can be cut off; others must not lie deeper than `least` in it."""
    for place in range(len(left)):
        a, b, c = (ring[left[i]] for i in (place - 1, place, (place + 1) % len(left)))
        if _turn(a, b, c) <= _FLAT:
            continue
        others = (ring[other] for other in left)
        # both ends of a slit stand at one place
        deep = (
            min(_turn(a, b, p), _turn(b, c, p), _turn(c, a, p))
            for p in others
            if not any(np.array_equal(p, corner) for corner in (a, b, c))
        )
        if all(depth <= least for depth in deep):
            return place
    return None


def _turn(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _turned(profile: Sequence[Point]) -> tuple[Floats, Ints]:
    """A profile (r, z) turned about the upright axis; it may touch the axis."""
    ring = np.array(profile if _area(profile) > 0.0 else tuple(reversed(profile)))
    count = len(ring)
    angles = np.linspace(0.0, 2.0 * math.pi, _TURN, endpoint=False)
    points = np.vstack(
        [
            np.column_stack([ring[:, 0] * math.cos(a), ring[:, 0] * math.sin(a), ring[:, 1]])
            for a in angles
        ]
    )
    here = np.arange(count)
    triangles = []
    for step in range(_TURN):
        a = step * count + here
        b = step * count + (here + 1) % count
        c = (step + 1) % _TURN * count + here
        d = (step + 1) % _TURN * count + (here + 1) % count
        triangles += [np.column_stack([a, c, b]), np.column_stack([b, c, d])]
    return points, np.vstack(triangles)


def _slit(outline: Sequence[Point], hole: Sequence[Point]) -> tuple[Point, ...]:
    """An outline with a hole as one outline: a slit without width leads to the hole and back."""
    ring = list(outline) if _area(outline) > 0.0 else list(reversed(outline))
    inner = list(hole) if _area(hole) < 0.0 else list(reversed(hole))
    pairs = [(i, j) for i in range(len(ring)) for j in range(len(inner))]
    i, j = min(pairs, key=lambda pair: math.dist(ring[pair[0]], inner[pair[1]]))
    return (*ring[: i + 1], *inner[j:], *inner[: j + 1], *ring[i:])


def _area(outline: Sequence[Point]) -> float:
    """Twice the area of an outline, negative when it runs clockwise."""
    ring = np.array(outline)
    after = np.roll(ring, -1, axis=0)
    return float((ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]).sum())


def _joined(meshes: Sequence[tuple[Floats, Ints]]) -> tuple[Floats, Ints]:
    points, triangles, at = [], [], 0
    for own, some in meshes:
        points.append(own)
        triangles.append(some + at)
        at += len(own)
    return np.vstack(points), np.vstack(triangles)


def _edges(solid: Solid) -> dict[str, Any]:
    """Edges where two faces meet at an angle, so that plates read as plates."""
    normals = np.cross(
        solid.points[solid.triangles[:, 1]] - solid.points[solid.triangles[:, 0]],
        solid.points[solid.triangles[:, 2]] - solid.points[solid.triangles[:, 0]],
    )
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = normals / np.where(length > 0.0, length, 1.0)
    sides: dict[tuple[int, int], list[int]] = {}
    for place, triangle in enumerate(solid.triangles):
        if length[place] <= 1e-15:
            continue
        for a, b in ((0, 1), (1, 2), (2, 0)):
            key = (int(min(triangle[a], triangle[b])), int(max(triangle[a], triangle[b])))
            sides.setdefault(key, []).append(place)
    x: list[float | None] = []
    y: list[float | None] = []
    z: list[float | None] = []
    for (a, b), faces in sides.items():
        if len(faces) == 2 and float(normals[faces[0]] @ normals[faces[1]]) > 0.8:
            continue
        for line, axis in ((x, 0), (y, 1), (z, 2)):
            line += [
                round(float(solid.points[a, axis]) * 1e3, 3),
                round(float(solid.points[b, axis]) * 1e3, 3),
                None,
            ]
    return {
        "type": "scatter3d",
        "mode": "lines",
        "x": x,
        "y": y,
        "z": z,
        "line": {"color": "#15191d", "width": 1.5},
        "showlegend": False,
        "legendgroup": solid.part,
        "hoverinfo": "skip",
    }
