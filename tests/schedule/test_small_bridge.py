"""A small bridge worked through to its schedule, every number checked by hand beside it.

One span of 30 m, two steel girders 4 m apart without a slab, cross members every 10 m; self weight
and two line loads; one bearing holds along and two hold across, so nothing is locked in. Statics of
the simple span; where a family's range or rule enters, it comes from the family, and the way from
there to the bearing is by hand. Formulas: common practice, no source.
"""

import copy

import numpy as np
import pytest
from girder_cases import SLENDER, girder_data

from bedstone.actions.cases import GRAVITY
from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.schedule.context import family_of
from bedstone.schedule.facts import bridge_facts
from bedstone.schedule.make import schedule_of
from bedstone.standards.values import Values

L, SPACING, STEEL, E, I = 30.0, 4.0, 77e3, 210e9, 0.02  # noqa: E741
OWN = 2 * 0.05 * L * STEEL + 4 * 0.01 * SPACING * STEEL  # girders, four cross members
LINES = (20e3 * L, 12e3 * L)  # equipment at y = +1 m, surfacing at y = 0
WEIGHT = OWN + sum(LINES)
MARKS = ("S1-1", "S1-2", "S2-1", "S2-2")


def data(**actions):
    """The bridge file; `actions` as in the file."""
    girder = {**SLENDER, "J": "1e-8 m4"}  # no torsion: the lever rule holds along the span too
    cross = {**SLENDER, "A": "0.01 m2", "Iy": "0.002 m4"}
    result = copy.deepcopy(
        girder_data(
            spans=(L,),
            number=2,
            spacing="4 m",
            type="steel",
            slab=None,
            sections={"g": girder, "d": cross},
            diaphragms={"section": "d", "spacing": "10 m"},
        )
    )
    line = {"kind": "line", "line_value": "20 kN/m", "y": "1 m", "label": "equipment"}
    top = {"kind": "line", "line_value": "12 kN/m", "y": "0 m", "action": "surfacing"}
    result["stage"] = [
        {"name": "steel", "carries": "steel", "loads": [{"kind": "self weight"}]},
        {"name": "equipment", "carries": "steel", "loads": [line]},
        {"name": "surfacing", "carries": "steel", "loads": [top]},
    ]
    result["arrangement"] = {"supports": {"S1": ["fixed", "free"], "S2": ["guided along", "free"]}}
    result["actions"] = {"friction": False, **actions}
    return result


def schedule(file, family="eurocode"):
    return schedule_of(prepare(Bridge.model_validate(file)), family)


def line(found, limit_state, place, effect, sense="max"):
    """The one governing line."""
    lines = [
        item
        for item in (*found.seat_lines, *found.support_lines)
        if (item.limit_state, item.place, item.effect, item.sense)
        == (limit_state, place, effect, sense)
    ]
    assert len(lines) == 1, [
        (i.limit_state, i.place, i.effect, i.sense)
        for i in (*found.seat_lines, *found.support_lines)
    ]
    return lines[0]


def part(governing, action):
    """Factor and contribution of one action."""
    (found,) = [item for item in governing.shares if item.action == action]
    return found


# ------------------------------------------------------------------ permanent
def test_permanent_reactions():
    """Lever rule: equipment at y = 1 m gives 1/4 to the right girder, 3/4 to the left."""
    found = schedule(data())
    right = OWN / 4 + LINES[0] / 8 + LINES[1] / 4
    left = OWN / 4 + 3 * LINES[0] / 8 + LINES[1] / 4
    for mark, by_hand in zip(MARKS, (right, left, right, left), strict=True):
        assert found.permanent_seats[mark][0] == pytest.approx(by_hand, rel=1e-9)
        governing = line(found, "permanent", mark, "N")
        assert governing.value == pytest.approx(by_hand, rel=1e-9)
        assert part(governing, "surfacing").value == pytest.approx(LINES[1] / 4, rel=1e-9)
    for mark in ("S1", "S2"):
        assert found.permanent_supports[mark][0] == pytest.approx(WEIGHT / 2, rel=1e-9)
    assert found.checks.weight_applied == pytest.approx(WEIGHT, rel=1e-9)
    assert found.checks.weight_found == pytest.approx(WEIGHT, rel=1e-9)


