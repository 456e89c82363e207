"""The tables of a schedule as text in cells, before anyone decides how they are printed.

What a bridge engineer asks first comes first: the bearings, what each carries and how far it moves,
what each abutment and pier takes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.bearings.constants import Constant
from bedstone.errors import Fault, InputError
from bedstone.output import words
from bedstone.output.shown import UNITS, decimals, figure, plain, shown
from bedstone.schedule.result import Governing, Schedule, SeatInfo
from bedstone.standards.values import Number, Value

#: Shown for every bridge; other effects only where they are not nothing.
_SEAT_USUAL = ("N", "Hx", "Hy", "vx", "vy", "rx", "ry")
_SUPPORT_USUAL = ("V", "Fx", "Fy", "Mx", "My")
NOTHING = "–"
DASH = f"{NOTHING}: nothing acts there, or held."

_Extremes = Mapping[tuple[str, str, str], Governing]


@dataclass(frozen=True)
class Cell:
    """Text of a cell. `tone`: strong for the extreme itself, warning for a bearing that lifts."""

    text: str
    tone: Literal["", "strong", "warning"] = ""


@dataclass(frozen=True)
class Column:
    """A column: its head, the unit below it, and whether it holds words, numbers or long text."""

    head: str
    unit: str = ""
    holds: Literal["words", "numbers", "text"] = "words"


@dataclass(frozen=True)
class Sheet:
    """A table. A row without cells is a gap between groups of rows."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


# ------------------------------------------------------------------ what is asked for
def chosen_limit_states(schedule: Schedule, wanted: str | None) -> tuple[str, ...]:
    """Return the limit states whose name holds `wanted`; "all" takes every one.

    Without `wanted`: SLS characteristic, ULS persistent, and of the other ultimate ones those that
    exceed ULS persistent somewhere. ULS equilibrium asks about uplift alone, of which there are
    sentences under the tables.

    Raises `InputError` when nothing fits.
    """
    states = schedule.limit_states
    if wanted is None:
        usual = ("SLS characteristic", "ULS persistent")
        found = tuple(
            state
            for state in states
            if state in usual or (is_ultimate(state) and _exceeds(schedule, state, usual[1]))
        )
        return found or states
    text = wanted.strip().lower()
    if text == "all":
        return states
    found = tuple(state for state in states if text and text in state.lower())
    if not found:
        allowed = f"part of one of: {', '.join(states)}; or all"
        raise InputError([Fault("command line", "--limit-state", repr(wanted[:60]), allowed)])
    return found


def is_ultimate(state: str) -> bool:
    """True for the limit states that give ultimate design forces."""
    return state.startswith("ULS") and state != "ULS equilibrium"


def seat_of(schedule: Schedule, mark: str) -> SeatInfo:
    """Return a seat by its mark; raises `InputError` for an unknown one."""
    for seat in schedule.seats:
        if seat.mark == mark:
            return seat
    marks = ", ".join(seat.mark for seat in schedule.seats)
    raise InputError([Fault("command line", "--seat", repr(mark[:60]), marks)])


# ------------------------------------------------------------------ sheets
def bearings(seats: Sequence[SeatInfo]) -> Sheet:
    """What stands where: function, kind, what it holds, direction and friction."""
    columns = (
        *map(Column, ("seat", "function", "kind", "holds")),
        Column("direction", "deg", "numbers"),
        Column("friction", "adverse / relieving", "numbers"),
    )
    rows = [
        (
            seat.support,
            (
                Cell(seat.mark),
                Cell(seat.function),
                Cell(plain(seat.kind) or NOTHING),
                Cell(words.holds(seat) or NOTHING),
                Cell(figure(math.degrees(seat.angle), 1)),
                Cell(words.friction(seat) or NOTHING),
            ),
        )
        for seat in seats
    ]
    return Sheet("Bearings", columns, _with_gaps(rows))


def seats_in(schedule: Schedule, state: str) -> Sheet:
    """Largest and smallest of each effect at each seat in one limit state."""
    known = _by_name(schedule.seat_lines, state)
    effects = _worth_showing(known, SEAT_EFFECTS, _SEAT_USUAL)
    places = {effect: _places(known, [effect]) for effect in effects}
    rows = []
    for seat in schedule.seats:
        for sense in ("max", "min"):
            head = (seat.mark, seat.function) if sense == "max" else ("", "")
            cells = [_value(known, seat.mark, effect, sense, places[effect]) for effect in effects]
            rows.append((seat.support, (*map(Cell, head), Cell(sense), *cells)))
    columns = (*map(Column, ("seat", "function", "")), *_effect_columns(effects))
    return Sheet(f"{state}: each bearing", columns, _with_gaps(rows))


