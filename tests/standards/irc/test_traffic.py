"""Carriageway live load of IRC:6; figures from memory unless told."""

from itertools import pairwise

import pytest

from bedstone.errors import InputError
from bedstone.standards.irc import traffic
from bedstone.standards.values import Values


def content(placement):
    """(number of 70R or AA vehicles, number of Class A trains)."""
    names = [lane.name for lane in placement.lanes]
    light = names.count("Class A")
    return len(names) - light, light


def wide(bridge, width, **changes):
    return bridge(carriageway=(-width / 2, width / 2), deck_width=width + 1, **changes)


@pytest.mark.parametrize(
    ("width", "lanes"),
    # Table 6, from memory; the limits are also what the clearances of Class A give.
    [(4.25, 1), (5.29, 1), (5.3, 2), (7.5, 2), (9.6, 3), (13.1, 4), (16.6, 5), (20.1, 6)],
)
def test_lanes_by_width(values, bridge, width, lanes):
    assert traffic.lanes(values, wide(bridge, width)).value == lanes


@pytest.mark.parametrize(
    ("width", "expected"),
    # Full carriageway of Table 6, from memory.
    [
        (7.5, {(1, 0), (0, 2)}),
        (11.0, {(1, 1), (0, 3)}),
        (14.0, {(2, 0), (1, 2), (0, 4)}),
        (17.0, {(2, 1), (1, 3), (0, 5)}),
        (21.0, {(3, 0), (2, 2), (1, 4), (0, 6)}),
    ],
)
def test_lane_combinations(values, bridge, width, expected):
    found = traffic.placements(values, wide(bridge, width))
    count = round(traffic.lanes(values, wide(bridge, width)).value)
    full = {content(p) for p in found if 2 * content(p)[0] + content(p)[1] == count}
    assert full == expected


def test_reduction_goes_with_the_lanes_loaded(values, bridge):
    for placement in traffic.placements(values, wide(bridge, 14.0)):
        heavy, light = content(placement)
        # 205, from memory: none for two lanes, 10 % for three, 20 % for four.
        assert placement.factor == {2: 1.0, 3: 0.9, 4: 0.8}[2 * heavy + light]


@pytest.mark.parametrize("width", [5.3, 5.7, 7.5, 9.6, 13.1, 16.6, 20.1, 23.6])
def test_lanes_stand_side_by_side_with_their_clear_distances(values, bridge, width):
    facts = wide(bridge, width)
    over = {
        "Class A": 2.3,
        "Class 70R wheeled": 2.79,
        "Class 70R tracked": 2.90,
    }
    clear = min(1.2, 0.4 + (width - 5.3))  # 0.4 m at 5.3 m to 1.2 m at 6.1 m
    for placement in traffic.placements(values, facts):
        lanes = placement.lanes
        # Packed against the right kerb in this order.
        at = lanes[0].edge
        centres = []
        for lane in lanes:
            centres.append(at + lane.width / 2)
            at += lane.width
        assert at + lanes[-1].edge <= width + 1e-9
        kerb = 0.15 if lanes[0].name == "Class A" else 1.2
        assert centres[0] - over[lanes[0].name] / 2 == pytest.approx(kerb)
        for (a, x), (b, y) in pairwise(zip(lanes, centres, strict=True)):
            gap = y - x - over[a.name] / 2 - over[b.name] / 2
            if a.name == b.name == "Class A":
                assert gap == pytest.approx(clear)
            elif a.name != "Class A" and b.name != "Class A":
                assert gap == pytest.approx(1.2)


def test_single_lane_is_class_a_with_load_on_the_rest(values, bridge):
    (placement,) = traffic.placements(values, wide(bridge, 4.25))
    assert content(placement) == (0, 1)
    assert placement.rest == pytest.approx(5000.0)
    assert placement.lanes[0].width == pytest.approx(2.3)
    with pytest.raises(InputError, match="single-lane"):
        traffic.placements(values, wide(bridge, 4.25, models=("Class 70R",)))


def test_models_asked_for(values, bridge):
    only = traffic.placements(values, wide(bridge, 11.0, models=("Class A",)))
    assert {content(p) for p in only} == {(0, 2), (0, 3)}
    aa = traffic.placements(values, wide(bridge, 7.5, models=("Class AA",)))
    assert [lane.name for p in aa for lane in p.lanes] == ["Class AA tracked", "Class AA wheeled"]
    with pytest.raises(InputError, match="Class A, Class 70R, Class AA"):
        traffic.groups(values, bridge(models=("LM1",)))


