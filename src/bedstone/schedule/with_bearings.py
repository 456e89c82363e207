"""Designed bearings back in the model: design and analysis by turns until the forces settle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bearings.base import Behaviour, Design
from bedstone.bridge.schema import BearingKind, Bridge, Reactions, Seat, Springs6
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.errors import Fault, InputError
from bedstone.schedule.analysis import Progress
from bedstone.schedule.context import family_name
from bedstone.schedule.designs import SeatDesign, Seats, design_seat, seats_of
from bedstone.schedule.make import schedule_of
from bedstone.schedule.result import Governing, Schedule

#: Rounds after which it is told that the forces have not settled.
MOST_ROUNDS = 6
#: Rounds in which bearings are designed for the demand of that round alone.
ALONE = 2
#: Forces have settled when none changes by more than this part of the largest of its name.
SETTLED = 0.01
#: Forces below this part of the largest of a limit state are no measure: some are zero but for
#: rounding.
SMALL = 0.01
_FORCES = ("N", "Hx", "Hy", "V", "Fx", "Fy")
#: Steel that rolls or turns on steel: its contact opens when it tilts, so the stiffness against
#: rotation at rest is no spring of the bridge.
_HARD_CONTACT: frozenset[BearingKind] = frozenset(
    {
        "single roller",
        "hardened roller",
        "roller nest",
        "rocker on nest",
        "line rocker",
        "point rocker",
        "pin",
    }
)


@dataclass(frozen=True)
class WithBearings:
    """The schedule on designed (or given) bearings, and those bearings.

    `rounds` of design and analysis; `change`: largest change of a governing force in the last one,
    as part of the largest force of its name; `settled`: whether it is below `SETTLED`.
    """

    schedule: Schedule
    designs: tuple[SeatDesign, ...]
    rounds: int
    change: float

    @property
    def settled(self) -> bool:
        """True when a further round would change nothing that counts."""
        return self.change < SETTLED


def make_with_bearings(
    bridge: Bridge, folder: Path, standard: str | None = None, progress: Progress | None = None
) -> WithBearings:
    """Schedule and bearings that fit each other.

    Bearings are designed for the schedule of the file's arrangement; their stiffness and friction
    take the place of those in the file, the schedule is made again, and so on. A kind chosen among
    all is kept after the first round, so that two kinds of like mass do not alternate, and from the
    third round on bearings are designed for the demands of the rounds before as well, so that two
    sizes do not. A seat where no bearing passes keeps the last one that did; where none ever did it
    stays as the file has it.

    Raises `InputError` for reactions brought from elsewhere: there is no model to go back to.
    """
    if isinstance(bridge.superstructure, Reactions):
        raise InputError(
            [
                Fault(
                    "bridge file",
                    "superstructure.kind",
                    "reactions, which do not change with the bearings",
                    "a kind with a model",
                )
            ]
        )
    name = family_name(standard or bridge.bridge.standard)
    with threadpool_limits(limits=1, user_api="blas"):
        prepared = prepare(bridge, read_tables(bridge, folder))
        seats = seats_of(bridge, folder)
        schedule = schedule_of(prepared, name, progress)
        designs: tuple[SeatDesign, ...] = ()
        standing: dict[str, Design] = {}
        rounds, change = 0, float("inf")
        while rounds < MOST_ROUNDS and change >= SETTLED:
            designs = _designed(schedule, bridge, seats, designs, rounds >= ALONE)
            standing |= {
                item.seat: item.choice.design
                for item in designs
                if item.choice.design is not None and (item.choice.passes or item.origin == "given")
            }
            before = schedule
            schedule = schedule_of(_standing_on(prepared, standing), name, progress)
            change = largest_change(before, schedule)
            rounds += 1
    notes = (*schedule.notes, *_notes(designs, standing, rounds, change))
    return WithBearings(replace(schedule, notes=notes), designs, rounds, change)


def largest_change(before: Schedule, after: Schedule) -> float:
    """Largest change of a governing force, as part of the largest of its name and limit state."""
    changes = [
        _change(before.seat_lines, after.seat_lines),
        _change(before.support_lines, after.support_lines),
    ]
    return max(changes)


def _change(before: Sequence[Governing], after: Sequence[Governing]) -> float:
    old, new = _forces(before), _forces(after)
    largest: dict[tuple[str, str], float] = {}
    of_state: dict[str, float] = {}
    for (state, _, effect, _), value in (*old.items(), *new.items()):
        largest[state, effect] = max(largest.get((state, effect), 0.0), abs(value))
        of_state[state] = max(of_state.get(state, 0.0), abs(value))
    changes = [0.0]
    for key in old.keys() | new.keys():
        state, _, effect, _ = key
        measure = max(largest[state, effect], SMALL * of_state[state])
        if measure > 0.0:
            changes.append(abs(new.get(key, 0.0) - old.get(key, 0.0)) / measure)
    return max(changes)


def _forces(lines: Sequence[Governing]) -> dict[tuple[str, str, str, str], float]:
    return {
        (line.limit_state, line.place, line.effect, line.sense): line.value
        for line in lines
        if line.effect in _FORCES
    }


def _designed(
    schedule: Schedule,
    bridge: Bridge,
    seats: Seats,
    before: Sequence[SeatDesign],
    together: bool,
) -> tuple[SeatDesign, ...]:
    """A bearing for every seat; kinds that were chosen before are kept.

    `together`: for the demands of the rounds before as well.
    """
    chosen: Mapping[str, BearingKind] = {
        item.seat: item.choice.kind
        for item in before
        if item.origin == "chosen" and item.choice.passes
    }
    kept = replace(seats, kinds={**seats.kinds, **chosen})
    earlier = {item.seat: item.demand for item in before} if together else {}
    found = [
        design_seat(schedule, bridge, kept, mark, also=earlier.get(mark)) for mark in seats.marks
    ]
    return tuple(replace(item, origin="chosen") if item.seat in chosen else item for item in found)


def _standing_on(prepared: Prepared, designs: Mapping[str, Design]) -> Prepared:
    """The same condensed bridge with the bearings' own behaviour in its arrangement."""
    bridge = prepared.bridge
    functions = arrangement_functions(bridge, prepared.tables)
    for seat, design in designs.items():
        functions[seat] = behaving(functions[seat], design)
    arrangement = bridge.arrangement.model_copy(update={"seats": functions})
    return replace(prepared, bridge=bridge.model_copy(update={"arrangement": arrangement}))


