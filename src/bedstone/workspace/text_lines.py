"""On which line of a bridge file each field stands, so that faults can be shown there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from bedstone.bridge.reader import where
from bedstone.errors import Fault

Step = str | int
Path = tuple[Step, ...]

_HEAD: Final = re.compile(r"\s*(\[\[?)(.*?)(\]\]?)\s*(#.*)?$")
_NAME: Final = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*(\.?)""")


def lines_of(text: str) -> dict[Path, int]:
    """Line (from 1) of every table, field and entry of a list in a text that is valid TOML."""
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    lines = text.split("\n")
    number = 0
    while number < len(lines):
        line = lines[number]
        head = _HEAD.match(line)
        if head is not None:
            steps = _names(head[2])[0]
            table = _placed(steps, counts, new=head[1] == "[[")
            for depth in range(1, len(table) + 1):  # what holds it begins there too
                found.setdefault(table[:depth], number + 1)
            number += 1
            continue
        steps, at = _names(line)
        if not steps or at >= len(line) or line[at] != "=":
            number += 1
            continue
        path = (*table, *steps)
        found.setdefault(path, number + 1)
        rest = "\n".join([line[at + 1 :], *lines[number + 1 : number + 2000]])
        used = 0
        for place, entry in _entries(rest):
            if entry is None:
                used = place
            else:
                found.setdefault((*path, entry), number + 1 + rest[:place].count("\n"))
        number += 1 + rest[:used].count("\n")
    return found


def line_of(fault: Fault, data: Mapping[str, Any], lines: Mapping[Path, int]) -> int | None:
    """The line that a fault speaks of, or that of what holds it; None where there is none."""
    told = re.fullmatch(r"line (\d+)", fault.where)
    if told is not None:
        return int(told[1])
    names = {where(data, path): number for path, number in sorted(lines.items(), key=_late)}
    name = fault.where
    while name:
        if name in names:
            return names[name]
        cut = max(name.rfind("."), name.rfind("["), name.rfind(": "))
        if cut < 0:
            break
        name = name[:cut]
    return None


def _late(item: tuple[Path, int]) -> int:
    return -item[1]  # of equal names the first line is kept


def _names(text: str) -> tuple[list[str], int]:
    """Dotted names at the start of a text, and where they end."""
    steps: list[str] = []
    at = 0
    while match := _NAME.match(text, at):
        steps.append(next(part for part in match.groups()[:3] if part is not None))
        at = match.end()
        if not match[4]:
            return steps, at
    return [], 0


def _placed(steps: Sequence[str], counts: dict[Path, int], *, new: bool) -> Path:
    """The path of a table: names that are lists of tables get the place of their last entry."""
    path: Path = ()
    for depth, step in enumerate(steps):
        path = (*path, step)
        if new and depth == len(steps) - 1:
            counts[path] = counts.get(path, -1) + 1
            for known in [other for other in counts if other[: len(path)] == path != other]:
                del counts[known]  # lists within an entry start anew with the next entry
        if path in counts:
            path = (*path, counts[path])
    return path


def _entries(text: str) -> Iterator[tuple[int, int | None]]:
    """Places of the entries of a list in the value that a text begins with; last, where it ends."""
    depth, entry, waiting, at = 0, 0, False, 0
    listed = text.lstrip(" \t").startswith("[")
    while at < len(text):
        letter = text[at]
        if letter == "#":
            at = text.find("\n", at)
            if at < 0:
                at = len(text)
            continue
        if waiting and depth == 1 and letter not in " \t\n],":
            yield at, entry
            entry, waiting = entry + 1, False
        if letter in "\"'":
            at = _past_text(text, at)
            continue
        if letter in "[{":
            depth += 1
            waiting = listed and depth == 1
        elif letter in "]}":
            depth -= 1
        elif letter == "," and depth == 1:
            waiting = listed
        elif letter == "\n" and depth <= 0:
            break
        at += 1
    yield at, None


def _past_text(text: str, at: int) -> int:
    """The place behind a text in quotes."""
    quote = text[at]
    if text.startswith(quote * 3, at):
        end = text.find(quote * 3, at + 3)
        return len(text) if end < 0 else end + 3
    at += 1
    while at < len(text) and text[at] not in (quote, "\n"):
        at += 2 if text[at] == "\\" and quote == '"' else 1
    return at + 1
