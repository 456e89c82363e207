"""Sheet of the 25t Loading-2008 EUDL of the Indian Railways, as found on the web.

Rows of the load for shear (kN, one track) and the coefficient of dynamic augment beside them, as
printed there: the augment is not in our data, which holds its formula.
"""

from pathlib import Path

import pytest

from bedstone.bridge import read_bridge
from bedstone.errors import InputError
from bedstone.schedule.make import make_schedule
from bedstone.standards.irc import rail
from bedstone.standards.irc.family import FAMILY
from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.values import Values

# Span (m), EUDL for shear (kN), CDA.
ROWS = [
    (2.0, 527.29, 1.000),
    (3.0, 678.56, 1.000),
    (4.0, 790.98, 0.950),
    (5.0, 927.05, 0.877),
    (6.0, 1017.79, 0.817),
    (7.0, 1086.75, 0.765),
    (8.0, 1168.37, 0.721),
    (9.0, 1265.49, 0.683),
    (10.0, 1377.32, 0.650),
    (11.0, 1492.89, 0.621),
    (12.0, 1589.22, 0.594),
    (13.0, 1670.74, 0.571),
    (14.0, 1740.59, 0.550),
]
FORCE = {"rail.longitudinal": 400e3}
EXAMPLES = Path(__file__).parents[2] / "examples"
SIMPLE = 'continuity = "simple"'


def facts(span: float = 10.0, **changes) -> BridgeFacts:
    given = {
        "use": "rail",
        "deck_type": "steel",
        "superstructure": "girders",
        "spans": (span,),
        "unit_length": span,
        "carriageway": None,
        "deck_width": 5.0,
        "deck_depth": 2.0,
        "tracks": (TrackFacts(0.0, 27.8),),
        "choices": FORCE,
    }
    return BridgeFacts(**{**given, **changes})


@pytest.fixture
def values() -> Values:
    return Values("irc")


@pytest.mark.parametrize(("span", "load", "augment"), ROWS)
def test_every_row(values, span, load, augment):
    assert rail.equivalent_shear(values, facts(span), span).value == pytest.approx(load * 1e3)
    assert rail.dynamic_augment(values, span).value == pytest.approx(augment, abs=5.1e-4)
    reaction = rail.end_reaction(values, facts(span), span).value
    assert reaction == pytest.approx(load / 2 * (1 + augment) * 1e3, rel=4e-4)


def test_end_reaction_of_ten_metres(values):
    # By hand: 688.66 x 1.65 = 1136.3 kN.
    assert rail.end_reaction(values, facts(), 10.0).value == pytest.approx(1136.3e3, rel=1e-4)


def test_between_two_rows(values):
    # Half-way between 1377.32 and 1492.89 (straight line, common practice, no source).
    found = rail.equivalent_shear(values, facts(10.5), 10.5).value
    assert found == pytest.approx(1435.105e3)


@pytest.mark.parametrize("span", [10.0, 14.0])
def test_the_load_of_a_metre_gives_the_end_reaction(values, span):
    (group,) = FAMILY.traffic(values, facts(span))
    (lane,) = group.models[0].placements[0].lanes
    total = lane.uniform * lane.uniform_width * lane.uniform_factor * span
    assert total / 2 == pytest.approx(rail.end_reaction(values, facts(span), span).value)


def test_of_several_spans_the_heaviest_metre_counts(values):
    spans = facts(6.0, spans=(6.0, 12.0), unit_length=12.0, simple_spans=True)
    (group,) = FAMILY.traffic(values, spans)
    (lane,) = group.models[0].placements[0].lanes
    # 6 m: 1017.79 x (1 + 0.15 + 8/12) / 6 = 308.17 kN/m, 12 m: 211.13 (by hand)
    assert lane.uniform * lane.uniform_width == pytest.approx(308.17e3, rel=1e-4)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"span": 30.0}, "read from 2 m to 14 m"),
        ({"choices": {}}, r"rail\.longitudinal"),
        ({"spans": (10.0, 10.0), "unit_length": 20.0}, "simple spans"),
        ({"radius": 300.0}, "straight track"),
        ({"tracks": ()}, "at least one track"),
        ({"tracks": (TrackFacts(0.0, 20.0, alpha=1.21),)}, "no classes"),
        ({"models": ("Class A",)}, "25t Loading-2008"),
        ({"choices": {**FORCE, "rail.dispersion": 0.3}}, "0.25"),
        (
            {"spans": (8.0, 9.0), "simple_spans": True,
             "choices": {**FORCE, "rail.eudl_shear": 1e6}},
            "equal spans",
        ),
    ],
)  # fmt: skip
def test_what_is_not_covered_is_refused_in_words(values, changes, message):
    with pytest.raises(InputError, match=message):
        FAMILY.traffic(values, facts(**changes))


