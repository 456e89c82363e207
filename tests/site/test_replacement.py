"""Lifting bearings free: contact, neighbours, restraint in plan, traffic, faults of the file.

The figures themselves are held against handbooks and another engine in tests/published.
"""

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge, Seismic
from bedstone.comparison.screen import Screen
from bedstone.errors import BedstoneError, InputError, UnstableError
from bedstone.site.replacement import replacement
from bedstone.site.replacement.contact import complementary, follow
from bedstone.site.replacement.plan import planned
from bedstone.site.replacement.restraint import on_jacks, while_lifted
from bedstone.site.tolerances import read_tolerances, usual

SEAT = {"function": "free"}
DECK = {"right": "-4 m", "left": "4 m"}


def bridge(lines=3, spans=2, seats=None, jacks=None, traffic=None, **more):
    """Girders 2.5 m apart with diaphragms, fixed at P1 (A1 for one span), guided in the middle."""
    marks = ["A1", *(f"P{n}" for n in range(1, spans)), "A2"]
    girder = {"A": "0.06 m2", "Iy": "0.03 m4", "Iz": "0.006 m4", "J": "0.004 m4",
              "depth": "1.4 m", "centroid": "0.7 m"}  # fmt: skip
    fixed = marks[1] if spans > 1 else marks[0]
    middle = (lines + 1) // 2
    own = {f"{mark}-{n}": SEAT for mark in marks for n in range(1, lines + 1)}
    for mark in marks:
        own[f"{mark}-{middle}"] = {"function": "fixed" if mark == fixed else "guided along"}
    own |= seats or {}
    return Bridge.model_validate({
        "bridge": {"name": "Three girders"},
        "support": [{"mark": mark, "chainage": f"{18 * n} m"} for n, mark in enumerate(marks)],
        "superstructure": {
            "kind": "girders", "type": "steel", "number": lines, "spacing": "2.5 m",
            "sections": {
                "g": {"kind": "given", **girder},
                "d": {"kind": "given", **girder, "Iy": "0.002 m4", "J": "0.0005 m4"},
            },
            "segments": [{"start": "0 m", "end": f"{18 * spans} m", "section": "g"}],
            "diaphragms": {"section": "d", "spacing": "4.5 m"},
        },
        "stage": [{"name": "all", "carries": "steel", "loads": [
            {"kind": "area", "value": "12 kN/m2", "from_y": "-4 m", "to_y": "4 m"}]}],
        "actions": {
            "friction": False, "traffic": traffic, "wind": {"pressure": "2 kPa", "depth": "2 m"},
            "temperature": {"air_min": "-20 degC", "air_max": "35 degC"},
        },
        "arrangement": {"seats": own},
        "replacement": {"jacks": jacks or [], **more},
    })  # fmt: skip


@pytest.fixture(scope="module")
def girders():
    return prepare(bridge())


# ------------------------------------------------------------------ contact
def problem(seed, gaps, jacks):
    """A random problem of the form that lifting has, singular more often than not."""
    rng = np.random.default_rng(seed)
    shape = rng.normal(size=(gaps, max(gaps - 2, 1)))
    soft = rng.normal(size=(jacks, max(jacks - 1, 1))) * rng.integers(0, 2)
    push = np.round(rng.normal(size=(gaps, jacks)), 1)
    matrix = np.block([[shape @ shape.T, push], [-push.T, soft @ soft.T]])
    return matrix, np.round(rng.normal(size=gaps + jacks), 1)


