"""Bridges of girders for the tests of this folder, and a way to stand them on plain bearings."""

import copy
from typing import Any

import numpy as np

from bedstone.bridge.schema import Bridge
from bedstone.mechanics.condense import Condensed, condense
from bedstone.mechanics.support import Bearings, Effects, Supported
from bedstone.model.structure import Structure

PLATE = {
    "kind": "plate girder",
    "top_width": "400 mm",
    "top_thickness": "25 mm",
    "web_depth": "1500 mm",
    "web_thickness": "14 mm",
    "bottom_width": "500 mm",
    "bottom_thickness": "40 mm",
}
#: Properties alone, no shear deformation: for the formulas of slender beams.
SLENDER = {
    "kind": "given",
    "A": "0.05 m2",
    "Iy": "0.02 m4",
    "Iz": "0.002 m4",
    "J": "1e-4 m4",
    "depth": "1.5 m",
    "centroid": "0.8 m",
}
SLAB = {"thickness": "250 mm", "haunch": "50 mm", "overhang_left": "1.2 m",
        "overhang_right": "1.2 m"}  # fmt: skip


def girder_data(spans=(40.0,), skew=0.0, start=0.0, **superstructure: Any) -> dict[str, Any]:
    """Data of a bridge file; `skew` (deg) for all supports or one each; None takes a field away."""
    chainages = start + np.concatenate([[0.0], np.cumsum(spans)])
    skews = np.broadcast_to(skew, chainages.shape)
    girders = {
        "kind": "girders",
        "type": "composite",
        "number": 4,
        "spacing": "3 m",
        "sections": {"g": PLATE, "d": {**PLATE, "web_depth": "900 mm"}},
        "segments": [
            {"start": f"{chainages[0] - 20} m", "end": f"{chainages[-1] + 20} m", "section": "g"}
        ],
        "slab": SLAB,
        "diaphragms": {"section": "d", "spacing": "8 m"},
    }
    girders.update(superstructure)
    return {
        "bridge": {"name": "case"},
        "support": [
            {"mark": f"S{k + 1}", "chainage": f"{c} m", "skew": f"{a} deg"}
            for k, (c, a) in enumerate(zip(chainages, skews, strict=True))
        ],
        "superstructure": {k: v for k, v in girders.items() if v is not None},
        "arrangement": {},
    }


def girder_bridge(radius=None, turn="left", stage=(), materials=None, **rest: Any) -> Bridge:
    """A bridge of girders; see `girder_data`."""
    data = copy.deepcopy(girder_data(**rest))
    if radius is not None:
        data["alignment"] = {"radius": f"{radius} m", "turn": turn}
    if materials:
        data["materials"] = materials
    data["stage"] = list(stage)
    return Bridge.model_validate(data)


def single_line(spans=(40.0,), **changes: Any) -> Bridge:
    """One line of steel, no slab, no shear deformation."""
    given = {"number": 1, "spacing": None, "type": "steel", "slab": None, "diaphragms": None,
             "sections": {"g": SLENDER}}  # fmt: skip
    return girder_bridge(spans=spans, **{**given, **changes})


def stand(structure: Structure, state: str, held: dict[str, str]) -> tuple[Condensed, Supported]:
    """Condense a state and stand it on bearings that hold directions in global axes.

    `held`: for each mark words of x y z rx ry rz; marks left out hold z.
    """
    condensed = condense(structure.states[state].frame, structure.states[state].seats)
    directions = ("x", "y", "z", "rx", "ry", "rz")
    rows = [[d in held.get(seat.mark, "z").split() for d in directions] for seat in structure.seats]
    count = len(rows)
    bearings = Bearings(
        axes=np.broadcast_to(np.eye(3), (count, 3, 3)).copy(),
        held=np.array(rows),
        compliance=np.zeros((count, 6)),
    )
    return condensed, Supported(condensed, bearings, np.zeros((6 * count, 6 * count)))


def plain(structure: Structure) -> dict[str, str]:
    """Held directions that lock nothing in: line 1 fixed at the start and guided at the end.

    Single lines are held against rolling over at every seat.
    """
    lines = max(seat.line for seat in structure.seats)
    roll = " rx" if lines == 1 else ""
    result = {seat.mark: "z" + roll for seat in structure.seats}
    result[structure.seats[0].mark] += " x y"
    result[structure.seats[-lines].mark] += " y"
    return result


def solve(structure: Structure, state: str, vector: np.ndarray, held=None) -> Effects:
    """Effects of one load vector on plain bearings."""
    condensed, supported = stand(structure, state, plain(structure) if held is None else held)
    return supported.effects(condensed.load(vector))


def reactions(structure: Structure, state: str, vector: np.ndarray, held=None) -> np.ndarray:
    """(seats,) compression N."""
    return -solve(structure, state, vector, held).force[:, 2, 0]


def weight_down(vector: np.ndarray) -> float:
    """Sum of the downward node loads."""
    return -float(vector.reshape(-1, 6)[:, 2].sum())
