"""A bridge file from the little that a register of bridges knows: the rest is assumed, and told.

Whatever the outline does not say is taken from ``stock/data/draft.toml``, written into the file
with a comment beside it, and counted. A draft is a bridge to begin with. It is no survey.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal, get_args

from bedstone.bridge.schema import BearingKind, FamilyName, Function
from bedstone.bridge.units import unit_factor
from bedstone.site.tolerances import Tolerances, usual
from bedstone.stock.draft_sizes import Size, missing_sizes, pad_stiffness

__all__ = ["FAMILIES", "KINDS", "TYPES", "Assumption", "Draft", "Line", "Outline", "draft"]

SuperstructureType = Literal[
    "composite girders", "steel girders", "concrete girders", "through truss", "deck truss"
]
TYPES: Final[tuple[SuperstructureType, ...]] = get_args(SuperstructureType)
FAMILIES: Final[tuple[FamilyName, ...]] = get_args(FamilyName)
KINDS: Final[tuple[BearingKind, ...]] = get_args(BearingKind)


@dataclass(frozen=True)
class Line:
    """A line of bearings, right to left. `kind`: None where nobody knows it.

    `stiffness`: of each bearing in shear, N/m, both ways; an elastic one has it, or its sizes.
    `sizes`: what is known of each bearing, by the names of its kind.
    """

    functions: tuple[Function, ...]
    kind: BearingKind | None = None
    stiffness: float | None = None
    sizes: tuple[Size, ...] = ()


@dataclass(frozen=True)
class Outline:
    """What is known of a bridge. SI units, angles rad; None: not known, so that it is assumed.

    - `carried`: road or track the bridge carries, in words; `continuous`: one piece over all spans
    - `girders`, `spacing`: lines of girders and the distance between them, of truss planes too
    - `width`: of the carriageway; `depth`: of a girder below the slab, or of a truss
    - `radius`: + turning left; `skew` anticlockwise; `heights`: of the piers in order
    - `lines`: of bearings by rising chainage; a pier below simple spans has two
    - `travel`: movement to the stops, each way, of bearings that move
    - `air`: coldest and warmest shade air, degC; `setting`: degC
    """

    name: str
    type: SuperstructureType
    spans: tuple[float, ...]
    family: FamilyName = "eurocode"
    use: Literal["road", "rail"] = "road"
    reference: str = ""
    carried: str = ""
    year: int | None = None
    continuous: bool | None = None
    girders: int | None = None
    spacing: float | None = None
    width: float | None = None
    depth: float | None = None
    slab: float | None = None
    skew: float = 0.0
    radius: float | None = None
    heights: tuple[float, ...] | None = None
    lines: tuple[Line, ...] | None = None
    travel: float | None = None
    air: tuple[float, float] | None = None
    setting: float | None = None

    @property
    def truss(self) -> bool:
        """Whether it stands on two truss planes."""
        return self.type.endswith("truss")

    @property
    def runs_through(self) -> bool:
        """Whether it is one piece: as told, else only where there is one span (simple spans)."""
        return len(self.spans) == 1 if self.continuous is None else self.continuous

    @property
    def line_count(self) -> int:
        """Number of lines of bearings."""
        return len(self.spans) + 1 if self.runs_through else 2 * len(self.spans)


@dataclass(frozen=True)
class Assumption:
    """One value that nobody told: its field, the value as written, and where it is from."""

    where: str
    value: str
    why: str


@dataclass(frozen=True)
class Draft:
    """The text of a bridge file and what in it was assumed.

    `given`: seats whose bearing is known by its sizes, and assessed; `partly`: what is known of
    bearings whose sizes do not suffice for that, in words.
    """

    outline: Outline
    text: str
    assumed: tuple[Assumption, ...]
    given: tuple[str, ...] = ()
    partly: tuple[str, ...] = ()


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
    page = _Page(values)
    for line in head:
        page.comment(line)
    _head(page, outline)
    _supports(page, outline)
    if outline.truss:
        _truss(page, outline)
    else:
        _girders(page, outline)
    _actions(page, outline)
    lines = _arrangement(page, outline)
    given, partly = _given(page, lines)
    return Draft(outline, page.text(), tuple(page.assumed), given, partly)


#: Slab beyond the kerb at least, and from the deck's edge to the middle of the parapet (m):
#: so that what is drawn has room; no assumption about the bridge.
_BESIDE_KERB: Final = 0.1
_PARAPET_IN: Final = 0.2


# ------------------------------------------------------------------ writing
@dataclass
class _Page:
    """Lines of a bridge file as it is written; what is assumed is gathered on the way."""

    values: Tolerances
    lines: list[str] = field(default_factory=list)
    assumed: list[Assumption] = field(default_factory=list)
    table_name: str = ""

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"

    def comment(self, text: str) -> None:
        self.lines.append(f"# {' '.join(text.split())}")

    def table(self, name: str, *, many: bool = False) -> None:
        self.table_name = name
        self.lines += ["", f"[[{name}]]" if many else f"[{name}]"]

    def told(self, key: str, value: object) -> None:
        """What the sheet says, or a word of the file that is no assumption."""
        self.lines.append(f"{key} = {_toml(value)}")

    def follows(self, key: str, value: object, of: str) -> None:
        """A value that is worked out of others of the file, told or assumed, and is not counted."""
        self.lines.append(f"{key} = {_toml(value)}    # follows: {of}")

    def guess(self, key: str, value: object, why: str) -> None:
        """A value that nobody told, with the reason beside it."""
        written = _toml(value)
        self.assumed.append(Assumption(f"{self.table_name}.{key}", written, why))
        self.lines.append(f"{key} = {written}    # assumed: {why}")

    def usual(self, key: str, name: str, value: object) -> None:
        """A value made of the assumption `name` of the data file."""
        self.guess(key, value, self.why(name))

    def either(self, key: str, told: object | None, name: str, value: object) -> None:
        """What was told, else what is made of the assumption `name`."""
        if told is None:
            self.usual(key, name, value)
        else:
            self.told(key, told)

    def why(self, name: str) -> str:
        own = self.values.values[name]
        number = f"{own.value:g} {own.unit}" if isinstance(own.value, float) else ""
        return f"{own.clause} {number.strip()} ({own.source})"

    def number(self, name: str) -> float:
        return self.values.number(name)

    def area(self, name: str) -> float:
        """An assumption in m2: the table of units of data files has no areas."""
        own = self.values.values[name]
        assert isinstance(own.value, float)
        return own.value * unit_factor(own.unit)[0]


def _toml(value: object) -> str:
    """A value as TOML; strings as JSON writes them, which TOML reads alike."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True).replace("\x7f", "\\u007F")
    return f"{value!r}" if isinstance(value, int) else f"{float(str(value)):.9g}"


