"""Trusses of a draft: panels, members, floor, stages, and what the wind meets."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.stock.draft_deck import carriageway, continuity, plates, stage, truss_spacing, widths
from bedstone.stock.draft_outline import Outline
from bedstone.stock.draft_page import Page, metres, millimetres

__all__ = ["exposed", "write_truss"]


def write_truss(page: Page, outline: Outline) -> None:
    """Write a superstructure of two trusses."""
    panels = [max(4, 2 * round(span / page.number("panel") / 2.0)) for span in outline.spans]
    height = _truss_height(page, outline)
    spacing = truss_spacing(page, outline)
    page.table("superstructure")
    page.told("kind", "truss")
    page.guess("form", "warren with posts", "the panels of most trusses (common practice)")
    page.told("deck", outline.type.split()[0])
    continuity(page, outline)
    page.usual("panels", "panel", panels)
    page.either(
        "heights",
        None if outline.depth is None else [metres(height)],
        "ratio_truss",
        [metres(height)],
    )
    by_width = outline.use == "road" and outline.width is not None
    of = "truss_beside" if by_width else "truss_spacing"
    page.either(
        "spacing", None if outline.spacing is None else metres(spacing), of, metres(spacing)
    )
    apart = page.number("stringers")
    if outline.use == "rail":
        between, stringers = apart, 2
    else:
        between = spacing - page.number("stringers_beside")
        stringers = max(3, round(between / apart) + 1)
    offsets = [-between / 2.0 + n * between / (stringers - 1) for n in range(stringers)]
    page.usual("stringer_offsets", "stringers", [metres(y) for y in offsets])
    page.usual("surface_to_chord", "floor", page.of("floor"))
    page.usual("contact", "truss_contact", page.of("truss_contact"))
    _truss_sections(page, outline, spacing)
    page.table("superstructure.members")
    for group, section in (
        ("top_chord", "chord"), ("bottom_chord", "chord"), ("diagonals", "web"), ("posts", "web"),
        ("cross_girders", "cross girder"), ("stringers", "stringer"), ("lateral", "web"),
        ("top_struts", "web"), ("portals", "cross girder"),
    ):  # fmt: skip
        page.told(group, section)
    if outline.use == "road":
        page.table("superstructure.slab")
        given = None if outline.slab is None else metres(outline.slab)
        page.either("thickness", given, "slab_least", page.of("slab_least"))
    _truss_stages(page, outline, offsets)


def _chord(page: Page, outline: Outline) -> tuple[str, float]:
    """The assumption that governs a chord, and its depth and width (m)."""
    return page.governs(
        ("truss_chord", max(outline.spans) / page.number("truss_chord")),
        ("chord_least", page.number("chord_least")),
    )


def _truss_height(page: Page, outline: Outline) -> float:
    return outline.depth or round(max(outline.spans) / page.number("ratio_truss"), 1)


def _truss_sections(page: Page, outline: Outline, spacing: float) -> None:
    of, size = _chord(page, outline)
    thick = size / page.number("chord_slenderness")
    page.table("superstructure.sections.chord")
    page.told("kind", "steel box")
    for key, name, value in (
        ("top_width", of, size),
        ("top_thickness", "chord_slenderness", thick),
        ("web_depth", of, size),
        ("web_thickness", "chord_slenderness", thick),
        ("web_spacing", "chord_webs", page.number("chord_webs") * size),
        ("bottom_width", of, size),
        ("bottom_thickness", "chord_slenderness", thick),
    ):
        page.usual(key, name, millimetres(value))
    of_cross, cross = page.governs(
        ("cross_girder", spacing / page.number("cross_girder")),
        ("cross_girder_least", page.number("cross_girder_least")),
    )
    for name, depth, of, wide in (
        ("web", _web(page, outline), "truss_web", "truss_web_width"),
        ("cross girder", cross, of_cross, "cross_girder_width"),
        ("stringer", page.number("stringer"), "stringer", "stringer_width"),
    ):
        page.table(f'superstructure.sections."{name}"')
        plates(page, depth, page.why(of), wide=wide)


def _web(page: Page, outline: Outline) -> float:
    """Depth (m) of diagonals and posts."""
    return page.number("truss_web") * _chord(page, outline)[1]


def exposed(page: Page, outline: Outline) -> tuple[float, float]:
    """Depth (m) that a truss offers to the wind, and the level of its middle above the road (m).

    Its floor, and chords, diagonals and posts: a truss is no solid wall. The eurocode family counts
    the members of both trusses (EN 1991-1-4, 8.3.1(4) b, from memory); the drag coefficients of the
    others are those of both trusses together, so that half of the same faces is what they ask for.
    """
    height, chord, wide = (
        _truss_height(page, outline),
        _chord(page, outline)[1],
        _web(page, outline),
    )
    panel, floor = page.number("panel"), page.number("floor")
    web = wide * (math.hypot(panel, height) + height) / panel
    members = 2.0 * min(2.0 * chord + web, height / 2.0)
    upward = 1.0 if outline.type == "through truss" else -1.0
    moment = -floor * floor / 2.0 + members * (upward * height / 2.0 - floor)
    faces = floor + members
    return faces if outline.family == "eurocode" else faces / 2.0, moment / faces


def _truss_stages(page: Page, outline: Outline, offsets: Sequence[float]) -> None:
    stage(page, "girders erected", "steel", ["self weight"])
    stage(page, "slab cast", "steel", ["slab"] if outline.use == "road" else [])
    if outline.use == "rail":
        for y in (offsets[0], offsets[-1]):
            page.table("stage.loads", many=True)
            page.told("kind", "line")
            page.told("label", "rail with sleepers and fastenings")
            page.usual("line_value", "track_line", page.of("track_line"))
            page.follows("y", metres(y), "the rails lie on the stringers")
        return
    half = carriageway(page, outline) / 2.0
    stage(page, "finished", "steel", [])
    page.table("stage.loads", many=True)
    page.told("kind", "area")
    page.told("label", "surfacing")
    page.told("action", "surfacing")
    page.usual("value", "surfacing_load", page.of("surfacing_load"))
    widths(page, half)
