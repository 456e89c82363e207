"""Settings against what can be worked out by hand: alpha L, end rotation, stiffness, stops."""

import math
from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.comparison.screen import Screen
from bedstone.errors import InputError
from bedstone.site.setting import holding, settings
from bedstone.site.temperatures import set_at
from bedstone.site.tolerances import read_tolerances, usual

ROOT = Path(__file__).parents[2]
ALPHA = 12e-6


def test_hot_day_sets_the_movable_end_away_from_the_fixed_one(make):
    ahead, _ = make(fixed="A1")
    back, _ = make("A1-1", fixed="A2")
    for item, sense in ((ahead, 1.0), (back, -1.0)):
        hot, cold = item.row(item.datum + 10.0), item.row(item.datum - 10.0)
        away = sense * (hot.offset[0] - cold.offset[0])
        assert away == pytest.approx(20.0 * ALPHA * 45.7, rel=1e-6)


def test_rows_stand_at_every_five_degrees_and_at_the_temperature_of_the_file(make):
    item, _ = make(temperature={"air_min": "-20 degC", "air_max": "35 degC", "setting": "12 degC"})
    rows = [row.temperature for row in item.rows]
    told = item.temperatures
    steps = [5.0 * n for n in range(-20, 20) if told.coldest <= 5.0 * n <= told.warmest]
    assert rows == sorted([*steps, 12.0])


def test_what_is_still_to_come_is_the_sum_of_the_later_stages_alone(make, load_of):
    stages = [load_of("first", "20 kN/m"), load_of("later", "10 kN/m")]
    whole, _ = make(stages=stages)
    later, screen = make(stages=stages, set_at="first")
    # movement goes with the load: 10 of 30 kN/m come after setting
    assert later.remaining[0] == pytest.approx(whole.remaining[0] / 3.0, rel=1e-9)
    assert later.load_set == pytest.approx(20e3 * 45.7 / 2.0, rel=1e-9)
    assert later.load_final == pytest.approx(30e3 * 45.7 / 2.0, rel=1e-9)
    look = screen.look()
    assert later.remaining[0] == pytest.approx(
        look.permanent[look.layout.index("A2-1", "vx")], rel=1e-9
    )
    early = [stage for stage in later.stages if stage.before]
    assert [stage.name for stage in early] == ["first"]
    # the span lengthened on its erection supports as it would on its bearings
    assert early[0].vx == pytest.approx(2.0 * later.remaining[0], rel=1e-6)


def test_shortening_still_to_come_sets_it_away(make):
    strain = -2e-4
    item, _ = make(
        stages=[{"name": "all", "carries": "steel", "loads": []}],
        lengthening=[{"members": "girders", "strain": strain}],
    )
    assert item.remaining[0] == pytest.approx(strain * 45.7, rel=1e-6)
    assert item.row(item.datum).offset[0] == pytest.approx(-strain * 45.7, rel=1e-6)


def test_truss_stages_agree_with_the_envelopes():
    prepared = prepare(read_bridge(ROOT / "examples/truss.toml"))
    screen = Screen(prepared, "eurocode")
    look = screen.look()
    for item in settings(prepared, "eurocode", screen):
        for axis, effect in enumerate(("vx", "vy")):
            expected = look.permanent[look.layout.index(item.seat, effect)]
            assert item.remaining[axis] == pytest.approx(expected, abs=1e-7)
        plain = item.growth.plain
        assert plain is not None
        assert np.allclose(item.growth.own, plain, rtol=1e-3, atol=1e-9)


def test_composite_girders_are_held_against_the_coefficient_of_their_model():
    """Simple spans on rigid supports: the arrangement's own solution is alpha L."""
    prepared = prepare(read_bridge(ROOT / "examples/railway.toml"))
    for item in settings(prepared, "eurocode"):
        assert item.growth.plain is not None
        assert item.growth.own[0] == pytest.approx(item.growth.plain[0], rel=2e-3, abs=1e-9)


def test_flexible_supports_move_the_fixed_point(make):
    """Held by two springs, the point of no movement divides the span as the springs do (statics).

    Stiff girder: k1 s = k2 (L - s).
    """
    stiff = {
        "kind": "given", "A": "50 m2", "Iy": "1 m4", "Iz": "1 m4", "J": "0.01 m4",
        "depth": "1.6 m", "centroid": "1.6 m",
    }  # fmt: skip
    springs = {"kx": "30 MN/m"}
    item, _ = make(
        section=stiff,
        below={"A1": {"kx": "10 MN/m"}},
        seats={"A2-1": {"stiffness": springs}},
    )
    # only the deformation of the spring at A2 is movement of its bearing
    assert item.growth.own[0] == pytest.approx(ALPHA * 45.7 * 10.0 / 40.0, rel=2e-3)
    assert item.growth.plain[0] == pytest.approx(ALPHA * 45.7)


