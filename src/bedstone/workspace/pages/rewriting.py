"""An arrangement written into the text of a bridge file: to stand on it, or pinned for comparison.

What the arrangement leaves as it is stays as it is written, comments and all. The text is read
back: it must say what was asked for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import tomlkit

from bedstone.bridge.edit import change_text
from bedstone.bridge.reader import read_text_of_bridge
from bedstone.bridge.schema import Bridge, Seat
from bedstone.bridge.seats import arrangement_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.comparison.pinned import fixed_points, pinned_arrangements
from bedstone.errors import CheckError, Fault, InputError

Tables = FrameData | ReactionData | None
#: A second round writes what a bearing would inherit otherwise.
_ROUNDS = 3
_LONGEST = 60  # characters of the name of an arrangement


def stand_on(
    text: str,
    name: str,
    folder: Path,
    tables: Tables,
    wanted: Mapping[str, Seat],
    point: str | None,
    title: str,
) -> str:
    """The text with every seat of `wanted` as the arrangement of the bridge, called `title`.

    `point`: seat or support for directions toward the fixed point, None: the fixed seats. Raises
    `InputError` where the file cannot say it, `CheckError` where it would say something else.
    """
    for _ in range(_ROUNDS):
        bridge = read_text_of_bridge(text, name, folder)
        changes = _changes(bridge, tables, wanted)
        if bridge.arrangement.fixed_point != point:
            changes["arrangement.fixed_point"] = point
        if bridge.arrangement.name != title:
            changes["arrangement.name"] = title
        if not changes:
            return text
        text = change_text(text, changes, name)
    bridge = read_text_of_bridge(text, name, folder)
    if _changes(bridge, tables, wanted) or bridge.arrangement.fixed_point != point:
        raise CheckError(f"{name}: the arrangement cannot be written into this file by itself")
    return text


def pin(
    text: str,
    name: str,
    folder: Path,
    tables: Tables,
    wanted: Mapping[str, Seat],
    point: str | None,
    title: str,
) -> str:
    """The text with an arrangement added under ``[[compare.pinned]]``; raises as `stand_on`."""
    bridge = read_text_of_bridge(text, name, folder)
    taken = {bridge.arrangement.name, *(item.name for item in bridge.compare.pinned)}
    if not title.strip() or title in taken or len(title) > _LONGEST:
        allowed = f"a name of 1 to {_LONGEST} characters that no other arrangement has"
        raise InputError([Fault(name, "compare.pinned name", repr(title[:80]), allowed)])
    own = arrangement_functions(bridge, tables)
    supports: dict[str, list[str]] = {}
    for seat in seat_marks(bridge, tables):
        supports.setdefault(seat.support, []).append(wanted[seat.mark].function)
    different = {
        seat.support
        for seat in seat_marks(bridge, tables)
        if wanted[seat.mark].function != own[seat.mark].function
    }
    table = tomlkit.table()
    table["name"] = title
    if point is not None:
        table["fixed_point"] = point
    table["supports"] = {mark: line for mark, line in supports.items() if mark in different}
    read = ""
    for _ in range(2):
        holder = tomlkit.document()
        holder["compare"] = {"pinned": [table]}
        added = tomlkit.dumps(holder).replace("[compare]\n", "", 1)
        read = f"{text.rstrip()}\n\n{added.strip()}\n"
        found = read_text_of_bridge(read, name, folder)
        said = pinned_arrangements(found, tables)[title]
        left = {mark: seat for mark, seat in wanted.items() if said[mark] != seat}
        if not left and fixed_points(found)[title] == point:
            return read
        table["seats"] = {
            mark: {
                field: _written(field, getattr(seat, field))
                for field in Seat.model_fields
                if field == "function" or getattr(seat, field) != _default(field)
            }
            for mark, seat in left.items()
        }
    raise CheckError(f"{name}: the arrangement cannot be pinned in this file by itself")


# ------------------------------------------------------------------ inside
def _changes(bridge: Bridge, tables: Tables, wanted: Mapping[str, Seat]) -> dict[str, object]:
    """What makes the bearings of the file those that are wanted, one round."""
    own = arrangement_functions(bridge, tables)
    arrangement = bridge.arrangement
    places: dict[str, list[str]] = {}
    changes: dict[str, object] = {}
    for seat in seat_marks(bridge, tables):
        line = places.setdefault(seat.support, [])
        line.append(seat.mark)
        now, then = own[seat.mark], wanted[seat.mark]
        if now == then:
            continue
        told = arrangement.seats.get(seat.mark)
        listed = arrangement.supports.get(seat.support)
        if told is None and isinstance(listed, list) and now.function != then.function:
            # the function stands in the list of its line: it is changed there
            changes[f'arrangement.supports."{seat.support}"[{len(line)}]'] = then.function
            continue
        head = f'arrangement.seats."{seat.mark}"'
        if told is None:
            changes[f"{head}.function"] = then.function
        for field in Seat.model_fields:
            value = getattr(then, field)
            if value == getattr(now, field):
                continue
            if value is not None and value != _default(field):
                changes[f"{head}.{field}"] = _written(field, value)
            elif told is not None and field in told.model_fields_set:
                # left out it may be inherited: then the next round writes it
                changes[f"{head}.{field}"] = None
            elif value is not None:
                changes[f"{head}.{field}"] = _written(field, value)
    return changes


def _default(field: str) -> object:
    return Seat.model_fields[field].get_default(call_default_factory=True)


def _written(field: str, value: object) -> object:
    """A field of a seat as it stands in the file."""
    if field == "direction" and isinstance(value, float):
        return f"{math.degrees(value)!r} deg"
    if field == "play" and isinstance(value, float):
        return f"{value * 1e3!r} mm"
    if value is None or isinstance(value, str | float | bool | list):
        return value
    raise InputError(
        [Fault("bridge file", f"arrangement.seats: {field}", repr(value)[:80], "a change by hand")]
    )
