"""Plates below and above rollers: their least sizes, the search for them and their checks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from bedstone.bearings import rolling
from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import rules
from bedstone.bearings.common.seating import (
    Connected,
    Seating,
    SeatingCase,
    check_seating,
    parts_of,
    size_seating,
)
from bedstone.bearings.roller_basis import derived, usual_length
from bedstone.bearings.roller_details import least_margin
from bedstone.bearings.roller_set import (
    Forces,
    Level,
    Rollers,
    extreme_moments,
    plate_bending_line,
    plate_rule_lines,
    seating_cases,
    share,
)
from bedstone.bearings.roller_setting import Setting
from bedstone.standards.irc import rollers as irc_rollers
from bedstone.standards.record import Line, Quantity

#: Thickness (m) of a plate before it is known: decides the levers of the first try alone.
PLATE = 0.05
#: How often a plate is tried with what the last try showed.
_TRIES = 12


@dataclass(frozen=True)
class Place:
    """Where a plate stands: its name, what it is fixed to, and whether that is above."""

    part: str
    connected: Connected
    above: bool


def below(basis: Basis) -> Place:
    """The lower plate of a bearing."""
    return Place("base plate", "steel" if basis.concrete_below is None else "concrete", above=False)


def above(basis: Basis) -> Place:
    """The upper plate of a bearing."""
    return Place("sole plate", "steel" if basis.concrete_above is None else "concrete", above=True)


#: Cases of a plate of some thickness (m).
CasesFor = Callable[[float], list[SeatingCase]]


#: Least thickness (m) that a plate of these sizes needs besides the rules of its seat.
NeedFor = Callable[[Seating], float]


def base_length(rollers: Rollers) -> float:
    """Least length (m) of the lower plate: rollers, stops and their margins."""
    stop = rollers.stop
    return rollers.outer + 2.0 * (
        stop.gap + least_margin(rollers.diameter, stop.height, stop.thickness)
    )


def top_length(at: Setting, rollers: Rollers) -> float:
    """Least length (m) of the upper plate: rollers at their extreme and a margin."""
    return rolling.plate_length(
        rollers.number, rollers.spacing, at.movement, usual_length("margin")
    )


def least_width(rollers: Rollers) -> float:
    """Least width (m) of both plates: the rollers, and grooves for their tooth bars beside them."""
    beside = rollers.teeth.thickness + 0.01 if rollers.teeth else 0.0
    collars = (
        rollers.guide.width + rollers.guide.clearance if rollers.guide.form == "flanges" else 0.0
    )
    return rollers.length + 2.0 * max(beside, collars)


def extremes(cases: list[SeatingCase], length: float, width: float) -> set[str]:
    """Names of the cases that are extreme in one effect on a plate; sizes are sought on them."""
    table = np.array(
        [
            (
                case.N,
                case.N * _edge(case, length, width),
                _edge(case, length, width),
                math.hypot(case.Hx, case.Hy),
                math.hypot(case.Hx, case.Hy) / case.N,
            )
            for case in cases
        ]
    )
    return {cases[index].name for index in table.argmax(axis=0)}


def _edge(case: SeatingCase, length: float, width: float) -> float:
    return 1.0 + 6.0 * abs(case.ex) / length + 6.0 * abs(case.ey) / width


def size_plate(
    place: Place,
    at: Setting,
    cases_for: CasesFor,
    need_for: NeedFor,
    length: float,
    width: float,
    *,
    thickness: float = 0.0,
    length_for: NeedFor | None = None,
) -> Seating:
    """The lightest plate that passes on its seat and for the rollers (the last tried if none).

    Sizes are sought on the extreme cases, and again with any other case that then fails.
    """
    guess = max(PLATE, thickness)
    sought = extremes(cases_for(guess), length, width)
    seating = None
    for _ in range(_TRIES):
        cases = [case for case in cases_for(guess) if case.name in sought]
        seating, lines, _ = size_seating(
            cases,
            at.basis,
            least_length=length,
            least_width=width,
            part=place.part,
            connected=place.connected,
            above=place.above,
            use=at.demand.use,
            least_thickness=thickness,
        )
        if any(_fails(line) and ": weld" in line.part for line in lines):
            # Welds run along x': a longer plate carries the moment with less of them.
            length = series.length(1.25 * seating.length)
            continue
        needed = max(need_for(seating), thickness)
        if length_for is not None and length_for(seating) > seating.length + 1e-9:
            length = series.length(length_for(seating))
            continue
        if seating.thickness < needed * (1.0 - 1e-9) or seating.thickness > guess + 1e-9:
            guess = max(seating.thickness, needed, guess)
            if needed > seating.thickness:
                thickness = needed
            continue
        failing = {
            line.case
            for line in check_seating(
                seating,
                cases_for(seating.thickness),
                at.basis,
                part=place.part,
                connected=place.connected,
                above=place.above,
                use=at.demand.use,
            )
            if _fails(line)
        } - sought  # fmt: skip
        if not failing:
            return seating
        sought |= failing
    assert seating is not None
    return seating


def _fails(line: Line) -> bool:
    return (line.utilisation or 0.0) > 1.0


def plate_need(rollers: Rollers, found: Forces, mu: float, basis: Basis) -> NeedFor:
    """Thickness (m) for bending with the rollers at their extreme, and by the plate rules."""

    def need(seating: Seating) -> float:
        if not np.all(np.isfinite(found.each)):
            return 0.0  # the set tips over: a check of the rollers says so
        moments = extreme_moments(rollers, found, mu, seating.length)
        worst = int(np.argmax(moments))
        if not math.isfinite(moments[worst]):
            return 0.0
        spread = rollers.length + 2.0 * (seating.thickness + rollers.strip)
        per_width = float(moments[worst]) / min(seating.width, spread)
        steel = materials.steel(seating.steel, seating.thickness, basis)
        state = found.cases.cases[worst].limit_state
        least = rules(basis.family, state).least_thickness(basis.values, per_width, steel.fy)
        if basis.family == "irc":
            least = max(least, irc_rollers.plate_thickness_needed(basis.values, rollers.spacing))
        return least

    return need


def plate_reach(rollers: Rollers, basis: Basis) -> NeedFor | None:
    """Length (m) that the plate rules of IRC:83-I ask for; None for the other families."""
    if basis.family != "irc":
        return None
    return lambda seating: irc_rollers.plate_width_needed(
        basis.values, rollers.outer, seating.thickness
    )


def plate_lines(
    at: Setting, rollers: Rollers, found: Forces, seating: Seating, place: Place, level: Level
) -> list[Line]:
    """All checks of one plate under the rollers."""
    mu = at.mu(rollers.steels)
    cases = seating_cases(rollers, found, mu, level, seating.thickness)
    lines = check_seating(
        seating,
        cases,
        at.basis,
        part=place.part,
        connected=place.connected,
        above=place.above,
        use=at.demand.use,
    )
    if np.all(np.isfinite(found.each)):
        lines.append(plate_bending_line(rollers, found, mu, level, seating, at.basis, place.part))
    return lines + plate_rule_lines(rollers, seating, at.basis, place.part)


class Plan(Protocol):
    """A plate by its plan."""

    @property
    def length(self) -> float:
        """Along x', m."""
        ...

    @property
    def width(self) -> float:
        """Along y', m."""
        ...


def room_line(plate: Plan, needed: tuple[float, float], title: str, part: str, note: str) -> Line:
    """A plate is as long and wide (m) as the rollers at their extreme need it (geometry)."""
    length, width = needed
    use = max(share(length, plate.length), share(width, plate.width))
    return derived(
        title,
        "max(length needed/length, width needed/width) <= 1",
        (
            Quantity("length needed", length, "m"),
            Quantity("width needed", width, "m"),
            Quantity("length", plate.length, "m"),
            Quantity("width", plate.width, "m"),
        ),
        Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        source="own geometry",
        part=part,
        note=note,
    )


def seat_parts(seating: Seating, place: Place) -> list[Part]:
    """A plate and its fixings."""
    return parts_of(seating, part=place.part, connected=place.connected)