def every_solution(matrix, q):
    """Whether any choice of contacts solves it: all of them are tried."""
    for choice in product((False, True), repeat=len(q)):
        held = np.array(choice)
        z = np.zeros(len(q))
        inner = matrix[np.ix_(held, held)]
        z[held] = np.linalg.lstsq(inner, -q[held], rcond=None)[0]
        left = matrix @ z + q
        if z.min() > -1e-9 and left.min() > -1e-9 and abs(left[held]).max(initial=0) < 1e-9:
            return True
    return False


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 4), st.integers(1, 3))
def test_contact_is_found_where_there_is_one(seed, gaps, jacks):
    matrix, q = problem(seed, gaps, jacks)
    try:
        held = complementary(matrix, q)
    except UnstableError:
        assert not every_solution(matrix, q)
        return
    z = np.zeros(len(q))
    z[held] = np.linalg.solve(matrix[np.ix_(held, held)], -q[held])
    left = matrix @ z + q
    assert z.min() > -1e-8
    assert left.min() > -1e-6
    assert abs(z @ left) < 1e-6


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 5))
def test_every_piece_of_a_lift_is_a_state_of_contact(seed, gaps):
    """Of a beam on elastic ground points, lifted at one: always feasible, so always followed."""
    rng = np.random.default_rng(seed)
    shape = rng.normal(size=(gaps, gaps))
    push = -rng.dirichlet(np.ones(gaps))[:, None]
    matrix = np.block([[shape @ shape.T, push], [-push.T, np.array([[0.5]])]])
    start = np.append(np.round(rng.uniform(0.5, 2.0, gaps), 1), 0.0)
    rate = np.append(np.zeros(gaps), -1.0)
    pieces = follow(matrix, start, rate, 10.0, gaps)
    assert pieces[0].first == 0.0
    assert pieces[-1].last == 10.0
    for piece in pieces:
        for travel in np.linspace(piece.first, piece.last, 4):
            z = piece.at(travel)
            left = matrix @ z + start + travel * rate
            assert left.min() > -1e-4
            assert abs(z * left).max() < 1e-3


# ------------------------------------------------------------------ what is lifted
def test_a_line_lifted_alike_takes_its_reactions(girders):
    found = replacement(girders, "eurocode", ["P1"])
    assert found.seats == ("P1-1", "P1-2", "P1-3")
    assert found.partial == ()
    assert found.need.free == 0.0  # rigid bearings hand over at once
    for jack, seat in zip(found.jacks, found.seats, strict=True):
        before = next(item.before for item in found.bearings if item.seat == seat)
        assert jack.freed == pytest.approx(before, rel=1e-9)
    total = sum(item.before for item in found.bearings)
    after = sum(item.after for item in found.bearings) + sum(j.lifted for j in found.jacks)
    assert after == pytest.approx(total, rel=1e-9)
    assert max(vars(found.checks).values()) < 1e-9


def test_one_seat_lifted_more_than_its_neighbours_takes_their_load(girders):
    line = replacement(girders, "eurocode", ["P1"])
    one = replacement(girders, "eurocode", ["P1-2"])
    assert one.partial == ("P1-1", "P1-3")
    assert one.jacks[0].lifted > 1.5 * next(j.lifted for j in line.jacks if j.seat == "P1-2")
    beside = {item.seat: item.change for item in one.bearings}
    assert beside["P1-1"] < -10e3
    assert beside["P1-1"] == pytest.approx(beside["P1-3"], rel=1e-6)  # symmetric bridge
    alone = next(item for item in line.alone if item.seat == "P1-2")
    assert alone.force == pytest.approx(one.jacks[0].lifted, rel=1e-6)


def test_the_stiffness_table_is_the_slope_of_the_load_lift_line(girders):
    found = replacement(girders, "eurocode", ["P1-2"], lift=0.004)
    first, second = found.steps[-2], found.steps[-1]
    slope = (second.jacks["P1-2"] - first.jacks["P1-2"]) / (second.lift - first.lift)
    assert found.stiffness["P1-2"]["P1-2"] == pytest.approx(slope, rel=1e-6)
    assert found.line_stiffness == pytest.approx(slope, rel=1e-6)
    change = (second.bearings["P1-1"] - first.bearings["P1-1"]) / (second.lift - first.lift)
    assert found.stiffness["P1-2"]["P1-1"] == pytest.approx(change, rel=1e-6)