def test_impact_is_in_the_train_factor(values, bridge):
    facts = bridge(deck_type="concrete", spans=(20.0,), unit_length=20.0)
    factors = {
        lane.name: lane.train_factor
        for placement in traffic.placements(values, facts)
        for lane in placement.lanes
    }
    # 4.5/26 = 0.1731 for Class A and for wheels beyond 12 m; 10 % for tracks.
    assert factors["Class A"] == pytest.approx(1 + 4.5 / 26)
    assert factors["Class 70R wheeled"] == pytest.approx(1 + 4.5 / 26)
    assert factors["Class 70R tracked"] == pytest.approx(1.10)


def test_width_kept_by_70r_can_be_chosen(values, bridge):
    facts = wide(bridge, 14.5, choices={"lanes.width_70r": 7.25})
    lane = next(
        p.lanes[0] for p in traffic.placements(values, facts) if p.lanes[0].name != "Class A"
    )
    assert lane.width == 7.25
    assert lane.edge + (lane.width - 2.79) / 2 == pytest.approx(1.2)
    with pytest.raises(InputError, match=r"at least 2\.79 m"):
        traffic.placements(values, wide(bridge, 14.5, choices={"lanes.width_70r": 2.0}))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"carriageway": (-1.2, 1.2)}, "2.6 to 23.6 m"),
        ({"carriageway": (-12.0, 12.0)}, "2.6 to 23.6 m"),
        ({"carriageway": None}, "carriageway"),
        ({"use": "rail"}, "no rail loading"),
    ],
)
def test_bad_facts_are_refused(values, bridge, changes, message):
    with pytest.raises(InputError, match=message):
        traffic.groups(values, bridge(**changes))


@pytest.mark.parametrize(
    ("width", "length", "kilonewtons"),
    [
        # Hand calculation from 211.2. Two lanes, 30 m: one 70R: 0.2 x 1000.
        (7.5, 30.0, 200.0),
        # Two lanes, 60 m: second 70R from 43.4 m on whole (13.4 m): + 0.1 x 1000.
        (7.5, 60.0, 300.0),
        # Three lanes, 30 m: one 70R and Class A beyond two lanes: + 0.05 x 554.
        (11.0, 30.0, 227.7),
        # Four lanes, 30 m: two 70R: 200 + 0.05 x 1000 (more than two Class A: 0.05 x 1108 = 55.4).
        (14.0, 30.0, 255.4),
        # Two lanes, 5.8 m: only part of a train: 0.2 x max(4 x 170, 700) with tracks whole.
        (7.5, 5.8, 140.0),
    ],
)
def test_braking_of_the_carriageway(values, bridge, width, length, kilonewtons):
    facts = wide(bridge, width, spans=(length,), unit_length=length)
    assert traffic.braking_line(values, facts).value / 1e3 == pytest.approx(kilonewtons)


def test_horizontal_forces_act_1200_mm_above_the_road(values, bridge):
    for radius, sign in ((300.0, -1), (-300.0, 1)):
        (group,) = traffic.groups(values, bridge(radius=radius))
        assert group.name == "live"
        (braking, _), (outward, _) = group.horizontals
        assert braking.height == outward.height == pytest.approx(1.2)
        assert not braking.one_sense
        assert outward.one_sense
        assert outward.across * sign > 0
    assert len(traffic.groups(values, bridge())[0].horizontals) == 1


def test_centrifugal_force_of_all_lanes(values, bridge):
    # One 70R on a 30 m unit of two lanes: C = 1000 x 60^2 / (127 x 200) kN; two Class A trains
    # weigh 1108 kN and govern (hand calculation).
    facts = wide(bridge, 7.5, spans=(30.0,), unit_length=30.0, radius=200.0, speed=60 / 3.6)
    expected = 1108.0 * 3600 / (127 * 200)
    assert traffic.centrifugal_line(values, facts).value / 1e3 == pytest.approx(expected)


def test_all_used_values_are_on_record(bridge):
    values = Values("irc")
    traffic.groups(values, bridge())
    assert {"traffic.class_a.axles", "traffic.70r_wheeled.axles"} <= set(values.used)
    assert any(value.name == "traffic.reduction" for value in values.from_memory())
