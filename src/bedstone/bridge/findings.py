"""Findings of the checks of a bridge file, and the words they share."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from bedstone.bridge.tables import LIKENESS

Step = str | int


@dataclass(frozen=True)
class Finding:
    """A fault at `path` (steps of the bridge file; places in lists from 0)."""

    path: tuple[Step, ...]
    found: str
    allowed: str


def metres(value: float) -> str:
    """A length for a message."""
    return f"{value:.6g} m"


def some(names: Sequence[str], limit: int = 12) -> str:
    """The first names of a list."""
    return ", ".join(names[:limit]) + (", …" if len(names) > limit else "")


def joined(names: Sequence[str]) -> str:
    """Names with an "and" before the last."""
    return ", ".join(names[:-1]) + " and " + names[-1] if len(names) > 1 else names[0]


def unknown(path: tuple[Step, ...], found: str, names: Sequence[str], what: str) -> Finding:
    """A name that is not among those known, with the one that is closest."""
    close = difflib.get_close_matches(found[:60], names, 1, LIKENESS)
    shown = " ".join(found[:60].split())
    listed = f": {some(names)}" if names else ""
    hint = f" (did you mean {close[0]!r}?)" if close else ""
    return Finding(path, repr(shown), what + listed + hint)
