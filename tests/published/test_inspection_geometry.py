"""Readings on bearings by independent geometry and by figures of public reports and rules.

Sources: geometry of rigid bodies, worked here with points, rotation matrices and a plane through
measured points, apart from bedstone; alpha L of a steel span of 45.7 m and of 60 m warmed by 35 K
(elementary algebra; the latter takes the inputs of a public case of a seized bearing, known second
hand).
"""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.comparison.screen import Screen
from bedstone.site.inspection import inspect
from bedstone.site.inspection.verdicts import verdicts
from bedstone.site.inspection.visit import Visit, visits
from bedstone.site.mechanism import Block, End, Mechanism, RollerSet
from bedstone.site.readings import Reading
from bedstone.site.setting import settings
from bedstone.site.tolerances import usual

SOURCE = "Inspection: geometry of rollers, pots and plates, movement by alpha L"
KNOWN = "derived"
ALPHA = 12e-6
DIAMETER, LENGTH, STOP = 0.15, 0.9, 0.05


def girder(span):
    """A steel girder on a fixed bearing and a roller; set without load, nothing still to come."""
    seat = {"hold_rotation": ["x"]}
    section = {
        "kind": "given", "A": "0.1 m2", "Iy": "0.05 m4", "Iz": "0.02 m4", "J": "0.01 m4",
        "depth": "1.6 m", "centroid": "0.8 m",
    }  # fmt: skip
    data = {
        "bridge": {"name": "Beam"},
        "support": [{"mark": "A1", "chainage": "0 m"}, {"mark": "A2", "chainage": f"{span} m"}],
        "materials": {"steel_alpha": "12e-6 1/K"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": 1, "contact": "0.2 m",
            "sections": {"g": section},
            "segments": [{"start": "0 m", "end": f"{span} m", "section": "g"}],
        },
        "stage": [{"name": "all", "carries": "steel", "loads": []}],
        "actions": {
            "friction": False,
            "temperature": {"air_min": "-20 degC", "air_max": "35 degC", "setting": "10 degC"},
        },
        "arrangement": {
            "seats": {
                "A1-1": seat | {"function": "fixed"},
                "A2-1": seat | {"function": "guided along", "kind": "single roller"},
            }
        },
    }  # fmt: skip
    bridge = prepare(Bridge.model_validate(data))
    screen = Screen(bridge, "eurocode")
    return bridge, screen, settings(bridge, "eurocode", screen)


@pytest.fixture(scope="module")
def span():
    """A span of 45.7 m."""
    return girder(45.7)


def read(what, value, steel, seat="A2-1"):
    quantity, _, place = what.partition("/")
    time = dt.datetime(2026, 6, 1, tzinfo=dt.UTC)
    return Reading(seat, quantity, place, value, "", time, steel, "", "", "form", 1)


def expected_of(found, what):
    """Expected value of the verdict of a name."""
    return next(v for seat in found.seats for v in seat.verdicts if v.what == what).expected


def rolled(span, *readings):
    """Verdicts by name on a roller of 150 mm between stops 50 mm off it."""
    setting = next(item for item in span[2] if item.seat == "A2-1")
    plate = Block("plate", 0.3, LENGTH, 0.04)
    made = Mechanism("rolls", (), (plate,), (plate,), RollerSet(1, DIAMETER, LENGTH, 0.0, DIAMETER))
    ends = (End("stop of the rollers", "x", -2 * STOP, 2 * STOP, halved=True),)
    own = replace(setting, form="rolls", design=made, ends=ends)
    visit = Visit(own, visits(readings)["A2-1"][-1], (), usual("inspection"), "eurocode")
    return {item.what: item for item in verdicts(visit)}


def test_a_span_of_45_7_m_moves_0_548_mm_per_degree(published, span):
    setting = next(item for item in span[2] if item.seat == "A2-1")
    ours = [
        expected_of(
            inspect(span[0], "eurocode", [read("offset along", 0.0, steel)],
                    screen=span[1], set_by=span[2]),
            "offset along",
        )
        for steel in (setting.datum + 1.0, setting.datum + 10.0)
    ]  # fmt: skip
    published("45.7 m: 1 K and 10 K above the middle", (0.548e-3, 5.48e-3), ours, "m", rel=1e-3)


def test_sixty_metres_and_35_kelvin(published):
    bridge, screen, set_by = girder(60.0)
    ours = [
        expected_of(
            inspect(bridge, "eurocode", [read("offset along", 0.0, steel)],
                    screen=screen, set_by=set_by),
            "offset along",
        )
        for steel in (0.0, 35.0)
    ]  # fmt: skip
    published("60 m warmed by 35 K", 25.2e-3, ours[1] - ours[0], "m", rel=1e-6)


def turned_about_z(angle, middle):
    """Both ends (left, right) of a roller's axis of 0.9 m, turned in plan about its middle."""
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return [turn @ np.array([0.0, side * LENGTH / 2.0]) + middle for side in (1.0, -1.0)]


