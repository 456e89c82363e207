"""Heads of logs: which column holds what, in which unit, of a CSV or a Parquet file.

A head is a name with its unit in brackets, ``movement [mm]``. Long logs name the seat in a column;
wide logs have a column for each seat, ``A2-1 [mm]``.
"""

from __future__ import annotations

import csv
import gzip
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from bedstone.bridge.units import UnitError, unit_factor
from bedstone.errors import Fault, InputError
from bedstone.site.log_forms import LogForm

Role = Literal["time", "seat", "movement", "temperature"]
Form = Literal["csv", "parquet"]

#: A head stands within so many bytes from the start of a file, comments above it included.
_HEAD = 65_536
_SEPARATORS = (",", ";", "\t")
_CELSIUS = frozenset({"degC", "°C"})
_FAHRENHEIT = frozenset({"degF", "°F"})
_WANTED = "a head such as time,seat,movement [mm],temperature [degC]"


@dataclass(frozen=True)
class Column:
    """One column: its number in the file, head as written, and the step to SI.

    Value in SI (m, degC) = `factor` x cell + `shift`.
    """

    number: int
    head: str
    factor: float = 1.0
    shift: float = 0.0

    @property
    def fahrenheit(self) -> bool:
        """Whether the head says degF."""
        return self.shift != 0.0


@dataclass(frozen=True)
class Track:
    """One movement in each row of a file; `seat` "" where a column names it."""

    seat: str
    movement: Column
    temperature: Column


@dataclass(frozen=True)
class Head:
    """What the columns of a file hold.

    `skip`: lines of a CSV down to the head, itself included; `separator` of its cells; `names`:
    all columns as written; `unread`: those nobody asked for.
    """

    form: Form
    names: tuple[str, ...]
    time: Column
    seat: Column | None
    tracks: tuple[Track, ...]
    unread: tuple[str, ...]
    skip: int = 0
    separator: str = ","
    packed: bool = False

    @property
    def row_word(self) -> str:
        """What a row of the file is called."""
        return "line" if self.form == "csv" else "row"

    @property
    def movement(self) -> str:
        """Head of the column of movement, or of the first of several."""
        return _one_of([track.movement.head for track in self.tracks])

    @property
    def temperature(self) -> str:
        """Head of the column of temperature, or of the first of several."""
        return _one_of([track.temperature.head for track in self.tracks])


def form_of(path: Path) -> tuple[Form, bool]:
    """CSV or Parquet, by its first bytes, and whether it is packed by gzip.

    Raises `InputError` for a file that cannot be read and for other kinds that people try.
    """
    try:
        with path.open("rb") as stream:
            start = stream.read(8)
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise InputError([Fault(path.name, "file", reason, "a file that can be read")]) from error
    if start.startswith(b"PAR1"):
        return "parquet", False
    kinds = {b"PK\x03\x04": "a workbook or zip archive", b"\xff\xfe": "text in UTF-16"}
    kinds |= {b"\xfe\xff": "text in UTF-16", b"%PDF": "a PDF", b"": "nothing"}
    for mark, kind in kinds.items():
        if start.startswith(mark) and (mark or not start):
            raise InputError([Fault(path.name, "file", kind, "CSV in UTF-8, or Parquet")])
    return "csv", start.startswith(b"\x1f\x8b")


def csv_head(path: Path, packed: bool, wanted: LogForm) -> Head:
    """The head of a CSV file: the first line that is neither empty nor a comment (``#``)."""
    lines, ended = _first_lines(path, packed)
    skip = 0
    for line in lines:
        skip += 1
        if line.strip() and not line.lstrip().startswith("#"):
            break
    else:
        found = "no head" if ended else f"no head in the first {_HEAD} bytes"
        raise InputError([Fault(path.name, "file", found, _WANTED)])
    separator = max(_SEPARATORS, key=line.count)
    try:
        cells = next(csv.reader([line], delimiter=separator, strict=True))
    except csv.Error as error:
        raise InputError([Fault(path.name, f"line {skip}", str(error), _WANTED)]) from error
    names = tuple(cell.strip() for cell in cells)
    time, seat, tracks, unread = _columns(path.name, f"line {skip}", names, wanted)
    return Head("csv", names, time, seat, tracks, unread, skip, separator, packed)


def parquet_head(path: Path, names: Sequence[str], wanted: LogForm) -> Head:
    """The head of a Parquet file from the names of its columns."""
    time, seat, tracks, unread = _columns(path.name, "columns", tuple(names), wanted)
    return Head("parquet", tuple(names), time, seat, tracks, unread)


