"""Reading the sizes of a given bearing and of options: one fault for each thing that is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bedstone.bearings.base import Basis
from bedstone.bearings.common.seating import Connected, Seating
from bedstone.errors import Fault, InputError

#: Fields of a plate on its seat, with `base_` or `sole_` before them.
SEATING_FIELDS: Mapping[str, str] = {
    "length": "m, along x'",
    "width": "m, along y'",
    "thickness": "m",
    "steel": "name of its steel",
    "anchors": "number of anchor or fitted bolts, even; 0 (default) none",
    "anchor": "name of the bolts, as M24",
    "anchor_grade": "grade of the bolts, as 8.8",
    "dowels": "number of dowels below the plate; default 0",
    "dowel": "m, their diameter",
    "grout": "m, bed below the plate; default 0",
    "weld": "m, throat of the welds to a steel girder; 0 (default): bolted",
}


def seating_fields(head: str) -> dict[str, str]:
    """Fields of the plate `head` ("base", "sole") with unit and meaning."""
    return {f"{head}_{name}": f"{text} ({head} plate)" for name, text in SEATING_FIELDS.items()}


@dataclass
class Reader:
    """Takes sizes out of a mapping and gathers faults; `finish` raises them all at once."""

    sizes: Mapping[str, object]
    faults: list[Fault] = field(default_factory=list)
    known: set[str] = field(default_factory=set)

    def length(self, name: str, default: float | None = None, *, zero: bool = False) -> float:
        """A number more than 0 (or 0, if `zero`); `default` where it is not given."""
        self.known.add(name)
        value = self.sizes.get(name, default)
        allowed = f"a number {'of 0 or more' if zero else 'more than 0'}"
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return self._bad(name, "nothing" if value is None else repr(value), allowed)
        if not (value > 0.0 or (zero and value == 0.0)):
            return self._bad(name, f"{value:g}", allowed)
        return float(value)

    def count(self, name: str, default: int = 0) -> int:
        """A whole number of 0 or more."""
        number = self.length(name, float(default), zero=True)
        if number != int(number):
            self._bad(name, f"{number:g}", "a whole number")
        return int(number)

    def word(self, name: str, default: str) -> str:
        """A word; `default` where it is not given."""
        self.known.add(name)
        value = self.sizes.get(name, default)
        if not isinstance(value, str):
            self._bad(name, repr(value), "a word")
        return str(value)

    def seating(self, head: str, steel: str, connected: Connected) -> Seating:
        """The plate `head` ("base", "sole") from its own fields."""
        return Seating(
            length=self.length(f"{head}_length"),
            width=self.length(f"{head}_width"),
            thickness=self.length(f"{head}_thickness"),
            steel=self.word(f"{head}_steel", steel),
            anchors=self.count(f"{head}_anchors"),
            anchor=self.word(f"{head}_anchor", "M20"),
            anchor_grade=self.word(f"{head}_anchor_grade", "8.8"),
            dowels=self.count(f"{head}_dowels"),
            dowel=self.length(f"{head}_dowel", 0.0, zero=True),
            grout=self.length(f"{head}_grout", 0.0, zero=True),
            weld=self.length(f"{head}_weld", 0.0, zero=True) if connected == "steel" else 0.0,
        )

    def require(self, holds: bool, name: str, found: str, allowed: str) -> None:
        """A fault unless `holds`."""
        if not holds:
            self._bad(name, found, allowed)

    def finish(self) -> None:
        """Raises `InputError` with every fault, names that nobody knows included."""
        unknown = sorted(set(self.sizes) - self.known)
        self.faults += [
            Fault("bearing", name, "an unknown size", ", ".join(sorted(self.known)))
            for name in unknown
        ]
        if self.faults:
            raise InputError(self.faults)

    def _bad(self, name: str, found: str, allowed: str) -> float:
        self.faults.append(Fault("bearing", name, found, allowed))
        return 1.0


def fault(where: str, found: str, allowed: str) -> InputError:
    """The error for one impossible size or option of a bearing."""
    return InputError([Fault("bearing", where, found, allowed)])


def number(
    basis: Basis, name: str, default: float, least: float = 0.0, most: float = float("inf")
) -> float:
    """A number among the options, `least` to `most`; raises `InputError` for anything else."""
    value = basis.options.get(name, default)
    if isinstance(value, (bool, str)) or not least <= value <= most:
        raise fault(name, repr(value), f"a number of {least:g} or more, {most:g} at most")
    return float(value)


def word(basis: Basis, name: str, *allowed: str) -> str:
    """One of the allowed words among the options; the first is the default."""
    value = basis.options.get(name, allowed[0])
    if value not in allowed:
        raise fault(name, repr(value), " | ".join(allowed))
    return str(value)
