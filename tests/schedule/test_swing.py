"""Periods by the quick form agree with the displacements of all nodes written out."""

from pathlib import Path

import numpy as np
import pytest

from bedstone.actions.cases import GRAVITY, weight_load, weights
from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.schedule.earthquake import bridge_axis, swing

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("way", [0, 1])
def test_period_by_all_nodes(way):
    bridge = read_bridge(ROOT / "examples/curved.toml")
    prepared = prepare(bridge)
    supports = list(bridge.support)
    arranged = arrange(prepared.structure, supports, arrangement_functions(bridge, None))
    condensed = prepared.condensed[prepared.final]
    standing = stand(prepared.structure, supports, condensed, arranged, "lower")
    state = prepared.structure.states[prepared.final]
    weight, direction = weights(prepared.structure, state), bridge_axis(prepared)[way]
    vector = weight_load(state, weight, direction)
    effects = standing.supported.effects(condensed.load(vector))
    moved = condensed.displacements(vector, effects.seat_force, effects.motion)
    u = moved.reshape(-1, 6)[:, :3] @ direction
    expected = 2 * np.pi * np.sqrt((weight @ u**2) / (GRAVITY * (weight @ u)))
    assert swing(prepared, weight, direction).period(standing) == pytest.approx(expected, rel=1e-9)