def _first_lines(path: Path, packed: bool) -> tuple[list[str], bool]:
    """The first lines, without the last where the file goes on; whether the file ended."""
    try:
        with gzip.open(path, "rb") if packed else path.open("rb") as stream:
            data = stream.read(_HEAD + 1)
    except (OSError, EOFError, gzip.zlib.error) as error:  # type: ignore[attr-defined]
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise InputError([Fault(path.name, "file", reason, "a file that can be read")]) from error
    ended = len(data) <= _HEAD
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # a sign of several bytes may be cut at the end of what was read
        if ended or error.start < _HEAD - 4:
            line = data.count(b"\n", 0, error.start) + 1
            found = f"byte 0x{data[error.start]:02x}"
            fault = Fault(path.name, f"line {line}", found, "text in UTF-8")
            raise InputError([fault]) from error
        text = data[: error.start].decode("utf-8-sig")
    if "\0" in text:
        raise InputError([Fault(path.name, "file", "null characters", "CSV in UTF-8, or Parquet")])
    lines = io.StringIO(text, newline="").read().splitlines()
    return (lines if ended else lines[:-1]), ended


def _columns(
    file: str, where: str, names: tuple[str, ...], wanted: LogForm
) -> tuple[Column, Column | None, tuple[Track, ...], tuple[str, ...]]:
    """Columns by what they hold; raises `InputError` with every fault of the head."""
    faults: list[Fault] = []
    found: dict[str, Column] = {}
    unread: list[str] = []
    used: set[str] = set()
    for number, head in enumerate(names):
        match = re.fullmatch(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?", head)
        name, unit = (match[1], match[2] or "") if match else (head, "")
        key = head if head in wanted.names else name
        used.add(key)
        word = _word(wanted.names.get(key, name), wanted.seats)
        if word is None:
            unread.append(head)
            continue
        place = f"{where}, column {head or number + 1}"
        if word in found:
            faults.append(Fault(file, place, repr(head[:60]), f"one column of {word}"))
            continue
        unit = unit or wanted.units.get(key, wanted.units.get(word, ""))
        try:
            factor, shift = _step(word, unit)
        except UnitError as error:
            faults.append(Fault(file, place, repr(head[:60]), str(error)))
            factor, shift = 1.0, 0.0
        found[word] = Column(number, head, factor, shift)
    for name in wanted.names:
        if name not in used:
            shown = ", ".join(names[:20])
            faults.append(Fault(file, where, f"no column {name[:60]!r}", f"one of: {shown}"))
    tracks, missing = _tracks(found, wanted, names)
    faults += [Fault(file, where, text, allowed) for text, allowed in missing]
    if faults:
        raise InputError(faults)
    return found["time"], found.get("seat"), tracks, tuple(unread)


def _word(name: str, seats: Sequence[str]) -> str | None:
    """What a column holds: time, seat, movement, temperature, a seat, or a seat's temperature."""
    plain = " ".join(name.split())
    if plain.lower() in ("time", "seat", "movement", "temperature"):
        return plain.lower()
    if plain in seats:
        return plain
    ending = " temperature"
    if plain.lower().endswith(ending) and plain[: -len(ending)] in seats:
        return plain[: -len(ending)] + ending
    return None


def _step(word: str, unit: str) -> tuple[float, float]:
    """Factor and shift to SI; raises `UnitError` that says which unit would do."""
    if word in ("time", "seat"):
        if unit and word == "seat":
            raise UnitError("seat, without unit")
        return 1.0, 0.0
    if word.endswith("temperature"):
        if unit in _CELSIUS:
            return 1.0, 0.0
        if unit in _FAHRENHEIT:
            return 1.0 / 1.8, -32.0 / 1.8
        raise UnitError(f"a head with unit such as {word} [degC] or [degF]")
    try:
        factor, dimension = unit_factor(unit)
        if not unit or dimension != unit_factor("m")[1]:
            raise UnitError
    except UnitError as error:
        raise UnitError(f"a head with a unit of length such as {word} [mm]") from error
    return factor, 0.0


def _tracks(
    found: Mapping[str, Column], wanted: LogForm, names: Sequence[str]
) -> tuple[tuple[Track, ...], list[tuple[str, str]]]:
    """The movements of a row and what the head lacks, as pairs of found and allowed."""
    missing = []
    if "time" not in found:
        missing.append(("no column time", _WANTED))
    wide = [seat for seat in wanted.seats if seat in found]
    both = "movement" in found
    if both and wide:
        missing.append((f"movement beside {wide[0]}", "movement with seat, or a column a seat"))
    elif both and "seat" not in found and not wanted.seat:
        missing.append(("no column seat", "a column seat, or the seat told for the whole file"))
    elif not both and not wide:
        known = ", ".join(wanted.seats)
        there = ", ".join(name[:40] for name in names[:20])
        found_text = f"no column of movement in: {there}"
        missing.append((found_text, f"movement [mm], or a seat: {known}"))
    tracks = []
    for seat in wide:
        column = found.get(f"{seat} temperature", found.get("temperature"))
        if column is None:
            missing.append((f"no temperature of {seat}", "temperature [degC] of the steel"))
        else:
            tracks.append(Track(seat, found[seat], column))
    if both and not wide:
        column = found.get("temperature")
        if column is None:
            missing.append(("no column temperature", "temperature [degC] of the steel"))
        else:
            own = "" if "seat" in found else wanted.seat
            tracks.append(Track(own, found["movement"], column))
    return tuple(tracks), missing


def _one_of(heads: Sequence[str]) -> str:
    return heads[0] if len(set(heads)) == 1 else f"{heads[0]} and others"
