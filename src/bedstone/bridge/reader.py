"""Reading a bridge file: text to a checked `Bridge`, or every fault in the file's own words.

First the text is read, then every field, then what fields ask of each other (`checks`), last the
tables beside the file (`tables`). Each step runs when the one before found nothing wrong, and
reports all it finds, in the order of the file.
"""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from bedstone.bridge import schema
from bedstone.bridge.checks import check_bridge, check_seats
from bedstone.bridge.findings import Finding
from bedstone.bridge.schema import Bridge
from bedstone.bridge.tables import LIKENESS, FrameData, ReactionData, read_tables
from bedstone.errors import Fault, InputError
from bedstone.files import read_text

LARGEST_FILE = 1_000_000  # bytes; a bridge file has some ten thousand
_MOST_FAULTS = 200  # listed from one file
_MOST_SORTED = 1000  # put in order first; a file with more was not written by an engineer
_DEEPEST = 32  # tables within tables; a bridge file needs six
# The TOML reader's work grows with the square of the parts of a dotted key. A key ends with its
# line, so the dots of a line are a bound on it that needs no reading.
_MOST_DOTS = 500

_Step = str | int


def read_bridge(path: str | os.PathLike[str]) -> Bridge:
    """Return the checked bridge of a bridge file; tables beside it are read and checked too.

    Raises
    ------
    InputError
        With one `Fault` for each thing wrong.
    """
    name = Path(path).name
    text = read_text(path, LARGEST_FILE)
    return read_text_of_bridge(text, name, Path(path).parent)


def parse_bridge(text: str, name: str = "bridge file") -> Bridge:
    """Return the checked bridge of the text of a bridge file, without the tables beside it.

    Seats of a frame or of given reactions are in those tables, so what the arrangement says about
    them is checked by `read_bridge` only.

    Raises
    ------
    InputError
        With one `Fault` for each thing wrong.
    """
    return read_text_of_bridge(text, name, None)


def read_text_of_bridge(text: str, name: str, folder: Path | None) -> Bridge:
    """Return the checked bridge of `text`; tables are looked for in `folder` unless it is None."""
    data = _toml(text, name)
    try:
        bridge = Bridge.model_validate(data)
    except ValidationError as error:
        findings = _field_findings(error.errors(include_url=False)[:_MOST_SORTED], data)
        raise _faults(name, findings, data) from None
    _raise_any(name, islice(check_bridge(bridge), _MOST_SORTED), data)
    tables: FrameData | ReactionData | None = None
    if folder is not None:
        tables = read_tables(bridge, folder, name)
    if tables is not None or not isinstance(
        bridge.superstructure, schema.FrameTables | schema.Reactions
    ):
        _raise_any(name, islice(check_seats(bridge, tables), _MOST_SORTED), data)
    return bridge


# ------------------------------------------------------------------ TOML
def _toml(text: str, name: str) -> dict[str, Any]:
    if len(text) > LARGEST_FILE:
        size = f"{len(text) / 1e6:.1f} million characters"
        raise InputError([Fault(name, "file", size, f"at most {LARGEST_FILE / 1e6:g} million")])
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > _MOST_DOTS:
            found = f"{line.count('.')} dots in one line"
            raise InputError([Fault(name, f"line {number}", found, f"at most {_MOST_DOTS}")])
    try:
        data = tomllib.loads(text)
        too_deep = _depth_exceeds(data, _DEEPEST)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_toml_fault(text, name, str(error))]) from None
    except RecursionError:
        too_deep = True
    except ValueError as error:  # a number of thousands of digits, a date that does not exist
        raise InputError([Fault(name, "file", shorten(str(error)), "valid TOML")]) from None
    if too_deep:
        found = f"more than {_DEEPEST} tables or lists within each other"
        raise InputError([Fault(name, "file", found, "the tables of a bridge file")])
    return data


def _toml_fault(text: str, name: str, message: str) -> Fault:
    pattern = r"(.*) \(at (?:line (\d+), column \d+|end of document)\)"
    match = re.fullmatch(pattern, message, re.DOTALL)
    if match is None:
        return Fault(name, "file", shorten(message), "valid TOML")
    lines = text.splitlines() or [""]
    number = min(int(match[2] or len(lines)), len(lines))
    found = repr(shorten(lines[number - 1].strip()))
    return Fault(name, f"line {number}", found, f"valid TOML ({shorten(match[1])})")


