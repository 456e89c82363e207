"""EN 1991-2, sections 4.2 to 4.4: lanes, load models, horizontal forces and groups of roads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.standards.eurocode import horizontal, traffic
from bedstone.standards.eurocode import road as en
from bedstone.standards.values import Values


@pytest.mark.parametrize(
    ("width", "count", "lane", "remaining"),
    # Table 4.1 as retold by the blog Strutturista (2013); the rows beside 11 m are its rule.
    [
        (3.0, 1, 3.0, 0.0),
        (5.3, 1, 3.0, 2.3),
        (5.4, 2, 2.7, 0.0),
        (5.9, 2, 2.95, 0.0),
        (6.0, 2, 3.0, 0.0),
        (6.2, 2, 3.0, 0.2),
        (9.0, 3, 3.0, 0.0),
        (14.9, 4, 3.0, 2.9),
    ],
)
def test_notional_lanes(
    values: Values, width: float, count: int, lane: float, remaining: float
) -> None:
    lanes = en.notional_lanes(values, width)
    assert (lanes.count, lanes.width) == (count, pytest.approx(lane))
    assert lanes.remaining == pytest.approx(remaining)


@given(st.floats(3.0, 40.0))
def test_lanes_and_remaining_area_make_up_the_carriageway(width: float) -> None:
    lanes = en.notional_lanes(Values("eurocode"), width)
    assert lanes.count * lanes.width + lanes.remaining == pytest.approx(width)
    assert lanes.remaining < 3.0


def test_a_width_given_as_a_difference_keeps_its_lane(values: Values) -> None:
    assert en.notional_lanes(values, 4.4 + 4.6 - 1e-15).count == 3


@pytest.mark.parametrize("edges", [None, (0.0, 2.9), (5.0, -5.0), (0.0, float("nan"))])
def test_no_carriageway_for_one_lane_is_refused(values, road, edges) -> None:
    with pytest.raises(InputError, match=r"edge of the carriageway|a carriageway of"):
        traffic.groups(values, road(carriageway=edges), "recommended")


def test_lm1_loads(values: Values) -> None:
    # Axle loads and uniform loads: eurocode.us, Traffic loads on bridges; 1.2 m and 2.0 m from
    # memory of 4.3.2.
    alpha = en.adjustment(values, {})
    (placement,) = en.lm1(values, en.notional_lanes(values, 11.0), alpha).placements
    assert [lane.uniform for lane in placement.lanes] == [9e3, 2.5e3, 2.5e3]
    assert placement.rest == 2.5e3
    for lane, axle in zip(placement.lanes, (300e3, 200e3, 100e3), strict=True):
        (train,) = lane.trains
        assert [a.force for a in train.axles] == [axle, axle]
        assert [a.position for a in train.axles] == [0.0, 1.2]
        assert (train.track, lane.width, lane.offsets) == (2.0, 3.0, None)


def test_lm1_takes_the_engineers_alphas(values: Values) -> None:
    choices = {
        "road.alpha.Q1": 0.9,
        "road.alpha.Q2": 0.8,
        "road.alpha.Q3": 0.0,
        "road.alpha.q1": 0.7,
        "road.alpha.q2": 1.2,
        "road.alpha.qr": 1.1,
    }
    alpha = en.adjustment(values, choices)
    (placement,) = en.lm1(values, en.notional_lanes(values, 15.0), alpha).placements
    tandems = [train.axles[0].force for lane in placement.lanes for train in lane.trains]
    assert tandems == pytest.approx([270e3, 160e3])
    assert [lane.uniform for lane in placement.lanes] == pytest.approx([6.3e3] + [3e3] * 4)
    assert placement.rest == pytest.approx(2.75e3)
    assert alpha.beta == 0.9  # recommended: beta_Q = alpha_Q1, from memory of 4.3.3


def test_lanes_like_the_remaining_area_are_counted_to_it(values: Values) -> None:
    lanes = en.notional_lanes(values, 15.0)
    (placement,) = en.lm1(values, lanes, en.adjustment(values, {})).placements
    assert lanes.count == 5
    assert len(placement.lanes) == 3


def test_lm2_axle_and_wheel(values: Values) -> None:
    # 400 kN and 200 kN: extract of ENV 1991-3 on eurocode.us.
    axle, wheel = en.lm2(values, 0.8).placements
    assert axle.lanes[0].trains[0].axles[0].force == 400e3
    assert axle.lanes[0].train_factor == 0.8
    assert wheel.lanes[0].trains[0].axles[0].force == 200e3
    assert wheel.lanes[0].trains[0].track == 0.0
    # Wheels 2.0 m apart and 0.60 m wide, from memory of 4.3.3.
    assert axle.lanes[0].trains[0].track == 2.0
    assert (axle.lanes[0].width, wheel.lanes[0].width) == pytest.approx((2.6, 0.6))


def test_least_alpha_is_stated_not_forced(values: Values) -> None:
    assert en.least_alpha(values, 1.0).utilisation == pytest.approx(0.8)
    assert en.least_alpha(values, 0.5).utilisation > 1.0


@pytest.mark.parametrize(
    ("length", "force"),
    # Derived from the formula Q_lk = 360 + 2.7 L, all alpha 1 and w_1 = 3 m; no published table.
    [(10, 387.0), (30, 441.0), (50, 495.0), (100, 630.0), (200, 900.0), (500, 900.0)],
)
def test_braking(values: Values, length: float, force: float) -> None:
    line = horizontal.road_braking(values, 1.0, 1.0, 3.0, length)
    assert line.value == pytest.approx(force * 1e3)
    assert (line.standard, line.clause) == ("EN 1991-2", "4.4.1(2), (4.6)")
    assert line.basis == "memory"


def test_braking_is_at_least_180_kN_times_alpha(values: Values) -> None:
    # Lower limit from memory of 4.4.1(2). With 0.6 x 600 the tandem alone exceeds it, so an
    # engineer's own share makes it show.
    from dataclasses import replace

    share = replace(values.entry("road.braking.tandem_share"), value=0.1)
    own = Values("eurocode", {share.name: share})
    assert horizontal.road_braking(own, 0.9, 0.0, 3.0, 10.0).value == pytest.approx(162e3)


@pytest.mark.parametrize(
    ("radius", "force"),
    # Table 4.3 from memory; Q_v = 2 x (300 + 200 + 100) = 1200 kN on three lanes.
    [
        (100, 240.0),
        (199.9, 240.0),
        (200, 240.0),
        (205, 48e3 / 205),
        (400, 120.0),
        (1500, 32.0),
        (1501, 0.0),
    ],
)
def test_centrifugal_force(values: Values, radius: float, force: float) -> None:
    alpha = en.adjustment(values, {})
    assert horizontal.road_centrifugal(values, alpha, 4, radius).value == pytest.approx(force * 1e3)


def test_centrifugal_force_counts_the_lanes_there_are(values: Values) -> None:
    alpha = en.adjustment(values, {})
    assert horizontal.road_centrifugal(values, alpha, 1, 100.0).value == pytest.approx(120e3)


def test_groups_of_a_straight_road(values, road) -> None:
    groups = {g.name: g for g in traffic.groups(values, road(), "recommended")}
    assert next(iter(groups)) == "gr1a"
    assert set(groups) == {"gr1a", "gr1b", "gr2", "gr1a reduced", "gr1a frequent"}
    assert all(not g.horizontals for name, g in groups.items() if name != "gr2")
    forces = {force.kind: (force, factor) for force, factor in groups["gr2"].horizontals}
    braking, factor = forces["braking"]
    assert (braking.along, factor, braking.height) == (pytest.approx(630e3), 1.0, 0.0)
    skew, _ = forces["transverse"]
    assert skew.across == pytest.approx(0.25 * 630e3)  # 4.4.2(4), from memory
    assert "centrifugal" not in forces
    # psi of tandems 0.75 and of uniform loads 0.40: EN 1990 draft annex A2 (scan).
    for name in ("gr2", "gr1a reduced", "gr1a frequent"):
        lane = groups[name].models[0].placements[0].lanes[0]
        assert (lane.train_factor, lane.uniform_factor) == (0.75, 0.4)
        assert groups[name].models[0].placements[0].rest == pytest.approx(1e3)


def test_uk_factors_change_the_reduced_lm1(values, road) -> None:
    groups = {g.name: g for g in traffic.groups(values, road(), "uk")}
    lane = groups["gr2"].models[0].placements[0].lanes[0]
    assert (lane.train_factor, lane.uniform_factor) == (0.75, 0.75)  # UK factor sheet


@pytest.mark.parametrize(("radius", "sign"), [(300.0, -1.0), (-300.0, 1.0)])
def test_centrifugal_force_points_away_from_the_centre(values, road, radius, sign) -> None:
    groups = {g.name: g for g in traffic.groups(values, road(radius=radius), "recommended")}
    force = next(f for f, _ in groups["gr2"].horizontals if f.kind == "centrifugal")
    assert force.across == pytest.approx(sign * 40 * 1200e3 / 300)
    assert force.one_sense
    assert not force.spread


def test_models_asked_for(values, road) -> None:
    groups = traffic.groups(values, road(models=("LM2", "LM4")), "recommended")
    assert [g.name for g in groups] == ["gr1b", "gr4"]
    (crowd,) = groups[1].models[0].placements
    assert (crowd.lanes, crowd.rest) == ((), 5e3)  # 4.3.5, from memory


@pytest.mark.parametrize("models", [(), ("LM1", "HL-93", "LM71")])
def test_unknown_models_are_refused_one_by_one(values, road, models) -> None:
    with pytest.raises(InputError) as caught:
        traffic.groups(values, road(models=models), "recommended")
    assert len(caught.value.faults) == max(len(models) - 1, 1)


def test_skew_braking_can_be_left_out(values, road) -> None:
    facts = road(choices={"road.skew_braking": False})
    assert [force.kind for force in traffic.road_forces(values, facts)] == ["braking"]