def _m(value: float) -> str:
    return f"{round(value, 6):.9g} m"


def _mm(value: float) -> str:
    return f"{round(value * 1e3):d} mm"


def _of(values: Tolerances, name: str) -> str:
    """An assumption as the bridge file writes it."""
    own = values.values[name]
    assert isinstance(own.value, float)
    return f"{own.value:g} {own.unit}".strip()


# ------------------------------------------------------------------ head and supports
def marks(spans: int) -> tuple[str, ...]:
    """Marks of the supports of a bridge of so many spans."""
    return ("A1", *(f"P{pier}" for pier in range(1, spans)), "A2")


def _head(page: _Page, outline: Outline) -> None:
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
        page.told("radius", _m(abs(outline.radius)))
        page.told("turn", "left" if outline.radius > 0.0 else "right")


def _supports(page: _Page, outline: Outline) -> None:
    names = marks(len(outline.spans))
    chainage = 0.0
    for number, mark in enumerate(names):
        page.table("support", many=True)
        page.told("mark", mark)
        page.told("chainage", _m(chainage))
        if outline.skew:
            page.told("skew", f"{math.degrees(outline.skew):.6g} deg")
        if number in (0, len(names) - 1):
            page.guess("below", {"kind": "rigid"}, "an abutment that does not give way")
            page.usual("base_level", "abutment_base", _of(page.values, "abutment_base"))
        else:
            _pier(page, outline, number - 1)
        if number < len(outline.spans):
            chainage += outline.spans[number]


