"""Single faults: against elementary mechanics, the schedule, and by what must not change.

Outside checks: statics and the theory of beams (any textbook of structural mechanics), stated
beside each. The bridge `one_line.toml` is our own: one steel girder on two bearings.
"""

from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import block_diag
from threadpoolctl import threadpool_limits

from bedstone.actions.effects import Layout
from bedstone.actions.kept import Kept
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.checks import check_bridge, check_seats
from bedstone.bridge.schema import Faults, Jacking, Seat, Stops
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison import faults as own
from bedstone.comparison import first_failure as failing
from bedstone.comparison.faults import Extremes, harm_of, references, what_if
from bedstone.comparison.faults_list import Fault, coefficients, faults_of, left_out
from bedstone.comparison.first_failure import designs_of, first_failures
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.screen import Screen
from bedstone.errors import UnstableError
from bedstone.mechanics.contact import open_gaps
from bedstone.schedule.make import schedule_of

ROOT = Path(__file__).parents[2]

# one_line.toml
SPAN, AREA, SECOND, MODULUS, ALPHA, SPRING = 40.0, 0.1, 0.05, 210e9, 12e-6, 50e6
LEVER = 0.8 + 0.2  # neutral axis to underside, and down to where the bearing turns
STIFFNESS = 1.0 / (SPAN / (MODULUS * AREA) + LEVER**2 * SPAN / (MODULUS * SECOND) + 1.0 / SPRING)


def screen_of(path, change=None, family="eurocode"):
    bridge = read_bridge(path)
    if change is not None:
        bridge = change(bridge)
    with threadpool_limits(1, user_api="blas"):
        return Screen(prepare(bridge), family)


@pytest.fixture(scope="module")
def line():
    return screen_of(Path(__file__).parent / "one_line.toml")


@pytest.fixture(scope="module")
def truss():
    return screen_of(ROOT / "examples/truss.toml")


@pytest.fixture(scope="module")
def curved():
    return screen_of(ROOT / "examples/curved.toml")


@pytest.fixture(scope="module")
def answered(truss):
    return what_if(truss, seated(truss), full=0)


def seated(screen):
    """Faults that leave every bearing in its place (the others are worked out in full: slow)."""
    return [fault for fault in faults_of(screen) if fault.kind != "unseated"]


def asked(screen, **sizes):
    """The same bridge with other sizes of faults (and the same screen: only `faults` differs)."""
    bridge = screen.prepared.bridge
    changed = bridge.model_copy(update={"faults": bridge.faults.model_copy(update=sizes)})
    other = object.__new__(Screen)
    other.__dict__.update(screen.__dict__)
    other.prepared = replace(screen.prepared, bridge=changed)
    return other


def one(found, start):
    """The only fault or result whose name begins so."""
    named = [item for item in found if getattr(item, "fault", item).name.startswith(start)]
    assert len(named) == 1, [getattr(item, "fault", item).name for item in found]
    return named[0]


# ------------------------------------------------------------------ elementary mechanics
def test_a_seized_bearing_locks_stiffness_times_free_lengthening(line):
    """H = alpha L / (L/EA + e2 L/EI + 1/k): a bar with its force at a lever e, and a spring.

    Elementary theory of beams: H at the lever e bends the girder by H e throughout, and its ends
    turn by H e L / 2 EI each.
    """
    fault = one(faults_of(line), "A2-1 seized")
    look = line.look(fault.bridge)
    assert look.unit_heat[look.layout.index("A2-1", "Hx")] == pytest.approx(
        STIFFNESS * ALPHA * SPAN, rel=1e-9
    )
    assert look.unit_heat[look.layout.index("A1", "Fx")] == pytest.approx(
        -STIFFNESS * ALPHA * SPAN, rel=1e-9
    )


def test_a_stop_takes_what_is_left_of_the_movement(line):
    """Behind a gap g a bar with stiffness K meets K (v - g): elementary mechanics."""
    gap = 0.02
    screen = asked(line, gap_left=gap, seized=False)
    fault = one(faults_of(screen), "A2-1 at its stop along, 20 mm left each way")
    result = one(what_if(screen, [fault], full=0).results, "A2-1")
    index = line.layout.index("A2-1", "vx")
    intact = own._of_look(line.look(), "")
    held = own._of_look(line.look(fault.bridge), "")
    force = line.layout.index("A2-1", "Hx")
    # the family adds 10 K to movements and not to forces, so the part that is met errs upwards
    allowance = 1.5 * ALPHA * SPAN * 10.0
    assert held.top[force] == pytest.approx(STIFFNESS * (intact.top[index] - allowance), rel=1e-6)
    exact = held.top[force] - STIFFNESS * gap
    assert exact <= result.extremes.top[force] <= 1.2 * exact
    assert result.extremes.top[force] == pytest.approx(
        held.top[force] * (1.0 - gap / intact.top[index]), rel=1e-9
    )
    # the other way the girder has less to go: the bound is not below K (v - g)
    assert result.extremes.low[force] <= held.low[force] + STIFFNESS * gap


