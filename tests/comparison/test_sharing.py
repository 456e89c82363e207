"""Sharing three ways on whole bridges: equilibrium, bounds, and what a path must come back to.

Statics, elementary friction and equality of independent ways; common practice, no source.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge.reader import read_bridge
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.acting import acting_on
from bedstone.comparison.history import PHASES, Timeline, labels_of, life_of, moving, sliders
from bedstone.comparison.sharing import ASLANT, friction_bounds, share, support_rows
from bedstone.errors import InputError, UnstableError
from bedstone.mechanics.sliding import History, follow
from bedstone.schedule.context import context_of

EXAMPLES = Path(__file__).parents[2] / "examples"
SHORT = Timeline(years=1, days=40, passages=2)


def loaded(name, changes=None):
    path = EXAMPLES / f"{name}.toml"
    bridge = read_bridge(path)
    if changes:
        bridge = bridge.model_copy(update=changes(bridge))
    prepared = prepare(bridge, read_tables(bridge, path.parent))
    functions = arrangement_functions(bridge, prepared.tables)
    point = bridge.arrangement.fixed_point
    return prepared, arrange(prepared.structure, list(bridge.support), functions, point)


@pytest.fixture(scope="module")
def girders():
    return loaded("girders")


@pytest.fixture(scope="module")
def shared(girders):
    prepared, arranged = girders
    return share(prepared, "eurocode", arranged, timeline=SHORT)


# ------------------------------------------------------------------ the three ways
def test_every_support_and_seat_has_its_rows(shared, girders):
    prepared, _ = girders
    structure = prepared.structure
    places = [*structure.supports, *(seat.mark for seat in structure.seats)]
    assert [(row.place, row.way) for row in shared.rows] == [
        (place, way) for place in places for way in ("along", "across")
    ]
    for row in shared.rows:
        for found in (row.elastic, row.kelvin, row.locked, row.path, *row.phases):
            assert 0.0 <= found.low <= found.high
        assert len(row.phases) == len(PHASES)
        assert row.path.high == pytest.approx(max(phase.high for phase in row.phases))
        assert (row.rule is None) == bool(row.reason)
    with pytest.raises(KeyError):
        shared.row("A1", "upward")


def test_the_elastic_way_puts_all_braking_on_the_one_line_that_holds(shared):
    # the guides of the abutments slide along the axis: only P1 holds along
    assert shared.row("P1").elastic.low == pytest.approx(shared.force, rel=1e-6)
    assert shared.row("P1").elastic.high == pytest.approx(shared.force, rel=1e-6)
    for mark in ("A1", "P2", "A2"):
        assert shared.row(mark).elastic.high < 1e-6 * shared.force


def test_the_rule_is_that_of_the_lines(shared):
    lines = {item.bearings.support: item for item in shared.ruled}
    assert {mark: item.bearings.holds for mark, item in lines.items()} == {
        "A1": "moving", "P1": "fixed", "P2": "moving", "A2": "moving",
    }  # fmt: skip
    behind = lines["A1"].bearings.friction
    ahead = [lines[mark].bearings.friction for mark in ("P2", "A2")]
    high, low = (sum(pair[i] for pair in ahead) for i in (0, 1))
    by_hand = shared.force + max(high - behind[1], behind[0] - low)
    assert shared.row("P1").rule == pytest.approx(by_hand)
    # a line's force is shared by its bearings
    seats = [shared.row(f"A1-{k}").rule for k in range(1, 6)]
    assert sum(seats) == pytest.approx(shared.row("A1").rule)
    assert shared.row("P1-3").rule == pytest.approx(by_hand)
    assert shared.row("P1-1").rule == 0.0


def test_bearings_that_hold_aslant_on_a_fixed_line_get_no_number_by_the_rule(shared):
    """P1-2 and P1-4 hold square to a line with 24 deg of skew: their part is left to stiffness."""
    line = next(item.bearings for item in shared.ruled if item.bearings.support == "P1")
    assert line.holds == "fixed"
    for mark in ("P1-2", "P1-4"):
        row = shared.row(mark)
        assert row.rule is None
        assert row.reason == ASLANT
        assert row.elastic.low > 0.0  # it does take a part: 0 by the rule would be wrong
    assert [note for note in shared.notes if "P1-2, P1-4" in note]


def test_braking_counts_with_the_factor_of_its_group(girders):
    """Half the force where the group brakes with half of it.

    EN 1991-2, 4.4.1(2): 0.6 x 2 x 300 kN + 0.10 x 9 kN/m2 x 3 m x 111.2 m = 660.24 kN, the deck
    with its overhangs; from memory.
    """
    prepared, arranged = girders
    context = context_of(prepared, "eurocode")
    halved = replace(
        context,
        groups=tuple(
            replace(group, horizontals=tuple((force, 0.5) for force, _ in group.horizontals))
            for group in context.groups
        ),
    )
    for told, by_hand in ((context, 660.24e3), (halved, 330.12e3)):
        found = share(prepared, "eurocode", arranged, context=told, timeline=None)
        assert found.force == pytest.approx(by_hand, rel=1e-6)
        # equilibrium: P1 alone holds along
        assert found.row("P1").elastic.high == pytest.approx(by_hand, rel=1e-6)


def test_wind_across_is_in_balance(girders, shared):
    """The supports' shares of wind add up to the wind, whatever the stiffness."""
    prepared, arranged = girders
    acting = acting_on(prepared, context_of(prepared, "eurocode"), arranged)
    own = prepared.condensed[prepared.final]
    standing = stand(prepared.structure, list(prepared.bridge.support), own, arranged)
    table = standing.effects.effects(acting.wind.g, acting.wind.r, acting.wind.s)
    rows = [standing.effects.layout.index(m, "Fy") for m in prepared.structure.supports]
    total = np.abs(table[rows].sum(axis=0))
    assert total.min() > 0.0
    assert total == pytest.approx(total[0], rel=1e-9)  # on its back or its belly, the same across
    shares = [shared.row(m, "across").elastic for m in prepared.structure.supports]
    assert sum(share.low for share in shares) < 1.02 * total[0]
    assert sum(share.high for share in shares) > 0.98 * total[0]


