"""EN 1991-2, section 6: load models, dynamic factor, horizontal forces and groups of railways."""

from dataclasses import replace
from math import inf, sqrt

import pytest

from bedstone.errors import BedstoneError, InputError
from bedstone.standards.eurocode import horizontal, traffic
from bedstone.standards.eurocode import rail as en
from bedstone.standards.site import TrackFacts
from bedstone.standards.traffic import LaneLoad
from bedstone.standards.values import Values

TRACK = TrackFacts(offset=0.0, speed=100 / 3.6)


def end_reaction(lane: LaneLoad, length: float) -> float:
    """Greatest end reaction (N) of a simple span, by trying many places of the train.

    Independent of the engine: the influence line 1 - x/L is integrated by hand.
    """
    line = lane.uniform * lane.uniform_width

    def part(a: float, b: float) -> float:
        a, b = max(a, 0.0), min(b, length)
        return 0.0 if b <= a else line * ((b - a) - (b * b - a * a) / (2 * length))

    best = part(0.0, length)
    for train in lane.trains:
        for step in range(-200, 200):
            start = step * 0.05
            axles = [(start + axle.position, axle.force) for axle in train.axles]
            reaction = sum(f * (1 - x / length) for x, f in axles if 0 <= x <= length)
            clear = train.clear or 0.0
            reaction += part(-inf, axles[0][0] - clear) + part(axles[-1][0] + clear, inf)
            best = max(best, reaction)
    return best


@pytest.mark.parametrize(
    ("length", "reaction"),
    # Own check values, by hand from the load model: no published table.
    [(5, 520.0), (10, 837.4), (20, 1294.7), (40, 2123.4)],
)
def test_lm71_end_reaction(values, rail, length: float, reaction: float) -> None:
    lane = en.lane_load(values, rail(), "LM71", TRACK, 1.0)
    assert end_reaction(lane, length) == pytest.approx(reaction * 1e3, rel=1e-4)


def test_lm71_axles_may_be_left_out_and_stand_eccentric(values, rail) -> None:
    lane = en.lane_load(values, rail(), "LM71", replace(TRACK, eccentricity=0.05), 1.2)
    assert lane.trains[0].omit_relieving  # "up to four" single loads, from memory of 6.8.1
    # e = r/18 with wheel loads 1.25 : 1, from memory of 6.3.5.
    assert lane.offsets == pytest.approx((-0.05 - 1.5 / 18, 0.0, 0.05 + 1.5 / 18))
    assert lane.train_factor == lane.uniform_factor == 1.2


def test_strip_models(values, rail) -> None:
    # Table 6.1 from memory: SW/0 133 kN/m, 15.0 m, 5.3 m; SW/2 150 kN/m, 25.0 m, 7.0 m.
    for model, total, first, gap in (("SW/0", 1995e3, 15.0, 5.3), ("SW/2", 3750e3, 25.0, 7.0)):
        (train,) = en.lane_load(values, rail(), model, TRACK, 1.0).trains
        front, back = train.axles
        assert (front.force, front.length) == (total, first) == (back.force, back.length)
        clear = (back.position - back.length / 2) - (front.position + front.length / 2)
        assert clear == pytest.approx(gap)


def test_alpha_holds_for_lm71_and_sw0_alone(values, rail) -> None:
    # Scope of alpha: extract of ENV 1991-3 on eurocode.us.
    heavy = replace(TRACK, alpha=1.33)
    factors = [
        en.lane_load(values, rail(), model, heavy, 1.1).train_factor
        for model in ("LM71", "SW/0", "SW/2", "unloaded train")
    ]
    assert factors == pytest.approx([1.463, 1.463, 1.1, 1.1])


@pytest.mark.parametrize(("choice", "weight"), [("en", 10e3), ("env", 12.5e3)])
def test_unloaded_train(values, rail, choice: str, weight: float) -> None:
    # 12.5 kN/m: extract of ENV 1991-3; 10 kN/m from memory of 6.3.4. No dynamic factor.
    facts = rail(choices={"rail.unloaded_train": choice})
    lane = en.lane_load(values, facts, "unloaded train", replace(TRACK, alpha=1.33), 1.5)
    assert lane.uniform * lane.uniform_width == pytest.approx(weight)
    assert lane.uniform_factor == 1.0


@pytest.mark.parametrize(
    ("length", "phi2", "phi3"),
    # Computed from the formulas (recalled), rounded to three decimals.
    [
        (5, 1.527, 1.791),
        (10, 1.306, 1.459),
        (20, 1.157, 1.236),
        (40, 1.055, 1.083),
        (60, 1.011, 1.016),
        (1.0, 1.67, 2.0),  # upper limits
        (400, 1.0, 1.0),  # lower limits
    ],
)
def test_dynamic_factors(values: Values, length: float, phi2: float, phi3: float) -> None:
    assert en.dynamic_factor(values, "phi2", length).value == pytest.approx(phi2, abs=5e-4)
    assert en.dynamic_factor(values, "phi3", length).value == pytest.approx(phi3, abs=5e-4)