def test_stiffness_between_jacks_is_symmetric(girders):
    """Betti: what one mm here does there is what one mm there does here."""
    table = replacement(girders, "eurocode", ["P1"]).stiffness
    assert table["P1-1"]["P1-2"] == pytest.approx(table["P1-2"]["P1-1"], rel=1e-9)
    # a bridge that is lifted wholly by its jacks feels equal lift of a line as one number
    every = sum(value for row in table.values() for mark, value in row.items() if mark in table)
    found = replacement(girders, "eurocode", ["P1"])
    assert found.line_stiffness == pytest.approx(every, rel=1e-9)


def test_a_lift_that_frees_a_neighbour_must_go_together(girders):
    found = replacement(girders, "eurocode", ["P1"], lift=0.010, tolerances=None)
    one = replacement(girders, "eurocode", ["P1-2"], lift=0.010)
    if not one.unloads:
        pytest.fail("the case no longer shows a neighbour that comes free")
    assert set(one.unloads) <= {"P1-1", "P1-3"}
    assert not one.holds
    event = [text for step in one.steps for text in step.events]
    assert any(text.startswith(one.unloads[0]) for text in event)
    assert found.holds


def test_more_lift_than_allowed_does_not_hold():
    stiff = {f"A2-{n}": {"function": "elastic", "stiffness": {"kz": "60 MN/m"}} for n in (1, 2, 3)}
    stiff["A2-2"] = {"function": "guided along", "stiffness": {"kz": "60 MN/m"}}
    prepared = prepare(bridge(spans=1, seats=stiff))
    found = replacement(prepared, "eurocode", ["A2"])
    assert found.need.free > 0.003  # pads that were pressed by so much
    for item in found.bearings:
        if item.jacked:
            assert item.rebound == pytest.approx(item.before / 60e6)
    assert found.need.total == pytest.approx(found.need.free + 0.005, rel=0.2)
    tight = prepare(bridge(spans=1, seats=stiff, lift="6 mm"))
    short = replacement(tight, "eurocode", ["A2"])
    assert not short.need.enough
    assert short.lift == 0.006
    assert not short.holds
    assert short.need.total == pytest.approx(found.need.total)


def test_a_lift_far_beyond_what_is_allowed_is_followed_all_the_way(girders):
    found = replacement(girders, "eurocode", ["P1"], lift=0.4)
    assert found.need.tried >= 0.4
    assert not found.holds
    # both ends hang on the pier line long before
    assert {mark[:2] for mark in found.unloads} == {"A1", "A2"}
    weight = sum(load.total for load in girders.structure.loads)
    assert sum(jack.lifted for jack in found.jacks) == pytest.approx(weight, rel=1e-6)


def test_a_bearing_held_down_is_lifted_after_its_hold_down_is_off():
    prepared = prepare(bridge(spans=1, seats={"A2-1": {"function": "free", "uplift": True}}))
    found = replacement(prepared, "eurocode", ["A2"])
    assert any("A2-1: held down" in note for note in found.notes)
    assert found.holds


def test_other_bearings_held_down_pull():
    seats = {f"A1-{n}": {"function": "free", "uplift": True} for n in (1, 3)}
    seats["A1-2"] = {"function": "guided along", "uplift": True}
    prepared = prepare(bridge(seats=seats, lift="0.2 m"))
    found = replacement(prepared, "eurocode", ["P1"], lift=0.15)
    pulled = [item.after for item in found.bearings if item.seat.startswith("A1")]
    assert min(pulled) < 0.0
    assert all(item.opens is None for item in found.bearings if item.seat.startswith("A1"))