def _pier(page: _Page, outline: Outline, number: int) -> None:
    told = None if outline.heights is None else outline.heights[number]
    height = page.number("pier_height") if told is None else told
    wide = _breadth(page, outline)
    most = page.number("pier_columns")
    count = round(max(1.0, min(most, wide / page.number("pier_apart"))))
    diameter = max(page.number("pier_least"), height / page.number("pier_slenderness"))
    apart = max(wide / count, diameter * page.number("pier_clear"))
    page.table("support.below")
    page.told("kind", "column")
    page.usual("count", "pier_apart", count)
    if count > 1:
        page.follows("spacing", _m(round(apart, 1)), "columns stand evenly below the girders")
    page.usual("diameter", "pier_slenderness", _m(round(diameter, 2)))
    page.either("height", None if told is None else _m(told), "pier_height", _m(height))
    page.usual("E", "pier_E", _of(page.values, "pier_E"))
    page.table("support.below.foundation")
    for key in ("kx", "ky"):
        page.usual(key, "foundation_sway", _of(page.values, "foundation_sway"))
    page.usual("kz", "foundation_down", _of(page.values, "foundation_down"))
    for key in ("krx", "kry", "krz"):
        page.usual(key, "foundation_turn", _of(page.values, "foundation_turn"))
    page.table("support.bounds")
    page.usual("lower", "bound_lower", page.number("bound_lower"))
    page.usual("upper", "bound_upper", page.number("bound_upper"))


# ------------------------------------------------------------------ girders
def _girder_count(page: _Page, outline: Outline) -> int:
    return outline.girders or round(page.number(_girders_name(outline)))


def _girders_name(outline: Outline) -> str:
    return "girders_rail" if outline.use == "rail" else "girders"


def _breadth(page: _Page, outline: Outline) -> float:
    """From the outermost bearing to the innermost of a line (m)."""
    if outline.truss:
        return _truss_spacing(page, outline)
    spacing = outline.spacing or page.number("spacing")
    return (_girder_count(page, outline) - 1) * spacing


def _carriageway(page: _Page, outline: Outline) -> float:
    """Width (m): as told, else what the deck leaves."""
    if outline.width is not None:
        return outline.width
    if outline.truss:
        return _truss_spacing(page, outline) - page.number("truss_beside")
    return _breadth(page, outline) + 2.0 * (_overhang(page, outline) - page.number("kerb"))


def _overhang(page: _Page, outline: Outline) -> float:
    """Slab beyond the outer girder (m): so that a carriageway that was told has room."""
    spacing = outline.spacing or page.number("spacing")
    least = max(page.number("overhang") * spacing, page.number("kerb") + _BESIDE_KERB)
    if outline.width is None:
        return round(least, 2)
    room = (outline.width - _breadth(page, outline)) / 2.0 + page.number("kerb")
    return round(max(least, room), 3)


def _end_overhang(page: _Page, outline: Outline) -> float:
    """Girder beyond the end supports (m); none under a track, so that a span is its own length."""
    return 0.0 if outline.use == "rail" else page.number("end_overhang")


def _girders(page: _Page, outline: Outline) -> None:
    kind = outline.type.split()[0]
    page.table("superstructure")
    page.told("kind", "girders")
    page.told("type", kind)
    _continuity(page, outline)
    count = _girder_count(page, outline)
    if outline.girders is not None:
        page.told("number", outline.girders)
    else:
        page.usual("number", _girders_name(outline), count)
    told = None if outline.spacing is None else _m(outline.spacing)
    page.either("spacing", told, "spacing", _of(page.values, "spacing"))
    beyond = _end_overhang(page, outline)
    if beyond:
        for key in ("start_overhang", "end_overhang"):
            page.usual(key, "end_overhang", _m(beyond))
    page.usual("surface_to_slab", "surfacing", _of(page.values, "surfacing"))
    page.usual("contact", "contact", _of(page.values, "contact"))
    ratio = "ratio_rail" if outline.use == "rail" and kind != "concrete" else f"ratio_{kind}"
    depth = outline.depth or round(max(outline.spans) / page.number(ratio), 2)
    why = None if outline.depth is not None else page.why(ratio)
    _girder_section(page, kind, depth, why)
    end = sum(outline.spans) + beyond
    page.table("superstructure.segments", many=True)
    page.follows("start", _m(-beyond), "the end of the girders")
    page.follows("end", _m(end), "the end of the girders")
    page.told("section", "girder")
    page.table("superstructure.slab")
    spacing = outline.spacing or page.number("spacing")
    thick = max(page.number("slab_least"), spacing / page.number("slab_ratio"))
    given = None if outline.slab is None else _m(outline.slab)
    page.either("thickness", given, "slab_ratio", _m(round(thick, 2)))
    page.usual("haunch", "haunch", _of(page.values, "haunch"))
    for key in ("overhang_left", "overhang_right"):
        page.usual(key, "overhang", _m(_overhang(page, outline)))
    page.table("superstructure.diaphragms")
    page.told("section", "brace")
    apart = "diaphragms_concrete" if kind == "concrete" else "diaphragms"
    page.usual("spacing", apart, _of(page.values, apart))
    _girder_stages(page, outline, kind)


