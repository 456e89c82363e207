"""The search for the lightest laminated pad in standard or practical sizes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from bedstone.bearings import elastomeric_parts as made
from bedstone.bearings.base import DemandCase
from bedstone.bearings.common import series
from bedstone.bearings.elastomeric_checks import (
    Rule,
    Task,
    found,
    lines,
    named,
    rule_pairs,
)
from bedstone.bearings.elastomeric_choices import (
    Chosen,
    Elastomeric,
    Slide,
    Type,
)
from bedstone.standards.elastomeric_pad import Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.eurocode import movements, sliding
from bedstone.standards.irc import elastomeric_1987 as irc_1987
from bedstone.standards.record import Line

#: Bounds of the search, not of any rule: sides of free plans (m), with twice the step beyond the
#: second, and elastomer over shorter side.
_SIDES = (0.15, 0.6, 1.0)
_SLENDER = 0.4
OUTER_PLATE = 0.02  # m, outer plates of type C; common practice, no source
_SHEET_EDGE = 0.01  # m, pad beyond the sliding sheet; common practice, no source
_HAIR = 1e-5  # m, against rounding a plate down to less than its travel
_DOWELS = 2  # one each side of the pad; common practice, no source


@dataclass(frozen=True)
class Laminate:
    """One plan with one make-up of layers and how many layers may be tried; m."""

    length: float
    width: float
    round: bool
    layer: float
    plate: float
    cover: float
    fewest: int
    most: int


def types_to_try(task: Task) -> Sequence[Type]:
    """The type that was chosen, or those that are tried in order."""
    if task.chosen.type is not None:
        return (task.chosen.type,)
    # On a railway no friction counts against sliding (EN 1337-1, 5.2): outer plates at once.
    if task.demand.use == "rail" and task.basis.family == "eurocode":
        return ("C",)
    return ("B", "C")


def search(task: Task, kind: Type) -> tuple[Elastomeric | None, Line | None]:
    """The lightest bearing that passes, and the last check that stopped the one nearest to it.

    The search looks at the few cases that are extreme in something; the bearing found is then
    checked for all, and a case that stops it joins the few.
    """
    few, strength = extremes(task.cases), extremes(task.strength_cases)
    laminates = sorted(_laminates(task, kind), key=lambda one: one.length * one.width)
    while True:
        pairs = rule_pairs(task, kind, few, strength)
        best, nearest = _lightest(task, kind, laminates, pairs)
        if best is None:
            return None, nearest
        stop = next((x for x in lines(task, best) if (x.utilisation or 0.0) > 1.0), None)
        if stop is None:
            break
        for known, every in ((few, task.cases), (strength, task.strength_cases)):
            known += [case for case in every if case.name == stop.case and case not in known]
    if any(task.demand.held):
        best, stop = _with_dowels(task, best)
        nearest = stop or nearest
    return best, nearest


def extremes(cases: Sequence[DemandCase]) -> list[DemandCase]:
    """The cases that are largest or smallest in one effect that the rules look at."""
    looks: tuple[Callable[[DemandCase], float], ...] = (
        lambda case: case.N,
        lambda case: -case.N,
        lambda case: math.hypot(case.vx, case.vy),
        lambda case: math.hypot(case.Hx, case.Hy),
        lambda case: abs(case.rx),
        lambda case: abs(case.ry),
    )
    few: list[DemandCase] = []
    for look in looks:
        case = max(cases, key=look)
        if case not in few:
            few.append(case)
    return few


def _lightest(
    task: Task,
    kind: Type,
    laminates: Sequence[Laminate],
    pairs: list[tuple[Rule, DemandCase]],
) -> tuple[Elastomeric | None, Line | None]:
    """The lightest bearing that holds for some rules and cases, and what stopped the nearest.

    Plans come by rising area. For each the number of layers rises until all checks hold, the mass
    is above the best one, or more layers cannot help the check that failed. Utilisation falls with
    the number of layers on a hollow curve (1/n) where it falls at all, so the straight line through
    two values tells how many layers are needed at least.
    """
    best: Elastomeric | None = None
    lightest = math.inf
    nearest: Line | None = None
    for laminate in laminates:
        before: Line | None = None
        count, step = laminate.fewest, 1
        while count <= laminate.most:
            bearing = _bearing(task, kind, laminate, count)
            mass = made.mass(bearing)
            if mass >= lightest:
                break
            stop = _first_failure(task, bearing, pairs)
            if stop is None:
                best, lightest = bearing, mass
                break
            used = stop.utilisation or 0.0
            if nearest is None or used < (nearest.utilisation or 0.0):
                nearest = stop
            needed = 1
            if before is not None and before.title == stop.title and before.case == stop.case:
                gain = ((before.utilisation or 0.0) - used) / step
                if gain <= 1e-12 or not math.isfinite(used):
                    break
                needed = max(1, math.ceil((used - 1.0) / gain - 1e-6))
            before, step = stop, needed
            count += needed
    return best, nearest


def _first_failure(
    task: Task, bearing: Elastomeric, pairs: list[tuple[Rule, DemandCase]]
) -> Line | None:
    """The first check that does not hold; it moves to the front for the next bearing."""
    for place, line in found(task, bearing, pairs):
        if (line.utilisation or 0.0) > 1.0:
            pair = pairs.pop(place)
            pairs.insert(0, pair)
            return named(line, pair[1])
    return None


def _laminates(task: Task, kind: Type) -> Iterator[Laminate]:
    chosen = task.chosen
    round_plan = chosen.shape == "round"
    room = task.basis.plinth or (math.inf, math.inf)
    if task.basis.family == "eurocode":
        # The plates of types C, D and E cover the pad: no elastomer beyond them there.
        cover = task.basis.values.number("elastomeric.standard.cover") if kind == "B" else 0.0
        for row in en.standard_sizes(task.basis.values, round_plan=round_plan):
            for length, width in dict.fromkeys(((row.length, row.width), (row.width, row.length))):
                if length <= room[0] and width <= room[1]:
                    yield Laminate(
                        length, width, round_plan, row.layer, row.plate, cover, *row.layers
                    )
        return
    least = _least_elastomer(task)
    makeup = _makeups(task)
    for length, width in _free_plans(chosen, room):
        short = min(length, width)
        for layer, plate, cover in makeup:
            fewest = max(1, math.ceil((least - 2 * cover) / layer - 1e-9))
            most = math.floor((_SLENDER * short - 2 * cover) / layer)
            if most >= fewest:
                yield Laminate(length, width, round_plan, layer, plate, cover, fewest, most)


def _free_plans(chosen: Chosen, room: tuple[float, float]) -> Iterator[tuple[float, float]]:
    step, side = chosen.step, chosen.step * math.ceil(_SIDES[0] / chosen.step)
    sides = []
    while side <= _SIDES[2]:
        sides.append(round(side, 6))
        side += step if side < _SIDES[1] - 1e-9 else 2 * step
    for length in sides:
        for width in (length,) if chosen.shape == "round" else sides:
            # Sides within one to two, as plans are made (common practice, no source).
            if length <= room[0] and width <= room[1] and 0.5 <= length / width <= 2.0:
                yield length, width


def _makeups(task: Task) -> list[tuple[float, float, float]]:
    """(layer, plate, cover) in use in a family, m."""
    values = task.basis.values
    if task.basis.family == "aashto":
        plate = values.number("elastomeric.usual.plate")
        cover = values.number("elastomeric.usual.cover")
        return [(layer, plate, cover) for layer in values.row("elastomeric.usual.layers")]
    if task.chosen.working_stress:
        return [
            (layer, plate, irc_1987.cover(values, layer))
            for layer, plate in irc_1987.layer_sizes(values)
        ]
    cover = values.number("elastomeric.cover.usual")
    return [
        (layer, plate, cover)
        for layer, plate in zip(
            values.row("elastomeric.layer.sizes"),
            values.row("elastomeric.layer.plates"),
            strict=True,
        )
    ]


def _least_elastomer(task: Task) -> float:
    """Elastomer (m) below which the shear rule cannot hold; 0 where forces decide as well."""
    held = task.demand.held
    values = task.basis.values
    v = max(
        math.hypot(0.0 if held[0] else case.vx, 0.0 if held[1] else case.vy) for case in task.cases
    )
    if task.basis.family == "aashto":
        return v * values.number("elastomeric.shear")
    name = "elastomeric_1987" if task.chosen.working_stress else "elastomeric"
    return v / values.number(f"{name}.shear.limit")


def _bearing(task: Task, kind: Type, one: Laminate, count: int) -> Elastomeric:
    pad = Pad(
        length=one.length,
        width=one.width,
        layers=count,
        layer=one.layer,
        plate=one.plate,
        cover=one.cover,
        side_cover=task.chosen.side_cover,
        round=one.round,
    )
    bearing = Elastomeric(
        pad=pad,
        type=kind,
        modulus=task.chosen.modulus,
        fy=task.chosen.fy,
        outer_plate=OUTER_PLATE if kind == "C" else 0.0,
    )
    if kind in ("D", "E"):
        return replace(bearing, slide=_slide(task, pad, kind))
    return bearing


def _slide(task: Task, pad: Pad, kind: Type) -> Slide:
    """Sheet as large as the pad allows, slide plate for the travel in both directions."""
    values = task.basis.values
    length, width = pad.plate_length - 2 * _SHEET_EDGE, pad.plate_width - 2 * _SHEET_EDGE
    around = math.hypot(length, width)
    if kind == "E":
        height = sliding.protrusion(values, around).value
        needed = max(
            values.number("elastomeric.slide.ptfe.type_e"),
            values.number("sliding.thickness.factor") * height,
        )
        sheet = series.length(needed, 0.0005)
    else:
        sheet = values.number("elastomeric.slide.ptfe.type_d")
    # 0.05 L and 10 mm are asked of the backing plate: take the next plate made.
    thin = sliding.backing_thickness(values, 1.0, around).limit
    least = thin.value if thin is not None else 0.0
    plate = series.at_least("plates", task.basis.family, least) or least
    cases = task.strength_cases
    along, across = (max(abs(getattr(case, name)) for case in cases) for name in ("vx", "vy"))
    travel = (
        movements.increased_translation(values, along, "main").value,
        movements.increased_translation(values, across, "transverse").value,
    )
    return Slide(
        length=length,
        width=width,
        sheet_thickness=sheet,
        plate_length=series.length(length + 2 * travel[0] + _HAIR),
        plate_width=series.length(width + 2 * travel[1] + _HAIR),
        plate_thickness=plate,
        backing=plate,
    )


def _with_dowels(task: Task, bearing: Elastomeric) -> tuple[Elastomeric | None, Line | None]:
    """The bearing with the thinnest dowels of the series that hold, or the check that stops it."""
    stop: Line | None = None
    for diameter in series.sizes("pins", task.basis.family):
        tried = replace(bearing, dowels=_DOWELS, dowel=diameter)
        failing = [
            line
            for line in lines(task, tried)
            if line.part == "dowels" and (line.utilisation or 0.0) > 1.0
        ]
        if not failing:
            return tried, None
        stop = max(failing, key=lambda line: line.utilisation or 0.0)
    return None, stop
