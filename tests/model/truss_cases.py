"""Bridges of trusses for the tests of this folder."""

from typing import Any

import numpy as np
from girder_cases import plain, stand

from bedstone.bridge.schema import Bridge
from bedstone.model.structure import Structure


def girder_section(width: str, depth: str) -> dict[str, str]:
    return {
        "kind": "plate girder",
        "top_width": width,
        "top_thickness": "20 mm",
        "web_depth": depth,
        "web_thickness": "12 mm",
        "bottom_width": width,
        "bottom_thickness": "20 mm",
    }


def bar_section(area: float, second: float = 1e-7) -> dict[str, str]:
    """A section that hardly bends: for the formulas of pin-jointed trusses."""
    return {
        "kind": "given",
        "A": f"{area} m2",
        "Iy": f"{second} m4",
        "Iz": f"{second} m4",
        "J": f"{second} m4",
        "depth": "0.3 m",
        "centroid": "0.15 m",
    }


SECTIONS = {
    "chord": girder_section("400 mm", "400 mm"),
    "web": girder_section("300 mm", "300 mm"),
    "cross": girder_section("350 mm", "800 mm"),
    "stringer": girder_section("250 mm", "500 mm"),
    "brace": girder_section("150 mm", "150 mm"),
}
MEMBERS = {
    "top_chord": "chord",
    "bottom_chord": "chord",
    "diagonals": "web",
    "posts": "web",
    "cross_girders": "cross",
    "stringers": "stringer",
    "lateral": "brace",
}
SLAB = {
    "thickness": "200 mm",
    "haunch": "50 mm",
    "overhang_left": "0.4 m",
    "overhang_right": "0.4 m",
}


def truss_bridge(
    panels=(6,), panel=8.0, skew=0.0, start=0.0, stage=(), radius=None, **superstructure: Any
) -> Bridge:
    """A truss bridge with panels of equal length; None takes a field away."""
    spans = np.array(panels) * panel
    chainages = start + np.concatenate([[0.0], np.cumsum(spans)])
    skews = np.broadcast_to(skew, chainages.shape)
    truss: dict[str, Any] = {
        "kind": "truss",
        "form": "pratt",
        "panels": list(panels),
        "heights": ["8 m"],
        "spacing": "6 m",
        "stringer_offsets": ["-1.8 m", "0 m", "1.8 m"],
        "surface_to_chord": "1 m",
        "contact": "0.4 m",
        "sections": SECTIONS,
        "members": MEMBERS,
        "slab": SLAB,
        **superstructure,
    }
    data = {
        "bridge": {"name": "truss"},
        "support": [
            {"mark": f"S{k + 1}", "chainage": f"{c} m", "skew": f"{a} deg"}
            for k, (c, a) in enumerate(zip(chainages, skews, strict=True))
        ],
        "superstructure": {k: v for k, v in truss.items() if v is not None},
        "stage": list(stage),
        "arrangement": {},
    }
    if radius is not None:
        data["alignment"] = {"radius": f"{radius} m"}
    return Bridge.model_validate(data)


def pin_jointed(area: float = 0.02, **changes: Any) -> dict[str, Any]:
    """Fields of a truss of four panels whose planes are pin-jointed as far as numbers tell.

    All members of the planes have one area; bracing and floor do not tie the planes together.
    """
    sections = {
        "bar": bar_section(area),
        "floor": bar_section(0.02),
        "brace": bar_section(1e-9),
    }
    members = {**dict.fromkeys(MEMBERS, "bar"), "cross_girders": "floor", "stringers": "floor",
               "lateral": "brace"}  # fmt: skip
    fields = {"panels": (4,), "panel": 6.0, "joints": "pinned", "slab": None, "contact": "0 m",
              "sections": sections, "members": members}  # fmt: skip
    return {**fields, **changes}


def node_at(frame, x: float, y: float, z: float) -> int:
    distance = np.linalg.norm(frame.nodes - np.array([x, y, z]), axis=1)
    assert distance.min() < 1e-6
    return int(np.argmin(distance))


def axial_forces(frame, moved: np.ndarray) -> np.ndarray:
    """Axial force (m,) of members from node displacements (n, 6), + in tension."""
    ends = np.concatenate([moved[frame.ends[:, 0]], moved[frame.ends[:, 1]]], axis=1)
    local = np.einsum("mij,mjk,mk->mi", frame.local_stiffness, frame.to_local, ends)
    return local[:, 6]


def deflect(structure: Structure, state: str, vector: np.ndarray, held=None):
    """(effects, displacements (n, 6)) of a load vector on bearings that lock nothing in."""
    condensed, supported = stand(structure, state, held or plain(structure))
    effects = supported.effects(condensed.load(vector))
    moved = condensed.displacements(vector, effects.seat_force, effects.motion)
    return effects, moved[:, 0].reshape(-1, 6)
