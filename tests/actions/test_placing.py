"""The quick search for the worst place of traffic, against a slow one that tries everything."""

import re
from dataclasses import replace

import numpy as np
import pytest
from brute import Surface, worst
from decks import bridge_data, simple_lines, stood

from bedstone.actions import lanes
from bedstone.standards.traffic import Axle, LaneLoad, Placement, TrafficModel, Train

EDGES = (-4.5, 4.5)

# Load models in the manner of the standards; the numbers are chosen here, not theirs.
TANDEMS = tuple(
    LaneLoad(
        f"lane {number}",
        (Train("tandem", (Axle(0.0, force), Axle(1.2, force)), track=2.0),),
        width=3.0,
        uniform=uniform,
        uniform_width=3.0,
    )
    for number, force, uniform in ((1, 300e3, 9e3), (2, 200e3, 2.5e3))
)
TRUCK = LaneLoad(
    "lane",
    (
        Train(
            "truck",
            (Axle(0.0, 35e3), Axle(4.3, 145e3), Axle(8.6, 145e3)),
            track=1.8,
            spread=(1, (4.3, 6.5, 9.0)),
            omit_relieving=True,
        ),
        Train("pair", (Axle(0.0, 110e3), Axle(1.2, 110e3)), track=1.8, omit_relieving=True),
    ),
    width=3.6,
    uniform=3.1e3,
    uniform_width=3.0,
    train_factor=1.33,
    edge=-0.3,
)
LIGHT = LaneLoad(
    "light",
    (
        Train(
            "light train",
            tuple(Axle(x, f * 1e3) for x, f in ((0, 27), (1.1, 27), (4.3, 114), (5.5, 114),
                                                (9.8, 68), (12.8, 68))),
            track=1.8,
            follow=8.0,
        ),
    ),
    width=3.4,
    edge=-0.5,
)  # fmt: skip
HEAVY = LaneLoad(
    "heavy",
    (
        Train("heavy train", (Axle(0.0, 170e3), Axle(1.4, 170e3), Axle(4.4, 170e3)), track=2.0),
        Train("tracks", (Axle(0.0, 700e3, length=4.6),), track=2.0, follow=10.0),
    ),
    width=4.0,
    edge=0.6,
    train_factor=1.25,
)
RAIL = LaneLoad(
    "rail",
    (
        Train(
            "locomotive",
            tuple(Axle(1.6 * k, 250e3) for k in range(4)),
            track=1.4,
            clear=0.8,
            omit_relieving=True,
        ),
    ),
    width=1.4,
    uniform=80e3 / 1.4,
    uniform_width=1.4,
    offsets=(-0.2, 0.0, 0.2),
)
WAGONS = LaneLoad(
    "wagons",
    (
        Train(
            "wagons",
            (Axle(0.0, 1995e3, length=15.0), Axle(20.3, 1995e3, length=15.0)),
            track=1.4,
        ),
    ),
    width=1.4,
    offsets=(-0.2, 0.0, 0.2),
)

PLACEMENTS = {
    "tandems": Placement("tandems", TANDEMS, rest=2.5e3),
    # the load of a lane stands on less than its width, the rest of the carriageway is loaded too
    "narrow": Placement(
        "narrow", tuple(replace(lane, uniform_width=2.4) for lane in TANDEMS), rest=2.5e3
    ),
    "truck": Placement("one truck", (TRUCK,), factor=1.2),
    "trucks": Placement("two trucks", (TRUCK, TRUCK)),
    "light pair": Placement("light pair", (LIGHT, LIGHT), factor=0.9),
    "heavy and light": Placement("heavy and light", (HEAVY, LIGHT)),
    "rail": Placement("rail", (RAIL,), may_omit=False),
    "wagons": Placement("wagons", (WAGONS,), may_omit=False),
    "crowd": Placement("crowd", (), rest=5e3),
}

