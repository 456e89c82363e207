"""Longitudinal forces shared among supports by the engine.

Sources:

- "Braking Force Calculation (AASHTO LRFD 2012, 3.6.4)", published calculation sheet: 45.90 kip on
  12 bearings of the fixed line, 3.825 kip each, vertical couple 0.39 kip each;
- the method of stiffnesses on a rigid deck, worked by hand with four springs (elementary
  mechanics; the arithmetic stands in the test, no published figure);
- the same with sliding bearings at the ends, whose friction acts against the movement (worked by
  hand in the test);
- friction of sliding bearings on both sides of a fixed one (the rule of IRC:6, clause 211.5, as
  the high coefficient on one side and the low one on the other), with the reactions of four equal
  spans from the usual handbooks, from memory.
"""

from dataclasses import replace

import numpy as np
import pytest

from bedstone.actions.cases import horizontal_cases
from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.fixed_point import still_points
from bedstone.comparison.sharing import Timeline, share
from bedstone.schedule.make import schedule_of
from bedstone.standards.aashto import traffic as aashto_traffic
from bedstone.standards.site import BridgeFacts
from bedstone.standards.traffic import HorizontalForce
from bedstone.standards.values import Values

SHEET = "Braking Force Calculation (AASHTO LRFD 2012, 3.6.4), calculation sheet"
STIFFNESSES = "Sharing by stiffness on a rigid deck, elementary mechanics"
FRICTION = "Friction on both sides of a fixed bearing, rule of IRC:6, 211.5, and handbooks of beams"
KIP, FEET = 4448.2216152605, 0.3048
#: Axis of the girder at the level of the bearings: forces along bend nothing.
STIFF = {
    "kind": "given", "A": "50 m2", "Iy": "1 m4", "Iz": "1 m4", "J": "0.01 m4", "depth": "1.5 m",
    "centroid": "1.5 m",
}  # fmt: skip


def bridge(chainages, number=1, **rest):
    """Girders of `STIFF` on supports at chainages (m)."""
    data = {
        "bridge": {"name": "case"},
        "support": [
            {"mark": f"S{k + 1}", "chainage": f"{c} m"} for k, c in enumerate(chainages)
        ],
        "superstructure": {
            "kind": "girders", "type": "steel", "number": number,
            "sections": {"g": STIFF},
            "segments": [
                {"start": f"{chainages[0]} m", "end": f"{chainages[-1]} m", "section": "g"}
            ],
        },
        "arrangement": {
            "seats": {
                f"S{k + 1}-1": {"function": "fixed", "hold_rotation": ["x"]}
                for k in range(len(chainages))
            }
        },
    }  # fmt: skip
    return {**data, **rest}


def asked(question, data, family, **how):
    """`share` or `still_points` of the arrangement of a bridge file."""
    file = Bridge.model_validate(data)
    found = prepare(file)
    arranged = arrange(found.structure, list(file.support), arrangement_functions(file, None))
    return question(found, family, arranged, **how)


class Stood:
    """The bridge on its bearings and effects of single load vectors."""

    def __init__(self, data):
        file = Bridge.model_validate(data)
        self.prepared = prepare(file)
        self.structure = self.prepared.structure
        self.state = self.structure.states[self.prepared.final]
        self.condensed = self.prepared.condensed[self.prepared.final]
        supports = list(file.support)
        arranged = arrange(self.structure, supports, arrangement_functions(file, None))
        self.map = stand(self.structure, supports, self.condensed, arranged).effects

    def effects(self, load, places, effect):
        vector = self.map.effects(load.g, load.r)[:, 0]
        return np.array([vector[self.map.layout.index(place, effect)] for place in places])


# ------------------------------------------------------------------ stiffnesses in plan
K = np.array([4.0, 12.0, 9.0, 4.0]) * 1e6  # N/m
X = np.array([0.0, 30.0, 60.0, 90.0])


def on_springs():
    return Stood(springs_data())


def springs_data(**rest):
    data = bridge(X, **rest)
    for support, k in zip(data["support"], K, strict=True):
        support["below"] = {"kind": "springs", "springs": {"kx": f"{k / 1e6} MN/m"}}
    return data


