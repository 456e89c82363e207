"""The outer plate of a bearing on its seat: plate, concrete or girder, anchors, welds or bolts.

The plate lies in the plane of x', y'. The bearing loads it over a patch in its middle; what is
outside (concrete or grout, or the flange of a girder) answers with a linear pressure that cannot
pull. What the pressure cannot balance, the anchors hold.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from operator import le, lt

from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common import seating_checks as checks
from bedstone.bearings.common.rules import governing, method, rules
from bedstone.bearings.common.seating_checks import DOWEL_EMBEDMENT, FLANGE
from bedstone.bearings.common.seating_plate import (
    Connected,
    Place,
    Seating,
    SeatingCase,
    answer,
    bending_moment,
    fault,
)
from bedstone.standards.record import Line

__all__ = [
    "OPTIONS",
    "Connected",
    "Seating",
    "SeatingCase",
    "check_seating",
    "parts_of",
    "size_seating",
]

OPTIONS: Mapping[str, str] = {
    **materials.OPTIONS,
    "anchor.grade": "grade of anchor bolts; default 8.8 (EN), F1554 grade 55 (AASHTO), 4.6 (IRC)",
    "anchor.count": "number of anchor bolts of a plate on concrete; default 4 to 8 as needed",
    "anchor.least": "smallest anchor bolt by name; default M20 or 3/4 in",
    "sole.connection": "welded (default) or bolted: how a plate is fixed to a steel girder",
    "sole.machined": "true (default): compression passes by contact; false: through the welds",
    "sole.site_weld": "true: the welds to the girder are made on site; default false",
    "girder.flange_width": "width of the girder's flange (m); default the plate's width",
    "girder.steel": "steel of the girder at the plate; default as the plates",
    "girder.flange": "thickness of the girder's flange (m) against fitted bolts; default 0.02",
    "bolt.grade": "grade of fitted bolts; default 8.8 (EN), A325 (AASHTO), 4.6 (IRC)",
    "grout": "thickness of the grout bed (m); default 0.025",
}

_ANCHOR_GRADE = {"eurocode": "8.8", "aashto": "F1554 grade 55", "irc": "4.6"}
_BOLT_GRADE = {"eurocode": "8.8", "aashto": "A325", "irc": "4.6"}
_LEAST_ANCHOR = {"eurocode": "M20", "aashto": "3/4 in", "irc": "M20"}
_GROUT = 0.025  # m; common practice, no source
_LEAST_PLATE = 0.02  # m; common practice, no source
_EMBEDMENT = 20.0  # length of an anchor in diameters, for its mass; common practice, no source
#: Bolts further above their strength than this on a like plan are not tried (bound of the search).
_NEAR = 1.2
#: Largest growth of a plate beyond what the bearing needs, steps of 10 mm (a bound of the search).
_STEPS = 256
_Check = Callable[[Seating, SeatingCase, Place], Line | None]
#: Lengths added to a sole plate for its welds, m (a bound of the search).
_WELD_GROWTH = (0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0)


def size_seating(
    cases: Sequence[SeatingCase],
    basis: Basis,
    *,
    least_length: float,
    least_width: float,
    part: str,
    connected: Connected,
    above: bool = False,
    use: str = "road",
    least_thickness: float = 0.0,
) -> tuple[Seating, list[Line], list[Part]]:
    """The lightest plate not smaller than `least_length` x `least_width` (m) that passes.

    `above`: the concrete is that of the superstructure. `use`: road or rail. Where nothing
    passes within the plinth and the series, the largest tried comes back with a utilisation above 1
    in its lines: the caller decides. Raises `InputError` for no cases or no concrete strength.
    """
    if not cases:
        raise fault("cases", "none", "at least one case on the plate")
    size = _size_on_concrete if connected == "concrete" else _size_on_steel
    at = Place(part, connected, above, use, basis)
    # Sized for the extreme cases, checked for all, and again with any case that then governs.
    active = _extremes(cases)
    while True:
        seating = size(tuple(active), at, least_length, least_width, least_thickness)
        lines = check_seating(
            seating, cases, basis, part=part, connected=connected, above=above, use=use
        )
        failing = {line.case for line in lines if (line.utilisation or 0.0) > 1.0}
        added = [case for case in cases if case.name in failing and case not in active]
        if not added:
            return seating, lines, parts_of(seating, part=part, connected=connected)
        active += added


def _extremes(cases: Sequence[SeatingCase]) -> list[SeatingCase]:
    """The cases largest in some effect that the checks feel, each once, in their order."""
    measures: tuple[Callable[[SeatingCase], float], ...] = (
        lambda case: case.N,
        lambda case: -case.N,
        lambda case: math.hypot(case.Hx, case.Hy),
        lambda case: math.hypot(case.Hx, case.Hy) - 0.4 * case.N,
        lambda case: abs(case.N * case.ex + case.overturning_x),
        lambda case: abs(case.N * case.ey + case.overturning_y),
    )
    chosen = {id(max(cases, key=measure)) for measure in measures}
    return [case for case in cases if id(case) in chosen]


def check_seating(
    seating: Seating,
    cases: Sequence[SeatingCase],
    basis: Basis,
    *,
    part: str,
    connected: Connected,
    above: bool = False,
    use: str = "road",
) -> list[Line]:
    """All checks of a given plate: for each rule the line of the case that governs.

    Raises `InputError` for impossible sizes, unknown steels, bolts or grades.
    """
    checks.refuse_impossible(seating, connected)
    at = Place(part, connected, above, use, basis)
    # Bending and welds are governed by one figure of each case: the rule is asked for the largest.
    bent = _leading(cases, at, lambda case: bending_moment(seating, case, at))
    to_check: list[tuple[_Check, Sequence[SeatingCase]]] = [(checks.bending, bent)]
    if connected == "concrete":
        to_check += [
            (checks.concrete, _front(cases, at, lambda case: _pressing(seating, case))),
            (checks.sliding, cases[:1]),  # has no limit, so that the first one is as good as any
            (checks.anchor, _front(cases, at, lambda case: _pulling(seating, case, at))),
            (checks.dowel, cases),
            (checks.dowel_pressure, cases),
        ]
    elif seating.weld > 0.0:
        pulled = _leading(cases, at, lambda case: checks.weld_force(seating, case, at))
        to_check += [(checks.weld, pulled)]
    else:
        to_check += [(checks.bolt, cases)]
    lines = []
    for check, among in to_check:
        found = [line for case in among if (line := check(seating, case, at)) is not None]
        if found:
            lines.append(governing(found))
    if connected == "concrete" and not above and basis.plinth is not None:
        lines.append(checks.within_plinth(seating, basis.plinth, part))
    return lines


def _leading(
    cases: Sequence[SeatingCase], at: Place, measure: Callable[[SeatingCase], float]
) -> list[SeatingCase]:
    """For each method of the family the case with the largest measure, in order."""
    largest: dict[str, tuple[float, int]] = {}
    for i, case in enumerate(cases):
        name, value = method(at.basis.family, case.limit_state), measure(case)
        if name not in largest or value > largest[name][0]:
            largest[name] = (value, i)
    return [cases[i] for i in sorted(i for _, i in largest.values())]


def _front(
    cases: Sequence[SeatingCase], at: Place, measures: Callable[[SeatingCase], tuple[float, ...]]
) -> list[SeatingCase]:
    """The cases that can govern a rule that grows with every measure, in order.

    Left out is what stays below another case in all measures, or nowhere above an earlier one.
    """
    groups: dict[tuple[str, bool], list[tuple[int, tuple[float, ...]]]] = {}
    for i, case in enumerate(cases):
        name = method(at.basis.family, case.limit_state), checks.rare(case)
        groups.setdefault(name, []).append((i, measures(case)))
    kept = []
    for group in groups.values():
        for i, own in group:
            if not any(
                all(map(lt, own, other)) or (j < i and all(map(le, own, other)))
                for j, other in group
            ):
                kept.append(i)
    return [cases[i] for i in sorted(kept)]


def _pressing(seating: Seating, case: SeatingCase) -> tuple[float, float, float]:
    """What presses the concrete: N (N) and its eccentricities (m)."""
    held = answer(seating, case, seating.width)
    return held.N, abs(held.ex), abs(held.ey)


def _pulling(seating: Seating, case: SeatingCase, at: Place) -> tuple[float, float]:
    """What the anchors feel: shear and pull (N)."""
    return checks.left_to_hold(case, at), answer(seating, case, seating.width).bolt


def parts_of(seating: Seating, *, part: str, connected: Connected) -> list[Part]:
    """Plate, anchors or bolts and dowels as a shop makes them; welds belong to the plate's size."""
    plan = f"{_mm(seating.length)} x {_mm(seating.width)} x {_mm(seating.thickness)}"
    size = f"plate {plan}"
    if seating.weld > 0.0:
        size += f", fillet welds with throat {_mm(seating.weld)} on both long sides"
    found = [
        Part(
            name=part,
            material=seating.steel,
            size=size,
            dimensions={
                "length": seating.length,
                "width": seating.width,
                "thickness": seating.thickness,
                "weld": seating.weld,
            },
            mass=seating.length * seating.width * seating.thickness * materials.STEEL_DENSITY,
            function="spreads the force of the bearing"
            + (" into the concrete" if connected == "concrete" else " into the girder"),
        )
    ]
    if seating.anchors:
        bolt = series.bolt(seating.anchor)
        concrete = connected == "concrete"
        length = series.length(
            seating.thickness
            + seating.grout
            + (_EMBEDMENT + 2.0 if concrete else 3.0) * bolt.diameter
            + (0.0 if concrete else FLANGE),
            0.005,
        )
        found.append(
            Part(
                name=f"{part}: {'anchor bolt' if concrete else 'fitted bolt'}",
                material=seating.anchor_grade,
                size=f"{seating.anchor} x {_mm(length)}",
                dimensions={"diameter": bolt.diameter, "length": length},
                mass=bolt.area * length * materials.STEEL_DENSITY,
                number=seating.anchors,
                function="holds the plate against sliding and lifting",
            )
        )
    if seating.dowels:
        length = DOWEL_EMBEDMENT * seating.dowel
        found.append(
            Part(
                name=f"{part}: dowel",
                material=seating.steel,
                size=f"{_mm(seating.dowel)} dia. x {_mm(length)}, welded below the plate",
                dimensions={"diameter": seating.dowel, "length": length},
                mass=math.pi / 4.0 * seating.dowel**2 * length * materials.STEEL_DENSITY,
                number=seating.dowels,
                function="holds the plate against sliding",
            )
        )
    return found


