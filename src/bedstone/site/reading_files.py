"""A filled-in form read into readings: every fault named, all of them at once, or nothing read.

Sure faults refuse the form. Doubts (a sign, two sides, a temperature that fits another unit) refuse
it as well, until somebody has looked at the row and says so, in the form or when it is imported.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import difflib
import hashlib
import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from bedstone.errors import Fault, InputError
from bedstone.site.known_bridge import KnownBridge
from bedstone.site.quantities import Quantity, known
from bedstone.site.reading_doubts import doubts
from bedstone.site.reading_grids import (
    COLUMNS,
    FORM,
    LABELS,
    LONGEST,
    READINGS,
    VISIT,
    Cell,
    Formula,
    Grid,
    read_grids,
)
from bedstone.site.readings import Reading
from bedstone.site.tolerances import Tolerances, usual

__all__ = ["FilledForm", "Visit", "read_form", "value_of", "zone_of"]

TEMPERATURE_UNITS: Final = ("degC", "degF")
_LOOKED: Final = ("yes", "x", "looked at")
#: How a date and a time of day are written; other forms of ISO 8601 are read by nobody on site.
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_CLOCK: Final = re.compile(r"\d{2}:\d{2}(:\d{2}(\.\d+)?)?", re.ASCII)
#: Last of the days with which the calendars of spreadsheets begin.
_CALENDAR: Final = dt.date(1904, 1, 1)
_NEAR: Final = 0.6  # share of letters that are the same
_NUMBER_TOLD = "a number with a decimal point"
#: Readings that say little without the temperature at which they were taken.
_BY_TEMPERATURE: Final = (
    "offset along", "offset across", "roller offset", "roller gap", "overhang", "joint gap", "tilt",
    "shear offset along", "shear offset across",
)  # fmt: skip


@dataclass(frozen=True)
class Visit:
    """Who went, when, and how warm it was. `steel`, `air` in degC, None where not taken."""

    who: str
    weather: str
    taken: str
    steel: float | None
    air: float | None
    zone: str
    remark: str


@dataclass(frozen=True)
class FilledForm:
    """A form without faults. `remarks`: by row; `looked`: rows with a doubt that was waved on."""

    file: str
    sha256: str
    visit: Visit
    readings: tuple[Reading, ...]
    remarks: Mapping[int, str]
    looked: tuple[int, ...]


def read_form(
    path: Path,
    bridge: KnownBridge,
    *,
    now: dt.datetime,
    accept: Collection[int] = (),
    built: dt.date | None = None,
    tolerances: Tolerances | None = None,
) -> FilledForm:
    """The readings of a form (xlsx or csv).

    `now`: aware; nothing can have been read later. `accept`: rows that somebody has looked at;
    `built`: day before which the bridge did not stand; `tolerances`: those of "readings".

    Raises `InputError` with one fault for each thing that is wrong; nothing is read then.
    """
    visit, readings = read_grids(path)
    return _Work(
        path.name, visit, readings, bridge, now, frozenset(accept), built,
        tolerances or usual("readings"), {},
    ).form(hashlib.sha256(path.read_bytes()).hexdigest())  # fmt: skip


def zone_of(name: str) -> dt.tzinfo | None:
    """A time zone by its name (``Europe/Vienna``) or its offset (``+05:30``, ``UTC``); else None.

    A name is taken in the spelling of the time zone database.
    """
    if name in ("UTC", "Z"):
        return dt.UTC
    if name[:1] in "+-" and len(name) == 6 and name[3] == ":":
        hours, minutes = name[1:3], name[4:6]
        if hours.isdecimal() and minutes.isdecimal() and int(hours) < 15 and int(minutes) < 60:
            away = dt.timedelta(hours=int(hours), minutes=int(minutes))
            return dt.timezone(away if name[0] == "+" else -away)
        return None
    if "/" not in name:
        return None  # abbreviations such as CST or IST stand for several zones
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


_Where = Callable[[str], str]


def value_of(quantity: Quantity, text: str, where: str) -> tuple[float | None, str]:
    """Number in SI, or word, of a reading as a person types it ("12.5 mm", "rust spots").

    Raises `InputError` naming `where` for a number without unit, of another kind or size, and for a
    word that is not one of the quantity's.
    """
    told = text.strip()
    if quantity.worded:
        if told in quantity.words:
            return None, told
        raise InputError([Fault("command line", where, repr(told[:60]), ", ".join(quantity.words))])
    number, _, unit = told.partition(" ")
    unit = unit.strip()
    allowed = f"a number, a blank and one of {', '.join(quantity.units)}"
    if not _plain_number(number) or unit not in quantity.units:
        raise InputError([Fault("command line", where, repr(told[:60]), allowed)])
    factor = quantity.units[unit]
    value = float(number) * factor
    assert quantity.least is not None
    assert quantity.most is not None
    if not quantity.least <= value <= quantity.most:
        allowed = f"{quantity.least / factor:g} to {quantity.most / factor:g} {unit}"
        raise InputError([Fault("command line", where, repr(told[:60]), allowed)])
    return value, ""


@dataclass(frozen=True)
class _Clock:
    """Date, time and zone of a visit, as far as they were told."""

    day: dt.date | None
    time: dt.time | None
    zone: dt.tzinfo | None


@dataclass(frozen=True)
class _Work:
    """One form on its way; `faults` grows, nothing else changes."""

    file: str
    visit: Grid
    readings: Grid
    bridge: KnownBridge
    now: dt.datetime
    accept: frozenset[int]
    built: dt.date | None
    tolerances: Tolerances
    faults: dict[Fault, None]

    def form(self, sha256: str) -> FilledForm:
        """The form; raises `InputError` with all its faults."""
        head = self._head()
        columns = self._columns()
        visit, clock, unit = self._visit(head)
        found: list[Reading] = []
        remarks: dict[int, str] = {}
        looked: set[int] = set(self.accept)
        units: dict[str, list[tuple[int, str]]] = {}
        doubted: list[tuple[tuple[int, ...], Fault]] = []
        if columns:
            first = min(self.readings.rows)
            for row, cells in self.readings.rows.items():
                if row == first:
                    continue
                told = {
                    name: cells[at] if at < len(cells) else None for name, at in columns.items()
                }
                if _looked(told["Looked at"]):
                    looked.add(row)
                doubted += self._row(row, told, visit, clock, unit, found, remarks, units)
            if not found and not self.faults:
                self._fault(READINGS, "nothing was filled in", "at least one value")
        self._twice(found)
        doubted += self._mixed(units)
        doubted += self._cold(found, visit_steel=head.get("Steel temperature", (0, None))[1])
        doubted += [
            (item.rows, self._doubt(item.rows, item.found, item.fits))
            for item in doubts(found, self.bridge, self.tolerances)
        ]
        waved = {row for rows, _ in doubted for row in rows} & looked
        self.faults.update((fault, None) for rows, fault in doubted if not looked & set(rows))
        for row in sorted(self.accept - set(self.readings.rows)):
            self._fault(f"accepted row {row}", "no such row", "a row of the form")
        if self.faults:
            raise InputError(tuple(self.faults))
        return FilledForm(self.file, sha256, visit, tuple(found), remarks, tuple(sorted(waved)))

    # -------------------------------------------------------------- head of the form
    def _fault(self, where: str, found: str, allowed: str) -> None:
        # each once: what is told of the visit as a whole is met again in every row
        self.faults[Fault(self.file, where, found, allowed)] = None

    def _head(self) -> dict[str, tuple[int, Cell]]:
        """Row and value of each label of the sheet Visit."""
        found: dict[str, tuple[int, Cell]] = {}
        for row, cells in self.visit.rows.items():
            label = cells[0]
            if not isinstance(label, str) or label not in LABELS:
                continue
            if label in found:
                self._fault(self.visit.where(row, label), "told twice", "one line of each label")
                continue
            found[label] = (row, cells[1] if len(cells) > 1 else None)
        for label in LABELS:
            if label not in found:
                self._fault(f"{VISIT}, {label}", "no such line", "the lines of the form")
        told = found.get("Form", (0, FORM))[1]
        if told != FORM:
            self._fault(f"{VISIT}, Form", _shown(told), f"{FORM!r}, a form made for this")
        name = found.get("Bridge", (0, self.bridge.name))
        if name[1] != self.bridge.name.strip():
            self._fault(
                self.visit.where(name[0], "Bridge"), _shown(name[1]),
                f"{self.bridge.name!r}, the bridge of the file",
            )  # fmt: skip
        return found

    def _columns(self) -> dict[str, int]:
        """Place of each column; empty when one is missing."""
        if not self.readings.rows:
            self._fault(READINGS, "nothing", f"the columns {', '.join(COLUMNS)}")
            return {}
        heads = self.readings.rows[min(self.readings.rows)]
        found: dict[str, int] = {}
        for name in COLUMNS:
            places = [at for at, head in enumerate(heads) if head == name]
            if len(places) != 1:
                told = "no such column" if not places else "the column twice"
                self._fault(f"{READINGS}, {name}", told, "the columns of the form, once each")
            else:
                found[name] = places[0]
        return found if len(found) == len(COLUMNS) else {}

    def _visit(self, head: Mapping[str, tuple[int, Cell]]) -> tuple[Visit, _Clock, str]:
        def where(label: str) -> str:
            return self.visit.where(head.get(label, (0, None))[0], label)

        def cell(label: str) -> Cell:
            return head.get(label, (0, None))[1]

        words = {}
        for label in ("Taken by", "Weather", "Steel taken where and with what", "Remark"):
            words[label] = self._text(where(label), cell(label))
        if not words["Taken by"]:
            self._fault(where("Taken by"), "nothing", "who took the readings")
        unit = self._text(where("Temperature unit"), cell("Temperature unit"))
        steel, air = (
            self._temperature(where(f"{what} temperature"), cell(f"{what} temperature"), unit)
            for what in ("Steel", "Air")
        )
        if unit not in TEMPERATURE_UNITS and (unit or steel is not None or air is not None):
            self._fault(where("Temperature unit"), _shown(unit), " or ".join(TEMPERATURE_UNITS))
        zone_name = self._text(where("Time zone"), cell("Time zone"))
        zone = zone_of(zone_name)
        if zone is None and "/" in zone_name and not available_timezones():
            allowed = "its offset such as +05:30: this computer has no data of time zones"
            self._fault(where("Time zone"), _shown(zone_name), allowed)
        elif zone is None:
            allowed = "a zone such as Europe/Vienna, or its offset such as +05:30, or UTC"
            self._fault(where("Time zone"), _shown(zone_name), allowed)
        day = self._day(where("Date"), cell("Date"))
        time = self._time(where("Time"), cell("Time"))
        visit = Visit(
            words["Taken by"], words["Weather"], words["Steel taken where and with what"],
            steel, air, zone_name, words["Remark"],
        )  # fmt: skip
        return visit, _Clock(day, time, zone), unit

    # -------------------------------------------------------------- one row
    def _row(
        self,
        row: int,
        told: Mapping[str, Cell],
        visit: Visit,
        clock: _Clock,
        unit: str,
        found: list[Reading],
        remarks: dict[int, str],
        units: dict[str, list[tuple[int, str]]],
    ) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Read one row into `found`; yields what is in doubt about it."""

        def where(column: str) -> str:
            return self.readings.where(row, column)

        before = len(self.faults)
        remark = self._text(where("Remark"), _whole(told["Remark"]))
        if told["Value"] is None or told["Value"] == "":
            if remark or _looked(told["Looked at"]):
                allowed = "a value; what is said of no reading stands in the remark of the visit"
                self._fault(where("Value"), "nothing", allowed)
            return
        seat = self._text(where("Seat"), told["Seat"])
        name = self._text(where("Quantity"), told["Quantity"])
        place = self._text(where("Place"), _whole(told["Place"]))
        quantity = self._known(where, seat, name, place)
        value, word = None, ""
        if quantity is not None:
            value, word = self._value(where, quantity, told)
            if value is not None:
                units.setdefault(name, []).append((row, str(told["Unit"])))
            yield from self._share(row, where("Value"), told, value)
        warm = visit.steel
        if told["Steel temperature"] not in (None, ""):
            warm = self._temperature(where("Steel temperature"), told["Steel temperature"], unit)
            yield from self._beyond(row, where("Steel temperature"), warm, unit)
        elif row == self._first_row():
            yield from self._beyond(row, f"{VISIT}, Steel temperature", warm, unit)
            yield from self._beyond(row, f"{VISIT}, Air temperature", visit.air, unit)
            yield from self._apart(row, visit)
        time = self._when(where, told, clock)
        instrument = self._text(where("Instrument"), _whole(told["Instrument"]))
        if len(self.faults) > before or quantity is None or time is None:
            return
        read = Reading(
            seat, quantity.name, place, value, word, time, warm, visit.who, instrument,
            self.file, row,
        )  # fmt: skip
        found.append(read)
        if remark:
            remarks[row] = remark

    def _first_row(self) -> int:
        """The first row with a value: what is told of the visit as a whole is doubted there."""
        rows = list(self.readings.rows)
        heads = self.readings.rows[rows[0]]
        at = heads.index("Value")
        return next(
            (
                row
                for row in rows[1:]
                if at < len(self.readings.rows[row])
                and self.readings.rows[row][at] not in (None, "")
            ),
            0,
        )

    def _known(self, where: _Where, seat: str, name: str, place: str) -> Quantity | None:
        """The quantity of a row; None, with faults, for one that this seat does not have."""
        on_seat, at_support = seat in self.bridge.seats, seat in self.bridge.supports
        quantity = known(name)
        if not on_seat and not at_support:
            marks = [*self.bridge.seats, *self.bridge.supports]
            near = _meant(seat, marks)
            allowed = ", ".join(marks) + (f"; {near} meant?" if near else "")
            self._fault(where("Seat"), _shown(seat), allowed)
        if quantity is None:
            self._fault(where("Quantity"), _shown(name), "a quantity of the form, or a size")
            return None
        if place not in (quantity.places or ("",)):
            allowed = ", ".join(quantity.places) or "nothing"
            self._fault(where("Place"), _shown(place), allowed)
            return None
        if not on_seat and not at_support:
            return quantity
        if ("seat" if on_seat else "support") not in quantity.at:
            allowed = f"read at a {' or a '.join(quantity.at)}"
            self._fault(where("Quantity"), f"{name!r} at {seat}", allowed)
            return None
        if on_seat and not self.bridge.seats[seat].fits(quantity):
            allowed = ", ".join(dict.fromkeys(r.quantity.name for r in self.bridge.asked(seat)))
            told = f"{name!r} on a {self.bridge.seats[seat].kind}"
            self._fault(where("Quantity"), told, allowed)
            return None
        return quantity

    def _value(
        self, where: _Where, quantity: Quantity, told: Mapping[str, Cell]
    ) -> tuple[float | None, str]:
        """Number in SI or word of a row."""
        if quantity.worded:
            word = told["Value"]
            if word not in quantity.words:
                self._fault(where("Value"), _shown(word), ", ".join(quantity.words))
                return None, ""
            return None, str(word)
        unit = told["Unit"]
        factor = quantity.units.get(unit) if isinstance(unit, str) else None
        if factor is None:
            self._fault(where("Unit"), _shown(unit), ", ".join(quantity.units))
        number = self._number(where("Value"), told["Value"])
        if factor is None or number is None:
            return None, ""
        value = number * factor
        assert quantity.least is not None
        assert quantity.most is not None
        if not quantity.least <= value <= quantity.most:
            allowed = f"{quantity.least / factor:g} to {quantity.most / factor:g} {unit}"
            self._fault(where("Value"), f"{number:g} {unit}", allowed)
            return None, ""
        return value, ""

    def _share(
        self, row: int, where: str, told: Mapping[str, Cell], value: float | None
    ) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Doubt a per cent that a spreadsheet has turned into a share, as it does with 95%."""
        if value is not None and told["Unit"] == "%" and 0.0 < value <= 0.01:
            fits = f"more than 1 %; {value * 1e4:g} % meant?"
            yield (row,), self._doubt((row,), f"{value * 1e2:g} %", fits, where)

    # -------------------------------------------------------------- time and temperature
    def _when(self, where: _Where, told: Mapping[str, Cell], clock: _Clock) -> dt.datetime | None:
        day = clock.day if told["Date"] in (None, "") else self._day(where("Date"), told["Date"])
        time = clock.time if told["Time"] in (None, "") else self._time(where("Time"), told["Time"])
        if day is None or time is None or clock.zone is None:
            return None  # told already
        own = told["Date"] not in (None, "") or told["Time"] not in (None, "")
        if not own:  # told of the visit as a whole, once for all rows

            def where(column: str) -> str:
                return f"{VISIT}, {column}"

        local = dt.datetime.combine(day, time)
        shown = f"{local:%Y-%m-%d %H:%M}"
        # first the day alone: at the ends of the calendar a time cannot be turned into another zone
        first = self.built or dt.date(int(self.tolerances.number("first_year")), 1, 1)
        if day < first:
            self._fault(where("Date"), f"{shown}, before the bridge", f"{first} or later")
            return None
        if day > self.now.date() + dt.timedelta(days=2):
            self._fault(where("Date"), f"{shown}, in the future", "a time that has passed")
            return None
        early, late = (local.replace(tzinfo=clock.zone, fold=fold) for fold in (0, 1))
        found = early.astimezone(dt.UTC)
        if early.utcoffset() != late.utcoffset():
            # the clock was put forward (the hour is missing) or back (it is there twice)
            missing = found.astimezone(clock.zone).replace(tzinfo=None) != local
            told_so = "an hour that does not exist" if missing else "an hour that is there twice"
            allowed = "when clocks change: the time with an offset as zone, such as +01:00"
            self._fault(where("Time"), f"{shown}, {told_so}", allowed)
            return None
        if found > self.now:
            self._fault(where("Date"), f"{shown}, in the future", "a time that has passed")
            return None
        return found

    def _day(self, where: str, cell: Cell) -> dt.date | None:
        if isinstance(cell, dt.datetime):
            if cell.time() == dt.time():
                return cell.date()
        elif isinstance(cell, dt.date):
            return cell
        if isinstance(cell, str) and _DAY.fullmatch(cell):
            try:
                return dt.date.fromisoformat(cell)
            except ValueError:
                pass
        self._fault(where, _shown(cell), "a date such as 2026-05-31")
        return None

    def _time(self, where: str, cell: Cell) -> dt.time | None:
        if isinstance(cell, dt.time):
            return cell.replace(tzinfo=None, microsecond=0)
        # a spreadsheet may keep a time with the day on which its calendar begins
        if isinstance(cell, dt.datetime) and cell.date() <= _CALENDAR:
            return cell.time().replace(microsecond=0)
        if isinstance(cell, str) and _CLOCK.fullmatch(cell):
            try:
                found = dt.time.fromisoformat(cell)
            except ValueError:
                found = None
            if found is not None and found.tzinfo is None:
                return found.replace(microsecond=0)
        self._fault(where, _shown(cell), "a time of day such as 07:30")
        return None

    def _temperature(self, where: str, cell: Cell, unit: str) -> float | None:
        """A temperature in degC; None where nothing is told, or with a fault."""
        if cell is None or cell == "":
            return None
        number = self._number(where, cell)
        if number is None:
            return None
        value = (number - 32.0) / 1.8 if unit == "degF" else number
        least, most = self.tolerances.number("coldest"), self.tolerances.number("hottest")
        if not least <= value <= most:
            allowed = f"{least:g} to {most:g} degC"
            self._fault(where, f"{number:g} {unit}", allowed)
            return None
        return value

    def _beyond(
        self, row: int, where: str, warm: float | None, unit: str
    ) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Doubt a temperature (degC) that steel or air at this bridge can hardly have."""
        if warm is None or self.bridge.reach is None:
            return
        room = self.tolerances.number("beyond")
        least, most = self.bridge.reach[0] - room, self.bridge.reach[1] + room
        if least <= warm <= most:
            return
        told = warm * 1.8 + 32.0 if unit == "degF" else warm
        other = (told - 32.0) / 1.8 if unit != "degF" else told
        meant = "degF" if unit != "degF" else "degC"
        allowed = f"{least:.0f} to {most:.0f} degC here"
        if least <= other <= most:
            allowed += f"; {meant} meant ({told:g} {meant} is {other:.1f} degC)?"
        yield (row,), self._doubt((row,), f"{told:g} {unit}", allowed, where)

    def _apart(self, row: int, visit: Visit) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Doubt steel and air that are further apart than sun and night can make them."""
        most = self.tolerances.number("apart")
        if visit.steel is None or visit.air is None or abs(visit.steel - visit.air) <= most:
            return
        found = f"steel {visit.steel:.1f} degC, air {visit.air:.1f} degC"
        where = f"{VISIT}, Steel temperature"
        yield (row,), self._doubt((row,), found, f"at most {most:g} K apart", where)

    # -------------------------------------------------------------- rows together
    def _twice(self, found: Sequence[Reading]) -> None:
        first: dict[tuple[object, ...], Reading] = {}
        for item in found:
            other = first.setdefault((*item.key, item.time), item)
            if other is not item:
                same = (other.value, other.word) == (item.value, item.word)
                told = f"{item.quantity} {item.place} of {item.seat} again".replace("  ", " ")
                self._fault(
                    self.readings.where(item.row, "Value"),
                    f"{told}, {'the same' if same else 'another'} value as in row {other.row}",
                    "one reading of a thing at one time",
                )

    def _cold(
        self, found: Sequence[Reading], visit_steel: Cell
    ) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Doubt readings that say little for want of the steel temperature."""
        rows = tuple(
            item.row
            for item in found
            if item.temperature is None and item.quantity in _BY_TEMPERATURE
        )
        if rows and visit_steel in (None, ""):  # else the fault of that cell says it
            yield rows, self._doubt(rows, "no steel temperature", "the temperature of the steel")

    def _mixed(
        self, units: Mapping[str, Sequence[tuple[int, str]]]
    ) -> Iterator[tuple[tuple[int, ...], Fault]]:
        """Doubt a unit that differs from that of the other rows of the same quantity."""
        for name, told in units.items():
            kinds = [unit for _, unit in told]
            usual_one = max(dict.fromkeys(kinds), key=kinds.count)
            for row, unit in told:
                if unit != usual_one:
                    where = self.readings.where(row, "Unit")
                    text = f"{unit} among {usual_one} of {name!r}"
                    yield (row,), self._doubt((row,), text, "one unit for a quantity", where)

    def _doubt(self, rows: Sequence[int], found: str, fits: str, where: str | None = None) -> Fault:
        at = f"{self.readings.name} {', '.join(map(str, sorted(rows)))}" if where is None else where
        one = "this row" if len(set(rows)) == 1 else "one of these rows"
        waved = f'"yes" under Looked at, or --accept, for {one} ({min(rows)})'
        allowed = f"{fits}; or {waved}"
        return Fault(self.file, at, f"in doubt: {found}", allowed)

    # -------------------------------------------------------------- cells
    def _text(self, where: str, cell: Cell) -> str:
        if cell is None:
            return ""
        if isinstance(cell, str):
            if len(cell) > LONGEST:
                self._fault(where, f"over {LONGEST} letters", f"{LONGEST} letters at most")
                return ""
            return "".join(letter if letter.isprintable() else " " for letter in cell)
        self._fault(where, _shown(cell), "text")
        return ""

    def _number(self, where: str, cell: Cell) -> float | None:
        number: float | None = None
        told = isinstance(cell, int | float) and not isinstance(cell, bool)
        if told or (isinstance(cell, str) and _plain_number(cell)):
            with contextlib.suppress(OverflowError):  # a whole number of hundreds of digits
                number = float(cell)  # type: ignore[arg-type]
        if number is None or not math.isfinite(number):
            self._fault(where, _shown(cell), _NUMBER_TOLD)
            return None
        return number