def test_what_stands_open_before_the_lift_is_not_laid_to_it():
    """A short span beside a long one: its end is up in the air, and the pier line has it all."""
    told = bridge()
    chain = (0.0, 6.0, 36.0)
    supports = [
        own.model_copy(update={"chainage": x}) for own, x in zip(told.support, chain, strict=True)
    ]
    prepared = prepare(told.model_copy(update={"support": supports}))
    found = replacement(prepared, "eurocode", ["P1"])
    ends = [item for item in found.bearings if item.support == "A1"]
    assert [item.before for item in ends] == [0.0, 0.0, 0.0]
    assert [item.opens for item in ends] == [None, None, None]
    assert found.unloads == ()
    assert any("open under permanent load already" in note for note in found.notes)
    total = sum(item.before for item in found.bearings)
    weight = sum(load.total for load in prepared.structure.loads)
    assert total == pytest.approx(weight, rel=1e-9)
    # on two lines of bearings statics alone decides: more lift costs nothing
    assert sum(jack.lifted for jack in found.jacks) == pytest.approx(
        sum(item.before for item in found.bearings if item.jacked), rel=1e-9
    )
    with pytest.raises(InputError, match="these stand open"):
        replacement(prepared, "eurocode", ["A1"])


def test_a_line_is_lifted_though_a_bearing_of_it_stands_open():
    """Eight girders, loaded over the middle ones: the outer ones hang on their neighbours."""
    prepared = prepare(bridge(lines=8))
    found = replacement(prepared, "eurocode", ["P1"])
    jacks = {jack.seat: jack for jack in found.jacks}
    outer = next(item for item in found.bearings if item.seat == "P1-1")
    assert outer.before == 0.0
    assert outer.opening > 0.005
    assert jacks["P1-1"].lifted < 0.1 * jacks["P1-4"].lifted
    assert found.need.total == pytest.approx(0.005, rel=1e-6)
    with pytest.raises(InputError, match="these stand open"):
        replacement(prepared, "eurocode", ["P1-1", "P1-8"])


def test_a_pad_of_unknown_stiffness_is_told():
    pad = {"function": "free", "kind": "laminated elastomeric"}
    known = {**pad, "function": "elastic", "stiffness": {"kz": "300 MN/m"}}
    prepared = prepare(bridge(seats={"A2-1": pad, "A2-3": known}))
    notes = replacement(prepared, "eurocode", ["A2"]).notes
    assert [note for note in notes if note.startswith("A2-1: a pad of which no stiffness")]


def test_one_of_two_lines_on_a_pier_is_lifted_by_itself():
    told = bridge(spans=2)
    simple = told.superstructure.model_copy(update={"continuity": "simple"})
    seats = {}
    for n in (1, 2, 3):
        middle = n == 2
        seats[f"A1-{n}"] = {"function": "fixed" if middle else "free"}
        seats[f"P1-{n}b"] = {"function": "guided along" if middle else "free"}
        seats[f"P1-{n}a"] = {"function": "fixed" if middle else "free"}
        seats[f"A2-{n}"] = {"function": "guided along" if middle else "free"}
    arrangement = told.arrangement.model_validate({"seats": seats})
    prepared = prepare(
        told.model_copy(update={"superstructure": simple, "arrangement": arrangement})
    )
    line = [f"P1-{n}b" for n in (1, 2, 3)]
    found = replacement(prepared, "eurocode", line)
    assert set(found.partial) == {f"P1-{n}a" for n in (1, 2, 3)}
    other = [item.change for item in found.bearings if item.seat in found.partial]
    assert max(map(abs, other)) < 1e-3  # the other span does not feel it
    # it held its own span across, and the bearings of the other span are no help
    assert len(found.restraint.motions) == 1
    assert "turns freely in plan" in found.restraint.motions[0]
    assert {item.place for item in found.restraint.temporary} == {"P1-2b"}


