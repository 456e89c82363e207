"""Numbers of the standards: read from data files, each with its source and its basis.

A rule never holds a number of a standard in its code. It asks a `Values` object for it by name,
and the object remembers what was asked for, so that a result can say on which values it leaned and
which of these are known only from memory.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Literal

from bedstone.errors import BedstoneError

Basis = Literal["print", "secondary", "memory", "confirmed"]
BASES: tuple[Basis, ...] = ("print", "secondary", "memory", "confirmed")

#: A value may be one number, a row of numbers or a table (rows of numbers).
Number = float | tuple[float, ...] | tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Value:
    """One number (or row, or table) of a rule with where it comes from.

    `unit` is a pint unit string of the *stored* number ("kN", "kN/m**2", "degC", "" for a pure
    number); `basis` is ``print`` (read in the standard itself), ``secondary`` (read in a
    publication about it), ``memory`` (recalled; confirm against the printed clause) or
    ``confirmed`` (given or confirmed by the engineer in the bridge file).
    """

    name: str
    value: Number
    unit: str
    standard: str
    edition: str
    clause: str
    source: str
    basis: Basis
    note: str = ""


def _freeze(number: object) -> Number:
    if isinstance(number, list):
        return tuple(_freeze(item) for item in number)  # type: ignore[return-value]
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise TypeError(f"not a number: {number!r}")
    return float(number)


@cache
def load_pack(family: str) -> Mapping[str, Value]:
    """All values of a family (``eurocode``, ``aashto``, ``irc``) by dotted name.

    Reads every ``standards/<family>/data/*.toml``. A file has a head ``[pack]`` with `standard`
    and `edition`, and tables of values ``[values."lm1.tandem"]`` with value, unit, clause, source,
    basis and, where useful, standard, edition and note. The name of a value is
    ``<file stem>.<key>``.
    """
    folder = files("bedstone.standards").joinpath(family, "data")
    pack: dict[str, Value] = {}
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if not entry.name.endswith(".toml"):
            continue
        data = tomllib.loads(entry.read_text(encoding="utf-8"))
        head = data["pack"]
        for key, row in data["values"].items():
            name = f"{entry.name.removesuffix('.toml')}.{key}"
            if row["basis"] not in BASES:
                raise BedstoneError(f"{family}/{entry.name}: {key}: unknown basis {row['basis']!r}")
            pack[name] = Value(
                name=name,
                value=_freeze(row["value"]),
                unit=row.get("unit", ""),
                standard=row.get("standard", head["standard"]),
                edition=row.get("edition", head["edition"]),
                clause=row["clause"],
                source=row["source"],
                basis=row["basis"],
                note=row.get("note", ""),
            )
    return pack


@dataclass(frozen=True)
class Values:
    """The numbers of one family as used in one run: the pack, the engineer's own values, a record.

    `overrides` replaces or confirms values by name (from the bridge file). `used` grows as values
    are read; it is the only thing here that changes, and it never changes a result.
    """

    family: str
    overrides: Mapping[str, Value] = field(default_factory=dict)
    used: dict[str, Value] = field(default_factory=dict, compare=False)

    def entry(self, name: str) -> Value:
        """The value with its provenance; raises `BedstoneError` for an unknown name."""
        value = self.overrides.get(name) or load_pack(self.family).get(name)
        if value is None:
            raise BedstoneError(f"the {self.family} pack holds no value named {name!r}")
        self.used[name] = value
        return value

    def number(self, name: str) -> float:
        """One number in SI base units (N, m, s, rad; temperatures in degC, differences in K)."""
        value = self.entry(name)
        if isinstance(value.value, tuple):
            raise BedstoneError(f"{name} is a row or table, not one number")
        return value.value * si_factor(value.unit)

    def row(self, name: str) -> tuple[float, ...]:
        """A row of numbers in SI units."""
        value = self.entry(name)
        if not isinstance(value.value, tuple) or any(isinstance(v, tuple) for v in value.value):
            raise BedstoneError(f"{name} is not a row of numbers")
        factor = si_factor(value.unit)
        return tuple(float(v) * factor for v in value.value)  # type: ignore[arg-type]

    def table(self, name: str) -> tuple[tuple[float, ...], ...]:
        """A table (rows of numbers), as stored: the columns' units stand in the value's note."""
        value = self.entry(name)
        if not isinstance(value.value, tuple) or not all(isinstance(v, tuple) for v in value.value):
            raise BedstoneError(f"{name} is not a table")
        return value.value  # type: ignore[return-value]

    def from_memory(self) -> Iterator[Value]:
        """The values used so far that are known only from memory, by name."""
        return (self.used[name] for name in sorted(self.used) if self.used[name].basis == "memory")


#: Factors to SI of the units that data files may use. A closed list: a data file with any other
#: unit is a mistake, and looking a unit up here keeps pint out of the start-up time.
_SI: dict[str, float] = {
    "": 1.0,
    "1": 1.0,
    "N": 1.0,
    "kN": 1e3,
    "N/m": 1.0,
    "kN/m": 1e3,
    "kN/m**2": 1e3,
    "kN/m**3": 1e3,
    "Pa": 1.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "N/mm**2": 1e6,
    "m": 1.0,
    "mm": 1e-3,
    "m/s": 1.0,
    "m/s**2": 1.0,
    "km/h": 1 / 3.6,
    "kg/m**3": 1.0,
    "rad": 1.0,
    "mrad": 1e-3,
    "deg": 0.017453292519943295,
    "degC": 1.0,
    "K": 1.0,
    "1/K": 1.0,
    "kip": 4448.2216152605,
    "kip/ft": 14593.902937206365,
    "kip/ft**2": 47880.25898033584,
    "ksi": 6894757.293168361,
    "ft": 0.3048,
    "in": 0.0254,
    "mph": 0.44704,
    "s": 1.0,
}


def si_factor(unit: str) -> float:
    """Factor from a data file's unit to SI; raises `BedstoneError` for a unit not in the list."""
    try:
        return _SI[unit]
    except KeyError:
        raise BedstoneError(f"a data file uses the unknown unit {unit!r}") from None
