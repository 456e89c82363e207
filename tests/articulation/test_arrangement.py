"""From functions to bearings: what they hold, where they point, what the erection locks in."""

import numpy as np
import pytest
from decks import bridge_data, simple_lines, stood

from bedstone.articulation.arrangement import arrange, erection, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.errors import InputError, UnstableError


def arranged_of(data):
    bridge = Bridge.model_validate(data)
    prepared = prepare(bridge)
    functions = arrangement_functions(bridge, None)
    point = bridge.arrangement.fixed_point
    return prepared, arrange(prepared.structure, list(bridge.support), functions, point)


def with_direction(direction, radius=None, skew=0.0, **rest):
    data = bridge_data(spans=(20.0, 20.0), radius=radius, skew=skew)
    data["arrangement"]["direction"] = direction
    data["arrangement"].update(rest)
    return arranged_of(data)


def test_what_each_function_holds():
    data = bridge_data(spans=(20.0,))
    words = ["fixed", "guided along", "guided across", "free", "free", "free", "guided along"]
    marks = [f"S{k}-{n}" for k in (1, 2) for n in (1, 2, 3, 4)]
    data["arrangement"] = {
        "seats": {mark: {"function": word} for mark, word in zip(marks, words, strict=False)}
    }
    data["arrangement"]["seats"]["S2-4"] = {
        "function": "elastic",
        "stiffness": {"kx": "2 MN/m", "ky": "4 MN/m"},
        "hold_rotation": ["z"],
    }
    data["arrangement"]["seats"]["S2-2"] = {
        "function": "guided along",
        "stiffness": {"kz": "800 MN/m"},
    }
    _, found = arranged_of(data)
    held = {
        "S1-1": "xyz", "S1-2": "yz", "S1-3": "xz", "S1-4": "z", "S2-1": "z", "S2-2": "yz",
        "S2-3": "yz", "S2-4": "xyz",
    }  # fmt: skip
    for row, mark in enumerate(marks):
        assert "".join(np.array(list("xyz"))[found.bearings.held[row, :3]]) == held[mark]
    assert found.bearings.held[:, 3:].sum() == 1
    assert found.bearings.held[7, 5]
    assert found.bearings.compliance[7, :2] == pytest.approx([1 / 2e6, 1 / 4e6])
    assert found.bearings.compliance[5, 2] == pytest.approx(1 / 800e6)
    assert np.count_nonzero(found.bearings.compliance) == 3


def test_no_bearing_holds_nothing():
    data = bridge_data(spans=(20.0,))
    data["arrangement"]["seats"] = {"S2-2": {"function": "none"}}
    prepared, found = arranged_of(data)
    row = [seat.mark for seat in prepared.structure.seats].index("S2-2")
    assert not found.bearings.held[row].any()


RADIUS = 80.0
CURVE = 20.0 / RADIUS  # turn of the tangent over one span of 20 m on the reference line


@pytest.mark.parametrize("radius", [None, RADIUS])
def test_axis_is_the_tangent_of_the_reference_line(radius):
    _, found = with_direction("axis", radius, skew=20.0)
    turn = 0.0 if radius is None else CURVE
    assert found.angles == pytest.approx([0.0] * 4 + [turn] * 4 + [2 * turn] * 4)


def test_square_follows_the_support_line():
    """A support line at skew a from the square: its square stands at the angle a from the axis."""
    prepared, found = with_direction("square", RADIUS, skew=20.0)
    skew = np.radians(20.0)
    expected = [skew] * 4 + [CURVE + skew] * 4 + [2 * CURVE + skew] * 4
    assert found.angles == pytest.approx(expected)
    points = np.array([seat.point for seat in prepared.structure.seats])
    line = points[3] - points[0]
    assert np.degrees(np.arctan2(line[1], line[0])) == pytest.approx(90.0 + 20.0, abs=0.01)


def test_tangent_is_that_of_the_girder_where_the_seat_stands():
    """Askew on a curve each girder meets the support line elsewhere, so tangents differ."""
    prepared, found = with_direction("tangent", RADIUS, skew=20.0)
    for angle, seat in zip(found.angles, prepared.structure.seats, strict=True):
        assert angle == pytest.approx(seat.chainage / RADIUS, abs=1e-6)
    assert np.ptp(found.angles[:4]) > 0.01


def test_toward_the_fixed_point_by_hand():
    """Direction of the line to the fixed bearing (S1-1), turned to rising chainage."""
    prepared, found = with_direction("toward fixed point")
    points = np.array([seat.point[:2] for seat in prepared.structure.seats])
    assert found.angles[0] == 0.0  # the fixed one itself: the axis
    for row in range(4, 12):
        reach = points[row] - points[0]
        assert np.tan(found.angles[row]) == pytest.approx(reach[1] / reach[0])
        assert np.cos(found.angles[row]) > 0.0
    # beside the fixed bearing: square to the axis, to the left
    assert found.angles[1:4] == pytest.approx([np.pi / 2] * 3)


