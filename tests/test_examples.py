"""The example bridges: each reads, is scheduled under each family, and agrees with hand estimates.

Sources of the expected values: geometry and weights by hand from the drawings the files describe;
statics of simple and continuous beams; figures of traffic and temperature from memory of the
standards named beside them.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from bedstone.actions.cases import horizontal_actions
from bedstone.actions.effects import SUPPORT_EFFECTS
from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Actions, Bridge, Confirmed
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.errors import InputError
from bedstone.schedule.analysis import ActionEffects, analyse
from bedstone.schedule.context import family_of
from bedstone.schedule.facts import bridge_facts
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Governing, Schedule
from bedstone.schedule.variable import WorstOf, case_effects
from bedstone.standards.values import Values

EXAMPLES = Path(__file__).parents[1] / "examples"
PAGE = Path(__file__).parents[1] / "docs" / "examples.md"
ROAD = ("truss", "girders", "curved")
FAMILIES = ("eurocode", "aashto", "irc")
RUNS = [*((name, family) for name in ROAD for family in FAMILIES), ("railway", "eurocode")]
#: These take more than a few seconds: many seats, a wide deck, many vehicles.
SLOW = {("girders", "eurocode"), ("girders", "irc")}
STEEL, CONCRETE = 77.0, 25.0  # kN/m3, the defaults of the file (common practice)


def run_params() -> list[object]:
    return [
        pytest.param(*run, marks=[pytest.mark.slow] if run in SLOW else [], id="-".join(run))
        for run in RUNS
    ]


@cache
def example(name: str) -> Bridge:
    return read_bridge(EXAMPLES / f"{name}.toml")


def line(schedule: Schedule, limit_state: str, place: str, effect: str, sense: str) -> Governing:
    return next(
        item
        for item in (*schedule.seat_lines, *schedule.support_lines)
        if (item.limit_state, item.place, item.effect, item.sense)
        == (limit_state, place, effect, sense)
    )


def share(item: Governing, action: str) -> float:
    """Contribution of the actions whose name begins so, without the factor of the combination."""
    return sum(s.value / s.factor for s in item.shares if s.action.startswith(action))


# ------------------------------------------------------------------ weights by hand
def plate_girder(top: tuple[int, int], web: tuple[int, int], bottom: tuple[int, int]) -> float:
    """Area in m2 from the three plates in mm."""
    return (top[0] * top[1] + web[0] * web[1] + bottom[0] * bottom[1]) / 1e6


def truss_weight() -> float:
    chord = (2 * 450 * 16 + 2 * 400 * 14) / 1e6
    diagonal = plate_girder((340, 18), (364, 12), (340, 18))
    post = plate_girder((260, 14), (372, 10), (260, 14))
    cross = plate_girder((360, 30), (1100, 14), (360, 30))
    stringer = plate_girder((230, 18), (560, 12), (230, 18))
    top = 2 * sum(math.hypot(8.0, rise) for rise in (1.4, 0.8, 0.2))
    web = 2 * (math.hypot(8.0, 7.6) + 2 * math.hypot(8.0, 9.8))
    length = {
        chord: 2 * (64.0 + top + 2 * math.hypot(8.0, 7.6)),
        diagonal: 2 * web,
        post: 2 * (2 * (7.6 + 9.0 + 9.8) + 10.0) + 5 * 9.6,  # with the struts between the tops
        cross: 9 * 9.6 + 2 * 9.6,  # with the portals
        stringer: 6 * 64.0,
        4600 / 1e6: 16 * math.hypot(8.0, 9.6) + 12 * math.hypot(8.05, 9.6),
    }
    steel = 1.16 * STEEL * sum(area * run for area, run in length.items())
    assert 280 < steel / (64.0 * 8.5) * 1000 / 9.81 < 450  # kg/m2 of such trusses: common practice
    return steel + 64.0 * (0.20 * 8.5 * CONCRETE + 1.9 * 7.3 + 2 * 4.2)


def girders_weight() -> float:
    span = plate_girder((400, 25), (1550, 13), (550, 35))
    pier = plate_girder((500, 40), (1550, 17), (650, 50))
    long, heavy = 110.0 + 2 * 0.6, 2 * 16.0
    frames = 5700 / 1e6 * 4 * 2.6 * (13 + 4 / math.cos(math.radians(24.0)))
    steel = STEEL * (5 * (heavy * pier + (long - heavy) * span) + frames)
    assert 120 < steel / (long * 12.6) * 1000 / 9.81 < 230  # kg/m2: common practice
    haunch = 0.05 * 5 * (heavy * 0.5 + (long - heavy) * 0.4)
    return steel + CONCRETE * (0.25 * 12.6 * long + haunch) + long * (2.6 * 9.5 + 2 * 13.0)


def curved_weight() -> float:
    # lines and loads lie evenly about the reference line: its own length counts
    span = plate_girder((420, 25), (1590, 13), (560, 35))
    pier = plate_girder((500, 40), (1590, 17), (620, 50))
    long, heavy = 77.0, 16.0
    steel = STEEL * (4 * (heavy * pier + (long - heavy) * span) + 7600 / 1e6 * 17 * 3 * 2.7)
    assert 120 < steel / (long * 10.2) * 1000 / 9.81 < 260  # kg/m2: common practice
    haunch = 0.05 * 4 * (heavy * 0.5 + (long - heavy) * 0.42)
    return steel + CONCRETE * (0.24 * 10.2 * long + haunch) + long * (2.4 * 8.0 + 2 * 8.5)


def railway_weight() -> float:
    girder = plate_girder((500, 35), (2105, 18), (650, 50))
    brace = plate_girder((250, 18), (1300, 12), (250, 18))
    steel = STEEL * (2 * 60.0 * girder + 2 * 7 * 2.8 * brace)
    concrete = CONCRETE * 60.0 * (0.32 * 5.1 + 2 * 0.05 * 0.5)
    return steel + concrete + 60.0 * (12.0 * 4.2 + 2 * 6.0)


WEIGHT = {
    "truss": truss_weight,
    "girders": girders_weight,
    "curved": curved_weight,
    "railway": railway_weight,
}


# ------------------------------------------------------------------ the whole schedule
# Support that holds each bridge along; braking or traction in kN by hand, figures from memory.
# EN 1991-2 4.4.1: 0.6 * 2 * 300 + 0.1 * 9 * 3 * L, at most 900; 6.5.3: traction 33 kN/m on 30 m.
# AASHTO LRFD 3.6.4: 25 % of a truck of 325 kN in each of n lanes, multiple presence 1 for two lanes
# (3.6 m each). IRC:6 211.2: 20 % of the first train and 10 % of those behind it; Class 70R trains
# of 1000 kN, 13.4 m long, 30 m apart: two of them on 64 and 77 m, three on 111.2 m.
BRAKING = {
    ("truss", "eurocode"): ("A1", 360.0 + 2.7 * 64.0),
    ("girders", "eurocode"): ("P1", 360.0 + 2.7 * 111.2),
    ("curved", "eurocode"): ("P1", 360.0 + 2.7 * 77.0),
    ("railway", "eurocode"): ("A1", 33.0 * 30.0),
    ("truss", "aashto"): ("A1", 0.25 * 325.0 * 2),
    ("girders", "aashto"): ("P1", 0.25 * 325.0 * 2),
    ("curved", "aashto"): ("P1", 0.25 * 325.0 * 2),
    ("truss", "irc"): ("A1", 0.20 * 1000.0 + 0.10 * 1000.0),
    ("girders", "irc"): ("P1", 0.20 * 1000.0 + 0.10 * 2 * 1000.0),
    ("curved", "irc"): ("P1", 0.20 * 1000.0 + 0.10 * 1000.0),
}


@pytest.mark.parametrize(("name", "family"), run_params())
def test_schedule(name: str, family: str) -> None:
    schedule = make_schedule(example(name), EXAMPLES, family)
    weight = WEIGHT[name]()

    # the bearings carry the weight of the drawings: cross frames near skewed ends are the doubt
    found = sum(effects[0] for effects in schedule.permanent_seats.values()) / 1e3
    assert found == pytest.approx(weight, rel=0.004)

    checks = schedule.checks
    assert checks.weight_found == pytest.approx(checks.weight_applied, rel=1e-9)
    residuals = (checks.equilibrium, checks.compatibility, checks.symmetry, checks.rigid_body)
    assert max(residuals) < 1e-9
    assert checks.influence_error < 2e-3

    # no bearing of an example lifts, and temperature locks in next to nothing
    assert not schedule.uplift
    assert max((item.force for item in schedule.locked), default=0.0) / 1e3 < 0.001 * weight
    # nothing to tell but that bearings are held beyond what statics needs, where they are
    told = [note for note in schedule.notes if "without clearance" not in note]
    assert not told
    assert (len(schedule.notes) == 1) is (schedule.redundancy > 0)

    # braking goes to the support that holds the bridge along; a curve has its test below
    place, expected = BRAKING[name, family]
    if name != "curved":
        braking = share(line(schedule, "SLS characteristic", place, "Fx", "max"), "traffic:")
        assert braking / 1e3 == pytest.approx(expected, rel=1e-3)

    # rotations of bearings in service are some milliradians: common practice
    turns = [
        abs(item.value)
        for item in schedule.seat_lines
        if item.limit_state == "SLS characteristic" and item.effect in ("rx", "ry")
    ]
    assert 1e-3 < max(turns) < 10e-3

    if family == "eurocode":
        told = printed(f"| `{name}.toml` |", 10)
        assert told == pytest.approx(
            [weight_of(schedule), *in_service(schedule)], rel=5e-3, abs=0.05
        )


def weight_of(schedule: Schedule) -> float:
    return schedule.checks.weight_applied / 1e3


def in_service(schedule: Schedule) -> list[float]:
    """N, Fx, vx, ry and periods in the columns of the page on the examples."""

    def values(effect: str) -> list[float]:
        return [
            item.value
            for item in (*schedule.seat_lines, *schedule.support_lines)
            if item.limit_state == "SLS characteristic" and item.effect == effect
        ]

    assert schedule.periods is not None
    return [
        max(values("N")) / 1e3,
        min(values("N")) / 1e3,
        max(map(abs, values("Fx"))) / 1e3,
        max(values("vx")) * 1e3,
        min(values("vx")) * 1e3,
        max(map(abs, values("ry"))) * 1e3,
        *schedule.periods,
    ]


def printed(start: str, count: int) -> list[float]:
    """The numbers of the row of a table of the page that begins so and has so many cells."""
    for text in PAGE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in text.strip().strip("|").split("|")]
        if text.startswith(start) and len(cells) == count:
            return [float(cell) for cell in cells[1:]]
    raise AssertionError(f"no row {start} in {PAGE.name}")


@pytest.mark.parametrize(
    ("family", "title"), [("eurocode", "Eurocodes"), ("aashto", "AASHTO LRFD"), ("irc", "IRC")]
)
def test_page_tells_what_the_families_give(family: str, title: str) -> None:
    schedule = make_schedule(example("truss"), EXAMPLES, family)
    assert printed(f"| {title} |", 6) == pytest.approx(in_service(schedule)[:5], rel=2e-3, abs=0.05)


@pytest.mark.parametrize("family", ["aashto"])
def test_railway_is_refused_in_one_error(family: str) -> None:
    with pytest.raises(InputError) as caught:
        make_schedule(example("railway"), EXAMPLES, family)
    (fault,) = caught.value.faults
    assert "rail" in str(fault)
    assert "road" in str(fault)


# ------------------------------------------------------------------ traffic against beam statics
def test_truss_traffic_reaction_eurocode() -> None:
    """EN 1991-2 load model 1 on a simple beam of 64 m (figures from memory)."""
    schedule = make_schedule(example("truss"), EXAMPLES, "eurocode")
    uniform = (9.0 * 3.0 + 2.5 * 3.0 + 2.5 * 1.3) * 64.0 / 2.0
    tandems = (300.0 + 200.0) * (1.0 + (64.0 - 1.2) / 64.0)
    found = share(line(schedule, "SLS characteristic", "A1", "V", "max"), "traffic:gr1a") / 1e3
    assert found == pytest.approx(uniform + tandems, rel=0.005)


def test_truss_traffic_reaction_aashto() -> None:
    """AASHTO LRFD 3.6.1 truck with 33 % and lane load, two lanes (figures from memory)."""
    schedule = make_schedule(example("truss"), EXAMPLES, "aashto")
    truck = 145.0 * (1.0 + (64.0 - 4.3) / 64.0) + 35.0 * (64.0 - 8.6) / 64.0
    lane = 9.3 * 64.0 / 2.0
    found = share(line(schedule, "SLS characteristic", "A1", "V", "max"), "traffic:HL-93") / 1e3
    # braking of both lanes at 1.8 m over the road, 3.4 m over the bearings, lifts one end
    couple = 0.25 * 325.0 * 2 * (1.8 + 1.0 + 0.6) / 64.0
    assert found == pytest.approx(2 * (1.33 * truck + lane) + couple, rel=0.001)


def test_railway_traffic_reaction() -> None:
    """EN 1991-2 load model 71 with Phi3 on a simple beam of 30 m (figures from memory)."""
    schedule = make_schedule(example("railway"), EXAMPLES, "eurocode")
    axles = 250.0 * sum(30.0 - x for x in (0.0, 1.6, 3.2, 4.8)) / 30.0
    uniform = 80.0 * (30.0 - 5.6) ** 2 / 2.0 / 30.0
    factor = 2.16 / (math.sqrt(30.0) - 0.2) + 0.73
    found = share(line(schedule, "SLS characteristic", "A1", "V", "max"), "traffic:gr11") / 1e3
    # traction at the top of rail lifts one end of the span: 990 kN about 3.2 m above the bearings
    arm = 0.75 + 0.32 + 0.05 + (35 + 2105 + 50) / 1000 + 0.20
    assert found == pytest.approx(factor * (axles + uniform) + 990.0 * arm / 30.0, rel=0.005)


def test_railway_traffic_reaction_of_the_indian_loading() -> None:
    """Bridge Rules: half of the equivalent load given in the example, times 1 + CDA."""
    schedule = make_schedule(example("railway"), EXAMPLES, "irc")
    found = share(line(schedule, "SLS characteristic", "A1", "V", "max"), "traffic:live") / 1e3
    arm = 0.75 + 0.32 + 0.05 + (35 + 2105 + 50) / 1000 + 0.20
    augment = 0.15 + 8.0 / (6.0 + 30.0)
    assert found == pytest.approx(1500.0 * (1.0 + augment) + 600.0 * arm / 30.0, rel=0.005)


# ------------------------------------------------------------------ temperature
NO_GRADIENT = {
    f"eurocode.thermal.difference.{deck}": Confirmed(
        value=[0.0, 0.0], unit="K", source="a test: uniform temperature alone"
    )
    for deck in ("steel", "composite")
}
# K from the setting temperature to the ends of the range, with allowances for movements; from
# memory: EN 1991-1-5 6.1.3 (steel +16/-3, composite +4/+4, and 10 K); AASHTO LRFD Table 3.12.2.1-1
# (moderate, steel: -18 to 50 degC); IRC:6 215.2 (metal: +15/-10).
RANGE = {
    ("truss", "eurocode"): (37 + 16 - 12 + 10, 12 - (-21 - 3) + 10),
    ("truss", "aashto"): (50 - 12, 12 + 18),
    ("truss", "irc"): (37 + 15 - 12, 12 - (-21 - 10)),
    ("girders", "eurocode"): (38 + 4 - 12 + 10, 12 - (-19 + 4) + 10),
    ("girders", "aashto"): (50 - 12, 12 + 18),
    ("girders", "irc"): (38 - 12, 12 + 19),
    ("curved", "eurocode"): (37 + 4 - 12 + 10, 12 - (-17 + 4) + 10),
    ("curved", "aashto"): (50 - 12, 12 + 18),
    ("curved", "irc"): (37 - 12, 12 + 17),
    ("railway", "eurocode"): (36 + 4 - 10 + 10, 10 - (-20 + 4) + 10),
}
# 1/K of steel and of concrete: EN 1991-1-5 annex C, AASHTO LRFD 6.4.1 and 5.4.2.2, IRC:6 215.4
ALPHA = {"eurocode": (12e-6, 10e-6), "aashto": (11.7e-6, 10.8e-6), "irc": (12e-6, 12e-6)}
# free seat, its way from the point that does not move (m), and whether that is along its x'
FREE = {
    "truss": ("A2-1", 64.0),
    "girders": ("A2-3", 110.0 - 34.0),
    # the chord between two points 38 m apart along the arc of the girder at y = -1.35 m
    "curved": ("A2-2", 2 * (180.0 + 1.35) * math.sin(38.0 / 180.0 / 2.0)),
    "railway": ("A2-1", 30.0),
}


@pytest.mark.parametrize(("name", "family"), RUNS)
def test_thermal_movement(name: str, family: str) -> None:
    """alpha times temperature times length; a composite deck lies between steel and concrete."""
    bridge = example(name)
    choices = {
        owner: {key: v for key, v in chosen.items() if key not in ("thermal.heat", "thermal.cool")}
        for owner, chosen in bridge.choices.items()
    }
    alone = bridge.model_copy(
        update={
            "actions": Actions(temperature=bridge.actions.temperature, friction=False),
            "choices": choices,
            "values": NO_GRADIENT,
        }
    )
    schedule = make_schedule(alone, EXAMPLES, family)
    seat, way = FREE[name]
    steel, concrete = ALPHA[family]
    for sense, change in zip((1.0, -1.0), RANGE[name, family], strict=True):
        item = line(schedule, "SLS characteristic", seat, "vx", "max" if sense > 0 else "min")
        movement = sense * share(item, "thermal")
        assert movement <= steel * change * way * 1.002
        low = steel if name == "truss" else concrete
        assert movement >= low * change * way * 0.998


# ------------------------------------------------------------------ equilibrium of each action
def analysed(name: str, family_name: str) -> tuple[ActionEffects, list[tuple[str, np.ndarray]]]:
    """Effects of all actions but traffic, and (words, vector) of traffic's horizontal forces."""
    bridge = example(name)
    tables = read_tables(bridge, EXAMPLES)
    prepared = prepare(bridge, tables)
    structure, supports = prepared.structure, list(bridge.support)
    facts = bridge_facts(bridge, structure, family_name)
    family = family_of(family_name).with_choices(facts.choices)
    values = Values(family_name, {})
    functions = arrangement_functions(bridge, tables)
    arranged = arrange(structure, supports, functions, bridge.arrangement.fixed_point)
    effects = analyse(prepared, arranged, family, values, facts, ())
    state, condensed = structure.states[prepared.final], prepared.condensed[prepared.final]
    standing = stand(structure, supports, condensed, arranged)
    forces = [
        (case.name, case_effects(standing, case))
        for group in family.traffic(values, facts)
        for action in horizontal_actions(structure, state, condensed, group)
        for case in action.cases
    ]
    return effects, forces


