"""The plan: what stands where on its layers, to scale, without text over text.

Text sizes are measured by ezdxf's own extents of the entities, apart from the code that places
them. That an arrow marks a free direction and a bar a held one is the rule of this drawing itself.
"""

import dataclasses
import itertools
import math
import xml.etree.ElementTree as ET

import pytest
from ezdxf import bbox
from ezdxf.document import Drawing
from ezdxf.math import BoundingBox2d

from bedstone.output.plan import LAYERS, plan_drawing, plan_svg
from bedstone.schedule.result import Schedule


def texts(document: Drawing) -> list[str]:
    return [entity.dxf.text for entity in document.modelspace().query("TEXT")]


def test_the_layers_are_there_and_used(schedule: Schedule) -> None:
    document = plan_drawing(schedule)
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert used == set(LAYERS)
    assert document.units == 6  # metres, DXF header variable $INSUNITS


def test_the_deck_is_drawn_in_metres(truss: Schedule) -> None:
    lines = plan_drawing(truss).modelspace().query('LWPOLYLINE[layer=="deck edge"]')
    lengths = sorted(
        math.dist(a, b) for line in lines for a, b in [[p[:2] for p in line.get_points()]]
    )
    # 56 m long, 6.2 m wide: the outline of the schedule
    assert lengths == pytest.approx([6.2, 6.2, 56.0, 56.0])


def test_every_mark_function_and_force_is_written(schedule: Schedule) -> None:
    told = texts(plan_drawing(schedule))
    for seat in schedule.seats:
        assert f"{seat.mark} {seat.function}" in told
    for support in schedule.supports:
        assert told.count(support.mark) == 2  # in the plan and on the enlarged support
    # the seismic limit state governs in this schedule; equilibrium gives no forces
    line = next(
        each
        for each in schedule.support_lines
        if (each.place, each.effect, each.sense, each.limit_state)
        == ("A1", "Fx", "max", "ULS seismic")
    )
    assert f"Fx {line.value / 1e3:.0f} (s)" in told
    assert any("(s) ULS seismic" in text for text in told)


def test_no_text_lies_over_another_and_none_leaves_the_sheet(schedule: Schedule) -> None:
    document = plan_drawing(schedule)
    space = document.modelspace()
    frame = bbox.extents([space.query('LWPOLYLINE[layer=="frame"]')[0]])
    boxes = [
        (entity.dxf.text, BoundingBox2d(bbox.extents([entity]))) for entity in space.query("TEXT")
    ]
    for (first, a), (second, b) in itertools.combinations(boxes, 2):
        assert not a.has_intersection(b), (first, second)
    sheet = BoundingBox2d(frame)
    for text, box in boxes:
        assert sheet.contains(box), text


def test_a_long_name_is_shortened(truss: Schedule) -> None:
    long = dataclasses.replace(truss, bridge="Bridge over the river " * 20, arrangement="x" * 300)
    test_no_text_lies_over_another_and_none_leaves_the_sheet(long)


def test_a_held_direction_has_bars_and_a_free_one_arrows(truss: Schedule) -> None:
    counts = {}
    for function, held in (("fixed", (True, True)), ("free", (False, False))):
        seats = tuple(
            dataclasses.replace(seat, function=function, held=(*held, *(False,) * 4))
            for seat in truss.seats
        )
        space = plan_drawing(dataclasses.replace(truss, seats=seats)).modelspace()
        counts[function] = len(space.query('SOLID[layer=="bearing"]'))
    # the legend has 8 arrow heads; each of 4 free seats is drawn twice with 4 of them
    assert counts == {"fixed": 8, "free": 8 + 4 * 2 * 4}


def simple_spans(schedule: Schedule, *marks: str) -> Schedule:
    """The schedule with two seats, of the span behind and of that ahead, at some supports."""
    seats = tuple(
        dataclasses.replace(seat, mark=f"{seat.mark}{side}")
        for seat in schedule.seats
        for side in (("b", "a") if seat.support in marks else ("",))
    )
    return dataclasses.replace(schedule, seats=seats)