BRIDGES = {
    "straight": {"spans": (24.0,), "start_overhang": "0.4 m", "end_overhang": "0.4 m"},
    "skew": {"spans": (16.0, 14.0), "skew": 30.0},
    "curved": {"spans": (24.0,), "radius": 45.0},
    "simple": {"spans": (14.0, 16.0), "continuity": "simple"},
}
_STOOD: dict = {}


def bridge(name):
    if name not in _STOOD:
        data = {**BRIDGES[name]}
        if data.get("continuity") == "simple":
            marks = [f"S{k + 1}" for k in range(len(data["spans"]) + 1)]
            data["arrangement"] = simple_lines(marks)
        one = stood(bridge_data(**data))
        seats = [seat.mark for seat in one.structure.seats]
        inner = next((m for m in seats if m.startswith("S2-1")), seats[0])
        leads = [one.lead(m, "N") for m in (seats[0], seats[-1], inner)]
        leads += [one.lead("S1", "V"), one.lead(seats[-1], "vx"), one.lead(seats[3], "rx")]
        leads = np.array(leads)
        _STOOD[name] = (one, leads, Surface(one, leads, -5.0, 5.0))
    return _STOOD[name]


#: Which placements are tried on which bridge; the slow search takes seconds for some.
CASES = [
    *(("straight", model) for model in PLACEMENTS),
    *(("skew", model) for model in ("tandems", "truck", "trucks", "rail", "wagons", "crowd")),
    *(("curved", model) for model in ("tandems", "trucks", "heavy and light", "rail", "wagons")),
    *(("simple", model) for model in ("tandems", "truck", "rail", "wagons", "crowd")),
]
#: Places across are 0.3 m apart in the quick search, 0.1 m in the slow one. The rotation of one
#: seat across the bridge follows single wheels and may miss this much of its worst.
ACROSS = {"rx": 0.025}


@pytest.mark.parametrize(("name", "model"), CASES)
def test_against_trying_everything(name, model):
    one, leads, surface = bridge(name)
    placement = PLACEMENTS[model]
    found = one.extremes([TrafficModel(model, "", (placement,))], EDGES)
    peak = np.abs(surface.table).max(axis=(0, 1))
    heaviest = sum(
        max((sum(axle.force for axle in train.axles) for train in lane.trains), default=0.0)
        for lane in placement.lanes
    )
    below = np.array([ACROSS.get(one.layout.name(lead)[1], 0.002) for lead in leads])
    for sign, sense in ((0, 1.0), (1, -1.0)):
        quick = sense * found.vectors[sign, leads, leads]
        slow = np.maximum(worst(surface, placement, EDGES, sign), 0.0)
        small = 3e-4 * peak * (heaviest + 5e5)  # against effects that nearly cancel
        assert np.all(quick > slow * (1 - below) - small)
        assert np.all(quick < slow * 1.002 + small)


def test_the_slow_search_is_not_idle():
    """Each bridge has effects that trains raise and lower, so that nothing above is 0 = 0."""
    for name in BRIDGES:
        _, _, surface = bridge(name)
        for sign in (0, 1):
            value = worst(surface, PLACEMENTS["tandems"], EDGES, sign)
            assert np.count_nonzero(value > 1e-3 * np.abs(surface.table).max(axis=(0, 1))) >= 5


# ------------------------------------------------------------------ what is said of the load
AXLES = re.compile(
    r"y = (?P<y>[-+][\d.]+) m \((?P<train>[a-z ]+?)(?:, (?P<gap>[\d.]+) m apart)?"
    r"(?:, (?P<row>\d+) in a row)?(?P<back>, facing back)?, "
    r"(?:first axle|front) at (?P<at>[-\d.]+) m"
)


