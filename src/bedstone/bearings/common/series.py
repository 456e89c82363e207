"""Sizes that are made: plates, rollers, pins, bolts, welds. Metres and square metres."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from bedstone.bridge.schema import FamilyName
from bedstone.errors import Fault, InputError

Series = Literal["plates", "rollers", "pins", "welds"]

_INCH = 0.0254


@dataclass(frozen=True)
class Bolt:
    """A bolt or threaded anchor: diameter (m), gross and stress area (m2)."""

    name: str
    diameter: float
    area: float
    stress_area: float


@dataclass(frozen=True)
class Grade:
    """Strength of bolts: `fy`, `fu` in Pa."""

    name: str
    fy: float
    fu: float


@cache
def _data() -> Mapping[str, Any]:
    path = files("bedstone.bearings").joinpath("data", "series.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def sizes(series: Series, family: FamilyName) -> tuple[float, ...]:
    """Sizes of a series in m, rising: inches for AASHTO, millimetres else."""
    row = _data()[series]
    if family == "aashto":
        return tuple(round(value * _INCH, 6) for value in row["inch"])
    return tuple(round(value * 1e-3, 6) for value in row["metric"])


def at_least(series: Series, family: FamilyName, size: float) -> float | None:
    """Smallest size of a series not below `size` (m); None where the series ends before."""
    return next((value for value in sizes(series, family) if value >= size * (1 - 1e-9)), None)


def length(size: float, step: float = 0.01) -> float:
    """`size` rounded up to a whole `step` (m): 10 mm for plans, 5 mm for small parts."""
    return round(math.ceil(size / step - 1e-6) * step, 6)


@cache
def bolts(family: FamilyName) -> tuple[Bolt, ...]:
    """Bolts and anchors of a family by rising diameter."""
    system, unit = ("inch", _INCH) if family == "aashto" else ("metric", 1e-3)
    return tuple(
        Bolt(name, d * unit, math.pi / 4 * (d * unit) ** 2, area * unit**2)
        for name, (d, _, area) in _data()["bolts"][system].items()
    )


@cache
def _by_name() -> Mapping[str, Bolt]:
    return {item.name: item for family in ("eurocode", "aashto") for item in bolts(family)}


def bolt(name: str) -> Bolt:
    """The bolt of a name ("M24", "1 in"); `InputError` for one that is not in the series."""
    known = _by_name()
    if name not in known:
        raise InputError([Fault("bearing", "bolt", repr(name), f"one of {', '.join(known)}")])
    return known[name]


@cache
def grade(name: str) -> Grade:
    """The strength grade of a bolt ("8.8"); `InputError` for an unknown one."""
    known = {key: row for key, row in _data()["grades"].items() if isinstance(row, list)}
    if name not in known:
        raise InputError([Fault("bearing", "grade", repr(name), f"one of {', '.join(known)}")])
    fy, fu = known[name]
    return Grade(name, fy * 1e6, fu * 1e6)
