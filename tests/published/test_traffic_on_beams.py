"""Load effects of traffic found by the engine, on beams, against published figures.

Sources, each beside its test:

- "Bridge and Highway Structure Rehabilitation and Repair", tables on pages 167 and 251 (kip per
  lane): HL-93 end reactions and the HS lane load with its concentrated load;
- scanned tables of shear for IRC live loads (public document, tonnes of 10 kN), legible rows only;
- coefficients of continuous beams with moving uniform load from the usual handbooks (Schneider,
  Bautabellen; AISC Manual), from memory;
- the rest by hand from the load model's own rule, the statics written out: no published figure.

The load models come from the packs of the standards; nothing of them is typed again here.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from bedstone.actions.effects import EffectMap, Layout
from bedstone.actions.traffic import fine_field, traffic_extremes
from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported
from bedstone.model.alignment import Axis
from bedstone.model.deck import Deck, DeckLine
from bedstone.standards import aashto, eurocode, irc
from bedstone.standards.aashto import traffic as aashto_traffic
from bedstone.standards.irc import trains as irc_trains
from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.traffic import Axle, LaneLoad, Placement, TrafficModel, Train
from bedstone.standards.values import Values

REPAIR = "Bridge and Highway Structure Rehabilitation and Repair, table on page 167"
LANE = "Bridge and Highway Structure Rehabilitation and Repair, table on page 251"
SCAN = "Tables of bending moments and shear forces for IRC live loads, scan"
HANDBOOKS = "Tables of continuous beams in the usual handbooks (Schneider; AISC Manual)"
STATICS = "Traffic on a simple span, statics by hand from the rule of the load model"
KIP, FEET, TONNE = 4448.2216152605, 0.3048, 10e3
AASHTO, EUROCODE, IRC = Values("aashto"), Values("eurocode"), Values("irc")


class Beam:
    """One girder over simple supports at the ends of `spans` (m)."""

    def __init__(self, *spans, pieces=10):
        ends = np.concatenate([[0.0], np.cumsum(spans)])
        x = [0.0]
        for a, b in pairwise(ends):
            x += list(np.linspace(a, b, pieces + 1)[1:])
        build = FrameBuilder()
        nodes = [build.node(v, 0.0, 0.0) for v in x]
        for i, j in pairwise(nodes):
            build.member(i, j, E=210e9, G=80e9, A=0.05, Iy=0.02, Iz=0.01, J=0.001)
        frame = build.frame()
        count = len(ends)
        self.condensed = condense(
            frame, SeatPoints(np.array(nodes[::pieces]), np.zeros((count, 3)))
        )
        held = np.zeros((count, 6), dtype=bool)
        held[:, 1:3] = held[:, 3] = True
        held[0, 0] = True
        axes = np.tile(np.eye(3), (count, 1, 1))
        supported = Supported(
            self.condensed, Bearings(axes, held, np.zeros((count, 6))), np.zeros((6 * count,) * 2)
        )
        self.layout = Layout(tuple(f"S{k}" for k in range(count)), ())
        force, movement = supported.operator()
        matrix = np.concatenate([force.reshape(count, 6, -1), movement.reshape(count, 6, -1)], 1)
        matrix[:, 0] = -force.reshape(count, 6, -1)[:, 2]
        self.map = EffectMap(self.layout, matrix.reshape(12 * count, -1))
        x = np.array(x)
        line = DeckLine(np.arange(len(x) - 1), x[:-1], x[1:], 0.0)
        self.deck = Deck(Axis(0.0), (line,), -8.0, 8.0, 0.0, x[-1])
        self.ends = ends
        self.field, error = fine_field(self.condensed, self.deck, [self.map])
        assert error < 1e-3

    def worst(self, models, support, sign=0, edges=(-6.0, 6.0)):
        """The largest (sign 0) or smallest (1) reaction of one support, N."""
        inner = [self.layout.index(mark, "N") for mark in self.layout.seats[1:-1]]
        found = traffic_extremes(
            models,
            self.field,
            self.map,
            edges=edges,
            kinks=self.ends,
            reach=(0.0, float(self.ends[-1])),
            interior=np.array(inner, dtype=np.intp),
        )
        lead = self.layout.index(f"S{support}", "N")
        return float(found.vectors[sign, lead, lead])


def model(*lanes, **how):
    """One load model of lanes; no impact, no multiple presence unless told."""
    return [TrafficModel("model", "", (Placement("model", lanes, **how),))]


def lane(*trains):
    """A lane with trains alone, no impact."""
    return LaneLoad("lane", trains, width=3.0)


def facts(spans, **more):
    """A plain road bridge with the standard's own units."""
    base = {
        "use": "road", "deck_type": "composite", "superstructure": "girders", "spans": spans,
        "unit_length": sum(spans), "carriageway": (-5.5, 5.5), "deck_width": 12.0,
        "deck_depth": 2.0,
    }  # fmt: skip
    return BridgeFacts(**{**base, **more})


