"""Lanes side by side on a carriageway: the best order and places by dynamic programming.

From the right kerb to the left: the state is how many lanes of each kind stand already, and for
each coordinate the best value so far is kept. Every order and every set of places on the grid of
offsets that does not overlap is covered.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bedstone.mechanics.frame import Floats, Ints

#: Coordinates closer than this (m) are one.
SAME = 1e-8

State = tuple[int, ...]


def side_by_side(
    offsets: Sequence[Floats],
    widths: Sequence[float],
    gains: Sequence[Floats],
    counts: State,
    *,
    may_omit: bool,
) -> tuple[Floats, list[Ints]]:
    """Best total gain (2, e) of lanes that do not overlap, and the offset index of each lane.

    For each kind of lane: `offsets` (c,) tried centre lines, `widths`, `gains` (2, c, e) for both
    signs, `counts` how many there are. The result lists for each lane (kind by kind) the chosen
    index (2, e), -1 where it is left out (`may_omit`). A set that has no room gives -inf.
    """
    ends = [offset + width / 2.0 for offset, width in zip(offsets, widths, strict=True)]
    marks = np.unique(np.round(np.concatenate([np.array([-np.inf]), *ends]), 9))
    shape = (len(marks), *gains[0].shape[::2])
    best: dict[State, Floats] = {}
    how: dict[State, tuple[Ints, Ints]] = {}  # kind and offset chosen last, -1: none
    for state in np.ndindex(*(count + 1 for count in counts)):
        value = np.full(shape, 0.0 if may_omit or not any(state) else -np.inf)
        kind_of = np.full(shape, -1, dtype=np.intp)
        place_of = np.full(shape, -1, dtype=np.intp)
        for mark in range(1, len(marks)):
            for table in (value, kind_of, place_of):
                table[mark] = table[mark - 1]
            for kind, width in enumerate(widths):
                place = np.flatnonzero(np.abs(ends[kind] - marks[mark]) < SAME)
                if state[kind] == 0 or place.size == 0:
                    continue
                clear = _last_before(marks, float(marks[mark]) - width)
                candidate = best[_without(state, kind)][clear] + gains[kind][:, place[0]]
                better = candidate > value[mark]
                value[mark][better] = candidate[better]
                kind_of[mark][better] = kind
                place_of[mark][better] = place[0]
        best[state], how[state] = value, (kind_of, place_of)
    return best[counts][-1], _trace(counts, ends, widths, marks, how)


def _without(state: State, kind: int) -> State:
    """The state with one lane of a kind less."""
    return tuple(number - int(other == kind) for other, number in enumerate(state))


def _last_before(marks: Floats, coordinate: float) -> int:
    return int(np.searchsorted(marks, coordinate + SAME, side="right")) - 1


def _trace(
    counts: State,
    ends: Sequence[Floats],
    widths: Sequence[float],
    marks: Floats,
    how: dict[State, tuple[Ints, Ints]],
) -> list[Ints]:
    """Walk the choices back from the left kerb."""
    shape = how[counts][0].shape[1:]
    result = [np.full(shape, -1, dtype=np.intp) for count in counts for _ in range(count)]
    first = np.cumsum([0, *counts])
    for sign, effect in np.ndindex(*shape):
        state, mark = counts, len(marks) - 1
        while mark > 0 and any(state):
            kind = int(how[state][0][mark, sign, effect])
            if kind < 0:
                break
            place = int(how[state][1][mark, sign, effect])
            result[first[kind] + counts[kind] - state[kind]][sign, effect] = place
            mark = _last_before(marks, float(ends[kind][place]) - widths[kind])
            state = _without(state, kind)
    return result
