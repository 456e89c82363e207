"""The engineer's own values of a standard, from the bridge file, checked against the pack."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import get_close_matches

from bedstone.bridge.schema import Bridge, Confirmed, FamilyName
from bedstone.bridge.units import UnitError, unit_factor
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.standards.values import Number, Value, load_pack, si_factor

#: The families of standards.
FAMILIES: tuple[FamilyName, ...] = ("eurocode", "aashto", "irc")


def own_values(bridge: Bridge, family: FamilyName) -> Mapping[str, Value]:
    """The engineer's values for one family by their names in its pack.

    They keep the unit of the pack where none is written. Raises `InputError` with a fault for each
    unknown name, and for each value of another dimension, shape or sign than the pack's.
    """
    pack = load_pack(family)
    faults: list[Fault] = []
    result: dict[str, Value] = {}
    for name, given in bridge.values.items():
        owner, _, rest = name.partition(".")
        if owner not in FAMILIES:
            faults.append(_fault(name, name, f"names that begin with {', '.join(FAMILIES)}"))
        elif owner == family and rest not in pack:
            near = "".join(f"; did you mean {n!r}?" for n in get_close_matches(rest, pack, 1))
            known = f"a value of the {family} pack (see: bedstone sources {family}){near}"
            faults.append(_fault(name, rest, known))
        elif owner == family:
            wrong = list(_faults(name, given, pack[rest]))
            faults += wrong
            if not wrong:
                result[rest] = _value(rest, given, pack[rest])
    if faults:
        raise InputError(faults)
    return result


def _fault(name: str, found: object, allowed: str, field: str = "") -> Fault:
    return Fault("bridge file", f'values."{name}"{field}', str(found), allowed)


def _faults(name: str, given: Confirmed, known: Value) -> Iterator[Fault]:
    if given.unit:
        try:
            si_factor(given.unit)
            same = unit_factor(given.unit)[1] == unit_factor(known.unit)[1] if known.unit else False
        except (BedstoneError, UnitError):
            same = False
        if not same and given.unit != known.unit:
            yield _fault(name, given.unit, f"a unit like {known.unit or 'none'!r}", ".unit")
    shape = len(known.value) if isinstance(known.value, tuple) else None
    if isinstance(known.value, tuple) and any(isinstance(row, tuple) for row in known.value):
        yield _fault(name, given.value, "a table cannot be replaced in the bridge file", ".value")
        return
    own = len(given.value) if isinstance(given.value, list) else None
    if own != shape:
        wanted = "one number" if shape is None else f"a list of {shape} numbers"
        yield _fault(name, given.value, f"{wanted}, such as {_shown(known.value)}", ".value")
        return
    numbers = given.value if isinstance(given.value, list) else [given.value]
    if min(numbers) < 0.0 <= _least(known.value):
        yield _fault(name, given.value, f"no negative number ({_shown(known.value)})", ".value")


def _least(number: Number) -> float:
    return min(float(n) for n in number) if isinstance(number, tuple) else number  # type: ignore[arg-type]


def _shown(number: Number) -> str:
    return str(list(number)) if isinstance(number, tuple) else f"{number:g}"


def _value(name: str, given: Confirmed, known: Value) -> Value:
    number = given.value
    return Value(
        name=name,
        value=tuple(number) if isinstance(number, list) else float(number),
        unit=given.unit or known.unit,
        standard="bridge file",
        edition="",
        clause="given by the engineer",
        source=given.source,
        basis="confirmed",
    )