def test_ultimate_permanent_reactions_take_both_factors():
    """Shares: each permanent action with its adverse factor at the most, relieving at the least."""
    found = schedule(data(temperature=TEMPERATURE))  # without any other action there is no ULS
    most = line(found, "ULS persistent", "S1-2", "N", "max")
    least = line(found, "ULS persistent", "S1-2", "N", "min")
    permanent = OWN / 4 + 3 * LINES[0] / 8
    for governing, factor in ((most, 1.35), (least, 1.0)):  # EN 1990, A2.4(B), from memory
        own = part(governing, "permanent")
        assert (own.factor, own.value) == pytest.approx((factor, factor * permanent))
    assert most.value == pytest.approx(sum(share.value for share in most.shares))


def test_stages_before_setting_leave_forces_and_no_movement():
    """End slope w L^3 / 24 EI of what comes after the bearings are set, and all of the weight.

    The free end moves by the turn of both ends times the depth to the bearing (0.7 m below the
    axis: section 1.5 m deep, centroid 0.8 m below its top).
    """
    # left girder: w L^3 / 24 EI, and P a (L - a) / 2 EI of two cross members at a = 10 m
    cross = 0.01 * SPACING * STEEL / 2
    slopes = {
        "steel": 0.05 * STEEL * L**3 / (24 * E * I) + cross * 10 * (L - 10) / (2 * E * I),
        "equipment": 20e3 * 0.75 * L**3 / (24 * E * I),
        "surfacing": 6e3 * L**3 / (24 * E * I),
    }
    after = {"none": list(slopes), "steel": ["equipment", "surfacing"], "equipment": ["surfacing"],
             "surfacing": []}  # fmt: skip
    for set_at, stages in after.items():
        file = data()
        if set_at != "none":
            file["arrangement"]["set_at"] = set_at
        found = schedule(file)
        assert found.permanent_seats["S2-2"][0] == pytest.approx(
            OWN / 4 + 3 * LINES[0] / 8 + LINES[1] / 4
        )
        slope = sum(slopes[stage] for stage in stages)
        turned = found.permanent_seats["S2-2"][10]
        # the girders resist the twist of the deck a little by bending sideways
        assert -turned == pytest.approx(slope, rel=5e-3, abs=1e-12)
        assert found.permanent_seats["S1-2"][10] == pytest.approx(-turned, abs=1e-12)


def test_the_free_end_moves_by_the_turn_of_both_ends():
    file = data()
    file["arrangement"]["set_at"] = "equipment"
    found = schedule(file)
    slope = 6e3 * L**3 / (24 * E * I)
    moved = found.permanent_seats["S2-1"][6]
    assert moved == pytest.approx(2 * 0.7 * slope, rel=1e-6)


# ------------------------------------------------------------------ traffic
TRAFFIC = {"right": "-3 m", "left": "3 m", "models": ["LM1"]}


def lm1_support():
    """Two lanes of 3 m, 300 + 300 and 200 + 200 kN, 9 and 2.5 kN/m2 (EN 1991-2, 4.3.2)."""
    return 500e3 * (2 - 1.2 / L) + (9e3 + 2.5e3) * 3.0 * L / 2


def lm1_left_seat():
    """Lane 1 at y = 1.5 m, lane 2 at -1.5 m: 7/8 and 1/8 of their end reactions."""
    one = 300e3 * (2 - 1.2 / L) + 9e3 * 3.0 * L / 2
    two = 200e3 * (2 - 1.2 / L) + 2.5e3 * 3.0 * L / 2
    return (7 * one + two) / 8


