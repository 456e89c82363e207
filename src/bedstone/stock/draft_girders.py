"""Girders of a draft: sections, slab, bracing and stages."""

from __future__ import annotations

from bedstone.stock.draft_deck import (
    PARAPET_IN,
    breadth,
    carriageway,
    continuity,
    girder_count,
    girders_name,
    overhang,
    overhang_by,
    plates,
    stage,
    widths,
)
from bedstone.stock.draft_outline import Outline
from bedstone.stock.draft_page import Page, metres

__all__ = ["write_girders"]


def _end_overhang(page: Page, outline: Outline) -> float:
    """Girder beyond the end supports (m); none under a track, so that a span is its own length."""
    return 0.0 if outline.use == "rail" else page.number("end_overhang")


def write_girders(page: Page, outline: Outline) -> None:
    """Write a superstructure of girders."""
    kind = outline.type.split()[0]
    page.table("superstructure")
    page.told("kind", "girders")
    page.told("type", kind)
    continuity(page, outline)
    count = girder_count(page, outline)
    if outline.girders is not None:
        page.told("number", outline.girders)
    else:
        page.usual("number", girders_name(outline), count)
    told = None if outline.spacing is None else metres(outline.spacing)
    page.either("spacing", told, "spacing", page.of("spacing"))
    beyond = _end_overhang(page, outline)
    if beyond:
        for key in ("start_overhang", "end_overhang"):
            page.usual(key, "end_overhang", metres(beyond))
    page.usual("surface_to_slab", "surfacing", page.of("surfacing"))
    page.usual("contact", "contact", page.of("contact"))
    ratio = "ratio_rail" if outline.use == "rail" and kind != "concrete" else f"ratio_{kind}"
    depth = outline.depth or round(max(outline.spans) / page.number(ratio), 2)
    why = None if outline.depth is not None else page.why(ratio)
    _girder_section(page, kind, depth, why)
    end = sum(outline.spans) + beyond
    page.table("superstructure.segments", many=True)
    page.follows("start", metres(-beyond), "the end of the girders")
    page.follows("end", metres(end), "the end of the girders")
    page.told("section", "girder")
    page.table("superstructure.slab")
    spacing = outline.spacing or page.number("spacing")
    of, thick = page.governs(
        ("slab_ratio", spacing / page.number("slab_ratio")),
        ("slab_least", page.number("slab_least")),
    )
    given = None if outline.slab is None else metres(outline.slab)
    page.either("thickness", given, of, metres(round(thick, 2)))
    page.usual("haunch", "haunch", page.of("haunch"))
    of, wide = overhang_by(page, outline)
    for key in ("overhang_left", "overhang_right"):
        page.usual(key, of, metres(wide))
    page.table("superstructure.diaphragms")
    page.told("section", "brace")
    apart = "diaphragms_concrete" if kind == "concrete" else "diaphragms"
    page.usual("spacing", apart, page.of(apart))
    _girder_stages(page, outline, kind)


def _girder_section(page: Page, kind: str, depth: float, why: str | None) -> None:
    page.table("superstructure.sections.girder")
    if kind == "concrete":
        page.told("kind", "concrete rectangle")
        of, width = page.governs(
            ("rib_ratio", page.number("rib_ratio") * depth),
            ("rib_least", page.number("rib_least")),
        )
        page.usual("width", of, metres(round(width, 2)))
        if why is None:
            page.told("depth", metres(depth))
        else:
            page.guess("depth", metres(depth), why)
        page.table("superstructure.sections.brace")
        page.told("kind", "concrete rectangle")
        page.usual("width", "brace_concrete", page.of("brace_concrete"))
        own = page.number("brace_concrete_ratio") * depth
        page.usual("depth", "brace_concrete_ratio", metres(round(own, 2)))
        return
    plates(page, depth, why)
    _bracing(page, depth)


def _bracing(page: Page, depth: float) -> None:
    """Cross members of steel: bracing between the girders, as the bar that bends like it.

    Two chords far apart, and the shear that the diagonals give way. A solid plate of the same depth
    would lift outer girders: what the slab shrinks across goes into it, where bracing slips.
    """
    area, high = page.area("brace_area"), round(page.number("brace_ratio") * depth, 2)
    plan = area * page.number("brace_gyration") ** 2
    page.table("superstructure.sections.brace")
    page.told("kind", "given")
    page.usual("A", "brace_area", page.of("brace_area"))
    page.usual("Iy", "brace_ratio", f"{area * high**2 / 4.0 * 1e12:.6g} mm4")
    for key in ("Iz", "J"):
        page.usual(key, "brace_gyration", f"{plan * 1e12:.6g} mm4")
    page.usual("shear_z", "brace_shear", page.of("brace_shear"))
    page.follows("depth", metres(high), "between the chords of the bracing")
    page.follows("centroid", metres(round(high / 2.0, 3)), "half of that")


def _girder_stages(page: Page, outline: Outline, kind: str) -> None:
    stage(page, "girders erected", "steel", ["self weight"])
    stage(page, "slab cast", "steel", ["slab"])
    stage(page, "finished", "steel" if kind == "steel" else "long", [])
    half = carriageway(page, outline) / 2.0
    edge = breadth(page, outline) / 2.0 + overhang(page, outline) - PARAPET_IN
    if outline.use == "rail":
        name, label = "track_load", "ballast, sleepers and rails"
        half = min(page.number("ballast_half"), edge)
    else:
        name, label = "surfacing_load", "surfacing"
    page.table("stage.loads", many=True)
    page.told("kind", "area")
    page.told("label", label)
    if outline.use == "road":
        page.told("action", "surfacing")
    page.usual("value", name, page.of(name))
    widths(page, half)
    _parapets(page, edge)


def _parapets(page: Page, edge: float) -> None:
    for side, sign in (("right", -1.0), ("left", 1.0)):
        page.table("stage.loads", many=True)
        page.told("kind", "line")
        page.told("label", f"{side} edge beam and parapet")
        page.usual("line_value", "parapet", page.of("parapet"))
        page.follows("y", metres(sign * edge), "the edge of the deck")
