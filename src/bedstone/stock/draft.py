"""A bridge file from the little that a register of bridges knows: the rest is assumed, and told.

Whatever the outline does not say is taken from ``stock/data/draft.toml``, written into the file
with a comment beside it, and counted. A draft is a bridge to begin with. It is no survey.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.site.tolerances import Tolerances, usual
from bedstone.stock.draft_arrangement import (
    assumed_lines,
    fixed_line,
    moving_line,
    write_arrangement,
    write_given,
)
from bedstone.stock.draft_deck import breadth, carriageway
from bedstone.stock.draft_girders import write_girders
from bedstone.stock.draft_outline import (
    FAMILIES,
    KINDS,
    TYPES,
    Assumption,
    Draft,
    Line,
    Outline,
    line_marks,
    marks,
)
from bedstone.stock.draft_page import Page, metres
from bedstone.stock.draft_truss import exposed, write_truss

__all__ = [
    "FAMILIES", "KINDS", "TYPES", "Assumption", "Draft", "Line", "Outline", "assumed_lines",
    "draft", "fixed_line", "line_marks", "marks", "moving_line",
]  # fmt: skip


def draft(
    outline: Outline,
    assumptions: Tolerances | None = None,
    *,
    head: Sequence[str] = (),
) -> Draft:
    """The bridge file of an outline.

    `assumptions`: those of "draft", of the room "stock"; `head`: lines of comment in front of all.
    The text says nothing about whether the bridge stands: reading and examining it does.
    """
    values = usual("draft", "stock") if assumptions is None else assumptions
    page = Page(values)
    for line in head:
        page.comment(line)
    write_head(page, outline)
    write_supports(page, outline)
    if outline.truss:
        write_truss(page, outline)
    else:
        write_girders(page, outline)
    write_actions(page, outline)
    lines = write_arrangement(page, outline)
    given, partly = write_given(page, lines)
    return Draft(outline, page.text(), tuple(page.assumed), given, partly, tuple(page.notes))


def write_head(page: Page, outline: Outline) -> None:
    page.comment("Draft from a register: every value marked 'assumed' has to be looked at.")
    page.comment("No earthquake is in it; no member is checked by it.")
    page.table("bridge")
    page.told("name", outline.name)
    if outline.reference:
        page.told("reference", outline.reference)
    page.told("standard", outline.family)
    page.told("use", outline.use)
    note = [outline.carried] if outline.carried else []
    note += [f"built {outline.year}"] if outline.year else []
    if note:
        page.told("note", ", ".join(note))
    if outline.radius is not None:
        page.table("alignment")
        page.told("radius", metres(abs(outline.radius)))
        page.told("turn", "left" if outline.radius > 0.0 else "right")


def write_supports(page: Page, outline: Outline) -> None:
    names = marks(len(outline.spans))
    chainage = 0.0
    for number, mark in enumerate(names):
        page.table("support", f"support {mark}", many=True)
        page.told("mark", mark)
        page.told("chainage", metres(chainage))
        if outline.skew:
            page.told("skew", f"{math.degrees(outline.skew):.6g} deg")
        if number in (0, len(names) - 1):
            page.guess("below", {"kind": "rigid"}, "an abutment that does not give way")
            page.usual("base_level", "abutment_base", page.of("abutment_base"))
        else:
            _pier(page, outline, number - 1, f"support {mark}")
        if number < len(outline.spans):
            chainage += outline.spans[number]


def _pier(page: Page, outline: Outline, number: int, called: str) -> None:
    told = None if outline.heights is None else outline.heights[number]
    height = page.number("pier_height") if told is None else told
    wide = breadth(page, outline)
    most, least = page.number("pier_columns"), 2.0 if outline.truss else 1.0
    count = round(max(least, min(most, wide / page.number("pier_apart"))))
    by_track = "pier_slenderness_rail" if outline.use == "rail" else "pier_slenderness"
    of, diameter = page.governs(
        (by_track, height / page.number(by_track)), ("pier_least", page.number("pier_least"))
    )
    two_trusses = outline.truss and count == 2
    apart = max(wide if two_trusses else wide / count, diameter * page.number("pier_clear"))
    page.table("support.below", f"{called}.below")
    page.told("kind", "column")
    if two_trusses:
        page.guess("count", count, "a column below each truss")
    else:
        page.usual("count", "pier_apart", count)
    if count > 1:
        page.follows(
            "spacing", metres(round(apart, 1)), "columns stand evenly below what they carry"
        )
    page.usual("diameter", of, metres(round(diameter, 2)))
    page.either("height", None if told is None else metres(told), "pier_height", metres(height))
    page.usual("E", "pier_E", page.of("pier_E"))
    page.table("support.below.foundation", f"{called}.below.foundation")
    for key in ("kx", "ky"):
        page.usual(key, "foundation_sway", page.of("foundation_sway"))
    page.usual("kz", "foundation_down", page.of("foundation_down"))
    for key in ("krx", "kry", "krz"):
        page.usual(key, "foundation_turn", page.of("foundation_turn"))
    page.table("support.bounds", f"{called}.bounds")
    page.usual("lower", "bound_lower", page.number("bound_lower"))
    page.usual("upper", "bound_upper", page.number("bound_upper"))


def write_actions(page: Page, outline: Outline) -> None:
    page.table("actions.traffic")
    if outline.use == "rail":
        speed = page.of("speed_rail")
        page.guess("tracks", [{"offset": "0 m", "speed": speed}], "one track in the middle")
    else:
        half = carriageway(page, outline) / 2.0
        for key, y in (("right", -half), ("left", half)):
            if outline.width is None:
                page.usual(key, "truss_beside" if outline.truss else "kerb", metres(y))
            else:
                page.follows(key, metres(y), "the carriageway that was told, in the middle")
        page.usual("speed", "speed_road", page.of("speed_road"))
    page.table("actions.temperature")
    warm = page.number("air_max")
    cold = warm - page.number("air_range")
    if outline.air is None:
        page.usual("air_min", "air_range", f"{cold:g} degC")
        page.usual("air_max", "air_max", f"{warm:g} degC")
    else:
        page.told("air_min", f"{outline.air[0]:g} degC")
        page.told("air_max", f"{outline.air[1]:g} degC")
    told = None if outline.setting is None else f"{outline.setting:g} degC"
    page.either("setting", told, "setting", f"{page.number('setting'):g} degC")
    page.usual("surfacing", "surfacing", page.of("surfacing"))
    page.table("actions.wind")
    wind = f"wind_{outline.family}"
    page.usual("speed", wind, page.of(wind))
    area, level = exposed(page, outline) if outline.truss else (0.0, 0.0)
    if outline.truss:
        faces = "floor and members of both trusses, which are assumed"
        by_drag = "" if outline.family == "eurocode" else "; half, as the drag is that of both"
        page.follows("depth", metres(round(area, 2)), f"{faces}{by_drag}")
    for mark in marks(len(outline.spans))[1:-1]:
        page.table("actions.settlement", f"actions.settlement {mark}", many=True)
        page.told("support", mark)
        page.usual("value", "settlement", page.of("settlement"))
    if outline.type in ("composite girders", "concrete girders"):
        page.table("actions.shrinkage")
        page.usual("strain", "shrinkage", page.number("shrinkage"))
    if outline.family != "eurocode" or outline.truss:
        page.table(f"choices.{outline.family}")
    if outline.truss:
        page.follows('"wind.level"', round(level, 2), "m above the road, the middle of that depth")
    if outline.family != "eurocode":
        page.usual('"thermal.heat"', "difference_warm", page.number("difference_warm"))
        page.usual('"thermal.cool"', "difference_cold", page.number("difference_cold"))
