"""Friction of two spans on one pier: adverse on one, relieving on the other."""

from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.schedule.friction import adverse_sides, friction_action
from bedstone.standards.eurocode import FAMILY
from bedstone.standards.values import Values

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def railway():
    bridge = read_bridge(ROOT / "examples/railway.toml")
    prepared = prepare(bridge)
    functions = arrangement_functions(bridge, None)
    # each span fixed at its first end: one moves on the pier, the other at A2
    moved = {
        mark: seat.model_copy(
            update={
                "function": {
                    "A1-1": "fixed", "A1-2": "guided across", "P1-1b": "guided along",
                    "P1-2b": "free", "P1-1a": "fixed", "P1-2a": "guided across",
                    "A2-1": "guided along", "A2-2": "free",
                }[mark],
                "direction": "axis",
                "kind": "plane sliding",
            }
        )
        for mark, seat in functions.items()
    }  # fmt: skip
    arranged = arrange(prepared.structure, list(bridge.support), moved)
    standing = stand(
        prepared.structure, list(bridge.support), prepared.condensed[prepared.final], arranged
    )
    return prepared, arranged, standing


def test_a_pier_gets_the_difference_of_two_frictions(railway):
    """mu_a N of one span less mu_r N of the other (IRC:6, 211.5: high and low coefficient)."""
    prepared, arranged, standing = railway
    order = standing.effects.layout
    dead = np.zeros(order.size)
    normal = 1.0e6
    for mark in order.seats:
        dead[order.index(mark, "N")] = normal
    heat = np.zeros(order.size)
    for mark in order.seats:
        if mark.startswith("A2") or mark.endswith("b"):
            heat[order.index(mark, "vx")] = 1e-4
    values = Values("eurocode")
    action, used, _ = friction_action(prepared, arranged, standing, dead, heat, FAMILY, values)
    assert action is not None
    adverse, relieving = used["P1-1b"]
    pier = action.table[:, order.index("P1", "Fx")]
    expected = 2.0 * (adverse - relieving) * normal  # two bearings of each span
    assert np.abs(pier).max() == pytest.approx(expected, rel=1e-9)
    names = [name for name, value in zip(action.names, pier, strict=True) if abs(value) > 1.0]
    assert names
    assert all("by turns" in name for name in names)


def test_one_piece_has_two_sides_and_two_senses(railway):
    prepared, _, _ = railway
    assert len(adverse_sides(prepared)) == 16
    truss = prepare(read_bridge(ROOT / "examples/truss.toml"))
    assert len(adverse_sides(truss)) == 8