@pytest.mark.parametrize("mark", ["S2", "S2-3"])
def test_a_fixed_point_may_be_named(mark):
    prepared, found = with_direction("toward fixed point", fixed_point=mark)
    seats = prepared.structure.seats
    own = [np.array(s.point[:2]) for s in seats if mark in (s.mark, s.support)]
    point = np.mean(own, axis=0)
    for row in (0, 3, 8, 11):
        reach = np.array(seats[row].point[:2]) - point
        assert np.tan(found.angles[row]) == pytest.approx(reach[1] / reach[0])
        assert np.cos(found.angles[row]) > 0.0


def test_beside_the_fixed_point_the_sense_is_to_the_left_on_both_sides():
    _, found = with_direction("toward fixed point", fixed_point="S2-2")
    assert np.sin(found.angles[4]) == pytest.approx(1.0)
    assert np.sin(found.angles[7]) == pytest.approx(1.0)


def test_an_angle_counts_from_the_axis():
    _, found = with_direction("12 deg", RADIUS)
    assert found.angles[4:8] == pytest.approx([CURVE + np.radians(12.0)] * 4)


def test_guides_toward_the_fixed_point_leave_a_curved_deck_free_to_grow():
    """Uniform temperature moves every point along the line to the fixed one: nothing is locked
    in by one guide a line that points there, and forces arise when guides follow the axis.

    Common practice for curved bridges; no source needed beyond similarity of figures.
    """
    locked = {}
    for direction in ("toward fixed point", "axis"):
        data = bridge_data(spans=(20.0, 20.0), radius=50.0)
        free = ["free"] * 3
        data["arrangement"] = {
            "direction": direction,
            "supports": {
                "S1": ["fixed", *free],
                "S2": ["guided along", *free],
                "S3": ["guided along", *free],
            },
        }  # fmt: skip
        one = stood(data)
        state = one.structure.states[one.prepared.final]
        heat = one.effects(state.uniform_temperature(12e-6, 12e-6))
        forces = [heat[one.lead(s.mark, e)] for s in one.structure.seats for e in ("Hx", "Hy")]
        locked[direction] = np.abs(forces).max()
    # all bearings stand at one level, so the deck grows there like a plate
    assert locked["toward fixed point"] < 1e-3 * locked["axis"]
    assert locked["axis"] > 1e3  # N per kelvin


# ------------------------------------------------------------------ before the bearings are set
@pytest.mark.parametrize(
    "rest",
    [
        {"spans": (20.0, 20.0)},
        {"spans": (20.0, 20.0), "skew": 40.0},
        {"spans": (8.0,), "number": 6},  # wider than long
        {"spans": (8.0,), "number": 6, "skew": 55.0},
        {"spans": (20.0, 20.0), "radius": 50.0},
        {"spans": (15.0, 12.0), "continuity": "simple",
         "arrangement": simple_lines(["S1", "S2", "S3"])},
    ],
    ids=["straight", "skew", "wide", "wide skew", "curved", "simple"],
)  # fmt: skip
def test_erection_supports_lock_nothing_in(rest):
    """Held as needed and no more: temperature and gravity cause no horizontal force."""
    one = stood(bridge_data(**rest))
    first = erection(one.structure, one.arranged, one.condensed.part)
    parts = len(np.unique(one.condensed.part))
    assert first.bearings.held[:, :2].sum() == 3 * parts
    assert np.array_equal(first.bearings.held[:, 2], one.arranged.bearings.held[:, 2])
    supports = list(one.prepared.bridge.support)
    standing = stand(one.structure, supports, one.condensed, first)
    state = one.structure.states[one.prepared.final]
    weight = state.frame.line_load(
        np.arange(len(state.frame.ends)), np.column_stack([0 * state.weight] * 2 + [-state.weight])
    )
    for vector in (state.uniform_temperature(12e-6, 10e-6), weight):
        load = one.condensed.load(vector)
        found = standing.effects.effects(load.g, load.r)[:, 0]
        forces = [found[one.lead(s.mark, e)] for s in one.structure.seats for e in ("Hx", "Hy")]
        assert np.abs(forces).max() < 1e-6 * max(state.weight.sum(), 1e5)
    total = float(state.weight @ state.frame.length)
    normal = sum(found[one.lead(s.mark, "N")] for s in one.structure.seats)
    assert normal == pytest.approx(total, rel=1e-9)


def test_an_unstable_arrangement_names_its_motion():
    data = bridge_data(spans=(20.0,))
    data["arrangement"] = {"supports": {"S1": "free", "S2": "free"}}
    with pytest.raises(UnstableError, match="slides freely"):
        stood(data)


def test_reactions_have_no_model_to_prepare():
    data = bridge_data(spans=(20.0,))
    data["superstructure"] = {"kind": "reactions", "effects": "e.csv", "seats": "s.csv"}
    with pytest.raises(InputError, match="a kind with a model"):
        prepare(Bridge.model_validate(data))
