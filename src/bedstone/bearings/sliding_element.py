"""A slide as a part of a bearing: its size, its friction, its guides and all its checks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bedstone.bearings.base import Demand, DemandCase, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import placed
from bedstone.bearings.sliding_rules import SlideRules
from bedstone.bearings.sliding_sheet import (
    SHOULDER,
    Guides,
    Sheet,
    SheetLoad,
    Slide,
    guide_parts,
    sheet_part,
    stainless_part,
)
from bedstone.standards.record import Line, Quantity

#: Edge of the sliding plate beyond the stainless surface, m; common practice, no source.
PLATE_EDGE = 0.01
#: Least height of a guide strip and its gap to the plate above and to the end of the bar, m;
#: common practice, no source.
STRIP_HEIGHT = 0.02
STRIP_GAP = 0.005
#: Thickness of a guide strip with its seat beside the shoulder, m; common practice, no source.
STRIP_SEAT = 0.01
_STEP = 0.01


@dataclass(frozen=True)
class Thrust:
    """Design horizontal forces of one case at a slide or a holding bearing, all >= 0, N."""

    case: DemandCase
    Hx: float
    Hy: float

    @property
    def H(self) -> float:
        """Resultant, N."""
        return math.hypot(self.Hx, self.Hy)


# ------------------------------------------------------------------ what a seat asks
def ways(demand: Demand, rules: SlideRules) -> tuple[float, float]:
    """Movement each side (m) that a slide must allow along x' and y'; 0 where held."""
    calculated = demand.largest("vx"), demand.largest("vy")
    along_is_main = not demand.held[0] and (calculated[0] >= calculated[1] or demand.held[1])
    return (
        0.0 if demand.held[0] else rules.movement(calculated[0], main=along_is_main),
        0.0 if demand.held[1] else rules.movement(calculated[1], main=not along_is_main),
    )


def service_load(demand: Demand) -> float:
    """Largest compression at service (N); over all cases where no service case is given."""
    cases = demand.service or demand.cases
    return max((case.N for case in cases), default=0.0)


def thrusts(
    cases: Iterable[DemandCase],
    demand: Demand,
    rules: SlideRules,
    sheet: Sheet | None,
    guides: Sequence[Guides] = (),
) -> list[Thrust]:
    """Horizontal forces of all cases: friction where the slide moves, actions where it is held.

    A slide passes no more than its friction, so friction replaces what a model had there; the
    friction of loaded guides adds to it. `sheet` None: nothing slides.
    """
    vertical = service_load(demand)
    found = []
    for case in cases:
        mu = rules.coefficient(max(case.N, 0.0) / sheet.area) if sheet is not None else 0.0
        slip = mu * max(case.N, 0.0)
        held_x, held_y = demand.held
        Hx = rules.held_force(case.Hx, case, vertical) if held_x else slip
        Hy = rules.held_force(case.Hy, case, vertical) if held_y else slip
        for pair in guides:
            force = Hy if pair.holds == "y" else Hx
            pressure = force / (pair.strip_length * pair.strip_height)
            rub = rules.guide_friction(pressure) * force
            if pair.holds == "y" and not held_x:
                Hx += rub
            if pair.holds == "x" and not held_y:
                Hy += rub
        found.append(Thrust(case, Hx, Hy))
    return found


# ------------------------------------------------------------------ sizes
def first_diameter(demand: Demand, rules: SlideRules, *, curved: bool = False) -> float:
    """A diameter (m) below which no round sheet can carry the load, in whole 10 mm."""
    cases = rules.strength(demand) if rules.basis.family != "aashto" else rules.service(demand)
    load = max(case.N for case in cases)
    diameter = math.sqrt(4.0 * load / (math.pi * rules.stress(curved=curved)))
    return series.length(max(diameter, rules.least_size()), _STEP)


def next_side(side: float, use: float) -> float:
    """The next diameter or side (m) to try where contact has a utilisation above 1.

    Stress falls with the third power of the size at most (eccentric force), so that no size that
    would do is passed over.
    """
    if not math.isfinite(use):
        return round(1.05 * side + _STEP, 2)
    grown = math.floor(side * math.cbrt(use) / _STEP) * _STEP
    return round(max(side + _STEP, grown), 4)


def make_sheet(rules: SlideRules, length: float, width: float, *, round_: bool = True) -> Sheet:
    """A sheet of a plan size (m) with the family's thickness and protrusion."""
    around = length if round_ else math.hypot(length, width)
    thickness, protrusion = rules.sheet_sizes(around)
    return Sheet(length, width, thickness, protrusion, round_)


