"""Setting a bearing by independent geometry and by the elementary formulas of thermal movement.

Sources: kinematics of rolling, worked here with points and small steps apart from bedstone; the
check numbers are elementary algebra from given inputs (alpha L dT; end rotation 16 d/(5 L) of a
beam under a uniform load). The case of 60 m and 35 K takes the inputs of a public worked example of
an expansion bearing, known second hand.
"""

import math

import numpy as np
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.comparison.screen import Screen
from bedstone.site import kinematics
from bedstone.site.mechanism import End
from bedstone.site.setting import settings

SOURCE = "Setting: geometry of rolling, movement by alpha L and by end rotation"
KNOWN = "derived"
ALPHA, E = 12e-6, 210e9


def rolled(radius, turn, steps=200_000):
    """Centre and upper plate of a roller that rolls without slip, by small steps of its points.

    Each step turns the whole roller about the point that touches the lower plate at that moment.
    """
    small = turn / steps
    turning = np.array([[math.cos(small), math.sin(small)], [-math.sin(small), math.cos(small)]])
    # against the touching point the centre stands a radius, the top a diameter above
    centre = turning @ np.array([0.0, radius]) - np.array([0.0, radius])
    top = turning @ np.array([0.0, 2.0 * radius]) - np.array([0.0, 2.0 * radius])
    return steps * centre[0], steps * top[0]


def test_a_roller_goes_half_as_far_as_its_upper_plate(published):
    centre, top = rolled(0.075, 0.25)
    ours = (kinematics.roller_offset(top), kinematics.roller_turn(top, 0.15))
    published("Roller 150 mm: offset, turn", (centre, 0.25), ours, "m, rad", rel=1e-6)


def test_a_stop_at_gap_g_ends_the_travel_at_2_g(published):
    gap, radius = 0.03, 0.075
    # the side of the roller comes to the bar when its centre has gone the gap
    movements = np.linspace(0.0, 0.1, 100_001)
    sides = radius + np.array([rolled(radius, m / (2 * radius), 1)[0] for m in (0.0,)])[0]
    touching = movements[np.argmax(sides + movements / 2.0 >= radius + gap - 1e-12)]
    published("Travel to stops 30 mm off", touching, kinematics.travel_to_stop(gap), "m", abs=2e-6)
    behind, ahead = kinematics.roller_gaps(gap, touching)
    published("Gaps then, behind and ahead", (2 * gap, 0.0), (behind, ahead), "m", abs=2e-6)
    end = End("stop", "x", -2 * gap, 2 * gap, halved=True)
    assert end.readings(0.02) == pytest.approx(kinematics.roller_gaps(gap, 0.02))


def test_a_rocker_tilts_by_movement_over_height(published):
    radius, turn = 0.4, 0.06
    centre, _ = rolled(radius, turn)  # the pin stands at the centre of the rolling face
    published("Tilt of a rocker 400 mm", turn, kinematics.rocker_tilt(centre, radius), "rad",
              rel=1e-5)  # fmt: skip


def test_segments_lean_and_close_on_each_other(published):
    spacing, width, height, turn = 0.18, 0.12, 0.30, 0.2
    rotation = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    side = rotation @ np.array([0.0, height])
    published("Lean over 300 mm", side[0], kinematics.lean(turn, height), "m")
    # right side of one segment, left side of the next: distance of two parallel lines
    right = rotation @ np.array([width / 2.0, 0.0])
    left = np.array([spacing, 0.0]) + rotation @ np.array([-width / 2.0, 0.0])
    square = rotation @ np.array([1.0, 0.0])
    published("Clear between them", float((left - right) @ square),
              kinematics.clear_between(spacing, width, turn), "m")  # fmt: skip


def setting(span, section, stages, set_at=None):
    """The movable bearing of a girder of one span."""
    seat = {"function": "guided along", "hold_rotation": ["x"], "kind": "single roller"}
    data = {
        "bridge": {"name": "case"},
        "support": [{"mark": "A1", "chainage": "0 m"}, {"mark": "A2", "chainage": f"{span} m"}],
        "materials": {"steel_alpha": "12e-6 1/K", "steel_E": "210 GPa"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": 1, "contact": "0.2 m",
            "sections": {"g": section},
            "segments": [{"start": "0 m", "end": f"{span} m", "section": "g"}],
        },
        "stage": stages,
        "actions": {"temperature": {"air_min": "-25 degC", "air_max": "40 degC"},
                    "friction": False},
        "arrangement": {
            "set_at": set_at, "seats": {"A1-1": {**seat, "function": "fixed", "kind": "pin"},
                                        "A2-1": seat},
        },
    }  # fmt: skip
    prepared = prepare(Bridge.model_validate(data))
    return settings(prepared, "eurocode", Screen(prepared, "eurocode"))[1]


def section(inertia):
    return {
        "kind": "given", "A": "0.2 m2", "Iy": f"{inertia} m4", "Iz": "0.02 m4", "J": "0.01 m4",
        "depth": "4.6 m", "centroid": "2.3 m",
    }  # fmt: skip


def test_steel_span_of_45_7_m(published):
    item = setting(45.7, section(0.2), [{"name": "all", "carries": "steel", "loads": []}])
    row = item.row(item.datum + 10.0)
    published("45.7 m of steel, a degree", 0.548, item.growth.own[0] * 1e3, "mm", abs=5e-4)
    published("10 degC above the middle, top plate", 5.5, row.offset[0] * 1e3, "mm", abs=0.05)
    published("and rollers", 2.7, item.roller(row) * 1e3, "mm", abs=0.05)


def test_span_of_60_m_over_35_degrees(published):
    item = setting(60.0, section(0.2), [{"name": "all", "carries": "steel", "loads": []}])
    moved = item.row(item.datum + 17.5).offset[0] - item.row(item.datum - 17.5).offset[0]
    published("60 m of steel over 35 degC", 25.2, moved * 1e3, "mm", abs=0.05, known="derived")


def test_load_still_to_come_turns_the_ends(published):
    """Sag of 40 mm on 45.7 m: end rotations 16 d/(5 L), a bearing 2.5 m below the axis."""
    span, load, sag = 45.7, 20e3, 0.040
    inertia = 5.0 * load * span**4 / (384.0 * E * sag)
    stages = [
        {"name": "light", "carries": "steel", "loads": []},
        {"name": "deck", "carries": "steel",
         "loads": [{"kind": "line", "line_value": "20 kN/m", "y": "0 m"}]},
    ]  # fmt: skip
    item = setting(span, section(inertia), stages, set_at="light")
    published("End rotation", 2.80, abs(item.turns[1]) * 1e3, "mrad", abs=0.006)
    published("Movement still to come", 14.0, item.remaining[0] * 1e3, "mm", abs=0.05)
    published("Offset at the middle temperature", -14.0,
              item.row(item.datum).offset[0] * 1e3, "mm", abs=0.05)  # fmt: skip