# ------------------------------------------------------------------ in plan
def test_the_fixed_line_lifted_leaves_the_bridge_free(girders):
    found = replacement(girders, "eurocode", ["P1"]).restraint
    assert found.holds[0] == ()
    assert found.holds[1] == ("A1-2", "A2-2")
    assert found.motions == ("the superstructure slides freely along the bridge (x)",)
    # what the bearings of the line take with traffic off: by the envelopes of the bridge itself
    quiet = Screen(girders, "eurocode").look()
    state = quiet.limit_states.index("ULS persistent")
    index = quiet.layout.index("P1", "Fy")
    most = np.abs(quiet.value[state][:, index]).max()
    held = next(item for item in found.temporary if item.state == "ULS persistent")
    assert held.place == "P1"
    assert abs(held.across) == pytest.approx(most)
    assert abs(held.actions["wind"][1]) > 1e3


def test_a_free_line_lifted_leaves_the_bridge_held(girders):
    found = replacement(girders, "eurocode", ["A2"]).restraint
    assert found.motions == ()
    assert found.temporary == ()
    before = {(mark, effect): low for mark, effect, low, _ in found.more}
    after = {(mark, effect): high for mark, effect, _, high in found.more}
    # wind that A2 took across goes to the others
    assert after["A1-2", "Hy"] + after["P1-2", "Hy"] > before["A1-2", "Hy"] + before["P1-2", "Hy"]
    assert found.shift == pytest.approx(12e-6 * math.hypot(18.0, 2.5), rel=1e-6)


def test_part_of_a_line_needs_restraint_of_single_seats_only_where_others_do_not_hold(girders):
    found = replacement(girders, "eurocode", ["P1-1"]).restraint
    assert found.motions == ()
    assert found.holds[0] == ("P1-2",)
    assert "P1-1" not in found.released  # it held nothing


def test_on_the_days_of_a_lift_there_is_no_earthquake_and_no_friction_of_what_is_out(girders):
    seats = {"A2-1": {"function": "fixed", "friction": 0.3, "hold_rotation": ["x"]}}
    told = bridge(traffic=DECK, seats=seats)
    actions = told.actions.model_copy(update={"seismic": Seismic(eurocode={"ag": 0.1})})
    prepared = replace(girders, bridge=told.model_copy(update={"actions": actions}))
    quiet, open_ = (while_lifted(prepared, traffic=kept).bridge.actions for kept in (False, True))
    assert quiet.seismic is None
    assert quiet.traffic is None
    assert open_.seismic is None
    assert open_.traffic == told.actions.traffic
    arranged, rows, _ = planned(prepared, ["A2-1"])
    found = on_jacks(arranged, rows)
    seat = found.seats[rows[0]]
    assert (seat.function, seat.friction, seat.uplift) == ("free", 0.0, False)
    assert list(found.bearings.held[rows[0]]) == [False, False, True, False, False, False]
    others = [n for n in range(len(found.seats)) if n not in rows]
    assert (found.bearings.held[others] == arranged.bearings.held[others]).all()


# ------------------------------------------------------------------ traffic
def test_traffic_on_jacks_at_the_bearings_is_that_of_the_bearings():
    prepared = prepare(bridge(traffic=DECK))
    found = replacement(prepared, "eurocode", ["P1"], traffic=True)
    look = Screen(prepared, "eurocode").look()
    groups = [table for name, table in look.actions.items() if name.startswith("traffic:")]
    for jack in found.jacks:
        index = look.layout.index(jack.seat, "N")
        top = max(float(table[0, index]) for table in groups)
        low = min(float(table[1, index]) for table in groups)
        # both stop refining influence surfaces at the same error
        assert jack.traffic[1] == pytest.approx(top, rel=2e-3)
        assert jack.traffic[0] == pytest.approx(low, rel=2e-2, abs=500.0)
    line = found.jacks[0].checks[0]
    quiet = replacement(prepared, "eurocode", ["P1"]).jacks[0].checks[0]
    assert line.value == pytest.approx(quiet.value + 1.35 * found.jacks[0].traffic[1])


def test_traffic_that_is_not_in_the_file_cannot_be_kept(girders):
    with pytest.raises(InputError, match=r"actions\.traffic"):
        replacement(girders, "eurocode", ["P1"], traffic=True)


