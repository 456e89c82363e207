"""Loads on a deck: what reaches the frame has the resultant of the load, wherever it stands."""

import numpy as np
import pytest
from decks import bridge_data, simple_lines, stood
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.actions.cases import horizontal_cases, permanent_cases, weights, wind_actions
from bedstone.articulation.arrangement import stand
from bedstone.standards.site import WindPressure
from bedstone.standards.traffic import HorizontalForce

DECKS = {
    "straight": {"spans": (24.0,), "start_overhang": "1 m", "end_overhang": "0.5 m"},
    "skew": {"spans": (20.0, 16.0), "skew": (35.0, 20.0, -10.0)},
    "curved": {"spans": (20.0, 18.0), "radius": 60.0, "mesh": "0.5 m"},
    "right curve": {"spans": (24.0,), "radius": 50.0, "turn": "right", "mesh": "0.5 m"},
    "steel": {"spans": (24.0,), "type": "steel", "slab": None},
}
_STOOD: dict = {}


def bridge(name):
    if name not in _STOOD:
        _STOOD[name] = stood(bridge_data(**DECKS[name]))
    return _STOOD[name]


def resultant(one, vector, about):
    """Force (3,) and moment (3,) about a point of a load vector on the frame."""
    nodes = one.condensed.frame.nodes
    load = np.asarray(vector).reshape(-1, 6)
    arm = nodes - np.asarray(about)
    return load[:, :3].sum(axis=0), (load[:, 3:] + np.cross(arm, load[:, :3])).sum(axis=0)


def place(one, s, y):
    """Global point of a place on the deck, at the level of the surface."""
    x, v = one.deck.axis.point(s, y)
    return np.array([float(x), float(v), 0.0])


@pytest.mark.parametrize("name", DECKS)
@settings(max_examples=25)
@given(part=st.floats(-0.02, 1.02), across=st.floats(-1.2, 1.2))
def test_point_loads_reach_the_frame_whole(name, part, across):
    """Statics: a unit load at a place has force 1 and moment r x F about any point.

    Also beyond the ends and edges. On a curve members are chords: they leave the arc by
    s^2 / 8 R, below 0.7 mm for 0.5 m on 45 m; beyond an end the last chord, which
    is turned by half its length / R from the tangent, goes straight on: b (b + s) / R at most.
    There the arm is that of the line, shorter or longer than the load's own by its distance y
    from the line: b y / R.
    """
    one = bridge(name)
    s = one.deck.first + part * (one.deck.last - one.deck.first)
    y = across * one.deck.left
    about = np.array([3.0, -7.0, 2.0])
    vector = one.deck.point_loads(one.condensed.frame, np.array([s]), np.array([y])).toarray()
    force, moment = resultant(one, vector[:, 0], about)
    down = np.array([0.0, 0.0, -1.0])
    assert force == pytest.approx(down, abs=1e-12)
    beyond = max(one.deck.first - s, s - one.deck.last, 0.0)
    slack = 1e-9
    if one.deck.axis.curvature != 0.0:
        member = max(float(np.max(line.end - line.start)) for line in one.deck.lines)
        inner = 1.0 / abs(one.deck.axis.curvature) - abs(y)
        beside = min(abs(y - line.offset) for line in one.deck.lines)
        slack = 1e-3 + beyond * (beyond + member + beside) / inner
    assert moment == pytest.approx(np.cross(place(one, s, y) - about, down), abs=slack)


