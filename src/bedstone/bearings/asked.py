"""What a bridge file says about the design of its bearings: options, given sizes, kinds, concrete.

Quantities stand in the file with their units; the kinds take SI. Which unit belongs to an option or
a size is read from the kind's own words for it ("m, of the pin"), so that it is told once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches

from bedstone.bearings import catalogue, suitability
from bedstone.bearings.base import Basis
from bedstone.bridge.schema import (
    BearingKind,
    Bridge,
    FamilyName,
    FrameTables,
    Girders,
    GivenBearing,
    Reactions,
)
from bedstone.bridge.seats import SeatMark
from bedstone.bridge.units import UnitError, quantity
from bedstone.errors import Fault, InputError
from bedstone.standards.values import Values

#: A unit in the words of an option or size: alone before a comma, in brackets, or at the end.
_UNIT = re.compile(r"(?:^|, |\()(N/m|m/s|degC|m|N|Pa|kg|rad)(?=$|[,;)]| \()")
_Plain = float | str | bool


def unit_of(words: str) -> str:
    """The SI unit that the words of an option or a size name; "" for numbers and words."""
    match = _UNIT.search(words)
    return match[1] if match else ""


def basis_of(bridge: Bridge, family: FamilyName, values: Values) -> Basis:
    """What designs of this bridge's bearings rest on.

    Raises `InputError` for options that no kind knows or whose unit is wrong: one fault for each.
    """
    told = bridge.bearings
    above = told.concrete_above
    if above is None and _concrete_deck(bridge):
        above = told.concrete_below
    plinth = None
    if told.plinth_along is not None and told.plinth_across is not None:
        plinth = (told.plinth_along, told.plinth_across)
    return Basis(
        family=family,
        values=values,
        options=options_of(told.options),
        concrete_below=told.concrete_below,
        concrete_above=above,
        plinth=plinth,
    )


def all_options() -> dict[str, str]:
    """Every option of every kind with its meaning."""
    known = dict(suitability.OPTIONS)
    for name in catalogue.kinds():
        known.update(catalogue.kind_of(name).options)
    return dict(sorted(known.items()))


def options_of(told: Mapping[str, _Plain]) -> dict[str, _Plain]:
    """Options in SI; raises `InputError` with one fault for each unknown name or wrong unit."""
    if not told:
        return {}
    known = all_options()
    result: dict[str, _Plain] = {}
    faults: list[Fault] = []
    for name, value in told.items():
        where = f"bearings.options.{_shown(name)}"
        words = next(_meanings(name, known), None)
        if words is None:
            near = get_close_matches(name[:60], known, 1)
            hint = f" (did you mean {near[0]!r}?)" if near else ""
            allowed = f"an option of a kind of bearing: {', '.join(known)}{hint}"
            faults.append(Fault("bridge file", where, "an unknown option", allowed))
            continue
        try:
            result[name] = _in_si(value, unit_of(words))
        except UnitError as error:
            faults.append(Fault("bridge file", where, repr(value), f"{error} ({words})"))
    if faults:
        raise InputError(faults)
    return result


def sizes_of(given: GivenBearing, place: int) -> dict[str, _Plain]:
    """Sizes of a given bearing in SI; `place`: its place in the file's list, from 0.

    Raises `InputError` with one fault for each unknown name or wrong unit.
    """
    fields = catalogue.kind_of(given.kind).fields()
    result: dict[str, _Plain] = {}
    faults: list[Fault] = []
    for name, value in given.sizes.items():
        where = f"bearings.given[{place + 1}].sizes.{_shown(name)}"
        if name not in fields:
            near = get_close_matches(name[:60], fields, 1)
            hint = f" (did you mean {near[0]!r}?)" if near else ""
            allowed = f"a size of a {given.kind}: {', '.join(fields)}{hint}"
            faults.append(Fault("bridge file", where, "an unknown size", allowed))
            continue
        try:
            result[name] = _in_si(value, unit_of(fields[name]))
        except UnitError as error:
            faults.append(Fault("bridge file", where, repr(value), f"{error} ({fields[name]})"))
    if faults:
        raise InputError(faults)
    return result


def given_at(bridge: Bridge, seat: str) -> tuple[int, GivenBearing] | None:
    """The bearing that the file gives for a seat with its place in the list, or None."""
    for place, bearing in enumerate(bridge.bearings.given):
        if bearing.seat == seat:
            return place, bearing
    return None


def kind_at(bridge: Bridge, seat: SeatMark, arranged: BearingKind | None) -> BearingKind | None:
    """The kind the file asks for at a seat; None: the lightest that passes.

    A seat under ``bearings.kinds`` comes before its support there, and both before the kind in the
    arrangement (`arranged`).
    """
    told = bridge.bearings.kinds
    return told.get(seat.mark) or told.get(seat.support) or arranged


def _concrete_deck(bridge: Bridge) -> bool:
    structure = bridge.superstructure
    if isinstance(structure, Girders):
        return structure.type == "concrete"
    return isinstance(structure, FrameTables | Reactions) and structure.deck_type == "concrete"


def _meanings(name: str, known: Mapping[str, str]) -> Iterator[str]:
    """Words of an option; names such as ``steel.<name>.fy`` stand for many.

    ``roller nest.gap`` is ``roller.gap`` for that kind alone.
    """
    if name in known:
        yield known[name]
    head, _, rest = name.partition(".")
    for kind in catalogue.kinds():
        if head == kind and rest:
            own = catalogue.kind_of(kind).options
            yield from (words for other, words in own.items() if other.partition(".")[2] == rest)
    for pattern, words in known.items():
        if "<" in pattern:
            form = re.sub(r"<\w+>", "@", pattern)
            if re.fullmatch(re.escape(form).replace("@", ".+"), name):
                yield words


def _in_si(value: _Plain, unit: str) -> _Plain:
    """A value as the kinds take it: text with a unit to SI where a unit belongs."""
    if unit:
        return quantity(unit).value(value)
    # the file's reader makes every number a fraction; kinds count rollers in whole ones
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _shown(name: str) -> str:
    """A name on one short printable line, in quotes where a file would need them."""
    line = "".join(letter if letter.isprintable() else " " for letter in name[:60])
    return line if re.fullmatch(r"[A-Za-z0-9_-]+", line) else repr(line)