# ------------------------------------------------------------------ jacks and their checks
def test_jacks_of_a_seat_come_before_those_of_its_support():
    jacks = [
        {"at": "P1", "places": [{"across": "0.5 m"}, {"across": "-0.5 m"}], "stroke": "50 mm"},
        {"at": "P1-2", "capacity": "100 kN", "closed_height": "200 mm", "headroom": "150 mm"},
    ]
    prepared = prepare(bridge(jacks=jacks))
    _, rows, points = planned(prepared, ["P1"])
    assert len(rows) == 3
    assert [point.mark for point in points] == ["P1-1/1", "P1-1/2", "P1-2/1", "P1-3/1", "P1-3/2"]
    found = replacement(prepared, "eurocode", ["P1"])
    failing = {(line.part, line.title) for line in found.failing}
    assert failing == {
        ("jack P1-2/1", "design force of the jack"),
        ("jack P1-2/1", "height of the jack with its plates, closed"),
    }
    force = next(line for line in found.failing if line.title.startswith("design"))
    assert force.limit.value == pytest.approx(80e3)  # 0.8 of what it is rated for
    assert not found.holds
    pair = [jack.lifted for jack in found.jacks if jack.seat == "P1-1"]
    assert sum(pair) == pytest.approx(found.steps[-1].jacks["P1-1"])


def test_three_rigid_jacks_in_a_row_ask_for_their_stiffness():
    places = [{"across": f"{y} m"} for y in (-0.5, 0.0, 0.5)]
    rigid = prepare(bridge(jacks=[{"at": "P1", "places": places}]))
    with pytest.raises(InputError, match="a stiffness of each jack"):
        replacement(rigid, "eurocode", ["P1-2"])
    soft = prepare(bridge(jacks=[{"at": "P1", "places": places, "stiffness": "500 MN/m"}]))
    found = replacement(soft, "eurocode", ["P1-2"])
    outer, middle, other = (jack.lifted for jack in found.jacks)
    assert outer == pytest.approx(other, rel=1e-6)
    assert middle == pytest.approx(outer, rel=0.2)


@pytest.mark.parametrize(
    ("jacks", "where"),
    [
        ([{"at": "P9"}], r"replacement\.jacks\[1\]\.at: found 'P9'"),
        ([{"at": "P1"}, {"at": "P1"}], r"replacement\.jacks\[2\]\.at: found P1 again"),
    ],
)
def test_faults_of_the_jacks_name_their_place(jacks, where):
    with pytest.raises(InputError, match=where):
        planned(prepare(bridge(jacks=jacks)), ["P1"])


def test_marks_that_are_none(girders):
    for wanted in (["P7"], []):
        with pytest.raises(InputError, match="replacement: seats"):
            replacement(girders, "eurocode", wanted)
    with pytest.raises(InputError, match="lift"):
        replacement(girders, "eurocode", ["P1"], lift=5.0)


def test_a_jack_off_a_bearing_where_only_bars_meet_is_refused():
    prepared = prepare(bridge(jacks=[{"at": "A2", "places": [{"across": "0.4 m"}]}]))
    own = prepared.condensed[prepared.final]
    rigid = own.rigid.copy()
    row = [seat.mark for seat in prepared.structure.seats].index("A2-2")
    rigid[6 * row + 3 : 6 * row + 6] = 0.0  # as condensing leaves it over a node of bars alone
    bars = replace(prepared, condensed={prepared.final: replace(own, rigid=rigid)})
    where = r"replacement\.jacks\[1\]\.places\[1\]: found a jack off the bearing.*A2-2"
    with pytest.raises(InputError, match=where):
        planned(bars, ["A2"])
    assert len(planned(bars, ["P1"])[2]) == 3


