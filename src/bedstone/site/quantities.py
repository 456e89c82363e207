"""Catalogue of what is read on a bearing: names, units, signs, places, words.

The names are data, in ``site/data/quantities.toml``. A measured size of a part is read as well,
under ``size: `` and the name that the sizes of a given bearing have in the bridge file.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, get_args

from bedstone.bridge.schema import BearingKind
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.site.mechanism import Form
from bedstone.standards.values import BASES

__all__ = ["SIZE", "UNITS", "Quantity", "Read", "asked", "catalogue", "known", "quantity"]

At = Literal["seat", "support"]
Need = Literal[
    "", "free along", "free across", "guided", "slides", "rolls", "segments", "shears", "once"
]

#: What stands before the name of a measured size.
SIZE = "size: "

#: Units in which each SI unit may be written on a form, with their factors. "" holds shares.
UNITS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "m": {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048},
        "rad": {
            "mm/m": 1e-3,
            "mrad": 1e-3,
            "rad": 1.0,
            "deg": 0.017453292519943295,
            "in/ft": 1.0 / 12.0,
        },
        "": {"%": 1e-2, "share": 1.0},
    }
)


@dataclass(frozen=True)
class Quantity:
    """Something that can be read. `unit`: SI ("m", "rad", "" for shares and words).

    - `shown`: unit offered first; `at`: on a seat, a support or either; `sign`: what + means
    - `places`: where on the bearing it is read, () for one reading; `kinds`: kinds of bearing that
      have it, () for all; `needs`: when a form asks for it
    - `words`: the readings allowed, () for a number; `least`, `most`: of a number that is no slip
    """

    name: str
    title: str
    unit: str
    shown: str
    at: tuple[At, ...]
    sign: str
    places: tuple[str, ...]
    kinds: tuple[BearingKind, ...]
    needs: Need
    words: tuple[str, ...]
    least: float | None
    most: float | None
    source: str
    clause: str
    basis: str

    @property
    def worded(self) -> bool:
        """Whether it is read as a word."""
        return bool(self.words)

    def fits(self, kind: BearingKind | None) -> bool:
        """Whether a bearing of a kind has it; of a kind that nobody named anything is taken."""
        return kind is None or not self.kinds or kind in self.kinds

    @property
    def units(self) -> Mapping[str, float]:
        """Units in which it may be written, each with its factor to SI; none for words."""
        return {} if self.worded else UNITS[self.unit]


@dataclass(frozen=True)
class Read:
    """One reading to take: a quantity at one of its places ("" where it has none)."""

    quantity: Quantity
    place: str


@cache
def catalogue() -> Mapping[str, Quantity]:
    """All quantities by name, in the order of a form."""
    text = files("bedstone.site").joinpath("data", "quantities.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    head = data["pack"]
    found: dict[str, Quantity] = {}
    for name, row in data["quantities"].items():
        item = Quantity(
            name=name,
            title=row["title"],
            unit=row.get("unit", ""),
            shown=row.get("shown", ""),
            at=tuple(row["at"]),
            sign=row["sign"],
            places=tuple(row.get("places", ())),
            kinds=tuple(row.get("kinds", ())),
            needs=row.get("needs", ""),
            words=tuple(row.get("words", ())),
            least=row.get("least"),
            most=row.get("most"),
            source=row.get("source", head["source"]),
            clause=row.get("clause", head["clause"]),
            basis=row.get("basis", head["basis"]),
        )
        _hold(item)
        found[name] = item
    return MappingProxyType(found)


def quantity(name: str, file: str = "readings", where: str = "quantity") -> Quantity:
    """A quantity by its name, a measured size included.

    Raises `InputError` for a name that is none; `file` and `where` say where it stands.
    """
    item = known(name)
    if item is None:
        allowed = ", ".join(catalogue()) + f', or "{SIZE}" and the name of a size'
        raise InputError([Fault(file, where, repr(name[:60]), allowed)])
    return item


@cache
def known(name: str) -> Quantity | None:
    """A quantity by its name, None for a name that is none."""
    size = name.removeprefix(SIZE).strip()
    if name.startswith(SIZE) and size:
        return Quantity(
            name=f"{SIZE}{size}",
            title=f"Size: {size}",
            unit="m",
            shown="mm",
            at=("seat",),
            sign=f"The size {size!r} of the bearing as it stands, by the names of its kind.",
            places=(),
            kinds=(),
            needs="once",
            words=(),
            least=0.0,
            most=10.0,
            source=catalogue()["diameter"].source,
            clause="a size of a part",
            basis="memory",
        )
    return catalogue().get(name)


def asked(
    kind: BearingKind | None,
    form: Form,
    held: tuple[bool, bool],
    *,
    segments: bool = False,
) -> tuple[Read, ...]:
    """The readings to take on a bearing at every visit, in the order of the catalogue.

    `form`: how it moves; `held`: x' and y' held; `segments`: its rollers are cut down on two sides.
    """
    found: list[Read] = []
    for item in catalogue().values():
        if "seat" not in item.at or not item.fits(kind) or not _needed(item, form, held, segments):
            continue
        places = [place for place in item.places if _has(item, place, held)]
        found += [Read(item, place) for place in places or ([] if item.places else [""])]
    return tuple(found)


def _needed(item: Quantity, form: Form, held: tuple[bool, bool], segments: bool) -> bool:
    match item.needs:
        case "":
            return True
        case "free along":
            return not held[0] and form != "shears"
        case "free across":
            return not held[1] and form != "shears"
        case "guided":
            return held[0] != held[1]
        case "segments":
            return segments or form != "rolls"
        case "slides" | "rolls" | "shears":
            return form == item.needs
        case _:  # once: not at every visit
            return False


def _has(item: Quantity, place: str, held: tuple[bool, bool]) -> bool:
    """Whether a place is there: a guide stands across what it holds, a plate hangs over where it
    goes.
    """
    along = place in ("falling", "rising")
    if item.name == "guide gap":
        return held[0] if along else held[1]
    if item.name == "overhang":
        return not held[0] if along else not held[1]
    return True


def _hold(item: Quantity) -> None:
    """Refuse a catalogue that contradicts itself."""
    strange = set(item.kinds) - set(get_args(BearingKind))
    wrong = (
        (bool(strange), f"unknown kinds {sorted(strange)}"),
        (item.needs not in get_args(Need), f"unknown need {item.needs!r}"),
        (not item.at or bool(set(item.at) - set(get_args(At))), "read nowhere"),
        (item.basis not in BASES, f"unknown basis {item.basis!r}"),
        (not item.worded and item.shown not in UNITS[item.unit], f"unknown unit {item.shown!r}"),
        (not item.worded and (item.least is None or item.most is None), "no least and most"),
        (item.worded and bool(item.unit), "a word has no unit"),
    )
    for is_wrong, text in wrong:
        if is_wrong:
            raise BedstoneError(f"site/data/quantities.toml: {item.name}: {text}")