@pytest.mark.parametrize("length", [0.0, -3.0, 0.03, float("nan")])
def test_dynamic_factor_without_meaning_is_refused(values: Values, length: float) -> None:
    with pytest.raises(BedstoneError):
        en.dynamic_factor(values, "phi3", length)


def test_determinant_length(values, rail) -> None:
    # Table 6.2, 5.1 and 5.2, from memory.
    def length(**changes: object) -> float:
        return en.determinant_length(values, rail(**changes)).value

    assert length() == 20.0
    assert length(spans=(20.0,), unit_length=21.2) == 20.0  # with its overhangs
    assert length(spans=(20.0, 12.0), unit_length=21.2, simple_spans=True) == 12.0
    assert length(spans=(20.0, 12.0), unit_length=20.0) == 12.0
    assert length(spans=(20.0, 20.0), unit_length=40.0) == pytest.approx(24.0)
    assert length(spans=(20.0, 30.0, 20.0), unit_length=70.0) == pytest.approx(1.3 * 70 / 3)
    assert length(spans=(10.0, 40.0), unit_length=50.0) == 40.0
    assert length(spans=(9.0, 20.0, 20.0, 9.0), unit_length=40.0) == pytest.approx(24.0)
    assert length(choices={"rail.determinant_length": 7.5}) == 7.5
    with pytest.raises(InputError, match="determinant_length"):
        length(spans=(20.0, 20.0), unit_length=33.0)


def test_traction_and_braking_limits(values: Values) -> None:
    # 33 kN/m up to 1000 kN, 20 kN/m up to 6000 kN, SW/2 35 kN/m: Ellobody, 3.4.2.
    def pull(model: en.RailModel, length: float, alpha: float = 1.0) -> float:
        return horizontal.traction(values, model, replace(TRACK, alpha=alpha), length).value / 1e3

    def brake(model: en.RailModel, length: float, alpha: float = 1.0) -> float:
        line = horizontal.rail_braking(values, model, replace(TRACK, alpha=alpha), length)
        return line.value / 1e3

    assert pull("LM71", 30.0) == pytest.approx(990.0)
    assert pull("LM71", 40.0) == pytest.approx(1000.0)
    assert pull("LM71", 40.0, 1.33) == pytest.approx(1330.0)
    assert brake("LM71", 100.0) == pytest.approx(2000.0)
    assert brake("LM71", 400.0) == pytest.approx(6000.0)
    assert brake("SW/0", 100.0) == pytest.approx(600.0)  # two loaded lengths of 15 m
    assert brake("SW/2", 20.0, 1.33) == pytest.approx(700.0)  # per metre, no alpha
    assert brake("SW/2", 100.0) == pytest.approx(1750.0)
    assert brake("unloaded train", 100.0) == pull("unloaded train", 100.0) == 0.0


def test_loaded_length_of_strips(values: Values) -> None:
    # By hand: one strip of 15 m, then the gap of 5.3 m, then the second strip.
    found = [en.loaded_length(values, "SW/0", length) for length in (10, 18, 20.3, 25, 40)]
    assert found == pytest.approx([10.0, 15.0, 15.0, 19.7, 30.0])


def test_total_load_of_lm71(values, rail) -> None:
    # By hand: 4 x 250 + 80 (L - 6.4); fewer axles on less than 4.8 m.
    found = [en.total_load(values, rail(), "LM71", length) / 1e3 for length in (1, 3.3, 4.8, 20)]
    assert found == pytest.approx([250.0, 750.0, 1000.0, 1000 + 80 * 13.6])


def test_speed_reduction(values: Values) -> None:
    def f(V: float, length: float) -> float:
        return horizontal.speed_reduction(values, V / 3.6, length).value

    # Expression (6.19): open library XC; hand calculation for 200 km/h and 20 m.
    assert f(120, 20) == 1.0
    assert f(200, 20) == pytest.approx(1 - 0.08 * (4.07 + 1.75) * (1 - sqrt(2.88 / 20)))
    # The last branch is the middle one at 300 km/h: checks 814, 1.75, 0.197 and 0.803 together.
    for length in (5, 20, 50):
        assert f(300.1, length) == pytest.approx(f(300, length), abs=1e-3)
    assert f(200, 2.88) == f(350, 2.0) == 1.0  # from memory: f = 1 up to 2.88 m
    assert f(350, 1000) == 0.35