def behaving(seat: Seat, design: Design) -> Seat:
    """A seat with the kind, the stiffness and the friction of a designed bearing.

    Directions in which the bearing is free or rigid follow the function of the seat. Play is told
    in the notes: gaps are not solved.
    """
    behaviour = design.behaviour
    springs = {} if seat.stiffness is None else seat.stiffness.model_dump()
    springs.update(
        {name: value for name, value in _springs(design.kind, behaviour).items() if value}
    )
    changes: dict[str, object] = {"kind": design.kind, "friction": behaviour.friction[0]}
    if any(value is not None for value in springs.values()):
        changes["stiffness"] = Springs6.model_construct(**springs)
    return seat.model_copy(update=changes)


def _springs(kind: BearingKind, behaviour: Behaviour) -> dict[str, float | None]:
    springs = {
        "kx": behaviour.stiffness_x,
        "ky": behaviour.stiffness_y,
        "kz": behaviour.stiffness_z,
    }
    if kind not in _HARD_CONTACT:
        springs |= {"krx": behaviour.rotation_x, "kry": behaviour.rotation_y}
    return springs


def _notes(
    designs: Sequence[SeatDesign], standing: Mapping[str, Design], rounds: int, change: float
) -> list[str]:
    times = "1 round" if rounds == 1 else f"{rounds} rounds"
    end = (
        f"the governing forces changed by {change:.2%} in the last one"
        if change < SETTLED
        else f"the governing forces still change by {change:.1%}: they have NOT settled"
    )
    notes = [f"bearings in the model: {times} of design and analysis; {end}"]
    for item in designs:
        if item.choice.passes or item.origin == "given":
            continue
        what = "no kind passes" if item.origin == "chosen" else f"no {item.choice.kind} passes"
        kept = (
            "an earlier round's stands in the model"
            if item.seat in standing
            else "the seat stays as the file has it"
        )
        notes.append(f"{item.seat}: {what}; {kept}")
    play: dict[float, list[str]] = {}
    for seat, design in standing.items():
        if design.behaviour.play > 0.0:
            play.setdefault(round(design.behaviour.play * 1e3, 2), []).append(seat)
    notes += [
        f"{', '.join(seats)}: play of {width:g} mm each side in held directions is not in the "
        "model; forces are shown as without it"
        for width, seats in sorted(play.items())
    ]
    return notes