def test_lm1_reactions():
    found = schedule(data(traffic=TRAFFIC))
    dead = OWN / 4 + 3 * LINES[0] / 8 + LINES[1] / 4
    seat = line(found, "SLS characteristic", "S1-2", "N")
    assert part(seat, "traffic:gr1a").value == pytest.approx(lm1_left_seat(), rel=1e-3)
    assert seat.value == pytest.approx(dead + lm1_left_seat(), rel=1e-3)
    support = line(found, "SLS characteristic", "S2", "V")
    assert support.value == pytest.approx(WEIGHT / 2 + lm1_support(), rel=1e-3)
    assert "first axle at" in part(support, "traffic:gr1a").where


def test_braking_at_the_fixed_line():
    """Q_lk = 360 + 2.7 L kN (EN 1991-2, 4.4.1), all of it at the fixed line; 1.35 at ULS."""
    found = schedule(data(traffic=TRAFFIC))
    braking = 360e3 + 2.7e3 * L
    for limit_state, factor in (("SLS characteristic", 1.0), ("ULS persistent", 1.35)):
        for sense, sign in (("max", 1.0), ("min", -1.0)):
            governing = line(found, limit_state, "S1", "Fx", sense)
            assert governing.value == pytest.approx(sign * factor * braking, rel=1e-6)
            assert [share.action for share in governing.shares] == ["traffic:gr2"]
            seat = line(found, limit_state, "S1-1", "Hx", sense)
            assert seat.value == pytest.approx(governing.value, rel=1e-6)
    for mark in ("S1-2", "S2-1", "S2-2"):
        assert not [i for i in found.seat_lines if i.place == mark and i.effect == "Hx"]


def test_braking_lifts_one_end_by_its_height():
    """Couple: force at the road surface, bearings 1.5 m below it: Q h / L at the supports.

    No slab and nothing above the girder: the surface is its top, contact at its underside.
    """
    found = schedule(data(traffic=TRAFFIC))
    governing = line(found, "SLS characteristic", "S1", "Fx", "max")
    braking = 360e3 + 2.7e3 * L
    # forward braking presses the far end down and relieves this one
    assert governing.acting[0] == pytest.approx(WEIGHT / 2 - braking * 1.5 / L, rel=1e-6)


def test_a_train_of_the_engineers_own_takes_the_factors_of_its_like():
    train = {
        "name": "crane 36", "axles": [{"load": "180 kN"}, {"load": "180 kN", "gap": "2 m"}],
        "width": "3 m", "like": "gr1a",
    }  # fmt: skip
    found = schedule(data(traffic={**TRAFFIC, "trains": [train]}))
    by_hand = 180e3 * (2 - 2 / L)
    lines = [
        item
        for item in found.support_lines
        if any(share.action == "traffic:crane 36" for share in item.shares)
    ]
    assert not lines  # LM1 is heavier everywhere
    heavy = {**train, "axles": [{"load": "1800 kN"}, {"load": "1800 kN", "gap": "2 m"}]}
    found = schedule(data(traffic={**TRAFFIC, "trains": [heavy]}))
    governing = line(found, "ULS persistent", "S1", "V")
    own = part(governing, "traffic:crane 36")
    assert own.factor == pytest.approx(1.35)
    assert own.value == pytest.approx(1.35 * 10 * by_hand, rel=1e-3)
    assert "crane 36" in governing.combination
    assert not any(share.action.startswith("traffic:gr") for share in governing.shares)


# ------------------------------------------------------------------ temperature and friction
TEMPERATURE = {"air_min": "-20 degC", "air_max": "38 degC", "setting": "10 degC"}