def test_longitudinal_force_is_the_engineers(values):
    assert rail.longitudinal(values, facts()).value == pytest.approx(400e3)
    less = facts(choices={**FORCE, "rail.dispersion": 0.25})
    assert rail.longitudinal(values, less).value == pytest.approx(300e3)
    both = facts(spans=(10.0, 10.0), unit_length=20.0, simple_spans=True)
    assert rail.longitudinal(values, both).value == pytest.approx(800e3)


def test_sharing(values):
    # Clause 2.8 (memory): rollers at one end: all to the other; else half to each.
    alone = rail.at_each_end(values, 400e3, "fixed and rollers")
    halves = rail.at_each_end(values, 400e3, "sliding or elastomeric at both ends")
    assert [line.value for line in alone] == [400e3, 0.0]
    assert [line.value for line in halves] == [200e3, 200e3]


@pytest.mark.parametrize(
    ("kind", "pair", "mu"),
    [
        # Clause 2.7 (memory).
        ("single roller", "PTFE", 0.03),
        ("plane sliding", "PTFE", 0.10),
        ("plane sliding", "steel on steel", 0.25),
        ("plane sliding", "steel on ferrobestos", 0.20),
        ("plane sliding", "steel on copper alloy", 0.15),
        ("plane sliding", "concrete on bitumen", 0.50),
        ("plane sliding", "concrete on concrete", 0.60),
        ("line rocker", "PTFE", 0.0),
    ],
)
def test_friction(values, kind, pair, mu):
    chosen = {"friction.rules": "railway", "friction.sliding_pair": pair}
    family = FAMILY.with_choices(chosen)
    assert family.friction(values, kind, 4) == (mu, mu)


@pytest.mark.parametrize(
    "choices",
    [
        {"friction.sliding_pair": "steel on ferrobestos"},  # under a road
        {"friction.rules": "railway", "friction.sliding_pair": "cast iron on cast iron"},
        {"friction.rules": "railway", "friction.roller": "concrete"},
    ],
)
def test_a_pair_without_coefficient_is_refused(choices):
    with pytest.raises(InputError, match=r"friction\."):
        FAMILY.with_choices(choices)


def test_racking_is_told(values):
    line = next(one for one in FAMILY.lines(values, facts()) if one.title == "Racking force")
    assert line.value == pytest.approx(5880.0)  # clause 2.9 (memory): 600 kg/m
    assert "not among the actions" in line.note


# ------------------------------------------------------------------ through to the schedule
def made(tmp_path, *, tracks: str = "", force: float = 0.0, span: float = 10.0, standing=SIMPLE):
    """Schedule of two short spans of the example under this loading; `force` N on one span."""
    text = (EXAMPLES / "railway.toml").read_text(encoding="utf-8")
    text = text.replace('chainage = "30 m"', f'chainage = "{span:g} m"')
    text = text.replace('chainage = "60 m"', f'chainage = "{2 * span:g} m"')
    text = text.replace('end = "60 m"', f'end = "{2 * span:g} m"').replace(SIMPLE, standing)
    text = text.replace('tracks = [{ offset = "0 m", speed = "120 km/h", alpha = 1.0 }]', tracks
                        or 'tracks = [{ offset = "0 m" }]')  # fmt: skip
    head, _, _ = text.partition("[choices.irc]")
    head = head[: head.index("[compare]")] + f'[choices.irc]\n"rail.longitudinal" = {force!r}\n'
    file = tmp_path / "railway.toml"
    file.write_text(head, encoding="utf-8")
    return make_schedule(read_bridge(file), tmp_path, "irc")


def of_traffic(schedule, place: str, effect: str, sense: str = "max") -> float:
    """Largest part of the trains in an extreme of the characteristic combinations (N)."""
    return max(
        abs(share.value)
        for line in (*schedule.support_lines, *schedule.seat_lines)
        if (line.place, line.effect, line.sense) == (place, effect, sense)
        and line.limit_state == "SLS characteristic"
        for share in line.shares
        if share.action == "traffic:live" and share.factor == 1.0
    )


