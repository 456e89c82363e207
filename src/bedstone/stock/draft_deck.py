"""What girders and trusses of a draft share: widths, plates, stages of construction."""

from __future__ import annotations

from typing import Final

from bedstone.stock.draft_outline import Outline
from bedstone.stock.draft_page import Page, metres, millimetres

__all__ = [
    "PARAPET_IN", "breadth", "carriageway", "continuity", "girder_count", "girders_name",
    "overhang", "overhang_by", "plates", "stage", "truss_spacing", "widths",
]  # fmt: skip

#: Slab beyond the kerb at least, and from the deck's edge to the middle of the parapet (m):
#: so that what is drawn has room; no assumption about the bridge.
_BESIDE_KERB: Final = 0.1
PARAPET_IN: Final = 0.2


def girder_count(page: Page, outline: Outline) -> int:
    """Lines of girders: as told, else as usual."""
    return outline.girders or round(page.number(girders_name(outline)))


def girders_name(outline: Outline) -> str:
    """Name of the assumption for the number of girders."""
    return "girders_rail" if outline.use == "rail" else "girders"


def breadth(page: Page, outline: Outline) -> float:
    """From the outermost bearing to the innermost of a line (m)."""
    if outline.truss:
        return truss_spacing(page, outline)
    spacing = outline.spacing or page.number("spacing")
    return (girder_count(page, outline) - 1) * spacing


def carriageway(page: Page, outline: Outline) -> float:
    """Width (m): as told, else what the deck leaves."""
    if outline.width is not None:
        return outline.width
    if outline.truss:
        return truss_spacing(page, outline) - page.number("truss_beside")
    return breadth(page, outline) + 2.0 * (overhang(page, outline) - page.number("kerb"))


def overhang(page: Page, outline: Outline) -> float:
    """Slab beyond the outer girder (m): so that a carriageway that was told has room."""
    return overhang_by(page, outline)[1]


def overhang_by(page: Page, outline: Outline) -> tuple[str, float]:
    """The assumption that governs the slab beyond the outer girder, and its width (m)."""
    spacing, kerb = outline.spacing or page.number("spacing"), page.number("kerb")
    found = [("overhang", page.number("overhang") * spacing), ("kerb", kerb + _BESIDE_KERB)]
    if outline.width is not None:
        found.append(("kerb", (outline.width - breadth(page, outline)) / 2.0 + kerb))
    name, wide = page.governs(*found)
    return name, round(wide, 2 if outline.width is None else 3)


def truss_spacing(page: Page, outline: Outline) -> float:
    """Between truss planes (m)."""
    if outline.spacing is not None:
        return outline.spacing
    if outline.use == "road" and outline.width is not None:
        return outline.width + page.number("truss_beside")
    return page.number("truss_spacing")


def continuity(page: Page, outline: Outline) -> None:
    """Write whether the superstructure is one piece."""
    written = "continuous" if outline.runs_through else "simple"
    if outline.continuous is None and len(outline.spans) > 1:
        page.guess("continuity", written, "spans that are not known to run through stand alone")
    else:
        page.told("continuity", written)


def plates(page: Page, depth: float, why: str | None, wide: str = "") -> None:
    """A plate girder of an overall depth (m); `why`: where the depth comes from, None: told.

    `wide`: name of the assumption for the width of both flanges; "": they follow the depth.
    """
    if wide:
        ratio, bottom = wide, page.number(wide)
        top = bottom
    else:
        ratio, bottom = page.governs(
            ("flange_ratio", page.number("flange_ratio") * depth),
            ("flange_least", page.number("flange_least")),
        )
        top = page.number("flange_top") * bottom
    thick = [width / page.number("flange_slenderness") for width in (top, bottom)]
    of_web, web = page.governs(
        ("web_slenderness", depth / page.number("web_slenderness")),
        ("web_least", page.number("web_least")),
    )
    page.told("kind", "plate girder")
    page.usual("top_width", ratio if wide else "flange_top", millimetres(top))
    page.usual("top_thickness", "flange_slenderness", millimetres(thick[0]))
    clear = millimetres(depth - sum(thick))
    if why is None:
        page.follows("web_depth", clear, f"of {metres(depth)} in all, as told")
    else:
        page.guess("web_depth", clear, why)
    page.usual("web_thickness", of_web, millimetres(web))
    page.usual("bottom_width", ratio, millimetres(bottom))
    page.usual("bottom_thickness", "flange_slenderness", millimetres(thick[1]))


def widths(page: Page, half: float) -> None:
    """Write the edges of an area of the deck, `half` its width (m)."""
    for key, y in (("from_y", -half), ("to_y", half)):
        page.follows(key, metres(y), "what it covers of the deck")


def stage(page: Page, name: str, carries: str, loads: list[str]) -> None:
    """Write a stage of construction; `loads`: those that need no number."""
    page.table("stage", many=True)
    page.told("name", name)
    page.told("carries", carries)
    if loads:
        page.told("loads", [{"kind": load} for load in loads])