def warmed(family="irc"):
    """The four springs, 35 K above and below the setting; traffic that brakes."""
    return springs_data(
        actions={
            "traffic": {"right": "-4 m", "left": "4 m"},
            "temperature": {"air_min": "0 degC", "air_max": "40 degC", "setting": "25 degC"},
        },
        choices={family: {"thermal.effective_min": -10.0, "thermal.effective_max": 60.0}},
        materials={"steel_alpha": "12e-6 1/K"},
    )


def test_braking_by_stiffness(published):
    """500 kN: 68.97, 206.90, 155.17 and 68.97 kN, F_i = F K_i / sum K."""
    one = on_springs()
    force = HorizontalForce("braking", "b", "", 500e3, 0.0, -1.5, 90.0)
    forward = horizontal_cases(one.structure, one.state, one.condensed, force)[0].load
    found = one.effects(forward, ("S1", "S2", "S3", "S4"), "Fx")
    by_hand = [68.97, 206.90, 155.17, 68.97]
    what = "braking of 500 kN on four springs, bridge file"
    published(what, by_hand, found / 1e3, "kN", source=STIFFNESSES, known="derived", abs=0.03)


def test_temperature_by_stiffness(published):
    """+35 K, 12e-6: fixed point x_0 = 43.448 m; -72.99, -67.78, +62.57 and +78.21 kN."""
    one = on_springs()
    heat = one.condensed.load(35.0 * one.state.uniform_temperature(12e-6, 12e-6))
    found = one.effects(heat, ("S1", "S2", "S3", "S4"), "Fx")
    by_hand = [-72.99, -67.78, 62.57, 78.21]
    what = "warming by 35 K on four springs, bridge file"
    published(what, by_hand, found / 1e3, "kN", source=STIFFNESSES, known="derived", abs=0.05)
    still = (K * X).sum() / K.sum()
    assert still == pytest.approx(43.448, abs=1e-3)
    assert found == pytest.approx(K * 12e-6 * 35.0 * (X - still), rel=1e-3)


SUPPORTS = ("S1", "S2", "S3", "S4")


@pytest.mark.parametrize("way", ["fixed line", "stiffness"])
def test_sharing_of_braking_by_stiffness_and_by_rule(published, way):
    """The rule for flexible supports (IRC:6, 211.6) and the engine give the same four shares."""
    found = asked(share, warmed(), "irc", way=way, timeline=None)
    rows = [found.row(mark) for mark in SUPPORTS]
    by_hand = [68.97, 206.90, 155.17, 68.97]
    how = {"source": STIFFNESSES, "known": "derived", "abs": 0.03}
    for row, expected in zip(rows, by_hand, strict=True):
        elastic = row.elastic.high / found.force * 500.0
        published(f"{row.place} of four springs, elastic, of 500 kN ({way})", expected, elastic,
                  "kN", **how)  # fmt: skip
        published(f"{row.place} of four springs, rule, of 500 kN ({way})", expected,
                  row.rule / found.force * 500.0, "kN", **how)  # fmt: skip
    assert {item.line.clause for item in found.ruled} == {"211.6"}
    assert rows[1].locked.high / 1e3 == pytest.approx(67.78, abs=0.05)


def test_sharing_by_stiffness_of_another_family(published):
    """Sharing by stiffness where the fixed line is the other way in use: the same shares."""
    data = warmed("aashto")
    found = asked(share, data, "aashto", way="stiffness", timeline=None)
    for mark, expected in zip(SUPPORTS, [68.97, 206.90, 155.17, 68.97], strict=True):
        part = found.row(mark).rule / found.force * 500.0
        how = {"source": STIFFNESSES, "known": "derived", "abs": 0.01}
        published(f"{mark} of four springs, chosen by stiffness, of 500 kN", expected, part, "kN",
                  **how)  # fmt: skip
    # on the fixed line there is no rule for four of them, and that is said
    other = asked(share, data, "aashto", timeline=None)
    assert all(other.row(mark).rule is None for mark in SUPPORTS)
    assert "4 fixed lines" in other.row("S1").reason