def described(one, text, placement, sense, lead):
    """Effect on a lead of the trains that a description names, set there by point loads."""
    total = 0.0
    trains = {train.name: (lane, train) for lane in placement.lanes for train in lane.trains}
    for found in AXLES.finditer(text):
        lane, train = trains[found["train"]]
        axles = [(axle.position, axle.force) for axle in train.axles]
        if found["gap"]:
            index = train.spread[0]
            move = float(found["gap"]) - (axles[index + 1][0] - axles[index][0])
            axles = [(x + (move if k > index else 0.0), f) for k, (x, f) in enumerate(axles)]
        pitch = axles[-1][0] + (train.follow or 0.0)
        axles = [(x + n * pitch, f) for n in range(int(found["row"] or 1)) for x, f in axles]
        if found["back"]:
            axles = [(axles[-1][0] - x, f) for x, f in reversed(axles)]
        y, stretch = float(found["y"]), 1 - float(found["y"]) * one.deck.axis.curvature
        for x, force in axles:
            part = 0.0
            for side in (-train.track / 2, train.track / 2):
                first, last = (end[0] for end in one.deck.limits(np.array([y + side])))
                where = float(found["at"]) - x / stretch
                if first - 0.006 < where < last + 0.006:  # the text is rounded to a centimetre
                    load = one.deck.point_loads(
                        one.condensed.frame, np.array([where]), np.array([y + side])
                    )
                    part += force / 2 * float(one.effects(load)[lead, 0])
            if not (train.omit_relieving and sense * part < 0.0):
                total += lane.train_factor * part
    return placement.factor * total


@pytest.mark.parametrize("name", BRIDGES)
@pytest.mark.parametrize("model", ["trucks", "light pair"])
def test_the_description_is_the_load(name, model):
    one, leads, _ = bridge(name)
    placement = PLACEMENTS[model]
    lanes = tuple(replace(lane, uniform=0.0) for lane in placement.lanes)
    placement = replace(placement, lanes=lanes)
    found = one.extremes([TrafficModel(model, "", (placement,))], EDGES)
    checked = 0
    for sign, sense in ((0, 1.0), (1, -1.0)):
        for lead in leads[:4]:
            text = found.where(sign, lead)
            value = found.vectors[sign, lead, lead]
            if text == "no load":
                assert value == 0.0
                continue
            assert text.startswith(model)
            again = described(one, text, placement, sense, lead)
            # on the curve lanes near each other share their length along the lane
            rel = 5e-3 if name != "curved" else 15e-3
            assert again == pytest.approx(value, rel=rel, abs=300.0)
            checked += 1
    assert checked >= 6


def test_a_crowd_is_described():
    one, leads, _ = bridge("straight")
    found = one.extremes([TrafficModel("crowd", "", (PLACEMENTS["crowd"],))], EDGES)
    assert found.where(0, leads[0]) == "crowd: carriageway on its adverse parts"


@pytest.mark.parametrize("name", BRIDGES)
@pytest.mark.parametrize("model", PLACEMENTS)
def test_the_value_of_the_search_is_that_of_its_load(name, model):
    """The worst value found equals the effect of the pattern that is said to cause it."""
    one, _, _ = bridge(name)
    placement = PLACEMENTS[model]
    found = one.extremes([TrafficModel(model, "", (placement,))], EDGES)
    placer, placed, _ = found._placers[0]
    for sign, sense in ((0, 1.0), (1, -1.0)):
        patterns = placer.patterns(placed, sign, np.arange(len(placer.leads)))
        own = np.diagonal(placer.effects(patterns)[:, placer.leads])
        peak = np.abs(placer._all[:, placer.leads]).max(axis=0)
        if placement.rest and placement.lanes:
            # the search counts the area under a lane by its mean: it may miss a little
            assert np.all(sense * own > placed.value[sign] - 5e-3 * 2e6 * peak)
        else:
            assert sense * own == pytest.approx(placed.value[sign], rel=1e-9, abs=1e-3 * peak.max())