def test_a_stop_that_is_not_reached_changes_nothing(line):
    screen = asked(line, gap_left=0.2, seized=False)
    result = what_if(screen, [one(faults_of(screen), "A2-1 at its stop")], full=0).results[0]
    assert result.bites == 0.0
    assert result.harm == 0.0


def test_the_friction_that_would_hold_as_much_counts_only_what_the_gap_leaves(line):
    """H over half the weight of the girder; behind a gap g only the part 1 - g/v of it.

    Statics, and K (v - g) = K v (1 - g/v): elementary mechanics. Weight of steel 77 kN/m3: EN
    1991-1-1, Table A.4, from memory.
    """
    half = 77e3 * AREA * SPAN / 2.0
    v = own._of_look(line.look(), "").top[line.layout.index("A2-1", "vx")]  # the longer way
    for gap, name in ((0.0, "closed"), (0.02, "20 mm")):
        screen = asked(line, gap_left=gap, seized=False)
        fault = one(faults_of(screen), f"A2-1 at its stop along, {name}")
        found = one(what_if(screen, [fault], full=0).results, "A2-1")
        held = line.look(fault.bridge).extreme("A2-1", "Hx", "abs", "SLS characteristic")
        assert found.friction_needed == pytest.approx((1.0 - gap / v) * held / half, rel=1e-6)
    assert v > 0.02  # so that the gap is met and counts


def test_a_wrong_setting_shifts_the_movement_by_alpha_times_length(line):
    """15 K more of the steel: 12e-6 x 40 m x 15 K = 7.2 mm, times 1.5 at the ultimate state.

    Partial factor 1.5 of a variable action: EN 1990, Table A2.4(B), from memory.
    """
    found = what_if(line, faults_of(line), full=0)
    index = line.layout.index("A2-1", "vx")
    cold, warm = (one(found.results, f"all bearings set 15 K too {w}") for w in ("cold", "warm"))
    assert cold.extremes.top[index] - found.intact.top[index] == pytest.approx(1.5 * 7.2e-3)
    assert found.intact.low[index] - warm.extremes.low[index] == pytest.approx(1.5 * 7.2e-3)
    assert cold.extremes.low[index] > found.intact.low[index]


def test_a_seat_that_statics_alone_loads_does_not_feel_its_level(line):
    """A beam on two bearings is statically determinate: a seat too low brings no force."""
    found = what_if(line, faults_of(line), full=0)
    for start in ("A1-1 10 mm too low", "A2-1 10 mm too high"):
        assert one(found.results, start).harm == pytest.approx(0.0, abs=1e-6)


def test_friction_of_the_moving_bearings_goes_to_both_ends_in_step(truss, answered):
    """One span fixed at one end: the free end gives mu N, the fixed end takes it (statics)."""
    factor = truss.prepared.bridge.faults.friction
    all_ = one(answered.results, "friction of all bearings")
    now = truss.look().actions["friction"]
    then = truss.look(all_.fault.bridge).actions["friction"]
    free, fixed = (truss.layout.index(mark, "Fx") for mark in ("A2", "A1"))
    assert then[:, free] == pytest.approx(factor * now[:, free], rel=1e-9)
    assert then[0, fixed] == pytest.approx(-then[1, free], rel=1e-6)
    normal = [truss.look().permanent[truss.layout.index(m, "N")] for m in ("A2-1", "A2-2")]
    mu = coefficients(truss)
    # half the bridge stands on A2; the friction there is at most mu N of both
    assert then[0, free] == pytest.approx(
        factor * (mu["A2-1"] * normal[0] + mu["A2-2"] * normal[1]), rel=0.02
    )


def test_one_bearing_alone_takes_what_the_line_took(answered):
    """Equilibrium along the bridge: the force of A1 does not ask how it is shared."""
    for alone, other in (("A1-1", "A1-2"), ("A1-2", "A1-1")):
        result = one(answered.results, f"{alone} alone holds along")
        after = result.extremes
        assert abs(after.largest(alone, "Hx")) == pytest.approx(abs(after.largest("A1", "Fx")))
        assert after.largest("A1", "Fx") == pytest.approx(
            answered.intact.largest("A1", "Fx"), rel=1e-3
        )
        assert abs(after.largest(other, "Hx")) < abs(answered.intact.largest(other, "Hx"))


# ------------------------------------------------------------------ against the schedule
@pytest.mark.parametrize("start", ["A2-2 seized", "A1-1 8 mm too low", "A2-1 put in turned"])
def test_in_full_a_fault_is_what_its_bridge_file_gives(truss, answered, start):
    quick = one(answered.results, start)
    full = what_if(truss, [quick.fault], full=1).results[0]
    assert full.in_full
    assert full.harm == pytest.approx(quick.harm, rel=1e-3)
    schedule = schedule_of(replace(truss.prepared, bridge=quick.fault.bridge), "eurocode")
    forces = [x.value for x in schedule.support_lines if (x.place, x.effect) == ("A1", "Fx")]
    assert max(map(abs, forces)) == pytest.approx(abs(full.extremes.largest("A1", "Fx")))
    assert full.worst.limit_state in schedule.limit_states
    assert full.worst.combination