def test_the_path_bounds_hold_every_run(shared, girders):
    prepared, _ = girders
    assert {run.stiffness for run in shared.runs} == {"lower", "upper"}
    assert {run.name for run in shared.runs} >= {"low", "high"}
    assert shared.path_residual < 1e-8
    assert shared.residual < 1e-9
    assert {value.basis for value in shared.memory} == {"memory"}
    for number, mark in enumerate(prepared.structure.supports):
        sizes = [
            max(run.path.rows.top[:, 2 * number].max(), -run.path.rows.low[:, 2 * number].min())
            for run in shared.runs
        ]
        row = shared.row(mark)
        assert (row.path.low, row.path.high) == pytest.approx((min(sizes), max(sizes)))
    assert shared.travel["A1-1"].high > shared.travel["P1-3"].high


def test_a_moving_line_never_takes_more_than_its_friction(girders):
    """A1 of the girders along: at most mu (N + traffic) of its bearings, by any run."""
    prepared, arranged = girders
    found = share(prepared, "irc", arranged, timeline=SHORT)
    line = next(item.bearings for item in found.ruled if item.bearings.support == "A2")
    bound = 0.05 * (line.permanent + line.live[0])
    assert 0.0 < found.row("A2").path.high <= bound * 1.01


def test_an_arrangement_that_moves_is_refused_in_words(girders):
    prepared, arranged = girders
    loose = arrange(
        prepared.structure,
        list(prepared.bridge.support),
        {
            place.mark: seat.model_copy(update={"function": "free"})
            for place, seat in zip(prepared.structure.seats, arranged.seats, strict=True)
        },
    )
    with pytest.raises(UnstableError, match="slides freely along"):
        share(prepared, "eurocode", loose)


def test_nothing_is_told_of_loads_that_the_file_does_not_give():
    def quiet(bridge):
        empty = {"traffic": None, "wind": None, "temperature": None, "seismic": None}
        return {"actions": bridge.actions.model_copy(update=empty)}

    prepared, arranged = loaded("girders", quiet)
    found = share(prepared, "eurocode", arranged, timeline=SHORT)
    assert found.force == 0.0
    assert found.row("P1").rule is None
    assert "no traffic" in found.row("P1").reason
    assert found.row("P1").elastic is None
    assert found.row("P1", "across").elastic is None
    assert found.row("P1").locked.high == 0.0
    assert sum("gives no" in note for note in found.notes) == 3


@pytest.mark.parametrize(
    ("figures", "field"),
    [({"years": 0}, "years"), ({"daily": 1.5}, "daily"), ({"passages": 400}, "passages")],
)
def test_a_life_that_cannot_be_is_refused(figures, field):
    with pytest.raises(InputError, match=f"timeline: {field}"):
        Timeline(**figures)


def test_an_unknown_way_is_refused(girders):
    prepared, arranged = girders
    with pytest.raises(InputError, match="fixed line or stiffness"):
        share(prepared, "eurocode", arranged, way="by chance")


