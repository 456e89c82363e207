"""What the state found does to the abutments, against the faults of `what-if` themselves."""

from dataclasses import replace

import numpy as np
import pytest

from bedstone.comparison.faults import what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.screen import Screen


def supports(effect):
    """Forces after, by support and name."""
    return {(item.support, item.effect): item.after for item in effect.supports}


def test_stuck_is_the_seized_bearing_of_what_if(truss):
    (effect,) = truss.seat("A2-1", {"movement": "stuck"}).effects
    fault = next(f for f in faults_of(truss.screen) if f.kind == "seized" and f.place == "A2-1")
    whole = what_if(truss.screen, [fault], full=0)
    order = whole.intact.layout
    for (mark, name), after in supports(effect).items():
        assert after == pytest.approx(
            float(whole.results[0].extremes.size[order.index(mark, name)])
        )
    along = next(c for c in effect.supports if (c.support, c.effect) == ("A2", "Fx"))
    assert along.after > 5.0 * along.before
    assert effect.friction_needed == pytest.approx(whole.results[0].friction_needed)


def test_a_sunken_seat_is_put_in_with_the_drop_found(truss):
    (effect,) = truss.seat("A2-1", {"seat level": -0.0123}).effects
    assert effect.fault == "A2-1 12.3 mm too low"
    (high,) = truss.seat("A2-1", {"seat level": 0.0071}).effects
    assert high.fault == "A2-1 7.1 mm too high"


@pytest.mark.parametrize(("left", "right", "way"), [(0.008, 0.0, "right"), (0.0, 0.008, "left")])
def test_a_skewed_roller_rolls_to_the_side_of_its_hind_end(truss, left, right, way):
    found = truss.seat(
        "A2-1", {"offset along": 0.008, "roller offset/left": left, "roller offset/right": right}
    )
    (effect,) = found.effects
    long = truss.setting("A2-1").design.rollers.length
    degrees = np.degrees(np.arctan(0.008 / long))
    # to a thousandth of a degree: nobody reads a roller finer
    assert effect.fault == f"A2-1 out of direction by {degrees:.3f} deg to the {way}"


def test_worn_guides_are_put_in_with_half_of_what_the_play_has_grown(truss):
    found = truss.seat("A2-1", {"guide gap/left": 0.0025, "guide gap/right": 0.0025})
    (effect,) = found.effects
    assert effect.fault == "A2-1: guides worn by 1.5 mm each side"


def test_no_contact_at_all_leaves_the_seat_out(truss):
    found = truss.seat("A2-1", {"contact": 0.0})
    assert any(item.fault == "A2-1 carries nothing" for item in found.effects)
    assert "carries nothing" in found.capacity.refusal
    assert found.rating.review or found.rating.blocked


def test_what_is_no_fault_of_the_arrangement_says_why(truss):
    found = truss.seat(
        "A2-2", {"level along": 0.02, "protrusion": 0.0002, "corrosion": "pack rust"}
    )
    assert [item.finding for item in found.effects] == [
        "level along", "protrusion", "corrosion 'pack rust'",
    ]  # fmt: skip
    assert all(item.fault == "" and item.why and not item.supports for item in found.effects)


def test_a_whole_line_off_alike_is_a_wrong_setting(truss, read):
    offsets = [read(seat, "offset along", 0.0073 + 0.020) for seat in ("A2-1", "A2-2")]
    found = truss(*offsets)
    for item in found.seats:
        effect = next(e for e in item.effects if "whole line" in e.finding)
        # 20 mm at 0.768 mm/degC: 26 K; standing too far out, as if set on a day that much colder
        assert "26 K too cold" in effect.finding
        assert effect.fault == "" or "too cold" in effect.fault


def test_the_bridge_judged_is_left_as_it_was(truss):
    before = truss.prepared.bridge.model_dump_json()
    truss.seat("A2-1", {"movement": "stuck", "seat level": -0.02, "offset along": 0.13})
    assert truss.prepared.bridge.model_dump_json() == before
    assert truss.screen.prepared is truss.prepared


def test_a_stop_across_or_a_bridge_without_faults_in_its_file_needs_nothing_there(truss):
    faults = truss.prepared.bridge.faults.model_copy(update={"seized": False, "stop": False})
    bare = truss.prepared.bridge.model_copy(update={"faults": faults})
    prepared = replace(truss.prepared, bridge=bare)
    judged = replace(truss, prepared=prepared, screen=Screen(prepared, "eurocode"))
    (effect,) = judged.seat("A2-1", {"movement": "stuck"}).effects
    assert "seized" in effect.fault


def test_a_gap_on_all_four_sides_is_no_support(truss):
    sides = ("falling", "rising", "left", "right")
    found = truss.seat("A2-1", {f"lift-off/{side}": 0.001 for side in sides})
    assert [item.fault for item in found.effects] == ["A2-1 carries nothing"]
    one = truss.seat("A2-1", {"lift-off/falling": 0.001, "lift-off/rising": 0.0})
    assert one.effects[0].fault == ""


def test_a_guide_that_holds_along_is_not_said_to_hold_across(truss):
    """A1-2 is guided across: its guide stands along the bridge."""
    found = truss.seat("A1-2", {"guide gap/falling": 0.0, "guide gap/rising": 0.0012})
    [told] = [item for item in found.effects if "guide gap" in item.finding]
    assert told.why.startswith("the guide holds already")