@pytest.mark.parametrize("family", ["aashto", "irc"])
def test_thermal_movement_of_the_free_end(family):
    """alpha L dT with the family's own range and alpha; no difference over the depth asked for."""
    file = data(temperature=TEMPERATURE)
    bridge = Bridge.model_validate(file)
    prepared = prepare(bridge)
    values = Values(family)
    facts = bridge_facts(bridge, prepared.structure, family)
    thermal = family_of(family).thermal(values, facts)
    assert (thermal.heat, thermal.cool) == (0.0, 0.0)
    found = schedule_of(prepared, family)
    for sense, change in (
        ("max", thermal.expansion_movement),
        ("min", -thermal.contraction_movement),
    ):
        governing = line(found, "SLS characteristic", "S2-2", "vx", sense)
        own = part(governing, "thermal")
        assert own.value == pytest.approx(own.factor * thermal.alpha_steel * L * change, rel=1e-9)
        assert own.factor == pytest.approx({"aashto": 1.2, "irc": 1.0}[family])
    # across: the guided side holds, the other girder moves by 4 m of steel
    across = part(line(found, "SLS characteristic", "S1-2", "vy", "max"), "thermal")
    assert across.value == pytest.approx(
        across.factor * thermal.alpha_steel * SPACING * thermal.expansion_movement, rel=1e-9
    )


def test_movements_take_the_larger_factor_of_tu_and_forces_the_smaller():
    """AASHTO LRFD, Table 3.4.1-1 (from memory): 0.50 for forces, 1.20 for deformations.

    Both ends held by springs k along: by hand H = k_1 k_2/(k_1 + k_2) alpha L dT.
    """
    file = data(temperature=TEMPERATURE)
    springs = {"kind": "springs", "springs": {"kx": "20 MN/m"}}
    for support in file["support"]:
        support["below"] = springs
    file["arrangement"]["supports"] = {
        "S1": ["fixed", "guided across"], "S2": ["fixed", "guided across"],
    }  # fmt: skip
    bridge = Bridge.model_validate(file)
    prepared = prepare(bridge)
    thermal = family_of("aashto").thermal(
        Values("aashto"), bridge_facts(bridge, prepared.structure, "aashto")
    )
    found = schedule_of(prepared, "aashto")
    force = part(line(found, "ULS persistent", "S2", "Fx", "max"), "thermal")
    assert force.factor == pytest.approx(0.5)
    stretch = thermal.alpha_steel * L * thermal.expansion
    axial = 2 * E * 0.05 / L  # both girders
    # the bearings stand 0.7 m below the axis: the girders also bend under H
    by_hand = stretch / (2 / 20e6 + 1 / axial + 0.7**2 * L / (E * 2 * I))
    assert force.value == pytest.approx(0.5 * by_hand, rel=1e-3)
    moving = schedule(data(temperature=TEMPERATURE), "aashto")
    move = part(line(moving, "ULS persistent", "S2-2", "vx", "max"), "thermal")
    assert move.factor == pytest.approx(1.2)


def test_friction_of_rollers_on_the_fixed_line():
    """mu times the permanent reaction of the moving line (all on one side of the fixed one)."""
    file = data()
    file["actions"] = {"friction": True, "temperature": TEMPERATURE}
    for mark in ("S2-1", "S2-2"):
        function = "guided along" if mark == "S2-1" else "free"
        file["arrangement"].setdefault("seats", {})[mark] = {
            "function": function, "kind": "single roller", "friction": 0.03,
        }  # fmt: skip
    # the free one beside the fixed one moves across alone: no friction there
    file["arrangement"]["seats"]["S1-2"] = {"function": "free", "friction": 0.0}
    found = schedule(file)
    for sense, sign in (("max", 1.0), ("min", -1.0)):
        governing = line(found, "SLS characteristic", "S1", "Fx", sense)
        own = part(governing, "friction")
        # the free seat also slides across, so its share along is a little smaller
        diagonal = np.cos(np.arctan2(SPACING, L))
        right = OWN / 4 + LINES[0] / 8 + LINES[1] / 4
        left = OWN / 4 + 3 * LINES[0] / 8 + LINES[1] / 4
        by_hand = 0.03 * (right + left * diagonal)
        assert own.value == pytest.approx(sign * own.factor * by_hand, rel=1e-6)
        far = line(found, "SLS characteristic", "S2", "Fx", sense)
        assert part(far, "friction").value == pytest.approx(sign * by_hand, rel=1e-6)