def in_plan(effects: ActionEffects, bridge: Bridge, vector: np.ndarray) -> np.ndarray:
    """Sums of V, Fx, Fy over all supports in global axes (N); supports of a curve are turned."""
    count = len(effects.layout.supports)
    blocks = np.array([vector[effects.layout.support_block(i)] for i in range(count)])
    radius = bridge.alignment.radius
    turn = np.array([s.chainage for s in bridge.support]) / radius if radius else np.zeros(count)
    V, Fx, Fy = (blocks[:, SUPPORT_EFFECTS.index(effect)] for effect in ("V", "Fx", "Fy"))
    return np.array(
        [
            V.sum(),
            (Fx * np.cos(turn) - Fy * np.sin(turn)).sum(),
            (Fx * np.sin(turn) + Fy * np.cos(turn)).sum(),
        ]
    )


@pytest.mark.parametrize(("name", "family"), RUNS)
def test_each_action_is_in_equilibrium(name: str, family: str) -> None:
    """Restraint moves force about but makes none; what acts from outside comes down in full."""
    bridge = example(name)
    effects, forces = analysed(name, family)
    weight = WEIGHT[name]() * 1e3
    small = 1e-9 * weight

    loads = effects.fixed["permanent"] + effects.fixed.get("surfacing", 0.0)
    sums = in_plan(effects, bridge, loads)
    assert sums[0] == pytest.approx(weight, rel=0.004)
    assert np.abs(sums[1:]).max() < small

    within = [effects.fixed["shrinkage"]] if "shrinkage" in effects.fixed else []
    for action in ("thermal", "settlement", "friction"):
        variable = effects.variable[action]
        assert isinstance(variable, WorstOf)
        within += list(variable.table)
    for vector in within:
        assert np.abs(in_plan(effects, bridge, vector)).max() < small

    # braking and traction come down along the bridge, none of them upright; on an arc forces spread
    # along the tangents add up to sin(a)/a of themselves, a half the angle; IRC's act at one place
    radius = bridge.alignment.radius
    half = 77.0 / 2.0 / radius if radius else 0.0
    most = 0.0
    for words, vector in forces:
        upright, *plan = in_plan(effects, bridge, vector)
        assert abs(upright) < small
        if ("raking" in words or "raction" in words) and "kew" not in words:
            most = max(most, math.hypot(*plan))
    expected = BRAKING[name, family][1] * (
        math.sin(half) / half if radius and family != "irc" else 1.0
    )
    assert most / 1e3 == pytest.approx(expected, rel=1e-4)