def _continuity(page: _Page, outline: Outline) -> None:
    written = "continuous" if outline.runs_through else "simple"
    if outline.continuous is None and len(outline.spans) > 1:
        page.guess("continuity", written, "spans that are not known to run through stand alone")
    else:
        page.told("continuity", written)


def _girder_section(page: _Page, kind: str, depth: float, why: str | None) -> None:
    page.table("superstructure.sections.girder")
    if kind == "concrete":
        page.told("kind", "concrete rectangle")
        width = max(page.number("rib_least"), page.number("rib_ratio") * depth)
        page.usual("width", "rib_ratio", _m(round(width, 2)))
        if why is None:
            page.told("depth", _m(depth))
        else:
            page.guess("depth", _m(depth), why)
        page.table("superstructure.sections.brace")
        page.told("kind", "concrete rectangle")
        page.usual("width", "brace_concrete", _of(page.values, "brace_concrete"))
        own = page.number("brace_concrete_ratio") * depth
        page.usual("depth", "brace_concrete_ratio", _m(round(own, 2)))
        return
    _plates(page, depth, why)
    _bracing(page, depth)


def _bracing(page: _Page, depth: float) -> None:
    """Cross members of steel: bracing between the girders, as the bar that bends like it.

    Two chords far apart, and the shear that the diagonals give way. A solid plate of the same depth
    would lift outer girders: what the slab shrinks across goes into it, where bracing slips.
    """
    area, high = page.area("brace_area"), round(page.number("brace_ratio") * depth, 2)
    plan = area * page.number("brace_gyration") ** 2
    page.table("superstructure.sections.brace")
    page.told("kind", "given")
    page.usual("A", "brace_area", _of(page.values, "brace_area"))
    page.usual("Iy", "brace_ratio", f"{area * high**2 / 4.0 * 1e12:.6g} mm4")
    for key in ("Iz", "J"):
        page.usual(key, "brace_gyration", f"{plan * 1e12:.6g} mm4")
    page.usual("shear_z", "brace_shear", _of(page.values, "brace_shear"))
    page.follows("depth", _m(high), "between the chords of the bracing")
    page.follows("centroid", _m(round(high / 2.0, 3)), "half of that")


def _plates(page: _Page, depth: float, why: str | None, wide: str = "") -> None:
    """A plate girder of an overall depth (m); `why`: where the depth comes from, None: told.

    `wide`: name of the assumption for the width of both flanges; "": they follow the depth.
    """
    ratio = wide or "flange_ratio"
    if wide:
        bottom = top = page.number(wide)
    else:
        bottom = max(page.number("flange_least"), page.number("flange_ratio") * depth)
        top = page.number("flange_top") * bottom
    thick = [width / page.number("flange_slenderness") for width in (top, bottom)]
    web = max(page.number("web_least"), depth / page.number("web_slenderness"))
    page.told("kind", "plate girder")
    page.usual("top_width", ratio if wide else "flange_top", _mm(top))
    page.usual("top_thickness", "flange_slenderness", _mm(thick[0]))
    clear = _mm(depth - sum(thick))
    if why is None:
        page.follows("web_depth", clear, f"of {_m(depth)} in all, as told")
    else:
        page.guess("web_depth", clear, why)
    page.usual("web_thickness", "web_slenderness", _mm(web))
    page.usual("bottom_width", ratio, _mm(bottom))
    page.usual("bottom_thickness", "flange_slenderness", _mm(thick[1]))


