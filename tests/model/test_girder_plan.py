"""The plan of the grillage: crossings, mesh, strips and diaphragms, by geometry."""

import itertools
import math

import numpy as np
import pytest
from girder_cases import PLATE, girder_bridge
from hypothesis import given
from hypothesis import strategies as st

from bedstone.bridge.seats import seat_marks
from bedstone.errors import InputError
from bedstone.model.alignment import Axis
from bedstone.model.girder_plan import crossing, plan_girders
from bedstone.model.girders import axis_of, build_girders


def plan(bridge):
    axis = axis_of(bridge.alignment, bridge.support[0].chainage)
    return plan_girders(bridge, bridge.superstructure, axis)


def polygon_area(points):
    """Shoelace formula."""
    x, y = np.asarray(points).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0


# ------------------------------------------------------------------ crossings
def test_crossing_of_a_straight_line():
    y = np.array([-5.0, 0.0, 4.0])
    found = crossing(Axis(10.0), 30.0, math.radians(30.0), y)
    assert found == pytest.approx(30.0 - y * math.tan(math.radians(30.0)))


@given(
    skew=st.floats(-74.0, 74.0),
    radius=st.floats(60.0, 5000.0),
    turn=st.sampled_from([1.0, -1.0]),
    y=st.floats(-8.0, 8.0),
)
def test_crossing_lies_on_the_support_line(skew, radius, turn, y):
    """The point found must lie on the line through the support (geometry)."""
    axis, angle = Axis(5.0, turn / radius), math.radians(skew)
    at = float(crossing(axis, 25.0, angle, y))
    if math.isnan(at):  # the line misses the arc: its nearest point is beyond the arc's radius
        assert radius * abs(math.sin(angle)) > (radius - turn * y) * 0.999999
        return
    direction = float(axis.angle(25.0)) + math.pi / 2 + angle
    away = axis.point(at, y) - axis.point(25.0, 0.0)
    off_line = away[0] * math.sin(direction) - away[1] * math.cos(direction)
    assert abs(off_line) < 1e-8
    assert away[0] * math.cos(direction) + away[1] * math.sin(direction) == pytest.approx(
        math.copysign(math.hypot(*away), y), abs=1e-8
    )


def test_support_line_that_misses_a_girder_is_refused():
    with pytest.raises(InputError, match="support S1: skew"):
        plan(girder_bridge(skew=74.0, radius=15.0, spans=(10.0,), number=5))


def test_support_lines_that_cross_are_refused():
    with pytest.raises(InputError, match="support S2: skew: found not ahead on line"):
        plan(girder_bridge(skew=(-60.0, 60.0), spans=(10.0,), number=6))


