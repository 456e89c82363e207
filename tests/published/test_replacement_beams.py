"""Lifting beams off their bearings by the formulas of a beam handbook.

Sources: statics of a rigid body; deflection of a beam on two supports under a force in its middle
(P L^3 / 48 E I) and of an overhang (P c^2 (L + c) / 3 E I), as in any table of beams, from memory.
A support of a continuous beam that is lifted takes that force, and its neighbours lose it.
"""

import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.site.replacement import replacement

SOURCE = "Lifting of beams: statics, and deflections by a table of beams"
KNOWN = "from memory"
E, INERTIA, SPAN, LOAD = 210e9, 0.05, 20.0, 20e3
SEAT = {"function": "guided along", "hold_rotation": ["x"]}


def beam(spans=1, jacks=None, below=None, **more):
    """One girder of equal spans, fixed at its first support, under a uniform load.

    `below`: what stands below supports, by mark.
    """
    rigid = {"kind": "rigid"}
    marks = ["A1", *(f"P{n}" for n in range(1, spans)), "A2"]
    section = {
        "kind": "given", "A": "0.1 m2", "Iy": f"{INERTIA} m4", "Iz": "0.02 m4", "J": "0.01 m4",
        "depth": "1.6 m", "centroid": "0.8 m",
    }  # fmt: skip
    data = {
        "bridge": {"name": "Beam"},
        "support": [
            {"mark": m, "chainage": f"{SPAN * n} m", "below": (below or {}).get(m, rigid)}
            for n, m in enumerate(marks)
        ],
        "materials": {"steel_E": "210 GPa", "steel_alpha": "12e-6 1/K"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": 1,
            "sections": {"g": section},
            "segments": [{"start": "0 m", "end": f"{SPAN * spans} m", "section": "g"}],
        },
        "stage": [{"name": "all", "carries": "steel",
                   "loads": [{"kind": "line", "line_value": f"{LOAD} N/m", "y": "0 m"}]}],
        "actions": {"friction": False,
                    "temperature": {"air_min": "-20 degC", "air_max": "35 degC"}},
        "arrangement": {"seats": {f"{m}-1": {**SEAT, "function": "fixed"} if m == "A1" else SEAT
                                  for m in marks}},
        "replacement": {"lift": "100 mm", "jacks": jacks or []},
        **more,
    }  # fmt: skip
    return prepare(Bridge.model_validate(data))


def lifted(prepared, mark, family="eurocode", **how):
    return replacement(prepared, family, [mark], **how)


def test_a_simple_span_is_lifted_by_its_reaction_and_the_other_end_feels_nothing(published):
    found = lifted(beam(), "A2")
    published("Simple span: force at the end", LOAD * SPAN / 2, found.jacks[0].lifted, "N")
    other = found.bearings[0]
    published("and at the other end", LOAD * SPAN / 2, other.after, "N")
    assert abs(found.line_stiffness) < 1e-3  # statics alone: no force for more lift
    assert found.lift == pytest.approx(0.005)
    published("Turn of the other end at 5 mm", -0.005 / SPAN, other.turns[1], "rad",
              known="derived")  # fmt: skip


def test_a_jack_before_the_bearing_takes_more_by_the_lever(published):
    ahead = 0.6  # toward the span, so against rising chainage at A2
    found = lifted(beam(jacks=[{"at": "A2", "places": [{"along": f"-{ahead} m"}]}]), "A2")
    force = LOAD * SPAN * (SPAN / 2) / (SPAN - ahead)
    published("Jack 0.6 m before the end bearing", force, found.jacks[0].lifted, "N",
              known="derived")  # fmt: skip
    # a stiff link to the end turns with it: end moment P a turns a beam by P a L / 3 E I
    turn = force * ahead * SPAN / (3 * E * INERTIA)
    published("travel until the bearing is free", turn * ahead, found.need.free, "m",
              known="derived")  # fmt: skip
    published("moment about the bearing", force * ahead, found.jacks[0].moment, "N m",
              known="derived")  # fmt: skip


def test_the_middle_of_two_spans_takes_48_EI_over_the_whole_length_cubed(published):
    found = lifted(beam(2), "P1", lift=0.010)
    stiff = 48 * E * INERTIA / (2 * SPAN) ** 3
    published("Two spans, middle lifted: force a metre", stiff, found.line_stiffness, "N/m")
    before = 1.25 * LOAD * SPAN
    published("its jack at 10 mm", before + 0.010 * stiff, found.jacks[0].lifted, "N", rel=1e-6)
    ends = [item for item in found.bearings if not item.jacked]
    for item in ends:
        published("an end bearing at 10 mm", 0.375 * LOAD * SPAN - 0.005 * stiff, item.after, "N")


def test_a_soft_pier_gives_way_below_its_jack(published):
    pier = 20e6
    prepared = beam(2, below={"P1": {"kind": "springs", "springs": {"kz": "20 MN/m"}}})
    found = lifted(prepared, "P1", lift=0.010)
    stiff = 48 * E * INERTIA / (2 * SPAN) ** 3
    both = 1.0 / (1.0 / stiff + 1.0 / pier)
    published("Two spans, middle on a spring: force for a metre of travel", both,
              found.line_stiffness, "N/m", known="derived")  # fmt: skip
    first, last = found.steps[0].jacks["P1-1"], found.steps[-1].jacks["P1-1"]
    assert (last - first) / 0.010 == pytest.approx(found.line_stiffness, rel=1e-6)