def test_window_ends_where_the_budget_is_left_at_a_stop(make):
    item, screen = make(seats={"A2-1": {"travel": {"back": "70 mm", "ahead": "70 mm"}}})
    end = next(end for end in item.ends if not end.holds)
    window = item.upright
    assert window is not None
    assert window.first is not None
    assert not window.whole
    rest = item.remaining[0]
    ends = [(window.first, "max"), (window.last, "min")]
    inner = [one for one in ends if item.temperatures.coldest < one[0] < item.temperatures.warmest]
    assert inner
    for at, sense in inner:
        reach = screen.look(set_at(screen.prepared.bridge, at)).extreme("A2-1", "vx", sense)
        if sense == "max":
            left = end.ahead - max(reach, reach - rest) - item.most
        else:
            left = min(reach, reach - rest) - end.back - item.most
        assert left == pytest.approx(0.0, abs=5e-5)


def test_stops_of_the_file_count_from_the_place_of_setting(make):
    item, _ = make(seats={"A2-1": {"travel": {"back": "40 mm", "ahead": "60 mm"}}})
    end = next(end for end in item.ends if not end.holds)
    assert item.readings(item.row(10.0), end) == pytest.approx((0.040, 0.060))
    warmer = item.readings(item.row(20.0), end)
    moved = 10.0 * ALPHA * 45.7
    assert warmer == pytest.approx((0.040 + moved, 0.060 - moved), rel=1e-6)


def test_budget_is_the_root_of_independent_errors(make):
    item, _ = make()
    part = item.budget[0]
    allowed = usual()
    assert part.temperature == pytest.approx(ALPHA * 45.7 * allowed.number("thermometer"))
    assert part.remaining == pytest.approx(abs(item.remaining[0]) * allowed.number("remaining"))
    assert part.total == pytest.approx(
        math.sqrt(part.temperature**2 + part.survey**2 + part.remaining**2 + part.stiffness**2)
    )


def test_joint_opens_and_closes_with_the_road_level(make):
    """At A2 the deck end moves toward its wall as it warms: the joint closes by alpha L."""
    item, _ = make()
    warm, cold = item.row(20.0).opening, item.row(10.0).opening
    # the beam stays straight, so the road moves as the bearing does
    assert warm.change - cold.change == pytest.approx(-10.0 * ALPHA * 45.7, rel=1e-6)
    assert warm.closes < cold.closes


def test_a_row_between_two_rows_lies_on_their_line(make):
    item, _ = make()
    low, high = item.rows[3], item.rows[4]
    between = item.row((low.temperature + high.temperature) / 2.0)
    assert between.offset[0] == pytest.approx((low.offset[0] + high.offset[0]) / 2.0)


@pytest.mark.parametrize(
    ("spare", "expected"),
    [
        ([1.0, 1.0, 1.0], (0.0, 20.0)),
        ([-1.0, 1.0, -1.0], (5.0, 15.0)),
        ([-1.0, -1.0, 1.0], (15.0, 20.0)),
        ([-1.0, -2.0, -1.0], (None, None)),
    ],
)
def test_holding(spare, expected):
    assert holding([0.0, 10.0, 20.0], spare) == expected


def test_without_temperatures_there_is_nothing_to_set_by(make):
    with pytest.raises(InputError) as caught:
        make(temperature=None)
    assert [fault.where for fault in caught.value.faults] == ["actions.temperature"]


def test_datum_outside_the_range_is_refused(make):
    with pytest.raises(InputError) as caught:
        make(datum=90.0)
    assert caught.value.faults[0].where == "datum"


def test_row_outside_the_table_is_refused(make):
    item, _ = make()
    with pytest.raises(InputError):
        item.row(90.0)


# ------------------------------------------------------------------ allowances
def test_own_allowances_replace_the_usual_ones(tmp_path, make):
    path = tmp_path / "own.toml"
    path.write_text('[values.survey]\nvalue = 0.1\nunit = "in"\nsource = "total station, 2026"\n')
    own = read_tolerances(path)
    assert own.number("survey") == pytest.approx(2.54e-3)
    assert own.values["survey"].basis == "confirmed"
    assert own.number("thermometer") == usual().number("thermometer")
    item, _ = make(tolerances=own)
    assert item.budget[0].survey == pytest.approx(2.54e-3)


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("[values.surveys]\nvalue = 1\nsource = 's'\n", "values.surveys"),
        ("[values.survey]\nvalue = -1\nsource = 's'\n", "values.survey.value"),
        ("[values.survey]\nvalue = 1\n", "values.survey.source"),
        ("[values.survey]\nvalue = 1\nunit = 'K'\nsource = 's'\n", "values.survey.unit"),
        ("[values.survey]\nvalue = nan\nsource = 's'\n", "values.survey.value"),
        ("[values.survey]\nvalue = 1\nsource = 's'\nmore = 2\n", "values.survey.more"),
        ("values = 3\n", "file"),
        ("survey = \n", "file"),
    ],
)
def test_each_fault_of_an_own_file_is_named_once(tmp_path, text, where):
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(InputError) as caught:
        read_tolerances(path)
    assert [fault.where for fault in caught.value.faults] == [where]


def test_every_allowance_says_where_it_comes_from():
    for value in usual().values.values():
        assert value.source
        assert value.clause
        assert value.basis == "memory" or "Railways" in value.standard
