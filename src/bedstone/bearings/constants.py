"""The constants of bearings that belong to no family: steels, series of sizes, details, sieve."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from bedstone.errors import BedstoneError
from bedstone.standards.values import BASES, Basis

_ORIGIN = ("standard", "edition", "clause", "source", "basis", "note", "unit")


@dataclass(frozen=True)
class Constant:
    """A constant (or a row of them) with where it comes from; `text`: its numbers as kept."""

    name: str
    text: str
    standard: str
    clause: str
    source: str
    basis: Basis


@cache
def load_constants() -> tuple[Constant, ...]:
    """All constants of ``bearings/data/*.toml``, in the order of the files.

    A table that has a `basis` holds constants; tables within it that have none of their own take
    over its origin. Tables without a basis at all name things and hold no constants. Raises
    `BedstoneError` for an unknown basis.
    """
    folder = files("bedstone.bearings").joinpath("data")
    found: list[Constant] = []
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if entry.name.endswith(".toml"):
            data = tomllib.loads(entry.read_text(encoding="utf-8"))
            found += _constants(entry.name.removesuffix(".toml"), data, {})
    return tuple(found)


def _constants(name: str, table: Mapping[str, Any], above: Mapping[str, str]) -> Iterator[Constant]:
    """The constants of a table and of those within it."""
    origin = {**above, **{key: table[key] for key in _ORIGIN if isinstance(table.get(key), str)}}
    own = {
        key: value
        for key, value in table.items()
        if key not in _ORIGIN and not isinstance(value, dict)
    }
    if own and "basis" in origin:
        if origin["basis"] not in BASES:
            raise BedstoneError(f"bearings/{name}: unknown basis {origin['basis']!r}")
        text = "; ".join(
            _shown(value) if key == "value" else f"{key} {_shown(value)}"
            for key, value in own.items()
        )
        yield Constant(
            name=name,
            text=f"{text} {origin.get('unit', '')}".strip(),
            standard=origin.get("standard", "bearings"),
            clause=origin.get("clause", ""),
            source=origin.get("source", ""),
            basis=origin["basis"],
        )
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _constants(f"{name}.{key}", value, origin)


def _shown(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(_shown(item) for item in value) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)