def _girder_stages(page: _Page, outline: Outline, kind: str) -> None:
    _stage(page, "girders erected", "steel", ["self weight"])
    _stage(page, "slab cast", "steel", ["slab"])
    _stage(page, "finished", "steel" if kind == "steel" else "long", [])
    half = _carriageway(page, outline) / 2.0
    edge = _breadth(page, outline) / 2.0 + _overhang(page, outline) - _PARAPET_IN
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
    page.usual("value", name, _of(page.values, name))
    _widths(page, half)
    _parapets(page, edge)


def _widths(page: _Page, half: float) -> None:
    for key, y in (("from_y", -half), ("to_y", half)):
        page.follows(key, _m(y), "what it covers of the deck")


def _stage(page: _Page, name: str, carries: str, loads: list[str]) -> None:
    page.table("stage", many=True)
    page.told("name", name)
    page.told("carries", carries)
    if loads:
        page.told("loads", [{"kind": load} for load in loads])


def _parapets(page: _Page, edge: float) -> None:
    for side, sign in (("right", -1.0), ("left", 1.0)):
        page.table("stage.loads", many=True)
        page.told("kind", "line")
        page.told("label", f"{side} edge beam and parapet")
        page.usual("line_value", "parapet", _of(page.values, "parapet"))
        page.follows("y", _m(sign * edge), "the edge of the deck")


# ------------------------------------------------------------------ trusses
def _truss_spacing(page: _Page, outline: Outline) -> float:
    if outline.spacing is not None:
        return outline.spacing
    if outline.use == "road" and outline.width is not None:
        return outline.width + page.number("truss_beside")
    return page.number("truss_spacing")


def _truss(page: _Page, outline: Outline) -> None:
    panels = [max(4, 2 * round(span / page.number("panel") / 2.0)) for span in outline.spans]
    height = _truss_height(page, outline)
    spacing = _truss_spacing(page, outline)
    page.table("superstructure")
    page.told("kind", "truss")
    page.guess("form", "warren with posts", "the panels of most trusses (common practice)")
    page.told("deck", outline.type.split()[0])
    _continuity(page, outline)
    page.usual("panels", "panel", panels)
    page.either(
        "heights", None if outline.depth is None else [_m(height)], "ratio_truss", [_m(height)]
    )
    by_width = outline.use == "road" and outline.width is not None
    of = "truss_beside" if by_width else "truss_spacing"
    page.either("spacing", None if outline.spacing is None else _m(spacing), of, _m(spacing))
    apart = page.number("stringers")
    if outline.use == "rail":
        between, stringers = apart, 2
    else:
        between = spacing - page.number("stringers_beside")
        stringers = max(3, round(between / apart) + 1)
    offsets = [-between / 2.0 + n * between / (stringers - 1) for n in range(stringers)]
    page.usual("stringer_offsets", "stringers", [_m(y) for y in offsets])
    page.usual("surface_to_chord", "floor", _of(page.values, "floor"))
    page.usual("contact", "truss_contact", _of(page.values, "truss_contact"))
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
        given = None if outline.slab is None else _m(outline.slab)
        page.either("thickness", given, "slab_least", _of(page.values, "slab_least"))
    _truss_stages(page, outline, offsets)


def _chord(page: _Page, outline: Outline) -> float:
    """Depth and width (m) of a chord."""
    return max(page.number("chord_least"), max(outline.spans) / page.number("truss_chord"))


def _truss_height(page: _Page, outline: Outline) -> float:
    return outline.depth or round(max(outline.spans) / page.number("ratio_truss"), 1)


def _truss_sections(page: _Page, outline: Outline, spacing: float) -> None:
    size = _chord(page, outline)
    thick = size / page.number("chord_slenderness")
    page.table("superstructure.sections.chord")
    page.told("kind", "steel box")
    for key, name, value in (
        ("top_width", "truss_chord", size),
        ("top_thickness", "chord_slenderness", thick),
        ("web_depth", "truss_chord", size),
        ("web_thickness", "chord_slenderness", thick),
        ("web_spacing", "chord_webs", page.number("chord_webs") * size),
        ("bottom_width", "truss_chord", size),
        ("bottom_thickness", "chord_slenderness", thick),
    ):
        page.usual(key, name, _mm(value))
    cross = max(page.number("cross_girder_least"), spacing / page.number("cross_girder"))
    for name, depth, of, wide in (
        ("web", _web(page, outline), "truss_web", "truss_web_width"),
        ("cross girder", cross, "cross_girder", "cross_girder_width"),
        ("stringer", page.number("stringer"), "stringer", "stringer_width"),
    ):
        page.table(f'superstructure.sections."{name}"')
        _plates(page, depth, page.why(of), wide=wide)