# ------------------------------------------------------------------ AASHTO
def hl93_lane(spans):
    """The design lane of HL-93 without impact, US units."""
    (usual, *_) = aashto_traffic.hl93(AASHTO, facts(spans, choices={"units": "us"}))
    return replace(usual.placements[0].lanes[0], train_factor=1.0)


@pytest.mark.parametrize(
    ("span", "lane_alone", "with_truck"),
    [
        (70, 22.4, 84.8),
        (90, 28.8, 93.33),
        (100, 32.0, 97.28),
        (120, 38.4, 104.8),
        (130, 41.6, 108.43),
        (150, 48.0, 115.52),
        (160, 51.2, 119.0),
        (180, 57.6, 125.86),
    ],
    ids=lambda value: f"{value:g}",
)
def test_hl93_end_reaction(published, span, lane_alone, with_truck):
    """Page 167, kip per lane, printed to two decimals."""
    length = span * FEET
    beam = Beam(length)
    load = hl93_lane((length,))
    how = {"source": REPAIR, "known": "read there"}
    for support in (0, 1):  # the same at both ends: trucks head either way
        at = f"{span} ft, moved along"
        alone = beam.worst(model(replace(load, trains=())), support) / KIP
        published(f"lane load, {at}", lane_alone, alone, "kip", **how, abs=0.006)
        both = beam.worst(model(load), support) / KIP
        published(f"truck and lane load, {at}", with_truck, both, "kip", **how, abs=0.02)


@pytest.mark.parametrize(
    ("span", "reaction"),
    [(20, 32.4), (30, 35.6), (40, 38.8), (50, 42.0), (60, 45.2), (80, 51.6), (100, 58.0),
     (110, 61.2)],
    ids=lambda value: f"{value:g}",
)  # fmt: skip
def test_hs_lane_load_end_reaction(published, span, reaction):
    """Page 251, kip: the lane load with a concentrated load of 26 kip, 0.32 L + 26.

    The concentrated load is the page's own; the lane load is the pack's.
    """
    length = span * FEET
    load = replace(hl93_lane((length,)), trains=(Train("load", (Axle(0.0, 26 * KIP),)),))
    found = Beam(length).worst(model(load), 1) / KIP
    what = f"HS lane load with 26 kip, {span} ft"
    published(what, reaction, found, "kip", source=LANE, known="read there", abs=0.005)


def test_two_trucks_at_a_pier(published):
    """Two spans of 40 m, pier reaction: 90 % of two trucks 15 m apart and the lane load.

    By hand with the influence line of the middle reaction of two equal spans, r(x) = (3 x L^2 -
    x^3) / (2 L^3) with x from the far end (handbooks, from memory): the trucks stand so that the
    gap lies over the pier, every place of them and every gap from 15 m tried. No impact.
    """
    L = 40.0
    beam = Beam(L, L)
    models = [
        replace(
            m,
            placements=tuple(
                replace(p, lanes=tuple(replace(ln, train_factor=1.0) for ln in p.lanes))
                for p in m.placements
                if len(p.lanes) == 1
            ),
        )
        for m in aashto_traffic.hl93(AASHTO, facts((L, L)))
    ]
    usual, pair = models
    assert pair.applies == "interior reaction"

    def influence(x):
        x = np.minimum(x, 2 * L - x)
        return np.where(x > 0, (3 * x * L**2 - x**3) / (2 * L**3), 0.0)

    row = aashto_traffic.two_trucks(AASHTO, facts((L, L)))
    load = pair.placements[0].lanes[0]
    uniform = load.uniform * load.uniform_width * 1.25 * L
    best = 0.0
    for gap in np.arange(15.0, 40.01, 0.25):
        axles = [(a.position, a.force) for a in row.axles]
        axles = [(x + (gap - 15.0 if k >= 3 else 0.0), f) for k, (x, f) in enumerate(axles)]
        for shape in (axles, [(axles[-1][0] - x, f) for x, f in axles]):
            at = np.arange(0.0, 2 * L + axles[-1][0], 0.05)
            best = max(best, sum(f * influence(at - x) for x, f in shape).max())
    presence = usual.placements[0].factor
    by_hand = 0.9 * presence * (best + uniform)
    what, found = "two trucks of HL-93 at a pier, two spans of 40 m", beam.worst([pair], 1)
    how = {"source": STATICS, "known": "derived"}
    published(what, by_hand / 1e3, found / 1e3, "kN", **how, rel=1e-3)
    assert beam.worst(models, 1) == pytest.approx(max(by_hand, beam.worst([usual], 1)), rel=1e-3)
    # the rule is for interior reactions: nothing at the ends
    assert beam.worst([pair], 0) == 0.0
    assert beam.worst(models, 0) == beam.worst([usual], 0)