def make_slide(
    demand: Demand,
    rules: SlideRules,
    sheet: Sheet,
    held: tuple[bool, bool],
    seat: tuple[float, float],
    *,
    drop: float = 0.0,
) -> Slide:
    """The slide of a sheet: stainless surface for the movements and guides where `held`.

    `seat`: plan size (m) of the plate on whose sides the guides press, its top `drop` (m) below
    that of the plate which holds the sheet.
    """
    way_x, way_y = ways(demand, rules)
    guides = []
    cases = rules.strength(demand)
    plain = thrusts(cases, demand, rules, sheet) if any(held) else []
    play = rules.play(0.8 * sheet.smallest)
    if held[1]:
        guides.append(
            _guides("y", max(t.Hy for t in plain), seat[0], sheet, demand, rules, play, drop)
        )
    if held[0]:
        guides.append(
            _guides("x", max(t.Hx for t in plain), seat[1], sheet, demand, rules, play, drop)
        )
    length = series.length(sheet.length + 2.0 * (way_x if not held[0] else play), _STEP)
    width = series.length(sheet.width + 2.0 * (way_y if not held[1] else play), _STEP)
    return Slide(
        sheet=sheet,
        stainless_length=length,
        stainless_width=width,
        stainless_thickness=rules.stainless(max(length, width)),
        way_x=round((length - sheet.length) / 2.0, 9) if not held[0] else play,
        way_y=round((width - sheet.width) / 2.0, 9) if not held[1] else play,
        guides=tuple(guides),
    )


def _guides(
    holds: str,
    force: float,
    along: float,
    sheet: Sheet,
    demand: Demand,
    rules: SlideRules,
    play: float,
    drop: float,
) -> Guides:
    """The lightest pair of guides for a force (N): strip first, then the bar behind it."""
    length = math.floor(0.8 * along / 0.005 + 1e-9) * 0.005
    lasting = max((abs(getattr(c, f"H{holds}")) for c in demand.of("permanent")), default=0.0)
    rotation = rules.rotation(demand.largest("rx" if holds == "y" else "ry"))

    def pair(height: float, width: float) -> Guides:
        bar = drop + sheet.protrusion + rules.stainless(sheet.around) + height + 2.0 * STRIP_GAP
        follows = rules.follows(rotation, height)
        rocker = follows is not None and (follows.utilisation or 0.0) > 1.0
        side = "y" if holds == "y" else "x"
        return Guides(side, length, height, width, series.length(bar, 0.005), play, rocker)  # type: ignore[arg-type]

    height = STRIP_HEIGHT
    for _ in range(60):
        strips = [(force, False)] + ([(lasting, True)] if lasting > 0.0 else [])
        if all(
            (rules.strip(value, pair(height, 0.02), lasting=stays).utilisation or 0.0) <= 1.0
            for value, stays in strips
        ):
            break
        height = round(height + 0.005, 4)
    steel_name = materials.default("plate", rules.basis)
    width = 0.0
    for width in series.sizes("plates", rules.basis.family):
        if width < 0.015:
            continue
        steel = materials.steel(steel_name, width, rules.basis)
        if (rules.bar(force, pair(height, width), steel.fy).utilisation or 0.0) <= 1.0:
            break
    return pair(height, width)


def plate_sizes(slide: Slide, seat: tuple[float, float]) -> tuple[float, float]:
    """Least plan (m) of the sliding plate: stainless surface with its edge, or guides and seat."""
    length = slide.stainless_length + 2.0 * PLATE_EDGE
    width = slide.stainless_width + 2.0 * PLATE_EDGE
    for pair in slide.guides:
        beside = 2.0 * (pair.play + STRIP_SEAT + pair.bar_width)
        if pair.holds == "y":
            width = max(width, seat[1] + beside)
        else:
            length = max(length, seat[0] + beside)
    return series.length(length, _STEP), series.length(width, _STEP)


def seat_size(sheet: Sheet) -> tuple[float, float]:
    """Plan (m) of the plate that holds a sheet: the sheet with its shoulder."""
    return (
        series.length(sheet.length + 2.0 * SHOULDER, _STEP),
        series.length(sheet.width + 2.0 * SHOULDER, _STEP),
    )