def test_a_bearing_turned_is_one_that_holds_the_other_way():
    """Turned by 90 deg a guided bearing does what one guided the other way does.

    Without friction: its two sides are told by the sense of x', which lies across then.
    """

    def smooth(bridge):
        return bridge.model_copy(
            update={"actions": bridge.actions.model_copy(update={"friction": False})}
        )

    screen = screen_of(ROOT / "examples/truss.toml", smooth)
    bridge = screen.prepared.bridge
    fault = one(faults_of(screen), "A2-1 put in turned")
    turned = what_if(screen, [fault], full=0).results[0]
    swapped = arrangement_functions(bridge)["A2-1"].model_copy(update={"function": "guided across"})
    arrangement = bridge.arrangement.model_copy(
        update={"seats": {**bridge.arrangement.seats, "A2-1": swapped}}
    )
    expected = own._of_look(screen.look(bridge.model_copy(update={"arrangement": arrangement})), "")
    size = np.abs(expected.top).max()
    assert turned.extremes.top == pytest.approx(expected.top, abs=1e-9 * size)
    assert turned.extremes.low == pytest.approx(expected.low, abs=1e-9 * size)


def test_a_bridge_that_overturns_stands_apart(truss):
    gone = [fault for fault in faults_of(truss) if fault.kind == "unseated"]
    found = what_if(truss, gone, full=0)
    fallen = {fault.name: motion for fault, motion in found.unstable}
    # four corners: with one gone, the bridge stands on a diagonal (statics)
    assert set(fallen) == {f"{mark} carries nothing" for mark in ("A1-1", "A1-2", "A2-1", "A2-2")}
    assert "turns freely in plan" in fallen["A1-1 carries nothing"]
    assert "overturns unless A1-2 is held down" in fallen["A2-1 carries nothing"]


def test_permanent_load_alone_may_overturn():
    """Heavier on the left, so the weight stands outside the three bearings left (statics)."""

    def lopsided(bridge):
        *others, last = bridge.stage
        kerb = last.loads[-1].model_copy(update={"line_value": 60e3})
        last = last.model_copy(update={"loads": [*last.loads[:-1], kerb]})
        return bridge.model_copy(update={"stage": [*others, last]})

    screen = screen_of(ROOT / "examples/truss.toml", lopsided)
    gone = [fault for fault in faults_of(screen) if fault.kind == "unseated"]
    fallen = {fault.name: text for fault, text in what_if(screen, gone, full=0).unstable}
    assert "permanent load alone" in fallen["A2-2 carries nothing"]
    # on the light side the weight alone stays within the three, and traffic takes it out
    assert "permanent load alone" not in fallen["A2-1 carries nothing"]
    assert "overturns unless A1-2 is held down" in fallen["A2-1 carries nothing"]
    own._stands(screen, gone[0], screen.look())  # all four bearings carry it


def test_a_bridge_that_only_soft_things_hold_leaves_its_bearings():
    """One bearing gone leaves a line of bearings that a soft pad alone keeps from turning.

    By hand (statics): the truss turns about its fixed bearing; of the wind's moment about it only
    the pad's spring takes anything, so the far end moves by moment / (spring x length squared),
    metres. That is no movement of a bearing, and is told in words.
    """

    def soft(spring):
        def change(bridge):
            pad = Seat.model_validate(
                {"function": "elastic", "stiffness": {"kx": "1 kN/m", "ky": spring}}
            )
            free = Seat(function="free")
            seats = {**bridge.arrangement.seats, "A1-2": free, "A2-1": pad, "A2-2": free}
            arrangement = bridge.arrangement.model_copy(update={"seats": seats})
            return bridge.model_copy(update={"arrangement": arrangement})

        return change

    firm = screen_of(ROOT / "examples/truss.toml", soft("400 MN/m"))
    wobbly = soft("20 kN/m")(firm.prepared.bridge)
    fault = own_fault("A2-1 perished", wobbly, "A2-1")
    found = what_if(firm, [fault], full=0)
    ((_, text),) = found.unstable
    assert text.startswith("only soft parts resist this motion: A2-")
    assert "m across and leave its seat (ULS persistent, " in text
    told = float(text.partition("would move ")[2].partition(" m")[0])
    look = firm.look(wobbly)
    index = [look.layout.index(mark, "vy") for mark in ("A2-1", "A2-2")]
    assert told == pytest.approx(np.abs(look.value[:, :, index]).max(), abs=0.051)
    # a hundred times as stiff, and it is a movement again
    stiff = own_fault("A2-1 worn", soft("20 MN/m")(firm.prepared.bridge), "A2-1")
    assert not what_if(firm, [stiff], full=0).unstable


def own_fault(name, bridge, place):
    return Fault(name, "softer support", place, bridge)


