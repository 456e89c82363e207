"""Verdicts on readings of the example truss: alpha L, halves, sums of gaps worked out by hand."""

import pytest

from bedstone.errors import InputError

#: Steel, and the span from the fixed bearing: EN 1991-1-5 gives 12e-6 for steel (from memory).
PER_KELVIN = 12e-6 * 64.0
DATUM = 14.5  # degC, middle of -24 to 53


def verdict(found, what):
    """The one verdict of a name."""
    (item,) = [v for v in found.verdicts if v.what == what]
    return item


def test_an_offset_is_held_against_alpha_l_from_the_datum(truss):
    expected = PER_KELVIN * (24.0 - DATUM)
    found = truss.seat("A2-1", {"offset along": expected + 0.004})
    item = verdict(found, "offset along")
    assert item.expected == pytest.approx(expected, rel=1e-6)
    assert item.difference == pytest.approx(0.004, rel=1e-6)
    assert item.state == "within"
    room = 2.0 * truss.setting("A2-1").budget[0].total
    assert item.high - item.expected == pytest.approx(room)


def test_an_offset_is_out_by_what_it_passes_its_tolerance(truss):
    expected = PER_KELVIN * (24.0 - DATUM)
    room = 2.0 * truss.setting("A2-1").budget[0].total
    item = verdict(truss.seat("A2-1", {"offset along": expected - room - 0.007}), "offset along")
    assert item.state == "out"
    assert item.out_by == pytest.approx(0.007, rel=1e-6)


def test_before_a_stage_has_come_its_movement_is_still_missing(truss):
    setting = truss.setting("A2-1")
    later = next(s for s in setting.stages if s.name == "finished")
    whole = truss.seat("A2-1", {"offset along": 0.0})
    early = truss.seat("A2-1", {"offset along": 0.0}, stage="slab cast")
    difference = verdict(whole, "offset along").expected - verdict(early, "offset along").expected
    assert later.vx > 0.001
    assert difference == pytest.approx(later.vx, rel=1e-9)


def test_without_a_temperature_an_offset_is_not_judged(truss):
    item = verdict(truss.seat("A2-1", {"offset along": 0.1}, steel=None), "offset along")
    assert item.state == "not judged"
    assert "temperature" in item.why


def test_what_follows_from_a_wrong_offset_is_not_wrong_as_well(truss):
    wrong = 0.060  # the bearing stands 53 mm off what the temperature asks
    found = truss.seat(
        "A2-1",
        {
            "offset along": wrong,
            "roller offset/left": wrong / 2.0,
            "roller offset/right": wrong / 2.0,
            "roller gap/falling": 0.065 + wrong / 2.0,
            "roller gap/rising": 0.065 - wrong / 2.0,
        },
    )
    assert [item.what for item in found.out] == ["offset along"]


def test_a_roller_as_far_off_as_its_plate_is_out(truss):
    found = truss.seat("A2-1", {"offset along": 0.0073, "roller offset/left": 0.0090})
    item = verdict(found, "roller offset")
    assert item.expected == pytest.approx(0.00365)
    assert item.state == "out"


def test_skew_is_the_difference_of_both_ends_over_the_length(truss):
    long = truss.setting("A2-1").design.rollers.length
    for difference, state in ((0.0049 * long, "within"), (0.0051 * long, "out")):
        found = truss.seat(
            "A2-1",
            {
                "offset along": 0.0073,
                "roller offset/left": 0.00365 + difference / 2.0,
                "roller offset/right": 0.00365 - difference / 2.0,
            },
        )
        item = verdict(found, "roller skew")
        assert item.found == pytest.approx(difference / long)
        assert item.state == state
        assert verdict(found, "roller offset").state == "within"


@pytest.mark.parametrize(
    ("left", "right", "gap", "play"),
    [
        (0.0010, 0.0010, "within", "within"),
        (0.0000, 0.0020, "out", "within"),
        (0.0016, 0.0014, "within", "out"),
        (0.0000, 0.0030, "out", "out"),
    ],
)
def test_guides_are_used_up_on_a_side_or_worn_on_both(truss, left, right, gap, play):
    found = truss.seat("A2-1", {"guide gap/left": left, "guide gap/right": right})
    assert verdict(found, "guide gap").state == gap
    assert verdict(found, "guide play").state == play


def test_overhangs_follow_the_offset_found_and_never_lack(truss):
    way = next(e.ahead for e in truss.setting("A2-2").ends if e.axis == "x")
    found = truss.seat(
        "A2-2",
        {"offset along": 0.010, "overhang/falling": way - 0.010, "overhang/rising": way + 0.010},
    )
    assert verdict(found, "overhang rising").difference == pytest.approx(0.0, abs=1e-12)
    assert verdict(found, "overhang falling").state == "within"
    swapped = truss.seat(
        "A2-2",
        {"offset along": 0.010, "overhang/falling": way + 0.010, "overhang/rising": way - 0.010},
    )
    assert {item.what for item in swapped.out} == {"overhang falling", "overhang rising"}


def test_a_slope_is_allowed_less_where_parts_roll_or_slide(truss):
    for seat, state in (("A2-1", "out"), ("A2-2", "out"), ("A1-1", "within")):
        found = truss.seat(seat, {"level along": 0.005})
        assert verdict(found, "level along").state == state


