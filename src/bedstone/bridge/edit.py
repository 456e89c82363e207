"""Changing fields of a bridge file while its comments, order and layout stay as they are."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge, shorten, show
from bedstone.bridge.schema import Bridge
from bedstone.errors import Fault, InputError
from bedstone.files import read_text, write_atomically

_STEP = re.compile(r"""(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+))((?:\[\d+\])*)(\.|$)""")


def edit(path: str | os.PathLike[str], changes: Mapping[str, object]) -> Bridge:
    """Change fields of a bridge file and return the bridge as changed.

    `changes` maps a dotted field to its new value as it stands in the file (a quantity with its
    unit), or to None to take the field out. Entries of lists are counted from 1, ``stage[2].name``;
    a support or stage may be called by its mark or name, ``support.P1.chainage``; a name with dots
    or spaces is quoted, ``stage."deck cast".carries``. A table that is missing on the way is made.

    The file is replaced in one step, and only when the result is a valid bridge file.

    Raises
    ------
    InputError
        When a field cannot be reached or the changed file has faults; the file stays as it was.
    """
    name = Path(path).name
    folder = Path(path).parent
    text = read_text(path, LARGEST_FILE)
    read_text_of_bridge(text, name, folder)  # what was broken before is reported as it stands
    changed = change_text(text, changes, name)
    bridge = read_text_of_bridge(changed, name, folder)
    write_atomically(path, changed)
    return bridge


def change_text(text: str, changes: Mapping[str, object], name: str = "bridge file") -> str:
    """Return the text of a bridge file with fields changed as in `edit`, not yet checked.

    Raises
    ------
    InputError
        When the text is no TOML or a field cannot be reached.
    """
    try:
        document = tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise InputError([Fault(name, "file", shorten(str(error)), "valid TOML")]) from None
    faults: list[Fault] = []
    for field, value in changes.items():
        try:
            _change(document, _steps(field), value)
        except (LookupError, TOMLKitError, TypeError, ValueError) as error:
            reason = str(error.args[0]) if error.args else "cannot be changed"
            faults.append(Fault(name, shorten(field) or "field", show(value), shorten(reason, 200)))
    if faults:
        raise InputError(faults)
    changed = tomlkit.dumps(document)
    # Put where it stood, a value of another shape could fall under another heading.
    if tomllib.loads(changed) != document.unwrap():
        fields = shorten(", ".join(changes), 200)
        found = "a value that does not fit where the old one stood"
        raise InputError([Fault(name, fields, found, "a change by hand")])
    return changed


def _steps(field: str) -> list[str | int]:
    """Take a dotted field apart; places in lists come out counted from 0."""
    steps: list[str | int] = []
    at = 0
    while at < len(field):
        match = _STEP.match(field, at)
        if match is None:
            break
        steps.append(next(part for part in match.groups()[:3] if part is not None))
        steps.extend(int(place) - 1 for place in re.findall(r"\d+", match[4]))
        at = match.end()
    if not field or at < len(field) or field.endswith("."):
        raise ValueError("a field such as support.P1.chainage or stage[2].name")
    return steps


def _change(document: Any, steps: list[str | int], value: object) -> None:
    at = document
    for step in steps[:-1]:
        if isinstance(at, dict) and step not in at and value is not None:
            at[step] = tomlkit.table()
        at = _below(at, step)
    last = steps[-1]
    if isinstance(at, list):
        index = _place(at, last)
        if value is None:
            del at[index]
        elif isinstance(at[index], dict) and not isinstance(value, dict):
            raise TypeError("a table, as the entries beside it are")
        else:
            at[index] = value
    elif not isinstance(at, dict) or isinstance(last, int):
        raise TypeError(f"a field of a table ({last!r} has none above it)")
    elif value is None:
        if last not in at:
            raise LookupError("a field that is in the file")
        del at[last]
    elif last in at and not isinstance(at[last], dict | list):
        _replace(at, last, value)
    else:
        at[last] = value


def _replace(table: Any, key: str, value: object) -> None:
    """Put a new value in place of a plain one; the comment behind it stays."""
    item = tomlkit.item(value)
    old = table[key]
    if hasattr(old, "trivia"):
        item.trivia.comment = old.trivia.comment
        item.trivia.comment_ws = old.trivia.comment_ws
        item.trivia.trail = old.trivia.trail
        item.trivia.indent = old.trivia.indent
    table[key] = item


def _below(at: Any, step: str | int) -> Any:
    if isinstance(at, list):
        return at[_place(at, step)]
    if isinstance(at, dict) and step in at:
        return at[step]
    raise LookupError(f"a field that is in the file (there is no {step!r})")


def _place(entries: Any, step: str | int) -> int:
    """Index of an entry of a list: a place, or the mark or name of a support or stage."""
    if isinstance(step, int):
        if 0 <= step < len(entries):
            return step
        raise LookupError(f"a place from 1 to {len(entries)}")
    for index, entry in enumerate(entries):
        if isinstance(entry, dict) and step in (entry.get("mark"), entry.get("name")):
            return index
    raise LookupError(f"an entry of the list (none is called {step!r})")