def test_coexisting_effects_are_in_equilibrium():
    """All vertical forces of one governing load add up to the load (statics)."""
    one, _, _ = bridge("skew")
    placement = Placement("heavy", (replace(TRUCK, uniform=0.0, train_factor=1.0),))
    found = one.extremes([TrafficModel("heavy", "", (placement,))], EDGES)
    lead = one.lead("S2-1", "N")
    vector = found.vectors[0, lead]
    total = sum(vector[one.lead(seat.mark, "N")] for seat in one.structure.seats)
    axles = [35e3, 145e3, 145e3]
    sums = {round(sum(a for a, k in zip(axles, keep, strict=True) if k))
            for keep in np.ndindex(2, 2, 2)} | {110000, 220000}  # fmt: skip
    assert min(abs(total - weight) for weight in sums) < 1.0
    supports = sum(vector[one.lead(mark, "V")] for mark in one.structure.supports)
    assert supports == pytest.approx(total)


# ------------------------------------------------------------------ rules of placing
def value(one, placements, place="S1-1", effect="N", sign=0, **how):
    models = [TrafficModel("m", "", tuple(placements))]
    found = one.extremes(models, EDGES, **how)
    lead = one.lead(place, effect)
    return float(found.vectors[sign, lead, lead])


def test_the_factor_multiplies_the_whole_placement():
    one, _, _ = bridge("straight")
    plain = Placement("p", (TRUCK,))
    assert value(one, [replace(plain, factor=1.2)]) == pytest.approx(1.2 * value(one, [plain]))


def test_the_worst_alternative_governs():
    one, _, _ = bridge("straight")
    single, double = Placement("1", (TRUCK,), factor=1.2), Placement("2", (TRUCK, TRUCK))
    both = value(one, [single, double])
    assert both == max(value(one, [single]), value(one, [double]))


def test_a_relieving_lane_is_left_out_only_where_it_may():
    """Overhangs of 6 m: load between the supports relieves what load on the overhang lifts."""
    one = stood(bridge_data(spans=(20.0,), start_overhang="6 m"))
    pair = (replace(HEAVY, trains=HEAVY.trains[:1]), replace(LIGHT, trains=LIGHT.trains))
    free = value(one, [Placement("p", pair)], "S2", "V", sign=1)
    forced = value(one, [Placement("p", pair, may_omit=False)], "S2", "V", sign=1)
    assert free < -1e5
    assert forced <= 0.0
    # a lane forced to be there may still stand empty: its trains are alternatives to none
    assert forced == pytest.approx(free)


def test_lanes_that_do_not_fit_are_left_out():
    one, _, _ = bridge("straight")
    wide = replace(TRUCK, width=6.0, edge=0.0)
    alone = value(one, [Placement("p", (wide,))])
    assert value(one, [Placement("p", (wide, wide))]) == pytest.approx(alone)
    assert value(one, [Placement("p", (wide, wide), may_omit=False)]) == 0.0


def test_only_the_reach_is_loaded():
    """A lane of 10 kN/m on the middle third of a simple span: statics."""
    one = stood(bridge_data(spans=(24.0,)))
    lane = LaneLoad("l", (), width=2.0, uniform=5e3, uniform_width=2.0)
    whole = value(one, [Placement("p", (lane,))], "S1", "V")
    part = value(one, [Placement("p", (lane,))], "S1", "V", reach=(8.03, 15.97))
    assert whole == pytest.approx(10e3 * 12.0, rel=1e-6)
    assert part == pytest.approx(10e3 * 7.94 / 2, rel=2e-3)


def test_the_factor_of_the_even_load_multiplies_it_alone():
    """10 kN/m on a simple span of 24 m and 12 kN at its end: statics."""
    one = stood(bridge_data(spans=(24.0,)))
    train = Train("axle", (Axle(0.0, 12e3),))
    lane = LaneLoad("l", (train,), 2.0, 5e3, 2.0, train_factor=1.5, uniform_factor=1.25)
    assert value(one, [Placement("p", (lane,))], "S1", "V") == pytest.approx(
        1.5 * 12e3 + 1.25 * 10e3 * 12.0, rel=1e-6
    )


