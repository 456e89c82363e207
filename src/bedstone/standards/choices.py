"""The engineer's national and owner's choices: their names, and reading them with clear faults."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypedDict, TypeVar, Unpack

from bedstone.errors import Fault, InputError

#: Choices by dotted name (``thermal.allowance``) as they stand in the bridge file; SI units.
Choices = Mapping[str, float | str | bool]

_Word = TypeVar("_Word", bound=str)
_SEISMIC = "seismic."
_WORDS = {"least": "of at least", "above": "above", "most": "of at most"}


class Bounds(TypedDict, total=False):
    """Bounds of a number: `least` <= number <= `most`, and number > `above`."""

    least: float
    above: float
    most: float


def refuse(field: str, found: object, allowed: str) -> InputError:
    """The error to raise for one fault at `field` of the bridge file."""
    return InputError([Fault("bridge file", field, str(found), allowed)])


def asked(choices: Choices, head: str) -> bool:
    """Whether any choice stands under a heading (``seismic``)."""
    return any(name.startswith(f"{head}.") for name in choices)


@dataclass(frozen=True)
class ChoiceList:
    """The choices of one family: `meanings` says of each name what it means and what is allowed.

    Every reading raises `InputError` for what is not allowed, naming the place in the bridge file.
    """

    family: str
    meanings: Mapping[str, str]

    def field(self, name: str) -> str:
        """Where a choice stands in the bridge file."""
        if name.startswith(_SEISMIC):
            return f"actions.seismic.{self.family}.{name.removeprefix(_SEISMIC)}"
        return f"choices.{self.family}.{name}"

    def refuse(self, name: str, found: object, allowed: str) -> InputError:
        """The error to raise for one fault of a choice."""
        return refuse(self.field(name), found, allowed)

    def missing(self, choices: Choices, names: tuple[str, ...]) -> None:
        """Refuse choices without `names`; one fault for each that is not there."""
        faults = [
            Fault("bridge file", self.field(name), "nothing", self.meanings[name])
            for name in names
            if name not in choices
        ]
        if faults:
            raise InputError(faults)

    def check_names(self, choices: Choices) -> None:
        """Refuse names that this family does not know; one fault for each."""
        faults = []
        for name, value in choices.items():
            if name in self.meanings:
                continue
            known = [own for own in self.meanings if _heading(own) == _heading(name)]
            allowed = f"one of {', '.join(known or self.meanings)}"
            faults.append(Fault("bridge file", self.field(name), repr(value), allowed))
        if faults:
            raise InputError(faults)

    def given(self, choices: Choices, name: str, **bounds: Unpack[Bounds]) -> float | None:
        """The number chosen, within `bounds`; None: nothing chosen."""
        found = choices.get(name)
        if found is None:
            return None
        if (
            isinstance(found, bool)
            or not isinstance(found, (int, float))
            or not math.isfinite(found)
            or found < bounds.get("least", -math.inf)
            or found <= bounds.get("above", -math.inf)
            or found > bounds.get("most", math.inf)
        ):
            words = " and".join(f" {_WORDS[key]} {bound:g}" for key, bound in bounds.items())
            raise self.refuse(name, repr(found), f"a number{words} ({self.meanings[name]})")
        return float(found)

    def number(
        self, choices: Choices, name: str, default: float, **bounds: Unpack[Bounds]
    ) -> float:
        """The number chosen, within `bounds`, or `default`."""
        found = self.given(choices, name, **bounds)
        return default if found is None else found

    def needed(self, choices: Choices, name: str, **bounds: Unpack[Bounds]) -> float:
        """The number chosen, within `bounds`; it must be there."""
        self.missing(choices, (name,))
        return self.number(choices, name, 0.0, **bounds)

    def whole(self, choices: Choices, name: str) -> int | None:
        """The whole number of at least 1 chosen; None: nothing chosen."""
        found = self.given(choices, name, least=1.0)
        if found is None:
            return None
        if found != int(found):
            raise self.refuse(name, repr(found), "a whole number of at least 1")
        return int(found)

    def word(
        self, choices: Choices, name: str, allowed: tuple[_Word, ...], default: _Word | None
    ) -> _Word:
        """The word chosen, or `default`; without a default the word must be there."""
        found = choices.get(name, default)
        for word in allowed:
            if word == found:
                return word
        raise self.refuse(name, "nothing" if found is None else repr(found), ", ".join(allowed))

    def flag(self, choices: Choices, name: str, default: bool) -> bool:
        """The choice of true or false, or `default`."""
        found = choices.get(name, default)
        if isinstance(found, bool):
            return found
        raise self.refuse(name, repr(found), "true or false")


def _heading(name: str) -> str:
    return name.partition(".")[0]
