"""What surrounds a slide: refusals, the search for sizes, outer plates, the finished design."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol, TypeVar

from bedstone.bearings.base import (
    Basis,
    Behaviour,
    Demand,
    DemandCase,
    Design,
    Kind,
    Part,
    Refusal,
    worst_first,
)
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.seating import (
    Connected,
    Seating,
    SeatingCase,
    check_seating,
    parts_of,
    size_seating,
)
from bedstone.bearings.shortfall import nothing_carries
from bedstone.bearings.sliding_element import Thrust, slide_parts
from bedstone.bearings.sliding_given import Sizes
from bedstone.bearings.sliding_rules import SlideRules
from bedstone.bearings.sliding_sheet import Slide
from bedstone.bridge.schema import BearingKind
from bedstone.errors import InputError
from bedstone.standards.record import Line

Trial = TypeVar("Trial")


class Plated(Protocol):
    """A bearing between two outer plates."""

    @property
    def lower(self) -> Seating:
        """The plate below."""
        ...

    @property
    def upper(self) -> Seating:
        """The plate above."""
        ...


class Made(Protocol):
    """A bearing as made: it knows its height."""

    @property
    def height(self) -> float:
        """Overall, plates included, m."""
        ...


# ------------------------------------------------------------------ what a seat asks
def common_refusal(kind: BearingKind, demand: Demand, rules: SlideRules) -> Refusal | None:
    """Why no bearing that only presses can serve: uplift, or a function it cannot have."""
    if demand.function in {"elastic", "none"}:
        return Refusal(
            kind,
            f"a {kind} bearing is fixed, guided or free, and this seat is {demand.function}",
            remedy="a laminated elastomeric bearing is a spring; or choose another function",
        )
    pulling = [case for case in (*demand.strength, *demand.service) if case.N <= 0.0]
    if demand.uplift > 0.0 or pulling:
        pull = max([demand.uplift, *(-case.N for case in pulling)])
        return Refusal(
            kind,
            f"the seat is pulled up by {pull / 1e3:.0f} kN (or not pressed) and a {kind} bearing "
            "only presses",
            rules.uplift_clause,
            "an uplift restraint beside it, counterweight, or another arrangement",
        )
    return None


def settled(
    kind: Kind, demand: Demand, basis: Basis, size: Callable[[], Design | Refusal]
) -> Design | Refusal:
    """What `size` gives; a refusal where the kind refuses the seat, where what was sized fails
    or where a part is thicker than steel is made.
    """
    refusal = kind.refuse(demand, basis)
    if refusal is not None:
        return refusal
    try:
        found = size()
    except InputError as error:
        thick = [fault for fault in error.faults if fault.where.startswith("thickness of ")]
        if len(thick) < len(error.faults):
            raise
        steel = thick[0].where.removeprefix("thickness of ")
        return Refusal(
            kind.name,
            f"a part would need {thick[0].found} of {steel}, which is made to "
            + thick[0].allowed.removeprefix("at most "),
            "product standard of the steel",
            "another steel (option steel), or share the load among more bearings",
        )
    if isinstance(found, Refusal) or found.passes:
        return found
    return failing(
        kind.name, found.lines, demand, "share the load among more bearings, or another kind"
    )


def failing(kind: BearingKind, lines: Sequence[Line], demand: Demand, remedy: str) -> Refusal:
    """The refusal for lines of which the worst cannot be brought to hold."""
    bad = worst_first(list(lines))[0]
    why = nothing_carries(bad, demand) or (
        f"{bad.title.lower()} ({bad.part}) stays at {100.0 * (bad.utilisation or 0.0):.1f} %"
    )
    return Refusal(
        kind,
        f"no {kind} bearing in practical sizes holds: {why}",
        f"{bad.standard}, {bad.clause}",
        remedy,
    )


# ------------------------------------------------------------------ search
def checked_cases(
    demand: Demand, rules: SlideRules
) -> tuple[tuple[DemandCase, ...], tuple[DemandCase, ...]]:
    """Cases for which steel is checked, and those that sheets are checked for besides."""
    strong = rules.strength(demand)
    others = (*demand.service, *demand.of("permanent"))
    known = {
        id(case) for case in strong
    }  # cases of one demand: the same limit state, the same case
    return strong, tuple(case for case in others if id(case) not in known)


def leading_cases(demand: Demand) -> tuple[DemandCase, ...]:
    """Of each limit state the cases that lead in any effect, in order.

    Sizing looks at these first; what it finds is then checked for all cases.
    """
    leads: tuple[Callable[[DemandCase], float], ...] = (
        lambda c: c.N,
        lambda c: -c.N,
        lambda c: abs(c.Hx),
        lambda c: abs(c.Hy),
        lambda c: math.hypot(c.Hx, c.Hy) / max(c.N, 1.0),
        lambda c: abs(c.rx),
        lambda c: abs(c.ry),
        lambda c: math.hypot(c.rx, c.ry) / max(c.N, 1.0),
        lambda c: (abs(c.Mx) + abs(c.My)) / max(c.N, 1.0),
        lambda c: abs(c.vx),
        lambda c: abs(c.vy),
    )
    kept = set()
    for state in {case.limit_state for case in demand.cases}:
        among = [i for i, case in enumerate(demand.cases) if case.limit_state == state]
        kept |= {max(among, key=lambda i: lead(demand.cases[i])) for lead in leads}
    return tuple(demand.cases[i] for i in sorted(kept))


def fitted(
    demand: Demand,
    fit: Callable[[Demand], Trial | Refusal],
    check: Callable[[Trial], tuple[Trial, list[Line]]],
) -> tuple[Trial, list[Line]] | Refusal:
    """Sizes that hold for all cases: fitted to those that lead, then to those that fail besides.

    `check` gives what was fitted its forces in all cases, with all its lines.
    """
    cases = leading_cases(demand)
    while True:
        found = fit(replace(demand, cases=cases))
        if isinstance(found, Refusal):
            return found  # what cannot be for some cases cannot be for all
        whole, lines = check(found)
        beyond = {line.case for line in lines if (line.utilisation or 0.0) > 1.0}
        more = tuple(c for c in demand.cases if c.name in beyond and c not in cases)
        if not more:
            return whole, lines
        cases += more


# ------------------------------------------------------------------ plates
def middle_plate(slide: Slide, rules: SlideRules) -> float:
    """Thickness (m) of a plate of its own that holds the sheet and on whose sides guides press."""
    sheet = slide.sheet
    bars = max((pair.bar_height - slide.height for pair in slide.guides), default=0.0)
    recess = sheet.thickness - sheet.protrusion
    needed = max(rules.backing(sheet.around) + recess, bars, 0.02)  # common practice, no source
    return series.at_least("plates", rules.basis.family, needed) or needed


def connections(basis: Basis) -> tuple[Connected, Connected]:
    """What is below and above: concrete where a strength is given, else steel."""
    return (
        "concrete" if basis.concrete_below is not None else "steel",
        "concrete" if basis.concrete_above is not None else "steel",
    )


@dataclass(frozen=True)
class Plates:
    """Lower and upper plate of a bearing with their checks and parts."""

    lower: Seating
    upper: Seating
    lines: list[Line]
    lower_parts: list[Part]
    upper_parts: list[Part]

    @property
    def plan(self) -> tuple[float, float]:
        """Length and width (m) of the upper plate."""
        return self.upper.length, self.upper.width


def outer_plates(
    below: Callable[[float], Sequence[SeatingCase]],
    above: Callable[[float], Sequence[SeatingCase]],
    demand: Demand,
    basis: Basis,
    *,
    lower: tuple[float, float, float],
    upper: tuple[float, float, float],
    upper_name: str,
    sizes: Sizes | None = None,
    standing: Plated | None = None,
) -> Plates:
    """Both outer plates, each checked as given in `sizes` or as it stands, or else sized.

    `below`, `above` give the cases at the outer face for a plate's thickness, on which the lever
    of the horizontal force depends; `lower`, `upper`: least length, width, thickness (m) of a plate
    that is sized. Raises `InputError` for impossible sizes.
    """
    given: list[Seating | None] = [None, None]
    if sizes is not None:
        given = [_given_seating(sizes, basis, plate) for plate in ("lower", "upper")]
        sizes.done()
    if standing is not None:
        given = [standing.lower, standing.upper]
    down, up = connections(basis)
    (low, low_lines, low_parts), (top, top_lines, top_parts) = (
        _sized(cases, demand, basis, least, part, connected, above=is_above)
        if seating is None
        else (
            seating,
            check_seating(
                seating,
                cases(seating.thickness),
                basis,
                part=part,
                connected=connected,
                above=is_above,
                use=demand.use,
            ),
            parts_of(seating, part=part, connected=connected),
        )
        for seating, cases, least, part, connected, is_above in (
            (given[0], below, lower, "base plate", down, False),
            (given[1], above, upper, upper_name, up, True),
        )
    )
    return Plates(low, top, [*low_lines, *top_lines], low_parts, top_parts)


def _sized(
    cases: Callable[[float], Sequence[SeatingCase]],
    demand: Demand,
    basis: Basis,
    least: tuple[float, float, float],
    part: str,
    connected: Connected,
    *,
    above: bool,
) -> tuple[Seating, list[Line], list[Part]]:
    """A plate with its checks and parts; two rounds settle its thickness and the lever."""
    thickness = max(least[2], 0.03)
    for _ in range(3):
        seating, lines, parts = size_seating(
            cases(thickness),
            basis,
            least_length=least[0],
            least_width=least[1],
            part=part,
            connected=connected,
            above=above,
            use=demand.use,
            least_thickness=least[2],
        )
        if seating.thickness <= thickness + 1e-9:
            break
        thickness = seating.thickness
    if seating.thickness < thickness - 1e-9:
        # Sized with a longer lever than it has: say how it is.
        lines = check_seating(
            seating,
            cases(seating.thickness),
            basis,
            part=part,
            connected=connected,
            above=above,
            use=demand.use,
        )
    return seating, lines, parts


def _given_seating(sizes: Sizes, basis: Basis, plate: str) -> Seating | None:
    if not sizes.has(f"{plate}.length"):
        return None
    return Seating(
        length=sizes.number(f"{plate}.length"),
        width=sizes.number(f"{plate}.width"),
        thickness=sizes.number(f"{plate}.thickness"),
        steel=materials.default("plate", basis),
        anchors=int(sizes.number(f"{plate}.anchors", 0.0, above=None)),
        anchor=sizes.text(f"{plate}.anchor", ""),
        anchor_grade=sizes.text(f"{plate}.grade", ""),
        grout=sizes.number(f"{plate}.grout", 0.0, above=None),
        weld=sizes.number(f"{plate}.weld", 0.0, above=None),
    )


# ------------------------------------------------------------------ result
def slide_behaviour(
    slide: Slide | None,
    demand: Demand,
    rules: SlideRules,
    *,
    play: float = 0.0,
    rotation: tuple[float | None, float | None] = (None, None),
) -> Behaviour:
    """Friction under the permanent contact pressure, play of guides; slide above: line stays.

    `play`: clearance (m) of what holds besides the guides; `rotation`: stiffness about x', y'.
    """
    friction = (0.0, 0.0)
    if slide is not None and not all(demand.held):
        friction = rules.pair(max(demand.permanent, 0.0) / slide.sheet.area)
    guides = max((pair.play for pair in slide.guides), default=0.0) if slide is not None else 0.0
    return Behaviour(
        rotation_x=rotation[0],
        rotation_y=rotation[1],
        friction=friction,
        play=play + guides,
        eccentricity=0.0,
    )


def left(slide: Slide | None, demand: Demand) -> float:
    """Calculated movement left (m) to the edge of the stainless surface; 0 where all is held."""
    if slide is None:
        return 0.0
    room = [
        way - demand.largest(name)
        for way, name, held in zip(
            (slide.way_x, slide.way_y), ("vx", "vy"), demand.held, strict=True
        )
        if not held
    ]
    return round(min(room, default=0.0), 9)


def finished(
    kind: BearingKind,
    bearing: Made,
    parts: Sequence[Part],
    lines: Sequence[Line],
    plates: Plates,
    slide: Slide | None,
    strong: Sequence[Thrust],
    demand: Demand,
    rules: SlideRules,
    *,
    play: float = 0.0,
    rotation: tuple[float | None, float | None] = (None, None),
    notes: Sequence[str] = (),
) -> Design:
    """The design of a bearing with a slide, or held without one, between two outer plates.

    `parts`, `lines`: those between the plates, the slide's parts left out; `strong`: horizontal
    forces of the cases for which steel is checked; `play`, `rotation`: see `slide_behaviour`.
    """
    length, width = plates.plan
    return Design(
        kind=kind,
        bearing=bearing,
        parts=(
            *plates.lower_parts,
            *parts,
            *(slide_parts(slide, rules, plates.plan) if slide is not None else ()),
            *plates.upper_parts,
        ),
        lines=worst_first([*lines, *plates.lines]),
        behaviour=slide_behaviour(slide, demand, rules, play=play, rotation=rotation),
        height=bearing.height,
        reach=(max(plates.lower.length, length), max(plates.lower.width, width)),
        horizontal=max(thrust.Hx for thrust in strong),
        left=left(slide, demand),
        notes=tuple(notes),
    )
