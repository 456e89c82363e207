"""The point without movement; statics and strain by hand (elementary mechanics, no source)."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge.reader import read_bridge
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.fixed_point import CHANGE, still, still_points

STIFF = {
    "kind": "given", "A": "50 m2", "Iy": "1 m4", "Iz": "1 m4", "J": "0.01 m4", "depth": "1.5 m",
    "centroid": "1.5 m",
}  # fmt: skip
ALPHA = 12e-6


def data(chainages, seats, number=1, continuity="continuous", **rest):
    marks = [f"S{k + 1}" for k in range(len(chainages))]
    return {
        "bridge": {"name": "case"},
        "support": [
            {"mark": mark, "chainage": f"{c} m"} for mark, c in zip(marks, chainages, strict=True)
        ],
        "materials": {"steel_alpha": f"{ALPHA} 1/K"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": number, "continuity": continuity,
            "sections": {"g": STIFF},
            "segments": [
                {"start": f"{chainages[0]} m", "end": f"{chainages[-1]} m", "section": "g"}
            ],
            **({"spacing": "4 m", "diaphragms": {"section": "g", "spacing": "30 m"}}
               if number > 1 else {}),
        },
        "arrangement": {"seats": seats},
        **rest,
    }  # fmt: skip


def points(file):
    bridge = Bridge.model_validate(file)
    prepared = prepare(bridge)
    functions = arrangement_functions(bridge, None)
    arranged = arrange(prepared.structure, list(bridge.support), functions)
    return still_points(prepared, "irc", arranged)


def seat(function, **rest):
    return {"function": function, "hold_rotation": ["x"], **rest}


def test_a_fixed_bearing_on_a_rigid_support_is_the_point():
    file = data([0.0, 30.0, 60.0], {
        "S1-1": seat("guided along"), "S2-1": seat("fixed"), "S3-1": seat("guided along"),
    })  # fmt: skip
    found = points(file)
    (piece,) = found.pieces
    assert (found.warm, found.cold) == (CHANGE, CHANGE)
    assert any("no temperature" in note for note in found.notes)
    # also under friction: the support does not give way
    assert piece.along.low == pytest.approx(30.0, abs=1e-6)
    assert piece.along.high == pytest.approx(30.0, abs=1e-6)
    behind, ahead = piece.joints
    assert (behind.at, ahead.at) == (0.0, 60.0)
    assert behind.length.low == pytest.approx(30.0, abs=1e-6)
    assert ahead.warm.high == pytest.approx(ALPHA * CHANGE * 30.0, rel=1e-6)
    assert ahead.cold.high == pytest.approx(ALPHA * CHANGE * 30.0, rel=1e-6)


def test_friction_moves_the_point_of_a_soft_pier():
    """Pier of 10 MN/m fixed at 30 m; slides of 0.1 at 0 and of 0.2 at 60 m, 450 kN on each.

    Warm, the slides push the pier back with (0.2 - 0.1) 450 = 45 kN: 4.5 mm.
    """
    file = data([0.0, 30.0, 60.0], {
        "S1-1": seat("guided along", friction=0.1),
        "S2-1": seat("fixed"), "S3-1": seat("guided along", friction=0.2),
    })  # fmt: skip
    file["support"][1]["below"] = {"kind": "springs", "springs": {"kx": "10 MN/m"}}
    file["stage"] = [
        {"name": "all", "carries": "steel",
         "loads": [{"kind": "line", "line_value": "40 kN/m", "y": "0 m"}]}
    ]  # fmt: skip
    file["arrangement"]["set_at"] = "all"
    (piece,) = points(file).pieces
    # two equal spans: 3/8 w L at the ends (handbooks, from memory)
    normal = 3.0 / 8.0 * 40e3 * 30.0
    shift = (0.2 - 0.1) * normal / 10e6
    high = [item for item in piece.rubbing if item.friction == "high" and item.stiffness == "given"]
    by_sense = {item.growing: item for item in high}
    strain = ALPHA * CHANGE
    # the heavier rubbing end is ahead: warm, the deck is pushed back
    assert by_sense[True].movement[1] == pytest.approx(-shift, rel=2e-3)
    assert by_sense[True].along.at == pytest.approx(30.0 + shift / strain, rel=2e-3)
    assert by_sense[False].movement[1] == pytest.approx(shift, rel=2e-3)
    assert by_sense[False].along.at == pytest.approx(30.0 + shift / strain, rel=2e-3)
    assert piece.along.low == pytest.approx(30.0, abs=0.02)
    assert piece.along.high >= by_sense[True].along.at


def test_permanent_load_presses_but_leaves_nothing_locked_in():
    """Seen from bearings without friction, warming and cooling push the pier alike."""
    path = Path(__file__).parents[2] / "examples" / "girders.toml"
    bridge = read_bridge(path)
    prepared = prepare(bridge, read_tables(bridge, path.parent))
    functions = arrangement_functions(bridge, prepared.tables)
    arranged = arrange(prepared.structure, list(bridge.support), functions)
    (piece,) = still_points(prepared, "eurocode", arranged).pieces
    low = {item.growing: item for item in piece.rubbing
           if (item.friction, item.stiffness) == ("low", "given")}  # fmt: skip
    warm, cold = (low[sense].movement[1] for sense in (True, False))
    assert abs(warm) > 0.1e-3
    assert warm == pytest.approx(-cold, rel=0.02)
    # softer below, farther from the fixed bearing
    by_bound = {item.stiffness: item.along.at for item in piece.rubbing
                if (item.friction, item.growing) == ("high", True)}  # fmt: skip
    assert by_bound["upper"] < by_bound["given"] < by_bound["lower"]


def test_two_simple_spans_have_two_points():
    seats = {
        "S1-1": seat("fixed"), "S2-1b": seat("guided along"),
        "S2-1a": seat("guided along"), "S3-1": seat("fixed"),
    }  # fmt: skip
    one, two = points(data([0.0, 30.0, 60.0], seats, continuity="simple")).pieces
    assert (one.supports, two.supports) == (("S1", "S2"), ("S2", "S3"))
    assert one.along.high == pytest.approx(0.0, abs=1e-6)
    assert two.along.low == pytest.approx(60.0, abs=1e-6)
    # the joint over the pier: both spans grow toward it
    assert one.joints[1].warm.high == pytest.approx(ALPHA * CHANGE * 30.0, rel=1e-6)
    assert two.joints[0].warm.high == pytest.approx(ALPHA * CHANGE * 30.0, rel=1e-6)


def test_across_the_point_is_the_guide():
    seats = {
        "S1-1": {"function": "free"}, "S1-2": {"function": "fixed"},
        "S2-1": {"function": "free"}, "S2-2": {"function": "guided along"},
    }  # fmt: skip
    (piece,) = points(data([0.0, 30.0], seats, number=2)).pieces
    for mark in ("S1", "S2"):
        assert piece.across[mark].low == pytest.approx(2.0, abs=1e-3)
        assert piece.across[mark].high == pytest.approx(2.0, abs=1e-3)


@given(st.floats(-50.0, 150.0), st.floats(1e-6, 1e-3), st.sampled_from([-1.0, 1.0]))
def test_still_finds_the_zero_of_a_straight_line(zero, slope, sense):
    where = np.array([0.0, 30.0, 70.0, 100.0])
    found = still(where, sense * slope * (where - zero))
    assert found.at == pytest.approx(zero, abs=1e-6)
    if not (-1e-3 <= zero <= 1e-3 or 100.0 - 1e-3 <= zero <= 100.0 + 1e-3):
        assert found.inside == (0.0 < zero < 100.0)


def test_still_says_where_nothing_stands_still():
    where = np.array([0.0, 30.0])
    assert still(where, np.array([0.01, 0.01])) is None
    assert still(where, np.array([0.0, 0.0])).at == 15.0
    assert still(np.array([3.0]), np.array([0.01])) is None
    assert still(np.array([3.0]), np.array([0.0])).at == 3.0