# ------------------------------------------------------------------ IRC
@pytest.mark.parametrize(
    ("span", "shear"),
    [(19.5, 70.699), (25.5, 77.593), (27.0, 78.838), (34.5, 83.438)],
    ids=lambda value: f"{value:g}",
)
def test_two_lanes_of_class_a(published, span, shear):
    """Scanned shear table, tonnes: greatest end shear, which is the end reaction."""
    load = lane(irc_trains.class_a(IRC))
    found = Beam(span).worst(model(load, load), 1) / TONNE
    what = f"two lanes of Class A, {span:g} m, moved along"
    published(what, shear, found, "t", source=SCAN, known="read there", abs=0.002)


@pytest.mark.parametrize(
    ("span", "shear"),
    [(12.0, 58.234), (21.0, 75.600), (22.5, 77.227), (25.5, 79.905)],
    ids=lambda value: f"{value:g}",
)
def test_class_70r_wheeled(published, span, shear):
    """Scanned shear table, tonnes; one vehicle."""
    load = lane(irc_trains.wheeled_70r(IRC))
    found = Beam(span).worst(model(load), 0) / TONNE
    what = f"70R wheeled, {span:g} m, moved along"
    published(what, shear, found, "t", source=SCAN, known="read there", abs=0.0025)


@pytest.mark.parametrize(
    ("train", "span", "reaction"),
    [
        (irc_trains.class_a(IRC), 10, 255.1),
        (irc_trains.class_a(IRC), 15, 309.5),
        (irc_trains.class_a(IRC), 20, 357.2),
        (irc_trains.class_a(IRC), 30, 404.8),
        (irc_trains.wheeled_70r(IRC), 10, 514.8),
        (irc_trains.wheeled_70r(IRC), 15, 658.4),
        (irc_trains.wheeled_70r(IRC), 20, 743.8),
        (irc_trains.wheeled_70r(IRC), 30, 829.2),
        (irc_trains.tracked_70r(IRC), 10, 540.0),
        (irc_trains.tracked_70r(IRC), 20, 620.0),
        (irc_trains.tracked_70r(IRC), 30, 646.7),
        (irc_trains.tracked_70r(IRC), 50, 668.0),
        (irc_trains.tracked_aa(IRC), 10, 574.0),
        (irc_trains.tracked_aa(IRC), 20, 637.0),
        (irc_trains.tracked_aa(IRC), 30, 658.0),
        (irc_trains.tracked_aa(IRC), 50, 674.8),
    ],
    ids=lambda value: getattr(value, "name", f"{value}"),
)
def test_one_vehicle_end_reaction(published, train, span, reaction):
    """By hand from the axles: the end of the vehicle over the support, kN; no published figure.

    Tracks of 700 kN on a metres: 700 (1 - a / 2 L).
    """
    found = Beam(span).worst(model(lane(train)), 0) / 1e3
    what = f"IRC {train.name}, {span} m"
    published(what, reaction, found, "kN", source=STATICS, known="derived", abs=0.06)