def test_friction_acts_against_itself_at_both_ends():
    """Statics: friction alone leaves no resultant; the fixed line takes what the rollers give."""
    file = data()
    file["actions"] = {"friction": True, "temperature": TEMPERATURE}
    file["arrangement"]["kinds"] = {"guided along": "pot on slide", "free": "pot on slide"}
    found = schedule(file)
    governing = line(found, "SLS characteristic", "S1", "Fx", "max")
    near = part(governing, "friction").value
    far = part(line(found, "SLS characteristic", "S2", "Fx", "min"), "friction").value
    assert near == pytest.approx(-far, rel=1e-9)


# ------------------------------------------------------------------ earthquake
def on_springs(**actions):
    """All four bearings elastic in plan: kx = 12 MN/m, ky = 8 MN/m each."""
    file = data(**actions)
    seat = {"function": "elastic", "stiffness": {"kx": "12 MN/m", "ky": "8 MN/m"}}
    file["arrangement"] = {"seats": dict.fromkeys(MARKS, seat)}
    return file


def stiffen(file):
    """Girders and cross members that neither bend sideways nor twist."""
    for section in file["superstructure"]["sections"].values():
        section.update({"Iz": "50 m4", "J": "50 m4"})


SEISMIC = {"irc": {"zone": 4.0, "soil": "medium"}}


def test_period_of_a_mass_on_springs():
    """T = 2 pi sqrt(m / k), the deck nearly rigid against 48 and 32 MN/m.

    Along as it is; across with girders that do not bend sideways or twist.
    """
    mass = WEIGHT / GRAVITY
    file = on_springs(seismic=SEISMIC)
    along, across = schedule(file, "irc").periods
    assert along == pytest.approx(2 * np.pi * np.sqrt(mass / 48e6), rel=0.02)
    assert along > 2 * np.pi * np.sqrt(mass / 48e6)  # what gives way lengthens it
    assert across > 1.2 * 2 * np.pi * np.sqrt(mass / 32e6)
    stiffen(file)
    assert schedule(file, "irc").periods[1] == pytest.approx(
        2 * np.pi * np.sqrt(mass / 32e6), rel=0.02
    )


def test_earthquake_force_is_coefficient_times_weight():
    """Equivalent static force c W along, half at each line of equal springs; main + 0.3 across."""
    file = on_springs(seismic=SEISMIC)
    stiffen(file)
    bridge = Bridge.model_validate(file)
    prepared = prepare(bridge)
    found = schedule_of(prepared, "irc")
    case = family_of("irc").seismic(
        Values("irc"), bridge_facts(bridge, prepared.structure, "irc"), *found.periods
    )
    main, other, _ = case.combination
    for effect, coefficient in (("Fx", case.coefficient_along), ("Fy", case.coefficient_across)):
        for mark in ("S1", "S2"):
            own = part(line(found, "ULS seismic", mark, effect), "seismic")
            by_hand = own.factor * main * coefficient * WEIGHT / 2
            # the vertical part turns the ends and so spreads the springs below them a little
            assert own.value == pytest.approx(by_hand, rel=0.04)
    assert (main, other) == (1.0, pytest.approx(0.3))


def test_no_entries_no_earthquake():
    found = schedule(on_springs(seismic=SEISMIC), "eurocode")
    assert found.periods is not None
    assert any("earthquake" in note for note in found.notes)
    assert not any(s.action == "seismic" for g in found.support_lines for s in g.shares)


# ------------------------------------------------------------------ settlement, stiffness below
STATE = "permanent"  # settlement and jacking stand in this limit state, characteristic