def _plain_number(text: str) -> bool:
    """Whether text is digits with a sign and a decimal point, and nothing that merely passes."""
    if not text.isascii() or any(letter not in "+-.0123456789eE" for letter in text):
        return False
    try:
        float(text)
    except ValueError:
        return False
    return True


def _meant(seat: str, marks: Sequence[str]) -> str:
    """The mark that a slip of the pen comes from; "" where several are as near as each other."""
    same = [mark for mark in marks if mark.casefold() == seat.casefold()]
    if len(same) == 1:
        return same[0]
    alike = {m: difflib.SequenceMatcher(None, seat, m).ratio() for m in marks}
    best = max(alike.values(), default=0.0)
    near = [mark for mark, ratio in alike.items() if ratio == best]
    return near[0] if best >= _NEAR and len(near) == 1 else ""


def _looked(cell: Cell) -> bool:
    return isinstance(cell, str) and cell.lower() in _LOOKED


def _whole(cell: Cell) -> Cell:
    """A place, or the number of an instrument, that a spreadsheet took for a number, as text."""
    if isinstance(cell, bool):
        return cell
    if isinstance(cell, int) or (isinstance(cell, float) and cell.is_integer()):
        return str(int(cell))
    return cell


def _shown(cell: Cell) -> str:
    """A cell in words, for a fault."""
    if cell is None or cell == "":
        return "nothing"
    if isinstance(cell, Formula):
        return f"a formula ({cell.text[:40]})"
    if isinstance(cell, bool):
        return "true or false"
    if isinstance(cell, dt.datetime | dt.date | dt.time | dt.timedelta):
        return f"a date or time ({cell})"
    return repr(cell)[:60]