def test_fixed_point_by_stiffness(published):
    """x_0 = 43.448 m; +35 K moves the deck by -18.25, -5.65, +6.95 and +19.55 mm."""
    found = asked(still_points, warmed(), "irc")
    assert (found.warm, found.cold) == (35.0, 35.0)
    (piece,) = found.pieces
    assert piece.rubbing == ()
    one = piece.elastic[0]
    how = {"source": STIFFNESSES, "known": "derived"}
    published("point without movement on four springs", 43.448, one.along.at, "m", **how, abs=0.005)
    moved = [value * 1e3 for value in one.movement]
    by_hand = [-18.25, -5.65, 6.95, 19.55]
    published("movement of the deck on four springs", by_hand, moved, "mm", **how, abs=0.01)
    assert piece.joints[0].length.high == pytest.approx(43.448, abs=0.005)
    assert piece.joints[1].length.low == pytest.approx(90.0 - 43.448, abs=0.005)


def test_fixed_point_with_friction(published):
    """Springs at S2, S3, slides on rigid S1, S4: sum K (u_0 + eps x) + sum s mu N = 0 for u_0.

    Warm, S1 slides back (s = -1) and S4 ahead (s = +1). Stages of three spans of 30 m under
    40 kN/m: R = 0.4, 1.1, 1.1, 0.4 of w L (handbooks, from memory), so N = 480 kN at the ends. With
    mu = 0.1 at S1 and 0.3 at S4:
    u_0 = -(eps (12 x 30 + 9 x 60) 1e6 - 0.1 x 480e3 + 0.3 x 480e3) / 21e6, x_0 = -u_0 / eps.
    """
    data = warmed("irc")
    for support in (data["support"][0], data["support"][3]):
        support["below"] = {"kind": "rigid"}
    data["stage"] = [
        {"name": "all", "carries": "steel",
         "loads": [{"kind": "line", "line_value": "40 kN/m", "y": "0 m"}]}
    ]  # fmt: skip
    data["arrangement"]["set_at"] = "all"
    for mark, mu in (("S1-1", 0.1), ("S4-1", 0.3)):
        data["arrangement"]["seats"][mark] = {
            "function": "guided along", "hold_rotation": ["x"], "kind": "plane sliding",
            "friction": mu,
        }  # fmt: skip
    (piece,) = asked(still_points, data, "irc").pieces
    strain, normal, slopes = 12e-6 * 35.0, 480e3, 12e6 * 30.0 + 9e6 * 60.0
    shift = -(strain * slopes - 0.1 * normal + 0.3 * normal) / 21e6
    one = next(
        found
        for found in piece.rubbing
        if found.friction == "high" and found.stiffness == "given" and found.growing
    )
    how = {"source": STIFFNESSES, "known": "derived"}
    what = "point without movement with slides of 0.1 and 0.3 at the ends"
    published(what, -shift / strain, one.along.at, "m", **how, rel=1e-3)
    by_hand = [1e3 * (shift + strain * x) for x in X]
    moved = [value * 1e3 for value in one.movement]
    published("movement with slides at the ends", by_hand, moved, "mm", **how, abs=0.01)
    # the bounds: low friction lies between none and high; the range holds all of them
    still = slopes / 21e6
    assert piece.elastic[0].along.at == pytest.approx(still, abs=0.005)
    assert piece.along.low <= still < one.along.at <= piece.along.high