def supports_in(schedule: Schedule, state: str) -> Sheet:
    """Largest and smallest force and overturning of each support, with their combinations."""
    known = _by_name(schedule.support_lines, state)
    effects = _worth_showing(known, SUPPORT_EFFECTS, _SUPPORT_USUAL)
    places = {
        unit: _places(known, [effect for effect in effects if UNITS[effect] == unit])
        for unit in ("kN", "kN m")
    }
    rows = []
    for support in schedule.supports:
        for number, effect in enumerate(effects):
            cells = [Cell(support.mark if number == 0 else ""), Cell(f"{effect} [{UNITS[effect]}]")]
            for sense in ("max", "min"):
                line = known.get((support.mark, effect, sense))
                cells.append(_value(known, support.mark, effect, sense, places[UNITS[effect]]))
                cells.append(Cell(_combination(line) if line else ""))
            rows.append((support.mark, tuple(cells)))
    columns = (
        Column("support"),
        Column("effect"),
        Column("max", holds="numbers"),
        Column("combination of max", holds="text"),
        Column("min", holds="numbers"),
        Column("combination of min", holds="text"),
    )
    title = f"{state}: what each abutment and pier takes"
    return Sheet(title, columns, _with_gaps(rows))


def permanent(schedule: Schedule) -> tuple[Sheet, Sheet]:
    """Effects of the permanent actions alone: at the seats, at the supports."""
    title = "Permanent actions alone, characteristic"
    return (
        _plain_effects(title, "seat", schedule.permanent_seats, SEAT_EFFECTS, _SEAT_USUAL),
        _plain_effects(
            f"{title}: abutments and piers",
            "support",
            schedule.permanent_supports,
            SUPPORT_EFFECTS,
            _SUPPORT_USUAL,
        ),
    )


def acting(schedule: Schedule, mark: str, state: str) -> Sheet:
    """Each extreme of one seat and all effects at that moment, the extreme itself strong."""
    lines = _of_seat(schedule, mark, state)
    effects = [
        effect
        for number, effect in enumerate(SEAT_EFFECTS)
        if effect in _SEAT_USUAL or any(shown(effect, line.acting[number]) for line in lines)
    ]
    index = {effect: SEAT_EFFECTS.index(effect) for effect in effects}
    places = {
        effect: decimals([shown(effect, line.acting[index[effect]]) for line in lines])
        for effect in effects
    }
    rows = []
    for line in lines:
        cells = [
            Cell(
                figure(shown(effect, line.acting[index[effect]]), places[effect]),
                "strong" if effect == line.effect else "",
            )
            for effect in effects
        ]
        below = "" if line.bound == "given" else f"{line.bound} stiffness below"
        told = "; ".join(part for part in (_combination(line), below, plain(line.contact)) if part)
        rows.append((Cell(line.effect), Cell(line.sense), *cells, Cell(told)))
    combination = Column("combination", holds="text")
    columns = (Column("effect"), Column(""), *_effect_columns(effects), combination)
    return Sheet(f"{mark}, {state}: each extreme and what acts with it", columns, tuple(rows))


def shares(schedule: Schedule, mark: str, state: str) -> Sheet:
    """The actions in each extreme of one seat, the largest first, with factor and place.

    What is nothing at the decimals shown is left out.
    """
    rows: list[tuple[Cell, ...]] = []
    for line in _of_seat(schedule, mark, state):
        value = shown(line.effect, line.value)
        parts = [shown(line.effect, share.value) for share in line.shares]
        places = decimals([value, *parts])
        head = (line.effect, line.sense, f"{figure(value, places)} {UNITS[line.effect]}")
        told = [
            (
                share.action.removeprefix("traffic:"),
                f"{share.factor:.3g}",
                figure(part, places),
                plain(share.where),
            )
            for share, part in zip(line.shares, parts, strict=True)
            if abs(part) >= 0.5 * 10.0**-places
        ]
        for number, share in enumerate(told or [("", "", "", "")]):
            rows.append(tuple(map(Cell, (*(head if number == 0 else ("", "", "")), *share))))
    columns = (
        Column("effect"),
        Column(""),
        Column("value", holds="numbers"),
        Column("action", holds="text"),
        Column("factor", holds="numbers"),
        Column("brings", holds="numbers"),
        Column("where", holds="text"),
    )
    return Sheet(f"{mark}, {state}: the actions in each extreme", columns, tuple(rows))