def test_rail_centrifugal_force(values, rail) -> None:
    facts = rail()

    def force(V: float, alpha: float = 1.0, model: en.RailModel = "LM71") -> float:
        track = TrackFacts(0.0, V / 3.6, alpha)
        return horizontal.rail_centrifugal(values, facts, model, track, 800.0, 20.0).value

    weight = 1000e3 + 80e3 * 13.6
    # V^2/(127 r): the same expression in km/h, open library XC (127 = 3.6^2 x 9.81, rounded).
    assert force(100) == pytest.approx(100**2 / (127 * 800) * weight, rel=2e-3)
    assert force(100, 1.33) == pytest.approx(1.33 * force(100))
    fast = force(120, 1.0) * (160 / 120) ** 2
    f = horizontal.speed_reduction(values, 160 / 3.6, 20.0).value
    assert force(160) == pytest.approx(fast * f)
    assert force(125, 1.46) == pytest.approx(force(120, 1.46))  # 120 km/h with alpha governs
    assert force(160, 1.0, "SW/2") == pytest.approx(force(80, 1.0, "SW/2"))  # 80 km/h at most


def test_nosing(values: Values) -> None:
    # 100 kN: Ellobody, 3.4.2. alpha above 1 from memory of 6.5.2, left out on request.
    assert horizontal.nosing(values, 0.75).value == 100e3
    assert horizontal.nosing(values, 1.33).value == pytest.approx(133e3)
    assert horizontal.nosing(values, 1.33, with_alpha=False).value == 100e3


def test_groups_of_one_track(values, rail) -> None:
    groups = {g.name: g for g in traffic.groups(values, rail(radius=-600.0), "recommended")}
    assert list(groups) == ["gr11", "gr12", "gr13", "gr14", "gr15"]
    assert [g.vertical_factor for g in groups.values()] == [1.0, 1.0, 0.5, 0.5, 1.0]
    kinds = {
        name: {force.kind: factor for force, factor in g.horizontals} for name, g in groups.items()
    }
    # Table 6.11 from memory.
    assert kinds["gr11"] == {"braking": 1.0, "centrifugal": 0.5, "transverse": 0.5}
    assert kinds["gr12"] == {"braking": 0.5, "centrifugal": 1.0, "transverse": 1.0}
    assert kinds["gr15"] == {"centrifugal": 1.0, "transverse": 1.0}
    forces = {force.kind: force for force, _ in groups["gr11"].horizontals}
    assert forces["braking"].along == pytest.approx(660e3)  # traction governs on 20 m
    assert forces["braking"].height == 0.0
    assert forces["centrifugal"].height == 1.8  # extract of ENV 1991-3
    assert forces["centrifugal"].across > 0.0  # curve to the right throws to the left
    assert not forces["transverse"].spread
    (placement,) = groups["gr11"].models[0].placements
    factor = en.dynamic_factor(values, "phi3", 20.0).value
    assert placement.lanes[0].train_factor == pytest.approx(factor)


def test_braking_governs_long_bridges(values, rail) -> None:
    facts = rail(spans=(60.0,), unit_length=60.0)
    force = traffic.rail_along(values, facts, [("LM71",)])
    assert force is not None
    assert force.along == pytest.approx(1200e3)


def test_two_tracks_brake_and_pull_together(values, rail) -> None:
    tracks = (TrackFacts(2.0, 30.0, 1.33), TrackFacts(-2.0, 30.0))
    facts = rail(spans=(60.0,), unit_length=60.0, tracks=tracks, radius=500.0)
    groups = {g.name: g for g in traffic.groups(values, facts, "recommended")}
    assert {"gr21", "gr22", "gr23", "gr24", "gr11"} <= set(groups)
    forces = {force.kind: force for force, _ in groups["gr21"].horizontals}
    # 6.5.3(8) from memory: braking on one, traction on the other; the worse of both ways.
    assert forces["braking"].along == pytest.approx(1.33 * 1200e3 + 1000e3)
    assert forces["transverse"].across == pytest.approx(233e3)
    single = sum(
        horizontal.rail_centrifugal(values, facts, "LM71", track, 500.0 - track.offset, 60.0).value
        for track in tracks
    )
    assert forces["centrifugal"].across == pytest.approx(-single)
    (both,) = groups["gr21"].models[0].placements
    assert len(both.lanes) == 2
    assert not both.may_omit
    assert len(groups["gr11"].models[0].placements) == 2  # either track


