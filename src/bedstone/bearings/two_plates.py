"""Bearings between a base plate on concrete and a sole plate: what pin, knuckle and guide share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from bedstone.bearings.base import (
    Basis,
    Behaviour,
    Demand,
    DemandCase,
    Design,
    Part,
    Refusal,
    worst_first,
)
from bedstone.bearings.common import sizes
from bedstone.bearings.common.seating import (
    Connected,
    Seating,
    SeatingCase,
    check_seating,
    parts_of,
    size_seating,
)
from bedstone.bearings.shortfall import nothing_carries
from bedstone.bridge.schema import BearingKind
from bedstone.standards.record import Line

#: Thickness (m) of a plate before it is known: decides the levers of the first try alone.
_PLATE = 0.04
#: Plan beyond what stands on a plate, m; common practice, no source.
EDGE = 0.04


class TwoPlates(Protocol):
    """A bearing with its outer plates."""

    @property
    def base(self) -> Seating:
        """Plate below, on concrete."""
        ...

    @property
    def sole(self) -> Seating:
        """Plate above, on what the superstructure is made of."""
        ...

    @property
    def height(self) -> float:
        """Overall, plates included, m."""
        ...


def blank_plate(steel: str) -> Seating:
    """A plate whose sizes are not yet known."""
    return Seating(1.0, 1.0, _PLATE, steel)


def connected(basis: Basis, *, above: bool) -> Connected:
    """What a plate meets: concrete below, above what the superstructure is made of."""
    return "steel" if above and basis.concrete_above is None else "concrete"


def part_name(*, above: bool) -> str:
    """The plate's name as a part."""
    return "sole plate" if above else "base plate"


def ultimate(demand: Demand, basis: Basis) -> tuple[DemandCase, ...]:
    """Cases of the strength rules: ultimate (EN, AASHTO), working loads (IRC).

    Raises `InputError` where the seat has none.
    """
    cases = demand.service if basis.family == "irc" else demand.strength
    if not cases:
        raise sizes.fault("cases", "none", "cases of the limit states that the rules check")
    return cases


def sized_plates(
    cases: Callable[[bool, float], Sequence[SeatingCase]],
    plan: tuple[float, float],
    demand: Demand,
    basis: Basis,
) -> tuple[Seating, Seating]:
    """Base and sole plate for the lever arms that they themselves lengthen.

    `cases`: what acts at the outer face of a plate (above: True) of a thickness (m); `plan`: of
    what stands on the plates, m.
    """
    thickness = (_PLATE, _PLATE)
    floors = (0.0, 0.0)
    # One plate often settles before the other: what it is asked for again it answers again.
    known: dict[tuple[bool, float, float], Seating] = {}

    def sized(above: bool) -> Seating:
        key = (above, thickness[above], floors[above])
        if key not in known:
            known[key] = size_seating(
                cases(above, thickness[above]),
                basis,
                least_length=plan[0] + EDGE,
                least_width=plan[1] + EDGE,
                part=part_name(above=above),
                connected=connected(basis, above=above),
                above=above,
                use=demand.use,
                least_thickness=floors[above],
            )[0]
        return known[key]

    for _ in range(6):
        base, sole = sized(False), sized(True)
        before, thickness = thickness, (base.thickness, sole.thickness)
        if thickness == before:
            break
        # Never thinner than the round before, lest two thicknesses take turns.
        floors = thickness
    return base, sole


def plate_lines(
    bearing: TwoPlates,
    cases: Callable[[bool, float], Sequence[SeatingCase]],
    demand: Demand,
    basis: Basis,
) -> list[Line]:
    """All checks of both plates; `cases` as for `sized_plates`."""
    lines: list[Line] = []
    for plate, above in ((bearing.base, False), (bearing.sole, True)):
        lines += check_seating(
            plate,
            cases(above, plate.thickness),
            basis,
            part=part_name(above=above),
            connected=connected(basis, above=above),
            above=above,
            use=demand.use,
        )
    return lines


def plated(
    kind: BearingKind,
    bearing: TwoPlates,
    parts: Sequence[Part],
    lines: list[Line],
    basis: Basis,
    *,
    play: float,
    horizontal: float,
    left: float = 0.0,
    notes: Sequence[str] = (),
) -> Design:
    """The finished design; `parts`: those between the plates, `play` (m) where it holds."""
    base, sole = bearing.base, bearing.sole
    return Design(
        kind=kind,
        bearing=bearing,
        parts=(
            *parts,
            *parts_of(base, part="base plate", connected=connected(basis, above=False)),
            *parts_of(sole, part="sole plate", connected=connected(basis, above=True)),
        ),
        lines=worst_first(lines),
        behaviour=Behaviour(play=play),
        height=bearing.height,
        reach=(max(base.length, sole.length), max(base.width, sole.width)),
        horizontal=horizontal,
        left=left,
        notes=tuple(notes),
    )


def stays(design: Design, demand: Demand, remedy: str) -> Refusal:
    """The refusal for a design whose worst check cannot be brought to hold."""
    worst = design.lines[0]
    why = nothing_carries(worst, demand) or (
        f"{worst.title.lower()} stays at {worst.utilisation or 0.0:.2f}"
    )
    return Refusal(
        design.kind,
        f"{worst.part}: {why}",
        f"{worst.standard}, {worst.clause}",
        remedy,
    )


def mass_of(parts: Sequence[Part]) -> float:
    """Mass of some parts, kg."""
    return sum(part.mass * part.number for part in parts)