@pytest.mark.parametrize(
    ("span", "reaction"),
    [
        (10.0, 1136.3e3),  # 1377.32 / 2 x 1.65, as above
        (8.0, 1005.4e3),  # 1168.37 / 2 x (1.15 + 8/14)
        # Half-way from 12 to 13 m: 1629.98 / 2 x (0.15 + 8/18.5 + 1) = 814.99 x 1.58243
        (12.5, 1289.7e3),
    ],
)
def test_ends_of_a_span_in_the_schedule_take_what_the_row_says(tmp_path, span, reaction):
    schedule = made(tmp_path, span=span)
    # the deck reaches no further than its bearings, so the abutment takes one end reaction
    assert of_traffic(schedule, "A1", "V") == pytest.approx(reaction, rel=1e-3)
    # the pier two, of a train on both spans
    assert of_traffic(schedule, "P1", "V") == pytest.approx(2.0 * reaction, rel=1e-3)
    # the track in the middle: each of two girders half (symmetry)
    assert of_traffic(schedule, "A1-1", "N") == pytest.approx(reaction / 2.0, rel=1e-3)


def test_longitudinal_force_of_a_span_goes_to_its_fixed_end(tmp_path):
    schedule = made(tmp_path, force=400e3)
    assert of_traffic(schedule, "A1", "Fx") == pytest.approx(400e3, rel=1e-3)
    assert of_traffic(schedule, "P1", "Fx") == pytest.approx(400e3, rel=1e-3)  # of the second span
    # 400 kN about the bearings tips each span; the rail lies 0.75 + 0.32 + 0.05 + 2.19 + 0.20 =
    # 3.51 m above them: 400 x 3.51 / 10 = 140.4 kN more at one end (statics)
    assert of_traffic(schedule, "A1", "V") == pytest.approx(1136.3e3 + 140.4e3, rel=1e-3)


def test_two_tracks_share_by_where_they_lie(tmp_path):
    """One at y = -1 m of girders at -1.4 and 1.4 m: (1.4 + 1) / 2.8 of it on the right one.

    By statics, both ends of the span together: the end that is held along takes more of the twist.
    A little more than that, as a train stands on the adverse stretches of each end alone.
    """
    one = made(tmp_path, tracks='tracks = [{ offset = "-1 m" }]')
    both = of_traffic(one, "A1-1", "N") + of_traffic(one, "P1-1b", "N")
    assert 1.0 < both / (2.0 * 1136.3e3 * 2.4 / 2.8) < 1.02
    two = made(tmp_path, tracks='tracks = [{ offset = "-1 m" }, { offset = "1 m" }]', force=400e3)
    assert of_traffic(two, "A1", "Fx") == pytest.approx(800e3, rel=1e-3)


def test_the_schedule_names_its_sources(tmp_path):
    schedule = made(tmp_path)
    assert "Indian Railways Bridge Rules" in schedule.edition
    told = {line.title: line for line in schedule.calculations}
    load = told["Equivalent load for shear, one track"]
    assert load.standard == "Indian Railways Bridge Rules"
    assert load.clause
    assert Values("irc").entry("rail.eudl_shear").source


def test_continuous_spans_are_refused_with_the_reason(tmp_path):
    text = (EXAMPLES / "railway.toml").read_text(encoding="utf-8")
    arrangement = text.index("[arrangement.seats.P1-1b]")
    rest = text[arrangement : text.index("[arrangement.kinds]")]
    text = text.replace(rest, rest.replace("b]", "]").split("[arrangement.seats.P1-1a]")[0]
                        + rest[rest.index("[arrangement.seats.A2-1]") :])  # fmt: skip
    text = text[: text.index("[compare]")].replace(SIMPLE, 'continuity = "continuous"')
    file = tmp_path / "continuous.toml"
    file.write_text(text + '[choices.irc]\n"rail.longitudinal" = 1e5\n', encoding="utf-8")
    with pytest.raises(InputError, match="end reactions of those alone") as error:
        make_schedule(read_bridge(file), tmp_path, "irc")
    (fault,) = error.value.faults
    assert fault.found == "a continuous superstructure"