# ------------------------------------------------------------------ checks
def derived(
    title: str,
    formula: str,
    value: Quantity,
    limit: Quantity,
    part: str,
    case: str = "",
    inputs: tuple[Quantity, ...] = (),
) -> Line:
    """A check by geometry alone, `value` at most `limit`: no standard and no figure behind it."""
    use = value.value / limit.value if limit.value > 0.0 else math.inf
    if value.value <= 0.0:
        use = 0.0  # nothing is asked for
    return Line(
        title=title,
        standard="geometry",
        edition="",
        clause="derived",
        formula=formula,
        inputs=inputs,
        result=value,
        basis="confirmed",
        limit=limit,
        utilisation=use,
        note="derived",
        part=part,
        case=case,
    )


def slide_lines(
    slide: Slide,
    loads: Sequence[SheetLoad],
    forces: Sequence[Thrust],
    demand: Demand,
    rules: SlideRules,
    backing: float,
) -> list[Line]:
    """All checks of a slide: contact, sizes, movement, guides."""
    around = max(slide.stainless_length, slide.stainless_width)
    lines = [
        *rules.contact(slide.sheet, loads),
        *rules.sheet_lines(slide.sheet, slide.stainless_thickness, around, backing),
        *movement_lines(slide, demand, rules),
        *guide_lines(slide, forces, demand, rules),
    ]
    pressure = max(demand.permanent, 0.0) / slide.sheet.area
    return [*lines, placed(rules.friction(pressure), "sliding sheet", "permanent actions")]


def movement_lines(slide: Slide, demand: Demand, rules: SlideRules) -> list[Line]:
    """The sheet stays under the stainless surface in every free direction."""
    lines = []
    for direction, way, needed, held in zip(
        ("x", "y"), (slide.way_x, slide.way_y), ways(demand, rules), demand.held, strict=True
    ):
        if held or slide.holding("x" if direction == "x" else "y") is not None:
            continue
        name = f"v{direction}"
        worst = max(demand.cases, key=lambda case: abs(getattr(case, name)))
        lines.append(
            derived(
                f"Movement of the slide along {direction}'",
                "v <= (stainless - sheet)/2, v with the family's allowance",
                Quantity("v", round(needed, 9), "m"),
                Quantity("way", way, "m"),
                "stainless sheet",
                worst.name,
                (Quantity("v calculated", abs(getattr(worst, name)), "m"),),
            )
        )
    return lines


def guide_lines(
    slide: Slide, forces: Sequence[Thrust], demand: Demand, rules: SlideRules
) -> list[Line]:
    """Strips, bars and clearance of all guides."""
    lines: list[Line] = []
    for pair in slide.guides:
        across = pair.holds == "y"
        part = f"guide, holds {'across' if across else 'along'}"
        steel = materials.steel_for("plate", pair.bar_width, rules.basis)
        acting = [(t.case.name, t.Hy if across else t.Hx) for t in forces]
        name, force = max(acting, key=lambda item: item[1])
        lines.append(placed(rules.strip(force, pair, lasting=False), part, name))
        lasting = [(c.name, abs(c.Hy if across else c.Hx)) for c in demand.of("permanent")]
        if lasting:
            kept, stays = max(lasting, key=lambda item: item[1])
            if stays > 0.0:
                lines.append(placed(rules.strip(stays, pair, lasting=True), part, kept))
        lines.append(placed(rules.bar(force, pair, steel.fy), part, name, steel.basis))
        clearance = rules.clearance(pair)
        if clearance is not None:
            lines.append(placed(clearance, part))
        rotation = rules.rotation(demand.largest("rx" if across else "ry"))
        follows = rules.follows(rotation, pair.strip_height)
        if follows is not None and not pair.rocker:
            lines.append(placed(follows, part))
    return lines


def slide_parts(slide: Slide, rules: SlideRules, plate: tuple[float, float]) -> list[Part]:
    """Sheet, stainless surface and guides; `plate`: plan of the sliding plate (m)."""
    steel = materials.default("plate", rules.basis)
    parts = [
        sheet_part(slide.sheet, rules.material),
        stainless_part(slide.stainless_length, slide.stainless_width, slide.stainless_thickness),
    ]
    for pair in slide.guides:
        length = plate[0] if pair.holds == "y" else plate[1]
        parts += guide_parts(pair, length, steel, rules.guide_material)
    return parts


def worst(lines: Sequence[Line]) -> float:
    """Largest utilisation of some lines; 0 for none."""
    return max((line.utilisation or 0.0 for line in lines), default=0.0)
