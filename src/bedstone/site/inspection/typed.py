"""Readings typed in as text: "A2-1 offset along = 12 mm"."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from bedstone.bridge.units import UnitError, quantity
from bedstone.errors import Fault, InputError
from bedstone.site.known_bridge import KnownBridge
from bedstone.site.quantities import SIZE, Quantity, catalogue, known
from bedstone.site.quantities import quantity as quantity_of
from bedstone.site.reading_files import value_of
from bedstone.site.readings import Reading
from bedstone.site.tolerances import usual

__all__ = ["refuse_misfits", "typed_readings", "typed_temperature", "typed_time"]

_HOW = 'such as "A2-1 offset along = 12 mm", "A2-1 roller offset left = 6 mm", "A1-1 dirt = some"'


def typed_readings(
    texts: Sequence[str],
    marks: Sequence[str],
    temperature: float | None,
    time: dt.datetime,
    file: str = "command line",
) -> tuple[Reading, ...]:
    """Readings typed in, each with seat, quantity, place and value.

    `marks`: seats and supports that there are; `temperature` of the steel (degC); `time`: aware.
    Raises `InputError` with one fault for each text that cannot be read.
    """
    found: list[Reading] = []
    faults: list[Fault] = []
    for row, text in enumerate(texts, start=1):
        try:
            found.append(_reading(text, marks, temperature, time, file, row))
        except InputError as error:
            faults += error.faults
    for row, item in enumerate(found):
        if any(item.key == other.key for other in found[:row]):
            what = f"{item.seat} {item.quantity} {item.place}".strip()
            faults.append(Fault(file, "--value", f"{what!r} twice", "one reading of a thing"))
    if faults:
        raise InputError(faults)
    return tuple(found)


def refuse_misfits(
    readings: Sequence[Reading], bridge: KnownBridge, file: str = "command line"
) -> None:
    """Refuse what the bearing at hand does not have, and steel that no bridge there can have.

    What is typed in is judged at once, so there is no row that somebody could have looked at.
    Raises `InputError` with one fault for each.
    """
    faults = []
    for item in readings:
        what = quantity_of(item.quantity)
        seat = bridge.seats.get(item.seat)
        where = f"--value, {item.quantity}"
        if ("support" if seat is None else "seat") not in what.at:
            told, allowed = (
                f"{item.quantity!r} at {item.seat}",
                f"read at a {' or a '.join(what.at)}",
            )
            faults.append(Fault(file, where, told, allowed))
        elif seat is not None and not seat.fits(what):
            allowed = ", ".join(dict.fromkeys(read.quantity.name for read in seat.asked()))
            faults.append(Fault(file, where, f"{item.quantity!r} on a {seat.kind}", allowed))
    room = usual("readings").number("beyond")
    warm = next((item.temperature for item in readings if item.temperature is not None), None)
    if warm is not None and bridge.reach is not None:
        least, most = bridge.reach[0] - room, bridge.reach[1] + room
        if not least <= warm <= most:
            allowed = f"{least:.0f} to {most:.0f} degC here"
            if least <= (warm - 32.0) / 1.8 <= most:
                allowed += f"; {warm:g} degF meant?"
            faults.append(Fault(file, "--temperature", f"{warm:g} degC", allowed))
    if faults:
        raise InputError(faults)


def typed_temperature(text: str | None, file: str = "command line") -> float | None:
    """A temperature such as "18 degC", in degC; raises `InputError` for any other text."""
    if text is None:
        return None
    try:
        return float(quantity("degC").value(text))
    except (UnitError, ValueError) as error:
        allowed = 'a temperature with its unit, such as "18 degC"'
        raise InputError([Fault(file, "--temperature", repr(text[:60]), allowed)]) from error


def typed_time(text: str | None, now: dt.datetime, file: str = "command line") -> dt.datetime:
    """A date such as 2026-05-31, or with a time, UTC where no zone is told; `now` without any.

    Raises `InputError` for any other text and for a time to come.
    """
    if text is None:
        return now
    allowed = "a date such as 2026-05-31, or 2026-05-31T07:30+02:00, not in the future"
    try:
        found = dt.datetime.fromisoformat(text)
    except ValueError as error:
        raise InputError([Fault(file, "--date", repr(text[:60]), allowed)]) from error
    if found.tzinfo is None:
        found = found.replace(tzinfo=dt.UTC)
    if found > now:
        raise InputError([Fault(file, "--date", repr(text[:60]), allowed)])
    return found.astimezone(dt.UTC)


def _reading(
    text: str,
    marks: Sequence[str],
    temperature: float | None,
    time: dt.datetime,
    file: str,
    row: int,
) -> Reading:
    head, equals, told = text.partition("=")
    seat, _, rest = head.strip().partition(" ")
    if not equals or not told.strip() or not rest:
        raise InputError([Fault(file, "--value", repr(text[:60]), _HOW)])
    if seat not in marks:
        raise InputError([Fault(file, "--value", repr(seat[:60]), ", ".join(marks))])
    what, place = _what(" ".join(rest.split()), file)
    value, word = value_of(what, told.replace("%", " %").strip(), f"--value, {what.name}")
    return Reading(seat, what.name, place, value, word, time, temperature, "", "", file, row)


def _what(text: str, file: str) -> tuple[Quantity, str]:
    """A quantity and its place."""
    if text.startswith(SIZE):
        found = known(text)
        if found is not None:
            return found, ""
    for name in sorted(catalogue(), key=len, reverse=True):
        if text == name or text.startswith(f"{name} "):
            item, place = catalogue()[name], text[len(name) :].strip()
            if place not in (item.places or ("",)):
                allowed = ", ".join(item.places) or "nothing after it"
                raise InputError(
                    [
                        Fault(
                            file,
                            f"--value, {name}",
                            repr(place[:60]) if place else "nothing",
                            allowed,
                        )
                    ]
                )
            return item, place
    allowed = ", ".join(catalogue()) + f', or "{SIZE}" and the name of a size'
    raise InputError([Fault(file, "--value", repr(text[:60]), allowed)])