def test_sw0_on_continuous_bridges_and_sw2_when_asked(values, rail) -> None:
    facts = rail(spans=(20.0, 20.0), unit_length=40.0, tracks=(TRACK, replace(TRACK, offset=4.0)))
    groups = {g.name: g for g in traffic.groups(values, facts, "recommended")}
    assert [model.name for model in groups["gr11"].models] == ["LM71", "SW/0"]
    assert "gr16" not in groups
    asked = replace(facts, models=("LM71", "SW/2"))
    groups = {g.name: g for g in traffic.groups(values, asked, "recommended")}
    assert {"gr16", "gr17", "gr26", "gr27"} <= set(groups)
    assert [model.name for model in groups["gr26"].models] == ["SW/2 + LM71"]
    assert len(groups["gr26"].models[0].placements) == 2  # SW/2 on either track
    assert "gr15" not in groups


def test_dynamic_factor_is_selectable(values, rail) -> None:
    def factor(choice: str) -> float:
        groups = traffic.groups(values, rail(choices={"rail.dynamic": choice}), "recommended")
        return groups[0].models[0].placements[0].lanes[0].train_factor

    assert factor("none") == 1.0
    assert factor("phi2") == pytest.approx(1.157, abs=5e-4)
    assert factor("phi3") == pytest.approx(1.236, abs=5e-4)


def test_faults_of_tracks_are_told_one_by_one(values, rail) -> None:
    bad = tuple(TrackFacts(offset, -1.0, 1.2) for offset in (0.0, 4.0, 8.0))
    with pytest.raises(InputError) as caught:
        traffic.groups(values, rail(tracks=bad), "recommended")
    assert len(caught.value.faults) == 7
    with pytest.raises(InputError, match="one or two tracks"):
        traffic.groups(values, rail(tracks=()), "recommended")
    with pytest.raises(InputError, match="every span"):
        traffic.groups(values, rail(spans=()), "recommended")


@pytest.mark.parametrize(
    ("name", "factors"),
    # Table 6.11 from memory: vertical, traction or braking, centrifugal, nosing.
    [
        ("gr11", (1.0, 1.0, 0.5, 0.5)),
        ("gr12", (1.0, 0.5, 1.0, 1.0)),
        ("gr13", (0.5, 1.0, 0.5, 0.5)),
        ("gr14", (0.5, 0.5, 1.0, 1.0)),
        ("gr15", (1.0, None, 1.0, 1.0)),
        ("gr16", (1.0, 1.0, 0.5, 0.5)),
        ("gr17", (1.0, 0.5, 1.0, 1.0)),
        ("gr21", (1.0, 1.0, 0.5, 0.5)),
        ("gr22", (1.0, 0.5, 1.0, 1.0)),
        ("gr23", (0.5, 1.0, 0.5, 0.5)),
        ("gr24", (0.5, 0.5, 1.0, 1.0)),
        ("gr26", (1.0, 1.0, 0.5, 0.5)),
        ("gr27", (1.0, 0.5, 1.0, 1.0)),
    ],
)
def test_factors_of_the_groups(values, rail, name: str, factors: tuple[float, ...]) -> None:
    facts = rail(
        tracks=(TRACK, replace(TRACK, offset=4.0)),
        radius=700.0,
        models=("LM71", "SW/2", "unloaded train"),
    )
    group = next(g for g in traffic.groups(values, facts, "recommended") if g.name == name)
    kinds = {force.kind: factor for force, factor in group.horizontals}
    found = (group.vertical_factor, *map(kinds.get, ("braking", "centrifugal", "transverse")))
    assert found == factors


def test_sw2_group_on_two_tracks_takes_the_worse_pairing(values, rail) -> None:
    tracks = (TRACK, replace(TRACK, offset=4.0))
    facts = rail(spans=(60.0,), unit_length=60.0, tracks=tracks)
    force = traffic.rail_along(values, facts, [("SW/2", "LM71")])
    assert force is not None
    # By hand on 60 m: SW/2 loads 50 m and brakes with 1750 kN, LM71 pulls with 1000 kN: 2750 kN;
    # the other way 1000 + 1200 kN.
    assert force.along == pytest.approx(2750e3)


def test_alpha_classes(values: Values) -> None:
    # 6.3.2(3) from memory.
    assert values.row("rail.alpha.classes") == (0.75, 0.83, 0.91, 1.0, 1.1, 1.21, 1.33, 1.46)


@pytest.mark.parametrize(("count", "k"), [(2, 1.2), (3, 1.3), (4, 1.4), (5, 1.5), (7, 1.5)])
def test_factor_of_the_number_of_spans(values, rail, count: int, k: float) -> None:
    # Table 6.2, 5.2 from memory.
    facts = rail(spans=(20.0,) * count, unit_length=20.0 * count)
    assert en.determinant_length(values, facts).value == pytest.approx(20 * k)


def test_beyond_300_km_h_the_speed_no_longer_counts(values: Values) -> None:
    f = [horizontal.speed_reduction(values, V / 3.6, 20.0).value for V in (301, 315, 350)]
    assert f[0] == f[1] == f[2] == pytest.approx(0.197 + 0.803 * sqrt(2.88 / 20))
