"""HL-93 as written for the traffic engine; figures of AASHTO LRFD 3.6 from memory unless told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.standards.aashto import traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.values import Values


def road(width, **choices):
    return BridgeFacts(
        use="road",
        deck_type="concrete",
        superstructure="girders",
        spans=(30.0,),
        unit_length=30.0,
        carriageway=(-width / 2, width / 2),
        deck_width=width + 1,
        deck_depth=1.5,
        choices=choices,
    )


@pytest.mark.parametrize(
    ("width", "lanes"),
    # AASHTO LRFD 3.6.1.1.1, from memory: INT(w/3.6), two lanes from 6.0 m.
    [(3.2, 1), (3.6, 1), (5.9, 1), (6.0, 2), (7.1, 2), (7.2, 2), (10.7, 2), (10.8, 3), (14.5, 4)],
)
def test_design_lanes_follow_the_roadway_width(values, width, lanes):
    assert traffic.design_lanes(values, road(width)).value == lanes


def test_twelve_foot_lanes_in_customary_units(values):
    feet = 0.3048
    assert traffic.design_lanes(values, road(36 * feet, units="us")).value == 3
    # 11.0 m hold three lanes of 3.6 m and three of 12 ft; 10.9 m only two of 12 ft.
    assert traffic.design_lanes(values, road(10.9, units="us")).value == 2
    assert traffic.design_lanes(values, road(10.9)).value == 3


def test_chosen_number_of_lanes(values):
    assert traffic.design_lanes(values, road(11.0, **{"lanes.count": 2})).value == 2
    with pytest.raises(InputError, match="lanes at least 3 m wide"):
        traffic.design_lanes(values, road(11.0, **{"lanes.count": 4}))
    with pytest.raises(InputError, match="whole number"):
        traffic.design_lanes(values, road(11.0, **{"lanes.count": 2.5}))


def test_too_narrow_no_carriageway_or_rail_is_refused(values, bridge):
    with pytest.raises(InputError, match=r"a carriageway of 2\.9 m"):
        traffic.design_lanes(values, road(2.9))
    with pytest.raises(InputError, match="carriageway"):
        traffic.design_lanes(values, bridge(carriageway=None))
    with pytest.raises(InputError, match="no rail loading"):
        traffic.groups(values, bridge(use="rail"))
    with pytest.raises(InputError, match="HL-93"):
        traffic.groups(values, bridge(models=("LM1",)))


def test_each_number_of_loaded_lanes_has_its_own_factor(values):
    (model,) = traffic.hl93(values, road(14.5))
    assert [len(p.lanes) for p in model.placements] == [1, 2, 3, 4]
    # Table 3.6.1.1.2-1, from memory.
    assert [p.factor for p in model.placements] == [1.20, 1.00, 0.85, 0.65]


def test_lane_holds_truck_and_tandem_with_impact_and_lane_load_without(values):
    (model,) = traffic.hl93(values, road(11.0))
    lane = model.placements[0].lanes[0]
    assert [train.name for train in lane.trains] == ["design truck", "design tandem"]
    assert lane.train_factor == pytest.approx(1.33)  # 3.6.2.1, from memory
    assert lane.uniform_factor == 1.0
    assert lane.uniform * lane.uniform_width == pytest.approx(9300.0)
    assert all(train.follow is None and train.clear is None for train in lane.trains)
    assert all(train.omit_relieving for train in lane.trains)


@given(st.floats(3.0, 30.0))
def test_outer_wheels_come_to_600_mm_from_the_kerb_and_lanes_fit(width):
    # 3.6.1.3.1 (source: HL-93 teaching note): wheel line 0.6 m from the edge of the lane.
    values = Values("aashto")
    (model,) = traffic.hl93(values, road(width))
    lane = model.placements[-1].lanes[0]
    outer_wheel = lane.edge + lane.width / 2 - lane.trains[0].track / 2
    assert outer_wheel == pytest.approx(0.6, abs=1e-9)
    assert len(model.placements[-1].lanes) * lane.width <= width + 1e-5
    assert lane.width >= lane.uniform_width - 1e-6


def test_two_trucks_only_on_continuous_superstructures(values, bridge):
    usual, pair = traffic.hl93(values, bridge())
    assert usual.applies == "all"
    assert pair.applies == "interior reaction"
    assert pair.placements[0].factor == pytest.approx(0.9 * 1.2)  # 3.6.1.3.1, from memory
    (train,) = pair.placements[0].lanes[0].trains
    assert sum(axle.force for axle in train.axles) == pytest.approx(650e3)
    index, gaps = train.spread
    assert train.axles[index].force == 145e3
    assert train.axles[index + 1].force == 35e3
    assert train.axles[index + 1].position - train.axles[index].position == pytest.approx(gaps[0])
    assert min(gaps) == pytest.approx(15.0)
    assert max(gaps) == pytest.approx(40.0)
    # Three simple spans in a row are not continuous.
    assert len(traffic.hl93(values, bridge(unit_length=40.0))) == 1


def test_braking_goes_with_the_lanes_headed_one_way(values, bridge):
    # 0.25 x 325 kN a lane; 3 lanes x 0.85, 1 lane x 1.20 (hand calculation from 3.6.4).
    assert traffic.braking_line(values, bridge()).value == pytest.approx(81.25e3 * 3 * 0.85)
    one = bridge(choices={"braking.lanes": 1})
    assert traffic.braking_line(values, one).value == pytest.approx(81.25e3 * 1.2)
    with pytest.raises(InputError, match="1 to 3 design lanes"):
        traffic.braking_line(values, bridge(choices={"braking.lanes": 4}))


def test_lane_rule_of_braking_governs_long_units(values, bridge):
    # 0.05 (325 + 9.3 x 400) = 202.25 kN > 81.25 kN a lane (hand calculation from 3.6.4).
    line = traffic.braking_line(values, bridge(unit_length=400.0))
    assert line.value == pytest.approx(202.25e3 * 3 * 0.85)


def test_centrifugal_force_points_away_from_the_centre(values, bridge):
    # C = (4/3) 20^2 / (9.807 x 200) = 0.27192; x 325 kN x 3 x 0.85 (hand calculation, 3.6.3).
    expected = 4 / 3 * 400 / (9.807 * 200) * 325e3 * 3 * 0.85
    for radius, sign in ((200.0, -1), (-200.0, 1)):
        (group,) = traffic.groups(values, bridge(radius=radius, speed=20.0))
        force = group.horizontals[1][0]
        assert force.across == pytest.approx(sign * expected)
        assert force.one_sense
        assert force.height == pytest.approx(1.8)
    (straight,) = traffic.groups(values, bridge())
    assert [force.kind for force, _ in straight.horizontals] == ["braking"]


def test_si_and_customary_values_agree_within_rounding(values, bridge):
    # The SI values of the specification are rounded; they must stay within 3 % of the others.
    si, us = bridge(), bridge(choices={"units": "us"})
    for train in (traffic.design_truck, traffic.design_tandem):
        for a, b in zip(train(values, si).axles, train(values, us).axles, strict=True):
            assert a.force == pytest.approx(b.force, rel=0.03)
            assert a.position == pytest.approx(b.position, rel=0.03)