def _depth_exceeds(value: object, limit: int) -> bool:
    level: list[object] = [value]
    for _ in range(limit):
        level = [
            inner
            for item in level
            if isinstance(item, dict | list)
            for inner in (item.values() if isinstance(item, dict) else item)
        ]
        if not level:
            return False
    return True


# ------------------------------------------------------------------ findings to faults
def _raise_any(name: str, findings: Iterable[Finding], data: dict[str, Any]) -> None:
    if found := list(findings):
        raise _faults(name, found, data)


def _faults(name: str, findings: Iterable[Finding], data: dict[str, Any]) -> InputError:
    ordered = sorted(findings, key=lambda finding: _position(data, finding.path))
    faults = [
        Fault(name, where(data, finding.path), finding.found, finding.allowed)
        for finding in ordered[:_MOST_FAULTS]
    ]
    if len(ordered) > _MOST_FAULTS:
        faults.append(Fault(name, "file", "more faults than listed", "none"))
    return InputError(faults)


def _position(data: object, path: Sequence[_Step]) -> tuple[int, ...]:
    """Place of a field in the file, to sort by; what is missing comes after what is there."""
    places: list[int] = []
    for step in path:
        if isinstance(data, dict):
            place = (place for place, key in enumerate(data) if key == step)
            places.append(next(place, len(data)))
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            places.append(step)
            data = data[step]
        else:
            break
    return tuple(places)


def where(data: object, path: Sequence[_Step]) -> str:
    """Return a field in the file's words: ``support P1: below.height``, ``traffic.models[2]``.

    A support is called by its mark and a stage by its name; other entries of lists are counted
    from 1.
    """
    head, rest = "", list(path)
    if len(path) >= 2 and path[0] in ("support", "stage") and isinstance(path[1], int):
        entries = data.get(path[0]) if isinstance(data, dict) else None
        entry = entries[path[1]] if isinstance(entries, list) and path[1] < len(entries) else None
        called = entry.get("mark" if path[0] == "support" else "name") if entry else None
        if isinstance(called, str) and called.strip():
            head, rest = f"{path[0]} {shorten(called.strip())}", rest[2:]
    text = ""
    for step in rest:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            plain = re.fullmatch(r"[A-Za-z0-9_-]+", step)
            text += ("." if text else "") + (shorten(step) if plain else repr(shorten(step)))
    return ": ".join(part for part in (head, text) if part) or "file"