def test_the_least_diameter_is_held_against_the_one_as_drawn(truss):
    found = truss.seat(
        "A2-1", {"diameter/left": 0.1602, "diameter/middle": 0.1594, "diameter/right": 0.160}
    )
    item = verdict(found, "diameter")
    assert (item.found, item.expected, item.state) == (0.1594, pytest.approx(0.16), "out")


def test_a_measured_size_by_its_name_in_the_bridge_file(truss):
    found = truss.seat("A2-1", {"size: knuckle_thickness": 0.0648, "size: wings": 0.1})
    assert verdict(found, "size: knuckle_thickness").state == "within"
    assert verdict(found, "size: wings").state == "not judged"


def test_pot_gaps_give_a_rotation_and_a_mean(truss):
    pot = next(d for d in truss.designs if d.seat == "A2-2").choice.design.bearing
    gap, slope, across = pot.body.gap, 0.004, pot.body.outside
    found = truss.seat(
        "A2-2",
        {
            "pot gap/1": gap + slope * across / 2.0,
            "pot gap/2": gap,
            "pot gap/3": gap - slope * across / 2.0,
            "pot gap/4": gap,
        },
    )
    assert verdict(found, "pot rotation along").found == pytest.approx(slope)
    assert verdict(found, "pot rotation across").found == pytest.approx(0.0, abs=1e-12)
    assert verdict(found, "pot gap").difference == pytest.approx(0.0, abs=1e-12)


def test_words_that_ask_for_something_are_out(truss):
    found = truss.seat("A1-1", {"corrosion": "rust spots", "anchor": "bent", "movement": "free"})
    assert [item.what for item in found.out] == ["anchor"]


def test_a_joint_must_be_as_wide_as_it_still_closes(truss, read):
    rows = truss.setting("A2-1").row(24.0)
    needs = max(rows.opening.closes, truss.setting("A2-2").row(24.0).opening.closes)
    needs += truss.setting("A2-1").row(14.5).opening.change * -1.0
    wide, narrow = (truss(read("A2", "joint gap", needs + d)).joints[0] for d in (0.001, -0.001))
    assert (wide.state, narrow.state) == ("within", "out")
    assert narrow.out_by == pytest.approx(0.001)


def test_a_plate_that_lacks_is_out_though_near_what_is_expected(truss):
    """The sheet stands out by 1 mm where the plate should cover it by 1 mm."""
    end = next(
        item for item in truss.seat("A2-2", {"offset across": 0.0}).left if item.end.axis == "y"
    )
    at = end.end.ahead - 0.001
    found = truss.seat("A2-2", {"offset across": at, "overhang/left": 0.0, "overhang/right": 0.0})
    least = min((verdict(found, f"overhang {side}") for side in ("left", "right")),
                key=lambda item: item.expected)  # fmt: skip
    assert least.expected == pytest.approx(0.001)
    assert (least.low, least.state) == (0.0, "within")
    side = least.what.split()[-1]
    lacks = truss.seat("A2-2", {"offset across": at, f"overhang/{side}": -0.001})
    assert verdict(lacks, f"overhang {side}").state == "out"


def test_what_has_closed_a_joint_does_not_close_it_again(truss, read):
    """Slab and finish move the end out by 16.9 mm and turn it by 2.06 mrad, 1.6 m below the road.

    16.95 mm - 2.06 mrad x 1.6 m = 13.65 mm at road level: within the gap once they have come.
    """
    later = [item for item in truss.setting("A2-1").stages if not item.before]
    moved = sum(item.vx for item in later) + 1.6 * sum(item.ry for item in later)
    gap = read("A2", "joint gap", 0.120)
    now, early = truss(gap).joints[0], truss(gap, stage="steel erected").joints[0]
    assert early.low - now.low == pytest.approx(moved, abs=0.1e-3)
    assert moved == pytest.approx(13.65e-3, abs=0.1e-3)


def test_the_latest_visit_is_judged(truss, read):
    found = truss(
        read("A2-1", "offset along", 0.500, day="2025-01-10"),
        read("A2-1", "offset along", 0.0073),
    )
    assert not found.out


def test_a_seat_that_is_not_there_and_a_stage_that_is_not_are_told(truss, read):
    with pytest.raises(InputError) as caught:
        truss(read("A9-1", "offset along", 0.0), read("A2-7", "dirt", "some"), stage="painted")
    assert [fault.where for fault in caught.value.faults] == [
        "row 1, seat",
        "row 1, seat",
        "--stage",
    ]


def test_no_readings_are_an_error(truss):
    with pytest.raises(InputError, match="one reading at least"):
        truss()


def test_the_side_ahead_goes_down_as_the_end_still_turns(truss, read):
    # right-handed about y' (to the left): z toward x, so what lies ahead comes down
    turn_x, turn_y = truss.setting("A2-2").turns
    found = truss.seat("A2-2", {f"pot gap/{place}": 0.008 for place in "1234"})
    assert abs(turn_y) > 0.001
    assert verdict(found, "pot rotation along").expected == pytest.approx(-turn_y)
    assert verdict(found, "pot rotation across").expected == pytest.approx(turn_x)