@pytest.mark.parametrize("name", BRIDGES)
@pytest.mark.parametrize("model", ["narrow", "trucks", "heavy and light", "rail"])
def test_offsets_a_few_at_a_time_give_the_same(name, model, monkeypatch):
    """Decks too large for the processor's memory are worked on in parts: here two offsets each."""
    one, _, _ = bridge(name)
    models = [TrafficModel(model, "", (PLACEMENTS[model],))]
    whole = one.extremes(models, EDGES)._placers[0][1].value
    monkeypatch.setattr(lanes, "BLOCK", 1)
    assert [part.stop - part.start for part in lanes.blocks(5, 10)] == [2, 3]
    parts = one.extremes(models, EDGES)._placers[0][1].value
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-9 * np.abs(whole).max())


def test_lanes_tried_together_keep_their_own_trains():
    """Axles and strips of even load at the same offsets, looked at together and each by itself."""
    one, _, _ = bridge("skew")
    axles, strips = (replace(HEAVY, name=t.name, trains=(t,)) for t in HEAVY.trains)
    factored = replace(axles, name="factored", train_factor=1.6)
    each = [Placement(lane.name, (lane,)) for lane in (axles, strips, factored)]
    for sign in (0, 1):
        for item in each:
            others = [replace(other, factor=1e-3) for other in each if other is not item]
            alone = value(one, [item], "S1", "V", sign=sign)
            assert value(one, [*others, item], "S1", "V", sign=sign) == pytest.approx(alone)
            assert abs(alone) > 1e4
        # 1.6 against 1.2 times 1.25
        both = value(one, [replace(each[0], factor=1.2), each[2]], "S1", "V", sign=sign)
        assert both == pytest.approx(value(one, [each[2]], "S1", "V", sign=sign))


def test_on_a_curve_as_many_trains_follow_as_the_outer_lane_holds():
    """Axles 26.4 m apart on 26 m of reference line: both stand only where the lane is longer.

    The far one, on an overhang beyond two spans, presses on the first support too.
    """
    one = stood(bridge_data(spans=(10.0, 10.0), radius=45.0, end_overhang="6 m"))
    train = Train("axle", (Axle(0.0, 100e3),), follow=26.4)
    lane = LaneLoad("l", (train,), width=3.0)
    row = value(one, [Placement("p", (lane,))], "S1", "V")
    single = replace(lane, trains=(replace(train, follow=None),))
    assert row > 1.02 * value(one, [Placement("p", (single,))], "S1", "V")


def test_models_for_interior_reactions_apply_there_alone():
    one, _, _ = bridge("skew")
    heavy = Placement("heavy", (replace(TRUCK, train_factor=5.0),))
    models = [
        TrafficModel("usual", "", (Placement("usual", (TRUCK,)),)),
        TrafficModel("pier", "", (heavy,), applies="interior reaction"),
    ]
    inner = one.lead("S2-1", "N")
    found = one.extremes(models, EDGES, interior=[inner])
    assert found.where(0, inner).startswith("pier")
    for mark in ("S1-1", "S3-4"):
        assert found.where(0, one.lead(mark, "N")).startswith("usual")
    assert found.where(0, one.lead("S2-1", "ry")).startswith("usual")


def test_trains_in_a_row_reach_both_spans():
    """Vehicles 8 m apart on two spans: more of them load the pier than one does."""
    one, _, _ = bridge("skew")
    single = replace(LIGHT, trains=(replace(LIGHT.trains[0], follow=None),))
    alone = value(one, [Placement("p", (single,))], "S2", "V")
    row = value(one, [Placement("p", (LIGHT,))], "S2", "V")
    assert row > 1.02 * alone


def test_trains_that_would_relieve_need_not_follow():
    """Uplift at the far end of two spans: a row of vehicles is no better than the worst few."""
    one, _, _ = bridge("skew")
    single = replace(LIGHT, trains=(replace(LIGHT.trains[0], follow=None),))
    alone = value(one, [Placement("p", (single,))], "S3", "V", sign=1)
    row = value(one, [Placement("p", (LIGHT,))], "S3", "V", sign=1)
    assert row <= alone + 1e-6 < 0.0