def test_aashto_takes_the_reaction_beside_the_jack_where_that_is_greater(published):
    """The clause speaks of the bearing beside the jack; from memory."""
    behind = 0.5  # beyond the bearing, away from the span
    found = lifted(beam(jacks=[{"at": "A2", "places": [{"along": f"{behind} m"}]}]), "A2", "aashto")
    reaction = LOAD * SPAN / 2
    assert found.jacks[0].lifted == pytest.approx(reaction * SPAN / (SPAN + behind))
    published("Jack beyond its bearing, design force", 1.3 * reaction,
              found.jacks[0].checks[0].value, "N")  # fmt: skip


def test_the_ends_of_two_spans_come_free_when_the_middle_holds_all(published):
    # the end reaction 3/8 q L is used up at a lift of q L^4 / 8 E I
    at = LOAD * SPAN**4 / (8 * E * INERTIA)
    found = lifted(beam(2), "P1", lift=1.2 * at)
    assert found.unloads == ("A1-1", "A2-1")
    assert not found.holds
    # from there it balances on the jack and tips to one side: one end rises, the other rests
    ends = found.bearings[0], found.bearings[2]
    assert max(abs(item.after) for item in ends) < 1e-6 * LOAD * SPAN
    tipped = max(ends, key=lambda item: item.opening)
    published("Two spans: lift of the middle that frees the ends", at, tipped.opens, "m",
              rel=1e-5)  # fmt: skip
    assert sum(item.opening for item in ends) / 2 == pytest.approx(0.2 * at, rel=1e-5)
    published("force of the jack from there", 2 * LOAD * SPAN, found.jacks[0].lifted, "N")


def test_the_end_of_two_spans_is_an_overhang(published):
    found = lifted(beam(2), "A2", lift=0.010)
    stiff = 3 * E * INERTIA / (SPAN**2 * (SPAN + SPAN))
    published("Two spans, an end lifted: force a metre", stiff, found.line_stiffness, "N/m")
    middle = next(item for item in found.bearings if item.seat == "P1-1")
    published("the middle bearing gives up twice that", -2 * stiff * 0.010, middle.change, "N")


def test_two_jacks_of_one_bearing_share_by_the_lever(published):
    places = [{"across": "0.4 m"}, {"across": "-0.6 m"}]
    found = lifted(beam(jacks=[{"at": "A2", "places": places}]), "A2")
    total = LOAD * SPAN / 2
    # lifted alike they leave the girder untwisted, so no torsion helps one of them
    published("Two jacks 0.4 m and 0.6 m aside", (0.6 * total, 0.4 * total),
              [jack.lifted for jack in found.jacks], "N", known="derived")  # fmt: skip


def test_a_sprung_bearing_rebounds_by_its_load_over_its_stiffness(published):
    stiff = 400e6
    seats = {
        "A1-1": {**SEAT, "function": "fixed"},
        "A2-1": {**SEAT, "function": "elastic", "stiffness": {"kz": "400 MN/m", "ky": "10 MN/m"}},
    }
    found = lifted(beam(arrangement={"seats": seats}), "A2")
    free = LOAD * SPAN / 2 / stiff
    published("Pad of 400 kN/mm: lift until it is free", free, found.need.free, "m",
              known="derived")  # fmt: skip
    assert found.need.total == pytest.approx(free + 0.005)
    half = found.steps[0]
    assert half.lift == 0.0
    assert half.jacks["A2-1"] == 0.0
    assert found.bearings[1].rebound == pytest.approx(free)


def test_a_jack_that_gives_travels_more_by_its_force_over_its_stiffness(published):
    found = lifted(beam(jacks=[{"at": "A2", "stiffness": "200 kN/mm"}]), "A2")
    published("Jack of 200 kN/mm: travel for 5 mm", 0.005 + LOAD * SPAN / 2 / 200e6,
              found.need.total, "m", known="derived")  # fmt: skip
    assert found.jacks[0].rise == pytest.approx(0.005)


def test_a_degree_moves_the_jacked_end_by_alpha_l(published):
    found = lifted(beam(), "A2")
    published("Movement on the jack for a degree", 12e-6 * SPAN, found.restraint.shift, "m")
    assert found.restraint.window == pytest.approx(0.005 / (12e-6 * SPAN))


@pytest.mark.parametrize(("family", "factor"), [("aashto", 1.3), ("eurocode", 1.35), ("irc", 1.35)])
def test_the_design_force_by_family(published, family, factor):
    """1.3: AASHTO LRFD 3.4.3.1; 1.35: EN 1990 Table A2.4(B), IRC:6 Table B.2; from memory."""
    found = lifted(beam(), "A2", family)
    line = found.jacks[0].checks[0]
    published(f"Design force of the jack, {family}", factor * LOAD * SPAN / 2, line.value, "N")