# ------------------------------------------------------------------ the life
def test_life_reaches_both_ends_of_the_temperature_and_every_load(girders):
    prepared, arranged = girders
    acting = acting_on(prepared, context_of(prepared, "eurocode"), arranged)
    life = life_of(acting, SHORT)
    labels = labels_of(acting)
    heat = life.factors[:, 3]
    assert heat.max() == acting.thermal.expansion
    assert heat.min() == -acting.thermal.contraction
    assert set(life.phase) == set(range(len(PHASES)))
    assert life.factors[0, 0] == 1.0
    assert not life.factors[0, 1:].any()  # set without force or movement
    assert life.factors[-1, 2] == 1.0
    for column, label in enumerate(labels[4:], start=4):
        on = np.flatnonzero(life.factors[:, column])
        times = SHORT.passages if label.startswith("traffic") else 3
        assert len(on) == times, label
        if not label.startswith("traffic"):  # warm, as set and cold
            assert set(heat[on]) == {acting.thermal.expansion, 0.0, -acting.thermal.contraction}
        assert not life.factors[on + 1, column].any()  # and goes again
    # horizontal forces one at a time, in both senses
    assert life.factors[:, 4:].sum(axis=1).max() == 1.0
    assert {label.rsplit(" ", 1)[1] for label in acting.braking_names} == {"forward", "backward"}


def test_traffic_of_the_life_is_the_worst_for_each_line(girders):
    """The loads that pass give each line of bearings its greatest and least live load."""
    prepared, arranged = girders
    acting = acting_on(prepared, context_of(prepared, "eurocode"), arranged)
    own = prepared.condensed[prepared.final]
    standing = stand(prepared.structure, list(prepared.bridge.support), own, arranged)
    table = standing.effects.effects(acting.traffic.g, acting.traffic.r)
    for mark, (greatest, least) in zip(prepared.structure.supports, acting.live, strict=True):
        found = table[standing.effects.layout.index(mark, "V")]
        assert (found.max(), found.min()) == pytest.approx((greatest, least), rel=1e-6)


def test_without_friction_and_play_the_path_is_the_elastic_answer(girders):
    """The eliminated system with mu = 0 against the bridge solved as a whole."""
    prepared, arranged = girders
    acting = acting_on(prepared, context_of(prepared, "eurocode"), arranged)
    own = prepared.condensed[prepared.final]
    for bound in ("given", "lower"):
        parts = moving(prepared, acting, arranged, bound)
        plain = sliders(parts, np.zeros(len(arranged.seats)))
        plain = type(plain)(**{**vars(plain), "play": None, "stops": None})
        labels = labels_of(acting)
        standing = stand(prepared.structure, list(prepared.bridge.support), own, arranged, bound)
        for column, load in ((3, acting.heat), (4 + acting.traffic.g.shape[1], acting.braking)):
            factors = np.zeros((1, len(labels)))
            factors[0, column] = 1.0
            path = follow(plain, parts.loads, History(factors, labels), rows=support_rows(parts))
            one = standing.effects.effects(load.g, load.r, load.s)[:, 0]
            order = standing.effects.layout
            by_whole = [
                one[order.index(mark, effect)]
                for mark in prepared.structure.supports
                for effect in ("Fx", "Fy")
            ]
            by_path = support_rows(parts) @ path.end.force
            scale = np.abs(by_whole).max()
            assert by_path == pytest.approx(np.array(by_whole), abs=1e-6 * scale)
            # and the compression that presses on the slides
            normal = parts.loads.normal @ factors[0] + parts.coupling @ path.end.force
            whole = one[: 12 * len(normal) : 12]
            assert normal == pytest.approx(whole, abs=1e-6 * np.abs(whole).max())


def test_friction_bounds_take_either_side_of_the_fixed_point():
    friction = np.array([[0.05, 0.03], [0.0, 0.0], [0.04, 0.02]])
    heat = np.zeros((3, 12))
    heat[:, 6] = -1e-4, 0.0, 2e-4
    found = dict(friction_bounds(friction, heat.ravel()))
    assert found["low"].tolist() == [0.03, 0.0, 0.02]
    assert found["high"].tolist() == [0.05, 0.0, 0.04]
    assert found["high ahead of the fixed point"].tolist() == [0.03, 0.0, 0.04]
    assert found["high behind the fixed point"].tolist() == [0.05, 0.0, 0.02]
    same = np.array([[0.03, 0.03]] * 3)
    assert len(friction_bounds(same, heat.ravel())) == 1


