"""Wherever a bearing stands, readings that agree with each other are out for its place alone."""

from hypothesis import given
from hypothesis import strategies as st

from bedstone.site.inspection.verdicts import verdicts

OFFSETS = st.floats(-0.09, 0.09)
STEEL = st.floats(-24.0, 53.0)


@given(offset=OFFSETS, steel=STEEL)
def test_rollers_and_stops_follow_the_plate(truss, read, offset, steel):
    visit = truss.visit(
        "A2-1",
        read("A2-1", "offset along", offset, steel),
        read("A2-1", "roller offset/left", offset / 2.0, steel),
        read("A2-1", "roller offset/right", offset / 2.0, steel),
        read("A2-1", "roller gap/falling", 0.065 + offset / 2.0, steel),
        read("A2-1", "roller gap/rising", 0.065 - offset / 2.0, steel),
    )
    found = verdicts(visit)
    assert {item.what for item in found if item.state == "out"} <= {"offset along"}
    place = next(item for item in found if item.what == "offset along")
    # 64 m of steel from the middle of the range at 14.5 degC
    expected = 12e-6 * 64.0 * (steel - 14.5)
    room = 2.0 * truss.setting("A2-1").budget[0].total
    assert (place.state == "out") == (abs(offset - expected) > room + 1e-12) or abs(
        abs(offset - expected) - room
    ) < 1e-9


@given(along=st.floats(-0.1, 0.1), across=st.floats(-0.03, 0.03), steel=STEEL)
def test_the_slide_plate_hangs_over_where_it_went(truss, read, along, across, steel):
    visit = truss.visit(
        "A2-2",
        read("A2-2", "offset along", along, steel),
        read("A2-2", "offset across", across, steel),
        read("A2-2", "overhang/falling", 0.125 - along, steel),
        read("A2-2", "overhang/rising", 0.125 + along, steel),
        read("A2-2", "overhang/right", 0.035 - across, steel),
        read("A2-2", "overhang/left", 0.035 + across, steel),
    )
    wrong = {item.what for item in verdicts(visit) if item.state == "out"}
    assert wrong <= {"offset along", "offset across"}


@given(
    offset=st.floats(-0.06, 0.06), slip=st.floats(0.0031, 0.02), sign=st.sampled_from([-1.0, 1.0])
)
def test_a_roller_that_slipped_is_out_and_its_stops_are_not(truss, read, offset, slip, sign):
    # beyond the larger of 3 mm and a tenth of the offset, short of the stops 65 mm off
    at = offset / 2.0 + sign * (slip + 0.1 * abs(offset))
    visit = truss.visit(
        "A2-1",
        read("A2-1", "offset along", offset, 20.0),
        read("A2-1", "roller offset/left", at, 20.0),
        read("A2-1", "roller offset/right", at, 20.0),
        read("A2-1", "roller gap/falling", 0.065 + at, 20.0),
        read("A2-1", "roller gap/rising", 0.065 - at, 20.0),
    )
    wrong = {item.what for item in verdicts(visit) if item.state == "out"} - {"offset along"}
    assert wrong == {"roller offset"}