def sources(values: Iterable[Value | Constant]) -> Sheet:
    """One row for each value of a standard or of the bearings: where it stands, how it is known."""
    columns = (
        Column("standard", holds="text"),
        Column("clause", holds="text"),
        Column("name"),
        Column("value", holds="text"),
        Column("basis"),
        Column("source", holds="text"),
    )
    rows = tuple(
        tuple(
            Cell(plain(text))
            for text in (
                value.standard,
                value.clause,
                value.name,
                f"{_number(value.value)} {value.unit}".strip()
                if isinstance(value, Value)
                else value.text,
                value.basis,
                value.source,
            )
        )
        for value in values
    )
    return Sheet("", columns, rows)


# ------------------------------------------------------------------ inside
def _exceeds(schedule: Schedule, state: str, other: str) -> bool:
    """True when a limit state has an extreme beyond that of another, or one that it lacks."""
    for lines in (schedule.seat_lines, schedule.support_lines):
        against = _by_name(lines, other)
        for key, line in _by_name(lines, state).items():
            sign = 1.0 if line.sense == "max" else -1.0
            if key not in against or sign * line.value > sign * against[key].value:
                return True
    return False


def _by_name(lines: Iterable[Governing], state: str) -> _Extremes:
    return {
        (line.place, line.effect, line.sense): line for line in lines if line.limit_state == state
    }


def _of_seat(schedule: Schedule, mark: str, state: str) -> list[Governing]:
    return [
        line for line in schedule.seat_lines if line.place == mark and line.limit_state == state
    ]


def _worth_showing(known: _Extremes, order: Sequence[str], usual: Sequence[str]) -> list[str]:
    here = {effect for (_, effect, _), line in known.items() if shown(effect, line.value)}
    return [effect for effect in order if effect in usual or effect in here]


def _places(known: _Extremes, effects: Sequence[str]) -> int:
    return decimals(
        [shown(effect, line.value) for (_, effect, _), line in known.items() if effect in effects]
    )


def _value(known: _Extremes, place: str, effect: str, sense: str, places: int) -> Cell:
    line = known.get((place, effect, sense))
    if line is None:
        return Cell(NOTHING)
    value = shown(effect, line.value)
    lifts = effect in ("N", "V") and value < 0.0
    return Cell(figure(value, places), "warning" if lifts else "")


def _combination(line: Governing) -> str:
    """The combination without the name of the limit state, which stands above the table."""
    return plain(line.combination).removeprefix(f"{line.limit_state} ").removeprefix("ULS ")


def _effect_columns(effects: Iterable[str]) -> tuple[Column, ...]:
    return tuple(Column(effect, UNITS[effect], "numbers") for effect in effects)


def _with_gaps(
    rows: Iterable[tuple[str, tuple[Cell, ...]]],
) -> tuple[tuple[Cell, ...], ...]:
    """Rows with an empty one wherever their group (the first item) changes."""
    result: list[tuple[Cell, ...]] = []
    before: str | None = None
    for group, cells in rows:
        if before is not None and group != before:
            result.append(())
        before = group
        result.append(cells)
    return tuple(result)


def _plain_effects(
    title: str,
    head: str,
    values: Mapping[str, tuple[float, ...]],
    order: Sequence[str],
    usual: Sequence[str],
) -> Sheet:
    table = {
        mark: {name: shown(name, value) for name, value in zip(order, row, strict=True)}
        for mark, row in values.items()
    }
    names = [
        name
        for name in order
        if name in usual or any(abs(row[name]) >= 0.005 for row in table.values())
    ]
    places = {name: decimals([row[name] for row in table.values()]) for name in names}
    rows = tuple(
        (Cell(mark), *(Cell(figure(row[name], places[name])) for name in names))
        for mark, row in table.items()
    )
    return Sheet(title, (Column(head), *_effect_columns(names)), rows)


def _number(value: Number) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(_number(item) for item in value) + "]"
    return f"{value:g}"