def test_what_is_there_already_changes_nothing(truss):
    """The intact schedule and its traffic may be given; and lines of some effects are enough."""
    chosen = [fault for fault in faults_of(truss) if fault.name.startswith("A1-1 ")][:4]
    kept = Kept()
    schedule = schedule_of(truss.prepared, "eurocode", kept=kept)
    one = what_if(truss, chosen, full=1)
    two = what_if(truss, chosen, full=1, schedule=schedule, kept=kept)
    assert [item.fault for item in one.results] == [item.fault for item in two.results]
    assert one.results[0].in_full
    for before, after in zip(one.results, two.results, strict=True):
        assert before.harm == after.harm
        assert np.array_equal(before.extremes.top, after.extremes.top)
        assert np.array_equal(before.extremes.low, after.extremes.low)
    some = schedule_of(truss.prepared, "eurocode", only=("N", "V"))
    whole = {(x.place, x.effect, x.sense, x.limit_state): x.value for x in lines_of(schedule)}
    assert {x.effect for x in lines_of(some)} == {"N", "V"}
    for line in lines_of(some):
        key = (line.place, line.effect, line.sense, line.limit_state)
        assert line.value == pytest.approx(whole[key], rel=1e-9)
    assert sum(effect in ("N", "V") for _, effect, _, _ in whole) == len(lines_of(some))


def lines_of(schedule):
    return [*schedule.seat_lines, *schedule.support_lines]


@given(seed=st.integers(0, 10**6))
def test_what_never_turns_stands_under_every_load(seed):
    """Against the contact of bearings itself, with forces at and above the least ones."""
    random = np.random.default_rng(seed)
    points = random.uniform(-1.0, 1.0, (random.integers(3, 7), 2))
    planes = np.column_stack([np.ones(len(points)), points])
    # stiff against every raising but those of a rigid plate
    basis, _ = np.linalg.qr(planes)
    raising = 1e8 * (np.eye(len(points)) - basis @ basis.T)
    least = random.normal(100e3, 150e3, len(points))
    stands = own._never_turns(least, raising, 1e8)
    try:
        open_gaps(least, raising, 1e8)
    except UnstableError:
        assert not stands
    else:
        assert stands or abs(turning(least, points)) < 1.0
    if stands:
        more = least + random.uniform(0.0, 200e3, len(points))
        open_gaps(more, raising, 1e8)


@given(seed=st.integers(0, 10**6))
def test_what_never_turns_stands_in_pieces_on_soft_seats_and_held_down(seed):
    """Separate pieces a thousand times apart in stiffness; some seats soft, some held down.

    Raising by the method of forces (any textbook of structural mechanics): with the compliance C
    of girder and seats and rigid motions R, A = C^-1 - C^-1 R (R' C^-1 R)^-1 R' C^-1.
    """
    random = np.random.default_rng(seed)
    blocks, softest = [], 0.0
    for _ in range(random.integers(1, 4)):
        count = int(random.integers(3, 7))
        shape = random.normal(size=(count, count)) * 10.0 ** random.uniform(-5.5, -4.0)
        soft = np.where(random.random(count) < 0.3, 10.0 ** random.uniform(-9.0, -5.0, count), 0.0)
        rigid = np.column_stack([np.ones(count), random.uniform(-1.0, 1.0, (count, 2)) * (20, 4)])
        stiff = np.linalg.inv(shape @ shape.T + np.diag(soft + 1e-13))
        lost = stiff @ rigid
        block = stiff - lost @ np.linalg.solve(rigid.T @ lost, lost.T)
        blocks.append((block + block.T) / 2.0)
        softest = max(softest, float(np.diag(shape @ shape.T).max()))
    raising = block_diag(*blocks)
    held = random.random(len(raising)) < 0.15
    pushing = np.flatnonzero(~held | held.all())
    raising = raising[np.ix_(pushing, pushing)]
    least = random.normal(250e3, 220e3, len(pushing))
    stands = own._never_turns(least, raising, 1.0 / softest)
    alone = np.diag(raising) * softest <= own.SMALL
    if ((least < -own.ROUNDING) & alone).any():
        assert not stands
        with pytest.raises(UnstableError):  # statics alone decides: it overturns for certain
            open_gaps(least, raising, 1.0 / softest)
    if stands:
        open_gaps(least, raising, 1.0 / softest)
        open_gaps(least + random.uniform(0.0, 300e3, len(least)), raising, 1.0 / softest)


def turning(forces, points):
    """Least moment of the forces about a line with all points on one side, over its lever."""
    found = []
    for i, j in product(range(len(points)), repeat=2):
        if i == j:
            continue
        along = points[j] - points[i]
        away = np.array([-along[1], along[0]]) @ (points - points[i]).T
        away = np.where(np.abs(away) < 1e-12, 0.0, away)
        if (away >= 0.0).all() and away.max() > 0.0:
            found.append(float(forces @ away) / float(away.sum()))
    return min(found, key=abs)


