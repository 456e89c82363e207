"""What may be laid over plan and elevation: forces on supports, movements, fixed points. SI."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from bedstone.actions.effects import SUPPORT_EFFECTS
from bedstone.articulation.arrangement import Arranged
from bedstone.comparison.screen import Look
from bedstone.model.structure import Structure
from bedstone.schedule.result import Governing, Schedule

Span = tuple[float, float]
_ULTIMATE: Final = "ULS"
_SERVICE: Final = "SLS"


@dataclass(frozen=True)
class Overlay:
    """Results to be drawn over plan or elevation; empty parts are not drawn.

    - `forces`: by support and effect (V, Fx, Fy) the smallest and the largest value, N
    - `movements`: by support the smallest and the largest movement along the bridge, m
    - `fixed_points`: plan positions (m) from which the bridge expands, one for each separate piece
    - `moved`: by seat the displacement (dx, dy) in global axes, m, drawn enlarged
    - `unstable`: the motion that nothing holds, in words
    - `caption`: what the figures are
    """

    forces: Mapping[str, Mapping[str, Span]] = field(default_factory=dict)
    movements: Mapping[str, Span] = field(default_factory=dict)
    fixed_points: tuple[tuple[float, float], ...] = ()
    moved: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    unstable: str = ""
    caption: str = ""


NONE: Final = Overlay()


def of_schedule(schedule: Schedule) -> Overlay:
    """Extremes of all ultimate limit states at the supports, movements of the serviceability ones.

    Its fixed points are unknown to a schedule: see `still`.
    """
    forces: dict[str, dict[str, Span]] = {}
    for support in schedule.supports:
        own = [line for line in schedule.support_lines if line.place == support.mark]
        forces[support.mark] = {
            effect: _span([line for line in own if line.effect == effect], _ULTIMATE)
            for effect in SUPPORT_EFFECTS[:3]
        }
    moves = [line for line in schedule.seat_lines if line.effect == "vx"]
    marks = {seat.mark: seat.support for seat in schedule.seats}
    movements = {
        support.mark: _span([m for m in moves if marks[m.place] == support.mark], _SERVICE)
        for support in schedule.supports
    }
    ultimate = any(_ULTIMATE in state for state in schedule.limit_states)
    caption = _caption(schedule.standard_title, ultimate)
    return Overlay(forces, _moving(movements), caption=caption)


def of_look(look: Look, structure: Structure, wanted: str | None = None) -> Overlay:
    """The same of a quick envelope; `wanted`: the fixed point of the file, if it names one."""
    ultimate = any(_ULTIMATE in state for state in look.limit_states)
    forces = {
        mark: {
            effect: (
                look.extreme(mark, effect, "min", _ULTIMATE if ultimate else ""),
                look.extreme(mark, effect, "max", _ULTIMATE if ultimate else ""),
            )
            for effect in SUPPORT_EFFECTS[:3]
        }
        for mark in structure.supports
    }
    service = _SERVICE if any(_SERVICE in state for state in look.limit_states) else ""
    movements = {}
    for mark in structure.supports:
        own = [seat.mark for seat in structure.seats if seat.support == mark]
        if own:
            movements[mark] = (
                min(look.extreme(seat, "vx", "min", service) for seat in own),
                max(look.extreme(seat, "vx", "max", service) for seat in own),
            )
    return Overlay(
        forces,
        _moving(movements),
        still(structure, look.arranged, wanted),
        caption=_caption("quick envelope", ultimate),
    )


def still(
    structure: Structure, arranged: Arranged, wanted: str | None = None
) -> tuple[tuple[float, float], ...]:
    """Plan positions (m) of the fixed bearings, one for each separate piece that has any.

    `wanted`: the seat or support that the file names as its fixed point. On piers that give way the
    point that temperature does not move stands elsewhere (`bedstone.comparison.fixed_point`).
    """
    pieces = _pieces(structure)
    found: dict[int, list[tuple[float, float]]] = {}
    for place, seat, piece in zip(structure.seats, arranged.seats, pieces, strict=True):
        named = wanted in (place.mark, place.support)
        if named if wanted else seat.function == "fixed":
            found.setdefault(piece, []).append(place.point[:2])
    return tuple(
        (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
        for _, points in sorted(found.items())
    )


def _pieces(structure: Structure) -> list[int]:
    """The separate piece each seat carries: one in all, or one for each span."""
    if structure.continuous:
        return [0] * len(structure.seats)
    order = {mark: number for number, mark in enumerate(structure.supports)}
    last = len(order) - 1
    return [
        order[seat.support] - (seat.mark.endswith("b") or order[seat.support] == last)
        for seat in structure.seats
    ]


def _moving(movements: Mapping[str, Span]) -> dict[str, Span]:
    """Only those that move at all (a tenth of a millimetre)."""
    return {mark: span for mark, span in movements.items() if max(map(abs, span)) > 1e-4}


def _span(lines: Sequence[Governing], state: str) -> Span:
    """Smallest and largest value, over the limit states named or over all where there are none."""
    own = [line.value for line in lines if state in line.limit_state]
    values = own or [line.value for line in lines] or [0.0]
    return min(values), max(values)


def _caption(source: str, ultimate: bool) -> str:
    states = "all ultimate limit states" if ultimate else "all limit states"
    return (
        f"Forces of the bridge on its supports: extremes of {states} ({source}), not acting "
        "together; arrows in proportion. Movements: serviceability, along each bearing."
    )
