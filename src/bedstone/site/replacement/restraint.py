"""What holds a bridge in plan while some of its bearings are out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bedstone.articulation.arrangement import Arranged
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import FamilyName
from bedstone.comparison.screen import Look, Screen
from bedstone.errors import UnstableError
from bedstone.mechanics.frame import Floats
from bedstone.mechanics.support import free_motions
from bedstone.site.replacement.result import Held, Restraint
from bedstone.site.tolerances import Tolerances
from bedstone.standards.values import Value

#: Limit states of which horizontal forces are told, as far as the family has them.
STATES = ("SLS characteristic", "ULS persistent")
#: Part of the largest action below which one is not told.
_SMALL = 1e-3
#: Movement per kelvin (m/K) below which nothing moves.
_STILL = 1e-9


def while_lifted(prepared: Prepared, *, traffic: bool) -> Prepared:
    """The bridge on the days of the lift: no earthquake, no traffic where it is kept off."""
    off = {"seismic": None} | ({} if traffic else {"traffic": None})
    actions = prepared.bridge.actions.model_copy(update=off)
    return replace(prepared, bridge=prepared.bridge.model_copy(update={"actions": actions}))


def on_jacks(arranged: Arranged, rows: Sequence[int]) -> Arranged:
    """The arrangement with the seats `rows` carried but free in plan and to turn."""
    seats = list(arranged.seats)
    held = arranged.bearings.held.copy()
    for row in rows:
        seats[row] = seats[row].model_copy(
            update={"function": "free", "friction": 0.0, "uplift": False, "hold_rotation": []}
        )
        held[row] = [False, False, True, False, False, False]
    return Arranged(tuple(seats), arranged.angles, replace(arranged.bearings, held=held))


def restraint(
    prepared: Prepared,
    name: FamilyName,
    arranged: Arranged,
    rows: Sequence[int],
    dead: Floats,
    tolerances: Tolerances,
    *,
    traffic: bool,
) -> tuple[Restraint, tuple[Value, ...]]:
    """What still holds along and across, how the bridge could move, and the forces meanwhile.

    Besides, the values from memory on which the forces lean.

    `rows`: seats that are lifted; `dead` (ns, 2): horizontal forces of the bearings under permanent
    load (N), which those give up. Wind, braking of traffic kept on, friction of the other bearings
    and the whole range of temperature are in the forces; an earthquake is not.
    """
    structure = prepared.structure
    meanwhile = on_jacks(arranged, rows)
    condensed = prepared.condensed[prepared.final]
    motions = tuple(free_motions(condensed, meanwhile.bearings))
    lean = while_lifted(prepared, traffic=traffic)
    screen = Screen(lean, name)
    intact = screen.look()
    jacked: Look | None = None
    if not motions:
        try:
            jacked = screen.look(arranged=meanwhile)
        except UnstableError as error:  # free through the ground, as over a springless support
            motions = tuple(str(error).split("; "))
    marks = [seat.mark for seat in structure.seats]
    still = [row for row in range(len(marks)) if row not in rows]
    holds = tuple(
        tuple(marks[row] for row in still if arranged.bearings.held[row, axis]) for axis in (0, 1)
    )
    look = jacked or intact
    heat = [look.unit_heat[look.layout.seat_block(row)][6:8] for row in rows]
    shift = max((float(np.hypot(*pair)) for pair in heat), default=0.0)
    more = _more(intact, jacked, still, arranged) if jacked is not None else ()
    result = Restraint(
        holds=(holds[0], holds[1]),
        motions=motions,
        temporary=_temporary(lean, intact, arranged, rows) if motions else (),
        more=more,
        released={
            marks[row]: (float(dead[row, 0]), float(dead[row, 1]))
            for row in rows
            if arranged.bearings.held[row, :2].any()
        },
        least={
            marks[row]: float(look.value[:, 1, look.layout.index(marks[row], "N")].min())
            for row in rows
        },
        shift=shift,
        window=tolerances.number("shift") / shift if shift > _STILL else None,
    )
    return result, tuple(screen.context.values.from_memory())


def _temporary(
    prepared: Prepared, look: Look, arranged: Arranged, rows: Sequence[int]
) -> tuple[Held, ...]:
    """Forces on what the lifted bearings held: of whole supports, else of single seats."""
    seats = prepared.structure.seats
    result: list[Held] = []
    for mark in dict.fromkeys(seats[row].support for row in rows):
        own = [row for row, seat in enumerate(seats) if seat.support == mark]
        down = [row for row in own if row not in rows]
        holding = [row for row in rows if row in own and arranged.bearings.held[row, :2].any()]
        if not holding:
            continue
        if not any(arranged.bearings.held[row, :2].any() for row in down):
            result += _held(look, mark, ("Fx", "Fy"), prepared)
        else:
            for row in holding:
                result += _held(look, seats[row].mark, ("Hx", "Hy"), prepared)
    return tuple(result)


def _held(look: Look, place: str, names: tuple[str, str], prepared: Prepared) -> list[Held]:
    index = [look.layout.index(place, name) for name in names]
    most = max(float(np.abs(table[:, index]).max()) for table in look.actions.values())
    actions = {
        action: (_largest(table[:, index[0]]), _largest(table[:, index[1]]))
        for action, table in look.actions.items()
        if np.abs(table[:, index]).max() > max(_SMALL * most, 1.0)
        and not (action == "wind with traffic" and prepared.bridge.actions.traffic is None)
    }
    return [
        Held(
            place,
            state,
            _largest(look.value[number][:, index[0]]),
            _largest(look.value[number][:, index[1]]),
            actions,
        )
        for number, state in enumerate(look.limit_states)
        if state in STATES
    ]


def _more(
    intact: Look, jacked: Look, still: Sequence[int], arranged: Arranged
) -> tuple[tuple[str, str, float, float], ...]:
    """Bearings that stay: largest horizontal force before and meanwhile, where it is held."""
    states = [n for n, state in enumerate(intact.limit_states) if state in STATES]
    result = []
    for row in still:
        for axis, name in ((0, "Hx"), (1, "Hy")):
            if arranged.bearings.held[row, axis] and states:
                index = 12 * row + 1 + axis
                before = float(np.abs(intact.value[states][:, :, index]).max())
                after = float(np.abs(jacked.value[states][:, :, index]).max())
                result.append((intact.layout.seats[row], name, before, after))
    return tuple(result)


def _largest(pair: Floats) -> float:
    """The one of largest size, with its sign."""
    return float(pair[int(np.abs(pair).argmax())])