def test_a_movement_is_measured_against_the_bridge_as_it_is():
    """More than a metre, but not ten times that of the intact bridge: it stays a movement."""

    def on_pad(spring):
        def change(bridge):
            pad = Seat.model_validate(
                {"function": "elastic", "stiffness": {"kx": "1 kN/m", "ky": spring}}
            )
            free = Seat(function="free")
            seats = {**bridge.arrangement.seats, "A1-2": free, "A2-1": pad, "A2-2": free}
            arrangement = bridge.arrangement.model_copy(update={"seats": seats})
            return bridge.model_copy(update={"arrangement": arrangement})

        return change

    soft = screen_of(ROOT / "examples/truss.toml", on_pad("20 kN/m"))
    softer = own_fault("A2-1 perished", on_pad("10 kN/m")(soft.prepared.bridge), "A2-1")
    found = what_if(soft, [softer], full=0)
    assert not found.unstable
    moved = found.results[0].extremes.largest("A2-1", "vy")
    assert abs(moved) > own.OFF_BEARING
    assert moved / found.intact.largest("A2-1", "vy") == pytest.approx(2.0, rel=0.01)  # a spring
    # told with the case of the side to which it moves, here the negative one alone
    measure = own._Measure(soft, found.look, found.intact, found.references, (), "")
    look = soft.look(on_pad("200 N/m")(soft.prepared.bridge))
    one_way = replace(look, value=np.minimum(look.value, 0.0))
    with pytest.raises(UnstableError, match=r"m across and leave its seat \(ULS persistent, "):
        measure._stays(softer, own._of_look(one_way, ""), one_way)


def test_a_turned_bearing_is_told_with_the_case_it_comes_from(truss):
    """A value in an intact direction and what `_in_look` calls it are one, but for the sign."""
    order = truss.layout
    random = np.random.default_rng(5)
    found = Extremes(order, random.uniform(1.0, 2.0, order.size), -random.random(order.size))
    back = own._turned_back(found, "A2-1")
    fault = replace(
        own_fault("A2-1 turned", truss.prepared.bridge, "A2-1"), kind="turned by 90 deg"
    )
    for name in ("Hx", "Hy", "vx", "vy", "Mx", "My", "N", "vz"):
        for sign in (0, 1):
            effect, sense = own._in_look(fault, "A2-1", name, sign)
            told = (back.top, back.low)[sign][order.index("A2-1", name)]
            comes = (found.top, found.low)[sense][order.index("A2-1", effect)]
            assert abs(told) == abs(comes), (name, sign)
            assert own._in_look(fault, "A2-2", name, sign) == (name, sign)


def test_what_statics_settles_is_not_worked_out_in_full(truss, curved, monkeypatch):
    """Three bearings cannot pull, and of twelve nothing turns over with one gone (statics)."""
    monkeypatch.setattr(own, "_schedule_with", None)
    fallen = what_if(truss, [one(faults_of(truss), "A2-1 carries nothing")], full=0)
    assert "overturns unless A1-2 is held down" in fallen.unstable[0][1]
    gone = [fault for fault in faults_of(curved) if fault.kind == "unseated"]
    found = what_if(curved, gone, full=0)
    assert not found.unstable
    assert any(item.lifts for item in found.results)


def test_a_corner_far_too_low_lifts_off_and_does_not_overturn(truss):
    """Loads within four corners: the bridge tilts until the gap is closed again (statics)."""
    actions = truss.prepared.bridge.actions
    low = actions.model_copy(update={"jacking": [Jacking.model_construct(seat="A1-1", lift=-1.0)]})
    bridge = truss.prepared.bridge.model_copy(update={"actions": low})
    found = what_if(truss, [Fault("A1-1 low", "seat too low", "A1-1", bridge)], full=0)
    assert not found.unstable
    assert {"A1-1", "A2-2"} <= set(found.results[0].lifts)


def test_worn_guides_shift_the_bridge_by_their_wear_and_no_more():
    """Whether nothing else holds it or something that is next to nothing: the guide still bites."""

    def change(bridge):
        pad = Seat.model_validate(
            {"function": "elastic", "stiffness": {"kx": "1 kN/m", "ky": "20 kN/m"}}
        )
        seats = {
            **bridge.arrangement.seats, "A1-2": Seat(function="free"),
            "A2-1": Seat(function="guided along"), "A2-2": pad,
        }  # fmt: skip
        arrangement = bridge.arrangement.model_copy(update={"seats": seats})
        faults = bridge.faults.model_copy(update={"play": 0.005})
        return bridge.model_copy(update={"arrangement": arrangement, "faults": faults})

    screen = screen_of(ROOT / "examples/truss.toml", change)
    worn = one(faults_of(screen), "A2-1: guides worn")
    found = what_if(screen, [worn], full=0)
    assert not found.unstable
    moved = found.results[0].extremes.largest("A2-1", "vy")
    assert abs(moved - found.intact.largest("A2-1", "vy")) == pytest.approx(0.005)