def _web(page: _Page, outline: Outline) -> float:
    """Depth (m) of diagonals and posts."""
    return page.number("truss_web") * _chord(page, outline)


def _exposed(page: _Page, outline: Outline) -> tuple[float, float]:
    """Depth (m) that a truss offers to the wind, and the level of its middle above the road (m).

    Its floor, chords, diagonals and posts of the windward truss in full, those of the leeward one
    by the part that is not sheltered: a truss is no solid wall.
    """
    height, chord, wide = _truss_height(page, outline), _chord(page, outline), _web(page, outline)
    panel, floor = page.number("panel"), page.number("floor")
    web = wide * (math.hypot(panel, height) + height) / panel
    members = (1.0 + page.number("wind_leeward")) * min(2.0 * chord + web, height)
    upward = 1.0 if outline.type == "through truss" else -1.0
    moment = -floor * floor / 2.0 + members * (upward * height / 2.0 - floor)
    return floor + members, moment / (floor + members)


def _truss_stages(page: _Page, outline: Outline, offsets: Sequence[float]) -> None:
    _stage(page, "girders erected", "steel", ["self weight"])
    _stage(page, "slab cast", "steel", ["slab"] if outline.use == "road" else [])
    if outline.use == "rail":
        for y in (offsets[0], offsets[-1]):
            page.table("stage.loads", many=True)
            page.told("kind", "line")
            page.told("label", "rail with sleepers and fastenings")
            page.usual("line_value", "track_line", _of(page.values, "track_line"))
            page.follows("y", _m(y), "the rails lie on the stringers")
        return
    half = _carriageway(page, outline) / 2.0
    _stage(page, "finished", "steel", [])
    page.table("stage.loads", many=True)
    page.told("kind", "area")
    page.told("label", "surfacing")
    page.told("action", "surfacing")
    page.usual("value", "surfacing_load", _of(page.values, "surfacing_load"))
    _widths(page, half)


# ------------------------------------------------------------------ actions
def _actions(page: _Page, outline: Outline) -> None:
    page.table("actions.traffic")
    if outline.use == "rail":
        speed = _of(page.values, "speed_rail")
        page.guess("tracks", [{"offset": "0 m", "speed": speed}], "one track in the middle")
    else:
        half = _carriageway(page, outline) / 2.0
        for key, y in (("right", -half), ("left", half)):
            if outline.width is None:
                page.usual(key, "truss_beside" if outline.truss else "kerb", _m(y))
            else:
                page.follows(key, _m(y), "the carriageway that was told, in the middle")
        page.usual("speed", "speed_road", _of(page.values, "speed_road"))
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
    page.usual("surfacing", "surfacing", _of(page.values, "surfacing"))
    page.table("actions.wind")
    wind = f"wind_{outline.family}"
    page.usual("speed", wind, _of(page.values, wind))
    exposed, level = _exposed(page, outline) if outline.truss else (0.0, 0.0)
    if outline.truss:
        page.usual("depth", "wind_leeward", _m(round(exposed, 2)))
    for mark in marks(len(outline.spans))[1:-1]:
        page.table("actions.settlement", many=True)
        page.told("support", mark)
        page.usual("value", "settlement", _of(page.values, "settlement"))
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


# ------------------------------------------------------------------ bearings
def assumed_lines(outline: Outline, count: int) -> tuple[Line, ...]:
    """Lines of bearings as they mostly are: every piece fixed at its first end; `count` bearings.

    See `fixed_line` and `moving_line` for what a line does.
    """
    return tuple(
        (
            fixed_line
            if place == 0 or (not outline.runs_through and place % 2 == 0)
            else moving_line
        )(count)
        for place in range(outline.line_count)
    )


def fixed_line(count: int) -> Line:
    """A line that holds along and across by one bearing near its middle, the others free.

    Nothing is locked in then: several bearings of a wide line that all hold along, without the play
    of real ones, couple the girders in plan by forces that never come, and lift the lightest of
    them. Of two bearings, below trusses and narrow decks, both hold along.
    """
    return _line("fixed", "guided across" if count == 2 else "free", count)