def test_a_seat_that_carries_nothing_is_not_lifted():
    seats = {"A2-1": {"function": "none"}}
    prepared = prepare(bridge(spans=1, seats=seats))
    with pytest.raises(InputError, match="A2-1"):
        replacement(prepared, "eurocode", ["A2-1"])
    assert replacement(prepared, "eurocode", ["A2"]).seats == ("A2-2", "A2-3")


def test_a_bridge_of_one_bearing_that_holds_it_upright_is_refused_in_words():
    seats = {"A1-1": {"function": "fixed"}, "A2-1": {"function": "guided along",
                                                     "hold_rotation": ["x"]}}  # fmt: skip
    prepared = prepare(bridge(lines=1, spans=1, seats=seats))
    with pytest.raises(UnstableError, match="rolls over freely"):
        replacement(prepared, "eurocode", ["A2"])


def test_a_bearing_that_carries_more_than_it_is_made_for_is_told(girders):
    found = replacement(girders, "eurocode", ["A2"])
    assert found.holds
    stays = next(item for item in found.bearings if item.seat == "P1-2")
    enough = replace(stays, greatest=1.01 * stays.after)
    short = replace(stays, greatest=0.99 * stays.after)
    with_traffic = replace(enough, traffic=(-1e3, 0.1 * stays.after))
    for item, overloaded in ((enough, False), (short, True), (with_traffic, True)):
        changed = replace(found, bearings=(item,))
        assert (changed.overloads == ("P1-2",)) is overloaded
        assert changed.holds is not overloaded
    # one that is out cannot be overloaded, and one that pulls under traffic comes free
    assert replace(found, bearings=(replace(short, jacked=True),)).overloads == ()
    pulled = replace(stays, traffic=(-1.1 * stays.after, 0.0))
    assert replace(found, bearings=(pulled,)).unloads == ("P1-2",)


# ------------------------------------------------------------------ figures
def test_every_figure_has_source_and_basis():
    for value in usual("replacement").values.values():
        assert value.source
        assert value.clause
        assert value.basis in ("print", "secondary", "memory")


def test_an_engineers_own_figures_take_their_place(tmp_path, girders):
    own = tmp_path / "own.toml"
    own.write_text(
        '[values.clearance]\nvalue = 8\nunit = "mm"\nsource = "method statement"\n'
        '[values.lift]\nvalue = 7\nunit = "mm"\nsource = "owner"\n'
    )
    figures = read_tolerances(own, "replacement")
    found = replacement(girders, "eurocode", ["A2"], tolerances=figures)
    assert found.need.clearance == pytest.approx(0.008)
    assert found.need.total == pytest.approx(0.008)
    assert not found.need.enough


def test_reactions_from_elsewhere_cannot_be_lifted(girders):
    with pytest.raises(BedstoneError, match="a superstructure with a model"):
        replacement(replace(girders, condensed={}), "eurocode", ["P1"])


@pytest.mark.parametrize("stiffness", ["900 MN/m", "1100 MN/m", "2300 MN/m", "370 MN/m"])
def test_a_bearing_that_comes_free_is_not_in_contact(stiffness):
    """What a bearing carries at the very travel at which it opens is nothing, not 1e-10 N."""
    pad = {"function": "elastic", "stiffness": {"kz": stiffness, "ky": "10 MN/m"}}
    found = replacement(prepare(bridge(spans=1, seats={"A2-1": pad})), "eurocode", ["A2"])
    [at] = [step for step in found.steps if "A2-1 comes free" in step.events]
    assert at.bearings["A2-1"] == 0.0


def test_a_jack_stands_on_the_side_that_is_told():
    """Along: toward rising chainage; across: to the left. On a straight bridge: x and y."""
    jacks = [{"at": "A2", "places": [{"along": "-0.4 m", "across": "0.5 m"}]}]
    _, _, points = planned(prepare(bridge(spans=1, jacks=jacks)), ["A2-1"])
    assert [list(point.arm) for point in points] == [pytest.approx([-0.4, 0.5, 0.0])]