def test_a_bearing_that_the_quick_look_just_leaves_pressed_is_looked_at_again():
    """Statics: three bearings are left. The load of traffic found for four is not the worst."""

    def kerb(bridge):
        *others, last = bridge.stage
        heavy = last.loads[-1].model_copy(update={"line_value": 73.8e3})
        last = last.model_copy(update={"loads": [*last.loads[:-1], heavy]})
        return bridge.model_copy(update={"stage": [*others, last]})

    screen = screen_of(ROOT / "examples/truss.toml", kerb)
    gone = one(faults_of(screen), "A2-1 carries nothing")
    look = screen.look(gone.bridge)
    assert own._of_look(look, "").low[look.layout.index("A1-2", "N")] > 0.0
    ((_, text),) = what_if(screen, [gone], full=0).unstable
    assert "overturns unless A1-2 is held down" in text


# ------------------------------------------------------------------ the faults themselves
def test_each_fault_has_a_name_of_its_own_and_one_change(curved):
    bridge = curved.prepared.bridge
    found = faults_of(curved)
    assert len({fault.name for fault in found}) == len(found)
    for fault in found:
        parts = [
            getattr(fault.bridge, name) != getattr(bridge, name)
            for name in ("arrangement", "actions", "support")
        ]
        assert sum(parts) == 1, fault.name
        for name in ("superstructure", "stage", "materials", "alignment"):
            assert getattr(fault.bridge, name) == getattr(bridge, name)


def test_bearings_that_point_to_the_fixed_one_do_not_turn_when_another_seizes(curved):
    fault = one(faults_of(curved), "A2-4 seized")
    before, after = curved.arranged(curved.prepared.bridge), curved.arranged(fault.bridge)
    assert after.angles == pytest.approx(before.angles, abs=1e-12)
    row = [place.mark for place in curved.prepared.structure.seats].index("A2-4")
    changed = np.flatnonzero((before.bearings.held != after.bearings.held).any(axis=1))
    assert changed.tolist() == [row]


def test_a_seat_too_low_carries_less_and_one_too_high_more(truss):
    faults = faults_of(truss)
    index = truss.layout.index("A1-1", "N")
    intact = truss.look().permanent[index]
    low = truss.look(one(faults, "A1-1 8 mm too low").bridge).permanent[index]
    high = truss.look(one(faults, "A1-1 8 mm too high").bridge).permanent[index]
    assert low < intact < high
    assert intact - low == pytest.approx(high - intact)


def test_a_softer_support_is_softer_at_both_bounds(truss):
    fault = one(faults_of(truss), "A2 softer")
    before, after = (b.support[1].bounds for b in (truss.prepared.bridge, fault.bridge))
    assert (after.lower, after.upper) == (0.5 * before.lower, 0.5 * before.upper)
    assert fault.bridge.support[0] == truss.prepared.bridge.support[0]


def test_what_comes_to_the_same_bearings_is_one_fault(truss):
    names = [fault.name for fault in faults_of(truss)]
    assert "A2-1 seized, or at its stop along, closed" in names
    assert "A2-2 seized" in names  # a free one: seized both ways, or stopped one way
    assert "A2-2 at its stop across, closed" in names


def test_what_is_not_asked_for_is_told(truss):
    none = dict.fromkeys(("drop", "lift", "setting_error", "friction", "soft", "skew"))
    never = dict.fromkeys(("seized", "turned", "unseated", "stop"), False)
    screen = asked(truss, **none, **never)
    kinds = {fault.kind for fault in faults_of(screen)}
    assert kinds == {"one alone"}
    told = "\n".join(left_out(screen))
    for name in (*none, *never):
        assert f"faults.{name}" in told
    assert "faults.play" in told


def test_a_setting_outside_the_range_of_the_bridge_is_told(line):
    screen = asked(line, setting_error=200.0)
    assert "wrong setting" not in {fault.kind for fault in faults_of(screen)}
    assert sum("outside the temperatures" in reason for reason in left_out(screen)) == 2


def test_stops_of_the_file_count_each_way(line):
    def change(bridge):
        seat = bridge.arrangement.seats["A2-1"].model_copy(
            update={"travel": Stops.model_construct(back=0.5, ahead=0.03, right=None, left=None)}
        )
        seats = {**bridge.arrangement.seats, "A2-1": seat}
        arrangement = bridge.arrangement.model_copy(update={"seats": seats})
        return bridge.model_copy(update={"arrangement": arrangement})

    screen = screen_of(Path(__file__).parent / "one_line.toml", change)
    fault = one(faults_of(screen), "A2-1 at its stop along, 500 mm left back and 30 mm left ahead")
    result = what_if(screen, [fault], full=0).results[0]
    top = own._of_look(line.look(), "").top[line.layout.index("A2-1", "vx")]
    assert result.bites == pytest.approx(1.0 - 0.03 / top)


def test_worn_guides_let_the_bridge_shift_by_their_wear(line):
    """The only guide at A2: nothing else holds the end, so it moves by the wear and no more."""
    screen = asked(line, play=0.004)
    result = one(what_if(screen, faults_of(screen), full=0).results, "A2-1: guides worn by 4 mm")
    index = line.layout.index("A2-1", "vy")
    assert result.extremes.top[index] == pytest.approx(0.004)
    assert result.extremes.low[index] == pytest.approx(-0.004)