def two_spans(**actions):
    """One girder of two spans of 20 m; held against rolling over at each support."""
    result = copy.deepcopy(
        girder_data(
            spans=(20.0, 20.0), number=1, spacing=None, type="steel", slab=None, diaphragms=None,
            sections={"g": SLENDER},
        )
    )  # fmt: skip
    top = {"kind": "line", "line_value": "30 kN/m", "y": "0 m"}
    result["stage"] = [{"name": "all", "carries": "steel", "loads": [top]}]
    result["arrangement"] = {
        "seats": {
            f"S{k}-1": {
                "function": "fixed" if k == 1 else "guided along", "hold_rotation": ["x"],
            }
            for k in (1, 2, 3)
        }
    }  # fmt: skip
    result["actions"] = {"friction": False, **actions}
    return result


def test_settlement_of_the_middle_support():
    """Two equal spans: R = 6 E I d / L^3 from the middle to the ends (handbooks, from memory)."""
    found = schedule(two_spans(settlement=[{"support": "S2", "value": "15 mm"}]))
    middle = 6 * E * I * 0.015 / 20.0**3
    least = line(found, STATE, "S2-1", "N", "min")
    own = part(least, "settlement")
    assert own.value == pytest.approx(-own.factor * middle, rel=1e-6)
    assert own.where == "S2 settles"
    most = line(found, STATE, "S1-1", "N", "max")
    assert part(most, "settlement").value == pytest.approx(middle / 2, rel=1e-6)
    # where it relieves it is left out: 1.25 w L and 0.375 w L remain
    assert line(found, STATE, "S2-1", "N", "max").value == pytest.approx(
        1.25 * 30e3 * 20.0, rel=1e-6
    )
    assert line(found, STATE, "S1-1", "N", "min").value == pytest.approx(
        0.375 * 30e3 * 20.0, rel=1e-6
    )


def test_settlement_is_lasting():
    found = schedule(two_spans(settlement=[{"support": "S2", "value": "15 mm"}]))
    governing = line(found, STATE, "S2-1", "N", "min")
    assert governing.irreversible[0] == pytest.approx(governing.value)


def test_settlements_that_are_adverse_add_up():
    both = [{"support": "S1", "value": "10 mm"}, {"support": "S3", "value": "10 mm"}]
    found = schedule(two_spans(settlement=both))
    own = part(line(found, STATE, "S2-1", "N", "max"), "settlement")
    # ends down by 10 mm each are the middle up by 10 mm
    assert own.value == pytest.approx(own.factor * 6 * E * I * 0.010 / 20.0**3, rel=1e-6)
    assert own.where == "S1 settles, S3 settles"


def test_jacking_is_permanent():
    found = schedule(two_spans(jacking=[{"seat": "S2-1", "lift": "12 mm"}]))
    extra = 6 * E * I * 0.012 / 20.0**3
    assert found.permanent_seats["S2-1"][0] == pytest.approx(1.25 * 30e3 * 20 + extra, rel=1e-6)


def test_the_worse_bound_of_the_stiffness_below_governs():
    """Two fixed supports on springs: thermal force by the upper bound, springs in series."""
    file = two_spans(temperature=TEMPERATURE)
    springs = {"kind": "springs", "springs": {"kx": "15 MN/m"}}
    for support in (file["support"][0], file["support"][2]):
        support["below"] = springs
        support["bounds"] = {"lower": 0.5, "upper": 2.0}
    file["arrangement"]["seats"]["S3-1"]["function"] = "fixed"
    bridge = Bridge.model_validate(file)
    prepared = prepare(bridge)
    thermal = family_of("irc").thermal(
        Values("irc"), bridge_facts(bridge, prepared.structure, "irc")
    )
    found = schedule_of(prepared, "irc")
    governing = line(found, "SLS characteristic", "S3", "Fx", "max")
    assert governing.bound == "upper"
    own = part(governing, "thermal")
    stretch = thermal.alpha_steel * 40.0 * thermal.expansion
    by_hand = stretch / (2 / 30e6 + 40.0 / (E * 0.05))
    # the bearings stand below the axis, so the girder bends a little as well
    assert own.value == pytest.approx(own.factor * by_hand, rel=0.03)
    # the middle bearing, half way, moves the same with both
    moved = part(line(found, "SLS characteristic", "S2-1", "vx", "max"), "thermal")
    assert abs(moved.value) < 1.0