def test_bearings_of_two_spans_at_one_place_stand_side_by_side(truss: Schedule) -> None:
    space = plan_drawing(simple_spans(truss, "A2")).modelspace()
    heads = len(space.query('SOLID[layer=="bearing"]'))
    # legend 8; A1-2 guided across 2; A2 guided along and free, 2 and 4, twice; all drawn twice
    assert heads == 8 + 2 * (2 + 2 * (2 + 4))
    dots = [entity.dxf.center for entity in space.query('CIRCLE[layer=="bearing"]')]
    assert min(math.dist(a, b) for a, b in itertools.combinations(dots, 2)) > 0.1


def test_a_joint_is_drawn_where_one_span_ends_and_the_next_begins(skew: Schedule) -> None:
    def across(schedule: Schedule) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
        # edges along the deck are 65 m long; 11.2 m square, 25 degrees skew, give a line across
        lines = plan_drawing(schedule).modelspace().query('LWPOLYLINE[layer=="deck edge"]')
        pairs = [tuple(point[:2] for point in line.get_points()) for line in lines]
        wanted = pytest.approx(11.2 / math.cos(math.radians(25.0)))
        return [(a, b) for a, b in pairs if math.dist(a, b) == wanted]

    ends = across(skew)
    assert len(ends) == 2
    told = across(simple_spans(skew, "P1"))
    assert len(told) == 4
    middles = sorted((a[0] + b[0]) / 2 for a, b in told)
    # the joint stands over P1, half way between the ends, and shows as a gap
    assert (middles[1] + middles[2]) / 2 == pytest.approx((middles[0] + middles[3]) / 2)
    assert 0.0 < middles[2] - middles[1] < 1.0
    test_no_text_lies_over_another_and_none_leaves_the_sheet(simple_spans(skew, "P1"))


def test_the_legend_names_the_symbols_that_occur(truss: Schedule) -> None:
    plain = texts(plan_drawing(truss))
    assert not {"no bearing", "elastic (sprung)"} & set(plain)
    assert any("arrows not to scale" in text for text in plain)
    first, second, *rest = truss.seats
    odd = (
        dataclasses.replace(first, function="elastic", held=(False,) * 6, sprung=(True,) * 6),
        dataclasses.replace(second, function="none", held=(False,) * 6),
        *rest,
    )
    changed = dataclasses.replace(truss, seats=odd)
    assert {"no bearing", "elastic (sprung)"} <= set(texts(plan_drawing(changed)))
    test_no_text_lies_over_another_and_none_leaves_the_sheet(changed)


def test_arrows_show_the_way_of_the_forces(truss: Schedule) -> None:
    one_way = tuple(
        dataclasses.replace(line, value=abs(line.value)) if line.effect == "Fx" else line
        for line in truss.support_lines
    )
    told = texts(plan_drawing(dataclasses.replace(truss, support_lines=one_way)))
    assert not [text for text in told if text.startswith("Fx −")]
    none = tuple(line for line in truss.support_lines if line.effect != "Fx")
    told = texts(plan_drawing(dataclasses.replace(truss, support_lines=none)))
    assert told.count("Fx 0") == 2


def test_many_supports_take_a_larger_sheet(skew: Schedule) -> None:
    many = tuple(
        dataclasses.replace(skew.supports[0], mark=f"P{number}", chainage=20.0 * number)
        for number in range(30)
    )
    seats = tuple(
        dataclasses.replace(
            seat,
            mark=f"{support.mark}-{seat.mark[-1]}",
            support=support.mark,
            point=(seat.point[0] + support.chainage, *seat.point[1:]),
        )
        for support in many
        for seat in skew.seats[:4]
    )
    lines = tuple(
        dataclasses.replace(line, place=support.mark, value=math.copysign(98765e3, line.value))
        for support in many
        for line in skew.support_lines
        if line.place == "A1" and line.limit_state == "ULS seismic"
    )
    large = dataclasses.replace(skew, supports=many, seats=seats, outline=(), support_lines=lines)
    test_no_text_lies_over_another_and_none_leaves_the_sheet(large)
    document = plan_drawing(large)
    assert {f"P{number}" for number in range(30)} <= set(texts(document))
    root = ET.fromstring(plan_svg(large))
    assert float(root.attrib["width"].removesuffix("mm")) > 297.0


def test_the_picture_is_an_a4_sheet_and_the_same_each_time(schedule: Schedule) -> None:
    first = plan_svg(schedule)
    root = ET.fromstring(first)
    assert (root.attrib["width"], root.attrib["height"]) == ("297mm", "210mm")
    assert plan_svg(dataclasses.replace(schedule)) == first