def test_play_that_counted_as_free_may_be_used_up(truss):
    def change(bridge):
        seats = {
            **bridge.arrangement.seats,
            "A2-2": Seat(function="free", play="3 mm", kind="pot on slide"),
        }
        arrangement = bridge.arrangement.model_copy(update={"seats": seats})
        return bridge.model_copy(update={"arrangement": arrangement})

    other = asked(truss, stop=False)
    other.prepared = replace(other.prepared, bridge=change(other.prepared.bridge))
    fault = one(faults_of(other), "A2-2: side play of 3 mm used up")
    assert fault.bridge.arrangement.seats["A2-2"].function == "guided along"


@pytest.mark.parametrize("name", ["truss", "curved", "railway", "girders"])
def test_every_fault_is_a_bridge_file_that_can_be_written(name):
    """The checks of the file find nothing in it, and it stands as arranged in the look."""
    bridge = read_bridge(ROOT / f"examples/{name}.toml")
    plain = bridge.model_copy(
        update={"actions": bridge.actions.model_copy(update={"traffic": None, "seismic": None})}
    )
    screen = screen_of(ROOT / f"examples/{name}.toml", lambda _: plain)
    for fault in faults_of(screen):
        assert not list(check_bridge(fault.bridge)), fault.name
        assert not list(check_seats(fault.bridge)), fault.name


# ------------------------------------------------------------------ harm
def extremes(**changed):
    order = Layout(("A1-1", "A2-1"), ("A1", "A2"))
    top, low = np.zeros(order.size), np.zeros(order.size)
    for mark in order.seats:
        top[order.index(mark, "N")], low[order.index(mark, "N")] = 1000.0, 200.0
        top[order.index(mark, "Hx")], low[order.index(mark, "Hx")] = 100.0, -100.0
        top[order.index(mark, "vx")], low[order.index(mark, "vx")] = 0.05, -0.02
    for mark in order.supports:
        top[order.index(mark, "V")] = 1000.0
    top[order.index("A1", "Fx")], low[order.index("A1", "Fx")] = 400.0, -300.0
    for name, value in changed.items():
        place, effect, sense = name.split("__")
        index = order.index(place.replace("_", "-"), effect)
        (top if sense == "max" else low)[index] = value
    return Extremes(order, top, low)


NONE = np.zeros(0, dtype=np.intp)


@pytest.mark.parametrize(
    ("changed", "harm", "place", "effect"),
    [
        # an abutment that took nothing takes as much as the fixed one did
        ({"A2__Fx__max": 400.0}, 1.0, "A2", "Fx"),
        # the same force in the other sense leaves the envelope as well
        ({"A1__Fx__min": -400.0}, 0.25, "A1", "Fx"),
        # a small force that triples beside a large one
        ({"A1_1__Hx__max": 130.0}, 0.3, "A1-1", "Hx"),
        ({"A2_1__vx__min": -0.03}, 0.2, "A2-1", "vx"),
        ({"A2_1__N__max": 1500.0}, 0.5, "A2-1", "N"),
        # where nothing is, a hundredth of the vertical force is the measure
        ({"A1__Fy__max": 10.0}, 1.0, "A1", "Fy"),
    ],
)
def test_harm_is_what_leaves_the_envelope_as_part_of_the_largest(changed, harm, place, effect):
    intact = extremes()
    found, _, index = harm_of(intact, extremes(**changed), references(intact), NONE)
    assert found == pytest.approx(harm)
    assert intact.layout.name(index) == (place, effect)


def test_less_weight_is_no_harm_and_a_pull_only_where_it_is_held():
    intact, lighter = extremes(), extremes(A1_1__N__min=-500.0)
    assert harm_of(intact, lighter, references(intact), NONE)[0] == 0.0
    held = np.array([intact.layout.index("A1-1", "N")])
    assert harm_of(intact, lighter, references(intact), held)[0] == pytest.approx(0.5)


def test_no_case_lies_outside_the_bound_of_a_stop():
    """Every case by itself (held part 1 - g/v of its own v) against the bound from extremes."""
    rng = np.random.default_rng(7)
    order = Layout(("A1-1",), ("A1",))
    for _ in range(50):
        loose, held = rng.normal(size=(2, 30, order.size))
        v, gap = rng.uniform(0.0, 1.0, 30), rng.uniform(0.0, 1.2)
        part = np.where(v > gap, 1.0 - gap / np.maximum(v, 1e-12), 0.0)[:, None]
        cases = (1.0 - part) * loose + part * held
        bound = own._between(
            Extremes(order, loose.max(axis=0), loose.min(axis=0)),
            Extremes(order, held.max(axis=0), held.min(axis=0)),
            float(part.max()),
        )
        assert np.all(cases.max(axis=0) <= bound.top + 1e-12)
        assert np.all(cases.min(axis=0) >= bound.low - 1e-12)


