"""What is allowed for on site: data files, and an engineer's own in the place of any of them.

A subject, such as "setting", has its file ``site/data/setting.toml``; a room above this one keeps
the file of its subject in its own ``data``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from bedstone.bridge.units import UnitError, unit_factor
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text
from bedstone.standards.values import BASES, Value, si_factor

#: Largest file of own allowances, bytes.
_LARGEST = 100_000


@dataclass(frozen=True)
class Tolerances:
    """The allowances of a subject by name, each with its source and basis."""

    values: Mapping[str, Value]

    def number(self, name: str) -> float:
        """One allowance in SI units."""
        value = self.values[name]
        assert isinstance(value.value, float)
        return value.value * si_factor(value.unit)


@cache
def usual(subject: str = "setting", room: str = "site") -> Tolerances:
    """The allowances that come with the program for a subject."""
    place = files(f"bedstone.{room}").joinpath("data", f"{subject}.toml")
    text = place.read_text(encoding="utf-8")
    data = tomllib.loads(text)
    head = data["pack"]
    found = {}
    for name, row in data["values"].items():
        if row["basis"] not in BASES:
            raise BedstoneError(
                f"{room}/data/{subject}.toml: {name}: unknown basis {row['basis']!r}"
            )
        found[name] = Value(
            name=f"{subject}.{name}",
            value=float(row["value"]),
            unit=row["unit"],
            standard=row.get("standard", head["standard"]),
            edition=row.get("edition", head["edition"]),
            clause=row["clause"],
            source=row["source"],
            basis=row["basis"],
            note=row.get("note", ""),
        )
    return Tolerances(found)


def read_tolerances(path: Path, subject: str = "setting", room: str = "site") -> Tolerances:
    """The allowances of a subject with those of an engineer's own file in their place.

    The file has tables ``[values.thermometer]`` with `value`, `source` and, where it differs, a
    `unit` of the same kind. Raises `InputError` with one fault for each name that nobody knows and
    each value that cannot be.
    """
    try:
        data = tomllib.loads(read_text(path, _LARGEST))
    except tomllib.TOMLDecodeError as error:
        raise InputError([Fault(path.name, "file", str(error), "a TOML file")]) from error
    rows = data.get("values")
    if not isinstance(rows, dict) or set(data) - {"values"}:
        found = ", ".join(sorted(data)) or "nothing"
        raise InputError([Fault(path.name, "file", found, "tables [values.NAME]")])
    known = usual(subject, room).values
    faults: list[Fault] = []
    own = dict(known)
    for name, row in rows.items():
        if name not in known:
            faults.append(Fault(path.name, f"values.{name}", name, ", ".join(known)))
            continue
        wrong = _wrong(path.name, name, row, known[name])
        faults += wrong
        if not wrong:
            own[name] = _own(row, known[name])
    if faults:
        raise InputError(faults)
    return Tolerances(own)


def _wrong(file: str, name: str, row: Any, known: Value) -> list[Fault]:
    """Faults of one table of an engineer's file."""
    where = f"values.{name}"
    if not isinstance(row, dict):
        return [Fault(file, where, repr(row)[:60], "a table with value and source")]
    faults = [
        Fault(file, f"{where}.{key}", key, "value, unit, source")
        for key in row
        if key not in ("value", "unit", "source")
    ]
    value, source = row.get("value"), row.get("source")
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < 1e6:
        found = "nothing" if value is None else repr(value)[:60]
        faults.append(Fault(file, f"{where}.value", found, "a number of 0 or more"))
    if not isinstance(source, str) or not source.strip():
        found = "nothing" if source is None else repr(source)[:60]
        faults.append(Fault(file, f"{where}.source", found, "where the value comes from"))
    unit = row.get("unit", known.unit)
    if not isinstance(unit, str) or not _alike(unit, known.unit):
        faults.append(
            Fault(file, f"{where}.unit", repr(unit)[:60], f"a unit like {known.unit or 'none'!r}")
        )
    return faults


def _alike(unit: str, known: str) -> bool:
    if unit == known:
        return True
    try:
        si_factor(unit)
        return bool(known) and unit_factor(unit)[1] == unit_factor(known)[1]
    except (BedstoneError, UnitError):
        return False


def _own(row: Mapping[str, Any], known: Value) -> Value:
    return Value(
        name=known.name,
        value=float(row["value"]),
        unit=row.get("unit", known.unit),
        standard="engineer's own file",
        edition="",
        clause=known.clause,
        source=row["source"],
        basis="confirmed",
        note=known.note,
    )