def moving_line(count: int) -> Line:
    """A line that moves along, held across by the bearing that stands where a fixed one would."""
    return _line("guided along", "free", count)


def _line(first: Function, others: Function, count: int) -> Line:
    held = (count - 1) // 2
    return Line(tuple(first if place == held else others for place in range(count)))


#: Kinds where none is told, for bearings that do not move, and that do.
_KIND: Final[dict[bool, BearingKind]] = {False: "pot", True: "pot on slide"}


def _arrangement(page: _Page, outline: Outline) -> dict[str, tuple[str, Line]]:
    """Write the bearings; seats by mark, each with the mark of its line and the line."""
    seats: dict[str, tuple[str, Line]] = {}
    count = 2 if outline.truss else _girder_count(page, outline)
    lines = outline.lines or assumed_lines(outline, count)
    page.table("arrangement")
    if outline.lines is None:
        page.guess("name", "as drafted", "functions: every piece is fixed at its first end")
    else:
        page.told("name", "as in the register")
    page.told("set_at", "slab cast")
    if outline.radius is not None:
        page.guess("direction", "toward fixed point", "guides on a curve (common practice)")
    for mark, line in zip(line_marks(outline), lines, strict=True):
        for place, function in enumerate(line.functions, start=1):
            support, side = (mark[:-1], mark[-1]) if mark[-1] in "ab" else (mark, "")
            seat = f"{support}-{place}{side}"
            seats[seat] = (mark, line)
            page.table(f"arrangement.seats.{seat}")
            page.told("function", function)
            if function == "none":
                continue
            if line.kind == "pot" and function != "fixed" and not line.sizes:
                page.guess("kind", "pot on slide", "a pot moves on a slide alone")
            elif line.kind is not None:
                page.told("kind", line.kind)
            else:
                page.guess("kind", _KIND[function != "fixed"], "kind not told")
            if function == "elastic":
                _springs(page, line)
            if outline.radius is not None and "fixed" in line.functions:
                page.told("direction", "axis")
            if outline.travel is not None and function in ("guided along", "free"):
                travel = _mm(outline.travel)
                page.told("travel", {"back": travel, "ahead": travel})
    return seats


def _springs(page: _Page, line: Line) -> None:
    """Stiffness of an elastomeric bearing: as told, or of its sizes; down, else, assumed."""
    known = not missing_sizes(line.kind, line.sizes)
    pad = pad_stiffness(line.sizes, page.number("pad_shear")) if known else None
    along = line.stiffness if line.stiffness is not None else pad[0] if pad else 0.0
    found = dict.fromkeys(("kx", "ky"), f"{along / 1000000.0:.6g} MN/m")
    found["kz"] = f"{pad[1] / 1e6:.6g} MN/m" if pad else _of(page.values, "pad_down")
    page.usual("stiffness", "pad_shear" if pad else "pad_down", found)


def _given(
    page: _Page, seats: Mapping[str, tuple[str, Line]]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write bearings whose sizes are known; those, and in words what is known of others."""
    given: list[str] = []
    partly: dict[str, None] = {}
    for seat, (mark, line) in seats.items():
        if not line.sizes or line.kind is None:
            continue
        lacking = missing_sizes(line.kind, line.sizes)
        if lacking:
            known = ", ".join(f"{name} {value}" for name, value in line.sizes)
            partly[f"{mark}: known of the {line.kind} alone: {known}; to assess it is wanted: "
                   f"{', '.join(lacking)}"] = None  # fmt: skip
            continue
        given.append(seat)
        page.table("bearings.given", many=True)
        page.told("seat", seat)
        page.told("kind", line.kind)
        page.table("bearings.given.sizes")
        for name, value in line.sizes:
            page.told(f'"{name}"' if "." in name else name, value)
    for text in partly:
        page.comment(text)
    return tuple(given), tuple(partly)


def line_marks(outline: Outline) -> tuple[str, ...]:
    """Marks of the lines of bearings; below simple spans "P1b" is behind, "P1a" ahead."""
    names = marks(len(outline.spans))
    if outline.runs_through:
        return names
    inner = [f"{mark}{side}" for mark in names[1:-1] for side in "ba"]
    return (names[0], *inner, names[-1])
