"""Limits that an arrangement must keep, as an engineer writes them: "A1.Hx < 800 kN".

A limit is a place (mark of a support or of a seat), an effect, a sign and a value with its unit.
``<`` and ``<=`` mean the same: the size of the effect, whatever its sign, with bars (``|A1.Fy|``)
or without. ``>`` and ``>=`` ask for a least compression and are for N of a seat and V of a support.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import seat_marks
from bedstone.bridge.tables import LIKENESS, FrameData, ReactionData
from bedstone.bridge.units import Quantity, UnitError
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Bools, Floats

_LIMIT = re.compile(r"(\|?)\s*(\S+)\.([A-Za-z]+)\s*(\|?)\s*(<=|>=|<|>)\s*(\S.*)", re.DOTALL)
_LONGEST = 120  # characters of one limit
_EXAMPLE = "a place, an effect, < or >, a value with unit, such as 'A1.Hx < 800 kN'"

#: The compression that ``>`` can ask for.
COMPRESSION = frozenset({"N", "V"})
#: Names by which the horizontal forces of a support are asked for too.
ALIASES = {"Hx": "Fx", "Hy": "Fy"}


@dataclass(frozen=True)
class Limit:
    """A limit on one effect at one place.

    `place`: mark of a seat or of a support; `effect`: as in `SEAT_EFFECTS` or `SUPPORT_EFFECTS`;
    `sense`: "<" the size of the effect is at most `value`, ">" the effect is at least `value`;
    `value` in SI (N, N m, m, rad); `text` as written.
    """

    place: str
    effect: str
    sense: Literal["<", ">"]
    value: float
    text: str

    def measure(self, top: Floats, low: Floats) -> Floats:
        """What the limit is held against, from the largest and smallest value of the effect."""
        if self.sense == ">":
            return np.asarray(low, dtype=float)
        return np.asarray(np.maximum(np.abs(top), np.abs(low)))

    def kept(self, top: Floats, low: Floats) -> Bools:
        """True where the effect with these largest and smallest values keeps the limit."""
        measure = self.measure(top, low)
        return np.asarray(measure >= self.value if self.sense == ">" else measure <= self.value)


def parse_limits(
    texts: Iterable[str],
    bridge: Bridge,
    tables: FrameData | ReactionData | None = None,
    field: str = "compare.limits",
) -> tuple[Limit, ...]:
    """Read limits against the marks of a bridge; `field` names their list in faults.

    Raises
    ------
    InputError
        With one fault for each limit that cannot be read.
    """
    seats = [seat.mark for seat in seat_marks(bridge, tables)]
    supports = [support.mark for support in bridge.support]
    limits: list[Limit] = []
    faults: list[Fault] = []
    for number, text in enumerate(texts, start=1):
        read = _read(text, seats, supports)
        if isinstance(read, Limit):
            limits.append(read)
        else:
            shown = repr(" ".join(text[:_LONGEST].split()))
            faults.append(Fault("bridge file", f"{field}[{number}]", shown, read))
    if faults:
        raise InputError(faults)
    return tuple(limits)


def _read(text: str, seats: Sequence[str], supports: Sequence[str]) -> Limit | str:
    """The limit, or what would do in its place."""
    match = _LIMIT.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    if match is None or bool(match[1]) != bool(match[4]):
        return _EXAMPLE
    bars, place, named, _, sign, told = match.groups()
    if place not in seats and place not in supports:
        close = difflib.get_close_matches(place, [*supports, *seats], 1, LIKENESS)
        hint = f" (did you mean {close[0]!r}?)" if close else ""
        return f"the mark of a support or a seat: {', '.join([*supports, *seats])}{hint}"
    at_seat = place in seats
    effect = named if at_seat else ALIASES.get(named, named)
    known = SEAT_EFFECTS if at_seat else SUPPORT_EFFECTS
    if effect not in known:
        return f"an effect at {'the seat' if at_seat else 'the support'} {place}: {_and_or(known)}"
    least = sign[0] == ">"
    if least and (bars or effect not in COMPRESSION):
        return f"< for {named}; > asks for a least compression, N of a seat or V of a support"
    try:
        value = Quantity(_unit(effect), minimum=None if least else 0.0).value(told)
    except UnitError as error:
        return f"{named} as a {error}"
    return Limit(place, effect, ">" if least else "<", value, text.strip())


def _unit(effect: str) -> str:
    """SI unit of an effect, as `bedstone.bridge.units` names it."""
    return {"M": "N*m", "v": "m", "r": "rad"}.get(effect[0], "N")


def _and_or(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + " or " + names[-1]