def test_path_of_a_fixed_and_a_sliding_bearing(published):
    """Span of 30 m under 40 kN/m, fixed and sliding: temperature takes the fixed one to mu N.

    Elementary Coulomb friction: N = 600 kN at each end, PTFE at 0.05 and 0.03, so the force on
    the fixed bearing runs between -mu N and +mu N, 30 or 18 kN, whatever the years before.
    """
    data = bridge(np.array([0.0, 30.0]))
    data["stage"] = [
        {"name": "all", "carries": "steel",
         "loads": [{"kind": "line", "line_value": "40 kN/m", "y": "0 m"}]}
    ]  # fmt: skip
    data["actions"] = warmed()["actions"]
    data["arrangement"]["seats"]["S2-1"] = {
        "function": "guided along", "hold_rotation": ["x"], "kind": "plane sliding",
    }  # fmt: skip
    found = asked(share, data, "irc", timeline=Timeline(years=1, days=60, passages=0))
    how = {"source": "Coulomb friction of one sliding bearing", "known": "derived"}
    for mark in ("S1", "S2"):
        heat = found.row(mark).phases[0]
        published(f"{mark}: friction left by temperature", [18.0, 30.0],
                  [heat.low / 1e3, heat.high / 1e3], "kN", **how, rel=2e-3)  # fmt: skip
    # braking: all of it on the fixed bearing, less or more what friction has locked in
    braked = found.row("S1").path
    assert braked.high <= found.force + 30.1e3
    assert braked.low >= found.force - 30.1e3
    assert found.row("S1").elastic.high == pytest.approx(found.force, rel=1e-6)


def test_pier_and_pads_in_series(published):
    """Round pier 1.5 m, 8 m high, E 31 GPa under pads of 7200 kN/m: together 6209.5 kN/m."""
    data = bridge(np.array([0.0, 30.0]))
    pier = {"kind": "column", "height": "8 m", "diameter": "1.5 m", "E": "31 GPa"}
    data["support"][1]["below"] = pier
    seats = data["arrangement"]["seats"]
    seats["S1-1"] = {"function": "guided along", "hold_rotation": ["x"]}
    seats["S2-1"] = {
        "function": "guided along", "hold_rotation": ["x"], "stiffness": {"kx": "7.2 MN/m"},
    }  # fmt: skip
    one = Stood(data)
    force = HorizontalForce("braking", "b", "", 62.095e3, 0.0, -1.5, 30.0)
    forward = horizontal_cases(one.structure, one.state, one.condensed, force)[0].load
    # the deck moves 10 mm, of which the pads take 62.095 / 7200; the other bearing sees it all
    how = {"source": STIFFNESSES, "known": "derived"}
    moved = one.effects(forward, ("S1-1",), "vx")[0] * 1e3
    published("pier and pads in series under 62.095 kN, deck", 10, moved, "mm", **how, rel=1e-3)
    pads = one.effects(forward, ("S2-1",), "vx")[0] * 1e3
    by_hand = 62.095 / 7.2
    published("pier and pads in series, pads", by_hand, pads, "mm", **how, rel=1e-6)


# ------------------------------------------------------------------ the braking sheet
def twelve_girders():
    """The bridge of the sheet: 12 girders, held along on one side by all of them."""
    data = bridge(np.array([0.0, 40.0]), number=12)
    girders = data["superstructure"]
    girders["spacing"] = "1 m"
    girders["sections"]["d"] = {**STIFF, "A": "0.01 m2", "Iy": "1e-6 m4", "Iz": "1e-6 m4"}
    girders["diaphragms"] = {"section": "d", "spacing": "40 m"}
    # from the roadway down to the bearings: 0.33 + 0.33 + 6.56 ft
    girders["surface_to_slab"] = f"{0.33 * FEET} m"
    girders["contact"] = f"{(0.33 + 6.56) * FEET - 1.5} m"
    data["arrangement"] = {
        "supports": {
            "S1": ["fixed"] + ["guided across"] * 11, "S2": ["guided along"] + ["free"] * 11,
        }
    }  # fmt: skip
    return data


def test_braking_sheet(published):
    """Span 40 m, three lanes: 45.90 kip, 3.825 kip and 0.39 kip for each of 12 bearings.

    The force stands 6 ft above the roadway and that 7.22 ft above the bearings.
    """
    facts = BridgeFacts(
        use="road", deck_type="steel", superstructure="girders", spans=(40.0,), unit_length=40.0,
        carriageway=(-5.5, 5.5), deck_width=12.0, deck_depth=2.0, choices={"units": "us"},
    )  # fmt: skip
    (group,) = aashto_traffic.groups(Values("aashto"), facts)
    force, factor = group.horizontals[0]
    how = {"source": SHEET, "known": "read there"}
    total = factor * force.along / KIP
    published("braking force of three lanes", 45.90, total, "kip", **how, abs=0.005)
    published("level of braking above the road", 6.0, force.height / FEET, "ft", **how)

    one = Stood(twelve_girders())
    even = replace(force, offsets=())  # the sheet shares the force evenly
    forward = horizontal_cases(one.structure, one.state, one.condensed, even)[0].load
    marks = [f"S1-{k}" for k in range(1, 13)]
    along = one.effects(forward, marks, "Hx") / KIP
    couple = one.effects(forward, [f"S2-{k}" for k in range(1, 13)], "N") / KIP
    for force_each, couple_each in zip(along, couple, strict=True):
        published("each bearing of 12 girders", 3.825, force_each, "kip", **how, abs=0.01)
        published("vertical couple of 12 girders", 0.39, couple_each, "kip", **how, abs=0.006)
    assert one.effects(forward, marks, "N") / KIP == pytest.approx(-couple, abs=1e-6)


