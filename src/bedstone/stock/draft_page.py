"""A bridge file as it is written line by line: every assumption beside its value, and counted."""

from __future__ import annotations

import json
from dataclasses import dataclass, field

from bedstone.bridge.units import unit_factor
from bedstone.site.tolerances import Tolerances
from bedstone.stock.draft_outline import Assumption

__all__ = ["Page", "metres", "millimetres"]


@dataclass
class Page:
    """Lines of a bridge file as it is written; what is assumed is gathered on the way."""

    values: Tolerances
    lines: list[str] = field(default_factory=list)
    assumed: list[Assumption] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    table_name: str = ""

    def text(self) -> str:
        """The file so far."""
        return "\n".join(self.lines) + "\n"

    def comment(self, text: str) -> None:
        """A line of comment."""
        self.lines.append(f"# {_one_line(text)}")

    def note(self, text: str) -> None:
        """A comment on the whole that the engineer is told of besides."""
        self.notes.append(text)
        self.comment(text)

    def table(self, name: str, called: str = "", *, many: bool = False) -> None:
        """Begin a table; `called`: how its fields are told apart from those of others like it."""
        self.table_name = called or name
        self.lines += ["", f"[[{name}]]" if many else f"[{name}]"]

    def told(self, key: str, value: object) -> None:
        """What the sheet says, or a word of the file that is no assumption."""
        self.lines.append(f"{key} = {_toml(value)}")

    def follows(self, key: str, value: object, of: str) -> None:
        """A value that is worked out of others of the file, told or assumed, and is not counted."""
        self.lines.append(f"{key} = {_toml(value)}    # follows: {of}")

    def guess(self, key: str, value: object, why: str) -> None:
        """A value that nobody told, with the reason beside it."""
        written, reason = _toml(value), _one_line(why)
        self.assumed.append(Assumption(f"{self.table_name}.{key}", written, reason))
        self.lines.append(f"{key} = {written}    # assumed: {reason}")

    def usual(self, key: str, name: str, value: object) -> None:
        """A value made of the assumption `name` of the data file."""
        self.guess(key, value, self.why(name))

    def either(self, key: str, told: object | None, name: str, value: object) -> None:
        """What was told, else what is made of the assumption `name`."""
        if told is None:
            self.usual(key, name, value)
        else:
            self.told(key, told)

    def why(self, name: str) -> str:
        """An assumption in words, with its source."""
        own = self.values.values[name]
        number = f"{own.value:g} {own.unit}" if isinstance(own.value, float) else ""
        return f"{own.clause} {number.strip()} ({own.source})"

    def number(self, name: str) -> float:
        """An assumption in SI."""
        return self.values.number(name)

    def governs(self, *found: tuple[str, float]) -> tuple[str, float]:
        """The greatest of several values, each after the assumption it comes from."""
        return max(found, key=lambda one: one[1])

    def area(self, name: str) -> float:
        """An assumption in m2: the table of units of data files has no areas."""
        own = self.values.values[name]
        assert isinstance(own.value, float)
        return own.value * unit_factor(own.unit)[0]

    def of(self, name: str) -> str:
        """An assumption as the bridge file writes it."""
        own = self.values.values[name]
        assert isinstance(own.value, float)
        return f"{own.value:g} {own.unit}".strip()


def _one_line(text: str) -> str:
    """Text that cannot end the comment it stands in: words and sources are written by anybody."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())


def _toml(value: object) -> str:
    """A value as TOML; strings as JSON writes them, which TOML reads alike."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True).replace("\x7f", "\\u007F")
    return f"{value!r}" if isinstance(value, int) else f"{float(str(value)):.9g}"


def metres(value: float) -> str:
    """A length (m) as a bridge file writes it."""
    return f"{round(value, 6):.9g} m"


def millimetres(value: float) -> str:
    """A length (m) as a bridge file writes it, in whole mm."""
    return f"{round(value * 1e3):d} mm"