# ------------------------------------------------------------------ play and stops
def one_span(setting="25 degC", **seat):
    """30 m, one girder, fixed at S1 and moving at S2 unless told otherwise."""
    girder = {
        "kind": "given", "A": "50 m2", "Iy": "1 m4", "Iz": "1 m4", "J": "0.01 m4",
        "depth": "1.5 m", "centroid": "1.5 m",
    }  # fmt: skip
    far = {"function": "guided along", "hold_rotation": ["x"], "kind": "plane sliding", **seat}
    bridge = Bridge.model_validate(
        {
            "bridge": {"name": "case"},
            "support": [
                {"mark": "S1", "chainage": "0 m",
                 "below": {"kind": "springs", "springs": {"kx": "20 MN/m"}}},
                {"mark": "S2", "chainage": "30 m"},
            ],
            "materials": {"steel_alpha": "12e-6 1/K"},
            "superstructure": {
                "kind": "girders", "type": "steel", "number": 1, "sections": {"g": girder},
                "segments": [{"start": "0 m", "end": "30 m", "section": "g"}],
            },
            "actions": {
                "temperature": {"air_min": "0 degC", "air_max": "40 degC", "setting": setting},
            },
            "choices": {
                "irc": {"thermal.effective_min": -10.0, "thermal.effective_max": 60.0}
            },
            "arrangement": {
                "seats": {"S1-1": {"function": "fixed", "hold_rotation": ["x"]}, "S2-1": far}
            },
        }
    )  # fmt: skip
    prepared = prepare(bridge)
    arranged = arrange(
        prepared.structure, list(bridge.support), arrangement_functions(bridge, None)
    )
    return share(prepared, "irc", arranged, timeline=SHORT)


def test_a_stop_is_reached_and_what_it_costs():
    """12e-6 x 30 m x 35 K = 12.6 mm; a stop at 10 mm leaves 2.6 mm to 20 MN/m: 52 kN."""
    free = one_span(friction=0.0)
    assert free.row("S1").path.high == pytest.approx(0.0, abs=1.0)
    assert free.travel["S2-1"].high > 2 * 12.6e-3
    stopped = one_span(friction=0.0, travel={"ahead": "10 mm"})
    by_hand = (12e-6 * 30.0 * 35.0 - 0.010) * 20e6
    for mark in ("S1", "S2"):
        assert stopped.row(mark).path.high == pytest.approx(by_hand, rel=2e-3)
    assert stopped.row("S1").elastic is None
    assert any(run.path.stops_reached[2, 1] > 0 for run in stopped.runs)


def test_play_of_a_second_fixed_bearing_is_movement_without_force():
    """Fixed at both ends: 20 MN/m x 12.6 mm = 252 kN; play of 4 mm at S2 lets 4 mm go free."""
    tight = one_span(function="fixed")
    assert tight.row("S1").locked.high == pytest.approx(252e3, rel=2e-3)
    assert tight.row("S1").path.high == pytest.approx(252e3, rel=2e-3)
    loose = one_span(function="fixed", play="4 mm")
    assert loose.row("S1").path.high == pytest.approx((12.6e-3 - 4e-3) * 20e6, rel=3e-3)
    assert loose.row("S1").locked.high == pytest.approx(252e3, rel=2e-3)  # envelopes know no play


def test_cold_locks_in_more_than_warmth_where_it_goes_farther():
    """Set at 40 degC: 20 K to the warmest, 50 K to the coldest; 20 MN/m x 12e-6 x 30 m x 50 K."""
    found = one_span(setting="40 degC", function="fixed")
    assert (found.warm, found.cold) == pytest.approx((20.0, 50.0))
    assert found.row("S1").kelvin.high == pytest.approx(7.2e3, rel=2e-3)
    assert found.row("S1").locked.high == pytest.approx(360e3, rel=2e-3)


def test_the_stop_behind_is_its_own():
    """Set at 45 degC: 15 K ahead, 5.4 mm; 55 K back, 19.8 mm, of which the stop leaves 8 mm.

    (19.8 mm - 8 mm) x 20 MN/m = 236 kN; the stop ahead at 10 mm is never met.
    """
    found = one_span(setting="45 degC", friction=0.0, travel={"back": "8 mm", "ahead": "10 mm"})
    assert found.row("S1").path.high == pytest.approx((19.8e-3 - 8e-3) * 20e6, rel=2e-3)
    (run,) = found.runs
    assert run.path.stops_reached[2, 0] > 0
    assert run.path.stops_reached[2, 1] == 0