def _largest(lines: list[Line | None]) -> float:
    return max((line.utilisation or 0.0 for line in lines if line is not None), default=0.0)


def _size_on_concrete(
    cases: tuple[SeatingCase, ...],
    at: Place,
    least_length: float,
    least_width: float,
    least_thickness: float,
) -> Seating:
    family = at.basis.family
    grade = at.option("anchor.grade", _ANCHOR_GRADE[family])
    smallest = series.bolt(at.option("anchor.least", _LEAST_ANCHOR[family])).diameter
    bolts = [bolt for bolt in series.bolts(family) if bolt.diameter >= smallest - 1e-9]
    number = at.basis.options.get("anchor.count")
    counts = (4, 6, 8) if number is None else (int(number),)
    if any(count < 2 or count % 2 for count in counts):
        raise fault("anchor.count", f"{number}", "an even number, 2 or more")
    steel = materials.default("plate", at.basis)
    grout = at.length("grout", _GROUT)
    start = Seating(0.0, 0.0, 0.05, steel, anchor_grade=grade, grout=grout)
    # Bolts stand beside the bearing: their washers need three diameters on each side of it.
    layouts = sorted(
        ((n, bolt) for n in counts for bolt in bolts), key=lambda item: item[0] * item[1].area
    )
    seating = start
    flat = _without_tilt(cases, at)
    for n, bolt in layouts:
        trial = replace(start, anchors=n, anchor=bolt.name)
        length = max(least_length, n // 2 * 3.0 * bolt.diameter + bolt.diameter)
        trial = replace(
            trial,
            length=series.length(length),
            width=series.length(least_width + 6.0 * bolt.diameter),
        )
        # The plan without tension decides little about shear: skip what cannot pass at any plan.
        if _largest([checks.anchor(trial, case, at) for case in flat]) > 1.0:
            seating = trial
            continue
        # The plan of the layout before tells whether these bolts come near at all (the plan hardly
        # changes from one layout to the next): growing it each time would cost most of the search.
        if seating.thickness != start.thickness or seating.length > trial.length:
            alike = replace(seating, anchors=n, anchor=bolt.name)
            if _largest([checks.anchor(alike, case, at) for case in cases]) > _NEAR:
                continue
        seating = _grow(trial, cases, at, least_thickness)
        if _largest([checks.anchor(seating, case, at) for case in cases]) <= 1.0:
            return seating
    return _with_dowels(seating, cases, at, least_thickness)


def _without_tilt(cases: tuple[SeatingCase, ...], at: Place) -> list[SeatingCase]:
    """The cases as if no force stood out of the middle; pressed ones then feel their shear alone,
    so that of those the one with most of it stays.
    """
    flat = [replace(case, ex=0.0, ey=0.0, overturning_x=0.0, overturning_y=0.0) for case in cases]
    pressed = [case for case in flat if case.N > 0.0]
    lifted = [case for case in flat if not case.N > 0.0]
    return lifted + _leading(pressed, at, lambda case: checks.left_to_hold(case, at))


def _with_dowels(
    seating: Seating, cases: tuple[SeatingCase, ...], at: Place, least_thickness: float
) -> Seating:
    """Dowels take all shear where the largest anchors cannot; the anchors keep the pull."""
    best = _grow(seating, cases, at, least_thickness)
    for n in (1, 2, 4, 6, 8):
        for diameter in series.sizes("pins", at.basis.family):
            trial = replace(best, dowels=n, dowel=diameter)
            if 2.0 * diameter * n > min(best.length, best.width) + diameter:
                continue
            lines = [
                check(trial, case, at)
                for check in (checks.dowel, checks.dowel_pressure)
                for case in cases
            ]
            if _largest(lines) <= 1.0:
                return trial
    return best


def _grow(
    seating: Seating, cases: tuple[SeatingCase, ...], at: Place, least_thickness: float
) -> Seating:
    """The plan grown along x', y' or both until the concrete carries it; the lightest of three."""
    trials = []
    for along, across in ((1.0, 1.0), (1.0, 0.0), (0.0, 1.0)):
        grown = _grown(seating, cases, at, along, across)
        if grown is not None:
            trials.append(_thick(grown, cases, at, least_thickness))
    if not trials:
        trials = [_thick(seating, cases, at, least_thickness)]
    return min(trials, key=lambda item: item.length * item.width * item.thickness)


def _grown(
    seating: Seating, cases: tuple[SeatingCase, ...], at: Place, along: float, across: float
) -> Seating | None:
    """The smallest growth that passes, by halving; None where none does."""

    def plan(steps: int) -> Seating:
        return replace(
            seating,
            length=round(seating.length + 0.01 * steps * along, 4),
            width=round(seating.width + 0.01 * steps * across, 4),
        )

    def use(steps: int, among: Sequence[SeatingCase]) -> float:
        return _largest([checks.concrete(plan(steps), case, at) for case in among])

    most = _STEPS
    if at.plinth is not None:
        rooms = [
            (side - own) / (0.01 * grows)
            for side, own, grows in zip(
                at.plinth, (seating.length, seating.width), (along, across), strict=True
            )
            if grows > 0.0
        ]
        most = max(0, min(most, int(min(rooms) + 1e-6)))
    # Halving on the worst case alone, and again with any other case that it leaves failing.
    worst: list[SeatingCase] = []
    low = 0
    while True:
        failing = [(use(low, [case]), case) for case in cases]
        failing = [item for item in failing if item[0] > 1.0]
        if not failing:
            return plan(low)
        worst.append(max(failing, key=lambda item: item[0])[1])
        if use(most, worst) > 1.0:
            return None
        high = most
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if use(middle, worst) > 1.0 else (low, middle)
        low = high


def _thick(
    seating: Seating, cases: tuple[SeatingCase, ...], at: Place, least_thickness: float
) -> Seating:
    """The plate in the thinnest practical plate that carries its bending."""
    family = at.basis.family
    floor = max(least_thickness, _LEAST_PLATE)
    for _ in range(12):
        steel = materials.steel(seating.steel, max(floor, 1e-3), at.basis)
        needed = max(
            rules(family, case.limit_state).least_thickness(
                at.basis.values, bending_moment(seating, case, at), steel.fy
            )
            for case in cases
        )
        size = series.at_least("plates", family, max(needed, floor))
        thickest = materials.thickest(seating.steel)
        if size is None or size > thickest:
            made = [item for item in series.sizes("plates", family) if item <= thickest]
            return replace(seating, thickness=made[-1])
        # A thicker plate may be weaker: ask again with the strength at its own thickness.
        if size <= floor + 1e-9:
            return replace(seating, thickness=size)
        floor = size
    return replace(seating, thickness=floor)


def _weld_use(seating: Seating, cases: tuple[SeatingCase, ...], at: Place) -> float:
    pulled = _leading(cases, at, lambda case: checks.weld_force(seating, case, at))
    return _largest([checks.weld(seating, case, at) for case in pulled])


def _size_on_steel(
    cases: tuple[SeatingCase, ...],
    at: Place,
    least_length: float,
    least_width: float,
    least_thickness: float,
) -> Seating:
    family = at.basis.family
    plate = Seating(
        series.length(least_length),
        series.length(least_width),
        0.05,
        materials.default("plate", at.basis),
    )
    connection = at.option("sole.connection", "welded")
    if connection == "welded":
        plate = _thick(plate, cases, at, least_thickness)
        throats = series.sizes("welds", family)
        for longer in _WELD_GROWTH:
            # A longer plate where the heaviest weld of the series does not do.
            trial = replace(plate, length=plate.length + longer, weld=throats[-1])
            if trial.length > 2.0 * throats[-1] and _weld_use(trial, cases, at) <= 1.0:
                break
        plate = _thick(trial, cases, at, least_thickness)
        for throat in throats:
            trial = replace(plate, weld=throat)
            if _weld_use(trial, cases, at) <= 1.0:
                break
        return trial
    if connection != "bolted":
        raise fault("sole.connection", repr(connection), "welded or bolted")
    grade = at.option("bolt.grade", _BOLT_GRADE[family])
    smallest = series.bolt(_LEAST_ANCHOR[family]).diameter
    layouts = sorted(
        (
            (n, bolt)
            for n in (4, 6, 8, 10, 12)
            for bolt in series.bolts(family)
            if smallest - 1e-9 <= bolt.diameter <= 0.037
        ),
        key=lambda item: item[0] * item[1].area,
    )
    for n, bolt in layouts:
        trial = replace(
            plate,
            anchors=n,
            anchor=bolt.name,
            anchor_grade=grade,
            length=max(plate.length, series.length((n // 2 + 1) * 3.0 * bolt.diameter)),
            width=max(plate.width, series.length(least_width + 6.0 * bolt.diameter)),
        )
        if _largest([checks.bolt(trial, case, at) for case in cases]) <= 1.0:
            break
    return _thick(trial, cases, at, least_thickness)


def _mm(value: float) -> str:
    return f"{value * 1e3:.4g}"