def test_skew_of_a_roller_turned_in_plan(published, span):
    # turned to the right (clockwise from above) its left end comes ahead
    middle = np.array([0.004, 0.0])
    left, right = turned_about_z(-0.0080, middle)
    found = rolled(
        span,
        read("offset along", 0.008, 20.0),
        read("roller offset/left", left[0], 20.0),
        read("roller offset/right", right[0], 20.0),
    )
    published("Skew of a roller turned by 8 mrad", 0.0080, found["roller skew"].found, "", rel=1e-4)
    published("Its middle", 0.004, found["roller offset"].found, "m", rel=1e-9)
    assert found["roller skew"].state == "out"
    assert found["roller offset"].state == "within"


def test_gaps_of_a_roller_that_rolled_without_slip(published, span):
    # the roller turns about its lowest point: its top goes twice as far as its middle
    turn = 0.2
    rotation = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    steps = 10_000
    small = turn / steps
    centre = (
        steps
        * (
            np.array([[math.cos(small), math.sin(small)], [-math.sin(small), math.cos(small)]])
            @ np.array([0.0, DIAMETER / 2.0])
        )[0]
    )
    assert rotation[0, 1] > 0.0  # clockwise: toward +x
    # stops stand 50 mm off the sides of the roller at rest
    behind = (centre - DIAMETER / 2.0) - (-STOP - DIAMETER / 2.0)
    ahead = (STOP + DIAMETER / 2.0) - (centre + DIAMETER / 2.0)
    found = rolled(
        span,
        read("offset along", DIAMETER * turn, 20.0),
        read("roller gap/falling", behind, 20.0),
        read("roller gap/rising", ahead, 20.0),
    )
    ours = (found["roller gap falling"].expected, found["roller gap rising"].expected)
    published("Gaps to stops, turned by 0.2 rad", (behind, ahead), ours, "m", rel=1e-6)


def test_a_plane_through_four_gaps(published, span):
    """Least squares through the four measured points against the two differences."""
    from bedstone.bearings.pot_sizes import PotBody

    body = PotBody(0.4, 0.03, 0.04, 0.02, 0.05, 0.035, 0.01, 0.0005, 2, 0.01, 0.002)
    radius = body.outside / 2.0
    gaps = {"1": 0.0171, "2": 0.0152, "3": 0.0139, "4": 0.0158}  # rising, left, falling, right
    points = np.array([[radius, 0.0], [0.0, radius], [-radius, 0.0], [0.0, -radius]])
    plane, *_ = np.linalg.lstsq(
        np.column_stack([np.ones(4), points]), np.array(list(gaps.values())), rcond=None
    )
    setting = next(item for item in span[2] if item.seat == "A2-1")

    class Made:
        bearing = None
        reach = (0.5, 0.5)

    from bedstone.bearings.common.seating import Seating
    from bedstone.bearings.pot_sizes import Pot

    plate = Seating(0.5, 0.5, 0.03, "S355", 0, "", "", 0, 0.0, 0.0, 0.0)
    made = Made()
    made.bearing = Pot(body, None, 0.0, plate, plate)
    readings = [read(f"pot gap/{place}", gap, 20.0) for place, gap in gaps.items()]
    visit = Visit(
        replace(setting, kind="pot"), visits(readings)["A2-1"][-1], (), usual("inspection"),
        "eurocode", design=made,
    )  # fmt: skip
    found = {item.what: item for item in verdicts(visit)}
    ours = (
        found["pot rotation along"].found, found["pot rotation across"].found,
        found["pot gap"].found,
    )  # fmt: skip
    published("Plane through four gaps: slopes, mean", (*plane[1:], plane[0]), ours, "", rel=1e-9)


def test_two_visits_to_a_bearing_that_moves_by_half(published, span):
    """Mobility ratio (e2 - e1) / (alpha L (T2 - T1)) of two visits, by hand."""
    from bedstone.site.inspection.cause_rules import mobilities

    half = 0.5 * ALPHA * 45.7
    readings = [read("offset along", half * (steel - 14.0), steel) for steel in (-5.0, 30.0)]
    readings[0] = replace(readings[0], time=readings[0].time - dt.timedelta(days=120))
    setting = next(item for item in span[2] if item.seat == "A2-1")
    groups = visits(readings)["A2-1"]
    visit = Visit(setting, groups[-1], groups[:-1], usual("inspection"), "eurocode")
    ratio = next(item for item in mobilities(visit) if item.visited)
    published("Half as much as it should", 0.5, ratio.ratio, "", rel=1e-6)
    # its error: two readings of 3 mm and 2 K each, over the movement expected
    error = math.sqrt(2.0) * math.hypot(0.003, ALPHA * 45.7 * 2.0) / (ALPHA * 45.7 * 35.0)
    published("Error of the ratio", error, ratio.error, "", rel=1e-6)