def shorten(text: str, limit: int = 60) -> str:
    """Return one printable line of at most `limit` characters."""
    line = "".join(letter if letter.isprintable() else " " for letter in text[: 4 * limit])
    line = " ".join(line.split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


def show(value: object) -> str:
    """Return what was found, as it would stand in the file, shortened."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, str):
        return repr(shorten(value))
    if isinstance(value, int) and abs(value) >= 10**60:
        return "a number of more than 60 digits"
    return shorten(str(value))


# ------------------------------------------------------------------ pydantic errors
def _field_findings(errors: Iterable[ErrorDetails], data: dict[str, Any]) -> list[Finding]:
    """One finding for each field; alternatives of a field that all fail are one fault."""
    allowed: dict[tuple[_Step, ...], list[str]] = {}
    alternatives: set[tuple[_Step, ...]] = set()
    names: set[tuple[_Step, ...]] = set()
    for error in errors:
        path, is_alternative = _file_path(error, data)
        texts = allowed.setdefault(path, [])
        text = _allowed(error, path)
        if text not in texts:
            texts.append(text)
        if is_alternative:
            alternatives.add(path)
        if error["loc"][-1] == "[key]":  # the name of the field is at fault, not its value
            names.add(path)
    # A list that fails in one element fails as a word too; only the element is worth telling.
    inner = {path[:cut] for path in allowed for cut in range(len(path))}
    return [
        Finding(path, show(path[-1]) if path in names else _found(data, path), " or ".join(texts))
        for path, texts in allowed.items()
        if not (path in alternatives and path in inner)
    ]


def _file_path(error: ErrorDetails, data: object) -> tuple[tuple[_Step, ...], bool]:
    """Return the path of an error in the file and whether it is one of several alternatives.

    Pydantic puts names of alternatives (the `kind` of a part, the name of a type) between the
    steps; they stand nowhere in the file.
    """
    path: list[_Step] = []
    skipped = False
    location = error["loc"]
    for index, step in enumerate(location):
        last = index == len(location) - 1
        if isinstance(data, dict):
            if _is_tag(path, step, data, location[:index]):
                continue
            if step in data:
                path.append(step)
                data = data[step]
                continue
            if last and error["type"] in ("missing", "extra_forbidden"):
                path.append(step)
                continue
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            path.append(step)
            data = data[step]
            continue
        skipped = True
    if error["type"] in ("union_tag_invalid", "union_tag_not_found"):
        path.append("kind")
    return tuple(path), skipped


def _is_tag(
    path: list[_Step], step: _Step, data: dict[str, Any], before: tuple[_Step, ...]
) -> bool:
    parted = bool(path) and (
        path[-1] in ("below", "superstructure") or (len(path) == 3 and path[-2] == "sections")
    )
    # `before` ends with the field itself only while its tag has not been passed.
    return parted and before[-1] == path[-1] and step == data.get("kind")


def _found(data: object, path: Sequence[_Step]) -> str:
    for step in path:
        if isinstance(data, dict) and step not in data:
            return "nothing"
        data = data[step]  # type: ignore[index]
    return show(data)


_WORDS = {
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a finite number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing_size": "a whole number of fewer digits",
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "list_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}
_BOUNDS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "not less than"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "not more than"),
}


def _allowed(error: ErrorDetails, path: tuple[_Step, ...]) -> str:
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing":
        return "this field is needed"
    if kind == "extra_forbidden":
        return _known_fields(error, path)
    if kind in _WORDS:
        return _WORDS[kind]
    if kind in _BOUNDS:
        key, words = _BOUNDS[kind]
        return f"a number {words} {context[key]:g}"
    if kind in ("literal_error", "union_tag_invalid"):
        names = str(context.get("expected", context.get("expected_tags", "")))
        found = context.get("tag", error["input"])
        choices = re.findall(r"'([^']*)'", names)
        close = difflib.get_close_matches(str(found)[:60], choices, 1, LIKENESS)
        return ", ".join(choices) + (f" (did you mean {close[0]!r}?)" if close else "")
    if kind == "union_tag_not_found":
        return "this field is needed"
    if kind == "string_pattern_mismatch":
        return "1 to 12 letters, digits or underscores"
    if kind in ("too_short", "string_too_short"):
        entries = "entry" if context["min_length"] == 1 else "entries"
        return f"at least {context['min_length']} {entries if kind == 'too_short' else 'letters'}"
    if kind in ("too_long", "string_too_long"):
        return f"at most {context['max_length']} {'entries' if kind == 'too_long' else 'letters'}"
    return shorten(error["msg"], 300)


def _known_fields(error: ErrorDetails, path: tuple[_Step, ...]) -> str:
    names = sorted(_fields_of(error["loc"][:-1]))
    close = difflib.get_close_matches(str(path[-1])[:60], names, 1, LIKENESS)
    hint = f" (did you mean {close[0]!r}?)" if close else ""
    return "one of " + ", ".join(names) + hint


def _fields_of(location: Sequence[_Step]) -> set[str]:
    """Names of the fields of the part at a pydantic location."""
    parts: list[Any] = [Bridge]
    for step in location:
        parts = [inner for part in parts for inner in _inner(part, step)]
    return {field for part in parts for model in _models(part) for field in model.model_fields}


def _inner(annotation: Any, step: _Step) -> list[Any]:
    """Annotations one pydantic step below: a field, an element, or a named alternative."""
    found: list[Any] = []
    for option in _options(annotation):
        arguments = get_args(option)
        if get_origin(option) is list and isinstance(step, int):
            found.append(arguments[0])
        elif get_origin(option) is dict and isinstance(step, str):
            found.append(arguments[1])
    models = _models(annotation)
    for model in models:
        fields = model.model_fields
        if len(models) == 1 and step in fields:
            found.append(fields[str(step)].annotation)
        elif len(models) > 1 and step in get_args(fields["kind"].annotation):
            found.append(model)  # of several parts in one place, the kind tells which
    return found


def _options(annotation: Any) -> list[Any]:
    """Members of a union (through Annotated), or the annotation itself."""
    if get_origin(annotation) is Annotated:
        return _options(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        return [inner for member in get_args(annotation) for inner in _options(member)]
    return [annotation]


def _models(annotation: Any) -> list[type[BaseModel]]:
    return [
        option
        for option in _options(annotation)
        if isinstance(option, type) and issubclass(option, BaseModel)
    ]