def test_the_most_harmful_stand_first(answered):
    harms = [result.harm for result in answered.results]
    assert harms == sorted(harms, reverse=True)
    assert min(harms) >= 0.0
    # a movable end that no longer moves is worse for the abutments than anything else that
    # leaves the bridge on its bearings; common practice, no source
    assert answered.results[0].fault.kind == "seized"
    assert answered.results[0].friction_needed > 1.0


def test_limits_that_a_fault_breaks_are_told(truss):
    prepared = truss.prepared
    limits = parse_limits(["A1.Hx < 1500 kN", "A1.Hx < 1 kN"], prepared.bridge, prepared.tables)
    found = what_if(truss, seated(truss), full=0, limits=limits)
    assert found.intact_broken == ("A1.Hx < 1 kN",)
    assert one(found.results, "A2-2 seized").broken == ("A1.Hx < 1500 kN",)
    assert one(found.results, "A1-1 8 mm too low").broken == ()


def test_other_limit_states_can_be_asked_for(truss):
    found = what_if(truss, faults_of(truss)[:1], full=0, states="SLS characteristic")
    assert found.results[0].worst.limit_state == "SLS characteristic"
    everything = what_if(truss, faults_of(truss)[:1], full=0)
    assert np.all(found.intact.top <= everything.intact.top + 1e-9)


# ------------------------------------------------------------------ long work
def test_an_interruption_keeps_what_was_found(line):
    faults = faults_of(line)
    told = []

    def progress(done, total, text):
        told.append((done, total))
        if done == 3:
            raise KeyboardInterrupt

    found = what_if(line, faults, progress)
    assert found.count == 3
    assert [fault.name for fault in found.untried] == [fault.name for fault in faults[3:]]
    assert all(done < total for done, total in told)


def test_the_defaults_are_those_of_the_bridge_file():
    assert Faults() == Faults.model_validate({})


# ------------------------------------------------------------------ what fails first
@pytest.fixture(scope="module")
def designs(truss):
    return designs_of(truss.prepared, "eurocode")


def test_under_the_intact_bridge_no_designed_bearing_fails(truss, answered, designs):
    assert all(item.choice.passes for item in designs)
    result = replace(answered.results[0], broken=())
    intact = replace(result, fault=replace(result.fault, bridge=truss.prepared.bridge))
    (first,) = first_failures(truss.prepared, "eurocode", designs, [intact])
    assert not first.fails
    assert first.seat == ""


def test_a_seized_bearing_breaks_those_that_hold_against_it(truss, answered, designs):
    told = []
    (first,) = first_failures(
        truss.prepared,
        "eurocode",
        designs,
        [one(answered.results, "A2-2 seized")],
        lambda *args: told.append(args),
    )
    assert first.fails
    assert {"A1-1", "A1-2"} <= set(first.failing)
    assert first.utilisation is None or first.utilisation > 1.0
    assert first.before <= 1.0 + 1e-9
    assert all((first.part, first.check, first.clause))
    assert len(told) == 1


def test_a_bearing_with_a_fault_is_checked_in_its_own_function(truss, answered, designs):
    """A seized pot on a slide has no guide across x', so it is not asked as a fixed one."""
    seized = one(answered.results, "A2-2 seized")
    schedule = schedule_of(replace(truss.prepared, bridge=seized.fault.bridge), "eurocode")
    design = next(item for item in designs if item.seat == "A2-2")
    again = failing._again(truss.prepared, "eurocode", design, schedule)
    titles = {line.title for line in again.design.lines}
    assert titles == {line.title for line in design.choice.design.lines}


def test_a_bearing_that_failed_before_is_named_and_not_asked(truss, answered, designs):
    made = designs[0].choice.design
    worse = replace(made.lines[0], utilisation=1.2)
    failed = replace(designs[0].choice, design=replace(made, lines=(worse,)))
    assert not failed.passes
    some = [replace(designs[0], choice=failed), *designs[1:]]
    seized = one(answered.results, "A2-2 seized")
    (first,) = first_failures(truss.prepared, "eurocode", some, [seized])
    assert first.already == ("A1-1",)
    assert "A1-1" not in first.failing


def test_a_harmless_fault_breaks_nothing_and_a_gap_is_not_guessed(truss, designs):
    screen = asked(truss, gap_left=0.01, seized=False)
    found = what_if(screen, seated(screen), full=0)
    stop = one(found.results, "A2-2 at its stop along, 10 mm")
    (told,) = first_failures(truss.prepared, "eurocode", designs, [stop])
    assert "after a movement" in told.without
    assert not told.seat


def test_without_given_bearings_only_those_asked_for_are_designed(truss):
    assert designs_of(truss.prepared, "eurocode", given_only=True) == ()


def test_signs_of_the_stops_follow_the_axes(line):
    """A longer girder pushes its far stop forward: +Hx at A2, and A1 back."""
    look = line.look(one(faults_of(line), "A2-1 seized").bridge)
    for (mark, effect), sign in zip(product(("A2-1", "A1-1"), ("Hx",)), (1.0, -1.0), strict=True):
        assert np.sign(look.unit_heat[look.layout.index(mark, effect)]) == sign