def test_braking_sheet_by_the_rule(published):
    """The same bridge asked for its rule: the fixed line takes 45.90 kip, 3.825 on each bearing."""
    data = twelve_girders()
    data["actions"] = {"traffic": {"right": "-5.5 m", "left": "5.5 m"}}
    data["choices"] = {"aashto": {"units": "us"}}
    # bearings that rub on nothing, as the sheet knows no friction
    data["arrangement"]["kinds"] = dict.fromkeys(("guided along", "free"), "laminated elastomeric")
    found = asked(share, data, "aashto", timeline=None)
    how = {"source": SHEET, "known": "read there"}
    published("fixed line by the rule", 45.90, found.row("S1").rule / KIP, "kip", **how, abs=0.005)
    each = [found.row(f"S1-{k}").rule / KIP for k in range(1, 13)]
    published("each bearing by the rule", [3.825] * 12, each, "kip", **how, abs=5e-4)
    assert found.row("S2").rule == 0.0
    assert found.row("S1").elastic.high == pytest.approx(found.force, rel=1e-6)


# ------------------------------------------------------------------ friction on both sides
def test_friction_of_a_continuous_bridge_on_its_fixed_bearing(published):
    """Four spans of 30 m under 200 kN/m, fixed in the middle, sliding bearings 0.05 / 0.03.

    R = 0.393, 1.143, 0.929 times w L; the fixed bearing gets 0.05 R of one side less 0.03 R of the
    other: (0.05 - 0.03) (0.392857 + 1.142857) 6000 = 184.3 kN.
    """
    chainages = np.arange(5) * 30.0
    data = bridge(chainages)
    data["stage"] = [
        {"name": "all", "carries": "steel",
         "loads": [{"kind": "line", "line_value": "200 kN/m", "y": "0 m"}]}
    ]  # fmt: skip
    for k in (1, 2, 4, 5):
        data["arrangement"]["seats"][f"S{k}-1"] = {
            "function": "guided along", "hold_rotation": ["x"], "kind": "pot on slide",
        }  # fmt: skip
    data["actions"] = {
        "temperature": {"air_min": "0 degC", "air_max": "45 degC", "setting": "25 degC"}
    }
    found = schedule_of(prepare(Bridge.model_validate(data)), "irc")
    reactions = [found.permanent_seats[f"S{k}-1"][0] / 6e6 for k in (1, 2, 3)]
    what = "four spans, reactions in the schedule / w L"
    by_heart = [0.392857, 1.142857, 0.928571]
    published(what, by_heart, reactions, source=FRICTION, known="from memory", rel=1e-4)
    lines = [
        line
        for line in found.support_lines
        if (line.place, line.effect, line.limit_state) == ("S3", "Fx", "SLS characteristic")
    ]
    assert {line.sense for line in lines} == {"max", "min"}
    for line in lines:
        (friction,) = [share for share in line.shares if share.action == "friction"]
        by_hand = 0.02 * (0.392857 + 1.142857) * 6e6 * friction.factor
        force, what = abs(friction.value) / 1e3, f"friction on the fixed bearing, {line.sense}"
        how = {"source": FRICTION, "known": "derived"}
        published(what, by_hand / 1e3, force, "kN", **how, rel=1e-3)
    assert found.seats[0].friction == pytest.approx((0.05, 0.03))