# ------------------------------------------------------------------ invariants of any plan
@given(
    number=st.integers(1, 6),
    skew=st.floats(-74.0, 74.0),
    spans=st.lists(st.floats(25.0, 60.0), min_size=1, max_size=3),
    overhang=st.sampled_from([0.0, 0.3, 2.0]),
    radius=st.sampled_from([None, 200.0]),
    continuity=st.sampled_from(["continuous", "simple"]),
    spacing=st.floats(2.0, 3.5),
)
def test_any_plan_holds_together(number, skew, spans, overhang, radius, continuity, spacing):
    if radius is not None:
        skew *= 0.8  # steeper support lines cross each other on tight curves
    bridge = girder_bridge(
        spans=tuple(spans), skew=skew, radius=radius, number=number, continuity=continuity,
        spacing=f"{spacing} m", start_overhang=f"{overhang} m", end_overhang=f"{overhang} m",
    )  # fmt: skip
    p = plan(bridge)
    axis = p.axis
    near = 0.1 * min(spans) / 20 + 1e-9

    # a node of every line stands exactly where each support line crosses it
    angle = math.radians(skew)
    for seat in p.seats:
        support = bridge.support[seat.support]
        where = float(crossing(axis, support.chainage, angle, p.offsets[seat.line]))
        assert p.chainage[seat.node] == pytest.approx(where, abs=1e-9)
        assert p.offset[seat.node] == p.offsets[seat.line]
    # the same seats as the bridge file has
    marks = {f"{bridge.support[s.support].mark}-{s.line + 1}{s.side}" for s in p.seats}
    assert marks == {seat.mark for seat in seat_marks(bridge)}

    for line in p.lines:
        steps = np.diff(line.chainages)
        assert steps.min() > min(near, overhang or near) - 1e-9  # no slivers
        assert steps.max() <= max(spans) / 20 + 2 * near

    for strip in p.strips:
        ends = p.chainage[[strip.right, strip.left]]
        both_ends = [{line.nodes[0], line.nodes[-1]} for line in p.lines]
        at_end = all(any(node in e for e in both_ends) for node in (strip.right, strip.left))
        assert abs(ends[1] - ends[0]) <= 2 * near or at_end  # square but for the ends
        assert strip.width > 0.0

    # strips cover the deck between the outer lines: shoelace of the unit's outline
    per_unit = [list(g) for _, g in itertools.groupby(
        sorted(p.lines, key=lambda line: p.lines.index(line) // number),
        key=lambda line: p.lines.index(line) // number)]  # fmt: skip
    if radius is None:
        outline = sum(
            polygon_area(
                [(line.chainages[0], line.offset) for line in unit]
                + [(line.chainages[-1], line.offset) for line in reversed(unit)]
            )
            for unit in per_unit
        )
        length = [math.hypot(p.chainage[s.left] - p.chainage[s.right], spacing) for s in p.strips]
        covered = sum(s.width * one for s, one in zip(p.strips, length, strict=True))
        assert covered == pytest.approx(outline if number > 1 else 0.0, rel=1e-9)

    # a support diaphragm between all neighbours at every support (two where units meet)
    on_supports = [d for d in p.diaphragms if d.support]
    assert len(on_supports) == len(p.seats) // number * (number - 1)
    pairs = [(d.right, d.left) for d in p.diaphragms]
    assert len(pairs) == len(set(pairs))


def test_longest_element_and_the_stations_told():
    bridge = girder_bridge(
        spans=(40.0, 50.0),
        mesh="1.7 m",
        diaphragms={"section": "d", "chainages": ["7.3 m", "21 m", "60.05 m"]},
        segments=[
            {"start": "0 m", "end": "33 m", "section": "g"},
            {"start": "33 m", "end": "60 m", "section": "d"},
            {"start": "60 m", "end": "90 m", "section": "g"},
        ],
    )
    p = plan(bridge)
    for line in p.lines:
        assert np.diff(line.chainages).max() <= 1.7 + 1e-9
        for told in (0.0, 7.3, 21.0, 33.0, 40.0, 60.05, 90.0):
            assert min(abs(x - told) for x in line.chainages) < 1e-9
        # the segment's end gives way to the diaphragm 5 cm from it
        assert 60.0 not in line.chainages
    assert sorted({round(d.chainage, 6) for d in p.diaphragms if not d.support}) == [
        7.3, 21.0, 60.05,
    ]  # fmt: skip


def test_spacing_of_diaphragms_is_not_exceeded_and_even():
    p = plan(girder_bridge(spans=(40.0,), diaphragms={"section": "d", "spacing": "9 m"}))
    found = sorted({round(d.chainage, 6) for d in p.diaphragms})
    assert found == [0.0, 8.0, 16.0, 24.0, 32.0, 40.0]


def test_diaphragm_that_fits_nowhere_is_refused():
    bridge = girder_bridge(skew=60.0, diaphragms={"section": "d", "chainages": ["-7.5 m"]})
    with pytest.raises(InputError, match=r"superstructure.diaphragms.chainages\[1\]"):
        plan(bridge)


def test_seats_stand_in_order_with_marks_and_levels():
    structure = build_girders(
        girder_bridge(
            spans=(30.0, 30.0), number=2, continuity="simple", surface_to_slab="0.1 m",
            contact="0.2 m",
        )
    )  # fmt: skip
    assert [seat.mark for seat in structure.seats] == [
        "S1-1", "S1-2", "S2-1b", "S2-2b", "S2-1a", "S2-2a", "S3-1", "S3-2",
    ]  # fmt: skip
    # by hand: surfacing 0.1, slab 0.25, haunch 0.05, girder 0.025 + 1.5 + 0.04, contact 0.2
    level = -(0.1 + 0.25 + 0.05 + 1.565 + 0.2)
    assert structure.seats[2].point == pytest.approx((30.0, -1.5, level))
    assert structure.depth == pytest.approx(-level - 0.2)
    assert structure.deck_width == pytest.approx(3.0 + 2.4)
    assert not structure.continuous
    assert structure.unit_length == pytest.approx(30.0)
    for state in structure.states.values():
        nodes = state.frame.nodes[state.seats.node]
        points = np.array([seat.point for seat in structure.seats])
        np.testing.assert_allclose(nodes + state.seats.arm, points)


def test_seats_on_a_curve_point_along_the_tangent():
    structure = build_girders(girder_bridge(radius=100.0, turn="right", number=3))
    last = structure.seats[-1]
    assert last.angle == pytest.approx(-40.0 / 100.0)
    # right-hand curve: the centre stands at y = -100; line 3 is 3 m outside the axis
    assert last.point[:2] == pytest.approx((103.0 * math.sin(0.4), -100.0 + 103.0 * math.cos(0.4)))


def test_overhang_is_measured_along_each_girder():
    p = plan(girder_bridge(radius=50.0, number=2, spacing="10 m", end_overhang="3 m"))
    for line, radius in zip(p.lines, (55.0, 45.0), strict=True):  # arc length = angle x radius
        assert (line.chainages[-1] - 40.0) / 50.0 * radius == pytest.approx(3.0)


def test_levels_at_a_step_and_of_the_diaphragms():
    deep = {**PLATE, "web_depth": "2000 mm"}
    structure = build_girders(
        girder_bridge(
            spans=(30.0, 30.0),
            sections={"g": PLATE, "d": deep},
            segments=[
                {"start": "0 m", "end": "30 m", "section": "g"},
                {"start": "30 m", "end": "60 m", "section": "d"},
            ],
            diaphragms={"section": "g", "chainages": []},
        )
    )
    # by hand, below the road: slab 0.25, haunch 0.05, girder 1.565 or 2.065; the pier stands
    # under the deeper of the two girders that meet there
    level = {seat.support: seat.point[2] for seat in structure.seats}
    assert level == pytest.approx({"S1": -1.865, "S2": -2.365, "S3": -2.365})
    # a diaphragm lies at half the depth of the girders
    frame = structure.states["short"].frame
    first = structure.states["short"].groups["diaphragms"][0]
    start = frame.nodes[frame.ends[first, 0]] + frame.offset_i[first]
    assert start == pytest.approx((0.0, -4.5, -0.3 - 1.565 / 2))