def test_a_second_class_a_train_on_a_long_span(published):
    """Span 50 m: the next train, 20 m behind the last axle, adds to the end reaction.

    By hand: sum of W (1 - x / L) over both trains with every axle in turn over the support.
    """
    train, L = irc_trains.class_a(IRC), 50.0
    pitch = train.axles[-1].position + train.follow
    best = 0.0
    for shape in (
        [(a.position, a.force) for a in train.axles],
        [(train.axles[-1].position - a.position, a.force) for a in train.axles],
    ):
        row = [(x + k * pitch, f) for k in (0, 1, 2) for x, f in shape]
        for front, _ in row:
            stand = [(x - front, f) for x, f in row if 0 <= x - front <= L]
            best = max(best, sum(f * (1 - x / L) for x, f in stand))
    alone = Beam(L).worst(model(lane(replace(train, follow=None))), 0)
    both = Beam(L).worst(model(lane(train)), 0)
    what, how = "two Class A trains, 50 m", {"source": STATICS, "known": "derived"}
    published(what, best / 1e3, both / 1e3, "kN", **how, rel=1e-6)
    assert both > 1.05 * alone


# ------------------------------------------------------------------ Eurocode
@pytest.mark.parametrize(
    ("span", "reaction"),
    [(5, 520.0), (10, 837.4), (20, 1294.7), (40, 2123.4)],
    ids=lambda value: f"{value:g}",
)
def test_lm71_end_reaction(published, span, reaction):
    """By hand from the rule of EN 1991-2, 6.3.2, kN, alpha = 1, no dynamic factor; no published
    figure: four axles from the support on, then the uniform load from 0.8 m behind the last."""
    one = facts(
        (float(span),),
        use="rail",
        carriageway=None,
        tracks=(TrackFacts(0.0, 30.0),),
        choices={"rail.dynamic": "none"},
    )
    group = next(g for g in eurocode.FAMILY.traffic(EUROCODE, one) if g.name == "gr11")
    track = replace(group.models[0].placements[0].lanes[0], offsets=(0.0,))
    beam = Beam(float(span))
    for support in (0, 1):
        found = beam.worst(model(track), support, edges=None) / 1e3
        what = f"LM71, {span} m"
        published(what, reaction, found, "kN", source=STATICS, known="derived", rel=1e-3)


def test_lm1_end_reaction_of_one_lane(published):
    """One lane of LM1 on a simple span, by hand from EN 1991-2, 4.3.2: axles at 0 and 1.2 m.

    300 (1 + (L - 1.2) / L) + 9 x 3 x L / 2, kN.
    """
    L = 25.0
    group = eurocode.FAMILY.traffic(EUROCODE, facts((L,), carriageway=(-1.5, 1.5)))[0]
    by_hand = 300 * (2 - 1.2 / L) + 27 * L / 2
    found = Beam(L).worst(group.models, 0, edges=(-1.5, 1.5))
    what, how = "LM1, one lane, 25 m", {"source": STATICS, "known": "derived"}
    published(what, by_hand, found / 1e3, "kN", **how, rel=1e-3)


# ------------------------------------------------------------------ any uniform load
@pytest.mark.parametrize(
    ("spans", "support", "largest", "smallest"),
    [
        (2, 0, 0.4375, -0.0625),
        (2, 1, 1.25, 0.0),
        (3, 0, 0.450, -0.050),
        (3, 1, 1.200, -0.100),
        (4, 0, 0.446, -0.054),
        (4, 1, 1.223, -0.080),
        (4, 2, 1.143, -0.214),
    ],
)
def test_pattern_of_uniform_load(published, spans, support, largest, smallest):
    """Equal spans, load on the worst spans only: reactions / (w L).

    Source: tables of continuous beams in the usual handbooks, three decimals, from memory; each
    span is wholly adverse or wholly relieving for a reaction.
    """
    L, w = 20.0, 10e3
    load = LaneLoad("load", (), width=2.0, uniform=w / 2.0, uniform_width=2.0)
    beam = Beam(*[L] * spans)
    found = [beam.worst(model(load), support, sign) / (w * L) for sign in (0, 1)]
    what = f"{spans} spans, worst spans loaded, support {support + 1}: most and least / w L"
    how = {"source": HANDBOOKS, "known": "from memory"}
    published(what, [largest, smallest], found, **how, abs=1e-3)


def test_packs_bring_their_models():
    """The families' usual traffic runs through the engine whole, every group."""
    L = 30.0
    beam = Beam(L)
    for family, values, more in (
        (aashto.FAMILY, AASHTO, {}),
        (eurocode.FAMILY, EUROCODE, {}),
        (irc.FAMILY, IRC, {}),
    ):
        for group in family.traffic(values, facts((L,), **more)):
            assert beam.worst(group.models, 0, edges=(-5.5, 5.5)) > 1e5
