"""Laminated elastomeric bearings: pads of elastomer and steel plates, with a slide if asked for.

A pad is a spring both ways in plan. It serves seats that are elastic or free; where the seat is
fixed or guided, something else must hold (a guide, or dowels beside the pad).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from bedstone.bearings import elastomeric_parts as made
from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Design,
    Refusal,
    worst_first,
)
from bedstone.bearings.common import seating as seats
from bedstone.bearings.elastomeric_checks import (
    At,
    Task,
    governing,
    lines,
)
from bedstone.bearings.elastomeric_choices import (
    OPTIONS,
    TYPES,
    Chosen,
    Elastomeric,
    Slide,
    read,
)
from bedstone.bearings.elastomeric_search import OUTER_PLATE, extremes, search, types_to_try
from bedstone.bridge.schema import BearingKind
from bedstone.errors import Fault, InputError
from bedstone.standards.elastomeric_pad import Pad
from bedstone.standards.record import Line

_NAME: BearingKind = "laminated elastomeric"

_FIELDS: Mapping[str, str] = {
    "shape": "rectangular or round",
    "length": "overall side along x' or diameter, m",
    "width": "overall side along y', m (not for round)",
    "layers": "number of inner layers",
    "layer": "thickness of an inner layer, m",
    "plate": "thickness of a reinforcing plate, m",
    "cover": "elastomer above the top and below the bottom plate, m; default 0",
    "side_cover": "elastomer beside the plates, m; default as the family says",
    "type": "B (default), C, D or E",
    "outer_plate": "thickness of an outer plate of type C, m; default 0.02",
    "dowels": "number of dowels beside the pad; default 0",
    "dowel": "diameter of a dowel, m",
    "sheet_length": "side of the sliding sheet along x', m (types D and E)",
    "sheet_width": "side of the sliding sheet along y', m (types D and E)",
    "sheet_thickness": "thickness of the sliding sheet, m (types D and E)",
    "backing": "plate between pad and sliding sheet, m (types D and E)",
    "slide_length": "slide plate along x', m (types D and E)",
    "slide_width": "slide plate along y', m (types D and E)",
    "slide_thickness": "thickness of the slide plate, m (types D and E)",
}


class LaminatedElastomeric:
    """The kind, see `bedstone.bearings.base.Kind`."""

    name: BearingKind = _NAME
    options: Mapping[str, str] = OPTIONS

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return _FIELDS

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """Why a pad cannot serve this seat, or None. Raises `InputError` for faulty options."""
        chosen = read(basis)
        if demand.function == "none":
            return Refusal(_NAME, "no bearing stands here")
        if demand.uplift > 0.0:
            clause = {
                "eurocode": "EN 1337-1, scope",
                "aashto": "AASHTO LRFD 14.6.1",
                "irc": "IRC:83 Part II",
            }[basis.family]
            return Refusal(
                _NAME,
                f"the seat pulls with {demand.uplift / 1e3:.0f} kN; a pad carries compression only",
                clause,
                "hold the superstructure down separately (kind uplift restraint) or load the seat",
            )
        if any(demand.held) and chosen.restraint == "none":
            return Refusal(
                _NAME,
                f"a pad alone is a spring both ways and the seat is {demand.function}",
                "EN 1337-3, 5.3.3.7" if basis.family == "eurocode" else "",
                "make the seat elastic, put a separate guide beside it, or choose"
                " elastomeric.restraint = dowel",
            )
        if chosen.type in ("D", "E"):
            if basis.family != "eurocode":
                return Refusal(
                    _NAME,
                    f"type {chosen.type} with its slide is a bearing of EN 1337-3",
                    "EN 1337-3, 4.4.4",
                    "take a pot on slide or a plane sliding bearing",
                )
            if any(demand.held) or chosen.shape == "round":
                return Refusal(
                    _NAME,
                    "a pad with slide is designed here for free seats and rectangular plans",
                    "EN 1337-3, 4.4.4",
                    "take a guide beside it, or a guided pot or spherical bearing",
                )
        if chosen.shape == "round" and chosen.working_stress:
            return Refusal(
                _NAME,
                "the rules of 1987 known here are those of rectangular pads",
                "IRC:83 Part II-1987, 916",
                "choose elastomeric.shape = rectangular or elastomeric.edition = 2018",
            )
        if demand.permanent <= 0.0:
            return Refusal(
                _NAME,
                "no compression under permanent actions: the pad would not stay",
                "EN 1337-3, 5.3.3.6" if basis.family == "eurocode" else "",
                "load the seat or hold it down",
            )
        return None

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest pad in standard or practical sizes that passes, or why there is none."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        chosen = read(basis)
        task = Task(demand, basis, chosen)
        task.check()
        last: Line | None = None
        for kind in types_to_try(task):
            best, stopped = search(task, kind)
            last = stopped or last
            if best is None:
                continue
            extra, plates = _anchorage(task, best)
            if any((line.utilisation or 0.0) > 1.0 for line in extra):
                last = max(extra, key=lambda line: line.utilisation or 0.0)
                continue
            return _design(task, best, extra, plates)
        if last is None:
            return Refusal(_NAME, "no size fits the concrete below", "", "make the plinth larger")
        return Refusal(
            _NAME,
            f"no size passes; the one that came nearest stopped at: {last.title.lower()}"
            f" ({last.part}, {last.case or 'all cases'}, used {last.utilisation or 0.0:.2f})",
            f"{last.standard} {last.clause}",
            "take a pot or spherical bearing, a slide (elastomeric.type = E), or spread the load"
            " over more bearings",
        )

    def given(self, sizes: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a pad of given sizes (assessment); raises `InputError` for impossible ones."""
        chosen = read(basis)
        task = Task(demand, basis, chosen)
        task.check()
        bearing = _read_sizes(sizes, chosen)
        design = _design(task, bearing, [], [])
        notes = list(design.notes)
        if bearing.type == "C":
            notes.append("the fastening of the outer plates is not given and not checked here")
        if any(demand.held) and not bearing.dowels:
            raise InputError(
                [
                    Fault(
                        "bearing",
                        "dowels",
                        "none",
                        f"dowels that hold a seat that is {demand.function}",
                    )
                ]
            )
        return replace(design, notes=tuple(notes))

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a pad as it was made for another demand; its fastening (type C) is left out."""
        assert isinstance(bearing, Elastomeric)
        task = Task(demand, basis, read(basis))
        task.check()
        return _design(task, bearing, [], [])


KIND = LaminatedElastomeric()


# ------------------------------------------------------------------ anchorage of type C
def _anchorage(
    task: Task, bearing: Elastomeric
) -> tuple[list[Line], list[tuple[str, seats.Seating, seats.Connected]]]:
    """Plates below and above a pad of type C with their fastening: lines, and the plates."""
    if bearing.type != "C":
        return [], []

    def seen(case: DemandCase) -> seats.SeatingCase:
        at = At(task, bearing, case)
        plan = (bearing.pad.plate_length, bearing.pad.plate_width)
        return seats.SeatingCase(
            case.limit_state, case.name, case.N, *at.shear_forces, *at.eccentricity, *plan
        )

    every = [seen(case) for case in task.strength_cases]
    few = [seen(case) for case in extremes(task.strength_cases)]
    checks: list[Line] = []
    plates: list[tuple[str, seats.Seating, seats.Connected]] = []
    above: seats.Connected = "steel" if task.basis.concrete_above is None else "concrete"
    below: seats.Connected = "steel" if task.basis.concrete_below is None else "concrete"
    for part, connected, up in (
        ("lower fixing plate", below, False),
        ("upper fixing plate", above, True),
    ):
        # Sized for the extreme cases, which are few, then checked for all of them.
        for cases in (few, every):
            seating, _, _ = seats.size_seating(
                cases,
                task.basis,
                least_length=bearing.pad.length,
                least_width=bearing.pad.width,
                part=part,
                connected=connected,
                above=up,
                use=task.demand.use,
            )
            own = seats.check_seating(
                seating,
                every,
                task.basis,
                part=part,
                connected=connected,
                above=up,
                use=task.demand.use,
            )
            if all((line.utilisation or 0.0) <= 1.0 for line in own):
                break
        checks += own
        plates.append((part, seating, connected))
    return checks, plates


# ------------------------------------------------------------------ the outcome
def _design(
    task: Task,
    bearing: Elastomeric,
    extra: list[Line],
    plates: list[tuple[str, seats.Seating, seats.Connected]],
) -> Design:
    pad = bearing.pad
    checks = governing(lines(task, bearing)) + extra
    parts = made.parts(task, bearing)
    for part, seating, connected in plates:
        parts += seats.parts_of(seating, part=part, connected=connected)
    loads = [At(task, bearing, case).load for case in task.cases]
    forces = [At(task, bearing, case).shear_forces[0] for case in task.strength_cases]
    notes = []
    if task.demand.function == "free":
        notes.append("not free: the pad sends its shear force below, put it back into the model")
    if (
        task.basis.family == "aashto"
        and task.chosen.method == "B"
        and task.chosen.edition == "2009"
    ):
        notes.append(
            "movements count as static but for the share elastomeric.cyclic_movement that repeats"
        )
    reach = (
        max([pad.length, *(one.length for _, one, _ in plates)]),
        max([pad.width, *(one.width for _, one, _ in plates)]),
    )
    left = _capacity(task, pad) - max(load.v for load in loads)
    height = bearing.height + sum(one.thickness for _, one, _ in plates)
    if bearing.slide is not None:
        reach = (
            max(reach[0], bearing.slide.plate_length),
            max(reach[1], bearing.slide.plate_width),
        )
        room = (bearing.slide.plate_length - bearing.slide.length) / 2
        left = room - task.demand.largest("vx")
    return Design(
        kind=_NAME,
        bearing=bearing,
        parts=tuple(parts),
        lines=worst_first(checks + made.stiffness_lines(bearing)),
        behaviour=made.behaviour(task, bearing, task.cases),
        height=height,
        reach=reach,
        horizontal=max(forces, default=0.0),
        left=left,
        notes=tuple(notes),
    )


def _capacity(task: Task, pad: Pad) -> float:
    """Movement (m) at which the shear rule is used up."""
    values = task.basis.values
    if task.basis.family == "aashto":
        return pad.elastomer_thickness / values.number("elastomeric.shear")
    name = "elastomeric_1987" if task.chosen.working_stress else "elastomeric"
    return pad.elastomer_thickness * values.number(f"{name}.shear.limit")


# ------------------------------------------------------------------ given sizes
def _read_sizes(sizes: Mapping[str, object], chosen: Chosen) -> Elastomeric:
    faults: list[Fault] = [
        Fault("bearing", name, repr(value), f"one of {', '.join(_FIELDS)}")
        for name, value in sizes.items()
        if name not in _FIELDS
    ]

    def number(name: str, default: float | None = None, *, zero: bool = False) -> float:
        value = sizes.get(name, default)
        if (
            isinstance(value, bool)
            or not isinstance(value, (int, float))
            or not math.isfinite(value)
            or value < 0.0
            or (value == 0.0 and not zero)
        ):
            allowed = f"{'0 or more' if zero else 'more than 0'} ({_FIELDS[name]})"
            found = "nothing" if value is None else repr(value)
            faults.append(Fault("bearing", name, found, allowed))
            return 1.0
        return float(value)

    shape = sizes.get("shape", "rectangular")
    if shape not in ("rectangular", "round"):
        faults.append(Fault("bearing", "shape", repr(shape), "rectangular or round"))
    kind = sizes.get("type", "B")
    if kind not in TYPES:
        faults.append(Fault("bearing", "type", repr(kind), ", ".join(TYPES)))
    length = number("length")
    width = length if shape == "round" else number("width")
    layers = number("layers")
    if layers != int(layers):
        faults.append(Fault("bearing", "layers", repr(sizes.get("layers")), "a whole number"))
    pad = Pad(
        length=length,
        width=width,
        layers=int(layers),
        layer=number("layer"),
        plate=number("plate"),
        cover=number("cover", 0.0, zero=True),
        side_cover=number("side_cover", chosen.side_cover, zero=True),
        round=shape == "round",
    )
    outer = number("outer_plate", OUTER_PLATE) if kind == "C" else 0.0
    dowels = number("dowels", 0.0, zero=True)
    if dowels != int(dowels):
        faults.append(Fault("bearing", "dowels", repr(sizes.get("dowels")), "a whole number"))
    dowel = number("dowel") if dowels else 0.0
    slide = None
    if kind in ("D", "E"):
        slide = Slide(
            length=number("sheet_length"),
            width=number("sheet_width"),
            sheet_thickness=number("sheet_thickness"),
            plate_length=number("slide_length"),
            plate_width=number("slide_width"),
            plate_thickness=number("slide_thickness"),
            backing=number("backing"),
        )
    if not faults:
        if min(pad.plate_length, pad.plate_width) <= 0.0:
            faults.append(
                Fault(
                    "bearing",
                    "side_cover",
                    f"{pad.side_cover:g} m",
                    f"less than half the shorter side, {pad.shorter_side / 2:g} m",
                )
            )
        if slide is not None and (slide.length > pad.length or slide.width > pad.width):
            faults.append(
                Fault("bearing", "sheet_length", f"{slide.length:g} m", "a sheet within the pad")
            )
    if faults:
        raise InputError(faults)
    return Elastomeric(
        pad=pad,
        type=next(one for one in TYPES if one == kind),
        modulus=chosen.modulus,
        fy=chosen.fy,
        outer_plate=outer,
        dowels=int(dowels),
        dowel=dowel,
        slide=slide,
    )