@pytest.mark.parametrize("name", DECKS)
def test_line_and_area_loads_have_their_weight_and_centre(name):
    """A line load of 7 kN/m and an area of 3 kN/m2 between two chainages, by integration."""
    one = bridge(name)
    first, last = one.deck.first + 2.3, one.deck.last - 3.1
    curve = one.deck.axis.curvature
    about = np.array([1.0, 2.0, 0.0])
    s = np.linspace(first, last, 4001)

    def integral(y, load):
        points = one.deck.axis.point(s, y)
        weight = load * (1 - y * curve)
        force = np.trapezoid(np.full(len(s), weight), s)
        x = np.trapezoid(weight * (points[:, 0] - about[0]), s)
        v = np.trapezoid(weight * (points[:, 1] - about[1]), s)
        return np.array([-force, -v, x])  # Fz, Mx = -y W, My = x W

    line = one.deck.line_load(one.condensed.frame, 7e3, 1.7, first, last)
    force, moment = resultant(one, line, about)
    expected = integral(1.7, 7e3)
    rel = 1e-6 if curve == 0.0 else 5e-4  # chords of 0.5 m instead of the arc
    assert force == pytest.approx([0, 0, expected[0]], abs=1e-6 * -expected[0])
    assert moment[:2] == pytest.approx(expected[1:], rel=rel)

    area = one.deck.area_load(one.condensed.frame, 3e3, -3.3, 2.9, first, last)
    force, moment = resultant(one, area, about)
    ys = np.linspace(-3.3, 2.9, 401)
    rows = np.array([integral(y, 3e3) for y in ys])
    expected = np.trapezoid(rows, ys, axis=0)
    assert force[2] == pytest.approx(expected[0], rel=1e-6)
    assert moment[:2] == pytest.approx(expected[1:], rel=max(rel, 1e-5))


@pytest.mark.parametrize("name", DECKS)
def test_horizontal_forces_have_their_resultant(name):
    """Force along or across on a stretch of the deck, at 1.8 m above the surface (statics)."""
    one = bridge(name)
    first, last = one.deck.first + 3.0, one.deck.last - 4.0
    if name == "skew":  # the stretch where all lines run through
        first, last = one.deck.first + 12.0, one.deck.last - 8.0
    s = np.linspace(first, last, 4001)
    angle = one.deck.axis.angle(s)
    for along, across in ((2e3, 0.0), (0.0, 1.5e3)):
        vector = one.deck.horizontal_load(one.condensed.frame, along, across, 1.8, first, last)
        about = np.array([0.0, 0.0, 1.8])
        force, moment = resultant(one, vector, about)
        fx = along * np.cos(angle) - across * np.sin(angle)
        fy = along * np.sin(angle) + across * np.cos(angle)
        expected = np.array([np.trapezoid(fx, s), np.trapezoid(fy, s), 0.0])
        total = np.hypot(*expected[:2])
        assert force == pytest.approx(expected, abs=2e-4 * total)
        # at its own level it turns nothing about a horizontal line
        assert moment[:2] == pytest.approx([0, 0], abs=2e-4 * total)


def sums(one, case):
    """Sum of V, Fx, Fy over the supports under a case, along the axes of each (straight decks)."""
    load = case.load
    vector = one.standing.effects.effects(load.g, load.r, load.s)[:, 0]
    return np.array(
        [
            sum(vector[one.lead(mark, effect)] for mark in one.structure.supports)
            for effect in ("V", "Fx", "Fy")
        ]
    )


@pytest.mark.parametrize("name", ["straight", "skew", "steel"])
@pytest.mark.parametrize("spread", [True, False])
def test_a_braking_force_arrives_whole_at_the_supports(name, spread):
    """400 kN along: the supports take 400 kN, also where skewed lines are shorter than the deck."""
    one = bridge(name)
    length = one.structure.unit_length
    force = HorizontalForce("braking", "b", "", 400e3, 0.0, 1.2, length, spread=spread)
    state = one.structure.states[one.prepared.final]
    cases = horizontal_cases(one.structure, state, one.condensed, force)
    assert len(cases) >= 2
    for case in cases:
        sense = 1.0 if "forward" in case.name else -1.0
        assert sums(one, case) == pytest.approx([0.0, sense * 400e3, 0.0], abs=1.0)


def test_a_centrifugal_force_has_one_sense():
    one = bridge("straight")
    state = one.structure.states[one.prepared.final]
    force = HorizontalForce("centrifugal", "c", "", 0.0, -90e3, 1.8, 24.0, spread=False,
                            one_sense=True)  # fmt: skip
    cases = horizontal_cases(one.structure, state, one.condensed, force)
    for case in cases:
        assert sums(one, case) == pytest.approx([0.0, 0.0, -90e3], abs=1.0)
    ends = [case.name for case in cases if "at" in case.name]
    assert len(ends) == len(cases) == 9


