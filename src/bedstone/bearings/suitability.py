"""The first sieve: which kinds suit what a seat asks, by AASHTO LRFD, Table 14.6.2-1.

The table is a guide of one family; it is quoted for the others too, for want of one of theirs.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from bedstone.bearings.base import Basis, Demand, Refusal
from bedstone.bearings.common import sizes
from bedstone.bridge.schema import BearingKind
from bedstone.standards.values import si_factor

#: What each option means.
OPTIONS: Mapping[str, str] = {
    "suitability.movement": "movement from which on a seat is said to move (m); default 1 mm",
    "suitability.rotation": "rotation from which on a seat is said to turn (rad); default 1 mrad",
}
_WORDS = {
    "S": "suitable",
    "L": "suitable for limited applications",
    "R": "may need additional elements",
    "U": "unsuitable",
}


@dataclass(frozen=True)
class Need:
    """Something a seat asks of its bearing: `column` of the table and the figure, in words."""

    column: str
    figure: str


@dataclass(frozen=True)
class Sieved:
    """What the table says of one kind at one seat.

    `remark`: all that is not plainly suitable, in words, or ""; `refusal`: what is unsuitable (U).
    """

    remark: str = ""
    refusal: Refusal | None = None


@cache
def _data() -> Mapping[str, Any]:
    path = files("bedstone.bearings").joinpath("data", "suitability.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def letters(kind: BearingKind) -> Mapping[str, str]:
    """Letter (S, L, R, U) of each column for a kind; empty where the table does not speak of it."""
    data = _data()
    row: str = data["table"]["rows"].get(data["kinds"].get(kind, ""), "")
    row = row or data["sets"].get(kind, {}).get("letters", "")
    return dict(zip(data["table"]["columns"], row, strict=True)) if row else {}


def needs(demand: Demand, basis: Basis) -> Iterator[Need]:
    """What a seat asks: movements where free, rotations about each axis, forces where held."""
    least = {name: _threshold(name, basis) for name in ("movement", "rotation")}
    for held, way, v, h in zip(
        demand.held, ("along", "across"), ("vx", "vy"), ("Hx", "Hy"), strict=True
    ):
        if held:
            if force := demand.largest(h):
                yield Need(f"resist {way}", f"{force / 1e3:.0f} kN")
        elif (moved := demand.largest(v)) > least["movement"]:
            yield Need(f"move {way}", f"{moved * 1e3:.1f} mm")
    for axis in "xyz":
        if (turned := demand.largest(f"r{axis}")) > least["rotation"]:
            yield Need(f"turn about {axis}", f"{turned * 1e3:.1f} mrad")


def sieve(kind: BearingKind, demand: Demand, basis: Basis) -> Sieved:
    """Hold what a seat asks against the table; see `Sieved`."""
    known = letters(kind)
    data = _data()
    table = f"{data['table']['standard']} {data['table']['clause']}"
    built = data["sets"].get(kind, {}).get("of", "")
    row = f"{kind}, a set of {built}" if built else data["kinds"].get(kind, kind)
    found: dict[str, list[str]] = {}
    for need in needs(demand, basis):
        letter = known.get(need.column, "S")
        if letter != "S":
            found.setdefault(letter, []).append(f"{need.column}' {need.figure}")
    told = {
        letter: f"{_WORDS[letter]} ({letter}) to {', to '.join(found[letter])}"
        for letter in "URL"
        if letter in found
    }
    if not told:
        return Sieved()
    remark = f"{table}, {row}: {'; '.join(told.values())}"
    if "U" not in told:
        return Sieved(remark)
    remedy = f"ask for it by name (kind {kind!r}) to have it designed all the same"
    return Sieved(remark, Refusal(kind, f"{row}: {told['U']}", table, remedy))


def _threshold(name: str, basis: Basis) -> float:
    row = _data()["thresholds"][name]
    default = float(row["value"]) * si_factor(row["unit"])
    return sizes.number(basis, f"suitability.{name}", default)