def test_locked_forces_are_told():
    """One girder fixed at both ends, rigid supports: per kelvin alpha E A / (1 + e^2 A / I).

    The bearings stand e = 0.7 m below the axis, so the girder also bends under H.
    """
    file = two_spans()
    file["support"] = [file["support"][0], {**file["support"][1], "chainage": "30 m"}]
    del file["arrangement"]["seats"]["S3-1"]
    file["materials"] = {"steel_alpha": "12e-6 1/K"}
    free = schedule(file)
    assert free.locked == ()
    file["arrangement"]["seats"]["S2-1"]["function"] = "fixed"
    found = schedule(file)
    assert found.redundancy == free.redundancy + 1
    by_hand = 12e-6 * E * 0.05 / (1 + 0.7**2 * 0.05 / I)
    per_kelvin = {item.place: item.per_kelvin for item in found.locked}
    assert per_kelvin == pytest.approx({"S1-1": -by_hand, "S2-1": by_hand}, rel=1e-6)


# ------------------------------------------------------------------ reversible and lasting parts
def test_lasting_part_excludes_traffic_and_temperature():
    file = data(traffic=TRAFFIC, temperature=TEMPERATURE)
    file["arrangement"]["set_at"] = "equipment"
    found = schedule(file)
    slope = 6e3 * L**3 / (24 * E * I)
    governing = line(found, "SLS characteristic", "S2-1", "vx", "max")
    assert governing.irreversible[6] == pytest.approx(2 * 0.7 * slope, rel=1e-6)
    assert governing.value > governing.irreversible[6] + 1e-3
    actions = {share.action for share in governing.shares}
    assert "thermal" in actions
    assert governing.value == pytest.approx(sum(share.value for share in governing.shares))


# ------------------------------------------------------------------ statics of whole lines
def test_governing_lines_are_in_equilibrium_with_their_load():
    """Sum over the supports of a line equals what acts: braking along, weight and traffic down.

    The acting effects of a support are its own only, so the other support's come from the extreme
    that is caused by the same cases: braking forward at S1 with all of it at the fixed line.
    """
    found = schedule(data(traffic=TRAFFIC))
    braking = 360e3 + 2.7e3 * L
    governing = line(found, "SLS characteristic", "S1", "Fx", "max")
    v, fx, fy, _, my, _ = governing.acting
    # the right lane brakes, its axis 1.5 m right of the middle; the fixed bearing stands 0.5 m
    # right of it: a couple across at both lines
    assert (fx, fy) == pytest.approx((braking, braking * 0.5 / L), abs=1.0)
    # moment about the bearing level at S1 comes from nothing but the seats' own forces: none along
    assert my == pytest.approx(0.0, abs=1e-3 * braking)
    other = WEIGHT / 2 + braking * 1.5 / L
    assert v + other == pytest.approx(WEIGHT)


def test_every_line_is_the_sum_of_its_shares():
    found = schedule(data(traffic=TRAFFIC, temperature=TEMPERATURE))
    count = 0
    for governing in (*found.seat_lines, *found.support_lines):
        if governing.contact:
            continue
        total = sum(share.value for share in governing.shares)
        assert governing.value == pytest.approx(total, rel=1e-9, abs=1e-9)
        count += 1
    assert count > 200


def test_seats_of_a_support_add_up_to_it():
    """In the acting effects of lines that come from one governing moment: V = sum of N."""
    found = schedule(data())
    for mark in ("S1", "S2"):
        seats = [found.permanent_seats[f"{mark}-{k}"] for k in (1, 2)]
        support = found.permanent_supports[mark]
        assert support[0] == pytest.approx(sum(seat[0] for seat in seats))
        assert support[3] == pytest.approx(
            sum(-y * seat[0] for y, seat in zip((-2.0, 2.0), seats, strict=True)), rel=1e-9
        )