@pytest.mark.parametrize("name", ["straight", "skew"])
def test_wind_arrives_whole_at_the_supports(name):
    """Across w per metre on the lines' length, along a part of it, vertical at its eccentricity."""
    one = bridge(name)
    state = one.structure.states[one.prepared.final]
    wind = WindPressure(4e3, 6e3, 0.25, 2e3, 1.5, 0.5, 2.0)
    # 24 + 1 + 0.5 m; skewed lines differ in length, all have 36 m between them in the mean
    lines = {"straight": 25.5, "skew": 36.0}[name]
    first, last = one.deck.limits(np.array([-1.5, 1.5]))
    lift = {"left": 2e3 * (last - first)[0], "right": 2e3 * (last - first)[1]}
    for action, across in zip(wind_actions(state, one.condensed, wind), (4e3, 6e3), strict=True):
        for case in action.cases:
            v, fx, fy = sums(one, case)
            if "forward" in case.name or "backward" in case.name:
                assert abs(fx) == pytest.approx(0.25 * across * lines, rel=1e-6)
                assert fy == pytest.approx(0.0, abs=1.0)
            else:
                sense = 1.0 if "left" in case.name else -1.0
                assert fy == pytest.approx(sense * across * lines, rel=1e-6)
            for word, up in (("lifting", -1.0), ("pressing", 1.0)):
                if word in case.name:
                    side = "left" if "left" in case.name else "right"
                    assert v == pytest.approx(up * lift[side], rel=1e-6)


@pytest.mark.parametrize("name", ["straight", "curved"])
def test_gravity_is_the_same_on_any_mesh(name):
    """Weight of the stages, its node weights and the reactions from two meshes."""
    found = []
    for mesh in ("4 m", "1 m"):
        one = stood(bridge_data(**{**DECKS[name], "mesh": mesh}))
        cases = permanent_cases(one.structure, one.prepared.condensed)
        total = sum(case.total for case in cases)
        supports = list(one.prepared.bridge.support)
        vector = 0.0
        for name_, condensed in one.prepared.condensed.items():
            own = stand(one.structure, supports, condensed, one.arranged).effects
            vector += sum(own.effects(c.load.g, c.load.r)[:, 0] for c in cases if c.state == name_)
        reactions = [vector[one.lead(seat.mark, "N")] for seat in one.structure.seats]
        assert sum(reactions) == pytest.approx(total, rel=1e-9)
        state = one.structure.states[one.prepared.final]
        assert weights(one.structure, state).sum() == pytest.approx(total, rel=1e-9)
        found.append((total, reactions))
    # coarse chords of the curve are shorter than the arc by s^2 / 24 R^2
    rel = 1e-9 if name == "straight" else 1e-3
    assert found[0][0] == pytest.approx(found[1][0], rel=rel)
    assert found[0][1] == pytest.approx(found[1][1], rel=0.02, abs=0.01 * found[0][0])


def test_braking_acts_along_its_own_line():
    """At an offset y a force H along the deck turns it in plan by H (y_centre - y): by statics."""
    one = stood(bridge_data(spans=(20.0,)))
    state = one.structure.states["short"]
    for offset in (-3.0, 0.0, 2.0):
        force = HorizontalForce("braking", "b", "", 400e3, 0.0, 0.0, 20.0, offsets=(offset,))
        forward = horizontal_cases(one.structure, state, one.condensed, force)[0].load
        along, turn = forward.r[0, 0], forward.r[5, 0] * one.condensed.size[0]
        assert along == pytest.approx(400e3)
        assert turn == pytest.approx(along * (one.condensed.centre[0][1] - offset), abs=1.0)


def test_a_train_over_all_simple_spans_brakes_on_all_of_them():
    """20 kN/m over two spans of 20 m: 400 kN on either one, or on both at once."""
    data = bridge_data(spans=(20.0, 20.0), continuity="simple", arrangement=simple_lines(
        ["S1", "S2", "S3"]))  # fmt: skip
    one = stood(data)
    state = one.structure.states["short"]
    alone = HorizontalForce("braking", "b", "", 400e3, 0.0, 0.0, 20.0)
    both = HorizontalForce("braking", "b", "", 800e3, 0.0, 0.0, 40.0)
    cases = horizontal_cases(one.structure, state, one.condensed, alone, both)
    along = np.array([case.load.r.reshape(2, 6)[:, 0] for case in cases])
    assert along == pytest.approx(
        np.array([[400, 0], [-400, 0], [0, 400], [0, -400], [400, 400], [-400, -400]]) * 1e3,
        rel=1e-9, abs=1e-3,
    )  # fmt: skip
